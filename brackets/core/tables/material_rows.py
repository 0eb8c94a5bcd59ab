"""Materials: density kg/m3, stiffness and strength MPa, and whether one may weld them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Annotated, ClassVar, TypeAlias

from brackets.core import units
from brackets.core.errors import InputError
from brackets.core.names import plain, unknown
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, number, text, texts
from brackets.core.schema.reading import from_mapping, record_of
from brackets.core.schema.rows import TableRef
from brackets.core.schema.rule import Plain, Rule, Text
from brackets.core.schema.sizes import Number
from brackets.core.tables.data_files import toml_rows
from brackets.core.units import shown

WELDABLE = ("yes", "no", "unknown")
STRONGEST = 5000.0
"""MPa: over twice the strongest wire."""
StepsOf: TypeAlias = tuple[tuple[float, float], ...]
"""(thickness up to, mm; MPa) in rising order."""


@dataclass(frozen=True, kw_only=True)
class Material:
    """What a piece is made of: density kg/m3, stiffness and strength MPa, and whether one may weld it.

    e: MPa, 0 where a single stiffness makes no sense (rubber); yields, breaks: (up to which thickness in mm, MPa)
    steps, which `fy` and `fu` look up; fy_welded, fu_welded: beside a weld, None where the row gives none;
    weldable: "yes", "no" or "unknown"; beta_w: correlation factor of fillet welds, None where the row gives none.
    """

    name: str
    also: tuple[str, ...]
    density: float
    e: float
    poisson: float
    yields: StepsOf
    breaks: StepsOf
    fy_welded: float | None
    fu_welded: float | None
    weldable: str
    beta_w: float | None
    note: str
    source: str

    @property
    def density_kg_mm3(self) -> float:
        """kg/mm3: multiply by a volume in mm3."""
        return self.density / 1e9

    def fy(self, t: float = 0.0) -> float | None:
        """Smallest yield, MPa, at thickness t mm; None where the row gives none."""
        return _at(self.yields, t)

    def fu(self, t: float = 0.0) -> float | None:
        """Smallest tensile strength, MPa, at thickness t mm; None where the row gives none."""
        return _at(self.breaks, t)


@dataclass(frozen=True, kw_only=True)
class Steps(Rule):
    """Strength, MPa, by thickness: one figure, or steps [[up to mm, MPa], ...]; stored as (mm, MPa) pairs, one
    figure as up to infinity."""

    kind: ClassVar[str] = "steps"
    unit: ClassVar[str] = "MPa"

    @property
    def allowed(self) -> str:
        return f"must be over 0 to {STRONGEST:g} MPa, or steps [[thickness up to, MPa], ...] of rising thickness"

    def plain(self, value: object, *, name: str) -> Plain:
        given = [[math.inf, value]] if isinstance(value, float | int) else value
        if not isinstance(given, list | tuple) or not given:
            self.refuse(name, shown(value))
        steps = [_step(one) for one in given]
        found = tuple(step for step in steps if step is not None)
        if len(found) < len(steps) or any(a[0] >= b[0] for a, b in pairwise(found)):
            self.refuse(name, shown(value))
        return found

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        try:
            figure = units.number(text, name=name)
        except InputError:
            self.refuse(name, shown(text))
        return self.plain(figure, name=name)

    def to_text(self, value: Plain) -> str:
        return shown(value)

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return () if about is None else (about,)


def _step(given: object) -> tuple[float, float] | None:
    if isinstance(given, list | tuple) and len(given) == 2:
        limit, strength = (x if isinstance(x, float | int) and not isinstance(x, bool) else 0.0 for x in given)
        if limit > 0 and 0 < strength <= STRONGEST:
            return float(limit), float(strength)
    return None


def _mpa(meaning: str) -> Number:
    return number(0.01, STRONGEST, meaning)


@dataclass(frozen=True, kw_only=True)
class MaterialRow(Checked):
    """A material as it is typed; `record` is what the rest of the program takes."""

    name: Annotated[str, Text(meaning="name of the row", longest=300, least=1)]
    aka: Annotated[tuple[str, ...], texts("other names it goes by")] = ()
    density: Annotated[float, number(10, 25000, "density, kg/m3")]
    e: Annotated[float, number(0, 1e6, "modulus of elasticity, MPa; 0 where one figure makes no sense")] = 0.0
    poisson: Annotated[float, number(0, 0.5, "Poisson's ratio")] = 0.3
    fy: Annotated[StepsOf | None, Steps(meaning="smallest yield strength")] = None
    fu: Annotated[StepsOf | None, Steps(meaning="smallest tensile strength")] = None
    fy_welded: Annotated[float | None, _mpa("yield strength beside a weld, MPa")] = None
    fu_welded: Annotated[float | None, _mpa("tensile strength beside a weld, MPa")] = None
    weldable: Annotated[str, choice(WELDABLE, "whether one may weld it")] = "unknown"
    beta_w: Annotated[float | None, _mpa("correlation factor of fillet welds")] = None
    note: Annotated[str, text("what it is", longest=300)] = ""
    source: Annotated[str, text("where the figures are from", longest=300)] = "own row"

    @property
    def record(self) -> Material:
        """The material that it says."""
        return record_of(Material, self, also=self.aka, yields=self.fy or (), breaks=self.fu or ())


@cache
def materials() -> tuple[Material, ...]:
    """Every shipped material, with density in kg/m3 and strength in MPa.

    >>> "S235" in [metal.name for metal in materials()]
    True
    """
    return tuple(
        from_mapping(MaterialRow, raw, where=f"material {raw['name']}").record
        for raw in toml_rows("materials.toml", "material")
    )


def material(name: str) -> Material:
    """A material by its name, with density in kg/m3 and strength in MPa.

    name: "S235", "4130 normalised", "unknown steel".
    Raises InputError, with the choices, where there is no such row.

    >>> material("S235").density, material("S235").fy(6)
    (7850.0, 235.0)
    """
    return material_of(name, materials())


def material_of(name: object, rows: Sequence[Material]) -> Material:
    """The first of `rows` that goes by that name; InputError, with the nearest names, where none does."""
    for row in rows:
        if isinstance(name, str) and plain(name) in (plain(known) for known in (row.name, *row.also)):
            return row
    return unknown("material", name, [row.name for row in rows])


def _at(steps: StepsOf, t: float) -> float | None:
    return next((value for limit, value in steps if t <= limit), None)


MATERIALS = TableRef("material", shipped=material, rows=materials)
