"""What is kept of a family whatever ends it: kill -9, Ctrl-C, a full disk, a crash, a row that never ends."""

from __future__ import annotations

import errno
import multiprocessing
import os
import pickle
import random
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import brackets
from brackets import BadFile, InputError, Rows, default_shop
from brackets.app.cli.app import main
from brackets.library.recipe import shipped
from brackets.variants import job as jobs
from brackets.variants.family import family
from brackets.variants.run import RETRIED
from brackets.variants.store import HEAD, Store, kept, line, parsed

DISC = '''"""Disc: takes its time, ends its process at 13, never ends at 17, is refused from 900 on."""

import os
import time
from dataclasses import dataclass
from typing import Annotated

from brackets import Checked, InputError, Part, circle, count, flat_part, plate


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    n: Annotated[int, count(0, 100_000, "which one")] = 0


def build(p: Params) -> Part:
    time.sleep(0.002)
    if p.n == 13:
        os.kill(os.getpid(), 11)
    while p.n == 17:
        time.sleep(0.1)
    if p.n >= 900:
        raise InputError(f"n = {p.n}, under 900: which one")
    return flat_part(plate(circle((0, 0), 20 + p.n), 6), name="disc")
'''

KILLS = 10
"""Times a family is killed in each run of the suite; `--fuzz 50` for fifty."""


@pytest.fixture
def disc(tmp_path: Path) -> Path:
    path = tmp_path / "disc.py"
    path.write_text(DISC)
    return path


def written(rows: Rows, folder: Path) -> dict[str, bytes]:
    """Every file of some rows."""
    folder.mkdir()
    for name in ("csv", "xlsx", "jsonl", "html"):
        getattr(rows, name)(folder / f"rows.{name}")
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


WANTED = (*range(100, 150), *range(890, 910))


def _child(disc: Path, keep: Path) -> None:
    family(disc, n=WANTED, keep=keep)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a forked child")
def test_a_family_killed_again_and_again_ends_as_one_that_nobody_touched(
    disc: Path, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    quiet = written(family(disc, n=WANTED), tmp_path / "quiet")
    fork = multiprocessing.get_context("fork")  # a spawned child takes a second to start
    chance = random.Random(int(request.config.getoption("--seed")))
    cut_short, kills = 0, int(request.config.getoption("--fuzz")) or KILLS
    for i in range(kills // 2):
        keep = tmp_path / f"kept_{i}.jsonl"
        for _ in range(2):
            child = fork.Process(target=_child, args=(disc, keep))
            child.start()
            time.sleep(chance.uniform(0.0, 0.15))
            child.kill()
            child.join()
            cut_short += child.exitcode == -signal.SIGKILL
        done = family(disc, n=WANTED, keep=keep)
        assert written(done, tmp_path / f"files_{i}") == quiet
    assert cut_short > kills // 2, "no run was cut short: it kills too late"


def test_the_same_call_goes_on_and_says_what_it_had(disc: Path, tmp_path: Path) -> None:
    keep = tmp_path / "kept.jsonl"
    family(disc, n=range(100, 110), keep=keep)
    before = keep.read_bytes()
    more = family(disc, n=range(100, 120), keep=keep)
    assert more.notes == (f"{keep}: had 10 of 20 rows already",)
    assert keep.read_bytes().startswith(before)
    again = family(disc, n=range(105, 110), keep=keep)
    assert again.notes == (f"{keep}: had 5 of 5 rows already",)
    assert len(keep.read_bytes().splitlines()) == 21


def test_a_torn_last_line_is_dropped_and_named_and_a_damaged_one_left_out(disc: Path, tmp_path: Path) -> None:
    keep = tmp_path / "kept.jsonl"
    quiet = family(disc, n=range(100, 105), keep=keep)
    lines = keep.read_bytes().splitlines(keepends=True)
    damaged = lines[2].replace(b'"mass":', b'"masS":')
    keep.write_bytes(b"".join((*lines[:2], damaged, *lines[3:5], lines[5][:-20])))
    again = family(disc, n=range(100, 105), keep=keep)
    assert again.notes == (
        f"{keep}: line 3 is damaged, left out",
        f"{keep}: the last line is torn, dropped: it is worked out again",
        f"{keep}: had 3 of 5 rows already",
    )
    assert list(again) == list(quiet)
    assert [parsed(each) is None for each in keep.read_bytes().splitlines(keepends=True)] == [True, False, True] + [
        False
    ] * 4


def test_a_torn_line_is_gone_whatever_is_written_after_it(disc: Path, tmp_path: Path) -> None:
    keep = tmp_path / "kept.jsonl"
    family(disc, n=[100, 101], keep=keep)
    whole = keep.read_bytes()
    keep.write_bytes(whole + b'{"key":"' + b"x" * 5000)
    assert "torn" in family(disc, n=[100, 101], keep=keep).notes[0]
    assert keep.read_bytes() == whole


@pytest.mark.parametrize("cut", [1, 30, len(HEAD) - 1])
def test_a_head_that_is_torn_is_begun_again(disc: Path, tmp_path: Path, cut: int) -> None:
    keep = tmp_path / "kept.jsonl"
    keep.write_bytes(HEAD[:cut])
    assert len(family(disc, n=[100], keep=keep)) == 1
    assert keep.read_bytes().startswith(HEAD + b'{"key"')


def test_another_file_is_not_written_over(disc: Path, tmp_path: Path) -> None:
    keep = tmp_path / "letter.txt"
    keep.write_bytes(b"dear aunt\n")
    with pytest.raises(BadFile, match="is another file"):
        family(disc, n=[100], keep=keep)
    assert keep.read_bytes() == b"dear aunt\n"


def test_a_changed_recipe_shop_program_or_value_makes_its_rows_stale(
    disc: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep = tmp_path / "kept.jsonl"
    family(disc, n=[100, 101], keep=keep)
    assert family(disc, n=[101, 102], keep=keep).notes == (
        f"{keep}: had 1 of 2 rows already; 1 results of other values or files stay in it",
    )
    shop = replace(default_shop(), gap=2.0)
    assert "had 0 of 2" in family(disc, n=[100, 101], keep=keep, shop=shop).notes[0]
    disc.write_text(DISC.replace("20 + p.n", "21 + p.n"))
    assert "had 0 of 2" in family(disc, n=[100, 101], keep=keep).notes[0]
    disc.write_text(DISC)
    assert "had 2 of 2" in family(disc, n=[100, 101], keep=keep).notes[0]
    monkeypatch.setattr(jobs, "program", lambda: "0.0.0 another")
    monkeypatch.setattr("brackets.variants.subject.program", jobs.program)
    assert "had 0 of 2" in family(disc, n=[100, 101], keep=keep).notes[0]


def test_a_recipe_that_changes_meanwhile_stops_the_family(disc: Path, tmp_path: Path) -> None:
    keep = tmp_path / "kept.jsonl"

    def say(text: str) -> None:
        if " of 300 rows" in text:
            disc.write_text(DISC.replace("20 + p.n", "21 + p.n"))

    with pytest.raises(InputError, match=r"disc\.py: changed while its family was worked out"):
        family(disc, n=range(100, 400), keep=keep, say=say)
    masses = {text for _, text in map(_whole, keep.read_bytes().splitlines(keepends=True)[1:])}
    disc.write_text(DISC)
    right = {row.mass for row in family(disc, n=range(100, 400))}
    assert masses
    assert all(any(f'"mass":{mass!r}' in text for mass in right) for text in masses)


def _whole(each: bytes) -> tuple[str, str]:
    found = parsed(each)
    assert found is not None
    return found


class _Full:
    """A file on a disk that gets full in the middle of a line."""

    def __init__(self, out: object, room: int) -> None:
        self.out, self.room = out, room

    def write(self, data: bytes) -> int:
        if len(data) > self.room:
            self.out.write(data[: self.room])  # type: ignore[attr-defined]
            self.out.flush()  # type: ignore[attr-defined]
            raise OSError(errno.ENOSPC, "No space left on device")
        self.room -= len(data)
        return int(self.out.write(data))  # type: ignore[attr-defined]

    def __getattr__(self, name: str) -> object:
        return getattr(self.out, name)


def test_a_full_disk_leaves_whole_lines_and_the_next_run_goes_on(
    disc: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    quiet = family(disc, n=range(100, 120))
    monkeypatch.chdir(tmp_path)
    add = Store.add

    def filling(store: Store, key: str, text: str) -> None:
        if not isinstance(store._out, _Full) and store._out is not None:
            store._out = _Full(store._out, 2000)  # type: ignore[assignment]
        add(store, key, text)

    with monkeypatch.context() as patched:
        patched.setattr(Store, "add", filling)
        assert main(["family", "./disc.py", "--n", "100..119"]) == 1
    said = " ".join(capsys.readouterr().err.split())
    file = "out/disc_family/results.jsonl"
    assert said == (
        f"the disk is full: no room for {file}, what is done is kept in {file}: the same command goes on from there"
    )
    left = Path(file).read_bytes()
    assert all(parsed(each) for each in left.splitlines(keepends=True)[1:])
    assert len(left.splitlines()) > 3
    assert list(family(disc, n=range(100, 120), keep=file)) == list(quiet)


def test_a_second_process_is_refused_and_a_dead_ones_mark_is_taken_away(disc: Path, tmp_path: Path) -> None:
    keep = tmp_path / "kept.jsonl"
    mark = tmp_path / ".kept.jsonl.held"
    mark.write_text(str(os.getppid()))
    with pytest.raises(InputError, match=f"process {os.getppid()} is at it"):
        family(disc, n=[100], keep=keep)
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    for left in (str(ended.pid), ""):
        mark.write_text(left)
        assert len(family(disc, n=[100], keep=keep)) == 1
        assert not mark.exists()


def test_a_crash_and_a_row_without_end_cost_one_row_each(
    disc: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """By the command, from a script without a guard: its workers must not run it again."""
    script = tmp_path / "script.py"
    script.write_text("import sys\nfrom brackets.__main__ import main\nsys.exit(main())\n")
    command = [sys.executable, str(script), "family", "./disc.py", "--n", "1..40", "--workers", "2"]
    ran = subprocess.run(
        [*command, "--time-limit", "4"], cwd=tmp_path, capture_output=True, text=True, timeout=300, check=False
    )
    assert (ran.returncode, ran.stderr) == (0, "")
    told = [row for row in ran.stdout.splitlines() if " failed " in row]
    assert [" ".join(row.split()) for row in told] == [
        "13 13 failed row 13: worker ended by signal 11",
        "17 17 failed row 17: more than 4 s",
    ]
    assert "38 fine, 2 failed" in " ".join(ran.stdout.split())
    monkeypatch.chdir(tmp_path)
    whole = [*range(1, 13), *range(14, 17), *range(18, 41)]
    there = family(disc, n=whole, keep="out/disc_family/results.jsonl")
    assert "had 38 of 38" in there.notes[0]
    assert list(family(disc, n=whole)) == list(there)


def _workers_of(pid: int) -> list[int]:
    ran = subprocess.run(["ps", "-o", "pid=", "--ppid", str(pid)], capture_output=True, text=True, check=False)
    return [int(word) for word in ran.stdout.split()]


@pytest.mark.skipif(sys.platform != "linux", reason="asks ps for the workers of a process")
@pytest.mark.parametrize("number", ["SIGINT", "SIGKILL"])
def test_workers_end_with_the_command_that_started_them(disc: Path, tmp_path: Path, number: str) -> None:
    command = [sys.executable, "-m", "brackets", "family", "./disc.py", "--n", "100..20099", "--workers", "2"]
    file = tmp_path / "out" / "disc_family" / "results.jsonl"
    started = subprocess.Popen(
        command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )
    until = time.monotonic() + 120
    while time.monotonic() < until and (not file.exists() or file.stat().st_size < 5000):
        time.sleep(0.02)
    workers = _workers_of(started.pid)
    assert workers
    if number == "SIGINT":
        os.killpg(started.pid, signal.SIGINT)  # as a terminal does: to the workers too
    else:
        started.kill()
    _, told = started.communicate(timeout=120)
    if number == "SIGINT":
        assert started.returncode == 130
        assert told.strip() == (
            "stopped, what is done is kept in out/disc_family/results.jsonl: the same command goes on from there"
        )
    until = time.monotonic() + 120
    while time.monotonic() < until and any(Path(f"/proc/{pid}").exists() for pid in workers):
        time.sleep(0.05)
    assert not any(Path(f"/proc/{pid}").exists() for pid in workers)
    rows = family(disc, n=[100], keep=file)
    assert " rows" in rows.notes[-1]


def test_any_executor_will_do_and_one_row_that_raises_costs_itself(disc: Path) -> None:
    with ThreadPoolExecutor(2) as pool:
        sent = family(disc, n=range(100, 160), executor=pool)
    assert list(sent) == list(family(disc, n=range(100, 160)))


def test_a_worker_that_has_not_the_files_is_sent_them(disc: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The worker's `work` finds no file under its path, as on another machine."""
    here = family(disc, n=range(100, 110))
    real = jobs._is_there

    def elsewhere(file: jobs.InputFile) -> bool:
        return real(file) and "brackets-family-" in file.path

    monkeypatch.setattr(jobs, "_is_there", elsewhere)
    monkeypatch.setattr(jobs, "_FOUND", {})
    with ThreadPoolExecutor(1) as pool:
        sent = family(disc, n=range(100, 110), executor=pool)
    assert list(sent) == list(here)
    [found] = jobs._FOUND.values()
    [path] = found.values()
    assert path != disc
    assert path.read_text() == DISC


def test_a_worker_with_another_program_or_recipe_refuses(disc: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = jobs.work

    def old(job: jobs.Job, *rest: object) -> object:
        return real(replace(job, program="0.0.1 old"), *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(jobs, "work", old)
    with ThreadPoolExecutor(1) as pool, pytest.raises(InputError, match="worker = program .*, must be the program"):
        family(disc, n=range(100, 110), executor=pool)


CHILD = """import pickle, sys
import brackets
assert brackets.__file__.startswith(sys.argv[1]), brackets.__file__
work, given = pickle.load(sys.stdin.buffer)
answer = work(*given)
sys.stdout.buffer.write(pickle.dumps(answer))
"""


class Elsewhere(Executor):
    """Works each task out in a process of its own, by the program that lies in a folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def submit(self, fn: Callable[..., Any], /, *given: Any, **_: Any) -> Future[Any]:
        done: Future[Any] = Future()
        command = [sys.executable, "-c", CHILD, str(self.folder)]
        env = {**os.environ, "PYTHONPATH": str(self.folder)}
        sent = pickle.dumps((fn, given))
        ran = subprocess.run(command, input=sent, capture_output=True, env=env, cwd=self.folder, check=False)
        if ran.returncode:
            done.set_exception(RuntimeError(ran.stderr.decode()))
        else:
            done.set_result(pickle.loads(ran.stdout))
        return done


@pytest.mark.checkout
def test_a_worker_process_whose_program_differs_refuses(disc: Path, tmp_path: Path) -> None:
    """A copy of the program works as this one does; with one line more in one of its sources it refuses."""
    package = Path(brackets.__file__).parent
    shutil.copytree(package, tmp_path / "brackets")
    shutil.copytree(shipped(), tmp_path / "recipes")
    assert list(family(disc, n=100, executor=Elsewhere(tmp_path))) == list(family(disc, n=100))
    source = tmp_path / "brackets" / "model" / "mass.py"
    source.write_text(source.read_text("utf-8") + "# another version\n", "utf-8")
    keep = tmp_path / "kept.jsonl"
    with pytest.raises(InputError) as caught:
        family(disc, n=100, executor=Elsewhere(tmp_path), keep=keep)
    [said] = caught.value.problems
    version, other = said.removeprefix("worker = program ").split()[:2]
    assert version == brackets.__version__
    assert said.endswith(f"must be the program that was started here: {jobs.program()}")
    assert other not in jobs.program()
    assert keep.read_bytes().count(b"\n") == 1  # its heading: nothing of another program is kept


class Loses(Executor):
    """Works each task out at once, and loses the results of its first `times` tasks."""

    def __init__(self, times: int, saying: BaseException | None) -> None:
        self.times, self.saying, self.asked = times, saying, 0

    def submit(self, fn: Callable[..., Any], /, *given: Any, **_: Any) -> Future[Any]:
        done: Future[Any] = Future()
        self.asked += 1
        if self.asked > self.times:
            done.set_result(fn(*given))
        elif self.saying is None:
            done.cancel()
            done.set_running_or_notify_cancel()
        else:
            done.set_exception(self.saying)
        return done


UNPACKED = TypeError("cannot unpack non-iterable Done object")
"""What the executor of Dask says of a result whose worker ended as it came."""


@pytest.mark.parametrize("saying", [None, UNPACKED])
def test_a_result_that_an_executor_loses_is_asked_for_again(disc: Path, saying: BaseException | None) -> None:
    loses = Loses(RETRIED, saying)
    rows = family(disc, n=100, executor=loses)
    assert not rows.failed
    assert list(rows) == list(family(disc, n=100))
    assert loses.asked == RETRIED + 1


@pytest.mark.parametrize("saying", [None, UNPACKED])
def test_a_result_that_is_lost_again_and_again_fails_its_row_and_no_other(
    disc: Path, saying: BaseException | None
) -> None:
    loses = Loses(RETRIED + 1, saying)
    rows = family(disc, n=100, executor=loses)
    [said] = rows.failed.values()
    assert said["failed"] == ("CancelledError" if saying is None else f"TypeError: {saying}")
    assert loses.asked == RETRIED + 1


def test_a_line_is_what_its_checksum_says() -> None:
    each = line("k" * 32, '{"mass":1.5}')
    assert parsed(each) == ("k" * 32, '{"mass":1.5}')
    for i in range(len(each)):
        assert parsed(each[:i] + bytes([each[i] ^ 1]) + each[i + 1 :]) is None
        assert parsed(each[:i]) is None


def test_two_rows_of_the_same_values_are_worked_out_once(disc: Path, tmp_path: Path) -> None:
    keep = tmp_path / "kept.jsonl"
    rows = family(disc, rows=[{"name": "a", "n": 100}, {"name": "b", "n": 100}], keep=keep)
    assert [row.name for row in rows] == ["a", "b"]
    assert len(keep.read_bytes().splitlines()) == 2
    with kept(keep) as store:
        assert len(store) == 1
