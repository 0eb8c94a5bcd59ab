"""Reads a bolt, a tube or a plate row somebody typed; mm."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import TypeVar

from brackets import units
from brackets.errors import OutOfRange
from brackets.tables.bolt_rows import Bolt, bolt
from brackets.tables.plate_rows import Plate
from brackets.tables.reader import NEEDED, Row
from brackets.tables.tube_rows import TubeSection

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
    """A bolt from a [[bolt]] table: `like = "M12"` and what differs, or every size; OutOfRange otherwise.

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
    """A stock tube from a [[tube]] table: od, wall, and name if it has one; OutOfRange otherwise."""
    row = Row(raw, where, bare=bare)
    od, wall = row.length("od", 3, 500), row.length("wall", 0.1, 50)
    if not row.problems and wall >= od / 2:
        row.wrong("wall", raw["wall"], f"must be under {od / 2:g} mm: half the od")
    name, source = row.text("name", f"{od:g} x {wall:g}"), row.text("source", source)
    return _done(row, TubeSection(od=od, wall=wall, name=name, source=source))


def read_plate(
    raw: Mapping[str, object], *, where: str = "plate", bare: str = "mm", source: str = "own row"
) -> Plate:
    """A stock thickness from a [[plate]] table: t, and name and form if given; OutOfRange otherwise."""
    row = Row(raw, where, bare=bare)
    t = row.length("t", 0.2, 100)
    form = row.choice("form", ("sheet", "plate"), "sheet" if t <= 3 else "plate")
    name, source = row.text("name", f"{t:g} mm"), row.text("source", source)
    return _done(row, Plate(name=name, t=t, system="own", form=form, source=source))


def _done(row: Row, found: R) -> R:
    problems = row.finish()
    if problems:
        raise OutOfRange(*problems)
    return found


def _like(row: Row) -> Bolt | None:
    if row.given("like") is None:
        return None
    name = row.text("like")
    try:
        return bolt(name or "M12")
    except OutOfRange as wrong:
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
        except OutOfRange as wrong:
            row.problems += wrong.problems
    if any(length <= 0 for length in found):
        row.wrong(key, given, "must all be over 0 mm")
    return tuple(sorted(found))
