"""A row for every finding about stations: kept at its limit, broken just past it."""

from __future__ import annotations

import math

import cadquery as cq
import pytest
import trimesh
from rule_cases import Case, each, holds

from brackets import Finding, Stations, body, stations

RULES = "brackets/mockups/stations_rules.py"


def block(*sizes: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> cq.Solid:
    return cq.Solid.makeBox(*sizes, cq.Vector(*at))


def cut(*shapes: cq.Shape, **values: object) -> tuple[Finding, ...]:
    made = [body(shape, name="thing", tolerance=0.01) for shape in shapes]
    found: Stations = stations(made, **{"axis": "z", "pitch": 20, "true_at": "middle"} | values)  # type: ignore[arg-type]
    return found.findings


def torn(close: float) -> tuple[Finding, ...]:
    """A box with one of its two triangles of 90 x 120 away: 150 across."""
    box = trimesh.creation.box([90, 60, 120])
    middle = box.triangles_center
    gone = next(n for n, at in enumerate(middle) if abs(at[1]) > 29)
    keep = [n for n in range(12) if n != gone]
    return stations(body((box.vertices, box.faces[keep]), name="box"), close_holes=close).findings


def leaning(by: float, long: float = 100.0) -> cq.Solid:
    """Four sheets of a pitch of 20, `long` x 24.2, `by` mm aside from the lowest middle to the highest."""
    ring = [cq.Vector(*p) for p in ((0, 0, 0), (long, 0, 0), (long, 24.2, 0), (0, 24.2, 0))]
    return cq.Solid.extrudeLinear(cq.Wire.makePolygon(ring, close=True), [], cq.Vector(by * 80 / 60, 0, 80))


CASES = (
    Case(module=RULES, code="station torn", level="stop", judge=torn, kept=150.0, broken=149.9,
         value=150.0, limit=149.9),
    Case(module=RULES, code="station torn", level="caution", judge=torn, kept=149.9, broken=150.0,
         value=150.0, limit=150.0),
    # a cone whose radius goes down by 2 in 100: half a pitch of 20 is 0.2 of radius, of outlines drawn to 0.05
    Case(module=RULES, code="station short", level="advice", judge=lambda r: cut(cq.Solid.makeCone(60, r, 100)),
         kept=59.6, broken=58.0, value=0.2, within=0.08),
    Case(module=RULES, code="station thin", level="caution", judge=lambda w: cut(block(100, w, 20), dowel=2),
         kept=10.0, broken=9.9, value=9.9, limit=10.0, within=0.01),
    # 8 round a dowel of 8 is 24 wide and 16 apart 40 long; 0.02 on either side for rounded corners
    Case(module=RULES, code="station dowels", level="caution", judge=lambda w: cut(block(40.1, w, 40)),
         kept=24.05, broken=23.95),
    # 100 less 24 leaves 76 for 16 apart: 60 aside
    Case(module=RULES, code="station dowels", level="advice", judge=lambda by: cut(leaning(by)),
         kept=59.9, broken=60.1),
    Case(module=RULES, code="station board", level="caution", judge=lambda w: cut(block(w, 480, 20)),
         kept=980.0, broken=980.5, value=980.5, limit=980.0),
    Case(module=RULES, code="station board", level="caution", judge=lambda w: cut(block(900, w, 20)),
         kept=480.0, broken=480.5, value=480.5, limit=480.0),
)  # fmt: skip


@each(CASES)
def test_a_rule_of_stations_is_kept_at_its_limit_and_broken_past_it(case: Case) -> None:
    holds(case)


def test_a_neck_is_as_narrow_as_it_is_and_the_others_are_named() -> None:
    dumb_bell = block(60, 60, 40).fuse(block(60, 8, 40, at=(60, 0, 0))).fuse(block(60, 60, 40, at=(120, 0, 0)))
    (said,) = (f for f in cut(dumb_bell) if f.code == "station thin")
    assert said.value == pytest.approx(8, abs=0.01)
    assert "; too narrow as well: 2" in said.sentence


def test_no_room_for_the_wire_is_advice() -> None:
    """Two dowels of 2 in a bar of 6.2: 6 aside of their line there is nothing."""
    (said,) = (f for f in cut(block(100, 6.2, 40), dowel=2) if f.code == "station dowels")
    assert said.level == "advice"
    assert "no room in 1, 2 for a wire's hole of 3 mm" in said.sentence


def test_more_holes_than_can_be_read_are_counted() -> None:
    ball = trimesh.creation.icosphere(subdivisions=4, radius=80)
    corners = set(range(0, len(ball.vertices), 31))
    keep = [n for n, face in enumerate(ball.faces) if not set(face) & corners]
    found = stations(body((ball.vertices, ball.faces[keep]), name="ball")).findings
    assert len(found) == 51
    assert found[-1].sentence.startswith("and ")
    assert "more holes, the largest hole" in found[-1].sentence
    values = [f.value or 0.0 for f in found]
    assert values == sorted(values, reverse=True)
    assert math.isclose(sum(f.limit or 0.0 for f in found), 0.0)


def test_two_rows_of_dowels_share_a_hole_where_there_is_no_room_for_four() -> None:
    found = stations(body(leaning(24.1, 64.0), name="leaning", tolerance=0.01), axis="z", pitch=20)
    assert [names for names, _ in found.dowels] == [("1", "2", "3"), ("3", "4")]
    (piece,) = found.stations[2].pieces
    dowels = [hole for hole in piece.holes if hole.d == 8]
    (shared,) = (hole for hole in dowels if " " in hole.name)
    assert sorted(shared.name.replace("P", "").replace("Q", "").split()) == ["1", "2"]
    assert len(dowels) == 3
