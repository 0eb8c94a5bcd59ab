"""How long from a key press on a slider to changed pixels, beside viser showing the same mesh without any checks
(not even whether the solids are valid, which ours asks after the shape is shown).

    python tests/bench/bench_preview.py [RECIPE] [SLIDER] [--presses N]
    python tests/bench/bench_preview.py BAY.toml PART SLIDER [--presses N]

Run by hand on a quiet machine with Chromium and `pip install viser` (MIT; a general-purpose viewer, used by
nothing else here). One run, one browser, one way of looking: the press is a real key, each to a value not seen
before, the clock starts at its event and stops when the pixels of the canvas change. One press here, one there, so
that a machine that is busy with other things favours neither; of a bay a press waits until ours has found all
that `fit` finds. Both draw as many pixels: the window of theirs is made as large as the canvas of ours. The load is
told, and every wait is bounded. Drawn by software; a graphics card was not tried.
"""

from __future__ import annotations

import argparse
import os
import shutil
import statistics
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench.viser_page import viser_running  # noqa: E402
from preview_live import running  # noqa: E402

PRESSES = 30
KEYS = ("ArrowRight", "ArrowLeft")
"""Half of the presses this way, half that way, each half from the default in processes of its own: no value is seen
twice, and no end of the slider is met."""
FLAGS = ["--headless", "--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--no-first-run"]
NAMES = ("chromium", "chromium-browser", "google-chrome")
TARGET = 0.6
"""Of the time of the other, median against median."""

EYE = """
(() => {
  const GL = ["webgl", "webgl2"], plain = HTMLCanvasElement.prototype.getContext, seen = { first: 0 };
  HTMLCanvasElement.prototype.getContext = function (kind, options) {
    return plain.call(this, kind, GL.includes(kind) ? { ...options, preserveDrawingBuffer: true } : options);
  };
  window.WebSocket = class extends WebSocket {
    constructor(...given) {
      super(...given);
      this.addEventListener("message", (event) => {
        if ((event.data.byteLength || event.data.size || 0) > 4000) seen.first ||= performance.now();
      });
    }
  };
  let drawn = false, triangles = 0;
  for (const { prototype } of [WebGLRenderingContext, WebGL2RenderingContext]) {
    for (const name of ["drawElements", "drawArrays", "drawElementsInstanced", "drawArraysInstanced"]) {
      const call = prototype[name];
      if (call) prototype[name] = function (...given) {
        drawn = true;
        const times = name.endsWith("Instanced") ? given.at(-1) : 1;
        if (given[0] === 4) triangles += given[name.startsWith("drawE") ? 1 : 2] / 3 * times;
        return call.apply(this, given);
      };
    }
  }
  let pressed = 0;
  addEventListener("keydown", () => { pressed = performance.now(); }, true);
  const small = document.createElement("canvas");
  small.width = WIDE; small.height = HIGH;
  const pen = plain.call(small, "2d", { willReadFrequently: true });
  const look = (canvas) => {
    pen.fillRect(0, 0, WIDE, HIGH);
    pen.drawImage(canvas, 0, 0, WIDE, HIGH);
    return pen.getImageData(0, 0, WIDE, HIGH).data;
  };
  const differs = (a, b) => {
    for (let i = 0; i < a.length; i++) if (Math.abs(a[i] - b[i]) > 8) return true;
    return false;
  };
  const largest = () => {
    const size = (one) => (one.className === "over" ? 0 : one.width * one.height);
    return [...document.querySelectorAll("canvas")].sort((a, b) => size(b) - size(a))[0];
  };
  const next = window.requestAnimationFrame.bind(window), held = [];
  let asleep = false;
  window.requestAnimationFrame = (call) => (asleep ? held.push(call) : next(call));
  window.eye = {
    size() {
      const canvas = largest();
      return [canvas.clientWidth, canvas.clientHeight, canvas.width, canvas.height];
    },
    sleep() { asleep = true; },
    wake() { asleep = false; for (const call of held.splice(0)) next(call); },
    async quiet() {
      const late = performance.now() + 10000;
      for (let still = 0, before = look(largest()); still < 3 && performance.now() < late;) {
        await new Promise((done) => setTimeout(done, 200));
        const now = look(largest()), other = now.some((value, i) => value !== before[i]);
        still = other || document.body.dataset.busy === "true" ? 0 : still + 1;
        before = now;
      }
    },
    watch() {
      const canvas = largest();
      const before = look(canvas);
      pressed = seen.first = 0;
      drawn = false;
      window.eye.found = new Promise((done, failed) => {
        setTimeout(() => failed(new Error("no pixel changed within a minute: is the slider at its end?")), 60000);
        const again = () => {
          const now = pressed && drawn ? look(canvas) : null, many = triangles;
          drawn = false;
          triangles = 0;
          if (now && differs(now, before)) {
            const end = performance.now();
            return done([end - pressed, seen.first ? end - seen.first : 0, many]);
          }
          requestAnimationFrame(again);
        };
        requestAnimationFrame(again);
      });
    },
  };
})();
"""
"""Put into both pages before their own scripts: keeps drawn pixels readable, notes keys and large messages, and
looks at the canvas after every frame in which something was drawn, and at no other: a look that finds nothing takes
the processor from the build. A page that sleeps draws nothing: viser's draws all the time, and would take the
processors from the other. To be looked at after each of its frames is in viser's favour: its drawing waits for the
look, where else its frames queue up (looked at from the new mesh on: 584 and 704 ms of ears at a load of 3)."""


STARTING, OPENING = 180_000, 60_000
"""ms: until something is drawn, and until what stands on the page is there to be clicked."""

LOOKS = {False: (256, 160), True: (1024, 640)}
"""Pixels that a canvas is looked at by: of a bay nearly all, since a slider moves an edge by one of them."""


@contextmanager
def opened(browser: Any, address: str, *, bay: bool) -> Iterator[Any]:
    """A page that is watched."""
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    wide, high = LOOKS[bay]
    page.add_init_script(EYE.replace("WIDE", str(wide)).replace("HIGH", str(high)))
    page.goto(address)
    try:
        yield page
    finally:
        page.close()


def pressed(page: Any, key: str) -> tuple[float, float, float]:
    """Seconds from a press to changed pixels, and from the first large message to them; triangles of that frame."""
    page.bring_to_front()
    page.evaluate("() => window.eye.wake()")
    page.evaluate("() => window.eye.quiet()")  # everything of the press before is drawn
    page.evaluate("() => window.eye.watch()")
    page.keyboard.press(key)
    whole, drawing, triangles = page.evaluate("() => window.eye.found")
    page.evaluate("() => window.eye.quiet()")
    page.evaluate("() => window.eye.sleep()")
    return whole / 1000, drawing / 1000, triangles


def take_in_hand(page: Any, part: str, slider: str) -> None:
    """As a hand comes to a slider: opens what is folded about it, then goes into it."""
    page.set_default_timeout(OPENING)
    if part:
        row = page.locator(f'details.part[data-part="{part}"]')
        for fold in (page.locator("#values"), row):
            if fold.get_attribute("open") is None:
                fold.locator("summary").first.click()
        page = row
    page.locator(f'input[aria-label="{slider} slider"]').focus()


FITTED = """() => document.body.dataset.busy === "false" && !document.body.textContent.includes("%s")"""


def side_by_side(
    browser: Any, target: str, part: str, slider: str, key: str, count: int
) -> tuple[list[list[tuple[float, float, float]]], list[list[int]]]:
    """What `pressed` says of ours and of theirs, press by press in turn; width and height of the canvas of each, in
    the page and in pixels."""
    from brackets.app.preview.bay_scene import SO_FAR

    found: list[list[tuple[float, float, float]]] = [[], []]
    with (
        running(target) as here,
        viser_running(target, slider, part) as there,
        opened(browser, here, bay=bool(part)) as ours,
        opened(browser, f"{there}?fixedDpr=1", bay=bool(part)) as theirs,
    ):
        ours.wait_for_selector("body[data-drawn]", state="attached", timeout=STARTING)
        take_in_hand(ours, part, slider)
        wide, high, *_ = ours.evaluate("() => window.eye.size()")
        theirs.set_viewport_size({"width": wide, "height": high})
        theirs.wait_for_selector('[role="slider"]', timeout=STARTING)
        theirs.locator('[role="slider"]').first.focus()
        for _ in range(count + 1):
            if part:  # a page that is hidden shows nothing new
                ours.bring_to_front()
                ours.evaluate("() => window.eye.wake()")
                ours.wait_for_function(FITTED % SO_FAR, timeout=600_000)
            for page, times in zip((theirs, ours), found[::-1], strict=True):
                times.append(pressed(page, key))
        sizes = [page.evaluate("() => window.eye.size()") for page in (ours, theirs)]
    return [times[1:] for times in found], sizes  # the first warms up


def stages(target: str, slider: str) -> dict[str, float]:
    """Median seconds of each stage in one process with nothing beside it. The mesh of a piece that has not
    changed is not made again."""
    from brackets.app.preview.blocks import pack
    from brackets.app.preview.recipe_source import tables
    from brackets.app.preview.scene import Picture
    from brackets.core.schema.reading import from_texts
    from brackets.kernel.solids import own_shape, unchecked_shape
    from brackets.library import recipe as recipe_file
    from brackets.output.part_files import made

    opened_ = recipe_file.recipe(target)
    rule = next(p for p in opened_.params if p.name == slider).rule
    assert rule.slider is not None
    low, high, step = rule.slider
    found: dict[str, list[float]] = {"build": [], "mesh": [], "pack": [], "checks": []}
    for i in range(PRESSES):
        clock = [time.perf_counter()]
        params = from_texts(opened_.Params, {slider: str(round((low + high) / 2) + step * (i % 15) + 0.01 * i)})
        thing = made(opened_, params)
        for piece in thing.part.pieces:
            unchecked_shape(piece)
        clock.append(time.perf_counter())
        picture = Picture()
        picture.add_part(thing.part, thing=target, what="part", side="")
        clock.append(time.perf_counter())
        pack(picture.header(tables=tables(thing)), picture.blobs)
        clock.append(time.perf_counter())
        for piece in thing.part.pieces:
            own_shape(piece)
        assert thing.findings is not None
        clock.append(time.perf_counter())
        for name, (a, b) in zip(found, zip(clock, clock[1:], strict=False), strict=True):
            found[name].append(b - a)
    return {name: statistics.median(times) for name, times in found.items()}


def main() -> int:
    from playwright.sync_api import sync_playwright

    asked = argparse.ArgumentParser()
    asked.add_argument("words", nargs="*", default=["ears", "ear_r"])
    asked.add_argument("--presses", type=int, default=PRESSES)
    given = asked.parse_args()
    (target, *parts, slider), count = given.words, given.presses
    part = parts[0] if parts else ""
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        print(f"needs one of {', '.join(NAMES)}")
        return 2
    with sync_playwright() as tools:
        browser = tools.chromium.launch(executable_path=path, args=FLAGS)
        mine: list[tuple[float, float, float]] = []
        other: list[tuple[float, float, float]] = []
        load = os.getloadavg()[0]
        for key in KEYS:
            (here, there), sizes = side_by_side(browser, target, part, slider, key, count // len(KEYS))
            mine, other = mine + here, other + there
        browser.close()
    print(f"{' '.join(given.words)}: press to changed pixels, median of {len(mine)}")
    print(f"  load {load:.1f} at first, {os.getloadavg()[0]:.1f} at last, {os.cpu_count()} processors")
    names = ("brackets view", "viser, no checks")
    for name, times, (*_, wide, high) in zip(names, (mine, other), sizes, strict=True):
        whole = [t[0] * 1000 for t in times]
        drawing = statistics.median(t[1] for t in times) * 1000
        print(
            f"  {name:18} {statistics.median(whole):4.0f} ms, of which {drawing:.0f} from the first message on; "
            f"least {min(whole):.0f}, most {max(whole):.0f}; {wide} x {high} pixels, {times[-1][2]:.0f} triangles"
        )
    median = statistics.median(t[0] for t in mine)
    ratio = median / statistics.median(t[0] for t in other)
    print(f"ratio {ratio:.2f}, wanted at most {TARGET}")
    if part:
        return 0 if ratio <= TARGET else 1
    each = stages(target, slider)
    checks = each.pop("checks")
    each["draw"] = statistics.median(t[1] for t in mine)
    each["rest"] = median - sum(each.values())
    for name in ("build", "mesh", "pack", "rest", "draw"):
        print(f"  {name:9} {each[name] * 1000:6.1f} ms")
    print("  the rest: above all build and mesh beside a browser that paints; pipe, server and page take some 8 ms")
    print(f"  checks    {checks * 1000:6.1f} ms, after the shape is on its way")
    return 0 if ratio <= TARGET else 1


if __name__ == "__main__":
    raise SystemExit(main())
