"""Springs of one bush or bobbin: what was measured wins, then what its row says, then what its rubber works out to.

Axis: the bush's z is along its sleeve or bobbin. mm, N, N/mm, N mm/rad.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.tables.bush_rows import AnyBush, Bush
from brackets.core.vectors import Vec
from brackets.hang.bobbin import bobbin_stiffness
from brackets.hang.bonded import bush_stiffness
from brackets.hang.hardness import rubber_modulus
from brackets.hang.measured import Known, measured_stiffness
from brackets.hang.mount import Mount

Material = Literal["rubber", "poly", "solid"]
MATERIALS: tuple[Material, ...] = ("rubber", "poly", "solid")
DIRECTIONS = ("radial", "axial", "torsion", "conical")
MEASURED = "measured"
TYPED_PM = 0.2
"""Part of a typed stiffness, either way, that is not said how well it is known: common practice, no source."""
HARDNESS_PM = 5.0
"""IRHD either way of a hardness that is not said how well it is known: moulded parts are sold so (common practice,
no source)."""
SOLID = 1e5
"""N/mm of a solid bush: as good as rigid beside any rubber, and no figure of its own."""


@dataclass(frozen=True, kw_only=True)
class BushSprings:
    """What a bush does in each direction, with its scatter; None where nothing says.

    radial, axial: N/mm; torsion, conical: N mm/rad; dynamic: stiffness when shaken over stiffness at rest; travel:
    mm each way radially and axially, load: N, heat: degrees C, None where not known; notes: what was assumed.
    """

    radial: Known
    axial: Known
    torsion: Known | None = None
    conical: Known | None = None
    dynamic: float = 1.0
    travel: tuple[float | None, float | None] = (None, None)
    load: float | None = None
    heat: float | None = None
    notes: tuple[str, ...] = ()

    @property
    def scatter(self) -> tuple[float, float]:
        """Least and most of all its stiffness as parts of the figures: of the direction known worst."""
        known = [each for each in (self.radial, self.axial, self.torsion, self.conical) if each and each.value]
        return min(each.low / each.value for each in known), max(each.high / each.value for each in known)

    def known_to(self, pm: float) -> BushSprings:
        """The same with every stiffness known to `pm`, a part of it either way: a bush that was picked by hand."""

        def told(known: Known) -> Known:
            return Known.about(known.value, pm, known.how)

        return replace(
            self, radial=told(self.radial), axial=told(self.axial), torsion=self.torsion and told(self.torsion),
            conical=self.conical and told(self.conical),
        )  # fmt: skip

    def mount(self, name: str, at: Vec, axis: Vec) -> Mount:
        """The mount it makes at a point, mm, its z along `axis`."""
        other = np.eye(3)[int(np.argmin(np.abs(np.asarray(axis, dtype=np.float64))))]
        place = Place(at=at, axis=axis, up=(float(other[0]), float(other[1]), float(other[2])))
        turn = np.column_stack([place.direction(v) for v in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))])
        low, high = self.scatter
        conical, torsion = (known.value if known else 0.0 for known in (self.conical, self.torsion))
        radial, axial = self.travel
        return Mount(
            name=name, position=at, rotation=turn, torsion=(conical, conical, torsion), low=low, high=high,
            stiffness=(self.radial.value, self.radial.value, self.axial.value), dynamic=self.dynamic,
            travel=(radial, radial, axial), load=self.load,
        )  # fmt: skip


def bush_springs(
    material: Material,
    inner_r: float,
    outer_r: float,
    length: float,
    hardness: float | None = None,
    *,
    pm: float = 5.0,
) -> BushSprings:
    """Springs of a sleeve bush by what it is made of, from its sizes alone.

    material: "rubber" (bonded), "poly" (halves about a greased sleeve) or "solid"; inner_r, outer_r, length: of the
    rubber or poly, mm; hardness: IRHD or Shore A, not of solid ones; pm: how well that is known, either way.
    Poly slips on its sleeve: radially it is between slipping freely and bonded, and it does not hold a turn about
    its axis; along it, it is taken as bonded. Raises InputError with everything that is wrong.

    >>> rubber, poly = (bush_springs(m, 10, 20, 40, h) for m, h in (("rubber", 50), ("poly", 80)))
    >>> round(rubber.radial.value), [round(f) for f in (poly.radial.low, poly.radial.value, poly.radial.high)]
    (1490, [1714, 4690, 12791])
    """
    if material not in MATERIALS:
        raise InputError(f"material = {material!r}, must be one of {', '.join(MATERIALS)}: of the bush")
    if (hardness is None) is (material != "solid"):
        must = "must be typed" if hardness is None else "must not be typed"
        raise InputError(f"hardness = {hardness}, {must}: of a {material} bush")
    if material == "solid" or hardness is None:
        bush_stiffness(inner_r, outer_r, length, 1.0)  # refuses sizes that are none
        rigid = Known(value=SOLID, low=SOLID / 2, high=SOLID, how="as good as rigid")
        tilt = SOLID * length**2 / 12
        conical = Known(value=tilt, low=tilt / 2, high=tilt, how=rigid.how)
        return BushSprings(radial=rigid, axial=rigid, conical=conical)
    modulus = rubber_modulus(hardness, pm=pm, material=material)
    found = bush_stiffness(inner_r, outer_r, length, modulus.shear)
    low, high = modulus.scatter

    def of(value: float, least: float | None = None) -> Known:
        how = f"finite elements, modulus by {modulus.source}"
        return Known(value=value, low=(value if least is None else least) * low, high=value * high, how=how)

    if material == "rubber":
        return BushSprings(
            radial=of(found.radial), axial=of(found.axial), torsion=of(found.torsion), conical=of(found.conical)
        )
    middle = (found.radial * found.sliding) ** 0.5
    radial = Known(value=middle, low=found.sliding * low, high=found.radial * high, how=of(1.0).how)
    note = "poly: radially between slipping on its sleeve and bonded; along it as if bonded: measure it"
    return BushSprings(radial=radial, axial=of(found.axial), notes=(note,))


def springs_of_row(
    row: AnyBush, measured: Mapping[str, Known] | None = None, *, hardness_pm: float = HARDNESS_PM
) -> BushSprings:
    """Springs of a bush or bobbin by its row.

    row: of the table of bushes or of one's own; measured: what `measured_stiffness` found, by direction ("radial",
    "axial", "torsion", "conical"): it wins, then what the row says was measured; hardness_pm: how well the rubber's
    hardness is known, either way, where the row does not say. Then what the row says counts, by its own ± or
    TYPED_PM, then its rubber. Raises InputError where radial or axial are known by none of these.

    >>> found = springs_of_row(bush("R60"))
    >>> found.radial.value, found.radial.how, round(found.conical.value, -3)
    (310.0, 'estimate, replace by a measured value', 49000.0)
    """
    given = {**_measured(row), **(measured or {})}
    if wrong := [f"measured = {name!r}, must be one of {', '.join(DIRECTIONS)}" for name in given
                 if name not in DIRECTIONS]:  # fmt: skip
        raise InputError(*wrong)
    rubber = row.rubber if isinstance(row, Bush) else None
    worked: BushSprings | None = None
    if rubber is not None:
        sizes = rubber.inner_r, rubber.outer_r, rubber.length
        known_to = hardness_pm if row.hardness_pm is None else row.hardness_pm
        worked = bush_springs("rubber", *sizes, rubber.hardness, pm=known_to)
    typed = {"radial": row.stiffness_radial, "axial": row.stiffness_axial, "torsion": row.stiffness_torsion}
    found: dict[str, Any] = {}
    for name in DIRECTIONS:
        said = typed.get(name)
        if name in given:
            found[name] = given[name]
        elif said is not None:
            found[name] = Known.about(said, TYPED_PM if row.stiffness_pm is None else row.stiffness_pm, row.known)
        elif worked is not None:
            found[name] = getattr(worked, name)
    if lacking := [name for name in ("radial", "axial") if name not in found]:
        raise InputError(*(
            f"bush {row.name}: stiffness {name} = none, must be typed, measured, or worked out from its rubber"
            for name in lacking
        ))  # fmt: skip
    notes = tuple(
        f"bush {row.name}: nothing says its {name} stiffness, taken as none"
        for name in ("torsion", "conical") if name not in found
    )  # fmt: skip
    return BushSprings(
        **found, dynamic=row.dynamic, travel=(row.travel_radial, row.travel_axial), load=row.load, heat=row.heat,
        notes=notes,
    )  # fmt: skip


def _measured(row: AnyBush) -> dict[str, Known]:
    """What a row says was measured, by direction; InputError names the bush."""
    found, wrong = {}, []
    for one in row.measured:
        if one.value is not None:
            pm = TYPED_PM if one.pm is None else one.pm
            found[one.direction] = Known.about(one.value, pm, MEASURED)
            continue
        points = tuple(zip(one.travels, one.forces, strict=True))
        try:
            found[one.direction] = measured_stiffness(
                points, load=one.about, load_pm=one.force_pm, travel_pm=one.travel_pm
            )
        except InputError as error:
            wrong += [f"bush {row.name}: measured {one.direction}: {line}" for line in error.problems]
    if wrong:
        raise InputError(*wrong)
    return found


def bobbin_springs(
    d: float, height: float, hardness: float, *, material: Literal["rubber", "poly"] = "rubber", pm: float = 5.0
) -> BushSprings:
    """Springs of a bobbin from its sizes: radial is its shear, axial its compression, conical its tilt.

    d, height: of the rubber, mm; hardness: IRHD or Shore A, pm: how well it is known; material: "rubber" or "poly".

    >>> round(bobbin_springs(50, 34, 50).axial.value)
    152
    """
    modulus = rubber_modulus(hardness, pm=pm, material=material)
    found, (low, high) = bobbin_stiffness(d, height, modulus), modulus.scatter

    def of(value: float) -> Known:
        return Known(value=value, low=value * low, high=value * high, how=f"shape factor, {modulus.source}")

    return BushSprings(
        radial=of(found.shear), axial=of(found.compression), torsion=of(found.torsion), conical=of(found.tilt)
    )
