"""Bolts, paths, links and slots of a fitted bay as rows of tables, for screen and page alike. mm, degrees."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import assert_never

from brackets.bay.adjust_rules import Adjusted
from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import ChassisBolt
from brackets.bay.clear.link_motion import LinkEnd, LinkFound
from brackets.bay.clear.pairs import at_least
from brackets.bay.clear.paths import BayPath
from brackets.bay.clear.scan_rules import between, place
from brackets.bay.stand.bobbin_ends import EndBolt, StudNut
from brackets.bay.stand.hardware import MountBolt

PATH_HEADS = ("path", "comes out", "free", "least", "asked", "what")
BOLTS = ("bolt", "holds", "size", "comes out", "tool")

ADJUST_HEADS = ("part", "moved", "mount: engine gains x, y, z", "least", "asked", "to", "bolts, paths, seats")

LINK_HEADS = ("link", "at", "bar", "centres off by", "radial", "axial", "tilt, deg")

SETTLED = 0.05
"""mm of an interval under which one figure is said of it: half of the last digit."""
UNSETTLED = 1.0
"""Width of an interval, mm, above which its upper end says nothing worth reading."""


@dataclass(frozen=True)
class Row:
    """A row of a table of paths or bolts: its cells, the bodies it is about, and whether all is as it should be."""

    cells: tuple[str, ...]
    things: tuple[str, ...]
    good: bool


def span(low: float, high: float) -> str:
    """An interval in mm as text: one number where it is narrow; "18.3+" where only its low end was needed."""
    if high - low < SETTLED:
        return at_least(low)
    return f"{at_least(low)}-{high:.1f}" if high - low <= UNSETTLED else f"{at_least(low)}+"


def path_row(path: BayPath) -> Row:
    """How far a path in or out is free, and what it passes nearest."""
    things = (path.part, *(path.pair or ()))
    asked = f"{path.needed:g}"
    if path.held:
        return Row((path.name, "NO", "0", "", asked, f"bolted at {', '.join(path.held)}"), things, good=False)
    free = " ".join(f"{leg.free:.4g}{'' if leg.unit == 'mm' else ' deg'}" for leg in path.legs)
    out = ("NOT KNOWN" if path.notes else "yes") if path.out else "NO"
    if path.low is None or path.high is None:
        return Row((path.name, out, free, "", asked, "nothing else is there"), things, good=not path.notes)
    least = span(path.low, path.high) if path.out else ""
    said = (path.name, out, free, least, asked, f"{between(path)}, {place(path)}")
    return Row(said, things, good=path.out and not path.notes and path.low >= path.needed)


def bolt_row(one: BoltFound) -> Row:
    """What a bolt is, whether it comes straight out, and what gets at its head and nut."""
    of = one.bolt
    size = f"{one.row.name}, none fits" if one.used is None else one.row.of_length(one.used.length)
    out, turned = one.drawn, one.turned is not None and one.turned.out
    came = "" if out is None else "yes" if out.out else "from the other end" if turned else f"NO: {out.by}"
    missed = [end.end for end in one.ends if not end.ok]
    tool = f"none at the {' and '.join(missed)}" if missed else "yes" if one.ends else ""
    match of:
        case MountBolt():
            name, holds = f"{of.mount} bolt", of.mount
            things: tuple[str, ...] = (name,)
        case StudNut():
            size = f"{one.row.name} nut"
            name, holds, things = of.name, of.part, (of.name, of.end, of.part)
        case EndBolt():
            name, holds, things = of.name, of.part, (of.name, of.end, of.part)
        case BossBolt():
            name, holds = of.name, of.part
            things = (name, holds)
        case ChassisBolt():
            name, holds = of.name, " | ".join((of.part, *of.onto))
            things = (name, of.part, *of.onto)
        case _:
            assert_never(of)
    good = (one.used is not None or isinstance(of, StudNut)) and not missed and (out is None or out.out or turned)
    return Row((name, holds, size, came, tool), things, good=good)


def link_rows(link: LinkFound) -> tuple[Row, ...]:
    """A row for each bush of a link: mm of bar, how far the bush centres come nearer and further apart than that,
    and what the bush is asked for over the movement of what it gives."""
    off = ""
    if link.demand is not None:
        off = f"-{max(0.0, link.demand.squeeze.high):.1f} to +{max(0.0, link.demand.stretch.high):.1f}"
    return tuple(
        Row((link.part, end.mount, f"{link.length:.1f}", off, *said), (link.part, f"{end.mount} bush"), good=good)
        for end in (link.chassis, link.powertrain)
        for said, good in [_asked(end)]
    )


def adjust_cells(one: Adjusted) -> tuple[str, ...]:
    """A row under ADJUST_HEADS."""
    of = one.of
    if of.stuck:
        return (of.part, "no way", of.stuck, "", "", "", "")
    gains = ", ".join(f"{mm + 0.0:.1f}" for mm in of.shift)
    carried = "; ".join(f"{name}: {gains}" for name in of.mounts) or "none"
    worse = f"{len(one.said)} worse" if one.said else "as drawn"
    if not one.gaps:
        return (of.part, of.words, carried, "", "", "", worse)
    near = one.gaps[0]
    other = f"{near.a} | {near.b}" + (", engine moving" if near.moving else "")
    return (of.part, of.words, carried, span(near.low, near.high), f"{near.needed:g}", other, worse)


def _asked(end: LinkEnd) -> tuple[tuple[str, ...], bool]:
    asked, row = end.demand, end.row
    if asked is None:
        return ("", "", ""), True
    limits = (row.travel_radial, row.travel_axial, row.travel_tilt)
    most = [figure.high for figure in (asked.radial, asked.axial, asked.tilt)]
    said = tuple(
        f"{math.ceil(high * 10 - 1e-6) / 10:.1f} of {'?' if limit is None else f'{limit:g}'}"
        for high, limit in zip(most, limits, strict=True)
    )
    return said, all(limit is None or high <= limit for high, limit in zip(most, limits, strict=True))
