"""A slanted picture of pieces by the outlines of their flat faces. Not to scale, nothing hidden."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from brackets.core.vectors import Vec
from brackets.drawing.record import Layer, Stroke
from brackets.geometry.segments import Line, Point
from brackets.model.extent import corners
from brackets.model.faces import flat_faces
from brackets.model.piece import Piece
from brackets.model.tube import BentTube, Tube, Turned

WIDE = 180.0
"""mm: a picture's width."""

SAG = 0.5
"""mm of the part that a chord of a round outline may lie off it."""

Chain = tuple[Layer, list[Point]]


def slanted(p: Vec) -> Point:
    """A point seen from in front, from the right and from above, all three axes alike."""
    x, y, z = p
    return ((y - x) * math.cos(math.pi / 6), z - (x + y) / 2)


def outlines(pieces: Iterable[Piece], layer: Layer) -> Iterator[Chain]:
    """The flat faces of pieces, and the two sides of each round one."""
    for piece in pieces:
        for face in flat_faces(piece):
            for outline in (face.region.outer, *face.region.holes):
                ring = [slanted(face.place.point((x, y, 0.0))) for x, y in outline.points(SAG)]
                yield layer, [*ring, ring[0]]
        if isinstance(piece, Tube | Turned) and not isinstance(piece, BentTube):
            yield from ((layer, list(side)) for side in _sides(piece))


def _sides(piece: Tube | Turned) -> Iterator[tuple[Point, Point]]:
    """The two lines that a round piece is seen between; of a turned one those of its longest step."""
    axis, base = slanted(piece.place.axis), slanted(piece.place.at)
    far = math.hypot(*axis)
    if far < 0.1:
        return
    square = (-axis[1] / far, axis[0] / far)
    seen = [slanted(p) for p in corners(piece)]
    across = [(x - base[0]) * square[0] + (y - base[1]) * square[1] for x, y in seen]
    along = [((x - base[0]) * axis[0] + (y - base[1]) * axis[1]) / far for x, y in seen]
    for side in (min(across), max(across)):
        near = [a for a, c in zip(along, across, strict=True) if abs(c - side) < 0.02 * (max(across) - min(across))]
        ends = [
            (
                base[0] + end * axis[0] / far + side * square[0],
                base[1] + end * axis[1] / far + side * square[1],
            )
            for end in (min(near), max(near))
        ]
        yield ends[0], ends[1]


def picture(
    chains: Iterable[Chain], marks: Iterable[tuple[str, Point]]
) -> tuple[list[Stroke], list[tuple[str, Point]]]:
    """The chains as strokes and the marks with their places, made WIDE."""
    every = list(chains)
    across = [x for _, points in every for x, _ in points]
    k = WIDE / max(max(across) - min(across), 1.0)
    strokes = [stroke for layer, points in every for stroke in _chain(layer, [(x * k, y * k) for x, y in points])]
    return strokes, [(text, (x * k, y * k)) for text, (x, y) in marks]


def _chain(layer: Layer, points: list[Point]) -> Iterator[Stroke]:
    pairs = zip(points, points[1:], strict=False)
    lines = tuple(Line(a, b) for a, b in pairs if math.dist(a, b) > 1e-6)
    if lines:
        yield Stroke(layer, lines)
