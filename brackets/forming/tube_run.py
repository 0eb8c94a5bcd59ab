"""A tube from point to point as it is typed, what its ends meet, and the lines of its axis.

Points are mm in one frame, the part's.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.schema.rows import od_wall
from brackets.core.tables.kinds import tube
from brackets.core.vectors import Vec, length, sub, unit
from brackets.model.bent_tube import frames
from brackets.model.cope import tube_place
from brackets.model.tube import Which


@dataclass(frozen=True)
class Cylinder:
    """A round thing that a tube is coped to: a cup, an upright bung, a rail.

    at: the middle of its axis, mm; axis: its direction; od: mm; length: mm, None for longer than matters; wall: mm,
    None where it is not known.
    """

    name: str
    at: Vec
    axis: Vec
    od: float
    length: float | None = None
    wall: float | None = None


@dataclass(frozen=True)
class PlaneTarget:
    """A flat that a tube is cut to, such as the face of a plate.

    at: a point of it, mm; normal: square to it; t: thickness of the plate, mm, None where it is not known.
    """

    name: str
    at: Vec
    normal: Vec
    t: float | None = None


@dataclass(frozen=True)
class Bung:
    """A bung in the end of a tube: its shoulder stands square to the tube, its spigot goes up the bore.

    at: a point of the shoulder, mm; spigot_od: mm.
    """

    name: str
    at: Vec
    spigot_od: float


@dataclass(frozen=True)
class Mitre:
    """Another tube, met end to end: both are cut to the plane half way between them.

    tube: its name.
    """

    tube: str


JointTarget = str | Cylinder | PlaneTarget | Bung | Mitre
"""What an end meets; a str names another tube of the layout, which this one is coped to."""

Meets = JointTarget | tuple[JointTarget, ...]
"""One thing, or several in the order the cuts are made; () is a square end."""


def several(meets: Meets) -> tuple[JointTarget, ...]:
    """The things as a tuple, whichever way they were given."""
    return meets if isinstance(meets, tuple) else (meets,)


def name_of(met: JointTarget) -> str:
    """The name of the thing that is met."""
    if isinstance(met, str):
        return met
    return met.tube if isinstance(met, Mitre) else met.name


SIZE = tube("tube of a layout")


@dataclass(frozen=True)
class Run:
    """One tube from point to point, before it is cut.

    size: od x wall as text, "38x3" or "1-1/2in x 0.095in"; points: two for a straight tube, more for a bent one,
    mm; start, end: what its ends meet: the name of another tube, a Cylinder, PlaneTarget, Bung or Mitre, or several
    in the order they are cut; () for a square end;
    bend_r: radius of a bent tube's centre line, mm; leg: of its welds, mm, None for its wall;
    up: the direction that its 90 degree line is scribed towards, where the clock line is 0;
    material: as the table of materials has it.
    """

    name: str
    size: str
    points: tuple[Vec, ...]
    start: Meets = ()
    end: Meets = ()
    bend_r: float | None = None
    leg: float | None = None
    up: Vec | None = None
    material: str = "S235"

    @property
    def od(self) -> float:
        return od_wall(str(SIZE.from_text(self.size, name="size")))[0]

    @property
    def wall(self) -> float:
        return od_wall(str(SIZE.from_text(self.size, name="size")))[1]

    def meets(self, which: Which) -> tuple[JointTarget, ...]:
        """What one end meets, in the order of the cuts."""
        return several(self.start if which == "start" else self.end)

    def problems(self) -> list[str]:
        """What is wrong with the run by itself, a line each."""
        found: list[str] = []
        try:
            SIZE.from_text(self.size, name="size")
        except InputError as error:
            found += error.problems
        if len(self.points) < 2:
            found.append(f"points = {len(self.points)}, two or more: a tube between points")
        elif any(not length(sub(a, b)) > 0 for a, b in pairwise(self.points)):
            found.append("points = two that are one, each must differ from the next: a tube between points")
        if (len(self.points) > 2) != (self.bend_r is not None):
            found.append(
                f"bend_r = {self.bend_r}, a radius for a bent tube (3 points or more) and none for a straight"
            )
        return [f"{self.name}: {line}" for line in found]


@dataclass(frozen=True)
class Line:
    """A stretch of a tube's axis: from `a` to `b`, with the frame of its straight."""

    a: Vec
    b: Vec
    place: Place

    @property
    def way(self) -> Vec:
        return unit(sub(self.b, self.a))


def lines(run: Run) -> tuple[Line, ...]:
    """The straights of a run's axis between its points; frames carried along without twist."""
    first = tube_place(run.points[0], run.points[1], up=run.up)
    return tuple(
        Line(a, b, place) for (a, b), place in zip(pairwise(run.points), frames(run.points, first), strict=True)
    )
