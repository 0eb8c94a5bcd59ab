"""Every recipe's own rules: a case that breaks each, and one that just does not."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from rule_cases import Case, each, holds
from test_recipes_tubes import BLOCK, B

from brackets import recipe
from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.vectors import Vec
from brackets.geometry.shapes import rectangle
from brackets.library.mount_rules import (
    CupFollows,
    cup_findings,
    cup_tube,
    cup_tube_problems,
    ear_findings,
    name_problems,
)
from brackets.library.plates import gusset_room
from brackets.model.holes import Hole


def own(name: str, **values: Any) -> list[Finding]:
    opened = recipe(name)
    return list(opened.check(opened.Params(**values)))


def arms(**values: Any) -> list[Finding]:
    """What is said of the room for weld and socket over the arms, and not of each socket."""
    return [f for f in own("cross_member", **values) if f.sentence.startswith("the arms end")]


def row(name: str, code: str, level: str, judge: Callable[[Any], list[Finding]], **more: Any) -> Case:
    return Case(module=f"recipes/{name}.py", code=code, level=level, judge=judge, **more)


STAY: dict[str, Any] = {**BLOCK, "bosses": tuple(B.values()), "boss_names": tuple(B)}
"""A stay on four bosses: B4 stands at y = -96, the others at -100: 4 lower."""
CASES = [
    # M10 wants 11.9 of thread in steel (test_rules_welds): 3 above and 8.9 of spigot
    Case(module="recipes/bung.py", code="thread", level="caution",
         judge=lambda s: own("bung", threaded=True, length=3.0, spigot=s),
         kept=8.9, broken=8.5, value=11.5, limit=11.9),
    Case(module="recipes/bung.py", code="proud", level="advice", judge=lambda s: own("bung", spigot=s, seat_t=6.0),
         kept=6.0, broken=5.5, value=5.5, limit=6.0),
    # M12: a pivot is finished 12.1, 6.05 to its rim; ear 18 leaves 11.95
    Case(module="recipes/ears.py", code="ear", level="caution",
         judge=lambda t: own("ears", bolt="M12", ear_r=18.0, t=t), kept=10.0, broken=12.0, value=11.95, limit=12.0),
    # bosses at z = 0, the plate 8 thick over them, so its middle at 4; the cup's middle must lie in the plate
    Case(module="recipes/cup_on_plate.py", code="overhung cup", level="caution",
         judge=lambda z: own("cup_on_plate", gussets=0, bush=(0.0, 0.0, z)),
         kept=8.0, broken=8.5, value=4.5, limit=4.0),
    Case(module="brackets/library/fixings.py", code="crush tube", level="stop",
         judge=lambda tubes: own("base_plate", fixing="bolted through hollow", holes=((0.0, 0.0),),
                                 crush_tubes=tubes),
         kept=True, broken=False),
    Case(module="recipes/base_plate.py", code="across the rail", level="advice",
         judge=lambda fixing: own("base_plate", fixing=fixing, holes=((0.0, 0.0),)),
         kept="bolted to solid", broken="welded"),
    # a tube of 38 passes ears 40 apart: the cup's length less 2
    Case(module="brackets/library/mount_rules.py", code="between the ears", level="caution",
         judge=lambda long: list(ear_findings("38x3", long)), kept=40.0, broken=39.5, value=38.0, limit=37.5),
    # a tube of 80 with a bush of 64 in it has 8 of wall
    Case(module="brackets/library/mount_rules.py", code="cup stock", level="advice",
         judge=lambda bore: list(cup_findings(80.0, bore, piece="cup")), kept=64.0, broken=63.0, value=8.5,
         limit=8.0),
    # steps of 2 and 10 under a plate of 8
    row("adaptor", "spacer", "advice", lambda low: own("adaptor", t=8.0, low=(2.0, *(low,) * 3)),
        kept=10.0, broken=10.5, value=8.5, limit=8.0),
    row("bracket_tray", "drain", "advice", lambda v: own("bracket_tray", drain=v[0], ends=v[1]), kept=(0.0, 1),
        broken=(0.0, 2)),
    row("bracket_tray", "drain", "advice", lambda d: own("bracket_tray", drain=d), kept=5.0, broken=0.0),
    row("bracket_tray", "strap", "advice", lambda n: own("bracket_tray", straps=n), kept=0, broken=1),
    row("cap_plate", "breathing", "advice", lambda d: own("cap_plate", drain=d), kept=5.0, broken=0.0),
    # (70 - 64) / 2 = 3
    row("cup", "cup wall", "caution", lambda d: own("cup", od=70.0, bush_od=d), kept=64.0, broken=65.0, value=2.5,
        limit=3.0),
    # a slip fit's play is bored too: (70 - 63.8 - 0.2) / 2 = 3
    row("cup", "cup wall", "caution", lambda play: own("cup", od=70.0, bush_od=63.75, fit="slip", play=play),
        kept=0.25, broken=0.75, value=2.75, limit=3.0),
    Case(module="brackets/library/rounds.py", code="bore first", level="advice",
         judge=lambda when: own("cup", finish=when), kept="after welding", broken="before welding"),
    row("dummy_bush", "stuck", "advice", lambda under: own("dummy_bush", under=under), kept=0.2, broken=0.0),
    # ears 46.5 apart and 6 each: 58.5; a leg of 4 on either side: 66.5
    row("ears_on_base", "outer weld", "advice", lambda wide: own("ears_on_base", base_width=wide), kept=66.5,
        broken=65.5, value=3.5, limit=4.0),
    # 1 in 10 under ears of 6
    Case(module="brackets/library/ears_base.py", code="square foot", level="advice",
         judge=lambda up: own("fork", bush_axis=(up, 10.0, 0.0), t=6.0), kept=0.0, broken=1.0, value=0.6,
         limit=0.0),
    Case(module="brackets/library/ears_base.py", code="square foot", level="advice",
         judge=lambda slope: own("ears_on_base", slope=slope, t=6.0), kept=0.0,
         broken=-math.degrees(math.atan(0.1)), value=0.6, limit=0.0),
    # 0.5 deg is 0.00873 in 1
    row("stud_arm", "stud leans", "caution", lambda y: own("stud_arm", stud_axis=(0.0, y, -1.0)), kept=0.0087,
        broken=0.0095, value=math.degrees(math.atan(0.0095)), limit=0.5, unit="deg"),
    row("gusset", "gusset", "advice", lambda leg: own("gusset", leg_x=80.0, leg_y=leg), kept=40.0, broken=36.0,
        value=0.45, limit=0.5, unit=""),
    row("gusset", "gusset", "advice", lambda leg: own("gusset", leg_x=leg, leg_y=80.0), kept=40.0, broken=36.0,
        value=0.45, limit=0.5, unit=""),
    # arms of 25 with their centres at 40 end at 52.5, the bungs at 60; asked are 2 of room and a leg
    row("cross_member", "socket", "caution", lambda leg: arms(bung_top=60.0, arm_z=40.0, leg=leg), kept=5.5,
        broken=6.0, value=7.5, limit=8.0),
    # the leg is as the wall where none is given
    row("cross_member", "socket", "caution", lambda size: arms(bung_top=60.0, arm_z=40.0, arm=size), kept="25x5",
        broken="25x6", value=7.5, limit=8.0),
    row("link", "adjustment", "advice", lambda size: own("link", thread=size), kept=None, broken="M12", value=8.0),
    # of the stud 30.6 are between the inserts, 15 in one of them, and 8 of the rest come out at the longest
    Case(module="brackets/library/adjusters.py", code="thread", level="caution",
         judge=lambda long: own("link", thread="M12", insert=15.0, stud=long), kept=67.8, broken=67.5, value=13.9,
         limit=14.2),
    row("tray", "lip alone", "advice", lambda has: own("tray", gussets=has), kept=True, broken=False),
    Case(module="brackets/library/faces.py", code="washer", level="caution",
         judge=lambda t: own("stay", **{**STAY, "washers": (("B4", t),)}), kept=4.0, broken=3.5, value=3.5,
         limit=4.0),
]  # fmt: skip


@each(CASES)
def test_each_rule_is_kept_at_its_limit_and_broken_beyond(case: Case) -> None:
    holds(case)


@pytest.mark.parametrize(
    ("od", "wall", "to_bore", "made"),
    [
        (None, None, 0.0, (50, 5)),  # 5 of wall where nothing is typed
        (None, 3.0, 0.0, (46, 3)),
        (None, 8.0, 0.0, (50, 8)),  # what is thicker is bored
        (None, 0.5, 0.0, (42, 0.5)),  # 1 is the least round a bush
        (60.0, None, 0.0, (60, 10)),
        (41.0, None, 0.0, (41, 1)),
        (60.0, None, 0.5, (60, 10.5)),
        (60.0, 7.0, 0.5, (60, 7)),
    ],
)
def test_what_is_not_typed_of_a_cup_goes_round_its_bush_of_40(
    od: float | None, wall: float | None, to_bore: float, made: tuple[float, float]
) -> None:
    assert cup_tube(40.0, od, wall, to_bore=to_bore) == pytest.approx(made)
    assert to_bore or cup_tube(40.0, od, wall) == pytest.approx(made)


@pytest.mark.parametrize(
    ("od", "wall", "said"),
    [
        (42.0, 1.0, ""),
        (41.9, 1.0, "cup_od = 41.9 mm, 42 mm or more: a wall round the bush 40"),
        (50.0, 5.0, ""),
        (50.0, 5.0 - 4e-7, ""),
        (50.0, 4.9, "cup_wall = 4.9 mm, 5 mm or more: the tube's own bore 40.2 must not pass the bush 40"),
        (56.0, 7.0, "cup_wall = 7 mm, 8 mm or more: the tube's own bore 42 must not pass the bush 40"),
        # no tube has more than 8 of wall
        (56.2, 8.0, "cup_od = 56.2 mm, 56 mm or less: the tube's own bore 40.2 must not pass the bush 40"),
    ],
)
def test_a_cup_that_its_bush_does_not_fill_is_refused_with_what_would_do(od: float, wall: float, said: str) -> None:
    assert [str(one) for one in cup_tube_problems(od, wall, 40.0)] == ([said] if said else [])


class Landing(CupFollows):
    """A cup for a bush of 40 along y, and the tube that lands on it."""

    bush_od, cup_od, cup_wall, bush_axis = 40.0, None, None, (0.0, 1.0, 0.0)  # type: ignore[assignment]

    def __init__(self, od: float, way: Vec) -> None:
        self.od, self.way = od, way

    @property
    def landing_od(self) -> float:
        return self.od

    @property
    def landing_way(self) -> Vec:
        return self.way


@pytest.mark.parametrize(
    ("od", "way", "cup", "long"),
    [
        (38.0, (0.0, 0.0, 9.0), 50, 40),  # square on
        (39.0, (0.0, 0.0, -9.0), 50, 41),  # 2 narrower than the cup, to pass the ears
        (58.0, (0.0, 0.0, 9.0), 58, 60),  # no wider than the cup
        # its ellipse is 25 / sin 60 long and leans by 50 / tan 60: (25 + 50 / 2) / sin 60 = 57.7
        (25.0, (0.0, 1.0, 3**0.5), 50, 58),
        # all but along it: no tube lands under a sine of 0.3: (25 + 50) / 0.3
        (25.0, (0.0, -1.0, 0.0), 50, 250),
        (25.0, (0.0, 0.0, 0.0), 50, 40),  # a way that is nothing asks nothing
    ],
)
def test_a_cup_follows_the_tube_that_lands_on_it(od: float, way: Vec, cup: float, long: float) -> None:
    of = Landing(od, way)
    assert of.cup_od_for_bush == cup
    assert of.cup_wall_for_bush == (cup - 40) / 2
    assert of.cup_length_for_tube == pytest.approx(long)


@pytest.mark.parametrize(
    ("names", "threads", "said"),
    [
        ((), (), []),
        (("a", "b"), ("M10", "M12"), []),
        (("a", "a"), (), ["boss_names = 2, none or 2 different: a name for each of the bosses"]),
        (("a",), (), ["boss_names = 1, none or 2 different: a name for each of the bosses"]),
        ((), ("M10",), ["threads = 1, none or 2: one for each of the bosses"]),
        ((), ("M10", "M99"), ["threads: "]),
    ],
)
def test_bosses_have_a_name_and_a_thread_each_or_none(
    names: tuple[str, ...], threads: tuple[str, ...], said: list[str]
) -> None:
    found = list(name_problems(names, 2, threads))
    assert len(found) == len(said)
    assert all(one.startswith(words) for one, words in zip(found, said, strict=True))


def test_a_gusset_reaches_as_far_as_both_its_faces_have_plate_under_them() -> None:
    """A cup of 60 at the origin, the plate's edge 80 off; gussets of 6 stand square to it, or 15 degrees aside."""
    plate = rectangle(200, 160)

    def room(count: int, *openings: Hole) -> float:
        return gusset_room(plate, openings, count, spread=30.0, cup_od=60.0, t=6.0)

    assert room(0) == math.inf
    assert room(1) == pytest.approx(80 - 30)
    assert room(1, Hole(at=(0.0, 70.0), d=10.0)) == pytest.approx(40 - math.sqrt(5**2 - 3**2))
    assert room(1, Hole(at=(8.5, 70.0), d=10.0)) == pytest.approx(50.0), "half a mm beside the nearer face"
    aside = math.radians(75)
    assert room(2) == pytest.approx((80 - 3 * math.cos(aside)) / math.sin(aside) - 30)


def test_a_gusset_past_its_plate_is_refused_with_the_longest_that_is_not() -> None:
    opened = recipe("cup_on_plate")
    row = ((-50.0, 65.0, 0.0), (50.0, 65.0, 0.0))
    most = opened.Params(bosses=row).gusset_room  # type: ignore[attr-defined]
    assert 25.0 < most < 80.0
    opened.Params(bosses=row, gusset_leg=most)
    with pytest.raises(InputError, match=r"gusset_leg = 80 mm, \d+\.\d+ mm or less: past it a gusset hangs off"):
        opened.Params(bosses=row, gusset_leg=80.0)
