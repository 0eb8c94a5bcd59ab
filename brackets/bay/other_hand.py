"""The other hand of a part: what it takes from the part it mirrors, and the bay as that part would see it.

A part with `mirror_of` is built from the recipe and the values of the other, on its own bosses, bushes and rails.
The bay is mirrored in the centre plane, so that they lie on the side that the recipe is written for; the part is
built there like any other, and mirrored back as new pieces.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from brackets.mirror import Plane
from brackets.pieces import HERE, Place, Vec

if TYPE_CHECKING:
    from brackets.bay.record import Bay, PartEntry
    from brackets.bay.rows import Boss, KeepOut, Mount

OWN = ("name", "bosses", "at", "axis", "up", "side", "hand", "mirrored", "mirror_of")
"""Keys of a part that its other hand does not take from it."""


def with_other_hands(rows: Sequence[Mapping[str, object]]) -> list[Mapping[str, object]]:
    """The rows of parts as typed, those with `mirror_of` with the recipe and values of the part they name.

    What they say themselves stands. Values by the name of a boss, washers = { H4 = 3.5 }, go to the boss in the
    same place of their own list.
    """
    by_name = {name: row for row in rows if isinstance(name := row.get("name"), str)}
    found: list[Mapping[str, object]] = []
    for row in rows:
        of = row.get("mirror_of")
        other = by_name.get(of) if isinstance(of, str) else None
        if of is None or other is None or other is row:
            found.append(row if of is None else {"recipe": "", **row})
            continue
        names = dict(zip(_names(other), _names(row), strict=False))
        taken = {key: _renamed(value, names) for key, value in other.items() if key not in OWN}
        found.append({"recipe": "", **taken, **row})
    return found


def _names(row: Mapping[str, object]) -> list[str]:
    bosses = row.get("bosses", ())
    return [name for name in bosses if isinstance(name, str)] if isinstance(bosses, list | tuple) else []


def _renamed(value: object, names: Mapping[str, str]) -> object:
    if isinstance(value, Mapping):
        return {names.get(key, key): inner for key, inner in value.items()}
    return value


def reflected_bay(bay: Bay, plane: Plane) -> Bay:
    """The bay mirrored in `plane`, with the powertrain where it stands: bosses, mounts, boxes and tubes.

    Keep-outs that are meshes stay where they are: nothing is built on them.
    """
    from brackets.bay.powertrain import place_of

    place = place_of(bay.powertrain)
    still = replace(
        bay.powertrain, place_at=(0.0, 0.0, 0.0), place_roll=0.0, place_pitch=0.0, place_yaw=0.0
    )
    return replace(
        bay,
        powertrain=still,
        bosses=tuple(_boss(boss, place, plane) for boss in bay.bosses),
        mounts=tuple(_mount(mount, plane) for mount in bay.mounts),
        keep_outs=tuple(
            _keep_out(keep_out, place if keep_out.side == "powertrain" else HERE, plane)
            for keep_out in bay.keep_outs
        ),
    )


def reflected_entry(bay: Bay, entry: PartEntry, plane: Plane) -> PartEntry:
    """The part's entry in the mirrored bay. A typed place is where the mirror images of its origin, z and y lie.

    Of a place that is not typed the image of the other part's counts, where no boss or mount says where it stands.
    """
    row, of = entry.row, bay.part_by_name[entry.row.mirror_of or ""].row
    if row.at is None and (row.bosses or bay.mounts_of(row.name)):
        return entry
    at = of.at if row.at is None else plane.point(row.at)
    axis = of.axis if row.axis is None else plane.direction(row.axis)
    up = of.up if row.up is None else plane.direction(row.up)
    return replace(entry, row=replace(row, at=at, axis=axis, up=up))


def _boss(boss: Boss, place: Place, plane: Plane) -> Boss:
    return replace(
        boss, at=plane.point(place.point(boss.at)), normal=plane.direction(place.direction(boss.normal))
    )


def _mount(mount: Mount, plane: Plane) -> Mount:
    toward: dict[str, Any] = {
        key: None if getattr(mount, key) is None else plane.direction(getattr(mount, key))
        for key in ("chassis_toward", "powertrain_toward")
    }
    return replace(mount, at=plane.point(mount.at), axis=plane.direction(mount.axis), **toward)


def _keep_out(keep_out: KeepOut, place: Place, plane: Plane) -> KeepOut:
    def image(p: Vec) -> Vec:
        return plane.point(place.point(p))

    if keep_out.tube_from is not None and keep_out.tube_to is not None:
        return replace(keep_out, tube_from=image(keep_out.tube_from), tube_to=image(keep_out.tube_to))
    if keep_out.box_from is not None and keep_out.box_to is not None:
        from brackets.bay.seating import box_place

        own = place @ box_place(keep_out)
        (ax, ay, az), (bx, by, bz) = keep_out.box_from, keep_out.box_to
        return replace(
            keep_out,
            box_at=plane.point(own.at),
            box_axis=plane.direction(own.axis),
            box_up=plane.direction(own.up),
            box_from=(-bx, ay, az),
            box_to=(-ax, by, bz),
        )
    return keep_out
