"""What two bodies share, against closed form: tubes within a box, several solids in one body, solids that touch.

The kernel's cut takes each argument to be free of contacts with itself; a body of several touching solids is not.
"""

from __future__ import annotations

import math
from itertools import pairwise, permutations

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets import clearance
from brackets.clearance import overlaps

V = cq.Vector
OD, BORE, DEEP = 20.0, 11.0, 50.0  # mm: a crush tube from wall to wall of the box
RING = math.pi / 4 * (OD**2 - BORE**2)  # mm2
PLACES = [
    ((0, 0, 1), 0, (0, 0, 0)),
    ((0, 0, 1), 90, (0, 0, 0)),
    ((1, 0, 0), 90, (10, 0, 0)),
    ((0, 1, 0), 90, (0, -300, 40)),
    ((1, 0, 0), 180, (0, 0, 700)),
    ((0, 0, 1), 17.3, (812.5, -31.7, 240.1)),
    ((1, 1, 0), 33, (-500, 20, 1)),
    ((1, 0, 1), 61.8, (0, 0, -900)),
    ((0, 1, 1), 121, (3, 4, 5)),
    ((1, 1, 1), 120, (0.1, 0.2, 0.3)),
    ((3, -1, 2), 77, (-40, 1200, 0)),
    ((-1, 2, 5), 199, (1500, 1500, 400)),
]


def box(x: float, y: float, z: float, at: tuple[float, float, float] = (0, 0, 0)) -> cq.Solid:
    return cq.Solid.makeBox(x, y, z, V(*at))


def rod(d: float, length: float, at: tuple[float, float, float]) -> cq.Solid:
    return cq.Solid.makeCylinder(d / 2, length, V(*at), V(0, 0, 1))


def tube(length: float, at: tuple[float, float, float], od: float = OD, bore: float = BORE) -> cq.Shape:
    return rod(od, length, at).cut(rod(bore, length, at))


def together(*solids: cq.Shape) -> cq.Compound:
    return cq.Compound.makeCompound(list(solids))


def ear() -> cq.Shape:
    """6 thick on top of the box, bored over each tube: it meets the tubes' ends."""
    flat = box(100, 50, 6, (30, 5, DEEP))
    for x in (40.0, 120.0):
        flat = flat.cut(rod(BORE, 6, (x, 30, DEEP)))
    return flat


def low_tubes(up: float = 0.0, length: float = DEEP) -> tuple[cq.Shape, cq.Shape]:
    return tube(length, (40, 30, up)), tube(length, (120, 30, up))


RAIL = box(200, 60, DEEP)
BORED = RAIL.cut(rod(BORE, DEEP, (40, 30, 0))).cut(rod(BORE, DEEP, (120, 30, 0)))
CASES = {
    "a tube wholly within": (low_tubes(5, 40)[0], RAIL, 40 * RING),
    "two tubes wholly within": (together(*low_tubes(5, 40)), RAIL, 80 * RING),
    "a tube from wall to wall": (low_tubes()[0], RAIL, DEEP * RING),
    "two tubes under an ear": (together(ear(), *low_tubes()), RAIL, 2 * DEEP * RING),
    "the box first": (RAIL, together(ear(), *low_tubes()), 2 * DEEP * RING),
    "two tubes under an ear, box bored": (together(ear(), *low_tubes()), BORED, 2 * DEEP * RING),
    "ear of two plates": (
        together(ear(), box(100, 20, 6, (30, 55, DEEP)), *low_tubes()), RAIL, 2 * DEEP * RING
    ),
    "coaxial tubes": (tube(50, (0, 0, 0)), tube(50, (0, 0, 0), 16, 5), 50 * math.pi / 4 * (16**2 - BORE**2)),
    "one tube twice": (tube(50, (0, 0, 0)), tube(50, (0, 0, 10)), 40 * RING),
    "a sleeve pressed in its tube": (
        together(tube(50, (40, 30, 0)), tube(50, (40, 30, 0), BORE, 6)), RAIL, DEEP * (OD**2 - 36) * math.pi / 4
    ),
    "a tube that fills its hole": (tube(50, (40, 30, 0)), RAIL.cut(rod(OD, DEEP, (40, 30, 0))), 0.0),
    "an ear that lies on the box": (ear(), RAIL, 0.0),
}


@pytest.mark.parametrize("name", CASES)
def test_a_shared_volume_is_its_closed_form(name: str) -> None:
    a, b, volume = CASES[name]
    one, other = clearance.body(a), clearance.body(b)
    assert clearance.overlap(one, other, pulls=False).volume == pytest.approx(volume, rel=1e-9, abs=1e-6)
    state = clearance.gap(one, other).state
    assert (state in ("hit", "inside")) == (volume > 0), state


@pytest.mark.parametrize("place", range(len(PLACES)))
def test_tubes_under_an_ear_share_the_same_wherever_they_stand(place: int) -> None:
    axis, degrees, at = PLACES[place]
    location = cq.Location(V(*at), V(*axis), degrees)
    order = list(permutations((ear(), *low_tubes())))[place % 6]
    one, other = clearance.body(together(*order).moved(location)), clearance.body(RAIL.moved(location))
    assert clearance.overlap(one, other, pulls=False).volume == pytest.approx(2 * DEEP * RING, rel=1e-9)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    heights=st.lists(st.sampled_from((5.0, 7.5, 12.0, 20.0)), min_size=2, max_size=4),
    round_=st.lists(st.booleans(), min_size=4, max_size=4),
    low=st.floats(-10, 30),
    deep=st.floats(1, 60),
)
def test_a_stack_of_boxes_and_rods_shares_what_stands_in_the_box(
    heights: list[float], round_: list[bool], low: float, deep: float
) -> None:
    levels = np.concatenate(((0.0,), np.cumsum(heights))).tolist()
    solids, volume = [], 0.0
    for (start, end), is_round in zip(pairwise(levels), round_, strict=False):
        solids.append(rod(14, end - start, (0, 0, start)) if is_round else box(8, 10, end - start, (-4, -5, start)))
        within = max(0.0, min(end, low + deep) - max(start, low))
        volume += within * (math.pi * 49 if is_round else 80)
    slab = box(40, 40, deep, (-20, -20, low))
    shared = clearance.overlap(clearance.body(together(*solids)), clearance.body(slab), pulls=False)
    assert shared.volume == pytest.approx(volume, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("told", [0.0, 0.5, 1.5])
def test_a_kernel_that_is_wrong_is_not_believed(told: float, monkeypatch: pytest.MonkeyPatch) -> None:
    one, other = clearance.body(together(ear(), *low_tubes())), clearance.body(RAIL)
    true = overlaps._piece
    monkeypatch.setattr(
        overlaps, "_piece", lambda a, b: None if (found := true(a, b)) is None else (found[0] * told, found[1])
    )
    shared = clearance.overlap(one, other, pulls=False)
    assert shared.how == "triangles, as the solid kernel's cut fails or is not within their error"
    assert shared.low <= 2 * DEEP * RING <= shared.high
    best = overlaps.shared(one, other)
    assert best is not None
    assert best.volume == pytest.approx(2 * DEEP * RING, rel=1e-2)


def test_nothing_is_not_said_of_two_bodies_with_a_point_in_both(monkeypatch: pytest.MonkeyPatch) -> None:
    """A rod of radius 20 that stands 0.02 in a wall: less than its triangles may be off."""
    r, deep, long = 20.0, 0.02, 30.0
    one, other = clearance.body(rod(2 * r, long, (0, 0, 0))), clearance.body(box(50, 80, long, (r - deep, -40, 0)))
    half = math.acos(1 - deep / r)
    segment = long * r * r * (2 * half - math.sin(2 * half)) / 2
    assert clearance.overlap(one, other, pulls=False).volume == pytest.approx(segment, rel=1e-6)
    monkeypatch.setattr(overlaps, "_piece", lambda a, b: (0.0, np.zeros(3)))
    common = overlaps._cut(one, other)
    assert common is not None
    assert 0 < common.volume() < overlaps._off(one, other, common)
    assert clearance.overlap(one, other, pulls=False).volume == pytest.approx(common.volume())
    best = overlaps.shared(one, other)
    assert best is not None
    assert best.volume > best.doubt


def test_where_it_fouls_is_in_the_largest_piece() -> None:
    """Two posts into a slab, 10 and 4 deep: not the middle between them, which is in the air."""
    posts = together(box(10, 10, 40, (0, 0, -10)), box(10, 10, 40, (100, 0, -4)))
    found = overlaps.shared(clearance.body(posts), clearance.body(box(200, 60, 20, (-20, -20, -20))))
    assert found is not None
    assert found.volume == pytest.approx(1400)
    assert found.centre.tolist() == pytest.approx([5, 5, -5])
