"""Flat stock: sheet, plate and gauge rows; t is mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from brackets.core.errors import InputError, OutOfRange
from brackets.core.tables.lookup import csv_rows, inches
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
