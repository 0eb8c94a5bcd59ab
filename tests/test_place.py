"""Where the powertrain may stand: how gaps change with its position, and the best position, against closed forms,
finite differences of the true gaps, and dense grids. All bays are invented."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

from brackets.bay.file import read
from brackets.bay.place_limits import limits_of
from brackets.bay.place_search import PlaceFound, find_place
from brackets.bay.place_steps import best_distance, best_steps, slopes
from brackets.bay.placing import BareBay, PlaceGap, bare_bay, gap_at, motion, powertrain_at, tightest, typed_position
from brackets.bay.mount_frames import place_of
from brackets.core.errors import BadFile, OutOfRange

HEAD = 'format = 1\n[gap]\nfixed = { rest = 5, moved = 1, why = "our own choice" }\n'
FAR = 900


def box(name: str, low: tuple[float, ...], high: tuple[float, ...], side: str = "chassis", more: str = "") -> str:
    return f'[[keep_out]]\nname = "{name}"\nside = "{side}"\nbox = {{ from = {list(low)}, to = {list(high)} }}\n{more}'


def tube(name: str, start: tuple[float, ...], end: tuple[float, ...], od: float, side: str = "chassis") -> str:
    ends = f"from = {list(start)}, to = {list(end)}, od = {od}"
    return f'[[keep_out]]\nname = "{name}"\nside = "{side}"\ntube = {{ {ends} }}\n'


ENGINE = box("engine", (-100, -50, 0), (100, 50, 80), "powertrain")


def bare(folder: Path, text: str) -> BareBay:
    path = folder / "bay.toml"
    path.write_text(HEAD + text, "utf-8")
    return bare_bay(read(path))


def found(folder: Path, text: str) -> PlaceFound:
    return find_place(bare(folder, text))


# ------------------------------------------------------------------------------------- how a point and a gap move


def test_a_point_moves_as_the_place_carries_it() -> None:
    """Against central differences of the place itself, at a position with every figure other than 0."""
    from brackets.bay.schema import Powertrain

    engine = Powertrain(crank_at=(120.0, -30.0, 210.0))
    at, typed = np.array((12.0, -7.0, 31.0, 20.0, -35.0, 50.0)), (410.0, 95.0, -60.0)
    where = np.asarray(place_of(powertrain_at(engine, at)).point(typed))
    moves = motion(engine, at, where)
    for i in range(6):
        step = np.zeros(6)
        step[i] = 1e-4
        ends = [np.asarray(place_of(powertrain_at(engine, at + sign * step)).point(typed)) for sign in (1, -1)]
        assert moves[:, i] == pytest.approx((ends[0] - ends[1]) / 2e-4, abs=1e-7)


def sphere(folder: Path) -> str:
    trimesh.creation.icosphere(subdivisions=2, radius=60.0).export(folder / "ball.stl")
    return '[[keep_out]]\nname = "ball"\nside = "powertrain"\nmesh = "ball.stl"\nunit = "mm"\nat = [13, 22, 31]\n'


ASKEW = 'box_at = [210, 40, 60]\nbox_axis = [0.3, -0.2, 1]\n'

PAIRS = {
    "corner of a box and a face": box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", "box_at = [0, 0, 0]\nbox_axis = [0.2, 0.35, 1]\n")
    + box("wall", (-FAR, -FAR, -200), (FAR, FAR, -60)),
    "edges of two boxes": box("engine", (-100, -50, 0), (100, 50, 80), "powertrain", "box_at = [0, 0, 0]\nbox_axis = [0.5, 0.4, 1]\n")
    + box("post", (190, -20, -FAR), (230, 20, FAR)),
    "two tubes, crossed": tube("shaft", (-200, 0, 0), (200, 30, 10), 60, "powertrain")
    + tube("rail", (10, -300, 100), (-40, 300, 140), 42.4),
    "end of a tube and a box": tube("shaft", (0, 0, 0), (220, 35, 60), 50, "powertrain")
    + box("wall", (300, -FAR, -FAR), (320, FAR, FAR)),
}  # fmt: skip


@pytest.mark.parametrize("name", [*PAIRS, "ball of triangles"])
def test_a_gap_changes_as_finite_differences_of_the_true_gap_say(name: str, tmp_path: Path) -> None:
    """One closest pair, so that both sides of every figure agree; a turned and shifted place; central differences."""
    text = sphere(tmp_path) + tube("rail", (10, -300, 160), (-40, 300, 180), 42.4) if name not in PAIRS else PAIRS[name]
    powertrain = "[powertrain]\ncrank = { at = [40, -20, 15] }\nplace = { at = [3, -2, 4], roll = 2, pitch = -3, yaw = 5 }\n"
    here = bare(tmp_path, text + powertrain)
    at = typed_position(here.bay.powertrain)
    gap = gap_at(here, here.pairs[0], at)
    assert gap is not None
    assert gap.state in ("clear", "far")
    assert gap.low > 5
    plus, minus = slopes(here, gap, at)
    assert plus == pytest.approx(-minus, abs=3e-3)
    for i in range(6):
        step = np.zeros(6)
        step[i] = 0.02
        ends = [gap_at(here, here.pairs[0], at + sign * step) for sign in (1, -1)]
        true = (ends[0].high - ends[1].high) / 0.04  # type: ignore[union-attr]
        assert plus[i] == pytest.approx(true, abs=0.02 if name not in PAIRS else 3e-3)


def test_where_several_points_are_the_closest_the_least_of_them_counts(tmp_path: Path) -> None:
    """A block 200 by 100 stands 30 over a floor, parallel to it: whichever way it leans, the edge of that side comes
    down, by its arm from the crank's point. 1 deg on 140, 60, 70 and 30 mm."""
    here = bare(tmp_path, ENGINE + box("floor", (-FAR, -FAR, -60), (FAR, FAR, -30)) + "[powertrain]\ncrank.at = [40, -20, 0]\n")
    at = typed_position(here.bay.powertrain)
    [gap] = tightest(here, at)
    plus, minus = slopes(here, gap, at)
    degree = math.radians(1)
    assert plus == pytest.approx((0, 0, 1, -30 * degree, -60 * degree, 0), abs=1e-3)
    assert minus == pytest.approx((0, 0, -1, -70 * degree, -140 * degree, 0), abs=1e-3)
    for i, gains in itertools.product(range(3, 5), (plus, minus)):  # and so do the true gaps
        aside = at.copy()
        aside[i] = 0.1 if gains is plus else -0.1
        assert (gap_at(here, gap.pair, aside).low - gap.low) / 0.1 == pytest.approx(gains[i], abs=0.01)  # type: ignore[union-attr]


@pytest.mark.parametrize(("deep", "side"), [(12.0, 1), (7.0, -1)])
def test_of_bodies_that_foul_the_way_out_is_a_negative_gap(deep: float, side: int, tmp_path: Path) -> None:
    wall = sorted((side * (50 - deep), side * 90.0))
    here = bare(tmp_path, ENGINE + box("wall", (-FAR, wall[0], -FAR), (FAR, wall[1], FAR)))
    at = typed_position(here.bay.powertrain)
    [gap] = tightest(here, at)
    assert gap.state == "hit"
    assert gap.low == pytest.approx(-deep, abs=2e-3)
    assert gap.slope[:3] == pytest.approx((0, -side, 0), abs=1e-6)
    assert gap.spare == pytest.approx(-deep - 5, abs=2e-3)


def test_faces_that_touch_have_a_way_out_too(tmp_path: Path) -> None:
    here = bare(tmp_path, ENGINE + box("floor", (-FAR, -FAR, -30), (FAR, FAR, 0)))
    [gap] = tightest(here, np.zeros(6))
    assert (gap.state, gap.low) == ("touch", pytest.approx(0.0, abs=2e-3))
    assert gap.slope[:3] == pytest.approx((0, 0, 1), abs=1e-6)


# ------------------------------------------------------------------------------------------------- the best position


def walls(y: tuple[float, float], x: tuple[float, float] | None = None) -> str:
    text = box("right", (-FAR, y[0] - 10, -FAR), (FAR, y[0], FAR)) + box("left", (-FAR, y[1], -FAR), (FAR, y[1] + 10, FAR))
    if x is not None:
        text += box("rear", (x[0] - 10, -FAR, -FAR), (x[0], FAR, FAR)) + box("front", (x[1], -FAR, -FAR), (x[1] + 10, FAR, FAR))
    return text


def test_a_box_between_two_walls_goes_to_the_middle(tmp_path: Path) -> None:
    best = found(tmp_path, ENGINE + walls((-60, 130)) + "[place]\nleft = [-100, 100]\nfore = [-50, 50]\n")
    assert best.before[0].spare == pytest.approx(10 - 5, abs=1e-3)
    assert best.at == pytest.approx((0, 35, 0, 0, 0, 0), abs=0.01)  # and not fore or aft, which gains nothing
    assert best.after[0].spare == pytest.approx(45 - 5, abs=0.01)
    assert {one.b for one in best.holds} == {"left", "right"}
    assert best.ends == ()


def test_two_ways_against_a_dense_grid(tmp_path: Path) -> None:
    """Between four walls and beside a round post: no closed form; 61 by 61 positions, each measured."""
    text = ENGINE + walls((-60, 130), (-125, 190)) + tube("post", (160, 95, -FAR), (160, 95, FAR), 50)
    here = bare(tmp_path, text + "[place]\nleft = [-5, 75]\nfore = [-20, 85]\n")
    best = find_place(here)
    grid = [
        tightest(here, np.array((x, y, 0, 0, 0, 0)), rough=True)[0].spare
        for x in np.linspace(-20, 85, 61)
        for y in np.linspace(-5, 75, 61)
    ]
    assert max(grid) - 0.02 <= best.after[0].spare <= max(grid) + 1.4  # half a diagonal of the grid's 1.75 by 1.33


def test_a_box_in_a_corner_of_three_walls_goes_as_far_as_its_limits_let_it(tmp_path: Path) -> None:
    """12, 9 and 6 mm from the walls; 10, 7 and 12 mm may be moved: 16 is the most all three can have."""
    corner = (box("rear", (-150, -FAR, -FAR), (-112, FAR, FAR)) + box("right", (-FAR, -90, -FAR), (FAR, -59, FAR))
              + box("floor", (-FAR, -FAR, -40), (FAR, FAR, -6)))  # fmt: skip
    best = found(tmp_path, ENGINE + corner + "[place]\nfore = [-5, 10]\nleft = [-5, 7]\nup = [-3, 12]\n")
    assert best.after[0].spare == pytest.approx(16 - 5, abs=0.01)
    assert best.at[1] == 7
    assert best.at[[0, 2]] == pytest.approx((4, 10), abs=0.02)  # no further than is of use
    assert best.ends == ("left to 7 mm",)


def test_a_turn_frees_a_box_that_stands_askew(tmp_path: Path) -> None:
    """A block 200 by 100, turned 6 deg, between walls 160 apart: straight it has 30 to each side."""
    askew = ENGINE + "box_at = [0, 0, 0]\nbox_axis = [0, 0, 1]\n" + f"box_up = [{-math.sin(math.radians(6))}, {math.cos(math.radians(6))}, 0]\n"
    best = found(tmp_path, askew + walls((-70, 90)) + "[place]\nleft = [-40, 40]\nyaw = [-10, 10]\n")
    assert best.at == pytest.approx((0, 10, 0, 0, 0, -6), abs=0.02)
    assert best.after[0].spare == pytest.approx(30 - 5, abs=0.03)


def test_three_ways_and_round_bodies_against_a_dense_grid(tmp_path: Path) -> None:
    shaft = tube("shaft", (-150, 0, 0), (150, 0, 0), 60, "powertrain")
    rails = (tube("low", (-300, -20, -75), (300, 10, -70), 38) + tube("beside", (-300, 95, -300), (200, 70, 300), 38)
             + tube("over", (40, -300, 120), (60, 300, 95), 38) + box("right", (-FAR, -140, -FAR), (FAR, -90, FAR)))  # fmt: skip
    here = bare(tmp_path, shaft + rails + "[place]\nleft = [-40, 40]\nup = [-40, 40]\npitch = [-8, 8]\n")
    best = find_place(here)
    grid = max(
        tightest(here, np.array((0, y, z, 0, pitch, 0)), rough=True)[0].spare
        for y in np.linspace(-40, 40, 17)
        for z in np.linspace(-40, 40, 17)
        for pitch in np.linspace(-8, 8, 9)
    )
    assert best.after[0].spare >= grid - 0.05
    assert best.after[0].spare > best.before[0].spare + 3
