"""The blank as plain values, for scripts: what stands in a part's JSON."""

from __future__ import annotations

from typing import Any

from brackets.fold.flat import Flat
from brackets.fold.order import bend_order
from brackets.fold.tree import tree
from brackets.outline import bulges
from brackets.pieces import Folded, Hole, Plate


def flat_facts(piece: Folded | Plate, blank: Flat) -> dict[str, Any]:
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
                "now_mm": hole.opening.now if isinstance(hole.opening, Hole) else hole.opening.d,
                "centres_mm": [list(p) for p in hole.centres],
                "kind": hole.opening.kind if isinstance(hole.opening, Hole) else "slot",
            }
            for hole in blank.holes
        ],
    }
