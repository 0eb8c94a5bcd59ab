"""Random close pairs against the solid kernel asked about whole solids: no contradiction.

The kernel is the standard here only where it is known to be right: apart and not swallowed. 30 pairs in each
run; `--fuzz 500` for 500. Where it is wrong it is shown to be, by two nearer points on the skins.
"""

from __future__ import annotations

import math
from collections import Counter

import cadquery as cq
import numpy as np
import pytest
from OCP.BRepExtrema import BRepExtrema_DistShapeShape

from brackets import clearance
from brackets.clearance import gaps

V = cq.Vector
CLOSE = 12.0


def some_shape(rng: np.random.Generator) -> cq.Shape:
    kind = int(rng.integers(9))
    a, b, c = (float(v) for v in rng.uniform(8, 40, 3))
    if kind == 0:
        return cq.Solid.makeBox(a, b, c)
    if kind == 1:
        return cq.Solid.makeCylinder(a / 2, b)
    if kind == 2:
        return cq.Solid.makeSphere(a / 2, V(), V(0, 0, 1), -90, 90, 360)
    if kind == 3:
        return cq.Solid.makeCone(a / 2, float(rng.choice((0.0, b / 3))), c)
    if kind == 4:
        return cq.Solid.makeTorus(a / 2 + 6, float(rng.uniform(2, 5)))
    if kind == 5:
        return cq.Workplane().box(a, b, c).edges("|Z").fillet(0.2 * min(a, b)).val()
    if kind == 6:
        return cq.Workplane().circle(a / 2 + 4).circle(a / 2).extrude(b).val()
    if kind == 7:
        return cq.Workplane().box(a + 20, b + 20, 8).faces(">Z").workplane().hole(12).val()
    tube = cq.Solid.makeCylinder(a / 3, 60, V(0, 0, 0), V(1, 0, 0.2))
    return tube.cut(cq.Solid.makeCylinder(a / 2, 90, V(0, 0, -40)))  # coped to a larger one


def stood(shape: cq.Shape, rng: np.random.Generator, spread: float) -> cq.Shape:
    axis = V(*rng.normal(size=3).tolist())
    turned = shape.moved(cq.Location(V(*(-np.array(shape.Center().toTuple())).tolist())))
    return turned.moved(
        cq.Location(V(*rng.uniform(-spread, spread, 3).tolist()), axis, float(rng.uniform(0, 180)))
    )


def check(seed: int) -> str:
    rng = np.random.default_rng(seed)
    a, b = stood(some_shape(rng), rng, 5), stood(some_shape(rng), rng, 32)
    tolerance = float(rng.choice((0.03, 0.1, 0.3)))
    one, other = (clearance.body(shape, tolerance=tolerance) for shape in (a, b))
    ours = clearance.gap(one, other)
    by_faces = gaps._by_surfaces(one, other, None)
    assert by_faces.state == ours.state, (seed, ours, by_faces)
    assert max(ours.low, by_faces.low) <= min(ours.high, by_faces.high), (seed, ours, by_faces)
    kernel = BRepExtrema_DistShapeShape(a.wrapped, b.wrapped).Value()
    shared = (
        sum(solid.Volume() for solid in a.intersect(b).Solids())
        if kernel < 1e-6 or ours.state == "inside"
        else 0.0
    )
    if ours.state == "clear":
        assert shared < 1e-6, (seed, ours, shared)
        assert ours.low <= kernel + 1e-6, (seed, ours, kernel)
        assert kernel >= ours.best - 1e-4, (seed, ours, kernel)
        if kernel > ours.best + 1e-3:
            shown_too_far(seed, ours, kernel, (a, b))
            return "kernel too far"
    else:
        assert shared > 0, (seed, ours, kernel)
    return ours.state


def shown_too_far(seed: int, ours: clearance.Gap, kernel: float, shapes: tuple[cq.Shape, cq.Shape]) -> None:
    """The kernel missed its nearest points. How far each of our two is off its skin it says itself: so two points
    of the skins are no further apart than ours and both of that (seed 1108: a cone and a block, 19.8645 by the
    kernel, and 19.2538)."""
    off = 0.0
    for spot, shape in zip((ours.p, ours.q), shapes, strict=True):
        skins = cq.Compound.makeCompound(shape.Faces())
        off += BRepExtrema_DistShapeShape(cq.Vertex.makeVertex(*spot).wrapped, skins.wrapped).Value()
    assert off <= gaps.SETTLED, (seed, ours, kernel, off)
    apart = math.dist(ours.p, ours.q)
    assert ours.low <= apart + off <= ours.high + 1e-6, (seed, ours, kernel, off)
    assert apart + off < kernel - 1e-3, (seed, ours, kernel, off)


@pytest.mark.parametrize("seed", [1108, 1590])
def test_a_pair_the_kernel_gets_wrong_is_shown_by_two_points_on_the_skins(seed: int) -> None:
    assert check(seed) == "kernel too far"


def test_random_pairs_do_not_contradict_the_kernel() -> None:
    states = [check(seed) for seed in range(30)]
    assert states.count("clear") >= 8
    assert states.count("hit") >= 3


@pytest.mark.fuzz
def test_many_random_pairs_do_not_contradict_the_kernel(fuzz: int) -> None:
    told: Counter[str] = Counter()
    for seed in range(1000, 1000 + fuzz):
        told[check(seed)] += 1
    print(dict(told))
    assert told["kernel too far"] <= fuzz // 50  # more would say that it is not the kernel
