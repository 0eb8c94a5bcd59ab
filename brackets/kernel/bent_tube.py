"""Solids of bent tubes: straights and arcs in one, each end cut as a straight tube's is."""

from __future__ import annotations

import math
from itertools import pairwise

import cadquery as cq

from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, scale, unit
from brackets.kernel.measure import location, one_solid
from brackets.kernel.tube import PROUD, length_of_tube, redrawn, trimmed
from brackets.model.bent_tube import check_bent, corner_angles, straights
from brackets.model.cope_curve import extent
from brackets.model.tube import BentTube, Which


def make(tube: BentTube) -> cq.Solid:
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
