"""The least gap of two bodies of which either turns or slides by itself while an engine rocks, all independently.

What a body does by itself is searched in cells, best first, along with the cells of the engine's movement: within a
cell no point of it is further from where it is at the cell's middle than its arm carries it, so that no gap in the
cell is less than the one at the middle by more. mm, degrees, bay axes.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from brackets.clearance.bodies import Body
from brackets.clearance.gaps import Gap, by_boxes, gap
from brackets.clearance.motion import Moves, Position
from brackets.clearance.moving_pair import Cell, MovingPair
from brackets.clearance.places import Array, Point, Transform, point, spun
from brackets.core.errors import InputError
from brackets.core.kept import keeps

LOOKS = 4_000
"""Distances measured before an unfinished search is handed back: some seconds."""

PLENTY = 25.0
"""mm more than is needed, from which a gap is followed no further."""

WITHIN = 1.0
"""mm: how wide an interval that matters may stay; what turns by itself is not typed better."""


@dataclass(frozen=True)
class OwnMoves:
    """What a body does by itself: a turn about a line that stays, then a travel along a direction.

    about: a point of the line; axis, along: unit directions; turn: least and greatest degrees, right-handed about
    the axis, at most 180 either way; travel: least and greatest mm. As drawn it is at 0 and 0.
    """

    about: Point = (0.0, 0.0, 0.0)
    axis: Point = (0.0, 0.0, 1.0)
    turn: tuple[float, float] = (0.0, 0.0)
    along: Point = (1.0, 0.0, 0.0)
    travel: tuple[float, float] = (0.0, 0.0)

    def __post_init__(self) -> None:
        wrong = []
        if not -180 <= self.turn[0] <= 0 <= self.turn[1] <= 180:
            wrong.append(f"turn = {self.turn[0]} to {self.turn[1]} deg, must be -180 to 0, and 0 to 180")
        if not -math.inf < self.travel[0] <= 0 <= self.travel[1] < math.inf:
            wrong.append(f"travel = {self.travel[0]} to {self.travel[1]} mm, must be 0 or less to 0 or more")
        for name, way in (("axis", self.axis), ("along", self.along)):
            if abs(float(np.linalg.norm(way)) - 1) > 1e-9:
                wrong.append(f"{name} = {way}, must be of length 1: a direction")
        if wrong:
            raise InputError(*wrong)

    @property
    def limits(self) -> Array:
        """(2, 2) float: least and greatest turn, radians, and travel, mm."""
        return np.array([np.radians(self.turn), self.travel], dtype=float)

    def place(self, at: Array) -> Transform:
        """Where the body is carried by turn (radians) and travel (mm) `at` (2,) float."""
        whole = spun(np.asarray(self.axis), float(at[0])) if at[0] != 0 else np.eye(3)
        centre = np.asarray(self.about)
        return Transform(whole, centre - whole @ centre + float(at[1]) * np.asarray(self.along))

    def arm(self, of: Body) -> float:
        """mm: no point of the body is further from the line it turns about."""
        away = of.place.points(of.core.hull_points) - np.asarray(self.about)
        axis = np.asarray(self.axis)
        return float(np.linalg.norm(away - np.outer(away @ axis, axis), axis=1).max()) + of.bound

    def reach(self, of: Body) -> float:
        """mm: no point of the body gets further from where it is drawn."""
        widest = np.abs(self.limits).max(axis=1)
        return _carried(self.arm(of), widest)


STAYS = OwnMoves()


@dataclass(frozen=True)
class OwnPosition:
    """Where a body is in its own movement: degrees and mm from where it is drawn."""

    turn: float
    travel: float


@dataclass(frozen=True)
class IndependentGap:
    """The least gap of two bodies over every movement is from low to high, mm, high being found at `worst` of the
    engine and at `a`, `b` of the bodies' own movements. finished: False where the work limit came first: the
    interval is true, only wider than asked for."""

    low: float
    high: float
    worst: Position | None
    a: OwnPosition
    b: OwnPosition
    gap: Gap
    finished: bool


@keeps("independent gap")
def independent_gap(
    one: Body,
    other: Body,
    *,
    own: OwnMoves = STAYS,
    others: OwnMoves = STAYS,
    engine: Moves | None = None,
    needed: float = 0.0,
    within: float = WITHIN,
    looks: int = LOOKS,
) -> IndependentGap:
    """The least gap over a body's own movement, another's own, and an engine's that carries the first one whole.

    own, others: what each does by itself, both in bay axes as the bodies are drawn; engine: the movement that
    carries `one` with its own movement, None where both stand on the same side; needed: mm wanted; within: mm, how
    wide the interval may stay where the gap is not surely enough; looks: distances measured at most. Returns an
    IndependentGap. Raises InputError for an engine that may move any way.

    >>> block = body(shape(plate(rectangle(20, 10), 5)))
    >>> lid = body(shape(plate(rectangle(60, 60), 5)), place=Place(at=(0, 0, 32)).matrix())
    >>> drops = OwnMoves(along=(0.0, 0.0, -1.0), travel=(0.0, 10.0))
    >>> found = independent_gap(block, lid, others=drops, engine=powertrain_moves((0, 0, 0), up=3))
    >>> round(found.high, 2), found.b.travel  # 32 - 5 at rest, less 10 and 3
    (14.0, 10.0)
    """
    if engine is not None and engine.any_way > 0:
        raise InputError(f"any_way = {engine.any_way} mm, must be 0: with movements of their own")
    return _Search(one, other, own, others, engine, needed, within).run(looks)


@dataclass(frozen=True, eq=False)
class _Node:
    """A cell of the own movements, its middle and half widths (turn and travel of the one, then of the other: (4,)
    float), and of the engine's while the bodies are at that middle; `low` mm: no gap in it is less."""

    mid: Array
    half: Array
    low: float
    pair: MovingPair | None = None
    cell: Cell | None = None


class _Search:
    def __init__(
        self,
        one: Body,
        other: Body,
        own: OwnMoves,
        others: OwnMoves,
        engine: Moves | None,
        needed: float,
        within: float,
    ) -> None:
        self.one, self.other, self.own, self.others, self.engine = one, other, own, others, engine
        self.needed, self.within = needed, within
        self.arms = own.arm(one), others.arm(other)
        self.low, self.top = np.vstack((own.limits, others.limits)).T
        self.looks = 0
        self.started: dict[bytes, tuple[MovingPair, list[Cell]]] = {}
        self.high = by_boxes(one, other).high
        self.at, self.pair = np.zeros(4), None if engine is None else self._pair(np.zeros(4))

    def run(self, most: int) -> IndependentGap:
        count = itertools.count()
        queue: list[tuple[float, int, _Node]] = []

        def add(nodes: Iterable[_Node]) -> None:
            for node in nodes:
                heapq.heappush(queue, (node.low, next(count), node))

        add(self._looked((self.low + self.top) / 2, (self.top - self.low) / 2))
        if queue and not self._enough(queue[0][0]):
            self._ends()
        least = math.inf
        while queue and self.looks < most and not self._enough(queue[0][0]):
            add(self._parts(heapq.heappop(queue)[2]))
        if queue:
            least = queue[0][0]
        finished = not queue or self._enough(least)
        return self._found(least, finished)

    def _found(self, least: float, finished: bool) -> IndependentGap:
        """The result, with the exact gap at the worst place."""
        followed = self.high - self.needed < PLENTY
        if followed and self.high > 0:
            self._descend()
        a, b = self._stand(self.at)
        worst = None
        if self.engine is not None and self.pair is not None:
            at = self.engine.allowed(np.zeros(len(self.engine.limits))) if self.pair.at is None else self.pair.at
            a, worst = a.placed(self.engine.place(at)), self.engine.position(at)
        found = gap(a, b, cap=None if followed else self.needed)
        low = 0.0 if found.state in ("hit", "touch", "inside") else max(0.0, min(least, found.high))
        return IndependentGap(
            low, found.high, worst, _position(self.at[:2]), _position(self.at[2:]), found, finished
        )

    def _enough(self, low: float) -> bool:
        """Whether the interval is narrow enough, or the gap surely as much as is needed and some more."""
        spare = low - self.needed
        plenty = spare >= 0 and low > 0 and spare >= min(PLENTY, (self.high - self.needed) / 2)
        return plenty or self.high - max(low, 0.0) <= self.within or self.high <= 0

    def _carried(self, half: Array) -> float:
        """mm: greatest distance that the two bodies together are carried from the middle of a cell."""
        return _carried(self.arms[0], half[:2]) + _carried(self.arms[1], half[2:])

    def _stand(self, at: Array) -> tuple[Body, Body]:
        return self.one.placed(self.own.place(at[:2])), self.other.placed(self.others.place(at[2:]))

    def _pair(self, at: Array) -> MovingPair:
        assert self.engine is not None
        return MovingPair(*self._stand(at), self.engine, self.within / 2, self.needed)

    def _looked(self, mid: Array, half: Array, above: float = 0.0, cell: Cell | None = None) -> list[_Node]:
        """A cell of the own movements, no gap of which is less than `above`, after a look at its middle: over the
        engine's whole movement, or over `cell` of it."""
        far = self._carried(half)
        if self.engine is None:
            return [_Node(mid, half, max(above, self._look(mid, far) - far))]
        key = mid.tobytes()
        pair, cells = self.started.get(key, (None, []))
        if pair is None:
            pair = self._pair(mid)
            floor = pair.floor - pair.slack - far
            if self._enough(floor):
                return [_Node(mid, half, max(above, floor))]
            cells = pair.start()
            self.started[key] = pair, cells
            self._keep(mid, pair, pair.looks)
        if cell is not None and cells:
            before = pair.looks
            cells = pair.same(cell) or cells
            self._keep(mid, pair, pair.looks - before)
        return [_Node(mid, half, max(above, one.low - pair.slack - far), pair, one) for one in cells]

    def _look(self, at: Array, far: float) -> float:
        """The low end of the gap with nothing but the own movements, kept if it is the least so far."""
        self.looks += 1
        a, b = self._stand(at)
        found = gap(a, b, cap=self.needed + PLENTY + far)
        if found.high < self.high:
            self.high, self.at = found.high, at
        return found.low

    def _keep(self, at: Array, pair: MovingPair, looks: int) -> None:
        self.looks += looks
        high = pair.high + pair.slack if pair.high > 0 else 0.0
        if pair.at is not None and high < self.high:
            self.high, self.at, self.pair = high, at, pair

    def _parts(self, node: _Node) -> Iterator[_Node]:
        """The halves of a node: of the engine's cell, or of the own one where that carries a body further."""
        pair, cell = node.pair, node.cell
        turned = 0.0 if pair is None or cell is None else pair.carried(cell.half)
        far = self._carried(node.half)
        if pair is not None and cell is not None and turned >= far:
            before = pair.looks
            parts = pair.split(cell)
            self._keep(node.mid, pair, pair.looks - before)
            for part in parts:
                yield _Node(node.mid, node.half, max(node.low, part.low - pair.slack - far), pair, part)
            return
        terms = [_carried(self.arms[i // 2], np.where(np.arange(2) == i % 2, node.half[i], 0.0)) for i in range(4)]
        axis = int(np.argmax(terms))
        for side in (-1, 1):
            mid, half = node.mid.copy(), node.half.copy()
            half[axis] /= 2
            mid[axis] += side * half[axis]
            yield from self._looked(mid, half, node.low, cell)

    def _ends(self) -> None:
        """Looks at the ends of the own movements and at rest, followed down over the engine's: the worst is mostly
        there, and what is known of it ends the search early."""
        limits = zip(self.low.tolist(), self.top.tolist(), strict=True)
        ends = itertools.product(*(sorted(set(pair)) for pair in limits))
        for at in (np.zeros(4), *(np.array(end) for end in ends)):
            if self.high <= 0:
                return
            if self.engine is None:
                self._look(at, 0.0)
                continue
            pair = self._pair(at)
            pair.start()
            pair.descend()
            self._keep(at, pair, pair.looks)

    def _descend(self) -> None:
        """Follows the worst place down over the engine's movement."""
        if self.pair is not None and self.pair.at is not None:
            self.pair.descend()
            self._keep(self.at, self.pair, 0)


def _carried(arm: float, half: Array) -> float:
    """mm: how far a turn by half[0] radians and a travel of half[1] mm carry a point with this arm."""
    return 2 * arm * math.sin(min(float(half[0]), math.pi) / 2) + float(half[1])


def _position(at: Array) -> OwnPosition:
    turn, travel, _ = point((math.degrees(float(at[0])), float(at[1]), 0.0))
    return OwnPosition(turn, travel)
