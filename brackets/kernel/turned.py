"""The solid of a turned piece: its half section turned once round.

In the piece's own frame: axis along z from z = 0.
"""

from __future__ import annotations

from cadquery.occ_impl.shapes import Solid
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt

from brackets.model.tube import Turned

AXIS = gp_Ax1(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(0.0, 0.0, 1.0))


def make(piece: Turned) -> Solid:
    """The turned piece's solid."""
    outside: list[tuple[float, float]] = []
    inside: list[tuple[float, float]] = []
    z = 0.0
    for step in piece.steps:
        for run, d in ((outside, step.od), (inside, step.bore)):
            if len(run) > 1 and run[-1][0] == d / 2:
                run.pop()
            else:
                run.append((d / 2, z))
            run.append((d / 2, z + step.length))
        z += step.length
    polygon = BRepBuilderAPI_MakePolygon()
    for r, height in (*outside, *reversed(inside)):
        polygon.Add(gp_Pnt(r, 0.0, height))
    polygon.Close()
    section = BRepBuilderAPI_MakeFace(polygon.Wire(), True)
    return Solid(BRepPrimAPI_MakeRevol(section.Face(), AXIS).Shape())
