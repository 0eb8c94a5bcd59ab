"""What pieces weigh, and where the weight sits, against figures worked out elsewhere."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
from numpy.testing import assert_allclose
from plates import place, plate

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.geometry.shapes import circle, polygon, rectangle
from brackets.model import mass
from brackets.model.moments import Mass, Moments3
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Step, Tube, Turned

STEEL = 7850.0
"""kg/m3, EN 1991-1-1:2002 table A.4: 77.0 to 78.5 kN/m3; 7850 as EN 10025 stock is sold by (from memory)."""

ROUNDING = 1e-12


def block(a: float, b: float, c: float, **where: Place) -> Plate:
    return Plate(name="block", wall=Wall(outline=rectangle(a, b)), t=c, **where)


def test_a_steel_plate_weighs_what_the_sheet_says() -> None:
    """120 x 80 x 6 mm of steel: 0.45216 kg, by hand 57.6 cm3 x 7.85 g/cm3."""
    assert mass.of(block(120, 80, 6)).kg == pytest.approx(0.45216, rel=ROUNDING)


def test_a_steel_tube_weighs_and_turns_as_the_tube_tables_say() -> None:
    """38.1 x 3.2 x 250: 0.68855 kg, about its axis 211.43 kg mm2, from a tube table's area and polar moment."""
    found = mass.of(Tube(name="tube", od=38.1, wall=3.2, length=250))
    assert found.kg == pytest.approx(0.68855, abs=5e-6)
    assert found.inertia[2, 2] == pytest.approx(211.43, abs=5e-3)


def test_a_block_turns_as_a_cuboid() -> None:
    """m/12 (b2 + c2): Meriam & Kraige, Engineering Mechanics: Dynamics, table D/4 (from memory)."""
    a, b, c = 120.0, 80.0, 6.0
    found = mass.of(block(a, b, c))
    assert_allclose(found.centroid, (0, 0, c / 2), atol=ROUNDING)
    expected = found.kg / 12 * np.diag((b * b + c * c, a * a + c * c, a * a + b * b))
    assert_allclose(found.inertia, expected, rtol=ROUNDING, atol=1e-9)


def test_a_bar_and_a_ring_turn_as_cylinders() -> None:
    """m/2 r2 and m/12 (3 r2 + h2); hollow m/2 (R2 + r2): Meriam & Kraige, table D/4 (from memory)."""
    bar = mass.of(Turned(name="bar", steps=(Step(length=70, od=40),)))
    assert bar.inertia[2, 2] == pytest.approx(bar.kg * 20**2 / 2, rel=ROUNDING)
    assert bar.inertia[0, 0] == pytest.approx(bar.kg * (3 * 20**2 + 70**2) / 12, rel=ROUNDING)
    ring = mass.of(Turned(name="ring", steps=(Step(length=70, od=40, bore=30),)))
    assert ring.kg == pytest.approx(STEEL * 1e-9 * math.pi / 4 * (40**2 - 30**2) * 70, rel=ROUNDING)
    assert ring.inertia[2, 2] == pytest.approx(ring.kg * (20**2 + 15**2) / 2, rel=ROUNDING)


def test_the_products_of_inertia_carry_a_minus() -> None:
    """Two kilograms on the line y = x: -∫xy dm is negative (ISO 80000-4 has +; engineering texts have -)."""
    pair = Mass.point(1.0, (10.0, 10.0, 0.0)) + Mass.point(1.0, (-10.0, -10.0, 0.0))
    assert_allclose(pair.centroid, (0, 0, 0))
    assert pair.inertia[0, 1] == pytest.approx(-200.0)
    slant = mass.of(Plate(name="p", wall=Wall(outline=polygon([(0, 0), (60, 40), (60, 60), (0, 20)])), t=5))
    assert slant.inertia[0, 1] < 0


def test_the_arrays_cannot_be_written_to() -> None:
    found = mass.of(block(10, 10, 10))
    for array in (found.centroid, found.inertia):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1.0


@pytest.mark.parametrize("number", range(6))
def test_pieces_add_and_move_as_the_points_they_are_made_of(number: int) -> None:
    seed = random.Random(number)
    points = [(seed.uniform(0.1, 2), tuple(seed.uniform(-50, 50) for _ in range(3))) for _ in range(5)]
    total = sum((Mass.point(kg, at) for kg, at in points[1:]), Mass.point(*points[0]))
    where = place(seed)
    moved = total.moved(where)
    there = [(kg, np.array(where.point(at))) for kg, at in points]
    centre = sum(kg * p for kg, p in there) / sum(kg for kg, _ in there)
    inertia = sum(
        kg * (np.dot(p - centre, p - centre) * np.eye(3) - np.outer(p - centre, p - centre)) for kg, p in there
    )
    assert_allclose(moved.centroid, centre, rtol=1e-12, atol=1e-12)
    assert_allclose(moved.inertia, inertia, rtol=1e-12, atol=1e-9)


@pytest.mark.parametrize("number", range(4))
def test_moments_moved_are_the_mass_moved(number: int) -> None:
    seed = random.Random(number)
    own = mass.solid_moments(plate(seed))
    where = place(seed)
    a, b = own.moved(where).mass(STEEL), own.mass(STEEL).moved(where)
    assert a.kg == pytest.approx(b.kg, rel=ROUNDING)
    assert_allclose(a.centroid, b.centroid, atol=1e-10)
    assert_allclose(a.inertia, b.inertia, atol=1e-10 * np.trace(b.inertia))


def test_a_part_weighs_what_one_piece_of_the_same_metal_weighs() -> None:
    whole = mass.of(block(120, 80, 6))
    halves = [block(60, 80, 6, place=Place((x, 0, 0))) for x in (-30.0, 30.0)]
    part = Part(name="p", pieces=tuple(h.renamed(str(i)) for i, h in enumerate(halves)))
    assert part.mass.kg == pytest.approx(whole.kg, rel=ROUNDING)
    assert_allclose(part.mass.centroid, whole.centroid, atol=ROUNDING)
    assert_allclose(part.mass.inertia, whole.inertia, rtol=1e-12, atol=1e-9)


def test_the_other_hand_weighs_the_same_on_the_other_side() -> None:
    flip = np.diag((-1.0, 1.0, 1.0))
    for number in range(4):
        seed = random.Random(number)
        piece = plate(seed, seats=1)
        here, there = mass.of(piece), mass.of(piece.mirrored())
        assert there.kg == pytest.approx(here.kg, rel=1e-12)
        assert_allclose(there.centroid, flip @ here.centroid, atol=1e-9)
        assert_allclose(there.inertia, flip @ here.inertia @ flip, atol=1e-11 * np.trace(here.inertia))


def test_material_changes_the_mass_and_nothing_else() -> None:
    steel, light = (
        block(10, 10, 10),
        Plate(name="block", wall=Wall(outline=rectangle(10, 10)), t=10, material="6061-T6"),
    )
    assert mass.volume(steel) == mass.volume(light) == pytest.approx(1000.0)
    assert mass.of(light).kg == pytest.approx(2700 * 1e-6, rel=0.01)


def test_a_part_without_pieces_is_refused() -> None:
    with pytest.raises(InputError, match="at least one"):
        mass.total([])


def test_a_mass_of_nothing_is_refused() -> None:
    with pytest.raises(InputError, match="above 0"):
        Moments3().scaled(1.0) and Mass(kg=0.0, centroid=(0, 0, 0), inertia=np.zeros((3, 3)))


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        ((), "steps = none"),
        ((Step(length=0, od=10),), "length = 0 mm"),
        ((Step(length=5, od=-1),), "od = -1 mm"),
        ((Step(length=5, od=10, bore=10),), "bore = 10 mm"),
        ((Step(length=5, od=math.nan),), "od = nan mm"),
        ((Step(length=5, od=10), Step(length=5, od=30, bore=10)), "steps 1 and 2 would not hold together"),
    ],
)
def test_steps_that_are_no_metal_are_refused(steps: tuple[Step, ...], said: str) -> None:
    with pytest.raises(InputError, match=said) as refused:
        mass.volume(Turned(name="bung", steps=steps))
    assert str(refused.value).startswith("bung: ")


def test_two_wrong_steps_are_both_named() -> None:
    with pytest.raises(InputError) as refused:
        mass.volume(Turned(name="bung", steps=(Step(length=-1, od=10), Step(length=5, od=0))))
    assert len(refused.value.problems) == 2


def test_equal_pieces_are_worked_out_once() -> None:
    one = Plate(name="one", wall=Wall(outline=circle((0, 0), 20)), t=4)
    other = Plate(name="other", wall=one.wall, t=4, place=Place((5, 5, 5)), material="S355")
    assert mass.solid_moments(one) is mass.solid_moments(other)
