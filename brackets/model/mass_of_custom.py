"""Volume and moments of odd pieces: only the solid kernel knows them."""

from __future__ import annotations

from brackets.model.moments import Moments3
from brackets.model.piece import CustomPiece


def custom_moments(piece: CustomPiece) -> Moments3:
    """Moments of the solid in the piece's own frame, measured on it. Loads the kernel."""
    from brackets.kernel.custom import make
    from brackets.kernel.measure import moments

    return moments(make(piece))
