"""Solids against the closed form, one by one: volume, centroid and inertia to 1e-9, and how they are kept."""

from __future__ import annotations

import math
import pickle
import random
import re

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel import disagreement
from plates import plate, turned

from brackets import kernel as solid
from brackets.core.errors import BadRecipe, InputError, KernelFailed
from brackets.core.place import Place
from brackets.geometry.shapes import circle, rectangle
from brackets.kernel import loading as kernel
from brackets.kernel.measure import AGREE, agreed, volume_properties
from brackets.model import mass
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Plate, TubeSeat, Wall
from brackets.model.tube import Step, Turned

FEW = settings(max_examples=12, deadline=None)
"""The closed form and the kernel are slow enough; more are tried with every recipe."""

SEEDS = st.integers(0, 10**6).map(random.Random)


def assert_agrees(piece: Piece) -> None:
    try:
        mass.volume(piece)
    except InputError:
        return
    made = solid.own_shape(piece)
    assert made.isValid()
    assert max(disagreement(piece)) < AGREE


@FEW
@given(SEEDS)
def test_random_plates_agree(seed: random.Random) -> None:
    assert_agrees(plate(seed))


@settings(FEW, max_examples=8)
@given(SEEDS)
def test_random_plates_cut_to_a_tube_agree(seed: random.Random) -> None:
    assert_agrees(plate(seed, seats=1))


@settings(FEW, max_examples=4)
@given(SEEDS)
def test_random_plates_cut_to_two_tubes_agree(seed: random.Random) -> None:
    assert_agrees(plate(seed, seats=2))


@FEW
@given(SEEDS)
def test_random_turned_pieces_agree(seed: random.Random) -> None:
    assert_agrees(turned(seed))


def test_most_random_plates_are_made() -> None:
    """The tests above would prove nothing if their plates were refused."""
    made = 0
    for number in range(20):
        try:
            made += mass.volume(plate(random.Random(number), seats=1)) > 0
        except InputError:
            continue
    assert made >= 10


@pytest.mark.parametrize("r", [20.0, 40.0, 80.0])
def test_a_thin_plate_on_a_large_tube_agrees(r: float) -> None:
    """Where the kernel's own edges, fitted to 1e-7 mm, would be off by more than a billionth of the volume."""
    seat = TubeSeat(at=(0, -40 - r * 0.6, 0), axis=(0.4, 0.3, 1), r=r, keep=(0, 35))
    piece = Plate(name="ear", wall=Wall(outline=rectangle(100, 80), seats=(seat,)), t=3)
    assert max(disagreement(piece)) < 1e-11


def test_a_placed_piece_is_its_own_solid_moved() -> None:
    piece = plate(random.Random(5))
    volume, centre, inertia = volume_properties(solid.shape(piece))
    found = mass.of(piece)
    assert volume == pytest.approx(mass.volume(piece), rel=AGREE)
    np.testing.assert_allclose(centre, found.centroid, atol=1e-8)
    np.testing.assert_allclose(inertia * found.kg / volume, found.inertia, atol=AGREE * np.trace(found.inertia))


def test_equal_pieces_share_one_solid() -> None:
    one = plate(random.Random(7))
    other = Plate(name="other", wall=one.wall, t=one.t, material="S355", place=Place((9, 9, 9)))
    assert solid.own_shape(one) is solid.own_shape(other)
    assert solid.shape(one).wrapped.IsPartner(solid.shape(other).wrapped)


def test_a_drilled_hole_is_one_round_face() -> None:
    piece = Plate(name="p", wall=Wall(outline=circle((0, 0), 30), openings=(Hole(at=(3, 0), d=8),)), t=5)
    assert sorted(face.geomType() for face in solid.own_shape(piece).Faces()) == ["CYLINDER"] * 2 + ["PLANE"] * 2


def test_a_part_is_a_compound_of_its_pieces_in_their_order() -> None:
    pieces = tuple(
        Turned(name=str(n), steps=(Step(length=n, od=10),), place=Place((20.0 * n, 0, 0))) for n in (3, 1, 2)
    )
    found = solid.shape(Part(name="p", pieces=pieces))
    assert isinstance(found, cq.Compound)
    assert [round(s.Volume() / (25 * math.pi)) for s in found.Solids()] == [3, 1, 2]


def test_values_that_make_no_solid_are_refused_before_the_kernel_sees_them() -> None:
    with pytest.raises(InputError, match="bung: bore = 12 mm"):
        solid.shape(Turned(name="bung", steps=(Step(length=5, od=10, bore=12),)))


def test_a_solid_that_lost_a_cut_is_found_out() -> None:
    """The smallest hole anyone drills, in a large plate."""
    whole = cq.Solid.makeBox(500, 400, 6)
    with pytest.raises(KernelFailed, match="plate: drill .* failed: the solid has .* mm3, the closed form"):
        agreed(whole, 500 * 400 * 6 - math.pi / 4 * 6, piece="plate", operation="drill", size="d 1")


def test_a_plate_parted_by_a_tube_keeps_the_asked_side() -> None:
    for y in (-30.0, 30.0):
        seat = TubeSeat(at=(0, 0, 0), axis=(0.1, 0, 1), r=25, keep=(0, y))
        piece = Plate(name="p", wall=Wall(outline=rectangle(40, 80), seats=(seat,)), t=6)
        assert math.copysign(1.0, solid.own_shape(piece).Center().y) == math.copysign(1.0, y)
        assert max(disagreement(piece)) < AGREE


def bar(length: float, d: float) -> cq.Solid:
    """For the odd pieces below."""
    return cq.Solid.makeCylinder(d / 2, length, cq.Vector(10, 0, 0))


def lump(length: float) -> cq.Workplane:
    return cq.Workplane().box(length, 10, 10).translate((20, 0, 0))


def pair(length: float) -> cq.Compound:
    return cq.Compound.makeCompound([cq.Solid.makeBox(length, 1, 1), cq.Solid.makeBox(1, 1, 1, cq.Vector(0, 9, 0))])


def number(x: float) -> str:
    return str(x)


def odd(function: str, *args: float, other_hand: bool = False) -> CustomPiece:
    return CustomPiece(name="odd", function=f"{__name__}:{function}", args=args, other_hand=other_hand)


def test_an_odd_piece_has_a_solid_and_a_mass() -> None:
    found = mass.of(odd("bar", 40, 20))
    assert found.kg == pytest.approx(7850e-9 * math.pi * 100 * 40, rel=1e-9)
    np.testing.assert_allclose(found.centroid, (10, 0, 20), atol=1e-9)
    assert mass.of(odd("lump", 30)).centroid[0] == pytest.approx(20)


def test_the_other_hand_of_an_odd_piece_is_mirrored() -> None:
    piece = odd("bar", 40, 20)
    assert mass.of(piece.mirrored()).centroid[0] == pytest.approx(-10)
    assert solid.shape(piece.mirrored()).isValid()


@pytest.mark.parametrize(
    ("piece", "error", "said"),
    [
        (odd("pair", 1), KernelFailed, "odd: test_solid:pair (arguments (1,)) failed: 2 solids came back"),
        (odd("number", 1), BadRecipe, "returned str"),
        (odd("nothing", 1), BadRecipe, "must be module:name of a function"),
        (CustomPiece(name="odd", function="no colon"), BadRecipe, "must be module:name of a function"),
        (CustomPiece(name="odd", function="math:pi"), BadRecipe, "must be a function"),
    ],
    ids=["two solids", "no shape", "no such function", "no colon", "not a function"],
)
def test_odd_pieces_that_give_no_solid_are_refused(piece: CustomPiece, error: type[Exception], said: str) -> None:
    with pytest.raises(error, match=re.escape(said)):
        solid.shape(piece)


@pytest.mark.parametrize(
    ("library", "package"),
    [
        ("libGL.so.1", "apt-get install libgl1;"),
        ("libX11.so.6", "dnf install libX11"),
        ("libfoo.so.9", "libfoo.so.9"),
    ],
)
def test_a_missing_system_library_is_one_line_with_its_package(library: str, package: str) -> None:
    """The text is the loader's own (glibc), as the kernel's wheels give it on a bare container."""

    def load(name: str) -> object:
        raise ImportError(f"{library}: cannot open shared object file: No such file or directory")

    with pytest.raises(kernel.MissingLibrary) as refused:
        kernel.load(load)
    said = str(refused.value)
    assert said.startswith(f"{library} is missing on this machine")
    assert package in said
    assert "\n" not in said
    assert isinstance(refused.value, KernelFailed)
    assert str(pickle.loads(pickle.dumps(refused.value))) == said


def test_another_import_error_is_left_as_it_is() -> None:
    def load(name: str) -> object:
        raise ImportError("No module named 'cadquery'")

    with pytest.raises(ImportError, match="No module named") as refused:
        kernel.load(load)
    assert not isinstance(refused.value, kernel.MissingLibrary)
