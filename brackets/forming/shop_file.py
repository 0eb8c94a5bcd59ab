"""Reads a shop profile, `shop.toml`: every wrong key of every row in one message.

Least inside radii: DIN 6935:1975, as read on a stored page.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import cache, partial
from importlib import resources
from pathlib import Path
from typing import TypeVar

from brackets.core import units
from brackets.core.errors import BadFile, OutOfRange
from brackets.core.tables.lookup import allowed
from brackets.core.tables.material_rows import material, materials
from brackets.core.tables.reader import Row
from brackets.core.text_files import given_toml
from brackets.core.units import shown
from brackets.forming.shop import Brake, Coupon, Die, Former, Sheet, Shop, Stick, Tubing, Welding
from brackets.model.bend_allowance import k_of_allowance
from brackets.model.holes import REAM_STOCK

DIN = "DIN 6935:1975, least inside radius"

UP_TO = (1.0, 1.5, 2.5, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 10.0, 12.0)
"""Thickness up to, mm, one for each column of LEAST."""

LEAST: tuple[tuple[float, tuple[float, ...]], ...] = (
    (390.0, (1, 1.6, 2.5, 3, 5, 6, 8, 10, 12, 16, 20)),
    (490.0, (1.2, 2, 3, 4, 5, 8, 10, 12, 16, 20, 25)),
    (640.0, (1.6, 2.5, 4, 5, 6, 8, 10, 12, 16, 20, 25)),
)
"""Tensile strength under, MPa, and radii, mm, across the grain and up to 120 degrees. S355 (490) is in the last."""

SHARP = 120.0
"""Bend angle, degrees, past which the next thicker row holds."""

STEEL = (7700.0, 8000.0)
"""Density, kg/m3, of what the rule is for."""


def least_radius(name: str, t: float, *, angle: float = 90.0, along: bool = False) -> float | None:
    """Least inside radius, mm; `along`: the bend line runs with the grain. None where the rule does not reach."""
    try:
        metal = material(name)
    except OutOfRange:
        return None
    strength = metal.fu(t)
    if strength is None or not STEEL[0] <= metal.density <= STEEL[1]:
        return None
    radii = next((radii for under, radii in LEAST if strength < under), None)
    row = next((i for i, upto in enumerate(UP_TO) if t <= upto), None)
    if radii is None or row is None:
        return None
    row += bool(along or abs(angle) > SHARP)
    return radii[row] if row < len(radii) else None


def with_grain(line: float, grain: float) -> bool:
    """Whether a bend line at `line` degrees runs more along the rolling direction than across it."""
    off = math.fmod(abs(line - grain), 180.0)
    return min(off, 180.0 - off) < 45.0


FORMAT = 1
"""Format number of a shop profile."""

WRAPS = ("bevel", "no bevel")

PROCESSES = ("low hydrogen", "other")

PAPERS = ("A4", "A3", "Letter")

WORST_PRINTER = (90.0, 110.0)
"""mm: what 100 mm may measure on paper before a setting is wrong; a sheet fitted to the page comes out at 94 to 97,
common practice, no source."""

BIG = 20000.0
"""mm: longer stock than any shop lays on its rack."""

ROWS = ("sheet", "tube", "die", "coupon", "former")
KEYS = ("format", "name", "sample", "unit", "gap", "printer", "brake", "tubing", "welding", "hole_tools", *ROWS)

T = TypeVar("T")


def load(path: str | Path) -> Shop:
    """The profile in a file. Raises BadFile with everything that is wrong in it."""
    file = Path(path)
    data = given_toml(file, what="a shop profile")
    try:
        return of_table(data)
    except OutOfRange as wrong:
        raise BadFile(file, *wrong.problems) from None


@cache
def default() -> Shop:
    """The shipped SAMPLE shop: invented."""
    return parse(resources.files("brackets.forming").joinpath("shop.toml").read_text("utf-8"))


def parse(text: str) -> Shop:
    """The profile in TOML text. Raises OutOfRange with everything that is wrong, or tomllib.TOMLDecodeError."""
    return of_table(tomllib.loads(text))


def of_table(data: Mapping[str, object]) -> Shop:
    """The profile in a table as TOML gives it. Raises OutOfRange with everything that is wrong."""
    told = data.get("format")
    unit = data.get("unit", "mm")
    bare = unit if unit in ("mm", "in") else "mm"
    problems = [f"{key} = {shown(data[key])}, no such key: {allowed(key, KEYS)}" for key in data if key not in KEYS]
    if told != FORMAT or isinstance(told, bool):
        problems.append(f"format = {shown(told)}, must be {FORMAT}: the format this version reads")
    if unit not in ("mm", "in"):
        problems.append(f"unit = {shown(unit)}, must be mm or in: the unit of numbers written without one")
    top = Row({k: v for k, v in data.items() if k in KEYS}, "shop", bare=bare)
    printer, brake, tubing, welding, tools = (
        top.table(key) for key in ("printer", "brake", "tubing", "welding", "hole_tools")
    )
    rows = {kind: _rows(data, kind, bare, problems) for kind in ROWS}
    known = tuple(name for row in materials() for name in (row.name, *row.also))
    for key in ("format", "unit", *ROWS):
        top.given(key)
    shop = Shop(
        name=top.text("name"),
        sample=top.yes_no("sample"),
        gap=top.length("gap", 0.0, 50.0, default=1.0),
        paper=printer.choice("paper", PAPERS, "A4"),
        bars=(
            printer.length("bar_x", *WORST_PRINTER, default=100.0),
            printer.length("bar_y", *WORST_PRINTER, default=100.0),
        ),
        paper_t=printer.length("paper_t", 0.0, 2.0, default=0.1),
        brake=_brake(brake),
        sheets=_each(rows["sheet"], partial(_sheets, known=known), problems),
        tubes=_each(rows["tube"], _tubes, problems),
        dies=_each(rows["die"], _die, problems),
        coupons=_each(rows["coupon"], partial(_coupon, known=known), problems),
        formers=_each(rows["former"], _former, problems),
        tubing=_tubing(tubing),
        welding=_welding(welding),
        drills=_sizes(tools, "drills", 0.5, 100.0),
        reamers=_sizes(tools, "reamers", 1.0, 100.0),
        ream_stock=tools.length("ream_stock", 0.0, 3.0, default=REAM_STOCK),
    )
    for table in (printer, brake, tubing, welding, tools):
        top.take(table)
    problems += top.finish()
    if problems:
        raise OutOfRange(*problems)
    return shop


def _rows(data: Mapping[str, object], kind: str, bare: str, problems: list[str]) -> list[Row]:
    given = data.get(kind, ())
    if not isinstance(given, list | tuple) or not all(isinstance(raw, Mapping) for raw in given):
        problems.append(f"{kind} = {shown(given)}, must be [[{kind}]] rows")
        return []
    return [Row(raw, f"{kind} {place}", bare=bare) for place, raw in enumerate(given, 1)]


def _each(rows: Sequence[Row], read: Callable[[Row], tuple[T, ...]], problems: list[str]) -> tuple[T, ...]:
    found: list[T] = []
    for row in rows:
        found += read(row)
        problems += row.finish()
    return tuple(found)


def _brake(row: Row) -> Brake:
    return Brake(
        length=row.length("length", 50.0, BIG),
        force=row.force("force", 1e3, 1e8) if row.given("force") is not None else None,
        punch=row.length("punch", 0.5, 200.0) if row.given("punch") is not None else None,
        goose_neck=row.length("goose_neck", 0.0, 500.0, default=0.0),
    )


def _tubing(row: Row) -> Tubing:
    usual = Tubing()
    return Tubing(
        straight=row.number("straight", 0.0, 20.0, default=usual.straight),
        fit_up=row.length("fit_up", 0.0, 10.0, default=usual.fit_up),
        torch=row.length("torch", 0.0, 200.0, default=usual.torch),
        sharp=row.number("sharp", 0.0, 90.0, default=usual.sharp),
        wall_ratio=row.number("wall_ratio", 1.0, 100.0, default=usual.wall_ratio),
        bung_play=row.length("bung_play", 0.0, 10.0, default=usual.bung_play),
        wrap="no bevel" if row.choice("wrap", WRAPS, usual.wrap) == "no bevel" else "bevel",
    )


def _welding(row: Row) -> Welding:
    low = row.choice("process", PROCESSES, Welding().process) == "low hydrogen"
    return Welding(process="low hydrogen" if low else "other")


def _sheets(row: Row, *, known: Sequence[str]) -> tuple[Sheet, ...]:
    material = row.choice("material", known)
    length, width = row.length("length", 50.0, BIG), row.length("width", 50.0, BIG)
    return tuple(Sheet(material=material, t=t, length=length, width=width) for t in _sizes(row, "t", 0.3, 60.0))


def _tubes(row: Row) -> tuple[Stick, ...]:
    od, length = row.length("od", 4.0, 400.0), row.length("length", 50.0, BIG)
    return tuple(Stick(od=od, wall=wall, length=length) for wall in _sizes(row, "wall", 0.3, od / 2))


def _die(row: Row) -> tuple[Die, ...]:
    thin = row.length("thin", 0.3, 60.0)
    return (
        Die(
            v=row.length("v", 2.0, 500.0),
            thin=thin,
            thick=row.length("thick", thin, 60.0),
            flange=row.length("flange", 1.0, 500.0),
            radius=row.length("radius", 0.1, 200.0),
        ),
    )


def _coupon(row: Row, *, known: Sequence[str]) -> tuple[Coupon, ...]:
    coupon = Coupon(
        material=row.choice("material", known),
        t=row.length("t", 0.3, 60.0),
        radius=row.length("radius", 0.05, 200.0),
        angle=row.number("angle", 5.0, 175.0),
        allowance=row.length("allowance", 0.05, 1000.0),
    )
    if not row.problems:
        try:
            k_of_allowance(coupon.allowance, coupon.angle, coupon.radius, coupon.t)
        except OutOfRange as wrong:
            row.problems += [f"{row.where}.{problem}" for problem in wrong.problems]
    return (coupon,)


def _former(row: Row) -> tuple[Former, ...]:
    return (Former(od=row.length("od", 4.0, 400.0), radius=row.length("radius", 5.0, 5000.0)),)


def _sizes(row: Row, key: str, lo: float, hi: float) -> tuple[float, ...]:
    """One length or a list of them, rising; none where the key is not there."""
    value = row.given(key)
    found: list[float] = []
    for one in value if isinstance(value, list) else [] if value is None else [value]:
        try:
            size = units.length(one, bare=row.bare, name=f"{row.where}.{key}")
        except OutOfRange as wrong:
            row.problems += wrong.problems
            continue
        if lo <= size <= hi:
            found.append(size)
        else:
            row.problems.append(f"{row.where}.{key} = {shown(one)}, must be {lo:g} to {hi:g} mm")
    return tuple(sorted(set(found)))
