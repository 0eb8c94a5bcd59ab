"""The jig of a weldment: a base, posts and uprights on it, and dummy shafts through the bores of its bushes.

What is square to the base is held by posts and pins; an axis that leans from that by 30 degrees and more goes
through uprights that are square to it. Jig's frame: z up, the base's upper face at z = 0. mm, degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.jig import JIG_HOLDS
from brackets.core.tables.bolt_rows import bolt as bolt_row
from brackets.core.tables.fasteners import hole
from brackets.core.vectors import Vec, cross, degrees_between, dot, length, scale, square_to, sub, unit
from brackets.geometry.shapes import rectangle
from brackets.library import jig_pieces as made
from brackets.library.jig_pieces import Standing
from brackets.library.jig_values import JigValues
from brackets.model.bores import Bore, bores_on
from brackets.model.extent import reach
from brackets.model.faces import in_plane
from brackets.model.holes import Hole, Point
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Plate, Wall
from brackets.model.weld import Weld

STEEPEST = 30.0
"""Degrees from the base's normal to an axis from which on an upright holds it: nearer it, one cut square would lie
down more than it stands."""

SQUARE = 0.01
"""Degrees up to which an axis counts as square to the base, or two as parallel."""

UNDER = 100.0
"""mm left under the lowest of a weldment that stands off the base: with it the torch of the shop profile's defaults
gets at the undersides of the shipped recipes; at 40 it meets the base."""

FLUSH = 0.01
"""mm: what is no lower lies on the base."""

FURTHEST = 600.0
"""mm from a bore that an upright is looked for a place at."""

PAD = 10.0
"""mm: radius of a pad under a foot."""

Kind = Literal["bush", "rail", "boss", "foot"]


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


def jig(part: Part, **values: object) -> Part:
    """The jig that a weldment is tacked and welded in, as a part of its own: drawings, files and mass as of any.

    part: the weldment, with its seats for bushes, bosses and faces; values: clearance, base_t, upright_t, height,
    room, margin and up, as `brackets jig --help` explains them. Its frame: z up, the base's upper face at z = 0.
    Raises InputError where nothing of the part can be held, or a value is out of its limits.

    >>> ears = recipe("ears_on_base")
    >>> [piece.name for piece in jig(made(ears, ears.Params()).part).pieces]
    ['base', 'upright_1_low', 'upright_1_high', 'shaft_1', 'spacer_1_1', 'spacer_1_2', 'spacer_1_3']
    """
    return jig_of(part, JigValues(**values)).part  # type: ignore[arg-type]


@dataclass(frozen=True)
class _Feature:
    """A seat to be held, in whichever frame: its place with z along what holds it, bores and bolt on it."""

    seat: str
    kind: Kind
    place: Place
    bores: tuple[Bore, ...] = ()
    d: float = 0.0
    bolt: str | None = None


def jig_of(part: Part, values: JigValues) -> Jig:
    """The jig of a part with what it holds and what it does not. Raises InputError as `jig` does."""
    if not part.welds:
        raise InputError(f"part = {part.name}, must be a weldment: it has no welds, and a jig holds what is welded")
    features, loose = _features(part)
    if not features:
        allowed = "must have a bush, a boss or a face to hold it by"
        raise InputError(f"part = {part.name}, {allowed}: it has {len(part.seats)} seats, none with a bore")
    up = _up(features, values)
    turned = _frame(features, up).inverse()
    standing = part.placed(turned)
    found, _ = _features(standing)
    rise = _rise(standing, found, values)
    standing = standing.placed(Place((0.0, 0.0, rise)))
    work = _Work(standing, values, rise)
    found, _ = _features(standing)
    return work.jig(found, loose)


def _features(part: Part) -> tuple[list[_Feature], list[Finding]]:
    """What of a part a jig can hold, and what it says of seats that it cannot."""
    found: list[_Feature] = []
    said: list[Finding] = []
    seen: list[tuple[str, Place]] = []
    seats = sorted(part.seats, key=lambda seat: "/" in seat.name)
    for seat in seats:
        if any(kind == seat.kind and _same(place, seat.place) for kind, place in seen):
            continue
        seen.append((seat.kind, seat.place))
        bores = bores_on(part, seat.place)
        match seat.kind:
            case "bush":
                if bores:
                    found.append(_Feature(seat.name, "bush", seat.place, bores))
                else:
                    said.append(
                        JIG_HOLDS.finding(
                            level="advice",
                            piece=seat.name,
                            sentence=f"{seat.name} is not held: no piece has a bore on its axis for a shaft",
                        )
                    )
            case "round":
                if seat.d:
                    found.append(_Feature(seat.name, "rail", seat.place, (), seat.d))
            case "boss" | "bolt":
                size = seat.bolt or next((bore.bolt for bore in bores if bore.bolt), None)
                found.append(_Feature(seat.name, "boss", seat.place, bores, 0.0, size))
            case "face":
                if not _met(seat, part) and in_plane(part, seat.place):
                    found.append(_Feature(seat.name, "foot", seat.place))
    if any(one.kind == "boss" for one in found):
        found = [one for one in found if one.kind != "foot"]
    return found, said


def _same(one: Place, other: Place) -> bool:
    return math.dist(one.at, other.at) < FLUSH and degrees_between(one.axis, other.axis) < SQUARE


def _met(seat: Seat, part: Part) -> bool:
    """Whether another seat of the part looks at it: the two are joined."""
    return any(
        other.kind == "face"
        and abs(dot(sub(other.place.at, seat.place.at), seat.place.axis)) < FLUSH
        and degrees_between(other.place.axis, scale(seat.place.axis, -1.0)) < SQUARE
        for other in part.seats
    )


def _up(features: Sequence[_Feature], values: JigValues) -> Vec:
    """Which way of the part is up: that in which most is held, of those alike the first thought of."""
    if values.up is not None:
        return unit(values.up)
    tried = list(_ups(features))
    return min(tried, key=lambda up: sum(not _holds(one, up) for one in features))


def _ups(features: Sequence[_Feature]) -> Iterator[Vec]:
    """Directions that may be up: out of the bosses and feet, then square to the axes."""
    faced = [one for one in features if one.kind in ("boss", "foot")]
    lying = [one for one in features if one.kind in ("bush", "rail")]
    yield from (scale(one.place.axis, -1.0) for one in faced)
    axes = [one.place.axis for one in (*lying, *faced)]
    for i, one in enumerate(axes):
        for other in axes[i + 1 :]:
            normal = cross(one, other)
            if length(normal) > math.sin(math.radians(SQUARE)):
                yield unit(normal)
                yield unit(scale(normal, -1.0))
    for one in lying:
        for other in lying:
            off = square_to(sub(one.place.at, other.place.at), one.place.axis)
            if length(off) > 1.0:
                # a rail lies under what stands on it; two bushes lie beside each other
                yield unit(off) if other.kind == "rail" else unit(cross(one.place.axis, off))
    for one in lying:
        yield one.place.up


def _holds(one: _Feature, up: Vec) -> bool:
    off = degrees_between(one.place.axis, up)
    if one.kind == "bush":
        return min(off, 180.0 - off) < SQUARE or min(off, 180.0 - off) >= STEEPEST
    if one.kind == "rail":
        return min(off, 180.0 - off) >= STEEPEST
    return off > 180.0 - SQUARE or (one.kind == "boss" and min(off, 180.0 - off) >= STEEPEST)


def _frame(features: Sequence[_Feature], up: Vec) -> Place:
    """The jig's frame in the part: z up, x along the first axis that lies."""
    lying = [square_to(one.place.axis, up) for one in features if one.kind in ("bush", "rail")]
    x = next((unit(way) for way in lying if length(way) > math.sin(math.radians(STEEPEST)) / 2), None)
    if x is None:
        x = unit(square_to((1.0, 0.0, 0.0) if abs(up[0]) < 0.9 else (0.0, 1.0, 0.0), up))
    return Place((0.0, 0.0, 0.0), up, cross(up, x))


def _rise(part: Part, features: Sequence[_Feature], values: JigValues) -> float:
    """How far the part goes up so that it stands over the base as it should."""
    low = min((span[0] for piece in part.pieces if (span := reach(piece, (0.0, 0.0, 1.0)))), default=0.0)
    faced = [one.place.at[2] for one in features if one.kind in ("boss", "foot") and one.place.axis[2] < -0.5]
    if values.height is not None:
        return values.height - min(faced, default=low)
    if faced and max(faced) - min(faced) < FLUSH and min(faced) - low < FLUSH:
        return -min(faced)
    return UNDER - low


@dataclass
class _Work:
    """The jig while it is made, round the weldment where it stands."""

    weldment: Part
    values: JigValues
    rise: float
    standing: list[Standing] = field(default_factory=list)
    shafts: list[Piece] = field(default_factory=list)
    holes: list[Hole] = field(default_factory=list)
    ground: list[Point] = field(default_factory=list)
    held: list[Held] = field(default_factory=list)
    drawn: list[Drawn] = field(default_factory=list)
    said: list[Finding] = field(default_factory=list)

    def jig(self, features: Sequence[_Feature], loose: Iterable[Finding]) -> Jig:
        """All of it."""
        self.said += loose
        groups: list[list[_Feature]] = []
        faces: list[list[_Feature]] = []
        for one in features:
            off = degrees_between(one.place.axis, (0.0, 0.0, 1.0))
            if not _holds(one, (0.0, 0.0, 1.0)):
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
        for number, group in enumerate(faces, 1):
            self._face(number, group)
        if not self.held:
            lines = [f"seat = {said.piece}, {said.sentence}" for said in self.said]
            raise InputError(*lines or [f"part = {self.weldment.name}, must have something to hold it by"])
        return self._whole()

    def _refuse(self, one: _Feature, off: float) -> None:
        allowed = f"{STEEPEST:g} or more" if one.kind != "foot" else "0"
        self.said.append(
            JIG_HOLDS.finding(
                level="caution",
                unit="deg",
                piece=one.seat,
                value=off,
                limit=STEEPEST if one.kind != "foot" else 0.0,
                sentence=(
                    f"{one.seat} is not held: its axis lies {off:.1f} deg from upright, {allowed} or square to the"
                    " base: set it by hand, or turn the jig with up"
                ),
            )
        )

    def _boss(self, one: _Feature) -> None:
        """A post under a boss, or a tapped hole where the weldment lies on the base."""
        (x, y, z), size = one.place.at, one.bolt
        name = f"post_{one.seat}".replace("/", "_")
        if size is None:
            self.said.append(
                JIG_HOLDS.finding(
                    level="advice", piece=one.seat, sentence=f"{one.seat} has no bolt: its post is a pad, clamp it down"
                )
            )
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

    def _foot(self, one: _Feature) -> None:
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
        self.said.append(
            JIG_HOLDS.finding(
                level="advice",
                piece=one.seat,
                sentence=f"{one.seat} has no holes: the jig holds it up, not sideways: set it by the shaft, clamp it",
            )
        )

    def _pin(self, one: _Feature) -> None:
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

    def _shafts(self, number: int, group: Sequence[_Feature]) -> None:
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
        spans = [self._along(one, frame) for one in group]
        low = self._free(frame, holes, min(a for a, _ in spans), -1)
        high = self._free(frame, holes, max(b for _, b in spans), 1)
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
        for at, word in ((low - t, uprights[0]), (high, uprights[1])):
            place = frame @ Place((0.0, 0.0, at))
            self._stand(made.upright(word, place, holes, t, base_t=values.base_t, clearance=values.clearance))
        ends = (low - t - made.GRIP, high + t + made.GRIP)
        for i, (one, at, d) in enumerate(zip(group, holes, sizes, strict=True)):
            self._shaft(f"{number}{'abcdefgh'[i] if len(group) > 1 else ''}", one, frame, at.at, d, (low, high), ends)
            self.held[-1] = Held(one.seat, one.kind, one.place, (*self.held[-1].by, *uprights))

    def _shaft(
        self,
        number: str,
        one: _Feature,
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
            (min(a, b), max(a, b)) for bore in one.bores for a, b in [(shift + facing * bore.low, shift + facing * bore.high)]
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

    def _along(self, one: _Feature, frame: Place) -> tuple[float, float]:
        """From where to where a feature reaches along its shaft, from the frame's origin."""
        shift = frame.local(one.place.at)[2]
        facing = 1.0 if dot(frame.axis, one.place.axis) > 0 else -1.0
        ends = [shift + facing * end for bore in one.bores for end in (bore.low, bore.high)]
        if ends:
            return min(ends), max(ends)
        spans = [span for piece in self.weldment.pieces if (span := self._near(piece, one))]
        base = dot(frame.at, frame.axis)
        return min((a for a, _ in spans), default=base) - base, max((b for _, b in spans), default=base) - base

    def _near(self, piece: Piece, one: _Feature) -> tuple[float, float] | None:
        """A piece's reach along a rail, where it comes within twice its diameter."""
        across = reach(piece, one.place.x), reach(piece, one.place.up)
        if across[0] is None or across[1] is None:
            return None
        at = dot(one.place.at, one.place.x), dot(one.place.at, one.place.up)
        if any(a - one.d > p or b + one.d < p for (a, b), p in zip(across, at, strict=True)):  # type: ignore[misc]
            return None
        return reach(piece, one.place.axis)

    def _free(self, frame: Place, holes: Sequence[Hole], end: float, way: int) -> float | None:
        """Where along the frame an upright's near face stands clear of the weldment, `room` from the bores."""
        room, t = self.values.room, self.values.upright_t
        trial = made.upright("trial", frame, holes, t, base_t=self.values.base_t, clearance=self.values.clearance)
        assert isinstance(trial.piece, Plate)
        x0, _, x1, y1 = trial.piece.wall.outline.bounds
        least = min(room, 2.0)
        base = dot(frame.at, frame.axis)
        at = end + way * room
        for _ in range(len(self.weldment.pieces) + 1):
            moved = False
            for piece in self.weldment.pieces:
                spans = [reach(piece, v) for v in (frame.x, frame.up, frame.axis)]
                if None in spans:
                    continue
                (xa, xb), (ya, _), (za, zb) = spans  # type: ignore[misc]
                cx, cy = dot(frame.at, frame.x), dot(frame.at, frame.up)
                if xa - cx > x1 + 1 or xb - cx < x0 - 1 or ya - cy > y1 + 1:
                    continue
                near, far = (at, at + t) if way > 0 else (at - t, at)
                if za - base < far + least - 1e-9 and zb - base > near - least + 1e-9:
                    at = zb - base + max(least, 2.0) if way > 0 else za - base - max(least, 2.0)
                    moved = True
            if abs(at - end) > FURTHEST:
                return None
            if not moved:
                return at
        return None

    def _face(self, number: int, group: Sequence[_Feature]) -> None:
        """An upright whose face is the bosses' own, bolted through."""
        values, name = self.values, f"face_{number}"
        way = scale(group[0].place.axis, 1.0)
        frame = made.frame(way, group[0].place.at)
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


def _join(groups: list[list[_Feature]], one: _Feature, together: object) -> None:
    for group in groups:
        if any(together(other, one) for other in group):  # type: ignore[operator]
            group.append(one)
            return
    groups.append([one])


def _side_by_side(one: _Feature, other: _Feature) -> bool:
    """Whether two axes are parallel, and so near each other that uprights for both would stand in one place."""
    off = degrees_between(one.place.axis, other.place.axis)
    if min(off, 180.0 - off) > SQUARE:
        return False
    across = made.level_of(one.place.axis)
    return abs(dot(sub(one.place.at, other.place.at), across)) < made.FOOT + one.d / 2 + other.d / 2


def _on_one_face(one: _Feature, other: _Feature) -> bool:
    flat = abs(dot(sub(one.place.at, other.place.at), one.place.axis)) < FLUSH
    return flat and degrees_between(one.place.axis, other.place.axis) < SQUARE


def _pads(plane: Place, regions: Sequence[object]) -> Iterator[Point]:
    """Middles of pads inside a foot: near the corners of its box, where it has metal."""
    from brackets.geometry.regions import Region

    for region in regions:
        assert isinstance(region, Region)
        x0, y0, x1, y1 = region.outer.bounds
        for x in (x0 + PAD, x1 - PAD):
            for y in (y0 + PAD, y1 - PAD):
                if region.distance((x, y)) < -PAD / 2:
                    yield (x, y)
