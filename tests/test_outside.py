"""How far a point is off a piece, and what parts two pieces, in closed form against the kernel's own solids."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Callable

import pytest
from kernel import common_volume, off
from plates import place, plate
from test_fold_samples import angle_bracket, channel, cut_to_tube
from test_tube_solid import saddle

from brackets import recipe
from brackets.core.place import Place
from brackets.forming.separation import apart, outside, outside_of
from brackets.kernel.shared import CONTACT_VOLUME, shared
from brackets.kernel.solids import shape
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate
from brackets.model.tube import BentTube, Step, Turned

EXACT = 1e-6
"""mm: closed form against the kernel's distance of a point from a solid."""

RIM = 0.03
"""Of the distance: past a coped end it is taken to points of the end's two contours, up to some mm apart where the
cut is steep; only a gap that stops is measured there."""


def turned(rng: random.Random) -> Turned:
    steps = tuple(
        Step(length=rng.uniform(3, 40), od=rng.uniform(30, 60), bore=rng.uniform(5, 25)) for _ in range(3)
    )
    return Turned(name="t", place=place(rng), steps=steps)


def bent(rng: random.Random) -> BentTube:
    points = ((0.0, 0.0, 0.0), (0.0, 0.0, 120.0), (rng.uniform(60, 120), rng.uniform(-50, 50), 220.0))
    return BentTube(name="b", place=place(rng), od=25.0, wall=2.5, points=points, bend_r=60.0)


def spots(piece: Piece, rng: random.Random, count: int) -> list[tuple[float, float, float]]:
    """Points in the box of a piece and up to 15 mm round it."""
    box = shape(piece).BoundingBox()
    ranges = [(getattr(box, f"{axis}min") - 15, getattr(box, f"{axis}max") + 15) for axis in "xyz"]
    return [tuple(rng.uniform(*span) for span in ranges) for _ in range(count)]  # type: ignore[misc]


@pytest.mark.parametrize(
    ("make", "rel"),
    [
        pytest.param(plate, 0.0, id="plate"),
        pytest.param(turned, 0.0, id="turned"),
        pytest.param(bent, RIM, id="bent tube"),
        pytest.param(saddle, RIM, id="coped tube"),
        pytest.param(lambda _: angle_bracket(), 0.0, id="angle"),
        pytest.param(lambda _: channel(120.0), 0.0, id="channel"),
    ],
)
def test_a_point_is_as_far_off_as_the_kernel_says(
    make: Callable[[random.Random], Piece], rel: float, rng: Callable[[int], random.Random]
) -> None:
    for n in range(3):
        piece = make(rng(n))
        for spot in spots(piece, rng(n), 15):
            found, true = outside(piece, spot), off(shape(piece), spot)
            assert found is not None
            assert max(0.0, found) == pytest.approx(true, rel=rel, abs=EXACT), (piece, spot)


def test_where_less_is_enough_a_point_is_told_no_nearer_than_it_is(rng: Callable[[int], random.Random]) -> None:
    for piece in (channel(120.0), angle_bracket(), plate(rng(1)), turned(rng(2))):
        near, of_one = {-1.0: 0, 0.0: 0, 8.0: 0}, outside_of(piece)
        for spot in spots(piece, rng(3), 60):
            true = outside(piece, spot)
            assert true is not None
            for enough in near:
                told = of_one(spot, enough)
                assert told == true if true > enough else told is not None and true <= told <= enough
                near[enough] += true <= enough
        assert 0 < near[0.0] < near[8.0] < 60, piece


@pytest.mark.parametrize(
    "make", [lambda rng: plate(rng, seats=2), lambda _: cut_to_tube()], ids=["plate", "folded"]
)
def test_beside_a_tube_seat_a_gap_is_never_found_too_large(
    make: Callable[[random.Random], Piece], rng: Callable[[int], random.Random]
) -> None:
    less = 0
    for n in range(3):
        piece = make(rng(n))
        for spot in spots(piece, rng(n), 15):
            found, true = max(0.0, outside(piece, spot) or 0.0), off(shape(piece), spot)
            assert found <= true + EXACT
            less += found < true - EXACT
    assert less < 30


FEW = ("tube", "arm_boss_1", "bung_boss_1")
"""Of a cross member, which has four such arms: what the kernel takes a second a pair for."""


@pytest.mark.parametrize("name", ["cross_member", "cup_on_plate", "ears_on_base", "stay"])
def test_what_is_parted_shares_no_metal_and_pressed_in_is_not_parted(name: str) -> None:
    opened = recipe(name)
    part = opened.build(opened.Params())
    parted = 0
    pieces = [piece for piece in part.pieces if name != "cross_member" or piece.name in FEW]
    for one, other in itertools.combinations(pieces, 2):
        if apart(one, other):
            parted += 1
            assert common_volume(shape(one), shape(other)) <= 1e-6, (one.name, other.name)
    assert parted
    assert shared(part) == ()


@pytest.mark.parametrize("name", ["cross_member", "stay"])
def test_any_welded_piece_moved_into_the_next_is_found(name: str) -> None:
    """Each is moved 0.5 mm towards what it is welded to: along z of a tube, square to a plate."""
    opened = recipe(name)
    part = opened.build(opened.Params())
    for weld in part.welds[:4:2]:
        one, other = part.piece(weld.piece), part.piece(weld.onto)
        middle = shape(other).Center().toTuple()
        way = [b - a for a, b in zip(shape(one).Center().toTuple(), middle, strict=True)]
        size = math.hypot(*way)
        moved = one.placed(Place(tuple(0.5 * c / size for c in way)))  # type: ignore[arg-type]
        (found,) = shared(Part(name="p", pieces=(moved, other)))
        assert found.volume > CONTACT_VOLUME
        assert found.volume == pytest.approx(common_volume(shape(moved), shape(other)), rel=1e-6)


def test_a_bung_in_its_hole_is_parted_by_the_hole() -> None:
    from brackets.geometry.shapes import rectangle
    from brackets.model.plate import Wall

    hole = Hole(at=(10.0, 5.0), d=25.0, kind="bore")
    wall = Plate(name="p", t=8.0, wall=Wall(outline=rectangle(80, 60), openings=(hole,)))
    for d, found in ((25.0, True), (24.0, True), (25.001, False)):
        bung = Turned(name="b", place=Place((10.0, 5.0, -4.0)), steps=(Step(length=20.0, od=d, bore=8.0),))
        assert apart(wall, bung) is apart(bung, wall) is found
