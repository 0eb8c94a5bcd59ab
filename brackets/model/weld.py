"""Welds: which edge of one piece is welded to which other piece. Weld metal is not in the mass."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from brackets.core.vectors import Vec
from brackets.model.holes import Point, flipped

Face = Literal["low", "high"]


@dataclass(frozen=True)
class Along:
    """The edge of a wall's outline from the point nearest `start`, counter-clockwise, to the one nearest `end`.

    `face` low is z = 0, high is z = t; `wall` counts 0 for the base, n for the n-th flange. start == end: all
    the way round.
    """

    start: Point
    end: Point
    face: Face = "low"
    wall: int = 0

    def mirrored(self) -> Along:
        return replace(self, start=flipped(self.end), end=flipped(self.start))


@dataclass(frozen=True)
class OpeningRim:
    """The rim of an opening of a wall: `opening` counts from 0."""

    opening: int
    face: Face = "low"
    wall: int = 0

    def mirrored(self) -> OpeningRim:
        return self


@dataclass(frozen=True)
class AtSeat:
    """The edge that a TubeSeat leaves on one face of a wall; `seat` counts from 0."""

    seat: int = 0
    face: Face = "low"
    wall: int = 0

    def mirrored(self) -> AtSeat:
        return self


@dataclass(frozen=True)
class TubeRim:
    """The outer edge of a tube's cut end."""

    end: Literal["start", "end"]

    def mirrored(self) -> TubeRim:
        return self


@dataclass(frozen=True)
class Circle:
    """A circle on a turned piece: diameter `d` at height `z`."""

    z: float
    d: float

    def mirrored(self) -> Circle:
        return self


@dataclass(frozen=True)
class StraightEdge:
    """A straight line on a piece, between two points of its own frame."""

    start: Vec
    end: Vec

    def mirrored(self) -> StraightEdge:
        (ax, ay, az), (bx, by, bz) = self.start, self.end
        return StraightEdge((-ax + 0.0, ay, az), (-bx + 0.0, by, bz))


Edge = Along | OpeningRim | AtSeat | TubeRim | Circle | StraightEdge


@dataclass(frozen=True, kw_only=True)
class Weld:
    """A fillet of `leg` mm along `edge` of `piece`, onto the piece `onto`, or onto what the seat `onto` meets.

    `sides` is 2 where the same edge is welded from both sides (a gusset's edge on a round cup). `turn` is the
    order in which it is welded where that matters, 0 where it does not.
    """

    piece: str
    edge: Edge
    onto: str
    leg: float
    sides: int = 1
    note: str = ""
    turn: int = 0
