"""What is said of a way in or out: what holds it, what it meets, where it is tight."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.pairs import at_least
from brackets.bay.ways import WayFound
from brackets.findings import PRACTICE, Finding


def way_findings(found: Sequence[WayFound]) -> Iterator[Finding]:
    """A stop for each way that is blocked, a caution for each that is tighter than asked."""
    for way in found:
        if way.held:
            yield Finding(
                level="stop",
                code="way held",
                piece=way.name,
                about=about(way),
                source=PRACTICE,
                sentence=f"{way.part} does not come out: bolted at {', '.join(way.held)};"
                " name these under without, once they are out",
            )
        elif not way.out:
            yield _blocked(way)
        elif way.low is not None and way.low < way.needed:
            yield Finding(
                level="caution",
                code="way",
                piece=way.name,
                about=about(way),
                value=way.low,
                limit=way.needed,
                source=f"gap way: {way.why}",
                sentence=(
                    f"comes out, {at_least(way.low)} mm past {between(way)} {place(way)}, {way.needed:g} asked"
                ),
            )


def _blocked(way: WayFound) -> Finding:
    leg = way.legs[-1]
    return Finding(
        level="stop",
        code="way blocked",
        piece=way.name,
        about=about(way),
        value=leg.free,
        limit=leg.length,
        unit=leg.unit,
        source="the bay file",
        sentence=f"{way.part} does not come out: {place(way)} of {leg.length:g} {leg.unit}, {between(way)} meet"
        + ("" if way.p is None else f" at {', '.join(f'{c:.0f}' for c in way.p)}"),
    )


def about(way: WayFound) -> tuple[str, ...]:
    """The way itself, what moves on it, the two that come nearest or meet, and what still holds it."""
    return tuple(dict.fromkeys((way.name, way.part, *(way.pair or ()), *way.held)))


def between(way: WayFound) -> str:
    """The two that come nearest, or meet."""
    return "" if way.pair is None else " and ".join(way.pair)


def place(way: WayFound) -> str:
    """Where on the way: "after 12.3 mm of leg 1"."""
    if way.at is None:
        return ""
    number, along = way.at
    unit = way.legs[number - 1].unit
    return f"after {along:.1f} {unit} of leg {number}" if len(way.legs) > 1 else f"after {along:.1f} {unit}"
