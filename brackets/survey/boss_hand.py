"""Which way round a measured pattern goes in the bay, and what speaks against it.

Distances fix a pattern but for its mirror image. Its hand is what [pattern] says, what datum edges tell, or what a
hole sighted in the bay tells; points measured on the engine that bear a hole's name must not say otherwise.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from brackets.core.errors import BadFile
from brackets.survey.file import Readings
from brackets.survey.readings import Floats, Survey

CLEAR = 10.0  # mm: a sighted hole nearer to the line of the first two, or to where it should be, tells too little

Solver = Callable[[tuple[str, ...], tuple[str, ...]], Survey]


def handed(readings: Readings, axes: Floats | None, solver: Solver) -> tuple[Survey, tuple[str, ...]]:
    """The survey with the hand that is known, and sentences for why its hand cannot be trusted, none if it can.

    `axes` (3, 3): the pattern's x, y, z in the bay, as columns, where the file places it; `solver` takes the holes
    that go clockwise and anticlockwise. Raises BadFile where what was sighted tells nothing.
    """
    p, placed = readings.pattern, readings.placed
    said = solver(p.clockwise, p.anticlockwise)
    against = list(said.against)
    if placed is None or axes is None:
        return said, _doubts(readings, said, against)
    at = np.array(placed.at)
    if placed.sighted is not None and placed.sighted_at is not None:
        seen = axes.T @ (np.array(placed.sighted_at) - at)
        _refuse(readings, said, placed.sighted, float(seen[1]))
        if not said.handed:
            order = (said.names[0], said.names[1], placed.sighted)
            said = solver(*(((), order) if seen[1] > 0 else (order, ())))
            against = list(said.against)
        k = said.names.index(placed.sighted)
        off = float(np.linalg.norm(seen - (said.coordinates[k] - said.coordinates[0])))
        if off > max(CLEAR, abs(float(seen[1]))):
            against.append(
                f"[place] sighted = {placed.sighted}: seen {off:.0f} mm from where the readings and the hand put it"
            )
    return said, _doubts(readings, said, [*against, *_points(readings, said, axes, at)])


def _doubts(readings: Readings, survey: Survey, against: list[str]) -> tuple[str, ...]:
    if against:
        return tuple(f"holes: the way round they go contradicts other readings. {one}" for one in against)
    return () if survey.handed else (f"holes: {unstated(readings, survey)}",)


def unstated(readings: Readings, survey: Survey) -> str:
    """What to add so that the hand is known."""
    three = ", ".join(f'"{survey.names[k]}"' for k in triangle(survey))
    told = (
        "which way round they go is not stated, and distances are the same in the mirror image, so there are no "
        f"boss rows and no hole list: add under [pattern] clockwise = [{three}] or anticlockwise = [{three}], "
        "as you see them looking at the casting"
    )
    if readings.pattern.space:
        return f"{told}, and out = the name of a hole that stands nearer to you than these"
    third = survey.names[triangle(survey)[-1]]
    return f'{told}; or under [place] sighted = "{third}" and sighted_at = roughly where it is in the bay'


def triangle(survey: Survey) -> tuple[int, int, int]:
    """The first two holes and the one furthest from their line, by number; three holes at least."""
    way = survey.coordinates[1] - survey.coordinates[0]
    rest = survey.coordinates - survey.coordinates[0]
    apart = np.linalg.norm(np.cross(rest, way), axis=1)
    return 0, 1, int(apart.argmax())


def anticlockwise(survey: Survey) -> bool:
    """Whether those three go anticlockwise as the survey is laid out, seen looking at the casting."""
    a, b, c = (survey.coordinates[k, :2] for k in triangle(survey))
    return bool((b - a)[0] * (c - a)[1] - (b - a)[1] * (c - a)[0] > 0)


def _refuse(readings: Readings, survey: Survey, name: str, aside: float) -> None:
    wrong = []
    if name not in survey.names:
        wrong.append(f'place sighted = "{name}", must be the name of a hole')
    elif name in survey.names[:2]:
        wrong.append(f"place sighted = {name}, must be another hole than the first two: they lie on the line")
    elif abs(aside) < CLEAR:
        wrong.append(
            f"place sighted_at = {aside:.1f} mm from the line of the first two holes, must be at least {CLEAR:g} "
            "mm off it: nearer, it does not tell on which side the hole is"
        )
    if readings.pattern.space:
        wrong.append("place sighted = given with space, must not be: say clockwise and out under [pattern]")
    if wrong:
        raise BadFile(readings.path, *wrong)


def _points(readings: Readings, survey: Survey, axes: Floats, at: Floats) -> list[str]:
    """What points with a hole's name say, where they fit the mirror image and not the holes."""
    names = [point for point in readings.points if point.name in survey.names]
    if not names:
        return []
    drawn = np.array([axes.T @ (np.array(point.drawn) - at) for point in names])
    found = np.array([survey.coordinates[survey.names.index(p.name)] - survey.coordinates[0] for p in names])
    as_is = np.linalg.norm(drawn - found, axis=1)
    image = np.linalg.norm(drawn - found * [1.0, -1.0, 1.0], axis=1)
    worst = int((as_is - image).argmax())
    if np.hypot.reduce(as_is) <= 2.0 * np.hypot.reduce(image) or as_is[worst] < CLEAR:
        return []
    return [
        f"point {names[worst].name} as drawn is {as_is[worst]:.0f} mm from where the hole comes out, and "
        f"{image[worst]:.0f} mm from where the mirror image has it"
    ]
