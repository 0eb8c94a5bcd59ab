"""Set-up sheets: every dimension found again in the written STEP file by another reader, balloons, welds, paper."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from cadquery import importers
from pypdf import PdfReader
from shipped_parts import SEVERAL
from step_text import Body, bodies
from test_paper import strokes

from brackets import plate, recipe, rectangle
from brackets.core.place import Place, turned
from brackets.drawing.labels import through, touches
from brackets.drawing.pictures import Beside, arrow, bounds_of, columns, scale_words
from brackets.drawing.record import ASCENT, DESCENT, Drawing, Title
from brackets.drawing.set_up_views import three_views
from brackets.drawing.spread import spread
from brackets.drawing.view_directions import ABOVE
from brackets.drawing.weld_symbols import weld_marks
from brackets.forming.cut_list import cut_list
from brackets.forming.cut_rows import node
from brackets.forming.part_numbers import numbered_welds, piece_list
from brackets.forming.set_up import SetUp, set_up
from brackets.forming.set_up_datum import Feature, Spot
from brackets.forming.set_up_dimension import SetUpDimension
from brackets.forming.shop_file import default as default_shop
from brackets.forming.tube_layout import lay_out
from brackets.forming.tube_run import Run
from brackets.forming.wrap import is_square
from brackets.model import edges
from brackets.model.cope import ENDS, points
from brackets.model.part import Part
from brackets.model.tube import BentTube, Tube, TubeEnd, Which
from brackets.output import cut_files, step
from brackets.output.page import width
from brackets.output.paper import MARGIN, PAPERS
from brackets.output.part_files import made
from brackets.output.set_up import SLANTED, set_up_cuts

Floats = np.ndarray[Any, Any]
MM = 72 / 25.4
ROUNDED = 0.05 + 1e-6
"""mm, degrees: half of what a figure is written to."""
SAME = 1e-3
"""mm between a face or an axis of the record and that of the file."""

MORE: dict[str, dict[str, Any]] = {
    "ears_on_base sloped": {"slope": 4.0},
    "ears_on_base bolted": {"fixing": "bolted through hollow", "joggle": True, "reach": 90.0},
    "fork leaning": {"bush_axis": (0.04, 1.0, 0.0)},
    "stay bare": {"gussets": 0},
}
NAMES = SEVERAL
ALL = (*NAMES, *MORE)


@cache
def part_of(name: str) -> Part:
    found = recipe(name.split()[0])
    return made(found, found.Params(**MORE.get(name, {}))).part


@cache
def found_of(name: str) -> SetUp:
    found = set_up(part_of(name))
    assert found is not None
    return found


@cache
def paper_of(name: str) -> tuple[Drawing, ...]:
    """The set-up sheets and the weld order after them."""
    cut_ = set_up_cuts(part_of(name), Title(part=name), (), shop=default_shop(), paper="A4")
    return tuple(drawing for cut in cut_ for drawing in cut.drawings)


def sheets_of(name: str) -> tuple[Drawing, ...]:
    return tuple(drawing for drawing in paper_of(name) if drawing.name != "weld order")


# ------------------------------------------------------------------------------------ from the STEP file
@dataclass(frozen=True)
class Read:
    """What a feature is in the file."""

    at: np.ndarray[Any, Any]
    way: np.ndarray[Any, Any]


def read(of: Feature, there: dict[str, Body]) -> Read:
    """The face or axis of the file that a feature is; it must be there."""
    body, at, way = there[of.piece], np.array(of.at), np.array(of.way)
    if of.kind == "plane":
        for point, normal in body.planes:
            p, n = np.array(point), np.array(normal)
            if np.linalg.norm(np.cross(n, way)) < 1e-6 and abs(n @ (at - p)) < SAME:
                return Read(p, n)
        for point, axis, r in body.cylinders:  # a straight edge laid against what is round
            p, n = np.array(point), np.array(axis)
            if abs(n @ way) < 1e-6 and abs(abs(way @ (at - p)) - r) < SAME:
                return Read(p + way * (way @ (at - p)), way)
    else:
        for point, axis, _ in body.cylinders:
            p, n = np.array(point), np.array(axis)
            if np.linalg.norm(np.cross(n, way)) < 1e-6 and np.linalg.norm(np.cross(n, at - p)) < SAME:
                return Read(p, n)
    raise AssertionError(f"{of} is nothing of {of.piece} in the file")


def point(of: Spot, there: dict[str, Body]) -> np.ndarray[Any, Any]:
    """A point worked out from the faces and axes of the file alone."""
    got = [read(one, there) for one in of.by]
    kinds = [one.kind for one in of.by]
    if kinds == ["plane"] * 3:
        at = np.linalg.solve(np.array([g.way for g in got]), np.array([g.way @ g.at for g in got]))
        corners = np.array(there[of.by[0].piece].corners)
        assert np.linalg.norm(corners - at, axis=1).min() < SAME, f"no corner of {of.by[0].piece} at {at}"
        return np.asarray(at)
    axis = got[0]
    if kinds == ["axis", "axis"]:
        across = np.cross(axis.way, got[1].way)
        far = np.cross(got[1].at - axis.at, got[1].way) @ across / (across @ across)
        return np.asarray(axis.at + far * axis.way)
    spots = [axis.at + axis.way * ((g.at - axis.at) @ g.way / (axis.way @ g.way)) for g in got[1:]]
    return np.asarray(np.mean(spots, axis=0))


def measured(one: SetUpDimension, found: SetUp, there: dict[str, Body]) -> float:
    """The dimension by the file."""
    frame = found.datum.frame
    x, y, z = (np.array(v) for v in (frame.x, frame.up, frame.axis))
    if one.is_angle:
        assert isinstance(one.to, Feature)
        assert one.kind != "clock", "a round tube shows it by its ends alone: measured_clock"
        way = read(one.to, there).way
        plane = one.to.kind == "plane"
        if one.kind == "to A":
            lean = math.degrees(math.asin(min(1.0, abs(float(way @ z)))))
            return 90.0 - lean if plane else lean
        if plane:
            way = np.cross(z, way)
        elif way @ z < -1e-9:
            way = -way
        turn = math.degrees(math.atan2(way @ y, way @ x)) % 360.0
        level = plane or abs(way @ z) < 1e-6
        return turn % 180.0 if level else turn
    to = point(one.to, there) if isinstance(one.to, Spot) else read(one.to, there).at
    if one.start is not None:
        start = point(one.start, there) if isinstance(one.start, Spot) else read(one.start, there).at
        if isinstance(one.to, Feature):
            return abs(float((to - start) @ read(one.to, there).way))
        return float(np.linalg.norm(to - start))
    assert one.axis is not None
    way = (x, y, z)[one.axis]
    if isinstance(one.to, Feature) and one.to.kind == "axis":
        assert abs(read(one.to, there).way @ way) < 1e-6
    return float((to - origin(found, there)) @ way)


def origin(found: SetUp, there: dict[str, Body]) -> np.ndarray[Any, Any]:
    """Where A, B and C of the file meet; what is no feature of a piece stays as the record has it."""
    frame, at = found.datum.frame, np.array(found.datum.frame.at)
    if found.datum.round:
        feature = found.datum.features[0]
        if feature is None:
            return at
        axis = read(feature, there)
        return np.asarray(axis.at + axis.way * (axis.way @ (at - axis.at)))
    for way, feature in zip((frame.axis, frame.up, frame.x), found.datum.features, strict=True):
        if feature is not None:
            w = np.array(way)
            at = at + w * (w @ (read(feature, there).at - at))
    return at


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, dict[str, Body]]:
    folder = tmp_path_factory.mktemp("step")
    found = {}
    for i, name in enumerate(ALL):
        path = folder / f"{i}.step"
        step.write(part_of(name), path)
        found[name] = bodies(path)
    return found


@pytest.mark.parametrize("name", ALL)
def test_every_dimension_is_found_again_in_the_step_file(name: str, files: dict[str, dict[str, Body]]) -> None:
    found = found_of(name)
    assert not found.unknown
    assert {n for one in found.dimensions for n in one.piece.split(", ")} >= {
        piece.name for piece in part_of(name).pieces if piece.name != found.datum.piece
    }
    for one in found.dimensions:
        if one.kind == "clock":
            continue
        by_file = measured(one, found, files[name])
        off = abs(by_file - float(one.text.removesuffix("°")))
        assert min(off, abs(off - 360.0)) <= ROUNDED, (one.piece, one.what, one.text, by_file)


# ------------------------------------------------------------------------------------ turned about its axis
def skew() -> Part:
    """Tubes at odd angles on a rail and a beam, a bent one among them, with clock lines that point anywhere."""
    return lay_out(
        Run("rail", "40x3", ((0, 0, 0), (500, 0, 0)), up=(0.0, 0.4, 1.0)),
        Run("beam", "40x3", ((50, 160, 190), (400, 170, 220))),
        Run("stay", "25x2", ((120, 0, 0), (210, 162, 205)), start="rail", end="beam", up=(0.9, 0.2, 0.3)),
        Run("post", "20x2", ((420, 0, 0), (440, 30, 260)), start="rail", up=(0.3, 1.0, 0.0)),
        Run("bow", "25x2", ((300, 0, 0), (330, -90, 110), (300, -200, 40)), start="rail", bend_r=60),
    ).part("skew")


CLOCKED = ("cross_member", "link", "stay", "tray", "stay bare")
"""Those with tubes that are turned about their axis."""


def test_every_part_with_a_clock_is_tried() -> None:
    assert [name for name in ALL if any(d.kind == "clock" for d in found_of(name).dimensions)] == [*CLOCKED]


def cope_in_file(
    tube: Tube | BentTube, which: Which, way: Floats, up: Floats, at: Floats, barrels: Sequence[Any]
) -> Floats:
    """The outer edge of a tube's end in a STEP file as another reader gives it: (n, 2) of degrees from `up` round
    `way` (from the tube's start to its end) and mm into the body of the tube, in order."""
    side = np.cross(way, up)
    reach = tube.length / 2 if isinstance(tube, Tube) else 3 * tube.od
    rows = []
    for face in barrels:
        barrel = face._geomAdaptor().Cylinder()
        spot, axis = barrel.Location(), barrel.Axis().Direction()
        off = np.array((spot.X(), spot.Y(), spot.Z())) - at
        along = np.array((axis.X(), axis.Y(), axis.Z()))
        if abs(barrel.Radius() - tube.od / 2) > SAME or np.linalg.norm(np.cross(along, way)) > 1e-6:
            continue
        if np.linalg.norm(np.cross(off, way)) > SAME:
            continue
        for edge in face.Edges():
            curve = edge._geomAdaptor()
            shares = np.linspace(curve.FirstParameter(), curve.LastParameter(), 721)
            points = np.array([p.toTuple() for p in edge.positions(shares, mode="parameter")]) - at
            far = points @ way if which == "start" else -(points @ way)
            if edge.geomType() != "LINE" and far.mean() < reach:
                rows.append(np.column_stack((np.degrees(np.arctan2(points @ side, points @ up)), far)))
    found = np.concatenate(rows)
    return np.asarray(found[np.argsort(found[:, 0])])


def long_points(cope: Floats) -> list[float]:
    """Degrees of every place where the edge is as long as anywhere, each by a curve through ten degrees of it."""
    found = []
    low = cope[:, 1].min()
    for turn in range(0, 360, 2):
        off = (cope[:, 0] - turn + 180.0) % 360.0 - 180.0
        near = np.abs(off) < 10.0
        if cope[near, 1].min() > low + 0.003:
            continue
        fit = np.polynomial.Polynomial.fit(off[near], cope[near, 1], 6)
        for root in fit.deriv().roots():
            if abs(root.imag) < 1e-9 and abs(root.real) < 1.5 and abs(fit(root.real) - low) < 0.003:
                found.append(turn + float(root.real))
    return found


def apart_by(a: float, b: float) -> float:
    return abs((a - b + 180.0) % 360.0 - 180.0)


@pytest.mark.parametrize("name", [*CLOCKED, "skew"])
def test_turned_by_the_clock_a_copes_long_point_is_where_the_step_file_has_it(name: str, tmp_path: Path) -> None:
    """The line that the sheet turns to +z, and the long point that the wrap has so many degrees on from its clock
    line: together they say where it points, and there it is in the file."""
    part = skew() if name == "skew" else part_of(name)
    found = set_up(part)
    assert found is not None
    path = tmp_path / "a.step"
    step.write(part, path)
    there = bodies(path)
    barrels = importers.importStep(str(path)).faces("%CYLINDER").vals()
    checked = 0
    for one in found.dimensions:
        if one.kind != "clock":
            continue
        tube = part.piece(one.piece)
        assert isinstance(tube, Tube | BentTube)
        frame = found.datum.frame
        for which in ENDS if isinstance(tube, Tube) else ENDS[:1]:
            if is_square(tube, which):
                continue
            assert isinstance(one.to, Feature)
            axis = read(one.to, there)
            way = axis.way * math.copysign(1.0, axis.way @ np.array(one.to.way))
            up = np.array(frame.axis if one.what.endswith("+z") else frame.x)
            up = up - way * (way @ up)
            at = np.array(node(tube, which))
            cope = cope_in_file(tube, which, way, up / np.linalg.norm(up), at, barrels)
            want = points(tube, which)[1] - one.value
            by_file = long_points(cope)
            assert by_file, (one.piece, which)
            assert min(apart_by(turn, want) for turn in by_file) < 0.05, (one.piece, which, want, by_file)
            checked += 1
    assert checked or name == "stay bare"


def test_every_tube_that_must_be_turned_has_its_clock() -> None:
    """Those with a cope, a bend or something that stands on them; not one that is round all along."""
    found = set_up(skew())
    assert found is not None
    clocks = {d.piece: d for d in found.dimensions if d.kind == "clock"}
    assert set(clocks) == {"rail", "beam", "stay", "post", "bow"}
    assert clocks["post"].what == "clock: line towards +x"
    assert clocks["bow"].what == "clock of straight 1: line towards +z"
    base = plate(rectangle(100, 60), 6, name="base")
    stub = Tube(name="stub", od=20, wall=2, length=50, place=Place((0, 0, 6)))
    plain = set_up(Part(name="two", pieces=(base, stub)))
    assert plain is not None
    assert not [d for d in plain.dimensions if d.kind == "clock"]


def test_a_clock_by_hand() -> None:
    """A tube along y over a plate that lies level, its 90 degree line 30 degrees from +z towards +x. Its clock line
    is 90 degrees before that, 60 from +z towards -x: going on from it +z is met at 60."""
    base = plate(rectangle(200, 200), 6, name="base")
    lean = (math.sin(math.radians(30)), 0.0, math.cos(math.radians(30)))
    cut = TubeEnd(kind="plane", angle=60.0)
    tube = Tube(name="tube", od=20, wall=2, length=100, end=cut, place=Place((0, -50, 40), (0, 1, 0), lean))
    found = set_up(Part(name="two", pieces=(base, tube)))
    assert found is not None
    [one] = [d for d in found.dimensions if d.kind == "clock"]
    x = np.cross(lean, (0.0, 1.0, 0.0))
    up = math.cos(math.radians(float(one.text[:-1]))) * x + math.sin(math.radians(one.value)) * np.array(lean)
    assert up == pytest.approx((0, 0, 1), abs=1e-9)
    assert (one.what, one.text) == ("clock: line towards +z", "60°")


def test_a_bush_moved_by_a_tenth_shows(files: dict[str, dict[str, Body]]) -> None:
    """The reader judges: one face of the file moved by 0.2 mm is another figure."""
    name = "ears_on_base"
    found, there = found_of(name), files[name]
    gap = next(one for one in found.dimensions if one.what == "between inside faces")
    assert measured(gap, found, there) == pytest.approx(46.5, abs=1e-9)
    ear = there["ears/ear_front"]
    moved = replace(ear, planes=[((x, y, z + 0.2), n) for (x, y, z), n in ear.planes])
    with pytest.raises(AssertionError, match="nothing of ears/ear_front"):
        measured(gap, found, {**there, "ears/ear_front": moved})


def test_figures_of_an_ear_pair_by_hand() -> None:
    """Base 120 by 60, ears 48 wide, 6 thick and 46.5 apart in its middle, the bush 48 over the rail: 42 over A."""
    told = {(d.piece, d.what, d.axis): d.text for d in found_of("ears_on_base").dimensions}
    assert told["ears/ear_front", "inside face", 1] == "53.25"  # 30 + 46.5 / 2
    assert told["ears/ear_rear", "inside face", 1] == "6.75"  # 53.2 and 6.8 were 46.4 apart
    assert told["ears/ear_front", "lowest corner nearest C", 0] == "36"  # 60 - 48 / 2
    assert told["seat bush", "bush axis, along y", 2] == "42"
    pair = "ears/ear_front, ears/ear_rear"
    assert told[pair, "between inside faces", None] == "46.5"
    assert told[pair, "diagonal across the feet, inside", None] == f"{math.hypot(48, 46.5):.1f}"


def test_joggled_ears_have_a_gap_too() -> None:
    told = {d.what: d.text for d in found_of("ears_on_base bolted").dimensions}
    assert told["between inside faces"] == "46.5"


def test_figures_of_a_cross_member_by_hand() -> None:
    """Bushes 480 apart; arm of boss 1 from the tube's axis to 80 along and 27 under: atan(27 / 80)."""
    told = {(d.piece, d.what, d.kind, d.axis): d.text for d in found_of("cross_member").dimensions}
    assert told["bush_left, bush_right", "between bush centres", "apart", None] == "480"
    assert told["arm_boss_1", "axis", "to A", None] == f"{math.degrees(math.atan2(27, 80)):.1f}°"
    assert told["arm_boss_1", "node of its start", "from datum", 0] == "160"
    assert told["bush_left, boss_2", "bush centre to boss", "diagonal", None] == f"{math.hypot(80, 320, 60):.1f}"


@pytest.mark.parametrize("name", ["cup_on_plate", "tray", "cross_member"])
def test_dimensions_do_not_depend_on_where_the_part_stands(name: str) -> None:
    part = part_of(name)
    there = set_up(part.placed(Place((400.0, -30.0, 12.0), (0.2, 0.3, 1.0), (0.0, 1.0, 0.1)) @ turned(37.0)))
    assert there is not None
    figures = [(one.piece, one.what, one.kind, one.axis) for one in there.dimensions]
    assert figures == [(one.piece, one.what, one.kind, one.axis) for one in found_of(name).dimensions]
    for one, before in zip(there.dimensions, found_of(name).dimensions, strict=True):
        assert one.value == pytest.approx(before.value, abs=1e-6)


def test_a_part_of_one_piece_is_not_set_up() -> None:
    for name in ("cup", "strut", "adaptor"):
        assert set_up(part_of(name)) is None
        assert sheets_of(name) == ()


def test_values_are_written_as_a_person_writes_them() -> None:
    one = found_of("ears_on_base").dimensions[0]
    texts = [replace(one, value=v).text for v in (76.56353848491338, 50.0, -0.01, 0.04, -52.5)]
    assert texts == ["76.6", "50", "0", "0", "-52.5"]


# ------------------------------------------------------------------------------------ lists and numbers
@pytest.mark.parametrize("name", ALL)
def test_the_piece_list_is_the_cut_list(name: str) -> None:
    part = part_of(name)
    listed = piece_list(part)
    assert [one.number for one in listed] == list(range(1, len(listed) + 1))
    assert sorted(n for one in listed for n in one.names) == sorted(piece.name for piece in part.pieces)
    assert sum(one.kg for one in listed) == pytest.approx(part.mass.kg, rel=1e-9)
    cut = {n: item for item in cut_list([(part.name, part)]) for n in item.names}
    for one in listed:
        for n in one.names:
            item = cut.get(f"{part.name}: {n}")
            if item is not None:
                assert (item.section, item.kind, item.size) == (one.item.section, one.item.kind, one.item.size)
                assert item.kg == pytest.approx(one.item.kg, abs=1e-6)


def test_pieces_drawn_on_one_sheet_have_one_number() -> None:
    for name in ("ears", "ears_on_base", "stud_seat", "tray"):
        numbers = {n: one.number for one in piece_list(part_of(name)) for n in one.names}
        for cut in cut_files.cuts(part_of(name), Title(part=name)):
            if cut.flat:
                assert len({numbers[n] for n in cut.names}) <= 1, (name, cut.names)


@pytest.mark.parametrize("name", ALL)
def test_every_piece_has_its_balloon_in_the_slanted_pictures(name: str) -> None:
    want = Counter(str(one.number) for one in piece_list(part_of(name)) for _ in one.names)
    got: Counter[str] = Counter()
    for drawing in sheets_of(name):
        if "pieces" in drawing.name:
            got.update(words.text for words in drawing.words)
    assert got == want
    [table] = [t for d in sheets_of(name) for t in d.tables if t.heading == "Pieces"]
    assert [(row[0], row[4]) for row in table.rows[:-1]] == [
        (str(one.number), str(len(one.names))) for one in piece_list(part_of(name))
    ]


@pytest.mark.parametrize("name", ALL)
def test_every_weld_has_a_symbol_with_its_number_leg_and_length(name: str) -> None:
    part = part_of(name)
    marks = weld_marks(part)
    numbered = {one.number: one.weld for one in numbered_welds(part.welds)}
    assert sorted(n for mark in marks for n in mark.numbers) == sorted(numbered)
    said: list[str] = []
    for drawing in sheets_of(name):
        if "welds" in drawing.name:
            said += [words.text for words in drawing.words]
    for mark in marks:
        assert said.count(mark.tail) >= 1
        for n in mark.numbers:
            weld = numbered[n]
            long = edges.length(part.piece(weld.piece), weld.edge)
            assert mark.size == f"z{weld.leg:g}"
            assert mark.run == ("" if mark.closed else f"{long:.0f}")
            assert mark.both == (len(mark.numbers) > 1 or weld.sides == 2)
    wanted = Counter(t for mark in marks for t in (mark.tail, *(mark.size, mark.run) * (1 + mark.both)) if t)
    assert Counter(said) == wanted
    rows = {row[0]: row for d in sheets_of(name) for t in d.tables if t.heading == "Welds" for row in t.rows}
    assert set(rows) == {str(n) for n in numbered}
    for n, weld in numbered.items():
        assert rows[str(n)][2:4] == (weld.onto, f"{weld.leg:g}")


def test_a_coped_end_is_welded_all_round_and_a_foot_is_not() -> None:
    assert all(mark.closed for mark in weld_marks(part_of("cross_member")))
    assert not any(mark.closed for mark in weld_marks(part_of("ears_on_base")))
    assert [mark.numbers for mark in weld_marks(part_of("ears_on_base"))] == [(1, 2), (3, 4)]


# ------------------------------------------------------------------------------------ pictures
@pytest.mark.parametrize("name", ["ears_on_base", "cup_on_plate", "fork", "link", "tray"])
def test_pictures_reach_as_far_as_the_solids(name: str) -> None:
    """Each picture's bounds against the kernel's box of the solids, turned so that the eye looks along z."""
    from cadquery import Location, Plane
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    from brackets.kernel import shape
    from brackets.kernel.hidden_lines import seen

    part, frame = part_of(name), found_of(name).datum.frame
    eyes: list[tuple[float, float, float]] = [(0, -1, 0), (0, 0, 1), (-1, 0, 0), SLANTED[0]]
    for eye in eyes:
        right = (1.0, 0.0, 0.0) if eye[0] == 0 else (-eye[1], eye[0], 0.0)
        view = (frame.direction(eye), frame.direction(right))
        [picture] = seen(part, (view,), frame.at)
        box = Bnd_Box()
        plane = Location(Plane(origin=frame.at, xDir=view[1], normal=view[0])).inverse
        BRepBndLib.AddOptimal_s(shape(part).moved(plane).wrapped, box, False, False)
        low, high = box.CornerMin(), box.CornerMax()
        wanted = (low.X(), low.Y(), high.X(), high.Y())
        assert bounds_of(picture) == pytest.approx(wanted, abs=0.01)
        assert [one.piece for one in picture] == [piece.name for piece in part.pieces]


def test_what_stands_before_another_hides_it() -> None:
    """A plate of 40 mm behind one of 60 with a hole of 20: from before, its edge is hidden and nothing else; from
    behind, all of it is seen, and of the other what stands out."""
    from brackets import Hole, plate, rectangle
    from brackets.kernel.hidden_lines import seen

    large = plate(rectangle(60, 60), 5, openings=(Hole(at=(0, 0), d=20),), name="large")
    small = plate(rectangle(40, 40), 5, name="small", place=Place((0, 0, -30)))
    part = Part(name="two", pieces=(large, small))
    before, behind = seen(part, (((0, 0, 1), (1, 0, 0)), ((0, 0, -1), (-1, 0, 0))), (0, 0, 0))
    told = [{one.piece: (long(one.visible), long(one.hidden)) for one in view} for view in (before, behind)]
    assert told[0]["small"][0] == 0.0
    assert told[0]["small"][1] >= 160.0 - 1e-6
    assert told[0]["large"][0] >= 240.0 + 20 * math.pi - 0.1
    assert told[1]["small"][0] >= 160.0 - 1e-6
    assert told[1]["large"][0] >= 240.0 - 1e-6
    assert told[1]["large"][1] >= 20 * math.pi - 0.1


def long(runs: Sequence[Any]) -> float:
    return math.fsum(math.dist(a, b) for run in runs for a, b in pairs(run))


def pairs(run: Sequence[Any]) -> Iterator[tuple[Any, Any]]:
    return zip(run, run[1:], strict=False)


# ------------------------------------------------------------------------------------ on paper
@pytest.mark.parametrize("name", NAMES)
def test_words_of_the_sheets_lie_on_no_other_and_stay_on_the_paper(name: str, tmp_path: Path) -> None:
    """As another reader finds them in the PDF, on A4, with the widths of the fonts' own letters."""
    from brackets.output import pdf

    pages = pdf.write(paper_of(name), tmp_path / "a.pdf")
    reader = PdfReader(tmp_path / "a.pdf")
    assert len(reader.pages) == pages
    for page in reader.pages:
        boxes: list[tuple[tuple[float, float, float, float], str]] = []
        wide, tall = float(page.mediabox.width) / MM, float(page.mediabox.height) / MM

        def look(
            text: str,
            cm: list[float],
            tm: list[float],
            font: Any,
            size: float,
            boxes: list[tuple[tuple[float, float, float, float], str]] = boxes,
        ) -> None:
            words = text.strip()
            if words and cm[1] == 0.0:
                mm = size * cm[0] / MM
                x, y = (tm[4] * cm[0] + cm[4]) / MM, (tm[5] * cm[3] + cm[5]) / MM
                long = width(words, mm, bold=font["/BaseFont"].endswith("Bold"))
                boxes.append(((x, y - DESCENT * mm, x + long, y + ASCENT * mm), words))
                assert mm >= 2.3 - 1e-6, words  # the foot of a page; all else is larger

        page.extract_text(visitor_text=look)
        assert len(boxes) > 5
        for i, (box, words) in enumerate(boxes):
            assert box[0] >= MARGIN - 1e-3, words
            assert box[2] <= wide - MARGIN + 1e-3, words
            assert box[1] >= MARGIN - 1.0, words
            assert box[3] <= tall - MARGIN + 1e-3, words
            assert not [w for other, w in boxes[i + 1 :] if touches(box, other)], words
        for line in strokes(page):
            for x, y in line:
                assert -1e-6 <= x <= wide + 1e-6
                assert -1e-6 <= y <= tall + 1e-6


@pytest.mark.parametrize("name", ALL)
def test_words_of_the_views_lie_on_no_line(name: str) -> None:
    """Of a datum, a centre line, a frame round a letter or the part."""
    [views] = [drawing for drawing in sheets_of(name) if drawing.name == "set-up, dimensions"]
    edges = [(stroke.layer, edge) for stroke in views.strokes for edge in stroke.segments]
    chords = [(layer, *ends) for layer, edge in edges for ends in pairs(edge.points(0.1))]
    for words in views.words:
        assert not [layer for layer, a, b in chords if through(words.box, a, b)], words.text


def test_the_line_of_datum_a_keeps_off_the_view_below_it() -> None:
    """Ears on a round rail: A is the middle of the rail, under both of them."""
    [views] = [drawing for drawing in sheets_of("ears") if drawing.name == "set-up, dimensions"]
    letters = [words.at[1] for words in views.words if words.text == "A"]
    [name] = [words.box[3] for words in views.words if words.text == ABOVE]
    assert sorted(letters)[-1] - name > 5.0


@pytest.mark.parametrize("name", ALL)
def test_each_picture_takes_one_page_at_a_standard_scale(name: str) -> None:
    for drawing in sheets_of(name):
        left, low, right, high = drawing.bounds
        size = sorted((right - left, high - low))
        room = sorted((PAPERS["A4"][0] - 29.0 - 4.0, PAPERS["A4"][1] - 33.0 - 4.0))
        assert size[0] <= room[1]
        assert size[1] <= room[1] + 4.0
        scale = dict(drawing.facts)["scale"].split(",")[0]
        assert scale in {"2:1", "1:1", "1:2", "1:5", "1:10", "1:20", "1:50"}


@pytest.mark.parametrize("name", NAMES)
def test_every_figure_stands_in_the_tables_and_those_of_the_views_are_among_them(name: str) -> None:
    found = found_of(name)
    sheets = sheets_of(name)
    cells = [cell for d in sheets for t in d.tables for row in t.rows for cell in row]
    split = Counter(text for cell in cells for text in cell.split(" and "))
    for text, count in Counter(one.text for one in found.dimensions).items():
        assert split[text] >= count, text
    [views] = [d for d in sheets if d.name == "set-up, dimensions"]
    figures = {one.text for one in found.dimensions} | {"0"}
    numbers = {str(one.number) for one in piece_list(part_of(name))}
    for words in views.words:
        if re.fullmatch(r"-?[\d.]+°?( to A)?", words.text):
            assert words.text.removesuffix(" to A") in figures | numbers
    assert any("First angle projection (ISO 5456-2)" in words.text for words in views.words)


def test_what_stands_beside_a_picture_does_not_overlap() -> None:
    things = [Beside(str(i), 7.0, 7.0, (10.0 + i % 3, 20.0 + 0.5 * i)) for i in range(12)]
    placed = columns(things, (0.0, 0.0, 60.0, 40.0))
    assert sorted(one.of.key for one in placed) == sorted(thing.key for thing in things)
    boxes = [
        (min(one.x, one.x + one.side * 7), one.y - 3.5, max(one.x, one.x + one.side * 7), one.y + 3.5)
        for one in placed
    ]
    for i, box in enumerate(boxes):
        assert not any(touches(box, other) for other in boxes[i + 1 :])
        assert box[2] <= 0.0 or box[0] >= 60.0


def test_figures_in_a_row_are_pushed_apart_and_no_further() -> None:
    assert spread([0.0, 20.0, 40.0], [5.0] * 3) == [0.0, 20.0, 40.0]
    assert spread([10.0, 10.0], [4.0, 4.0]) == [8.0, 12.0]
    at = spread([0.0, 1.0, 2.0, 30.0], [6.0, 6.0, 6.0, 6.0])
    assert at == pytest.approx([-5.0, 1.0, 7.0, 30.0])


def test_scales_are_said_as_the_standard_says_them() -> None:
    assert [scale_words(s) for s in (2.0, 1.0, 0.5, 0.02)] == ["2:1", "1:1", "1:2", "1:50"]
    assert len(list(arrow((0.0, 0.0), (5.0, 0.0)))) == 2


def test_a_small_sheet_takes_a_smaller_scale() -> None:
    from brackets.output.set_up import _drawings

    part, found = part_of("fork"), found_of("fork")
    wide = list(_drawings(part, found, Title(part="fork"), ((400.0, 400.0),)))
    small = list(_drawings(part, found, Title(part="fork"), ((130.0, 130.0),)))
    scales = [[dict(d.facts)["scale"].split(",")[0] for d in sheets] for sheets in (wide, small)]
    order = ["2:1", "1:1", "1:2", "1:5", "1:10"]
    assert all(order.index(a) < order.index(b) for a, b in zip(*scales, strict=True))
    assert three_views.__doc__
