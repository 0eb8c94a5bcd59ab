"""Room for a draw tool at a bush: a bay of one cup with a box past either end of it, by lengths added on paper.

The bush is 50 round and 40 long, its sleeve 52. Its shell is free of the cup when it has gone 40, and the sleeve's
end then stands 46 out: receiver 46, and 60 behind it, 106 in all; the disc at the other end takes 40.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from brackets.bay.bolts.draw_room import DrawRoom, draw_findings, draw_rooms
from brackets.bay.checks import bay_findings
from brackets.bay.file import read
from brackets.bay.fitting import at_rest
from brackets.bay.stand.placed import placed_bay
from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.forming.shop import DrawTool
from brackets.forming.shop_file import default, parse

BAY = """format = 1
name = "Invented"
{shop}
[[bush]]
name = "B50"
kind = "poly, two halves"
od = 50
shell_length = 40
sleeve_od = 18
sleeve_bore = 12.2
sleeve_length = 52
{offset}
bolt = "M12"
travel = {{ radial = 5, axial = 5 }}
mass = 0.27
[[mount]]
name = "left"
bush = "B50"
at = [0, 0, 0]
axis = [1, 0, 0]
cup = "{side}"
[mount.{side}]
part = "cup"
seat = "bush"
[[part]]
name = "cup"
recipe = "{recipe}"
{values}
"""


def box(name: str, low: tuple[float, ...], high: tuple[float, ...], side: str = "chassis") -> str:
    return (
        f'[[keep_out]]\nname = "{name}"\nside = "{side}"\n'
        f"box = {{ from = {list(low)}, to = {list(high)} }}\n"
    )


def ends(front: float, rear: float) -> str:
    """Boxes so far past the cup's ends, which stand 20 from its middle."""
    return box("front", (20 + front, -60, -60), (40 + front, 60, 60)) + box(
        "rear", (-40 - rear, -60, -60), (-20 - rear, 60, 60), "powertrain"
    )


def judged(
    folder: Path,
    boxes: str,
    *,
    shop: str = "",
    side: str = "chassis",
    values: str = "length = 40",
    offset: str = "",
    recipe: str = "cup",
) -> list[Finding]:
    text = BAY.format(shop=shop, side=side, values=values, offset=offset, recipe=recipe) + boxes
    (folder / "bay.toml").write_text(text, "utf-8")
    still = at_rest(placed_bay(read(folder / "bay.toml")))
    return list(draw_findings(draw_rooms(still.stood, still.things)))


@pytest.mark.parametrize(
    ("front", "rear", "meets"),
    [
        (106.1, 40.1, ""),
        (40.1, 106.1, ""),
        (105.9, 40.1, "front"),
        (106.1, 39.9, "rear"),
        (40.1, 105.9, "front"),
        (39.9, 39.9, "front, rear"),
    ],
)
def test_a_bush_comes_out_at_the_end_that_has_room_for_the_receiver(
    tmp_path: Path, front: float, rear: float, meets: str
) -> None:
    found = judged(tmp_path, ends(front, rear))
    assert bool(found) is bool(meets)
    for said in found:
        assert (said.level, said.code, said.piece) == ("advice", "draw room", "cup")
        are = "are" if "," in meets else "is"
        assert said.sentence == (
            f"bush of left: on the bench it can be drawn in and out; in place {meets} {are} in the way of the draw"
            " tool: take the part off to change it"
        )
        assert said.about == ("cup", "left bush", *meets.split(", "))


@pytest.mark.parametrize("side", ["chassis", "powertrain"])
@pytest.mark.parametrize(("aside", "said"), [(30.1, False), (29.9, True)])
def test_the_receiver_is_as_wide_as_the_bush_and_its_own_wall(
    tmp_path: Path, aside: float, said: bool, side: str
) -> None:
    """25 and 5; the box stands 50 past the front end, and the rear end is shut."""
    beside = box("beside", (70, aside, -60), (80, 100, 60))
    assert bool(judged(tmp_path, beside + ends(120, 41), side=side)) is said


def test_the_disc_passes_where_the_receiver_does_not(tmp_path: Path) -> None:
    """25 less 0.2 round; 106 is free at the other end."""
    for aside, said in ((24.9, False), (24.7, True)):
        found = judged(tmp_path, box("beside", (-50, aside, -60), (-40, 100, 60)) + ends(120, 60))
        assert bool(found) is said


def test_a_sleeve_off_the_middle_stands_out_further(tmp_path: Path) -> None:
    offset = "sleeve_offset = 4"
    assert not judged(tmp_path, ends(110.1, 41), offset=offset)
    assert judged(tmp_path, ends(109.9, 41), offset=offset)


def test_the_tool_is_the_shops(tmp_path: Path) -> None:
    (tmp_path / "shop.toml").write_text(
        'format = 1\nname = "ours"\n[brake]\nlength = 900\n'
        "[draw_tool]\nbehind = 30\npusher = 10\nreceiver_wall = 9\n",
        "utf-8",
    )
    shop = 'shop = "shop.toml"'
    assert not judged(tmp_path, ends(76.1, 10.1), shop=shop)
    assert judged(tmp_path, ends(75.9, 10.1), shop=shop)
    assert judged(tmp_path, ends(76.1, 9.9), shop=shop)
    assert judged(tmp_path, ends(76.1, 10.1) + box("beside", (70, 33.9, -60), (80, 100, 60)), shop=shop)


def test_a_bush_that_slips_in_asks_for_no_tool(tmp_path: Path) -> None:
    assert not judged(tmp_path, ends(20, 20), values='length = 40\nfit = "slip"')


LIDDED = """
from dataclasses import dataclass

from brackets import Checked, Part, Place, Plate, Wall, cup, bush_bore, rectangle


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    pass


def build(p):
    made = cup(od=60, bore=50, length=40, bush=bush_bore(50, own=48))
    lids = [
        Plate(name=name, t=5, wall=Wall(outline=rectangle(90, 90)), place=Place((0, 0, z)))
        for name, z in (("lid", 65), ("floor", -70))
    ]
    return Part(name="lidded", pieces=(*made.pieces, *lids), seats=made.seats, loose=("lid", "floor"))
"""


def test_bench_and_place_are_said_apart(tmp_path: Path) -> None:
    """The part's own lids are 45 past its ends: the disc has its 40, the receiver 106 nowhere."""
    (tmp_path / "lidded.py").write_text(LIDDED, "utf-8")
    (said,) = judged(tmp_path, ends(200, 200), values="", recipe="lidded.py")
    assert said.sentence.startswith(
        "bush of left: on the bench the part itself leaves it no room at left: press it; in place cup is in the way"
    )


def test_a_bay_says_it(tmp_path: Path) -> None:
    judged(tmp_path, ends(50, 50))
    still = at_rest(placed_bay(read(tmp_path / "bay.toml")))
    found = [f for f in bay_findings(still.stood, still.things, still.pairs, ()) if f.code == "draw room"]
    assert [f.piece for f in found] == ["cup"]


def test_the_draw_tool_of_a_shop_file_is_read_and_limited() -> None:
    text = 'format = 1\nname = "mine"\n[brake]\nlength = 900\n[draw_tool]\n{}\n'
    assert parse(text.format("behind = 45\npusher = 20")).draw_tool == DrawTool(behind=45, pusher=20)
    assert parse(text.format("")).draw_tool == DrawTool() == default().draw_tool
    with pytest.raises(InputError, match=r"receiver_wall = 0.9 mm, must be 1 to 50 mm"):
        parse(text.format("receiver_wall = 0.9"))



@pytest.mark.parametrize(("place", "said"), [((), ""), (("ears",), ""), (("ears", "rail"), "rail")])
def test_ears_that_the_bush_stands_between_are_off_before_it_is_drawn(place: tuple[str, ...], said: str) -> None:
    found = list(draw_findings([DrawRoom(mount="left", part="cup", bench=(), place=place, mates=("ears",))]))
    assert [f"in place {said} is in the way" in finding.sentence for finding in found] == [True] * bool(said)
    assert not any("ears" in finding.about for finding in found)
