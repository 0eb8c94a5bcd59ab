"""The sheet that is laid on the real casting: every measured hole at true size, to see if the readings are right.

mm; seen looking at the casting, turned as the survey lays it out.
"""

from __future__ import annotations

import hashlib

from brackets.drawing.holes import CROSS
from brackets.drawing.labels import Board
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.geometry.segments import Point
from brackets.geometry.shapes import circle
from brackets.survey.boss_hand import anticlockwise, triangle
from brackets.survey.readings import Survey
from brackets.survey.work import Measured

UNREAD = 10.0
"""mm: the circle of a hole whose diameter was not read."""

MIRRORED = ", MAY BE THE MIRROR IMAGE OF THE HOLES"
"""On every page and on the drawing while it is not known which way round the holes go."""

LABEL = 3.0
"""mm: size of type on the drawing."""


def check_sheet(made: Measured) -> Drawing:
    """The holes with crosses and names. Raises ValueError where no holes were measured."""
    if made.survey is None:
        raise ValueError("no holes were measured: there is nothing to draw")
    found = made.survey
    low = found.coordinates[:, :2].min(axis=0)
    spots: list[Point] = [(float(x), float(y)) for x, y in found.coordinates[:, :2] - low]
    sizes = [UNREAD if d is None else d for d in found.diameters]
    strokes = []
    for (x, y), d in zip(spots, sizes, strict=True):
        reach = d / 2 + CROSS
        strokes.append(Stroke.of("cut", circle((x, y), d / 2)))
        strokes.append(Stroke.line("punch", (x - reach, y), (x + reach, y)))
        strokes.append(Stroke.line("punch", (x, y - reach), (x, y + reach)))
    board = Board(strokes)
    words: list[Words] = []
    for name, spot, d, read in zip(found.names, spots, sizes, found.diameters, strict=True):
        text = name if read is not None else f"{name}, Ø not read"
        for label in board.label(text, spot, size=LABEL, start=d / 2 + CROSS):
            if isinstance(label, Words):
                words.append(label)
            else:
                strokes.append(label)
    if made.doubts:
        words.append(Words((0.0, -max(sizes) / 2 - CROSS - 2 * LABEL), f"{made.readings.name}{MIRRORED}", LABEL))
    rows = tuple(
        (name, "not read" if d is None else f"{d:.2f}", f"{x:.2f}", f"{y:.2f}", "")
        for name, (x, y), d in zip(found.names, spots, found.diameters, strict=True)
    )
    return Drawing(
        name="check sheet",
        title=Title(part=f"{made.readings.name}{MIRRORED if made.doubts else ''}"),
        facts=(
            ("readings", made.readings.name),
            ("revision", "none given"),
            ("values", hashlib.sha256(repr(rows).encode()).hexdigest()[:8]),
            ("holes", str(len(spots))),
        ),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=(Table("Holes", ("hole", "Ø", "x", "y", "measured"), rows),),
        notes=tuple(_notes(made, found)),
    )


def _notes(made: Measured, found: Survey) -> list[str]:
    told = [
        "Lay it on the casting, printed side up: every cross must lie on its hole's centre.",
        "Drawn as seen looking at the casting.",
    ]
    if made.doubts:
        here, there = ("anticlockwise", "clockwise") if anticlockwise(found) else ("clockwise", "anticlockwise")
        order = f"[{', '.join(found.names[k] for k in triangle(found))}]"
        told = [
            "THIS MAY BE THE MIRROR IMAGE OF THE HOLES: a sheet to find out by, not to mark out from.",
            f"Lay it on the casting. Crosses on the holes, printed side up: under [pattern] {here} = {order}.",
            f"Crosses on the holes only with the printed side down: under [pattern] {there} = {order}.",
        ]
    return [*told, *(f"STOP: do not cut. {stop}" for stop in made.stops)]
