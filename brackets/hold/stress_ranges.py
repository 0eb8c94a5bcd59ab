"""How far the stress in a weld goes up and down between load cases, for whoever judges fatigue. MPa.

Fatigue is not computed: whoever signs enters the detail category and the count of cycles. Stresses as EN 1993-1-9
5(6) asks for them in a weld: root of (normal squared + shear across squared), and shear along.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
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
    names = tuple(cases)
    force, moment = (np.array([one[i] for one in cases.values()], dtype=np.float64) for i in (0, 1))
    found = group.stress(force, moment, at)
    ranges = []
    for i, first in enumerate(names[:-1]):
        change = found.vectors[:, i, None] - found.vectors[:, i + 1 :]
        along = (change * found.directions[:, i, None]).sum(axis=-1)
        across = np.sqrt(np.maximum((change**2).sum(axis=-1) - along**2, 0.0)).max(axis=0)
        most = np.abs(along).max(axis=0)
        ranges += [
            StressRange(name=name, cases=(first, last), across=a, along=b)
            for last, a, b in zip(names[i + 1 :], across.tolist(), most.tolist(), strict=True)
        ]
    return tuple(sorted(ranges, key=lambda one: -one.across))
