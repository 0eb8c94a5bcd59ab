"""How tube ends are cut so that they meet what they are welded to: end curves, ends from geometry, wraps."""

from brackets.cope.curve import (
    check_tube,
    contour,
    contours,
    cut_back,
    cut_problems,
    end_curve,
    leaning,
    phi_of,
    size_problems,
)
from brackets.cope.ends import Met, axis_of, end_at, plane_at, tube_place
from brackets.cope.wrap import Lengths, Wrap, is_square, lengths, lip_gap, wrap

__all__ = [
    "Lengths",
    "Met",
    "Wrap",
    "axis_of",
    "check_tube",
    "contour",
    "contours",
    "cut_back",
    "cut_problems",
    "end_at",
    "end_curve",
    "is_square",
    "leaning",
    "lengths",
    "lip_gap",
    "phi_of",
    "plane_at",
    "size_problems",
    "tube_place",
    "wrap",
]
