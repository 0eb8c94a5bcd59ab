"""Ears on the corner of a square or rectangular tube: their feet are cut with a V astride it.

Frame as for loose ears: origin at the bush centre, z the bush axis, y towards the seat. The two arms of the V lie
on the tube's flats; its root is relieved by a hole about the sharp corner with the radius of the tube's, so
that the arms begin where the flats do. The end of each arm is cut square, as high as the ear is thick: no feather
is welded. Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from brackets.core.place import Place
from brackets.core.schema.bounds import at_least, at_most
from brackets.core.tables.fasteners import hole
from brackets.core.vectors import Vec, add, cross, scale, square_to, unit
from brackets.geometry.curve import Outline
from brackets.geometry.regions import cut, single
from brackets.geometry.shapes import circle, polygon, round_hull
from brackets.library.ears import BEYOND, FACES, LEAST_METAL, Ears, FlatSeat, pivot_seat
from brackets.model.holes import Point, bolt_hole
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.model.plate import Plate, Wall
from brackets.model.weld import Along, Weld

LEAST_ARM = 5.0
"""mm of each arm that must lie on its flat, past the relief: enough to weld; common practice, no source."""

STEEPEST = 40.0
"""Degrees by which a flat may lean along the bush axis: an ear is cut square."""

FLATTEST = 85.0
"""Degrees from across the ear that an arm may lie at most: beyond it the V no longer looks at the bush."""

ROOT = math.sqrt(2.0)
"""Width across a V of 90 degrees, in lengths of its arms."""


@dataclass(frozen=True, kw_only=True)
class CornerSeat:
    """A rail's corner that ears stand astride.

    Its sharp edge passes (offset, reach, 0) along (tan side, tan slope, 1), in the frame of the ears, mm; slope,
    side: degrees; radius: outside, of the rail's corner, mm; flat: the narrower of the two flats beside it, mm;
    lean: degrees that the V is turned about the edge, from x towards y, 0 where it opens away from the bush.
    """

    reach: float
    radius: float
    flat: float
    offset: float = 0.0
    lean: float = 0.0
    slope: float = 0.0
    side: float = 0.0

    @cached_property
    def edge(self) -> Vec:
        return unit((math.tan(math.radians(self.side)), math.tan(math.radians(self.slope)), 1.0))

    @cached_property
    def normals(self) -> tuple[Vec, Vec]:
        """Into the rail through its left and its right flat."""
        down = unit(square_to((0.0, 1.0, 0.0), self.edge))
        right, turn = cross(down, self.edge), math.radians(self.lean)
        middle = add(scale(down, math.cos(turn)), scale(right, -math.sin(turn)))
        across = cross(middle, self.edge)
        return unit(add(middle, across)), unit(add(middle, scale(across, -1.0)))

    def flat_start(self, along: Vec, z: float) -> Point:
        """Where the flat that runs `along` from the sharp edge begins, past the round of the corner, at `z`."""
        ex, ey, ez = self.edge
        back = (z - self.radius * along[2]) / ez
        return (self.offset + self.radius * along[0] + back * ex, self.reach + self.radius * along[1] + back * ey)

    @property
    def flats(self) -> tuple[FlatSeat, FlatSeat]:
        """The left and the right face as flats through the sharp edge. Only where both look at the bush's side."""
        left, right = (
            FlatSeat(
                reach=self.reach,
                offset=self.offset,
                lean=math.degrees(math.atan2(-x, y)),
                slope=math.degrees(math.atan2(-z, y)),
            )
            for x, y, z in self.normals
        )
        return left, right

    def widest(self) -> float:
        """Width across the V whose arms end where the narrower flat does, mm."""
        return ROOT * (self.radius + self.flat)

    def seats(self, foot: float) -> tuple[Seat, Seat]:
        """On either flat, in the middle of an arm of a V `foot` mm wide, z into the rail."""
        left, right = self.normals
        at: Vec = (self.offset, self.reach, 0.0)
        far = (self.radius + foot / ROOT) / 2
        found = [
            Seat(name=name, place=Place(add(at, scale(along, far)), normal, self.edge), kind="face")
            for name, normal, along in (("foot_left", left, right), ("foot_right", right, left))
        ]
        return found[0], found[1]


@dataclass(frozen=True)
class Vee:
    """The V in one ear, in its plane: the sharp corner, the ways that its left and right arm go from there, and the
    radius of its relief, mm."""

    root: Point
    left: Point
    right: Point
    relief: float

    def at(self, way: Point, far: float, off: float = 0.0) -> Point:
        """`far` mm along an arm, and `off` mm from it into the ear."""
        (x, y), (dx, dy) = self.root, way
        side = 1.0 if way == self.right else -1.0
        return (x + far * dx + side * off * dy, y + far * dy - side * off * dx)


def vee(on: CornerSeat, low: float, high: float) -> Vee:
    """The V of an ear between these levels of z: cut square, where either flat comes nearest the bush.

    Its relief has the radius of the corner; on a rail that slopes more, so that an arm begins where its flat does
    through all of the ear.
    """
    left, right = (flat.met(low, high) for flat in on.flats)
    (lx, ly), (rx, ry) = left.along, right.along
    # the point of both lines: (offset, left.reach) + s along the left one
    s = (left.reach - right.reach) * rx / (lx * ry - ly * rx)
    root, ways = (on.offset + s * lx, left.reach + s * ly), ((-lx, -ly), (rx, ry))
    starts = [
        (x - root[0]) * way[0] + (y - root[1]) * way[1]
        for way, along in zip(ways, reversed(on.normals), strict=True)
        for x, y in (on.flat_start(along, z) for z in (low, high))
    ]
    return Vee(root, *ways, relief=max(starts))


def corner_rules(ears: Ears, on: CornerSeat) -> Iterator[str]:
    """What is wrong with ears on a rail's corner: yields a line each, nothing where they will do.

    ears: their sizes, `foot` being the width across the V; on: the corner.

    >>> ears = Ears(bolt="M12", inside=52, ear_r=22, t=6, foot=12, leg=5)
    >>> for line in corner_rules(ears, CornerSeat(reach=60, radius=5, flat=40)):
    ...     print(line)
    foot = 12 mm, 14.15 mm or more: each arm of the V lies 5 mm on its flat, ...
    """
    bore = hole(ears.bolt, "pivot")
    if ears.ear_r < bore / 2 + LEAST_METAL:
        yield at_least("ear_r", ears.ear_r, bore / 2 + LEAST_METAL, f"metal round a {bore:g} hole for {ears.bolt}")
    if ears.foot > on.widest() + 1e-9:
        why = f"the arms of the V end where a flat of {on.flat:g} mm does"
        yield at_most("foot", ears.foot, on.widest(), why)
    steep = max(math.degrees(math.asin(abs(z))) for *_, z in on.normals)
    turned = max(abs(flat.lean) for flat in on.flats)
    if steep > STEEPEST or turned > FLATTEST:
        yield (
            f"slope = {on.slope:g} deg, side_angle = {on.side:g} deg, lean = {on.lean:g} deg, smaller: a flat leans"
            f" {steep:.0f} deg along the bush axis, {STEEPEST:g} or less, and one {turned:.0f} deg across the ear,"
            f" {FLATTEST:g} or less"
        )
        return
    beside = min(flat.clear((0.0, 0.0), z) for flat in on.flats for z in (-ears.inside / 2, ears.inside / 2))
    if beside <= 0:
        yield (
            f"offset = {on.offset:g} mm, lean = {on.lean:g} deg, smaller: the bush lies {-beside:.1f} mm behind"
            " one of the flats, and looks at the other alone"
        )
        return
    cuts = [vee(on, z - ears.t / 2, z + ears.t / 2) for z in ears.levels]
    relief = max(v.relief for v in cuts)
    if ears.foot < ROOT * (relief + LEAST_ARM):
        why = f"each arm of the V lies {LEAST_ARM:g} mm on its flat, past a relief of radius {relief:.4g}"
        yield at_least("foot", ears.foot, ROOT * (relief + LEAST_ARM), why)
    least = max(ears.ear_r, bore / 2 + LEAST_METAL + relief)
    near = min(math.hypot(*v.root) for v in cuts)
    if near < least:
        yield (
            f"reach = {on.reach:g} mm, {least - near:.1f} more: the corner is {near:.1f} mm from the bush centre,"
            f" {least:g} or more, past the ear's round and the metal under its hole"
        )


def on_corner(ears: Ears, on: CornerSeat, *, name: str = "ears") -> Part:
    """A part of two loose ears that stand astride a rail's corner, welded on both faces along both arms of the V.

    ears: their sizes, `foot` being the width across the V; on: the corner; name: of the part. Its pieces are
    "ear_front" and "ear_rear", its seats "bush" at the origin, "foot_left" and "foot_right" on the rail's flats.
    `corner_rules` says which sizes go together. On a rail that slopes each ear is cut square, to its own length.

    >>> ears = Ears(bolt="M12", inside=52, ear_r=22, t=6, foot=42, leg=5)
    >>> part = on_corner(ears, CornerSeat(reach=60, radius=5, flat=40))
    >>> [round(v, 2) for v in part.pieces[0].wall.outline.bounds]  # the V opens from 60 to 60 + 42 / 2
    [-25.24, -22.0, 25.24, 81.0]
    """
    pieces, welds = [], []
    for piece, level in zip(("ear_front", "ear_rear"), ears.levels, strict=True):
        v = vee(on, level - ears.t / 2, level + ears.t / 2)
        outline = _outline(ears, v)
        opening = bolt_hole((0.0, 0.0), ears.bolt, kind="pivot", name="pivot")
        pieces.append(
            Plate(
                name=piece,
                place=Place((0.0, 0.0, level - ears.t / 2)),
                wall=Wall(outline=outline, openings=(opening,)),
                t=ears.t,
                material=ears.material,
            )
        )
        arm = ears.foot / ROOT
        runs = (
            ("foot_right", v.at(v.right, arm), v.at(v.right, v.relief)),
            ("foot_left", v.at(v.left, v.relief), v.at(v.left, arm)),
        )
        welds += [
            Weld(piece=piece, edge=Along(start, end, face), onto=onto, leg=ears.leg)
            for onto, start, end in runs
            for face in FACES
        ]
    return Part(name=name, pieces=tuple(pieces), welds=tuple(welds), seats=(pivot_seat(), *on.seats(ears.foot)))


def _outline(ears: Ears, v: Vee) -> Outline:
    arm = ears.foot / ROOT
    ends = [v.at(way, arm, off) for way in (v.left, v.right) for off in (0.0, ears.t)]
    ear = round_hull([(0.0, 0.0, ears.ear_r), *((x, y, 0.0) for x, y in ends)])
    left, right = v.at(v.left, BEYOND), v.at(v.right, BEYOND)
    deep = (left[0] + right[0] - v.root[0], left[1] + right[1] - v.root[1])
    what = "ear left outside the rail's corner"
    cut_out = single(cut(ear, polygon([v.root, right, deep, left])), what)
    return single(cut(cut_out, circle(v.root, v.relief)), what)
