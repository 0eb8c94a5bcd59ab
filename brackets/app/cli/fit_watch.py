"""brackets fit --watch: a bay fitted again at every save, and what changed since the run before."""

from __future__ import annotations

import asyncio
import sys
import time
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from brackets.app.cli.fit_view import verdict_text
from brackets.app.cli.inches import Lengths
from brackets.app.cli.screen import line, table
from brackets.app.cli.trouble import STOPPED, told
from brackets.app.saves import watch
from brackets.bay.clear.moving import by_pair
from brackets.bay.fitting import Fit
from brackets.core import kept
from brackets.core.errors import OURS
from brackets.core.finding import Finding
from brackets.core.stamp import Stamp, stamp

SHOWN = 12
"""Lines of one kind of change: a screenful; the files have all."""

Pair = tuple[str, str]
Key = tuple[str, str, str, tuple[str, ...]]


def stay(file: Path, once: Callable[[], Fit], paths: Callable[[], set[Path]]) -> int:
    """Fits now and after every save of one of the paths, until Ctrl-C; then the status of one that was stopped.

    file: the bay's, as it is called; once: fits the bay and writes its files; paths: what to watch.
    """
    last: list[Fit] = []
    python: list[Mapping[Path, Stamp]] = []

    async def run() -> None:
        stamps = {path: stamp(path) for path in sorted(paths()) if path.suffix == ".py"}
        if python and python[0] != stamps:
            _forget(stamps)
        python[:] = [stamps]
        started = time.perf_counter()
        try:
            done = once()
        except (*OURS, OSError) as error:
            told(error)
            return
        finally:
            kept.flush()
        print(f"{file}, {time.strftime('%H:%M:%S')}, in {time.perf_counter() - started:.1f} s")
        print(verdict_text(done))
        if last:
            print("\n".join(("changed since the run before:", *changes(last[0], done))))
        print("watching; Ctrl-C ends it\n", flush=True)
        last[:] = [done]

    try:
        asyncio.run(watch(paths, run, at_once=True))
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
    return STOPPED


def _forget(python: Collection[Path]) -> None:
    """Recipes run again, with what they import from beside them; what was made by them is read from the disk."""
    files = {str(path.resolve()) for path in python}
    for name, module in list(sys.modules.items()):
        if getattr(module, "__file__", None) in files:
            del sys.modules[name]
    kept.forget()


def changes(before: Fit, after: Fit) -> Iterator[str]:
    """Findings that are new, gone or say another thing, gaps that are others, and masses, each with what was."""
    lines = [*_findings(before, after), *_gaps(before, after), *_masses(before, after)]
    yield from lines or ("nothing",)


def _findings(before: Fit, after: Fit) -> Iterator[str]:
    at = Lengths(after.bay.bare)
    was, now = _by_key(before.findings), _by_key(after.findings)
    lines = [("new", one) for key, one in now.items() if key not in was]
    lines += [("gone", one) for key, one in was.items() if key not in now]
    lines += [("now", one) for key, one in now.items() if key in was and was[key].sentence != one.sentence]
    for word, one in lines[:SHOWN]:
        yield line(f"  {word}: {one.label}: {one.piece}: {at.sentence(one)}")
    if len(lines) > SHOWN:
        yield f"  and {len(lines) - SHOWN} more findings"


def _by_key(findings: tuple[Finding, ...]) -> Mapping[tuple[Key, int], Finding]:
    """By level, rule, piece and bodies; the first, second of those that are alike in these."""
    found: dict[tuple[Key, int], Finding] = {}
    for one in findings:
        key, number = (one.label, one.code, one.piece, one.about), 0
        while (key, number) in found:
            number += 1
        found[key, number] = one
    return found


@dataclass(frozen=True)
class _Gap:
    """What is spare of a pair, the worse of still and moved, mm, and the two as they are shown."""

    spare: float
    still: str
    moved: str


def _gaps(before: Fit, after: Fit) -> Iterator[str]:
    was, now = _shown(before), _shown(after)
    nothing = _Gap(float("inf"), "-", "-")
    changed = [
        (was.get(pair, nothing), now.get(pair, nothing), pair)
        for pair in dict.fromkeys((*now, *was))
        if was.get(pair) is None or now.get(pair) is None or was[pair].still != now[pair].still
        or was[pair].moved != now[pair].moved
    ]  # fmt: skip
    changed.sort(key=lambda row: (min(row[0].spare, row[1].spare), row[2]))
    at = Lengths(after.bay.bare)
    rows = [
        (_spare(new, at), _spare(old, at), new.still, old.still, new.moved, old.moved, " | ".join(pair))
        for old, new, pair in changed[:SHOWN]
    ]
    if rows:
        more = f", the {SHOWN} worst of {len(changed)}" if len(changed) > SHOWN else ""
        yield f"  gaps, {at.unit}{more}"
        yield table(("spare", "was", "still", "was", "moved", "was", "what"), rows, right=range(6))


def _shown(fit: Fit) -> Mapping[Pair, _Gap]:
    at, moves = Lengths(fit.bay.bare), by_pair(fit.moved)
    found = {}
    for pair in fit.pairs:
        move = moves.get(frozenset((pair.a, pair.b)))
        still = pair.state.upper() if pair.stops else at.span(pair.low, pair.high)
        moved = "" if move is None else at.span(move.low, move.high)
        spare = pair.spare if move is None else min(pair.spare, move.spare)
        found[pair.a, pair.b] = _Gap(spare, still, moved)
    return found


def _spare(gap: _Gap, at: Lengths) -> str:
    return "-" if gap.spare == float("inf") else at.least(gap.spare)


def _masses(before: Fit, after: Fit) -> Iterator[str]:
    was, now = _kg(before), _kg(after)
    if was == now:
        return
    names = [name for name in dict.fromkeys((*now, *was)) if was.get(name) != now.get(name)]
    each = (f"{name} {_told(now.get(name))}, was {_told(was.get(name))}" for name in names)
    yield line(f"  parts {sum(now.values()):.3f} kg, were {sum(was.values()):.3f}: {'; '.join(each)}")


def _kg(fit: Fit) -> Mapping[str, float]:
    return {part.name: part.part.mass.kg for part in fit.stood.parts}


def _told(kg: float | None) -> str:
    return "not there" if kg is None else f"{kg:.3f}"
