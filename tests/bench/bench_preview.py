"""How long from a key press on a slider to changed pixels, and where the time goes: median of 30.

Run by hand on a quiet machine with Chromium: python tests/bench/bench_preview.py [RECIPE] [SLIDER]. Drawn by
software; a graphics card was not tried. Nothing else that shows meshes is timed beside it yet.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from preview_live import running  # noqa: E402

PRESSES = 30
FLAGS = ["--headless", "--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--no-first-run"]
NAMES = ("chromium", "chromium-browser", "google-chrome")

WATCH = """(shown) => new Promise((done) => {
  const start = performance.now(), before = document.body.dataset.drawn;
  const look = () => document.body.dataset.drawn !== before ? done(performance.now() - start) : setTimeout(look, 2);
  const slider = document.querySelector(`input[aria-label="${shown} slider"]`);
  const value = Number(slider.value), step = Number(slider.step);
  slider.value = value > Number(slider.max) / 2 ? value - step : value + step;
  slider.dispatchEvent(new Event('input'));
  look();
})"""
"""Moves the slider by one step as a key does; ms until the picture of the new values is on the screen."""


def ours(browser: Any, target: str, slider: str) -> list[float]:
    """Seconds from each press to changed pixels."""
    with running(target) as address:
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(address)
        page.wait_for_selector("body[data-drawn]", state="attached", timeout=180_000)
        return [page.evaluate(WATCH, slider) / 1000 for _ in range(PRESSES)]


def stages(target: str, slider: str) -> dict[str, float]:
    """Median seconds of each stage in one process: build, mesh, checks and pack together, and size sent."""
    from brackets import recipe_file
    from brackets.made import made
    from brackets.params import from_texts
    from brackets.preview.of_recipe import tables
    from brackets.preview.payload import blob
    from brackets.preview.skin import skin
    from brackets.solid import own_shape

    opened = recipe_file.recipe(target)
    rule = next(p for p in opened.params if p.name == slider).rule
    assert rule.slider is not None
    low, high, step = rule.slider
    found: dict[str, list[float]] = {"build": [], "mesh": [], "checks": [], "pack": []}
    for i in range(PRESSES):
        clock = [time.perf_counter()]
        params = from_texts(opened.Params, {slider: str(round((low + high) / 2) + step * (i % 15) + 0.01 * i)})
        thing = made(opened, params)
        shapes = [own_shape(piece) for piece in thing.part.pieces]
        clock.append(time.perf_counter())
        skins = [skin(shape) for shape in shapes]
        clock.append(time.perf_counter())
        tables(thing)
        clock.append(time.perf_counter())
        for seen in skins:
            blob(seen)
        clock.append(time.perf_counter())
        for name, (a, b) in zip(found, zip(clock, clock[1:], strict=False), strict=True):
            found[name].append(b - a)
    return {name: statistics.median(times) for name, times in found.items()}


def main() -> int:
    from playwright.sync_api import sync_playwright

    target = sys.argv[1] if len(sys.argv) > 1 else "ears"
    slider = sys.argv[2] if len(sys.argv) > 2 else "ear_r"
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        print(f"needs one of {', '.join(NAMES)}")
        return 2
    with sync_playwright() as tools:
        browser = tools.chromium.launch(executable_path=path, args=FLAGS)
        times = ours(browser, target, slider)
        browser.close()
    median = statistics.median(times)
    print(f"{target} {slider}: press to changed pixels, median of {PRESSES}: {median * 1000:.0f} ms")
    print(f"  least {min(times) * 1000:.0f}, most {max(times) * 1000:.0f} ms")
    parts = stages(target, slider)
    for name, seconds in parts.items():
        print(f"  {name}: {seconds * 1000:.0f} ms")
    print(f"  transfer and drawing (the rest): {(median - sum(parts.values())) * 1000:.0f} ms")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
