"""Closed curves of lines and arcs, the outlines of plates.

mm on the plane, x right, y up; anticlockwise, metal on the left.
"""

from brackets.outline.curve import Outline, outline
from brackets.outline.ellipse import Ellipse, EllipseArc
from brackets.outline.hull import round_hull
from brackets.outline.makers import chamfered, circle, hexagon, polygon, rectangle, slot
from brackets.outline.meet import crossings, intersections
from brackets.outline.moments import NOTHING, Moments, moments, moments_of
from brackets.outline.moves import mirror_x, mirror_y, rotate, scale, translate
from brackets.outline.segments import JOIN, TOUCH, Arc, Bounds, Line, Point, Segment

__all__ = [
    "JOIN",
    "NOTHING",
    "TOUCH",
    "Arc",
    "Bounds",
    "Ellipse",
    "EllipseArc",
    "Line",
    "Moments",
    "Outline",
    "Point",
    "Segment",
    "chamfered",
    "circle",
    "crossings",
    "hexagon",
    "intersections",
    "mirror_x",
    "mirror_y",
    "moments",
    "moments_of",
    "outline",
    "polygon",
    "rectangle",
    "rotate",
    "round_hull",
    "scale",
    "slot",
    "translate",
]
