"""Hoses, cables, linkages and joints between powertrain and chassis: the straight distance of their ends over all
of the engine's movement, against the length typed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brackets.bay.clear.pairs import at_least
from brackets.bay.clear.point_moves import moved_distance, moves_about
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.hung.spots import slack_spot
from brackets.bay.schema.asked import SlackRow
from brackets.bay.schema.record import Bay
from brackets.clearance.distances import PointDistance
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import SLACK, SLACK_LEAST

SLACK_HEADS = ("what", "still", "least", "may be", "most", "length", "spare", "least by", "most by")


@dataclass(frozen=True, kw_only=True)
class Slack:
    """A row, and how far apart its ends are: at rest, and the least and the most as intervals (low, high), mm.

    least_by, most_by: the case that takes them there, or "typed"; "" where nothing is worked out."""

    row: SlackRow
    found: PointDistance
    least_by: str = ""
    most_by: str = ""

    @property
    def spare(self) -> float:
        """mm of length that are surely over at the most distance."""
        return self.row.length - self.found.most[1]

    @property
    def pulled(self) -> bool:
        """Whether it is surely too short."""
        return self.found.most[0] > self.row.length

    @property
    def kinked(self) -> bool:
        """Whether it may become shorter than it can be."""
        return self.row.least is not None and self.found.least[0] < self.row.least


def slacks(bay: Bay) -> tuple[Slack, ...]:
    """Every row of the file, least spare first."""
    place = place_of(bay.powertrain)
    spots = [slack_spot(row, place) for row in bay.slacks]
    found = []
    for row, (end, _), moves in zip(bay.slacks, spots, moves_about(bay, spots), strict=True):
        apart = moved_distance(moves, end, row.chassis)
        found.append(Slack(row=row, found=apart.found, least_by=apart.least_by, most_by=apart.most_by))
    return tuple(sorted(found, key=lambda one: (one.spare, one.row.name)))


def slack_findings(found: Sequence[Slack]) -> Iterator[Finding]:
    """What is pulled, what has less over than asked, what kinks or bottoms."""
    for one in found:
        row, most, least = one.row, one.found.most, one.found.least
        if one.pulled:
            yield SLACK.finding(
                level="stop",
                piece=row.name,
                about=(row.name,),
                value=most[0],
                limit=row.length,
                sentence=f"is pulled: its ends get {most[0]:.1f} mm apart{_by(one.most_by)}, it is"
                f" {row.length:g} mm long",
            )
        elif one.spare < row.margin:
            yield SLACK.finding(
                level="caution",
                piece=row.name,
                about=(row.name,),
                value=most[1],
                limit=row.length - row.margin,
                sentence=f"{at_least(one.spare)} mm over at the worst movement, {row.margin:g} asked:"
                f" its ends get {most[1]:.1f} mm apart{_by(one.most_by)}, it is {row.length:g} mm long",
            )
        if row.least is not None and one.kinked:
            yield SLACK_LEAST.finding(
                piece=row.name,
                about=(row.name,),
                value=least[0],
                limit=row.least,
                sentence=f"its ends come within {at_least(least[0])} mm{_by(one.least_by)}, it may be {row.least:g}"
                " at the shortest: it kinks or bottoms",
            )


def _by(case: str) -> str:
    return f" by {case}" if case else ""


def slack_cells(one: Slack) -> tuple[str, ...]:
    """A row under SLACK_HEADS."""
    row, found = one.row, one.found
    may_be = "" if row.least is None else f"{row.least:g}"
    still, least, most = f"{found.rest:.1f}", at_least(found.least[0]), f"{found.most[1]:.1f}"
    return (row.name, still, least, may_be, most, f"{row.length:g}", at_least(one.spare), one.least_by, one.most_by)
