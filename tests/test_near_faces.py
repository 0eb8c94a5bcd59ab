"""Finer triangles of the faces that come near on a path alone: the same least gap as with whole bodies."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from brackets import clearance
from brackets.clearance import path_pairs
from brackets.clearance.bodies import finer
from brackets.clearance.legs import starts, straight, swing
from brackets.clearance.near_faces import finer_near, near_faces
from brackets.clearance.triangles import between

V = cq.Vector


def tower() -> clearance.Body:
    """A foot of 60 by 60 by 10 with a post of 16 dia and 60 long on its middle, and a bore of 8 dia through all."""
    foot = cq.Solid.makeBox(60, 60, 10, V(-30, -30, 0))
    post = cq.Solid.makeCylinder(8, 60, V(0, 0, 10))
    return clearance.body(foot.fuse(post).cut(cq.Solid.makeCylinder(4, 80, V(0, 0, -5))), name="tower")


def ring(x: float, y: float, z: float) -> clearance.Body:
    """A collar of 40 and 30 dia, 8 high, its middle at x, y and its lower side at z."""
    outer = cq.Solid.makeCylinder(20, 8, V(x, y, z))
    return clearance.body(outer.cut(cq.Solid.makeCylinder(15, 20, V(x, y, z - 5))), name="ring")


def lying(radius: float, x: float, y: float, z: float) -> clearance.Body:
    """A bar along y, its middle at x, y, z."""
    return clearance.body(cq.Solid.makeCylinder(radius, 80, V(x, y - 40, z), V(0, 1, 0)), name="bar")


def test_a_collar_drawn_off_a_post_is_as_far_as_their_radii_say() -> None:
    """The bores and the outside of both stay coarse: 15 of the collar less 8 of the post, less 2 off the middle."""
    found = clearance.path(ring(2, 0, 30), tower(), [(0, 0, 60)], 0.05)
    assert found.out
    assert found.low <= 5 <= found.high
    assert found.high - found.low <= 0.05


def test_only_faces_that_come_near_are_made_finer() -> None:
    moving, fixed = lying(5, 20, 0, 40), tower()
    a, b = finer_near(moving, fixed, [straight((0, 0, 20))], 8.0)
    assert a is not None
    assert b is not None
    assert len(a.core.faces) == 1, "not its ends"
    assert len(b.core.faces) == 1
    radii = np.hypot(*b.corners[:, :2].T)
    assert radii == pytest.approx(np.full(len(radii), 8.0), abs=1e-9), "neither the bore of 4 nor the foot"
    assert b.bound == finer(fixed).bound < fixed.bound


def test_a_face_is_near_where_the_leg_brings_it_and_not_where_it_starts() -> None:
    """60 away from the post at first, and 7 on the way: the box that its faces sweep counts."""
    moving, fixed = lying(5, 80, 0, 40), tower()
    assert finer_near(moving, fixed, [straight((0, 0, 20))], 10.0) == (None, None), "nothing comes near"
    _, b = finer_near(moving, fixed, [straight((-60, 0, 0)), straight((0, 0, 20))], 10.0)
    assert b is not None
    assert len(b.core.faces) < len(fixed.core.faces)


def test_a_turning_leg_and_a_body_near_all_over_are_taken_whole() -> None:
    moving, fixed = ring(2, 0, 30), tower()
    assert finer_near(moving, fixed, [swing((0, 0, 0), (0, 0, 1), 20)], 6.0) == (None, None)
    assert finer_near(moving, fixed, [straight((0, 0, 20))], 500.0) == (None, None)


Maker = Callable[[float, float, float], clearance.Body]
BODIES = st.tuples(
    st.sampled_from((ring, partial(lying, 6))),
    st.floats(-45, 45),
    st.floats(-45, 45),
    st.floats(15, 90),
)
LEGS = st.lists(
    st.tuples(st.floats(-60, 60), st.floats(-60, 60), st.floats(-30, 60)).filter(lambda v: max(map(abs, v)) > 1),
    min_size=1,
    max_size=2,
)


@settings(max_examples=25, deadline=None)
@given(BODIES, LEGS, st.booleans(), st.floats(0.5, 30))
def test_a_face_left_out_is_further_all_the_way(
    chosen: tuple[Maker, float, float, float], legs: list[tuple[float, float, float]], turned: bool, within: float
) -> None:
    moving, fixed = _pair(chosen, turned=turned)
    drive = [straight(leg) for leg in legs]
    ours, theirs = near_faces(moving, fixed, drive, within)
    for leg, start in zip(drive, starts(drive), strict=True):
        for at in np.linspace(0, leg.length, 9):
            across = (leg.place(float(at)) @ start @ moving.place).inverse @ fixed.place
            for one in np.flatnonzero(~ours):
                assert between(moving.core.face_tree(int(one)), fixed.core.tree, across).distance > within
            for one in np.flatnonzero(~theirs):
                assert between(moving.core.tree, fixed.core.face_tree(int(one)), across).distance > within


@settings(max_examples=12, deadline=None)
@given(BODIES, LEGS, st.booleans())
def test_the_least_gap_is_that_of_whole_bodies(
    chosen: tuple[Maker, float, float, float], legs: list[tuple[float, float, float]], turned: bool
) -> None:
    pair = _pair(chosen, turned=turned)
    with pytest.MonkeyPatch.context() as patch:
        near = clearance.path.__wrapped__(*pair, legs, 0.02)  # type: ignore[attr-defined]
        patch.setattr(path_pairs, "finer_near", lambda *_: (None, None))
        whole = clearance.path.__wrapped__(*pair, legs, 0.02)  # type: ignore[attr-defined]
    assert near.out == whole.out
    assert near.low <= whole.high + 1e-9
    assert whole.low <= near.high + 1e-9
    if near.finished and whole.finished:
        assert near.high - near.low <= 0.02 + 1e-9


def _pair(chosen: tuple[Maker, float, float, float], *, turned: bool) -> tuple[clearance.Body, clearance.Body]:
    make, *at = chosen
    return (tower(), make(*at)) if turned else (make(*at), tower())
