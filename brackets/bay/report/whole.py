"""A bay as a whole: what it weighs, by side and together, and what to buy for it. kg, mm, kg mm2, bay axes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import reduce
from operator import add
from typing import TYPE_CHECKING, assert_never

from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import NUT, WASHERS, ChassisBolt
from brackets.bay.fitting import Fit
from brackets.bay.hung.mount_frames import any_up, mass_of
from brackets.bay.schema.asked import POWERTRAIN
from brackets.bay.schema.standing import LINK, Mount
from brackets.bay.stand.bobbin_ends import EndBolt, StudNut
from brackets.bay.stand.hardware import MountBolt, bush_of
from brackets.core import vectors
from brackets.core.place import Place
from brackets.core.vectors import scale
from brackets.library.hardware import bolted
from brackets.model.piece import BOUGHT

if TYPE_CHECKING:
    from brackets.model.moments import Mass


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
    bolts into bosses and through the chassis are of the class that [hold] types, of none without it."""
    grade = None if fit.bay.holding is None else fit.bay.holding.grade
    mounts = {mount.name: mount for mount in fit.bay.mounts}
    wanted = [thing for one in fit.bolts for thing in _of_bolt(one, mounts, grade)]
    for mount in fit.bay.mounts:
        row = bush_of(fit.bay, mount)
        wanted.append(("bush", f"{row.name}, {row.kind}, {row.od:g} od", 1, mount.name, row.stamp))
    for part in fit.stood.parts:
        nuts = [piece.stock.removeprefix(BOUGHT) for piece in part.part.pieces if piece.stock.startswith(BOUGHT)]
        wanted += [("nut", f"{size} {NUT}", 1, part.name, "") for size in nuts]
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
AnyBolt = MountBolt | BossBolt | ChassisBolt | StudNut | EndBolt


def _of_bolt(one: BoltFound, mounts: dict[str, Mount], grade: str | None) -> Iterator[Wanted]:
    of, size = one.bolt, one.row.name
    where = _where(of)
    if isinstance(of, StudNut):
        pass
    elif one.used is None:
        yield "bolt", f"{size}, cut one", 1, where, "no stock length fits"
    else:
        bolt_class = mounts[of.mount].bolt_class if isinstance(of, MountBolt | EndBolt) else grade
        bought = one.row.of_length(one.used.length)
        if bolt_class is None:
            yield "bolt", bought, 1, where, "class not typed"
        else:
            yield "bolt", f"{bought} {bolt_class}", 1, where, ""
    nut = _nut(of)
    if nut is not None:
        yield "nut", f"{size} {nut}", 1, where, ""
    washers = _washers(of)
    if washers:
        yield "washer", size, washers, where, ""


def _where(of: AnyBolt) -> str:
    """A mount, a boss, or a part that is bolted to the chassis."""
    match of:
        case MountBolt() | StudNut() | EndBolt():
            return of.mount
        case BossBolt():
            return of.boss.name
        case ChassisBolt():
            return of.part
        case _:
            assert_never(of)


def _nut(of: AnyBolt) -> str | None:
    match of:
        case MountBolt() | StudNut():
            return of.nut_kind
        case BossBolt() | EndBolt():
            return None
        case ChassisBolt():
            return NUT
        case _:
            assert_never(of)


def _washers(of: AnyBolt) -> int:
    match of:
        case MountBolt():
            return sum(of.washers if of.drawn is None else of.drawn.washers)
        case BossBolt() | StudNut() | EndBolt():
            return of.washers
        case ChassisBolt():
            return sum(WASHERS if of.stock is None else of.stock.washers)
        case _:
            assert_never(of)


@dataclass(frozen=True, kw_only=True)
class MassRow:
    """What was added up, and its mass, centre and inertia about that centre."""

    what: str
    mass: Mass


def mass_rows(fit: Fit) -> tuple[MassRow, ...]:
    """The powertrain; the mounts (parts, bush halves, bolts) on each side and all; the powertrain with them.

    A row of which there is nothing is left out. Weld metal is in none.
    """
    lumps = mass_of(fit.bay)
    weighed = _weighed(fit)
    mine = list(_mounts(fit, POWERTRAIN, weighed))
    theirs = list(_mounts(fit, "chassis", weighed))
    between = list(_mounts(fit, LINK, weighed))
    engine = [] if lumps is None else [lumps]
    sums = (
        ("powertrain, its lumps", engine),
        ("mounts on the powertrain", mine),
        ("mounts on the chassis", theirs),
        ("links between the two", between),
        ("all mounts", [*mine, *theirs, *between]),
        ("powertrain and what moves with it", [*engine, *mine] if engine else []),
        ("powertrain and all mounts", [*engine, *mine, *theirs, *between] if engine else []),
    )
    return tuple(MassRow(what=what, mass=reduce(add, masses)) for what, masses in sums if masses)


def _mounts(fit: Fit, side: str, weighed: Mapping[str, float]) -> Iterator[Mass]:
    yield from (part.part.mass for part in fit.stood.parts if part.side == side)
    for thing in fit.stood.bought:
        if thing.side == side:
            yield scaled(thing.part.mass, weighed.get(thing.mount, 1.0) if thing.what != "bolt" else 1.0)
    for one in fit.bolts:
        mass = _of_part(one.bolt, side)
        if mass is not None:
            yield mass


def _of_part(of: AnyBolt, side: str) -> Mass | None:
    """The mass of a bolt into a boss or through the chassis on that side; None of a mount's, which is bought with
    its bush, and of one that nothing fits."""
    match of:
        case MountBolt() | StudNut() | EndBolt():
            return None
        case BossBolt():
            return boss_bolt_mass(of) if side == POWERTRAIN else None
        case ChassisBolt():
            made = of.made
            return made.mass if made is not None and of.side == side else None
        case _:
            assert_never(of)


def _weighed(fit: Fit) -> dict[str, float]:
    """By how much a bush's typed mass is more than what its sizes give, by mount: what is weighed wins."""
    found = {}
    for mount in fit.bay.mounts:
        typed = bush_of(fit.bay, mount).mass
        drawn = sum(t.part.mass.kg for t in fit.stood.bought if t.mount == mount.name and t.what != "bolt")
        if typed > 0 and drawn > 0:
            found[mount.name] = typed / drawn
    return found


def scaled(mass: Mass, by: float) -> Mass:
    """The same body, `by` times as dense."""
    from brackets.model.moments import Mass as Whole

    return Whole(kg=mass.kg * by, centroid=mass.centroid, inertia=mass.inertia * by)


def boss_bolt_mass(one: BossBolt) -> Mass:
    """A bolt into a boss with its washers, as it comes from stock; where none fits the shortest that would do."""
    length = one.shortest if one.stock is None else one.stock.length
    body = bolted(one.row, length=length, grip=one.grip, washers=(one.washers, 0), nut_kind=None)
    at = vectors.add(one.at, scale(one.way, one.grip))
    return body.placed(Place(at, scale(one.way, -1.0), any_up(one.way))).mass
