"""The bolts that hold parts to the chassis: what each clamps, what fits from stock, and its body.

A part says by its seats of the kind "bolt" where they go; what it stands `onto`, and what it is declared to touch,
is what they go through. The head is on the part's side, the nut behind what it is bolted to. mm, bay axes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from brackets.bay.hung.mount_frames import any_up
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody, part_body
from brackets.bay.stand.gap_rules import bolted_onto
from brackets.bay.stand.layers import PULLED, Layer, holes_on, layers, met
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart, ThroughBolt
from brackets.clearance.bodies import Body
from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.fasteners import hole, nut
from brackets.core.vectors import Vec, add, scale
from brackets.library.hardware import bolted
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.survey.bolt_lengths import Through, choose_clamping

NUT = "plain"
"""The nut of a bolt to the chassis: its height is the standard's."""

WASHERS = (1, 1)
"""Under head and nut."""



@dataclass(frozen=True, kw_only=True)
class ChassisBolt:
    """A bolt through a part and what it is bolted to.

    `layers` are the keep-outs it passes, none where it goes past what the part stands on, `meant`: then nothing is
    chosen. `part_t` mm of the part's own metal by the head, `spreader_t` by the nut, `crush_tube` the length of the
    tube round it, 0 without one. `face` is where the head's washers bear, `head` the way from there to the head,
    `grip` mm of metal between the washers; `stock` None: nothing from stock fits.
    """

    part: str
    seat: str
    side: str
    row: Bolt
    hole: float
    layers: tuple[Layer, ...]
    meant: tuple[Layer, ...]
    part_t: float
    spreader_t: float
    crush_tube: float
    face: Vec
    head: Vec
    grip: float
    nut_height: float
    stock: Through | None

    @property
    def name(self) -> str:
        """Its name among the bodies of the bay."""
        return f"{self.part} {self.seat}"

    @property
    def onto(self) -> tuple[str, ...]:
        """The keep-outs that it goes through."""
        return tuple(layer.name for layer in self.layers)

    @property
    def depth(self) -> float:
        """Of all layers together, mm."""
        return max((layer.high for layer in self.layers), default=0.0)

    @property
    def hollow(self) -> tuple[str, ...]:
        """Those of them with room between their walls."""
        return tuple(layer.name for layer in self.layers if layer.hollow)

    @property
    def made(self) -> Part | None:
        """Head, shank, washers and nut where they stand; None where nothing fits."""
        if self.stock is None:
            return None
        whole = bolted(
            self.row, length=self.stock.length, grip=self.grip, washers=self.stock.washers, nut_kind=NUT
        )
        way = scale(self.head, -1.0)
        return whole.placed(Place(self.face, way, any_up(way)))


def chassis_bolts(stood: PlacedBay) -> tuple[ChassisBolt, ...]:
    """A bolt for every seat of the kind "bolt", by part; none for a part that stands on no box and no tube."""
    found = (_bolt(stood.bay, part, seat) for part in stood.parts for seat in bolt_seats(part.part))
    return tuple(one for one in found if one.meant)


def bolt_seats(part: Part) -> tuple[Seat, ...]:
    """Those that name a bolt to the chassis."""
    return tuple(seat for seat in part.seats if seat.kind == "bolt" and seat.bolt is not None)


def _bolt(bay: Bay, part: PlacedPart, seat: Seat) -> ChassisBolt:
    row = bolt(str(seat.bolt))
    names = bolted_onto(bay, part.name)
    passed = layers(bay, names, seat.place.at, seat.place.axis)
    depth = max((layer.high for layer in passed), default=0.0)
    own = sorted(holes_on(part.part, seat.place, row), key=lambda o: o.low)
    low = 0.0
    for one in reversed(own):
        if one.low < low and abs(one.high - low) <= PULLED:
            low = one.low
    tubes = [one for one in own if one.is_tube and one.low > -PULLED and one.high > PULLED]
    tube = max((one.high - one.low for one in tubes), default=0.0)
    behind = max([depth, *(one.high for one in tubes)])
    far = behind
    for one in own:
        if one.high > far and abs(one.low - far) <= PULLED:
            far = one.high
    head = scale(seat.place.axis, -1.0)
    grip, height = far - low, nut(row, NUT).height
    return ChassisBolt(
        part=part.name,
        seat=seat.name,
        side=part.side,
        row=row,
        hole=hole(row, "boss") if seat.d is None else seat.d,
        layers=passed,
        meant=tuple(met(bay, names, seat.place.at, seat.place.axis)),
        part_t=-low,
        spreader_t=far - behind,
        crush_tube=tube,
        face=add(seat.place.at, scale(seat.place.axis, low)),
        head=head,
        grip=grip,
        nut_height=height,
        stock=choose_clamping(row, grip=grip, nut_height=height, washers=WASHERS, shank_to=-low)
        if passed
        else None,
    )


def through_bodies(found: Sequence[ChassisBolt]) -> tuple[BayBody, ...]:
    """Each bolt that something from stock fits, as a body."""
    bodies = []
    for one in found:
        made = one.made
        if made is not None:
            bodies.append(
                BayBody(
                    name=one.name,
                    what="bolt",
                    side=one.side,
                    kind="fixed",
                    body=part_body(made, name=one.name),
                    of=ThroughBolt(name=one.name, part=one.part, side=one.side, made=made),
                    holds=one.part,
                    through=one.onto,
                )
            )
    return tuple(bodies)


def with_loose_ends(
    stood: PlacedBay, bodies: Sequence[BayBody], found: Sequence[ChassisBolt]
) -> tuple[BayBody, ...]:
    """The bodies, those of bolted parts with what of them is judged against what they are bolted to (all but the
    crush tubes, which lie in it), and with what comes off once their bolts are out (no spreader plate either)."""
    parts = {part.name: part for part in stood.parts}
    told = []
    for thing in bodies:
        mine = [one for one in found if one.part == thing.name and one.layers]
        if thing.what != "part" or not mine:
            told.append(thing)
            continue
        part = parts[thing.name].part
        tubes, far = stay_with_bolts(part, mine)
        onto = tuple(dict.fromkeys(name for one in mine for name in one.onto))
        told.append(
            replace(
                thing,
                through=onto,
                beside=_without(part, tubes, thing) if tubes else None,
                lifted=_without(part, tubes | far, thing) if tubes or far else None,
            )
        )
    return tuple(told)


def stay_with_bolts(part: Part, mine: Sequence[ChassisBolt]) -> tuple[set[str], set[str]]:
    """Names of the crush tubes, and of the pieces behind what the part is bolted to."""
    tubes: set[str] = set()
    far: set[str] = set()
    seats = {seat.name: seat for seat in part.seats}
    for one in mine:
        for own in holes_on(part, seats[one.seat].place, one.row):
            if own.is_tube and own.low > -PULLED and own.high > PULLED:
                tubes.add(own.piece.name)
            elif own.low > PULLED:
                far.add(own.piece.name)
    return tubes, far - tubes


def _without(part: Part, names: set[str], thing: BayBody) -> Body:
    left = tuple(piece for piece in part.pieces if piece.name not in names)
    if not left:
        raise InputError(f"part {thing.name} = only crush tubes and spreaders, a plate too: what is bolted on")
    made = Part(name=part.name, pieces=left)
    return part_body(made, name=thing.name)
