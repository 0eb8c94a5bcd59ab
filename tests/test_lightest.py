"""The lightest row that nothing stops: the same as going through all of them, and few are built for it."""

from __future__ import annotations

import csv
import json
import random
from dataclasses import replace
from pathlib import Path

import pytest

from brackets import InputError, made
from brackets.app.cli.app import main
from brackets.core.finding import Finding, stopped
from brackets.core.vectors import Vec
from brackets.hold.held_part import hold_settings
from brackets.hold.hold_part import hold_part
from brackets.hold.part_cases import PartCase, SeatLoad
from brackets.hold.shown import used as used_said
from brackets.hold.typed import HoldRow
from brackets.output import part_files
from brackets.variants.family import family, worked
from brackets.variants.holding import Holding
from brackets.variants.least import least
from brackets.variants.lightest import Lightest, lightest
from brackets.variants.plan import Plan
from brackets.variants.result import Row
from brackets.variants.strength import Strength, Used, of_record, strength_of
from brackets.variants.subject import Subject, of_recipe, plan_of

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
        "stops most, 1 of them: STOP: do not cut: arm: 8 mm is asked, there are 3",
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


# ---------------------------------------------------------------- families of shipped recipes, against all rows
TYPED = HoldRow(
    stress_range=60.0, least_stiffness=10.0, grade="8.8", casting=160.0, engaged=18.0, onto_metal="S235",
    onto_t=3.0, press_least=0.02, press_most=0.05, press_shell=40.0, press_friction=0.12,
)  # fmt: skip
FAMILIES: dict[str, tuple[tuple[Vec, ...], dict[str, object]]] = {
    "ears_on_base": (
        ((0, -2000, 500), (0, 900, 500)),
        {"t": [5, 6], "base_t": [5, 6, 8, 10], "leg": [5, 6], "fixing": "bolted to solid"},
    ),
    "fork": (
        ((0, -1500, 300), (0, 900, 300)),
        {"t": [4, 5, 6], "plate_t": [5, 6, 8], "leg": [5, 6]},
    ),
    "ears": (
        ((0, -2000, 500), (0, 900, 500)), {"t": [4, 5, 6], "leg": [5, 6], "ear_r": [18, 20, 22]}
    ),
}  # fmt: skip
"""Forces at the bush, N, one a case, and what is varied: all invented."""


def asked(name: str) -> tuple[Subject, Plan]:
    forces, varied = FAMILIES[name]
    cases = tuple(PartCase(f"force {i}", (SeatLoad("bush", force),)) for i, force in enumerate(forces, 1))
    subject = of_recipe(name, holding=Holding(typed=TYPED, cases=cases, bush=350.0))
    return subject, plan_of(subject, varied)


@pytest.mark.parametrize("name", FAMILIES)
def test_of_three_families_it_is_the_least_of_all_rows_and_builds_a_tenth_at_most(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against every row made and judged against every rule and limit, and the solids of the lightest of those left.
    """
    subject, plan = asked(name)
    opened, good = subject.recipe, []
    holding = subject.job.holding
    assert holding is not None
    for planned in plan.rows():
        thing = made(opened, opened.Params(**planned.values))
        held = hold_part(thing.part, holding.cases, hold_settings(TYPED, thing.part))
        ranges = [max(one.across, one.along) for one in held.weld_ranges]
        stiff = [one.least for one in held.stiffness]
        closed = not stopped(thing.findings) and not held.refused and not held.exceeds
        if closed and max(ranges, default=0) <= 60 and stiff and min(stiff) >= 10 * 350:
            good.append((thing.part.mass.kg, planned.number, thing))
    mass, number = next((m, n) for m, n, thing in sorted(good) if not part_files.checked(thing).stops)
    built: list[str] = []
    whole = part_files.checked
    monkeypatch.setattr(part_files, "checked", lambda thing: (built.append(thing.name), whole(thing))[1])
    best = least(subject, plan).lightest
    assert best.row.number == number
    assert best.row.mass == pytest.approx(mass, rel=1e-11)
    assert len(built) == best.built
    assert len(plan.rows()) / 10 >= best.built
    assert 1 < best.judged < len(plan.rows())  # strength forbids some, and not all were asked for it
    for step in best.steps:
        assert step.row is None or step.why


def test_going_through_rows_that_were_all_worked_out_gives_the_same() -> None:
    subject, _ = asked("fork")
    plan = plan_of(subject, {"t": [5, 6], "plate_t": [5, 8], "leg": [5, 6]})
    rows = worked(subject, plan)
    told = rows.least("mass", holding=True)
    best = least(subject, plan).lightest
    assert told.row.number == best.row.number
    assert str(told).startswith("\n".join(best.says)[:60])
    assert "to spare" in str(told)
    with pytest.raises(InputError, match="must be mass with holding"):
        rows.least("gap", holding=True)


@pytest.mark.parametrize(
    ("typed", "cases", "bush", "lacks"),
    [
        (HoldRow(least_stiffness=10.0), True, 350.0, ["stress_range"]),
        (HoldRow(stress_range=60.0), True, 350.0, ["least_stiffness"]),
        (TYPED, False, 350.0, ["load cases"]),
        (TYPED, True, None, ["bush_stiffness"]),
        (HoldRow(), False, None, ["load cases", "stress_range", "least_stiffness", "bush_stiffness"]),
    ],
)
def test_it_is_refused_without_all_that_it_needs(
    typed: HoldRow, cases: bool, bush: float | None, lacks: list[str]
) -> None:
    one = PartCase("bump", (SeatLoad("bush", (0.0, -1000.0, 0.0)),))
    subject = of_recipe("fork", holding=Holding(typed=typed, cases=(one,) if cases else (), bush=bush))
    plan = plan_of(subject, {"t": [5, 6]})
    for ask in (lambda: least(subject, plan), lambda: worked(subject, plan).least("mass", holding=True)):
        with pytest.raises(InputError) as error:
            ask()
        assert [problem.split(" = ")[0] for problem in error.value.problems] == lacks


def test_a_family_nobody_typed_strength_for_is_refused_with_all_three() -> None:
    with pytest.raises(InputError) as error:
        family("fork", t=[5, 6]).least("mass", holding=True)
    assert len(error.value.problems) == 3


FILE = """format = 1
name = "forks"
recipe = "fork"
[vary]
t = [5, 6]
plate_t = [5, 6, 8]
leg = [5, 6]
[hold]
stress_range = 60
least_stiffness = 10
bush_stiffness = 350
grade = "8.8"
casting = 160
engaged = 18
press = { least = 0.02, most = 0.05, shell = 40, friction = 0.12 }
[[load]]
case = "up"
seat = "bush"
force = [0, -1500, 300]
counts = "characteristic"
[[load]]
case = "down"
seat = "bush"
force = [0, 900, 300]
counts = "characteristic"
"""


def test_a_family_file_finds_it_and_writes_the_rows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same forks: t 5, plate 8, leg 6."""
    (tmp_path / "forks.toml").write_text(FILE, "utf-8")
    asks = ["family", str(tmp_path / "forks.toml"), "--lightest", "--into", str(tmp_path / "out"), "--workers", "0"]
    assert main(asks) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "the lightest that meets the rules you entered: t 5, plate_t 8, leg 6" in out
    assert "plate_t 8 to 6, row" in out
    assert "stiffness you entered: fork: bush: utilisation 1.38" in out
    head, *rows = csv.reader((tmp_path / "out" / "rows.csv").read_text("utf-8").splitlines())
    met = {row[head.index("name")]: row[head.index("strength_met")] for row in rows}
    assert set(met.values()) == {"yes", "NO", ""}  # the heavier ones were not asked
    page = (tmp_path / "out" / "rows.html").read_text("utf-8")
    assert f"The lightest that nothing stops is row {next(n for n, m in met.items() if m == 'yes')}," in page
    assert "strength forbids" in (tmp_path / "out" / "rows.html").read_text("utf-8")
    assert main([*asks, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["lightest"]["given"] == {"t": 5.0, "plate_t": 8.0, "leg": 6.0}
    assert told["lightest"]["built"] == 1
    assert main([*asks, "--pictures"]) == 2
    assert "--pictures = given, not with --lightest" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        (("stress_range = 60\n", ""), "stress_range = not typed"),
        (('counts = "characteristic"\n[[load]]', 'counts = "maybe"\n[[load]]'), "must be one of characteristic"),
        (('case = "down"', 'case = "up"'), None),
        (
            ('case = "down"\nseat = "bush"\nforce = [0, 900, 300]\ncounts = "characteristic"',
             'case = "up"\nseat = "bush"\nforce = [0, 900, 300]\ncounts = "factored"'),
            "load up: counts = both, must be one of them",
        ),
        (("least = 0.02", "least = 0.2"), "press.least = 0.2 mm, must be at most press.most"),
        (('seat = "bush"\nforce = [0, -1500', 'seat = "push"\nforce = [0, -1500'), "push"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_the_loads_of_a_family_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: tuple[str, str], problem: str | None
) -> None:
    text = FILE.replace(*change)
    assert text != FILE
    (tmp_path / "forks.toml").write_text(text, "utf-8")
    status = main(["family", str(tmp_path / "forks.toml"), "--lightest", "--no-files", "--workers", "0"])
    err = " ".join(capsys.readouterr().err.split())
    assert status == (2 if problem else 0), err
    assert (problem or "") in err
