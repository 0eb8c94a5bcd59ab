"""How much room there is: gaps, fouls, movement and ways out, each as an interval that holds the truth.

mm, degrees, bay axes of ISO 8855 (x forward, y left, z up) or any other right-handed set.
"""

from __future__ import annotations

from brackets.clearance.bodies import Body, body
from brackets.clearance.gaps import Gap, gap
from brackets.clearance.motion import Moves, Position, Turn, bush_moves, powertrain_moves
from brackets.clearance.overlaps import Overlap, Pull, overlap, pull
from brackets.clearance.places import Rigid, about, moved, rigid
from brackets.clearance.surveys import Row, survey, worst_first
from brackets.clearance.sweeps import Swept, SweptPair, rock, sweep

__all__ = [
    "Body",
    "Gap",
    "Moves",
    "Overlap",
    "Position",
    "Pull",
    "Rigid",
    "Row",
    "Swept",
    "SweptPair",
    "Turn",
    "about",
    "body",
    "bush_moves",
    "gap",
    "moved",
    "overlap",
    "powertrain_moves",
    "pull",
    "rigid",
    "rock",
    "survey",
    "sweep",
    "worst_first",
]
