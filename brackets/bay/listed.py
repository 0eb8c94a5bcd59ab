"""Ways and bolts of a fitted bay as rows of words, once for the screen and the page. mm, degrees."""

from __future__ import annotations

from dataclasses import dataclass

from brackets.bay.bolting import BoltFound
from brackets.bay.bought import MountBolt
from brackets.bay.pairs import at_least
from brackets.bay.way_findings import between, place
from brackets.bay.ways import WayFound

WAYS = ("way", "comes out", "free", "least", "asked", "what")
BOLTS = ("bolt", "holds", "size", "comes out", "tool")

UNSETTLED = 1.0
"""Width of an interval, mm, above which its upper end says nothing worth reading."""


@dataclass(frozen=True)
class Row:
    """The cells under WAYS or BOLTS, the bodies of the bay it speaks of, and whether it is as it should be."""

    cells: tuple[str, ...]
    things: tuple[str, ...]
    good: bool


def span(low: float, high: float) -> str:
    """An interval as one number where it is one; "18.3+" where it was only followed until it is surely enough."""
    if high - low < 0.05:
        return at_least(low)
    return f"{at_least(low)}-{high:.1f}" if high - low <= UNSETTLED else f"{at_least(low)}+"


def way_row(way: WayFound) -> Row:
    """How far a way in or out is free, and what it passes nearest."""
    things = (way.part, *(way.pair or ()))
    asked = f"{way.needed:g}"
    if way.held:
        return Row((way.name, "NO", "0", "", asked, f"bolted at {', '.join(way.held)}"), things, good=False)
    free = " ".join(f"{leg.free:.4g}{'' if leg.unit == 'mm' else ' deg'}" for leg in way.legs)
    out = ("NOT KNOWN" if way.notes else "yes") if way.out else "NO"
    if way.low is None or way.high is None:
        return Row((way.name, out, free, "", asked, "nothing else is there"), things, good=not way.notes)
    least = span(way.low, way.high) if way.out else ""
    said = (way.name, out, free, least, asked, f"{between(way)}, {place(way)}")
    return Row(said, things, good=way.out and not way.notes and way.low >= way.needed)


def bolt_row(one: BoltFound) -> Row:
    """What a bolt is, whether it comes straight out, and what gets at its head and nut."""
    of = one.bolt
    mount = isinstance(of, MountBolt)
    size = f"{one.row.name}, none fits" if one.used is None else f"{one.row.name} x {one.used.length:g}"
    out, turned = one.drawn, one.turned is not None and one.turned.out
    came = "" if out is None else "yes" if out.out else "from the other end" if turned else f"NO: {out.by}"
    missed = [end.end for end in one.ends if not end.ok]
    tool = f"none at the {' and '.join(missed)}" if missed else "yes" if one.ends else ""
    name = f"{of.mount} bolt" if isinstance(of, MountBolt) else of.name
    holds = of.mount if isinstance(of, MountBolt) else of.part
    good = one.used is not None and not missed and (out is None or out.out or turned)
    return Row((name, holds, size, came, tool), (name,) if mount else (name, holds), good=good)
