"""Which two faces are the closest, and how far apart they truly are.

The triangles give an interval that holds the true distance; the solid kernel is asked only about faces whose
interval can still win, and believed only inside it. What it finds is two points, so the bodies are no further
apart; that they are no nearer is proven by the faces' own geometry (`proven`), whatever the kernel says.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from brackets.clearance import exact
from brackets.clearance.bodies import Body
from brackets.clearance.cores import Core, boxes
from brackets.clearance.places import IDENTITY, Array, Transform
from brackets.clearance.proven import WANT, least, towards
from brackets.clearance.triangles import Nearest, Tree, Triangles, between
from brackets.core.kept import kept

ROUNDING = 1e-6  # mm: rounding in the triangles' own arithmetic, and the kernel's tolerance
KERNEL_TOLERANCE = 1e-7  # mm: the solid kernel's own tolerance for a point that lies on a face
MEETING = 1e-6  # mm of distance that counts as meeting: the kernel's own tolerance is 1e-7
LEAST = 1e-5  # mm: a small gap is told from none by its quarter, but no finer than this
BLOCK = 1 << 20  # pairs of faces compared at once: 8 MB a number of each
SCAN_LIMIT = 40  # triangles of a scan given to the solid kernel one by one; for more they are halved alone


@dataclass(frozen=True, eq=False)
class Settled:
    """The true distance is between low and high, mm, best estimate `value`; p, q and `faces` are where. sure:
    proven for these surfaces; False where a free-form face was sampled."""

    low: float
    value: float
    high: float
    p: Array
    q: Array
    faces: tuple[int, int]
    how: str
    sure: bool = True


@dataclass(frozen=True, eq=False)
class Pair:
    """Two faces (or patches of a scan), the distance between their triangles, and its error `slack`, mm."""

    i: int
    j: int
    by: Nearest
    slack: float

    @property
    def low(self) -> float:
        return self.by.distance - self.slack

    @property
    def high(self) -> float:
        return self.by.distance + self.slack


def exact_distance(a: Body, b: Body, near: Nearest) -> Settled:
    """The distance between the surfaces of two bodies, as exactly as it can be found; `near`: by their
    triangles."""
    if len(a.core.mesh.triples) < len(b.core.mesh.triples):
        swap = Nearest(near.distance, near.q, near.p, near.on_b, near.on_a)
        found = exact_distance(b, a, swap)
        return replace(found, p=found.q, q=found.p, faces=(found.faces[1], found.faces[0]))
    across = a.place.inverse @ b.place
    way = a.place.turn.T @ (near.q - near.p)
    found = kept("exact distance", lambda: _exact(a.core, b.core, across, near, way), a.core, b.core, across)
    p, q = a.place.points(np.array((found.p, found.q)))
    return replace(found, p=p, q=q)


def _exact(a: Core, b: Core, across: Transform, near: Nearest, way: Array) -> Settled:
    """The same in a's own axes, b placed at `across`; `near` and `way` follow from these three: they only leave out
    faces that are too far apart, and whichever body was asked first, they leave out none that counts."""
    asked = candidate_pairs(a, b, across, near, way)
    seen: list[Settled] = []
    best: Settled | None = None
    for pair in asked:
        if best is None or pair.low <= best.high:
            seen.append(_found(a, b, across, pair, np.inf if best is None else best.high))
            best = seen[-1] if best is None or seen[-1].high < best.high else best
        else:
            seen.append(_as_is(a, b, pair, ""))
    if best is None:
        raise AssertionError("two bodies without faces")
    low, sure = best.high, True
    for pair, one in zip(asked, seen, strict=True):
        if best.high <= MEETING:
            low = 0.0
            break
        if one.low < best.high - _want(best.high):
            one = _proven(a, b, across, pair, one, best.high)
            best = one if one.high < best.high else best
        low, sure = min(low, one.low), sure and one.sure
    value = max(0.0, best.value)
    return Settled(max(0.0, min(low, best.high)), value, best.high, best.p, best.q, best.faces, best.how, sure)


def candidate_pairs(a: Core, b: Core, across: Transform, near: Nearest, way: Array) -> list[Pair]:
    """Face pairs that may be the closest, nearest first; in a's own axes, b placed at `across`.

    way: (3,) float from a's nearest point to b's: compared along it, most faces are at once too far apart.
    """
    ma, mb = a.mesh, b.mesh
    upper = near.distance + ma.bounds[ma.face_of(near.on_a)] + mb.bounds[mb.face_of(near.on_b)] + ROUNDING
    a_low, a_high = a.face_boxes
    b_low, b_high = boxes(mb, across.points(mb.corners))
    ends, begins = _along(ma, mb, across, way)
    rows, columns, reach = [], [], []
    step = max(1, BLOCK // len(b_low))
    for first in range(0, len(a_low), step):
        some = slice(first, first + step)
        slack = ma.bounds[some, None] + mb.bounds[None, :] + ROUNDING
        behind = begins[None, :] - ends[some, None]
        found_reach = np.maximum(box_gaps(a_low[some], a_high[some], b_low, b_high), behind) - slack
        near_rows, near_columns = np.nonzero(found_reach <= upper)
        rows.append(near_rows + first)
        columns.append(near_columns)
        reach.append(found_reach[near_rows, near_columns])
    i_of, j_of, least = np.concatenate(rows), np.concatenate(columns), np.concatenate(reach)
    order = np.argsort(least, kind="stable")
    found: list[Pair] = []
    for i, j, low in zip(i_of[order].tolist(), j_of[order].tolist(), least[order].tolist(), strict=True):
        if low > upper:
            break
        by = between(a.face_tree(i), b.face_tree(j), across)
        pair = Pair(i, j, by, float(ma.bounds[i] + mb.bounds[j] + ROUNDING))
        if pair.low <= upper:
            upper = min(upper, by.distance + pair.slack)
            found.append(pair)
    return sorted((p for p in found if p.low <= upper), key=lambda p: (p.by.distance, p.i, p.j))


def _along(ma: Triangles, mb: Triangles, across: Transform, way: Array) -> tuple[Array, Array]:
    """(f,) and (g,) float mm: where along `way` each face of a ends, and each of b starts; far from one another the
    wrong way where `way` has no direction."""
    length = float(np.linalg.norm(way))
    if length < ROUNDING:
        return np.full(len(ma.bounds), np.inf), np.zeros(len(mb.bounds))
    along = way / length
    _, ends = boxes(ma, (ma.corners @ along)[:, None])
    starts, _ = boxes(mb, (across.points(mb.corners) @ along)[:, None])
    return ends[:, 0], starts[:, 0]


def box_gaps(a_low: Array, a_high: Array, b_low: Array, b_high: Array) -> Array:
    """(f, g) float: distances between the boxes of the faces of a and those of b."""
    total = np.zeros((len(a_low), len(b_low)))
    for axis in range(3):
        clear = np.maximum(
            b_low[None, :, axis] - a_high[:, None, axis], a_low[:, None, axis] - b_high[None, :, axis]
        )
        total += np.square(np.maximum(clear, 0.0))
    return np.asarray(np.sqrt(total))


def _want(high: float) -> float:
    """mm: how well a distance of about `high` is to be known."""
    return min(WANT, max(high / 4, LEAST))


def _found(a: Core, b: Core, across: Transform, pair: Pair, best: float) -> Settled:
    """What the kernel finds for one pair of faces, within what the triangles prove; `best` mm: the two bodies are
    no further apart than this."""
    if pair.slack <= 3 * ROUNDING:
        return _as_is(a, b, pair, "flat faces and scan triangles are exact")
    if a.shape is not None and b.shape is not None:
        found = exact.apart(a.face_parts(pair.i), b.face_parts(pair.j), across, pair.high)
        named, how = _named(a, b, pair), "solid kernel"
    else:
        found, named = _with_scan(a, b, across, pair, best)
        how = "solid kernel on scan triangles"
    if found is None or abs(found.distance - pair.by.distance) > pair.slack:
        return _as_is(a, b, pair, f"{how} outside the triangles' interval; triangles halved")
    high = max(found.distance, float(np.linalg.norm(found.p - found.q))) + KERNEL_TOLERANCE
    return Settled(pair.low, found.distance, high, found.p, found.q, named, how)


def _proven(a: Core, b: Core, across: Transform, pair: Pair, found: Settled, best: float) -> Settled:
    """The same with a low end that the faces' own geometry proves, and a nearer high end where it shows one."""
    ours, theirs = a.skin(pair.i), b.skin(pair.j)
    p, q = towards(ours, theirs, across, found.p, found.q)
    proof = least(ours, theirs, across, (q - p, found.q - found.p), min(found.high, best), _want(best))
    low, sure = max(found.low, proof.low - ROUNDING), ours.proven and theirs.proven
    if proof.high + ROUNDING < found.high:
        return replace(
            found, low=low, value=proof.high, high=proof.high + ROUNDING, p=proof.p, q=proof.q, sure=sure
        )
    if low > found.high:  # the kernel's points are nearer than points of these faces can be
        return replace(found, low=low, value=low, high=pair.high, how=f"{found.how} nearer than can be", sure=sure)
    return replace(found, low=low, sure=sure)


def _as_is(a: Core, b: Core, pair: Pair, how: str) -> Settled:
    return Settled(pair.low, pair.by.distance, pair.high, pair.by.p, pair.by.q, _named(a, b, pair), how)


def _named(a: Core, b: Core, pair: Pair) -> tuple[int, int]:
    """Face numbers; for a scan the number of the triangle in what the user gave."""
    names = []
    for core, face, triangle in ((a, pair.i, pair.by.on_a), (b, pair.j, pair.by.on_b)):
        start = int(core.mesh.starts[face])
        names.append(face if core.shape is not None else int(core.mesh.given[start + triangle]))
    return names[0], names[1]


def _with_scan(
    a: Core, b: Core, across: Transform, pair: Pair, best: float
) -> tuple[exact.Exact | None, tuple[int, int]]:
    """A curved face against a patch of a scan, by the kernel: only the patch's triangles that can win are asked
    about. Nothing where they are many, or where the kernel is wrong about one."""
    scan_is_a = a.shape is None
    core, patch, solid, face = (a, pair.i, b, pair.j) if scan_is_a else (b, pair.j, a, pair.i)
    scan_at, face_at = (IDENTITY, across) if scan_is_a else (across, IDENTITY)
    named = _named(a, b, pair)
    reach = min(best, pair.high)
    corners, triples = core.mesh.of_face(patch)
    curved, to_scan = solid.face_tree(face), scan_at.inverse @ face_at
    close = []
    for number in _near_box(corners[triples], to_scan.points(solid.mesh.of_face(face)[0]), reach + pair.slack):
        one = between(Tree(corners[triples[number]], exact.ONE), curved, to_scan)
        if one.distance - pair.slack <= reach:
            close.append((one, number))
    if len(close) > SCAN_LIMIT:
        return None, named
    faced = solid.face_parts(face)
    best_of: tuple[exact.Exact, int] | None = None
    for one, number in close:
        one_flat = exact.flat(corners[triples[number]])
        found = exact.apart(one_flat, faced, to_scan, one.distance + pair.slack)
        if found is None or abs(found.distance - one.distance) > pair.slack:
            return None, named
        if best_of is None or found.distance < best_of[0].distance:
            best_of = (found, number)
    if best_of is None:
        return None, named
    found, number = best_of
    triangle = int(core.mesh.given[int(core.mesh.starts[patch]) + number])
    p, q = scan_at.points(np.array((found.p, found.q)))
    if scan_is_a:
        return exact.Exact(found.distance, p, q), (triangle, face)
    return exact.Exact(found.distance, q, p), (face, triangle)


def _near_box(triangles: Array, points: Array, reach: float) -> list[int]:
    """Numbers of the triangles (n, 3, 3) whose boxes are no further than `reach` mm from that of points (m, 3)."""
    low, high = points.min(axis=0)[None], points.max(axis=0)[None]
    apart = box_gaps(triangles.min(axis=1), triangles.max(axis=1), low, high)[:, 0]
    return [int(number) for number in np.flatnonzero(apart <= reach + ROUNDING)]
