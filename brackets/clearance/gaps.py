"""How far apart two bodies are, as an interval that holds the true gap."""

from __future__ import annotations

import math
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
            return noted(a, b, rough)
    return _measured(a, b, cap)


@keeps("gap")
def _measured(a: Body, b: Body, cap: float | None) -> Gap:
    parted = by_hulls(a, b)
    if parted is not None and parted.state == "clear":
        return noted(a, b, parted)
    return _by_surfaces(a, b, cap)


def _by_surfaces(a: Body, b: Body, cap: float | None) -> Gap:
    loose, near = by_triangles(a, b)
    return settled(a, b, loose, near, cap=cap)


def by_hulls(a: Body, b: Body, limit: float = math.inf) -> Gap | None:
    """The gap by the hulls of the bodies' edges, whose triangles are not needed then: "clear", or "far" where it is
    surely more than `limit` mm or the nearest points of the hulls are not surely on the bodies; None where hulls
    meet or are not known."""
    found = hull_distance.between(a.core.hulls, b.core.hulls, a.place.inverse @ b.place, limit)
    if found is None or found.low <= 0:
        return None
    p, q = a.place.points(np.array((found.p, found.q)))
    state: State = "clear" if found.high - found.low <= SETTLED else "far"
    return Gap(state, found.low, found.high, point(p), point(q), found.faces, "a plane between the hulls")


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
    return noted(a, b, _settled(a, b, loose, near, cap))


def noted(a: Body, b: Body, found: Gap) -> Gap:
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
