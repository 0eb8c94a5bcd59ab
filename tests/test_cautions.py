"""Cautions come from one place, are said where their step is met, and reach every output."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader
from three_bays import written

from brackets import recipe
from brackets.app.cli.app import main
from brackets.app.cli.fit_view import fit_text
from brackets.app.preview.build import source
from brackets.app.preview.render_mesh import LIVE
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.bay.stand.owners import bay_cautions, sheet_cautions
from brackets.output import cut_files
from brackets.output.bay_facts import record
from brackets.rules.cautions import HEADING, SENTENCES, STEPS, cautions, is_licensed, of_bay, of_part

README = Path(__file__).resolve().parent.parent / "README.md"


def steps(found: object) -> list[str]:
    return [one.step for one in found]  # type: ignore[attr-defined]


def flat_text(text: str) -> str:
    return " ".join(text.split())


def test_every_step_has_one_sentence_and_is_said_once_in_its_order() -> None:
    assert set(STEPS) == set(SENTENCES)
    assert steps(cautions("strength", "lifting", "strength")) == ["lifting", "strength"]


@pytest.mark.parametrize(("name", "welded"), [("stay", True), ("cap_plate", False), ("cup", False)])
def test_welding_is_minded_where_there_are_welds(name: str, welded: bool) -> None:
    opened = recipe(name)
    part = opened.build(opened.Params())
    assert bool(part.welds) is welded
    assert steps(of_part(part)) == ["welding", "strength"][not welded :]


@pytest.mark.parametrize(
    ("name", "kind", "licensed"),
    [
        ("pipe", "line", True),
        ("rack", "steering_brakes", True),
        ("Fuel_tank", "fixed", True),
        ("pipe", "brake lines", True),
        ("rail", "fixed", False),
        ("gasket", "hot", False),
    ],
)
def test_steering_brakes_and_fuel_are_known_by_class_or_name(name: str, kind: str, licensed: bool) -> None:
    assert is_licensed(name, kind) is licensed
    assert steps(of_bay([], keep_outs=[(name, kind)], onto=False)) == (
        ["lifting", "heat", "licensed", "strength"] if licensed else ["lifting", "strength"]
    )


def test_a_bay_minds_what_is_in_it(tmp_path: Path) -> None:
    """A welded arm, ears on the rail, and in one of them a fuel line."""
    for name, more in (("fine", []), ("caution", ["licensed"])):
        stood = source(str(written(tmp_path, name)), bare="mm")._stand({}).stood  # type: ignore[union-attr]
        want = ["lifting", "heat", "welding", "chassis", *more, "strength"]
        assert steps(bay_cautions(stood)) == want
        by_part = {part.name: steps(sheet_cautions(stood.bay, part)) for part in stood.parts}
        assert by_part["ears"] == want[1:]
        assert by_part["arm"] == [step for step in want[1:] if step != "chassis"]


def test_a_recipe_says_them_on_screen_json_paper_and_page(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    for verb, name, wanted in (("make", "ears_on_base", ("welding", "strength")), ("flat", "ears", ("strength",))):
        assert main([verb, name, "--into", verb]) == 0
        said = flat_text(capsys.readouterr().out)
        facts = json.loads(Path(verb, "facts.json").read_text("utf-8"))
        [paper] = Path(verb).glob("*.pdf")
        printed = flat_text(" ".join(page.extract_text() for page in PdfReader(paper).pages))
        assert HEADING in said
        assert HEADING in printed
        assert [one["step"] for one in facts["cautions"]] == list(wanted)
        for step, sentence in SENTENCES.items():
            assert (sentence in said) == (sentence in printed) == (step in wanted), (verb, step)
    _, header = source("ears_on_base", bare="mm").picture({}, fineness=LIVE)
    assert shown(header) == [["welding", SENTENCES["welding"]], ["strength", SENTENCES["strength"]]]


def shown(header: dict[str, list[dict[str, object]]]) -> list[list[str]]:
    [table] = [table for table in header["tables"] if table["key"] == "cautions"]
    return [row["cells"] for row in table["rows"]]  # type: ignore[attr-defined]


def test_a_bay_says_them_on_screen_json_paper_and_page(tmp_path: Path) -> None:
    path = tmp_path / "b.toml"
    path.write_text(BAY, "utf-8")
    done = fit(read(path))
    want = [[step, SENTENCES[step]] for step in ("lifting", "heat", "welding", "licensed", "strength")]
    screen = flat_text(fit_text(done, None))
    assert [one for one in SENTENCES.values() if one in screen] == [sentence for _, sentence in want]
    assert [[one["step"], one["sentence"]] for one in record(done)["cautions"]] == want
    _, header = source(str(path), bare="mm").picture({}, fineness=LIVE)
    assert shown(header) == want
    [part] = done.stood.parts
    title = cut_files.title(part.name, part.params, done.bay.shop)
    for cut in cut_files.cuts(part.part, title, mind=sheet_cautions(done.bay, part)):
        for drawing in cut.drawings:
            assert list(drawing.title.mind) == [sentence for step, sentence in want if step != "lifting"]


BAY = '''
format = 1
name = "b"
[[keep_out]]
name = "brake_pipe"
kind = "line"
box = { from = [-300, 200, 200], to = [300, 210, 210] }
[[part]]
name = "stand"
recipe = "ears_on_base"
at = [0, 0, 0]
'''


@pytest.mark.checkout
def test_the_readme_says_them_all() -> None:
    text = flat_text(README.read_text("utf-8"))
    assert [step for step, sentence in SENTENCES.items() if sentence not in text] == []
