"""Calliper readings from coordinates with their derivatives, and the least-squares fit.

Unknowns, mm: x and y of every hole, the heights that are not taken as level, the diameters that were measured. A
straight reading goes from rim to rim; rims of parallel holes at different heights are a step apart as well.
Fitted by damped Newton steps after Levenberg (1944) and Marquardt (1963), many starts at a time; heavy-tailed
weights where some reading may be a mistake.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brackets.survey.readings import COVER, DatumEdge, Floats, MeasuredHole, Reading

Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Model:
    """Readings as arrays; one row for each reading, then one for each measured diameter."""

    n: int
    first: Ints  # (m,) hole, or -1 - edge
    second: Ints
    sign: Floats  # (m,) +1 outside, -1 inside, 0 centre
    step: NDArray[np.bool_]
    flat: NDArray[np.bool_]  # height does not count
    edge_axis: Ints  # (m,) 0 or 1 where the reading is from an edge, else -1
    edge_at: Floats
    value: Floats  # (rows,)
    sigma: Floats
    z_of: Ints  # (n,) column of the hole's height, -1: level with the first
    d_of: Ints  # (n,) column of its diameter, -1: not measured
    d_typed: Floats  # (n,) 0 where not measured
    columns: int
    solid: bool  # every height unknown: a shape in space

    @property
    def rows(self) -> int:
        return len(self.value)

    def start(self, points: Floats) -> Floats:
        """Unknowns with the holes at these (n, 2) or (n, 3) points and the diameters as measured."""
        x = np.zeros(self.columns)
        x[: 2 * self.n] = points[:, :2].ravel()
        high = self.z_of >= 0
        if points.shape[1] == 3:
            x[self.z_of[high]] = points[high, 2]
        known = self.d_of >= 0
        x[self.d_of[known]] = self.d_typed[known]
        return x

    def points(self, x: Floats) -> Floats:
        """(n, 3) coordinates out of the unknowns."""
        out = np.zeros((self.n, 3))
        out[:, :2] = x[: 2 * self.n].reshape(-1, 2)
        high = self.z_of >= 0
        out[high, 2] = x[self.z_of[high]]
        return out

    def diameters(self, x: Floats) -> Floats:
        """(n,) diameters, 0 where not measured."""
        return np.where(self.d_of >= 0, x[np.maximum(self.d_of, 0)], 0.0)

    def predict(self, x: Floats) -> tuple[Floats, Floats]:
        """(rows,) what the tool would read, and (rows, columns) how it changes with each unknown."""
        got, jac = self.predict_many(x[None])
        return got[0], jac[0]

    def predict_many(self, x: Floats) -> tuple[Floats, Floats]:
        """(k, rows) and (k, rows, columns): `predict` of (k, columns) unknowns, k lay-outs at a time."""
        k, m = len(x), len(self.first)
        p = np.zeros((k, self.n, 3))
        p[:, :, :2] = x[:, : 2 * self.n].reshape(k, -1, 2)
        high = self.z_of >= 0
        p[:, high, 2] = x[:, self.z_of[high]]
        d = np.where(self.d_of >= 0, x[:, np.maximum(self.d_of, 0)], 0.0)
        i, j = np.maximum(self.first, 0), self.second
        gap = p[:, j] - p[:, i]
        run = np.maximum(np.hypot(gap[:, :, 0], gap[:, :, 1]), 1e-9)
        rim = run + self.sign * (d[:, i] + d[:, j]) / 2.0
        rise = np.where(self.flat, 0.0, gap[:, :, 2])
        far = np.maximum(np.hypot(rim, rise), 1e-9)
        along, up = rim / far, rise / far
        got, jac = np.empty((k, self.rows)), np.zeros((k, self.rows, self.columns))
        got[:, :m] = far
        share = np.dstack([along / run * gap[:, :, 0], along / run * gap[:, :, 1], up])
        share[:, self.step] = [0.0, 0.0, 1.0]
        got[:, np.flatnonzero(self.step)] = gap[:, self.step, 2]
        edged = np.flatnonzero(self.edge_axis >= 0)
        axis, hole = self.edge_axis[edged], self.second[edged]
        got[:, edged] = p[:, hole, axis] - self.edge_at[edged] + self.sign[edged] * d[:, hole] / 2.0
        share[:, edged] = np.eye(3)[axis]
        rows = np.arange(m)
        between = rows[self.edge_axis < 0]
        turned = np.where(self.step, 0.0, np.where(self.edge_axis >= 0, 1.0, along)) * self.sign / 2.0
        for these, at, way in ((rows, j, 1.0), (between, i[between], -1.0)):
            for axis_of in (0, 1):
                jac[:, these, 2 * at + axis_of] = way * share[:, these, axis_of]
            for column_of, values in ((self.z_of, way * share[:, :, 2]), (self.d_of, turned)):
                column = column_of[at]
                has = column >= 0
                jac[:, these[has], column[has]] = values[:, these[has]]
        known = np.flatnonzero(self.d_of >= 0)
        got[:, m:] = d[:, known]
        jac[:, m + np.arange(len(known)), self.d_of[known]] = 1.0
        return got, jac

    def gauge(self, points: Floats) -> Floats:
        """(columns, g) orthonormal: the shifts and turns of the whole that no reading between holes feels."""
        n = self.n
        c = points - points.mean(axis=0)
        moves = [np.tile([1.0, 0.0, 0.0], (n, 1)), np.tile([0.0, 1.0, 0.0], (n, 1))]
        moves.append(np.column_stack([-c[:, 1], c[:, 0], np.zeros(n)]))
        if self.solid:
            moves.append(np.tile([0.0, 0.0, 1.0], (n, 1)))
            moves.append(np.column_stack([np.zeros(n), -c[:, 2], c[:, 1]]))
            moves.append(np.column_stack([c[:, 2], np.zeros(n), -c[:, 0]]))
        out = np.zeros((self.columns, len(moves)))
        high = self.z_of >= 0
        for g, move in enumerate(moves):
            out[: 2 * n, g] = move[:, :2].ravel()
            out[self.z_of[high], g] = move[high, 2]
        q, r = np.linalg.qr(out)
        size = np.abs(np.diag(r))
        return np.asarray(q[:, size > 1e-9 * max(float(size.max()), 1e-12)], dtype=np.float64)


def build(
    readings: Sequence[Reading], holes: Sequence[MeasuredHole], edges: Sequence[DatumEdge], *, solid: bool
) -> Model:
    """The model of checked readings: heights are unknown where a step reading touches the hole, or in space."""
    n, names = len(holes), {h.name: k for k, h in enumerate(holes)}
    edge_of = {e.name: e for e in edges}
    m = len(readings)
    axis, at, first = np.full(m, -1), np.zeros(m), np.zeros(m, dtype=np.int64)
    for row, r in enumerate(readings):
        edge = edge_of.get(r.between[0])
        if edge is None:
            first[row] = names[r.between[0]]
        else:
            first[row], axis[row], at[row] = -1, "xy".index(edge.axis), edge.at
    touched = {name for r in readings if r.how == "step" for name in r.between}
    z_of, d_of, at_column = np.full(n, -1), np.full(n, -1), 2 * n
    for k, hole in enumerate(holes):
        if solid or (k > 0 and hole.name in touched):
            z_of[k] = at_column
            at_column += 1
    for k, hole in enumerate(holes):
        if hole.d is not None:
            d_of[k] = at_column
            at_column += 1
    known = [(h.d, h.d_pm) for h in holes if h.d is not None]
    return Model(
        n=n,
        first=first,
        second=np.array([names[r.between[1]] for r in readings], dtype=np.int64),
        sign=np.array([{"outside": 1.0, "inside": -1.0}.get(r.how, 0.0) for r in readings]),
        step=np.array([r.how == "step" for r in readings], dtype=bool),
        flat=np.array([r.level for r in readings], dtype=bool),
        edge_axis=axis,
        edge_at=at,
        value=np.array([r.value for r in readings] + [d for d, _ in known]),
        sigma=np.array([r.pm for r in readings] + [pm for _, pm in known]) / COVER,
        z_of=z_of,
        d_of=d_of,
        d_typed=np.array([h.d or 0.0 for h in holes]),
        columns=at_column,
        solid=solid,
    )


STEPS = 120
STEP_LIMIT = 1e-10  # mm: a step smaller than this ends the fit
GAINED = 1e-13  # share of its cost that a step must gain for the fit to go on, once it is shorter than SHORT
SHORT = 1e-6  # mm
DAMPED = 1e6  # damping at which no step helps any more
AT_ONCE = 1000  # lay-outs fitted at a time, for the memory's sake
TAIL = 2.5  # sigmas at which a reading begins to count less in the heavy-tailed fit

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Fit:
    """Unknowns found, and the sum of squared residuals in sigmas of the rows that counted."""

    x: Floats
    chi2: float


def fit(model: Model, x: Floats, keep: Mask) -> Fit:
    """The best unknowns near `x` for the rows kept."""
    found, cost = fit_many(model, x[None], keep[None])
    return Fit(found[0], float(cost[0]))


def fit_many(
    model: Model, x: Floats, keep: Mask, *, heavy: bool = False, steps: int = STEPS
) -> tuple[Floats, Floats]:
    """(k, columns) the best unknowns near each of the (k, columns) given, for the rows kept (k, rows), and (k,)
    their costs: chi square, or with `heavy` a cost to which mistakes add less the worse they are."""
    if len(x) > AT_ONCE:
        parts = [slice(k, k + AT_ONCE) for k in range(0, len(x), AT_ONCE)]
        found, costs = zip(*(fit_many(model, x[p], keep[p], heavy=heavy, steps=steps) for p in parts), strict=True)
        return np.vstack(found), np.concatenate(costs)
    x = x.copy()
    count, columns = x.shape
    lamb = np.full(count, 1e-3)
    err, a = _errors(model, x, keep)
    cost = _cost(err, heavy)
    going = np.arange(count)
    for _ in range(steps):
        if not len(going):
            break
        weight = 1.0 / (1.0 + (err / TAIL) ** 2) if heavy else np.ones_like(err)
        turned = a.transpose(0, 2, 1) * weight[:, None]
        normal, right = turned @ a, turned @ err[:, :, None]
        size = np.maximum(np.diagonal(normal, axis1=1, axis2=2).max(axis=1), 1e-12)
        normal += ((lamb[going] + 1e-12) * size)[:, None, None] * np.eye(columns)
        step = np.linalg.solve(normal, right)[:, :, 0]
        err2, a2 = _errors(model, x[going] + step, keep[going])
        cost2 = _cost(err2, heavy)
        better = cost2 <= cost[going]
        longest = np.abs(step).max(axis=1)
        gained = cost[going] - cost2
        ends = (longest < STEP_LIMIT) | ((gained <= GAINED * (1.0 + cost[going])) & (longest < SHORT))
        ends = np.where(better, ends, lamb[going] > DAMPED)
        x[going[better]] += step[better]
        cost[going[better]] = cost2[better]
        lamb[going] = np.where(better, lamb[going] * 0.1, np.maximum(lamb[going], 1e-9) * 8.0)
        err, a = np.where(better[:, None], err2, err), np.where(better[:, None, None], a2, a)
        going, err, a = going[~ends], err[~ends], a[~ends]
    return x, cost


def _errors(model: Model, x: Floats, keep: Mask) -> tuple[Floats, Floats]:
    """Residuals in sigmas and what moves them; zeros in the rows left out."""
    got, jac = model.predict_many(x)
    return (
        np.where(keep, (model.value - got) / model.sigma, 0.0),
        np.where(keep[:, :, None], jac / model.sigma[:, None], 0.0),
    )


def _cost(err: Floats, heavy: bool) -> Floats:
    if heavy:
        return np.asarray((TAIL**2 * np.log1p((err / TAIL) ** 2)).sum(axis=1), dtype=np.float64)
    return np.asarray((err**2).sum(axis=1), dtype=np.float64)
