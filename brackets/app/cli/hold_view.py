"""Whether a part holds, as it is read on the screen: verdict, checks worst first, what was refused and assumed."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.app.cli.screen import line, table
from brackets.hold.held import Held, PartCheck
from brackets.hold.shown import figure, way_said
from brackets.hold.stress_ranges import StressRange

SMALL = 0.001
NOT_COMPUTED = (
    "fatigue: the stress ranges of the welds are above, their detail category is for whoever signs to enter",
    "quality of welds, cracks, corrosion, heat, what a crash does; local rules and whoever signs come first",
    "stress by finite elements: everything here is a sum by hand on the part as it is recorded",
)


def held_text(held: Held) -> str:
    """The whole screen."""
    blocks = [
        f"{held.part}\n{line(verdict_line(held))}",
        checks_text(held.checks),
        refused_text(held),
        stiffness_text(held),
        ranges_text(held.weld_ranges),
        _listed("how each is worked out", _formulas(held.checks)),
        _listed("assumed", held.notes),
        _listed("not computed", NOT_COMPUTED),
        line(verdict_line(held)),
    ]
    return "\n\n".join(block for block in blocks if block)


def verdict_line(held: Held) -> str:
    """Verdict with what is worst."""
    if not held.checks:
        return held.verdict
    worst = held.checks[0]
    return f"{held.verdict}; most used: {_percent(worst.check.worst)}, {worst.place}, case {worst.case}"


def checks_text(checks: Sequence[PartCheck], title: str = "checks, the most used first") -> str:
    """The table of checks."""
    if not checks:
        return ""
    own = any(one.check.own_utilisation is not None for one in checks)
    first: dict[str, PartCheck] = {}
    for one in checks:
        first.setdefault(one.place, one)
    rows = []
    for one in first.values():
        check = one.check
        used = check.own_utilisation
        second = [] if not own else ["" if used is None else _percent(float(used))]
        figures = f"{figure(float(check.value))} of {figure(float(check.limit))} {check.unit}".rstrip()
        over = "met" if check.meets else "OVER"
        rows.append([_percent(float(check.utilisation)), *second, over, one.place, one.case, check.clause, figures])
    more = f": the worst of each place, {len(first)} of {len(checks)}; --json has all"
    head = ["used", *(["on yield"] if own else []), "rule", "place", "case", "clause", "found of allowed"]
    return line(title + more) + "\n" + table(head, rows, right=range(2 if own else 1))


def refused_text(held: Held) -> str:
    """What could not be checked, by reason."""
    if not held.refused:
        return ""
    by: dict[str, list[str]] = {}
    for one in held.refused:
        where = one.place + (f" ({one.case})" if one.case else "")
        by.setdefault(one.problem, []).append(where)
    lines = [line(f"  {', '.join(dict.fromkeys(places))}: {problem}") for problem, places in by.items()]
    return "\n".join(("not checked, and why: nothing is claimed of these", *lines))


def stiffness_text(held: Held) -> str:
    """Stiffness where a bush acts."""
    if not held.stiffness:
        return ""
    rows = []
    for one in held.stiffness:
        along = (figure(value) for value in one.along)
        rows.append((one.seat, *along, figure(one.least), way_said(one.least_way)))
    head = ("seat", "x N/mm", "y N/mm", "z N/mm", "softest N/mm", "along")
    assumed = dict.fromkeys(word for one in held.stiffness for word in one.assumed)
    title = "stiffness of the part at its seats, in its own axes"
    return "\n".join((title, table(head, rows, right=range(1, 5)), *(line(f"  {word}") for word in assumed)))


def ranges_text(ranges: Sequence[StressRange]) -> str:
    """Stress ranges of the welds; the detail category is left blank."""
    if not ranges:
        return ""
    rows = [
        (one.name.removeprefix("weld "), " - ".join(one.cases), f"{one.across:.1f}", f"{one.along:.1f}", "____")
        for one in sorted(ranges, key=lambda one: -one.across)
    ]
    head = ("weld", "from case to case", "across MPa", "along MPa", "detail category")
    title = "stress ranges of the welds, characteristic loads; fatigue is not computed"
    return title + "\n" + table(head, rows, right=(2, 3))


def _formulas(checks: Sequence[PartCheck]) -> tuple[str, ...]:
    told: dict[str, str] = {}
    for one in checks:
        factors = "" if one.check.factors == "none" else f"; {one.check.factors}"
        told.setdefault(one.check.clause, f"{one.check.clause}: {one.check.formula}{factors}")
    return tuple(told.values())


def _listed(title: str, told: Sequence[str]) -> str:
    return "\n".join((title, *(line(f"  {one}") for one in told))) if told else ""


def _percent(part: float) -> str:
    return "under 0.1 %" if part < SMALL else f"{100 * part:.3g} %" if part < 9.995 else f"{100 * part:.0f} %"

