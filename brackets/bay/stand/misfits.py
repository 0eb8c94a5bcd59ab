"""Where a part goes that is set by its bushes, and how far its seats are off what they sit on. mm, degrees."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.record import Bay, PartEntry
from brackets.bay.schema.standing import Mount
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, degrees_between, dot, length, scale, sub
from brackets.model.part import Part


@dataclass(frozen=True, kw_only=True)
class Misfit:
    """How far a seat of a part is off its mount or its boss: distance mm, angle between the axes degrees."""

    part: str
    seat: str
    mount: str
    off: float
    angle: float


def by_bushes(bay: Bay, mounts: Sequence[tuple[Mount, str]], part: Part) -> Place:
    """Where a part built in place must go so that its bushes sit in their mounts.

    One bush: it is shifted there. Two or more: halfway between the first two, along their line, axis to axis.
    """
    ours = [part.seat(getattr(mount, f"{side}_seat")).place for mount, side in mounts[:2]]
    theirs = [bay.centre(mount, side) for mount, side in mounts[:2]]
    if len(mounts) == 1:
        return Place(sub(theirs[0], ours[0].at))
    axis = mounts[0][0].axis
    own = scale(ours[0].axis, 1.0 if dot(ours[0].axis, axis) >= 0 else -1.0)
    stood_at, at = _between(theirs[0], theirs[1], axis), _between(ours[0].at, ours[1].at, own)
    return stood_at @ at.inverse()


def _between(a: Vec, b: Vec, axis: Vec) -> Place:
    """The frame halfway from a to b, along their line, y as near the bush's axis as can be."""
    return Place(scale(add(a, b), 0.5), sub(b, a), axis)


def misfits(bay: Bay, entry: PartEntry, part: Part) -> Iterator[Misfit]:
    """Of every bush seat of a placed part, and of every boss seat that has the name of a boss of the bay."""
    for mount, side in bay.mounts_of(entry.row.name):
        seat = part.seat(getattr(mount, f"{side}_seat"))
        turned = degrees_between(seat.place.axis, mount.axis)
        yield Misfit(
            part=entry.row.name,
            seat=seat.name,
            mount=mount.name,
            off=length(sub(seat.place.at, bay.centre(mount, side))),
            angle=min(turned, 180.0 - turned),
        )
    place = place_of(bay.powertrain)
    for seat in part.seats:
        boss = bay.boss_by_name.get(seat.name) if seat.kind == "boss" else None
        if boss is not None:
            yield Misfit(
                part=entry.row.name,
                seat=seat.name,
                mount=f"boss {boss.name}",
                off=length(sub(seat.place.at, place.point(boss.at))),
                angle=degrees_between(seat.place.axis, place.direction(scale(boss.normal, -1.0))),
            )
