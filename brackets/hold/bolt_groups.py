"""The bolts that hold one piece: what each carries of the piece's load. N, N mm, mm.

Elastic: bolts alike, the piece and what it stands on rigid. Shear evenly and by distance from the centre; along the
bolts evenly and by distance, a bolt that is pressed carries nothing (the faces do). Bolts in one line, or one
alone, hold a moment about that line only with an edge of the piece that presses: tension is that moment over the
distance to the edge. Prying is not in these forces: `prying` adds it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brackets.hold.check import Array

HELD = 1e-6
"""Of the group's largest resistance to tilt: bolts in one line have less about it."""


@dataclass(frozen=True, eq=False)
class BoltForces:
    """Of each bolt: shear (cases, n, 3) N that the piece gives to it, tension (cases, n) N, 0 or more; along
    (cases, n) N, on what it stands on, before the pressed ones are left out; twist: (cases,) N mm that a single
    bolt would have to hold by friction alone; lever: mm from the line of the bolts to the edge that presses, 0 for
    none."""

    shear: Array
    tension: Array
    along: Array
    twist: Array
    lever: float


def bolt_forces(
    points: Array, axis: Array, force: Array, moment: Array, lever: Callable[[Array], Array]
) -> BoltForces:
    """What each bolt carries.

    points: (n, 3) mm; axis: (3,) along the bolts into what the piece stands on; force, moment: (cases, 3) of the
    piece on that, moment about the middle of the points; lever: (n,) mm from the bolts to the edge of the piece
    along directions (n, 3).
    """
    n, arm = len(points), points - points.mean(axis=0)
    arm = arm - np.outer(arm @ axis, axis)
    push = force @ axis
    across, twist = force - np.outer(push, axis), moment @ axis
    polar = float((arm * arm).sum())
    shear = np.repeat(across[:, None, :] / n, n, axis=1)
    if polar > HELD:
        shear = shear + twist[:, None, None] / polar * np.cross(axis, arm)
    lines = np.cross(arm, axis)
    stiff = lines.T @ lines
    tilt = moment - np.outer(twist, axis)
    bend, axes = np.linalg.eigh(stiff)
    held = bend > HELD * max(float(bend.max()), 1.0)
    parts = tilt @ axes
    turn = (np.where(held, parts / np.where(held, bend, 1.0), 0.0)) @ axes.T
    along = push[:, None] / n + turn @ lines.T
    left = np.where(held, 0.0, parts) @ axes.T
    left = left - np.outer(left @ axis, axis)
    tension = np.maximum(-along, 0.0)
    reach = 0.0
    size = np.linalg.norm(left, axis=1)
    if size.max(initial=0.0) > HELD * max(1.0, float(np.abs(moment).max(initial=0.0))):
        tilted = size > 0
        far = lever(np.cross(axis, left[tilted]) / size[tilted, None])
        tension[tilted] += (size[tilted] / far / n)[:, None]
        reach = float(far[-1])
    return BoltForces(shear, tension, along, twist if polar <= HELD else np.zeros_like(twist), reach)
