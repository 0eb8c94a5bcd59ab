"""Every rule about the bolts of a bay: the case that breaks it, and the one that just does not.

M12: pitch 1.75, washers 2.5, an all-metal lock nut 12 high; 30 of thread on a length to 125 (2 d + 6, ISO 4014).
M10: pitch 1.5, washers 2, 26 of thread.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from rule_cases import Case, each, holds

from brackets import recipe
from brackets.bay.bolts.bolt_rules import bolt_findings
from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.bolts.boss_bolts import BossBolt, _top
from brackets.bay.bolts.chassis_bolts import ChassisBolt
from brackets.bay.bolts.chassis_rules import not_drawn
from brackets.bay.bolts.own_metal import InMetal
from brackets.bay.bolts.tool_access import Drawn, Reached
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Boss, Mount, Powertrain
from brackets.bay.stand.hardware import MountBolt, head_end, play_of
from brackets.bay.stand.layers import Layer
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.place import HERE, Place
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.fasteners import Engagement, ring_spanner, socket
from brackets.core.vectors import unit
from brackets.model.part import Part
from brackets.model.piece import Seat
from brackets.survey.bolt_lengths import choose_clamping, choose_tapped, choose_through, through

M10, M12 = bolt("M10"), bolt("M12")
INCH = bolt("3/8 UNC")
"""Pitch 1.5875, washers 1.651."""
LOCK = 12.0
GRIP = 64.5
"""Ears 6 and 52.5 between them."""


def mounted(*, grip: float = GRIP, length: float | None = None, drawn: Drawn | None = None,
            turned: Drawn | None = None, ends: tuple[Reached, ...] = (),
            no_order: tuple[str, ...] = (), of: Bolt = M12) -> list[Finding]:  # fmt: skip
    """What is said of a bolt through ears of 6 mm, one washer under its head, two under its nut."""
    sits: dict[str, Any] = {"grip": grip, "nut_height": LOCK, "washers": (1, 2)}
    held = MountBolt(
        mount="left", row=of, face=(0, 0, 0), head=(1, 0, 0), nut_kind="all-metal lock", ear_t=6.0,
        typed=None if length is None else through(of, length, **sits), stock=choose_through(of, **sits), **sits,
    )  # fmt: skip
    return list(bolt_findings([BoltFound(name="left", bolt=held, drawn=drawn, turned=turned, ends=ends,
                                         no_order=no_order, body="left bolt", holds=("ears", "cup"))]))  # fmt: skip


def in_boss(*, grip: float = 8.0, depth: float = 25.0, least: float = 20.0,
            in_metal: tuple[InMetal, ...] = (), of: Bolt = M10) -> list[Finding]:  # fmt: skip
    """What is said of a bolt through that much of plate into a boss that asks for so much thread."""
    needed = Engagement(least=least, source="the bay file")
    held = BossBolt(
        boss=Boss(name="B1", at=(0.0, 0.0, 0.0), normal=(0.0, 0.0, 1.0), depth=depth), part="plate", row=of,
        at=(0, 0, 0), way=(0, 0, 1), grip=grip, needed=needed,
        stock=choose_tapped(of, grip=grip, depth=depth, least=needed.least),
    )  # fmt: skip
    return list(bolt_findings([BoltFound(name="B1", bolt=held, drawn=None, turned=None, ends=(), body="B1 bolt",
                                         holds=("plate",), in_metal=in_metal)]))  # fmt: skip


def out(free: float, other: float | None = None, *, held: tuple[str, ...] = (),
        no_order: tuple[str, ...] = ()) -> list[Finding]:  # fmt: skip
    """A bolt that comes out so far of 100, turned about so far, before it meets a rail, or what it holds."""
    by = (*held, "rail")
    drawn, turned = (
        None if n is None else Drawn(stand=HERE, out=n >= 100, length=100.0, free=n) if n >= 100
        else Drawn(stand=HERE, out=False, length=100.0, free=n, by=by[0], meets=by, held=held)
        for n in (free, other)
    )  # fmt: skip
    return mounted(length=100.0, drawn=drawn, turned=turned, no_order=no_order)


def reached(socket_by: tuple[str, ...], clock: float | None) -> list[Finding]:
    end = Reached(stand=HERE, height=8.0, end="nut", socket_by=socket_by, clock=clock, spanner_by=("rail",),
                  socket=socket(18), spanner=ring_spanner(18))  # fmt: skip
    return mounted(length=100.0, ends=(end,))


def bolted(*, low: float = 0.0, edge: float = 20.0, hollow: bool = True, passes: bool = True, tube: float = 50.0,
           grip: float = 60.0, of: Bolt = M10) -> list[Finding]:  # fmt: skip
    """What is said of a bolt in a hole of 11, through 6 of base, a rail of 50 and 4 of spreader."""
    layer = Layer(name="rail", low=low, high=low + 50.0, edge=edge, hollow=hollow)
    held = ChassisBolt(
        part="ears", seat="bolt_1", side="chassis", row=of, hole=11.0, layers=(layer,) if passes else (),
        meant=(layer,), part_t=6.0, spreader_t=4.0, crush_tube=tube, face=(0, 0, 56), head=(0, 0, 1), grip=grip,
        nut_height=8.4, stock=choose_clamping(of, grip=grip, nut_height=8.4, washers=(1, 1), shank_to=6.0),
    )  # fmt: skip
    return list(bolt_findings([BoltFound(name=held.name, bolt=held, drawn=None, turned=None, ends=(),
                                         body=held.name, holds=("ears", *held.onto))]))  # fmt: skip


def with_bolts(number: int) -> list[Finding]:
    """A part with so many seats for bolts to the chassis that nothing says what it stands on."""
    opened = recipe("base_plate")
    seats = tuple(Seat(name=f"bolt_{i}", place=Place(), kind="bolt", d=11.0, bolt="M10") for i in range(number))
    foot = PlacedPart(name="foot", side="chassis", kind="fixed", part=Part(name="foot", pieces=(), seats=seats),
                      recipe=opened, params=opened.Params(), worked_out={}, findings=())  # fmt: skip
    bay = Bay(
        path=Path("bay.toml"), name="", bare="mm", gaps={}, data=(), keep_outs=(), powertrain=Powertrain(),
        lumps=(), bosses=(), bushes={}, mounts=(), parts=(), contacts=(), paths=(),
    )  # fmt: skip
    return list(not_drawn(PlacedBay(bay=bay, parts=(foot,), bought=(), left_out=(), notes=()), ()))


FOUND = "brackets/bay/bolts/bolt_rules.py"
CHASSIS = "brackets/bay/bolts/chassis_rules.py"


def row(code: str, level: str, judge: Callable[[Any], list[Finding]], module: str = FOUND, **more: Any) -> Case:
    return Case(module=module, code=code, level=level, judge=judge, **more)


CASES = [
    row("bolt", "advice", lambda n: mounted(length=n), kept=100.0, broken=None, value=100.0),
    # 120 is the longest from stock: its shank of 90 must hold a washer of 2.5 and the grip
    row("bolt length", "caution", lambda grip: mounted(grip=grip), kept=87.5, broken=88.0, value=88.0),
    # out of the nut: length - 2.5 - 64.5 - 5 - 12 = length - 84, 3.5 asked
    row("bolt length", "caution", lambda n: mounted(length=n), kept=87.5, broken=87.0, value=3.0, limit=3.5),
    row("bolt length", "stop", lambda n: mounted(length=n), kept=84.0, broken=83.5, value=-0.5, limit=3.5),
    # shank: length - 30; the washers end at 2.5 + 64.5 + 5 = 72
    row("bolt length", "stop", lambda n: mounted(length=n), kept=102.0, broken=103.0, value=1.0, limit=0.0),
    # thread in the ear by the nut: 67 less the shank; the ear is 6
    row("thread in ear", "advice", lambda n: mounted(length=n), kept=97.0, broken=96.0, value=1.0, limit=0.0),
    row("thread in ear", "caution", lambda n: mounted(length=n), kept=91.0, broken=90.5, value=6.5, limit=6.0),
    row("bolt", "advice", lambda depth: in_boss(depth=depth), kept=25.0, broken=0.0),
    # 20 deep asked, and a pitch of 1.5 off the bottom
    row("bolt depth", "caution", lambda depth: in_boss(depth=depth), kept=21.5, broken=21.0, value=19.5,
        limit=20.0),
    # 10 asked in 12 less a pitch: 10 to 10.5 deep. A washer of 2 and 8 of plate: 20 to 20.5, and 20 is a stock
    # length. 9.5 of plate: 21.5 to 22, two washers 23.5 to 24, three 25.5 to 26: none; 20 is short, 25 long
    row("bolt length", "caution", lambda grip: in_boss(grip=grip, depth=12.0, least=10.0),
        kept=8.0, broken=9.5, value=25.0, limit=22.0),
    # 200 of plate: 212 to 212.5, over any stock length; 100 is the longest, and is told alone
    row("bolt length", "caution", lambda grip: in_boss(grip=grip, depth=12.0, least=10.0),
        kept=8.0, broken=200.0, value=100.0, limit=212.5),
    # under 11 of plate, 23 to 23.5; one washer more makes 25 to 25.5, a stock length
    row("bolt length", "advice", lambda grip: in_boss(grip=grip, depth=12.0, least=10.0),
        kept=8.0, broken=11.0, value=25.0, limit=23.5),
    row("bolt drawn", "caution", lambda way: out(*way), kept=(100.0, None), broken=(40.0, 60.0), value=40.0,
        limit=100.0),
    row("bolt drawn", "advice", lambda way: out(*way), kept=(40.0, 60.0), broken=(40.0, 100.0), value=40.0,
        limit=100.0),
    # what it holds bars it, from both ends; or it must go in before what must be there before it
    row("bolt drawn", "stop", lambda held: out(40.0, 60.0, held=held), kept=(), broken=("ears",), value=40.0,
        limit=100.0),
    row("bolt drawn", "stop", lambda no_order: out(40.0, no_order=no_order), kept=(),
        broken=("left bolt", "rail", "left bolt"), value=40.0, limit=100.0),
    # what shares metal with the part it holds, and by how much: 2.5 and 4
    row("foul", "stop", lambda metal: in_boss(in_metal=metal), kept=(),
        broken=tuple(InMetal(what=w, volume=v, at=(1, 2, 3)) for w, v in (("head", 2.5), ("shank", 4.0))),
        value=6.5, limit=0.01, unit="mm3"),
    row("bolt reach", "caution", lambda end: reached(*end), kept=((), None), broken=(("rail",), None)),
    # 1.2 holes of 11; past the edge there is nothing to go through
    row("bolt hole", "stop", lambda edge: bolted(edge=edge), kept=13.2, broken=13.1, value=13.1, limit=13.2,
        module=CHASSIS),
    row("bolt hole", "stop", lambda past: bolted(passes=past is None, edge=past or 20.0), kept=None, broken=-0.1,
        value=-0.1, limit=0.0, module=CHASSIS),
    row("crush tube", "stop", module=CHASSIS, judge=lambda tube: bolted(tube=tube), kept=50.0,
         broken=0.0),
    row("crush tube", "stop", module=CHASSIS, judge=lambda hollow: bolted(hollow=hollow, tube=0.0),
         kept=False, broken=True),
    row("crush tube", "caution", module=CHASSIS, judge=lambda tube: bolted(tube=tube), kept=50.5,
         broken=50.6, value=50.6, limit=50.0),
    row("crush tube", "caution", module=CHASSIS, judge=lambda tube: bolted(tube=tube), kept=49.5,
         broken=49.4, value=49.4, limit=50.0),
    # 2 + 84.6 + 2 + 8.4 + 3 = 100, the longest M10 from stock
    row("bolt length", "caution", module=CHASSIS, judge=lambda grip: bolted(grip=grip), kept=84.6,
         broken=84.7, value=84.7),
    # the shortest bolt, 45, has 19 of shank: 15 and two washers
    row("thread in chassis", "advice", module=CHASSIS, judge=lambda grip: bolted(grip=grip), kept=15.0,
         broken=14.9, value=14.9),
    row("bolt", "advice", module=CHASSIS, judge=with_bolts, kept=0, broken=2),
    row("bolt reach", "caution", lambda end: reached(*end), kept=(("rail",), 90.0), broken=(("rail",), None)),
]  # fmt: skip


@each(CASES)
def test_each_rule_is_kept_at_its_limit_and_broken_beyond(case: Case) -> None:
    holds(case)


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (87.0, "M12 x 87: 3.0 mm stand out of the nut, two threads (3.5 mm) asked; M12 x 100, washers 1 and 2"),
        (103.0, "M12 x 103: the nut meets the shank 1.0 mm before it holds; M12 x 100"),
        (96.0, "M12 x 96: 1.0 mm of thread in the 6 mm ear by the nut; M12 x 100"),
        (90.5, "M12 x 90.5: 6.5 mm of thread in the 6 mm ear by the nut and past it; M12 x 100"),
    ],
)
def test_the_words_hold_the_figures_and_what_would_fit(length: float, words: str) -> None:
    assert any(f.sentence.startswith(words) for f in mounted(length=length))


def test_what_is_wrong_with_each_stock_length_near_is_said() -> None:
    """97.5 of metal: 120 - 2.5 - 97.5 - 5 - 12 is 3, 3.5 asked; 88: 2.5 + 88 is 0.5 more than the shank of 90."""
    [none] = mounted(grip=97.5)
    assert none.sentence == "97.5 mm of metal for an M12: none from stock fits: x 120 is 0.5 mm too short"
    [thread] = mounted(grip=88.0)
    assert thread.sentence.endswith("none from stock fits: x 120 has 0.5 mm of thread in the ear")
    [cut] = in_boss(grip=9.5, depth=12.0, least=10.0)
    assert "20 is 1.5 mm too short, 25 comes 3.0 mm too near the bottom; cut one to 21.5 to 22.0 mm" in cut.sentence
    [washers] = in_boss(grip=11.0, depth=12.0, least=10.0)
    assert washers.sentence.endswith("M10 x 25 with 2 washers fits")


def test_lengths_of_an_inch_bolt_that_do_not_fit_are_told_as_they_are_sold() -> None:
    """6 in under a washer over 140, two washers and the nut of 12, two threads asked: 152.4 - 1.651 - 140 - 3.302
    - 12 - 3.175. Into a boss of 20, 15 asked, over 10: 25.4 - 1.651 - 10 is 1.25 short, 1/4 in more 1.69 over."""
    [none] = mounted(grip=140.0, of=INCH)
    assert none.sentence.endswith("none from stock fits: x 6 in is 7.7 mm too short")
    [washers] = in_boss(grip=10.0, depth=20.0, least=15.0, of=INCH)
    assert washers.sentence == (
        "no 3/8-16 UNC from stock fits under one washer: 1 in is 1.3 mm too short, 1-1/4 in comes 1.7 mm too near"
        " the bottom; 3/8-16 UNC x 1-1/4 in with 3 washers fits"
    )
    [chassis] = bolted(grip=140.0, tube=50.0, of=INCH)  # 152.4 - 1.651 - 140 - 1.651 - 8.4 - 3.175
    assert "none from stock fits: x 6 in is 2.5 mm too short" in chassis.sentence


def test_a_socket_or_a_spanner_is_enough_and_with_neither_both_reasons_are_told() -> None:
    [said] = reached(("rail", "cup"), None)
    assert "a socket 28.8 x 38 meets rail, cup" in said.sentence
    assert said.sentence.endswith("does not go on and swing 30 deg: rail")


def test_a_screw_is_thread_to_its_head_and_a_bolt_is_not() -> None:
    """30 to 30.5 deep in 8 of plate under a washer of 2: 40 long. A bolt of 40 has 26 of thread, a screw all."""
    found = choose_tapped(M10, grip=8.0, depth=32.0, least=30.0)
    assert found is not None
    assert (found.length, found.full_thread, found.depth, found.thread_short) == (40.0, True, 30.0, 0.0)


@pytest.mark.parametrize(
    ("word", "end"),
    [
        ("front", (1.0, 0.0, 0.0)),
        ("rear", (-1.0, 0.0, 0.0)),
        ("left", (0.0, 1.0, 0.0)),
        ("right", (0.0, -1.0, 0.0)),
        ("top", (0.0, 0.0, 1.0)),
        ("bottom", (0.0, 0.0, -1.0)),
    ],
)
def test_the_head_is_at_the_end_its_word_says_whichever_way_the_axis_is_typed(
    word: str, end: tuple[float, float, float]
) -> None:
    """x forward, y left, z up. Square to the axis, and up to a tenth of it, the word says neither end."""
    x, y, z = end
    for sign in (1.0, -1.0):
        row = Mount(name="left", bush="R50", at=(0, 0, 0), axis=(sign * x, sign * y, sign * z), bolt_head=word)
        assert head_end(row) == end
    for a, b, c in ((z, x, y), (y, z, x)):
        for along in (0.0, 0.09, 0.105):
            axis = (a + along * x, b + along * y, c + along * z)
            leaning = Mount(name="left", bush="R50", at=(0, 0, 0), axis=axis, bolt_head=word)
            if along > 0.1:  # 0.105 of an axis 1.0055 long is 0.1044
                assert head_end(leaning) == pytest.approx(unit(axis))
                continue
            with pytest.raises(InputError, match=f"bolt head = {word}, one of .*: the bush axis has no {word} end"):
                head_end(leaning)


@pytest.mark.parametrize(
    ("axis", "end"),
    [
        ((-1.0, 0.0, 0.0), (1.0, 0.0, 0.0)),
        ((0.0, -1.0, 0.0), (0.0, 1.0, 0.0)),
        ((0.0, 0.0, -1.0), (0.0, 0.0, 1.0)),
        ((0.09, -1.0, 0.0), (-0.0896, 0.996, 0.0)),  # hardly forward: by its left end
        ((-0.11, 1.0, 0.0), (0.1093, -0.994, 0.0)),
    ],
)
def test_a_head_whose_end_nobody_types_is_at_the_front_else_left_else_on_top(
    axis: tuple[float, float, float], end: tuple[float, float, float]
) -> None:
    row = Mount(name="left", bush="R50", at=(0, 0, 0), axis=axis)
    assert head_end(row) == pytest.approx(end, abs=1e-4)


def test_a_word_that_says_neither_end_is_told_which_words_do() -> None:
    row = Mount(name="left", bush="R50", at=(0, 0, 0), axis=(0, 1, 0), bolt_head="front")
    with pytest.raises(InputError, match=r"^bolt head = front, one of left, right: the .* no front end$"):
        head_end(row)


def test_ears_stand_half_a_millimetre_off_a_sleeve_whose_mount_names_no_play() -> None:
    row = {"name": "left", "bush": "R50", "at": (0, 0, 0), "axis": (1, 0, 0)}
    assert play_of(Mount(**row)) == 0.5
    assert play_of(Mount(play=0.0, **row)) == 0.0


@pytest.mark.parametrize(
    ("crossed", "top"),
    [
        ((0.0, 8.0), 8.0),
        ((-1.0, 0.1, 5.0, 8.0), 8.0),  # below the face, and a hair of triangle on it: not what a head bears on
        ((-1.0, 8.0), 8.0),  # sunk into the face
        ((41.0, 50.0), None),  # 40 is the furthest a spacer lifts it
        ((-5.0, -1.0), None),
        ((0.0, 8.0, 8.1, 16.0), 16.0),  # two plates that meet to within 0.2
        ((0.0, 8.0, 7.9, 16.0), 16.0),
        ((0.0, 8.0, 8.3, 16.0), 8.0),  # a gap between them
    ],
)
def test_the_metal_under_a_head_ends_at_the_first_gap(crossed: tuple[float, ...], top: float | None) -> None:
    assert _top(crossed) == top
