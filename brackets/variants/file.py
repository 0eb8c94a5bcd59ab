"""Reads a family file: what is varied, every wrong key and value said at once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from brackets.core.errors import BadFile, BadRecipe, InputError
from brackets.core.schema.file_reader import FileReader, Table
from brackets.core.schema.reading import from_mapping
from brackets.core.text_files import given_toml
from brackets.core.units import shown
from brackets.forming.shop import Shop
from brackets.forming.shop_file import load as load_shop
from brackets.hold.part_cases import PartCase, SeatLoad
from brackets.variants.arithmetic import Expression
from brackets.variants.file_rows import FAMILY_KEYS, FORMAT, FamilyHoldRow, FamilyLoadRow, FamilyRow
from brackets.variants.holding import Holding
from brackets.variants.plan import ListedRow, Plan
from brackets.variants.subject import Subject, named, of_bay, of_recipe, plan_of
from brackets.variants.table_files import listed_rows


def read(path: Path, *, shop: Shop | None = None) -> tuple[Subject, Plan]:
    """What a family file varies, and its rows. Raises BadFile with a line for everything that is wrong.

    shop: in place of the file's own.
    """
    raw = given_toml(path, what="a family file")
    if "keep_out" in raw or isinstance(raw.get("part"), list):
        raise BadFile(path, "is a bay, must be a family file; of a bay give the part that is varied: part, --part")
    beside = path.resolve().parent
    try:
        reader = FileReader(raw, FAMILY_KEYS, format=FORMAT, beside=beside)
        top = from_mapping(FamilyRow, _at_top(raw))
    except InputError as error:
        raise BadFile(path, *error.problems) from None
    problems = reader.problems
    if top.hands:
        raise BadFile(path, *problems, f"hands = {', '.join(top.hands)}, has no rows: brackets.hands reads it")
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
    holding = _holding(reader, raw, problems)
    if holding is not None and top.bay is not None:
        problems.append("hold, load = given with a bay, must be in the bay file: of a recipe alone they are here")
    elif holding is not None:
        subject = replace(subject, job=replace(subject.job, holding=holding))
    tied = _tied(reader.table("tied"), problems)
    listed: tuple[ListedRow, ...] = ()
    try:
        if top.rows is not None:
            listed = listed_rows(subject.recipe, top.rows, bare=reader.bare, beside=beside)
        listed += listed_rows(subject.recipe, reader.rows("row"), bare=reader.bare)
    except (InputError, BadFile) as error:
        where = f"{error.path}: " if isinstance(error, BadFile) else ""
        problems += [f"{where}{line}" for line in error.problems]
    vary = reader.table("vary")
    problems += [f"{name} = varied and tied, one of them: a value" for name in vary if name in tied]
    try:
        plan = plan_of(
            subject,
            {**vary, **tied},
            listed=listed,
            skip=top.skip,
            row_name=top.row_name,
            bare=reader.bare,
        )
    except InputError as error:
        raise BadFile(path, *problems, *error.problems) from None
    if problems:
        raise BadFile(path, *problems)
    return named(subject, top.name or path.stem, path.stem), plan


@dataclass(frozen=True, kw_only=True)
class HandsFile:
    """What a family file of two hands says: the bay, its two parts, and the shop profile, if any."""

    bay: Path
    left: str
    right: str
    shop: Path | None


def read_hands(path: Path) -> HandsFile | None:
    """The two hands that a family file is about; None where it is about rows. Raises BadFile."""
    raw = given_toml(path, what="a family file")
    if "hands" not in raw:
        return None
    beside = path.resolve().parent
    try:
        problems = FileReader(raw, FAMILY_KEYS, format=FORMAT, beside=beside).problems
        top = from_mapping(FamilyRow, _at_top(raw))
    except InputError as error:
        raise BadFile(path, *error.problems) from None
    if len(top.hands) != 2:
        problems.append(f"hands = {', '.join(top.hands) or 'none'}, must be two parts of the bay: left, right")
    if top.bay is None:
        problems.append("bay = nothing, must be given with hands: the bay that they stand in")
    beside_them = ("recipe", "part", "rows", "skip", "row_name", "fit_all", "vary", "tied", "row")
    problems += [f"{key} = given with hands, one of them: hands has no rows" for key in beside_them if key in raw]
    if problems or top.bay is None:
        raise BadFile(path, *problems)
    shop = None if top.shop is None else beside / top.shop
    return HandsFile(bay=beside / top.bay, left=top.hands[0], right=top.hands[1], shop=shop)


def _at_top(raw: Table) -> Table:
    """The keys outside all tables; one condition, which may have commas in it, as a list of one."""
    own = {param.name for param in FAMILY_KEYS.top_params}
    given = {key: value for key, value in raw.items() if key in own}
    return {**given, "skip": [given["skip"]]} if isinstance(given.get("skip"), str) else given


def _subject(top: FamilyRow) -> Iterator[str]:
    """What is wrong with the keys that say what is varied."""
    if (top.recipe is None) is (top.bay is None):
        yield f"recipe, bay = {'none' if top.recipe is None else 'both'}, must be one of them: what is varied"
    if (top.bay is None) is not (top.part is None):
        given = "nothing" if top.part is None else top.part
        yield f"part = {given}, must be given with a bay, and only there: the part that is varied"


def _holding(reader: FileReader, raw: Table, problems: list[str]) -> Holding | None:
    """With what the file judges strength; None where it says nothing of it."""
    if "hold" not in raw and "load" not in raw:
        return None
    typed = reader.given("hold", FamilyHoldRow) or FamilyHoldRow()
    cases: dict[str, list[FamilyLoadRow]] = {}
    for load in reader.many("load", FamilyLoadRow, called=lambda row: row.get("case")):
        cases.setdefault(load.case, []).append(load)
    mixed = [name for name, rows in cases.items() if len({row.counts for row in rows}) > 1]
    problems += [f"load {name}: counts = both, must be one of them: a case acts at once" for name in mixed]
    made = tuple(
        PartCase(
            name=name, counted=rows[0].counts, why="the family file",  # type: ignore[arg-type]
            loads=tuple(SeatLoad(row.seat, row.force, row.moment) for row in rows),
        )
        for name, rows in cases.items()
    )  # fmt: skip
    return Holding(typed=typed, cases=made, bush=typed.bush_stiffness)


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
