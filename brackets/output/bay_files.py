"""The files of a fitted bay: each part and what it is cut by, the bay as a whole, all facts as JSON."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TypeGuard, assert_never

from brackets.bay.fitting import Fit
from brackets.bay.hardware import Bought
from brackets.bay.owners import of_part, sheet_cautions
from brackets.bay.placed_part import BayThing, BossHead, PlacedPart, ThroughBolt
from brackets.bay.schema import KeepOut
from brackets.output import facts, formats
from brackets.output.bay_facts import record


def write(
    fit: Fit, into: Path, *, paper: str | None = None, say: Callable[[str], None] = lambda _: None
) -> tuple[str, ...]:
    """Writes them into the folder `into`, which is swapped whole; returns their names in order.

    `paper` is the shop's where none is given.
    """
    from brackets.output import cut_files, folder
    from brackets.output.stems import unique_stems

    files: list[str] = []
    taken = formats.stems_of_a_bay()
    parts = [thing.of for thing in fit.things if cut_here(thing.of)]
    named = unique_stems((part.name if part.hand is None else part.hand.named(part.name) for part in parts), taken)
    with folder.fresh(into) as at:
        for part, stem in zip(parts, named, strict=True):
            say(f"{part.name}: writing solids and what it is cut by")
            files += formats.write("part", part.part, at, stem)
            shop = fit.bay.shop
            title = cut_files.title(
                part.name,
                part.params,
                shop,
                worked_out=part.worked_out,
                unfilled=part.unfilled,
                hand=part.hand,
            )
            said = of_part(fit.bay, part.part, part.name, fit.findings)
            cuts = cut_files.cuts(part.part, title, said, shop=shop, mind=sheet_cautions(fit.bay, part))
            files += cut_files.write(cuts, at, name=stem, shop=shop, paper=paper, taken=taken)
        say("writing the assembly")
        files += formats.write("bay", fit, at)
        files.append(facts.NAME)
        formats.write("facts", record(fit, files=tuple(files)), at)
    return tuple(files)


def cut_here(thing: BayThing) -> TypeGuard[PlacedPart]:
    """Whether a body of the bay gets solids and sheets of its own among the files: the parts do."""
    match thing:
        case PlacedPart():
            return True
        case Bought() | KeepOut() | BossHead() | ThroughBolt():
            return False
        case _:
            assert_never(thing)
