"""Least squares: the coordinates that make the readings least wrong, each weighed by its ±.

Damped Newton steps after Levenberg (1944) and Marquardt (1963), for a few dozen readings; heavy-tailed weights
where some reading may be a mistake.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brackets.bosses.model import Model
from brackets.bosses.record import Floats

STEPS = 60
STILL = 1e-10  # mm: a step smaller than this ends the fit
TAIL = 2.5  # sigmas at which a reading begins to count less in the heavy-tailed fit


@dataclass(frozen=True)
class Fit:
    """Unknowns found, and the sum of squared residuals in sigmas of the rows that counted."""

    x: Floats
    chi2: float


def fit(model: Model, x: Floats, keep: NDArray[np.bool_], *, heavy: bool = False) -> Fit:
    """The best unknowns near `x` for the rows kept; with `heavy`, mistakes pull less the worse they are."""
    lamb, x = 1e-3, x.copy()
    got, jac = model.predict(x)
    err = ((model.value - got) / model.sigma)[keep]
    cost = _cost(err, heavy)
    for _ in range(STEPS):
        a = (jac / model.sigma[:, None])[keep]
        weight = 1.0 / (1.0 + (err / TAIL) ** 2) if heavy else np.ones_like(err)
        normal, right = a.T @ (a * weight[:, None]), a.T @ (weight * err)
        size = float(np.diag(normal).max())
        better = False
        for _ in range(12):
            step = np.linalg.solve(normal + (lamb + 1e-12) * size * np.eye(len(x)), right)
            got2, jac2 = model.predict(x + step)
            err2 = ((model.value - got2) / model.sigma)[keep]
            cost2 = _cost(err2, heavy)
            if cost2 <= cost:
                better = True
                break
            lamb = max(lamb, 1e-12) * 8.0
        if not better:
            break
        gained = cost - cost2
        x, jac, err, cost, lamb = x + step, jac2, err2, cost2, lamb * 0.1
        if np.abs(step).max() < STILL or (gained <= 1e-13 * (1.0 + cost) and np.abs(step).max() < 1e-6):
            break
    return Fit(x, float((err**2).sum()) if not heavy else cost)


def _cost(err: Floats, heavy: bool) -> float:
    if heavy:
        return float((TAIL**2 * np.log1p((err / TAIL) ** 2)).sum())
    return float((err**2).sum())
