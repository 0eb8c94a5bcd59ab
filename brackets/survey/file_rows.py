"""The tables of a readings file, row by row, and their list. mm, kg, degrees; x forward, y left, z up.

A ± (`pm`) is what the reader would bet 19 to 1 on. What a tool is good for, unless the reading says, is common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.core.schema.checked import Checked
from brackets.core.schema.file_keys import UNITS, FileKeys, TableKeys
from brackets.core.schema.kinds import (
    choice,
    count,
    deg,
    kg,
    lengths,
    masses,
    mm,
    point,
    points,
    text,
    texts,
    yes_no,
)
from brackets.core.text_files import LONGEST_NAME
from brackets.core.vectors import Vec

AXES = ("x", "y")
HOWS = ("centre", "outside", "inside")
TOOLS = ("calliper", "dividers", "rule", "tape", "depth")
FAR = 20000.0  # mm

Names = tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Tool(Checked):
    """± of one reading with each tool."""

    calliper: Annotated[float, mm(0.001, 50, "± of a calliper over hole edges")] = 0.2
    dividers: Annotated[float, mm(0.001, 50, "± of dividers")] = 0.4
    rule: Annotated[float, mm(0.001, 50, "± of a steel rule")] = 0.5
    tape: Annotated[float, mm(0.001, 50, "± of a tape")] = 1.0
    depth: Annotated[float, mm(0.001, 50, "± of a depth gauge or straight-edge")] = 0.2
    scale: Annotated[float, kg(0.001, 500, "± of a scale")] = 0.5
    level: Annotated[float, deg(0.01, 20, "± of a level")] = 0.5


@dataclass(frozen=True, kw_only=True)
class HoleRow(Checked):
    name: Annotated[str, text("name of the hole")]
    d: Annotated[float | None, mm(0.5, 500, "what the calliper reads across it")] = None
    pm: Annotated[float, mm(0.001, 50, "± of that")] = 0.1
    thread: Annotated[str | None, text("its thread, for the boss row")] = None
    depth: Annotated[float | None, mm(0, 500, "usable depth of thread")] = None
    into: Annotated[str | None, text("material of the casting")] = None


@dataclass(frozen=True, kw_only=True)
class EdgeRow(Checked):
    name: Annotated[str, text("name of the datum edge")]
    axis: Annotated[str, choice(AXES, "what it measures: x from an edge along y, y from one along x")]
    at: Annotated[float, mm(-FAR, FAR, "its own x or y")] = 0.0


@dataclass(frozen=True, kw_only=True)
class ReadingRow(Checked):
    between: Annotated[Names, texts("two holes, or an edge and a hole", at_least=2, at_most=2)]
    how: Annotated[str, choice(HOWS, "over the far edges, between the near ones, or centre to centre")] = "centre"
    value: Annotated[float | None, mm(-FAR, FAR, "what the tool read")] = None
    values: Annotated[tuple[float, ...], lengths(-FAR, FAR, "the same read again")] = ()
    who: Annotated[Names, texts("who read it, one name for each value or one for all", at_most=40)] = ()
    pm: Annotated[float | None, mm(0.001, 50, "± of the reading; without it the tool's")] = None
    tool: Annotated[str, choice(TOOLS, "what it was read with")] = "calliper"
    level: Annotated[bool, yes_no("held square to the faces, so that a step does not lengthen it")] = False

    def rules(self) -> Iterator[str]:
        yield from _read_once_at_least(self.value, self.values, self.who)


@dataclass(frozen=True, kw_only=True)
class StepRow(Checked):
    between: Annotated[Names, texts("two holes", at_least=2, at_most=2)]
    value: Annotated[float | None, mm(-FAR, FAR, "how much further out the second face stands")] = None
    values: Annotated[tuple[float, ...], lengths(-FAR, FAR, "the same read again")] = ()
    who: Annotated[Names, texts("who read it", at_most=40)] = ()
    pm: Annotated[float | None, mm(0.001, 50, "± of the reading; without it the tool's")] = None
    tool: Annotated[str, choice(TOOLS, "what it was read with")] = "depth"

    def rules(self) -> Iterator[str]:
        yield from _read_once_at_least(self.value, self.values, self.who)


def _read_once_at_least(value: float | None, values: tuple[float, ...], who: Names) -> Iterator[str]:
    if (value is None) == (not values):
        yield "value = given with values or neither is, exactly one of the two: what the tool read"
    count = len(values) or 1
    if len(who) not in (0, 1, count):
        yield f"who = {len(who)} names, one for all or one for each of {count} values: who read it"


@dataclass(frozen=True, kw_only=True)
class Pattern(Checked):
    """How the holes lie, as distances alone cannot say."""

    clockwise: Annotated[Names, texts("holes in the order they go round, looking at the casting", at_most=40)] = ()
    anticlockwise: Annotated[Names, texts("the same the other way round", at_most=40)] = ()
    space: Annotated[bool, yes_no("faces are not parallel: centre readings only, every height worked out")] = False
    out: Annotated[str | None, text("in space: a hole nearer to you than the three that go round")] = None
    recipe: Annotated[str | None, text("recipe the pattern is for", longest=300)] = None


@dataclass(frozen=True, kw_only=True)
class Placed(Checked):
    """Where the pattern is in the bay."""

    at: Annotated[Vec, point(3, "the first hole in the bay")]
    along: Annotated[Vec, point(3, "direction from the first hole to the second, made square to the normal")]
    normal: Annotated[Vec, point(3, "direction out of the casting")]
    sighted: Annotated[str | None, text("a hole off the line of the first two, to tell the hand")] = None
    sighted_at: Annotated[Vec | None, point(3, "roughly where that hole is in the bay")] = None

    def rules(self) -> Iterator[str]:
        if (self.sighted is None) != (self.sighted_at is None):
            yield "sighted = given with sighted_at or neither is: a hole and roughly where it is in the bay"


@dataclass(frozen=True, kw_only=True)
class DatumRow(Checked):
    name: Annotated[str, text("name of the set-up")] = "chassis"
    marks: Annotated[tuple[Vec, ...], points(3, "punch marks as drawn", at_least=4, at_most=4)]
    diagonals: Annotated[
        tuple[float, ...], lengths(1, FAR, "taped diagonals, first to last mark", at_least=2, at_most=2)
    ]
    allowed: Annotated[float, mm(0, 50, "difference that is allowed")] = 3.0


@dataclass(frozen=True, kw_only=True)
class Stands(Checked):
    """Where the engine stands: points on it as drawn and as measured in the chassis."""

    about: Annotated[Vec, point(3, "point it turns about: crank at of the bay file")] = (0.0, 0.0, 0.0)
    pm: Annotated[float | None, mm(0.001, 50, "± of a coordinate measured; without it the tape's")] = None


@dataclass(frozen=True, kw_only=True)
class PointRow(Checked):
    name: Annotated[str, text("name of the point")]
    drawn: Annotated[Vec, point(3, "where the drawing has it")]
    measured: Annotated[Vec, point(3, "where it was measured in the chassis")]
    pm: Annotated[float | None, mm(0.001, 50, "± of each coordinate; without it that of [position]")] = None


@dataclass(frozen=True, kw_only=True)
class Weigh(Checked):
    """What all weighings have in common."""

    height: Annotated[float | None, mm(-FAR, FAR, "z of the centre, guessed, where tilts do not give it")] = None
    height_pm: Annotated[float, mm(0.1, FAR, "± of that guess")] = 50.0
    point_pm: Annotated[float, mm(0.001, 200, "± of where a stand or hook touches")] = 2.0


@dataclass(frozen=True, kw_only=True)
class WeighingRow(Checked):
    name: Annotated[str | None, text("name of the weighing")] = None
    stands: Annotated[tuple[Vec, ...], points(3, "where each scale's stand touches", at_most=12)] = ()
    hook: Annotated[Vec | None, point(3, "the one hook it hangs from")] = None
    reads: Annotated[tuple[float, ...], masses(0, 20000, "what each scale reads", at_least=1, at_most=12)]
    nose_up: Annotated[float, deg(-60, 60, "angle of the x axis above level")] = 0.0
    left_up: Annotated[float, deg(-60, 60, "angle of the y axis above level")] = 0.0
    pm: Annotated[float | None, kg(0.001, 500, "± of each scale; without it the tool's")] = None
    level_pm: Annotated[float | None, deg(0.01, 20, "± of the angles; without it the tool's")] = None

    def rules(self) -> Iterator[str]:
        if bool(self.stands) == (self.hook is not None):
            yield "stands = given with hook or neither is, exactly one of the two: what it was weighed on"
        count = len(self.stands) or 1
        if len(self.reads) != count:
            yield f"reads = {len(self.reads)} values, one for each of {count} points: what the scales read"


FORMAT = 1


@dataclass(frozen=True, kw_only=True)
class ReadingsRow(Checked):
    format: Annotated[int, count(FORMAT, FORMAT, "format of a readings file")]
    name: Annotated[
        str | None, text("what the readings are called; without it the name of the file", longest=LONGEST_NAME)
    ] = None
    unit: Annotated[str, choice(UNITS, "unit of bare numbers")] = "mm"
    note: Annotated[str | None, text("for whoever reads the file", longest=1000)] = None


READINGS_KEYS = FileKeys(
    kind="readings",
    title="readings file",
    top=ReadingsRow,
    examples={"note": "read with the gearbox on its bench"},
    tables=(
        TableKeys(name="tool", row=Tool, form="table", about="± of one reading with each tool"),
        TableKeys(
            name="pattern",
            row=Pattern,
            form="table",
            about="how the holes lie, as distances cannot say",
            examples={"clockwise": ["T1", "T3", "T4", "T2"], "out": "T4", "recipe": "adaptor"},
        ),
        TableKeys(
            name="place",
            row=Placed,
            form="table",
            about="where the pattern is in the bay; may be left out",
            examples={"sighted": "T3", "sighted_at": [-470, 45, 120]},
        ),
        TableKeys(name="position", row=Stands, form="table", about="where the engine stands, by [[point]]"),
        TableKeys(name="weigh", row=Weigh, form="table", about="what all weighings have in common"),
        TableKeys(name="hole", row=HoleRow, form="rows", about="holes of the pattern"),
        TableKeys(
            name="edge", row=EdgeRow, form="rows", about="edges to measure from", examples={"name": "case edge"}
        ),
        TableKeys(name="reading", row=ReadingRow, form="rows", about="distances, as the tool read them"),
        TableKeys(
            name="step",
            row=StepRow,
            form="rows",
            about="how much further out one face stands than another",
            examples={"between": ["T1", "T2"], "value": 3.5, "who": ["Ann"]},
        ),
        TableKeys(name="datum", row=DatumRow, form="rows", about="punch marks and taped diagonals of a set-up"),
        TableKeys(name="point", row=PointRow, form="rows", about="points of the engine, as drawn and as measured"),
        TableKeys(name="weighing", row=WeighingRow, form="rows", about="the engine on scales, or on one hook"),
    ),
)
