"""The least gap over a whole movement, as an interval that holds it, and the position that is worst.

Best first: a cell of the movement cannot hold a gap less than the one at its middle less the furthest that any
point of the body is carried within the cell. mm, degrees, bay axes.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from brackets.clearance.bodies import Body
from brackets.clearance.gaps import Gap, by_boxes, gap, wanted_gaps
from brackets.clearance.link_moves import LinkMoves
from brackets.clearance.link_swept import LinkPair
from brackets.clearance.motion import Movement, Moves, Position, Turn
from brackets.clearance.moving_pair import Cell, MovingPair
from brackets.clearance.places import direction, point, vector
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


@keeps("sweep")
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
    looks: distances measured at most, then the search is handed back unfinished. A pair matters while it may be
    less than needed, or, with `follow_least`, the least of all. Returns a SweepResult. Raises InputError where
    nothing is left to look at or a value is out of limits.

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
    pairs = [
        _pair(i, j, ones[i], others[j], moves, within, float(wanted[i, j]))
        for i, j in itertools.product(range(len(ones)), range(len(others)))
        if (i, j) not in left_out
    ]
    if not pairs:
        raise InputError("skip = every pair, must leave at least one: pairs to look at")
    return _search(pairs, looks, follow_least=follow_least)


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


def _pair(i: int, j: int, a: Body, b: Body, moves: Movement, within: float, needed: float) -> MovingPair:
    if isinstance(moves, LinkMoves):
        return LinkPair(i, j, a, b, moves, within, needed)
    return MovingPair(i, j, a, b, moves, within, needed)


def _search(pairs: Sequence[MovingPair], most: int, *, follow_least: bool) -> SweepResult:
    order = itertools.count()
    queue: list[tuple[float, int, MovingPair, Cell | None]] = [(p.floor, next(order), p, None) for p in pairs]
    heapq.heapify(queue)
    best, used = math.inf if follow_least else -math.inf, 0
    while queue and used < most:
        low, _, pair, cell = heapq.heappop(queue)
        if not pair.matters(low, best):
            pair.keep(low)
            continue
        before = pair.looks
        for child in pair.start() if cell is None else pair.split(cell):
            heapq.heappush(queue, (child.low, next(order), pair, child))
        used += pair.looks - before
        best = min(best, pair.high) if follow_least else best
    finished = not queue
    for low, _, pair, _ in queue:
        if pair.matters(low, best):
            pair.settled = False
        pair.keep(low)
    rows = sorted((_row(pair, best) for pair in pairs), key=lambda r: (_worth(r), r.i, r.j))
    least = min(rows, key=lambda r: (r.high, r.low))
    low = min(r.low for r in rows)
    return SweepResult(low, least.high, least.worst, tuple(rows), finished, used)


def _worth(row: SweptPair) -> float:
    return row.spare if math.isfinite(row.needed) else row.low


def _row(pair: MovingPair, best: float) -> SweptPair:
    """The result of a pair; where it mattered, with the exact gap at its worst position."""
    low = max(0.0, min(pair.least, pair.high) - pair.slack - pair.moves.any_way)
    if pair.at is None:
        loose = by_boxes(pair.a, pair.b)
        rest = Position((0.0,) * len(pair.moves.turns), (0.0, 0.0, 0.0))
        at_rest = pair.moves.allowed(np.zeros(len(pair.moves.limits)))
        if np.any(at_rest != 0):
            reach = pair.span
            loose = replace(loose, high=loose.high + reach)
        loose = replace(loose, note=pair.not_told())
        return _pair_row(pair, low, loose.high, rest, loose, settled=False)
    followed = pair.settled and pair.floor_matters(best)
    if followed:
        pair.descend()
        low = max(0.0, min(pair.least, pair.high) - pair.slack - pair.moves.any_way)
    stands = pair.a.placed(pair.moves.place(pair.at))
    found = replace(gap(stands, pair.b) if followed else pair.loosely(stands), note=pair.not_told())
    where = pair.moves.position(pair.at)
    if pair.moves.any_way > 0:
        where, found = _nearer(pair, where, found)
    low = 0.0 if found.state in ("hit", "touch", "inside") else min(low, found.high)
    return _pair_row(pair, low, found.high, where, found, settled=followed)


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


def _pair_row(
    pair: MovingPair, low: float, high: float, where: Position, found: Gap, *, settled: bool
) -> SweptPair:
    return SweptPair(pair.i, pair.j, pair.a.name, pair.b.name, low, high, where, found, pair.needed, settled)
