"""Charts on paper: axes whose ticks are round, names that do not lie on one another, bars to scale."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets.drawing.charts import (
    LINE,
    Axis,
    apart,
    bar,
    level_axis,
    moved,
    named_ends,
    rounded,
    run,
    said,
    span,
    upright_axis,
)
from brackets.drawing.labels import touches
from brackets.drawing.record import Stroke, Words


def test_an_axis_lays_values_to_scale_straight_and_by_logarithms() -> None:
    straight = Axis(-50.0, 150.0, 10.0, 110.0)
    assert [straight.at(v) for v in (-50, 0, 150)] == [10, 35, 110]
    by_log = Axis(0.1, 1000.0, 0.0, 80.0, log=True)
    assert [by_log.at(v) for v in (0.1, 1, 1000)] == pytest.approx([0, 20, 80])
    assert by_log.ticks == (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)


@settings(max_examples=60, deadline=None)
@given(
    low=st.floats(-1e5, 0), high=st.floats(1e-3, 1e6), long=st.floats(25, 200)
)
def test_ticks_are_on_the_axis_round_and_not_crowded(low: float, high: float, long: float) -> None:
    """Every axis here has its 0, which is a tick of each."""
    axis, reach = Axis(low, high, 0.0, long), high - low
    ticks = axis.ticks
    assert 0 in ticks
    assert all(low - 1e-6 * reach <= tick <= low + reach * (1 + 1e-6) for tick in ticks)
    steps = {float(f"{b - a:.6g}") for a, b in pairwise(ticks)}
    assert len(steps) <= 1
    for step in steps:
        assert step / 10 ** math.floor(math.log10(step * (1 + 1e-9))) == pytest.approx(
            min((1, 2, 5), key=lambda m: abs(step / 10 ** math.floor(math.log10(step * (1 + 1e-9))) - m))
        )
        assert step / reach * long >= 10.9


@pytest.mark.parametrize(("value", "wanted"), [(1, 1), (1.01, 2), (2.3, 5), (5.5, 10), (0.03, 0.05), (700, 1000)])
def test_a_step_is_rounded_up_to_one_two_or_five(value: float, wanted: float) -> None:
    assert rounded(value) == pytest.approx(wanted)


@settings(max_examples=80, deadline=None)
@given(wanted=st.lists(st.floats(0, 60), min_size=1, max_size=12))
def test_names_in_a_column_are_a_line_apart_in_order_and_in_the_field(wanted: list[float]) -> None:
    found = apart(sorted(wanted), LINE, 0.0, 60.0)
    assert all(b - a >= LINE - 1e-9 for a, b in pairwise(found))
    assert found[0] >= -1e-9
    assert found[-1] <= 60 + 1e-9


def test_names_with_room_stay_where_they_are_and_two_that_meet_share_the_middle() -> None:
    assert apart([5.0, 20.0, 40.0], 3.0, 0.0, 60.0) == [5.0, 20.0, 40.0]
    assert apart([10.0, 10.0], 3.0, 0.0, 60.0) == [8.5, 11.5]
    assert apart([10.0, 11.0, 12.0], 3.0, 0.0, 60.0) == [8.0, 11.0, 14.0]
    assert apart([1.0, 1.0], 3.0, 0.0, 60.0) == [0.0, 3.0]
    assert apart([59.0, 60.0], 3.0, 0.0, 60.0) == [57.0, 60.0]
    assert apart([0.0] * 4, 3.0, 0.0, 6.0) == [0.0, 3.0, 6.0, 9.0]  # no room for all: none is left out


@settings(max_examples=40, deadline=None)
@given(heights=st.lists(st.floats(0, 60), min_size=1, max_size=10))
def test_no_two_names_of_curves_touch(heights: list[float]) -> None:
    ink = [*named_ends([(f"mount {y:.2f}", (100.0, y)) for y in heights], 105.0, 0.0, 60.0)]
    boxes = [one.box for one in ink if isinstance(one, Words)]
    assert len(boxes) == len(heights)
    assert not any(touches(a, b) for i, a in enumerate(boxes) for b in boxes[:i])
    assert sum(isinstance(one, Stroke) for one in ink) == len(heights)


def test_axes_carry_their_figures_and_their_unit() -> None:
    across = [*level_axis(Axis(0.0, 400.0, 20.0, 120.0), 10.0, "force, N")]
    words = {one.text for one in across if isinstance(one, Words)}
    assert words == {"0", "50", "100", "150", "200", "250", "300", "350", "400", "force, N"}
    upright = [*upright_axis(Axis(0.0, 40.0, 10.0, 70.0), 20.0, "Hz")]
    boxes = [one.box for one in (*across, *upright) if isinstance(one, Words)]
    assert not any(touches(a, b) for i, a in enumerate(boxes) for b in boxes[:i])
    assert max(one.box[2] for one in upright if isinstance(one, Words) and one.text != "Hz") < 20


def test_a_bar_reaches_its_value_and_its_span_both_ends() -> None:
    axis = Axis(-100.0, 100.0, 0.0, 100.0)
    (box,) = bar(axis, -40.0, 5.0, 2.0)
    assert box.bounds == pytest.approx((30, 4, 50, 6))
    (tick,) = bar(axis, 0.0, 5.0, 2.0)
    assert tick.bounds == pytest.approx((50, 4, 50, 6))
    whole = [one.bounds for one in span(axis, -60.0, -20.0, 5.0, 2.0)]
    assert (min(b[0] for b in whole), max(b[2] for b in whole)) == pytest.approx((20, 40))
    assert [*span(axis, 3.0, 3.0, 5.0, 2.0)] == []


def test_what_is_moved_is_the_same_elsewhere() -> None:
    ink = [Words((1.0, 2.0), "a"), *bar(Axis(0.0, 10.0, 0.0, 10.0), 4.0, 1.0, 2.0)]
    there = [*moved(ink, (5.0, -3.0))]
    assert isinstance(there[0], Words)
    assert there[0].at == (6.0, -1.0)
    assert isinstance(there[1], Stroke)
    assert there[1].bounds == pytest.approx((5, -3, 9, -1))


def test_a_curve_of_one_point_is_none_and_figures_have_no_idle_noughts() -> None:
    assert run([(1.0, 1.0), (1.0, 1.0)], "cut") is None
    assert [said(v) for v in (0.0, -0.0, 2.0, 0.25, 1e6)] == ["0", "0", "2", "0.25", "1000000"]
