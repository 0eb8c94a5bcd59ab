"""A part as what is joined to what: pieces, the weld groups between them, its loads, and what holds it.

N, N mm, mm, in the part's frame. A wrench is force and moment about the origin, (cases, 6).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from operator import add
from typing import Literal

import numpy as np

from brackets.core.kept import keeps
from brackets.core.place import Place
from brackets.core.vectors import cross, dot, length
from brackets.hold.check import Array
from brackets.hold.held import vec
from brackets.hold.own_weight import NOT_COUNTED, weights_of
from brackets.hold.part_cases import HoldSettings, PartCase
from brackets.hold.part_loads import Applied as Applied
from brackets.hold.weld_edges import WeldedEdge, welded_edge
from brackets.hold.weld_lines import WeldGroup
from brackets.model.bores import Bore, bores_on
from brackets.model.faces import flat_faces
from brackets.model.part import Part
from brackets.model.piece import THREADED_BAR, CustomPiece, Seat
from brackets.model.tube import Turned

LEAST_RUN = 30.0
"""mm, EN 1993-1-8:2005 4.5.1(2)."""
GROUND = "what holds it"
"""The body that every support hangs on: casting, rail or sheet, rigid."""
ON_AXIS = 0.05
"""mm that a threaded bar may lie off the axis of what it is screwed into."""
NEAR_FACE = 0.05
"""mm that a seat may lie off the face that it is on."""

JointKind = Literal["weld", "thread", "bolts", "stands", "pin"]


@dataclass(frozen=True, eq=False)
class Joint:
    """Where two bodies hang together: all welds between them, or the bolts of one piece, as one group.

    weld: `edges`; thread: a bar screwed into a piece; bolts: `seats`, one a bolt; stands: a face whose fastening
    the record does not have; pin: a bush that holds, free to turn. at: (3,) mm, centre of the group.
    """

    name: str
    a: str
    b: str
    kind: JointKind
    at: Array
    edges: tuple[WeldedEdge, ...] = ()
    seats: tuple[Seat, ...] = ()

    @cached_property
    def group(self) -> WeldGroup:
        """Its lines of weld that count; all of them where none does."""
        whole, kept = self._lines, [i for run in self._counted for i in run]
        if not kept or kept == list(range(len(whole.lines))):
            return whole
        return WeldGroup([whole.lines[i] for i in kept])

    @property
    def counts(self) -> bool:
        """Whether any run of it may carry load."""
        return bool(self.edges) and bool(self._counted)

    @cached_property
    def _lines(self) -> WeldGroup:
        return WeldGroup([line for edge in self.edges for line in edge.lines])

    @cached_property
    def _counted(self) -> list[tuple[int, ...]]:
        return counted_runs(self._lines)

    def other(self, body: str) -> str:
        return self.b if body == self.a else self.a


def counted_runs(group: WeldGroup) -> list[tuple[int, ...]]:
    """The runs that are long enough to carry load, EN 1993-1-8:2005 4.5.1(2), as numbers of their lines."""
    found = []
    for run, far in zip(group.members, group.runs, strict=True):
        throat = max(float(group.lines[i].throat) for i in run)
        if float(far) >= max(LEAST_RUN, 6 * throat) - 1e-9:
            found.append(run)
    return found


@dataclass(frozen=True, eq=False)
class PartGraph:
    """Bodies by name (a piece each, and the seats that something is welded onto), joints, loads; notes and what is
    refused of it as (place, words); weights: of its own pieces, where they count."""

    part: Part
    bodies: tuple[str, ...]
    joints: tuple[Joint, ...]
    loads: tuple[Applied, ...]
    refused: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    weights: tuple[Applied, ...] = ()

    @property
    def acting(self) -> tuple[Applied, ...]:
        """Loads and weights: all that acts on it from outside but what holds it."""
        return (*self.loads, *self.weights)

    def joints_of(self, body: str) -> tuple[Joint, ...]:
        return tuple(joint for joint in self.joints if body in (joint.a, joint.b))

    def reached(self) -> set[str]:
        """Bodies that hang together with a loaded one."""
        return _reached((load.body for load in self.loads), [j for j in self.joints if GROUND not in (j.a, j.b)])

    def applied(self, bodies: Iterable[str]) -> Array:
        """(cases, 6): all that acts on these bodies from outside."""
        among, cases = set(bodies), self.loads[0].wrench.shape[0]
        return np.asarray(sum((one.wrench for one in self.acting if one.body in among), np.zeros((cases, 6))))


def graph_of(part: Part, cases: Sequence[PartCase], settings: HoldSettings) -> PartGraph:
    """The part with its loads and supports. Raises InputError where a load is on no piece of it."""
    loaded = list(dict.fromkeys(load.seat for case in cases for load in case.loads))
    wrenches = seat_wrenches(part, cases)
    refused: list[tuple[str, str]] = []
    loads: list[Applied] = []
    notes: list[str] = []
    for name in loaded:
        seat = part.seat(name)
        found = list(_applied(part, seat, wrenches[name], notes))
        if not found:
            refused.append((name, f"seat = {name}, must be on a piece of the part: nothing there takes the load"))
        loads += found
    welded, unwelded = _weld_joints(part)
    refused += unwelded
    welds = [*welded, *_threads(part)]
    reached = _reached([one.body for one in loads], welds)
    supports = list(_supports(part, loaded, welds, reached, settings, notes))
    bodies = tuple(dict.fromkeys([piece.name for piece in part.pieces] + [j.b for j in welds]))
    weights = tuple(weights_of(part, cases, reached))
    if weights and all(joint.kind == "pin" for joint in supports):
        notes.append(NOT_COUNTED)
        weights = ()
    return PartGraph(part, bodies, (*welds, *supports), tuple(loads), tuple(refused), tuple(notes), weights)


def seat_wrenches(part: Part, cases: Sequence[PartCase]) -> Mapping[str, Array]:
    """(cases, 6) by loaded seat, as typed: force, and moment about the part's origin."""
    seats = dict.fromkeys(load.seat for case in cases for load in case.loads)
    rows = {seat: [[0.0] * 6 for _ in cases] for seat in seats}
    for i, case in enumerate(cases):
        for load in case.loads:
            row = rows[load.seat][i]
            row[:] = map(add, row, (*load.force, *load.moment))
    found = {seat: np.array(of) for seat, of in rows.items()}
    for seat, wrench in found.items():
        wrench[:, 3:] += np.cross(part.seat(seat).place.at, wrench[:, :3])
    return found


def at_point(wrench: Array, at: Array) -> tuple[Array, Array]:
    """Force, and moment about a point, each (cases, 3)."""
    force = wrench[..., :3]
    return force, wrench[..., 3:] - np.cross(at, force)


def pieces_at(part: Part, seat: Seat) -> tuple[str, ...]:
    """Which pieces a seat is on: the ears that its bolt goes through, the cup of its bush, the plate of its bolt or
    face; what lies loose there (washers, crush tubes) too. Where the record shows none it is the one custom piece,
    if there is one: nothing else can be there."""
    odd = [piece.name for piece in part.pieces if isinstance(piece, CustomPiece)]
    return _known_pieces_at(part, seat) or (tuple(odd) if len(odd) == 1 else ())


def _known_pieces_at(part: Part, seat: Seat) -> tuple[str, ...]:
    bores = bores_on(part, seat.place)
    if seat.kind == "bush":
        if pins := pivots(part, seat):
            return tuple(dict.fromkeys(bore.piece for bore in pins))
        if seat.d is not None:
            cups = [b for b in bores if b.low < NEAR_FACE < b.high + 2 * NEAR_FACE and abs(b.d - seat.d) < 1.0]
            if cups:
                return (cups[0].piece,)
        return tuple(dict.fromkeys(bore.piece for bore in bores))[:1] or tuple(_with_face(part, seat.place))
    if seat.kind in ("boss", "bolt"):
        near = sorted(bores, key=lambda bore: min(abs(bore.low), abs(bore.high)))
        return tuple(dict.fromkeys(bore.piece for bore in near))
    return tuple(_with_face(part, seat.place))


def pivots(part: Part, seat: Seat) -> tuple[Bore, ...]:
    """The holes for a bush bolt on a seat's axis, in ears mostly, along it."""
    return tuple(
        bore
        for bore in bores_on(part, seat.place)
        if any(getattr(hole, "kind", "") == "pivot" for hole in part.piece(bore.piece).holes())
    )


def _with_face(part: Part, place: Place) -> Iterator[str]:
    for piece in part.pieces:
        for face in flat_faces(piece):
            x, y, z = face.place.local(place.at)
            square = length(cross(face.place.axis, place.axis)) < 1e-3 and dot(face.place.axis, place.axis) > 0
            if square and abs(z) < NEAR_FACE and face.region.distance((x, y)) > -NEAR_FACE:
                yield piece.name
                break


def _applied(part: Part, seat: Seat, wrench: Array, notes: list[str]) -> Iterator[Applied]:
    at = np.array(seat.place.at)
    if any(weld.onto == seat.name for weld in part.welds):
        yield Applied(seat.name, seat.name, at, wrench)
        return
    axis, ears = np.array(seat.place.axis), pivots(part, seat)
    if seat.kind != "bush" or len(ears) != 2:
        names = pieces_at(part, seat)
        welded = {name for weld in part.welds for name in (weld.piece, weld.onto)}
        held = [name for name in names if name in welded] or list(names)
        if len(held) > 1 and seat.kind == "bush":
            return
        for name in held[:1]:
            yield Applied(name, seat.name, at, wrench, ear=0 if ears else None)
        return
    (one, two), (low, high) = (bore.piece for bore in ears), ((bore.low + bore.high) / 2 for bore in ears)
    force, moment = at_point(wrench, at)
    along, twist = (force @ axis)[:, None] * axis, (moment @ axis)[:, None] * axis
    across, tilt = force - along, np.cross(moment - twist, axis)
    far = (tilt - low * across) / (high - low)
    for i, (name, z, share) in enumerate(((one, low, across - far), (two, high, far))):
        given = share + along / 2
        point = at + z * axis
        row = np.concatenate([given, np.cross(point, given) + twist / 2], axis=1)
        yield Applied(name, seat.name, point, row, ear=i)
    notes.append(
        f"{seat.name}: each ear carries its share by lever; along the bolt, and twist about it, half each (the"
        " sleeve is clamped between them)"
    )


@keeps("weld joints")
def _weld_joints(part: Part) -> tuple[tuple[Joint, ...], tuple[tuple[str, str], ...]]:
    """A joint a pair of bodies welded together, and what is refused of them: the same under all loads."""
    joints: list[Joint] = []
    refused: list[tuple[str, str]] = []
    between: dict[tuple[str, str], list[WeldedEdge]] = {}
    for weld in part.welds:
        edge = welded_edge(part, weld)
        key = (weld.piece, weld.onto) if (weld.onto, weld.piece) not in between else (weld.onto, weld.piece)
        between.setdefault(key, []).append(edge)
    for (a, b), edges in between.items():
        name = f"weld {a} | {b}"
        whole = tuple(edge for edge in edges if edge.lines)
        if not whole:
            refused.append((name, "angle, must be 60 to 120 deg between the faces: EN 1993-1-8:2005 4.3.2.1"))
            at = np.array(part.piece(a).place.at)
        else:
            at = Joint(name, a, b, "weld", np.zeros(3), edges=whole).group.centre
        joints.append(Joint(name, a, b, "weld", at, edges=whole))
    return tuple(joints), tuple(refused)


def _threads(part: Part) -> Iterator[Joint]:
    """Threaded bars in pieces with a thread on the same axis."""
    bars = [piece for piece in part.pieces if piece.stock.startswith(THREADED_BAR)]
    for piece in part.pieces:
        if not isinstance(piece, Turned) or piece.thread is None:
            continue
        low, high = (np.array(piece.place.point((0.0, 0.0, z))) for z in (0.0, piece.length))
        for bar in bars:
            off = [bar.place.local(vec(end)) for end in (low, high)]
            ends = sorted(z for *_, z in off)
            on_axis = all(abs(x) < ON_AXIS and abs(y) < ON_AXIS for x, y, _ in off)
            if on_axis and isinstance(bar, Turned) and ends[0] < bar.length and ends[1] > 0:
                name = f"thread {bar.name} | {piece.name}"
                yield Joint(name, bar.name, piece.name, "thread", (low + high) / 2)


def _reached(start: Iterable[str], joints: Sequence[Joint]) -> set[str]:
    """All bodies that hang together with these by welds."""
    found, new = set(), set(start)
    while new:
        found |= new
        new = {j.other(body) for body in new for j in joints if body in (j.a, j.b)} - found
    return found


def _supports(
    part: Part,
    loaded: Sequence[str],
    welds: Sequence[Joint],
    reached: set[str],
    settings: HoldSettings,
    notes: list[str],
) -> Iterator[Joint]:
    typed = [part.seat(name) for name in settings.held_at]
    free = [seat for seat in part.seats if seat.name not in loaded]
    onto = {weld.onto for weld in part.welds}
    first = [seat for seat in free if seat.kind in ("boss", "bolt") or seat.name in onto]
    stands = [seat for seat in free if seat.kind in ("face", "round") and "/" not in seat.name]
    bushes = [seat for seat in free if seat.kind == "bush" and "/" not in seat.name]
    chosen = typed or first
    if not chosen and len(stands) == 1:
        chosen = stands
    elif not chosen and not stands:
        chosen = bushes
    bolted: dict[str, list[Seat]] = {}
    for seat in chosen:
        if seat.name in onto:
            yield Joint(f"on {seat.name}", seat.name, GROUND, "stands", np.array(seat.place.at), seats=(seat,))
            continue
        names = [name for name in pieces_at(part, seat) if name in reached]
        if not names:
            notes.append(f"{seat.name}: on nothing that carries the load, not counted")
        elif seat.kind in ("boss", "bolt"):
            bolted.setdefault(names[0], []).append(seat)
        else:
            kind: JointKind = "pin" if seat.kind == "bush" else "stands"
            yield Joint(f"on {seat.name}", names[0], GROUND, kind, np.array(seat.place.at), seats=(seat,))
    for piece, seats in bolted.items():
        centre = np.mean([seat.place.at for seat in seats], axis=0)
        name = f"bolts {', '.join(seat.name for seat in seats)}"
        yield Joint(name, piece, GROUND, "bolts", centre, seats=tuple(seats))
