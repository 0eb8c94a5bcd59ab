"""brackets mockup: a recipe or a bay on the command line, and a bay from Python."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import trimesh
from test_bay_bolts import BAY as MOUNT
from test_bay_bolts import bay_of

import brackets
from brackets.app.cli.app import main
from brackets.app.preview.blocks import unpack
from brackets.app.preview.build import answers, source
from brackets.app.preview.scene import arrays
from brackets.mockups.bay import mockup_of_bay
from brackets.mockups.printed import WORDS

BAY = """format = 1
keep_out = [{ name = "wall", box = { from = [-100, -100, -30], to = [100, 100, -6] } }]
boss = [
    { name = "B1", at = [0, 0, 50], normal = [0, 0, 1], thread = "M8", depth = 20 },
    { name = "B2", at = [80, 0, 50], normal = [0, 0, 1], thread = "M8", depth = 20 },
]
[gap.same_side]
rest = 5
moved = 5
why = "own figure"
[[part]]
name = "corner"
recipe = "gusset"
at = [0, 0, 0]
axis = [0, 0, 1]
up = [0, 1, 0]
"""
"""A gusset 5 mm thick, its lower face 6 mm over a wall that it is to be 5 mm from."""


@pytest.fixture
def bay(tmp_path: Path) -> Path:
    file = tmp_path / "small.toml"
    file.write_text(BAY, "utf-8")
    return file


def words(capsys: pytest.CaptureFixture[str]) -> str:
    out = capsys.readouterr()
    return " ".join((out.out + out.err).split())


def test_a_recipe_writes_its_beds_its_bodies_a_page_and_the_facts(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["mockup", "ears", "--t", "8", "--into", str(tmp_path / "m")]) == 0
    said = words(capsys)
    assert "2 on 1 bed of 220 x 220 x 250 mm" in said
    assert "an estimate, supports not counted" in said
    assert "hang nothing on one" in said
    names = sorted(path.name for path in (tmp_path / "m").iterdir())
    assert names == ["ears-bed-1.3mf", "ears-beds.html", "ears-ear_front.stl", "ears-ear_rear.stl", "facts.json"]
    facts = json.loads((tmp_path / "m" / "facts.json").read_text("utf-8"))
    assert [body["size_mm"][2] for body in facts["bodies"]] == pytest.approx([8, 8])
    assert sorted(facts["files"]) == names
    assert facts["estimate"]["supports"] == "not counted"


def test_json_is_the_facts_and_no_files_writes_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["mockup", "gusset", "--json", "--no-files", "--into", str(tmp_path / "m")]) == 0
    said = json.loads(capsys.readouterr().out)
    assert [body["name"] for body in said["bodies"]] == ["gusset"]
    assert not (tmp_path / "m").exists()


def test_the_test_print_is_written_by_itself(tmp_path: Path) -> None:
    assert main(["mockup", "--test-print", "--into", str(tmp_path / "m")]) == 0
    bars = trimesh.load(tmp_path / "m" / "test_print-bars.stl")
    assert bars.extents == pytest.approx((100, 100, 100))


def test_everything_wrong_is_said_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    typed = ["mockup", "ears", "--t", "thick", "--lie", "flat", "--least-wall", "90", "--gauge", "--parts", "a"]
    assert main(typed) == 2
    said = words(capsys)
    for line in (
        '--lie = "flat", must be support, height, contact: what is best on the bed',
        "--least-wall = 90, must be 0.2 to 50 mm: what thin walls are brought to",
        "--parts = given, must be left out: it is of a bay",
        "--gauge = given, must be left out: it is of a bay",
        't = "thick"',
    ):
        assert line in said, line


def test_a_wall_is_read_in_the_unit_of_bare_numbers_and_without_one_is_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["mockup", "gusset", "--least-wall", "3/8", "--no-files"]) == 2
    assert "--least-wall" in words(capsys)
    assert main(["mockup", "gusset", "--least-wall", "3/8in", "--no-files"]) == 0
    assert "printed 9.525 mm thick instead of 5" in words(capsys)


def test_the_shop_says_what_the_printer_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(
        'format = 1\nname = "ours"\nbrake = { length = 1000 }\n'
        "printer_3d = { bed = [120, 120, 100], bar_x = 99.5, bar_y = 99.5, holes = [[10, 9.6]], nozzle = 0.6 }\n",
        "utf-8",
    )
    assert main(["mockup", "fork", "--shop", str(shop), "--into", str(tmp_path / "m")]) == 0
    said = words(capsys)
    assert "1.0050, 1.0050, 1.0000 along x, y, z" in said
    assert "the bed takes 110: cut into 2 at 1 flat joint [" in said
    assert "[shop profile: ours]" in said
    assert "no hole of a test print" not in said


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("bar_x = 90", "printer_3d: bar_x = 90 mm, must be 95 to 105"),
        ("holes = [[10, 7]]", "printer_3d: holes = [10, 7] mm, must be over 0 and within 2 of each other"),
        ("bed = [39, 100, 100], edge = 20", "printer_3d: bed x = 39 mm, 40 mm or more"),
        ("holes = [[10]]", "printer_3d: holes"),
    ],
)
def test_a_printer_that_cannot_be_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], row: str, said: str
) -> None:
    shop = tmp_path / "shop.toml"
    shop.write_text(f'format = 1\nname = "ours"\nbrake = {{ length = 1000 }}\nprinter_3d = {{ {row} }}\n', "utf-8")
    assert main(["mockup", "gusset", "--shop", str(shop), "--no-files"]) == 2
    assert said in words(capsys)


def test_a_bay_prints_its_parts_a_gauge_and_dummies_of_what_is_bought(
    bay: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["mockup", str(bay), "--gauge", "--dummies", "--into", str(tmp_path / "m")]) == 0
    facts = json.loads((tmp_path / "m" / "facts.json").read_text("utf-8"))
    kinds = {body["name"]: body["kind"] for body in facts["bodies"]}
    assert kinds["corner"] == "body"
    assert kinds["gauge_1"] == "gauge"
    gauge = next(body for body in facts["bodies"] if body["kind"] == "gauge")
    assert gauge["size_mm"][2] == pytest.approx(5)
    capsys.readouterr()
    assert main(["mockup", str(bay), "--parts", "eyes,corner", "--no-files"]) == 2
    assert 'part = "eyes", must be one of corner' in words(capsys)
    assert main(["mockup", str(bay), "--t", "6", "--no-files"]) == 2
    assert "--t = 6, must be in the bay file" in words(capsys)


@pytest.mark.parametrize(("asked", "levels"), [(None, set()), (6.9, {"advice"}), (7.2, {"advice", "caution"})])
def test_walls_that_grow_into_a_gap_of_the_bay_are_told(bay: Path, asked: float | None, levels: set[str]) -> None:
    """6.9 mm of plate stand 0.95 mm further down, 0.05 over the gap asked; 7.2 mm 0.1 mm into it."""
    done = mockup_of_bay(brackets.read_bay(bay), least_wall=asked)
    said = [f for f in done.findings if f.code == "print growth"]
    assert {f.level for f in said} == levels
    for finding in said:
        if finding.level == "caution":
            assert set(finding.about) == {"corner", "wall"}
            assert finding.limit == 5
            assert finding.value is not None
            assert finding.value < 5


def asked(typed: dict[str, str]) -> list[tuple[dict[str, Any], dict[str, Any]]]:
    request = {"seq": 1, "typed": {"": typed}, "have": [], "stage": "picture"}
    return [unpack(block) for block in answers(source("gusset", bare="mm", printed=True), request, lambda: True)]


def test_a_recipe_is_viewed_as_printed_with_its_fields() -> None:
    (header, blobs), (beside, _) = asked({"t": "9"})
    assert header["title"] == "gusset as printed"
    assert [item["name"] for item in header["items"]] == ["bed 1", "gusset"]
    assert beside["forms"][""]
    assert [table["key"] for table in beside["tables"]] == ["bodies"]
    body = next(item for item in header["items"] if item["name"] == "gusset")
    heights = arrays(blobs[body["mesh"]])[0][:, 2]
    assert heights.max() - heights.min() == pytest.approx(9)
    ((refused, _),) = asked({"t": "thick"})
    assert refused["answer"] == "refused"


def test_a_picture_as_printed_is_of_a_recipe_alone(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["view", "gusset", "--as-printed", "--html", str(tmp_path / "a.html")]) == 0
    assert (tmp_path / "a.html").stat().st_size > 500_000
    (tmp_path / "b.toml").write_text("format = 1", "utf-8")
    assert main(["view", str(tmp_path / "b.toml"), "--as-printed", "--html", str(tmp_path / "c.html")]) == 2
    assert "must be a recipe" in words(capsys)


def test_the_dummy_of_a_bolt_into_a_boss_has_its_shank(tmp_path: Path) -> None:
    """Four M10 x 35 through two washers of 2 and 8 of plate, 23 into cast aluminium; heads 6.4 high, 16 across."""
    file = tmp_path / "new.toml"
    assert main(["new", "bay", str(file)]) == 0
    done = mockup_of_bay(brackets.read_bay(file), dummies=True)
    sizes = {body.name: (sorted(body.size), body.count) for body in done.bodies if body.name.startswith("bolt")}
    assert [(size[2], count) for size, count in sizes.values() if count == 4] == [(pytest.approx(41.4), 4)]
    assert all(size[0] == pytest.approx(16) for size, _ in sizes.values() if size[2] < 42)


def test_a_mount_is_a_bush_a_sleeve_a_bolt_its_nut_and_three_like_washers(tmp_path: Path) -> None:
    """An R50 bush, 50 od and 52.5 - 0.5 long inside; an M12 bolt of 100 mm; a washer under the head and two under
    the nut."""
    done = mockup_of_bay(bay_of(tmp_path, MOUNT), dummies=True)
    dummies = {body.name: body for body in done.bodies if body.kind == "dummy"}
    assert [(name.split()[0], body.count) for name, body in dummies.items()] == [
        ("bush", 1), ("sleeve", 1), ("bolt", 1), ("washer", 3), ("nut", 1)
    ]  # fmt: skip
    assert "bush 50 x" in " ".join(dummies)
    assert all(not body.name.startswith("ears") for body in dummies.values())
    assert {line for body in dummies.values() for w in body.written for line in w.lines} <= set(WORDS)
    assert [body.name for body in done.bodies if body.kind == "body"] == ["ears ear_front", "ears ear_rear"]


def test_what_stops_the_steel_part_is_said_of_its_mock_up_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typed = ["gusset", "--leg-x", "180", "--leg-y", "180", "--no-files"]
    shop = tmp_path / "shop.toml"
    shop.write_text(
        'format = 1\nname = "ours"\nbrake = { length = 1000 }\n'
        'sheet = [{ material = "S235", t = [5], length = 150, width = 150 }]\n',
        "utf-8",
    )
    for verb in ("make", "mockup"):
        assert main([verb, *typed, "--shop", str(shop)]) == 1
        assert "STOP: do not cut plate: " in words(capsys)
