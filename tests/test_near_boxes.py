"""Triangles of a scan that are left out by their boxes are further off than what was asked, and no others are."""

from __future__ import annotations

import numpy as np
import pytest

from brackets.clearance.exact import ONE
from brackets.clearance.pairs import _near_box
from brackets.clearance.places import IDENTITY
from brackets.clearance.triangles import Tree, between


@pytest.mark.parametrize("reach", [0.0, 3.0, 30.0])
def test_no_triangle_that_is_near_is_left_out(reach: float) -> None:
    rng = np.random.default_rng(7)
    spots = rng.uniform(0, 100, (60, 1, 3))
    triangles = spots + rng.uniform(-6, 6, (60, 3, 3))
    other = rng.uniform(40, 60, (9, 3))
    tree = Tree(other, np.arange(9).reshape(3, 3))
    near = [n for n, one in enumerate(triangles) if between(Tree(one, ONE), tree, IDENTITY).distance <= reach]
    kept = _near_box(triangles, other, reach)
    assert set(near) <= set(kept)
    assert len(kept) < len(triangles)


def test_by_eye() -> None:
    """A triangle 5 mm beside a point: it is near from 5 mm on."""
    triangle = np.array((((5.0, 0, 0), (9.0, 1, 0), (9.0, -1, 0)),))
    assert _near_box(triangle, np.zeros((1, 3)), 5.0) == [0]
    assert _near_box(triangle, np.zeros((1, 3)), 4.99) == []
