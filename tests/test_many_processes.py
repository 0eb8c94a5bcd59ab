"""The same bytes under any hash seed; recipes opened by several threads; values sent to processes of their own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from broken_files import BAY, RECIPE, SHOP

MAKES = [["make", "gusset"], ["make", "ears", "--back", "yes"], ["make", "cross_member"]]
FITS = [["fit", "bay.toml"]]


def files(folder: Path, command: list[str], seed: str) -> dict[str, bytes]:
    """What the command writes in a process with this hash seed."""
    at = folder / seed
    at.mkdir(exist_ok=True)
    (at / "bay.toml").write_text(BAY)
    (at / "shop.toml").write_text(SHOP)
    environment = {**os.environ, "PYTHONHASHSEED": seed}
    done = subprocess.run(
        [sys.executable, "-m", "brackets", *command, "--json"], capture_output=True, cwd=at, env=environment
    )
    assert done.returncode in (0, 1), done.stderr
    return {"stdout": done.stdout} | {
        str(p.relative_to(at)): p.read_bytes() for p in sorted((at / "out").rglob("*")) if p.is_file()
    }


@pytest.mark.fuzz
@pytest.mark.parametrize("command", MAKES + FITS, ids=" ".join)
def test_the_same_input_gives_the_same_bytes_under_any_hash_seed(tmp_path: Path, command: list[str]) -> None:
    first, *others = (files(tmp_path, command, seed) for seed in "123")
    assert len(first) > 3
    for other in others:
        assert [name for name in first.keys() | other.keys() if first.get(name) != other.get(name)] == []


THREADS = """
import sys, threading
from pathlib import Path
from brackets import recipe
text, wrong = Path("tab.py").read_text(), []

def opens(path, gate):
    gate.wait()
    try:
        opened = recipe(path)
        assert opened.build(opened.Params()).name == "tab" and opened.Params(t=8.0).t == 8.0
    except BaseException as error:
        wrong.append(repr(error))

for n in range(int(sys.argv[1])):
    Path(f"tab_{n}.py").write_text(f"{text}# {n}\\n")
    gate = threading.Barrier(4)
    threads = [threading.Thread(target=opens, args=(f"./tab_{n}.py", gate)) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
print(len(wrong), wrong[:3])
"""
SPAWN = """
import multiprocessing
from brackets import recipe, stated

def width(params):
    return params.width, params.radius, sorted(stated(params)), type(params).__name__

if __name__ == "__main__":
    made = [recipe("./tab.py").Params(width=20.0 + n) for n in range(20)]
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        there = pool.map_async(width, made).get(timeout=120)
    assert there == [width(one) for one in made], there
    print("same")
"""


@pytest.mark.fuzz
def test_four_threads_never_get_half_a_recipe(tmp_path: Path) -> None:
    (tmp_path / "tab.py").write_text(RECIPE)
    done = subprocess.run(
        [sys.executable, "-c", THREADS, "300"], capture_output=True, text=True, cwd=tmp_path, timeout=600
    )
    assert (done.stdout, done.stderr) == ("0 []\n", "")


@pytest.mark.fuzz
def test_values_are_mapped_over_spawned_processes(tmp_path: Path) -> None:
    (tmp_path / "tab.py").write_text(RECIPE)
    (tmp_path / "program.py").write_text(SPAWN)
    done = subprocess.run(
        [sys.executable, "program.py"], capture_output=True, text=True, cwd=tmp_path, timeout=240
    )
    assert (done.stdout, done.stderr) == ("same\n", "")
