"""The screen of a bay typed in inches: inches with mm in brackets, never more than is proven; a bay in mm stays."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_place_cmd import BARE
from three_bays import written

from brackets.app.cli import inches
from brackets.app.cli.app import main
from brackets.app.cli.fit_view import fit_text
from brackets.app.cli.inches import NOTICE, Lengths, in_inches, in_inches_cell, inch_text
from brackets.app.preview import bay_scene, gap_rows
from brackets.bay.clear.known import known
from brackets.bay.clear.pairs import at_least
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.rows import span
from brackets.core.rulebook.bay import GAP_AT_REST

INCH = Fraction(127, 5)
"""mm: 25.4 exactly (international yard and pound agreement, 1959)."""

# -------------------------------------------------------------------------------------------------- figures

PRINTED = st.decimals(-5000, 5000, places=2).map(str) | st.decimals(-5000, 5000, places=1).map(str)


@given(PRINTED)
def test_a_figure_is_rounded_by_less_than_a_thousandth_and_its_way(mm: str) -> None:
    """Against exact fractions: a low end never more than the mm say, a high end never less."""
    exact = Fraction(mm) / INCH
    down, near, up = (Fraction(inch_text(mm, way)) for way in ("down", "near", "up"))
    step = Fraction(1, 1000)
    assert exact - step < down <= exact <= up < exact + step
    assert abs(near - exact) <= step / 2


@given(st.decimals(-900, 900, places=1))
def test_inches_of_three_decimals_tell_every_tenth_of_a_mm(mm: Decimal) -> None:
    assert round(Fraction(inch_text(str(mm))) * INCH, 1) == Fraction(mm)


def test_whole_inches_are_exact_whatever_the_rounding() -> None:
    for way in ("down", "near", "up"):
        assert [inch_text(mm, way) for mm in ("25.4", "63.5", "-12.7", "0", "-0.0")] == [
            "1.000", "2.500", "-0.500", "0.000", "0.000",
        ]  # fmt: skip


def test_mm_told_finer_than_a_thousandth_of_an_inch_keep_their_figures() -> None:
    assert inch_text("0.002") == "0.0001"
    assert inch_text("75.021") == "2.9536"


@given(st.floats(-500, 500, allow_nan=False))
def test_what_is_spare_is_never_said_to_be_more_than_is_proven(mm: float) -> None:
    """3e-6 mm, what arithmetic alone may be short by, is the one thing that is given away."""
    said = Fraction(Lengths("in").least(mm)) * INCH
    assert said <= Fraction(mm) + Fraction(31, 10**7)
    assert said > Fraction(mm) - INCH / 1000 - Fraction(1, 10**9)


def test_the_low_end_of_an_interval_goes_down_and_the_high_end_up() -> None:
    said = Lengths("in")
    assert said.span(13.72, 14.02) == "0.540-0.552"  # 0.54016, 0.55197
    assert said.span(5.0, 5.01) == "0.196"  # 0.19685
    assert said.span(33.56, 50.0) == "1.321+"  # 1.32126


@given(st.floats(-500, 500, allow_nan=False), st.floats(0, 3))
def test_a_bay_in_mm_is_told_as_ever(mm: float, wide: float) -> None:
    said = Lengths("mm")
    assert said.least(mm) == at_least(mm)
    assert said.span(mm, mm + wide) == span(mm, mm + wide)
    assert (said.figure(mm), said.figure(mm, ".1f")) == (f"{mm + 0.0:g}", f"{round(mm, 1) + 0.0:.1f}")
    assert said.both(mm) == f"{mm:g} mm"
    assert said.proven(mm) == f"{at_least(mm)} mm"


# ------------------------------------------------------------------------------------------------- sentences

SENTENCES = {
    "one": ("is 15.0 mm below the ground", "is 0.591 in (15.0 mm) below the ground"),
    "proven": ("5.0 mm spare, take care", "0.196 in (5.0 mm) spare, take care"),
    "asked": ("5.0 mm standing still, 20 asked", "0.196 in (5.0 mm) standing still, 0.787 in (20 mm) asked"),
    "interval": ("10.9-11.0 mm wide", "0.429-0.434 in (10.9-11.0 mm) wide"),
    "between": (
        "between 19.5 and 24.5 mm standing still",
        "between 0.767 and 0.965 in (19.5 and 24.5 mm) standing still",
    ),
    "size": ("a plate 40 x 10 mm", "a plate 1.575 x 0.394 in (40 x 10 mm)"),
    "share": ("comes out 39 of 90 mm, then", "comes out 1.535 of 3.543 in (39 of 90 mm), then"),
    "share of its own": ("from 5 of its 50 mm (41 to 45 mm)",
                         "from 0.197 of its 1.969 in (5 of its 50 mm) (1.614 to 1.772 in (41 to 45 mm))"),
    "place": ("at 25.4, -50.8, 0 mm of", "at 1.000, -2.000, 0.000 in (25.4, -50.8, 0 mm) of"),
    "movement": (
        "at least 13.74 mm when moved (left up 0.5 deg, aft 5, down 7 mm), 15 asked",
        "at least 0.540 in (13.74 mm) when moved (left up 0.5 deg, aft 0.197, down 0.276 in (aft 5, down 7 mm)),"
        " 0.591 in (15 mm) asked",
    ),
    "±": (
        "0.5 mm spare, -1.0 less the ±: hose is known to 1 mm, engine to 0.5",
        "0.019 in (0.5 mm) spare, -0.040 in (-1.0 mm) less the ±: hose is known to 0.039 in (1 mm),"
        " engine to 0.020 in (0.5 mm)",
    ),
    "wanted": (
        "straight 2 is 24.5 mm, the bender's clamp wants 25",
        "straight 2 is 0.965 in (24.5 mm), the bender's clamp wants 0.984 in (25 mm)",
    ),
    "stock": ("30 is 1.5 mm too short", "30 is 0.059 in (1.5 mm) too short"),
    "stock of an inch bolt": ("1-1/4 in is 6.3 mm too short", "1-1/4 in is 0.248 in (6.3 mm) too short"),
}  # fmt: skip


@pytest.mark.parametrize(("mm", "told"), SENTENCES.values(), ids=SENTENCES)
def test_a_sentence_says_inches_with_mm_in_brackets(mm: str, told: str) -> None:
    assert in_inches(mm) == told
    assert in_inches(told) == told


@pytest.mark.parametrize(
    "as_it_is",
    [
        "M10 x 35 mm, or M10 x 40, is threaded to its head",
        "99 % of 7469 mm2 stand on metal",
        "meet at 1, 2, 3, 6.5 mm3",
        "350 N/mm square to its axis, 5 mm/s",
        "A mm moves the engine a mm along the bar",
        "bends by 4.94 deg (aft), 4.5 typed",
        "wants about 15 kN over V 32, the brake takes 12",
        "a gap of 1/16 in can be welded over",
        "up to 3/16 in (4.76 mm)",
        "E2 bolt of rail_2, class 8.8",
    ],
)
def test_names_other_units_and_inches_stay(as_it_is: str) -> None:
    assert in_inches(as_it_is) == as_it_is


def test_a_cell_keeps_its_names_and_angles() -> None:
    assert in_inches_cell("mount_2: 0.0, -4.0, 25.4") == "mount_2: 0.000, -0.157, 1.000"
    assert in_inches_cell("30.27 90 deg", "down") == "1.191 90 deg"
    assert in_inches_cell("13.7-14.0", "down") == "0.539-0.552"
    assert in_inches_cell("2.0 of 4", "up") == "0.079 of 0.157"  # 0.0787 asked, 0.1575 given


# ------------------------------------------------------------------------------------------- the screen of fit


@pytest.fixture(scope="module")
def near(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    return fit(read(written(tmp_path_factory.mktemp("bay"), "caution")))


def inch(done: Fit) -> Fit:
    """The same bay, had its file said unit = "in" and inches."""
    bay = replace(done.bay, bare="in")
    return replace(done, stood=replace(done.stood, bay=bay))


def unbracketed(screen: str) -> str:
    """A screen without what is in "in (... mm)", and without the sentence that says what is in mm."""
    flat = " ".join(screen.split()).replace(NOTICE, "")
    return re.sub(r"\bin \([^()]* mm\)", "in", flat)


def test_no_length_of_an_inch_bay_is_in_mm_alone(near: Fit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    screen = fit_text(inch(near), None)
    rest = unbracketed(screen)
    rest = re.sub(r"\(the least spare is -?[\d.]+ mm\)|sections in mm, as the stock names them", "", rest)
    assert re.findall(r".{20}\bmm\b.{9}", rest) == []
    assert NOTICE in " ".join(screen.split())
    assert "0.393 in (10.0 mm) standing still, 0.787 in (20 mm) asked" in " ".join(screen.split())


def test_a_table_of_an_inch_bay_has_its_worst_row_in_mm_too(near: Fit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    screen = fit_text(inch(near), None)
    _, _, tail = screen.partition("tightest gaps, in (the least spare is ")
    worst, _, table = tail.partition(" mm)\n")
    head, _, row, *_ = table.splitlines()
    assert head.split()[:3] == ["spare", "still", "asked"]
    spare = min(p.spare for p in near.pairs if p.state not in ("fit-up", "contact"))
    moved = min(m.spare for m in near.moved)
    assert worst == at_least(min(spare, moved))
    assert row.split()[0] == Lengths("in").least(min(spare, moved))


@pytest.mark.parametrize(("mm", "form", "told"), [(-0.3, ".0f", "0"), (-0.0, "g", "0"), (-0.6, ".0f", "-1")])
def test_nothing_has_no_sign(mm: float, form: str, told: str) -> None:
    assert Lengths("mm").figure(mm, form) == told


@given(st.floats(0.0, 100.0))
def test_a_finding_and_the_table_beside_it_say_one_figure(gap: float) -> None:
    """Both from the gap as it was found, rounded once: of 15.0 mm that are 15.04 the table says 0.592 in."""
    found = GAP_AT_REST.finding(
        piece="arm | tube",
        about=("arm", "tube"),
        value=gap,
        limit=15.04,
        source_words="line",
        sentence=f"{at_least(gap)} mm standing still, {15.04:g} asked",
    )
    at = Lengths("in")
    known_as = f"{at.least(gap)} in ({at_least(gap)} mm) standing still, 0.592 in (15.04 mm) asked [gap"
    assert at.told(found).startswith(known_as)
    assert Lengths("mm").told(found) == found.said
    assert in_inches("15.0 mm too near", [15.04]) == "0.592 in (15.0 mm) too near"
    assert in_inches("15 mm too near", [15.04]) == "0.591 in (15 mm) too near"


def test_tables_hold_80_columns_in_inches(near: Fit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    screen, _, _ = fit_text(inch(near), None).partition("findings, worst first")
    assert [line for line in screen.splitlines() if len(line) > 80] == []


def test_nothing_on_the_screen_of_a_bay_in_mm_is_converted(near: Fit, monkeypatch: pytest.MonkeyPatch) -> None:
    """Not a figure: the functions that do so are not called, and no word of inches is there."""

    def refuse(*_: object) -> str:
        raise AssertionError

    for name in ("inch_text", "in_inches", "in_inches_cell", "_inches"):
        monkeypatch.setattr(inches, name, refuse)
    screen = fit_text(near, None)
    assert not re.search(r"\.\d{3} in\b|, in\b", screen)
    with pytest.raises(AssertionError):
        fit_text(inch(near), None)


# ------------------------------------------------------------------------------------------ the screen of place


INCH_BARE = """\
format = 1
name = "Bare"
unit = "in"
[gap]
fixed = { rest = 0.2, moved = 0.04, why = "our own choice" }
[[keep_out]]
name = "left_rail"
box = { from = [-16, 5, -4], to = [16, 6, 4] }
[[keep_out]]
name = "right_rail"
box = { from = [-16, -3.5, -4], to = [16, -2.5, 4] }
[[keep_out]]
name = "engine"
side = "powertrain"
box = { from = [-4, -2, 0], to = [4, 2, 3] }
[powertrain]
place = { at = [0.0625, 0, 0] }
"""
"""The engine 0.5 in from the right rail and 3 in from the left, 0.0625 in forward; 0.2 in asked. Invented."""


def test_place_says_inches_that_can_be_typed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    bay = tmp_path / "bare.toml"
    bay.write_text(INCH_BARE + "[place]\nleft = [-0.75, 3]\n", "utf-8")
    assert main(["place", str(bay)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "place fore 0.0625, left 0, up 0 in; roll 0" in said
    assert "tightest gaps, in, and what each gains by 1 in fore" in said
    assert "0.300 0.500 0.00 1.00 0.00" in said  # spare, gap, and inches an inch fore, left, up
    assert "gains 1.00 in an in; after 0.787 in (20.0 mm) it is 1.087 in (27.6 mm)" in said
    assert "left 0 1.25 -0.75 to 3 in" in said  # the middle of 0.5 and 3: (3 - 0.5) / 2
    assert "least spare 0.300 in (7.6 mm) as typed, 1.550 in (39.3 mm) there" in said
    assert not re.search(r"\d mm\b(?!\))", said.replace("(the least spare is 7.6 mm)", ""))


def test_the_example_of_limits_is_in_the_units_of_the_bay(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bay = tmp_path / "bare.toml"
    bay.write_text(INCH_BARE, "utf-8")
    assert main(["place", str(bay)]) == 0
    example = capsys.readouterr().out.partition("for example\n")[2]
    assert "fore = [-0.75, 0.75]" in example
    bay.write_text(INCH_BARE + example.partition("\n\n")[0], "utf-8")
    assert read(bay).place_limits.fore == pytest.approx((-19.05, 19.05))


def test_scripts_get_mm_whatever_the_bay_is_typed_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = []
    for text in (INCH_BARE, BARE):
        bay = tmp_path / "bare.toml"
        bay.write_text(text, "utf-8")
        assert main(["place", str(bay), "--json"]) == 0
        told.append(json.loads(capsys.readouterr().out)["gaps"][0]["spare_mm"])
    assert told == pytest.approx([12.7 - 5.08, 5.0])


# -------------------------------------------------------------------------------------------------------- the page


def test_no_length_on_the_page_of_an_inch_bay_is_in_mm_alone(near: Fit) -> None:
    """Its tables have what the screen has."""
    at, done = Lengths("in"), inch(near)
    known_ = known(done.bay, done.things)
    tables = [
        bay_scene.findings(done.findings, at=at),
        bay_scene.mass_table(done.stood),
        gap_rows.at_rest(done.pairs, known_, at),
        gap_rows.when_moved(done.moved, known_, at),
        gap_rows.of_paths(done.paths, at),
        gap_rows.of_slacks(done.slacks, at),
        gap_rows.of_adjusts(done.adjusts, at),
    ]
    for told_ in tables:
        words = [told_["title"], *(column["name"] for column in told_["columns"])]
        words += [cell for row in told_["rows"] for cell in row["cells"]]
        assert re.findall(r".{20}\bmm\b.{9}", unbracketed(" | ".join(words))) == [], told_["key"]
    rest = tables[2]
    assert rest["columns"][2]["name"] == "at least in"
    pair = next(pair for pair in done.pairs if pair.state not in ("fit-up", "contact"))
    row = next(row for row in rest["rows"] if row["cells"][:2] == [pair.a, pair.b])
    assert row["cells"][2:5] == [at.least(pair.low), at.figure(pair.needed), at.least(pair.spare)]
    assert "0.393 in (10.0 mm) standing still" in tables[0]["rows"][0]["cells"][2]


def test_the_page_in_mm_is_as_ever(near: Fit) -> None:
    assert " in (" not in json.dumps(bay_scene.findings(near.findings))
    assert gap_rows.at_rest(near.pairs)["columns"][2]["name"] == "at least mm"


# ------------------------------------------------------------------------------------------- parts and their blanks


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main([*words, "--no-files"]) == 0
    return " ".join(capsys.readouterr().out.split())


def test_a_part_typed_in_inches_is_told_in_inches(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Blanks and centre in inches; what is typed, and a finding, with mm beside it. Without --bare all is in mm."""
    monkeypatch.setenv("COLUMNS", "120")
    mm = told(capsys, "make", "ears", "--reach", "3in")
    assert "in (" not in mm
    assert "centroid x 0.0 y 17.4 z 0.0 mm" in mm
    inches_ = told(capsys, "make", "ears", "--bare", "in", "--reach", "3")
    blank = re.search(r"plate 6: ([\d.]+) x ([\d.]+)", mm)
    assert blank is not None
    long, wide = (f"{float(size) / 25.4:.3f}" for size in blank.groups())
    assert re.search(r"plate 6: ([\d.]+) x ([\d.]+)", inches_).groups() == (long, wide)  # type: ignore[union-attr]
    assert f"centroid x 0.000 y {17.4 / 25.4:.3f} z 0.000 in" in inches_
    assert f"lengths {NOTICE}" in inches_
    assert "leg of 0.197 in (5 mm)" in inches_
    assert "ear_r 1.024 in (26 mm)" in inches_


def test_the_cut_table_of_tubes_is_in_inches(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Angles, masses and names of sizes stay."""
    monkeypatch.setenv("COLUMNS", "140")
    mm, inches_ = (told(capsys, "make", "strut", *more) for more in ((), ("--bare", "in")))
    row = re.compile(r"tube 38 x 3 S235 ([\d.]+) ([\d.]+) ([\d.]+) ([\d.]+) 1 ")
    one, other = row.search(mm), row.search(inches_)
    assert one is not None
    assert other is not None
    lengths = [float(v) / 25.4 for v in one.groups()[:2]]
    assert [float(v) for v in other.groups()[:2]] == pytest.approx(lengths, abs=6e-4)
    assert other.groups()[2:] == one.groups()[2:]


def test_blanks_and_sheets_are_in_inches(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """Of a recipe by --bare, of a bay by its unit."""
    monkeypatch.setenv("COLUMNS", "120")
    said = told(capsys, "flat", "ears", "--bare", "in")
    assert "1 S235 6 78.740 x 39.370 2" in said  # a sheet of 2000 x 1000
    assert "ear_front, ear_rear 2 2.047 x 3.668 S235 6" in said
    assert f"lengths {NOTICE}" in said
    assert "2000 x 1000" in told(capsys, "flat", "ears")
