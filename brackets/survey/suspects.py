"""Which reading contradicts the rest, when that cannot be told, and how well the holes are then known.

Each reading is left out in turn and everything fitted again from many starts; what is left over then says how
well "this reading is wrong" explains the contradiction. A reading is named only where nothing else explains it
nearly as well. How small a mistake that finds: data snooping with reliability after W. Baarda (A Testing
Procedure for Use in Geodetic Networks, Netherlands Geodetic Commission, 1968); separability after W. Förstner
(1983).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.stats import chi2, norm

from brackets.survey.model import Fit, Mask, Model, fit
from brackets.survey.readings import COVER, Floats
from brackets.survey.search import Starts, Without, best_without, starts_for
from brackets.survey.shape import hold, spread

NONE = 1e-12  # share of the largest spread under which a direction has none


def widened(model: Model, x: Floats, keep: Mask, ways: Sequence[Without]) -> Floats:
    """(3n, 3n) covariance about the coordinates at x, of which each of `ways` is a possible correction.

    It is what the readings leave open when one of them is left out (the mean over the ways, each widened by its
    misfit where that is above 1), and on top how far the ways' lay-outs lie from x, enlarged until the ± of every
    hole reaches each of them.
    """
    here = model.points(x)
    own, between = np.zeros((3 * model.n, 3 * model.n)), np.zeros((3 * model.n, 3 * model.n))
    shifts = []
    for way in ways:
        there = way.fit.x.copy()
        points = aligned(model, model.points(there), here)
        there[: 2 * model.n] = points[:, :2].ravel()
        high = model.z_of >= 0
        there[model.z_of[high]] = points[high, 2]
        rest = keep.copy()
        rest[list(way.out)] = False
        held = hold(model, there, rest)
        left = way.fit.chi2 / max(int(rest.sum()) - held.rank, 1)
        own += spread(model, held.normal_inverse) * max(1.0, left) / len(ways)
        shifts.append((points - here).ravel())
        between += np.outer(shifts[-1], shifts[-1]) / len(ways)
    reach = 0.0
    for k in range(0, 3 * model.n, 3):
        inverse = np.linalg.pinv(between[k : k + 3, k : k + 3], rcond=NONE, hermitian=True)
        reach = max(reach, *(float(s[k : k + 3] @ inverse @ s[k : k + 3]) for s in shifts))
    return own + between * reach / COVER**2


def aligned(model: Model, points: Floats, onto: Floats) -> Floats:
    """(n, 3) points shifted, turned and, where nothing tells the hand, mirrored to lie nearest to `onto`.

    Where readings from datum edges hold x or y, that is left as it is.
    """
    edged = {int(axis) for axis in model.edge_axis if axis >= 0}
    if edged:
        out = points.copy()
        for axis in {0, 1} - edged:
            middle, wanted = points[:, axis].mean(), onto[:, axis].mean()
            hand = np.sign((points[:, axis] - middle) @ (onto[:, axis] - wanted)) or 1.0
            out[:, axis] = hand * (points[:, axis] - middle) + wanted
        return out
    axes = 3 if model.solid else 2
    out = points.copy()
    a, b = points[:, :axes], onto[:, :axes]
    u, _, vt = np.linalg.svd((a - a.mean(axis=0)).T @ (b - b.mean(axis=0)))
    out[:, :axes] = (a - a.mean(axis=0)) @ (u @ vt) + b.mean(axis=0)
    return out


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
    """Result of the search for readings with mistakes.

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
