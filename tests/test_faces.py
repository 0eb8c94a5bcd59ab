"""The flat faces of pieces in closed form, against the kernel's faces of the same solids."""

from __future__ import annotations

import math

import pytest

import brackets
from brackets.core.place import Place
from brackets.kernel.solids import own_shape
from brackets.library.recipe import recipes
from brackets.model.faces import flat_faces, in_plane
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Tube, TubeEnd

WHOLE = 1e-7
"""Relative: closed form against the kernel's own integral; an oval's arcs lie within 1e-4 mm of it."""


def kernel_areas(piece: Piece) -> list[float]:
    return sorted(face.Area() for face in own_shape(piece).Faces() if face.geomType() == "PLANE")


@pytest.mark.parametrize("name", recipes())
def test_every_flat_face_of_every_shipped_piece_is_the_kernels(name: str) -> None:
    """Plates cut to a tube have edges that are not told of; folded ones have the sides of their bends besides."""
    opened = brackets.recipe(name)
    for piece in opened.build(opened.Params()).pieces:
        ours, theirs = sorted(face.region.area for face in flat_faces(piece)), kernel_areas(piece)
        if isinstance(piece, Folded) or (isinstance(piece, Plate) and piece.wall.seats):
            assert max(ours) == pytest.approx(max(theirs), rel=1e-5), piece.name
        else:
            assert ours == pytest.approx(theirs, rel=WHOLE), piece.name


@pytest.mark.parametrize("values", [{"back": True}, {"back": True, "seat": "flat"}, {"seat": "flat", "lean": 12.0}])
def test_the_feet_of_ears_on_a_flat_are_what_the_kernel_has_in_that_plane(values: dict[str, object]) -> None:
    opened = brackets.recipe("ears")
    part = opened.build(opened.Params(**{"seat": "flat", **values}))
    seat = part.seat("foot")
    assert sum(r.area for r in in_plane(part, seat.place)) == pytest.approx(kernel_in_plane(part, seat.place))


def test_the_underside_of_a_base_with_bent_ends_stops_where_the_bends_begin() -> None:
    opened = brackets.recipe("ears_on_base")
    part = opened.build(opened.Params(base_flanges=2, base_length=160.0, base_width=70.0))
    seat = part.seat("foot")
    assert sum(r.area for r in in_plane(part, seat.place)) == pytest.approx((160 - 2 * 14) * 70)
    assert kernel_in_plane(part, seat.place) == pytest.approx((160 - 2 * 14) * 70)


@pytest.mark.parametrize("clock", [0.0, 70.0, 200.0])
@pytest.mark.parametrize("end", ["start", "end"])
def test_a_mitred_tube_end_is_an_oval_ring_where_the_kernel_has_it(end: str, clock: float) -> None:
    cut = TubeEnd(kind="plane", angle=55.0, clock=clock)
    tube = Tube(name="tube", od=38.0, wall=3.0, length=150.0, **{end: cut})
    ring = math.pi * (19**2 - 16**2) / math.sin(math.radians(55))
    (face,) = [f for f in flat_faces(tube) if f.region.area > 1.1 * math.pi * (19**2 - 16**2)]
    assert face.region.area == pytest.approx(ring, rel=1e-6)
    (theirs,) = [f for f in own_shape(tube).Faces() if f.geomType() == "PLANE" and f.Area() > 1.1 * 329.8]
    out = theirs.normalAt().toTuple()
    assert face.place.axis == pytest.approx(out, abs=1e-9)
    assert face.place.local(theirs.Center().toTuple()) == pytest.approx((0, 0, 0), abs=1e-6)


def kernel_in_plane(part: Part, plane: Place) -> float:
    """mm2 of the kernel's flat faces that lie in a plane and look along it."""
    found = 0.0
    for piece in part.pieces:
        for face in own_shape(piece).Faces():
            if face.geomType() != "PLANE":
                continue
            at, out = piece.place.point(face.Center().toTuple()), piece.place.direction(face.normalAt().toTuple())
            if abs(plane.local(at)[2]) < 1e-6 and plane.local_direction(out)[2] > 1 - 1e-9:
                found += face.Area()
    return found
