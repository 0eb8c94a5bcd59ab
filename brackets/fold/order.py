"""In which order to bend: what hangs farthest from the base first, of equals the shorter flange first.

A rule of thumb, common practice, no source: no tool is drawn, so a punch or a bed that is in the way is not seen.
"""

from __future__ import annotations

from brackets.fold.tree import Tree


def bend_order(tree: Tree) -> tuple[int, ...]:
    """Numbers of the flanges in the order their bends are made."""

    def depth(number: int) -> int:
        return 0 if number == 0 else 1 + depth(tree.bends[number - 1].parent)

    def height(number: int) -> float:
        return tree.walls[number].wall.outline.bounds[3]

    numbers = (bend.number for bend in tree.bends)
    return tuple(sorted(numbers, key=lambda n: (-depth(n), height(n), n)))
