"""The cut table: what is sawn off for every tube of a part, and how its two ends are cut.

mm, degrees, kg; degrees are the tube's own, from its clock line (x of its frame) towards y round its z.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import astuple, dataclass, replace
from typing import Any

from brackets.core.place import HERE
from brackets.core.vectors import Vec
from brackets.forming.wrap import is_square, lengths, lip_gap
from brackets.model.bent_tube import bends, centre_length, cut_length
from brackets.model.cope import ENDS, extent, points
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.tube import BentTube, Tube, Which
from brackets.model.weld import TubeRim, Weld

ALIKE = 6
"""Decimals to which two tubes are compared: finer than any saw, coarser than rounding."""


@dataclass(frozen=True, kw_only=True)
class CutEnd:
    """One end. `meets` names what it is cut to, in the order of the cuts; `cut` is "square" or the kinds of cut.

    `angle` and `offset` are of the first cut, `clock` where its acute side lies; `short` and `long` where the
    outer contour's short and long point lie; `from_node` how far the long point lies from the node into the tube,
    negative beyond it; `lip` how far the inner lip fouls if the end is cut square through and not bevelled.
    """

    meets: str
    cut: str
    angle: float
    offset: float
    clock: float
    short: float
    long: float
    from_node: float
    lip: float

    @property
    def wrap(self) -> bool:
        """Whether the end wants a wrap; a square one is sawn."""
        return self.cut != "square"

    def __str__(self) -> str:
        onto = f" onto {self.meets}" if self.meets else ""
        return f"{self.cut} {self.angle:.1f} deg{onto}" if self.wrap else f"square{onto}"


@dataclass(frozen=True, kw_only=True)
class CutRow:
    """One row of the cut table: a tube, or several that are alike.

    `long` over both long points (what is sawn off), `node` from node to node along the axis. `clock` is how far
    the far end's acute side is turned from the near end's; None where an end is square. `bend_r` the centre-line
    radius of a bent tube, 0 for a straight one. `mass` of each.
    """

    names: tuple[str, ...]
    od: float
    wall: float
    material: str
    long: float
    node: float
    start: CutEnd
    end: CutEnd
    clock: float | None
    bends: int
    bend_r: float
    mass: float

    @property
    def name(self) -> str:
        return self.names[0]

    @property
    def count(self) -> int:
        return len(self.names)

    def __str__(self) -> str:
        return (
            f"{', '.join(self.names)}: {self.od:g} x {self.wall:g} {self.material}, "
            f"{self.long:.2f} over long points, {self.node:.2f} node to node, "
            f"{self.start}, {self.end}, {self.mass:.3f} kg"
        )


def tubes_of(part: Part) -> tuple[Tube | BentTube, ...]:
    """The tubes of a part, in its order."""
    return tuple(piece for piece in part.pieces if isinstance(piece, Tube | BentTube))


def cut_rows(
    tubes: Iterable[Tube | BentTube], welds: Sequence[Weld] = (), *, among: Sequence[Piece] = ()
) -> tuple[CutRow, ...]:
    """The cut table of tubes: one row for each, like ones that meet the same things together; mm, degrees, kg.

    tubes: of one part, in its frame; welds: of that part, which say what the ends meet; among: its other pieces,
    which the welds may name.

    >>> leg = Run("leg", "38x3", ((0, 0, 0), (0, 0, 200)))
    >>> stay = Run("stay", "25x2", ((0, 0, 100), (100, 0, 100)), start="leg")
    >>> rows = cut_rows(lay_out(leg, stay).tubes)
    >>> [(row.name, round(row.long, 3)) for row in rows], round(100 - (19**2 - 12.5**2) ** 0.5, 3)
    ([('leg', 200.0), ('stay', 85.691)], 85.691)
    """
    all_tubes = tuple(tubes)
    found: dict[Any, CutRow] = {}
    for tube in all_tubes:
        met = {which: meets(tube, which, welds, (*all_tubes, *among)) for which in ENDS}
        key = (_rounded(astuple(replace(tube, name="", place=HERE))), *met.values())
        row = found.get(key)
        if row is None:
            found[key] = _row(tube, met)
        else:
            found[key] = replace(row, names=(*row.names, tube.name))
    return tuple(found.values())


def meets(tube: Tube | BentTube, which: Which, welds: Sequence[Weld], others: Sequence[Piece] = ()) -> str:
    """What one end is welded to, in the order of its cuts; a mitre is welded once, from the other tube's end."""
    onto = [w.onto for w in welds if w.piece == tube.name and w.edge == TubeRim(which)]
    return " then ".join(onto) or next(_mitred(tube, which, welds, others), "")


def _mitred(tube: Tube | BentTube, which: Which, welds: Sequence[Weld], others: Sequence[Piece]) -> Iterator[str]:
    there = {other.name: other for other in others}
    for weld in welds:
        other = there.get(weld.piece)
        if weld.onto != tube.name or not isinstance(weld.edge, TubeRim) or not isinstance(other, Tube | BentTube):
            continue
        tip = node(other, weld.edge.end)
        nearer = min(ENDS, key=lambda end: math.dist(node(tube, end), tip))
        if nearer == which and math.dist(node(tube, which), tip) < tube.od and not is_square(tube, which):
            yield weld.piece


def node(tube: Tube | BentTube, which: Which) -> Vec:
    """The node of one end, in the part's frame."""
    if which == "start":
        return tube.place.at
    return tube.place.point(tube.points[-1] if isinstance(tube, BentTube) else (0.0, 0.0, tube.length))


def _row(tube: Tube | BentTube, met: dict[Which, str]) -> CutRow:
    from brackets.model.mass import of

    if isinstance(tube, BentTube):
        long, whole, count, bend_r = cut_length(tube), centre_length(tube), len(bends(tube)), tube.bend_r
    else:
        cut = lengths(tube)
        long, whole, count, bend_r = cut.long, cut.node, 0, 0.0
    start, end = (_end(tube, which, met[which]) for which in ENDS)
    return CutRow(
        names=(tube.name,),
        od=tube.od,
        wall=tube.wall,
        material=tube.material,
        long=long,
        node=whole,
        start=start,
        end=end,
        clock=(end.clock - start.clock) % 360.0 if start.wrap and end.wrap else None,
        bends=count,
        bend_r=bend_r,
        mass=of(tube).kg,
    )


def _end(tube: Tube | BentTube, which: Which, met: str) -> CutEnd:
    cuts = tube.cuts(which)
    square = is_square(tube, which)
    short, long = (0.0, 0.0) if square else points(tube, which)
    return CutEnd(
        meets=met,
        cut="square" if square else " then ".join(cut.kind for cut in cuts),
        angle=90.0 if square else cuts[0].angle,
        offset=cuts[0].offset,
        clock=cuts[0].clock,
        short=short,
        long=long,
        from_node=extent(tube, which, (tube.od / 2,))[0],
        lip=0.0 if square else lip_gap(tube, which),
    )


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, ALIKE) + 0.0
    return tuple(_rounded(inner) for inner in value) if isinstance(value, tuple) else value


TUBES = ("tube", "od x wall", "material", "long points", "node", "clock", "bends", "kg each", "number")
"""Headings of `tube_cells`."""

ENDS_OF = ("end", "meets", "kind", "angle", "offset", "short point", "long point", "to node", "inner lip")
"""Headings of `end_cells`."""


def tube_cells(row: CutRow) -> tuple[str, ...]:
    """One tube's row as text: mm to a hundredth, degrees to a tenth."""
    return (
        ", ".join(row.names),
        f"{row.od:g} x {row.wall:g}",
        row.material,
        f"{row.long:.2f}",
        f"{row.node:.2f}",
        "" if row.clock is None else f"{row.clock:.1f}",
        f"{row.bends} r{row.bend_r:g}" if row.bends else "",
        f"{row.mass:.3f}",
        str(row.count),
    )


def end_cells(row: CutRow) -> tuple[tuple[str, ...], ...]:
    """The two ends of a tube as text, nothing as 0.00 and not as -0.00; a square one needs no wrap."""
    return tuple(_end_cells(row, which) for which in ENDS)


def _end_cells(row: CutRow, which: Which) -> tuple[str, ...]:
    end = row.start if which == "start" else row.end
    if not end.wrap:
        return (f"{row.name}, {which}", end.meets, "square: no wrap", "", "", "", "", f"{end.from_node:z.2f}", "")
    return (
        f"{row.name}, {which}",
        end.meets,
        end.cut,
        f"{end.angle:.1f}",
        f"{end.offset:z.2f}",
        f"{end.short:.1f}",
        f"{end.long:.1f}",
        f"{end.from_node:z.2f}",
        f"{end.lip:.2f}",
    )
