"""The least gap over a whole movement, as an interval that holds it, and the position that is worst.

Each pair is searched by itself, so that what is known of it holds while its two bodies and the movement stay as
they are. Best first: a cell of the movement cannot hold a gap less than the one at its middle less the furthest
that any point of the body is carried within the cell. mm, degrees, bay axes.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import ArrayLike

from brackets.clearance.bodies import Body, skins
from brackets.clearance.gaps import Gap, by_boxes, gap, wanted_gaps
from brackets.clearance.link_moves import LinkMoves
from brackets.clearance.link_swept import LinkPair
from brackets.clearance.motion import Movement, Moves, Position, Turn
from brackets.clearance.moving_pair import Cell, MovingPair, furthest, least_by_boxes, not_told_over
from brackets.clearance.pairs import ROUNDING
from brackets.clearance.places import direction, point, vector
from brackets.core.ahead import ahead
from brackets.core.errors import InputError
from brackets.core.kept import keeps

LOOKS = 200_000  # distances measured before an unfinished search is handed back as it stands


@dataclass(frozen=True)
class SweptPair:
    """The least gap of one pair over the movement is from low to high, mm, high being found at `worst`.

    gap: what was measured there. settled: whether it was followed down to the width asked for, or only far
    enough to show that it is more than needed or not the least of all."""

    i: int
    j: int
    a: str
    b: str
    low: float
    high: float
    worst: Position
    gap: Gap
    needed: float
    settled: bool

    @property
    def spare(self) -> float:
        return self.low - self.needed


@dataclass(frozen=True)
class SweepResult:
    """The least gap of all is from low to high, mm; pairs worst first. finished: False when the work limit came
    first: the intervals are still true, only wider than asked for. looks: distances measured."""

    low: float
    high: float
    worst: Position
    pairs: tuple[SweptPair, ...]
    finished: bool
    looks: int


def sweep(
    moving: Body | Sequence[Body],
    fixed: Body | Sequence[Body],
    moves: Movement,
    within: float = 0.5,
    *,
    needed: float | ArrayLike | None = None,
    skip: Collection[tuple[int, int]] = (),
    looks: int = LOOKS,
    follow_least: bool = True,
) -> SweepResult:
    """The least gap over a whole movement: an interval that holds it, and the worst position.

    moving: a body, or many that move as one; fixed: what stands; moves: by `powertrain_moves` or `bush_moves`;
    within: mm, how wide the interval of a pair that matters may stay, 0.001 to 1000; needed: mm wanted, one
    number, one per obstacle (m,), one per pair (n, m), or None; skip: pairs (number in moving, in fixed) left out;
    looks: distances measured at most, about, shared by the pairs that matter; a search that takes more is handed
    back unfinished. A pair matters while it may be less than needed, or, with `follow_least`, the least of all.
    Returns a SweepResult. Raises InputError where nothing is left to look at or a value is out of limits.

    >>> block = body(shape(plate(rectangle(20, 10), 5)))
    >>> lid = body(shape(plate(rectangle(60, 60), 5)), place=Place(at=(0, 0, 12)).matrix())
    >>> round(sweep(block, lid, powertrain_moves((0, 0, 0), up=3)).low, 2)  # 12 - 5 at rest, 3 less
    4.0
    """
    ones = (moving,) if isinstance(moving, Body) else tuple(moving)
    others = (fixed,) if isinstance(fixed, Body) else tuple(fixed)
    wrong = []
    if not 1e-3 <= within <= 1e3:
        wrong.append(f"within = {within} mm, must be 0.001 to 1000 mm: width of the interval")
    if not ones or not others:
        wrong.append("moving, fixed = none, must be at least one body each")
    if wrong:
        raise InputError(*wrong)
    wanted = wanted_gaps(-math.inf if needed is None else needed, len(ones), len(others))
    left_out = frozenset(skip)
    spans = [furthest(one, moves) for one in ones]
    pairs = [
        _Pair(i, j, ones[i], others[j], float(wanted[i, j]), least_by_boxes(ones[i], others[j], spans[i]), spans[i])
        for i, j in itertools.product(range(len(ones)), range(len(others)))
        if (i, j) not in left_out
    ]
    if not pairs:
        raise InputError("skip = every pair, must leave at least one: pairs to look at")
    return _search(pairs, moves, within, looks, follow_least=follow_least)


def no_less_than(moving: Body, fixed: Body, moves: Moves) -> float:
    """mm: a bound, by one look at the middle of the movement, that no low end of `sweep` of these two is under.

    It costs a hundredth of a sweep: what is surely not the least of several need not be swept.
    """
    return MovingPair(moving, fixed, moves, 1.0, -math.inf).no_less_than()


def rock(
    moving: Body | Sequence[Body],
    fixed: Body | Sequence[Body],
    axis: tuple[ArrayLike, ArrayLike],
    angle: tuple[float, float],
    travel: Sequence[tuple[float, float]] = ((0.0, 0.0), (0.0, 0.0), (0.0, 0.0)),
    within: float = 0.5,
    *,
    needed: float | ArrayLike | None = None,
    skip: Collection[tuple[int, int]] = (),
    looks: int = LOOKS,
) -> SweepResult:
    """The least gap while bodies rock about one axis and travel: an interval that holds it, and the worst position.

    axis: (point, direction), (3,) each, mm; angle: lowest and highest, degrees; travel: lowest and highest mm along
    x, y and z. moving, fixed, within, needed, skip, looks, what is returned and raised: as for `sweep`.

    >>> block = body(shape(plate(rectangle(20, 10), 5)))
    >>> lid = body(shape(plate(rectangle(60, 60), 5)), place=Place(at=(0, 0, 12)).matrix())
    >>> found = rock(block, lid, ((0, 0, 0), (0, 1, 0)), (-5, 5), within=0.01)
    >>> round(found.high, 3), found.worst.angles  # 12 - 5 cos 5° - 10 sin 5°
    (6.147, (5.0,))
    """
    through, along = point(vector(axis[0], "axis point")), point(direction(axis[1], "axis direction"))
    spans = tuple((float(low), float(high)) for low, high in travel)
    moves = Moves(through, (Turn(along, float(angle[0]), float(angle[1])),), spans)
    return sweep(moving, fixed, moves, within, needed=needed, skip=skip, looks=looks)


@dataclass(frozen=True, eq=False)
class _Pair:
    """A moving body and an obstacle; no gap is less than `floor` mm by their boxes, `span` mm is the furthest that
    any point of the moving one is carried."""

    i: int
    j: int
    a: Body
    b: Body
    needed: float
    floor: float
    span: float

    def enough(self, low: float, moves: Movement) -> bool:
        """Whether a gap of this much by triangles is surely as much as needed."""
        return low - self.a.bound - self.b.bound - ROUNDING - moves.any_way >= self.needed


@dataclass(frozen=True)
class _Searched:
    """What was found of one pair, whether to the end, and the distances measured for it."""

    row: SweptPair
    finished: bool
    looks: int


def _search(
    pairs: Sequence[_Pair], moves: Movement, within: float, most: int, *, follow_least: bool
) -> SweepResult:
    """Pairs that may be less than needed, or the least of all, nearest first by their boxes."""
    nearest_first = sorted(pairs, key=lambda pair: pair.floor)
    best = _least_in_the_middle(nearest_first, moves) if follow_least else -math.inf
    asked = [pair for pair in nearest_first if pair.floor <= best or not pair.enough(pair.floor, moves)]
    share = max(1, most // max(1, len(asked)))
    found: dict[tuple[int, int], _Searched] = {}

    def searched(pair: _Pair, best: float) -> _Searched:
        # the least of all tells only where it is more than what is needed: else it is no part of what is kept
        least = best if pair.enough(best, moves) else -math.inf
        return _searched(pair.a, pair.b, moves, within, pair.needed, least, share)

    with ahead([partial(searched, pair, best) for pair in asked]):
        for pair in asked:
            if pair.floor <= best or not pair.enough(pair.floor, moves):
                one = found[pair.i, pair.j] = searched(pair, best)
                best = min(best, one.row.high) if follow_least else best
    rows = [
        replace(found[pair.i, pair.j].row, i=pair.i, j=pair.j)
        if (pair.i, pair.j) in found
        else _by_boxes(pair, moves)
        for pair in pairs
    ]
    rows.sort(key=lambda row: (_worth(row), row.i, row.j))
    least_of_all = min(rows, key=lambda row: (row.high, row.low))
    low, finished = min(row.low for row in rows), all(one.finished for one in found.values())
    looks = sum(one.looks for one in found.values())
    return SweepResult(low, least_of_all.high, least_of_all.worst, tuple(rows), finished, looks)


def _least_in_the_middle(nearest_first: Sequence[_Pair], moves: Movement) -> float:
    """mm: the least distance in the middle of the movement; no pair with a higher floor is the least of all."""
    middle = moves.place(moves.allowed(moves.limits.mean(axis=1)))
    best = math.inf
    for pair in nearest_first:
        if pair.floor > best:
            break
        best = min(best, skins(pair.a.placed(middle), pair.b).distance)
    return best


@keeps("moved pair")
def _searched(
    a: Body, b: Body, moves: Movement, within: float, needed: float, best: float, most: int
) -> _Searched:
    """One pair followed until it is as narrow as `within`, or surely neither less than needed nor than `best`."""
    if isinstance(moves, LinkMoves):
        pair: MovingPair = LinkPair(a, b, moves, within, needed, best)
    else:
        pair = MovingPair(a, b, moves, within, needed, best)
    order = itertools.count()
    queue: list[tuple[float, int, Cell | None]] = [(pair.floor, next(order), None)]
    while queue and pair.looks < most:
        low, _, cell = heapq.heappop(queue)
        if not pair.matters(low):
            pair.keep(low)
            continue
        for child in pair.start() if cell is None else pair.split(cell):
            heapq.heappush(queue, (child.low, next(order), child))
    finished = not queue
    for low, _, _ in queue:
        if pair.matters(low):
            pair.settled = False
        pair.keep(low)
    looks = pair.looks
    return _Searched(_row(pair), finished, looks)


def _worth(row: SweptPair) -> float:
    return row.spare if math.isfinite(row.needed) else row.low


def _by_boxes(pair: _Pair, moves: Movement) -> SweptPair:
    """The result of a pair that was not looked at."""
    low = max(0.0, pair.floor - pair.a.bound - pair.b.bound - ROUNDING - moves.any_way)
    loose = by_boxes(pair.a, pair.b)
    rest = Position((0.0,) * len(moves.turns), (0.0, 0.0, 0.0))
    if np.any(moves.allowed(np.zeros(len(moves.limits))) != 0):
        loose = replace(loose, high=loose.high + pair.span)
    loose = replace(loose, note=not_told_over(pair.a, pair.b, moves))
    return SweptPair(
        pair.i, pair.j, pair.a.name, pair.b.name, low, loose.high, rest, loose, pair.needed, settled=False
    )


def _row(pair: MovingPair) -> SweptPair:
    """The result of a pair that was looked at; where it mattered, with the exact gap at its worst position. That is
    followed down where what is needed is not surely there, or nothing was asked."""
    assert pair.at is not None
    followed = pair.settled and pair.counts(min(pair.least, pair.high))
    if followed and not (math.isfinite(pair.needed) and pair.enough(min(pair.least, pair.high))):
        pair.descend()
    low = max(0.0, min(pair.least, pair.high) - pair.slack - pair.moves.any_way)
    stands = pair.a.placed(pair.moves.place(pair.at))
    note = not_told_over(pair.a, pair.b, pair.moves, pair.at)
    found = replace(gap(stands, pair.b) if followed else pair.loosely(stands), note=note)
    where = pair.moves.position(pair.at)
    if pair.moves.any_way > 0:
        where, found = _nearer(pair, where, found)
    low = 0.0 if found.state in ("hit", "touch", "inside") else min(low, found.high)
    return SweptPair(
        0, 0, pair.a.name, pair.b.name, low, found.high, where, found, pair.needed, settled=followed
    )


def _nearer(pair: MovingPair, where: Position, found: Gap) -> tuple[Position, Gap]:
    """The interval after `any_way` mm of travel straight at the nearest point: the gap is less by exactly that
    much."""
    p, q = np.asarray(found.p), np.asarray(found.q)
    far = float(np.linalg.norm(q - p))
    step = min(pair.moves.any_way, far)
    way = (q - p) / far if far > 0 else np.zeros(3)
    high = max(0.0, found.high - pair.moves.any_way)
    state = "hit" if high == 0 and found.state in ("clear", "far") else found.state
    closer = replace(
        found, state=state, low=max(0.0, found.low - pair.moves.any_way), high=high, p=point(p + step * way)
    )
    return Position(where.angles, point(np.asarray(where.travel) + step * way)), closer
