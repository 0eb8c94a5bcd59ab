"""Where the engine stands: the rotation and translation from points as drawn to the points measured.

Axes of ISO 8855 (x forward, y left, z up), mm, degrees. Turned first by roll (about x, left side up), then pitch
(about y, nose down), then yaw (about z, nose left) about the point `about`; then shifted. Best rigid fit after W.
Kabsch, Acta Crystallographica A32, 1976. Taped diagonals of punch marks are checked against the drawing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.stats import chi2

from brackets.core.errors import InputError
from brackets.survey.readings import COVER, Floats
from brackets.survey.suspects import ALARM, ODDS


@dataclass(frozen=True)
class Square:
    """Four marks and their diagonals, mm.

    `ahead`: how far one long side stands ahead of the other if the marks form a parallelogram, from
    d1² − d2² = 4 · a · b · sin(lean); positive where the first diagonal is the longer.
    """

    pairs: tuple[tuple[int, int], tuple[int, int]]
    taped: tuple[float, float]
    drawn: tuple[float, float]
    difference: float  # of the two taped, beyond what the drawn ones differ by
    ahead: float
    allowed: float

    @property
    def taped_less_drawn(self) -> tuple[float, float]:
        """Each taped diagonal less the drawn one."""
        return self.taped[0] - self.drawn[0], self.taped[1] - self.drawn[1]

    @property
    def agrees(self) -> bool:
        """Whether nothing is off by more than is allowed."""
        return max(abs(self.difference), *(abs(o) for o in self.taped_less_drawn)) <= self.allowed


def square(marks: Floats, taped: tuple[float, float], allowed: float) -> Square:
    """The check of four marks (4, 3) float mm; the first diagonal is the one that starts at the first mark.

    The diagonals are the two pairs of marks whose distances add up to most. Raises InputError for marks in a line.
    """
    p = np.asarray(marks, dtype=np.float64)
    if p.shape != (4, 3):
        raise InputError(f"marks has shape {p.shape}, must be (4, 3) mm: four punch marks")
    spread = np.linalg.svd(p - p.mean(axis=0), compute_uv=False)
    if spread[1] <= 1e-6 * max(float(spread[0]), 1e-9):
        raise InputError("marks = all in a line, must be the corners of a quadrilateral: four punch marks")
    ways = (((0, 3), (1, 2)), ((0, 2), (1, 3)), ((0, 1), (2, 3)))
    pairs = max(ways, key=lambda w: sum(math.dist(p[i], p[j]) for i, j in w))
    drawn = tuple(math.dist(p[i], p[j]) for i, j in pairs)
    (a, _), (b, c) = pairs
    long = max(math.dist(p[a], p[b]), math.dist(p[a], p[c]))
    more = (taped[0] ** 2 - drawn[0] ** 2) - (taped[1] ** 2 - drawn[1] ** 2)
    return Square(
        pairs=pairs,
        taped=taped,
        drawn=(drawn[0], drawn[1]),
        difference=(taped[0] - drawn[0]) - (taped[1] - drawn[1]),
        ahead=more / (4.0 * long),
        allowed=allowed,
    )


FLAT = 1e-3  # second spread of the points over the first: under it they lie in a line and the turn is open
IMPOSSIBLE = 3.0  # sigmas: two points further from their drawn distance than this cannot be both right
MIRROR = 0.1  # a mirror image must fit this much better (chi square) to be pointed out


@dataclass(frozen=True)
class Impossible:
    """Two points whose distance no position explains: mm as drawn, as measured, ± of the difference."""

    a: int
    b: int
    drawn: float
    measured: float
    pm: float


@dataclass(frozen=True)
class Position:
    """The best rigid fit and what speaks against it.

    `residuals` (n, 3) float mm, measured less fitted; `named` is a point the others contradict (it is left out),
    `candidates` are points of which one is wrong and which cannot be told.
    """

    at: tuple[float, float, float]  # mm
    roll: float
    pitch: float
    yaw: float
    at_pm: tuple[float, float, float]
    turn_pm: tuple[float, float, float]  # degrees, about x, y, z
    residuals: Floats
    misfit: float  # root of chi square over spare coordinates; 1 is as the ± say
    impossible: tuple[Impossible, ...]
    named: int | None
    candidates: tuple[int, ...]
    mirrored: bool  # the points as measured fit far better with left and right exchanged


def position(
    drawn: Floats, measured: Floats, pm: Sequence[float], about: tuple[float, float, float] = (0.0, 0.0, 0.0)
) -> Position:
    """Place of the engine from (n, 3) points as drawn and as measured, each ± `pm` mm a coordinate.

    Raises InputError for fewer than three points, or points in a line.
    """
    drawn, measured = np.asarray(drawn, dtype=np.float64), np.asarray(measured, dtype=np.float64)
    _refuse(drawn, measured, pm)
    sigma = np.array(pm, dtype=np.float64) / COVER
    keep = np.ones(len(sigma), dtype=bool)
    named, candidates = _wrong_point(drawn, measured, sigma)
    if named is not None:
        keep[named] = False
    matrix, shift, cost = _kabsch(drawn[keep], measured[keep], sigma[keep])
    mirror = np.array([1.0, -1.0, 1.0])
    other = _kabsch(drawn[keep] * mirror, measured[keep], sigma[keep])[2]
    spare = 3 * int(keep.sum()) - 6
    pitch = math.asin(max(-1.0, min(1.0, -matrix[2, 0])))
    cov = _spread(measured[keep], sigma[keep], np.asarray(about) @ matrix.T + shift)
    flat = np.linalg.matrix_rank(drawn[keep] - drawn[keep].mean(axis=0), tol=1.0) < 3
    return Position(
        at=_three(matrix @ np.asarray(about) + shift - np.asarray(about)),
        roll=math.degrees(math.atan2(matrix[2, 1], matrix[2, 2])),
        pitch=math.degrees(pitch),
        yaw=math.degrees(math.atan2(matrix[1, 0], matrix[0, 0])),
        at_pm=_three(COVER * np.sqrt(np.diag(cov)[:3])),
        turn_pm=_three(np.degrees(COVER * np.sqrt(np.diag(cov)[3:]))),
        residuals=measured - (drawn @ matrix.T + shift),
        misfit=math.sqrt(cost / spare) if spare > 0 else math.nan,
        impossible=_impossible(drawn, measured, sigma),
        named=named,
        candidates=candidates,
        mirrored=bool(not flat and cost > chi2.isf(ALARM, max(spare, 1)) and other < MIRROR * cost),
    )


def _kabsch(drawn: Floats, measured: Floats, sigma: Floats) -> tuple[Floats, Floats, float]:
    weight = (1.0 / sigma**2)[:, None]
    a0, b0 = (drawn * weight).sum(axis=0) / weight.sum(), (measured * weight).sum(axis=0) / weight.sum()
    u, _, vt = np.linalg.svd(((drawn - a0) * weight).T @ (measured - b0))
    hand = np.diag([1.0, 1.0, np.sign(np.linalg.det(u @ vt)) or 1.0])
    matrix = (u @ hand @ vt).T
    shift = b0 - matrix @ a0
    off = measured - (drawn @ matrix.T + shift)
    return matrix, shift, float((off**2 * weight).sum())


def _spread(measured: Floats, sigma: Floats, at: Floats) -> Floats:
    """(6, 6) covariance of a small shift and turn about `at`, mm² and rad²."""
    normal = np.zeros((6, 6))
    for point, s in zip(measured - at, sigma, strict=True):
        x, y, z = point
        row = np.hstack([np.eye(3), np.array([[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]])])
        normal += row.T @ row / s**2
    return np.asarray(np.linalg.inv(normal), dtype=np.float64)


def _wrong_point(drawn: Floats, measured: Floats, sigma: Floats) -> tuple[int | None, tuple[int, ...]]:
    n = len(sigma)
    whole = _kabsch(drawn, measured, sigma)[2]
    if n < 4 or whole <= chi2.isf(ALARM, 3 * n - 6):
        return None, tuple(range(n)) if n < 4 and whole > chi2.isf(ALARM, max(3 * n - 6, 1)) else ()
    left = []
    for k in range(n):
        rest = np.arange(n) != k
        open_ = _in_line(drawn[rest])
        left.append(math.inf if open_ else _kabsch(drawn[rest], measured[rest], sigma[rest])[2])
    order = np.argsort(left)
    rivals = tuple(int(k) for k in order if left[k] - left[order[0]] < ODDS)
    if len(rivals) > 1 or left[order[0]] > chi2.isf(ALARM, max(3 * n - 9, 1)):
        return None, rivals
    return int(order[0]), ()


def _impossible(drawn: Floats, measured: Floats, sigma: Floats) -> tuple[Impossible, ...]:
    out = []
    for i, j in combinations(range(len(sigma)), 2):
        a, b = float(np.linalg.norm(drawn[j] - drawn[i])), float(np.linalg.norm(measured[j] - measured[i]))
        s = math.hypot(sigma[i], sigma[j])
        if abs(a - b) > IMPOSSIBLE * s:
            out.append(Impossible(i, j, a, b, COVER * s))
    return tuple(sorted(out, key=lambda f: -abs(f.drawn - f.measured) / f.pm))


def _in_line(points: Floats) -> bool:
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return bool(len(points) < 3 or spread[1] <= FLAT * spread[0])


def _refuse(drawn: Floats, measured: Floats, pm: Sequence[float]) -> None:
    wrong = []
    if drawn.ndim != 2 or drawn.shape[1] != 3 or drawn.shape != measured.shape or len(pm) != len(drawn):
        raise InputError(f"points = {drawn.shape} drawn, {measured.shape} measured, must be (n, 3) mm each")
    if len(drawn) < 3:
        wrong.append(f"points = {len(drawn)}, must be at least 3: marks on the engine, not in a line")
    elif _in_line(drawn):
        wrong.append("points = all in a line as drawn, must not be: the engine could turn about that line")
    elif _in_line(measured):
        wrong.append("points = all in a line as measured, must not be: the engine could turn about that line")
    if not (np.isfinite(drawn).all() and np.isfinite(measured).all()):
        wrong.append("points = not finite, must be mm")
    wrong += [f"pm = {v:g} mm, must be above 0: ± of a measured point" for v in pm if not v > 0]
    if wrong:
        raise InputError(*wrong)


def _three(values: Floats) -> tuple[float, float, float]:
    x, y, z = (float(v) + 0.0 for v in values)
    return x, y, z
