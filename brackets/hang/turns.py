"""Small turns as the mechanics give them, made into turns about x, then y, then z, with nothing left out.

The mechanics give one turn about one axis, as a vector of radians; clearance turns a body about the bay's three
axes one after the other. The angles of both differ by terms of the second order, which are bounded here, so that a
box of the one kind lies whole in a box of the other.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from brackets.core.errors import OutOfRange
from brackets.hang.mount import Array

LARGEST = 0.5
"""Radians: the largest turn that the bounds are worked out for; far over what small movements say anything of."""


class TurnedOverError(OutOfRange):
    """Turns past what can be worked out; `degrees`: how far."""

    def __init__(self, turn: float) -> None:
        self.turn, self.degrees = turn, math.degrees(turn)
        super().__init__(
            f"turn = {self.degrees:.4g} deg, must be up to {math.degrees(LARGEST):.3g}: largest turn of the"
            " powertrain, its mounts do not hold it upright"
        )

    def __reduce__(self) -> Any:
        return TurnedOverError, (self.turn,)


def successive_turns(low: Any, high: Any) -> tuple[Array, Array]:
    """Bounds of roll, pitch, yaw of every turn whose vector lies in a box.

    low, high: (3,) radians, ends of the box. The turn by a vector v, which is about v by its length, is the turn by
    roll about x, then pitch about y, then yaw about z. With s = sin|v|/|v| and c = (1 - cos|v|)/|v|^2
    sin(pitch) = s y - c x z, tan(roll) = (s x + c y z) / (1 - c (x^2 + y^2)), and yaw as roll with x and z changed.
    Raises TurnedOverError, an OutOfRange, where the largest turn is over 0.5 radians.

    >>> ends = successive_turns((-0.01, 0, 0), (0.02, 0.03, 0))
    >>> [end.round(5).tolist() for end in ends]  # 0.0003 is half of 0.02 times 0.03
    [[-0.01001, -1e-05, -0.0003], [0.02001, 0.03001, 0.0003]]
    """
    ends = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
    most = np.maximum(*np.abs(ends))
    size = float(np.linalg.norm(most))
    if not size <= LARGEST:
        raise TurnedOverError(size)
    x, y, z = map(float, most)
    less = size**2 / 6  # 1 - s is at most this, and c at most a half
    off = np.array([_of_tangent(x, y, z, less), _of_sine(x, y, z, less), _of_tangent(z, y, x, less)])
    return ends[0] - off, ends[1] + off


def _of_sine(x: float, y: float, z: float, less: float) -> float:
    """Most that pitch is off y."""
    most = y + x * z / 2
    return y * less + x * z / 2 + math.asin(most) - most


def _of_tangent(x: float, y: float, z: float, less: float) -> float:
    """Most that roll is off x."""
    top, under = x + y * z / 2, 1 - (x * x + y * y) / 2
    return x * less + y * z / 2 + top * (1 / under - 1) + (top / under) ** 3 / 3


def beyond_first_order(turn: float, arm: float) -> float:
    """mm: most that a point `arm` mm off the centre is, turned by up to `turn` radians, from where small turns say:
    |R r - r - v x r| <= |v|^2 / 2 |r|.

    >>> round(beyond_first_order(0.02, 500), 3)
    0.1
    """
    return turn * turn / 2 * arm
