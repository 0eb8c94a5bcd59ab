"""Room to press a bush into its cup and out again: a bar past the part's own pieces, on the bench."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from brackets import recipe
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.geometry.shapes import rectangle
from brackets.kernel.press_room import press_findings
from brackets.library.rounds import bush_bore, cup
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall
from brackets.output.part_files import checked, made

CUP = cup(od=70, bore=60, length=40, bush=bush_bore(60, own=58)).pieces[0]


def plate(name: str, z: float, *, hole: float = 0.0, x: float = 0.0) -> Plate:
    """120 x 120 x 5 across the cup's axis, its near face at z; `z` below 0 is under the cup. `x`: shifted."""
    openings = (Hole(at=(0.0, 0.0), d=hole, kind="bore"),) if hole else ()
    low = z if z > 0 else z - 5
    wall = Wall(outline=rectangle(120, 120), openings=openings)
    return Plate(name=name, t=5, wall=wall, place=Place((x, 0.0, low)))


def judged(*others: Plate, **cup_is: Any) -> list[Finding]:
    return list(press_findings(Part(name="p", pieces=(replace(CUP, **cup_is), *others))))


def shut(above: float, below: float | None = None) -> list[Finding]:
    """A plate so far past the cup's upper end, and one past its lower."""
    plates = [plate("lid", 20 + above)]
    return judged(*plates, *([] if below is None else [plate("floor", -20 - below)]))


@pytest.mark.parametrize(("above", "said"), [(60.0, []), (59.9, ["caution"]), (0.5, ["caution"])])
def test_a_plate_within_the_cup_and_twenty_is_a_caution(above: float, said: list[str]) -> None:
    """40 of bush and 20 of bar."""
    assert [f.level for f in shut(above)] == said


@pytest.mark.parametrize(
    ("above", "below", "level"),
    [(40.0, 40.0, "caution"), (39.9, 40.0, "caution"), (40.0, 39.9, "caution"), (39.9, 39.9, "stop")],
)
def test_a_bush_that_comes_to_neither_end_stops(above: float, below: float, level: str) -> None:
    assert [f.level for f in shut(above, below)] == [level]


def test_what_is_said_names_what_is_in_the_way_and_the_end() -> None:
    [one] = shut(30)
    assert one.piece == "cup"
    assert one.sentence == (
        "lid in the way within 60 mm of its upper end: the bush goes in from the lower one,"
        " no bar pushes it out again"
    )
    [low] = judged(plate("floor", -50))
    assert "floor in the way within 60 mm of its lower end: the bush goes in from the upper one" in low.sentence
    [both] = shut(30, 50)
    assert "floor, lid in the way within 60 mm of both ends: the bush is drawn in by a bolt" in both.sentence
    [none] = shut(30, 30)
    assert none.sentence == "floor, lid in the way within 40 mm of both ends: no bush goes in"


@pytest.mark.parametrize(("hole", "said"), [(60.0, False), (59.7, False), (59.0, True)])
def test_a_plate_that_the_bar_passes_is_not_in_the_way(hole: float, said: bool) -> None:
    """The bar is 0.2 smaller than the bore all round: 59.6."""
    assert bool(judged(plate("lid", 30, hole=hole))) == said


@pytest.mark.parametrize(("x", "said"), [(90.0, False), (89.0, True)])
def test_a_plate_beside_the_axis_is_not_in_the_way(x: float, said: bool) -> None:
    """Its edge is 60 from its middle, the bar reaches 29.8 from the axis."""
    assert bool(judged(plate("lid", 30, x=x))) == said


def test_a_bush_that_slips_in_and_a_ring_without_one_ask_for_no_bar() -> None:
    lid = plate("lid", 30)
    assert not judged(lid, bush=bush_bore(60, own=58, slip=True))
    assert not judged(lid, bush=None)


def test_the_cup_stands_anywhere() -> None:
    """Turned with its plate: the answer is the same."""
    there = Place((100.0, -30.0, 12.0), (1.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    part = Part(name="p", pieces=(CUP, plate("lid", 79.9))).placed(there)
    assert [f.level for f in press_findings(part)] == ["caution"]
    assert not list(press_findings(Part(name="p", pieces=(CUP, plate("lid", 80.0))).placed(there)))


BOXED = """
from dataclasses import dataclass, replace

from brackets import Checked, Part, Place, Plate, Wall, bush_bore, cup, rectangle


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    pass


def build(p):
    ring = cup(od=70, bore=60, length=40, bush=bush_bore(60, own=58)).pieces[0]
    lid = Plate(name="lid", t=5, wall=Wall(outline=rectangle(120, 120)), place=Place((0, 0, 40)))
    return Part(name="boxed", pieces=(ring, lid), loose=("lid",))
"""


def test_a_part_that_is_made_says_it(tmp_path: Path) -> None:
    (tmp_path / "boxed.py").write_text(BOXED, "utf-8")
    opened = recipe(str(tmp_path / "boxed.py"))
    found = checked(made(opened, opened.Params())).findings
    assert [(f.level, f.piece) for f in found if f.code == "press room"] == [("caution", "cup")]
