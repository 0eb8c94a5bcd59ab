"""Values as they are typed: on the command line, in a TOML table, in a file from a spreadsheet."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import pytest

from brackets.core.errors import InputError
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import (
    by_name,
    choice,
    count,
    deg,
    lengths,
    mm,
    number,
    numbers,
    point,
    points,
    stock,
    text,
    texts,
    yes_no,
)
from brackets.core.schema.reading import from_mapping, from_texts
from brackets.core.tables.kinds import row
from brackets.core.tables.stock_rows import PLATE, WALL

Point = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Stay(Checked):
    bush_od: Annotated[float, mm(20, 90, "bush outer diameter")] = 50.0
    t: Annotated[float, stock(PLATE, "plate", lo=1, hi=25)] = 6.0
    wall: Annotated[float, stock(WALL, "wall of the arm", lo=1, hi=6)] = 3.0
    bolt: Annotated[str, row("bolt", "bush bolt")] = "M12"
    arm: Annotated[str, row("tube", "arm tube")] = "38x3"
    holes: Annotated[tuple[Point, ...], points(2, "hole centres", at_least=1)] = ((0.0, 0.0), (80.0, 0.0))
    toward: Annotated[tuple[float, float, float] | None, point(3, "towards the rail")] = None
    back: Annotated[bool, yes_no("a back between the ears")] = True
    seat: Annotated[str, choice(("round", "flat"), "what it stands on")] = "round"
    lean: Annotated[float | None, deg(-45, 45, "lean of the ears")] = 0.0
    gussets: Annotated[int, count(0, 4, "gussets")] = 2
    notch: Annotated[float, number(0, 1, "share of a half round")] = 0.5
    note: Annotated[str, text("printed on the sheet")] = ""
    bosses: Annotated[tuple[str, ...], texts("bosses it bolts to")] = ()
    reach: Annotated[tuple[float, ...], lengths(0, 500, "reaches")] = ()
    shares: Annotated[tuple[float, ...], numbers(0, 1, "shares")] = ()
    washers: Annotated[tuple[tuple[str, float], ...], by_name(0.5, 20, "washer under the plate")] = ()
    cuts: Annotated[tuple[tuple[float, ...], ...], points(3, "lightening", axes=("x", "y", "d"))] = ()
    cup_od: Annotated[float, mm(20, 120, "cup")] = 60.0
    cup_wall: Annotated[float, mm(2, 12, "cup's wall")] = 5.0


def refused(make: Callable[[], object]) -> tuple[str, ...]:
    with pytest.raises(InputError) as caught:
        make()
    return caught.value.problems


RIGHT: dict[str, tuple[str, str, Any]] = {
    "mm": ("bush-od", "45 mm", 45.0),
    "bare": ("bush-od", "45", 45.0),
    "inches": ("bush-od", "2in", 50.8),
    "mixed": ("bush-od", "1-3/4in", 44.45),
    "underscore": ("bush_od", "45", 45.0),
    "plate gauge": ("t", "10 ga", 3.4163),
    "plate swg": ("t", "10 swg", 3.2512),
    "wall gauge": ("wall", "14 ga", 2.1082),
    "wall bwg": ("wall", "14bwg", 2.1082),
    "fraction of plate": ("t", "3/16in", 4.7625),
    "bolt": ("bolt", "m12", "M12"),
    "fine bolt": ("bolt", "M12 x 1.5", "M12x1.5"),
    "tube": ("arm", "42.4 x 3.2", "42.4x3.2"),
    "inch tube": ("arm", "1-1/2in x 0.095in", "38.1x2.413"),
    "gauge tube": ("arm", "1.5in x 14bwg", "38.1x2.1082"),
    "points": ("holes", "0,0 80,0 40,1-3/4in", ((0.0, 0.0), (80.0, 0.0), (40.0, 44.45))),
    "points apart": ("holes", "0, 0;  80 , -1 3/4 in", ((0.0, 0.0), (80.0, -44.45))),
    "one point": ("holes", "-5,2", ((-5.0, 2.0),)),
    "direction": ("toward", "0, 29.9, -70.5", (0.0, 29.9, -70.5)),
    "yes": ("back", "Yes", True),
    "no": ("back", "no", False),
    "choice": ("seat", "FLAT", "flat"),
    "none": ("lean", "none", None),
    "dash": ("lean", "-", None),
    "negative": ("lean", "-12.5", -12.5),
    "radians": ("lean", "0.5 rad", 28.64788975654116),
    "count": ("gussets", "3", 3),
    "number": ("notch", "1/2", 0.5),
    "text": ("note", " left hand ", "left hand"),
    "texts": ("bosses", "H1 H2, H3", ("H1", "H2", "H3")),
    "no texts": ("bosses", "none", ()),
    "lengths": ("reach", "50, 2in; 3 1/2 in", (50.0, 50.8, 88.9)),
    "lengths spaced": ("reach", "50 2in 60 mm", (50.0, 50.8, 60.0)),
    "numbers": ("shares", "0.25 .5", (0.25, 0.5)),
    "washers": ("washers", "H4=3.5 B4 = 1/8in", (("B4", 3.175), ("H4", 3.5))),
    "no washers": ("washers", "none", ()),
}


@pytest.mark.parametrize("case", RIGHT)
def test_what_is_typed_is_read(case: str) -> None:
    name, typed, wanted = RIGHT[case]
    assert getattr(from_texts(Stay, {name: typed}), name.replace("-", "_")) == wanted


def test_bare_numbers_may_be_inches() -> None:
    p = from_texts(
        Stay,
        {"bush-od": "2", "holes": "0,0 3-1/2 in,1", "arm": "1.5x0.095", "lean": "30", "t": "6mm"},
        bare="in",
    )
    assert (p.bush_od, p.holes, p.arm, p.lean, p.t) == (
        50.8,
        ((0.0, 0.0), (88.9, 25.4)),
        "38.1x2.413",
        30.0,
        6.0,
    )


WRONG = {
    "unit": ("bush-od", "45 kg", 'bush_od = "45 kg", must be a length such as 45 mm, 4.5 cm, 5/16in'),
    "fraction": ("t", "5/16", 't = "5/16": a bare fraction, write 5/16in if inches are meant: plate'),
    "gauge": ("bush-od", "10 ga", 'bush_od = "10 ga": a gauge is not a length, write what it is: 3.416 mm'),
    "no gauge": ("t", "99 ga", 't = "99 ga": a gauge number in no table, write the thickness in mm: plate'),
    "comma": ("t", "4,5", 't = "4,5": write the decimal comma as a point: 4.5: plate'),
    "nan": ("t", "nan", 't = "nan", must be a length such as'),
    "empty": ("t", "", 't = "", must be a length such as'),
    "outside": ("bush-od", "5in", "bush_od = 127 mm (5in), must be 20 to 90 mm: bush outer diameter"),
    "outside mm": ("bush-od", "127 mm", "bush_od = 127 mm, must be 20 to 90 mm: bush outer diameter"),
    "off rack": ("t", "2in", "t = 50.8 mm (2in), must be 1 to 25 mm, nearest stock 25 mm: plate"),
    "angle": (
        "lean",
        "30 mm",
        'lean = "30 mm", must be an angle such as 30, 30 deg or 0.5 rad: lean of the ears',
    ),
    "count": ("gussets", "2.5", 'gussets = "2.5", must be a whole number such as 4: gussets'),
    "number": ("notch", "0.5 mm", 'notch = "0.5 mm", must be a plain number such as 0.5, without a unit'),
    "answer": ("back", "perhaps", 'back = "perhaps", must be yes or no: a back between the ears'),
    "none": ("t", "none", 't = "none", must be a length such as'),
    "coordinate": ("holes", "0,0 80", 'holes 2 = "80", must be 2 coordinates (x, y): hole centres'),
    "point unit": ("holes", "0,1 kg", 'holes 1 y = "1 kg", must be a length such as'),
    "no points": ("holes", "", "holes = 0 entries, must be at least 1: hole centres"),
    "washer": ("washers", "H4", 'washers = "H4", must be name=value, name=value: washer under the plate'),
    "washer size": ("washers", "H4=99", "washers H4 = 99 mm, must be 0.5 to 20 mm: washer under the plate"),
    "tube unit": ("arm", "38 kg x 3", 'arm od = "38 kg", must be a length such as'),
    "file": (
        "holes",
        "@no.csv",
        'holes = "@no.csv", no such file, must be a list from',
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_makes_no_sense_is_refused_in_one_line(case: str) -> None:
    name, typed, line = WRONG[case]
    (problem,) = refused(lambda: from_texts(Stay, {name: typed}))
    assert problem.startswith(line)
    assert "\n" not in problem


def test_unknown_names_and_wrong_values_come_at_once() -> None:
    problems = refused(lambda: from_texts(Stay, {"bush-of": "50", "t": "99", "holes": "0 0,x"}))
    assert problems[0] == "bush-of: no such value, nearest: bush_od"
    assert [p.partition(" = ")[0] for p in problems[1:]] == ["t", "holes 1", "holes 2 y"]


def test_a_name_like_nothing_gets_the_whole_list() -> None:
    (problem,) = refused(lambda: from_texts(Stay, {"zzzz": "1"}))
    assert problem.startswith("zzzz: no such value, must be one of bush_od, t, wall, bolt, arm,")


# ------------------------------------------------------------------------------------------------- tables

TABLES: dict[str, tuple[dict[str, Any], str, Any]] = {
    "number": ({"bush_od": 60}, "bush_od", 60.0),
    "text": ({"bush_od": "2in"}, "bush_od", 50.8),
    "tube": ({"arm": {"od": 42.4, "wall": "3.2 mm"}}, "arm", "42.4x3.2"),
    "gauge": ({"arm": {"od": "1.5in", "wall": "14 bwg"}}, "arm", "38.1x2.1082"),
    "cup": ({"cup": {"od": 70, "wall": 6}}, "cup_wall", 6.0),
    "points": ({"holes": [[0, 0], ["1in", 5]]}, "holes", ((0.0, 0.0), (25.4, 5.0))),
    "cuts": ({"cuts": [{"at": [6, 190], "d": 40}]}, "cuts", ((6.0, 190.0, 40.0),)),
    "named": ({"cuts": [{"x": 6, "y": 190, "d": 40}]}, "cuts", ((6.0, 190.0, 40.0),)),
    "washers": ({"washers": {"H4": 3.5}}, "washers", (("H4", 3.5),)),
    "bosses": ({"bosses": ["H1", "H2"]}, "bosses", ("H1", "H2")),
    "yes": ({"back": False}, "back", False),
    "left out": ({"toward": "none"}, "toward", None),
    "direction": ({"toward": [0, 29.9, -70.5]}, "toward", (0.0, 29.9, -70.5)),
}


@pytest.mark.parametrize("case", TABLES)
def test_a_table_is_read(case: str) -> None:
    table, name, wanted = TABLES[case]
    assert getattr(from_mapping(Stay, table), name) == wanted


def test_bare_numbers_of_a_table_may_be_inches_but_angles_and_counts_are_not() -> None:
    table = {"bush_od": 2, "t": "6 mm", "lean": 30, "gussets": 2, "holes": [[0, 1]], "washers": {"H4": 0.125}}
    p = from_mapping(Stay, table, bare="in")
    assert (p.bush_od, p.t, p.lean, p.gussets) == (50.8, 6.0, 30.0, 2)
    assert (p.holes, p.washers) == (((0.0, 25.4),), (("H4", 3.175),))


def test_every_problem_of_a_table_says_where() -> None:
    table = {"bush_of": 3, "t": 99, "cuts": [{"at": [6, 190]}], "cup": {"od": 1, "length": 3}}
    problems = refused(lambda: from_mapping(Stay, table, where="part strut"))
    assert problems[:4] == (
        "part strut: bush_of: no such value, nearest: bush_od",
        "part strut: t = 99 mm, must be 1 to 25 mm, nearest stock 25 mm: plate",
        'part strut: cuts 1 = "at", must have the keys x, y, d: lightening',
        "part strut: cup_od = 1 mm, must be 20 to 120 mm: cup",
    )
    assert problems[4].startswith("part strut: cup_length: no such value, must be one of bush_od, t")


@pytest.mark.parametrize(
    ("table", "line"),
    [
        ({"t": [6]}, "t = [6], must be a number of mm, 1 to 25 mm: plate"),
        ({"t": {"d": 6}}, "t = {'d': 6}, must be a number of mm, 1 to 25 mm: plate"),
        ({"back": "maybe"}, 'back = "maybe", must be yes or no: a back between the ears'),
        ({"arm": {"od": 38}}, 'arm = "od", must have the keys od and wall: arm tube'),
        ({"arm": 38}, "arm = 38, must be od x wall in mm such as 38x3, od 10 to 115, wall 1 to 10"),
        ({"holes": {"x": 1}}, "holes = {'x': 1}, must be a list of 1 or more, each x,y"),
        ({"holes": [1, 2]}, "holes 1 = 1, must be 2 coordinates (x, y): hole centres"),
        ({"bosses": [1]}, "bosses 1 = 1, must be one line of at most 80 characters: bosses it bolts to"),
    ],
    ids=str,
)
def test_the_wrong_kind_of_toml_value_is_refused(table: dict[str, Any], line: str) -> None:
    assert refused(lambda: from_mapping(Stay, table))[0].startswith(line)


# --------------------------------------------------------------------------------------------------- files


@pytest.mark.parametrize(
    "written",
    [
        "0,0\n80,0\n40,44.45\n",
        "x,y\n0, 0\n80 ,0\n\n40,1-3/4in\n",
        "# taped\n0;0\r\n80;0\r\n40;44.45\r\n",
        "\ufeffx\ty\n0\t0\n80\t0\n40\t44.45",
    ],
    ids=["plain", "heading", "semicolons", "tabs"],
)
def test_points_come_from_a_spreadsheet(tmp_path: Path, written: str) -> None:
    (tmp_path / "holes.csv").write_text(written, "utf-8")
    wanted = ((0.0, 0.0), (80.0, 0.0), (40.0, 44.45))
    assert from_texts(Stay, {"holes": "@holes.csv"}, beside=tmp_path).holes == wanted
    assert from_mapping(Stay, {"holes": "@holes.csv"}, beside=tmp_path).holes == wanted


def test_points_come_from_a_file_where_the_program_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "holes.csv").write_text("1,2", "utf-8")
    monkeypatch.chdir(tmp_path)
    assert from_texts(Stay, {"holes": "@holes.csv"}).holes == ((1.0, 2.0),)


def test_a_wrong_line_of_a_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "holes.csv").write_text("0,0\n80,wide\n1,2,3\n", "utf-8")
    problems = refused(lambda: from_texts(Stay, {"holes": "@holes.csv"}, beside=tmp_path))
    assert problems[0].startswith('holes 2 y = "wide", must be a length')
    assert problems[1] == 'holes 3 = "1,2,3", must be 2 coordinates (x, y): hole centres'


def test_a_file_that_is_no_text_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "b.csv").write_bytes(b"0" * 1_000_001)
    for name, why in (("a", "is not text in UTF-8"), ("b", "has 1 MB, must be a list from a file of up to 1 MB")):
        (problem,) = refused(lambda name=name: from_texts(Stay, {"holes": f"@{name}.csv"}, beside=tmp_path))  # type: ignore[misc]
        assert problem.startswith(f'holes = "@{name}.csv", {why}')
