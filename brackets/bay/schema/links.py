"""Links: parts with a bush at either end, one on the engine's side and one on the chassis side.

A mount has then the part of one side and, as its other half, the link; both mounts of a link say so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Mount
from brackets.core.schema.refused import Refused
from brackets.core.tables.bush_rows import Bush
from brackets.core.vectors import length, sub

LEAST = 1.0
"""mm that the two bush centres of a link are apart at least."""


@dataclass(frozen=True, kw_only=True)
class Link:
    """A link by its part's name, its mount on the chassis side and the one on the powertrain."""

    part: str
    chassis: Mount
    powertrain: Mount

    @property
    def apart(self) -> float:
        """mm from bush centre to bush centre, as typed."""
        return length(sub(self.powertrain.at, self.chassis.at))


def links_of(bay: Bay) -> tuple[Link, ...]:
    """Every link of a bay that `link_problems` has nothing to say of, in the order of its mounts."""
    found = []
    for part, mounts in _by_part(bay).items():
        by_side = {mount.sides[0]: mount for mount in mounts}
        if len(mounts) == 2 and len(by_side) == 2:
            found.append(Link(part=part, chassis=by_side["chassis"], powertrain=by_side["powertrain"]))
    return tuple(found)


def link_problems(bay: Bay, refused: Refused) -> Iterator[str]:
    """A line for every mount with a link whose halves make no sense, and for every link that does not reach from
    the chassis to the powertrain. `refused`: rows that are told of as wrong already."""
    for mount in bay.mounts:
        where = f"mount {mount.name}"
        if mount.link_part is not None and (mount.chassis_part is None) == (mount.powertrain_part is None):
            there = "neither" if mount.chassis_part is None else "both"
            yield (
                f"{where}: link part = {mount.link_part} and {there} of chassis and powertrain, one: what holds it"
            )
        elif mount.cup not in mount.sides:
            yield f"{where}: cup = {mount.cup}, {' or '.join(mount.sides)}: the halves that meet here"
        row, bobbin = bay.bushes.get(mount.bush), bay.bobbin_of(mount)
        if mount.link_part is not None and bobbin is not None:
            yield f"{where}: bush {bobbin.name}, kind = {bobbin.kind}, a sleeve bush: a link turns on its bolts"
        elif mount.link_part is not None and isinstance(row, Bush) and row.sleeve_offset:
            yield (
                f"{where}: bush {row.name}, sleeve_offset = {row.sleeve_offset:g} mm, 0 at a link:"
                " what an offset sleeve asks of its bushes is not worked out"
            )
    for part, mounts in _by_part(bay).items():
        where, names = f"part {part}", " and ".join(mount.name for mount in mounts)
        if len(mounts) < 2 and refused.any(Mount):  # its other mount may be one of them
            continue
        if len(mounts) != 2:
            yield f"{where}: link of {len(mounts)} mounts, {names}, two: one on the chassis, one on the powertrain"
            continue
        one, other = mounts
        if one.sides == other.sides:
            yield f"{where}: link of {names}, both on the {one.sides[0]}: one must be on the other side"
        if one.link_seat == other.link_seat:
            yield f"{where}: seat = {one.link_seat} at both {names}, a seat of its own at each: bushes of a link"
        if length(sub(one.at, other.at)) < LEAST:
            apart = length(sub(one.at, other.at))
            yield f"{where}: {names} = {apart:.1f} mm apart, {LEAST:g} or more: ends of a link"
        typed = bay.part_by_name[part].row if part in bay.part_by_name else None
        if typed is not None and (typed.at is not None or typed.bosses or typed.side is not None):
            yield f"{where}: at, bosses, side = given, none: a link of {names} stands by its two bushes"


def _by_part(bay: Bay) -> dict[str, list[Mount]]:
    found: dict[str, list[Mount]] = {}
    for mount in bay.mounts:
        if mount.link_part is not None:
            found.setdefault(mount.link_part, []).append(mount)
    return found
