"""A bush's sleeve between its ears: how far apart the bay sets them, and what it says of ears that are not."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from brackets import recipe
from brackets.bay.file import read
from brackets.bay.seats.rules import HAND, PULLED, sleeve_findings
from brackets.bay.stand.hardware import mount_bolt
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.clearance.bodies import body
from brackets.clearance.gaps import gap
from brackets.core.errors import BadFile, InputError
from brackets.core.finding import Finding
from brackets.core.schema.reading import from_mapping, values
from brackets.core.tables import data_files
from brackets.core.tables.bush_rows import Bush
from brackets.core.tables.bush_table import BushRow
from brackets.core.vectors import Vec
from brackets.kernel.solids import shape
from brackets.model.part import Part
from brackets.model.tube import Turned

BAY = """
format = 1
[[keep_out]]
name = "rail"
box = {{ from = [-200, -25, 0], to = [200, 25, 50] }}
[[bush]]
name = "Q"
kind = "bonded rubber"
od = 40
shell_length = 36
sleeve_od = 16
sleeve_bore = 10.2
sleeve_length = 44
bolt = "M10"
stiffness = {{ radial = 350, axial = 110, torsion = 20000, known = "guess" }}
mass = 0.2
load = 2000
heat = 80
travel = {{ radial = 5, axial = 5 }}
[[mount]]
name = "m"
bush = "Q"
at = [0, 0, 120]
axis = [1, 0, 0]
{play}
[mount.chassis]
part = "ears"
onto = "rail"
[[part]]
name = "ears"
recipe = "{recipe}"
{inside}
"""


def judged(
    folder: Path, *, inside: str = "", play: str = "", recipe: str = "ears_on_base"
) -> tuple[float, list[Finding]]:
    path = folder / "bay.toml"
    path.write_text(BAY.format(inside=inside, play=play, recipe=recipe), "utf-8")
    standing = placed_bay(read(path))
    found = values(standing.parts[0].params)["inside"]
    assert isinstance(found, float)
    return found, list(sleeve_findings(standing))


@pytest.mark.parametrize(("play", "inside"), [("", 44.5), ("play = 0", 44.0), ("play = 0.8", 44.8)])
@pytest.mark.parametrize("recipe", ["ears_on_base", "ears"])
def test_ears_that_say_nothing_stand_the_sleeve_and_its_play_apart(
    tmp_path: Path, play: str, inside: float, recipe: str
) -> None:
    """Clamped hard, or made short to squeeze the poly first: the play is typed and no constant."""
    seat = 'seat = "flat"' if recipe == "ears" else ""
    found, said = judged(tmp_path, play=play, recipe=recipe, inside=seat)
    assert found == pytest.approx(inside)
    assert said == []


@pytest.mark.parametrize(
    ("inside", "play", "level"),
    [
        (49.0, "", "stop"),
        (44.5 + PULLED + 0.01, "", "stop"),
        (44.5 + PULLED - 0.01, "", "caution"),
        (44.5 + HAND + 0.01, "", "caution"),
        (44.5 + HAND - 0.01, "", None),
        (44.0, "", None),
        (43.99, "", "stop"),
        (43.0, "", "stop"),
        (46.0, "play = 2", None),
        (44.51, "play = 0", "caution"),
    ],
)
def test_ears_too_wide_and_too_narrow_for_their_sleeve(
    tmp_path: Path, inside: float, play: str, level: str | None
) -> None:
    found, said = judged(tmp_path, inside=f"base_width = 80\ninside = {inside}", play=play)
    assert found == inside
    assert [f.level for f in said] == ([] if level is None else [level])
    assert all(f.about == ("ears", "m sleeve") for f in said)


def test_what_is_said_names_both_sizes_and_the_one_to_type(tmp_path: Path) -> None:
    _, (wide,) = judged(tmp_path, inside="base_width = 80\ninside = 49")
    assert "a sleeve 44 mm long between ears 49 mm apart has 5 mm of play, 0.5 taken where" in wide.sentence
    assert "inside = 44.5 mm" in wide.sentence
    _, (narrow,) = judged(tmp_path, inside="inside = 43")
    assert "does not go in, it is 1 mm too long: inside = 44.5 mm, or grind it" in narrow.sentence
    assert judged(tmp_path, inside="inside = 44.5")[1] == []


SHOP = """format = 1
name = "mine"
coating = 0.1
[brake]
length = 900
"""


def coated(folder: Path, inside: str = "", play: str = "") -> tuple[float, list[Finding]]:
    """The same from a shop that coats every face 0.1 mm thick."""
    (folder / "shop.toml").write_text(SHOP, "utf-8")
    path = folder / "bay.toml"
    text = BAY.format(inside=inside, play=play, recipe="ears_on_base")
    path.write_text(text.replace("format = 1", 'format = 1\nshop = "shop.toml"', 1), "utf-8")
    standing = placed_bay(read(path))
    found = values(standing.parts[0].params)["inside"]
    assert isinstance(found, float)
    return found, list(sleeve_findings(standing))


def test_ears_stand_two_coats_further_apart(tmp_path: Path) -> None:
    """44 of sleeve, 0.5 of play, 0.1 on either ear."""
    assert coated(tmp_path) == (pytest.approx(44.7), [])
    assert coated(tmp_path, play="play = 0") == (pytest.approx(44.2), [])


@pytest.mark.parametrize(
    ("bay", "part", "inside", "by", "holes"),
    [
        ("", "", 44.7, "shop profile: mine", 0.1),
        ("coating = 0.2", "", 44.9, "the bay file", 0.2),
        ("coating = 0.2", "coating = 0.3", 45.1, "the bay file, part ears", 0.3),
        ("", "coating = 0.3", 45.1, "the bay file, part ears", 0.3),
        ("coating = 0.2", "coating = 0", 44.5, "the bay file, part ears", 0.0),
        ("coating = 0.2", "coating_in_holes = 0.25", 44.9, "the bay file, part ears", 0.25),
        ("coating_in_holes = 0", "", 44.7, "the bay file", 0.0),
        ("coating_in_holes = 0", "coating = 0.3", 45.1, "the bay file, part ears", 0.3),
    ],
)
def test_the_part_says_how_it_is_coated_before_the_bay_and_the_bay_before_the_shop(
    tmp_path: Path, bay: str, part: str, inside: float, by: str, holes: float
) -> None:
    """44 of sleeve, 0.5 of play, and the faces' coating on either ear; its holes for M10 are reamed to 10.1."""
    (tmp_path / "shop.toml").write_text(SHOP, "utf-8")
    text = BAY.format(inside=part, play="", recipe="ears_on_base")
    head = f'format = 1\nshop = "shop.toml"\n{bay}'
    (tmp_path / "bay.toml").write_text(text.replace("format = 1", head, 1), "utf-8")
    standing = placed_bay(read(tmp_path / "bay.toml"))
    (ears,) = standing.parts
    assert values(ears.params)["inside"] == pytest.approx(inside)
    assert not list(sleeve_findings(standing))
    found = [f for f in ears.findings if f.code == "coated hole"]
    assert bool(found) is (10.1 - 2 * holes < 10)
    for finding in found:
        assert finding.value == pytest.approx(10.1 - 2 * holes)
        assert finding.source == by


def test_a_coating_past_all_sense_is_refused_with_its_part(tmp_path: Path) -> None:
    path = tmp_path / "bay.toml"
    top, own = ("coating = 2.1", "", r"coating = 2\.1 mm"), ("", "coating = -1", r"part ears.*coating = -1 mm")
    for head, key, said in (top, own):
        text = BAY.format(inside=key, play="", recipe="ears_on_base")
        path.write_text(text.replace("format = 1", f"format = 1\n{head}", 1), "utf-8")
        with pytest.raises(BadFile, match=said):
            read(path)


@pytest.mark.parametrize(
    ("inside", "level", "room"),
    [(44.2, None, 0), (44.19, "stop", -0.01), (45.2, None, 0), (45.21, "caution", 1.01)],
)
def test_coating_is_taken_twice_off_the_room_for_a_sleeve(
    tmp_path: Path, inside: float, level: str | None, room: float
) -> None:
    _, said = coated(tmp_path, inside=f"base_width = 80\ninside = {inside}")
    assert [f.level for f in said] == ([] if level is None else [level])
    for finding in said:
        assert finding.value == pytest.approx(room)
        assert f"between ears {inside:g} mm apart less 0.1 of coating on each" in finding.sentence
        assert "inside = 44.7 mm" in finding.sentence


def test_a_play_past_all_sense_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match="play"):
        judged(tmp_path, play="play = 11")


def test_a_bush_row_that_is_refused_is_not_also_an_unknown_bush(tmp_path: Path) -> None:
    """The row is there: what is wrong with it is said once, and not again on every mount that uses it."""
    path = tmp_path / "bay.toml"
    text = BAY.format(inside="", play="", recipe="ears_on_base")
    path.write_text(text.replace("sleeve_length = 44", 'sleeve_length = "long"'), "utf-8")
    with pytest.raises(BadFile) as refused:
        read(path)
    assert len(refused.value.problems) == 1
    assert "bush Q" in refused.value.problems[0]
    path.write_text(text.replace('bush = "Q"', 'bush = "Q2"'), "utf-8")
    with pytest.raises(BadFile, match="Q2"):
        read(path)


OFF = BAY.replace('[mount.chassis]', '[mount.powertrain]\npart = "cup"\n[mount.chassis]') + """
[[part]]
name = "cup"
recipe = "cup"
length = 36
"""


def offset(folder: Path, mm: float, *, axis: int = 1, onto: bool = True) -> PlacedBay:
    """Ears and cup about a bush whose sleeve, 44 long, is `mm` off the middle of its shell, 36 long."""
    text = OFF.format(inside="", play="", recipe="ears_on_base")
    text = text.replace("sleeve_length = 44", f"sleeve_length = 44\nsleeve_offset = {mm}")
    text = text.replace("axis = [1, 0, 0]", f"axis = [{axis}, 0, 0]")
    path = folder / "bay.toml"
    path.write_text(text if onto else text.replace('onto = "rail"', "toward = [0, 0, -1]"), "utf-8")
    return placed_bay(read(path))


def middle(part: Part) -> Vec:
    """Centre of mass of what is alike at both ends, mm."""
    x, y, z = (round(float(v), 9) for v in part.mass.centroid)
    return (x, y, z)


@pytest.mark.parametrize(("mm", "axis", "x"), [(0, 1, 0.0), (3, 1, 3.0), (-3, 1, -3.0), (3, -1, -3.0), (4, 1, 4.0)])
@pytest.mark.parametrize("onto", [True, False])
def test_ears_and_bolt_stand_about_the_sleeve_and_the_cup_about_the_shell(
    tmp_path: Path, mm: float, axis: int, x: float, onto: bool
) -> None:
    """The sleeve stands off along the axis as typed: which way it is turned says to which side."""
    stood = offset(tmp_path, mm, axis=axis, onto=onto)
    parts = {part.name: part.part for part in stood.parts}
    bought = {thing.what: thing.part for thing in stood.bought}
    assert parts["ears"].seat("bush").place.at == pytest.approx((x, 0, 120))
    assert parts["cup"].seat("bush").place.at == (0, 0, 120)
    assert middle(bought["sleeve"]) == pytest.approx((x, 0, 120))
    assert middle(bought["bush"]) == pytest.approx((0, 0, 120))
    ears = next(part.params for part in stood.parts if part.name == "ears")
    through = mount_bolt(stood.bay, stood.bay.mounts[0], {"ears": ears})
    assert through is not None
    assert through.face[0] - through.head[0] * through.grip / 2 == pytest.approx(x)
    assert [m.off for part in stood.parts for m in part.misfits] == pytest.approx([0.0, 0.0])


@pytest.mark.parametrize(("mm", "near"), [(0.0, 4.25), (3.0, 1.25), (-3.0, 1.25)])
def test_an_offset_sleeve_takes_room_from_one_end_of_the_cup(tmp_path: Path, mm: float, near: float) -> None:
    """Ears 44 + 0.5 apart about the sleeve, a cup 36 long about the shell: 4.25 at either end, less the offset."""
    parts = {part.name: part.part for part in offset(tmp_path, mm).parts}
    found = gap(body(shape(parts["ears"]), name="ears"), body(shape(parts["cup"]), name="cup"))
    assert found.low == pytest.approx(near, abs=1e-3)


@pytest.mark.parametrize(
    ("mm", "said"),
    [
        (4.0, None),
        (-4.0, None),
        (4.001, "sleeve_offset = 4.001 mm, must be at most 4 mm either way: the sleeve reaches past both ends"),
        (-4.5, "sleeve_offset = -4.5 mm, must be at most 4 mm either way"),
    ],
)
def test_a_sleeve_must_reach_past_both_ends_of_its_shell(tmp_path: Path, mm: float, said: str | None) -> None:
    if said is None:
        assert offset(tmp_path, mm).bay.bushes["Q"].sleeve_offset == mm
        return
    with pytest.raises(BadFile, match=said):
        offset(tmp_path, mm)


def bush_of(raw: Mapping[str, object]) -> Bush:
    """The sleeve bush of a [[bush]] row as a file has it."""
    made = from_mapping(BushRow, raw, where="bush B").record
    assert isinstance(made, Bush)
    return made


def test_an_end_flange_takes_its_thickness_off_the_offset() -> None:
    row = {**data_files.toml_rows("bushes.toml", "bush")[0], "end_flange": 2}  # 52 on 40: 6 past, less 2
    assert bush_of({**row, "sleeve_offset": 4}).sleeve_offset == 4
    with pytest.raises(InputError, match="at most 4 mm either way"):
        bush_of({**row, "sleeve_offset": 4.01})
    with pytest.raises(InputError, match="sleeve_offset = 1 mm, must be 0: the sleeve"):
        bush_of({**row, "sleeve_length": 44, "sleeve_offset": 1})


def test_an_offset_sleeve_on_a_link_is_refused(tmp_path: Path) -> None:
    """What it asks of its bushes when the engine moves is not worked out."""
    text = (Path(__file__).parent / "cases" / "tie_bar.toml").read_text("utf-8")
    assert "sleeve_length" in text
    changed = text.replace("sleeve_length", "sleeve_offset = 0.5\nsleeve_length")
    (tmp_path / "bay.toml").write_text(changed, "utf-8")
    with pytest.raises(BadFile, match=r"sleeve_offset = 0\.5 mm, 0 at a link"):
        read(tmp_path / "bay.toml")


@pytest.mark.parametrize(
    ("off", "steps", "low"),
    [(0, [6, 40, 6], -26), (4, [2, 40, 10], -22), (6, [40, 12], -20), (-6, [12, 40], -32), (-4, [10, 40, 2], -30)],
)
def test_a_dummy_bush_has_the_offset_of_its_sleeve(off: float, steps: list[float], low: float) -> None:
    """A sleeve of 52 about z = off round a shell of 40 about 0."""
    opened = recipe("dummy_bush")
    [piece] = opened.build(opened.Params(sleeve_offset=off)).pieces
    assert isinstance(piece, Turned)
    assert [step.length for step in piece.steps] == steps
    assert piece.place.at == (0, 0, low)


@pytest.mark.parametrize("off", [6.01, -6.01])
def test_a_dummy_sleeve_past_its_shell_is_refused(off: float) -> None:
    with pytest.raises(InputError, match="-6 to 6 mm: the sleeve reaches past both ends"):
        recipe("dummy_bush").Params(sleeve_offset=off)
