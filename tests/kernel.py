"""What the solid kernel says of a piece, beside what the closed form says; used by several tests."""

from __future__ import annotations

import itertools
from dataclasses import replace
from functools import lru_cache

import numpy as np
from cadquery import Face, Shape
from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeVertex
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.gp import gp_Pnt

from brackets.kernel.measure import volume_properties
from brackets.kernel.solids import own_shape, shape, shape_key
from brackets.model import edges, mass
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.weld import Edge

AGREE = 1e-9
ON = 1e-5
"""mm: a weld's curve lies on a piece when it is nearer than this; the kernel's own edges are 1e-7 wide."""

SHARED = 1e-6
"""mm3 of common volume that is still rounding where two pieces touch over a face."""


def disagreement(piece: Piece) -> tuple[float, float, float]:
    """Closed form against kernel: volume relative, centroid over the box diagonal, inertia over its trace."""
    return _disagreement(shape_key(piece))


def valid(piece: Piece) -> bool:
    """Whether the kernel finds nothing wrong with the solid."""
    return _valid(shape_key(piece))


# Asked once of each shape: most values of a recipe leave most of its pieces as they are.
@lru_cache(maxsize=512)
def _valid(piece: Piece) -> bool:
    return bool(own_shape(piece).isValid())


@lru_cache(maxsize=512)
def _disagreement(piece: Piece) -> tuple[float, float, float]:
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
    found = [
        (a.name, b.name, _shared(_nameless(a), _nameless(b))) for a, b in itertools.combinations(part.pieces, 2)
    ]
    return [row for row in found if row[2] > SHARED]


def _nameless(piece: Piece) -> Piece:
    """The piece where it stands, without what does not shape it."""
    return replace(piece, name="", material="", stock="")


@lru_cache(maxsize=4096)
def _shared(a: Piece, b: Piece) -> float:
    return common_volume(shape(a), shape(b))


def off(solid: Shape, point: tuple[float, float, float]) -> float:
    """Distance of a point from a solid's skin or inside, mm (0 inside)."""
    vertex = BRepBuilderAPI_MakeVertex(gp_Pnt(*point)).Vertex()
    return float(BRepExtrema_DistShapeShape(vertex, solid.wrapped).Value())


def _on_a_face(faces: list[tuple[Face, Bnd_Box]], point: tuple[float, float, float]) -> bool:
    """Whether a point is on one of the faces whose boxes it is in: that tells of most points, at once."""
    there = gp_Pnt(*point)
    vertex = BRepBuilderAPI_MakeVertex(there).Vertex()
    return any(
        BRepExtrema_DistShapeShape(vertex, face.wrapped).Value() <= ON
        for face, box in faces
        if not box.IsOut(there)
    )


def adrift(part: Part, *, n: int = 7) -> list[tuple[str, str, float]]:
    """Welds whose curve is not on both pieces."""
    found = []
    names = {piece.name: piece for piece in part.pieces}
    for weld in part.welds:
        for name in (weld.piece, weld.onto):
            if name in names:
                worst = _adrift(_nameless(names[weld.piece]), weld.edge, _nameless(names[name]), n)
                if worst > ON:
                    found.append((weld.piece, name, worst))
    return found


@lru_cache(maxsize=4096)
def _adrift(piece: Piece, edge: Edge, other: Piece, n: int) -> float:
    """How far an edge of one piece is off another at most; 0 where that is no more than ON."""
    solid, faces = shape(other), _faces(other)
    return max(0.0 if _on_a_face(faces, p) else off(solid, p) for p in edges.points(piece, edge, n))


@lru_cache(maxsize=64)
def _faces(piece: Piece) -> list[tuple[Face, Bnd_Box]]:
    """The faces of a piece where it stands, and boxes round them with ON to spare."""
    found = []
    for face in shape(piece).Faces():
        box = Bnd_Box()
        BRepBndLib.Add_s(face.wrapped, box, False)
        box.Enlarge(ON)
        found.append((face, box))
    return found
