"""Which reading contradicts the rest, and when that cannot be told.

Each reading is left out in turn and everything fitted again from many starts; what is left over then says how well
"this reading is wrong" explains the contradiction. A reading is named only where nothing else explains it nearly as
well. How small a mistake that finds: data snooping with reliability after W. Baarda (A Testing Procedure for Use in
Geodetic Networks, Netherlands Geodetic Commission, 1968); separability after W. Förstner (1983).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.stats import chi2, norm

from brackets.bosses.fit import Fit, Mask, fit
from brackets.bosses.model import Model
from brackets.bosses.record import Floats
from brackets.bosses.search import Starts, Without, best_without, starts_for
from brackets.bosses.shape import hold

ALARM = 0.002
"""Share of faultless surveys in which something is accused, all tests of one survey together."""

ODDS = 9.0
"""Chi square by which an explanation must beat every other to be the only one: a likelihood ratio of exp(9 / 2),
90 to 1. Another reading's explanation beats the true one by this much once in 740 where the two are hardest to tell
apart, less often elsewhere: with test values w of correlation r, P(w1² − w2² > 9) is largest at one r, and there it
is the normal law's tail beyond three sigmas (own derivation; measured in tests/test_bosses_typos.py)."""

FITS = 0.001
"""An explanation is one where what is left over would be exceeded this often by chance."""

POWER = 1.645  # sigmas: 19 times out of 20
CHECKED = 0.02  # redundancy under which nothing checks a reading
RIVAL = 1e-6  # redundancy under which a reading's test has no direction to compare with another's
FAR = 5.0  # sigmas off the heavy-tailed fit that mark a reading where no two explain the contradiction
PAIRED_FROM = 3  # starts of the fits without two readings: there are many pairs


@dataclass(frozen=True)
class Reliability:
    """Per row: redundancy, test value squared, correlation of the tests, smallest mistake that would be named."""

    redundancy: Floats
    test: Floats
    nameable: Floats
    critical: float


def reliability(model: Model, x: Floats, keep: Mask) -> Reliability:
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
    # a reading that is hardly checked is a suspect like the rest: its mistake may be as large as it takes
    rival = redundancy > RIVAL
    size = np.sqrt(np.where(rival, redundancy, 1.0))
    rho = np.abs(q) / np.outer(size, size)
    rho[~rival, :] = rho[:, ~rival] = 0.0
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
    """What the search for mistakes came to.

    `at_least`: how many readings must be wrong; `ways`: every explanation that many readings allow, best first,
    more than one where it cannot be told (none where two do not explain it).
    """

    fit: Fit
    keep: Mask
    named: tuple[int, ...] = ()
    candidates: tuple[int, ...] = ()
    at_least: int = 0
    ways: tuple[Without, ...] = ()


def hunt(model: Model, x: Floats, keep: Mask) -> Hunt:
    """The fewest readings whose mistakes explain the contradiction, if there is one: named where no others would.

    `x` is a first fit.
    """
    here = fit(model, x, keep)
    checked = reliability(model, here.x, keep)
    spare = int(keep.sum()) - hold(model, here.x, keep).rank
    if not _contradicts(here.chi2, float(checked.test.max()), spare, model.rows):
        return Hunt(here, keep)
    starts = starts_for(model, keep, here.x)
    here = best_without(model, keep, [()], starts)[0].fit
    rows = [int(i) for i in np.flatnonzero(keep)]
    singles = best_without(model, keep, [(i,) for i in rows], starts)
    eased = here.chi2 - min(one.fit.chi2 for one in singles)
    if not _contradicts(here.chi2, eased, spare, model.rows):
        return Hunt(here, keep)
    ways = _explain(model, singles, spare - 1)
    if not ways:
        order = np.argsort([one.fit.chi2 for one in singles], kind="stable")[:2]
        near = np.vstack([starts.valleys[:PAIRED_FROM], *(singles[i].fit.x for i in order)])
        pairs = list(combinations(rows, 2))
        ways = _explain(model, best_without(model, keep, pairs, Starts(near, {})), spare - 2)
    if len(ways) == 1:
        rest = keep.copy()
        rest[list(ways[0].out)] = False
        return Hunt(ways[0].fit, rest, named=ways[0].out, at_least=len(ways[0].out), ways=ways)
    accused = tuple(sorted({i for way in ways for i in way.out})) or _far(model, starts.valleys[0], keep)
    return Hunt(here, keep, candidates=accused, at_least=len(ways[0].out) if ways else 3, ways=ways)


def _contradicts(left: float, eased: float, spare: int, rows: int) -> bool:
    """Whether chance would leave this much over, or let one reading ease it by so much, too seldom."""
    whole = chi2.isf(ALARM / 2.0, max(spare, 1))
    return bool(left > whole or eased > chi2.isf(ALARM / 2.0 / rows, 1))


def _explain(model: Model, tried: Sequence[Without], spare: int) -> tuple[Without, ...]:
    """The explanations among those tried that none beats by ODDS, best first; empty where even the best leaves too
    much over."""
    able = sorted((one for one in tried if _plausible(model, one)), key=lambda one: one.fit.chi2)
    if not able or able[0].fit.chi2 > chi2.isf(FITS, max(spare, 1)):
        return ()
    return tuple(one for one in able if one.fit.chi2 - able[0].fit.chi2 < ODDS)


def _far(model: Model, x: Floats, keep: Mask) -> tuple[int, ...]:
    """The readings that the lay-out most agree on leaves far off, worst first; all where it leaves none."""
    off = np.where(keep, np.abs(model.value - model.predict(x)[0]) / model.sigma, 0.0)
    order = [int(i) for i in np.argsort(-off, kind="stable")]
    return tuple(i for i in order if off[i] > FAR) or tuple(sorted(i for i in order if keep[i]))


def _plausible(model: Model, way: Without) -> bool:
    """Whether the diameters left out may have been misread: nobody does by more than a factor of two."""
    needed = model.predict(way.fit.x)[0]
    return all(
        0.5 * model.value[i] < needed[i] < 2.0 * model.value[i] for i in way.out if i >= len(model.first)
    )
