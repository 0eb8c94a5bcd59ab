"""Ears cut square that lean on the plate under them: where they touch it, how wide it is, what is welded."""

from __future__ import annotations

import math

import cadquery as cq
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel import common_volume

from brackets import recipe
from brackets.core.errors import InputError
from brackets.kernel.solids import own_shape, shape
from brackets.library.ears import Ears, FlatSeat
from brackets.library.ears_base import feet_on_base, steepest, touching_welds
from brackets.model import edges
from brackets.model.part import Part
from brackets.rules.joints import joint_findings

OPENED = recipe("ears_on_base")


def made(**values: object) -> Part:
    return OPENED.build(OPENED.Params(**values))


def by_name(part: Part, name: str) -> cq.Shape:
    return shape(Part(name=name, pieces=(part.piece(name),)))


def lowest(ear: cq.Shape, out: tuple[float, float, float], plane: float) -> float:
    """Least distance of a solid's corners from the plane out . p = plane, on the bush's side of it."""
    return min(plane - sum(n * v for n, v in zip(out, v.toTuple(), strict=True)) for v in ear.Vertices())


def test_the_corners_of_feet_on_a_slope_worked_out_by_hand() -> None:
    """Ears of 6, 50 apart, feet of 40, on a flat 60 below that falls 1 in 10 along the bush axis. The front ear
    meets it at z = 25, y = 62.5, the rear one at z = -31, y = 56.9. Along the slope the feet run from 25 / cos to
    that and 6 cos more, and from 31 / cos inwards: 31 sqrt(1.01) = 31.155 to either side is the plate's."""
    flat = FlatSeat(reach=60, slope=math.degrees(math.atan(0.1)))
    assert [flat.met(z, z + 6).reach for z in (25.0, -31.0)] == pytest.approx([62.5, 56.9])
    feet = feet_on_base(Ears(bolt="M12", inside=50, ear_r=20, t=6, foot=40, leg=4), flat)
    assert feet.far == pytest.approx(31 * math.sqrt(1.01)) == pytest.approx(31.155, abs=1e-3)
    assert feet.near == pytest.approx(25 * math.sqrt(1.01))
    assert (feet.wide, feet.long) == (pytest.approx(62.31, abs=0.01), pytest.approx(40.0))


def test_a_plate_laid_on_a_flat_raises_it_by_its_thickness_square_to_it() -> None:
    """1 in 10 along and 1 in 5 across: 6 mm are 6 sqrt(1 + 0.01 + 0.04) = 6.148 towards the bush."""
    flat = FlatSeat(reach=60, slope=math.degrees(math.atan(0.1)), lean=math.degrees(math.atan(0.2)))
    assert flat.raised(6).reach == pytest.approx(60 - 6.148, abs=1e-3)
    assert flat.raised(6).clear((0.0, 60.0), 0.0) < 0 < flat.raised(6).clear((0.0, 53.0), 0.0)


def test_both_ears_of_a_rail_square_to_them_are_one_solid_and_no_others() -> None:
    """Made, meshed and checked once."""
    ears = recipe("ears")
    for slope, shapes in ((0.0, 1), (5.0, 2)):
        pieces = ears.build(ears.Params(slope=slope)).pieces
        assert len({id(own_shape(piece)) for piece in pieces}) == shapes, slope


@given(st.floats(-14, 14), st.floats(-30, 30), st.booleans())
@settings(max_examples=12, deadline=None)
def test_feet_touch_the_base_and_share_no_metal_with_it(slope: float, lean: float, joggle: bool) -> None:
    part = made(slope=slope, lean=lean, reach=100.0, joggle=joggle, base_width=140.0, base_length=200.0)
    base = by_name(part, "base/base")
    top = part.seat("foot").place
    plane = sum(a * b for a, b in zip(top.axis, top.at, strict=True)) - 6
    for name in ("ears/ear_front", "ears/ear_rear"):
        ear = by_name(part, name)
        assert common_volume(ear, base) < 1e-6
        assert ear.distance(base) == pytest.approx(0.0, abs=1e-6)
        assert lowest(ear, top.axis, plane) == pytest.approx(0.0, abs=1e-6)
    welded = [w for w in part.welds if w.piece.startswith("ears/")]
    assert len(welded) == (4 if abs(6 * math.tan(math.radians(slope))) <= 1e-6 else 2)
    for weld in welded:
        for spot in edges.points(part.piece(weld.piece), weld.edge, 5):
            height = plane - sum(n * v for n, v in zip(top.axis, spot, strict=True))
            assert height == pytest.approx(0.0, abs=1e-6)
    assert list(joint_findings(part)) == []


@given(st.floats(-14, 14), st.floats(-30, 30))
@settings(max_examples=15, deadline=None)
def test_a_base_is_as_wide_as_its_feet_seen_square_to_it(slope: float, lean: float) -> None:
    """All corners of the ears that lie under 3 mm from the base, in its own frame, against the closed form."""
    params = OPENED.Params(slope=slope, lean=lean, reach=100.0, base_length=250.0, base_width=100.0)
    part = OPENED.build(params)
    top = part.seat("foot").place
    found = []
    for name in ("ears/ear_front", "ears/ear_rear"):
        spots = [top.local(v.toTuple()) for v in by_name(part, name).Vertices()]
        found += [spot for spot in spots if -6 - 3 < spot[2] < -6 + 1e-6]
    assert len(found) == 8
    assert 2 * max(abs(y) for _, y, _ in found) == pytest.approx(params.feet.wide, abs=1e-6)
    assert 2 * max(abs(x) for x, _, _ in found) == pytest.approx(params.feet.long, abs=1e-6)
    assert min(abs(y) for _, y, _ in found) == pytest.approx(params.feet.near, abs=1e-6)


def test_without_a_width_the_base_grows_with_the_slope() -> None:
    """Ears of 6, 60 apart: 72 when level, 72 / cos(14) = 74.2 on the slope."""
    assert OPENED.Params(inside=60.0).base_width == pytest.approx(72.0)
    assert OPENED.Params(inside=60.0, slope=-14.0).base_width == pytest.approx(72 / math.cos(math.radians(14)))


def test_the_largest_slope_is_named_and_thinner_ears_may_lean_further() -> None:
    assert (steepest(6, 1.6), steepest(4, 1.6)) == (pytest.approx(14.93, abs=0.01), pytest.approx(21.8, abs=0.01))
    with pytest.raises(InputError, match=r"slope = 15 deg, 14\.9 or less either way: an ear 6 thick is cut"):
        OPENED.Params(slope=15.0)
    OPENED.Params(slope=14.9)
    OPENED.Params(slope=-21.7, t=4.0)


@pytest.mark.parametrize(("slope", "faces"), [(5.0, {"low"}), (-5.0, {"high"}), (0.0, {"low", "high"})])
def test_only_the_face_that_touches_is_welded(slope: float, faces: set[str]) -> None:
    part = made(slope=slope, reach=80.0)
    welds = [w for w in part.welds if w.onto == "base/base" and w.piece.startswith("ears/")]
    assert {w.edge.face for w in welds} == faces  # type: ignore[union-attr]
    assert {w.piece for w in welds} == {"ears/ear_front", "ears/ear_rear"}
    assert touching_welds(welds, slope, 6.0) == tuple(welds)
