"""Is there room for it: a bolt drawn straight out, a socket put on, a spanner swung, among all that is fitted.

A tool's frame: origin the middle of the face that head or nut bears on, z out of the work along the bolt.
mm, degrees.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Generic, TypeVar

import numpy as np

from brackets.bay.hung.mount_frames import any_up
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody, matrix
from brackets.clearance import tools
from brackets.clearance.bodies import Body, body
from brackets.clearance.gaps import by_triangles, gap, settled
from brackets.clearance.legs import straight
from brackets.clearance.paths import path
from brackets.clearance.places import Array
from brackets.core.kept import keeps
from brackets.core.place import Place
from brackets.core.tables.fasteners import RingSpanner, Socket, ring_spanner, socket
from brackets.core.vectors import Vec, add, scale, unit

TOLERANCE = 0.1
"""Bound of a tool's triangles, mm: tools differ by more."""

OVER = 1.0
"""mm that is looked further than a tool gets, over the bounds of its triangles."""

Thing = TypeVar("Thing", "BayBody", "_Near")

LIFT = 0.2
"""How far off the face that a head or nut bears on the room for it begins, mm: what stands up less is that face."""

CLOCKS = (*range(0, 360, 30), *range(15, 360, 30))
"""Places of the handle that are tried, degrees: a twelve-point ring goes on every 30, a nut may stand between."""


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A bolt drawn straight out: whether it comes, else how far, mm of `length`, and what it meets first, `by`.

    `meets`: everything that stands in its way, near or far; `held` those of them that it holds together, which are
    there before it, and `keep_outs` those that the bay file types as they stand. `stand`: LIFT off the face that
    its head bears on, z the way out."""

    stand: Place
    out: bool
    length: float
    free: float
    by: str | None = None
    meets: tuple[str, ...] = ()
    held: tuple[str, ...] = ()
    keep_outs: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Reached:
    """One end of a bolt: what stops a socket (nothing: it goes on), and a place of the handle, degrees, from which
    a ring spanner that goes on swings as far as it must (None: nowhere; then what stops it). `stand`: the frame the
    tools were tried in, LIFT off the face; `height`: mm they are lifted over, of the head, or of nut and tip."""

    stand: Place
    height: float
    end: str
    socket_by: tuple[str, ...]
    clock: float | None
    spanner_by: tuple[str, ...]
    socket: Socket
    spanner: RingSpanner

    @property
    def ok(self) -> bool:
        """Whether a socket or a spanner reaches it."""
        return not self.socket_by or self.clock is not None


class Fitted(Generic[Thing]):
    """Bodies of the bay with their boxes, so that many bolts and tools can be tried against them quickly."""

    def __init__(self, all_things: Sequence[Thing]) -> None:
        self.things: tuple[Thing, ...] = tuple(all_things)
        boxes = np.array([thing.body.box for thing in all_things]).reshape(-1, 2, 3)
        self.low: Array = boxes[:, 0]
        self.high: Array = boxes[:, 1]

    def near(self, room: Array, but: Sequence[str] = ()) -> list[Thing]:
        """Bodies whose boxes meet `room`, (2, 3) mm, lowest and highest corner; not those in `but`."""
        meet = np.all((self.low <= room[1]) & (self.high >= room[0]), axis=1)
        return [self.things[i] for i in np.flatnonzero(meet) if self.things[i].name not in but]

    def in_the_way(self, of: Body, but: Sequence[str] = ()) -> tuple[str, ...]:
        """Names of the bodies that the body `of` meets; those named in `but` are left out."""
        return tuple(thing.name for thing in self.near(of.box, but) if _meets(of, thing.body))


@keeps("tool meets")
def _meets(a: Body, b: Body) -> bool:
    """Whether a tool meets a body: triangles that cross are enough, as no tool is known to a tenth of a mm."""
    loose, near = by_triangles(a, b)
    return near.distance == 0 or settled(a, b, loose, near, cap=0.0).state not in ("far", "clear")


def drawn(
    fitted: Fitted[BayBody],
    at: Vec,
    way: Vec,
    *,
    length: float,
    head_od: float,
    head_height: float,
    but: Sequence[str] = (),
    holds: Sequence[str] = (),
) -> Drawn:
    """Whether a bolt of `length` mm with its head bearing at `at` comes straight out along `way`.

    What it `holds` is in its way only where the two share room, however little; they may touch."""
    bears = _lifted(at, way)
    stand = matrix(bears)
    room = _withdrawal(length - LIFT, head_od, head_height).placed(stand)
    there = {thing.name: thing for thing in fitted.things}
    names = tuple(
        name
        for name in fitted.in_the_way(room, but)
        if name not in holds or gap(room, there[name].body).state in ("hit", "inside")
    )
    if not names:
        return Drawn(stand=bears, out=True, length=length, free=length)
    head = _head(head_od, head_height - LIFT).placed(stand)
    found = path(head, [there[name].body for name in names], [straight(scale(unit(way), length))])
    held = tuple(name for name in names if name in holds)
    if found.out and not held:
        return Drawn(stand=bears, out=True, length=length, free=length)
    return Drawn(
        stand=bears,
        out=False,
        length=length,
        free=found.legs[0].free,
        by=names[0] if found.hits is None else found.hits[1],
        meets=names,
        held=held,
        keep_outs=tuple(name for name in names if there[name].what == "keep-out"),
    )


def reached(
    fitted: Fitted[BayBody],
    bay: Bay,
    end: str,
    at: Vec,
    way: Vec,
    *,
    across_flats: float,
    height: float,
    but: Sequence[str],
) -> Reached:
    """Whether a socket goes on the head or nut bearing at `at`, `height` mm high, and a spanner swings round it."""
    own_socket, own_spanner = socket_of(bay, across_flats), spanner_of(bay, across_flats)
    tools_there = (_socket(own_socket, height), _ring(own_spanner, height), _spanner(own_spanner))
    reach = max(float(np.linalg.norm(one.corners, axis=1).max()) for one in tools_there) + LIFT + OVER
    room = np.array([np.subtract(at, reach), np.add(at, reach)])
    near = tuple(_Near(thing.name, thing.body) for thing in fitted.near(room, but))
    return _reached(near, end, own_socket, own_spanner, _lifted(at, way), height)


@dataclass(frozen=True)
class _Near:
    """Of a body of the bay what a tool meets."""

    name: str
    body: Body


@keeps("end reached")
def _reached(
    near: tuple[_Near, ...], end: str, own_socket: Socket, own_spanner: RingSpanner, at: Place, height: float
) -> Reached:
    """The same among the bodies that any of the tools may meet, in their order."""
    stand, fitted = matrix(at), Fitted(near)
    clock, stopped = None, fitted.in_the_way(_ring(own_spanner, height).placed(stand))
    if not stopped:
        clock, stopped = _swings(fitted, own_spanner, stand)
    return Reached(
        stand=at,
        height=height,
        end=end,
        socket_by=fitted.in_the_way(_socket(own_socket, height).placed(stand)),
        clock=clock,
        spanner_by=stopped,
        socket=own_socket,
        spanner=own_spanner,
    )


def _swings(
    fitted: Fitted[_Near], tool: RingSpanner, stand: list[list[float]]
) -> tuple[float | None, tuple[str, ...]]:
    """The first place of the handle that is free, else everything that is in the way of some place."""
    whole = _spanner(tool)
    stopped: dict[str, int] = {}
    for clock in CLOCKS:
        turn = np.radians(clock)
        about = np.eye(4)
        about[:2, :2] = ((np.cos(turn), -np.sin(turn)), (np.sin(turn), np.cos(turn)))
        stands = whole.placed(about).placed(stand)
        by = next((t.name for t in fitted.near(stands.box) if _meets(stands, t.body)), None)
        if by is None:
            return float(clock), ()
        stopped[by] = stopped.get(by, 0) + 1
    return None, tuple(sorted(stopped, key=lambda name: (-stopped[name], name)))


def frame(at: Vec, way: Vec) -> Place:
    """A tool's frame on a head or nut."""
    return Place(at, way, any_up(unit(way)))


def _lifted(at: Vec, way: Vec) -> Place:
    """The frame of what must not touch the face that a head or nut bears on without a washer."""
    return frame(add(at, scale(unit(way), LIFT)), way)


def socket_of(bay: Bay, across_flats: float) -> Socket:
    """The user's own socket for a hexagon, else the table's."""
    for row in bay.sockets:
        if abs(row.across_flats - across_flats) < 0.5:
            return Socket(
                across_flats=across_flats,
                od=row.od,
                length=row.length,
                drive_od=row.drive_od,
                reach=row.reach,
                source="the bay file",
            )
    return socket(across_flats)


def spanner_of(bay: Bay, across_flats: float) -> RingSpanner:
    """The user's own spanner for a hexagon, else the table's."""
    for row in bay.spanners:
        if abs(row.across_flats - across_flats) < 0.5:
            return RingSpanner(
                across_flats=across_flats,
                head=row.head,
                handle=row.handle,
                reach=row.reach,
                t=row.t,
                swing=row.swing,
                source="the bay file",
            )
    return ring_spanner(across_flats)


@cache
def _withdrawal(length: float, head_od: float, head_height: float) -> Body:
    shape = tools.withdrawal(length=length, head_od=head_od, head_height=head_height)
    return body(shape, name="bolt", tolerance=TOLERANCE)


@cache
def _head(head_od: float, head_height: float) -> Body:
    return body(tools.withdrawal(length=1e-3, head_od=head_od, head_height=head_height), name="bolt")


@cache
def _socket(tool: Socket, height: float) -> Body:
    """The socket on its way onto a head or nut: its own length and the height of what it must be lifted over."""
    shape = tools.socket(od=tool.od, length=tool.length + height - LIFT, drive_od=tool.drive_od, reach=tool.reach)
    return body(shape, name="socket", tolerance=TOLERANCE)


@cache
def _ring(tool: RingSpanner, height: float) -> Body:
    """The spanner's ring on its way over a head, or over a nut and what stands out of it."""
    return body(tools.socket(od=tool.head, length=tool.t + height - LIFT), name="spanner", tolerance=TOLERANCE)


@cache
def _spanner(tool: RingSpanner) -> Body:
    shape = tools.spanner(jaw_od=tool.head, handle=tool.handle, reach=tool.reach, t=tool.t - LIFT, angle=tool.swing)
    return body(shape, name="spanner", tolerance=TOLERANCE)
