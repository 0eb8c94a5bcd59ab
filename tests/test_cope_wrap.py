"""Wraps: where lines and marks lie on the paper, and what a cut without a bevel costs."""

from __future__ import annotations

import math
from typing import Literal

import pytest

from brackets.core.errors import InputError
from brackets.forming.wrap import is_square, lengths, lip_gap, wrap
from brackets.model.cope import contour
from brackets.model.tube import Tube, TubeEnd

SADDLE = Tube(
    name="strut",
    od=40,
    wall=3,
    length=200,
    start=TubeEnd(kind="saddle", angle=60, r=25, clock=30, offset=4),
    end=TubeEnd(kind="saddle", angle=70, r=15, clock=200, offset=-9),
)
ENDS: list[Literal["start", "end"]] = ["start", "end"]


@pytest.mark.parametrize(
    ("main_r", "angle", "gap"), [(25, 90, 3.3), (30, 45, 3.9), (20, 90, 10.5)], ids=["50", "60", "40"]
)
def test_lip_of_40_by_3_fouls_by(main_r: float, angle: float, gap: float) -> None:
    # own derivation: the largest difference of inner and outer contour
    tube = Tube(name="t", od=40, wall=3, length=200, start=TubeEnd(kind="saddle", angle=angle, r=main_r))
    assert lip_gap(tube, "start") == pytest.approx(gap, abs=0.05)


def test_paper_of_a_tenth_is_a_third_of_a_mm_longer_round() -> None:
    assert wrap(SADDLE, "start", paper=0.1).width - math.pi * 40 == pytest.approx(0.314, abs=5e-4)


@pytest.mark.parametrize("which", ENDS)
def test_lines_lie_on_the_contours(which: Literal["start", "end"]) -> None:
    made = wrap(SADDLE, which)
    for line, r in ((made.cut, 20.0), (made.lip, 17.0)):
        for x, y in line:
            theta = made.seam + made.turn * x / made.per_degree
            assert y == pytest.approx(contour(SADDLE, which, theta, r), abs=1e-9)


@pytest.mark.parametrize("which", ENDS)
def test_chords_leave_the_curve_by_a_micron_at_most(which: Literal["start", "end"]) -> None:
    made = wrap(SADDLE, which)
    worst = 0.0
    for (ax, ay), (bx, by) in zip(made.cut, made.cut[1:], strict=False):
        for k in range(1, 8):
            x, y = ax + (bx - ax) * k / 8, ay + (by - ay) * k / 8
            off = contour(SADDLE, which, made.seam + made.turn * x / made.per_degree, 20) - y
            worst = max(worst, abs(off) * (bx - ax) / math.hypot(bx - ax, by - ay))
    assert worst < 0.0015


def test_clock_line_runs_up_the_middle_and_degrees_run_apart_on_the_two_ends() -> None:
    start, end = wrap(SADDLE, "start"), wrap(SADDLE, "end")
    assert start.x(0) == pytest.approx(start.width / 2) == end.x(0)
    assert start.x(90) == pytest.approx(0.75 * start.width)
    assert end.x(90) == pytest.approx(0.25 * end.width)


def test_no_bevel_cut_is_nowhere_above_either_contour() -> None:
    made = wrap(SADDLE, "start", style="no bevel")
    for x, y in made.cut:
        theta = made.seam + x / made.per_degree
        assert y == pytest.approx(max(contour(SADDLE, "start", theta, r) for r in (20.0, 17.0)), abs=1e-9)


def test_short_point_is_the_acute_side_of_a_central_cope() -> None:
    tube = Tube(name="t", od=40, wall=3, length=200, end=TubeEnd(kind="saddle", angle=50, r=25, clock=75))
    made = wrap(tube, "end")
    assert made.short[0] == pytest.approx(75)
    assert made.long[0] == pytest.approx(255, abs=90)
    assert made.short[1] - made.long[1] > 0


def test_lengths_of_a_mitred_tube() -> None:
    tube = Tube(name="t", od=40, wall=3, length=200, start=TubeEnd(kind="plane", angle=45))
    cut = lengths(tube)
    assert (cut.node, cut.long, cut.short) == pytest.approx((200, 220, 180))


@pytest.mark.parametrize("wrong", [{"paper": -0.1}, {"paper": 5.0}, {"overlap": -1.0}], ids=str)
def test_paper_that_makes_no_sense_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(InputError, match=next(iter(wrong))):
        wrap(SADDLE, "start", **wrong)


@pytest.mark.parametrize(("shift", "square"), [(17.5, False), (20.5, True)])
def test_an_end_is_square_where_no_other_cut_reaches_past_the_square_one(shift: float, square: bool) -> None:
    """A mitre of 45 degrees reaches 20 into a tube of 40: its bore's 17 do not show it."""
    mitre = TubeEnd(kind="plane", angle=45)
    tube = Tube(name="t", od=40, wall=3, length=200, start=mitre, start_also=(TubeEnd(shift=shift),))
    assert is_square(tube, "start") == square
