"""Bushes: sleeve bushes and bobbins; mm, kg, N, stiffness N/mm and N mm/rad at rest (static).

Axis: radial is square to the sleeve or the bobbin, axial along it, torsion about it. Every shipped row is invented.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, Protocol, TypeVar

from brackets.core.errors import InputError
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.lookup import NEEDED, Row, plain, toml_rows, unknown

SAMPLE = "SAMPLE: MEASURE YOURS"
ROUNDING = 1e-9
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
class AnyBush:
    """What a row says of a bush of any kind; mm, kg, N.

    load: N; heat: degrees C; travel_radial, travel_axial: mm each way; stiffness_radial, stiffness_axial: N/mm,
    stiffness_torsion: N mm/rad, at rest; known: how these are known; dynamic: dynamic over static stiffness;
    sample: whether the row is invented. Load, heat, stiffness and tilt are None where the row does not say: nothing
    is computed from load, heat and stiffness.
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


@cache
def bushes() -> tuple[Bush, ...]:
    """Every shipped sleeve bush, all of them invented: samples to be replaced by what you measured.

    >>> {bush.stamp for bush in bushes()}
    {'SAMPLE: MEASURE YOURS'}
    """
    return tuple(
        read_bush(row, where=f"bush {row['name']}", sample=True, source=SAMPLE)
        for row in toml_rows("bushes.toml", "bush")
        if row["kind"] in BUSH_KINDS
    )


def bush(name: str) -> Bush:
    """A shipped SAMPLE bush by its name; mm, kg, N.

    name: as `bushes` lists it, capitals or not.
    Raises InputError, with the nearest names, where there is no such row.

    >>> bush("r60").od, bush("R60").stamp
    (60.0, 'SAMPLE: MEASURE YOURS')
    """
    return called(name, bushes())


B = TypeVar("B", bound=AnyBush)


def called(name: str, rows: Sequence[B]) -> B:
    """The row of that name, capitals or not; InputError, with the nearest names, where there is none."""
    for row in rows:
        if isinstance(name, str) and plain(row.name) == plain(name):
            return row
    return unknown("bush", name, [row.name for row in rows])


def read_bush(
    raw: Mapping[str, object],
    *,
    where: str = "bush",
    bare: str = "mm",
    sample: bool = False,
    source: str = "own row",
    find_bolt: Callable[[str], Bolt] = bolt,
    kinds: Sequence[str] = BUSH_KINDS,
) -> Bush:
    """A sleeve bush from the keys of a [[bush]] table; InputError with every wrong key at once. `kinds`: what
    is said to be allowed where it is of none."""
    row = Row(raw, where, bare=bare)
    od = row.length("od", 10, 300)
    sleeve_od = row.length("sleeve_od", 4, 150)
    bore = row.length("sleeve_bore", 3, 120)
    if not row.problems and not bore < sleeve_od < od:
        row.wrong("sleeve_od", raw["sleeve_od"], f"must be over the bore {bore:g} and under the od {od:g} mm")
    through = bolt_d(row, find_bolt)
    if not row.problems and through > bore:
        row.wrong("bolt", raw.get("bolt"), f"must pass through the sleeve bore of {bore:g} mm")
    shell_length, sleeve_length = row.length("shell_length", 3, 300), row.length("sleeve_length", 3, 400)
    end_flange = row.length("end_flange", 0, 50, default=0.0)
    offset = row.length("sleeve_offset", -200, 200, default=0.0)
    past = (sleeve_length - shell_length) / 2 - end_flange
    if not row.problems and offset and abs(offset) > past + ROUNDING:
        most = f"at most {past:g} mm either way" if past > 0 else "0"
        row.wrong("sleeve_offset", raw["sleeve_offset"], f"must be {most}: the sleeve reaches past both ends")
    flange_od = _flange_od(row, od, end_flange)
    rubber = _rubber(row, sleeve_od / 2, od / 2)
    found = Bush(
        **common(row, sample, source, kinds),
        od=od,
        shell_length=shell_length,
        sleeve_od=sleeve_od,
        sleeve_bore=bore,
        sleeve_length=sleeve_length,
        sleeve_offset=offset,
        bolt=row.text("bolt"),
        end_flange=end_flange,
        flange_od=flange_od,
        rubber=rubber,
    )
    problems = row.finish()
    if problems:
        raise InputError(*problems)
    return found


def common(row: Row, sample: bool, source: str, kinds: Sequence[str]) -> dict[str, Any]:
    """What a row of either kind says beside its sizes."""
    soft, moves = row.table("stiffness"), row.table("travel")
    found = {
        "name": row.text("name"),
        "kind": row.choice("kind", kinds),
        "mass": row.mass("mass", 0, 50),
        "load": maybe(row, "load", row.force, 0, 1e6),
        "heat": maybe(row, "heat", row.number, -50, 500),
        "travel_radial": moves.length("radial", 0, 100),
        "travel_axial": moves.length("axial", 0, 100),
        "travel_tilt": maybe(moves, "tilt", moves.number, 0, 45),
        "stiffness_radial": maybe(soft, "radial", soft.number, 1e-3, 1e7),
        "stiffness_axial": maybe(soft, "axial", soft.number, 1e-3, 1e7),
        "stiffness_torsion": maybe(soft, "torsion", soft.number, 0, 1e10),
        "known": soft.text("known", "not said how"),
        "dynamic": row.number("dynamic", 1, 10, default=1.0),
        "sample": sample or row.yes_no("sample"),
        "source": row.text("source", source),
    }
    row.take(soft)
    row.take(moves)
    return found


class _Measures(Protocol):
    def __call__(self, key: str, lo: float, hi: float, /) -> float: ...


def maybe(row: Row, key: str, read: _Measures, lo: float, hi: float) -> float | None:
    """A figure that a row may leave out."""
    return None if row.given(key) is None else read(key, lo, hi)


def bolt_d(row: Row, find_bolt: Callable[[str], Bolt], key: str = "bolt") -> float:
    """Diameter, mm, of the bolt a bush row names; 0 with the problem noted if there is no such bolt."""
    name = row.text(key)
    try:
        return find_bolt(name).d
    except InputError as wrong:
        row.problems += [f"{row.where}.{key}{line.removeprefix('bolt')}" for line in wrong.problems]
        return 0.0


def _flange_od(row: Row, od: float, end_flange: float) -> float | None:
    """Outside of the flanges of a bush of three pieces, which has both sizes of them; None of any other."""
    if row.raw.get("kind") not in THREE_PIECES:
        if row.given("flange_od") is not None:
            row.wrong("flange_od", row.raw["flange_od"], f"only where kind is {' or '.join(THREE_PIECES)}")
        return None
    found = row.length("flange_od", 10, 400)
    if not row.problems and found <= od:
        row.wrong("flange_od", row.raw["flange_od"], f"must be over the od {od:g} mm: it stays outside the cup")
    if row.given("end_flange") is None:
        row.wrong("end_flange", NEEDED, "must be over 0 to 50 mm: how thick each flange is")
    elif not row.problems and end_flange <= 0:
        row.wrong("end_flange", row.raw["end_flange"], "must be over 0 mm: how thick each flange is")
    if row.given("rubber") is not None:
        row.wrong("rubber", row.raw["rubber"], "not where kind is of three pieces: nothing is bonded in a shell")
    return found


def _rubber(row: Row, sleeve_r: float, shell_r: float) -> Rubber | None:
    if row.given("rubber") is None:
        return None
    inner = row.table("rubber")
    found = Rubber(
        inner_r=inner.length("inner_r", 1, 150),
        outer_r=inner.length("outer_r", 1, 150),
        length=inner.length("length", 1, 400),
        hardness=inner.number("hardness", 20, 98),
    )
    if not inner.problems and not row.problems and not sleeve_r <= found.inner_r < found.outer_r <= shell_r:
        inner.wrong(
            "outer_r",
            found.outer_r,
            f"must lie with inner_r {found.inner_r:g} between sleeve {sleeve_r:g} and shell {shell_r:g} mm",
        )
    row.take(inner)
    return found
