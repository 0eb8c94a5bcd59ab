"""Whether two parts are one another's mirror image, or alike, decided piece by piece from their records.

What is compared is all that a piece is cut, drilled, bent and coped by, and how the pieces stand to each other; not
where the whole stands. Lengths are one within WITHIN mm, angles within WITHIN degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

from brackets.core.vectors import degrees_between
from brackets.geometry.curve import Outline
from brackets.model.holes import Hole, Slot, Window
from brackets.model.kinds import kind_of
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat

WITHIN = 0.01
"""mm and degrees below which two figures are one: finer than anybody marks out, coarser than rounding."""

ANGLES = ("angle", "clock", "grain")
"""Fields in degrees, where a whole turn is nothing."""

SINGULAR = {"openings": "opening", "flanges": "flange", "seats": "tube seat", "points": "point", "steps": "step"}

DECIMALS = 3
"""Of figures as they are shown."""

_T = TypeVar("_T", Piece, Seat)


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One figure of two hands, as text: of the `left`, its mirror `image` where that is another, of the `right`.

    about: what of: value, boss, bush, a piece; off: how far the right is from the image, in `unit`, None where that
    is no number; differs: whether they are two; said: in what, in words, "" where they are one.
    """

    about: str
    what: str
    left: str
    right: str
    image: str = ""
    off: float | None = None
    unit: str = ""
    said: str = ""

    @property
    def differs(self) -> bool:
        return bool(self.said)

    @property
    def apart(self) -> str:
        """How far off, with its unit; "" where that is no number."""
        return "" if self.off is None else f"{self.off:.3f} {self.unit}".strip()


def compared(one: Part, other: Part, *, mirrored: bool = True) -> tuple[Figure, ...]:
    """Every figure of two parts' pieces, seats and welds; `other` is held against the mirror image of `one`.

    mirrored: False holds it against `one` as it is. Pieces and seats are taken in their order where there are as
    many of the same kinds, else by their names.
    """
    image = one.mirrored() if mirrored else one
    pieces = _pairs(one.pieces, other.pieces)
    seats = _pairs(one.seats, other.seats)
    found = [*_missing("piece", one.pieces, other.pieces, pieces), *_missing("seat", one.seats, other.seats, seats)]
    if not pieces:
        return tuple(found)
    trios: list[_Trio] = [(f"piece {a.name}", a, image.piece(a.name), b) for a, b in pieces]
    on: list[_Trio] = [(f"seat {a.name}", a, image.seat(a.name), b) for a, b in seats]
    bases = (list(_standing([*trios, *on], base)) for base in trios)
    found += min(bases, key=lambda rows: sum(row.differs for row in rows))
    for about, left, img, right in (*trios, *on):
        if type(left) is type(right):
            found += _fields(about, "", left, img, right, but=("name", "place"))
        else:
            found += _leaf(about, "kind", *(kind_of(piece) for piece in (left, img, right)))  # type: ignore[arg-type]
    names = {**{b.name: a.name for a, b in pieces}, **{b.name: a.name for a, b in seats}}
    found += _welds(one, image, other, names)
    return tuple(found)


def _pairs(left: Sequence[_T], right: Sequence[_T]) -> list[tuple[_T, _T]]:
    """What stands for what: in their order, or by names where their numbers or kinds are not alike."""
    if [type(thing) for thing in left] == [type(thing) for thing in right]:
        return list(zip(left, right, strict=True))
    there = {thing.name: thing for thing in right}
    return [(thing, there[thing.name]) for thing in left if thing.name in there]


def _missing(
    what: str, left: Sequence[_T], right: Sequence[_T], pairs: Sequence[tuple[_T, _T]]
) -> Iterator[Figure]:
    """What only one of the two has."""
    had = {id(thing) for pair in pairs for thing in pair}
    for side, things in (("left", left), ("right", right)):
        for thing in things:
            if id(thing) not in had:
                about, here = f"{what} {thing.name}", side == "left"
                told = ("yes", "no") if here else ("no", "yes")
                said = f"{about}: only the {side} has it"
                yield Figure(about=about, what="there", left=told[0], right=told[1], said=said)


_Trio = tuple[str, Piece | Seat, Piece | Seat, Piece | Seat]
"""What it is called, that of the left, of its mirror image, of the right."""


def _standing(trios: Sequence[_Trio], base: _Trio) -> Iterator[Figure]:
    """How each piece and seat stands to the piece `base`."""
    frames = [thing.place.inverse() for thing in base[1:]]
    for about, *things in trios:
        if about == base[0]:
            continue
        left, image, right = (frame @ thing.place for frame, thing in zip(frames, things, strict=True))
        yield from _point(about, f"stands, seen from {base[0]}, at", left.at, image.at, right.at)
        off = degrees_between(image.axis, right.axis)
        if isinstance(things[0], Piece):
            off = max(off, degrees_between(image.up, right.up))
        said = f"{about}: turned {off:.2f} deg off the mirror image" if off > WITHIN else ""
        yield Figure(
            about=about,
            what="looks along",
            left=_text(left.axis),
            image=_text(image.axis),
            right=_text(right.axis),
            off=off,
            unit="deg",
            said=said,
        )


def _welds(one: Part, image: Part, other: Part, names: Mapping[str, str]) -> Iterator[Figure]:
    """Number and legs of the welds, and whatever else of them differs; `names` are the left's by the right's."""
    yield from _leaf("welds", "number", *(str(len(part.welds)) for part in (one, image, other)))
    for number, trio in enumerate(zip(one.welds, image.welds, other.welds, strict=False), 1):
        left, img, right = trio
        right = replace(right, piece=names.get(right.piece, right.piece), onto=names.get(right.onto, right.onto))
        rows = _fields("welds", f"weld {number}, {left.piece} to {left.onto},", left, img, right, but=("note",))
        yield from (row for row in rows if row.differs or row.what.endswith(" leg"))


def _fields(about: str, path: str, left: Any, image: Any, right: Any, *, but: Sequence[str]) -> Iterator[Figure]:
    """The figures of three values of one class, field by field."""
    for each in fields(left):
        if each.name not in but:
            trio = [getattr(value, each.name) for value in (left, image, right)]
            yield from _value(about, path, each.name, *trio)


def _value(about: str, path: str, name: str, left: Any, image: Any, right: Any) -> Iterator[Figure]:
    what = f"{path} {SINGULAR.get(name, name)}".replace("_", " ").strip()
    if isinstance(left, Outline) and isinstance(right, Outline):
        yield _outline(about, what, left, image, right)
    elif _is_point(left) and _is_point(right):
        yield from _point(about, what, left, image, right)
    elif isinstance(left, tuple) and isinstance(right, tuple):
        if len(left) != len(right):
            yield from _leaf(about, f"{what}s", *(str(len(value)) for value in (left, image, right)))
            return
        for number, trio in enumerate(zip(left, image, right, strict=True), 1):
            yield from _value(about, path, f"{SINGULAR.get(name, name)} {number}", *trio)
    elif is_dataclass(left) and type(left) is type(right):
        yield from _compound(about, what, left, image, right)
    elif _is_length(left) and _is_length(right) and float in (type(left), type(right)):
        yield _number(about, what, name, left, image, right)
    elif not (left == image == right and left in (None, "", False)):
        yield from _leaf(about, what, *map(_text, (left, image, right)))


def _compound(about: str, what: str, left: Any, image: Any, right: Any) -> Iterator[Figure]:
    if isinstance(left, Hole | Slot | Window) and left.name:
        what = f"{what} ({left.name})"
    if isinstance(left, Slot):  # its two ends are in no order
        turned = min(((right.a, right.b), (right.b, right.a)), key=lambda ends: math.dist(image.a, ends[0]))
        yield from _point(about, f"{what} end", left.a, image.a, turned[0])
        yield from _point(about, f"{what} other end", left.b, image.b, turned[1])
        yield from _fields(about, what, left, image, right, but=("a", "b", "name"))
        return
    yield from _fields(about, what, left, image, right, but=("name",))


def _outline(about: str, what: str, left: Outline, image: Outline, right: Outline) -> Figure:
    """Edges in their order, begun at whichever corner fits best: where an outline begins is no figure of it."""
    told = [f"{len(o.segments)} edges, {sum(s.length for s in o.segments):.2f} mm" for o in (left, right)]
    off = outlines_apart(image, right)
    said = ""
    if off is None:
        said = f"{about}: {what} of other edges: left {told[0]}, right {told[1]}"
    elif off > WITHIN:
        said = f"{about}: {what} up to {off:.2f} mm off the mirror image"
    return Figure(about=about, what=what, left=told[0], right=told[1], off=off, unit="mm", said=said)


def outlines_apart(one: Outline, other: Outline) -> float | None:
    """mm that the corners and middles of edges are apart at most; None where the edges are others."""
    a, b = one.segments, other.segments
    if len(a) != len(b):
        return None
    found = None
    for start in range(len(b)):
        pairs = list(zip(a, (*b[start:], *b[:start]), strict=True))
        if all(type(s) is type(t) for s, t in pairs):
            off = max(math.dist(s.point(at), t.point(at)) for s, t in pairs for at in (0.0, 0.5))
            found = off if found is None else min(found, off)
    return found


def _point(about: str, what: str, left: Any, image: Any, right: Any) -> Iterator[Figure]:
    off = math.dist(image, right)
    by = ", ".join(f"{r - i:+.2f}" for i, r in zip(image, right, strict=True))
    said = f"{about}: {what} {off:.2f} mm off the mirror image ({by})" if off > WITHIN else ""
    told, img = (_text(left), _text(right)), _text(image)
    yield Figure(about=about, what=what, left=told[0], image=img, right=told[1], off=off, unit="mm", said=said)


def _number(about: str, what: str, name: str, left: float, image: float, right: float) -> Figure:
    angle = name in ANGLES
    off = abs((image - right + 180.0) % 360.0 - 180.0) if angle else abs(image - right)
    unit = "deg" if angle else "mm"
    img = "" if image == left else _text(image)
    said = f"{about}: {what}: {_text(right)}, of the mirror image {_text(image)}" if off > WITHIN else ""
    return Figure(
        about=about, what=what, left=_text(left), image=img, right=_text(right), off=off, unit=unit, said=said
    )


def _leaf(about: str, what: str, left: str, image: str, right: str) -> Iterator[Figure]:
    said = f"{about}: {what}: left {left or 'none'}, right {right or 'none'}" if image != right else ""
    yield Figure(about=about, what=what, left=left, image="" if image == left else image, right=right, said=said)


def _is_length(value: object) -> bool:
    """A number; 9 typed as a whole one is 9.0 all the same."""
    return isinstance(value, float | int) and not isinstance(value, bool)


def _is_point(value: object) -> bool:
    return isinstance(value, tuple) and len(value) in (2, 3) and all(isinstance(c, float | int) for c in value)


def _text(value: object) -> str:
    if isinstance(value, float):
        return f"{round(value, DECIMALS) + 0.0:g}"
    if isinstance(value, tuple):
        return ", ".join(map(_text, value))
    return "" if value is None else str(value)
