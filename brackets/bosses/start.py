"""Where to begin: a rough lay-out from the distances alone, before any fitting.

Classical scaling (W. S. Torgerson, Psychometrika 17, 1952) of the distances read, gaps filled by the shortest way
round; or hole by hole with two arcs, as on a marking-out table.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from brackets.bosses.model import Model
from brackets.bosses.record import Floats

ROUGH = 2.0  # mm: crossings this near are as good as any before the fit


def rough(model: Model, keep: NDArray[np.bool_]) -> Floats:
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


def runs(model: Model, keep: NDArray[np.bool_]) -> list[tuple[int, int, float, float]]:
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


def built_up(model: Model, keep: NDArray[np.bool_], rng: np.random.Generator) -> Floats:
    """(n, 3) rough coordinates set out hole by hole as on a marking-out table: two arcs from two holes already
    down, whichever crossing the other readings like best. The order is drawn by lot; one wrong reading spoils
    few orders."""
    n = model.n
    read: list[list[tuple[int, float, float]]] = [[] for _ in range(n)]
    for i, j, run, sigma in runs(model, keep):
        read[i].append((j, run, sigma))
        read[j].append((i, run, sigma))
    p = np.zeros((n, 3))
    p[:, 2] = heights(model, keep)
    first = int(rng.integers(n))
    down = [first]
    while len(down) < n:
        ties = [sum(j in down for j, _, _ in read[k]) if k not in down else -1 for k in range(n)]
        most = max(ties)
        k = int(rng.choice([k for k in range(n) if k not in down and ties[k] >= min(most, 3)]))
        p[k, :2] = _crossing(p, [t for t in read[k] if t[0] in down], rng)
        down.append(k)
    for _ in range(2):
        for k in rng.permutation(n):
            p[k, :2] = _crossing(p, read[k], rng, p[k, :2])
    return p


def _crossing(
    p: Floats, ties: list[tuple[int, float, float]], rng: np.random.Generator, at: Floats | None = None
) -> Floats:
    """Where the arcs round holes already down cross best; with one arc or none, somewhere on it."""
    angle = rng.uniform(0.0, 2.0 * math.pi)
    if not ties:
        return np.asarray(rng.normal(0.0, 50.0, 2) if at is None else at, dtype=np.float64)
    from_, run, sigma = (np.array(column) for column in zip(*ties, strict=True))
    middle = p[from_.astype(int), :2]
    tries = [middle[0] + run[0] * np.array([math.cos(angle), math.sin(angle)])]
    tries += [] if at is None else [at]
    for a in range(len(ties)):
        for b in range(a + 1, len(ties)):
            gap = middle[b] - middle[a]
            far = float(np.hypot(gap[0], gap[1]))
            if far < 1e-6:
                continue
            along = (far**2 + run[a] ** 2 - run[b] ** 2) / (2.0 * far)
            across = math.sqrt(max(run[a] ** 2 - along**2, 0.0))
            way = gap / far
            foot = middle[a] + along * way
            tries += [foot + across * np.array([-way[1], way[0]]), foot - across * np.array([-way[1], way[0]])]
    spots = np.array(tries)
    off = np.linalg.norm(spots[:, None] - middle[None], axis=-1) - run
    cost = np.log1p((off / np.maximum(4.0 * sigma, ROUGH)) ** 2).sum(axis=1)
    return np.asarray(spots[int(cost.argmin())], dtype=np.float64)


def heights(model: Model, keep: NDArray[np.bool_]) -> Floats:
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


def onto_edges(model: Model, points: Floats, keep: NDArray[np.bool_]) -> list[Floats]:
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
