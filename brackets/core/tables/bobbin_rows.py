"""Bobbins (stud bushes): rubber or poly bonded between two plates with a thread at each end; any row of a bush.

mm, kg, N. A bobbin's z is its axis, from its first end to its second. Every shipped row is invented.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache

from brackets.core.errors import InputError
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.bush_rows import (
    BOBBIN_KINDS,
    BUSH_KINDS,
    SAMPLE,
    AnyBush,
    Bush,
    bolt_d,
    bushes,
    called,
    common,
    maybe,
    read_bush,
)
from brackets.core.tables.lookup import Row, toml_rows

LEAST_RUBBER = 1.0
"""mm between the plates of a bobbin: less is no bush."""


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


@cache
def bobbins() -> tuple[Bobbin, ...]:
    """Every shipped bobbin, all of them invented: samples to be replaced by what you measured.

    >>> {bobbin.stamp for bobbin in bobbins()}
    {'SAMPLE: MEASURE YOURS'}
    """
    return tuple(
        read_bobbin(row, where=f"bush {row['name']}", sample=True, source=SAMPLE)
        for row in toml_rows("bushes.toml", "bush")
        if row["kind"] in BOBBIN_KINDS
    )


def bobbin(name: str) -> Bobbin:
    """A shipped SAMPLE bobbin by its name; mm, kg, N.

    name: as `bobbins` lists it, capitals or not.
    Raises InputError, with the nearest names, where there is no such row.

    >>> bobbin("s50").thread, bobbin("S50").first.stud  # a stud at either end
    ('M10', 28.0)
    """
    return called(name, bobbins())


def all_bushes() -> tuple[Bush | Bobbin, ...]:
    """Every shipped row of either kind."""
    return (*bushes(), *bobbins())


def any_bush(name: str) -> Bush | Bobbin:
    """A shipped SAMPLE row of either kind; InputError, with the nearest names, where there is none."""
    return called(name, all_bushes())


def read_any_bush(
    raw: Mapping[str, object],
    *,
    where: str = "bush",
    bare: str = "mm",
    sample: bool = False,
    source: str = "own row",
    find_bolt: Callable[[str], Bolt] = bolt,
) -> Bush | Bobbin:
    """A bush of either kind from the keys of a [[bush]] table; InputError with every wrong key at once."""
    if raw.get("kind") in BOBBIN_KINDS:
        return read_bobbin(raw, where=where, bare=bare, sample=sample, source=source, find_bolt=find_bolt)
    kinds = (*BUSH_KINDS, *BOBBIN_KINDS)
    return read_bush(
        raw, where=where, bare=bare, sample=sample, source=source, find_bolt=find_bolt, kinds=kinds
    )


def read_bobbin(
    raw: Mapping[str, object],
    *,
    where: str = "bush",
    bare: str = "mm",
    sample: bool = False,
    source: str = "own row",
    find_bolt: Callable[[str], Bolt] = bolt,
) -> Bobbin:
    """A bobbin from the keys of a [[bush]] table; InputError with every wrong key at once."""
    row = Row(raw, where, bare=bare)
    od, height = row.length("od", 10, 300), row.length("height", 5, 300)
    plate_t = row.length("plate_t", 0.5, 20)
    plate_od = row.length("plate_od", 5, 300, default=od)
    thread_d = bolt_d(row, find_bolt, "thread")
    if not row.problems and height - 2 * plate_t < LEAST_RUBBER:
        most = f"at most {(height - LEAST_RUBBER) / 2:g} mm"
        row.wrong("plate_t", raw["plate_t"], f"must be {most}: rubber is left between two of them")
    if not row.problems and plate_od <= thread_d:
        row.wrong("plate_od", plate_od, f"must be over the thread's {thread_d:g} mm")
    first, second = (_end(row, key, height - plate_t) for key in ("first", "second"))
    deep = (first.tapped or 0.0) + (second.tapped or 0.0)
    if not row.problems and deep >= height:
        most = f"must be under {height - (first.tapped or 0.0):g} mm: it ends before the other hole"
        row.wrong("second.tapped", second.tapped, most)
    found = Bobbin(
        **common(row, sample, source, BOBBIN_KINDS),
        od=od,
        height=height,
        plate_t=plate_t,
        plate_od=plate_od,
        thread=row.text("thread"),
        first=first,
        second=second,
    )
    problems = row.finish()
    if problems:
        raise InputError(*problems)
    return found


def _end(row: Row, key: str, deepest: float) -> BobbinEnd:
    """One end of a bobbin: a stud or a tapped hole, which stays out of the other end's plate."""
    inner = row.table(key)
    stud = maybe(inner, "stud", inner.length, 3, 200)
    tapped = maybe(inner, "tapped", inner.length, 2, 200)
    row.take(inner)
    if not row.problems and (stud is None) == (tapped is None):
        there = "both stud and tapped" if stud is not None else "neither stud nor tapped"
        row.problems.append(f"{row.where}.{key} = {there}, must have one of the two: how its thread is")
    elif not row.problems and tapped is not None and tapped >= deepest:
        row.wrong(f"{key}.tapped", tapped, f"must be under {deepest:g} mm: it ends before the other plate")
    return BobbinEnd(stud=stud, tapped=tapped)
