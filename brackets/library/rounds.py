"""Turned stock on the z axis (cups, bungs, crush tubes, sleeves, washers), and the bore of a cup.

mm, on the diameter. A cup shrinks and goes out of round when it is welded, so it is left under size and bored,
reamed or honed out once it is cold: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.tubes import BORE_FIRST, BORE_STOCK
from brackets.core.tables.fits import Limits, hole_limits
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.turned import BushBore, Step, Turned

TOLERANCE = "H7"
"""What a housing for a pressed bush is bored to where nobody says: common practice, no source."""

STOCK = 0.5
"""mm left in a cup to finish it by after welding: common practice, no source."""


def bush_bore(
    size: float, *, own: float, limits: Limits | None = None, stock: float = STOCK, slip: bool = False
) -> BushBore:
    """How a bore of nominal `size` is made in a tube whose `own` bore is that; `stock` 0 is bored before welding.

    `limits` are those of TOLERANCE where none are given. A tube whose own bore leaves less than the stock is left
    as it is.
    """
    to = hole_limits(size, TOLERANCE) if limits is None else limits
    return BushBore(
        size=size,
        lower=to.lower,
        upper=to.upper,
        tolerance=to.named,
        source=to.source,
        now=min(size, max(own, round(size - stock, 6))),
        stock=stock,
        slip=slip,
    )


def bore_findings(bore: BushBore, piece: str) -> Iterator[Finding]:
    """What to mind of a bore: too little left in it, or bored before it is welded."""
    if not bore.after_welding:
        yield BORE_FIRST.finding(
            piece=piece,
            sentence="a cup bored before welding shrinks out of round: weld on a dummy bush, bore or ream after",
        )
    elif bore.left < bore.stock - 1e-6:
        yield BORE_STOCK.finding(
            piece=piece,
            value=bore.left,
            limit=bore.stock,
            sentence=(
                f"the tube's own bore {bore.now:g} leaves {bore.left:g} of {bore.stock:g} mm to finish it by after "
                "welding: a thicker wall leaves more"
            ),
        )


DOWN = (0.0, 0.0, -1.0)


def ring(name: str, *, od: float, bore: float, length: float, at: float = 0.0, material: str = "S235") -> Turned:
    """A plain ring or tube of `length` mm, its lower end at z = `at`; bore 0 is a solid disc or pin."""
    return Turned(
        name=name,
        place=Place(at=(0.0, 0.0, at)),
        material=material,
        steps=(Step(length=length, od=od, bore=bore),),
    )


def centred(
    name: str,
    *,
    od: float,
    bore: float,
    length: float,
    material: str = "S235",
    stock: str = "",
    bush: BushBore | None = None,
) -> Turned:
    """A plain ring of `length` mm, half of it below z = 0; `bush` says how a bore for a bush is finished."""
    plain = ring(name, od=od, bore=bore, length=length, at=-length / 2, material=material)
    return replace(plain, stock=stock, bush=bush)


def tube_cup(name: str, *, od: float, wall: float, bush_od: float, length: float) -> Turned:
    """A cup cut from that tube, about the origin, its bore finished to the bush as `bush_bore` has it."""
    bush = bush_bore(bush_od, own=od - 2 * wall)
    return centred(name, od=od, bore=bush_od, length=length, stock=f"tube {od:g} x {wall:g}", bush=bush)


def cup(
    *,
    od: float,
    bore: float,
    length: float,
    name: str = "cup",
    material: str = "S235",
    stock: str = "",
    bush: BushBore | None = None,
) -> Part:
    """A cup about the origin, its bush seat in the middle; `bore` is the finished size, `bush` how it is made."""
    return Part(
        name=name,
        pieces=(centred("cup", od=od, bore=bore, length=length, material=material, stock=stock, bush=bush),),
        seats=(Seat(name="bush", place=Place(), kind="bush", d=bore),),
    )


def bung(
    *,
    od: float,
    bore: float,
    length: float,
    spigot: tuple[float, float] | None = None,
    thread: str | None = None,
    name: str = "bung",
) -> Part:
    """A bung: shoulder at z = 0, body up to z = length, its spigot (od, length) below."""
    steps = [Step(length=length, od=od, bore=bore)]
    low = 0.0
    if spigot is not None:
        steps.insert(0, Step(length=spigot[1], od=spigot[0], bore=bore))
        low = -spigot[1]
    piece = Turned(name="bung", place=Place(at=(0.0, 0.0, low)), steps=tuple(steps), thread=thread)
    seats = (
        Seat(name="top", place=Place(at=(0.0, 0.0, length)), kind="face"),
        Seat(name="shoulder", place=Place(axis=DOWN), kind="face"),
    )
    return Part(name=name, pieces=(piece,), seats=seats)


def dummy_bush(*, od: float, length: float, sleeve_od: float, sleeve_length: float, bore: float) -> Part:
    """A stand-in for a bush about the origin: its shell, and its sleeve past both ends, in one piece."""
    end = (sleeve_length - length) / 2
    steps = [Step(length=length, od=od, bore=bore)]
    if end > 0:
        sleeve = Step(length=end, od=sleeve_od, bore=bore)
        steps = [sleeve, *steps, sleeve]
    piece: Piece = Turned(
        name="dummy_bush", place=Place(at=(0.0, 0.0, -sleeve_length / 2)), steps=tuple(steps), stock="steel bar"
    )
    return Part(name="dummy_bush", pieces=(piece,), seats=(Seat(name="bush", place=Place(), kind="bush", d=od),))
