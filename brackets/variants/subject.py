"""What a family varies: a recipe, or one part of a bay, and the plan of its rows from what somebody gives."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from brackets.core.errors import BadFile, InputError
from brackets.core.schema.rule import Plain
from brackets.core.text_files import given_bytes, texts_in
from brackets.forming.shop import Shop
from brackets.library.recipe import Recipe, recipe
from brackets.output.folder import result_folder
from brackets.variants.arithmetic import Expression
from brackets.variants.axes import Axis, Tied, of_python
from brackets.variants.holding import Holding
from brackets.variants.job import InputFile, Job, of_opened, program
from brackets.variants.plan import Condition, ListedRow, Plan, unknown

if TYPE_CHECKING:
    from brackets.bay.schema.record import Bay

LARGEST_INPUT = 2_000_000_000
"""Bytes of a file beside a bay: a scan of 40 million triangles."""


@dataclass(frozen=True, kw_only=True)
class Subject:
    """What is varied: a recipe, and the job its rows are worked out of.

    folder: what its results go into unless another is typed; base: values that a bay gives it; parts: of a bay, the
    part that is varied and its mirror images.
    """

    name: str
    folder: Path
    recipe: Recipe
    job: Job
    base: Mapping[str, Plain] = field(default_factory=dict)
    parts: frozenset[str] = frozenset()


def of_recipe(
    name: str | Path, *, shop: Shop | None = None, beside: Path | None = None, holding: Holding | None = None
) -> Subject:
    """A recipe, by its name or path, its strength judged by `holding`. Raises BadRecipe."""
    opened = recipe(name, beside=beside)
    job = replace(of_opened(opened, shop), holding=holding)
    return Subject(name=opened.name, folder=result_folder(opened.name, "family"), recipe=opened, job=job)


def of_bay(path: Path, part: str, *, shop: Shop | None = None, fit_all: bool = False) -> Subject:
    """A part of a bay. Raises BadFile where the bay does not stand as it is, InputError for another part."""
    from brackets.bay.file import read as read_bay
    from brackets.bay.stand.placed import is_path, placed_bay
    from brackets.variants.bay_result import base_values, hands_of, refuse_part

    path = path.resolve()
    bay = read_bay(path)
    refuse_part(bay, part)
    stood = placed_bay(bay)
    named = {entry.row.name: entry.row.recipe for entry in bay.parts}
    opened = {p.recipe.path: (named[p.name], p.recipe) for p in stood.parts}
    mine = next(p for p in stood.parts if p.name == part)
    recipes = [
        InputFile(str(each.path) if is_path(name) else name, each.source_hash)
        for name, each in sorted(opened.values(), key=lambda pair: (pair[1].path != mine.recipe.path, pair[0]))
    ]
    files = [_input(path), *recipes]
    known = {file.path for file in files}
    files += [file for other in _named_files(path) if (file := _input(other)).path not in known]
    job = Job(
        program=program(), files=tuple(files), part=part, shop=shop, fit_all=fit_all, holding=holding_of(bay)
    )  # fmt: skip
    return Subject(
        name=f"{bay.name}: {part}",
        folder=result_folder(f"{path.stem}_{part}", "family"),
        recipe=mine.recipe,
        job=job,
        base=base_values(stood, part),
        parts=frozenset(hands_of(bay, part)),
    )


def holding_of(bay: Bay) -> Holding | None:
    """With what a bay judges strength, None where it has no table [hold]. Raises BadFile where it cannot be."""
    from brackets.bay.hung.load_cases import load_cases_of
    from brackets.bay.hung.on_bushes import on_bushes

    typed = bay.holding
    if typed is None:
        return None
    try:
        there = bool(load_cases_of(bay, on_bushes(bay)))
    except InputError as error:
        raise BadFile(bay.path, *error.problems) from error
    return Holding(typed=typed, in_bay=there)


def named(subject: Subject, name: str, folder: str) -> Subject:
    """The same under a name and a folder of its own."""
    return replace(subject, name=name, folder=result_folder(folder))


def _input(path: Path) -> InputFile:
    data = given_bytes(path, what="a file that a bay names", largest=LARGEST_INPUT)
    return InputFile(str(path), hashlib.sha256(data).hexdigest())


def _named_files(bay: Path) -> Iterator[Path]:
    """Every file that a text of the bay names: meshes, STEP files, the shop, lists of points."""
    for text in sorted(set(texts_in(tomllib.loads(bay.read_text("utf-8-sig"))))):
        name = text.removeprefix("@")
        if name and "\0" not in name and len(name) <= 300 and (bay.parent / name).is_file():
            yield (bay.parent / name).resolve()


def plan_of(
    subject: Subject,
    given: Mapping[str, object],
    *,
    listed: Sequence[ListedRow] = (),
    skip: object = (),
    row_name: str = "",
    bare: str = "mm",
) -> Plan:
    """The rows of what somebody gives each value: one, several, a range, or a function of the others.

    skip: conditions under which a row is left out, texts or functions. Raises InputError with all that is wrong.
    """
    known = {param.name: param for param in subject.recipe.params}
    axes: list[Axis] = []
    tied: dict[str, Tied] = {}
    wrong: list[str] = []
    for typed, value in given.items():
        name = typed.replace("-", "_")
        if name not in known:
            wrong.append(unknown(subject.recipe, typed))
            continue
        try:
            found = value if isinstance(value, Axis) else of_python(known[name], value, bare=bare)
        except InputError as error:
            wrong += error.problems
            continue
        if isinstance(found, Axis):
            axes.append(found)
        else:
            tied[name] = found
    left_out: tuple[Condition, ...] = ()
    try:
        left_out = conditions(skip)
    except InputError as error:
        wrong += error.problems
    if wrong:
        raise InputError(*wrong)
    return Plan(
        recipe=subject.recipe,
        axes=tuple(axes),
        listed=tuple(listed),
        tied=tied,
        left_out=left_out,
        row_name=row_name,
        base=subject.base,
    )


def conditions(skip: object) -> tuple[Condition, ...]:
    """Conditions of texts and functions, one or several. Raises InputError with every text that is none."""
    found: list[Condition] = []
    wrong: list[str] = []
    for each in _several(skip):
        try:
            found.append(Expression(each) if isinstance(each, str) else each)  # type: ignore[arg-type]
        except InputError as error:
            wrong += [f"skip = {problem}" for problem in error.problems]
    if wrong:
        raise InputError(*wrong)
    return tuple(found)


def _several(given: object) -> Iterable[object]:
    if isinstance(given, str) or callable(given) or not isinstance(given, Iterable):
        return (given,)
    return given
