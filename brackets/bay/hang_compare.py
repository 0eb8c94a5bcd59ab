"""A bay with its bushes of other materials: the same sizes in rubber, poly or as solid ones, side by side.

What each is worth, the user says: more comes through a stiffer bush and less moves. N, mm, degrees, Hz.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from brackets.bay.hang_study import movements_of, through_of
from brackets.bay.hanging import Hanging, hanging
from brackets.bay.hung.on_bushes import OnBushes, on_bushes
from brackets.bay.schema.record import Bay
from brackets.core.errors import InputError, joined
from brackets.core.finding import PRACTICE
from brackets.core.tables.bush_rows import AnyBush, Bobbin, Bush
from brackets.hang.bush import DIRECTIONS, MATERIALS, SOLID, BushSprings, Material, bobbin_springs, bush_springs
from brackets.hang.hardness import POLY, RUBBER
from brackets.hang.measured import Known
from brackets.hang.mount import Mount

HARDNESS: Mapping[str, float] = {"rubber": 60.0, "poly": 80.0}
"""IRHD of rubber and Shore A of poly where the row has none and none is typed: common practice, no source."""
NONE = Known(value=0.0, low=0.0, high=0.0, how="taken as none")


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One material to compare, and its hardness where one is typed."""

    material: Material
    hardness: float | None = None


@dataclass(frozen=True, kw_only=True)
class Compared:
    """A bay with one kind of bush, every figure at its worst.

    name: "as typed", "rubber 60"; load: largest force of a mount, N, load_at: which and in which case; sag: how far
    the centre of mass sinks by the weight alone, mm; moved, turned: most that a case moves the centre of mass, mm,
    and turns the powertrain, degrees, from the place as drawn, moved_in, turned_in: the cases; hz: lowest and
    highest frequency; idle: largest force at a mount for each Nm of the firing couple at idle, N, slowly: the same
    were the couple at rest, both None where it is not typed how it idles; findings: how many by code; notes.
    """

    name: str
    load: float
    load_at: tuple[str, str]
    sag: float
    moved: float
    moved_in: str
    turned: float
    turned_in: str
    hz: tuple[float, float]
    idle: float | None
    slowly: float | None
    findings: Mapping[str, int]
    notes: tuple[str, ...]


def materials_of(text: str) -> tuple[Asked, ...]:
    """Materials as they are typed: "rubber,poly,solid", or with a hardness, "rubber:50,rubber:65,poly:90".

    Raises InputError with everything that is wrong.

    >>> [(each.material, each.hardness) for each in materials_of("rubber:50,solid")]
    [('rubber', 50.0), ('solid', None)]
    """
    made, wrong = [], []
    for word in text.split(","):
        name, colon, said = (part.strip() for part in word.partition(":"))
        limits = {"rubber": RUBBER, "poly": POLY}.get(name)
        if name not in MATERIALS:
            wrong.append(f"--compare = {word.strip() or 'nothing'}, must be one of {', '.join(MATERIALS)}")
            continue
        hardness = None
        if colon:
            try:
                hardness = float(said)
            except ValueError:
                hardness = math.nan
            if limits is None:
                wrong.append(f"--compare = {word.strip()}, must be solid alone: it has no hardness")
            elif not limits[0] <= hardness <= limits[1]:
                scale = "IRHD" if name == "rubber" else "Shore A"
                must = f"must be {limits[0]:g} to {limits[1]:g}: {scale} of {name}"
                wrong.append(f"--compare = {word.strip()}, {must}")
        made.append(Asked(material=name, hardness=hardness))
    if wrong:
        raise InputError(*wrong)
    return tuple(dict.fromkeys(made))


def compared(hung: Hanging, asked: Sequence[Asked]) -> tuple[Compared, ...]:
    """The bay as typed, then with every bush in each material that is asked for.

    Raises InputError with everything that is wrong: sizes that are beyond the table of bonded bushes.
    """
    return (_column("as typed", hung, ()), *(_swapped(hung.bay, each) for each in asked))


def _swapped(bay: Bay, asked: Asked) -> Compared:
    wrong: list[InputError] = []
    springs: dict[str, dict[str, Known]] = {}
    notes: list[str] = []
    hard: set[float] = set()
    for name in dict.fromkeys(row.bush for row in bay.mounts):
        row = bay.bush_of(next(mount for mount in bay.mounts if mount.bush == name))
        try:
            found, hardness, said = _springs(row, asked)
        except InputError as error:
            wrong.append(InputError(*(f"bush {name} of {asked.material}: {line}" for line in error.problems)))
            continue
        springs[name] = {way: getattr(found, way) or NONE for way in DIRECTIONS}
        notes += [f"bush {name}: {one}" for one in said]
        hard |= set() if hardness is None else {hardness}
    if wrong:
        raise joined(wrong)
    on = _without_limits(on_bushes(bay, springs), shaken=asked.material == "rubber")
    figures = "" if not hard else f" {min(hard):g}" if len(hard) == 1 else f" {min(hard):g} to {max(hard):g}"
    return _column(f"{asked.material}{figures}", hanging(replace(bay, expected=()), on), notes)


def _springs(row: AnyBush, asked: Asked) -> tuple[BushSprings, float | None, list[str]]:
    """Springs, the hardness they are worked out from, and what was assumed."""
    rubber = row.rubber if isinstance(row, Bush) else None
    own = rubber.hardness if rubber is not None and asked.material == "rubber" else None
    hardness, notes = asked.hardness, []
    if asked.material != "solid" and hardness is None:
        hardness = own if own is not None else HARDNESS[asked.material]
        if own is None:
            scale = "IRHD" if asked.material == "rubber" else "Shore A"
            notes.append(f"taken as {hardness:g} {scale}: {PRACTICE}")
    if isinstance(row, Bobbin):
        if hardness is None:
            rigid = Known(value=SOLID, low=SOLID / 2, high=SOLID, how="as good as rigid")
            tilt = Known(value=SOLID * row.od**2 / 12, low=SOLID * row.od**2 / 24, high=SOLID * row.od**2 / 12,
                         how=rigid.how)  # fmt: skip
            return BushSprings(radial=rigid, axial=rigid, torsion=tilt, conical=tilt), None, notes
        material: Literal["rubber", "poly"] = "rubber" if asked.material == "rubber" else "poly"
        return bobbin_springs(row.od, row.rubber_length, hardness, material=material), hardness, notes
    assert isinstance(row, Bush)
    if rubber is not None:
        sizes = rubber.inner_r, rubber.outer_r, rubber.length
    else:
        sizes = row.sleeve_od / 2, row.od / 2, row.shell_length
        if asked.material != "solid":
            notes.append("all between sleeve and outside is taken as filled: its shell's wall is not typed")
    found = bush_springs(asked.material, *sizes, hardness)
    return found, hardness, notes + [note.removeprefix("poly: ") for note in found.notes]


def _without_limits(on: OnBushes, *, shaken: bool) -> OnBushes:
    """The same without the load and travel of the rows, which are those of another material; a row's stiffness when
    shaken over that at rest stays for rubber alone."""
    mounts = tuple(
        Mount(
            name=mount.name, position=mount.position, rotation=mount.rotation, stiffness=mount.stiffness,
            torsion=mount.torsion, low=mount.low, high=mount.high, late=mount.late,
            dynamic=mount.dynamic if shaken else 1.0,
        )
        for mount in on.mounts
    )  # fmt: skip
    return replace(on, mounts=mounts)


def _column(name: str, hung: Hanging, notes: Sequence[str]) -> Compared:
    forces = [
        (math.hypot(*state.force), (state.mount, result.case.name))
        for result in hung.results for state in result.mounts
    ]  # fmt: skip
    movements = movements_of(hung)
    moved = max(movements, key=lambda each: math.hypot(*each.moved[:3]))
    turned = max(movements, key=lambda each: math.hypot(*each.moved[3:]))
    through = through_of(hung)
    load, at = max(forces)
    return Compared(
        name=name, load=load, load_at=at, sag=-float(hung.results[0].found.rest[2]),
        moved=math.hypot(*moved.moved[:3]), moved_in=moved.case,
        turned=math.hypot(*turned.moved[3:]), turned_in=turned.case,
        hz=(float(hung.modes.hz[0]), float(hung.modes.hz[-1])),
        idle=None if through is None else float(through.idle.max()),
        slowly=None if through is None else float(through.slowly.max()),
        findings=Counter(finding.code for finding in hung.findings), notes=tuple(dict.fromkeys(notes)),
    )  # fmt: skip
