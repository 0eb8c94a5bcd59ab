"""In which order a part is welded: tacks first, then runs, taken in turn so that their pulls cancel.

A fillet pulls in proportion to its metal, leg squared by half by length. Its moment is that by how far its middle
lies from the middle of the weldment's own metal, where the neutral axes of its sections cross. The next run is
always the one that leaves the least sum of moments; of the orders that begin with one of the heaviest runs, and the
order as the welds are listed, the one is taken whose sum after each pair of runs gets least far out. Balanced
welding about the neutral axis: TWI, FAQ "Which welding techniques can be used to minimise distortion?"; how many
tacks and how long a run may be is common practice, no source. mm, part's frame.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from brackets.core.vectors import Vec, add, scale, sub
from brackets.core.vectors import length as norm
from brackets.model.edges import Stretch, stretches
from brackets.model.edges import length as edge_length
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate
from brackets.model.weld import Edge, Weld

LONGEST = 100.0
"""mm: a seam longer than this is split into runs of one length, each laid back towards where the one before began:
common practice, no source."""

QUARTERS = 4
"""Runs that a seam that closes is laid in at least, the opposite one next: common practice, no source."""

TACK, PITCH = 10.0, 80.0
"""mm: a tack's length, and the most from tack to tack; one at each end of a seam, four crosswise on one that
closes: common practice, no source."""

SHORT = 3 * TACK
"""mm: a seam up to this long has one tack, in its middle."""

STARTS = 12
"""Of the heaviest runs, with how many an order is tried to begin."""

CLOSED = 1e-6
"""mm between the ends of a seam that closes."""


@dataclass(frozen=True)
class Seam:
    """One side of a weld: `number` from 1 in the part's list of welds, `on_sheet` from 1 among those of its own
    piece, as that piece's sheet has it. `side` is 2 for the other side of an edge that is welded from both."""

    number: int
    on_sheet: int
    weld: Weld
    side: int
    length: float
    closed: bool

    @property
    def named(self) -> str:
        """Piece and number on its sheet: "ear_front W2"."""
        return f"{self.weld.piece} W{self.on_sheet}"


@dataclass(frozen=True)
class Step:
    """A step of the order: the tacks of a seam, or a run, laid from `start` to `end` mm along its seam.

    `at` and `to` are those places in the part's frame. `tacks`: their middles, mm along the seam, in the order in
    which they are made. `moment` (3): of the weld metal laid since the tacks about the middle of the weldment, mm4.
    """

    number: int
    kind: Literal["tack", "run"]
    seam: Seam
    start: float
    end: float
    at: Vec
    to: Vec
    tacks: tuple[float, ...] = ()
    moment: Vec = (0.0, 0.0, 0.0)

    @property
    def length(self) -> float:
        """mm of weld laid in it."""
        return len(self.tacks) * tack_length(self.seam) if self.tacks else abs(self.end - self.start)

    @property
    def words(self) -> str:
        """Where it begins and ends, in words."""
        seam = self.seam
        if self.tacks:
            many = f"{len(self.tacks)} of {tack_length(seam):.0f} mm" if len(self.tacks) > 1 else "one"
            return f"{many}, at {', '.join(f'{at:.0f}' for at in self.tacks)} mm"
        way = ", back towards the run before" if self.end < self.start else ""
        return f"from {self.start:.0f} to {self.end:.0f} mm of {seam.length:.0f}{way}"


def seams(part: Part) -> tuple[Seam, ...]:
    """The seams of a part in the order of its welds."""
    found, counted = [], dict[str, int]()
    for number, weld in enumerate(part.welds, 1):
        counted[weld.piece] = counted.get(weld.piece, 0) + 1
        piece = part.piece(weld.piece)
        far = edge_length(piece, weld.edge)
        runs = stretches(piece, weld.edge)
        closed = math.dist(runs[0].at(0.0), runs[-1].at(1.0)) < CLOSED < far
        for side in range(1, weld.sides + 1):
            found.append(Seam(number, counted[weld.piece], weld, side, far, closed))
    return tuple(found)


@lru_cache(maxsize=32)
def weld_order(part: Part) -> tuple[Step, ...]:
    """The steps by which `part` is welded; empty where it has no welds.

    part: its pieces and welds. All that is welded at one `turn` is tacked, then welded; what is welded to a seat
    (a rail) comes last, since it is done where the part is to stand.
    """
    everything = seams(part)
    if not everything:
        return ()
    centre = _centre(part)
    inner = {piece.name for piece in part.pieces}
    groups: dict[tuple[bool, int], list[Seam]] = {}
    for seam in everything:
        groups.setdefault((seam.weld.onto not in inner, seam.weld.turn), []).append(seam)
    steps: list[Step] = []
    for key in sorted(groups):
        tacked = [[_tacks(part, seam)] for seam in groups[key]]
        steps += [step for step, _ in balanced(tacked, lambda step: _pull(part, step, centre))]
        laid = [list(_runs(part, seam)) for seam in groups[key]]
        steps += [
            replace(step, moment=moment) for step, moment in balanced(laid, lambda step: _pull(part, step, centre))
        ]
    return tuple(replace(step, number=number) for number, step in enumerate(steps, 1))


def _centre(part: Part) -> Vec:
    x, y, z = (float(c) for c in part.mass.centroid)
    return (x, y, z)


def _pull(part: Part, step: Step, centre: Vec) -> Vec:
    """Moment of a step's weld metal about the centre, mm4."""
    seam = step.seam
    middle = (step.start + step.end) / 2
    if step.tacks:
        at = scale(_sum(place(part, seam, far) for far in step.tacks), 1 / len(step.tacks))
    elif seam.closed:
        at = place(part, seam, middle)
    else:
        at = scale(add(step.at, step.to), 0.5)
    return scale(sub(at, centre), seam.weld.leg**2 / 2 * step.length)


def _sum(points: Iterable[Vec]) -> Vec:
    total: Vec = (0.0, 0.0, 0.0)
    for p in points:
        total = add(total, p)
    return total


def place(part: Part, seam: Seam, far: float) -> Vec:
    """The point `far` mm along a seam, in the part's frame; one of two sides lies on its own face of the plate."""
    piece = part.piece(seam.weld.piece)
    left, at = far, None
    runs = _stretches(piece, seam.weld.edge)
    for run in runs:
        if left <= run.length or run is runs[-1]:
            at = run.at(min(1.0, max(0.0, left / run.length)))
            break
        left -= run.length
    assert at is not None
    return piece.place.point(add(at, _aside(piece, seam)))


@lru_cache(maxsize=256)
def _stretches(piece: Piece, edge: Edge) -> tuple[Stretch, ...]:
    """As `stretches`: a seam is asked for many of its places."""
    return stretches(piece, edge)


def _aside(piece: Piece, seam: Seam) -> Vec:
    """From an edge that is welded from both sides to the face that this side lies on."""
    if seam.weld.sides == 1 or not isinstance(piece, Plate):
        return (0.0, 0.0, 0.0)
    return (0.0, 0.0, piece.t / 2 if seam.side == 1 else -piece.t / 2)


def tack_length(seam: Seam) -> float:
    """mm of one tack of a seam."""
    return min(TACK, seam.length / 3)


def tack_places(seam: Seam) -> tuple[float, ...]:
    """Middles of the tacks, mm along the seam, in the order in which they are made: the ends first, then between
    them; on a seam that closes opposite ones in turn."""
    if seam.closed:
        count = max(QUARTERS, 2 * math.ceil(seam.length / PITCH / 2))
        return tuple(seam.length * i / count for i in crosswise(count))
    if seam.length <= SHORT:
        return (seam.length / 2,)
    inset = TACK
    count = max(1, math.ceil((seam.length - 2 * inset) / PITCH))
    every = [inset + (seam.length - 2 * inset) * i / count for i in range(count + 1)]
    return (every[0], every[-1], *every[1:-1])


def crosswise(count: int) -> tuple[int, ...]:
    """0 to count - 1, each followed by the one opposite: 0, 2, 1, 3 of four."""
    half = count // 2
    return tuple(i for pair in zip(range(half), range(half, 2 * half), strict=True) for i in pair)


def _tacks(part: Part, seam: Seam) -> Step:
    places = tack_places(seam)
    at, to = (place(part, seam, far) for far in (places[0], places[-1]))
    return Step(0, "tack", seam, places[0], places[-1], at, to, places)


def _runs(part: Part, seam: Seam) -> Iterator[Step]:
    """The runs of a seam in the order in which they are laid."""
    if seam.closed:
        count = max(QUARTERS, 2 * math.ceil(seam.length / LONGEST / 2))
        spans = [(seam.length * i / count, seam.length * (i + 1) / count) for i in crosswise(count)]
    else:
        count = math.ceil(seam.length / LONGEST - 1e-9)
        cuts = [seam.length * i / count for i in range(count + 1)]
        spans = list(zip(cuts[1:], cuts, strict=False)) if count > 1 else [(0.0, seam.length)]
    for start, end in spans:
        yield Step(0, "run", seam, start, end, place(part, seam, start), place(part, seam, end))


def balanced(queues: Sequence[Sequence[Step]], pull: Callable[[Step], Vec]) -> tuple[tuple[Step, Vec], ...]:
    """The steps of all queues, each queue in its own order, with the sum of their pulls after each.

    queues: the steps of a seam each; pull: the moment of a step. The order of the sums is the rule of this module.
    """
    listed = [[(step, pull(step)) for step in queue] for queue in queues]
    heaviest = sorted(range(len(listed)), key=lambda i: -norm(listed[i][0][1]))[:STARTS]
    tried: list[Sequence[tuple[Step, Vec]]] = [_summed([pair for queue in listed for pair in queue])]
    tried += [_summed(_greedy(listed, first)) for first in heaviest]
    best = min(tried, key=out_of_balance)
    return tuple(best)


def out_of_balance(order: Sequence[tuple[Step, Vec]]) -> tuple[float, float]:
    """How far the sum of the pulls gets out after a pair of steps: at most, and in all; six digits of each."""
    sums = [norm(total) for _, total in order[1::2]] or [0.0]
    return float(f"{max(sums):.6g}"), float(f"{math.fsum(sums):.6g}")


def _greedy(listed: Sequence[Sequence[tuple[Step, Vec]]], first: int) -> Iterator[tuple[Step, Vec]]:
    """Begins with a queue, goes on with whichever leaves the least sum; of those alike the first listed."""
    done, total = [0] * len(listed), (0.0, 0.0, 0.0)
    for count in range(sum(map(len, listed))):
        open_ones = [i for i, queue in enumerate(listed) if done[i] < len(queue)]
        after = {i: norm(add(total, listed[i][done[i]][1])) for i in open_ones}
        least = min(after.values())
        i = first if count == 0 else next(i for i in open_ones if after[i] <= least * (1 + 1e-9))
        step, moment = listed[i][done[i]]
        total = add(total, moment)
        done[i] += 1
        yield step, moment


def _summed(order: Iterable[tuple[Step, Vec]]) -> list[tuple[Step, Vec]]:
    found, total = [], (0.0, 0.0, 0.0)
    for step, moment in order:
        total = add(total, moment)
        found.append((step, total))
    return found
