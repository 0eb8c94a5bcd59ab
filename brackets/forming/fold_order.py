"""In which order to bend, and the blank as plain values for scripts.

What hangs farthest from the base is bent first, of equals the shorter flange. A rule of thumb, common practice,
no source: no tool is drawn, so a punch or a bed that is in the way is not seen.
"""

from __future__ import annotations

from typing import Any, assert_never

from brackets.forming.flat_pattern import Blank
from brackets.geometry.curve import bulges
from brackets.model.fold_tree import Tree, tree
from brackets.model.folded import Folded
from brackets.model.holes import Hole, Slot
from brackets.model.plate import Plate


def bend_order(tree: Tree) -> tuple[int, ...]:
    """Numbers of the flanges in the order their bends are made."""

    def depth(number: int) -> int:
        return 0 if number == 0 else 1 + depth(tree.bends[number - 1].parent)

    def height(number: int) -> float:
        return tree.walls[number].wall.outline.bounds[3]

    numbers = (bend.number for bend in tree.bends)
    return tuple(sorted(numbers, key=lambda n: (-depth(n), height(n), n)))


def flat_facts(piece: Folded | Plate, blank: Blank) -> dict[str, Any]:
    """length_mm, width_mm, area_mm2, outline and openings as [x, y, bulge] rows, bends in order, holes.

    All of it is as the blank is cut now: a hole that is reamed after welding has `now_mm` under its `d_mm`.
    """
    order = bend_order(tree(piece)) if isinstance(piece, Folded) else ()
    bends = {bend.number: bend for bend in blank.bends}
    return {
        "length_mm": blank.length,
        "width_mm": blank.width,
        "area_mm2": blank.cut.area,
        "t_mm": blank.t,
        "outline": [list(row) for row in bulges(blank.cut.outer)],
        "openings": [[list(row) for row in bulges(hole)] for hole in blank.cut.holes],
        "bends": [
            {
                "flange": number,
                "line_mm": [list(p) for p in bends[number].line],
                "angle_deg": bends[number].angle,
                "inside_radius_mm": bends[number].inside_radius,
                "allowance_mm": bends[number].allowance,
                "k": bends[number].k,
                "k_from": bends[number].k_note,
            }
            for number in order
        ],
        "holes": [
            {
                "wall": hole.wall,
                "d_mm": hole.opening.d,
                "now_mm": _now(hole.opening),
                "centres_mm": [list(p) for p in hole.centres],
                "kind": _kind(hole.opening),
            }
            for hole in blank.holes
        ],
    }


def _now(opening: Hole | Slot) -> float:
    match opening:
        case Hole():
            return opening.now
        case Slot():
            return opening.d
        case _:
            assert_never(opening)


def _kind(opening: Hole | Slot) -> str:
    match opening:
        case Hole():
            return opening.kind
        case Slot():
            return "slot"
        case _:
            assert_never(opening)
