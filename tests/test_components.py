"""What hangs together, by numbers worked out by hand."""

from __future__ import annotations

import numpy as np

from brackets.kernel.components import components


def test_components_are_numbered_by_their_first_thing() -> None:
    """0 and 3 by way of 4; 1 by itself; 2 and 5."""
    count, of = components(6, np.array([4, 0, 5]), np.array([3, 4, 2]))
    assert count == 3
    assert of.tolist() == [0, 1, 2, 0, 0, 2]


def test_without_a_join_each_is_by_itself() -> None:
    none = np.zeros(0, dtype=np.int64)
    count, of = components(3, none, none)
    assert (count, of.tolist()) == (3, [0, 1, 2])
