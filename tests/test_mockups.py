"""Printed mock-ups: what is fused, grown, cut, marked and laid down is the part again, and goes on the bed."""

from __future__ import annotations

import contextlib
import math
import random
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path

import lib3mf
import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold, OpType
from values import sample

import brackets
from brackets import (
    Hole,
    Part,
    Plate,
    Printer3D,
    Slot,
    Step,
    Tube,
    Turned,
    Wall,
    made,
    mockup,
    printer_test,
    recipe,
    recipes,
)
from brackets.forming.printer_3d import BAR
from brackets.geometry.shapes import rectangle
from brackets.mockups.as_printed import as_printed
from brackets.mockups.engrave import DEPTH, HEIGHTS
from brackets.mockups.faces import Flat, Near, Round, mates
from brackets.mockups.files import write
from brackets.mockups.gauge import PLATE, RIM, Face, gauges
from brackets.mockups.joints import DEEP, SHORT, pin_body, plug_body, socket
from brackets.mockups.letters import STROKE, height_for, lettering, size
from brackets.mockups.lie import best, measured, turns
from brackets.mockups.printed import WORDS
from brackets.mockups.record import BETWEEN, MockUp, Printed, packed
from brackets.mockups.solid import fused, shells
from brackets.mockups.split import split
from brackets.model.mass import volume
from brackets.model.weld import Along, Weld
from brackets.output.items import Item
from brackets.output.three_mf import write as write_3mf

NAMES = [getattr(one, "name", one) for one in recipes()]
SMALL = Printer3D(bed=(130.0, 130.0, 60.0))
OFF = 0.011
"""mm: the mesh is within 0.01 of the solid; what is over is rounding."""


@cache
def part_of(name: str) -> Part:
    opened = recipe(name)
    return made(opened, opened.Params()).part


def plate(
    *openings: Hole | Slot, t: float = 6.0, size: tuple[float, float] = (100.0, 60.0), name: str = "p"
) -> Plate:
    return Plate(name=name, t=t, wall=Wall(outline=rectangle(*size), openings=openings))


def one(piece: Plate | Tube | Turned, *more: Plate | Tube | Turned) -> Part:
    return Part(name="job", pieces=(piece, *more))


# --- the printer ---


def test_without_a_test_print_a_hole_grows_by_the_usual_allowance_and_nothing_is_scaled() -> None:
    printer = Printer3D()
    assert printer.scale == (1.0, 1.0, 1.0)
    assert (printer.hole_allowance(10), printer.bush_allowance(50), printer.pin_allowance(5)) == (0.3, 0.3, 0.0)
    assert replace(printer, bush=0.1).bush_allowance(50) == 0.1


def test_bars_scale_and_what_a_hole_lacks_after_that_is_its_allowance() -> None:
    """Bars of 99.5 shrink all by 0.5 %: a 10 mm hole that came out 9.6 lacks 9.95 - 9.6."""
    printer = Printer3D(bars=(99.5, 99.5, 100.2), holes=((10.0, 9.6), (20.0, 19.75)), pins=((8.0, 8.06),))
    assert printer.scale == pytest.approx((100 / 99.5, 100 / 99.5, 100 / 100.2))
    assert printer.hole_allowance(10) == pytest.approx(0.35)
    assert printer.hole_allowance(15) == pytest.approx((0.35 + 0.15) / 2)
    assert printer.hole_allowance(3) == pytest.approx(0.35)
    assert printer.hole_allowance(90) == pytest.approx(0.15)
    assert printer.pin_allowance(8) == pytest.approx(8.06 - 7.96)


# --- what grows ---


def test_holes_slots_and_bores_grow_in_closed_form_and_windows_do_not() -> None:
    hole = Hole(at=(-20, 0), d=11, kind="boss", bolt="M10")
    bore = Hole(at=(20, 0), d=20, kind="bore")
    slot = Slot(a=(0, 20), b=(12, 20), d=9)
    printer = Printer3D(hole=0.4, bush=0.1)
    taken = volume(plate(hole, bore, slot)) - volume(
        as_printed(one(plate(hole, bore, slot)), printer).part.pieces[0]
    )
    circle = math.pi / 4 * ((11.4**2 - 11**2) + (20.1**2 - 20**2) + (9.4**2 - 9**2)) + 12 * 0.4
    assert taken == pytest.approx(6 * circle, rel=1e-9)


def test_a_bore_for_a_bush_has_the_allowance_of_bushes_and_a_solid_bar_has_none() -> None:
    cup = part_of("cup").pieces[0]
    assert isinstance(cup, Turned)
    grown = as_printed(one(cup), Printer3D(hole=0.4, bush=0.2)).part.pieces[0]
    assert isinstance(grown, Turned)
    assert grown.steps[0].bore == pytest.approx(cup.steps[0].bore + (0.2 if cup.bush else 0.4))
    bar = Turned(name="bar", steps=(Step(length=30, od=12),))
    assert as_printed(one(bar), Printer3D()).part.pieces[0] == bar


@pytest.mark.parametrize(("od", "grows"), [(19.96, False), (20.0, False), (19.9, True)])
def test_a_bore_that_another_piece_fills_stays_and_they_are_one_body(od: float, grows: bool) -> None:
    sheet = plate(Hole(at=(10, 5), d=20, kind="bore"))
    tube = Tube(name="t", od=od, wall=2, length=40, place=brackets.Place((10, 5, -10)))
    drawn = as_printed(one(sheet, tube), Printer3D()).part
    piece = drawn.pieces[0]
    assert isinstance(piece, Plate)
    assert [o.d for o in piece.wall.openings if isinstance(o, Hole)] == [20.3 if grows else 20]
    elsewhere = replace(tube, place=brackets.Place((10.2, 5, -10)))
    moved = as_printed(one(sheet, elsewhere), Printer3D()).part.pieces[0]
    assert isinstance(moved, Plate)
    assert isinstance(moved.wall.openings[0], Hole)
    assert moved.wall.openings[0].d == 20.3
    if od == 20.0:
        assert [len(body.names) for body in fused(drawn)] == [2]


def test_a_pivot_hole_is_drawn_finished_and_not_under_size() -> None:
    pivot = Hole(at=(0, 0), d=12.1, kind="pivot", bolt="M12")
    grown = as_printed(one(plate(pivot)), Printer3D(hole=0.3)).part.pieces[0]
    assert isinstance(grown, Plate)
    assert isinstance(grown.wall.openings[0], Hole)
    assert grown.wall.openings[0].now == pytest.approx(12.4)


@pytest.mark.parametrize(("asked", "t"), [(5.999, 6.0), (6.0, 6.0), (6.001, 6.001)])
def test_only_a_wall_under_the_least_grows_half_to_either_side(asked: float, t: float) -> None:
    drawn = as_printed(one(plate()), Printer3D(), least_wall=asked)
    piece = drawn.part.pieces[0]
    assert isinstance(piece, Plate)
    assert piece.t == t
    assert piece.place.at[2] == pytest.approx(-(t - 6) / 2)
    assert [g.outwards for g in drawn.grown] == ([pytest.approx((t - 6) / 2)] if t > 6 else [])


def test_a_tube_grows_inwards_and_keeps_a_bore_and_a_cup_outwards() -> None:
    tube = Tube(name="t", od=20, wall=1.5, length=60)
    cup = Turned(name="c", steps=(Step(length=30, od=54, bore=50),))
    drawn = as_printed(one(tube, cup), Printer3D(hole=0.0), least_wall=3.0)
    thick, round_ = drawn.part.pieces
    assert isinstance(thick, Tube)
    assert isinstance(round_, Turned)
    assert (thick.od, thick.wall) == (20, 3.0)
    assert (round_.steps[0].od, round_.steps[0].bore) == (56.0, 50.0)
    assert [(g.piece, g.outwards) for g in drawn.grown] == [("t", 0.0), ("c", 1.0)]
    full = as_printed(one(tube), Printer3D(), least_wall=40.0).part.pieces[0]
    assert isinstance(full, Tube)
    assert full.bore == pytest.approx(1.0)


# --- one body ---


def test_pieces_that_touch_are_one_body_and_those_that_do_not_are_two() -> None:
    base = plate()
    on_it = replace(plate(size=(6.0, 40.0), t=30.0, name="ear"), place=brackets.Place((0, 0, 6)))
    above = replace(on_it, place=brackets.Place((0, 0, 7)))
    assert [len(body.names) for body in fused(one(base, on_it))] == [2]
    assert [len(body.names) for body in fused(one(base, above))] == [1, 1]


def test_what_a_weld_joins_over_air_is_held_by_a_bead() -> None:
    base = plate()
    ear = replace(plate(size=(6.0, 40.0), t=30.0, name="ear"), place=brackets.Place((0, 0, 6.8)))
    edge = Along(start=(-3, -20), end=(-3, 20), face="low")
    weld = Weld(piece="ear", onto="p", edge=edge, leg=4)
    bodies = fused(Part(name="job", pieces=(base, ear), welds=(weld,)))
    assert [body.beads for body in bodies] == [(("ear", "p"),)]
    assert shells(bodies[0].solid) == 1
    done = mockup(Part(name="job", pieces=(base, ear), welds=(weld,)))
    assert [f.code for f in done.findings if f.piece == "ear | p"] == ["print bead"]


def test_a_loose_piece_is_a_body_of_its_own_though_it_touches() -> None:
    shim = replace(plate(size=(20.0, 20.0), t=1.0, name="shim"), place=brackets.Place((0, 0, 6)))
    part = Part(name="job", pieces=(plate(), shim), loose=("shim",))
    assert [body.names for body in fused(part)] == [("p",), ("shim",)]


@pytest.mark.parametrize("name", NAMES)
def test_a_shipped_recipe_is_watertight_one_body_an_item_and_the_volume_of_its_record(name: str) -> None:
    part, printer = part_of(name), Printer3D(bed=(900.0, 900.0, 900.0))
    done = mockup(part, printer)
    holds(done, part, printer)


def holds(done: MockUp, part: Part, printer: Printer3D) -> None:
    """Every body closed, one, within the bed; all of them together the closed form less the words, but for what
    triangles may lie off the solid."""
    record = sum(volume(piece) for piece in as_printed(part, printer).part.pieces)
    whole = fused(as_printed(part, printer).part)
    skin = sum(body.solid.surface_area() for body in whole)
    beads = sum(len(body.beads) for body in whole)
    if not beads:
        assert sum(body.solid.volume() for body in whole) == pytest.approx(record, abs=OFF * skin)
    for body in done.bodies:
        mesh = trimesh.Trimesh(body.mesh.vertices, body.mesh.faces, process=False)
        assert mesh.is_watertight, body.name
        assert mesh.volume == pytest.approx(body.volume, rel=1e-9)
        assert shells(body.solid) == 1, body.name
        assert all(s <= most + 1e-6 for s, most in zip(body.size, printer.room, strict=True)), body.name
        assert body.solid.bounding_box()[:3] == pytest.approx((0, 0, 0), abs=1e-9)
    asked = [w.lines for body in done.bodies for w in body.written]
    missing = [f for f in done.findings if f.code == "print words"]
    assert missing or all(any(word in lines for lines in asked) for word in WORDS)


@pytest.mark.fuzz
def test_random_recipes_too(fuzz: int, rng: Callable[[int], random.Random]) -> None:
    for number in range(fuzz):
        chance = rng(number)
        opened = recipe(chance.choice(NAMES))
        try:
            part = made(opened, opened.Params(**sample(opened.Params, chance))).part
        except brackets.InputError:
            continue
        printer = replace(Printer3D(), bed=tuple(chance.choice((130.0, 200.0, 300.0)) for _ in range(3)))
        done = mockup(part, printer)
        holds(done, part, printer)
        for body in fused(as_printed(part, SMALL).part):
            with contextlib.suppress(brackets.InputError):  # more cuts than it makes
                gives_back(body.solid, SMALL, part.name)


def test_pieces_apart_are_a_body_each() -> None:
    done = mockup(part_of("ears_on_base"), apart=True)
    assert [body.pieces for body in done.bodies] == [(piece.name,) for piece in part_of("ears_on_base").pieces]
    assert not [f for f in done.findings if f.code == "print apart"]


def test_equal_values_have_equal_names_and_other_values_another_hash() -> None:
    first, second = (mockup(part_of("gusset")).bodies[0].written for _ in range(2))
    assert first == second
    opened = recipe("gusset")
    other = mockup(made(opened, opened.Params(t=6)).part).bodies[0].written
    hashes = [[w.lines for w in written][1] for written in (first, other)]
    assert hashes[0] != hashes[1]


# --- cut to the bed ---


@pytest.mark.parametrize("name", ["adaptor", "fork", "strut", "ears_on_base"])
def test_halves_with_their_sockets_filled_are_the_whole_again_and_each_goes_on_the_bed(name: str) -> None:
    (whole,) = fused(as_printed(part_of(name), SMALL).part)
    assert gives_back(whole.solid, SMALL, name) > 1


def gives_back(whole: Manifold, printer: Printer3D, name: str) -> int:
    """How many halves it is cut into: with their sockets filled they are the whole again, each goes on the bed, and
    pins and plugs stand in them with the room asked."""
    lying = best(whole)
    cut = split(whole, lying.turn, printer, name=name)
    plugs = [socket(pin) for joint in cut.joints for pin in joint.pins]
    back = Manifold.batch_boolean([*(half.solid for half in cut.halves), *plugs], OpType.Add)
    differs = (back - whole).volume() + (whole - back).volume()
    assert differs / whole.surface_area() < 0.01
    for half in cut.halves:
        box = half.solid.transform(np.column_stack((lying.turn, np.zeros(3)))).bounding_box()
        room = [most / by for most, by in zip(printer.room, printer.scale, strict=True)]
        assert all(box[i + 3] - box[i] <= room[i] + 2e-3 for i in range(3))
        assert shells(half.solid) == 1
    sides = [mark for half in cut.halves for mark in half.marks]
    for joint in cut.joints:
        assert {f"{joint.name}1", f"{joint.name}2"} <= set(sides)
        for pin in joint.pins:
            room_round = printer.joint + printer.hole_allowance(pin.d) + printer.pin_allowance(pin.d)
            assert pin.socket - pin.drawn == pytest.approx(room_round)
            assert pin.length == pytest.approx(2 * (DEEP * pin.d - SHORT))
            alone = pin_body(pin)
            assert max((alone ^ half.solid).volume() for half in cut.halves) < 1e-6
            assert (alone - whole).volume() < 1e-6
        for plug in joint.plugs:
            assert max((plug_body(plug) ^ half.solid).volume() for half in cut.halves) < 1e-6
    return len(cut.halves)


def test_a_pin_and_its_socket_differ_by_the_room_asked_and_what_the_printer_is_off() -> None:
    printer = replace(SMALL, joint=0.15, holes=((5.0, 4.8),), pins=((5.0, 5.1),))
    (whole,) = fused(part_of("adaptor"))
    cut = split(whole.solid, best(whole.solid).turn, printer)
    assert {round(p.socket - p.drawn, 9) for joint in cut.joints for p in joint.pins} == {0.45}


@pytest.mark.parametrize(("t", "d"), [(5.9, 2.0), (6.0, 3.0), (7.9, 4.0), (8.0, 5.0), (4.8, None), (5.0, 2.0)])
def test_the_pin_is_the_largest_that_leaves_three_lines_of_plastic_round_it(t: float, d: float | None) -> None:
    """A socket of d + 0.5 with 1.2 mm on both sides: 3 wants 5.9 mm and a little for its flats, 2 wants 4.9."""
    bar = fused(one(plate(t=t, size=(180.0, 50.0))))[0].solid
    cut = split(bar, np.eye(3), replace(SMALL, bed=(130.0, 130.0, 60.0)))
    assert {pin.d for joint in cut.joints for pin in joint.pins} == ({d} if d else set())
    assert sum(joint.bare for joint in cut.joints) == (0 if d else 1)


def test_a_thin_tube_gets_a_plug_in_its_bore_and_is_told_that_it_turns() -> None:
    tube = one(Tube(name="t", od=30, wall=2, length=160))
    done = mockup(tube, replace(SMALL, bed=(130.0, 130.0, 130.0)))
    plugs = [body for body in done.bodies if body.kind == "plug"]
    assert len(plugs) == 1
    assert plugs[0].size[0] == pytest.approx(26 - 0.2 - 0.3, abs=0.1)
    assert [f.level for f in done.findings if f.code == "print joint"] == ["advice"]


def test_a_bed_that_takes_it_exactly_cuts_nothing_and_one_a_hair_less_does() -> None:
    part = one(plate(size=(100.0, 60.0)))
    fits = Printer3D(bed=(110.0, 70.0, 6.0))
    assert [f.code for f in mockup(part, fits).findings] == ["print trial"]
    done = mockup(part, replace(fits, bed=(109.99, 70.0, 6.0)))
    assert [f.code for f in done.findings] == ["print bed", "print trial"]
    assert done.findings[0].value == pytest.approx(100)
    assert done.findings[0].limit == pytest.approx(99.99)


def test_a_bed_that_would_want_too_many_cuts_is_refused() -> None:
    with pytest.raises(
        brackets.InputError, match=r"^bed = 20 x 20 x 20 mm, must be larger: job wants over 40 cuts$"
    ):
        mockup(one(plate(size=(600.0, 600.0))), Printer3D(bed=(30, 30, 20)))


def test_the_scale_counts_when_it_is_cut_to_the_bed() -> None:
    part = one(plate(size=(100.0, 60.0)))
    shrinks = Printer3D(bed=(110.2, 80.0, 20.0), bars=(99.5, 99.5, 99.5), holes=((10, 9.95),))
    done = mockup(part, shrinks)
    assert len([body for body in done.bodies if body.kind == "body"]) == 2
    whole = mockup(part, replace(shrinks, bed=(120.0, 80.0, 20.0)))
    assert whole.bodies[0].size == pytest.approx((100 * BAR / 99.5, 60 * BAR / 99.5, 6 * BAR / 99.5))


# --- how it lies ---


def test_support_is_the_air_under_a_table_top_down_to_the_bed() -> None:
    """A top of 60 x 60 x 6 on a leg of 20 x 20 x 40: under it (60² - 20²) 40 mm³, less what 45 degrees hold up."""
    top = Manifold.cube((60, 60, 6)).translate((-30, -30, 40))
    table = top + Manifold.cube((20, 20, 40)).translate((-10, -10, 0))
    upright = measured(table, np.eye(3))
    assert upright.support == pytest.approx((60**2 - 20**2) * 40, rel=0.06)
    assert upright.contact == pytest.approx(400)
    assert upright.height == pytest.approx(46)
    lying = best(table)
    assert lying.support == pytest.approx(0, abs=1)
    assert lying.contact == pytest.approx(3600)


def test_a_wall_that_leans_out_by_less_than_45_degrees_needs_nothing_under_it() -> None:
    def cone(out: float) -> float:
        return measured(Manifold.cylinder(40, 10, 10 + out, 96), np.eye(3)).support

    assert cone(39.0) == pytest.approx(0, abs=60)
    assert cone(60.0) > 20_000


def test_each_measure_chooses_its_own_side() -> None:
    """A block of 10 x 30 x 50: lowest on its largest side, which has the most contact too."""
    block = Manifold.cube((10, 30, 50))
    assert best(block, "height").height == pytest.approx(10)
    assert best(block, "contact").contact == pytest.approx(1500)
    table = Manifold.cube((60, 60, 6)).translate((-30, -30, 40)) + Manifold.cube((20, 20, 40)).translate(
        (-10, -10, 0)
    )
    assert {round(lying.height) for lying in (measured(table, turn) for turn in turns(table))} >= {46, 60}
    assert best(table, "height").height == pytest.approx(46)


# --- words ---


def test_words_take_their_own_area_times_their_depth() -> None:
    part = one(plate(size=(120.0, 80.0)))
    done = mockup(part)
    (written,) = done.bodies[0].written
    assert written.height == HEIGHTS[0]
    area = lettering(written.lines, written.height).area()
    whole = fused(as_printed(part, Printer3D()).part)[0].solid.volume()
    assert whole - done.bodies[0].volume == pytest.approx(area * DEPTH, rel=1e-6)


def test_words_stay_off_seats_and_off_what_lies_under_washers() -> None:
    for name in ("adaptor", "ears_on_base", "stud_arm"):
        part = as_printed(part_of(name), Printer3D()).part
        before, after = fused(part)[0].solid, mockup(part_of(name), Printer3D(bed=(900, 900, 900))).bodies[0].home
        gone = before - after
        for seat in mates(part).seats:
            at = seat.place.point((0, 0, -DEPTH / 2))
            near = gone ^ Manifold.sphere(DEPTH / 4).translate(at)
            assert near.is_empty(), (name, seat.name)
        for place, opening in mates(part).bolted:
            if isinstance(opening, Hole) and opening.washer_od is not None:
                rod = Manifold.cylinder(60, opening.washer_od / 2, center=True)
                matrix = np.array((place @ brackets.Place((*opening.at, 0.0))).matrix())[:3]
                assert (gone ^ rod.transform(matrix)).volume() < 1e-6, (name, opening)


def test_no_stroke_is_finer_than_the_nozzle() -> None:
    assert height_for(0.4) == 2.1
    assert STROKE * height_for(0.4) >= 0.4 - 1e-9 > STROKE * (height_for(0.4) - 0.1)
    done = mockup(part_of("ears"), Printer3D(nozzle=0.8))
    assert all(STROKE * w.height >= 0.8 - 1e-9 for body in done.bodies for w in body.written)


def test_words_there_is_no_room_for_are_said() -> None:
    done = mockup(one(plate(size=(16.0, 12.0))))
    (finding,) = [f for f in done.findings if f.code == "print words"]
    assert finding.level == "caution"
    assert "NEVER LOAD" in finding.sentence
    assert done.bodies[0].volume < 16 * 12 * 6 + 1e-6


def test_letters_are_as_wide_as_they_are_said_to_be() -> None:
    for line in ("FIT CHECK ONLY", "NEVER NEAR HEAT", "Ag8%"):
        x0, _, x1, _ = lettering([line], 10.0).bounds()
        wide, tall = size([line], 10.0)
        assert 0 <= x0 < x1 <= wide
        assert tall == 10.0
    assert lettering(["漢"], 5.0).area() == pytest.approx(lettering(["?"], 5.0).area())


def test_a_round_outside_is_written_on_where_there_is_no_flat() -> None:
    done = mockup(part_of("cup"))
    assert [w.lines[0] for w in done.bodies[0].written] == ["CUP"]
    part = part_of("cup")
    gone = fused(as_printed(part, Printer3D()).part)[0].solid - done.bodies[0].home
    step = part.pieces[0].steps[0]  # type: ignore[attr-defined]
    r = np.hypot(*np.array(gone.to_mesh64().vert_properties)[:, :2].T)
    assert r.min() >= step.od / 2 - DEPTH - 0.03
    area = lettering(done.bodies[0].written[0].lines, done.bodies[0].written[0].height).area()
    assert gone.volume() == pytest.approx(area * DEPTH, rel=0.05)


# --- beds and files ---


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.floats(2, 180), st.floats(2, 180), st.integers(1, 3)), min_size=1, max_size=12))
def test_bodies_on_a_bed_keep_apart_and_within_its_edge(sizes: list[tuple[float, float, int]]) -> None:
    printer = Printer3D()
    bodies = [
        Printed(name=f"b{i}", kind="body", solid=(cube := Manifold.cube((x, y, 5))), home=cube, part="p", count=n)
        for i, (x, y, n) in enumerate(sizes)
    ]
    beds = packed(bodies, printer)
    assert sum(len(bed) for bed in beds) == sum(n for *_, n in sizes)
    for bed in beds:
        boxes = [(*one.at, one.at[0] + one.body.size[0], one.at[1] + one.body.size[1]) for one in bed]
        for i, (x0, y0, x1, y1) in enumerate(boxes):
            assert x0 >= printer.edge - 1e-9
            assert y0 >= printer.edge - 1e-9
            assert x1 <= printer.bed[0] - printer.edge + 1e-6
            assert y1 <= printer.bed[1] - printer.edge + 1e-6
            for a0, b0, a1, b1 in boxes[i + 1 :]:
                assert max(a0 - x1, x0 - a1, b0 - y1, y0 - b1) >= BETWEEN - 1e-6


def test_3mf_is_read_by_two_readers_and_is_the_same_twice(tmp_path: Path) -> None:
    done = mockup(part_of("stud_arm"), SMALL)
    names = write(done, tmp_path / "a")
    assert write(done, tmp_path / "b") == names
    for name in names:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes(), name
    beds = [name for name in names if name.endswith(".3mf")]
    assert len(beds) == len(done.beds)
    for name, bed in zip(beds, done.beds, strict=True):
        wanted = sorted(laid.body.name for laid in bed)
        scene = trimesh.load(tmp_path / "a" / name)
        assert scene.units == "millimeter"
        assert sorted({row.rpartition("_")[0] or row for row in scene.geometry}) or wanted
        assert all(mesh.is_watertight and mesh.body_count == 1 for mesh in scene.geometry.values())
        model = lib3mf.get_wrapper().CreateModel()
        reader = model.QueryReader("3mf")
        reader.ReadFromFile(str(tmp_path / "a" / name))
        assert reader.GetWarningCount() == 0
        assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
        items, found = model.GetBuildItems(), []
        while items.MoveNext():
            found.append(items.GetCurrent().GetObjectResource().GetName())
        assert sorted(found) == wanted
        meshes = model.GetMeshObjects()
        while meshes.MoveNext():
            assert meshes.GetCurrentMeshObject().IsManifoldAndOriented()


def test_an_stl_of_a_body_is_the_body_and_the_facts_say_its_volume(tmp_path: Path) -> None:
    done = mockup(part_of("fork"))
    names = write(done, tmp_path / "a")
    (stl,) = [name for name in names if name.endswith(".stl")]
    mesh = trimesh.load(tmp_path / "a" / stl)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(done.bodies[0].volume, rel=1e-4)
    said = done.record()["bodies"][0]
    assert said["volume_mm3"] == done.bodies[0].volume
    assert said["size_mm"] == list(done.bodies[0].size)


def test_a_3mf_of_nothing_is_refused(tmp_path: Path) -> None:
    with pytest.raises(brackets.InputError, match=r"^items = none, must be one or more: bodies of a 3MF file$"):
        write_3mf([], tmp_path / "x.3mf", title="t")
    body = mockup(one(plate())).bodies[0]
    moved = Item("b", body.mesh, brackets.Place((10, 20, 0), (0, 0, 1), (-1, 0, 0)))
    write_3mf([moved], tmp_path / "x.3mf", title="t")
    low, high = trimesh.load(tmp_path / "x.3mf").bounds
    assert low == pytest.approx((10 - 60, 20, 0), abs=1e-4)
    assert high == pytest.approx((10, 20 + 100, 6), abs=1e-4)


def test_the_estimate_of_plastic_is_lines_round_the_outside_and_a_part_of_the_rest() -> None:
    cube = Manifold.cube((50, 50, 50))
    body = Printed(name="b", kind="body", solid=cube, home=cube, part="p", count=2)
    printer = Printer3D(lines=2, nozzle=0.5, fill=0.2, density=1000, filament=2.0)
    skin = 6 * 50 * 50 * 1.0
    done = MockUp(name="m", printer=printer, bodies=(body,))
    assert done.plastic == pytest.approx(2 * (skin + 0.2 * (50**3 - skin)))
    assert done.kg == pytest.approx(done.plastic * 1e-6)
    assert done.metres == pytest.approx(done.plastic / math.pi / 1000)


# --- findings, the test print, the gauge ---


@pytest.mark.parametrize(("t", "said"), [(0.79, True), (0.8, False)])
def test_a_wall_under_two_lines_of_the_nozzle_is_a_caution(t: float, said: bool) -> None:
    found = [f for f in mockup(one(plate(t=t))).findings if f.code == "print wall"]
    assert [(f.level, f.value, f.limit) for f in found] == ([("caution", t, 0.8)] if said else [])


def test_a_measured_hole_ends_the_advice_to_print_the_test_print() -> None:
    codes = [
        [f.code for f in mockup(one(plate()), p).findings] for p in (Printer3D(), Printer3D(holes=((8, 7.8),)))
    ]
    assert codes == [["print trial"], []]


def test_wrong_values_are_refused_together() -> None:
    with pytest.raises(brackets.InputError) as wrong:
        mockup(one(plate()), lie="flat", least_wall=0.0)  # type: ignore[arg-type]
    assert wrong.value.problems == (
        'lie = "flat", must be support, height, contact: what is best on the bed',
        "least_wall = 0 mm, must be over 0: what thin walls are brought to",
    )


def test_the_test_print_measures_what_it_says() -> None:
    bars, holes, pins = printer_test().bodies
    assert bars.size == pytest.approx((100, 100, 100))
    area = holes.solid.slice(3.0)
    open_ = sorted(-ring for ring in map(ring_area, area.to_polygons()) if ring < 0)
    assert [2 * math.sqrt(a / math.pi) for a in open_] == pytest.approx([5, 8, 10, 12, 20], rel=1e-3)
    tops = sorted(map(ring_area, pins.solid.slice(12.0).to_polygons()))
    assert [2 * math.sqrt(a / math.pi) for a in tops] == pytest.approx([5, 8, 10, 12], rel=1e-3)
    assert all(shells(body.solid) == 1 for body in (bars, holes, pins))


def ring_area(ring: np.ndarray) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def test_a_gauge_has_a_hole_over_each_boss_and_a_pad_down_to_the_lower_one() -> None:
    faces = [
        Face("a", (0, 0, 10), (0, 0, 1), "M8"),
        Face("b", (80, 0, 10), (0, 0, 1), "M8"),
        Face("c", (0, 60, 4), (0, 0, 1), "M10"),
        Face("d", (0, 0, 0), (0, 1, 0), "M8"),
    ]
    (gauge,) = gauges(faces)
    sheet, pad = gauge.pieces
    assert isinstance(sheet, Plate)
    assert isinstance(pad, Turned)
    there = sorted(
        tuple(round(c, 6) for c in sheet.place.point((*h.at, 0.0)))
        for h in sheet.wall.openings
        if isinstance(h, Hole)
    )
    assert there == [(0, 0, 10), (0, 60, 10), (80, 0, 10)]
    assert (sheet.t, pad.length, pad.steps[0].od) == (PLATE, 6, 11 + 2 * RIM)
    assert pad.place.at == pytest.approx((0, 60, 4))
    assert [len(body.names) for body in fused(gauge)] == [2]


def test_a_mark_stands_beside_its_joint_on_its_own_side() -> None:
    face = Flat(brackets.Place((10, 20, 6), (0, 0, 1), (0, 1, 0)), 1.0)
    whole = CrossSection.square((200, 200)).translate((-100, -100))
    assert face.strip(whole, Near((0, 1, 0), 25.0, 1.0)).bounds() == pytest.approx((-100, 5, 100, 35))
    assert face.strip(whole, Near((0, 1, 0), 25.0, -1.0)).bounds() == pytest.approx((-100, -25, 100, 5))
    assert face.strip(whole, Near((1, 0, 0), 25.0, 1.0)).bounds() == pytest.approx((15, -100, 45, 100))
    assert face.strip(whole, Near((0, 0, 1), 6.0, 1.0)).is_empty()
    upright = Flat(brackets.Place((0, 0, 0), (1, 0, 0), (0, 0, 1)), 1.0)  # x of the field is y of the part
    assert upright.strip(whole, Near((0, 0, 1), 4.0, 1.0)).bounds() == pytest.approx((-100, 4, 100, 34))
    round_ = Round(brackets.Place((0, 0, 10)), 2.0, 20.0, 80.0, 0.0)
    assert round_.strip(whole, Near((0, 0, 1), 22.0, 1.0)).bounds() == pytest.approx((-100, 10, 100, 40))
    assert round_.strip(whole, Near((0, 1, 0), 22.0, 1.0)).is_empty()


@pytest.mark.parametrize(
    ("hole", "d"),
    [
        (Hole(at=(0, 0), d=11, bolt="M10", washer_od=20), 20.0),
        (Hole(at=(0, 0), d=11, bolt="M10"), 26.4),
        (Hole(at=(0, 0), d=16, kind="drain"), 16.0),
        (Hole(at=(0, 0), d=20, kind="bore"), None),
    ],
)
def test_what_words_stay_off_at_a_hole(hole: Hole, d: float | None) -> None:
    """A washer as it is said, else 2.4 bolt holes wide; a hole without a bolt its own edge; a bush bore nothing."""
    seen = mates(one(plate(hole))).seen_from(brackets.Place((0, 0, 6)))
    if d is None:
        assert seen.is_empty()
        return
    x0, y0, x1, y1 = seen.bounds()
    assert (x1 - x0, y1 - y0) == pytest.approx((d, d), rel=1e-6)
    across = mates(one(plate(hole))).seen_from(brackets.Place((0, 0, 0), (1, 0, 0), (0, 0, 1)))
    assert across.is_empty()


def test_a_gauge_stands_where_its_bosses_are_whichever_way_they_look() -> None:
    for way, up in (((1, 0, 0), (0, 0, 1)), ((0, -1, 0), (1, 0, 0)), ((0.6, 0, 0.8), (0, 1, 0))):
        place = brackets.Place((5, 6, 7), way, up)
        flat = [(0.0, 0.0), (70.0, 10.0), (20.0, 50.0)]
        faces = [Face(f"b{i}", place.point((*p, 0.0)), place.axis, "M8") for i, p in enumerate(flat)]
        (gauge,) = gauges(faces)
        (sheet,) = gauge.pieces
        assert isinstance(sheet, Plate)
        there = [sheet.place.point((*o.at, 0.0)) for o in sheet.wall.openings if isinstance(o, Hole)]
        for found, face in zip(there, faces, strict=True):
            assert found == pytest.approx(face.at, abs=1e-9)
        assert sheet.place.axis == pytest.approx(place.axis)
    leans = (0, math.sin(0.0087), math.cos(0.0087))
    near = [Face("a", (0, 0, 0), (0, 0, 1), "M8"), Face("b", (50, 0, 0), leans, "M8")]
    assert len(gauges(near)) == 1
    off = replace(near[1], normal=(0, math.sin(0.0088), math.cos(0.0088)))
    assert gauges([near[0], off]) == ()


def test_no_plug_is_made_where_a_wall_crosses_the_bore() -> None:
    """A disc 2 mm thick in the bore, 2.5 mm past the cut: between two of the depths that the bore is looked at."""
    tube = Tube(name="t", od=60, wall=2, length=238)
    disc = Turned(name="disc", steps=(Step(length=2, od=56),), place=brackets.Place((0, 0, 121.5)))
    (whole,) = fused(one(tube, disc))
    printer = Printer3D(bed=(130.0, 130.0, 120.0))
    cut = split(whole.solid, np.eye(3), printer)
    assert len(cut.joints) == 1
    assert cut.joints[0].plugs == ()
    clear = split(fused(one(tube))[0].solid, np.eye(3), printer)
    assert [len(joint.plugs) for joint in clear.joints] == [1]
