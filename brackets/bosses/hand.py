"""Which way round the holes go: distances fix a pattern but for its mirror image, so somebody or edges must say."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brackets.bosses.fit import Fit, Mask, fit
from brackets.bosses.model import Model
from brackets.bosses.record import COVER, Floats
from brackets.bosses.shape import AS_GOOD


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
