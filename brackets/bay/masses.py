"""What a bay weighs: its mounts by side and together, the powertrain, and both as one. kg, mm, kg mm2, bay axes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import reduce
from operator import add
from typing import TYPE_CHECKING, assert_never

from brackets.bay.boss_bolts import BossBolt
from brackets.bay.chassis_bolts import ChassisBolt
from brackets.bay.fitting import Fit
from brackets.bay.hardware import MountBolt, bush_of
from brackets.bay.mount_frames import any_up, mass_of
from brackets.bay.schema import LINK, POWERTRAIN
from brackets.core import vectors
from brackets.core.place import Place
from brackets.core.vectors import scale
from brackets.library.hardware import bolted

if TYPE_CHECKING:
    from brackets.model.moments import Mass


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


def _of_part(of: MountBolt | BossBolt | ChassisBolt, side: str) -> Mass | None:
    """The mass of a bolt into a boss or through the chassis on that side; None of a mount's, which is bought with
    its bush, and of one that nothing fits."""
    match of:
        case MountBolt():
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
