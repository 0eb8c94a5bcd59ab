"""The best lay-out with some readings left out, from many starts: a fit ends in the nearest local minimum, and that
need not be the lowest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from brackets.survey.model import Fit, Mask, Model, fit_many
from brackets.survey.readings import Floats
from brackets.survey.start import built_up, onto_edges, rough

FRESH = 240  # lay-outs begun afresh, at least, shared among the readings: each share never saw its reading
LEAST = 6  # of them for each reading
ROUGHLY = 0.15  # share of the pattern's size by which lay-outs in space are stirred
MOST = 16  # valleys kept
TURNED_OVER = 6  # of the best, in which each hole is tried on the other side of its neighbours
FEW = 4  # neighbours up to which it is turned over the line through each two of them, past it over the best line
POSES = 2  # ways to lay a pattern onto datum edges that are tried, of those that fit best before any fitting
SCREENED = 8  # steps after which only the best starts go on
FINISHED = 4  # how many
ALIKE = 0.05  # mm: distances that differ by less belong to one valley
EQUAL = 0.01  # chi square within which lay-outs fit alike: then the one nearest to what was typed is taken


@dataclass(frozen=True)
class Without:
    """The best lay-out with the rows `out` left out."""

    out: tuple[int, ...]
    fit: Fit


@dataclass(frozen=True)
class Starts:
    """Where fits begin: (k, columns) lay-outs that many readings agree on, best first, and for each row that may be
    left out (s, columns) that never saw it."""

    valleys: Floats
    fresh: dict[int, Floats]


def first_layout(model: Model, keep: Mask) -> Floats:
    """(columns,) unknowns of the best fit begun from the scaled distances alone."""
    x = np.array([model.start(q) for q in onto_edges(model, rough(model, keep), keep)])
    found, cost = fit_many(model, x, np.tile(keep, (len(x), 1)))
    return np.asarray(found[int(cost.argmin())], dtype=np.float64)


def starts_for(model: Model, keep: Mask, x: Floats) -> Starts:
    """Local minima of the heavy-tailed cost, reached from `x` and from many fresh starts, and those starts."""
    rng = np.random.default_rng(0)
    rows = np.flatnonzero(keep)
    share = max(LEAST, FRESH // len(rows))
    kept = np.repeat(np.tile(keep, (len(rows), 1)), share, axis=0)
    kept[np.arange(len(kept)), np.repeat(rows, share)] = False
    if model.solid:
        flat = rough(model, keep)
        size = max(float(np.ptp(flat)), 1.0)
        points = flat + rng.normal(0.0, ROUGHLY * size, (len(kept), *flat.shape))
    else:
        points = built_up(model, kept, rng)
    poses = [_posed(model, q, rest) for q, rest in zip(points, kept, strict=True)]
    fresh = {int(r): np.vstack(poses[k * share : (k + 1) * share]) for k, r in enumerate(rows)}
    found = _bottoms(model, keep, np.vstack([x[None], *poses]))
    over = [model.start(q) for one in found[:TURNED_OVER] for q in _turned_over(model, one)]
    return Starts(_bottoms(model, keep, np.vstack([found, *over])), fresh)


def _posed(model: Model, points: Floats, keep: Mask) -> Floats:
    """(s, columns) unknowns of one lay-out, laid onto the datum edges where there are any."""
    x = np.array([model.start(q) for q in onto_edges(model, points, keep)])
    if len(x) <= POSES:
        return x
    off = np.where(keep, (model.value - model.predict_many(x)[0]) / model.sigma, 0.0)
    return np.asarray(x[np.argsort(np.log1p(off**2).sum(axis=1), kind="stable")[:POSES]], dtype=np.float64)


def best_without(model: Model, keep: Mask, outs: Sequence[tuple[int, ...]], starts: Starts) -> list[Without]:
    """Best fit without each set of rows: from every local minimum, and a single row's from its fresh starts too."""
    begin = [
        np.vstack([starts.valleys, starts.fresh[out[0]]]) if len(out) == 1 else starts.valleys for out in outs
    ]
    kept = np.tile(keep, (len(outs), 1))
    for row, out in zip(kept, outs, strict=True):
        row[list(out)] = False
    count = [len(b) for b in begin]
    x, cost = fit_many(model, np.vstack(begin), np.repeat(kept, count, axis=0), steps=SCREENED)
    cuts = np.cumsum(count)[:-1]
    # the rest of the way only from where it looks best: most starts soon meet
    split = zip(np.split(x, cuts), np.split(cost, cuts), strict=True)
    best = [each[np.argsort(costs, kind="stable")[:FINISHED]] for each, costs in split]
    count = [len(b) for b in best]
    x, cost = fit_many(model, np.vstack(best), np.repeat(kept, count, axis=0))
    cuts = np.cumsum(count)[:-1]
    made = []
    for out, each, costs in zip(outs, np.split(x, cuts), np.split(cost, cuts), strict=True):
        alike = np.flatnonzero(costs <= costs.min() + EQUAL)
        off = np.abs(model.value - model.predict_many(each[alike])[0])[:, list(out)].sum(axis=1)
        k = int(alike[off.argmin()])
        made.append(Without(out, Fit(each[k], float(costs[k]))))
    return made


def _bottoms(model: Model, keep: Mask, starts: Floats) -> Floats:
    """Local minima that the heavy-tailed fits end in, each once, best first."""
    x, cost = fit_many(model, starts, np.tile(keep, (len(starts), 1)), heavy=True)
    found: list[Floats] = []
    seen: list[Floats] = []
    for k in np.argsort(cost, kind="stable"):
        points = model.points(x[k])
        apart = np.linalg.norm(points[:, None] - points[None], axis=-1).ravel()
        if model.edge_axis.max(initial=-1) >= 0:
            apart = np.concatenate([apart, model.predict(x[k])[0]])
        if all(np.abs(apart - other).max() > ALIKE for other in seen):
            found.append(x[k])
            seen.append(apart)
        if len(found) == MOST:
            break
    return np.array(found)


def _turned_over(model: Model, x: Floats) -> list[Floats]:
    """(n, 3) lay-outs with one hole at a time on the other side of a line (in space: plane) through holes that it
    is measured from."""
    points, made, hinge = model.points(x), [], 3 if model.solid else 2
    for k in range(model.n):
        near = {int(a) for a, b in zip(model.first, model.second, strict=True) if b == k and a >= 0}
        near |= {int(b) for a, b in zip(model.first, model.second, strict=True) if a == k}
        near -= {k}
        lines = combinations(sorted(near), hinge) if len(near) <= FEW else [tuple(sorted(near))]
        for line in lines:
            rest = points[list(line), :hinge]
            normal = np.linalg.svd(rest - rest.mean(axis=0))[2][-1]
            other = points.copy()
            other[k, :hinge] -= 2.0 * ((points[k, :hinge] - rest.mean(axis=0)) @ normal) * normal
            made.append(other)
    return made
