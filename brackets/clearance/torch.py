"""Can a torch reach each weld of a part once all its pieces are tacked: places along it, ways to hold the torch.

A torch that is found free is free for certain: its triangles lie round it, and those of the part, less how far
they may be off, are clear of it. That none is found is of the places and directions that were tried, no more. The
torch is straight; a bent neck, weld metal already laid, hands and hose are not looked at. mm, part's frame.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from cadquery.occ_impl.geom import Vector
from cadquery.occ_impl.shapes import Solid

from brackets.clearance.bodies import Body, body
from brackets.clearance.places import Array, Ints, Transform, point
from brackets.clearance.triangles import Tree, between
from brackets.clearance.weld_corners import Corner, Pair, corners_at
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

SIDES = 24
"""Sides of the prisms that stand for the torch's cylinders, each round its cylinder: 0.9 % wider at their edges."""

LEANS = (0, 2, -2, 4, -4, 1, -1, 3, -3)
"""Quarters of the most that the torch leans across the weld, in the order in which they are tried."""

TRAVELS = (0, 2, -2, 4, -4, 6, -6, 1, -1, 3, -3, 5, -5)
"""Sixths of the most that it leans along the weld."""

TRIED = len(LEANS) * len(TRAVELS)
"""Directions that are tried at a place."""

NEAR = (1.0, 2.0, 0.5)
"""mm from the edge at which a corner's faces are looked for, in turn: inside most walls, past fit-up."""

INTO_METAL = math.radians(5.0)
"""Radians that the wire keeps off either face of its corner."""

WIRE = 1.2
"""mm: diameter of the wire or needle."""

ROOT = 3.0
"""mm from the root that the wire is looked at from: nearer it the weld is."""


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
    there = _There(part, torch)
    return tuple(_reach(part, weld, there) for weld in part.welds)


class _There:
    """All that is in a torch's way: pieces, and what welded seats meet."""

    def __init__(self, part: Part, torch: Torch) -> None:
        met = {weld.onto for weld in part.welds} - {piece.name for piece in part.pieces}
        bodies = {one.name: body(shape(one), name=one.name) for one in part.pieces if one.name not in part.loose}
        bodies |= {seat.name: _met(seat, 2 * torch.length) for seat in part.seats if seat.name in met}
        self.bodies, self.torch = bodies, torch
        self.free: list[int] = []
        self.boxes = {name: one.box for name, one in bodies.items()}

    def meets(self, corner: Corner, absent: frozenset[str]) -> tuple[str, ...]:
        """What is met in the directions that are tried, oftenest first; nothing where one of them is free.

        Those that were free at other places are tried first, the last one before all: most welds have their like.
        """
        ways, most = _directions(self.torch), max(0.0, corner.opening / 2 - INTO_METAL)
        frame = np.column_stack((corner.between, np.cross(corner.along, corner.between), corner.along))
        there = [name for name in self.bodies if name not in absent]

        def first(i: int) -> str | None:
            return self._first(Transform(frame @ ways[i][1], corner.root), there)

        for i in self.free:
            if abs(ways[i][0]) <= most and first(i) is None:
                self._was_free(i)
                return ()
        met: Counter[str] = Counter()
        for i, (lean, _) in enumerate(ways):
            if abs(lean) > most:
                continue
            by = first(i)
            if by is None:
                self._was_free(i)
                return ()
            there.remove(by)
            there.insert(0, by)
            met[by] += 1
        return tuple(name for name, _ in met.most_common())

    def _was_free(self, i: int) -> None:
        self.free = [i, *(one for one in self.free if one != i)]

    def _first(self, stand: Transform, there: Sequence[str]) -> str | None:
        """The first of what is `there` that the torch meets, standing so."""
        corners = stand.points(_torch_mesh(self.torch)[0])
        low, high = corners.min(axis=0), corners.max(axis=0)
        for name in there:
            box, one = self.boxes[name], self.bodies[name]
            if np.any(box[0] > high) or np.any(box[1] < low):
                continue
            if between(one.core.tree, _torch_tree(self.torch), one.place.inverse @ stand).distance <= one.bound:
                return name
            if self._holds(stand, one.corners[0]):
                return name
        return None

    def _holds(self, stand: Transform, spot: Array) -> bool:
        """Whether a point lies in the torch: what it belongs to may be swallowed whole."""
        x, y, z = stand.inverse.points(spot)
        rho = math.hypot(x, y)
        return any(rho <= od / 2 and low <= z <= high for low, high, od in _cylinders(self.torch))


def _reach(part: Part, weld: Weld, there: _There) -> Reach:
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
    for run, shares in zip(runs, stations, strict=True):
        limits = [0.0, *((a + b) / 2 for a, b in itertools.pairwise(shares)), 1.0]
        for share, low, high in zip(shares, limits, limits[1:], strict=False):
            at, along = _tangent(run, share, piece.place)
            corners = _corners(pair, at, along, radii, weld.sides)
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


def _corners(pair: Pair, at: Array, along: Array, radii: Sequence[float], sides: int) -> tuple[Corner, ...]:
    """The corner nearest to the weld's edge, or those on both sides of it; none where no circle finds as many."""
    for radius in radii:
        found = corners_at(pair, at, along, radius)
        if len(found) >= sides:
            return found[:sides]
    return ()


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


@lru_cache(maxsize=8)
def _directions(torch: Torch) -> tuple[tuple[float, Array], ...]:
    """Lean across the weld, radians, and the torch's axes x, y, z as columns (3, 3), each told by the way between
    the faces, the way across, and the way along the weld."""
    found: dict[tuple[float, float], Array] = {}
    for lean, travel in itertools.product(LEANS, TRAVELS):
        w, v = math.radians(torch.work * lean / 4), math.radians(torch.travel * travel / 6)
        x = np.array((-math.sin(w), math.cos(w), 0.0))
        z = np.array((math.cos(v) * math.cos(w), math.cos(v) * math.sin(w), math.sin(v)))
        found[w, v] = np.column_stack((x, np.cross(z, x), z))
    return tuple((w, turn) for (w, _), turn in sorted(found.items(), key=lambda one: math.hypot(*one[0])))


def _cylinders(torch: Torch) -> tuple[tuple[float, float, float], ...]:
    """From, to (mm from the root) and outside of each: wire, nozzle, neck."""
    end = torch.stick_out + torch.nozzle_length
    return (
        (min(ROOT, torch.stick_out / 2), torch.stick_out, WIRE),
        (torch.stick_out, end, torch.nozzle_od),
        (end, torch.length, torch.neck_od),
    )


@lru_cache(maxsize=8)
def _torch_mesh(torch: Torch) -> tuple[Array, Ints]:
    """Corners and triangles of prisms round its cylinders."""
    made = [_prism(od, low, high) for low, high, od in _cylinders(torch)]
    starts = itertools.accumulate((len(corners) for corners, _ in made), initial=0)
    triples = [faces + start for (_, faces), start in zip(made, starts, strict=False)]
    return np.vstack([corners for corners, _ in made]), np.vstack(triples)


@lru_cache(maxsize=8)
def _torch_tree(torch: Torch) -> Tree:
    return Tree(*_torch_mesh(torch))


def _prism(od: float, low: float, high: float) -> tuple[Array, Ints]:
    """Corners and triangles of a prism round a cylinder about z."""
    turn = np.arange(SIDES) * (math.tau / SIDES)
    r = od / 2 / math.cos(math.pi / SIDES)
    ring = np.column_stack((r * np.cos(turn), r * np.sin(turn)))
    corners = [np.column_stack((ring, np.full(SIDES, z))) for z in (low, high)]
    faces = []
    for i in range(SIDES):
        j = (i + 1) % SIDES
        faces += [(i, j, SIDES + j), (i, SIDES + j, SIDES + i)]
        faces += [(2 * SIDES, j, i), (2 * SIDES + 1, SIDES + i, SIDES + j)]
    middles = np.array(((0.0, 0.0, low), (0.0, 0.0, high)))
    return np.vstack((*corners, middles)), np.array(faces, dtype=np.int64)


def _met(seat: Seat, far: float) -> Body:
    """What a welded seat meets: a tube of its diameter, or a block behind its face, `far` mm either way."""
    if seat.kind == "round" and seat.d is not None:
        solid = Solid.makeCylinder(seat.d / 2, 2 * far, Vector(0, 0, -far))
    else:
        solid = Solid.makeBox(2 * far, 2 * far, far, Vector(-far, -far, 0))
    return body(solid, name=seat.name, place=seat.place.matrix())
