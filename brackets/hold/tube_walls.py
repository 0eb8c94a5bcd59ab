"""The wall of a round tube under an ear that is welded to it. N, N mm, mm, MPa.

EN 1993-1-8:2005 table 7.3, plates on circular hollow sections (from memory). An ear along the tube or across it
carries force square to the tube and moment in its own plane; for a moment that bends the ear sideways the table has
nothing, and neither has this.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.hold.bolts import CODE
from brackets.hold.check import Array, Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import LEAST_WELDED, Metal
from brackets.hold.tube_joints import chord_stress_factor
from brackets.hold.tubes import round_tube

TABLE = f"{CODE} table 7.3 (from memory)"


@np.errstate(all="ignore")
def ear_on_tube(
    force: Any,
    *,
    ear: Any,
    od: Any,
    wall: Any,
    metal: Metal,
    moment: Any = 0.0,
    across: bool = False,
    pressed: Any = 0.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """The wall of a round tube that an ear pulls or presses on: EN 1993-1-8:2005 table 7.3 (from memory).

    force: N square to the tube; ear: length of the ear along the tube, at most 4 od, or where `across` its width
    across it, 0.4 to 1 od, mm; od, wall: of the tube, mm, od 10 to 50 times the wall, the wall 3 mm or more; metal:
    of the tube; moment: N mm in the plane of the ear; across: whether the ear stands across the tube, False for
    along it; pressed: compression along the tube beside the ear, MPa, 0 or more; name: what it is asked for;
    factors: partial factors.
    Force and moment are added as shares of what each may be.
    Raises InputError with everything that is wrong.

    >>> tube = dict(od=38.1, wall=3.2, metal=metal("S235", 3.2))
    >>> check = ear_on_tube(4e3, ear=60, moment=100e3, **tube)
    >>> round(check.value, 3), check.limit
    (0.338, 1.0)
    """
    scope = Scope(f"wall of a round tube of {metal.name} under an ear", name=name, factors=factors)
    load = np.abs(scope.figure("force", force, "N"))
    bent = np.abs(scope.figure("moment", moment, "N mm"))
    outside, thick = _wall(scope, od, wall, metal)
    least, most = (0.4 * outside, outside) if across else (0.0, 4 * outside)
    long = scope.figure("ear", ear, "mm", least=least, most=most, why=TABLE)
    stress = scope.figure("pressed", pressed, "MPa", least=0.0, most=metal.fy)

    def sides(by: Any) -> tuple[Any, Any]:
        kp = chord_stress_factor(stress, metal, by)
        shape = 4 + 20 * (long / outside) ** 2 if across else 5 * (1 + 0.25 * long / outside)
        most_force = kp * metal.fy * thick**2 * shape / by.m5
        arm = 0.5 * long if across else long
        return load / most_force + bent / (arm * most_force), 1.0

    return scope.check(
        sides,
        clause=f"{TABLE}, {'transverse' if across else 'longitudinal'} plate, chord face",
        formula="force / (kp x yield x wall squared x shape / gamma_M5) + moment / (that x its arm)",
        unit="",
        uses=("m5",),
        notes=("shares of force and moment added: no less than the table's own rule",),
    )


@np.errstate(all="ignore")
def ear_punching(
    force: Any,
    *,
    ear: Any,
    ear_t: Any,
    od: Any,
    wall: Any,
    metal: Metal,
    moment: Any = 0.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """An ear that punches through the wall of its tube: EN 1993-1-8:2005 table 7.3 (from memory).

    force: N square to the tube; ear: its length on the tube, mm; ear_t: its thickness, mm; moment, od, wall, metal,
    name, factors: as for `ear_on_tube`.
    Raises InputError with everything that is wrong.

    >>> tube = dict(od=38.1, wall=3.2, metal=metal("S235", 3.2))
    >>> check = ear_punching(4e3, ear=60, ear_t=6, moment=100e3, **tube)
    >>> round(check.value, 1), round(check.limit, 1)
    (233.3, 868.3)
    """
    scope = Scope(f"wall of a round tube of {metal.name} under an ear", name=name, factors=factors)
    load = np.abs(scope.figure("force", force, "N"))
    bent = np.abs(scope.figure("moment", moment, "N mm"))
    outside, thick = _wall(scope, od, wall, metal)
    long = scope.size("ear", ear, most=4 * outside, why=TABLE)
    scope.size("ear_t", ear_t)
    return scope.check(
        lambda by: (load / long + 6 * bent / long**2, 2 * thick * metal.fy / (np.sqrt(3) * by.m5)),
        clause=f"{TABLE}, punching shear",
        formula="2 x wall x yield / (root 3 x gamma_M5)",
        unit="N/mm",
        uses=("m5",),
        notes=("largest stress in the ear x its thickness: force / length + 6 x moment / length squared",),
    )


def _wall(scope: Scope, od: Any, wall: Any, metal: Metal) -> tuple[Array, Array]:
    section, _ = round_tube(scope, od, wall, metal)
    scope.figure("wall", wall, "mm", least=LEAST_WELDED)
    slender = section.od / section.wall
    scope.figure("od / wall", slender, "", least=10.0, most=50.0, why=TABLE)
    return section.od, section.wall
