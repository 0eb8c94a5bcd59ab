"""Ears astride a rail's corner: their V worked out by hand, and against the rail's solid."""

from __future__ import annotations

import math
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from kernel import common_volume
from test_bay_rails import mounted, rail, solid_of, turned
from test_bay_seats import a_bay, judged

from brackets import recipe
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.bay.hung.block import corner_way, corner_word
from brackets.bay.hung.mount_frames import frame_on
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.standing import CORNERS, Mount
from brackets.bay.stand.hands import reflected_bay
from brackets.bay.stand.placed import placed_bay
from brackets.core.errors import BadFile, InputError
from brackets.core.place import HERE
from brackets.geometry.segments import Arc, Line
from brackets.kernel.solids import shape
from brackets.library.corner_ears import CornerSeat, corner_rules, on_corner
from brackets.library.ears import Ears
from brackets.model import edges
from brackets.model.part import Part, Plane
from brackets.model.plate import Plate

EARS = Ears(bolt="M12", inside=50, ear_r=20, t=6, foot=40, leg=4)
RAIL = "rail = { from = [-200, 0, 25], to = [200, 0, 25], size = [60, 50], wall = 2.5, corner = 5 }"
PART = 'recipe = "ears"\nt = 5\near_r = 20\ninside = 44.5\n'
TOP_LEFT = 'corner = "top left"'


def solid_of_part(part: Part, name: str) -> cq.Shape:
    return shape(Part(name=name, pieces=(part.piece(name),)))


# -------------------------------------------------------------------------------------------------- the V by hand


def test_the_v_of_an_ear_worked_out_by_hand() -> None:
    """A sharp corner 60 off, radius 5, arms of 40 / sqrt(2) = 28.284: they end at (20, 80) and (-20, 80) and begin
    5 / sqrt(2) = 3.536 to either side and as much past 60. 6 square to an arm, its end reaches
    20 + 6 / sqrt(2) = 24.243 out, at 80 - 4.243 = 75.757."""
    part = on_corner(EARS, CornerSeat(reach=60, radius=5, flat=40))
    assert [piece.place.at[2] for piece in part.pieces] == [25.0, -31.0]
    for piece in part.pieces:
        assert isinstance(piece, Plate)
        outline = piece.wall.outline
        assert outline.bounds == pytest.approx((-24.243, -20, 24.243, 80), abs=1e-3)
        corners = [p for s in outline.segments for p in (s.a,)]
        wanted = [(24.243, 75.757), (20, 80), (3.536, 63.536), (-3.536, 63.536), (-20, 80), (-24.243, 75.757)]
        for spot in wanted:
            assert min(math.dist(spot, p) for p in corners) < 1e-3
        (root,) = (s for s in outline.segments if isinstance(s, Arc) and math.dist(s.centre, (0, 60)) < 1e-9)
        assert (math.dist(root.a, root.centre), root.ccw) == (pytest.approx(5), False)
        # a quarter turn is the tube's, three quarters are cut out of the ear
        assert root.length == pytest.approx(1.5 * math.pi * 5)


def test_the_arms_bear_where_the_flats_are_and_are_welded_there_on_both_faces() -> None:
    """28.284 - 5 = 23.284 on either flat, of each of two ears, on both faces: 8 welds of that length."""
    part = on_corner(EARS, CornerSeat(reach=60, radius=5, flat=40))
    runs = [edges.length(part.piece(w.piece), w.edge) for w in part.welds]
    assert runs == pytest.approx([40 / math.sqrt(2) - 5] * 8)
    count = {(w.piece, w.onto, w.edge.face) for w in part.welds}  # type: ignore[union-attr]
    assert len(count) == 8
    for weld in part.welds:
        seat = part.seat(weld.onto).place
        for spot in edges.points(part.piece(weld.piece), weld.edge, 5):
            assert seat.local(spot)[2] == pytest.approx(0.0, abs=1e-9)
    left, right = part.seat("foot_left").place, part.seat("foot_right").place
    half = math.sqrt(0.5)
    assert (left.axis, right.axis) == (pytest.approx((half, half, 0)), pytest.approx((-half, half, 0)))
    middle = (5 + 28.284) / 2 * half
    assert left.at == pytest.approx((-middle, 60 + middle, 0), abs=1e-3)


@given(st.floats(45, 120), st.floats(-38, 38), st.floats(-25, 25), st.floats(2, 9))
@settings(max_examples=40, deadline=None)
def test_the_arms_are_square_at_any_clock(reach: float, lean: float, off: float, r: float) -> None:
    """On a rail along the bush axis the arms are square to each other whatever way the V is turned; it is cut only
    where the bush is within 45 degrees of the V's middle, and so outside both flats."""
    on = CornerSeat(reach=reach, radius=r, flat=40, lean=lean, offset=off)
    said = list(corner_rules(EARS, on))
    beyond = abs(math.degrees(math.atan2(off, reach)) + lean) - 45
    assume(abs(beyond) > 1e-6)
    assert (said != []) is (beyond > 0)
    assume(beyond < 0)
    part = on_corner(EARS, on)
    for piece in part.pieces:
        assert isinstance(piece, Plate)
        lines = [s for s in piece.wall.outline.segments if isinstance(s, Line)]
        arms = [s for s in lines if abs(s.length - (40 / math.sqrt(2) - r)) < 1e-6]
        found = [s for s in arms if min(math.dist(p, (off, reach)) for p in (s.a, s.b)) == pytest.approx(r)]
        assert len(found) == 2
        (ax, ay), (bx, by) = ((s.b[0] - s.a[0], s.b[1] - s.a[1]) for s in found)
        assert ax * bx + ay * by == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("ears", "on", "told"),
    [
        ({"foot": 14.1}, {}, "foot = 14.1 mm, 14.15 mm or more: each arm of the V lies 5 mm on its flat"),
        ({"foot": 14.15}, {}, None),
        ({"foot": 35.4}, {"flat": 20}, "foot = 35.4 mm, 35.35 mm or less: the arms of the V end where a flat"),
        ({"foot": 35.3}, {"flat": 20}, None),
        ({}, {"reach": 19.9}, "reach = 19.9 mm, 0.1 more: the corner is 19.9 mm from the bush centre, 20 or more"),
        ({}, {"reach": 20.0}, None),
        # a hole of 12.1, 3 mm of metal, a relief of 12: 21.05
        ({}, {"radius": 12, "reach": 20.95}, "reach = 20.95 mm, 0.1 more: the corner is 20.9 mm"),
        ({}, {"radius": 12, "reach": 21.06}, None),
        ({"ear_r": 9.0}, {}, "ear_r = 9 mm, 9.05 mm or more: metal round a 12.1 hole for M12"),
        ({}, {"lean": 41}, "one 86 deg across the ear, 85 or less"),
        ({}, {"lean": 40}, None),
        ({}, {"slope": 40, "side": 30}, "deg along the bush axis, 40 or less"),
    ],
)
def test_what_has_no_room_is_refused_with_what_would_do(
    ears: dict[str, float], on: dict[str, float], told: str | None
) -> None:
    sizes = {"bolt": "M12", "inside": 50, "ear_r": 20, "t": 6, "foot": 40, "leg": 4} | ears
    said = list(corner_rules(Ears(**sizes), CornerSeat(**({"reach": 60, "radius": 5, "flat": 40} | on))))  # type: ignore[arg-type]
    assert (said == []) if told is None else (len(said) == 1 and told in said[0]), said


@pytest.mark.parametrize("way", ["joggle", "back"])
def test_no_joggle_and_no_back_on_a_corner(way: str) -> None:
    with pytest.raises(InputError, match=rf"{way} = yes, no on a rail's corner"):
        recipe("ears").Params(seat="corner", **{way: True})


def test_without_a_foot_the_v_ends_where_the_narrower_flat_does() -> None:
    """An ear of 26 is 52 wide; flats of 20 beside a corner of 5 end 25 sqrt(2) = 35.36 apart."""
    params = recipe("ears").Params
    assert params(seat="corner", corner_r=5.0, corner_flat=20.0).ears.foot == pytest.approx(35.36, abs=5e-3)
    assert params(seat="corner", corner_r=5.0, corner_flat=60.0).ears.foot == 52.0


# ---------------------------------------------------------------------------------------------- on a rail of a bay


def cornered(turn: np.ndarray, corner: float = 5.0) -> KeepOut:
    """60 wide, 50 high, 400 long, along x before it is turned."""
    start, end = (tuple((turn @ (x, 0, 0)).tolist()) for x in (-200, 200))
    up = tuple(turn[:, 2].tolist())
    return rail(rail_from=start, rail_to=end, rail_size=(60, 50), rail_up=up, rail_corner=corner)


@given(
    st.floats(-30, 30), st.floats(-9, 9), st.floats(-9, 9), st.floats(-35, 35), st.floats(45, 100), st.floats(2, 9)
)
@settings(max_examples=12, deadline=None)
def test_ears_touch_both_faces_and_share_no_metal_with_the_rail(
    roll: float, slope: float, swing: float, clock: float, far: float, r: float
) -> None:
    """A bush `far` from the top left edge, `clock` off its diagonal; its axis along x, the rail turned from it."""
    turn = turned(roll, slope, swing)
    onto = cornered(turn, r)
    angle = math.radians(45 + clock)
    at = tuple((turn @ (0, 30 + far * math.cos(angle), 25 + far * math.sin(angle))).tolist())
    mount = Mount(name="m", bush="R40", at=at, axis=(1, 0, 0))
    try:
        stand = frame_on(mount, onto, None, side_place=HERE, corner=corner_word(tuple(turn @ (0, 1, 1))))
    except InputError:
        assume(False)
    by = {"rail reach": "reach", "rail slope": "slope", "rail side angle": "side", "rail lean": "lean",
          "rail offset": "offset", "rail corner radius": "radius", "rail corner flat": "flat"}  # fmt: skip
    on = CornerSeat(**{by[name]: float(v) for name, v in stand.values.items() if name in by})
    assume(not list(corner_rules(EARS, on)))
    part = on_corner(EARS, on).placed(stand.frame)
    solid = solid_of(onto)
    for name in ("ear_front", "ear_rear"):
        ear = solid_of_part(part, name)
        assert common_volume(ear, solid) < 0.01
        spots = np.array([v.toTuple() for v in ear.Vertices()])
        for normal in ((0, 1, 0, 30), (0, 0, 1, 25)):
            # one corner or more of the ear lies on either flat, and none of its arms beyond it
            local = spots @ turn
            height = local @ normal[:3] - normal[3]
            other = local @ (0, normal[2], normal[1]) - (25 if normal[1] else 30)
            assert np.min(np.abs(height[other < 0])) == pytest.approx(0.0, abs=1e-6)


def test_the_seats_on_a_corner_bear_whole_in_closed_form(tmp_path: Path) -> None:
    """A bush 49.5 beyond both faces: 70 off the edge, no lean. Arms of 40 / sqrt(2) - 5 on two ears of 5 thick."""
    path = a_bay(tmp_path, rail=RAIL, toward=TOP_LEFT, at=(0, 30 + 49.5, 50 + 49.5), part=PART)
    seats, said = judged(path)
    assert said == []
    assert [one.seat for one in seats] == ["foot_left", "foot_right"]
    for one in seats:
        assert one.area == pytest.approx(2 * 5 * (40 / math.sqrt(2) - 5))
        assert one.contact == pytest.approx(one.area)
        assert one.weld == pytest.approx(4 * (40 / math.sqrt(2) - 5))
        assert (one.hangs, one.bare, one.onto) == ((), 0.0, ("rail",))
        assert one.open == pytest.approx(0.0, abs=1e-9)
    (ears,) = placed_bay(read(path)).parts
    assert ears.worked_out == pytest.approx(
        {"bolt": "M10", "seat": "corner", "reach": 49.5 * math.sqrt(2), "slope": 0.0, "side_angle": 0.0,
         "offset": 0.0, "lean": 0.0, "corner_r": 5.0, "corner_flat": 40.0}
    )  # fmt: skip
    assert not any("corner" in line for line in ears.unfilled)


def test_a_bay_with_ears_on_a_corner_fits_and_the_ears_foul_nothing(tmp_path: Path) -> None:
    done = fit(read(a_bay(tmp_path, rail=RAIL, toward=TOP_LEFT, at=(0, 70, 110), part=PART)))
    (pair,) = (p for p in done.pairs if {p.a, p.b} == {"ears", "rail"})
    assert pair.low == pytest.approx(0.0, abs=1e-6)
    assert not [f for f in done.findings if {"ears", "rail"} <= set(f.about)]


@pytest.mark.parametrize(("slope", "levels"), [(15.0, []), (-15.0, []), (30.0, ["stop"])])
def test_each_face_of_a_corner_that_slopes_is_judged(tmp_path: Path, slope: float, levels: list[str]) -> None:
    """Ears of 5, cut square, on a rail that falls by s beside an upright side: its top is left open by 5 sin(s),
    1.29 at 15 and 2.5 at 30 deg, and 1.6 can be welded over. The side is touched all through the ear: the relief is
    5 / cos(s) + 5 tan(s) deep, so that the arm begins on the flat where the top has fallen too."""
    turn = turned(0.0, slope, 0.0)
    start, end = (turn @ (-300, 0, 0)).tolist(), (turn @ (300, 0, 0)).tolist()
    sloped = f"rail = {{ from = {start}, to = {end}, size = [60, 50], wall = 2.5, corner = 5 }}"
    seats, said = judged(a_bay(tmp_path, rail=sloped, toward=TOP_LEFT, at=(0, 90, 90), part=PART + "foot = 40"))
    s = math.radians(abs(slope))
    assert [one.open for one in seats] == pytest.approx([0.0, 5 * math.sin(s)], abs=1e-9)
    relief = 5 / math.cos(s) + 5 * math.tan(s)
    assert seats[0].area == pytest.approx(2 * 5 * (40 / math.sqrt(2) - relief))
    assert seats[0].contact == pytest.approx(seats[0].area)
    assert [f.level for f in said] == levels


def test_a_face_of_the_v_that_misses_its_flat_is_judged_though_the_other_bears(tmp_path: Path) -> None:
    """A corner typed 3 mm to one side of where it is: one arm stands off its flat by 3 / sqrt(2) = 2.12, and the
    other in the metal."""
    shifted = PART + "offset = -3"
    seats, said = judged(a_bay(tmp_path, rail=RAIL, toward=TOP_LEFT, at=(0, 79.5, 99.5), part=shifted))
    by_seat = {one.seat: one for one in seats}
    assert set(by_seat) == {"foot_left", "foot_right"}
    missed = [f for f in said if f.level == "stop" and "stands on nothing" in f.sentence]
    assert [f.value for f in missed] == pytest.approx([3 / math.sqrt(2)])


# ----------------------------------------------------------------------------------------------- words and refusals


def test_every_corner_has_the_name_of_the_way_it_looks() -> None:
    assert [corner_word(corner_way(word)) for word in CORNERS] == list(CORNERS)
    assert corner_way("top left") == pytest.approx((0, math.sqrt(0.5), math.sqrt(0.5)))
    assert corner_word((0.1, -0.8, -0.7)) == "bottom right"


@pytest.mark.parametrize("word", ["top left", "top right", "bottom left", "bottom right"])
def test_the_edge_of_each_corner_by_hand(word: str) -> None:
    """60 by 50 about z = 25: the edges lie at y = 30 and -30, z = 50 and 0; the bush 60 and 50 off."""
    across, up = (1 if "left" in word else -1), (1 if "top" in word else -1)
    at = (10.0, across * 90.0, 25.0 + up * 75.0)
    found = frame_on(
        Mount(name="m", bush="R40", at=at, axis=(1, 0, 0)), rail(rail_size=(60, 50), rail_corner=5), None,
        side_place=HERE, corner=word,
    )  # fmt: skip
    assert found.values["rail reach"] == pytest.approx(math.hypot(60, 50))
    assert found.frame.up == pytest.approx((0, -across * 60 / math.hypot(60, 50), -up * 50 / math.hypot(60, 50)))
    turn = 45 - math.degrees(math.atan2(50, 60))
    assert abs(float(found.values["rail lean"])) == pytest.approx(turn)
    assert (found.values["rail corner radius"], found.values["rail corner flat"]) == (5, 40)


def test_a_rail_on_edge_has_its_corners_on_top_and_to_the_sides() -> None:
    on_edge = rail(rail_size=(50, 50), rail_corner=5, rail_up=(0, 1, 1))
    mount = Mount(name="m", bush="R40", at=(0, 0, 130), axis=(1, 0, 0))
    found = frame_on(mount, on_edge, None, side_place=HERE, corner="top")
    assert found.values["rail reach"] == pytest.approx(105 - 25 * math.sqrt(2))
    assert found.values["rail lean"] == 0.0
    with pytest.raises(InputError, match=r"corner = top left, one of bottom, left, right, top: what the"):
        frame_on(mount, on_edge, None, side_place=HERE, corner="top left")


@pytest.mark.parametrize(
    ("onto", "told"),
    [
        (RAIL.replace(", corner = 5", ""), "rail is a rail whose corner is not typed"),
        (RAIL.replace(", corner = 5", ", corner = 5, open = [0, -1, 0]"), "rail is a channel"),
        ("tube = { from = [-200, 0, 25], to = [200, 0, 25], od = 50 }", "rail is nothing of the kind"),
        ("box = { from = [-200, -25, 0], to = [200, 25, 50] }", "rail is nothing of the kind"),
    ],
)
def test_what_has_no_such_corner_is_refused(tmp_path: Path, onto: str, told: str) -> None:
    with pytest.raises(BadFile, match=r"top left, of a square or rectangular rail with a corner radius") as caught:
        judged(a_bay(tmp_path, rail=onto, toward=TOP_LEFT, at=(0, 80, 100), part=PART))
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("at", "axis", "corner", "told"),
    [
        ((0, 20, 100), (1, 0, 0), "top left", "the bush is 10.0 mm short of being past both faces of rail"),
        ((0, 80, 100), (0, 1, 0), "top left", "rail runs 90 deg from it"),
        ((0, 80, 100), (1, 0, 0), "front", "one of bottom left, bottom right, top left, top right"),
    ],
)
def test_a_corner_that_the_bush_cannot_stand_on_is_refused(
    at: tuple[float, float, float], axis: tuple[float, float, float], corner: str, told: str
) -> None:
    mount = Mount(name="m", bush="R40", at=at, axis=axis)
    with pytest.raises(InputError) as caught:
        frame_on(mount, rail(rail_size=(60, 50), rail_corner=5), None, side_place=HERE, corner=corner)
    assert told in str(caught.value)


def test_a_corner_wants_onto_a_known_word_and_ears_that_can_be_cut_to_it(tmp_path: Path) -> None:
    def refused(**values: str) -> str:
        with pytest.raises(BadFile) as caught:
            judged(a_bay(tmp_path, **({"rail": RAIL, "toward": TOP_LEFT, "part": PART} | values), at=(0, 80, 100)))  # type: ignore[arg-type]
        return str(caught.value)

    assert "top let" in refused(toward='corner = "top let"')
    assert "has no value that takes" in refused(part='recipe = "ears_on_base"\n')
    with pytest.raises(InputError, match="chassis corner = top left, must be with onto"):
        Mount(name="m", bush="R40", at=(0, 0, 0), axis=(1, 0, 0), chassis_corner="top left")


def test_the_other_hand_stands_on_the_other_corner(tmp_path: Path) -> None:
    bay = read(a_bay(tmp_path, rail=RAIL, toward=TOP_LEFT, at=(0, 80, 100), part=PART))
    there = reflected_bay(bay, Plane((0.0, 0.0, 0.0), (0.0, 1.0, 0.0)))
    assert there.mounts[0].chassis_corner == "top right"


def test_toward_turns_the_ears_and_the_v_stays_on_the_corner() -> None:
    """Straight down from a bush 20 to the left of the edge and 60 above it."""
    mount = Mount(name="m", bush="R40", at=(0, 50, 110), axis=(1, 0, 0))
    onto = rail(rail_size=(60, 50), rail_corner=5)
    found = frame_on(mount, onto, (0, 0, -1), side_place=HERE, corner="top left")
    assert found.values["rail reach"] == pytest.approx(60)
    # y down and z forward: x is to the right of the bay
    assert found.values["rail offset"] == pytest.approx(20)
    assert abs(float(found.values["rail lean"])) == pytest.approx(45)
    assert mounted(onto, at=(0, 0, 110)).values["rail seat"] == "flat"
