"""The least gap of a path that is free: where it may be is halved until it is known closely enough. mm."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Sequence

import numpy as np

from brackets.clearance.bodies import skins
from brackets.clearance.legs import Leg, starts
from brackets.clearance.path_pairs import PathPair

LOOKS = 50_000
"""Distances for the least gap of the whole path."""


def least_gap(
    drive: Sequence[Leg], pairs: Sequence[PathPair], within: float
) -> tuple[float, float, PathPair | None, bool]:
    """Low and high of the least gap on a free path, the pair that has it, and whether the search was finished."""
    begins, order = starts(drive), itertools.count()
    queue: list[tuple[float, int, PathPair, int, float, float]] = []
    for pair, (number, leg) in itertools.product(pairs, enumerate(drive)):
        apart = pair.boxes_apart(leg, begins[number])
        heapq.heappush(queue, (apart, next(order), pair, number, 0.0, leg.length))
    best: PathPair | None = None
    high, least = np.inf, np.inf
    for _ in range(LOOKS):
        if not queue:
            return min(least, high), high, best, True
        low, _, pair, number, start, end = heapq.heappop(queue)
        doubt = 2 * (pair.slack + (0.0 if best is None else best.slack)) + within / 10
        told_apart = low >= high - within / 2
        if told_apart or (low >= high - doubt and not _refined(pair, best, drive, high)):
            least = min(least, low)
            continue
        leg, begin, middle = drive[number], begins[number], (start + end) / 2
        swept = pair.swept_distance(leg, begin, leg.length) if end - start == leg.length else None
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


def _refined(pair: PathPair, best: PathPair | None, drive: Sequence[Leg], high: float) -> bool:
    """Finer triangles for a pair whose interval overlaps that of the least gap, and for the pair with the least
    gap; `high` mm: no more than that is asked."""
    ours = pair.refine_near(drive, high)
    theirs = best is not None and best is not pair and best.refine_near(drive, high)
    return ours or theirs
