"""A bush pressed into its cup: what the interference does to the cup, and what pushes the bush out. N, mm, MPa.

Two thick-walled cylinders that are pressed together, Lamé's equations (closed form, plane stress); the shell of the
bush is taken without the rubber in it.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.hold.check import Check, Figures, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import Metal
from brackets.hold.plates import SECTIONS


def press_pressure(
    interference: Any, *, bore: Any, cup_od: Any, shell_id: Any, cup: Metal, shell: Metal
) -> Figures:
    """Pressure between a pressed-in shell and its cup, MPa: Lamé's equations.

    interference: how much the shell is larger than the bore, on the diameter, as typed or measured, mm, at most a
    hundredth of the bore; bore: where they touch, mm; cup_od: outside of the cup, mm, over the bore; shell_id:
    inside of the bush's outer shell, mm, under the bore, 0 for a solid one; cup, shell: their metals, elastic.
    Raises InputError with everything that is wrong.

    >>> steel = metal("S235", 6)
    >>> round(press_pressure(0.05, bore=50, cup_od=62, shell_id=46, cup=steel, shell=steel), 2)
    12.54
    """
    scope = Scope("shell pressed into its cup")
    met = scope.size("bore", bore)
    over = scope.figure("interference", interference, "mm", least=0.0, most=met / 100)
    outside = scope.size("cup_od", cup_od, over=met)
    inside = scope.figure("shell_id", shell_id, "mm", least=0.0)
    scope.size("bore", bore, over=inside)
    scope.done(every=True)
    around = ((outside**2 + met**2) / (outside**2 - met**2) + cup.poisson) / cup.e
    within = ((met**2 + inside**2) / (met**2 - inside**2) - shell.poisson) / shell.e
    found = over / (met * (around + within))
    return float(found) if np.ndim(found) == 0 else np.asarray(found)


@np.errstate(all="ignore")
def cup_hoop(
    pressure: Any,
    *,
    bore: Any,
    cup_od: Any,
    metal: Metal,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A cup that a pressed-in bush stretches: Lamé's stress at the bore against EN 1993-1-1:2005 6.2.1(5).

    pressure: MPa on the bore, from the most interference there can be; bore, cup_od: of the cup, mm; metal: of the
    cup; name: what it is asked for; factors: partial factors.
    Raises InputError with everything that is wrong.

    >>> check = cup_hoop(12.54, bore=50, cup_od=62, metal=metal("S235", 6))
    >>> round(check.value, 2), round(check.utilisation, 3)
    (66.36, 0.282)
    """
    scope = Scope(f"cup of {metal.name} with a bush pressed in", name=name, factors=factors)
    metal.steel_only(scope, SECTIONS)
    pressed = scope.figure("pressure", pressure, "MPa", least=0.0)
    inside = scope.size("bore", bore)
    outside = scope.size("cup_od", cup_od, over=inside)
    hoop = pressed * (outside**2 + inside**2) / (outside**2 - inside**2)
    stress = np.sqrt(hoop**2 + hoop * pressed + pressed**2)
    return scope.check(
        lambda by: (stress, metal.fy / by.m0),
        clause=f"Lamé, thick cylinder (closed form), yield by {SECTIONS} 6.2.1(5)",
        formula="stress at the bore of hoop and pressure together against yield / gamma_M0",
        unit="MPa",
        uses=("m0",),
        notes=("elastic, nothing along the cup", "what welding does to the cup is not in it"),
    )


@np.errstate(all="ignore")
def push_out(
    force: Any,
    *,
    pressure: Any,
    friction: Any,
    bore: Any,
    length: Any,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A bush that is pushed out of its cup along its axis: friction on the pressed face.

    force: N along the axis; pressure: MPa from the least interference there can be, over 0; friction: coefficient,
    as typed, 0.02 to 0.3; bore, length: of the face that presses, mm; name: what it is asked for; factors: partial
    factors, of which gamma_M3 (slip) is taken over.
    Raises InputError with everything that is wrong.

    >>> round(push_out(2e3, pressure=12.54, friction=0.1, bore=50, length=40).limit)
    6303
    """
    scope = Scope("bush pushed out of its cup", name=name, factors=factors)
    load = np.abs(scope.figure("force", force, "N"))
    pressed = scope.figure("pressure", pressure, "MPa", over=0.0)
    grip = scope.figure("friction", friction, "", least=0.02, most=0.3)
    met = scope.size("bore", bore)
    long = scope.size("length", length)
    return scope.check(
        lambda by: (load, grip * pressed * np.pi * met * long / by.m3),
        clause="Lamé, thick cylinder (closed form), and friction as typed",
        formula="friction x pressure x pi x bore x length / gamma_M3",
        uses=("m3",),
        own=False,
        notes=("no code has a factor for it: that of slip, gamma_M3, is taken over",),
    )
