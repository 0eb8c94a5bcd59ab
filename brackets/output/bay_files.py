"""The files of a fitted bay: solids and sheets of each part, the bay as a whole, all facts as JSON."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TypeGuard, assert_never

from brackets.bay.fitting import Fit
from brackets.bay.held_sheet import strength_sheet
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.stand.hardware import Bought
from brackets.bay.stand.owners import of_part, sheet_cautions
from brackets.bay.stand.placed_part import BayThing, BossHead, PlacedPart, ThroughBolt
from brackets.core.ahead import ahead
from brackets.core.finding import Finding
from brackets.core.marks import NO_MARKS, Marks
from brackets.output import bay_facts, facts, formats
from brackets.output.kept_files import Files, kept_files
from brackets.output.workbook import with_semicolons


def write(
    fit: Fit,
    into: Path,
    *,
    paper: str | None = None,
    marks: Marks = NO_MARKS,
    semicolons: bool = False,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[str, ...]:
    """Writes them into the folder `into`, which is swapped whole; returns their names in order.

    `paper` is the shop's where none is given; `marks` stand in the title blocks of the sheets;
    `semicolons`: whether CSV has ; between cells and a byte order mark.
    """
    from brackets.output import folder
    from brackets.output.folder import unique_stems

    files: list[str] = []
    taken = formats.stems_of_a_bay()
    parts = [thing.of for thing in fit.things if cut_here(thing.of)]
    named = unique_stems((part.name if part.hand is None else part.hand.named(part.name) for part in parts), taken)
    with folder.fresh(into) as at:
        each = [
            partial(_of_one, fit, part, stem, paper=paper, taken=set(taken), marks=marks)
            for part, stem in zip(parts, named, strict=True)
        ]
        with ahead(each):
            for part, stem in zip(parts, named, strict=True):
                say(f"{part.name}: writing solids and what it is cut by")
                made = _of_one(fit, part, stem, paper=paper, taken=taken, marks=marks)
                taken.update(Path(name).stem.lower() for name, _ in made)
                for name, data in made:
                    (at / name).write_bytes(data)
                    files.append(name)
        say("writing the assembly")
        files += formats.write("bay", fit, at)
        if semicolons:
            with_semicolons(at, files)
        files.append(facts.NAME)
        formats.write("facts", bay_facts.record(fit, files=tuple(files), marks=marks), at)
    return tuple(files)


def _of_one(
    fit: Fit,
    part: PlacedPart,
    stem: str,
    *,
    paper: str | None,
    taken: set[str],
    marks: Marks,
) -> Files:
    """The files of one part; `taken` are stems that others have."""
    from brackets.output import cut_files
    from brackets.output.set_up import set_up_cuts

    shop = fit.bay.shop
    title = cut_files.title(
        part.name,
        part.params,
        shop,
        marks,
        worked_out=part.worked_out,
        unfilled=part.unfilled,
        hand=part.hand,
    )
    said = [_as_printed(one) for one in of_part(fit.bay, part.part, part.name, fit.findings)]
    mind = sheet_cautions(fit.bay, part)
    strength = None if fit.held is None else strength_sheet(fit.held, part.name, title)

    alike = {name for name in taken if name.startswith(stem.lower())}
    """Those that its own files, whose names begin so, could be taken for."""

    def solids(folder: Path) -> Sequence[str]:
        return formats.write("part", part.part, folder, stem)

    def sheets(folder: Path) -> Sequence[str]:
        cuts = cut_files.cuts(part.part, title, said, shop=shop, mind=mind)
        cuts += set_up_cuts(part.part, title, said, shop=shop, paper=paper)
        if strength is not None:
            cuts += (cut_files.Cut(names=(), drawings=(strength,), flat=False),)
        return cut_files.write(cuts, folder, name=stem, shop=shop, paper=paper, taken=set(alike))

    return (
        *kept_files("solids of a part", solids, part.part, stem),
        *kept_files("sheets of a part", sheets, part.part, stem, title, said, shop, mind, paper, alike, strength),
    )


def _as_printed(finding: Finding) -> Finding:
    """Without the figures that a sheet has in the words alone: their last digits draw no sheet anew."""
    return replace(finding, value=None, limit=None, about=())


def cut_here(thing: BayThing) -> TypeGuard[PlacedPart]:
    """Whether a body of the bay gets solids and sheets of its own among the files: the parts do."""
    match thing:
        case PlacedPart():
            return True
        case Bought() | KeepOut() | BossHead() | ThroughBolt():
            return False
        case _:
            assert_never(thing)
