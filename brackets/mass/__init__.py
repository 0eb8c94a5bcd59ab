"""Volume, mass, centroid and inertia of pieces, in closed form from the record that makes them.

A piece's mass is its metal: folded metal weighs what its blank weighs, though its solid is a little larger.
Weld metal is not counted.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache, reduce
from importlib import import_module
from operator import add
from typing import Literal

from brackets.errors import OutOfRange
from brackets.mass.record import Mass, Moments3
from brackets.pieces import HERE, BentTube, Folded, Odd, Piece, Plate, Tube, Turned

__all__ = ["Mass", "Moments3", "of", "solid_moments", "total", "volume"]

KINDS: dict[type[Piece], str] = {
    Plate: "plate",
    Folded: "folded",
    Tube: "tube",
    BentTube: "bent_tube",
    Turned: "turned",
    Odd: "odd",
}
"""Which module works out which kind of piece; loaded when the first of its kind is met."""

REMEMBERED = 4096
"""Pieces whose moments are kept: a large bay has some hundreds, a family some thousands."""


def of(piece: Piece) -> Mass:
    """Mass of the piece: kg, centroid mm, inertia kg mm2 about the centroid, in the frame of its part.

    Raises OutOfRange where the material is unknown or the piece makes no sense (an opening over the edge).
    """
    from brackets.tables import material

    density = material(piece.material).density
    what: Literal["mass", "solid"] = "mass" if isinstance(piece, Folded) else "solid"
    return _moments(piece, what).mass(density).moved(piece.place)


def volume(piece: Piece) -> float:
    """Volume of the piece's solid, mm3; for folded metal not its mass over its density."""
    return solid_moments(piece).volume


def solid_moments(piece: Piece) -> Moments3:
    """Moments of the piece's solid about the origin of its own frame, density 1."""
    return _moments(piece, "solid")


def total(pieces: Iterable[Piece]) -> Mass:
    """All pieces as one body, in the frame of their part. Raises OutOfRange where there is none."""
    masses = [of(piece) for piece in pieces]
    if not masses:
        raise OutOfRange("pieces = none, at least one: the mass of a part")
    return reduce(add, masses)


def _moments(piece: Piece, what: Literal["mass", "solid"]) -> Moments3:
    try:
        return _of_shape(replace(piece, name="", place=HERE, material="", stock=""), what)
    except OutOfRange as error:
        if not piece.name:
            raise
        raise OutOfRange(*(f"{piece.name}: {problem}" for problem in error.problems)) from error


@lru_cache(maxsize=REMEMBERED)
def _of_shape(piece: Piece, what: Literal["mass", "solid"]) -> Moments3:
    for kind, module in KINDS.items():
        if isinstance(piece, kind):
            found: Moments3 = getattr(import_module(f"brackets.mass.{module}"), f"{what}_moments")(piece)
            return found
    raise OutOfRange(f"piece = {type(piece).__name__}, one of {[k.__name__ for k in KINDS]}: a kind of piece")
