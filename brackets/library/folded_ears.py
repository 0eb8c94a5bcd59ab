"""Ears and back folded from one plate: the back closes one side, clear of what turns on the bush.

Frame as for loose ears: origin at the bush centre, z the bush axis, y towards the seat. The back stands on the
left (-x), parallel to the bush axis; it runs from the foot to the level of the bush, leaning outwards as far as
it must to keep `back_at` from the bush axis.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from brackets.core.errors import InputError, OutOfRange
from brackets.core.place import Place
from brackets.geometry.shapes import polygon, round_hull
from brackets.library.ears import FIT_UP, Ears, FlatSeat, Rail, pivot_seat
from brackets.model.fold_tree import tree
from brackets.model.holes import Point, bolt_hole
from brackets.model.part import Part
from brackets.model.plate import Flange, Folded, TubeSeat, Wall
from brackets.model.weld import Along, AtSeat, Weld

FITTED = 1e-9
"""Where the foot of the back is taken to touch its fit-up gap, mm."""

FAR = 60
"""How far a foot or a back is moved to find one that can be folded, mm, by whole millimetres."""

BACK_AT = (15, 120)
"""Least and most back_at that is offered, mm: what the recipe takes."""

FOOT = (15, 150)
"""The same for the foot."""


@dataclass(frozen=True)
class Fold:
    """The line along which back and ears are folded, in the ear's plane: the ears' near tangent line."""

    foot: Point
    up: Point
    out: Point
    length: float

    def at(self, along: float, out: float = 0.0) -> Point:
        """`along` mm from the foot towards the tip, `out` mm outwards."""
        return (
            self.foot[0] + along * self.up[0] + out * self.out[0],
            self.foot[1] + along * self.up[1] + out * self.out[1],
        )


def fold_line(seat: Rail | FlatSeat, foot: float, stand_off: float) -> Fold:
    """The line past the bush at `stand_off` mm, from the seat's left corner or from straight below.

    Raises InputError where the corner of the foot is too near the bush.
    """
    x = max(seat.offset - foot / 2, -stand_off) if isinstance(seat, Rail) else -stand_off
    start = (x, seat.level(x))
    far = math.hypot(*start)
    if far <= stand_off:
        raise OutOfRange(
            f"reach = {seat.reach:g} mm, must be longer: the back's foot is {far:.1f} mm from the bush axis and"
            f" has to pass it at {stand_off:.1f} mm"
        )
    lean = math.asin(stand_off / far)
    tow = (-start[0] / far, -start[1] / far)
    up = (
        tow[0] * math.cos(lean) + tow[1] * math.sin(lean),
        -tow[0] * math.sin(lean) + tow[1] * math.cos(lean),
    )
    return Fold(start, up, (up[1], -up[0]), math.sqrt(far * far - stand_off * stand_off))


def with_back(
    ears: Ears,
    seat: Rail | FlatSeat,
    *,
    back_at: float,
    inside_radius: float,
    right: bool = False,
    name: str = "ears",
) -> Part:
    """A part of two ears and a back between them, folded from one plate, on their seat.

    ears: their sizes; seat: the tube or the flat they stand on; back_at: mm from the bush axis to the back's inner
    face; inside_radius: mm, of both bends; right: puts the back on the right (+x) instead of the left; name: of the
    part. Raises InputError where back and seat do not go together, with the nearest foot and the nearest back_at
    that would do.

    >>> ears = Ears(bolt="M12", inside=52, ear_r=22, t=6, foot=38, leg=5)
    >>> piece = with_back(ears, Rail(od=48.3, reach=80), back_at=34, inside_radius=6).pieces[0]
    >>> [flange.angle for flange in piece.flanges], piece.base.outline.bounds[2]  # half of 52 less two radii
    ([90.0, 90.0], 20.0)
    """
    if isinstance(seat, FlatSeat) and seat.slope:
        raise OutOfRange(f"slope = {seat.slope:g} deg, 0 with a back on a flat: its foot is cut square")
    if right:
        return with_back(ears, seat.mirrored(), back_at=back_at, inside_radius=inside_radius, name=name).mirrored()
    try:
        return _folded(ears, seat, back_at, inside_radius, name)
    except InputError as refused:
        cures = " or ".join(_cures(ears, seat, back_at, inside_radius))
        cure = f"; {cures} can be folded" if cures else "; no other back_at or foot can be folded: back = no"
        raise InputError(*(f"{line}{cure}" for line in refused.problems)) from refused


def _cures(ears: Ears, seat: Rail | FlatSeat, back_at: float, inside_radius: float) -> Iterator[str]:
    """The nearest back_at and the nearest foot that can be folded as things stand."""
    for other in _nearest(back_at, BACK_AT):
        if other - inside_radius >= ears.ear_r and _folds(ears, seat, other, inside_radius):
            yield f"back_at = {other:g} mm"
            break
    for other in _nearest(ears.foot, FOOT):
        wider = replace(ears, foot=other)
        if not any(wider.rules(seat)) and _folds(wider, seat, back_at, inside_radius):
            yield f"foot = {other:g} mm"
            break


def _nearest(value: float, allowed: tuple[int, int]) -> Iterator[float]:
    """Whole millimetres round `value`, nearest first."""
    for step in sorted(range(-FAR, FAR + 1), key=abs):
        if allowed[0] <= round(value) + step <= allowed[1]:
            yield float(round(value) + step)


def _folds(ears: Ears, seat: Rail | FlatSeat, back_at: float, inside_radius: float) -> bool:
    try:
        _folded(ears, seat, back_at, inside_radius, "ears")
    except InputError:
        return False
    return True


def _folded(ears: Ears, seat: Rail | FlatSeat, back_at: float, inside_radius: float, name: str) -> Part:
    r, t = inside_radius, ears.t
    width = ears.inside - 2 * r
    if width <= 0:
        raise OutOfRange(
            f"inside = {ears.inside:g} mm, must be more than twice the inside radius {r:g}: ears folded with a back"
        )
    fold = fold_line(seat, ears.foot, back_at - r)
    starts = [_foot_of_back(fold, seat, sign * (ears.inside / 2 + t), r + t) for sign in (1.0, -1.0)]
    middle = _foot_of_back(fold, seat, 0.0, r + t)
    lift = max(0.0, middle - sum(starts) / 2)
    front, rear = (s + lift for s in starts)
    if max(front, rear) > fold.length - t:
        raise OutOfRange(f"reach = {seat.reach:g} mm, must be longer: no room for a back between seat and bush")
    outer = fold.at(0.0, r + t)
    out = (*fold.out, 0.0)
    inward = (-out[0], -out[1], 0.0)
    base = Place((*outer, 0.0), inward, (*fold.up, 0.0))
    half = width / 2
    tip = fold.length
    back = polygon([(-half, rear), (half, front), (half, tip), (-half, tip)])
    frames = (
        Place((*fold.at(tip), ears.inside / 2 + t), (0.0, 0.0, -1.0), inward),
        Place((*fold.at(rear), -ears.inside / 2 - t), (0.0, 0.0, 1.0), inward),
    )
    walls = [_ear(ears, seat, fold, frame, level) for frame, level in zip(frames, ears.levels, strict=True)]
    piece = Folded(
        name="ears",
        place=base,
        material=ears.material,
        t=t,
        base=Wall(outline=back),
        flanges=(
            Flange(start=(half, tip), end=(half, front), inside_radius=r, wall=walls[0]),
            Flange(start=(-half, rear), end=(-half, tip), inside_radius=r, wall=walls[1]),
        ),
    )
    try:
        tree(piece)
    except InputError as refused:
        raise InputError(
            f"back_at = {back_at:g} mm with a foot of {ears.foot:g} mm, must leave both ears a straight edge to be"
            " folded along, clear of the tube: the back"
        ) from refused
    return Part(
        name=name,
        pieces=(piece,),
        welds=_welds(ears, seat, fold, frames),
        seats=(pivot_seat(), seat.seat()),
    )


def _foot_of_back(fold: Fold, seat: Rail | FlatSeat, z: float, depth: float) -> float:
    """How far up the fold the back may start so that at level `z` it is FIT_UP clear of the seat, mm."""

    def clear(along: float) -> float:
        return min(seat.clear(fold.at(along, depth * i / 4), z * j / 2) for i in range(5) for j in (1, 2))

    lo, hi = -fold.length, fold.length
    while hi - lo > FITTED:
        middle = (lo + hi) / 2
        lo, hi = (lo, middle) if clear(middle) >= FIT_UP else (middle, hi)
    return hi


def _corners(ears: Ears, seat: Rail | FlatSeat, fold: Fold, level: float) -> tuple[Point, Point]:
    """Left and right corner of an ear's foot, in the ear's plane."""
    if isinstance(seat, FlatSeat):
        return fold.foot, seat.corners(ears.foot, ears.ear_r)[1]
    left = seat.chord_middle(fold.foot, fold.up, level)
    x, y = seat.centre(level)
    return left, (x + ears.foot / 2, y)


def _ear(ears: Ears, seat: Rail | FlatSeat, fold: Fold, frame: Place, level: float) -> Wall:
    def local(p: Point) -> Point:
        x, y, _ = frame.local((*p, level))
        return (x, y)

    left, right = _corners(ears, seat, fold, level)
    pivot = local((0.0, 0.0))
    rims = [(*pivot, ears.ear_r), *((*local(p), 0.0) for p in (left, right, fold.at(fold.length)))]
    seats: tuple[TubeSeat, ...] = ()
    if isinstance(seat, Rail):
        seats = (
            TubeSeat(
                at=frame.local(seat.at),
                axis=frame.local_direction(seat.axis),
                r=seat.od / 2,
                keep=local(ears.crown),
            ),
        )
    ear = round_hull(rims)
    return Wall(
        outline=ear if isinstance(seat, Rail) else seat.trimmed(ear, local=local),
        openings=(bolt_hole(pivot, ears.bolt, kind="pivot", name="pivot"),),
        seats=seats,
    )


def _welds(ears: Ears, seat: Rail | FlatSeat, fold: Fold, frames: tuple[Place, Place]) -> tuple[Weld, ...]:
    welds = []
    for wall, (frame, level) in enumerate(zip(frames, ears.levels, strict=True), 1):
        edge: Along | AtSeat = AtSeat(0, "low", wall)
        if isinstance(seat, FlatSeat):
            left, right = (frame.local((*p, level))[:2] for p in _corners(ears, seat, fold, level))
            first, last = (left, right) if wall == 1 else (right, left)
            edge = Along(first, last, "low", wall)
        welds.append(Weld(piece="ears", edge=edge, onto="foot", leg=ears.leg))
        welds.append(Weld(piece="ears", edge=replace(edge, face="high"), onto="foot", leg=ears.leg))
    return tuple(welds)
