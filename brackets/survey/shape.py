"""What the readings hold: which holes are loose, how well each is known, whether a mirror image fits as well."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from brackets.survey.model import Model, fit
from brackets.survey.readings import COVER, Floats, Help

SLACK = 1e-6  # a motion this weakly held, against the best held, is not held at all
MOVED = 0.05  # share of a free motion's largest movement above which a hole counts as loose
AS_GOOD = 9.0  # chi square a mirror image may be worse by and still be possible: three sigma
APART = 5.0  # sigmas two lay-outs must differ by to count as two


@dataclass(frozen=True)
class Hold:
    """What the rows kept say about the unknowns near x."""

    normal_inverse: Floats  # (columns, columns) mm², shift and turn of the whole taken out
    free: Floats  # (columns, f) shape motions that nothing holds
    rank: int  # how many shape motions are held


def hold(model: Model, x: Floats, keep: NDArray[np.bool_]) -> Hold:
    """Covariance of the unknowns against the pattern as a whole, and the motions left free."""
    _, jac = model.predict(x)
    a = (jac / model.sigma[:, None])[keep]
    gauge = model.gauge(model.points(x))
    # datum edges and steps feel some of the shifts and turns: those are not free, and stay in
    felt = np.linalg.norm(a @ gauge, axis=0) if gauge.size else np.zeros(0)
    scale = max(float(np.linalg.norm(a, axis=0).max(initial=0.0)), 1e-12)
    gauge = gauge if (felt < SLACK * scale).all() else _unfelt(a, gauge, scale)
    left = np.eye(len(x)) - gauge @ gauge.T
    values, vectors = np.linalg.eigh(left @ (a.T @ a) @ left)
    held = values > (SLACK * max(float(values.max(initial=0.0)), 1e-12))
    inverse = (vectors[:, held] / values[held]) @ vectors[:, held].T
    idle = vectors[:, ~held]
    u, s, _ = np.linalg.svd(idle - gauge @ (gauge.T @ idle), full_matrices=False)
    free = u[:, s > 0.5]
    return Hold(inverse, free, int(held.sum()))


def _unfelt(a: Floats, gauge: Floats, scale: float) -> Floats:
    _, s, vt = np.linalg.svd(a @ gauge, full_matrices=True)
    s = np.concatenate([s, np.zeros(len(vt) - len(s))])
    return np.asarray(gauge @ vt[s < SLACK * scale].T, dtype=np.float64)


def spread(model: Model, inverse: Floats) -> Floats:
    """(3n, 3n) covariance of the coordinates out of that of the unknowns."""
    pick = np.zeros((3 * model.n, len(inverse)))
    for k in range(model.n):
        pick[3 * k, 2 * k] = pick[3 * k + 1, 2 * k + 1] = 1.0
        if model.z_of[k] >= 0:
            pick[3 * k + 2, model.z_of[k]] = 1.0
    return np.asarray(pick @ inverse @ pick.T, dtype=np.float64)


def loose(model: Model, free: Floats) -> tuple[int, ...]:
    """Holes that move when the free motions do."""
    if not free.size:
        return ()
    move = np.zeros(model.n)
    for k in range(model.n):
        columns = [2 * k, 2 * k + 1] + ([int(model.z_of[k])] if model.z_of[k] >= 0 else [])
        move[k] = float(np.linalg.norm(free[columns]))
    return tuple(int(k) for k in np.flatnonzero(move > MOVED * move.max()))


def mirrors(model: Model, x: Floats, keep: NDArray[np.bool_], chi2: float) -> list[Floats]:
    """Other lay-outs (n, 3) that the readings allow as well: part of the pattern folded over a line (in space: a
    plane) through two (three) holes, or a hole over the line of those it is measured from."""
    points, n = model.points(x), model.n
    base = _distances(points)
    allow = max(5.0 * COVER * float(np.median(model.sigma)), 1.0)
    found: list[Floats] = []
    for part, at, normal in _folds(model, points, keep):
        q = points.copy()
        q[part] -= 2.0 * ((q[part] - at) @ normal)[:, None] * normal
        if not model.solid:
            q[:, 2] = points[:, 2]
        if np.abs(_distances(q) - base).max() < allow:
            continue
        other = fit(model, model.start(q), keep)
        if other.chi2 > chi2 + AS_GOOD:
            continue
        image = model.points(other.x)
        apart = _distances(image)
        if np.abs(apart - base).max() > allow and all(np.abs(apart - _distances(f)).max() > allow for f in found):
            found.append(image)
    return found if n > 2 else []


def _folds(model: Model, points: Floats, keep: NDArray[np.bool_]) -> list[tuple[list[int], Floats, Floats]]:
    n, hinge = model.n, 3 if model.solid else 2
    near: list[set[int]] = [set() for _ in range(n)]
    for r in np.flatnonzero(keep[: len(model.first)]):
        if not model.step[r] and model.first[r] >= 0:
            near[model.first[r]].add(int(model.second[r]))
            near[model.second[r]].add(int(model.first[r]))
    pinned = {int(k) for k in model.second[model.edge_axis >= 0]}
    out: list[tuple[list[int], Floats, Floats]] = []
    for pair in combinations(range(n), hinge):
        parts = _parts(near, set(pair), n)
        if len(parts) < 2:
            continue
        for part in sorted(parts, key=len)[:-1]:
            line = _line(points[list(pair)])
            if line is not None and not pinned & part:
                out.append((sorted(part), *line))
    for k in range(n):
        if len(near[k]) >= hinge and k not in pinned:
            line = _line(points[sorted(near[k])])
            if line is not None:
                out.append(([k], *line))
    return out


def _parts(near: list[set[int]], without: set[int], n: int) -> list[set[int]]:
    left, out = set(range(n)) - without, []
    while left:
        part, todo = set(), [min(left)]
        while todo:
            k = todo.pop()
            if k not in part:
                part.add(k)
                todo += [j for j in near[k] if j not in without]
        out.append(part)
        left -= part
    return out


def _line(points: Floats) -> tuple[Floats, Floats] | None:
    """A point on the best line (plane) through the points and its normal."""
    flat = points.copy()
    if len(points) == 2:
        flat[:, 2] = 0.0
        way = flat[1] - flat[0]
        size = float(np.hypot(way[0], way[1]))
        return None if size < 1e-9 else (flat[0], np.array([-way[1], way[0], 0.0]) / size)
    at = flat.mean(axis=0)
    _, _, axes = np.linalg.svd(flat - at)
    if np.ptp(points[:, 2]) < 1e-9:
        way = axes[0]
        return at, np.array([-way[1], way[0], 0.0])
    return at, axes[2]


def _distances(points: Floats) -> Floats:
    return np.asarray(np.linalg.norm(points[:, None] - points[None], axis=-1), dtype=np.float64)


def most_help(
    model: Model, x: Floats, held: Hold, images: list[Floats], names: tuple[str, ...], pm: float
) -> Help | None:
    """The one further centre distance that would do most, at this ±."""
    points = model.points(x)
    cov = spread(model, held.normal_inverse)
    free = np.zeros((3 * model.n, held.free.shape[1]))
    for k in range(model.n):
        free[3 * k : 3 * k + 2] = held.free[2 * k : 2 * k + 2]
        if model.z_of[k] >= 0:
            free[3 * k + 2] = held.free[model.z_of[k]]
    before = _worst(cov)
    best: tuple[float, int, int, float] | None = None
    sigma = pm / COVER
    for i, j in combinations(range(model.n), 2):
        gap = points[j] - points[i]
        far = float(np.linalg.norm(gap))
        if far < 1e-9:
            continue
        g = np.zeros(3 * model.n)
        g[3 * j : 3 * j + 3], g[3 * i : 3 * i + 3] = gap / far, -gap / far
        after = cov - np.outer(cov @ g, cov @ g) / (sigma**2 + g @ cov @ g)
        if free.size:
            score = float(np.linalg.norm(free.T @ g))
        elif images:
            score = min(abs(far - float(np.linalg.norm(f[j] - f[i]))) for f in images)
        else:
            score = float(np.trace(cov) - np.trace(after))
        if best is None or score > best[0] + 1e-9:
            best = (score, i, j, _worst(after))
    if best is None:
        return None
    score, i, j, after_pm = best
    if free.size:
        return Help((names[i], names[j]), "fixes the shape", np.inf, np.inf) if score > 1e-3 else None
    if images:
        return Help((names[i], names[j]), "settles the mirror image", before, after_pm) if score > pm else None
    return Help((names[i], names[j]), "narrows the ellipses", before, after_pm)


def _worst(cov: Floats) -> float:
    """The longest half axis of any hole's ellipse, as a ±."""
    blocks = [np.linalg.eigvalsh(cov[k : k + 3, k : k + 3])[-1] for k in range(0, len(cov), 3)]
    return COVER * float(np.sqrt(max(max(blocks), 0.0)))
