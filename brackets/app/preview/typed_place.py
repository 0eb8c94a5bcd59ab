"""The place of the powertrain as typed in the page: six figures, what is wrong with each, and the bay at it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from brackets.bay.position.placing import SHIFTS, UNITS, typed_position
from brackets.bay.position.steps import WORDS
from brackets.bay.schema.asked import FIGURES, POWERTRAIN
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Powertrain
from brackets.clearance.places import Array
from brackets.core.errors import InputError
from brackets.core.schema.checked import fields
from brackets.core.schema.lists import PointRule
from brackets.core.schema.rule import Rule
from brackets.core.units import INCH

DIGITS = 9
"""Decimals that are written at most: nine are a millionth of what can be measured."""

Texts = Mapping[str, str]
"""What was typed, by the name of the figure."""


@cache
def rules() -> Mapping[str, Rule]:
    """The rule of each figure of a place: a coordinate of `place_at`, or an angle."""
    known = {param.name: param.rule for param in fields(Powertrain)}
    at = known["place_at"]
    assert isinstance(at, PointRule)
    turns = {name: known[f"place_{name}"] for name in FIGURES[SHIFTS:]}
    return {**dict.fromkeys(FIGURES[:SHIFTS], at.coordinate), **turns}


def wrong_place(texts: Texts, *, bare: str) -> dict[str, str]:
    """Name to what is wrong with what was typed for a figure; `bare` is the unit of a length without one."""
    found = {}
    for name, text in texts.items():
        if name not in rules():
            found[name] = f"{name} = {text}, must be {', '.join(FIGURES)}: a figure of the place"
            continue
        try:
            figure_of(name, text, bare=bare)
        except InputError as error:
            found[name] = "; ".join(error.problems)
    return found


def figure_of(name: str, text: str, *, bare: str) -> float:
    """A typed figure, mm or degrees. Raises InputError."""
    value = rules()[name].from_text(text, name=name, bare=bare)
    assert isinstance(value, float)
    return value


def position_of(bay: Bay, texts: Texts) -> Array:
    """The position (6,): the file's figures with the typed ones in their place. Raises InputError."""
    at = typed_position(bay.powertrain)
    for name, text in texts.items():
        at[FIGURES.index(name)] = figure_of(name, text, bare=bay.bare)
    return at


def at_position(bay: Bay, at: Array) -> Bay:
    """The bay with its powertrain at a position (6,)."""
    x, y, z, roll, pitch, yaw = (float(v) for v in at)
    there = replace(bay.powertrain, place_at=(x, y, z), place_roll=roll, place_pitch=pitch, place_yaw=yaw)
    return replace(bay, powertrain=there)


def place_header(bay: Bay, moved: Bay, texts: Texts) -> dict[str, Any] | None:
    """What the page needs to move the engine by hand; None where nothing stands on the powertrain.

    at, file: the six figures shown and those of the file, mm and degrees; typed: the texts that were used; crank:
    the point that turns are about, mm, where the powertrain is typed; limits: from and to of the figures that
    [place] names; fields: what each figure is, and what its plus
    and minus are called.
    """
    if not bay.bosses and not any(row.side == POWERTRAIN for row in bay.keep_outs):
        return None
    limits = {name: getattr(bay.place_limits, name) for name in FIGURES}
    return {
        "at": [float(v) for v in typed_position(moved.powertrain)],
        "file": [float(v) for v in typed_position(bay.powertrain)],
        "typed": dict(texts),
        "crank": list(bay.powertrain.crank_at),
        "unit": bay.bare,
        "limits": {name: list(ends) for name, ends in limits.items() if ends is not None},
        "fields": [
            {"name": name, "unit": unit, "allowed": rule.allowed, "plus": plus, "minus": minus}
            for (name, rule), unit, (plus, minus) in zip(rules().items(), UNITS, WORDS, strict=True)
        ],
    }


def figure_text(i: int, value: float, unit: str) -> str:
    """Figure number `i` of a place as people type it: "12.5 mm", "0.5 in", "-2 deg"."""
    if i >= SHIFTS:
        return f"{_plain(value)} deg"
    shown = value / float(INCH) if unit == "in" else value
    return f"{_plain(shown)} {unit}"


def _plain(value: float) -> str:
    found = f"{round(value, DIGITS) + 0.0:.{DIGITS}f}".rstrip("0").rstrip(".")
    return found or "0"
