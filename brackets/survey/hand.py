"""Which way round the holes go, and readings that make no sense.

Distances fix a pattern but for its mirror image, so somebody must say, or edges that were measured.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from brackets.core.names import nearest
from brackets.survey.model import Fit, Mask, Model, fit
from brackets.survey.readings import COVER, HOWS, DatumEdge, Floats, MeasuredHole, Reading
from brackets.survey.shape import AS_GOOD

FURTHEST = 5000.0  # mm: nothing on an engine is further apart


def problems(
    readings: Sequence[Reading], holes: Sequence[MeasuredHole], edges: Sequence[DatumEdge], *, space: bool
) -> list[str]:
    """One line for each thing wrong; empty when the readings can be worked on."""
    wrong = _names(holes, edges)
    if len(holes) < 2:
        wrong.append(f"holes = {len(holes)}, must be at least 2: nothing lies between fewer")
    for hole in holes:
        if hole.d is not None and not (math.isfinite(hole.d) and 0 < hole.d < 500):
            wrong.append(f'hole "{hole.name}" d = {hole.d:g} mm, must be above 0 and under 500: hole diameter')
        if not (math.isfinite(hole.d_pm) and hole.d_pm > 0):
            wrong.append(f'hole "{hole.name}" pm = {hole.d_pm:g} mm, must be above 0: ± of its diameter')
    by_name = {h.name: h for h in holes}
    for k, reading in enumerate(readings, start=1):
        wrong += _reading(k, reading, by_name, {e.name for e in edges}, space=space)
    if not wrong:
        wrong += _apart(readings, holes, edges)
    return wrong


def _names(holes: Sequence[MeasuredHole], edges: Sequence[DatumEdge]) -> list[str]:
    names = [h.name for h in holes] + [e.name for e in edges]
    wrong = [
        f'name = "{n}", must be given once: it is given {names.count(n)} times'
        for n in sorted(set(names))
        if names.count(n) > 1
    ]
    wrong += ["name = empty, must be a short word such as T1" for n in names if not n.strip()]
    return wrong + [
        f'edge "{e.name}" axis = {e.axis!r}, must be "x" or "y"' for e in edges if e.axis not in ("x", "y")
    ]


def _reading(
    k: int, reading: Reading, holes: dict[str, MeasuredHole], edges: set[str], *, space: bool
) -> list[str]:
    wrong, (a, b) = [], reading.between
    where = f"reading {k} ({a} {b})"
    for name in reading.between:
        if name not in holes and name not in edges:
            near = nearest(name, [*holes, *edges], n=1)
            meant = f'; nearest: "{near[0]}"' if near else ""
            wrong.append(f'{where} between = "{name}", must be the name of a hole or an edge{meant}')
    if b in edges:
        wrong.append(f'{where} between = "{b}", an edge must come first and a hole second')
    if a == b:
        wrong.append(f"{where} between = {a} twice, must be two different things")
    if reading.how not in HOWS:
        wrong.append(f"{where} how = {reading.how!r}, must be one of {', '.join(HOWS)}")
    if not (math.isfinite(reading.pm) and reading.pm > 0):
        wrong.append(f"{where} pm = {reading.pm:g} mm, must be above 0: ± of the reading")
    low = reading.how != "step" and a not in edges
    if not math.isfinite(reading.value) or abs(reading.value) > FURTHEST or (low and reading.value <= 0):
        allowed = f"above 0 and at most {FURTHEST:g}" if low else f"at most {FURTHEST:g} either way"
        wrong.append(f"{where} value = {reading.value:g} mm, must be {allowed}: a distance")
    if reading.how in ("outside", "inside"):
        bare = [n for n in reading.between if n in holes and holes[n].d is None]
        wrong += [f'hole "{n}" d = none, must be given: {where} is taken over its edge' for n in bare]
        if space and a in holes:
            wrong.append(
                f"{where} how = {reading.how}, must be centre in space: rims on faces that are not parallel"
            )
    if reading.how == "step" and a in edges:
        wrong.append(f"{where} how = step, must be between two holes' faces")
    return wrong


def _apart(readings: Sequence[Reading], holes: Sequence[MeasuredHole], edges: Sequence[DatumEdge]) -> list[str]:
    """Holes that no reading ties to the first, and steps that hang in the air."""
    ties = [r.between for r in readings if r.how != "step"]
    reached = _reached({holes[0].name, *(e.name for e in edges)}, ties)
    wrong = []
    lost = [h.name for h in holes if h.name not in reached]
    if lost:
        wrong.append(f"readings = none between {', '.join(lost)} and the rest, must tie every hole to the others")
    steps = [r.between for r in readings if r.how == "step"]
    touched = {n for pair in steps for n in pair}
    level = {h.name for h in holes if h.name not in touched} | {holes[0].name}
    hanging = sorted(touched - _reached(level, steps))
    if hanging:
        wrong.append(
            f"steps = none between {', '.join(hanging)} and a face whose height is known, "
            f"must lead to {holes[0].name} or to a hole without a step (taken as level with it)"
        )
    return wrong


def _reached(start: set[str], ties: list[tuple[str, str]]) -> set[str]:
    known, grew = set(start), True
    while grew:
        more = {n for pair in ties if known & set(pair) for n in pair} - known
        known |= more
        grew = bool(more)
    return known


@dataclass(frozen=True)
class Hand:
    """What was said: the holes of `order` go round clockwise or not, looking at the casting; in space `out` stands
    nearer to the reader than they do. `stepped`: heights were read, so that z is towards the reader."""

    names: tuple[str, ...]
    order: tuple[str, ...]
    clockwise: bool
    out: str
    space: bool
    stepped: bool

    @property
    def said(self) -> bool:
        """Whether that tells the pattern from its mirror image; three holes in space have none."""
        return bool(self.order) and bool(not self.space or self.stepped or self.out or len(self.names) == 3)

    def towards(self, points: Floats) -> Floats | None:
        """(3,) towards the reader, not of unit length, as the order has it; None where none was given."""
        if not self.order:
            return None
        p = points[[self.names.index(n) for n in self.order]]
        normal = np.cross(p, np.roll(p, -1, axis=0)).sum(axis=0)
        return np.asarray(-normal if self.clockwise else normal, dtype=np.float64)

    def mirrored(self, points: Floats) -> bool:
        """Whether the lay-out found is the mirror image of the one seen."""
        towards = self.towards(points)
        if towards is None or not self.said:
            return False
        if not self.space or self.stepped:
            return bool(towards[2] < 0)
        return bool(self.out and self.above(points, towards) < 0)

    def above(self, points: Floats, towards: Floats) -> float:
        """How much nearer to the reader `out` stands than the holes that go round, mm."""
        order = [self.names.index(n) for n in self.order]
        off = points[self.names.index(self.out)] - points[order].mean(axis=0)
        return float(off @ towards / np.linalg.norm(towards))


def settled(model: Model, found: Fit, keep: Mask, hand: Hand) -> tuple[Floats, bool, bool, tuple[str, ...]]:
    """Unknowns with the hand that was said, whether the lay-out must still be turned over, whether its hand is
    known, and sentences for what contradicts the hand said.

    Datum edges may hold the hand themselves; then the lay-out is left as they have it.
    """
    x, points = found.x, model.points(found.x)
    word = "clockwise" if hand.clockwise else "anticlockwise"
    said = f"[pattern] {word} = {', '.join(hand.order)}"
    flip, told, against = hand.mirrored(points), hand.said, []
    if model.edge_axis.max(initial=-1) >= 0:
        image = _image(model, found, keep)
        if image is None:
            told = True
            if flip:
                other = "anticlockwise" if hand.clockwise else "clockwise"
                against.append(f"{said}: the readings from the datum edges put them {other}")
        elif flip:
            x, points = image, model.points(image)
        flip = False
    elif model.n == 2:
        told = True
    towards = hand.towards(points @ np.diag([1.0, -1.0 if flip else 1.0, 1.0]))
    if hand.out and hand.stepped and towards is not None:
        low = -hand.above(points, np.array([0.0, 0.0, 1.0]))
        if low > COVER * float(model.sigma[: len(model.first)][model.step].max()):
            against.append(f"[pattern] out = {hand.out}: the steps put it {low:.1f} mm further in, not out")
    return x, flip, told, tuple(against)


def _image(model: Model, found: Fit, keep: Mask) -> Floats | None:
    """Unknowns of a mirror image that the readings from datum edges allow as well."""
    points = model.points(found.x)
    for axis in (0, 1):
        held = model.second[(model.edge_axis == axis) & keep[: len(model.first)]]
        other = points.copy()
        middle = points[held if len(held) else slice(None), axis].mean()
        other[:, axis] = 2.0 * middle - points[:, axis]
        image = fit(model, model.start(other), keep)
        there = model.points(image.x)
        a, b = points[:, :2] - points[:, :2].mean(axis=0), there[:, :2] - there[:, :2].mean(axis=0)
        if image.chi2 <= found.chi2 + AS_GOOD and np.linalg.det(a.T @ b) < 0:
            return image.x
    return None
