"""Volume and moments of odd pieces: only the solid kernel knows them."""

from __future__ import annotations

from brackets.mass.record import Moments3
from brackets.pieces import Odd


def solid_moments(piece: Odd) -> Moments3:
    """Moments of the solid in the piece's own frame, measured on it. Loads the kernel."""
    from brackets.solid.measure import moments
    from brackets.solid.odd import make

    return moments(make(piece))
