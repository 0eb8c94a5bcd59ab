"""A family: what is varied of one recipe, or of one part of a bay, and what every row of it is worked out of."""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, field, replace
from pathlib import Path

from brackets.core.errors import InputError
from brackets.core.schema.rule import Plain
from brackets.core.text_files import given_bytes
from brackets.forming.shop import Shop
from brackets.forming.shop_file import load as load_shop
from brackets.library.recipe import Recipe, recipe
from brackets.output.folder import stem
from brackets.variants.arithmetic import Expression
from brackets.variants.axes import Axis, Tied, of_python
from brackets.variants.job import InputFile, Job, of_opened, program
from brackets.variants.plan import Condition, ListedRow, Plan, unknown
from brackets.variants.rows import Rows
from brackets.variants.run import run
from brackets.variants.store import kept
from brackets.variants.table_files import listed_rows

LARGEST_INPUT = 2_000_000_000
"""Bytes of a file beside a bay: a scan of 40 million triangles."""


@dataclass(frozen=True, kw_only=True)
class Subject:
    """What is varied: a recipe, and the job its rows are worked out of; `base`: values that a bay gives it."""

    name: str
    recipe: Recipe
    job: Job
    base: Mapping[str, Plain] = field(default_factory=dict)

    @property
    def stem(self) -> str:
        """What its folder is called."""
        return stem(self.name)


def of_recipe(name: str | Path, *, shop: Shop | None = None, beside: Path | None = None) -> Subject:
    """A recipe, by its name or path. Raises BadRecipe."""
    opened = recipe(name, beside=beside)
    return Subject(name=opened.name, recipe=opened, job=of_opened(opened, shop))


def of_bay(path: Path, part: str, *, shop: Shop | None = None, fit_all: bool = False) -> Subject:
    """A part of a bay. Raises BadFile where the bay does not stand as it is, InputError for another part."""
    from brackets.bay.file import read as read_bay
    from brackets.bay.placed import is_path, placed_bay
    from brackets.variants.bay_result import base_values, refuse_part

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
    job = Job(program=program(), files=tuple(files), part=part, shop=shop, fit_all=fit_all)
    return Subject(name=f"{bay.name} {part}", recipe=mine.recipe, job=job, base=base_values(stood, part))


def named(subject: Subject, name: str) -> Subject:
    """The same under a name of its own."""
    return replace(subject, name=name)


def _input(path: Path) -> InputFile:
    data = given_bytes(path, what="a file that a bay names", largest=LARGEST_INPUT)
    return InputFile(str(path), hashlib.sha256(data).hexdigest())


def _named_files(bay: Path) -> Iterator[Path]:
    """Every file that a text of the bay names: meshes, STEP files, the shop, lists of points."""
    for text in sorted(set(_texts(tomllib.loads(bay.read_text("utf-8-sig"))))):
        name = text.removeprefix("@")
        if name and "\0" not in name and len(name) <= 300 and (bay.parent / name).is_file():
            yield (bay.parent / name).resolve()


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from _texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner)


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


def worked(
    subject: Subject,
    plan: Plan,
    *,
    keep: str | Path | None = None,
    workers: int = 0,
    executor: Executor | None = None,
    limit: float | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> Rows:
    """Every row of a plan, worked out or taken from the file `keep`, where results are added as they finish."""
    say("listing the rows")
    planned = plan.rows()
    keys = [subject.job.key(row.values) for row in planned]
    todo = {key: row.values for key, row in zip(keys, planned, strict=True) if not row.refused}
    with kept(None if keep is None else Path(keep)) as store:
        had = sum(1 for key in todo if key in store)
        stale = 0 if had == len(todo) else len(store) - had
        notes = [*store.dropped]
        if had or stale:
            others = f"; {stale} results of other values or files stay in it" if stale else ""
            notes.append(f"{store.path}: had {had} of {len(todo)} rows already{others}")
        failed = run(subject.job, todo, store, executor=executor, workers=workers, limit=limit, say=say)
        texts = {key: store.text(key) for key in todo if key in store}
    return Rows(
        name=subject.name,
        params=subject.recipe.params,
        bay=bool(subject.job.part),
        varied=plan.varied,
        planned=planned,
        keys=tuple(keys),
        texts=texts,
        failed=failed,
        notes=tuple(notes),
    )


def family(
    of: str | Path,
    /,
    *,
    part: str = "",
    rows: str | Path | Sequence[Mapping[str, object]] = (),
    skip: object = (),
    row_name: str = "",
    shop: Shop | str | Path | None = None,
    unit: str = "mm",
    fit_all: bool = False,
    keep: str | Path | None = None,
    workers: int = 0,
    executor: Executor | None = None,
    limit: float | None = 600.0,
    say: Callable[[str], None] = lambda _: None,
    **values: object,
) -> Rows:
    """Many variants of one recipe, or of one part of a bay, each worked out: mass, gaps, findings, or its refusal.

    of: a recipe's name or path, a bay file with `part`, or a family file (TOML); part: the part of the bay that is
    varied, which is fitted as a whole for each row; values: by name, one, a list, a range, a text "60..100/2", or a
    function of the others, `lambda v: v.bush_od + 25`; all lists are crossed. rows: listed rows to cross them with,
    mappings or a CSV or XLSX file whose headings are names of values and `name`; skip: left out where it holds, a
    text "t == 8 and reach < 70" or a function, or several; row_name: "{bolt} reach {reach}"; shop: whose tools, or
    its file; unit: of bare numbers, "mm" or "in"; fit_all: of a bay, fits also what already stops by its own rules.
    keep: file that results are added to as they finish; the same call goes on from there. workers: processes, 0 for
    this one; executor: any of `concurrent.futures` in their place; limit: seconds a row may take on `workers`; say:
    a function that is told how far it is. Returns Rows.
    Raises InputError, BadFile or BadRecipe where something cannot be used; one row that cannot is its refusal.

    >>> found = family("cup", bush_od=[50, 60], length=range(40, 61, 10), skip="bush_od == 60 and length > 50")
    >>> [(row.values["bush_od"], row.values["length"], round(row.mass, 3)) for row in found]
    [(50.0, 40.0, 0.271), (50.0, 50.0, 0.339), (50.0, 60.0, 0.407), (60.0, 40.0, 0.321), (60.0, 50.0, 0.401)]
    >>> found.least("mass").row.name
    '1'
    """
    if unit not in ("mm", "in"):
        raise InputError(f'unit = "{unit}", must be mm or in: unit of bare numbers')
    mine = load_shop(shop) if isinstance(shop, str | Path) else shop
    if part:
        subject = of_bay(Path(of), part, shop=mine, fit_all=fit_all)
    elif str(of).endswith(".toml"):
        from brackets.variants.file import read

        if values or rows or skip or row_name:
            raise InputError(f"{of}: says itself what is varied, no values beside it; of a bay name the part")
        subject, plan = read(Path(of), shop=mine)
        return worked(subject, plan, keep=keep, workers=workers, executor=executor, limit=limit, say=say)
    else:
        subject = of_recipe(of, shop=mine)
    listed = listed_rows(subject.recipe, rows, bare=unit)
    plan = plan_of(subject, values, listed=listed, skip=skip, row_name=row_name, bare=unit)
    return worked(subject, plan, keep=keep, workers=workers, executor=executor, limit=limit, say=say)
