"""A shop's own rows, from a TOML file or the rows of a bay file, looked up before the shipped ones."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Protocol, TypeVar

from brackets.errors import BadFile, OutOfRange
from brackets.given import given_toml
from brackets.tables.bolt_rows import Bolt, bolt, bolts
from brackets.tables.bush_rows import Bush, bush, bushes, read_bush
from brackets.tables.lookup import allowed, plain, unknown
from brackets.tables.material_rows import Material, material, materials, read_material
from brackets.tables.plate_rows import Plate, plate, plates
from brackets.tables.read_rows import read_bolt, read_plate, read_tube
from brackets.tables.tube_rows import TubeSection, tube, tubes
from brackets.units import shown

FORMAT = 1
"""Format number of a file of own rows."""
KINDS = ("bolt", "tube", "plate", "material", "bush")


class _Named(Protocol):
    @property
    def name(self) -> str: ...


N = TypeVar("N", bound=_Named)


@dataclass(frozen=True, kw_only=True)
class Tables:
    """Own rows before the shipped ones; the same look-ups as the module's functions."""

    own_bolts: tuple[Bolt, ...] = ()
    own_tubes: tuple[TubeSection, ...] = ()
    own_plates: tuple[Plate, ...] = ()
    own_materials: tuple[Material, ...] = ()
    own_bushes: tuple[Bush, ...] = ()

    def bolts(self) -> tuple[Bolt, ...]:
        """Own bolts, then the shipped."""
        return self.own_bolts + bolts()

    def tubes(self) -> tuple[TubeSection, ...]:
        """Own tube, then the shipped."""
        return self.own_tubes + tubes()

    def plates(self) -> tuple[Plate, ...]:
        """Own flat stock, then the shipped."""
        return self.own_plates + plates()

    def materials(self) -> tuple[Material, ...]:
        """Own materials, then the shipped."""
        return self.own_materials + materials()

    def bushes(self) -> tuple[Bush, ...]:
        """Own bushes, then the shipped SAMPLE rows."""
        return self.own_bushes + bushes()

    def bolt(self, name: str) -> Bolt:
        """The own bolt of this name, else the shipped one; OutOfRange if neither."""
        mine = _own(self.own_bolts, name)
        if mine is not None:
            return mine
        try:
            return bolt(name)
        except OutOfRange as wrong:
            if not self.own_bolts:
                raise
            yours = ", ".join(row.name for row in self.own_bolts)
            raise OutOfRange(f"{wrong}; your own: {yours}") from None

    def bush(self, name: str) -> Bush:
        """The own bush of this name, else the shipped SAMPLE row; OutOfRange if neither."""
        mine = _own(self.own_bushes, name)
        if mine is not None:
            return mine
        shipped = _own(bushes(), name)
        return bush(name) if shipped else unknown("bush", name, [row.name for row in self.bushes()])

    def material(self, name: str) -> Material:
        """The own material of this name, else the shipped one; OutOfRange if neither."""
        for row in self.own_materials:
            if isinstance(name, str) and plain(name) in (plain(known) for known in (row.name, *row.also)):
                return row
        try:
            return material(name)
        except OutOfRange:
            return unknown("material", name, [row.name for row in self.materials()])

    def tube(self, od: float | str, wall: float | str) -> TubeSection:
        """The own tube of exactly this od and wall, else the shipped or worked-out one."""
        found = tube(od, wall)
        same = [row for row in self.own_tubes if (row.od, row.wall) == (found.od, found.wall)]
        return same[0] if same else found

    def plate(self, size: float | str) -> Plate:
        """The own plate of this name or thickness, else the shipped one; OutOfRange if neither."""
        mine = _own(self.own_plates, size) if isinstance(size, str) else None
        mine = mine or next((row for row in self.own_plates if row.t == size), None)
        return mine or plate(size)


def load_rows(path: str | Path) -> Tables:
    """Own rows from a TOML file of [[bolt]], [[tube]], [[plate]], [[material]], [[bush]]; `unit` mm or in.

    BadFile with every wrong key of every row at once.
    """
    file = Path(path)
    data = given_toml(file, what="own rows")
    problems = list(_top_level(data))
    bare = data.get("unit", "mm")
    try:
        rows = {kind: data[kind] for kind in KINDS if kind in data}
        found = own_rows(rows, bare=bare if bare in ("mm", "in") else "mm", source=f"own row, {file.name}")
    except OutOfRange as wrong:
        problems += wrong.problems
    if problems:
        raise BadFile(file, *problems)
    return found


def own_rows(data: Mapping[str, object], *, bare: str = "mm", source: str = "own row") -> Tables:
    """Own rows from {"bush": [{...}], ...}, bare numbers in `bare`; OutOfRange with every wrong key at once.

    A bush that says `sample = true`, or repeats a shipped SAMPLE row, stays stamped.
    """
    problems = [f"{key} = {shown(data[key])}, {allowed(key, KINDS)}" for key in data if key not in KINDS]
    own_bolts = _read(data, "bolt", partial(read_bolt, bare=bare, source=source), problems)
    known_bolts = Tables(own_bolts=own_bolts)
    own_tubes = _read(data, "tube", partial(read_tube, bare=bare, source=source), problems)
    own_plates = _read(data, "plate", partial(read_plate, bare=bare, source=source), problems)
    own_materials = _read(data, "material", partial(read_material, source=source), problems)
    read = partial(read_bush, bare=bare, source=source, find_bolt=known_bolts.bolt)
    own_bushes = _read(data, "bush", read, problems)
    if problems:
        raise OutOfRange(*problems)
    return Tables(
        own_bolts=own_bolts,
        own_tubes=own_tubes,
        own_plates=own_plates,
        own_materials=own_materials,
        own_bushes=tuple(_still_sample(row) for row in own_bushes),
    )


def _top_level(data: Mapping[str, object]) -> Iterator[str]:
    keys = ("format", "unit", *KINDS)
    for key in data:
        if key not in keys:
            yield f"{key} = {shown(data[key])}, no such key: {allowed(key, keys)}"
    told = data.get("format", FORMAT)
    if told != FORMAT or isinstance(told, bool):
        yield f"format = {shown(told)}, must be {FORMAT}: the format this version reads"
    if data.get("unit", "mm") not in ("mm", "in"):
        yield f"unit = {shown(data['unit'])}, must be mm or in: the unit of numbers written without one"


def _read(
    data: Mapping[str, object], kind: str, read: Callable[..., N], problems: list[str]
) -> tuple[N, ...]:
    given = data.get(kind, ())
    if not isinstance(given, (list, tuple)):
        problems.append(f"{kind} = {shown(given)}, must be [[{kind}]] rows")
        return ()
    found: list[N] = []
    for place, raw in enumerate(given, start=1):
        if not isinstance(raw, Mapping):
            problems.append(f"{kind} {place} = {shown(raw)}, must be a [[{kind}]] row of key = value")
            continue
        name = raw.get("name")
        where = f"{kind} {name}" if isinstance(name, str) and name.isprintable() else f"{kind} {place}"
        try:
            row = read(raw, where=where)
        except OutOfRange as wrong:
            problems += wrong.problems
            continue
        if _own(tuple(found), row.name) is not None:
            problems.append(
                f'{where}.name = "{row.name}", must be another name: an earlier [[{kind}]] has it'
            )
        found.append(row)
    return tuple(found)


def _own(rows: tuple[N, ...], name: object) -> N | None:
    if not isinstance(name, str):
        return None
    return next((row for row in rows if plain(row.name) == plain(name)), None)


def _still_sample(row: Bush) -> Bush:
    shipped = _own(bushes(), row.name)
    same = shipped is not None and replace(row, sample=True, source=shipped.source) == shipped
    return replace(row, sample=True) if same else row
