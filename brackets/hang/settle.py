"""Where a body on springs and stops comes to rest: the least of its energy, which is convex, by active sets.

A stop pushes k times what it is pressed beyond its gap and never pulls. The energy 1/2 q'Kq - F'q + 1/2 sum k
max(0, n'q - gap)^2 is convex and made of finitely many quadratics; Newton's step with an exact search along it
comes to its least in finitely many steps. What is handed back says how well every condition holds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brackets.core.errors import InputError
from brackets.hang.mount import Array

FREE = 1e-10
"""Of the largest stiffness: a direction with less is held by nothing, by rounding of a 6 by 6 problem."""
STEPS = 500


@dataclass(frozen=True)
class Settled:
    """A state of rest: `movement` (6,), `pushes` (n,) N of the stops, each 0 or more.

    balance: force and moment that are left over, as a part of the load; held: False where nothing holds it in
    the direction `free` (6,), along which the load drives it away.
    """

    movement: Array
    pushes: Array
    balance: float
    held: bool = True
    free: Array | None = None


def settled(stiffness: Array, load: Array, rows: Array, gaps: Array, springs: Array) -> Settled:
    """Rest under a load.

    stiffness: (6, 6), symmetric, without negative directions; load: (6,); rows: (n, 6), what of a movement closes
    each stop; gaps: (n,) mm; springs: (n,) N/mm of each once closed.
    Raises InputError where rounding hides the rest.
    """
    size = _length(stiffness, rows, springs)
    scale = np.array([1.0, 1.0, 1.0, size, size, size])
    k, f, n = stiffness / np.outer(scale, scale), load / scale, rows / scale
    q = np.zeros(6)
    for _ in range(STEPS):
        pressed = n @ q - gaps
        on = pressed > 0
        slope = k @ q - f + n.T @ (springs * np.maximum(pressed, 0.0))
        bend, axes = np.linalg.eigh(k + (n[on].T * springs[on]) @ n[on])
        stiff = bend > FREE * max(float(np.trace(k)), float(springs.max(initial=0.0)))
        along = axes.T @ slope
        loose = axes[:, ~stiff] @ along[~stiff]
        if np.linalg.norm(loose) > 1e-9 * np.linalg.norm(f):
            step = -loose / np.linalg.norm(loose)
            if _never_stopped(k, n, step):
                return Settled(q / scale, springs * np.maximum(pressed, 0.0), np.inf, False, step / scale)
        else:
            step = -(axes[:, stiff] @ (along[stiff] / bend[stiff]))
            if np.linalg.norm(step) <= 1e-15 * np.linalg.norm(q) or not slope.any():
                break
        part = least_along(k, f, n, gaps, springs, q, step)
        q = q + part * step
        if np.array_equal(n @ q - gaps > 0, on) and abs(part - 1.0) < 1e-9 and stiff.all():
            break
    else:
        raise InputError("mounts: rest was not found: a stop is stiffer than rounding can tell from the mounts")
    pushes = springs * np.maximum(n @ q - gaps, 0.0)
    left = k @ q + n.T @ pushes - f
    return Settled(q / scale, pushes, float(np.linalg.norm(left)) / max(float(np.linalg.norm(f)), 1e-300))


def _length(stiffness: Array, rows: Array, springs: Array) -> float:
    """mm that turns are multiplied by, so that turning is as stiff as going straight, roughly."""
    straight = np.trace(stiffness[:3, :3]) + float(springs @ (rows[:, :3] ** 2).sum(axis=1))
    turning = np.trace(stiffness[3:, 3:]) + float(springs @ (rows[:, 3:] ** 2).sum(axis=1))
    return float(np.sqrt(turning / straight)) if straight > 0 and turning > 0 else 1.0


def _never_stopped(k: Array, n: Array, step: Array) -> bool:
    """Whether nothing ever pushes back along a direction."""
    return bool(step @ k @ step <= FREE * max(float(np.trace(k)), 1e-300) and (n @ step <= 1e-9).all())


def least_along(k: Array, f: Array, n: Array, gaps: Array, springs: Array, q: Array, step: Array) -> float:
    """The part of `step` at which the energy is least: its slope along the step rises, straight between corners."""
    closing, pressed = n @ step, n @ q - gaps
    corners = sorted({float(-p / c) for p, c in zip(pressed, closing, strict=True) if c != 0 and -p / c > 0})
    flat, bend = float(step @ (k @ q - f)), float(step @ k @ step)
    low = 0.0
    for high in [*corners, np.inf]:
        middle = (low + high) / 2 if np.isfinite(high) else low + 1.0
        on = pressed + middle * closing > 0
        here = flat + float((springs * pressed * closing)[on].sum())
        rise = bend + float((springs * closing**2)[on].sum())
        if rise > 0 and -here / rise <= high:
            return max(-here / rise, low)
        low = high
    return low
