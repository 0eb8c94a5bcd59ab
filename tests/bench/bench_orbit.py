"""How long one step of turning the eye takes, with the coarser picture that is drawn meanwhile and without.

    python tests/bench/bench_orbit.py [BAY.toml]

Run by hand, with Chromium: one page, both ways in turn, so that a busy machine favours neither; drawn by software
(no graphics card was tried). Says the median of each, ms and frames a second, and their ratio.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from preview_browser import Seen, launched  # noqa: E402

from brackets.app.preview.build import source, whole  # noqa: E402
from brackets.app.preview.offline import page  # noqa: E402

ROUNDS = 12
STEPS = """(took) => { const { stage } = Brackets.page, gl = stage.renderer.getContext(), dot = new Uint8Array(4);
  const step = () => { stage.slow(true, took); stage.turn(0.03, 0); stage.draw();
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, dot); };
  step();
  const start = performance.now();
  for (let i = 0; i < 4; i++) step();
  return (performance.now() - start) / 4; }"""


def main() -> None:
    target = sys.argv[1] if len(sys.argv) > 1 else "recipes/tern.toml"
    took: dict[int, list[float]] = {0: [], 1000: []}
    with tempfile.TemporaryDirectory() as folder, launched() as browser:
        path = Path(folder, "bay.html")
        path.write_text(page(whole(source(target, bare="mm"), {})), "utf-8")
        seen = Seen(browser, path.as_uri(), viewport={"width": 1280, "height": 860})
        for _ in range(ROUNDS):
            for long in took:
                took[long].append(seen.page.evaluate(STEPS, long))
        seen.page.close()
    before, after = (statistics.median(took[long]) for long in (0, 1000))
    print(f"as it was {before:.0f} ms, {1000 / before:.1f} frames a second", flush=True)
    print(f"coarser   {after:.0f} ms, {1000 / after:.1f} frames a second, {after / before:.2f} of the time")


if __name__ == "__main__":
    main()
