"""Tables, progress and named values: the small things the command line is made of."""

from __future__ import annotations

import io
import math
import re
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackets.app.cli.app import main
from brackets.app.cli.on_target import Refusals
from brackets.app.cli.screen import facts, one_word, progress, split, table
from brackets.app.cli.wrapping import wrap
from brackets.core.errors import InputError
from brackets.core.figures import against

ROWS = [("ear_front", "0.259", "caution: a hole near the edge"), ("cup", "12.1", "")]


def test_a_table_lines_up() -> None:
    assert table(("piece", "kg", "finding"), ROWS, right=(1,), width=60) == (
        "piece         kg  finding\n"
        "---------  -----  -----------------------------\n"
        "ear_front  0.259  caution: a hole near the edge\n"
        "cup         12.1"
    )


def test_a_long_last_cell_wraps_under_itself() -> None:
    assert table(("piece", "kg", "finding"), ROWS, width=44).splitlines()[2:4] == [
        "ear_front  0.259  caution: a hole near the",
        "                  edge",
    ]


def test_a_narrow_terminal_gets_one_cell_a_line() -> None:
    assert table(("piece", "kg", "finding"), ROWS, width=24) == (
        "piece: ear_front\nkg: 0.259\nfinding: caution: a hole\n  near the edge\n\npiece: cup\nkg: 12.1"
    )


@pytest.mark.parametrize("width", [24, 40, 60, 80, 110])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    printed = table(("piece", "kg", "finding"), ROWS * 2, width=width)
    assert max(map(len, printed.splitlines())) <= width


def test_a_table_without_rows_is_its_head() -> None:
    assert table(("piece", "kg"), [], width=60).splitlines() == ["piece  kg", "-----  --"]


def test_facts_line_up_and_wrap() -> None:
    assert facts([("mass", "3 kg"), ("not stated", "t 6 mm, edge 20 mm")], width=36) == (
        "mass        3 kg\nnot stated  t 6 mm, edge 20 mm"
    )
    assert facts([], width=40) == ""


def test_a_word_longer_than_the_terminal_is_broken() -> None:
    assert max(map(len, table(("a", "b"), [("x", "y" * 100)], width=40).splitlines())) <= 40


PLACES = [
    ("right_ears: ears/ear_rear", "right_ears base/bolt_2", "-398.3, -22.7", "right_ears | rail_right"),
    ("cross_member: tube-at-112", "cross_member/bung_left", "-1051.0, 0.0", "cross_member | floor-pan"),
]


@pytest.mark.parametrize("width", [60, 80, 120])
def test_a_name_in_a_table_is_broken_after_a_stroke_or_not_at_all(width: int) -> None:
    printed = table(("piece", "bolt", "at", "what"), PLACES, width=width)
    assert max(map(len, printed.splitlines())) <= width
    words = [word for row in PLACES for cell in row for word in cell.split()]
    whole = {"".join(parts) for word in words for parts in _runs(re.split("(?<=[/_])|(?<=[a-z]-)(?=[a-z])", word))}
    shown = {word for text in printed.splitlines()[2:] for word in text.split()}
    assert shown <= whole


def _runs(parts: list[str]) -> list[list[str]]:
    return [parts[i:j] for i in range(len(parts)) for j in range(i + 1, len(parts) + 1)]


def test_words_stay_whole_while_the_table_goes_on_the_terminal_so() -> None:
    words = {word for row in PLACES for cell in row for word in cell.split()}
    printed = table(("piece", "bolt", "at", "what"), PLACES, width=80)
    assert {word for text in printed.splitlines()[2:] for word in text.split()} == words


def test_a_word_is_broken_where_it_must_be() -> None:
    assert wrap("left_ears: ears/ear_rear", 14) == ["left_ears:", "ears/ear_rear"]
    assert wrap("left_ears: ears/ear_rear", 10) == ["left_ears:", "ears/ear_", "rear"]
    assert wrap("at -398.3-22.7", 8) == ["at", "-398.3-2", "2.7"]
    assert wrap("floor-pan", 6) == ["floor-", "pan"]
    assert wrap("a b  c", 6) == ["a b  c"]


WORDS = st.lists(st.text("ab_/-1|", min_size=1, max_size=30), max_size=12)


@given(WORDS, st.integers(8, 60), st.sampled_from(["", "  "]))
def test_wrapped_text_is_all_there_and_no_wider(words: list[str], width: int, indent: str) -> None:
    text = " ".join(words)
    lines = wrap(text, width, indent=indent)
    assert all(len(one) <= width for one in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert all(one.startswith(indent) for one in lines[1:])


# ---------------------------------------------------------------------------------------------- progress


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_progress_is_shown_on_a_terminal_and_wiped(monkeypatch: pytest.MonkeyPatch) -> None:
    terminal = Terminal()
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setenv("COLUMNS", "20")
    with progress() as say:
        say("writing a very long name indeed")
    shown = terminal.getvalue()
    assert "\rwriting a very long\r" in shown
    assert shown.endswith(f"\r{' ' * 19}\r")
    assert "\n" not in shown


def test_progress_is_quiet_in_a_pipe(capsys: pytest.CaptureFixture[str]) -> None:
    with progress() as say:
        say("writing")
    assert capsys.readouterr() == ("", "")


# ------------------------------------------------------------------------------------------ named values


def test_words_and_named_values_are_told_apart() -> None:
    typed = split(["ears", "--t", "6", "--bush-od=2in", "--lean", "-5", "--seat_kind", "flat"])
    assert typed.words == ("ears",)
    assert typed.texts == {"t": "6", "bush-od": "2in", "lean": "-5", "seat-kind": "flat"}
    assert typed.problems == ()


def test_a_value_may_hold_an_equals_sign_or_nothing() -> None:
    assert split(["--washers=H4=3.5", "--note="]).texts == {"washers": "H4=3.5", "note": ""}


def test_every_pair_that_is_none_is_told() -> None:
    typed = split(["--t", "--t", "1", "--bush-od", "2", "--bush_od=3", "--end"])
    assert typed.problems == (
        "--t = nothing, must be followed by a value: --t VALUE",
        "--bush_od = 3, must be given once: it is there twice",
        "--end = nothing, must be followed by a value: --end VALUE",
    )


def test_one_word_is_wanted() -> None:
    assert one_word(split(["ears"]), "recipe", "ears") == "ears"
    for arguments, line in (
        ([], "recipe = nothing, must be given: x"),
        (["a", "b"], 'recipe = "a b", must be one'),
    ):
        with pytest.raises(InputError) as caught:
            one_word(split(arguments), "recipe", "x")
        assert caught.value.problems[0].startswith(line)


def test_all_that_is_wrong_comes_in_one_message_each_once() -> None:
    wrong = Refusals(["a = 1"])

    def refused() -> int:
        raise InputError("b = 2", "a = 1")

    assert wrong.tried(lambda: 0) == 0
    assert wrong.tried(refused) is None
    wrong.of_a_bay(split(["bay.toml", "--t", "6"]))
    with pytest.raises(InputError) as caught:
        wrong.needed(lambda: 3)
    assert caught.value.problems == ("a = 1", "b = 2", "--t = 6, must be in the bay file")
    assert Refusals().needed(lambda: 0) == 0


WRONG = {
    "make": ("make cup --paper A9 --hand both --bare ft", ["paper", "hand", "bare"]),
    "flat": ("flat cup --paper A9 --bare ft", ["paper", "bare"]),
    "flat of a bay": ("flat none.toml --paper A9", ["paper"]),
    "fit": ("fit none.toml --paper A9", ["paper"]),
    "fit --watch": ("fit none.toml --watch --paper A9", ["paper"]),
    "hang": ("hang none.toml --paper A9", ["paper"]),
    "measure": ("measure none.toml --paper A9", ["paper"]),
    "view": ("view cup --bare ft", ["bare"]),
    "view --time-limit": ("view cup --time-limit x", ["time-limit"]),
    "family": ("family cup --bare ft --workers -1 --time-limit 0", ["bare", "workers", "time-limit"]),
    "mockup": ("mockup cup --lie flat --least-wall 90 --gauge", ["lie", "least-wall", "gauge"]),
    "card": (
        "card cup --part a --card 30 --crease x --sheet 3 --paper A9 --bare ft",
        ["part, --keep-outs, --bushes", "card", "crease", "sheet", "paper", "bare"],
    ),
    "card too thin": ("card cup --card 0.8 --crease 0.9", ["crease"]),
    "card of a bay": ("card none.toml --paper A9 --bare ft --card 0", ["paper", "bare", "card"]),
    "jig": (
        "jig cup --part a --jig-base-t 1 --jig-room -1 --jig-up 0 --paper A9 --bare ft",
        ["part", "jig-base-t", "jig-room", "jig-up", "paper", "bare"],
    ),
    "jig of a bay": ("jig none.toml --jig-base-t 1 --paper A9 --bare ft", ["part", "jig-base-t", "paper", "bare"]),
    "stations": (
        "stations none.stl --axis q --pitch 0 --thickness x --start x --true-at edge --sheet 3 --hollow 1 "
        "--close-holes -1 --dowel 1 --unit yd --side left --of a --paper A9 --bare ft",
        ["axis", "pitch", "thickness", "start", "true-at", "sheet", "hollow", "close-holes", "dowel", "unit",
         "side", "of", "side", "paper", "bare"],
    ),
    "stations without a unit": ("stations none.stl", ["unit"]),
    "stations of a bay": ("stations none.toml --of a --side chassis --unit mm", ["unit", "side"]),
    "hold": (
        "hold cup --counted maybe --gamma m9:1 --grade 8.9 --engaged a:x --press a:x,1,1 --preload x --casting x "
        "--onto-t x --joints loose --load-factor 0 --load bush",
        ["counted", "gamma", "grade", "engaged", "press", "preload", "casting", "onto-t", "load-factor", "joints",
         "load"],
    ),
    "hold's factors": ("hold cup --gamma m0:0.5 --own-factor 0.5 --load bush", ["gamma m0", "own-factor", "load"]),
}  # fmt: skip
"""What is typed, and the options that are wrong in the order in which they are named."""


@pytest.mark.parametrize("words", WRONG)
def test_every_command_names_a_wrong_option_as_it_is_typed(
    words: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    typed, wrong = WRONG[words]
    arguments = [word.replace("x,1,1", "x 1 1").replace("a:", "a: ") for word in typed.split()]
    assert main(arguments) == 2
    told = [line.partition(" = ") for line in capsys.readouterr().err.splitlines()]
    assert [name for name, equals, _ in told if equals] == [f"--{name}" for name in wrong]


@pytest.mark.parametrize(("value", "limits", "read"), [
    (2.1213203, (3.0,), "2.121"), (2.9999, (3.0,), "2.9999"), (-0.0001, (), "0"), (12.0, (10.0,), "12"),
    (0.0, (0.0,), "0"), (1e12, (10.0,), "1e+12"), (math.nan, (1.0,), "nan"),
])  # fmt: skip
def test_a_figure_has_no_digits_that_nobody_can_measure(value: float, limits: tuple[float, ...], read: str) -> None:
    assert against(value, limits) == read
