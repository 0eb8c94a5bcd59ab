"""The room that a bolt, a socket and a spanner need, as shapes to be cleared like any other body.

Origin: the middle of the head's bearing face; z out of the work, along the bolt, away from the shank. mm, degrees.
Sizes are the caller's, from a table or measured; nothing is added to them.
"""

from __future__ import annotations

import math

import cadquery as cq

from brackets.core.errors import InputError, KernelFailed, OutOfRange

WIDE = 350.0
"""Degrees of the head that swing and handle may take up for something of its back to be left as an arc."""


def bolt(*, shank_od: float, length: float, head_od: float, head_height: float) -> cq.Solid:
    """The bolt where it sits: shank below z = 0, head (over its corners) above."""
    _sizes(shank_od=shank_od, length=length, head_od=head_od, head_height=head_height)
    profile = ((0, -length), (shank_od / 2, -length), (shank_od / 2, 0), (head_od / 2, 0))
    return _turned((*profile, (head_od / 2, head_height), (0, head_height)))


def withdrawal(*, length: float, head_od: float, head_height: float) -> cq.Solid:
    """All the room above the work that a bolt fills while it is drawn straight out, its tip just free."""
    _sizes(length=length, head_od=head_od, head_height=head_height)
    return cq.Solid.makeCylinder(head_od / 2, length + head_height)


def socket(
    *, od: float, length: float, drive_od: float | None = None, reach: float | None = None
) -> cq.Solid:
    """A socket over the head, and the extension bar behind it when its od and reach are given."""
    _sizes(od=od, length=length, **{} if drive_od is None else {"drive_od": drive_od})
    if (drive_od is None) != (reach is None):
        raise InputError("drive_od, reach = one of the two, must be both or neither: extension bar")
    if drive_od is None or reach is None:
        return cq.Solid.makeCylinder(od / 2, length)
    _sizes(reach=reach)
    if drive_od >= od:
        raise OutOfRange(f"drive_od = {drive_od} mm, must be less than od {od} mm: extension bar")
    top = length + reach
    return _turned(
        ((0, 0), (od / 2, 0), (od / 2, length), (drive_od / 2, length), (drive_od / 2, top), (0, top))
    )


def spanner(
    *,
    jaw_od: float,
    handle: float,
    reach: float,
    t: float,
    angle: float,
    clock: float = 0.0,
    lift: float = 0.0,
) -> cq.Solid:
    """All the room that an open or ring spanner sweeps.

    jaw_od: width over the jaws; handle: its width; reach: middle of the bolt to the end of the handle; t: the
    thickest of it; angle: degrees swung, from `clock` degrees from x, right-handed about z; lift: its underside.
    """
    _sizes(jaw_od=jaw_od, handle=handle, reach=reach, t=t, angle=angle)
    wrong = []
    if angle > 360:
        wrong.append(f"angle = {angle} deg, must be up to 360: swing of a spanner")
    if handle > jaw_od:
        wrong.append(
            f"handle = {handle} mm, must be at most the jaw's {jaw_od} mm: width of a spanner's handle"
        )
    if reach <= jaw_od / 2:
        wrong.append(f"reach = {reach} mm, must be past the jaw, {jaw_od / 2} mm: length of a spanner")
    if not all(map(math.isfinite, (clock, lift))):
        wrong.append("clock, lift = not finite, must be degrees and mm: spanner")
    if wrong:
        raise InputError(*wrong)
    plain = angle <= 180 and angle + 2 * math.degrees(math.asin(handle / jaw_od)) <= WIDE
    made = (_swung if plain else _fused)(jaw_od, handle, reach, t, angle)
    turned = made.rotate(cq.Vector(), cq.Vector(0, 0, 1), clock)
    return turned.moved(cq.Location(cq.Vector(0, 0, lift)))


def _swung(jaw_od: float, handle: float, reach: float, t: float, angle: float) -> cq.Solid:
    """Its outline drawn at once: the arc of the handle's corners, both outer sides of it, and round the head."""
    r, half, turn = jaw_od / 2, handle / 2, math.radians(angle)

    def at(radius: float, radians: float) -> cq.Vector:
        return cq.Vector(radius * math.cos(radians), radius * math.sin(radians), 0)

    far, lead = math.hypot(reach, half), math.atan2(half, reach)
    root = math.asin(min(1.0, half / r))
    tip, root_1 = at(far, -lead), at(r, -root)
    other_tip, root_2 = at(far, turn + lead), at(r, turn + root)
    edges = [
        cq.Edge.makeThreePointArc(tip, at(far, turn / 2), other_tip),
        cq.Edge.makeLine(other_tip, root_2),
        cq.Edge.makeThreePointArc(root_2, at(r, turn / 2 + math.pi), root_1),
        cq.Edge.makeLine(root_1, tip),
    ]
    return cq.Solid.extrudeLinear(cq.Wire.assembleEdges(edges), [], cq.Vector(0, 0, t))


def _fused(jaw_od: float, handle: float, reach: float, t: float, angle: float) -> cq.Solid:
    """The same for a wide swing, whose sides may cross: head, both ends of the handle's way, and all between."""
    far, half = math.hypot(reach, handle / 2), handle / 2
    disc = cq.Solid.makeCylinder(jaw_od / 2, t)
    bars = []
    for turn in (0.0, angle):
        bar = cq.Solid.makeBox(reach, handle, t, cq.Vector(0, -half, 0))
        bars.append(bar.rotate(cq.Vector(), cq.Vector(0, 0, 1), turn))
    lead = math.degrees(math.asin(half / far))  # the handle's corners run ahead of its middle
    round_it = min(360.0, angle + 2 * lead)
    swept = cq.Solid.makeCylinder(far, t, angleDegrees=round_it).rotate(
        cq.Vector(), cq.Vector(0, 0, 1), -lead
    )
    made = disc.fuse(swept, *bars)
    solids = made.Solids()
    if len(solids) != 1 or not made.isValid():
        size = f"jaw {jaw_od:g}, reach {reach:g}, angle {angle:g}"
        raise KernelFailed("spanner", "fuse", size, f"{len(solids)} solids, valid {made.isValid()}")
    return solids[0]


def _sizes(**sizes: float) -> None:
    wrong = [
        f"{k} = {v}, must be more than 0: size of a bolt or tool"
        for k, v in sizes.items()
        if not 0 < v < math.inf
    ]
    if wrong:
        raise OutOfRange(*wrong)


def _turned(profile: tuple[tuple[float, float], ...]) -> cq.Solid:
    """The body of revolution about z of a closed outline of (r, z) points."""
    points = [cq.Vector(r, 0, z) for r, z in profile]
    wire = cq.Wire.makePolygon(points, close=True)
    return cq.Solid.revolve(wire, [], 360.0, cq.Vector(0, 0, 0), cq.Vector(0, 0, 1))
