"""Materials: density kg/m3, stiffness and strength MPa, and whether one may weld them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from brackets.core.errors import InputError
from brackets.core.tables.lookup import Row, plain, toml_rows, unknown

WELDABLE = ("yes", "no", "unknown")
_MUST_STEPS = "must be MPa, or steps [[thickness up to, MPa], ...] with both rising thickness and over 0"


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
    yields: tuple[tuple[float, float], ...]
    breaks: tuple[tuple[float, float], ...]
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


@cache
def materials() -> tuple[Material, ...]:
    """Every shipped material, with density in kg/m3 and strength in MPa.

    >>> "S235" in [metal.name for metal in materials()]
    True
    """
    return tuple(
        read_material(row, where=f"material {row['name']}", source="")
        for row in toml_rows("materials.toml", "material")
    )


def material(name: str) -> Material:
    """A material by its name, with density in kg/m3 and strength in MPa.

    name: "S235", "4130 normalised", "unknown steel".
    Raises InputError, with the choices, where there is no such row.

    >>> material("S235").density, material("S235").fy(6)
    (7850.0, 235.0)
    """
    for row in materials():
        if isinstance(name, str) and plain(name) in (plain(known) for known in (row.name, *row.also)):
            return row
    return unknown("material", name, [row.name for row in materials()])


def read_material(raw: Mapping[str, object], *, where: str = "material", source: str = "own row") -> Material:
    """A material from the keys of a [[material]] table; InputError with every wrong key at once."""
    row = Row(raw, where)
    found = Material(
        name=row.text("name"),
        also=_words(row, "aka"),
        density=row.number("density", 10, 25000),
        e=row.number("e", 0, 1e6, default=0.0),
        poisson=row.number("poisson", 0, 0.5, default=0.3),
        yields=_steps(row, "fy"),
        breaks=_steps(row, "fu"),
        fy_welded=_maybe(row, "fy_welded"),
        fu_welded=_maybe(row, "fu_welded"),
        weldable=row.choice("weldable", WELDABLE, "unknown"),
        beta_w=_maybe(row, "beta_w"),
        note=row.text("note", ""),
        source=row.text("source", source),
    )
    problems = row.finish()
    if problems:
        raise InputError(*problems)
    return found


def _at(steps: tuple[tuple[float, float], ...], t: float) -> float | None:
    return next((value for limit, value in steps if t <= limit), None)


def _maybe(row: Row, key: str) -> float | None:
    return row.number(key, 0.01, 5000) if key in row.raw else (row.given(key), None)[1]


def _words(row: Row, key: str) -> tuple[str, ...]:
    given = row.given(key)
    if given is None:
        return ()
    if isinstance(given, (list, tuple)) and all(isinstance(word, str) for word in given):
        return tuple(given)
    row.wrong(key, given, "must be a list of names")
    return ()


def _steps(row: Row, key: str) -> tuple[tuple[float, float], ...]:
    given = row.given(key)
    if given is None:
        return ()
    if isinstance(given, (int, float)) and not isinstance(given, bool) and 0 < given < 5000:
        return ((float("inf"), float(given)),)
    if isinstance(given, (list, tuple)) and given:
        steps = [_pair(step) for step in given]
        if None not in steps and all(a[0] < b[0] for a, b in zip(steps, steps[1:], strict=False) if a and b):
            return tuple(step for step in steps if step is not None)
    row.wrong(key, given, _MUST_STEPS)
    return ()


def _pair(step: object) -> tuple[float, float] | None:
    if isinstance(step, (list, tuple)) and len(step) == 2:
        limit, value = step
        if all(isinstance(x, (int, float)) and not isinstance(x, bool) and x > 0 for x in step):
            return float(limit), float(value)
    return None
