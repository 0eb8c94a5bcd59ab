"""How the powertrain swings on its mounts: six frequencies and shapes, and where its energy is.

kg, kg mm2, mm, N/mm, Hz. A shape is the movement of the centre of mass: mm along x, y, z and radians about them.
The chassis stands still; bushes are as stiff as when they are shaken (`dynamic`).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.hang.mount import Array, Mount, as_mounts, stiffness_matrix

DIRECTIONS = ("x", "y", "z", "roll", "pitch", "yaw")
"""Of a movement: along x, y, z and about x, y, z of the bay."""
MM = 1000.0
"""N/mm over kg is 1000/s2."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Modes:
    """Six ways to swing, the slowest first.

    hz (6,); shapes (6, 6): a row each, the largest point of a body of its size going about 1 mm; energy (6, 6): of
    each mode, a row, the share of its energy of motion along x, y, z and about them, which add up to 1; low, high
    (6,) Hz: what the scatter of the mounts can make of each, proven (frequencies rise with every stiffness: Weyl).
    """

    hz: Array
    shapes: Array
    energy: Array
    low: Array
    high: Array

    def chief(self, mode: int) -> tuple[str, float]:
        """The direction that has most of a mode's energy, and its share."""
        k = int(np.argmax(self.energy[mode]))
        return DIRECTIONS[k], float(self.energy[mode, k])


def modes(
    mass: float,
    inertia: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    *,
    centre: Any = (0.0, 0.0, 0.0),
) -> Modes:
    """Six natural frequencies and shapes of a rigid powertrain on its mounts, without damping.

    mass: kg; inertia: about the centre of mass, kg mm2, (3,) or (3, 3) with off-diagonals -∫xy dm; mounts:
    `Mount`s, or mappings of their values: position mm, stiffness N/mm, rotation (3, 3), its own axes as columns;
    centre: of mass, mm, in the axes that the positions are in.
    A frequency of 0 is a way in which nothing holds it. Raises InputError with everything that is wrong.

    >>> at = [(x, y, -150) for x in (-400, 400) for y in (-250, 250)]
    >>> corners = [{"position": each, "stiffness": (120, 100, 200)} for each in at]
    >>> modes(200, (10e6, 20e6, 18e6), corners).hz.round(4).tolist()
    [6.3324, 7.3462, 10.0658, 11.5013, 12.6495, 13.5136]
    """
    held = tuple(mount.shaken for mount in as_mounts(mounts))
    body = mass_matrix(mass, inertia)
    middle = _point(centre)
    hz, shapes = _swing(body, stiffness_matrix(held, middle))
    low, high = (
        _swing(body, stiffness_matrix(ends, middle))[0]
        for ends in ([each.scaled(each.low) for each in held], [each.scaled(each.high) for each in held])
    )
    size = math.sqrt(float(np.trace(body[3:, 3:])) / float(np.trace(body[:3, :3])))
    reach = np.sqrt((shapes[:, :3] ** 2).sum(axis=1)) + size * np.sqrt((shapes[:, 3:] ** 2).sum(axis=1))
    return Modes(hz=hz, shapes=shapes / reach[:, None], energy=shapes * (shapes @ body), low=low, high=high)


def mass_matrix(mass: float, inertia: Any) -> Array:
    """(6, 6) kg, kg mm2, of a rigid body about its centre of mass; InputError with everything that is wrong."""
    wrong = []
    if not (math.isfinite(mass) and mass > 0):
        wrong.append(f"mass = {mass:g} kg, must be above 0: of the powertrain")
    full = np.asarray(inertia, dtype=np.float64)
    full = np.diag(full) if full.shape == (3,) else full
    if full.shape != (3, 3) or not np.isfinite(full).all():
        wrong.append(f"inertia = {inertia}, must be 3 or 3 by 3 finite numbers, kg mm2")
    elif np.abs(full - full.T).max() > 1e-9 * np.abs(full).max():
        wrong.append(f"inertia = {inertia}, must be symmetric, kg mm2")
    else:
        least = np.linalg.eigvalsh(full)
        if not least[0] > 0:
            wrong.append(f"inertia = {inertia}, must be above 0 about every axis: a powertrain is no point or line")
        elif least[2] > (least[0] + least[1]) * (1 + 1e-9):
            wrong.append(f"inertia = {inertia}, none may be over the sum of the other two: no body has such")
    if wrong:
        raise InputError(*wrong)
    body = np.zeros((6, 6))
    body[:3, :3] = mass * np.eye(3)
    body[3:, 3:] = (full + full.T) / 2
    return body


def _swing(body: Array, stiffness: Array) -> tuple[Array, Array]:
    """Hz, and shapes as rows, each with shape' body shape = 1."""
    root = np.linalg.inv(np.linalg.cholesky(body))
    square, axes = np.linalg.eigh(root @ stiffness @ root.T * MM)
    square = np.where(square > 1e-12 * max(float(square[-1]), 0.0), square, 0.0)
    return np.sqrt(square) / (2 * math.pi), np.asarray(axes.T @ root)


def torque_roll_axis(inertia: Any, crank: Any) -> Array:
    """(3,) unit direction about which a free powertrain turns when the torque of its crank pulses.

    inertia: about the centre of mass, kg mm2, (3,) or (3, 3); crank: direction of the crank. The axis goes through
    the centre of mass: inertia x turn = torque.

    >>> torque_roll_axis((2e6, 8e6, 8e6), (1, 0, 0)).tolist()
    [1.0, 0.0, 0.0]
    """
    turn = np.linalg.solve(mass_matrix(1.0, inertia)[3:, 3:], _point(crank))
    if not np.linalg.norm(turn) > 0:
        raise InputError(f"crank = {crank}, must not be 0: the direction of the crank")
    return np.asarray(turn / np.linalg.norm(turn))


def _point(value: Any) -> Array:
    array = np.asarray(value, dtype=np.float64)
    if array.shape != (3,) or not np.isfinite(array).all():
        raise InputError(f"{value}, must be three finite numbers, mm")
    return array
