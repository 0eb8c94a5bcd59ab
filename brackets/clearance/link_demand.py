"""What a bar that keeps its length asks of the bush at either end while the body it holds moves.

Each figure is an interval: the low end is found at a place of the movement, the high end no place of it passes. In
a cell of the movement a figure is its value in the middle, what its slope there adds, and no more than half of the
largest second derivative times the square of the way: that is spent by cutting the cell. mm, degrees.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from brackets.clearance.greatest import Figure as CellFigure
from brackets.clearance.greatest import Most, greatest
from brackets.clearance.link_moves import LinkMoves, turned
from brackets.clearance.places import Array, direction
from brackets.core.kept import keeps

FINE, FINE_ANGLE = 0.05, 0.05
"""How wide an interval may stay, mm and degrees: finer than anybody knows a bush."""

SECOND, FIRST = 1.75, 1.65
"""The turn of the bar is R = 1 + [v] + [v]^2 / (1 + c), v = u0 x u, c = u0 . u, and 30 degrees or less. Along any
way of u its second derivative is at most SECOND |u'|^2 + FIRST |u''|: each term of the product rule with |v| <=
1/2 and 1 + c >= 1.86."""


@dataclass(frozen=True)
class EndDemand:
    """Of one bush: how far its two halves are pushed apart square to its axis and along it, mm, and how far the
    bar's bore tilts against the ears, degrees."""

    radial: Most
    axial: Most
    tilt: Most


@dataclass(frozen=True)
class LinkDemand:
    """Of the bar: how much further apart and nearer than it is long the bush centres come, mm (below 0: never), and
    what the bush on what stands still and the one on the body that moves must take."""

    stretch: Most
    squeeze: Most
    fixed: EndDemand
    moving: EndDemand


@dataclass(frozen=True)
class _Cells:
    """What is known in k cells. `off`, `off_most` (k,): distance of the centres less the bar's length in the
    middle, and by how much that changes at most; `along`, `swung` (2, k): cosine between the bar and the ears'
    axis of each end, and by how much it changes; `sine`, `sine_most` (2, k): of the tilt of each end, in the
    middle and at most."""

    off: Array
    off_most: Array
    along: Array
    swung: Array
    sine: Array
    sine_most: Array


Figure = Callable[[_Cells], tuple[Array, Array]]
"""The values in the middle of cells, and what they are at most anywhere in each."""


@keeps("link demand")
def link_demand(moves: LinkMoves, *, length: float, fixed_axis: ArrayLike, moving_axis: ArrayLike) -> LinkDemand:
    """What a bar `length` mm from bush centre to bush centre asks of its bushes; axes of the bushes at rest."""
    axes = np.array([direction(fixed_axis, "fixed_axis"), direction(moving_axis, "moving_axis")])

    def most(figure: Figure, fine: float) -> Most:
        return _most(moves, lambda at, half: figure(_cells(moves, length, axes, at, half)), fine)

    def end(i: int) -> EndDemand:
        return EndDemand(
            radial=most(lambda cells: _radial(cells, i), FINE),
            axial=most(lambda cells: _axial(cells, i), FINE),
            tilt=most(lambda cells: (_degrees(cells.sine[i]), _degrees(cells.sine_most[i])), FINE_ANGLE),
        )

    return LinkDemand(
        stretch=most(lambda cells: (cells.off, cells.off + cells.off_most), FINE),
        squeeze=most(lambda cells: (-cells.off, -cells.off + cells.off_most), FINE),
        fixed=end(0),
        moving=end(1),
    )


def _radial(cells: _Cells, i: int) -> tuple[Array, Array]:
    """Either bush takes half of what the centres are off by, along the bar."""
    across = np.sqrt(np.clip(1.0 - cells.along[i] ** 2, 0.0, None))
    return np.abs(cells.off) / 2 * across, _half(cells) * np.minimum(1.0, across + cells.swung[i])


def _axial(cells: _Cells, i: int) -> tuple[Array, Array]:
    along = np.abs(cells.along[i])
    return np.abs(cells.off) / 2 * along, _half(cells) * np.minimum(1.0, along + cells.swung[i])


def _half(cells: _Cells) -> Array:
    return np.asarray((np.abs(cells.off) + cells.off_most) / 2)


def _degrees(sine: Array) -> Array:
    return np.asarray(np.degrees(np.arcsin(np.minimum(1.0, sine))))


def _most(moves: LinkMoves, figure: CellFigure, fine: float) -> Most:
    arms = np.r_[moves.end.arms[0], np.ones(len(moves.limits) - len(moves.turns))]
    low, high, worst = greatest(moves.limits, arms, figure, fine)
    return Most(low, high, moves.position(worst))


def _cells(moves: LinkMoves, length: float, axes: Array, at: Array, half: Array) -> _Cells:
    count = len(moves.turns)
    body, spins = turned(moves.engine, at)
    start = np.asarray(moves.moving) - np.asarray(moves.engine.about)
    arm = (body @ start[:, None])[..., 0]
    away = np.asarray(moves.engine.about) + arm + at[:, count:] @ moves.frame - np.asarray(moves.fixed)
    apart = np.linalg.norm(away, axis=1)
    along = away / apart[:, None]
    rates = np.concatenate((np.cross(spins, arm[:, None]), np.broadcast_to(moves.frame, (len(at), 3, 3))), axis=1)
    # the largest first and second derivative of the moved centre, of the bar's direction and of its turn along any
    # straight way in the cell, once along that way
    angle = half[:, :count].sum(axis=1)
    way = half[:, :count] @ moves.end.arms[0] + np.linalg.norm(half[:, count:], axis=1)
    bent = float(moves.end.arms.max(initial=0.0)) * angle**2
    first, second = way / moves.near, bent / moves.near + 3 * (way / moves.near) ** 2
    of_bar = SECOND * first**2 + FIRST * second
    of_both = of_bar + 2 * angle * moves.spin * first + angle**2
    off_slope = np.abs((rates * along[:, None]).sum(axis=2))
    off_most = (off_slope * half).sum(axis=1) + (way**2 / moves.near + bent) / 2
    swung = 2 * np.arcsin(np.minimum(1.0, way / (2 * moves.near)))
    seen = np.stack((along @ axes[0], (along * (body @ axes[1])).sum(axis=1)))
    ways = rates - (rates * along[:, None]).sum(axis=2)[..., None] * along[:, None]
    sines = [
        _sines(moves, along, ways / apart[:, None, None], axes[0], half),
        _sines(moves, along, ways / apart[:, None, None], axes[1], half, body, spins),
    ]
    return _Cells(
        off=apart - length,
        off_most=off_most,
        along=seen,
        swung=np.stack((swung, swung + angle)),
        sine=np.stack([now for now, _ in sines]),
        sine_most=np.stack([sines[0][1] + of_bar / 2, sines[1][1] + of_both / 2]),
    )


def _sines(
    moves: LinkMoves,
    along: Array,
    ways: Array,
    axis: Array,
    half: Array,
    body: Array | None = None,
    spins: Array | None = None,
) -> tuple[Array, Array]:
    """Sine of the angle between the axis in the bar and that of the ears, both as the ears see them, (k,) float:
    in the middle of each cell, and at most by its slope, which is at a corner. `ways` (k, n, 3): how the bar's
    direction goes with each freedom; `body` and `spins` where the ears are on the body that moves."""
    rest = (np.asarray(moves.moving) - np.asarray(moves.fixed)) / moves.apart
    v, c = np.cross(rest, along), along @ rest
    dv, dc = np.cross(rest, ways), ways @ rest
    va, dva = np.cross(v, axis), np.cross(dv, axis)
    once = 1.0 + c[:, None]
    there = axis + va + np.cross(v, va) / once
    bends = np.cross(dv, va[:, None]) + np.cross(v[:, None], dva)
    rates = dva + bends / once[..., None] - (dc / once**2)[..., None] * np.cross(v, va)[:, None]
    if body is not None and spins is not None:
        whole = np.zeros_like(rates)
        whole[:, : spins.shape[1]] = np.cross(spins, there[:, None])
        rates = (rates - whole) @ body
        there = (there[:, None] @ body)[:, 0]
    now, slope = np.cross(axis, there), np.cross(axis, rates)
    signs = np.array(list(itertools.product((-1.0, 1.0), repeat=half.shape[1])))
    corners = now[:, None] + np.einsum("sn,kn,knx->ksx", signs, half, slope)
    return np.linalg.norm(now, axis=1), np.linalg.norm(corners, axis=2).max(axis=1)
