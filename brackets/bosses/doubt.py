"""How well holes are known where several readings may be the wrong one: the ± reaches every lay-out left open."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brackets.bosses.fit import Mask
from brackets.bosses.model import Model
from brackets.bosses.record import COVER, Floats
from brackets.bosses.search import Without
from brackets.bosses.shape import hold, spread

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
