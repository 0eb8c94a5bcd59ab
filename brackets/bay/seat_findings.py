"""What is said of seats that stand on nothing, on half of themselves, or with a weld over air."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.bay.seat_contact import SeatContact
from brackets.findings import PRACTICE, Finding
from brackets.findings.record import Level

SOURCE = f"no weld over more than what the shop bridges: {PRACTICE}"

HANG = 0.5
"""How far a seat may hang past an edge before it is said, mm: what a hand-made part is out anyway."""

BARE = 0.1
"""mm of weld over air below which it is rounding."""


def seat_findings(seats: Sequence[SeatContact]) -> Iterator[Finding]:
    """One finding a seat, the worst there is to say of it; nothing of a seat that stands whole."""
    for one in seats:
        if one.area <= 0 and one.weld <= 0:
            yield _found(one, "caution", "seat", f"its {one.seat} has no face there and is not judged", None)
        elif one.contact <= 0:
            yield _found(one, "stop", "seat", f"its {one.seat} stands on nothing: {_away(one)}", one.nearest)
        elif one.bare > BARE:
            yield _found(one, "stop", "weld on nothing", _weld(one), one.open)
        elif far := [hang for hang in one.hangs if hang[1] > HANG]:
            sentence = f"its {one.seat} hangs {_hangs(one)}; {_stands(one)}"
            yield _found(one, "caution", "overhang", sentence, far[0][1], limit=HANG, source=PRACTICE)
        elif max(one.widest, one.open) > one.allowed:
            wide = max(one.widest, one.open)
            under = f"a gap of {wide:.1f} mm under its {one.seat} at the widest"
            sentence = f"{under}, {one.allowed:g} can be welded over"
            yield _found(one, "caution", "fit-up", sentence, wide)


def _away(one: SeatContact) -> str:
    onto = one.onto[0]
    if one.nearest <= one.allowed:
        return f"it only meets the edge of {onto}"
    if one.nearest == float("inf"):
        return f"{onto} is nowhere near it"
    return f"{onto} is {one.nearest:.1f} mm away, {one.allowed:g} can be welded over"


def _weld(one: SeatContact) -> str:
    hangs = f"; it hangs {_hangs(one)}" if any(far > HANG for _, far, _ in one.hangs) else ""
    return (
        f"{one.bare:.1f} of {one.weld:.1f} mm of weld at its {one.seat} lies on nothing: no metal of"
        f" {' or '.join(one.onto)} within {one.allowed:g} mm{hangs}"
    )


def _hangs(one: SeatContact) -> str:
    return ", ".join(f"{far:.1f} mm off the {edge} of {onto}" for edge, far, onto in one.hangs if far > HANG)


def _stands(one: SeatContact) -> str:
    return f"{one.contact:.0f} of its {one.area:.0f} mm2 stand on metal ({100 * one.share:.0f} %)"


def _found(
    one: SeatContact,
    level: Level,
    code: str,
    sentence: str,
    value: float | None,
    *,
    limit: float | None = None,
    source: str = SOURCE,
) -> Finding:
    return Finding(
        level=level,
        code=code,
        piece=f"{one.part} | {one.onto[0]}",
        about=(one.part, *one.onto),
        value=value,
        limit=one.allowed if limit is None else limit,
        source=source,
        sentence=sentence,
    )
