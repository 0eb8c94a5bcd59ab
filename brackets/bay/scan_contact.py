"""How deep a part may stand in a scan that it is declared to touch: what the scan is not true by.

The noise of a scan lies in front of and behind the true surface, so that a face set on it shares a little with
every bump. Common volume says nothing there; how far the part must be drawn out to be free of the scan does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from brackets.bay.record import Bay
from brackets.bay.rows import KeepOut

SCAN = 0.5
"""How true a mesh is taken to be where neither it nor a boss of the part says, mm either way: as a boss's default;
common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Allowed:
    """How deep, `mm`, one of a declared pair may stand in the other, and where that is from."""

    mm: float
    whence: str


def allowed_depths(bay: Bay) -> Mapping[frozenset[str], Allowed]:
    """Of every declared contact of a part with a mesh, or with a keep-out whose `pos` is typed."""
    bosses = {entry.row.name: entry.row.bosses for entry in bay.parts}
    found = {}
    for contact in bay.contacts:
        for name, other in (contact.pair, contact.pair[::-1]):
            keep_out = bay.keep_out_by_name.get(name)
            if keep_out is not None and (keep_out.mesh is not None or keep_out.pos is not None):
                found[frozenset(contact.pair)] = _allowed(bay, keep_out, bosses.get(other, ()))
    return found


def _allowed(bay: Bay, keep_out: KeepOut, bosses: Sequence[str]) -> Allowed:
    if keep_out.pos is not None:
        return Allowed(mm=keep_out.pos, whence=f"pos of {keep_out.name}")
    known = [bay.boss_by_name[name] for name in bosses if name in bay.boss_by_name]
    if known:
        worst = max(known, key=lambda boss: boss.pos)
        return Allowed(mm=worst.pos, whence=f"pos of boss {worst.name}, since {keep_out.name} has none")
    return Allowed(mm=SCAN, whence=f"taken for a scan, since {keep_out.name} has no pos")
