"""One set-up dimension of a weldment, and how a point, a distance along an axis and the lean of an axis are told.

mm and degrees from the record, never from a picture. Degrees in plan run from x towards y, seen against z.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from brackets.core.vectors import Vec
from brackets.forming.set_up_datum import ALONG, Datum, Feature, Spot

AXES = ("x", "y", "z")

EXACT = 1e-6
"""mm within which a length is half a tenth more than a tenth."""

Kind = Literal["from datum", "apart", "diagonal", "to A", "in plan", "clock"]
"""from datum: along x, y or z; apart: between faces, or between bush centres; diagonal: to check squareness by;
to A: degrees to A, or to the xy plane where A is an axis; in plan: degrees from x towards y of an axis, the way in
which it rises, or of the level line of a face; clock: which line of a tube's own degrees points that way."""


@dataclass(frozen=True, kw_only=True)
class SetUpDimension:
    """One dimension: `what` of `piece` (two names where it is between two), `value` in mm, or degrees of an angle.

    `to` is what is measured to, `start` what it is measured from where that is not the datum; `axis` is 0, 1, 2 for
    x, y, z from the datum.
    """

    piece: str
    what: str
    kind: Kind
    value: float
    to: Feature | Spot
    start: Feature | Spot | None = None
    axis: int | None = None

    @property
    def is_angle(self) -> bool:
        return self.kind in ("to A", "in plan", "clock")

    @property
    def text(self) -> str:
        """The value as a person writes it, to 0.1; a length of half a tenth more in full, so that two halves make
        up their whole."""
        half = not self.is_angle and abs(math.remainder(self.value - 0.05, 0.1)) < EXACT
        shown = f"{self.value:.2f}" if half else f"{self.value + 0.0:.1f}".removesuffix(".0")
        if self.kind == "clock" and shown == "360":
            shown = "0"
        return f"{'0' if shown in ('-0', '0') else shown}{'°' if self.is_angle else ''}"


def aligned(way: Vec) -> int | None:
    """Which axis of the datum a direction, given in it, runs along; None where it is none."""
    for i in range(3):
        if math.hypot(*(c for k, c in enumerate(way) if k != i)) < ALONG:
            return i
    return None


def from_datum(piece: str, what: str, to: Feature | Spot, axis: int, datum: Datum) -> SetUpDimension:
    """The distance of `to` from the datum along one of its axes."""
    value = datum.local(to.at)[axis]
    return SetUpDimension(piece=piece, what=what, kind="from datum", value=value, to=to, axis=axis)


def at_point(piece: str, what: str, spot: Spot, datum: Datum) -> Iterator[SetUpDimension]:
    """A point, told along x, y and z."""
    for i in range(3):
        yield from_datum(piece, what, spot, i, datum)


def of_axis(piece: str, axis: Feature, datum: Datum, what: str = "axis") -> Iterator[SetUpDimension]:
    """How an axis that runs along none of the datum's leans to A, and which way it points in plan."""
    way = datum.direction(axis.way)
    if way[2] < -ALONG:
        way = (-way[0], -way[1], -way[2])
    lean = math.degrees(math.atan2(abs(way[2]), math.hypot(way[0], way[1])))
    square = aligned(way)
    if square is None or square == 2:
        yield SetUpDimension(piece=piece, what=what, kind="to A", value=lean, to=axis)
    if square is None and lean < 90.0 - 1e-6:
        turn = math.degrees(math.atan2(way[1], way[0])) % 360.0
        if abs(way[2]) < ALONG:
            turn %= 180.0
        yield SetUpDimension(piece=piece, what=what, kind="in plan", value=turn, to=axis)


def apart(names: str, what: str, a: Spot, b: Spot) -> SetUpDimension:
    """The distance between two points, mm."""
    return SetUpDimension(piece=names, what=what, kind="apart", value=math.dist(a.at, b.at), to=b, start=a)
