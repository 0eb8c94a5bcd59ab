"""The gap of every part to every obstacle, worst first; exact only where it matters. mm, bay axes."""

from __future__ import annotations

import heapq
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from brackets.clearance.bodies import Body
from brackets.clearance.gaps import Gap, by_triangles, settled
from brackets.clearance.nearest import Nearest
from brackets.clearance.places import Array, point
from brackets.core.errors import InputError


@dataclass(frozen=True)
class Row:
    """One pair: part number i and obstacle number j, the gap found, the gap wanted and what is spare, mm.

    spare is found less wanted, counted from the low end of the gap."""

    i: int
    j: int
    a: str
    b: str
    gap: Gap
    needed: float

    @property
    def spare(self) -> float:
        return self.gap.low - self.needed


_RANK = {"hit": 0, "inside": 0, "touch": 1, "clear": 2, "far": 2}


def survey(
    parts: Sequence[Body],
    obstacles: Sequence[Body],
    needed: float | ArrayLike,
    *,
    skip: Collection[tuple[int, int]] = (),
) -> tuple[Row, ...]:
    """Gap of every part to every obstacle, worst first: what shares metal, what touches, then by what is spare.

    parts, obstacles: bodies, n and m of them; needed: mm wanted, one number, one per obstacle (m,) or one per pair
    (n, m); skip: pairs (number of part, of obstacle) left out. For each part, the nearest obstacle and every
    obstacle that may be nearer than needed are measured exactly; the others keep an interval. Returns a Row for
    each pair. Raises InputError where `needed` is of another shape.

    >>> block = body(shape(plate(rectangle(20, 10), 5)))
    >>> near = block.placed(Place(at=(0, 0, 12)).matrix(), name="near")
    >>> far = block.placed(Place(at=(0, 0, 40)).matrix(), name="far")
    >>> [(row.b, round(row.spare, 2)) for row in gaps([block], [far, near], 10)]  # 12 - 5 - 10, 40 - 5 - 10
    [('near', -3.0), ('far', 25.0)]
    """
    wanted = wanted_gaps(needed, len(parts), len(obstacles))
    left_out = frozenset(skip)
    low, high, tip_a, tip_b = _rough(parts, obstacles)
    tips = [[[point(tip) for tip in body.tips] for body in bodies] for bodies in (parts, obstacles)]
    rows: list[Row] = []
    for i, part in enumerate(parts):
        open_to = [j for j in range(len(obstacles)) if (i, j) not in left_out]
        found = _of_part(part, obstacles, open_to, low[i], wanted[i])
        for j in open_to:
            rough = found.get(j)
            if rough is None:
                p, q = tips[0][i][tip_a[i, j]], tips[1][j][tip_b[i, j]]
                rough = Gap("far", float(low[i, j]), float(high[i, j]), p, q, how="boxes")
            rows.append(Row(i, j, part.name, obstacles[j].name, rough, float(wanted[i, j])))
    return worst_first(rows)


def worst_first(rows: Sequence[Row]) -> tuple[Row, ...]:
    return tuple(sorted(rows, key=lambda r: (_RANK[r.gap.state], r.spare, r.i, r.j)))


def _of_part(
    part: Body, obstacles: Sequence[Body], open_to: Sequence[int], low: Array, wanted: Array
) -> dict[int, Gap]:
    """Gaps of one part, nearest first; a pair is refined only while its lower bound can still matter."""
    queue = [(float(low[j]), 0, j) for j in open_to]
    heapq.heapify(queue)
    found: dict[int, Gap] = {}
    seen: dict[int, Nearest] = {}
    best = np.inf
    most = max((float(wanted[j]) for j in open_to), default=0.0)
    while queue:
        least, stage, j = heapq.heappop(queue)
        if least > max(best, most):
            break
        if least > max(best, float(wanted[j])):
            continue
        if stage == 0:
            found[j], seen[j] = by_triangles(part, obstacles[j])
            if not _may_hold(part, obstacles[j]):
                best = min(best, found[j].high)
                heapq.heappush(queue, (found[j].low, 1, j))
                continue
        found[j] = settled(part, obstacles[j], found[j], seen[j])
        best = min(best, found[j].high)
    return found


def _may_hold(a: Body, b: Body) -> bool:
    return bool(np.all(a.box[0] <= b.box[1]) and np.all(b.box[0] <= a.box[1]))


def wanted_gaps(needed: float | ArrayLike, n: int, m: int) -> Array:
    """(n, m) float mm, from one number, one for each obstacle, or one for each pair."""
    try:
        wanted = np.broadcast_to(np.asarray(needed, dtype=float), (n, m))
    except (TypeError, ValueError):
        allowed = f"one number, {m} numbers or {n} by {m}"
        raise InputError(f"needed = {needed!r}, must be {allowed}: the gap wanted") from None
    if np.isnan(wanted).any():
        raise InputError("needed = not a number, must be mm for every pair: the gap wanted")
    return wanted


def _rough(parts: Sequence[Body], obstacles: Sequence[Body]) -> tuple[Array, Array, Array, Array]:
    """(n, m) each: low and high by boxes, and which tip of each body the high comes from."""
    shape = (len(parts), len(obstacles))
    if 0 in shape:
        empty = np.zeros(shape)
        return empty, empty, empty.astype(int), empty.astype(int)
    a, b = np.array([body.box for body in parts]), np.array([body.box for body in obstacles])
    clear = np.maximum(b[None, :, 0] - a[:, None, 1], a[:, None, 0] - b[None, :, 1])
    low = np.linalg.norm(np.maximum(clear, 0.0), axis=2)
    ta, tb = np.array([body.tips for body in parts]), np.array([body.tips for body in obstacles])
    away = np.linalg.norm(ta[:, None, :, None] - tb[None, :, None, :], axis=4).reshape(*shape, 36)
    which = away.argmin(axis=2)
    high = np.take_along_axis(away, which[..., None], axis=2)[..., 0]
    return np.maximum(low - 1e-6, 0.0), high + 1e-6, which // 6, which % 6
