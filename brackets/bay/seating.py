"""What a part stands on, worked out from the bay: reach, slope and side angle to a rail, or the flat of a box.

The bush's frame: z the bush axis, y from the bush towards what that half is fixed to, square to the axis.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brackets.bay.powertrain import place_of
from brackets.bay.record import Bay
from brackets.bay.rows import KeepOut, Mount
from brackets.errors import OutOfRange
from brackets.pieces import HERE, Place, Vec
from brackets.pieces.vectors import cross, dot, length, scale, square_to, sub, unit

ALONG = 0.05
"""Least cosine between a rail and the bush axis for ears to stand across it."""

SQUARE_ON = 1e-6
"""How far a box face may be from square to the direction, as a sine."""


@dataclass(frozen=True, kw_only=True)
class Stand:
    """Where one half of a mount stands: its frame, and the values worked out for its recipe."""

    frame: Place
    values: dict[str, float | str]


def half(bay: Bay, mount: Mount, side: str) -> Stand:
    """Where one half of a mount stands."""
    onto = getattr(mount, f"{side}_onto")
    keep_out = None if onto is None else bay.keep_out_by_name[onto]
    moved = place_of(bay.powertrain) if keep_out is not None and keep_out.side == "powertrain" else HERE
    return stand(mount, keep_out, getattr(mount, f"{side}_toward"), side_place=moved)


def stand(mount: Mount, onto: KeepOut | None, toward: Vec | None, *, side_place: Place) -> Stand:
    """The frame at the bush and the seat's values. `side_place` moves the keep-out where its side stands.

    Raises OutOfRange where no direction is given and none follows, or the rail lies the wrong way.
    """
    axis = unit(mount.axis)
    if onto is None:
        up = toward if toward is not None else any_up(axis)
        return Stand(frame=Place(mount.at, axis, up), values={})
    if onto.tube_from is not None and onto.tube_to is not None and onto.tube_od is not None:
        start, end = side_place.point(onto.tube_from), side_place.point(onto.tube_to)
        return _on_tube(mount, onto, axis, start, unit(sub(end, start)))
    if onto.box_from is not None and onto.box_to is not None:
        return _on_box(mount, onto, (onto.box_from, onto.box_to), axis, toward=toward, side_place=side_place)
    raise OutOfRange(
        f"mount {mount.name}: onto = {onto.name}, a tube or a box: a mesh has no axis to stand on;"
        " give toward and the recipe's own values"
    )


def any_up(axis: Vec) -> Vec:
    """Straight up, or forward where the axis is upright."""
    return (0.0, 0.0, 1.0) if abs(axis[2]) < 0.9 else (1.0, 0.0, 0.0)


def _on_tube(mount: Mount, onto: KeepOut, axis: Vec, start: Vec, way: Vec) -> Stand:
    along = dot(way, axis)
    if abs(along) < ALONG:
        raise OutOfRange(
            f"mount {mount.name}: onto = {onto.name}, a tube that runs with the bush axis: this one lies across it"
        )
    if along < 0:
        way, along = scale(way, -1.0), -along
    off = sub(start, mount.at)
    here = sub(off, scale(way, dot(off, axis) / along))
    reach = length(here)
    frame = Place(mount.at, axis, here)
    local = frame.local_direction(way)
    values: dict[str, float | str] = {
        "reach": reach,
        "rail_od": float(onto.tube_od or 0.0),
        "slope": math.degrees(math.atan2(local[1], local[2])),
        "side_angle": math.degrees(math.atan2(local[0], local[2])),
        "offset": 0.0,
    }
    return Stand(frame=frame, values=values)


def _on_box(
    mount: Mount, onto: KeepOut, corners: tuple[Vec, Vec], axis: Vec, *, toward: Vec | None, side_place: Place
) -> Stand:
    """On the face of the box that looks at the bush, or the one that `toward` says."""
    own = side_place @ box_place(onto)
    at = own.local(mount.at)
    faces = []
    for i in range(3):
        for sign, face in ((-1.0, corners[0][i]), (1.0, corners[1][i])):
            gap = sign * (at[i] - face)
            local: list[float] = [0.0, 0.0, 0.0]
            local[i] = -sign
            inward = own.direction((local[0], local[1], local[2]))
            if gap > 0 and abs(dot(inward, axis)) < SQUARE_ON:
                faces.append((gap, inward))
    if toward is not None:
        t = unit(square_to(toward, axis))
        faces = [f for f in faces if length(cross(f[1], t)) < SQUARE_ON and dot(f[1], t) > 0]
    if len(faces) != 1:
        what = "no face of it looks" if not faces else f"{len(faces)} faces of it look"
        raise OutOfRange(
            f"mount {mount.name}: onto = {onto.name}, give toward: {what} at the bush square to its axis"
        )
    gap, inward = faces[0]
    return Stand(frame=Place(mount.at, axis, inward), values={"reach": gap, "offset": 0.0})


def box_place(keep_out: KeepOut) -> Place:
    """The own axes of a box that is turned; the bay's where it is not."""
    at = (0.0, 0.0, 0.0) if keep_out.box_at is None else keep_out.box_at
    axis = (0.0, 0.0, 1.0) if keep_out.box_axis is None else keep_out.box_axis
    up = keep_out.box_up
    if up is None:
        up = (0.0, 1.0, 0.0) if abs(unit(axis)[1]) < 0.9 else (1.0, 0.0, 0.0)
    return Place(at, axis, up)
