"""Ears and the pin through them: a bush bolt that clamps a sleeve between two ears. N, N mm, mm, MPa.

EN 1993-1-8:2005 3.13: tables 3.9 and 3.10, from memory but for table 3.10, which was read.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.hold.bolts import CODE
from brackets.hold.check import Check, Scope
from brackets.hold.factors import EN_1993, SYMBOLS, Factors
from brackets.hold.metal import BoltRows, Metal, read_bolts


@np.errstate(all="ignore")
def ear_edge(
    force: Any,
    *,
    t: Any,
    metal: Metal,
    hole: Any,
    a: Any,
    c: Any,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """Metal round the hole of an ear of a given thickness: EN 1993-1-8:2005 table 3.9, type A.

    force: N on the ear, towards the edge that `a` is measured to; t: its thickness, mm; metal: of the ear; hole:
    diameter of its hole, mm; a: from the hole's rim to the end of the ear, along the force, mm; c: from its rim to
    the side, mm; name: what it is asked for; factors: partial factors.
    The clause asks a >= F gamma/(2 t fy) + 2 d0/3 and c >= F gamma/(2 t fy) + d0/3; here the force that just meets
    the worse of them is the limit.
    Raises InputError with everything that is wrong.

    >>> check = ear_edge(20e3, t=6, metal=metal("S235", 6), hole=12.1, a=18, c=18)
    >>> round(check.limit), round(check.utilisation, 3)
    (28012, 0.714)
    """
    scope = Scope(f"ear of {metal.name}", name=name, factors=factors)
    metal.steel_only(scope, CODE)
    load = scope.force(force)
    thick = scope.size("t", t)
    d0 = scope.size("hole", hole)
    end = scope.size("a", a, over=2 * d0 / 3, why=f"{CODE} table 3.9")
    side = scope.size("c", c, over=d0 / 3, why=f"{CODE} table 3.9")
    spare = np.minimum(end - 2 * d0 / 3, side - d0 / 3)
    return scope.check(
        lambda by: (load, 2 * thick * metal.fy * spare / by.m0),
        clause=f"{CODE} 3.13.1 table 3.9, type A",
        formula="2 x thickness x yield x the lesser of (a - 2/3 hole) and (c - 1/3 hole) / gamma_M0",
        uses=("m0",),
    )


@np.errstate(all="ignore")
def ear_thickness(
    force: Any,
    *,
    t: Any,
    metal: Metal,
    hole: Any,
    a: Any,
    c: Any,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """Thickness of an ear of given shape: EN 1993-1-8:2005 table 3.9, type B.

    force, t, metal, hole, a, c, name, factors: as for `ear_edge`. Its shape is in the clause where a is at least
    1.1 and c at least 0.75 times the hole, and the hole at most 2.5 times the thickness.
    The clause asks t >= 0.7 x square root of (F gamma/fy); here the force that just meets it is the limit.
    Raises InputError with everything that is wrong.

    >>> round(ear_thickness(20e3, t=6, metal=metal("S235", 6), hole=12.1, a=18, c=18).limit)
    17265
    """
    scope = Scope(f"ear of {metal.name}", name=name, factors=factors)
    metal.steel_only(scope, CODE)
    load = scope.force(force)
    thick = scope.size("t", t)
    table = f"{CODE} table 3.9"
    d0 = scope.size("hole", hole, most=2.5 * thick, why=table)
    scope.figure("a", a, "mm", least=1.1 * d0, why=table)
    scope.figure("c", c, "mm", least=0.75 * d0, why=table)
    return scope.check(
        lambda by: (load, (thick / 0.7) ** 2 * metal.fy / by.m0),
        clause=f"{CODE} 3.13.1 table 3.9, type B",
        formula="(thickness / 0.7) squared x yield / gamma_M0",
        uses=("m0",),
    )


@np.errstate(all="ignore")
def pin_shear(
    force: Any, *, bolt: BoltRows, grade: str, name: str = "", factors: Factors = EN_1993
) -> Check:
    """A pin in shear, one shear plane through its plain shank: EN 1993-1-8:2005 table 3.10.

    force: N in the plane, half of what a pin between two ears carries; bolt: the bolt that is the pin, metric, or
    one a row; grade: its property class, 4.6 to 10.9; name: what it is asked for; factors: partial factors.
    Raises InputError with everything that is wrong.

    >>> round(pin_shear(10e3, bolt="M12", grade="8.8").limit)
    43429
    """
    scope = Scope(f"pin {grade} in shear", name=name, factors=factors)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    return scope.check(
        lambda by: (load, 0.6 * of.shank_area * by.fu(of) / by.m2),
        clause=f"{CODE} 3.13.2 table 3.10, shear of the pin",
        formula="0.6 x area of the pin x its tensile strength / gamma_M2",
        uses=("m2",),
        notes=("the plane is taken through the plain shank: no thread may lie in it",),
    )


@np.errstate(all="ignore")
def pin_bearing(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    t: Any,
    metal: Metal,
    replaceable: bool = False,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """An ear that bears on its pin: EN 1993-1-8:2005 table 3.10.

    force: N on this ear; where `replaceable`, in use, with loads as they come; bolt, grade, name, factors: as for
    `pin_shear`; t: thickness of the ear, mm; metal: of the ear; replaceable: whether the pin is to come out again:
    0.6 and gamma_M6,ser in place of 1.5 and gamma_M0, asked for beside the plain check.
    Raises InputError with everything that is wrong.

    >>> round(pin_bearing(10e3, bolt="M12", grade="8.8", t=6, metal=metal("S235", 6)).limit)
    25380
    """
    scope = Scope(f"ear of {metal.name} on its pin", name=name, factors=factors)
    metal.steel_only(scope, CODE)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    thick = scope.size("t", t)
    weaker = np.minimum(metal.fy, of.fy)
    part, factor = (0.6, "m6_ser") if replaceable else (1.5, "m0")
    return scope.check(
        lambda by: (load, part * thick * of.d * weaker / getattr(by, factor)),
        clause=f"{CODE} 3.13.2 table 3.10, bearing" + (", replaceable pin" if replaceable else ""),
        formula=f"{part:g} x thickness x diameter x the lesser yield / {SYMBOLS[factor][0]}",
        uses=(factor,),
    )


@np.errstate(all="ignore")
def pin_bending(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    inner: Any,
    outer: Any,
    gap: Any = 0.0,
    replaceable: bool = False,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A pin that bends between two ears: EN 1993-1-8:2005 figure 3.11 and table 3.10.

    force: N of the whole pin, both ears together; bolt, grade, name, factors: as for `pin_shear`; inner: length of
    what it carries between the ears, the sleeve, mm; outer: thickness of one ear, mm; gap: between the two, mm;
    replaceable: as for `pin_bearing`, 0.8 in place of 1.5.
    The moment is force x (inner + 4 gap + 2 outer) / 8.
    Raises InputError with everything that is wrong.

    >>> check = pin_bending(5e3, bolt="M12", grade="8.8", inner=40, outer=6)
    >>> round(check.value), round(check.limit), round(check.utilisation, 3)
    (32500, 162860, 0.2)
    """
    scope = Scope(f"pin {grade} between two ears", name=name, factors=factors)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    middle = scope.size("inner", inner)
    ear = scope.size("outer", outer)
    between = scope.figure("gap", gap, "mm", least=0.0)
    moment = load * (middle + 4 * between + 2 * ear) / 8
    modulus = np.pi * of.d**3 / 32
    part, factor = (0.8, "m6_ser") if replaceable else (1.5, "m0")
    return scope.check(
        lambda by: (moment, part * modulus * of.fy / getattr(by, factor)),
        clause=f"{CODE} 3.13.2 table 3.10, bending of the pin" + (", replaceable pin" if replaceable else ""),
        formula=f"{part:g} x elastic modulus of the pin x its yield / {SYMBOLS[factor][0]}",
        unit="N mm",
        uses=(factor,),
        notes=("a sleeve that is clamped between the ears takes part of it: not counted",),
    )


@np.errstate(all="ignore")
def pin_combined(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    inner: Any,
    outer: Any,
    gap: Any = 0.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A pin in shear and bending at once: EN 1993-1-8:2005 table 3.10.

    force: N of the whole pin, half of it in either shear plane; bolt, grade, inner, outer, gap, name, factors: as
    for `pin_bending`.
    Raises InputError with everything that is wrong.

    >>> round(pin_combined(20e3, bolt="M12", grade="8.8", inner=40, outer=6).value, 3)
    0.69
    """
    scope = Scope(f"pin {grade} between two ears", name=name, factors=factors)
    same: dict[str, Any] = {"bolt": bolt, "grade": grade, "factors": factors}
    bent, cut = scope.checks(
        lambda: pin_bending(force, inner=inner, outer=outer, gap=gap, **same),
        lambda: pin_shear(np.true_divide(force, 2), **same),
    )

    def sides(by: Any) -> tuple[Any, Any]:
        parts: list[Any] = [one.own_utilisation if by.by_yield else one.utilisation for one in (bent, cut)]
        return parts[0] ** 2 + parts[1] ** 2, 1.0

    return scope.check(
        sides,
        clause=f"{CODE} 3.13.2 table 3.10, combined shear and bending of the pin",
        formula="(moment / its resistance) squared + (shear / its resistance) squared",
        unit="",
        uses=("m0", "m2"),
    )


@np.errstate(all="ignore")
def pin_contact(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    hole: Any,
    t: Any,
    metal: Metal,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """Contact stress between a pin that is to come out again and its ear: EN 1993-1-8:2005 (3.14) to (3.16).

    force: N on this ear in use, with loads as they come; bolt, grade, t, metal, name, factors: as for
    `pin_bearing`; hole: diameter of the hole, mm, over that of the pin.
    Raises InputError with everything that is wrong.

    >>> check = pin_contact(2e3, bolt="M12", grade="8.8", hole=12.1, t=6, metal=metal("S235", 6))
    >>> round(check.value), round(check.limit)
    (130, 588)
    """
    scope = Scope(f"ear of {metal.name} on its pin", name=name, factors=factors)
    metal.steel_only(scope, CODE)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    d0 = scope.size("hole", hole, over=of.d)
    thick = scope.size("t", t)
    stress = 0.591 * np.sqrt(metal.e * load * (d0 - of.d) / (of.d**2 * thick))
    return scope.check(
        lambda by: (stress, 2.5 * np.minimum(metal.fy, of.fy) / by.m6_ser),
        clause=f"{CODE} 3.13.2 (3.15), contact of a replaceable pin",
        formula="2.5 x the lesser yield / gamma_M6,ser",
        unit="MPa",
        uses=("m6_ser",),
    )
