"""A path in or out: how much of it is free, the least gap along it, and what it meets first.

mm, degrees, bay axes.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from brackets.clearance import overlaps
from brackets.clearance.bodies import Body, crossings, finer, skins
from brackets.clearance.gaps import Gap, gap
from brackets.clearance.inside import not_told
from brackets.clearance.legs import Leg, StraightLeg, read, starts
from brackets.clearance.pairs import ROUNDING
from brackets.clearance.places import Array, Transform
from brackets.clearance.sums import swept_distance
from brackets.core.errors import OutOfRange
from brackets.core.kept import keeps

MET = 0.01  # mm: nearer than this on the way counts as met
CLOSE = 0.5  # mm: nearer than this the triangles are made finer before going on
STEPS = 20_000  # distances along one leg for one pair; past that the leg ends where it got to
LOOKS = 50_000  # distances for the least gap of the whole way
SAMPLES = 200  # places along a leg where two that touch at the start are looked at
GROWTH = 1.0  # mm3: two that touch at the start may not come to share more than this


@dataclass(frozen=True)
class LegFound:
    """One leg: its length and how much of it is free, in `unit` (mm or deg)."""

    length: float
    free: float
    unit: str


@dataclass(frozen=True)
class PathResult:
    """The way: out says whether all legs are free. The least gap on it is from low to high mm, `gap` being what
    was measured at the worst place, `at` (leg number, mm or deg along it), between the two bodies `nearest`.
    Where it is blocked, hits names the two bodies that meet first and at says where. watched: pairs that touch
    at the start; these were looked at every so often only, for sharing more than at the start, and have no part
    in low and high. notes: two bodies each, and what an open scan leaves open about them on the way as far as it is
    free."""

    out: bool
    legs: tuple[LegFound, ...]
    low: float
    high: float
    at: tuple[int, float]
    gap: Gap | None
    hits: tuple[str, str] | None
    watched: tuple[tuple[str, str], ...]
    finished: bool
    nearest: tuple[str, str] | None = None
    notes: tuple[tuple[str, str, str], ...] = ()


class _Moving:
    """A moving body at the start of the first leg, with what all its pairs ask of it, worked out once."""

    def __init__(self, body: Body) -> None:
        self.body = body
        self._boxes: dict[tuple[int, float], tuple[Array, Array]] = {}
        self._arms: dict[int, Array] = {}

    @cached_property
    def finer(self) -> _Moving:
        fine = finer(self.body)
        return self if fine is self.body else _Moving(fine)

    def swept_box(self, leg: Leg, start: Transform, most: float) -> tuple[Array, Array]:
        """Low and high corner, mm, of a box round a straight leg as far as `most`."""
        key = (id(leg), most)
        if key not in self._boxes:
            ends = [self.body.placed(leg.place(at) @ start).box for at in (0.0, most)]
            self._boxes[key] = np.minimum(ends[0][0], ends[1][0]), np.maximum(ends[0][1], ends[1][1])
        return self._boxes[key]

    def arms(self, leg: Leg, start: Transform) -> Array:
        """(n,) float mm: of its hull's corners from the axis of a leg."""
        if id(leg) not in self._arms:
            self._arms[id(leg)] = leg.arms(start.points(self.body.place.points(self.body.core.hull_points)))
        return self._arms[id(leg)]


class _Pair:
    """A moving and a fixed body; `given` are the two before they are made finer."""

    def __init__(self, moving: _Moving, b: Body) -> None:
        self.moving, self.b, self.given = moving, b, (moving.body, b)
        self.high = np.inf
        self.at = (0, 0.0)
        self.swept: dict[tuple[int, float], tuple[float, float] | None] = {}

    @property
    def a(self) -> Body:
        return self.moving.body

    @property
    def slack(self) -> float:
        return self.a.bound + self.b.bound + ROUNDING

    def refine(self) -> bool:
        """Use finer triangles for both, where there are any; whether there were."""
        moving, b = self.moving.finer, finer(self.b)
        changed = moving is not self.moving or b is not self.b
        self.moving, self.b, self.high = moving, b, np.inf
        if changed:
            self.swept.clear()
        return changed


@keeps("path")
def path(
    moving: Body | Sequence[Body],
    fixed: Body | Sequence[Body],
    legs: Sequence[Leg | Sequence[float]],
    within: float = 0.2,
    *,
    touching: Collection[tuple[int, int]] = (),
    skip: Collection[tuple[int, int]] = (),
) -> PathResult:
    """A path in or out: how far bodies go along it past what stands, the least gap, and what is met first.

    moving: a body, or many that are driven as one; fixed: what stands; legs: in order, each straight (three
    numbers, mm along x, y, z) or a turn (`swing` of brackets.clearance.motion); within: mm, how wide the
    interval of the least gap may stay, 0.001 to 1000; touching: pairs (number in moving, in fixed) that are
    meant to touch at the start; skip: pairs that are not looked at. The path ends where anything else is met.
    Returns a PathResult. Raises InputError for legs of no length, none at all, or a `within` outside its
    limits.

    >>> block = body(shape(plate(rectangle(20, 10), 5)), name="block")
    >>> lid = body(shape(plate(rectangle(60, 60), 5)), name="lid", place=Place(at=(0, 0, 12)).matrix())
    >>> found = path(block, lid, [(0, 0, 100)])
    >>> found.out, found.hits, round(found.legs[0].free, 2)  # 12 up, 5 thick
    (False, ('block', 'lid'), 7.0)
    """
    ones = (moving,) if isinstance(moving, Body) else tuple(moving)
    others = (fixed,) if isinstance(fixed, Body) else tuple(fixed)
    if not 1e-3 <= within <= 1e3:
        raise OutOfRange(f"within = {within} mm, must be 0.001 to 1000 mm: width of the interval")
    drive, meant, left_out = read(legs), frozenset(touching), frozenset(skip)
    every = [ij for ij in itertools.product(range(len(ones)), range(len(others))) if ij not in left_out]
    movers = [_Moving(one) for one in ones]
    pairs = [_Pair(movers[i], others[j]) for i, j in every if (i, j) not in meant]
    watched = [_Pair(movers[i], others[j]) for i, j in every if (i, j) in meant]
    names = tuple((pair.a.name, pair.b.name) for pair in watched)
    done: list[LegFound] = []
    for number, (leg, start) in enumerate(zip(drive, starts(drive), strict=True)):
        free, met = _free(leg, start, pairs, watched, first=number == 0)
        done.append(LegFound(leg.length, free, leg.unit))
        if met is not None:
            found = gap(met.a.placed(leg.place(free) @ start), met.b)
            hits = (met.a.name, met.b.name)
            notes = _notes(drive, done, pairs)
            return PathResult(False, tuple(done), 0.0, 0.0, (number, free), found, hits, names, True, notes=notes)
    notes = _notes(drive, done, pairs)
    low, high, worst, finished = _least(drive, pairs, within)
    if worst is None:
        return PathResult(True, tuple(done), low, high, (0, 0.0), None, None, names, finished, notes=notes)
    number, along = worst.at
    a, b = worst.given
    found = gap(a.placed(drive[number].place(along) @ starts(drive)[number]), b)
    low = min(low, found.high)
    nearest = (worst.a.name, worst.b.name)
    return PathResult(True, tuple(done), low, found.high, worst.at, found, None, names, finished, nearest, notes)


def _notes(
    drive: Sequence[Leg], done: Sequence[LegFound], pairs: Sequence[_Pair]
) -> tuple[tuple[str, str, str], ...]:
    """What an open scan leaves undecided along the path: checked at steps no longer than the moving body is
    thick."""
    return tuple(
        (pair.a.name, pair.b.name, said)
        for pair in pairs
        if not (pair.a.closed and pair.b.closed) and (said := _note(drive, done, pair))
    )


def _note(drive: Sequence[Leg], done: Sequence[LegFound], pair: _Pair) -> str:
    for leg, start, found in zip(drive, starts(drive), done, strict=False):
        thick = float(np.ptp(pair.a.box, axis=0).min())
        arms = pair.moving.arms(leg, start)
        count = int(min(SAMPLES, max(2.0, np.ceil(leg.carried(arms, found.free) / max(thick, 1e-3)))))
        for at in np.linspace(0.0, found.free, count + 1):
            said = not_told(pair.a.placed(leg.place(float(at)) @ start), pair.b)
            if said:
                return said
    return ""


def _free(
    leg: Leg, start: Transform, pairs: Sequence[_Pair], watched: Sequence[_Pair], *, first: bool
) -> tuple[float, _Pair | None]:
    """How far along the leg nothing is met, and the pair that ends it."""
    free, met = leg.length, None
    for pair in pairs:
        reached = _advance(leg, start, pair, free, first=first)
        if reached < free:
            free, met = reached, pair
    for pair in watched:
        reached = _watch(leg, start, pair.a, pair.b, free)
        if reached < free:
            free, met = reached, pair
    return free, met


def _advance(leg: Leg, start: Transform, pair: _Pair, most: float, *, first: bool) -> float:
    """How far along the leg one pair stays free, at most `most`: no step is longer than the gap it starts from."""
    if _past_by_boxes(leg, start, pair, most):
        return most
    if first and gap(pair.a.placed(start), pair.b, cap=CLOSE).state in ("hit", "touch", "inside"):
        return 0.0
    if _surely_free(leg, start, pair, most):
        return most
    arms = pair.moving.arms(leg, start)
    at = 0.0
    for _ in range(STEPS):
        stands = pair.a.placed(leg.place(at) @ start)
        clear = skins(stands, pair.b).distance - pair.slack
        if clear < min(CLOSE, 3 * pair.slack) and pair.refine():
            continue
        if clear <= MET:
            clear = gap(stands, pair.b).low
            if clear <= MET:
                return at
        at += leg.reach(arms, clear)
        if at >= most:
            return most
    return at


def _surely_free(leg: Leg, start: Transform, pair: _Pair, most: float) -> bool:
    """True where the swept volume of a straight leg proves that nothing is met."""
    while True:
        found = _swept_distance(leg, start, pair, most)
        if found is None:
            return False
        if found[0] - pair.slack > MET:
            return not _goes_through(leg, start, pair, most)
        if found[0] == 0 or not pair.refine():
            return False


def _goes_through(leg: Leg, start: Transform, pair: _Pair, most: float) -> bool:
    """Whether one of two bodies, whose surface meets nothing that the other sweeps, lies wholly within it: then
    every point of it goes through the other, so that one of each lump tells."""
    assert isinstance(leg, StraightLeg)
    by, stands = np.asarray(leg.by), pair.a.placed(start)
    for one, other, way in ((stands, pair.b, by), (pair.b, stands, -by)):
        spots = one.place.points(np.array(one.core.lumps))
        if any(np.any(far <= most) for far in crossings(other, spots, way)):
            return True
    return False


def _swept_distance(leg: Leg, start: Transform, pair: _Pair, most: float) -> tuple[float, float] | None:
    """Least distance by triangles over a straight leg as far as `most`, and how far along it is."""
    if not isinstance(leg, StraightLeg):
        return None
    key = (id(leg), most)
    if key not in pair.swept:
        stands = start @ pair.a.place
        by = stands.turn.T @ np.asarray(leg.by) * (most / leg.length)
        found = swept_distance(pair.a.core, pair.b.core, stands.inverse @ pair.b.place, by)
        pair.swept[key] = None if found is None else (found[0], found[1] * most)
    return pair.swept[key]


def _past_by_boxes(leg: Leg, start: Transform, pair: _Pair, most: float) -> bool:
    """True when the box round the whole straight leg is clear of the obstacle's."""
    if leg.unit != "mm":
        return False
    low, high = pair.moving.swept_box(leg, start, most)
    return bool(np.any(low > pair.b.box[1] + MET) or np.any(high < pair.b.box[0] - MET))


def _boxes_apart(leg: Leg, start: Transform, pair: _Pair) -> float:
    """mm: lower bound of the gap over a whole leg, from the boxes alone."""
    if leg.unit == "mm":
        low, high = pair.moving.swept_box(leg, start, leg.length)
        carried = 0.0
    else:
        low, high = pair.a.placed(leg.place(leg.length / 2) @ start).box
        carried = leg.carried(pair.moving.arms(leg, start), leg.length / 2)
    apart = np.maximum(np.maximum(pair.b.box[0] - high, low - pair.b.box[1]), 0.0)
    return max(0.0, float(np.linalg.norm(apart)) - carried - ROUNDING)


@keeps("watched on a leg")
def _watch(leg: Leg, start: Transform, moving: Body, fixed: Body, most: float) -> float:
    """How far two that touch at the start go before they share more than at the start.

    Where they are apart they share nothing until the moving one has gone as far as they are apart, so that nothing
    is looked at before."""
    count = int(min(SAMPLES, max(2.0, most)))
    before = overlaps.sure_volume(moving.placed(start), fixed)
    arms = leg.arms(start.points(moving.place.points(moving.core.hull_points)))
    apart_until = 0.0
    for at in np.linspace(0.0, most, count + 1)[1:]:
        if at < apart_until:
            continue
        stands = moving.placed(leg.place(float(at)) @ start)
        if np.any(stands.box[0] > fixed.box[1]) or np.any(stands.box[1] < fixed.box[0]):
            continue
        shared = overlaps.sure_volume(stands, fixed)
        if shared > before + GROWTH:
            return float(at - most / count)
        if shared == 0:
            apart_until = float(at) + leg.reach(arms, max(0.0, skins(stands, fixed).distance - ROUNDING))
    return most


def _least(
    drive: Sequence[Leg], pairs: Sequence[_Pair], within: float
) -> tuple[float, float, _Pair | None, bool]:
    """Low and high of the least gap on a free path, the pair that has it, and whether the search was finished."""
    begins, order = starts(drive), itertools.count()
    queue: list[tuple[float, int, _Pair, int, float, float]] = []
    for pair, (number, leg) in itertools.product(pairs, enumerate(drive)):
        apart = _boxes_apart(leg, begins[number], pair)
        heapq.heappush(queue, (apart, next(order), pair, number, 0.0, leg.length))
    best: _Pair | None = None
    high, least = np.inf, np.inf
    for _ in range(LOOKS):
        if not queue:
            return min(least, high), high, best, True
        low, _, pair, number, start, end = heapq.heappop(queue)
        doubt = 2 * (pair.slack + (0.0 if best is None else best.slack)) + within / 10
        told_apart = low >= high - within / 2
        if told_apart or (low >= high - doubt and not _refined(pair, best)):
            least = min(least, low)
            continue
        leg, begin, middle = drive[number], begins[number], (start + end) / 2
        swept = _swept_distance(leg, begin, pair, leg.length) if end - start == leg.length else None
        if swept is not None:
            distance = skins(pair.a.placed(leg.place(swept[1]) @ begin), pair.b).distance
            if distance + pair.slack < high:
                high, best, pair.at = distance + pair.slack, pair, (number, swept[1])
            low = max(low, swept[0] - pair.slack)
            if distance <= swept[0] + within / 10:
                heapq.heappush(queue, (low, next(order), pair, number, start, end))
                continue
        distance = skins(pair.a.placed(leg.place(middle) @ begin), pair.b).distance
        if distance + pair.slack < high:
            high, best, pair.at = distance + pair.slack, pair, (number, middle)
        arms = pair.moving.arms(leg, begin)
        floor = max(low, distance - pair.slack - leg.carried(arms, (end - start) / 2))
        for one, other in ((start, middle), (middle, end)):
            heapq.heappush(queue, (floor, next(order), pair, number, one, other))
    return min(least, min((q[0] for q in queue), default=high)), high, best, False


def _refined(pair: _Pair, best: _Pair | None) -> bool:
    """Finer triangles for a pair whose interval overlaps that of the least gap, and for the pair with the least
    gap."""
    ours = pair.refine()
    theirs = best is not None and best is not pair and best.refine()
    return ours or theirs
