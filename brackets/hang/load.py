"""What pulls and turns the powertrain: single forces and couples, and cases made of them; N, N mm, mm, bay axes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any, Literal

import numpy as np

from brackets.core.finding import PRACTICE
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, point, text
from brackets.core.units import GRAVITY
from brackets.core.vectors import Vec
from brackets.hang.mount import Array

G = float(GRAVITY)
Counts = Literal["characteristic", "factored"]
COUNTS: tuple[Counts, ...] = ("characteristic", "factored")
FAR = 1e12


@dataclass(frozen=True, kw_only=True)
class Load(Checked):
    """A force (3,) N at a point (3,) mm, and a couple (3,) N mm, on the powertrain."""

    name: Annotated[str, text("what pulls or turns")] = "load"
    force: Annotated[Vec, point(3, "force on the powertrain, N", lo=-FAR, hi=FAR)] = (0.0, 0.0, 0.0)
    at: Annotated[Vec, point(3, "where it acts")] = (0.0, 0.0, 0.0)
    couple: Annotated[Vec, point(3, "couple on the powertrain, N mm", lo=-FAR, hi=FAR)] = (0.0, 0.0, 0.0)

    def about(self, centre: Any) -> Array:
        """(6,) force and moment about a point (3,) mm."""
        arm = np.asarray(self.at) - np.asarray(centre, dtype=np.float64)
        return np.concatenate([self.force, np.cross(arm, self.force) + np.asarray(self.couple)])

    def times(self, factor: float) -> Load:
        force, couple = (tuple(factor * part for part in vec) for vec in (self.force, self.couple))
        return Load(name=self.name, force=force, at=self.at, couple=couple)  # type: ignore[arg-type]


@dataclass(frozen=True, kw_only=True)
class _CaseValues(Checked):
    name: Annotated[str, text("name of the case")]
    felt: Annotated[Vec, point(3, "pull on its mass beside its weight, g", lo=-50, hi=50)]
    counts: Annotated[str, choice(COUNTS, "whether its loads are factored already")]
    why: Annotated[str, text("where its figures are from", longest=300)]


@dataclass(frozen=True, kw_only=True)
class LoadCase:
    """A load case: loads beside the weight, and what the powertrain feels of the car's movement.

    felt: (3,) in g, the apparent pull on its mass beside its weight: braking at 1 g pulls it forward, (1, 0, 0), a
    bump pulls it down, (0, 0, -3); counts: whether its loads are characteristic (as they come) or factored already;
    why: where its figures are from.
    Raises InputError with everything that is wrong.
    """

    name: str
    loads: tuple[Load, ...] = ()
    felt: Vec = (0.0, 0.0, 0.0)
    counts: Counts = "characteristic"
    why: str = "as typed"

    def __post_init__(self) -> None:
        values = _CaseValues(name=self.name, felt=self.felt, counts=self.counts, why=self.why)
        object.__setattr__(self, "felt", values.felt)
        object.__setattr__(self, "loads", tuple(self.loads))

    def about(self, mass: float, centre: Any) -> Array:
        """(6,) all of it with the weight, about the centre of mass; mass: kg."""
        return total(self.loads, mass, centre, self.felt)


def total(loads: Iterable[Load], mass: float, centre: Any, felt: Vec = (0.0, 0.0, 0.0)) -> Array:
    """(6,) N, N mm about the centre of mass: weight, what is felt beside it, and loads."""
    sum_ = np.zeros(6)
    sum_[:3] = mass * G * (np.asarray(felt) - np.array([0.0, 0.0, 1.0]))
    for load in loads:
        sum_ += load.about(centre)
    return sum_


def road_cases() -> tuple[LoadCase, ...]:
    """Cases of the road to start from, each to be replaced by one's own: common practice, no single source.

    >>> [(case.name, case.felt) for case in road_cases()][:2]
    [('bump', (0.0, 0.0, -3.0)), ('rebound', (0.0, 0.0, 2.0))]
    """
    made = (
        ("bump", (0.0, 0.0, -3.0)), ("rebound", (0.0, 0.0, 2.0)), ("braking", (2.0, 0.0, 0.0)),
        ("pulling away", (-2.0, 0.0, 0.0)), ("cornering left", (0.0, -1.5, 0.0)),
        ("cornering right", (0.0, 1.5, 0.0)),
    )  # fmt: skip
    return tuple(LoadCase(name=name, felt=felt, why=PRACTICE) for name, felt in made)
