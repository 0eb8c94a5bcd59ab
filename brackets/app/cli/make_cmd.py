"""brackets make: one part of a recipe, its mass, findings and files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from brackets.app.cli.screen import (
    AsJson,
    Bare,
    By,
    Date,
    Into,
    NoFiles,
    Paper,
    Revision,
    Semicolons,
    ShopFile,
    Tolerance,
)
from brackets.app.cli.trouble import FINE, STOPS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from brackets.app.cli.kept_run import Done
    from brackets.app.cli.screen import Typed
    from brackets.core.schema.checked import Checked
    from brackets.library.recipe import Recipe

NONE_TYPED: Mapping[str, str] = {}


def make(
    ctx: typer.Context,
    words: Annotated[list[str] | None, typer.Argument(metavar="RECIPE [--NAME VALUE]", hidden=True)] = None,
    into: Into = None,
    as_json: AsJson = False,
    bare: Bare = "mm",
    paper: Paper = None,
    shop: ShopFile = None,
    hand: Annotated[
        str | None,
        typer.Option("--hand", metavar="left|right", help="As written (left) or its mirror image (right)."),
    ] = None,
    revision: Revision = "",
    by: By = "",
    date: Date = "",
    tolerance: Tolerance = "",
    semicolons: Semicolons = False,
    no_files: NoFiles = False,
    help_too: Annotated[bool, typer.Option("--help", "-h", help="This text; with RECIPE its values too.")] = False,
) -> int:
    """One part: solid, mesh, templates, cut files, mass and findings.

    RECIPE is a shipped recipe or your own file.py. Every value of the recipe is an option:
    --bush-od 50 --t 1/4in --holes "0,0 80,0" or --holes @file.csv.
    """
    from brackets.app.cli.screen import one_word, split

    typed = split(words or [])
    if help_too:
        return _help(ctx, typed)

    from brackets.app.cli.kept_run import kept_run
    from brackets.app.inputs import contents, files_of, named

    target = one_word(typed, "recipe", "brackets make cup --bush-od 50")

    marks = {"revision": revision, "by": by, "date": date, "tolerance": tolerance}

    def work(scratch: Path | None) -> Done:
        return _made(target, typed, scratch, into, as_json, bare, paper, shop, hand, marks, semicolons)

    def inputs() -> tuple[tuple[str, str], ...]:
        mine = set() if shop is None else files_of(shop)
        return contents(mine | named((target, *typed.texts.values()), Path.cwd()))

    options = (tuple(words or ()), into, as_json, bare, paper, shop, hand, tuple(marks.items()), semicolons)
    return kept_run("make", work, inputs, options, writes=not no_files)


def _made(
    target: str,
    typed: Typed,
    scratch: Path | None,
    into: Path | None,
    as_json: bool,
    bare: str,
    paper: str | None,
    shop: Path | None,
    hand: str | None,
    marks: dict[str, str],
    semicolons: bool,
) -> Done:
    """What is printed, the status and the folder of the files, which are written to `scratch`."""
    from dataclasses import replace

    from brackets.app.cli.inches import Lengths
    from brackets.app.cli.made_view import made_text
    from brackets.app.cli.screen import progress
    from brackets.core.marks import Marks
    from brackets.forming.shop_file import default as default_shop
    from brackets.forming.shop_file import load as load_shop
    from brackets.library import recipe as recipe_file
    from brackets.output import facts
    from brackets.output.folder import refuse_foreign, result_folder
    from brackets.output.part_files import checked, made, record, write

    opened = recipe_file.recipe(target)
    mine = default_shop() if shop is None else load_shop(shop)
    params = read_values(opened, typed, bare, paper=paper, hand=hand, marks=marks)
    folder: Path | None = None
    with progress() as say:
        thing = made(opened, params, mine, hand="right" if hand == "right" else "left" if hand == "left" else "")
        if scratch is not None:
            folder = result_folder(thing.name) if into is None else into
            refuse_foreign(folder)
            thing = write(thing, scratch, paper=paper, semicolons=semicolons, say=say, **marks)
        else:
            say(f"{opened.name}: making its solids")
            thing = replace(checked(thing), marks=Marks(**marks))
    text = facts.text(record(thing)).decode().rstrip("\n") if as_json else made_text(thing, folder, Lengths(bare))
    return text, STOPS if thing.stops else FINE, None if folder is None else str(folder)


def read_values(
    opened: Recipe,
    typed: Typed,
    bare: str,
    *,
    paper: str | None = None,
    hand: str | None = None,
    marks: Mapping[str, str] = NONE_TYPED,
) -> Checked:
    """The recipe's Params from what was typed; everything that is wrong in one InputError."""
    from brackets.app.cli.on_target import Refusals, refuse_bare, refuse_paper, unit_of
    from brackets.core.marks import Marks
    from brackets.library.limits import params_or_cures

    wrong = Refusals(typed.problems)
    wrong.tried(lambda: refuse_paper(paper))
    if hand not in (None, "left", "right"):
        must = "must be left or right: the recipe as written, or its mirror image"
        wrong.problems.append(f'--hand = "{hand}", {must}')
    wrong.tried(lambda: Marks(**marks))
    wrong.tried(lambda: refuse_bare(bare))
    return wrong.needed(lambda: params_or_cures(opened, typed.texts, bare=unit_of(bare)))


def _help(ctx: typer.Context, typed: Typed) -> int:
    print(ctx.get_help())
    if typed.words:
        from brackets.app.cli.rules_view import rules_text
        from brackets.library import recipe as recipe_file

        print(f"\n{rules_text(recipe_file.recipe(typed.words[0]))}")
    return FINE
