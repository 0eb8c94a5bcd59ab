"""The page in a browser for tests: an open page, what it shows as figures, and a hand that uses it.

Drawn by software (no graphics card was tried). Without Chromium these are skipped by name; with CI set they fail.
"""

from __future__ import annotations

import base64
import gc
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

FLAGS = [
    "--headless",
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
NAMES = ("chromium", "chromium-browser", "google-chrome")
PATIENCE = 120_000
"""ms: the solid kernel loads in seconds, or half a minute on a busy machine."""
SMALL = 64

GLANCE = f"""() => {{
  const small = document.createElement('canvas');
  small.width = small.height = {SMALL};
  const pen = small.getContext('2d');
  pen.drawImage(Brackets.page.labels.picture(), 0, 0, {SMALL}, {SMALL});
  return btoa(String.fromCharCode(...pen.getImageData(0, 0, {SMALL}, {SMALL}).data));
}}"""
"""The picture with its labels, small, as bytes in base 64."""
LOOK = 50
"""ms between two looks at a page that is waited for."""


def _missing(why: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(why)
    pytest.skip(why)


@contextmanager
def launched() -> Iterator[Any]:
    """A browser without a window; skips where there is none."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        _missing("browser tests need the package playwright")
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        _missing(f"browser tests need one of {', '.join(NAMES)}")
    with sync_playwright() as tools:
        started = tools.chromium.launch(executable_path=path, args=FLAGS)
        yield started
        started.close()
    gc.collect()  # what the tools leave open is told here, not under a test of something else


class Seen:
    """An open page with what its console said."""

    def __init__(self, browser: Any, address: str, **more: Any) -> None:
        self.complaints: list[str] = []
        self.asked: list[str] = []
        options = {"viewport": {"width": 1100, "height": 760}, "color_scheme": "light", **more}
        self.page = browser.new_page(**options)
        self.page.set_default_timeout(PATIENCE)
        self.page.on(
            "console",
            lambda m: self.complaints.append(f"{m.type}: {m.text}") if m.type in ("error", "warning") else None,
        )
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(address)
        self.page.wait_for_selector("body[data-drawn]", state="attached")

    def glance(self) -> NDArray[np.int64]:
        seen = np.frombuffer(base64.b64decode(self.page.evaluate(GLANCE)), dtype=np.uint8)
        return seen.astype(np.int64).reshape(SMALL, SMALL, 4)

    def set(self, name: str, value: object) -> None:
        """Moves a slider or picks from a list as a hand does."""
        self.page.evaluate(
            "([id, value]) => { const it = document.getElementById(id); it.value = value;"
            " it.dispatchEvent(new Event('input')); it.dispatchEvent(new Event('change')); }",
            [name, str(value)],
        )

    def press(self, key: str) -> None:
        self.page.evaluate("() => document.activeElement.blur()")
        self.page.keyboard.press(key)

    def run(self, script: str) -> Any:
        return self.page.evaluate(script)

    def drawn_after(self, seq: int) -> int:
        """The number of the picture on the screen once it is newer than `seq` (waiting in the page is against its
        policy, which lets no text be run)."""
        late = time.monotonic() + PATIENCE / 1000
        while self.seq <= seq or self.run("() => document.body.dataset.busy") == "true":
            assert time.monotonic() < late, self.page.text_content("#sheet")
            self.page.wait_for_timeout(LOOK)
        return self.seq

    def until(self, script: str, wanted: object) -> None:
        """Waits for a state of the page, however busy the machine is."""
        late = time.monotonic() + PATIENCE / 1000
        while (found := self.run(script)) != wanted:
            assert time.monotonic() < late, f"{script} is {found!r}, not {wanted!r}"
            self.page.wait_for_timeout(LOOK)

    def settled(self) -> None:
        """Waits until what was asked to be drawn is drawn."""
        self.run("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")

    @property
    def seq(self) -> int:
        return int(self.run("() => Number(document.body.dataset.drawn)"))


def share(before: NDArray[np.int64], after: NDArray[np.int64]) -> float:
    """Share of the picture that changed."""
    return float((np.abs(before - after).max(axis=2) > 10).mean())


def metal(picture: NDArray[np.int64]) -> float:
    """Share of the picture that is not its ground."""
    return float((np.abs(picture - picture[1, 1]).max(axis=2) > 10).mean())
