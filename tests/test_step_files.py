"""Foreign STEP files are read in a process of their own: a damaged one is one line, not the end of the program."""

from __future__ import annotations

import math
import random
import subprocess
import sys
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import cadquery as cq
import pytest
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopoDS import TopoDS_Shape

from brackets.bay import file as bay_file
from brackets.bay.stand import step_child, step_files
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.core import kept
from brackets.core.errors import InputError
from brackets.kernel.brep import content_of

VOLUME = 40 * (90 * 60 - (4 - math.pi) * 8**2 - math.pi * 11**2)
"""mm3 of the block, in closed form."""


@pytest.fixture(autouse=True)
def patient(monkeypatch: pytest.MonkeyPatch) -> None:
    """A busy machine may take minutes to load the kernel in a child; what hangs is tried with a wait of its own."""
    monkeypatch.setattr(step_files, "WAIT", 60.0)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A block with rounded edges and a hole, as STEP."""
    made = cq.Workplane().box(90, 60, 40).edges("|Z").fillet(8).faces(">Z").workplane().hole(22)
    path = tmp_path_factory.mktemp("step") / "block.step"
    cq.exporters.export(made, str(path))
    return path.read_bytes()


def read(folder: Path, data: bytes, name: str = "x.step") -> step_files.Found:
    (folder / name).write_bytes(data)
    return step_files.read(folder / name, named=f"step = {name}", tolerance=0.05)


def volume(shape: TopoDS_Shape) -> float:
    sums = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, sums)
    return float(sums.Mass())


def test_a_whole_file_is_the_same_solid_and_is_read_once(
    tmp_path: Path, whole: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    shape, doubts = read(tmp_path, whole)
    assert doubts == ()
    assert volume(shape) == pytest.approx(VOLUME, rel=1e-9)
    monkeypatch.setattr(step_files, "_by_child", None)
    again = step_files.read(tmp_path / "x.step", named="step", tolerance=0.05)
    assert again[0] is shape


def test_a_file_is_read_once_for_all_processes_and_a_changed_one_anew(
    tmp_path: Path, whole: bytes, keeping: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Kept by its content: under another name, read by another process, with nothing remembered."""
    first = read(tmp_path, whole)
    children: list[object] = []
    ordinary = subprocess.run
    monkeypatch.setattr(subprocess, "run", lambda *a, **k: children.append(a) or ordinary(*a, **k))
    for name in ("x.step", "y.step"):
        step_files._READ.clear()
        kept.forget()
        kept.flush()
        again = read(tmp_path, whole, name)
        assert (content_of(again[0]), again[1]) == (content_of(first[0]), first[1])
    assert not children
    read(tmp_path, whole.replace(b"END-ISO", b"\nEND-ISO"), "x.step")
    assert len(children) == 1
    step_files.read(tmp_path / "x.step", named="step", tolerance=0.1)
    assert len(children) == 2


def test_a_file_that_changes_while_it_is_read_is_not_kept(
    tmp_path: Path, whole: bytes, keeping: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ordinary = subprocess.run

    def meanwhile(*args: Any, **kwargs: Any) -> Any:
        done = ordinary(*args, **kwargs)
        (tmp_path / "x.step").write_bytes(whole + b"\n")
        return done

    monkeypatch.setattr(subprocess, "run", meanwhile)
    with pytest.raises(InputError, match="x.step, changed while it was read: start again"):
        read(tmp_path, whole)
    assert kept.amount()[0] == 0


@pytest.mark.parametrize(
    ("spoil", "line"),
    [
        (lambda d: d[: len(d) // 2], "is cut short: it does not end with END-ISO-10303-21"),
        (
            lambda d: b"solid\n" + b"x" * 2000 + d[2000:],
            "cannot be read as STEP: it does not begin with ISO-10303-21",
        ),
        (lambda d: b"", "cannot be read as STEP"),
        (lambda d: d.replace(b"ADVANCED_BREP_SHAPE_REPRESENTATION", b"SHAPE_NOTHING"), "has no shape in it"),
    ],
)
def test_a_file_that_is_no_whole_step_is_one_line(
    tmp_path: Path, whole: bytes, spoil: Callable[[bytes], bytes], line: str
) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, spoil(whole))
    assert len(caught.value.problems) == 1
    assert str(caught.value).startswith(f"step = x.step, {line}")


def test_a_file_written_anew_is_read_anew_and_one_too_large_to_be_meant_is_refused(tmp_path: Path) -> None:
    """Coordinates of 1e30 ended in an assertion, or in a foul with fifty figures."""
    path = tmp_path / "x.step"
    for size in (10.0, 4e5):
        cq.exporters.export(cq.Workplane().box(size, size, size), str(path))
        if size < 1e5:
            assert volume(step_files.read(path, named="step", tolerance=0.05)[0]) == pytest.approx(size**3)
    with pytest.raises(InputError, match="must be within 100000 mm: is the unit in the file right\\?"):
        step_files.read(path, named="step = x.step", tolerance=0.05)


CHILDREN = {
    "import os; os.kill(os.getpid(), 11)": "ended its reader (signal 11, SIGSEGV): the file is damaged",
    "raise MemoryError": "ended its reader (status 1): the file is damaged, or takes more than 1.5 GB",
    "import time; time.sleep(1e6)": "was not read in 2 s: damaged or too large",
}


@pytest.mark.skipif(sys.platform == "win32", reason="signals as POSIX has them")
@pytest.mark.parametrize("does", CHILDREN)
def test_a_reader_that_crashes_hangs_or_runs_out_of_memory_is_one_line(
    tmp_path: Path, whole: bytes, monkeypatch: pytest.MonkeyPatch, does: str
) -> None:
    (tmp_path / "child.py").write_text(does, "ascii")
    monkeypatch.setattr(step_child, "__file__", str(tmp_path / "child.py"))
    monkeypatch.setattr(step_files, "WORK", (1.0, 0.0))
    monkeypatch.setattr(step_files, "WAIT", 2.0 if "sleep" in does else 120.0)
    with pytest.raises(InputError) as caught:
        read(tmp_path, whole)
    assert str(caught.value) == f"step = x.step, {CHILDREN[does]}"


@pytest.mark.skipif(sys.platform != "linux", reason="limits as Linux has them")
def test_a_reader_that_works_on_for_ever_is_ended_by_its_limit(
    tmp_path: Path, whole: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = Path(step_child.__file__)
    loop = (
        f"import sys; sys.path.insert(0, {str(source.parent)!r})\nimport step_child\nstep_child.limit(1, 10**8)\n"
    )
    (tmp_path / "child.py").write_text(loop + "while True: pass\n", "ascii")
    monkeypatch.setattr(step_child, "__file__", str(tmp_path / "child.py"))
    with pytest.raises(InputError, match="ended its reader after 8 s of work: the file is damaged or too large"):
        read(tmp_path, whole)
    (tmp_path / "child.py").write_text(loop + "x = bytearray(10**9)\n", "ascii")
    with pytest.raises(InputError, match="ended its reader \\(status 1\\)"):
        read(tmp_path, whole + b"\n", "y.step")


@pytest.fixture
def children(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Of each child that is started, how many files it is given."""
    found: list[int] = []
    ordinary = subprocess.run

    def counted(words: list[str], **kwargs: Any) -> Any:
        found.append((len(words) - 5) // 3)
        return ordinary(words, **kwargs)

    monkeypatch.setattr(subprocess, "run", counted)
    return found


def several(folder: Path, whole: bytes) -> list[Path]:
    """A solid in mm, one whose file is in metres, and two solids in one file."""
    metres = whole.replace(b"SI_UNIT(.MILLI.,.METRE.)", b"SI_UNIT($,.METRE.)")
    assert metres != whole
    rod = cq.Solid.makeCylinder(5, 40, cq.Vector(50, 0, 0))
    pair = cq.Compound.makeCompound([cq.Solid.makeBox(10, 20, 30), rod])
    (folder / "a.step").write_bytes(whole)
    (folder / "b.step").write_bytes(metres)
    cq.exporters.export(cq.Workplane(pair), str(folder / "c.step"))
    return [folder / f"{name}.step" for name in "abc"]


def digest(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()


def told(path: Path) -> step_files.Told:
    return step_files._told(path, digest(path), path.name, 0.05)


def test_several_files_are_read_in_one_child_to_the_byte_as_each_alone(
    tmp_path: Path, whole: bytes, children: list[int]
) -> None:
    """Those that follow another in the child: what the kernel keeps of a file before is no part of them."""
    paths = several(tmp_path, whole)
    alone = [told(path) for path in paths[1:]]
    assert children == [1, 1]
    step_files.read_together([*paths, paths[0]], 0.05)
    assert children[2:] == [3]
    assert [told(path) for path in paths[1:]] == alone
    shape, _ = step_files.read(paths[0], named="a", tolerance=0.05)
    assert volume(shape) == pytest.approx(VOLUME, rel=1e-9)
    assert len(children) == 3
    assert not step_files._TOGETHER


def test_only_files_that_are_not_known_are_read_together(
    tmp_path: Path, whole: bytes, keeping: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One is kept: of three two are read; once another is, the last is left to be read alone. Of another
    tolerance none is known."""
    asked: list[tuple[float, list[str]]] = []
    monkeypatch.setattr(
        step_files, "_child", lambda files, tolerance: asked.append((tolerance, [path.name for path, _ in files]))
    )
    paths = several(tmp_path, whole)
    for path in paths[:2]:
        kept.kept(step_files.WORD, lambda: ("", b""), digest(path), 0.05, in_memory=False)
        step_files.read_together(paths, 0.05)
    step_files.read_together(paths, 0.1)
    assert asked == [(0.05, ["b.step", "c.step"]), (0.1, ["a.step", "b.step", "c.step"])]


def test_a_file_that_changes_while_several_are_read_is_left_to_be_read_alone(
    tmp_path: Path, whole: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    def meanwhile(files: list[tuple[Path, Path]], _tolerance: float) -> None:
        for _, out in files:
            out.write_bytes(b"shape")
            out.with_suffix(".txt").write_text("told", "utf-8")
        files[1][0].write_bytes(whole + b"\n")

    monkeypatch.setattr(step_files, "_child", meanwhile)
    paths = several(tmp_path, whole)
    step_files.read_together(paths, 0.05)
    assert list(step_files._TOGETHER) == [(digest(path), 0.05) for path in (paths[0], paths[2])]
    step_files._TOGETHER.clear()


def test_a_file_that_is_refused_stops_none_after_it_and_one_that_breaks_the_child_none_before_it(
    tmp_path: Path, whole: bytes, children: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of four the first is refused and the third ends the child; what it came through is read by no other."""
    paths = [tmp_path / "0.step", *several(tmp_path, whole)]
    paths[0].write_bytes(whole.replace(b"ADVANCED_BREP_SHAPE_REPRESENTATION", b"SHAPE_NOTHING"))
    source = Path(step_child.__file__).read_text("utf-8")
    breaks = '    if source.endswith("b.step"): os.abort()\n    from OCP.BinTools'
    (tmp_path / "child.py").write_text(source.replace("    from OCP.BinTools", breaks, 1), "utf-8")
    monkeypatch.setattr(step_child, "__file__", str(tmp_path / "child.py"))
    step_files.read_together(paths, 0.05)
    assert list(step_files._TOGETHER) == [(digest(paths[1]), 0.05)]
    assert step_files.read(paths[1], named="a", tolerance=0.05)[1] == ()
    assert children == [4]
    with pytest.raises(InputError, match="^0, has no shape in it$"):
        step_files.read(paths[0], named="0", tolerance=0.05)
    with pytest.raises(InputError, match="^b, ended its reader"):
        step_files.read(paths[2], named="b", tolerance=0.05)
    assert children == [4, 1, 1]


def test_a_bay_reads_its_files_in_one_child(tmp_path: Path, whole: bytes, children: list[int]) -> None:
    paths = several(tmp_path, whole)
    rows = "".join(f'[[keep_out]]\nname = "{path.stem}"\nstep = "{path.name}"\n' for path in paths)
    bay = tmp_path / "bay.toml"
    bay.write_text(f"format = 1\n{rows}", "utf-8")
    bodies = bay_bodies(placed_bay(bay_file.read(bay)))
    assert [body.name for body in bodies] == ["a", "b", "c"]
    assert children == [3]


@pytest.mark.skipif(sys.platform != "linux", reason="limits as Linux has them")
def test_the_limits_of_one_file_are_not_those_of_the_next() -> None:
    """Each may take as much work and memory as it would alone, whatever those before it took: 3.7 s here."""
    asks = (
        f"import sys, resource, types; sys.path.insert(0, {str(Path(step_child.__file__).parent)!r})\n"
        "import step_child\nkinds = resource.RLIMIT_CPU, resource.RLIMIT_AS\n"
        "for used, seconds, room in ((0, 1, 10**8), (3.7, 7, 10**9)):\n"
        "    resource.getrusage = lambda _: types.SimpleNamespace(ru_utime=used, ru_stime=0)\n"
        "    step_child.limit(seconds, room)\n"
        "    print(*(resource.getrlimit(kind)[0] for kind in kinds))\n"
    )
    done = subprocess.run([sys.executable, "-c", asks], capture_output=True, text=True, check=True)
    first, second = ([int(word) for word in line.split()] for line in done.stdout.splitlines())
    assert (first[0], second[0]) == (1, 4 + 7)
    assert second[1] - first[1] >= 8 * 10**8


def changed(rng: random.Random, data: bytes) -> bytes:
    """Sixty bytes of it changed, or its end or middle gone."""
    raw = bytearray(data)
    how = rng.choice(("bytes", "bytes", "bytes", "digits", "middle"))
    if how == "middle":
        at = rng.randrange(len(raw))
        del raw[at : at + rng.randrange(1, 2000)]
        return bytes(raw)
    places = [i for i, b in enumerate(raw) if chr(b).isdigit()] if how == "digits" else range(len(raw))
    for at in rng.sample(list(places), 60):
        raw[at] = rng.choice(b"0123456789") if how == "digits" else rng.randrange(32, 127)
    return bytes(raw)


def test_sixty_bytes_changed_are_one_line_or_a_shape(
    tmp_path: Path, whole: bytes, rng: Callable[[int], random.Random], fuzz: int, capfd: pytest.CaptureFixture[str]
) -> None:
    """Such a file ended the whole program with status 139."""
    refused = crashed = doubted = 0
    for n in range(fuzz // 20):
        try:
            shape, doubts = read(tmp_path, changed(rng(n), whole), f"{n}.step")
            doubted += bool(doubts)
            assert not shape.IsNull()
        except InputError as error:
            refused += 1
            crashed += "signal" in str(error)
            assert "\n" not in str(error)  # noqa: PT017
    assert capfd.readouterr() == ("", "")
    print(f"{refused} refused, {crashed} of them crashed their reader, {doubted} doubted")
