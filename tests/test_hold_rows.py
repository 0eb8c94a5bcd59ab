"""All cases of a part at once against the same checks in a plain loop, a case alone at a time."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from math import hypot, inf, sqrt
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from test_hold_part import HELD_ON, random_cases

from brackets import Factors, Held, HoldSettings, InputError, Part, PartCase, PressFit, circle, hold_part, recipe
from brackets.hold.case_rows import NOTHING, CaseRows, each_case, worst_case, worst_of
from brackets.hold.check import Check, Refused
from brackets.hold.hold_part import hold_worst
from brackets.hold.plate_lines import FINE, to_edges, to_sides, unit_ways

Rng = Callable[[int], random.Random]
Key = tuple[str, str, str]
DIGITS = 1e-12
"""Of a figure: sums of a row among others may be made in another order than of it alone."""
CANCELS = 1e4
"""N: the forces of which a figure may be what is left (preload less tension)."""
FRAME = 1e-9
"""Of a figure that a frame settles: what its stiff and soft members leave of 16 digits, whatever else is solved."""


def random_settings(draw: random.Random, part: Part) -> HoldSettings:
    press = PressFit(least=0.02, most=draw.uniform(0.03, 0.08), shell_id=40.0, friction=0.1)
    return HoldSettings(
        factors=Factors(own=draw.choice([None, 1.5, 2.0])),
        load_factor=draw.choice([1.0, 1.35]),
        grade=draw.choice([None, "8.8", "10.9"]),
        preload=draw.choice([None, 12e3]),
        casting=180.0,
        engaged={seat.name: 18.0 for seat in part.seats},
        press={seat.name: press for seat in part.seats},
        onto_metal="S235",
        onto_t=4.0,
    )


def random_part(draw: random.Random, name: str) -> Part:
    """As shipped, but for its plate and its welds; as shipped where its rules refuse that."""
    of = recipe(name)
    known = {param.name for param in of.params}
    wanted = {"t": draw.choice([4.0, 5.0, 6.0, 8.0]), "leg": draw.choice([4.0, 5.0, 6.0])}
    try:
        return of.build(of.Params(**{word: value for word, value in wanted.items() if word in known}))
    except InputError:
        return of.build(of.Params())


def figures(held: Held) -> dict[Key, list[tuple[float, ...]]]:
    """By place, clause and case the figures of each check that there is anything to check of."""
    found: dict[Key, list[tuple[float, ...]]] = {}
    for place, case, check in held.checks:
        if not abs(check.value) < NOTHING:
            told = (check.value, check.limit, check.own_value, check.own_limit)
            row = tuple(figure for figure in told if figure is not None)
            found.setdefault((place, check.clause, case), []).append(row)
    return {key: sorted(rows) for key, rows in found.items()}


def assert_alike(part: Part, cases: list[PartCase], settings: HoldSettings) -> None:
    at_once = hold_part(part, cases, settings)
    alone = [hold_part(part, [case], settings) for case in cases]
    looped = {key: rows for held in alone for key, rows in figures(held).items()}
    rows = figures(at_once)
    assert rows.keys() == looped.keys()
    rel = FRAME if any("by a frame in space" in note for note in at_once.notes) else DIGITS
    for key, found in rows.items():
        for one, other in zip(found, looped[key], strict=True):
            assert one == pytest.approx(other, rel=rel, abs=rel * CANCELS), key
    sections = {key: cut for held in alone for key, cut in plate_cuts(held).items()}
    for key, cut in plate_cuts(at_once).items():
        assert cut == pytest.approx(sections[key], rel=1e-6, abs=1e-3), key
    refused = {(one.place, one.problem) for held in alone for one in held.refused}
    assert {(one.place, one.problem) for one in at_once.refused} == refused
    assert worst_told(at_once) == worst_told(hold_worst(part, cases, settings, told=()))


def plate_cuts(held: Held) -> dict[tuple[str, str], tuple[float, ...]]:
    """Where sections across bolted plates lie, and the size of force and moment, which either side gives alike."""
    return {
        (cut.place, cut.case): (*cut.at, hypot(*cut.force), hypot(*cut.moment))
        for cut in held.cuts if cut.place.startswith("plate ")
    }  # fmt: skip


def worst_told(held: Held) -> dict[tuple[str, str], float]:
    """By place and clause the most that is used of it."""
    most: dict[tuple[str, str], float] = {}
    for place, _, check in held.checks:
        key = (place, check.clause)
        most[key] = max(check.worst, most.get(key, -inf))
    return most


@pytest.mark.parametrize("name", sorted(HELD_ON))
def test_every_shipped_weldment_is_judged_at_once_as_case_by_case(name: str, rng: Rng) -> None:
    of = recipe(name)
    part = of.build(of.Params())
    assert_alike(part, random_cases(part, HELD_ON[name], 2, seed=3), random_settings(rng(1), part))


@pytest.mark.fuzz
def test_random_parts_are_judged_at_once_as_case_by_case(rng: Rng, fuzz: int) -> None:
    for n in range(fuzz):
        draw = rng(n)
        name = draw.choice(sorted(HELD_ON))
        part = random_part(draw, name)
        cases = random_cases(part, HELD_ON[name], draw.randint(2, 4), seed=n)
        counted = [replace(case, counted=draw.choice(["characteristic", "factored"])) for case in cases]
        assert_alike(part, counted, random_settings(draw, part))


def test_of_hundreds_of_cases_only_the_worst_and_those_named_are_told() -> None:
    of = recipe("fork")
    part = of.build(of.Params())
    cases = random_cases(part, ("bush",), 40)
    told = ["case 3", "case 7"]
    settings = HoldSettings(grade="8.8")
    held, every = hold_worst(part, cases, settings, told=told), hold_part(part, cases, settings)
    assert held.cases == ("case 3", "case 7")
    assert held.cuts == tuple(cut for cut in every.cuts if cut.case in told)
    assert worst_told(held) == worst_told(every)
    keys = [(one.place, one.check.clause) for one in held.checks]
    assert len(keys) == len(set(keys)) == len(worst_told(every))
    assert held.checks[0] == pytest.approx(every.checks[0]) or held.worst == every.worst
    assert {one.case for one in held.checks} - set(told), "the worst of cases that are not named counts too"


def rows(
    values: Any, *, limit: Any = 10.0, clause: str = "c", refused: tuple[int, ...] = (), **more: Any
) -> CaseRows:
    value = np.array(values, dtype=np.float64)
    value[list(refused)] = np.nan
    check = Check(
        name="x", clause=clause, formula="", value=value, limit=limit, unit="N", factors="none",
        refused=tuple(Refused((i,), f"row {i}") for i in refused), **more,
    )  # fmt: skip
    return CaseRows("place", check, len(value))


def test_a_refused_case_is_told_as_refused_and_never_the_worst() -> None:
    one, names = rows([9.0, 5.0, 7.0], refused=(0,)), ("a", "b", "c")
    assert [(case, check.value) for _, case, check in each_case([one], names)] == [("c", 7.0), ("b", 5.0)]
    assert [case for _, case, _ in worst_case([one], names)] == ["c"]
    assert [(each.case, each.problem) for each in one.refusals(names)] == [("a", "row 0")]
    assert worst_case([rows([9.0], refused=(0,))], names) == ()


def test_the_own_column_counts_and_of_cases_alike_the_first() -> None:
    one = rows([5.0, 6.0, 5.0], own_value=np.array([8.0, 6.0, 8.0]), own_limit=np.full(3, 10.0))
    ((_, case, check),) = worst_case([one], ("a", "b", "c"))
    assert (case, check.value, check.own_value, check.worst) == ("a", 5.0, 8.0, 0.8)
    ((_, _, check),) = worst_case([rows([8.0, 1.0]), rows([16.0, 2.0], limit=20.0)], ("a", "b"))
    assert (check.value, check.limit) == (8.0, 10.0), "asked twice alike, the first is told"


def test_a_check_whose_values_are_all_nothing_is_none() -> None:
    assert rows([0.0, 0.9e-9]).is_nothing
    assert not rows([0.0, 1.1e-9]).is_nothing
    assert not rows([0.0, 0.0], refused=(1,)).is_nothing


def test_each_case_is_judged_at_its_own_worst_section() -> None:
    """Three sections, two of one clause: cases 0 and 3 take the first of those alike, case 2 the other clause."""
    sections = [
        rows([8.0, 1.0, 2.0, 4.0]), rows([16.0, 5.0, 3.0, 1.0], limit=20.0),
        rows([1.0, 0.0, 9.0, 3.0], clause="d"),
    ]  # fmt: skip
    taken, found = worst_of(sections)
    assert taken.tolist() == [0, 1, 2, 0]
    names = ("a", "b", "c", "d")
    told = {case: (check.clause, check.value, check.limit) for _, case, check in each_case(found, names)}
    assert told == {"a": ("c", 8.0, 10.0), "b": ("c", 5.0, 20.0), "c": ("d", 9.0, 10.0), "d": ("c", 4.0, 10.0)}
    assert [one.worst.tolist() for one in found] == [[0.8, 0.25, -inf, 0.4], [-inf, -inf, 0.9, -inf]]


@pytest.mark.parametrize("r", [20.0, 75.0])
def test_the_way_to_a_round_edge_in_300_directions(r: float) -> None:
    """Closed form: from p along w a circle is met after -p.w + root of (r squared - p x w squared)."""
    draw = np.random.default_rng(5)
    ways = unit_ways(*draw.normal(size=(2, 300)))
    at = (0.3 * r, -0.5 * r)

    def closed(wx: NDArray[np.float64], wy: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.asarray(-(at[0] * wx + at[1] * wy) + np.sqrt(r**2 - (at[0] * wy - at[1] * wx) ** 2))

    x, y = ways.T
    # a chord lies FINE inside the circle, at most 1 / cos of the way's slant on it further along the way
    slack = FINE / sqrt(1 - hypot(*at) ** 2 / r**2)
    ahead, aside = to_edges(circle((0, 0), r), at, ways), to_sides(circle((0, 0), r), at, ways)
    nearer = np.minimum(closed(-y, x), closed(y, -x))
    for found, true in ((ahead, closed(x, y)), (aside, nearer)):
        assert (found <= true + 1e-9).all()
        assert (found >= true - slack).all()


def test_a_load_that_is_nothing_points_along_x() -> None:
    assert unit_ways(np.array([0.0, 0.0]), np.array([0.0, -2.0])).tolist() == [[1.0, 0.0], [0.0, -1.0]]
