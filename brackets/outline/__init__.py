"""Closed curves of lines and arcs, the outlines of plates.

mm on the plane, x right, y up; anticlockwise, metal on the left.
"""

from brackets.outline.curve import Outline, outline, turned_back
from brackets.outline.drawing import bulges, svg_path
from brackets.outline.ellipse import Ellipse, EllipseArc
from brackets.outline.hull import round_hull
from brackets.outline.inside import Edge, winding
from brackets.outline.makers import chamfered, circle, hexagon, polygon, rectangle, slot
from brackets.outline.meet import crossings, intersections
from brackets.outline.moments import NOTHING, Moments, moments, moments_of
from brackets.outline.moves import mirror_x, mirror_y, rotate, scale, translate
from brackets.outline.near import (
    Between,
    Nearest,
    Where,
    contains,
    distance,
    distance_between,
    hole_edge_distance,
    nearest,
)
from brackets.outline.offset import offset, offset_all
from brackets.outline.ovals import CutPiece, cut_ellipse, moments_outside, oval_meets
from brackets.outline.regions import Region, Shape, clip_circle, common, cut, join, piece_at, single
from brackets.outline.segments import JOIN, TOUCH, Arc, Bounds, Line, Point, Segment
from brackets.outline.split import Loop

__all__ = [
    "Arc",
    "Between",
    "Bounds",
    "CutPiece",
    "Edge",
    "Ellipse",
    "EllipseArc",
    "JOIN",
    "Line",
    "Loop",
    "Moments",
    "NOTHING",
    "Nearest",
    "Outline",
    "Point",
    "Region",
    "Segment",
    "Shape",
    "TOUCH",
    "Where",
    "bulges",
    "chamfered",
    "circle",
    "clip_circle",
    "common",
    "contains",
    "crossings",
    "cut",
    "cut_ellipse",
    "distance",
    "distance_between",
    "hexagon",
    "hole_edge_distance",
    "intersections",
    "join",
    "mirror_x",
    "mirror_y",
    "moments",
    "moments_of",
    "moments_outside",
    "nearest",
    "offset",
    "offset_all",
    "outline",
    "oval_meets",
    "piece_at",
    "polygon",
    "rectangle",
    "rotate",
    "round_hull",
    "scale",
    "single",
    "slot",
    "svg_path",
    "translate",
    "turned_back",
    "winding",
]
