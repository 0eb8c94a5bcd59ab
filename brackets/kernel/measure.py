"""Places as the kernel's locations; volume, centroid and inertia of a solid, and the check each must pass.

mm; inertia about the centroid, off-diagonals -∫xy dV, density 1.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from cadquery.occ_impl.geom import Location
from cadquery.occ_impl.shapes import Shape, Solid
from numpy.typing import NDArray
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.gp import gp_Pnt, gp_Trsf
from OCP.GProp import GProp_GProps
from OCP.TopLoc import TopLoc_Location

from brackets.core.errors import KernelFailed
from brackets.core.place import HERE, Place
from brackets.model.moments import Moments3

if TYPE_CHECKING:
    from OCP.TopoDS import TopoDS_Shape


def location(place: Place) -> Location:
    """The rigid motion of `place`; none at all for HERE."""
    if place == HERE:
        return Location()
    motion = gp_Trsf()
    motion.SetValues(*(value for row in place.matrix()[:3] for value in row))
    return Location(TopLoc_Location(motion))


PRECISION = 1e-12
"""Relative, of the kernel's adaptive integration: at 1e-8 inertia is 4e-8 off."""

AGREE = 1e-9
"""Relative, of a solid's volume against its closed form: above rounding and the kernel's integration (1e-11),
below anything a missing cut, however small, would leave (a 1 mm hole in a 1 m plate is 1e-6)."""

Array = NDArray[np.float64]


def properties(shape: Shape | TopoDS_Shape) -> GProp_GProps:
    """The kernel's own record, about the origin of the frame the shape is in."""
    props = GProp_GProps(gp_Pnt(0.0, 0.0, 0.0))
    wrapped = shape.wrapped if isinstance(shape, Shape) else shape
    BRepGProp.VolumeProperties_s(wrapped, props, PRECISION, False, False)
    return props


def volume_properties(shape: Shape | TopoDS_Shape) -> tuple[float, Array, Array]:
    """Volume mm3, centroid (3,) mm, inertia (3, 3) mm5 about the centroid, at density 1."""
    props = properties(shape)
    centre = props.CentreOfMass()
    about_centre = props.MatrixOfInertia()
    inertia = np.array([[about_centre.Value(i, j) for j in (1, 2, 3)] for i in (1, 2, 3)])
    return props.Mass(), np.array([centre.X(), centre.Y(), centre.Z()]), inertia


def moments(shape: Shape | TopoDS_Shape) -> Moments3:
    """The shape's moments about the origin of the frame it is in."""
    volume, centre, inertia = volume_properties(shape)
    second = np.trace(inertia) / 2 * np.eye(3) - inertia + volume * np.outer(centre, centre)
    x, y, z = (float(c) for c in volume * centre)
    return Moments3(
        volume=volume,
        **{"x": x, "y": y, "z": z},
        xx=float(second[0, 0]),
        yy=float(second[1, 1]),
        zz=float(second[2, 2]),
        xy=float(second[0, 1]),
        yz=float(second[1, 2]),
        zx=float(second[2, 0]),
    )


def only_solid(shape: Shape, *, piece: str, operation: str, size: str) -> Solid:
    """The single solid in `shape`, on the way to a piece: whether it is valid is asked once, of the whole piece.

    Raises KernelFailed where there is none, or more than one.
    """
    solids = shape.Solids()
    if len(solids) != 1:
        raise KernelFailed(piece, operation, size, f"{len(solids)} solids came back, must be 1")
    return Solid(solids[0].wrapped)


def one_solid(shape: Shape, *, piece: str, operation: str, size: str) -> Solid:
    """The same, and valid. Raises KernelFailed where it is not."""
    solid = only_solid(shape, piece=piece, operation=operation, size=size)
    if not BRepCheck_Analyzer(solid.wrapped).IsValid():
        raise KernelFailed(piece, operation, size, "the solid is not valid")
    return solid


def found_volume(solid: Solid, wanted: float) -> float:
    """The solid's volume, mm3, held against the closed form's.

    First by the kernel's integration of a fixed order, which takes an eighth of the time of the adaptive one and is
    as good to rounding on planes and cylinders bounded by lines and arcs. Where it is not `wanted` to AGREE, the
    adaptive one says what it is.
    """
    props = GProp_GProps(gp_Pnt(0.0, 0.0, 0.0))
    BRepGProp.VolumeProperties_s(solid.wrapped, props, False, False, False)
    plain = float(props.Mass())
    return plain if agrees(plain, wanted) else float(properties(solid).Mass())


def agrees(found: float, wanted: float) -> bool:
    """Whether a volume is the closed form's to AGREE."""
    return abs(found - wanted) <= AGREE * abs(wanted)


def agreed(solid: Solid, volume: float, *, piece: str, operation: str, size: str) -> Solid:
    """The solid, once its volume is the closed form's to AGREE. Raises KernelFailed where it is not."""
    found = found_volume(solid, volume)
    if not agrees(found, volume):
        raise KernelFailed(
            piece, operation, size, f"the solid has {found:.9g} mm3, the closed form {volume:.9g} mm3"
        )
    return solid
