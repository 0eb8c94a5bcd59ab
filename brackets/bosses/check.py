"""Readings that make no sense, all of them at once, one line each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from difflib import get_close_matches

from brackets.bosses.record import HOWS, Edge, Hole, Reading

FURTHEST = 5000.0  # mm: nothing on an engine is further apart


def problems(
    readings: Sequence[Reading], holes: Sequence[Hole], edges: Sequence[Edge], *, space: bool
) -> list[str]:
    """One line for each thing wrong; empty when the readings can be worked on."""
    wrong = _names(holes, edges)
    if len(holes) < 2:
        wrong.append(f"holes = {len(holes)}, must be at least 2: nothing lies between fewer")
    for hole in holes:
        if hole.d is not None and not (math.isfinite(hole.d) and 0 < hole.d < 500):
            wrong.append(f'hole "{hole.name}" d = {hole.d:g} mm, must be above 0 and under 500: hole diameter')
        if not (math.isfinite(hole.d_pm) and hole.d_pm > 0):
            wrong.append(f'hole "{hole.name}" pm = {hole.d_pm:g} mm, must be above 0: ± of its diameter')
    by_name = {h.name: h for h in holes}
    for k, reading in enumerate(readings, start=1):
        wrong += _reading(k, reading, by_name, {e.name for e in edges}, space=space)
    if not wrong:
        wrong += _apart(readings, holes, edges)
    return wrong


def _names(holes: Sequence[Hole], edges: Sequence[Edge]) -> list[str]:
    names = [h.name for h in holes] + [e.name for e in edges]
    wrong = [
        f'name = "{n}", must be given once: it is given {names.count(n)} times'
        for n in sorted(set(names))
        if names.count(n) > 1
    ]
    wrong += ["name = empty, must be a short word such as H1" for n in names if not n.strip()]
    return wrong + [
        f'edge "{e.name}" axis = {e.axis!r}, must be "x" or "y"' for e in edges if e.axis not in ("x", "y")
    ]


def _reading(k: int, reading: Reading, holes: dict[str, Hole], edges: set[str], *, space: bool) -> list[str]:
    wrong, (a, b) = [], reading.between
    where = f"reading {k} ({a} {b})"
    for name in reading.between:
        if name not in holes and name not in edges:
            near = get_close_matches(name, [*holes, *edges], n=1)
            meant = f'; nearest is "{near[0]}"' if near else ""
            wrong.append(f'{where} between = "{name}", must be the name of a hole or an edge{meant}')
    if b in edges:
        wrong.append(f'{where} between = "{b}", an edge must come first and a hole second')
    if a == b:
        wrong.append(f"{where} between = {a} twice, must be two different things")
    if reading.how not in HOWS:
        wrong.append(f"{where} how = {reading.how!r}, must be one of {', '.join(HOWS)}")
    if not (math.isfinite(reading.pm) and reading.pm > 0):
        wrong.append(f"{where} pm = {reading.pm:g} mm, must be above 0: ± of the reading")
    low = reading.how != "step" and a not in edges
    if not math.isfinite(reading.value) or abs(reading.value) > FURTHEST or (low and reading.value <= 0):
        allowed = f"above 0 and at most {FURTHEST:g}" if low else f"at most {FURTHEST:g} either way"
        wrong.append(f"{where} value = {reading.value:g} mm, must be {allowed}: a distance")
    if reading.how in ("outside", "inside"):
        bare = [n for n in reading.between if n in holes and holes[n].d is None]
        wrong += [f'hole "{n}" d = none, must be given: {where} is taken over its edge' for n in bare]
        if space and a in holes:
            wrong.append(
                f"{where} how = {reading.how}, must be centre in space: rims on faces that are not parallel"
            )
    if reading.how == "step" and a in edges:
        wrong.append(f"{where} how = step, must be between two holes' faces")
    return wrong


def _apart(readings: Sequence[Reading], holes: Sequence[Hole], edges: Sequence[Edge]) -> list[str]:
    """Holes that no reading ties to the first, and steps that hang in the air."""
    ties = [r.between for r in readings if r.how != "step"]
    reached = _reached({holes[0].name, *(e.name for e in edges)}, ties)
    wrong = []
    lost = [h.name for h in holes if h.name not in reached]
    if lost:
        wrong.append(f"readings = none between {', '.join(lost)} and the rest, must tie every hole to the others")
    steps = [r.between for r in readings if r.how == "step"]
    touched = {n for pair in steps for n in pair}
    level = {h.name for h in holes if h.name not in touched} | {holes[0].name}
    hanging = sorted(touched - _reached(level, steps))
    if hanging:
        wrong.append(
            f"steps = none between {', '.join(hanging)} and a face whose height is known, "
            f"must lead to {holes[0].name} or to a hole without a step (taken as level with it)"
        )
    return wrong


def _reached(start: set[str], ties: list[tuple[str, str]]) -> set[str]:
    known, grew = set(start), True
    while grew:
        more = {n for pair in ties if known & set(pair) for n in pair} - known
        known |= more
        grew = bool(more)
    return known
