"""The words behind a value that names a row of a table: row, tube."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from brackets.core.errors import InputError
from brackets.core.schema.rows import Row, TableRef, TubeSize
from brackets.core.tables.bolt_rows import BOLTS
from brackets.core.tables.bush_table import BUSHES
from brackets.core.tables.material_rows import MATERIALS
from brackets.core.tables.stock_rows import tube_stock

TABLES: dict[str, TableRef[Any]] = {table.name: table for table in (BOLTS, BUSHES, MATERIALS)}
"""Tables whose rows a value may name."""


def row(table: str, meaning: str, *, among: tuple[str, ...] = (), takes: str = "") -> Row | TubeSize:
    """The rule of the name of a row of a table; stored as str.

    table: "bolt", "bush", "material", or "tube" for a size such as "38x3"; meaning: what the value is, in shop
    words; among: the only rows that will do, () for all; takes: the link by which a bay fills it (see LINKS),
    or "".

    >>> row("bolt", "bolt through the bush").from_text("m12", name="bolt")
    'M12'
    """
    if table == "tube":
        return replace(tube(meaning), takes=takes)
    if table not in TABLES:
        raise InputError(f'table = "{table}", must be one of {", ".join(TABLES)}: {meaning}')
    return Row(table=TABLES[table], meaning=meaning, among=tuple(among), takes=takes)


def tube(
    meaning: str, *, od: tuple[float, float] = (10.0, 115.0), wall: tuple[float, float] = (1.0, 10.0)
) -> TubeSize:
    """The rule of a round tube, outer diameter x wall; stored as str in mm, "38x3", which `od_wall` takes apart.

    meaning: what the value is, in shop words; od, wall: (lowest, highest) of each, mm.

    >>> tube_size("tube of the leg").from_text("1-1/2in x 0.095in", name="leg")
    '38.1x2.413'
    """
    return TubeSize(meaning=meaning, od=od, wall=wall, stocked=tube_stock)
