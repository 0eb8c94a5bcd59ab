"""Where the powertrain stands, its mass from its lumps, and what each half of a mount stands on.

Axes of ISO 8855: x forward, y left, z up. Roll is about x (left side up), pitch about y (nose down), yaw about z
(nose left). Turned first by roll, then pitch, then yaw, about the crank's point; then shifted. A bush's frame: z
the bush axis, y from the bush towards what that half is fixed to, square to the axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from brackets.bay.hung.block import ALONG as RUN
from brackets.bay.hung.block import Block, block_of, corner_way, corner_word
from brackets.bay.schema.asked import POWERTRAIN
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import LINK, Lump, Mount, Powertrain
from brackets.core.errors import InputError
from brackets.core.place import HERE, Place
from brackets.core.schema.links import CORNER
from brackets.core.tables.bush_rows import Bobbin
from brackets.core.vectors import Vec, add, cross, degrees_between, dot, length, scale, square_to, sub, unit

if TYPE_CHECKING:
    from brackets.model.moments import Mass


@lru_cache(maxsize=64)
def turn(roll: float, pitch: float, yaw: float) -> Place:
    """The turn by roll, then pitch, then yaw, degrees."""
    r, p, y = (math.radians(a) for a in (roll, pitch, yaw))
    about_x = Place(axis=(0.0, -math.sin(r), math.cos(r)), up=(0.0, math.cos(r), math.sin(r)))
    about_y = Place(axis=(math.sin(p), 0.0, math.cos(p)), up=(0.0, 1.0, 0.0))
    about_z = Place(axis=(0.0, 0.0, 1.0), up=(-math.sin(y), math.cos(y), 0.0))
    return about_z @ about_y @ about_x


def place_of(powertrain: Powertrain) -> Place:
    """Placement of the powertrain side relative to where it was typed."""
    turns = powertrain.place_roll, powertrain.place_pitch, powertrain.place_yaw
    return turned_about(powertrain.crank_at, turns, powertrain.place_at)


def turned_about(crank: Vec, turns: Vec, shift: Vec) -> Place:
    """The place of what is turned by roll, pitch, yaw, degrees, about a point, and then shifted, mm."""
    turned = turn(*turns)
    return Place(add(sub(crank, turned.direction(crank)), shift), turned.axis, turned.up)


def lump_mass(lump: Lump) -> Mass:
    """A lump as a solid box of its size."""
    from brackets.model.moments import Mass

    a, b, c = (s * s / 12 * lump.mass for s in lump.size)
    return Mass(kg=lump.mass, centroid=lump.at, inertia=((b + c, 0.0, 0.0), (0.0, a + c, 0.0), (0.0, 0.0, a + b)))


def mass_of(bay: Bay) -> Mass | None:
    """All lumps as one body at the powertrain's placement; None where there are none."""
    if not bay.lumps:
        return None
    masses = [lump_mass(lump) for lump in bay.lumps]
    whole = masses[0]
    for mass in masses[1:]:
        whole = whole + mass
    return whole.moved(place_of(bay.powertrain))


def about(bay: Bay) -> Vec:
    """The point the powertrain rocks about, mm."""
    mass = mass_of(bay)
    if bay.powertrain.moves_about == "crank" or mass is None:
        return place_of(bay.powertrain).point(bay.powertrain.crank_at)
    x, y, z = (float(v) for v in mass.centroid)
    return (x, y, z)


def axle_torque(powertrain: Powertrain) -> float:
    """First-gear torque about what it acts on, Nm: the axle for a transaxle, the crank's axis otherwise."""
    final = powertrain.final if powertrain.layout == "transaxle" else 1.0
    return powertrain.torque * powertrain.first * final


def traction_cap(powertrain: Powertrain) -> float | None:
    """Largest axle torque the tyres pass on, Nm, or None where the file does not say."""
    if powertrain.traction_tyre_radius is None:
        return None
    return powertrain.traction_tyre_radius / 1000 * powertrain.traction_driven_load * powertrain.traction_grip


def firing(powertrain: Powertrain) -> float:
    """Firing frequency at idle, Hz."""
    per_turn = powertrain.cylinders / (powertrain.strokes / 2)
    return powertrain.idle / 60 * per_turn


ALONG = 0.05
"""Least cosine between a rail and the bush axis for ears to stand across it."""

STEEP = math.sqrt(0.5)
"""Cosine of 45 degrees: a face that is turned further away than that is not what a foot stands on."""

LEVEL = 1e-9
"""Slope of a face below which it is rounding."""


@dataclass(frozen=True, kw_only=True)
class MountFrame:
    """The frame of one half of a mount, and what its rail gives a recipe, by link."""

    frame: Place
    values: dict[str, float | str]


def mount_frame(bay: Bay, mount: Mount, side: str) -> MountFrame:
    """Frame of the half of a mount on `side`; of a bobbin's end its z is from the part's flat into the bobbin."""
    if side == LINK:
        return MountFrame(frame=Place(mount.at, mount.axis, any_up(unit(mount.axis))), values={})
    row = bay.bush_of(mount)
    axis = scale(mount.axis, -1.0) if isinstance(row, Bobbin) and side == POWERTRAIN else mount.axis
    mount = replace(mount, at=bay.centre(mount, side), axis=axis)
    onto = getattr(mount, f"{side}_onto")
    keep_out = None if onto is None else bay.keep_out_by_name[onto]
    moved = place_of(bay.powertrain) if keep_out is not None and keep_out.side == "powertrain" else HERE
    toward, corner = getattr(mount, f"{side}_toward"), getattr(mount, f"{side}_corner")
    return frame_on(mount, keep_out, toward, side_place=moved, corner=corner)


def frame_on(
    mount: Mount, onto: KeepOut | None, toward: Vec | None, *, side_place: Place, corner: str | None = None
) -> MountFrame:
    """The frame at the bush, and what the rail gives. `side_place` moves the keep-out to where its side stands;
    `corner` names the corner of a rail that ears stand astride.

    Raises InputError where no direction is given and none follows, or the rail lies the wrong way.
    """
    axis = unit(mount.axis)
    if onto is None:
        up = toward if toward is not None else any_up(axis)
        return MountFrame(frame=Place(mount.at, axis, up), values={})
    if corner is not None:
        return _on_corner(mount, onto, corner, axis, toward=toward, side_place=side_place)
    if onto.tube_from is not None and onto.tube_to is not None and onto.tube_od is not None:
        start, end = side_place.point(onto.tube_from), side_place.point(onto.tube_to)
        return _on_tube(mount, onto, axis, start, unit(sub(end, start)))
    block = block_of(onto)
    if block is not None:
        return _on_block(mount, onto, block, axis, toward=toward, side_place=side_place)
    raise InputError(
        f"mount {mount.name}: onto = {onto.name}, a tube, a rail or a box: a mesh has no axis to stand on;"
        " give toward and the recipe's own values"
    )


def any_up(axis: Vec) -> Vec:
    """Straight up, or forward where the axis is upright."""
    return (0.0, 0.0, 1.0) if abs(axis[2]) < 0.9 else (1.0, 0.0, 0.0)


def _on_tube(mount: Mount, onto: KeepOut, axis: Vec, start: Vec, way: Vec) -> MountFrame:
    along = dot(way, axis)
    if abs(along) < ALONG:
        raise InputError(
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
        "rail reach": reach,
        "rail seat": "round",
        "rail od": float(onto.tube_od or 0.0),
        "rail slope": math.degrees(math.atan2(local[1], local[2])),
        "rail side angle": math.degrees(math.atan2(local[0], local[2])),
        "rail lean": 0.0,
        "rail offset": 0.0,
    }
    return MountFrame(frame=frame, values=values)


def _on_block(
    mount: Mount, onto: KeepOut, block: Block, axis: Vec, *, toward: Vec | None, side_place: Place
) -> MountFrame:
    """On the face of a box or rail that looks at the bush, or the one that `toward` points at.

    y of the frame is `toward`, without it as square to the face as the bush axis lets it be: then nothing leans.
    """
    own = side_place @ block.place
    faces = list(_outside_of(block, own, mount.at))
    faces = [face for face in faces if abs(dot(face.inward, axis)) < STEEP]
    give, within = "give toward", "square to its axis"
    if toward is not None:
        way = unit(square_to(toward, axis))
        faces = [face for face in faces if dot(unit(square_to(face.inward, axis)), way) > STEEP]
        give, within = "give another toward", "it"
    if len(faces) != 1:
        what = "no face of it looks" if not faces else f"{len(faces)} faces of it look"
        raise InputError(
            f"mount {mount.name}: onto = {onto.name}, {give}: {what} at the bush within 45 deg of {within}"
        )
    (face,) = faces
    frame = Place(mount.at, axis, face.inward if toward is None else toward)
    across, down, along = frame.local_direction(face.inward)
    return MountFrame(
        frame=frame,
        values={
            "rail reach": face.gap / down,
            "rail seat": "flat",
            "rail slope": _degrees(-along, down),
            "rail lean": _degrees(-across, down),
            "rail offset": 0.0,
        },
    )


NEARER = 10.0
"""Degrees by which a corner must lie nearer to its name than the next, so that no other is meant."""


def _on_corner(
    mount: Mount, onto: KeepOut, corner: str, axis: Vec, *, toward: Vec | None, side_place: Place
) -> MountFrame:
    """Astride the corner of a closed rail. y of the frame is `toward`, without it from the bush straight to the
    corner's sharp edge, square to the bush axis."""
    where, block = f"mount {mount.name}: corner = {corner}", block_of(onto)
    if block is None or not block.is_rail or block.opens or block.corner <= 0:
        what = "a channel" if block is not None and block.opens else "nothing of the kind"
        if block is not None and block.is_rail and not block.opens:
            what = "a rail whose corner is not typed: measure its radius and type corner"
        raise InputError(
            f"{where}, of a square or rectangular rail with a corner radius: {onto.name} is {what}"
        )
    own = side_place @ block.place
    at, way = own.local(mount.at), own.axis if dot(own.axis, axis) > 0 else scale(own.axis, -1.0)
    along = dot(way, axis)
    if along < STEEP:
        raise InputError(
            f"{where}, with a bush axis within 45 deg of the rail: {onto.name} runs"
            f" {math.degrees(math.acos(along)):.0f} deg from it"
        )
    signs = _corner_meant(own, corner)
    if signs is None:
        found = [corner_word(own.direction((x, y, 0.0))) for x in (-1.0, 1.0) for y in (-1.0, 1.0)]
        raise InputError(f"{where}, one of {', '.join(sorted(found))}: what the corners of {onto.name} are called")
    half = block.high[0], block.high[1]
    gaps = [sign * at[i] - half[i] for i, sign in enumerate(signs)]
    if min(gaps) <= 0:
        raise InputError(
            f"{where}, that looks at the bush: the bush is {-min(gaps):.1f} mm short of being past both faces of"
            f" {onto.name} that meet there; a face bears it (no corner), or another corner"
        )
    edge = own.point((signs[0] * half[0], signs[1] * half[1], 0.0))
    off = sub(edge, mount.at)
    here = sub(off, scale(way, dot(off, axis) / along))
    frame = Place(mount.at, axis, here if toward is None else toward)
    right, reach, _ = frame.local(add(mount.at, here))
    run = frame.local_direction(way)
    down = unit(square_to((0.0, 1.0, 0.0), run))
    middle = frame.local_direction(own.direction((-signs[0], -signs[1], 0.0)))
    return MountFrame(
        frame=frame,
        values={
            "rail reach": reach,
            "rail seat": CORNER,
            "rail slope": _degrees(run[1], run[2]),
            "rail side angle": _degrees(run[0], run[2]),
            "rail lean": _degrees(-dot(middle, cross(down, run)), dot(middle, down)),
            "rail offset": 0.0 if abs(right) < LEVEL * length(here) else right,
            "rail corner radius": block.corner,
            "rail corner flat": min(block.sizes[:RUN]) - 2 * block.corner,
        },
    )


def _corner_meant(own: Place, corner: str) -> tuple[float, float] | None:
    """Signs of x and y of the corner of that name in a rail's own axes; None where two might be meant."""
    x, y, along = own.local_direction(corner_way(corner))
    if abs(along) > STEEP or abs(degrees_between((abs(x), abs(y), 0.0), (1.0, 1.0, 0.0))) > (90.0 - NEARER) / 2:
        return None
    return math.copysign(1.0, x), math.copysign(1.0, y)


def _degrees(rise: float, run: float) -> float:
    """The angle of a slope, degrees; what is rounding is none."""
    return 0.0 if abs(rise) < LEVEL * abs(run) else math.degrees(math.atan2(rise, run))


@dataclass(frozen=True, kw_only=True)
class _Face:
    """A face that a point lies outside of: `gap` mm off it, and the way into it."""

    gap: float
    inward: Vec


def _outside_of(block: Block, own: Place, spot: Vec) -> Iterator[_Face]:
    at = own.local(spot)
    for i in range(3):
        for sign, level in ((-1.0, block.low[i]), (1.0, block.high[i])):
            gap = sign * (at[i] - level)
            local = [0.0, 0.0, 0.0]
            local[i] = -sign
            if gap > 0:
                yield _Face(gap=gap, inward=own.direction((local[0], local[1], local[2])))
