"""Where pieces land on each other, as the papers show it, against what the kernel says two solids share."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import numpy.typing as npt
import pytest
from cadquery import Face as KernelFace
from cadquery import Shape, Vertex
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepTools import BRepTools
from shipped_parts import SEVERAL
from test_paper import chords

from brackets import bay, polygon, recipe
from brackets.bay.stand.placed import placed_bay
from brackets.core.place import Place
from brackets.core.vectors import Vec
from brackets.drawing.blank import blank
from brackets.drawing.labels import through, touches
from brackets.drawing.landing_wraps import STUB
from brackets.drawing.record import Drawing, Title
from brackets.drawing.sheets import sheet_cuts
from brackets.forming.flat_pattern import blank_of
from brackets.forming.shop import as_made_in
from brackets.forming.tube_layout import lay_out
from brackets.forming.tube_run import Mitre, Run
from brackets.geometry.curve import Outline
from brackets.kernel.shared import common_of
from brackets.kernel.solids import shape
from brackets.library.recipe import shipped
from brackets.model.bent_tube import straights
from brackets.model.cope import end_curve, extent
from brackets.model.fold_tree import tree
from brackets.model.fold_zones import transformed
from brackets.model.landing import OnPlate, OnRound, landed_on
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate, TubeSeat, Wall
from brackets.model.tube import BentTube, Tube, Turned
from brackets.model.weld import AtSeat, Weld
from brackets.output import cut_files, dxf, flats, svg

NEAR = 0.05
"""mm: what a landing line may lie from the contact of the solids."""

Floats = npt.NDArray[np.float64]
TITLE = Title(part="sample")


def bent_frame() -> Part:
    """A bow with a stay coped to its second straight, one coped to its first, and a leg mitred to its end."""
    return lay_out(
        Run("bow", "38x3", ((0, 0, 0), (300, 0, 0), (300, 0, 400)), bend_r=100, end=Mitre("leg")),
        Run("stay", "25x2", ((0, 250, 200), (300, 0, 250)), end="bow"),
        Run("post", "20x2", ((100, 8, 150), (100, 8, 0)), end="bow"),
        Run("leg", "38x3", ((300, 0, 400), (100, 0, 520)), start=Mitre("bow")),
    ).part("frame")


def finned_tube() -> Part:
    """A plate that stands slanting across a tube which passes through its edge."""
    seat = TubeSeat(at=(0, -10, 0), axis=(0.3, 0.2, 1), r=20, keep=(0, 25))
    fin = Plate(name="fin", t=6, wall=Wall(outline=_box(40, 30), seats=(seat,)))
    way = (0.3, 0.2, 1.0)
    tube = Tube(name="tube", od=40, wall=3, length=200, place=Place(tuple(-100 / 1.063 * c for c in way), way))  # type: ignore[arg-type]
    tube = replace(tube, place=Place(tuple(a + b for a, b in zip((0, -10, 0), tube.place.at, strict=True)), way))  # type: ignore[arg-type]
    welds = tuple(Weld(piece="fin", edge=AtSeat(0, face), onto="tube", leg=4) for face in ("low", "high"))
    return Part(name="finned", pieces=(fin, tube), welds=welds)


def saddled() -> Part:
    """Plates cut to a tube that stand on a base by a straight edge: one that the tube passes over, one whose foot
    it cuts aslant, and one whose foot it parts in two, of which one is kept."""
    base = Plate(name="base", t=8, wall=Wall(outline=_box(120, 60)))

    def stands(name: str, x: float, y: float, *seats: TubeSeat) -> Plate:
        wall = Wall(outline=_box(30, 20), seats=seats)
        return Plate(name=name, t=6, wall=wall, place=Place((x, y, 28.0), (0, 1, 0), (0, 0, 1)))

    over = TubeSeat(at=(3, 28, 0), axis=(0.2, 0.3, 1), r=19, keep=(0, -19))
    aslant = TubeSeat(at=(34, -22, 0), axis=(0.25, 0.4, 1), r=15, keep=(-25, 15))
    straight = TubeSeat(at=(-34, -22, 0), axis=(0, 0, 1), r=12, keep=(25, 15))
    through = TubeSeat(at=(-8, -18, 0), axis=(0.3, 6, 1), r=9, keep=(28, -15))
    plates = (
        stands("passed", -70, 30, over),
        stands("cut", 0, 30, aslant, straight),
        stands("parted", 70, -20, through),
    )
    return Part(name="saddled", pieces=(base, *plates))


def _box(half: float, up: float) -> Outline:
    return polygon([(-half, -up), (half, -up), (half, up), (-half, up)])


@cache
def parts() -> dict[str, Part]:
    """Every shipped recipe of more than one piece, Tern's parts, a bent frame, a finned tube, plates with seats."""
    found = {}
    for name in SEVERAL:
        opened = recipe(name)
        found[name] = opened.build(opened.Params())
    for one in placed_bay(bay.read(Path(shipped(), "tern.toml"))).parts:
        if len(one.part.pieces) > 1:
            found[f"tern {one.name}"] = one.part
    return found | {"bent": bent_frame(), "finned": finned_tube(), "saddled": saddled()}


TERN = ("left_ears", "right_ears", "tray", "upper_ears", "strut", "link_bracket", "fork", "torque_link")
NAMES = (*SEVERAL, *(f"tern {name}" for name in TERN), "bent", "finned", "saddled")


def test_every_part_of_several_pieces_is_tried() -> None:
    assert tuple(parts()) == NAMES


def in_part(piece: Piece, one: OnPlate | OnRound) -> list[Floats]:
    """The lines of a landing in the part's frame, (n, 3) each, from what the papers are drawn from."""
    if isinstance(one, OnPlate):
        assert isinstance(piece, Plate | Folded)
        at = piece.place if isinstance(piece, Plate) else piece.place @ tree(piece).walls[one.wall].place
        z = piece.t if one.face == "high" else 0.0
        rings = (one.region.outer, *one.region.holes)
        return [
            np.array([at.point((*edge.point(i / 30), z)) for edge in ring.segments for i in range(31)])
            for ring in rings
        ]
    return [np.array([on_barrel(piece, turn, far) for turn, far in curve]) for curve in one.curves]


def on_barrel(piece: Piece, turn: float, far: float) -> Vec:
    """A point of a round outside, by degrees and mm from the sawn start."""
    place, start = piece.place, 0.0
    if isinstance(piece, Turned):
        below, od = 0.0, 0.0
        for step in piece.steps:
            if below - 1e-6 <= far <= below + step.length + 1e-6:
                od = max(od, step.od)
            below += step.length
    else:
        assert isinstance(piece, Tube | BentTube)
        od, start = piece.od, extent(piece, "start", (piece.od / 2,))[0]
        if isinstance(piece, BentTube):
            return _on_bent(piece, turn, far)
    a = math.radians(turn)
    return place.point((od / 2 * math.cos(a), od / 2 * math.sin(a), far + start))


def _on_bent(piece: BentTube, turn: float, far: float) -> Vec:
    """Along the straights and the arcs between them, by the corners' own angles."""
    left, a = far + extent(piece, "start", (piece.od / 2,))[0], math.radians(turn)
    lines = straights(piece)
    for line, after in zip(lines, (*lines[1:], None), strict=True):
        if left <= line.length or after is None:
            local = (piece.od / 2 * math.cos(a), piece.od / 2 * math.sin(a), left)
            return piece.place.point(line.place.point(local))
        bend = math.acos(sum(p * q for p, q in zip(line.place.axis, after.place.axis, strict=True)))
        left -= line.length + bend * piece.bend_r
    raise AssertionError


def off(points: Floats, lines: list[Floats]) -> float:
    """The farthest that any of the points lies from the lines, mm: every third point, and the last."""
    points = np.concatenate([points[::3], points[-1:]])
    a = np.concatenate([line[:-1] for line in lines])
    b = np.concatenate([line[1:] for line in lines])
    run = b - a
    size = np.maximum((run * run).sum(axis=1), 1e-30)
    share = np.clip(((points[:, None] - a) * run).sum(axis=2) / size, 0.0, 1.0)
    return float(np.linalg.norm(points[:, None] - (a + share[..., None] * run), axis=2).min(axis=1).max())


@cache
def contact(host: Piece, guest: Piece) -> list[tuple[list[Floats], list[Floats]]]:
    """The outlines of what two pieces have in common, by the kernel: of each the edges, and those points of them
    that lie on the host. On flats the common faces' edges; on what is round the guest's, where its face fits."""
    a, b = shape(host), shape(guest)
    every: list[tuple[list[Floats], list[Floats]]] = []
    if not _near(a, b):
        return every
    for mine, theirs in itertools.product(_faces(a), _faces(b)):
        if not (_near(mine, theirs) and _on_one_surface(mine, theirs)):
            continue
        if mine.geomType() == "PLANE":
            common = Shape.cast(common_of(mine.wrapped, theirs.wrapped).Shape())
            found = [edge_points(face) for face in common.Faces() if face.Area() > 0.01]
            every += [(edges, edges) for edges in found]
            continue
        for points in edge_points(theirs):
            here = np.array([p for p in points[::8] if _gap(mine, p) < 1e-3])
            if len(here) > 1:
                every.append(([points], [here]))
    return every


@cache
def _faces(it: Shape) -> tuple[KernelFace, ...]:
    return tuple(it.Faces())


def _gap(of: Shape, p: Floats) -> float:
    return float(BRepExtrema_DistShapeShape(Vertex.makeVertex(*p).wrapped, of.wrapped).Value())


def _near(a: Shape, b: Shape) -> bool:
    (low, high), (bottom, top) = _box_of(a), _box_of(b)
    return bool((np.minimum(high, top) - np.maximum(low, bottom) > -1e-3).all())


@cache
def _box_of(it: Shape) -> tuple[Floats, Floats]:
    box = it.BoundingBox()
    return np.array((box.xmin, box.ymin, box.zmin)), np.array((box.xmax, box.ymax, box.zmax))


def _on_one_surface(a: KernelFace, b: KernelFace) -> bool:
    kinds = {a.geomType(), b.geomType()}
    if kinds == {"CYLINDER"}:
        one, other = (face._geomAdaptor().Cylinder() for face in (a, b))
        return one.Axis().IsParallel(other.Axis(), 1e-6) and abs(one.Radius() - other.Radius()) < 1e-3
    if kinds == {"PLANE"}:
        return a.normalAt().cross(b.normalAt()).Length < 1e-6
    return False


def edge_points(face: KernelFace) -> list[Floats]:
    """The edges of a face by points, without the seam where it closes on itself."""
    return [
        np.array([p.toTuple() for p in edge.positions(np.linspace(0, 1, 161))])
        for edge in face.Edges()
        if not BRepTools.IsReallyClosed_s(edge.wrapped, face.wrapped)
    ]


@cache
def hosts(name: str) -> tuple[tuple[Piece, OnPlate | OnRound], ...]:
    """Every landing line of a part, with the piece it is on."""
    part = parts()[name]
    return tuple((piece, one) for piece in part.pieces for one in landed_on(piece, part))


@pytest.mark.parametrize("name", NAMES)
def test_every_landing_line_is_the_edge_of_the_solids_contact(name: str) -> None:
    """Both ways: no line off the contact, and no edge of the contact without a line."""
    part = parts()[name]
    for piece, one in hosts(name):
        other = part.piece(one.name)
        lines = in_part(piece, one)
        edges, on = ([edge for face in contact(piece, other) for edge in face[i]] for i in (0, 1))
        if not edges:
            assert_touches_along_a_line(piece, other, lines)
            continue
        if isinstance(one, OnPlate):  # a folded piece may be met on several of its walls
            edges = on = [edge for edge in edges if off(edge, [np.concatenate(lines)]) < 5.0]
        elif isinstance(other, Plate):  # its faces are drawn, and not the ends of its edge
            edges = on = [edge for edge in edges if _lies_in_a_face(other, edge)]
        assert off(np.concatenate(lines), edges) < NEAR, (piece.name, one.name)
        assert off(np.concatenate(on), lines) < NEAR, (piece.name, one.name)


def _lies_in_a_face(plate: Plate, edge: Floats) -> bool:
    heights = [plate.place.local(tuple(p))[2] for p in edge]  # type: ignore[arg-type]
    return any(max(abs(z - level) for z in heights) < 1e-3 for level in (0.0, plate.t))


def assert_touches_along_a_line(piece: Piece, other: Piece, lines: list[Floats]) -> None:
    """A plate whose edge touches a round outside by its middle: a line for each of its faces, in the plane of the
    face and on the round; between them both solids are there all along, and one ends where the lines end."""
    assert isinstance(other, Plate)
    low, high = lines

    def gap(p: Floats) -> float:
        return max(_gap(shape(one), p) for one in (piece, other))

    for line, z in ((low, 0.0), (high, other.t)):
        assert max(abs(other.place.local(tuple(p))[2] - z) for p in line) < NEAR
        assert max(_gap(shape(piece), p) for p in line[::60]) < NEAR
    middle = [_touching(piece, (a + b) / 2) for a, b in zip(low[::60], high[::60], strict=True)]
    assert max(gap(p) for p in middle) < NEAR
    way = (middle[-1] - middle[0]) / np.linalg.norm(middle[-1] - middle[0])
    assert gap(middle[0] - 0.2 * way) > 0.1
    assert gap(middle[-1] + 0.2 * way) > 0.1


def _touching(piece: Piece, p: Floats) -> Floats:
    """The point of a solid that is nearest to one inside or near it, on its outside."""
    assert isinstance(piece, Tube | Turned)
    x, y, z = piece.place.local(tuple(p))
    od = piece.od if isinstance(piece, Tube) else piece.steps[0].od
    out = od / 2 / math.hypot(x, y)
    return np.array(piece.place.point((x * out, y * out, z)))


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_stands_on_a_plate_or_a_tube_is_without_its_line(name: str) -> None:
    """Every contact the kernel finds of a piece on a plate's face, and every end of a tube on another tube's side,
    has a line of that name; what meets only at an edge (a mitre, a cup in its plate) has none."""
    part = parts()[name]
    known = {(piece.name, one.name) for piece, one in hosts(name)}
    for host, guest in itertools.permutations(part.pieces, 2):
        if isinstance(host, Plate | Folded):
            if any(_on_a_wall(host, np.concatenate(edges)) for edges, _ in contact(host, guest)):
                assert (host.name, guest.name) in known
        elif (
            isinstance(host, Tube | BentTube)
            and isinstance(guest, Tube | BentTube)
            and any(len(on[0]) > 15 for edges, on in contact(host, guest) if edges is not on)
        ):
            assert (host.name, guest.name) in known


def test_the_foot_of_a_plate_cut_to_tubes_by_hand() -> None:
    """A foot of 60, whose plate is 6 thick. One that its tube passes over keeps it whole. A tube of 24 square to
    the plate, 34 aside and 2 below the foot, leaves it from 34 - root(12² - 2²) = 22.168 on."""
    found = {one.name: one.region for _, one in hosts("saddled") if isinstance(one, OnPlate)}
    assert set(found) == {"passed", "cut", "parted"}
    assert found["passed"].outer.bounds == pytest.approx((-100, 30, -40, 36), abs=1e-9)
    assert found["cut"].outer.bounds[2] == pytest.approx(34 - math.sqrt(12**2 - 2**2), abs=1e-9)
    assert found["parted"].outer.bounds[0] == pytest.approx(40, abs=1e-9)


def _on_a_wall(host: Plate | Folded, edge: Floats) -> bool:
    """Whether points lie in a face of one of the walls."""
    places = [host.place] if isinstance(host, Plate) else [host.place @ node.place for node in tree(host).walls]
    return any(
        max(abs(at.local(tuple(p))[2] - level) for p in edge) < 1e-3  # type: ignore[arg-type]
        for at in places
        for level in (0.0, host.t)
    )


# ------------------------------------------------------------------------------------------------ on the papers


@cache
def sheets(name: str) -> tuple[Drawing, ...]:
    found = cut_files.cuts(parts()[name], TITLE)
    return tuple(drawing for cut in found if cut.flat for drawing in cut.drawings if drawing.true_size)


def named(drawings: Iterable[Drawing], piece: str) -> list[Drawing]:
    return [one for one in drawings if piece in dict(one.facts)["piece"].split(", ")]


def test_an_ear_stands_on_its_base_where_the_recipe_says() -> None:
    """48 x 6 ears on a base of 120 x 60, inner faces 46.5 apart: 30 - 46.5 / 2 - 6 = 0.75 to the edge."""
    [sheet] = named(sheets("ears_on_base"), "base/base")
    boxes = sorted(s.bounds for s in sheet.strokes if s.layer == "mark")
    assert boxes == [pytest.approx((36.0, 0.75, 84.0, 6.75)), pytest.approx((36.0, 53.25, 84.0, 59.25))]
    said = {words.text for words in sheet.words}
    assert {"ears/ear_front, this face, x 36 y 53.25", "ears/ear_rear, this face, x 36 y 0.75"} <= said
    [table] = [table for table in sheet.tables if table.heading.startswith("What stands on it")]
    assert table.rows[0] == ("ears/ear_front", "this face", "36.00", "84.00", "53.25", "59.25", "48 x 6", "")


def test_what_stands_on_the_other_face_is_dashed_and_on_a_layer_of_its_own(tmp_path: Path) -> None:
    """A laser engraves the face that is up: a line for the other one would be scribed on the wrong side."""
    [sheet] = named(sheets("stay"), "plate")
    dxf.write(sheet, tmp_path / "a.dxf")
    space = ezdxf.readfile(tmp_path / "a.dxf").modelspace()
    assert len(space.query('*[layer=="MARK"]')) == 4  # the tube's outside and bore, two gussets
    assert len(space.query('*[layer=="MARK_OTHER_FACE"]')) == 2  # the washer's outside and hole
    group = svg.text(sheet).split('<g id="mark_other"')[1].split("</g>")[0]
    assert group.count("<path") == 2
    assert "washer_boss_4, other face" in " ".join(words.text for words in sheet.words)


def test_a_footprint_on_a_wall_that_is_folded_up_lies_on_the_flat_where_the_wall_does() -> None:
    part = parts()["tray"]
    [sheet] = named(sheets("tray"), "tray")
    piece = part.piece("tray")
    assert isinstance(piece, Folded)
    x0, y0, _, _ = blank_of(piece).outline.bounds
    for one in landed_on(piece, part):
        assert isinstance(one, OnPlate)
        flat = tree(piece).walls[one.wall].flat
        wanted = transformed(one.region.outer, Place((-x0, -y0, 0.0)) @ flat).bounds
        layer = "mark" if one.face == "high" else "mark_other"
        drawn = [stroke.bounds for stroke in sheet.strokes if stroke.layer == layer]
        assert any(np.allclose(box, wanted, atol=1e-6) for box in drawn), one.name


def test_the_paper_of_a_tube_rolled_round_it_lies_on_the_rim_that_is_coped_to_it() -> None:
    """The clock line on x of the tube's frame, the lower edge where it says, degrees to the right. The arm is 25 on
    38, square to it: rim and tube meet sqrt(19^2 - 12.5^2) from the axis at the sides, 19 at the short points."""
    part = parts()["cross_member"]
    tube, arm = part.piece("tube"), part.piece("arm_boss_1")
    assert isinstance(tube, Tube)
    assert isinstance(arm, Tube)
    [sheet] = [one for one in named(sheets("cross_member"), "tube") if "lower edge" in dict(one.facts)][:1]
    base = float(dict(sheet.facts)["lower edge"].split()[0]) + extent(tube, "start", (tube.od / 2,))[0]
    marks = [s for s in sheet.strokes if s.layer == "mark"]
    [clock] = [s.bounds[0] for s in marks if s.bounds[2] - s.bounds[0] < 1e-9 and s.bounds[1] == STUB]
    rings = [s for s in marks if len(s.segments) > 100]
    per_degree = math.radians(tube.od / 2 + 0.05)
    nodes = []
    for ring in rings:
        for p in [s.a for s in ring.segments]:
            a = math.radians((p[0] - clock) / per_degree)
            on = tube.place.point((19 * math.cos(a), 19 * math.sin(a), base + p[1]))
            x, y, z = arm.place.local(on)
            if abs(math.hypot(x, y) - 12.5) < 1e-3:
                nodes.append(z)
    far = nodes if min(nodes) < arm.length / 2 else [arm.length - z for z in nodes]  # from the tube's axis
    assert len(nodes) > 300
    assert min(far) == pytest.approx(math.sqrt(19**2 - 12.5**2), abs=0.01)
    assert max(far) == pytest.approx(end_curve(0, branch_r=12.5, main_r=19, angle=90), abs=0.01)


def test_a_gusset_is_two_lines_about_a_clock_with_strokes_across_their_ends() -> None:
    """5 mm on a tube of 38: its faces are asin(2.5 / 19) = 7.6 degrees to either side."""
    [sheet] = [one for one in named(sheets("stay"), "tube") if "lower edge" in dict(one.facts)]
    said = [words.text for words in sheet.words]
    assert "gusset_1, 6.0 to 40.0, clock 0.0" in said
    assert "gusset_2, 21.0 to 55.0, clock 180.0" in said
    assert "lower edge 0 mm from the sawn START" in said
    [table] = [t for one in named(sheets("stay"), "tube") for t in one.tables if t.heading.startswith("What lands")]
    assert [row[:6] for row in table.rows] == [
        ("gusset_1", "6.00", "40.00", "352.4", "7.6", "0.0"),
        ("gusset_2", "21.00", "55.00", "172.4", "187.6", "180.0"),
    ]


@pytest.mark.parametrize("name", NAMES)
def test_names_on_papers_lie_on_nothing_and_on_the_paper(name: str) -> None:
    for drawing in sheets(name):
        if "lower edge" not in dict(drawing.facts):
            continue
        x0, y0, x1, y1 = drawing.strokes[0].bounds
        boxes = [words.box for words in drawing.words]
        for i, box in enumerate(boxes):
            assert min(box[0] - x0, box[1] - y0, x1 - box[2], y1 - box[3]) >= 0.0, drawing.words[i].text
            assert not any(touches(box, other) for other in boxes[i + 1 :]), drawing.words[i].text
            for stroke in drawing.strokes:
                assert not any(through(box, a, b) for a, b in chords(stroke)), drawing.words[i].text


def test_like_plates_that_carry_different_pieces_are_drawn_apart() -> None:
    """One sheet for both would show the wrong name on one of them."""
    part = parts()["ears_on_base"]
    base = part.piece("base/base")
    there = Place((0.0, 0.0, -200.0))
    spare = replace(base, name="spare", place=there @ base.place)
    both = cut_files.cuts(replace(part, pieces=(*part.pieces, spare)), TITLE)
    assert {cut.names for cut in both} >= {("base/base",), ("spare",)}
    bare = replace(part, pieces=(base, spare), welds=(), seats=())
    assert [cut.names for cut in cut_files.cuts(bare, TITLE)] == [("base/base", "spare")]


def test_a_cup_says_from_where_to_where_its_tube_lands_and_like_cups_are_drawn_once() -> None:
    """A tube of 38 in the middle of a cup 40 long: 1 to 39, the outer edge of the cope."""
    cuts = {cut.names: cut for cut in cut_files.cuts(parts()["cross_member"], TITLE)}
    [sheet] = cuts["cup_left", "cup_right"].drawings
    [table] = [table for table in sheet.tables if table.heading.startswith("What lands")]
    assert table.rows == (("tube 38 x 3", "1.00", "39.00", ""),)
    assert ("bung_boss_1", "bung_boss_2") in cuts


@pytest.mark.parametrize("name", NAMES)
def test_nested_sheets_have_the_landing_lines_of_each_blank(name: str, tmp_path: Path) -> None:
    """As on the blank's own paper, held to the solids above, moved to where the blank lies, turned or not."""
    part = parts()[name]
    plates = [piece for piece in part.pieces if isinstance(piece, Folded | Plate)]
    if not plates:
        return
    found = flats.flats(part)
    drawn = {number: sheet_cuts(layout, TITLE) for number, layout in enumerate(found.layouts)}
    laid = {one.name: (one, number) for number, layout in enumerate(found.layouts) for one in layout.blanks}
    wanted: dict[int, list[tuple[str, tuple[float, ...]]]] = {number: [] for number in drawn}
    said: dict[int, list[str]] = {number: [] for number in drawn}
    for piece in as_made_in(found.shop, part).pieces:
        if piece.name not in laid:
            continue
        assert isinstance(piece, Folded | Plate)
        one, number = laid[piece.name]
        mine = [on for on in landed_on(piece, part) if isinstance(on, OnPlate)]
        paper = blank(piece, TITLE, landed=mine)
        holes = [s.bounds for s in blank(piece, TITLE).strokes if s.layer == "mark"]
        for stroke in paper.strokes:
            if stroke.layer not in ("mark", "mark_other") or stroke.bounds in holes:
                continue
            x0, y0, x1, y1 = stroke.bounds
            box = (x0, y0, x1, y1)
            if one.turned:
                wide = one.size[0]
                box = (wide - y1, x0, wide - y0, x1)
            there = tuple(round(c + one.at[i % 2], 3) for i, c in enumerate(box))
            wanted[number].append((stroke.layer, there))
        faces = {"high": "this face", "low": "other face"}
        said[number] += [f"{on.name}, {faces[on.face]}" for on in mine]
    for number, sheet in drawn.items():
        marks = [(s.layer, tuple(round(c, 3) for c in s.bounds)) for s in sheet.strokes if "mark" in s.layer]
        for one in wanted[number]:
            assert min(_apart(one, mark) for mark in marks) < 0.002, (number, one)
        words = [one.text for one in sheet.words]
        assert all(text in words for text in said[number])
        if wanted[number]:
            dxf.write(sheet, tmp_path / "a.dxf")
            layers = [entity.dxf.layer for entity in ezdxf.readfile(tmp_path / "a.dxf").modelspace()]
            upper = {"mark": "MARK", "mark_other": "MARK_OTHER_FACE"}
            for layer in {layer for layer, _ in wanted[number]}:
                assert layers.count(upper[layer]) >= sum(one[0] == layer for one in wanted[number])


def _apart(one: tuple[str, tuple[float, ...]], other: tuple[str, tuple[float, ...]]) -> float:
    if one[0] != other[0]:
        return math.inf
    return max(abs(a - b) for a, b in zip(one[1], other[1], strict=True))
