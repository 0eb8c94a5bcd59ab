"""The jig of a weldment: its shafts, posts and holes where they belong, by the solids; torch and release by planted
blocks. Rules: jig holds, jig torch, jig release."""

from __future__ import annotations

import json
import math
import pickle
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations, product
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from OCP.BRepAdaptor import BRepAdaptor_Surface
from shipped_parts import WELDED

from brackets import Part, Place, Vec, lip, plate, polygon, rectangle
from brackets.app.cli.app import main
from brackets.clearance.jig_checks import draws, jig_findings, lifts, reached, released
from brackets.core.errors import InputError
from brackets.core.vectors import cross, degrees_between, dot, length, sub, unit
from brackets.drawing.blank import blank
from brackets.drawing.cut_outs import TABLE as CUT_OUTS
from brackets.drawing.jig import EYE, RIGHT, SIZE, jig_sheet
from brackets.drawing.labels import through
from brackets.drawing.pictures import bounds_of
from brackets.drawing.record import Drawing, Title
from brackets.forming.shop import Torch
from brackets.forming.shop_file import default
from brackets.geometry.segments import Point
from brackets.kernel.hidden_lines import seen_pieces
from brackets.kernel.shared import shared
from brackets.kernel.solids import shape
from brackets.library.jig import jig, jig_of
from brackets.library.jig_pieces import TooLowError
from brackets.library.jig_values import JigValues
from brackets.library.jig_work import Jig
from brackets.library.recipe import recipe
from brackets.model.bores import bores_on
from brackets.model.extent import corners
from brackets.model.holes import Hole, Window
from brackets.model.landing import on_plate
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import Turned
from brackets.output.jig_files import JigMade
from brackets.rules.part import part_findings


def built(name: str, **values: object) -> Part:
    found = recipe(name)
    return found.build(found.Params(**values))


@cache
def made(name: str) -> Jig:
    return jig_of(built(name), JigValues())


def cylinders(piece: Piece) -> Iterator[tuple[Vec, Vec, float]]:
    """A point on the axis, its direction and the radius of each cylinder of a piece's solid, by the kernel."""
    for face in shape(piece).Faces():
        if face.geomType() == "CYLINDER":
            surface = BRepAdaptor_Surface(face.wrapped).Cylinder()
            at, way = surface.Axis().Location(), surface.Axis().Direction()
            yield (at.X(), at.Y(), at.Z()), (way.X(), way.Y(), way.Z()), surface.Radius()


def off(line: tuple[Vec, Vec, float], place: Place) -> tuple[float, float]:
    """mm from a line to the origin of a place, and degrees to its z, either way round."""
    at, way, _ = line
    turn = degrees_between(way, place.axis)
    return length(cross(sub(place.at, at), unit(way))), min(turn, 180.0 - turn)


def has_axis(piece: Piece, place: Place, r: float) -> bool:
    """Whether a cylinder of radius `r` of a solid lies on the z of a place within 0.01 mm and 0.01 deg."""
    return any(
        abs(line[2] - r) < 1e-6 and off(line, place)[0] < 0.01 and off(line, place)[1] < 0.01
        for line in cylinders(piece)
    )


def shares(found: Jig) -> list[tuple[str, str]]:
    """Pairs of pieces, one of them of the jig, that have metal in common by the kernel."""
    held, weldment = found.part.pieces, found.weldment.pieces
    pairs = [*combinations(held, 2), *product(held, weldment)]
    two = [Part(name="two", pieces=(one, replace(other, name=f"w/{other.name}"))) for one, other in pairs]
    return [(one.a, one.b) for part in two for one in shared(part)]


@pytest.mark.parametrize("name", WELDED)
def test_shafts_pins_uprights_and_bores_share_the_axis_of_their_bush(name: str) -> None:
    found = made(name)
    bushes = [one for one in found.held if one.kind in ("bush", "rail")]
    assert len(bushes) == len({one.seat for one in bushes})
    for one in bushes:
        bores = bores_on(found.weldment, one.place)
        seat = found.weldment.seat(one.seat)
        d = min(bore.now for bore in bores) - 0.2 if one.kind == "bush" else seat.d
        assert d is not None
        shaft, *uprights = (found.part.piece(by) for by in one.by)
        assert has_axis(shaft, seat.place, d / 2), one.seat
        assert all(has_axis(upright, seat.place, (d + 0.2) / 2) for upright in uprights)
        assert len(uprights) == (2 if shaft.name.startswith("shaft") else 0)
        for bore in bores:
            assert has_axis(found.weldment.piece(bore.piece), seat.place, bore.d / 2)


@pytest.mark.parametrize("name", WELDED)
def test_holes_of_posts_and_base_lie_under_the_holes_of_the_bosses(name: str) -> None:
    found = made(name)
    for one in [one for one in found.held if one.kind == "boss"]:
        seat = found.weldment.seat(one.seat)
        assert any(off(line, seat.place) < (0.01, 0.01) for line in cylinders(found.part.piece(one.by[0])))
        bores = bores_on(found.weldment, seat.place)
        assert bores
        assert all(has_axis(found.weldment.piece(bore.piece), seat.place, bore.d / 2) for bore in bores)
        # the face of the post, or of the base, is the boss's own
        top = max(p.Z for p in shape(found.part.piece(one.by[0])).Vertices())
        assert top == pytest.approx(seat.place.at[2], abs=1e-6)


@pytest.mark.parametrize("name", WELDED)
def test_everything_that_can_be_held_is_held_and_no_metal_is_shared(name: str) -> None:
    found = made(name)
    part = built(name)
    kinds = {"bush": "bush", "boss": "boss", "bolt": "boss", "round": "rail"}
    wanted = {(kinds[s.kind], tuple(round(c, 3) for c in s.place.at)) for s in part.seats if s.kind in kinds}
    assert len(wanted) == len([one for one in found.held if one.kind != "foot"])
    assert shares(found) == []


@pytest.mark.parametrize("name", WELDED)
def test_nothing_stops_the_jig_itself_in_the_sample_shop(name: str) -> None:
    said = part_findings(made(name).part, default())
    assert [str(one) for one in said if one.level == "stop"] == []



@given(st.floats(-60, 60), st.floats(-25, 25), st.floats(0.1, 1.0), st.sampled_from([20.0, 60.0]))
@settings(max_examples=10, deadline=None)
def test_an_axis_that_points_anywhere_is_held_by_a_shaft_through_uprights_square_to_it(
    tilt: float, turn: float, clearance: float, room: float
) -> None:
    a, b = math.radians(tilt), math.radians(turn)
    axis = (math.cos(a) * math.cos(b), math.cos(a) * math.sin(b), math.sin(a))
    found = recipe("cross_member")
    try:
        part = found.build(found.Params(bush_axis=axis))
    except InputError:
        assume(False)
    held = jig_of(part, JigValues(clearance=clearance, room=room))
    bushes = [one for one in held.held if one.kind == "bush"]
    assert [one.seat for one in bushes] == ["bush_left", "bush_right"]
    for one in bushes:
        seat = held.weldment.seat(one.seat)
        shaft, low, high = (held.part.piece(by) for by in one.by)
        for piece in (shaft, low, high):
            assert degrees_between(piece.place.axis, seat.place.axis) % 180.0 < 0.01
        assert length(cross(sub(shaft.place.at, seat.place.at), seat.place.axis)) < 0.01
        assert isinstance(low, Plate)
        # an upright stands on the base with one edge, and no metal of it but its tabs lies under z = 0
        feet = [low.place.point((x, y, z))[2] for x, y in low.wall.outline.points() for z in (0.0, low.t)]
        assert min(feet) == pytest.approx(-12.0, abs=1e-6)
        assert sum(abs(z) < 1e-6 for z in feet) >= 6


def test_an_upright_is_as_lean_as_its_shaft_and_share_nothing_with_weldment_and_base() -> None:
    found = recipe("cross_member")
    leaning = jig_of(found.build(found.Params(bush_axis=(0.9, 0.2, 0.4))), JigValues())
    assert shares(leaning) == []
    upright = leaning.part.piece("upright_1_low")
    assert abs(upright.place.axis[2]) == pytest.approx(0.4 / length((0.9, 0.2, 0.4)))


def test_a_bush_that_leans_towards_the_base_lifts_the_weldment_until_its_upright_has_metal_round_the_hole() -> None:
    found = recipe("stay")
    bosses = ((70, -90, 150), (-10, -90, 90), (-15, -90, 150))
    part = found.build(
        found.Params(
            bosses=bosses, normal=(0, -1, 0), bolt="M8", bush=(60, -140, 70), bush_axis=(1, 1, 0), bush_od=40,
            tube_from=(25, -98, 122), tube="25x2.5", cup_length=36, gussets=0,
        )
    )  # fmt: skip
    lifted = jig_of(part, JigValues())
    upright = lifted.part.piece("upright_1_low")
    assert isinstance(upright, Plate)
    (hole,) = upright.wall.openings
    assert isinstance(hole, Hole)
    # where its lower edge stands on the base, in the upright's own plane
    feet = [(x, y) for x, y in upright.wall.outline.points() if abs(upright.place.point((x, y, 0.0))[2]) < 1e-6]
    upper = upright.place @ Place((0.0, 0.0, upright.t))
    feet += [(x, y) for x, y in upright.wall.outline.points() if abs(upper.point((x, y, 0.0))[2]) < 1e-6]
    assert hole.at[1] - hole.d / 2 - max(y for _, y in feet) >= 15.0 - 1e-6
    posts = [held.place.at[2] for held in lifted.held if held.kind == "boss"]
    assert posts == pytest.approx([round(posts[0])] * 3)
    assert shares(lifted) == []
    least = f"height = 5 mm, must be {posts[0]:g} or more"
    with pytest.raises(InputError, match=least):
        jig_of(part, JigValues(height=5.0))
    typed = jig_of(part, JigValues(height=posts[0]))
    assert [held.place.at[2] for held in typed.held] == pytest.approx([held.place.at[2] for held in lifted.held])


def test_the_end_of_a_leaning_shaft_stays_over_the_base() -> None:
    found = recipe("stay")
    bosses = ((50, 90, 100), (-20, 90, 150), (50, 90, 150))
    part = found.build(
        found.Params(
            bosses=bosses, normal=(0, 1, 0), bolt="M8", bush=(-30, 170, 70), bush_axis=(1, 1, 0), bush_od=36,
            tube_from=(18, 98, 122), tube="31.75x2.5", edge=18, gussets=0,
        )
    )  # fmt: skip
    held = jig_of(part, JigValues())
    shaft = held.part.piece("shaft_1")
    assert isinstance(shaft, Turned)
    slack = shaft.steps[0].od / 2 * math.sqrt(0.5)
    ends = [shaft.place.point((0.0, 0.0, z))[2] - slack for z in (0.0, shaft.length)]
    assert min(ends) >= 2.0 - 0.2
    assert shares(held) == []


def test_a_height_that_leaves_no_metal_under_a_leaning_shaft_is_refused_as_it_is_typed(
    capsys: pytest.CaptureFixture[str],
) -> None:
    bosses = ["--bosses", "70,-90,150; -10,-90,90; -15,-90,150", "--normal", "0,-1,0", "--bolt", "M8"]
    bush = ["--bush", "60,-140,70", "--bush-axis", "1,1,0", "--bush-od", "40", "--cup-length", "36"]
    tube = ["--tube", "25x2.5", "--tube-from", "25,-98,122", "--gussets", "0"]
    assert main(["jig", "stay", *bosses, *bush, *tube, "--jig-height", "0", "--no-files"]) == 2
    assert "--jig-height = 0 mm, must be" in " ".join(capsys.readouterr().err.split())


def test_a_shaft_that_leans_too_far_for_any_height_is_refused_in_words(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("brackets.library.jig.LIFTS", 0)
    bosses = ["--bosses", "70,-90,150; -10,-90,90; -15,-90,150", "--normal", "0,-1,0", "--bolt", "M8"]
    bush = ["--bush", "60,-140,70", "--bush-axis", "1,1,0", "--bush-od", "40", "--cup-length", "36"]
    tube = ["--tube", "25x2.5", "--tube-from", "25,-98,122", "--gussets", "0"]
    assert main(["jig", "stay", *bosses, *bush, *tube, "--no-files"]) == 2
    assert "mm too low, must stand the weldment so high" in " ".join(capsys.readouterr().err.split())
    low = TooLowError(3.5)
    assert pickle.loads(pickle.dumps(low)).short == 3.5


def test_an_upright_stands_past_whatever_of_the_weldment_is_in_its_way() -> None:
    """Uprights begin 60 mm from the ears. A block there moves the one on its side to 2 mm past it, not the other; a
    block beside it moves none; a second one, behind the first, moves it again."""
    part = built("ears_on_base")
    free = [p.place.at[0] for p in made("ears_on_base").part.pieces if p.name.startswith("upright")]
    # the ears end at z = 29.25 of the part; the first block reaches to 119.25, the second from 121 to 151
    for x, second, far in ((0.0, False, 32.0), (80.0, False, 0.0), (0.0, True, 63.75)):
        blocks = [plate(rectangle(20, 20), 30, name="block", place=Place(at=(x, 0, 89.25)))]
        if second:
            blocks.insert(0, plate(rectangle(20, 20), 30, name="second", place=Place(at=(x, 0, 121.0))))
        found = jig_of(replace(part, pieces=(*part.pieces, *blocks)), JigValues())
        stands = [p.place.at[0] for p in found.part.pieces if p.name.startswith("upright")]
        assert stands[1] - stands[0] == pytest.approx(free[1] - free[0] + far)


def test_an_axis_square_to_the_plate_stands_on_a_pin_through_the_base() -> None:
    found = made("cup_on_plate")
    (pin,) = (piece for piece in found.part.pieces if piece.name == "pin_bush")
    spigot, shoulder, top = pin.steps  # type: ignore[attr-defined]
    cup = found.weldment.piece("cup/cup")
    assert top.od == pytest.approx(49.8)  # the tube's own bore of 50 less the clearance
    assert shoulder.length == pytest.approx(cup.place.at[2])  # the cup stands on the shoulder
    assert spigot.length == 12.0


@pytest.mark.parametrize(("off_upright", "held"), [(30.0, True), (29.9, False)])
def test_what_leans_too_little_from_upright_is_told_and_not_held(off_upright: float, held: bool) -> None:
    a = math.radians(off_upright)
    found = jig_of(built("cross_member"), JigValues(up=(math.cos(a), 0.0, math.sin(a))))
    assert ("bush_left" in [one.seat for one in found.held]) is held
    assert {"face_1", "face_2"} <= {piece.name for piece in found.part.pieces}  # bosses on two levels
    said = [one for one in found.findings if one.code == "jig holds" and one.piece == "bush_left"]
    if held:
        assert said == []
    else:
        [one] = said
        assert (one.level, one.unit, one.limit) == ("caution", "deg", 30.0)
        assert one.value == pytest.approx(29.9)
        assert "29.9 deg from upright, must be 30 or more, or square to the base" in one.sentence


def test_nothing_to_hold_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="part = adaptor, must be a weldment: it has no welds"):
        jig(built("adaptor"))
    bare = replace(built("ears_on_base"), seats=())
    with pytest.raises(InputError, match="must have a bush, a boss or a face to hold it by: it has 0 seats"):
        jig(bare)
    with pytest.raises(InputError, match=r"clearance = 5 mm, must be 0\.05 to 2"):
        jig(built("ears_on_base"), clearance=5.0)


def test_a_foot_on_the_base_is_told_to_be_clamped() -> None:
    [said] = made("ears_on_base").findings
    assert (said.code, said.level, said.piece) == ("jig holds", "advice", "foot")


def planted(found: Jig, *pieces: Plate) -> Jig:
    return replace(found, part=replace(found.part, pieces=(*found.part.pieces, *pieces)))


def box(name: str, low: Vec, high: Vec) -> Plate:
    x, y, z = sub(high, low)
    middle = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, low[2])
    return plate(rectangle(x, y), z, name=name, place=Place(at=middle))


def middle(found: Jig) -> tuple[float, float]:
    """x and y of the bush."""
    [one] = [one for one in found.held if one.kind == "bush"]
    return one.place.at[:2]


def test_shafts_draw_out_and_the_weldment_lifts_off() -> None:
    found = made("ears_on_base")
    assert list(released(found)) == []
    [shaft] = draws(found)
    assert shaft.free == shaft.length
    assert lifts(found).way == (0, 0, 1)


@pytest.mark.parametrize(("gap", "stops"), [(0.1, False), (-0.1, True)])
def test_a_jig_that_reaches_over_its_weldment_all_round_stops(gap: float, stops: bool) -> None:
    """The base of ears_on_base is 74.5 x 80 x 6: a fence round it, and over it a lip that ends `gap` beside it."""
    found = made("ears_on_base")
    xs = [p.X for p in shape(found.weldment.piece("base/base")).Vertices()]
    ys = [p.Y for p in shape(found.weldment.piece("base/base")).Vertices()]
    (a, b), (c, d) = (min(xs), max(xs)), (min(ys), max(ys))
    fence = [
        box("left", (a - 5, c - 1, 0), (a - 1, d + 1, 6)), box("right", (b + 1, c - 1, 0), (b + 5, d + 1, 6)),
        box("near", (a - 1, c - 5, 0), (b + 1, c - 1, 6)), box("far", (a - 1, d + 1, 0), (b + 1, d + 5, 6)),
    ]  # fmt: skip
    lip = box("lip", (a - 5, c - 5, 8), (a - gap, d + 5, 12))
    said = [one for one in released(planted(found, *fence, lip)) if one.piece == "weldment"]
    assert bool(said) is stops
    if stops:
        [one] = said
        assert (one.code, one.level, one.unit) == ("jig release", "stop", "mm")
        assert one.value is not None
        assert one.limit is not None
        assert one.value < one.limit
        assert "lip" in one.sentence


def test_a_shaft_with_a_wall_at_both_ends_stops() -> None:
    found = made("ears_on_base")
    low, high = draws(found)[0], found.part.piece("shaft_1")
    ends = [p.X for p in shape(high).Vertices()]
    y = middle(found)[1]
    one_side = [box("wall_1", (max(ends) + 1, y - 30, 0), (max(ends) + 6, y + 30, 90))]
    both = [*one_side, box("wall_2", (min(ends) - 6, y - 30, 0), (min(ends) - 1, y + 30, 90))]
    assert list(released(planted(found, *one_side))) == []
    assert dot(draws(planted(found, *one_side))[0].way, low.way) == pytest.approx(-1.0)
    [said] = released(planted(found, *both))
    assert (said.piece, said.code, said.level) == ("shaft_1", "jig release", "stop")
    assert said.value == pytest.approx(1.0, abs=0.02)


def test_the_torch_is_told_of_what_the_jig_keeps_it_from_and_of_nothing_else() -> None:
    """With 60 mm of room nothing of the ears' welds is lost; with 30 the outer ones are; what a wall between the
    ears takes is the jig's doing too."""
    assert list(reached(made("ears_on_base"), Torch())) == []
    near = jig_of(built("ears_on_base"), JigValues(room=30.0))
    said = list(reached(near, Torch()))
    assert [(one.piece, one.code, one.level) for one in said] == [
        ("ears/ear_front", "jig torch", "caution"), ("ears/ear_rear", "jig torch", "caution"),
    ]  # fmt: skip
    assert all("jig/upright_1" in one.sentence and one.value > 10 for one in said)  # type: ignore[operator]
    x, y = middle(near)
    assert middle(made("ears_on_base")) == (x + 30.0, y)
    wall = box("wall", (x + 22, y - 30, 6), (x + 38, y + 30, 30))
    said = list(reached(planted(made("ears_on_base"), wall), Torch()))
    assert len(said) == 2
    assert all("jig/wall" in one.sentence for one in said)


def test_all_is_said_together_and_metal_that_is_shared_stops() -> None:
    x, y = middle(made("ears_on_base"))
    found = planted(made("ears_on_base"), box("in_it", (x - 5, y - 5, 3), (x + 5, y + 5, 40)))
    said = jig_findings(found, Torch())
    assert said[0].level == "stop"
    assert {"overlap", "jig holds"} <= {one.code for one in said}
    thing = JigMade(of="x", jig=found, values=JigValues(), shop=default(), checked=said)
    assert thing.stops


def test_the_command_writes_a_jig_as_any_part(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    into = tmp_path / "jig"
    assert main(["jig", "ears_on_base", "--t", "8", "--jig-room", "70", "--into", str(into)]) == 0
    said = json.loads((into / "facts.json").read_text("utf-8"))
    assert {one["seat"] for one in said["held"]} == {"foot", "bush"}
    assert said["values"]["room"] == 70.0
    assert said["shafts"] == [
        {"pieces": ["shaft_1", "spacer_1_1", "spacer_1_2", "spacer_1_3"], "drawn_along": [1.0, 0.0, 0.0]}
    ]
    assert set(said["files"]) == {path.name for path in into.iterdir()}
    assert "ears_on_base_jig-base.dxf" in said["files"]
    assert "upright_1_low" in " ".join(capsys.readouterr().out.split())


def test_wrong_values_of_a_jig_are_refused_together(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jig", "ears_on_base", "--t", "99", "--jig-room", "-1", "--jig-base-t", "1", "--no-files"]) == 2
    said = " ".join(capsys.readouterr().err.split())
    for name in ("--jig-room = -1", "--jig-base-t = 1", "t = 99"):
        assert name in said
    assert main(["jig", "recipes/tern.toml", "--no-files"]) == 2
    assert "--part = nothing, must be given with a bay" in " ".join(capsys.readouterr().err.split())


def sheet_of(of: Jig) -> tuple[Drawing, float]:
    """The sheet of a jig, and mm of its picture for one of the jig."""
    (seen,) = seen_pieces((*of.part.pieces, *of.weldment.pieces), ((EYE, RIGHT),), (0.0, 0.0, 0.0))
    left, low, right, high = bounds_of(seen)
    return jig_sheet(of, Title(part="x"), seen), SIZE / max(right - left, high - low)


def drawn_along(sheet: Drawing, a: Point, b: Point) -> float:
    """mm of thin lines that lie within 0.1 mm of the line through two points of the picture."""

    def off(p: Point) -> float:
        return abs((p[0] - a[0]) * (b[1] - a[1]) - (p[1] - a[1]) * (b[0] - a[0])) / math.dist(a, b)

    thin = [line for one in sheet.strokes if one.layer == "leader" for line in one.segments]
    return sum(math.dist(line.a, line.b) for line in thin if off(line.a) < 0.1 and off(line.b) < 0.1)


def test_the_picture_of_a_jig_hides_what_lies_behind() -> None:
    """Of the base, a plate: its lower edge in front is drawn, the one behind is not."""
    sheet, scale = sheet_of(made("ears_on_base"))
    xs, ys, zs = zip(*corners(made("ears_on_base").part.piece("base")), strict=True)
    found = []
    for x in (min(xs), max(xs)):
        ends = [(x, y, min(zs)) for y in (min(ys), max(ys))]
        a, b = ((scale * dot(p, RIGHT), scale * dot(p, cross(EYE, RIGHT))) for p in ends)
        found.append(drawn_along(sheet, a, b))
    assert found[0] == 0
    assert found[1] > 20


@pytest.mark.parametrize("name", ["cross_member", "ears_on_base", "stay"])
def test_words_on_the_picture_of_a_jig_lie_on_no_line(name: str) -> None:
    sheet, _ = sheet_of(made(name))
    for words in sheet.words:
        for stroke in sheet.strokes:
            for edge in stroke.segments:
                points = edge.points(0.1)
                assert not any(through(words.box, a, b) for a, b in zip(points, points[1:], strict=False)), words


def test_the_slots_of_the_base_are_in_its_table() -> None:
    """A tab is 20 wide and as thick as its upright, 8; a slot has 0.2 more, 0.1 on either side of the tab."""
    found = made("ears_on_base")
    base = found.part.piece("base")
    assert isinstance(base, Plate)
    sheet = blank(base, Title(part="x"), landed=on_plate(base, found.part))
    tables = {table.heading: table for table in sheet.tables}
    cut = tables[CUT_OUTS]
    assert [(row[0], row[5]) for row in cut.rows] == [
        (f"tab of upright_1_{end}", "20.2 x 8.2") for end in ("low", "low", "high", "high")
    ]
    stands = {row[2:4] for row in tables["What stands on it, mm from the left and the lower edge"].rows}
    for row in cut.rows:
        low, high, left, right = map(float, row[1:5])
        assert (f"{low + 0.1:.2f}", f"{high - 0.1:.2f}") in stands
        assert right - left == pytest.approx(20.2)


def test_a_slanted_cut_out_has_its_sides_and_its_turn() -> None:
    """10 x 4 at 30 degrees about (20, 15) of a plate 80 x 40 from its lower left corner; one of a flange is where
    it lies on the flat: r 3, t 2, so the flange begins past the base by its bend allowance."""
    turned = polygon(
        [(-20 + x * math.cos(math.pi / 6) - y / 2, -5 + x / 2 + y * math.cos(math.pi / 6))
         for x, y in ((-5, -2), (5, -2), (5, 2), (-5, 2))]
    )  # fmt: skip
    wall = Wall(outline=rectangle(80, 40), openings=(Window(outline=turned, name="strap"),))
    [table] = [t for t in blank(Plate(name="p", t=5, wall=wall), Title(part="x")).tables if t.heading == CUT_OUTS]
    assert table.rows[0][0] == "strap"
    assert table.rows[0][5] == "10 x 4 at 30.0°, middle 20.00, 15.00"
    edge = lip((40, 20), (40, -20), t=2, length=30, inside_radius=3)
    hole = Window(outline=rectangle(6, 4, centre=(20, 10)), name="hook")
    flange = replace(edge, wall=replace(edge.wall, openings=(hole,)))
    angle = Folded(name="angle", base=Wall(outline=rectangle(80, 40)), flanges=(flange,), t=2, k=0.42)
    [table] = [one for one in blank(angle, Title(part="x")).tables if one.heading == CUT_OUTS]
    low = 80 + math.pi / 2 * (3 + 0.42 * 2) + 10 - 2
    assert table.rows == (("hook", f"{low:.2f}", f"{low + 4:.2f}", "17.00", "23.00", "6 x 4", ""),)


def test_a_direction_on_the_sheet_of_a_jig_is_named_by_its_axis() -> None:
    found = recipe("cross_member")
    leaning = jig_of(found.build(found.Params(bush_axis=(0.9, 0.2, 0.4))), JigValues())
    along = {row[0]: row[4] for row in sheet_of(leaning)[0].tables[0].rows}
    assert along["boss_1"] in ("+z", "-z")
    assert re.fullmatch(r"-?0\.\d{3}, -?0\.\d{3}, -?0\.\d{3}", along["bush_left"])
