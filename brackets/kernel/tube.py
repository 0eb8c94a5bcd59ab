"""Solids of tubes, straight and bent: each end cut by what it meets and all that lies behind its axis."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import cadquery as cq

from brackets.core.errors import KernelFailed
from brackets.core.place import Place, turned
from brackets.core.vectors import Vec, add, cross, scale, unit
from brackets.kernel.cope_edges import exact
from brackets.kernel.measure import agreed, agrees, found_volume, location, one_solid, only_solid
from brackets.model.bent_tube import check_bent, corner_angles, straights
from brackets.model.cope import ENDS, extent
from brackets.model.mass_of_tube import tube_moments
from brackets.model.tube import BentTube, Tube, TubeEnd, Which

PROUD = 1.0
"""How much the length of tube stands over its cuts before it is cut, mm: no face of a tool lies on a face
of it."""

SAME = 1e-8
"""mm: rounding of sizes that were meant to be one; taken as one the volume moves by less than 1e-10 of it."""

SEAMS = (0.0, 180.0, 270.0, 45.0, 120.0, 300.0, 20.0, 75.0, 100.0, 150.0, 200.0, 225.0, 330.0)
"""Degrees: where the blank's seam lies. Where one seam leaves the kernel's cut astray, another does better."""


def make(tube: Tube) -> cq.Solid:
    """The tube as one solid in its own frame, its volume the closed form's.

    Raises InputError where its sizes make no sense, KernelFailed where no seam gives one valid solid of that
    volume. Where the two tubes' diameters differ by some 1e-9 to 1e-4 mm the kernel loses its way near the kink
    whatever the seam: the volume is then up to 1e-4 wrong (measured) and refused; equal diameters are exact.
    """
    wanted = tube_moments(tube).volume
    walls = (tube.od / 2, tube.bore / 2)
    tube = replace(tube, start=squared_up(tube.start, walls), end=squared_up(tube.end, walls))
    tried: list[tuple[float, cq.Solid]] = []
    for seam in SEAMS:
        try:
            solid = _with_seam(tube, seam)
            found = found_volume(solid, wanted)
            if agrees(found, wanted):
                return one_solid(solid, piece=tube.name, operation="tube", size="whole piece")
            tried.append((abs(found - wanted), solid))
        except KernelFailed:
            if not tried and seam == SEAMS[-1]:
                raise
    nearest = min(tried, key=lambda one: one[0])[1]
    return agreed(nearest, wanted, piece=tube.name, operation="tube", size="whole piece")


def squared_up(cut: TubeEnd, walls: tuple[float, float]) -> TubeEnd:
    """The cut with a main radius or an offset within SAME of a special one set to it: equal, flush or central."""
    if cut.kind != "saddle":
        return cut
    main_r = next((r for r in walls if abs(cut.r - r) <= SAME), cut.r)
    special = (0.0, *(abs(main_r - r) for r in walls))
    offset = next((e for e in special if abs(abs(cut.offset) - e) <= SAME), abs(cut.offset))
    return replace(cut, r=main_r, offset=math.copysign(offset, cut.offset) if offset else 0.0)


def _with_seam(tube: Tube, seam: float) -> cq.Solid:
    low, high = _blank_end(tube, "start"), tube.length - _blank_end(tube, "end")
    solid = length_of_tube(tube, low, high).moved(location(turned(seam)))
    far = Place((0.0, 0.0, tube.length), (0.0, 0.0, -1.0), (0.0, -1.0, 0.0))
    return redrawn(trimmed(trimmed(solid, tube, "start", Place()), tube, "end", far), tube, (Place(), far))


def redrawn(solid: cq.Solid, tube: Tube | BentTube, nodes: tuple[Place, Place]) -> cq.Solid:
    """The same solid, the edges of each saddle that is its end's only cut drawn along the end curve."""
    for which, node, sense in zip(ENDS, nodes, (1.0, -1.0), strict=True):
        [cut, *more] = tube.cuts(which)
        if cut.kind == "saddle" and not more:
            solid = exact(solid, cut, node @ turned(sense * cut.clock), (tube.od / 2, tube.bore / 2))
    return solid


def trimmed(solid: cq.Solid, tube: Tube | BentTube, which: Which, node: Place) -> cq.Solid:
    """`solid` with the cuts of one end made; `node`: where the end's node is, z into the body, x the clock
    line."""
    if _plain(tube, which):
        return solid
    sense = 1.0 if which == "start" else -1.0
    for cut in tube.cuts(which):
        tool = cutter(cut, tube.od / 2, _span(tube, which))
        left = solid.cut(tool.moved(location(node @ turned(sense * cut.clock))))
        solid = only_solid(left, piece=tube.name, operation=f"{cut.kind} at the {which}", size=_size(cut))
    return solid


def _size(cut: TubeEnd) -> str:
    return f"angle {cut.angle:g}, r {cut.r:g}, offset {cut.offset:g}"


def _plain(tube: Tube | BentTube, which: Which) -> bool:
    return all(cut.kind == "square" for cut in tube.cuts(which))


def _blank_end(tube: Tube, which: Which) -> float:
    if _plain(tube, which):
        return max(cut.shift for cut in tube.cuts(which))
    return _span(tube, which)[0] - PROUD


def _span(tube: Tube | BentTube, which: Which) -> tuple[float, float]:
    return extent(tube, which, (tube.od / 2, tube.bore / 2))


def length_of_tube(tube: Tube | BentTube, low: float, high: float) -> cq.Solid:
    at, up = cq.Vector(0, 0, low), cq.Vector(0, 0, 1)
    rims = [cq.Wire.assembleEdges([cq.Edge.makeCircle(d / 2, at, up)]) for d in (tube.od, tube.bore)]
    return cq.Solid.extrudeLinear(rims[0], [rims[1]], cq.Vector(0, 0, high - low))


def cutter(cut: TubeEnd, r: float, span: tuple[float, float]) -> cq.Solid:
    """What one cut takes away from a tube of radius `r`, in the cut's frame: x to the acute side, z into
    the body.

    `span`: the lowest and the highest the finished end reaches, mm from the tube's node.
    """
    angle = 90.0 if cut.kind == "square" else cut.angle
    a = math.radians(angle)
    main_r, offset = (cut.r, cut.offset) if cut.kind == "saddle" else (0.0, 0.0)
    reach = r + max(abs(span[0]), abs(span[1])) + abs(cut.shift) + 2 * PROUD
    along = cq.Vector(math.sin(a), 0, math.cos(a))
    normal = cq.Vector(-math.cos(a), 0, math.sin(a)) if angle != 90 else cq.Vector(0, 0, 1)
    side = cq.Vector(0, 1, 0)
    origin = cq.Vector(0, offset, cut.shift) - along * reach
    wide = main_r + r + abs(offset) + PROUD

    def at(v: float, u: float) -> cq.Vector:
        return origin + side * v + normal * u

    corners = [at(-wide, 0), at(-wide, -reach), at(wide, -reach), at(wide, 0)]
    if main_r > 0:
        corners = [at(-main_r, 0), *corners, at(main_r, 0)]
        closing = cq.Edge.makeThreePointArc(at(main_r, 0), at(0, main_r), at(-main_r, 0))
    else:
        closing = cq.Edge.makeLine(corners[-1], corners[0])
    edges = [*(cq.Edge.makeLine(p, q) for p, q in pairwise(corners)), closing]
    return cq.Solid.extrudeLinear(cq.Wire.assembleEdges(edges), [], along * (2 * reach))


def make_bent(tube: BentTube) -> cq.Solid:
    """The bent tube as one solid in its own frame.

    Raises InputError where it cannot be bent or cut, KernelFailed where the kernel leaves no single solid.
    """
    check_bent(tube)
    lines = straights(tube)
    runs = []
    for i, line in enumerate(lines):
        low = _beyond(tube, "start") if i == 0 else 0.0
        high = line.length - (_beyond(tube, "end") if i == len(lines) - 1 else 0.0)
        if high > low:
            runs.append(length_of_tube(tube, low, high).moved(location(line.place)))
    for (line, after), angle in zip(pairwise(lines), corner_angles(tube.points), strict=True):
        runs.append(_arc(tube, line.place, line.length, after.place.axis, angle))
    whole = runs[0].fuse(*runs[1:]) if len(runs) > 1 else runs[0]
    solid = one_solid(whole, piece=tube.name, operation="bends in one", size=f"{len(lines) - 1} bends")
    last = lines[-1]
    far = last.place @ Place((0.0, 0.0, last.length), (0.0, 0.0, -1.0), (0.0, -1.0, 0.0))
    return redrawn(trimmed(trimmed(solid, tube, "start", Place()), tube, "end", far), tube, (Place(), far))


def _beyond(tube: BentTube, which: Which) -> float:
    """Where the length that is cut later begins, mm from the node; as a square end it is made to length."""
    cuts = tube.cuts(which)
    if all(cut.kind == "square" for cut in cuts):
        return max(cut.shift for cut in cuts)
    low, _ = extent(tube, which, (tube.od / 2, tube.bore / 2))
    return min(0.0, low) - PROUD


def _arc(tube: BentTube, place: Place, at: float, towards: Vec, angle: float) -> cq.Solid:
    """The metal of one bend that begins `at` mm along the straight whose frame is `place`."""
    axis = unit(cross(place.axis, towards))
    begin = place.point((0.0, 0.0, at))
    middle = add(begin, scale(cross(axis, place.axis), tube.bend_r))
    rims = [
        cq.Wire.assembleEdges([cq.Edge.makeCircle(d / 2, cq.Vector(*begin), cq.Vector(*place.axis))])
        for d in (tube.od, tube.bore)
    ]
    section = cq.Face.makeFromWires(rims[0], [rims[1]])
    end = cq.Vector(*middle) + cq.Vector(*axis)
    return cq.Solid.revolve(section, math.degrees(math.radians(angle)), cq.Vector(*middle), end)
