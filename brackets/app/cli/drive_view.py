"""Shafts, chains and props of a bay as text."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.app.cli.screen import table
from brackets.bay.drive_rules import DRIVE_HEADS, drive_cells, drive_title, past
from brackets.bay.driveline import Drive, DriveFigure
from brackets.bay.props import PROP_HEADS, Prop, prop_cells


def drives_text(found: Sequence[Drive]) -> str:
    """Each shaft and chain: how far it bends, plunges or leaves its line, against the limits typed."""
    return "\n\n".join(
        f"{drive_title(drive)}\n"
        + table(DRIVE_HEADS, [drive_cells(figure) for figure in drive.figures], right=range(1, 5))
        for drive in found
    )


def props_text(found: Sequence[Prop]) -> str:
    """How high the powertrain stands at the points where it is to be propped."""
    rows = [prop_cells(one) for one in found]
    return "props under the powertrain as drawn, mm\n" + table(PROP_HEADS, rows, right=(1, 2, 3)) if rows else ""


def placed_drives_text(typed: Sequence[Drive], best: Sequence[Drive]) -> str:
    """What bends and is out of line, standing still, at the typed place and at the best one, where there is one."""
    columns = [[_still(figure) for drive in found for figure in drive.figures] for found in (typed, best)]
    rows = [
        (f"{drive.row.name}: {figure.what}", *cells, drive_cells(figure)[2])
        for (drive, figure), *cells in zip(
            ((drive, figure) for drive in typed for figure in drive.figures), *filter(None, columns), strict=True
        )
        if figure.still is not None
    ]
    heads = ("what", "typed", *(("best",) if best else ()), "may be")
    return "shafts and chains standing still, degrees and mm\n" + table(heads, rows) if rows else ""


def _still(figure: DriveFigure) -> str:
    return "" if figure.still is None else f"{figure.still:.2f} {figure.unit}{', PAST IT' if past(figure) else ''}"


def placed_props_text(typed: Sequence[Prop], best: Sequence[Prop]) -> str:
    """How high each point to be propped stands at the typed place and at the best one; `best` may be empty."""
    found = [typed, *([best] if best else [])]
    rows = [
        (ones[0].row.name, *(cells[3] or "no ground" for cells in map(prop_cells, ones)), ones[-1].on)
        for ones in zip(*found, strict=True)
    ]
    heads = ("prop under", "typed", *(("best",) if best else ()), "stands on")
    return "props, height in mm\n" + table(heads, rows, right=range(1, len(heads) - 1)) if rows else ""
