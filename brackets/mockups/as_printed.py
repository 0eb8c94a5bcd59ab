"""A part as it is drawn for the printer: its holes and bores larger by their allowance, thin walls thicker if
asked.

It is a part like any other, so that its volume is known in closed form.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import assert_never

from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec, cross, length, sub
from brackets.forming.printer_3d import Printer3D
from brackets.model.fold_tree import tree
from brackets.model.holes import Hole, Opening, Point, Slot, Window
from brackets.model.kinds import known
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import BentTube, Tube, Turned

SAME = 1e-9

FILLED = 0.05
"""mm that a round piece in a bore may be smaller, and off its axis, and the bore is still made for it."""

PARALLEL = 1e-3
"""Sine of the angle between them."""

MOST_OF_RADIUS = 0.95
"""How much of its radius a tube's wall may grow to: a tube keeps a bore."""


@dataclass(frozen=True, kw_only=True)
class Growth:
    """A wall that is printed thicker than the part has it: `t` mm to `printed`, by `outwards` mm past its faces."""

    piece: str
    t: float
    printed: float
    outwards: float


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """The part to be printed, before it is scaled, and the walls that grew."""

    part: Part
    grown: tuple[Growth, ...] = ()


def as_printed(part: Part, printer: Printer3D, *, least_wall: float | None = None) -> Drawn:
    """The part with its openings larger by the printer's allowance.

    part: as it is made of steel; printer: whose allowances they are; least_wall: mm that every plate and tube wall
    is brought to, None where they stay. Plates grow by half on either face, tubes inwards, turned pieces outwards,
    since a bush goes into their bore. Windows, the cut ends of tubes and bores that another piece of the part fills
    stay as they are. Returns a Drawn, with what grew.
    """
    grown: list[Growth] = []
    pieces, within = [], _rods(part)
    for piece in part.pieces:
        made = _with_allowance(piece, printer, within)
        if least_wall is not None:
            made = _at_least(made, least_wall, grown)
        pieces.append(made)
    return Drawn(part=replace(part, pieces=tuple(pieces)), grown=tuple(grown))


def least_wall(piece: Piece) -> float | None:
    """The thinnest wall of a piece, mm; None for a custom piece, whose walls nobody knows."""
    match known(piece):
        case Plate() | Folded() as piece:
            return piece.t
        case Tube() | BentTube() as piece:
            return piece.wall
        case Turned() as piece:
            return min((step.od - step.bore) / (2 if step.bore else 1) for step in piece.steps)
        case CustomPiece():
            return None


@dataclass(frozen=True)
class _Rod:
    """A round outside: a point on its axis, the axis, its diameter."""

    at: Vec
    axis: Vec
    d: float

    def fills(self, at: Vec, axis: Vec, d: float) -> bool:
        """Whether it is what a bore there is made for."""
        beside = sub(self.at, at)
        return (
            abs(self.d - d) <= FILLED
            and length(cross(self.axis, axis)) <= PARALLEL
            and length(cross(beside, axis)) <= FILLED
        )


def _rods(part: Part) -> tuple[_Rod, ...]:
    found = []
    for piece in part.pieces:
        if isinstance(piece, Tube):
            found.append(_Rod(piece.place.at, piece.place.axis, piece.od))
        elif isinstance(piece, Turned):
            found += [_Rod(piece.place.at, piece.place.axis, step.od) for step in piece.steps]
    return tuple(found)


def _with_allowance(piece: Piece, printer: Printer3D, rods: Sequence[_Rod]) -> Piece:
    def free(place: Place, at: Point, d: float) -> bool:
        there = piece.place @ place
        return not any(rod.fills(there.point((*at, 0.0)), there.axis, d) for rod in rods)

    match known(piece):
        case Plate() as plate:
            return replace(plate, wall=_wall(plate.wall, printer, lambda at, d: free(HERE, at, d)))
        case Folded() as folded:
            places = [node.place for node in tree(folded).walls]
            walls = [
                _wall(wall, printer, lambda at, d, place=place: free(place, at, d))  # type: ignore[misc]
                for wall, place in zip(folded.walls(), places, strict=True)
            ]
            flanges = (replace(flange, wall=wall) for flange, wall in zip(folded.flanges, walls[1:], strict=True))
            return replace(folded, base=walls[0], flanges=tuple(flanges))
        case Turned() as turned:
            more = printer.bush_allowance if turned.bush else printer.hole_allowance
            steps = (
                replace(s, bore=s.bore + more(s.bore)) if s.bore and free(HERE, (0.0, 0.0), s.bore) else s
                for s in turned.steps
            )
            return replace(turned, steps=tuple(steps))
        case Tube() | BentTube() | CustomPiece():
            return piece
        case other:
            assert_never(other)


def _wall(wall: Wall, printer: Printer3D, free: Callable[[Point, float], bool]) -> Wall:
    return replace(wall, openings=tuple(_opening(opening, printer, free) for opening in wall.openings))


def _opening(opening: Opening, printer: Printer3D, free: Callable[[Point, float], bool]) -> Opening:
    match opening:
        case Hole() as hole:
            more = printer.bush_allowance if hole.use.lined else printer.hole_allowance
            return replace(hole, d=hole.d + more(hole.d), ream=0.0) if free(hole.at, hole.d) else hole
        case Slot() as slot:
            return replace(slot, d=slot.d + printer.hole_allowance(slot.d))
        case Window():
            return opening
        case other:
            assert_never(other)


def _at_least(piece: Piece, wall: float, grown: list[Growth]) -> Piece:
    thin = least_wall(piece)
    if thin is None or thin >= wall - SAME:
        return piece
    match known(piece):
        case Plate() | Folded() as piece:
            out = (wall - piece.t) / 2
            grown.append(Growth(piece=piece.name, t=piece.t, printed=wall, outwards=out))
            return replace(piece, t=wall, place=piece.place @ Place((0.0, 0.0, -out)))
        case Tube() | BentTube() as piece:
            thicker = min(wall, MOST_OF_RADIUS * piece.od / 2)
            grown.append(Growth(piece=piece.name, t=piece.wall, printed=thicker, outwards=0.0))
            return replace(piece, wall=thicker)
        case Turned() as piece:
            steps = tuple(
                replace(step, od=step.bore + 2 * wall) if _thin(step.od, step.bore, wall) else step
                for step in piece.steps
            )
            out = max((new.od - old.od) / 2 for new, old in zip(steps, piece.steps, strict=True))
            if out <= SAME:
                return piece
            grown.append(Growth(piece=piece.name, t=thin, printed=wall, outwards=out))
            return replace(piece, steps=steps)
        case CustomPiece() as piece:
            return piece


def _thin(od: float, bore: float, wall: float) -> bool:
    return bore > 0 and (od - bore) / 2 < wall - SAME
