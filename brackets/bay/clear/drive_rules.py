"""What is said of a bay's shafts and chains: findings against the limits typed, rows for screen and scripts."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from brackets.bay.clear.driveline import Drive, DriveFigure, Limit, Parts
from brackets.bay.schema.asked import ShaftRow
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import DRIVE_LIMITS

KEPT = 1e-6
"""mm and degrees within which a limit is kept: the rounding of a direction that is typed with nine figures."""


def drive_findings(found: Sequence[Drive]) -> Iterator[Finding]:
    """What bends, plunges or is out of line by more than typed, and which limits are not typed."""
    for drive in found:
        for figure in drive.figures:
            yield from _still(drive.row.name, figure)
            yield from _moving(drive.row.name, figure)
        limits = [limit for figure in drive.figures for limit in figure.limits]
        missing = list(dict.fromkeys(limit.key for limit in limits if limit.value is None))
        if missing:
            yield DRIVE_LIMITS.finding(
                piece=drive.row.name,
                about=(drive.row.name,),
                sentence=f"no limit typed for {', '.join(missing)}: told, and judged by nothing",
            )


def _still(name: str, figure: DriveFigure) -> Iterator[Finding]:
    if figure.still is None or figure.still_limit is None or figure.still_limit.value is None or not past(figure):
        return
    limit = figure.still_limit.value
    yield figure.rule.finding(
        level="caution",
        piece=name,
        about=(name,),
        value=figure.still,
        limit=limit,
        sentence=f"{_said(figure, figure.still, figure.still_parts)} standing still, {limit:g} typed{figure.cure}",
    )


def _moving(name: str, figure: DriveFigure) -> Iterator[Finding]:
    limit = figure.moved_limit.value
    if limit is None or figure.moved is None or figure.moved.high <= limit + KEPT:
        return
    low, high = figure.moved.low, figure.moved.high
    surely = low > limit + KEPT
    said = _said(figure, low if surely else high, figure.moved.parts) + ("" if surely else " at most")
    where = " at the worst movement" + (f" ({figure.moved.when})" if figure.moved.when else "")
    yield figure.rule.finding(
        level="stop" if surely and "stop" in figure.rule.levels else "caution",
        piece=name,
        about=(name,),
        value=low if surely else high,
        limit=limit,
        sentence=f"{said}{where}, {limit:g} typed{figure.cure}",
    )


def _said(figure: DriveFigure, value: float, parts: Parts) -> str:
    return f"{figure.lead} {value:.2f} {figure.unit}{figure.tail}" + (f" ({said_parts(parts)})" if parts else "")


def said_parts(parts: Parts) -> str:
    """ "side 3.00, plan 1.20"."""
    return ", ".join(f"{name} {value:.2f}" for name, value in parts)


def past(figure: DriveFigure) -> bool:
    """Whether it is more, standing still, than is typed."""
    limit = None if figure.still_limit is None else figure.still_limit.value
    return limit is not None and figure.still is not None and figure.still > limit + KEPT


DRIVE_HEADS = ("figure", "still", "may be", "moved", "may be", "made up of", "worst place")

UNLIMITED = "no limit"


def drive_title(drive: Drive) -> str:
    """A shaft or chain in a line: what it is and how long."""
    row = drive.row
    if isinstance(row, ShaftRow):
        return f"{row.name}, {row.joints} joints, {drive.length:.1f} mm from joint to joint; degrees and mm"
    return f"{row.name}, {drive.length:.1f} mm from centre to centre; degrees and mm"


def drive_cells(figure: DriveFigure) -> tuple[str, ...]:
    """A row under DRIVE_HEADS; the moved figure is its high end, rounded up."""
    still = "" if figure.still is None else f"{figure.still:.2f}"
    may_be = "" if figure.still_limit is None else _typed(figure.still_limit)
    moved, made_up, where = "", said_parts(figure.still_parts), ""
    if figure.moved is not None:
        moved, where = f"{math.ceil(figure.moved.high * 100 - KEPT) / 100:.2f}", figure.moved.when
        made_up += f"; moved {said_parts(figure.moved.parts)}" if figure.moved.parts else ""
    return (figure.what, still, may_be, moved, _typed(figure.moved_limit), made_up, where)


def _typed(limit: Limit) -> str:
    return UNLIMITED if limit.value is None else f"{limit.value:g}"


def drive_record(drive: Drive) -> dict[str, Any]:
    """The same for scripts: what it is, how long, and every figure with its limits, null where none is typed."""
    row = drive.row
    return {
        "name": row.name,
        "kind": "shaft" if isinstance(row, ShaftRow) else "chain",
        "joints": row.joints if isinstance(row, ShaftRow) else None,
        "length_mm": drive.length,
        "figures": [_figure_record(figure) for figure in drive.figures],
    }


def _figure_record(figure: DriveFigure) -> dict[str, Any]:
    moved = figure.moved
    return {
        "what": figure.what,
        "unit": figure.unit,
        "still": figure.still,
        "still_limit": None if figure.still_limit is None else figure.still_limit.value,
        "still_parts": dict(figure.still_parts),
        "moved": None if moved is None else [moved.low, moved.high],
        "moved_limit": figure.moved_limit.value,
        "moved_parts": {} if moved is None else dict(moved.parts),
        "worst": "" if moved is None else moved.where,
        "case": "" if moved is None else moved.case,
    }


DRIVE_COLUMNS = (
    "name", "figure", "unit", "still", "still_limit", "moved_low", "moved_high", "moved_limit", "made_up_of",
    "moved_made_up_of", "worst", "case",
)  # fmt: skip


def drive_columns(drive: Drive) -> Iterator[tuple[str | float, ...]]:
    """A row under DRIVE_COLUMNS for each figure, "" for what is not there."""
    for figure in drive.figures:
        moved = figure.moved
        over = ("", "") if moved is None else (moved.low, moved.high)
        still_limit = None if figure.still_limit is None else figure.still_limit.value
        found = (figure.still, still_limit, *over, figure.moved_limit.value)
        yield (
            drive.row.name,
            figure.what,
            figure.unit,
            *("" if value is None else value for value in found),
            said_parts(figure.still_parts),
            "" if moved is None else said_parts(moved.parts),
            "" if moved is None else moved.where,
            "" if moved is None else moved.case,
        )
