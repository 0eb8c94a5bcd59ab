"""A part: pieces, the welds between them, seats where it meets other things; parts joined, and mirrored.

A part has a frame of its own; pieces, seats and welds are given in it. Names of pieces are paths ("cup/tube"),
unique within the part, and key every list and file.

Mirroring makes new pieces, whose flats, bends, clocks and welds are those of the other hand; never a placement.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal, Protocol, TypeVar

from brackets.core.errors import InputError
from brackets.core.place import Place, turned
from brackets.core.shown import Shown
from brackets.core.vectors import Vec, cross, dot, scale, sub, unit
from brackets.model.piece import Piece, Seat, faces
from brackets.model.weld import Weld

if TYPE_CHECKING:
    from brackets.model.moments import Mass


FACING = Place(axis=(0.0, 0.0, -1.0), up=(0.0, 1.0, 0.0))
"""Half a turn about y: a face that looks at another face."""


@dataclass(frozen=True, kw_only=True)
class Part(Shown):
    """Pieces, welds and seats under one name.

    `loose` names the pieces that nothing here holds and that are meant so (a shim, a washer for the shop to keep):
    they are listed instead of stopped at. Raises InputError where two pieces or two seats share a name, or a weld
    or `loose` names a piece that is not there.
    """

    name: str
    pieces: tuple[Piece, ...]
    welds: tuple[Weld, ...] = ()
    seats: tuple[Seat, ...] = ()
    loose: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        problems = []
        for what, names in (("piece", [p.name for p in self.pieces]), ("seat", [s.name for s in self.seats])):
            twice = sorted(name for name, n in Counter(names).items() if n > 1)
            problems += [f"{what} = {name}, each name once: two in {self.name}" for name in twice]
        there = {p.name for p in self.pieces}
        ends = there | {s.name for s in self.seats}
        for weld in self.welds:
            if weld.piece not in there:
                problems.append(f"weld piece = {weld.piece}, one of {sorted(there)}: a weld of {self.name}")
            if weld.onto not in ends:
                problems.append(f"weld onto = {weld.onto}, a piece or a seat: one of {sorted(ends)}")
        for name in self.loose:
            if name not in there:
                problems.append(f"loose = {name}, one of {sorted(there)}: a piece of {self.name}")
        if problems:
            raise InputError(*problems)

    @cached_property
    def mass(self) -> Mass:
        """Mass kg, centroid mm, inertia kg mm2 about the centroid, in the part's frame."""
        from brackets.model.mass import total

        return total(self.pieces)

    def piece(self, name: str) -> Piece:
        """The piece of that name; InputError, with the names there are, where there is none."""
        return _by_name(self.pieces, name, f"a piece of {self.name}")

    def seat(self, name: str) -> Seat:
        """The seat of that name; InputError, with the names there are, where there is none."""
        return _by_name(self.seats, name, f"a seat of {self.name}")

    def placed(self, place: Place) -> Part:
        """The same part, its frame set at `place`."""
        return replace(
            self,
            pieces=tuple(p.placed(place) for p in self.pieces),
            seats=tuple(replace(s, place=place @ s.place) for s in self.seats),
        )

    def mirrored(self, name: str | None = None) -> Part:
        """The other hand: new pieces, mirrored in the part's plane x = 0."""
        return replace(
            self,
            name=self.name if name is None else name,
            pieces=tuple(p.mirrored() for p in self.pieces),
            welds=tuple(replace(w, edge=self.piece(w.piece).mirrored_edge(w.edge)) for w in self.welds),
            seats=tuple(replace(s, place=s.place.mirrored()) for s in self.seats),
        )

    def under(self, prefix: str) -> Part:
        """The same part with `prefix` and a slash before every piece and seat name."""
        return replace(
            self,
            pieces=tuple(p.renamed(f"{prefix}/{p.name}") for p in self.pieces),
            welds=tuple(replace(w, piece=f"{prefix}/{w.piece}", onto=f"{prefix}/{w.onto}") for w in self.welds),
            seats=tuple(replace(s, name=f"{prefix}/{s.name}") for s in self.seats),
            loose=tuple(f"{prefix}/{name}" for name in self.loose),
        )


def assembled(
    name: str,
    members: Sequence[tuple[str, Part, Place]],
    *,
    pieces: Iterable[Piece] = (),
    welds: Iterable[Weld] = (),
    seats: Iterable[Seat] = (),
    loose: Iterable[str] = (),
) -> Part:
    """One part made of several parts, each set in its place.

    name: of the whole; members: (prefix, part, place) each, whose pieces, welds and seats keep their names after
    "prefix/"; pieces, welds, seats: further ones, with their names already whole; loose: further names of pieces
    that nothing holds on purpose. Raises InputError where two pieces or two seats come to share a name, or a weld
    or `loose` names a piece that is not there.

    >>> one = cup(od=70, bore=60, length=40)
    >>> pair = assembled("pair", [("left", one, Place(at=(0, 100, 0))), ("right", one, Place(at=(0, -100, 0)))])
    >>> [piece.name for piece in pair.pieces], round(pair.mass.kg / one.mass.kg, 6)
    (['left/cup', 'right/cup'], 2.0)
    """
    set_up = [part.placed(place).under(prefix) for prefix, part, place in members]
    return Part(
        name=name,
        pieces=(*(p for part in set_up for p in part.pieces), *pieces),
        welds=(*(w for part in set_up for w in part.welds), *welds),
        seats=(*(s for part in set_up for s in part.seats), *seats),
        loose=(*(name for part in set_up for name in part.loose), *loose),
    )


def meeting(onto: Seat, seat: Seat, *, turn: float = 0.0) -> Place:
    """Where a part must stand so that its `seat` meets `onto`.

    Face, boss and bolt seats meet with z opposed and y alike; bush and round seats coincide. `turn`: degrees about
    the z of `onto`. Raises InputError where the kinds do not fit each other.
    """
    if faces(onto.kind) != faces(seat.kind) or (not faces(onto.kind) and onto.kind != seat.kind):
        raise InputError(
            f"seat = {seat.name} ({seat.kind}), must be of the kind of {onto.name} ({onto.kind}): seats that meet"
        )
    middle = FACING if faces(onto.kind) else Place()
    return onto.place @ turned(turn) @ middle @ seat.place.inverse()


def joined(a: Part, seat_a: str, b: Part, seat_b: str, *, turn: float = 0.0, name: str | None = None) -> Part:
    """`a` where it stands with `b` set to it, seat on seat; pieces under the names of their parts.

    Raises InputError where a seat is missing, the kinds do not fit, or both parts have one name.
    """
    place = meeting(a.seat(seat_a), b.seat(seat_b), turn=turn)
    return assembled(f"{a.name}+{b.name}" if name is None else name, [(a.name, a, Place()), (b.name, b, place)])


class _Named(Protocol):
    @property
    def name(self) -> str: ...


_T = TypeVar("_T", bound=_Named)


def _by_name(things: Iterable[_T], name: str, what: str) -> _T:
    there = {thing.name: thing for thing in things}
    if name not in there:
        raise InputError(f"name = {name}, one of {sorted(there)}: {what}")
    return there[name]


Word = Literal["left", "right", ""]

OWN_PLANE = "the recipe's own plane x = 0"


@dataclass(frozen=True)
class Plane:
    """A plane through `at`, mm, square to `normal`."""

    at: Vec = (0.0, 0.0, 0.0)
    normal: Vec = (0.0, 1.0, 0.0)

    def distance(self, p: Vec) -> float:
        """Signed distance of `p` from the plane, mm, positive along the normal."""
        return dot(sub(p, self.at), unit(self.normal))

    def point(self, p: Vec) -> Vec:
        """The mirror image of a point."""
        return _clean(sub(p, scale(unit(self.normal), 2.0 * self.distance(p))))

    def direction(self, v: Vec) -> Vec:
        """The mirror image of a direction."""
        n = unit(self.normal)
        return _clean(sub(v, scale(n, 2.0 * dot(v, n))))

    def __str__(self) -> str:
        n = unit(self.normal)
        for name, own in zip("xyz", n, strict=True):
            if abs(abs(own) - 1.0) < 1e-12:
                return f"{name} = {dot(self.at, n) * own + 0.0:g}"
        return f"through {_shown(self.at)} square to {_shown(n)}"


def reflected(part: Part, plane: Plane) -> Part:
    """The other hand of a part: its mirror image in a plane, standing on the other side of it.

    part: any part; plane: a `Plane` of this module or `Bay.plane`. Pieces are made anew, so that flats, bends and
    welds are those of the other hand.

    >>> from brackets.model.part import Plane
    >>> left = cup(od=70, bore=60, length=40).placed(Place(at=(0, 100, 0)))
    >>> reflected(left, Plane(normal=(0, 1, 0))).seat("bush").place.at
    (0.0, -100.0, 0.0)
    """
    n = unit(plane.normal)
    up: Vec = (0.0, 0.0, 1.0) if abs(n[2]) < 0.9 else (0.0, 1.0, 0.0)
    axis = sub(up, scale(n, dot(up, n)))
    own = Place(plane.at, axis, cross(axis, n))  # x = up x axis = n
    return part.placed(own.inverse()).mirrored().placed(own)


@dataclass(frozen=True, kw_only=True)
class Hand:
    """Which hand of a pair a part is, and how it was made.

    `plane` says what it, or the other, was `mirrored` about; `other` is the part on the other side, `differs` what
    is not its mirror image, a line each. Values of a mirrored part are those of the hand it is the image of.
    """

    word: Word
    mirrored: bool
    plane: str
    other: str = ""
    differs: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """LEFT HAND, RIGHT HAND; OTHER HAND where nobody said which."""
        return f"{self.word.upper() or 'OTHER'} HAND"

    @property
    def notes(self) -> tuple[str, ...]:
        """What the sheets say of it."""
        of = f" of {self.other}" if self.other else " of the recipe as written"
        how = f"{self.label}: "
        if self.mirrored:
            how += f"the mirror image{of}, about {self.plane}. Its values are written for the hand it mirrors."
        else:
            how += f"as written; its mirror image about {self.plane} is {self.other or 'the other hand'}."
        return (how, *(f"Differs from its other hand: {line}." for line in self.differs))

    @property
    def record(self) -> dict[str, object]:
        """For scripts: hand (left, right, other), mirrored, plane, other, differs."""
        return {
            "hand": self.word or "other",
            "mirrored": self.mirrored,
            "plane": self.plane,
            "other": self.other or None,
            "differs": list(self.differs),
        }

    def named(self, name: str) -> str:
        """`name` with the hand behind it, for files and folders; as it is where it has the word in it already."""
        word = self.word or "other-hand"
        return name if word in name.lower().replace("_", "-").split("-") else f"{name}-{word}"


def of_recipe(word: Word) -> Hand:
    """The hand of a part made of a recipe alone: as written it is the left hand, mirrored the right."""
    return Hand(word=word, mirrored=word == "right", plane=OWN_PLANE)


def _clean(v: Vec) -> Vec:
    return (v[0] + 0.0, v[1] + 0.0, v[2] + 0.0)


def _shown(v: Vec) -> str:
    return "(" + ", ".join(f"{c:g}" for c in v) + ")"
