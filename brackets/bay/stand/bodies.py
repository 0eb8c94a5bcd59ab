"""Everything of a standing bay as bodies to be cleared: keep-outs, parts, bush halves, bolts."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import Path
from typing import assert_never

import cadquery as cq

from brackets.bay.hung.block import Block, block_of
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import LINK
from brackets.bay.stand import scan_files, step_files
from brackets.bay.stand.hardware import Bought
from brackets.bay.stand.placed_part import BayThing, PlacedBay, PlacedPart
from brackets.clearance.bodies import Body, body
from brackets.clearance.own_moves import OwnMoves
from brackets.core.errors import BadFile, InputError
from brackets.core.identity import UnknownContentError, identity
from brackets.core.place import HERE, Place
from brackets.core.recent import Recent
from brackets.core.stamp import Stamp, stamp
from brackets.core.vectors import Vec, length, sub, unit
from brackets.geometry.shapes import rectangle
from brackets.kernel.plate import slab
from brackets.kernel.solids import shape
from brackets.model.part import Part

TOLERANCE = 0.05

TYPED = 512
"""Keep-outs remembered as bodies: a bay fitted with another value of a part does not cut them up again."""
SCANS = 8
"""Scans among them: one of 200,000 triangles takes 100 MB with its tree."""

_OfFile = tuple[KeepOut, Path, Stamp]
"""What the body of a file is remembered by: a file that was written since is another."""
_SCANS: Recent[_OfFile, Body] = Recent(SCANS)
_STEPS: Recent[_OfFile, Body] = Recent(TYPED)


@dataclass(frozen=True, eq=False)
class BayBody:
    """One body of the bay: what it is, whose side it moves with, its class of gap, what it is the body of, and its
    mount if it has one; `holds` the part that it bolts to a boss, or to the keep-outs it goes `through`; `own` how
    it turns or slides by itself.

    Of a part that is bolted to keep-outs these are in `through` too; `beside` is what of it is judged against them
    and `lifted` what comes off once its bolts are out, where that is not all of it."""

    name: str
    what: str
    side: str
    kind: str
    body: Body
    of: BayThing
    mounts: tuple[str, ...] = ()
    holds: str | None = None
    through: tuple[str, ...] = ()
    beside: Body | None = None
    lifted: Body | None = None
    link: str | None = None
    own: OwnMoves | None = None

    @property
    def moves_with(self) -> str:
        """Its side, or the link it is on: two links move apart."""
        return self.side if self.link is None else f"{self.side} {self.link}"

    def against(self, other: BayBody) -> Body:
        """Its body as it is judged against another: crush tubes may lie in what the part is bolted to."""
        return self.beside if self.beside is not None and other.name in self.through else self.body

    @cached_property
    def reach(self) -> float:
        """mm: it gets no further from where it is drawn by itself."""
        return 0.0 if self.own is None else self.own.reach(self.body)


def bay_bodies(stood: PlacedBay) -> tuple[BayBody, ...]:
    """A body of each of the contents, in their order. Raises BadFile for keep-out files that cannot be used."""
    bay = stood.bay
    problems: list[str] = []
    found: list[BayBody] = []
    named = (thing.step for thing in stood.contents if isinstance(thing, KeepOut) and thing.step is not None)
    files = (bay.path.parent / name for name in named)
    step_files.read_together([file for file in files if file.is_file()], TOLERANCE)
    for thing in stood.contents:
        match thing:
            case PlacedPart():
                found.append(_part(bay, thing))
            case Bought():
                found.append(_bought(bay, thing))
            case KeepOut():
                try:
                    found.append(_keep_out(bay, thing))
                except InputError as error:
                    problems += [f"keep_out {thing.name}: {line}" for line in error.problems]
            case _:
                assert_never(thing)
    if problems:
        raise BadFile(bay.path, *problems)
    return tuple(found)


STANDING = 128
"""Parts remembered as bodies: a bay with its bushes and bolts has fewer, and a tray's body takes some 100 kB."""
_BODIES: Recent[str, Body] = Recent(STANDING)


def part_body(part: Part, *, name: str) -> Body:
    """The body of a part where it stands, called `name`; what is worked out of it stays with it while a bay is
    fitted again with other values of another part."""
    try:
        key = identity(part, name)
    except UnknownContentError:
        return body(shape(part), name=name, tolerance=TOLERANCE)
    return _BODIES.made(key, lambda: body(shape(part), name=name, tolerance=TOLERANCE))


def _part(bay: Bay, part: PlacedPart) -> BayBody:
    return BayBody(
        name=part.name,
        what="part",
        side=part.side,
        kind=part.kind,
        body=part_body(part.part, name=part.name),
        of=part,
        mounts=tuple(mount.name for mount, _ in bay.mounts_of(part.name)),
        link=part.name if part.side == LINK else None,
    )


def _bought(bay: Bay, thing: Bought) -> BayBody:
    return BayBody(
        name=thing.name,
        what=thing.what,
        side=thing.side,
        kind="fixed",
        body=part_body(thing.part, name=thing.name),
        of=thing,
        mounts=(thing.mount,),
        link=_link(bay, thing),
    )


def _link(bay: Bay, thing: Bought) -> str | None:
    """The link that a bush half or a bolt is on, if it is on one."""
    if thing.side != LINK:
        return None
    return next(mount.link_part for mount in bay.mounts if mount.name == thing.mount)


def _keep_out(bay: Bay, keep_out: KeepOut) -> BayBody:
    return BayBody(
        name=keep_out.name,
        what="keep-out",
        side=keep_out.side,
        kind=keep_out.kind,
        body=placed_keep_out(bay, keep_out),
        of=keep_out,
        own=own_moves(bay, keep_out),
    )


def own_moves(bay: Bay, keep_out: KeepOut) -> OwnMoves | None:
    """How a keep-out turns or slides by itself, where its side stands; None where it does neither."""
    if not keep_out.moves:
        return None
    place = place_of(bay.powertrain) if keep_out.side == "powertrain" else HERE
    found = OwnMoves()
    if keep_out.moves_about is not None and keep_out.moves_axis is not None:
        found = replace(
            found,
            about=place.point(keep_out.moves_about),
            axis=unit(place.direction(unit(keep_out.moves_axis))),
            turn=(keep_out.moves_from or 0.0, keep_out.moves_to or 0.0),
        )
    if keep_out.moves_by is not None:
        along = unit(place.direction(unit(keep_out.moves_by)))
        found = replace(found, along=along, travel=(-(keep_out.moves_back or 0.0), length(keep_out.moves_by)))
    return found


def placed_keep_out(bay: Bay, keep_out: KeepOut) -> Body:
    """The body of a keep-out where its side stands. Raises InputError where its file cannot be used."""
    place = place_of(bay.powertrain) if keep_out.side == "powertrain" else HERE
    typed = _typed_at(keep_out, place)
    if typed is not None:
        return typed
    made = keep_out_body(keep_out, beside=bay.path.parent)
    return made if place == HERE else made.placed(matrix(place))


@lru_cache(maxsize=TYPED)
def _typed_at(keep_out: KeepOut, place: Place) -> Body | None:
    """The same of a box, rail or tube, remembered with what is worked out of it where it stands; None of a file."""
    typed = _typed_body(keep_out)
    return None if typed is None else typed.placed(matrix(place))


def matrix(place: Place) -> list[list[float]]:
    return [list(row) for row in place.matrix()]


def keep_out_body(keep_out: KeepOut, *, beside: Path) -> Body:
    """The body of a keep-out where it was typed. Raises InputError where its file cannot be used."""
    typed = _typed_body(keep_out)
    if typed is not None:
        return typed
    if keep_out.mesh is not None:
        path = _file("mesh", keep_out.mesh, beside, endings=(".stl", ".obj", ".ply"))
        return _SCANS.made((keep_out, path, stamp(path)), lambda: _mesh(keep_out, path))
    path = _file("step", keep_out.step, beside, endings=(".step", ".stp"))
    return _STEPS.made((keep_out, path, stamp(path)), lambda: _step(keep_out, path))


@lru_cache(maxsize=TYPED)
def _typed_body(keep_out: KeepOut) -> Body | None:
    """The body of a box, rail or tube; None of a keep-out that is a file."""
    block = block_of(keep_out)
    if block is not None:
        return _rail(keep_out, block) if block.is_rail else _box(keep_out, block)
    if keep_out.tube_from is not None and keep_out.tube_to is not None and keep_out.tube_od is not None:
        return _tube(keep_out, keep_out.tube_from, keep_out.tube_to, keep_out.tube_od)
    return None


def _box(keep_out: KeepOut, block: Block) -> Body:
    solid = cq.Solid.makeBox(*block.sizes).moved(cq.Location(cq.Vector(*block.low)))
    return body(solid, name=keep_out.name, tolerance=TOLERANCE).placed(matrix(block.place))


def _rail(keep_out: KeepOut, block: Block) -> Body:
    """A bar, or a hollow section whose ends are open: what passes through its inside fouls nothing."""
    width, height, long = block.sizes
    if block.opens:
        return _channel(keep_out, block)
    bore = []
    if block.wall is not None:
        inner = max(0.0, block.corner - block.wall)
        bore.append(rectangle(width - 2 * block.wall, height - 2 * block.wall, radius=inner))
    solid = slab(rectangle(width, height, radius=block.corner), bore, long)
    return body(solid, name=keep_out.name, tolerance=TOLERANCE).placed(matrix(block.place))


def _channel(keep_out: KeepOut, block: Block) -> Body:
    """A channel: a closed section wider by what its open side's corners take, cut off where that side is."""
    (width, height, long), wall = block.sizes, block.wall or 0.0
    more = block.corner + wall
    outside = rectangle(width + more, height, centre=(block.opens * more / 2, 0.0), radius=block.corner)
    room = (width + more - 2 * wall, height - 2 * wall)
    bore = rectangle(*room, centre=(block.opens * more / 2, 0.0), radius=max(0.0, block.corner - wall))
    kept = cq.Solid.makeBox(*block.sizes).moved(cq.Location(cq.Vector(*block.low)))
    solid = slab(outside, [bore], long).intersect(kept).Solids()[0]
    return body(solid, name=keep_out.name, tolerance=TOLERANCE).placed(matrix(block.place))


def _tube(keep_out: KeepOut, start: Vec, end: Vec, od: float) -> Body:
    """A rod or a tube as drawn outside: hollow only where a wall is typed."""
    way = sub(end, start)
    solid = cq.Solid.makeCylinder(od / 2, length(way))
    if keep_out.tube_wall is not None:
        solid = solid.cut(cq.Solid.makeCylinder(od / 2 - keep_out.tube_wall, length(way))).Solids()[0]
    up = (0.0, 0.0, 1.0) if math.hypot(way[0], way[1]) > 1e-6 * length(way) else (1.0, 0.0, 0.0)
    return body(solid, name=keep_out.name, tolerance=TOLERANCE).placed(matrix(Place(start, way, up)))


def _mesh(keep_out: KeepOut, path: Path) -> Body:
    found = scan_files.read(path, unit=keep_out.unit or "mm", named=f"mesh = {keep_out.mesh}")
    mesh = found.corners, found.triples
    made = body(mesh, name=keep_out.name, scanned=keep_out.scanned, doubts=found.notes)
    return made.placed(matrix(_typed_place(keep_out)))


def _step(keep_out: KeepOut, path: Path) -> Body:
    shape, doubts = step_files.read(path, named=f"step = {keep_out.step}", tolerance=TOLERANCE)
    made = body(shape, name=keep_out.name, tolerance=TOLERANCE, doubts=doubts)
    return made.placed(matrix(_typed_place(keep_out)))


def _typed_place(keep_out: KeepOut) -> Place:
    """Where the file of a keep-out stands."""
    at = (0.0, 0.0, 0.0) if keep_out.at is None else keep_out.at
    axis = (0.0, 0.0, 1.0) if keep_out.axis is None else keep_out.axis
    return Place(at, axis, (0.0, 1.0, 0.0) if keep_out.up is None else keep_out.up)


def _file(key: str, name: str | None, beside: Path, *, endings: tuple[str, ...]) -> Path:
    path = beside / (name or "")
    if not path.is_file():
        raise InputError(f"{key} = {name}, no such file beside the bay file")
    if path.suffix.lower() not in endings:
        raise InputError(f"{key} = {name}, must end in {', '.join(endings)}")
    return path
