"""From values to a picture: what is in it, what is said when there is none, and what is kept in a file."""

from __future__ import annotations

import json
import math
import os
import tomllib
from io import FileIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from preview_bay import TEXT, written

from brackets.app.preview import bay_source, fit_tables, last_bay, recipe_source
from brackets.app.preview.bay_scene import add_measured, add_shanks
from brackets.app.preview.blocks import unpack
from brackets.app.preview.build import answers, moved_block, source, whole
from brackets.app.preview.child import Requests
from brackets.app.preview.gap_rows import when_moved
from brackets.app.preview.offline import page
from brackets.app.preview.scene import Picture, arrays
from brackets.app.preview.shown import Shown
from brackets.app.preview.vtk_body import pulled
from brackets.app.preview.write_back import command, keep
from brackets.bay import checks as bay_checks
from brackets.bay.bolts.boss_bolts import BossBolt, heads
from brackets.bay.clear.moving import WITHIN, Moved
from brackets.bay.file import read
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Boss
from brackets.bay.stand import placed
from brackets.bay.stand.gap_rules import GapRule
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import Engagement
from brackets.forming.shop import Shop
from brackets.library.rounds import ring
from brackets.model.part import Part
from brackets.rules.part import part_findings
from brackets.survey.bolt_lengths import choose_tapped

SHOP = 'format = 1\nname = "ours"\n[brake]\nlength = 800\n'
BROKEN = '''"""Of a user: fails while it builds."""
from dataclasses import dataclass
from typing import Annotated
from brackets import Checked, mm
@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    t: Annotated[float, mm(1, 9, "plate")] = 5.0
def thickest(p):
    return {}["no such key"]
def build(p):
    return thickest(p)
'''


def asked(what: Any, typed: dict[str, dict[str, str]], **more: Any) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    request = {"seq": 7, "typed": typed, "have": [], "stage": "picture", **more}
    return joined([unpack(block) for block in answers(what, request, lambda: False)])


def joined(found: list[tuple[dict[str, Any], dict[str, Any]]]) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    """What was answered, the figures with the shape they stand beside."""
    if found[0][0]["answer"] != "picture":
        return found
    (shape, blobs), (figures, _), *more = found
    return [({**figures, **shape}, blobs), *more]


def moved_of(what: Any, typed: dict[str, dict[str, str]]) -> dict[str, Any]:
    return unpack(moved_block(what, {"seq": 7, "typed": typed}))[0]


def test_a_recipe_is_pictured_with_its_pieces_mass_and_fields() -> None:
    (header, blobs), (checks, none), (limits, _) = asked(source("ears", bare="mm"), {"": {"t": "1/4in"}})
    assert [header["answer"], checks["answer"], limits["answer"]] == ["picture", "checks", "limits"]
    assert limits["limits"]["foot"] == [15.0, 32.3]  # 0.85 of the rail: what is wider runs out to a feather
    assert none == {}
    assert "stops" not in header  # said with the findings, which a shape does not wait for
    assert checks["stops"] is False
    assert [table["key"] for table in checks["tables"]] == ["findings"]
    assert header["seq"] == 7
    assert len(header["items"]) == 2
    assert {item["mesh"] for item in header["items"]} == set(blobs)
    assert {field["name"]: field["number"] for field in header["forms"][""]}["t"] == 6.35
    assert sum(item["kg"] for item in header["items"]) == pytest.approx(header["marks"][0]["kg"], rel=1e-12)


def test_meshes_the_page_has_are_not_sent_again() -> None:
    what = source("cup", bare="mm")
    (first, blobs), *_ = asked(what, {})
    (again, none), *_ = asked(what, {}, have=list(blobs))
    assert none == {}
    assert again["items"] == first["items"]


def test_a_wrong_value_is_said_at_its_field_with_no_picture() -> None:
    ((header, blobs),) = asked(source("ears", bare="mm"), {"": {"t": "-3"}})
    assert header["answer"] == "refused"
    assert header["fields"][""]["t"].startswith("t = -3 mm, must be")
    assert blobs == {}


def test_values_that_break_a_relation_are_said_at_the_field_it_names() -> None:
    ((header, _),) = asked(source("cup", bare="mm"), {"": {"od": "40"}})
    assert header["answer"] == "refused"
    said = "od = 40 mm, 62 mm or more: a wall round the bush 60; "
    assert header["fields"][""]["od"] == f"{said}62 mm to 114.3 mm works with the other values as they are"


def test_a_failing_recipe_shows_the_users_own_lines(tmp_path: Path) -> None:
    path = tmp_path / "mine.py"
    path.write_text(BROKEN, "utf-8")
    ((header, _),) = asked(source(str(path), bare="mm"), {})
    assert header["answer"] == "refused"
    assert any("mine.py" in line and "build" in line for line in header["trace"])
    assert header["trace"][-1] == "KeyError: 'no such key'"
    assert not any("library/recipe.py" in line for line in header["trace"])


def test_a_recipe_that_fails_inside_a_bay_shows_the_users_own_lines_and_is_watched(tmp_path: Path) -> None:
    (tmp_path / "mine.py").write_text(BROKEN, "utf-8")
    path = written(tmp_path)
    path.write_text(TEXT.replace('recipe = "cup"', 'recipe = "./mine.py"').replace("length = 40", "t = 4"), "utf-8")
    what = source(str(path), bare="mm")
    ((header, _),) = asked(what, {})
    assert header["answer"] == "refused"
    assert any("part cup" in line for line in header["lines"])
    assert "mine.py" in header["trace"][0]
    assert any("in thickest" in line for line in header["trace"])
    assert header["trace"][-1] == "KeyError: 'no such key'"
    assert str(tmp_path / "mine.py") in header["watched"]


def test_a_bay_is_pictured_at_once_then_checked(tmp_path: Path) -> None:
    found = asked(source(str(written(tmp_path)), bare="mm"), {})
    (picture, _), (checks, _) = found
    assert [picture["answer"], checks["answer"]] == ["picture", "checks"]
    assert picture["pairs"] == []
    assert {item["thing"] for item in picture["items"]} == {"cup", "stand", "rail", "block", "shelf"}
    worst = checks["pairs"][0]
    assert {worst["a"], worst["b"]} == {"cup", "shelf"}
    assert worst["level"] == "stop"
    assert [item["of"] for item in checks["items"]] == [[worst["a"], worst["b"]]]
    assert checks["stops"] is True


def test_the_rules_of_a_bays_parts_are_asked_after_its_picture_and_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    judged: list[str] = []

    def seen(part: Part, shop: Shop) -> tuple[Finding, ...]:
        judged.append(part.name)
        return part_findings(part, shop)

    monkeypatch.setattr(placed, "part_findings", seen)
    what = source(str(written(tmp_path)), bare="mm")
    request = {"seq": 1, "typed": {}, "have": [], "stage": "picture"}
    list(answers(what, request, lambda: True))  # overtaken
    assert judged == []
    assert asked(what, {})[-1][0]["answer"] == "checks"
    assert sorted(judged) == ["cup", "ears_on_base"]
    list(answers(what, {**request, "typed": {"cup": {"length": "44"}}}, lambda: True))
    asked(what, {"cup": {"length": "44"}, "stand": {}})
    assert sorted(judged) == ["cup", "cup", "ears_on_base"], "one that stood still was judged before"


def test_a_rule_that_fails_in_a_bay_is_told_with_its_part_after_the_picture(tmp_path: Path) -> None:
    builds = BROKEN.replace("return thickest(p)", "return cup(od=70, bore=60, length=40)")
    fails = builds.replace("mm\n", "cup, mm\n") + "def check(p):\n    return thickest(p)\n"
    (tmp_path / "mine.py").write_text(fails, "utf-8")
    path = written(tmp_path)
    path.write_text(TEXT.replace('recipe = "cup"', 'recipe = "./mine.py"').replace("length = 40", "t = 4"), "utf-8")
    (picture, _), (refused, _) = asked(source(str(path), bare="mm"), {"cup": {"t": "5"}})
    assert [picture["answer"], refused["answer"]] == ["picture", "refused"]
    assert refused["lines"][0].startswith("part cup: ")
    assert refused["trace"][-1] == "KeyError: 'no such key'"


def test_the_gap_to_the_rail_is_the_one_of_the_drawing(tmp_path: Path) -> None:
    """The cup is upright, d 70, its foot at z = 20; the rail runs along x at y = 120, z = 0, od 40."""
    checks = asked(source(str(written(tmp_path)), bare="mm"), {})[1][0]
    gap = next(p for p in checks["pairs"] if {p["a"], p["b"]} == {"cup", "rail"})
    assert gap["found"] == pytest.approx(math.hypot(120.0 - 35.0, 20.0) - 20.0, abs=2e-3)  # as settled: 1e-3


def test_a_newer_wish_stops_before_the_gaps(tmp_path: Path) -> None:
    request = {"seq": 1, "typed": {}, "have": [], "stage": "picture"}
    blocks = list(answers(source(str(written(tmp_path)), bare="mm"), request, lambda: True))
    assert [unpack(block)[0]["answer"] for block in blocks] == ["picture", "figures"]


@pytest.mark.parametrize("bay", [False, True])
def test_a_shape_waits_for_nothing_that_stands_beside_it(
    bay: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Fields, tables and movements are worked out once it is on its way, and are in what comes next."""
    told: list[str] = []

    def noted(name: str, call: Any) -> Any:
        return lambda *given, **more: (told.append(name), call(*given, **more))[1]

    what = source(str(written(tmp_path)) if bay else "cup", bare="mm")
    if bay:
        monkeypatch.setattr(bay_source, "bay_form", noted("form", bay_source.bay_form))
        monkeypatch.setattr(bay_source.bay_scene, "moves", noted("moves", bay_source.bay_scene.moves))
        monkeypatch.setattr(bay_source.bay_scene, "mass_table", noted("table", bay_source.bay_scene.mass_table))
    else:
        monkeypatch.setattr(recipe_source, "tables", noted("table", recipe_source.tables))
    coming = answers(what, {"seq": 1, "typed": {}, "have": [], "stage": "picture"}, lambda: True)
    shape, _ = unpack(next(coming))
    assert told == []
    assert not {"forms", "tables", "moves"} & set(shape)
    beside, none = unpack(next(coming))
    assert none == {}
    assert told == (["form", "form", "table", "moves"] if bay else ["table"])
    assert {"forms", "tables"} <= set(beside)
    if bay:
        assert beside["moves"]["turns"]


def test_of_a_shape_that_is_taken_back_no_figure_stays_but_its_fields() -> None:
    """They are what the page mends it by."""
    shown = Shown()
    forms = {"": [{"name": "t"}]}
    shown.picture({"answer": "picture", "seq": 1, "items": [{"mesh": "a"}], "lines": [], "marks": [{}]}, {})
    shown.add({"answer": "figures", "seq": 1, "forms": forms, "tables": [{"key": "mass"}], "doc": "said"})
    assert shown.forms == forms
    (left,) = shown.roll_back()
    assert (left["answer"], left["items"], left["marks"], left["tables"]) == ("picture", [], [], [])
    assert left["forms"] == forms


def test_a_piece_that_is_as_it_was_is_drawn_under_the_thing_it_is_of_now() -> None:
    found = Picture()
    one = ring("ring", od=20.0, bore=10.0, length=5.0)
    for thing, side, piece in (("a", "chassis", one), ("b", "", one), ("c", "", one.placed(Place((0, 0, 9))))):
        found.add_piece(piece, thing=thing, what="bolt", side=side)
    first, second, third = found.items
    assert [(item["thing"], item["side"]) for item in found.items] == [("a", "chassis"), ("b", ""), ("c", "")]
    assert {**first, "thing": "b", "side": ""} == second
    assert first["mesh"] == third["mesh"]
    assert third["centre"][2] - first["centre"][2] == pytest.approx(9)
    assert third["place"] != first["place"]


def test_a_bay_file_is_read_again_only_where_it_says_something_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    times: list[Path] = []

    def seen(path: Path) -> Bay:
        times.append(path)
        return read(path)

    monkeypatch.setattr(last_bay, "read", seen)
    path = written(tmp_path)
    what = source(str(path), bare="mm")
    asked(what, {})
    asked(what, {"cup": {"length": "44"}})
    assert len(times) == 1
    path.write_text(path.read_text("utf-8").replace("length = 40", "length = 41"), "utf-8")
    fields_ = {f["name"]: f for f in asked(what, {})[0][0]["forms"]["cup"]}
    assert (len(times), fields_["length"]["number"]) == (2, 41.0)
    path.write_text(f'shop = "shop.toml"\n{path.read_text("utf-8")}', "utf-8")
    (tmp_path / "shop.toml").write_text(SHOP, "utf-8")
    assert [asked(what, {})[0][0]["answer"] for _ in range(2)] == ["picture", "picture"]
    assert len(times) == 4, "what another file says may have changed"


def test_a_wish_that_comes_while_the_page_draws_is_kept_and_the_newest_is_built() -> None:
    read, write = os.pipe()
    pipe = FileIO(read)
    requests = Requests(pipe)

    def request(seq: int) -> None:
        os.write(write, json.dumps({"seq": seq}).encode() + b"\n")

    request(1)
    assert requests.newest() == {"seq": 1}
    assert requests.newer() is False
    request(2)
    assert requests.newer() is True
    assert requests.newer() is True
    request(3)
    while requests._waiting.empty():
        pass
    assert requests.newest() == {"seq": 3}
    os.close(write)
    assert requests.newest() is None
    pipe.close()


def test_gaps_over_the_movement_come_with_the_place_where_they_are_least(tmp_path: Path) -> None:
    header = moved_of(source(str(written(tmp_path)), bare="mm"), {})
    assert header["answer"] == "moved"
    first = header["worst"][0]
    assert all(abs(a) <= 2.0 + 1e-9 for a in first["angles"])
    assert -4.0 - 1e-9 <= first["travel"][2] <= 3.0 + 1e-9
    there = math.dist(first["p"], first["q"])
    assert first["least"] - 1e-9 <= there <= first["least"] + WITHIN


def test_the_live_page_ends_with_what_the_saved_page_says(tmp_path: Path) -> None:
    """Findings of standing still come first and say so; then all of them, ways and bolts, in place of those."""
    what = source(str(written(tmp_path)), bare="mm")
    (_, _), (checks, _) = asked(what, {})
    moved = moved_of(what, {})
    saved, _ = unpack(whole(what, {}))
    live = {table["key"]: table for header in (checks, moved) for table in header["tables"]}
    for table in saved["tables"]:
        assert live.get(table["key"], table) == table
    assert {"findings", "gaps", "moved", "paths", "bolts"} <= set(live)
    assert saved["pairs"] == checks["pairs"]
    assert checks["verdict"].endswith(" so far")
    assert "so far" in next(table["note"] for table in checks["tables"] if table["key"] == "findings")
    assert (moved["verdict"], moved["stops"]) == (saved["verdict"], saved["stops"])


PLACES = {
    (False, frozenset({"tray", "pipe"})): {"pair": 3},
    (True, frozenset({"tray", "pipe"})): {"moved": 1},
}


@pytest.mark.parametrize(
    ("code", "sentence", "place"),
    [
        ("gap moved", "at least 2.0 mm when moved (up 3 mm), 5 asked", {"moved": 1}),
        ("gap at rest", "4.9 mm standing still, 5 asked", {"pair": 3}),
        ("gap less pos", "0.5 mm spare standing still, -1.0 less the ±", {"pair": 3}),
        ("gap less pos", "0.5 mm spare when moved (up 3 mm), -1.0 less the ±", {"moved": 1}),
        ("foul", "1.0 mm3 shared", {"pair": 3}),
        ("weld heat", "63.5 mm from a weld of tray to pipe", {}),
    ],
)
def test_a_finding_leads_to_the_gap_it_speaks_of_and_to_no_other(
    code: str, sentence: str, place: dict[str, int]
) -> None:
    """One about the way from a weld once led to the gap between the two, whose figure is another."""
    about = ("tray", "pipe")
    told = Finding(level="caution", code=code, piece="tray | pipe", sentence=sentence, source="x", about=about)
    assert fit_tables.place_of(PLACES, told) == place


def test_every_finding_of_a_gap_knows_its_row(tmp_path: Path) -> None:
    moved = moved_of(source(str(written(tmp_path)), bare="mm"), {})
    tables = {table["key"]: table for table in moved["tables"]}
    checked_ = 0
    for one in tables["findings"]["rows"]:
        if "moved" in one:
            assert sorted(tables["moved"]["rows"][one["moved"]]["things"]) == sorted(one["things"][:2])
            checked_ += 1
    assert checked_ >= 1
    assert moved["top"][0]["label"] == "STOP: do not cut"
    assert tables["findings"]["rows"][moved["top"][0]["row"]]["cells"][1] == moved["top"][0]["piece"]
    assert moved["of"] == len(tables["findings"]["rows"])
    assert "you entered" in moved["met"]
    assert {"rules", "cut", "masses"} <= set(tables)


@pytest.mark.parametrize(
    ("low", "high", "asked_", "level"),
    [(-1, 0, 5, "stop"), (-1, 0, 0, "caution"), (1, 2, 5, "caution"), (4, 6, 5, "caution"), (5, 6, 5, "")],
)
def test_a_row_of_a_moved_gap_is_as_bad_as_its_finding(low: float, high: float, asked_: float, level: str) -> None:
    """Halves of a bush that may touch, 0 asked, were a STOP among the sections and a caution of `fit`."""
    rule = GapRule(kind="fixed", rest=5.0, moved=asked_, why="a finger", moved_kind="fixed", moved_why="a finger")
    one = Moved(a="a", b="b", low=low, high=high, rule=rule, worst="up 1 mm", p=(0, 0, 0), q=(0, 0, 1), by="")
    (row,) = when_moved([one])["rows"]
    said = [finding.level for finding in bay_checks._moved([one])]
    assert [row["level"]] == (said or [""]) == [level]


def test_values_typed_for_a_part_of_a_bay_are_used(tmp_path: Path) -> None:
    picture = asked(source(str(written(tmp_path)), bare="mm"), {"cup": {"length": "55"}})[0][0]
    field = {f["name"]: f for f in picture["forms"]["cup"]}["length"]
    assert field["number"] == 55.0
    assert field["typed"] is True


def test_a_wrong_value_of_a_bays_part_is_said_at_its_field(tmp_path: Path) -> None:
    ((header, _),) = asked(source(str(written(tmp_path)), bare="mm"), {"cup": {"length": "5 kg"}})
    assert list(header["fields"]) == ["cup"]
    assert "length" in header["fields"]["cup"]


def test_an_unknown_part_is_refused(tmp_path: Path) -> None:
    ((header, _),) = asked(source(str(written(tmp_path)), bare="mm"), {"cap": {}})
    assert header["lines"] == ["cap: no such part"]


def test_kept_values_stand_in_the_file_with_every_comment(tmp_path: Path) -> None:
    path = written(tmp_path)
    told = keep(source(str(path), bare="mm"), {"cup": {"length": "2in", "wall": "6 mm"}, "stand": {"leg": "5"}})
    after = path.read_text("utf-8")
    assert told["done"] is True
    parts = {part["name"]: part for part in tomllib.loads(after)["part"]}
    assert parts["cup"]["length"] == 50.8
    assert parts["cup"]["wall"] == 6
    assert parts["stand"]["leg"] == 5
    comments = [line.partition("#")[2] for line in TEXT.splitlines() if "#" in line]
    assert [line.partition("#")[2] for line in after.splitlines() if "#" in line] == comments
    changed = [line for line in after.splitlines() if line not in TEXT.splitlines()]
    assert len(changed) == 3


def test_a_nested_value_is_kept_where_it_was_written(tmp_path: Path) -> None:
    path = written(tmp_path)
    path.write_text(
        path.read_text("utf-8").replace("length = 40   ", "bush = { od = 60 }\nlength = 40   "), "utf-8"
    )
    keep(source(str(path), bare="mm"), {"cup": {"bush_od": "58"}})
    assert tomllib.loads(path.read_text("utf-8"))["part"][0]["bush"] == {"od": 58}


def test_in_a_file_in_inches_kept_lengths_have_their_unit(tmp_path: Path) -> None:
    path = tmp_path / "inch.toml"
    path.write_text('format = 1\nunit = "in"\n[[part]]\nname = "cup"\nrecipe = "cup"\nat = [0, 0, 0]\n', "utf-8")
    keep(source(str(path), bare="mm"), {"cup": {"length": "2"}})
    assert tomllib.loads(path.read_text("utf-8"))["part"][0]["length"] == "50.8 mm"


def test_nothing_is_written_where_a_value_is_wrong(tmp_path: Path) -> None:
    path = written(tmp_path)
    told = keep(source(str(path), bare="mm"), {"cup": {"length": "2 kg"}})
    assert told["done"] is False
    assert path.read_text("utf-8") == TEXT


def test_a_recipe_keeps_nothing_but_says_the_command() -> None:
    told = keep(source("cup", bare="mm"), {"": {"bush_od": "2-1/8 in"}})
    assert told["done"] is False
    assert told["lines"][-1] == "brackets make cup --bush-od '2-1/8 in'"
    assert command("cup", {}) == "brackets make cup"


def test_a_saved_page_is_one_file_that_can_fetch_nothing() -> None:
    text = page(whole(source("cup", bare="mm"), {}))
    assert "default-src &#x27;none&#x27;" in text
    assert 'src="' not in text
    assert '<link rel="stylesheet"' not in text
    assert text.count("<script") == text.count("</script>")


def test_what_a_recipe_says_of_itself_cannot_be_markup_in_a_saved_page(tmp_path: Path) -> None:
    path = tmp_path / "mine.py"
    path.write_text('"""</script><img src=x onerror=alert(1)>"""\n' + BROKEN.partition("\n")[2], "utf-8")
    good = "from brackets import cup\n    return cup(od=70, bore=60, length=40)"
    path.write_text(path.read_text("utf-8").replace("return thickest(p)", good), "utf-8")
    text = page(whole(source(str(path), bare="mm"), {}))
    assert "onerror" not in text


def test_the_shank_of_a_bolt_into_a_boss_is_drawn_from_under_its_head() -> None:
    """Its head is a body of the bay, its shank in the metal: 30 mm from the face it bears on, z down the bolt."""
    row, needed = bolt("M10"), Engagement(least=15.0, source="the bay file")
    held = BossBolt(
        boss=Boss(name="B1", at=(0.0, 0.0, 0.0), normal=(0.0, 0.0, 1.0), depth=25.0),
        part="plate",
        row=row,
        at=(5.0, 0.0, 0.0),
        way=(0.0, 0.0, 1.0),
        grip=8.0,
        needed=needed,
        stock=choose_tapped(row, grip=8.0, depth=25.0, least=15.0),
    )
    assert held.stock is not None
    found = Picture()
    add_shanks(found, (held, object()))
    (item,) = found.items
    assert (item["thing"], item["name"], item["what"], item["side"]) == ("B1 bolt", "shank", "bolt", "powertrain")
    points = arrays(found.blobs[item["mesh"]])[0] @ np.array(item["place"]).reshape(4, 4).T[:3, :3].T
    points = points + np.array(item["place"])[12:15]
    top = 8.0 + held.washers * row.washer_t
    assert points[:, 2].max() == pytest.approx(top, abs=1e-4)
    assert points[:, 2].min() == pytest.approx(top - held.stock.length, abs=1e-4)
    assert np.hypot(points[:, 0] - 5.0, points[:, 1]).max() == pytest.approx(row.d / 2, abs=1e-4)

    add_measured(found, heads((held,)))
    assert [item["name"] for item in found.items] == ["shank", "washer", "head"]
    # all weigh something, so that the heaviest stays when the bolt is pulled apart
    assert [bool(pulled(item, found.items).any()) for item in found.items].count(False) == 1
