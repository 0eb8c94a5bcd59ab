"""A scan put in order: doubled triangles dropped, all turned outwards, its holes found and small ones closed.

As many such edges enter a corner as leave it, whatever else is wrong with the scan, so that they always make closed
loops. mm.

What is left open is closed by lids that are no part of the surface: with them the triangles go round every point
a whole number of times, and less the lids' own share that is the winding number of the scan as it is.
mm; a triangle is anticlockwise seen from outside.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from brackets.clearance.places import Array, Ints
from brackets.kernel.components import components


@dataclass(frozen=True, eq=False)
class Hole:
    """A loop of corner numbers (k,), directed as in the triangles round it; the middle (3,) of the fan that closes
    it, the fan's area mm2, and the hole's size: diagonal of its box, mm."""

    corners: Ints
    middle: Array
    area: float
    size: float
    length: float

    @property
    def width(self) -> float:
        """mm: the hydraulic diameter, 4 area / length: that of a round hole, twice the width of a crack."""
        return 4 * self.area / self.length if self.length > 0 else 0.0


def holes(corners: Array, start: Ints, end: Ints) -> list[Hole]:
    """The loops of directed edges from `start` to `end`, corner numbers (k,) each."""
    return [_hole(corners, np.array(loop)) for loop in _loops(corners, start, end)]


def _hole(corners: Array, ring: Ints) -> Hole:
    at = corners[ring]
    ahead = np.roll(at, -1, axis=0)
    step = np.linalg.norm(ahead - at, axis=1)
    whole = float(step.sum())
    middle = ((at + ahead) / 2 * step[:, None]).sum(axis=0) / whole if whole > 0 else at.mean(axis=0)
    area = float(np.linalg.norm(np.cross(at - middle, ahead - middle), axis=1).sum() / 2)
    size = float(np.linalg.norm(at.max(axis=0) - at.min(axis=0)))
    return Hole(ring, middle, area, size, whole)


def _loops(corners: Array, start: Ints, end: Ints) -> list[list[int]]:
    """Loops found by following the edges; a loop ends where a corner comes again. At a corner with several edges
    on, the one that turns back most is taken: it belongs to the same hole."""
    ways: dict[int, list[int]] = defaultdict(list)
    for u, v in zip(start.tolist(), end.tolist(), strict=True):
        ways[u].append(v)
    found: list[list[int]] = []
    for first in start.tolist():
        while ways[first]:
            path, seen = [first], {first: 0}
            while path and ways[path[-1]]:
                here = path[-1]
                on = ways[here]
                there = on.pop(_back(corners, path, on) if len(on) > 1 and len(path) > 1 else -1)
                if there in seen:
                    at = seen[there]
                    found.append(path[at:])
                    for gone in path[at + 1 :]:
                        del seen[gone]
                    del path[at + 1 :]
                else:
                    seen[there] = len(path)
                    path.append(there)
    return found


def _back(corners: Array, path: list[int], on: list[int]) -> int:
    here = corners[path[-1]]
    came = corners[path[-2]] - here
    away = corners[on] - here
    lengths = np.linalg.norm(away, axis=1) * np.linalg.norm(came)
    return int((away @ came / np.maximum(lengths, 1e-300)).argmax())


Flags = NDArray[np.bool_]

# What bridges a hole lies about within the hole's own size of the true skin: a hole is closed where that is little.
# Common practice, no source.
MEND_SHARE = 0.1  # of the lump it is in
MEND_MOST = 30.0  # mm: specks that a scanner drops are smaller; what takes a hand is the owner's to judge
CRACK = 0.5  # mm: hydraulic diameter of a seam that nothing we clear fits through, however long it is
MEND_AREA = 0.05  # of its lump's area: a lid larger than this would be most of a loose triangle, or of a sheet
PLAIN = 0.05  # of area^1.5: volume by which an open sheet surely bulges to one side; half a ball has 0.13
CAVITIES = 200  # lumps asked whether they lie in another; the smaller ones count as metal, the cautious way


@dataclass(frozen=True, eq=False)
class Scan:
    """Corners (n, 3) float, triangles (m, 3) int with the number each had in what was given, -1 where it mends a
    hole, the lids (k, 3) int over the holes left open, and what was found, in sentences."""

    corners: Array
    triples: Ints
    given: Ints
    lids: Ints
    notes: tuple[str, ...]


def in_order(corners: Array, triples: Ints) -> Scan:
    """A scan put in order, from merged corners (n, 3) float mm and triangles (m, 3) int."""
    notes: list[str] = []
    given, doubled = _once(triples, len(corners))
    whole = triples[given]
    if doubled:
        notes.append(f"{_count(doubled, 'triangle')} drawn twice: kept once")
    edges = _Edges(whole, len(corners))
    turned, twisted = _turned(edges, corners, whole)
    whole = _turn(whole, turned)
    if turned.any():
        notes.append(f"{_count(int(turned.sum()), 'triangle')} of {len(whole)} faced against the next: turned")
    if twisted:
        notes.append(f"{_count(twisted, 'lump')} with one side only, as a twisted strip has: no side is out")
    edges = edges.after(turned)
    facing, said = _facing(corners, whole, edges)
    whole = _turn(whole, facing)
    notes += said
    edges = edges.after(facing)
    loose = edges.loose
    start, end = edges.rim()
    if not len(start) and not loose.any():
        return Scan(corners, whole, given, np.zeros((0, 3), dtype=np.int64), tuple(notes))
    found = holes(corners, start, end)
    small = _small(found, corners, whole)
    more, mends, lids = _closed(found, small, len(corners))
    if small:
        widest = max(found[i].size for i in small)
        notes.append(f"{_count(len(small), 'hole')} closed, the largest {widest:.2g} mm across")
    left = [hole for i, hole in enumerate(found) if i not in small]
    if left:
        notes.append(f"open: {_count(len(left), 'hole')}, the largest {max(h.size for h in left):.3g} mm across")
    if loose.any():
        notes.append(f"{_count(int(loose.sum()), 'triangle')} that no other joins")
    return Scan(
        np.vstack((corners, *more)),
        np.vstack((whole, mends)),
        np.r_[given, np.full(len(mends), -1)],
        np.vstack((lids, whole[loose, ::-1])),
        tuple(notes),
    )


def solid_angles(a: Array, b: Array, c: Array) -> Array:
    """(...,) float, in turns (of 4 pi): what triangles fill of the view from the origin, corners (..., 3) each;
    positive seen from behind. Van Oosterom and Strackee, IEEE Trans. Biomed. Eng. 30 (1983) 125, eq. 8."""
    la, lb, lc = (np.sqrt(np.einsum("...i,...i", v, v)) for v in (a, b, c))
    top = np.einsum("...i,...i", a, np.cross(b, c))
    ab, bc, ca = (np.einsum("...i,...i", u, v) for u, v in ((a, b), (b, c), (c, a)))
    return np.asarray(np.arctan2(top, la * lb * lc + ab * lc + bc * la + ca * lb) / (2 * math.pi))


def winding(corners: Array, triples: Ints, spot: Array) -> float:
    """Winding number of triangles about a point: a whole number where they are closed."""
    a, b, c = (corners[triples[:, i]] - spot for i in range(3))
    return float(solid_angles(a, b, c).sum())


class _Edges:
    """The three directed edges of every triangle, grouped by the two corners they join."""

    def __init__(self, triples: Ints, size: int) -> None:
        u, v = triples.reshape(-1), np.roll(triples, -1, axis=1).reshape(-1)
        key = np.minimum(u, v) * size + np.maximum(u, v)
        self.order = np.argsort(key, kind="stable")
        ranked = key[self.order]
        self.starts = np.flatnonzero(np.r_[True, ranked[1:] != ranked[:-1]]) if len(ranked) else np.zeros(0, int)
        self.counts = np.diff(np.r_[self.starts, len(ranked)])
        self.key, self.size, self.many = ranked[self.starts], size, len(triples)
        self.sense = np.where(u < v, 1, -1)[self.order]
        self.owner = self.order // 3

    @property
    def loose(self) -> Flags:
        """Which triangles share no edge with another."""
        alone = np.bincount(self.owner[self.starts[self.counts == 1]], minlength=self.many)
        return np.asarray(alone == 3)

    @property
    def shared(self) -> tuple[Ints, Ints, Flags]:
        """The two triangles of every edge that has two, and whether both run along it the same way."""
        first = self.starts[self.counts == 2]
        return self.owner[first], self.owner[first + 1], self.sense[first] == self.sense[first + 1]

    def after(self, turned: Flags) -> _Edges:
        """The same after some of the triangles were turned over."""
        self.sense = np.where(turned[self.owner], -self.sense, self.sense)
        return self

    def rim(self) -> tuple[Ints, Ints]:
        """Start and end of every directed edge without an opposite one; those of isolated triangles left out."""
        net = np.add.reduceat(self.sense, self.starts) if len(self.starts) else self.starts
        there = np.flatnonzero((net != 0) & ~((self.counts == 1) & self.loose[self.owner[self.starts]]))
        low, high = np.divmod(np.repeat(self.key[there], np.abs(net[there])), self.size)
        forward = np.repeat(net[there] > 0, np.abs(net[there]))
        return np.where(forward, low, high), np.where(forward, high, low)

    def open_of(self, lump: Ints, count: int) -> tuple[Flags, Ints, Ints]:
        """Which components have an edge of their own without an opposite one; and component and one corner of every
        such edge."""
        odd = np.repeat(self.counts > 2, self.counts)
        keys = np.repeat(self.key, self.counts)[odd]
        both, back = np.unique(np.column_stack((lump[self.owner[odd]], keys)), axis=0, return_inverse=True)
        net = np.bincount(back.reshape(-1), weights=self.sense[odd], minlength=len(both))
        single = self.counts == 1
        of = np.r_[both[net != 0, 0], lump[self.owner[self.starts[single]]]]
        found = np.zeros(count, dtype=bool)
        found[of] = True
        return found, of, np.r_[both[net != 0, 1], self.key[single]] // self.size


def _once(triples: Ints, size: int) -> tuple[Ints, int]:
    """Numbers of the triangles with three different corners, each triangle once, and how many were repeated."""
    a, b, c = np.sort(triples, axis=1).T
    given = np.flatnonzero((a != b) & (b != c))
    if size < 1 << 21:
        _, first = np.unique((a[given] << 42) | (b[given] << 21) | c[given], return_index=True)
    else:
        _, first = np.unique(np.column_stack((a, b, c))[given], axis=0, return_index=True)
    return given[np.sort(first)], len(given) - len(first)


def _turned(edges: _Edges, corners: Array, triples: Ints) -> tuple[Flags, int]:
    """Which triangles to reverse so that neighbours agree, those of the smaller area in each component; and the
    components where no reversal helps."""
    turn = np.zeros(edges.many, dtype=bool)
    a, b, against = edges.shared
    if not against.any():
        return turn, 0
    area = _areas(corners, triples)
    n = edges.many  # every triangle twice, as drawn and turned: neighbours join where they then agree
    far = np.where(against, n, 0)
    one, two = np.r_[a, a + n], np.r_[b + far, b + n - far]
    count, label = components(2 * n, one, two)
    both, where = np.unique(np.sort(np.column_stack((label[:n], label[n:])), axis=1), axis=0, return_inverse=True)
    twisted = both[:, 0] == both[:, 1]
    ours = label[:n] == both[where.reshape(-1), 0]
    kept = np.bincount(where.reshape(-1), weights=np.where(ours, area, -area), minlength=len(both))
    turn = np.where(kept[where.reshape(-1)] >= 0, ~ours, ours) & ~twisted[where.reshape(-1)]
    return turn, int(twisted.sum())


def _facing(corners: Array, triples: Ints, edges: _Edges) -> tuple[Flags, list[str]]:
    """Which triangles to reverse so that every component faces outwards, or inwards where it is a cavity."""
    a, b, _ = edges.shared
    n = len(triples)
    if not n:
        return np.zeros(0, dtype=bool), []
    count, lump = components(n, a, b)
    is_open, of, corner = edges.open_of(lump, count)
    middle = np.zeros((count, 3))
    number = np.maximum(np.bincount(of, minlength=count), 1)
    for axis in range(3):
        middle[:, axis] = np.bincount(of, weights=corners[corner, axis], minlength=count) / number
    _, first = np.unique(lump, return_index=True)
    middle[~is_open] = corners[triples[first[~is_open], 0]]
    p, q, r = (corners[triples[:, i]] - middle[lump] for i in range(3))
    volume = np.bincount(lump, weights=np.einsum("ij,ij->i", p, np.cross(q, r)) / 6, minlength=count)
    plain = volume != 0
    if is_open.any():
        total = np.bincount(lump, weights=_areas(corners, triples), minlength=count)
        plain &= ~is_open | (np.abs(volume) > PLAIN * total**1.5)
    sense = np.where(plain, np.sign(volume), 0).astype(int)
    main = int(np.abs(np.where(plain, volume, 0.0)).argmax())
    said, turn = [], np.zeros(count, dtype=bool)
    if sense[main] < 0:
        turn[:], sense = True, -sense
        said.append("it faced inwards: turned")
    wrong = np.flatnonzero(sense < 0)
    if len(wrong):
        ranked = wrong[np.argsort(-np.abs(volume[wrong]), kind="stable")]
        asked = [i for i in ranked[:CAVITIES].tolist() if not is_open[i]]
        cavity = [i for i in asked if _within(corners, _turn(triples, turn[lump]), lump, i, sense, is_open)]
        wrong = np.setdiff1d(wrong, cavity)
        turn[wrong] = ~turn[wrong]
        if len(wrong):
            said.append(f"{_count(len(wrong), 'lump')} of {count} faced the other way: turned")
    return turn[lump], said


def _within(corners: Array, triples: Ints, lump: Ints, one: int, sense: Ints, is_open: Flags) -> bool:
    """Whether a component lies inside the closed ones that face outwards."""
    spot = corners[triples[np.flatnonzero(lump == one)[0], 0]]
    around = (sense > 0) & ~is_open
    return winding(corners, triples[around[lump]], spot) > 0.5


def _small(found: list[Hole], corners: Array, triples: Ints) -> set[int]:
    """Numbers of the holes to close: small beside their component, or a crack."""
    n, area = len(corners), _areas(corners, triples)
    count, lump = components(n, np.tile(triples[:, 0], 2), triples[:, 1:].T.reshape(-1))
    total = np.bincount(lump[triples[:, 0]], weights=area, minlength=count)
    low, high = np.full((count, 3), np.inf), np.full((count, 3), -np.inf)
    used = np.unique(triples)
    np.minimum.at(low, lump[used], corners[used])
    np.maximum.at(high, lump[used], corners[used])
    span = np.linalg.norm(high - low, axis=1)
    small = set()
    for i, hole in enumerate(found):
        of = lump[hole.corners[0]]
        little = hole.size <= min(MEND_MOST, MEND_SHARE * span[of])
        crack = hole.width <= min(CRACK, MEND_SHARE * span[of])
        if (little or crack) and hole.area <= MEND_AREA * total[of]:
            small.add(i)
    return small


def _closed(found: list[Hole], small: set[int], many: int) -> tuple[list[Array], Ints, Ints]:
    """Corners to add, triangles that close the small holes, and the lids over the others."""
    more: list[Array] = []
    rows: tuple[list[Ints], list[Ints]] = ([np.zeros((0, 3), dtype=np.int64)], [np.zeros((0, 3), dtype=np.int64)])
    for i, hole in enumerate(found):
        ring = hole.corners
        if len(ring) == 3:
            cap = ring[None, ::-1]
        else:
            apex = np.full(len(ring), many + len(more))
            cap = np.column_stack((np.roll(ring, -1), ring, apex))
            more.append(hole.middle[None])
        rows[0 if i in small else 1].append(cap)
    return more, np.vstack(rows[0]), np.vstack(rows[1])


def _turn(triples: Ints, which: Flags) -> Ints:
    return np.where(which[:, None], triples[:, ::-1], triples) if which.any() else triples


def _areas(corners: Array, triples: Ints) -> Array:
    a, b, c = (corners[triples[:, i]] for i in range(3))
    square = np.cross(b - a, c - a)
    return np.asarray(np.sqrt(np.einsum("ij,ij->i", square, square)) / 2)


def _count(number: int, what: str) -> str:
    return f"{number} {what}" if number == 1 else f"{number} {what}s"
