"""Struts that buckle, and short crush tubes that do not. N, mm, MPa.

EN 1993-1-1:2005 6.3.1: buckling curves a0 to d. Bending beside the compression is not in it.
"""

from __future__ import annotations

from typing import Any, Literal

import numpy as np

from brackets.hold.check import Array, Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import Metal
from brackets.hold.plates import SECTIONS
from brackets.hold.tubes import RoundTube, round_tube

Curve = Literal["a0", "a", "b", "c", "d"]
IMPERFECTION: dict[Curve, float] = {"a0": 0.13, "a": 0.21, "b": 0.34, "c": 0.49, "d": 0.76}
"""EN 1993-1-1:2005 table 6.1."""
Made = Literal["hot finished", "cold formed"]
TUBE_CURVES: dict[Made, Curve] = {"hot finished": "a", "cold formed": "c"}
"""Hollow sections of S235 to S355: EN 1993-1-1:2005 table 6.2."""
SHORT = 0.2
"""Slenderness up to which a strut does not buckle: EN 1993-1-1:2005 6.3.1.2(4)."""


def buckling_reduction(slenderness: Any, curve: Curve) -> Any:
    """How much of its squash load a strut carries, at most 1: EN 1993-1-1:2005 6.3.1.2, (6.49).

    slenderness: without a unit, square root of squash load over elastic critical load, one or a figure a row, at
    least 0; curve: a0, a, b, c or d (table 6.1).
    Raises InputError with everything that is wrong.

    >>> [round(buckling_reduction(1.0, curve), 4) for curve in ("a0", "a", "b", "c", "d")]
    [0.7253, 0.6656, 0.597, 0.5399, 0.4671]
    """
    scope = Scope("strut")
    if curve not in IMPERFECTION:
        known = ", ".join(IMPERFECTION)
        scope.told(f"curve = {curve}, must be {known}: buckling curve ({SECTIONS} table 6.1)")
    bar = scope.figure("slenderness", slenderness, "", least=0.0)
    scope.done(every=True)
    phi = 0.5 * (1 + IMPERFECTION[curve] * (bar - SHORT) + bar**2)
    with np.errstate(invalid="ignore"):
        found = np.where(bar <= SHORT, 1.0, np.minimum(1 / (phi + np.sqrt(np.maximum(phi**2 - bar**2, 0))), 1.0))
    return float(found) if found.ndim == 0 else found


@np.errstate(all="ignore")
def strut_buckling(
    force: Any,
    *,
    od: Any,
    wall: Any,
    length: Any,
    metal: Metal,
    made: Made = "cold formed",
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A straight round tube in compression that buckles: EN 1993-1-1:2005 6.3.1.

    force: N that presses it along its middle line; od, wall: mm, one or a figure a row; length: between the points
    it buckles between, the whole length where both ends are pins, mm; metal: of the tube; made: "hot finished"
    (curve a) or "cold formed" (curve c, drawn and seam-welded tube too); name: what it is asked for; factors:
    partial factors.
    Raises InputError with everything that is wrong.

    >>> check = strut_buckling(20e3, od=38.1, wall=3.2, length=800, metal=metal("S235", 3.2))
    >>> round(check.limit), round(check.utilisation, 3)
    (60388, 0.331)
    """
    scope = Scope(f"strut of {metal.name}, round tube", name=name, factors=factors)
    if made not in TUBE_CURVES:
        scope.told(f'made = {made}, must be "hot finished" or "cold formed": strut ({SECTIONS} table 6.2)')
    load = scope.force(force)
    section, _ = round_tube(scope, od, wall, metal)
    long = scope.size("length", length)
    scope.done()
    bar = tube_slenderness(section, long, metal)
    part = buckling_reduction(np.where(bar >= 0, bar, 0.0), TUBE_CURVES[made])
    return scope.check(
        lambda by: (load, part * section.area * metal.fy / by.m1),
        clause=f"{SECTIONS} 6.3.1, curve {TUBE_CURVES[made]}",
        formula="reduction for buckling x area x yield / gamma_M1",
        uses=("m1",),
        notes=("pressed along its middle line: bending beside it is not in it", f"tube {made}"),
    )


def tube_slenderness(section: RoundTube, length: Any, metal: Metal) -> Array:
    """Square root of squash load over elastic critical load: EN 1993-1-1:2005 6.3.1.3."""
    return np.asarray(length / (np.pi * section.radius) * np.sqrt(np.asarray(metal.fy) / metal.e))


@np.errstate(all="ignore")
def crush_tube(
    force: Any,
    *,
    od: Any,
    wall: Any,
    length: Any,
    metal: Metal,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A crush tube between two walls of a rail, pressed by its bolt: EN 1993-1-1:2005 6.2.4.

    force: N of the bolt, preload and what is added to it; od, wall, metal, name, factors: as for `strut_buckling`;
    length: mm, so short that it does not buckle (slenderness to 0.2), else ask `strut_buckling`.
    Raises InputError with everything that is wrong.

    >>> round(crush_tube(20e3, od=20, wall=3, length=40, metal=metal("S235", 3)).limit)
    37652
    """
    scope = Scope(f"crush tube of {metal.name}", name=name, factors=factors)
    load = scope.force(force)
    section, _ = round_tube(scope, od, wall, metal)
    longest = SHORT * np.pi * section.radius * np.sqrt(metal.e / np.asarray(metal.fy))
    scope.size("length", length, most=longest, why=f"{SECTIONS} 6.3.1.2(4)")
    return scope.check(
        lambda by: (load, section.area * metal.fy / by.m0),
        clause=f"{SECTIONS} 6.2.4, compression",
        formula="area x yield / gamma_M0",
        uses=("m0",),
        notes=("pressure of its ends on the rail is a check of its own",),
    )
