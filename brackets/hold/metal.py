"""Strength that a check may count on: structural steels, drawn tube, two aluminium alloys, bolts by class. MPa."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.core.errors import InputError, OutOfRange
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.fasteners import strength
from brackets.core.tables.material_rows import Material, material
from brackets.hold.check import Array, Figures, Scope

STEELS = ("S235", "S275", "S355")
DRAWN = ("E235", "E355", "E235+C", "E355+C")
"""Precision tube, by the values of its own standard (EN 1993-1-1:2005 3.2.1(1) a). As drawn (+C) it stretches less
than the 15 % of 3.2.2 and a weld anneals it, so it counts as annealed, welded or not. Of fillets the largest beta_w
of EN 1993-1-8:2005 table 4.1, which does not name these steels."""
ALUMINIUM = ("6061-T6", "5083-O")
STEEL_SOURCE = "EN 1993-1-1:2005 table 3.1"
WHY_NOT = {
    "DC01": "no strength to count on: its standard has no least yield",
    "4130 normalised": "no strength to count on: EN 1993 has no row for it, and what a weld leaves of it hangs on"
    " how it is welded",
    "stainless 304": "no strength to count on here: EN 1993-1-4:2006 is for it",
    "cast iron": "no strength to count on: it is brittle, and EN 1993 is for steel that yields",
    "unknown steel": "no strength to count on: nobody knows what it is",
}
"""Of materials that somebody may well type."""
LEAST_WELDED = 3.0
"""mm: sheet and walls under it are not checked where they are welded."""


@dataclass(frozen=True)
class MetalRule:
    """yield_by, break_by: partial factors of yield and of tensile strength, as `Factors` has them; beside: what is
    said of the strength that counts."""

    yield_by: str
    break_by: str
    beside: str

    def clause(self, steel: str, aluminium: str) -> str:
        """The clause for this metal of the two."""
        return f"{aluminium}{self.beside}" if self.beside else steel


STEEL_RULE = MetalRule("m0", "m2", "")
ALUMINIUM_RULE = MetalRule("aluminium_m1", "aluminium_m2", ", beside a weld")


@dataclass(frozen=True, kw_only=True, eq=False)
class Metal:
    """A metal at its thickness: fy, fu MPa (of aluminium beside a weld), e MPa; beta_w: of fillet welds, or None.

    fy and fu are one figure, or a figure a row where thickness was.
    """

    name: str
    fy: Figures
    fu: Figures
    e: float
    poisson: float
    beta_w: float | None
    source: str

    @property
    def is_steel(self) -> bool:
        return self.name in (*STEELS, *DRAWN)

    def steel_only(self, scope: Scope, clause: str) -> None:
        """Refuses it where a clause is for steel."""
        if not self.is_steel:
            scope.told(f"metal = {self.name}, must be {', '.join((*STEELS, *DRAWN))}: {clause} is for steel")

    @property
    def rule(self) -> MetalRule:
        """By which code a plate of it that is bolted is judged, and with which partial factors."""
        return STEEL_RULE if self.is_steel else ALUMINIUM_RULE

    @property
    def epsilon(self) -> Any:
        """Square root of 235 over fy, EN 1993-1-1:2005 table 5.2."""
        return np.sqrt(235.0 / np.asarray(self.fy))


def metal(of: str | Material, t: Any, *, welded: bool = True) -> Metal:
    """The strength of a metal at its thickness, MPa.

    of: S235, S275, S355, precision tube E235, E355, E235+C, E355+C, or one of the two aluminium alloys that have
    values beside a weld, 6061-T6 and 5083-O; t: thickness, mm, one or a figure a row; welded: whether anything is
    welded to it: then it must be 3 mm thick.
    Aluminium has the strength beside a weld (EN 1999-1-1:2007) whether it is welded or not, tube as drawn (+C) that
    of annealed.
    Raises InputError with everything that is wrong: another material has no strength to count on.

    >>> metal("S355", 6).fy, metal("6061-T6", 5).fu
    (355.0, 175.0)
    """
    row = of if isinstance(of, Material) else material(of)
    thick = np.asarray(t, dtype=np.float64)
    wrong = []
    if row.name not in (*STEELS, *DRAWN, *ALUMINIUM):
        known = f"must be {', '.join(STEELS)} ({STEEL_SOURCE}), {', '.join(DRAWN)}, {' or '.join(ALUMINIUM)}"
        wrong.append(f"material = {row.name}, {known}: {WHY_NOT.get(row.name, 'no strength to count on')}")
    least = LEAST_WELDED if welded else 0.0
    top = row.yields[-1][0] if row.yields else np.inf
    good = np.isfinite(thick) & (thick >= least) & (thick > 0) & (thick <= top)
    if not good.all():
        first = float(thick[~good].flat[0])
        what = f"thickness of {row.name}" + (" in a welded part" if welded else "")
        limit = f"must be over 0 and at most {top:g}" if not welded else f"must be {least:g} to {top:g}"
        wrong.append(f"t = {first:g} mm, {limit} mm: {what}")
    if wrong:
        raise OutOfRange(*wrong)
    softened = row.name in (*ALUMINIUM, *(name for name in DRAWN if name.endswith("+C")))
    return Metal(
        name=row.name,
        fy=_strength(row.fy_welded if softened else row.yields, thick),
        fu=_strength(row.fu_welded if softened else row.breaks, thick),
        e=row.e,
        poisson=row.poisson,
        beta_w=row.beta_w,
        source=row.source,
    )


def _strength(steps: Any, thick: Array) -> Figures:
    """By thickness: one figure for all, or the first step that reaches it."""
    if isinstance(steps, float | int):
        return float(steps) if thick.ndim == 0 else np.full(thick.shape, float(steps))
    found = np.full(thick.shape, np.nan)
    for limit, value in reversed(steps):
        found = np.where(thick <= limit, value, found)
    return float(found) if found.ndim == 0 else found


_EN_CLASSES = {
    "4.6": (240.0, 400.0, 0.6),
    "5.6": (300.0, 500.0, 0.6),
    "5.8": (400.0, 500.0, 0.5),
    "8.8": (640.0, 800.0, 0.6),
    "10.9": (900.0, 1000.0, 0.5),
}
"""fyb, fub: EN 1993-1-8:2005 table 3.1; alpha_v with threads in the shear plane: table 3.4."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Bolts:
    """A bolt, or one a row: sizes, mm and mm2, and the strength that EN 1993 counts, fy, fu, MPa.

    alpha_thread: share of fu in shear through the thread; iso_yield, iso_tensile: what ISO 898-1 has for the class,
    which is more for 10.9 and for 8.8 over M16, and is not what EN 1993 counts with.
    """

    name: str
    grade: str
    rows: tuple[Bolt, ...]
    d: Array
    stress_area: Array
    shank_area: Array
    mean_head: Array
    fy: float
    fu: float
    alpha_thread: float
    iso_yield: Array
    iso_tensile: Array


BoltRows = str | Bolt | Sequence[str | Bolt]
_UNKNOWN = np.array(np.nan)
NO_BOLTS = Bolts(
    name="", grade="", rows=(), d=_UNKNOWN, stress_area=_UNKNOWN, shank_area=_UNKNOWN, mean_head=_UNKNOWN,
    fy=np.nan, fu=np.nan, alpha_thread=np.nan, iso_yield=_UNKNOWN, iso_tensile=_UNKNOWN,
)  # fmt: skip
"""Stands for a bolt that is refused, so that the other values are read all the same."""


def grade_problems(grade: str) -> tuple[str, ...]:
    """What is wrong with a property class: nothing where EN 1993-1-8:2005 table 3.1 has it."""
    if grade in _EN_CLASSES:
        return ()
    known = f"must be {', '.join(_EN_CLASSES)} (EN 1993-1-8:2005 table 3.1)"
    return (f"grade = {grade}, {known}: property class of the bolt",)


def bolts_of(bolt_or_rows: BoltRows, grade: str) -> Bolts:
    """A bolt with the strength that EN 1993-1-8:2005 table 3.1 gives its class.

    bolt_or_rows: a metric bolt or its name, or one a row; grade: 4.6, 5.6, 5.8, 8.8 or 10.9.
    Raises InputError with everything that is wrong: an inch bolt, another class (12.9 is outside table 3.1).

    >>> of = bolts_of("M12", "10.9")
    >>> of.fu, float(of.iso_tensile)  # EN 1993-1-8 counts 1000, ISO 898-1 has 1040
    (1000.0, 1040.0)
    """
    one = isinstance(bolt_or_rows, str | Bolt)
    given: Sequence[str | Bolt] = [bolt_or_rows] if isinstance(bolt_or_rows, str | Bolt) else bolt_or_rows
    found: dict[str | Bolt, Bolt] = {}
    wrong: list[str] = []
    for each in dict.fromkeys(given):
        try:
            found[each] = each if isinstance(each, Bolt) else bolt(each)
        except InputError as error:
            wrong += error.problems
    wrong += [
        f"bolt = {row.name}, must be metric: property classes are of ISO 898-1"
        for row in found.values()
        if row.system != "metric"
    ]
    wrong += grade_problems(grade)
    if wrong:
        raise InputError(*wrong)
    kinds = {each: (row, strength(grade, row.d)) for each, row in found.items()}
    fyb, fub, alpha = _EN_CLASSES[grade]

    def column(of: Any) -> Array:
        read = {each: of(*pair) for each, pair in kinds.items()}
        return np.array(read[given[0]] if one else [read[each] for each in given], dtype=np.float64)

    return Bolts(
        name=", ".join(row.name for row in found.values()),
        grade=grade,
        rows=tuple(found[each] for each in given),
        d=column(lambda row, _: row.d),
        stress_area=column(lambda row, _: row.stress_area),
        shank_area=column(lambda row, _: row.shank_area),
        mean_head=column(lambda row, _: (row.across_flats + row.across_corners) / 2),
        fy=fyb,
        fu=fub,
        alpha_thread=alpha,
        iso_yield=column(lambda _, iso: iso.yield_stress),
        iso_tensile=column(lambda _, iso: iso.tensile),
    )


def read_bolts(scope: Scope, bolt_or_rows: BoltRows, grade: str) -> Bolts:
    """The bolts of a check; those of no size, and their problems told to `scope`, where `bolts_of` refuses them."""
    return scope.read(bolts_of, bolt_or_rows, grade, otherwise=NO_BOLTS)
