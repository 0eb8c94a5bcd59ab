"""Snubbers, capture washers and pads of a bay as the mechanics take them: stops. mm, N/mm, axes of the bay."""

from __future__ import annotations

from collections.abc import Iterator

from brackets.bay.schema.loads import SnubberRow
from brackets.bay.schema.record import Bay
from brackets.core.finding import PRACTICE
from brackets.core.vectors import Vec, scale
from brackets.hang.mount import SOLID_STOP, Stop


def stops_of(bay: Bay) -> tuple[tuple[Stop, ...], tuple[str, ...]]:
    """Every stop of a bay, a snubber that works both ways as two, "NAME" and "NAME, back"; and what is assumed."""
    mounts = {row.name: row for row in bay.mounts}
    stops: list[Stop] = []
    notes = []
    for row in bay.snubbers:
        mount = mounts.get(row.mount) if row.mount is not None else None
        at = row.at if row.at is not None else mount.at if mount is not None else None
        assert at is not None  # as the row says
        of = "" if mount is None else mount.link_part or mount.name
        made = tuple(_stops(row, at, of))
        stops += made
        if row.stiffness is None:
            notes.append(f"snubber {row.name}: solid, taken as {SOLID_STOP:g} N/mm once it is closed: {PRACTICE}")
    return tuple(stops), tuple(notes)


def _stops(row: SnubberRow, at: Vec, of: str) -> Iterator[Stop]:
    stiff = SOLID_STOP if row.stiffness is None else row.stiffness
    yield Stop(
        name=row.name, at=at, direction=row.direction, gap=row.gap, stiffness=stiff, carries=row.carries, of=of
    )
    if row.gap_back is not None:
        away = scale(row.direction, -1.0)
        yield Stop(name=f"{row.name}, back", at=at, direction=away, gap=row.gap_back, stiffness=stiff, of=of)
