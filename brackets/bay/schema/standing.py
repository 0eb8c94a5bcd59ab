"""The tables of a bay file, row by row: what each key may be. mm, kg, degrees, N; x forward, y left, z up."""

from __future__ import annotations

import math
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
    section,
    text,
    texts,
    yes_no,
)
from brackets.core.vectors import Vec, cross, dot, length, sub, unit
from brackets.forming.shop_rows import COATING_IN_HOLES

SIDES = ("chassis", "powertrain")
LINK = "link"
"""The half of a mount that is held by another mount at its other end, and by neither side."""
FITS = ("carries weight", "after the weight is on")
MESH_UNITS = ("mm", "cm", "m", "in")
SEEN_FROM = ("outside", "inside")
NUTS = ("plain", "all-metal lock", "nylon lock", "none")
HANDS = ("left", "right")
ENDS = ("front", "rear", "left", "right", "top", "bottom")

SHORTEST = 1e-3
"""Least length of a straight leg or a slide, mm, and of a turn, degrees: less is none."""

THIN = 0.01
"""mm: the thinnest box and the shortest tube; a sheet of paper is ten times as thick."""

PARALLEL = 1e-6
"""Sine of the angle between a rail and its `up` below which it is not known how the section is turned."""

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
class KeepOut(Checked):
    name: Annotated[str, text("name of the keep-out")]
    side: Annotated[str, choice(SIDES, "what it is fixed to")] = "chassis"
    kind: Annotated[str, text("class of gap")] = "fixed"
    box_from: Annotated[At, point(3, "box: lowest corner")] = None
    box_to: Annotated[At, point(3, "box: highest corner")] = None
    box_at: Annotated[At, point(3, "turned box: origin of its own axes")] = None
    box_axis: Annotated[At, direction("turned box: direction of its z")] = None
    box_up: Annotated[At, direction("turned box: direction of its y")] = None
    tube_from: Annotated[At, point(3, "tube or rod: start of its axis")] = None
    tube_to: Annotated[At, point(3, "tube or rod: end of its axis")] = None
    tube_od: Annotated[float | None, mm(0.5, 2000, "tube or rod: outside")] = None
    tube_wall: Annotated[float | None, mm(0.2, 100, "tube: wall; without it a solid rod")] = None
    wall: Annotated[float | None, mm(0.2, 100, "box: wall of a hollow section, for its bolts")] = None
    rail_from: Annotated[At, point(3, "rail: start of its middle line")] = None
    rail_to: Annotated[At, point(3, "rail: end of its middle line")] = None
    rail_size: Annotated[
        tuple[float, float] | None, section(5, 1000, "rail: width x height outside, height along up")
    ] = None
    rail_wall: Annotated[float | None, mm(0.2, 100, "rail: wall, ends open; without it a solid bar")] = None
    rail_up: Annotated[At, direction("rail: direction of its height; without it straight up")] = None
    rail_open: Annotated[
        At, direction("rail: a channel, the way its open side looks, across its height; without it closed")
    ] = None
    rail_corner: Annotated[
        float | None, mm(0, 100, "rail: outside radius of its corners; without it square, the larger body")
    ] = None
    doubler_of: Annotated[str | None, text("box: the sheet it stiffens, another keep-out; the two may touch")] = (
        None
    )
    mesh: Annotated[str | None, text("STL, OBJ or PLY file beside the bay file", longest=300)] = None
    step: Annotated[str | None, text("STEP file beside the bay file", longest=300)] = None
    unit: Annotated[str | None, choice(MESH_UNITS, "unit of the mesh file's numbers")] = None
    scanned: Annotated[str | None, choice(SEEN_FROM, "mesh that is open: side it was scanned from")] = None
    at: Annotated[At, point(3, "mesh or STEP: where its origin stands")] = None
    axis: Annotated[At, direction("mesh or STEP: direction of its z")] = None
    up: Annotated[At, direction("mesh or STEP: direction of its y")] = None
    pos: Annotated[float | None, mm(0, 20, "how true its surface is, either way")] = None
    moves_about: Annotated[At, point(3, "turns by itself: a point of the line it turns about")] = None
    moves_axis: Annotated[At, direction("turns by itself: direction of that line")] = None
    moves_from: Annotated[float | None, deg(-180, 0, "turns by itself: least, right-handed, 0 as drawn")] = None
    moves_to: Annotated[float | None, deg(0, 180, "turns by itself: greatest")] = None
    moves_by: Annotated[At, point(3, "slides by itself: how far along x, y and z, 0 as drawn")] = None
    moves_back: Annotated[float | None, mm(0, 1000, "slides by itself: how far the other way")] = None

    def rules(self) -> Iterator[str]:
        yield from self._moves_rules()
        shapes = {
            "box": self.box_from is not None or self.box_to is not None,
            "tube": self.tube_from is not None or self.tube_to is not None,
            "rail": self.rail_from is not None or self.rail_to is not None or self.rail_size is not None,
            "mesh": self.mesh is not None,
            "step": self.step is not None,
        }
        there = [name for name, is_there in shapes.items() if is_there]
        if len(there) != 1:
            yield f"shape = {' and '.join(there) or 'none'}, exactly one of box, tube, rail, mesh, step: a keep-out"
            return
        if shapes["box"]:
            yield from self._box_rules()
        if shapes["tube"] and (self.tube_from is None or self.tube_to is None or self.tube_od is None):
            yield "tube = incomplete, from, to and od: a tube or rod"
        elif self.tube_from and self.tube_to and math.dist(self.tube_from, self.tube_to) < THIN:
            yield f"tube = from {self.tube_from} to {self.tube_to}, must be {THIN:g} mm or more: a tube or rod"
        elif self.tube_od is not None and self.tube_wall is not None and 2 * self.tube_wall >= self.tube_od:
            yield f"tube_wall = {self.tube_wall:g} mm, below {self.tube_od / 2:g}: half the outside"
        if shapes["rail"]:
            yield from self._rail_rules()
        if self.doubler_of is not None and not shapes["box"]:
            yield f"doubler_of = {self.doubler_of}, only with a box: a plate that stiffens a sheet"
        if self.scanned is not None and not shapes["mesh"]:
            yield f"scanned = {self.scanned}, only with a mesh: side that it was scanned from"
        if shapes["mesh"] and self.unit is None:
            yield f"unit = nothing, one of {', '.join(MESH_UNITS)}: a mesh file does not say what its numbers are"

    @property
    def moves(self) -> bool:
        """Whether it turns or slides by itself."""
        return self.moves_about is not None or self.moves_by is not None

    def _moves_rules(self) -> Iterator[str]:
        turns = (self.moves_about, self.moves_axis)
        ends = (self.moves_from, self.moves_to)
        if any(v is not None for v in (*turns, *ends)):
            if None in turns or ends == (None, None):
                yield "moves = incomplete, about, axis, and from or to: a keep-out that turns"
            elif (self.moves_to or 0.0) - (self.moves_from or 0.0) < SHORTEST:
                typed = f"from {self.moves_from or 0:g} to {self.moves_to or 0:g} deg"
                yield f"moves = {typed}, must be at least {SHORTEST:g} deg in all: a keep-out that turns"
        if self.moves_by is not None and math.hypot(*self.moves_by) < SHORTEST:
            typed = ", ".join(f"{v:g}" for v in self.moves_by)
            yield f"moves by = {typed} mm, must be at least {SHORTEST:g} mm long: a keep-out that slides"
        if self.moves_back is not None and self.moves_by is None:
            yield f"moves back = {self.moves_back:g} mm, only with by, the way it slides: a keep-out that slides"

    def _box_rules(self) -> Iterator[str]:
        if self.box_from is None or self.box_to is None:
            yield "box = incomplete, from and to: its lowest and highest corner"
            return
        for axis, lo, hi in zip("xyz", self.box_from, self.box_to, strict=True):
            if hi - lo < THIN:
                yield f"box {axis} = from {lo:g} to {hi:g} mm, from must be {THIN:g} or more below to: a box"

    def _rail_rules(self) -> Iterator[str]:
        if self.rail_from is None or self.rail_to is None or self.rail_size is None:
            yield "rail = incomplete, from, to and size: a square or rectangular section"
            return
        way, up = sub(self.rail_to, self.rail_from), self.rail_up or (0.0, 0.0, 1.0)
        if length(way) < THIN:
            yield f"rail = from {self.rail_from} to {self.rail_to}, must be {THIN:g} mm or more: a rail"
        elif length(cross(unit(way), unit(up))) < PARALLEL:
            said = "rail_up = straight up (not given)" if self.rail_up is None else f"rail_up = {self.rail_up}"
            yield f"{said}, must not lie along the rail: direction of its height"
        elif self.rail_open is not None:
            across = unit(cross(up, way))
            if abs(dot(unit(self.rail_open), across)) < math.cos(math.radians(45)):
                yield f"rail_open = {self.rail_open}, must look across the rail and its height: the open side"
        if self.rail_open is not None and self.rail_wall is None:
            yield "rail_wall = nothing, must be typed with rail_open: thickness of the channel"
        half = min(self.rail_size) / 2
        if self.rail_wall is not None and self.rail_wall >= half:
            yield f"rail_wall = {self.rail_wall:g} mm, below {half:g}: half the smaller side"
        if self.rail_corner is not None and self.rail_corner > half:
            yield f"rail_corner = {self.rail_corner:g} mm, at most {half:g}: half the smaller side"


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
    bolt_head: Annotated[str, choice(ENDS, "where the bolt's head is")] = "front"
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
