"""Wraps as they are printed, cut and rolled round the tube, and the bending sheet as a bender follows it."""

from __future__ import annotations

import csv
import itertools
import math
import random
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from pypdf import PdfReader
from test_paper import chords, extent, printed, strokes, words

from brackets import recipe
from brackets.core.finding import Finding
from brackets.core.vectors import Vec, cross, dot, sub
from brackets.drawing.labels import through, touches
from brackets.drawing.record import Drawing, Title
from brackets.drawing.wraps import wraps
from brackets.forming.cut_rows import cut_rows, tubes_of
from brackets.forming.shop import Tubing
from brackets.forming.shop_file import default
from brackets.forming.tube_layout import lay_out
from brackets.forming.tube_run import Mitre, Run
from brackets.forming.wrap import wrap
from brackets.geometry.segments import Point
from brackets.model import mass
from brackets.model.bent_tube import bends, straights
from brackets.model.cope import contour, end_curve
from brackets.model.part import Part
from brackets.model.tube import BentTube, Tube, TubeEnd
from brackets.output import cut_files, dxf, facts, pdf, svg
from brackets.output.paper import PAPERS, tiling

TITLE = Title(part="sample", revision="B")
SADDLE = TubeEnd(kind="saddle", angle=50, r=22, offset=14, clock=70)
OFF = Tube(
    name="strut", od=38, wall=3, length=300, start=SADDLE, end=TubeEnd(kind="saddle", r=25, offset=12.5, clock=10)
)
SHARP = Tube(
    name="sharp", od=76.1, wall=5, length=900, start=TubeEnd(kind="saddle", angle=15, r=44.45, offset=5, clock=30)
)
BENT = BentTube(
    name="bent",
    od=38,
    wall=3,
    bend_r=90,
    points=((0, 0, 0), (0, 0, 200), (180, 40, 330), (150, 300, 400)),
    start=TubeEnd(kind="saddle", angle=60, r=25, clock=40, offset=3),
    end=TubeEnd(kind="plane", angle=70, clock=10),
)


def part(name: str) -> Part:
    opened = recipe(name)
    return opened.build(opened.Params())


def of_part(name: str) -> list[Drawing]:
    made = part(name)
    return [one for tube in tubes_of(made) for one in wraps(tube, Title(part=name), welds=made.welds)]


DRAWN: dict[str, Callable[[], Iterable[Drawing]]] = {
    "stay": lambda: of_part("stay"),
    "cross_member": lambda: of_part("cross_member"),
    "strut": lambda: of_part("strut"),
    "off centre": lambda: wraps(OFF, TITLE),
    "no bevel": lambda: wraps(OFF, TITLE, style="no bevel"),
    "bent": lambda: wraps(BENT, TITLE),
    "sharp": lambda: wraps(SHARP, TITLE),
    "narrow": lambda: wraps(replace(OFF, od=20, wall=2), TITLE, overlap=0),
}


@cache
def drawn(name: str) -> list[Drawing]:
    return [*DRAWN[name]()]


def edge(drawing: Drawing) -> list[Point]:
    """The paper's edge, corner by corner."""
    [one] = [s for s in drawing.strokes if s.layer == "cut"]
    return [segment.a for segment in one.segments]


@pytest.mark.parametrize("name", DRAWN)
def test_no_label_lies_on_a_line_or_on_another_label(name: str) -> None:
    for drawing in drawn(name):
        boxes = [w.box for w in drawing.words]
        assert boxes
        for i, box in enumerate(boxes):
            assert not any(touches(box, other) for other in boxes[i + 1 :]), drawing.words[i].text
            for stroke in drawing.strokes:
                assert not any(through(box, a, b) for a, b in chords(stroke)), drawing.words[i].text


def test_every_end_that_is_not_square_has_its_wrap_and_a_bent_tube_its_sheet() -> None:
    assert [d.name for d in drawn("off centre")] == ["strut, start", "strut, end"]
    assert [d.name for d in drawn("sharp")] == ["sharp, start"]
    assert [d.name for d in drawn("bent")] == ["bent, start", "bent, end", "bent, bending"]
    assert wraps(Tube(name="t", od=38, wall=3, length=90, end=TubeEnd(kind="plane", shift=4)), TITLE) == ()
    assert len(drawn("cross_member")) == 10


def test_a_wrap_says_what_must_stay_with_it() -> None:
    """Foot 0, 0, 8 to bush 0, 60, 160: hypot(60, 152) = 163.4. The cup of 70 takes sqrt(35² - 19²) = 29.4 at the
    tube's sides, the plate gives 19 x 60 / 152 = 7.5 there: 141.5."""
    text = " ".join(w.text for w in drawn("stay")[1].words)
    for said in (
        "stay: tube, END onto cup",
        "38 x 3 S235",
        "over long points 141.5, node to node 163.4",
        "node 29.4 below this long point",
        "PRINT SIDE OUT",
        "SHORT POINT",
        "LONG POINT",
        "CLOCK LINE",
        "glue",
        "270",
    ):
        assert said in text, said


def test_a_sheet_of_facts_has_the_cut_table_and_the_cut_line_by_degrees() -> None:
    tables = {table.heading: table for table in drawn("sharp")[0].tables}
    assert tables["Its ends"].rows[1][2] == "square: no wrap"
    rows = {int(row[0]): row for row in tables["From the sawn end, mm"].rows}
    low = wrap(SHARP, "start").long[1]
    for degrees, r, column in ((60, 76.1 / 2, 1), (60, 76.1 / 2 - 5, 2), (210, 76.1 / 2, 1)):
        assert float(rows[degrees][column]) == pytest.approx(contour(SHARP, "start", degrees, r) - low, abs=0.006)


def test_both_wraps_of_a_tube_share_one_sheet_of_facts(tmp_path: Path) -> None:
    pages = [words(page) for page in printed_all(drawn("off centre"), tmp_path).pages]
    assert ["Cut table" in text for text in pages] == [True, False]  # the first wrap has room under the facts
    assert "start: cut line" in pages[0]
    assert "end: bore" in pages[0]


def printed_all(drawings: list[Drawing], path: Path) -> PdfReader:
    pdf.write(drawings, path / "a.pdf")
    return PdfReader(path / "a.pdf")


def test_a_short_tube_has_its_words_off_the_paper_and_the_paper_within_the_tube() -> None:
    arm = next(d for d in drawn("cross_member") if d.name == "arm_boss_3, start")
    points = edge(arm)
    long = float(next(value for what, value in arm.facts if what == "long points").split()[0])
    assert max(y for _, y in points) <= long + 0.01
    named = next(w for w in arm.words if "START" in w.text)
    assert named.box[3] < min(y for _, y in points)


@pytest.mark.parametrize("seam", [-3.0, 3.0, 357.0])
def test_a_point_beside_the_seam_is_named_on_the_paper_and_not_on_its_flap(seam: float) -> None:
    """The short point is at 0 degrees, so that beside its label are the paper's edge and a flap of 30 mm."""
    tube = Tube(name="t", od=38, wall=3, length=300, start=TubeEnd(kind="saddle", angle=60, r=25))
    [drawing] = wraps(tube, TITLE, seam=seam, overlap=30.0)
    [named] = [w.box for w in drawing.words if w.text == "SHORT POINT"]
    assert named[0] >= 0
    assert named[2] <= math.pi * 38.1
    assert named[3] <= max(y for _, y in edge(drawing))


def test_the_paper_of_a_bent_tube_ends_before_the_bend() -> None:
    for drawing, line in zip(drawn("bent"), (straights(BENT)[0], straights(BENT)[-1]), strict=False):
        close = replace(BENT, points=((0, 0, 0), (0, 0, 130), (180, 40, 260), (150, 240, 330)))
        [one, other, _] = wraps(close, TITLE)
        for made, straight in ((one, straights(close)[0]), (other, straights(close)[-1])):
            which = "start" if made is one else "end"
            low = wrap(close, which).long[1]  # type: ignore[arg-type]
            assert max(y for _, y in edge(made)) <= straight.length - low + 1e-6
        assert max(y for _, y in edge(drawing)) <= line.length + 20


@pytest.mark.parametrize("paper", PAPERS)
def test_the_printed_wrap_is_at_true_size(paper: str, tmp_path: Path) -> None:
    """Round once at the middle of the paper, and every point of the lower edge on the end curve; read by pypdf."""
    page = printed(drawn("off centre")[0], tmp_path, paper).pages[-1]
    outline = max(strokes(page), key=len)
    assert extent(outline, 0) == pytest.approx(math.pi * 38.1 + 10, rel=1e-4)
    left, top = min(p[0] for p in outline), max(p[1] for p in outline)
    x, y = np.array([p for p in outline if p[0] - left <= math.pi * 38.1 + 1e-6 and p[1] < top - 1]).T
    degrees = 180 + np.degrees((x - left) / 19.05)
    curve = end_curve(degrees - 70, branch_r=19, main_r=22, angle=50, offset=14)
    off = (y - y[0]) - (curve - curve[0])
    steep = np.gradient(curve, np.radians(degrees) * 19)
    assert len(off) > 360
    assert np.max(np.abs(off) / np.hypot(1, steep)) < 1e-3


@pytest.mark.parametrize("paper", PAPERS)
def test_the_tiles_of_a_long_wrap_fit_together(paper: str, tmp_path: Path) -> None:
    """A saddle of 15 degrees on 76.1: the pages' paths, moved back by their windows, are the whole paper's edge."""
    [drawing] = drawn("sharp")
    cut = tiling(drawing.bounds, paper, (1.0, 1.0))
    assert len(cut.tiles) > 1 or paper == "A3"
    pages = printed(replace(drawing, own_page=True), tmp_path, paper).pages[-len(cut.tiles) :]
    seen: set[tuple[float, float]] = set()
    for tile, page in zip(cut.tiles, pages, strict=True):
        x0, y0, x1, y1 = tile.window
        for path in strokes(page):
            moved = [(x - 21.0 + x0, y - 25.0 + y0) for x, y in path]
            seen |= {(round(x, 3), round(y, 3)) for x, y in moved if x0 <= x <= x1 and y0 <= y <= y1}
    wanted = {(round(x, 3), round(y, 3)) for x, y in edge(drawing)}
    near = {(round(x + dx, 3), round(y + dy, 3)) for x, y in seen for dx in (0, 0.001) for dy in (0, 0.001)}
    near |= {(round(x - dx, 3), round(y - dy, 3)) for x, y in seen for dx in (0, 0.001) for dy in (0, 0.001)}
    assert len(wanted) > 350
    assert wanted <= near


def rolled(tube: Tube, which: str, p: Point, low: float) -> Vec:
    """Where a point of the paper comes to lie when it is wrapped print side out, body upwards, seam on the seam.

    Seen from outside with the body direction b upwards, right is b x n: going right turns about b.
    """
    b = 1.0 if which == "start" else -1.0
    turn = math.radians(180.0) + b * p[0] / (tube.od / 2 + 0.05)
    height = p[1] + low
    z = height if which == "start" else tube.length - height
    return (tube.od / 2 * math.cos(turn), tube.od / 2 * math.sin(turn), z)


@pytest.mark.parametrize("which", ["start", "end"])
def test_rolled_round_the_tube_the_lower_edge_lies_on_the_edge_of_the_solid(which: str) -> None:
    from brackets.kernel.solids import shape

    drawing = drawn("off centre")[0 if which == "start" else 1]
    low = wrap(OFF, which).long[1]  # type: ignore[arg-type]
    steps = np.linspace(0, 1, 600).tolist()
    on_solid = [
        np.array([p.toTuple() for p in edge_.positions(steps)])
        for edge_ in shape(OFF).Edges()
        if edge_.geomType() != "LINE" and (edge_.Center().z < OFF.length / 2) == (which == "start")
    ]
    points = edge(drawing)
    lower = [p for p in points if 0 < p[0] < math.pi * 38.1 and p[1] < max(y for _, y in points) - 1]
    worst = max(min(from_line(rolled(OFF, which, p, low), line) for line in on_solid) for p in lower[::17])
    assert worst < 2e-3


def from_line(p: Vec, line: np.ndarray) -> float:
    """Distance of a point from a polyline of (n, 3)."""
    a, along = line[:-1], np.diff(line, axis=0)
    t = np.clip(((np.array(p) - a) * along).sum(axis=1) / (along**2).sum(axis=1), 0, 1)
    return float(np.linalg.norm(a + t[:, None] * along - np.array(p), axis=1).min())


def test_thicker_paper_is_longer_round_and_a_flap_of_nothing_is_none() -> None:
    [card] = wraps(SHARP, TITLE, paper=0.5, overlap=0.0)
    assert max(x for x, _ in edge(card)) == pytest.approx(math.pi * 76.6)
    assert "glue" not in [w.text for w in card.words]


def test_cut_files_hold_the_paper_the_bevel_and_the_marks(tmp_path: Path) -> None:
    drawing = drawn("off centre")[0]
    dxf.write(drawing, tmp_path / "a.dxf")
    space = ezdxf.readfile(tmp_path / "a.dxf").modelspace()
    [outline] = space.query('*[layer=="CUT"]')
    assert outline.closed
    xs = [x for x, _ in outline.get_points("xy")]
    assert max(xs) - min(xs) == pytest.approx(math.pi * 38.1 + 10)
    assert len(space.query('*[layer=="BEVEL"]')) == 1
    assert len(space.query('*[layer=="MARK"]')) > 30
    text = svg.text(drawing)
    assert 'id="bevel"' in text
    assert 'id="mark"' in text


def test_a_mitre_is_named_at_both_its_ends() -> None:
    layout = lay_out(
        Run("a", "30x2", ((0, 0, 0), (100, 0, 0)), end=Mitre("b")),
        Run("b", "30x2", ((100, 0, 0), (150, 80, 30)), start=Mitre("a")),
    )
    one, other = layout.table()
    assert (one.start.meets, one.end.meets) == ("", "b")
    assert (other.start.meets, other.end.meets) == ("a", "")


def test_the_wraps_of_a_mitre_name_the_other_tube_at_both_ends() -> None:
    made = lay_out(
        Run("a", "30x2", ((0, 0, 0), (100, 0, 0)), end=Mitre("b")),
        Run("b", "30x2", ((100, 0, 0), (150, 80, 30)), start=Mitre("a")),
    ).part("m")
    said = [w.text for cut in cut_files.cuts(made, TITLE) for d in cut.drawings for w in d.words]
    assert "sample: a, END onto b" in said
    assert "sample: b, START onto a" in said


def test_like_tubes_are_one_row_of_the_cut_table() -> None:
    rows = cut_rows([OFF, replace(OFF, name="other"), replace(OFF, name="longer", length=301)])
    assert [row.names for row in rows] == [("strut", "other"), ("longer",)]
    assert rows[0].count == 2


def replayed(tube: BentTube, sheet: Drawing) -> list[Vec]:
    """Nodes and corners of the tube as a bender that bends one way makes it from the sheet alone.

    The start goes first, along +z; the bender bends what is ahead of it towards +x. Seen from the start end, that
    is looking back along -z, anticlockwise is a positive turn about +z.
    """
    tables = {table.heading: table.rows for table in sheet.tables}
    angles = [float(row[3]) for row in tables["Bends, in order"]]
    marks = [(float(row[1]), float(row[2])) for row in tables["Bends, in order"]]
    turns = [row[5] for row in tables["Bends, in order"]]
    low = wrap(tube, "start").long[1]
    end = float(tables["Straights"][-1][2]) + wrap(tube, "end").long[1]
    ahead = np.zeros((1, 3))
    done = -low
    for angle, (start, stop), turn in zip(angles, marks, turns, strict=True):
        ahead = ahead + np.array([0, 0, start - done])
        back = tube.bend_r * math.tan(math.radians(angle) / 2)
        if turn not in ("set the inside", "none"):
            size, way = turn.split()
            a = math.radians(float(size)) * (1 if way == "anticlockwise" else -1)
            ahead = ahead @ np.array([[math.cos(a), -math.sin(a), 0], [math.sin(a), math.cos(a), 0], [0, 0, 1]]).T
        ahead = np.vstack([ahead, [0, 0, -back]]) + np.array([0, 0, 2 * back])
        corner, a = np.array([0, 0, back]), math.radians(angle)
        ry = np.array([[math.cos(a), 0, math.sin(a)], [0, 1, 0], [-math.sin(a), 0, math.cos(a)]])
        ahead = (ahead - corner) @ ry.T + corner
        done = stop
    ahead = np.vstack([ahead + np.array([0, 0, end - done]), np.zeros(3)])
    return [tuple(p) for p in ahead.tolist()]


def handed(points: list[Vec]) -> list[float]:
    """Distances and signed volumes that say where points lie to one another, whatever frame they are in."""
    apart = [math.dist(a, b) for a, b in itertools.combinations(points, 2)]
    fours = itertools.combinations(points, 4)
    volumes = [dot(cross(sub(b, a), sub(c, a)), sub(d, a)) / 1e4 for a, b, c, d in fours]
    return apart + volumes


@pytest.mark.parametrize("n", range(6))
def test_a_bender_that_follows_the_sheet_makes_the_tube(n: int, rng: Callable[[int], random.Random]) -> None:
    some = rng(n)
    tube = BENT
    while len(tube.points) < 5 or min(line.length for line in straights(tube)) < 5:
        points: list[Vec] = [(0, 0, 0), (0, 0, 200)]
        for _ in range(3):
            step = [some.uniform(-200, 200) for _ in range(3)]
            points.append(tuple(p + s for p, s in zip(points[-1], step, strict=True)))  # type: ignore[arg-type]
        tube = replace(BENT, bend_r=45.0, points=tuple(points))
    made = replayed(tube, wraps(tube, TITLE)[-1])
    assert len(made) == 5
    assert handed(made) == pytest.approx(handed(list(tube.points)), abs=1.5)  # the sheet's tenths add up


def test_a_bending_sheet_gives_marks_straights_and_turns(tmp_path: Path) -> None:
    text = words(printed(drawn("bent")[2], tmp_path).pages[0])
    first, second = bends(BENT)
    for said in (
        f"{first.start:.1f}",
        f"{second.end:.1f}",
        f"{abs(second.turn):.1f} anticlockwise",
        "centre-line radius 90 mm",
        "Not to scale",
    ):
        assert said in text, said


def test_every_file_a_tube_is_cut_by_is_written(tmp_path: Path) -> None:
    """Two wraps a tube as DXF and SVG, one PDF with the cut table first, the table as CSV and in the facts."""
    made = part("cross_member")
    files = cut_files.write(cut_files.cuts(made, TITLE), tmp_path, name="cm", shop=default())
    ends = [f"cm-{tube.name}-{end}" for tube in tubes_of(made) for end in ("start", "end")]
    wrapped = [f"{end}.{kind}" for end in ends for kind in ("dxf", "svg")]
    assert {*wrapped, "cm.pdf", "cm-tubes.csv"} <= set(files)
    assert sorted(files) == sorted(path.name for path in tmp_path.iterdir())
    assert cut_files.undrawn(made, ()) == tuple(p.name for p in made.pieces if not isinstance(p, Tube))
    first = words(PdfReader(tmp_path / "cm.pdf").pages[0])
    rows = list(csv.DictReader((tmp_path / "cm-tubes.csv").read_text("utf-8").splitlines()))
    assert [row["names"] for row in rows] == [tube.name for tube in tubes_of(made)]
    for row, told in zip(rows, facts.of(made)["tubes"], strict=True):
        assert row["names"] in first
        assert float(row["long_mm"]) == pytest.approx(told["long_mm"], abs=1e-4)
        assert f"{told['long_mm']:.2f}" in first
        assert float(row["end_angle_deg"]) == pytest.approx(told["end"]["angle_deg"], abs=1e-4)
    total = sum(told["mass_kg"] for told in facts.of(made)["tubes"])
    assert total == pytest.approx(sum(mass.of(tube).kg for tube in tubes_of(made)))


def test_the_shop_says_which_cut_and_how_thick_its_paper_is() -> None:
    shop = replace(default(), paper_t=0.5, tubing=Tubing(wrap="no bevel"))
    [_, sheets, *_] = cut_files.cuts(part("stay"), TITLE, shop=shop)
    for drawing in sheets.drawings:
        assert max(x for x, _ in edge(drawing)) == pytest.approx(math.pi * 38.5 + 10)
        assert "bevel" not in [s.layer for s in drawing.strokes]
    assert any("No-bevel cut" in note for note in sheets.drawings[0].notes)


def test_a_square_end_has_no_wrap_but_its_place_in_the_table(tmp_path: Path) -> None:
    tube = Tube(name="leg", od=38, wall=3, length=90)
    made = Part(name="p", pieces=(tube,))
    found = cut_files.cuts(made, TITLE)
    written = cut_files.write(found, tmp_path, name="p", shop=default())
    assert set(written) == {"p.pdf", "p-tubes.csv", "p-tubes.xlsx"}
    assert cut_files.undrawn(made, found) == ()
    [told] = facts.records(cut_rows([tube]))
    assert (told["start"]["wrap"], told["start"]["offset_mm"], told["clock_deg"]) == (False, None, None)


def test_a_tube_that_must_not_be_cut_says_so_on_every_sheet(tmp_path: Path) -> None:
    made = part("stay")
    stop = Finding(level="stop", code="stock", piece="tube", sentence="too long", source="shop setting")
    cut_files.write(cut_files.cuts(made, TITLE, [stop]), tmp_path, name="s", shop=default())
    texts = [words(page) for page in PdfReader(tmp_path / "s.pdf").pages]
    of_tube = [text for text in texts if "sample: tube" in text]
    assert len(of_tube) >= 3  # facts of all, facts of this one, its wraps
    assert all(text.count("do not cut") > 1 for text in of_tube)  # once beside the bars, and once for this tube
    of_cup = [text for text in texts if "sample: cup" in text]
    assert of_cup
    assert all(text.count("do not cut") > 1 for text in of_cup)  # it follows from the same values
    assert "STOP" in (tmp_path / "s-tube-end.svg").read_text("utf-8")
