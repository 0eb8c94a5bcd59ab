"""Ears against the punch: the first that is bent must pass the punch that bends the second."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.findings import GEOMETRY, Finding
from brackets.fold import Bend, Tree
from brackets.pieces import Folded
from brackets.shop.record import Shop

PUNCH = f"{GEOMETRY}: ear at most inside width - 1.41 x half the punch"

SQUARE = 10.0
"""Degrees off 90 for which the ear rule, derived at 90, is used."""


def ear_findings(piece: Folded, whole: Tree, shop: Shop) -> Iterator[Finding]:
    """Ears that stand up from opposite edges of one wall: the first must pass the punch that bends the second."""
    punch = shop.brake.punch
    if punch is None:
        return
    for i, one in enumerate(whole.bends):
        for two in whole.bends[i + 1 :]:
            if one.parent != two.parent or one.angle * two.angle < 0 or not _faces(one, two):
                continue
            if any(abs(abs(b.angle) - 90.0) > SQUARE for b in (one, two)):
                continue
            between = -one.flat.local(two.flat.at)[1]
            inside = between + one.inside_radius + two.inside_radius
            ear = min(whole.walls[b.number].wall.outline.bounds[3] + b.inside_radius for b in (one, two))
            most = max(inside - math.sqrt(2.0) * punch, shop.brake.goose_neck)
            if ear > most:
                yield Finding(
                    level="stop",
                    code="ear height",
                    piece=piece.name,
                    value=ear,
                    limit=most,
                    source=f"{PUNCH}; {shop.source}",
                    sentence=(
                        f"ears {one.number} and {two.number} are {ear:.1f} mm high and {inside:.1f} apart inside: "
                        f"the first meets the punch above {max(most, 0.0):.1f}; fold them over a block"
                    ),
                )


def _faces(one: Bend, two: Bend) -> bool:
    """Whether two bend lines are parallel and look away from each other."""
    a, b = one.flat.up, two.flat.up
    return a[0] * b[0] + a[1] * b[1] < -1.0 + 1e-9
