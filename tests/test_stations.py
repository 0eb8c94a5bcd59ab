"""Stations of closed forms, torn scans and random meshes: outlines, dowels, hollows, pieces, where they stand."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator, Sequence

import cadquery as cq
import numpy as np
import pytest
import scans
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection

from brackets import Body, InputError, Stations, body, stations
from brackets.drawing.stations import Ring, StationPiece, ring_area
from brackets.kernel.sections import SHIFT
from brackets.mockups.stations_cut import SMOOTH, frame_of
from brackets.mockups.stations_dowels import WIRE

FINE = 0.02
"""mm: tolerance of the triangles that closed forms are cut from."""
OFF = FINE + SMOOTH + 1e-6


def solid(shape: cq.Shape, name: str = "thing") -> Body:
    return body(shape, name=name, tolerance=FINE)


def block(*sizes: float, at: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> cq.Solid:
    return cq.Solid.makeBox(*sizes, cq.Vector(*at))


def meshed(of: trimesh.Trimesh, name: str = "scan") -> Body:
    return body((np.asarray(of.vertices), np.asarray(of.faces)), name=name)


def pieces(found: Stations) -> Iterator[StationPiece]:
    return (piece for one in found.stations for piece in one.pieces)


def region(*rings: Sequence[Ring]) -> CrossSection:
    return CrossSection([np.array(ring) for some in rings for ring in some])


def edge_distance(p: Sequence[float], rings: Sequence[Ring]) -> float:
    """mm from a point to the nearest edge, by plain arithmetic."""
    least = math.inf
    for ring in rings:
        a, b = np.array(ring), np.roll(np.array(ring), -1, axis=0)
        way = b - a
        share = np.clip(((p - a) * way).sum(axis=1) / (way * way).sum(axis=1), 0.0, 1.0)
        least = min(least, float(np.linalg.norm(a + share[:, None] * way - p, axis=1).min()))
    return least


def inside(p: Sequence[float], rings: Sequence[Ring]) -> bool:
    """By the winding number."""
    turned = 0.0
    for ring in rings:
        a = np.array(ring) - np.array(p)
        b = np.roll(a, -1, axis=0)
        turned += float(np.arctan2(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0], (a * b).sum(axis=1)).sum())
    return turned > math.pi


def radii(piece: StationPiece, centre: tuple[float, float] = (0.0, 0.0)) -> np.ndarray:
    """Of the corners and of the middles of the edges."""
    (ring,) = piece.rings
    corners = np.array(ring) - centre
    middles = (corners + np.roll(corners, -1, axis=0)) / 2
    return np.linalg.norm(np.vstack((corners, middles)), axis=1)


# ------------------------------------------------------------------------------------------------ closed forms


@pytest.mark.parametrize("axis", ["x", "z"])
def test_stations_of_a_sphere_have_the_closed_form_radii(axis: str) -> None:
    ball = solid(cq.Solid.makeSphere(80, cq.Vector(), cq.Vector(0, 0, 1), -90, 90, 360))
    found = stations(ball, axis=axis, pitch=16)
    assert [one.number for one in found.stations] == list(range(1, 11))
    for n, one in enumerate(found.stations):
        assert one.at == pytest.approx(-80 + 16 * n + 8, abs=FINE)
        (piece,) = one.pieces
        # a surface off by FINE along its normal moves its section by FINE over the cosine of the slope
        r = math.sqrt(80**2 - one.at**2)
        off = OFF * 80 / r
        assert radii(piece).min() >= r - off
        assert radii(piece).max() <= r + off


def test_stations_of_a_cone_have_the_closed_form_radii_and_the_stack_its_volume() -> None:
    cone = solid(cq.Solid.makeCone(70, 30, 200))
    found = stations(cone, axis="z", pitch=20)
    assert len(found.stations) == 10
    for one in found.stations:
        (piece,) = one.pieces
        r = 70 - 40 * (one.low + one.high) / 2 / 200
        assert (abs(radii(piece) - r) <= OFF * 1.02).all()
    sections = sum(math.pi * (70 - 0.2 * (20 * k + 10)) ** 2 * 20 for k in range(10))
    assert found.volume == pytest.approx(sections, rel=1e-3)
    assert found.height == pytest.approx(200)


def test_outside_takes_the_larger_of_each_sheets_faces_and_all_between() -> None:
    ball = solid(cq.Solid.makeSphere(80, cq.Vector(), cq.Vector(0, 0, 1), -90, 90, 360))
    found = stations(ball, axis="z", pitch=32, true_at="outside")  # sheet 3 holds the equator
    assert [one.at for one in found.stations] == [None] * 5
    for one in found.stations:
        (piece,) = one.pieces
        near = 0.0 if one.low < 0 < one.high else min(abs(one.low), abs(one.high))
        r = math.sqrt(80**2 - near**2)
        assert radii(piece).min() >= r
        assert radii(piece).max() <= r + 2.5 * OFF * 80 / r


def test_a_sheet_shows_the_bodys_outline_on_both_its_faces() -> None:
    found = stations(solid(cq.Solid.makeCone(70, 30, 200)), axis="z", pitch=20)
    one = found.stations[3]
    assert radii(StationPiece(name="", rings=one.other_face)).max() == pytest.approx(70 - 0.2 * 60, abs=OFF)
    assert radii(StationPiece(name="", rings=one.marked_face)).max() == pytest.approx(70 - 0.2 * 80, abs=OFF)


@given(seed=st.integers(0, 10_000), axis=st.sampled_from("xyz"), sheets=st.integers(2, 9))
@settings(max_examples=15, deadline=None)
def test_the_stack_cut_outside_holds_random_meshes_whole(seed: int, axis: str, sheets: int) -> None:
    made = scans.whole(random.Random(seed))
    at = np.asarray(made.vertices) @ frame_of(axis).T
    found = stations(meshed(made), axis=axis, pitch=float(np.ptp(at[:, 2])) / sheets, true_at="outside")
    by_sheet = {one.number: region(*(piece.rings for piece in one.pieces)) for one in found.stations}
    assert list(by_sheet) == list(range(1, sheets + 1))
    between = made.sample(3000, seed=seed) @ frame_of(axis).T
    for one in found.stations:
        spots = np.vstack((at, between))
        there = spots[(spots[:, 2] >= one.low - 1e-9) & (spots[:, 2] <= one.high + 1e-9)][:, :2]
        rings = [ring for piece in one.pieces for ring in piece.rings]
        for p in there[:: max(1, len(there) // 60)]:
            assert inside(p, rings) or edge_distance(p, rings) < 1e-5


@given(seed=st.integers(0, 10_000), axis=st.sampled_from("xyz"))
@settings(max_examples=4, deadline=None)
def test_the_stack_comes_to_the_bodys_volume_as_the_pitch_gets_smaller(seed: int, axis: str) -> None:
    """The midpoint rule is off by no more than half a pitch times all that the section grows and shrinks by, of
    which 40 sections show all but a little."""
    made = scans.whole(random.Random(seed))
    long = float(np.ptp(np.asarray(made.vertices) @ frame_of(axis)[2]))
    fine = stations(meshed(made), axis=axis, pitch=long / 40)
    areas = [sum(piece.area for piece in one.pieces) for one in fine.stations]
    change = float(np.abs(np.diff([0.0, *areas, 0.0])).sum())
    for n in (5, 15, 40):
        found = fine if n == 40 else stations(meshed(made), axis=axis, pitch=long / n)
        assert abs(found.volume - made.volume) <= 1.05 * change * long / n / 2


# ------------------------------------------------------------------------------------------------- torn scans


def torn_ball() -> tuple[trimesh.Trimesh, np.ndarray]:
    """A ball of 80 mm radius, and its faces but for those about two places on it."""
    ball = trimesh.creation.icosphere(subdivisions=4, radius=80)
    middle = ball.triangles_center
    gone = np.zeros(len(ball.faces), dtype=bool)
    for at, reach in (((80, 0, 0), 12), ((0, 0, 80), 5)):
        gone |= np.linalg.norm(middle - np.array(at), axis=1) < reach
    return ball, np.asarray(ball.faces)[~gone]


def chord(ball: trimesh.Trimesh, faces: np.ndarray, about: tuple[int, int, int]) -> float:
    """The longest line across the hole there, by all pairs of the corners on its edge."""
    return max(math.dist(a, b) for a, b in itertools.combinations(rim(ball, faces, about).tolist(), 2))


def rim(ball: trimesh.Trimesh, faces: np.ndarray, about: tuple[int, int, int]) -> np.ndarray:
    """Corners on the edge of the hole there."""
    edges = np.sort(np.vstack([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    each, times = np.unique(edges, axis=0, return_counts=True)
    corners = np.asarray(ball.vertices)[np.unique(each[times == 1])]
    return np.asarray(corners[np.linalg.norm(corners - np.array(about), axis=1) < 30])


def test_every_hole_too_large_is_refused_at_once_with_its_size_and_place() -> None:
    ball, faces = torn_ball()
    wide, narrow = chord(ball, faces, (80, 0, 0)), chord(ball, faces, (0, 0, 80))
    found = stations(body((ball.vertices, faces), name="ball"))
    assert found.stops
    assert found.stations == ()
    assert [round(f.value or 0.0, 6) for f in found.findings] == [round(wide, 6), round(narrow, 6)]
    assert f"hole {wide:.3g} mm across at (79.0, 0.0, 0.0)" in found.findings[0].sentence
    assert f"hole {narrow:.3g} mm across at (0.0, 0.0, 79.8)" in found.findings[1].sentence
    assert {f.about for f in found.findings} == {("ball",)}


def test_a_hole_is_closed_up_to_the_very_size_that_is_stated() -> None:
    ball, faces = torn_ball()
    wide = chord(ball, faces, (80, 0, 0))
    short = stations(body((ball.vertices, faces)), close_holes=wide - 0.01)
    assert [f.level for f in short.findings] == ["stop", "caution"]
    found = stations(body((ball.vertices, faces)), close_holes=wide + 1e-9)
    assert [f.code for f in found.findings if f.level == "caution"] == ["station torn"]
    assert len(found.stations) == 8


def test_stations_of_a_torn_scan_are_those_of_the_whole_one() -> None:
    """Where a hole was closed within its sagitta, c2 / 8 r for a chord c, and inside; everywhere else the same."""
    ball, faces = torn_ball()
    whole = stations(meshed(ball), pitch=6)
    torn = stations(body((ball.vertices, faces), name="scan"), pitch=6, close_holes=31)
    sagitta = chord(ball, faces, (0, 0, 80)) ** 2 / 8 / 80
    assert len(whole.stations) == len(torn.stations) == 27
    through = []
    for one, other in zip(whole.stations[:-1], torn.stations[:-1], strict=True):  # the last cuts the other hole
        (a,), (b,) = one.pieces, other.pieces
        if a.rings != b.rings:
            through.append(one.at)
            assert (region(b.rings) - region(a.rings)).area() < 1e-3
            for p in b.rings[0]:
                assert edge_distance(p, a.rings) <= sagitta
    top = rim(ball, faces, (0, 0, 80))[:, 0]
    assert 1.0 in through
    assert set(through) <= {one.at for one in whole.stations if top.min() < (one.at or 0.0) < top.max()}


@given(seed=st.integers(0, 10_000))
@settings(max_examples=10, deadline=None)
def test_flat_holes_are_closed_exactly(seed: int) -> None:
    made = trimesh.creation.box([90, 60, 120]).subdivide().subdivide().subdivide()
    rng = np.random.default_rng(seed)
    gone = rng.choice(len(made.faces), 40, replace=False)
    # a hole round a corner or an edge of the box is not flat: those touching one stay
    at_edge = (np.isclose(np.abs(made.vertices), np.array([45, 30, 60]), atol=1e-9).sum(axis=1) > 1)[made.faces]
    gone = [n for n in gone if not at_edge[n].any()]
    faces = np.delete(np.asarray(made.faces), gone, axis=0)
    turned = rng.choice(len(faces), 10, replace=False)
    faces[turned] = faces[turned][:, ::-1]
    whole, torn = stations(meshed(made), pitch=11), stations(body((made.vertices, faces)), pitch=11, close_holes=80)
    assert len(whole.stations) == len(torn.stations)
    for a, b in zip(pieces(whole), pieces(torn), strict=True):
        assert (region(a.rings) - region(b.rings)).area() + (region(b.rings) - region(a.rings)).area() < 1e-3


def test_a_seam_counts_by_its_width_and_a_loose_triangle_by_its_size() -> None:
    box = trimesh.creation.box([90, 60, 120]).subdivide().subdivide().subdivide()
    corners, faces = np.asarray(box.vertices), np.asarray(box.faces)
    on = np.flatnonzero((corners[:, 2] > 59.9) & (np.abs(corners[:, 1]) < 1e-9) & (np.abs(corners[:, 0]) < 40))
    slit = np.vstack((corners, corners[on] + (0, 0.05, 0)))  # along the middle of the lid, a twentieth of a mm wide
    beyond = (corners[faces].mean(axis=1)[:, 1] > 0) & (corners[faces][:, :, 2] > 59.9).all(axis=1)
    moved = faces.copy()
    for n, corner in enumerate(on):
        moved[beyond] = np.where(moved[beyond] == corner, len(corners) + n, moved[beyond])
    found = stations(body((slit, moved)), axis="z", close_holes=0.2)
    assert [piece.area for piece in pieces(found)] == pytest.approx([5400] * 6)
    (refused,) = stations(body((slit, moved)), axis="z", close_holes=0.02).findings
    # 0.05 wide over 6 steps of 11.25, narrowing over one at either end; 4 area / length all round
    assert refused.value == pytest.approx(4 * 0.05 * 7 * 11.25 / (2 * 8 * 11.25), rel=1e-3)
    assert "crack 0.0875 mm wide at (0.0, 0.0, 60.0)" in refused.sentence
    far = np.vstack((corners, [[0, 0, 200], [30, 0, 200], [0, 40, 200]]))
    loose = np.vstack((faces, [np.arange(3) + len(corners)]))
    (finding,) = stations(body((far, loose)), close_holes=49.9).findings
    # its middle is that of its edges: (30 x (15, 0) + 40 x (0, 20) + 50 x (15, 20)) / 120
    assert "a triangle that no other joins 50 mm across at (10.0, 15.0, 200.0)" in finding.sentence


def test_triangles_that_bound_no_solid_are_refused() -> None:
    box = trimesh.creation.box([90, 60, 120])
    flat = np.array([[0, 0, 0], [50, 0, 0], [50, 50, 0], [0, 50, 0]], dtype=float)
    round_it = np.array([[0, 1, 2], [0, 2, 3], [0, 3, 1], [1, 3, 2]])
    found = stations([meshed(box), body((flat, round_it), name="sheet")])
    assert [f.piece for f in found.findings if f.level == "stop"] == ["sheet"]
    assert "bound no solid" in found.findings[0].sentence


# ----------------------------------------------------------------------------------------------------- dowels


def held(found: Stations, d: float) -> None:
    """Every piece has its dowels with `d` round their rims inside it, the same all through a row, and a wire's hole
    that neither a half turn nor turning over about either line through the dowels brings onto itself."""
    by_name = {piece.name: piece for piece in pieces(found)}
    for names, group in found.dowels:
        a, b = np.array(group.a), np.array(group.b)
        assert np.linalg.norm(b - a) >= 2 * d
        for name in names:
            piece = by_name[name]
            assert {(hole.at, hole.d) for hole in piece.holes} >= {(group.a, d), (group.b, d)}
            for at in (group.a, group.b):
                assert inside(at, piece.rings)
                assert edge_distance(at, piece.rings) >= 1.5 * d - 1e-6
        if group.wire is None:
            continue
        w, middle, way = np.array(group.wire), (a + b) / 2, (b - a) / np.linalg.norm(b - a)
        along, off = (w - middle) @ way, w - middle - (w - middle) @ way * way
        images = (2 * middle - w, middle + along * way - off, middle - along * way + off)
        assert min(math.dist(w, image) for image in images) >= WIRE
        for name in names:
            assert edge_distance(group.wire, by_name[name].rings) >= WIRE / 2 + 2 - 1e-6


@pytest.mark.parametrize("hollow", [None, 25.0])
def test_two_dowels_line_up_all_stations_of_a_body_that_has_room_for_them(hollow: float | None) -> None:
    found = stations(solid(cq.Solid.makeCone(90, 45, 160)), axis="z", pitch=20, hollow=hollow, dowel=8)
    ((names, group),) = found.dowels
    assert names == tuple("12345678")
    held(found, 8)
    # as far apart as the smallest section lets them: r less 12 on either side, at whole mm
    r = 45 + 45 * 10 / 160
    assert 2 * (r - 12 - 1.5) <= math.dist(group.a, group.b) <= 2 * (r - 12)
    assert all(value == round(value) for at in (group.a, group.b, group.wire or ()) for value in at)


def test_a_body_that_leans_changes_dowels_on_the_way_and_says_where() -> None:
    leaning = cq.Solid.extrudeLinear(
        cq.Wire.makePolygon([cq.Vector(*p) for p in ((0, 0, 0), (60, 0, 0), (60, 60, 0), (0, 60, 0))], close=True),
        [],
        cq.Vector(200, 0, 200),
    )
    found = stations(solid(leaning), axis="z", pitch=10)
    assert len(found.stations) == 20
    held(found, 8)
    rows = [set(names) for names, _ in found.dowels]
    assert len(rows) > 3
    for n in range(1, 20):
        assert any({str(n), str(n + 1)} <= row for row in rows), f"nothing holds {n} to {n + 1}"
    (said,) = (f for f in found.findings if f.code == "station dowels" and f.level == "advice")
    assert f"{len(rows)} pairs of dowels, which change in" in said.sentence
    for piece in pieces(found):
        for one, other in itertools.combinations(piece.holes, 2):
            assert math.dist(one.at, other.at) >= (one.d + other.d) / 2 + 2 - 1e-6, piece.name


def test_pieces_of_one_station_have_a_letter_and_holes_each() -> None:
    """A foot, two posts of which one is taller, and a bridge over them; from the bottom up."""
    made = block(200, 80, 20)
    for x, tall in ((0, 100), (150, 100)):
        made = made.fuse(block(50, 80, tall, at=(x, 0, 0)))
    made = made.fuse(block(50, 80, 20, at=(150, 0, 100)))
    found = stations(solid(made), axis="z", pitch=20)
    assert [[piece.name for piece in one.pieces] for one in found.stations] == [
        ["1"], ["2A", "2B"], ["3A", "3B"], ["4A", "4B"], ["5A", "5B"], ["6"],
    ]  # fmt: skip
    held(found, 8)
    assert all(len(piece.holes) >= 3 for piece in pieces(found))
    rows = sorted(names for names, _ in found.dowels)
    assert len(rows) == 2
    assert sum(len(names) for names in rows) == 1 + 1 + 4 + 4 + 1
    # a letter stays with its post: the last piece lies on the post that has the higher x
    by_name = {piece.name: piece for piece in pieces(found)}
    upper = [letter for letter in "AB" if by_name[f"5{letter}"].bounds[1] >= 150 - 1e-6]
    assert len(upper) == 1
    (last,) = (names for names in rows if "6" in names)
    assert f"5{upper[0]}" in last


def test_dowels_that_have_no_place_are_told_and_the_rest_is_held() -> None:
    """A bar of 20 on a block: too narrow for 8 with 8 on each side."""
    found = stations(solid(block(100, 100, 40).fuse(block(20, 20, 80))), axis="z", pitch=20)
    ((names, _),) = found.dowels
    assert names == ("1", "2")
    said = [f.sentence for f in found.findings if f.code == "station dowels"]
    assert any("common to 2 and 3, 3 and 4" in line for line in said)
    assert [piece.holes for piece in pieces(found)][2:] == [(), ()]


# ------------------------------------------------------------------------------------- hollows, holes, pieces


def test_hollows_leave_their_wall_the_ribs_and_the_end_sheets() -> None:
    found = stations(solid(cq.Solid.makeCone(150, 110, 120)), axis="z", pitch=20, hollow=30)
    held(found, 8)
    assert [len(piece.rings) for piece in pieces(found)] == [1, 3, 3, 3, 3, 1]
    names = [one.number for one in found.stations]
    for n, one in enumerate(found.stations[1:-1], 1):
        (piece,) = one.pieces
        outer = [found.stations[k].pieces[0].rings[0] for k in (n - 1, n, n + 1)]
        for ring in piece.rings[1:]:
            assert ring_area(ring) < -400
            for p in ring:  # its own wall, and that of the sheets over and under it
                assert all(edge_distance(p, [edge]) >= 30 - 1e-6 for edge in outer)
    assert names == list(range(1, 7))
    solid_stack = stations(solid(cq.Solid.makeCone(150, 110, 120)), axis="z", pitch=20)
    assert found.volume < 0.75 * solid_stack.volume


def test_a_hole_through_the_body_is_kept_or_filled() -> None:
    pipe = solid(cq.Solid.makeCylinder(60, 100).cut(cq.Solid.makeCylinder(25, 100)).Solids()[0])
    kept, filled = stations(pipe, axis="z"), stations(pipe, axis="z", fill=True)
    assert [len(piece.rings) for piece in pieces(kept)] == [2] * 5
    assert [len(piece.rings) for piece in pieces(filled)] == [1] * 5
    assert kept.volume == pytest.approx(math.pi * (60**2 - 25**2) * 100, rel=1e-3)
    assert filled.volume == pytest.approx(math.pi * 60**2 * 100, rel=1e-3)
    held(kept, 8)


def test_a_cut_that_lies_in_a_flat_face_takes_the_larger_side_and_says_so() -> None:
    stepped = solid(block(100, 80, 30).fuse(block(60, 80, 30, at=(0, 0, 30))))
    found = stations(stepped, axis="z", pitch=20)  # cut at 10, 30, 50
    assert [piece.area for piece in pieces(found)] == pytest.approx([8000, 8000, 4800], abs=1e-3)
    assert any(f"Station 2: the cut lay in a flat face, and was shifted by {SHIFT:g} mm" in n for n in found.notes)
    assert not any("flat face" in note for note in stations(stepped, axis="z", pitch=15).notes)


def test_several_bodies_are_cut_as_one() -> None:
    one, other = solid(block(100, 80, 60)), solid(block(100, 80, 60, at=(50, 40, 0)))
    found = stations([one, other], axis="z", name="both")
    assert found.name == "both"
    assert [len(piece.rings) for piece in pieces(found)] == [1, 1, 1]
    assert found.volume == pytest.approx((2 * 8000 - 50 * 40) * 60)


# ------------------------------------------------------------------------------------------ where sheets stand


def test_sheets_thinner_than_the_pitch_stand_in_its_middle_with_spacers() -> None:
    found = stations(solid(block(100, 80, 60)), axis="z", pitch=20, thickness=5)
    assert [(one.low, one.at, one.high) for one in found.stations] == [
        (7.5, 10.0, 12.5), (27.5, 30.0, 32.5), (47.5, 50.0, 52.5),
    ]  # fmt: skip
    assert found.height == pytest.approx(45)
    assert "Between sheets: 2 spacers of 15 mm on each dowel." in found.notes


def test_a_sheet_has_its_face_where_it_is_asked_for() -> None:
    found = stations(solid(block(100, 80, 60)), axis="z", pitch=25, start=40)
    assert [(one.low, one.high) for one in found.stations] == [(-10, 15), (15, 40), (40, 65)]
    assert any("its first face stands -10.0, its last +5.0 from the body's ends" in note for note in found.notes)


def test_a_room_along_the_axis_keeps_its_number() -> None:
    two = [solid(block(100, 80, 20)), solid(block(100, 80, 20, at=(0, 0, 60)))]
    found = stations(two, axis="z", pitch=20)
    assert [one.number for one in found.stations] == [1, 4]
    assert any("Nothing is cut for station 2, 3" in note for note in found.notes)
    assert found.dowels == ()
    (said,) = (f for f in found.findings if f.code == "station dowels")
    assert said.sentence == "lies on no piece of the sheets beside it: 1, 4; no dowels, set by the lines"


@pytest.mark.parametrize(
    ("axis", "right", "up"),
    [("x", ("y", 1.0), ("z", 1.0)), ("y", ("x", -1.0), ("z", 1.0)), ("z", ("y", -1.0), ("x", 1.0))],
)  # fmt: skip
def test_a_station_is_drawn_as_seen_on_its_marked_face(
    axis: str, right: tuple[str, float], up: tuple[str, float]
) -> None:
    """A block with one corner cut off at its high x, y and z: the cut lies where the bay has it."""
    low = {"x": 10.0, "y": 20.0, "z": 30.0}
    notch = block(40, 40, 40, at=(10 + 60, 20 + 50, 30 + 40))
    found = stations(solid(block(100, 90, 80, at=(10, 20, 30)).cut(notch).Solids()[0]), axis=axis, pitch=8)
    assert (found.axes.right, found.axes.up, found.axes.axis) == (right, up, axis)
    rows = frame_of(axis)
    assert np.allclose(np.cross(rows[0], rows[1]), rows[2])
    last = found.stations[-1].pieces[0]
    gone = {"x": 105.0, "y": 105.0, "z": 105.0}
    there = {name: value + 5.0 for name, value in low.items()}
    for spot, wanted in ((gone, False), (there, True)):
        p = (right[1] * spot[right[0]], up[1] * spot[up[0]])
        assert inside(p, last.rings) is wanted


def test_reference_lines_run_through_every_piece_at_round_places() -> None:
    made = [solid(block(60, 30, 100, at=(-30, 200, 0))), solid(block(60, 300, 100, at=(-30, -150, 0)))]
    found = stations(made, axis="z")
    for piece in pieces(found):
        u0, v0, u1, v1 = piece.bounds
        u, v = piece.lines
        assert u0 < u < u1
        assert v0 < v < v1
        assert (u, v) == (round(u), round(v))
    assert {piece.lines for piece in pieces(found)} == {(-220.0, 0.0), (0.0, 0.0)}


def test_values_that_make_no_sense_are_refused_at_once() -> None:
    thing = solid(block(100, 80, 60))
    with pytest.raises(InputError) as told:
        stations(thing, axis="q", pitch=0, dowel=99, true_at="top", close_holes=-1, sheet=(3, 4))
    assert len(told.value.problems) == 6 + 1
    with pytest.raises(InputError, match=r"thickness = 30 mm, at most 20 mm: pitch of the stations"):
        stations(thing, thickness=30)
    with pytest.raises(InputError, match=r"of = \('a',\), must not be given: it is for files"):
        stations(thing, of=("a",))
    with pytest.raises(InputError, match="what = no body"):
        stations([])
    with pytest.raises(InputError, match=r"pitch = 500 mm, must be less: no sheet's middle is in thing, .* 60 mm"):
        stations(thing, axis="z", pitch=500)
