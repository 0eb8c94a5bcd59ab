"""Lists of a fitted bay as text: masses, what to buy and to cut; shafts, chains and props."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from brackets.app.cli.inches import Lengths
from brackets.app.cli.screen import table
from brackets.bay.clear.drive_rules import DRIVE_HEADS, drive_cells, drive_title, past
from brackets.bay.clear.driveline import Drive, DriveFigure
from brackets.bay.clear.props import PROP_HEADS, Prop, prop_cells
from brackets.bay.fitting import Fit
from brackets.bay.report.whole import Item, MassRow, mass_rows, to_buy
from brackets.forming.cut_list import KERF, CutItem, sticks
from brackets.output.bay_lists import cut_items


def masses_text(fit: Fit) -> str:
    """The mass and centre of the mounts, the powertrain, and both."""
    at = Lengths(fit.bay.bare)
    rows = [mass_cells(row, at) for row in mass_rows(fit)]
    head = ("what", "kg", f"centre, {at.unit}")
    return "masses, without weld metal\n" + table(head, rows, right=(1,)) if rows else ""


def mass_cells(row: MassRow, at: Lengths) -> tuple[str, ...]:
    """What, kg, and its centre."""
    return (row.what, f"{row.mass.kg:.2f}", ", ".join(at.figure(c, ".1f") for c in row.mass.centroid))


BUY_HEADS = ("number", "kind", "what", "where", "note")


def buy_cells(item: Item) -> tuple[str, ...]:
    """A row under BUY_HEADS."""
    return (str(item.number), item.kind, item.what, ", ".join(item.where), item.note)


def buy_text(fit: Fit) -> str:
    """What to buy, like things counted."""
    rows = [buy_cells(item) for item in to_buy(fit)]
    return "to buy\n" + table(BUY_HEADS, rows, right=(0,)) if rows else ""


def cut_text(fit: Fit) -> str:
    """What to cut, and the sticks that tube and bar take; of a bay that stops nothing is to be cut yet."""
    items = cut_items(fit)
    if not items:
        return ""
    at = Lengths(fit.bay.bare)
    rows = [cut_cells(item, at) for item in items]
    head = [name.format(at.unit) for name in CUT_HEADS]
    named = "; sections in mm, as the stock names them" if at.inch else ""
    stop = f"to cut, but NOT YET: something stops{named}\n" if fit.stops else f"to cut, {at.unit}{named}\n"
    long = [
        (
            one.section,
            one.material,
            f"{len(one.sticks)} of {at.figure(one.length)}{', a usual length' if one.usual else ''}",
            at.figure(one.left, ".0f"),
            ", ".join(at.figure(length, ".1f") for length in one.longer),
        )
        for one in sticks(items, fit.bay.shop)
    ]
    stick_head = ("section", "material", "sticks", "left", "longer than a stick")
    tail = f"\n\nsticks, {at.unit}, {at.figure(KERF)} a cut\n" + table(stick_head, long, right=(3,)) if long else ""
    return stop + table(head, rows, right=(0, 4, 5)) + tail


CUT_HEADS = ("number", "kind", "section", "material", "{}", "kg each", "pieces")


def cut_cells(item: CutItem, at: Lengths) -> tuple[str, ...]:
    """A row under CUT_HEADS, of which one is the unit."""
    pieces = ", ".join(item.names)
    cells = (str(item.count), item.kind, item.section, item.material, item.size, f"{item.kg:.3f}", pieces)
    return at.cells(cells, near=(4,))


def drives_text(found: Sequence[Drive], at: Lengths) -> str:
    """Each shaft and chain: how far it bends, plunges or leaves its line, against the limits typed."""
    return "\n\n".join(
        f"{at.said(drive_title(drive)).replace('degrees and mm', f'degrees and {at.unit}')}\n"
        + table(DRIVE_HEADS, [drive_row(figure, at) for figure in drive.figures], right=range(1, 5))
        for drive in found
    )


def drive_row(figure: DriveFigure, at: Lengths) -> tuple[str, ...]:
    """A row under DRIVE_HEADS."""
    cells = drive_cells(figure)
    if figure.unit == "mm":
        return at.cells(cells, near=(1, 2, 4, 5), up=(3,), said=(6,))
    return at.cells(cells, said=(6,))


def props_text(found: Sequence[Prop], at: Lengths) -> str:
    """How high the powertrain stands at the points where it is to be propped."""
    rows = [at.cells(prop_cells(one), near=(1, 2, 3, 4)) for one in found]
    title = f"props under the powertrain as drawn, {at.unit}\n"
    return title + table(PROP_HEADS, rows, right=(1, 2, 3)) if rows else ""


def placed_drives_text(typed: Sequence[Drive], best: Sequence[Drive], at: Lengths) -> str:
    """What bends and is out of line, standing still, at the typed place and at the best one, where there is one."""
    columns = [[_still(figure, at) for drive in found for figure in drive.figures] for found in (typed, best)]
    rows = [
        (f"{drive.row.name}: {figure.what}", *cells, _may_be(figure, at))
        for (drive, figure), *cells in zip(
            ((drive, figure) for drive in typed for figure in drive.figures), *filter(None, columns), strict=True
        )
        if figure.still is not None
    ]
    heads = ("what", "typed", *(("best",) if best else ()), "may be")
    return f"shafts and chains standing still, degrees and {at.unit}\n" + table(heads, rows) if rows else ""


def _as_moved(figure: DriveFigure) -> bool:
    """Whether a limit is typed for the movement alone, which the search then keeps standing still too."""
    still = figure.still_limit
    return still is not None and still.value is None and figure.moved_limit.value is not None


def _may_be(figure: DriveFigure, at: Lengths) -> str:
    cells = drive_row(figure, at)
    return f"{cells[4]}, as moved" if _as_moved(figure) else cells[2]


def _still(figure: DriveFigure, at: Lengths) -> str:
    if figure.still is None:
        return ""
    kept = replace(figure, still_limit=figure.moved_limit) if _as_moved(figure) else figure
    return at.said(f"{figure.still:.2f} {figure.unit}") + (", PAST IT" if past(kept) else "")


def placed_props_text(typed: Sequence[Prop], best: Sequence[Prop], at: Lengths) -> str:
    """How high each point to be propped stands at the typed place and at the best one; `best` may be empty."""
    found = [typed, *([best] if best else [])]
    rows = [
        (ones[0].row.name, *(_height(one, at) for one in ones), at.cell(ones[0].may_be), ones[-1].on)
        for ones in zip(*found, strict=True)
    ]
    heads = ("prop under", "typed", *(("best",) if best else ()), "may be", "stands on")
    title = "props, height in inches\n" if at.inch else "props, height in mm\n"
    return title + table(heads, rows, right=range(1, len(heads) - 2)) if rows else ""


def _height(one: Prop, at: Lengths) -> str:
    height = at.cell(prop_cells(one)[3]) or "no ground"
    return height if one.past is None else f"{height}, PAST IT"
