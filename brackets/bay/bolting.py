"""Every bolt of a bay: how long it must be, whether it goes in and comes out, and whether tools get at it.

Mount bolts go through both ears and the sleeve and have a nut; boss bolts hold a part to a casting. mm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.bay.bodies import Thing
from brackets.bay.bolt_order import Step, contradiction
from brackets.bay.boss_bolts import BossBolt
from brackets.bay.bought import MountBolt, mount_bolt
from brackets.bay.hands import Drawn, Fitted, Reached, drawn, reached
from brackets.bay.own_metal import InMetal, in_own_metal
from brackets.bay.standing import Stood
from brackets.bolts.lengths import Tapped, Through
from brackets.pieces.vectors import add, scale
from brackets.tables import Bolt


@dataclass(frozen=True, kw_only=True)
class BoltFound:
    """One bolt: what it is, how it comes out (a mount bolt also from its other end), what gets at its ends; `drawn`
    None where it is a mount's for which nothing fits.

    `body` is its name among the bodies of the bay, `holds` the parts that it holds together, and `in_metal` what of
    a boss's bolt lies in the metal of its part. `no_order`: where it must go in before something is there that must
    be there before it, the names of that round, first and last the bolt's own."""

    name: str
    bolt: MountBolt | BossBolt
    drawn: Drawn | None
    turned: Drawn | None
    ends: tuple[Reached, ...]
    body: str
    holds: tuple[str, ...]
    in_metal: tuple[InMetal, ...] = ()
    no_order: tuple[str, ...] = ()

    @property
    def row(self) -> Bolt:
        return self.bolt.row

    @property
    def used(self) -> Through | Tapped | None:
        """How it sits as drawn; None where nothing fits."""
        return self.bolt.drawn if isinstance(self.bolt, MountBolt) else self.bolt.stock

    @property
    def ways(self) -> tuple[Drawn, ...]:
        """The ways out that were tried and that what it holds does not bar, least in the way first; a bolt that
        comes out has the one."""
        tried = [way for way in (self.drawn, self.turned) if way is not None and not way.held]
        return tuple(sorted(tried, key=lambda way: len(way.meets)))


def bolts(stood: Stood, all_things: Sequence[Thing], held: Sequence[BossBolt] = ()) -> tuple[BoltFound, ...]:
    """The bolts of the mounts, then those of the bosses that parts stand on, `held`."""
    fitted = Fitted(all_things)
    found = (*_of_mounts(stood, fitted), *_of_bosses(stood, fitted, held))
    steps = [_step(one) for one in found]
    return tuple(replace(one, no_order=contradiction(one.body, steps)) for one in found)


def _step(one: BoltFound) -> Step:
    """What is there before the bolt, a mount's bush among it, and what it must go in before."""
    bushes = (f"{one.name} bush", f"{one.name} sleeve") if isinstance(one.bolt, MountBolt) else ()
    return Step(bolt=one.body, after=(*one.holds, *bushes), before=one.ways[0].meets if one.ways else ())


def _of_mounts(stood: Stood, fitted: Fitted) -> Iterator[BoltFound]:
    params = {part.name: part.params for part in stood.parts}
    for mount in stood.bay.mounts:
        found = mount_bolt(stood.bay, mount, params)
        if found is None:
            continue
        body = f"{mount.name} bolt"
        holds = tuple(name for name in (mount.chassis_part, mount.powertrain_part) if name is not None)
        if found.drawn is None:
            yield BoltFound(
                name=mount.name, bolt=found, drawn=None, turned=None, ends=(), body=body, holds=holds
            )
            continue
        row, used, own = found.row, found.drawn, (body,)
        under, behind = (n * row.washer_t for n in used.washers)
        head_at = add(found.face, scale(found.head, under))
        nut_at = add(found.face, scale(found.head, -found.grip - behind))
        back = scale(found.head, -1.0)
        size = {"length": used.length, "head_od": _widest(row), "head_height": row.head_height}
        out = drawn(fitted, head_at, found.head, **size, but=own, holds=holds)
        other = None if out.out else drawn(fitted, nut_at, back, **size, but=own, holds=holds)
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
        yield BoltFound(
            name=mount.name, bolt=found, drawn=out, turned=other, ends=tuple(ends), body=body, holds=holds
        )


def _of_bosses(stood: Stood, fitted: Fitted, held: Sequence[BossBolt]) -> Iterator[BoltFound]:
    there = {thing.name: thing for thing in fitted.things}
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
        holds = (one.part,)
        yield BoltFound(
            name=one.boss.name,
            bolt=one,
            drawn=drawn(fitted, one.head_at, one.way, **size, but=own, holds=holds),
            turned=None,
            ends=(end,),
            body=one.name,
            holds=holds,
            in_metal=in_own_metal(one, there[one.part]),
        )


def _widest(row: Bolt) -> float:
    """mm over whatever of head and washer is wider."""
    return max(row.across_corners, row.washer_od)
