"""What a recipe takes from its bay: by the links it declares, whatever its values are called; none lost unsaid."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from brackets import recipe
from brackets.app.cli.app import main
from brackets.bay.file import read
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.core.errors import BadFile, BadRecipe
from brackets.core.schema.kinds import direction, mm, point
from brackets.core.schema.links import LINKS, find, fits, link_problems
from brackets.core.schema.reading import values
from brackets.core.tables.kinds import row
from brackets.library.recipe import recipes, shipped
from brackets.output.bay_facts import _part

BAY = """
format = 1
name = "Invented"
[[keep_out]]
name = "rail"
tube = { from = [-100, 0, 0], to = [300, 0, 0], od = 42.4 }
[[bush]]
name = "R54"
kind = "bonded rubber"
od = 54
shell_length = 40
sleeve_od = 18
sleeve_bore = 12.2
sleeve_length = 52
bolt = "M12"
rubber = { inner_r = 9, outer_r = 25, length = 38, hardness = 40 }
stiffness = { radial = 380, axial = 108, torsion = 20300, known = "invented" }
dynamic = 1.3
travel = { radial = 5, axial = 5 }
load = 2600
heat = 80
mass = 0.27
[[mount]]
name = "left"
bush = "R54"
at = [100, 0, 80]
axis = [1, 0, 0]
[mount.chassis]
part = "left_ears"
onto = "rail"
[mount.powertrain]
part = "left_cup"
[[part]]
name = "left_cup"
recipe = "./cup.py"
length = 40
[[part]]
name = "left_ears"
recipe = "ears"
t = 6
ear_r = 26
"""


def stood(
    folder: Path, text: str = BAY, *, named: str = "cup", swaps: tuple[tuple[str, str], ...] = ()
) -> PlacedBay:
    """The bay with a copy of a shipped recipe beside it in which some text is swapped."""
    source = (shipped() / f"{named}.py").read_text("utf-8")
    for old, new in swaps:
        assert old in source
        source = source.replace(old, new)
    (folder / f"{named}.py").write_text(source, "utf-8")
    (folder / "bay.toml").write_text(text, "utf-8")
    return placed_bay(read(folder / "bay.toml"))


def part(found: PlacedBay, name: str = "left_cup") -> PlacedPart:
    return next(one for one in found.parts if one.name == name)


def said(found: PlacedPart) -> list[str]:
    return [f.sentence for f in found.findings if f.code == "link"]


MEMBER = """
format = 1
name = "Invented"
[[boss]]
name = "A"
at = [80, 0, 0]
normal = [0, 0, 1]
depth = 25
[[mount]]
name = "port"
bush = "R50"
at = [0, 240, 60]
axis = [1, 0, 0]
[mount.powertrain]
part = "member"
seat = "bush_left"
[[mount]]
name = "starboard"
bush = "R50"
at = [0, -240, 60]
axis = [1, 0, 0]
[mount.powertrain]
part = "member"
seat = "bush_right"
[[part]]
name = "member"
recipe = "cross_member"
bosses = ["A"]
cup = { od = 60, wall = 5, length = 40 }
"""
"""One part on two mounts and a boss."""

TAKES = ', takes="bush od"'


def test_a_bay_fills_a_value_by_its_link_whatever_it_is_called(tmp_path: Path) -> None:
    as_shipped = part(stood(tmp_path))
    renamed = part(stood(tmp_path, swaps=(("bush_od", "rubber_od"),)))
    assert as_shipped.worked_out == {"bush_od": 54.0}
    assert renamed.worked_out == {"rubber_od": 54.0}
    assert (said(renamed), renamed.unfilled) == ([], ())
    assert renamed.part.mass.kg == as_shipped.part.mass.kg


def test_a_value_that_lost_its_link_is_not_filled_and_says_so(tmp_path: Path) -> None:
    found = part(stood(tmp_path, swaps=((TAKES, ""),)))
    assert found.worked_out == {}
    assert said(found) == [
        'bush_od is not filled from the bay, which gives the bush\'s outer diameter: write takes="bush od" in its'
        " rule, or type bush_od; 60 mm is used"
    ]
    assert [f.level for f in found.findings if f.code == "link"] == ["caution"]
    typed = part(stood(tmp_path, BAY.replace("length = 40\n[[part]]", "bush_od = 54\nlength = 40\n[[part]]"),
                       swaps=((TAKES, ""),)))  # fmt: skip
    assert said(typed) == []


def test_a_value_of_another_kind_that_is_called_the_same_is_let_be(tmp_path: Path) -> None:
    swaps = (('mm(15, 110, "bush outer diameter", takes="bush od")', 'number(15, 110, "of no unit")'),
             ("    mm,\n", "    mm,\n    number,\n"))  # fmt: skip
    assert said(part(stood(tmp_path, swaps=swaps))) == []


def test_a_seat_of_a_mount_whose_value_lost_its_link_says_so(tmp_path: Path) -> None:
    text = MEMBER.replace('recipe = "cross_member"', 'recipe = "./cross_member.py"')
    swaps = (
        (', takes="centre of bush_left"', ""),
        ('takes="centre of bush_right"', 'takes="centre of bush_rigth"'),
    )
    found = part(stood(tmp_path, text, named="cross_member", swaps=swaps), "member")
    assert {"bush_left", "bush_right"}.isdisjoint(found.worked_out)
    assert [line.partition(" is not")[0] for line in said(found)] == ["bush_left"]
    assert 'takes="centre of bush_left"' in said(found)[0]
    (line,) = found.unfilled
    assert line.startswith(
        'bush_right takes "centre of bush_rigth" from the bay (the centre of the bush on its seat'
    )
    assert line.endswith(
        "nothing there gives it and the part has no such seat (nearest: bush_right), default 0,-240,60"
    )


def test_two_mounts_that_give_one_link_differently_are_said(tmp_path: Path) -> None:
    one = 'name = "starboard"\nbush = "R50"'
    text = MEMBER.replace(one, one.replace("R50", "R40")).replace("od = 60", "od = 50")
    found = part(stood(tmp_path, text), "member")
    assert found.worked_out["bush_od"] == 40.0
    assert said(found) == [
        'bush_od takes "bush od" from the bay (the bush\'s outer diameter): mount port and mount starboard give'
        " different ones, that of mount starboard is used; type bush_od to choose"
    ]
    assert said(part(stood(tmp_path, MEMBER), "member")) == []


def test_a_link_that_nothing_fills_is_told_in_report_and_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = 'format = 1\nname = "Invented"\n[[part]]\nname = "alone"\nrecipe = "cup"\nat = [0, 0, 0]\n'
    line = (
        'bush_od takes "bush od" from the bay (the bush\'s outer diameter): nothing there gives it, default 60 mm'
    )
    found = stood(tmp_path, text)
    assert part(found, "alone").unfilled == (line,)
    assert _part(part(found, "alone"))["not_given"] == [line]
    assert found.notes == (f"part alone: {line}",)
    assert part(stood(tmp_path, text + "bush_od = 50\n"), "alone").unfilled == ()
    (tmp_path / "bay.toml").write_text(text, "utf-8")
    main(["fit", str(tmp_path / "bay.toml"), "--into", str(tmp_path / "out")])
    assert f"part alone: {line}" in capsys.readouterr().out
    facts = json.loads((tmp_path / "out" / "facts.json").read_text("utf-8"))
    assert facts["notes"] == [f"part alone: {line}"]
    sheets = " ".join(page.extract_text() for page in PdfReader(tmp_path / "out" / "alone.pdf").pages)
    assert line in " ".join(sheets.split())


def test_a_part_that_cannot_be_placed_for_want_of_a_link_says_which(tmp_path: Path) -> None:
    """Without bosses and bush nothing says where the plate stands: type its place, or declare its link."""
    text = MEMBER[: MEMBER.index("[[mount]]")]
    text += '[[part]]\nname = "plate"\nside = "powertrain"\nrecipe = "./cup_on_plate.py"\nbosses = ["A"]\n'
    with pytest.raises(BadFile) as caught:
        stood(tmp_path, text, named="cup_on_plate", swaps=((', takes="bosses"', ""),))
    assert "at = nothing, a place, bosses or a mount: where the part stands" in str(caught.value)
    assert 'takes="bosses" in its rule' in str(caught.value)


@pytest.mark.parametrize(
    ("link", "told"),
    [
        ("bush odd", 'bush_od takes "bush odd", no such link, nearest: bush od; there are bush centre, bush axis,'),
        ("Bush od", 'bush_od takes "Bush od", no such link, nearest: bush od;'),
        ("centre of ", 'bush_od takes "centre of ", no such link, nearest: centre of SEAT;'),
        ("od of ", 'bush_od takes "od of ", no such link'),
        ("axis of bush", 'bush_od takes "axis of bush", must be three coordinates: point(3, ...) or'),
        ("rail slope", 'bush_od takes "rail slope", must be an angle: deg(...): the value is a length'),
        ("centre of bush", 'bush_od takes "centre of bush", must be three coordinates: point(3, ...) or'),
    ],
)
def test_a_link_that_is_none_or_of_another_kind_is_refused_when_the_recipe_loads(
    tmp_path: Path, link: str, told: str
) -> None:
    path = tmp_path / "cup.py"
    source = (shipped() / "cup.py").read_text("utf-8")
    path.write_text(source.replace('takes="bush od"', f'takes="{link}"'), "utf-8")
    with pytest.raises(BadRecipe) as caught:
        recipe(path)
    assert str(caught.value).startswith(f"{path}: {told}")
    assert "\n" not in str(caught.value)


def test_a_tube_cannot_take_a_bolt() -> None:
    assert link_problems("tube", row("tube", "a tube", takes="bush bolt")) == (
        'tube takes "bush bolt", must be a bolt: row("bolt", ...): the value is a tube',
    )


@pytest.mark.parametrize("link", LINKS, ids=lambda link: link.name)
def test_every_link_is_taken_by_a_shipped_recipe_and_found_by_its_name(link) -> None:  # type: ignore[no-untyped-def]
    rules = [param.rule for name in recipes() for param in recipe(name).params if param.rule.takes == link.name]
    assert rules
    assert find(link.name) == link
    assert all(fits(link, rule) for rule in rules)


TAKEN: dict[str, list[str]] = {
    "adaptor": ["boss bolt"],
    "base_plate": ["boss bolt", "rail depth"],
    "bracket_tray": ["boss bolt"],
    "bung": ["boss bolt"],
    "cap_plate": [],
    "cross_member": ["boss bolt", "boss names", "boss normal", "bosses", "bush axis", "bush od",
                     "centre of bush_left", "centre of bush_right"],
    "cup": ["bush od"],
    "cup_on_plate": ["boss bolt", "boss normal", "bosses", "bush centre", "bush od"],
    "dummy_bush": ["bush bolt", "bush length", "bush od"],
    "ears": ["bush bolt", "ear spacing", "rail corner flat", "rail corner radius", "rail lean", "rail od",
             "rail offset", "rail reach", "rail seat", "rail side angle", "rail slope"],
    "ears_on_base": ["bush bolt", "ear spacing", "rail depth", "rail lean", "rail reach", "rail slope"],
    "fork": ["boss bolt", "boss names", "boss normal", "boss threads", "bosses", "bush axis", "bush bolt",
             "bush centre", "ear spacing"],
    "gusset": [],
    "link": ["axis of bush_1", "axis of bush_2", "centre of bush_1", "centre of bush_2", "od of bush_1",
             "od of bush_2"],
    "stay": ["boss bolt", "boss names", "boss normal", "boss threads", "bosses", "bush axis", "bush centre",
             "bush od"],
    "strut": [],
    "stud_arm": ["bobbin od", "bobbin thread", "boss bolt", "boss names", "boss normal", "boss threads", "bosses",
                 "bush axis", "bush centre"],
    "stud_seat": ["bobbin od", "bobbin thread", "rail lean", "rail reach", "rail slope"],
    "tray": ["boss bolt", "boss names", "boss normal", "boss threads", "bosses", "bush axis", "bush od",
             "centre of bush_left", "centre of bush_right"],
}  # fmt: skip
"""What each shipped recipe takes from a bay."""


@pytest.mark.parametrize("name", recipes())
def test_a_shipped_recipe_takes_what_it_took(name: str) -> None:
    """A value that is given another name and loses its link on the way is filled by nothing and told by nothing."""
    assert sorted(param.rule.takes for param in recipe(name).params if param.rule.takes) == TAKEN[name]


ON_BOSSES = """
format = 1
[[boss]]
name = "A"
at = [0, 0, 100]
normal = [0, 0, 1]
thread = "M8"
depth = 20
[[part]]
name = "on"
recipe = "{recipe}"
at = [0, 0, 100]
bosses = ["A"]
{typed}
"""


@pytest.mark.parametrize("name", ["base_plate", "bung"])
def test_a_part_that_stands_on_a_boss_is_drilled_for_its_bolt(name: str, tmp_path: Path) -> None:
    """It kept M10 on a boss of M8, with a caution to write a link into the recipe; a typed bolt goes first."""
    for typed, bolt in (("", "M8"), ('bolt = "M12"', "M12")):
        (tmp_path / "bay.toml").write_text(ON_BOSSES.format(recipe=name, typed=typed), "utf-8")
        found = part(placed_bay(read(tmp_path / "bay.toml")), "on")
        assert values(found.params)["bolt"] == bolt
        assert said(found) == []


def test_a_point_of_two_coordinates_takes_no_centre() -> None:
    centre = find("centre of bush_left")
    assert centre is not None
    assert fits(centre, point(3, "a point"))
    assert fits(centre, direction("a direction"))
    assert not fits(centre, point(2, "a point"))
    assert not fits(centre, mm(0, 1, "a length"))


def test_the_demo_bay_fills_what_it_filled() -> None:
    """Names and a figure each: what every part of the worked example has from its bay."""
    found = {one.name: one for one in placed_bay(read(shipped() / "tern.toml"), known_only=True).parts}
    ears = ["bolt", "inside", "lean", "reach", "slope", "through"]
    bosses = ["boss_names", "bosses", "normal", "threads"]
    assert {name: sorted(one.worked_out) for name, one in found.items()} == {
        **dict.fromkeys(("left_ears", "right_ears", "upper_ears", "link_bracket"), ears),
        "tray": sorted([*bosses, "bolt", "bush_axis", "bush_left", "bush_od", "bush_right"]),
        "strut": sorted([*bosses, "bolt", "bush", "bush_axis", "bush_od"]),
        "fork": sorted([*bosses, "bolt", "boss_bolt", "bush", "bush_axis", "inside"]),
        "torque_link": ["axis_1", "axis_2", "bush_1", "bush_2", "bush_od_1", "bush_od_2"],
    }
    assert all(one.unfilled == () and said(one) == [] for one in found.values())
    assert values(found["strut"].params)["bush_od"] == 45.0


def test_ears_whose_spacing_is_called_otherwise_are_judged_and_bolted(tmp_path: Path) -> None:
    """The bay reads how far apart the ears stand back by the same link."""
    text = BAY.replace('recipe = "ears"', 'recipe = "./ears.py"').replace('recipe = "./cup.py"', 'recipe = "cup"')
    swaps = (("    inside: Annot", "    between: Annot"), ("inside=self.inside,", "inside=self.between,"))
    found = stood(tmp_path, text, named="ears", swaps=swaps)
    assert part(found, "left_ears").worked_out["between"] == 52.5
    assert "left bolt" in [one.name for one in found.bought]


@pytest.mark.checkout
def test_the_readme_names_every_link() -> None:
    text = (shipped().parent / "README.md").read_text("utf-8")
    assert [link.name for link in LINKS if f"`{link.name}`" not in " ".join(text.split())] == []


def test_recipes_shows_what_a_value_takes(capsys: pytest.CaptureFixture[str]) -> None:
    main(["recipes", "cup"])
    assert "bush outer diameter; in a bay: bush od" in " ".join(capsys.readouterr().out.split())
    main(["recipes", "cup", "--json"])
    taken = {value["name"]: value["takes"] for value in json.loads(capsys.readouterr().out)["values"]}
    assert (taken["bush_od"], taken["length"]) == ("bush od", None)
