"""How much room there is: gaps, fouls, movement and ways out, each as an interval that holds the truth.

mm, degrees, bay axes of ISO 8855 (x forward, y left, z up) or any other right-handed set.
"""

from __future__ import annotations

import brackets.kernel  # noqa: F401 (loads the kernel its own way, before anything below asks for it)
from brackets.clearance import tools
from brackets.clearance.bodies import Body, body
from brackets.clearance.gap_rows import Row, Rows, survey, worst_first
from brackets.clearance.gaps import Gap, gap
from brackets.clearance.legs import RotaryLeg, StraightLeg, straight, swing
from brackets.clearance.motion import Moves, Position, Turn, bush_moves, powertrain_moves
from brackets.clearance.overlaps import Overlap, Pull, overlap, pull
from brackets.clearance.paths import LegFound, PathResult, path
from brackets.clearance.places import Transform, about, moved, transform
from brackets.clearance.sweeps import SweepResult, SweptPair, rock, sweep

__all__ = [
    "Body",
    "Gap",
    "LegFound",
    "Moves",
    "Overlap",
    "Position",
    "Pull",
    "Transform",
    "Row",
    "Rows",
    "StraightLeg",
    "SweepResult",
    "SweptPair",
    "RotaryLeg",
    "Turn",
    "PathResult",
    "about",
    "body",
    "bush_moves",
    "gap",
    "moved",
    "overlap",
    "path",
    "powertrain_moves",
    "pull",
    "transform",
    "rock",
    "straight",
    "survey",
    "sweep",
    "swing",
    "tools",
    "worst_first",
]
