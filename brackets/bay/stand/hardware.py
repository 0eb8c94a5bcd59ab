"""What is bought for a mount and where it stands: both halves of its bush, and the bolt through its ears."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from brackets.bay.hung.mount_frames import mount_frame
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Mount
from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.schema.checked import Checked
from brackets.core.schema.reading import taking, values
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.bush_rows import Bobbin, Bush
from brackets.core.tables.fasteners import nut
from brackets.core.vectors import Vec, add, dot, length, scale, sub, unit
from brackets.library.hardware import bolted, bush_inner, bush_outer
from brackets.model.part import Part
from brackets.model.tube import Turned
from brackets.survey.bolt_lengths import Through, choose_through, through

OF_MOUNT = ("bush", "sleeve", "end", "bolt")
"""What a mount brings along: of a sleeve bush its outside, sleeve and bolt; of a bobbin its rubber, its two ends,
and a nut or a bolt at either. Each is called by the mount's name and more."""


@dataclass(frozen=True, kw_only=True)
class Bought:
    """A part of a bush or a bolt or nut in the bay; `what` one of OF_MOUNT."""

    name: str
    side: str
    mount: str
    what: str
    part: Part


def bush_of(bay: Bay, mount: Mount) -> Bush | Bobbin:
    """The bush row of a mount: the bay's own, else a shipped SAMPLE row."""
    return bay.bush_of(mount)


PLAY = 0.5
"""Play of a sleeve between its ears where the mount names none, mm: common practice, no source."""


def play_of(mount: Mount) -> float:
    """How much further apart the ears of a mount are to be than its sleeve is long, mm."""
    return PLAY if mount.play is None else mount.play


@dataclass(frozen=True, kw_only=True)
class MountBolt:
    """The bolt through one mount: its row, mm of metal it holds and the ear by the nut; where its head bears on the
    ear and the way from there to the head; the washers asked for under head and nut; how it sits as typed, and what
    would fit from stock (None: nothing)."""

    mount: str
    row: Bolt
    grip: float
    ear_t: float
    face: Vec
    head: Vec
    nut_kind: str | None
    nut_height: float | None
    washers: tuple[int, int]
    typed: Through | None
    stock: Through | None

    @property
    def drawn(self) -> Through | None:
        """As typed, else as it comes from stock."""
        return self.stock if self.typed is None else self.typed


def mount_bolt(bay: Bay, mount: Mount, parts: Mapping[str, Checked]) -> MountBolt | None:
    """The bolt of a mount whose ears' values say how long its grip is; None for other parts, and of a bobbin, which
    has none through it. `parts` by name."""
    ears, bush = parts.get(getattr(mount, f"{mount.ears}_part") or ""), bush_of(bay, mount)
    if ears is None or isinstance(bush, Bobbin):
        return None
    spacing, t = taking(ears, "ear spacing"), values(ears).get("t")
    if spacing is None or not (isinstance(inside := spacing[1], float) and isinstance(t, float)):
        return None
    row = bolt(mount.bolt_size or bush.bolt)
    grip = inside + 2 * t
    kind = None if mount.bolt_nut == "none" else mount.bolt_nut
    height = None if kind is None else nut(row, kind).height
    washers = (int(mount.bolt_washers[0]), int(mount.bolt_washers[1]))
    head, typed = head_end(mount), None
    if mount.bolt_length is not None:
        typed = through(row, mount.bolt_length, grip=grip, nut_height=height, washers=washers)
    return MountBolt(
        mount=mount.name,
        row=row,
        grip=grip,
        ear_t=t,
        face=add(bay.centre(mount, mount.ears), scale(head, grip / 2)),
        head=head,
        nut_kind=kind,
        nut_height=height,
        washers=washers,
        typed=typed,
        stock=choose_through(row, grip=grip, nut_height=height, washers=washers),
    )


def cup_of(mount: Mount, made: Mapping[str, Part]) -> Turned | None:
    """What a mount's bush is pressed into; None where its part has none, or is none of `made`, by name."""
    part = made.get(mount.holder or "")
    if part is None:
        return None
    cups = [piece for piece in part.pieces if isinstance(piece, Turned) and piece.bush is not None]

    def off(cup: Turned) -> float:
        return length(sub(cup.place.point((0.0, 0.0, cup.length / 2)), mount.at))

    return min(cups, key=off, default=None)


def bought_of(
    bay: Bay, mount: Mount, parts: Mapping[str, Checked], made: Mapping[str, Part] | None = None
) -> Iterator[Bought]:
    """Halves of a mount's sleeve bush, and its bolt where its length is known; `parts`: values of the parts, by
    name, `made` the parts themselves where they stand. Nothing of a bobbin."""
    row = bush_of(bay, mount)
    if isinstance(row, Bobbin):
        return
    frame = mount_frame(bay, mount, mount.ears).frame

    def thing(what: str, side: str, part: Part, place: Place) -> Bought:
        return Bought(name=f"{mount.name} {what}", side=side, mount=mount.name, what=what, part=part.placed(place))

    in_cup = Place(mount.at, frame.axis, frame.up)
    cup = cup_of(mount, {} if made is None else made)
    yield thing("bush", mount.cup, bush_outer(row, cup=0.0 if cup is None else cup.length), in_cup)
    yield thing("sleeve", mount.ears, bush_inner(row), in_cup)
    through_it = mount_bolt(bay, mount, parts)
    if through_it is None or through_it.drawn is None:
        return
    body = bolted(
        through_it.row,
        length=through_it.drawn.length,
        grip=through_it.grip,
        washers=through_it.drawn.washers,
        nut_kind=through_it.nut_kind,
    )
    yield thing("bolt", mount.ears, body, Place(through_it.face, scale(through_it.head, -1.0), frame.up))


HEADS: Mapping[str, Vec] = {
    "front": (1.0, 0.0, 0.0),
    "rear": (-1.0, 0.0, 0.0),
    "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0),
    "top": (0.0, 0.0, 1.0),
    "bottom": (0.0, 0.0, -1.0),
}


SQUARE = 0.1
"""Cosine of the bush axis and a direction below which the axis has no end that way: 84 degrees and more."""


def head_end(mount: Mount) -> Vec:
    """Unit vector along the bush axis to the bolt's head: the typed end, else the first of front, left and top that
    the axis has. InputError where the typed word says neither end."""
    axis = unit(mount.axis)
    ends = [word for word, way in HEADS.items() if abs(dot(axis, way)) >= SQUARE]
    typed = mount.bolt_head
    if typed is not None and typed not in ends:
        raise InputError(f"bolt head = {typed}, one of {', '.join(ends)}: the bush axis has no {typed} end")
    along = dot(axis, HEADS[ends[0] if typed is None else typed])
    return axis if along > 0 else scale(axis, -1.0)
