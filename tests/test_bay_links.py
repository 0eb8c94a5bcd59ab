"""Links in a bay: a bar with a bush on the engine's side and one on the chassis, read, placed, moved and judged."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import numpy as np
import pytest
from test_rules_bay import link

from brackets.app.cli.fit_view import fit_text
from brackets.bay.clear.link_motion import bar_reach, link_findings, links, links_moved
from brackets.bay.clear.moving_keep_outs import all_moved
from brackets.bay.clear.regions import moves_of
from brackets.bay.file import read
from brackets.bay.fitting import Fit, fit
from brackets.bay.report.whole import mass_rows
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.links import links_of
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bodies import BayBody, bay_bodies
from brackets.bay.stand.placed import placed_bay
from brackets.clearance.bodies import body, skins
from brackets.clearance.link_moves import LinkMoves
from brackets.core.errors import BadFile
from brackets.core.place import Place
from brackets.core.vectors import length, sub
from brackets.kernel.solids import shape
from brackets.library.rounds import ring
from brackets.output.bay_facts import record

CASE = Path(__file__).parent / "cases" / "tie_bar.toml"


def changed(folder: Path, *swaps: tuple[str, str]) -> Path:
    text = CASE.read_text("utf-8")
    for old, new in swaps:
        assert old in text, old
        text = text.replace(old, new)
    path = folder / "tie_bar.toml"
    path.write_text(text, "utf-8")
    return path


@pytest.fixture(scope="module")
def done() -> Fit:
    return fit(read(CASE))


def test_a_link_stands_between_its_bushes_as_long_as_they_are_apart(done: Fit) -> None:
    (link,) = (part for part in done.stood.parts if part.name == "torque_link")
    assert link.side == "link"
    assert link.part.seat("bush_1").place.at == pytest.approx((-116.0, 120.0, 104.0))
    assert link.part.seat("bush_2").place.at == pytest.approx((144.0, 120.0, 104.0))
    assert max(m.off for m in link.misfits) == pytest.approx(0.0)
    (found,) = done.links
    assert (found.length, found.apart) == pytest.approx((260.0, 260.0))
    assert (found.chassis.mount, found.powertrain.mount) == ("link_front", "link_rear")


def test_its_bushes_are_its_own_and_the_sleeves_and_bolts_are_of_what_holds_them(done: Fit) -> None:
    sides = {thing.name: thing.side for thing in done.stood.bought}
    assert sides == {
        "link_front bush": "link",
        "link_front sleeve": "chassis",
        "link_front bolt": "chassis",
        "link_rear bush": "link",
        "link_rear sleeve": "powertrain",
        "link_rear bolt": "powertrain",
    }
    assert {bolt.name: bolt.holds for bolt in done.bolts if bolt.name.startswith("link")} == {
        "link_front": ("ears", "torque_link"),
        "link_rear": ("fork", "torque_link"),
    }


def test_what_moves_with_neither_side_is_weighed_apart(done: Fit) -> None:
    rows = {row.what: row.mass.kg for row in mass_rows(done)}
    link = done.stood.parts[-1].part.mass.kg
    bushes = sum(thing.part.mass.kg for thing in done.stood.bought if thing.side == "link")
    assert rows["links between the two"] >= link
    assert bushes > 0
    assert rows["all mounts"] == pytest.approx(
        rows["mounts on the powertrain"] + rows["mounts on the chassis"] + rows["links between the two"]
    )


def test_what_the_bushes_take_is_that_of_two_moved_points(done: Fit) -> None:
    """The rear bush's centre at every corner of the movement against the front one's: closed form."""
    moves = moves_of(done.bay)
    assert moves is not None
    front, rear = np.array((144.0, 120.0, 104.0)), np.array([(-116.0, 120.0, 104.0)])
    corners = np.array(np.meshgrid(*moves.limits)).reshape(len(moves.limits), -1).T
    apart = [float(np.linalg.norm(moves.place(at).points(rear)[0] - front)) - 260.0 for at in corners]
    (found,) = done.links
    assert found.demand is not None
    assert max(apart) - 1e-9 <= found.demand.stretch.high <= max(apart) + 0.051
    assert -min(apart) - 1e-9 <= found.demand.squeeze.high <= -min(apart) + 0.051
    assert found.chassis.demand is not None
    most = max(max(apart), -min(apart)) / 2
    assert found.chassis.demand.radial.high == pytest.approx(most, abs=0.06)


def test_the_gaps_of_the_bar_hold_what_random_movements_find(done: Fit) -> None:
    bodies = {thing.name: thing for thing in done.things}
    engine = moves_of(done.bay)
    assert engine is not None
    told = {frozenset((m.a, m.b)): m for m in done.moved if m.by == "link"}
    assert {frozenset(("torque_link", other)) for other in ("pipe", "bulkhead", "block", "fork", "ears")} <= set(
        told
    )
    rng = np.random.default_rng(5)
    low, high = engine.limits.T
    for other, from_engine in (("pipe", False), ("ears", False), ("block", True), ("fork", True)):
        moves = LinkMoves(engine, (144.0, 120.0, 104.0), (-116.0, 120.0, 104.0), seen_from_engine=from_engine)
        one, body = bodies["torque_link"].body, bodies[other].body
        places = [low + (high - low) * rng.integers(0, 2, len(low)) for _ in range(60)]
        least = min(skins(one.placed(moves.place(at)), body).distance for at in places)
        move = told[frozenset(("torque_link", other))]
        assert move.low <= least + one.bound + body.bound, other


def test_against_a_keep_out_that_moves_by_itself_the_most_that_a_bar_moves_is_taken_off(tmp_path: Path) -> None:
    """The pipe of 12 lies 44 under the middle of a bar of 25 and slides up by 10: 44 - 10 - 6 - 12.5 = 15.5 as
    drawn. No place of the movement carries the bar's end further than what is taken off that."""
    pipe = 'tube = { from = [20, 120, 60], to = [20, 220, 60], od = 12 }\n'
    asked = ("fixed = { rest = 5, moved = 2,", "fixed = { rest = 5, moved = 15.8,")
    path = changed(tmp_path, (pipe, f"{pipe}moves = {{ by = [0, 0, 10] }}\n"), asked)
    stood = placed_bay(read(path))
    things = [thing for thing in bay_bodies(stood) if thing.name in ("pipe", "torque_link")]
    (own,) = all_moved(stood.bay, things)
    assert own.by == "keep-out"
    assert 15.5 - 1e-6 <= own.high < 15.8
    assert own.worst.startswith(("pipe at 9.", "pipe at 10 mm;"))
    off = 15.5 - own.low
    assert f"less {off:.1f} mm, the most that any of the link gets from where it is drawn" in own.worst
    moves = moves_of(stood.bay)
    assert moves is not None
    end = np.array([(-116.0, 120.0, 104.0)])
    far = max(
        float(np.linalg.norm(moves.place(np.array(at)).points(end) - end))
        for at in itertools.product(*(ends for ends in moves.limits))
    )
    assert far < off < far + 6  # the eye is past its bush's centre, and the bound is one
    (bar,) = links_moved(stood.bay, things)
    assert bar.by == "link"
    assert bar.high < 25.5 - 0.1


SECOND = """
[[mount]]
name = "stay_front"
bush = "T38"
at = [60, 20, 142]
axis = [0, 0, 1]
cup = "link"
[mount.chassis]
part = "ears"
[mount.link]
part = "stay"
seat = "bush_2"
[[mount]]
name = "stay_rear"
bush = "T38"
at = [-60, 240, 136]
axis = [0, 0, 1]
cup = "link"
[mount.powertrain]
part = "fork"
[mount.link]
part = "stay"
seat = "bush_1"
[[part]]
name = "stay"
recipe = "link"
"""
"""A second bar that crosses over the first, held by nothing here: it is looked at alone."""


def two_bars(bay: Bay) -> tuple[BayBody, BayBody, tuple[LinkMoves, LinkMoves]]:
    """Rods of 25 from bush centre to bush centre, and how each is carried."""
    engine = moves_of(bay)
    assert engine is not None
    rods, moves = [], []
    for one in links_of(bay):
        start, way = one.chassis.at, sub(one.powertrain.at, one.chassis.at)
        rod = ring("rod", od=25, bore=5, length=length(way)).placed(Place(start, way, (0.1, 0.2, 0.9)))
        made = body(shape(rod), name=one.part, tolerance=0.02)
        thing = KeepOut(name=one.part, mesh="none.stl", unit="mm")
        rods.append(
            BayBody(name=one.part, what="part", side="link", kind="fixed", body=made, of=thing, link=one.part)
        )
        moves.append(LinkMoves(engine, start, one.powertrain.at))
    return rods[0], rods[1], (moves[0], moves[1])


def test_two_links_are_judged_against_each_other_as_the_engine_carries_both(tmp_path: Path) -> None:
    """Against the distance of both at 400 places of the movement, with more asked than is there: the low end is
    under all of them, and more than what both move by at most taken off; the high end is that at a place of it."""
    text = CASE.read_text("utf-8").replace("rest = 5, moved = 2", "rest = 12, moved = 12")
    text = text.replace("roll = 1, pitch = 1.5, up = 2, down = 3, fore = 1, aft = 1", "pitch = 1.5, down = 3")
    path = tmp_path / "two.toml"
    path.write_text(text + SECOND, "utf-8")
    bay = read(path)
    one, other, moves = two_bars(bay)
    (found,) = links_moved(bay, (one, other))
    assert ({found.a, found.b}, found.by) == ({"torque_link", "stay"}, "link")
    engine = moves[0].engine
    rng, (low, high) = np.random.default_rng(8), engine.limits.T
    places = [low + (high - low) * rng.integers(0, 2, len(low)) for _ in range(200)]
    places += [low + (high - low) * rng.random(len(low)) for _ in range(200)]
    least = min(
        skins(one.body.placed(moves[0].place(at)), other.body.placed(moves[1].place(at))).distance for at in places
    )
    bound = one.body.bound + other.body.bound
    rest = skins(one.body, other.body).distance
    assert found.low <= least + bound
    assert found.high <= least + 0.5
    assert found.high - found.low <= 0.5 + 2 * bound
    assert least < rest - 0.3
    off = sum(bar_reach(bay, bar, seen_from_engine=False) for bar in (one, other))
    assert found.low > rest - off + 1
    assert found.position is not None
    at = np.r_[np.radians(found.position.angles), engine.frame @ np.array(found.position.travel)]
    there = skins(one.body.placed(moves[0].place(at)), other.body.placed(moves[1].place(at)))
    assert there.distance == pytest.approx(found.high, abs=bound + 0.01)
    assert np.array(found.p) == pytest.approx(there.p, abs=0.5)
    assert np.array(found.q) == pytest.approx(there.q, abs=0.5)


def test_the_screen_and_the_facts_say_what_the_bushes_are_asked(done: Fit) -> None:
    text = " ".join(fit_text(done, None).split())
    assert "links, mm: asked of each bush when the engine moves, at most, of what it gives" in text
    assert "torque_link link_front 260.0" in text
    (link,) = record(done)["links"]
    json.dumps(link)
    assert link["part"] == "torque_link"
    assert [end["mount"] for end in link["ends"]] == ["link_front", "link_rear"]
    assert link["ends"][0]["radial_limit_mm"] == 4
    assert link["ends"][0]["radial_mm"]["low"] <= link["ends"][0]["radial_mm"]["high"]
    assert {part["name"]: part["side"] for part in record(done)["parts"]}["torque_link"] == "link"


def test_nothing_stops_in_the_case(done: Fit) -> None:
    assert not done.stops
    assert not [f for f in done.findings if f.code in ("link travel", "link tilt")]


def test_a_bar_of_a_typed_length_is_off_its_mounts_by_half_at_either_end(tmp_path: Path) -> None:
    bush = 'recipe = "link"\nbush_1 = [-113, 120, 104]\n'
    stood = placed_bay(read(changed(tmp_path, ('recipe = "link"\n', bush))))
    (link,) = (part for part in stood.parts if part.name == "torque_link")
    assert [(m.seat, round(m.off, 6)) for m in link.misfits] == [("bush_2", 1.5), ("bush_1", 1.5)]
    (found,) = links(stood)
    assert (found.length, found.apart) == pytest.approx((257.0, 260.0))
    assert found.demand is not None
    assert found.demand.stretch.high > 3.0


def test_without_a_movement_nothing_is_asked_of_the_bushes(tmp_path: Path) -> None:
    moves = 'moves = { about = "crank", roll = 1, pitch = 1.5, up = 2, down = 3, fore = 1, aft = 1 }\n'
    (found,) = links(placed_bay(read(changed(tmp_path, (moves, "")))))
    assert found.demand is None
    assert list(link_findings([found])) == []


def test_a_link_too_short_for_the_movement_is_refused(tmp_path: Path) -> None:
    path = changed(tmp_path, ("fore = 1, aft = 1", "fore = 100, aft = 100, side = 90"))
    with pytest.raises(BadFile) as caught:
        links(placed_bay(read(path)))
    assert "part torque_link: bush centres = 260.0 mm apart, " in str(caught.value)


FRONT = '[mount.link]\npart = "torque_link"\nseat = "bush_2"\n'
REAR = '[mount.link]\npart = "torque_link"\nseat = "bush_1"\n'


@pytest.mark.parametrize(
    ("swaps", "said"),
    [
        (((FRONT, ""),), "mount link_front: cup = link, chassis or powertrain: the halves that meet here"),
        (((FRONT, ""),), "part torque_link: link of 1 mounts, link_rear, two: one on the chassis, one on the"),
        (
            (('[mount.chassis]\npart = "ears"\nonto = "bulkhead"\n', ""),),
            "mount link_front: link part = torque_link and neither of chassis and powertrain, one: what holds it",
        ),
        (
            (('onto = "bulkhead"\n', 'onto = "bulkhead"\n[mount.powertrain]\npart = "fork"\n'),),
            "mount link_front: link part = torque_link and both of chassis and powertrain, one: what holds it",
        ),
        (
            (('[mount.powertrain]\npart = "fork"\n', '[mount.chassis]\npart = "ears"\n'),),
            "part torque_link: link of link_front and link_rear, both on the chassis: one must be on the other",
        ),
        (
            ((REAR, FRONT),),
            "part torque_link: seat = bush_2 at both link_front and link_rear, a seat of its own at each",
        ),
        (
            (("at = [-116, 120, 104]", "at = [144, 120, 104]"),),
            "part torque_link: link_front and link_rear = 0.0 mm apart, 1 or more: ends of a link",
        ),
        (
            (('recipe = "link"\n', 'recipe = "link"\nat = [0, 0, 0]\n'),),
            "part torque_link: at, bosses, side = given, none: a link of link_front and link_rear stands by its",
        ),
        (
            ((REAR, REAR.replace("torque_link", "torque_lnik")),),
            "mount link_rear: link part = torque_lnik, nearest:",
        ),
        (
            (
                (
                    'cup = "link"\nbolt = { head = "left" }\n[mount.powertrain]',
                    'cup = "chassis"\n[mount.powertrain]',
                ),
            ),
            "mount link_rear: cup = chassis, powertrain or link: the halves that meet here",
        ),
    ],
)
def test_a_link_that_makes_no_sense_is_refused_in_words(
    tmp_path: Path, swaps: tuple[tuple[str, str], ...], said: str
) -> None:
    with pytest.raises(BadFile) as caught:
        read(changed(tmp_path, *swaps))
    assert said in str(caught.value)


def test_a_bush_that_is_asked_more_than_it_gives_stops_and_says_where() -> None:
    (found,) = link(radial=3.2)
    assert (found.level, found.code, found.value, found.limit, found.unit) == (
        "stop",
        "link travel",
        3.2,
        3.0,
        "mm",
    )
    assert found.about == ("bar", "front bush")
    assert found.sentence == ("front: up to 3.2 mm square to its axis asked of bush T (down 2 mm), it gives 3")
    (along,) = link(axial=2.1)
    assert along.sentence.startswith("front: up to 2.1 mm along its axis asked of bush T")
    (tilt,) = link(tilt=4.5)
    assert (tilt.code, tilt.unit) == ("link tilt", "deg")


def test_an_invented_row_is_a_caution_and_one_that_does_not_say_is_told() -> None:
    (found,) = link(radial=3.2, sample=True)
    assert (found.level, found.source) == ("caution", "SAMPLE: MEASURE YOURS")
    (advice,) = link(tilt=5.0, limit=None)
    assert (advice.level, advice.code) == ("advice", "link tilt")
    assert advice.sentence == (
        "front: up to 5.0 deg of tilt asked of bush T, which does not say what it takes (travel tilt): not judged"
    )
