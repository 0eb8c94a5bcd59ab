"""What driving does to the powertrain: the reaction to what it hands to the road, by the kind of its output.

shaft: engine and gearbox in one, a propeller shaft goes out: a couple about the shaft. axle: the final drive is in
the same unit, half shafts go out: a couple about the axle, many times larger. chain or belt: the runs pull the
sprocket along themselves, the tight one with its tension and the slack one with its own.
Torque turns right-handed about the axis that is typed, where the powertrain turns its output; the reaction on the
powertrain is against it. mm, N; torque N mm; axes of the bay.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from brackets.core.errors import InputError
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, direction, mm, newton, number, point
from brackets.core.vectors import Vec, add, cross, dot, scale, square_to, sub, unit
from brackets.core.vectors import length as norm
from brackets.hang.load import Load

Kind = Literal["shaft", "axle", "chain", "belt"]
KINDS: tuple[Kind, ...] = ("shaft", "axle", "chain", "belt")
RUNS = ("chain", "belt")
PULSES = {1: 4.0, 2: 4.0, 3: 3.0, 4: 2.0}
"""Cylinders: factor on mean torque; five and more 1.33. CS 22.361(b), 14 CFR 27.361(b) name two and more."""


@dataclass(frozen=True, kw_only=True)
class Grip(Checked):
    """What the tyres can take: a cap on the torque, only where all of it is typed."""

    mu: Annotated[float, number(0.05, 3, "grip of the tyres")]
    load: Annotated[float, newton(1, 1e6, "on the driven wheels together, N")]
    radius: Annotated[float, mm(50, 2000, "of the driven wheels, under load")]
    after: Annotated[float, number(0.1, 20, "ratio from the output to the wheels: final drive, sprockets")] = 1.0

    @property
    def torque(self) -> float:
        """Most that the output can hand on, N mm."""
        return self.mu * self.load * self.radius / self.after


@dataclass(frozen=True, kw_only=True)
class Drive(Checked):
    """An engine, its gears and its output.

    axis: of the output, as it turns going forward, right-handed; at: a point of it (the sprocket's middle where
    there is one); to, radius, driven_radius: middle of the driven sprocket and the two pitch radii; slack: tension
    of the slack run, N; clutch, pulse: factors on the torque, with `why`, one of the two at most: a clutch that is
    dropped, and what single cylinders add to the mean torque.
    """

    kind: Annotated[str, choice(KINDS, "how it drives: shaft, axle, chain, belt")]
    torque: Annotated[float, number(0, 1e8, "largest of the engine, N mm")]
    first: Annotated[float, number(0.1, 200, "ratio from the crank to the output in first gear")]
    reverse: Annotated[float | None, number(0.1, 200, "the same in reverse, None where there is none")] = None
    axis: Annotated[Vec, direction("of the output, as it turns going forward")]
    at: Annotated[Vec, point(3, "a point of the output")] = (0.0, 0.0, 0.0)
    to: Annotated[Vec | None, point(3, "middle of the driven sprocket or pulley")] = None
    radius: Annotated[float | None, mm(5, 500, "pitch radius of the sprocket or pulley")] = None
    driven_radius: Annotated[float | None, mm(5, 1000, "pitch radius of the driven one")] = None
    slack: Annotated[float, newton(0, 1e6, "tension of the slack run, N")] = 0.0
    clutch: Annotated[float, number(1, 5, "factor of a clutch that is dropped")] = 1.0
    pulse: Annotated[float, number(1, 5, "factor of single cylinders on the mean torque")] = 1.0

    def rules(self) -> Iterator[str]:
        if self.clutch > 1 and self.pulse > 1:
            both = f"pulse = {self.pulse:g} and clutch = {self.clutch:g}"
            yield f"{both}, must be one of the two: they do not multiply"
        runs = {"to": self.to, "radius": self.radius, "driven_radius": self.driven_radius}
        for name, value in runs.items():
            if (value is None) is (self.kind in RUNS):
                must = "must be typed" if self.kind in RUNS else "must not be typed"
                yield f"{name} = {value}, {must}: the kind is {self.kind}"
        if self.slack and self.kind not in RUNS:
            yield f"slack = {self.slack:g} N, must not be typed: the kind is {self.kind}"
        if self.to is not None and self.radius is not None and self.driven_radius is not None:
            apart = norm(square_to(sub(self.to, self.at), unit(self.axis)))
            if apart <= self.radius + self.driven_radius:
                least = self.radius + self.driven_radius
                yield f"to = {self.to}, must be over {least:g} mm from at, across the axis: it is {apart:g}"


@dataclass(frozen=True, kw_only=True)
class DriveReaction:
    """What one gear does: `torque` N mm at the output, `loads` on the powertrain; capped: the tyres slip first."""

    gear: Literal["first", "reverse"]
    torque: float
    loads: tuple[Load, ...]
    capped: bool


def drive_reactions(drive: Drive, *, grip: Grip | None = None) -> tuple[DriveReaction, ...]:
    """Loads on the powertrain at full torque in first gear, and in reverse where it has one.

    drive: the engine, its gears and its output; grip: what the tyres can take, None to leave that out.

    >>> car = Drive(kind="shaft", torque=300e3, first=3.5, axis=(1, 0, 0))
    >>> drive_reactions(car)[0].loads[0].couple  # 1050 Nm against the shaft
    (-1050000.0, 0.0, 0.0)
    """
    found = []
    gears: tuple[tuple[Literal["first", "reverse"], float | None, float], ...] = (
        ("first", drive.first, 1.0), ("reverse", drive.reverse, -1.0),
    )  # fmt: skip
    for gear, ratio, sign in gears:
        if ratio is None:
            continue
        wanted = drive.torque * ratio * drive.clutch * drive.pulse
        capped = grip is not None and grip.torque < wanted
        torque = sign * (grip.torque if grip is not None and capped else wanted)
        found.append(DriveReaction(gear=gear, torque=torque, loads=_loads(drive, torque), capped=capped))
    return tuple(found)


def _loads(drive: Drive, torque: float) -> tuple[Load, ...]:
    axis = unit(drive.axis)
    if drive.kind not in RUNS:
        return (Load(name=f"torque of the {drive.kind}", couple=scale(axis, -torque), at=drive.at),)
    assert drive.radius is not None
    made = []
    for touch, along in _tangents(drive):
        # The rim runs away from the driven wheel where its run is drawn in: that one is tight.
        tight = dot(cross(axis, sub(touch, drive.at)), along) * torque < 0
        pull = drive.slack + (abs(torque) / drive.radius if tight else 0.0)
        made.append(Load(name=f"{'tight' if tight else 'slack'} run", force=scale(along, pull), at=touch))
    return tuple(made)


def _tangents(drive: Drive) -> tuple[tuple[Vec, Vec], ...]:
    """Where each run leaves the sprocket, mm, and its direction to the driven one."""
    assert drive.to is not None
    assert drive.radius is not None
    assert drive.driven_radius is not None
    axis = unit(drive.axis)
    across = square_to(sub(drive.to, drive.at), axis)
    away, apart = unit(across), norm(across)
    lean = (drive.radius - drive.driven_radius) / apart
    side = cross(axis, away)
    made = []
    for sign in (1.0, -1.0):
        out = add(scale(away, lean), scale(side, sign * float(np.sqrt(1 - lean**2))))
        begin = add(drive.at, scale(out, drive.radius))
        end = add(add(drive.at, across), scale(out, drive.driven_radius))
        made.append((begin, unit(sub(end, begin))))
    return tuple(made)


def torque_pulse(cylinders: int) -> float:
    """Factor on mean torque by the number of cylinders: an analogy from aircraft, to be asked for by hand.

    cylinders: one or more. CS 22.361(b), 14 CFR 27.361(b): 1.33 for five and more, 2 for four, 3 for three, 4 for
    two; one is taken as two. Never multiplied with a clutch that is dropped.
    Raises InputError for none.

    >>> torque_pulse(2), torque_pulse(6)
    (4.0, 1.33)
    """
    if cylinders < 1:
        raise InputError(f"cylinders = {cylinders}, must be 1 or more")
    return PULSES.get(cylinders, 1.33)
