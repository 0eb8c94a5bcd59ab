"""Stud arm: a plate on a casting's bosses and a shelf square to it, for one end of a bobbin, gussets under it.

Bosses and the middle of the shelf's flat are points of the bay, so the part comes out where it stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated

from brackets import (
    PLATE,
    WORKED_OUT,
    Checked,
    Face,
    Finding,
    FindingRule,
    Hole,
    Outline,
    Part,
    Place,
    Seat,
    StudShelf,
    Turned,
    Vec,
    boss_holes,
    caution,
    degrees_between,
    direction,
    edge_for,
    follows,
    mm,
    name_problems,
    opening_rules,
    plate,
    point,
    points,
    round_hull,
    row,
    scale,
    spacers,
    square_to,
    stock,
    stud_shelf,
    texts,
    unit,
)
from brackets.library.faces import level_problems
from brackets.library.stud_shelf import BESIDE, foot_corners

SQUARE, MOST = 0.5, 15.0
"""Degrees by which the stud may lean out of the plate before it is said, and at all: the shelf is square to it."""

LEAST = 1.0
"""mm: least metal between openings."""


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bosses: Annotated[
        tuple[Vec, ...], points(3, "threaded bosses under the plate", at_least=2, at_most=12, takes="bosses")
    ] = ((-60.0, 0.0, 30.0), (60.0, 0.0, 30.0))
    boss_names: Annotated[tuple[str, ...], texts("names of the bosses", at_most=12, takes="boss names")] = ()
    normal: Annotated[Vec, direction("direction out of the casting", takes="boss normal")] = (0.0, -1.0, 0.0)
    boss_bolt: Annotated[str, row("bolt", "bolts into the bosses", takes="boss bolt")] = "M10"
    threads: Annotated[
        tuple[str, ...], texts("thread of each boss, where they differ", at_most=12, takes="boss threads")
    ] = ()
    stud: Annotated[Vec, point(3, "middle of the flat under the bobbin", takes="bush centre")] = (0.0, -60.0, 0.0)
    stud_axis: Annotated[Vec, direction("direction out of that flat", takes="bush axis")] = (0.0, 0.0, -1.0)
    od: Annotated[float, mm(10, 200, "outside of the bobbin", takes="bobbin od")] = 50.0
    thread: Annotated[str, row("bolt", "its stud, or the bolt into it", takes="bobbin thread")] = "M10"
    plate_t: Annotated[float, stock(PLATE, "plate on the bosses", lo=4.0, hi=16.0)] = 8.0
    edge: Annotated[float | None, mm(8, 60, "boss hole's centre to the plate's edge"), follows("edge_used")] = None
    t: Annotated[float, stock(PLATE, "plate of the shelf", lo=3.0, hi=12.0)] = 6.0
    width: Annotated[float, mm(20, 250, "width of the shelf"), follows("width_for_bobbin")] = WORKED_OUT
    front: Annotated[float, mm(10, 150, "stud to the shelf's free end"), follows("front_for_bobbin")] = WORKED_OUT
    radius: Annotated[float, mm(0, 60, "radius of its free corners")] = 8.0
    gusset_t: Annotated[float, stock(PLATE, "gussets", lo=2.0, hi=10.0)] = 5.0
    gusset_along: Annotated[float, mm(10, 250, "gusset along the shelf"), follows("to_the_stud")] = WORKED_OUT
    gusset_down: Annotated[float, mm(15, 150, "gusset along the plate")] = 40.0
    leg: Annotated[float, mm(2, 12, "leg of the welds")] = 5.0

    @property
    def names(self) -> tuple[str, ...]:
        return self.boss_names or tuple(f"boss_{i}" for i in range(1, len(self.bosses) + 1))

    @property
    def sizes(self) -> tuple[str, ...]:
        return self.threads or (self.boss_bolt,) * len(self.bosses)

    @property
    def edge_used(self) -> float:
        return max(map(edge_for, self.sizes)) if self.edge is None else self.edge

    @property
    def width_for_bobbin(self) -> float:
        return self.od + 2 * BESIDE

    @property
    def front_for_bobbin(self) -> float:
        return self.od / 2 + BESIDE

    @property
    def to_the_stud(self) -> float:
        """The gussets end under the stud."""
        return max(self.reach, 10.0)

    @property
    def lean(self) -> float:
        """Degrees by which the stud leans out of the plate."""
        return abs(90.0 - degrees_between(self.normal, self.stud_axis))

    @property
    def up(self) -> Vec:
        """Along the stud, square to the bosses' normal."""
        return square_to(self.stud_axis, unit(self.normal))

    @cached_property
    def face(self) -> Face:
        """The plate's frame: z out of the casting, y along the stud, origin behind the shelf's flat."""
        return Face.on(self.bosses, self.normal, origin=self.stud, up=self.up)

    @property
    def reach(self) -> float:
        """From the stud to the plate, mm."""
        return self.face.place.local(self.stud)[2] - self.plate_t

    @cached_property
    def shelf(self) -> StudShelf:
        return StudShelf.of(self)

    @cached_property
    def outline(self) -> Outline:
        """Round the holes and round the foot of the shelf and its gussets with their welds."""
        holes = [(x, y, self.edge_used) for x, y in self.face.points]
        return round_hull([*holes, *((x, y, self.leg) for x, y in foot_corners(self.shelf))])

    @cached_property
    def holes(self) -> tuple[Hole, ...]:
        made = zip(self.names, self.face.points, self.sizes, strict=True)
        return tuple(boss_holes([at], size, name=f"{name}_")[0] for name, at, size in made)

    def rules(self) -> Iterator[str]:
        named = [*name_problems(self.boss_names, len(self.bosses), self.threads)]
        if self.lean > MOST:
            named.append(f"stud_axis = {self.lean:.1f} deg out of the plate, {MOST:g} or less: the shelf is square")
        yield from named or [*level_problems(self.bosses, self.normal)] or [*self._fits()]

    def _fits(self) -> Iterator[str]:
        yield from self.shelf.rules(reach="stud")
        yield from opening_rules(self.outline, self.holes, least=LEAST)
        yield from self.shelf.washers_off(self.names, self.face.points, self.sizes)


STUD_LEANS = FindingRule(
    code="stud leans",
    breaches=(caution(unit="deg"),),
    asks="The stud of a bobbin lies along the plate on the bosses, so that a shelf square to that is square to it.",
    limit="what a hand-made part is out anyway",
)


def check(p: Params) -> Iterator[Finding]:
    if STUD_LEANS.over(p.lean, SQUARE):
        yield STUD_LEANS.finding(
            piece="shelf",
            value=p.lean,
            limit=SQUARE,
            sentence=f"the stud leans {p.lean:.1f} deg out of the plate, the shelf is square to that: its nut pulls"
            " the bobbin askew",
        )


def build(p: Params) -> Part:
    at = p.face.place
    frame = Place(p.stud, p.up, scale(p.normal, -1.0))
    made = stud_shelf(p.shelf).placed(frame)
    welds = tuple(replace(weld, onto="plate") if weld.onto == "foot" else weld for weld in made.welds)
    washers: list[Turned] = []
    seats = [made.seat("bush")]
    for name, (x, y), low, size in zip(p.names, p.face.points, p.face.low, p.sizes, strict=True):
        washers += [s.renamed(f"washer_{name}").placed(at) for s in spacers([(x, y)], [low], size)]
        seats.append(Seat(name=name, place=at @ Place((x, y, -low), (0.0, 0.0, -1.0)), kind="boss", bolt=size))
    base = plate(p.outline, p.plate_t, openings=p.holes, name="plate", place=at)
    return Part(name="stud_arm", pieces=(base, *made.pieces, *washers), welds=welds, seats=tuple(seats))
