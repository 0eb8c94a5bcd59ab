"""The pieces a mount is made of, as plain frozen values: nothing here draws or computes."""

from brackets.pieces.folded import Flange, Folded, Relief
from brackets.pieces.holes import Hole, HoleKind, Opening, Point, Slot, Window
from brackets.pieces.odd import Odd
from brackets.pieces.piece import Piece
from brackets.pieces.place import HERE, Place, turned
from brackets.pieces.plate import Plate, TubeSeat, Wall
from brackets.pieces.seat import Seat, SeatKind
from brackets.pieces.tube import SQUARE, BentTube, Tube, TubeEnd
from brackets.pieces.turned import BushBore, Step, Turned
from brackets.pieces.vectors import Vec
from brackets.pieces.weld import Along, AtSeat, Circle, Edge, Round, Straight, TubeRim, Weld

__all__ = [
    "HERE",
    "SQUARE",
    "Along",
    "AtSeat",
    "BentTube",
    "BushBore",
    "Circle",
    "Edge",
    "Flange",
    "Folded",
    "Hole",
    "HoleKind",
    "Odd",
    "Opening",
    "Piece",
    "Place",
    "Plate",
    "Point",
    "Relief",
    "Round",
    "Seat",
    "SeatKind",
    "Slot",
    "Step",
    "Straight",
    "Tube",
    "TubeEnd",
    "TubeRim",
    "TubeSeat",
    "Turned",
    "Vec",
    "Wall",
    "Weld",
    "Window",
    "turned",
]
