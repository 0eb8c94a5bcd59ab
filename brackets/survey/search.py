"""Where the fit begins: starting coordinates, and many starts with some readings left out.

Classical scaling (W. S. Torgerson, Psychometrika 17, 1952) of the distances read, gaps filled by the shortest
path; or hole by hole with two arcs, as on a marking-out table. There are many, since where one start leads need
not be the lowest.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from brackets.survey.model import Fit, Mask, Model, fit_many
from brackets.survey.readings import Floats

ROUGH = 2.0  # mm: crossings this near are as good as any before the fit
ALIKE = 1e-3  # cost by which crossings may differ and be drawn by lot


def rough(model: Model, keep: Mask) -> Floats:
    """(n, 3) rough coordinates from the readings kept; heights from the steps alone."""
    n = model.n
    z = heights(model, keep)
    apart = np.full((n, n), np.inf)
    total, times = np.zeros((n, n)), np.zeros((n, n))
    for i, j, run, _ in runs(model, keep):
        total[i, j] += run
        times[i, j] += 1
    total, times = total + total.T, times + times.T
    apart = np.where(times > 0, total / np.maximum(times, 1), apart)
    np.fill_diagonal(apart, 0.0)
    for k in range(n):
        apart = np.minimum(apart, apart[:, k : k + 1] + apart[k : k + 1, :])
    far = apart[np.isfinite(apart)].max() if n > 1 else 1.0
    apart = np.where(np.isfinite(apart), apart, far)
    axes = 3 if model.solid else 2
    middle = np.eye(n) - 1.0 / n
    values, vectors = np.linalg.eigh(-0.5 * middle @ apart**2 @ middle)
    order = np.argsort(values)[::-1][:axes]
    out = np.zeros((n, 3))
    out[:, : len(order)] = vectors[:, order] * np.sqrt(np.maximum(values[order], 1e-6))
    if not model.solid:
        out[:, 2] = z
    return out


def runs(model: Model, keep: Mask) -> list[tuple[int, int, float, float]]:
    """(hole, hole, distance of their middles seen square to the faces, sigma) of each reading between holes."""
    z, d = heights(model, keep), model.d_typed
    out = []
    for r in np.flatnonzero(keep[: len(model.first)]):
        i, j = int(model.first[r]), int(model.second[r])
        if not model.step[r] and i >= 0:
            rise = 0.0 if model.flat[r] or model.solid else z[j] - z[i]
            run = math.sqrt(max(model.value[r] ** 2 - rise**2, 0.0)) - model.sign[r] * (d[i] + d[j]) / 2.0
            out.append((i, j, abs(run), float(model.sigma[r])))
    return out


def built_up(model: Model, keep: Mask, rng: np.random.Generator) -> Floats:
    """(k, n, 3) rough coordinates, one for each of the (k, rows) sets of readings kept, set out hole by hole as on
    a marking-out table: two arcs from two holes already down, whichever crossing the other readings like best.
    Order and doubtful crossings are drawn by lot; one wrong reading spoils few orders."""
    count, n = len(keep), model.n
    p, run, sigma = np.zeros((count, n, 3)), np.full((count, n, n), np.nan), np.ones((count, n, n))
    for rows in np.unique(keep, axis=0):
        these = np.flatnonzero((keep == rows).all(axis=1))
        p[these, :, 2] = heights(model, rows)
        read = runs(model, rows)
        for these_of in these:
            for t in rng.permutation(len(read)):  # of one distance read twice, the last drawn counts
                i, j, far, pm = read[t]
                run[these_of, i, j] = run[these_of, j, i] = far
                sigma[these_of, i, j] = sigma[these_of, j, i] = pm
    each, read_at = np.arange(count), ~np.isnan(run)
    down = np.zeros((count, n), dtype=bool)
    down[each, rng.integers(n, size=count)] = True
    for _ in range(n - 1):
        ties = np.where(down, -1, (read_at & down[:, None, :]).sum(axis=2))
        able = ties >= np.minimum(ties.max(axis=1), 3)[:, None]
        k = np.where(able, rng.random((count, n)), -1.0).argmax(axis=1)
        p[each, k, :2] = _crossing(p, run[each, k], sigma[each, k], read_at[each, k] & down, rng)
        down[each, k] = True
    for _ in range(2):
        for k in rng.permuted(np.tile(np.arange(n), (count, 1)), axis=1).T:
            p[each, k, :2] = _crossing(p, run[each, k], sigma[each, k], read_at[each, k], rng, p[each, k, :2])
    return p


def _crossing(
    p: Floats, run: Floats, sigma: Floats, use: Mask, rng: np.random.Generator, at: Floats | None = None
) -> Floats:
    """(k, 2) where the arcs `run` (k, n) round the holes at p cross best, of those to `use`; with one arc,
    somewhere on it; with none, where it was or anywhere."""
    count, n = run.shape
    middle, run = p[:, :, :2], np.where(use, run, 0.0)
    one, angle = np.where(use, rng.random((count, n)), -1.0).argmax(axis=1), rng.uniform(0, 2 * math.pi, count)
    each = np.arange(count)
    on_arc = middle[each, one] + run[each, one, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    a, b = np.triu_indices(n, 1)
    gap = middle[:, b] - middle[:, a]
    far = np.maximum(np.hypot(gap[:, :, 0], gap[:, :, 1]), 1e-6)
    way = gap / far[:, :, None]
    along = (far**2 + run[:, a] ** 2 - run[:, b] ** 2) / (2.0 * far)
    across = np.sqrt(np.maximum(run[:, a] ** 2 - along**2, 0.0))
    foot = middle[:, a] + along[:, :, None] * way
    side = across[:, :, None] * np.dstack([-way[:, :, 1], way[:, :, 0]])
    spots = np.concatenate([on_arc[:, None], foot + side, foot - side], axis=1)
    crossed = use[:, a] & use[:, b] & (far > 1e-3)
    able = np.concatenate([use.any(axis=1, keepdims=True), crossed, crossed], axis=1)
    stay = rng.normal(0.0, 50.0, (count, 2)) if at is None else at
    spots = np.concatenate([spots, stay[:, None]], axis=1)
    able = np.column_stack([able, np.full(count, at is not None)])
    off = np.linalg.norm(spots[:, :, None] - middle[:, None], axis=-1) - run[:, None]
    cost = (np.log1p((off / np.maximum(4.0 * sigma, ROUGH)[:, None]) ** 2) * use[:, None]).sum(axis=2)
    cost = np.where(able, cost + ALIKE * rng.random(cost.shape), np.inf)
    best = np.where(able.any(axis=1), cost.argmin(axis=1), spots.shape[1] - 1)
    return np.asarray(spots[each, best], dtype=np.float64)


def heights(model: Model, keep: Mask) -> Floats:
    """(n,) heights by walking the step readings from the holes that are level with the first."""
    z = np.where(model.z_of < 0, 0.0, np.nan)
    z[0] = 0.0
    rows = [r for r in np.flatnonzero(model.step) if keep[r]]
    for _ in range(model.n):
        for r in rows:
            i, j = int(model.first[r]), int(model.second[r])
            if np.isnan(z[j]) and not np.isnan(z[i]):
                z[j] = z[i] + model.value[r]
            elif np.isnan(z[i]) and not np.isnan(z[j]):
                z[i] = z[j] - model.value[r]
    return np.nan_to_num(z)


def onto_edges(model: Model, points: Floats, keep: Mask) -> list[Floats]:
    """Lay-outs turned and turned over to lie roughly as the readings from datum edges say; just the one without."""
    rows = [r for r in np.flatnonzero(model.edge_axis >= 0) if keep[r]]
    if not rows:
        return [points]
    known = np.full((model.n, 2), np.nan)
    for r in rows:
        k, axis = int(model.second[r]), int(model.edge_axis[r])
        known[k, axis] = model.value[r] + model.edge_at[r] - model.sign[r] * model.d_typed[k] / 2.0
    out = []
    for flip in (1.0, -1.0):
        for turn in np.arange(12) * np.pi / 6.0:
            cos, sin = np.cos(turn), np.sin(turn)
            q = points.copy()
            q[:, :2] = (points[:, :2] * [1.0, flip]) @ np.array([[cos, sin], [-sin, cos]])
            for axis in (0, 1):
                has = ~np.isnan(known[:, axis])
                if has.any():
                    q[:, axis] += (known[has, axis] - q[has, axis]).mean()
            q[:, :2] = np.where(np.isnan(known), q[:, :2], known)
            out.append(q)
    return out


FRESH = 240  # lay-outs begun afresh, at least, shared among the readings: each share never saw its reading
LEAST = 6  # of them for each reading
ROUGHLY = 0.15  # share of the pattern's size by which lay-outs in space are stirred
MOST = 16  # valleys kept
TURNED_OVER = 6  # of the best, in which each hole is tried on the other side of its neighbours
FEW = 4  # neighbours up to which it is turned over the line through each two of them, past it over the best line
POSES = 2  # ways to lay a pattern onto datum edges that are tried, of those that fit best before any fitting
SCREENED = 8  # steps after which only the best starts go on
FINISHED = 4  # how many
VALLEY = 0.05  # mm: distances that differ by less belong to one valley
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
        if all(np.abs(apart - other).max() > VALLEY for other in seen):
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
