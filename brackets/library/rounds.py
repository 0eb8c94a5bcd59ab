"""Turned stock on the z axis (cups, bungs, crush tubes, sleeves, washers), and the bore of a cup.

mm, on the diameter. A cup shrinks and goes out of round when it is welded, so it is left under size and bored,
reamed or honed out once it is cold: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.parts import BORE_FIRST, BORE_STOCK
from brackets.core.tables.fits import Limits, hole_limits
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.tube import BushBore, Step, Turned

TOLERANCE = "H7"
"""What a housing for a pressed bush is bored to where nobody says: common practice, no source."""

STOCK = 0.5
"""mm left in a cup to finish it by after welding: common practice, no source."""


def bush_bore(
    size: float, *, own: float, limits: Limits | None = None, stock: float = STOCK, slip: bool = False
) -> BushBore:
    """How the bore for a bush is made in a tube: its size before welding, and the limits it is finished to.

    size: nominal finished bore, mm; own: the tube's own bore, mm; limits: of the finished bore, None for those of
    TOLERANCE (H7); stock: mm on the diameter left for finishing after welding, 0 where it is bored to size before;
    slip: whether the bush slips in, else it is pressed. A tube whose own bore leaves less than the stock is left as
    it is. Raises InputError for a size that ISO 286 has no limits of.

    >>> bore = bush_bore(60, own=58)
    >>> bore.now, bore.allowed  # 0.5 left to bore; H7 of 60 is 0 to +0.030
    (59.5, (60.0, 60.03))
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
    """Advice on a bore for a bush: too little metal left in it to finish it by, or bored before it is welded.

    bore: how it is made, by `bush_bore`; piece: name of the piece it is said of. Yields at most one Finding.

    >>> [(f.code, f.value, f.limit) for f in bore_findings(bush_bore(60, own=59.8), "cup")]  # 0.2 of 0.5 mm is left
    [('bore stock', 0.2, 0.5)]
    """
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
    """A plain ring or tube about z; with bore 0 a solid disc or pin.

    name, material: of the piece; od, bore, length: mm; at: z of its lower end, mm.

    >>> pin = ring("pin", od=12, bore=0, length=30, at=-10)
    >>> pin.place.at[2], pin.length
    (-10.0, 30)
    """
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
    """A plain ring or tube, half of it below z = 0.

    name, material, stock: of the piece, stock in words where it is not cut from the sizes; od, bore, length: mm;
    bush: how a bore for a bush is finished, None where it is none.

    >>> centred("sleeve", od=20, bore=12, length=60).place.at
    (0.0, 0.0, -30.0)
    """
    plain = ring(name, od=od, bore=bore, length=length, at=-length / 2, material=material)
    return replace(plain, stock=stock, bush=bush)


def tube_cup(name: str, *, od: float, wall: float, bush_od: float, length: float) -> Turned:
    """A cup cut from a tube, about the origin, its bore finished to the bush as `bush_bore` has it.

    name: of the piece; od, wall: of the tube, mm; bush_od: finished bore, mm; length: mm.

    >>> piece = tube_cup("cup", od=70, wall=6, bush_od=60, length=40)
    >>> piece.stock, piece.bush.now  # the tube's own bore is 58: it is bored to 0.5 under the bush
    ('tube 70 x 6', 59.5)
    """
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
    """A cup as a part: a ring about the origin with the seat of its bush in the middle.

    od, length: mm; bore: finished size, mm; name: of the part; material, stock: of its piece "cup", stock in words
    where it is not cut from the sizes; bush: how the bore comes to its size, by `bush_bore`, None where nobody
    says.

    >>> round(cup(od=70, bore=60, length=40).mass.kg, 3)  # pi / 4 (70² - 60²) 40 mm³ of steel, 7850 kg/m³
    0.321
    """
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
    """A weld-in bung as a part: shoulder at z = 0, body up to z = length, its spigot below.

    od, bore, length: of the body, mm; spigot: its outside and length, mm, None for none; thread: of the bore, as
    "M12", which is then the tapping size; name: of the part. Its seats are "top" and "shoulder".

    >>> piece = bung(od=30, bore=10.2, length=20, spigot=(24, 12), thread="M12").pieces[0]
    >>> piece.length, piece.place.at[2]  # 20 above the shoulder, 12 below
    (32, -12.0)
    """
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


def dummy_bush(
    *, od: float, length: float, sleeve_od: float, sleeve_length: float, bore: float, sleeve_offset: float = 0.0
) -> Part:
    """A stand-in for a bush, turned in one piece about the origin: its shell, and its sleeve past both ends.

    od, length: of the shell, mm; sleeve_od, sleeve_length: of the sleeve, mm, which is not there where it is no
    longer than the shell; bore: of both, mm; sleeve_offset: mm of z from the shell's middle to the sleeve's.

    >>> part = dummy_bush(od=60, length=40, sleeve_od=24, sleeve_length=52, bore=12)
    >>> [step.length for step in part.pieces[0].steps]  # (52 - 40) / 2 at either end
    [6.0, 40, 6.0]
    """
    below, above = ((sleeve_length - length) / 2 + offset for offset in (-sleeve_offset, sleeve_offset))
    steps = [Step(length=length, od=od, bore=bore)]
    if below > 0:
        steps.insert(0, Step(length=below, od=sleeve_od, bore=bore))
    if above > 0:
        steps.append(Step(length=above, od=sleeve_od, bore=bore))
    low = -length / 2 - max(below, 0.0)
    piece: Piece = Turned(
        name="dummy_bush", place=Place(at=(0.0, 0.0, low)), steps=tuple(steps), stock="steel bar"
    )
    return Part(name="dummy_bush", pieces=(piece,), seats=(Seat(name="bush", place=Place(), kind="bush", d=od),))
