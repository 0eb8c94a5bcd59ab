"""What a mount says of its own bush beside its row: how hot its place becomes, and how well its stiffness is known.

Bays are invented; the sums are a hand's."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from test_hang_keys import BUSH, LUMP, STIFF, THREE, hung, read

from brackets import bush
from brackets.app.cli.app import main
from brackets.bay.hanging import hanging
from brackets.bay.mount_heat import MountHeat, heat_at_mounts, heat_findings
from brackets.core.errors import BadFile

SCREEN = """how hot the bushes become
mount bush its place deg C row allows deg C spare deg C
left B 95 80 -15
right B 80 80 0"""


def bay_text(*, row: str = "heat = 80", left: str = "heat = 95", right: str = "heat = 80") -> str:
    mounts = THREE.replace("R60", "B")
    for name, more in (("left", left), ("right", right)):
        mounts = mounts.replace(f'name = "{name}"\n', f'name = "{name}"\n{more}\n')
    return LUMP + BUSH.format("B", STIFF + row) + mounts


def said(tmp_path: Path, text: str) -> list[str]:
    found = hanging(*hung(tmp_path, text)).findings
    return [f"{f.level} {f.piece}: {f.sentence} [{f.source}]" for f in found if f.code == "mount heat"]


def test_a_bush_that_becomes_hotter_than_its_row_allows_stops(tmp_path: Path) -> None:
    """At its limit it does not; without a heat typed for its place nothing is said of it."""
    assert said(tmp_path, bay_text()) == [
        "stop left: its place becomes 95 deg C, as typed; the row of bush B allows 80: shield it, or move it"
        " [own row]"
    ]
    assert said(tmp_path, bay_text(left="", right="")) == []


@pytest.mark.parametrize(
    ("kind", "told"),
    [
        ("bonded rubber", ": natural rubber takes some 70 deg C for long, 100 at the most"),
        ("poly, two halves", ": poly takes some 70 to 80 deg C for long"),
        ("solid", ""),
    ],
)
def test_a_row_without_heat_is_never_judged_by_what_is_typical(kind: str, told: str) -> None:
    """At 400 deg C as at 20: advice, with no limit in it."""
    for place in (20.0, 400.0):
        one = MountHeat(mount="left", bush="B", kind=kind, place=place, allowed=None)
        (found,) = heat_findings([one])
        assert (found.level, found.limit, found.value, one.spare) == ("advice", None, None, None)
        assert found.sentence == (
            f"its place becomes {place:g} deg C, as typed; bush B does not say what it may become, not judged{told}"
        )


def test_screen_scripts_and_paper_have_the_heat_of_each_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "150")
    file = tmp_path / "bay.toml"
    file.write_text("format = 1\n" + bay_text(), "utf-8")
    assert main(["hang", str(file), "--no-files"]) == 1
    lines = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    at = lines.index("how hot the bushes become")
    assert "\n".join(line for line in lines[at : at + 5] if set(line) - {"-", " "}) == SCREEN
    assert "[[mount]] heat of rear: not held against the 80 deg C of bush B" in lines
    main(["hang", str(file), "--json", "--into", str(tmp_path / "made")])
    found = json.loads(capsys.readouterr().out)["heat"]
    assert found[0] == {
        "mount": "left", "bush": "B", "place_deg_c": 95.0, "allowed_deg_c": 80.0, "spare_deg_c": -15.0
    }  # fmt: skip
    assert len(found) == 2


def test_a_bay_in_inches_has_its_heat_in_degrees_c_all_the_same(tmp_path: Path) -> None:
    mount = '[[mount]]\nname = "left"\nbush = "R60"\nat = [0, 10, 8]\naxis = [1, 0, 0]\nheat = 95\n'
    bay = read(tmp_path, 'unit = "in"\n' + mount)
    assert [(one.place, one.allowed) for one in heat_at_mounts(bay)] == [(95, bush("R60").heat)]


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("heat = 700", "heat = 700, must be -50 to 500: hottest that its place becomes"),
        ("stiffness_pm = 1.5", "stiffness_pm = 1.5, must be 0 to 0.9: how well the stiffness of this very bush"),
    ],
)
def test_what_is_out_of_range_is_refused(tmp_path: Path, typed: str, told: str) -> None:
    with pytest.raises(BadFile) as refused:
        read(tmp_path, bay_text(left=typed))
    assert told in " ".join(str(refused.value).split())


def test_a_mount_that_says_how_well_its_own_bush_is_known_has_that_scatter(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A row of 300 N/mm known to 20 %: 240 to 360; one that was measured by itself to 5 %: 285 to 315."""
    text = bay_text(left="stiffness_pm = 0.05", right="")
    _, on = hung(tmp_path, text)
    scatter = {mount.name: (mount.low, mount.high) for mount in on.mounts}
    assert scatter["left"] == pytest.approx((0.95, 1.05))
    assert scatter["right"] == scatter["rear"] == pytest.approx((0.8, 1.2))
    file = tmp_path / "bay.toml"
    file.write_text("format = 1\n" + text, "utf-8")
    main(["hang", str(file), "--json", "--no-files"])
    told = json.loads(capsys.readouterr().out)
    spans = {(*row["mounts"], row["direction"]): (row["low"], row["high"]) for row in told["stiffness"]
             if row["value"] is not None}  # fmt: skip
    assert spans["left", "radial"] == pytest.approx((285, 315))
    assert spans["right", "rear", "radial"] == pytest.approx((240, 360))
    assert "left: its own bush as known to 5% either way, as typed" in told["assumed"]
    main(["hang", str(file), "--no-files"])
    out = " ".join(capsys.readouterr().out.split())
    assert "B at left radial 300 285 to 315 N/mm" in out
    assert "B radial 300 240 to 360 N/mm" in out
