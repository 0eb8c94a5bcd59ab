"""A bush's sleeve between its ears: how far apart the bay sets them, and what it says of ears that are not."""

from __future__ import annotations

from pathlib import Path

import pytest

from brackets.bay.file import read
from brackets.bay.placed import placed_bay
from brackets.bay.seat_rules import HAND, PULLED, sleeve_findings
from brackets.core.errors import BadFile
from brackets.core.finding import Finding
from brackets.core.schema.reading import values

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
