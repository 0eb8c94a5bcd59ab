"""Can a torch reach each weld of a part once all its pieces are tacked: places along it, ways to hold the torch.

A torch that is found free is free for certain: its triangles lie round it, and those of the part, less how far
they may be off, are clear of it. That none is found is of the places and directions that were tried, no more. The
torch is straight; a bent neck, weld metal already laid, hands and hose are not looked at. mm, part's frame.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from cadquery.occ_impl.geom import Vector
from cadquery.occ_impl.shapes import Solid

from brackets.clearance.bodies import Body, body
from brackets.clearance.places import Array, point
from brackets.clearance.torch_tries import TRIED, There
from brackets.clearance.weld_corners import Corner, Pair, corners_along
from brackets.core.finding import Finding
from brackets.core.kept import keeps
from brackets.core.place import Place
from brackets.core.rulebook.parts import TORCH_REACH
from brackets.forming.shop import Torch
from brackets.kernel.solids import shape
from brackets.model.edges import Stretch, stretches
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.model.plate import Folded, Plate
from brackets.model.weld import Weld

PITCH = 5.0
"""mm between places along a weld at most."""

END = 2.0
"""mm from the end of a weld to the first place: no bead begins nearer its end."""

NEAR = (1.0, 2.0, 0.5)
"""mm from the edge at which a corner's faces are looked for, in turn: inside most walls, past fit-up."""


@dataclass(frozen=True)
class Out:
    """A stretch of a weld that no torch got at: mm from and to along it, a place of it, and the pieces met."""

    start: float
    end: float
    at: tuple[float, float, float]
    meets: tuple[str, ...]


@dataclass(frozen=True)
class Reach:
    """A weld `length` mm long with the stretches `out` of reach, and how many of its `places` had no corner."""

    weld: Weld
    length: float
    out: tuple[Out, ...]
    places: int
    not_judged: int

    @property
    def missed(self) -> float:
        """mm of it that no torch got at."""
        return math.fsum(one.end - one.start for one in self.out)


def torch_findings(part: Part, torch: Torch) -> Iterator[Finding]:
    """A caution for each weld of `part` that `torch` does not get at all along, an advice for one with places that
    are not judged. Raises KernelFailed where the kernel makes no solid of a piece."""
    for reach in weld_reaches(part, torch):
        weld, meets = reach.weld, tuple(dict.fromkeys(name for one in reach.out for name in one.meets))
        if reach.out:
            spans = " and ".join(f"from {one.start:.0f} to {one.end:.0f} mm" for one in reach.out)
            x, y, z = (c + 0.0 for c in reach.out[0].at)
            yield TORCH_REACH.finding(
                level="caution",
                piece=weld.piece,
                value=round(reach.missed, 1),
                limit=0.0,
                sentence=(
                    f"weld to {weld.onto}: no free direction for the torch {spans} of its {reach.length:.0f} mm (at"
                    f" {x:.0f}, {y:.0f}, {z:.0f} mm), of {TRIED} tried every {PITCH:g} mm; it meets"
                    f" {', '.join(meets)}: {_cure(weld, meets)}"
                ),
            )
        if reach.not_judged:
            yield TORCH_REACH.finding(
                level="advice",
                piece=weld.piece,
                sentence=(
                    f"weld to {weld.onto}: whether a torch gets at it is not judged at {reach.not_judged} of"
                    f" {reach.places} places: the two pieces have no corner there"
                ),
            )


def _cure(weld: Weld, meets: Sequence[str]) -> str:
    others = [name for name in meets if name not in (weld.piece, weld.onto)]
    if others:
        return f"weld it before {', '.join(others)} {'is' if len(others) == 1 else 'are'} in place, or open it up"
    return "no order of welding frees it, a thinner torch may"


@lru_cache(maxsize=128)
@keeps("torch")
def weld_reaches(part: Part, torch: Torch) -> tuple[Reach, ...]:
    """How far `torch` gets at each weld of `part`, in their order, all its pieces tacked but those that are loose.

    A seat that is welded to stands for what it meets: a flat as large as the torch is long, or a tube that long.
    """
    if not part.welds:
        return ()
    there = _there(part, torch)
    return tuple(_reach(part, weld, there) for weld in part.welds)


def _there(part: Part, torch: Torch) -> There:
    met = {weld.onto for weld in part.welds} - {piece.name for piece in part.pieces}
    bodies = {one.name: body(shape(one), name=one.name) for one in part.pieces if one.name not in part.loose}
    bodies |= {seat.name: _met(seat, 2 * torch.length) for seat in part.seats if seat.name in met}
    return There(bodies, torch)


def _reach(part: Part, weld: Weld, there: There) -> Reach:
    piece = part.piece(weld.piece)
    ends = [there.bodies[name] for name in (weld.piece, weld.onto) if name in there.bodies]
    runs, absent = stretches(piece, weld.edge), _later(part, weld)
    length = math.fsum(run.length for run in runs)
    stations = [_stations(run) for run in runs]
    places = sum(map(len, stations))
    if len(ends) < 2:
        return Reach(weld, length, (), places, places)
    pair = Pair(*(end.corners[end.triples] for end in ends))
    radii: tuple[float, ...] = NEAR
    if weld.sides > 1 and isinstance(piece, Plate | Folded):
        radii = tuple(piece.t / 2 + radius for radius in NEAR)
    out: list[Out] = []
    unknown, start = 0, 0.0
    all_shares = ((run, share) for run, shares in zip(runs, stations, strict=True) for share in shares)
    spots = [_tangent(run, share, piece.place) for run, share in all_shares]
    each = iter(zip(spots, _corners(pair, spots, radii, weld.sides), strict=True))
    for run, shares in zip(runs, stations, strict=True):
        limits = [0.0, *((a + b) / 2 for a, b in itertools.pairwise(shares)), 1.0]
        for low, high in itertools.pairwise(limits):
            (at, _), corners = next(each)
            unknown += not corners
            meets = tuple(dict.fromkeys(name for corner in corners for name in there.meets(corner, absent)))
            if meets:
                _add(out, Out(start + low * run.length, start + high * run.length, point(at), meets))
        start += run.length
    return Reach(weld, length, tuple(out), places, unknown)


def _add(out: list[Out], one: Out) -> None:
    """The stretch put to the one before it where they touch."""
    if out and one.start - out[-1].end < 1e-9 * (1 + one.start):
        last = out.pop()
        one = Out(last.start, one.end, last.at, tuple(dict.fromkeys((*last.meets, *one.meets))))
    out.append(one)


def _corners(
    pair: Pair, spots: Sequence[tuple[Array, Array]], radii: Sequence[float], sides: int
) -> list[tuple[Corner, ...]]:
    """At each of `spots` of a weld, its place and the way along it, the corner nearest to the weld's edge, or those
    on both sides of it; none where no circle finds as many."""
    found: list[tuple[Corner, ...]] = [()] * len(spots)
    for radius in radii:
        left = [i for i, corners in enumerate(found) if not corners]
        if not left:
            break
        at, along = (np.array(each) for each in zip(*(spots[i] for i in left), strict=True))
        for i, corners in zip(left, corners_along(pair, at, along, radius), strict=True):
            if len(corners) >= sides:
                found[i] = corners[:sides]
    return found


def _stations(run: Stretch) -> list[float]:
    """Shares of a stretch: all round a closed one, else from END of its start to END of its end."""
    if math.dist(run.at(0.0), run.at(1.0)) < 1e-6 < run.length:
        count = max(8, math.ceil(run.length / PITCH))
        return [(i + 0.5) / count for i in range(count)]
    inset = min(END, run.length / 4) / run.length
    count = max(2, 1 + math.ceil((1 - 2 * inset) * run.length / PITCH))
    return [float(share) for share in np.linspace(inset, 1 - inset, count)]


def _tangent(run: Stretch, share: float, place: Place) -> tuple[Array, Array]:
    """A place of a stretch and the way along it there."""
    step = min(0.05 / run.length, share, 1 - share)
    at, before, after = (np.array(place.point(run.at(share + by))) for by in (0.0, -step, step))
    return at, (after - before) / np.linalg.norm(after - before)


def _later(part: Part, weld: Weld) -> frozenset[str]:
    """Pieces that are welded in later: every weld of theirs has a later turn."""
    turns: dict[str, list[int]] = {}
    for one in part.welds:
        for name in {one.piece, one.onto}:
            turns.setdefault(name, []).append(one.turn)
    return frozenset(name for name, all_turns in turns.items() if min(all_turns) > weld.turn)


def _met(seat: Seat, far: float) -> Body:
    """What a welded seat meets: a tube of its diameter, or a block behind its face, `far` mm either way."""
    if seat.kind == "round" and seat.d is not None:
        solid = Solid.makeCylinder(seat.d / 2, 2 * far, Vector(0, 0, -far))
    else:
        solid = Solid.makeBox(2 * far, 2 * far, far, Vector(-far, -far, 0))
    return body(solid, name=seat.name, place=seat.place.matrix())
