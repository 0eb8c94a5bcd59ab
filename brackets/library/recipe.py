"""Opens a recipe: a Python file with Params, build and perhaps check, shipped or the user's own.

A recipe is loaded under a name made from its path and its source: two files of one name never mix, and neither do
two copies of one file, each of which may read what lies beside it.
"""

from __future__ import annotations

import ast
import copyreg
import hashlib
import os
import sys
import threading
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING

from brackets.core.errors import BadFile, BadRecipe
from brackets.core.schema.checked import Checked, Param, fields
from brackets.core.schema.reading import stated
from brackets.core.schema.reading import typed as typed_values
from brackets.core.schema.rule import Plain
from brackets.core.text_files import given_bytes
from brackets.library.recipe_errors import RecipeErrors
from brackets.library.recipe_shape import conforms, guard_rules, kind

if TYPE_CHECKING:
    from brackets.core.finding import Finding
    from brackets.forming.shop import Shop
    from brackets.model.part import Part

_LOADING = threading.RLock()
"""Held while a recipe is run; a recipe that opens another one holds it twice."""


@dataclass(frozen=True)
class Recipe:
    """An opened recipe: the class of its values (`Params`), its rules (`check`) and its part (`build`).

    Two are equal when they are the same file with the same source.
    """

    name: str
    path: Path
    source_hash: str
    module: ModuleType = field(compare=False, repr=False)

    @property
    def Params(self) -> type[Checked]:  # noqa: N802  (the name of the class in the file)
        """The class of the recipe's values."""
        params: type[Checked] = self.module.Params
        return params

    @property
    def params(self) -> tuple[Param, ...]:
        """Name, rule and default of every value, in the order written."""
        return fields(self.Params)

    @property
    def doc(self) -> str:
        """The first line of what the file says about itself."""
        return _first_line(self.module.__doc__)

    def check(self, params: Checked, shop: Shop | None = None) -> tuple[Finding, ...]:
        """What the recipe's own rules say of these values; empty where it has none.

        A recipe whose `check` takes a shop too is given `shop`, where there is one.
        """
        checker: Callable[..., Iterable[Finding]] | None = getattr(self.module, "check", None)
        if checker is None:
            return ()
        with RecipeErrors(self.path, "checking", self.module):
            asks = () if shop is None or not _takes_shop(checker) else (shop,)
            found = tuple(checker(self._mine(params), *asks))
        from brackets.core.finding import Finding

        for finding in found:
            if not isinstance(finding, Finding):
                raise BadRecipe(f"{self.path}: check yielded {kind(finding)}, must be: Finding")
        return found

    def build(self, params: Checked) -> Part:
        """The part of these values. Raises InputError where they make none, BadRecipe where the recipe fails."""
        with RecipeErrors(self.path, "building", self.module):
            part = self.module.build(self._mine(params))
        from brackets.model.part import Part

        if not isinstance(part, Part):
            raise BadRecipe(f"{self.path}: build returned {kind(part)}, must be: Part")
        return part

    def _mine(self, params: Checked) -> Checked:
        if not isinstance(params, self.Params):
            raise BadRecipe(f"{self.path}: given the values of another recipe, must be: Params of {self.name}")
        return params

    def __reduce__(self) -> tuple[Callable[[str], Recipe], tuple[str]]:
        return recipe, (str(self.path),)


def _takes_shop(checker: Callable[..., object]) -> bool:
    from inspect import signature

    return len(signature(checker).parameters) > 1


def recipe(name_or_path: str | Path, *, beside: Path | None = None) -> Recipe:
    """A recipe, opened: a shipped one by its name, or the user's own file by its path (with .py or a slash).

    name_or_path: "cup", "mine.py"; beside: the folder that a path is relative to, None for where the program runs.
    Returns a Recipe with `.Params`, `.check` and `.build`. Raises BadRecipe with one line that says what is wrong.

    >>> cups = recipe("cup")
    >>> values = cups.Params(bush_od=54)
    >>> values.od, cups.build(values).seat("bush").d  # 5 mm of wall round the bush
    (64.0, 54.0)
    """
    path = _path(str(name_or_path), beside)
    source = _source(path)
    digest = hashlib.sha256(source).hexdigest()
    return Recipe(name=path.stem, path=path, source_hash=digest, module=_module(path, source, digest))


def recipes() -> tuple[str, ...]:
    """Names of the shipped recipes, in the order of the alphabet.

    >>> recipes()[:3]
    ('adaptor', 'base_plate', 'bracket_tray')
    """
    return tuple(sorted(path.stem for path in shipped().glob("*.py") if not path.stem.startswith("_")))


def shipped() -> Path:
    """The folder of the shipped recipes: inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parents[1]
    inside = package / "_recipes"
    return inside if inside.is_dir() else package.parent / "recipes"


def about(name: str) -> str:
    """First line that a shipped recipe says about itself; its file is read, not run.

    name: one of `recipes()`. A file that is no Python gives a line that says so. Raises BadRecipe where there is
    none of that name.

    >>> about("cup")
    'Cup: a tube bored for the bush, pressed or slipped in.'
    """
    path = shipped() / f"{name}.py"
    try:
        return _first_line(ast.get_docstring(ast.parse(_source(path))))
    except SyntaxError as error:
        return f"does not read: line {error.lineno}: {error.msg}"


def _path(given: str, beside: Path | None) -> Path:
    if given.endswith(".py") or "/" in given or "\\" in given:
        try:
            return ((Path.cwd() if beside is None else beside) / Path(given).expanduser()).resolve()
        except (ValueError, RuntimeError) as error:  # a zero byte; a home that nobody has
            raise BadRecipe(f"{given!r}: {error}, must be: the path of a recipe, a Python file") from None
    names = recipes()
    if given in names:
        return shipped() / f"{given}.py"
    from brackets.core.names import nearest

    near = nearest(given, names, n=1)
    hint = f"nearest: {near[0]}; " if near else ""
    raise BadRecipe(
        f'recipe = "{given[:60]}", no such recipe, {hint}there are {", ".join(names)}; your own ends in .py'
    )


def _source(path: Path) -> bytes:
    try:
        return given_bytes(path, what="a recipe, a Python file with Params and build")
    except BadFile as error:
        raise BadRecipe(str(error)) from None


def _module(path: Path, source: bytes, digest: str) -> ModuleType:
    """The module of this source at this path, run once a process and kept under a name of its own.

    Its name must be known while it is run, so other threads wait until it is whole.
    """
    with _LOADING:
        name = f"brackets_recipe_{hashlib.sha256(os.fsencode(path) + digest.encode()).hexdigest()[:24]}"
        if name not in sys.modules:
            _load(name, path, source)
        return sys.modules[name]


def _load(name: str, path: Path, source: bytes) -> None:
    try:
        code = compile(source, str(path), "exec", dont_inherit=True)
    except SyntaxError as error:
        where = path if error.lineno is None else f"{path}:{error.lineno}"
        raise BadRecipe(f"{where}: {error.msg}, must be: Python that reads") from None
    except ValueError as error:
        raise BadRecipe(f"{path}: {error}, must be: Python that reads") from None
    except (RecursionError, MemoryError):
        raise BadRecipe(f"{path}: is nested too deeply to be read, must be: Python that reads") from None
    module = ModuleType(name)
    module.__file__ = str(path)
    sys.modules[name] = module
    try:
        with RecipeErrors(path, "loading"):
            exec(code, module.__dict__)
        conforms(path, module)
        guard_rules(path, module)
        if module.Params.__module__ == name:
            copyreg.pickle(module.Params, partial(_reduced, str(path)))
    except BaseException:  # Ctrl-C too: a module half loaded must not be found again
        del sys.modules[name]
        raise


def _reduced(path: str, params: Checked) -> tuple[Callable[..., Checked], tuple[object, ...]]:
    """How values travel to another process: the recipe's file and source, and the values."""
    return _again, (path, type(params).__module__, typed_values(params), stated(params))


def _again(path: str, module: str, values: dict[str, Plain], stated: frozenset[str]) -> Checked:
    """The values in another process. Raises BadRecipe where the file is not what they were made with."""
    opened = recipe(path)
    if opened.module.__name__ != module:
        raise BadRecipe(f"{path}: has changed since these values were made, must be: the same source")
    made = opened.Params(**values)
    object.__setattr__(made, "_stated", stated)
    return made


def _first_line(doc: str | None) -> str:
    lines = (doc or "").strip().splitlines()
    return lines[0].strip() if lines else ""
