"""Gaps between simple bodies against their closed form, each formula beside its case, at two tessellations."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import cadquery as cq
import numpy as np
import pytest

from brackets import clearance
from brackets.clearance.gaps import by_hulls

V = cq.Vector
UP, ALONG = V(0, 0, 1), V(1, 0, 0)
ROOT2, ROOT3 = math.sqrt(2), math.sqrt(3)


def box(x: float, y: float, z: float, at: tuple[float, float, float] = (0, 0, 0)) -> cq.Solid:
    """Centred on `at`."""
    return cq.Solid.makeBox(x, y, z, V(at[0] - x / 2, at[1] - y / 2, at[2] - z / 2))


def rod(r: float, length: float, at: tuple[float, float, float] = (0, 0, 0), way: V = UP) -> cq.Solid:
    """A cylinder centred on `at`."""
    unit = way.normalized()
    return cq.Solid.makeCylinder(r, length, V(*at) - unit * (length / 2), unit)


def ball(r: float, at: tuple[float, float, float] = (0, 0, 0)) -> cq.Solid:
    return cq.Solid.makeSphere(r, V(*at), UP, -90, 90, 360)


def ring(major: float, minor: float, at: tuple[float, float, float] = (0, 0, 0), way: V = UP) -> cq.Solid:
    return cq.Solid.makeTorus(major, minor, V(*at), way)


def cone(
    r1: float, r2: float, height: float, at: tuple[float, float, float] = (0, 0, 0), way: V = UP
) -> cq.Solid:
    """Its base, of radius r1, at `at`."""
    return cq.Solid.makeCone(r1, r2, height, V(*at), way)


def tube(
    od: float, id: float, length: float, at: tuple[float, float, float] = (0, 0, 0), way: V = UP
) -> cq.Shape:
    return rod(od / 2, length, at, way).cut(rod(id / 2, length + 2, at, way))


def turned(shape: cq.Shape, axis: V, degrees: float, at: tuple[float, float, float] = (0, 0, 0)) -> cq.Shape:
    return shape.rotate(V(0, 0, 0), axis, degrees).moved(cq.Location(V(*at)))


def rounded(x: float, y: float, z: float, r: float) -> cq.Shape:
    """A box centred on the origin, the four edges along z rounded."""
    return cq.Workplane().box(x, y, z).edges("|Z").fillet(r).val()


def hollow(size: float, cavity: cq.Shape) -> cq.Shape:
    """A cube with a closed cavity."""
    return box(size, size, size).cut(cavity)


@dataclass(frozen=True)
class Case:
    name: str
    a: Callable[[], cq.Shape]
    b: Callable[[], cq.Shape]
    true: float
    state: str = "clear"

    def __str__(self) -> str:
        return self.name


COS30, SIN30 = ROOT3 / 2, 0.5
CASES = (
    # box and box
    Case("boxes face to face", lambda: box(10, 10, 10), lambda: box(10, 10, 10, (15, 2, 3)), 5),
    Case("boxes edge to edge", lambda: box(10, 10, 10), lambda: box(10, 10, 10, (13, 14, 0)), 5),
    Case("boxes corner to corner", lambda: box(10, 10, 10), lambda: box(10, 10, 10, (11, 12, 12)), 3),
    Case(
        "box on its edge over a box",
        lambda: box(40, 40, 10),
        lambda: turned(box(10, 10, 10), V(0, 1, 0), 45, (0, 0, 20)),
        15 - 5 * ROOT2,
    ),
    Case(
        "box on its corner over a box",
        lambda: box(40, 40, 10),
        lambda: turned(box(10, 10, 10), V(1, -1, 0), math.degrees(math.atan(ROOT2)), (0, 0, 20)),
        15 - 5 * ROOT3,
    ),
    Case(
        "box turned 30 beside a box",
        lambda: box(10, 10, 10),
        lambda: turned(box(10, 10, 10), UP, 30, (20, 0, 0)),
        15 - 5 * (COS30 + SIN30),
    ),
    Case(
        "crossed edges",
        lambda: turned(box(10, 40, 10), V(0, 1, 0), 45),
        lambda: turned(box(40, 10, 10), V(1, 0, 0), 45, (0, 0, 20)),
        20 - 10 * ROOT2,
    ),
    Case("boxes a hundredth apart", lambda: box(10, 10, 10), lambda: box(10, 10, 10, (10.01, 0, 0)), 0.01),
    Case(
        "boxes far out", lambda: box(10, 10, 10, (900, 800, 700)), lambda: box(10, 10, 10, (912, 800, 700)), 2
    ),
    # cylinders
    Case("rods side by side", lambda: rod(10, 50), lambda: rod(5, 40, (22, 0, 3)), 7),
    Case("rods crossed", lambda: rod(10, 80), lambda: rod(5, 80, (20, 0, 0), V(0, 1, 0)), 5),
    Case("rods crossed at 30", lambda: rod(10, 90), lambda: rod(6, 90, (21, 0, 0), V(0, SIN30, COS30)), 5),
    Case("rods end to end", lambda: rod(10, 20), lambda: rod(8, 20, (3, 0, 24)), 4),
    Case("rods end to end, rims past", lambda: rod(10, 20), lambda: rod(10, 20, (26, 0, 28)), 10.0),
    Case("rod over a plate, lying", lambda: box(80, 80, 10), lambda: rod(10, 40, (0, 0, 20), ALONG), 5),
    Case(
        "rod over a plate, leaning",
        lambda: box(200, 200, 10),
        lambda: rod(10, 40, (0, 0, 40), V(SIN30, 0, COS30)),
        35 - 20 * COS30 - 10 * SIN30,
    ),
    Case("rod over a plate, on end", lambda: box(80, 80, 10), lambda: rod(10, 20, (0, 0, 17)), 2),
    Case(
        "rod beside the edge of a box",
        lambda: box(20, 20, 60),
        lambda: rod(4, 40, (10 + 6 / ROOT2, 10 + 6 / ROOT2, 0)),
        2,
    ),
    Case(
        "rod near a box corner", lambda: box(20, 20, 20), lambda: rod(3, 10, (14, 13, 18)), math.hypot(2, 3)
    ),
    Case("rod in a bore", lambda: tube(60, 40, 30), lambda: rod(15, 50, (2, 0, 0)), 3),
    Case("rod in a bore, concentric", lambda: tube(60, 40, 30), lambda: rod(19.98, 50), 0.02),
    Case(
        "rod in a bore, askew",
        lambda: tube(60, 40, 30),
        lambda: rod(10, 80, (0, 0, 0), V(math.sin(0.1), 0, math.cos(0.1))),
        math.sqrt(625 - (20 * math.sin(0.1) + 15 * math.cos(0.1)) ** 2) - 10,
    ),
    Case("bushes, one in the other", lambda: tube(60, 50, 40), lambda: tube(44, 12, 60, (0, 1, 0)), 2),
    Case("tubes side by side", lambda: tube(42.4, 36, 200), lambda: tube(38, 32, 200, (45, 0, 0)), 4.8),
    Case(
        "rod through a turned box's bore",
        lambda: turned(box(60, 60, 20).cut(rod(12, 30)), V(1, 1, 0), 25),
        lambda: turned(rod(10, 60), V(1, 1, 0), 25),
        2,
    ),
    # spheres
    Case("balls", lambda: ball(10), lambda: ball(6, (12, 9, 20)), 25 - 16),
    Case("ball over a plate", lambda: box(80, 80, 10), lambda: ball(10, (7, 3, 18)), 3),
    Case("ball at an edge", lambda: box(20, 20, 80), lambda: ball(5, (16, 18, 0)), 5),
    Case("ball at a corner", lambda: box(20, 20, 20), lambda: ball(4, (12, 13, 16)), 7 - 4),
    Case("ball beside a rod", lambda: rod(10, 80), lambda: ball(5, (12, 16, 10)), 5),
    Case("ball over a rod's rim", lambda: rod(10, 20), lambda: ball(4, (14, 0, 13)), 1),
    Case("ball in a box cavity", lambda: hollow(60, box(40, 40, 40)), lambda: ball(10, (5, 0, 0)), 5),
    Case("ball in a ball cavity", lambda: hollow(80, ball(30)), lambda: ball(20, (8, 0, 0)), 2),
    Case("ball in a ball cavity, concentric", lambda: hollow(80, ball(30)), lambda: ball(28), 2),
    Case("ball in a bore", lambda: tube(60, 40, 60), lambda: ball(12, (0, 5, 3)), 3),
    Case(
        "ball in a blind bore",
        lambda: box(60, 60, 60).cut(rod(20, 40, (0, 0, 20))),
        lambda: ball(12, (1, 0, 13)),
        1,
    ),
    # cones
    Case("ball beside a cone", lambda: cone(20, 0, 20), lambda: ball(5, (20, 0, 20)), 20 / ROOT2 - 5),
    Case("ball over a cone's tip", lambda: cone(20, 0, 20), lambda: ball(5, (0, 0, 32)), 7),
    Case(
        "cone tip over a plate", lambda: box(80, 80, 10), lambda: cone(10, 0, 20, (0, 0, 30), V(0, 0, -1)), 5
    ),
    Case(
        "cone lying side to plate",
        lambda: box(200, 200, 10),
        lambda: cone(10, 0, 10, (0, 0, 30), V(1, 0, 0)),
        25 - 10,
    ),
    Case(
        "cones nested",
        lambda: box(100, 100, 40, (0, 0, 20)).cut(cone(0, 40, 40)),
        lambda: cone(0, 30, 30, (0, 0, 6)),
        6 / ROOT2,
    ),
    Case("ball under a cone's rim", lambda: cone(20, 0, 20), lambda: ball(3, (23, 0, -4)), 2),
    Case(
        "box beside a cone",
        lambda: cone(20, 0, 20),
        lambda: turned(box(10, 10, 10), V(0, 1, 0), 45, (20, 0, 20)),
        20 / ROOT2 - 5,
    ),
    # tori
    Case("ball in the middle of a ring", lambda: ring(30, 8), lambda: ball(10), 12),
    Case("ball off the middle of a ring", lambda: ring(30, 8), lambda: ball(10, (9, 0, 0)), 3),
    Case("ball over a ring", lambda: ring(30, 8), lambda: ball(5, (30, 0, 15)), 2),
    Case("ball beside a ring", lambda: ring(30, 8), lambda: ball(5, (42, 0, 16)), 20 - 13),
    Case("rod through a ring", lambda: ring(30, 8), lambda: rod(10, 60, (4, 0, 0)), 8),
    Case("ring over a plate", lambda: box(120, 120, 10), lambda: ring(30, 8, (0, 0, 16)), 3),
    Case("ring on edge over a plate", lambda: box(120, 120, 10), lambda: ring(30, 8, (0, 0, 46), ALONG), 3),
    Case("rings stacked", lambda: ring(30, 8), lambda: ring(30, 6, (0, 0, 16)), 2),
    Case("rings side by side", lambda: ring(30, 8), lambda: ring(20, 6, (66, 0, 0)), 2),
    Case("rings linked", lambda: ring(30, 5), lambda: ring(30, 5, (30, 0, 0), V(0, 1, 0)), 20),
    Case(
        "ring leaning over a plate",
        lambda: box(200, 200, 10),
        lambda: ring(30, 8, (0, 0, 40), V(SIN30, 0, COS30)),
        35 - 30 * SIN30 - 8,
    ),
    # fillets
    Case(
        "rounded corner to a plate",
        lambda: turned(rounded(40, 40, 20, 8), UP, 45),
        lambda: box(10, 100, 20, (12 * ROOT2 + 8 + 7, 0, 0)),
        2,
    ),
    Case("rounded corner to a rod", lambda: rounded(40, 40, 20, 8), lambda: rod(5, 20, (24, 21, 0)), 2),
    Case("rounded corner to a ball", lambda: rounded(40, 40, 20, 8), lambda: ball(3, (21, 24, 0)), 4),
    Case(
        "rod in a rounded pocket",
        lambda: box(60, 60, 20).cut(rounded(40, 40, 30, 8)),
        lambda: rod(3, 20, (13.2, 13.6, 0)),
        3,
    ),
    Case(
        "rounded sides face to face",
        lambda: rounded(40, 40, 20, 8),
        lambda: rounded(40, 40, 20, 8).moved(cq.Location(V(43, 5, 0))),
        3,
    ),
    # no gap
    Case(
        "boxes that touch by a face", lambda: box(10, 10, 10), lambda: box(10, 10, 10, (10, 3, 0)), 0, "touch"
    ),
    Case(
        "boxes that touch by an edge",
        lambda: box(10, 10, 10),
        lambda: box(10, 10, 10, (10, 10, 0)),
        0,
        "touch",
    ),
    Case(
        "boxes that touch by a corner",
        lambda: box(10, 10, 10),
        lambda: box(10, 10, 10, (10, 10, 10)),
        0,
        "touch",
    ),
    Case("rod standing on a plate", lambda: box(80, 80, 10), lambda: rod(10, 20, (0, 0, 15)), 0, "touch"),
    Case("rod lying on a plate", lambda: box(80, 80, 10), lambda: rod(10, 40, (0, 0, 15), ALONG), 0, "touch"),
    Case("ball on a plate", lambda: box(80, 80, 10), lambda: ball(10, (0, 0, 15)), 0, "touch"),
    Case("rod that fills a bore", lambda: tube(60, 40, 30), lambda: rod(20, 50), 0, "touch"),
    Case(
        "plates bolted together",
        lambda: box(60, 60, 8).cut(rod(6, 10)),
        lambda: box(60, 60, 6, (0, 0, 7)).cut(rod(6, 10, (0, 0, 7))),
        0,
        "touch",
    ),
    Case("boxes that share a slice", lambda: box(10, 10, 10), lambda: box(10, 10, 10, (9, 0, 0)), 0, "hit"),
    Case(
        "boxes that share a hundredth",
        lambda: box(10, 10, 10),
        lambda: box(10, 10, 10, (9.99, 0, 0)),
        0,
        "hit",
    ),
    Case(
        "rod pressed into a plate by a hundredth",
        lambda: box(80, 80, 10),
        lambda: rod(10, 40, (0, 0, 14.99), ALONG),
        0,
        "hit",
    ),
    Case(
        "rods crossed in each other", lambda: rod(10, 80), lambda: rod(5, 80, (3, 0, 0), V(0, 1, 0)), 0, "hit"
    ),
    Case("ball stuck in a plate", lambda: box(80, 80, 10), lambda: ball(3, (0, 0, 6)), 0, "hit"),
    Case("rod a hundredth too big for its bore", lambda: tube(60, 40, 30), lambda: rod(20.01, 50), 0, "hit"),
    Case(
        "box through a plate's hole, corners in",
        lambda: box(60, 60, 10).cut(rod(10, 20)),
        lambda: box(15, 15, 40),
        0,
        "hit",
    ),
    Case("ball within a box", lambda: box(80, 80, 80), lambda: ball(10, (5, 5, 5)), 0, "inside"),
    Case("box within a ball", lambda: ball(50), lambda: box(10, 10, 10, (3, 4, 5)), 0, "inside"),
    Case("bolt within a block", lambda: box(80, 80, 80), lambda: rod(5, 40), 0, "inside"),
    Case(
        "box within a box, off a corner",
        lambda: box(80, 80, 80),
        lambda: box(2, 2, 2, (38, 38, 38)),
        0,
        "inside",
    ),
)

SOMEWHERE = clearance.about(
    (30, -20, 10), np.array((2, -3, 6)) / 7, 41.0
)  # nothing lines up with the axes any more


@cache
def shape(case: Case, side: str) -> cq.Shape:
    """One of the two, made once for all its tests."""
    return case.a() if side == "a" else case.b()


@pytest.mark.parametrize("way", ["hulls", 0.2, 0.07])
@pytest.mark.parametrize("case", CASES, ids=str)
def test_gap_is_the_closed_form_one(case: Case, way: float | str, request: pytest.FixtureRequest) -> None:
    """way: by the hulls where they tell it, else it is what it is face by face; or so at a tolerance."""
    if way != "hulls":
        request.getfixturevalue("by_faces")
    tolerance = 0.2 if isinstance(way, str) else way
    a = clearance.body(shape(case, "a"), name="a", tolerance=tolerance)
    b = clearance.body(shape(case, "b"), name="b", tolerance=tolerance)
    if way == "hulls" and ((told := by_hulls(a, b)) is None or told.state != "clear"):
        return
    for found in (clearance.gap(a, b), clearance.gap(b.placed(SOMEWHERE), a.placed(SOMEWHERE))):
        assert found.state == case.state, found
        assert found.low <= case.true <= found.high, found
        assert found.best == pytest.approx(case.true, abs=1e-3), found
        assert found.high - found.low <= 2e-3, found
        if case.state == "clear":
            assert math.dist(found.p, found.q) == pytest.approx(case.true, abs=1e-3)


def test_there_are_sixty_pairs_and_more() -> None:
    assert len(CASES) >= 60
    assert len({case.name for case in CASES}) == len(CASES)
