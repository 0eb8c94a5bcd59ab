"""What the powertrain must keep wherever `brackets place` looks: points within a box, heights over the ground, how
far shafts may bend and chains be out of line, standing still; how much of each is left, and how that changes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from brackets.bay.clear.driveline import line_at
from brackets.bay.clear.props import prop_at
from brackets.bay.position.placing import motion, place_at, vec
from brackets.bay.schema.asked import ChainRow, KeepWithin, PropRow, ShaftRow
from brackets.bay.schema.record import Bay
from brackets.clearance.places import Array, direction
from brackets.clearance.shaft_lines import figures_at_rest
from brackets.core.place import Place

ROOM = 8e-7
"""mm and degrees that a drive's limit is taken larger: less than its check allows for rounding."""

NEAR, APART = 1e-7, 1e-4
"""mm and degrees to either side by which the change of an angle or offset is measured: near, since
a straight joint has no slope; further apart for what two joints leave, a small difference of large values."""

SIDE = 1e-3
"""mm to either side by which the slope of the ground is measured."""

NO_GROUND = 1e3
"""mm that are missing where there is no ground to stand over."""


@dataclass(frozen=True, eq=False)
class KeptEnd:
    """One end that a figure of a row must not pass: `limit`, its `least` or its most, in `unit`.

    value: at a position, None where there is none; slack: how much is left there; slope (6,): how that changes."""

    table: str
    name: str
    figure: str
    unit: str
    limit: float
    least: bool
    value: float | None
    slack: float
    slope: Array

    @property
    def words(self) -> str:
        return f"{self.name} {self.figure} {'from' if self.least else 'to'} {self.limit:g} {self.unit}"

    @property
    def bends(self) -> bool:
        """Whether it is an angle, which bends one way as well as another."""
        return self.unit == "deg"

    @property
    def past(self) -> str:
        """By how much it is not kept."""
        if self.value is None:
            return f"{self.words}: no ground is under it"
        return f"{self.words}: {abs(self.value - self.limit):.2f} {self.unit} past it"

    @property
    def refusal(self) -> str:
        """That no place keeps it, at the one where the least is missing."""
        there = "no ground under it" if self.value is None else f"{round(self.value, 2):g} {self.unit}"
        allowed = f"at {'least' if self.least else 'most'} {self.limit:g} {self.unit}"
        where = f"{self.table} {self.name}: {self.figure}"
        return f"{where} = {there}, {allowed}: none found within [place] that keeps it"


def kept_ends(bay: Bay, at: Array) -> tuple[KeptEnd, ...]:
    """Every end of everything that a bay file limits, with the powertrain at a position (6,)."""
    place = place_at(bay.powertrain, at)
    found = [end for row in bay.kept_within for end in _within(bay, row, place, at)]
    found += [end for row in bay.props if row.limited for end in _height(bay, row, place, at)]
    found += [end for shaft in bay.shafts for end in _driven(bay, shaft, place, at)]
    return (*found, *(end for chain in bay.chains for end in _driven(bay, chain, place, at)))


def ends_of(row: KeepWithin) -> tuple[tuple[float | None, float | None], ...]:
    """From and to of a point along x, y and z, mm; None where it is free."""
    return (row.x_from, row.x_to), (row.y_from, row.y_to), (row.z_from, row.z_to)


def _within(bay: Bay, row: KeepWithin, place: Place, at: Array) -> Iterator[KeptEnd]:
    point = np.asarray(place.point(row.at))
    moves = motion(bay.powertrain, at, point)
    for axis, ends, value, slope in zip("xyz", ends_of(row), point, moves, strict=True):
        yield from _between(("keep_within", row.name, axis), ends, float(value), slope)


def _height(bay: Bay, row: PropRow, place: Place, at: Array) -> Iterator[KeptEnd]:
    point = np.asarray(place.point(row.at))

    def height(way: Array) -> float | None:
        return prop_at(bay, row, vec(point + way)).height

    changes = []
    for way in SIDE * motion(bay.powertrain, at, point).T:
        more, less = height(way), height(-way)
        changes.append(0.0 if more is None or less is None else (more - less) / (2 * SIDE))
    ends = row.height_from, row.height_to
    yield from _between(("prop", row.name, "height"), ends, height(np.zeros(3)), np.array(changes))


def _between(
    names: tuple[str, str, str], ends: tuple[float | None, float | None], value: float | None, slope: Array
) -> Iterator[KeptEnd]:
    """The ends of a figure in mm that changes by `slope`."""
    for limit, least, sign in ((ends[0], True, 1.0), (ends[1], False, -1.0)):
        if limit is not None:
            slack = -NO_GROUND if value is None else sign * (value - limit)
            yield KeptEnd(*names, "mm", limit, least, value, slack, sign * slope)


def _driven(bay: Bay, row: ShaftRow | ChainRow, place: Place, at: Array) -> Iterator[KeptEnd]:
    limits = driven_limits(row)
    if not limits:
        return
    line = line_at(row, place, None)
    own, other = direction(line.moving_axis, "moving_axis"), direction(line.fixed_axis, "fixed_axis")
    point = np.asarray(line.moving)
    moves = motion(bay.powertrain, at, point)
    turns = motion(bay.powertrain, at, point + own) - moves
    steps = np.vstack([sign * far * np.eye(len(at)) for far in (NEAR, APART) for sign in (1.0, -1.0)])
    axes = np.vstack((own, own + steps @ turns.T))
    found = figures_at_rest(
        np.vstack((point, point + steps @ moves.T)),
        axes / np.linalg.norm(axes, axis=1)[:, None],
        np.asarray(line.fixed, dtype=float),
        other,
    )
    found[LEFT] **= 2
    here, aside = found[:, 0], found[:, 1:].reshape(len(found), 2, 2, len(at))
    near, apart = ((aside[:, i, 0] - aside[:, i, 1]) / (2 * far) for i, far in enumerate((NEAR, APART)))
    table = "shaft" if isinstance(row, ShaftRow) else "chain"
    for figure, unit, limit, those in limits:
        most = limit + ROOM
        for i, sign in those:
            value, slack, slope = sign * float(here[i]), most - sign * float(here[i]), sign * near[i]
            if i == LEFT:  # its square changes evenly where it has no slope itself
                value, slack, slope = math.sqrt(value), (most**2 - value) / (2 * most), apart[i] / (2 * most)
            yield KeptEnd(table, row.name, figure, unit, limit, False, value, slack, -slope)


MOVING, FIXED, LEFT, AXES, AHEAD, BESIDE = range(6)
"""Rows of `figures_at_rest`."""

DrivenLimit = tuple[str, str, float, tuple[tuple[int, float], ...]]
"""A figure, its unit, the most, and the rows of `figures_at_rest`, each with a sign, that may be no more."""


def driven_limits(row: ShaftRow | ChainRow) -> list[DrivenLimit]:
    """Limits for standing still; where one is typed for the movement alone, that: rest is a place of it."""
    found: list[tuple[str, str, float | None, float | None, tuple[tuple[int, float], ...]]]
    if isinstance(row, ShaftRow):
        found = [
            ("angle on the powertrain", "deg", row.angle_rest, row.angle_moved, ((MOVING, 1.0),)),
            ("angle on the chassis", "deg", row.angle_rest, row.angle_moved, ((FIXED, 1.0),)),
            ("pair", "deg", row.pair_rest, row.pair_moved, ((LEFT, 1.0),)),
        ]
    else:
        either = tuple((i, sign) for i in (AHEAD, BESIDE) for sign in (1.0, -1.0))
        found = [
            ("offset", "mm", row.offset_rest, row.offset_moved, either),
            ("angle", "deg", row.angle_rest, row.angle_moved, ((AXES, 1.0),)),
        ]
    known = ((figure, unit, moved if rest is None else rest, those) for figure, unit, rest, moved, those in found)
    return [(figure, unit, limit, those) for figure, unit, limit, those in known if limit is not None]
