"""Every part against every obstacle: which pairs are settled, and the rows of all, worst first.

Of thousands of pairs a few are settled; what is known of the others by their boxes stays in arrays until a row is
asked for.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import overload

import numpy as np
from numpy.typing import ArrayLike

from brackets.clearance.bodies import Body
from brackets.clearance.gaps import Gap, by_hulls, by_triangles, noted, settled, wanted_gaps
from brackets.clearance.metal import foul
from brackets.clearance.pairs import ROUNDING
from brackets.clearance.places import Array, Ints, Point, point
from brackets.clearance.triangles import Nearest

BLOCK = 1 << 14  # pairs of bodies compared at once, some kB each


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


class Rows(Sequence[Row]):
    """The rows of a survey, worst first: to whoever reads it a tuple of Row, of which each is made when it is asked
    for. A slice is a tuple; it equals a tuple of equal rows and pickles as one."""

    def __init__(self, boxes: BoxGaps, found: Found, wanted: Array, asked: Ints) -> None:
        """boxes: what is known of all pairs; found: what is known of those that were measured; wanted: (n, m) mm;
        asked: the pairs that have a row, i m + j each, in order."""
        self._boxes, self._found, self._wanted, self._asked = boxes, found, wanted, asked

    @cached_property
    def _order(self) -> Ints:
        """The pairs that have a row, worst first."""
        rank, spare = np.full(self._wanted.shape, CLEAR), self._boxes.low - self._wanted
        for (i, j), gap in self._found.items():
            state, low = ("hit", 0.0) if gap is None else (gap.state, gap.low)
            rank[i, j], spare[i, j] = _RANK[state], low - self._wanted[i, j]
        return self._asked[np.lexsort((spare.ravel()[self._asked], rank.ravel()[self._asked]))]

    def __len__(self) -> int:
        return len(self._asked)

    @overload
    def __getitem__(self, at: int) -> Row: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Row, ...]: ...
    def __getitem__(self, at: int | slice) -> Row | tuple[Row, ...]:
        if isinstance(at, slice):
            return tuple(map(self._row, self._order[at].tolist()))
        return self._row(int(self._order[at]))

    def __iter__(self) -> Iterator[Row]:
        return map(self._row, self._order.tolist())

    def _row(self, pair: int) -> Row:
        i, j = divmod(pair, self._wanted.shape[1])
        one, other = self._boxes.parts[i], self._boxes.obstacles[j]
        gap = self._found[i, j] if (i, j) in self._found else self._boxes.gap(i, j)
        if gap is None:
            gap = self._found[i, j] = settled(one, other, *by_triangles(one, other))
        return Row(i, j, one.name, other.name, gap, float(self._wanted[i, j]))

    @property
    def distances(self) -> dict[tuple[int, int], tuple[float, float]]:
        """The gap of each pair that was measured, by the numbers of part and obstacle: (low, high) mm, 0 and 0
        where they foul. Of each part that is the nearest obstacle and every one that may be nearer than wanted.
        Where a pair fouls is worked out when its row is read, and not for this."""
        return {pair: (0.0, 0.0) if gap is None else (gap.low, gap.high) for pair, gap in self._found.items()}

    def __eq__(self, other: object) -> bool:
        return tuple(self) == tuple(other) if isinstance(other, Rows | tuple) else NotImplemented

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return repr(tuple(self))

    def __add__(self, other: Sequence[Row]) -> tuple[Row, ...]:
        return (*self, *other)

    def __radd__(self, other: Sequence[Row]) -> tuple[Row, ...]:
        return (*other, *self)

    def __reduce__(self) -> tuple[type[tuple[Row, ...]], tuple[tuple[Row, ...]]]:
        return tuple, (tuple(self),)


Found = dict[tuple[int, int], Gap | None]
"""By the numbers of part and obstacle the gap, None where they foul for certain and nobody has asked where."""

CLEAR = 2
_RANK = {"hit": 0, "inside": 0, "touch": 1, "clear": CLEAR, "far": CLEAR}


class BoxGaps:
    """What the boxes and the outermost vertices of bodies say of the gap of each pair."""

    def __init__(self, parts: Sequence[Body], obstacles: Sequence[Body]) -> None:
        self.parts, self.obstacles = tuple(parts), tuple(obstacles)

    @cached_property
    def low(self) -> Array:
        """(n, m) float mm: no gap is less."""
        if not (self.parts and self.obstacles):
            return np.zeros((len(self.parts), len(self.obstacles)))
        a, b = (np.array([body.box for body in bodies]) for bodies in (self.parts, self.obstacles))
        step = max(1, BLOCK // len(b))
        return np.concatenate([_least(a[i : i + step], b) for i in range(0, len(a), step)])

    @cached_property
    def _tips(self) -> tuple[list[list[Point]], list[list[Point]]]:
        ones, others = (
            [[point(tip) for tip in body.tips.tolist()] for body in bodies]
            for bodies in (self.parts, self.obstacles)
        )
        return ones, others

    @cached_property
    def _most(self) -> tuple[Array, Ints]:
        """(n, m) each: mm, no gap is more; and which two of their tips show it, 6 k + l."""
        a, b = (np.array([body.tips for body in bodies]) for bodies in (self.parts, self.obstacles))
        step = max(1, BLOCK // len(b))
        each = [_nearest_tips(a[i : i + step], b) for i in range(0, len(a), step)]
        most, which = (np.concatenate(one) for one in zip(*each, strict=True))
        return most, which

    def gap(self, i: int, j: int) -> Gap:
        """The interval of one pair."""
        most, which = self._most
        k, m = divmod(int(which[i, j]), 6)
        ones, others = self._tips
        return Gap("far", float(self.low[i, j]), float(most[i, j]), ones[i][k], others[j][m], how="boxes")


def _least(a: Array, b: Array) -> Array:
    total = np.zeros((len(a), len(b)))
    for ours, theirs in zip(a.T, b.T, strict=True):  # axis by axis: arrays that lie together
        clear = np.maximum(theirs[0] - ours[1][:, None], ours[0][:, None] - theirs[1])
        total += np.square(np.maximum(clear, 0.0))
    return np.asarray(np.maximum(np.sqrt(total) - ROUNDING, 0.0))


def _nearest_tips(a: Array, b: Array) -> tuple[Array, Ints]:
    away = np.linalg.norm(a[:, None, :, None] - b[None, :, None, :], axis=4).reshape(len(a), len(b), 36)
    which = away.argmin(axis=2)
    return np.take_along_axis(away, which[..., None], axis=2)[..., 0] + ROUNDING, which


def survey(
    parts: Sequence[Body],
    obstacles: Sequence[Body],
    needed: float | ArrayLike,
    *,
    skip: Collection[tuple[int, int]] = (),
) -> Rows:
    """Gap of every part to every obstacle, worst first: what shares metal, what touches, then by what is spare.

    parts, obstacles: bodies, n and m of them; needed: mm wanted, one number, one per obstacle (m,) or one per pair
    (n, m); skip: pairs (number of part, of obstacle) left out. For each part, the nearest obstacle and every
    obstacle that may be nearer than needed are measured exactly; the others keep an interval. Returns a Row for
    each pair, as `Rows`, to be read as a tuple. Raises InputError where `needed` is of another shape.

    >>> block = body(shape(plate(rectangle(20, 10), 5)))
    >>> near = block.placed(Place(at=(0, 0, 12)).matrix(), name="near")
    >>> far = block.placed(Place(at=(0, 0, 40)).matrix(), name="far")
    >>> [(row.b, round(row.spare, 2)) for row in gaps([block], [far, near], 10)]  # 12 - 5 - 10, 40 - 5 - 10
    [('near', -3.0), ('far', 25.0)]
    """
    wanted = wanted_gaps(needed, len(parts), len(obstacles))
    boxes, asked = BoxGaps(parts, obstacles), np.ones(wanted.shape, dtype=bool)
    for i, j in skip:
        if 0 <= i < len(parts) and 0 <= j < len(obstacles):
            asked[i, j] = False
    found: Found = {}
    for i, part in enumerate(parts):
        of_part = _of_part(part, obstacles, np.flatnonzero(asked[i]), boxes.low[i], wanted[i])
        found.update(((i, j), gap) for j, gap in of_part.items())
    return Rows(boxes, found, wanted, np.flatnonzero(asked))


def worst_first(rows: Sequence[Row]) -> tuple[Row, ...]:
    ranks = np.array([(_RANK[row.gap.state], row.gap.low - row.needed, row.i, row.j) for row in rows])
    return tuple(rows[k] for k in np.lexsort(ranks.T[::-1]).tolist()) if rows else ()


def _of_part(
    part: Body, obstacles: Sequence[Body], open_to: Ints, low: Array, wanted: Array
) -> dict[int, Gap | None]:
    """Gaps of one part, nearest first, None where it fouls; a pair is refined only while its lower bound can still
    matter."""
    queue: list[tuple[float, int, int]] = []
    by_box = _nearest_first(open_to, low)
    found: dict[int, Gap | None] = {}
    seen: dict[int, tuple[Gap, Nearest]] = {}
    best = np.inf
    most = float(wanted[open_to].max()) if len(open_to) else 0.0
    fresh = next(by_box, None)
    while queue or fresh is not None:
        if fresh is not None and (not queue or fresh < queue[0]):
            (least, stage, j), fresh = fresh, next(by_box, None)
        else:
            least, stage, j = heapq.heappop(queue)
        if least > max(best, most):
            break
        enough = max(best, float(wanted[j]))
        if least > enough:
            continue
        parted = by_hulls(part, obstacles[j], enough) if stage == 0 else None
        if parted is not None and parted.state == "clear":
            found[j] = noted(part, obstacles[j], parted)
            best = min(best, parted.high)
            continue
        if parted is not None and parted.low > least:
            heapq.heappush(queue, (parted.low, 1, j))
            continue
        if stage == 0 and parted is None and _foul(part, obstacles[j]):
            found[j], best = None, 0.0
            continue
        if stage < 2:
            loose, near = seen[j] = by_triangles(part, obstacles[j])
            if not _may_hold(part, obstacles[j]):
                found[j], best = loose, min(best, loose.high)
                heapq.heappush(queue, (max(least, loose.low), 2, j))
                continue
        whole = found[j] = settled(part, obstacles[j], *seen[j])
        best = min(best, whole.high)
    return found


def _nearest_first(open_to: Ints, low: Array) -> Iterator[tuple[float, int, int]]:
    """Each obstacle with the least that its box is away, as stage 0 of the search queues it."""
    for j in open_to[np.argsort(low[open_to], kind="stable")]:  # of hundreds, few are asked for
        yield float(low[j]), 0, int(j)


def _foul(a: Body, b: Body) -> bool:
    return _may_hold(a, b) and foul(a.core.metals, b.core.metals, a.place.inverse @ b.place)


def _may_hold(a: Body, b: Body) -> bool:
    return bool(np.all(a.box[0] <= b.box[1]) and np.all(b.box[0] <= a.box[1]))
