"""What a solid weighs and where its weight sits: moments of a shape at density 1, and the mass made of them.

Lengths in mm, mass in kg. Inertia is about the centroid, its off-diagonals are -∫xy dm (not +∫xy dm).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from brackets.core.errors import OutOfRange
from brackets.core.place import Place
from brackets.core.vectors import Vec
from brackets.geometry.curve import Moments

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

KG_PER_MM3 = 1e-9
"""kg/mm3 for one kg/m3: material rows give kg/m3."""


@dataclass(frozen=True, kw_only=True)
class Moments3:
    """Integrals over a solid, density 1, about the origin of the frame it is given in.

    `volume` mm3; `x`, `y`, `z` are ∫x dV ... in mm4; `xx`, `yy`, `zz`, `xy`, `yz`, `zx` are ∫x·x dV, ∫x·y dV
    ... in mm5 (plain integrals, no minus sign). Add what is there, subtract what is cut away.
    """

    volume: float = 0.0
    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    xx: float = 0.0
    yy: float = 0.0
    zz: float = 0.0
    xy: float = 0.0
    yz: float = 0.0
    zx: float = 0.0

    def __add__(self, other: Moments3) -> Moments3:
        return Moments3.of_values(*(a + b for a, b in zip(self.values(), other.values(), strict=True)))

    def __sub__(self, other: Moments3) -> Moments3:
        return self + other.scaled(-1.0)

    @classmethod
    def prism(cls, area: Moments, low: float, high: float) -> Moments3:
        """Everything between z = low and z = high whose slice has the moments `area`."""
        h = high - low
        cx, cy = area.centroid
        z = h * (low + high) / 2
        return cls(
            volume=area.area * h,
            x=area.area * cx * h,
            y=area.area * cy * h,
            z=area.area * z,
            xx=area.iyy * h,
            yy=area.ixx * h,
            zz=area.area * h * (low * low + low * high + high * high) / 3,
            xy=area.ixy * h,
            yz=area.area * cy * z,
            zx=area.area * cx * z,
        )

    @classmethod
    def of_values(cls, *values: float) -> Moments3:
        """The record of its ten values in the order of the fields."""
        volume, x, y, z, xx, yy, zz, xy, yz, zx = values
        return cls(volume=volume, x=x, y=y, z=z, xx=xx, yy=yy, zz=zz, xy=xy, yz=yz, zx=zx)

    def values(self) -> tuple[float, ...]:
        """The ten values in the order of the fields."""
        return (
            *(self.volume, self.x, self.y, self.z),
            *(self.xx, self.yy, self.zz, self.xy, self.yz, self.zx),
        )

    def scaled(self, density: float) -> Moments3:
        """The same solid at another density."""
        return Moments3.of_values(*(density * value for value in self.values()))

    def moved(self, place: Place) -> Moments3:
        """The moments of the solid set at `place`, about the origin of the outer frame."""
        at = place.at
        first = place.direction((self.x, self.y, self.z))
        rows = [place.direction(row) for row in self._second()]
        turned = [place.direction(column) for column in zip(*rows, strict=True)]

        def second(i: int, j: int) -> float:
            return turned[i][j] + at[i] * first[j] + first[i] * at[j] + self.volume * at[i] * at[j]

        return Moments3(
            volume=self.volume,
            x=first[0] + self.volume * at[0],
            y=first[1] + self.volume * at[1],
            z=first[2] + self.volume * at[2],
            xx=second(0, 0),
            yy=second(1, 1),
            zz=second(2, 2),
            xy=second(0, 1),
            yz=second(1, 2),
            zx=second(2, 0),
        )

    def _second(self) -> tuple[Vec, Vec, Vec]:
        return ((self.xx, self.xy, self.zx), (self.xy, self.yy, self.yz), (self.zx, self.yz, self.zz))

    @property
    def centroid(self) -> Vec:
        """Centre of volume, mm."""
        return (self.x / self.volume, self.y / self.volume, self.z / self.volume)

    def mass(self, density: float) -> Mass:
        """The mass of the solid at `density` kg/m3."""
        m = self.scaled(density * KG_PER_MM3)
        cx, cy, cz = self.centroid
        xx, yy, zz = m.xx - m.x * cx, m.yy - m.y * cy, m.zz - m.z * cz
        xy, yz, zx = m.xy - m.x * cy, m.yz - m.y * cz, m.zx - m.z * cx
        return Mass(
            kg=m.volume,
            centroid=(cx, cy, cz),
            inertia=((yy + zz, -xy, -zx), (-xy, zz + xx, -yz), (-zx, -yz, xx + yy)),
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class Mass:
    """Mass `kg`, `centroid` (3,) mm, `inertia` (3, 3) kg mm2 about the centroid, off-diagonals -∫xy dm.

    The arrays are read-only. Raises InputError where a value is not finite or the mass is not positive.
    """

    kg: float
    centroid: Array
    inertia: Array

    def __init__(self, *, kg: float, centroid: Any, inertia: Any) -> None:
        """`centroid` and `inertia` may be anything numpy reads as (3,) and (3, 3)."""
        import numpy as np

        object.__setattr__(self, "kg", float(kg))
        for name, value, shape in (("centroid", centroid, (3,)), ("inertia", inertia, (3, 3))):
            array = np.array(value, dtype=np.float64).reshape(shape) + 0.0
            array.flags.writeable = False
            object.__setattr__(self, name, array)
        if not (self.kg > 0 and np.isfinite(self.centroid).all() and np.isfinite(self.inertia).all()):
            raise OutOfRange(f"mass = {self.kg:g} kg, must be a finite number above 0: mass of a body")

    @classmethod
    def point(cls, kg: float, at: Vec) -> Mass:
        """A mass gathered in one point."""
        return cls(kg=kg, centroid=at, inertia=((0.0,) * 3,) * 3)

    def __add__(self, other: Mass) -> Mass:
        """Both bodies as one, by the parallel axis theorem."""
        kg = self.kg + other.kg
        centroid = (self.kg * self.centroid + other.kg * other.centroid) / kg
        return Mass(kg=kg, centroid=centroid, inertia=self.about(centroid) + other.about(centroid))

    def about(self, point: Any) -> Array:
        """(3, 3) inertia about `point` (mm, in the same frame), kg mm2."""
        import numpy as np

        d = np.asarray(point, dtype=np.float64) - self.centroid
        moved: Array = self.inertia + self.kg * (np.dot(d, d) * np.eye(3) - np.outer(d, d))
        return moved

    def moved(self, place: Place) -> Mass:
        """The same body set at `place`: its values in the outer frame."""
        import numpy as np

        rows = np.array(place.matrix())
        turn = rows[:3, :3]
        return Mass(
            kg=self.kg,
            centroid=turn @ self.centroid + rows[:3, 3],
            inertia=turn @ self.inertia @ turn.T,
        )
