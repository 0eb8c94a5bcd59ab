"""What to buy for a bay: bolts, nuts, washers and bushes, like ones counted, and where each goes. mm."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import assert_never

from brackets.bay.bolting import BoltFound
from brackets.bay.boss_bolts import BossBolt
from brackets.bay.chassis_bolts import NUT, WASHERS, ChassisBolt
from brackets.bay.fitting import Fit
from brackets.bay.hardware import MountBolt, bush_of
from brackets.bay.schema import Mount

KINDS = ("bolt", "nut", "washer", "bush")


@dataclass(frozen=True, kw_only=True)
class Item:
    """One thing to buy: "bolt", "M12 x 100 8.8", how many, and the mounts, bosses or bolted parts it goes to.
    `note`: what is not known of it."""

    kind: str
    what: str
    number: int
    where: tuple[str, ...]
    note: str = ""


def to_buy(fit: Fit) -> tuple[Item, ...]:
    """Bolts, nuts, washers, bushes in this order, by size. A bolt for which no stock length fits is listed as such;
    bolts into bosses and through the chassis are of no class, since a bay file types none."""
    mounts = {mount.name: mount for mount in fit.bay.mounts}
    wanted = [thing for one in fit.bolts for thing in _of_bolt(one, mounts)]
    for mount in fit.bay.mounts:
        row = bush_of(fit.bay, mount)
        wanted.append(("bush", f"{row.name}, {row.kind}, {row.od:g} od", 1, mount.name, row.stamp))
    found: dict[tuple[str, str], Item] = {}
    for kind, what, number, where, note in wanted:
        was = found.get((kind, what))
        places = (where,) if was is None else (*was.where, *(() if where in was.where else (where,)))
        found[kind, what] = Item(
            kind=kind, what=what, number=number + (was.number if was else 0), where=places, note=note
        )
    return tuple(sorted(found.values(), key=_order))


def _order(item: Item) -> tuple[object, ...]:
    """By kind, then M8 before M10: figures within a name are told as figures."""
    figures = [float(part) if part[0].isdigit() else -1.0 for part in re.findall(r"\d+(?:\.\d+)?|\D+", item.what)]
    return (KINDS.index(item.kind), figures, item.what)


Wanted = tuple[str, str, int, str, str]


def _of_bolt(one: BoltFound, mounts: dict[str, Mount]) -> Iterator[Wanted]:
    of, size = one.bolt, one.row.name
    where = _where(of)
    if one.used is None:
        yield "bolt", f"{size}, cut one", 1, where, "no stock length fits"
    elif isinstance(of, MountBolt):
        yield "bolt", f"{size} x {one.used.length:g} {mounts[of.mount].bolt_class}", 1, where, ""
    else:
        yield "bolt", f"{size} x {one.used.length:g}", 1, where, "class not typed"
    nut = _nut(of)
    if nut is not None:
        yield "nut", f"{size} {nut}", 1, where, ""
    washers = _washers(of)
    if washers:
        yield "washer", size, washers, where, ""


def _where(of: MountBolt | BossBolt | ChassisBolt) -> str:
    """A mount, a boss, or a part that is bolted to the chassis."""
    match of:
        case MountBolt():
            return of.mount
        case BossBolt():
            return of.boss.name
        case ChassisBolt():
            return of.part
        case _:
            assert_never(of)


def _nut(of: MountBolt | BossBolt | ChassisBolt) -> str | None:
    match of:
        case MountBolt():
            return of.nut_kind
        case BossBolt():
            return None
        case ChassisBolt():
            return NUT
        case _:
            assert_never(of)


def _washers(of: MountBolt | BossBolt | ChassisBolt) -> int:
    match of:
        case MountBolt():
            return sum(of.washers if of.drawn is None else of.drawn.washers)
        case BossBolt():
            return of.washers
        case ChassisBolt():
            return sum(WASHERS if of.stock is None else of.stock.washers)
        case _:
            assert_never(of)
