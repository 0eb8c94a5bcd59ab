"""How far apart two bodies are, as an interval that holds the true gap, and every part against every obstacle."""

from __future__ import annotations

import heapq
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from brackets.clearance import hull_distance, overlaps
from brackets.clearance.bodies import Body, skins
from brackets.clearance.inside import contained_point, not_told
from brackets.clearance.pairs import MEETING, ROUNDING, exact_distance
from brackets.clearance.places import Array, Point, point
from brackets.clearance.triangles import Nearest
from brackets.core.errors import InputError
from brackets.core.kept import keeps

State = Literal["far", "clear", "touch", "hit", "inside"]
SAMPLED = "bend of a free form sampled, not proven"
BLOCK = 1 << 14  # pairs of bodies compared at once, some kB each
SETTLED = 1e-3  # mm: the widest interval that is called settled


@dataclass(frozen=True)
class Gap:
    """How far apart two bodies are, and where.

    The gap is from low to high, mm; p on the first body and q on the second are the closest points.

    state: "clear": known to 0.001 mm, the low end proven; "far": an interval only, as it is more than the cap or a
    face leaves no proof; "touch": their surfaces meet and share nothing; "hit": they share material; "inside": one
    lies within the other and their surfaces do not meet. In the last three low = high = 0; for "hit" p = q lies in
    what is shared, for "inside" on the inner one.

    faces: the face of each (triangle number for a scan, -1 where none was singled out). how: what decided it. note:
    what could not be told, in a sentence, or nothing.
    """

    state: State
    low: float
    high: float
    p: Point
    q: Point
    faces: tuple[int, int] = (-1, -1)
    how: str = ""
    note: str = ""

    @property
    def best(self) -> float:
        """mm: the middle of the interval."""
        return (self.low + self.high) / 2


def gap(a: Body, b: Body, cap: float | None = None) -> Gap:
    """The gap between two bodies, mm: an interval that holds it, and the closest points.

    a, b: the bodies; cap: mm, a gap that is surely more is not looked at closer, None to settle every gap. A
    settled gap is known to 0.001 mm, but for faces that leave no proof of that. Returns a Gap, whose `state` tells
    touching, sharing metal, and one inside the other apart.

    >>> block = body(shape(plate(rectangle(20, 10), 5)))
    >>> found = gap(block, block.placed(Place(at=(0, 0, 12)).matrix()))
    >>> found.state, round(found.low, 2)  # 12 up, 5 thick
    ('clear', 7.0)
    """
    if cap is not None:
        rough = by_boxes(a, b)
        if rough.low > cap:
            return _noted(a, b, rough)
    by_hulls = _by_hulls(a, b)
    if by_hulls is not None and by_hulls.state == "clear":
        return _noted(a, b, by_hulls)
    return _by_surfaces(a, b, cap)


def _by_hulls(a: Body, b: Body, limit: float = math.inf) -> Gap | None:
    """The gap by the hulls of the bodies' edges, whose triangles are not needed then: "clear", or "far" where it is
    surely more than `limit` mm or the nearest points of the hulls are not surely on the bodies; None where hulls
    meet or are not known."""
    found = hull_distance.between(a.core.hulls, b.core.hulls, a.place.inverse @ b.place, limit)
    if found is None or found.low <= 0:
        return None
    p, q = a.place.points(np.array((found.p, found.q)))
    state: State = "clear" if found.high - found.low <= SETTLED else "far"
    return Gap(state, found.low, found.high, point(p), point(q), found.faces, "a plane between the hulls")


@keeps("gap")
def _by_surfaces(a: Body, b: Body, cap: float | None) -> Gap:
    loose, near = by_triangles(a, b)
    return settled(a, b, loose, near, cap=cap)


def by_boxes(a: Body, b: Body) -> Gap:
    """A wide interval from the bounding boxes and six vertices of each body; no triangle is looked at."""
    low = float(np.linalg.norm(np.maximum(np.maximum(b.box[0] - a.box[1], a.box[0] - b.box[1]), 0.0)))
    away = np.linalg.norm(a.tips[:, None] - b.tips[None], axis=2)
    i, j = divmod(int(away.argmin()), 6)
    high = float(away[i, j]) + ROUNDING
    return Gap("far", max(0.0, low - ROUNDING), high, point(a.tips[i]), point(b.tips[j]), how="boxes")


def by_triangles(a: Body, b: Body) -> tuple[Gap, Nearest]:
    """The interval from the triangles, and the nearest points it was read from. Its state is "far": `settled`
    decides on another."""
    near = skins(a, b)
    face_a, face_b = a.core.mesh.face_of(near.on_a), b.core.mesh.face_of(near.on_b)
    low = max(0.0, near.distance - a.bound - b.bound - ROUNDING)
    high = near.distance + float(a.core.mesh.bounds[face_a] + b.core.mesh.bounds[face_b]) + ROUNDING
    sure = bool(a.core.mesh.proven.all() and b.core.mesh.proven.all())
    how = "triangles" if sure else f"triangles; {SAMPLED}"
    return Gap("far", low, high, point(near.p), point(near.q), (face_a, face_b), how), near


def settled(a: Body, b: Body, loose: Gap, near: Nearest, *, cap: float | None = None) -> Gap:
    """The gap, starting from the interval by triangles; see `gap`."""
    return _noted(a, b, _settled(a, b, loose, near, cap))


def _noted(a: Body, b: Body, found: Gap) -> Gap:
    """The gap with a note where an open scan leaves something undecided."""
    if found.state not in ("far", "clear") or (a.closed and b.closed):
        return found
    return replace(found, note=not_told(a, b))


def _settled(a: Body, b: Body, loose: Gap, near: Nearest, cap: float | None) -> Gap:
    if loose.low > 0:
        if (held := _held(a, b, clear=True)) is not None:
            return held
        if cap is not None and loose.low > cap:
            return loose
    elif near.distance == 0:
        sure = overlaps.sure_hit(a, b)
        if sure is not None:
            return _hit(sure, loose.faces, "triangles share more than they can be off")
    found = exact_distance(a, b, near)
    low, high = float(found.low), float(found.high)
    settled_to = found.sure and low > 0 and high - low <= SETTLED
    how = found.how if found.sure else f"{found.how}; {SAMPLED}"
    here = Gap("clear" if settled_to else "far", low, high, point(found.p), point(found.q), found.faces, how)
    if found.value <= MEETING:
        return _meeting(a, b, here)
    if loose.low == 0 and (held := _held(a, b)) is not None:
        return held
    if near.distance == 0:  # the triangles cross though the kernel says clear: make sure they share nothing
        shared = overlaps.shared(a, b)
        if shared is not None and shared.volume > shared.doubt:
            return _hit(shared.centre, here.faces, f"{shared.how}, though {found.how} said clear")
    return here


def _held(a: Body, b: Body, *, clear: bool = False) -> Gap | None:
    for inner, outer in ((a, b), (b, a)):
        spot = contained_point(inner, outer, clear=clear)
        if spot is not None:
            how = f"{inner.name or 'one'} is inside {outer.name or 'the other'}"
            return Gap("inside", 0.0, 0.0, point(spot), point(spot), how=how)
    return None


def _hit(spot: Array, faces: tuple[int, int], how: str) -> Gap:
    return Gap("hit", 0.0, 0.0, point(spot), point(spot), faces, how)


def _meeting(a: Body, b: Body, here: Gap) -> Gap:
    """Surfaces that meet: do they touch, or share material?"""
    shared = overlaps.shared(a, b)
    if shared is None:
        how = f"{here.how}; skins meet, touch is not told from hit"
        return replace(here, state="hit", low=0.0, high=0.0, how=how)
    if shared.volume > shared.doubt:
        return _hit(shared.centre, here.faces, shared.how)
    return replace(here, state="touch", low=0.0, high=0.0, how=f"{here.how}; {shared.how}")


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
    tips = [[[point(tip) for tip in body.tips.tolist()] for body in bodies] for bodies in (parts, obstacles)]
    names = [body.name for body in obstacles]
    rows: list[Row] = []
    for i, part in enumerate(parts):
        open_to = [j for j in range(len(obstacles)) if (i, j) not in left_out]
        found = _of_part(part, obstacles, open_to, low[i], wanted[i])
        each = (one[i].tolist() for one in (low, high, tip_a, tip_b, wanted))
        for j, (least, most, k, m, need) in enumerate(zip(*each, strict=True)):
            if j in found:
                rows.append(Row(i, j, part.name, names[j], found[j], need))
            elif (i, j) not in left_out:
                rough = Gap("far", least, most, tips[0][i][k], tips[1][j][m], how="boxes")
                rows.append(Row(i, j, part.name, names[j], rough, need))
    return worst_first(rows)


def worst_first(rows: Sequence[Row]) -> tuple[Row, ...]:
    ranks = np.array([(_RANK[row.gap.state], row.gap.low - row.needed, row.i, row.j) for row in rows])
    return tuple(rows[k] for k in np.lexsort(ranks.T[::-1]).tolist()) if rows else ()


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
        enough = max(best, float(wanted[j]))
        by_hulls = _by_hulls(part, obstacles[j], enough) if stage == 0 else None
        if by_hulls is not None and by_hulls.state == "clear":
            found[j] = _noted(part, obstacles[j], by_hulls)
            best = min(best, by_hulls.high)
            continue
        if by_hulls is not None and by_hulls.low > least:
            heapq.heappush(queue, (by_hulls.low, 1, j))
            continue
        if stage < 2:
            found[j], seen[j] = by_triangles(part, obstacles[j])
            if not _may_hold(part, obstacles[j]):
                best = min(best, found[j].high)
                heapq.heappush(queue, (max(least, found[j].low), 2, j))
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
    step = max(1, BLOCK // len(obstacles))
    each = [_rough_block(parts[i : i + step], obstacles) for i in range(0, len(parts), step)]
    low, high, tip_a, tip_b = (np.concatenate(one) for one in zip(*each, strict=True))
    return low, high, tip_a, tip_b


def _rough_block(parts: Sequence[Body], obstacles: Sequence[Body]) -> tuple[Array, Array, Array, Array]:
    shape = (len(parts), len(obstacles))
    a, b = np.array([body.box for body in parts]), np.array([body.box for body in obstacles])
    clear = np.maximum(b[None, :, 0] - a[:, None, 1], a[:, None, 0] - b[None, :, 1])
    low = np.linalg.norm(np.maximum(clear, 0.0), axis=2)
    ta, tb = np.array([body.tips for body in parts]), np.array([body.tips for body in obstacles])
    away = np.linalg.norm(ta[:, None, :, None] - tb[None, :, None, :], axis=4).reshape(*shape, 36)
    which = away.argmin(axis=2)
    high = np.take_along_axis(away, which[..., None], axis=2)[..., 0]
    return np.maximum(low - 1e-6, 0.0), high + 1e-6, which // 6, which % 6
