"""Fillet welds, a group at a time, by both methods of EN 1993-1-8:2005 4.5.3. N, N mm, mm, MPa.

Steel S235 to S355, plate of 4 mm and more (4.1(1)), walls of tubes of 3 mm and more (2.5 by 7.1.1(5); 3 is where we
stop), throats of 3 mm and more (4.5.2), runs of 30 mm and 6 throats and more (4.5.1). Weld quality is not computed.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.hold.bolts import CODE
from brackets.hold.check import Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import LEAST_WELDED, Metal
from brackets.hold.weld_lines import WeldGroup, WeldPoints

LEAST_PLATE = 4.0
"""mm: EN 1993-1-8:2005 4.1(1)."""
LONGEST = 150.0
"""Throats: a longer lap joint carries less, 4.11, which is not computed."""


def throat_of(leg: Any) -> Any:
    """Throat of a fillet of two equal legs, mm: leg over root 2, without counting on penetration.

    >>> round(throat_of(6), 3)
    4.243
    """
    found = np.true_divide(leg, np.sqrt(2))
    return float(found) if np.ndim(found) == 0 else found


@np.errstate(all="ignore")
def fillet_directional(
    group: WeldGroup,
    *,
    force: Any,
    moment: Any = (0.0, 0.0, 0.0),
    at: Any,
    metal: Metal,
    t: Any,
    hollow: bool = False,
    angle: Any = 90.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """Fillets under stress by its direction: EN 1993-1-8:2005 4.5.3.2, the first of (4.1); ask for the second too.

    group: lines of weld that carry together; force: (3,) N on the part that is welded on, or rows of three; moment:
    (3,) N mm beside it; at: (3,) mm, where the force acts; metal: the weaker of those joined; t: the thinnest part
    joined, mm; hollow: whether that is the wall of a tube; angle: between the faces that the weld joins, degrees,
    60 to 120 (4.3.2.1); name: what it is asked for; factors: partial factors.
    Raises InputError with everything that is wrong.

    >>> lines = [WeldSegment((0, 0, 0), (100, 0, 0), 4, across=(0, 1, 1))]
    >>> check = fillet_directional(WeldGroup(lines), force=(0, 0, 80e3), at=(50, 0, 0), metal=metal("S235", 6), t=6)
    >>> round(check.value, 1), check.limit, round(check.utilisation, 3)
    (282.8, 360.0, 0.786)
    """
    scope = Scope("fillet weld", name=name, factors=factors)
    return _directional(scope, _stress(scope, group, force, moment, at, metal, t, hollow, angle), metal)


@np.errstate(all="ignore")
def fillet_normal(
    group: WeldGroup,
    *,
    force: Any,
    moment: Any = (0.0, 0.0, 0.0),
    at: Any,
    metal: Metal,
    t: Any,
    hollow: bool = False,
    angle: Any = 90.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """Stress square to the throat: EN 1993-1-8:2005 4.5.3.2, the second of (4.1).

    group, force, moment, at, metal, t, hollow, angle, name, factors: as for `fillet_directional`.
    Raises InputError with everything that is wrong.

    >>> lines = [WeldSegment((0, 0, 0), (100, 0, 0), 4, across=(0, 1, 1))]
    >>> check = fillet_normal(WeldGroup(lines), force=(0, 0, 80e3), at=(50, 0, 0), metal=metal("S235", 6), t=6)
    >>> round(check.value, 1), round(check.limit, 1)
    (141.4, 259.2)
    """
    scope = Scope("fillet weld", name=name, factors=factors)
    return _normal(scope, _stress(scope, group, force, moment, at, metal, t, hollow, angle), metal)


@np.errstate(all="ignore")
def fillet_simplified(
    group: WeldGroup,
    *,
    force: Any,
    moment: Any = (0.0, 0.0, 0.0),
    at: Any,
    metal: Metal,
    t: Any,
    hollow: bool = False,
    angle: Any = 90.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """Fillets whatever way the stress goes: EN 1993-1-8:2005 4.5.3.3, never less than by direction.

    group, force, moment, at, metal, t, hollow, angle, name, factors: as for `fillet_directional`.
    Raises InputError with everything that is wrong.

    >>> lines = [WeldSegment((0, 0, 0), (100, 0, 0), 4)]
    >>> check = fillet_simplified(WeldGroup(lines), force=(0, 0, 80e3), at=(50, 0, 0), metal=metal("S235", 6), t=6)
    >>> round(check.value, 1), round(check.limit, 2), round(check.utilisation, 3)
    (200.0, 207.85, 0.962)
    """
    scope = Scope("fillet weld", name=name, factors=factors)
    return _simplified(scope, _stress(scope, group, force, moment, at, metal, t, hollow, angle), metal)


@np.errstate(all="ignore")
def fillet_checks(
    group: WeldGroup,
    *,
    force: Any,
    moment: Any,
    at: Any,
    metal: Metal,
    t: Any,
    hollow: bool,
    angle: Any,
    name: str,
    factors: Factors,
) -> tuple[Check, Check, Check]:
    """A group by the simplified method and by both of the directional one, its stress worked out once.

    group, force, moment, at, metal, t, hollow, angle, name, factors: as for `fillet_directional`.
    Raises InputError with everything that is wrong.
    """
    scope = Scope("fillet weld", name=name, factors=factors)
    found = _stress(scope, group, force, moment, at, metal, t, hollow, angle)
    return _simplified(scope, found, metal), _directional(scope, found, metal), _normal(scope, found, metal)


def _simplified(scope: Scope, found: WeldPoints, metal: Metal) -> Check:
    return scope.check(
        lambda by: (
            found.resultant.max(axis=0), by.fu(metal) / (np.sqrt(3) * (metal.beta_w or 1.0) * by.m2)
        ),
        clause=f"{CODE} 4.5.3.3, simplified method",
        formula="tensile strength of the weaker part / (root 3 x beta_w x gamma_M2)",
        unit="MPa",
        uses=("m2",),
        notes=(_MODEL, "force on a mm of weld over its throat, at its worst point"),
    )  # fmt: skip


def _directional(scope: Scope, found: WeldPoints, metal: Metal) -> Check:
    return scope.check(
        lambda by: (found.equivalent.max(axis=0), by.fu(metal) / ((metal.beta_w or 1.0) * by.m2)),
        clause=f"{CODE} 4.5.3.2 (4.1), directional method",
        formula="tensile strength of the weaker part / (beta_w x gamma_M2)",
        unit="MPa",
        uses=("m2",),
        notes=(_MODEL, "root of (normal squared + 3 x both shears squared) in the throat, at its worst point"),
    )


def _normal(scope: Scope, found: WeldPoints, metal: Metal) -> Check:
    return scope.check(
        lambda by: (_most_normal(found), 0.9 * by.fu(metal) / by.m2),
        clause=f"{CODE} 4.5.3.2 (4.1), stress square to the throat",
        formula="0.9 x tensile strength of the weaker part / gamma_M2",
        unit="MPa",
        uses=("m2",),
        notes=(_MODEL, "all that is square to the weld where the throat's direction is not known"),
    )


_MODEL = "weld as lines: force spread evenly, moment by distance from the centre, no contact of the plates"


def _most_normal(found: WeldPoints) -> Any:
    return np.where(np.isnan(found.normal), found.across, np.abs(found.normal)).max(axis=0)


def _stress(
    scope: Scope,
    group: WeldGroup,
    force: Any,
    moment: Any,
    at: Any,
    metal: Metal,
    t: Any,
    hollow: bool,
    angle: Any,
) -> WeldPoints:
    """The stress in the group; refuses what 4.1 to 4.5 do not cover."""
    metal.steel_only(scope, CODE)
    least = LEAST_WELDED if hollow else LEAST_PLATE
    scope.figure("t", t, "mm", least=least, why="" if hollow else f"{CODE} 4.1(1)")
    scope.figure("angle", angle, "deg", least=60.0, most=120.0, why=f"{CODE} 4.3.2.1")
    throats = []
    for line in group.lines:
        throats.append(scope.figure("throat", line.throat, "mm", least=3.0, why=f"{CODE} 4.5.2"))
    widest, thinnest = np.maximum.reduce(throats), np.minimum.reduce(throats)
    for run in group.runs:
        scope.figure("run", run, "mm", least=np.maximum(30.0, 6 * widest), why=f"{CODE} 4.5.1")
    for line in group.lines:
        scope.figure("length", line.length, "mm", most=LONGEST * thinnest, why=f"{CODE} 4.11")
    return group.stress(force, moment, at)
