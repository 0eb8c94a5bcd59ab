"""Plates: bending, tension at holes, block tearing, spreaders on a thin skin, crush tubes. N, N mm, mm, MPa."""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.hold.bolts import ALUMINIUM, CODE
from brackets.hold.check import Check, Scope
from brackets.hold.factors import EN_1993, SYMBOLS, Factors
from brackets.hold.metal import Metal

SECTIONS = "EN 1993-1-1:2005"


@np.errstate(all="ignore")
def plate_bending(
    moment: Any,
    *,
    width: Any,
    t: Any,
    metal: Metal,
    tension: Any = 0.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A plate that bends over its thickness, elastically, also with tension: EN 1993-1-1:2005 6.2.1(5), 6.2.5.

    moment: N mm about the line the plate bends along; width: metal along that line, holes left out, mm; t: its
    thickness, mm; metal: of the plate; aluminium has the strength beside a weld and gamma_M1 of EN 1999-1-1:2007;
    tension: N square to the line; name: what it is asked for; factors: partial factors.
    Raises InputError with everything that is wrong.

    >>> check = plate_bending(50e3, width=50, t=6, metal=metal("S235", 6))
    >>> round(check.value, 3), check.limit, round(check.utilisation, 3)
    (166.667, 235.0, 0.709)
    """
    scope = Scope(f"plate of {metal.name} in bending", name=name, factors=factors)
    bent = scope.figure("moment", moment, "N mm", least=0.0)
    pulled = scope.figure("tension", tension, "N", least=0.0)
    wide = scope.size("width", width)
    thick = scope.size("t", t)
    factor = "m0" if metal.is_steel else "aluminium_m1"
    stress = 6 * bent / (wide * thick**2) + pulled / (wide * thick)
    return scope.check(
        lambda by: (stress, metal.fy / getattr(by, factor)),
        clause=f"{SECTIONS} 6.2.5, elastic" if metal.is_steel else f"{ALUMINIUM} 6.2.5, elastic, beside a weld",
        formula=f"yield{'' if metal.is_steel else ' beside a weld'} / {SYMBOLS[factor][0]}",
        unit="MPa",
        uses=(factor,),
        notes=("stress 6 x moment / (width x thickness squared) + tension / (width x thickness)",),
    )


@np.errstate(all="ignore")
def plate_combined(
    *,
    tension: Any = 0.0,
    bending: Any = 0.0,
    in_plane: Any = 0.0,
    shear: Any = 0.0,
    torsion: Any = 0.0,
    width: Any,
    t: Any,
    metal: Metal,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A flat section of plate pulled, bent both ways, sheared and twisted at once: EN 1993-1-1:2005 6.2.1(5), (6.1).

    tension: N square to the section, either way; bending: N mm over its thickness; in_plane: N mm in the plane of
    the plate; shear: N, those along its width and its thickness put together; torsion: N mm; width: metal along the
    section, holes left out, mm, not under t; t: thickness, mm; metal, name, factors: as for `plate_bending`.
    The largest stress along and the largest shear stress are taken at one point: never less than what is there.
    Torsion by Saint-Venant's rectangle in the short form (3 + 1.8 t/width) / (width t squared) (Roark's Formulas for
    Stress and Strain, from memory).
    Raises InputError with everything that is wrong.

    >>> check = plate_combined(tension=4e3, bending=30e3, in_plane=100e3, shear=2e3, width=50, t=6, metal=metal("S235", 6))
    >>> round(check.value, 2), round(check.utilisation, 3)
    (154.31, 0.657)
    """  # noqa: E501
    scope = Scope(f"section of a plate of {metal.name}", name=name, factors=factors)
    pulled, bent, turned, cut, twisted = (
        np.abs(scope.figure(word, value, unit))
        for word, value, unit in (
            ("tension", tension, "N"), ("bending", bending, "N mm"), ("in_plane", in_plane, "N mm"),
            ("shear", shear, "N"), ("torsion", torsion, "N mm"),
        )
    )  # fmt: skip
    thick = scope.size("t", t)
    wide = scope.figure("width", width, "mm", least=thick)
    factor = "m0" if metal.is_steel else "aluminium_m1"
    area = wide * thick
    direct = pulled / area + 6 * bent / (area * thick) + 6 * turned / (area * wide)
    sheared = 1.5 * cut / area + twisted * (3 + 1.8 * thick / wide) / (area * thick)
    return scope.check(
        lambda by: (np.sqrt(direct**2 + 3 * sheared**2), metal.fy / getattr(by, factor)),
        clause=f"{SECTIONS} 6.2.1(5), all at once, elastic"
        if metal.is_steel
        else f"{ALUMINIUM} 6.2.1, all at once, elastic, beside a weld",
        formula="square root of (stress along squared + 3 x shear stress squared) against yield"
        f"{'' if metal.is_steel else ' beside a weld'} / {SYMBOLS[factor][0]}",
        unit="MPa",
        uses=(factor,),
        notes=("largest stress along and largest shear stress taken at one point",),
    )


@np.errstate(all="ignore")
def plate_tension(
    force: Any,
    *,
    width: Any,
    t: Any,
    metal: Metal,
    holes: Any = 0.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A plate in tension, whole and across its holes: EN 1993-1-1:2005 6.2.3.

    force: N; width: of the plate, mm; t: its thickness, mm; metal: of the plate; holes: their diameters in one line
    across the force, added up, mm, under the width; name, factors: as for `plate_bending`.
    Raises InputError with everything that is wrong.

    >>> round(plate_tension(20e3, width=50, t=6, metal=metal("S235", 6), holes=13.5).limit)
    56765
    """
    scope = Scope(f"plate of {metal.name} in tension", name=name, factors=factors)
    rule = metal.rule
    load = scope.force(force)
    wide = scope.size("width", width)
    thick = scope.size("t", t)
    lost = scope.figure("holes", holes, "mm", least=0.0, most=wide)

    def sides(by: Any) -> tuple[Any, Any]:
        whole = wide * thick * metal.fy / getattr(by, rule.yield_by)
        return load, np.minimum(whole, 0.9 * (wide - lost) * thick * by.fu(metal) / getattr(by, rule.break_by))

    return scope.check(
        sides,
        clause=rule.clause(f"{SECTIONS} 6.2.3", f"{ALUMINIUM} 6.2.3 (from memory)"),
        formula=f"lesser of area x yield / {SYMBOLS[rule.yield_by][0]} and 0.9 x net area x tensile strength /"
        " gamma_M2",
        uses=(rule.yield_by, rule.break_by),
    )


@np.errstate(all="ignore")
def block_tearing(
    force: Any,
    *,
    tension_area: Any,
    shear_area: Any,
    metal: Metal,
    eccentric: bool = False,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A block of plate that tears out with its bolts: EN 1993-1-8:2005 3.10.2.

    force: N; tension_area, shear_area: net metal across and along the force on the block's outline, mm2; metal: of
    the plate; eccentric: whether the force passes beside the bolts: then half the tension counts; name, factors: as
    for `plate_bending`.
    Raises InputError with everything that is wrong.

    >>> round(block_tearing(20e3, tension_area=100, shear_area=300, metal=metal("S235", 6)).limit)
    69503
    """
    scope = Scope(f"block of a plate of {metal.name} that tears out", name=name, factors=factors)
    rule = metal.rule
    load = scope.force(force)
    across = scope.figure("tension_area", tension_area, "mm2", least=0.0)
    along = scope.figure("shear_area", shear_area, "mm2", over=0.0)
    part = 0.5 if eccentric else 1.0

    def sides(by: Any) -> tuple[Any, Any]:
        pulled = part * by.fu(metal) * across / getattr(by, rule.break_by)
        return load, pulled + metal.fy * along / (np.sqrt(3) * getattr(by, rule.yield_by))

    return scope.check(
        sides,
        clause=rule.clause(
            f"{CODE} 3.10.2 ({'3.10' if eccentric else '3.9'}), block tearing",
            f"{ALUMINIUM} 8.5.2.2 (from memory), block tearing",
        ),
        formula=f"{part:g} x tensile strength x area across / gamma_M2 + yield x area along / (root 3 x"
        f" {SYMBOLS[rule.yield_by][0]})",
        uses=(rule.yield_by, rule.break_by),
    )


@np.errstate(all="ignore")
def skin_bearing(
    force: Any,
    *,
    area: Any,
    skin: Metal,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """Pressure of a spreader plate, washer or crush tube on what it stands on: EN 1993-1-1:2005 6.2.1(5).

    force: N square to the face; area: that touches, mm2; skin: metal of the softer of the two; name, factors: as
    for `plate_bending`. The pressure is held against yield; that a thin skin bends under it is not judged here.
    Raises InputError with everything that is wrong.

    >>> round(skin_bearing(10e3, area=500, skin=metal("S235", 1.5, welded=False)).utilisation, 4)
    0.0851
    """
    scope = Scope(f"face of {skin.name} that is pressed on", name=name, factors=factors)
    skin.steel_only(scope, SECTIONS)
    load = scope.force(force)
    face = scope.figure("area", area, "mm2", over=0.0)
    return scope.check(
        lambda by: (load / face, skin.fy / by.m0),
        clause=f"{SECTIONS} 6.2.1(5), pressure on a face",
        formula="yield of the softer face / gamma_M0",
        unit="MPa",
        uses=("m0",),
        notes=("force spread evenly over the area that touches", "bending of the skin is not in it"),
    )


@np.errstate(all="ignore")
def spreader_bending(
    force: Any,
    *,
    area: Any,
    overhang: Any,
    t: Any,
    metal: Metal,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A spreader plate that bends where it stands out past what presses on it: a cantilever of even pressure.

    force: N square to it; area: of the plate that presses on the skin, mm2; overhang: how far it stands out past
    the washer, head or tube that presses on it, the most, mm; t: its thickness, mm; metal: of the spreader; name,
    factors: as for `plate_bending`.
    The strip of a cantilever under even pressure p bends to 3 p c squared / t squared: the model of
    EN 1993-1-8:2005 6.2.5(4), (6.5). A skin presses less at its rim, so this is on the heavy side.
    Raises InputError with everything that is wrong.

    >>> round(spreader_bending(10e3, area=2000, overhang=12, t=4, metal=metal("S235", 4)).value, 2)
    135.0
    """
    scope = Scope(f"spreader plate of {metal.name}", name=name, factors=factors)
    metal.steel_only(scope, CODE)
    load = scope.force(force)
    face = scope.figure("area", area, "mm2", over=0.0)
    out = scope.size("overhang", overhang)
    thick = scope.size("t", t)
    return scope.check(
        lambda by: (3 * load / face * (out / thick) ** 2, metal.fy / by.m0),
        clause=f"{CODE} 6.2.5(4), strip of a cantilever under even pressure",
        formula="yield / gamma_M0",
        unit="MPa",
        uses=("m0",),
        notes=("stress 3 x pressure x (overhang / thickness) squared, elastic",),
    )
