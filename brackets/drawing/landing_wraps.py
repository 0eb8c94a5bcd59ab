"""The papers that are wrapped round a tube to mark where other pieces land on it.

mm on flat paper, seen on the printed side, the tube's end up; (0, 0) is the seam at the lower edge, which lies a
whole number of mm from the tube's sawn start. Degrees are the tube's own, from its clock line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from brackets.drawing.blank import short_hash
from brackets.drawing.labels import Board, put
from brackets.drawing.record import Drawing, Stroke, Table, Title, Words, width
from brackets.drawing.wrap_marks import (
    BAND,
    NAME,
    aside,
    axes,
    broken,
    chain,
    clock_name,
    numbers,
    paper_edge,
    sky,
    ticks,
)
from brackets.forming.cut_rows import CutRow
from brackets.forming.wrap import SEAM, Wrap
from brackets.geometry.segments import Point
from brackets.model.landing import Curve, OnRound
from brackets.model.tube import BentTube, Tube

LABEL = 2.5
"""mm: size of type, as on the wraps of the ends."""

LEAD = 3.6
"""mm from one line of type to the next."""

ROUND_ABOUT = 12.0
"""mm of paper below and above what lands: room for its name."""

STUB = 6.0
"""mm that the quarter lines run up from the lower edge: names want the room between them."""

STOP = 1.5
"""mm to either side: the strokes across the ends of a plate's edge, seen where it lies on the clock line."""

APART = 3.0
"""mm that what lands keeps from the seam."""

SEAMS = (180.0, 90.0, 270.0, 135.0, 225.0, 45.0, 315.0, 150.0, 210.0, 120.0, 240.0, 60.0, 300.0)
"""Degrees at which the seam is tried, until nothing lands across it."""

COLUMNS = ("what", "from", "to", "clock from", "to", "middle", "measured")

TABLE = "What lands on it, mm from the sawn start, degrees from the clock line"


def landing_table(landed: Sequence[OnRound]) -> Iterator[Table]:
    """Where it lands; nothing where nothing does."""
    if landed:
        yield Table(TABLE, COLUMNS, tuple(_cells(one) for one in landed))


def _cells(one: OnRound) -> tuple[str, ...]:
    low, high = one.along
    if one.clocks is None:
        return (one.name, f"{low:z.2f}", f"{high:z.2f}", "all round", "", "", "")
    return (one.name, f"{low:z.2f}", f"{high:z.2f}", *map(_degrees, (*one.clocks, sum(one.clocks) / 2)), "")


def _degrees(value: float) -> str:
    """To a tenth, 0 to 359.9."""
    return f"{round(value % 360.0, 1) % 360.0:.1f}"


@dataclass(frozen=True)
class _Strip:
    """What one paper shows, as it lies near together; `base` is the paper's lower edge, mm from the start."""

    base: float
    landed: tuple[OnRound, ...]


def _strips(landed: Sequence[OnRound]) -> Iterator[_Strip]:
    found: list[list[OnRound]] = []
    reach = -math.inf
    for one in sorted(landed, key=lambda one: one.along):
        if one.along[0] > reach + 2 * ROUND_ABOUT:
            found.append([])
        found[-1].append(one)
        reach = max(reach, one.along[1])
    for group in found:
        yield _Strip(max(0.0, math.floor(group[0].along[0] - ROUND_ABOUT)), tuple(group))


def landing_wraps(
    tube: Tube | BentTube,
    row: CutRow,
    title: Title,
    landed: Sequence[OnRound],
    *,
    paper: float,
    overlap: float,
    seam: float = SEAM,
) -> tuple[Drawing, ...]:
    """A paper for each place along the tube where something lands; the first has the sheet of facts."""
    found = [_drawn(tube, row, title, strip, paper, overlap, seam) for strip in _strips(landed)]
    found[:1] = [replace(one, tables=tuple(landing_table(landed)), notes=NOTES) for one in found[:1]]
    found[1:] = [replace(one, sheet=False) for one in found[1:]]
    return tuple(found)


NOTES = (
    "A paper for what lands on the tube: cut it out along its edge and wrap it round print side out, its lower "
    "edge at the distance printed on it, measured from the sawn start (long point), the clock line on the line "
    "scribed along the tube. Punch along the lines through the paper.",
    "A closed pair of lines is where a tube is set on: its outside and its bore. A pair of lines that do not close "
    "are the two faces of a plate that stands between them.",
    "Where the paper reaches past the end of the tube, let it stand over.",
)


def _drawn(
    tube: Tube | BentTube, row: CutRow, title: Title, strip: _Strip, paper: float, overlap: float, seam: float
) -> Drawing:
    made = _paper(tube, strip.landed, paper, overlap, seam)
    edge: Curve = ((0.0, 0.0), (made.width, 0.0))
    peak = max(one.along[1] for one in strip.landed) - strip.base + ROUND_ABOUT
    rows = [
        line
        for words in (
            f"{title.part}: {row.name}, what lands on it",
            f"lower edge {strip.base:.0f} mm from the sawn START",
            "PRINT SIDE OUT, end of the tube upwards",
        )
        for line in broken(words, made.width - 2 * LEAD, LABEL)
    ]
    top = peak + 1.5 + LEAD * (len(rows) + 0.5) + NAME + BAND
    strokes = [Stroke("cut", paper_edge(made, edge, top), closed=True)]
    strokes += [*axes(made, edge, top, up_to=STUB), *ticks(made, sky(edge), top)]
    strokes.append(Stroke.line("mark", (made.x(0.0), STUB), (made.x(0.0), top - BAND - NAME)))
    for one in strip.landed:
        for curve in one.curves:
            for run in _on_paper(made, curve, strip.base):
                strokes += [Stroke("mark", chain(run)), *_stops(run)]
    words = [*numbers(made, sky(edge), top), clock_name(made, top)]
    first = peak + 1.5 + LEAD * (len(rows) - 1)
    words += [Words((LEAD, first - LEAD * i), text, LABEL) for i, text in enumerate(rows)]
    board = Board(strokes[1:])
    for box in (*(word.box for word in words), *aside(made, edge, top, waste=True)):
        board.block(box)
    for one in strip.landed:
        text = _text(one) if width(_text(one), LABEL) < made.width / 2 - LEAD else one.name
        put(board.label(text, _about(made, one, strip.base), size=LABEL), strokes, words)
    return Drawing(
        name=f"{tube.name}, landing at {strip.base:.0f}",
        title=title,
        facts=(
            ("part", title.part),
            ("piece", tube.name),
            ("lower edge", f"{strip.base:.0f} mm from the sawn start"),
            ("revision", title.revision or "none given"),
            ("values", short_hash(tube)),
            ("material", f"{tube.material}, {tube.od:g} x {tube.wall:g} mm"),
            ("long points", f"{row.long:.2f} mm over both: saw to this"),
        ),
        strokes=tuple(strokes),
        words=tuple(words),
    )


def _text(one: OnRound) -> str:
    low, high = one.along
    far = f"{low:z.1f}" if high - low < 0.05 else f"{low:z.1f} to {high:z.1f}"
    return f"{one.name}, {far}" + ("" if one.clock is None else f", clock {_degrees(one.clock)}")


def _paper(tube: Tube | BentTube, landed: Sequence[OnRound], paper: float, overlap: float, seam: float) -> Wrap:
    """The paper, its seam where nothing lands, if there is such a place."""
    made = Wrap(
        name=tube.name,
        which="start",
        od=tube.od,
        wall=tube.wall,
        paper=paper,
        overlap=overlap,
        seam=seam,
        style="bevel",
        turn=1,
        cut=(),
        lip=(),
        short=(0.0, 0.0),
        long=(0.0, 0.0),
        lip_gap=0.0,
    )
    tried = (replace(made, seam=one) for one in (seam, *SEAMS))
    curves = [curve for one in landed for curve in one.curves]
    return next((one for one in tried if all(_is_clear(one, curve) for curve in curves)), made)


def _is_clear(made: Wrap, curve: Curve) -> bool:
    """Whether a curve keeps clear of the seam."""
    runs = list(_on_paper(made, curve, 0.0))
    return len(runs) == 1 and all(APART < x < made.width - APART for x, _ in runs[0])


def _stops(run: Sequence[Point]) -> Iterator[Stroke]:
    """Strokes across both ends of a line that runs along the tube."""
    if all(abs(x - run[0][0]) < STOP / 10 for x, _ in run):
        for x, y in (run[0], run[-1]):
            yield Stroke.line("mark", (x - STOP, y), (x + STOP, y))


def _on_paper(made: Wrap, curve: Curve, base: float) -> Iterator[tuple[Point, ...]]:
    """A curve on the flat paper, parted at the seam."""
    points = [((degrees - made.seam) * made.per_degree, y - base) for degrees, y in curve]
    sheet = math.floor((points[0][0] + points[1][0]) / 2 / made.width)
    run = [(points[0][0] - sheet * made.width, points[0][1])]
    for (ax, ay), (bx, by) in pairwise(points):
        there = math.floor((ax + bx) / 2 / made.width)
        if there != sheet:
            # parted at the point nearest the seam: curves run a degree at most from point to point
            yield tuple(run)
            sheet = there
            run = [(min(max(ax - sheet * made.width, 0.0), made.width), ay)]
        run.append((min(max(bx - sheet * made.width, 0.0), made.width), by))
    if len(run) > 1:
        yield tuple(run)


def _about(made: Wrap, one: OnRound, base: float) -> Point:
    """A point of its outermost curve for the label to name."""
    run = next(_on_paper(made, one.curves[0], base))
    return run[len(run) // 2]
