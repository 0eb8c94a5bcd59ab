"""Works out a readings file: holes, set-up, place and weight, and what of it stops the job.

Bosses in the bay's axes where the file places them, else in the pattern's own: x from the first hole to the second,
z out of the casting.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial

import numpy as np

from brackets.core.errors import BadFile, InputError
from brackets.survey.boss_hand import handed
from brackets.survey.file import Readings
from brackets.survey.file_rows import Placed
from brackets.survey.position import Position, Square, position, square
from brackets.survey.readings import COVER, Floats, Survey, ellipse
from brackets.survey.solve import solve
from brackets.survey.weigh import Balance, balance

PLAIN = 1e-6  # along this much in line with normal: they say nothing about the turn
STEP = 0.05  # mm: a boss's ± is rounded up to this


@dataclass(frozen=True)
class Boss:
    """One hole as a row for the bay file; `pos` is ± mm in its face."""

    name: str
    at: tuple[float, float, float]
    normal: tuple[float, float, float]
    thread: str
    depth: float | None
    into: str
    pos: float


@dataclass(frozen=True)
class Measured:
    """What came of a readings file; None or empty for what it does not hold.

    `doubts`: why the pattern may be the mirror image of the holes; with any, or where the shape is not fixed,
    `bosses` must not be handed on.
    """

    readings: Readings
    survey: Survey | None
    bosses: tuple[Boss, ...]
    squares: tuple[Square, ...]
    position: Position | None
    balance: Balance | None
    doubts: tuple[str, ...] = ()

    @property
    def placed(self) -> bool:
        """Whether the holes are where the figures say: shape fixed, not mirrored."""
        return self.survey is not None and self.survey.fixed and not self.doubts

    @property
    def stops(self) -> tuple[str, ...]:
        """Sentences for what must be put right before steel is cut to these figures."""
        out = []
        if self.survey is not None:
            out += [*self.doubts, *_survey_stops(self.survey, self.readings)]
        for row, found in zip(self.readings.data, self.squares, strict=True):
            if not found.agrees:
                out.append(f"datum {row.name}: the diagonals do not agree, find the bad mark or tape again")
        if self.position is not None and (self.position.candidates or self.position.mirrored):
            out.append("position: the measured points contradict one another, measure them again")
        return tuple(out)


def work_out(readings: Readings) -> Measured:
    """Everything that a readings file asks for: holes, set-up, place and weight.

    readings: by `read_readings`. Returns a Measured, None or empty for what the file does not hold. Raises BadFile
    where the readings make no sense together.

    >>> import pathlib, tempfile
    >>> text = '''format = 1
    ... hole = [{ name = "A", d = 10 }, { name = "B", d = 10 }]
    ... reading = [{ between = ["A", "B"], how = "outside", value = 90 }]'''
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     file = pathlib.Path(folder, "holes.toml")
    ...     _ = file.write_text(text)
    ...     work_out_readings(read_readings(file)).bosses[1].at  # 90 over both edges, a diameter less
    (80.0, 0.0, 0.0)
    """
    survey, place, weight = None, None, None
    doubts: tuple[str, ...] = ()
    squares: list[Square] = []
    problems: list[str] = []
    try:
        if readings.holes:
            axes = None if readings.placed is None else _axes(readings, readings.placed)
            survey, doubts = handed(readings, axes, partial(_survey, readings))
    except InputError as error:
        problems += error.problems
    for row in readings.data:
        try:
            squares.append(square(np.array(row.marks), (row.diagonals[0], row.diagonals[1]), row.allowed))
        except InputError as error:
            problems += (f"datum {row.name}: {p}" for p in error.problems)
    try:
        place = _position(readings) if readings.points else None
    except InputError as error:
        problems += error.problems
    try:
        if readings.weighings:
            weight = balance(readings.weighings, height=readings.weigh.height, height_pm=readings.weigh.height_pm)
    except InputError as error:
        problems += error.problems
    if problems:
        raise BadFile(readings.path, *problems)
    rows = _bosses(readings, survey) if survey is not None else ()
    return Measured(readings, survey, rows, tuple(squares), place, weight, doubts)


def _survey(readings: Readings, clockwise: tuple[str, ...], anticlockwise: tuple[str, ...]) -> Survey:
    p = readings.pattern
    return solve(
        readings.readings,
        readings.holes,
        edges=readings.edges,
        space=p.space,
        clockwise=clockwise,
        anticlockwise=anticlockwise,
        out=p.out or "",
        helper_pm=readings.tools.calliper,
    )


def _position(readings: Readings) -> Position:
    pm = readings.tools.tape if readings.stands.pm is None else readings.stands.pm
    return position(
        np.array([p.drawn for p in readings.points]),
        np.array([p.measured for p in readings.points]),
        [pm if p.pm is None else p.pm for p in readings.points],
        readings.stands.about,
    )


def pattern_text(survey: Survey) -> str:
    """The holes as a recipe takes them, "0,0 80,0 40,44.5": x and y in mm from the first hole."""
    first = survey.coordinates[0]
    return " ".join(f"{_short(x - first[0])},{_short(y - first[1])}" for x, y in survey.coordinates[:, :2])


def bosses_text(bosses: tuple[Boss, ...]) -> str:
    """The bosses as stay, cross_member and cup_on_plate take them, "190,-52,152 190,46,144": mm in the bay."""
    return " ".join(",".join(_short(v) for v in b.at) for b in bosses)


def _bosses(readings: Readings, survey: Survey) -> tuple[Boss, ...]:
    if readings.placed is None:
        matrix, at, start = np.eye(3), np.zeros(3), np.zeros(3)
    else:
        matrix, at, start = _axes(readings, readings.placed), np.array(readings.placed.at), survey.coordinates[0]
    out = []
    for k, hole in enumerate(readings.holes):
        x, y, z = matrix @ (survey.coordinates[k] - start) + at
        a, b, c = matrix[:, 2]
        block = survey.covariance[3 * k : 3 * k + 3, 3 * k : 3 * k + 3]
        pm = max(ellipse(block).long, COVER * math.sqrt(max(block[2, 2], 0.0)))
        out.append(
            Boss(
                name=hole.name,
                at=(float(x), float(y), float(z)),
                normal=(float(a), float(b), float(c)),
                thread=hole.thread,
                depth=hole.depth,
                into=hole.into,
                pos=max(STEP, math.ceil(pm / STEP - 1e-9) * STEP),
            )
        )
    return tuple(out)


def _axes(readings: Readings, placed: Placed) -> Floats:
    """(3, 3) the pattern's x, y, z in the bay's axes, as columns."""
    z = np.array(placed.normal, dtype=np.float64)
    x = np.array(placed.along, dtype=np.float64)
    if np.linalg.norm(z) < PLAIN:
        raise BadFile(readings.path, f"place normal = {placed.normal}, must have a direction: out of the casting")
    z = z / np.linalg.norm(z)
    x = x - (x @ z) * z
    if np.linalg.norm(x) < PLAIN * max(1.0, float(np.linalg.norm(placed.along))):
        raise BadFile(
            readings.path, f"place along = {placed.along}, must not be parallel to normal {placed.normal}"
        )
    x = x / np.linalg.norm(x)
    return np.column_stack([x, np.cross(z, x), z])


def _survey_stops(survey: Survey, readings: Readings) -> list[str]:
    out = []
    if survey.loose:
        out.append(f"holes: the readings do not fix the shape, {', '.join(survey.loose)} can move")
    if survey.mirrors:
        image = " or ".join(", ".join(names) for names in survey.mirrors)
        out.append(f"holes: {image} may as well lie on the other side of the line they are measured from")
    if survey.suspect.candidates:
        labels = "; ".join(label(readings, k) for k in survey.suspect.candidates)
        many = "more than two are wrong, or the ± too small,"
        wrong = {1: "one is wrong", 2: "at least two are wrong"}.get(survey.suspect.at_least, many)
        out.append(
            f"holes: the readings contradict one another, {wrong} and which is wrong cannot be told, "
            f"so none is left out: {labels}"
        )
    if len(survey.suspect.named) > 1:
        labels = "; ".join(label(readings, k) for k in survey.suspect.named)
        out.append(f"holes: {len(survey.suspect.named)} readings are wrong, read them again first: {labels}")
    return out


def label(readings: Readings, k: int) -> str:
    """A reading by its number in a survey; past the readings come the holes' diameters."""
    if k < len(readings.readings):
        return readings.readings[k].label
    hole = [h for h in readings.holes if h.d is not None][k - len(readings.readings)]
    return f"diameter of {hole.name} {hole.d:g}"


def _short(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
