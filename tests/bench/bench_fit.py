"""A fit for the first time, unchanged, and with one value of one part changed: ratios of processor time in one run.

    python tests/bench/bench_fit.py

Each is a process of its own, so that the loading of Python and of the kernel is in all of them; modules are
compiled before, as an install's are. A changed bay is fitted with what is kept of the one before, and right after
it with nothing kept, since the machine may do other things. Prints the ratios and ends with 1 where one is over its
limit, or where a figure differs from a first run's, else with 0.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
from pathlib import Path

from brackets.core.kept import FOLDER
from brackets.library.recipe import shipped

UNCHANGED = 0.15
ONE_VALUE = 0.25
MAKE = 0.5
"""Most of a first run's processor time."""
CHANGES = (("ear_r = 22\nfoot = 34", "ear_r = 23\nfoot = 34"), ("foot = 34", "foot = 35"), ("28x4", "30x4"))
"""Of the shipped bay Tern, each one value of one part."""


def timed(words: list[str], keep: Path | None, compiled: Path) -> tuple[str, float]:
    """What a command prints, and the seconds of processor that it and its children take."""
    env = {**os.environ, FOLDER: "off" if keep is None else str(keep), "COLUMNS": "100"}
    env = {**env, "PYTHONPYCACHEPREFIX": str(compiled)}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run([sys.executable, "-m", "brackets", *words], env=env, capture_output=True, text=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1):
        raise SystemExit(done.stderr)
    return done.stdout, after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime


def told(what: str, took: float, first: float, limit: float, *, same: bool = True) -> bool:
    """Prints one line; whether it is within the limit and the figures are the same."""
    good = took <= limit * first and same
    wrong = "" if same else ", FIGURES DIFFER FROM A FIRST RUN'S"
    over = "  OVER" if took > limit * first else ""
    print(f"{what:<44}{took:8.2f} s{took / first:8.2f} of the first, limit {limit:g}{over}{wrong}")
    return good


def main() -> int:
    good = []
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        for one in shipped().iterdir():
            if one.is_file():
                (folder / one.name).write_bytes(one.read_bytes())
        bay, keep, compiled = folder / "tern.toml", folder / "kept", folder / "compiled"
        text = bay.read_text("utf-8")
        assert all(old in text for old, _ in CHANGES)
        words = ["fit", str(bay), "--json", "--no-files"]
        timed(words, None, compiled)
        shown, first = timed(words, keep, compiled)
        print(f"{'first':<44}{first:8.2f} s")
        again, took = timed(words, keep, compiled)
        good.append(told("unchanged", took, first, UNCHANGED, same=again == shown))
        for old, new in CHANGES:
            bay.write_text(text.replace(old, new, 1), "utf-8")
            warm, took = timed(words, keep, compiled)
            cold, whole = timed(words, None, compiled)
            good.append(told(f"one value: {new.splitlines()[0]}", took, whole, ONE_VALUE, same=warm == cold))
        words = ["make", "cup", "--no-files"]
        shown, first = timed(words, keep, compiled)
        again, took = timed(words, keep, compiled)
        good.append(told("make cup, unchanged", took, first, MAKE, same=again == shown))
    return int(not all(good))


if __name__ == "__main__":
    sys.exit(main())
