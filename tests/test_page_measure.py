"""Measuring and slanted sections in a real browser: a part whose every figure is known, to the last digit printed.

The part is invented. Each figure expected stands here in closed form, of the numbers the part is drawn by.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from preview_browser import Seen, metal

from brackets.app.preview.build import source, whole
from brackets.app.preview.offline import page as saved_page

pytestmark = [
    pytest.mark.browser,
    pytest.mark.filterwarnings("ignore::ResourceWarning"),  # playwright leaves its own pipes to the collector
]

RISE = 40 * math.tan(math.radians(30))
"""mm: the sloped edge, 30 degrees from x, over 40 mm of it."""
TILT = math.radians(20)
CUP = (-60.0, 20.0, 0.0)
GAUGE = f'''"""A plate with a sloped edge and two holes; beside it a cup that leans."""
import math
from dataclasses import dataclass, replace
from brackets import Checked, Hole, Part, Place, cup, plate, polygon
@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    pass
def build(p):
    edge = polygon([(0, 0), (120, 0), (120, 40), (80, 40 + {RISE!r}), (0, 40 + {RISE!r})])
    flat = plate(edge, 6, openings=[Hole(at=(30, 20), d=12), Hole(at=(90, 30), d=8.5)])
    (ring,) = cup(od=60, bore=30, length=50).pieces
    leans = Place({CUP!r}, (0.0, math.sin({TILT!r}), math.cos({TILT!r})), (1.0, 0.0, 0.0))
    return Part(name="gauge", pieces=(flat, replace(ring, place=leans)))
'''

BELOW, ABOVE, SIDE, SLOPE = (60, 0, 6), (40, 40 + RISE, 6), (120, 15, 6), (100, 40 + RISE / 2, 6)
HOLE, OTHER = (36, 20, 6), (94.25, 30, 6)
FACE, UNDER = (60, 20, 6), (60, 20, 0)
MOUTH = (
    CUP[0] + 22.5,
    CUP[1] + 50 * math.sin(TILT),
    50 * math.cos(TILT),
)
"""A place on the upper face of the cup, in the middle of its wall."""
RIM = (CUP[0] + 30, CUP[1] + 50 * math.sin(TILT), 50 * math.cos(TILT))
CORNER, FAR = (0, 0, 6), (120, 40, 6)
APART = math.hypot(60, 10)

CASES: dict[str, tuple[tuple[float, ...], tuple[float, ...], list[str]]] = {
    "two edges that run alike": (BELOW, ABOVE, [f"edge to edge, square across: {40 + RISE:.2f} mm"]),
    "two edges that meet": (SLOPE, SIDE, ["edges meet at: 120.00 deg, or 60.00"]),
    "two edges square to each other": (BELOW, SIDE, ["edges meet at: 90.00 deg"]),
    "a hole and an edge": (
        HOLE,
        BELOW,
        ["centre to edge, square to it: 20.00 mm", "rim to edge: 14.00 mm"],
    ),
    "a hole and a sloped edge": (
        OTHER,
        SLOPE,
        [
            f"centre to edge, square to it: {abs((90 - 120) * 0.5 + (30 - 40) * math.cos(math.pi / 6)):.2f} mm",
            f"rim to edge: {15 + 10 * math.cos(math.pi / 6) - 4.25:.2f} mm",
        ],
    ),
    "two holes": (
        HOLE,
        OTHER,
        [f"axis to axis, square across: {APART:.2f} mm", f"rim to rim: {APART - 10.25:.2f} mm"],
    ),
    "two axes that pass each other": (
        HOLE,
        RIM,
        ["axes pass each other, nearest: 90.00 mm", "axes at 20.00 deg", "rim to rim: 54.00 mm"],
    ),
    "an edge and a corner": (
        SLOPE,
        CORNER,
        [f"to the edge, square to it: {60 + 40 * math.cos(math.pi / 6):.2f} mm"],
    ),
    "two corners": (CORNER, FAR, [f"straight: {math.hypot(120, 40):.2f} mm"]),
    "two faces that lean": (FACE, MOUTH, ["faces at: "]),
    "a face and a hole in it": (FACE, OTHER, ["centre in the face", "axis square to the face"]),
}

SEEN = """([x, y, z]) => { const { stage } = Brackets.page, at = stage.at(new THREE.Vector3(x, y, z));
  const box = document.getElementById('stage').getBoundingClientRect();
  return [at.x + box.left, at.y + box.top]; }"""
"""Where a point of the part is on the page."""


@pytest.fixture(scope="module")
def gauge_page(browser: Any, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Seen]:
    folder = tmp_path_factory.mktemp("gauge")
    (folder / "gauge.py").write_text(GAUGE, "utf-8")
    path = folder / "gauge.html"
    path.write_text(saved_page(whole(source(str(folder / "gauge.py"), bare="mm"), {})), "utf-8")
    seen = Seen(browser, path.as_uri())
    yield seen
    assert seen.complaints == []
    seen.page.close()


@pytest.fixture
def gauge(gauge_page: Seen) -> Iterator[Seen]:
    gauge_page.page.click('button[data-view="top"]')
    gauge_page.page.click("#measure")
    yield gauge_page
    gauge_page.set("apart", 0)
    gauge_page.page.click("#measure")


def click(seen: Seen, point: tuple[float, ...], dx: float = 0, dy: float = 0) -> None:
    x, y = seen.page.evaluate(SEEN, list(point))
    seen.page.mouse.click(x + dx, y + dy)


def said(seen: Seen) -> list[str]:
    return str(seen.page.text_content("#readout")).split("\n")


@pytest.mark.parametrize("case", CASES)
def test_what_is_measured_is_the_figure_the_part_is_drawn_by(gauge: Seen, case: str) -> None:
    one, two, wanted = CASES[case]
    for first, second in ((one, two), (two, one)):
        click(gauge, first)
        click(gauge, second)
        lines = said(gauge)
        assert [line[: len(want)] for line, want in zip(lines, wanted, strict=False)] == wanted
        assert gauge.run("() => Brackets.page.measure.picks.length") == 2


def test_the_angle_between_two_faces_is_the_one_the_cup_leans_by(gauge: Seen) -> None:
    """Drawn where both were picked, the other of the two beside it."""
    click(gauge, FACE)
    click(gauge, MOUTH)
    assert said(gauge)[0] in ("faces at: 20.00 deg, or 160.00", "faces at: 160.00 deg, or 20.00")


def test_opposite_faces_say_how_thick_the_plate_is(gauge: Seen) -> None:
    click(gauge, FACE)
    gauge.page.click('button[data-view="under"]')
    click(gauge, UNDER)
    assert said(gauge)[0] == "face to face, square across: 6.00 mm"


def test_a_click_beside_the_metal_takes_its_edge_and_one_far_off_takes_nothing(gauge: Seen) -> None:
    """Within a few pixels of the silhouette; no metal is under the pointer there."""
    x, y = gauge.page.evaluate(SEEN, list(BELOW))
    inward = gauge.page.evaluate(SEEN, list(FACE))
    size = math.hypot(inward[0] - x, inward[1] - y)
    out = ((x - inward[0]) / size, (y - inward[1]) / size)
    miss = """([x, y]) => { const { stage, parts } = Brackets.page;
      const box = document.getElementById('stage').getBoundingClientRect();
      return parts.under(stage.ray(x - box.left, y - box.top), false) === null; }"""
    for away, kinds in ((6, ["edge"]), (30, [])):
        gauge.press("Backspace")
        at = [x + away * out[0], y + away * out[1]]
        assert gauge.page.evaluate(miss, at)
        gauge.page.mouse.click(*at)
        assert gauge.run("() => Brackets.page.measure.picks.map((pick) => pick.kind)") == kinds


def test_what_would_be_picked_is_shown_under_the_pointer(gauge: Seen) -> None:
    x, y = gauge.page.evaluate(SEEN, list(HOLE))
    gauge.page.mouse.move(x, y)
    gauge.until("() => Brackets.page.labels.strokes.length > 2", True)  # the circle, and its centre
    far = """() => { const { stage, labels } = Brackets.page, [circle] = labels.strokes;
      return Math.max(...circle.points.map((p) => Math.abs(p.distanceTo(new THREE.Vector3(30, 20, 6)) - 6))); }"""
    assert gauge.run(far) < 1e-6
    gauge.page.mouse.move(2, 2)
    gauge.until("() => Brackets.page.labels.strokes.length", 0)


def test_the_dimension_is_drawn_between_the_feet_of_the_perpendicular(gauge: Seen) -> None:
    before = gauge.glance()
    click(gauge, HOLE)
    click(gauge, SLOPE)
    drawn = gauge.run(
        """() => { const { labels } = Brackets.page, [line] = labels.strokes.filter((one) => one.arrows);
          return [line.points.map((p) => p.toArray()), labels.extra.map((tag) => tag.text)]; }"""
    )
    (start, end), texts = drawn
    assert start == pytest.approx([30, 20, 6], abs=1e-5)
    away = math.dist(start, end)
    assert end[1] - start[1] == pytest.approx(math.sqrt(3) * (end[0] - start[0]), abs=1e-4)  # square to 30 degrees
    assert texts[-1] == f"{away:.2f} mm"
    assert abs(gauge.glance() - before).max() > 10


def test_pulled_apart_the_figures_are_those_of_the_part(gauge: Seen) -> None:
    gauge.set("apart", 60)
    gauge.press("a")
    away = gauge.run("() => Brackets.page.parts.items.map((item) => item.offset.toArray())")
    assert max(abs(figure) for at in away for figure in at) > 10
    for point, offset in zip((HOLE, RIM), away, strict=True):
        click(gauge, tuple(a + b for a, b in zip(point, offset, strict=True)))
    assert said(gauge)[:2] == ["axes pass each other, nearest: 90.00 mm", "axes at 20.00 deg"]


def test_one_pick_says_what_it_is(gauge: Seen) -> None:
    for point, text in (
        (HOLE, "1: plate: circle ⌀ 12.00, centre at 30.00, 20.00, 6.00"),
        (ABOVE, "1: plate: edge 80.00 mm long at "),
        (SLOPE, f"1: plate: edge {40 / math.cos(math.pi / 6):.2f} mm long at "),
        (CORNER, "1: plate: corner at 0.00, 0.00, 6.00"),
    ):
        gauge.press("Backspace")
        click(gauge, point)
        assert said(gauge)[0].startswith(text)

# ---------------------------------------------------------------- a slanted section, laid through what is picked


@pytest.fixture
def cut_part(gauge_page: Seen) -> Iterator[Seen]:
    gauge_page.page.click('button[data-view="top"]')
    yield gauge_page
    gauge_page.page.select_option("#section-axis", "")


PLANE = "() => { const [plane] = Brackets.page.parts.clips; return [...plane.normal.toArray(), plane.constant]; }"


def plane(seen: Seen) -> tuple[np.ndarray[Any, np.dtype[np.float64]], float]:
    *normal, constant = seen.run(PLANE)
    return np.array(normal), constant


def off(seen: Seen, point: tuple[float, ...]) -> float:
    normal, constant = plane(seen)
    return float(normal @ point + constant)


def test_through_three_points_it_holds_all_three(cut_part: Seen) -> None:
    """A corner, a hole's centre, and the far corner: level in this part; then one that leaves the plate."""
    cut_part.page.select_option("#section-axis", "three")
    assert "pick three points" in cut_part.page.text_content("#readout")
    click(cut_part, CORNER)
    click(cut_part, OTHER)
    assert "one more point" in cut_part.page.text_content("#readout")
    click(cut_part, RIM)
    centre = (CUP[0], CUP[1] + 50 * math.sin(TILT), 50 * math.cos(TILT))
    for point in (CORNER, (90, 30, 6), centre):
        assert off(cut_part, point) == pytest.approx(0, abs=1e-4)
    assert cut_part.page.is_hidden("#readout")
    assert cut_part.page.text_content("#section-out") == "0.0 mm"
    assert cut_part.run("() => Brackets.page.parts.items.every((item) => item.caps.length === 2)")  # cut and filled


def test_three_points_on_one_line_are_refused_and_asked_again(cut_part: Seen) -> None:
    cut_part.page.select_option("#section-axis", "three")
    for point in (CORNER, (120, 0, 6), CORNER):
        click(cut_part, point)
    assert "one line" in cut_part.page.text_content("#readout")
    assert cut_part.run("() => Brackets.page.parts.clips") == []
    for point in (CORNER, FAR, (120, 0, 6)):
        click(cut_part, point)
    assert abs(plane(cut_part)[0]) == pytest.approx([0, 0, 1], abs=1e-9)


def test_along_an_edge_it_is_square_to_the_face_beside_it(cut_part: Seen) -> None:
    inward = np.array([-math.sin(math.pi / 6), -math.cos(math.pi / 6)])
    cut_part.page.select_option("#section-axis", "along")
    x, y = np.array(SLOPE[:2]) + 0.4 * inward  # on the metal, so that its face is under the pointer
    click(cut_part, (x, y, 6))
    normal, _ = plane(cut_part)
    assert abs(normal[:2] @ inward) == pytest.approx(1, abs=1e-9)
    assert off(cut_part, SLOPE) == pytest.approx(0, abs=1e-4)


@pytest.mark.parametrize(
    ("kind", "point", "normal"),
    [
        ("along", HOLE, (0, 1, 0)),  # from its centre to where it was picked, and its axis
        ("along", FACE, (0, 0, 1)),
        ("square", BELOW, (1, 0, 0)),
        ("square", SIDE, (0, 1, 0)),
        ("square", RIM, (0, math.sin(TILT), math.cos(TILT))),
    ],
)
def test_holes_tubes_and_faces_lay_it_too(
    cut_part: Seen, kind: str, point: tuple[float, ...], normal: tuple[float, ...]
) -> None:
    cut_part.page.select_option("#section-axis", kind)
    click(cut_part, point)
    found, _ = plane(cut_part)
    assert abs(found @ normal) == pytest.approx(1, abs=2e-4 if kind == "along" else 1e-9)


def test_it_takes_the_near_half_and_is_shifted_along_its_way(cut_part: Seen) -> None:
    cut_part.page.select_option("#section-axis", "square")
    click(cut_part, RIM)
    cut_part.page.click('button[data-view="slant"]')
    cut = metal(cut_part.glance())
    normal, _ = plane(cut_part)
    assert normal[2] < 0  # what is above is cut away, seen from above
    before = off(cut_part, CUP)
    cut_part.press("[")
    low, high = cut_part.run("() => Brackets.page.section.range")
    assert off(cut_part, CUP) - before == pytest.approx(-0.025 * (high - low), rel=0.05)
    assert cut_part.page.text_content("#section-out").startswith("-")
    for _ in range(12):
        cut_part.press("[")
    assert metal(cut_part.glance()) < cut
    cut_part.page.click('button[data-view="under"]')
    assert plane(cut_part)[0][2] > 0


def test_esc_gives_up_picking_and_measuring_goes_on_after_it(cut_part: Seen) -> None:
    cut_part.page.click("#measure")
    cut_part.page.select_option("#section-axis", "three")
    click(cut_part, CORNER)
    cut_part.press("Escape")
    assert cut_part.page.input_value("#section-axis") == ""
    assert "Measure: pick" in cut_part.page.text_content("#readout")
    click(cut_part, CORNER)
    assert cut_part.page.text_content("#readout").startswith("1: plate: corner")
    cut_part.page.click("#measure")
