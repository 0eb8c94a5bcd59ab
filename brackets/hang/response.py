"""What of a shaking comes through the mounts to the chassis, from idle upwards.

Loss of rubber is taken as a loss factor: its stiffness is k (1 + i loss), at any frequency. Of rubber 0.05 to 0.2,
common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.hang.mount import Array, Mount, as_mounts, lever
from brackets.hang.statics import free_direction, free_words
from brackets.hang.vibration import MM, mass_matrix

LOSS = 0.1


def transmissibility(ratio: float, damping: float) -> float:
    """Force that comes through over force that shakes, of one mass on one spring with a damper.

    ratio: frequency over natural frequency; damping: of the critical one. 1 at ratio sqrt(2) whatever the damping,
    less above it.

    >>> round(transmissibility(3, 0.1), 5)
    0.14537
    """
    if not (ratio >= 0 and damping >= 0 and math.isfinite(ratio + damping)):
        raise InputError(f"ratio = {ratio:g}, damping = {damping:g}, both must be 0 or more")
    if ratio == 1 and damping == 0:
        return math.inf
    through = (2 * damping * ratio) ** 2
    return math.sqrt((1 + through) / ((1 - ratio**2) ** 2 + through))


@dataclass(frozen=True, kw_only=True, eq=False)
class Transmitted:
    """What comes through at each frequency: hz (n,); forces (n, mounts, 3) N, largest in a turn, bay axes, at each
    mount; moved (n, 6) mm and radians, of the centre of mass; names of the mounts."""

    hz: Array
    forces: Array
    moved: Array
    names: tuple[str, ...]

    @property
    def strength(self) -> Array:
        """(n, mounts) N: root of the sum of squares of the three parts, an upper bound of the force in a turn."""
        return np.asarray(np.sqrt((self.forces**2).sum(axis=2)))


def transmitted(
    mass: float,
    inertia: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    hz: Any,
    *,
    couple: Any = (0.0, 0.0, 0.0),
    force: Any = (0.0, 0.0, 0.0),
    centre: Any = (0.0, 0.0, 0.0),
    loss: float = LOSS,
) -> Transmitted:
    """Forces at the mounts when the powertrain is shaken, N.

    mass, inertia, mounts, centre: as for `modes`; hz: (n,) frequencies; couple: (3,) N mm, and force: (3,) N at the
    centre of mass, that shake it; loss: loss factor of the mounts.
    Raises InputError with everything that is wrong.

    >>> one = [{"position": (0, 0, 0), "stiffness": 100, "torsion": 1e8}]
    >>> found = transmitted(10, (1e5, 1e5, 1e5), one, [0, 50], force=(0, 0, 1), loss=0)
    >>> found.forces[:, 0, 2].round(4).tolist()  # all of it at rest; 1 / (r^2 - 1) at r = 3.14
    [1.0, 0.1127]
    """
    held = tuple(mount.shaken for mount in as_mounts(mounts))
    body = mass_matrix(mass, inertia)
    at = np.atleast_1d(np.asarray(hz, dtype=np.float64))
    wrong = []
    if at.ndim != 1 or not (np.isfinite(at).all() and (at >= 0).all()):
        wrong.append(f"hz = {hz}, each must be 0 or more")
    if not (math.isfinite(loss) and 0 <= loss <= 2):
        wrong.append(f"loss = {loss:g}, must be 0 to 2: loss factor of the mounts")
    if wrong:
        raise InputError(*wrong)
    middle = np.asarray(centre, dtype=np.float64)
    if (at == 0).any() and (loose := free_direction(held, (), middle)) is not None:
        raise InputError(f"hz = 0, must be above 0: {free_words(loose, middle)}")
    shake = np.concatenate([np.asarray(force, dtype=np.float64), np.asarray(couple, dtype=np.float64)])
    stiff = sum((mount.matrix(middle) for mount in held), np.zeros((6, 6)))
    omega2 = (2 * math.pi * at) ** 2 / MM
    system = stiff[None] * (1 + 1j * loss) - omega2[:, None, None] * body[None]
    moved = np.linalg.solve(system, np.broadcast_to(shake, (len(at), 6))[..., None])[..., 0]
    forces = [(moved @ lever(mount.position - middle).T) @ mount.outer[0] * (1 + 1j * loss) for mount in held]
    names = tuple(mount.name for mount in held)
    return Transmitted(hz=at, forces=np.abs(np.stack(forces, axis=1)), moved=np.abs(moved), names=names)
