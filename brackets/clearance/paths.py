"""A path in or out: how much of it is free, the least gap along it, and what it meets first.

mm, degrees, bay axes.
"""

from __future__ import annotations

import itertools
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from brackets.clearance import overlaps
from brackets.clearance.bodies import Body, crossings, skins
from brackets.clearance.gaps import Gap, gap
from brackets.clearance.inside import not_told
from brackets.clearance.legs import Leg, StraightLeg, read, starts
from brackets.clearance.pairs import ROUNDING
from brackets.clearance.path_gaps import least_gap
from brackets.clearance.path_pairs import MovingBody, PathPair
from brackets.clearance.places import Transform
from brackets.core.errors import OutOfRange
from brackets.core.kept import keeps

MET = 0.01  # mm: nearer than this on the way counts as met
CLOSE = 0.5  # mm: nearer than this the triangles are made finer before going on
STEPS = 20_000  # distances along one leg for one pair; past that the leg ends where it got to
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
    movers = [MovingBody(one) for one in ones]
    pairs = [PathPair(movers[i], others[j]) for i, j in every if (i, j) not in meant]
    watched = [PathPair(movers[i], others[j]) for i, j in every if (i, j) in meant]
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
    low, high, worst, finished = least_gap(drive, pairs, within)
    if worst is None:
        return PathResult(True, tuple(done), low, high, (0, 0.0), None, None, names, finished, notes=notes)
    number, along = worst.at
    a, b = worst.given
    found = gap(a.placed(drive[number].place(along) @ starts(drive)[number]), b)
    low = min(low, found.high)
    nearest = (worst.a.name, worst.b.name)
    return PathResult(True, tuple(done), low, found.high, worst.at, found, None, names, finished, nearest, notes)


def _notes(
    drive: Sequence[Leg], done: Sequence[LegFound], pairs: Sequence[PathPair]
) -> tuple[tuple[str, str, str], ...]:
    """What an open scan leaves undecided along the path: checked at steps no longer than the moving body is
    thick."""
    return tuple(
        (pair.a.name, pair.b.name, said)
        for pair in pairs
        if not (pair.a.closed and pair.b.closed) and (said := _note(drive, done, pair))
    )


def _note(drive: Sequence[Leg], done: Sequence[LegFound], pair: PathPair) -> str:
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
    leg: Leg, start: Transform, pairs: Sequence[PathPair], watched: Sequence[PathPair], *, first: bool
) -> tuple[float, PathPair | None]:
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


def _advance(leg: Leg, start: Transform, pair: PathPair, most: float, *, first: bool) -> float:
    """How far along the leg one pair stays free, at most `most`: no step is longer than the gap it starts from."""
    if pair.past_by_boxes(leg, start, most, MET):
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


def _surely_free(leg: Leg, start: Transform, pair: PathPair, most: float) -> bool:
    """True where the swept volume of a straight leg proves that nothing is met."""
    while True:
        found = pair.swept_distance(leg, start, most)
        if found is None:
            return False
        if found[0] - pair.slack > MET:
            return not _goes_through(leg, start, pair, most)
        if found[0] == 0 or not pair.refine():
            return False


def _goes_through(leg: Leg, start: Transform, pair: PathPair, most: float) -> bool:
    """Whether one of two bodies, whose surface meets nothing that the other sweeps, lies wholly within it: then
    every point of it goes through the other, so that one of each lump tells."""
    assert isinstance(leg, StraightLeg)
    by, stands = np.asarray(leg.by), pair.a.placed(start)
    for one, other, way in ((stands, pair.b, by), (pair.b, stands, -by)):
        spots = one.place.points(np.array(one.core.lumps))
        if any(np.any(far <= most) for far in crossings(other, spots, way)):
            return True
    return False


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
