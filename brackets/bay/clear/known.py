"""How well each body of a bay is known, and what is spare of a gap when that is taken off.

A keep-out is known as its `pos` says, or that of the whole file. What is made stands where what it is fixed to
really is: a part is out by the worst of the bosses it is bolted to and of the keep-outs that its mounts stand on,
a bush or bolt by the part of its side that holds it; where it is fixed to nothing that was measured, it stands as
typed. Of a pair both count in full: the worst case, not the likely one. What meets in one mount is set by its
bush, whatever the tape said of rail and engine: nothing is taken off between the two halves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody

Both = frozenset[str]


@dataclass(frozen=True, kw_only=True)
class Known:
    """`pos`: mm either way by name of body, None where nobody said; `joined`: pairs that meet in one mount."""

    pos: Mapping[str, float | None]
    joined: frozenset[Both] = frozenset()

    def between(self, a: str, b: str) -> float | None:
        """± of a gap: that of both bodies together, mm; None where one of the two is not known."""
        if frozenset((a, b)) in self.joined:
            return 0.0
        one, other = self.pos.get(a), self.pos.get(b)
        return None if one is None or other is None else one + other

    def less(self, a: str, b: str, spare: float) -> float | None:
        """What is spare of a gap less its ±, mm; None where that is not known."""
        pos = self.between(a, b)
        return None if pos is None else spare - pos


def known(bay: Bay, things: Sequence[BayBody]) -> Known:
    """How well every body of a bay is known."""
    parts = {entry.row.name: _part(bay, entry.row.name) for entry in bay.parts}
    found = {keep_out.name: bay.pos_of(keep_out) for keep_out in bay.keep_outs} | parts
    bosses = {f"{boss.name} bolt": boss.pos for boss in bay.bosses}
    for thing in things:
        if thing.name in found:
            continue
        holders = [
            parts[part]
            for mount in bay.mounts
            if mount.name in thing.mounts
            for part in (mount.chassis_part if thing.side == "chassis" else mount.powertrain_part,)
            if part is not None
        ]
        if thing.holds is None:
            found[thing.name] = _worst(holders)
        else:
            found[thing.name] = bosses[thing.name] if thing.name in bosses else parts[thing.holds]
    joined = (frozenset((a.name, b.name)) for a, b in combinations(things, 2) if set(a.mounts) & set(b.mounts))
    return Known(pos=found, joined=frozenset(joined))


def _part(bay: Bay, name: str) -> float | None:
    """± of a part: the worst of what it is fixed to."""
    onto = [
        keep_out
        for mount, side in bay.mounts_of(name)
        for keep_out in (mount.chassis_onto if side == "chassis" else mount.powertrain_onto,)
        if keep_out is not None
    ]
    bosses = [bay.boss_by_name[boss].pos for boss in bay.part_by_name[name].row.bosses]
    return _worst([*bosses, *(bay.pos_of(bay.keep_out_by_name[keep_out]) for keep_out in onto)])


def _worst(found: Sequence[float | None]) -> float | None:
    said = [pos for pos in found if pos is not None]
    return None if len(said) < len(found) else max(said, default=0.0)


def any_known(bay: Bay) -> bool:
    """Whether the file says of any keep-out how well it is known."""
    return any(bay.pos_of(keep_out) is not None for keep_out in bay.keep_outs)
