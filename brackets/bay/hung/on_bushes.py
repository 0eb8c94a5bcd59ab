"""A bay as the mechanics of its bushes take it: what it weighs, what holds it, how it drives; nothing is built.

A mount's bush stands at the mount's `at`, its z along the mount's `axis`; a link is two of its bushes in series.
What is bolted up after the weight is on carries nothing as drawn. mm, kg, N, Hz, axes of the bay.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from brackets.bay.hung.drive import drive_of, engine_of
from brackets.bay.hung.mount_frames import mass_of
from brackets.bay.hung.snubbers import stops_of
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Mount as MountRow
from brackets.core.errors import InputError, joined
from brackets.hang.bush import BushSprings, springs_of_row
from brackets.hang.drive import Drive, Grip
from brackets.hang.measured import Known
from brackets.hang.mount import ROUNDING, Array, Mount, Stop, link
from brackets.hang.orders import CrankLayout
from brackets.model.moments import Mass

AFTER = "after the weight is on"


@dataclass(frozen=True, kw_only=True)
class OnBushes:
    """What a bay file says of the powertrain on its bushes.

    mass: of its lumps where the powertrain stands; mounts: of its bushes, links after them; springs: of each
    mount's bush, by the mount's name; stops: its snubbers; drive, grip: None where no torque or no tyres are typed,
    or the runs of a chain are not known; engine, idle: what shakes it, turns a minute; notes: what was assumed or
    is not known.
    """

    mass: Mass
    mounts: tuple[Mount, ...]
    springs: Mapping[str, BushSprings]
    stops: tuple[Stop, ...] = ()
    drive: Drive | None
    grip: Grip | None
    engine: CrankLayout
    idle: float
    notes: tuple[str, ...]


def on_bushes(bay: Bay, measured: Mapping[str, Mapping[str, Known]] | None = None) -> OnBushes:
    """A bay's powertrain, mounts and drive as the mechanics take them.

    bay: as read; measured: by the name of a bush, what was measured of it by direction, which wins over its row;
    where nothing was, it is worked out once a bay.
    Raises InputError, with everything that is wrong, where there are no lumps, no mounts, or a bush whose stiffness
    nothing says.

    >>> import pathlib, tempfile
    >>> text = '''format = 1
    ... lump = [{ name = "engine", mass = 80, at = [0, 0, 300], size = [300, 300, 400] }]
    ... [[mount]]
    ... name = "left"
    ... bush = "R60"
    ... at = [0, 250, 200]
    ... axis = [1, 0, 0]'''
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     file = pathlib.Path(folder, "tiny.toml")
    ...     _ = file.write_text(text)
    ...     found = on_bushes(read_bay(file))
    >>> found.mass.kg, found.springs["left"].radial.value, found.notes[0]
    (80.0, 310.0, 'no torque is typed: no drive reaction')
    """
    return bay.once(_as_typed) if measured is None else _on_bushes(bay, measured)


def _as_typed(bay: Bay) -> OnBushes:
    return _on_bushes(bay, {})


def _on_bushes(bay: Bay, measured: Mapping[str, Mapping[str, Known]]) -> OnBushes:
    mass, wrong = mass_of(bay), []
    if mass is None:
        wrong.append(InputError("lump = none, must be one or more: what the powertrain weighs"))
    if not bay.mounts:
        wrong.append(InputError("mount = none, must be one or more: what the powertrain hangs on"))
    by_bush: dict[str, BushSprings] = {}
    for name in dict.fromkeys(row.bush for row in bay.mounts):
        row = next(row for row in bay.mounts if row.bush == name)
        try:
            by_bush[name] = springs_of_row(bay.bush_of(row), measured.get(name))
        except InputError as error:
            wrong.append(error)
    if wrong or mass is None:
        raise joined(wrong)
    springs = {
        row.name: by_bush[row.bush] if row.stiffness_pm is None else by_bush[row.bush].known_to(row.stiffness_pm)
        for row in bay.mounts
    }
    notes = [note for name in by_bush for note in by_bush[name].notes]
    mounts = [_mount(row, springs[row.name]) for row in bay.mounts if row.link_part is None]
    linked = sorted((row for row in bay.mounts if row.link_part is not None), key=lambda row: str(row.link_part))
    for part, ends in groupby(linked, key=lambda row: str(row.link_part)):
        mounts.append(_link(part, tuple(ends), springs))
    driven, (engine, more) = drive_of(bay), engine_of(bay.powertrain)
    stops, told = stops_of(bay)
    return OnBushes(
        mass=mass, mounts=tuple(mounts), springs=springs, stops=stops, drive=driven.drive, grip=driven.grip,
        engine=engine, idle=bay.powertrain.idle, notes=(*notes, *driven.notes, *more, *told),
    )  # fmt: skip


def _mount(row: MountRow, springs: BushSprings) -> Mount:
    made = springs.mount(row.name, row.at, row.axis)
    return made.bolted_up_late() if row.fit == AFTER else made


def _link(part: str, ends: tuple[MountRow, ...], springs: Mapping[str, BushSprings]) -> Mount:
    """A part with two bushes: as stiff along its length as both in series, and no stiffer any other way."""
    chassis, powertrain = sorted(ends, key=lambda row: row.powertrain_part is not None)
    along = link(name=part, position=powertrain.at, to=chassis.at, stiffness=1.0)
    way = along.rotation[:, 0]
    mounts = [springs[row.name].mount(row.name, row.at, row.axis) for row in (chassis, powertrain)]
    each = [float(way @ mount.outer[0] @ way) for mount in mounts]
    return link(
        name=part,
        position=powertrain.at,
        to=chassis.at,
        stiffness=each[0] * each[1] / (each[0] + each[1]),
        low=min(mount.low for mount in mounts),
        high=max(mount.high for mount in mounts),
        dynamic=max(mount.dynamic for mount in mounts),
        travel=(_link_travel(mounts, way, each), None, None),
        load=min((mount.load for mount in mounts if mount.load is not None), default=None),
        late=any(row.fit == AFTER for row in ends),
    )


def _link_travel(mounts: Sequence[Mount], way: Array, each: Sequence[float]) -> float | None:
    """mm that a link may give along its length before one of its bushes has given its travel, None where no bush
    says any. mounts: of its two bushes; way: along it; each: N/mm of either bush that way. In series each gives as
    its share of the whole; along its own axes as the link lies to them."""
    found = []
    for mount, stiff, other in zip(mounts, each, reversed(each), strict=True):
        share = other / (stiff + other)
        x, y, z = (abs(float(part)) for part in mount.rotation.T @ way)
        for travel, part in ((mount.travel[0], float(np.hypot(x, y))), (mount.travel[2], z)):
            if travel is not None and part > ROUNDING:
                found.append(travel / (share * part))
    return min(found, default=None)
