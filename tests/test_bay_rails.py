"""Rails: square and rectangular sections at any slope, what a foot has under it on them, and doubled sheet."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product
from pathlib import Path

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel import common_volume, off
from test_bay_reading import TOP, bay_file, problems
from test_bay_reading import box as crate
from test_bay_seats import EARS, a_bay, judged

from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.bay.hung.block import block_of, cold_formed_corner
from brackets.bay.hung.mount_frames import MountFrame, frame_on
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.standing import Mount
from brackets.bay.seats.ground import Ground, distance_from_keep_out, face_of
from brackets.bay.seats.rules import HANG, SKIN, rail_findings, skin_findings
from brackets.bay.stand.bodies import keep_out_body
from brackets.bay.stand.gap_rules import contacts
from brackets.bay.stand.hands import reflected_bay
from brackets.bay.stand.layers import met
from brackets.bay.stand.placed import placed_bay
from brackets.clearance.bodies import body
from brackets.clearance.gaps import gap
from brackets.core.errors import BadFile, InputError
from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec
from brackets.geometry.regions import Region
from brackets.geometry.shapes import rectangle
from brackets.kernel.measure import location, volume_properties
from brackets.kernel.solids import shape
from brackets.model.faces import area
from brackets.model.part import Plane

ALONG = "rail = { from = [-200, 0, 25], to = [200, 0, 25], size = [50, 50], wall = 2.5 }"
"""A rail of 50 by 50 whose top is at z = 50."""


def solid_of(keep_out: KeepOut) -> cq.Shape:
    block = block_of(keep_out)
    assert block is not None
    made = keep_out_body(keep_out, beside=Path()).core.shape
    assert made is not None
    return cq.Shape.cast(made).moved(location(block.place))


def rail(**values: object) -> KeepOut:
    plain: dict[str, object] = {"rail_from": (-200, 0, 25), "rail_to": (200, 0, 25), "rail_size": (50, 50)}
    return KeepOut(name="rail", **(plain | values))  # type: ignore[arg-type]


# ------------------------------------------------------------------------------------------------------- body


@pytest.mark.parametrize("wall", [None, 2.5, 8.0])
@pytest.mark.parametrize("corner", [None, 0.0, 5.0, 15.0])
def test_the_body_of_a_rail_has_the_volume_of_its_section(wall: float | None, corner: float | None) -> None:
    """Width times height less what the corners lack, less the same of the bore, times the length; 15 is all of half
    the smaller side."""
    made = rail(rail_size=(50, 30), rail_wall=wall, rail_corner=corner)
    r = corner or 0.0
    area = 50 * 30 - (4 - math.pi) * r**2
    if wall is not None:
        inner = max(0.0, r - wall)
        area -= (50 - 2 * wall) * (30 - 2 * wall) - (4 - math.pi) * inner**2
    assert volume_properties(solid_of(made))[0] == pytest.approx(400 * area, rel=1e-12)


@given(
    *(st.floats(-1, 1) for _ in range(3)),
    st.floats(0, 15),
    st.tuples(st.floats(-60, 60), st.floats(-60, 60), st.floats(-40, 200)),
)
@settings(max_examples=40, deadline=None)
def test_a_point_is_as_far_off_a_rail_as_the_kernel_says(x: float, y: float, z: float, r: float, spot: Vec) -> None:
    made = rail(rail_from=(0, 0, 0), rail_to=(150 * (1.5 + x), 100 * y, 100 * z), rail_size=(50, 30), rail_corner=r)
    block = block_of(made)
    assert block is not None
    at = block.place.point(spot)
    found = distance_from_keep_out(made, HERE, at)
    theirs = off(solid_of(made), at)
    # of a point within, the kernel says 0 or, near the skin, how far that is
    assert theirs == pytest.approx(found, abs=1e-7) if found > 0 else theirs <= 1e-7 - found


def test_what_passes_through_the_inside_of_a_hollow_rail_fouls_nothing() -> None:
    """A rod of 20 in the middle of a section of 50 by 2.5: 45 / 2 - 10 = 12.5 to the wall; a bar has no inside."""
    rod = body(cq.Solid.makeCylinder(10, 600, cq.Vector(-300, 0, 25), cq.Vector(1, 0, 0)), name="rod")
    hollow = gap(keep_out_body(rail(rail_wall=2.5, rail_corner=5.0), beside=Path()), rod)
    assert (hollow.state, hollow.low) == ("clear", pytest.approx(12.5, abs=1e-3))
    assert gap(keep_out_body(rail(), beside=Path()), rod).state == "hit"


def test_height_lies_along_up_and_without_it_straight_up() -> None:
    """50 wide, 30 high: the top of a level rail is 15 above its middle line, or 25 with up to the side."""
    for up, top in ((None, 40.0), ((0, 0, 5), 40.0), ((0.3, 0, 1), 40.0), ((0, 1, 0), 50.0)):
        made = keep_out_body(rail(rail_size=(50, 30), rail_up=up), beside=Path())
        assert made.box[1][2] == pytest.approx(top)


# ------------------------------------------------------------------------------------------------ its seat's frame

UP = st.floats(-25, 25)


def turned(roll: float, slope: float, swing: float) -> np.ndarray:
    """Columns: where x, y and z of the bay go, turned about x by `roll`, about y by `slope`, about z by `swing`."""
    a, b, c = (math.radians(angle) for angle in (roll, slope, swing))
    about_x = np.array([[1, 0, 0], [0, math.cos(a), -math.sin(a)], [0, math.sin(a), math.cos(a)]])
    about_y = np.array([[math.cos(b), 0, math.sin(b)], [0, 1, 0], [-math.sin(b), 0, math.cos(b)]])
    about_z = np.array([[math.cos(c), -math.sin(c), 0], [math.sin(c), math.cos(c), 0], [0, 0, 1]])
    return np.asarray(about_z @ about_y @ about_x)


def pair_of(turn: np.ndarray) -> tuple[KeepOut, KeepOut]:
    """The same section of 60 by 40, 400 long, once as a rail and once as a turned box."""
    start = turn @ (-200, 0, 0)
    ends = tuple(start.tolist()), tuple((turn @ (200, 0, 0)).tolist())
    along, up = tuple(turn[:, 0].tolist()), tuple(turn[:, 2].tolist())
    as_rail = KeepOut(name="rail", rail_from=ends[0], rail_to=ends[1], rail_size=(60, 40), rail_up=up)
    as_box = KeepOut(
        name="rail", box_from=(-30, -20, 0), box_to=(30, 20, 400), box_at=ends[0], box_axis=along, box_up=up
    )
    return as_rail, as_box


def mounted(onto: KeepOut, at: Vec = (0, 0, 90), axis: Vec = (1, 0, 0), toward: Vec | None = None) -> MountFrame:
    mount = Mount(name="m", bush="R40", at=at, axis=axis)
    return frame_on(mount, onto, toward, side_place=HERE)


@given(UP, UP, UP)
def test_the_seat_on_a_rail_is_that_of_a_frame_turned_by_hand(roll: float, slope: float, swing: float) -> None:
    """A bush 90 above the middle of a rail 40 high, axis forward, straight down: the top face is the plane
    n . p = 20, which the line down meets at z = 20 / n_z, and which falls by n_x / n_z a mm forward and by
    n_y / n_z a mm to the left."""
    turn = turned(roll, slope, swing)
    as_rail, as_box = pair_of(turn)
    found, same = mounted(as_rail, toward=(0, 0, -1)), mounted(as_box, toward=(0, 0, -1))
    nx, ny, nz = turn[:, 2]
    assert found.frame.up == pytest.approx((0, 0, -1))
    assert found.values["rail reach"] == pytest.approx(90 - 20 / nz)
    assert math.tan(math.radians(float(found.values["rail slope"]))) == pytest.approx(nx / nz, abs=1e-9)
    # y down and z forward: x is to the right, and y shrinks to the right where the face falls to the left
    assert found.frame.x == pytest.approx((0, -1, 0))
    assert math.tan(math.radians(float(found.values["rail lean"]))) == pytest.approx(-ny / nz, abs=1e-9)
    assert found.values["rail seat"] == "flat"
    assert found.values == pytest.approx(same.values)
    assert found.frame.up == pytest.approx(same.frame.up)


@given(UP, UP, UP)
def test_without_a_direction_the_seat_is_as_square_to_the_face_as_the_bush_lets_it_be(
    roll: float, slope: float, swing: float
) -> None:
    turn = turned(roll, slope, swing)
    as_rail, as_box = pair_of(turn)
    at = tuple((turn @ (10, 5, 90)).tolist())
    found = mounted(as_rail, at=at)
    n = turn[:, 2]
    down = -np.array([0.0, n[1], n[2]]) / math.hypot(n[1], n[2])
    assert found.frame.up == pytest.approx(down.tolist())
    assert found.values["rail lean"] == 0.0
    assert found.values["rail reach"] == pytest.approx(70 / math.hypot(n[1], n[2]))
    assert found.values == pytest.approx(mounted(as_box, at=at).values)


@pytest.mark.parametrize(
    ("at", "toward", "reach"),
    [
        ((0, 0, 90), None, 40.0),
        ((0, 0, 90), (0, 0, -1), 40.0),
        ((0, 0, 90), (0, 0.3, -1), 40 * math.hypot(1, 0.3)),
        ((0, 0, -40), None, 40.0),
        ((0, 90, 25), (0, -1, 0), 65.0),
        ((0, 60, 90), (0, -1, -1.2), 40 * math.hypot(1, 1 / 1.2)),  # passes beside the top, y = 26.7
        ((0, 60, 70), (0, -1.2, -1), 35 * math.hypot(1, 1 / 1.2)),  # meets the side at z = 70 - 35 / 1.2 = 40.8
        ((0, 60, 90), (0, 0, -1), 40.0),  # beside the rail: misses it, and points at its top all the same
    ],
)
def test_the_face_met_is_the_one_that_toward_points_at(at: Vec, toward: Vec | None, reach: float) -> None:
    """A rail with its top at z = 50, its bottom at 0, its sides at y = 25 and -25."""
    found = mounted(rail(), at=at, toward=toward)
    assert found.values["rail reach"] == pytest.approx(reach)
    if toward is not None:
        assert found.frame.up == pytest.approx(tuple(c / math.hypot(*toward) for c in toward))


def test_a_bush_outside_two_faces_must_say_which_and_an_end_is_none() -> None:
    with pytest.raises(InputError, match="m: onto = rail, give toward: 2 faces of it look at the bush"):
        mounted(rail(), at=(0, 60, 90))
    with pytest.raises(InputError, match="give toward: no face of it looks"):
        mounted(rail(), at=(300, 0, 25))
    with pytest.raises(InputError, match="give another toward: no face of it looks .* within 45 deg of it"):
        mounted(rail(), toward=(0, 0, 1))
    with pytest.raises(InputError, match="give another toward: no face"):
        mounted(rail(), toward=(0, 1.001, -1))
    assert mounted(rail(), toward=(0, 0.999, -1)).values["rail lean"] == pytest.approx(-44.97, abs=0.01)


# ---------------------------------------------------------------------------------------------- what stands on it

BASE = 'recipe = "ears_on_base"\nt = 5\near_r = 20\ninside = 44.5\n'


def base(length: float) -> str:
    return BASE + f"base = {{ width = 80, length = {length}, t = 5, radius = 2 }}"


def cornered(corner: float | None) -> str:
    return ALONG if corner is None else ALONG.replace("wall = 2.5", f"wall = 2.5, corner = {corner}")


def test_a_foot_as_wide_as_its_rail_stands_on_what_the_corners_leave_flat(tmp_path: Path) -> None:
    """80 by 50 on a section of 50 with corners of 6: two strips of 6 by 80 hang over the corners, with the base's
    own rounded corners in them."""
    (seat,), (said,) = judged(a_bay(tmp_path, rail=cornered(6), part=base(50)))
    assert seat.area == pytest.approx(80 * 50 - (4 - math.pi) * 2**2)
    assert seat.contact == pytest.approx(80 * (50 - 2 * 6))
    edges = {"left edge of the flat": 6.0, "right edge of the flat": 6.0}
    assert {edge: far for edge, far, _ in seat.hangs} == pytest.approx(edges)
    assert said.level == "caution"
    assert "its foot hangs 6.0 mm off the left edge of the flat of rail" in said.sentence
    (seat,), said_square = judged(a_bay(tmp_path, rail=cornered(None), part=base(50)))
    assert seat.contact == pytest.approx(seat.area)
    assert said_square == []


@pytest.mark.parametrize(("over", "levels"), [(HANG - 0.01, []), (HANG + 0.01, ["caution"])])
def test_a_foot_within_the_flat_is_not_spoken_of(tmp_path: Path, over: float, levels: list[str]) -> None:
    """Corners of 2 leave 46; the foot of the ears takes 44 of the base."""
    _, said = judged(a_bay(tmp_path, rail=cornered(2), part=base(46 + 2 * over)))
    assert [f.level for f in said] == levels


def test_what_hangs_past_the_end_of_a_rail_is_said_by_that_end(tmp_path: Path) -> None:
    """A base of 80 along the rail, its middle 30 short of the end at 200: 10 past it; within the flat across."""
    (seat,), (said,) = judged(a_bay(tmp_path, rail=cornered(2), part=base(44), at=(170, 0, 120)))
    assert [(edge, onto) for edge, _, onto in seat.hangs] == [("front end", "rail")]
    assert seat.hangs[0][1] == pytest.approx(10)
    assert "its foot hangs 10.0 mm off the front end of rail" in said.sentence


def test_a_weld_over_the_corner_is_judged_by_how_far_the_corner_is_off_there(tmp_path: Path) -> None:
    """Feet of 40 on the flat of 30 that corners of 10 leave: their ends are 5 past it, sqrt(125) - 10 = 1.18 off
    the round; moved 2 mm to the left sqrt(149) - 10 = 2.21, over 1.6 from sqrt(11.6^2 - 100) = 5.88 past it on."""
    (seat,), _ = judged(a_bay(tmp_path, rail=cornered(10), part=EARS))
    assert seat.open == pytest.approx(math.sqrt(125) - 10)
    assert seat.bare == 0
    (seat,), _ = judged(a_bay(tmp_path, at=(0, 2, 120), rail=cornered(10), part=EARS))
    assert seat.open == pytest.approx(math.sqrt(149) - 10)
    assert seat.bare == pytest.approx(4 * (7 - math.sqrt(11.6**2 - 100)), abs=0.05)


def test_an_open_end_bears_by_its_wall(tmp_path: Path) -> None:
    """A base of 80 by 50 over the end of a rail of 80 by 50 that stands up: corners of 6, 3.5 within."""
    up = "rail = { from = [0, 0, -300], to = [0, 0, 50], size = '50x80', wall = 2.5, corner = 6, up = [1, 0, 0] }"
    (seat,), _ = judged(a_bay(tmp_path, rail=up, part=base(50)))
    outer = 80 * 50 - (4 - math.pi) * 6**2
    inner = 75 * 45 - (4 - math.pi) * 3.5**2
    assert seat.contact == pytest.approx(outer - inner, abs=0.3)


def sloping(slope: float, roll: float, *, as_box: bool = False, corner: float | None = None) -> str:
    """A rail of 60 by 60, 400 long, whose middle line falls by `slope` going forward, turned by `roll` about it."""
    turn = turned(roll, slope, 0.0)
    start, end = (turn @ (-200, 0, 0)).tolist(), (turn @ (200, 0, 0)).tolist()
    up = turn[:, 2].tolist()
    if as_box:
        along = turn[:, 0].tolist()
        return f"box = {{ from = [-30, -30, 0], to = [30, 30, 400], at = {start}, axis = {along}, up = {up} }}"
    rounded = "" if corner is None else f", corner = {corner}"
    return f"rail = {{ from = {start}, to = {end}, size = [60, 60], wall = 3, up = {up}{rounded} }}"


SLOPED = EARS.replace('\nseat = "flat"', "")


@pytest.mark.parametrize(("slope", "roll"), [(8.0, 0.0), (-12.0, 6.0), (5.0, -9.0), (0.0, 7.0)])
def test_ears_stand_on_a_rail_that_slopes_along_and_across(tmp_path: Path, slope: float, roll: float) -> None:
    """Each ear of 5 is cut square, to its own length, and touches with one edge of its foot; the other is off by 5
    times the sine of how far the face leans along the bush axis. Rail and turned box say the same."""
    path = a_bay(tmp_path, rail=sloping(slope, roll), part=SLOPED, at=(0, 0, 110))
    (seat,), said = judged(path)
    assert said == []
    turn = turned(roll, slope, 0.0)
    off_normal = math.acos(math.hypot(turn[1, 2], turn[2, 2]))
    assert seat.open == pytest.approx(5 * math.sin(off_normal), abs=1e-9)
    assert seat.contact == pytest.approx(seat.area)
    assert seat.area == pytest.approx(2 * 40 * 5 * math.cos(off_normal), rel=1e-9)
    standing = placed_bay(read(path))
    ears, onto = shape(standing.parts[0].part), keep_out_body(standing.bay.keep_outs[0], beside=tmp_path)
    assert common_volume(ears, solid_of(standing.bay.keep_outs[0])) < 1e-6
    for solid in ears.Solids():
        assert gap(body(solid, name="ear"), onto).low == pytest.approx(0.0, abs=1e-6)
    (same,), said_box = judged(a_bay(tmp_path, rail=sloping(slope, roll, as_box=True), part=SLOPED, at=(0, 0, 110)))
    assert said_box == []
    assert (same.contact, same.area, same.open) == pytest.approx((seat.contact, seat.area, seat.open))


@pytest.mark.parametrize(("slope", "levels"), [(18.6, []), (18.8, ["stop"])])
def test_square_cut_ears_go_no_steeper_than_their_gap_is_welded(
    tmp_path: Path, slope: float, levels: list[str]
) -> None:
    """5 sin(18.66 deg) = 1.6 mm."""
    _, said = judged(a_bay(tmp_path, rail=sloping(slope, 0.0), part=SLOPED, at=(0, 0, 110)))
    assert [f.level for f in said] == levels


def test_the_recipe_takes_reach_slope_lean_and_the_kind_of_seat(tmp_path: Path) -> None:
    path = a_bay(tmp_path, rail=sloping(8.0, 6.0), part=SLOPED, at=(0, 0, 110))
    (ears,) = placed_bay(read(path)).parts
    n = turned(6.0, 8.0, 0.0)[:, 2]
    assert set(ears.worked_out) == {"bolt", "reach", "seat", "slope", "lean", "offset"}
    assert ears.worked_out["seat"] == "flat"
    assert ears.worked_out["reach"] == pytest.approx(110 - 30 / n[2])
    assert ears.worked_out["slope"] == pytest.approx(math.degrees(math.atan2(n[0], n[2])))
    assert ears.worked_out["lean"] == pytest.approx(math.degrees(math.atan2(-n[1], n[2])))
    foot = ears.part.seat("foot").place
    assert foot.axis == pytest.approx((-n).tolist())
    assert n @ foot.at == pytest.approx(30)


def test_a_joggled_foot_is_cut_to_the_slope_at_its_own_level(tmp_path: Path) -> None:
    joggled = f"{SLOPED}\njoggle = true\nset_out = 20\njoggle_at = 30\njoggle_angle = 45\ninside_radius = 5"
    path = a_bay(tmp_path, rail=sloping(8.0, 4.0).replace("60, 60", "70, 60"), part=joggled, at=(0, 0, 150))
    (seat,), said = judged(path)
    assert [f.code for f in said] == []
    standing = placed_bay(read(path))
    onto = keep_out_body(standing.bay.keep_outs[0], beside=tmp_path)
    for solid in shape(standing.parts[0].part).Solids():
        assert gap(body(solid, name="ear"), onto).low == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(("slope", "roll"), [(0.0, 9.0), (8.0, 0.0), (-12.0, 6.0)])
def test_a_base_lies_on_a_rail_that_slopes_and_leans(tmp_path: Path, slope: float, roll: float) -> None:
    """The rail's top is the plane n . p = 30; the base of 80 by 48, its corners rounded by 2, lies on it whole."""
    path = a_bay(tmp_path, rail=sloping(slope, roll), part=base(48), at=(0, 0, 110))
    (seat,), said = judged(path)
    assert said == []
    assert seat.widest == pytest.approx(0.0, abs=1e-9)
    assert seat.contact == pytest.approx(seat.area) == pytest.approx(80 * 48 - (4 - math.pi) * 2**2)
    n = turned(roll, slope, 0.0)[:, 2]
    standing = placed_bay(read(path))
    (ears,) = standing.parts
    assert ears.worked_out["reach"] == pytest.approx(110 - 30 / n[2])
    assert ears.worked_out["slope"] == pytest.approx(math.degrees(math.atan2(n[0], n[2])))
    under = ears.part.seat("foot").place
    assert (n @ under.at, under.axis) == (pytest.approx(30), pytest.approx((-n).tolist()))
    onto = standing.bay.keep_outs[0]
    assert common_volume(shape(ears.part), solid_of(onto)) < 1e-6
    open_by = 5 * math.tan(math.radians(abs(ears.worked_out["slope"])))
    assert [f.value for f in ears.findings if f.code == "square foot"] == pytest.approx([open_by] * (slope != 0))


@pytest.mark.parametrize(("slope", "fits"), [(17.7, True), (17.8, False), (-17.7, True), (-17.8, False)])
def test_ears_on_a_base_go_no_steeper_than_their_gap_is_welded(tmp_path: Path, slope: float, fits: bool) -> None:
    """5 tan(17.74 deg) = 1.6 mm."""
    path = a_bay(tmp_path, rail=sloping(slope, 0.0), part=base(48), at=(0, 0, 110))
    if fits:
        _, said = judged(path)
        assert said == []
        return
    with pytest.raises(BadFile, match=r"slope = -?17\.8 deg, 17\.7 or less either way: an ear 5 thick is cut"):
        judged(path)


def test_a_back_is_square_to_its_ears_and_says_so_on_a_slope(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match=r"slope = 8 deg, 0 with a back on a flat"):
        judged(a_bay(tmp_path, rail=sloping(8.0, 0.0), part=f"{SLOPED}\nback = true", at=(0, 0, 110)))


# ------------------------------------------------------------------------------------------- corners not typed


@pytest.mark.parametrize(
    ("wall", "radii"),
    [(2.5, (4.0, 6.0)), (6.0, (9.6, 14.4)), (6.3, (12.6, 18.9)), (10.0, (20.0, 30.0)), (12.5, (30.0, 45.0))],
)
def test_corners_of_cold_formed_sections_are_those_of_the_standard(wall: float, radii: tuple[float, float]) -> None:
    """EN 10219-2:2006 table 3, external corner profile: 1.6 T to 2.4 T up to 6 mm, 2 T to 3 T up to 10, then 2.4 T
    to 3.6 T; as two steel makers' published tables of that standard's tolerances have it."""
    assert cold_formed_corner(wall) == pytest.approx(radii)


def test_a_section_without_typed_corners_says_how_much_of_it_may_not_be_flat(tmp_path: Path) -> None:
    path = a_bay(tmp_path, rail=cornered(None))
    seats, _ = judged(path)
    (said,) = rail_findings(read(path), (*seats, *seats))
    assert (said.level, said.piece, said.about) == ("advice", "rail", ("rail",))
    assert "with 2.5 mm of wall they are 4 to 6 mm round, and up to 12 of its 50 mm are not flat" in said.sentence
    assert list(rail_findings(read(a_bay(tmp_path, rail=cornered(5))), seats)) == []
    assert list(rail_findings(read(a_bay(tmp_path, rail=ALONG.replace(", wall = 2.5", ""))), seats)) == []
    assert list(rail_findings(read(path), [replace(seats[0], contact=0.0)])) == []


# ------------------------------------------------------------------------------------------------- thin sheet

SHEET = "box = {{ from = [-200, -200, {low}], to = [200, 200, 50] }}"


def doubler(low: float, high: float, half: float = 100.0, name: str = "plate") -> str:
    size = f"from = [{-half}, {-half}, {low}], to = [{half}, {half}, {high}]"
    return f'[[keep_out]]\nname = "{name}"\nbox = {{ {size} }}\ndoubler_of = "rail"\n'


def on_sheet(folder: Path, thick: float, more: str = "") -> list[str]:
    seats, said = judged(a_bay(folder, rail=SHEET.format(low=50 - thick), more=more))
    assert said == []
    return [f"{f.piece}: {f.sentence}" for f in skin_findings(seats)]


@pytest.mark.parametrize(("thick", "many"), [(SKIN, 0), (SKIN - 0.01, 1), (1.5, 1)])
def test_a_bracket_on_sheet_under_3_mm_is_remarked(tmp_path: Path, thick: float, many: int) -> None:
    said = on_sheet(tmp_path, thick)
    assert len(said) == many
    if many:
        assert f"ears | rail: its foot stands on rail, {thick:.3g} mm thick" in said[0]
        assert 'a doubler (a box with doubler_of = "rail") is wanted' in said[0]


def test_a_bracket_on_a_doubler_is_not_remarked_and_may_be_near_the_sheet_behind(tmp_path: Path) -> None:
    """2 mm of doubler on 1.5 of sheet: the foot is 2 mm off the sheet, less than is asked of one side's parts."""
    more = doubler(50, 52)
    text = a_bay(tmp_path, rail=SHEET.format(low=48.5), more=more, at=(0, 0, 122)).read_text("utf-8")
    (tmp_path / "bay.toml").write_text(text.replace('onto = "rail"', 'onto = "plate"'), "utf-8")
    done = fit(read(tmp_path / "bay.toml"))
    assert {p.state for p in done.pairs if {p.a, p.b} == {"ears", "rail"}} == {"contact"}
    assert [f.code for f in done.findings if "rail" in f.about or "plate" in f.about] == ["pos"]
    assert not [p for p in done.pairs if {p.a, p.b} == {"plate", "rail"}]


@pytest.mark.parametrize(("half", "many"), [(100.0, 0), (30.0, 1)])
def test_a_doubler_behind_the_sheet_counts_where_it_covers_the_foot(tmp_path: Path, half: float, many: int) -> None:
    assert len(on_sheet(tmp_path, 1.5, doubler(45.5, 48.5, half))) == many


SANDWICH = """
from dataclasses import dataclass
from brackets import Checked, Part, Place, Plate, Seat, Wall, rectangle
@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    pass
def check(p):
    return ()
def build(p):
    wall = Wall(outline=rectangle(80, 60))
    on, under = (Plate(name=n, wall=wall, t=4.0, place=Place((0, 0, z))) for n, z in (("on", 0), ("under", {low})))
    foot = Seat(name="foot", place=Place(axis=(0, 0, -1)), kind="face")
    return Part(name="sandwich", pieces=(on, under), seats=(foot,))
"""


@pytest.mark.parametrize(("low", "many"), [(-5.5, 0), (-6.5, 1)])
def test_a_spreader_plate_of_the_part_itself_lies_against_the_far_side(
    tmp_path: Path, low: float, many: int
) -> None:
    """A plate of 4 under a sheet of 1.5; one that is 1 mm off it spreads nothing."""
    (tmp_path / "sandwich.py").write_text(SANDWICH.replace("{low}", str(low)), "utf-8")
    text = 'format = 1\n[[keep_out]]\nname = "sheet"\nbox = { from = [-200, -200, -1.5], to = [200, 200, 0] }\n'
    text += '[[part]]\nname = "sandwich"\nrecipe = "./sandwich.py"\nside = "chassis"\nat = [0, 0, 0]\n'
    text += '[[contact]]\npair = ["sandwich", "sheet"]\n'
    (tmp_path / "bay.toml").write_text(text, "utf-8")
    seats, _ = judged(tmp_path / "bay.toml")
    assert len(list(skin_findings(seats))) == many


def test_what_is_behind_and_not_said_to_double_the_sheet_does_not(tmp_path: Path) -> None:
    more = doubler(45.5, 48.5).replace('doubler_of = "rail"\n', "")
    assert len(on_sheet(tmp_path, 1.5, more)) == 1


def test_a_doubler_and_its_sheet_are_meant_to_touch(tmp_path: Path) -> None:
    found = contacts(read(a_bay(tmp_path, rail=SHEET.format(low=48.5), more=doubler(45.5, 48.5))))
    assert found == {frozenset(("plate", "rail")), frozenset(("ears", "plate"))}


# -------------------------------------------------------------------------------------------- reading and mirror


@pytest.mark.parametrize("size", ['"50x30"', '"50 x 30"', "[50, 30]", '["50 mm", 30]'])
def test_a_size_is_text_or_two_lengths(tmp_path: Path, size: str) -> None:
    line = f"rail = {{ from = [0, 0, 0], to = [100, 0, 0], size = {size} }}"
    (row,) = read(bay_file(tmp_path, TOP + crate(line))).keep_outs
    assert row.rail_size == (50.0, 30.0)


def test_a_size_is_in_the_unit_of_the_file(tmp_path: Path) -> None:
    for size in ('"2x1-1/2in"', "[2, 1.5]", '"50.8 mm x 1.5"'):
        line = f"rail = {{ from = [0, 0, 0], to = [10, 0, 0], size = {size} }}"
        (row,) = read(bay_file(tmp_path, TOP + 'unit = "in"\n' + crate(line))).keep_outs
        assert row.rail_size == pytest.approx((50.8, 38.1))


ENDS = "from = [0, 0, 0], to = [100, 0, 0]"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (f"rail = {{ {ENDS} }}", "rail = incomplete, from, to and size"),
        ('rail = { from = [0, 0, 0], to = [0, 0, 0], size = "50x50" }', "rail = from (0.0, 0.0, 0.0)"),
        ('rail = { from = [0, 0, 0], to = [0, 0, 9], size = "50x50" }', "rail_up = straight up (not given), must"),
        (f'rail = {{ {ENDS}, size = "50x50", up = [-2, 0, 0] }}', "rail_up = (-2.0, 0.0, 0.0), must not lie along"),
        (f'rail = {{ {ENDS}, size = "50x50", up = [0, 0, 0] }}', "rail_up = 0,0,0, must be x,y,z, not all 0"),
        (f'rail = {{ {ENDS}, size = "50x30", wall = 15 }}', "rail_wall = 15 mm, below 15: half the smaller side"),
        (f'rail = {{ {ENDS}, size = "50x30", open = [0, -1, 0] }}', "rail_wall = nothing, must be typed with"),
        (f'rail = {{ {ENDS}, size = "50x30", wall = 3, open = [0, 0, 1] }}',
         "rail_open = (0.0, 0.0, 1.0), must look across the rail and its height"),
        (f'rail = {{ {ENDS}, size = "50x30", corner = 15.1 }}', "rail_corner = 15.1 mm, at most 15: half"),
        (f'rail = {{ {ENDS}, size = "50" }}', "rail_size = 1 entries, must be at least 2"),
        (f'rail = {{ {ENDS}, size = "50x30x3" }}', "rail_size = 3 entries, must be at most 2"),
        (f"rail = {{ {ENDS}, size = 50 }}", 'rail_size = 50, must be width x height such as "50x30"'),
        (f'rail = {{ {ENDS}, size = "50x4" }}', "rail_size 2 = 4 mm, must be 5 to 1000 mm"),
        (f'rail = {{ {ENDS}, size = "50x50" }}\nbox = {{ from = [0,0,0], to = [1,1,1] }}', "shape = box and rail"),
        (f'rail = {{ {ENDS}, size = "50x50" }}\ndoubler_of = "crate"', "doubler_of = crate, only with a box"),
        ('box = { from = [0,0,0], to = [1,1,1] }\ndoubler_of = "crat"', "doubler_of = crat, there is none"),
        ('box = { from = [0,0,0], to = [1,1,1] }\ndoubler_of = "crate"', "doubler_of = crate, another keep-out"),
    ],
)  # fmt: skip
def test_a_wrong_rail_gets_one_clear_line(tmp_path: Path, line: str, said: str) -> None:
    (found,) = problems(tmp_path, TOP + crate(line))
    assert found.startswith(f"keep_out crate: {said}")


@pytest.mark.parametrize(
    ("sheet", "said"),
    [
        ('side = "powertrain"', "plate: doubler_of = rail, one of its own side, chassis: a doubler is"),
        ('doubler_of = "plate"', "plate: doubler_of = rail, the sheet itself, plate: that one is a doubler too"),
    ],
)
def test_a_doubler_is_on_its_sheet_and_doubles_no_doubler(tmp_path: Path, sheet: str, said: str) -> None:
    box = "box = { from = [0, 0, 0], to = [9, 9, 9] }"
    text = f'{TOP}[[keep_out]]\nname = "rail"\n{box}\n{sheet}\n{doubler(0, 9)}'
    assert any(f"keep_out {said}" in line for line in problems(tmp_path, text))


def test_a_limit_of_a_rail_is_allowed_itself(tmp_path: Path) -> None:
    line = f'rail = {{ {ENDS}, size = "50x30", wall = 14.9, corner = 15, up = [1, 0, 1e-3] }}'
    (row,) = read(bay_file(tmp_path, TOP + crate(line))).keep_outs
    assert (row.rail_wall, row.rail_corner) == (14.9, 15.0)


def test_the_corners_of_a_rail_are_mirrored(tmp_path: Path) -> None:
    made = rail(rail_to=(180, 30, 90), rail_size=(50, 30), rail_up=(0, 0.4, 1), side="powertrain")
    bay = read(a_bay(tmp_path))
    moved = replace(bay.powertrain, place_at=(3.0, -8.0, 5.0), place_yaw=4.0)
    plane = Plane((1.0, 2.0, 0.0), (0.2, 1.0, -0.1))
    (there,) = reflected_bay(replace(bay, keep_outs=(made,), powertrain=moved), plane).keep_outs
    from brackets.bay.hung.mount_frames import place_of

    def corners(of: KeepOut) -> list[Vec]:
        block = block_of(of)
        assert block is not None
        return [block.place.point(corner) for corner in product(*zip(block.low, block.high, strict=True))]

    mirrored = [plane.point(place_of(moved).point(corner)) for corner in corners(made)]
    apart = np.linalg.norm(np.array(mirrored)[:, None] - np.array(corners(there)), axis=2)
    assert apart.min(axis=0) == pytest.approx(np.zeros(8), abs=1e-9)
    assert apart.min(axis=1) == pytest.approx(np.zeros(8), abs=1e-9)


# --------------------------------------------------------------------------------------------------- channels

OPEN = {"rail_size": (40, 80), "rail_wall": 4.0, "rail_open": (0.0, -1.0, 0.0)}
"""Along x, 80 high, 40 wide, its web on the left, its open side to the right."""


@pytest.mark.parametrize("corner", [0.0, 6.0])
def test_a_channel_is_web_and_two_flanges_with_round_corners_at_the_web(corner: float) -> None:
    """80 x 4 of web and twice 36 x 4, less what two corners of that outside and of 2 inside radius take."""
    volume, centre = volume_properties(solid_of(rail(**OPEN, rail_corner=corner)))[:2]
    inner = max(0.0, corner - 4)
    area = 80 * 4 + 2 * 36 * 4 - 2 * (1 - math.pi / 4) * (corner**2 - inner**2)
    assert volume == pytest.approx(area * 400, rel=1e-9)
    assert centre[1] > 8  # towards its web


def test_a_foot_on_the_open_side_has_two_flanges_under_it_and_on_the_web_all_of_it() -> None:
    """A foot of 20 by 200 across a rail 80 high: twice 4 of flange, or 80 of web, both 20 wide."""
    made = rail(**OPEN)
    on = Ground(made, HERE, keep_out_body(made, beside=Path()))
    foot = (Region(rectangle(20, 200), ()),)
    for y, way, under in ((-20.0, (0.0, 1.0, 0.0), 2 * 4 * 20), (20.0, (0.0, -1.0, 0.0), 80 * 20)):
        face = face_of(on, Place((0.0, y, 25.0), way, (0.0, 0.0, 1.0)))
        assert face is not None
        assert area(face.over(foot)) == pytest.approx(under, rel=1e-6)


def test_what_reaches_in_between_the_flanges_fouls_nothing() -> None:
    rod = body(cq.Solid.makeCylinder(10, 100, cq.Vector(0, -100, 25), cq.Vector(0, 1, 0)), name="rod")
    # its end is at y = 0, the web's inner face at 20 - 4
    found = gap(keep_out_body(rail(**OPEN), beside=Path()), rod)
    assert (found.low, found.high) == pytest.approx((16, 16), abs=1e-3)
    assert gap(keep_out_body(rail(rail_size=(40, 80), rail_wall=4.0), beside=Path()), rod).state == "hit"


def test_no_metal_is_told_between_the_flanges() -> None:
    made = rail(**OPEN)
    for spot, far in (((0, 0, 25), 16.0), ((0, 19, 25), -1.0), ((0, -10, 64), -1.0), ((0, -25, 63), 5.0)):
        assert distance_from_keep_out(made, HERE, spot) == pytest.approx(far, abs=1e-9), spot


def test_a_bolt_through_the_web_passes_the_web_alone_and_through_the_flanges_both(tmp_path: Path) -> None:
    text = 'rail = { from = [-200, 0, 25], to = [200, 0, 25], size = "40x80", wall = 4, open = [0, -1, 0] }'
    bay = read(bay_file(tmp_path, f'{TOP}\n[[keep_out]]\nname = "rail"\n{text}\n'))
    (web,) = met(bay, {"rail"}, (0, 30, 25), (0, -1, 0))
    assert (web.low, web.high, web.hollow) == (pytest.approx(10), pytest.approx(14), False)
    (both,) = met(bay, {"rail"}, (0, 0, 75), (0, 0, -1))
    assert (both.t, both.hollow) == (pytest.approx(80), True)


def test_the_image_of_a_channel_opens_the_other_way(tmp_path: Path) -> None:
    bay = read(bay_file(tmp_path, TOP))
    left = rail(**OPEN, rail_from=(-200, 50, 25), rail_to=(200, 50, 25))
    (right,) = reflected_bay(replace(bay, keep_outs=(left,)), Plane((0, 0, 0), (0, 1, 0))).keep_outs
    assert distance_from_keep_out(right, HERE, (0, -69, 25)) == pytest.approx(-1)
    assert distance_from_keep_out(right, HERE, (0, -50, 25)) == pytest.approx(16)
