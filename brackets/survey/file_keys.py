"""The keys of a readings file: its tables, in the order of the list, each with the row that it is read by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from brackets.core.schema.checked import Checked
from brackets.core.schema.file_keys import UNITS, FileKeys, TableKeys
from brackets.core.schema.kinds import choice, count, text
from brackets.core.text_files import LONGEST_NAME
from brackets.survey.file_rows import (
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
            examples={"clockwise": ["R1", "R2", "R4", "R3"], "out": "R4", "recipe": "adaptor"},
        ),
        TableKeys(
            name="place",
            row=Placed,
            form="table",
            about="where the pattern is in the bay; may be left out",
            examples={"sighted": "R3", "sighted_at": [190, -40, 230]},
        ),
        TableKeys(name="position", row=Stands, form="table", about="where the engine stands, by [[point]]"),
        TableKeys(name="weigh", row=Weigh, form="table", about="what all weighings have in common"),
        TableKeys(name="hole", row=HoleRow, form="rows", about="holes of the pattern"),
        TableKeys(
            name="edge", row=EdgeRow, form="rows", about="edges to measure from", examples={"name": "sump face"}
        ),
        TableKeys(name="reading", row=ReadingRow, form="rows", about="distances, as the tool read them"),
        TableKeys(
            name="step",
            row=StepRow,
            form="rows",
            about="how much further out one face stands than another",
            examples={"between": ["R1", "R2"], "value": 3.5, "who": ["Ann"]},
        ),
        TableKeys(name="datum", row=DatumRow, form="rows", about="punch marks and taped diagonals of a set-up"),
        TableKeys(name="point", row=PointRow, form="rows", about="points of the engine, as drawn and as measured"),
        TableKeys(name="weighing", row=WeighingRow, form="rows", about="the engine on scales, or on one hook"),
    ),
)
