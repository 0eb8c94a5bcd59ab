"""Rules that every mount with tubes between bosses and cups shares: cup, tube on it, names of bosses."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.errors import OutOfRange
from brackets.findings import PRACTICE, Finding
from brackets.params import od_wall
from brackets.tables import bolt

EAR_ROOM = 2.0
"""mm a tube is narrower than its cup is long, to pass between the ears (common practice, no source)."""


def cup_problems(*, cup_od: float, cup_wall: float, cup_length: float, bush_od: float, tube: str) -> Iterator[str]:
    """What is wrong with a cup for that bush, or with a tube that lands on it."""
    if cup_od - bush_od < 2:
        yield f"cup_od = {cup_od:g} mm, {bush_od + 2:g} or more: a wall round the bush {bush_od:g}"
    if cup_od - 2 * cup_wall > bush_od:
        least = (cup_od - bush_od) / 2
        yield f"cup_wall = {cup_wall:g} mm, {least:g} or more: the tube's bore must not pass the bush"
    most = min(cup_od, cup_length)
    if od_wall(tube)[0] > most:
        yield f"tube = {tube}, od {most:g} or less: it lands on the cup, {cup_length:g} mm long"


def name_problems(names: Sequence[str], bosses: int, threads: Sequence[str] = ()) -> Iterator[str]:
    """What is wrong with the names and threads of some bosses; none of either is fine."""
    if names and (len(set(names)) != len(names) or len(names) != bosses):
        yield f"boss_names = {len(names)}, none or {bosses} different: a name for each of the bosses"
    if threads and len(threads) != bosses:
        yield f"threads = {len(threads)}, none or {bosses}: one for each of the bosses"
    for size in threads:
        try:
            bolt(size)
        except OutOfRange as error:
            yield from (f"threads: {problem}" for problem in error.problems)


def direction_problems(**directions: tuple[float, float, float]) -> Iterator[str]:
    """A line for every direction that is none."""
    for name, way in directions.items():
        if not any(way):
            yield f"{name} = 0, 0, 0: a direction"


def ear_findings(tube: str, cup_length: float, *, piece: str = "tube") -> Iterator[Finding]:
    """A caution where the tube is too wide to pass between the ears that hold its cup."""
    od = od_wall(tube)[0]
    if od > cup_length - EAR_ROOM:
        yield Finding(
            level="caution",
            code="between the ears",
            piece=piece,
            value=od,
            limit=cup_length - EAR_ROOM,
            source=PRACTICE,
            sentence=f"od {od:g} and a cup {cup_length:g} mm long: the tube must pass between the ears",
        )
