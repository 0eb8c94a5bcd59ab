"""Figures a person cuts, drills, bends or buys by: each worked out by hand here and compared with what is printed.

What has its worked example elsewhere: flat lengths (test_fold_tree), joggles and allowances (test_fold_allowance),
cope curves and long points (test_cope_curve, test_cope_wrap), wraps round the solid (test_wraps), bars and true
size (test_paper), bolt lengths (test_bolt_lengths), thread lengths, clearance holes and nuts (test_tables_bolts),
boss rows and the check sheet (test_measure).
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ezdxf
import numpy as np
import pytest
from test_bay_gaps import CUBE, box, fitted, keep_out
from test_fold_samples import angle_bracket, channel, sheet
from test_rules_bay import ASKED, PATH, pair

from brackets.app.cli.fit_view import _neighbours, _paths, _tightest, fit_text
from brackets.app.preview.folding import Hinged, hinges
from brackets.app.preview.point_zones import zone_of
from brackets.app.preview.render_mesh import mesh_of_shape
from brackets.bay.clear.moving import Moved
from brackets.bay.clear.paths import BayPath
from brackets.bay.fitting import Fit
from brackets.bay.hung.mount_frames import (
    about,
    axle_torque,
    firing,
    lump_mass,
    mass_of,
    place_of,
    traction_cap,
    turn,
)
from brackets.bay.hung.movement import BayMovement
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Lump, Powertrain
from brackets.core.place import Place
from brackets.core.tables.fasteners import hole
from brackets.drawing.blank import blank
from brackets.drawing.nest import lies, nest
from brackets.drawing.record import Title
from brackets.drawing.wraps import wraps
from brackets.forming.cut_rows import cut_rows, end_cells, tube_cells
from brackets.forming.flat_pattern import blank_of
from brackets.forming.tube_layout import lay_out
from brackets.forming.tube_run import Cylinder, Run
from brackets.geometry.shapes import rectangle
from brackets.kernel.solids import own_shape
from brackets.model.holes import Hole
from brackets.model.plate import Plate, Wall
from brackets.model.tube import BentTube, Tube, TubeEnd
from brackets.output import dxf

TITLE = Title(part="sample")
ALLOWANCE = math.pi / 2 * (5 + (0.65 + 0.5 * math.log10(1.25)) / 2 * 4)
"""mm: DIN 6935, 90 degrees, r 5 in 4 mm: k = 0.65 + 0.5 lg(r/t), its layer k/2 of t in: 10.05."""

# ------------------------------------------------------------------------------------------------ sheet and paper


def test_bend_lines_of_an_angle_lie_where_the_brake_must_come_down(tmp_path: Path) -> None:
    """Legs 50 and 40 outside: 9 = r + t off each, 41 and 31 flat; the bend between takes its allowance."""
    dxf.write(blank(angle_bracket(), TITLE), tmp_path / "a.dxf")
    space = ezdxf.readfile(tmp_path / "a.dxf").modelspace()

    def heights(layer: str) -> list[float]:
        lines = space.query(f'*[layer=="{layer}"]')
        return sorted({round(p[1], 6) for line in lines for p in line.get_points("xy")})

    assert heights("BEND") == pytest.approx([41 + ALLOWANCE / 2], abs=1e-4)
    assert heights("BEND_EDGE") == pytest.approx([41, 41 + ALLOWANCE], abs=1e-4)
    assert heights("CUT") == pytest.approx([0, 41 + ALLOWANCE + 31], abs=1e-4)


def test_a_cut_file_says_that_it_is_in_millimetres(tmp_path: Path) -> None:
    """DXF reference: $INSUNITS 4 is millimetres, $MEASUREMENT 1 is metric."""
    dxf.write(blank(channel(), TITLE), tmp_path / "a.dxf")
    header = ezdxf.readfile(tmp_path / "a.dxf").header
    assert (header["$INSUNITS"], header["$MEASUREMENT"]) == (4, 1)


def test_holes_are_listed_from_the_lower_left_corner_of_the_blank() -> None:
    """60 x 40 about its middle: (-18, -12) is 12 from the left and 8 from below."""
    wall = Wall(outline=rectangle(60, 40), openings=(Hole(at=(-18, -12), d=8),))
    drawing = blank(Plate(name="p", t=4.0, wall=wall), TITLE)
    [table] = [t for t in drawing.tables if t.heading == "Holes"]
    assert table.rows[0][1:4] == ("8", "12.00", "8.00")
    facts = dict(drawing.facts)
    assert facts["blank"] == "60.00 x 40.00 mm"
    # (60 x 40 - 16 pi) x 4 mm3 of 7.85 g/cm3
    assert facts["mass"] == f"{(2400 - 16 * math.pi) * 4 * 7.85e-6:.3f} kg"


@pytest.mark.parametrize(
    ("size", "kind", "d"),
    [("M12", "pilot", 11.5), ("M12", "pivot", 12.1), ("M10", "pilot", 9.5), ("M10", "tap", 8.5),
     ("M12", "tap", 10.2), ("M10", "fine", 10.5), ("M10", "boss", 11.0), ("M10", "medium", 11.0),
     ("M10", "coarse", 12.0)],
)  # fmt: skip
def test_a_hole_is_drilled_to(size: str, kind: str, d: float) -> None:
    """ISO 273 and ISO 2306; a pivot is reamed to bolt + 0.1 and drilled to bolt - 0.5 before: common practice."""
    assert hole(size, kind) == pytest.approx(d)


def test_a_pivot_is_drilled_under_now_and_reamed_after() -> None:
    plate = Plate(name="p", t=6.0, wall=sheet(60, 40, Hole(at=(20, 20), d=12.1, kind="pivot")))
    [table] = [t for t in blank(plate, TITLE).tables if t.heading == "Holes"]
    assert dict(zip(table.columns, table.rows[0], strict=True))["Ø now"] == "11.5"
    assert dict(zip(table.columns, table.rows[0], strict=True))["Ø ream"] == "12.1"


def test_every_hole_has_a_cross_of_6_and_a_ring_2_outside_it() -> None:
    strokes = blank(Plate(name="p", t=6.0, wall=sheet(60, 40, Hole(at=(20, 15), d=10))), TITLE).strokes
    [ring] = [s.circle for s in strokes if s.layer == "ring"]
    assert ring == ((20, 15), pytest.approx(7.0))
    lines = sorted((s.segments[0].a, s.segments[-1].b) for s in strokes if s.layer == "punch")
    assert lines == [((17, 15), (23, 15)), ((20, 12), (20, 18))]


def slab(name: str, wide: float, tall: float) -> Plate:
    return Plate(name=name, t=6.0, wall=sheet(wide, tall))


def test_blanks_lie_10_apart_and_10_from_the_edge_tallest_first() -> None:
    """100 + 80 and three gaps of 10 are 210 of 300; 120 more does not fit beside: a shelf at 10 + 50 + 10."""
    pieces = [slab("c", 120, 30), slab("b", 80, 40), slab("a", 100, 50)]
    [layout] = nest(pieces, length=300, width=110)
    assert {one.name: one.at for one in layout.blanks} == {"a": (10, 10), "b": (120, 10), "c": (10, 70)}
    assert layout.taken == (210, 110)
    assert layout.used == pytest.approx((100 * 50 + 80 * 40 + 120 * 30) / (300 * 110))
    first, second = nest(pieces, length=300, width=109.5)
    assert [one.name for one in first.blanks] == ["a", "b"]
    assert [(one.name, one.at) for one in second.blanks] == [("c", (10, 10))]
    beside, below = ([one.at for one in nest([slab("a", 100, 50), slab("b", 80, 50)], length=x)[0].blanks]
                     for x in (210, 209))  # fmt: skip
    assert beside == [(10, 10), (120, 10)]
    assert below == [(10, 10), (10, 70)]


@pytest.mark.parametrize(("length", "width", "fits"), [(120, 70, True), (119, 70, False), (120, 69, False),
                                                       (70, 120, True)])  # fmt: skip
def test_a_blank_wants_a_sheet_20_larger_either_way_round(length: float, width: float, fits: bool) -> None:
    assert lies(slab("a", 100, 50), length=length, width=width) == fits


# ---------------------------------------------------------------------------------------------------------- tubes


@pytest.mark.parametrize(("side", "clock"), [(1, 90.0), (-1, 270.0)])
def test_the_clock_between_two_copes_goes_clockwise_looking_from_start_to_end(side: int, clock: float) -> None:
    """A tube up z, its rails at 60 degrees to it. The lower one rises towards x, so that the sharp side is there;
    the upper one falls towards y (or away): looking up z, from x to y is clockwise."""
    c, s = math.cos(math.radians(60)), math.sin(math.radians(60))
    low, high = Cylinder("low", (0, 0, 0), (s, 0, c), 40), Cylinder("high", (0, 0, 300), (0, side * s, -c), 40)
    laid = lay_out(Run("t", "30x2", ((0, 0, 0), (0, 0, 300)), low, high))
    [row] = laid.table()
    assert row.clock == pytest.approx(clock)
    assert (row.end.short - row.start.short) % 360 == pytest.approx(clock)
    assert tube_cells(row)[5] == f"{clock:.1f}"


def test_a_tube_between_two_rails_is_sawn_over_its_long_points() -> None:
    """30 between rails of 40, 300 apart, square: the long point is where the cope is shallowest, at the sides:
    sqrt(20^2 - 15^2) from each axis."""
    low, high = (Cylinder(name, (0, 0, z), (1, 0, 0), 40) for name, z in (("low", 0.0), ("high", 300.0)))
    [row] = lay_out(Run("t", "30x2", ((0, 0, 0), (0, 0, 300)), low, high)).table()
    assert row.node == pytest.approx(300)
    assert str(row.start) == "saddle 90.0 deg onto low"
    assert row.long == pytest.approx(300 - 2 * math.sqrt(20**2 - 15**2), abs=1e-6)


@pytest.mark.parametrize(
    ("offset", "clock", "end"),
    [
        (0.0, 30.0, ("t, end", "", "saddle", "60.0", "0.00", "30.0", "210.0", "57.74", "1.78")),
        (-0.0, 0.0, ("t, end", "", "saddle", "60.0", "0.00", "0.0", "180.0", "57.74", "1.78")),
        (-1e-9, 0.0, ("t, end", "", "saddle", "60.0", "0.00", "0.0", "180.0", "57.74", "1.78")),
    ],
)
def test_the_ends_of_a_tube_are_listed_with_what_they_are_cut_by(
    offset: float, clock: float, end: tuple[str, ...]
) -> None:
    """40 x 3 at 60 degrees on 120: long where (60 - 20 cos 60) / sin 60 = 57.74. The lip fouls most at 142 degrees:
    (sqrt(60^2 - (17 sin)^2) - sqrt(60^2 - (20 sin)^2) + 3 x 0.79 cos 60) / sin 60 = 1.78. No minus nothing."""
    cope = TubeEnd(kind="saddle", angle=60, r=60, offset=offset, clock=clock)
    [row] = cut_rows([Tube(name="t", od=40, wall=3, length=200, start=TubeEnd(shift=-1e-4), end=cope)])
    first, last = end_cells(row)
    assert first == ("t, start", "", "square: no wrap", "", "", "", "", "0.00", "")
    assert last == end
    assert (row.start.angle, row.start.short, row.start.long, row.start.lip) == (90.0, 0.0, 0.0, 0.0)
    assert row.clock is None


def test_the_bending_sheet_of_an_elbow_has_its_marks_where_the_bend_begins_and_ends() -> None:
    """38 tube, 90 degrees at radius 100, corners 200 and 300 from its ends: 100 straight, 100 pi / 2 round, 200
    straight. Marks stand out 0.6 of 38 over the tube's 19, the line of the bend's middle is as high as the tube."""
    elbow = BentTube(name="elbow", od=38, wall=3, bend_r=100, points=((0, 0, 0), (0, 0, 200), (300, 0, 200)))
    [sheet] = wraps(elbow, TITLE)
    end, whole = 100 + 50 * math.pi, 300 + 50 * math.pi
    [tube] = [s for s in sheet.strokes if s.layer == "cut"]
    assert tube.bounds == pytest.approx((0, -19, whole, 19))
    lines = sorted((s.layer, s.bounds) for s in sheet.strokes if s.layer in ("axis", "bend", "mark"))
    assert [layer for layer, _ in lines] == ["axis", "bend", "mark", "mark"]
    assert np.array([box for _, box in lines]) == pytest.approx(
        np.array([(-19, 0, whole + 19, 0), (end / 2 + 50, -19, end / 2 + 50, 19), (100, -41.8, 100, 41.8),
                  (end, -41.8, end, 41.8)])
    )  # fmt: skip
    tips = {"B1 100.0": (100, 41.8), "B1 257.1": (end, 41.8)}
    assert {w.text: math.dist(w.at, tips[w.text]) < 5 for w in sheet.words} == dict.fromkeys(tips, True)
    table, stretches = sheet.tables
    assert table.rows == (("B1", "100.0", "257.1", "90.0", "0.0", "set the inside", ""),)
    assert stretches.rows == (("1", "0.0", "100.0", "100.0", ""), ("2", "257.1", "457.1", "200.0", ""))
    facts = dict(sheet.facts)
    assert facts["long points"] == "457.08 mm over both: saw to this"
    assert facts["nodes"] == "457.08 mm along the centre line"


# ------------------------------------------------------------------------------------------------------------ bay


def powertrain(**values: object) -> Powertrain:
    return Powertrain(**values)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("cylinders", "strokes", "idle", "hertz"), [(4, 4, 900.0, 30.0), (2, 2, 1200.0, 40.0), (1, 4, 1200.0, 10.0)]
)
def test_a_four_stroke_fires_every_other_turn_and_a_two_stroke_every_turn(
    cylinders: int, strokes: int, idle: float, hertz: float
) -> None:
    assert firing(powertrain(cylinders=cylinders, strokes=strokes, idle=idle)) == pytest.approx(hertz)


@pytest.mark.parametrize(("layout", "torque"), [("transaxle", 120 * 3.5 * 4), ("longitudinal", 120 * 3.5)])
def test_the_final_drive_counts_where_the_axle_is_in_the_unit(layout: str, torque: float) -> None:
    of = powertrain(layout=layout, torque=120.0, first=3.5, final=4.0)
    assert axle_torque(of) == pytest.approx(torque)


def test_tyres_pass_on_load_times_grip_times_radius() -> None:
    """0.3 m x 4000 N x 0.9."""
    tyres = {"traction_tyre_radius": 300.0, "traction_driven_load": 4000.0, "traction_grip": 0.9}
    assert traction_cap(powertrain(**tyres)) == pytest.approx(1080)
    assert traction_cap(powertrain(traction_driven_load=4000.0)) is None


@pytest.mark.parametrize(
    ("angles", "point", "to"),
    [((90, 0, 0), (0, 1, 0), (0, 0, 1)), ((0, 90, 0), (1, 0, 0), (0, 0, -1)), ((0, 0, 90), (1, 0, 0), (0, 1, 0)),
     ((90, 0, 0), (0, 0, 1), (0, -1, 0)), ((0, 90, 0), (0, 0, 1), (1, 0, 0)), ((0, 0, 90), (0, 1, 0), (-1, 0, 0)),
     ((90, 90, 0), (0, 1, 0), (1, 0, 0)), ((90, 0, 90), (0, 1, 0), (0, 0, 1)), ((0, 90, 90), (0, 0, 1), (0, 1, 0))],
)  # fmt: skip
def test_roll_lifts_the_left_pitch_drops_the_nose_yaw_turns_it_left(
    angles: tuple[float, float, float], point: tuple[float, float, float], to: tuple[float, float, float]
) -> None:
    """ISO 8855; first roll, then pitch, then yaw. Roll and pitch: left goes up, and up goes forward."""
    assert turn(*angles).direction(point) == pytest.approx(to, abs=1e-12)


def test_a_powertrain_turns_about_its_crank_and_is_then_shifted() -> None:
    of = powertrain(crank_at=(100.0, 0.0, 50.0), place_yaw=90.0, place_at=(1.0, 2.0, 3.0))
    assert place_of(of).point((100.0, 0.0, 50.0)) == pytest.approx((101, 2, 53))
    assert place_of(of).point((110.0, 0.0, 50.0)) == pytest.approx((101, 12, 53))


def lumps(*given: Lump, **more: object) -> Bay:
    return Bay(
        path=Path("bay.toml"), name="", bare="mm", gaps={}, data=(), keep_outs=(), powertrain=powertrain(**more),
        lumps=given, bosses=(), bushes={}, mounts=(), parts=(), contacts=(), paths=(),
    )  # fmt: skip


ENGINE = Lump(name="engine", mass=60.0, at=(0.0, 0.0, 0.0), size=(0.0, 0.0, 0.0))
BOX = Lump(name="gearbox", mass=40.0, at=(100.0, 50.0, 0.0), size=(0.0, 0.0, 0.0))


def test_a_lump_is_a_box_and_two_weigh_where_their_moments_balance() -> None:
    """12 kg, 10 x 20 x 30: m/12 (b2 + c2). 60 at 0 and 40 at (100, 50): 40 and 20; they are 40 x 60 / 100 = 24 kg
    reduced, 100 and 50 apart."""
    one = lump_mass(Lump(name="x", mass=12.0, at=(1.0, 2.0, 3.0), size=(10.0, 20.0, 30.0)))
    assert np.diag(one.inertia) == pytest.approx([400 + 900, 100 + 900, 100 + 400])
    assert np.count_nonzero(one.inertia) == 3
    both = mass_of(lumps(ENGINE, BOX))
    assert both is not None
    assert both.kg == 100
    assert both.centroid == pytest.approx([40, 20, 0])
    assert np.diag(both.inertia) == pytest.approx([24 * 50**2, 24 * 100**2, 24 * (50**2 + 100**2)])
    assert mass_of(lumps()) is None


def test_it_rocks_about_its_centre_unless_the_crank_is_asked_for_or_nothing_is_weighed() -> None:
    crank = {"crank_at": (7.0, 8.0, 9.0), "place_at": (1.0, 0.0, 0.0)}
    assert about(lumps(ENGINE, BOX, **crank)) == pytest.approx((41, 20, 0))
    assert about(lumps(ENGINE, BOX, moves_about="crank", **crank)) == pytest.approx((8, 8, 9))
    assert about(lumps(**crank)) == pytest.approx((8, 8, 9))


@pytest.fixture(scope="module")
def crowd(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    """An engine among 14 walls, 51 to 64 off it in turn, asked 15 each; the nearest named last. And 100 kg."""
    text = keep_out("engine", CUBE, side="powertrain")
    for n in range(14):
        text += keep_out(f"wall_{n:02}", box((-300, -300, 200 - n - 36), (300, 300, 200 - n - 35.5)))
    text += "[[lump]]\nname = 'engine'\nmass = 60\nat = [0, 0, 0]\n"
    text += "[[lump]]\nname = 'gearbox'\nmass = 40\nat = [100, 50, 0]\n"
    return fitted(tmp_path_factory.mktemp("crowd"), text)


def test_the_screen_of_fit_begins_with_the_worst_gap_and_shows_twelve(crowd: Fit) -> None:
    """wall_13 begins at 151: 51 off, 36 to spare; each next one a mm more."""
    said = fit_text(crowd, None)
    block = said.split("tightest gaps, mm\n")[1].split("\n\n")[0].splitlines()
    rows = [line.split() for line in block if "wall_" in line]
    assert [row[-1] for row in rows] == [f"wall_{13 - n:02}" for n in range(12)]
    assert [float(row[0]) for row in rows] == pytest.approx([36.0 + n for n in range(12)])
    assert rows[0][1:3] == ["51.0", "15"]


def test_the_screen_of_fit_says_what_the_powertrain_weighs_and_where(crowd: Fit) -> None:
    assert "100.0 kg, centre at 40.0, 20.0, 0.0" in fit_text(crowd, None)


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ((20, 97, 20), (40, 150, 40), "3.0 mm right would free a"),
        ((20, -50, 20), (40, 4, 40), "4.0 mm left would free a"),
        ((-50, 20, 20), (5, 40, 40), "5.0 mm forward would free a"),
        ((20, 20, -50), (40, 40, 2), "2.0 mm up would free a"),
    ],
)
def test_a_foul_names_the_shortest_way_out(
    tmp_path: Path, low: tuple[float, ...], high: tuple[float, ...], words: str
) -> None:
    """x forward, y left, z up: what is met on the left is left by going right."""
    done = fitted(tmp_path, keep_out("a", CUBE) + keep_out("b", box(low, high), side="powertrain"))
    [said] = [f.sentence for f in done.findings if f.code == "foul"]
    assert said.endswith(words)


# -------------------------------------------------------------------------------------------------------- preview


def test_unfolded_metal_is_shaded_by_which_way_its_faces_look() -> None:
    """Flat, what lies at z = t looks up and what lies at 0 looks down, walls and bends alike."""
    piece = replace(channel(), place=Place())
    seen = mesh_of_shape(own_shape(piece))
    points, ways = Hinged(hinges(piece), 0.0).moved(seen.positions, zone_of(piece, seen.positions), seen.normals)
    lying = np.abs(ways[:, 2]) > 0.5
    assert lying.mean() > 0.3
    up = np.where(points[lying, 2] > piece.t / 2, 1.0, -1.0)
    assert ways[lying, 2] == pytest.approx(up, abs=0.02)
    assert np.ptp(points[:, 0]) == pytest.approx(blank_of(piece).length, abs=0.15)


# ------------------------------------------------------------------------------------------------------ the screen


def columns(text: str) -> list[list[str]]:
    """Cells of a table as they stand in their columns, heading first, cut by the rule under it."""
    head, rule, *rows = text.splitlines()[1:]
    ends = [0, *(k + 2 for k in range(len(rule)) if rule[k : k + 2] == "  "), len(rule) + 2]
    cut = list(zip(ends, ends[1:], strict=False))
    return [[line[a : b - 2].ljust(b - a - 2) for line in (head, *rows)] for a, b in cut]


def set_right(text: str) -> list[str]:
    """Headings of the columns whose short cells end where the column ends; an empty cell says nothing."""
    held = [column for column in columns(text) if any(cell.strip() and cell[0] == " " for cell in column)]
    return [column[0].strip() for column in held]


NEAR, FAR = pair("clear", 30.0), replace(pair("clear", 50.0), b="tank")
MOVES = tuple(
    Moved(a=one.a, b=one.b, low=low, high=low, rule=ASKED, worst="roll 3", p=(0, 0, 0), q=(0, 0, 0), by="roll")
    for one, low in ((NEAR, 14.0), (FAR, 9.5))
)
SCREEN: Any = SimpleNamespace(
    pairs=(FAR, NEAR, replace(FAR, rule=replace(ASKED, kind="steering_brakes"), a="a", b="b")),
    moved=MOVES,
    things=(SimpleNamespace(name="ears", kind="line"), SimpleNamespace(name="wall", kind="fixed")),
    bay=SimpleNamespace(keep_outs=(), bare="mm", once=lambda make: BayMovement(about=(0.0, 0.0, 0.0))),
    paths=tuple(BayPath(**PATH | {"name": name, "low": 5.0, "high": 5.0}) for name in ("out", "the long way out")),
)


def test_figures_on_the_screen_end_under_each_other_and_words_begin_so() -> None:
    assert set_right(_tightest(SCREEN)) == ["spare", "still", "asked", "moved", "asked"]
    assert set_right(_paths(SCREEN)) == ["free", "least", "asked"]


def test_of_a_line_the_nearest_is_told_with_the_lesser_of_what_is_spare() -> None:
    """30 standing, 20 asked: 10 spare; 14 moved, 12 asked: 2 spare."""
    _, _, _, row = _neighbours(SCREEN).splitlines()
    assert row.split()[:5] == ["2.0", "30.0", "20", "14.0", "12"]
    assert row.endswith("ears | rail")
