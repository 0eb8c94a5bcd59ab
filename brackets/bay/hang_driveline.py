"""What shafts and chains of a bay become in each load case, the powertrain moved on its bushes as the case has it.

The figures are those of `fit` (`bay/clear/driveline.py`), asked for where each case leaves the powertrain instead
of at the worst of a typed movement. mm, degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from brackets.bay.clear.drive_rules import KEPT
from brackets.bay.clear.driveline import Drive, DriveFigure, drives_at
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.record import Bay
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.hang.cases import CaseResult
from brackets.hang.statics import Reactions

MORE = ("longer by", "centres further by")
"""Figures of a length that grows; those of one that shrinks are the others without a figure as drawn."""


@dataclass(frozen=True, kw_only=True)
class DrivelineFigure:
    """One figure of a shaft or chain: `drive` is its name, `of` what figure it is and its limits.

    drawn: as drawn, with the weight on; cases: the same in each case, in the order of the results; mm or degrees.
    Of a length both are how much longer or shorter than as drawn.
    """

    drive: str
    of: DriveFigure
    drawn: float
    cases: tuple[float, ...]

    @property
    def limit(self) -> float | None:
        """What is typed for when the powertrain moves."""
        return self.of.moved_limit.value

    @property
    def worst(self) -> int:
        """Index of the case it is greatest in."""
        return max(range(len(self.cases)), key=lambda i: self.cases[i])


def moved_place(found: Reactions) -> Place:
    """Where a case carries the powertrain from its place as drawn: the rotation of its rotation vector about the
    centre of mass, then its shift."""
    shift, turn = found.moved[:3], found.moved[3:]
    angle = float(np.linalg.norm(turn))
    a, b, c = turn / angle if angle > 0 else (0.0, 0.0, 1.0)
    skew = np.array([[0.0, -c, b], [c, 0.0, -a], [-b, a, 0.0]])
    matrix = np.eye(3) + math.sin(angle) * skew + (1 - math.cos(angle)) * skew @ skew
    at = found.centre + shift - matrix @ found.centre
    return Place.of_matrix(np.column_stack([matrix, at]).tolist())


def driveline_under(bay: Bay, results: Sequence[CaseResult]) -> tuple[DrivelineFigure, ...]:
    """Every shaft and chain of the bay in every case, in the order of the file; nothing where it has none."""
    return driveline_moved(bay, [moved_place(result.found) for result in results])


def driveline_moved(bay: Bay, moved: Sequence[Place]) -> tuple[DrivelineFigure, ...]:
    """The same with the powertrain carried from where it is drawn to each of the places."""
    if not bay.shafts and not bay.chains:
        return ()
    drawn = place_of(bay.powertrain)
    rest = drives_at(bay, drawn)
    cases = [drives_at(bay, place @ drawn) for place in moved]
    made: list[DrivelineFigure] = []
    for i, drive in enumerate(rest):
        made += _figures(drive, [case[i] for case in cases])
    return tuple(made)


def driveline_findings(results: Sequence[CaseResult], figures: Sequence[DrivelineFigure]) -> Iterator[Finding]:
    """Every figure over what is typed for when the powertrain moves, in the case it is worst in: Findings."""
    for figure in figures:
        value, limit, of = figure.cases[figure.worst], figure.limit, figure.of
        if limit is not None and of.rule.over(value, limit, slack=KEPT):
            case = f"case {results[figure.worst].case.name}"
            yield of.rule.finding(
                level="stop" if "stop" in of.rule.levels else "caution",
                piece=figure.drive,
                about=(figure.drive,),
                value=value,
                limit=limit,
                sentence=f"{case}: {of.lead} {value:.2f} {of.unit}{of.tail}, {limit:g} typed{of.cure}",
            )


def _figures(rest: Drive, cases: Sequence[Drive]) -> Iterator[DrivelineFigure]:
    changes = [case.length - rest.length for case in cases]
    for k, figure in enumerate(rest.figures):
        if figure.still is None:
            sign = 1.0 if figure.what in MORE else -1.0
            values = [max(sign * change, 0.0) for change in changes]
        else:
            values = [still for case in cases if (still := case.figures[k].still) is not None]
        drawn = 0.0 if figure.still is None else figure.still
        yield DrivelineFigure(drive=rest.row.name, of=figure, drawn=drawn, cases=tuple(values))
