"""Bushes: sleeve bushes and bobbins (stud bushes); mm, kg, N, stiffness N/mm and N mm/rad at rest (static).

Axis: radial is square to the sleeve or the bobbin, axial along it, torsion about it. A bobbin is rubber or poly
bonded between two plates with a thread at each end; its z is its axis, from its first end to its second.
"""

from __future__ import annotations

from dataclasses import dataclass

SAMPLE = "SAMPLE: MEASURE YOURS"
THREE_PIECES = ("poly, three pieces", "rubber, three pieces")
BUSH_KINDS = ("bonded rubber", "poly, two halves", *THREE_PIECES, "solid")
BOBBIN_KINDS = ("rubber bobbin", "poly bobbin")


@dataclass(frozen=True, kw_only=True)
class Rubber:
    """The bonded rubber: inner and outer radius, length, mm; hardness IRHD."""

    inner_r: float
    outer_r: float
    length: float
    hardness: float


@dataclass(frozen=True, kw_only=True)
class MeasuredStiffness:
    """What was measured of a bush in one direction: "radial", "axial", "torsion" or "conical".

    value, pm: the stiffness, N/mm or N mm/rad, and part of it either way, None where that is not said; or, value
    then None, travels mm and forces N of each reading, how well they are read, mm and N either way, and about which
    force N the slope is wanted, None for all of the range.
    """

    direction: str
    value: float | None = None
    pm: float | None = None
    travels: tuple[float, ...] = ()
    forces: tuple[float, ...] = ()
    travel_pm: float = 0.0
    force_pm: float = 0.0
    about: float | None = None


@dataclass(frozen=True, kw_only=True)
class AnyBush:
    """What a row says of a bush of any kind; mm, kg, N.

    load: N; heat: degrees C; travel_radial, travel_axial: mm each way; stiffness_radial, stiffness_axial: N/mm,
    stiffness_torsion: N mm/rad, at rest; known: how these are known; stiffness_pm: part of them either way;
    hardness_pm: IRHD either way that the rubber's hardness is known to; measured: what was measured, which wins;
    dynamic: dynamic over static stiffness; sample: whether the row is invented. Load, heat, stiffness and tilt are
    None where the row does not say; only `hang` holds anything against load and heat and computes with stiffness.
    """

    name: str
    kind: str
    od: float
    mass: float
    load: float | None
    heat: float | None
    travel_radial: float
    travel_axial: float
    travel_tilt: float | None
    stiffness_radial: float | None
    stiffness_axial: float | None
    stiffness_torsion: float | None
    known: str
    dynamic: float
    sample: bool
    source: str
    stiffness_pm: float | None = None
    hardness_pm: float | None = None
    measured: tuple[MeasuredStiffness, ...] = ()

    @property
    def stamp(self) -> str:
        """Printed wherever the row shows: "SAMPLE: MEASURE YOURS" for an invented row, else nothing."""
        return SAMPLE if self.sample else ""


@dataclass(frozen=True, kw_only=True)
class Bush(AnyBush):
    """A sleeve bush: outer shell, rubber or poly, and the sleeve that its bolt clamps; mm.

    sleeve_offset: mm from the shell's middle to the sleeve's, along the bush's z, which is a mount's `axis`;
    end_flange: mm of poly or rubber between cup and ear at each end; flange_od: outside of the flanges of a bush of
    three pieces, None for others. Of three pieces od and shell_length are of both halves without their flanges.
    """

    shell_length: float
    sleeve_od: float
    sleeve_bore: float
    sleeve_length: float
    sleeve_offset: float
    bolt: str
    end_flange: float
    flange_od: float | None = None
    rubber: Rubber | None

    @property
    def three_pieces(self) -> bool:
        """Whether it is two flanged halves, pressed in from both ends, about one sleeve."""
        return self.kind in THREE_PIECES


@dataclass(frozen=True, kw_only=True)
class BobbinEnd:
    """One end of a bobbin: mm that its stud stands out of the end plate, or mm of thread that can be used in its
    tapped hole, counted from the plate's outer face; the other is None."""

    stud: float | None
    tapped: float | None


@dataclass(frozen=True, kw_only=True)
class Bobbin(AnyBush):
    """A stud bush: a cylinder of rubber or poly bonded between two end plates with a thread at each end; mm.

    od: of the rubber; height: over both plates, without the studs; plate_t, plate_od: thickness and outside of
    either plate; thread: row of the bolt table; first, second: its ends, the second along the bobbin's z.
    """

    height: float
    plate_t: float
    plate_od: float
    thread: str
    first: BobbinEnd
    second: BobbinEnd

    @property
    def rubber_length(self) -> float:
        """Between the plates, mm."""
        return self.height - 2 * self.plate_t

    @property
    def ends(self) -> tuple[BobbinEnd, BobbinEnd]:
        return self.first, self.second
