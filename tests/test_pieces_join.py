"""A part is one thing: no metal counted twice, every piece reached, every weld on what it welds."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from cadquery import Solid, Vector
from pypdf import PdfReader

from brackets.app.cli.app import main
from brackets.app.preview.build import source
from brackets.app.preview.render_mesh import LIVE
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.forming.shop_file import default
from brackets.geometry.shapes import rectangle
from brackets.kernel.shared import CONTACT_VOLUME, shared, solid_findings
from brackets.library.plates import plate
from brackets.library.rounds import ring
from brackets.model.holes import Hole, Slot
from brackets.model.part import Part, assembled
from brackets.model.piece import CustomPiece, Piece, Seat
from brackets.model.plate import Plate
from brackets.model.tube import Step, Turned
from brackets.model.weld import Along, Circle, StraightEdge, Weld
from brackets.rules.joints import ALONG, ROOT_OPENING, joint_findings
from brackets.rules.part import general_findings

OVERLAP = '''"""Two plates that stand in each other, and one that hangs in the air."""
from dataclasses import dataclass
from typing import Annotated
from brackets import Checked, Part, Place, PLATE, plate, rectangle, stock

@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    t: Annotated[float, stock(PLATE, "plate")] = 6.0

def build(p: Params) -> Part:
    a = plate(rectangle(80, 40), p.t, name="a")
    b = plate(rectangle(40, 40), p.t, name="b", place=Place((0, 0, 2), (1, 0, 0), (0, 0, 1)))
    c = plate(rectangle(30, 30), p.t, name="c", place=Place((0, 0, 200)))
    return Part(name="overlap", pieces=(a, b, c))
'''
SAID = (
    "a and b stand in each other: 1440 mm3 in common at 3.0, 0.0, 3.0",  # 6 x 40 x 6
    "no weld or bolt reaches b",
    "no weld or bolt reaches c",
)


@pytest.fixture(scope="module")
def there(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("overlap")
    (folder / "overlap.py").write_text(OVERLAP, "utf-8")
    return folder


def test_make_stops_on_screen_in_json_and_on_paper(there: Path, capsys: pytest.CaptureFixture[str]) -> None:
    recipe, into = str(there / "overlap.py"), there / "out"
    assert main(["make", recipe, "--into", str(into)]) == 1
    screen = " ".join(capsys.readouterr().out.split())
    assert main(["make", recipe, "--no-files", "--json"]) == 1
    facts = json.loads(capsys.readouterr().out)
    written = json.loads((into / "facts.json").read_text("utf-8"))
    assert facts["findings"] == written["findings"]
    stops = [f["sentence"] for f in facts["findings"] if f["level"] == "stop"]
    assert stops == list(SAID)
    paper = " ".join(page.extract_text() for file in into.glob("*.pdf") for page in PdfReader(file).pages)
    for said in SAID:
        assert said in screen
        assert said in " ".join(paper.split())


def test_flat_stops_too(there: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["flat", str(there / "overlap.py"), "--no-files"]) == 1
    assert SAID[0] in " ".join(capsys.readouterr().out.split())


def test_fit_says_of_a_part_what_make_says(there: Path) -> None:
    bay = there / "bay.toml"
    bay.write_text(
        'format = 1\nname = "Invented"\n[[part]]\nname = "x"\nside = "chassis"\nrecipe = "overlap.py"\n'
        "at = [500, 0, 300]\naxis = [1, 0, 0]\nup = [0, 0, 1]\n",
        "utf-8",
    )
    done = fit(read(bay))
    said = [f.sentence for f in done.findings if f.level == "stop" and f.about == ("x",)]
    assert said[0].startswith("a and b stand in each other: 1440 mm3 in common at 503.0, ")
    assert said[1:] == list(SAID[1:])
    (part,) = done.stood.parts
    assert [f.sentence for f in part.findings if f.level == "stop"] == said
    assert main(["flat", str(bay), "--no-files"]) == 1


def test_the_page_says_it(there: Path) -> None:
    what = source(str(there / "overlap.py"), bare="mm")
    what.picture({}, fineness=LIVE)
    _, header = what.checks(fineness=LIVE)
    assert header["stops"]
    rows = str(header["tables"])
    assert all(said in rows for said in SAID)


def base(*openings: Hole | Slot, name: str = "base", place: Place | None = None) -> Plate:
    return plate(rectangle(100, 60), 6.0, name=name, openings=openings, place=place or Place())


def upright(z: float = 6.0, *, x: float = 0.0, name: str = "upright") -> Plate:
    """40 wide and 30 high, 6 thick, its lower edge at `z`, its middle `x` to the side."""
    return plate(rectangle(40, 30), 6.0, name=name, place=Place((x, 0.0, z + 15.0), (0, 1, 0), (0, 0, 1)))


FOOT = Along((-20.0, -15.0), (20.0, -15.0))


def welded(piece: Piece, *, leg: float = 4.0) -> Part:
    weld = Weld(piece=piece.name, edge=FOOT, onto="base", leg=leg)
    return Part(name="p", pieces=(base(), piece), welds=(weld,))


def stops(part: Part) -> list[Finding]:
    return [f for f in joint_findings(part) if f.level == "stop"]


def test_a_weld_that_lies_on_both_pieces_says_nothing() -> None:
    assert list(joint_findings(welded(upright()))) == []


def test_a_weld_half_off_says_how_much_and_how_far() -> None:
    """The base ends at x = 50 and the foot runs from 28 to 68: 18 mm past the edge, 1.6 of them near enough."""
    (said,) = stops(welded(upright(x=48.0)))
    assert (said.code, said.level, said.piece) == ("weld gap", "stop", "upright")
    assert (said.value, said.limit) == (pytest.approx(18.0), ROOT_OPENING)
    assert said.sentence == "weld of upright to base: 16 of 40 mm lie on nothing, widest gap 18.0 mm"
    assert said.source.endswith("common practice, no source")


@pytest.mark.parametrize(
    ("past", "bare"), [(0.49, ""), (0.51, "1 of 40 mm"), (1.49, "1 of 40 mm"), (1.51, "2 of 40 mm")]
)
def test_a_millimetre_of_a_weld_lies_on_nothing_where_its_middle_does(past: float, bare: str) -> None:
    """The last `past` mm of a foot of 40, which is looked at in 40 stretches, are over more than 1.6 mm of air."""
    said = stops(welded(upright(x=30.0 + ROOT_OPENING + past)))
    assert [f.sentence.split(": ")[1].split(" lie ")[0] for f in said] == ([bare] if bare else [])


@pytest.mark.parametrize(("up", "count"), [(1.59, 0), (1.61, 2)])
def test_a_gap_is_welded_over_up_to_the_shops_fit_up(up: float, count: int) -> None:
    """Over it the weld lies on nothing, and so reaches nothing."""
    said = stops(welded(upright(6.0 + up)))
    assert len(said) == count
    if said:
        assert said[0].sentence == "weld of upright to base: 40 of 40 mm lie on nothing, widest gap 1.6 mm"
        assert said[1].sentence == "no weld or bolt reaches upright"


def test_the_shops_own_fit_up_decides() -> None:
    part = welded(upright(7.0))
    assert list(joint_findings(part, fit_up=1.1)) == []
    assert len([f for f in general_findings(part, fit_up=0.9) if f.code == "weld gap"]) == 1
    assert default().tubing.fit_up == ROOT_OPENING


def test_a_line_typed_off_its_own_piece_lies_on_nothing() -> None:
    """A straight weld is typed in coordinates: it may miss the piece that it is said to be on."""
    own = StraightEdge((-20.0, -15.0, 0.0), (20.0, -15.0, 0.0))
    off = StraightEdge((-20.0, -15.0, -185.0), (20.0, -15.0, -185.0))
    for edge, count in ((own, 0), (off, 1)):
        part = replace(welded(upright()), welds=(Weld(piece="upright", edge=edge, onto="base", leg=4.0),))
        assert len([f for f in stops(part) if f.code == "weld gap"]) == count


M10 = Hole(at=(30.0, 0.0), d=11.0, bolt="M10")
PLAIN = Hole(at=(30.0, 0.0), d=11.0)
WASHER = ring("other", od=24, bore=11, length=4).placed(Place((30.0, 0.0, 6.0)))
CROSS = (Slot(a=(20, 0), b=(40, 0), d=11.0, bolt="M10"), Slot(a=(32, -8), b=(32, 8), d=11.0, bolt="M10"))
ABOVE = Place((0.0, 0.0, 6.0))
BESIDE = Place((0.8, 0.0, 6.0))
"""Two 11 holes for an M10 leave 1 mm together: they may be 1 mm out."""


@pytest.mark.parametrize(
    ("one", "other", "reached"),
    [
        pytest.param(base(M10), base(M10, name="other", place=ABOVE), True, id="a bolt through both"),
        pytest.param(base(M10), base(PLAIN, name="other", place=ABOVE), True, id="one of them names it"),
        pytest.param(base(PLAIN), base(PLAIN, name="other", place=ABOVE), False, id="no bolt named"),
        pytest.param(base(M10), base(M10, name="other", place=BESIDE), True, id="out by less than the play"),
        pytest.param(base(M10), base(M10, name="other", place=Place((2, 0, 6))), False, id="out by more"),
        pytest.param(base(M10), base(M10, name="other", place=Place((0, 0, 300))), True, id="a rail between"),
        pytest.param(base(M10), base(M10, name="other", place=Place((0, 0, 6), (0, 0.1, 1))), False, id="askew"),
        pytest.param(base(M10), base(name="other", place=ABOVE), False, id="a hole in one only"),
        pytest.param(base(M10), base(replace(M10, d=30.0), name="other", place=ABOVE), False, id="falls through"),
        pytest.param(base(M10), WASHER, True, id="a washer under its head"),
        pytest.param(base(M10), ring("other", od=70, bore=50, length=9).placed(WASHER.place), False, id="a cup"),
        pytest.param(base(CROSS[0]), base(CROSS[1], name="other", place=ABOVE), True, id="slots that cross"),
        pytest.param(
            base(CROSS[0]), base(replace(CROSS[1], a=(32, 4)), name="other", place=ABOVE), False, id="slots apart"
        ),
        pytest.param(
            base(replace(M10, d=30.0, bolt=None, kind="bore")),
            Turned(name="other", place=Place((30, 0, -2)), steps=(Step(length=9, od=30.0, bore=11.0),)),
            True,
            id="pressed into its bore",
        ),
        pytest.param(
            base(replace(M10, d=30.3, bolt=None, kind="bore")),
            Turned(name="other", place=Place((30, 0, -2)), steps=(Step(length=9, od=30.0, bore=11.0),)),
            False,
            id="slack in its bore",
        ),
        pytest.param(
            base(replace(M10, d=30.0, bolt=None, kind="bore")),
            Turned(name="other", place=Place((30, 0, 7)), steps=(Step(length=9, od=30.0, bore=11.0),)),
            False,
            id="above its bore",
        ),
    ],
)
def test_what_reaches_a_piece_besides_welds(one: Piece, other: Piece, reached: bool) -> None:
    said = stops(Part(name="p", pieces=(one, other)))
    assert [f.sentence for f in said] == ([] if reached else ["no weld or bolt reaches other"])


def test_of_two_lumps_the_smaller_is_named_with_all_its_pieces() -> None:
    part = welded(upright())
    small = [upright(300.0, name="far"), upright(400.0, name="farther")]
    other = replace(part, pieces=(small[0], *part.pieces, small[1]))
    assert [f.piece for f in stops(other)] == ["far", "farther"]


def test_pieces_welded_to_what_the_part_stands_on_are_held_by_it() -> None:
    rail = Seat(name="rail", place=Place(), kind="face")
    pair = (upright(), upright(x=200.0, name="other"))
    welds = tuple(Weld(piece=p.name, edge=FOOT, onto="rail", leg=4.0) for p in pair)
    assert stops(Part(name="p", pieces=pair, welds=welds, seats=(rail,))) == []
    assert len(stops(Part(name="p", pieces=pair, welds=welds[:1], seats=(rail,)))) == 1


def test_pieces_bolted_to_one_casting_are_held_by_it() -> None:
    pair = (base(M10), base(M10, name="other", place=Place((200, 0, 0))))
    seats = tuple(
        Seat(name=f"boss_{x}", place=Place((x, 0, 0), (0, 0, -1)), kind="boss", bolt="M10") for x in (30, 230)
    )
    assert stops(Part(name="p", pieces=pair, seats=seats)) == []
    assert [f.piece for f in stops(Part(name="p", pieces=pair, seats=seats[:1]))] == ["other"]


def test_a_piece_that_is_meant_to_be_loose_is_listed_and_stops_nothing() -> None:
    part = Part(name="p", pieces=(base(), upright(50.0, name="shim")), loose=("shim",))
    (said,) = joint_findings(part)
    assert (said.level, said.piece, said.source) == ("advice", "shim", "the recipe")
    assert said.sentence == "shim is loose, as the recipe says: nothing here holds it"
    whole = assembled("q", [("left", part.mirrored(), Place((0, 0, 9)))])
    assert [f.piece for f in joint_findings(whole)] == ["left/shim"]


def test_only_a_piece_of_the_part_can_be_loose() -> None:
    with pytest.raises(InputError, match="loose = shin, one of .'base'.: a piece of p"):
        Part(name="p", pieces=(base(),), loose=("shin",))


@pytest.mark.parametrize(("deep", "count"), [(0.0, 0), (0.9e-5, 0), (1.1e-5, 1), (2.0, 1)])
def test_two_pieces_only_touch_up_to_a_hundredth_of_a_cubic_millimetre(deep: float, count: int) -> None:
    """Two plates on each other over 50 x 20: pressed in by 1e-5 mm they share the 0.01 mm3 that is the limit."""
    one = plate(rectangle(50, 20), 6.0, name="one")
    other = plate(rectangle(50, 20), 6.0, name="other", place=Place((0.0, 0.0, 6.0 - deep)))
    found = shared(Part(name="p", pieces=(one, other)))
    assert len(found) == count
    assert CONTACT_VOLUME == 0.01
    for both in found:
        assert both.volume == pytest.approx(1000 * deep, rel=1e-5)


def block(x: float) -> Solid:
    """10 x 10 x 10 from x."""
    return Solid.makeBox(10.0, 10.0, 10.0, Vector(x, 0.0, 0.0))


def odd(x: float) -> CustomPiece:
    return CustomPiece(name="odd", function=f"{__name__}:block", args=(x,))


def test_an_odd_piece_is_judged_by_its_solid() -> None:
    """The line runs along x = 0 to 10 on the base's upper face, 6 up; the block on it starts at z = 6."""
    line = StraightEdge((0.0, 0.0, 6.0), (10.0, 0.0, 6.0))
    weld = Weld(piece="base", edge=line, onto="odd", leg=3.0)
    off = ["weld gap"]
    for x, z, codes in ((0.0, 6.0, []), (0.0, 5.0, ["overlap"]), (0.0, 9.0, off), (6.0, 6.0, off)):
        part = Part(name="p", pieces=(base(), odd(x).placed(Place((0, 0, z)))), welds=(weld,))
        assert [f.code for f in solid_findings(part)] == codes
    assert solid_findings(part)[0].sentence == "weld of base to odd: 4 of 10 mm lie on nothing, widest gap 6.0 mm"


def test_a_round_weld_on_a_cup_is_looked_at_all_round() -> None:
    cup = Turned(name="cup", place=Place((0, 0, 6)), steps=(Step(length=30, od=50, bore=40),))
    rim = Weld(piece="cup", edge=Circle(0.0, 50.0), onto="base", leg=4.0)
    part = Part(name="p", pieces=(base(), cup), welds=(rim,))
    assert stops(part) == []
    # its middle 40 to the side: the base ends 10 past it, where the rim is 2 x acos(10 / 25) of the turn away
    (said,) = stops(replace(part, pieces=(base(), cup.placed(Place((40.0, 0.0, 0.0))))))
    bare, whole = 2 * math.acos(11.6 / 25) * 25, math.pi * 50
    counted = round(bare / whole * ALONG) / ALONG * whole
    assert said.sentence.startswith(f"weld of cup to base: {counted:.0f} of {whole:.0f} mm")
    assert abs(counted - bare) < whole / ALONG
    assert said.value == pytest.approx(15.0)
