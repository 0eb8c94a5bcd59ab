"""Which case moves pairs that stay further apart than they need to their least gaps: kept by the part they are of.

They are many, each is soon told, and a changed part has a few of them: all others are taken at once.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from brackets.bay.clear.regions import CaseMoves, nearest_case
from brackets.clearance.bodies import Body
from brackets.clearance.gaps import by_triangles
from brackets.core.kept import keeps

Both = tuple[Body, Body]
Group = tuple[str, str]
"""Names of the parts that the two bodies of a pair are of, "" where one is of none."""


def cases_told(
    pairs: Sequence[Both], groups: Sequence[Group], cases: Sequence[CaseMoves]
) -> list[tuple[Sequence[int], Callable[[], tuple[str, ...]]]]:
    """For each group the numbers of its pairs, and what gives the names of their cases.

    pairs: the moving one first; groups: of each pair.
    """
    found: list[tuple[Sequence[int], Callable[[], tuple[str, ...]]]] = []
    for group in dict.fromkeys(groups):
        # named in the same order whichever of them is worst today
        those = sorted((i for i, of in enumerate(groups) if of == group), key=lambda i: _names(pairs[i]))
        ones = {id(pairs[i][0]): pairs[i][0] for i in those}
        others = {id(pairs[i][1]): pairs[i][1] for i in those}
        at, to = ({key: n for n, key in enumerate(each)} for each in (ones, others))
        which = tuple((at[id(pairs[i][0])], to[id(pairs[i][1])]) for i in those)
        found.append((those, partial(_told, tuple(ones.values()), tuple(others.values()), which, cases)))
    return found


def _names(pair: Both) -> tuple[str, str]:
    return pair[0].name, pair[1].name


@keeps("cases of far pairs")
def _told(
    ones: Sequence[Body], others: Sequence[Body], which: Sequence[tuple[int, int]], cases: Sequence[CaseMoves]
) -> tuple[str, ...]:
    """The case of each of the pairs `which`, as numbers in `ones` and `others`."""
    return tuple(far_case(ones[i], others[j], cases) for i, j in which)


def far_case(a: Body, b: Body, cases: Sequence[CaseMoves]) -> str:
    """The case that carries the nearest points of two bodies furthest together, to the first order."""
    near = by_triangles(a, b)[0]
    return nearest_case(cases, near.p, near.q)
