"""Ctrl-C, SIGTERM and closed streams: one line, the shell's status, nothing left behind, never inside an import."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

import pytest

import brackets

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="sends POSIX signals")

SLOW = """
import os, signal
os.kill(os.getpid(), signal.SIGINT)
for _ in range(200_000):
    pass
whole = True
"""
HELD = """
import sys, time
import brackets.interrupts as interrupts
interrupts.heed()
try:
    import slow
    time.sleep(5)
    sys.exit("never interrupted")
except KeyboardInterrupt:
    print(sys.modules["slow"].whole)
"""


def with_slow(folder: Path, code: str) -> subprocess.CompletedProcess[str]:
    """Runs code that can import the module slow.py of `folder`."""
    path = os.pathsep.join(filter(None, (str(folder), os.environ.get("PYTHONPATH"))))
    environment = {**os.environ, "PYTHONPATH": path}
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, env=environment, timeout=120
    )


def test_a_signal_inside_an_import_waits_until_the_module_is_whole(tmp_path: Path) -> None:
    (tmp_path / "slow.py").write_text(SLOW)
    done = with_slow(tmp_path, HELD)
    assert (done.returncode, done.stdout, done.stderr) == (0, "True\n", "")


def test_a_signal_held_to_the_very_end_does_not_end_what_is_done(tmp_path: Path) -> None:
    (tmp_path / "slow.py").write_text(SLOW)
    code = """
import time
import brackets.interrupts as interrupts
interrupts.heed()
import slow
interrupts.finished()
time.sleep(0.2)
print("done")
"""
    done = with_slow(tmp_path, code)
    assert (done.returncode, done.stdout, done.stderr) == (0, "done\n", "")


def test_an_import_that_never_ends_is_interrupted_after_the_longest_hold(tmp_path: Path) -> None:
    (tmp_path / "slow.py").write_text("import os, signal\nos.kill(os.getpid(), signal.SIGINT)\nwhile True: pass\n")
    code = """
import brackets.interrupts as interrupts
interrupts.LONGEST_HOLD = 0.3
interrupts.heed()
try:
    import slow
except KeyboardInterrupt:
    print("interrupted")
"""
    done = with_slow(tmp_path, code)
    assert (done.returncode, done.stdout) == (0, "interrupted\n")


ENDS_ITSELF = '''"""Bar that is stopped while it is read; test_cli has one that is stopped while it is built."""
import os, signal, time
os.kill(os.getpid(), signal.{name})
time.sleep(30)
'''


@pytest.mark.parametrize(("name", "status"), [("SIGINT", 130), ("SIGTERM", 143), ("SIGHUP", 129)])
def test_each_signal_ends_with_one_line_and_the_status_of_shells(tmp_path: Path, name: str, status: int) -> None:
    (tmp_path / "bar.py").write_text(ENDS_ITSELF.replace("{name}", name))
    done = subprocess.run(
        [sys.executable, "-m", "brackets", "recipes", "./bar.py"], capture_output=True, text=True, cwd=tmp_path
    )
    assert (done.returncode, done.stdout, done.stderr) == (status, "", "stopped, nothing written\n")


@pytest.mark.parametrize("closed", [">&-", "2>&-", ">&- 2>&-", "| true"])
def test_a_stream_that_is_closed_brings_no_traceback(tmp_path: Path, closed: str) -> None:
    command = f"{sys.executable} -m brackets recipes ears {closed}"
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, cwd=tmp_path)
    assert done.returncode == 0
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr


def test_a_builder_whose_server_was_killed_ends_without_a_word() -> None:
    builder = subprocess.Popen(
        [sys.executable, "-m", "brackets.app.preview.child", "gusset", "mm"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert builder.stdout is not None
    builder.stdout.close()
    builder.stdout = None
    _, said = builder.communicate("", timeout=120)
    assert (builder.returncode, said) == (1, "")


SMALL = """
format = 1
name = "Two boxes (invented)"
[[keep_out]]
name = "rail"
box = { from = [-50, 100, 0], to = [50, 140, 40] }
[[keep_out]]
name = "engine"
side = "powertrain"
box = { from = [-50, -50, 400], to = [50, 50, 500] }
[[part]]
name = "gusset"
recipe = "gusset"
side = "chassis"
at = [0, 300, 0]
"""
COMMANDS = {
    "make": ["make", "gusset"],
    "fit": ["fit", "small.toml", "--into", "out/gusset"],
    "html": ["view", "gusset", "--html", "out/gusset/page.html"],
    "png": ["view", "gusset", "--png", "out/gusset/picture.png", "--pixels", "200x150"],
}

def test_the_status_stays_ours_after_a_signal_while_the_library_executes_a_text(tmp_path: Path) -> None:
    """SIGTERM at 0.04 s, in a dataclass that was being made, ended the command as if it had been SIGINT."""
    (tmp_path / "ends.py").write_text(
        "import sys\nimport brackets.interrupts as interrupts\n"
        "try:\n    exec('raise KeyboardInterrupt')\nexcept KeyboardInterrupt:\n    interrupts.finished()\n"
        "sys.exit(143)\n"
    )
    root = str(Path(brackets.__file__).parents[1])
    paths = os.pathsep.join([str(tmp_path), root])
    done = subprocess.run([sys.executable, "-m", "ends"], env={**os.environ, "PYTHONPATH": paths}, check=False)
    assert done.returncode == 143


@pytest.mark.fuzz
@pytest.mark.parametrize("verb", COMMANDS)
def test_signals_at_random_moments_leave_old_results_or_new_ones(tmp_path: Path, fuzz: int, verb: str) -> None:
    """A third of them in the first tenth of a second; SIGKILL too, after which the next run cleans up.

    What the interpreter says of itself before it runs a line of ours is counted apart: it cannot be mended here.
    """
    command = [sys.executable, "-m", "brackets", *COMMANDS[verb]]
    (tmp_path / "small.toml").write_text(SMALL)
    results = tmp_path / "out" / "gusset"
    if verb in ("html", "png"):
        results.mkdir(parents=True)
    began = time.monotonic()
    subprocess.run(command, capture_output=True, cwd=tmp_path, check=True)
    whole = time.monotonic() - began
    files = {p.name: p.read_bytes() for p in results.iterdir()}
    rng = random.Random(f"20/{verb}")
    tally: Counter[str] = Counter()
    for n in range(fuzz):
        wait = rng.uniform(0.0, 0.1) if n % 3 == 0 else rng.uniform(0.0, whole)
        number = rng.choice([signal.SIGINT, signal.SIGINT, signal.SIGTERM, signal.SIGHUP, signal.SIGKILL])
        child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=tmp_path)
        time.sleep(wait)
        child.send_signal(number)
        _, said = child.communicate(timeout=120)
        case = verb, n, wait, number, said
        tally[f"{number.name} {child.returncode}"] += 1
        if "Traceback" in said and f"brackets{os.sep}" not in said:
            tally["before our first line"] += 1
        else:
            assert said in ("", "stopped, nothing written\n"), case
            assert child.returncode in (0, -number, 128 + number), case
        if number == signal.SIGKILL:
            subprocess.run(command, capture_output=True, cwd=tmp_path, check=True)
        assert {p.name: p.read_bytes() for p in results.iterdir()} == files, case
        assert [p.name for p in (tmp_path / "out").iterdir()] == ["gusset"], case
    print(verb, dict(sorted(tally.items())))
