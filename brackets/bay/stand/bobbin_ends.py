"""How a bobbin's ends are fastened: a nut on the stud, or a bolt into the tapped hole, behind the part's flat.

The part has a clear hole where its seat is; what it clamps is the metal round that hole. mm, bay axes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from brackets.bay.hung.mount_frames import any_up, mount_frame
from brackets.bay.schema.asked import POWERTRAIN
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import SIDES, Mount
from brackets.bay.stand.hardware import Bought
from brackets.bay.stand.layers import PULLED, holes_on
from brackets.core.place import Place
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.bush_rows import Bobbin, BobbinEnd
from brackets.core.tables.fasteners import Engagement, engagement, nut
from brackets.core.vectors import Vec, add, scale, unit
from brackets.library.hardware import bobbin_end, bobbin_rubber, bolted, nut_on
from brackets.model.part import Part
from brackets.survey.bolt_lengths import BOTTOM, THREADS_OUT, Tapped, choose_tapped, tapped

METAL = "steel"
"""What the hole of a tapped end is in."""


@dataclass(frozen=True, kw_only=True)
class _AtEnd:
    """What holds one end of a bobbin to the part of one side: the row of its thread, mm of the part's metal that it
    clamps, where its washers bear and the way out from there, along the bobbin's axis."""

    mount: str
    side: str
    part: str
    row: Bolt
    grip: float
    face: Vec
    way: Vec
    washers: int

    @property
    def head_at(self) -> Vec:
        """The middle of the face that head or nut bears on: the washers' outer one."""
        return add(self.face, scale(self.way, self.washers * self.row.washer_t))

    @property
    def end(self) -> str:
        """Name of the bobbin's end among the bodies of the bay."""
        return end_name(self.mount, self.side)


@dataclass(frozen=True, kw_only=True)
class StudNut(_AtEnd):
    """A nut on a stud that stands `stud` mm out of its end plate."""

    stud: float
    nut_kind: str
    nut_height: float

    @property
    def name(self) -> str:
        """Its name among the bodies of the bay."""
        return f"{self.mount} {self.side} nut"

    @property
    def past(self) -> float:
        """mm of the stud past the face that the washers bear on."""
        return self.stud - self.grip

    @property
    def out(self) -> float:
        """mm of thread that stand out of the nut; less than nothing: the nut is not full."""
        return self.past - self.washers * self.row.washer_t - self.nut_height

    @property
    def asked(self) -> float:
        """mm that should."""
        return THREADS_OUT * self.row.pitch

    @property
    def made(self) -> Part:
        """Washers and nut where they stand."""
        whole = nut_on(self.row, washers=self.washers, nut_kind=self.nut_kind)
        return whole.placed(Place(self.face, self.way, any_up(self.way)))


@dataclass(frozen=True, kw_only=True)
class EndBolt(_AtEnd):
    """A bolt into a tapped end with `depth` mm of usable thread: how deep it must go in and why, how it sits as
    typed, and what from stock fits, None where nothing does between `shortest` and `longest`, under one washer."""

    depth: float
    needed: Engagement
    typed: Tapped | None
    stock: Tapped | None

    @property
    def name(self) -> str:
        """Its name among the bodies of the bay."""
        return f"{self.mount} {self.side} bolt"

    @property
    def drawn(self) -> Tapped | None:
        """As typed, else as it comes from stock."""
        return self.stock if self.typed is None else self.typed

    @property
    def shortest(self) -> float:
        return self.grip + self.row.washer_t + self.needed.least

    @property
    def longest(self) -> float:
        return self.grip + self.row.washer_t + self.depth - BOTTOM * self.row.pitch

    @property
    def made(self) -> Part | None:
        """Head, shank and washers where they stand; None where nothing fits."""
        if self.drawn is None:
            return None
        whole = bolted(
            self.row, length=self.drawn.length, grip=self.grip, washers=(self.washers, 0), nut_kind=None
        )
        back = scale(self.way, -1.0)
        return whole.placed(Place(self.face, back, any_up(back)))


def end_name(mount: str, side: str) -> str:
    """What the end plate and stud of a bobbin on one side are called among the bodies of the bay."""
    return f"{mount} {side} end"


def end_of(bobbin: Bobbin, mount: Mount, side: str) -> tuple[str, BobbinEnd]:
    """Which end of its row is on that side, and that end."""
    return ("first", bobbin.first) if mount.first_end == side else ("second", bobbin.second)


def end_fasteners(bay: Bay, mount: Mount, parts: Mapping[str, Part]) -> tuple[StudNut | EndBolt, ...]:
    """What holds the ends of a mount's bobbin; nothing for a sleeve bush, nor for a side without a part or whose
    part has no hole there. `parts`: as they stand, by name."""
    bobbin = bay.bobbin_of(mount)
    if bobbin is None:
        return ()
    found = (_fastener(bay, mount, bobbin, side, parts) for side in SIDES)
    return tuple(one for one in found if one is not None)


def seat_place(bay: Bay, mount: Mount, side: str) -> Place:
    """Where an end of a bobbin stands on the part of that side: z into the part."""
    frame = mount_frame(bay, mount, side).frame
    return Place(frame.at, scale(frame.axis, -1.0), frame.up)


def clamped(part: Part, place: Place, row: Bolt) -> float | None:
    """mm of a part's metal round its hole at a bobbin's end, `place`, from there; None where it has no hole for the
    thread there."""
    far = 0.0
    for hole in sorted(holes_on(part, place, row), key=lambda one: one.low):
        if abs(hole.low - far) <= PULLED and hole.high > far:
            far = hole.high
    return far or None


def _fastener(
    bay: Bay, mount: Mount, bobbin: Bobbin, side: str, parts: Mapping[str, Part]
) -> StudNut | EndBolt | None:
    part = parts.get(getattr(mount, f"{side}_part") or "")
    if part is None:
        return None
    row, place = bolt(bobbin.thread), seat_place(bay, mount, side)
    grip = clamped(part, place, row)
    if grip is None:
        return None
    way, name = unit(place.axis), str(getattr(mount, f"{side}_part"))
    face = add(place.at, scale(way, grip))
    end = end_of(bobbin, mount, side)[1]
    if end.stud is not None:
        return StudNut(
            mount=mount.name,
            side=side,
            part=name,
            row=row,
            grip=grip,
            face=face,
            way=way,
            washers=int(mount.bolt_washers[1]),
            stud=end.stud,
            nut_kind=mount.bolt_nut,
            nut_height=nut(row, mount.bolt_nut).height,
        )
    depth, needed, typed = end.tapped or 0.0, engagement(row, METAL), None
    stock = choose_tapped(row, grip=grip, depth=depth, least=needed.least)
    washers = int(mount.bolt_washers[0])
    if mount.bolt_length is not None:
        typed = tapped(
            row,
            mount.bolt_length,
            grip=grip,
            depth=depth,
            least=needed.least,
            washers=washers,
            full_thread=mount.bolt_length in row.screw_lengths,
        )
    elif stock is not None:
        washers = stock.washers
    return EndBolt(
        mount=mount.name,
        side=side,
        part=name,
        row=row,
        grip=grip,
        face=face,
        way=way,
        washers=washers,
        depth=depth,
        needed=needed,
        typed=typed,
        stock=stock,
    )


def bobbin_bought(bay: Bay, mount: Mount, parts: Mapping[str, Part]) -> Iterator[Bought]:
    """Rubber and ends of a mount's bobbin and what holds them; nothing of a sleeve bush.

    The rubber is told as if all of it went with the powertrain's end: no part of it goes further."""
    bobbin = bay.bobbin_of(mount)
    if bobbin is None:
        return
    axis = unit(mount.axis)
    along = axis if mount.first_end != POWERTRAIN else scale(axis, -1.0)
    stand = Place(mount.at, along, any_up(along))

    def thing(name: str, what: str, side: str, part: Part) -> Bought:
        return Bought(name=name, side=side, mount=mount.name, what=what, part=part)

    yield thing(f"{mount.name} bush", "bush", POWERTRAIN, bobbin_rubber(bobbin).placed(stand))
    for side in SIDES:
        made = bobbin_end(bobbin, end_of(bobbin, mount, side)[0]).placed(stand)
        yield thing(end_name(mount.name, side), "end", side, made)
    for one in end_fasteners(bay, mount, parts):
        body = one.made
        if body is not None:
            yield thing(one.name, "bolt", one.side, body)
