"""The powertrain at rest on its mounts: what each carries, and where every point of it goes.

Axes of the bay, N, N mm, mm. Movements are counted from where it would hang with no weight on, and given from the
place as drawn too, which is where it stands with its weight on and nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.core.vectors import Vec, coordinates
from brackets.hang.load import Load, total
from brackets.hang.mount import Array, Mount, Stop, as_mounts, lever, stiffness_matrix
from brackets.hang.settle import FREE, Settled, settled


@dataclass(frozen=True, kw_only=True, eq=False)
class Reactions:
    """What holds the powertrain, and where that leaves it.

    forces (n, 3) N and couples (n, 3) N mm: of each mount on the powertrain, axes of the bay; pushes (m,) N of
    each stop; movement (6,): of `centre`, mm and radians, from where it hangs with no weight on; rest (6,): the
    same with its weight alone; balance: force and moment left over, as a part of the load.
    """

    mounts: tuple[Mount, ...]
    stops: tuple[Stop, ...]
    centre: Array
    forces: Array
    couples: Array
    pushes: Array
    movement: Array
    rest: Array
    balance: float

    @property
    def moved(self) -> Array:
        """(6,) movement of the centre from the place as drawn."""
        return np.asarray(self.movement - self.rest)

    def at(self, point: Any, *, from_drawn: bool = True) -> Array:
        """(3,) mm that a point (3,) of the powertrain moves, from the place as drawn or from no weight on."""
        arm = np.asarray(point, dtype=np.float64) - self.centre
        return np.asarray(lever(arm) @ (self.moved if from_drawn else self.movement))

    def give(self, mount: int) -> Array:
        """(3,) mm that a mount is pressed along its own axes, counted from where it carries nothing."""
        one = self.mounts[mount]
        return np.asarray(one.rotation.T @ self.at(one.position, from_drawn=one.late))

    @property
    def vertical(self) -> Array:
        """(n,) N: how much each mount carries, upwards."""
        return self.forces[:, 2]

    @property
    def closed(self) -> tuple[str, ...]:
        """Names of the stops that push."""
        return tuple(stop.name for stop, push in zip(self.stops, self.pushes, strict=True) if push > 0)


class NotHeldError(InputError):
    """Nothing holds the powertrain in one direction: `free` (6,) mm and radians of its centre."""

    def __init__(self, problem: str, free: Array) -> None:
        super().__init__(problem)
        self.free = free

    def __reduce__(self) -> tuple[type[NotHeldError], tuple[str, Array]]:  # type: ignore[override]
        return type(self), (self.problems[0], self.free)


def reactions(
    mass: float,
    centre: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    loads: Iterable[Load] = (),
    *,
    stops: Sequence[Stop] = (),
    felt: Vec = (0.0, 0.0, 0.0),
) -> Reactions:
    """What each mount does to the powertrain under its weight and loads, and how far it moves.

    mass: kg; centre: its centre of mass (3,) mm; mounts: `Mount`s, or mappings of their values; loads: beside the
    weight, as `drive_reactions` gives them; stops: snubbers and capture washers; felt: (3,) pull on its mass beside
    its weight, in g.
    Stops are part of the equilibrium: each pushes or is open, never both, which is proven of the result and not
    assumed. Raises InputError with everything that is wrong, NotHeldError where nothing holds the powertrain.

    >>> at = (-250, 300, 0), (-250, -300, 0), (700, 0, 0)
    >>> three = [{"position": each, "stiffness": (150, 150, 300)} for each in at]
    >>> found = reactions(220, (50, 20, 0), three)
    >>> found.vertical.round(2).tolist()
    [809.99, 666.16, 681.3]
    """
    held = as_mounts(mounts)
    middle = checked_body(mass, centre, felt)
    weight = total((), mass, middle)
    rest = at_rest(held, stops, middle, weight, "its weight")
    gaps = gaps_with_nothing_on(stops, middle, rest.movement)
    load = total(loads, mass, middle, felt) + late_load(held, middle, rest.movement)
    found = rest_under(held, stops, middle, load, gaps, "its loads")
    forces, couples = mount_forces(held, middle, found.movement, rest.movement)
    return Reactions(
        mounts=held, stops=tuple(stops), centre=middle, forces=forces, couples=couples, pushes=found.pushes,
        movement=found.movement, rest=rest.movement, balance=found.balance,
    )  # fmt: skip


def late_load(mounts: Sequence[Mount], centre: Any, rest: Array) -> Array:
    """(6,) what mounts that are bolted up at `rest` would carry there if they were not: it is none, so it is given
    back as a load."""
    return stiffness_matrix([mount for mount in mounts if mount.late], centre) @ rest


def mount_forces(mounts: Sequence[Mount], centre: Any, movement: Array, rest: Array) -> tuple[Array, Array]:
    """(n, 3) N and (n, 3) N mm of each mount on the powertrain, its centre moved by (6,); rest: as drawn."""
    forces, couples = [], []
    for mount in mounts:
        straight, turning = mount.outer
        moved = movement - rest if mount.late else movement
        forces.append(-straight @ (lever(mount.position - centre) @ moved))
        couples.append(-turning @ moved[3:])
    return np.array(forces).reshape(-1, 3), np.array(couples).reshape(-1, 3)


def at_rest(mounts: Sequence[Mount], stops: Sequence[Stop], centre: Array, weight: Array, by: str) -> Settled:
    """With the weight alone: only pads and mounts that carry it push; gaps of the others are counted from here."""
    gaps = np.array([stop.gap if stop.carries else math.inf for stop in stops])
    return rest_under([mount for mount in mounts if not mount.late], stops, centre, weight, gaps, by)


def gaps_with_nothing_on(stops: Sequence[Stop], centre: Array, rest: Array) -> Array:
    """mm of each stop, counted with nothing on."""
    return np.array([s.gap + (0.0 if s.carries else float(s.row(centre) @ rest)) for s in stops])


def rest_under(
    mounts: Sequence[Mount], stops: Sequence[Stop], centre: Array, load: Array, gaps: Array, by: str
) -> Settled:
    can = np.isfinite(gaps)
    rows = np.array([stop.row(centre) for stop in stops]).reshape(-1, 6)
    springs = np.array([stop.stiffness for stop in stops])
    found = settled(stiffness_matrix(mounts, centre), load, rows[can], gaps[can], springs[can])
    if not found.held:
        assert found.free is not None
        names = ", ".join(mount.name for mount in mounts) or "none"
        free = free_words(found.free, centre)
        raise NotHeldError(f"mounts = {names}, must hold the powertrain against {by}: {free}", found.free)
    pushes = np.zeros(len(stops))
    pushes[can] = found.pushes
    return Settled(found.movement, pushes, found.balance)


def free_direction(mounts: Sequence[Mount], stops: Sequence[Stop], centre: Array) -> Array | None:
    """(6,) a movement that neither a mount nor any stop resists, whether or not a load drives it that way: a mass
    that is only balanced on two bushes is not held. None where there is none."""
    rows = np.array([stop.row(centre) for stop in stops]).reshape(-1, 6)
    springs = np.array([stop.stiffness for stop in stops])
    stiff = stiffness_matrix(mounts, centre) + (rows.T * springs) @ rows
    straight, turning = float(np.trace(stiff[:3, :3])), float(np.trace(stiff[3:, 3:]))
    size = math.sqrt(turning / straight) if straight > 0 and turning > 0 else 1.0
    scale = np.array([1.0, 1.0, 1.0, size, size, size])
    bend, axes = np.linalg.eigh(stiff / np.outer(scale, scale))
    return axes[:, 0] / scale if bend[0] <= FREE * float(bend.sum()) else None


def free_words(free: Array, centre: Array) -> str:
    """Which way nothing holds it: along a direction, or about a line."""
    slide, turn = free[:3], free[3:]
    if np.linalg.norm(turn) * 1000.0 < 1e-3 * np.linalg.norm(slide):
        return f"it is free to slide along {_three(slide / np.linalg.norm(slide))}"
    through = centre + np.cross(turn, slide) / (turn @ turn)
    return f"it is free to turn about {_three(turn / np.linalg.norm(turn))} through {coordinates(through)} mm"


def _three(values: Array) -> str:
    return "(" + ", ".join(f"{round(float(value), 9) + 0.0:.3g}" for value in values) + ")"


def checked_body(mass: float, centre: Any, felt: Vec) -> Array:
    wrong = []
    if not (math.isfinite(mass) and mass > 0):
        wrong.append(f"mass = {mass:g} kg, must be above 0: of the powertrain")
    for name, value in (("centre", centre), ("felt", felt)):
        array = np.asarray(value, dtype=np.float64)
        if array.shape != (3,) or not np.isfinite(array).all():
            wrong.append(f"{name} = {value}, must be three finite numbers")
    if wrong:
        raise InputError(*wrong)
    return np.array(centre, dtype=np.float64)
