"""A place as the kernel's location."""

from __future__ import annotations

from cadquery import Location
from OCP.gp import gp_Trsf
from OCP.TopLoc import TopLoc_Location

from brackets.pieces import HERE, Place


def location(place: Place) -> Location:
    """The rigid motion of `place`; none at all for HERE."""
    if place == HERE:
        return Location()
    motion = gp_Trsf()
    motion.SetValues(*(value for row in place.matrix()[:3] for value in row))
    return Location(TopLoc_Location(motion))
