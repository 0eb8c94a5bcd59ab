"""What the solid kernel says of a piece, beside what the closed form says; used by several tests."""

from __future__ import annotations

import itertools

import numpy as np
from cadquery import Shape
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.gp import gp_Pnt

from brackets import edges, mass
from brackets.part import Part
from brackets.pieces import Piece
from brackets.solid import own_shape, shape
from brackets.solid.measure import volume_properties

AGREE = 1e-9
ON = 1e-5
"""mm: a weld's curve lies on a piece when it is nearer than this; the kernel's own edges are 1e-7 wide."""

SHARED = 1e-6
"""mm3 of common volume that is still rounding where two pieces touch over a face."""


def disagreement(piece: Piece) -> tuple[float, float, float]:
    """Closed form against kernel: volume relative, centroid over the box diagonal, inertia over its trace."""
    solid = own_shape(piece)
    volume, centre, inertia = volume_properties(solid)
    ours = mass.solid_moments(piece)
    box = solid.BoundingBox()
    inner = ours.mass(1e9)
    trace = float(np.trace(inertia))
    return (
        abs(ours.volume - volume) / volume,
        float(np.linalg.norm(np.array(ours.centroid) - centre)) / box.DiagonalLength,
        float(np.abs(inner.inertia - inertia).max()) / trace,
    )


def common_volume(a: Shape, b: Shape) -> float:
    """mm3 that two shapes share."""
    box_a, box_b = a.BoundingBox(), b.BoundingBox()
    for low, high in (("xmin", "xmax"), ("ymin", "ymax"), ("zmin", "zmax")):
        if getattr(box_a, low) > getattr(box_b, high) or getattr(box_b, low) > getattr(box_a, high):
            return 0.0
    cut = BRepAlgoAPI_Common(a.wrapped, b.wrapped)
    found = Shape.cast(cut.Shape())
    return sum(float(volume_properties(solid)[0]) for solid in found.Solids())


def sharing(part: Part) -> list[tuple[str, str, float]]:
    """Pairs of pieces that share volume."""
    shapes = [(piece.name, shape(piece)) for piece in part.pieces]
    found = [(a, b, common_volume(sa, sb)) for (a, sa), (b, sb) in itertools.combinations(shapes, 2)]
    return [row for row in found if row[2] > SHARED]


def off(solid: Shape, point: tuple[float, float, float]) -> float:
    """Distance of a point from a solid's skin or inside, mm (0 inside)."""
    vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*point)).Vertex()
    return float(BRepExtrema_DistShapeShape(vertex, solid.wrapped).Value())


def adrift(part: Part, *, n: int = 7) -> list[tuple[str, str, float]]:
    """Welds whose curve is not on both pieces."""
    found = []
    names = {piece.name: piece for piece in part.pieces}
    for weld in part.welds:
        piece = names[weld.piece]
        points = edges.points(piece, weld.edge, n)
        for name in (weld.piece, weld.onto):
            if name in names:
                worst = max(off(shape(names[name]), p) for p in points)
                if worst > ON:
                    found.append((weld.piece, name, worst))
    return found
