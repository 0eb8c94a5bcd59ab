"""The movement that a fit clears as scripts read it, and the keys of it. mm, degrees, axes of the bay."""

from __future__ import annotations

import math
from typing import Any

from brackets.bay.hung.movement import NONE, BayMovement, Region
from brackets.bay.schema.moves_keys import BOTH, TYPED, WORKED_OUT
from brackets.output.schema_terms import Schema, each, names, one_of, or_null, point, table, text, value

HOW = (NONE, TYPED, WORKED_OUT, BOTH)


def movement_record(movement: BayMovement) -> dict[str, Any]:
    """How it is known, how far it goes each way and by which case, each case by itself, and with no weight on."""
    at = movement.unloaded
    return {
        "how": movement.how,
        "about": list(movement.about),
        "overshoot": movement.overshoot,
        **_region(movement.whole),
        "low_by": [low for low, _ in movement.by],
        "high_by": [high for _, high in movement.by],
        "cases": [{"name": one.name, **_region(one)} for one in movement.cases],
        "unloaded": None if at is None else {
            "of": list(at.centre), "shift": list(at.shift), "turn": [math.degrees(angle) for angle in at.turn],
        },
        "not_worked_out": movement.problem or None,
        "no_case_pulls": list(movement.lacking),
    }  # fmt: skip


def _region(region: Region) -> dict[str, list[float]]:
    return {
        "low": [low for low, _ in region.spans],
        "high": [high for _, high in region.spans],
    }


def movement_schema() -> Schema:
    six = "forward, left, up, mm, then roll, pitch, yaw, degrees"
    region = {
        "low": each(value("number", six), f"least of each: {six}"),
        "high": each(value("number", six), f"most of each: {six}"),
    }
    unloaded = {
        "of": point("centre of mass, mm"),
        "shift": point("mm that it goes from where it is drawn"),
        "turn": point("degrees, one turn as a vector"),
    }
    return table("movement of the powertrain that is cleared", {
        "how": one_of(HOW, "typed, worked out from its bushes, as far as either, or none: standing still only"),
        "about": point("mm: the point that turns, and goes low to high"),
        "overshoot": value("number", "no unit: factor on what a load case adds to the weight"),
        **region,
        "low_by": names("case that reaches each low end"),
        "high_by": names("case that reaches each high end"),
        "cases": each(table("a load case, or typed", {"name": text("its name"), **region}), "each by itself"),
        "unloaded": or_null(table("with no weight on the bushes; null where it is not worked out", unloaded)),
        "not_worked_out": or_null(text("why there is none by the load cases; null where there is, or no case")),
        "no_case_pulls": names("ways that no load case pulls it, where it is worked out"),
    })  # fmt: skip
