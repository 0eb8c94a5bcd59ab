"""The cut table of tubes for scripts and spreadsheets: the same rows as JSON and as CSV.

mm, degrees, kg, under names that say so; a figure that does not apply is null or empty.
"""

from __future__ import annotations

import csv
import os
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from brackets.forming.cut_rows import CutEnd, CutRow


def records(rows: Iterable[CutRow]) -> list[dict[str, Any]]:
    """The rows under the keys of facts.json."""
    return [_record(row) for row in rows]


def write(rows: Iterable[CutRow], path: str | os.PathLike[str], *, stops: bool = False) -> None:
    """Writes the rows as CSV, a heading first; the two ends' keys with start_ and end_ before them.

    Where nothing of them may be cut, a first column says so in every row.
    """
    told = {"STOP": "do not cut"} if stops else {}
    table = [told | _level(record) for record in records(rows)]
    with Path(path).open("w", newline="", encoding="utf-8") as out:
        sheet = csv.DictWriter(out, list(table[0]), lineterminator="\n")
        sheet.writeheader()
        sheet.writerows(table)


def _record(row: CutRow) -> dict[str, Any]:
    return {
        "names": list(row.names),
        "count": row.count,
        "material": row.material,
        "od_mm": row.od,
        "wall_mm": row.wall,
        "long_mm": row.long,
        "node_mm": row.node,
        "clock_deg": row.clock,
        "bends": row.bends,
        "bend_radius_mm": row.bend_r if row.bends else None,
        "mass_kg": row.mass,
        "start": _end(row.start),
        "end": _end(row.end),
    }


def _end(end: CutEnd) -> dict[str, Any]:
    return {
        "meets": end.meets,
        "kind": end.cut,
        "wrap": end.wrap,
        "angle_deg": end.angle,
        "offset_mm": end.offset if end.wrap else None,
        "short_point_deg": end.short if end.wrap else None,
        "long_point_deg": end.long if end.wrap else None,
        "long_point_to_node_mm": end.from_node,
        "inner_lip_mm": end.lip,
    }


def _level(record: Mapping[str, Any]) -> dict[str, str]:
    found: dict[str, str] = {}
    for key, value in record.items():
        if isinstance(value, Mapping):
            found |= {f"{key}_{inner}": _text(one) for inner, one in value.items()}
        else:
            found[key] = _text(value)
    return found


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return " ".join(value)
    return f"{value:z.4f}" if isinstance(value, float) else str(value)
