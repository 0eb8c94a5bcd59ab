"""Whether a drilled plate goes over its bolts, and with how much room to spare.

Plan view square to the plate, mm; angles anticlockwise from x. A threaded boss holds its bolt where it is; where
the bolts pass through two plates, the room of both holes adds up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from brackets.core.errors import InputError
from brackets.survey.minimax import Bounds, Cases, Floats, best_turn, bound

EXACT = 1e-6  # mm: the slack is proved to this; far under what can be measured
SECTORS = 48  # the full circle is first searched in this many pieces
ROUNDS = 12  # splits after which rounding rules; what is then proved is reported as it is
SPLIT = 4  # and each that is not proved is searched in this many parts
RELINE = 4  # rounds that move the search's turn to the best one found: it converges at once or not at all


@dataclass(frozen=True)
class Slot:
    """A hole `d` mm wide whose middle line is `extra` mm long at `angle` degrees: `d + extra` mm end to end."""

    d: float
    extra: float
    angle: float

    @property
    def along(self) -> tuple[float, float]:
        """Unit vector of the slot."""
        return math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))


Opening = float | Slot


@dataclass(frozen=True)
class PlateFit:
    """The best way to lay the plate: slack mm (negative: does not go in), proved to be at most `at_most`."""

    slack: float
    at_most: float
    shift: tuple[float, float]
    turn: float  # degrees, of the bolts in the plate's axes, anticlockwise
    tightest: int  # the bolt with least room there


def enters(centres: ArrayLike, bolts: ArrayLike, holes: Sequence[Opening]) -> float:
    """Slack of a drilled plate on its bolts, mm: the room that the tightest bolt keeps where the plate lies best.

    Negative where it does not go on: by so much the hole's radius is too little. centres: (n, 2) float, where the
    holes are, mm; bolts: (n, 3) float, x, y and diameter of each bolt, mm; holes: n diameters, or `Slot`s of this
    module. A bolt belongs to the hole of the same row. For two round holes it is half of (room of both less the
    difference in spacing), at most the smaller room. Raises InputError with every wrong value.

    >>> round(enters([(0, 0), (100, 0)], [(0, 0, 10), (100.6, 0, 10)], [11, 11]), 3)  # (0.5 + 0.5 - 0.6) / 2
    0.2
    """
    return lay(centres, bolts, holes).slack


def lay(centres: ArrayLike, bolts: ArrayLike, holes: Sequence[Opening]) -> PlateFit:
    """As `enters`, with the position found and its proof: no shift or turn gives more than `at_most` mm."""
    points, pins = checked(centres, bolts, holes)
    case = cases(points[None], pins[None, :, :2], pins[:, 2], holes)
    best, floor = search(case)
    offset = case.bolts[0] @ _turn_matrix(best.turn[0]).T + best.shift[0] - case.centres[0]
    run = np.clip((offset * case.along).sum(axis=1), -case.half, case.half)
    away = np.linalg.norm(offset - run[:, None] * case.along, axis=1) - case.room
    return PlateFit(
        slack=float(-best.miss[0]),
        at_most=float(-floor),
        shift=(float(best.shift[0, 0]), float(best.shift[0, 1])),
        turn=math.degrees(float(best.turn[0])),
        tightest=int(away.argmax()),
    )


def cases(centres: Floats, bolts: Floats, bolt_d: Floats, holes: Sequence[Opening]) -> Cases:
    """(k, n, 2) hole centres and bolt positions with their holes, ready to be laid together."""
    width = np.array([h.d if isinstance(h, Slot) else h for h in holes], dtype=np.float64)
    half = np.array([h.extra / 2 if isinstance(h, Slot) else 0.0 for h in holes])
    along = np.array([h.along if isinstance(h, Slot) else (1.0, 0.0) for h in holes])
    return Cases(bolts, centres, (width - np.asarray(bolt_d)) / 2.0, half, along)


def search(case: Cases) -> tuple[Bounds, float]:
    """Best position of one plate over all turns, and the miss that nothing can beat, mm.

    Branch and bound on the turn: a range is split until its
    floor is no more than EXACT under the best position found.
    """
    best = _polished(case)
    turns = (np.arange(SECTORS) + 0.5) * 2.0 * math.pi / SECTORS
    half = math.pi / SECTORS
    proved = math.inf
    reach = float(np.abs(case.bolts - case.bolts.mean(axis=1, keepdims=True)).max())
    for level in range(ROUNDS):
        if turns.size == 0:
            break
        many = case.only(np.zeros(turns.size, dtype=np.int64))
        found = bound(many, turns, np.full(turns.size, half), max(EXACT / 4.0, 0.02 * reach * half**2))
        low = int(found.miss.argmin())
        if found.miss[low] < best.miss[0]:
            best = Bounds(*(getattr(found, f)[low : low + 1] for f in ("miss", "floor", "shift", "turn")))
        done = found.floor >= float(best.miss[0]) - EXACT
        done |= level == ROUNDS - 1
        if done.any():
            proved = min(proved, float(found.floor[done].min()))
        left = turns[~done]
        half /= SPLIT
        turns = (left[:, None] + half * np.arange(1 - SPLIT, SPLIT, 2)).ravel()
    return best, min(proved, float(best.miss[0]))


def _polished(case: Cases) -> Bounds:
    """A good position to start from: the convex problem about the least-squares turn, moved to its answer."""
    turn = best_turn(case)
    best = bound(case, turn, np.full(1, 0.1), 1e-3)
    for _ in range(RELINE):
        found = bound(case, best.turn, np.full(1, 0.02), EXACT / 4.0)
        if found.miss[0] >= best.miss[0] - EXACT / 10.0:
            return found if found.miss[0] < best.miss[0] else best
        best = found
    return best


def checked(centres: ArrayLike, bolts: ArrayLike, holes: Sequence[Opening]) -> tuple[Floats, Floats]:
    """The two tables as arrays, or InputError with everything that is wrong with them."""
    points, wrong = _table("centres", centres, 2)
    pins, more = _table("bolts", bolts, 3)
    wrong += more
    if not wrong and not len(points) == len(pins) == len(holes):
        wrong.append(
            f"holes = {len(holes)}, must be as many as centres and bolts, "
            f"there are {len(points)} centres and {len(pins)} bolts"
        )
    if not wrong and len(points) == 0:
        wrong.append("centres = none, must be at least one: holes to lay over bolts")
    if not wrong:
        for i, d in enumerate(pins[:, 2]):
            if d <= 0:
                wrong.append(f"bolts[{i}] d = {d:g} mm, must be above 0: bolt diameter")
    for i, hole in enumerate(holes):
        d, extra = (hole.d, hole.extra) if isinstance(hole, Slot) else (hole, 0.0)
        if not (math.isfinite(d) and d > 0):
            wrong.append(f"holes[{i}] = {d:g} mm, must be above 0: hole diameter")
        if not (math.isfinite(extra) and extra >= 0):
            wrong.append(f"holes[{i}] extra = {extra:g} mm, must be 0 or more: length a slot adds")
    if wrong:
        raise InputError(*wrong)
    return points, pins


def patterned(pattern: ArrayLike, holes: Sequence[Opening]) -> tuple[Floats, Floats]:
    """A pattern (n, 3) of x, y and bolt diameter as hole centres and bolts, checked as `checked` does."""
    pins, wrong = _table("pattern", pattern, 3)
    if wrong:
        raise InputError(*wrong)
    return checked(pins[:, :2], pins, holes)


def _table(name: str, value: ArrayLike, columns: int) -> tuple[Floats, list[str]]:
    try:
        table = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        return np.zeros((0, columns)), [f"{name} = {value!r}, must be rows of {columns} numbers in mm"]
    if table.ndim != 2 or table.shape[1] != columns:
        return np.zeros((0, columns)), [f"{name} has shape {table.shape}, must be (n, {columns}) mm"]
    if not np.isfinite(table).all():
        return table, [f"{name} holds a value that is not a number, must be finite mm"]
    return table, []


def _turn_matrix(turn: float) -> NDArray[np.float64]:
    cos, sin = math.cos(turn), math.sin(turn)
    return np.array([[cos, -sin], [sin, cos]])
