"""Points of the powertrain where a bay file has something measured over its movement, each with its directions.

mm, axes of the bay; a point is where the powertrain stands. Ends of hoses and linkages, along them; of shafts and
chains both ends, as the engine would carry a point there: along the line, along the axis, and across.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.asked import ChainRow, ShaftRow, SlackRow
from brackets.bay.schema.record import Bay
from brackets.core.place import Place
from brackets.core.vectors import Vec, sub

Frame = tuple[Vec, Vec, Vec]
"""Three unit directions square to each other."""

BAY_AXES: Frame = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))

Spot = tuple[Vec, Frame]
"""A point of the powertrain, and the directions that its travel is wanted along."""


def slack_spot(row: SlackRow, place: Place) -> Spot:
    """Its end on the powertrain, which stands at `place`."""
    end = place.point(row.powertrain)
    return end, frame_along(sub(row.chassis, end))


def line_spots(row: ShaftRow | ChainRow, place: Place) -> tuple[Spot, Spot]:
    """Its end on the powertrain, which stands at `place`, and the powertrain's point at its end on the chassis."""
    end, axis = place.point(row.powertrain_at), place.direction(row.powertrain_axis)
    way = sub(row.chassis_at, end)
    return (end, frame_along(way, row.chassis_axis)), (row.chassis_at, frame_along(way, axis))


def spots_of(bay: Bay) -> tuple[Spot, ...]:
    """All of a bay, each once."""
    return tuple(dict.fromkeys(_spots(bay)))


def _spots(bay: Bay) -> Iterator[Spot]:
    place = place_of(bay.powertrain)
    for slack in bay.slacks:
        yield slack_spot(slack, place)
    rows: tuple[ShaftRow | ChainRow, ...] = (*bay.shafts, *bay.chains)
    for row in rows:
        yield from line_spots(row, place)


def frame_along(way: Any, other: Any = (0.0, 0.0, 1.0)) -> Frame:
    """A direction, then what of another is square to it, then what is square to both; any where these are none."""
    first = np.asarray(way, dtype=np.float64)
    size = float(np.linalg.norm(first))
    first = first / size if size > 0 else np.array((1.0, 0.0, 0.0))
    second = np.asarray(other, dtype=np.float64)
    second = second - (second @ first) * first
    if float(np.linalg.norm(second)) < 1e-6 * max(1.0, float(np.linalg.norm(other))):
        second = np.cross(first, np.eye(3)[int(np.abs(first).argmin())])
    second = second / np.linalg.norm(second)
    return _vec(first), _vec(second), _vec(np.cross(first, second))


def _vec(values: Any) -> Vec:
    x, y, z = map(float, values)
    return x, y, z
