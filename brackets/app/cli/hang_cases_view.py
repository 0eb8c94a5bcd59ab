"""What a load case pulls at, and what snubbers do in it, as it is read on the screen and by scripts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from brackets.app.cli.inches import Lengths
from brackets.hang.cases import CaseResult
from brackets.hang.load import Load

NM = 1000.0
"""N mm in one Nm."""


def case_notes(result: CaseResult, at: Lengths) -> Iterator[str]:
    """A line for what the powertrain feels, for each force and couple on it, and for its snubbers."""
    if any(result.case.felt):
        yield f"its mass feels {_three(result.case.felt, '.3g')} g beside its weight"
    for load in result.case.loads:
        yield from _pull(load, at)
    for stop, push in zip(result.found.stops, result.found.pushes, strict=True):
        if push > 0:
            closes = ", closed by this case" if stop.name in result.closes else ""
            yield f"{stop.name} pushes {push:.0f} N{closes}"
    if result.separates:
        yield f"carries nothing any more: {', '.join(result.separates)}"


def _pull(load: Load, at: Lengths) -> Iterator[str]:
    size = float(np.linalg.norm(load.force))
    if size > 0:
        along = _three([part / size for part in load.force], ".2f")
        where = ", ".join(at.figure(part, ".0f") for part in load.at)
        yield f"{load.name}: {size:.0f} N along {along} at {where} {at.unit}"
    if any(load.couple):
        yield f"{load.name}: couple {_three([part / NM for part in load.couple], '.4g')} Nm about x, y, z"
    if not size and not any(load.couple):
        yield f"{load.name}: 0 N"


def _three(values: Sequence[float], digits: str) -> str:
    return "(" + ", ".join(f"{round(float(value), 9) + 0.0:{digits}}" for value in values) + ")"


def case_facts(result: CaseResult) -> dict[str, Any]:
    """The same for scripts: felt_g, loads (N, N mm, mm), stops with what each pushes, what carries no more."""
    return {
        "felt_g": list(result.case.felt),
        "loads": [
            {
                "name": load.name,
                "force_n": list(load.force),
                "at_mm": list(load.at),
                "couple_n_mm": list(load.couple),
            }
            for load in result.case.loads
        ],
        "stops": [
            {"name": stop.name, "push_n": float(push), "closes": stop.name in result.closes}
            for stop, push in zip(result.found.stops, result.found.pushes, strict=True)
        ],
        "separates": list(result.separates),
    }
