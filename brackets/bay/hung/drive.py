"""How the powertrain of a bay drives, as the mechanics take it: its output, its gears, its tyres, its crank.

mm, N, N mm, axes of the bay, the powertrain where it stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.asked import ChainRow
from brackets.bay.schema.drive_keys import LEFT, RIGHT
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Powertrain
from brackets.core.errors import InputError
from brackets.core.schema.reading import stated
from brackets.core.tables.chains import CHAIN_PITCHES, pitch_radius
from brackets.core.vectors import Vec, dot, scale, unit
from brackets.hang.drive import Drive, Grip
from brackets.hang.orders import CrankLayout, crank_layout

NM = 1000.0
"""N mm in one Nm."""
LEFTWARDS = (0.0, 1.0, 0.0)
"""Wheels that roll forward turn right-handed about it."""
ACROSS = 0.7
"""Least part of a unit axis along LEFTWARDS from which it is taken for that of wheels."""


@dataclass(frozen=True, kw_only=True)
class BayDrive:
    """drive, grip: None where nothing says them; notes: what was assumed or is not known."""

    drive: Drive | None = None
    grip: Grip | None = None
    notes: tuple[str, ...] = ()


def drive_of(bay: Bay) -> BayDrive:
    """The drive of a bay: by its chain or belt where it has one, else by its axle or shaft.

    Raises InputError, which names the table, where sprockets overlap or what the tyres take is incomplete.
    """
    typed, place = bay.powertrain, place_of(bay.powertrain)
    if typed.torque == 0:
        return BayDrive(notes=("no torque is typed: no drive reaction",))
    chain = driving_chain(bay)
    if bay.chains and chain is None:
        return BayDrive(notes=("the sprockets of the chain are not typed: no drive reaction",))
    axle = chain is None and typed.layout == "transaxle"
    gear = typed.primary * (typed.final if axle else 1.0)
    turned, note = _turns(bay, chain)
    torque, first, reverse = typed.torque * NM, typed.first * gear, typed.reverse * gear
    if chain is None:
        at = typed.axle_at if axle and typed.axle_at is not None else typed.crank_at
        drive = Drive(
            kind="axle" if axle else "shaft", torque=torque, first=first, reverse=reverse, axis=turned,
            at=place.point(at),
        )  # fmt: skip
        after = 1.0 if axle else typed.final
    else:
        radius, driven = (pitch_radius_of(chain, end) for end in ("powertrain", "chassis"))
        assert radius is not None
        assert driven is not None
        with _named(f"chain {chain.name}"):
            drive = Drive(
                kind=chain.kind, torque=torque, first=first, reverse=reverse, axis=turned,
                at=place.point(chain.powertrain_at), to=chain.chassis_at, radius=radius, driven_radius=driven,
                slack=chain.slack,
            )  # fmt: skip
        after = driven / radius * typed.final
    if typed.traction_tyre_radius is None:
        return BayDrive(drive=drive, notes=(note,))
    mu, load, radius = typed.traction_grip, typed.traction_driven_load, typed.traction_tyre_radius
    with _named("powertrain: traction"):
        grip = Grip(mu=mu, load=load, radius=radius, after=after)
    return BayDrive(drive=drive, grip=grip, notes=(note,))


def driving_chain(bay: Bay) -> ChainRow | None:
    """The chain or belt whose two sprockets are typed; there is one at most."""
    return next((row for row in bay.chains if pitch_radius_of(row, "powertrain") is not None), None)


def pitch_radius_of(row: ChainRow, end: str) -> float | None:
    """Of the sprocket or pulley on the "powertrain" or the "chassis", mm; None where nothing says it."""
    teeth: int | None = getattr(row, f"{end}_teeth")
    pitch = row.pitch if row.size is None else CHAIN_PITCHES[row.size]
    if teeth is not None and pitch is not None:
        return pitch_radius(row.kind, pitch, teeth)
    typed: float | None = getattr(row, f"{end}_radius")
    return typed


def gears_of(bay: Bay) -> frozenset[str]:
    """Which of "first" and "reverse" the bay says enough of: what is there by default is no figure."""
    typed = stated(bay.powertrain)
    if bay.powertrain.torque == 0 or (bay.chains and driving_chain(bay) is None):
        return frozenset()
    if not bay.chains and bay.powertrain.layout == "transaxle" and "final" not in typed:
        return frozenset()
    return typed & {"first", "reverse"}


def drive_problems(bay: Bay) -> Iterator[str]:
    """A line for each thing that is wrong with the drive of a bay."""
    driving = [row.name for row in bay.chains if pitch_radius_of(row, "powertrain") is not None]
    if len(driving) > 1:
        yield f"chain {driving[1]}: sprockets = typed, and those of {driving[0]}, of one only: which one drives"
    try:
        crank_of(bay.powertrain)
    except InputError as error:
        yield from (f"powertrain: crank: {line}" for line in error.problems)
    else:
        yield from _crank_counts(bay.powertrain)


def crank_of(typed: Powertrain) -> CrankLayout | None:
    """The crank as typed, None where nothing says how it is made; InputError where it makes no sense."""
    if typed.crank_layout is not None:
        return crank_layout(typed.crank_layout)
    if not typed.crank_throws:
        return None
    return CrankLayout(
        name="as typed", strokes=typed.strokes, throws=typed.crank_throws, banks=typed.crank_banks,
        firing=typed.crank_firing, along=typed.crank_along,
    )  # fmt: skip


def _crank_counts(typed: Powertrain) -> Iterator[str]:
    crank, said = crank_of(typed), stated(typed)
    if crank is None:
        return
    for key, value in (("cylinders", len(crank.throws)), ("strokes", crank.strokes)):
        if key in said and getattr(typed, key) != value:
            yield f"powertrain: {key} = {getattr(typed, key)}, must be {value}: of the crank, {crank.name}"


def engine_of(typed: Powertrain) -> tuple[CrankLayout, tuple[str, ...]]:
    """What shakes: the crank as typed, else that of an inline engine that fires evenly, and a note that says so."""
    crank = crank_of(typed)
    if crank is not None:
        return crank, ()
    count, cycle = typed.cylinders, 180.0 * typed.strokes
    firing = tuple(cycle * i / count for i in range(count))
    made = CrankLayout(
        name="even firing", strokes=typed.strokes, firing=firing, along=(0.0,) * count,
        throws=tuple(-at % 360 for at in firing),
    )  # fmt: skip
    return made, ("the crank is taken as that of an inline engine that fires evenly, its couples as none",)


def _turns(bay: Bay, chain: ChainRow | None) -> tuple[Vec, str]:
    """The axis that the output turns right-handed about going forward, and what is to be said of it."""
    typed, place = bay.powertrain, place_of(bay.powertrain)
    if chain is not None:
        what, axis = "sprocket", chain.powertrain_axis
    elif typed.layout == "transaxle":
        what, axis = "axle", typed.axle_axis
    else:
        what, axis = "shaft", typed.crank_axis
    there = unit(place.direction(axis))
    if typed.turns is not None:
        sign = 1.0 if typed.turns == RIGHT else -1.0
        return scale(there, sign), f"the {what} turns {typed.turns} about {_three(there)} going forward, as typed"
    along = dot(there, LEFTWARDS)
    if what == "shaft" or abs(along) < ACROSS:
        return there, f"the {what} is taken to turn {RIGHT} about {_three(there)} going forward: turns says it"
    way = RIGHT if along > 0 else LEFT
    said = f"the {what} is taken to turn {way} about {_three(there)} going forward, as wheels that roll forward"
    return scale(there, 1.0 if along > 0 else -1.0), said


@contextmanager
def _named(where: str) -> Iterator[None]:
    """Puts the table before what is wrong with the values it gave."""
    try:
        yield
    except InputError as error:
        raise InputError(*(f"{where}: {line}" for line in error.problems)) from None


def _three(values: Vec) -> str:
    return "(" + ", ".join(f"{round(value, 3) + 0.0:g}" for value in values) + ")"
