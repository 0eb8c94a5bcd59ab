"""Every bolt of a bay: how long it must be, whether it goes in and comes out, and whether tools get at it.

Mount bolts go through both ears and the sleeve and have a nut; boss bolts hold a part to a casting. mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brackets.bay.bodies import Thing
from brackets.bay.boss_bolts import BossBolt
from brackets.bay.bought import MountBolt, mount_bolt
from brackets.bay.hands import Drawn, Fitted, Reached, drawn, reached
from brackets.bay.standing import Stood
from brackets.bolts.lengths import Tapped, Through
from brackets.pieces.vectors import add, scale
from brackets.tables import Bolt


@dataclass(frozen=True, kw_only=True)
class BoltFound:
    """One bolt: what it is, how it comes out (a mount bolt also from its other end), what gets at its ends; `drawn`
    None where it is a mount's for which nothing fits."""

    name: str
    bolt: MountBolt | BossBolt
    drawn: Drawn | None
    turned: Drawn | None
    ends: tuple[Reached, ...]

    @property
    def row(self) -> Bolt:
        return self.bolt.row

    @property
    def used(self) -> Through | Tapped | None:
        """How it sits as drawn; None where nothing fits."""
        return self.bolt.drawn if isinstance(self.bolt, MountBolt) else self.bolt.stock


def bolts(stood: Stood, all_things: Sequence[Thing], held: Sequence[BossBolt] = ()) -> tuple[BoltFound, ...]:
    """The bolts of the mounts, then those of the bosses that parts stand on, `held`."""
    fitted = Fitted(all_things)
    return (*_of_mounts(stood, fitted), *_of_bosses(stood, fitted, held))


def _of_mounts(stood: Stood, fitted: Fitted) -> Iterator[BoltFound]:
    params = {part.name: part.params for part in stood.parts}
    for mount in stood.bay.mounts:
        found = mount_bolt(stood.bay, mount, params)
        if found is None:
            continue
        if found.drawn is None:
            yield BoltFound(name=mount.name, bolt=found, drawn=None, turned=None, ends=())
            continue
        row, used, own = found.row, found.drawn, (f"{mount.name} bolt",)
        under, behind = (n * row.washer_t for n in used.washers)
        head_at = add(found.face, scale(found.head, under))
        nut_at = add(found.face, scale(found.head, -found.grip - behind))
        back = scale(found.head, -1.0)
        size = {"length": used.length, "head_od": _widest(row), "head_height": row.head_height}
        out = drawn(fitted, head_at, found.head, **size, but=own)
        other = None if out.out else drawn(fitted, nut_at, back, **size, but=own)
        ends = [
            reached(
                fitted,
                stood.bay,
                "head",
                head_at,
                found.head,
                across_flats=row.across_flats,
                height=row.head_height,
                but=own,
            )
        ]
        if found.nut_height is not None:
            tip = used.length - under - found.grip - behind
            ends.append(
                reached(
                    fitted,
                    stood.bay,
                    "nut",
                    nut_at,
                    back,
                    across_flats=row.nut_across_flats,
                    height=max(found.nut_height, tip),
                    but=own,
                )
            )
        yield BoltFound(name=mount.name, bolt=found, drawn=out, turned=other, ends=tuple(ends))


def _of_bosses(stood: Stood, fitted: Fitted, held: Sequence[BossBolt]) -> Iterator[BoltFound]:
    for one in held:
        row = one.row
        length = one.shortest if one.stock is None else one.stock.length
        size = {"length": length, "head_od": _widest(row), "head_height": row.head_height}
        own = (one.name,)
        end = reached(
            fitted,
            stood.bay,
            "head",
            one.head_at,
            one.way,
            across_flats=row.across_flats,
            height=row.head_height,
            but=own,
        )
        out = drawn(fitted, one.head_at, one.way, **size, but=own)
        yield BoltFound(name=one.boss.name, bolt=one, drawn=out, turned=None, ends=(end,))


def _widest(row: Bolt) -> float:
    """mm over whatever of head and washer is wider."""
    return max(row.across_corners, row.washer_od)
