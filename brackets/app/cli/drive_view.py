"""Shafts, chains and props of a bay as text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from brackets.app.cli.inches import Lengths
from brackets.app.cli.screen import table
from brackets.bay.drive_rules import DRIVE_HEADS, drive_cells, drive_title, past
from brackets.bay.driveline import Drive, DriveFigure
from brackets.bay.props import PROP_HEADS, Prop, prop_cells


def drives_text(found: Sequence[Drive], at: Lengths) -> str:
    """Each shaft and chain: how far it bends, plunges or leaves its line, against the limits typed."""
    return "\n\n".join(
        f"{at.said(drive_title(drive)).replace('degrees and mm', f'degrees and {at.unit}')}\n"
        + table(DRIVE_HEADS, [_cells(figure, at) for figure in drive.figures], right=range(1, 5))
        for drive in found
    )


def _cells(figure: DriveFigure, at: Lengths) -> tuple[str, ...]:
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
    cells = _cells(figure, at)
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
