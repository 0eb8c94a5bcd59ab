"""Reads a shop profile, `shop.toml`: every wrong key of every row in one message.

Least inside radii: DIN 6935:1975, as read on a stored page.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from importlib import resources
from pathlib import Path

from brackets.core.errors import BadFile, InputError
from brackets.core.schema.file_reader import FileReader
from brackets.core.tables.material_rows import material
from brackets.core.text_files import given_toml
from brackets.forming.printer_3d import Printer3D
from brackets.forming.shop import Brake, Coupon, Die, DrawTool, Former, Sheet, Shop, Stick, Torch, Tubing, Welding
from brackets.forming.shop_rows import (
    FORMAT,
    SHOP_KEYS,
    BrakeRow,
    CouponRow,
    DieRow,
    DrawToolRow,
    FormerRow,
    HoleToolsRow,
    Printer3DRow,
    PrinterRow,
    SheetRow,
    ShopRow,
    TorchRow,
    TubeRow,
    TubingRow,
    WeldingRow,
)

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
    except InputError:
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


def load(path: str | Path) -> Shop:
    r"""A shop's profile, read from a file.

    path: of the TOML file; `brackets keys shop` lists what may stand in it.
    Raises BadFile with everything that is wrong in the file, or where there is none.

    >>> from pathlib import Path
    >>> written = Path("ours.toml").write_text("format = 1\nname = 'ours'\nbrake = { length = 1250 }")
    >>> load_shop("ours.toml").brake.length
    1250.0
    """
    file = Path(path)
    data = given_toml(file, what="a shop profile")
    try:
        return of_table(data)
    except InputError as wrong:
        raise BadFile(file, *wrong.problems) from None


@cache
def default() -> Shop:
    """The shipped SAMPLE shop: its brake, dies, racks and tools are invented.

    >>> default_shop().name, default_shop().sample
    ('SAMPLE shop (invented)', True)
    """
    return parse(resources.files("brackets.forming").joinpath("shop.toml").read_text("utf-8"))


def parse(text: str) -> Shop:
    """The profile in TOML text. Raises InputError with everything that is wrong, or tomllib.TOMLDecodeError."""
    return of_table(tomllib.loads(text))


def of_table(data: Mapping[str, object]) -> Shop:
    """The profile in a table as TOML gives it. Raises InputError with everything that is wrong."""
    reader = FileReader(data, SHOP_KEYS, format=FORMAT)
    top = _outside_tables(reader)
    printer, brake = reader.given("printer", PrinterRow), reader.given("brake", BrakeRow)
    tubing, welding = reader.given("tubing", TubingRow), reader.given("welding", WeldingRow)
    tools, torch = reader.given("hole_tools", HoleToolsRow), reader.given("torch", TorchRow)
    draw_tool, plastic = reader.given("draw_tool", DrawToolRow), reader.given("printer_3d", Printer3DRow)
    sheets, tubes, dies = reader.many("sheet", SheetRow), reader.many("tube", TubeRow), reader.many("die", DieRow)
    coupons, formers = reader.many("coupon", CouponRow), reader.many("former", FormerRow)
    if reader.problems or not (
        top and printer and brake and tubing and welding and tools and torch and draw_tool and plastic
    ):
        raise InputError(*reader.problems)
    return Shop(
        name=top.name,
        sample=top.sample,
        gap=top.gap,
        coating=top.coating,
        coating_in_holes=top.coating_in_holes,
        paper=printer.paper,
        bars=(printer.bar_x, printer.bar_y),
        paper_t=printer.paper_t,
        brake=Brake(length=brake.length, force=brake.force, punch=brake.punch, goose_neck=brake.goose_neck),
        sheets=tuple(
            Sheet(material=row.material, t=t, length=row.length, width=row.width)
            for row in sheets
            for t in _rising(row.t)
        ),
        tubes=tuple(Stick(od=row.od, wall=wall, length=row.length) for row in tubes for wall in _rising(row.wall)),
        dies=tuple(
            Die(v=row.v, thin=row.thin, thick=row.thick, flange=row.flange, radius=row.radius) for row in dies
        ),
        coupons=tuple(
            Coupon(material=row.material, t=row.t, radius=row.radius, angle=row.angle, allowance=row.allowance)
            for row in coupons
        ),
        formers=tuple(Former(od=row.od, radius=row.radius) for row in formers),
        tubing=Tubing(
            straight=tubing.straight,
            fit_up=tubing.fit_up,
            torch=tubing.torch,
            sharp=tubing.sharp,
            wall_ratio=tubing.wall_ratio,
            bung_play=tubing.bung_play,
            wrap="no bevel" if tubing.wrap == "no bevel" else "bevel",
        ),
        welding=Welding(process="low hydrogen" if welding.process == "low hydrogen" else "other"),
        torch=Torch(**{one.name: getattr(torch, one.name) for one in fields(Torch)}),
        draw_tool=DrawTool(**{one.name: getattr(draw_tool, one.name) for one in fields(DrawTool)}),
        printer_3d=_printer(plastic),
        drills=_rising(tools.drills),
        reamers=_rising(tools.reamers),
        ream_stock=tools.ream_stock,
    )


def _printer(row: Printer3DRow) -> Printer3D:
    same = {one.name: getattr(row, one.name) for one in fields(Printer3D) if one.name != "bars"}
    return Printer3D(**same, bars=(row.bar_x, row.bar_y, row.bar_z))


def _outside_tables(reader: FileReader) -> ShopRow | None:
    own = {p.name for p in SHOP_KEYS.top_params} - {"format", "unit"}
    given = {key: value for key, value in reader.raw.items() if key in own}
    return reader.one(ShopRow, {**given, "format": FORMAT}, "shop")


def _rising(values: tuple[float, ...]) -> tuple[float, ...]:
    """Each size once, smallest first."""
    return tuple(sorted(set(values)))
