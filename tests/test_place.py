"""Where the powertrain may stand: how gaps change with its position, and the best position, against closed forms,
finite differences of the true gaps, and dense grids. All bays are invented."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from brackets.bay.file import read
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.position.limits import limits_of
from brackets.bay.position.placing import (
    BareBay,
    PlaceGap,
    bare_bay,
    gap_at,
    motion,
    place_at,
    tightest,
    typed_position,
)
from brackets.bay.position.search import best_step, find_place, rounded, spread
from brackets.bay.position.steps import best_distance, best_steps, slopes
from brackets.bay.schema.standing import Powertrain
from brackets.core.errors import InputError

HEAD = 'format = 1\n[gap]\nfixed = { rest = 5, moved = 1, why = "our own choice" }\n'
FAR = 900.0
Three = tuple[float, float, float]


UP = (0.0, 0.0, 1.0)


def box(name: str, low: Three, high: Three, side: str = "chassis", *, axis: Three = UP, yaw: float = 0) -> str:
    """A box; `axis` and `yaw` turn it about the origin."""
    up = [-math.sin(math.radians(yaw)), math.cos(math.radians(yaw)), 0]
    turned = f"box_at = [0, 0, 0]\nbox_axis = {list(axis)}\nbox_up = {up}\n"
    ends = f"box_from = {list(low)}\nbox_to = {list(high)}\n"
    return f'[[keep_out]]\nname = "{name}"\nside = "{side}"\n{ends}{turned}'


def tube(name: str, start: Three, end: Three, od: float, side: str = "chassis") -> str:
    ends = f"from = {list(start)}, to = {list(end)}, od = {od}"
    return f'[[keep_out]]\nname = "{name}"\nside = "{side}"\ntube = {{ {ends} }}\n'


ENGINE = box("engine", (-100, -50, 0), (100, 50, 80), "powertrain")
FLOOR = box("floor", (-FAR, -FAR, -60), (FAR, FAR, -30))


def walls(y: tuple[float, float], x: tuple[float, float] | None = None) -> str:
    """Right and left, perhaps rear and front, each with its face where it is said."""
    text = box("right", (-FAR, y[0] - 10, -FAR), (FAR, y[0], FAR))
    text += box("left", (-FAR, y[1], -FAR), (FAR, y[1] + 10, FAR))
    if x is not None:
        text += box("rear", (x[0] - 10, -FAR, -FAR), (x[0], FAR, FAR))
        text += box("front", (x[1], -FAR, -FAR), (x[1] + 10, FAR, FAR))
    return text


def bare(folder: Path, text: str) -> BareBay:
    path = folder / "bay.toml"
    path.write_text(HEAD + text, "utf-8")
    return bare_bay(read(path))


def gap(here: BareBay, at: NDArray[np.float64]) -> PlaceGap:
    """The gap of a bay's only pair."""
    found = gap_at(here, here.pairs[0], at)
    assert found is not None
    return found


# ------------------------------------------------------------------------------------- how a point and a gap move


def test_a_point_moves_as_the_place_carries_it() -> None:
    """Against central differences of the place itself, at a position with every figure other than 0."""
    engine = Powertrain(crank_at=(120.0, -30.0, 210.0))
    at, typed = np.array((12.0, -7.0, 31.0, 20.0, -35.0, 50.0)), (410.0, 95.0, -60.0)
    as_typed = replace(engine, place_at=(12, -7, 31), place_roll=20, place_pitch=-35, place_yaw=50)
    assert place_at(engine, at) == place_of(as_typed)
    moves = motion(engine, at, np.asarray(place_at(engine, at).point(typed)))
    for i in range(6):
        step = np.zeros(6)
        step[i] = 1e-4
        ends = [np.asarray(place_at(engine, at + sign * step).point(typed)) for sign in (1, -1)]
        assert moves[:, i] == pytest.approx((ends[0] - ends[1]) / 2e-4, abs=1e-7)


PAIRS = {
    "corner of a box and a face": box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", axis=(0.2, 0.35, 1))
    + box("wall", (-FAR, -FAR, -200), (FAR, FAR, -70)),
    "edges of two boxes": box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", axis=(0.5, 0.4, 1))
    + box("post", (190, -20, -FAR), (230, 20, FAR)),
    "two tubes, crossed": tube("shaft", (-200, 0, 0), (200, 30, 10), 60, "powertrain")
    + tube("rail", (10, -300, 100), (-40, 300, 140), 42.4),
    "end of a tube and a box": tube("shaft", (0, 0, 0), (220, 35, 60), 50, "powertrain")
    + box("wall", (300, -FAR, -FAR), (320, FAR, FAR)),
    "a ball of triangles and a tube": '[[keep_out]]\nname = "ball"\nside = "powertrain"\nmesh = "ball.stl"\n'
    'unit = "mm"\nat = [13, 22, 31]\n' + tube("rail", (10, -300, 160), (-40, 300, 180), 42.4),
}


@pytest.mark.parametrize("name", PAIRS)
def test_a_gap_changes_as_finite_differences_of_the_true_gap_say(name: str, tmp_path: Path) -> None:
    """One closest pair, so that both sides of every figure agree; a turned and shifted place; central differences.
    A corner of the ball's triangles rolls on: half a step of 0.02 deg on 60 mm, no more."""
    trimesh.creation.icosphere(subdivisions=2, radius=60.0).export(tmp_path / "ball.stl")
    place = "place = { at = [3, -2, 4], roll = 2, pitch = -3, yaw = 5 }\n"
    here = bare(tmp_path, f"{PAIRS[name]}[powertrain]\ncrank = {{ at = [40, -20, 15] }}\n{place}")
    at = typed_position(here.bay.powertrain)
    found = gap(here, at)
    assert found.state in ("clear", "far")
    assert found.low > 5
    plus, minus = slopes(here, found, at)
    assert plus == pytest.approx(-minus, abs=3e-3)
    assert min(abs(plus[3:]).max(), abs(plus[:3]).max()) > 0.1
    for i in range(6):
        step = np.zeros(6)
        step[i] = 0.02
        true = (gap(here, at + step).high - gap(here, at - step).high) / 0.04
        assert plus[i] == pytest.approx(true, abs=3e-3)


def test_where_several_points_are_the_closest_the_least_of_them_counts(tmp_path: Path) -> None:
    """A block 200 by 100 stands 30 over a floor, parallel to it: whichever way it leans, the edge of that side
    comes down, by its arm from the crank's point: 30 mm to the right, 70 left, 60 front, 140 rear."""
    here = bare(tmp_path, f"{ENGINE}{FLOOR}[powertrain]\ncrank = {{ at = [40, -20, 0] }}\n")
    at = np.zeros(6)
    found = gap(here, at)
    plus, minus = slopes(here, found, at)
    degree = math.radians(1)
    assert plus == pytest.approx((0, 0, 1, -30 * degree, -60 * degree, 0), abs=1e-3)
    assert minus == pytest.approx((0, 0, -1, -70 * degree, -140 * degree, 0), abs=1e-3)
    for i, (gains, sign) in itertools.product((3, 4), ((plus, 1), (minus, -1))):  # and so do the true gaps
        aside = at.copy()
        aside[i] = sign * 0.1
        assert (gap(here, aside).low - found.low) / 0.1 == pytest.approx(gains[i], abs=0.01)


def test_of_points_that_all_gain_the_least_counts(tmp_path: Path) -> None:
    """The same block, turned about a point 150 mm to the right of it: its near edge gains the least."""
    here = bare(tmp_path, f"{ENGINE}{FLOOR}[powertrain]\ncrank = {{ at = [0, -200, 0] }}\n")
    plus, minus = slopes(here, gap(here, np.zeros(6)), np.zeros(6))
    assert plus[3] == pytest.approx(150 * math.radians(1), abs=1e-3)
    assert minus[3] == pytest.approx(-250 * math.radians(1), abs=1e-3)


def test_a_spare_is_counted_from_the_low_end(tmp_path: Path) -> None:
    found = gap(bare(tmp_path, ENGINE + FLOOR), np.zeros(6))
    assert replace(found, low=4.0, high=7.0).spare == 4 - 5


@pytest.mark.parametrize(("deep", "side"), [(12.0, 1), (7.0, -1)])
def test_of_bodies_that_foul_the_way_out_is_a_negative_gap(deep: float, side: int, tmp_path: Path) -> None:
    low, high = sorted((side * (50 - deep), side * 190.0))
    here = bare(tmp_path, ENGINE + box("wall", (-FAR, low, -FAR), (FAR, high, FAR)))
    found = gap(here, np.zeros(6))
    assert (found.state, found.fouls) == ("hit", True)
    assert found.low == pytest.approx(-deep, abs=2e-3)
    assert found.spare == pytest.approx(-deep - 5, abs=2e-3)
    assert found.slope[:3] == pytest.approx((0, -side, 0), abs=1e-6)


def test_of_a_body_drawn_out_askew_the_depth_is_along_the_face(tmp_path: Path) -> None:
    """A ball of 20 with its middle on the face of a wall that leans 30 deg: along x it would be 23.1."""
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    wall = box("wall", (-FAR, -FAR, 0), (FAR, FAR, 400), axis=(c, 0, s))
    ball = '[[keep_out]]\nname = "ball"\nside = "powertrain"\nmesh = "ball.stl"\nunit = "mm"\n'
    trimesh.creation.icosphere(subdivisions=4, radius=20.0).export(tmp_path / "ball.stl")
    here = bare(tmp_path, ball + wall)
    found = gap(here, np.zeros(6))
    assert found.low == pytest.approx(-20, abs=0.1)
    assert found.slope[:3] == pytest.approx((-c, 0, -s), abs=0.05)


def test_faces_that_touch_have_a_way_out_too(tmp_path: Path) -> None:
    here = bare(tmp_path, ENGINE + box("floor", (-FAR, -FAR, -30), (FAR, FAR, 0)))
    found = gap(here, np.zeros(6))
    assert (found.state, found.low) == ("touch", pytest.approx(0.0, abs=2e-3))
    assert found.slope[:3] == pytest.approx((0, 0, 1), abs=1e-6)


def test_pairs_that_are_far_are_left_out_and_come_back(tmp_path: Path) -> None:
    here = bare(tmp_path, ENGINE + FLOOR + walls((-500, 130)))
    assert [one.b for one in tightest(here, np.zeros(6), most=1)] == ["floor"]
    assert [one.b for one in tightest(here, np.zeros(6), within=51)] == ["floor", "left"]
    assert [one.b for one in tightest(here, np.array((0, -440.0, 0, 0, 0, 0)))] == ["right"]


# ----------------------------------------------------------------------------------------------- the best position


def test_a_box_between_two_walls_goes_to_the_middle(tmp_path: Path) -> None:
    best = find_place(bare(tmp_path, f"{ENGINE}{walls((-60, 130))}[place]\nleft = [-100, 100]\nfore = [-50, 50]\n"))
    assert best.before[0].spare == pytest.approx(10 - 5, abs=1e-3)
    assert best.at == pytest.approx((0, 35, 0, 0, 0, 0), abs=0.01)  # and not fore or aft, which gains nothing
    assert best.after[0].spare == pytest.approx(45 - 5, abs=0.01)
    assert {one.b for one in best.holds} == {"left", "right"}
    assert best.ends == ()


def test_two_ways_against_a_dense_grid(tmp_path: Path) -> None:
    """Between four walls, beside a round post: 421 by 321 positions by the distance of a post and a rectangle."""
    text = ENGINE + walls((-60, 130), (-125, 190)) + tube("post", (160, 95, -FAR), (160, 95, FAR), 50)
    best = find_place(bare(tmp_path, f"{text}[place]\nleft = [-5, 75]\nfore = [-20, 85]\n"))
    x, y = np.meshgrid(np.linspace(-20, 85, 421), np.linspace(-5, 75, 321))
    aside, beside = abs(160 - x) - 100, abs(95 - y) - 50
    post = np.hypot(np.maximum(aside, 0), np.maximum(beside, 0)) - 25
    clear = np.min((x - 100 + 125, 190 - x - 100, y - 50 + 60, 130 - y - 50, post), axis=0) - 5
    assert best.after[0].spare == pytest.approx(clear.max(), abs=0.25)  # the grid's step
    assert best.after[0].spare >= clear.max() - 0.06  # 0.05 is given away for round figures
    assert best.before[0].spare == pytest.approx(5, abs=1e-3)


RODS = ((-150.0, 20.0, 20.0), (20.0, 120.0, 24.0), (140.0, 70.0, 30.0))
ROD_BAY = (
    ENGINE
    + box("floor", (-FAR, -FAR, -60), (FAR, FAR, -15))
    + "".join(tube(f"rod {n}", (x, -FAR, z), (x, FAR, z), od) for n, (x, z, od) in enumerate(RODS))
    + "[powertrain]\ncrank = { at = [20, 0, 30] }\n[place]\nfore = [-30, 30]\nup = [-20, 40]\npitch = [-10, 10]\n"
)
"""Rods that run across, round about a block that pitches, and a floor."""


@cache
def rod_grid() -> tuple[NDArray[np.float64], ...]:
    """Fore, up, pitch in radians, and the least spare: each gap is that of a point and a rectangle in the plane
    x, z."""
    turns = np.radians(np.linspace(-10, 10, 81))
    x, z, pitch = np.meshgrid(np.linspace(-30, 30, 121), np.linspace(-20, 40, 121), turns)
    c, s = np.cos(pitch), np.sin(pitch)  # a corner (u, w) from the crank's point stands at (c u + s w, c w - s u)
    clear = [c * w - s * u + z + 30 + 15 for u in (-120.0, 80.0) for w in (-30.0, 50.0)]
    for rod_x, rod_z, od in RODS:
        dx, dz = rod_x - 20 - x, rod_z - 30 - z
        u, w = c * dx - s * dz, s * dx + c * dz
        aside, beside = np.maximum(-120 - u, u - 80), np.maximum(-30 - w, w - 50)
        out = np.hypot(np.maximum(aside, 0), np.maximum(beside, 0))
        clear.append(out + np.minimum(np.maximum(aside, beside), 0) - od / 2)
    return x, z, pitch, np.min(clear, axis=0) - 5


def test_two_ways_and_a_turn_against_a_dense_grid(tmp_path: Path) -> None:
    best = find_place(bare(tmp_path, ROD_BAY))
    grid = float(rod_grid()[3].max())
    assert best.after[0].spare >= grid - 0.06  # 0.05 is given away for round figures
    assert best.after[0].spare <= grid + 0.6  # half a step of each: 0.25, 0.25, and 0.125 deg on 130 mm
    assert best.after[0].spare > best.before[0].spare + 1


def test_a_box_in_a_corner_of_three_walls_goes_as_far_as_its_limits_let_it(tmp_path: Path) -> None:
    """12, 9 and 6 mm from the walls; 10, 7 and 12 mm may be moved: 16 is the most all three can have."""
    corner = box("rear", (-150, -FAR, -FAR), (-112, FAR, FAR)) + box("right", (-FAR, -90, -FAR), (FAR, -59, FAR))
    corner += box("floor", (-FAR, -FAR, -40), (FAR, FAR, -6))
    best = find_place(bare(tmp_path, f"{ENGINE}{corner}[place]\nfore = [-5, 10]\nleft = [-5, 7]\nup = [-3, 12]\n"))
    assert best.after[0].spare == pytest.approx(16 - 5, abs=0.01)
    assert best.at[1] == 7
    assert best.at[[0, 2]] == pytest.approx((4, 10), abs=0.06)  # no further than is of use
    assert best.ends == ("left to 7 mm",)


def test_a_turn_frees_a_box_that_stands_askew(tmp_path: Path) -> None:
    """A block 200 by 100, turned 6 deg, between walls 160 apart: straight it has 30 to each side."""
    askew = box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", yaw=6)
    best = find_place(bare(tmp_path, f"{askew}{walls((-70, 90))}[place]\nleft = [-40, 40]\nyaw = [-10, 10]\n"))
    assert best.at == pytest.approx((0, 10, 0, 0, 0, -6), abs=0.02)
    assert best.after[0].spare == pytest.approx(30 - 5, abs=0.06)


def test_two_turns_set_a_block_level_between_floor_and_roof(tmp_path: Path) -> None:
    """80 high, 200 apart, leaning 4 deg back and 3 to a side: level it has 60 above and below. Near there each of
    four corners has the least by turns, and a small step that helps one costs another."""
    lean = box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", axis=(math.tan(math.radians(4)), 0.05, 1))
    room = box("floor", (-FAR, -FAR, -100), (FAR, FAR, -70)) + box("roof", (-FAR, -FAR, 130), (FAR, FAR, 160))
    limits = "[place]\nup = [-30, 30]\nroll = [-8, 8]\npitch = [-8, 8]\n"
    best = find_place(bare(tmp_path, f"{lean}{room}{limits}"))
    assert best.after[0].spare == pytest.approx(60 - 5, abs=0.1)


@pytest.mark.parametrize("deep", [8.0, 60.0])
def test_it_starts_from_bodies_that_foul(deep: float, tmp_path: Path) -> None:
    """The block stands `deep` in the right wall; 40 mm are free to each side in the middle."""
    right = -50 + deep
    best = find_place(bare(tmp_path, f"{ENGINE}{walls((right, right + 180))}[place]\nleft = [-10, 150]\n"))
    assert best.before[0].state == "hit"
    assert best.at[1] == pytest.approx(deep + 40, abs=0.01)
    assert best.after[0].spare == pytest.approx(40 - 5, abs=0.02)


def test_it_looks_past_what_stands_in_the_way(tmp_path: Path) -> None:
    """Left of a post there is more room than right of it, where it stands: no small step shows that. Fore and aft
    gain nothing there, and so stay as typed, wherever it began."""
    text = walls((-90, 600)) + tube("post", (0, 90, -FAR), (0, 90, FAR), 20)
    best = find_place(bare(tmp_path, f"{ENGINE}{text}[place]\nleft = [-40, 500]\nfore = [-5, 9]\n"))
    assert best.at[:2] == pytest.approx((0, 350), abs=0.02)  # from the post's 100 to the wall's 600
    assert best.after[0].spare == pytest.approx(200 - 5, abs=0.02)


def test_the_same_bay_gives_the_same_place(tmp_path: Path) -> None:
    text = f"{ENGINE}{walls((-60, 130))}[place]\nleft = [-100, 100]\n"
    first, second = (find_place(bare(tmp_path, text)) for _ in range(2))
    assert (first.at.tolist(), first.tried) == (second.at.tolist(), second.tried)


def test_a_place_that_is_the_best_already_is_kept(tmp_path: Path) -> None:
    typed = "[powertrain]\nplace_at = [0.123456, 0, 0]\n"
    text = f"{ENGINE}{walls((-60, 60))}{typed}[place]\nleft = [-9, 9]\nfore = [-1, 1]\n"
    best = find_place(bare(tmp_path, text))
    assert best.at.tolist() == [0.123456, 0, 0, 0, 0, 0]


# ----------------------------------------------------------------------------------------------------------- limits


def test_limits_are_of_the_place_as_it_is_written(tmp_path: Path) -> None:
    """So that a place that is written back does not carry its own limits along."""
    moved = "[powertrain]\nplace_at = [0, 20, 0]\n"
    for typed in ("", moved):
        best = find_place(bare(tmp_path, f"{ENGINE}{walls((-60, 130))}{typed}[place]\nleft = [-100, 25]\n"))
        assert best.at[1] == 25
        assert best.ends == ("left to 25 mm",)


def test_a_typed_place_outside_the_limits_is_told_and_brought_in(tmp_path: Path) -> None:
    typed = "[powertrain]\nplace_at = [7, 0, 0]\n"
    text = f"{ENGINE}{walls((-60, 130))}{typed}[place]\nleft = [10, 20]\nfore = [-2, 2]\n"
    best = find_place(bare(tmp_path, text))
    assert best.outside == ("fore = 7 mm, -2 to 2 mm under [place]", "left = 0 mm, 10 to 20 mm under [place]")
    assert best.at == pytest.approx((2, 20, 0, 0, 0, 0))


def test_a_better_place_outside_the_limits_is_not_kept(tmp_path: Path) -> None:
    """It is typed in the middle between the walls, and must go out of it."""
    best = find_place(bare(tmp_path, f"{ENGINE}{walls((-100, 100))}[place]\nleft = [10, 20]\n"))
    assert best.at.tolist() == [0, 10, 0, 0, 0, 0]
    assert best.after[0].spare == pytest.approx(40 - 5, abs=1e-3)


LEVER = '[[keep_within]]\nname = "lever"\nat = [-300, 0, 60]\n'


def test_what_is_not_named_stays_as_typed_and_a_turn_steps_a_mm_at_the_furthest_corner(tmp_path: Path) -> None:
    crank = "[powertrain]\ncrank = { at = [40, -20, 0] }\nplace = { at = [7, 0, 0], yaw = 3 }\n"
    ends = limits_of(bare(tmp_path, f"{ENGINE}{FLOOR}{crank}[place]\nup = [-1, 4]\nroll = [2, 2]\n"))
    assert ends.low.tolist() == [7, 0, -1, 2, 0, 3]
    assert ends.high.tolist() == [7, 0, 4, 2, 0, 3]
    assert ends.free.tolist() == [2]
    corner = math.sqrt(140**2 + 70**2 + 80**2)
    assert ends.steps == pytest.approx([1, 1, 1, *3 * [math.degrees(1 / corner)]])


def test_the_end_of_a_limit_is_within_it(tmp_path: Path) -> None:
    lever = f"{LEVER}z = {{ from = 60, to = 64 }}\n"
    ends = limits_of(bare(tmp_path, f"{ENGINE}{FLOOR}{lever}[place]\nup = [-5, 30]\n"))
    for up, lines in (
        (0, []), (4, []),
        (4.5, ["lever z to 64 mm: 0.50 mm past it"]),
        (-0.5, ["lever z from 60 mm: 0.50 mm past it"]),
        (31, ["up = 31 mm, -5 to 30 mm under [place]", "lever z to 64 mm: 27.00 mm past it"]),
    ):  # fmt: skip
        at = np.array((0.0, 0, up, 0, 0, 0))
        assert list(ends.broken(at)) == lines
        assert ends.meets(at) == (not lines)


def test_the_search_begins_all_over_the_limits(tmp_path: Path) -> None:
    """The first of Halton's points are 1/2, 1/3 and 1/4, 2/3 and 3/4, 1/9 of the way."""
    ends = limits_of(bare(tmp_path, f"{ENGINE}{FLOOR}[place]\nup = [-10, 30]\npitch = [0, 9]\n"))
    starts = np.array(spread(ends))
    assert starts[:3, [2, 4]] == pytest.approx(np.array(((10, 3), (0, 6), (20, 1))))
    assert len(starts) == 12
    assert not starts[:, [0, 1, 3, 5]].any()


def test_round_figures_keep_a_point_within_its_limits(tmp_path: Path) -> None:
    """4.0 up would be as good, and put the lever 0.03 mm too high; the turn counts for nothing here."""
    ends = f"{LEVER}z = {{ to = 63.97 }}\n[place]\nup = [0, 30]\nyaw = [-9, 9]\n"
    here = bare(tmp_path, f"{ENGINE}{FLOOR}{ends}")
    at = np.array((0, 0, 3.97, 0, 0, 1.23456))
    assert rounded(here, limits_of(here), at, np.zeros(6))[2] == 3.97
    at[2] = 3.02
    assert rounded(here, limits_of(here), at, np.zeros(6)).tolist() == [0, 0, 3, 0, 0, 1.23]


def test_a_point_stays_where_it_must_and_holds_the_turn(tmp_path: Path) -> None:
    """A hump under the rear: nose down lifts the rear off it, and the lever, 400 mm behind the crank's point, from
    60 to at most 72: 400 sin p + 60 cos p = 72 has p = 1.73 deg."""
    hump = box("hump", (-FAR, -FAR, -60), (-60, FAR, -12))
    crank = "[powertrain]\ncrank = { at = [100, 0, 0] }\n"
    here = bare(tmp_path, f"{ENGINE}{hump}{LEVER}z = {{ to = 72 }}\n{crank}[place]\npitch = [-1, 10]\n")
    best = find_place(here)
    assert best.at[:4].tolist() == [0, 0, 0, 0]
    pitch = math.radians(best.at[4])
    assert 72 - 0.1 < 400 * math.sin(pitch) + 60 * math.cos(pitch) <= 72 + 1e-9
    assert best.ends == ("lever z to 72 mm",)
    under = 12 * math.cos(pitch) + 160 * math.sin(pitch)  # from the hump's edge to the underside, square to that
    assert best.after[0].spare == pytest.approx(under - 5, abs=2e-3)


def test_limits_are_kept_to_a_millionth_of_a_mm_wherever_it_looks(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from brackets.bay.position import search as place_search

    seen: list[NDArray[np.float64]] = []

    def watched(bare: BareBay, at: NDArray[np.float64], **how: object) -> tuple[PlaceGap, ...]:
        seen.append(at)
        return tightest(bare, at, **how)  # type: ignore[arg-type]

    monkeypatch.setattr(place_search, "tightest", watched)
    askew = box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", yaw=6)
    rows = f"{LEVER}x = {{ from = -301, to = -298 }}\ny = {{ to = 12, from = -31 }}\n"
    limits = "[place]\nfore = [-9, 9]\nleft = [-40, 40]\nyaw = [-10, 10]\n"
    here = bare(tmp_path, f"{askew}{walls((-70, 90))}{rows}{limits}")
    best = find_place(here)
    ends = limits_of(here)
    assert len(seen) > 40
    for at in seen[1:]:  # the first is the typed place
        assert np.all(at >= ends.low - 1e-9)
        assert np.all(at <= ends.high + 1e-9)
        assert all(end.slack >= -1e-9 for end in ends.kept(at))
    assert best.after[0].spare > best.before[0].spare + 5


def test_a_point_that_cannot_be_kept_is_refused_by_its_name(tmp_path: Path) -> None:
    text = f"{ENGINE}{FLOOR}{LEVER}z = {{ from = 90 }}\n[place]\nup = [0, 20]\nleft = [-5, 5]\n"
    with pytest.raises(InputError) as caught:
        find_place(bare(tmp_path, text))
    assert caught.value.problems == (
        "keep_within lever: z = 80 mm, at least 90 mm: none found within [place] that keeps it",
    )


# ----------------------------------------------------------------------------- driveline and heights as limits


def shaft(limits: str, *, at: Three = (-150, 0, 40), axis: Three = (-1, 0, 0), far: Three = (-750, 0, 40)) -> str:
    """A shaft with Cardan joints from a flange of the engine to one that looks straight ahead."""
    ends = f"powertrain = {{ at = {list(at)}, axis = {list(axis)} }}\n"
    ends += f"chassis = {{ at = {list(far)}, axis = [1, 0, 0] }}\n"
    return f'[[shaft]]\nname = "shaft"\njoints = "Cardan"\n{ends}{limits}\n'


def chain(limits: str) -> str:
    ends = "powertrain = { at = [-80, 60, 40], axis = [0, 1, 0] }\n"
    ends += "chassis = { at = [-500, 60, 40], axis = [0, -1, 0] }\n"
    return f'[[chain]]\nname = "chain"\n{ends}{limits}\n'


ROOM = box("floor", (-FAR, -FAR, -60), (FAR, FAR, -20)) + box("roof", (-FAR, -FAR, 200), (FAR, FAR, 230))
"""20 under the engine and 120 over it: 50 up it has 70 above and below."""


@pytest.mark.parametrize("key", ["rest", "moved"])
def test_a_joint_bends_no_more_than_is_typed(key: str, tmp_path: Path) -> None:
    """600 mm long, both flanges level: 3 deg are 600 tan 3 = 31.4 mm up; a limit of the movement holds for rest."""
    text = f"{ENGINE}{ROOM}[place]\nup = [-10, 90]\n"
    free = find_place(bare(tmp_path, text + shaft("angle = { rest = 5 }")))
    assert free.at[2] == pytest.approx(50, abs=0.06)
    assert free.ends == ()
    held = find_place(bare(tmp_path, text + shaft(f"angle = {{ {key} = 3 }}")))
    assert held.at[2] == pytest.approx(600 * math.tan(math.radians(3)), abs=0.06)
    assert math.degrees(math.atan(held.at[2] / 600)) <= 3 + 1e-6
    assert held.ends == ("shaft angle on the powertrain to 3 deg", "shaft angle on the chassis to 3 deg")
    assert held.after[0].spare == pytest.approx(20 + held.at[2] - 5, abs=2e-3)


def test_joints_and_a_height_against_a_dense_grid(tmp_path: Path) -> None:
    """The rods again, with a shaft behind and a point ahead that must stay over the floor, which is the ground.
    Seen from the side the flange looks down by its pitch and the shaft by its own angle; a pair in one plane leaves
    the root of the difference of the squares of both bends, for small ones."""
    ground = ROD_BAY.replace('name = "floor"', 'name = "floor"\nkind = "ground"')
    low = '[[prop]]\nname = "nose"\nat = [90, 0, 5]\nheight = { from = 30, to = 47 }\n'
    typed = shaft("angle = { rest = 1.8 }\npair = { rest = 1.2 }", at=(-110, 0, 20), far=(-510, 0, 45))
    gaps = "ground = { rest = 5, moved = 1, why = \"our own choice\" }\n"
    text = f"{gaps}{ground}{typed}{low}"
    free, held = (find_place(bare(tmp_path, text_)) for text_ in (f"{gaps}{ground}", text))
    x, z, pitch, spare = rod_grid()
    c, s = np.cos(pitch), np.sin(pitch)

    def stands(u: float, w: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        return 20 + x + c * u + s * w, 30 + z + c * w - s * u

    joint_x, joint_z = stands(-130, -10)
    runs = np.arctan2(45 - joint_z, joint_x + 510)
    one, two = np.degrees(abs(runs - pitch)), np.degrees(abs(runs))
    height = stands(70, -25)[1] + 15
    kept = (one <= 1.8) & (two <= 1.8) & (np.sqrt(abs(one**2 - two**2)) <= 1.2) & (height >= 30)
    grid = float(spare[kept].max())
    assert grid < spare.max() - 2
    assert free.after[0].spare > held.after[0].spare + 2
    assert held.after[0].spare >= grid - 0.06
    assert held.after[0].spare <= grid + 0.6
    assert "shaft pair to 1.2 deg" in held.ends
    at = place_at(Powertrain(crank_at=(20, 0, 30)), held.at)
    assert at.point((90, 0, 5))[2] + 15 >= 30 - 1e-9
    assert len(held.ends) > 1


def test_a_chain_stays_in_line_as_far_as_is_typed(tmp_path: Path) -> None:
    """Between walls it would go 35 to the left, and turn by 6 deg to stand square; it may be 4 mm out of line, and
    2 deg off parallel, by which the far sprocket is out of line too: 420 sin 2 = 14.7 less what it is shifted."""
    askew = box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", yaw=6)
    text = f"{askew}{walls((-72, 118))}[place]\nleft = [-40, 60]\nyaw = [-9, 9]\n"
    held = find_place(bare(tmp_path, text + chain("offset = { rest = 4 }\nangle = { rest = 2 }")))
    left, yaw = np.meshgrid(np.linspace(-40, 60, 2001), np.linspace(-2, 2, 801))
    turn = np.radians(yaw)
    c, s = np.cos(turn), np.sin(turn)
    engine_x, engine_y = -80 * c - 60 * s, -80 * s + 60 * c + left
    own, other = engine_y - 60, -s * (engine_x + 500) + c * (engine_y - 60)
    half = 100 * np.sin(np.radians(6 + yaw)) + 50 * np.cos(np.radians(6 + yaw))
    spare = np.minimum(left - half + 72, 118 - left - half) - 5
    kept = (abs(own) <= 4) & (abs(other) <= 4)
    grid = float(spare[kept].max())
    assert held.after[0].spare == pytest.approx(grid, abs=0.06)
    assert "chain offset to 4 mm" in held.ends
    free = find_place(bare(tmp_path, text))
    assert free.after[0].spare > grid + 5


def test_what_is_left_changes_as_finite_differences_say(tmp_path: Path) -> None:
    """Of every limit, at a place with every figure other than 0, on ground that slopes."""
    ramp = """[[keep_out]]
name = "ramp"
kind = "ground"
box = { at = [0, 0, -100], axis = [-0.3, 0.2, 0.9], up = [0, 1, 0], from = [-900, -900, 0], to = [900, 900, 20] }
"""
    rows = f"{LEVER}x = {{ from = -400 }}\ny = {{ to = 90 }}\nz = {{ from = 0, to = 90 }}\n"
    rows += shaft("angle = { rest = 9 }\npair = { rest = 4 }", axis=(-1, 0.05, 0.1), far=(-750, 30, 80))
    rows += chain("offset = { rest = 50 }\nangle = { rest = 8 }")
    rows += '[[prop]]\nname = "nose"\nat = [90, 0, 0]\nheight = { from = 25, to = 160 }\n'
    crank = "[powertrain]\ncrank = { at = [40, -20, 15] }\n"
    ends = limits_of(bare(tmp_path, f"{ENGINE}{ramp}{rows}{crank}[place]\nup = [-10, 90]\n"))
    at = np.array((3.0, -2.0, 4.0, 2.0, -3.0, 5.0))
    here = ends.kept(at)
    assert [(end.name, end.figure) for end in here] == [
        ("lever", "x"), ("lever", "y"), ("lever", "z"), ("lever", "z"), ("nose", "height"), ("nose", "height"),
        ("shaft", "angle on the powertrain"), ("shaft", "angle on the chassis"), ("shaft", "pair"),
        *[("chain", "offset")] * 4, ("chain", "angle"),
    ]  # fmt: skip
    for i in range(6):
        step = np.zeros(6)
        step[i] = 1e-3
        sides = zip(ends.kept(at + step), ends.kept(at - step), strict=True)
        true = [(more.slack - less.slack) / 2e-3 for more, less in sides]
        assert [end.slope[i] for end in here] == pytest.approx(true, abs=1e-4)


def test_a_limit_of_none_at_all_is_found(tmp_path: Path) -> None:
    """A flange that looks 4 deg down and 3 deg aside may bend its joint by nothing: it is turned back by both."""
    axis = (-1.0, math.tan(math.radians(3)), -math.tan(math.radians(4)))
    rows = shaft("angle = { rest = 0 }", axis=axis)
    limits = "[place]\nup = [-90, 90]\nleft = [-90, 90]\npitch = [-9, 9]\nyaw = [-9, 9]\n"
    ends = limits_of(bare(tmp_path, f"{ENGINE}{ROOM}{rows}{limits}"))
    at = ends.brought_in(np.zeros(6))
    assert at[4:] == pytest.approx((4, 3), abs=0.02)
    assert all(end.value is not None and end.value <= 1e-6 for end in ends.kept(at))


def test_a_joint_that_cannot_be_kept_is_refused_by_what_it_bends_at_least(tmp_path: Path) -> None:
    text = f"{ENGINE}{ROOM}[place]\nup = [20, 60]\n" + shaft("angle = { rest = 1 }")
    with pytest.raises(InputError) as caught:
        find_place(bare(tmp_path, text))
    least = round(math.degrees(math.atan(20 / 600)), 2)
    assert caught.value.problems == tuple(
        f"shaft shaft: angle on the {side} = {least} deg, at most 1 deg: none found within [place] that keeps it"
        for side in ("powertrain", "chassis")
    )


def test_a_typed_place_that_bends_a_joint_too_far_is_told_and_brought_in(tmp_path: Path) -> None:
    text = f"{ENGINE}{ROOM}[powertrain]\nplace = {{ at = [0, 0, 40] }}\n[place]\nup = [-10, 60]\n"
    best = find_place(bare(tmp_path, text + shaft("angle = { rest = 3 }")))
    past = math.degrees(math.atan(40 / 600)) - 3
    assert best.outside == tuple(
        f"shaft angle on the {side} to 3 deg: {past:.2f} deg past it" for side in ("powertrain", "chassis")
    )
    assert best.at[2] < 31.45


def test_over_no_ground_a_height_is_not_kept(tmp_path: Path) -> None:
    ground = box("road", (-50, -FAR, -140), (120, FAR, -100)) + 'kind = "ground"\n'
    low = '[[prop]]\nname = "nose"\nat = [90, 0, 0]\nheight = { from = 110, to = 160 }\n'
    text = f"{ENGINE}{walls((-90, 90), (-190, 390))}{ground}{low}[place]\nfore = [-50, 150]\nup = [0, 30]\n"
    ends = limits_of(bare(tmp_path, text))
    assert list(ends.broken(np.array((31.0, 0, 20, 0, 0, 0)))) == [
        "nose height from 110 mm: no ground is under it", "nose height to 160 mm: no ground is under it"
    ]  # fmt: skip
    best = find_place(bare(tmp_path, text))
    assert best.at[0] <= 30  # 100 would be the middle
    assert best.at[2] >= 10


# ---------------------------------------------------------------------------------------------------- single steps


def test_the_best_single_step_goes_to_where_the_next_gap_has_as_little(tmp_path: Path) -> None:
    here = bare(tmp_path, ENGINE + FLOOR + walls((-60, 84)))
    gaps = tightest(here, np.zeros(6), most=3)
    shift, turned = best_steps(here, np.zeros(6), gaps, [slopes(here, one, np.zeros(6)) for one in gaps])
    assert shift is not None
    assert turned is None  # any turn brings an edge nearer
    assert (shift.words, shift.rate, shift.unit) == ("left", pytest.approx(1), "mm")
    assert shift.far == pytest.approx(12, abs=1e-3)  # from 10 and 34 to 22 and 22
    assert shift.after[0].spare == pytest.approx(22 - 5, abs=2e-3)


def test_a_turn_may_be_the_best_step(tmp_path: Path) -> None:
    askew = box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", yaw=2)
    here = bare(tmp_path, askew + walls((-60, 60)))
    gaps = tightest(here, np.zeros(6), most=2)
    shift, turned = best_steps(here, np.zeros(6), gaps, [slopes(here, one, np.zeros(6)) for one in gaps])
    assert shift is None  # what one wall gains the other loses
    assert turned is not None
    assert turned.words == "nose right"
    # the corner (100, 50) turned by 2 deg is (98.19, 53.46) from the middle
    assert turned.rate == pytest.approx(98.19 * math.radians(1), abs=0.02)


@pytest.mark.parametrize("askew", [1.0, -1.5])
def test_a_turn_goes_no_further_than_square(askew: float, tmp_path: Path) -> None:
    """Both walls gain as it is turned to square and lose past it: by the rates at the start alone it would be
    turned by the full 5 deg, to less than it had."""
    block = box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", yaw=askew)
    here = bare(tmp_path, block + walls((-60, 60)))
    gaps = tightest(here, np.zeros(6), most=2)
    _, turned = best_steps(here, np.zeros(6), gaps, [slopes(here, one, np.zeros(6)) for one in gaps])
    assert turned is not None
    assert turned.words == ("nose right" if askew > 0 else "nose left")
    assert turned.far == pytest.approx(abs(askew), abs=0.1)
    assert turned.after[0].spare == pytest.approx(10 - 5, abs=0.1)


@pytest.mark.parametrize(
    ("spares", "rates", "far"),
    [
        ((1, 9), (1, -1), 4),
        ((1, 9), (1, 0), 8),
        ((1, 9), (1, 0.5), 20),
        ((1, 90), (1, -1), 20),
        ((3, 9, 9), (1, -1, -2), 2),
    ],
)
def test_how_far_a_step_is_worth_going(spares: tuple[float, ...], rates: tuple[float, ...], far: float) -> None:
    assert best_distance(np.array(spares), np.array(rates), 20.0) == pytest.approx(far)


def test_a_step_goes_no_further_than_a_point_may(tmp_path: Path) -> None:
    here = bare(tmp_path, f"{ENGINE}{FLOOR}{LEVER}z = {{ to = 64 }}\n[place]\nup = [0, 30]\n")
    step, gain = best_step(limits_of(here), np.zeros(6), [(1.0, np.eye(6)[2])], 10.0, np.zeros(6))
    assert (gain, step[2]) == (pytest.approx(4), pytest.approx(4))


def test_of_steps_as_good_the_one_nearest_to_the_typed_place_is_taken(tmp_path: Path) -> None:
    here = bare(tmp_path, f"{ENGINE}{FLOOR}[place]\nfore = [-50, 50]\nleft = [-50, 50]\nup = [0, 3]\n")
    home = np.array((4.0, 0, 0, 0, 0, 0))
    step, gain = best_step(limits_of(here), np.zeros(6), [(1.0, np.eye(6)[2])], 10.0, home)
    assert gain == pytest.approx(3)
    assert step == pytest.approx((4, 0, 3, 0, 0, 0), abs=1e-5)
