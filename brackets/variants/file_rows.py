"""The keys of a family file, TOML of format 1: what is varied, listed, tied and left out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from brackets.core.schema.checked import Checked
from brackets.core.schema.file_keys import UNITS, FileKeys, TableKeys
from brackets.core.schema.kinds import choice, count, number, point, text, yes_no
from brackets.core.schema.lists import Listed
from brackets.core.vectors import Vec
from brackets.hold.typed import HOLD_EXAMPLE, HoldRow
from brackets.variants.arithmetic import LONGEST

FORMAT = 1
FORCE, MOMENT = 1e7, 1e10
COUNTED = ("characteristic", "factored")

OF_RECIPE = "a value of the recipe"


@dataclass(frozen=True, kw_only=True)
class FamilyRow(Checked):
    format: Annotated[int, count(1, FORMAT, "format of the file")]
    unit: Annotated[str, choice(UNITS, "unit of bare numbers")] = "mm"
    name: Annotated[str | None, text("what the family is called; the file's name without it")] = None
    recipe: Annotated[
        str | None, text("recipe that is varied, its name, or its path beside this file", longest=300)
    ] = None
    bay: Annotated[str | None, text("bay file of which one part is varied, beside this file", longest=300)] = None
    part: Annotated[str | None, text("with a bay: the part that is varied; all of it is fitted each time")] = None
    hands: Annotated[
        tuple[str, ...],
        Listed(
            of=text("a part of the bay", longest=100),
            meaning="with a bay and nothing that is varied: left and right, held against each other",
            at_most=2,
        ),
    ] = ()
    shop: Annotated[
        str | None, text("shop profile beside this file; else the bay's, or the SAMPLE shop", longest=300)
    ] = None
    rows: Annotated[
        str | None, text("CSV or XLSX file of rows; headings are names of values, and name", longest=300)
    ] = None
    skip: Annotated[
        tuple[str, ...],
        Listed(
            of=text("a condition", longest=LONGEST),
            meaning="conditions under which a row is left out: tied's arithmetic, compared",
            at_most=100,
        ),
    ] = ()
    row_name: Annotated[str, text("what rows are called, values in braces", longest=200)] = ""
    fit_all: Annotated[bool, yes_no("with a bay: parts that stop by their own rules are fitted too")] = False


@dataclass(frozen=True, kw_only=True)
class ValuesRow(Checked):
    """No keys of its own: each is the name of a value."""


@dataclass(frozen=True, kw_only=True)
class ListedRowKeys(Checked):
    name: Annotated[str, text("what the row is called")] = ""


@dataclass(frozen=True, kw_only=True)
class FamilyHoldRow(HoldRow):
    """The table [hold] of a bay, and what a bay knows by itself."""

    bush_stiffness: Annotated[
        float | None, number(0.1, 1e6, "stiffness of the bush at the loaded seats, its largest, N/mm")
    ] = None


@dataclass(frozen=True, kw_only=True)
class FamilyLoadRow(Checked):
    """What acts at one seat of the part in one load case; rows of one case act at once."""

    case: Annotated[str, text("load case; rows of one name act at once")]
    seat: Annotated[str, text("seat of the part that is loaded")]
    force: Annotated[Vec, point(3, "on the part, N, along its own axes", lo=-FORCE, hi=FORCE)]
    moment: Annotated[Vec, point(3, "on the part, N mm, about its own axes", lo=-MOMENT, hi=MOMENT)] = (
        0.0,
        0.0,
        0.0,
    )
    counts: Annotated[str, choice(COUNTED, "whether the case is characteristic or factored")]


FAMILY_KEYS = FileKeys(
    kind="family",
    title="family file",
    top=FamilyRow,
    tables=(
        TableKeys(
            name="vary",
            row=ValuesRow,
            form="table",
            about="values that are crossed: one, a list, or a range 60..100/2; entries of a list of points are"
            " parted by |",
            open_to=OF_RECIPE,
        ),
        TableKeys(
            name="tied",
            row=ValuesRow,
            form="table",
            about=f"values that follow from others of their row, plain arithmetic of names, at most {LONGEST}"
            " characters: bush_od + 25, with min, max, round",
            open_to=OF_RECIPE,
        ),
        TableKeys(
            name="hold",
            row=FamilyHoldRow,
            form="table",
            about="of a recipe: with what its strength is judged; of a part of a bay the bay file says it",
            groups=("gamma", "press"),
            examples={**HOLD_EXAMPLE, "bush_stiffness": 350},
        ),
        TableKeys(
            name="load",
            row=FamilyLoadRow,
            form="rows",
            about="of a recipe: what acts on the part at a seat, in a load case",
            examples={
                "case": "bump",
                "seat": "bush",
                "force": [0, 0, -3000],
                "moment": [0, 2000, 0],
                "counts": "characteristic",
            },
        ),
        TableKeys(
            name="row",
            row=ListedRowKeys,
            form="rows",
            about="a row that is listed; each is crossed with what is varied",
            open_to=OF_RECIPE,
        ),
    ),
    examples={
        "recipe": "ears",
        "bay": "tern.toml",
        "part": "tray",
        "hands": ["left_arm", "right_arm"],
        "shop": "shop.toml",
        "rows": "rows.csv",
        "skip": ["t == 8 and reach < 70"],
        "row_name": "{bolt} reach {reach}",
    },
)
