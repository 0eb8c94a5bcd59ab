"""The solid of a flat plate: its outline pulled up by the thickness, tube seats cut.

In the piece's own frame: z 0 to t.
"""

from __future__ import annotations

import math

from cadquery import Shape, Solid
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.TopAbs import TopAbs_IN
from OCP.TopTools import TopTools_ListOfShape

from brackets.errors import KernelFailed
from brackets.pieces import Plate, TubeSeat, Wall
from brackets.pieces.vectors import add, length, scale, square_to, sub, unit
from brackets.solid.drawing import slab
from brackets.solid.measure import only_solid

BEYOND = 1.0
"""mm: how far a cutting cylinder stands out of what it cuts; any length above the kernel's 1e-7 would do."""

KEPT_WITHIN = 1e-6
"""mm: how near a solid the point to be kept must lie to be in it."""


def make(piece: Plate) -> Solid:
    """The plate's solid. Raises KernelFailed where the kernel does not give exactly one."""
    return wall_solid(piece.wall, piece.t, name=piece.name)


def wall_solid(wall: Wall, t: float, *, name: str) -> Solid:
    """The solid of a wall from z = 0 to z = t of its own frame."""
    solid = slab(wall.outline, [opening.outline for opening in wall.openings], t)
    for seat in wall.seats:
        solid = _cut_to(solid, seat, t, name)
    return solid


def _cut_to(solid: Solid, seat: TubeSeat, t: float, name: str) -> Solid:
    operation, size = "cut to a tube", f"r = {seat.r:g} mm in {t:g} mm plate"
    cut = BRepAlgoAPI_Cut()
    for put, thing in ((cut.SetArguments, solid), (cut.SetTools, _tube(seat, t))):
        listed = TopTools_ListOfShape()
        listed.Append(thing.wrapped)
        put(listed)
    cut.SetRunParallel(False)
    cut.Build()
    if not cut.IsDone():
        raise KernelFailed(name, operation, size, "the kernel reports an error")
    left = Shape.cast(cut.Shape())
    keep = gp_Pnt(seat.keep[0], seat.keep[1], t / 2)
    for one in left.Solids() if len(left.Solids()) > 1 else ():
        if BRepClass3d_SolidClassifier(one.wrapped, keep, KEPT_WITHIN).State() == TopAbs_IN:
            left = one
    return only_solid(left, piece=name, operation=operation, size=size)


def _tube(seat: TubeSeat, t: float) -> Solid:
    """The tube as a bar long enough to pass through the wall wherever it meets it, its seam off the metal."""
    axis = unit(seat.axis)
    reach = BEYOND + seat.r * math.hypot(axis[0], axis[1]) / abs(axis[2])
    ends = [(z - seat.at[2]) / axis[2] for z in (0.0, t)]
    low, high = min(ends) - reach, max(ends) + reach
    start = add(seat.at, scale(axis, low))
    away = square_to(sub(seat.at, (*seat.keep, t / 2)), axis)
    frame = (
        gp_Ax2(gp_Pnt(*start), gp_Dir(*axis), gp_Dir(*away))
        if length(away) > KEPT_WITHIN
        else gp_Ax2(gp_Pnt(*start), gp_Dir(*axis))
    )
    return Solid(BRepPrimAPI_MakeCylinder(frame, seat.r, high - low).Solid())
