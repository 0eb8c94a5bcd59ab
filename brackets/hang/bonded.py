"""How stiff a bonded rubber bush is: a ring of rubber between an inner sleeve and an outer shell, its ends free.

Axis: radial is square to the bush's axis, axial along it, torsion turns about it, conical turns about a line square
to it through the middle. mm, N, MPa. The shell stands still, the sleeve moves as a rigid body, a little: small
displacements of rubber without voids.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Annotated

from brackets.core.errors import OutOfRange
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import mm, number
from brackets.core.tables.data_files import csv_rows

RADII = (1.15, 6.0)
"""Outer over inner radius, least and most of the table."""
SLENDER = (0.4, 10.0)
"""Length over thickness of the rubber, least and most of the table."""
TABLE_ERROR = 0.001
"""Most that the table's figures are off, relative; 0.00023 was the most seen, against 20 by 20 elements."""
ROUNDING = 1e-9
COLUMNS = ("radial", "axial", "conical", "sliding")


@dataclass(frozen=True, kw_only=True)
class BushStiffness:
    """Stiffness of a bonded bush: radial, axial N/mm; torsion, conical N mm/rad.

    sliding: radial, N/mm, where the sleeve slips freely in the rubber and stays in touch with it all round (poly
    halves, greased and pressed in); error: most that the figures are off for the shear modulus given, relative.
    """

    radial: float
    axial: float
    torsion: float
    conical: float
    sliding: float
    error: float = TABLE_ERROR


@dataclass(frozen=True, kw_only=True)
class _Ring(Checked):
    """The rubber, and what it may be."""

    inner_r: Annotated[float, mm(0.5, 500, "inner radius of the rubber, where it is bonded to the sleeve")]
    outer_r: Annotated[float, mm(0.5, 1000, "outer radius of the rubber, where it is bonded to the shell")]
    length: Annotated[float, mm(0.5, 2000, "bonded length of the rubber")]
    shear_modulus: Annotated[float, number(0.05, 500, "shear modulus of the rubber, MPa")]

    @property
    def radii(self) -> float:
        return self.outer_r / self.inner_r

    @property
    def slender(self) -> float:
        return self.length / (self.outer_r - self.inner_r)


def bush_stiffness(inner_r: float, outer_r: float, length: float, shear_modulus: float) -> BushStiffness:
    """Stiffness of a bonded bush from its rubber, N/mm and N mm/rad.

    inner_r, outer_r: radii where the rubber is bonded, mm; length: bonded length, mm; shear_modulus: MPa, static,
    as `rubber_modulus` gives it for a hardness.
    Radial, axial and conical are of finite length, interpolated in a table of finite elements (nearly
    incompressible rubber, Poisson's ratio 0.4999); the closed forms of the long and of the short bush (Adkins and
    Gent 1954) are up to six times apart and fit no real one. Real rubber gives a little in volume: at 0.4995 the
    longest and thinnest of the table (outer over inner radius 1.15, length 10 times the thickness) is 7 % softer
    radially, one of twice the inner radius 2 %. Torsion is exact: 4 pi G L a^2 b^2 / (b^2 - a^2).
    Raises OutOfRange, with everything that is wrong, outside the table: outer over inner radius 1.15 to 6, length
    over thickness 0.4 to 10.

    >>> found = bush_stiffness(10, 20, 40, 0.64)
    >>> round(found.radial), round(found.axial), round(found.torsion), round(found.conical, -2)
    (1490, 219, 42893, 135000.0)
    """
    ring = _Ring(inner_r=inner_r, outer_r=outer_r, length=length, shear_modulus=shear_modulus)
    if wrong := tuple(_outside(ring)):
        raise OutOfRange(*wrong)
    radial, axial, conical, sliding = (math.exp(value) for value in _interpolated(ring.radii, ring.slender))
    a2, b2 = ring.inner_r**2, ring.outer_r**2
    scale = ring.shear_modulus * ring.length
    return BushStiffness(
        radial=radial * scale,
        axial=axial * scale,
        torsion=4 * math.pi * scale * a2 * b2 / (b2 - a2),
        conical=conical * scale * ring.length**2,
        sliding=sliding * scale,
    )


def _outside(ring: _Ring) -> Iterator[str]:
    if ring.outer_r <= ring.inner_r:
        yield f"outer_r = {ring.outer_r:g} mm, must be over inner_r = {ring.inner_r:g} mm: rubber lies between them"
        return
    for name, (least, most), value, meaning in (
        ("outer_r / inner_r", RADII, ring.radii, "how thick the rubber is for its sleeve"),
        ("length / (outer_r - inner_r)", SLENDER, ring.slender, "how long the rubber is for its thickness"),
    ):
        if not least * (1 - ROUNDING) <= value <= most * (1 + ROUNDING):
            yield f"{name} = {value:.4g}, must be {least:g} to {most:g}: {meaning}"


@dataclass(frozen=True)
class _Table:
    """Logarithms of the factors over a grid of Chebyshev nodes: x = log log radii, y = log slender."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    values: tuple[tuple[tuple[float, ...], ...], ...]  # of x, of y, of COLUMNS


@cache
def _table() -> _Table:
    rows = csv_rows("bonded.csv")
    radii = list(dict.fromkeys(row["radii"] for row in rows))
    slender = list(dict.fromkeys(row["slender"] for row in rows))
    values = [tuple(math.log(float(row[name])) for name in COLUMNS) for row in rows]
    return _Table(
        x=tuple(math.log(math.log(float(cell))) for cell in radii),
        y=tuple(math.log(float(cell)) for cell in slender),
        values=tuple(
            tuple(values[i * len(slender) : (i + 1) * len(slender)]) for i in range(len(radii))
        ),
    )


def _interpolated(radii: float, slender: float) -> list[float]:
    """The polynomial through all nodes, by its barycentric form (Berrut and Trefethen 2004)."""
    table = _table()
    over_x = _shares(table.x, math.log(math.log(radii)))
    over_y = _shares(table.y, math.log(slender))
    return [
        sum(p * sum(q * cell[k] for q, cell in zip(over_y, row, strict=True))
            for p, row in zip(over_x, table.values, strict=True))
        for k in range(len(COLUMNS))
    ]  # fmt: skip


def _shares(nodes: tuple[float, ...], at: float) -> list[float]:
    """What each Chebyshev node of the first kind counts for at a point; they add up to 1."""
    count = len(nodes)
    for i, node in enumerate(nodes):
        if abs(at - node) < 1e-13:
            return [float(i == j) for j in range(count)]
    parts = [
        (-1) ** i * math.sin(math.pi * (i + 0.5) / count) / (at - node) for i, node in enumerate(nodes)
    ]
    total = sum(parts)
    return [part / total for part in parts]
