"""Every rule about holes in plate and about loose pieces: a case that breaks it, and one that just does not."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rule_cases import Case, each, holds
from test_fold_samples import sheet

from brackets import recipe
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.forming.flanges import lip
from brackets.model.holes import Hole, Opening, Slot, Window
from brackets.model.part import Part
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Turned
from brackets.model.weld import Along, Weld
from brackets.rules.holes import hole_findings
from brackets.rules.joints import joint_findings
from brackets.rules.part import general_findings

M10 = Hole(at=(50, 30), d=10, bolt="M10")

LONG = Slot(a=(30, 30), b=(60, 30), d=10, bolt="M10")


def plate(*openings: Opening, t: float = 6.0) -> Plate:
    """100 x 60, from (0, 0)."""
    return Plate(name="plate", t=t, wall=sheet(100, 60, *openings))


def of(*openings: Opening, t: float = 6.0) -> list[Finding]:
    return list(hole_findings(plate(*openings, t=t)))


def beside(weld: bool, *loose: str) -> list[Finding]:
    """Two plates edge on face, welded or not."""
    upright = replace(plate(), name="upright", place=Place((0, 0, 6), (0, 1, 0), (0, 0, 1)))
    welds = (Weld(piece="upright", edge=Along((0, 0), (100, 0)), onto="plate", leg=4.0),) if weld else ()
    return list(joint_findings(Part(name="p", pieces=(plate(), upright), welds=welds, loose=loose)))


HOLES = "brackets/rules/holes.py"
JOINTS = "brackets/rules/joints.py"
CASES = [
    # 1.2 d0 = 1.2 x 10 = 12 from the edge x = 0, from x = 100 and from y = 0
    Case(module=HOLES, code="edge", level="stop", judge=lambda x: of(replace(M10, at=(x, 30))),
         kept=12.0, broken=11.9, value=11.9, limit=12.0),
    Case(module=HOLES, code="edge", level="stop", judge=lambda x: of(replace(M10, at=(x, 30))),
         kept=88.0, broken=88.5, value=11.5, limit=12.0),
    Case(module=HOLES, code="edge", level="stop", judge=lambda d: of(replace(M10, at=(50, 12), d=d)),
         kept=10.0, broken=11.0, value=12.0, limit=1.2 * 11),
    # M10 in S235: 11.9 by FED-STD-H28/2B, worked out in test_rules_welds
    Case(module=HOLES, code="thread", level="caution", judge=lambda t: of(replace(M10, kind="tap"), t=t),
         kept=11.9, broken=11.5, value=11.5, limit=11.9),
    # half of a washer of 30
    Case(module=HOLES, code="washer", level="caution",
         judge=lambda y: of(replace(M10, at=(50, y), washer_od=30.0)),
         kept=15.0, broken=14.5, value=14.5, limit=15.0),
    # a slot's nearer end: 100 - 85 = 15, then 100 - 85.5 = 14.5
    Case(module=HOLES, code="washer", level="caution",
         judge=lambda x: of(Slot(a=(30, 30), b=(x, 30), d=10, washer_od=30.0)),
         kept=85.0, broken=85.5, value=14.5, limit=15.0),
    # 2.2 d0 of the larger: 2.2 x 10 = 22
    Case(module=HOLES, code="pitch", level="caution",
         judge=lambda x: of(replace(M10, at=(30, 30)), replace(M10, at=(x, 30), d=8)),
         kept=52.0, broken=51.5, value=21.5, limit=22.0),
    # of three holes the last two
    Case(module=HOLES, code="pitch", level="caution",
         judge=lambda x: of(*(replace(M10, at=(at, 30)) for at in (20, 45, x))),
         kept=67.0, broken=66.0, value=21.0, limit=22.0),
    # 1.5 d of a slot 10 wide = 15: from its end, from its side, and from its side as it is made wider
    Case(module=HOLES, code="edge", level="stop", judge=lambda x: of(replace(LONG, b=(x, 30))),
         kept=85.0, broken=85.5, value=14.5, limit=15.0),
    Case(module=HOLES, code="edge", level="stop", judge=lambda y: of(replace(LONG, a=(30, y), b=(60, y))),
         kept=15.0, broken=14.5, value=14.5, limit=15.0),
    Case(module=HOLES, code="edge", level="stop", judge=lambda d: of(replace(LONG, a=(30, 18), b=(60, 18), d=d)),
         kept=12.0, broken=13.0, value=18.0, limit=1.5 * 13),
    # an end 2 past the edge
    Case(module=HOLES, code="edge", level="stop", judge=lambda x: of(replace(LONG, b=(x, 30))),
         kept=85.0, broken=102.0, value=-2.0, limit=15.0),
    # a slot and a hole: from the end of its middle line, 60 to 82 = 22, 2.2 x 10; two slots side by side
    Case(module=HOLES, code="pitch", level="caution", judge=lambda x: of(LONG, replace(M10, at=(x, 30))),
         kept=82.0, broken=81.5, value=21.5, limit=22.0),
    Case(module=HOLES, code="pitch", level="caution",
         judge=lambda y: of(replace(LONG, a=(30, 20), b=(60, 20)), replace(LONG, a=(40, y), b=(70, y))),
         kept=42.0, broken=41.5, value=21.5, limit=22.0),
    # the washer of an M10 is 20: it covers a slot of 10 as far as 2 x 5 + 10
    Case(module=HOLES, code="slot washer", level="advice", judge=lambda x: of(replace(LONG, a=(50, 30), b=(x, 30))),
         kept=55.0, broken=55.5, value=20.0, limit=21.0),
    # a drain of 10 leaves y - 5 to the edge; the plate is 6
    Case(module=HOLES, code="web", level="advice", judge=lambda y: of(Hole(at=(50, y), d=10, kind="drain")),
         kept=11.0, broken=10.5, value=5.5, limit=6.0),
    # of two pieces the one that no weld reaches; the recipe may say that it is meant to be loose
    Case(module=JOINTS, code="loose piece", level="stop", judge=beside, kept=True, broken=False),
    Case(module=JOINTS, code="loose piece", level="advice", judge=lambda names: beside(False, *names), kept=(),
         broken=("upright",)),
]  # fmt: skip


@each(CASES)
def test_each_rule_is_kept_at_its_limit_and_broken_beyond(case: Case) -> None:
    holds(case)


def test_a_rule_is_for_its_own_kind_of_hole() -> None:
    near = (50.0, 8.0)  # 8 from the edge: under 1.2 x 10 for a bolt, 3 of plate left round a drain of 10
    assert {f.code for f in of(replace(M10, at=near))} == {"edge"}
    assert {f.code for f in of(Hole(at=near, d=10, kind="drain"))} == {"web"}
    assert of(Hole(at=near, d=10, kind="bore")) == []
    assert of(replace(M10, kind="boss"), t=3.0) == []  # no thread in it
    assert of(Window(outline=sheet(4, 4).outline)) == []


def test_every_wall_of_a_folded_piece_is_judged_and_named() -> None:
    near = replace(M10, at=(11, 20))
    flange = lip((0, 60), (100, 60), t=4, length=50, inside_radius=5, openings=(near,))
    piece = Folded(name="angle", base=sheet(100, 60, near), t=4.0, flanges=(flange,))
    stops = [f.piece for f in hole_findings(piece) if f.level == "stop"]
    assert stops == ["angle (base)", "angle (flange 1)"]


def test_a_part_says_what_its_pieces_break_worst_first_and_a_turned_piece_has_no_holes() -> None:
    cup = recipe("cup")
    (turned,) = (p for p in cup.build(cup.Params()).pieces if isinstance(p, Turned))
    assert list(hole_findings(turned)) == []
    part = Part(name="p", pieces=(plate(Hole(at=(50, 8), d=10, kind="drain"), replace(M10, at=(11, 30))),))
    assert [(f.level, f.code) for f in general_findings(part)] == [("stop", "edge"), ("advice", "web")]


@pytest.mark.parametrize(
    ("opening", "words"),
    [
        (replace(M10, at=(9, 31), name="left"), "hole left is 9.0 mm from the edge, at least 12.0 (1.2 d)"),
        (replace(M10, at=(9, 31)), "hole 10 at 9, 31 is 9.0 mm from the edge"),
        (replace(LONG, b=(90, 30)), "slot 10 at 30, 30: its middle line comes to 10.0 mm from the edge"),
        (Slot(a=(30, 31), b=(90, 30), d=9, washer_od=24.0), "washer 24 of hole slot 9 at 30, 31 hangs over"),
    ],
)
def test_an_opening_is_called_by_its_name_or_by_size_and_place(opening: Opening, words: str) -> None:
    assert any(words in f.sentence for f in of(opening))
