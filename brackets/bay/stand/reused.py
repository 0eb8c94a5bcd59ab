"""Parts of a bay that stand as they stood before a value of another part changed: not built anew."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from brackets.bay.schema.record import Bay, PartEntry
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart

Standing = Callable[[PartEntry], PlacedPart | None]


def standing_still(was: PlacedBay | None, bay: Bay) -> Standing:
    """A function that gives the part of an entry as `was` has it, None where anything it depends on may be another.

    A part depends on its own values and on all of the bay but the values of other parts; on files beside the bay
    too where a value is read from one ("@file.csv"): such a part is never taken. Recipes are not looked at.
    """
    if was is None or _without_values(was.bay) != _without_values(bay):
        return lambda _: None
    before = was.bay.part_by_name
    parts = {part.name: part for part in was.parts}

    def found(entry: PartEntry) -> PlacedPart | None:
        name = entry.row.name
        same = before.get(name) == entry and not any(map(_is_file, entry.values.values()))
        return parts.get(name) if same else None

    return found


def _without_values(bay: Bay) -> Bay:
    return replace(bay, parts=tuple(replace(entry, values={}) for entry in bay.parts))


def _is_file(value: object) -> bool:
    return isinstance(value, str) and value.startswith("@")
