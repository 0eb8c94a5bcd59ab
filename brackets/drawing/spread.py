"""Spreads things along a line so that none lies over another."""

from __future__ import annotations

from collections.abc import Sequence


def spread(wanted: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """Middles of things of some sizes in a row, in their order, none over another, as near as may be to where they
    are wanted: what would overlap stands together about the mean of what its members want."""
    groups: list[tuple[list[int], float]] = []
    for i in range(len(wanted)):
        group = [i]
        middle = wanted[i]
        while groups:
            members, before = groups[-1]
            room = sum(sizes[k] for k in members) / 2 + sum(sizes[k] for k in group) / 2
            if middle - before >= room:
                break
            groups.pop()
            group = [*members, *group]
            middle = _mean(group, wanted, sizes)
        groups.append((group, middle))
    found = [0.0] * len(wanted)
    for members, middle in groups:
        at = middle - sum(sizes[k] for k in members) / 2
        for k in members:
            found[k] = at + sizes[k] / 2
            at += sizes[k]
    return found


def _mean(group: Sequence[int], wanted: Sequence[float], sizes: Sequence[float]) -> float:
    """The middle of a row of things that touch, by which they lie nearest to where they are wanted."""
    whole, at, sums = sum(sizes[k] for k in group), 0.0, 0.0
    for k in group:
        sums += wanted[k] - (at + sizes[k] / 2 - whole / 2)
        at += sizes[k]
    return sums / len(group)
