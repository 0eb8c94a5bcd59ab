"""The engine moved by hand in a real browser: by slider, key, text and grip; what is measured is what `fit` finds
of the file once it is kept. Without Chromium these are skipped by name; with CI set they fail."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from engine_bay import BOXES, written
from preview_browser import Seen, metal, share
from preview_live import running

from brackets.app.preview.build import source, whole
from brackets.app.preview.offline import page as saved_page
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.bay.position.placing import typed_position

pytestmark = [pytest.mark.browser, pytest.mark.filterwarnings("ignore::ResourceWarning")]

WANT = "() => Brackets.page.engine.want"
SHOWN = "() => Brackets.page.engine.shown"
FRESH = "() => Brackets.page.engine.fresh"
CARRIED = "() => !document.getElementById('carried').hidden"
GAPS = "() => Brackets.page.engine.last.gaps.map((g) => [[g.a, g.b].sort().join(), g.low])"
BLOCK = "() => Brackets.page.parts.items.find((item) => item.name === 'block').node.matrixWorld.toArray()"
GRIP = """() => { const box = document.getElementById('grip').getBoundingClientRect();
  return [box.x + box.width / 2, box.y + box.height / 2]; }"""

@pytest.fixture(scope="module")
def page(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Seen]:
    path = written(tmp_path_factory.mktemp("by_hand"), BOXES)
    with running(str(path)) as address:
        seen = Seen(browser, address, viewport={"width": 1280, "height": 860})
        seen.path, seen.address = path, address  # type: ignore[attr-defined]
        seen.page.wait_for_selector('details[data-key="moved"]', state="attached")
        assert seen.run("() => document.getElementById('grip').hidden")
        seen.page.click("#engine")
        seen.until(FRESH, wanted=True)
        yield seen
        assert seen.complaints == []
        seen.page.close()


@pytest.fixture
def engine(page: Seen) -> Iterator[Seen]:
    """The page with the engine where the file has it, seen slantwise."""
    yield page
    page.run("() => document.activeElement.blur()")
    page.run("() => Brackets.page.engine.cancel()")
    if page.run(SHOWN) != [0] * 6 or not page.run("() => document.getElementById('stale').hidden"):
        page.page.click("#reset")
        shown_at(page, 0, 0, 0, 0, 0, 0)
        page.until("() => document.getElementById('stale').hidden", wanted=True)
    page.press("1")
    page.until(FRESH, wanted=True)

WHOSE = """() => { const at = (id) => document.getElementById(id), shade = (id) => getComputedStyle(at(id)).color;
  const quiet = getComputedStyle(document.documentElement).getPropertyValue('--quiet').trim();
  const dot = document.body.appendChild(document.createElement('i')); dot.style.color = quiet;
  const old = getComputedStyle(dot).color; dot.remove();
  const looks = ['verdict', 'top', 'tables'].map((id) => (shade(id) === old ? 'old' : 'new'));
  return [at('verdict').dataset.of, ...looks]; }"""
"""Of which place the verdict says it is, and whether verdict, worst findings and tables look it."""


def shown_at(seen: Seen, *at: float) -> None:
    """Waits until the picture is built with the engine there."""
    seen.until("() => JSON.stringify(Brackets.page.engine.shown)", json.dumps(list(at), separators=(",", ":")))
    seen.until("() => document.body.dataset.busy", "false")
    seen.until(CARRIED, wanted=False)


def gaps_of_fit(path: Path) -> dict[str, float]:
    return {",".join(sorted((pair.a, pair.b))): pair.low for pair in fit(read(path)).pairs}


def test_a_slider_moves_the_picture_at_once_and_the_build_agrees_with_it(engine: Seen) -> None:
    """The matrix that the page works out by itself is, to float32, the one the bay stands by; all six figures."""
    before = engine.run(BLOCK)
    glance, seq = engine.glance(), engine.seq
    for name, value in (("fore", 4), ("left", -7), ("up", 12), ("roll", 5), ("pitch", -4), ("yaw", 8)):
        engine.run(
            f"() => {{ const it = document.getElementById('engine-{name}-range'); it.value = {value};"
            " it.dispatchEvent(new Event('input')); }"
        )
    assert engine.run(WANT) == [4, -7, 12, 5, -4, 8]
    assert engine.seq == seq  # nothing was built for it
    assert engine.run(CARRIED) is True
    moved = engine.run(BLOCK)
    assert moved != pytest.approx(before, abs=1)
    assert share(glance, engine.glance()) > 0.02
    engine.run("() => document.getElementById('engine-up-range').dispatchEvent(new Event('change'))")
    shown_at(engine, 4, -7, 12, 5, -4, 8)
    assert engine.run(BLOCK) == pytest.approx(moved, abs=1e-3)


def test_what_is_measured_is_marked_old_until_it_is_of_this_place(engine: Seen) -> None:
    engine.run("() => { const wire = Brackets.page.wire; wire.held = wire.send; wire.send = () => {}; }")
    engine.run("() => Brackets.page.engine.move({ 2: 8 })")
    assert engine.page.text_content("#trial-state") == "not yet measured here: these figures are of a place before"
    assert engine.run("() => document.getElementById('engine-measured').classList.contains('old')")
    engine.run("() => Brackets.page.engine.heard(Brackets.page.engine.last)")  # a late answer of the place before
    assert engine.run(FRESH) is False
    assert engine.run(WHOSE) == ["of the place before", *["old"] * 3]
    assert engine.run(WANT) == [0, 0, 8, 0, 0, 0]
    engine.settled()
    assert engine.run("() => Brackets.page.labels.drawn.length") == 0  # no gap is written on the picture either
    engine.run("() => { Brackets.page.wire.send = Brackets.page.wire.held; Brackets.page.engine.wake(); }")
    engine.until(FRESH, wanted=True)
    assert engine.page.text_content("#trial-state") == "measured where the engine is shown"
    assert dict(engine.run(GAPS))["floor,sump"] == pytest.approx(38, abs=2e-3)
    engine.settled()
    assert "10.0 mm, spare -5.0" in [one["text"] for one in engine.run("() => Brackets.page.labels.drawn")]
    assert engine.run(WHOSE)[0] == "of the place before", "what it is measured by stands beside it, no verdict"
    engine.run("() => Brackets.page.engine.cancel()")
    assert engine.run(WHOSE) == ["", *["new"] * 3]


def test_keys_step_a_slider_and_are_one_step_to_undo(engine: Seen) -> None:
    engine.page.fill("#engine-step-0", "2.5")
    engine.page.focus("#engine-up-range")
    for key in ("ArrowRight", "ArrowRight", "PageUp", "ArrowLeft"):
        engine.page.keyboard.press(key)
    assert engine.run(WANT) == [0, 0, 27.5, 0, 0, 0]
    engine.page.keyboard.press("PageUp")  # [place] lets it go to 30
    assert engine.run(WANT) == [0, 0, 30, 0, 0, 0]
    shown_at(engine, 0, 0, 30, 0, 0, 0)
    engine.page.click("#undo")
    shown_at(engine, 0, 0, 0, 0, 0, 0)
    engine.page.click("#redo")
    shown_at(engine, 0, 0, 30, 0, 0, 0)
    engine.page.fill("#engine-step-0", "0")
    engine.page.keyboard.press("Tab")
    assert engine.run("() => document.getElementById('engine-step-0').getAttribute('aria-invalid')") == "true"
    engine.page.fill("#engine-step-0", "1")
    engine.page.keyboard.press("Tab")


def test_a_text_in_any_unit_is_taken_and_a_wrong_one_refused_at_its_field(engine: Seen) -> None:
    engine.page.fill("#engine-left", "1/4in")
    engine.page.keyboard.press("Enter")
    engine.until("() => Brackets.page.engine.want[1].toFixed(4)", "6.3500")
    shown_at(engine, 0, 6.35, 0, 0, 0, 0)
    engine.page.fill("#engine-pitch", "far")
    engine.page.keyboard.press("Enter")
    engine.until("() => document.getElementById('engine-pitch-wrong').textContent.slice(0, 13)", 'pitch = "far"')
    engine.until("() => document.getElementById('stale').hidden", wanted=False)
    assert "Not shown" in (engine.page.text_content("#stale") or "")
    assert engine.run(CARRIED) is False
    engine.page.focus("#engine-up")
    engine.page.click("#stale")
    assert engine.run("() => document.activeElement.id") == "engine-pitch"
    engine.page.click("#undo")
    engine.until("() => document.getElementById('stale').hidden", wanted=True)
    assert engine.page.text_content("#engine-pitch-wrong") == ""


def test_the_grip_slides_along_what_lies_across_the_view_and_turns_with_shift(engine: Seen) -> None:
    mouse = engine.page.mouse
    engine.press("6")  # from the top: fore and left
    engine.settled()
    assert engine.page.text_content("#grip") == "fore, left"
    x, y = engine.run(GRIP)
    mouse.move(x, y)
    mouse.down()
    mouse.move(x - 20, y - 30, steps=4)
    fore, left, *rest = engine.run(WANT)
    assert fore > 0
    assert left > 0
    assert (fore, left, rest) == (round(fore), round(left), [0, 0, 0, 0])  # whole steps, and no other figure
    there = engine.run(GRIP)
    mm = engine.run(
        "() => { const at = (x) => Brackets.page.stage.at(new THREE.Vector3(x, 0, 0)).y; return at(1) - at(0); }"
    )
    assert there == pytest.approx([x - 20, y - 30], abs=abs(mm))  # under the hand, to a step
    engine.page.keyboard.press("Escape")
    assert engine.run(WANT) == [0] * 6
    mouse.up()
    assert engine.run(CARRIED) is False
    engine.page.keyboard.down("Shift")
    mouse.move(x, y)
    mouse.down()
    assert engine.page.text_content("#grip") == "yaw"
    mouse.move(x - 40, y, steps=4)
    engine.page.keyboard.up("Shift")
    assert engine.run(WANT) == [0, 0, 0, 0, 0, 2]
    mouse.up()
    shown_at(engine, 0, 0, 0, 0, 0, 2)


def test_the_grip_takes_keys_and_the_picture_is_not_turned_by_it(engine: Seen) -> None:
    engine.press("2")  # from the front: left and up
    eye = "() => Brackets.page.stage.away().normalize().toArray().map((v) => Math.round(v * 1e3))"
    looked = engine.run(eye)
    engine.run("() => document.getElementById('grip').focus()")
    for key in ("ArrowUp", "ArrowUp", "ArrowRight", "PageUp", "Shift+ArrowLeft"):
        engine.page.keyboard.press(key)
    assert engine.run(WANT) == [1, 1, 2, 0.1, 0, 0]  # seen from the front, left is to the right
    assert engine.run(eye) == looked
    shown_at(engine, 1, 1, 2, 0.1, 0, 0)


def test_e_opens_the_panel_and_shuts_it(engine: Seen) -> None:
    engine.press("e")
    assert engine.run("() => [Brackets.page.engine.open, document.getElementById('grip').hidden]") == [False, True]
    engine.press("e")
    assert engine.run("() => document.activeElement.id") == "grip"
    assert "E" in (engine.page.text_content("#keys") or "")


def test_words_of_the_picture_keep_off_the_grip(engine: Seen) -> None:
    where = engine.run(
        """() => { const { stage, labels, parts } = Brackets.page, at = parts.box().getCenter(new THREE.Vector3());
          const put = () => { stage.draw(); return labels.drawn.find((one) => one.text === 'in the midst'); };
          const box = document.getElementById('grip').getBoundingClientRect();
          const host = document.getElementById('stage').getBoundingClientRect();
          const ray = stage.ray(box.x - host.x + box.width / 2, box.y - host.y + box.height / 2);
          ray.closestPointToPoint(at.clone(), at);
          labels.extra.push({ at, text: 'in the midst', colour: 'quiet' });
          const { x, y } = put();
          labels.extra.pop(); stage.draw();
          return [x + host.x, y + host.y, box.x, box.y, box.right, box.bottom]; }"""
    )
    x, y, left, top, right, bottom = where
    assert x >= right or y >= bottom or y + 20 <= top or x + 60 <= left, where


def test_another_page_sees_what_was_let_go_of(browser: Any, engine: Seen) -> None:
    other = Seen(browser, engine.address)  # type: ignore[attr-defined]
    engine.run("() => Brackets.page.engine.move({ 2: 11 })")
    engine.until(FRESH, wanted=True)
    assert other.run(SHOWN) == [0] * 6
    engine.run("() => Brackets.page.engine.move({}, true)")
    shown_at(other, 0, 0, 11, 0, 0, 0)
    assert other.run(WANT) == [0, 0, 11, 0, 0, 0]
    assert other.complaints == []
    other.page.close()


def test_the_best_position_is_shown_taken_undone_and_kept(engine: Seen) -> None:
    path: Path = engine.path  # type: ignore[attr-defined]
    before = path.read_text("utf-8")
    engine.page.click("#engine-best")
    engine.page.wait_for_selector("#engine-take")
    said = engine.page.inner_text("#engine-proposal")
    assert "Best found: fore -20 mm" in said
    assert "least spare -5.0 mm as it stands, 15.0 mm there" in said
    assert engine.run(WANT) == [0] * 6  # a proposal moves nothing
    engine.page.click("#engine-take")
    shown_at(engine, -20, 0, 0, 0, 0, 0)
    engine.page.click("#undo")
    shown_at(engine, 0, 0, 0, 0, 0, 0)
    engine.page.click("#redo")
    shown_at(engine, -20, 0, 0, 0, 0, 0)
    engine.until(FRESH, wanted=True)
    measured = dict(engine.run(GAPS))
    engine.until("() => document.body.dataset.busy === 'true'", wanted=False)
    engine.page.click("#engine-keep")
    engine.until("() => document.getElementById('notice').textContent.startsWith('Written')", wanted=True)
    button, answer = (engine.page.locator(name).bounding_box() for name in ("#engine-keep", "#notice"))
    assert 0 <= answer["y"] - (button["y"] + button["height"]) < 30  # at the button that was pressed
    assert path.read_text("utf-8") == before.replace("place = { at = [0, 0, 0] }", "place = { at = [-20, 0, 0] }")
    assert typed_position(read(path).powertrain).tolist() == [-20, 0, 0, 0, 0, 0]
    assert measured == pytest.approx({pair: gaps_of_fit(path)[pair] for pair in measured}, abs=2e-3)
    engine.until("() => JSON.stringify(Brackets.page.header.place.file)", "[-20,0,0,0,0,0]")
    engine.until(FRESH, wanted=True)
    assert (engine.page.text_content("#notice") or "").startswith("Written")  # also once the kept place is measured
    path.write_text(before, "utf-8")
    shown_at(engine, 0, 0, 0, 0, 0, 0)


def test_a_search_can_be_stopped(engine: Seen) -> None:
    engine.run("() => { for (const id of ['engine-best', 'engine-stop']) document.getElementById(id).click(); }")
    engine.until(FRESH, wanted=True)
    assert engine.page.text_content("#engine-proposal") == ""
    assert engine.run("() => document.getElementById('engine-best').disabled") is False


def test_a_phone_has_it_all(browser: Any, engine: Seen) -> None:
    size = {"width": 390, "height": 844}
    phone = Seen(browser, engine.address, viewport=size, has_touch=True, is_mobile=True)  # type: ignore[attr-defined]
    phone.page.click("#engine")
    phone.until(FRESH, wanted=True)
    assert phone.run("() => document.documentElement.scrollWidth <= innerWidth")
    head, stage = (phone.page.locator(name).bounding_box() for name in ("#engine-box > summary", "#stage"))
    assert stage["y"] + stage["height"] - 1 <= head["y"] < 500  # not under the picture, which stays at the top
    x, y = phone.run(GRIP)
    phone.page.touchscreen.tap(x, y)
    assert phone.run("() => document.activeElement.id") == "grip"
    assert phone.complaints == []
    phone.page.close()


def test_a_saved_page_has_no_grip(browser: Any, tmp_path: Path) -> None:
    file = tmp_path / "saved.html"
    file.write_text(saved_page(whole(source(str(written(tmp_path)), bare="mm"), {})), "utf-8")
    saved = Seen(browser, file.as_uri())
    assert metal(saved.glance()) > 0.05
    for name in ("grip", "engine", "engine-box", "carried"):
        assert saved.run(f"() => document.getElementById('{name}').hidden"), name
    assert saved.complaints == []
    saved.page.close()
