"""Pieces of stations laid out on boards: at true size for a cutter, and as pictures for paper. mm."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.drawing.labels import Board
from brackets.drawing.nest import GAP, on_shelves
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words
from brackets.drawing.stations import (
    READ,
    ROOM,
    Axes,
    StationHole,
    StationPiece,
    inner_point,
    line_words,
    piece_cuts,
    piece_marks,
)
from brackets.geometry.segments import Line, Point
from brackets.geometry.shapes import circle, rectangle


@dataclass(frozen=True, kw_only=True)
class FoamBoard:
    """One board, `length` x `width`, and the pieces cut from it: each with the corner of its rectangle and whether
    it is turned a quarter."""

    length: float
    width: float
    pieces: tuple[tuple[StationPiece, Point, bool], ...]


def boards(
    pieces: Iterable[StationPiece], length: float, width: float
) -> tuple[tuple[FoamBoard, ...], tuple[StationPiece, ...]]:
    """The pieces on boards of `length` x `width` mm with GAP round each, and those that lie on none either way."""
    fits, left = list[tuple[StationPiece, bool]](), list[StationPiece]()
    for piece in pieces:
        u0, v0, u1, v1 = piece.bounds
        sizes = ((u1 - u0, v1 - v0), (v1 - v0, u1 - u0))
        there = [turned for turned in (False, True) if _lies(sizes[turned], length, width)]
        if there:
            fits.append((piece, min(there, key=lambda turned: sizes[turned][1])))
        else:
            left.append(piece)
    wanted = []
    for piece, turned in fits:
        u0, v0, u1, v1 = piece.bounds
        wanted.append((piece.name, v1 - v0, u1 - u0) if turned else (piece.name, u1 - u0, v1 - v0))
    found = tuple(
        FoamBoard(length=length, width=width, pieces=tuple((*fits[i][:1], at, fits[i][1]) for i, at in sheet))
        for sheet in on_shelves(wanted, length, width)
    )
    return found, tuple(left)


def _lies(size: tuple[float, float], length: float, width: float) -> bool:
    return size[0] + 2 * GAP <= length + 1e-9 and size[1] + 2 * GAP <= width + 1e-9


def on_board(piece: StationPiece, at: Point, turned: bool) -> StationPiece:
    """The piece where it lies on its board."""
    u0, v0, _, v1 = piece.bounds

    def put(p: Point) -> Point:
        return (at[0] + v1 - p[1], at[1] + p[0] - u0) if turned else (at[0] + p[0] - u0, at[1] + p[1] - v0)

    return replace(
        piece,
        rings=tuple(tuple(map(put, ring)) for ring in piece.rings),
        holes=tuple(replace(hole, at=put(hole.at)) for hole in piece.holes),
        bosses=tuple(replace(boss, at=put(boss.at)) for boss in piece.bosses),
    )


UNDER = 8.0
"""mm: from line to line of the list under a board at true size."""
LETTERS = 5.0
"""mm: size of the letters of a board at true size."""


def board_cuts(board: FoamBoard, number: int, axes: Axes, title: Title, told: Sequence[str]) -> Drawing:
    """A board at true size for a cutter: every edge and hole, reference lines, numbers, and a list under it."""
    strokes: list[Stroke] = []
    for piece, at, turned in board.pieces:
        there = on_board(piece, at, turned)
        strokes += piece_cuts(there, (0.0, 0.0))
        strokes += [_turned_mark(stroke, piece, at, turned) for stroke in piece_marks(piece, (0.0, 0.0))]
    words = [made for made in _numbers(board, strokes, LETTERS) if isinstance(made, Words)]
    seen = f"marked face: {axes.words(axes.axis)}; arrow: {axes.words(*axes.up)}"
    lines = [*title.urgent, *told, seen]
    lines += [f"{piece.name}: lines at {' and '.join(line_words(piece, axes))}" for piece, _, _ in board.pieces]
    words += [Words((0.0, -UNDER * i), line, LETTERS) for i, line in enumerate(lines, 1)]
    return Drawing(name=f"board {number}", title=title, facts=(), strokes=tuple(strokes), words=tuple(words))


def _turned_mark(stroke: Stroke, piece: StationPiece, at: Point, turned: bool) -> Stroke:
    """A mark of a piece where the piece lies on its board."""
    circled = stroke.circle
    if circled is not None:
        (put,) = on_board(replace(piece, holes=(StationHole(circled[0], 1.0, ""),)), at, turned).holes
        return Stroke.of(stroke.layer, circle(put.at, circled[1]))
    ends = [p for segment in stroke.segments for p in (segment.a, segment.b)]
    holes = tuple(StationHole(p, 1.0, "") for p in ends)
    put_ends = [hole.at for hole in on_board(replace(piece, holes=holes), at, turned).holes]
    return Stroke(stroke.layer, tuple(Line(a, b) for a, b in zip(put_ends[::2], put_ends[1::2], strict=True)))


def board_picture(board: FoamBoard, number: int, title: Title, facts: tuple[tuple[str, str], ...]) -> Drawing:
    """A picture of a board, not to scale, with its pieces numbered."""
    size = READ * max(board.length / ROOM[0], board.width / ROOM[1])
    centre = (board.length / 2, board.width / 2)
    strokes = [Stroke.of("axis", rectangle(board.length, board.width, centre=centre))]
    for piece, at, turned in board.pieces:
        strokes += piece_cuts(on_board(piece, at, turned), (0.0, 0.0))
    made = [*_numbers(board, strokes, size)]
    strokes += [one for one in made if isinstance(one, Stroke)]
    rows = tuple(
        (piece.name, f"{piece.bounds[2] - piece.bounds[0]:.0f} x {piece.bounds[3] - piece.bounds[1]:.0f}",
         f"{at[0]:.0f}, {at[1]:.0f}", "turned a quarter" if turned else "", "")
        for piece, at, turned in board.pieces
    )  # fmt: skip
    return Drawing(
        name=f"board {number}",
        title=title,
        facts=facts,
        strokes=tuple(strokes),
        words=tuple(one for one in made if isinstance(one, Words)),
        tables=(Table("Pieces", ("piece", "size", "corner at", "lies", "cut"), rows),),
        true_size=False,
    )


def _numbers(board: FoamBoard, strokes: Sequence[Stroke], size: float) -> Iterator[Words | Stroke]:
    labels = Board(strokes)
    for piece, at, turned in board.pieces:
        there = on_board(piece, at, turned)
        yield from labels.label(piece.name, inner_point(there), size=size)
