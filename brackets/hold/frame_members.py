"""Members of a frame: straight beams of one section between two nodes, rigid or hinged at either end. N, mm, MPa.

Axes of a member: x from start to end, y its `up` made square to x, z = x cross y. Small movements, no buckling.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields
from typing import Literal

import numpy as np

from brackets.core.errors import InputError, OutOfRange
from brackets.core.vectors import Vec
from brackets.hold.check import Array

Joint = Literal["rigid", "pinned", "ball", "hinge y", "hinge z"]
RELEASED: dict[Joint, tuple[int, ...]] = {
    "rigid": (),
    "pinned": (4, 5),
    "ball": (3, 4, 5),
    "hinge y": (4,),
    "hinge z": (5,),
}
"""Of the six movements of an end in the member's axes, those that take nothing with them."""
UP: Vec = (0.0, 0.0, 1.0)
NOT_PARALLEL = 1e-6
"""Sine of the angle between a member and its `up`, at least."""


@dataclass(frozen=True, kw_only=True)
class BeamSection:
    """A section: area mm2, iy and iz mm4 about its y and z, torsion mm4, e and g MPa.

    shear_y, shear_z: area that counts in shear along y and z, mm2: the beam is Timoshenko's; None: it does not give
    in shear, the beam is Euler and Bernoulli's.
    Raises OutOfRange with everything that is wrong.
    """

    area: float
    iy: float
    iz: float
    torsion: float
    e: float
    g: float
    shear_y: float | None = None
    shear_z: float | None = None

    def __post_init__(self) -> None:
        given = {each.name: getattr(self, each.name) for each in fields(self)}
        wrong = [
            f"{name} = {value:g}, must be over 0 and finite: section of a beam"
            for name, value in given.items()
            if value is not None and not 0 < value < np.inf
        ]
        if wrong:
            raise OutOfRange(*wrong)


def round_section(
    od: float, wall: float, *, e: float = 210000.0, poisson: float = 0.3, shear: bool = False
) -> BeamSection:
    """The section of a round tube.

    od, wall: mm, wall half of od for a bar; e: MPa; poisson: Poisson's ratio; shear: whether it gives in shear:
    then by G. R. Cowper, The Shear Coefficient in Timoshenko's Beam Theory, 1966 (from memory).
    Raises OutOfRange with everything that is wrong.

    >>> section = round_section(38.1, 3.2)
    >>> round(section.area, 2), round(section.iy), round(section.torsion)
    (350.85, 53867, 107734)
    """
    if not 0 < wall <= od / 2:
        raise OutOfRange(f"wall = {wall:g} mm, must be over 0 and at most {od / 2:g} mm: round section")
    bore = od - 2 * wall
    area, i = np.pi / 4 * (od**2 - bore**2), np.pi / 64 * (od**4 - bore**4)
    m = (bore / od) ** 2
    counts = 6 * (1 + poisson) * (1 + m) ** 2 / ((7 + 6 * poisson) * (1 + m) ** 2 + (20 + 12 * poisson) * m)
    sheared = float(counts * area) if shear else None
    g = e / (2 * (1 + poisson))
    return BeamSection(
        area=float(area), iy=float(i), iz=float(i), torsion=float(2 * i), e=e, g=g, shear_y=sheared, shear_z=sheared
    )


def flat_section(width: float, t: float, *, e: float = 210000.0, poisson: float = 0.3) -> BeamSection:
    """The section of a flat bar or plate: width along the member's y, thickness along its z.

    width, t: mm, t at most the width; e: MPa; poisson: Poisson's ratio. Torsion by the series of Saint-Venant in
    the short form b t^3 (1/3 - 0.21 t/b (1 - t^4/(12 b^4))), within 0.5 % (Roark's Formulas for Stress and Strain,
    from memory). It does not give in shear.
    Raises OutOfRange with everything that is wrong.

    >>> section = flat_section(50, 6)
    >>> section.area, section.iy, section.iz, round(section.torsion)
    (300, 900.0, 62500.0, 3328)
    """
    if not 0 < t <= width:
        raise OutOfRange(f"t = {t:g} mm, must be over 0 and at most the width {width:g} mm: flat section")
    torsion = width * t**3 * (1 / 3 - 0.21 * t / width * (1 - t**4 / (12 * width**4)))
    return BeamSection(
        area=width * t,
        iy=width * t**3 / 12,
        iz=t * width**3 / 12,
        torsion=torsion,
        e=e,
        g=e / (2 * (1 + poisson)),
    )


@dataclass(frozen=True, kw_only=True)
class Member:
    """A beam between two nodes. start, end: their names; up: roughly its y, None for z of the bay, or x where it
    stands.

    start_joint, end_joint: "rigid"; "pinned", which takes no bending; "ball", neither bending nor torsion; "hinge
    y" or "hinge z", no bending about that axis of its own.
    """

    name: str
    start: str
    end: str
    section: BeamSection
    up: Vec | None = None
    start_joint: Joint = "rigid"
    end_joint: Joint = "rigid"

    def problems(self) -> Iterator[str]:
        """What is wrong with it in itself."""
        for word in (self.start_joint, self.end_joint):
            if word not in RELEASED:
                yield f"joint = {word}, must be {', '.join(RELEASED)}: end of member {self.name}"
        if self.start_joint == "ball" == self.end_joint:
            yield f"joint = ball, must not be at both ends: member {self.name} would turn about its own length"

    def axes(self, start: Array, end: Array) -> Array:
        """(3, 3): its x, y, z as rows."""
        x = (end - start) / np.linalg.norm(end - start)
        if self.up is None:
            up = np.array(UP if np.hypot(x[0], x[1]) > NOT_PARALLEL else (1.0, 0.0, 0.0))
        else:
            up = np.asarray(self.up, dtype=np.float64)
        y = up - (up @ x) * x
        size, long = np.linalg.norm(y), np.linalg.norm(up)
        if not size > NOT_PARALLEL * long:
            raise InputError(f"up = {self.up}, must not lie along the member: member {self.name}")
        y = y / size
        return np.array([x, y, np.cross(x, y)])

    def stiffness(self, length: float) -> Array:
        """(12, 12) in its own axes: forces and moments at start, then end, for movements of the two."""
        of = self.section
        k = np.zeros((12, 12))
        _pair(k, 0, of.e * of.area / length)
        _pair(k, 3, of.g * of.torsion / length)
        _bending(k, (1, 5), of.e * of.iz, length, of.g, of.shear_y, 1.0)
        _bending(k, (2, 4), of.e * of.iy, length, of.g, of.shear_z, -1.0)
        free = [*RELEASED[self.start_joint], *(6 + i for i in RELEASED[self.end_joint])]
        if free:
            kept = [i for i in range(12) if i not in free]
            inside = np.linalg.solve(k[np.ix_(free, free)], k[np.ix_(free, kept)])
            reduced = np.zeros((12, 12))
            reduced[np.ix_(kept, kept)] = k[np.ix_(kept, kept)] - k[np.ix_(kept, free)] @ inside
            k = reduced
        return (k + k.T) / 2


def _pair(k: Array, i: int, stiffness: float) -> None:
    k[i, i] = k[i + 6, i + 6] = stiffness
    k[i, i + 6] = k[i + 6, i] = -stiffness


def _bending(
    k: Array, ends: tuple[int, int], ei: float, length: float, g: float, shear: float | None, sign: float
) -> None:
    """Bending in one plane; sign: whether a turn that is positive lifts the far end or lowers it."""
    give = 0.0 if shear is None else 12 * ei / (g * shear * length**2)
    force = 12 * ei / (length**3 * (1 + give))
    turn = sign * 6 * ei / (length**2 * (1 + give))
    near, far = (part * ei / (length * (1 + give)) for part in (4 + give, 2 - give))
    v, r = ends
    places = [v, r, v + 6, r + 6]
    k[np.ix_(places, places)] = [
        [force, turn, -force, turn],
        [turn, near, -turn, far],
        [-force, -turn, force, -turn],
        [turn, far, -turn, near],
    ]
