"""A bay as the mechanics of its bushes take it: what it weighs, what holds it, how it drives; nothing is built.

A mount's bush stands at the mount's `at`, its z along the mount's `axis`; a link is two of its bushes in series.
What is bolted up after the weight is on carries nothing as drawn. mm, kg, N, Hz, axes of the bay.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby

from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Mount as MountRow
from brackets.bay.stand.mount_frames import mass_of, place_of
from brackets.core.errors import InputError, joined
from brackets.hang.bush import BushSprings, springs_of_row
from brackets.hang.drive import Drive, Grip
from brackets.hang.measured import Known
from brackets.hang.mount import Mount, link
from brackets.hang.orders import CrankLayout
from brackets.model.moments import Mass

NM = 1000.0
"""N mm in one Nm."""
AFTER = "after the weight is on"


@dataclass(frozen=True, kw_only=True)
class OnBushes:
    """What a bay file says of the powertrain on its bushes.

    mass: of its lumps where the powertrain stands; mounts: of its bushes, links after them; springs: of each
    mount's bush, by the mount's name; drive, grip: None where no torque or no tyres are typed, or the runs of a
    chain are not known; engine, idle: what shakes it, turns a minute; notes: what was assumed or is not known.
    """

    mass: Mass
    mounts: tuple[Mount, ...]
    springs: Mapping[str, BushSprings]
    drive: Drive | None
    grip: Grip | None
    engine: CrankLayout
    idle: float
    notes: tuple[str, ...]


def on_bushes(bay: Bay, measured: Mapping[str, Mapping[str, Known]] | None = None) -> OnBushes:
    """A bay's powertrain, mounts and drive as the mechanics take them.

    bay: as read; measured: by the name of a bush, what was measured of it by direction, which wins over its row.
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
    mass, wrong = mass_of(bay), []
    if mass is None:
        wrong.append(InputError("lump = none, must be one or more: what the powertrain weighs"))
    if not bay.mounts:
        wrong.append(InputError("mount = none, must be one or more: what the powertrain hangs on"))
    by_bush: dict[str, BushSprings] = {}
    for name in dict.fromkeys(row.bush for row in bay.mounts):
        row = next(row for row in bay.mounts if row.bush == name)
        try:
            by_bush[name] = springs_of_row(bay.bush_of(row), (measured or {}).get(name))
        except InputError as error:
            wrong.append(error)
    if wrong or mass is None:
        raise joined(wrong)
    springs = {row.name: by_bush[row.bush] for row in bay.mounts}
    notes = [note for name in by_bush for note in by_bush[name].notes]
    mounts = [_mount(row, springs[row.name]) for row in bay.mounts if row.link_part is None]
    linked = sorted((row for row in bay.mounts if row.link_part is not None), key=lambda row: str(row.link_part))
    for part, ends in groupby(linked, key=lambda row: str(row.link_part)):
        mounts.append(_link(part, tuple(ends), springs))
    drive, grip, said = _drive(bay)
    engine, more = _engine(bay)
    return OnBushes(
        mass=mass, mounts=tuple(mounts), springs=springs, drive=drive, grip=grip, engine=engine,
        idle=bay.powertrain.idle, notes=(*notes, *said, *more),
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
        load=min((mount.load for mount in mounts if mount.load is not None), default=None),
        late=any(row.fit == AFTER for row in ends),
    )


def _drive(bay: Bay) -> tuple[Drive | None, Grip | None, tuple[str, ...]]:
    typed, place = bay.powertrain, place_of(bay.powertrain)
    if typed.torque == 0:
        return None, None, ("no torque is typed: no drive reaction",)
    if bay.chains:
        return None, None, ("the pitch radii of the chain's sprockets are not typed: no drive reaction",)
    ratio, back = typed.first, typed.reverse
    at, axis = typed.crank_at, typed.crank_axis
    if typed.layout == "transaxle":
        ratio, back = ratio * typed.final, back * typed.final
        at, axis = typed.axle_at if typed.axle_at is not None else at, typed.axle_axis
    drive = Drive(
        kind="axle" if typed.layout == "transaxle" else "shaft", torque=typed.torque * NM, first=ratio,
        reverse=back, axis=place.direction(axis), at=place.point(at),
    )  # fmt: skip
    notes = (f"the output is taken to turn right-handed about {drive.axis} going forward",)
    if typed.traction_tyre_radius is None:
        return drive, None, notes
    after = 1.0 if typed.layout == "transaxle" else typed.final
    grip = Grip(
        mu=typed.traction_grip, load=typed.traction_driven_load, radius=typed.traction_tyre_radius, after=after
    )
    return drive, grip, notes


def _engine(bay: Bay) -> tuple[CrankLayout, tuple[str, ...]]:
    """An inline engine that fires evenly: the bay says how many cylinders, not how its crank is made."""
    count, cycle = bay.powertrain.cylinders, 180.0 * bay.powertrain.strokes
    firing = tuple(cycle * i / count for i in range(count))
    made = CrankLayout(
        name="even firing", strokes=bay.powertrain.strokes, firing=firing, along=(0.0,) * count,
        throws=tuple(-at % 360 for at in firing),
    )  # fmt: skip
    return made, ("the crank is taken as that of an inline engine that fires evenly, its couples as none",)
