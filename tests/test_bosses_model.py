"""The parts of a survey's solution against sums done by hand: slopes, free moves, fits, what tests can tell."""

from __future__ import annotations

import math
from itertools import combinations
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.stats import norm

from brackets.survey import suspects
from brackets.survey.model import AT_ONCE, Fit, Model, build, fit_many
from brackets.survey.readings import DatumEdge as Edge
from brackets.survey.readings import MeasuredHole as Hole
from brackets.survey.readings import Reading
from brackets.survey.search import Without
from brackets.survey.solve import solve
from brackets.survey.suspects import ALARM, CHECKED, POWER, _contradicts, _far, _plausible, aligned, reliability

AT = np.array([(3.0, -5.0, 0.0), (61.0, 4.0, 7.0), (22.0, 48.0, -3.0), (70.0, 60.0, 2.0)])


def surveyed(*, solid: bool) -> Model:
    """Four holes, two of them with a diameter, and a reading of every kind."""
    holes = [Hole(name="a", d=10.0), Hole(name="b", d=8.0), Hole(name="c"), Hole(name="d")]
    kinds = {"ab": "outside", "ac": "centre", "bd": "step", "ad": "centre", "bc": "step", "cd": "centre"}
    readings = [Reading(between=(p[0], p[1]), value=50.0, how=how) for p, how in kinds.items()]
    readings += [
        Reading(between=("a", "b"), value=50.0, how="inside", level=True),
        Reading(between=("left", "a"), value=5.0, how="inside"),
        Reading(between=("base", "b"), value=5.0, how="outside"),
    ]
    return build(readings, holes, [Edge(name="left", axis="x"), Edge(name="base", axis="y", at=2.0)], solid=solid)


@pytest.mark.parametrize("solid", [False, True])
def test_every_reading_moves_with_every_unknown_as_the_slopes_say(solid: bool) -> None:
    """Against differences over a thousandth either way: what bends within it is some 1e-8."""
    model = surveyed(solid=solid)
    x = model.start(AT)
    assert len(x) == model.columns == (4 * 3 + 2 if solid else 4 * 2 + 3 + 2)
    _, slopes = model.predict(x)
    step = 1e-3
    for k in range(model.columns):
        more, less = x.copy(), x.copy()
        more[k] += step
        less[k] -= step
        change = (model.predict(more)[0] - model.predict(less)[0]) / (2 * step)
        assert slopes[:, k] == pytest.approx(change, abs=1e-6), k


@pytest.mark.parametrize(("solid", "moves"), [(False, 3), (True, 6)])
def test_no_reading_between_holes_feels_the_whole_shifted_or_turned(solid: bool, moves: int) -> None:
    holes = [Hole(name=n, d=9.0) for n in "abcd"]
    readings = [Reading(between=(p, q), value=50.0) for p, q in combinations("abcd", 2)]
    if not solid:
        readings += [Reading(between=("a", n), value=5.0, how="step") for n in "bcd"]
    model = build(readings, holes, (), solid=solid)
    x = model.start(AT)
    gauge = model.gauge(model.points(x))
    assert gauge.T @ gauge == pytest.approx(np.eye(moves), abs=1e-12)
    assert model.predict(x)[1] @ gauge == pytest.approx(np.zeros((model.rows, moves)), abs=1e-12)


def test_holes_in_a_line_have_five_moves_in_space() -> None:
    readings = [Reading(between=(p, q), value=50.0) for p, q in combinations("abc", 2)]
    model = build(readings, [Hole(name=n) for n in "abc"], (), solid=True)
    line = np.array([(0.0, 0.0, 0.0), (10.0, 20.0, 20.0), (30.0, 60.0, 60.0)])
    assert model.gauge(line).shape == (9, 5)


def spaced(*values: float) -> tuple[Model, Any]:
    """Readings of one distance, 0.2 either way, and holes that far apart to begin with."""
    model = build([Reading(between=("a", "b"), value=v) for v in values], [Hole(name="a"), Hole(name="b")], (),
                  solid=False)  # fmt: skip
    return model, model.start(np.array([(0.0, 0.0), (values[0], 0.0)]))


def test_the_heavy_tailed_fit_lies_where_its_cost_is_least_and_says_what_that_is() -> None:
    """Sum over readings of 2.5^2 ln(1 + (e / 2.5)^2), e in sigmas of 0.1: looked up every 1e-5 mm round 80."""
    values = (80.3, 80.0, 79.9, 84.0)
    model, x = spaced(*values)
    found, cost = fit_many(model, x[None], np.ones((1, model.rows), dtype=bool), heavy=True)
    far = np.arange(79.5, 80.5, 1e-5)
    costs = sum(2.5**2 * np.log(1 + ((v - far) / 0.1 / 2.5) ** 2) for v in values)
    assert math.dist(found[0, :2], found[0, 2:]) == pytest.approx(far[costs.argmin()], abs=2e-5)
    assert cost[0] == pytest.approx(costs.min(), abs=1e-6)


def test_a_fit_whose_first_steps_overshoot_is_damped_until_it_gains() -> None:
    """c starts half a mm off the line of a and b and must go 86.6 off it: a plain step would be some 5000."""
    model = build([Reading(between=(p[0], p[1]), value=100.0) for p in ("ab", "ac", "bc")],
                  [Hole(name=n) for n in "abc"], (), solid=False)  # fmt: skip
    x = model.start(np.array([(0.0, 0.0), (100.0, 0.0), (50.0, 0.5)]))
    found, cost = fit_many(model, x[None], np.ones((1, 3), dtype=bool))
    assert cost[0] == pytest.approx(0.0, abs=1e-12)
    assert model.predict(found[0])[0] == pytest.approx([100.0] * 3)


@pytest.mark.parametrize("count", [AT_ONCE - 1, AT_ONCE, AT_ONCE + 1])
def test_lay_outs_are_fitted_alike_whether_in_one_go_or_several(count: int) -> None:
    model, x = spaced(80.0, 80.2)
    found, cost = fit_many(model, np.tile(x, (count, 1)), np.ones((count, model.rows), dtype=bool))
    assert found.shape == (count, 4)
    assert np.abs(found[:, 2] - found[:, 0] - 80.1).max() < 1e-6
    assert cost == pytest.approx(np.full(count, 2.0))


def test_a_lay_out_held_by_edges_is_shifted_and_turned_over_only_where_they_leave_it() -> None:
    model: Any = SimpleNamespace(edge_axis=np.array([-1, 0]), solid=False)
    onto = np.array([(0.0, 10.0, 0.0), (5.0, 12.0, 0.0), (9.0, 17.0, 0.0)])
    over = onto * [1.0, -1.0, 1.0] + [4.0, 50.0, 0.0]
    assert aligned(model, over, onto) == pytest.approx(onto + [4.0, 0.0, 0.0])
    # where neither hand is nearer it is left as it is: here y is as much with as against
    square = np.array([(0.0, 0.0, 0.0), (1.0, 1.0, 0.0), (2.0, 1.0, 0.0), (3.0, 0.0, 0.0)])
    slope = np.array([(0.0, 0.0, 0.0), (1.0, 1.0, 0.0), (2.0, 2.0, 0.0), (3.0, 3.0, 0.0)])
    assert aligned(model, square, slope)[:, 1] == pytest.approx([1.0, 2.0, 2.0, 1.0])


def test_a_lay_out_that_nothing_holds_is_turned_onto_the_other() -> None:
    model: Any = SimpleNamespace(edge_axis=np.array([-1, -1]), solid=False)
    turned = AT[:, :2] @ np.array([[0.6, 0.8], [-0.8, 0.6]]) * [1.0, -1.0] + [70.0, 20.0]
    assert aligned(model, np.column_stack([turned, AT[:, 2]]), AT) == pytest.approx(AT)


def test_the_smallest_mistake_that_would_be_named() -> None:
    """One distance read four times, each ± 0.2: redundancy 3/4, the tests of any two correlate by 1/3, so that
    sqrt(8) / 3 of a mistake tells them apart. Beside a false alarm in 500 over 4 readings and 19 in 20 found, the
    true one must beat another by 9 of chi square 19 times in 20: (z + sqrt(z^2 + 9)) / apart."""
    model, x = spaced(80.0, 80.0, 80.0, 80.0)
    found = reliability(model, x, np.ones(4, dtype=bool))
    assert found.redundancy == pytest.approx(np.full(4, 0.75))
    z = norm.isf(0.05 / 4)
    need = max(norm.isf(ALARM / 8) + POWER, (z + math.sqrt(z**2 + 9.0)) / (math.sqrt(8) / 3))
    assert need == pytest.approx((z + math.sqrt(z**2 + 9.0)) / (math.sqrt(8) / 3)), "which of the two it is"
    assert found.nameable == pytest.approx(np.full(4, need * 0.1 / math.sqrt(0.75)))


def test_two_readings_check_each_other_and_neither_can_be_named() -> None:
    model, x = spaced(80.0, 80.0)
    found = reliability(model, x, np.ones(2, dtype=bool))
    assert found.redundancy == pytest.approx([0.5, 0.5])
    assert np.isinf(found.nameable).all()
    assert (found.redundancy > CHECKED).all()


@pytest.mark.parametrize(
    ("left", "eased", "spare", "rows", "found"),
    [
        (10.82, 0.0, 1, 1, False), (10.84, 0.0, 1, 1, True), (10.84, 0.0, 0, 1, True),
        (16.26, 0.0, 3, 1, False), (16.28, 0.0, 3, 1, True),
        (0.0, 10.82, 3, 1, False), (0.0, 10.84, 3, 1, True), (0.0, 15.13, 3, 10, False), (0.0, 15.14, 3, 10, True),
    ],
)  # fmt: skip
def test_chance_leaves_so_much_over_once_in_a_thousand(
    left: float, eased: float, spare: int, rows: int, found: bool
) -> None:
    """Half of one in 500 for the whole and half for all rows: chi square beyond 10.828 and 16.266 at 1 and 3
    degrees of freedom, and beyond 15.137 at 1 for one of ten rows (common tables, from memory)."""
    assert _contradicts(left, eased, spare, rows) is found


@pytest.mark.parametrize(("off", "accused"), [(0.19, ()), (0.212, (0, 1, 2, 3))])
def test_readings_that_disagree_all_alike_are_accused_together(off: float, accused: tuple[int, ...]) -> None:
    """Chi square over 3 spare: 4 x 1.9^2 is 14.4, 4 x 2.12^2 is 18; no single one is far enough off."""
    readings = [Reading(between=("a", "b"), value=80.0 + s * off, pm=0.2) for s in (1, 1, -1, -1)]
    assert solve(readings, [Hole(name="a"), Hole(name="b")]).suspect.candidates == accused


def test_one_reading_left_out_explains_nothing_while_the_rest_still_disagree() -> None:
    """Without the fourth the rest leave 2 x 2.74^2 = 15 over 2 spare, 13.8 asked; without one more 3.75 over 1."""
    readings = [Reading(between=("a", "b"), value=80.0 + off, pm=0.2) for off in (0.274, -0.274, 0.0, 3.0)]
    found = solve(readings, [Hole(name="a"), Hole(name="b")]).suspect
    assert (found.named, found.candidates, found.at_least) == ((), (0, 1, 3), 2)


def test_what_no_longer_contradicts_at_the_best_lay_out_accuses_nobody(monkeypatch: pytest.MonkeyPatch) -> None:
    """The first fit, from near, leaves 18 over 3 spare; the best of many starts 9, and 8 without any one."""
    model, x = spaced(80.212, 80.212, 79.788, 79.788)

    def best(_model: object, _keep: object, outs: list[tuple[int, ...]], _starts: object) -> list[Without]:
        return [Without(out, Fit(x, 8.0 if out else 9.0)) for out in outs]

    monkeypatch.setattr(suspects, "best_without", best)
    found = suspects.hunt(model, x, np.ones(4, dtype=bool))
    assert (found.named, found.candidates, found.fit.chi2) == ((), (), 9.0)


def test_readings_more_than_five_sigma_off_are_accused_worst_first() -> None:
    """Sigma is 0.1: 80.4 and 80.5 lie 4 and 5 off 80, 80.6 and 81 lie 6 and 10 off it."""
    model, x = spaced(80.0, 80.4, 80.49, 80.6, 81.0)
    keep = np.ones(5, dtype=bool)
    assert _far(model, x, keep) == (4, 3)
    keep[4] = False
    assert _far(model, x, keep) == (3,)
    keep[3] = False
    assert _far(model, x, keep) == (0, 1, 2), "where none is, all that count"


@pytest.mark.parametrize(("d", "plausible"), [(9.99, True), (10.0, False), (2.51, True), (2.5, False)])
def test_a_diameter_is_misread_by_a_factor_of_two_at_most(d: float, plausible: bool) -> None:
    """5 typed; as the rest have it, between half and double of that, or not."""
    model = build([Reading(between=("a", "b"), value=60.0)], [Hole(name="a", d=5.0), Hole(name="b", d=8.0)], (),
                  solid=False)  # fmt: skip
    x = model.start(np.array([(0.0, 0.0), (60.0, 0.0)]))
    x[model.d_of[0]] = d
    way: Any = SimpleNamespace(out=(1,), fit=SimpleNamespace(x=x))
    assert _plausible(model, way) is plausible


def test_the_misfit_of_one_spare_reading() -> None:
    """80 and 80.2, sigma 0.1 each: each is 1 off the mean, chi square 2 over 1 spare."""
    readings = [Reading(between=("a", "b"), value=v, pm=0.2) for v in (80.0, 80.2)]
    made = solve(readings, [Hole(name="a"), Hole(name="b")])
    assert made.spare == 1
    assert made.misfit == pytest.approx(math.sqrt(2.0))


def test_the_hole_that_may_lie_on_the_other_side_is_named() -> None:
    """d hangs from b and c and may lie on either side of the line through them."""
    at = {"a": (0.0, 0.0), "b": (90.0, 5.0), "c": (10.0, 80.0), "d": (95.0, 100.0), "e": (-60.0, 40.0)}
    pairs = [p for p in combinations(at, 2) if "d" not in p or set(p) <= {"b", "c", "d"}]
    readings = [Reading(between=p, value=math.dist(at[p[0]], at[p[1]])) for p in pairs]
    assert solve(readings, [Hole(name=n) for n in at]).mirrors == (("d",),)
