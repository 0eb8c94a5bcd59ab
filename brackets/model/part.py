"""A part: pieces, the welds between them, and the seats where it meets other things.

A part has a frame of its own; pieces, seats and welds are given in it. Names of pieces are paths ("cup/tube"),
unique within the part, and key every list and file.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Protocol, TypeVar

from brackets.core.errors import InputError
from brackets.core.place import Place, turned
from brackets.model.piece import Piece, Seat, faces
from brackets.model.weld import Weld

if TYPE_CHECKING:
    from brackets.model.moments import Mass

FACING = Place(axis=(0.0, 0.0, -1.0), up=(0.0, 1.0, 0.0))
"""Half a turn about y: a face that looks at another face."""


@dataclass(frozen=True, kw_only=True)
class Part:
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
