"""The low end of a gap is proven: closed forms near and far, bounds of faces, and what cannot be proven."""

from __future__ import annotations

import math
from collections.abc import Callable

import cadquery as cq
import numpy as np
import pytest

from brackets import clearance
from brackets.clearance import pairs
from brackets.clearance.facets import Facets, of_face
from brackets.clearance.places import Transform
from brackets.clearance.surfaces import surface
from brackets.clearance.triangle_distance import apart
from brackets.clearance.triangles import of_shape

V = cq.Vector
Away = Callable[[np.ndarray], float]


def ball(r: float) -> cq.Solid:
    return cq.Solid.makeSphere(r, V(), V(0, 0, 1), -90, 90, 360)


def any_turn(rng: np.random.Generator) -> np.ndarray:
    """A proper turn, every one as likely."""
    made, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return np.asarray(made * np.sign(np.linalg.det(made)))


def turned(*profile: tuple[float, float]) -> Away:
    """How far a point is from the convex body turned about z from an anticlockwise profile of (r, z); 0 in it."""

    def away(spot: np.ndarray) -> float:
        at = np.array((math.hypot(spot[0], spot[1]), spot[2]))
        found, inside = [], True
        for p, q in zip(np.array(profile[:-1]), np.array(profile[1:]), strict=True):
            share = np.clip((at - p) @ (q - p) / ((q - p) @ (q - p)), 0, 1)
            found.append(float(np.linalg.norm(at - p - share * (q - p))))
            inside &= bool((q - p)[0] * (at - p)[1] >= (q - p)[1] * (at - p)[0])
        return 0.0 if inside else min(found)

    return away


def to_box(x: float, y: float, z: float) -> Away:
    return lambda spot: float(np.linalg.norm(np.maximum(np.abs(spot) - np.array((x, y, z)) / 2, 0)))


def to_ring(major: float, minor: float) -> Away:
    return lambda spot: math.hypot(math.hypot(spot[0], spot[1]) - major, spot[2]) - minor


BODIES: tuple[tuple[cq.Shape, Away], ...] = (
    (cq.Solid.makeCylinder(3.1, 37.2, V(0, 0, -18.6)), turned((0, -18.6), (3.1, -18.6), (3.1, 18.6), (0, 18.6))),
    (cq.Solid.makeCylinder(30, 20, V(0, 0, -10)), turned((0, -10), (30, -10), (30, 10), (0, 10))),
    (cq.Solid.makeCone(20, 6, 30), turned((0, 0), (20, 0), (6, 30), (0, 30))),
    (cq.Solid.makeBox(40, 25, 6, V(-20, -12.5, -3)), to_box(40, 25, 6)),
    (cq.Solid.makeTorus(30, 8), to_ring(30, 8)),
    (ball(17), lambda spot: float(np.linalg.norm(spot)) - 17),
)
BALLS = (2.5, 14.839, 40.0)


def placed(seed: int) -> tuple[clearance.Body, clearance.Body, float]:
    """A body and a ball anywhere from a hundredth to 2000 mm apart, and the gap in closed form."""
    rng = np.random.default_rng(seed)
    shape, away = BODIES[seed % len(BODIES)]
    r = BALLS[seed % 7 % len(BALLS)]
    way = rng.normal(size=3)
    way /= np.linalg.norm(way)
    wanted = float(10 ** rng.uniform(-2, math.log10(2000)))
    low, high = 0.0, 2200.0
    for _ in range(60):  # out along `way` until the gap is about the wanted one: beyond all that is hollow
        middle = (low + high) / 2
        low, high = (middle, high) if away(way * middle) < wanted + r else (low, middle)
    spot = way * high
    stand = Transform(any_turn(rng), rng.uniform(-300, 300, 3))
    at = stand @ Transform(any_turn(rng), spot)
    return clearance.body(shape, place=stand), clearance.body(_BALLS[r], place=at), away(spot) - r


_BALLS = {r: ball(r) for r in BALLS}


@pytest.mark.parametrize("way", ["by_hulls", "by_faces"])
def test_the_true_gap_of_random_pairs_is_always_within_the_interval(
    way: str, request: pytest.FixtureRequest
) -> None:
    """Known to a thousandth even two metres away; the kernel alone is off by as much as 2e-3 there. Every body
    with every ball three times a day, 500 pairs with --fuzz."""
    if way == "by_faces":
        request.getfixturevalue(way)
    missed = []
    for seed in range(500 if request.config.getoption("--fuzz") else 3 * 7 * len(BODIES)):
        one, other, true = placed(seed)
        found = clearance.gap(one, other)
        rounding = 1e-12 * float(np.abs(one.place.move).max() + np.abs(other.place.move).max())
        if not found.low - rounding <= true <= found.high + rounding:
            missed.append((seed, true, found.low - true, found.high - true))
        assert found.state == "clear", (seed, found)
        assert found.high - found.low <= 1e-3, (seed, found)
    assert missed == []


def test_a_rod_and_a_ball_half_a_metre_apart() -> None:
    """A stranger's case: once told 2.2e-3 mm too far, and called settled."""
    turn = np.array(
        (
            (0.7920051673393196, 0.5024106279294653, -0.3468593026737741),
            (-0.2111511627571741, 0.7584988485247851, 0.6165181937727942),
            (0.5728376745414968, -0.4150458501540468, 0.7068195957214223),
        )
    )
    r, h, ball_r = 3.084159386728646, 37.32900742387605, 14.839441361779471
    at = np.array((-3.7195159916216447, -14.462276064367362, -6.141454347439247))
    there = np.array((98.59654861666813, -384.8281747706015, 388.5297092758313))
    spot = turn.T @ (there - at)
    true = math.hypot(math.hypot(spot[0], spot[1]) - r, max(0.0, abs(spot[2]) - h / 2)) - ball_r
    assert true == pytest.approx(532.69037, abs=1e-5)
    rod = clearance.body(cq.Solid.makeCylinder(r, h, V(0, 0, -h / 2)), place=(turn, at))
    for lie in range(6):  # the ball turned in its place changes nothing but what the kernel begins from
        own = any_turn(np.random.default_rng(lie))
        found = clearance.gap(rod, clearance.body(ball(ball_r), place=(own, there)))
        assert found.low <= true <= found.high
        assert found.high - found.low <= 1e-3


def test_a_kernel_that_is_wrong_within_the_triangles_interval_changes_nothing_proven(
    monkeypatch: pytest.MonkeyPatch, by_faces: None
) -> None:
    a = clearance.body(BODIES[0][0])
    b = clearance.body(ball(14.8), place=clearance.moved((100, 40, 30)))
    true = math.hypot(math.hypot(100, 40) - 3.1, 30 - 18.6) - 14.8
    real = pairs.exact.apart
    for lie in (-0.03, -0.004, 0.004, 0.03):

        def wrong(*asked: object, lie: float = lie) -> object:
            told = real(*asked)  # type: ignore[arg-type]
            return None if told is None else pairs.exact.Exact(told.distance + lie, told.p, told.q)

        monkeypatch.setattr(pairs.exact, "apart", wrong)
        found = clearance.gap(a, b)
        assert found.low <= true <= found.high, (lie, found)


def spline() -> cq.Face:
    rows = [[V(x, y, 3 * math.sin(x / 5) + 2 * math.cos(y / 4)) for x in range(0, 30, 5)] for y in range(0, 30, 5)]
    return cq.Face.makeSplineApprox(rows)


COPED = cq.Solid.makeCylinder(12, 60, V(), V(1, 0, 0.2)).cut(cq.Solid.makeCylinder(18, 90, V(0, 0, -40)))
CURVED = {
    "rod": BODIES[0][0],
    "cone": BODIES[2][0],
    "ring": BODIES[4][0],
    "ball": ball(17),
    "coped tube": COPED,
    "holed plate": cq.Workplane().box(60, 60, 10).faces(">Z").workplane().hole(40).val(),
    "filleted box": cq.Workplane().box(40, 30, 20).edges().fillet(5).val(),
    "spline": spline(),
}


@pytest.mark.parametrize("name", CURVED)
def test_no_point_of_a_face_is_further_from_its_triangle_than_said(name: str) -> None:
    """Points over each triangle's parameters, before and after halving; the whole face's bound holds the worst."""
    rng = np.random.default_rng(3)
    mesh = of_shape(CURVED[name].wrapped, 0.3, name)
    for number, (face, cut) in enumerate(mesh.cuts):
        facets = of_face(face, cut)
        for again in range(4):
            inside = rng.dirichlet((1, 1, 1), len(facets.xyz))
            uv = np.einsum("nk,nkc->nc", inside, facets.uv)
            spots = surface(face).points(uv)
            away, _, _ = apart(facets.xyz, np.repeat(spots[:, None], 3, axis=1))
            assert np.all(away <= facets.deviation + 1e-9), (name, number, again)
            facets = facets.halved()
        assert mesh.proven[number]


def test_halving_leaves_a_sixteenth_of_the_sag_and_keeps_the_area() -> None:
    facets = of_face(*of_shape(ball(20).wrapped, 0.5, "").cuts[0])
    finer = facets
    for _ in range(4):
        finer = finer.halved()
    assert float(finer.deviation.max()) < float(facets.deviation.max()) / 10
    assert _area(finer) == pytest.approx(_area(facets), rel=1e-9)


def _area(facets: Facets) -> float:
    side, other = facets.uv[:, 1] - facets.uv[:, 0], facets.uv[:, 2] - facets.uv[:, 0]
    return float(np.abs(side[:, 0] * other[:, 1] - side[:, 1] * other[:, 0]).sum() / 2)


def test_halving_follows_the_rim_of_a_hole() -> None:
    """New corners lie on the true circle, so what the chords leave out of it goes away."""
    mesh = of_shape(CURVED["holed plate"].wrapped, 0.3, "")
    face, cut = next((f, c) for f, c in mesh.cuts if surface(f).kind == "plane" and of_face(f, c).rims)
    facets = of_face(face, cut)
    assert 0.05 < float(facets.deviation.max()) <= 0.4
    for _ in range(12):
        facets = facets.halved()
        on_rim = facets.rim >= 0
        ends = facets.xyz[on_rim]
        assert np.hypot(ends[:, 0], ends[:, 1]) == pytest.approx(20, abs=1e-9)
        if len(facets.xyz) > 20_000:
            break
    assert float(facets.deviation.max()) < 0.01


def test_a_free_form_whose_bend_is_only_sampled_is_not_called_settled() -> None:
    """A ball as a rational spline: no bound on its bend is known, so its gap is an interval and says why."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert

    made = BRepBuilderAPI_NurbsConvert(ball(10).wrapped).Shape()
    found = clearance.gap(clearance.body(made), clearance.body(BODIES[3][0], place=clearance.moved((0, 0, 18))))
    assert found.state == "far"
    assert "sampled" in found.how
    assert found.low <= 5 <= found.high


@pytest.mark.parametrize("seed", range(3))
def test_many_flat_triangles_at_once_agree_with_the_collision_library(seed: int) -> None:
    from brackets.clearance.triangles import Tree, between

    rng = np.random.default_rng(seed)
    a, b = rng.normal(size=(2, 60, 3, 3)) * 10
    b += rng.uniform(-15, 15, (60, 1, 3))
    a[0, 2] = a[0, 1]  # a line
    a[1] = a[1, :1]  # a point
    found, p, q = apart(a, b)
    row = np.array(((0, 1, 2),))
    for i in range(60):
        true = between(Tree(a[i], row), Tree(b[i], row), Transform(np.eye(3), np.zeros(3))).distance
        assert found[i] == pytest.approx(true, abs=1e-9)
        if true > 0:
            assert math.dist(p[i], q[i]) == pytest.approx(true, abs=1e-9)
