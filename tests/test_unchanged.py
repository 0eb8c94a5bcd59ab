"""What did not change is not worked out again, and what comes out is that of a first run, to the last digit."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from brackets import fit, read_bay, recipe
from brackets.app.cli import make_cmd
from brackets.app.cli.app import main
from brackets.app.cli.kept_run import kept_run
from brackets.clearance import bodies
from brackets.core import ahead
from brackets.core import kept as store
from brackets.core.finding import GEOMETRY, Finding, Level
from brackets.drawing.record import Title
from brackets.forming.shop_file import default
from brackets.kernel import hidden_lines, mesh, shared, solids
from brackets.output import bay_files, cut_files, dxf, svg
from brackets.output.set_up import set_up_cuts

BAY = """format = 1
gap.fixed = {{ rest = 12, moved = 5, why = "ours, no source" }}
gap.line = {{ rest = 8, moved = 4, why = "ours, no source" }}
powertrain.crank = {{ at = [-240, 0, 120], axis = [0, 1, 0] }}
powertrain.moves = {{ about = "crank", roll = {roll}, up = 3, down = 3, fore = 4, aft = 4 }}
part = [{{ name = "tray", recipe = "bracket_tray", at = [-31, 0, 60], up = [1, 0, 0], width = {width} }}]
contact = [{{ pair = ["tray", "sheet"] }}]
path = [{{ name = "engine out", part = "powertrain", legs = [[0, 0, 250]] }}]
keep_out = [
    {{ name = "sheet", box = {{ from = [0, -200, 0], to = [5, 200, 300] }} }},
    {{ name = "hose", kind = "line", tube = {{ from = [-60, -200, {hose}], to = [-60, 200, 150], od = {od} }} }},
    {{ name = "engine", side = "powertrain", box = {{ from = [-400, -150, {low}], to = [-85, 150, 300] }} }},
    {{ name = "pump", side = "powertrain", tube = {{ from = [-120, 0, 200], to = [-80, 10, 200], od = 30 }} }},
]
"""
START: dict[str, float] = {"roll": 2, "width": 62, "hose": 150, "od": 20, "low": 20}
CHOICES: dict[str, tuple[float, ...]] = {
    "roll": (2, 3.5, 0), "width": (62, 58, 50.5), "hose": (150, 140, 133.25), "od": (20, 26, 52),
    "low": (20, 35, 58),
}  # fmt: skip


def exact(value: Any) -> Any:
    """A fitted bay's figures as text that differs where the last bit does."""
    if isinstance(value, np.ndarray):
        return [exact(one) for one in value.tolist()]
    if is_dataclass(value):
        return [(field.name, exact(getattr(value, field.name))) for field in fields(value)]
    if isinstance(value, tuple | list):
        return [exact(one) for one in value]
    return value.hex() if isinstance(value, float) else repr(value)


def forget() -> None:
    """Everything that this process has worked out, so that the next run is a first one."""
    store.flush()
    store.forget()
    solids.forget()
    bodies.forget()
    mesh._of_piece.cache_clear()
    shared._common.cache_clear()


def found(path: Path) -> Any:
    done = fit(read_bay(path))
    return exact((done.pairs, done.moved, done.paths, done.seats, done.findings, done.slacks))


def test_a_bay_in_which_one_value_changed_comes_out_as_on_a_first_run(
    keeping: Path, tmp_path: Path, fuzz: int, rng: Callable[[int], random.Random], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One value of the file after another, each fitted with all that is kept of those before, and without."""
    path, values = tmp_path / "bay.toml", dict(START)
    path.write_text(BAY.format(**values))
    found(path)
    for n in range(min(fuzz, 50) if fuzz > 20 else 4):
        key = rng(n).choice(sorted(CHOICES))
        values[key] = rng(n).choice([one for one in CHOICES[key] if one != values[key]])
        path.write_text(BAY.format(**values))
        forget()
        warm = found(path)
        forget()
        monkeypatch.setattr(store, "ENABLED", False)
        assert found(path) == warm, (key, values)
        monkeypatch.setattr(store, "ENABLED", True)


def files_of(path: Path, into: Path) -> dict[str, bytes]:
    bay_files.write(fit(read_bay(path)), into)
    return written(into)


@pytest.mark.fuzz
def test_the_files_of_a_changed_bay_are_those_of_a_first_run(
    keeping: Path, tmp_path: Path, fuzz: int, rng: Callable[[int], random.Random], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One value after another, all files written with what is kept of the bays before, and with nothing kept."""
    path, values = tmp_path / "bay.toml", dict(START)
    path.write_text(BAY.format(**values))
    files_of(path, tmp_path / "out")
    for n in range(min(fuzz, 50)):
        key = rng(n).choice(sorted(CHOICES))
        values[key] = rng(n).choice([one for one in CHOICES[key] if one != values[key]])
        path.write_text(BAY.format(**values))
        forget()
        warm = files_of(path, tmp_path / "out")
        forget()
        monkeypatch.setattr(store, "ENABLED", False)
        cold = files_of(path, tmp_path / "out")
        monkeypatch.setattr(store, "ENABLED", True)
        assert [name for name in {*warm, *cold} if warm.get(name) != cold.get(name)] == [], (key, values)


def test_a_finding_in_other_words_draws_nothing_anew(
    keeping: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A hose that is nearer changes what the tray's sheets say, and none of their drawings."""
    path = tmp_path / "bay.toml"
    path.write_text(BAY.format(**START))
    before = files_of(path, tmp_path / "out")
    path.write_text(BAY.format(**{**START, "hose": 100}))
    forget()
    for module, name in ((hidden_lines, "seen"), (cut_files, "drawn"), (dxf, "write"), (svg, "write")):
        monkeypatch.setattr(module, name, lambda *_, **__: pytest.fail("drawn anew"))
    after = files_of(path, tmp_path / "out")
    changed = {name for name in before if before[name] != after[name]}
    assert "tray.pdf" in changed
    assert not {name for name in changed if name.endswith((".dxf", ".svg", ".stl"))}


def test_set_up_sheets_are_drawn_once_for_all_that_is_said_of_a_part(
    keeping: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = recipe("cup_on_plate")
    part = made.build(made.Params())
    levels: tuple[Level, ...] = ("advice", "stop")
    said = [Finding(level=of, code="c", piece="", sentence=f"a {of}", source=GEOMETRY) for of in levels]
    one, other = Title(part="p", notes=("first",)), Title(part="p", notes=("other",), mind=("gloves",))
    first = set_up_cuts(part, one, said[:1], shop=default())
    store.forget()
    store.flush()
    monkeypatch.setattr(hidden_lines, "seen", lambda *_: pytest.fail("drawn anew"))
    again = set_up_cuts(part, other, said[1:], shop=default())
    sheets = [drawing for cut in again[:1] for drawing in cut.drawings]
    assert [one.strokes for one in sheets] == [one.strokes for cut in first[:1] for one in cut.drawings]
    assert {one.title.part for one in sheets} == {"p"}
    assert all(one.title.stops and one.title.findings == (str(said[1]),) for one in sheets)
    assert [one.title.notes for one in sheets if not one.name.startswith("set-up, welds")] == [("other",)] * 2


def run(*words: str, keep: Path) -> subprocess.CompletedProcess[str]:
    env = {**os.environ, store.FOLDER: str(keep), "COLUMNS": "100"}
    command = [sys.executable, "-m", "brackets", *words]
    return subprocess.run(command, env=env, capture_output=True, text=True, timeout=300)


def written(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_an_unchanged_fit_loads_no_kernel_and_writes_the_same(tmp_path: Path) -> None:
    path, keep = tmp_path / "bay.toml", tmp_path / "kept"
    path.write_text(BAY.format(**START))
    first = run("fit", str(path), "--into", str(tmp_path / "out"), keep=keep)
    assert first.returncode in (0, 1), first.stderr
    before = written(tmp_path / "out")
    shutil.rmtree(tmp_path / "out")
    code = "import sys; from brackets.__main__ import main; sys.argv[1:] = sys.argv[2:]\n"
    code += "try: main()\nfinally: print('OCP' in sys.modules, file=sys.stderr)"
    env = {**os.environ, store.FOLDER: str(keep), "COLUMNS": "100"}
    again = subprocess.run(
        [sys.executable, "-c", code, "-", "fit", str(path), "--into", str(tmp_path / "out")],
        env=env, capture_output=True, text=True, timeout=120,
    )  # fmt: skip
    assert again.stderr.split()[-1] == "False"
    assert (again.stdout, written(tmp_path / "out")) == (first.stdout, before)


def test_what_draws_is_not_loaded_until_something_is_drawn() -> None:
    """All of vtk is a fifth of what loading takes, and is there for whoever asks for it afterwards; a fit without
    files needs nothing that writes paper."""
    code = "import sys, brackets.bay.fitting, brackets.output.bay_files, brackets.output.set_up\n"
    code += "before = [name for name in sys.modules if 'vtkRendering' in name or name.startswith('reportlab')]\n"
    code += "import vtk; print(before, vtk.vtkRenderer.__name__)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=120)
    assert done.stdout.split() == ["[]", "vtkRenderer"], done.stderr


@pytest.mark.parametrize("what", ["bay", "shop", "recipe", "scan"])
def test_a_changed_input_is_seen(
    keeping: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], what: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "bay.toml"
    (tmp_path / "shop.toml").write_text('format = 1\nname = "ours"\nbrake = { length = 1000 }\n')
    (tmp_path / "mine.py").write_text(RECIPE.format(length=40))
    (tmp_path / "scan.stl").write_text(tetrahedron(20))
    path.write_text(
        'format = 1\nshop = "shop.toml"\n'
        'part = [{ name = "strip", recipe = "mine.py", side = "chassis", at = [0, 0, 0], up = [1, 0, 0] }]\n'
        'keep_out = [{ name = "scan", mesh = "scan.stl", unit = "mm", side = "powertrain", at = [0, 0, 100] }]\n'
    )
    words = ("fit", str(path), "--json", "--no-files")
    first = told(capsys, *words)
    forget()
    match what:
        case "bay":
            path.write_text(path.read_text().replace("100]", "90]"))
        case "shop":
            (tmp_path / "shop.toml").write_text('format = 1\nname = "theirs"\nbrake = { length = 200 }\n')
        case "recipe":
            (tmp_path / "mine.py").write_text(RECIPE.format(length=90))
        case _:
            (tmp_path / "scan.stl").write_text(tetrahedron(30))
    again = told(capsys, *words)
    forget()
    monkeypatch.setenv(store.FOLDER, str(tmp_path / "other"))
    assert again == told(capsys, *words) != first


@pytest.mark.skipif(sys.platform != "linux", reason="children work ahead on Linux only")
def test_a_second_processor_changes_no_figure(
    keeping: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The bay is fitted with all that a child works out ahead, and with nothing of it."""
    monkeypatch.setenv(store.FOLDER, "off")
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    monkeypatch.setattr(ahead, "LATE", 0.0)
    path = tmp_path / "bay.toml"
    path.write_text(BAY.format(**START))
    taken: list[str] = []
    monkeypatch.setattr(store, "_ARRIVED", Noted(taken))
    fits = []
    for cores in ("2", "1"):
        forget()
        monkeypatch.setenv(ahead.CORES, cores)
        with ahead.allowed():
            fits.append(found(path))
        assert bool(taken) is (cores == "2") or threading.active_count() > 1
        taken.clear()
    assert fits[0] == fits[1]


class Noted(dict[str, bytes]):
    """Results of a child, with those that were taken noted."""

    def __init__(self, taken: list[str]) -> None:
        super().__init__()
        self.taken = taken

    def pop(self, key: str, default: Any = None) -> Any:
        if key in self:
            self.taken.append(key)
        return super().pop(key, default)


def told(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert main(words) in (0, 1)
    return capsys.readouterr().out


@pytest.mark.parametrize("words", [("make", "cup", "--bush-od", "52"), ("flat", "gusset")])
def test_an_unchanged_part_loads_no_kernel_and_writes_the_same(
    keeping: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], words: tuple[str, ...], monkeypatch: Any
) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    words = (*words, "--into", str(tmp_path / "out"))
    first = told(capsys, *words)
    before = written(tmp_path / "out")
    store.flush()
    shutil.rmtree(tmp_path / "out")
    code = "import sys; from brackets.__main__ import main\n"
    code += "try: main()\nfinally: print('OCP' in sys.modules, file=sys.stderr)"
    again = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True, timeout=120)
    assert again.stderr.split()[-1] == "False"
    assert (again.stdout, written(tmp_path / "out")) == (first, before)
    assert len(before) >= 3


@pytest.mark.parametrize("what", ["recipe", "module", "list", "shop", "value", "hand", "width"])
def test_what_a_part_depends_on_is_seen_when_it_changes(
    keeping: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], what: str, monkeypatch: Any
) -> None:
    """`module`: a Python file beside the recipe, which it may import; `width`: of the screen."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    (tmp_path / "shop.toml").write_text('format = 1\nname = "ours"\nbrake = { length = 1000 }\n')
    (tmp_path / "mine.py").write_text(RECIPE.format(length=40))
    (tmp_path / "other.py").write_text("A = 1\n")
    (tmp_path / "list.csv").write_text("0,0\n30,0\n")
    words = ["make", "mine.py", "--no-files", "--holes", "@list.csv", "--shop", "shop.toml", "--long", "90"]
    made: list[int] = []
    true = make_cmd._made
    monkeypatch.setattr(make_cmd, "_made", lambda *given: (made.append(1), true(*given))[1])
    told(capsys, *words)
    told(capsys, *words)
    assert made == [1]
    match what:
        case "recipe":
            (tmp_path / "mine.py").write_text(RECIPE.format(length=50))
        case "module":
            (tmp_path / "other.py").write_text("A = 2\n")
        case "list":
            (tmp_path / "list.csv").write_text("0,0\n35,0\n")
        case "shop":
            (tmp_path / "shop.toml").write_text('format = 1\nname = "theirs"\nbrake = { length = 200 }\n')
        case "value":
            words[-1] = "80"
        case "hand":
            words += ["--hand", "right"]
        case _:
            monkeypatch.setenv("COLUMNS", "60")
    told(capsys, *words)
    assert made == [1, 1]


def test_a_screen_is_no_pipe(keeping: Path, capsys: pytest.CaptureFixture[str], monkeypatch: Any) -> None:
    """Sentences are wrapped on a screen and whole in a pipe, so one is not handed to the other."""
    work = lambda _: (str(sys.stdout.isatty()), 0, None)  # noqa: E731
    for tty in (True, False, True):
        monkeypatch.setattr(sys.stdout, "isatty", lambda tty=tty: tty)
        kept_run("test", work, lambda: (), writes=False)
    assert capsys.readouterr().out.split() == ["True", "False", "True"]


RECIPE = '''"""A strip."""
from dataclasses import dataclass
from typing import Annotated

from brackets import Checked, Part, Plate, Wall, mm, points, rectangle


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    long: Annotated[float, mm(10, 500, "length")] = {length}
    holes: Annotated[tuple[tuple[float, float], ...], points(2, "holes")] = ()


def check(p):
    return iter(())


def build(p):
    strip = Plate(name="strip", t=5.0, wall=Wall(outline=rectangle(p.long, 20.0)))
    return Part(name="strip", pieces=(strip,))
'''


def tetrahedron(size: float) -> str:
    a, b, c, d = (0, 0, 0), (size, 0, 0), (0, size, 0), (0, 0, size)
    lines = ["solid t"]
    for one in ((a, c, b), (a, b, d), (a, d, c), (b, c, d)):
        lines += ["facet normal 0 0 0", "outer loop"]
        lines += ["vertex " + " ".join(str(v) for v in spot) for spot in one]
        lines += ["endloop", "endfacet"]
    return "\n".join([*lines, "endsolid t", ""])
