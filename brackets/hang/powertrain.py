"""Mass, centre and inertia of the powertrain: from lumps, from scale readings, or from both.

mm, kg, kg mm2, axes of the bay. Inertia is about the centre of mass, its off-diagonals are -∫xy dm, as of any part.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from brackets.core.errors import InputError
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, direction, kg, point, text
from brackets.core.vectors import Vec, unit
from brackets.hang.mount import Array
from brackets.model.moments import Mass
from brackets.survey.weigh import Balance

Shape = Literal["point", "box", "cylinder"]
SHAPES: tuple[Shape, ...] = ("point", "box", "cylinder")


@dataclass(frozen=True, kw_only=True)
class MassLump(Checked):
    """A part of the powertrain as a solid of even density.

    at: its middle, mm; shape: "point", "box" of `size` x, y, z along the bay's axes, or "cylinder" of `size`
    diameter, diameter, length with its length along `axis`.
    """

    name: Annotated[str, text("what it is")] = "lump"
    mass: Annotated[float, kg(0, 5000, "its mass")]
    at: Annotated[Vec, point(3, "its middle")]
    shape: Annotated[str, choice(SHAPES, "the solid that stands for it")] = "point"
    size: Annotated[Vec, point(3, "box x, y, z; cylinder diameter, diameter, length", lo=0)] = (0.0, 0.0, 0.0)
    axis: Annotated[Vec, direction("of a cylinder's length")] = (0.0, 0.0, 1.0)

    def rules(self) -> Iterator[str]:
        if self.shape == "point" and any(self.size):
            yield f"size = {self.size} mm, must not be typed: {self.name} is a point"
        if self.shape != "point" and not all(self.size):
            yield f"size = {self.size} mm, each must be above 0: {self.name} is a {self.shape}"
        if self.shape == "cylinder" and self.size[0] != self.size[1]:
            yield f"size = {self.size} mm, the first two must be alike: diameters of {self.name}"

    @property
    def own(self) -> Array:
        """(3, 3) inertia about its own middle, kg mm2."""
        if self.shape == "cylinder":
            d, _, long = self.size
            along = np.outer(unit(self.axis), unit(self.axis))
            end, side = self.mass * d**2 / 8, self.mass * (d**2 / 16 + long**2 / 12)
            return end * along + side * (np.eye(3) - along)
        squares = np.square(self.size)
        return np.diag(self.mass / 12 * (squares.sum() - squares))


@dataclass(frozen=True, kw_only=True, eq=False)
class Powertrain:
    """`mass` of all of it (kg, centroid mm, inertia kg mm2), and how it is known.

    mass_pm kg, centre_pm (3,) mm: ± where it was weighed, None where it was added up; mass_off kg, centre_off (3,)
    mm: what was weighed less what the lumps add up to, where both are there; notes: what was assumed.
    """

    mass: Mass
    mass_pm: float | None = None
    centre_pm: Vec | None = None
    mass_off: float | None = None
    centre_off: Vec | None = None
    notes: tuple[str, ...] = ()


def powertrain(lumps: Sequence[MassLump] = (), weighed: Balance | None = None) -> Powertrain:
    """Mass, centre and inertia of the powertrain; kg, mm, kg mm2.

    lumps: boxes, cylinders and points; weighed: mass and centre by scales or a hook, as `measure` gives them.
    With both, mass and centre are those weighed, and the inertia that of the lumps about their own centre, as many
    times more as the scales say; a centre whose height the scales do not give has the lumps' height. Scales alone
    give no inertia.
    Raises InputError with everything that is wrong.

    >>> found = powertrain([MassLump(mass=150, at=(0, 0, 200), shape="box", size=(500, 400, 400)),
    ...                     MassLump(mass=50, at=(-400, 0, 100))])
    >>> found.mass.kg, found.mass.centroid.tolist(), round(found.mass.inertia[1, 1])
    (200.0, [-100.0, 0.0, 175.0], 11500000)
    """
    if not lumps or not sum(lump.mass for lump in lumps) > 0:
        why = "scales do not give inertia" if weighed is not None else "there is nothing to hang"
        raise InputError(f"lumps = {len(lumps)}, must be one or more with a mass: {why}")
    kg_, centre, inertia = _added(lumps)
    if weighed is None:
        return Powertrain(mass=Mass(kg=kg_, centroid=centre, inertia=inertia))
    notes = [f"inertia is that of the lumps times {weighed.mass / kg_:.3f}, the mass weighed over theirs"]
    at = np.array(weighed.centre)
    if not weighed.height_known:
        at[2] = centre[2]
        notes.append("the height of the centre is that of the lumps: the readings do not give it")
    off = at - centre
    return Powertrain(
        mass=Mass(kg=weighed.mass, centroid=at, inertia=inertia * (weighed.mass / kg_)),
        mass_pm=weighed.mass_pm,
        centre_pm=weighed.centre_pm,
        mass_off=weighed.mass - kg_,
        centre_off=(float(off[0]), float(off[1]), float(off[2])),
        notes=tuple(notes),
    )


def _added(lumps: Sequence[MassLump]) -> tuple[float, Array, Array]:
    """kg, centre mm, and inertia about it."""
    masses = np.array([lump.mass for lump in lumps])
    at = np.array([lump.at for lump in lumps])
    total = float(masses.sum())
    centre = masses @ at / total
    inertia = np.zeros((3, 3))
    for lump, arm in zip(lumps, at - centre, strict=True):
        inertia += lump.own + lump.mass * (arm @ arm * np.eye(3) - np.outer(arm, arm))
    return total, centre, inertia
