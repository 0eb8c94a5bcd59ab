"""Two hands in one table, and one set of drawings where they are mirror images: by the metal, not by values."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from pypdf import PdfReader

import brackets
from brackets import hands
from brackets.app.cli.app import main
from brackets.core.errors import BadFile, InputError
from brackets.core.place import Place
from brackets.forming.flat_pattern import blank_of
from brackets.model.hands import WITHIN, compared
from brackets.model.part import Part
from brackets.model.plate import Folded, Plate, Wall
from brackets.model.tube import Tube, TubeEnd
from brackets.variants.bay_result import other_hands
from brackets.variants.hand_files import cuts_of_both, own_image, told_of_both
from brackets.variants.hands import Hands

BAY = Path(__file__).parent / "two_hands.toml"

LEVELLED = (
    ("from = [-790, -352, 455]", "from = [-790, -355, 455]"),
    ("at = [131, -128, 422]", "at = [128, -128, 426]"),
    ("at = [90, -283, 428]", "at = [90, -283, 426]"),
)
"""What makes the right side of the bay the mirror image of the left."""

RECIPE = '''
"""A plate with a slot and a hole."""
from dataclasses import dataclass
from typing import Annotated
from brackets import (
    Checked, Finding, Hole, Part, Place, Plate, Seat, Slot, Tube, TubeEnd, TubeRim, Wall, Weld, mm, rectangle, text
)

@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    x: Annotated[float, mm(0, 60, "slot from the middle")] = 20.0
    turn: Annotated[float, mm(0, 360, "clock of the tube's cut")] = 30.0
    t: Annotated[float, mm(1, 20, "plate")] = 6.0
    note: Annotated[str, text("shapes nothing")] = "one"

def check(p):
    return iter(())

def build(p):
    slot = Slot(a=(p.x, 10), b=(p.x, 22), d=9)
    hole = Hole(at=(-30, -12), d=11, name="pilot")
    plate = Plate(name="plate", wall=Wall(outline=rectangle(140, 60), openings=(slot, hole)), t=p.t)
    end = TubeEnd(kind="plane", angle=70, clock=p.turn)
    tube = Tube(name="post", od=30, wall=2, length=80, end=end, place=Place(at=(0, 0, p.t)))
    weld = Weld(piece="post", edge=TubeRim("start"), onto="plate", leg=3)
    return Part(name="foot", pieces=(plate, tube), welds=(weld,),
                seats=(Seat(name="under", place=Place(axis=(0, 0, -1)), kind="face"),))
'''


def levelled(tmp_path: Path) -> Path:
    text = BAY.read_text("utf-8")
    for old, new in LEVELLED:
        assert old in text
        text = text.replace(old, new, 1)
    path = tmp_path / "level.toml"
    path.write_text(text, "utf-8")
    return path


def pair(tmp_path: Path, right: str = "", left: str = "", also: str = "") -> Hands:
    """Two feet, the right one mirrored, with values of its own."""
    (tmp_path / "foot.py").write_text(RECIPE)
    path = tmp_path / "feet.toml"
    path.write_text(
        f'format = 1\npart = [{{ name = "near", recipe = "./foot.py", at = [0, 300, 0]{left} }},'
        f' {{ name = "far", mirror_of = "near"{right} }}]\n{also}'
    )
    return hands(path, "near", "far")


@pytest.fixture(scope="module")
def level(tmp_path_factory: pytest.TempPathFactory) -> Hands:
    folder = tmp_path_factory.mktemp("level")
    return hands(levelled(folder), "left_arm", "right_arm", fitted=True)


# --------------------------------------------------------------------------------- mirror images, by the metal
def test_hands_on_mirrored_bosses_are_mirror_images(level: Hands) -> None:
    assert level.relation == "mirror images"
    assert level.prevents == ()
    assert [figure.said for figure in level.differing] == []


@pytest.mark.parametrize(("x", "relation"), [(20.1, "different"), (20.011, "different"), (20.009, "mirror images")])
def test_a_slot_off_on_one_side_is_no_mirror_image(tmp_path: Path, x: float, relation: str) -> None:
    """0.1 mm, and just over and under what is one (WITHIN)."""
    found = pair(tmp_path, f", x = {x}")
    assert found.relation == relation
    off = f"{x - 20:.2f}"
    assert found.prevents == () if relation == "mirror images" else (
        f"piece plate: wall opening 1 end {off} mm off the mirror image (-{off}, +0.00)",
        f"piece plate: wall opening 1 other end {off} mm off the mirror image (-{off}, +0.00)",
    )


def test_a_value_that_shapes_nothing_prevents_nothing_and_stands_in_the_table(tmp_path: Path) -> None:
    found = pair(tmp_path, ', note = "two"')
    assert found.relation == "mirror images"
    assert [(f.about, f.what, f.said) for f in found.differing] == [("value", "note", "note: left one, right two")]
    note = next(n for n in cuts_of_both(found)[1].drawings[0].title.notes if n.startswith("Differs"))
    assert note == "Differs, not in the metal: note: left one, right two."


def test_values_that_are_one_and_metal_that_is_not(tmp_path: Path) -> None:
    """A part that is no mirror image is not called one because its values are: two feet, none mirrored."""
    (tmp_path / "foot.py").write_text(RECIPE)
    path = tmp_path / "feet.toml"
    row = '{{ name = "{}", recipe = "./foot.py", at = [0, {}, 0], axis = [0, 0, 1], up = [0, 1, 0] }}'
    path.write_text(f"format = 1\npart = [{row.format('near', 300)}, {row.format('far', -300)}]\n")
    found = hands(path, "near", "far")
    assert found.relation == "alike"
    assert found.prevents
    for cut in cuts_of_both(found):
        if cut.names:
            assert dict(cut.drawings[0].facts)["number"] == "cut 2, none turned over"
    assert "LEFT and RIGHT as drawn" in cuts_of_both(found)[0].drawings[0].title.part


@pytest.mark.parametrize(
    ("right", "says"),
    [
        (", turn = 30.02", "piece post: end clock: 150.02, of the mirror image 150"),
        (", t = 6.1", "piece plate: t: 6.1, of the mirror image 6"),
    ],
)
def test_what_prevents_it_is_said(tmp_path: Path, right: str, says: str) -> None:
    found = pair(tmp_path, right)
    assert found.relation == "different"
    says = says.replace("150.02", "149.98")
    assert says in found.prevents


def plate(*, x: float = 10.0, y: float = 10.0, wide: float = 80.0, material: str = "S235") -> Plate:
    wall = Wall(outline=brackets.rectangle(wide, 40), openings=(brackets.Hole(at=(x, y), d=9),))
    return Plate(name="plate", wall=wall, t=6, material=material)


@pytest.mark.parametrize(
    ("other", "said"),
    [
        (plate(x=-10.02), "opening 1 at 0.02 mm off"),
        (Plate(name="plate", wall=Wall(outline=brackets.rectangle(80, 40)), t=6), "openings: left 1, right 0"),
        (plate(x=-10, material="S355"), "material: left S235, right S355"),
        (plate(x=-10, wide=80.1), "wall outline up to 0.05 mm off"),
        (Tube(name="plate", od=30, wall=2, length=50), "kind: left plate, right tube"),
        (replace(plate(x=-10), wall=replace(plate().wall, openings=())), "openings: left 1, right 0"),
    ],
)
def test_every_field_of_a_piece_is_held_against_the_image(other: Plate | Tube, said: str) -> None:
    one = Part(name="one", pieces=(plate(),))
    assert not any(f.differs for f in compared(one, one.mirrored()))
    told = [f.said for f in compared(one, Part(name="other", pieces=(other,))) if f.differs]
    assert any(said in line for line in told), told


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"d": 9.5}, "opening 1 (run) d: 9.5, of the mirror image 9"),
        ({"bolt": "M10"}, "opening 1 (run) bolt: left M8, right M10"),
        ({"b": (-20.0, 5.03)}, "opening 1 (run) other end 0.03 mm off"),
        ({"a": (-20.0, 5.0), "b": (-10.0, 5.0)}, ""),  # the same slot, begun at its other end
        ({"name": "called otherwise"}, ""),
    ],
)
def test_a_slot_is_held_against_its_image_whichever_end_is_first(change: dict[str, object], said: str) -> None:
    slot = brackets.Slot(a=(10, 5), b=(20, 5), d=9, bolt="M8", name="run")
    one = Plate(name="plate", wall=Wall(outline=brackets.rectangle(80, 40), openings=(slot,)), t=6)
    image = one.mirrored()
    own = replace(slot.mirrored(), **change)  # type: ignore[arg-type]
    other = replace(image, wall=replace(image.wall, openings=(own,)))
    told = [f.said for f in compared(Part(name="a", pieces=(one,)), Part(name="b", pieces=(other,))) if f.differs]
    assert len(told) == bool(said)
    assert all(said in line for line in told), told


def test_how_the_pieces_stand_to_each_other_counts_and_where_the_whole_stands_does_not() -> None:
    base, post = plate(), Tube(name="post", od=30, wall=2, length=50, place=Place(at=(5, 0, 6)))
    one = Part(name="one", pieces=(base, post))
    image = one.mirrored()
    moved = image.placed(Place(at=(100, -40, 7), axis=(0, 1, 1), up=(1, 0, 0)))
    assert not any(f.differs for f in compared(one, moved))
    off = Part(name="off", pieces=(image.pieces[0], image.pieces[1].placed(Place(at=(0.0, 0.02, 0.0)))))
    [said] = [f.said for f in compared(one, off) if f.differs]
    assert "0.02 mm off the mirror image" in said
    only = Part(name="only", pieces=(image.pieces[0],))
    assert [f.said for f in compared(one, only) if f.differs] == ["piece post: only the left has it"]


# ------------------------------------------------------------------------------------------- the one drawing
def test_sheets_say_how_many_are_turned_over(tmp_path: Path) -> None:
    found = pair(tmp_path)
    tubes, slab, post = cuts_of_both(found)
    assert dict(slab.drawings[0].facts)["number"] == "cut 2, 1 of them turned over"
    assert slab.drawings[0].notes[0].startswith("RIGHT: the blank turned over: mark the face that is under here")
    assert slab.drawings[0].title.part == "near and far, LEFT as drawn, RIGHT mirrored"
    assert [row.names for row in tubes.rows] == [("post LEFT", "post RIGHT")]
    assert tubes.rows[0].count == 2
    # its other end is square: turned about its own axis the post is its own mirror image
    assert dict(post.drawings[0].facts)["number"] == "cut 2, none turned over"


def test_the_drawn_blank_turned_over_is_the_blank_of_the_right_hand(level: Hands) -> None:
    """The outline on the one sheet, mirrored, has the corners that the right hand's own blank has."""
    drawn = {cut.names[0]: cut.drawings[0] for cut in cuts_of_both(level) if cut.names}
    own = blank_of(level.right.part.piece("plate"))  # type: ignore[arg-type]
    x0, y0, _, _ = own.outline.bounds
    right = sorted((round(s.a[0] - x0, 3), round(s.a[1] - y0, 3)) for s in own.cut.outer.segments)
    outline = max((s for s in drawn["plate"].strokes if s.layer == "cut"), key=lambda s: s.bounds[2] - s.bounds[0])
    wide = outline.bounds[2]
    left = sorted((round(wide - s.a[0], 3), round(s.a[1], 3)) for s in outline.segments)
    # an edge's start is its end once it is turned over: the same corners
    assert [abs(a - b) < 0.002 for p, q in zip(left, right, strict=True) for a, b in zip(p, q, strict=True)] == [
        True
    ] * (2 * len(left))


def test_bends_are_said_to_change_their_way(tmp_path: Path) -> None:
    found = hands(levelled(tmp_path), "left_ears", "right_ears")
    [ears] = [cut for cut in cuts_of_both(found) if cut.names == ("ears",)]
    assert any("marked on the face drawn here, up is down, down up" in note for note in ears.drawings[0].notes)
    one, other = found.left.part.piece("ears"), found.right.part.piece("ears")
    assert isinstance(one, Folded)
    assert isinstance(other, Folded)
    assert [f.angle for f in one.flanges] == [f.angle for f in other.flanges]  # as written, seen on their own face


def test_what_turned_over_is_the_same_is_not_turned_over() -> None:
    assert own_image(plate(x=0.0))  # symmetrical about its middle line
    assert own_image(plate(y=0.0))
    assert not own_image(plate())
    square = Wall(outline=brackets.rectangle(40, 40), openings=(brackets.Hole(at=(9, 9), d=5),))
    assert own_image(Plate(name="square", wall=square, t=3))  # about its diagonal
    slots = Wall(outline=brackets.rectangle(80, 40), openings=(brackets.Slot(a=(10, 5), b=(20, 5), d=5),))
    assert not own_image(Plate(name="slots", wall=slots, t=3))
    cut = TubeEnd(kind="saddle", angle=80, r=20, clock=30)
    assert own_image(Tube(name="one", od=30, wall=2, length=80, end=cut))
    other = TubeEnd(kind="saddle", angle=80, r=20, clock=40)
    assert not own_image(Tube(name="both", od=30, wall=2, length=80, start=other, end=cut))
    off = TubeEnd(kind="saddle", angle=80, r=20, clock=30, offset=3)
    assert not own_image(Tube(name="off", od=30, wall=2, length=80, end=off))


def test_a_stop_of_the_right_hand_stands_on_the_one_sheet(tmp_path: Path) -> None:
    """A box through the right foot alone: the sheets that both are cut by stop, and say which hand it is."""
    box = '[[keep_out]]\nname = "tank"\nbox = { from = [-60, -320, 2], to = [-50, -310, 40] }\n'
    found = pair(tmp_path, also=box).fitted()
    assert found.relation == "mirror images"
    assert found.stops
    stops = [f for f in told_of_both(found) if f.level == "stop"]
    assert [f.sentence.partition(":")[0] for f in stops] == ["RIGHT"]
    for cut in cuts_of_both(found):
        assert all(drawing.title.stops for drawing in cut.drawings)
    number = next(dict(c.drawings[0].facts)["number"] for c in cuts_of_both(found) if c.names == ("plate",))
    assert number == "2 wanted, 1 of them turned over"


def test_files_table_and_drawings(level: Hands, tmp_path: Path) -> None:
    files = level.write(tmp_path / "out")
    assert {path.name for path in (tmp_path / "out").iterdir()} == set(files)
    assert "left_arm-and-right_arm.pdf" in files
    told = json.loads((tmp_path / "out" / "facts.json").read_text("utf-8"))
    assert (told["relation"], told["within_mm"]) == ("mirror images", WITHIN)
    assert told["hands"] == ["left_arm", "right_arm"]
    assert told["sha256"]["hands.csv"] == hashlib.sha256((tmp_path / "out" / "hands.csv").read_bytes()).hexdigest()
    rows = list(csv.DictReader(io.StringIO((tmp_path / "out" / "hands.csv").read_text("utf-8"))))
    mass = next(row for row in rows if row["what"] == "mass")
    assert float(mass["left"]) == pytest.approx(level.left.part.mass.kg, rel=1e-5)
    gap = next(row for row in rows if row["what"] == "tightest gap")
    assert gap["left"].split()[0] == gap["right"].split()[0]
    text = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(tmp_path / "out" / files[2]).pages)
    assert "left_arm and right_arm, LEFT as drawn, RIGHT mirrored" in text
    assert "cut 2, 1 of them turned over" in text
    drawn = ezdxf.readfile(tmp_path / "out" / "left_arm-and-right_arm-plate.dxf")
    assert any("turned over" in each.dxf.text for each in drawn.modelspace().query("TEXT"))


def test_different_hands_get_no_common_drawing(tmp_path: Path) -> None:
    assert pair(tmp_path, ", x = 20.1").write(tmp_path / "out") == ("hands.csv", "hands.xlsx", "facts.json")


# --------------------------------------------------------------------------------- file, command, what is wrong
def test_a_family_file_of_hands(tmp_path: Path) -> None:
    pair(tmp_path)
    file = tmp_path / "mine.toml"
    file.write_text('format = 1\nbay = "feet.toml"\nhands = ["near", "far"]\n')
    assert hands(file).relation == "mirror images"
    with pytest.raises(BadFile, match="hands = near, far, has no rows"):
        brackets.family(file)
    file.write_text('format = 1\nrecipe = "cup"\nhands = ["near"]\n[vary]\nod = 3\n')
    with pytest.raises(BadFile) as caught:
        hands(file)
    said = str(caught.value)
    for each in ("hands = near, must be two", "bay = nothing", "recipe = given with", "vary = given with"):
        assert each in said
    file.write_text('format = 1\nrecipe = "cup"\n')
    with pytest.raises(InputError, match="hands = nothing, two parts of a bay"):
        hands(file)


def test_wrong_parts_are_said_at_once() -> None:
    with pytest.raises(InputError) as caught:
        hands(BAY, "left_arms", "right")
    assert len(caught.value.problems) == 2
    assert "nearest: left_arm" in caught.value.problems[0]
    with pytest.raises(InputError, match='right = "left_arm", another part'):
        hands(BAY, "left_arm", "left_arm")
    with pytest.raises(InputError) as caught:
        hands(BAY, "right_arm", "left_arm")
    assert caught.value.problems[0] == 'left = "right_arm", must be a left hand: the bay says it is the right hand'


def test_the_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    pair(tmp_path, ", x = 20.1")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "110")
    assert main(["family", "feet.toml", "--hands", "near,far"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "near and far are no mirror images within 0.01 mm and 0.01 degrees: 2 figures of their metal" in said
    assert "0.100 mm" in said
    assert (tmp_path / "out" / "feet_hands_near_far" / "hands.csv").is_file()
    assert main(["family", "feet.toml", "--hands", "near,far", "--json", "--no-files"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["relation"], len(told["prevents"]), told["files"]) == ("different", 2, [])
    assert main(["family", "feet.toml", "--hands", "near", "--x", "20", "--skip", "x > 3"]) == 2
    said = capsys.readouterr().err
    assert [word in said for word in ("--x = given", "--skip = given", "--hands = near, must be two")] == [True] * 3
    assert main(["family", "cup", "--hands", "near,far"]) == 2
    assert "cup = given with --hands, must be a bay file" in capsys.readouterr().err


def test_hands_whose_values_are_one_and_whose_metal_is_not_are_told_in_a_row(tmp_path: Path) -> None:
    """In a family's row of the other hand: where bosses, bushes and values agree the metal is looked at too."""
    found = pair(tmp_path)
    assert other_hands(found.stood, "near")["hands"][0]["differs"] == []
    slab, post = found.right.part.pieces
    assert isinstance(slab, Plate)
    wrong = replace(found.right.part, pieces=(replace(slab, t=7.0), post))
    stood = replace(found.stood, parts=(found.left, replace(found.right, part=wrong)))
    assert other_hands(stood, "near")["hands"][0]["differs"] == ["piece plate: t: 7, of the mirror image 6"]
