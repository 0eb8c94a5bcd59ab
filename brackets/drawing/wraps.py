"""The papers that are wrapped round a tube's ends to mark how they are cut.

mm on flat paper, seen on the printed side, the tube's body upwards; (0, 0) is the seam at the height of the long
point, which is the sawn end. The lower edge is the cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from brackets.drawing.bending import bending_sheet
from brackets.drawing.labels import Board, put
from brackets.drawing.landing_wraps import landing_table, landing_wraps
from brackets.drawing.record import Drawing, Stroke, Title, Words, width
from brackets.drawing.wrap_marks import (
    BAND,
    NAME,
    NUMBER,
    aside,
    axes,
    chain,
    clock_name,
    extremes,
    facts,
    flap,
    headlines,
    notes,
    numbers,
    paper_edge,
    sky,
    tables,
    thinned,
    ticks,
)
from brackets.forming.cut_rows import CutRow, cut_rows
from brackets.forming.wrap import OVERLAP, PAPER, SEAM, Style, Wrap, is_square, lengths, wrap
from brackets.model.bent_tube import straights
from brackets.model.cope import ENDS, extent
from brackets.model.landing import OnRound
from brackets.model.piece import Piece
from brackets.model.tube import BentTube, Tube, Which
from brackets.model.weld import Weld

LABEL = 2.5
"""mm: size of type on a wrap; a 25 mm tube takes some 55 letters round."""

LEAD = 3.6
"""mm from one line of type to the next."""

OFF = 3.0
"""mm of white between what is drawn and what is written."""

ABOVE = 0.6
"""mm over the cut line that the leader of a label ends: on the paper that is kept."""


def wraps(
    piece: Tube | BentTube,
    title: Title,
    *,
    welds: Sequence[Weld] = (),
    among: Sequence[Piece] = (),
    landed: Sequence[OnRound] = (),
    style: Style = "bevel",
    paper: float = PAPER,
    overlap: float = OVERLAP,
    seam: float = SEAM,
) -> tuple[Drawing, ...]:
    """The drawings that a tube is cut and bent by.

    A wrap for each end that is not cut square, the start's first; a paper for each place where something lands on
    it; after them a bent tube's bending sheet. The first wrap's sheet of facts is for all of them.

    piece: the tube;
    title: who and what the drawings are for;
    welds, among: the welds and the pieces of its part, which say what the ends meet;
    landed: what lands on its outside (`brackets.model.landing`);
    style: "bevel" draws the outer contour as the cut and where the bore must end, "no bevel" the deeper of both,
    to be cut square through;
    paper: its thickness, mm, 0 to 2;
    overlap: paper under the seam, mm, 0 to 100;
    seam: where round the tube the seam lies, degrees from the clock line.
    Raises InputError where `paper` or `overlap` is outside its limits.

    >>> leg = Run("leg", "38x3", ((0, 0, 0), (0, 0, 200)))
    >>> stay = Run("stay", "25x2", ((0, 0, 100), (100, 0, 100)), start="leg")
    >>> bow = Run("bow", "25x2", ((0, 50, 0), (100, 50, 0), (100, 150, 0)), bend_r=50)
    >>> [sheet.name for tube in lay_out(leg, stay, bow).tubes for sheet in wraps(tube, Title(part="frame"))]
    ['stay, start', 'bow, bending']
    """
    [row] = cut_rows([piece], welds, among=among)
    made = [
        wrap(piece, which, paper=paper, overlap=overlap, seam=seam, style=style)
        for which in ENDS
        if not is_square(piece, which)
    ]
    found = [_drawn(piece, one, row, title) for one in made]
    lands = landing_wraps(piece, row, title, landed, paper=paper, overlap=overlap, seam=seam)
    if found:
        table, notes_of = (*tables(piece, made, row), *landing_table(landed)), notes(piece, made)
        notes_of = (*notes_of, *(note for one in lands for note in one.notes))
        found[0] = replace(found[0], tables=table, notes=notes_of)
        lands = tuple(replace(one, tables=(), notes=()) for one in lands)
        found[1:] = [replace(other, sheet=False) for other in (*found[1:], *lands)]
    else:
        found = list(lands)
    return (*found, bending_sheet(piece, row, title)) if isinstance(piece, BentTube) else tuple(found)


def _drawn(tube: Tube | BentTube, made: Wrap, row: CutRow, title: Title) -> Drawing:
    low, room = extent(tube, made.which, (tube.od / 2,))[0], _room(tube, made.which)
    cut = tuple((x, y - low) for x, y in made.cut)
    lip = tuple((x, y - low) for x, y in made.lip) if made.style == "bevel" else ()
    over = sky(cut, lip)
    peak, pit = (pick(y for _, y in (*cut, *lip)) for pick in (max, min))
    rows = headlines(made, row, title, room=made.width - 2 * OFF, size=LABEL)
    named = peak + OFF + 2 * LEAD
    top = named + OFF + LEAD * len(rows) + NAME + BAND
    inside = top <= room
    top = top if inside else min(peak + OFF + BAND, room)
    rows = rows if inside else (*rows, "clock line at 0")

    strokes = [Stroke("cut", paper_edge(made, cut, top), closed=True)]
    strokes += [Stroke("bevel", chain(lip))] if lip else []
    strokes += [*axes(made, cut, top, up_to=peak + OFF if inside else top), *ticks(made, over, top)]
    first = named + OFF + LEAD * (len(rows) - 1) if inside else pit - OFF - 3 * LEAD
    words = [*numbers(made, over, top), *_glue(made, peak, top), *([clock_name(made, top)] if inside else [])]
    words += [Words((OFF, first - LEAD * i), row, LABEL) for i, row in enumerate(rows)]
    board = Board([Stroke("cut", chain(thinned(line))) for line in (cut, lip) if line])
    for stroke in strokes:
        if stroke.layer not in ("cut", "bevel"):
            board.add(stroke)
    for box in (*(word.box for word in words), *aside(made, cut, top, waste=inside)):
        board.block(box)
    named_points = [
        *(("SHORT POINT", (x, y + ABOVE)) for x, y in extremes(cut, max)),
        *(("LONG POINT", (x, y + ABOVE)) for x, y in extremes(cut, min)),
    ]
    for name, about in named_points:
        put(board.label(name, about, size=LABEL), strokes, words)
    return Drawing(
        name=f"{tube.name}, {made.which}",
        title=title,
        facts=facts(tube, made, row, title),
        strokes=tuple(strokes),
        words=tuple(words),
    )


def _room(tube: Tube | BentTube, which: Which) -> float:
    """How far up from the sawn end the paper may reach: to the other end, or to the first bend."""
    if isinstance(tube, Tube):
        return lengths(tube).long
    line = straights(tube)[0 if which == "start" else -1]
    return line.length - extent(tube, which, (tube.od / 2,))[0]


def _glue(made: Wrap, peak: float, top: float) -> Iterator[Words]:
    wide = width("glue", NUMBER)
    if flap(made) >= wide + 1.0 and top - peak > 2 * NUMBER:
        yield Words((made.width + (flap(made) - wide) / 2, (peak + top) / 2), "glue", NUMBER)
