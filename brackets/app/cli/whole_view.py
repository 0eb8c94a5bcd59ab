"""The first lines of a fitted bay (verdict, the worst, what to do), and the bay as a whole: masses, buy, cut."""

from __future__ import annotations

from brackets.app.cli.screen import facts, table
from brackets.bay.buying import to_buy
from brackets.bay.fitting import Fit
from brackets.bay.masses import mass_rows
from brackets.bay.worst import headline, worst
from brackets.forming.cut_list import KERF, CutItem, sticks
from brackets.output.bay_lists import cut_items


def verdict_text(fit: Fit) -> str:
    """What stands on top and again at the end: verdict, rules met, the worst findings with what to do."""
    told = worst(fit)
    lines = list(headline(fit))
    if not told:
        return "\n".join(lines)
    numbered = []
    for number, one in enumerate(told, 1):
        said = f"{one.finding.label}: {one.finding.piece}: {one.finding.sentence}"
        numbered.append((str(number), said))
        if one.do:
            numbered.append(("", f"do: {one.do}"))
    rest = len(fit.findings) - len(told)
    head = "worst" if len(told) == 1 else f"the {len(told)} worst"
    more = f" of {len(fit.findings)}, all below" if rest else ""
    return "\n".join((*lines, f"{head}{more}", facts(numbered)))


def masses_text(fit: Fit) -> str:
    """The mass and centre of the mounts, the powertrain, and both."""
    rows = [
        (row.what, f"{row.mass.kg:.2f}", ", ".join(f"{c:.1f}" for c in row.mass.centroid)) for row in mass_rows(fit)
    ]
    return "masses, without weld metal\n" + table(("what", "kg", "centre, mm"), rows, right=(1,)) if rows else ""


def buy_text(fit: Fit) -> str:
    """What to buy, like things counted."""
    rows = [(str(item.number), item.kind, item.what, ", ".join(item.where), item.note) for item in to_buy(fit)]
    return "to buy\n" + table(("number", "kind", "what", "where", "note"), rows, right=(0,)) if rows else ""


def cut_text(fit: Fit) -> str:
    """What to cut, and the sticks that tube and bar take; of a bay that stops nothing is to be cut yet."""
    items = cut_items(fit)
    if not items:
        return ""
    rows = [_row(item) for item in items]
    head = ("number", "kind", "section", "material", "mm", "kg each", "pieces")
    stop = "to cut, but NOT YET: something stops\n" if fit.stops else "to cut, mm\n"
    long = [
        (
            one.section,
            one.material,
            f"{len(one.sticks)} of {one.length:g}{', a usual length' if one.usual else ''}",
            f"{one.left:.0f}",
            ", ".join(f"{length:.1f}" for length in one.longer),
        )
        for one in sticks(items, fit.bay.shop)
    ]
    stick_head = ("section", "material", "sticks", "left", "longer than a stick")
    tail = f"\n\nsticks, mm, {KERF:g} a cut\n" + table(stick_head, long, right=(3,)) if long else ""
    return stop + table(head, rows, right=(0, 4, 5)) + tail


def _row(item: CutItem) -> tuple[str, ...]:
    pieces = ", ".join(item.names)
    return (str(item.count), item.kind, item.section, item.material, item.size, f"{item.kg:.3f}", pieces)
