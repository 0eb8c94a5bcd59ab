"""Left and right: what is mirrored is the mirror image, stands on its own bosses, and says so on everything."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import product
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from cadquery import Solid
from pypdf import PdfReader

from brackets import recipe
from brackets.app.cli.app import main
from brackets.app.cli.fit_view import fit_text
from brackets.bay.file import read
from brackets.bay.fitting import Fit
from brackets.bay.hung.block import box_place
from brackets.bay.hung.mount_frames import mount_frame
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Mount
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.hands import _same, _value, reflected_bay
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.errors import BadFile, BadRecipe
from brackets.core.schema.checked import fields
from brackets.core.vectors import Vec
from brackets.drawing.blank import blank
from brackets.drawing.record import Title
from brackets.forming.cut_rows import cut_rows
from brackets.forming.flat_pattern import blank_of
from brackets.geometry.curve import swept_corners
from brackets.kernel.solids import shape
from brackets.model.cope import ENDS, contour
from brackets.model.part import Hand, Part, Plane, reflected
from brackets.model.plate import Folded, Plate
from brackets.model.tube import Tube, TubeEnd
from brackets.output import bay_files as files
from brackets.output.bay_facts import record
from brackets.output.part_files import made

BAY = Path(__file__).parent / "two_hands.toml"
SLANT = Plane((10.0, -4.0, 7.0), (1.0, 2.0, -2.0))


def default(name: str, **values: object) -> Part:
    opened = recipe(name)
    return opened.build(opened.Params(**values))


EARS = default("ears", back=True, slope=6.5, side_angle=4.0)
PARTS = {"ears": EARS, "stay": default("stay"), "tray": default("bracket_tray")}


@pytest.fixture(scope="module")
def bay() -> Bay:
    return read(BAY)


@pytest.fixture(scope="module")
def standing(bay: Bay) -> PlacedBay:
    return placed_bay(bay)


def by_name(standing: PlacedBay) -> dict[str, Part]:
    return {part.name: part.part for part in standing.parts}


def written(tmp_path: Path, *changes: tuple[str, str]) -> Path:
    text = BAY.read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    path = tmp_path / "bay.toml"
    path.write_text(text, "utf-8")
    return path


# --------------------------------------------------------------------------------------- the mirror image itself
@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize("plane", [Plane(), Plane((0, 12.5, 0), (0, -3, 0)), SLANT], ids=str)
def test_mass_centre_and_inertia_are_reflected(name: str, plane: Plane) -> None:
    part = PARTS[name]
    image, n = reflected(part, plane), np.array(plane.normal) / np.linalg.norm(plane.normal)
    flip = np.eye(3) - 2 * np.outer(n, n)  # Householder's matrix of the plane
    assert image.mass.kg == pytest.approx(part.mass.kg, rel=1e-12)
    centre = flip @ (np.array(part.mass.centroid) - plane.at) + plane.at
    assert np.array(image.mass.centroid) == pytest.approx(centre, abs=1e-9)
    inertia = flip @ np.array(part.mass.inertia) @ flip
    assert np.array(image.mass.inertia) == pytest.approx(inertia, rel=1e-9, abs=1e-6)
    for seat, other in zip(part.seats, image.seats, strict=True):
        assert other.place.at == pytest.approx(plane.point(seat.place.at), abs=1e-9)
        assert other.place.axis == pytest.approx(plane.direction(seat.place.axis), abs=1e-9)
    assert len(image.welds) == len(part.welds)


@pytest.mark.parametrize(("name", "piece"), [("ears", "ears"), ("stay", "tube"), ("stay", "plate")])
def test_the_solid_is_the_solid_reflected(name: str, piece: str) -> None:
    """The kernel's own mirror image of the first solid and the solid folded or coped anew share all their metal."""
    part = PARTS[name]
    mirrored = Solid(shape(part.piece(piece)).mirror("XZ").wrapped)
    anew = shape(reflected(part, Plane()).piece(piece))
    common = mirrored.intersect(anew).Volume()
    assert common == pytest.approx(anew.Volume(), rel=1e-5)
    assert anew.Volume() == pytest.approx(mirrored.Volume(), rel=1e-7)


def rows(outline: object, sign: float) -> set[tuple[float, float]]:
    return {(round(sign * x, 6) + 0.0, round(y, 6) + 0.0) for x, y, _ in swept_corners(outline)}  # type: ignore[arg-type]


def test_the_blank_is_the_mirror_image_and_bends_the_same_way() -> None:
    one, other = EARS.piece("ears"), EARS.mirrored().piece("ears")
    assert isinstance(one, Folded)
    assert isinstance(other, Folded)
    a, b = blank_of(one), blank_of(other)
    assert rows(b.cut.outer, 1.0) == rows(a.cut.outer, -1.0) != rows(a.cut.outer, 1.0)
    assert [bend.angle for bend in b.bends] == [bend.angle for bend in a.bends]
    for mine, theirs in zip(a.bends, b.bends, strict=True):
        ends = {(round(-x, 6) + 0.0, round(y, 6)) for x, y in mine.line}
        assert {(round(x, 6) + 0.0, round(y, 6)) for x, y in theirs.line} == ends
    assert len(one.flanges) == 2, "bends up on both hands: the same face up on paper"


def test_the_drill_list_is_mirrored() -> None:
    def holes(piece: object) -> dict[str, tuple[float, float]]:
        assert isinstance(piece, Folded | Plate)
        [table] = [t for t in blank(piece, Title(part="p")).tables if t.heading == "Holes"]
        listed = [dict(zip(table.columns, row, strict=True)) for row in table.rows]
        return {row["for"]: (float(row["x"]), float(row["y"])) for row in listed}

    part = PARTS["stay"]
    one, other = part.piece("plate"), part.mirrored().piece("plate")
    assert isinstance(one, Plate)
    wide, found = blank_of(one).length, holes(other)
    assert len(found) == 4
    for name, (x, y) in holes(one).items():
        assert found[name] == (pytest.approx(wide - x, abs=0.011), pytest.approx(y, abs=0.011)), name


def test_the_wrap_is_mirrored_and_its_clock_runs_the_other_way() -> None:
    tube = Tube(
        name="tube",
        od=38.0,
        wall=3.0,
        length=120.0,
        start=TubeEnd(kind="plane", angle=70.0, clock=30.0),
        end=TubeEnd(kind="saddle", angle=62.0, r=30.0, offset=4.0, clock=110.0),
    )
    other, r = tube.mirrored(), 19.0
    differs = 0.0
    for which in ENDS:
        for degrees in range(0, 360, 15):
            turn, back = float(degrees), float(180 - degrees)
            height = contour(tube, which, turn, r)
            assert contour(other, which, back, r) == pytest.approx(height, abs=1e-9)
            differs = max(differs, abs(contour(other, which, turn, r) - height))
    assert differs > 0.5, "a tube that is its own image would prove nothing"
    [mine], [theirs] = cut_rows([tube], ()), cut_rows([other], ())
    assert theirs.clock == pytest.approx(-mine.clock % 360.0)
    assert theirs.start.short == pytest.approx((180.0 - mine.start.short) % 360.0)
    assert theirs.long == pytest.approx(mine.long)


# -------------------------------------------------------------------------------------------------------- the bay
def test_the_mirrored_bay_is_the_same_bay_seen_in_a_mirror(bay: Bay) -> None:
    there = reflected_bay(bay, SLANT)
    for mount, image in zip(bay.mounts, there.mounts, strict=True):
        mine, theirs = mount_frame(bay, mount, "chassis"), mount_frame(there, image, "chassis")
        assert theirs.frame.at == pytest.approx(SLANT.point(mine.frame.at))
        assert theirs.frame.up == pytest.approx(SLANT.direction(mine.frame.up))
        assert theirs.values["rail reach"] == pytest.approx(mine.values["rail reach"])
        assert theirs.values["rail slope"] == pytest.approx(mine.values["rail slope"])
        assert theirs.values["rail side angle"] == pytest.approx(-mine.values["rail side angle"])  # type: ignore[operator]


@pytest.mark.parametrize(
    "turned", [{}, {"box_at": (5.0, -40.0, 3.0), "box_axis": (1.0, 1.0, 0.0), "box_up": (0.0, 0.2, 1.0)}]
)
@pytest.mark.parametrize("plane", [Plane(), SLANT], ids=str)
def test_the_corners_of_a_box_are_mirrored(bay: Bay, plane: Plane, turned: dict[str, Vec]) -> None:
    box = KeepOut(name="box", box_from=(10.0, 20.0, 0.0), box_to=(30.0, 60.0, 5.0), **turned)  # type: ignore[arg-type]
    (there,) = reflected_bay(replace(bay, keep_outs=(box,)), plane).keep_outs

    def corners(of: KeepOut) -> list[Vec]:
        assert of.box_from is not None
        assert of.box_to is not None
        return [box_place(of).point(corner) for corner in product(*zip(of.box_from, of.box_to, strict=True))]

    mirrored = [plane.point(corner) for corner in corners(box)]
    apart = np.linalg.norm(np.array(mirrored)[:, None] - np.array(corners(there)), axis=2)
    assert apart.min(axis=0) == pytest.approx(np.zeros(8), abs=1e-9)
    assert apart.min(axis=1) == pytest.approx(np.zeros(8), abs=1e-9)


def test_the_powertrain_is_mirrored_where_it_stands(bay: Bay) -> None:
    place = {"place_at": (10.0, 5.0, -3.0), "place_roll": 4.0, "place_yaw": 2.0}
    moved = replace(bay, powertrain=replace(bay.powertrain, **place))  # type: ignore[arg-type]
    from brackets.bay.hung.mount_frames import place_of

    there, set_at = reflected_bay(moved, Plane()), place_of(moved.powertrain)
    for boss, image in zip(bay.bosses, there.bosses, strict=True):
        x, y, z = set_at.point(boss.at)
        assert place_of(there.powertrain).point(image.at) == pytest.approx((x, -y, z))


def test_each_hand_stands_on_its_own_bosses_and_bush(standing: PlacedBay) -> None:
    for part in standing.parts:
        assert {misfit.off < 1e-9 and misfit.angle < 1e-5 for misfit in part.misfits} == {True}, part.name
    right = by_name(standing)["right_arm"]
    assert right.seat("R2").place.at == pytest.approx((131, -128, 422))
    assert right.seat("bush").place.at == pytest.approx((90, -283, 428))
    assert right.mass.centroid[1] < -100


def test_two_hands_on_mirrored_bosses_are_mirror_images(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        ("at = [131, -128, 422]", "at = [128, -128, 426]"),
        ("at = [90, -283, 428]", "at = [90, -283, 426]"),
        ("from = [-790, -352, 455]", "from = [-790, -355, 455]"),
    )
    found = placed_bay(read(path))
    part = by_name(found)
    for kind in ("arm", "ears"):
        left, right = part[f"left_{kind}"], part[f"right_{kind}"]
        x, y, z = (float(c) for c in left.mass.centroid)
        assert right.mass.kg == pytest.approx(left.mass.kg, rel=1e-12)
        assert tuple(right.mass.centroid) == pytest.approx((x, -y, z), abs=1e-8)
        flip = np.diag([1.0, -1.0, 1.0])
        assert np.array(right.mass.inertia) == pytest.approx(flip @ np.array(left.mass.inertia) @ flip, rel=1e-8)
    assert {part.hand.differs for part in found.parts if part.hand} == {()}


def test_what_differs_is_listed_in_mm(standing: PlacedBay) -> None:
    hand = {part.name: part.hand for part in standing.parts}
    arm, ears = hand["right_arm"], hand["right_ears"]
    assert arm is not None
    assert ears is not None
    assert arm.differs == (
        "boss R2 is 5.00 mm off the mirror image of boss L2 (x, y, z +3.00, +0.00, -4.00)",
        "bush right is 2.00 mm off the mirror image of bush left (x, y, z +0.00, +0.00, +2.00)",
    )
    assert ears.differs[0] == arm.differs[1]
    assert [line.split(":")[0] for line in ears.differs[1:]] == ["reach", "slope", "side_angle"]
    assert ears.differs[1] == "reach: left 76.56 mm, right 78.14 mm"
    left = hand["left_arm"]
    assert left is not None
    assert (left.label, left.mirrored, left.other, left.differs) == ("LEFT HAND", False, "right_arm", arm.differs)


@pytest.mark.parametrize(
    ("left", "right", "said"),
    [
        ((10.0, 20.0, 0.0), (10.0, 20.0, 0.005), None),
        # both as of the left hand; mirrored in y = 0, 3 the other way and 4 up
        ((10.0, 20.0, 0.0), (10.0, 23.0, 4.0),
         " is 5.00 mm off the mirror image of that of the left hand (x, y, z +0.00, -3.00, +4.00)"),
        # directions, one long: no mm lie between them
        ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), ": left 1,0,0, right 0,1,0"),
        ((1.0, 0.0, 0.0), None, ": left 1,0,0, right none"),
    ],
)  # fmt: skip
def test_a_point_differs_by_mm_and_a_direction_by_both_of_it(
    left: Vec, right: Vec | None, said: str | None
) -> None:
    (axis,) = (param for param in fields(Mount) if param.name == "axis")
    assert list(_value(axis, left, right, "right", Plane())) == ([] if said is None else [f"axis{said}"])


@pytest.mark.parametrize(
    ("a", "b", "alike"), [(6.0, 6.009, True), (6.0, 6.02, False), (6.0, None, False), (None, 6.0, False)]
)
def test_values_are_alike_to_a_hundredth_and_none_is_no_figure(
    a: float | None, b: float | None, alike: bool
) -> None:
    assert _same(a, b) is alike


def test_own_values_stand_and_are_listed_and_a_washer_goes_to_its_own_boss(tmp_path: Path) -> None:
    path = written(tmp_path, ('mirror_of = "left_ears"', 'mirror_of = "left_ears"\nt = 8'))
    parts = {part.name: part for part in placed_bay(read(path)).parts}
    assert parts["right_arm"].params.washers == (("R4", 3.5),)  # type: ignore[attr-defined]
    hand = parts["right_ears"].hand
    assert hand is not None
    assert "t: left 6 mm, right 8 mm" in hand.differs


def test_a_plane_of_its_own_and_a_typed_place(tmp_path: Path) -> None:
    text = """
format = 1
name = "plane"
[centre_plane]
at = [0, 15, 0]
[[part]]
name = "a"
recipe = "gusset"
at = [100, 40, 0]
[[part]]
name = "b"
mirror_of = "a"
[[part]]
name = "c"
mirror_of = "a"
at = [100, -30, 5]
"""
    path = tmp_path / "p.toml"
    path.write_text(text, "utf-8")
    a, b, c = placed_bay(read(path)).parts
    assert b.part.mass.centroid[1] == pytest.approx(30 - a.part.mass.centroid[1])
    assert c.part.mass.centroid[1] == pytest.approx(b.part.mass.centroid[1] - (-10 - -30))
    assert c.part.mass.centroid[2] == pytest.approx(b.part.mass.centroid[2] + 5)
    assert b.hand == Hand(word="right", mirrored=True, plane="the centre plane y = 15", other="a")
    assert a.hand is not None
    assert a.hand.word == "left"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('mirror_of = "left_ears"', 'mirror_of = "left_eras"', "mirror_of = left_eras, nearest: left_ears"),
        ('mirror_of = "left_ears"', 'mirror_of = "right_ears"', "mirror_of = right_ears, nearest"),
        ('mirror_of = "left_ears"', 'mirror_of = "left_ears"\nmirrored = true', "one that is not mirrored itself"),
        ('mirror_of = "left_ears"', 'mirror_of = "left_ears"\nrecipe = "cup"', "recipe = cup, none or ears"),
        ('bosses = ["R1", "R2", "R3", "R4"]', 'bosses = ["R1", "R2", "R3"]', "bosses = 3, 4 of its own"),
        ('bosses = ["R1", "R2", "R3", "R4"]', "", "bosses = 0, 4 of its own"),
        (
            'mirror_of = "left_ears"',
            'mirror_of = "left_ears"\nhand = "left"\n[[part]]\nname = "x"\nmirror_of = "right_ears"',
            "part x: mirror_of = right_ears, one that is not mirrored itself",
        ),
    ],
)
def test_what_is_no_pair_of_hands_is_refused(old: str, new: str, said: str, tmp_path: Path) -> None:
    with pytest.raises(BadFile) as error:
        read(written(tmp_path, (old, new)))
    assert said in str(error.value)


def test_a_plane_across_does_not_say_which_is_left(tmp_path: Path) -> None:
    text = (
        'format = 1\n[centre_plane]\nnormal = [1, 0, 0]\n'
        '[[part]]\nname = "a"\nrecipe = "gusset"\nat = [100, 0, 0]\n'
        '[[part]]\nname = "b"\nmirror_of = "a"\n'
    )
    path = tmp_path / "p.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(BadFile, match=r"part b: hand = nothing, left or right: .* plane x = 0 does not say"):
        placed_bay(read(path))
    path.write_text(text + 'hand = "left"\n', "utf-8")
    assert [part.hand.word for part in placed_bay(read(path)).parts if part.hand] == ["right", "left"]
    twice = text.replace('at = [100, 0, 0]', 'at = [100, 0, 0]\nhand = "left"') + 'hand = "left"\n'
    path.write_text(twice, "utf-8")
    with pytest.raises(BadFile, match=r"part b: hand = left, the other one: a is the left hand"):
        read(path)


@pytest.mark.parametrize(("beside", "words"), [(0.99, None), (1.01, ["left", "right"]), (-1.01, ["right", "left"])])
def test_a_part_a_millimetre_off_the_plane_is_on_a_side_of_it(
    beside: float, words: list[str] | None, tmp_path: Path
) -> None:
    y = beside - float(default("gusset").mass.centroid[1])
    path = tmp_path / "p.toml"
    path.write_text(
        f'format = 1\n[[part]]\nname = "a"\nrecipe = "gusset"\nat = [0, {y}, 0]\n'
        '[[part]]\nname = "b"\nmirror_of = "a"\n', "utf-8",
    )  # fmt: skip
    if words is None:
        with pytest.raises(BadFile, match="part b: hand = nothing, left or right"):
            placed_bay(read(path))
        return
    assert [part.hand.word for part in placed_bay(read(path)).parts if part.hand] == words


def test_mirrored_of_format_1_still_flips_in_the_recipes_own_plane_and_says_so(tmp_path: Path) -> None:
    text = 'format = 1\n[[part]]\nname = "g"\nrecipe = "gusset"\nat = [0, 0, 0]\nmirrored = true\n'
    path = tmp_path / "p.toml"
    path.write_text(text, "utf-8")
    [part] = placed_bay(read(path)).parts
    x, y, z = (float(c) for c in default("gusset").mass.centroid)
    assert tuple(part.part.mass.centroid) == pytest.approx((-x, y, z))
    assert part.hand == Hand(word="", mirrored=True, plane="the recipe's own plane x = 0")
    assert part.hand.notes[0].startswith("OTHER HAND: the mirror image of the recipe as written")


# ------------------------------------------------------------------------------------------ paper, cut files, facts
def test_left_and_right_stand_on_everything(standing: PlacedBay, tmp_path: Path) -> None:
    """Sheets, templates, DXF, SVG, file names, facts and screen of a pair; a third part has a hand in no name."""
    pair = tuple(part for part in standing.parts if part.name.endswith("_ears"))
    named = replace(standing, parts=(*pair, replace(pair[1], name="bracket")), bought=())
    bodies = bay_bodies(replace(named, bay=replace(named.bay, keep_outs=())))
    fit = Fit(stood=named, things=bodies, pairs=(), moved=(), paths=(), bolts=(), seats=(), findings=())
    names = files.write(fit, tmp_path / "out")
    assert {"left_ears.pdf", "right_ears.pdf", "bracket-right.pdf", "bracket-right-ears.dxf"} <= set(names)
    out = tmp_path / "out"
    for stem, word, other in (("left_ears", "LEFT", "RIGHT"), ("right_ears", "RIGHT", "LEFT")):
        pages = [page.extract_text() for page in PdfReader(out / f"{stem}.pdf").pages]
        assert all(f"{stem}, {word} HAND" in page for page in pages), "on every page, templates too"
        text = "\n".join(pages)
        assert f"{other} HAND" not in text
        assert f"{word} HAND: " in text
        assert "centre plane y = 0" in text
        assert "bush right is 2.00 mm off the mirror image of bush left" in text
        said = [e.dxf.text for e in ezdxf.readfile(out / f"{stem}-ears.dxf").modelspace().query("TEXT")]
        assert any(f"{stem}, {word} HAND" in line for line in said)
        drawn = (out / f"{stem}-ears.svg").read_text("utf-8")
        assert drawn.count(f"{word} HAND") == 2, "in its title and in the drawing"
    facts = json.loads((out / "facts.json").read_text("utf-8"))
    hands = {part["name"]: part["hand"] for part in facts["parts"]}
    assert (hands["left_ears"]["hand"], hands["left_ears"]["other"]) == ("left", "right_ears")
    assert (hands["right_ears"]["hand"], hands["right_ears"]["mirrored"]) == ("right", True)
    assert hands["right_ears"]["plane"] == "the centre plane y = 0 (not stated, the default)"
    assert hands["right_ears"]["differs"] == list(record(fit)["parts"][1]["hand"]["differs"])
    screen = fit_text(replace(fit, stood=replace(named, parts=pair)), None)
    assert "right_ears, RIGHT HAND, is the mirror image of left_ears about the centre plane y = 0" in screen
    assert "  reach: left 76.56 mm, right 78.14 mm" in screen


def test_make_makes_the_other_hand(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: object) -> None:
    monkeypatch.chdir(tmp_path)
    for hand in ("left", "right"):
        assert main(["make", "gusset", "--hand", hand]) == 0
    said = capsys.readouterr().out  # type: ignore[attr-defined]
    assert "RIGHT HAND: the mirror image of the recipe as written" in " ".join(said.split())
    found = {}
    for hand in ("left", "right"):
        out = tmp_path / "out" / f"gusset-{hand}"
        found[hand] = json.loads((out / "facts.json").read_text("utf-8"))
        assert found[hand]["hand"]["hand"] == hand
        text = "\n".join(page.extract_text() for page in PdfReader(out / f"gusset-{hand}.pdf").pages)
        assert f"gusset, {hand.upper()} HAND" in text
    (ax, ay, az), (bx, by, bz) = (found[hand]["centroid_mm"] for hand in ("left", "right"))
    assert (bx, by, bz) == pytest.approx((-ax, ay, az))
    assert abs(ax) > 1.0
    assert main(["make", "gusset", "--hand", "both", "--no-files"]) == 2
    assert '--hand = "both", must be left or right' in capsys.readouterr().err  # type: ignore[attr-defined]


def test_no_hand_asked_is_no_word_of_one() -> None:
    opened = recipe("gusset")
    plain, left = made(opened, opened.Params()), made(opened, opened.Params(), hand="left")
    assert (plain.hand, plain.name) == (None, "gusset")
    assert left.part == plain.part


def test_a_recipe_value_may_not_be_called_hand(tmp_path: Path) -> None:
    source = (recipe("gusset").path).read_text("utf-8")
    path = tmp_path / "mine.py"
    one = '    hand: Annotated[float, mm(0, 9, "x")] = 1.0\n'
    path.write_text(source.replace("class Params(Checked):\n", f"class Params(Checked):\n{one}", 1), "utf-8")
    with pytest.raises(BadRecipe, match="a value is named hand, must be another word"):
        recipe(path)


def test_a_file_keeps_the_hand_it_has_in_its_name() -> None:
    hand = Hand(word="right", mirrored=True, plane="x")
    assert hand.named("right_arm") == "right_arm"
    assert hand.named("left_arm") == "left_arm-right"
    assert hand.named("bright") == "bright-right"
    assert Hand(word="", mirrored=True, plane="x").named("arm") == "arm-other-hand"


def test_a_plane_says_itself_and_mirrors_twice_to_the_same() -> None:
    assert [str(p) for p in (Plane(), Plane((1, 12.5, 3), (0, -2, 0)), Plane((0, 0, 4), (0, 0, 1)))] == [
        "y = 0", "y = 12.5", "z = 4",
    ]  # fmt: skip
    assert str(Plane((1, 2, 3), (3, 4, 0))) == "through (1, 2, 3) square to (0.6, 0.8, 0)"
    assert SLANT.point(SLANT.point((1.0, 2.0, 3.0))) == pytest.approx((1.0, 2.0, 3.0))
    assert SLANT.distance(SLANT.point((1.0, 2.0, 3.0))) == pytest.approx(-SLANT.distance((1.0, 2.0, 3.0)))
