"""A jig while it is made round its weldment: what stands on the base, which shafts go where, what is refused.

Jig's frame: z up, the base's upper face at z = 0. mm, degrees.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.jig import JIG_HOLDS
from brackets.core.tables.bolt_rows import bolt as bolt_row
from brackets.core.tables.fasteners import hole
from brackets.core.vectors import Vec, degrees_between, dot, sub
from brackets.geometry.regions import Region
from brackets.geometry.shapes import rectangle
from brackets.library import jig_pieces as made
from brackets.library.jig_pieces import Standing
from brackets.library.jig_room import FURTHEST, along, free
from brackets.library.jig_seats import FLUSH, SQUARE, STEEPEST, Feature, Kind, holds
from brackets.library.jig_values import JigValues
from brackets.model.faces import in_plane
from brackets.model.holes import Hole, Point
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Plate, Wall
from brackets.model.weld import Weld

PAD = 10.0
"""mm: radius of a pad under a foot."""

@dataclass(frozen=True)
class Held:
    """What is held: a seat of the weldment, its place in the jig's frame, and by which pieces of the jig."""

    seat: str
    kind: Kind
    place: Place
    by: tuple[str, ...]
    bolt: str | None = None


@dataclass(frozen=True)
class Drawn:
    """A shaft with its spacers, drawn out along `way` or the other way before the weldment is lifted."""

    pieces: tuple[str, ...]
    way: Vec


@dataclass(frozen=True, kw_only=True)
class Jig:
    """A jig: its `part`, the `weldment` where it stands in it, what it holds, which shafts are drawn out of it.

    `findings`: what it does not hold, and what else is to be said of it before its solids are made.
    """

    part: Part
    weldment: Part
    held: tuple[Held, ...]
    drawn: tuple[Drawn, ...]
    findings: tuple[Finding, ...]


@dataclass
class Work:
    """The jig while it is made, round the weldment where it stands."""

    weldment: Part
    values: JigValues
    standing: list[Standing] = field(default_factory=list)
    shafts: list[Piece] = field(default_factory=list)
    holes: list[Hole] = field(default_factory=list)
    ground: list[Point] = field(default_factory=list)
    held: list[Held] = field(default_factory=list)
    drawn: list[Drawn] = field(default_factory=list)
    said: list[Finding] = field(default_factory=list)
    short: float = 0.0

    def jig(self, features: Sequence[Feature], loose: Iterable[Finding]) -> Jig:
        """All of it. Raises made.TooLowError where the weldment is to stand higher over the base."""
        self.said += loose
        groups: list[list[Feature]] = []
        faces: list[list[Feature]] = []
        for one in features:
            off = degrees_between(one.place.axis, (0.0, 0.0, 1.0))
            if not holds(one, (0.0, 0.0, 1.0)):
                self._refuse(one, min(off, 180.0 - off))
            elif one.kind == "foot":
                self._foot(one)
            elif one.kind == "boss" and off > 180.0 - SQUARE:
                self._boss(one)
            elif one.kind == "boss":
                _join(faces, one, _on_one_face)
            elif min(off, 180.0 - off) < SQUARE:
                self._pin(one)
            else:
                _join(groups, one, _side_by_side)
        for number, group in enumerate(groups, 1):
            self._shafts(number, group)
        if self.short:
            raise made.TooLowError(self.short)
        for number, group in enumerate(faces, 1):
            self._face(number, group)
        if not self.held:
            lines = [f"seat = {said.piece}, {said.sentence}" for said in self.said]
            raise InputError(*lines or [f"part = {self.weldment.name}, must have something to hold it by"])
        return self._whole()

    def _refuse(self, one: Feature, off: float) -> None:
        foot = one.kind == "foot"
        why = f"its axis lies {off:.1f} deg from upright, must be {STEEPEST:g} or more, or square to the base"
        why = f"it lies {off:.1f} deg off level, must lie level" if foot else why
        self.said.append(
            JIG_HOLDS.finding(
                level="caution",
                unit="deg",
                piece=one.seat,
                value=off,
                limit=0.0 if foot else STEEPEST,
                sentence=f"{one.seat} is not held: {why}: set it by hand, or turn the jig with up",
            )
        )

    def _boss(self, one: Feature) -> None:
        """A post under a boss, or a tapped hole where the weldment lies on the base."""
        (x, y, z), size = one.place.at, one.bolt
        name = f"post_{one.seat}".replace("/", "_")
        if size is None:
            sentence = f"{one.seat} has no bolt: its post is a pad, clamp it down"
            self.said.append(JIG_HOLDS.finding(level="advice", piece=one.seat, sentence=sentence))
        if z < FLUSH and size is not None:
            self.holes.append(Hole(at=(x, y), d=hole(size, "tap"), kind="tap", bolt=size, name=one.seat))
            r = bolt_row(size).washer_od / 2
            self.ground += [(x - r, y - r), (x + r, y + r)]
            self.held.append(Held(one.seat, "boss", one.place, ("base",), size))
            return
        if z < FLUSH:
            self.held.append(Held(one.seat, "boss", one.place, ("base",)))
            return
        self._stand(made.post(name, (x, y), z, size, base_t=self.values.base_t, clearance=self.values.clearance))
        self.held.append(Held(one.seat, "boss", one.place, (name,), size))

    def _stand(self, one: Standing) -> None:
        self.standing.append(one)
        self.ground += one.ground

    def _foot(self, one: Feature) -> None:
        """The base itself under a foot that nothing is lower than, else pads."""
        regions = in_plane(self.weldment, one.place)
        outline = [one.place.point((x, y, 0.0))[:2] for region in regions for x, y in region.outer.points()]
        z = one.place.at[2]
        names: list[str] = []
        if z < FLUSH:
            self.ground += [(x, y) for x, y in outline]
            names.append("base")
        else:
            for number, (x, y) in enumerate(_pads(one.place, regions), 1):
                at = one.place.point((x, y, 0.0))
                name = f"pad_{one.seat}_{number}".replace("/", "_")
                room = self.values.clearance
                self._stand(made.post(name, at[:2], z, None, base_t=self.values.base_t, clearance=room))
                names.append(name)
        if len(names) not in (0, 1, 2) or names == ["base"]:
            self.held.append(Held(one.seat, "foot", one.place, tuple(names)))
        sentence = f"{one.seat} has no holes: the jig holds it up, not sideways: set it by the shaft, clamp it"
        self.said.append(JIG_HOLDS.finding(level="advice", piece=one.seat, sentence=sentence))

    def _pin(self, one: Feature) -> None:
        """A pin in bores that stand upright."""
        x, y, base = one.place.at
        lean = 1.0 if one.place.axis[2] > 0 else -1.0
        spans = [sorted((base + lean * bore.low, base + lean * bore.high)) for bore in one.bores]
        low, high = min(a for a, _ in spans), max(b for _, b in spans)
        d = min(bore.now for bore in one.bores) - self.values.clearance
        shoulder = math.ceil(max(bore.d for bore in one.bores)) + made.COLLAR
        name = f"pin_{one.seat}".replace("/", "_")
        room = self.values.clearance
        low = 0.0 if low < FLUSH else low
        self._stand(made.pin(name, (x, y), low, high, d, shoulder, base_t=self.values.base_t, clearance=room))
        self.held.append(Held(one.seat, "bush", one.place, (name,)))

    def _shafts(self, number: int, group: Sequence[Feature]) -> None:
        """Two uprights and a shaft for each of some axes that lie side by side."""
        values, name = self.values, f"upright_{number}"
        axis = group[0].place.axis
        frame = made.frame(axis, group[0].place.at)
        holes, sizes = [], []
        for one in group:
            x, y, _ = frame.local(one.place.at)
            d = one.d if one.kind == "rail" else min(bore.now for bore in one.bores) - values.clearance
            sizes.append(d)
            holes.append(Hole(at=(x, y), d=d + values.clearance, kind="bore", name=one.seat))
        spans = [along(self.weldment, one, frame) for one in group]
        low = free(self.weldment, values, frame, holes, min(a for a, _ in spans), -1)
        high = free(self.weldment, values, frame, holes, max(b for _, b in spans), 1)
        if low is None or high is None:
            for one in group:
                self.said.append(
                    JIG_HOLDS.finding(
                        level="caution",
                        unit="mm",
                        piece=one.seat,
                        sentence=(
                            f"{one.seat} is not held: the weldment leaves no place for an upright within"
                            f" {FURTHEST:g} mm along its axis"
                        ),
                    )
                )
            return
        t, uprights = values.upright_t, (f"{name}_low", f"{name}_high")
        places = [frame @ Place((0.0, 0.0, at)) for at in (low - t, high)]
        if short := max(made.too_low(place, holes, t) for place in places):
            self.short = max(self.short, short)
            return
        for place, word in zip(places, uprights, strict=True):
            self._stand(made.upright(word, place, holes, t, base_t=values.base_t, clearance=values.clearance))
        ends = (low - t - made.GRIP, high + t + made.GRIP)
        for i, (one, opening, d) in enumerate(zip(group, holes, sizes, strict=True)):
            word = f"{number}{'abcdefgh'[i] if len(group) > 1 else ''}"
            self._shaft(word, one, frame, opening.at, d, (low, high), ends)
            self.held[-1] = Held(one.seat, one.kind, one.place, (*self.held[-1].by, *uprights))

    def _shaft(
        self,
        number: str,
        one: Feature,
        frame: Place,
        at: Point,
        d: float,
        inside: tuple[float, float],
        ends: tuple[float, float],
    ) -> None:
        """A shaft with the spacers that keep what is on it where it is."""
        line, name = frame @ Place((*at, 0.0)), f"shaft_{number}"
        pieces: list[Piece] = [made.shaft(name, line, *ends, d)]
        shift = line.local(one.place.at)[2]
        facing = 1.0 if dot(line.axis, one.place.axis) > 0 else -1.0
        spans = sorted(
            (shift + min(facing * bore.low, facing * bore.high), shift + max(facing * bore.low, facing * bore.high))
            for bore in one.bores
        )
        filled = [(inside[0], inside[0]), *spans, (inside[1], inside[1])] if spans else []
        reached, count = inside[0], 0
        for low, high in filled[1:]:
            if low - reached > 0.5:
                count += 1
                word = f"spacer_{number}_{count}"
                pieces.append(made.spacer(word, line, reached, low, d, self.values.clearance))
            reached = max(reached, high)
        self.shafts += pieces
        self.drawn.append(Drawn(tuple(piece.name for piece in pieces), line.axis))
        self.held.append(Held(one.seat, one.kind, one.place, (name,)))

    def _face(self, number: int, group: Sequence[Feature]) -> None:
        """An upright whose face is the bosses' own, bolted through."""
        values, name = self.values, f"face_{number}"
        frame = made.frame(group[0].place.axis, group[0].place.at)
        holes = []
        for one in group:
            x, y, _ = frame.local(one.place.at)
            size = one.bolt
            d = bolt_row(size).d + values.clearance if size else 6.0
            holes.append(Hole(at=(x, y), d=d, kind="fine", bolt=size, name=one.seat))
        self._stand(
            made.upright(name, frame, holes, values.upright_t, base_t=values.base_t, clearance=values.clearance)
        )
        self.held += [Held(one.seat, "boss", one.place, (name,), one.bolt) for one in group]

    def _whole(self) -> Jig:
        """The base round all that stands on it, and the part."""
        edge = self.values.margin
        x0, x1 = min(x for x, _ in self.ground) - edge, max(x for x, _ in self.ground) + edge
        y0, y1 = min(y for _, y in self.ground) - edge, max(y for _, y in self.ground) + edge
        openings = (*self.holes, *(opening for one in self.standing for opening in one.openings))
        base = Plate(
            name="base",
            place=Place((0.0, 0.0, -self.values.base_t)),
            t=self.values.base_t,
            wall=Wall(
                outline=rectangle(x1 - x0, y1 - y0, centre=((x0 + x1) / 2, (y0 + y1) / 2), radius=5.0),
                openings=openings,
            ),
        )
        pieces: list[Piece] = [base, *(one.piece for one in self.standing), *self.shafts]
        welds: list[Weld] = [weld for one in self.standing for weld in one.welds]
        seats = [Seat(name=one.seat.replace("/", "_"), place=one.place, kind=_seat(one.kind)) for one in self.held]
        part = Part(
            name=f"{self.weldment.name}_jig",
            pieces=tuple(pieces),
            welds=tuple(welds),
            seats=tuple(seats),
            loose=tuple(piece.name for piece in self.shafts),
        )
        return Jig(
            part=part,
            weldment=self.weldment,
            held=tuple(self.held),
            drawn=tuple(self.drawn),
            findings=tuple(self.said),
        )


def _seat(kind: Kind) -> Literal["bush", "round", "face"]:
    return "bush" if kind == "bush" else "round" if kind == "rail" else "face"


def _join(
    groups: list[list[Feature]], one: Feature, together: Callable[[Feature, Feature], bool]
) -> None:
    for group in groups:
        if any(together(other, one) for other in group):
            group.append(one)
            return
    groups.append([one])


def _side_by_side(one: Feature, other: Feature) -> bool:
    """Whether two axes are parallel, and so near each other that uprights for both would stand in one place."""
    off = degrees_between(one.place.axis, other.place.axis)
    if min(off, 180.0 - off) > SQUARE:
        return False
    across = made.level_of(one.place.axis)
    return abs(dot(sub(one.place.at, other.place.at), across)) < made.FOOT + one.d / 2 + other.d / 2


def _on_one_face(one: Feature, other: Feature) -> bool:
    flat = abs(dot(sub(one.place.at, other.place.at), one.place.axis)) < FLUSH
    return flat and degrees_between(one.place.axis, other.place.axis) < SQUARE


def _pads(plane: Place, regions: Sequence[Region]) -> Iterator[Point]:
    """Middles of pads inside a foot: near the corners of its box, where it has metal."""
    for region in regions:
        x0, y0, x1, y1 = region.outer.bounds
        for x in (x0 + PAD, x1 - PAD):
            for y in (y0 + PAD, y1 - PAD):
                if region.distance((x, y)) < -PAD / 2:
                    yield (x, y)
