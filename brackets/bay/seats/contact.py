"""What every seat of a placed part stands on: mm2 of contact, the widest gap, what hangs past an edge, and how much
of its weld has no metal under it.

mm, bay axes. A seat is judged where the bay says what its part stands on (a mount's `onto`) or touches (a
[[contact]] with a keep-out). A part bolted to bosses stands on those: the face round them is not a seat of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence, Set
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from brackets.bay.hung.block import side_word
from brackets.bay.schema.record import Bay
from brackets.bay.seats.ground import Ground, beside_and_past, face_of, ground, on_boxes
from brackets.bay.seats.patch import Patch, flat_patch, round_patch
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.clearance.bodies import body
from brackets.clearance.places import Array
from brackets.core.kept import keeps
from brackets.core.place import Place
from brackets.core.vectors import Vec, dot, length, scale, sub, unit
from brackets.geometry.regions import Region
from brackets.geometry.shapes import polygon
from brackets.kernel.solids import shape
from brackets.model import edges
from brackets.model.faces import LEVEL, SLIVER, area, in_plane, on_edge
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Seat

STEP = 1.0
"""How far apart points along a weld are looked at, at most, mm; between them the gap is taken to change evenly."""

MOST = 400
"""Points along one weld, at most."""

OPPOSED = -1 + 1e-9
"""Cosine of two seats that look at each other."""

FINE = 0.02
"""Triangles of a custom piece whose flat faces are asked for, mm."""


@dataclass(frozen=True, kw_only=True)
class SeatContact:
    """A seat of a part on the keep-outs `onto`, which bear it (or, where none does, the one it was to stand on).

    `area` mm2 of the seat itself, `contact` mm2 of it within `allowed` mm of metal, `widest` the widest gap there,
    `nearest` the least distance to metal. `skins`: (keep-out, mm) of the boxes under it that no doubler stiffens
    and how thick each is, square to the seat. `hangs`: (edge, mm, keep-out) past which it hangs, furthest first.
    `weld` mm of weld line at it, `bare` mm of that with no metal within `allowed`, `open` the widest gap along it,
    mm, at `at`.
    """

    part: str
    seat: str
    onto: tuple[str, ...]
    area: float
    contact: float
    widest: float
    nearest: float
    hangs: tuple[tuple[str, float, str], ...]
    weld: float
    bare: float
    open: float
    at: Vec
    allowed: float
    skins: tuple[tuple[str, float], ...] = ()

    @property
    def share(self) -> float:
        """Of its own area that bears, 0 to 1."""
        return self.contact / self.area if self.area > 0 else 0.0


def seat_contacts(stood: PlacedBay, things: Sequence[BayBody]) -> tuple[SeatContact, ...]:
    """Every seat that stands on a keep-out or was to, by part. `things`: the bay's bodies."""
    found: list[SeatContact] = []
    for part in stood.parts:
        there = _stands_on(stood.bay, part, things)
        if there:
            seats = _of_part(
                part,
                there,
                _meant(stood.bay, part.name),
                stood.bay.shop.tubing.fit_up,
                every=_astride(stood.bay, part.name),
            )
            stiff = {k.name for k in stood.bay.keep_outs if k.doubler_of}
            doublers = _grounds(stood.bay, stiff, things)
            found += [replace(one, skins=tuple(_skins(part.part, one, there, doublers))) for one in seats]
    return tuple(found)


def slid_contacts(
    stood: PlacedBay, things: Sequence[BayBody], drawn: Sequence[SeatContact], part: PlacedPart
) -> tuple[SeatContact, ...]:
    """The seats of a part that bear as drawn, `drawn`, with `part` where it is moved to on its slots."""
    there = _stands_on(stood.bay, part, things)
    bearing = {one.seat for one in drawn if one.part == part.name and one.contact > 0}
    allowed = stood.bay.shop.tubing.fit_up
    return tuple(_contact(part, seat, there, allowed) for seat in _outward(part.part) if seat.name in bearing)


def _stands_on(bay: Bay, part: PlacedPart, things: Sequence[BayBody]) -> list[Ground]:
    return _grounds(bay, _keep_outs(bay, part.name), things)


def _grounds(bay: Bay, named: Set[str], things: Sequence[BayBody]) -> list[Ground]:
    bodies = {thing.name: thing.body for thing in things if thing.what == "keep-out"}
    return [ground(bay, k, bodies[k.name]) for k in bay.keep_outs if k.name in named]


def _skins(
    part: Part, one: SeatContact, there: Sequence[Ground], doublers: Sequence[Ground]
) -> Iterator[tuple[str, float]]:
    """Boxes that a flat seat stands on, with their thickness; no doublers, nor what one, or a
    spreader plate of the part itself, stiffens behind it."""
    seat = part.seat(one.seat)
    if seat.kind != "face" or one.contact <= 0:
        return
    plane = seat.place
    for sheet in there:
        if sheet.name not in one.onto or sheet.block is None or sheet.block.is_rail or sheet.keep_out.doubler_of:
            continue
        face = face_of(sheet, plane)
        if face is None:
            continue
        behind = [doubler for doubler in doublers if doubler.keep_out.doubler_of == sheet.name]
        far = Place(plane.point((0.0, 0.0, face.deep)), plane.axis, plane.up)
        if in_plane(part, Place(far.at, scale(far.axis, -1.0), far.up)):
            continue  # its own spreader plate looks back at the sheet's far side
        regions = in_plane(part, plane)
        if not behind or on_boxes(regions, far, behind, allowed=one.allowed).contact < one.contact - SLIVER:
            yield sheet.name, face.deep


def _meant(bay: Bay, part: str) -> tuple[str, ...]:
    """The keep-outs that the part's mounts say it stands on."""
    onto = [mount.onto(side) for mount, side in bay.mounts_of(part)]
    return tuple(dict.fromkeys(name for name in onto if name is not None))


def _keep_outs(bay: Bay, part: str) -> set[str]:
    touched = {name for contact in bay.contacts if part in contact.pair for name in contact.pair}
    return {*_meant(bay, part), *touched} & set(bay.keep_out_by_name)


def _astride(bay: Bay, part: str) -> bool:
    """Whether it stands on a rail's corner: then each of its faces must bear."""
    return any(getattr(mount, f"{side}_corner", None) is not None for mount, side in bay.mounts_of(part))


def _of_part(
    part: PlacedPart, there: Sequence[Ground], meant: Sequence[str], allowed: float, *, every: bool = False
) -> Iterator[SeatContact]:
    """The seats that bear on something, and where one does, or with `every`, those that are welded and do not; for
    each keep-out the part was to stand on and does not, the seat that comes nearest to it."""
    seats = list(_outward(part.part))
    judged = [_contact(part, seat, there, allowed) for seat in seats]
    stands = every or any(one.contact > 0 for one in judged)
    bearing = [one for one in judged if one.contact > 0 or (stands and one.weld > 0)]
    yield from bearing
    for name in meant:
        if seats and not any(name in one.onto for one in bearing):
            alone = [g for g in there if g.name == name]
            tried = [_contact(part, seat, alone, allowed) for seat in seats]
            yield min(tried, key=lambda one: (one.weld == 0 and any(t.weld for t in tried), one.nearest))


def _outward(part: Part) -> Iterator[Seat]:
    """Face and round seats that do not meet another of the part's own, nor lie in the face of its boss seats."""
    bosses = [seat.place for seat in part.seats if seat.kind == "boss"]
    faces = [seat.place for seat in part.seats if seat.kind == "face"]
    for seat in part.seats:
        met = any(_meet(seat.place, other) for other in faces)
        bolted = any(_in_face(seat.place, boss) for boss in bosses)
        if seat.kind == "round" or (seat.kind == "face" and not met and not bolted):
            yield seat


def _meet(one: Place, other: Place) -> bool:
    return dot(one.axis, other.axis) < OPPOSED and length(sub(one.at, other.at)) < LEVEL


def _in_face(face: Place, boss: Place) -> bool:
    return dot(face.axis, boss.axis) > -OPPOSED and abs(face.local(boss.at)[2]) < LEVEL


def _contact(part: PlacedPart, seat: Seat, there: Sequence[Ground], allowed: float) -> SeatContact:
    return _borne(part.name, part.part, seat, there, allowed)


@keeps("seat contact")
def _borne(name: str, part: Part, seat: Seat, there: Sequence[Ground], allowed: float) -> SeatContact:
    weld, bare, open_to, at, least = _welds(part, seat, there, allowed)
    plane, boxes = seat.place, all(g.block is not None for g in there)
    if seat.kind == "face":
        level = (*in_plane(part, plane), *_custom(part, plane))
        regions = (*level, *on_edge(part, plane, deep=allowed))
        own = area(regions)
        patch = flat_patch(regions, plane, rim_only=boxes)
    else:
        patch = round_patch(part, seat)
        own = patch.area
    offs = _off(there, patch.points, allowed + STEP)
    nearest = max(0.0, min([least, *offs.tolist()]))
    if seat.kind == "face" and boxes:
        found = on_boxes(regions, plane, there, allowed=allowed)
        contact, widest, hangs, under = found.contact, found.widest, found.hangs, found.under
    else:
        each = [(g, _bears(g, seat, patch, allowed)) for g in there]
        bears = np.any([on for _, on in each], axis=0)
        contact = float(patch.weights[bears].sum())
        widest = max([0.0, *offs[bears].tolist()])
        bearing = [g for g, on in sorted(each, key=lambda e: -e[1].sum()) if on.any()]
        under = tuple(g.name for g in bearing)
        hangs = _hangs(seat, patch, bears, bearing, allowed)
    return SeatContact(
        part=name,
        seat=seat.name,
        onto=under or tuple(g.name for g in there)[:1],
        area=own,
        contact=contact,
        widest=widest,
        nearest=nearest,
        hangs=hangs,
        weld=weld,
        bare=bare,
        open=open_to,
        at=at,
        allowed=allowed,
    )


def _off(there: Sequence[Ground], spots: Array, reach: float) -> Array:
    """(n,) mm from each point to the nearest metal."""
    if not len(spots):
        return np.zeros(0)
    return np.asarray(np.min([g.distance(spots, reach) for g in there], axis=0))


def _bears(on: Ground, seat: Seat, patch: Patch, allowed: float) -> NDArray[np.bool_]:
    """(n,) whether each point has metal within `allowed` mm, for a flat seat ahead of it: drawn back into the part
    by as much, the point is further from it."""
    if not len(patch.points):
        return np.zeros(0, dtype=bool)
    offs = on.distance(patch.points, allowed)
    if seat.kind != "face":
        return np.asarray(offs <= allowed)
    back = on.distance(patch.points - allowed * np.array(seat.place.axis), 2 * allowed)
    return np.asarray((offs <= allowed) & (back > offs))


def _custom(part: Part, plane: Place) -> Iterator[Region]:
    """The triangles of custom pieces that lie in the plane and look along it."""
    for piece in part.pieces:
        if isinstance(piece, CustomPiece):
            made = body(shape(piece), name=piece.name, tolerance=FINE)
            for corners in made.corners[made.triples]:
                local = [plane.local((x, y, z)) for x, y, z in corners.tolist()]
                (ax, ay, _), (bx, by, _), (cx, cy, _) = local
                twice = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
                if all(abs(z) < LEVEL for *_, z in local) and twice > LEVEL:
                    yield Region(polygon([(ax, ay), (bx, by), (cx, cy)]))


def _welds(
    part: Part, seat: Seat, there: Sequence[Ground], allowed: float
) -> tuple[float, float, float, Vec, float]:
    """mm of weld at a seat, mm of it without metal, the widest gap and where it is, and the least."""
    whole = bare = 0.0
    widest, at, least = 0.0, seat.place.at, math.inf
    for weld in part.welds:
        if weld.onto != seat.name:
            continue
        piece = part.piece(weld.piece)
        run = edges.length(piece, weld.edge)
        n = min(MOST, max(9, math.ceil(run / STEP) + 1))
        spots = np.array(edges.points(piece, weld.edge, n))
        offs = _off(there, spots, allowed + STEP)
        offs[np.isinf(offs)] = allowed + STEP
        steps = np.linalg.norm(spots[1:] - spots[:-1], axis=1)
        over = offs - allowed
        above, apart = (of[1:] + of[:-1] for of in (np.maximum(over, 0), np.abs(over)))
        above = np.divide(above, apart, out=np.zeros_like(apart), where=apart > 0)
        whole += run
        bare += float((above * steps).sum() / steps.sum()) * run
        least = min(least, float(offs.min()))
        if offs.max() > widest:
            widest, at = float(offs.max()), tuple(spots[offs.argmax()].tolist())
    return whole, bare, widest, at, least


def _hangs(
    seat: Seat, patch: Patch, bears: NDArray[np.bool_], bearing: Sequence[Ground], allowed: float
) -> tuple[tuple[str, float, str], ...]:
    """Past the ends of tubes; past the rim of what bears, where that is a mesh, a STEP file or several things."""
    if not bearing:
        return ()
    if len(bearing) == 1 and bearing[0].is_tube:
        return _past_ends(patch, bearing[0], allowed)
    return _past_rim(seat.place, patch, bears, bearing[0].name) if seat.kind == "face" else ()


def _past_ends(patch: Patch, tube: Ground, allowed: float) -> tuple[tuple[str, float, str], ...]:
    keep_out = tube.keep_out
    assert keep_out.tube_from is not None
    assert keep_out.tube_to is not None
    start, end = tube.place.point(keep_out.tube_from), tube.place.point(keep_out.tube_to)
    way = unit(sub(end, start))
    furthest: dict[str, float] = {}
    for x, y, z in patch.points.tolist():
        across, past = beside_and_past(keep_out, tube.place, (x, y, z))
        if past > 0 and across <= allowed:
            at_end = dot(sub((x, y, z), end), way) > 0
            word = f"{side_word(way if at_end else scale(way, -1.0))} end"
            furthest[word] = max(past, furthest.get(word, 0.0))
    return tuple((word, far, tube.name) for word, far in sorted(furthest.items(), key=lambda h: -h[1]))


def _past_rim(
    plane: Place, patch: Patch, bears: NDArray[np.bool_], name: str
) -> tuple[tuple[str, float, str], ...]:
    """What reaches past a string pulled tight round all that bears: a hole in a scan is no edge."""
    from scipy.spatial import ConvexHull, QhullError

    flat = np.array([plane.local((x, y, z))[:2] for x, y, z in patch.points.tolist()])
    try:
        hull = ConvexHull(flat[bears])
    except (QhullError, ValueError):
        return ()
    beyond = flat @ hull.equations[:, :2].T + hull.equations[:, 2]
    furthest: dict[str, float] = {}
    for far, (x, y) in zip(beyond.max(axis=0).tolist(), hull.equations[:, :2].tolist(), strict=True):
        word = f"{side_word(plane.direction((x, y, 0.0)))} edge"
        furthest[word] = max(far, furthest.get(word, 0.0))
    return tuple((word, far, name) for word, far in sorted(furthest.items(), key=lambda h: -h[1]) if far > 0)
