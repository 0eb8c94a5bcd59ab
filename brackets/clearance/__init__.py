"""How much room there is: gaps, fouls, movement and ways out, each as an interval that holds the truth.

mm, degrees, bay axes of ISO 8855 (x forward, y left, z up) or any other right-handed set.
"""

from __future__ import annotations

from brackets.clearance.bodies import Body, body
from brackets.clearance.gaps import Gap, gap
from brackets.clearance.overlaps import Overlap, Pull, overlap, pull
from brackets.clearance.places import Rigid, about, moved, rigid
from brackets.clearance.surveys import Row, survey, worst_first

__all__ = [
    "Body",
    "Gap",
    "Overlap",
    "Pull",
    "Rigid",
    "Row",
    "about",
    "body",
    "gap",
    "moved",
    "overlap",
    "pull",
    "rigid",
    "survey",
    "worst_first",
]
