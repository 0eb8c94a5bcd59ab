"""Shafts and chains between powertrain and chassis: bend of the joints, plunge, line, at rest and over all of the
engine's movement, against the limits typed. There are no limits of our own: what a joint takes says who made it.

The two views are those of the bay's axes that show a shaft's length. Where the axis of a flange lies in both, the
bend c follows from the two angles seen: tan^2 c = tan^2 a + tan^2 b; else c is still the true angle in space.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from brackets.bay.clear.point_moves import MovedDistance
from brackets.bay.clear.watched_lines import Found, WatchedLine, watched_lines
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.hung.spots import line_spots
from brackets.bay.schema.asked import CARDAN, ChainRow, ShaftRow
from brackets.bay.schema.record import Bay
from brackets.clearance.distances import point_distance
from brackets.clearance.motion import Moves
from brackets.clearance.places import Point, point
from brackets.clearance.shaft_lines import FINE, VIEWS, ShaftLines, between_planes, chain, in_view, shaft, views_of
from brackets.core.place import Place
from brackets.core.rulebook.bay import CHAIN_ANGLE, CHAIN_CENTRES, CHAIN_LINE, JOINT_ANGLE, JOINT_PAIR, PLUNGE
from brackets.core.rulebook.finding_rule import FindingRule
from brackets.core.vectors import sub

STRAIGHT = 0.05
"""Degrees below which a joint is straight, so that it bends in no plane."""

Parts = tuple[tuple[str, float], ...]
"""What a figure is made up of, by name: angles in the views, of a pair the difference and between the planes."""


@dataclass(frozen=True, kw_only=True)
class Limit:
    """A key of the row, as a file writes it, and what is typed there; None where nothing is."""

    key: str
    value: float | None


@dataclass(frozen=True, kw_only=True)
class AtWorst:
    """The most of a figure over the movement lies from low to high; `where` that is, in words, "" where it is not
    told; `parts` of it there; `case`: the load case, or "typed", that takes it there, "" where nothing is worked
    out."""

    low: float
    high: float
    where: str = ""
    parts: Parts = ()
    case: str = ""

    @property
    def when(self) -> str:
        """Where it is then, and which case takes it there, in words."""
        return "; ".join(word for word in (self.where, f"by {self.case}" if self.case else "") if word)


@dataclass(frozen=True, kw_only=True)
class DriveFigure:
    """A figure of a shaft or chain, deg or mm, against its limits.

    still: at rest, None where it is a change from there; moved: None where there is no movement; lead, tail: words
    of the sentence before and after the figure; cure: what a breach does, or what to do, for its end.
    """

    what: str
    unit: str
    rule: FindingRule
    lead: str
    tail: str = ""
    cure: str = ""
    still: float | None = None
    still_limit: Limit | None = None
    still_parts: Parts = ()
    moved: AtWorst | None = None
    moved_limit: Limit

    @property
    def limits(self) -> tuple[Limit, ...]:
        return (self.moved_limit,) if self.still_limit is None else (self.still_limit, self.moved_limit)


@dataclass(frozen=True, kw_only=True)
class Drive:
    """A row of the file, mm between its two ends at rest, and its figures."""

    row: ShaftRow | ChainRow
    length: float
    figures: tuple[DriveFigure, ...]


def drives(bay: Bay) -> tuple[Drive, ...]:
    """Every shaft and every chain, in the order of the file."""
    rows, place = _rows(bay), place_of(bay.powertrain)
    lines = watched_lines(bay, [(line_at(row, place, None), line_spots(row, place)) for row in rows])
    return tuple(_drive(row, line) for row, line in zip(rows, lines, strict=True))


def drives_at(bay: Bay, place: Place) -> tuple[Drive, ...]:
    """The same with the powertrain standing still at another place than the file has it at."""
    return tuple(_still(row, line_at(row, place, None)) for row in _rows(bay))


def _rows(bay: Bay) -> tuple[ShaftRow | ChainRow, ...]:
    return (*bay.shafts, *bay.chains)


def _still(row: ShaftRow | ChainRow, line: ShaftLines) -> Drive:
    apart = MovedDistance(found=point_distance(line.moving, line.fixed, None, FINE))
    return _drive(row, WatchedLine(line, (), (), apart, line.moving))


def _drive(row: ShaftRow | ChainRow, line: WatchedLine) -> Drive:
    figures = _shaft(row, line) if isinstance(row, ShaftRow) else _chain(row, line)
    return Drive(row=row, length=line.apart.found.rest, figures=tuple(figures))


def line_at(row: ShaftRow | ChainRow, place: Place, moves: Moves | None) -> ShaftLines:
    """Its two points and axes with the powertrain at `place`."""
    at, axis = place.point(row.powertrain_at), place.direction(row.powertrain_axis)
    line_of = shaft if isinstance(row, ShaftRow) else chain
    return line_of(moves, moving=at, moving_axis=axis, fixed=row.chassis_at, fixed_axis=row.chassis_axis)


def _shaft(row: ShaftRow, watched: WatchedLine) -> Iterator[DriveFigure]:
    line = watched.rest
    rest = line.at_rest()
    views = views_of(sub(line.fixed, line.moving))

    def seen(axis_moves: bool, found: Found | None) -> Parts:
        at, own = _moved(line, found)
        axis, way = own if axis_moves else line.fixed_axis, sub(line.fixed, at)
        return tuple((VIEWS[view], in_view(axis, way, view)) for view in views)

    for what, still, pick, moves in (
        ("joint on the powertrain", rest.at_moving, ShaftLines.most_at_moving, True),
        ("joint on the chassis", rest.at_fixed, ShaftLines.most_at_fixed, False),
    ):
        most = watched.most(pick)
        yield DriveFigure(
            what=what,
            unit="deg",
            rule=JOINT_ANGLE,
            lead=f"its {what} bends by",
            still=still,
            still_limit=Limit(key="angle.rest", value=row.angle_rest),
            moved_limit=Limit(key="angle.moved", value=row.angle_moved),
            still_parts=seen(moves, None),
            moved=_worst(most, seen(moves, most)),
        )
    if row.joints == CARDAN:
        left = watched.most(ShaftLines.most_left)
        yield DriveFigure(
            what="both joints together",
            unit="deg",
            rule=JOINT_PAIR,
            lead="its two joints turn as unevenly as one that bends by",
            cure=": make both bends alike and in one plane",
            still=rest.left,
            still_limit=Limit(key="pair.rest", value=row.pair_rest),
            moved_limit=Limit(key="pair.moved", value=row.pair_moved),
            still_parts=_pair(line, None),
            moved=_worst(left, _pair(line, left)),
        )
    for what, typed, cure in (
        ("shorter", row.plunge_shorter, "it bottoms"),
        ("longer", row.plunge_longer, "it comes apart"),
    ):
        yield DriveFigure(
            what=f"{what} by",
            unit="mm",
            rule=PLUNGE,
            lead="becomes",
            tail=f" {what} than at rest",
            cure=f": {cure}",
            moved_limit=Limit(key=f"plunge.{what}", value=typed),
            moved=_change(watched, what == "longer"),
        )


def _chain(row: ChainRow, watched: WatchedLine) -> Iterator[DriveFigure]:
    rest = watched.rest.at_rest()
    yield DriveFigure(
        what="out of line by",
        unit="mm",
        rule=CHAIN_LINE,
        lead="is out of line by",
        still=rest.out,
        still_limit=Limit(key="offset.rest", value=row.offset_rest),
        moved_limit=Limit(key="offset.moved", value=row.offset_moved),
        moved=_worst(watched.most(ShaftLines.most_moving_out, ShaftLines.most_fixed_out)),
    )
    yield DriveFigure(
        what="axes off parallel by",
        unit="deg",
        rule=CHAIN_ANGLE,
        lead="its axes are off parallel by",
        still=rest.axes,
        still_limit=Limit(key="angle.rest", value=row.angle_rest),
        moved_limit=Limit(key="angle.moved", value=row.angle_moved),
        moved=_worst(watched.most(ShaftLines.most_axes)),
    )
    for what, typed, lead, tail in (
        ("nearer", row.centres_nearer, "its centres come", " nearer than at rest"),
        ("further", row.centres_further, "its centres get", " further apart than at rest"),
    ):
        yield DriveFigure(
            what=f"centres {what} by",
            unit="mm",
            rule=CHAIN_CENTRES,
            lead=lead,
            tail=tail,
            moved_limit=Limit(key=f"centres.{what}", value=typed),
            moved=_change(watched, what == "further"),
        )


def _worst(found: Found | None, parts: Parts = ()) -> AtWorst | None:
    if found is None:
        return None
    return AtWorst(low=found.most.low, high=found.most.high, where=found.where, parts=parts, case=found.case)


def _change(watched: WatchedLine, more: bool) -> AtWorst | None:
    """How far apart two points get, or come nearer, than at rest, mm."""
    if not any(line.moves is not None for covers in watched.parts for line in covers):
        return None
    apart = watched.apart.found
    low, high = apart.most if more else apart.least
    ends = (low - apart.rest, high - apart.rest) if more else (apart.rest - high, apart.rest - low)
    case = watched.apart.most_by if more else watched.apart.least_by
    return AtWorst(low=max(0.0, ends[0]), high=max(0.0, ends[1]), case=case)


def _moved(line: ShaftLines, found: Found | None) -> tuple[Point, Point]:
    """The point and the axis that move, where a figure is worst; at rest without one."""
    if found is None or found.line.moves is None:
        return line.moving, line.moving_axis
    moves, worst = found.line.moves, found.most.worst
    place = moves.place(np.r_[np.radians(worst.angles), np.asarray(worst.travel) @ moves.frame.T])
    return point(place.points(np.asarray(line.moving, dtype=float)[None])), point(place.turn @ line.moving_axis)


def _pair(line: ShaftLines, found: Found | None) -> Parts:
    at, axis = _moved(line, found)
    one, two, planes = between_planes(axis, line.fixed_axis, sub(line.fixed, at))
    differ = (("differ by", abs(one - two)),)
    return differ if min(one, two) < STRAIGHT else (*differ, ("planes apart by", planes))
