"""Least squares: the coordinates that make the readings least wrong, each weighed by its ±.

Damped Newton steps after Levenberg (1944) and Marquardt (1963), many lay-outs at a time; heavy-tailed weights where
some reading may be a mistake.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brackets.bosses.model import Model
from brackets.bosses.record import Floats

STEPS = 120
STILL = 1e-10  # mm: a step smaller than this ends the fit
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
        ends = (longest < STILL) | ((gained <= GAINED * (1.0 + cost[going])) & (longest < SHORT))
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
