"""What a page may ask for is little, and everything else is refused with what is allowed."""

from __future__ import annotations

import json

import pytest

from brackets.app.preview.fields import by_field, form, wrong
from brackets.app.preview.history import History
from brackets.app.preview.messages import Back, Keep, Reset, Set, message
from brackets.core.errors import InputError
from brackets.library import recipe as recipe_file

CUP = recipe_file.recipe("cup").Params


def test_values_of_a_part_are_heard() -> None:
    asked = message('{"do": "set", "part": "", "values": {"od": "2-3/4in", "wall": null}}')
    assert asked == Set("", {"od": "2-3/4in", "wall": None})


def test_keep_and_reset_are_heard() -> None:
    assert message('{"do": "keep"}') == Keep()
    assert message('{"do": "reset"}') == Reset()
    assert message('{"do": "undo"}') == Back(again=False)
    assert message('{"do": "redo"}') == Back(again=True)


def test_a_slider_that_is_drawn_is_one_step_back(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [0.0]
    monkeypatch.setattr("time.monotonic", lambda: now[0])
    history = History()
    for second, length in ((0.0, "40"), (0.1, "41"), (0.2, "42"), (5.0, "43")):
        now[0] = second
        history.left({"": {"length": length}}, ("", "length"))
    assert history.steps == (2, 0)
    assert history.back({"": {"length": "44"}}) == {"": {"length": "43"}}
    assert history.back({"": {"length": "43"}}) == {"": {"length": "40"}}
    assert history.back({"": {"length": "40"}}) is None
    assert history.forward({"": {"length": "40"}}) == {"": {"length": "43"}}
    history.left({"": {"length": "43"}}, None)
    assert history.steps == (2, 0)  # what was gone back from is gone


REFUSED = {
    "no JSON": "{",
    "nested too deep": "[" * 100_000,
    "a list": "[]",
    "nothing": "null",
    "unknown": '{"do": "run"}',
    "more keys": '{"do": "keep", "path": "/etc/passwd"}',
    "no part": '{"do": "set", "values": {}}',
    "part no text": '{"do": "set", "part": 1, "values": {}}',
    "values no table": '{"do": "set", "part": "", "values": []}',
    "value no text": '{"do": "set", "part": "", "values": {"od": 3}}',
    "name no word": '{"do": "set", "part": "", "values": {"<b>": "3"}}',
    "text too long": json.dumps({"do": "set", "part": "", "values": {"od": "9" * 4001}}),
    "too many": json.dumps({"do": "set", "part": "", "values": {f"a{i}": "1" for i in range(201)}}),
}


@pytest.mark.parametrize("text", REFUSED.values(), ids=REFUSED)
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(InputError, match="must be"):
        message(text)


def test_each_wrong_value_is_said_at_its_own_field() -> None:
    said = wrong(CUP, {"od": "-3", "wall": "5 mm", "fit": "loose", "nought": "1"}, bare="mm")
    assert set(said) == {"od", "fit", "nought"}
    assert "must be" in said["od"]
    assert "press, slip" in said["fit"]


def test_a_page_may_not_name_a_file_of_the_machine() -> None:
    plate = recipe_file.recipe("base_plate").Params
    assert "command line only" in wrong(plate, {"holes": "@/etc/passwd"}, bare="mm")["holes"]


def test_problems_go_to_the_field_they_begin_with() -> None:
    at, rest = by_field(["od = 50 mm, more than 61: a wall", "the bore meets nothing"], ["od", "wall"])
    assert at == {"od": "od = 50 mm, more than 61: a wall"}
    assert rest == ["the bore meets nothing"]


def test_a_form_has_slider_stock_and_choices_from_the_rules() -> None:
    fields = {field["name"]: field for field in form(CUP, {"od": "2-5/8in"}, params=CUP(od=66.675))}
    assert fields["od"]["kind"] == "stock"
    assert "70 mm" in fields["od"]["sizes"]
    assert fields["od"]["text"] == "2-5/8in"
    assert fields["od"]["number"] == 66.675
    assert fields["od"]["typed"] is True
    assert fields["length"]["slider"] == (10.0, 150.0, 1.0)
    assert fields["length"]["typed"] is False
    assert fields["fit"]["choices"] == ["press", "slip"]
