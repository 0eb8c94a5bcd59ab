"""Every rule about tubes laid out by points: the case that breaks it, and the one that just does not."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import pytest
from rule_cases import Case, each, holds
from test_layout import having

from brackets.core.finding import Finding
from brackets.core.vectors import Vec
from brackets.forming.shop import Former, Stick, Tubing
from brackets.forming.tube_layout import lay_out
from brackets.forming.tube_run import Bung, Cylinder, PlaneTarget, Run
from brackets.rules.tubes import layout_findings, socket_findings

RAIL = Cylinder("rail", (0, 0, 0), (1, 0, 0), 50)
LINE: tuple[Vec, ...] = ((0.0, 0.0, 0.0), (0.0, 0.0, 130.0), (175.0, 0.0, 130.0), (175.0, 100.0, 130.0))
"""Three straights, two bends of 90 degrees: at a radius of 75 each bend takes 75 of both its straights."""


def of(*runs: Run, **tools: Any) -> list[Finding]:
    laid = lay_out(*runs)
    return list(layout_findings(laid, having(**tools)) if tools else layout_findings(laid))


def up(size: str, *, start: Any = (), end: Any = (), x: float = 0.0, y: float = 0.0, long: float = 90.0) -> Run:
    return Run("t", size, ((x, y, 0.0), (x, y, long)), start, end)


def slanted(degrees: float) -> Run:
    a = math.radians(degrees)
    return Run("t", "25x2", ((0, 0, 0), (200 * math.cos(a), 0, 200 * math.sin(a))), RAIL)


def two(apart: float) -> list[Finding]:
    return of(*(Run(name, "25x2", ((x, 0, 0), (x, 0, 90))) for name, x in (("a", 0.0), ("b", apart))))


def on_main(x: float) -> list[Finding]:
    """A tube of 25 on one that runs from 0 to 200."""
    return of(Run("main", "50x3", ((0, 0, 0), (200, 0, 0))), up("25x2", start="main", x=x))


def bent(x: float = 175.0, *, bend_r: float = 75.0, start: Any = (), **tools: Any) -> list[Finding]:
    line = (*LINE[:2], (x, 0.0, 130.0), (x, 100.0, 130.0))
    return of(Run("t", "25x2", line, start, bend_r=bend_r), **tools)


def beside(x: float, reach: float = 90.0) -> Iterable[Finding]:
    """A tube of 25 that stands `x` from the bolt's axis: an M10's hexagon is 16, its socket 1.6 x 16 = 25.6."""
    tubes = lay_out(up("25x2", x=x, long=reach)).tubes
    return socket_findings(tubes, (0, 0, 20), (0, 0, 1), "M10", bolt_name="B1")


RULES, PAIRS = "brackets/rules/tubes.py", "brackets/rules/tubes.py"
CASES = [
    Case(module=RULES, code="stock", level="stop", judge=lambda z: of(up("38x3", long=z)),
         kept=6000.0, broken=6000.5, value=6000.5, limit=6000.0),
    Case(module=RULES, code="former", level="stop",
         judge=lambda r: bent(bend_r=r, formers=(Former(od=25, radius=60), Former(od=25, radius=75),
                                                 Former(od=38, radius=75.1))),
         kept=75.01, broken=75.021, value=75.021, limit=75.0),
    # the middle straight is x less 75 at each end; the clamp wants one diameter
    Case(module=RULES, code="straight", level="caution", judge=bent,
         kept=175.0, broken=174.5, value=24.5, limit=25.0),
    Case(module=RULES, code="straight", level="caution",
         judge=lambda times: bent(tubing=Tubing(straight=times)), kept=1.0, broken=1.5, value=25.0, limit=37.5),
    Case(module=RULES, code="cope after", level="advice", judge=lambda start: bent(start=start),
         kept=(), broken=RAIL),
    # 40 x 3 square on 50: at 90 degrees round, sqrt(25^2 - 17^2) - sqrt(25^2 - 20^2) = sqrt(336) - 15
    Case(module=RULES, code="inner lip", level="advice",
         judge=lambda gap: of(up("40x3", start=RAIL), tubing=Tubing(fit_up=gap)),
         kept=3.34, broken=3.33, value=math.sqrt(336) - 15, limit=3.33, within=1e-4),
    Case(module=RULES, code="sharp", level="caution", judge=lambda a: of(slanted(a)),
         kept=30.001, broken=29.5, value=29.5, limit=30.0, unit="deg"),
    # 12 / 3 = 4 times as thick
    *(Case(module=RULES, code="thin wall", level="caution", judge=lambda wall, make=make: of(make(wall)),
           kept=12.0, broken=12.6, value=4.2, limit=4.0, unit="")
      for make in (lambda wall: up("38x3", start=Cylinder("rail", (0, 0, 0), (1, 0, 0), 60, wall=wall)),
                   lambda wall: up("38x3", end=PlaneTarget("plate", (0, 0, 90), (0, 0, 1), t=wall)))),
    Case(module=RULES, code="thin wall", level="caution",
         judge=lambda wall: of(Run("main", f"50x{wall}", ((-100, 0, 0), (100, 0, 0))), up("25x2", start="main")),
         kept="8", broken="9", value=4.5, limit=4.0, unit=""),
    # half of 40 and what it is off centre, less half of 40: either way
    *(Case(module=RULES, code="overhang", level="caution",
           judge=lambda y: of(up("40x3", start=Cylinder("rail", (0, 0, 0), (1, 0, 0), 40), y=y)),
           kept=side * 1.59, broken=side * 1.7, value=1.7, limit=1.6) for side in (1, -1)),
    # a tube of 38 on a cup: half of 38 less half of its length
    Case(module=RULES, code="past the end", level="caution",
         judge=lambda long: of(up("38x3", start=Cylinder("cup", (0, 0, 0), (1, 0, 0), 60, length=long))),
         kept=38.0, broken=37.0, value=0.5, limit=0.0),
    # on a tube that runs from 0 to 200: half of 25 at either end
    Case(module=RULES, code="past the end", level="caution", judge=on_main, kept=12.5, broken=12.0, value=0.5,
         limit=0.0),
    Case(module=RULES, code="past the end", level="caution", judge=on_main, kept=187.5, broken=189.0, value=1.5,
         limit=0.0),
    # the bore of 38 x 3 is 32
    Case(module=RULES, code="bung", level="stop",
         judge=lambda d: of(up("38x3", end=Bung("bung", (0, 0, 90), d))),
         kept=32.0, broken=32.5, value=-0.5, limit=0.0),
    Case(module=RULES, code="bung", level="caution",
         judge=lambda d: of(up("38x3", end=Bung("bung", (0, 0, 90), d))),
         kept=31.5, broken=31.48, value=0.52, limit=0.5),
    # two of 25: 24 apart, each lies 1 in the other; 0.04 is fit-up
    Case(module=PAIRS, code="overlap", level="stop", judge=two, kept=24.96, broken=24.0, value=1.0, limit=0.0),
    Case(module=PAIRS, code="torch", level="caution", judge=two, kept=37.0, broken=36.5, value=11.5, limit=12.0),
    # a tube of 25 from x = 7.5 to 32.5, cut to one that ends at x: 7.5 - x
    Case(module=PAIRS, code="fit-up", level="caution",
         judge=lambda x: of(Run("main", "50x3", ((-100, 0, 0), (x, 0, 0))), up("25x2", start="main", x=20)),
         kept=6.0, broken=5.5, value=2.0, limit=1.6, within=1e-6),
    # from the axis: half the socket 12.8, a mm of room, half the tube 12.5
    Case(module="brackets/rules/tubes.py", code="socket", level="caution", judge=beside,
         kept=26.31, broken=26.0, value=26.0 - 12.8 - 12.5, limit=1.0, within=1e-6),
]  # fmt: skip


@each(CASES)
def test_each_rule_is_kept_at_its_limit_and_broken_beyond(case: Case) -> None:
    holds(case)


def test_a_tube_below_the_head_or_past_the_socket_is_not_in_its_way() -> None:
    """The head sits at 20, the socket is 38 long: a tube up to 20 and one from 58 on are clear of it."""
    assert list(beside(14.0, reach=20.0)) == []
    assert [f.value for f in beside(14.0, reach=20.1)] == [pytest.approx(14 - 12.5 - 12.8)]
    over = lay_out(Run("t", "25x2", ((-90, 0, 20 + 38 + 13), (90, 0, 20 + 38 + 13)))).tubes
    assert list(socket_findings(over, (0, 0, 20), (0, 0, 1), "M10", bolt_name="B1")) == []
    into = lay_out(Run("t", "25x2", ((-90, 0, 20 + 38 + 12), (90, 0, 20 + 38 + 12)))).tubes
    [inside] = socket_findings(into, (0, 0, 20), (0, 0, 1), "M10", bolt_name="B1")
    assert "12.8 mm inside the socket (26 od) on the M10 of B1" in inside.sentence


@pytest.mark.parametrize(
    ("first", "last", "which"),
    [(31.0, 100.0, "straight 1, before the first"), (0.0, 99.5, "straight 3, before the first or after the last")],
)
def test_the_straight_that_is_too_short_is_named(first: float, last: float, which: str) -> None:
    """130 - 31 - 75 = 24 before the first bend; 99.5 - 75 = 24.5 after the last; 25 asked."""
    line = ((0.0, 0.0, first), *LINE[1:3], (175.0, last, 130.0))
    [said] = [f for f in of(Run("t", "25x2", line, bend_r=75)) if f.code == "straight"]
    assert said.sentence.startswith(which)


@pytest.mark.parametrize(("long", "over"), [(20.0, []), (7.0, []), (6.0, [3.47 - 3])])
def test_only_what_is_cut_to_a_cup_can_land_past_its_end(long: float, over: list[float]) -> None:
    """38 on a cup of 60: sqrt(30^2 - 19^2 + x^2) up. Two planes at 45 degrees, 20 + x up, leave the cup only what
    is within (30^2 - 19^2 - 20^2) / 40 = 3.47 of its middle, looked at every 5 degrees."""
    cup = Cylinder("cup", (0, 0, 0), (1, 0, 0), 60, length=long)
    roof = [PlaneTarget(f"side_{n}", (0, 0, 20), (1, 0, n), t=3) for n in (-1, 1)]
    said = of(up("38x3", start=(cup, *roof)))
    assert [f.value for f in said if f.code == "past the end"] == [pytest.approx(x, abs=0.2) for x in over]
    assert [f.value for f in of(up("38x3", start=cup)) if f.code == "past the end"] == [19 - long / 2]


def test_a_rack_of_tubes_takes_the_place_of_the_usual_stick() -> None:
    assert of(up("38x3", long=6500), tubes=(Stick(od=38, wall=3, length=7000),)) == []


def test_overlap_says_whether_an_order_of_cuts_is_missing() -> None:
    [stop] = [f for f in two(20.0) if f.level == "stop"]
    assert stop.sentence == "lies 5.0 mm inside b: say which is cut to which (a, b)"
    assert stop.value == pytest.approx(5.0)
