"""Where every wall and bend of a folded piece stands: folded up, and laid out flat.

A wall's frame: x along its bend line, y away from it, z = 0 the face that was down on the bench. The flat is the
frame of the base; places on it have z up. What cannot be folded is refused here, all of it at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from brackets.core.errors import InputError
from brackets.core.place import HERE, Place
from brackets.core.vectors import add, dot, length, scale, square_to, sub, unit
from brackets.geometry.curve import Outline
from brackets.geometry.segments import JOIN, Line, Point, Segment
from brackets.model.bend_allowance import bend_allowance
from brackets.model.plate import Folded, TubeSeat, Wall

STRAIGHT = 1e-9
"""mm: how far a corner may stand off the line past it and still be none; rounding of coordinates up to 1 m."""


def line_place(start: Point, end: Point) -> Place:
    """The frame of a bend line in its parent: x from start to end, y to the left of it."""
    far = math.dist(start, end)
    x, y = (end[0] - start[0]) / far, (end[1] - start[1]) / far
    return Place((start[0], start[1], 0.0), (0.0, 0.0, 1.0), (-y, x, 0.0))


def stretch(outline: Outline, start: Point, end: Point) -> int | None:
    """Which edge of `outline` runs straight over `start` and on to `end`; None where none does."""
    for i, edge in enumerate(outline.segments):
        if isinstance(edge, Line) and _along(edge, start, end):
            return i
    return None


def _along(edge: Line, start: Point, end: Point) -> bool:
    (x, y), (u, v) = edge.tangent(), (end[0] - start[0], end[1] - start[1])
    if x * u + y * v <= 0:
        return False
    return all(math.dist(edge.point(edge.nearest(p)), p) <= JOIN for p in (start, end))


def straightened(outline: Outline) -> Outline:
    """The same outline without corners in the middle of a straight edge."""
    return Outline(merged(outline.segments))


def merged(edges: tuple[Segment, ...]) -> tuple[Segment, ...]:
    """A closed run of edges with straight ones that carry on the one before them made one."""
    run: list[Segment] = []
    for edge in edges:
        if run and _carries_on(run[-1], edge):
            run[-1] = Line(run[-1].a, edge.b)
        else:
            run.append(edge)
    while len(run) > 2 and _carries_on(run[-1], run[0]):
        run[0] = Line(run[-1].a, run[0].b)
        run.pop()
    return tuple(run)


def _carries_on(before: Segment, after: Segment) -> bool:
    """Whether the joint of two straight edges lies on the line between their far ends, to a rounding."""
    if not (isinstance(before, Line) and isinstance(after, Line)):
        return False
    whole = math.dist(before.a, after.b)
    if whole < max(before.length, after.length):
        return False
    (ax, ay), (bx, by), (px, py) = before.a, after.b, before.b
    off = abs((bx - ax) * (py - ay) - (by - ay) * (px - ax)) / whole
    return off <= STRAIGHT


STEEPEST = 150.0
"""Largest bend angle either way, degrees: past it the flange meets the punch."""

SHARPEST = 0.01
"""Smallest inside radius, mm: no punch is sharper, and the solid kernel tells corners apart to 1e-7."""


def value_problems(piece: Folded) -> Iterator[str]:
    """Sizes that make no sense."""
    if not 0 < piece.t < math.inf:
        yield f"t = {piece.t:g} mm, must be over 0: plate thickness"
        return
    common = piece.k
    if common is not None and not 0 <= common <= 1:
        yield f"k = {common:g}, must be 0 to 1: K-factor"
        common = None
    for i, flange in enumerate(piece.flanges, 1):
        if not 0 <= flange.parent < i:
            yield f"flange {i} parent = {flange.parent}, must be 0 to {i - 1}: the base or an earlier flange"
        if not 0 < abs(flange.angle) <= STEEPEST:
            yield (
                f"flange {i} angle = {flange.angle:g} deg, must be over 0 and up to {STEEPEST:g} deg either way: "
                "bend angle"
            )
        elif math.dist(flange.start, flange.end) <= JOIN:
            yield f"flange {i} bend line from {flange.start} to {flange.end}, must have a length"
        elif not flange.inside_radius >= SHARPEST:
            yield (
                f"flange {i} inside_radius = {flange.inside_radius:g} mm, must be at least {SHARPEST:g} mm: "
                "inside radius of a bend"
            )
        else:
            fixed = common if flange.k is None else flange.k
            try:
                bend_allowance(flange.angle, flange.inside_radius, piece.t, fixed)
            except InputError as error:
                yield from (f"flange {i} {problem}" for problem in error.problems)


def line_problems(piece: Folded, bends: Sequence[Bend]) -> Iterator[str]:
    """Bend lines that are not on edges, run over each other or under a tube."""
    outlines = [straightened(wall.outline) for wall in piece.walls()]
    for bend, flange in zip(bends, piece.flanges, strict=True):
        named = "the base" if bend.parent == 0 else f"flange {bend.parent}"
        if stretch(outlines[bend.parent], flange.end, flange.start) is None:
            yield (
                f"flange {bend.number} bend line {_show(flange.start)} to {_show(flange.end)} is not on a straight "
                f"edge of {named} with the metal on its right, must be: where {named} ends and the bend begins"
            )
        if stretch(outlines[bend.number], (0.0, 0.0), (bend.width, 0.0)) is None:
            yield (
                f"flange {bend.number} outline has no straight edge from (0, 0) to ({bend.width:.6g}, 0), must "
                "have: where it hangs on its bend"
            )
    yield from _shared(piece, bends)
    for number, wall in enumerate(piece.walls()):
        lines = [(f.start, f.end) for f in piece.flanges if f.parent == number]
        lines += [((0.0, 0.0), (bends[number - 1].width, 0.0))] if number else []
        for n, seat in enumerate(wall.seats):
            if any(_reaches(seat, line, z) for line in lines for z in (0.0, piece.t)):
                yield f"tube seat {n} of wall {number} r = {seat.r:g} mm reaches a bend line, must stay clear"


def _reaches(seat: TubeSeat, line: tuple[Point, Point], z: float) -> bool:
    """Whether the tube comes over a bend line at height `z` of its wall."""
    axis = unit(seat.axis)
    a, b = (square_to(sub((*p, z), seat.at), axis) for p in line)
    run = sub(b, a)
    along = min(1.0, max(0.0, -dot(a, run) / dot(run, run))) if length(run) > 0 else 0.0
    return length(add(a, scale(run, along))) < seat.r - JOIN


def _shared(piece: Folded, bends: Sequence[Bend]) -> Iterator[str]:
    """Two bends on one stretch of edge, or one on the edge its parent hangs by."""
    for j, later in enumerate(bends):
        lines = [(b.number, piece.flanges[b.number - 1]) for b in bends[:j] if b.parent == later.parent]
        mine = piece.flanges[later.number - 1]
        spans = [(n, f.start, f.end) for n, f in lines]
        if later.parent:
            own = bends[later.parent - 1]
            spans.append((own.number, (own.width, 0.0), (0.0, 0.0)))
        for number, start, end in spans:
            if _overlap(mine.start, mine.end, start, end) > JOIN:
                yield f"flange {later.number} bend line runs over that of flange {number}, must not"


def _overlap(a: Point, b: Point, c: Point, d: Point) -> float:
    """Length two straight runs share, mm; 0 where they are not on one line."""
    at = line_place(a, b)
    p, q = at.local((*c, 0.0)), at.local((*d, 0.0))
    if max(abs(p[1]), abs(q[1])) > JOIN:
        return 0.0
    return min(math.dist(a, b), max(p[0], q[0])) - max(0.0, min(p[0], q[0]))


def _show(p: Point) -> str:
    return f"({p[0]:.6g}, {p[1]:.6g})"


REMEMBERED = 1024
"""Trees kept: a family has some hundreds of folded pieces."""


@dataclass(frozen=True)
class Node:
    """A wall: `place` of its frame in the piece, `flat` of its frame on the flat; `number` 0 is the base."""

    number: int
    wall: Wall
    place: Place
    flat: Place


@dataclass(frozen=True)
class Bend:
    """The bend to wall `number`: a strip `width` by `allowance` between its tangent lines.

    Its frame: x along the parent's tangent line, y away from the parent, z the parent's; `place` in the piece,
    `flat` on the flat. `k_note` says where `k` comes from.
    """

    number: int
    parent: int
    width: float
    angle: float
    inside_radius: float
    t: float
    k: float
    k_note: str
    allowance: float
    place: Place
    flat: Place

    @property
    def rate(self) -> float:
        """mm on the flat for each radian of bend: the radius of the unstretched layer."""
        return self.inside_radius + self.k * self.t

    @property
    def centre(self) -> float:
        """z of the bend's axis in its own frame, mm."""
        return self.t + self.inside_radius if self.angle > 0 else -self.inside_radius

    @property
    def line(self) -> tuple[Point, Point]:
        """Middle of the strip on the flat, where the punch comes down, mm."""
        return self.on_flat((0.0, self.allowance / 2)), self.on_flat((self.width, self.allowance / 2))

    def on_flat(self, p: Point) -> Point:
        """`p` of the strip on the flat."""
        x, y, _ = self.flat.point((p[0], p[1], 0.0))
        return (x, y)

    def beyond(self) -> Place:
        """The frame of the wall that hangs on it, in the bend's frame."""
        turn = math.radians(self.angle)
        far = self.inside_radius + (self.t if self.angle > 0 else 0.0)
        return Place(
            (0.0, far * abs(math.sin(turn)), math.copysign(far, self.angle) * (1 - math.cos(turn))),
            (0.0, -math.sin(turn), math.cos(turn)),
            (0.0, math.cos(turn), math.sin(turn)),
        )


@dataclass(frozen=True)
class Tree:
    """Walls by number, and bends by number less one."""

    walls: tuple[Node, ...]
    bends: tuple[Bend, ...]
    t: float

    def children(self, number: int) -> Iterator[Bend]:
        """Bends that start on wall `number`."""
        return (bend for bend in self.bends if bend.parent == number)


def tree(piece: Folded) -> Tree:
    """Walls and bends of `piece`, in the piece's own frame and on the flat.

    Raises InputError with everything that is wrong: an angle past 150 degrees, a bend line that is not on the
    edge of its parent, a flange whose outline does not start on its bend line, two bends on one stretch of edge.
    """
    return _tree(replace(piece, name="", place=HERE, material="", stock=""))


@lru_cache(maxsize=REMEMBERED)
def _tree(piece: Folded) -> Tree:
    problems = list(value_problems(piece))
    if problems:
        raise InputError(*problems)
    nodes = [Node(0, piece.base, HERE, HERE)]
    bends: list[Bend] = []
    for i, flange in enumerate(piece.flanges, 1):
        parent = nodes[flange.parent]
        at = line_place(flange.start, flange.end)
        fixed = piece.k if flange.k is None else flange.k
        allowance = bend_allowance(flange.angle, flange.inside_radius, piece.t, fixed)
        k = (allowance / math.radians(abs(flange.angle)) - flange.inside_radius) / piece.t
        bend = Bend(
            number=i,
            parent=flange.parent,
            width=math.dist(flange.start, flange.end),
            angle=flange.angle,
            inside_radius=flange.inside_radius,
            t=piece.t,
            k=k if fixed is None else fixed,
            k_note=flange.k_note or ("DIN 6935" if fixed is None else "K given"),
            allowance=allowance,
            place=parent.place @ at,
            flat=parent.flat @ at,
        )
        bends.append(bend)
        over = Place((0.0, allowance, 0.0))
        nodes.append(Node(i, flange.wall, bend.place @ bend.beyond(), bend.flat @ over))
    problems = list(line_problems(piece, bends))
    if problems:
        raise InputError(*problems)
    return Tree(tuple(nodes), tuple(bends), piece.t)
