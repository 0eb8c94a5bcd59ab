"""Whether a point is in the metal: by the triangles where these decide, by the solid kernel next to the skin."""

from __future__ import annotations

import math

import cadquery as cq
import numpy as np
import pytest

from brackets import clearance
from brackets.clearance.inside import holds, ray_winding_number

V = cq.Vector
R = 50.0
HEIGHT = 20.0


def disc() -> clearance.Body:
    return clearance.body(cq.Solid.makeCylinder(R, HEIGHT))


def bored() -> clearance.Body:
    block = cq.Solid.makeBox(140, 140, HEIGHT, V(-70, -70, 0))
    return clearance.body(block.cut(cq.Solid.makeCylinder(R, 3 * HEIGHT, V(0, 0, -HEIGHT))))


def under_a_chord(body: clearance.Body) -> np.ndarray:
    """A point half way up, between the middle of a chord of the round face and its arc."""
    round_face = [c for c in body.corners if abs(math.hypot(c[0], c[1]) - R) < 1e-6 and abs(c[2]) < 1e-9]
    angles = np.sort(np.arctan2(*np.array(round_face)[:, 1::-1].T))
    middle = (angles[0] + angles[1]) / 2
    sagitta = R * (1 - math.cos((angles[1] - angles[0]) / 2))
    assert 1e-3 < sagitta <= body.bound
    radius = R - sagitta / 2
    return np.array((radius * math.cos(middle), radius * math.sin(middle), HEIGHT / 2))


@pytest.mark.parametrize(("make", "metal"), [(disc, True), (bored, False)], ids=["disc", "bore"])
def test_between_a_chord_and_its_arc_the_solid_decides(make: object, metal: bool) -> None:
    body = make()  # type: ignore[operator]
    spot = under_a_chord(body)
    assert holds(body, spot) is metal
    assert (ray_winding_number(body.core, spot) >= 1) is not metal, "the triangles have it the other way round"


def test_off_the_skin_the_kernel_is_not_asked() -> None:
    body = bored()
    body.core.classifiers = ()  # type: ignore[misc]
    rng = np.random.default_rng(7)
    for _ in range(200):
        spot = rng.uniform((-90, -90, -10), (90, 90, HEIGHT + 10))
        x, y, z = (float(v) for v in spot)
        outside = max(abs(x) - 70, abs(y) - 70, -z, z - HEIGHT, R - math.hypot(x, y))
        if abs(outside) > 0.2:
            assert holds(body, spot) is (outside < 0), spot
