"""Where along a shaft there is room for an upright: clear of every piece of the weldment by their boxes. mm."""

from __future__ import annotations

from collections.abc import Sequence

from brackets.core.place import Place
from brackets.core.vectors import dot
from brackets.library import jig_pieces as made
from brackets.library.jig_seats import Feature
from brackets.library.jig_values import JigValues
from brackets.model.extent import reach
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate

FURTHEST = 600.0
"""mm from a bore that an upright is looked for a place at."""

CLEAR = 2.0
"""mm from an upright to what else of the weldment stands beside it, at least: common practice, no source."""

SIDE = 1.0
"""mm beside and over an upright in which nothing of the weldment counts as in its way."""


def along(weldment: Part, one: Feature, frame: Place) -> tuple[float, float]:
    """From where to where a feature reaches along its shaft, from the frame's origin."""
    shift = frame.local(one.place.at)[2]
    facing = 1.0 if dot(frame.axis, one.place.axis) > 0 else -1.0
    ends = [shift + facing * end for bore in one.bores for end in (bore.low, bore.high)]
    if ends:
        return min(ends), max(ends)
    spans = [span for piece in weldment.pieces if (span := _near(piece, one, frame))]
    base = dot(frame.at, frame.axis)
    return min((a for a, _ in spans), default=base) - base, max((b for _, b in spans), default=base) - base


def _near(piece: Piece, one: Feature, frame: Place) -> tuple[float, float] | None:
    """A piece's reach along a rail, where it comes within twice its diameter."""
    across = reach(piece, one.place.x), reach(piece, one.place.up)
    if across[0] is None or across[1] is None:
        return None
    at = dot(one.place.at, one.place.x), dot(one.place.at, one.place.up)
    if any(a - one.d > p or b + one.d < p for (a, b), p in zip(across, at, strict=True)):  # type: ignore[misc]
        return None
    return reach(piece, frame.axis)


def free(
    weldment: Part, values: JigValues, frame: Place, holes: Sequence[Hole], end: float, way: int
) -> float | None:
    """Where along the frame an upright's near face stands clear of the weldment: `room` from `end`, the last of its
    bores that `way` (1 or -1), or past the pieces that stand there; None where that is further than FURTHEST."""
    t = values.upright_t
    trial = made.upright("trial", frame, holes, t, base_t=values.base_t, clearance=values.clearance)
    assert isinstance(trial.piece, Plate)
    x0, _, x1, y1 = trial.piece.wall.outline.bounds
    least = min(values.room, CLEAR)
    base = dot(frame.at, frame.axis)
    at = end + way * values.room
    for _ in range(len(weldment.pieces) + 1):
        moved = False
        for piece in weldment.pieces:
            spans = [reach(piece, v) for v in (frame.x, frame.up, frame.axis)]
            if None in spans:
                continue
            (xa, xb), (ya, _), (za, zb) = spans  # type: ignore[misc]
            cx, cy = dot(frame.at, frame.x), dot(frame.at, frame.up)
            if xa - cx > x1 + SIDE or xb - cx < x0 - SIDE or ya - cy > y1 + SIDE:
                continue
            near, far = (at, at + t) if way > 0 else (at - t, at)
            if za - base < far + least - 1e-9 and zb - base > near - least + 1e-9:
                at = zb - base + CLEAR if way > 0 else za - base - CLEAR
                moved = True
        if abs(at - end) > FURTHEST:
            return None
        if not moved:
            return at
    return None
