"""Results kept by what they were worked out from: found again, never mixed up, lost without harm."""

from __future__ import annotations

import dataclasses
import enum
import json
import math
import os
import signal
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackets import Place, Plate, circle, recipe
from brackets.core import kept as store
from brackets.core.identity import UnknownContentError, identity, of_sources, program
from brackets.core.kept import kept
from brackets.model.plate import Wall


@dataclass(frozen=True)
class Held:
    a: float
    b: tuple[str, ...] = ()


@dataclass(frozen=True)
class Other:
    a: float
    b: tuple[str, ...] = ()


class Colour(enum.Enum):
    RED = 1
    BLUE = 2


def here() -> None: ...
def there() -> None: ...


APART: tuple[tuple[object, object], ...] = (
    (0.0, -0.0),
    (1, 1.0),
    (1, True),
    (1.0, math.nextafter(1.0, 2.0)),
    ("1", 1),
    ("", None),
    (b"a", "a"),
    (("ab", "c"), ("a", "bc")),
    ((1, (2, 3)), ((1, 2), 3)),
    ({"a": 1, "b": 2}, {"a": 2, "b": 1}),
    (np.zeros(3), np.zeros((3, 1))),
    (np.zeros(2), np.zeros(2, dtype=np.float32)),
    (np.array([1.0, 2.0]), np.array([2.0, 1.0])),
    (Held(1.0), Other(1.0)),
    (Held(1.0, ("x",)), Held(1.0, ("y",))),
    (Colour.RED, Colour.BLUE),
    (here, there),
    (frozenset({1, 2}), frozenset({1, 3})),
    (Place(at=(0, 0, 1)), Place(at=(0, 1, 0))),
)


@pytest.mark.parametrize(("one", "other"), APART)
def test_what_differs_has_another_identity(one: object, other: object) -> None:
    assert identity(one) != identity(other)


@pytest.mark.parametrize("one", [pair[0] for pair in APART])
def test_what_is_equal_has_the_same(one: Any) -> None:
    copied = one.copy() if isinstance(one, np.ndarray) else one
    if dataclasses.is_dataclass(one) and not isinstance(one, type):
        copied = dataclasses.replace(one)
    assert identity(one) == identity(copied)


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=3),
    lambda inner: st.lists(inner, max_size=3).map(tuple) | st.dictionaries(st.text(max_size=2), inner, max_size=3),
    max_leaves=6,
)


@given(VALUES, VALUES)
def test_two_values_have_one_identity_only_where_they_are_written_alike(one: object, other: object) -> None:
    assert (identity(one) == identity(other)) is (repr(one) == repr(other))


def test_a_figure_that_is_worked_out_is_the_one_that_is_typed() -> None:
    """40 and 40.0 are two values to what is kept: the tray's cups were made again, and all that lies by them."""
    tray = recipe("tray")
    worked_out = tray.Params()
    typed = tray.Params(cup_length=worked_out.cup_length, length=worked_out.length)
    assert [type(one.cup_length) for one in (worked_out, typed)] == [float, float]
    assert identity(tray.build(worked_out).pieces) == identity(tray.build(typed).pieces)


def test_a_value_whose_content_cannot_be_told_is_refused_and_its_result_is_not_kept(keeping: Path) -> None:
    made = []
    for value in (object(), lambda: 1, iter([1]), np.array([object()])):
        with pytest.raises(UnknownContentError):
            identity(value)
        assert kept("work", lambda: made.append(1), value) is None
        assert kept("work", lambda: made.append(1), value) is None
    assert len(made) == 8


def test_identities_are_the_same_in_another_process() -> None:
    code = "from brackets import recipe; from brackets.core.identity import identity, program;"
    code += "r = recipe('ears'); print(identity(r.build(r.Params())), program())"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120)
    ears = recipe("ears")
    assert ran.stdout.split() == [identity(ears.build(ears.Params())), program()]


def test_a_result_is_made_once_and_found_again_in_memory_and_on_disk(keeping: Path) -> None:
    made = []

    def make() -> tuple[int, float]:
        made.append(1)
        return len(made), 0.1 + 0.2

    first = kept("sum", make, 1, "a")
    assert kept("sum", make, 1, "a") is first
    store.flush()
    store.forget()
    again = kept("sum", make, 1, "a")
    assert again == first
    assert again is not first
    assert kept("sum", make, 1, "b") == (2, 0.1 + 0.2)
    assert kept("other sum", make, 1, "a") == (3, 0.1 + 0.2)


def test_none_is_a_result_too_and_an_error_is_not(keeping: Path) -> None:
    made = []

    def nothing() -> None:
        made.append(1)

    def fails() -> None:
        made.append(2)
        raise ValueError("no")

    for _ in range(2):
        assert kept("nothing", nothing, 1) is None
        store.flush()
        store.forget()
    assert made == [1]
    for _ in range(2):
        with pytest.raises(ValueError, match="no"):
            kept("fails", fails, 1)
    assert made == [1, 2, 2]


def test_a_changed_program_finds_nothing(keeping: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert kept("x", lambda: 1, 1) == 1
    monkeypatch.setattr(store, "program", lambda: "another")
    assert kept("x", lambda: 2, 1) == 2


def test_turned_off_nothing_is_written_or_remembered(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(store, "ENABLED", False)
    monkeypatch.setenv(store.FOLDER, str(tmp_path / "kept"))
    assert [kept("x", lambda n=n: n, 1) for n in range(2)] == [0, 1]  # type: ignore[misc]
    assert not (tmp_path / "kept").exists()


def damaged(path: Path) -> None:
    for file in path.rglob("*"):
        if file.is_file():
            file.write_bytes(b"not a database" * 100)


def test_a_damaged_store_costs_the_results_and_nothing_else(tmp_path: Path) -> None:
    here = tmp_path / "kept"
    code = "from brackets.core.kept import kept, flush; print(kept('x', lambda: 41 + 1, 1)); flush()"

    def run() -> str:
        env = {**os.environ, store.FOLDER: str(here)}
        return subprocess.run(
            [sys.executable, "-W", "error", "-c", code], env=env, capture_output=True, text=True, timeout=120
        ).stdout

    assert run() == "42\n"
    damaged(here)
    assert run() == "42\n"


@pytest.mark.skipif(sys.platform == "win32" or not hasattr(os, "geteuid"), reason="/dev/full is of Linux")
def test_a_folder_that_cannot_be_made_costs_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("in its place")
    monkeypatch.setattr(store, "ENABLED", True)
    monkeypatch.setenv(store.FOLDER, str(tmp_path / "file"))
    store.forget()
    assert kept("x", lambda: 5, "cannot be made") == 5
    store.flush()
    store.forget()
    assert (tmp_path / "file").read_text() == "in its place"


@pytest.mark.skipif(sys.platform == "win32", reason="kill -9 is of POSIX")
def test_a_killed_process_leaves_a_store_that_others_read(tmp_path: Path) -> None:
    env = {**os.environ, store.FOLDER: str(tmp_path / "kept")}
    code = "from brackets.core.kept import kept\nfor n in range(10**6): kept('x', lambda: n * n, n)"
    log = tmp_path / "kept" / "cache.db-wal"
    for wait in (0.0, 0.2):
        had, late = log.stat().st_mtime_ns if log.exists() else 0, time.monotonic() + 120
        with subprocess.Popen([sys.executable, "-c", code], env=env) as writer:
            while not (log.exists() and log.stat().st_mtime_ns != had) and time.monotonic() < late:
                time.sleep(0.01)
            time.sleep(wait)
            writer.send_signal(signal.SIGKILL)
    check = "from brackets.core.kept import kept\n"
    check += "assert [kept('x', lambda: n * n, n) for n in range(400)] == [n * n for n in range(400)]"
    subprocess.run([sys.executable, "-W", "error", "-c", check], env=env, check=True, timeout=120)


def test_two_processes_write_into_one_store_at_once(tmp_path: Path) -> None:
    env = {**os.environ, store.FOLDER: str(tmp_path / "kept")}
    code = "from brackets.core.kept import kept, flush\n"
    code += "assert [kept('x', lambda: n * n, n) for n in range(600)] == [n * n for n in range(600)]\nflush()"
    both = [subprocess.Popen([sys.executable, "-W", "error", "-c", code], env=env) for _ in range(2)]
    assert [one.wait(timeout=120) for one in both] == [0, 0]


def test_clearing_drops_memory_and_disk(keeping: Path) -> None:
    assert kept("x", lambda: 1, 1) == 1
    store.flush()
    assert store.clear() == 1
    assert kept("x", lambda: 2, 1) == 2


def test_a_solid_is_the_same_whether_it_was_made_or_read(keeping: Path) -> None:
    """The triangles that a body is cleared with, to the last bit."""
    from brackets.clearance import bodies
    from brackets.kernel import solids

    def triangles() -> tuple[Any, str]:
        solids.forget()
        bodies.forget()
        store.forget()
        ring = Plate(name="ring", t=5.0, wall=Wall(outline=circle((0.0, 0.0), 30.0), openings=()))
        made = bodies.body(solids.shape(ring), name="ring")
        return made.core.mesh.corners.copy(), made.core.identity()

    (first, one), _ = triangles(), store.flush()
    again, other = triangles()
    assert one == other
    assert np.array_equal(first, again)


def test_the_command_says_what_is_kept_and_drops_it(keeping: Path, capsys: pytest.CaptureFixture[str]) -> None:
    from brackets.app.cli.app import main

    assert kept("x", lambda: 1, 1) == 1
    assert main(["cache"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("1 results, ")
    assert said.rstrip().endswith(f"in {keeping}")
    assert main(["cache", "--clear"]) == 0
    assert capsys.readouterr().out == f"1 results dropped from {keeping}\n"
    assert main(["cache", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["results"] == 0


def test_the_command_says_where_nothing_is_kept(
    keeping: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from brackets.app.cli.app import main

    monkeypatch.setenv(store.FOLDER, "off")
    assert main(["cache"]) == 0
    assert capsys.readouterr().out == "nothing is kept: BRACKETS_CACHE is off\n"


@pytest.mark.parametrize("name", ["part.py", "rows.toml", "rows.csv", "inner/rows.json"])
def test_a_changed_source_or_table_is_another_program(tmp_path: Path, name: str) -> None:
    (tmp_path / "inner").mkdir()
    (tmp_path / name).write_text("1")
    (tmp_path / "page.css").write_text("1")
    before = of_sources(tmp_path)
    (tmp_path / "page.css").write_text("2")
    assert of_sources(tmp_path) == before
    (tmp_path / name).write_text("2")
    assert of_sources(tmp_path) != before
