"""Loose ears with a joggle, so that their feet stand further apart or nearer together than the bush asks.

Frame as for loose ears: origin at the bush centre, z the bush axis, y towards the seat. Each ear is folded from one
plate: the ear, two equal bends against each other, and a foot as wide as the seat takes.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.forming.flanges import joggle
from brackets.geometry.curve import Outline
from brackets.geometry.shapes import rectangle, round_hull, translate
from brackets.library.ears import FACES, Ears, FlatSeat, Rail, pivot_seat
from brackets.model.bend_allowance import joggle_web
from brackets.model.holes import Point, bolt_hole
from brackets.model.part import Part
from brackets.model.plate import Folded, TubeSeat, Wall
from brackets.model.weld import Along, AtSeat, Weld

LEAST_FOOT = 2.0
"""mm of flat foot that must be left between joggle and seat; the brake's least flange is a finding."""

LEAST_WEB = 1.0
"""mm of flat between the two bends that the geometry accepts."""

LEAST_APART = 5.0
"""mm between the feet: nothing thinner is welded all round."""

ROUND_LEFT = 1.0
"""mm from the ear's round to where the joggle begins, so that the bend line is an edge of its own."""

BEYOND = 1e3
"""Larger than any ear, mm."""


@dataclass(frozen=True, kw_only=True)
class Joggle:
    """Two equal bends against each other that set an ear's foot to one side.

    set_out: mm that the feet stand outside the ears (negative: inside); at: mm from the bush's centre to where the
    joggle begins; angle: degrees of each bend; inside_radius: mm, of both.
    """

    set_out: float
    at: float
    angle: float
    inside_radius: float

    def run(self, t: float) -> float:
        """mm towards the seat that the joggle takes up. Raises InputError where the bends alone set out further."""
        web = joggle_web(abs(self.set_out), self.angle, self.inside_radius, t)
        turn = math.radians(self.angle)
        return (2 * self.inside_radius + t) * math.sin(turn) + web * math.cos(turn)

    def least(self, t: float) -> float:
        """mm: what the two bends set out with hardly any flat between them."""
        turn = math.radians(self.angle)
        return (2 * self.inside_radius + t) * (1 - math.cos(turn)) + LEAST_WEB * math.sin(turn)


def feet(ears: Ears, bent: Joggle) -> Ears:
    """The ears as if they stood where their feet do, for rules about the seat."""
    return replace(ears, inside=ears.inside + 2 * bent.set_out)


def joggle_rules(ears: Ears, on: Rail | FlatSeat, bent: Joggle) -> Iterator[str]:
    """What is wrong with joggled ears on a seat: yields a line each, nothing where they will do.

    ears: their sizes, set as the bush asks; on: the tube or the flat their feet stand on; bent: the joggle.

    >>> ears = Ears(bolt="M12", inside=52, ear_r=22, t=6, foot=44, leg=5)
    >>> for line in joggle_rules(ears, FlatSeat(reach=90), Joggle(set_out=1, at=30, angle=45, inside_radius=6)):
    ...     print(line)
    set_out = 1 mm, 5.98 or more either way, ... two bends of 45 deg and radius 6 set out that much
    """
    apart = ears.inside + 2 * bent.set_out
    if apart < LEAST_APART:
        yield f"set_out = {bent.set_out:g} mm, {(LEAST_APART - ears.inside) / 2:g} or more: the feet meet"
        return
    yield from feet(ears, bent).rules(on)
    if abs(bent.set_out) < bent.least(ears.t):
        yield (
            f"set_out = {bent.set_out:g} mm, {bent.least(ears.t):.2f} or more either way, or a smaller"
            f" joggle_angle: two bends of {bent.angle:g} deg and radius {bent.inside_radius:g} set out that much"
        )
        return
    if bent.at < ears.ear_r + ROUND_LEFT:
        yield f"joggle_at = {bent.at:g} mm, {ears.ear_r + ROUND_LEFT:g} or more: it begins past the ear's round"
    below = bent.at + bent.run(ears.t)
    room = min(
        _room(on, (x, below), z)
        for level in feet(ears, bent).levels
        for x in (_middle(on, level) + side * ears.foot / 2 for side in (-1, 0, 1))
        for z in (level - ears.t / 2, level + ears.t / 2)
    )
    if room < LEAST_FOOT:
        yield (
            f"reach = {on.reach:g} mm, {LEAST_FOOT - room:.1f} more: the joggle ends at {below:.1f} and"
            f" {LEAST_FOOT:g} mm of flat foot must be left"
        )


def _room(on: Rail | FlatSeat, p: Point, z: float) -> float:
    """How far (x, y, z) stands off the seat, on the bush's side of it, mm."""
    if isinstance(on, Rail) and p[1] >= on.centre(z)[1]:
        return on.centre(z)[1] - p[1]
    return on.clear(p, z)


def _middle(on: Rail | FlatSeat, level: float) -> float:
    return on.centre(level)[0] if isinstance(on, Rail) else on.offset


def joggled(ears: Ears, on: Rail | FlatSeat, bent: Joggle, *, name: str = "ears") -> Part:
    """A part of two loose ears with a joggle each, so that their feet stand further apart or nearer than the ears.

    ears: their sizes, set as the bush asks; on: the tube or the flat their feet stand on; bent: the joggle; name:
    of the part. Raises InputError with all that `joggle_rules` says, where that is anything.

    >>> ears = Ears(bolt="M12", inside=52, ear_r=22, t=6, foot=44, leg=5)
    >>> part = joggled(ears, FlatSeat(reach=90), Joggle(set_out=10, at=30, angle=45, inside_radius=6))
    >>> [flange.angle for flange in part.pieces[0].flanges]  # there and back
    [45, -45]
    """
    problems = list(joggle_rules(ears, on, bent))
    if problems:
        raise InputError(*problems)
    pieces: list[Folded] = []
    welds: list[Weld] = []
    for piece, low, sense in (
        ("ear_front", ears.inside / 2, 1.0),
        ("ear_rear", -ears.inside / 2 - ears.t, -1.0),
    ):
        offset = sense * bent.set_out
        middle = _middle(on, low + ears.t / 2 + offset)
        left, right = middle - ears.foot / 2, middle + ears.foot / 2
        frame = Place((left, bent.at + bent.run(ears.t), low + offset))
        first, second = joggle(
            (left, bent.at),
            (right, bent.at),
            number=1,
            t=ears.t,
            offset=offset,
            inside_radius=bent.inside_radius,
            angle=bent.angle,
            beyond=_foot(ears, on, frame),
        )
        pieces.append(
            Folded(
                name=piece,
                place=Place((0.0, 0.0, low)),
                material=ears.material,
                t=ears.t,
                base=Wall(
                    outline=round_hull([(0.0, 0.0, ears.ear_r), (left, bent.at, 0.0), (right, bent.at, 0.0)]),
                    openings=(bolt_hole((0.0, 0.0), ears.bolt, kind="pivot", name="pivot"),),
                ),
                flanges=(first, second),
            )
        )
        welds += _welds(piece, ears, on, second.wall)
    return Part(name=name, pieces=tuple(pieces), welds=tuple(welds), seats=(pivot_seat(), on.seat()))


def _foot(ears: Ears, on: Rail | FlatSeat, frame: Place) -> Wall:
    """The foot in its own frame: x across it, y from the joggle to the seat."""
    if isinstance(on, Rail):
        _, down = on.centre(frame.at[2] + ears.t / 2)
        seat = TubeSeat(
            at=frame.local(on.at),
            axis=frame.local_direction(on.axis),
            r=on.od / 2,
            keep=(ears.foot / 2, LEAST_FOOT / 4),
        )
        return Wall(outline=_strip(ears.foot, down - frame.at[1]), seats=(seat,))

    def local(p: Point) -> Point:
        x, y, _ = frame.local((*p, frame.at[2]))
        return (x, y)

    met = on.met(frame.at[2], frame.at[2] + ears.t)
    return Wall(outline=met.trimmed(_strip(ears.foot, BEYOND), local=local))


def _strip(width: float, height: float) -> Outline:
    return translate(rectangle(width, height), width / 2, height / 2)


def _welds(piece: str, ears: Ears, on: Rail | FlatSeat, foot: Wall) -> Iterator[Weld]:
    for face in FACES:
        edge: AtSeat | Along = AtSeat(0, face, 2)
        if isinstance(on, FlatSeat):
            ends = sorted((p for p in foot.outline.points(1.0) if p[1] > 0.0), reverse=True)
            edge = Along(ends[0], ends[-1], face, 2)
        yield Weld(piece=piece, edge=edge, onto="foot", leg=ears.leg)
