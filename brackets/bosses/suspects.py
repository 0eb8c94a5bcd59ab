"""Which reading contradicts the rest, and when that cannot be told.

Data snooping with reliability after W. Baarda (A Testing Procedure for Use in Geodetic Networks, Netherlands
Geodetic Commission, 1968); separability after W. Förstner (1983). One family of tests, 1 % false alarms in all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm

from brackets.bosses.fit import Fit, fit
from brackets.bosses.model import Model
from brackets.bosses.record import Floats
from brackets.bosses.shape import hold

ALARM = 0.01  # share of faultless surveys in which some reading is accused
POWER = 1.645  # sigmas: 19 times out of 20
ODDS = 6.0  # chi square by which the accused must beat the next: about 20 to 1
CHECKED = 0.02  # redundancy under which nothing checks a reading
FAR = 5.0  # sigmas off the heavy-tailed fit at which several readings are left out together
TRIED = 6  # of the worst, how many are left out in turn and fitted again


@dataclass(frozen=True)
class Reliability:
    """Per row: redundancy, test value squared, correlation of the tests, smallest mistake that would be named."""

    redundancy: Floats
    test: Floats
    nameable: Floats
    critical: float


def reliability(model: Model, x: Floats, keep: NDArray[np.bool_]) -> Reliability:
    """How well each row is checked by the others, at unknowns x."""
    got, jac = model.predict(x)
    a = jac / model.sigma[:, None]
    inverse = hold(model, x, keep).normal_inverse
    hat = a @ inverse @ a.T
    left = np.where(keep, 1.0, 0.0)
    err = (model.value - got) / model.sigma
    err = err - hat @ (left * err)
    q = np.eye(model.rows) - hat
    redundancy = np.where(keep, np.clip(np.diag(q), 0.0, 1.0), 0.0)
    checked = redundancy > CHECKED
    over = np.where(checked, redundancy, 1.0)
    test = np.where(checked, err**2 / over, 0.0)
    rho = np.abs(q) / np.sqrt(np.outer(over, over))
    rho[~checked, :] = rho[:, ~checked] = 0.0
    np.fill_diagonal(rho, 0.0)
    count = max(int(checked.sum()), 1)
    critical = float(norm.isf(ALARM / (2.0 * count)))
    apart = np.sqrt(np.maximum(1.0 - np.minimum(rho.max(axis=1, initial=0.0), 1.0) ** 2, 0.0))
    z = float(norm.isf(0.05 / min(count, 4)))
    separate = (z + np.sqrt(z**2 + ODDS)) / np.maximum(apart, 1e-9)
    need = np.maximum(critical + POWER, separate)
    nameable = np.where(checked & (apart > 1e-3), need * model.sigma / np.sqrt(over), np.inf)
    return Reliability(redundancy, test, nameable, critical)


@dataclass(frozen=True)
class Hunt:
    """What the search for mistakes came to."""

    fit: Fit
    keep: NDArray[np.bool_]
    named: tuple[int, ...]
    candidates: tuple[int, ...]


def hunt(model: Model, x: Floats, keep: NDArray[np.bool_], most: int) -> Hunt:
    """Readings named one after another, each fitted again without the last, until none stands out.

    `x` is the heavy-tailed fit, so that a mistake has not bent the lay-out it is judged by. Where that fit shows
    several mistakes they are left out together, as one hides another; then each must still be the one accused
    with the rest of them out.
    """
    keep = keep.copy()
    together = _together(model, x, keep, most)
    for i in together:
        rest = keep.copy()
        rest[[j for j in together if j != i]] = False
        if _accused(model, x, rest)[0] != [i]:
            together = []
            break
    named: list[int] = list(together)
    keep[named] = False
    while True:
        accused, found = _accused(model, x, keep)
        if not accused:
            return Hunt(found, keep, tuple(named), ())
        if len(accused) > 1 or len(named) >= most:
            return Hunt(fit(model, x, keep), keep, tuple(named), tuple(accused))
        named.append(accused[0])
        keep[accused[0]] = False
        x = found.x


def _together(model: Model, x: Floats, keep: NDArray[np.bool_], most: int) -> list[int]:
    """Rows that the heavy-tailed fit leaves far off, if there are several and the rest agree without them."""
    got, _ = model.predict(x)
    off = np.abs(model.value - got) / model.sigma
    far = [int(i) for i in np.flatnonzero(keep & (off > FAR))]
    if not 2 <= len(far) <= most:
        return []
    rest = keep.copy()
    rest[far] = False
    here = reliability(model, fit(model, x, rest).x, rest)
    return far if here.test.max() <= here.critical**2 else []


def _accused(model: Model, x: Floats, keep: NDArray[np.bool_]) -> tuple[list[int], Fit]:
    """The row that the rest contradicts, with those it cannot be told from, and the fit without the first."""
    here = reliability(model, x, keep)
    worst = np.argsort(-here.test)
    if here.test[worst[0]] <= here.critical**2:
        return [], fit(model, x, keep)
    without: list[tuple[float, int, Fit]] = []
    for i in (int(i) for i in worst[:TRIED] if here.test[i] > 0.0):
        rest = keep.copy()
        rest[i] = False
        found = fit(model, x, rest)
        without.append((found.chi2, i, found))
    without = [w for w in without if _plausible(model, w[2].x, w[1])] or without
    without.sort(key=lambda w: w[0])
    return [i for chi2, i, _ in without if chi2 - without[0][0] < ODDS], without[0][2]


def _plausible(model: Model, x: Floats, i: int) -> bool:
    """Whether row i may be what is wrong: a diameter nobody misreads by more than a factor of two."""
    if i < len(model.first):
        return True
    needed = float(model.predict(x)[0][i])
    return bool(0.5 * model.value[i] < needed < 2.0 * model.value[i])
