"""A fit first, unchanged, and with one value changed, beside the commit that its engine was begun from.

    python tests/bench/bench_before.py [--rounds 3] [--commit b2c5d95]

Both fit that commit's own demo bay, on two processors, each in a process of its own and one right after the other,
since the machine may do other things; modules are compiled before. Then ours leaves out what that commit did not
do (`NEW`), and names on one processor what all of it takes, each thing without the others that it asks for. Prints
seconds of processor and by the clock; ends with 1 where a ratio is over its limit. Wants the repository, since the
commit's sources come out of it.
"""

from __future__ import annotations

import argparse
import io
import os
import resource
import statistics
import subprocess
import sys
import tarfile
import tempfile
import time
from collections.abc import Mapping, Sequence
from pathlib import Path

COMMIT = "b2c5d95"
ROOT = Path(__file__).parent.parent.parent
BEFORE, FIRST, UNCHANGED, ONE_VALUE, BARE = "before", "first", "unchanged", "one value", ", without what is new"
LIMITS = {FIRST: 0.5, UNCHANGED: 0.15, ONE_VALUE: 0.25, FIRST + BARE: 0.5, ONE_VALUE + BARE: 0.25}
"""Most of that commit's own processor time for the same bay."""
CHANGE = ("ear_r = 24", "ear_r = 25")
"""One value of one part of the bay Alder."""

NEW = {
    "movement worked out from bushes": ("brackets.bay.hung.movement", "_worked_out", "None"),
    "the case that moves each pair": ("brackets.bay.clear.moving", "named_pairs", "list(map(_Named, args[2]))"),
    "low ends of gaps proven": ("brackets.clearance.pairs", "_proven", "args[4]"),
    "worst places followed down": ("brackets.clearance.moving_pair", "MovingPair.descend", "None"),
    "a torch tried at every weld": ("brackets.clearance.torch", "torch_findings", "()"),
    "metal that pieces share": ("brackets.kernel.shared", "solid_findings", "()"),
    "bolts in their own metal": ("brackets.bay.bolts.bolting", "in_own_metal", "()"),
    "seats on what they stand on": ("brackets.bay.fitting", "seat_contacts", "()"),
    "room to draw the bolts": ("brackets.bay.checks", "draw_rooms", "()"),
    "set-up dimensions in the facts": ("brackets.output.set_up", "record", "{}"),
}
"""What the commit did not do: the module and the function that does it, and what is given in its place."""

KEEPING = {
    "results kept: what each is made of": ("brackets.core.kept", "identity", ""),
    "results kept: written": ("brackets.core.kept", "_write", ""),
    "results kept: looked for": ("brackets.core.kept", "_read", ""),
}
"""The same, of what the next run finds; it is timed and never left out."""

OLD = {
    "solids": ("brackets.kernel.solids", "_right", ""),
    "triangles": ("brackets.clearance.triangles", "of_shape", ""),
    "trees": ("brackets.clearance.triangles", "Tree.__init__", ""),
    "parts built, findings": ("brackets.bay.fitting", "placed_bay", ""),
    "bodies, bolts into bosses": ("brackets.bay.fitting", "with_bolts", ""),
    "gaps at rest": ("brackets.bay.fitting", "pairs", ""),
    "gaps moved": ("brackets.bay.fitting", "all_moved", ""),
    "paths": ("brackets.bay.fitting", "bay_paths", ""),
    "bolts": ("brackets.bay.fitting", "bolts", ""),
    "findings of the bay": ("brackets.bay.fitting", "bay_findings", ""),
    "facts": ("brackets.output.bay_facts", "record", ""),
}
"""What the commit did too, and what is asked for first by something new as often as not: each is timed without the
others that it asks for."""

START = "start, and modules loaded"

WITHOUT = """
import importlib, operator
from brackets.bay.clear.nearer_regions import NamedPair
_Named = lambda pair: NamedPair(pair, "")
for module, name, given in {new!r}.values():
    *owner, name = name.split(".")
    there = importlib.import_module(module)
    setattr(operator.attrgetter(*owner)(there) if owner else there, name, eval("lambda *args, **_: " + given))
from brackets.__main__ import main
main()
"""
TIMED = """
import importlib, operator, sys, time
told, took, inside = {told!r}, dict.fromkeys({told!r}, 0.0), [0.0]
def watched(what, work):
    def ask(*args, **named):
        inside.append(0.0)
        began = time.process_time()
        try:
            found = work(*args, **named)
            return list(found) if hasattr(found, "__next__") else found
        finally:
            all_of_it = time.process_time() - began
            took[what] += all_of_it - inside.pop()
            inside[-1] += all_of_it
    return ask
for what, (module, name, _) in told.items():
    *owner, name = name.split(".")
    there = importlib.import_module(module)
    there = operator.attrgetter(*owner)(there) if owner else there
    setattr(there, name, watched(what, getattr(there, name)))
from brackets.__main__ import main
from brackets.app.cli import fit_view
took[{start!r}] = time.process_time()
try:
    main()
finally:
    print(*(f"{{what}}={{seconds}}" for what, seconds in took.items()), sep="\\n", file=sys.stderr)
"""


def sources(commit: str, into: Path) -> None:
    """The tree of a commit of this repository."""
    packed = subprocess.run(["git", "archive", commit], cwd=ROOT, capture_output=True, check=True).stdout
    with tarfile.open(fileobj=io.BytesIO(packed)) as tree:
        tree.extractall(into, filter="data")


def timed(
    top: Path, bay: Path, keep: Path | None, code: str = "", *, compiled: Path, cores: int = 2
) -> tuple[float, float, str]:
    """Seconds of processor, its own and its children's, and by the clock; and what it says beside its result."""
    env = {**os.environ, "BRACKETS_CACHE": "off" if keep is None else str(keep), "BRACKETS_CORES": str(cores)}
    env |= {"PYTHONPYCACHEPREFIX": str(compiled / "compiled"), "PYTHONPATH": str(top), "COLUMNS": "100"}
    env.pop("PYTHONDONTWRITEBYTECODE", None)
    run = ["-c", code] if code else ["-m", "brackets"]
    words = [sys.executable, *run, "fit", str(bay), "--json", "--no-files"]
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(words, env=env, cwd=top, capture_output=True, text=True)
    clock, after = time.perf_counter() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1):
        raise SystemExit(f"{words}: {done.stdout[:1000]}{done.stderr}")
    return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime, clock, done.stderr


def todays(text: str) -> str:
    """The commit's bay as files say it today: a class of gap has another name."""
    return text.replace('"safety"', '"steering_brakes"').replace("\nsafety ", "\nsteering_brakes ")


def told(rows: Mapping[str, Sequence[tuple[float, float]]]) -> bool:
    """Prints what was measured, the middle of all rounds; whether each is within its limit."""
    good, (base, base_clock) = True, _middle(rows["before"])
    for what, each in rows.items():
        spent, clock = _middle(each)
        limit = LIMITS.get(what)
        over = limit is not None and spent > limit * base
        good = good and not over
        asked = "" if limit is None else f", limit {limit:g}{'  OVER' if over else ''}"
        share = f"{spent / base:7.2f} of before, {clock / base_clock:.2f} by the clock{asked}"
        print(f"{what:<32}{spent:8.2f} s{clock:8.2f} s by the clock{share}")
    return good


def _middle(each: Sequence[tuple[float, float]]) -> tuple[float, float]:
    spent, clock = (statistics.median(one) for one in zip(*each, strict=True))
    return spent, clock


def _named(spent: float, said: str, commit: str) -> None:
    """Prints what a first fit on one processor took, to the last second."""
    rows = (line.rpartition("=") for line in said.splitlines() if "=" in line)
    took = {what: float(seconds) for what, _, seconds in rows if what in {START, *NEW, *KEEPING, *OLD}}
    print(f"a first one on one processor, {spent:.2f} s; of what {commit} did nothing of:")
    new = {**NEW, **KEEPING}
    for what in new:
        print(f"  {what:<40}{took[what]:8.2f} s")
    print(f"  {'all of these':<40}{sum(took[what] for what in new):8.2f} s\nof what it did too, without the above:")
    for what in (START, *OLD):
        print(f"  {what:<40}{took[what]:8.2f} s")
    print(f"  {'everything else':<40}{spent - sum(took.values()):8.2f} s")


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--commit", default=COMMIT)
    asked.add_argument("--rounds", type=int, default=3)
    given = asked.parse_args()
    rows: dict[str, list[tuple[float, float]]] = {}
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        old, bay = folder / "before", folder / "alder.toml"
        sources(given.commit, old)
        theirs = old / "recipes" / "alder.toml"
        text = todays(theirs.read_text("utf-8"))
        assert CHANGE[0] in text
        new = WITHOUT.format(new=NEW)
        for n in range(given.rounds + 1):  # the first round is for the modules to be compiled
            full, bare = folder / f"full{n}", folder / f"bare{n}"
            runs: list[tuple[str, float, float]] = []
            bay.write_text(text, "utf-8")
            runs.append((BEFORE, *timed(old, theirs, None, compiled=folder)[:2]))
            runs.append((FIRST, *timed(ROOT, bay, full, compiled=folder)[:2]))
            if n == 0:
                continue
            runs.append((UNCHANGED, *timed(ROOT, bay, full, compiled=folder)[:2]))
            runs.append((f"{FIRST}{BARE}", *timed(ROOT, bay, bare, new, compiled=folder)[:2]))
            bay.write_text(text.replace(*CHANGE, 1), "utf-8")
            runs.append((ONE_VALUE, *timed(ROOT, bay, full, compiled=folder)[:2]))
            runs.append((f"{ONE_VALUE}{BARE}", *timed(ROOT, bay, bare, new, compiled=folder)[:2]))
            for what, *seconds in runs:
                rows.setdefault(what, []).append((seconds[0], seconds[1]))
        good = told(rows)
        bay.write_text(text, "utf-8")
        code = TIMED.format(told={**NEW, **KEEPING, **OLD}, start=START)
        spent, _, said = timed(ROOT, bay, folder / "timed", code, compiled=folder, cores=1)
        _named(spent, said, given.commit)
    return int(not good)


if __name__ == "__main__":
    sys.exit(main())
