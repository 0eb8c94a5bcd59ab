"""Bought things as bodies: bushes in their two halves, bobbins, and a bolt or a nut with its washers.

Bushes: origin at the bush centre, z the bush axis; of a bobbin from its first end to its second. Bolts: z from
under the head to the tip, origin under the head where it first bears. Their mass is what the sizes give; a bush
row's own mass is weighed and wins.
"""

from __future__ import annotations

from collections.abc import Sequence

from brackets.core.place import Place
from brackets.core.tables.bolt_rows import Bolt
from brackets.core.tables.bolt_rows import bolt as bolt_row
from brackets.core.tables.bush_rows import Bobbin, Bush
from brackets.core.tables.fasteners import nut
from brackets.geometry.shapes import hexagon
from brackets.library.rounds import centred, ring
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Step, Turned

SHELL_WALL = 1.5
"""Wall of a bonded bush's outer shell where the row does not say, mm: common practice, no source."""

FLANGE_OVER = 8.0
"""How much larger a poly half's end flange is than its body, mm on the diameter: common practice, no source."""


def bush_outer(bush: Bush, *, cup: float = 0.0) -> Part:
    """The half of a bush that goes with the cup, as a part: shell and rubber, poly body and end flanges, or the two
    flanged halves of a bush of three pieces.

    bush: its row of the table; cup: length of the cup, mm, at whose ends the flanges of three pieces bear where it
    is no shorter than both halves together. Origin at the bush's centre, z its axis.

    >>> [piece.name for piece in bush_outer(bush("R60")).pieces]
    ['shell', 'rubber']
    """
    if bush.three_pieces:
        return Part(name="bush", pieces=tuple(_half(bush, end, cup) for end in ("front", "rear")))
    pieces: list[Piece] = []
    rubber = bush.rubber
    if rubber is not None:
        pieces.append(
            centred("shell", od=bush.od, bore=2 * rubber.outer_r, length=bush.shell_length, material="S235")
        )
        pieces.append(
            centred(
                "rubber",
                od=2 * rubber.outer_r,
                bore=2 * rubber.inner_r,
                length=rubber.length,
                material="natural rubber",
            )
        )
    else:
        half = bush.shell_length / 2
        pieces.append(
            centred("body", od=bush.od, bore=bush.sleeve_od, length=bush.shell_length, material="polyurethane")
        )
        if bush.end_flange > 0:
            pieces += [
                ring(
                    name,
                    od=bush.od + FLANGE_OVER,
                    bore=bush.sleeve_od,
                    length=bush.end_flange,
                    at=at,
                    material="polyurethane",
                )
                for name, at in (("flange_front", half), ("flange_rear", -half - bush.end_flange))
            ]
    return Part(name="bush", pieces=tuple(pieces))


def _half(bush: Bush, end: str, cup: float) -> Piece:
    """A flanged half of a bush of three pieces: its flange outside the cup, its barrel in it."""
    at, barrel = max(cup, bush.shell_length) / 2, bush.shell_length / 2
    steps = [
        Step(length=barrel, od=bush.od, bore=bush.sleeve_od),
        Step(length=bush.end_flange, od=bush.flange_od or bush.od, bore=bush.sleeve_od),
    ]
    low = at - barrel if end == "front" else -at - bush.end_flange
    return Turned(
        name=f"half_{end}",
        place=Place(at=(0.0, 0.0, low)),
        material="polyurethane" if bush.kind.startswith("poly") else "natural rubber",
        steps=tuple(steps if end == "front" else steps[::-1]),
    )


def bush_inner(bush: Bush) -> Part:
    """The half of a bush that goes with the ears, as a part: the sleeve that the bolt clamps.

    bush: its row of the table. Origin at the middle of the bush's shell, z its axis, along which the sleeve's
    middle is `sleeve_offset` away.

    >>> sleeve = bush_inner(bush("R60")).pieces[0]
    >>> sleeve.length, sleeve.place.at[2]  # half of it on either side of the centre
    (52.0, -26.0)
    """
    sleeve = ring(
        "sleeve",
        od=bush.sleeve_od,
        bore=bush.sleeve_bore,
        length=bush.sleeve_length,
        at=bush.sleeve_offset - bush.sleeve_length / 2,
    )
    return Part(name="sleeve", pieces=(sleeve,))


RUBBER_OF = {"rubber bobbin": "natural rubber", "poly bobbin": "polyurethane"}
"""Material between the plates, by the kind of a bobbin."""


def bobbin_rubber(bobbin: Bobbin) -> Part:
    """What is bonded between the end plates of a bobbin, as a part: bored where a tapped hole reaches into it.

    bobbin: its row of the table. Origin at the middle of the bobbin, z from its first end to its second.

    >>> rubber = bobbin_rubber(bobbin("S50")).pieces[0]
    >>> rubber.length, rubber.place.at[2]  # 40 over two plates of 3
    (34.0, -17.0)
    """
    half, d = bobbin.rubber_length / 2, bolt_row(bobbin.thread).d
    holes = [max(0.0, (end.tapped or 0.0) - bobbin.plate_t) for end in bobbin.ends]
    steps = [(holes[0], d), (2 * half - sum(holes), 0.0), (holes[1], d)]
    return Part(name="rubber", pieces=(_turned("rubber", bobbin.od, steps, -half, RUBBER_OF[bobbin.kind]),))


def bobbin_end(bobbin: Bobbin, which: str) -> Part:
    """One end of a bobbin as a part: its end plate, and its stud where it has one.

    bobbin: its row of the table; which: "first" or "second". Origin at the middle of the bobbin, z from its first
    end to its second.

    >>> plate, stud = bobbin_end(bobbin("S50"), "second").pieces
    >>> plate.place.at[2], stud.place.at[2], stud.length  # 17 to 20, and out of it
    (17.0, 20.0, 28.0)
    """
    end, sign = (bobbin.first, -1.0) if which == "first" else (bobbin.second, 1.0)
    t, out, d = bobbin.plate_t, bobbin.height / 2, bolt_row(bobbin.thread).d
    bored = min(end.tapped or 0.0, t)
    steps = [(bored, d), (t - bored, 0.0)]
    at, steps = (out - t, steps[::-1]) if sign > 0 else (-out, steps)
    pieces: list[Piece] = [_turned("plate", bobbin.plate_od, steps, at, "S235")]
    if end.stud is not None:
        pieces.append(ring("stud", od=d, bore=0.0, length=end.stud, at=out if sign > 0 else -out - end.stud))
    return Part(name="end", pieces=tuple(pieces))


def _turned(name: str, od: float, steps: Sequence[tuple[float, float]], at: float, material: str) -> Piece:
    """One outside from `at` along z, with (length, bore) after one another."""
    made = tuple(Step(length=length, od=od, bore=bore) for length, bore in steps if length > 0)
    return Turned(name=name, place=Place(at=(0.0, 0.0, at)), material=material, steps=made)


def nut_on(bolt: Bolt, *, washers: int = 1, nut_kind: str = "plain") -> Part:
    """Washers and nut on a stud, as a part: origin where the first washer bears, z out along the stud.

    bolt: the row of its thread; washers: how many; nut_kind: "plain", "all-metal lock" or "nylon lock". Raises
    InputError where the table has no nut of that kind.

    >>> [piece.name for piece in nut_on(bolt("M10")).pieces]
    ['washer_1', 'nut']
    """
    pieces = [_washer(bolt, f"washer_{i + 1}", i * bolt.washer_t) for i in range(washers)]
    return Part(name="nut", pieces=(*pieces, _nut(bolt, nut_kind, washers * bolt.washer_t)))


def _nut(bolt: Bolt, kind: str, at: float) -> Plate:
    return Plate(
        name="nut",
        place=Place(at=(0.0, 0.0, at)),
        t=nut(bolt.name, kind).height,
        wall=Wall(
            outline=hexagon(bolt.nut_across_flats),
            openings=(Hole(at=(0.0, 0.0), d=bolt.d, kind="bore"),),
        ),
    )


def bolted(
    bolt: Bolt,
    *,
    length: float,
    grip: float,
    washers: tuple[int, int] = (1, 1),
    nut_kind: str | None = "plain",
) -> Part:
    """A bolt through what it holds, as a part: head, shank, washers under head and nut, nut.

    bolt: its row of the table; length: mm, from under the head to the tip; grip: mm of metal between the washers;
    washers: how many under the head and under the nut; nut_kind: "plain", "all-metal lock" or "nylon lock", None
    for no nut. The origin is the face of the grip on the head's side, z into the grip; the head is at negative z.
    Raises InputError where the table has no nut of that kind.

    >>> shank = bolted(bolt("M12"), length=90, grip=70).piece("shank")
    >>> shank.place.at[2], shank.length  # it begins under the head: one washer of 2.5 before the grip
    (-2.5, 90)
    """
    stack = washers[0] * bolt.washer_t
    pieces: list[Piece] = [
        Plate(
            name="head",
            place=Place(at=(0.0, 0.0, -stack - bolt.head_height)),
            t=bolt.head_height,
            wall=Wall(outline=hexagon(bolt.across_flats)),
        ),
        ring("shank", od=bolt.d, bore=0.0, length=length, at=-stack),
    ]
    at = -stack
    for i in range(washers[0]):
        pieces.append(_washer(bolt, f"washer_head_{i + 1}", at + i * bolt.washer_t))
    for i in range(washers[1]):
        pieces.append(_washer(bolt, f"washer_nut_{i + 1}", grip + i * bolt.washer_t))
    if nut_kind is not None:
        pieces.append(_nut(bolt, nut_kind, grip + washers[1] * bolt.washer_t))
    return Part(name="bolt", pieces=tuple(pieces))


def _washer(bolt: Bolt, name: str, at: float) -> Piece:
    return ring(name, od=bolt.washer_od, bore=bolt.washer_id, length=bolt.washer_t, at=at)
