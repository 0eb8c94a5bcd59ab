"""Plate and round tube that merchants keep, each row with its source. mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from brackets.core.errors import InputError, OutOfRange
from brackets.core.schema.sizes import StockList
from brackets.core.tables.data_files import csv_rows, inches
from brackets.core.units import BWG, INCH, SHEET_GAUGE, SWG, gauge, length, shown

SYSTEMS = ("mm", "in", "sheet", "swg")
"""mm and in: plain thicknesses; sheet: Manufacturers' Standard gauge; swg: imperial standard wire gauge."""
_SAME = 1e-6
"""mm within which a thickness is the row's: far under any rolling tolerance, over any rounding of text."""


@dataclass(frozen=True, kw_only=True)
class Plate:
    """A thickness of flat stock: t mm, form "sheet" or "plate", system one of SYSTEMS."""

    name: str
    t: float
    system: str
    form: str
    source: str


@cache
def plates() -> tuple[Plate, ...]:
    """Every row, thinnest first within its system."""
    return tuple(
        _row(row["unit"], size, row["form"], row["standard"])
        for row in csv_rows("plates.csv")
        for size in row["sizes"].split()
    )


def plate_stock(*systems: str) -> tuple[float, ...]:
    """Thicknesses of plate and sheet that stockists keep, mm, rising.

    systems: any of "mm", "in", "sheet" (Manufacturers' Standard gauge) and "swg"; all of them where none is named.
    Raises InputError for any other word.

    >>> plate_stock("in")[:3]
    (3.175, 4.7625, 6.35)
    """
    wrong = [system for system in systems if system not in SYSTEMS]
    if wrong:
        raise InputError(*(f"system = {shown(name)}, must be one of {', '.join(SYSTEMS)}" for name in wrong))
    return tuple(sorted({row.t for row in plates() if not systems or row.system in systems}))


def plate(size: float | str) -> Plate:
    """The row of 6, "6 mm", "1/4in", "10 ga" (steel sheet gauge) or "16 swg"; InputError otherwise."""
    gauges = gauge(size) if isinstance(size, str) else ()
    meant = [(scale, mm) for scale, _, mm in gauges if scale in SYSTEMS]
    system, t = meant[0] if meant else ("", length(size, name="t"))
    for row in plates():
        if abs(row.t - t) <= _SAME and system in ("", row.system):
            return row
    near = ", ".join(f"{row.name} ({row.t:.4g} mm)" for row in nearest_plates(t))
    raise InputError(f"t = {shown(size)}, not in the table; nearest: {near}")


def nearest_plates(t: float, *, n: int = 3) -> tuple[Plate, ...]:
    """The stock thicknesses of plate and sheet nearest to one that is wanted, nearest first.

    t: thickness wanted, mm; n: how many rows.

    >>> [(row.name, row.t) for row in nearest_plates(6.2, n=2)]
    [('1/4 in', 6.35), ('6 mm', 6.0)]
    """
    return tuple(sorted(plates(), key=lambda row: abs(row.t - t))[:n])


def tube_wall(number: int) -> float:
    """Wall, mm, of a Birmingham wire gauge number."""
    if number not in BWG:
        raise OutOfRange(f"bwg = {number}, must be {min(BWG)} to {max(BWG)}: Birmingham wire gauge")
    return float(BWG[number] * INCH)


def _row(unit: str, size: str, form: str, standard: str) -> Plate:
    if unit == "mm":
        return Plate(name=f"{size} mm", t=float(size), system=unit, form=form, source=standard)
    if unit == "in":
        return Plate(name=f"{size} in", t=inches(size), system=unit, form=form, source=standard)
    scale, said = (SHEET_GAUGE, "ga") if unit == "sheet" else (SWG, "swg")
    t = float(scale[int(size)] * INCH)
    return Plate(name=f"{size} {said}", t=t, system=unit, form=form, source=standard)


STEEL = 7850.0
"""Density of structural steel, kg/m3 (EN 1991-1-1 table A.4)."""
SAME = 0.02
"""mm within which two sizes are one stock size: inch walls are often written rounded to 0.01 mm."""


@dataclass(frozen=True, kw_only=True)
class TubeSection:
    """A round tube of outside diameter od and wall, mm; source "worked out" if it is no stock row."""

    od: float
    wall: float
    name: str
    source: str

    @property
    def id(self) -> float:
        """Inside diameter, mm."""
        return self.od - 2 * self.wall

    @property
    def area(self) -> float:
        """Metal in the section, mm2."""
        return math.pi * self.wall * (self.od - self.wall)

    @property
    def inertia(self) -> float:
        """Second moment of area about a diameter, mm4."""
        return math.pi / 64 * (self.od**4 - self.id**4)

    @property
    def section_modulus(self) -> float:
        """Elastic section modulus, mm3."""
        return self.inertia / (self.od / 2)

    @property
    def kg_per_m(self) -> float:
        """kg a metre in steel of 7850 kg/m3."""
        return self.area * STEEL * 1e-6


@cache
def tubes() -> tuple[TubeSection, ...]:
    """Every stock tube, by outside diameter and then wall; metric and inch rows together, sizes in mm.

    >>> [row.wall for row in tubes() if row.od == 38]
    [1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0]
    """
    rows = [
        _inch_row(row["od"], wall, row["standard"])
        if row["unit"] == "in"
        else _mm_row(float(row["od"]), float(wall), row["standard"])
        for row in csv_rows("tubes.csv")
        for wall in row["walls"].split()
    ]
    return tuple(sorted(rows, key=lambda row: (row.od, row.wall)))


def tube_stock() -> tuple[tuple[float, float], ...]:
    """(od, wall) mm of every stock row."""
    return tuple((row.od, row.wall) for row in tubes())


def tube(od: float | str, wall: float | str) -> TubeSection:
    """The section of a round tube: the stock row if there is one, else worked out.

    od, wall: outside diameter and wall, mm, or text with a unit ("1-1/2in"); a wall may also be "14 bwg"
    or "16 swg".
    Raises InputError unless 0 < `wall` < `od` / 2.

    >>> tube(38, 3).id, round(tube(38, 3).area, 2), round(3.14159265 * 3 * (38 - 3), 2)
    (32.0, 329.87, 329.87)
    >>> tube(39, 3).source
    'worked out'
    """
    problems: list[str] = []
    sizes: list[float] = []
    for name, value in (("od", od), ("wall", wall)):
        try:
            sizes.append(_size(value, name))
        except InputError as wrong:
            problems += wrong.problems
    if problems:
        raise InputError(*problems)
    outside, thick = sizes
    if outside <= 0:
        problems.append(f"od = {shown(od)}, must be over 0: outside diameter of a tube")
    elif not 0 < thick < outside / 2:
        problems.append(f"wall = {shown(wall)}, must be over 0 and under {outside / 2:g} mm: wall of a tube")
    if problems:
        raise InputError(*problems)
    same = [row for row in tubes() if row.od == outside and row.wall == thick]
    return same[0] if same else _mm_row(outside, thick, "worked out")


def is_stock_tube(od: float, wall: float) -> bool:
    """Whether a stockist's row agrees within 0.02 mm."""
    return any(abs(row.od - od) <= SAME and abs(row.wall - wall) <= SAME for row in tubes())


def nearest_tubes(od: float, wall: float, *, n: int = 3) -> tuple[TubeSection, ...]:
    """The stock tubes nearest to a size that is wanted, nearest first.

    od, wall: outside diameter and wall wanted, mm; n: how many rows. A mm of wall counts as four mm of diameter.

    >>> [(row.name, round(row.od, 3), round(row.wall, 3)) for row in nearest_tubes(38.2, 3.1, n=2)]
    [('1-1/2 x 0.120 in', 38.1, 3.048), ('38.1 x 3.2', 38.1, 3.2)]
    """
    return tuple(sorted(tubes(), key=lambda row: math.hypot(row.od - od, 4 * (row.wall - wall)))[:n])


def _size(value: float | str, name: str) -> float:
    meant = gauge(value) if isinstance(value, str) and name == "wall" else ()
    return meant[0][2] if len(meant) == 1 else length(value, name=name)


def _mm_row(od: float, wall: float, standard: str) -> TubeSection:
    return TubeSection(od=od, wall=wall, name=_name(od, wall), source=standard)


def _inch_row(od: str, wall: str, standard: str) -> TubeSection:
    outside = Fraction(od)
    whole, rest = divmod(outside, 1)
    said = f"{whole}-{rest}" if whole and rest else f"{outside}"
    return TubeSection(
        od=float(outside * INCH),
        wall=float(Fraction(wall) * INCH),
        name=f"{said} x {wall} in",
        source=standard,
    )


def _name(od: float, wall: float) -> str:
    return f"{od:g} x {wall:g}"


PLATE = StockList(name="plate", kept=plate_stock, gauge="sheet")
TUBE = StockList(name="tube", kept=lambda: tuple(sorted({row.od for row in tubes()})))
WALL = StockList(name="tube wall", kept=lambda: tuple(sorted({row.wall for row in tubes()})), gauge="bwg")
