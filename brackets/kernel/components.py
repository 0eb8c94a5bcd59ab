"""What hangs together: things numbered from 0, joined two by two."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]


def components(count: int, one: Ints, other: Ints) -> tuple[int, Ints]:
    """How many components `count` things are in, and the component (count,) of each, in the order of their first.

    one, other: (k,) each: numbers of the two things of every join.
    """
    from scipy.sparse import coo_array  # loaded here: most parts ask for none of it
    from scipy.sparse.csgraph import connected_components

    links = coo_array((np.ones(len(one)), (one, other)), shape=(count, count))
    found: tuple[int, Ints] = connected_components(links, directed=False)
    return found
