"""What a hardness says of rubber and poly: its moduli, MPa, and how far they may be off.

Hardness is a scratchy measure: the same batch reads a few points apart, moulded parts are sold to ± 5, and the
modulus at one hardness depends on the filler. So every modulus comes with its least and most.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, number
from brackets.core.tables.data_files import csv_rows

Material = Literal["rubber", "poly"]
MATERIALS: tuple[Material, ...] = ("rubber", "poly")
RUBBER = (30.0, 75.0)
POLY = (50.0, 95.0)
SMALL = 0.01
"""IRHD: little beside the 5 between two rows of Lindley's table."""
POLY_SCATTER = 0.25
"""Of the modulus of poly at one hardness, either way: common practice, no source."""
LINDLEY = "Lindley, Engineering Design with Natural Rubber, 4th edition 1974 (from memory)"
GENT = (
    "Gent, On the Relation between Indentation Hardness and Young's Modulus, IRI Transactions 34, 1958"
    " (from memory)"
)


@dataclass(frozen=True, kw_only=True)
class RubberModulus:
    """Moduli at small strain, static, MPa.

    shear, young: G and E0; shear_low, shear_high: what G may be; k: of `bobbin_stiffness`' law for compression;
    bulk: modulus of volume; source: where the figures are from.
    """

    hardness: float
    shear: float
    shear_low: float
    shear_high: float
    young: float
    k: float
    bulk: float
    source: str

    @property
    def scatter(self) -> tuple[float, float]:
        """Least and most of the stiffness of what is made of it, as parts of the figure itself."""
        return self.shear_low / self.shear, self.shear_high / self.shear


@dataclass(frozen=True, kw_only=True)
class _Asked(Checked):
    material: Annotated[str, choice(MATERIALS, "what the bush is made of")]
    hardness: Annotated[float, number(RUBBER[0], POLY[1], "IRHD; of poly Shore A, which reads about the same")]
    pm: Annotated[float, number(0, 15, "how well the hardness is known, either way")]

    def rules(self) -> Iterator[str]:
        least, most = RUBBER if self.material == "rubber" else POLY
        if not least <= self.hardness <= most:
            yield f"hardness = {self.hardness:g}, must be {least:g} to {most:g}: IRHD or Shore A of {self.material}"


def rubber_modulus(hardness: float, *, pm: float = 5.0, material: Material = "rubber") -> RubberModulus:
    """Moduli of rubber or poly by its hardness, with their scatter.

    hardness: IRHD or Shore A, 30 to 75 of rubber, 50 to 95 of poly; pm: how well it is known, either way (moulded
    parts are sold to ± 5: common practice, no source); material: "rubber" or "poly".
    Rubber by Lindley's table, logarithms interpolated; its least and most are those at hardness - pm and + pm. Poly
    by Gent's relation, with POLY_SCATTER more, since poly of one hardness differs from maker to maker.
    Raises InputError with everything that is wrong.

    >>> found = rubber_modulus(50)
    >>> found.shear, found.shear_low, found.shear_high
    (0.64, 0.54, 0.81)
    >>> round(rubber_modulus(80, material="poly").shear, 2)
    3.12
    """
    asked = _Asked(material=material, hardness=hardness, pm=pm)
    if asked.material == "poly":
        return _poly(asked.hardness, asked.pm)
    shear, young, k, bulk = (_at(asked.hardness, name) for name in ("shear", "young", "k", "bulk"))
    low, high = (_at(asked.hardness + by, "shear") for by in (-asked.pm, asked.pm))
    return RubberModulus(
        hardness=asked.hardness, shear=shear, shear_low=low, shear_high=high, young=young, k=k, bulk=bulk,
        source=LINDLEY,
    )  # fmt: skip


def stiffening(hardness: float, material: Material = "rubber") -> float:
    """How much stiffer 1 IRHD more makes rubber or poly, as a part of its stiffness: 0.035 is 3.5 %.

    hardness, material: as for `rubber_modulus`, whose shear modulus this is the derivative of; at a row of
    Lindley's table it is the mean of what lies below and above.

    >>> round(stiffening(50), 4)
    0.0405
    """
    asked = _Asked(material=material, hardness=hardness, pm=0.0)
    if asked.material == "poly":
        return 7.62336 / (56 + 7.62336 * asked.hardness) + 2.54 / (254 - 2.54 * asked.hardness)
    below, above = (_at(asked.hardness + by, "shear") for by in (-SMALL, SMALL))
    return math.log(above / below) / (2 * SMALL)


def gent_young(hardness: float) -> float:
    """Young's modulus, MPa, by Gent 1958 (from memory): E = 0.0981 (56 + 7.62336 S) / (0.137505 (254 - 2.54 S))."""
    return 0.0981 * (56 + 7.62336 * hardness) / (0.137505 * (254 - 2.54 * hardness))


def _poly(hardness: float, pm: float) -> RubberModulus:
    shear, low, high = (gent_young(hardness + by) / 3 for by in (0.0, -pm, min(pm, 97.0 - hardness)))
    return RubberModulus(
        hardness=hardness,
        shear=shear,
        shear_low=low * (1 - POLY_SCATTER),
        shear_high=high * (1 + POLY_SCATTER),
        young=3 * shear,
        k=1.0,
        bulk=2000.0,  # common practice, no source
        source=GENT,
    )


def _at(hardness: float, column: str) -> float:
    """A column of the table, its logarithm straight between rows and beyond the last ones."""
    rows = [(float(row["hardness"]), float(row[column])) for row in csv_rows("rubber.csv")]
    i = next((i for i in range(1, len(rows) - 1) if hardness <= rows[i][0]), len(rows) - 1)
    (low, first), (high, second) = rows[i - 1], rows[i]
    if hardness == low:
        return first
    share = (hardness - low) / (high - low)
    return second if share == 1 else math.exp(math.log(first) + share * math.log(second / first))
