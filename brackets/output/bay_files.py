"""The files of a fitted bay: the assembly, each part and what it is cut by, the gaps as CSV, all facts as JSON."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from brackets.bay.fitting import Fit
from brackets.bay.moving import by_pair
from brackets.bay.owners import of_part, sheet_cautions
from brackets.bay.pairs import at_least
from brackets.output.bay_facts import record

HEAD = (
    "a", "b", "state", "class", "low_mm", "high_mm", "needed_mm", "spare_mm",
    "moved_low_mm", "moved_high_mm", "moved_needed_mm", "px", "py", "pz", "qx", "qy", "qz", "note",
)  # fmt: skip
TAKEN = ("assembly", "gaps", "ways", "facts")
"""Stems of the files of the bay itself."""

WAY_HEAD = (
    "way", "part", "out", "leg", "along", "free", "of", "unit", "low_mm", "high_mm", "needed_mm", "a", "b",
    "held_by",
)  # fmt: skip


def write(
    fit: Fit, into: Path, *, paper: str | None = None, say: Callable[[str], None] = lambda _: None
) -> tuple[str, ...]:
    """Writes them into the folder `into`, which is swapped whole; returns their names in order.

    `paper` is the shop's where none is given.
    """
    from brackets.output import assembly, cut_files, facts, folder, step, stl
    from brackets.output.stems import unique_stems

    files: list[str] = []
    taken = set(TAKEN)
    named = unique_stems(
        (part.name if part.hand is None else part.hand.named(part.name) for part in fit.stood.parts), taken
    )
    with folder.fresh(into) as at:
        for part, stem in zip(fit.stood.parts, named, strict=True):
            say(f"{part.name}: writing solids and what it is cut by")
            for module, suffix in ((step, "step"), (stl, "stl")):
                module.write(part.part, at / f"{stem}.{suffix}")
                files.append(f"{stem}.{suffix}")
            shop = fit.bay.shop
            title = cut_files.title(part.name, part.params, shop, worked_out=part.worked_out, hand=part.hand)
            said = of_part(fit.bay, part.part, part.name, fit.findings)
            cuts = cut_files.cuts(part.part, title, said, shop=shop, mind=sheet_cautions(fit.bay, part))
            files += cut_files.write(cuts, at, name=stem, shop=shop, paper=paper, taken=taken)
        say("writing the assembly")
        whole = [
            *(replace(part.part, name=part.name) for part in fit.stood.parts),
            *(replace(thing.part, name=thing.name) for thing in fit.stood.bought),
        ]
        if whole:
            assembly.write(whole, at / "assembly.step", name=fit.bay.name)
            files.append("assembly.step")
        gaps(fit, at / "gaps.csv")
        files.append("gaps.csv")
        if fit.ways:
            ways(fit, at / "ways.csv")
            files.append("ways.csv")
        files.append("facts.json")
        facts.write(record(fit, files=tuple(files)), at / "facts.json")
    return tuple(files)


def gaps(fit: Fit, path: Path) -> None:
    """Every pair as a row, worst first."""
    moves = by_pair(fit.moved)
    with path.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.writer(out)
        sheet.writerow(HEAD)
        for pair in fit.pairs:
            move = moves.get(frozenset((pair.a, pair.b)))
            moved = ("", "", "") if move is None else (at_least(move.low, 4), move.high, move.needed)
            still = (at_least(pair.low, 4), pair.high, pair.needed, at_least(pair.spare, 4))
            figures = (*still, *moved, *pair.p, *pair.q)
            said = (f if isinstance(f, str) else f"{f:.4f}" for f in figures)
            sheet.writerow([pair.a, pair.b, pair.state, pair.asked.kind, *said, pair.note])


def ways(fit: Fit, path: Path) -> None:
    """Every way in or out as a row: how far it is free, the least gap on it, and between what."""
    with path.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.writer(out)
        sheet.writerow(WAY_HEAD)
        for way in fit.ways:
            leg, along = ("", None) if way.at is None else way.at
            last = way.legs[-1] if way.legs else None
            a, b = way.pair or ("", "")
            free, length = (None, None) if last is None else (last.free, last.length)
            figures = [along, free, length, "" if last is None else last.unit, way.low, way.high, way.needed]
            said = [f"{f:.4f}" if isinstance(f, float) else f or "" for f in figures]
            outcome = "yes" if way.out else "no"
            sheet.writerow([way.name, way.part, outcome, leg, *said, a, b, " ".join(way.held)])
