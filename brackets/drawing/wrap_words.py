"""What is written on a wrap and on its sheet of facts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.cope import Wrap, contour
from brackets.cope.curve import extent
from brackets.drawing.blank import short_hash
from brackets.drawing.record import Table, Title, width
from brackets.layout.cut_rows import ENDS_OF, TUBES, CutRow, end_cells, tube_cells
from brackets.pieces import BentTube, Tube

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
    return tuple(line for words in told for line in _broken(words, room, size))


def _node(from_node: float) -> str:
    """Where the node is, seen from the long point with the body upwards."""
    if abs(from_node) < 0.05:
        return "node level with this long point"
    return f"node {abs(from_node):.1f} {'below' if from_node > 0 else 'above'} this long point"


def _broken(words: str, room: float, size: float) -> Iterator[str]:
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
