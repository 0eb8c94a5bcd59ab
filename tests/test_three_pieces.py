"""Bushes of three pieces: two flanged halves, pressed in from both ends of a cup, about one sleeve.

T: 40 od, halves of 36 together, flanges 4 thick and 52 od, a sleeve of 16 od and 44, M10. Its cup is 36 long.
"""

from __future__ import annotations

import math
import tempfile
from dataclasses import replace
from pathlib import Path

import pytest
from kernel import AGREE, disagreement
from rule_cases import Case, each, holds

from brackets import bush, bush_bore, bush_outer, cup
from brackets.bay.file import read
from brackets.bay.fitting import at_rest
from brackets.bay.seats.rules import flange_findings
from brackets.bay.stand.placed import checked, placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.clearance.bodies import body
from brackets.clearance.gaps import gap
from brackets.clearance.overlaps import overlap
from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.schema.reading import from_mapping
from brackets.core.tables.bush_rows import Bush
from brackets.core.tables.bush_table import BushRow
from brackets.geometry.shapes import rectangle
from brackets.kernel.press_room import Half, press_findings
from brackets.kernel.shared import CONTACT_VOLUME
from brackets.kernel.solids import shape
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall

ROW = {
    "name": "T", "kind": "poly, three pieces", "od": 40, "shell_length": 36, "sleeve_od": 16, "sleeve_bore": 10.2,
    "sleeve_length": 44, "bolt": "M10", "end_flange": 4, "flange_od": 52, "mass": 0.2,
    "travel": {"radial": 3, "axial": 2},
}  # fmt: skip
POLY = 1200e-9
BAY = """
format = 1
[[keep_out]]
name = "rail"
box = {{ from = [-200, -25, 0], to = [200, 25, 50] }}
[[keep_out]]
name = "pipe"
box = {{ from = [-100, 40, 100], to = [100, 60, 140] }}
[[bush]]
name = "T"
kind = "poly, three pieces"
od = 40
shell_length = {halves}
sleeve_od = 16
sleeve_bore = 10.2
sleeve_length = {sleeve}
end_flange = {flange}
flange_od = 52
bolt = "M10"
mass = 0.2
travel = {{ radial = 3, axial = 2 }}
[[mount]]
name = "m"
bush = "{bush}"
at = [0, 0, 120]
axis = [1, 0, 0]
[mount.powertrain]
part = "cup"
[mount.chassis]
part = "ears"
onto = "rail"
[[part]]
name = "cup"
recipe = "cup"
length = {cup}
[[part]]
name = "ears"
recipe = "ears_on_base"
ear_r = 20
"""


def standing(
    *, cup: float = 36, halves: float = 36, sleeve: float = 44, flange: float = 4, bush: str = "T"
) -> PlacedBay:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "three.toml"
        path.write_text(BAY.format(cup=cup, halves=halves, sleeve=sleeve, flange=flange, bush=bush), "utf-8")
        return placed_bay(read(path))


def said(**sizes: float) -> list[Finding]:
    return list(flange_findings(standing(**sizes)))


CASES = [
    # 36 of cup and two flanges of 4: 44
    Case(module="brackets/bay/seats/rules.py", code="flanges", level="caution", judge=lambda mm: said(sleeve=mm),
         kept=44.0, broken=43.9, value=44.0, limit=43.9),
    Case(module="brackets/bay/seats/rules.py", code="flanges", level="caution", judge=lambda mm: said(cup=mm),
         kept=36.0, broken=36.5, value=44.5, limit=44.0),
    # the cup itself comes to the ears
    Case(module="brackets/bay/seats/rules.py", code="flanges", level="stop", judge=lambda mm: said(cup=mm),
         kept=43.9, broken=44.0, value=44.0, limit=44.0),
    # halves of 18 each meet in a cup of less than 36
    Case(module="brackets/bay/seats/rules.py", code="flanges", level="caution", judge=lambda mm: said(cup=mm),
         kept=36.0, broken=35.9, value=35.9, limit=36.0),
]  # fmt: skip


@each(CASES)
def test_a_rule_is_kept_and_broken_where_it_says(case: Case) -> None:
    holds(case)


def test_what_is_said_of_squeezed_flanges_names_the_cup_that_would_do() -> None:
    [one] = said(cup=37)
    assert one.about == ("cup", "m bush")
    assert "37 mm long with two flanges of 4 mm is 45 mm, the sleeve 44 mm" in one.sentence
    assert "squeeze the flanges 1 mm" in one.sentence
    assert "a cup of 36 mm, or a longer sleeve" in one.sentence


def three(**changed: object) -> Bush:
    made = from_mapping(BushRow, {**ROW, **changed}, where="bush T").record
    assert isinstance(made, Bush)
    return made


ONLY = "bush T: rubber_inner_r = 9 mm, only where kind is bonded rubber or \"poly, two halves\" or solid: "


@pytest.mark.parametrize(
    ("changed", "line"),
    [
        ({"flange_od": 40}, "bush T: flange_od = 40 mm, must be over the od 40 mm: it stays outside the cup"),
        ({"end_flange": 0}, "bush T: end_flange = 0 mm, must be over 0 mm: how thick each flange is"),
        ({"rubber": {"inner_r": 9, "outer_r": 19, "length": 30, "hardness": 50}}, ONLY),
        ({"kind": "poly, two halves"}, 'bush T: flange_od = 52 mm, only where kind is "poly, three'),
    ],
)
def test_a_row_that_makes_no_sense_is_refused(changed: dict[str, object], line: str) -> None:
    with pytest.raises(InputError) as caught:
        three(**changed)
    assert any(line in problem for problem in caught.value.problems), caught.value.problems


def test_a_flange_just_over_its_limits_is_read() -> None:
    assert three(flange_od=40.1).flange_od == 40.1
    assert three(end_flange=0.1).end_flange == 0.1


@pytest.mark.parametrize("key", ["flange_od", "end_flange"])
def test_flanges_must_be_given(key: str) -> None:
    with pytest.raises(InputError, match=f'{key} = nothing, must be .* mm where kind is "poly, three pieces" or'):
        from_mapping(BushRow, {k: v for k, v in ROW.items() if k != key})


@pytest.mark.parametrize(("long", "out"), [(0.0, 18.0), (36.0, 18.0), (38.0, 19.0), (30.0, 18.0)])
def test_the_flanges_stand_at_the_ends_of_the_cup(long: float, out: float) -> None:
    """Barrels of 18 from the flanges inward, and flanges of 4 outward; in a longer cup air is between them."""
    part = bush_outer(three(), cup=long)
    barrel, flange = (math.pi / 4 * (d**2 - 16**2) for d in (40, 52))
    assert [piece.name for piece in part.pieces] == ["half_front", "half_rear"]
    for piece, sign in zip(part.pieces, (1, -1), strict=True):
        assert max(disagreement(piece)) < AGREE
        low, high = (float(z) for z in body(shape(Part(name="p", pieces=(piece,))), name="p").box[:, 2])
        assert sorted((abs(low), abs(high))) == pytest.approx([out - 18, out + 4], abs=1e-6)
        assert sign * (low + high) > 0
    assert part.mass.kg == pytest.approx(POLY * 2 * (18 * barrel + 4 * flange), rel=1e-9)


def test_of_rubber_it_is_of_rubber() -> None:
    made = bush_outer(three(kind="rubber, three pieces"))
    assert {piece.material for piece in made.pieces} == {"natural rubber"}


def test_a_bush_of_two_halves_is_as_it_was() -> None:
    assert [p.name for p in bush_outer(bush("P50"), cup=60).pieces] == ["body", "flange_front", "flange_rear"]
    assert bush("P50").flange_od is None
    assert (bush("T50").flange_od, bush("T50").stamp) == (62, "SAMPLE: MEASURE YOURS")


def test_the_flanges_are_cleared_as_bodies() -> None:
    """Ears 44.5 apart, flanges to 22 either way: 0.25 to each, which is let be. A pipe at y = 40: 14 from a flange
    of 52."""
    still = at_rest(standing())
    found = {frozenset((pair.a, pair.b)): pair for pair in still.pairs}
    assert found[frozenset(("m bush", "ears"))].state == "contact"
    bodies = {thing.name: thing.body for thing in still.things}
    assert gap(bodies["m bush"], bodies["ears"]).low == pytest.approx(0.25, abs=1e-3)
    assert found[frozenset(("m bush", "cup"))].state == "contact"
    pipe = found[frozenset(("m bush", "pipe"))]
    assert (pipe.state, pipe.low) == ("clear", pytest.approx(40 - 26, abs=2e-3))
    assert not [pair for pair in still.pairs if pair.state in ("foul", "inside", "touch")]


def test_the_flanges_of_a_longer_cup_are_drawn_at_its_ends() -> None:
    stood = standing(cup=40, sleeve=50)
    outside = next(thing for thing in stood.bought if thing.what == "bush").part
    low, high = (float(x) for x in body(shape(outside), name="bush").box[:, 0])
    assert (low, high) == pytest.approx((-24, 24), abs=1e-6)
    cup_body = body(shape(next(part.part for part in stood.parts if part.name == "cup")), name="cup")
    assert overlap(cup_body, body(shape(outside), name="bush")).volume == pytest.approx(0, abs=CONTACT_VOLUME)


CUP = cup(od=60, bore=40, length=36, bush=bush_bore(40, own=38)).pieces[0]
HALF = Half(od=52, length=22)


def lid(off: float, *, end: str = "upper", hole: float = 0.0) -> Plate:
    """120 x 120 x 5 so far past one end of the cup."""
    openings = (Hole(at=(0.0, 0.0), d=hole, kind="bore"),) if hole else ()
    z = 18 + off if end == "upper" else -18 - off - 5
    return Plate(name="lid", t=5, wall=Wall(outline=rectangle(120, 120), openings=openings), place=Place((0, 0, z)))


def pressed(*others: Plate) -> list[Finding]:
    return list(press_findings(Part(name="p", pieces=(CUP, *others)), halves={"cup": HALF}))


@pytest.mark.parametrize("end", ["upper", "lower"])
@pytest.mark.parametrize(
    ("off", "level"), [(42.0, None), (41.9, "caution"), (22.0, "caution"), (21.9, "stop"), (5.0, "stop")]
)
def test_each_half_goes_in_and_out_at_its_own_end(end: str, off: float, level: str | None) -> None:
    """18 of barrel and 4 of flange: 22, and 20 more to draw it out. The other end being free helps nothing."""
    found = pressed(lid(off, end=end))
    assert [f.level for f in found] == ([] if level is None else [level])
    if level == "stop":
        assert f"lid in the way within 22 mm of its {end} end: no half of the bush goes in" in found[0].sentence
    elif level == "caution":
        assert found[0].sentence == f"lid in the way within 42 mm of its {end} end: no tool draws that half out"


@pytest.mark.parametrize(("hole", "levels"), [(52.0, []), (51.0, ["stop"])])
def test_a_flange_needs_more_room_than_the_bore(hole: float, levels: list[str]) -> None:
    assert [f.level for f in pressed(lid(5, hole=hole))] == levels


@pytest.mark.parametrize(("bush", "levels"), [("T", ["stop"]), ("P40", ["caution"])])
def test_a_bay_asks_for_room_at_both_ends_of_a_cup_of_three_pieces(bush: str, levels: list[str]) -> None:
    """A plate 10 past one end of the cup: a bush of one outside goes in from the other."""
    stood = standing(bush=bush)
    (index,) = (i for i, part in enumerate(stood.parts) if part.name == "cup")
    part = stood.parts[index]
    wall = Wall(outline=rectangle(120, 120))
    shut = Plate(name="lid", t=5, wall=wall, place=Place((28.0, 0.0, 120.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0)))
    with_lid = replace(part, part=replace(part.part, pieces=(*part.part.pieces, shut)))
    free, found = (checked(replace(stood, parts=(one,))).parts[0].findings for one in (part, with_lid))
    assert [f.level for f in free if f.code == "press room"] == []
    assert [f.level for f in found if f.code == "press room"] == levels
