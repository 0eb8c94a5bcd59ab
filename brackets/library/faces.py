"""Plates on a casting's face: bosses in space become a bolt pattern in the plate's own plane.

The plate's frame: z out of the casting, origin where asked, lower face on the highest boss.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.parts import WASHER
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import hole
from brackets.core.vectors import Vec, dot, unit
from brackets.geometry.curve import Outline
from brackets.geometry.distance import distance, distance_between
from brackets.library.rounds import ring
from brackets.model.holes import Hole, HoleKind, Point, Slot, bolt_hole
from brackets.model.piece import Seat
from brackets.model.tube import Turned

LEVEL = 1e-6
"""Bosses nearer to the highest than this need no spacer, mm."""

LOW = 40.0
"""How much lower than the highest a boss under one plate may be, mm: a longer spacer bends its bolt; our choice."""

NEAR = 0.05
"""How far a washer that was measured may be from what the bosses ask for, mm: what a calliper tells."""


def edge_for(size: str) -> float:
    """Distance from the middle of a bolt's hole to the edge that the trade would pick, mm.

    Two hole diameters, or the washer's radius and 2 mm, whichever is more: common practice, no source. size: the
    bolt, as "M10". Raises InputError for a size that the table has not.

    >>> edge_for("M10")  # two holes of 11; the washer asks 20 / 2 + 2
    22.0
    """
    return max(2 * hole(size, "boss"), bolt(size).washer_od / 2 + 2)


def level_problems(bosses: Sequence[Vec], normal: Vec) -> Iterator[str]:
    """Refuses bosses that no plate goes over, since one is more than 40 mm lower than another: yields a line then.

    bosses: points, mm; normal: direction out of the casting.

    >>> list(level_problems([(0, 0, 0), (50, 0, 40)], (0, 0, 1)))
    []
    >>> list(level_problems([(0, 0, 0), (50, 0, 41)], (0, 0, 1)))
    ['bosses = 41 mm apart in height, 40 or less: spacers under one plate']
    """
    rises = [dot(point, unit(normal)) for point in bosses]
    apart = max(rises) - min(rises)
    if apart > LOW:
        yield f"bosses = {apart:g} mm apart in height, {LOW:g} or less: spacers under one plate"


def washer_findings(measured: Mapping[str, float], low: Mapping[str, float], *, piece: str) -> Iterator[Finding]:
    """Remarks washers that do not fill what their boss is lower by: one of the two was measured wrong.

    measured: thickness of the washer at a boss, mm, by the boss's name; low: how much lower each boss is than the
    highest, mm, by name; piece: the plate they are under.

    >>> [f.value for f in washer_findings({"E3": 3.0}, {"E2": 0.0, "E3": 3.5}, piece="plate")]
    [3.0]
    """
    for name, lower in low.items():
        if name in measured and WASHER.over(abs(measured[name] - lower), NEAR):
            yield WASHER.finding(
                piece=piece,
                value=measured[name],
                limit=lower,
                sentence=f"washer {measured[name]:g} at {name}, the boss stands {lower:g} mm lower: measure again",
            )


@dataclass(frozen=True, kw_only=True)
class Face:
    """Bosses seen from outside the casting: where each is in the plane of a plate that lies on the highest.

    place: the plate's frame in that of the bosses, z out of the casting; points: (x, y) of each in it, mm; low: mm
    that each lies below the highest.
    """

    place: Place
    points: tuple[Point, ...]
    low: tuple[float, ...]

    @classmethod
    def on(cls, bosses: Sequence[Vec], normal: Vec, *, origin: Vec, up: Vec) -> Face:
        """The face of `bosses` with `normal` out of the casting; origin and up are made to lie in it."""
        n = unit(normal)
        heights = [sum(a * b for a, b in zip(p, n, strict=True)) for p in bosses]
        top = max(heights)
        rise = top - sum(a * b for a, b in zip(origin, n, strict=True))
        at = (origin[0] + rise * n[0], origin[1] + rise * n[1], origin[2] + rise * n[2])
        place = Place(at, n, up)
        local = [place.local(p) for p in bosses]
        return cls(
            place=place,
            points=tuple((x, y) for x, y, _ in local),
            low=tuple(top - height for height in heights),
        )

    def spacers(self, size: str) -> tuple[Turned, ...]:
        """A turned washer under the plate at every boss that stands lower, in the plate's frame."""
        return spacers(self.points, self.low, size)

    def seats(self) -> tuple[Seat, ...]:
        """A boss seat at each boss, z into the casting, in the plate's frame."""
        return tuple(
            Seat(
                name=f"boss_{i}",
                place=Place((x, y, -low), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0)),
                kind="boss",
            )
            for i, ((x, y), low) in enumerate(zip(self.points, self.low, strict=True), 1)
        )


def spacers(points: Sequence[Point], low: Sequence[float], size: str) -> tuple[Turned, ...]:
    """Turned washers that fill the gap between a plate and the bosses that stand lower than the highest.

    points: (x, y) of the bosses, mm; low: mm that each lies below z = 0, as many; size: the bolt, whose washer and
    hole they are as wide as. One for each boss lower than LEVEL, from z = -low up to z = 0. Raises InputError for a
    size that the table has not.

    >>> [(ring.name, ring.length, ring.place.at) for ring in spacers([(0, 0), (40, 0)], (0, 1.5), "M10")]
    [('spacer_2', 1.5, (40.0, 0.0, -1.5))]
    """
    rings = []
    for i, ((x, y), step) in enumerate(zip(points, low, strict=True), 1):
        if step > LEVEL:
            made = ring(f"spacer_{i}", od=bolt(size).washer_od, bore=hole(size, "boss"), length=step)
            rings.append(made.placed(Place(at=(x, y, -step))))
    return tuple(rings)


def boss_holes(
    points: Sequence[Point], size: str, *, kind: HoleKind = "boss", name: str = "hole_"
) -> tuple[Hole, ...]:
    """One hole for a bolt at each boss, named and numbered from 1.

    points: (x, y) of the bosses, mm; size: the bolt, as "M10"; kind: as for `bolt_hole`; name: what goes before the
    number. Raises InputError for a size or kind that the table has not.

    >>> [(hole.name, hole.d) for hole in boss_holes([(0, 0), (40, 0)], "M10")]  # ISO 273 medium
    [('hole_1', 11.0), ('hole_2', 11.0)]
    """
    return tuple(bolt_hole(at, size, kind=kind, name=f"{name}{i}") for i, at in enumerate(points, 1))


def opening_ends(openings: Sequence[Hole | Slot]) -> tuple[Point, ...]:
    """Every place that a bolt can get to, (x, y) mm: a round hole's middle, both ends of a slot.

    openings: of a plate, by `boss_holes` or `slotted_holes`.

    >>> opening_ends([bolt_hole((0, 5), "M10"), slotted(bolt_hole((40, 0), "M10"), 12)])
    ((0, 5), (34.0, 0.0), (46.0, 0.0))
    """
    return tuple(p for one in openings for p in ((one.a, one.b) if isinstance(one, Slot) else (one.at,)))


def opening_rules(outline: Outline, holes: Sequence[Hole | Slot], *, least: float) -> Iterator[str]:
    """What is wrong with holes in a plate: yields a line for each that is too near the edge or another hole.

    outline: of the plate; holes: round holes and slots in its plane; least: mm of metal that must be left.

    >>> print(*opening_rules(rectangle(40, 20), [bolt_hole((0, 5), "M10", name="a")], least=3))
    a = 0, 5 d 11 mm, 3 mm or more inside the outline: -0.50 mm is left
    """
    for hole_ in holes:
        left = _left(outline, hole_)
        if left < least:
            yield f"{hole_.name} = {_said(hole_)}, {least:g} mm or more inside the outline: {left:.2f} mm is left"
    for i, a in enumerate(holes):
        for b in holes[i + 1 :]:
            left = _web(a, b)
            if left < least:
                yield f"{a.name} and {b.name} = {left:.2f} mm apart, {least:g} mm or more between the holes"


def _left(outline: Outline, opening: Hole | Slot) -> float:
    """Metal between an opening and the edge, mm; of a slot that an end lies past, how far the end does."""
    if isinstance(opening, Hole):
        return distance(outline, opening.at) - opening.d / 2
    ends = min(distance(outline, p) for p in (opening.a, opening.b)) - opening.d / 2
    return ends if ends <= 0 else distance_between(outline, opening.outline).distance


def _web(a: Hole | Slot, b: Hole | Slot) -> float:
    if isinstance(a, Hole) and isinstance(b, Hole):
        return math.dist(a.at, b.at) - (a.d + b.d) / 2
    return distance_between(a.outline, b.outline).distance


def _said(opening: Hole | Slot) -> str:
    if isinstance(opening, Hole):
        return f"{opening.at[0]:g}, {opening.at[1]:g} d {opening.d:g} mm"
    (ax, ay), (bx, by) = opening.a, opening.b
    return f"{ax:g}, {ay:g} to {bx:g}, {by:g} d {opening.d:g} mm"
