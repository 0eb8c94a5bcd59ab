"""Solids of plate: outlines extruded with their tube seats cut, and folded pieces joined of walls and bends.

In the piece's own frame: z 0 to t.

Measured on U sections of 5 to 8 parts: making the parts 10 to 30 ms, joining 40 to 80 ms, merging faces that carry
on into each other 20 to 80 ms. Where slots run over bends joining takes 0.8 s, by glue 0.1 s; glue does not notice
walls that run into each other, so it is used only where nothing comes near anything it does not hang on.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from cadquery.occ_impl.shapes import Face, Shape, Solid
from OCP.BOPAlgo import BOPAlgo_GlueEnum
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism
from OCP.GC import GC_MakeArcOfCircle
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Vec
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopAbs import TopAbs_IN
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Wire
from OCP.TopTools import TopTools_ListOfShape

from brackets.core.errors import KernelFailed
from brackets.core.vectors import add, length, scale, square_to, sub, unit
from brackets.forming.fold_clash import near
from brackets.geometry.curve import Outline
from brackets.geometry.segments import Arc, Line, Segment
from brackets.kernel.measure import location, only_solid
from brackets.kernel.sector import sector
from brackets.model.fold_zones import zones
from brackets.model.plate import Folded, Plate, TubeSeat, Wall


def wire(outline: Outline) -> TopoDS_Wire:
    """The outline as a closed wire, anticlockwise seen from +z; a full circle is one edge."""
    circle = full_circle(outline)
    edges = [circle] if circle is not None else [edge(segment) for segment in outline.segments]
    maker = BRepBuilderAPI_MakeWire()
    for one in edges:
        maker.Add(one)
    if not maker.IsDone() or not maker.Wire().Closed():
        raise KernelFailed("outline", "wire", f"{len(edges)} edges", f"not closed ({maker.Error().name})")
    return maker.Wire()


def full_circle(outline: Outline) -> TopoDS_Edge | None:
    """The edge of an outline that is one whole circle, else None."""
    arcs = outline.segments
    first = arcs[0]
    if not isinstance(first, Arc) or not all(
        isinstance(a, Arc) and a.centre == first.centre and a.ccw for a in arcs
    ):
        return None
    if not math.isclose(sum(a.sweep for a in arcs if isinstance(a, Arc)), math.tau):
        return None
    axes = gp_Ax2(_at(first.centre), gp_Dir(0.0, 0.0, 1.0))
    edge: TopoDS_Edge = BRepBuilderAPI_MakeEdge(gp_Circ(axes, first.radius)).Edge()
    return edge


def edge(segment: Segment) -> TopoDS_Edge:
    """A straight or circular edge; an arc goes through its middle, so that its ends stay where they are."""
    if isinstance(segment, Line):
        return BRepBuilderAPI_MakeEdge(_at(segment.a), _at(segment.b)).Edge()
    arc = GC_MakeArcOfCircle(_at(segment.a), _at(segment.point(0.5)), _at(segment.b))
    return BRepBuilderAPI_MakeEdge(arc.Value()).Edge()


def face(outline: Outline, openings: Iterable[Outline] = ()) -> Face:
    """The flat face inside the outline and outside the openings, its normal +z."""
    maker = BRepBuilderAPI_MakeFace(wire(outline), True)
    for opening in openings:
        maker.Add(TopoDS.Wire_s(wire(opening).Reversed()))
    if not maker.IsDone():
        raise KernelFailed("outline", "face", f"{len(outline.segments)} edges", maker.Error().name)
    return Face(maker.Face())


def slab(outline: Outline, openings: Iterable[Outline], t: float) -> Solid:
    """The outline, less its openings, from z = 0 to z = t."""
    return Solid(BRepPrimAPI_MakePrism(face(outline, openings).wrapped, gp_Vec(0.0, 0.0, t)).Shape())


def _at(p: tuple[float, float]) -> gp_Pnt:
    return gp_Pnt(p[0], p[1], 0.0)


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


ROOM = 0.5
"""mm: walls and bends that stay further apart than this can be glued; `near` knows a gap to a tenth of it."""


def make_folded(piece: Folded) -> Solid:
    """The folded solid in the piece's own frame, walls and bends one solid, not asked whether it is valid.

    Raises KernelFailed where the kernel does not give exactly one.
    """
    parts = unjoined(piece)
    size = f"{len(parts)} walls and bends, t {piece.t:g} mm"
    whole = joined(parts, piece.name, size, glued=not near(piece, ROOM))
    return only_solid(whole, piece=piece.name, operation="fold", size=size)


def unjoined(piece: Folded) -> list[Solid]:
    """What is left of each wall, then of each bend, as solids in the piece's own frame."""
    left = zones(piece)
    parts = [
        wall_solid(wall, piece.t, name=piece.name).moved(location(node.place))
        for node, walls in zip(left.tree.walls, left.walls, strict=True)
        for wall in walls
    ]
    parts += [
        sector(bend, region).moved(location(bend.place))
        for bend, regions in zip(left.tree.bends, left.bends, strict=True)
        for region in regions
    ]
    return parts


def joined(parts: list[Solid], name: str, size: str, *, glued: bool = False) -> Shape:
    """The parts fused to one, faces that carry on into each other merged.

    `glued`: nothing is looked for but whole faces that two parts share.
    """
    if len(parts) == 1:
        return parts[0]
    first, rest = TopTools_ListOfShape(), TopTools_ListOfShape()
    first.Append(parts[0].wrapped)
    for part in parts[1:]:
        rest.Append(part.wrapped)
    fuse = BRepAlgoAPI_Fuse()
    fuse.SetArguments(first)
    fuse.SetTools(rest)
    fuse.SetRunParallel(False)
    if glued:
        fuse.SetGlue(BOPAlgo_GlueEnum.BOPAlgo_GlueFull)
    fuse.Build()
    if not fuse.IsDone():
        raise KernelFailed(name, "fold", size, "the kernel reports an error")
    merge = ShapeUpgrade_UnifySameDomain(fuse.Shape(), True, True, False)
    merge.Build()
    return Shape.cast(merge.Shape())
