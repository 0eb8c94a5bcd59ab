"""The keys of a [[bush]] row, shipped, of a bay or of a file of one's own; the shipped rows, all invented."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache
from typing import Annotated, ClassVar

from brackets.core.schema.checked import Checked, Where, fields
from brackets.core.schema.kinds import choice, kg, lengths, mm, newton, number, numbers, text, yes_no
from brackets.core.schema.reading import from_mapping, record_of
from brackets.core.schema.rows import Row, TableRef, called, one_of
from brackets.core.schema.rule import Text
from brackets.core.tables.bolt_rows import BOLTS
from brackets.core.tables.bush_rows import (
    BOBBIN_KINDS,
    BUSH_KINDS,
    SAMPLE,
    THREE_PIECES,
    Bobbin,
    BobbinEnd,
    Bush,
    MeasuredStiffness,
    Rubber,
)
from brackets.core.tables.data_files import toml_rows

ROUNDING = 1e-9
LEAST_RUBBER = 1.0
"""mm between the plates of a bobbin: less is no bush."""
ENDS = ("first", "second")
READ = ("radial", "axial")
"""Directions of which there may be readings of a press."""
READINGS = ("radial_readings", "axial_readings")
BUSH_GROUPS = ("travel", "stiffness", "measured", *READINGS, "readings", "rubber", *ENDS)
"""Keys of a bush that are tables of their own: travel = { radial = .. }."""


@dataclass(frozen=True, kw_only=True)
class BushRow(Checked):
    """A bush of any kind as it is typed; `record` is what the rest of the program takes."""

    name: Annotated[str, Text(meaning="name of the row", longest=300, least=1)]
    kind: Annotated[str, choice((*BUSH_KINDS, *BOBBIN_KINDS), "how it is made")]
    od: Annotated[float, mm(10, 300, "outside of the bush, pressed into the cup; of a bobbin's rubber")]
    shell_length: Annotated[float | None, mm(3, 300, "length of its outside")] = None
    sleeve_od: Annotated[float | None, mm(4, 150, "outside of the inner sleeve")] = None
    sleeve_bore: Annotated[float | None, mm(3, 120, "bore of the inner sleeve")] = None
    sleeve_length: Annotated[
        float | None, mm(3, 400, "length of the inner sleeve: the ears stand on its ends")
    ] = None
    sleeve_offset: Annotated[
        float, mm(-200, 200, "from the shell's middle to the sleeve's, along the axis of the mount")
    ] = 0.0
    bolt: Annotated[str | None, Row(table=BOLTS, meaning="bolt through the sleeve")] = None
    end_flange: Annotated[
        float, mm(0, 50, "thickness of poly between cup and ear, each end; three pieces: of either flange")
    ] = 0.0
    flange_od: Annotated[float | None, mm(10, 400, "three pieces: outside of either flange")] = None
    height: Annotated[float | None, mm(5, 300, "bobbin: over both end plates, without the studs")] = None
    plate_t: Annotated[float | None, mm(0.5, 20, "bobbin: thickness of either end plate")] = None
    plate_od: Annotated[float | None, mm(5, 300, "bobbin: outside of either end plate; without it od")] = None
    thread: Annotated[str | None, Row(table=BOLTS, meaning="bobbin: thread of its studs and tapped holes")] = None
    first_stud: Annotated[float | None, mm(3, 200, "bobbin: how far the stud of one end stands out")] = None
    first_tapped: Annotated[float | None, mm(2, 200, "bobbin: usable depth of that end's tapped hole")] = None
    second_stud: Annotated[float | None, mm(3, 200, "bobbin: how far the stud of the other end stands out")] = None
    second_tapped: Annotated[float | None, mm(2, 200, "bobbin: usable depth of that end's tapped hole")] = None
    mass: Annotated[float, kg(0, 50, "its mass")]
    load: Annotated[float | None, newton(0, 1e6, "largest load")] = None
    heat: Annotated[float | None, number(-50, 500, "hottest it may become, deg C")] = None
    travel_radial: Annotated[float, mm(0, 100, "how far it gives square to its axis, each way")]
    travel_axial: Annotated[float, mm(0, 100, "how far it gives along its axis, each way")]
    travel_tilt: Annotated[float | None, number(0, 45, "how far it tilts on its sleeve, each way, degrees")] = None
    stiffness_radial: Annotated[float | None, number(1e-3, 1e7, "square to its axis, at rest, N/mm")] = None
    stiffness_axial: Annotated[float | None, number(1e-3, 1e7, "along its axis, at rest, N/mm")] = None
    stiffness_torsion: Annotated[float | None, number(0, 1e10, "about its axis, at rest, N mm/rad")] = None
    stiffness_known: Annotated[str, text("how the stiffness is known", longest=300)] = "not said how"
    stiffness_pm: Annotated[
        float | None, number(0, 0.9, "how well the typed stiffness is known, a part of it either way")
    ] = None
    measured_radial: Annotated[float | None, number(1e-3, 1e7, "measured square to its axis, N/mm")] = None
    measured_axial: Annotated[float | None, number(1e-3, 1e7, "measured along its axis, N/mm")] = None
    measured_torsion: Annotated[float | None, number(0, 1e10, "measured about its axis, N mm/rad")] = None
    measured_conical: Annotated[float | None, number(0, 1e10, "measured by tilting it, N mm/rad")] = None
    measured_pm: Annotated[
        float | None, number(0, 0.9, "how well these are known, a part of them either way")
    ] = None
    radial_readings_travel: Annotated[
        tuple[float, ...] | None,
        lengths(0, 100, "readings square to its axis, which win: how far pressed", at_least=2, at_most=50),
    ] = None
    radial_readings_force: Annotated[
        tuple[float, ...] | None, numbers(0, 1e6, "by what force at each, N", at_least=2, at_most=50)
    ] = None
    radial_about: Annotated[
        float | None, newton(0, 1e6, "force about which their slope is wanted; without it of all the range")
    ] = None
    axial_readings_travel: Annotated[
        tuple[float, ...] | None,
        lengths(0, 100, "readings along its axis, which win: how far pressed", at_least=2, at_most=50),
    ] = None
    axial_readings_force: Annotated[
        tuple[float, ...] | None, numbers(0, 1e6, "by what force at each, N", at_least=2, at_most=50)
    ] = None
    axial_about: Annotated[
        float | None, newton(0, 1e6, "force about which their slope is wanted; without it of all the range")
    ] = None
    readings_travel_pm: Annotated[float, mm(0, 10, "how well each travel was read, either way")] = 0.0
    readings_force_pm: Annotated[float, newton(0, 1e5, "how well each force was read, either way")] = 0.0
    dynamic: Annotated[float, number(1, 10, "dynamic over static stiffness")] = 1.0
    rubber_inner_r: Annotated[float | None, mm(1, 150, "bonded rubber: inner radius")] = None
    rubber_outer_r: Annotated[float | None, mm(1, 150, "bonded rubber: outer radius")] = None
    rubber_length: Annotated[float | None, mm(1, 400, "bonded rubber: length")] = None
    rubber_hardness: Annotated[float | None, number(20, 98, "bonded rubber: hardness, IRHD")] = None
    hardness_pm: Annotated[
        float | None, number(0, 15, "how well the rubber's hardness is known, IRHD either way; without it 5")
    ] = None
    sample: Annotated[bool, yes_no("an invented row, stamped SAMPLE: MEASURE YOURS wherever it shows")] = False
    source: Annotated[str, text("where the figures are from", longest=300)] = "own row"

    _where: ClassVar[tuple[Where, ...]] = (
        Where(
            key="kind",
            words=BUSH_KINDS,
            must=("shell_length", "sleeve_od", "sleeve_bore", "sleeve_length", "bolt"),
            may=("sleeve_offset", "end_flange"),
        ),
        Where(
            key="kind",
            words=tuple(kind for kind in BUSH_KINDS if kind not in THREE_PIECES),
            may=("rubber", "hardness_pm"),
        ),
        Where(key="kind", words=THREE_PIECES, must=("flange_od", "end_flange")),
        Where(key="kind", words=BOBBIN_KINDS, must=("height", "plate_t", "thread", *ENDS), may=("plate_od",)),
    )
    _whole: ClassVar[tuple[str, ...]] = ("rubber", *READINGS)

    def rules(self) -> Iterator[str]:
        yield from self._bobbin_rules() if self.kind in BOBBIN_KINDS else self._sleeve_rules()
        yield from self._measured_rules()

    def _measured_rules(self) -> Iterator[str]:
        for name in READ:
            travels, forces = self._readings(name)
            if len(travels) != len(forces):
                must = f"must be {len(travels)} figures, one for each travel"
                yield f"{name}_readings_force = {len(forces)} figures, {must}: readings"
            if self._size_or_none(f"{name}_about") is not None and not travels:
                yield self._wrong(f"{name}_about", f"must be with {name}_readings")

    def _readings(self, name: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Travels, mm, and forces, N, that were read in a direction."""
        return (
            getattr(self, f"{name}_readings_travel") or (),
            getattr(self, f"{name}_readings_force") or (),
        )

    def _size_or_none(self, name: str) -> float | None:
        found: float | None = getattr(self, name)
        return found

    @property
    def measured(self) -> tuple[MeasuredStiffness, ...]:
        """What was measured, by direction; readings after a figure, over which they win."""
        figures = {
            "radial": self.measured_radial,
            "axial": self.measured_axial,
            "torsion": self.measured_torsion,
            "conical": self.measured_conical,
        }
        found = [
            MeasuredStiffness(direction=name, value=value, pm=self.measured_pm)
            for name, value in figures.items()
            if value is not None
        ]
        for name in READ:
            travels, forces = self._readings(name)
            if travels:
                found.append(MeasuredStiffness(
                    direction=name, travels=travels, forces=forces, travel_pm=self.readings_travel_pm,
                    force_pm=self.readings_force_pm, about=self._size_or_none(f"{name}_about"),
                ))  # fmt: skip
        return tuple(found)

    def _sleeve_rules(self) -> Iterator[str]:
        bore, sleeve, through = self._size("sleeve_bore"), self._size("sleeve_od"), BOLTS.find(str(self.bolt))
        if not bore < sleeve < self.od:
            yield self._wrong("sleeve_od", f"must be over the bore {bore:g} and under the od {self.od:g} mm")
        if through.d > bore:
            yield self._wrong("bolt", f"must pass through the sleeve bore of {bore:g} mm")
        past = (self._size("sleeve_length") - self._size("shell_length")) / 2 - self.end_flange
        if self.sleeve_offset and abs(self.sleeve_offset) > past + ROUNDING:
            most = f"at most {past:g} mm either way" if past > 0 else "0"
            yield self._wrong("sleeve_offset", f"must be {most}: the sleeve reaches past both ends")
        if self.flange_od is not None and self.flange_od <= self.od:
            yield self._wrong("flange_od", f"must be over the od {self.od:g} mm: it stays outside the cup")
        if self.kind in THREE_PIECES and self.end_flange <= 0:
            yield self._wrong("end_flange", "must be over 0 mm: how thick each flange is")
        inside = self.rubber if bore < sleeve < self.od else None
        if inside is not None and not sleeve / 2 <= inside.inner_r < inside.outer_r <= self.od / 2:
            radii = f"sleeve {sleeve / 2:g} and shell {self.od / 2:g} mm"
            yield self._wrong("rubber_outer_r", f"must lie with inner_r {inside.inner_r:g} between {radii}")

    def _bobbin_rules(self) -> Iterator[str]:
        height, plate_t, thread = self._size("height"), self._size("plate_t"), BOLTS.find(str(self.thread))
        if height - 2 * plate_t < LEAST_RUBBER:
            most = f"at most {(height - LEAST_RUBBER) / 2:g} mm"
            yield self._wrong("plate_t", f"must be {most}: rubber is left between two of them")
        if self.plate_outside <= thread.d:
            yield self._wrong("plate_od", f"must be over the thread's {thread.d:g} mm")
        for name, end in zip(ENDS, self.ends, strict=True):
            if end.stud is not None and end.tapped is not None:
                yield f"{name} = both stud and tapped, must have one of the two: how its thread is"
            elif end.tapped is not None and end.tapped >= height - plate_t:
                most = f"must be under {height - plate_t:g} mm: it ends before the other plate"
                yield self._wrong(f"{name}_tapped", most)
        first, second = (end.tapped or 0.0 for end in self.ends)
        if max(first, second) < height - plate_t and first + second >= height:
            yield self._wrong(
                "second_tapped", f"must be under {height - first:g} mm: it ends before the other hole"
            )

    def _size(self, name: str) -> float:
        """A length that is there by the row's kind, mm."""
        return float(getattr(self, name))

    def _wrong(self, name: str, must: str) -> str:
        (param,) = (param for param in fields(type(self)) if param.name == name)
        return f"{name} = {param.to_text(getattr(self, name))}, {must}: {param.meaning}"

    @property
    def plate_outside(self) -> float:
        """Of a bobbin's end plates, mm."""
        return self.od if self.plate_od is None else self.plate_od

    @property
    def ends(self) -> tuple[BobbinEnd, BobbinEnd]:
        return (
            BobbinEnd(stud=self.first_stud, tapped=self.first_tapped),
            BobbinEnd(stud=self.second_stud, tapped=self.second_tapped),
        )

    @property
    def rubber(self) -> Rubber | None:
        if self.rubber_inner_r is None:
            return None
        return Rubber(
            inner_r=self.rubber_inner_r,
            outer_r=self._size("rubber_outer_r"),
            length=self._size("rubber_length"),
            hardness=self._size("rubber_hardness"),
        )

    @property
    def record(self) -> Bush | Bobbin:
        """The bush or bobbin that it says; one that repeats a shipped SAMPLE row stays stamped."""
        made: Bush | Bobbin
        if self.kind in BOBBIN_KINDS:
            (first, second), known = self.ends, self.stiffness_known
            made = record_of(Bobbin, self, known=known, plate_od=self.plate_outside, first=first, second=second)
        else:
            made = record_of(Bush, self, known=self.stiffness_known, rubber=self.rubber)
        return replace(made, sample=True) if not made.sample and _copied(made) else made


def _copied(row: Bush | Bobbin) -> bool:
    """Whether it repeats a shipped row, whose figures are invented."""
    same = called(row.name, all_bushes())
    return same is not None and replace(row, sample=True, source=same.source) == same


@cache
def all_bushes() -> tuple[Bush | Bobbin, ...]:
    """Every shipped row of either kind."""
    return tuple(
        from_mapping(BushRow, {"sample": True, "source": SAMPLE, **raw}, where=f"bush {raw['name']}").record
        for raw in toml_rows("bushes.toml", "bush")
    )


def bushes() -> tuple[Bush, ...]:
    """Every shipped sleeve bush, all of them invented: samples to be replaced by what you measured.

    >>> {bush.stamp for bush in bushes()}
    {'SAMPLE: MEASURE YOURS'}
    """
    return tuple(row for row in all_bushes() if isinstance(row, Bush))


def bobbins() -> tuple[Bobbin, ...]:
    """Every shipped bobbin, all of them invented: samples to be replaced by what you measured.

    >>> {bobbin.stamp for bobbin in bobbins()}
    {'SAMPLE: MEASURE YOURS'}
    """
    return tuple(row for row in all_bushes() if isinstance(row, Bobbin))


def bush(name: str) -> Bush:
    """A shipped SAMPLE bush by its name; mm, kg, N.

    name: as `bushes` lists it, capitals or not.
    Raises InputError, with the nearest names, where there is no such row.

    >>> bush("r60").od, bush("R60").stamp
    (60.0, 'SAMPLE: MEASURE YOURS')
    """
    return one_of("bush", name, bushes())


def bobbin(name: str) -> Bobbin:
    """A shipped SAMPLE bobbin by its name; mm, kg, N.

    name: as `bobbins` lists it, capitals or not.
    Raises InputError, with the nearest names, where there is no such row.

    >>> bobbin("s50").thread, bobbin("S50").first.stud  # a stud at either end
    ('M10', 28.0)
    """
    return one_of("bush", name, bobbins())


def any_bush(name: str) -> Bush | Bobbin:
    """A shipped SAMPLE row of either kind; InputError, with the nearest names, where there is none."""
    return one_of("bush", name, all_bushes())


BUSHES = TableRef("bush", shipped=bush, rows=bushes)
