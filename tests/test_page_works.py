"""Bolts withdrawn and paths driven in a real browser, in a small invented bay whose figures are known by hand.

A mount's bolt, M12 x 100, between two walls; a drum that passes a shelf going up, and meets a post going left.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
import trimesh
from ears_bay import EARS, HEAD_AT, MOUNT, NUT_AT
from preview_browser import Seen

from brackets.app.preview.build import source, whole
from brackets.app.preview.offline import page as saved_page
from brackets.bay.bolts.tool_access import LIFT
from brackets.core.tables.fasteners import socket

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),  # playwright leaves its own pipes to the collector
]

AROUND = """
format = 1
name = "Works (invented)"
pos = 0
[gap]
path = { rest = 15, moved = 0, why = "our own choice" }
[[keep_out]]
name = "rail"
tube = { from = [-100, 0, 0], to = [300, 0, 0], od = 42.4, wall = 3.2 }
[[keep_out]]
name = "screen"
box = { from = [190, -60, 50], to = [193, 60, 120] }
[[keep_out]]
name = "brace"
box = { from = [0, -8, 72], to = [30, 8, 88] }
[[keep_out]]
name = "shelf"
box = { from = [55, -40, 400], to = [100, 40, 420] }
[[keep_out]]
name = "lump"
mesh = "lump.stl"
unit = "mm"
[[keep_out]]
name = "post"
box = { from = [-20, 95, 280], to = [20, 120, 340] }
[[path]]
name = "drum up and round"
part = "drum"
without = ["post"]
legs = [[0, 0, 200], { turn = -90, through = [0, 0, 500], axis = [1, 0, 0] }]
[[path]]
name = "drum left"
part = "drum"
without = ["left"]
legs = [[0, 150, 0]]
"""
DRUM = """\
[[part]]
name = "drum"
recipe = "cup"
side = "powertrain"
at = [0, 0, 300]
od = 70
wall = 5
"""
BAY = f"{AROUND}{MOUNT}{EARS}{DRUM}"
HEAD = 7.5
"""mm high, of an M12 (ISO 4014)."""


@pytest.fixture(scope="module")
def works_page(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Seen]:
    folder = tmp_path_factory.mktemp("works")
    (folder / "works.toml").write_text(BAY, "utf-8")
    ball = trimesh.creation.icosphere(subdivisions=2, radius=30)
    ball.apply_translation((-150, 0, 300))
    ball.export(folder / "lump.stl")
    path = folder / "works.html"
    path.write_text(saved_page(whole(source(str(folder / "works.toml"), bare="mm"), {})), "utf-8")
    seen = Seen(browser, path.as_uri())
    yield seen
    assert seen.complaints == []
    seen.page.close()


@pytest.fixture
def works(works_page: Seen) -> Iterator[Seen]:
    yield works_page
    works_page.run(
        "() => { const { works } = Brackets.page; works.still();"
        " works.bolts.set({ socket: false, spanner: false }); }"
    )


PLACES = """() => Object.fromEntries(Brackets.page.parts.items.map((i) => [`${i.thing}: ${i.name}`,
  [i.node.visible, ...i.node.matrix.elements]]))"""
RED = """() => { const { items, colour } = Brackets.page.parts;
  return items.filter((i) => i.what !== 'foul' && colour(i) === Brackets.COLOURS.foul)
    .map((i) => i.thing).sort(); }"""
TAGS = "() => [...Brackets.page.labels.layers.values()].flatMap((one) => one.tags.map((tag) => tag.text))"


def places(seen: Seen) -> dict[str, np.ndarray[Any, np.dtype[np.float64]]]:
    """Where each shown item stands."""
    return {name: np.reshape(row[1:], (4, 4)).T for name, row in seen.run(PLACES).items() if row[0]}


def test_a_bolt_comes_out_along_its_way_and_its_nut_comes_off_first(works: Seen) -> None:
    rest = places(works)
    works.page.select_option("#bolt-which", "left bolt")
    works.set("bolt-out", 30)
    now = places(works)
    for name in ("head", "shank", "washer_head_1"):
        moved = now[f"left bolt: {name}"] @ np.linalg.inv(rest[f"left bolt: {name}"])
        assert moved[:3, 3] == pytest.approx([30, 0, 0], abs=1e-9), name
    assert {name for name in rest if name.startswith("left bolt: ")} - set(now) == {
        "left bolt: nut",
        "left bolt: washer_nut_1",
        "left bolt: washer_nut_2",
    }
    assert now["ears: ear_front"] == pytest.approx(rest["ears: ear_front"])
    assert works.page.text_content("#bolt-said") == "30 mm"


def test_what_a_bolt_meets_is_coloured_and_named_once_it_is_met(works: Seen) -> None:
    free = 190 - HEAD_AT - HEAD
    works.page.select_option("#bolt-which", "left bolt")
    assert f"comes out {free:.0f} of 100 mm, then meets screen" in works.page.text_content("#readout")
    works.set("bolt-out", 47)
    assert (works.run(RED), works.run(TAGS)) == ([], [])
    works.set("bolt-out", 49)
    assert works.run(RED) == ["screen"]
    assert works.run(TAGS) == ["meets screen"]
    finding = works.page.locator('details[data-key="findings"] tr', has_text="its bolt comes out")
    assert "then meets screen" in finding.first.text_content()


def test_from_the_other_end_the_bolt_is_turned_end_for_end(works: Seen) -> None:
    works.page.select_option("#bolt-which", "left bolt")
    works.page.click("#bolt-turned")
    works.set("bolt-out", 1)
    low, high = works.run(
        """() => { const b = new THREE.Box3();
          for (const i of Brackets.page.parts.items) if (i.thing === 'left bolt' && i.node.visible)
            b.union(i.face.geometry.boundingBox.clone().applyMatrix4(i.node.matrixWorld));
          return [b.min.x, b.max.x]; }"""
    )
    # its head bears where the nut bore, and is a mm out; the shank reaches 100 the other way
    assert low == pytest.approx(NUT_AT - HEAD - 1, abs=LIFT + 1e-3)
    assert high == pytest.approx(NUT_AT + 100 - 1, abs=LIFT + 1e-3)
    works.set("bolt-out", 100)
    assert works.run(RED) == ["brace"]


def test_socket_and_spanner_stand_where_they_were_tried(works: Seen) -> None:
    works.page.select_option("#bolt-which", "left bolt")
    works.page.click("#bolt-socket")
    boxes = works.run(
        """() => Brackets.page.works.bolts.tools.children.map((mesh) => { mesh.updateMatrixWorld(true);
          const box = new THREE.Box3().setFromObject(mesh); return [box.min.toArray(), box.max.toArray()]; })"""
    )
    tool = socket(18)
    (low, high), (other_low, other_high) = boxes
    assert low[0] == pytest.approx(HEAD_AT + LIFT, abs=1e-6)
    assert high[2] - low[2] == pytest.approx(tool.od, rel=0.01)
    assert other_high[0] == pytest.approx(NUT_AT - LIFT, abs=1e-6)
    assert high[0] - low[0] == pytest.approx(tool.length + HEAD - LIFT + (tool.reach or 0), abs=0.05)
    said = works.page.text_content("#readout")
    assert "at the head: goes on" in said or "at the head: meets screen" in said
    assert "at the nut: meets brace" in said
    assert "brace" in works.run(RED)
    assert "socket meets brace" in works.run(TAGS)
    works.page.click("#bolt-socket")
    assert works.run("() => Brackets.page.works.bolts.tools.children.length") == 0
    works.page.click("#bolt-spanner")
    assert works.run("() => Brackets.page.works.bolts.tools.children.length") == 4  # each, and what it sweeps
    assert "ring spanner at the head" in works.page.text_content("#readout")


def test_the_strips_stay_while_bolts_and_paths_are_worked_out(works: Seen) -> None:
    """At every step they went and came again, and the picture was drawn in two sizes."""
    height = "() => document.getElementById('stage').clientHeight"
    off = "() => ['bolt-which', 'path-which'].map((id) => document.getElementById(id).disabled)"
    before = works.run(height)
    works.run("() => Brackets.page.works.take(null)")
    assert works.run(height) == before
    assert works.run(off) == [True, True]
    assert works.page.locator("#bolt-which").inner_text() == "being worked out"
    works.run("() => Brackets.page.works.take(Brackets.page.header)")
    assert works.run(height) == before
    assert works.run(off) == [False, False]
    works.run("() => Brackets.page.works.take({ bolts: [], paths: [] })")
    assert works.page.is_hidden("#bolt-strip")
    works.run("() => Brackets.page.works.take(Brackets.page.header)")
    assert works.page.is_visible("#bolt-strip")


def test_bolts_are_switched_off_and_on(works: Seen) -> None:
    shown = "() => Brackets.page.parts.items.filter((i) => i.what === 'bolt' && i.node.visible).length"
    many = works.run(shown)
    assert many >= 6
    works.page.click("#bolts-shown")
    assert works.run(shown) == 0
    works.page.click("#bolts-shown")
    assert works.run(shown) == many


def test_a_path_is_driven_leg_by_leg_and_what_is_out_by_then_is_gone(works: Seen) -> None:
    rest = places(works)
    works.page.select_option("#path-which", "drum up and round")
    works.set("path", 250)
    now = places(works)
    assert (now["drum: cup"] @ np.linalg.inv(rest["drum: cup"]))[:3, 3] == pytest.approx([0, 0, 100])
    assert "post: post" not in now
    assert now["rail: rail"] == pytest.approx(rest["rail: rail"])
    assert works.page.text_content("#path-said") == "leg 1, 100.0 mm"
    works.set("path", 750)
    turned = places(works)["drum: cup"] @ np.linalg.inv(rest["drum: cup"])
    half = np.sqrt(0.5)  # -45 degrees about x, through where the drum's middle has come to
    low = -300 * half
    wanted = np.array([[1, 0, 0, 0], [0, half, half, low], [0, -half, half, 500 + low], [0, 0, 0, 1]])
    assert turned == pytest.approx(wanted, abs=1e-9)
    assert works.page.text_content("#path-said") == "leg 2, 45.0 deg"
    works.page.select_option("#path-which", "")
    back = places(works)
    assert back.keys() == rest.keys()
    assert all((back[name] == rest[name]).all() for name in rest)


def test_the_place_of_least_gap_is_marked_and_gone_to(works: Seen) -> None:
    """The drum's side is at x = 35, the shelf begins at 55."""
    works.page.select_option("#path-which", "drum up and round")
    works.page.click("#path-least")
    line = works.run("() => Brackets.page.labels.layers.get('path').strokes[0].points.map((p) => p.toArray())")
    assert np.linalg.norm(np.subtract(*line)) == pytest.approx(20, abs=1e-3)
    (mark,) = works.run("() => [...document.querySelectorAll('#path-marks option')].map((o) => Number(o.value))")
    assert mark == pytest.approx(float(works.page.input_value("#path")), abs=1)
    assert works.run(TAGS) == ["20.0 mm, spare 5.0"]
    assert "least gap, " in works.page.text_content("#readout")
    place = works.run("() => Brackets.page.works.paths.at()")
    box = works.run("() => { const b = Brackets.page.parts.boxOf(['drum']); return [b.min.z, b.max.z]; }")
    assert box[0] - 1e-3 <= line[0][2] <= box[1] + 1e-3  # on the drum where it stands then
    assert place["leg"] == 0
    works.set("path", 990)
    assert works.run(TAGS) == []


def test_a_path_that_is_barred_shows_what_meets_past_where_it_is_free(works: Seen) -> None:
    """From y = 35 to the post at 95: 60 of 150."""
    works.page.select_option("#path-which", "drum left")
    assert "60.0 mm free, then drum meets post" in works.page.text_content("#readout")
    works.set("path", 390)
    assert works.run(RED) == []
    works.set("path", 410)
    assert works.run(RED) == ["drum", "post"]
    assert not any(name.startswith("left bolt") for name in places(works))  # the mount's bolt is out by then


def test_gap_lines_at_rest_are_hidden_while_something_is_off_its_place(works: Seen) -> None:
    works.page.click("#gaps")
    lines = "() => Brackets.page.parts.tags.filter((tag) => tag.text.includes('spare')).length"
    assert works.run(lines) > 0
    works.page.select_option("#path-which", "drum left")
    works.set("path", 100)
    assert works.run(lines) == 0
    works.press("Escape")
    assert works.page.input_value("#path-which") == ""
    assert works.run(lines) > 0
    works.page.click("#gaps")


# ---------------------------------------------------------------- looking about


ON_PAGE = """([x, y, z]) => { const { stage } = Brackets.page, at = stage.at(new THREE.Vector3(x, y, z));
  const box = document.getElementById('stage').getBoundingClientRect();
  return [at.x + box.left, at.y + box.top]; }"""
SHELF = [90, 30, 420]


def test_the_wheel_zooms_and_what_is_under_the_pointer_stays_there(works: Seen) -> None:
    for lens in (False, True):
        if lens:
            works.press("p")
        works.page.click('button[data-view="slant"]')
        x, y = works.page.evaluate(ON_PAGE, SHELF)
        works.page.mouse.move(x, y)
        size = "() => { const { stage } = Brackets.page, at = (p) => stage.at(new THREE.Vector3(...p));"
        size += " const a = at([90, 30, 420]), b = at([90, 30, 400]); return Math.hypot(a.x - b.x, a.y - b.y); }"
        was = works.run(size)
        works.page.mouse.wheel(0, -300)
        works.until(f"() => ({size})() > {was * 1.3}", True)
        nearer = works.run(size) / was  # the pointer is at a whole pixel; what is beside it goes from it by as much
        there = [math.floor(v) + nearer * (v - math.floor(v)) for v in (x, y)]
        assert works.page.evaluate(ON_PAGE, SHELF) == pytest.approx(there, abs=0.05)
        works.page.mouse.wheel(0, 300)
        works.until(f"() => Math.abs(({size})() - {was}) < 0.01", True)
    works.press("p")


def test_a_click_on_the_end_of_an_axis_looks_from_there_and_again_from_behind(works: Seen) -> None:
    works.page.click('button[data-view="slant"]')
    box = works.page.locator("#triad").bounding_box()
    middle = (box["x"] + 42, box["y"] + 42)
    way = "() => { const { stage } = Brackets.page; return stage.away().normalize().toArray(); }"
    works.page.mouse.click(middle[0], middle[1] - 31)  # the end of z is straight up
    assert works.run(way) == pytest.approx([0, 0, 1], abs=1e-3)
    works.page.mouse.click(*middle)  # which now points at the eye
    assert works.run(way) == pytest.approx([0, 0, -1], abs=1e-3)


def test_the_name_of_a_keep_out_stands_by_the_pointer_and_what_is_behind_it(works: Seen) -> None:
    works.page.click('button[data-view="slant"]')
    works.page.mouse.move(*works.page.evaluate(ON_PAGE, SHELF))
    works.page.wait_for_selector("#hover:not([hidden])")
    assert works.page.text_content("#hover").split(" · ")[0] == "shelf"
    works.page.mouse.move(5, 300)
    works.until("() => document.getElementById('hover').hidden", True)


def test_what_is_picked_is_framed(works: Seen) -> None:
    works.page.click('button[data-view="front"]')
    works.run("() => Brackets.page.pick([], {})")
    assert works.page.is_disabled("#frame")
    works.run("() => Brackets.page.pick(['drum'], {})")
    works.press("q")
    spread = works.run(
        """() => { const { stage, parts } = Brackets.page, box = parts.boxOf(['drum']), host = stage.canvas;
          const low = stage.at(box.min), high = stage.at(box.max);
          const mid = stage.at(box.getCenter(new THREE.Vector3()));
          return [Math.abs(high.x - low.x) / host.clientWidth, Math.abs(high.y - low.y) / host.clientHeight,
            mid.x / host.clientWidth, mid.y / host.clientHeight]; }"""
    )
    assert max(spread[:2]) == pytest.approx(1 / 1.08, abs=0.02)
    assert spread[2:] == pytest.approx([0.5, 0.5], abs=1e-3)


def test_a_scan_is_shaded_and_can_be_seen_through_when_asked(works: Seen) -> None:
    ghost = "() => Brackets.page.parts.items.find((i) => i.thing === 'lump').ghost"
    assert works.run(ghost) is False
    works.run("() => Brackets.page.pick(['lump'], {})")
    works.press("t")
    assert works.run(ghost) is True
    works.press("u")
    assert works.run(ghost) is False
    assert works.run("() => Brackets.page.parts.items.find((i) => i.thing === 'shelf').ghost") is True


def test_the_eye_turns_over_a_coarser_picture_where_drawing_takes_long(works: Seen) -> None:
    """Fewer things are drawn while it turns; at rest the picture is what it would have been."""
    works.page.click('button[data-view="slant"]')
    before = works.glance()
    calls, plain, edges = works.run(
        """() => { const { stage, parts } = Brackets.page, calls = () => stage.renderer.info.render.calls;
          const { info } = stage.renderer;
          const counted = (took) => { stage.slow(true, took); stage.turn(0.1, 0);
            info.autoReset = false; info.reset(); stage.draw(); info.autoReset = true;
            return [calls(), stage.coarse]; };
          stage.draw(true);
          const plain = counted(0), coarse = counted(1000);
          return [coarse, plain, parts.items.filter((i) => i.edges.visible && !i.ghost).length]; }"""
    )
    assert (calls[1], plain[1], edges) == (True, False, 0)
    assert calls[0] < 0.75 * plain[0]
    works.page.click('button[data-view="slant"]')
    after = works.glance()
    assert works.run("() => Brackets.page.stage.coarse") is False
    assert works.run("() => Brackets.page.parts.items.every((i) => i.face.visible)")
    assert (before == after).all()


def test_one_sentence_of_keys_is_there_until_it_is_closed_for_good(works: Seen) -> None:
    assert works.page.is_visible("#hint")
    assert "Drag to turn" in works.page.text_content("#hint")
    works.page.click("#hint button")
    assert works.page.is_hidden("#hint")
    works.page.reload()
    works.page.wait_for_selector("body[data-drawn]", state="attached")
    assert works.page.is_hidden("#hint")
