"""`brackets place` at the screen and for scripts, what it refuses, and what it writes into the bay file; and that a
bay of keep-outs alone is fitted, drawn and laid out like any other. All bays are invented."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from brackets.app.cli.app import main
from brackets.app.place_file import write_place
from brackets.bay.file import read
from brackets.bay.position.kept_ends import ends_of
from brackets.core.errors import BadFile

BARE = """\
format = 1
name = "Bare"
[gap]
fixed = { rest = 5, moved = 1, why = "our own choice" }
[[keep_out]]
name = "left_rail"
box = { from = [-400, 130, -100], to = [400, 160, 100] }
[[keep_out]]
name = "right_rail"
box = { from = [-400, -90, -100], to = [400, -60, 100] }
[[keep_out]]
name = "engine"
side = "powertrain"
box = { from = [-100, -50, 0], to = [100, 50, 80] }
"""
LIMITS = "[place]\nleft = [-20, 80]\n"


@pytest.fixture
def bay(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "80")
    return tmp_path / "bare.toml"


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(list(words))
    out, err = capsys.readouterr()
    return status, " ".join(out.split()), err


# ------------------------------------------------------------------------------------------- the screen and scripts


def test_without_limits_it_says_what_each_step_gains_and_what_to_type(
    bay: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bay.write_text(BARE, "utf-8")
    status, said, err = run(capsys, "place", str(bay))
    assert (status, err) == (0, "")
    assert "Keep-outs alone, standing still" in said
    assert "5.0 10.0 0.00 1.00 0.00" in said  # spare, gap, and by a mm fore, left, up
    assert "engine | right_rail" in said
    assert "the other way" in said
    assert said.count(" -1.00 ") == 1  # of the left rail; a row of the other way leaves out what is the opposite
    assert "shift left: the least spare gains 1.00 mm a mm; after 20.0 mm it is 25.0 mm" in said
    assert "turn none gains anything" in said
    assert "To search, say in the bay file how far the powertrain may move" in said
    assert "best place found" not in said
    assert "written" not in said
    assert bay.read_text("utf-8") == BARE


def test_the_example_that_it_prints_is_taken(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from brackets.app.cli.place_view import LIMITS as EXAMPLE

    bay.write_text(f"{BARE}{EXAMPLE}\n", "utf-8")
    assert read(bay).place_limits.fore == (-20, 20)
    assert read(bay).place_limits.named


def test_within_limits_it_says_where_and_what_holds_it_there(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bay.write_text(BARE + LIMITS, "utf-8")
    status, said, _ = run(capsys, "place", str(bay))
    assert status == 0
    assert "left 0 35 -20 to 80 mm" in said
    assert "fore 0 0 stays mm" in said
    assert "least spare 5.0 mm as typed, 40.0 mm there" in said
    assert "held by engine | left_rail 40.0; engine | right_rail 40.0" in said
    assert "the best of these, not of all there are" in said
    assert "Nothing is written; brackets place --write puts it into the file." in said
    assert "best single step, limits of [place] aside" in said
    assert bay.read_text("utf-8") == BARE + LIMITS


def test_scripts_get_the_same(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bay.write_text(BARE + LIMITS, "utf-8")
    assert main(["place", str(bay), "--json"]) == 0
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    assert list(told) == [
        "format", "bay", "place", "gaps", "left_out", "drives", "props", "steps", "best", "written", "stops"
    ]  # fmt: skip
    first = told["gaps"][0]
    assert (first["a"], first["b"], first["needed_mm"]) == ("engine", "right_rail", 5)
    assert first["spare_mm"] == pytest.approx(5, abs=1e-3)
    assert (first["plus"]["left"], first["minus"]["left"]) == (pytest.approx(1), pytest.approx(-1))
    assert told["best"]["place"] == {"at": [0, 35, 0], "roll": 0, "pitch": 0, "yaw": 0}
    assert told["best"]["spare_mm"] == pytest.approx(40, abs=1e-2)
    assert told["best"]["spare_before_mm"] == pytest.approx(5, abs=1e-3)
    assert (told["written"], told["stops"]) == (None, False)


def test_mounts_are_said_not_to_move_along(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    mount = '[[mount]]\nname = "m"\nbush = "R40"\nat = [0, 0, 200]\naxis = [1, 0, 0]\n'
    bay.write_text(BARE + mount, "utf-8")
    assert "mounts do not move along: fit them afterwards" in run(capsys, "place", str(bay))[1]


def test_pairs_that_are_meant_to_touch_are_left_out_by_name(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bay.write_text(f'{BARE}[[contact]]\npair = ["right_rail", "engine"]\n', "utf-8")
    said = run(capsys, "place", str(bay))[1]
    assert "meant to touch and left out: engine | right_rail" in said
    assert "75.0 80.0" in said


def test_where_nothing_helps_it_stops(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    deep = BARE.replace("[-400, -90, -100]", "[-400, -400, -100]").replace("[400, -60, 100]", "[400, -20, 100]")
    bay.write_text(f"{deep}[place]\nleft = [-5, 10]\n", "utf-8")
    status, said, _ = run(capsys, "place", str(bay))
    assert status == 1
    assert "-35.0 -30.0" in said  # drawn out 30 mm it is free
    assert "left 0 10 -5 to 10 mm" in said
    assert "at the end of left to 10 mm" in said
    assert "STOP: engine | right_rail: they foul there" in said


@pytest.mark.parametrize(
    ("face", "rest", "status", "words"),
    [
        (-53, 5, 0, "Not every gap asked for is there, standing still."),
        (-54.01, 5, 0, "Every gap asked for is there, standing still."),
        (-49, 0, 0, "Every gap asked for is there, standing still."),  # they touch at the best place, as is asked
        (-49, 5, 1, "STOP: engine | right_rail: they foul there"),
    ],
)
def test_what_is_asked_is_there_or_not(
    face: float, rest: int, status: int, words: str, bay: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The engine's side stands at -50 and may go 1 mm to the left."""
    near = BARE.replace("400, -60, 100", f"400, {face}, 100")
    near = near.replace("rest = 5, moved = 1", f"rest = {rest}, moved = 0")
    bay.write_text(f"{near}[place]\nleft = [0, 1]\n", "utf-8")
    found, said, _ = run(capsys, "place", str(bay))
    assert (found, words in said) == (status, True)


def test_a_typed_place_outside_its_limits_is_said(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bay.write_text(f"{BARE}[place]\nleft = [3, 4]\n", "utf-8")
    assert "typed place outside: left = 0 mm, 3 to 4 mm under [place]" in run(capsys, "place", str(bay))[1]


def test_without_place_what_must_be_kept_is_told_all_the_same(
    bay: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = '[[keep_within]]\nname = "sump"\nat = [0, 0, -20]\nz = { from = 0, to = 30 }\n'
    rows += '[[keep_within]]\nname = "lever"\nat = [0, 0, 60]\nz = { from = 60 }\n'
    bay.write_text(BARE + rows, "utf-8")
    said = run(capsys, "place", str(bay))[1]
    assert "keep_within sump: z from 0 mm: 20.00 mm past it" in said
    assert "keep_within lever: kept as typed" in said
    assert "Without [place] nothing is moved to keep them. To search, say in the bay file" in said
    bay.write_text(BARE + LIMITS + rows.replace("from = 0,", "from = -20,"), "utf-8")
    assert "Without [place]" not in run(capsys, "place", str(bay))[1]


# --------------------------------------------------------------------------------------------------------- refusals


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[place]\nfore = [5, 2]\n", "place: fore = 5 to 2 mm, must be low to high: limits of the place"),
        ("[place]\nyaw = [5, 2]\n", "place: yaw = 5 to 2 deg, must be low to high: limits of the place"),
        ("[place]\nfore = [5]\n", "place: fore = 1 entries, must be at least 2: place.at x, from and to"),
        ("[place]\nroll = [0, 91]\n", "place: roll 2 = 91 deg, must be -90 to 90 deg: place.roll, from and to"),
        ("[place]\nback = [0, 1]\n", "place: back: no such value, must be one of fore, left, up, roll, pitch, yaw"),
        ("place = 3\n", "place = 3, must be a table: [place]"),
        (
            '[[keep_within]]\nname = "sump"\nat = [0, 0, 0]\n',
            "keep_within sump: x, y, z = nothing, at least one of them: what the point must stay within",
        ),
        (
            '[[keep_within]]\nname = "sump"\nat = [0, 0, 0]\nz = { from = 3, to = 1 }\n',
            "keep_within sump: z = 3 to 1 mm, must be low to high: what the point must stay within",
        ),
        (
            2 * '[[keep_within]]\nname = "sump"\nat = [0, 0, 0]\nz = { from = 3 }\n',
            "keep_within sump: there are 2 of that name, each name once",
        ),
    ],
)
def test_what_is_wrong_in_the_file_is_one_line(text: str, line: str, bay: Path) -> None:
    bay.write_text(f"format = 1\n{text}", "utf-8")
    with pytest.raises(BadFile) as caught:
        read(bay)
    assert caught.value.problems == (line,)


def test_from_and_to_may_be_the_same(bay: Path) -> None:
    point = '[[keep_within]]\nname = "sump"\nat = [0, 0, 3]\nz = { from = 3, to = 3 }\n'
    bay.write_text(f"{BARE}[place]\nfore = [2, 2]\n{point}", "utf-8")
    assert read(bay).place_limits.fore == (2, 2)
    assert ends_of(read(bay).kept_within[0])[2] == (3, 3)


ENGINE_ONLY = BARE[: BARE.index("[[keep_out]]")] + BARE[BARE.index('[[keep_out]]\nname = "engine"') :]


@pytest.mark.parametrize(
    ("text", "words", "lines"),
    [
        (ENGINE_ONLY, (), ["keep_out = none with side = chassis, must have one: what it is cleared against"]),
        (
            "format = 1\n",
            ("--write",),
            [
                "keep_out = none with side = powertrain, must have one: what moves",
                "keep_out = none with side = chassis, must have one: what it is cleared against",
                "[place] = nothing, must say how far the powertrain may move: fore = [-20, 20] (--write)",
            ],
        ),
        (
            f'{ENGINE_ONLY}[[keep_out]]\nname = "a"\nbox = {{ from = [0, 0, 0], to = [1, 1, 1] }}\n'
            '[[contact]]\npair = ["a", "engine"]\n',
            (),
            ["contact = every pair of powertrain and chassis, must leave one: what is cleared"],
        ),
        (
            f'{ENGINE_ONLY}[[keep_out]]\nname = "a"\nmesh = "a.stl"\nunit = "mm"\n',
            (),
            ["keep_out a: mesh = a.stl, no such file beside the bay file"],
        ),
    ],
)
def test_what_cannot_be_placed_is_one_line_each(
    text: str, words: tuple[str, ...], lines: list[str], bay: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bay.write_text(text, "utf-8")
    status, out, err = run(capsys, "place", str(bay), *words)
    assert (status, out) == (2, "")
    assert err.splitlines() == [f"{bay}: {line}" for line in lines]


def test_a_point_that_cannot_be_kept_is_one_line(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sump = '[[keep_within]]\nname = "sump"\nat = [0, 0, -20]\nz = { from = 0 }\n'
    bay.write_text(f"{BARE}{LIMITS}up = [0, 15]\n{sump}", "utf-8")
    assert run(capsys, "place", str(bay)) == (
        2, "", "keep_within sump: z = -5 mm, at least 0 mm: none found within [place] that keeps it\n"
    )  # fmt: skip


# -------------------------------------------------------------------------------------------------- writing it back


def written(bay: Path, text: str, capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    """What is said at the end, and the file's text."""
    bay.write_bytes(text.encode("utf-8"))
    assert main(["place", str(bay), "--write"]) == 0
    return capsys.readouterr().out.splitlines()[-1], bay.read_bytes().decode("utf-8")


PLACES = {
    "place = { at = [0,  0.0, 0], roll = 0 }   # as hung": "place = { at = [0,  35, 0], roll = 0 }   # as hung",
    "place.at = [ 0, 0, 0 ] # so": "place.at = [ 0, 35, 0 ] # so",
    "place_at = [\n  0,  # fore\n  0,  # left\n  0,\n]": "place_at = [\n  0,  # fore\n  35,  # left\n  0,\n]",
    "place = { pitch = 0.0 }": "place = { pitch = 0.0, at = [0, 35, 0] }",
    'place_at = "0, 0, 0"': "place_at = [0, 35, 0]",
    "place_roll = 0  # level": "place_roll = 0  # level\nplace_at = [0, 35, 0]",
}


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("end", ["\n", "\r\n"], ids=["lf", "crlf"])
def test_every_other_byte_of_the_file_stays(place: str, end: str, bay: Path) -> None:
    """Comments, spaces, ends of lines, the mark before it, and tables after it."""
    after = "\n  [place]   # how far\nleft = [-20, 80]\n\n# the end: ½ × 3\n"
    text = f"\ufeff# by hand\n{BARE}[powertrain]\ncylinders = 2   # a twin\n{{}}\n{after}".replace("\n", end)
    bay.write_bytes(text.replace("{}", place.replace("\n", end)).encode("utf-8"))
    assert write_place(read(bay), np.array((0, 35.0, 0, 0, 0, 0))) == ("place.at = [0, 35, 0] mm",)
    assert bay.read_bytes().decode("utf-8") == text.replace("{}", PLACES[place].replace("\n", end))


def test_a_file_without_a_powertrain_gets_one(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, found = written(bay, BARE + LIMITS, capsys)
    assert found.startswith(BARE + LIMITS)
    assert found.removeprefix(BARE + LIMITS).strip() == "[powertrain]\nplace = {at = [0, 35, 0]}"
    assert read(bay).powertrain.place_at == (0, 35, 0)


def test_what_was_written_is_the_best_place_from_then_on(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, found = written(bay, BARE + LIMITS, capsys)
    said, again = written(bay, found, capsys)
    assert again == found
    assert said == "nothing written: bare.toml has this place already"


def test_an_inch_file_gets_inches_and_turns_in_degrees(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Walls 8 in apart about a block 4 in wide that stands 3 deg askew, 0.3 in off their middle."""
    askew = 'box_at = [0, 0, 0]\nbox_axis = [0, 0, 1]\nbox_up = [-0.052335956, 0.998629535, 0]\n'
    text = (
        'format = 1\nunit = "in"\n'
        '[[keep_out]]\nname = "left"\nbox = { from = [-30, 4.3, -30], to = [30, 5, 30] }\n'
        '[[keep_out]]\nname = "right"\nbox = { from = [-30, -5, -30], to = [30, -3.7, 30] }\n'
        '[[keep_out]]\nname = "engine"\nside = "powertrain"\nbox_from = [-4, -2, 0]\nbox_to = [4, 2, 3]\n'
        f"{askew}[place]\nleft = [-1, 1]\nyaw = [-5, 5]\n"
    )
    said, found = written(bay, text, capsys)
    assert found.startswith(text)
    assert said.startswith("written to bare.toml: place.at = [0, 0.3, 0] in, place.yaw = -")
    place = read(bay).powertrain
    assert place.place_at == pytest.approx((0, 0.3 * 25.4, 0), abs=0.06)
    assert place.place_yaw == pytest.approx(-3, abs=0.01)


def test_a_file_that_is_closed_to_writing_stays(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """It is refused before the search, though the file could be replaced; to look alone is no fault."""
    bay.write_text(BARE + LIMITS, "utf-8")
    bay.chmod(0o444)
    line = f"{bay}: mode = read only, must be a file that you may write (--write)\n"
    assert run(capsys, "place", str(bay), "--write") == (2, "", line)
    assert bay.read_text("utf-8") == BARE + LIMITS
    assert run(capsys, "place", str(bay))[0] == 0


def test_a_file_that_cannot_be_written_is_one_line(
    bay: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from brackets.app import place_file

    def full(path: Path) -> object:
        raise OSError(13, "Permission denied", str(path))

    bay.write_text(BARE + LIMITS, "utf-8")
    monkeypatch.setattr(place_file, "replacing", full)
    status, _, err = run(capsys, "place", str(bay), "--write")
    assert (status, err) == (2, f"{bay}: Permission denied, nothing written\n")
    assert bay.read_text("utf-8") == BARE + LIMITS


# ----------------------------------------------------------------------------------------- a bay of keep-outs alone


def test_a_bare_engine_is_fitted_like_any_bay(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """10 mm to the right at rest, 6 when it moves 4 aside."""
    bay.write_text(f"{BARE}[powertrain]\nmoves = {{ about = \"crank\", side = 4 }}\n", "utf-8")
    status, said, err = run(capsys, "fit", str(bay))
    assert (status, err) == (0, "")
    assert said.startswith("Bare nothing stops: 1 advice meets the rule of gaps you entered")
    assert "4.9 10.0 5 5.9 1 fixed right_rail | engine" in said  # proven low ends, a hair under 5 and 6
    assert sorted(p.name for p in Path("out/bare").iterdir()) == ["buy.csv", "facts.json", "gaps.csv", "lists.xlsx"]


def test_a_bare_engine_is_drawn_and_has_no_blanks_and_no_bolts(
    bay: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bay.write_text(BARE, "utf-8")
    assert main(["view", str(bay), "--png", "bare.png", "--pixels", "160x120"]) == 0
    assert Path("bare.png").read_bytes().startswith(b"\x89PNG")
    capsys.readouterr()
    assert run(capsys, "bolts", str(bay)) == (
        0, "no part of this bay is bolted to two bosses or more: there is no pattern of bolts to judge", ""
    )  # fmt: skip
    status, said, _ = run(capsys, "flat", str(bay), "--no-files")
    assert status == 0
    assert said.startswith("no blanks: nothing here is cut from plate")


def test_a_bay_with_nothing_in_it_is_no_picture(bay: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bay.write_text("format = 1\n", "utf-8")
    assert run(capsys, "view", str(bay), "--png", "bare.png") == (
        2, "", "bay = empty, must have a keep-out or a part: what is drawn\n"
    )  # fmt: skip
    assert not Path("bare.png").exists()


@pytest.mark.checkout
def test_the_limits_that_the_readme_shows_are_taken(bay: Path) -> None:
    readme = (Path(__file__).resolve().parent.parent / "README.md").read_text("utf-8")
    shown = next(part for part in readme.split("```toml\n")[1:] if part.startswith("[place]")).split("```")[0]
    bay.write_text(f"{BARE}{shown}", "utf-8")
    found = read(bay)
    assert found.place_limits.fore == (-20, 30)
    assert ends_of(found.kept_within[0]) == ((-370, -330), (None, None), (400, None))
