"""What is said of the parts of a bay under its loads: worst first, own limits, what no clause covers, stiffness."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from brackets import on_bushes, read_bay
from brackets.bay import held_loads, held_parts, held_rows
from brackets.bay.bracket_stiffness import with_brackets
from brackets.bay.hanging import hanging
from brackets.bay.held_parts import ASKS, NOT_LOADED, BayHeld, held_bay
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.errors import InputError
from brackets.hang.load import road_cases
from brackets.hold.check import Check
from brackets.hold.held import Held, PartCheck, PartRefusal, SeatStiffness
from brackets.hold.part_cases import HoldSettings, PartCase, PressFit
from brackets.hold.shown import way_said
from brackets.hold.stress_ranges import StressRange
from brackets.hold.typed import TIMES, HoldRow
from brackets.library.recipe import shipped
from brackets.model.part import Part


@pytest.fixture(scope="module")
def stood() -> PlacedBay:
    return placed_bay(read_bay(shipped() / "tern.toml"))


@pytest.fixture(autouse=True)
def on_the_road(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(held_loads, "load_cases_of", lambda bay, on: road_cases()[:2])


def check(used: float, clause: str = "EN 1993-1-1:2005 6.2.5") -> Check:
    return Check(name="x", clause=clause, formula="", value=used, limit=1.0, unit="", factors="none")


def held(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay, of: dict[str, Held], typed: HoldRow | None = None
) -> tuple[BayHeld, dict[str, HoldSettings]]:
    """The bay with `of` as what is found of its parts, by name; the settings each was asked with."""
    asked = {}

    def found(part: Part, cases: tuple[PartCase, ...], settings: HoldSettings, *, told: object) -> Held:
        name = next(each.name for each in stood.parts if each.part is part)
        asked[name] = settings
        return of.get(name, Held(part=name, cases=("weight",), checks=()))

    monkeypatch.setattr(held_parts, "hold_worst", found)
    bay = replace(stood.bay, holding=typed, expected=())
    return held_bay(replace(stood, bay=bay)), asked


def stiffness_at(seat: str, along: tuple[float, float, float]) -> SeatStiffness:
    """Softest along one of the bay's own axes."""
    i = along.index(min(along))
    way = (float(i == 0), float(i == 1), float(i == 2))
    return SeatStiffness(seat=seat, along=along, least=min(along), least_way=way, assumed=())


def one(name: str, *checks: PartCheck, **more: object) -> Held:
    return Held(part=name, cases=("weight", "bump"), checks=checks, **more)  # type: ignore[arg-type]


def test_without_a_load_case_it_asks_and_claims_nothing(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay
) -> None:
    monkeypatch.setattr(held_loads, "load_cases_of", lambda bay, on: ())
    found, asked = held(monkeypatch, stood, {})
    assert (found.asks, found.parts, found.findings, asked) == ((ASKS,), (), (), {})


def test_the_part_of_which_most_is_used_is_first(monkeypatch: pytest.MonkeyPatch, stood: PlacedBay) -> None:
    found, _ = held(monkeypatch, stood, {
        "strut": one("strut", PartCheck("tube", "bump", check(0.4))),
        "tray": one("tray", PartCheck("lip", "bump", check(0.7)), PartCheck("weld", "weight", check(0.1))),
    })  # fmt: skip
    assert [part.name for part in found.parts][:2] == ["tray", "strut"]
    assert found.worst is not None
    assert (found.worst.name, found.worst.utilisation) == ("tray", 0.7)
    assert found.findings == ()
    assert [case[:2] for case in found.cases] == [
        ("weight", "characteristic"), ("bump", "characteristic"), ("rebound", "characteristic")
    ]  # fmt: skip


def test_more_than_a_clause_allows_stops_once_a_clause_and_place(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay
) -> None:
    found, _ = held(monkeypatch, stood, {"strut": one(
        "strut", PartCheck("tube", "bump", check(1.2)), PartCheck("tube", "weight", check(1.1)),
        PartCheck("foot", "bump", check(1.0)),
    )})  # fmt: skip
    (said,) = found.findings
    assert (said.code, said.level, said.piece, said.value, said.limit, said.unit) == (
        "strength", "stop", "strut: tube", 1.2, 1.0, ""
    )  # fmt: skip
    assert said.sentence == "case bump: utilisation 1.20, at most 1"
    assert said.source == "EN 1993-1-1:2005 6.2.5"
    assert said.about == ("strut",)


def test_what_no_clause_covers_is_a_caution_of_its_part(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay
) -> None:
    lines = [PartRefusal(f"place {i}", "", "t = 2 mm, must be 3 mm or more") for i in range(5)]
    found, _ = held(monkeypatch, stood, {"strut": one("strut", refused=(*lines, lines[0]))})
    (said,) = found.findings
    assert (said.code, said.level, said.piece) == ("strength scope", "caution", "strut")
    assert said.sentence.startswith("not checked: place 0: t = 2 mm, must be 3 mm or more; place 1")
    assert said.sentence.endswith("; and 2 more")


def test_a_direction_is_said_by_its_axis_and_without_a_negative_nought() -> None:
    assert way_said((0, -1, 0)) == "y"
    assert way_said((-0.001, 0.16, -0.987)) == "(0.00, 0.16, -0.99)"


def test_what_you_judged_by_other_means_is_told_as_yours(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay
) -> None:
    lines = [PartRefusal(f"place {i}", "", "t = 2 mm, must be 3 mm or more") for i in range(2)]
    typed = HoldRow(by_other_means=("strut: place 1", "strut: gone", "nobody: place 0"))
    found, _ = held(monkeypatch, stood, {"strut": one("strut", refused=tuple(lines))}, typed)
    (said,) = found.findings
    assert said.sentence == "not checked: place 0: t = 2 mm, must be 3 mm or more"
    assert [one.place for part in found.parts for one in part.yours] == ["place 1"]
    assert held_rows.said(found).endswith("; 1 place not checked; 1 place judged by you by other means")
    notes = [note for note in found.notes if "other means" in note or "by_other_means" in note]
    assert notes == [
        "strut: place 1: judged by you by other means, as typed; not checked here: t = 2 mm, must be 3 mm or more",
        "by_other_means names strut: gone: nothing there is left unchecked",
        "by_other_means names nobody: place 0: nothing there is left unchecked",
    ]


def test_a_part_that_cannot_be_led_through_is_said_with_why(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay
) -> None:
    def refuses(*_: object, told: object) -> Held:
        raise InputError("joints = several, must be stated")

    monkeypatch.setattr(held_parts, "hold_worst", refuses)
    found = held_bay(stood, only=frozenset({"strut"}))
    assert [part.refused for part in found.parts] == [("joints = several, must be stated",)]
    assert found.findings[0].sentence == "not checked: joints = several, must be stated"


def test_a_part_on_no_mount_is_not_judged(monkeypatch: pytest.MonkeyPatch, stood: PlacedBay) -> None:
    alone = replace(stood, bay=replace(stood.bay, mounts=stood.bay.mounts[:3]))
    monkeypatch.setattr(held_parts, "hold_worst", lambda part, *_, told: one(part.name))
    refused = {part.name: part.refused for part in held_bay(alone).parts if part.refused}
    assert refused == dict.fromkeys(("link_bracket", "fork", "torque_link"), (NOT_LOADED,))


@pytest.mark.parametrize(("times", "warns"), [(9.99, True), (10.0, False)])
def test_a_bracket_under_ten_times_its_bush_is_a_caution(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay, times: float, warns: bool
) -> None:
    """Q45 of the tray lies along x: 110 N/mm along it, 350 across. The strut is softest upwards."""
    stiff = stiffness_at("bush_left", (1e5, 1e5, times * 350))
    found, _ = held(monkeypatch, stood, {"tray": one("tray", stiffness=(stiff,))})
    assert [said.code for said in found.findings] == ["bracket stiffness"] * warns
    tray = next(part for part in found.parts if part.name == "tray")
    assert (tray.stiffness[0].times, tray.stiffness[0].bush) == pytest.approx((times, 350))
    if warns:
        said = found.findings[0]
        assert (said.level, said.piece, said.limit, said.source) == (
            "caution", "tray: tray_left", TIMES, "common practice, no source"
        )  # fmt: skip
        assert said.sentence == (
            "at its bush 3496 N/mm along z, 10.0 times the bush's 350: wants 10 times, loads and movement count it"
            " as rigid"
        )


def test_the_own_least_stiffness_takes_the_place_of_ten(monkeypatch: pytest.MonkeyPatch, stood: PlacedBay) -> None:
    stiff = stiffness_at("bush_left", (1e5, 1e5, 350 * 12.0))
    (said,) = held(
        monkeypatch, stood, {"tray": one("tray", stiffness=(stiff,))}, HoldRow(least_stiffness=15.0)
    )[0].findings
    assert (said.limit, said.source) == (15.0, "own limit, the bay file")


def test_a_link_is_held_against_its_bushes_along_its_length_alone(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay
) -> None:
    """1000 N/mm along x for the two bushes in series; across the link nothing is asked of the fork."""
    stiff = stiffness_at("bush", (20_000.0, 5.0, 5.0))
    found, _ = held(monkeypatch, stood, {"fork": one("fork", stiffness=(stiff,))})
    fork = next(part for part in found.parts if part.name == "fork")
    assert fork.stiffness[0].times == pytest.approx(20)
    assert found.findings == ()


@pytest.mark.parametrize(("most", "stops"), [(40.0, False), (40.1, True)])
def test_the_stress_range_of_a_weld_is_held_against_the_own_limit(
    monkeypatch: pytest.MonkeyPatch, stood: PlacedBay, most: float, stops: bool
) -> None:
    ranges = (
        StressRange(name="foot", cases=("bump", "weight"), across=12.0, along=most),
        StressRange(name="cup", cases=("bump", "rebound"), across=30.0, along=0.0),
    )
    of = {"strut": one("strut", weld_ranges=ranges)}
    found, _ = held(monkeypatch, stood, of, HoldRow(stress_range=40.0))
    assert [said.code for said in found.findings] == ["weld stress range"] * stops
    strut = next(part for part in found.parts if part.name == "strut")
    assert strut.weld_range is not None
    assert (strut.weld_range[0], strut.weld_range[1].name) == (most, "foot")
    assert held(monkeypatch, stood, of)[0].findings == ()  # no limit is typed: nothing is judged


def test_a_property_class_that_is_none_is_refused_where_it_is_typed() -> None:
    with pytest.raises(InputError, match=r"grade = 8\.9, must be 4\.6, 5\.6, 5\.8, 8\.8, 10\.9 "):
        HoldRow(grade="8.9")


def test_what_is_typed_reaches_each_part(monkeypatch: pytest.MonkeyPatch, stood: PlacedBay) -> None:
    typed = HoldRow(
        load_factor=1.5, own_factor=2.0, gamma_m0=1.1, joints="pinned", grade="8.8", preload=9000.0, surface="B",
        casting=160.0, engaged=18.0, onto_metal="S235", press_least=0.02, press_most=0.05, press_shell=41.0,
        press_friction=0.1,
    )  # fmt: skip
    _, asked = held(monkeypatch, stood, {}, typed)
    tray, ears = asked["tray"], asked["left_ears"]
    assert (tray.load_factor, tray.factors.own, tray.factors.m0, tray.joints) == (1.5, 2.0, 1.1, "pinned")
    assert (tray.grade, tray.preload, tray.surface, tray.casting) == ("8.8", 9000.0, "B", 160.0)
    fit = PressFit(least=0.02, most=0.05, shell_id=41.0, friction=0.1)
    assert dict(tray.press) == {"bush_left": fit, "bush_right": fit}
    assert dict(ears.press) == {}  # the ears hold the sleeve
    assert dict(ears.grades) == {"bush": "8.8"}
    assert set(tray.engaged.values()) == {18.0}
    assert (ears.onto_t, ears.onto_metal) == (3.0, "S235")  # rail_left, 60 x 60 x 3
    assert tray.onto_t is None


def test_a_mount_has_its_own_press_fit(monkeypatch: pytest.MonkeyPatch, stood: PlacedBay) -> None:
    """It wins over that of all bushes, which lends it its friction; a shell as wide as the bush is no shell."""
    typed = HoldRow(press_least=0.02, press_most=0.05, press_shell=41.0, press_friction=0.1)
    mounts = stood.bay.mounts

    def with_left(**own: float) -> PlacedBay:
        changed = tuple(
            replace(one, **own) if one.chassis_seat == "bush_left" or one.powertrain_seat == "bush_left" else one
            for one in mounts
        )  # fmt: skip
        return replace(stood, bay=replace(stood.bay, mounts=changed))

    own = with_left(press_least=0.01, press_most=0.03, press_shell=40.0)
    press = dict(held(monkeypatch, own, {}, typed)[1]["tray"].press)
    assert press["bush_left"] == PressFit(least=0.01, most=0.03, shell_id=40.0, friction=0.1)
    assert press["bush_right"] == PressFit(least=0.02, most=0.05, shell_id=41.0, friction=0.1)
    alone = with_left(press_least=0.01, press_most=0.03, press_shell=40.0, press_friction=0.2)
    press = dict(held(monkeypatch, alone, {})[1]["tray"].press)
    assert press == {"bush_left": PressFit(least=0.01, most=0.03, shell_id=40.0, friction=0.2)}
    wide = held(monkeypatch, with_left(press_least=0.01, press_most=0.03, press_shell=99.0), {}, typed)[0]
    (tray,) = [part for part in wide.parts if part.name == "tray"]
    assert "press.shell = 99 mm, must be under" in tray.refused[0]
    with pytest.raises(InputError, match=r"press = without press\.most, press\.shell, .*: press fit of"):
        replace(mounts[0], press_least=0.01)


def test_the_notes_say_what_the_loads_are_counted_as(monkeypatch: pytest.MonkeyPatch, stood: PlacedBay) -> None:
    notes = held(monkeypatch, stood, {})[0].notes
    assert notes[0] == "load cases: weight (characteristic), bump (characteristic), rebound (characteristic)"
    assert notes[1] == "characteristic loads are judged as they come: no load_factor is typed"
    typed = held(monkeypatch, stood, {}, HoldRow(load_factor=1.35))[0].notes
    assert typed[1] == "characteristic loads are multiplied by 1.35, as typed"


@pytest.mark.parametrize(
    ("given", "problem"),
    [
        ({"press_least": 0.1}, "press = without press.most, press.shell, must be all of least, most, shell"),
        (
            {"press_least": 0.1, "press_most": 0.05, "press_shell": 0.0},
            "press.least = 0.1 mm, must be at most press.most, 0.05 mm",
        ),
    ],
)
def test_a_press_fit_is_typed_whole_and_the_right_way_round(given: dict[str, float], problem: str) -> None:
    with pytest.raises(InputError, match=problem.replace(".", r"\.")):
        HoldRow(**given)  # type: ignore[arg-type]


def test_hang_says_which_brackets_of_tern_are_soft_beside_their_bushes_and_which_nobody_knows() -> None:
    """Their own bush: 350 N/mm; the link's are 1000 in series, and its fork and bracket are over ten times that.
    Tern types four times, which all have; without it, those under ten times are said."""
    bay = read_bay(shipped() / "tern.toml")
    met, _ = with_brackets(bay, hanging(bay, on_bushes(bay)))
    assert not [f for f in met.findings if f.code == "bracket stiffness"]
    assert bay.holding is not None
    bay = replace(bay, holding=replace(bay.holding, least_stiffness=None))
    found, unknown = with_brackets(bay, hanging(bay, on_bushes(bay)))
    soft = {f.piece: f.value for f in found.findings if f.code == "bracket stiffness"}
    assert set(soft) >= {"tray: tray_left", "tray: tray_right"}
    assert all(0 < value < TIMES for value in soft.values())
    assert not any("torque_link" in line or "fork" in line for line in (*soft, *unknown))


def test_hang_goes_on_where_the_parts_cannot_be_placed(tmp_path: Path) -> None:
    text = (shipped() / "tern.toml").read_text("utf-8").replace('recipe = "tray"', 'recipe = "trey"')
    (tmp_path / "tern.toml").write_text(text, "utf-8")
    (tmp_path / "tern_engine.stl").write_bytes((shipped() / "tern_engine.stl").read_bytes())
    bay = read_bay(tmp_path / "tern.toml")
    before = hanging(bay, on_bushes(bay))
    found, unknown = with_brackets(bay, before)
    assert found is before
    assert unknown == ("parts that can be placed (fit says why they cannot): brackets are taken as rigid",)
