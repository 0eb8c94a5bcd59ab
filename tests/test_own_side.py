"""What is asked of things that move together, and of welds near what heat hurts: small bays, sums done by hand."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from ears_bay import EARS, MOUNT, RAIL

from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.bay.report.rule_rows import rule_rows
from brackets.bay.seats.weld_reach import _chain, weld_findings
from brackets.bay.stand.bodies import bay_bodies
from brackets.bay.stand.gap_rules import is_relevant_pair, required_gap, same_mount
from brackets.bay.stand.placed import placed_bay
from brackets.core.finding import Finding
from brackets.geometry.shapes import rectangle
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall
from brackets.model.weld import OpeningRim, Weld

TEE = Path(__file__).parent / "tee.py"

EXACT = 1e-3
"""What a settled gap is true to, mm."""

TOP = 'format = 1\nname = "Invented"\n'


def tee(side: str = "chassis", kind: str = "fixed") -> str:
    """The base's edge is x = 50; its welds run at x = 0 and 6, y -30 to 30, z 6; its top is z 46."""
    return (
        f'[[part]]\nname = "tee"\nrecipe = "{TEE.as_posix()}"\nside = "{side}"\nkind = "{kind}"\nat = [0, 0, 0]\n'
    )


def ahead(gap: float, kind: str, side: str = "chassis", name: str = "thing") -> str:
    """A box whose face stands `gap` ahead of the base's edge."""
    box = f"box = {{ from = [{50 + gap}, -10, 0], to = [{60 + gap}, 10, 6] }}"
    return f'[[keep_out]]\nname = "{name}"\nside = "{side}"\nkind = "{kind}"\n{box}\n'


def written(folder: Path, text: str) -> Path:
    path = folder / "bay.toml"
    path.write_text(TOP + text, "utf-8")
    return path


def short(folder: Path, text: str) -> list[Finding]:
    return [finding for finding in fit(read(written(folder, text))).findings if finding.code == "gap at rest"]


OWN = '[gap]\nbelt = { rest = 7, moved = 2, why = "ours" }\n'


@pytest.mark.parametrize("side", ["chassis", "powertrain"])
@pytest.mark.parametrize(
    ("kind", "asked"), [("line", 20), ("steering_brakes", 25), ("hot", 25), ("belt", 7), ("fixed", 3)]
)
def test_a_class_holds_on_its_own_side_too_and_only_the_plain_one_asks_less(
    tmp_path: Path, side: str, kind: str, asked: float
) -> None:
    assert short(tmp_path, OWN + tee(side) + ahead(asked + EXACT, kind, side)) == []
    (said,) = short(tmp_path, OWN + tee(side) + ahead(asked - EXACT, kind, side))
    assert (said.level, said.limit, said.about) == ("caution", asked, ("tee", "thing"))
    assert said.value == pytest.approx(asked - EXACT, abs=EXACT / 10)
    assert said.source.startswith(f"gap {'same_side' if kind == 'fixed' else kind}: ")


def test_a_class_of_the_parts_own_holds_as_well(tmp_path: Path) -> None:
    (said,) = short(tmp_path, OWN + tee(kind="belt") + ahead(6.5, "fixed"))
    assert said.limit == 7


def test_the_table_of_rules_tells_of_both_and_the_findings_of_the_weld(tmp_path: Path) -> None:
    """The line's near face is at x 63, the nearer weld at x 6, level with its top."""
    done = fit(read(written(tmp_path, tee() + ahead(13, "line") + ahead(30, "fixed", name="other"))))
    (near,) = [finding for finding in done.findings if finding.code == "weld near"]
    assert (near.about, near.limit) == (("tee", "thing"), 150)
    assert near.value == pytest.approx(63 - 6, abs=EXACT)
    rows = {row.kind: row for row in rule_rows(done)}
    assert rows["line"].spare == pytest.approx(13 - 20, abs=1e-3)
    assert rows["same_side"].spare == pytest.approx(30 - 3, abs=1e-3)
    assert "have no class of their own" in rows["same_side"].why


# --------------------------------------------------------------------------------------------- near a weld

GAPS = """
[gap]
weld = { rest = 40, moved = 0, why = "ours" }
swing = { rest = 1, moved = 1, why = "ours" }
tank = { rest = 1, moved = 1, why = "ours" }
loom = { rest = 1, moved = 1, why = "ours", heat = false }
boot = { rest = 1, moved = 1, why = "ours", heat = true }
"""


def welds(folder: Path, text: str) -> list[Finding]:
    standing = placed_bay(read(written(folder, text)))
    return list(weld_findings(standing, bay_bodies(standing)))


def over(high: float, kind: str, name: str = "thing") -> str:
    """A long box over the tee's welds whose underside is `high` above them, to the left of its upright."""
    box = f"box = {{ from = [-40, -100, {6 + high}], to = [3, 100, {16 + high}] }}"
    return f'[[keep_out]]\nname = "{name}"\nkind = "{kind}"\n{box}\n'


@pytest.mark.parametrize("kind", ["line", "steering_brakes", "tank", "boot"])
def test_a_weld_within_reach_of_what_heat_hurts_is_a_caution_once(tmp_path: Path, kind: str) -> None:
    assert welds(tmp_path, GAPS + tee() + over(40, kind)) == []
    assert welds(tmp_path, GAPS + tee() + over(40.1, kind)) == []
    (said,) = welds(tmp_path, GAPS + tee() + over(39.9, kind))  # of two welds
    assert (said.level, said.code, said.limit) == ("caution", "weld near", 40)
    assert said.value == pytest.approx(39.9, abs=1e-3)
    assert said.about == ("tee", "thing")
    assert said.sentence == "39.9 mm from a weld of tee to thing, 40 asked: move or shield it before welding"
    assert said.source == "gap weld: ours"


@pytest.mark.parametrize("kind", ["swing", "fixed", "loom", "hot"])
def test_steel_and_what_the_bay_says_is_not_hurt_are_not(tmp_path: Path, kind: str) -> None:
    assert welds(tmp_path, GAPS + tee() + over(10, kind)) == []


def test_each_thing_and_each_part_has_its_line_nearest_first(tmp_path: Path) -> None:
    second = tee().replace('"tee"', '"far"').replace("at = [0, 0, 0]", "at = [0, 150, 0]")
    said = welds(tmp_path, GAPS + tee() + second + over(39, "line") + over(20, "tank", "tank"))
    # the boxes reach to y 100; welds of the second part begin at 120: 20 beside them, and 20 or 39 below
    assert [finding.about for finding in said] == [("tee", "tank"), ("far", "tank"), ("tee", "thing")]
    assert said[1].value == pytest.approx((20**2 + 20**2) ** 0.5, abs=1e-3)


def test_the_weld_itself_is_measured_not_its_part(tmp_path: Path) -> None:
    """The tee's base reaches to x 50, 15 below the box; its nearest weld ends at x 6, y 30, z 6."""
    box = "box = { from = [30, -30, 21], to = [60, 30, 30] }"
    (said,) = welds(tmp_path, GAPS + tee() + f'[[keep_out]]\nname = "thing"\nkind = "line"\n{box}\n')
    assert said.value == pytest.approx((24**2 + 15**2) ** 0.5, abs=1e-3)


@pytest.mark.parametrize("low", [-60, 50])
def test_a_weld_is_measured_to_both_its_ends(tmp_path: Path, low: float) -> None:
    """It ends at y -30 and 30: 20 short of a box beyond either."""
    box = f"box = {{ from = [5, {low}, 6], to = [9, {low + 10}, 9] }}"
    (said,) = welds(tmp_path, GAPS + tee() + f'[[keep_out]]\nname = "thing"\nkind = "line"\n{box}\n')
    assert said.value == pytest.approx(20.0, abs=1e-3)


BUSHED = """
[[bush]]
name = "B50"
kind = "KIND"
od = 50
shell_length = 40
sleeve_od = 18
sleeve_bore = 12.2
sleeve_length = 52
bolt = "M12"
stiffness = { radial = 380, axial = 108, torsion = 20300 }
travel = { radial = 5, axial = 5 }
load = 2600
heat = 80
mass = 0.27
"""
BUSHED += RAIL + MOUNT.replace("R50", "B50") + EARS


def test_rubber_is_taken_out_and_a_bush_without_it_may_stay(tmp_path: Path) -> None:
    """Ears are welded round the rail: nearest over its crown, 21.2 from its axis; the bush's shell is 25 round."""
    (said,) = welds(tmp_path, BUSHED.replace("KIND", "poly, two halves"))
    assert said.about == ("left bush", "ears")
    across = 80 - 21.2 - 25
    along = 52.5 / 2 - 20  # from the shell's end to the inner face of an ear
    assert said.value == pytest.approx((across**2 + along**2) ** 0.5, abs=0.1)
    assert said.sentence.endswith("take it out before welding")
    assert welds(tmp_path, BUSHED.replace("KIND", "solid")) == []


def test_points_along_a_round_weld_are_a_millimetre_apart_at_most() -> None:
    """Round a bore of 40, 125.7 mm: 126 steps of 0.997."""
    plate = Plate(name="plate", wall=Wall(outline=rectangle(80, 80), openings=(Hole(at=(0, 0), d=40),)), t=6)
    weld = Weld(piece="plate", edge=OpeningRim(0), onto="tube", leg=3)
    chain = _chain(SimpleNamespace(part=Part(name="p", pieces=(plate,))), weld)  # type: ignore[arg-type]
    steps = np.linalg.norm(np.diff(chain, axis=0), axis=1)
    assert len(steps) == 126
    assert steps == pytest.approx(np.full(126, 40 * np.sin(np.pi / 126)))


# ---------------------------------------------------------------------------------- which pairs are worth a row

NEAR = """
[gap]
fixed = { rest = 4, moved = 2, why = "ours" }
[powertrain]
moves = { fore = 4, up = 3 }
"""


def box_thing(name: str, at: float, *, what: str = "part", side: str = "chassis", holds: str | None = None) -> Any:
    """A box of 1 whose low corner is `at` ahead of the origin, and as much to the left of it."""
    low = np.array((at, at, 0.0))
    return SimpleNamespace(name=name, what=what, side=side, moves_with=side, holds=holds, kind="fixed", mounts=(),
                           through=(), reach=0.0, body=SimpleNamespace(box=(low, low + 1.0)))  # fmt: skip


def test_of_the_bolt_of_a_boss_what_is_near_is_told(tmp_path: Path) -> None:
    """Asked 4, moved hypot(4, 3) = 5 at most, and 10 more: 19. Of two boxes that much apart in x and in y the
    corners are sqrt 2 times as far: 13.43 apart each way."""
    bay = read(written(tmp_path, NEAR))
    bolt = box_thing("B1 bolt", 0.0, what="bolt", side="powertrain", holds="arm")
    for apart, told in ((13.4, True), (13.5, False)):
        rail = box_thing("rail", 1.0 + apart)
        assert is_relevant_pair(bay, bolt, rail) is told
        assert is_relevant_pair(bay, rail, bolt) is told


    level = box_thing("rail", 1.0)
    for apart, told in ((18.9, True), (19.0, False)):
        low = np.array((1.0 + apart, 0.0, 0.0))
        level.body.box = (low, low + 1.0)
        assert is_relevant_pair(bay, bolt, level) is told


def test_two_halves_of_a_mount_are_asked_across_their_bush_unless_they_stand_endwise(tmp_path: Path) -> None:
    own = 'own = { rest = 7, moved = 3, why = "ours" }\nown_end = { rest = 2, moved = 1, why = "ours" }\n'
    bay = read(written(tmp_path, f"[gap]\n{own}"))
    ears, cup = box_thing("ears", 0.0), box_thing("cup", 9.0, side="powertrain")
    ears.mounts, cup.mounts = ("left",), ("left", "right")
    asks = (required_gap(bay, ears, cup), required_gap(bay, ears, cup, endwise=True))
    assert [(a.kind, a.rest, a.moved) for a in asks] == [
        ("own", 7.0, 3.0), ("own_end", 2.0, 1.0),
    ]  # fmt: skip
    cup.mounts = ("right",)
    assert required_gap(bay, ears, cup).kind == "fixed"


def test_a_bolt_has_no_gap_to_the_part_it_holds_and_two_typed_of_one_side_none(tmp_path: Path) -> None:
    bay = read(written(tmp_path, NEAR))
    bolt = box_thing("B1 bolt", 0.0, what="bolt", side="powertrain", holds="arm")
    arm, rail, tank = (box_thing(name, 1.0, what=what) for name, what in
                       (("arm", "part"), ("rail", "keep-out"), ("tank", "keep-out")))  # fmt: skip
    assert not is_relevant_pair(bay, bolt, arm)
    assert not is_relevant_pair(bay, arm, bolt)
    assert not is_relevant_pair(bay, rail, tank)
    assert is_relevant_pair(bay, rail, arm)
    assert is_relevant_pair(bay, rail, box_thing("pan", 1.0, what="keep-out", side="powertrain"))


@pytest.mark.parametrize(
    ("one", "other", "met"),
    [
        (("bush", "powertrain"), ("sleeve", "chassis"), True),
        (("bolt", "chassis"), ("bush", "powertrain"), True),
        (("sleeve", "chassis"), ("part", "chassis"), True),
        (("sleeve", "chassis"), ("part", "powertrain"), False),
        (("bush", "powertrain"), ("part", "chassis"), True),
        (("part", "powertrain"), ("part", "chassis"), False),
        (("keep-out", "chassis"), ("sleeve", "chassis"), False),
    ],
)
def test_what_meets_by_design_in_one_mount(one: tuple[str, str], other: tuple[str, str], met: bool) -> None:
    for mount, expected in (("left", met), ("right", False)):
        a = SimpleNamespace(what=one[0], side=one[1], mounts=("left",))
        b = SimpleNamespace(what=other[0], side=other[1], mounts=(mount,))
        assert same_mount(a, b) is expected  # type: ignore[arg-type]
        assert same_mount(b, a) is expected  # type: ignore[arg-type]
