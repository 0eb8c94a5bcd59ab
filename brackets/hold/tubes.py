"""Round tubes: section and its class; tension, compression, bending, shear, torsion, all at once. N, N mm, mm, MPa.

EN 1993-1-1:2005 5.5 and 6.2, sections of class 1 to 3. Class 4 is refused: EN 1993-1-6 is for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.hold.check import Array, Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import Metal
from brackets.hold.plates import SECTIONS


@dataclass(frozen=True, kw_only=True, eq=False)
class RoundTube:
    """Section of a round tube, one or a figure a row: od, wall mm; area mm2; i, torsion mm4; moduli mm3."""

    od: Array
    wall: Array

    @property
    def bore(self) -> Array:
        return np.asarray(self.od - 2 * self.wall)

    @property
    def area(self) -> Array:
        """mm2 of metal."""
        return np.asarray(np.pi * (self.od - self.wall) * self.wall)

    @property
    def i(self) -> Array:
        """mm4 about any line across through its middle."""
        return np.asarray(np.pi / 64 * (self.od**4 - self.bore**4))

    @property
    def torsion(self) -> Array:
        """mm4 about its own length: twice `i`."""
        return 2 * self.i

    @property
    def elastic(self) -> Array:
        """mm3, elastic modulus."""
        return np.asarray(2 * self.i / self.od)

    @property
    def plastic(self) -> Array:
        """mm3, plastic modulus."""
        return np.asarray((self.od**3 - self.bore**3) / 6)

    @property
    def radius(self) -> Array:
        """mm, radius of gyration."""
        return np.asarray(np.sqrt(self.i / self.area))

    @property
    def most_shear(self) -> Array:
        """Largest shear stress over shear force, 1/mm2, elastic: 4/(3 A) (r2^2 + r2 r1 + r1^2)/(r2^2 + r1^2)."""
        out, inside = self.od / 2, self.bore / 2
        shape = (out**2 + out * inside + inside**2) / (out**2 + inside**2)
        return np.asarray(4 / (3 * self.area) * shape)


def tube_class(od: Any, wall: Any, metal: Metal) -> Any:
    """Class of a round tube in bending or compression, 1 to 4: EN 1993-1-1:2005 table 5.2, sheet 3.

    od, wall: mm, one or a figure a row; metal: of the tube. d/t to 50, 70, 90 x epsilon squared.

    >>> tube_class(38.1, 3.2, metal("S235", 3.2)), tube_class(300, 3, metal("S235", 3))
    (1, 4)
    """
    slender = np.true_divide(od, wall) / metal.epsilon**2
    found = 1 + (slender > 50).astype(int) + (slender > 70) + (slender > 90)
    return int(found) if np.ndim(found) == 0 else found


def round_tube(scope: Scope, od: Any, wall: Any, metal: Metal) -> tuple[RoundTube, Any]:
    """The section and its class; refuses another metal than steel, a wall that is no tube's, and class 4."""
    metal.steel_only(scope, SECTIONS)
    outside = scope.size("od", od)
    thick = scope.size("wall", wall, most=outside / 2)
    thinnest = outside / (90 * metal.epsilon**2)
    scope.figure("wall", wall, "mm", least=thinnest, why=f"{SECTIONS} table 5.2: class 3 at the least")
    return RoundTube(od=outside, wall=thick), tube_class(outside, thick, metal)


@np.errstate(all="ignore")
def tube_axial(
    force: Any, *, od: Any, wall: Any, metal: Metal, name: str = "", factors: Factors = EN_1993
) -> Check:
    """A round tube in tension or compression, without buckling: EN 1993-1-1:2005 6.2.3, 6.2.4.

    force: N, either way; od, wall: mm, one or a figure a row; metal: of the tube; name: what it is asked for;
    factors: partial factors.
    Raises InputError with everything that is wrong.

    >>> round(tube_axial(20e3, od=38.1, wall=3.2, metal=metal("S235", 3.2)).limit)
    82450
    """
    scope = Scope(f"round tube of {metal.name} pulled or pressed", name=name, factors=factors)
    load = np.abs(scope.figure("force", force, "N"))
    section, _ = round_tube(scope, od, wall, metal)
    return scope.check(
        lambda by: (load, section.area * metal.fy / by.m0),
        clause=f"{SECTIONS} 6.2.3, 6.2.4",
        formula="area x yield / gamma_M0",
        uses=("m0",),
        notes=("holes in the wall are not counted", "buckling is a check of its own"),
    )


@np.errstate(all="ignore")
def tube_bending(
    moment: Any, *, od: Any, wall: Any, metal: Metal, name: str = "", factors: Factors = EN_1993
) -> Check:
    """A round tube that bends: EN 1993-1-1:2005 6.2.5, plastic in class 1 and 2, elastic in class 3.

    moment: N mm; od, wall, metal, name, factors: as for `tube_axial`. Own factor: elastic in every class.
    Raises InputError with everything that is wrong.

    >>> round(tube_bending(500e3, od=38.1, wall=3.2, metal=metal("S235", 3.2)).limit)
    918510
    """
    scope = Scope(f"round tube of {metal.name} in bending", name=name, factors=factors)
    load = np.abs(scope.figure("moment", moment, "N mm"))
    section, kind = round_tube(scope, od, wall, metal)
    modulus = np.where(np.asarray(kind) <= 2, section.plastic, section.elastic)
    return scope.check(
        lambda by: (load, (section.elastic if by.by_yield else modulus) * metal.fy / by.m0),
        clause=f"{SECTIONS} 6.2.5",
        formula="plastic modulus (class 3: elastic) x yield / gamma_M0",
        unit="N mm",
        uses=("m0",),
        notes=("shear under half its resistance and torsion: see the check of all at once",),
    )


@np.errstate(all="ignore")
def tube_shear(
    force: Any, *, od: Any, wall: Any, metal: Metal, name: str = "", factors: Factors = EN_1993
) -> Check:
    """A round tube in shear: EN 1993-1-1:2005 6.2.6, on 2/pi of its area.

    force: N across it; od, wall, metal, name, factors: as for `tube_axial`.
    Raises InputError with everything that is wrong.

    >>> round(tube_shear(5e3, od=38.1, wall=3.2, metal=metal("S235", 3.2)).limit)
    30305
    """
    scope = Scope(f"round tube of {metal.name} in shear", name=name, factors=factors)
    load = np.abs(scope.figure("force", force, "N"))
    section, _ = round_tube(scope, od, wall, metal)
    return scope.check(
        lambda by: (load, 2 / np.pi * section.area * metal.fy / (np.sqrt(3) * by.m0)),
        clause=f"{SECTIONS} 6.2.6",
        formula="2/pi x area x yield / (root 3 x gamma_M0)",
        uses=("m0",),
    )


@np.errstate(all="ignore")
def tube_torsion(
    moment: Any, *, od: Any, wall: Any, metal: Metal, name: str = "", factors: Factors = EN_1993
) -> Check:
    """A round tube that is twisted, elastically: EN 1993-1-1:2005 6.2.7.

    moment: N mm about its length; od, wall, metal, name, factors: as for `tube_axial`.
    Raises InputError with everything that is wrong.

    >>> round(tube_torsion(300e3, od=38.1, wall=3.2, metal=metal("S235", 3.2)).limit)
    767298
    """
    scope = Scope(f"round tube of {metal.name} in torsion", name=name, factors=factors)
    load = np.abs(scope.figure("moment", moment, "N mm"))
    section, _ = round_tube(scope, od, wall, metal)
    return scope.check(
        lambda by: (load, 2 * section.elastic * metal.fy / (np.sqrt(3) * by.m0)),
        clause=f"{SECTIONS} 6.2.7, elastic",
        formula="torsion modulus x yield / (root 3 x gamma_M0)",
        unit="N mm",
        uses=("m0",),
    )


def combined_stress(section: RoundTube, force: Array, moment: Array, shear: Array, torsion: Array) -> Array:
    """MPa: root of stress along squared and 3 x shear stress squared, the largest of each taken at one point.

    force, shear: N; moment, torsion: N mm; each 0 or more.
    """
    direct = force / section.area + moment / section.elastic
    cut = shear * section.most_shear + torsion / (2 * section.elastic)
    return np.asarray(np.sqrt(direct**2 + 3 * cut**2))


@np.errstate(all="ignore")
def tube_combined(
    *,
    force: Any = 0.0,
    moment: Any = 0.0,
    shear: Any = 0.0,
    torsion: Any = 0.0,
    od: Any,
    wall: Any,
    metal: Metal,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A round tube pulled, bent, sheared and twisted at once, elastically: EN 1993-1-1:2005 6.2.1(5), (6.1).

    force: N along it, either way; moment: N mm, the two about lines across put together; shear: N, the two across
    put together; torsion: N mm about its length; od, wall, metal, name, factors: as for `tube_axial`.
    The largest stress along and the largest shear stress are taken at one point: never less than what is there.
    Raises InputError with everything that is wrong.

    >>> tube = dict(od=38.1, wall=3.2, metal=metal("S235", 3.2))
    >>> round(tube_combined(force=5e3, moment=300e3, shear=2e3, torsion=100e3, **tube).utilisation, 3)
    0.555
    """
    scope = Scope(f"round tube of {metal.name} under all at once", name=name, factors=factors)
    along, bent, across, twisted = (
        np.abs(scope.figure(word, value, unit))
        for word, value, unit in (
            ("force", force, "N"), ("moment", moment, "N mm"), ("shear", shear, "N"), ("torsion", torsion, "N mm")
        )
    )  # fmt: skip
    section, _ = round_tube(scope, od, wall, metal)
    stress = combined_stress(section, along, bent, across, twisted)
    return scope.check(
        lambda by: (stress, metal.fy / by.m0),
        clause=f"{SECTIONS} 6.2.1(5), all at once, elastic",
        formula="square root of (stress along squared + 3 x shear stress squared) against yield / gamma_M0",
        unit="MPa",
        uses=("m0",),
        notes=("largest stress along and largest shear stress taken at one point",),
    )
