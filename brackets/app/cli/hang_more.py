"""What `brackets hang` says besides what mounts carry: set height, movement, driveline, what comes through at idle,
what changes the worst figures most, bushes side by side; on the screen and for scripts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from brackets.app.cli.hang_table_view import table_text
from brackets.app.cli.hang_view import Hung
from brackets.app.cli.inches import Lengths
from brackets.bay.hang_compare import Compared
from brackets.bay.hang_driveline import DrivelineFigure, driveline_findings
from brackets.bay.hang_study import HangStudy, hang_study
from brackets.core.finding import worst_first
from brackets.hang.sensitivity import Figure, Slope
from brackets.output.hang_tables import (
    compare_table,
    compare_words,
    driveline_table,
    movement_table,
    movers_table,
    set_height_table,
    set_height_words,
    through_table,
    through_words,
)


def studied(hung: Hung) -> tuple[Hung, HangStudy]:
    """The study of a bay, and the bay with what the study finds of its driveline among its findings."""
    study = hang_study(hung)
    more = driveline_findings(hung.results, study.driveline)
    return replace(hung, findings=worst_first([*hung.findings, *more])), study


def more_blocks(study: HangStudy, found: Sequence[Compared], at: Lengths) -> tuple[str, ...]:
    """Blocks of the screen, in order."""
    blocks = (
        table_text(set_height_table(study), at, set_height_words(study)),
        table_text(movement_table(study), at),
        table_text(driveline_table(study), at),
        table_text(through_table(study), at, through_words(study)),
        table_text(movers_table(study), at),
        table_text(compare_table(found), at, compare_words(found)) if found else "",
    )
    return tuple(block for block in blocks if block)


def more_record(study: HangStudy, found: Sequence[Compared]) -> dict[str, Any]:
    """The same for scripts."""
    height = study.set_height
    return {
        "set_height": None if height is None else {
            "sinks_mm": list(height.sinks),
            "turns_deg": list(height.turns),
            "turns_low_deg": list(height.turns_low),
            "turns_high_deg": list(height.turns_high),
            "mounts": [
                {
                    "name": one.mount,
                    "after_the_weight": one.late,
                    "sinks_mm": list(one.sinks),
                    "weld_mm": list(one.weld),
                    "stands_low_mm": list(one.low),
                    "stands_high_mm": list(one.high),
                }
                for one in height.mounts
            ],
        },
        "movement": [
            {
                "case": one.case,
                "moved_mm": list(one.moved[:3]),
                "turned_deg": list(one.moved[3:]),
                "low_mm": None if one.low is None else list(one.low[:3]),
                "high_mm": None if one.high is None else list(one.high[:3]),
                "low_deg": None if one.low is None else list(one.low[3:]),
                "high_deg": None if one.high is None else list(one.high[3:]),
                "forces_n": None if one.forces is None else [list(ends) for ends in one.forces],
            }
            for one in study.movements
        ],
        "driveline": [_driveline(study, one) for one in study.driveline],
        "through": _through(study),
        "movers": [
            {"figure": _figure(one.figure), "slopes": [_slope(slope) for slope in one.slopes]}
            for one in study.movers
        ],
        "compared": [_compared(one) for one in found],
    }  # fmt: skip


def _driveline(study: HangStudy, one: DrivelineFigure) -> dict[str, Any]:
    return {
        "drive": one.drive,
        "figure": one.of.what,
        "unit": one.of.unit,
        "drawn": one.drawn,
        "limit": one.limit,
        "cases": [
            {"case": result.case.name, "value": value}
            for result, value in zip(study.hung.results, one.cases, strict=True)
        ],
    }


def _through(study: HangStudy) -> dict[str, Any] | None:
    found = study.through
    if found is None:
        return None
    ends = zip(found.names, map(float, found.idle), map(float, found.slowly), strict=True)
    return {
        "order": found.order,
        "loss_factor": found.loss,
        "mounts": [{"name": name, "idle_n_per_nm": idle, "slowly_n_per_nm": slowly} for name, idle, slowly in ends],
    }


def _figure(one: Figure) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "value": one.value,
        "limit": one.limit,
        "unit": one.unit,
        "mount": one.mount or None,
        "case": one.case or None,
        "axis": "xyz"[one.axis] if one.kind == "travel" else None,
        "mode": one.mode + 1 if one.kind == "frequency" else None,
    }


def _slope(one: Slope) -> dict[str, Any]:
    per = "1 of itself" if one.what == "stiffness" else "1 mm" if one.what in "xyz" else "1 degree"
    return {"mount": one.mount, "what": one.what, "per": per, "changes_by": one.per}


def _compared(one: Compared) -> dict[str, Any]:
    return {
        "name": one.name,
        "load_n": one.load,
        "load_mount": one.load_at[0],
        "load_case": one.load_at[1],
        "sinks_mm": one.sag,
        "moved_mm": one.moved,
        "moved_case": one.moved_in,
        "turned_deg": one.turned,
        "turned_case": one.turned_in,
        "lowest_hz": one.hz[0],
        "highest_hz": one.hz[1],
        "idle_n_per_nm": one.idle,
        "slowly_n_per_nm": one.slowly,
        "findings": [{"code": code, "count": count} for code, count in one.findings.items()],
        "notes": list(one.notes),
    }
