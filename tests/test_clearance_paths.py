"""Ways in and out against closed forms: how far it is free, the least gap on the way, what is met first."""

from __future__ import annotations

import math
from dataclasses import replace

import cadquery as cq
import numpy as np
import pytest

from brackets import clearance
from brackets.clearance import overlaps, paths
from brackets.core.errors import InputError

V = cq.Vector


def block(
    x: float, y: float, z: float, at: tuple[float, float, float], name: str = "block"
) -> clearance.Body:
    return clearance.body(
        cq.Solid.makeBox(x, y, z, V(at[0] - x / 2, at[1] - y / 2, at[2] - z / 2)), name=name
    )


def rod(r: float, length: float, at: tuple[float, float, float], name: str = "rod") -> clearance.Body:
    return clearance.body(cq.Solid.makeCylinder(r, length, V(at[0], at[1], at[2] - length / 2)), name=name)


def holed(bore: float, name: str = "plate") -> clearance.Body:
    """A plate 60 by 60 by 10 centred on the origin, a hole through it along z."""
    plate = cq.Solid.makeBox(60, 60, 10, V(-30, -30, -5))
    return clearance.body(plate.cut(cq.Solid.makeCylinder(bore / 2, 20, V(0, 0, -10))), name=name)


def test_straight_way_out_past_a_wall() -> None:
    wall = block(10, 100, 20, (50, 0, 15), "wall")
    found = clearance.path(block(20, 20, 10, (0, 0, 0)), wall, [(0, 0, 40)])
    assert found.out
    assert found.low <= 35 <= found.high
    assert found.high - found.low <= 0.2
    assert [leg.free for leg in found.legs] == [40]


def test_passing_by_at_an_angle_finds_the_least_gap_between_the_ends() -> None:
    """A ball driven past a post: nearest in the middle of the leg, where no end shows it."""
    ball = clearance.body(cq.Solid.makeSphere(5, V(-50, 12, 0), V(0, 0, 1), -90, 90, 360), name="ball")
    found = clearance.path(ball, rod(4, 60, (3, 0, 0)), [(100, 0, 0)])
    assert found.low <= 12 - 9 <= found.high
    assert found.at[1] == pytest.approx(53, abs=2.5)


@pytest.mark.parametrize("length", [50.0, 60.0, 80.0, 200.0])
@pytest.mark.parametrize("y", [-110.0, -20.0, 0.0])
def test_a_body_that_goes_straight_through_a_wide_slab_is_stopped_by_it(length: float, y: float) -> None:
    """A disc 6.4 thick with 35.4 below a slab of 10: in the middle of the slab and off it, where the disc lies
    wholly in what the slab sweeps, and no surface meets a swept one."""
    disc, slab = rod(10, 6.4, (0, -42, 61.4), "disc"), block(200, 300, 10, (0, y, 105), "slab")
    for moving, fixed, by in ((disc, slab, length), (slab, disc, -length)):
        found = clearance.path(moving, fixed, [(0, 0, by)])
        assert (found.out, found.legs[0].free) == (False, pytest.approx(35.4, abs=0.01))


def test_blocked_way_says_how_far_and_what() -> None:
    wall, far = block(10, 100, 100, (55, 0, 0), "wall"), block(10, 100, 100, (155, 0, 0), "far wall")
    found = clearance.path(block(20, 20, 20, (0, 0, 0)), (far, wall), [(100, 0, 0), (0, 0, 50)])
    assert not found.out
    assert found.hits == ("block", "wall")
    assert [leg.free for leg in found.legs] == [pytest.approx(40, abs=0.02)]
    assert (found.low, found.high) == (0, 0)


def test_second_leg_is_driven_from_the_end_of_the_first() -> None:
    ceiling = block(200, 200, 10, (50, 0, 45), "ceiling")
    hole = clearance.body(
        cq.Solid.makeBox(200, 200, 10, V(-50, -100, 40)).cut(cq.Solid.makeBox(40, 40, 30, V(60, -20, 30))),
        name="lid",
    )
    engine = block(20, 20, 20, (0, 0, 0), "engine")
    assert not clearance.path(engine, hole, [(0, 0, 100)]).out
    found = clearance.path(engine, hole, [(80, 0, 0), (0, 0, 100)])
    assert found.out
    assert found.low <= 10 <= found.high
    assert not clearance.path(engine, ceiling, [(80, 0, 0), (0, 0, 100)]).out


def test_swinging_out_meets_a_post() -> None:
    """A bar 100 long about its end; the post is met when the bar's side comes to it."""
    bar = block(100, 10, 10, (50, 0, 0), "bar")
    found = clearance.path(bar, rod(5, 40, (0, 60, 0), "post"), [clearance.swing((0, 0, 0), (0, 0, 1), 120)])
    assert found.hits == ("bar", "post")
    assert found.legs[0].free == pytest.approx(90 - math.degrees(math.asin(10 / 60)), abs=0.05)


def test_swinging_the_other_way_is_free() -> None:
    bar = block(100, 10, 10, (50, 0, 0), "bar")
    found = clearance.path(bar, rod(5, 40, (0, 60, 0)), [clearance.swing((0, 0, 0), (0, 0, 1), -90)])
    assert found.out
    nearest = (
        math.hypot(0 - 0, 60) - 5 - 5
    )  # the bar's near end corner, (0, 5), at the start; then it goes away
    assert found.low <= nearest <= found.high


@pytest.mark.parametrize("clear", [0.5, 0.1, 0.05])
def test_bolt_is_drawn_out_of_its_hole(clear: float) -> None:
    bolt = rod(6, 50, (0, 0, 0), "bolt")
    found = clearance.path(bolt, holed(12 + 2 * clear), [(0, 0, 60)], 0.1)
    assert found.out
    assert found.low <= clear <= found.high
    assert found.high - found.low <= 0.1


def test_bolt_drawn_sideways_is_not_out() -> None:
    found = clearance.path(rod(6, 50, (0, 0, 0), "bolt"), holed(13), [(10, 0, 0)])
    assert found.hits == ("bolt", "plate")
    assert found.legs[0].free == pytest.approx(0.5, abs=0.02)


def test_pair_that_touches_at_the_start_must_be_declared() -> None:
    plate, boss = block(60, 60, 6, (0, 0, 3), "plate"), block(60, 60, 20, (0, 0, -10), "boss")
    found = clearance.path(plate, boss, [(0, 0, 30)])
    assert found.hits == ("plate", "boss")
    assert found.legs[0].free == 0
    lifted = clearance.path(plate, boss, [(0, 0, 30)], touching=[(0, 0)])
    assert lifted.out
    assert lifted.watched == (("plate", "boss"),)


def test_declared_pair_driven_into_each_other_is_caught() -> None:
    plate, boss = block(60, 60, 6, (0, 0, 3), "plate"), block(60, 60, 20, (0, 0, -10), "boss")
    found = clearance.path(plate, boss, [(0, 0, -5)], touching=[(0, 0)])
    assert not found.out
    assert found.hits == ("plate", "boss")


@pytest.mark.parametrize("leg", [(0, 0, 90), (-60, 0, 0), clearance.swing((-80, 0, 5), (0, 1, 0), -90)])
def test_a_declared_pair_that_parts_is_caught_where_it_meets_again(
    leg: tuple[float, float, float] | clearance.RotaryLeg, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A block off the sill of a frame, up against its lintel, along the sill into its post, and swung up: it ends
    where it ends when every step is looked at, and fewer are."""
    frame = cq.Solid.makeBox(160, 60, 120, V(-80, -30, -20)).cut(cq.Solid.makeBox(140, 60, 70, V(-60, -30, 0)))
    pair = block(20, 20, 10, (0, 0, 5), "block"), clearance.body(frame, name="frame")
    seen: list[float] = []
    true = overlaps.sure_volume
    monkeypatch.setattr(overlaps, "sure_volume", lambda *both: (seen.append(true(*both)), seen[-1])[1])
    found = clearance.path(*pair, [leg], touching=[(0, 0)])
    few = len(seen)
    nearest = paths.skins
    monkeypatch.setattr(paths, "skins", lambda a, b: replace(nearest(a, b), distance=0.0))
    assert clearance.path(*pair, [leg], touching=[(0, 0)]) == found
    assert not found.out
    assert few < (len(seen) - few) or leg == (-60, 0, 0)  # it rubs along the sill


def test_small_body_driven_far_through_a_thin_wall_is_caught() -> None:
    """Neither end of the leg is near the wall: continuous collision of the library finds nothing here."""
    sheet = block(0.5, 200, 200, (500, 0, 0), "sheet")
    found = clearance.path(block(10, 10, 10, (0, 0, 0)), sheet, [(1000, 3, 2)])
    assert found.hits == ("block", "sheet")
    assert found.legs[0].free == pytest.approx((499.75 - 5) * math.hypot(1000, 3, 2) / 1000, abs=0.02)


def test_wrong_legs_are_refused() -> None:
    a, b = block(1, 1, 1, (0, 0, 0)), block(1, 1, 1, (5, 0, 0))
    for legs, word in (([], "none"), ([(0, 0, 0)], "length"), ([(1, 2)], "three finite numbers")):
        with pytest.raises(InputError, match=word):
            clearance.path(a, b, legs)
    with pytest.raises(InputError, match="400"):
        clearance.swing((0, 0, 0), (0, 0, 1), 400)


@pytest.mark.parametrize("seed", [0, 3])
def test_what_is_dragged_agrees_with_stepping_along(seed: int) -> None:
    """Two bent parts past each other, either being the lighter: 150 places never find less."""
    rng = np.random.default_rng(seed)
    bent = (
        cq.Workplane("XZ")
        .polyline([(0, 0), (50, 0), (50, 6), (6, 6), (6, 50), (0, 50)])
        .close()
        .extrude(30)
        .val()
    )
    axis = rng.normal(size=3)
    turn = clearance.about((0, 0, 0), axis / np.linalg.norm(axis), rng.uniform(0, 180))
    part = clearance.body(bent, name="part").placed(turn).placed(clearance.moved((-150, -75, 0)))
    round_one = clearance.body(cq.Solid.makeTorus(25, 6), tolerance=0.3).placed(clearance.moved((0, 0, 8)))
    for a, b in (
        (part, round_one),
        (round_one.placed(clearance.moved((-150, -75, 0))), part.placed(clearance.moved((150, 75, 0)))),
    ):
        by = np.array((300.0, 70 + 25 * seed, rng.uniform(-30, 30)))
        found = clearance.path(a, b, [by.tolist()], 0.05)
        steps = [clearance.gap(a.placed(clearance.moved(by * s)), b, cap=0.0) for s in np.linspace(0, 1, 151)]
        if found.out:
            assert min(step.high for step in steps) >= found.low
            assert found.high - found.low <= 0.05 + 2e-3 * (a.bound + b.bound)
        else:
            free = found.legs[0].free / found.legs[0].length
            assert all(
                step.state in ("far", "clear")
                for step, s in zip(steps, np.linspace(0, 1, 151), strict=True)
                if s < free
            )
