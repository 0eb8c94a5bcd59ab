"""The folded solid: valid, one, of the closed form's volume, centroid and inertia, and of the expected shape."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from cadquery import Shape, Solid, Workplane, exporters, importers
from test_fold_samples import (
    R,
    T,
    angle_bracket,
    channel,
    cut_to_tube,
    offset_strap,
    random_tree,
    sheet,
    tray,
    turned_channel,
)

from brackets.core.errors import InputError, KernelFailed
from brackets.forming.flanges import lip
from brackets.forming.flat_pattern import blank_of
from brackets.forming.fold_clash import near
from brackets.kernel.measure import volume_properties
from brackets.kernel.plate import make_folded
from brackets.kernel.solids import own_shape
from brackets.model.bend_allowance import setback
from brackets.model.fold_zones import zones
from brackets.model.mass_of_folded import folded_mass_moments, folded_moments
from brackets.model.moments import Moments3
from brackets.model.plate import Folded

SAMPLES = {
    "L": angle_bracket(),
    "L sharp": angle_bracket(150),
    "L back": angle_bracket(-150),
    "U": channel(),
    "C": turned_channel(),
    "joggle": offset_strap(),
    "joggle down": offset_strap(-12),
    "tray": tray(),
    "ears": cut_to_tube(),
    "ears upright": cut_to_tube(0.0),
}


def disagreement(solid: Shape, closed: Moments3) -> float:
    """Volume relative, centroid over the box diagonal, inertia over its trace: the largest."""
    volume, centre, inertia = volume_properties(solid)
    mass = closed.mass(1e9)
    size = solid.BoundingBox().DiagonalLength
    return max(
        abs(volume / closed.volume - 1),
        float(np.abs(centre - mass.centroid).max()) / size,
        float(np.abs(inertia - mass.inertia).max() / np.trace(mass.inertia)),
    )


@pytest.mark.parametrize("name", SAMPLES)
def test_solid_agrees_with_the_closed_form(name: str) -> None:
    piece = SAMPLES[name]
    assert disagreement(make_folded(piece), folded_moments(piece)) < 1e-9


@pytest.mark.parametrize("name", [n for n in SAMPLES if "ears" not in n])
def test_solid_has_the_volume_the_flat_says(name: str) -> None:
    """V = t (sum of wall areas + sum of bend areas (r + t/2) / (r + K t)), by integrating a cylinder's sector."""
    piece = SAMPLES[name]
    left = zones(piece)
    walls = math.fsum(
        w.outline.area - math.fsum(o.outline.area for o in w.openings) for part in left.walls for w in part
    )
    bends = [
        (math.fsum(region.area for region in part), (b.inside_radius + b.t / 2) / (b.inside_radius + b.k * b.t))
        for b, part in zip(left.tree.bends, left.bends, strict=True)
    ]
    assert volume_properties(make_folded(piece))[0] == pytest.approx(
        piece.t * (walls + math.fsum(a * stretch for a, stretch in bends)), rel=1e-8
    )
    assert walls + math.fsum(a for a, _ in bends) == pytest.approx(blank_of(piece).area, rel=1e-11)


@pytest.mark.parametrize("name", [n for n in SAMPLES if "ears" not in n])
def test_metal_is_what_the_blank_has(name: str) -> None:
    piece = SAMPLES[name]
    assert folded_mass_moments(piece).volume == pytest.approx(blank_of(piece).area * piece.t, rel=1e-11)


def quarter(x0: float, x1: float, angle: float) -> Solid:
    """A bend made the plain way: a cylinder less a cylinder, and of that what two half-spaces leave.

    Its axis along x at z = R + T, from straight down towards +y.
    """
    ring = Workplane("YZ", origin=(x0, 0, 0)).center(0, R + T).circle(R + T).circle(R).extrude(x1 - x0)
    far = 10 * (R + T)
    a = math.radians(angle)
    wedge = (
        Workplane("YZ", origin=(x0, 0, 0))
        .moveTo(0, R + T)
        .lineTo(0, R + T - far)
        .lineTo(far * math.tan(a / 2), R + T - far)
        .lineTo(far * math.sin(a), R + T - far * math.cos(a))
        .close()
        .extrude(x1 - x0)
    )
    return ring.intersect(wedge).val()  # type: ignore[return-value]


def independent(name: str) -> Shape:
    """L, U and joggle from boxes and cylinders, without the fold model."""
    back = setback(90, R, T)
    if name == "L":
        leg = 50 - back
        base = Workplane("XY").box(60, leg, T, centered=False)
        up = Workplane("XY").box(60, T, 40 - back, centered=False).translate((0, leg + R, R + T))
        bend = Workplane(quarter(0, 60, 90)).translate((0, leg, 0))
        return base.union(up).union(bend).val()
    if name == "U":
        w = 60 - 2 * back
        ear = Workplane("XY").box(40, 50 - back, T, centered=False).edges("|Z and >Y").fillet(18)
        ear = ear.cut(Workplane("XY").center(20, 25).circle(6.25).extrude(T))
        bend = Workplane(quarter(0, 40, 90))
        side = ear.rotate((0, 0, 0), (1, 0, 0), 90).translate((0, R + T, R + T)).union(bend)
        right = side.rotate((0, 0, 0), (0, 0, 1), -90).translate((w, 40, 0))
        left = side.rotate((0, 0, 0), (0, 0, 1), 90)
        return Workplane("XY").box(w, 40, T, centered=False).union(right).union(left).val()
    a = math.radians(50)
    low = Workplane("XY").box(50, 40, T, centered=False).cut(Workplane("XY").center(25, 15).circle(5).extrude(T))
    web = (12 - (2 * R + T) * (1 - math.cos(a))) / math.sin(a)
    middle = Workplane("XY").box(50, web, T, centered=False).rotate((0, 0, 0), (1, 0, 0), 50)
    y, z = 40 + (R + T) * math.sin(a), (R + T) * (1 - math.cos(a))
    middle = middle.translate((0, y, z))
    end = Workplane("XY").box(50, 40, T, centered=False).edges("|Z and >Y").fillet(10)
    end = end.cut(Workplane("XY").center(25, 25).circle(5).extrude(T))
    far = 40 + (2 * R + T) * math.sin(a) + web * math.cos(a)
    end = end.translate((0, far, 12))
    first = Workplane(quarter(0, 50, 50)).translate((0, 40, 0))
    # The second bend is the first turned half round about the middle of the web's thickness.
    second = Workplane(quarter(0, 50, 50)).rotate((0, 0, 0), (1, 0, 0), 180).translate((0, far, 12 + T))
    return low.union(first).union(middle).union(second).union(end).val()


@pytest.mark.parametrize("name", ["L", "U", "joggle"])
def test_nothing_differs_from_a_solid_made_of_boxes_and_cylinders(name: str) -> None:
    ours, theirs = make_folded(SAMPLES[name]), independent(name)
    assert theirs.Volume() > 1000
    for a, b in ((ours, theirs), (theirs, ours)):
        left = a.cut(b)
        assert sum(s.Volume() for s in left.Solids()) < 1e-6


def test_step_reads_back_one_valid_solid(tmp_path: Path) -> None:
    piece = SAMPLES["tray"]
    exporters.export(Workplane(make_folded(piece)), str(tmp_path / "tray.step"))
    back = importers.importStep(str(tmp_path / "tray.step")).val()
    assert len(back.Solids()) == 1
    assert back.isValid()
    assert volume_properties(back)[0] == pytest.approx(folded_moments(piece).volume, rel=1e-8)


@pytest.mark.parametrize("name", ["tray", "C", "joggle"])
def test_other_hand_is_the_mirror_image(name: str) -> None:
    """With flanges on flanges too, which hang on frames that change their origin."""
    piece = SAMPLES[name]
    ours, other = folded_moments(piece), folded_moments(piece.mirrored())
    assert other.volume == pytest.approx(ours.volume, rel=1e-12)
    assert other.x == pytest.approx(-ours.x, rel=1e-12)
    assert (other.y, other.z) == (pytest.approx(ours.y, rel=1e-12), pytest.approx(ours.z, rel=1e-12))
    assert other.xy == pytest.approx(-ours.xy, rel=1e-11)


def test_walls_that_run_into_each_other_are_refused() -> None:
    box = Folded(
        name="shut",
        base=sheet(40, 30),
        t=T,
        flanges=(
            lip((0, 30), (40, 30), t=T, length=60, inside_radius=R, angle=130),
            lip((40, 0), (0, 0), t=T, length=60, inside_radius=R, angle=130),
        ),
    )
    with pytest.raises(KernelFailed, match="do walls meet"):
        own_shape(box)


def check_tree(seed: int) -> bool:
    """Whether the tree is a real piece; if it is, its solid agrees."""
    piece = random_tree(seed)
    try:
        blank = blank_of(piece)
    except InputError:
        return False
    if any(pair.gap < 0 for pair in near(piece, 1.0)):
        return False
    assert disagreement(make_folded(piece), folded_moments(piece)) < 1e-8, piece.name
    assert folded_mass_moments(piece).volume == pytest.approx(blank.area * piece.t, rel=1e-9), piece.name
    return True


@pytest.mark.parametrize("seed", range(5))
def test_random_trees_agree(seed: int) -> None:
    start = seed * 1000
    assert any(check_tree(start + i) for i in range(20))


@pytest.mark.fuzz
def test_three_hundred_random_trees_agree(pytestconfig: pytest.Config) -> None:
    count = int(pytestconfig.getoption("--fuzz", default=0))
    if not count:
        pytest.skip("--fuzz N")
    made, seed = 0, 100_000
    while made < count:
        made += check_tree(seed)
        seed += 1
