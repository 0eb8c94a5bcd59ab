"""Every check by hand: at its limit, with more load and more metal, outside its clause, and in rows."""

from __future__ import annotations

import numpy as np
import pytest
from hold_cases import CASES, OWN, S235, Case
from hypothesis import given, settings
from hypothesis import strategies as st
from test_sources import can_be_found

from brackets import OutOfRange, hold
from brackets.core.errors import InputError

each = pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
draws = st.lists(st.tuples(*[st.floats(0.0, 1.0)] * 4), min_size=15, max_size=15)
"""Fifteen parts: two shares of load, two of thickness."""


def test_every_check_of_the_room_has_a_case() -> None:
    """A check is what gives back a `Check`."""
    made = {n for n, f in vars(hold).items() if getattr(f, "__annotations__", {}).get("return") == "Check"}
    assert len(made) == len(CASES)


@each
def test_a_check_says_whose_it_is_its_clause_and_its_factors(case: Case) -> None:
    check = case(name="front ear, bump")
    assert check.name == "front ear, bump"
    assert can_be_found(check.clause) or check.clause.startswith("Lamé, thick cylinder (closed form)")
    assert "recommended" in check.factors
    assert check.formula
    assert 0 < check.utilisation < np.inf
    assert case(factors=hold.Factors(m0=2, m1=2, m2=2, m3=2, m5=2, m6_ser=2)).factors.endswith("2 (as typed)")


@each
def test_twice_the_factors_use_twice_as_much(case: Case) -> None:
    """Every strength is divided by its factor, once: all of them doubled, and the user's own."""
    doubled = hold.Factors(m0=2, m1=2, m2=2.5, m3=2.5, m5=2, m6_ser=2, aluminium_m1=2.2)
    times = 4 if case.name == "pin combined" else 2
    assert case(factors=doubled).utilisation == pytest.approx(times * case().utilisation, rel=1e-12)
    if case.own:
        once, twice = (case(factors=hold.Factors(own=own)).own_utilisation for own in (1.0, 2.0))
        assert twice == pytest.approx(times * once, rel=1e-12)  # type: ignore[operator]


@pytest.mark.parametrize("case", [case for case in CASES if not case().unit], ids=lambda case: case.name)
def test_shares_are_held_against_1(case: Case) -> None:
    check = case(factors=OWN)
    assert (check.limit, check.own_limit) == (1, 1)


def test_a_problem_of_a_row_shows_that_rows_figures() -> None:
    """Also where a limit is one figure for all, or a column of one."""
    bent = hold.plate_tension(1, width=[50, 40], t=[[6]], metal=S235, holes=[[10, 45]])
    assert [(one.row, one.problem[:60]) for one in bent.refused] == [
        ((0, 1), "holes = 45 mm, must be at least 0 and at most 40 mm: plate of S235"[:60])
    ]


@each
def test_utilisation_is_1_where_the_rule_is_just_met(case: Case) -> None:
    low, high = 0.0, 1e9
    for _ in range(75):
        middle = (low + high) / 2
        low, high = (middle, high) if case(middle).meets else (low, middle)
    assert case(low).utilisation == pytest.approx(1, abs=1e-9)
    assert case(low).meets
    assert not case(high * (1 + 1e-9)).meets


@settings(max_examples=20, deadline=None)
@given(draws)
def test_more_load_uses_more_and_more_metal_uses_less(drawn: list[tuple[float, ...]]) -> None:
    """300 parts, each asked of every check: with less load, with more, with more load and more metal."""
    for case in CASES:
        less, more = np.sort(np.array(drawn)[:, :2]).T
        thin, thick = case.t[0] + (case.t[1] - case.t[0]) * np.sort(np.array(drawn)[:, 2:]).T
        used = case(case.load * np.array([less, more, more]), np.array([thin, thin, thick])).utilisation
        assert (used[0] <= used[1] * (1 + 1e-12)).all(), case.name
        assert (used[2] <= used[1] * (1 + 1e-12)).all(), case.name


@each
def test_rows_are_what_a_plain_loop_gives(case: Case) -> None:
    draw = np.random.default_rng(20)
    loads = case.load * draw.uniform(0.1, 2.0, 40)
    sizes = draw.uniform(*case.t, 40)
    rows = case(loads, sizes, factors=OWN)
    loop = [case(float(load), float(t), factors=OWN) for load, t in zip(loads, sizes, strict=True)]
    assert rows.refused == ()
    assert np.broadcast_to(rows.utilisation, 40) == pytest.approx([one.utilisation for one in loop], rel=1e-12)
    assert np.broadcast_to(rows.meets, 40).tolist() == [one.meets for one in loop]
    if case.own:
        assert np.broadcast_to(rows.own_utilisation, 40) == pytest.approx([one.own_utilisation for one in loop])
    else:
        assert rows.own_utilisation is None


@pytest.mark.parametrize("case", [case for case in CASES if not case.welds], ids=lambda case: case.name)
def test_one_row_outside_is_refused_and_the_others_stand(case: Case) -> None:
    check = case(case.load * np.array([0.5, np.nan, 1.0]))
    assert {one.row for one in check.refused} == {(1,)}
    assert "nan" in check.refused[0].problem
    assert np.isinf(check.utilisation[1])
    assert not check.meets[1]
    assert check.utilisation[2] == pytest.approx(case().utilisation, rel=1e-12)
    assert check.record["utilisation"][1] is None


@pytest.mark.parametrize(
    ("case", "changed", "words"),
    [(case, changed, words) for case in CASES for changed, words in case.refused],
    ids=lambda value: value.name if isinstance(value, Case) else "",
)
def test_what_a_clause_does_not_cover_is_refused(case: Case, changed: dict[str, object], words: str) -> None:
    with pytest.raises(InputError) as error:
        case(**changed)
    assert any(words in problem for problem in error.value.problems), error.value


def test_rows_of_welds_are_refused_by_what_is_wrong_of_each() -> None:
    case = next(case for case in CASES if case.name == "simplified")
    check = case(np.array([9e3, 9e3, 9e3]), np.array([3.0, 2.9, 4.0]))
    assert {one.row for one in check.refused} == {(1,)}
    assert check.meets.tolist() == [True, False, True]
    with pytest.raises(InputError, match="must be three finite numbers"):
        case(np.array([9e3, np.nan]))


def test_where_nothing_is_allowed_nothing_meets() -> None:
    """Holes as wide as the plate, a preload that is all pulled away, a wall that is pressed to twice its share."""
    bare = hold.plate_tension(0, width=50, t=6, metal=S235, holes=50)
    assert (bare.limit, bare.utilisation, bare.meets) == (0, np.inf, False)
    apart = hold.bolt_slip(1, bolt="M12", grade="8.8", preload=4e4, tension=5e4)
    assert (apart.utilisation, apart.meets) == (np.inf, False)
    pressed = hold.ear_on_tube(10, ear=60, od=60.3, wall=4, metal=S235, pressed=235, factors=hold.Factors(own=2))
    assert pressed.utilisation < 1
    assert (pressed.own_utilisation, pressed.meets) == (np.inf, False)


def test_everything_that_is_wrong_is_said_at_once() -> None:
    with pytest.raises(InputError) as error:
        hold.bolt_bearing(-5, bolt="M13", grade="12.9", hole=22, t=-1, metal=S235, e1=np.nan, e2=10)
    said = str(error.value)
    assert all(word in said for word in ("force = -5 N", "M13", "12.9", "t = -1 mm", "e1 = nan mm"))
    with pytest.raises(InputError) as error:
        hold.bolt_combined(-5, -6, bolt="M12", grade="8.8")
    assert len(error.value.problems) == 2


def test_words_are_no_number() -> None:
    with pytest.raises(InputError, match="force = 'much', must be a number in N: bolt 8.8 in shear"):
        hold.bolt_shear("much", bolt="M12", grade="8.8")


@pytest.mark.parametrize(
    "name", ["unknown steel", "DC01", "4130 normalised", "stainless 304", "cast iron", "natural rubber"]
)
def test_a_metal_without_a_strength_to_count_on_is_refused(name: str) -> None:
    with pytest.raises(OutOfRange, match=f"material = {name}, must be S235, S275, S355"):
        hold.metal(name, 6)


def test_thin_metal_is_refused_where_it_is_welded_and_thick_where_the_table_ends() -> None:
    assert hold.metal("S235", 3).fy == 235
    with pytest.raises(OutOfRange, match="t = 2.99 mm, must be 3 to 80 mm: thickness of S235 in a welded part"):
        hold.metal("S235", 2.99)
    assert hold.metal("S235", 1.5, welded=False).fy == 235
    with pytest.raises(OutOfRange, match="t = 81 mm"):
        hold.metal("S235", 81)
    assert hold.metal("S355", [40, 41]).fy.tolist() == [355, 335]  # EN 1993-1-1:2005 table 3.1
    with pytest.raises(OutOfRange, match="t = nan mm"):
        hold.metal("S235", float("nan"))


def test_aluminium_counts_with_what_it_has_beside_a_weld() -> None:
    """6061-T6 extruded 240/260, beside a weld 115/175: EN 1999-1-1:2007 table 3.2b; gamma_M1 1.1 (from memory)."""
    of = hold.metal("6061-T6", 6)
    assert (of.fy, of.fu) == (115, 175)
    check = hold.plate_bending(30e3, width=50, t=6, metal=of)
    assert check.limit == pytest.approx(115 / 1.1)
    assert "EN 1999-1-1:2007" in check.clause


def test_plate_in_a_weld_is_4_mm_and_a_tube_wall_3() -> None:
    """EN 1993-1-8:2005 4.1(1): from 4 mm; hollow sections from 2.5 (7.1.1(5)), here from 3."""
    group = hold.WeldGroup([hold.WeldSegment((0, 0, 0), (60, 0, 0), 3)])
    asked = {"force": (0, 0, 1e3), "at": (30, 0, 0), "metal": S235}
    with pytest.raises(OutOfRange, match="t = 3.9 mm, must be at least 4 mm"):
        hold.fillet_simplified(group, t=3.9, **asked)
    assert hold.fillet_simplified(group, t=3.0, hollow=True, **asked).meets
    with pytest.raises(OutOfRange, match="t = 2.9 mm, must be at least 3 mm"):
        hold.fillet_simplified(group, t=2.9, hollow=True, **asked)
    thin = hold.WeldGroup([hold.WeldSegment((0, 0, 0), (60, 0, 0), 2.9)])
    with pytest.raises(OutOfRange, match="throat = 2.9 mm, must be at least 3 mm"):
        hold.fillet_simplified(thin, t=6, **asked)
    short = hold.WeldGroup([hold.WeldSegment((0, 0, 0), (41, 0, 0), 7)])
    with pytest.raises(OutOfRange, match="run = 41 mm, must be at least 42 mm"):
        hold.fillet_simplified(short, t=10, **asked)


def test_the_second_column_counts_yield_over_the_users_own_factor() -> None:
    check = hold.plate_tension(20e3, width=50, t=6, metal=S235, holes=13.5, factors=OWN)
    assert check.limit == pytest.approx(0.9 * 36.5 * 6 * 360 / 1.25)
    assert check.own_limit == pytest.approx(0.9 * 36.5 * 6 * 235 / 1.5)
    assert check.own_utilisation == pytest.approx(20e3 / check.own_limit)
    assert not hold.plate_tension(31e3, width=50, t=6, metal=S235, holes=13.5, factors=OWN).meets
    assert hold.plate_tension(31e3, width=50, t=6, metal=S235, holes=13.5).meets
    with pytest.raises(OutOfRange) as error:
        hold.Factors(m2=0.9, own=0.0)
    assert len(error.value.problems) == 2


def test_nothing_that_is_printed_says_more_than_it_may() -> None:
    for case in CASES:
        said = " ".join(map(str, case().record.values())).lower()
        assert not any(word in said for word in ("safe", "compl", "approved", "sufficient")), case.name
