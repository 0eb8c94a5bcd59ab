"""How a base plate is held on what it stands on: welded, or bolted to a solid, through a hollow section, a sheet.

The plate's frame: its lower face at z = 0, what it stands on under that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.parts import CRUSH_TUBE
from brackets.core.tables.bolt_rows import bolt
from brackets.geometry.shapes import rectangle
from brackets.library.faces import boss_holes, edge_for, opening_ends, opening_rules
from brackets.library.plates import plate, round_holes
from brackets.library.rounds import ring
from brackets.model.holes import Hole, Point, Slot, slotted
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.weld import Along, Circle, Weld

WELDED, TO_SOLID, THROUGH_HOLLOW, THROUGH_SHEET = FIXINGS = (
    "welded",
    "bolted to solid",
    "bolted through hollow",
    "bolted through sheet",
)
"""The ways of a fixing; a recipe offers them by `choice(FIXINGS, ...)`."""

ALONG_LENGTH, ALONG_WIDTH = SLOT_WAYS = ("length", "width")
"""Which way the slots of a base run: along its length, x, or its width, y."""

LEAST = 1.0
"""Least metal left beside a hole that the geometry accepts, mm: the trade's edge distance is a finding."""


@dataclass(frozen=True, kw_only=True)
class Fixing:
    """How a base plate is held on what it stands on.

    way: one of FIXINGS; size: of the bolts, as "M10"; points: (x, y) of their holes, mm; through: depth of the
    section or thickness of the sheet, mm; tube_wall: of the crush tubes, mm; crush_tubes: False leaves them out;
    spreader_t: thickness of the spreader plate on the far side, mm; slot: how far the base can be moved on its
    bolts, in all, mm, half of it each way; slot_along: one of SLOT_WAYS; leg: of the welds along both sides of
    one that is welded, mm, None where nobody typed it. Crush tubes and spreader have round holes: they stay with
    the bolts.
    """

    way: str = THROUGH_HOLLOW
    size: str
    points: tuple[Point, ...]
    through: float = 0.0
    tube_wall: float = 3.0
    crush_tubes: bool = True
    spreader_t: float = 0.0
    slot: float = 0.0
    slot_along: str = ALONG_LENGTH
    leg: float | None = None

    @property
    def round_holes(self) -> tuple[Hole, ...]:
        """One for each bolt, where the base stands in the middle of its slots; none where it is welded."""
        return () if self.way == WELDED else boss_holes(self.points, self.size)

    @property
    def holes(self) -> tuple[Hole | Slot, ...]:
        """Those in the base plate."""
        return slotted_holes(self.round_holes, self.slot, self.slot_along)

    @property
    def ends(self) -> tuple[Point, ...]:
        """(x, y) of every place that a bolt can get to in the base: its hole's middle, or both ends of its slot."""
        return opening_ends(self.holes)

    def rules(self, flat_long: float, width: float, *, named: str = "holes") -> Iterator[str]:
        """What is wrong with the holes in a base `flat_long` by `width` mm between its bends, a line each.

        named: what the recipe calls its list of holes.
        """
        if self.way != WELDED and not self.points:
            yield f"{named} = none, one or more: the plate is {self.way}"
        elif flat_long > 0:
            yield from opening_rules(rectangle(flat_long, width), self.holes, least=LEAST)

    def findings(self, *, piece: str) -> Iterator[Finding]:
        """A stop for a hollow section without crush tubes."""
        if self.way == THROUGH_HOLLOW and not self.crush_tubes:
            yield CRUSH_TUBE.finding(
                level="stop",
                piece=piece,
                sentence="bolts through a hollow rail without crush tubes: the rail collapses and the bolts go"
                " loose",
            )


def slotted_holes(holes: Sequence[Hole], travel: float, along: str) -> tuple[Hole | Slot, ...]:
    """Slots in place of bolt holes, so that a plate can be moved on its bolts: half of it each way.

    holes: by `boss_holes`, say, which stay as they are where there is no travel; travel: mm in all; along: one of
    SLOT_WAYS, along x or y of the plate.

    >>> [(one.a, one.b) for one in slotted_holes(boss_holes([(0, 0)], "M10"), 12, "width")]
    [((0.0, -6.0), (0.0, 6.0))]
    """
    return tuple(slotted(hole, travel, angle=0.0 if along == ALONG_LENGTH else 90.0) for hole in holes)


def end_holes(flat_long: float, size: str, slot: float = 0.0) -> tuple[Point, ...]:
    """(x, y) of a bolt near each end of a base on its middle line, mm; of one in its middle where there is no room.

    flat_long: length of the base between its bends, mm; size: of the bolts, as "M10"; slot: range of slots along
    its length, mm.

    >>> end_holes(120, "M10")  # the trade's 22 mm to the edge of each end
    ((-38.0, 0.0), (38.0, 0.0))
    """
    out = flat_long / 2 - edge_for(size) - slot / 2
    return ((-out, 0.0), (out, 0.0)) if out > edge_for(size) / 2 else ((0.0, 0.0),)


def washer_rules(
    points: tuple[Point, ...], size: str, *, half_long: float, low: float, high: float, named: str
) -> Iterator[str]:
    """Refuses bolts whose washer runs into a foot that is welded on the base on either side of its middle line.

    points: (x, y) of the bolts, mm; size: of the bolts; half_long: half the length of a foot along x, mm; low,
    high: mm off the middle line between which a foot stands, its fillets included; named: what the recipe calls its
    list of holes.

    >>> list(washer_rules(((40, 0),), "M10", half_long=24, low=19, high=33, named="holes"))
    []
    >>> list(washer_rules(((30, 25),), "M10", half_long=24, low=19, high=33, named="holes"))
    ['holes = 30, 25 mm, 10 mm or more from what is welded on the base: 6.0 mm, its washer has no room']
    """
    room = bolt(size).washer_od / 2
    for x, y in points:
        past, aside = max(0.0, abs(x) - half_long), max(0.0, low - abs(y), abs(y) - high)
        off = (past**2 + aside**2) ** 0.5
        if off < room - 1e-9:
            yield (
                f"{named} = {x:g}, {y:g} mm, {room:g} mm or more from what is welded on the base: {off:.1f} mm, its"
                " washer has no room"
            )


def base_welds(
    fixing: Fixing, *, flat_long: float, width: float, radius: float = 0.0, piece: str = "base", onto: str
) -> tuple[Weld, ...]:
    """The welds of a base that is welded on, along both of its long sides; none where no leg is typed.

    flat_long, width: of the base between its bends, mm; radius: of its corners, where they are not bent up; piece,
    onto: the base, and the seat under it. None straight across what it stands on: a crack would start there.

    >>> on_rail = Fixing(way=WELDED, size="M10", points=(), leg=5)
    >>> [weld.edge.start for weld in base_welds(on_rail, flat_long=120, width=60, radius=8, onto="under")]
    [(-52.0, -30.0), (52.0, 30.0)]
    """
    if fixing.way != WELDED or fixing.leg is None:
        return ()
    x, y = flat_long / 2 - radius, width / 2
    sides = (Along((-x, -y), (x, -y), "low"), Along((x, y), (-x, y), "low"))
    return tuple(Weld(piece=piece, edge=side, onto=onto, leg=fixing.leg) for side in sides)


def fastened(fixing: Fixing, *, name: str = "fixing", material: str = "S235") -> Part:
    """What holds a base plate besides its welds: crush tubes and spreader plate, and a seat for every bolt.

    fixing: how it is held; name: of the part; material: of all pieces. The section or sheet is `fixing.through` mm
    deep under z = 0. A crush tube is as long as the section is deep and is welded to the spreader, which lies on
    the far side; its bore is the bolt's hole. The seats "bolt_1" and on are of the kind "bolt", z into what the
    plate stands on. A part without pieces where the plate is welded, or bolted to a solid.

    >>> fixing = Fixing(size="M10", points=((0, 0), (60, 0)), through=50, spreader_t=5)
    >>> [(piece.name, piece.place.at[2]) for piece in fastened(fixing).pieces]
    [('crush_tube_1', -50.0), ('crush_tube_2', -50.0), ('spreader', -55.0)]
    >>> [(seat.name, seat.d) for seat in fastened(fixing).seats]
    [('bolt_1', 11.0), ('bolt_2', 11.0)]
    """
    holes = fixing.round_holes
    seats = tuple(
        Seat(
            name=f"bolt_{i}",
            place=Place((*hole.at, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0)),
            kind="bolt",
            d=hole.d,
            bolt=fixing.size,
        )
        for i, hole in enumerate(holes, 1)
    )
    if fixing.way not in (THROUGH_HOLLOW, THROUGH_SHEET):
        return Part(name=name, pieces=(), seats=seats)
    tubes: list[Piece] = []
    welds: list[Weld] = []
    if fixing.way == THROUGH_HOLLOW and fixing.crush_tubes:
        bore, od = holes[0].d, holes[0].d + 2 * fixing.tube_wall
        leg = min(fixing.tube_wall, fixing.spreader_t)
        for i, hole in enumerate(holes, 1):
            made = ring(f"crush_tube_{i}", od=od, bore=bore, length=fixing.through, material=material)
            made = replace(made, stock=f"tube {od:g} x {fixing.tube_wall:g}")
            tubes.append(made.placed(Place(at=(*hole.at, -fixing.through))))
            welds.append(Weld(piece=made.name, edge=Circle(0.0, od), onto="spreader", leg=leg))
    spreader = plate(
        round_holes(fixing.points, edge_for(fixing.size)),
        fixing.spreader_t,
        openings=holes,
        name="spreader",
        material=material,
        place=Place(at=(0.0, 0.0, -fixing.through - fixing.spreader_t)),
    )
    return Part(name=name, pieces=(*tubes, spreader), welds=tuple(welds), seats=seats)
