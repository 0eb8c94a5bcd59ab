"""Shafts, chains and props of a bay as text."""

from __future__ import annotations

from collections.abc import Sequence

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
    rows = [at.cells(prop_cells(one), near=(1, 2, 3)) for one in found]
    title = f"props under the powertrain as drawn, {at.unit}\n"
    return title + table(PROP_HEADS, rows, right=(1, 2, 3)) if rows else ""


def placed_drives_text(typed: Sequence[Drive], best: Sequence[Drive], at: Lengths) -> str:
    """What bends and is out of line, standing still, at the typed place and at the best one, where there is one."""
    columns = [[_still(figure, at) for drive in found for figure in drive.figures] for found in (typed, best)]
    rows = [
        (f"{drive.row.name}: {figure.what}", *cells, _cells(figure, at)[2])
        for (drive, figure), *cells in zip(
            ((drive, figure) for drive in typed for figure in drive.figures), *filter(None, columns), strict=True
        )
        if figure.still is not None
    ]
    heads = ("what", "typed", *(("best",) if best else ()), "may be")
    return f"shafts and chains standing still, degrees and {at.unit}\n" + table(heads, rows) if rows else ""


def _still(figure: DriveFigure, at: Lengths) -> str:
    if figure.still is None:
        return ""
    return at.said(f"{figure.still:.2f} {figure.unit}") + (", PAST IT" if past(figure) else "")


def placed_props_text(typed: Sequence[Prop], best: Sequence[Prop], at: Lengths) -> str:
    """How high each point to be propped stands at the typed place and at the best one; `best` may be empty."""
    found = [typed, *([best] if best else [])]
    rows = [
        (ones[0].row.name, *(at.cell(cells[3]) or "no ground" for cells in map(prop_cells, ones)), ones[-1].on)
        for ones in zip(*found, strict=True)
    ]
    heads = ("prop under", "typed", *(("best",) if best else ()), "stands on")
    title = "props, height in inches\n" if at.inch else "props, height in mm\n"
    return title + table(heads, rows, right=range(1, len(heads) - 1)) if rows else ""
