"""A plain drawing is made where the picture is another than what stands on the canvas, and nowhere else; what is
written in the sheet moves nothing outside it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from preview_browser import Seen, launched
from preview_live import running


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    with launched() as started:
        yield started


@pytest.fixture(scope="module")
def ears(browser: Any) -> Iterator[Seen]:
    with running("ears") as address:
        seen = Seen(browser, address)
        seen.run("() => Brackets.page.stage.zoom(0.5)")  # so far off that it covers less than half
        yield seen


AGAIN = """(change) => {
  const { stage, parts, section } = Brackets.page, { renderer, scene } = stage, gl = renderer.getContext();
  const [w, h] = [gl.drawingBufferWidth, gl.drawingBufferHeight];
  const box = new THREE.Vector4(), size = new THREE.Vector2();
  const pixels = () => {
    const all = new Uint8Array(4 * w * h);
    gl.readPixels(0, 0, w, h, gl.RGBA, gl.UNSIGNED_BYTE, all);
    return all;
  };
  const differ = (a, b) => a.reduce((n, value, i) => n + (value !== b[i]), 0);
  const aside = (item) => (item.index ? null : new THREE.Matrix4().makeTranslation(30, -15, 0));
  const does = {
    nothing: [() => parts.drive(), () => 0],
    pick: [() => parts.pick([parts.items[0].name], {}), () => parts.pick([], {})],
    hide: [() => parts.hide([parts.items[0].unit], true), () => parts.everything()],
    axes: [() => parts.axes(false), () => parts.axes(true)],
    apart: [() => parts.apart(1), () => parts.apart(0)],
    carry: [() => { parts.hands.push(aside); parts.drive(); }, () => { parts.hands.pop(); parts.drive(); }],
    eye: [() => stage.turn(0.1, 0), () => stage.turn(-0.1, 0)],
    theme: [() => stage.theme("dark"), () => stage.theme("light")],
    cut: [() => section.set("x", 0.5), () => section.set("", 0)],
  };
  stage.slow(true, 20);
  stage.resize();
  stage.draw();
  const before = pixels(), drawn = [], render = renderer.render;
  renderer.render = (...given) => {
    renderer.getScissor(box);
    renderer.getSize(size);
    drawn.push(renderer.getScissorTest() ? (box.z * box.w) / (size.x * size.y) : 1);
    return render.apply(renderer, given);
  };
  does[change][0]();
  stage.draw();
  const after = pixels();
  renderer.render = render;
  renderer.render(scene, stage.camera);
  const whole = pixels();
  does[change][1]();
  return { drawn, changed: differ(before, after), wrong: differ(after, whole) };
}"""
"""Draws plainly, changes something, draws again: the share of the picture that was drawn then, how many bytes of it
changed, and how many are not those of a whole drawing."""


@pytest.mark.parametrize(
    ("change", "most"),
    [("nothing", 0), ("pick", 0.5), ("hide", 0.5), ("axes", 0.5), ("apart", 0.5), ("carry", 0.5)]
    + [(name, 1) for name in ("eye", "theme", "cut")],
)
def test_only_what_differs_is_drawn_and_the_picture_is_that_of_a_whole_drawing(
    ears: Seen, change: str, most: float
) -> None:
    found = ears.page.evaluate(AGAIN, change)
    assert found["wrong"] == 0
    assert (found["changed"] > 0) is (change != "nothing")
    assert sum(found["drawn"]) <= most
    if most == 1:
        assert found["drawn"] == [1], "all of it is another"


def test_a_new_shape_is_drawn_where_it_is_and_where_the_old_one_was(ears: Seen) -> None:
    """By the figures of the page, as it comes over the wire: a whole drawing after it changes not a byte."""
    ears.run(
        """() => { const { stage } = Brackets.page, gl = stage.renderer.getContext(), plain = stage.draw;
          const pixels = () => { const all = new Uint8Array(4 * gl.drawingBufferWidth * gl.drawingBufferHeight);
            gl.readPixels(0, 0, gl.drawingBufferWidth, gl.drawingBufferHeight, gl.RGBA, gl.UNSIGNED_BYTE, all);
            return all; };
          stage.slow(true, 20); stage.resize(); stage.draw();
          window.wrong = null;
          stage.draw = (best, bare) => { plain(best, bare); if (!bare) return;
            const one = pixels(); stage.renderer.render(stage.scene, stage.camera); const whole = pixels();
            window.wrong = one.reduce((n, value, i) => n + (value !== whole[i]), 0); stage.draw = plain; }; }"""
    )
    seq = ears.seq
    ears.page.locator('input[aria-label="ear_r slider"]').focus()
    ears.page.keyboard.press("PageDown")  # a smaller one: what is left of the old must go
    ears.drawn_after(seq)
    assert ears.run("() => window.wrong") == 0


def test_what_is_written_in_the_sheet_moves_nothing_outside_it_but_on_paper(ears: Seen) -> None:
    """Its size is the window's whatever stands in it, so that a press on a slider paints the slider's own row: else
    all of the sheet is painted anew, beside the build. On paper it is as long as what it says."""
    sheet = """() => { const one = document.getElementById('sheet'), style = getComputedStyle(one);
      return [style.contain, one.clientHeight === innerHeight, one.scrollHeight > innerHeight]; }"""
    assert ears.run(sheet) == ["strict", True, True]
    ears.page.emulate_media(media="print")
    assert ears.run(sheet)[:2] == ["none", False]
    ears.page.emulate_media(media="screen")
