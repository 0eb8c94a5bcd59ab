"""brackets card: a part or a bay as a mock-up of card, at true size on paper."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import AsJson, Bare, Into, NoFiles, Paper, ShopFile
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from brackets.app.cli.inches import Lengths
    from brackets.app.cli.kept_run import Done
    from brackets.app.cli.screen import Typed
    from brackets.forming.card_stock import Card
    from brackets.forming.shop import Shop
    from brackets.mockups.card_part import CardMockUp

COLUMNS = ("of", "piece", "made", "cut", "outside", "sheets")


def card(
    words: Annotated[list[str], typer.Argument(metavar="RECIPE|BAY.toml [--NAME VALUE]", hidden=True)],
    into: Into = None,
    as_json: AsJson = False,
    paper: Paper = None,
    shop: ShopFile = None,
    bare: Bare = "mm",
    thickness: Annotated[
        str | None, typer.Option("--card", metavar="LENGTH", help="Of the card; default 1 mm.")
    ] = None,
    crease: Annotated[
        str | None,
        typer.Option("--crease", metavar="LENGTH", help="What a fold of 90 degrees adds to a leg; default half."),
    ] = None,
    sheet: Annotated[
        str | None, typer.Option("--sheet", metavar="LxW", help="Sheet of card there is; what is larger is joined.")
    ] = None,
    part: Annotated[str | None, typer.Option("--part", metavar="NAME", help="Of a bay: this part alone.")] = None,
    keep_outs: Annotated[
        bool, typer.Option("--keep-outs", help="Of a bay: its keep-outs too, as boxes and wraps.")
    ] = False,
    bushes: Annotated[bool, typer.Option("--bushes", help="Of a bay: its bushes and sleeves too.")] = False,
    no_files: NoFiles = False,
) -> int:
    """A part or a bay in card, to check the fit.

    Fold-ups, stacks and wraps at true size; outside sizes are the steel's. Fold the test strip of the first sheet
    first.
    """
    from brackets.app.cli.on_target import run_on_target

    sizes = (("thickness", thickness), ("crease", crease), ("sheet", sheet))
    asked = _Asked(paper=paper, bare=bare, sizes=sizes, part=part, keep_outs=keep_outs, bushes=bushes)

    def work(target: str, typed: Typed, scratch: Path | None) -> Done:
        return _made(target, typed, asked, shop, scratch, into, as_json)

    return run_on_target("card", words, work, into, as_json, asked, shop=shop, writes=not no_files)


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """What was asked for, as typed."""

    paper: str | None
    bare: str
    sizes: tuple[tuple[str, str | None], ...]
    part: str | None
    keep_outs: bool
    bushes: bool

    @property
    def card(self) -> Card:
        """The card. Raises InputError with all that is wrong with it."""
        from brackets.app.cli.on_target import as_options, unit_of
        from brackets.core.schema.reading import from_texts
        from brackets.forming.card_stock import Card, CardRow

        texts = {name: text for name, text in self.sizes if text is not None}
        flags = {"thickness": "card", "crease": "crease", "sheet": "sheet"}
        row = as_options(lambda: from_texts(CardRow, texts, bare=unit_of(self.bare)), flags)
        return Card.of(row.thickness, row.crease, row.sheet)


def _made(
    target: str,
    typed: Typed,
    asked: _Asked,
    shop: Path | None,
    scratch: Path | None,
    into: Path | None,
    as_json: bool,
) -> Done:
    """What is printed, the status and the folder of the files, which are written to `scratch`."""
    from brackets.app.cli.inches import Lengths
    from brackets.app.cli.screen import progress
    from brackets.forming.shop_file import load
    from brackets.mockups.card_files import record, said, write
    from brackets.output import facts
    from brackets.output.folder import refuse_foreign, result_folder

    if into is not None:
        refuse_foreign(into)
    files: tuple[str, ...] = ()
    folder: Path | None = None
    with progress() as say:
        mine = None if shop is None else load(shop)
        work = _bay if target.endswith(".toml") else _recipe
        name, found, mine, bare = work(target, typed, asked, mine)
        if scratch is not None:
            folder = result_folder(name, "card") if into is None else into
            files = write(found, scratch, name=name, shop=mine, paper=asked.paper, say=say)
    if as_json:
        text = facts.text(record(found, name=name, files=files)).decode().rstrip("\n")
    else:
        text = card_text(found, folder, files, mine, Lengths(bare))
    stops = any(finding.stops for finding in said(found))
    return text, STOPS if stops else FINE, None if folder is None else str(folder)


Found = tuple[str, "tuple[CardMockUp, ...]", "Shop", str]
"""Name, mock-ups, the shop whose printer it is, and the unit that is typed."""


def _recipe(target: str, typed: Typed, asked: _Asked, shop: Shop | None) -> Found:
    from brackets.app.cli.make_cmd import read_values
    from brackets.app.cli.on_target import Refusals
    from brackets.library.recipe import recipe
    from brackets.mockups.card_part import card as in_card
    from brackets.output import cut_files
    from brackets.output.part_files import made

    wrong = Refusals()
    if asked.part is not None or asked.keep_outs or asked.bushes:
        wrong.problems.append(
            "--part, --keep-outs, --bushes = given, must be left out with a recipe: they are of a bay"
        )
    wrong.tried(lambda: asked.card)
    opened = recipe(target)
    params = wrong.needed(lambda: read_values(opened, typed, asked.bare, paper=asked.paper))
    of = asked.card
    thing = made(opened, params, shop)
    title = cut_files.title(opened.name, params, thing.shop)
    found = in_card(
        thing.part, thickness=of.t, crease=of.crease, sheet=of.sheet, title=title, findings=thing.findings
    )
    return opened.name, (found,), thing.shop, asked.bare


def _bay(target: str, typed: Typed, asked: _Asked, shop: Shop | None) -> Found:
    from dataclasses import replace

    from brackets.app.cli.on_target import Refusals, refuse_bare, refuse_paper
    from brackets.bay.file import read
    from brackets.forming.shop import NO_TOOLS
    from brackets.forming.shop_file import default
    from brackets.mockups.card_bay import bay_cards

    wrong = Refusals()
    wrong.of_a_bay(typed)
    wrong.tried(lambda: refuse_paper(asked.paper))
    wrong.tried(lambda: refuse_bare(asked.bare))
    of = wrong.needed(lambda: asked.card)
    bay = read(target)
    if shop is not None:
        bay = replace(bay, shop=shop)
    found = bay_cards(bay, of, part=asked.part, keep_outs=asked.keep_outs, bushes=asked.bushes)
    return Path(target).stem, found, default() if bay.shop is NO_TOOLS else bay.shop, bay.bare


def card_text(
    found: Sequence[CardMockUp], folder: Path | None, files: tuple[str, ...], shop: Shop, at: Lengths
) -> str:
    """A row for each piece, what there is none of, what is said, and where the files are."""
    from brackets.app.cli.findings_view import findings_text
    from brackets.app.cli.inches import NOTICE
    from brackets.app.cli.screen import facts, table
    from brackets.drawing.card import BANNER
    from brackets.mockups.card_files import said

    rows = [
        (
            one.name,
            ", ".join(piece.names),
            piece.made,
            str(piece.count),
            "" if piece.outside is None else " x ".join(at.figure(size, ".1f") for size in piece.outside),
            str(len(piece.drawings)),
        )
        for one in found
        for piece in one.pieces
    ]
    without = [name for one in found for name in one.without]
    cards = dict.fromkeys(one.card for one in found)
    told = [
        *(("card", f"{at.figure(of.t)} thick, a fold adds {at.figure(of.crease)} to a leg") for of in cards),
        *((("no card of", ", ".join(without)),) if without else ()),
        ("files", f"{folder}: {', '.join(files)}" if folder else "none written"),
        ("paper", 'print at 100 %, not "fit to page", and measure the bars on every sheet first'),
        *((("lengths", NOTICE),) if at.inch else ()),
        ("shop", shop.name + ("; give your own with --shop" if shop.sample else "")),
    ]
    return "\n\n".join(
        (
            table(COLUMNS, rows, right=(3, 5)) if rows else "nothing of it is made of card",
            facts(told),
            findings_text(said(found), at),
            f"{BANNER}.",
        )
    )
