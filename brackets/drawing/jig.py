"""The sheet of a jig: what holds what and where, with which shafts and bolts, and how the weldment comes off it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.core.vectors import Vec, cross, dot, unit
from brackets.drawing.labels import Board, put
from brackets.drawing.pictures import Laid, Picture, bounds_of, lines
from brackets.drawing.record import Drawing, Table, Title, Words
from brackets.geometry.segments import Point
from brackets.library.jig_work import Jig
from brackets.model.tube import Turned

HELD = ("what", "kind", "by", "x, y, z", "along", "bolt", "measured")
SHAFTS = ("shaft", "d", "long", "with it", "drawn along")

EYE, RIGHT = unit((1.0, 1.0, 1.0)), unit((-1.0, 1.0, 0.0))
"""Where the eye of the picture is and what is to the right in it: all three axes alike, z up."""

SIZE = 100.0
"""mm: the picture's width or height, about what it comes to be on a sheet, so that its words can be read."""

SQUARE = 1e-6
"""How far a direction may be off an axis of the frame and is still named by it: 0.2 mm in 200 m."""


def jig_sheet(made: Jig, title: Title, picture: Picture) -> Drawing:
    """The sheet of `made`: the weldment in the jig, what is held, the shafts, the steps.

    picture: the pieces of the jig, then those of the weldment, seen from EYE, (0, 0, 0) at its (0, 0).
    """
    own = len(made.part.pieces)
    left, low, right, high = bounds_of(picture)
    laid = Laid(SIZE / max(right - left, high - low), (0.0, 0.0))
    strokes = [
        *lines(picture[:own], laid, hidden=False, layer="leader"),
        *lines(picture[own:], laid, hidden=True),
    ]
    board, words = Board(strokes), list[Words]()
    for one in made.held:
        put(board.label(one.seat, laid.point(_flat(one.place.at))), strokes, words)
    shafts = tuple(_shafts(made))
    return Drawing(
        name="jig",
        title=title,
        facts=(
            ("part", title.part),
            ("revision", title.revision or "none given"),
            ("holds", f"{made.weldment.name}: {len(made.held)} places"),
            ("mass", f"{made.part.mass.kg:.2f} kg, without the weldment"),
        ),
        strokes=tuple(strokes),
        words=tuple(words),
        tables=(
            Table("What is held, in the jig's frame", HELD, tuple(_held(made))),
            *((Table("Shafts", SHAFTS, shafts),) if shafts else ()),
        ),
        notes=tuple(_steps(made)),
        true_size=False,
    )


def _flat(p: Vec) -> Point:
    return (dot(p, RIGHT), dot(p, cross(EYE, RIGHT)))


def _held(made: Jig) -> Iterator[tuple[str, ...]]:
    for one in made.held:
        yield (
            one.seat, one.kind, ", ".join(one.by), _figures(one.place.at, 1), _along(one.place.axis),
            one.bolt or "", "",
        )  # fmt: skip


def _shafts(made: Jig) -> Iterator[tuple[str, ...]]:
    for one in made.drawn:
        piece = made.part.piece(one.pieces[0])
        assert isinstance(piece, Turned)
        with_it = ", ".join(one.pieces[1:]) or "no spacer"
        yield piece.name, f"{piece.steps[0].od:.2f}", f"{piece.length:.0f}", with_it, _along(one.way)


def _steps(made: Jig) -> Sequence[str]:
    return (
        "In the picture the weldment is drawn thick, dashed where the jig hides it, the jig thin; not to scale.",
        "Frame: z up from the upper face of the base, x and y from its lower left corner, as on its own sheet.",
        "Set uprights by their tabs and posts by their spigots, shafts through the uprights, then weld the jig: "
        "the shafts keep the holes in line. Measure the places above before it is used.",
        "Lay the pieces in, bolts and shafts with their spacers, tack and weld by the weld order. Leave it till "
        "cold. Then draw the shafts, take the bolts and spacers out, and lift it off.",
        "Dummy shafts are a slip fit in bores as they are before finishing; rubber and poly bushes are out.",
    )


def _along(v: Vec) -> str:
    """A direction: the axis of the frame that it lies along, "-z", or its three parts."""
    named = [f"{'+' if c > 0 else '-'}{name}" for c, name in zip(v, "xyz", strict=True) if abs(c) > 1 - SQUARE]
    return named[0] if named else _figures(v, 3)


def _figures(v: Vec, digits: int) -> str:
    return ", ".join(f"{c:z.{digits}f}" for c in v)
