"""The tables of a bay file, row by row: what each key may be. mm, kg, degrees, N; x forward, y left, z up."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated

from brackets.bay.schema.drive_keys import DriveKeys
from brackets.bay.schema.moves_keys import MovesKeys
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import (
    choice,
    deg,
    direction,
    mm,
    number,
    numbers,
    point,
    points,
    text,
    texts,
    yes_no,
)
from brackets.core.vectors import Vec
from brackets.forming.shop_rows import COATING_IN_HOLES
from brackets.hold.typed import press_problems

SIDES = ("chassis", "powertrain")
LINK = "link"
"""The half of a mount that is held by another mount at its other end, and by neither side."""
FITS = ("carries weight", "after the weight is on")
NUTS = ("plain", "all-metal lock", "nylon lock", "none")
HANDS = ("left", "right")
ENDS = ("front", "rear", "left", "right", "top", "bottom")

SHORTEST = 1e-3
"""Least length of a straight leg or a slide, mm, and of a turn, degrees: less is none."""

At = Vec | None


@dataclass(frozen=True, kw_only=True)
class Gap(Checked):
    rest: Annotated[float, mm(0, 500, "gap wanted standing still")]
    moved: Annotated[float, mm(0, 500, "gap wanted at the worst allowed movement")]
    why: Annotated[str, text("where the rule comes from", longest=300)]
    heat: Annotated[bool | None, yes_no("hurt by welding near it; without it by the word that names the class")] = (
        None
    )

    def rules(self) -> Iterator[str]:
        if not self.why.strip():
            yield 'why = "", must say where the rule comes from: "my own habit" will do'


@dataclass(frozen=True, kw_only=True)
class Datum(Checked):
    name: Annotated[str, text("name of the set-up")] = "chassis"
    marks: Annotated[tuple[Vec, ...], points(3, "punch marks", at_least=4, at_most=4)]
    diagonals: Annotated[
        tuple[float, ...], numbers(1, 20000, "taped diagonals, first to last mark", at_least=2, at_most=2)
    ]
    allowed: Annotated[float, mm(0, 50, "difference of the two that is allowed")] = 3.0


@dataclass(frozen=True, kw_only=True)
class CentrePlane(Checked):
    at: Annotated[Vec, point(3, "a point of the plane that left and right are mirrored about")] = (0.0, 0.0, 0.0)
    normal: Annotated[Vec, direction("direction square to it")] = (0.0, 1.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class Lump(Checked):
    name: Annotated[str, text("what it is")]
    mass: Annotated[float, number(0.001, 5000, "mass, kg")]
    at: Annotated[Vec, point(3, "its centre of mass")]
    size: Annotated[Vec, point(3, "a solid box of this size stands for its inertia", lo=0)] = (0.0, 0.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class Boss(Checked):
    name: Annotated[str, text("name of the boss")]
    at: Annotated[Vec, point(3, "middle of its face")]
    normal: Annotated[Vec, direction("direction out of the casting")]
    thread: Annotated[str, text("its thread")] = "M10"
    depth: Annotated[float, mm(0, 200, "usable depth of thread")] = 0.0
    into: Annotated[str, text("material of the casting")] = "cast aluminium"
    engagement: Annotated[float | None, mm(1, 200, "least thread in it, your own figure; else by the casting")] = (
        None
    )
    pos: Annotated[float, mm(0, 20, "how well its place is known, either way")] = 0.5


SIDE_WORDS: Mapping[str, Vec] = {
    "front": (1.0, 0.0, 0.0),
    "rear": (-1.0, 0.0, 0.0),
    "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0),
    "top": (0.0, 0.0, 1.0),
    "bottom": (0.0, 0.0, -1.0),
}
"""The bay's directions as the sides of things are called."""

CORNERS = (
    *(f"{height} {side}" for height in ("top", "bottom") for side in ("left", "right", "front", "rear")),
    *(f"{end} {side}" for end in ("front", "rear") for side in ("left", "right")),
    *SIDE_WORDS,
)
"""What the corner of a rail is called: by the two sides that meet there, by one where it stands on edge."""


@dataclass(frozen=True, kw_only=True)
class Mount(Checked):
    name: Annotated[str, text("name of the mount")]
    bush: Annotated[str, text("bush row")]
    at: Annotated[Vec, point(3, "middle of the bush with the engine at rest, after sag")]
    axis: Annotated[Vec, direction("bush axis; of a bobbin from its chassis end to its powertrain end")]
    fit: Annotated[str, choice(FITS, "when it is bolted up")] = "carries weight"
    cup: Annotated[
        str, choice((*SIDES, LINK), "side that holds the outside of the bush; of a bobbin the one it stays on")
    ] = "powertrain"
    first_end: Annotated[str, choice(SIDES, "bobbin: side that its first end is on")] = "chassis"
    bolt_size: Annotated[str | None, text("bolt through the sleeve; a bobbin has its thread")] = None
    bolt_length: Annotated[
        float | None, mm(10, 400, "length of the bolt; of a bobbin, of each into a tapped end")
    ] = None
    bolt_class: Annotated[str, text("strength class of the bolt")] = "8.8"
    bolt_head: Annotated[
        str | None, choice(ENDS, "where the bolt's head is; without it front, left or top, as the axis runs")
    ] = None
    bolt_washers: Annotated[
        tuple[float, ...], numbers(0, 10, "washers under head and nut", at_least=2, at_most=2)
    ] = (
        1.0,
        1.0,
    )
    bolt_nut: Annotated[str, choice(NUTS, "nut")] = "plain"
    heat: Annotated[
        float | None, number(-50, 500, "hottest that its place becomes, deg C: held against heat of its bush")
    ] = None
    stiffness_pm: Annotated[
        float | None,
        number(0, 0.9, "how well the stiffness of this very bush is known, a part of it; else as its row says")
    ] = None
    play: Annotated[float | None, mm(0, 10, "room between the ears, less the sleeve's length")] = None
    press_least: Annotated[
        float | None, mm(0, 2, "its press fit, where it is not that of all bushes: least interference")
    ] = None
    press_most: Annotated[float | None, mm(0, 2, "its press fit: greatest interference, on the diameter")] = None
    press_shell: Annotated[
        float | None, mm(0, 200, "its press fit: inside of the bush's shell, 0 for a solid one")
    ] = None
    press_friction: Annotated[
        float | None, number(0.01, 1, "its press fit: coefficient of friction, else that of all bushes")
    ] = None
    chassis_part: Annotated[str | None, text("chassis side: part")] = None
    chassis_seat: Annotated[str, text("chassis side: seat of the part at the bush")] = "bush"
    chassis_onto: Annotated[str | None, text("chassis side: keep-out it stands on")] = None
    chassis_corner: Annotated[
        str | None, choice(CORNERS, "chassis side: corner of that rail that its ears stand astride")
    ] = None
    chassis_toward: Annotated[At, direction("chassis side: from the bush towards what it is fixed to")] = None
    powertrain_part: Annotated[str | None, text("powertrain side: part")] = None
    powertrain_seat: Annotated[str, text("powertrain side: seat of the part at the bush")] = "bush"
    powertrain_onto: Annotated[str | None, text("powertrain side: keep-out it stands on")] = None
    powertrain_corner: Annotated[
        str | None, choice(CORNERS, "powertrain side: corner of that rail that its ears stand astride")
    ] = None
    powertrain_toward: Annotated[At, direction("powertrain side: from the bush towards what it is fixed to")] = None
    link_part: Annotated[str | None, text("link with a bush at either end: part")] = None
    link_seat: Annotated[str, text("link: seat of the part at this bush")] = "bush"

    def rules(self) -> Iterator[str]:
        for side in SIDES:
            corner = getattr(self, f"{side}_corner")
            if corner is not None and self.onto(side) is None:
                yield f"{side} corner = {corner}, must be with onto: the rail whose corner it is"
        yield from press_problems(self, f"press fit of {self.name}")

    @property
    def sides(self) -> tuple[str, str]:
        """The two halves that meet here: the two sides, or one of them and a link."""
        if self.link_part is None:
            return ("chassis", "powertrain")
        return ("powertrain" if self.powertrain_part is not None else "chassis", LINK)

    @property
    def ears(self) -> str:
        """The half that holds the sleeve."""
        one, other = self.sides
        return one if self.cup == other else other

    @property
    def parts(self) -> tuple[str, ...]:
        """The parts that meet here, by name."""
        named = (self.chassis_part, self.powertrain_part, self.link_part)
        return tuple(part for part in named if part is not None)

    def onto(self, side: str) -> str | None:
        """The keep-out that one half stands on; a link stands on none."""
        return {"chassis": self.chassis_onto, "powertrain": self.powertrain_onto}.get(side)

    @property
    def holder(self) -> str | None:
        """The part that holds the outside of the bush."""
        found: str | None = getattr(self, f"{self.cup}_part")
        return found


@dataclass(frozen=True, kw_only=True)
class PartRow(Checked):
    name: Annotated[str, text("name of the part")]
    recipe: Annotated[str, text("recipe name, or path beside the bay file", longest=300)]
    mirror_of: Annotated[str | None, text("part this is the other hand of, about the centre plane")] = None
    hand: Annotated[str | None, choice(HANDS, "which hand it is, where its place does not say")] = None
    side: Annotated[str | None, choice(SIDES, "what it is fixed to, where no mount says so")] = None
    kind: Annotated[str, text("class of gap")] = "fixed"
    bosses: Annotated[tuple[str, ...], texts("bosses it is bolted to", at_most=40)] = ()
    placed_by: Annotated[str, choice(("bosses", "bushes"), "which of the two it is set to, where it has both")] = (
        "bosses"
    )
    seats: Annotated[tuple[str, ...], texts("its seats, for reading", at_most=40)] = ()
    at: Annotated[At, point(3, "where its origin stands, where no mount or boss says so")] = None
    axis: Annotated[At, direction("direction of its z")] = None
    up: Annotated[At, direction("direction of its y")] = None
    mirrored: Annotated[bool, yes_no("the other hand of the recipe, mirrored in its own x = 0")] = False
    coating: Annotated[float | None, mm(0, 2, "thickness of paint, powder or zinc on its faces")] = None
    coating_in_holes: Annotated[float | None, mm(0, 2, COATING_IN_HOLES)] = None


@dataclass(frozen=True, kw_only=True)
class Contact(Checked):
    pair: Annotated[tuple[str, ...], texts("two that are meant to touch", at_least=2, at_most=2)]


@dataclass(frozen=True, kw_only=True)
class Accept(Checked):
    code: Annotated[str, text("code of the findings that are accepted, as --json has it")]
    part: Annotated[str, text("what they concern: a part, bolt, bush or keep-out")]
    why: Annotated[str, text("reason it is accepted", longest=300)]
    by: Annotated[str, text("who accepts it")]

    def rules(self) -> Iterator[str]:
        for name in ("code", "part", "why", "by"):
            if not getattr(self, name):
                yield f"{name} = nothing, must not be empty: who accepts what of which part, and why"


@dataclass(frozen=True, kw_only=True)
class Powertrain(DriveKeys, MovesKeys):
    place_at: Annotated[Vec, point(3, "shift of everything on the powertrain side")] = (0.0, 0.0, 0.0)
    place_roll: Annotated[float, deg(-90, 90, "roll about x, left side up")] = 0.0
    place_pitch: Annotated[float, deg(-90, 90, "pitch about y, nose down")] = 0.0
    place_yaw: Annotated[float, deg(-180, 180, "yaw about z, nose left")] = 0.0
    crank_at: Annotated[Vec, point(3, "a point on the crank's axis; turns of the place are about it")] = (
        0.0,
        0.0,
        0.0,
    )
    crank_axis: Annotated[Vec, direction("direction of the crank")] = (1.0, 0.0, 0.0)
    axle_at: Annotated[At, point(3, "a point on the axle, for a transaxle")] = None
    axle_axis: Annotated[Vec, direction("direction of the axle")] = (0.0, 1.0, 0.0)
