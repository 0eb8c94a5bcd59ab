"""From where a weldment is seen: front, from above, from the left, and where its points lie in these views."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from brackets.drawing.pictures import Picture
from brackets.geometry.segments import Point

FRONT, ABOVE, LEFT = "front", "from above", "from the left"

Views = Mapping[str, Picture]

OVER: Mapping[str, tuple[tuple[int, int], tuple[int, int]]] = {
    FRONT: ((0, 1), (2, 1)),
    ABOVE: ((0, 1), (1, 1)),
    LEFT: ((1, -1), (2, 1)),
}
"""Which axis of the datum runs to the right in a view, and which way, and the same for up."""


def in_view(view: str, p: Sequence[float]) -> Point:
    """A point of the part, from the datum, in a view, mm of the part."""
    (i, sign), (k, up) = OVER[view]
    return (sign * p[i], up * p[k])
