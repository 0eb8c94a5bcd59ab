"""Turned stock: cups, bungs, crush tubes, sleeves and washers, all on the z axis."""

from __future__ import annotations

from dataclasses import replace

from brackets.build.bores import bush_bore
from brackets.part import Part
from brackets.pieces import BushBore, Place, Seat, Step, Turned
from brackets.pieces.piece import Piece

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
