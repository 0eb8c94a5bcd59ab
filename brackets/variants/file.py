"""Reads a family file: what is varied, every wrong key and value said at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path

from brackets.core.errors import BadFile, BadRecipe, InputError
from brackets.core.schema.file_head import known_format, strange_keys
from brackets.core.schema.reading import from_mapping
from brackets.core.text_files import MOST_ROWS, given_toml
from brackets.core.units import shown
from brackets.forming.shop import Shop
from brackets.forming.shop_file import load as load_shop
from brackets.variants.arithmetic import Expression
from brackets.variants.file_rows import FAMILY_KEYS, FORMAT, FamilyRow
from brackets.variants.plan import ListedRow, Plan
from brackets.variants.subject import Subject, named, of_bay, of_recipe, plan_of
from brackets.variants.table_files import listed_rows

Table = Mapping[str, object]


def is_family(path: Path) -> bool:
    """Whether a TOML file says what is varied, and so is no bay. Raises BadFile where it is no TOML."""
    raw = given_toml(path, what="a family file or a bay file")
    return any(key in raw for key in ("recipe", "vary", "tied", "row", "rows")) or isinstance(raw.get("bay"), str)


def read(path: Path, *, shop: Shop | None = None) -> tuple[Subject, Plan]:
    """What a family file varies, and its rows. Raises BadFile with a line for everything that is wrong.

    shop: in place of the file's own.
    """
    raw = given_toml(path, what="a family file")
    known_format(raw, FAMILY_KEYS, path=path, known=FORMAT)
    own = {param.name for param in FAMILY_KEYS.top_params}
    problems = list(strange_keys(raw, FAMILY_KEYS))
    try:
        given = {key: value for key, value in raw.items() if key in own}
        if isinstance(given.get("skip"), str):
            given["skip"] = [given["skip"]]  # one condition, which may have commas in it
        top = from_mapping(FamilyRow, given)
    except InputError as error:
        raise BadFile(path, *problems, *error.problems) from None
    beside = path.resolve().parent
    if subject_problems := list(_subject(top)):
        raise BadFile(path, *problems, *subject_problems)
    try:
        if top.shop is not None and shop is None:
            shop = load_shop(beside / top.shop)
        if top.bay is not None and top.part is not None:
            subject = of_bay(beside / top.bay, top.part, shop=shop, fit_all=top.fit_all)
        else:
            subject = of_recipe(str(top.recipe), shop=shop, beside=beside)
    except (BadFile, BadRecipe, InputError) as error:
        raise BadFile(path, *problems, *str(error).splitlines()) from None
    tied = _tied(_table(raw, "tied", problems), problems)
    listed: tuple[ListedRow, ...] = ()
    try:
        if top.rows is not None:
            listed = listed_rows(subject.recipe, top.rows, bare=top.unit, beside=beside)
        listed += listed_rows(subject.recipe, _rows(raw, problems), bare=top.unit)
    except (InputError, BadFile) as error:
        problems += error.problems if isinstance(error, InputError) else str(error).splitlines()
    vary = _table(raw, "vary", problems)
    problems += [f"{name} = varied and tied, one of them: a value" for name in vary if name in tied]
    try:
        plan = plan_of(
            subject,
            {**vary, **tied},
            listed=listed,
            skip=top.skip,
            row_name=top.row_name,
            bare=top.unit,
        )
    except InputError as error:
        raise BadFile(path, *problems, *error.problems) from None
    if problems:
        raise BadFile(path, *problems)
    return named(subject, top.name or path.stem, path.stem), plan


def _subject(top: FamilyRow) -> Iterator[str]:
    """What is wrong with the keys that say what is varied."""
    if (top.recipe is None) is (top.bay is None):
        yield f"recipe, bay = {'none' if top.recipe is None else 'both'}, must be one of them: what is varied"
    if (top.bay is None) is not (top.part is None):
        given = "nothing" if top.part is None else top.part
        yield f"part = {given}, must be given with a bay, and only there: the part that is varied"


def _table(raw: Table, key: str, problems: list[str]) -> Table:
    found = raw.get(key, {})
    if isinstance(found, Mapping):
        return found
    problems.append(f"{key} = {shown(found)}, must be a table: [{key}]")
    return {}


def _rows(raw: Table, problems: list[str]) -> list[Table]:
    found = raw.get("row", [])
    if not isinstance(found, list) or not all(isinstance(row, Mapping) for row in found):
        problems.append(f"row = {shown(found)}, must be a list of tables: [[row]]")
        return []
    if len(found) > MOST_ROWS:
        problems.append(f"row = {len(found)} rows, must be {MOST_ROWS} or fewer: more go into a file, rows = ..")
        return []
    return found


def _tied(table: Table, problems: list[str]) -> dict[str, Expression]:
    found = {}
    for name, text in table.items():
        if not isinstance(text, str):
            problems.append(f"tied {name} = {shown(text)}, must be text: plain arithmetic of names")
            continue
        try:
            found[name] = Expression(text)
        except InputError as error:
            problems += [f"tied {name} = {problem}" for problem in error.problems]
    return found
