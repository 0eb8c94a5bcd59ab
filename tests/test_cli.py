"""The command line as a whole: what it prints, what it returns, what it writes, and what it does not load."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
import textwrap
import time
from pathlib import Path
from typing import Any

import pytest
from preview_live import HEED

import brackets
from brackets.app.cli.app import VERBS, main
from brackets.app.cli.trouble import told

RING = '''
"""A ring: one turned piece, for trying things."""
from __future__ import annotations
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated
from brackets import Checked, Finding, Part, PRACTICE, Step, Turned, choice, mm, points

@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    od: Annotated[float, mm(10, 100, "outer diameter")] = 24.0
    bore: Annotated[float, mm(3, 90, "hole")] = 13.0
    t: Annotated[float, mm(0.5, 10, "thickness")] = 2.5
    lean: Annotated[float | None, mm(-9, 9, "how far it leans")] = None
    marks: Annotated[tuple[tuple[float, float], ...], points(2, "punch marks")] = ()
    end_finish: Annotated[str, choice(("sawn", "faced"), "how its ends are left")] = "sawn"

    def rules(self) -> Iterator[str]:
        if self.bore >= self.od:
            yield f"bore = {self.bore:g} mm, must be under od {self.od:g}: hole"

def check(p: Params) -> Iterator[Finding]:
    left = (p.od - p.bore) / 2
    if left < 2:
        yield Finding(level="stop", code="thin", piece="ring", sentence=f"{left:g} mm of ring left, at least 2",
                      source=PRACTICE, value=left, limit=2.0)
    elif left < 4:
        yield Finding(level="advice", code="thin", piece="ring", sentence="a thin ring", source=PRACTICE)

def build(p: Params) -> Part:
    return Part(name="ring", pieces=(Turned(name="ring", steps=(Step(length=p.t, od=p.od, bore=p.bore),)),))
'''


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to work in, with a small recipe, ring.py, in it."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    (tmp_path / "ring.py").write_text(RING, "utf-8")
    return tmp_path


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    """Status, what was printed, and what was said on the error stream."""
    status = main(arguments)
    out, err = capsys.readouterr()
    return status, out, err


SCRIPT = "import sys; from brackets.app.cli import main; sys.exit(main())"


def in_a_process(*arguments: str, **options: Any) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, which finds the package as this one did."""
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path), **options.pop("env", {})}
    streams = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE} | options
    command = [sys.executable, "-c", SCRIPT, *arguments]
    return subprocess.run(command, text=True, check=False, env=env, **streams)


# ------------------------------------------------------------------------------------------- help and lists


def test_no_verb_prints_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys) == run(capsys, "--help")
    assert run(capsys)[0] == 0


@pytest.mark.parametrize("verb", [[], *([name] for name, _ in VERBS)], ids=lambda verb: " ".join(verb))
def test_help_fits_80_columns_and_cuts_no_sentence(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, verb: list[str]
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    long, short = run(capsys, *verb, "--help"), run(capsys, *verb, "-h")
    assert long == short
    assert long[0] == 0
    lines = long[1].splitlines()
    assert max(map(len, lines)) <= 80
    assert [line for line in lines if line.endswith("...") and not line.startswith("Usage")] == []


def test_a_shell_completes_verbs_without_loading_numpy_or_the_kernel() -> None:
    asked = {"_BRACKETS_COMPLETE": "complete_bash", "COMP_WORDS": "brackets ma", "COMP_CWORD": "1"}
    code = (
        "import sys\nfrom brackets.app.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "print(*({'numpy', 'cadquery', 'OCP'} & set(sys.modules)))"
    )
    ended = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env={**os.environ, **asked}
    )
    assert ended.stdout.split() == ["make"]


def test_limits_left_by_the_others_are_shown_where_asked(capsys: pytest.CaptureFixture[str]) -> None:
    assert "62 to 114.3 mm" in run(capsys, "recipes", "cup", "--limits")[1]
    shown = json.loads(run(capsys, "recipes", "cup", "--limits", "--json")[1])
    by_name = {value["name"]: value for value in shown["values"]}
    assert (by_name["od"]["worked_out"], by_name["od"]["left"]) == (70.0, [62.0, 114.3])


def test_the_programs_own_example_makes_a_cup(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = run(capsys, "make", "cup", "--bush-od", "50", "--no-files", "--json")
    made = json.loads(out)
    assert (status, made["values"]["od"], made["worked_out"]) == (0, 60.0, ["od", "wall"])


def test_every_verb_is_listed_and_has_help(capsys: pytest.CaptureFixture[str]) -> None:
    from brackets.app.cli.app import VERBS

    listed = run(capsys, "--help")[1]
    for verb, _ in VERBS:
        assert f"\n  {verb} " in listed
        status, out, err = run(capsys, verb, "--help")
        assert (status, err) == (0, "")
        assert out.startswith(f"Usage: brackets {verb} ")


def test_the_version_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "--version") == (0, f"{brackets.__version__}\n", "")


def test_recipes_lists_every_shipped_recipe(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = run(capsys, "recipes")
    assert (status, err) == (0, "")
    assert [line.split()[0] for line in out.splitlines()[2:] if line[:1].strip()][
        : len(brackets.recipes())
    ] == list(brackets.recipes())
    listed = json.loads(run(capsys, "recipes", "--json")[1])
    assert listed["format"] == 1
    assert [entry["name"] for entry in listed["recipes"]] == list(brackets.recipes())


def test_recipes_shows_what_a_recipe_asks_for(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    status, out, _ = run(capsys, "recipes", "./ring.py")
    assert status == 0
    assert out.startswith("ring: A ring: one turned piece, for trying things.\n")
    rows = {line.split()[0]: line for line in out.splitlines() if line.startswith("--")}
    assert "24 mm" in rows["--od"]
    assert "10 to 100 mm" in rows["--od"]
    assert rows["--od"].endswith("outer diameter")
    assert rows["--lean"].endswith("how far it leans (or none)")
    assert "one of sawn, faced" in rows["--end-finish"]


def test_recipes_gives_scripts_the_same(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    shown = json.loads(run(capsys, "recipes", "ring.py", "--json")[1])
    assert (shown["format"], shown["recipe"]) == (1, "ring")
    by_name = {value["name"]: value for value in shown["values"]}
    assert by_name["od"] == {
        "name": "od",
        "kind": "length",
        "unit": "mm",
        "allowed": "must be 10 to 100 mm",
        "range": [10.0, 100.0, 1.0],
        "choices": [],
        "default": 24.0,
        "worked_out": None,
        "required": False,
        "optional": False,
        "meaning": "outer diameter",
        "takes": None,
    }
    assert by_name["end_finish"]["choices"] == ["sawn", "faced"]


def test_make_help_with_a_recipe_shows_its_values(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    status, out, _ = run(capsys, "make", "ring.py", "--help")
    assert status == 0
    assert out.startswith("Usage: brackets make ")
    assert "\n--end-finish " in out


HEAVY = "('numpy', 'scipy', 'cadquery', 'OCP', 'trimesh', 'fcl', 'manifold3d')"


@pytest.mark.parametrize(
    "arguments", [["--help"], ["recipes"], ["make", "--help"], ["recipes", "ring.py"]], ids=" ".join
)
def test_help_and_recipes_load_neither_numpy_nor_the_kernel(
    here: Path, monkeypatch: pytest.MonkeyPatch, arguments: list[str]
) -> None:
    script = (
        "import sys; from brackets.app.cli import main; status = main(sys.argv[1:])\n"
        f"print(status, [m for m in {HEAVY} if m in sys.modules], file=sys.stderr)"
    )
    monkeypatch.setattr(sys.modules[__name__], "SCRIPT", script)
    assert in_a_process(*arguments).stderr == "0 []\n"


# ---------------------------------------------------------------------------------------------------- make


def test_make_prints_mass_findings_and_what_was_not_stated(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    status, out, err = run(capsys, "make", "ring.py", "--od", "20", "--no-files")
    assert (status, err) == (0, "")
    assert "mass               0.004 kg" in out
    assert "centroid           x 0.0  y 0.0  z 1.2 mm" in out or "z 1.3 mm" in out
    assert "not stated by you  bore 13 mm, t 2.5 mm, lean none, marks none, end_finish sawn" in out
    assert "advice  ring: a thin ring [common practice, no source]" in out
    assert [path.name for path in here.iterdir()] == ["ring.py"]


def test_make_json_has_the_keys_scripts_rely_on(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    status, out, err = run(capsys, "make", "--json", "ring.py", "--bore=1/2in", "--no-files")
    made = json.loads(out)
    assert (status, err) == (0, "")
    keys = {"format", "recipe", "values", "mass_kg", "centroid_mm", "inertia_kg_mm2", "pieces", "findings", "files"}
    assert keys <= set(made)
    assert (made["format"], made["recipe"]) == (1, "ring")
    assert made["values"]["bore"] == 12.7
    volume = 3.141592653589793 / 4 * (24**2 - 12.7**2) * 2.5
    assert made["mass_kg"] == pytest.approx(volume * 7850e-9, rel=1e-11)  # twelve digits are written
    assert made["centroid_mm"] == pytest.approx([0, 0, 1.25])
    assert [len(row) for row in made["inertia_kg_mm2"]] == [3, 3, 3]
    assert [piece["name"] for piece in made["pieces"]] == ["ring"]
    assert made["pieces"][0]["volume_mm3"] == pytest.approx(volume, rel=1e-11)
    assert made["files"] == []


def test_the_values_of_make_json_make_the_same_part_again(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    from brackets.core.schema.reading import from_mapping

    arguments = ("make", "ring.py", "--marks", "-5,1 2,3", "--lean", "-3", "--no-files", "--json")
    made = json.loads(run(capsys, *arguments)[1])
    opened = brackets.recipe("ring.py")
    again = from_mapping(opened.Params, made["values"])
    assert again == opened.Params(marks=((-5, 1), (2, 3)), lean=-3)


def test_a_finding_that_stops_gives_status_1(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    status, out, _ = run(capsys, "make", "ring.py", "--bore", "22", "--no-files")
    assert status == 1
    assert "STOP: do not cut  ring: 1 mm of ring left, at least 2" in out
    assert run(capsys, "make", "ring.py", "--bore", "22", "--no-files", "--json")[0] == 1


def test_options_stand_anywhere(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    orders = (
        ("make", "--od", "30", "ring.py", "--json", "--no-files"),
        ("make", "--json", "--od=30", "--no-files", "ring.py"),
        ("make", "ring.py", "--no-files", "--json", "--od", "30 mm"),
        ("make", "ring.py", "--no-files", "--json", "--od", "3 cm", "--bare", "in"),
    )
    assert {run(capsys, *order)[1] for order in orders} == {run(capsys, *orders[0])[1]}


def test_bare_numbers_may_be_inches(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    arguments = ("make", "ring.py", "--no-files", "--json", "--bare", "in", "--od", "1-1/4in", "--bore", ".5")
    values = json.loads(run(capsys, *arguments)[1])["values"]
    assert (values["od"], values["bore"], values["t"]) == (31.75, 12.7, 2.5)


def test_make_writes_a_folder_and_only_there(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    status, out, err = run(capsys, "make", "ring.py", "--json")
    assert (status, err) == (0, "")
    files = json.loads(out)["files"]
    assert {"ring.step", "ring.stl", "facts.json"} <= set(files)
    assert sorted(path.name for path in here.iterdir()) == ["out", "ring.py"]
    assert sorted(path.name for path in (here / "out" / "ring").iterdir()) == sorted(files)
    facts = json.loads((here / "out" / "ring" / "facts.json").read_text("utf-8"))
    assert facts["mass_kg"] == json.loads(out)["mass_kg"]


def test_make_again_writes_the_same_bytes_elsewhere(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    for name in ("a", "b"):
        assert run(capsys, "make", "ring.py", "--into", name)[0] == 0
    for path in (here / "a").iterdir():
        assert path.read_bytes() == (here / "b" / path.name).read_bytes()


# --------------------------------------------------------------------------------------------- what is wrong

WRONG: dict[str, tuple[list[str], list[str]]] = {
    "verb": (["mak"], ["No such command 'mak'. Did you mean 'make'? (brackets --help)"]),
    "option": (["recipes", "--jsn"], ["No such option: --jsn"]),
    "no file to measure": (["measure"], ["Missing argument 'FILE'. (brackets --help)"]),
    "no recipe": (["make"], ["recipe = nothing, must be given: brackets make cup --bush-od 50"]),
    "unknown recipe": (["make", "eers"], ['recipe = "eers", no such recipe, nearest: ears; there are adaptor']),
    "unknown recipe shown": (["recipes", "cub"], ['recipe = "cub", no such recipe, nearest: cup; there are']),
    "missing file": (["make", "no/ring.py"], ["{here}/no/ring.py: no such file, must be a recipe"]),
    "two recipes": (["make", "ring.py", "cup"], ['recipe = "ring.py cup", must be one word']),
    "unknown value": (["make", "ring.py", "--bor", "3"], ["bor: no such value, nearest: bore"]),
    "no value": (["make", "ring.py", "--bore"], ["--bore = nothing, must be followed by a value: --bore VALUE"]),
    "value forgotten": (
        ["make", "ring.py", "--bore", "--t", "3"],
        ["--bore = nothing, must be followed by a value: --bore VALUE"],
    ),
    "twice": (["make", "ring.py", "--t", "1", "--t", "2"], ["--t = 2, must be given once: it is there twice"]),
    "unit": (["make", "ring.py", "--od", "3 kg"], ['od = "3 kg", must be a length such as 45 mm']),
    "fraction": (["make", "ring.py", "--t", "5/16"], ['t = "5/16": a bare fraction, write 5/16in if']),
    "gauge": (["make", "ring.py", "--t", "10 ga"], ['t = "10 ga": a gauge is not a length, write what it is']),
    "nan": (["make", "ring.py", "--t", "nan"], ['t = "nan", must be a length such as']),
    "negative": (["make", "ring.py", "--t", "-3"], ["t = -3 mm, must be 0.5 to 10 mm: thickness"]),
    "too big in inches": (["make", "ring.py", "--t", "2in"], ["t = 50.8 mm (2in), must be 0.5 to 10 mm"]),
    "choice": (["make", "ring.py", "--end-finish", "cut"], ['end_finish = "cut", must be one of sawn, faced']),
    "points": (["make", "ring.py", "--marks", "1,2 3"], ['marks 2 = "3", must be 2 coordinates (x, y)']),
    "points file": (["make", "ring.py", "--marks", "@no.csv"], ['marks = "@no.csv", no such file, must be a list']),
    "relation": (["make", "ring.py", "--bore", "30"], ["bore = 30 mm, must be under od 24: hole; 3 mm to"]),
    "bare": (["make", "ring.py", "--bare", "ft"], ['--bare = "ft", must be mm or in']),
    "two wrong": (
        ["make", "ring.py", "--t", "99", "--od", "NaN"],
        ["t = 99 mm, must be 0.5 to 10 mm: thickness", 'od = "NaN", must be a length such as'],
    ),
    "everything wrong": (
        ["make", "ring.py", "--bare", "ft", "--bor", "1", "--t", "99", "--od"],
        ["--od = nothing", '--bare = "ft"', "bor: no such value", "t = 99 mm"],
    ),
    "no recipe at all": (["make", "empty.py"], ["{here}/empty.py: has no Params and no build, must have"]),
    "no build": (["make", "half.py"], ["{here}/half.py: has no build, must have: Params and build(p)"]),
    "syntax": (["make", "broken.py"], ["{here}/broken.py:2: invalid syntax"]),
    "raises": (["make", "raises.py"], ["{here}/raises.py:1: RuntimeError: not today, while loading"]),
    "build raises": (["make", "late.py"], ["{here}/late.py:{late}: KeyError: 'x', while building"]),
    "build returns nothing": (["make", "none.py"], ["{here}/none.py: build returned nothing, must be: Part"]),
    "into a file": (
        ["make", "ring.py", "--into", "ring.py"],
        ["folder = {here}/ring.py, must be a folder: it is a file"],
    ),
}


@pytest.fixture
def wrong_files(here: Path) -> Path:
    build = RING.index("    return Part")
    (here / "empty.py").write_text("", "utf-8")
    (here / "half.py").write_text(RING[: RING.index("def build")], "utf-8")
    (here / "broken.py").write_text("x = 1\nx = = 2\n", "utf-8")
    (here / "raises.py").write_text("raise RuntimeError('not today')\n", "utf-8")
    (here / "late.py").write_text(RING[:build] + "    return {}['x']\n", "utf-8")
    (here / "none.py").write_text(RING[:build] + "    return None\n", "utf-8")
    return here


@pytest.mark.parametrize("case", WRONG)
def test_wrong_input_gets_one_clear_line_each_and_status_2(
    capsys: pytest.CaptureFixture[str], wrong_files: Path, case: str
) -> None:
    arguments, lines = WRONG[case]
    before = sorted(wrong_files.rglob("*"))
    status, out, err = run(capsys, *arguments)
    said = err.splitlines()
    assert (status, out) == (2, "")
    assert len(said) == len(lines)
    late = RING[: RING.index("    return Part")].count("\n") + 1
    for wanted, line in zip(lines, said, strict=True):
        assert line.startswith(wanted.format(here=wrong_files, late=late))
    assert sorted(wrong_files.rglob("*")) == before


# ----------------------------------------------------------------------------- interrupted, full, cut short


@pytest.mark.skipif(sys.platform == "win32", reason="Windows sends Ctrl-C to a whole console, not to one program")
def test_ctrl_c_stops_with_130_and_writes_nothing(here: Path) -> None:
    (here / "slow.py").write_text(RING.replace("def build(p", "def built(p") + textwrap.dedent("""
        def build(p):
            import time
            open("started", "w").close()
            time.sleep(1e6)
        """), "utf-8")  # fmt: skip
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, "-c", f"{HEED}; {SCRIPT}", "make", "slow.py"]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env)
    deadline = time.monotonic() + 120
    while not (here / "started").exists() and time.monotonic() < deadline:
        time.sleep(0.02)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=120)
    assert (process.returncode, out, err) == (130, "", "stopped, nothing written\n")
    assert sorted(path.name for path in here.iterdir()) == ["ring.py", "slow.py", "started"]


def test_ctrl_c_while_options_are_read_stops_too(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from brackets.app.cli import app

    def pressed(asked: bool) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(app, "_options", lambda: pressed(True))
    monkeypatch.setattr(app, "command", app.command.__wrapped__)
    assert run(capsys, "recipes") == (130, "", "stopped, nothing written\n")


def test_a_full_disk_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(OSError(errno.ENOSPC, "No space left on device", "out/ring/ring.step")) == 1
    assert capsys.readouterr().err == "the disk is full: no room for out/ring/ring.step, nothing written\n"
    assert told(OSError(errno.ENOSPC, "No space left on device")) == 1
    assert capsys.readouterr().err == "the disk is full: no room, nothing written\n"


def test_a_folder_one_may_not_write_to_is_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(PermissionError(errno.EACCES, "Permission denied", "out/ring")) == 2
    assert capsys.readouterr().err == "out/ring: Permission denied, nothing written\n"


def test_a_kernel_that_gives_up_is_one_line_and_status_1(capsys: pytest.CaptureFixture[str]) -> None:
    from brackets.core.errors import KernelFailed

    assert told(KernelFailed("ear", "cut", "d 12 mm", "no solid")) == 1
    assert capsys.readouterr().err == (
        "the solid kernel gave up, nothing written: ear: cut (d 12 mm) failed: no solid\n"
    )


def test_our_own_mistake_is_not_hidden() -> None:
    with pytest.raises(OSError, match="handle"):
        told(OSError(errno.EBADF, "handle"))


@pytest.mark.skipif(sys.platform == "win32", reason="Windows does not let go of a folder somebody stands in")
def test_a_folder_that_is_gone_under_ones_feet_is_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    assert told(FileNotFoundError(errno.ENOENT, "No such file or directory")) == 2
    said = capsys.readouterr().err
    assert said == "the folder you stand in is gone: change to one that is there; nothing written\n"


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_a_full_disk_behind_our_output_is_one_line(here: Path) -> None:
    with open("/dev/full", "w") as full:
        ran = in_a_process("recipes", stdout=full)
    assert ran.returncode == 1
    assert ran.stderr.splitlines()[0] == "the disk is full: no room, nothing written"
    assert "Traceback" not in ran.stderr


@pytest.mark.skipif(os.name == "nt", reason="no such pipes there")
def test_a_reader_that_goes_away_is_no_trouble(here: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    with os.fdopen(writing, "w") as gone:
        ran = in_a_process("recipes", stdout=gone)
    assert (ran.returncode, ran.stderr) == (141, "")


def test_letters_a_terminal_cannot_show_do_not_stop_anything(here: Path) -> None:
    (here / "ring.py").write_text(RING.replace("how it leans", "Ø × µ"), "utf-8")
    ran = in_a_process("recipes", "ring.py", env={"PYTHONIOENCODING": "ascii"})
    assert (ran.returncode, ran.stderr) == (0, "")


def test_no_value_of_a_recipe_can_be_mistaken_for_an_option_of_a_verb() -> None:
    import typer.main

    from brackets.app.cli.app import OPEN_ENDED, build
    from brackets.library.recipe_shape import RESERVED

    verbs = typer.main.get_command(build()).commands  # type: ignore[attr-defined]
    for verb in OPEN_ENDED:
        options = {opt for param in verbs[verb].params for opt in param.opts if opt.startswith("--")}
        assert len(options) >= 2
        assert {opt[2:].replace("-", "_") for opt in options} <= RESERVED


def test_a_folder_that_is_not_ours_is_left_alone(capsys: pytest.CaptureFixture[str], here: Path) -> None:
    (here / "photos").mkdir()
    (here / "photos" / "one.jpg").write_bytes(b"x")
    status, out, err = run(capsys, "make", "ring.py", "--into", "photos")
    assert (status, out) == (2, "")
    assert err.startswith(f"folder = {here / 'photos'}, must be new, empty or written by this program")
    assert [path.name for path in (here / "photos").iterdir()] == ["one.jpg"]


def test_a_part_that_must_not_be_cut_is_written_all_the_same(
    capsys: pytest.CaptureFixture[str], here: Path
) -> None:
    assert run(capsys, "make", "ring.py", "--bore", "22")[0] == 1
    facts = json.loads((here / "out" / "ring" / "facts.json").read_text("utf-8"))
    assert [finding["level"] for finding in facts["findings"]] == ["stop"]
    assert set(facts["sha256"]) == {"ring.step", "ring.stl", "ring.3mf", "ring.glb", "ring.pdf"}


def test_a_kernel_that_fails_half_way_leaves_the_last_files(
    capsys: pytest.CaptureFixture[str], here: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from brackets.core.errors import KernelFailed
    from brackets.output import stl

    assert run(capsys, "make", "ring.py")[0] == 0
    before = {path.name: path.read_bytes() for path in (here / "out" / "ring").iterdir()}

    def fails(*_: object) -> None:
        raise KernelFailed("ring", "mesh", "od 24 mm", "no triangles")

    monkeypatch.setattr(stl, "write", fails)
    status, out, err = run(capsys, "make", "ring.py", "--od", "30")
    assert (status, out) == (1, "")
    assert err == "the solid kernel gave up, nothing written: ring: mesh (od 24 mm) failed: no triangles\n"
    assert {path.name: path.read_bytes() for path in (here / "out" / "ring").iterdir()} == before
    assert [path.name for path in (here / "out").iterdir()] == ["ring"]
