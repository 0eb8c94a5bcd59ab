"""Lines, marks and words on a wrap. mm on the flat paper; x = 0 is the seam."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import pairwise

from brackets.drawing.blank import short_hash
from brackets.drawing.record import ASCENT, DESCENT, Layer, Stroke, Table, Title, Words, width
from brackets.forming.cut_rows import ENDS_OF, TUBES, CutRow, end_cells, tube_cells
from brackets.forming.wrap import Wrap
from brackets.geometry.segments import Bounds, Line, Point
from brackets.model.cope import contour, extent
from brackets.model.tube import BentTube, Tube

LEVEL = 0.005
"""mm: where the cut line comes this near to its highest or lowest it has a short or long point too."""


def height(line: Sequence[Point], x: float) -> float:
    """How high the line lies at `x`."""
    after = min(max(bisect_left(line, x, key=lambda p: p[0]), 1), len(line) - 1)
    (ax, ay), (bx, by) = line[after - 1], line[after]
    return by if bx == ax else ay + (by - ay) * (x - ax) / (bx - ax)


def sky(*lines: Sequence[Point]) -> Callable[[float], float]:
    """The higher of the lines, by x."""
    return lambda x: max(height(line, x) for line in lines if line)


def flap(made: Wrap) -> float:
    """Width of the glue flap, half way round at most."""
    return min(made.overlap, made.width / 2)


def paper_edge(made: Wrap, cut: Sequence[Point], top: float) -> tuple[Line, ...]:
    """All round the paper: the cut line, on over the glue flap, and square across the top."""
    wide = flap(made)
    under = [(x + made.width, y) for x, y in cut[1:] if x < wide]
    if wide > 0:
        under.append((made.width + wide, height(cut, wide)))
    points = [*cut, *under]
    return chain([*points, (points[-1][0], top), (0.0, top), points[0]])


def chain(points: Sequence[Point]) -> tuple[Line, ...]:
    return tuple(Line(a, b) for a, b in pairwise(points) if a != b)


def extremes(cut: Sequence[Point], pick: Callable[[Iterable[float]], float]) -> Iterator[Point]:
    """The short points (`pick` max) or the long ones (min): the middle of every stretch that lies so."""
    best = pick(y for _, y in cut)
    stretches: list[list[Point]] = [[]]
    for p in cut:
        if abs(p[1] - best) <= LEVEL:
            stretches[-1].append(p)
        elif stretches[-1]:
            stretches.append([])
    over_seam = len(stretches) > 1 and stretches[0][:1] == [cut[0]] and stretches[-1][-1:] == [cut[-1]]
    for run in stretches[:-1] if over_seam else stretches:
        if run:
            yield run[0] if over_seam and run is stretches[0] else run[len(run) // 2]


def thinned(line: Sequence[Point]) -> tuple[Point, ...]:
    """The line by points a mm apart, near enough to keep labels off it."""
    found = list(line[:1])
    for p in line[1:-1]:
        if math.dist(p, found[-1]) >= 1.0:
            found.append(p)
    return (*found, *line[-1:])


QUARTERS = (0, 90, 180, 270)

CLOCK = "CLOCK LINE"

LONG, MIDDLE, SHORT = 4.0, 2.5, 1.5
"""mm: ticks at a number, every ten degrees (fifteen on a narrow paper), and between."""

NUMBER = 2.3
"""mm: size of the numbers."""

BAND = LONG + 0.8 + (ASCENT + DESCENT) * NUMBER + 0.6
"""mm under the top edge that ticks and numbers take."""

NAME = 3.6
"""mm under the band for the clock line's name."""

FINE = 1.0
"""mm between ticks at least."""

ASIDE = 60.0
"""mm round the paper where no label goes."""

CLEAR = 0.9
"""mm of white beside a number and over the lines it must not lie on."""


def axes(made: Wrap, cut: Sequence[Point], top: float, *, up_to: float) -> Iterator[Stroke]:
    """The quarter lines, from the cut up to `up_to` and again through the band, and the seam.

    The clock line is drawn whole and down to its name, the others as centre lines; one on the seam is the seam.
    """
    for degrees in QUARTERS:
        x = made.x(degrees)
        if not 1e-6 < x < made.width - 1e-6:
            continue
        layer: Layer = "axis" if degrees else "mark"
        band = top - BAND - (0.0 if degrees else NAME)
        if up_to >= band:
            yield Stroke.line(layer, (x, height(cut, x)), (x, top))
        else:
            yield Stroke.line(layer, (x, height(cut, x)), (x, up_to))
            yield Stroke.line(layer, (x, band), (x, top))
    if flap(made) > 0:
        yield Stroke.line("mark", (made.width, height(cut, made.width)), (made.width, top))


def ticks(made: Wrap, sky: Callable[[float], float], top: float) -> Iterator[Stroke]:
    """Down from the top edge, where the paper is tall enough for them."""
    coarse = _numbered(made)
    middle = 15 if coarse == 45 else 10
    fine = next((step for step in (1, 5) if step * made.per_degree >= FINE), middle)
    for degrees in range(0, 360, fine):
        long = LONG if degrees % coarse == 0 else MIDDLE if degrees % middle == 0 else SHORT
        x = made.x(degrees)
        on_line = degrees in QUARTERS or not 1e-6 < x < made.width - 1e-6
        if not on_line and sky(x) < top - long - CLEAR:
            yield Stroke.line("mark", (x, top), (x, top - long))


def numbers(made: Wrap, sky: Callable[[float], float], top: float) -> Iterator[Words]:
    """Degrees under the long ticks, beside the quarter lines."""
    low = top - LONG - 0.8 - ASCENT * NUMBER
    for degrees in range(0, 360, _numbered(made)):
        text, x = f"{degrees}", made.x(degrees)
        wide = width(text, NUMBER)
        left = x + CLEAR if degrees in QUARTERS else x - wide / 2
        ends = (left - CLEAR / 2, left + wide + CLEAR / 2)
        if ends[0] > 0.0 and ends[1] < made.width and max(map(sky, (*ends, x))) < low - DESCENT * NUMBER - CLEAR:
            yield Words((left, low), text, NUMBER)


def clock_name(made: Wrap, top: float) -> Words:
    """The clock line's name, under the band and beside the line, on the side where there is room."""
    x, wide = made.x(0.0), width(CLOCK, NUMBER)
    left = x + CLEAR if x + CLEAR + wide < made.width else x - CLEAR - wide
    return Words((left, top - BAND - NAME + CLEAR), CLOCK, NUMBER)


def _numbered(made: Wrap) -> int:
    """Degrees from number to number: room for one beside its line and half of the next."""
    room = 1.5 * width("000", NUMBER) + 2 * CLEAR
    return next(step for step in (10, 30, 45, 90) if step * made.per_degree >= room or step == 90)


def aside(made: Wrap, cut: Sequence[Point], top: float, *, waste: bool) -> Iterator[Bounds]:
    """Boxes off the paper; `waste`: below the cut line too."""
    right = made.width + flap(made)
    yield (-ASIDE, -ASIDE, 0.0, top + ASIDE)
    yield (-ASIDE, top, right, top + ASIDE)
    yield (made.width, -ASIDE, right, top + ASIDE)
    if waste:
        for (ax, ay), (bx, by) in pairwise(thinned(cut)):
            yield (ax, min(ay, by) - ASIDE, bx, min(ay, by))


STEP = 30
"""Degrees between the rows of the table of the cut line, for those who mark it without paper."""


def headlines(made: Wrap, row: CutRow, title: Title, *, room: float, size: float) -> tuple[str, ...]:
    """What must stay with the paper when it is cut out, in lines that fit `room` mm."""
    end = row.start if made.which == "start" else row.end
    onto = f" onto {end.meets}" if end.meets else ""
    told = [
        f"{title.part}: {row.name}, {made.which.upper()}{onto}",
        f"{row.od:g} x {row.wall:g} {row.material}",
        f"over long points {row.long:.1f}, node to node {row.node:.1f}",
        _node(end.from_node),
        "PRINT SIDE OUT, body of the tube upwards",
    ]
    return tuple(line for words in told for line in broken(words, room, size))


def _node(from_node: float) -> str:
    """Where the node is, seen from the long point with the body upwards."""
    if abs(from_node) < 0.05:
        return "node level with this long point"
    return f"node {abs(from_node):.1f} {'below' if from_node > 0 else 'above'} this long point"


def broken(words: str, room: float, size: float) -> Iterator[str]:
    """The words in lines of at most `room` mm, where words allow it."""
    line = ""
    for word in words.split():
        longer = f"{line} {word}".strip()
        if line and width(longer, size) > room:
            yield line
            line = word
        else:
            line = longer
    yield line


def facts(tube: Tube | BentTube, made: Wrap, row: CutRow, title: Title) -> tuple[tuple[str, str], ...]:
    """The title block."""
    end = row.start if made.which == "start" else row.end
    return (
        ("part", title.part),
        ("piece", tube.name),
        ("end", f"{made.which}, onto {end.meets}" if end.meets else made.which),
        ("revision", title.revision or "none given"),
        ("values", short_hash(tube)),
        ("material", f"{tube.material}, {tube.od:g} x {tube.wall:g} mm"),
        ("long points", f"{row.long:.2f} mm over both: saw to this"),
        ("nodes", f"{row.node:.2f} mm from node to node"),
        ("mass", f"{row.mass:.3f} kg"),
    )


def tables(tube: Tube | BentTube, made: Sequence[Wrap], row: CutRow) -> tuple[Table, ...]:
    """The tube's rows of the cut table, and the cut lines every few degrees."""
    columns = [column for one in made for column in _columns(tube, one)]
    lines = zip(*(cells for _, cells in columns), strict=True)
    degrees = map(str, range(0, 360, STEP))
    return (
        Table("Cut table", TUBES, (tube_cells(row),)),
        Table("Its ends", ENDS_OF, end_cells(row)),
        Table(
            "From the sawn end, mm",
            ("degrees", *(heading for heading, _ in columns), "measured"),
            tuple((at, *cells, "") for at, cells in zip(degrees, lines, strict=True)),
        ),
    )


def _columns(tube: Tube | BentTube, made: Wrap) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Headings and heights of an end's lines."""
    low = extent(tube, made.which, (tube.od / 2,))[0]
    turn = [float(degrees) for degrees in range(0, 360, STEP)]
    out, bore = ([contour(tube, made.which, at, r) - low for at in turn] for r in (tube.od / 2, tube.bore / 2))
    if made.style == "bevel":
        yield f"{made.which}: cut line", tuple(f"{y:.2f}" for y in out)
        yield f"{made.which}: bore", tuple(f"{y:.2f}" for y in bore)
    else:
        yield f"{made.which}: cut line", tuple(f"{max(pair):.2f}" for pair in zip(out, bore, strict=True))


def notes(tube: Tube | BentTube, made: Sequence[Wrap]) -> tuple[str, ...]:
    """How the papers are used."""
    lip = max(one.lip_gap for one in made)
    told = [
        "Cut the paper out along its edge; the lower edge is where the tube is cut.",
        "Saw the tube to its length over long points. Wrap the paper round it print side out, the glue flap under "
        "the seam; its top edge must meet itself at the seam: then it sits square.",
        "Clock line on the line scribed along the tube, long point flush with the sawn end. Degrees run to the "
        "right at the start and to the left at the end, counted from one scribed line.",
        f"Drawn for paper {made[0].paper:g} mm thick; on paper of another thickness the seam does not meet.",
    ]
    if made[0].style == "bevel":
        told.append(
            "Dashed: how far the bore is cut, for the bevel. Cut square through and not bevelled, the inner lip "
            f"fouls and holds the tube {lip:.1f} mm off."
        )
    else:
        least = [
            f"{one.which} {min(y for _, y in one.cut) - extent(tube, one.which, (tube.od / 2,))[0]:.2f}"
            for one in made
        ]
        told.append(
            f"No-bevel cut: square through the wall. Its lowest point, mm from the sawn end: {', '.join(least)}."
        )
    return tuple(told)
