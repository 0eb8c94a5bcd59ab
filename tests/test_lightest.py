"""The lightest row that nothing stops: the same as going through all of them, and few are built for it."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest

from brackets import InputError
from brackets.core.finding import Finding
from brackets.hold.shown import used as used_said
from brackets.variants.lightest import Lightest, lightest
from brackets.variants.result import Row
from brackets.variants.strength import Strength, Used, of_record, strength_of

STOP = Finding(level="stop", code="gap", piece="arm", sentence="8 mm is asked, there are 3", source="own habit")


def used(utilisation: float, rule: str = "bending", case: str = "bump") -> Used:
    return Used(rule=rule, of="arm", case=case, utilisation=utilisation)


def row(number: int, mass: float | None = 1.0, *, stops: bool = False, **given: float) -> Row:
    return Row(
        number=number, name=str(number), given=given, values=given, mass=mass, findings=(STOP,) if stops else ()
    )


def found(rows: list[Row], strength: dict[int, float], fouls: set[int] = frozenset(), **more: object) -> Lightest:
    """The lightest of rows whose utilisation is known by number, and of which some foul once they are built."""

    def judge(one: Row) -> Strength:
        return strength_of([used(strength[one.number])])

    def build(one: Row) -> Row:
        return replace(one, findings=(STOP,)) if one.number in fouls else one

    return lightest(rows, judge, build, **more)  # type: ignore[arg-type]


def test_the_lightest_that_holds_is_taken() -> None:
    rows = [row(1, 3.0), row(2, 1.0), row(3, 2.0)]
    best = found(rows, {1: 0.5, 2: 1.01, 3: 1.0})
    assert (best.row.number, best.judged, best.built, best.lighter) == (3, 2, 1, 1)
    assert best.row.strength is not None
    assert best.row.strength.worst == used(1.0)


def test_what_stops_by_its_rules_is_neither_judged_nor_built() -> None:
    rows = [row(1, 1.0, stops=True), row(2, None), row(3, 2.0)]
    best = found(rows, {3: 0.9})  # strength of another would be a KeyError
    assert (best.row.number, best.judged, best.built) == (3, 1, 1)
    assert best.rows[0].strength is None


def test_what_fouls_once_it_is_built_is_passed_over() -> None:
    best = found([row(1, 1.0), row(2, 2.0), row(3, 3.0)], {1: 0.1, 2: 0.2, 3: 0.3}, {1})
    assert (best.row.number, best.built) == (2, 2)
    assert best.rows[0].stops
    assert best.rows[2].strength is None  # heavier: nobody asked


def test_of_two_of_one_mass_the_first_is_taken() -> None:
    assert found([row(7, 2.0), row(3, 2.0)], {3: 0.5, 7: 0.5}).row.number == 3


def test_what_no_clause_covers_does_not_meet_the_rules() -> None:
    beyond = Strength(used=(used(0.1),), refused=("t = 2 mm, must be at least 3 mm: welded plate",))
    with pytest.raises(InputError) as error:
        lightest([row(1)], lambda _: beyond, lambda one: one)
    first, near = error.value.problems
    assert first == "lightest = none of 1 rows: 1 do not meet the strength you entered"
    assert near == "nearest: row 1: t = 2 mm, must be at least 3 mm: welded plate"


def test_no_check_at_all_is_no_strength() -> None:
    assert not Strength().meets
    assert Strength().why_not == ("no check was made",)
    with pytest.raises(InputError, match="no check was made"):
        lightest([row(1)], lambda _: Strength(), lambda one: one)


def test_none_that_holds_is_told_with_the_nearest() -> None:
    with pytest.raises(InputError) as error:
        found([row(1), row(2, 2.0), row(3, stops=True)], {1: 1.6, 2: 1.2})
    assert error.value.problems == (
        "lightest = none of 3 rows: 1 stop by their rules or gaps, 2 do not meet the strength you entered",
        "nearest: row 2: bending: arm, case bump: utilisation 1.20",
    )


def test_one_size_lighter_in_each_value_says_why_not() -> None:
    """t 6, reach 60 is the lightest: 5 mm is too weak, a shorter reach stops by its rules."""
    rows = [
        row(1, 1.0, t=4, reach=60, edge=20),
        row(2, 1.5, t=5, reach=60, edge=20),
        row(3, 2.0, t=6, reach=60, edge=20),
        row(4, 1.9, stops=True, t=6, reach=50, edge=20),
        row(5, 2.4, t=6, reach=60, edge=25),
    ]
    weak = {1: 2.0, 2: 1.3, 3: 0.8, 4: 0.7, 5: 0.5}
    best = found(rows, weak, varied=("t", "reach", "edge"))
    assert [str(step) for step in best.steps] == [
        "t 6 to 5, row 2: bending: arm, case bump: utilisation 1.30",
        "reach 60 to 50, row 4: STOP: do not cut: arm: 8 mm is asked, there are 3",
        "edge 20: no lighter one is listed",
    ]
    assert best.binds == ("bending: arm, case bump: utilisation 1.30", *best.steps[1].why)
    assert best.says[0] == "row 3: 2.000 kg, the lightest that meets the rules you entered: t 6, reach 60, edge 20"


def test_values_that_follow_another_go_with_its_step() -> None:
    rows = [row(1, 1.0, t=5, leg=3), row(2, 2.0, t=6, leg=4)]
    best = found(rows, {1: 1.3, 2: 0.9}, varied=("t",), tied=("leg",))
    assert best.steps[0].lighter == 5
    assert found(rows, {1: 1.3, 2: 0.9}, varied=("t",)).steps[0].row is None  # two values differ


@pytest.mark.parametrize("seed", range(60))
def test_it_is_the_least_of_all_that_were_judged_and_built(seed: int) -> None:
    """Against going through every row: each judged, each built, the least mass of those that nothing stops."""
    rng = random.Random(seed)
    rows = [row(i, rng.choice([1.0, 1.5, 2.0, rng.random()]), stops=rng.random() < 0.3) for i in range(1, 80)]
    rng.shuffle(rows)
    weak = {one.number: rng.uniform(0.3, 1.8) for one in rows}
    fouls = {one.number for one in rows if rng.random() < 0.3}
    good = [
        one for one in rows if not one.findings and weak[one.number] <= 1 and one.number not in fouls
    ]  # fmt: skip
    least = min(good, key=lambda one: (one.mass, one.number))
    best = found(rows, weak, fouls)
    assert best.row.number == least.number
    lighter = [one for one in rows if (one.mass, one.number) <= (least.mass, least.number)]
    assert best.built == sum(1 for one in lighter if not one.findings and weak[one.number] <= 1)
    assert best.judged == sum(1 for one in lighter if not one.findings)
    assert best.lighter == len(lighter) - 1


# ---------------------------------------------------------------- strength as a row keeps it
def test_of_each_rule_the_most_that_is_used_counts() -> None:
    strength = strength_of(
        [used(0.4), used(0.7, case="braking"), used(0.6, "weld"), used(float("inf"), "bolt")], ["no steel"]
    )
    assert [(one.rule, one.case) for one in strength.used] == [
        ("bolt", "bump"), ("bending", "braking"), ("weld", "bump"),
    ]  # fmt: skip
    assert of_record(strength.record) == strength


def test_what_is_no_number_is_broken_and_counts_as_the_most() -> None:
    strength = strength_of([used(0.9, "a"), used(float("nan"), "b")])
    assert strength.worst is not None
    assert strength.worst.rule == "b"
    assert strength.worst.broken
    assert not strength.meets


@pytest.mark.parametrize(
    ("utilisation", "text"),
    [(0.994, "0.99"), (1.0, "1.00"), (1.0004, "over 1.00"), (1.01, "1.01"), (float("inf"), "without limit")],
)
def test_an_utilisation_over_1_is_never_printed_as_1(utilisation: float, text: str) -> None:
    assert used_said(utilisation) == text
