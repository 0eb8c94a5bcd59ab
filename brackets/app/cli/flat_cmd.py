"""brackets flat: all blanks of a recipe or of a bay, counted, and laid out on plate."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import AsJson, Bare, By, Date, Into, NoFiles, Paper, Revision, ShopFile, Tolerance
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from brackets.app.cli.inches import Lengths
    from brackets.app.cli.kept_run import Done
    from brackets.app.cli.screen import Typed
    from brackets.core.finding import Finding
    from brackets.forming.shop import Shop
    from brackets.model.part import Part
    from brackets.output.flats import CutSheets, Landed

BLANKS = ("blank", "cut", "size", "material", "t", "kg each", "sheet")
SHEETS = ("sheet", "material", "t", "size", "blanks", "used", "would do")


def flat(
    words: Annotated[list[str], typer.Argument(metavar="RECIPE|BAY.toml [--NAME VALUE]", hidden=True)],
    into: Into = None,
    as_json: AsJson = False,
    paper: Paper = None,
    shop: ShopFile = None,
    bare: Bare = "mm",
    revision: Revision = "",
    by: By = "",
    date: Date = "",
    tolerance: Tolerance = "",
    no_files: NoFiles = False,
) -> int:
    """All blanks of a part or a bay on sheets of plate.

    Like blanks are counted once. Writes a picture of each sheet and a DXF of it at true size.
    """
    from brackets.app.cli.on_target import run_on_target

    marks = {"revision": revision, "by": by, "date": date, "tolerance": tolerance}

    def work(target: str, typed: Typed, scratch: Path | None) -> Done:
        return _laid_out(target, typed, scratch, into, as_json, paper, shop, bare, marks)

    options = (into, as_json, paper, bare, tuple(marks.items()))
    return run_on_target("flat", words, work, *options, shop=shop, writes=not no_files)


def _laid_out(
    target: str,
    typed: Typed,
    scratch: Path | None,
    into: Path | None,
    as_json: bool,
    paper: str | None,
    shop: Path | None,
    bare: str,
    marks: dict[str, str],
) -> Done:
    """What is printed, the status and the folder of the files, which are written to `scratch`."""
    from brackets.app.cli.inches import Lengths
    from brackets.app.cli.screen import progress
    from brackets.core.marks import Marks
    from brackets.forming.shop_file import load
    from brackets.output import facts
    from brackets.output.flats import flats, record, write
    from brackets.output.folder import refuse_foreign, result_folder

    if into is not None:
        refuse_foreign(into)
    mine = None if shop is None else load(shop)
    files: tuple[str, ...] = ()
    folder: Path | None = None
    with progress() as say:
        name, part, mine, said, unit, landed = (
            _bay(target, typed, paper, marks, mine, say)
            if target.endswith(".toml")
            else _recipe(target, typed, paper, marks, bare, mine)
        )
        say(f"{name}: laying out blanks")
        found = flats(part, mine, said, landed)
        if scratch is not None:
            folder = result_folder(name, "flat") if into is None else into
            files = write(found, scratch, name=name, paper=paper, marks=Marks(**marks), say=say)
    if as_json:
        text = facts.text(record(found, name=name, files=files, marks=Marks(**marks))).decode().rstrip("\n")
    else:
        text = flat_text(found, folder, files, Lengths(unit))
    return text, STOPS if found.stops else FINE, None if folder is None else str(folder)


Job = tuple[str, "Part", "Shop | None", "tuple[Finding, ...]", str, "Landed | None"]
"""Name, part, shop, what is said of the part, the unit that is typed, and what stands on its plates, None where the
pieces stand where they are welded."""


def _recipe(
    target: str, typed: Typed, paper: str | None, marks: dict[str, str], bare: str, shop: Shop | None
) -> Job:
    from brackets.app.cli.make_cmd import read_values
    from brackets.library.recipe import recipe
    from brackets.output.part_files import checked, made

    opened = recipe(target)
    thing = checked(made(opened, read_values(opened, typed, bare, paper=paper, marks=marks), shop))
    return opened.name, thing.part, shop, thing.findings, bare, None


def _bay(
    target: str,
    typed: Typed,
    paper: str | None,
    marks: dict[str, str],
    shop: Shop | None,
    say: Callable[[str], None],
) -> Job:
    """The parts of a bay as one, each piece under its part's name, and what its fit says of them.

    The shop is the bay's own where none is given.
    """
    from dataclasses import replace

    from brackets.app.cli.on_target import Refusals, refuse_paper
    from brackets.bay.file import read
    from brackets.bay.fitting import fit
    from brackets.core.marks import Marks
    from brackets.core.place import HERE
    from brackets.forming.shop import NO_TOOLS
    from brackets.model.part import assembled
    from brackets.output.flats import standing_on

    wrong = Refusals()
    wrong.of_a_bay(typed)
    wrong.tried(lambda: refuse_paper(paper))
    wrong.needed(lambda: Marks(**marks))
    bay = read(target)
    if shop is not None:
        bay = replace(bay, shop=shop)
    elif bay.shop is not NO_TOOLS:
        shop = bay.shop
    done = fit(bay, known_only=True, say=say)
    named = {p.name: p.name if p.hand is None else p.hand.named(p.name) for p in done.stood.parts}
    part = assembled(bay.name, [(named[p.name], p.part, HERE) for p in done.stood.parts])
    pieces = {piece.name for piece in part.pieces}

    def under(finding: Finding) -> Finding:
        """A finding of a piece alone, under the name the piece has in the whole."""
        of, _, piece = finding.piece.partition(": ")
        name = f"{named.get(of, of)}/{piece}"
        return replace(finding, piece=name) if name in pieces and finding.about == (of,) else finding

    landed = {
        plate: there
        for one in done.stood.parts
        for plate, there in standing_on(one.part, f"{named[one.name]}/").items()
    }
    return Path(target).stem, part, shop, tuple(under(finding) for finding in done.findings), bay.bare, landed


def flat_text(found: CutSheets, folder: Path | None, files: tuple[str, ...], at: Lengths) -> str:
    """A row for each blank and one for each sheet, what stands against them, and where the files are."""
    from brackets.app.cli.findings_view import cautions_text, findings_text
    from brackets.app.cli.inches import NOTICE
    from brackets.app.cli.screen import facts, table
    from brackets.rules.cautions import cautions

    blanks = [
        (
            ", ".join(one.names),
            str(len(one.names)),
            f"{at.figure(one.blank.length, '.1f')} x {at.figure(one.blank.width, '.1f')}",
            one.piece.material,
            f"{one.piece.t:g}",
            f"{one.kg:.3f}",
            ", ".join(map(str, one.sheets)) or "none",
        )
        for one in found.wanted
    ]
    sheets = [
        (
            str(number),
            layout.material,
            f"{layout.t:g}",
            f"{at.figure(layout.length)} x {at.figure(layout.width)}",
            str(len(layout.blanks)),
            f"{100 * layout.used:.1f} %",
            f"{at.figure(layout.taken[0], '.0f')} x {at.figure(layout.taken[1], '.0f')}",
        )
        for number, layout in enumerate(found.layouts, 1)
    ]
    total = sum(len(one.names) * one.kg for one in found.wanted)
    told = [
        ("blanks", f"{sum(len(one.names) for one in found.wanted)}, {total:.3f} kg"),
        ("files", f"{folder}: {', '.join(files)}" if folder else "none written"),
        *((("lengths", NOTICE),) if at.inch else ()),
        ("shop", found.shop.name + ("; give your own with --shop" if found.shop.sample else "")),
    ]
    return "\n\n".join(
        (
            table(BLANKS, blanks, right=(1, 2, 4, 5)) if blanks else "no blanks: nothing here is cut from plate",
            *([table(SHEETS, sheets, right=(2, 4, 5, 6))] if sheets else ()),
            facts(told),
            findings_text(found.findings, at),
            cautions_text(cautions("strength")),
        )
    )
