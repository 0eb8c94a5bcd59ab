"""Whether a socket gets over the head of a bolt that stands among tubes."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from brackets.core.finding import Finding
from brackets.core.rulebook.tubes import SOCKET
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.tools import socket
from brackets.core.vectors import Vec, unit
from brackets.forming.tube_walls import AROUND, wall_points, wall_points_of
from brackets.model.tube import BentTube, Tube

if TYPE_CHECKING:
    from brackets.forming.tube_walls import Array

ROOM = 1.0
"""mm round a socket: common practice, no source."""

SEATED = 0.01
"""mm over the face the head sits on from which a socket can touch: what is flush with the face does not."""

NEARER = 5.0
"""mm: where the few points of a wall come within this of fouling, ten times as many are looked at."""


def beside(tube: Tube | BentTube, foot: Vec, way: Vec, tall: float, *, wanted: float) -> float:
    """Least distance, mm, of a tube's wall from the line on `foot` along `way`, `tall` mm; inf where none is near.

    Within 0.2 mm where it is less than `wanted`, else rough; all in the frame of the layout.
    """
    rough = _off(wall_points(tube), foot, way, -NEARER, tall)
    if rough > wanted + NEARER:
        return rough
    return _off(wall_points_of(tube, 10 * AROUND), foot, way, SEATED, tall)


def _off(points: Array, foot: Vec, way: Vec, low: float, high: float) -> float:
    """Least distance from the line of the points that lie `low` to `high` mm along it."""
    import numpy as np

    axis = np.array(unit(way))
    off = points - np.array(foot)
    along = off @ axis
    near = off[(along > low) & (along < high)]
    if not len(near):
        return math.inf
    return float(np.min(np.linalg.norm(near - np.outer(near @ axis, axis), axis=1)))


def socket_findings(
    tubes: Iterable[Tube | BentTube], foot: Vec, way: Vec, size: str, *, bolt_name: str
) -> Iterator[Finding]:
    """A caution for every tube that is in the way of the socket on a bolt's head.

    tubes: what stands round the bolt; foot: point on the bolt's axis at the face that the head sits on, mm; way:
    direction from there out of the head; size: of the bolt, "M12"; bolt_name: what the caution calls the bolt. All
    in the frame of the tubes. A socket wants 1 mm round it (common practice, no source).

    >>> leg = lay_out(Run("leg", "38x3", ((0, 0, 0), (0, 0, 200)))).tubes
    >>> [found.value for found in socket_findings(leg, (25, 0, 20), (0, 0, 1), "M12", bolt_name="bolt 1")]
    [-8.4]
    >>> round(25 - 38 / 2 - 1.6 * 18 / 2, 1)
    -8.4
    """
    tool = socket(bolt(size).across_flats)
    for tube in tubes:
        room = beside(tube, foot, way, tool.length, wanted=tool.od / 2 + ROOM) - tool.od / 2
        if room < ROOM:
            stands = f"{room:.1f} mm beside" if room > 0 else f"{-room:.1f} mm inside"
            yield SOCKET.finding(
                piece=tube.name,
                value=room,
                limit=ROOM,
                source_words=tool.source,
                sentence=f"stands {stands} the socket ({tool.od:.0f} od) on the {size} of {bolt_name}",
            )
