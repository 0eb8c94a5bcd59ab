"""The movement of a bay worked out from its bushes: against a hand's sum, and against places tried one by one."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from test_hang_travel import turned

from brackets.app.cli.fit_view import fit_text
from brackets.bay.clear import moving
from brackets.bay.clear.moving import Moved, by_pair
from brackets.bay.clear.regions import EVERY_WAY, BushWay, bush_ways, moves_of
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.held_parts import held_bay
from brackets.bay.held_rows import said as strength_said
from brackets.bay.hung.load_cases import load_cases_of
from brackets.bay.hung.movement import largest_turn, movement_of
from brackets.bay.hung.on_bushes import on_bushes
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.gap_rules import GapRule
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.unloaded import no_weight
from brackets.clearance.bodies import Body, body
from brackets.clearance.gaps import gap
from brackets.clearance.motion import bush_moves
from brackets.clearance.places import Transform
from brackets.clearance.sweeps import sweep
from brackets.core import kept
from brackets.core.errors import BadFile
from brackets.hang.load import G
from brackets.hang.mount import Mount
from brackets.hang.statics import reactions
from brackets.output.bay_facts import record

TOP = """
format = 1
name = "Invented"
[powertrain]
moves = {{ {moves} }}
[[lump]]
name = "engine"
mass = 100
at = [0, 0, 100]
size = [300, 300, 300]
[[bush]]
name = "B"
kind = "bonded rubber"
od = 40
shell_length = 40
sleeve_od = 16
sleeve_bore = 10.2
sleeve_length = 46
bolt = "M10"
stiffness = {{ radial = {stiffness}, axial = {stiffness}, torsion = 1000 }}
travel = {{ radial = 1, axial = 1 }}
load = 5000
heat = 80
mass = 0.2
"""
CASES = """
[[load_case]]
name = "bump"
felt = [0, 0, -2]
why = "invented"
[[load_case]]
name = "brake"
felt = [1.5, 0, 0]
why = "invented"
"""
BODIES = """
[[keep_out]]
name = "engine"
side = "powertrain"
box = { from = [-150, -150, -50], to = [150, 150, 250] }
[[keep_out]]
name = "floor"
box = { from = [-300, -300, -90], to = [300, 300, -80] }
[[keep_out]]
name = "bulkhead"
box = { from = [175, -300, -50], to = [180, 300, 300] }
[[keep_out]]
name = "rear"
box = { from = [-190, -300, -50], to = [-180, 300, 300] }
"""
CORNERS = [(x, y) for x in (-100, 100) for y in (-200, 200)]


def mounts(fit_: str = "carries weight") -> str:
    rows = (f'[[mount]]\nname = "m{i}"\nbush = "B"\nat = [{x}, {y}, 0]\naxis = [1, 0, 0]\nfit = "{fit_}"\n'
            for i, (x, y) in enumerate(CORNERS))  # fmt: skip
    return "".join(rows)


def bay_of(folder: Path, *, moves: str = "", stiffness: float = 250, more: str = CASES + BODIES) -> Bay:
    path = folder / "bay.toml"
    path.write_text(TOP.format(moves=moves, stiffness=stiffness) + mounts() + more, "utf-8")
    return read(path)


# ---------------------------------------------------------------------------------------- whose movement is cleared


def test_the_movement_is_the_sum_of_a_hand(tmp_path: Path) -> None:
    """100 kg on 1000 N/mm, known to 20 % as typed rows are: as typed it sags by 0.981 mm. On the softest, 800 N/mm,
    the weight and 1.5 times a bump of 2 g take it 4.903 mm down, 3.923 past where it is drawn."""
    found = movement_of(bay_of(tmp_path, moves="overshoot = 1.5"))
    assert found.how == "worked out"
    sag = 100 * G / 1000
    scatter = on_bushes(bay_of(tmp_path)).mounts[0]
    assert (scatter.low, scatter.high) == (0.8, 1.2)
    assert found.whole.travel[2][0] == pytest.approx(sag - 4 * sag / 0.8)
    assert found.cases[0].travel[2][1] == pytest.approx(sag - sag / 1.2)
    assert found.by[2][0] == "bump"
    assert found.by[0][1] == found.by[4][1] == "brake"  # forward, and nose down
    assert found.lacking == ("up", "back", "left", "right")
    assert found.unloaded is not None
    assert found.unloaded.shift == pytest.approx((0, 0, sag))


def test_a_bay_without_load_cases_stays_as_typed(tmp_path: Path) -> None:
    assert movement_of(bay_of(tmp_path, more=BODIES)).how == "none"
    typed = bay_of(tmp_path, moves="down = 3, roll = 2", more=BODIES)
    assert (movement_of(typed).how, no_weight(typed)) == ("typed", None)
    asked = bay_of(tmp_path, moves='down = 3, roll = 2, taken = "typed"')
    assert moves_of(asked) == moves_of(typed)
    assert movement_of(asked).mounts == {}


def test_typed_travel_only_widens_what_is_worked_out(tmp_path: Path) -> None:
    alone = movement_of(bay_of(tmp_path))
    both = movement_of(bay_of(tmp_path, moves="up = 4, down = 0.5"))
    assert (alone.how, both.how) == ("worked out", "both")
    for one, other in zip(alone.whole.spans, both.whole.spans, strict=True):
        assert other[0] <= one[0]
        assert other[1] >= one[1]
    assert both.whole.travel[2] == (alone.whole.travel[2][0], 4)
    assert both.by[2] == ("bump", "typed")
    assert movement_of(bay_of(tmp_path, moves='up = 4, taken = "worked out"')).whole == alone.whole


@pytest.mark.parametrize(
    ("moves", "more", "said"),
    [
        ('taken = "worked out"', BODIES, "moves.taken = worked out, only where it can be: there is no load case"),
        ('taken = "guessed"', BODIES, 'moves_taken = "guessed", must be one of both, typed, worked out'),
        ("overshoot = 0.9", BODIES, "moves_overshoot = 0.9, must be 1 to 3"),
    ],
)
def test_what_cannot_be_taken_is_refused(tmp_path: Path, moves: str, more: str, said: str) -> None:
    with pytest.raises(BadFile) as refused:
        moves_of(bay_of(tmp_path, moves=moves, more=more))
    assert said in " ".join(str(refused.value).split())


def test_load_cases_without_what_holds_it_are_said_and_the_typed_movement_stays(tmp_path: Path) -> None:
    path = tmp_path / "bay.toml"
    path.write_text(TOP.format(moves="down = 3", stiffness=250).replace("torsion = 1000", "torsion = 0")
                    + mounts().split("[[mount]]\nname = \"m1\"")[0] + CASES + BODIES, "utf-8")  # fmt: skip
    found = movement_of(read(path))
    assert found.how == "typed"
    assert "free to turn" in found.problem


PENDULUM = TOP.format(moves="", stiffness=250).replace("torsion = 1000", "torsion = 0")
PENDULUM = PENDULUM.replace("at = [0, 0, 100]", "at = [50, 0, 100]") + "".join(
    f'[[mount]]\nname = "{name}"\nbush = "B"\nat = [{x}, {y}, 0]\naxis = [0, 1, 0]\nfit = "{fit_}"\n'
    for name, x, y, fit_ in (
        ("left", 0, 200, "carries weight"),
        ("right", 0, -200, "carries weight"),
        ("late", 150, 0, "after the weight is on"),
    )
)  # fmt: skip
"""Two mounts on one axis, which the engine turns about, as it hangs before it, and a third that is bolted up once
the weight is on."""
BUMP = '[[load_case]]\nname = "bump"\nfelt = [0, 0, -2]\nwhy = "invented"\n'
LATE = "[[mount]]\nname = \"late\""


@pytest.mark.parametrize("moves", ["", "down = 3"])
@pytest.mark.parametrize(
    ("x", "cases", "by"), [(50, CASES, "against its weight"), (0, CASES, "every way"), (0, BUMP, "every way")]
)
def test_an_engine_that_nothing_keeps_from_turning_over_is_no_fit(
    tmp_path: Path, moves: str, x: int, cases: str, by: str
) -> None:
    """100 kg before the axis of its two bushes; or right over it, where it is only balanced, in a bump too."""
    path = tmp_path / "bay.toml"
    two = PENDULUM.partition(LATE)[0].replace("moves = {  }", f"moves = {{ {moves} }}")
    two = two.replace("at = [50, 0, 100]", f"at = [{x}, 0, 100]")
    path.write_text(two + cases + BODIES, "utf-8")
    done = fit(read(path))
    [said] = [one for one in done.findings if one.code == "movement"]
    assert (said.level, said.about) == ("stop", ("powertrain",))
    assert f"must hold the powertrain {by}: it is free to turn about (0, " in said.sentence
    cleared = "only the movement typed" if moves else "no movement"
    assert f"turns over or comes away under its load cases, and {cleared} is cleared" in said.sentence
    assert done.stops


def test_what_is_bolted_up_late_holds_it_from_then_on(tmp_path: Path) -> None:
    """While the weight comes on a hoist holds it: no movement is worked out, which is a caution and no stop."""
    path = tmp_path / "bay.toml"
    path.write_text(PENDULUM + CASES + BODIES, "utf-8")
    [said] = [one for one in fit(read(path)).findings if one.code == "movement"]
    assert said.level == "caution"
    assert "no movement by them: mounts = left, right, must hold the powertrain against its weight" in said.sentence


@pytest.mark.parametrize(("down", "held"), [(-1, True), (1, False)])
def test_a_pad_that_it_leans_on_holds_it_and_one_that_it_leaves_does_not(
    tmp_path: Path, down: int, held: bool
) -> None:
    """Its weight is 50 mm before the axis of its bushes, and 150 before it there is a pad under it, or over it."""
    pad = f'[[snubber]]\nname = "pad"\nat = [150, 0, 0]\ndirection = [0, 0, {down}]\ngap = 0\ncarries = true\n'
    before = PENDULUM.partition(LATE)[0]
    path = tmp_path / "bay.toml"
    path.write_text(before + pad + BUMP + BODIES, "utf-8")
    found = movement_of(read(path))
    assert (found.loose, found.how) == (not held, "worked out" if held else "none")


@pytest.mark.parametrize("more", [BODIES, ""])
def test_without_load_cases_nothing_is_said_of_what_holds_it(tmp_path: Path, more: str) -> None:
    """A bay that is typed mount by mount is no stop until it says what its powertrain feels."""
    path = tmp_path / "bay.toml"
    path.write_text(PENDULUM.partition(LATE)[0] + more, "utf-8")
    assert [one.code for one in fit(read(path)).findings if one.code == "movement"] == []


# ---------------------------------------------------------------------------------------- against places one by one


def at_random(bay: Bay, chosen: random.Random) -> tuple[str, Transform]:
    """Some case, or a mix of two, with some bushes: its name, "" of a mix, and the place."""
    on = on_bushes(bay)
    cases = load_cases_of(bay, on)
    rest = reactions(on.mass.kg, on.mass.centroid, on.mounts).rest
    soft = [mount.scaled(chosen.choice((mount.low, mount.high, chosen.uniform(mount.low, mount.high))))
            for mount in on.mounts]  # fmt: skip
    share = chosen.choice((0.0, 1.0, chosen.random()))
    far = movement_of(bay).overshoot
    felt = tuple(far * (share * a + (1 - share) * b) for a, b in zip(cases[0].felt, cases[1].felt, strict=True))
    found = reactions(on.mass.kg, on.mass.centroid, soft, felt=felt)  # type: ignore[arg-type]
    moved = found.movement - rest
    turn, centre = turned(moved[3:]), np.asarray(on.mass.centroid)
    name = cases[0].name if share == 1 else cases[1].name if share == 0 else ""
    return name, Transform(turn, centre - turn @ centre + moved[:3])


def test_no_place_that_is_tried_comes_nearer_than_the_low_end(
    tmp_path: Path, rng: Callable[[int], random.Random]
) -> None:
    """Real bodies at 250 places by the mechanics, each a rigid motion: none nearer than what is proven, some
    nearly; and the case that is named is the one of the nearest."""
    close = '[gap]\nfixed = { rest = 30, moved = 24, why = "invented" }\n'  # so that it is followed down
    bay = bay_of(tmp_path, moves="overshoot = 1.4", more=CASES + BODIES + close)
    done = fit(bay)
    moves = by_pair(done.moved)
    there = {thing.name: thing.body for thing in done.things}
    least: dict[str, tuple[float, str]] = {}
    for n in range(250):
        case, place = at_random(bay, rng(n))
        for other in ("floor", "bulkhead", "rear"):
            found = gap(there["engine"].placed(place), there[other]).low
            assert found >= moves[frozenset(("engine", other))].low - 1e-6
            least[other] = min(least.get(other, (math.inf, "")), (found, case))
    for other, named in (("floor", "bump"), ("bulkhead", "brake")):
        move = moves[frozenset(("engine", other))]
        assert move.case == least[other][1] == named
        assert move.high - move.low < 0.6
        assert least[other][0] - move.low < 6  # all six figures at once are worse than any one case


def speck(x: float) -> Body:
    corners = [(x, -200, 0), (x + 1, -200, 0), (x, -199, 0), (x, -200, 1)]
    return body((corners, [(0, 2, 1), (0, 1, 3), (1, 2, 3), (0, 3, 2)]))


def test_the_halves_of_a_mount_move_by_what_is_worked_out_where_that_is_more(tmp_path: Path) -> None:
    """The bush hangs 0.981 mm under its middle and bumps to 2.943 under it, with 20 % of scatter to 3.677; its own
    row gives 1 mm, or 6."""
    for row, most in ((1.0, None), (6.0, 6.0)):
        bay = bay_of(tmp_path)
        bush = replace(bay.bushes["B"], travel_radial=row, travel_axial=row)
        bay = replace(bay, bushes={"B": bush})
        here, there = (speck(x) for x in (-100, -90))
        radial, axial, every = bush_ways(bay, bay.mounts[0], here, there)
        if most is None:
            assert 3 * G / 8 < radial.radial < 3 * G / 8 + 0.5  # with the tilt
            assert radial.case == "bump"
            assert axial.case == "brake"
        else:
            assert (radial.radial, radial.case, axial.axial, axial.case) == (6, "", 6, "")
        assert every.radial <= radial.radial
        assert every.endwise
        assert not radial.endwise


@pytest.mark.parametrize(
    ("way", "apart", "swept"), [((0.8, 0.6, 0), 5.2, 0), ((1, 0, 0), 5.2, 0), ((1, 0, 0), 5, 1)]
)
def test_halves_that_surely_stay_apart_are_not_followed(
    way: tuple[float, float, float], apart: float, swept: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """4 mm along the axis and 3 square to it, at once: no point goes further than 5, and one that goes just that
    way shows that no less would do."""
    corner = np.array([(0, 0, 0), (-1, 0, 0), (0, -1, 0), (0, 0, -1)])
    faces = [(0, 1, 2), (0, 3, 1), (1, 3, 2), (0, 2, 3)]
    ones = body((corner, faces), name="cup"), body((np.multiply(way, apart) - corner, [f[::-1] for f in faces]))
    thing = KeepOut(name="invented", mesh="none.stl", unit="mm")
    a, b = (
        BayBody(name=name, what="part", side=name, kind="fixed", body=one, of=thing)
        for name, one in zip(("cup", "ear"), ones, strict=True)
    )
    looked: list[float] = []
    seen = lambda *of, **asked: (looked.append(asked["needed"]), sweep(*of, **asked))[1]  # noqa: E731
    monkeypatch.setattr(moving, "sweep", seen)
    want = GapRule(kind="own_end", rest=2, moved=0, why="ours", moved_kind="own_end", moved_why="ours")
    found = moving._in_bush(a, b, BushWay(by=EVERY_WAY, radial=3, axial=4), (1, 0, 0), want)
    true = sweep(*ones, bush_moves((1, 0, 0), radial=3, axial=4), 0.01).pairs[0]
    assert len(looked) == swept
    assert found.low <= true.high
    assert found.low == pytest.approx(apart - 5, abs=1e-3) if not swept else found.low > 0.4


# --------------------------------------------------------------------------------------------------- with no weight


def test_a_path_out_begins_where_the_hoist_holds_it(tmp_path: Path) -> None:
    """It sags by 4.09 mm on 60 N/mm each: of 6 mm under a roof as drawn 1.91 mm are left."""
    roof = """
[[keep_out]]
name = "roof"
box = { from = [-200, -200, 256], to = [200, 200, 260] }
[[path]]
name = "out"
part = "powertrain"
without = ["m0", "m1", "m2", "m3", "bulkhead", "rear"]
gap = 2
legs = [[0, 900, 0]]
"""
    done = fit(bay_of(tmp_path, stiffness=60, more=CASES + BODIES + roof))
    (path,) = done.paths
    assert path.unloaded
    assert path.out
    assert path.low == pytest.approx(6 - 100 * G / 240, abs=0.5)
    assert "path" in {finding.code for finding in done.findings}
    drawn = fit(bay_of(tmp_path, stiffness=60, more=BODIES + roof))
    assert not drawn.paths[0].unloaded
    assert drawn.paths[0].low == pytest.approx(6, abs=0.5)


def test_what_is_bolted_up_after_the_weight_is_on_stays_as_drawn(tmp_path: Path) -> None:
    bay = bay_of(tmp_path)
    late = replace(bay, mounts=(*bay.mounts[:3], replace(bay.mounts[3], fit="after the weight is on")))
    hung = no_weight(late)
    assert hung is not None
    assert hung.mounts == {"m0", "m1", "m2"}
    assert hung.bares({"m0"}, late)
    assert not hung.bares({"m3"}, late)


# ------------------------------------------------------------------------------------------------- said and kept


@pytest.fixture(scope="module")
def worked_out(tmp_path_factory: pytest.TempPathFactory) -> Fit:
    return fit(bay_of(tmp_path_factory.mktemp("moved"), moves="up = 4, overshoot = 1.5"))


def test_the_screen_says_which_movement_it_was_and_by_which_case(
    worked_out: Fit, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    text = " ".join(fit_text(worked_out, None).split())
    assert "movement as worked out from its bushes: weight, bump, brake; overshoot 1.5 (typed); and as" in text
    assert "unloaded with no weight on it hangs up 0.98 mm, turned 0.00 deg; judged there: nothing" in text
    assert "up 4.00 mm typed" in text
    assert "down 3.93 mm bump" in text
    assert "moved by what" in text


def test_scripts_have_the_case_of_each_gap_and_the_movement(worked_out: Fit) -> None:
    facts = json.loads(json.dumps(record(worked_out)))
    cases = {(one["a"], one["b"]): one["case"] for one in facts["moved"]}
    assert cases["engine", "floor"] == "bump"
    assert cases["engine", "bulkhead"] == "brake"
    said = facts["movement"]
    assert (said["how"], said["overshoot"], said["not_worked_out"]) == ("both", 1.5, None)
    assert [one["name"] for one in said["cases"]] == ["typed", "weight", "bump", "brake"]
    assert said["high"][2] == 4
    assert said["high_by"][2] == "typed"
    assert said["unloaded"]["shift"] == pytest.approx([0, 0, 100 * G / 1000])


def test_a_gap_that_is_too_small_says_the_case(tmp_path: Path) -> None:
    low = BODIES.replace("to = [300, 300, -80]", "to = [300, 300, -56]")
    done = fit(bay_of(tmp_path, more=CASES + low))
    (said,) = (finding for finding in done.findings if finding.code == "gap moved")
    assert "; by bump), 5 asked" in said.sentence
    (lacking,) = (finding for finding in done.findings if finding.code == "movement")
    assert lacking.level == "caution"
    assert "no load case pulls it up, back, left, right" in lacking.sentence


def test_a_turn_past_what_the_sum_is_good_for_stops(tmp_path: Path) -> None:
    limit = fit(bay_of(tmp_path, stiffness=50))
    most = max(largest_turn(region) for region in movement_of(limit.bay).cases)
    assert 5 < most < 20
    (said,) = (finding for finding in limit.findings if finding.code == "movement" and finding.level == "stop")
    assert said.value == most
    assert said.limit == 5


@pytest.mark.parametrize(("moves", "cleared"), [("", "no movement"), ("down = 3", "only the movement typed")])
def test_what_turns_over_stops_as_what_turns_too_far(tmp_path: Path, moves: str, cleared: str) -> None:
    """Past the largest turn of all nothing is worked out: that was a caution, and 5 degrees a stop."""
    done = fit(bay_of(tmp_path, moves=moves, stiffness=5))
    (said,) = (finding for finding in done.findings if finding.code == "movement")
    assert said.level == "stop"
    assert said.value > 28.7
    told = f"turns by {said.value:.0f} deg under its load cases: its mounts do not hold it upright, and {cleared}"
    assert said.sentence == f"{told} is cleared"


@pytest.mark.parametrize("stiffness", [5, 30])
def test_strength_under_loads_of_too_large_a_turn_stops_and_fit_says_it_once(
    tmp_path: Path, stiffness: float
) -> None:
    """What each mount carries is no better known than the turn is."""
    bay = bay_of(tmp_path, stiffness=stiffness, more=CASES + BODIES + "[hold]\n")
    (said,) = held_bay(placed_bay(bay)).findings
    assert (said.code, said.level, said.about) == ("small turn", "stop", ())
    assert strength_said(held_bay(placed_bay(bay))).startswith("strength: not judged, as the mounts")
    stops = [one.code for one in fit(bay).findings if one.level == "stop"]
    assert [code for code in stops if code in ("movement", "small turn")] == ["movement"]
    upright = held_bay(placed_bay(bay_of(tmp_path, more=CASES + BODIES)))
    assert upright.findings == ()
    assert "not judged" not in strength_said(upright)


def test_another_stiffness_makes_the_moved_gaps_anew_and_nothing_else(
    tmp_path: Path, keeping: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[str] = []
    real = kept.kept

    def noted(work: str, make: Callable[[], Any], *values: object, **more: Any) -> Any:
        def noting() -> Any:
            made.append(work)
            return make()

        return real(work, noting, *values, **more)

    monkeypatch.setattr(kept, "kept", noted)
    first = fit(bay_of(tmp_path))
    assert {"moved pair", "movement on bushes"} <= set(made)
    made.clear()
    assert fit(bay_of(tmp_path)).moved == first.moved
    assert made == []
    second = fit(bay_of(tmp_path, stiffness=200))
    # gaps at the new worst places; which of the new cases it is that moves a pair
    new = {"moved pair", "movement on bushes", "reaction range", "gap", "cases of far pairs"}
    assert set(made) <= new
    assert second.pairs == first.pairs
    assert low_of(second.moved) < low_of(first.moved)


def low_of(moves: tuple[Moved, ...]) -> float:
    return by_pair(moves)[frozenset(("engine", "floor"))].low


def test_a_late_mount_carries_nothing_as_drawn(tmp_path: Path) -> None:
    """Its own region is from where it is drawn; that of one that carries weight from a sag higher."""
    bay = bay_of(tmp_path)
    late = replace(bay, mounts=(*bay.mounts[:3], replace(bay.mounts[3], fit="after the weight is on")))
    found = movement_of(late).mounts
    weight = {name: regions[0] for name, regions in found.items()}
    assert all(region.name == "weight" for region in weight.values())
    assert isinstance(on_bushes(late).mounts[3], Mount)
    assert weight["m3"].travel[2][0] < 0 < weight["m3"].travel[2][1]
    assert weight["m1"].travel[2][1] < 0
