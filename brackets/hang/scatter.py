"""What the scatter of the bushes can make of loads and movements: bounds that are proven, not tried.

Every spring of a mount (three along its own axes, three about them) may have any stiffness between its least and
most, each by itself, which contains whatever bushes of one batch do together. With everything else fixed, a force
or a movement is (a + b s) / (c + d s) in the stiffness s of one spring, so it only rises or only falls, and its
least and most over all springs are at corners of the box. The corners of the SPRINGS that count most are all worked
out; what the others can add is bounded by energy, and so is everything where a stop may close or open in between.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brackets.core.errors import InputError
from brackets.core.kept import keeps
from brackets.core.vectors import Vec
from brackets.hang.load import Load, total
from brackets.hang.mount import Array, Mount, Stop, as_mounts, lever, stiffness_matrix
from brackets.hang.settle import FREE, settled
from brackets.hang.statics import (
    NotHeldError,
    at_rest,
    checked_body,
    free_direction,
    free_words,
    gaps_with_nothing_on,
    late_load,
    rest_under,
)

Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]
SPRINGS = 12
"""Springs whose corners are all worked out: 4096 of them."""
KEPT = 16
"""Sets of corners whose inverses are kept: 2.4 MB each, one or two a set of cases."""


@dataclass(frozen=True, kw_only=True, eq=False)
class ReactionRange:
    """Least and most over the scatter: forces (n, 3) N of each mount on the powertrain, bay axes; moved (6,) mm and
    radians of the centre and points (m, 3) mm, from the place as drawn; pushes (k,) N of the stops; exact: whether
    springs taken each by itself can reach the bounds, else they are wider."""

    forces: tuple[Array, Array]
    moved: tuple[Array, Array]
    points: tuple[Array, Array]
    pushes: tuple[Array, Array]
    exact: bool


@dataclass(frozen=True, eq=False)
class _Problem:
    """All springs: rows (n, 6), stiffness at the middle of its range (n,), half the range (n,), whose they are."""

    rows: Array
    middle: Array
    half: Array
    owner: Ints
    zero: Array  # (n,) where each carries nothing, as its row measures a movement
    ways: Array  # (n, 3) direction of each one's force, 0 of one that only turns
    asked: Array  # (m, 6) movements that are wanted
    stop_rows: Array
    gaps: Array
    stop_springs: Array
    load: Array
    mounts: int

    def loads(self, values: Array) -> Array:
        """(..., 6) load for springs (..., n): with what those that are bolted up late do not carry as drawn."""
        return np.asarray(self.load + (values * self.zero) @ self.rows)


@keeps("reaction range")
def reaction_range(
    mass: float,
    centre: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    loads: Iterable[Load] = (),
    *,
    stops: Sequence[Stop] = (),
    felt: Vec = (0.0, 0.0, 0.0),
    points: Sequence[Vec] = (),
    frames: Sequence[Any] = (),
) -> ReactionRange:
    """Bounds of what `reactions` gives, over the `low` and `high` of every mount.

    mass, centre, mounts, loads, stops, felt: as for `reactions`; points: of the powertrain, mm, whose movement is
    wanted; frames: (3, 3) a row for each direction it is wanted along, one a point, else the bay's axes. The place
    as drawn is where the powertrain stands with its weight on and every stiffness as typed.
    Raises InputError with everything that is wrong, or where a stop may close or open and the mounts do not hold
    the powertrain without it; NotHeldError where nothing holds it, or where it is only balanced some way.

    >>> soft = [{"position": (x, 0, 0), "stiffness": 100, "torsion": 1e6, "low": 0.8, "high": 1.3} for x in (-1, 1)]
    >>> found = reaction_range(100, (0, 0, 0), soft)
    >>> [round(float(end[2]), 2) for end in found.moved]  # it hangs 4.9 mm deep by its weight
    [-1.23, 1.13]
    """
    held = as_mounts(mounts)
    middle = checked_body(mass, centre, felt)
    rest = at_rest(held, stops, middle, total((), mass, middle), "its weight").movement
    gaps = gaps_with_nothing_on(stops, middle, rest)
    load = total(loads, mass, middle, felt)
    whole = load + late_load(held, middle, rest)
    pushes = rest_under(held, stops, middle, whole, gaps, "its loads").pushes  # refused where nothing holds it
    closed = [stop for stop, push in zip(stops, pushes, strict=True) if push > 0]
    if (loose := free_direction(held, closed, middle)) is not None:
        names = ", ".join(mount.name for mount in held)
        balanced = f"{free_words(loose, middle)}, and is only balanced"
        raise NotHeldError(f"mounts = {names}, must hold the powertrain every way: {balanced}", loose)
    asked = [np.eye(6), *levers(points, frames, middle)]
    problem = _problem(held, stops, middle, gaps, load, np.vstack(asked), rest)
    found = _corners(problem)
    exact = found is not None and not problem.half[_order(problem)[SPRINGS:]].any()
    if found is None:
        softest(held, middle)  # refused where the mounts alone do not hold it
    low, high = found if found is not None else _by_energy(problem)
    size = 3 * len(held)
    off = np.vstack(asked) @ rest

    ends = []
    for bound in (low, high):
        forces, going, pushes = np.split(bound, [size, size + len(off)])
        ends.append((forces.reshape(-1, 3), (going - off)[:6], (going - off)[6:].reshape(-1, 3), pushes))
    (f0, m0, p0, s0), (f1, m1, p1, s1) = ends
    return ReactionRange(forces=(f0, f1), moved=(m0, m1), points=(p0, p1), pushes=(s0, s1), exact=exact)


def levers(points: Sequence[Vec], frames: Sequence[Any], centre: Array) -> list[Array]:
    """(3, 6) a point: what each of the six figures of a movement does to it, along its directions."""
    ways = frames if len(frames) else [np.eye(3)] * len(points)
    return [
        np.asarray(np.asarray(way, dtype=np.float64) @ lever(np.asarray(point, dtype=np.float64) - centre))
        for point, way in zip(points, ways, strict=True)
    ]


def softest(mounts: Sequence[Mount], centre: Any) -> Array:
    """(6, 6) inverse of the least stiffness of the mounts; InputError where they do not hold the powertrain."""
    stiff = stiffness_matrix([mount.scaled(mount.low) for mount in mounts], centre)
    size = np.sqrt(np.maximum(np.diag(stiff), np.finfo(float).tiny))
    if np.linalg.eigvalsh(stiff / np.outer(size, size))[0] < FREE:
        names = ", ".join(mount.name for mount in mounts)
        raise InputError(f"mounts = {names}, must hold the powertrain without its stops: for their bounds")
    return np.asarray(np.linalg.inv(stiff), dtype=np.float64)


def _problem(
    mounts: Sequence[Mount], stops: Sequence[Stop], centre: Array, gaps: Array, load: Array, asked: Array,
    drawn: Array,
) -> _Problem:  # fmt: skip
    rows, middle, half, owner, ways, zero = [], [], [], [], [], []
    for i, mount in enumerate(mounts):
        own, values = mount.springs(centre)
        rows.append(own)
        middle.append(values * (mount.low + mount.high) / 2)
        half.append(values * (mount.high - mount.low) / 2)
        owner.append(np.full(len(values), i))
        ways.append(own[:, :3])
        zero.append(own @ drawn if mount.late else np.zeros(len(own)))
    return _Problem(
        rows=np.vstack(rows), middle=np.concatenate(middle), half=np.concatenate(half),
        owner=np.concatenate(owner), ways=np.vstack(ways), asked=asked, zero=np.concatenate(zero),
        stop_rows=np.array([stop.row(centre) for stop in stops]).reshape(-1, 6), gaps=gaps,
        stop_springs=np.array([stop.stiffness for stop in stops]), load=load, mounts=len(mounts),
    )  # fmt: skip


def _order(problem: _Problem) -> Ints:
    """Springs by how much of the energy their range makes, the most first."""
    stiff = problem.rows.T * problem.middle @ problem.rows
    movement = np.linalg.lstsq(stiff, problem.loads(problem.middle), rcond=None)[0]
    return np.argsort(-problem.half * np.square(problem.rows @ movement - problem.zero), kind="stable")


def _corners(problem: _Problem) -> tuple[Array, Array] | None:
    """Bounds from all corners of the box; None where a stop may close in one corner and not in another."""
    order = _order(problem)
    chosen = order[:SPRINGS][problem.half[order[:SPRINGS]] > 0]
    rest = np.setdiff1d(np.arange(len(problem.half)), chosen)
    signs = 2.0 * ((np.arange(2 ** len(chosen))[:, None] >> np.arange(len(chosen))) & 1) - 1.0
    values = np.repeat(problem.middle[None], len(signs), axis=0)
    values[:, chosen] += signs * problem.half[chosen]
    first = (problem.rows.T * values[0]) @ problem.rows
    on = settled(first, problem.loads(values[0]), problem.stop_rows, problem.gaps, problem.stop_springs).pushes > 0
    low, high = _with_stops(problem, values, rest, on)
    keep = len(low) - len(on)
    if (low[keep:][on] < 0).any() or (high[keep:][~on] > 0).any():
        return None
    for end in (low, high):
        end[keep:] = np.where(on, end[keep:] * problem.stop_springs, 0.0)
    return low, high


def _with_stops(problem: _Problem, values: Array, rest: Ints, on: Flags) -> tuple[Array, Array]:
    """Least and most over corners (n, springs): forces, movements asked, mm pressed into each stop.

    Stops that are `on` are springs here, the others are not there; `rest`: springs that are not at a corner.
    """
    closed = problem.stop_rows[on]
    outer = problem.rows[:, :, None] * problem.rows[:, None, :]
    stiff = (values @ outer.reshape(-1, 36)).reshape(-1, 6, 6)
    stiff += (closed.T * problem.stop_springs[on]) @ closed
    load = problem.loads(values) + closed.T @ (problem.stop_springs[on] * problem.gaps[on])
    moved: Array = np.asarray(np.linalg.solve(stiff, load[..., None])[..., 0], dtype=np.float64)
    return _spread(problem, values, moved, *_reach(problem, stiff, moved, rest), rest)


@dataclass(frozen=True, eq=False)
class _Soft:
    """Of each corner: inverse (n, 6, 6) of its stiffness; e (n,) as in `_reach`; sizes (n, springs), how far each
    spring gives under its own unit of energy. e and sizes are None where no spring is left at the middle."""

    inverse: Array
    e: Array | None = None
    sizes: Array | None = None


@lru_cache(maxsize=KEPT)
def _soft(stiff: bytes, rows: bytes, change: bytes | None) -> _Soft:
    """The same for every load and every point that is asked for: it is kept by the bytes of the arrays, stiff
    (n, 6, 6), rows (springs, 6), change (6, 6), None where that is nothing."""
    inverse: Array = np.asarray(np.linalg.inv(np.frombuffer(stiff).reshape(-1, 6, 6)), dtype=np.float64)
    if change is None:
        return _Soft(inverse)
    root = np.linalg.cholesky(inverse)
    e = np.linalg.eigvalsh(np.swapaxes(root, 1, 2) @ np.frombuffer(change).reshape(6, 6) @ root)[:, -1]
    return _Soft(inverse, e, _sizes(np.frombuffer(rows).reshape(-1, 6), inverse))


def _sizes(rows: Array, inverse: Array) -> Array:
    return np.asarray(np.sqrt(np.maximum(np.einsum("mi,nij,mj->nm", rows, inverse, rows), 0.0)))


def _reach(problem: _Problem, stiff: Array, moved: Array, rest: Ints) -> tuple[Array, _Soft]:
    """How far, by the energy of each corner, the springs `rest` can move what is there; and the inverse matrices.

    With K the corner, D what they can change, D <= e K, q what each is pressed: (1 - e) |d|^2 <= |d' dK q|
    <= sqrt(e) |d| sqrt(q'Dq).
    """
    change = (problem.rows[rest].T * problem.half[rest]) @ problem.rows[rest]
    moves = bool(problem.half[rest].any())
    soft = _soft(stiff.tobytes(), problem.rows.tobytes(), change.tobytes() if moves else None)
    if soft.e is None:
        return np.zeros(len(stiff)), soft
    energy = np.square(moved @ problem.rows[rest].T - problem.zero[rest]) @ problem.half[rest]
    room = np.where(soft.e < 1, 1 - soft.e, np.nan)
    return np.asarray(np.nan_to_num(np.sqrt(soft.e * energy) / room, nan=np.inf), dtype=np.float64), soft


def _spread(
    problem: _Problem, values: Array, moved: Array, reach: Array, soft: _Soft, rest: Ints
) -> tuple[Array, Array]:
    def off(rows: Array) -> Array:
        if not reach.any():
            return np.zeros((len(moved), len(rows)))
        known = soft.sizes if rows is problem.rows else None
        return np.asarray(reach[:, None] * (_sizes(rows, soft.inverse) if known is None else known))

    taken = moved @ problem.rows.T - problem.zero
    most = np.where(np.isin(np.arange(len(problem.half)), rest), problem.half, 0.0)
    more = (values + most) * off(problem.rows) + most * np.abs(taken)
    forces = np.zeros((len(moved), problem.mounts, 3))
    spread = np.zeros_like(forces)
    for k, owner in enumerate(problem.owner):
        forces[:, owner] -= (values[:, k] * taken[:, k])[:, None] * problem.ways[k]
        spread[:, owner] += more[:, k][:, None] * np.abs(problem.ways[k])
    found = [forces.reshape(len(moved), -1), moved @ problem.asked.T, moved @ problem.stop_rows.T - problem.gaps]
    about = [spread.reshape(len(moved), -1), off(problem.asked), off(problem.stop_rows)]
    low = np.concatenate([(value - by).min(axis=0) for value, by in zip(found, about, strict=True)])
    high = np.concatenate([(value + by).max(axis=0) for value, by in zip(found, about, strict=True)])
    return low, high


def _by_energy(problem: _Problem) -> tuple[Array, Array]:
    """Bounds about the rest at middle stiffness: stops only ever add to what holds the difference back."""
    stiff = (problem.rows.T * problem.middle) @ problem.rows
    found = settled(stiff, problem.loads(problem.middle), problem.stop_rows, problem.gaps, problem.stop_springs)
    rest = np.arange(len(problem.half))
    moved = found.movement[None]
    low, high = _spread(problem, problem.middle[None], moved, *_reach(problem, stiff[None], moved, rest), rest)
    count = len(problem.gaps)
    if count:
        low[-count:], high[-count:] = (np.maximum(end[-count:], 0.0) * problem.stop_springs for end in (low, high))
    return low, high
