"""Mass and centre of mass from scales under three or more stands, or from a hook and a tilt.

The engine's own axes, x forward, y left, z up when it stands level; mm, kg, degrees. `nose_up` is the angle of its
x axis above level, `left_up` of its y axis. Each weighing puts the centre on one upright line; weighings at two
tilts cross, and only that gives the height.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from brackets.core.errors import InputError
from brackets.survey.readings import COVER, Floats

LEAST_TILT = 2.0  # degrees between two weighings under which their lines cross nowhere worth printing
Vec = tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class Weighing:
    """Scales under `points` (one: a hook) reading `reads` kg, each ± `pm` kg, points ± `point_pm` mm."""

    points: tuple[Vec, ...]
    reads: tuple[float, ...]
    pm: float = 0.5
    nose_up: float = 0.0
    left_up: float = 0.0
    level_pm: float = 0.5
    point_pm: float = 1.0
    name: str = "weighing"


@dataclass(frozen=True)
class Balance:
    """Mass kg and centre mm, each with its ±; `height_known` False: z is only where the line was cut."""

    mass: float
    mass_pm: float
    centre: Vec
    centre_pm: Vec
    height_known: bool
    per_degree: float  # mm that one degree of level error moves the centre of one weighing, at the height taken
    misses: tuple[float, ...]  # mm from the centre to each weighing's line
    misses_pm: tuple[float, ...]


def balance(weighings: Sequence[Weighing], *, height: float | None = None, height_pm: float = 50.0) -> Balance:
    """Mass and centre of what was weighed.

    `height` (z, mm) is used where the weighings alone do not give one; without it z is the mean height of the
    points. Raises InputError with everything wrong.
    """
    _refuse(weighings)
    known = _tilt(weighings) >= LEAST_TILT
    stand = float(np.mean([p[2] for w in weighings for p in w.points]))
    level = height if height is not None else stand
    centre = _centre(weighings, None if known else level)
    variance = np.zeros(3)
    for changed, sigma in _wiggles(weighings):
        variance += ((_centre(changed, None if known else level) - centre) / WIGGLE * sigma) ** 2
    if not known:
        lean = _centre(weighings, level + 1.0) - centre
        guess = height_pm / COVER if height is not None else 0.0
        variance += (lean * guess) ** 2
    sums = [sum(w.reads) for w in weighings]
    weight = [1.0 / (len(w.reads) * w.pm**2) for w in weighings]
    mass = sum(s * k for s, k in zip(sums, weight, strict=True)) / sum(weight)
    pm = COVER * np.sqrt(variance)
    miss, miss_pm = zip(*(_miss(w, centre, pm) for w in weighings), strict=True)
    return Balance(
        mass=mass,
        mass_pm=1.0 / math.sqrt(sum(weight)),
        centre=(float(centre[0]), float(centre[1]), float(centre[2])),
        centre_pm=(
            float(pm[0]),
            float(pm[1]),
            float(pm[2]) if known else (height_pm if height is not None else math.inf),
        ),
        height_known=known,
        per_degree=abs(float(centre[2]) - stand) * math.tan(math.radians(1.0)),
        misses=tuple(miss),
        misses_pm=tuple(miss_pm),
    )


WIGGLE = 1e-3  # of a unit: step of the differences, far above rounding and under any bend


def upward(nose_up: float, left_up: float) -> Floats:
    """(3,) the upright direction in the engine's own axes: what a level laid along x and along y reads, exactly."""
    a, b = math.sin(math.radians(nose_up)), math.sin(math.radians(left_up))
    return np.array([a, b, math.sqrt(max(1.0 - a * a - b * b, 0.0))])


def _line(w: Weighing) -> tuple[Floats, Floats]:
    reads = np.array(w.reads)
    return (np.array(w.points) * reads[:, None]).sum(axis=0) / reads.sum(), upward(w.nose_up, w.left_up)


def _centre(weighings: Sequence[Weighing], level: float | None) -> Floats:
    """Where the lines pass each other closest; with `level`, where they cut that height."""
    total, right = np.zeros((3, 3)), np.zeros(3)
    for w in weighings:
        at, up = _line(w)
        across = np.eye(3) - np.outer(up, up)
        total += across
        right += across @ at
    if level is None:
        return np.asarray(np.linalg.solve(total, right), dtype=np.float64)
    cuts = []
    for w in weighings:
        at, up = _line(w)
        cuts.append(at + (level - at[2]) / up[2] * up)
    return np.asarray(np.mean(cuts, axis=0), dtype=np.float64)


def _wiggles(weighings: Sequence[Weighing]) -> list[tuple[list[Weighing], float]]:
    """The weighings with one reading, point coordinate or angle a little changed, and that one's sigma."""
    out = []

    def put(k: int, sigma: float, **change: object) -> None:
        made = list(weighings)
        made[k] = replace(made[k], **change)  # type: ignore[arg-type]
        out.append((made, sigma))

    for k, w in enumerate(weighings):
        for i in range(len(w.reads)):
            reads = tuple(r + (WIGGLE if j == i else 0.0) for j, r in enumerate(w.reads))
            put(k, w.pm / COVER, reads=reads)
            for axis in range(3):
                moved = [list(p) for p in w.points]
                moved[i][axis] += WIGGLE
                put(k, w.point_pm / COVER, points=tuple(tuple(p) for p in moved))
        put(k, w.level_pm / COVER, nose_up=w.nose_up + WIGGLE)
        put(k, w.level_pm / COVER, left_up=w.left_up + WIGGLE)
    return out


def _tilt(weighings: Sequence[Weighing]) -> float:
    """The largest angle between two weighings' upright lines, degrees."""
    ups = [upward(w.nose_up, w.left_up) for w in weighings]
    return max((math.degrees(math.acos(min(1.0, float(a @ b)))) for a in ups for b in ups), default=0.0)


def _miss(w: Weighing, centre: Floats, pm: Floats) -> tuple[float, float]:
    at, up = _line(w)
    off = centre - at
    arm = float(np.linalg.norm(off))
    share = w.pm / sum(w.reads) * float(np.linalg.norm(np.ptp(np.array(w.points), axis=0)))
    own = math.hypot(w.point_pm, share, math.radians(w.level_pm) * arm)
    return float(np.linalg.norm(off - (off @ up) * up)), math.hypot(own, float(np.linalg.norm(pm[:2])))


def _refuse(weighings: Sequence[Weighing]) -> None:
    wrong = [] if weighings else ["weighings = none, must be at least one"]
    for w in weighings:
        if len(w.points) != len(w.reads):
            wrong.append(f"{w.name}: reads = {len(w.reads)} values, must be one for each of {len(w.points)} points")
        if len(w.points) == 2:
            wrong.append(
                f"{w.name}: points = 2, must be one hook, or three or more stands: across two it would tip"
            )
        if len(w.points) > 2 and _in_line(w.points):
            wrong.append(f"{w.name}: points = all in a line, must stand round the centre: it would tip")
        wrong += [
            f"{w.name}: reads = {r:g} kg, must be 0 or more: a scale under a stand pushes"
            for r in w.reads
            if not r >= 0
        ]
        if not sum(w.reads) > 0:
            wrong.append(f"{w.name}: reads = {sum(w.reads):g} kg in all, must be above 0")
        wrong += [
            f"{w.name}: {name} = {v:g}, must be above 0: how well it is known"
            for name, v in (("pm", w.pm), ("level_pm", w.level_pm), ("point_pm", w.point_pm))
            if not v > 0
        ]
        if math.sin(math.radians(w.nose_up)) ** 2 + math.sin(math.radians(w.left_up)) ** 2 > 0.75:
            wrong.append(f"{w.name}: tilt = {w.nose_up:g} and {w.left_up:g} degrees, must be under 60 in all")
    if wrong:
        raise InputError(*wrong)


def _in_line(points: tuple[Vec, ...]) -> bool:
    p = np.array(points)
    spread = np.linalg.svd(p - p.mean(axis=0), compute_uv=False)
    return bool(spread[1] <= 1e-3 * spread[0])
