"""Bolts in shear, bearing, tension, both at once, slip, and a head pulled through a plate. N, mm, MPa.

EN 1993-1-8:2005 tables 3.3 and 3.4, one bolt at a time: what a group makes of a load is worked out before. Holes
are normal, oversize or too wide by EN 1090-2:2018 table 11 (from memory; its bolts begin at M12, of smaller
ones 1 mm wider is normal).
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from brackets.hold.check import Array, Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import BoltRows, Bolts, Metal, read_bolts

CODE = "EN 1993-1-8:2005"
ALUMINIUM = "EN 1999-1-1:2007"
LESS_IN_WIDE = ("5.8", "8.8", "10.9")
"""Classes of which M12 and M14 carry 0.85 in holes 2 mm wider: EN 1993-1-8:2005 3.6.1(5), from memory. Smaller
bolts and wider holes are taken alike."""


@np.errstate(all="ignore")
def bolt_shear(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    in_threads: bool = True,
    hole: Any = None,
    packing: Any = 0.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A bolt in shear, one shear plane: EN 1993-1-8:2005 table 3.4.

    force: N in the shear plane; bolt: a metric bolt or its name, or one a row; grade: property class 4.6 to 10.9;
    in_threads: whether the plane cuts the thread; hole: diameter of the hole, mm, None for a normal one: up to M14
    in a hole over 1 mm wider carries 0.85, but of classes 4.6 and 5.6 (3.6.1(5)); packing: mm of loose spacers that
    the bolt passes through, over d/3 it carries 9 d/(8 d + 3 tp) (3.6.1(12)); name: what it is asked for; factors:
    partial factors.
    Raises InputError with everything that is wrong.

    >>> check = bolt_shear(20e3, bolt="M20", grade="8.8")
    >>> round(check.limit), round(check.utilisation, 3)
    (94001, 0.213)
    """
    scope = Scope(f"bolt {grade} in shear", name=name, factors=factors)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    loose = scope.figure("packing", packing, "mm", least=0.0)
    reduced: Any = 1.0
    if hole is not None:
        wide = _hole(scope, of, hole)
        small = (of.d <= 14) & (wide > 1)
        reduced = np.where(small & (grade in LESS_IN_WIDE), 0.85, 1.0)
    packed = np.where(loose > of.d / 3, 9 * of.d / (8 * of.d + 3 * loose), 1.0)
    alpha, area = (of.alpha_thread, of.stress_area) if in_threads else (0.6, of.shank_area)
    return scope.check(
        lambda by: (load, packed * reduced * alpha * by.fu(of) * area / by.m2),
        clause=f"{CODE} table 3.4, bolt in shear",
        formula=f"{alpha:g} x tensile strength of the bolt x {'stress' if in_threads else 'shank'} area / gamma_M2",
        uses=("m2",),
        notes=(
            "one shear plane",
            "without the reduction of joints longer than 15 d (3.8)",
            "up to M14 in holes over 1 mm wider: bearing must carry no less than shear (3.6.1(5))",
        ),
    )


@np.errstate(all="ignore")
def bolt_bearing(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    hole: Any,
    t: Any,
    metal: Metal,
    e1: Any,
    e2: Any,
    p1: Any = None,
    p2: Any = None,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A bolt that bears on the wall of its hole: EN 1993-1-8:2005 table 3.4, distances by table 3.3.

    force: N on the hole's wall; bolt, grade, name, factors: as for `bolt_shear`; hole: its diameter, mm; t:
    thickness of the plate, mm; metal: of the plate, aluminium with the strength beside a weld by the like rule of
    EN 1999-1-1:2007; e1: from the hole's centre to the end of the plate, along the
    force, mm; e2: to the nearest side, across the force; p1, p2: to the next hole along and across the force, None
    where there is none. An oversize hole carries 0.8 (table 3.4, note 1).
    Raises InputError with everything that is wrong.

    >>> plate = metal("S235", 8)
    >>> check = bolt_bearing(15e3, bolt="M20", grade="8.8", hole=22, t=8, metal=plate, e1=26.4, e2=26.4)
    >>> round(check.limit), round(check.utilisation, 3)
    (30597, 0.49)
    """
    scope = Scope(f"plate of {metal.name} that a bolt bears on", name=name, factors=factors)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    thick = scope.size("t", t)
    wide = _hole(scope, of, hole)
    d0 = of.d + wide
    shape = np.where(_oversize(of, wide), 0.8, 1.0)
    table = f"{CODE} table 3.3"
    end = scope.figure("e1", e1, "mm", least=1.2 * d0, why=table)
    side = scope.figure("e2", e2, "mm", least=1.2 * d0, why=table)
    along, across = end / (3 * d0), 2.8 * side / d0 - 1.7
    if p1 is not None:
        along = np.minimum(along, scope.figure("p1", p1, "mm", least=2.2 * d0, why=table) / (3 * d0) - 0.25)
    if p2 is not None:
        across = np.minimum(across, 1.4 * scope.figure("p2", p2, "mm", least=2.4 * d0, why=table) / d0 - 1.7)

    def sides(by: Any) -> tuple[Any, Any]:
        alpha = np.minimum(np.minimum(along, by.fu(of) / by.fu(metal)), 1.0)
        return load, shape * np.minimum(across, 2.5) * alpha * by.fu(metal) * of.d * thick / getattr(by, broken)

    broken = metal.rule.break_by
    return scope.check(
        sides,
        clause=metal.rule.clause(f"{CODE} table 3.4, bearing", f"{ALUMINIUM} table 8.5 (from memory), bearing"),
        formula="k1 x alpha_b x tensile strength of the plate x bolt diameter x thickness / gamma_M2",
        uses=(broken,),
        notes=("k1 and alpha_b by the distances of the hole, 0.8 of it where the hole is oversize",),
    )


@np.errstate(all="ignore")
def bolt_tension(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    countersunk: bool = False,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A bolt in tension: EN 1993-1-8:2005 table 3.4.

    force: N along the bolt, prying included; bolt, grade, name, factors: as for `bolt_shear`; countersunk: whether
    its head is: then 0.63 in place of 0.9.
    Raises InputError with everything that is wrong.

    >>> round(bolt_tension(20e3, bolt="M12", grade="8.8").limit)
    48538
    """
    scope = Scope(f"bolt {grade} in tension", name=name, factors=factors)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    k2 = 0.63 if countersunk else 0.9
    return scope.check(
        lambda by: (load, k2 * by.fu(of) * of.stress_area / by.m2),
        clause=f"{CODE} table 3.4, bolt in tension",
        formula=f"{k2:g} x tensile strength of the bolt x stress area / gamma_M2",
        uses=("m2",),
        notes=("prying is not added: it belongs into the force",),
    )


@np.errstate(all="ignore")
def bolt_punching(
    force: Any,
    *,
    bolt: BoltRows,
    t: Any,
    metal: Metal,
    mean_head: Any = None,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A bolt's head or nut that is pulled through a plate: EN 1993-1-8:2005 table 3.4.

    force: N along the bolt; bolt, name, factors: as for `bolt_shear`; t: thickness under the head, mm; metal: of
    the plate; mean_head: middle of the sizes over flats and over corners of head or nut, mm, None for the bolt's
    own.
    Raises InputError with everything that is wrong.

    >>> round(bolt_punching(50e3, bolt="M20", t=8, metal=metal("S235", 8), mean_head=30).limit)
    130288
    """
    scope = Scope(f"plate of {metal.name} under the head of a bolt", name=name, factors=factors)
    of = read_bolts(scope, bolt, "8.8")
    broken = metal.rule.break_by
    load = scope.force(force)
    thick = scope.size("t", t)
    head = scope.figure("mean_head", of.mean_head if mean_head is None else mean_head, "mm", over=of.d)
    return scope.check(
        lambda by: (load, 0.6 * np.pi * head * thick * by.fu(metal) / getattr(by, broken)),
        clause=metal.rule.clause(
            f"{CODE} table 3.4, punching shear", f"{ALUMINIUM} table 8.5 (from memory), punching shear"
        ),
        formula="0.6 x pi x mean size of the head x thickness x tensile strength of the plate / gamma_M2",
        uses=(broken,),
        notes=("a washer's help is not counted",),
    )


@np.errstate(all="ignore")
def bolt_combined(
    shear: Any,
    tension: Any,
    *,
    bolt: BoltRows,
    grade: str,
    in_threads: bool = True,
    hole: Any = None,
    packing: Any = 0.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A bolt in shear and tension at once: EN 1993-1-8:2005 table 3.4; ask for tension alone too.

    shear, tension: N; bolt, grade, in_threads, hole, packing, name, factors: as for `bolt_shear`.
    Raises InputError with everything that is wrong.

    >>> check = bolt_combined(16e3, 34e3, bolt="M12", grade="8.8")
    >>> round(check.value, 3), check.limit
    (0.995, 1.0)
    """
    scope = Scope(f"bolt {grade} in shear and tension", name=name, factors=factors)
    same: dict[str, Any] = {"bolt": bolt, "grade": grade, "factors": factors}
    cut, pulled = scope.checks(
        lambda: bolt_shear(shear, in_threads=in_threads, hole=hole, packing=packing, **same),
        lambda: bolt_tension(tension, **same),
    )

    def sides(by: Any) -> tuple[Any, Any]:
        if by.by_yield:
            return cut.own_utilisation + pulled.own_utilisation / 1.4, 1.0  # type: ignore[operator]
        return cut.utilisation + pulled.utilisation / 1.4, 1.0

    return scope.check(
        sides,
        clause=f"{CODE} table 3.4, combined shear and tension",
        formula="shear / its resistance + tension / (1.4 x its resistance)",
        unit="",
        uses=("m2",),
        notes=("tension alone is a check of its own",),
    )


SURFACES: dict[Literal["A", "B", "C", "D"], float] = {"A": 0.5, "B": 0.4, "C": 0.3, "D": 0.2}
"""Slip factor by class of the friction surface: EN 1993-1-8:2005 table 3.7."""


@np.errstate(all="ignore")
def bolt_slip(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    preload: Any,
    surface: Literal["A", "B", "C", "D"] = "D",
    hole: Any = None,
    tension: Any = 0.0,
    planes: Any = 1,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A preloaded bolt that must not slip: EN 1993-1-8:2005 3.9.

    force: N along the surfaces; bolt, grade, name, factors: as for `bolt_shear`, class 8.8 or 10.9; preload: N, as
    typed, at most 0.7 x tensile strength x stress area (3.9.1); surface: class of the friction surfaces, A 0.5 to D
    0.2 (table 3.7); hole: its diameter, mm, None for a normal one, oversize 0.85 (table 3.6); tension: N that pull
    the plates apart, of which 0.8 is lost; planes: friction surfaces.
    Raises InputError with everything that is wrong.

    >>> round(bolt_slip(5e3, bolt="M12", grade="8.8", preload=47e3).limit)
    7520
    """
    scope = Scope(f"preloaded bolt {grade}", name=name, factors=factors)
    of = read_bolts(scope, bolt, grade)
    if grade not in ("8.8", "10.9"):
        scope.told(f"grade = {grade}, must be 8.8 or 10.9: preloaded bolt ({CODE} 3.9.1)")
    if surface not in SURFACES:
        scope.told(f"surface = {surface}, must be A, B, C or D: class of friction surface ({CODE} table 3.7)")
    load = scope.force(force)
    most = 0.7 * of.fu * of.stress_area
    drawn = scope.figure("preload", preload, "N", over=0.0, most=most, why=f"{CODE} 3.9.1")
    apart = scope.figure("tension", tension, "N", least=0.0, most=drawn / 0.8, why=f"{CODE} 3.9.2")
    count = scope.figure("planes", planes, "", least=1.0)
    ks: Any = 1.0
    if hole is not None:
        wide = _hole(scope, of, hole)
        ks = np.where(_oversize(of, wide), 0.85, 1.0)
    friction = SURFACES.get(surface, np.nan)
    return scope.check(
        lambda by: (load, ks * count * friction * (drawn - 0.8 * apart) / by.m3),
        clause=f"{CODE} 3.9, slip",
        formula="ks x friction surfaces x slip factor x (preload - 0.8 x tension) / gamma_M3",
        uses=("m3",),
        own=False,
        notes=(f"slip factor {friction:g}, surface class {surface} (table 3.7), preload as typed",),
    )


def _oversize(of: Bolts, wide: Array) -> Any:
    """Whether a hole is over 1 mm (under M12), 2 mm (to M24) or 3 mm wider than its bolt."""
    return wide > np.select([of.d < 12, of.d <= 24], [1.0, 2.0], 3.0)


def _hole(scope: Scope, of: Bolts, hole: Any) -> Array:
    """mm that a hole is wider than its bolt; refused where it is no hole for it, by EN 1090-2:2018 table 11."""
    most = np.select([of.d < 16, of.d <= 22, of.d <= 24], [3.0, 4.0, 6.0], 8.0)
    table = "EN 1090-2:2018 table 11 (from memory)"
    read = scope.figure("hole", hole, "mm", least=of.d, most=of.d + most, why=table)
    return np.asarray(np.round(read - of.d, 9))
