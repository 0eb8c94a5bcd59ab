"""Seconds of processor of one changed value of a bay on the page, stage by stage, and of a place of its engine.

    python tests/bench/bench_step.py [BAY.toml [PART NAME=TEXT]...]

Run by hand. One process, nothing kept from before: the bay as it is typed first, then each value by itself, then
the engine at places that a hand goes through. The ratio is to the first: a slow machine counts on both sides.
"""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path
from typing import Any

STEPS = (("left_ears", "ear_r=22.5"), ("strut", "plate_t=8.5"), ("strut", "leg=5.5"), ("tray", "side_lip=36.5"))
"""Of Tern: an ear on the chassis, a strut and a tray of the engine, and a weld that changes no shape."""
PLACES = tuple({"fore": f"{i}", "yaw": f"{i / 10:g}"} for i in range(1, 9))
STAGES = ("picture", "checks", "moved")


def spent() -> float:
    """Seconds of processor of this process and its children."""
    return sum(os.times()[:4])


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Seconds of processor, and by the clock."""
    used, clock = spent(), time.perf_counter()
    work()
    return spent() - used, time.perf_counter() - clock


def step(source: Any, typed: Mapping[str, Mapping[str, str]]) -> list[tuple[float, float]]:
    """Picture, checks at rest, and all that `fit` finds, each with what is packed of it."""
    from brackets.app.preview.blocks import pack
    from brackets.app.preview.render_mesh import LIVE

    def drawn(stage: Callable[[], Any]) -> None:
        picture, header = stage()
        pack(header, picture.blobs)

    return [
        timed(lambda: drawn(lambda: source.picture(typed, fineness=LIVE))),
        timed(lambda: drawn(lambda: source.checks(fineness=LIVE))),
        timed(lambda: pack(source.moved(typed), {})),
    ]


def trials(bay: Path) -> Iterator[tuple[float, float]]:
    """Of each place, once all that stays is built."""
    from brackets.app.preview.trials import Trials

    tried = Trials(bay)
    for i, place in enumerate(({}, *PLACES)):
        request = {"stage": "trial", "place": place, "of": "", "typed": {}}
        taken = timed(lambda request=request: tried.answer(request, lambda _: None, lambda: False))  # type: ignore[misc]
        if i:
            yield taken
        else:
            tried.more(request)


@contextmanager
def nothing_kept() -> Iterator[None]:
    """Meanwhile results are kept in a folder that is empty at first."""
    from brackets.core import kept

    with tempfile.TemporaryDirectory() as folder:
        os.environ[kept.FOLDER] = folder
        yield
        kept.flush()


def told(what: str, taken: list[tuple[float, float]], first: float) -> None:
    named = zip(STAGES, taken, strict=True)
    each = "  ".join(f"{name} {used:5.2f} ({clock:5.2f})" for name, (used, clock) in named)
    whole = sum(used for used, _ in taken)
    print(f"{what:28} {each}  all {whole:5.2f}, {whole / first:.2f} of the first", flush=True)


def main() -> int:
    bay, *words = sys.argv[1:] or ["recipes/tern.toml", *(word for one in STEPS for word in one)]
    steps = list(pairwise(words))[::2]
    from brackets.app.preview.bay_source import BaySource

    with nothing_kept():
        source = BaySource(bay)
        print("seconds of processor (by the clock)")
        taken = step(source, {})
        first = sum(used for used, _ in taken)
        told("as it is typed, from nothing", taken, first)
        for part, value in steps:
            name, _, text = value.partition("=")
            told(f"{part} {value}", step(source, {part: {name: text}}), first)
        each = list(trials(Path(bay).resolve()))
        middle = sorted(each)[len(each) // 2]
        print(f"the engine at another place  {middle[0]:.3f} ({middle[1]:.3f}), the middle of {len(each)}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
