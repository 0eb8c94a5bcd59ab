"""The sheet of a jig: what holds what and where, with which shafts and bolts, and how the weldment comes off it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.core.vectors import Vec
from brackets.drawing.labels import Board
from brackets.drawing.record import Drawing, Table, Title, Words
from brackets.drawing.slanted import outlines, picture, slanted
from brackets.library.jig_work import Jig
from brackets.model.tube import Turned

HELD = ("what", "kind", "by", "x, y, z", "along", "bolt", "measured")
SHAFTS = ("shaft", "d", "long", "with it", "drawn along")


def jig_sheet(made: Jig, title: Title) -> Drawing:
    """The sheet of `made`: the weldment in the jig, what is held, the shafts, the steps."""
    solid = made.part.pieces
    chains = [*outlines(solid, "leader"), *outlines(made.weldment.pieces, "weld")]
    named = [(one.seat, slanted(one.place.at)) for one in made.held]
    strokes, marks = picture(chains, named)
    board, words = Board(strokes), list[Words]()
    for text, at in marks:
        for thing in board.label(text, at):
            if isinstance(thing, Words):
                words.append(thing)
            else:
                strokes.append(thing)
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


def _held(made: Jig) -> Iterator[tuple[str, ...]]:
    for one in made.held:
        yield (
            one.seat, one.kind, ", ".join(one.by), _figures(one.place.at, 2), _figures(one.place.axis, 4),
            one.bolt or "", "",
        )  # fmt: skip


def _shafts(made: Jig) -> Iterator[tuple[str, ...]]:
    for one in made.drawn:
        piece = made.part.piece(one.pieces[0])
        assert isinstance(piece, Turned)
        with_it = ", ".join(one.pieces[1:]) or "no spacer"
        yield piece.name, f"{piece.steps[0].od:.2f}", f"{piece.length:.0f}", with_it, _figures(one.way, 4)


def _steps(made: Jig) -> Sequence[str]:
    return (
        "Frame: z up from the upper face of the base, x and y from its lower left corner, as on its own sheet.",
        "Set uprights by their tabs and posts by their spigots, shafts through the uprights, then weld the jig: "
        "the shafts keep the holes in line. Measure the places above before it is used.",
        "Lay the pieces in, bolts and shafts with their spacers, tack and weld by the weld order. Leave it till "
        "cold. Then draw the shafts, take the bolts and spacers out, and lift it off.",
        "Dummy shafts are a slip fit in bores as they are before finishing; rubber and poly bushes are out.",
    )


def _figures(v: Vec, digits: int) -> str:
    return ", ".join(f"{c:z.{digits}f}" for c in v)
