"""How a body lies on the bed: on the flat side where it wants least support, or is lowest, or has most contact.

mm, mm2, mm3. A turn is a (3, 3) rotation from the part's axes to the bed's, z up.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, get_args

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold
from numpy.typing import NDArray

Array = NDArray[np.float64]

Measure = Literal["support", "height", "contact"]
MEASURES: tuple[Measure, ...] = get_args(Measure)

SIDES = 10
"""Flat sides of the hull that are tried, the largest first."""

LAYERS = 24
"""Layers that support is counted in; its volume is right to about one part in as many."""

STEEP = 45.0
"""Degrees from upright that a wall may lean out with nothing under it: common practice, no source."""

COARSE = 0.1
"""mm that a body and its layers may be simplified by to be measured."""

JUST = 0.02
"""mm over the bed at which contact is measured."""

STANDS = 0.02
"""Part of a flat side's hull that must touch the bed, or the body stands on edges."""


@dataclass(frozen=True, eq=False)
class Lying:
    """A way to lie: the `turn`, and by it `support`: volume of air under overhangs, down to the bed or the body
    itself; `height`; `contact`: area on the bed."""

    turn: Array
    support: float
    height: float
    contact: float

    def key(self, by: Measure) -> tuple[float, ...]:
        """Less is better, by this measure first."""
        figures = {"support": self.support, "height": self.height, "contact": -self.contact}
        rest = [figures[name] for name in MEASURES if name != by]
        return tuple(round(value, 3) for value in (figures[by], *rest))


def best(
    body: Manifold, by: Measure = "support", *, room: Sequence[float] | None = None, otherwise: Array | None = None
) -> Lying:
    """The best way to lie, and its measures.

    body: mm; by: what is to be least ("support", "height") or most ("contact"); ties go by the others; room: along
    x, y and z, that it must keep to, and `otherwise` a turn by which it does, where none of its flat sides serves.
    """
    coarse = body.simplify(COARSE)
    ways = [turn for turn in turns(coarse) if room is None or _fits(coarse, turn, room)]
    if otherwise is not None:
        ways.append(otherwise)
    tried = [measured(coarse, turn) for turn in ways]
    flat = [lying for lying in tried if lying.contact >= STANDS * _shadow(coarse, lying.turn)]
    chosen = min(flat or tried, key=lambda lying: lying.key(by))
    lying = on_bed(body, chosen.turn)
    return replace(chosen, height=float(lying.bounding_box()[5]), contact=float(lying.slice(JUST).area()))


def _fits(body: Manifold, turn: Array, room: Sequence[float]) -> bool:
    box = on_bed(body, turn).bounding_box()
    return all(box[i + 3] <= most - COARSE for i, most in enumerate(room))


def _shadow(body: Manifold, turn: Array) -> float:
    """mm2 of the rectangle on the bed under it."""
    box = on_bed(body, turn).bounding_box()
    return float(box[3] * box[4])


def turns(body: Manifold) -> list[Array]:
    """Rotations that set a flat side of the hull on the bed, the largest side first."""
    hull = body.hull().to_mesh64()
    points = np.array(hull.vert_properties, dtype=float)[:, :3]
    corners = points[np.array(hull.tri_verts, dtype=np.int64)]
    cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(cross, axis=1)
    normals = cross[size > 1e-9] / size[size > 1e-9, None]
    _, first, which = np.unique(np.round(normals, 3) + 0.0, axis=0, return_index=True, return_inverse=True)
    areas = np.bincount(which.ravel(), size[size > 1e-9] / 2)
    order = sorted(range(len(first)), key=lambda i: (-round(float(areas[i]), 3), *np.round(normals[first[i]], 3)))
    return [laid(normals[first[i]], points) for i in order[:SIDES]]


def laid(down: Array, points: Array) -> Array:
    """The rotation that turns `down` to the bed and the least rectangle round the body along the bed's x."""
    z = -down / np.linalg.norm(down)
    side = np.eye(3)[int(np.abs(z).argmin())]
    x = np.cross(side, z)
    x /= np.linalg.norm(x)
    rough = np.array([x, np.cross(z, x), z])
    flat = np.array(CrossSection.hull_points((points @ rough.T)[:, :2]).to_polygons()[0])
    edges = np.roll(flat, -1, axis=0) - flat
    best_turn, least = rough, math.inf
    for angle in sorted({round(math.atan2(dy, dx) % (math.pi / 2), 9) for dx, dy in edges}):
        c, s = math.cos(-angle), math.sin(-angle)
        spun = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]]) @ rough
        wide, deep = np.ptp(points @ spun.T, axis=0)[:2]
        if wide * deep < least - 1e-6:
            least = wide * deep
            best_turn = (
                spun if wide >= deep else np.array([[0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, 0.0, 1.0]]) @ spun
            )
    return best_turn


def measured(body: Manifold, turn: Array) -> Lying:
    """What a body that lies so wants: support, height and contact."""
    lying = on_bed(body, turn)
    height = float(lying.bounding_box()[5])
    step = height / LAYERS
    out = step * math.tan(math.radians(STEEP))
    above, need, support = CrossSection(), CrossSection(), 0.0
    for layer in reversed(range(LAYERS)):
        here = lying.slice((layer + 0.5) * step).simplify(COARSE)
        need = ((need + (above - here.offset(out, JoinType.Miter))) - here).simplify(COARSE)
        support += need.area() * step
        above = here
    return Lying(turn=turn, support=support, height=height, contact=float(lying.slice(min(JUST, step / 2)).area()))


def on_bed(body: Manifold, turn: Array) -> Manifold:
    """The body turned, its lowest point at z = 0 and its corner at x = y = 0."""
    turned = body.transform(np.column_stack((turn, np.zeros(3))))
    low = turned.bounding_box()
    return turned.translate((-low[0], -low[1], -low[2]))
