"""What a recipe's file must have: Params that let their defaults pass, build, no value named like an option."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

from brackets.core.errors import BadRecipe, InputError
from brackets.core.schema.checked import Checked, Param, fields
from brackets.core.schema.links import link_problems
from brackets.library.recipe_errors import RecipeErrors

RESERVED = frozenset(
    (
        "apart",
        "as_printed",
        "bare",
        "bushes",
        "by",
        "card",
        "casting",
        "cluster",
        "counted",
        "crease",
        "cut",
        "dark",
        "date",
        "dummies",
        "engaged",
        "files",
        "fit_all",
        "fold",
        "from",
        "gamma",
        "gaps",
        "gauge",
        "general_tolerance",
        "grade",
        "hand",
        "hands",
        "held_at",
        "help",
        "html",
        "into",
        "jig_base_t",
        "jig_clearance",
        "jig_height",
        "jig_margin",
        "jig_room",
        "jig_up",
        "jig_upright_t",
        "joints",
        "json",
        "keep_outs",
        "least_wall",
        "lie",
        "lightest",
        "load",
        "load_factor",
        "no_axes",
        "no_browser",
        "no_files",
        "onto_metal",
        "onto_t",
        "own_factor",
        "paper",
        "part",
        "parts",
        "pictures",
        "pixels",
        "png",
        "preload",
        "press",
        "pull_apart",
        "revision",
        "row_name",
        "rows",
        "semicolons",
        "sheet",
        "shop",
        "skip",
        "sort",
        "test_print",
        "time_limit",
        "workers",
    )
)
"""Names a value may not have: the command line has options of these names."""


def guard_rules(path: Path, module: ModuleType) -> None:
    """Relations between values, and what follows what, are a stranger's code too, run wherever Params are made."""
    rules, follow = module.Params.rules, module.Params._follow

    def guarded(params: Checked) -> Iterator[str]:
        with RecipeErrors(path, "checking its values", module):
            found = list(rules(params))
        for said in found:
            if not isinstance(said, str):
                raise BadRecipe(f"{path}: rules yielded {kind(said)}, must be: a line of text")
        yield from found

    def following(params: Checked) -> None:
        with RecipeErrors(path, "working out its values", module):
            follow(params)

    module.Params.rules = guarded
    module.Params._follow = following


def conforms(path: Path, module: ModuleType) -> None:
    """BadRecipe unless the module has Params, rules for every value, sensible defaults, and build."""
    missing = [name for name in ("Params", "build") if not hasattr(module, name)]
    if missing:
        raise BadRecipe(f"{path}: has no {' and no '.join(missing)}, must have: Params and build(p)")
    uncallable = [name for name in ("build", "check") if not callable(getattr(module, name, len))]
    if uncallable:
        raise BadRecipe(f"{path}: {uncallable[0]} is no function, must be: {uncallable[0]}(p)")
    params = module.Params
    if not isinstance(params, type) or not issubclass(params, Checked):
        raise BadRecipe(f"{path}: Params is {kind(params)}, must be: a dataclass deriving from Checked")
    with RecipeErrors(path, "reading the rules of Params"):
        known = fields(params)
    taken = sorted(param.name for param in known if param.name in RESERVED)
    if taken:
        raise BadRecipe(f"{path}: a value is named {taken[0]}, must be another word: the command line uses it")
    unlinked = [problem for param in known for problem in link_problems(param.name, param.rule)]
    if unlinked:
        raise BadRecipe(f"{path}: {'; '.join(unlinked)}")
    refused = [problem for param in known for problem in _of_default(param)]
    if refused:
        raise BadRecipe(f"{path}: a default is refused: {'; '.join(refused)}")


def _of_default(param: Param) -> tuple[str, ...]:
    """What is wrong with the default by itself; relations between values are asked when Params are made."""
    if param.required:
        return ()
    try:
        param.plain(param.default)
    except InputError as error:
        return error.problems
    return ()


def kind(value: Any) -> str:
    return "nothing" if value is None else f"a {type(value).__name__}"
