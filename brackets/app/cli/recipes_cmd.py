"""brackets recipes: what there is, and what a recipe asks for."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from brackets.app.cli.screen import AsJson
from brackets.app.cli.trouble import FINE


def recipes(
    name: Annotated[
        str | None, typer.Argument(metavar="RECIPE", help="A shipped recipe, or your own file.py.")
    ] = None,
    as_json: AsJson = False,
    tried: Annotated[
        bool, typer.Option("--limits", help="With RECIPE: what the other defaults leave; takes seconds.")
    ] = False,
    html: Annotated[
        Path | None,
        typer.Option("--html", metavar="FILE", help="Write a page of all recipes, and of the keys of all files."),
    ] = None,
) -> int:
    """What recipes there are; what one asks for.

    With RECIPE: its values with default, limits and meaning. With --html the gallery: a picture
    of each recipe, its values and a command, and every key of bay, shop and readings; offline.
    """
    import json

    if html is not None:
        return _gallery(html, alone=name is None and not as_json and not tried)

    from brackets.app.cli.rules_view import rules_json, rules_text
    from brackets.app.cli.screen import table
    from brackets.library import recipe as recipe_file

    if name is not None:
        opened = recipe_file.recipe(name)
        print(json.dumps(rules_json(opened, tried), indent=2) if as_json else rules_text(opened, tried))
        return FINE
    known = [(each, recipe_file.about(each)) for each in recipe_file.recipes()]
    if as_json:
        listed = [{"name": each, "about": about} for each, about in known]
        print(json.dumps({"format": 1, "recipes": listed}, indent=2))
    else:
        print(table(("recipe", "what it makes"), known))
        print("\nbrackets recipes RECIPE shows its values; brackets make RECIPE makes it.")
    return FINE


def _gallery(file: Path, *, alone: bool) -> int:
    from brackets.core.errors import InputError

    if not alone:
        raise InputError("--html = given with RECIPE, --json or --limits, must stand alone: the page has them all")
    from brackets.app.cli.screen import progress
    from brackets.app.gallery.page import page
    from brackets.library.recipe import recipes as shipped
    from brackets.output.folder import replacing

    with progress() as say, replacing(file) as new:
        new.write_text(page(shipped(), say), "utf-8")
    print(file)
    return FINE
