"""What a base stands on: spreaders behind its bolts, the welds of one that is welded on; sums written here."""

from __future__ import annotations

from math import pi, sqrt
from typing import Any

import numpy as np
import pytest

from brackets import Part, Wall, bolt, hold, recipe, rectangle
from brackets.hold import HoldSettings, metal, read_cases
from brackets.hold.part_walls import walls_of
from brackets.hold.spreaders import least_overhang, working_overhang
from brackets.hold.weld_edges import welded_edge
from brackets.model.holes import Hole
from brackets.model.plate import Plate

LOAD = "bush: 300 500 4kN up"


def on_base(**values: Any) -> Part:
    made = recipe("ears_on_base")
    return made.build(made.Params(leg=5, **values))


def held(part: Part, **typed: Any) -> hold.Held:
    return hold.hold_part(part, read_cases([LOAD]), HoldSettings(grade="8.8", **typed))


def rows(found: hold.Held, place: str) -> dict[str, hold.Check]:
    return {one.check.clause: one.check for one in found.checks if one.place == place}


def test_how_far_a_spreader_works_and_reaches() -> None:
    """(6.5): t root(fy / (3 fjd)), here 0.577 t; the washer of M10 is 20 wide."""
    steel = metal("S235", 4)
    assert working_overhang(4, steel, steel) == pytest.approx(4 / sqrt(3))
    assert working_overhang(4, metal("S355", 4), steel) == pytest.approx(4 * sqrt(355 / 705))
    holes = tuple(Hole(at=(x, 0.0), d=11.0, bolt="M10") for x in (-20.0, 20.0))
    near = Plate(name="s", wall=Wall(outline=rectangle(84, 60), openings=holes), t=4)
    assert least_overhang(walls_of(near)[0], (20.0, 0.0), 20.0) == pytest.approx(20 - 10)
    alone = Plate(name="s", wall=Wall(outline=rectangle(84, 60), openings=holes[1:]), t=4)
    assert least_overhang(walls_of(alone)[0], (20.0, 0.0), 20.0) == pytest.approx(22 - 10)


@pytest.mark.parametrize("way", ["bolted through hollow", "bolted through sheet"])
def test_a_spreader_is_asked_with_what_reaches_it(way: str) -> None:
    """Through a hollow section crush tubes carry the preload: what pulls the bolt alone; through a sheet both."""
    part = on_base(fixing=way)
    found = held(part, onto_metal="S235", onto_t=2.0, preload=15e3)
    place = "bolt base/bolt_1"
    pull = next(c.value for clause, c in rows(found, place).items() if "bolt in tension" in clause)
    force = float(pull) + (0.0 if "hollow" in way else 15e3)
    c = part.piece("base/spreader").t / sqrt(3)  # type: ignore[attr-defined]
    across = bolt("M10").washer_od + 2 * c
    area = pi / 4 * (across**2 - 11**2)
    asked = rows(found, f"{place}, base/spreader")
    assert asked["EN 1993-1-8:2005 6.2.5(4), strip of a cantilever under even pressure"].value == pytest.approx(
        3 * force / area * (c / part.piece("base/spreader").t) ** 2  # type: ignore[attr-defined]
    )
    assert asked["EN 1993-1-1:2005 6.2.1(5), pressure on a face"].value == pytest.approx(force / area)
    punched = asked["EN 1993-1-8:2005 table 3.4, punching shear"]
    assert punched.value == pytest.approx(pull)
    assert punched.limit == pytest.approx(0.6 * pi * across * 2 * 360 / 1.25)


def test_what_a_spreader_lacks_is_refused() -> None:
    blind = held(on_base(fixing="bolted through hollow"))
    said = {one.place: one.problem for one in blind.refused}
    assert "onto_metal and onto_t = not typed" in said["bolt base/bolt_1, base/spreader"]
    sheet = held(on_base(fixing="bolted through sheet"), onto_metal="S235", onto_t=2.0)
    said = {one.place: one.problem for one in sheet.refused}
    assert "preload = not typed" in said["bolt base/bolt_1, base/spreader"]
    odd = held(on_base(fixing="bolted through hollow"), onto_metal="DC01", onto_t=2.0)
    assert any("material = DC01" in one.problem for one in odd.refused if "spreader" in one.place)


def test_a_welded_base_without_a_leg_is_refused_by_name() -> None:
    found = held(on_base(fixing="welded"), onto_metal="S235", onto_t=4.0)
    assert ("on foot", "") in [(one.place, one.case) for one in found.refused]
    assert any("no leg is typed" in one.problem for one in found.refused)
    assert on_base(fixing="welded").welds[-1].onto != "foot"


def test_a_welded_base_with_a_leg_is_checked_as_two_lines() -> None:
    """104 long, 60 apart, throat 5 / root 2; a throat leans half out of the plate, half out of the rail."""
    part = on_base(fixing="welded", rail_leg=5.0)
    welds = [weld for weld in part.welds if weld.onto == "foot"]
    lines = [line for weld in welds for line in welded_edge(part, weld).lines]
    assert [line.length for line in lines] == pytest.approx([104, 104])
    foot = part.seat("foot").place
    for weld in welds:
        edge = welded_edge(part, weld)
        (line,) = edge.lines
        assert (edge.angle, edge.left_out, edge.lies) == ((90.0, 90.0), 0.0, True)
        across = np.asarray(line.across)
        middle = (line.start + line.end) / 2 - np.array(foot.at)
        assert across @ -np.array(foot.axis) == pytest.approx(1)  # out of the rail
        assert across @ middle == pytest.approx(np.linalg.norm(middle))  # out of the plate
    found = held(part, onto_metal="S235", onto_t=4.0)
    check = rows(found, "weld base/base | foot")["EN 1993-1-8:2005 4.5.3.3, simplified method"]
    group = hold.WeldGroup(lines)
    force = np.array([300.0, 500.0, 4000.0])
    by_hand = hold.fillet_simplified(
        group, force=force, moment=np.cross(-group.centre, force), at=group.centre, metal=metal("S235", 4), t=4.0
    )
    assert check.value == pytest.approx(by_hand.value)
    throat, arm = 5 / sqrt(2), float(np.linalg.norm(np.array(foot.at)))
    assert check.value > 4000 / (2 * 104 * throat)
    assert arm > 30
    assert any(one.place == "plate base/base" and "between welds" in one.problem for one in found.refused)


@pytest.mark.parametrize("flanges", [0, 2])
def test_the_base_alone_has_its_welds_between_its_bends_or_corners(flanges: int) -> None:
    made = recipe("base_plate")
    plain = made.Params(fixing="welded", flanges=flanges)
    assert made.build(plain).welds == ()
    typed = made.Params(fixing="welded", flanges=flanges, rail_leg=4.0)
    part = made.build(typed)
    reach = typed.flat_long if flanges else typed.length - 2 * typed.radius
    found = [welded_edge(part, weld) for weld in part.welds]
    assert [edge.length for edge in found] == pytest.approx([reach, reach])
    assert all(edge.lies for edge in found)
    assert made.build(made.Params(fixing="bolted to solid", rail_leg=4.0)).welds == ()
