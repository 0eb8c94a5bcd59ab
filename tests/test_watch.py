"""brackets fit --watch: fitted again at every save, what changed since, a broken file, and its end."""

from __future__ import annotations

import asyncio
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from brackets import fit, read_bay
from brackets.app import saves
from brackets.app.cli.app import main
from brackets.app.cli.fit_watch import changes
from brackets.app.inputs import watched
from brackets.bay.fitting import Fit
from brackets.core.kept import FOLDER

BAY = """format = 1
gap.fixed = {{ rest = 12, moved = 5, why = "ours, no source" }}
part = [{{ name = "strip", recipe = "mine.py", side = "chassis", at = [0, 0, 0], up = [1, 0, 0] }}]
keep_out = [
    {{ name = "rail", side = "chassis", box = {{ from = [200, 0, 0], to = [290, 50, 20] }} }},
    {{ name = "sump", side = "powertrain", box = {{ from = [200, 0, {low}], to = [290, 50, 180] }} }},
    {{ name = "pump", side = "powertrain", box = {{ from = [400, 0, 400], to = [450, 50, {top}] }} }},
]
"""
RECIPE = '''"""A strip."""
from dataclasses import dataclass
from typing import Annotated

from brackets import Checked, Part, Plate, Wall, mm, rectangle


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    long: Annotated[float, mm(10, 500, "length")] = {long}


def build(p):
    return Part(name="strip", pieces=(Plate(name="strip", t=5.0, wall=Wall(outline=rectangle(p.long, 20.0))),))
'''


def bay(folder: Path, *, low: float = 50, top: float = 450, long: float = 40) -> Path:
    (folder / "mine.py").write_text(RECIPE.format(long=long))
    (folder / "bay.toml").write_text(BAY.format(low=low, top=top))
    return folder / "bay.toml"


@pytest.fixture(scope="module")
def fits(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Fit]:
    folder = tmp_path_factory.mktemp("fits")
    each = {"first": {}, "near": {"low": 30}, "heavy": {"long": 80}, "high": {"top": 460}}
    return {name: fit(read_bay(bay(folder, **values))) for name, values in each.items()}


def flat(lines: Iterator[str]) -> str:
    return " ".join(" ".join(lines).split())


def test_nothing_is_said_to_change_where_nothing_did(fits: dict[str, Fit]) -> None:
    assert list(changes(fits["first"], fits["first"])) == ["nothing"]


def test_a_gap_that_changed_is_told_with_what_it_was_and_the_finding_it_makes(fits: dict[str, Fit]) -> None:
    """From 20 to 50 are 30 mm, 12 asked; to 30 are 10, which is 2 short."""
    told = flat(changes(fits["first"], fits["near"]))
    assert "new: caution: rail | sump: " in told
    assert "-2.0 18.0 10.0 30.0 rail | sump" in told
    assert "rail | pump" not in told
    assert "kg" not in told
    back = flat(changes(fits["near"], fits["first"]))
    assert "gone: caution: rail | sump: " in back
    assert "18.0 -2.0 30.0 10.0 rail | sump" in back


def test_a_mass_that_changed_is_told_with_what_it_was(fits: dict[str, Fit]) -> None:
    """5 x 20 x 40 mm of 7850 kg/m3 are 0.0314 kg, and 80 mm twice that."""
    assert "parts 0.063 kg, were 0.031: strip 0.063, was 0.031" in flat(changes(fits["first"], fits["heavy"]))


def test_what_changes_no_figure_is_no_change(fits: dict[str, Fit]) -> None:
    assert list(changes(fits["first"], fits["high"])) == ["nothing"]


def test_every_path_a_bay_names_is_watched_though_it_is_not_there(tmp_path: Path) -> None:
    path = bay(tmp_path)
    path.write_text('shop = "not_yet.toml"\n' + path.read_text())
    (tmp_path / "beside.py").write_text("")
    assert {path, *(tmp_path / name for name in ("mine.py", "beside.py", "not_yet.toml"))} <= watched(path)
    path.write_text("part = [")
    assert watched(path) == {path}


def test_a_save_while_the_first_run_goes_on_is_seen(tmp_path: Path) -> None:
    path, runs = tmp_path / "a", list[int]()
    path.write_text("1")

    async def saved() -> None:
        runs.append(len(runs))
        if len(runs) == 1:
            path.write_text("22")
        else:
            raise KeyError

    with pytest.raises(KeyError):
        asyncio.run(asyncio.wait_for(saves.watch(lambda: [path], saved, every=0.01, at_once=True), 60))
    assert runs == [0, 1]


def test_watching_as_json_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["fit", str(bay(tmp_path)), "--watch", "--json"]) == 2
    assert "--json = given, must be left out with --watch" in capsys.readouterr().err


class Watching:
    """The command in a process of its own, and what it has said so far."""

    def __init__(self, folder: Path) -> None:
        env = {**os.environ, FOLDER: str(folder / "kept"), "COLUMNS": "100", "PYTHONUNBUFFERED": "1"}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "brackets", "fit", "bay.toml", "--watch"],
            cwd=folder, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        )  # fmt: skip
        self.said: list[str] = []
        self._at = 0
        threading.Thread(target=self._read, daemon=True).start()

    def _read(self) -> None:
        assert self.process.stdout is not None
        with self.process.stdout as out:
            self.said.extend(iter(out.readline, ""))

    def until(self, words: str, seconds: float = 120) -> str:
        """What is said from here on until a line with the words."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            for n, one in enumerate(self.said[self._at :], self._at):
                if words in one:
                    new, self._at = "".join(self.said[self._at : n + 1]), n + 1
                    return new
            time.sleep(0.05)
        raise AssertionError("".join(self.said))


@pytest.mark.skipif(sys.platform == "win32", reason="sends POSIX signals")
def test_every_save_is_fitted_a_broken_file_does_not_end_it_and_ctrl_c_leaves_no_litter(tmp_path: Path) -> None:
    path = bay(tmp_path)
    watching = Watching(tmp_path)
    try:
        first = watching.until("watching; Ctrl-C ends it")
        assert "changed" not in first
        assert "nothing stops" in first
        facts = (tmp_path / "out" / "bay" / "facts.json").read_bytes()
        bay(tmp_path, low=30)
        assert "rail | sump" in watching.until("watching; Ctrl-C")
        assert (tmp_path / "out" / "bay" / "facts.json").read_bytes() != facts
        path.write_text("part = [")
        assert "bay.toml is not TOML" in " ".join(watching.until("is not TOML").replace(":", " ").split())
        bay(tmp_path, low=30, long=80)
        assert "strip 0.063, was 0.031" in watching.until("watching; Ctrl-C")
        bay(tmp_path, low=30, long=60)  # the recipe alone
        assert "strip 0.047, was 0.063" in watching.until("watching; Ctrl-C")
        watching.process.send_signal(signal.SIGINT)
        assert watching.process.wait(120) == 130
    finally:
        watching.process.kill()
    watching.until("stopped")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["bay.toml", "kept", "mine.py", "out"]
    assert [one.name for one in (tmp_path / "out").iterdir()] == ["bay"]
