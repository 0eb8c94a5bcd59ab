"""A foul that is told by an edge in metal is one, and reading where it fouls gives what it ever gave."""

from __future__ import annotations

import pickle

import cadquery as cq
import numpy as np
import pytest
from OCP.BRepClass3d import BRepClass3d_SolidClassifier
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.gp import gp_Pnt
from OCP.TopAbs import TopAbs_IN
from test_clearance_random import some_shape, stood

from brackets import clearance
from brackets.clearance import gap_rows
from brackets.clearance.metal import DEEP, foul

V = cq.Vector
ROUNDING = 1e-6
"""mm: the kernel's own tolerance."""

BLOCK = cq.Solid.makeBox(40, 30, 20)
SHAPES = {
    "box": BLOCK,
    "box with a hole": cq.Workplane().box(40, 30, 12).faces(">Z").workplane().hole(9).val(),
    "tube": cq.Workplane().circle(21).circle(18).extrude(60).val(),
    "filleted box": cq.Workplane().box(40, 30, 20).edges().fillet(5).val(),
    "cone to a point": cq.Solid.makeCone(20, 0, 30),
    "hollow cone": cq.Solid.makeCone(20, 6, 30).cut(cq.Solid.makeCone(16, 2, 30)),
    "ring": cq.Solid.makeTorus(30, 6),
    "fat ring": cq.Solid.makeTorus(12, 10),
    "half a ball": cq.Solid.makeSphere(15, angleDegrees1=0),
    "hollow ball": cq.Solid.makeSphere(15).cut(cq.Solid.makeSphere(12)),
    "mirrored": cq.Workplane().box(40, 30, 12).faces(">Z").workplane().center(9, 4).hole(9).val().mirror("YZ"),
}


def fouls(one: cq.Shape, other: cq.Shape) -> bool:
    a, b = clearance.body(one), clearance.body(other)
    return foul(a.core.metals, b.core.metals, a.place.inverse @ b.place)


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_a_point_told_to_be_in_metal_is(name: str) -> None:
    """800 points about each shape by the kernel's classifier and its distance to the skin. Of those a quarter
    deeper than asked for many are told: half where fillets run on through the metal, else nearly all."""
    shape = SHAPES[name]
    core = clearance.body(shape).core
    (metal,) = core.metals
    low, high = core.hulls[0].box
    points = np.random.default_rng(7).uniform(low - 1, high + 1, (800, 3))
    told = np.array([metal.holds_one(point[None]) for point in points])
    classifier, skin = BRepClass3d_SolidClassifier(shape.wrapped), cq.Compound.makeCompound(shape.Faces()).wrapped
    deep = []
    for point, said in zip(points, told, strict=True):
        classifier.Perform(gp_Pnt(*point.tolist()), ROUNDING)
        inside = classifier.State() == TopAbs_IN
        assert inside or not said, point
        away = 0.0
        if inside:
            away = BRepExtrema_DistShapeShape(cq.Vertex.makeVertex(*point.tolist()).wrapped, skin).Value()
        assert away >= DEEP - ROUNDING or not said, point
        deep.append(away > 1.25 * DEEP)
    assert told[deep].mean() > (0.4 if name == "filleted box" else 0.8)


def test_an_edge_less_deep_than_is_sure_is_left_to_the_triangles() -> None:
    for deep, expected in ((DEEP + 1e-5, True), (DEEP - 1e-5, False)):
        sunk = cq.Solid.makeBox(10, 10, 10, V(10, 10, 20 - deep))
        assert fouls(BLOCK, sunk) is expected
        assert fouls(sunk, BLOCK) is expected


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param(SHAPES["box with a hole"], cq.Solid.makeCylinder(4, 60, V(0, 0, -30)), id="rod in a hole"),
        pytest.param(SHAPES["tube"], cq.Solid.makeBox(10, 10, 90, V(-5, -5, -15)), id="bar in a tube"),
        pytest.param(SHAPES["hollow ball"], cq.Solid.makeBox(4, 4, 4, V(-2, -2, -2)), id="box in a hollow"),
        pytest.param(SHAPES["ring"], cq.Solid.makeCylinder(20, 60, V(0, 0, -30)), id="rod in a ring"),
        pytest.param(BLOCK, cq.Solid.makeBox(40, 30, 20, V(40, 0, 0)), id="faces that touch"),
        pytest.param(BLOCK, cq.Solid.makeBox(40, 30, 20, V(40 - 1e-4, 0, 0)), id="faces that hardly meet"),
    ],
)
def test_what_does_not_foul_is_not_told_to(one: cq.Shape, other: cq.Shape) -> None:
    assert not fouls(one, other)
    assert not fouls(other, one)


def test_what_lies_in_metal_whole_is_told() -> None:
    assert fouls(BLOCK, cq.Solid.makeBox(4, 4, 4, V(10, 10, 10)))


def test_what_has_no_inside_of_its_own_is_left_to_the_triangles() -> None:
    loose = cq.Compound.makeCompound([BLOCK, cq.Face.makePlane(5, 5, V(60, 0, 0))])
    joined = cq.Compound.makeCompound([cq.Solid.makeBox(5, 5, 5, V(at, 0, 0)) for at in (0.0, 5.0)])
    turned_out = cq.Solid(BLOCK.wrapped.Reversed())
    spun = cq.Solid.makeTorus(6, 10)
    assert len(clearance.body(joined).core.metals) == 2
    for shape in (loose, turned_out, spun, cq.Shell.makeShell(BLOCK.Faces())):
        assert clearance.body(shape).core.metals == ()


def test_random_pairs_told_to_foul_do_and_most_that_do_are_told() -> None:
    states = []
    for seed in range(60):
        rng = np.random.default_rng(seed)
        one, other = stood(some_shape(rng), rng, 5), stood(some_shape(rng), rng, 32)
        state = clearance.gap(clearance.body(one), clearance.body(other)).state
        told = fouls(one, other)
        assert state in ("hit", "inside") or not told, seed
        if state == "hit":
            states.append(told)
    assert sum(states) >= 0.75 * len(states) >= 15


def bodies() -> tuple[list[clearance.Body], list[clearance.Body]]:
    rods = [cq.Solid.makeCylinder(4, 90, V(x, 15, -30)) for x in (5, 20, 90)]
    parts = [cq.Workplane().box(40, 30, 20, centered=False).val(), cq.Solid.makeCylinder(3, 8, V(20, 15, 0))]
    return [clearance.body(p, name="part") for p in parts], [clearance.body(r, name="rod") for r in rods]


def test_where_it_fouls_is_worked_out_when_it_is_read(monkeypatch: pytest.MonkeyPatch) -> None:
    clearance.bodies.forget()
    parts, rods = bodies()
    found = clearance.survey(parts, rods, 3.0)
    fouled = {pair for pair, ends in found.distances.items() if ends == (0.0, 0.0)}
    assert fouled == {(0, 0), (0, 1), (1, 1)}
    cores = [one.core for one in (*parts, *rods)]
    assert not any("mesh" in vars(core) for core in cores)
    again = pickle.loads(pickle.dumps(found))
    assert "mesh" in vars(cores[0])
    clearance.bodies.forget()
    monkeypatch.setattr(gap_rows, "foul", lambda *_: False)
    eager = tuple(clearance.survey(*bodies(), 3.0))
    assert eager == found == again
    assert {pair: (row.gap.low, row.gap.high) for row in eager for pair in [(row.i, row.j)] if pair in
            found.distances} == found.distances  # fmt: skip
    assert [row.gap.state for row in eager[:3]] == ["hit", "hit", "inside"]
