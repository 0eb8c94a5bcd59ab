"""The table [[keep_out]] of a bay file: a shape or a file of one, its side, and how it moves. mm, degrees."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.bay.schema.standing import SHORTEST, SIDES, At
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import (
    choice,
    deg,
    direction,
    mm,
    point,
    section,
    text,
)
from brackets.core.vectors import cross, dot, length, sub, unit

MESH_UNITS = ("mm", "cm", "m", "in")

SEEN_FROM = ("outside", "inside")

THIN = 0.01
"""mm: the thinnest box and the shortest tube; a sheet of paper is ten times as thick."""

PARALLEL = 1e-6
"""Sine of the angle between a rail and its `up` below which it is not known how the section is turned."""


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
