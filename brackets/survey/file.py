"""Reads a readings file: TOML of format 1, every key known, everything wrong said at once.

mm unless `unit = "in"`; text with a unit always works. Axes x forward, y left, z up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from brackets.core.errors import BadFile, InputError
from brackets.core.schema.file_reader import FileReader, Table
from brackets.core.text_files import given_toml
from brackets.survey.file_rows import (
    FORMAT,
    READINGS_KEYS,
    DatumRow,
    EdgeRow,
    HoleRow,
    Pattern,
    Placed,
    PointRow,
    ReadingRow,
    Stands,
    StepRow,
    Tool,
    Weigh,
    WeighingRow,
)
from brackets.survey.hand import problems as survey_problems
from brackets.survey.readings import DatumEdge, MeasuredHole, Reading
from brackets.survey.weigh import Weighing

MOST_WEIGHINGS = 100
"""Each is weighed up against all the others: a hundred take seconds, nine hundred more than a minute."""



@dataclass(frozen=True)
class Readings:
    """All that a readings file holds; what it does not hold is empty or None."""

    path: Path
    name: str
    unit: Literal["mm", "in"]
    holes: tuple[MeasuredHole, ...]
    edges: tuple[DatumEdge, ...]
    readings: tuple[Reading, ...]
    pattern: Pattern
    placed: Placed | None
    data: tuple[DatumRow, ...]
    stands: Stands
    points: tuple[PointRow, ...]
    weigh: Weigh
    weighings: tuple[Weighing, ...]
    tools: Tool


def read(path: str | Path) -> Readings:
    """A readings file as typed, checked row by row; nothing is worked out yet.

    path: of the TOML file, whose keys `brackets keys readings` lists. Returns a Readings, lengths in mm whatever
    the file's unit. Raises BadFile with a line for everything that is wrong in it.

    >>> import pathlib, tempfile
    >>> text = '''format = 1
    ... hole = [{ name = "A" }, { name = "B" }]
    ... reading = [{ between = ["A", "B"], how = "centre", value = "3-1/8in" }]'''
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     file = pathlib.Path(folder, "holes.toml")
    ...     _ = file.write_text(text)
    ...     read_readings(file).readings[0].value  # 3.125 * 25.4
    79.375
    """
    path = Path(path)
    raw = given_toml(path, what="a readings file")
    try:
        reader = FileReader(raw, READINGS_KEYS, format=FORMAT, beside=path.parent)
    except InputError as error:
        raise BadFile(path, *error.problems) from None
    problems = reader.problems
    tools = reader.given("tool", Tool) or Tool()
    stands = reader.given("position", Stands) or Stands()
    weigh = reader.given("weigh", Weigh) or Weigh()
    made = Readings(
        path=path,
        name=reader.name(path.stem, what="what the readings are called", other="readings"),
        unit="in" if reader.bare == "in" else "mm",
        holes=tuple(_hole(row) for row in reader.many("hole", HoleRow)),
        edges=tuple(_edge(row) for row in reader.many("edge", EdgeRow)),
        readings=(
            *(one for row in reader.many("reading", ReadingRow, called=_between) for one in _each(row, tools)),
            *(one for row in reader.many("step", StepRow, called=_between) for one in _each(row, tools)),
        ),
        pattern=reader.given("pattern", Pattern) or Pattern(),
        placed=reader.given("place", Placed) if "place" in raw else None,
        data=reader.many("datum", DatumRow),
        stands=stands,
        points=reader.many("point", PointRow),
        weigh=weigh,
        weighings=tuple(
            _weighing(k, row, tools, weigh)
            for k, row in enumerate(reader.many("weighing", WeighingRow, most=MOST_WEIGHINGS), start=1)
        ),
        tools=tools,
    )
    if not problems:
        problems += _crossed(made)
    if problems:
        raise BadFile(path, *problems)
    return made


def _between(row: Table) -> object:
    """What a reading is between, by which a message names it."""
    pair = row.get("between")
    return " ".join(map(str, pair[:2])) if isinstance(pair, list) else row.get("name")


def _hole(row: HoleRow) -> MeasuredHole:
    return MeasuredHole(
        name=row.name, d=row.d, d_pm=row.pm, thread=row.thread or "", depth=row.depth, into=row.into or ""
    )


def _edge(row: EdgeRow) -> DatumEdge:
    return DatumEdge(name=row.name, axis="x" if row.axis == "x" else "y", at=row.at)


def _each(row: ReadingRow | StepRow, tools: Tool) -> Sequence[Reading]:
    """One reading for each value of the row."""
    values = row.values or ((row.value,) if row.value is not None else ())
    who = row.who * len(values) if len(row.who) == 1 else row.who or ("",) * len(values)
    pm = float(getattr(tools, row.tool)) if row.pm is None else row.pm
    between = (row.between[0], row.between[1])
    if isinstance(row, StepRow):
        return [
            Reading(between=between, value=v, pm=pm, how="step", who=w) for v, w in zip(values, who, strict=True)
        ]
    hows: dict[str, Literal["centre", "outside", "inside"]] = {
        "centre": "centre", "outside": "outside", "inside": "inside",
    }  # fmt: skip
    return [
        Reading(between=between, value=v, pm=pm, how=hows[row.how], who=w, level=row.level)
        for v, w in zip(values, who, strict=True)
    ]


def _weighing(k: int, row: WeighingRow, tools: Tool, weigh: Weigh) -> Weighing:
    return Weighing(
        name=row.name or f"weighing {k}",
        points=row.stands or ((row.hook,) if row.hook is not None else ()),
        reads=row.reads,
        pm=tools.scale if row.pm is None else row.pm,
        nose_up=row.nose_up,
        left_up=row.left_up,
        level_pm=tools.level if row.level_pm is None else row.level_pm,
        point_pm=weigh.point_pm,
    )


def _crossed(made: Readings) -> list[str]:
    """What only shows when the tables are read together."""
    wrong: list[str] = []
    if not (made.holes or made.data or made.points or made.weighings):
        wrong.append(
            "nothing to work out, must hold [[hole]] and [[reading]], [[datum]], [[point]] or [[weighing]]"
        )
    if made.holes or made.readings:
        wrong += survey_problems(made.readings, made.holes, made.edges, space=made.pattern.space)
    names = [p.name for p in made.points]
    wrong += [f'point "{n}", must be named once' for n in sorted(set(names)) if names.count(n) > 1]
    if made.placed is not None and not made.holes:
        wrong.append("place = given, must have holes to place")
    return wrong
