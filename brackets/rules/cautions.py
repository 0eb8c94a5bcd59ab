"""What to mind at each step of the work: said on screen, paper and page where that step is met, from here alone.

Sources: common practice, no source. None of it is checked by the program, and none of it replaces a finding.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from brackets.model.part import Part

Step = Literal["lifting", "heat", "welding", "chassis", "licensed", "strength", "mock-up"]

HEADING = "Mind at this step"
"""Heading of the list wherever it is shown."""

SENTENCES = MappingProxyType(
    {
        "lifting": "Stand the engine on props before anybody works at it: a hoist lifts, it does not hold.",
        "heat": "Move or shield fuel, brake and coolant lines, tanks and looms before heat or sparks come near.",
        "welding": "Battery off, rubber and poly bushes out before welding. Weld no cast, forged or unknown metal.",
        "chassis": "Cutting a chassis or welding to it: licensed hands, and your local codes first.",
        "licensed": "Steering, brakes and fuel lines are there: licensed hands, and your local codes first.",
        "mock-up": "A mock-up is for checking the fit: hang nothing on one, load none, keep them from heat.",
        "strength": "Strength: only hold computes it, for loads you enter; weld quality and fatigue are yours.",
    }
)
"""One sentence a step."""

LINES = ("line", "steering_brakes")
"""Classes of gap of fuel, brake and clutch lines, and of steering and brakes."""

WORDS = ("steer", "brake", "fuel", "clutch", "tank", "petrol", "diesel", "lpg")
"""A keep-out, or a class of gap of the user's own, with one of these in its name counts as such too."""


@dataclass(frozen=True)
class Caution:
    """A step and what to mind at it."""

    step: Step
    sentence: str


def cautions(*steps: Step) -> tuple[Caution, ...]:
    """Those of these steps, each once, in the order of the list."""
    return tuple(Caution(step, SENTENCES[step]) for step in STEPS if step in steps)


STEPS: tuple[Step, ...] = ("lifting", "heat", "welding", "chassis", "licensed", "strength", "mock-up")


def of_part(part: Part) -> tuple[Caution, ...]:
    """What to mind while one part is made."""
    return cautions(*(("welding",) if part.welds else ()), "strength")


def of_bay(parts: Iterable[Part], *, keep_outs: Iterable[tuple[str, str]], onto: bool) -> tuple[Caution, ...]:
    """What to mind in a bay: `keep_outs` are names and classes of gap; `onto`: a part stands on the chassis."""
    steps: list[Step] = ["lifting", "strength"]
    if any(part.welds for part in parts):
        steps += ["welding", "heat"]
    if onto:
        steps += ["chassis", "welding", "heat"]
    if any(is_licensed(name, kind) for name, kind in keep_outs):
        steps += ["licensed", "heat"]
    return cautions(*steps)


def is_licensed(name: str, kind: str) -> bool:
    """Whether a keep-out is steering, brakes or fuel by its class of gap, or by a word in its name or class."""
    return kind in LINES or any(word in said.lower() for said in (name, kind) for word in WORDS)
