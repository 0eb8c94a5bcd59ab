"""What is taken from a part's record before anything is summed: lines of weld, metal on a line, folded sections."""

from __future__ import annotations

from math import inf, pi, sqrt
from typing import Any

import numpy as np
import pytest

from brackets import OutOfRange, Part, Wall, circle, metal, polygon, recipe, rectangle
from brackets.geometry.regions import Region
from brackets.hold.folded_sections import folded_section, strips_across
from brackets.hold.part_graph import Joint
from brackets.hold.part_walls import wall_at, walls_of
from brackets.hold.plate_lines import edge_distances, intervals, to_edge, within
from brackets.hold.weld_edges import WeldedEdge, welded_edge
from brackets.hold.weld_lines import WeldSegment
from brackets.model.edges import length as edge_length
from brackets.model.holes import Hole
from brackets.model.plate import Flange, Folded
from brackets.model.tube import Tube, Turned


def made(name: str, **values: Any) -> Part:
    of = recipe(name)
    return of.build(of.Params(**values))


@pytest.mark.parametrize("name", ["ears", "fork", "stay", "strut", "stud_arm", "tray", "cross_member"])
def test_lines_of_weld_are_as_long_as_the_edges_of_the_record(name: str) -> None:
    """Chords are up to 0.13 % shorter, never longer; what stands too steep is told apart."""
    part = made(name)
    for weld in part.welds:
        found = welded_edge(part, weld)
        whole = edge_length(part.piece(weld.piece), weld.edge) * weld.sides
        assert whole * (1 - 2e-3) <= found.length + found.left_out <= whole * (1 + 1e-9)
        assert all(float(line.throat) == pytest.approx(weld.leg / sqrt(2)) for line in found.lines)


def test_throats_lie_across_the_corner_of_the_two_faces() -> None:
    """Ears stand along z on a base whose face looks to -y: throats look half to -y, half out of the ear."""
    part = made("ears_on_base")
    for weld in part.welds:
        (line,) = welded_edge(part, weld).lines
        assert line.across is not None
        low = float(line.start[2]) < part.piece(weld.piece).place.at[2] + 3
        assert tuple(line.across / sqrt(2)) == pytest.approx((0, -sqrt(0.5), -sqrt(0.5) if low else sqrt(0.5)))


def test_a_tube_on_a_larger_one_is_not_counted_where_it_stands_too_steep() -> None:
    """A tube along y on a cup along x: normals (cos, 0, sin) and (0, y, r sin) / R, so the faces stand at
    90 + asin(r / R x sin squared) degrees, and it counts up to where that sine is a half."""
    part = made("cross_member")
    weld = next(weld for weld in part.welds if weld.piece == "tube" and weld.onto == "cup_left")
    cup, tube = part.piece("cup_left"), part.piece("tube")
    assert isinstance(cup, Turned)
    assert isinstance(tube, Tube)
    found = welded_edge(part, weld)
    steepest = np.degrees(np.arcsin(np.sqrt(0.5 * cup.steps[0].od / tube.od)))
    assert max(found.angle) <= 120
    ends = np.array([[line.start, line.end] for line in found.lines]) - np.array(tube.place.at)
    (x0, z0), (x1, z1) = ends[:, 0, ::2].T, ends[:, 1, ::2].T
    turned = np.degrees(np.abs(np.arctan2(x0 * z1 - x1 * z0, x0 * x1 + z0 * z1)))
    assert turned.sum() / 360 == pytest.approx(steepest / 90, abs=8 * 0.25 / 360)  # a part of a chord at each end


def distances(wall: Wall, at: tuple[float, float], way: tuple[float, float]) -> tuple[float, ...]:
    """e1, e2, p1, p2 along one way."""
    return tuple(float(of[0]) for of in edge_distances(wall, at, np.array([way])))


def test_metal_on_a_line_and_the_way_to_an_edge() -> None:
    region = Region(rectangle(100, 60), (circle((10, 5), 8.0),))
    runs = intervals(region, (0, 5), (1, 0))
    assert [pytest.approx(run, abs=0.03) for run in runs] == [(-50, 2), (18, 50)]
    assert within(runs, [(-10, 30), (20, 40)]) == (pytest.approx(12 + 22, abs=0.05), pytest.approx(
        (12 * -4 + 22 * 29) / 34, abs=0.05))  # fmt: skip
    way = (1 / sqrt(2), 1 / sqrt(2))
    assert to_edge(rectangle(100, 60), (0, 5), way) == pytest.approx(25 * sqrt(2))
    holes = tuple(Hole(at=at, d=11.0, bolt="M10") for at in ((0.0, 0.0), (30.0, 10.0), (-5.0, 20.0)))
    wall = Wall(outline=rectangle(100, 60), openings=holes)
    e1, e2, p1, p2 = distances(wall, (0.0, 0.0), (1.0, 0.0))
    assert (e1, e2) == pytest.approx((50, 30))
    assert (p1, p2) == pytest.approx((sqrt(1000), sqrt(425)))
    assert distances(wall, (0.0, 8.0), (-1.0, 0.0))[:2] == pytest.approx((50, 22)), "the nearer side"
    alone = Wall(outline=rectangle(100, 60), openings=holes[:1])
    assert distances(alone, (0.0, 0.0), (0.0, 1.0)) == (pytest.approx(30), pytest.approx(50), inf, inf)


def channel(width: float = 80.0, lip: float = 30.0, t: float = 5.0, long: float = 300.0, r: float = 8.0) -> Folded:
    """A floor along x with a lip bent up along both long sides; the lips' flat is `lip` high."""
    floor = Wall(outline=polygon([(-long / 2, -width / 2), (long / 2, -width / 2), (long / 2, width / 2),
                                  (-long / 2, width / 2)]))  # fmt: skip
    side = Wall(outline=polygon([(0, 0), (long, 0), (long, lip), (0, lip)]))
    flanges = (
        Flange(start=(-long / 2, width / 2), end=(long / 2, width / 2), inside_radius=r, wall=side),
        Flange(start=(long / 2, -width / 2), end=(-long / 2, -width / 2), inside_radius=r, wall=side),
    )
    return Folded(name="channel", base=floor, flanges=flanges, t=t)


def test_a_channel_in_closed_form() -> None:
    """Three strips: floor 80 at z = 2.5, two lips 30 from z = 13 to 43 at y = 53 - 2.5; bends left out."""
    piece = channel()
    strips = strips_across(piece, 0, np.array([0.0, 0.0, 2.5]), np.array([1.0, 0.0, 0.0]))
    assert strips is not None
    assert sorted(strips.lengths) == pytest.approx([30, 30, 80])
    area = 140 * 5
    z = (80 * 2.5 + 60 * 28) / 140
    assert strips.area == pytest.approx(area)
    assert strips.centre == pytest.approx((0, 0, z))
    iy = 80 * 5**3 / 12 + 400 * (z - 2.5) ** 2 + 2 * (5 * 30**3 / 12 + 150 * (28 - z) ** 2)
    iz = 5 * 80**3 / 12 + 2 * (30 * 5**3 / 12 + 150 * 50.5**2)
    assert strips.second == pytest.approx(np.array([[iz, 0], [0, iy]]), abs=1e-6)
    assert strips.torsion == pytest.approx(140 * 125 / 3)
    s235 = metal("S235", 5)
    bent = folded_section(strips, force=(0, 0, 0), moment=(0, 4e5, 0), metal=s235)
    assert bent.value == pytest.approx(4e5 / iy * (43 - z))
    aside = folded_section(strips, force=(7e3, 0, 0), moment=(0, 0, 3e5), metal=s235)
    assert aside.value == pytest.approx(7e3 / area + 3e5 / iz * 53)
    twist = folded_section(strips, force=(0, 0, 0), moment=(1e4, 0, 0), metal=s235)
    assert twist.value == pytest.approx(sqrt(3) * 1e4 * 5 / (140 * 125 / 3))


def test_slender_lips_are_outside_the_clause() -> None:
    strips = strips_across(channel(lip=75.0), 0, np.array([0.0, 0.0, 2.5]), np.array([1.0, 0.0, 0.0]))
    assert strips is not None
    with pytest.raises(OutOfRange, match="width / t = 15, must be at most 14"):
        folded_section(strips, force=(0, 0, 0), moment=(0, 1e5, 0), metal=metal("S235", 5))


def test_a_point_is_on_the_wall_it_is_nearest_to() -> None:
    piece = channel()
    assert wall_at(piece, (0.0, 10.0, 5.0)).number == 0
    assert [wall.number for wall in walls_of(piece)] == [0, 1, 2]
    assert wall_at(piece, (20.0, 53.0, 30.0)).number == 1
    assert wall_at(piece, (20.0, -53.0, 30.0)).number == 2


def test_a_full_round_weld_is_followed_by_36_chords() -> None:
    part = made("strut")
    weld = next(weld for weld in part.welds if weld.onto == "end")
    found = welded_edge(part, weld)
    assert len(found.lines) == 36
    assert found.length == pytest.approx(edge_length(part.piece("tube"), weld.edge), rel=2e-3)
    assert found.length < pi * 40


def test_runs_too_short_to_carry_load_are_left_out_of_a_joint() -> None:
    """EN 1993-1-8:2005 4.5.1(2): 30 mm and 6 throats; two lines end to end are one run."""
    of = recipe("fork")
    weld = of.build(of.Params()).welds[0]

    def joint(*ends: tuple[float, float]) -> Joint:
        lines = tuple(WeldSegment((a, 10.0 * a, 0), (b, 10.0 * a, 0), 3.0) for a, b in ends)
        return Joint("w", "a", "b", "weld", np.zeros(3), edges=(WeldedEdge(weld, lines, (90.0, 90.0), 0.0),))

    some, every, none = joint((0, 40), (100, 120), (200, 230)), joint((0, 40), (100, 140)), joint((0, 20), (50, 79))
    assert [float(line.length) for line in some.group.lines] == [40, 30]
    assert [float(line.length) for line in every.group.lines] == [40, 40]
    assert [float(line.length) for line in none.group.lines] == [20, 29], "all, so that a check can refuse them"
    assert (some.counts, every.counts, none.counts) == (True, True, False)
