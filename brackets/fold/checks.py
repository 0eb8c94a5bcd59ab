"""What of a folded piece cannot be folded, said all at once."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from brackets.errors import OutOfRange
from brackets.fold.allowance import bend_allowance
from brackets.fold.lines import line_place, straightened, stretch
from brackets.outline import JOIN, Point
from brackets.pieces import Folded, TubeSeat
from brackets.pieces.vectors import add, dot, length, scale, square_to, sub, unit

if TYPE_CHECKING:
    from brackets.fold.tree import Bend

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
            except OutOfRange as error:
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
