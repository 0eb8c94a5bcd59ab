"""Table rows of a shop's own, from a TOML file or a bay file, looked up before the shipped ones. mm."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Protocol, TypeVar

from brackets.core import units
from brackets.core.errors import BadFile, InputError
from brackets.core.tables.bobbin_rows import Bobbin, all_bushes, bobbins, read_any_bush
from brackets.core.tables.bolt_rows import Bolt, bolt, bolts
from brackets.core.tables.bush_rows import Bush, bushes
from brackets.core.tables.lookup import NEEDED, Row, allowed, plain, unknown
from brackets.core.tables.material_rows import Material, material, materials, read_material
from brackets.core.tables.stock_rows import Plate, TubeSection, plate, plates, tube, tubes
from brackets.core.text_files import given_toml
from brackets.core.units import shown

_ROOT3 = math.sqrt(3)
_SIZES = (
    "across_flats", "head_height", "nut_across_flats", "nut_height", "washer_id", "washer_od", "washer_t",
    "large_washer_id", "large_washer_od", "large_washer_t", "hole_fine", "hole_medium", "hole_coarse",
    "tap_drill",
)  # fmt: skip
R = TypeVar("R")


def read_bolt(
    raw: Mapping[str, object], *, where: str = "bolt", bare: str = "mm", source: str = "own row"
) -> Bolt:
    """A bolt from a [[bolt]] table: `like = "M12"` and what differs, or every size; InputError otherwise.

    A new d or pitch works out the thread and its stress area afresh, ISO 898-1 form.
    """
    row = Row(raw, where, bare=bare)
    like = _like(row)
    d = row.length("d", 1, 100, default=like.d if like else NEEDED)
    pitch = row.length("pitch", 0.1, 10, default=like.pitch if like else NEEDED)
    sizes = {key: row.length(key, 0.1, 300, default=getattr(like, key, NEEDED)) for key in _SIZES}
    lengths = _lengths(row, "lengths", like.lengths if like else None)
    screws = _lengths(row, "screw_lengths", like.screw_lengths if like else lengths)
    pitch_d, minor_d = d - 3 * _ROOT3 / 8 * pitch, d - 17 * _ROOT3 / 24 * pitch
    found = Bolt(
        name=row.text("name"),
        system=like.system if like else "metric",
        series=like.series if like else "own",
        d=d,
        pitch=pitch,
        pitch_d=pitch_d,
        minor_d=minor_d,
        nut_minor_d=d - 5 * _ROOT3 / 8 * pitch,
        stress_area=math.pi / 4 * ((pitch_d + minor_d) / 2) ** 2,
        lengths=lengths,
        screw_lengths=screws,
        source=row.text("source", source),
        lock_nut_height=_maybe(row, "lock_nut_height", like.lock_nut_height if like else None),
        nylon_nut_height=_maybe(row, "nylon_nut_height", like.nylon_nut_height if like else None),
        **sizes,
    )
    if like and (d, pitch) == (like.d, like.pitch):
        found = replace(found, minor_d=like.minor_d, stress_area=like.stress_area)
    if not row.problems and minor_d <= 0:
        row.wrong("pitch", raw.get("pitch"), f"must leave metal in a thread of d {d:g} mm")
    for small, large in (("washer_id", "washer_od"), ("large_washer_id", "large_washer_od")):
        if not row.problems and not d <= sizes[small] < sizes[large]:
            row.wrong(
                large, sizes[large], f"must be over {small} {sizes[small]:g} mm, and that at least d {d:g}"
            )
    return _done(row, found)


def read_tube(
    raw: Mapping[str, object], *, where: str = "tube", bare: str = "mm", source: str = "own row"
) -> TubeSection:
    """A stock tube from a [[tube]] table: od, wall, and name if it has one; InputError otherwise."""
    row = Row(raw, where, bare=bare)
    od, wall = row.length("od", 3, 500), row.length("wall", 0.1, 50)
    if not row.problems and wall >= od / 2:
        row.wrong("wall", raw["wall"], f"must be under {od / 2:g} mm: half the od")
    name, source = row.text("name", f"{od:g} x {wall:g}"), row.text("source", source)
    return _done(row, TubeSection(od=od, wall=wall, name=name, source=source))


def read_plate(
    raw: Mapping[str, object], *, where: str = "plate", bare: str = "mm", source: str = "own row"
) -> Plate:
    """A stock thickness from a [[plate]] table: t, and name and form if given; InputError otherwise."""
    row = Row(raw, where, bare=bare)
    t = row.length("t", 0.2, 100)
    form = row.choice("form", ("sheet", "plate"), "sheet" if t <= 3 else "plate")
    name, source = row.text("name", f"{t:g} mm"), row.text("source", source)
    return _done(row, Plate(name=name, t=t, system="own", form=form, source=source))


def _done(row: Row, found: R) -> R:
    problems = row.finish()
    if problems:
        raise InputError(*problems)
    return found


def _like(row: Row) -> Bolt | None:
    if row.given("like") is None:
        return None
    name = row.text("like")
    try:
        return bolt(name or "M12")
    except InputError as wrong:
        row.problems += [f"{row.where}.like: {line}" for line in wrong.problems]
        return bolt("M12")


def _maybe(row: Row, key: str, default: float | None) -> float | None:
    return default if row.given(key) is None else row.length(key, 0.1, 300)


def _lengths(row: Row, key: str, default: tuple[float, ...] | None) -> tuple[float, ...]:
    given = row.given(key)
    if given is None and default is not None:
        return default
    if not isinstance(given, (list, tuple)) or not given:
        row.wrong(key, NEEDED if given is None else given, "must be a list of lengths such as [50, 60, 70]")
        return (0.0,)
    found = []
    for place, value in enumerate(given):
        try:
            found.append(units.length(value, bare=row.bare, name=f"{row.where}.{key}[{place}]"))
        except InputError as wrong:
            row.problems += wrong.problems
    if any(length <= 0 for length in found):
        row.wrong(key, given, "must all be over 0 mm")
    return tuple(sorted(found))


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
    own_bobbins: tuple[Bobbin, ...] = ()

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

    def bobbins(self) -> tuple[Bobbin, ...]:
        """Own bobbins, then the shipped SAMPLE rows."""
        return self.own_bobbins + bobbins()

    def bolt(self, name: str) -> Bolt:
        """The own bolt of this name, else the shipped one; InputError if neither."""
        mine = _own(self.own_bolts, name)
        if mine is not None:
            return mine
        try:
            return bolt(name)
        except InputError as wrong:
            if not self.own_bolts:
                raise
            yours = ", ".join(row.name for row in self.own_bolts)
            raise InputError(f"{wrong}; your own: {yours}") from None

    def bush(self, name: str) -> Bush:
        """The own bush of this name, else the shipped SAMPLE row; InputError if neither."""
        found = _own(self.bushes(), name)
        return unknown("bush", name, [row.name for row in self.bushes()]) if found is None else found

    def bobbin(self, name: str) -> Bobbin:
        """The own bobbin of this name, else the shipped SAMPLE row; InputError if neither."""
        found = _own(self.bobbins(), name)
        return unknown("bush", name, [row.name for row in self.bobbins()]) if found is None else found

    def material(self, name: str) -> Material:
        """The own material of this name, else the shipped one; InputError if neither."""
        for row in self.own_materials:
            if isinstance(name, str) and plain(name) in (plain(known) for known in (row.name, *row.also)):
                return row
        try:
            return material(name)
        except InputError:
            return unknown("material", name, [row.name for row in self.materials()])

    def tube(self, od: float | str, wall: float | str) -> TubeSection:
        """The own tube of exactly this od and wall, else the shipped or worked-out one."""
        found = tube(od, wall)
        same = [row for row in self.own_tubes if (row.od, row.wall) == (found.od, found.wall)]
        return same[0] if same else found

    def plate(self, size: float | str) -> Plate:
        """The own plate of this name or thickness, else the shipped one; InputError if neither."""
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
    except InputError as wrong:
        problems += wrong.problems
    if problems:
        raise BadFile(file, *problems)
    return found


def own_rows(data: Mapping[str, object], *, bare: str = "mm", source: str = "own row") -> Tables:
    """Own rows from {"bush": [{...}], ...}, bare numbers in `bare`; InputError with every wrong key at once.

    A bush that says `sample = true`, or repeats a shipped SAMPLE row, stays stamped.
    """
    problems = [f"{key} = {shown(data[key])}, {allowed(key, KINDS)}" for key in data if key not in KINDS]
    own_bolts = _read(data, "bolt", partial(read_bolt, bare=bare, source=source), problems)
    known_bolts = Tables(own_bolts=own_bolts)
    own_tubes = _read(data, "tube", partial(read_tube, bare=bare, source=source), problems)
    own_plates = _read(data, "plate", partial(read_plate, bare=bare, source=source), problems)
    own_materials = _read(data, "material", partial(read_material, source=source), problems)
    read = partial(read_any_bush, bare=bare, source=source, find_bolt=known_bolts.bolt)
    own_bushes: tuple[Bush | Bobbin, ...] = _read(data, "bush", read, problems)
    if problems:
        raise InputError(*problems)
    return Tables(
        own_bolts=own_bolts,
        own_tubes=own_tubes,
        own_plates=own_plates,
        own_materials=own_materials,
        own_bushes=tuple(_still_sample(row) for row in own_bushes if isinstance(row, Bush)),
        own_bobbins=tuple(_still_sample(row) for row in own_bushes if isinstance(row, Bobbin)),
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
        except InputError as wrong:
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


A = TypeVar("A", Bush, Bobbin)


def _still_sample(row: A) -> A:
    shipped = _own(all_bushes(), row.name)
    same = shipped is not None and replace(row, sample=True, source=shipped.source) == shipped
    return replace(row, sample=True) if same else row
