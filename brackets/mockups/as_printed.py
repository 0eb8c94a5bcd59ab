"""A part as it is drawn for the printer: its holes and bores larger by their allowance, thin walls thicker if
asked.

It is a part like any other, so that its volume is known in closed form.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from brackets.core.place import Place
from brackets.forming.printer_3d import Printer3D
from brackets.model.holes import Hole, Opening, Slot
from brackets.model.kinds import known
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import BentTube, Tube, Turned

SAME = 1e-9

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
    since a bush goes into their bore. Windows and the cut ends of tubes stay as they are. Returns a Drawn, with
    what grew.
    """
    grown: list[Growth] = []
    pieces = []
    for piece in part.pieces:
        made = _with_allowance(piece, printer)
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


def _with_allowance(piece: Piece, printer: Printer3D) -> Piece:
    match known(piece):
        case Plate() as piece:
            return replace(piece, wall=_wall(piece.wall, printer))
        case Folded() as piece:
            flanges = tuple(replace(flange, wall=_wall(flange.wall, printer)) for flange in piece.flanges)
            return replace(piece, base=_wall(piece.base, printer), flanges=flanges)
        case Turned() as piece:
            more = printer.bush_allowance if piece.bush else printer.hole_allowance
            steps = (replace(s, bore=s.bore + more(s.bore)) if s.bore else s for s in piece.steps)
            return replace(piece, steps=tuple(steps))
        case Tube() | BentTube() | CustomPiece() as piece:
            return piece


def _wall(wall: Wall, printer: Printer3D) -> Wall:
    return replace(wall, openings=tuple(_opening(opening, printer) for opening in wall.openings))


def _opening(opening: Opening, printer: Printer3D) -> Opening:
    if isinstance(opening, Hole):
        more = printer.bush_allowance if opening.use.lined else printer.hole_allowance
        return replace(opening, d=opening.d + more(opening.d), ream=0.0)
    if isinstance(opening, Slot):
        return replace(opening, d=opening.d + printer.hole_allowance(opening.d))
    return opening


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
