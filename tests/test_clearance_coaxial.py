"""The least distance of faces of revolution about one axis: closed form against triangles and halving."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from brackets import clearance
from brackets.clearance.bodies import Body
from brackets.clearance.proven import _about_one_axis, by_halving
from brackets.clearance.triangles import between

V = cq.Vector
FULL_TURN = 360.0


def turned(rng: np.random.Generator, degrees: float) -> cq.Solid:
    """A quadrilateral with upright inner side swept about z: cylinders, cones, flat rings."""
    inner, low = rng.uniform(5, 60), rng.uniform(-40, 40)
    wide, wider, high = rng.uniform(2, 15, 3)
    corners = [(inner, low), (inner + wide, low), (inner + wider, low + high), (inner, low + high)]
    wire = cq.Wire.makePolygon([V(r, 0, z) for r, z in corners], close=True)
    return cq.Solid.revolve(wire, [], degrees, V(0, 0, 0), V(0, 0, 1))


def lows(a: Body, b: Body) -> dict[tuple[int, int], float]:
    """mm: what is said of each pair of faces that is told."""
    across = a.place.inverse @ b.place
    every = {
        (i, j): _about_one_axis(a.core.skin(i), b.core.skin(j), across)
        for i in range(len(a.core.faces))
        for j in range(len(b.core.faces))
    }
    return {pair: low for pair, low in every.items() if low > -np.inf}


@pytest.mark.parametrize("degrees", [FULL_TURN, 250.0])
def test_closed_form_is_within_the_triangles_interval(degrees: float) -> None:
    """Both faces all round: the distance itself. One of them not: never more than the distance."""
    rng, seen = np.random.default_rng(5), 0
    while seen < (120 if degrees == FULL_TURN else 60):
        place = cq.Location(V(*rng.uniform(-500, 500, 3)), V(*rng.normal(size=3)), float(rng.uniform(0, 360)))
        a, b = (clearance.body(turned(rng, by).moved(place), tolerance=0.02) for by in (FULL_TURN, degrees))
        for (i, j), low in lows(a, b).items():
            near = between(a.core.face_tree(i), b.core.face_tree(j), a.place.inverse @ b.place)
            off = float(a.core.mesh.bounds[i] + b.core.mesh.bounds[j]) + 1e-6
            assert low <= near.distance + off
            assert degrees != FULL_TURN or low >= near.distance - off
            seen += 1


def test_closed_form_is_what_halving_finds() -> None:
    rng = np.random.default_rng(8)
    a, b = (clearance.body(turned(rng, FULL_TURN)) for _ in range(2))
    for (i, j), low in list(lows(a, b).items())[::8]:
        across = a.place.inverse @ b.place
        found = by_halving(a.core.skin(i).facets, b.core.skin(j).facets, across, ceiling=np.inf, want=0.1)
        assert found.low - 1e-6 <= low <= found.high + 1e-6


def tube(outer: float, inner: float, low: float, high: float) -> cq.Shape:
    out, bore = (cq.Solid.makeCylinder(r, high - low, V(0, 0, low)) for r in (outer, inner))
    return out.cut(bore)


def test_two_tubes_of_unequal_ends() -> None:
    """Ends 0.7 apart along the axis, radii 10 to 20 and 21 to 26: proven to 1e-5."""
    one, two = clearance.body(tube(20, 10, 0, 30)), clearance.body(tube(26, 21, 30.7, 60))
    assert min(lows(one, two).values()) == pytest.approx(math.hypot(1, 0.7), abs=1e-6)
    found = clearance.gap(one, two)
    assert found.state == "clear"
    assert found.high - found.low < 1e-5
    assert found.low <= math.hypot(1, 0.7) <= found.high


@pytest.mark.parametrize(("shift", "told"), [(0.0, True), (5e-6, True), (2e-5, False), (1.0, False)])
def test_axes_that_part_are_not_one(shift: float, told: bool) -> None:
    one = clearance.body(cq.Solid.makeCylinder(10, 5))
    two = clearance.body(cq.Solid.makeCylinder(12, 5, V(shift, 0, 8)))
    found = lows(one, two)
    assert bool(found) is told
    assert not told or 3 - 1e-5 <= min(found.values()) <= 3


def test_a_square_hole_off_the_axis_and_a_half_disc_are_no_ring() -> None:
    plate = cq.Solid.makeCylinder(30, 2).cut(cq.Solid.makeBox(6, 6, 2, V(-3, -3, 0)))
    half = cq.Solid.makeCylinder(30, 2).cut(cq.Solid.makeBox(60, 60, 2, V(-30, 0, 0)))
    for shape in (plate, half):
        core = clearance.body(shape).core
        flat = [core.skin(i) for i in range(len(core.faces))]
        assert all(one.profile is None for one in flat if one.of is not None and one.of.kind == "plane")
