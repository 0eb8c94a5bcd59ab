"""A cup that is too long for its bush, or for the room between its ears, is named as that.

The bush: 40 od, two halves of 36 together with flanges of 3 at the ends, on a sleeve of 44; ears 44.5 apart.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.worst import cure
from brackets.core.finding import Finding

BAY = """
format = 1
name = "cups (invented)"
[gap]
fixed = {{ rest = 5, moved = 2, why = "invented" }}
[powertrain]
moves = {{ up = 1, down = 1 }}
[[keep_out]]
name = "rail"
rail = {{ from = [-200, 0, 0], to = [200, 0, 0], size = "60x40", wall = 3, corner = 5 }}
[[lump]]
name = "engine"
mass = 30
at = [0, 100, 150]
[[bush]]
name = "T"
kind = "{kind}"
od = 40
shell_length = 36
sleeve_od = 16
sleeve_bore = 10.2
sleeve_length = 44
end_flange = {flange}
bolt = "M10"
mass = 0.2
travel = {{ radial = 0, axial = 0 }}
[[mount]]
name = "m"
bush = "T"
at = [0, 0, 100]
axis = [1, 0, 0]
[mount.powertrain]
part = "cup"
[mount.chassis]
part = "ears"
onto = "rail"
[[part]]
name = "cup"
recipe = "cup"
length = {cup}
[[part]]
name = "ears"
recipe = "ears"
ear_r = 20
"""


def fitted(folder: Path, *, cup: float, flange: float = 3, kind: str = "poly, two halves") -> Fit:
    path = folder / "cups.toml"
    path.write_text(BAY.format(cup=cup, flange=flange, kind=kind), "utf-8")
    return fit(read(path))


def between(found: Fit, a: str, b: str, code: str) -> list[Finding]:
    return [f for f in found.findings if f.code == code and set(f.about[:2]) == {a, b}]


@pytest.mark.parametrize(("cup", "long"), [(40.0, True), (36.0, False)])
def test_a_cup_in_its_bush_s_flanges_is_told_how_long_to_be(tmp_path: Path, cup: float, long: bool) -> None:
    said = [f.sentence for f in between(fitted(tmp_path, cup=cup), "cup", "m bush", "foul")]
    assert len(said) == long
    for sentence in said:
        assert sentence.endswith("; its cup is 40 mm long, between the flanges of the bush are 36: a cup of 36 mm")
        assert "would free" not in sentence


@pytest.mark.parametrize(("length", "off"), [(41.0, "0.3"), (42.5, "1.0")])
def test_a_cup_near_both_its_ears_is_to_be_shortened(tmp_path: Path, length: float, off: str) -> None:
    """44.5 between the ears less 41 leaves 1.75 at either end, where 2 are asked."""
    found = fitted(tmp_path, cup=length, flange=0, kind="solid")
    (near,) = between(found, "cup", "ears", "gap at rest")
    assert near.value == pytest.approx((44.5 - length) / 2, abs=1e-3)  # a gap is settled to that
    assert cure(found, near) == f"about {off} mm off either end of the cup, {length:g} mm long now; then fit again"
