"""How far the stress in a weld goes up and down between load cases, for whoever judges fatigue. MPa.

Fatigue is not computed: whoever signs enters the detail category and the count of cycles. Stresses as EN 1993-1-9
5(6) asks for them in a weld: root of (normal squared + shear across squared), and shear along.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.hold.weld_lines import WeldGroup


@dataclass(frozen=True, kw_only=True)
class StressRange:
    """The range between two cases at the worst point of a weld group, MPa; the detail category is left blank.

    across: of the stress square to the weld, for the parent's toe and the root; along: of the shear along the weld.
    The worst points of the two may differ.
    """

    name: str
    cases: tuple[str, str]
    across: float
    along: float
    detail_category: None = None


def stress_ranges(group: WeldGroup, cases: Mapping[str, tuple[Any, Any]], *, at: Any, name: str = "") -> tuple[
    StressRange, ...
]:  # fmt: skip
    """The stress range of each pair of load cases, the largest across the weld first; no fatigue is computed.

    group: lines of weld that carry together; cases: force (3,) N and moment (3,) N mm of each by its name, two or
    more, as they come, without partial factors; at: (3,) mm, where the forces act; name: of the weld.
    Raises InputError with everything that is wrong.

    >>> group = WeldGroup([WeldSegment((0, 0, 0), (100, 0, 0), 4)])
    >>> up, down = ((0, 0, 4e3), (0, 0, 0)), ((0, 0, -2e3), (0, 0, 0))
    >>> found = stress_ranges(group, {"bump": up, "rebound": down}, at=(50, 0, 0))
    >>> found[0].cases, round(found[0].across, 6), found[0].detail_category
    (('bump', 'rebound'), 15.0, None)
    """
    if len(cases) < 2:
        raise InputError(f"cases = {len(cases)}, must be two or more: stress range of a weld")
    found = {case: group.stress(force, moment, at) for case, (force, moment) in cases.items()}
    ranges = []
    for first, last in combinations(found, 2):
        change = found[first].vectors - found[last].vectors
        along = (change * found[first].directions).sum(axis=-1)
        across = np.sqrt(np.maximum((change**2).sum(axis=-1) - along**2, 0.0))
        ranges.append(
            StressRange(
                name=name, cases=(first, last), across=float(across.max()), along=float(np.abs(along).max())
            )
        )
    return tuple(sorted(ranges, key=lambda one: -one.across))
