"""Room for bolts, sockets and spanners: volumes in closed form, and what they clear."""

from __future__ import annotations

import math

import cadquery as cq
import pytest

from brackets import clearance
from brackets.clearance import tools
from brackets.core.errors import InputError


def test_bolt_is_its_shank_and_head() -> None:
    shape = tools.bolt(shank_od=12, length=60, head_od=20, head_height=7.5)
    assert shape.Volume() == pytest.approx(math.pi * (36 * 60 + 100 * 7.5), rel=1e-9)
    box = shape.BoundingBox()
    assert (box.zmin, box.zmax) == pytest.approx((-60, 7.5), abs=1e-5)


def test_withdrawal_reaches_as_far_as_the_bolt_is_long() -> None:
    shape = tools.withdrawal(length=60, head_od=20, head_height=7.5)
    assert shape.Volume() == pytest.approx(math.pi * 100 * 67.5, rel=1e-9)


def test_socket_with_an_extension_bar() -> None:
    shape = tools.socket(od=26, length=38, drive_od=17, reach=75)
    assert shape.Volume() == pytest.approx(math.pi * (13**2 * 38 + 8.5**2 * 75), rel=1e-9)
    assert tools.socket(od=26, length=38).Volume() == pytest.approx(math.pi * 13**2 * 38, rel=1e-9)


@pytest.mark.parametrize("angle", [30.0, 60.0, 140.0])
def test_spanner_sweeps_what_every_place_of_it_fills(angle: float) -> None:
    """A thin spanner set at nine places of its swing never leaves the swept room."""
    swept = tools.spanner(jaw_od=38, handle=16, reach=170, t=9, angle=angle, clock=20, lift=1)
    assert swept.isValid()
    one = tools.spanner(jaw_od=38, handle=16, reach=170, t=9, angle=0.01, lift=1)
    for step in range(9):
        stands = one.rotate(cq.Vector(), cq.Vector(0, 0, 1), 20 + (angle - 0.01) * step / 8)
        assert stands.cut(swept).Volume() == pytest.approx(0, abs=1e-3)
    pie = (math.radians(angle) / 2 + math.asin(8 / math.hypot(170, 8))) * math.hypot(170, 8) ** 2 * 9
    assert pie < swept.Volume() < pie + 9 * (170 * 16 + math.pi * 19**2)


@pytest.mark.parametrize(("angle", "handle"), [(1.0, 38.0), (30.0, 16.0), (179.0, 38.0), (180.0, 10.0)])
def test_spanner_drawn_by_its_outline_is_the_one_put_together(angle: float, handle: float) -> None:
    drawn, fused = (make(38, handle, 170, 9, angle) for make in (tools._swung, tools._fused))
    assert drawn.isValid()
    assert drawn.Volume() == pytest.approx(fused.Volume(), rel=1e-12)
    assert drawn.cut(fused).Volume() + fused.cut(drawn).Volume() == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize(("angle", "handle"), [(180.0, 38.0), (300.0, 16.0), (360.0, 16.0)])
def test_spanner_of_a_wide_swing_is_one_solid(angle: float, handle: float) -> None:
    made = tools.spanner(jaw_od=38, handle=handle, reach=170, t=9, angle=angle)
    assert made.isValid()
    assert made.Volume() < math.pi * math.hypot(170, handle / 2) ** 2 * 9 + 1e-6


def test_spanner_finds_the_wall_that_stops_it() -> None:
    wall = clearance.body(cq.Solid.makeBox(400, 10, 60, cq.Vector(-200, 60, -20)), name="wall")
    short = tools.spanner(jaw_od=38, handle=16, reach=170, t=9, angle=15, lift=1)
    long = tools.spanner(jaw_od=38, handle=16, reach=170, t=9, angle=40, lift=1)
    assert clearance.gap(clearance.body(short), wall).state == "clear"
    assert clearance.gap(clearance.body(long), wall).state == "hit"


def test_wrong_sizes_are_refused_together() -> None:
    with pytest.raises(InputError) as caught:
        tools.bolt(shank_od=0, length=-1, head_od=20, head_height=7)
    assert len(caught.value.problems) == 2
    with pytest.raises(InputError, match="reach"):
        tools.socket(od=20, length=30, drive_od=10)
    with pytest.raises(InputError, match="handle = 50"):
        tools.spanner(jaw_od=38, handle=50, reach=170, t=9, angle=30)
