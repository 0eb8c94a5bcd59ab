"""How stiff bushes and bobbins are: the table against finite elements, closed forms and published limits."""

from __future__ import annotations

import math
import random
from collections.abc import Callable

import bush_elements as elements
import pytest

from brackets.core.errors import InputError, OutOfRange
from brackets.core.tables.bush_table import bobbin, bush
from brackets.core.tables.data_files import csv_rows
from brackets.hang.bobbin import bobbin_stiffness
from brackets.hang.bonded import RADII, SLENDER, TABLE_ERROR, bush_stiffness
from brackets.hang.bush import SOLID, TYPED_PM, bobbin_springs, bush_springs, springs_of_row
from brackets.hang.hardness import RubberModulus, gent_young, rubber_modulus
from brackets.hang.measured import Known, measured_stiffness

EVEN = RubberModulus(
    hardness=50, shear=1, shear_low=1, shear_high=1, young=3, k=1, bulk=5000, source="even, nearly incompressible"
)
"""Rubber as the finite elements have it: E = 3 G, k = 1; bulk modulus of Poisson's ratio 0.4999."""


def long_radial(a: float, b: float, shear: float) -> float:
    """N/mm per mm of length, plane strain (Adkins and Gent 1954)."""
    return 4 * math.pi * shear * (a * a + b * b) / ((a * a + b * b) * math.log(b / a) - (b * b - a * a))


def short_radial(a: float, b: float, shear: float) -> float:
    """N/mm per mm of length, plane stress (Adkins and Gent 1954)."""
    return 80 * math.pi * shear * (a * a + b * b) / (25 * (a * a + b * b) * math.log(b / a) - 9 * (b * b - a * a))


def test_the_closed_forms_are_the_published_limits() -> None:
    """Adkins and Gent 1954, a 10, b 20, G 0.64: 86.3416 and 13.4843 N/mm per mm (checked by one-dimensional FE)."""
    assert long_radial(10, 20, 0.64) == pytest.approx(86.3416, abs=5e-5)
    assert short_radial(10, 20, 0.64) == pytest.approx(13.4843, abs=5e-5)


def test_a_bush_of_ordinary_length_is_far_from_both_limits() -> None:
    """Finite elements at Poisson's ratio 0.4999, length 40, by another hand: 1493 N/mm, between 539 and 3454."""
    found = bush_stiffness(10, 20, 40, 0.64)
    assert found.radial == pytest.approx(1493, rel=0.01)
    assert short_radial(10, 20, 0.64) * 40 < found.radial < long_radial(10, 20, 0.64) * 40


def test_axial_and_torsion_of_the_same_bush() -> None:
    """Axial 219.3 N/mm by finite elements, 232.06 by the long form; torsion 0.7486 Nm/deg, exact."""
    found = bush_stiffness(10, 20, 40, 0.64)
    assert found.axial == pytest.approx(219.3, rel=0.002)
    assert found.axial < 2 * math.pi * 0.64 * 40 / math.log(2) == pytest.approx(232.06, abs=0.01)
    assert found.torsion * math.radians(1) / 1000 == pytest.approx(0.7486, abs=5e-5)


@pytest.mark.parametrize(("slender", "wanted"), [(1, 25.7), (2, 34.5), (4, 58.3), (6, 77.8), (8, 90.6)])
def test_radial_over_length_by_slenderness(slender: float, wanted: float) -> None:
    """K/(G L) at b/a = 2 by finite elements of another hand: within 1.5 %."""
    length = slender * 10
    assert bush_stiffness(10, 20, length, 1).radial / length == pytest.approx(wanted, rel=0.015)


def test_a_long_bush_comes_near_the_long_form_and_a_short_one_the_short_form() -> None:
    """As length / thickness grows K/L tends to plane strain, as it falls to plane stress: finite elements alone
    (the table ends before), and the axial stiffness to 2 pi G / log(b/a)."""
    (long,) = elements.stiffnesses(("radial",), 10, 20, 600, count=8, nu=0.49999)
    (longer,) = elements.stiffnesses(("radial",), 10, 20, 1200, count=10, nu=0.49999)
    assert (longer - long) / 600 == pytest.approx(long_radial(10, 20, 1), rel=0.01)
    (short,) = elements.stiffnesses(("radial",), 10, 20, 0.25, count=8)
    assert short / 0.25 == pytest.approx(short_radial(10, 20, 1), rel=0.02)
    (axial,) = elements.stiffnesses(("axial",), 10, 20, 400, count=8)
    assert axial / 400 == pytest.approx(2 * math.pi / math.log(2), rel=0.01)


def test_three_meshes_converge() -> None:
    """Each halving of the elements moves the figure by less than half of the one before, and 8 are within 0.1 %."""
    coarse, middle, fine = (
        elements.stiffnesses(("radial", "conical"), 10, 20, 40, count=count) for count in (4, 8, 16)
    )
    for k in range(2):
        assert abs(fine[k] - middle[k]) < 0.5 * abs(middle[k] - coarse[k])
        assert middle[k] == pytest.approx(fine[k], rel=1e-3)
        assert coarse[k] > middle[k] > fine[k]  # a displacement field with too few waves is too stiff


def test_tetrahedra_over_an_eighth_of_the_ring_agree() -> None:
    """Another route: three-dimensional, P2 displacements and P1 pressure, no Fourier terms: within 2 %."""
    found = elements.solid_radial(10, 20, 40, cells=(4, 8, 5)) * 0.64
    assert found == pytest.approx(bush_stiffness(10, 20, 40, 0.64).radial, rel=0.02)


@pytest.mark.parametrize("row", [5, 77, 140])
def test_a_row_of_the_table_is_what_its_script_works_out(row: int) -> None:
    cells = csv_rows("bonded.csv")[row]
    radii, slender = float(cells["radii"]), float(cells["slender"])
    again = elements.factors(radii, slender, count=8)
    for name, value in zip(("radial", "axial", "conical", "sliding"), again, strict=True):
        assert float(cells[name]) == pytest.approx(value, rel=2e-3), name


def test_the_table_has_the_nodes_that_are_interpolated_between() -> None:
    rows = [(float(row["radii"]), float(row["slender"])) for row in csv_rows("bonded.csv")]
    (a, b), (c, d) = elements.RADII, elements.SLENDER
    assert (a, b, c, d) == (*RADII, *SLENDER)
    x = [math.exp(math.exp(v)) for v in elements.nodes((math.log(math.log(a)), math.log(math.log(b))), 11)]
    y = [math.exp(v) for v in elements.nodes((math.log(c), math.log(d)), 13)]
    assert rows == [(pytest.approx(p, rel=1e-7), pytest.approx(q, rel=1e-7)) for p in x for q in y]


def off_the_table(radii: float, slender: float, count: int) -> float:
    """How far the four figures of a bush are from finite elements, relative, at worst."""
    length = 10 * slender * (radii - 1)
    found = bush_stiffness(10, 10 * radii, length, 1)
    sizes = (found.radial, found.axial, found.conical / length**2, found.sliding)
    again = elements.factors(radii, slender, count=count)
    return max(abs(value / length / wanted - 1) for value, wanted in zip(sizes, again, strict=True))


@pytest.mark.parametrize(("radii", "slender"), [(RADII[0], SLENDER[1]), (1.9, 1.4), (3.4, 5.7)])
def test_between_its_nodes_the_table_is_within_its_error(radii: float, slender: float) -> None:
    assert off_the_table(radii, slender, count=10) < TABLE_ERROR


@pytest.mark.fuzz
def test_random_bushes_are_within_the_error_of_the_table(fuzz: int, rng: Callable[[int], random.Random]) -> None:
    for n in range(fuzz):
        radii = math.exp(math.exp(rng(n).uniform(*(math.log(math.log(r)) for r in RADII))))
        slender = math.exp(rng(n + 1).uniform(*(math.log(s) for s in SLENDER)))
        assert off_the_table(radii, slender, count=16) < TABLE_ERROR, (radii, slender)


def test_stiffness_follows_size_and_modulus() -> None:
    """Twice the size is twice as stiff straight and eight times as stiff in turning; twice the modulus twice."""
    one, twice, hard = (bush_stiffness(*size) for size in ((10, 20, 40, 1), (20, 40, 80, 1), (10, 20, 40, 2)))
    for name, power in (("radial", 1), ("axial", 1), ("sliding", 1), ("torsion", 3), ("conical", 3)):
        assert getattr(twice, name) == pytest.approx(2**power * getattr(one, name), rel=1e-9)
        assert getattr(hard, name) == pytest.approx(2 * getattr(one, name), rel=1e-12)
    assert one.sliding < one.radial


def test_sizes_outside_the_table_are_refused_all_at_once() -> None:
    with pytest.raises(OutOfRange) as wrong:
        bush_stiffness(10, 70, 10, 0.64)
    assert wrong.value.problems == (
        "outer_r / inner_r = 7, must be 1.15 to 6: how thick the rubber is for its sleeve",
        "length / (outer_r - inner_r) = 0.1667, must be 0.4 to 10: how long the rubber is for its thickness",
    )
    with pytest.raises(InputError) as wrong:
        bush_stiffness(-1, 20, float("nan"), 0)
    assert len(wrong.value.problems) == 3
    with pytest.raises(OutOfRange, match=r"outer_r = 10 mm, must be over inner_r = 20 mm"):
        bush_stiffness(20, 10, 40, 0.64)
    for edge in (10 * RADII[0], 10 * RADII[1]):
        assert bush_stiffness(10, edge, (edge - 10) * SLENDER[1], 1).radial > 0


@pytest.mark.parametrize(("hardness", "shear"), [(40, 0.45), (50, 0.64), (60, 1.06), (70, 1.73)])
def test_modulus_by_hardness(hardness: float, shear: float) -> None:
    """Lindley, Engineering Design with Natural Rubber (from memory)."""
    found = rubber_modulus(hardness)
    assert found.shear == pytest.approx(shear, rel=1e-12)
    assert found.shear_low == rubber_modulus(hardness - 5).shear
    assert found.shear_high == rubber_modulus(hardness + 5).shear if hardness < 70 else found.shear_high > shear


def test_two_sources_of_the_modulus_agree_within_the_scatter() -> None:
    """Gent 1958 by the indentation itself, against Lindley's table: E / 3 lies within what ± 5 IRHD leave open."""
    for hardness in (40, 50, 60, 65):
        found = rubber_modulus(hardness)
        assert 0.9 * found.shear_low < gent_young(hardness) / 3 < 1.1 * found.shear_high


def test_hardness_between_rows_rises_and_what_is_outside_is_refused() -> None:
    figures = [rubber_modulus(h / 2).shear for h in range(60, 151)]
    assert all(a < b for a, b in zip(figures, figures[1:], strict=False))
    with pytest.raises(InputError, match=r"hardness = 80, must be 30 to 75: IRHD or Shore A of rubber"):
        rubber_modulus(80)
    with pytest.raises(InputError) as wrong:
        rubber_modulus(20, pm=-1)
    assert len(wrong.value.problems) == 2
    assert rubber_modulus(80, material="poly").shear > rubber_modulus(75).shear


def test_poly_by_gent_is_wider_than_its_hardness_says() -> None:
    """Shore A 80: E = 0.0981 (56 + 609.87) / (0.137505 x 50.8) = 9.351, G 3.117; 75 and 85 with a quarter more."""
    found = rubber_modulus(80, material="poly")
    assert (found.young, found.k, found.bulk) == (pytest.approx(9.3513, abs=1e-4), 1.0, 2000.0)
    assert found.shear == pytest.approx(found.young / 3)
    assert found.shear_low == pytest.approx(0.75 * gent_young(75) / 3)
    assert found.shear_high == pytest.approx(1.25 * gent_young(85) / 3)


@pytest.mark.parametrize("height", [100, 25, 6])
def test_a_bobbin_by_its_shape_is_near_finite_elements(height: float) -> None:
    """Gent and Lindley 1959, Gent and Meinecke 1970, against Taylor-Hood elements of the same even rubber."""
    wanted, found = elements.bobbin(25, height, count=5), bobbin_stiffness(50, height, EVEN)
    assert 0.93 < found.compression / wanted["compression"] < 1.04
    assert 0.93 < found.shear / wanted["shear"] < 1.04
    assert 0.88 < found.tilt / wanted["tilt"] < 1.01


def test_a_bobbin_worked_out_by_hand() -> None:
    """d 50, height 34, hardness 50: A 1963.5, S 0.36765, E 2.2 (1 + 1.46 S^2) = 2.634, in series with 1030: 2.627;
    K 151.7. Shear 0.64 A / 34 = 36.96 over 1 + 34^2 / (36 x 12.5^2) = 1.2055: 30.66."""
    found = bobbin_stiffness(50, 34, rubber_modulus(50))
    assert found.compression == pytest.approx(151.7, abs=0.05)
    assert found.shear == pytest.approx(30.66, abs=0.005)
    assert found.torsion == pytest.approx(0.64 * math.pi * 50**4 / 32 / 34, rel=1e-12)
    with pytest.raises(OutOfRange, match=r"d / \(4 height\) = 0.1, must be 0.125 to 6: shape factor"):
        bobbin_stiffness(40, 100, rubber_modulus(50))


def test_a_measured_slope_between_two_readings() -> None:
    """(610 - 290) N over 1 mm = 320 N/mm; each travel ± 0.02, the span ± 0.04: 320 / 1.04 and 320 / 0.96."""
    found = measured_stiffness([(2, 610), (0, 0), (1, 290), (3, 960)], load=500, travel_pm=0.02)
    assert (found.value, found.low, found.high) == (
        pytest.approx(320), pytest.approx(320 / 1.04), pytest.approx(320 / 0.96)
    )  # fmt: skip
    line = measured_stiffness([(0, 0), (1, 300), (2, 600)])
    assert (line.value, line.low, line.high) == (pytest.approx(300), pytest.approx(300), pytest.approx(300))


def test_readings_that_make_no_sense_are_refused() -> None:
    for points, more, said in (
        ([(0, 0)], {}, "points = 1, must be two or more: readings"),
        ([(0, 0), (1, -5)], {}, "both must rise"),
        ([(0, 0), (1, 100)], {"load": 500}, "load = 500 N, must be 0 to 100 N: where it was measured"),
        ([(0, 0), (1, 100)], {"travel_pm": 0.5}, "must be under half of the range"),
        ([(5, 0), (6, 100)], {"travel_pm": 0.5}, "must be under half of the range"),
        ([(0, 0), (1, 100)], {"load_pm": -1}, "load_pm = -1 N, must be 0 or more"),
        ([(0, 0), (math.nan, 100)], {}, "must be finite: a reading"),
    ):
        with pytest.raises(InputError) as wrong:
            measured_stiffness(points, **more)  # type: ignore[arg-type]
        assert said in str(wrong.value)


def test_what_was_measured_wins_then_what_is_typed_then_the_rubber() -> None:
    measured = Known(value=400.0, low=380.0, high=420.0, how="measured")
    found = springs_of_row(bush("R60"), {"radial": measured})
    assert found.radial is measured
    assert found.axial == Known.about(104, TYPED_PM, bush("R60").known)
    rubber = bush_stiffness(9, 28.5, 38, rubber_modulus(45).shear)
    assert found.conical is not None
    assert found.conical.value == pytest.approx(rubber.conical)
    assert found.scatter == (pytest.approx(0.8), pytest.approx(1.2))
    assert (found.travel, found.load, found.heat, found.dynamic) == ((7, 6), 2600, 80, 1.3)
    with pytest.raises(InputError, match=r"measured = 'sideways', must be one of radial, axial, torsion, conical"):
        springs_of_row(bush("R60"), {"sideways": measured})


def test_a_row_that_says_nothing_of_a_direction_is_told_or_refused() -> None:
    from dataclasses import replace

    assert springs_of_row(bobbin("S50")).notes == (
        "bush S50: nothing says its torsion stiffness, taken as none",
        "bush S50: nothing says its conical stiffness, taken as none",
    )
    with pytest.raises(InputError) as wrong:
        springs_of_row(replace(bobbin("S50"), stiffness_radial=None, stiffness_axial=None))
    assert len(wrong.value.problems) == 2


def test_rubber_poly_and_solid_are_in_that_order() -> None:
    rubber, poly, solid = (
        bush_springs("rubber", 10, 20, 40, 50), bush_springs("poly", 10, 20, 40, 80),
        bush_springs("solid", 10, 20, 40),
    )  # fmt: skip
    assert rubber.radial.high < poly.radial.value < poly.radial.high < solid.radial.value == SOLID
    assert poly.torsion is None  # it turns on its sleeve
    assert poly.radial.low < poly.radial.value < poly.radial.high
    assert poly.notes
    for material, hardness, said in (
        ("solid", 50, "must not be typed"), ("rubber", None, "must be typed"), ("jelly", 50, "must be one of"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=said):
            bush_springs(material, 10, 20, 40, hardness)  # type: ignore[arg-type]
    made = bobbin_springs(50, 34, 50)
    assert made.radial.value < made.axial.value


def test_a_bush_makes_a_mount_with_its_axis() -> None:
    springs = bush_springs("rubber", 10, 20, 40, 50)
    mount = springs.mount("left", (1, 2, 3), (0, 1, 0))
    straight, turning = mount.outer
    assert straight.tolist() == [
        [pytest.approx(springs.radial.value), 0, 0], [0, pytest.approx(springs.axial.value), 0],
        [0, 0, pytest.approx(springs.radial.value)],
    ]  # fmt: skip
    assert springs.torsion is not None
    assert turning[1, 1] == pytest.approx(springs.torsion.value)
    assert (mount.low, mount.high) == springs.scatter
