"""Points round a piece: how far it reaches any way. mm, in the part's frame."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from brackets.core.vectors import Vec, add, dot
from brackets.model.cope import ENDS
from brackets.model.edges import rim_point
from brackets.model.faces import flat_faces
from brackets.model.piece import Piece
from brackets.model.tube import BentTube, Tube, Turned

ROUND = 24
"""Points of a circle."""

SAG = 1 / math.cos(math.pi / ROUND)
"""What a circle's points are set out by, so that their hull holds the circle."""


@lru_cache(maxsize=512)
def corners(piece: Piece) -> tuple[Vec, ...]:
    """Points whose hull holds the piece: of its flat faces, cut ends and rounds; none of a custom piece.

    The outside of a bend may stand out beyond them by what its corner is rounded by, never by more.
    """
    return tuple(_corners(piece))


def _corners(piece: Piece) -> Iterator[Vec]:
    if isinstance(piece, Turned):
        z = 0.0
        for step in piece.steps:
            for level in (z, z + step.length):
                yield from (piece.place.point(p) for p in _circle(step.od / 2, level))
            z += step.length
        return
    for face in flat_faces(piece):
        for x, y in face.region.outer.points():
            yield face.place.point((x, y, 0.0))
    if isinstance(piece, Tube | BentTube):
        for end in ENDS:
            for r in (piece.od / 2 * SAG, piece.bore / 2):
                for i in range(ROUND):
                    yield piece.place.point(rim_point(piece, end, 360.0 * i / ROUND, r))
    if isinstance(piece, BentTube):
        r = piece.od / 2
        for at in piece.points[1:-1]:
            for way in ((r, 0, 0), (-r, 0, 0), (0, r, 0), (0, -r, 0), (0, 0, r), (0, 0, -r)):
                yield piece.place.point(add(at, way))


def _circle(r: float, z: float) -> Iterator[Vec]:
    for i in range(ROUND):
        turn = math.tau * i / ROUND
        yield (r * SAG * math.cos(turn), r * SAG * math.sin(turn), z)


def reach(piece: Piece, way: Vec) -> tuple[float, float] | None:
    """Least and most of a piece along the direction `way`, mm from the origin; None of a custom piece."""
    found = [dot(p, way) for p in corners(piece)]
    return (min(found), max(found)) if found else None

