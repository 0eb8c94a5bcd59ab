"""Volume and moments of flat plates."""

from __future__ import annotations

from brackets.mass.record import Moments3
from brackets.mass.wall import wall_moments
from brackets.pieces import Plate


def solid_moments(piece: Plate) -> Moments3:
    """Moments of the solid in the piece's own frame. Raises OutOfRange as `wall_moments` does."""
    return wall_moments(piece.wall, piece.t)
