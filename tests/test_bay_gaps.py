"""Gaps of small bays against gaps known by hand: at rest, touching, fouling, declared, and moved."""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
import trimesh

from brackets.app.cli.fit_view import fit_text
from brackets.bay.clear.moving import Moved, by_pair
from brackets.bay.clear.pairs import FIT_UP_DEPTH, Pair
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.rule_rows import rule_rows
from brackets.bay.report.worst import met
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.seats.ground import distance_from_keep_out
from brackets.core.errors import BadFile
from brackets.core.place import HERE
from brackets.output.bay_facts import record

EXACT = 1e-3
"""What a gap that decides something must be true to, mm: the design."""

TOP = 'format = 1\nname = "Invented"\n'


def fitted(folder: Path, text: str) -> Fit:
    path = folder / "bay.toml"
    path.write_text(TOP + text, "utf-8")
    return fit(read(path))


def keep_out(name: str, shape: str, *, side: str = "chassis", kind: str = "fixed") -> str:
    return f'[[keep_out]]\nname = "{name}"\nside = "{side}"\nkind = "{kind}"\n{shape}\n'


def box(low: tuple[float, ...], high: tuple[float, ...], more: str = "") -> str:
    return f"box = {{ from = {list(low)}, to = {list(high)}{more} }}"


def only_pair(folder: Path, chassis: str, powertrain: str, more: str = "") -> Pair:
    """The one pair of a bay with one thing on each side."""
    text = keep_out("a", chassis) + keep_out("b", powertrain, side="powertrain") + more
    (pair,) = fitted(folder, text).pairs
    assert {pair.a, pair.b} == {"a", "b"}
    return pair


def holds(pair: Pair, gap: float) -> None:
    """A settled gap, true to a thousandth, whose two points are that far apart."""
    assert pair.state == "clear"
    assert pair.low - 1e-9 <= gap <= pair.high + 1e-9
    assert pair.high - pair.low <= EXACT
    assert math.dist(pair.p, pair.q) == pytest.approx(gap, abs=EXACT)


CUBE = box((0, 0, 0), (100, 100, 100))

KNOWN: Mapping[str, tuple[str, str, float]] = {
    "face to face": (CUBE, box((110.25, 20, 20), (150, 60, 60)), 10.25),
    "edge to edge": (CUBE, box((103, 104, 0), (150, 150, 100)), 5.0),
    "corner to corner": (CUBE, box((102, 103, 106), (150, 150, 150)), 7.0),
    "an edge turned towards a face": (
        CUBE,
        # turned 45 deg about z through its own middle, 130 ahead: its edge stands 20 root 2 nearer
        box((-20, -20, 0), (20, 20, 100), ", at = [140, 50, 0], up = [-1, 1, 0]"),
        40 - 20 * math.sqrt(2),
    ),
    "a corner turned towards a face": (
        CUBE,
        box((-10, -10, -10), (10, 10, 10), ", at = [130, 50, 50], axis = [1, 1, 1], up = [1, -2, 1]"),
        # the sum of what its three half edges reach along x
        30 - 10 * (math.sqrt(1 / 2) + math.sqrt(1 / 3) + math.sqrt(1 / 6)),
    ),
    "a tube over a plane": (
        CUBE,
        "tube = { from = [10, 50, 127], to = [90, 50, 127], od = 42.4, wall = 3.2 }",
        5.8,
    ),
    "a leaning tube over a plane": (
        # axis 30 deg up from (20, 50, 140): its lower end's rim stands r cos 30 below the end of the axis
        CUBE,
        f"tube = {{ from = [20, 50, 140], to = [{20 + 60 * math.cos(math.pi / 6)}, 50, 170], od = 40 }}",
        40 - 20 * math.cos(math.pi / 6),
    ),
    "tubes that cross": (
        "tube = { from = [-100, 0, 0], to = [100, 0, 0], od = 30 }",
        "tube = { from = [0, -100, 40], to = [0, 100, 40], od = 20 }",
        15.0,
    ),
    "a rod in a tube": (
        "tube = { from = [0, 0, 0], to = [200, 0, 0], od = 60, wall = 3 }",
        "tube = { from = [50, 4, 0], to = [150, 4, 0], od = 20 }",
        27 - 10 - 4,
    ),
}


@pytest.mark.parametrize("name", KNOWN)
def test_a_gap_known_by_hand_is_found_to_a_thousandth(tmp_path: Path, name: str) -> None:
    chassis, powertrain, gap = KNOWN[name]
    holds(only_pair(tmp_path, chassis, powertrain), gap)


# ------------------------------------------------------------------------------------------------------ meshes


def ball(folder: Path, name: str, radius: float, *, inside_of: float | None = None) -> None:
    """A ball of facets as STL; or a block of that size with the ball as its cavity."""
    mesh = trimesh.creation.icosphere(subdivisions=3, radius=radius)
    if inside_of is not None:
        hollow = mesh.copy()
        hollow.invert()
        mesh = trimesh.util.concatenate([trimesh.creation.box(extents=[inside_of] * 3), hollow])
    mesh.export(folder / name)


def test_a_ball_of_facets_in_a_cavity_of_facets(tmp_path: Path) -> None:
    ball(tmp_path, "cavity.stl", 60, inside_of=200)
    ball(tmp_path, "ball.stl", 50)
    # two like balls of facets about one middle: every facet of one lies even with one of the other,
    # and the nearest two are those nearest the middle
    one = trimesh.creation.icosphere(subdivisions=3, radius=1)
    nearest = float(np.min(np.einsum("ij,ij->i", one.face_normals, one.triangles[:, 0])))
    pair = only_pair(tmp_path, "mesh = 'cavity.stl'\nunit = 'mm'", "mesh = 'ball.stl'\nunit = 'mm'")
    holds(pair, (60 - 50) * nearest)


def test_a_true_ball_in_a_true_cavity_is_not_measured_on_facets(tmp_path: Path) -> None:
    import cadquery as cq

    block = cq.Workplane().box(200, 200, 200).cut(cq.Workplane().sphere(60))
    cq.exporters.export(block, str(tmp_path / "cavity.step"))
    cq.exporters.export(cq.Workplane().sphere(50), str(tmp_path / "ball.step"))
    pair = only_pair(tmp_path, "step = 'cavity.step'", "step = 'ball.step'\nat = [1, 2, 2]")
    holds(pair, 60 - 50 - 3)


def test_a_mesh_of_fifty_thousand_triangles(tmp_path: Path) -> None:
    mesh = trimesh.creation.icosphere(subdivisions=6, radius=0.1)
    assert len(mesh.faces) > 50_000
    mesh.export(tmp_path / "casting.stl")
    there = trimesh.load_mesh(tmp_path / "casting.stl")  # STL keeps seven digits
    front = 1000 * float(there.vertices[:, 0].max())
    shape = "mesh = 'casting.stl'\nunit = 'm'\nat = [-120, 0, 0]"
    holds(only_pair(tmp_path, box((0, -200, -200), (10, 200, 200)), shape), 120 - front)


def test_a_mesh_stands_where_its_axes_are_typed(tmp_path: Path) -> None:
    trimesh.creation.box(bounds=[[0, 0, 0], [1, 2, 3]]).export(tmp_path / "block.ply")
    # its z forward, its y up: its x to the left; inches
    shape = "mesh = 'block.ply'\nunit = 'in'\nat = [-100, 10, 10]\naxis = [1, 0, 0]\nup = [0, 0, 1]"
    holds(only_pair(tmp_path, CUBE, shape), 100 - 3 * 25.4)


# ------------------------------------------------------------------------------------ inside, touching, fouling


def levels(done: Fit, code: str) -> list[str]:
    return [finding.level for finding in done.findings if finding.code == code]


@pytest.mark.parametrize("outer", ["box", "mesh"])
def test_what_is_inside_another_is_said_to_be(tmp_path: Path, outer: str) -> None:
    trimesh.creation.box(bounds=[[0, 0, 0], [100, 100, 100]]).export(tmp_path / "block.stl")
    big = CUBE if outer == "box" else "mesh = 'block.stl'\nunit = 'mm'"
    small = box((40, 40, 40), (60, 60, 60))
    done = fitted(tmp_path, keep_out("big", big) + keep_out("small", small, side="powertrain"))
    assert [pair.state for pair in done.pairs] == ["inside"]
    assert levels(done, "inside") == ["stop"]
    assert done.stops


def test_two_that_touch_and_were_not_meant_to(tmp_path: Path) -> None:
    faces = box((100, 20, 20), (150, 60, 60))
    text = keep_out("a", CUBE) + keep_out("b", faces, side="powertrain")
    done = fitted(tmp_path, text)
    assert [pair.state for pair in done.pairs] == ["touch"]
    assert levels(done, "touch") == ["stop"]
    meant = fitted(tmp_path, text + "[[contact]]\npair = ['b', 'a']\n")
    assert [pair.state for pair in meant.pairs] == ["contact"]
    assert not meant.stops


@pytest.mark.parametrize("meant", [False, True])
def test_a_foul_says_how_much_and_where_even_if_it_was_meant_to_touch(tmp_path: Path, meant: bool) -> None:
    contact = "[[contact]]\npair = ['a', 'b']\n" if meant else ""
    pair = only_pair(tmp_path, CUBE, box((95, 20, 20), (150, 40, 50)), contact)
    assert pair.state == "foul"
    assert pair.volume == pytest.approx(5 * 20 * 30, rel=1e-6)
    assert pair.deep == pytest.approx(5, abs=0.01)
    assert pair.out == (-1, 0, 0)  # a, which lies behind, goes back
    assert all(
        low - 1e-6 <= c <= high + 1e-6 for c, low, high in zip(pair.p, (95, 20, 20), (100, 40, 50), strict=True)
    )
    assert pair.stops


def test_a_turned_box_fouls_with_its_own_volume(tmp_path: Path) -> None:
    # a square of 40 on edge, its edge 10 deep in the face: a triangle of 10 height and 20 base, 100 long
    turned = box((-20, -20, 0), (20, 20, 100), f", at = [{90 + 20 * math.sqrt(2)}, 50, 0], up = [-1, 1, 0]")
    assert only_pair(tmp_path, CUBE, turned).volume == pytest.approx(10 * 10 * 100, rel=1e-6)


def test_each_rule_is_told_with_what_is_spare_of_it_worst_first_your_own_among_them(tmp_path: Path) -> None:
    text = "[gap]\nwiring = { rest = 12, moved = 6, why = 'ours: the loom chafes' }\n"
    text += "[powertrain]\nmoves = { about = 'crank', fore = 8 }\n"
    text += keep_out("engine", CUBE, side="powertrain")
    text += keep_out("loom", box((117, 0, 0), (120, 100, 100)), kind="wiring")
    text += keep_out("wall", box((-60, 0, 0), (-40, 100, 100)))
    text += keep_out("rack", box((0, 0, 170), (100, 100, 180)), kind="steering_brakes")
    done = fitted(tmp_path, text)
    # loom 17 off, 9 when moved; wall 40, asked 15, moved 40, asked 5; rack 70, asked 25, moved 70, asked 20
    rows = {row.kind: row for row in rule_rows(done)}
    assert list(rows) == ["wiring", "fixed", "steering_brakes"]
    assert [rows[kind].spare for kind in ("wiring", "fixed")] == pytest.approx([9 - 6, 40 - 15], abs=0.5)
    # far off, it is followed only until it is surely enough: 70 less the 8 of travel, asked 20
    assert 70 - 8 - 20 - 0.01 <= rows["steering_brakes"].spare <= 70 - 25
    loom = rows["wiring"]
    assert (loom.rest, loom.moved, loom.why, loom.moving) == (12.0, 6.0, "ours: the loom chafes", True)
    assert set(loom.what.split(" | ")) == {"engine", "loom"}
    whose = {kind: row.whose for kind, row in rows.items()}
    assert whose == {"wiring": "your rule", "fixed": "default", "steering_brakes": "default"}
    assert [told["whose"] for told in record(done)["rules"]] == list(whose.values())
    (told, *_) = record(done)["rules"]
    assert (told["class"], told["why"], told["when"]) == ("wiring", "ours: the loom chafes", "moved")
    printed = fit_text(done, None)
    assert "rules asked, mm" in printed
    ours = [line.split()[1] for line in printed.splitlines() if "  default  " in line]
    assert ours == ["fixed", "steering_brakes"]
    assert "ours: the loom" in printed  # wrapped: the class has a long name
    assert "chafes" in printed
    assert "steering, brakes, fuel" in printed


def test_of_two_classes_the_strictest_asks_each_by_its_own_reason(tmp_path: Path) -> None:
    text = "[gap]\nfar = { rest = 30, moved = 2, why = 'far' }\nlive = { rest = 12, moved = 9, why = 'live' }\n"
    text += "[powertrain]\nmoves = { about = 'crank', fore = 15 }\n"
    text += keep_out("a", CUBE, side="powertrain", kind="far")
    text += keep_out("b", box((120, 0, 0), (130, 100, 100)), kind="live")
    said = {f.code: (f.limit, f.source) for f in fitted(tmp_path, text).findings if f.code.startswith("gap")}
    assert said == {"gap at rest": (30.0, "gap far: far"), "gap moved": (9.0, "gap live: live")}


def test_a_foul_says_which_way_out_is_the_shortest(tmp_path: Path) -> None:
    low = box((20, 20, 97), (40, 40, 150))
    done = fitted(tmp_path, keep_out("a", CUBE) + keep_out("b", low, side="powertrain"))
    (said,) = (f.sentence for f in done.findings if f.code == "foul")
    assert said.endswith("3.0 mm down would free a")
    (told,) = record(done)["pairs"]
    assert told["pull_out_mm"] == pytest.approx(3, abs=0.01)
    assert told["pull_out_along"] == [0, 0, -1]


def test_two_of_one_side_stand_as_typed(tmp_path: Path) -> None:
    assert fitted(tmp_path, keep_out("a", CUBE) + keep_out("b", CUBE)).pairs == ()


def test_too_near_is_a_caution_with_what_was_asked(tmp_path: Path) -> None:
    near = box((110, 20, 20), (150, 60, 60))
    done = fitted(tmp_path, keep_out("a", CUBE, kind="hot") + keep_out("b", near, side="powertrain"))
    (pair,) = done.pairs
    assert pair.needed == 25.0
    assert pair.spare == pytest.approx(-15.0, abs=EXACT)
    assert levels(done, "gap at rest") == ["caution"]
    assert not done.stops


# -------------------------------------------------------------------------------------------- a part cut to a rail

EARS = """
[[keep_out]]
name = "rail"
tube = { from = [-100, 0, 0], to = [300, 0, 0], od = 42.4, wall = 3.2 }
[[mount]]
name = "left"
bush = "R50"
at = [100, 0, 80]
axis = [1, 0, 0]
[mount.chassis]
part = "ears"
onto = "rail"
[[part]]
name = "ears"
recipe = "ears"
back = false
seat = "round"
"""


def on_the_rail(folder: Path, typed: str) -> tuple[Pair, Fit]:
    done = fitted(folder, EARS + typed)
    (pair,) = (pair for pair in done.pairs if {pair.a, pair.b} == {"ears", "rail"})
    return pair, done


@pytest.mark.parametrize("typed", ["", "slope = -0.05", "side_angle = 0.05"])
def test_ears_cut_to_a_rail_typed_a_little_off_are_fit_up_not_foul(tmp_path: Path, typed: str) -> None:
    pair, done = on_the_rail(tmp_path, typed)
    assert pair.state == "fit-up"
    assert not done.stops
    if typed:
        assert pair.volume is not None  # it does stand in the rail as drawn
        assert pair.volume > 0.01
        assert pair.deep is not None
        assert 0 < pair.deep < FIT_UP_DEPTH


def test_ears_cut_too_deep_or_too_short_are_told(tmp_path: Path) -> None:
    pair, done = on_the_rail(tmp_path, "reach = 81")
    assert pair.state == "foul"
    # never too little; too much by the fine triangles' bound, which the steep ends of the saddle make longer
    assert pair.deep is not None
    assert 1.0 - EXACT <= pair.deep <= 1.0 + 0.05
    assert done.stops
    pair, done = on_the_rail(tmp_path, "reach = 76")
    assert pair.state == "fit-up"
    assert 1.6 < pair.high < 4.0  # 4 at the crown, less at the ends of the saddle
    assert pair.high - pair.low < EXACT  # settled: what is printed is no end of an interval
    assert levels(done, "seat") == ["stop"]
    (cut,) = done.seats
    assert cut.open == pytest.approx(4.0, abs=EXACT)
    assert cut.contact == 0


def test_ears_cut_askew_gape_at_one_end_though_they_meet_at_the_other(tmp_path: Path) -> None:
    """Cut 0.9 short and 1.6 deg askew: the outer face of each ear is 32.25 from the bush, r is 21.2."""
    lean = math.radians(1.6)
    pair, done = on_the_rail(tmp_path, "reach = 79.1\nslope = 1.6")
    assert pair.state == "fit-up"
    assert pair.high < 0.1
    (cut,) = done.seats
    expected = 0.9 + 32.25 * math.tan(lean) + 21.2 * (1 / math.cos(lean) - 1)
    assert cut.open == pytest.approx(expected, abs=EXACT)
    (said,) = (f for f in done.findings if f.code == "weld on nothing")
    assert said.level == "stop"
    assert f"{cut.bare:.1f} of {cut.weld:.1f} mm of weld at its foot lies on nothing" in said.sentence
    assert record(done)["fit_ups"][0]["widest_mm"] == cut.open


@pytest.mark.parametrize(
    ("spot", "expected"),
    [
        ((50, 0, 30), 10.0),
        ((50, 0, 15), -5.0),
        ((110, 0, 0), 10.0),
        ((130, 0, 60), 50.0),
        ((-3, 4, 0), 3.0),
    ],
)
def test_how_far_a_point_is_off_a_tube(spot: tuple[float, float, float], expected: float) -> None:
    tube = KeepOut(name="rail", tube_from=(0.0, 0.0, 0.0), tube_to=(100.0, 0.0, 0.0), tube_od=40.0)
    assert distance_from_keep_out(tube, HERE, spot) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("spot", "expected"), [((5, 10, 33), 3.0), ((5, 10, 28), -2.0), ((13, 24, 15), 5.0), ((-2, -3, -6), 7.0)]
)
def test_how_far_a_point_is_off_a_box(spot: tuple[float, float, float], expected: float) -> None:
    crate = KeepOut(name="crate", box_from=(0.0, 0.0, 0.0), box_to=(10.0, 20.0, 30.0))
    assert distance_from_keep_out(crate, HERE, spot) == pytest.approx(expected)


# --------------------------------------------------------------------------------------------------- moved


def moved(folder: Path, chassis: str, powertrain: str, moves: str, *, needed: float = 5.0) -> Moved:
    text = f"[gap]\nnear = {{ rest = 1, moved = {needed}, why = 'a test' }}\n"
    text += f"[powertrain]\nmoves = {{ about = 'crank', {moves} }}\n"
    text += keep_out("a", chassis, kind="near") + keep_out("b", powertrain, side="powertrain", kind="near")
    done = fitted(folder, text)
    found = by_pair(done.moved)[frozenset("ab")]
    (pair,) = done.pairs
    assert found.low <= pair.high
    return found


AHEAD = box((120, 20, 20), (150, 60, 60))

MOVES: Mapping[str, tuple[str, str, str, float]] = {
    "aft": (CUBE, AHEAD, "aft = 8", 12.0),
    "fore brings it no nearer": (CUBE, AHEAD, "fore = 8", 20.0),
    "down": (CUBE, box((20, 20, 112), (50, 50, 150)), "down = 7, up = 2", 5.0),
    "roll about the crank": (
        # a shelf whose outer edge, 200 from the crank, comes down by 200 sin 3 deg
        box((0, 150, -40), (100, 250, -20)),
        box((20, 100, 0), (80, 200, 10)),
        "roll = 3",
        20 - 200 * math.sin(math.radians(3)),
    ),
}


@pytest.mark.parametrize("name", MOVES)
def test_a_moved_gap_holds_the_one_known_by_hand(tmp_path: Path, name: str) -> None:
    chassis, powertrain, moves, gap = MOVES[name]
    found = moved(tmp_path, chassis, powertrain, moves, needed=gap - 0.1)
    assert found.low - 1e-6 <= gap <= found.high + 1e-6
    assert not found.short
    assert found.high - found.low <= 0.5 + 1e-9
    assert moved(tmp_path, chassis, powertrain, moves, needed=gap + 1).short


def test_nothing_typed_is_said_plainly(tmp_path: Path) -> None:
    done = fitted(tmp_path, keep_out("a", CUBE) + keep_out("b", AHEAD, side="powertrain"))
    assert done.moved == ()
    assert levels(done, "standing still only") == ["caution"]


# ------------------------------------------------------------------------------------- just what is asked


@pytest.mark.parametrize(("apart", "codes"), [(5.0, set()), (4.99, {"gap at rest"})])
def test_a_gap_of_just_what_is_asked_meets_it(tmp_path: Path, apart: float, codes: set[str]) -> None:
    """Arithmetic alone leaves its low end at 4.999997, which no figure shows: 5.0 was told as short of 5."""
    path = tmp_path / "bay.toml"
    path.write_text(
        f"""format = 1
pos = 0
powertrain = {{ moves = {{ about = "crank", side = 4 }} }}
gap = {{ fixed = {{ rest = 5, moved = 1, why = "our own choice" }} }}
keep_out = [
    {{ name = "a", box = {{ from = [0, 0, 0], to = [10, 10, 10] }} }},
    {{ name = "b", side = "powertrain", box = {{ from = [{10 + apart}, 0, 0], to = [40, 10, 10] }} }},
]
""",
        "utf-8",
    )
    done = fit(read(path))
    assert {finding.code for finding in done.findings} == codes
    assert met(done).startswith("meets the rule" if not codes else "does not meet 1")


def test_a_class_that_nobody_named_is_told_with_each_class_once(tmp_path: Path) -> None:
    text = '[gap]\nfixed = { rest = 9, moved = 3, why = "own" }\n'
    text += keep_out("a", box((0,) * 3, (9,) * 3), kind="zzzz")
    with pytest.raises(BadFile) as refused:
        fitted(tmp_path, text)
    told = str(refused.value)
    assert "keep_out a: kind = zzzz, must be one of fixed, " in told
    assert told.count("fixed") == 1
