"""What seats stand on: small bays against sums by hand, and random places against the kernel's common faces."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import cadquery as cq
import numpy as np
import pytest
import trimesh
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut

import brackets
from brackets.app.cli.fit_view import fit_text
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.seats import contact as seat_contact
from brackets.bay.seats.contact import SeatContact, seat_contacts
from brackets.bay.seats.ground import Ground, on_boxes
from brackets.bay.seats.rules import HANG, seat_findings
from brackets.bay.stand.bodies import bay_bodies, keep_out_body
from brackets.bay.stand.placed import placed_bay
from brackets.core.finding import Finding
from brackets.core.place import HERE, Place
from brackets.kernel.solids import own_shape, shape
from brackets.model.faces import in_plane
from brackets.model.part import Part
from brackets.model.piece import CustomPiece
from brackets.output.bay_facts import record

ALLOWED = 1.6

RAIL = "box = { from = [-200, -25, 0], to = [200, 25, 50] }\nwall = 2.5"
BASE = 'recipe = "ears_on_base"\nt = 5\near_r = 20\ninside = 44.5\n'
BASE += "base = { width = 80, length = 50, t = 5, radius = 2 }"
EARS = 'recipe = "ears"\nt = 5\near_r = 20\ninside = 44.5\nseat = "flat"'

BAY = """
format = 1
name = "Invented"
[[keep_out]]
name = "rail"
{rail}
[[mount]]
name = "m"
bush = "R40"
at = {at}
axis = [1, 0, 0]
[mount.chassis]
part = "ears"
onto = "rail"
{toward}
[[part]]
name = "ears"
{part}
{more}
"""


def a_bay(
    folder: Path,
    *,
    at: tuple[float, float, float] = (0, 0, 120),
    rail: str = RAIL,
    part: str = BASE,
    toward: str = "toward = [0, 0, -1]",
    more: str = "",
) -> Path:
    path = folder / "bay.toml"
    path.write_text(BAY.format(at=list(at), rail=rail, part=part, toward=toward, more=more), "utf-8")
    return path


def judged(path: Path) -> tuple[tuple[SeatContact, ...], list[Finding]]:
    standing = placed_bay(read(path))
    found = seat_contacts(standing, bay_bodies(standing))
    return found, list(seat_findings(found))


# ------------------------------------------------------------------------------------------------ bays by hand


def test_a_base_that_stands_whole_on_its_rail_is_not_spoken_of(tmp_path: Path) -> None:
    (seat,), said = judged(a_bay(tmp_path))
    assert said == []
    assert seat.area == pytest.approx(80 * 50 - (4 - math.pi) * 2**2)
    assert seat.contact == pytest.approx(seat.area)
    assert seat.hangs == ()


def test_a_base_15_mm_off_the_edge_of_its_rail_is_a_caution_with_the_mm_and_the_edge(tmp_path: Path) -> None:
    (seat,), (said,) = judged(a_bay(tmp_path, at=(0, 15, 120)))
    assert said.level == "caution"
    assert said.about == ("ears", "rail")
    assert said.value == pytest.approx(15.0)
    assert "hangs 15.0 mm off the left edge of rail" in said.sentence
    assert "2798 of its 3997 mm2 stand on metal (70 %)" in said.sentence
    assert seat.contact == pytest.approx(80 * 35 - (2 - math.pi / 2) * 2**2)
    assert seat.share == pytest.approx(seat.contact / seat.area)


def test_a_base_beside_its_rail_stands_on_nothing_and_the_figure_is_settled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """10.0 is the true gap; 162.3 was the far end of an interval that nobody had narrowed."""
    monkeypatch.setenv("COLUMNS", "200")
    done = fit(read(a_bay(tmp_path, at=(0, 60, 120))))
    (said,) = (f for f in done.findings if f.about == ("ears", "rail"))
    assert done.stops
    assert said.level == "stop"
    assert "stands on nothing: rail is 10.0 mm away" in said.sentence
    assert said.value == pytest.approx(10.0)
    (pair,) = (p for p in done.pairs if {p.a, p.b} == {"ears", "rail"})
    assert pair.low == pytest.approx(10.0, abs=1e-3)
    assert pair.high == pytest.approx(10.0, abs=1e-3)
    assert "NOTHING (rail 10.0 away)" in fit_text(done, None)
    (row,) = record(done)["seats"]
    assert row["contact_mm2"] == 0
    assert row["nearest_mm"] == pytest.approx(10.0)


@pytest.mark.parametrize(("off", "levels"), [(HANG - 0.01, []), (HANG + 0.01, ["caution"])])
def test_what_a_hand_made_part_is_out_anyway_is_no_overhang(tmp_path: Path, off: float, levels: list[str]) -> None:
    _, said = judged(a_bay(tmp_path, at=(0, off, 120)))
    assert [f.level for f in said] == levels


def test_a_base_wider_than_its_rail_hangs_off_both_edges(tmp_path: Path) -> None:
    (seat,), (said,) = judged(a_bay(tmp_path, part=BASE.replace("length = 50", "length = 74")))
    assert said.level == "caution"
    assert seat.hangs[0][2] == "rail"
    assert {edge: far for edge, far, _ in seat.hangs} == pytest.approx({"left edge": 12, "right edge": 12})
    assert "12.0 mm off the left edge of rail" in said.sentence
    assert "12.0 mm off the right edge of rail" in said.sentence


@pytest.mark.parametrize(("off", "bare"), [(5.0, 0.0), (6.55, 0.0), (7.0, 4 * 0.4), (15.0, 4 * 8.4)])
def test_a_weld_past_the_edge_is_over_air_from_the_allowed_gap_on(tmp_path: Path, off: float, bare: float) -> None:
    """Feet of 40 on a rail of 50: four runs of 40 mm, each past the edge by what the bush is off 5."""
    (seat,), said = judged(a_bay(tmp_path, at=(0, off, 120), part=EARS))
    assert seat.weld == pytest.approx(160)
    assert seat.bare == pytest.approx(bare, abs=1e-6)
    stops = [f for f in said if f.level == "stop"]
    assert len(stops) == (bare > 0)
    if bare:
        (stop,) = stops
        assert stop.code == "weld on nothing"
        assert f"{bare:.1f} of 160.0 mm of weld at its foot lies on nothing" in stop.sentence
        assert f"hangs {off - 5:.1f} mm off the left edge of rail" in stop.sentence


@pytest.mark.parametrize(("short", "levels"), [(1.59, []), (1.61, ["stop"])])
def test_a_foot_cut_short_may_be_welded_over_the_allowed_gap_and_no_more(
    tmp_path: Path, short: float, levels: list[str]
) -> None:
    (seat,), said = judged(a_bay(tmp_path, part=f"{EARS}\nreach = {70 - short}"))
    assert seat.open == pytest.approx(short)
    assert seat.widest == pytest.approx(short if not levels else 0)
    assert [f.level for f in said] == levels


def test_the_allowed_gap_is_the_shops(tmp_path: Path) -> None:
    shipped = (Path(brackets.__file__).parent / "forming" / "shop.toml").read_text("utf-8")
    (tmp_path / "shop.toml").write_text(shipped.replace("fit_up = 1.6", "fit_up = 3"), "utf-8")
    path = a_bay(tmp_path, part=f"{EARS}\nreach = 67.5")
    path.write_text(path.read_text("utf-8").replace("format = 1", 'format = 1\nshop = "shop.toml"'), "utf-8")
    (seat,), said = judged(path)
    assert seat.allowed == 3
    assert said == []


def test_a_foot_that_leans_off_its_rail_is_told_by_its_widest_gap(tmp_path: Path) -> None:
    """4 deg over 20 mm to either side of a foot of 40: 1.4 mm; 6 deg: 2.1."""
    base = f"{EARS}\nlean = "
    (seat,), said = judged(a_bay(tmp_path, part=base + "4"))
    assert said == []
    assert seat.widest == pytest.approx(20 * math.tan(math.radians(4)), rel=2e-2)
    (seat,), (stop,) = judged(a_bay(tmp_path, part=base + "6"))
    assert stop.code == "weld on nothing"
    assert seat.contact < seat.area


def test_an_open_end_of_a_hollow_rail_bears_by_its_wall_only(tmp_path: Path) -> None:
    """A base of 80 by 50 over the end of a rail of 80 by 50 by 2.5, standing up."""
    rail = "box = { from = [-40, -25, -300], to = [40, 25, 50] }"
    whole, _ = judged(a_bay(tmp_path, rail=rail))
    hollow, said = judged(a_bay(tmp_path, rail=f"{rail}\nwall = 2.5"))
    assert hollow[0].contact == pytest.approx(whole[0].contact - 75 * 45)
    assert said == []


def test_two_rails_under_one_foot_bear_it_together(tmp_path: Path) -> None:
    """A rail of 50 and a second one beside it: what hangs off the first stands on the second."""
    beside = '[[keep_out]]\nname = "beside"\nbox = { from = [-200, 25, 0], to = [200, 65, 50] }\n'
    beside += '[[contact]]\npair = ["ears", "beside"]'
    (seat,), said = judged(a_bay(tmp_path, at=(0, 15, 120), more=beside))
    assert said == []
    assert seat.contact == pytest.approx(seat.area)
    assert seat.onto == ("rail", "beside")


TUBE = "tube = { from = [-300, 0, 30], to = [60, 0, 30], od = 42.4, wall = 3.2 }"
SADDLE = 'recipe = "ears"\nt = 5\near_r = 20\ninside = 44.5\nseat = "round"'


@pytest.mark.parametrize(("x", "past"), [(32.75, 0.0), (33.75, 1.0), (40.0, 7.25)])
def test_a_saddle_past_the_end_of_its_tube(tmp_path: Path, x: float, past: float) -> None:
    """The outer face of the front ear is 27.25 ahead of the bush; the tube ends at 60. An ear of 5 that is past by
    less than 1.6 is welded still; past by 7.25 all of one of its two lines is over air."""
    (seat,), said = judged(a_bay(tmp_path, at=(x, 0, 110), rail=TUBE, part=SADDLE, toward=""))
    got = {edge: far for edge, far, _ in seat.hangs}
    if past:
        assert got["front end"] == pytest.approx(past, abs=0.4)
    else:
        assert got == {}
        assert seat.contact == pytest.approx(seat.area)
    assert [f.level for f in said] == ([] if past < HANG else ["stop"] if past > ALLOWED else ["caution"])
    if past > ALLOWED:
        assert seat.bare == pytest.approx(seat.weld / 2)


def test_a_flat_plate_on_a_round_tube_hangs_only_past_its_end(tmp_path: Path) -> None:
    rail = "tube = { from = [-300, 0, 30], to = [25, 0, 30], od = 42.4 }"
    more = 'side = "chassis"\nat = [0, 0, 51.2]\n[[contact]]\npair = ["ears", "rail"]'
    text = a_bay(tmp_path, rail=rail, part='recipe = "base_plate"\n' + more).read_text("utf-8")
    start, stop = text.index("[[mount]]"), text.index("[[part]]")
    (tmp_path / "bay.toml").write_text(text[:start] + text[stop:], "utf-8")
    seats, (said,) = judged(tmp_path / "bay.toml")
    (seat,) = seats
    assert seat.seat == "under"
    assert [(edge, onto) for edge, _, onto in seat.hangs] == [("front end", "rail")]
    half = max(x for region in in_plane_of(tmp_path, "under") for x, _ in region)
    assert seat.hangs[0][1] == pytest.approx(half - 25, abs=0.1)
    assert said.level == "caution"
    assert "front end of rail" in said.sentence


def in_plane_of(folder: Path, name: str) -> list[list[tuple[float, float]]]:
    (part,) = placed_bay(read(folder / "bay.toml")).parts
    seat = part.part.seat(name)
    found = []
    for region in in_plane(part.part, seat.place):
        found.append([seat.place.point((x, y, 0))[:2] for x, y in region.outer.points()])
    return found


@pytest.mark.parametrize(("y", "levels"), [(0.0, []), (12.0, ["caution"])])
def test_a_plate_bolted_to_a_scan_is_judged_on_its_triangles(tmp_path: Path, y: float, levels: list[str]) -> None:
    """A plate of 120 by 60 on a scanned block whose top is 140 by 70, with a triangle missing in the middle."""
    block = trimesh.creation.box(extents=(140, 70, 40)).subdivide_to_size(12.0)
    middle = np.abs(block.triangles_center - (0, 0, 20)).sum(axis=1).argmin()
    block.update_faces(np.arange(len(block.faces)) != middle)
    block.export(tmp_path / "block.stl")
    plate = 'recipe = "base_plate"\nlength = 120\nwidth = 60\nside = "chassis"\n'
    plate += f'at = [0, {y}, 20]\n[[contact]]\npair = ["ears", "rail"]'
    text = a_bay(tmp_path, rail='mesh = "block.stl"\nunit = "mm"', part=plate).read_text("utf-8")
    start, stop = text.index("[[mount]]"), text.index("[[part]]")
    (tmp_path / "bay.toml").write_text(text[:start] + text[stop:], "utf-8")
    (seat,), said = judged(tmp_path / "bay.toml")
    assert [f.level for f in said] == levels
    if levels:
        assert seat.hangs[0][:2] == ("left edge", pytest.approx(12 - 5, abs=2.0))
        assert seat.share == pytest.approx(1 - 7 / 60, abs=0.05)
    else:
        assert seat.share > 0.97


def test_a_plate_under_a_thin_rail_is_held_by_its_upper_face_alone(tmp_path: Path) -> None:
    """1.5 mm of plate: its far face is within 1.6 mm of the rail too, but looks away from it."""
    rod = "tube = { from = [-200, 0, 10], to = [200, 0, 10], od = 20 }"
    for rail in ("box = { from = [-200, -40, 0], to = [200, 40, 30] }", rod):
        plate = 'recipe = "cap_plate"\nside = "chassis"\nt = 1.5\nat = [0, 0, -1.5]\n'
        plate += '[[contact]]\npair = ["ears", "rail"]'
        text = a_bay(tmp_path, rail=rail, part=plate).read_text("utf-8")
        start, stop = text.index("[[mount]]"), text.index("[[part]]")
        (tmp_path / "bay.toml").write_text(text[:start] + text[stop:], "utf-8")
        found, _ = judged(tmp_path / "bay.toml")
        assert [one.seat for one in found] == ["top"]


def test_a_plate_bolted_to_bosses_stands_on_those_and_not_on_the_box_behind_them(tmp_path: Path) -> None:
    text = "format = 1\n[[keep_out]]\nname = 'engine'\nside = 'powertrain'\n"
    text += "box = { from = [-50, -50, -100], to = [50, 20, 20] }\n"
    text += "[[part]]\nname = 'plate'\nrecipe = 'adaptor'\nside = 'powertrain'\nat = [0, 0, 20]\n"
    text += "[[contact]]\npair = ['plate', 'engine']\n"
    path = tmp_path / "bay.toml"
    path.write_text(text, "utf-8")
    assert judged(path) == ((), [])


# ------------------------------------------------------------------------------------------ against the kernel


def parts() -> list[Part]:
    def made(name: str, **values: Any) -> Part:
        opened = brackets.recipe(name)
        return opened.build(opened.Params(**values))

    return [
        made("ears_on_base", base_radius=8.0),
        made("ears_on_base", base_flanges=2, base_length=150.0, base_width=66.0),
        made("ears", seat="flat", back=True),
        made("ears", seat="flat", lean=-7.0),
    ]


def box_keep_out(rng: random.Random) -> KeepOut:
    size = (rng.uniform(30, 400), rng.uniform(20, 90), rng.uniform(10, 60))
    axis, up = ((rng.gauss(0, 1), rng.gauss(0, 1), rng.gauss(0, 1)) for _ in range(2))
    at = (rng.uniform(-500, 500), rng.uniform(-500, 500), rng.uniform(-500, 500))
    return KeepOut(name="rail", box_from=(0, 0, 0), box_to=size, box_at=at, box_axis=axis, box_up=up)


@pytest.mark.parametrize("seed", range(24))
def test_contact_and_overhang_are_those_of_the_kernels_faces(seed: int) -> None:
    """A seat set anywhere on the top of a box that stands anyhow: common area of the two solids' faces, and how far
    what is left of the seat's reaches past each edge of the box's."""
    rng = random.Random(seed)
    part = parts()[seed % 4]
    rail = box_keep_out(rng)
    made = keep_out_body(rail, beside=Path())
    ground = Ground(rail, HERE, made)
    length, width, height = rail.box_to or (0, 0, 0)
    own = Place(rail.box_at or (0, 0, 0), rail.box_axis or (0, 0, 1), rail.box_up or (0, 1, 0))
    turn = rng.choice([0.0, rng.uniform(-180, 180)])
    up = (math.sin(math.radians(turn)), math.cos(math.radians(turn)), 0.0)
    here = (rng.uniform(0, length), rng.uniform(0, width), height)
    seat = part.seat("foot").place
    standing = part.placed(own @ Place(here, (0, 0, -1), up) @ seat.inverse())
    plane = standing.seat("foot").place
    found = on_boxes(in_plane(standing, plane), plane, [ground], allowed=ALLOWED)

    top = max(cq.Solid.makeBox(length, width, height).Faces(), key=lambda face: face.Center().z)
    mine = [moved_into(face, own) for face in faces_in(standing, plane)]
    contact = sum(area(BRepAlgoAPI_Common(face.wrapped, top.wrapped)) for face in mine)
    assert found.contact == pytest.approx(contact, rel=1e-6, abs=1e-3)
    left = [BRepAlgoAPI_Cut(face.wrapped, top.wrapped).Shape() for face in mine]
    spots = [v.toTuple() for s in left for v in cq.Shape.cast(s).tessellate(0.001)[0] if cq.Shape.cast(s).Faces()]
    if contact == 0:
        assert found.hangs == ()
        return
    past = [max(0.0, *(reach(s) for s in spots)) if spots else 0.0 for reach in reaches(length, width)]
    worst = max(past)
    assert max([0.0, *(far for _, far, _ in found.hangs)]) == pytest.approx(worst, abs=2e-3)
    assert len({edge for edge, far, _ in found.hangs if far > 0.01}) <= sum(far > 0.01 for far in past)


def reaches(length: float, width: float) -> list[Any]:
    return [lambda s: -s[0], lambda s: s[0] - length, lambda s: -s[1], lambda s: s[1] - width]


def area(cut: Any) -> float:
    found = cq.Shape.cast(cut.Shape())
    return sum(face.Area() for face in found.Faces())


def faces_in(part: Part, plane: Place) -> list[cq.Face]:
    """The kernel's flat faces of a part in a plane that look along it, where the part stands."""
    found = []
    for piece in part.pieces:
        for face in own_shape(piece).Faces():
            if face.geomType() != "PLANE":
                continue
            out = piece.place.direction(face.normalAt().toTuple())
            at = piece.place.point(face.Center().toTuple())
            if abs(plane.local(at)[2]) < 1e-6 and plane.local_direction(out)[2] > 1 - 1e-9:
                found.append(face.moved(location(piece.place)))
    return found


def location(place: Place) -> cq.Location:
    return cq.Location(cq.Plane(origin=place.at, xDir=place.x, normal=place.axis))


def moved_into(face: cq.Face, own: Place) -> cq.Face:
    return face.moved(location(own.inverse()))


@pytest.mark.parametrize("x", [10.0, 36.0, 58.0])
@pytest.mark.parametrize(("slope", "side_angle"), [(0.0, 0.0), (11.0, -7.0)])
def test_the_saddles_contact_is_the_kernels_round_face_up_to_the_tubes_end(
    tmp_path: Path, x: float, slope: float, side_angle: float
) -> None:
    way = (1.0, math.tan(math.radians(side_angle)), math.tan(math.radians(slope)))
    end = [60 * c for c in way]
    rail = f"tube = {{ from = {[-5 * c for c in end]}, to = {end}, od = 42.4 }}"
    path = a_bay(tmp_path, at=(x, way[1] * x, 80 + way[2] * x), rail=rail, part=SADDLE, toward="")
    standing = placed_bay(read(path))
    (seat,) = seat_contacts(standing, bay_bodies(standing))
    whole = shape(standing.parts[0].part)
    long = Place((0.0, 0.0, 0.0), way, (0.0, 0.0, 1.0))
    ends = cq.Vector(-200, -200, math.dist(end, (0, 0, 0)) - 600)
    within = cq.Solid.makeBox(400, 400, 600).moved(cq.Location(ends))
    inside = whole.intersect(within.moved(location(long)))
    assert seat.area == pytest.approx(round_area(whole), rel=2e-3)
    past = sum(f for f in [round_area(inside)])
    # of what is past the end, the first 1.6 mm are still within the allowed gap
    assert past - 1 <= seat.contact <= past + 1.7 * 2 * 34 / math.cos(math.radians(14))
    if x == 10.0:
        assert seat.contact == pytest.approx(seat.area)


def round_area(made: cq.Shape) -> float:
    """mm2 of faces of a cylinder of 42.4."""
    found = 0.0
    for face in made.Faces():
        if face.geomType() == "CYLINDER" and abs(face._geomAdaptor().Cylinder().Radius() - 21.2) < 1e-6:
            found += face.Area()
    return found


@pytest.mark.parametrize(
    ("welds", "told"), [((0.0, 80.0), "far"), ((80.0, 80.0), "near"), ((0.0, 0.0), "near"), ((80.0, 0.0), "near")]
)
def test_where_no_seat_bears_the_nearest_with_a_weld_is_told_of(
    monkeypatch: pytest.MonkeyPatch, welds: tuple[float, float], told: str
) -> None:
    """Seats 5 and 9 mm off the rail: without a weld the nearer one was never to stand there."""
    off = {"near": (5.0, welds[0]), "far": (9.0, welds[1])}

    def contact(_part: object, seat: str, *_: object) -> SeatContact:
        nearest, weld = off[seat]
        return SeatContact(part="ears", seat=seat, onto=("rail",), area=100.0, contact=0.0, widest=0.0,
                           nearest=nearest, hangs=(), weld=weld, bare=weld, open=nearest, at=(0, 0, 0),
                           allowed=ALLOWED)  # fmt: skip

    monkeypatch.setattr(seat_contact, "_outward", lambda _: list(off))
    monkeypatch.setattr(seat_contact, "_contact", contact)
    (one,) = seat_contact._of_part(SimpleNamespace(part=None), (), ["rail"], ALLOWED)  # type: ignore[arg-type]
    assert one.seat == told


def test_a_seat_that_bears_by_half_a_square_millimetre_bears(monkeypatch: pytest.MonkeyPatch) -> None:
    def contact(_part: object, seat: float, *_: object) -> SimpleNamespace:
        return SimpleNamespace(contact=seat, onto=("rail",), weld=0.0, nearest=0.0)

    monkeypatch.setattr(seat_contact, "_outward", lambda _: [0.0, 0.5])
    monkeypatch.setattr(seat_contact, "_contact", contact)
    found = seat_contact._of_part(SimpleNamespace(part=None), (), ["rail"], ALLOWED)  # type: ignore[arg-type]
    assert [one.contact for one in found] == [0.5]


@pytest.mark.parametrize(("weld", "told"), [(0.0, ["stands"]), (80.0, ["stands", "off"])])
def test_a_welded_seat_on_nothing_is_told_of_though_another_bears(
    monkeypatch: pytest.MonkeyPatch, weld: float, told: list[str]
) -> None:
    """Of two feet on one rail the second hangs in the air: its weld is laid on nothing."""

    def contact(_part: object, seat: str, *_: object) -> SimpleNamespace:
        held = 40.0 if seat == "stands" else 0.0
        return SimpleNamespace(seat=seat, contact=held, onto=("rail",), weld=weld, nearest=5.0)

    monkeypatch.setattr(seat_contact, "_outward", lambda _: ["stands", "off"])
    monkeypatch.setattr(seat_contact, "_contact", contact)
    found = seat_contact._of_part(SimpleNamespace(part=None), (), ["rail"], ALLOWED)  # type: ignore[arg-type]
    assert [one.seat for one in found] == told


FOOT: Any = SimpleNamespace(name="foot", place=HERE)


@pytest.mark.parametrize(
    ("offs", "bare"),
    [
        ((0.0, 0.0, 0.0), 0.0),
        ((1.6, 1.6, 1.6), 0.0),  # all of it just within the 1.6 allowed
        ((2.0, 2.0, 2.0), 8.0),
        ((math.inf, math.inf, math.inf), 8.0),  # no metal: as far as is looked, 1 mm past the allowed
        ((0.0, 0.0, 2.0), 4 * 0.4 / 2.0),  # a gap grows evenly: over 1.6 in the last 0.4 of 2.0
        ((2.0, 1.6, 0.0), 4.0),
    ],
)
def test_how_much_of_a_weld_has_no_metal_under_it(
    monkeypatch: pytest.MonkeyPatch, offs: tuple[float, ...], bare: float
) -> None:
    """8 mm of weld looked at at its ends and its middle."""
    spots = np.array([(4.0 * k, 0.0, 0.0) for k in range(3)])
    monkeypatch.setattr(seat_contact.edges, "length", lambda *_: 8.0)
    monkeypatch.setattr(seat_contact.edges, "points", lambda *_: spots)
    weld = SimpleNamespace(onto="foot", piece="ear", edge=None)
    part: Any = SimpleNamespace(welds=(weld,), piece=lambda _: None)
    rail: Any = SimpleNamespace(distance=lambda *_: np.array(offs))
    whole, found, widest, _, least = seat_contact._welds(part, FOOT, [rail], ALLOWED)
    assert (whole, found) == (8.0, pytest.approx(bare, abs=1e-9))
    assert (widest, least) == (min(2.6, max(offs)), min(2.6, *offs))


@pytest.mark.parametrize(("run", "points"), [(3.0, 9), (8.0, 9), (8.1, 10), (100.0, 101), (399.0, 400), (5e4, 400)])
def test_a_weld_is_looked_at_every_millimetre_and_at_400_points_at_most(
    monkeypatch: pytest.MonkeyPatch, run: float, points: int
) -> None:
    asked = []

    def along(_piece: object, _edge: object, n: int) -> list[tuple[float, float, float]]:
        asked.append(n)
        return [(run * k / (n - 1), 0.0, 0.0) for k in range(n)]

    monkeypatch.setattr(seat_contact.edges, "length", lambda *_: run)
    monkeypatch.setattr(seat_contact.edges, "points", along)
    part: Any = SimpleNamespace(
        welds=(SimpleNamespace(onto="foot", piece="ear", edge=None),), piece=lambda _: None
    )
    rail: Any = SimpleNamespace(distance=lambda spots, _: np.zeros(len(spots)))
    seat_contact._welds(part, FOOT, [rail], ALLOWED)
    assert asked == [points]


@pytest.mark.parametrize(
    ("at", "axis", "in_it"),
    [
        ((30.0, 20.0, 0.0), (0.0, 0.0, 1.0), True),
        ((30.0, 20.0, 5e-4), (0.0, 0.0, 1.0), True),
        ((30.0, 20.0, 8.0), (0.0, 0.0, 1.0), False),  # on the other face of a plate of 8
        ((30.0, 20.0, 0.0), (0.0, 0.0, -1.0), False),
        ((30.0, 20.0, 0.0), (1.0, 0.0, 0.0), False),
    ],
)
def test_a_boss_lies_in_a_face_that_looks_as_it_does(
    at: tuple[float, float, float], axis: tuple[float, float, float], in_it: bool
) -> None:
    assert seat_contact._in_face(HERE, Place(at, axis, (0.0, 1.0, 0.0))) is in_it


def tapered() -> cq.Workplane:
    """20 by 10 below, wider above."""
    return cq.Workplane().rect(20, 10).extrude(5, taper=-30)


def test_of_a_custom_piece_the_face_in_the_plane_bears_and_its_leaning_sides_do_not() -> None:
    """All four sides look down too, and each has an edge in the plane."""
    part = Part(name="casting", pieces=(CustomPiece(name="odd", function=f"{__name__}:tapered"),))
    under = Place(axis=(0.0, 0.0, -1.0))
    assert sum(region.area for region in seat_contact._custom(part, under)) == pytest.approx(20 * 10)
    assert list(seat_contact._custom(part, Place())) == []


def test_a_seat_that_meets_another_of_its_own_parts_is_inside_it() -> None:
    """The foot of the ears stands on their own base: only the base's underside is judged."""
    from brackets.bay.seats.contact import _outward

    part = parts()[0]
    assert [seat.name for seat in _outward(part)] == ["foot"]
    alone = replace(part, seats=tuple(s for s in part.seats if s.name != "base/top"))
    assert [seat.name for seat in _outward(alone)] == ["ears/foot", "foot"]
