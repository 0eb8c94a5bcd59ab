"""Bolts that a plate pries on: the T-stub of one bolt by sums written out here, and the strip a part has there.

EN 1993-1-8:2005 6.2.4, table 6.2 first method, figure 6.2 and table 6.4: from memory.
"""

from __future__ import annotations

from math import pi
from typing import Any

import numpy as np
import pytest

from brackets import InputError, Wall, bolt, hold, recipe, rectangle
from brackets.hold import Factors, HoldSettings, metal, prying_force, read_cases, t_stub
from brackets.hold.found import Found
from brackets.hold.part_walls import walls_of
from brackets.hold.prying import Strip, Web, bolt_length, strip_of, webs_of
from brackets.model.holes import Hole, Point
from brackets.model.plate import Folded, Plate

S235 = metal("S235", 10)
BROKEN = 0.9 * 800 * bolt("M12").stress_area / 1.25
STUB: dict[str, Any] = {"bolt": "M12", "grade": "8.8", "metal": S235, "m": 30, "length": 80}


def plastic(t: float) -> float:
    return 0.25 * 80 * t**2 * 235


@pytest.mark.parametrize(
    ("t", "n", "limit"),
    [
        (6, 35, 2 * plastic(6) / 30),  # mode 1: the plate gives twice
        (16, 35, (plastic(16) + 35 * BROKEN) / 65),  # mode 2: it gives at the web, the bolt breaks
        (16, 60, (plastic(16) + 37.5 * BROKEN) / 67.5),  # no more than 1.25 m of n counts
    ],
)
def test_modes_with_prying(t: float, n: float, limit: float) -> None:
    found = t_stub(1, t=t, n=n, bolt_length=8.8 * 30**3 * bolt("M12").stress_area / (80 * t**3), **STUB)
    assert found.limit == pytest.approx(limit)


def test_a_thick_plate_leaves_it_to_the_bolt() -> None:
    """Mode 3: 48.5 kN for M12 of 8.8."""
    found = t_stub(1, t=30, n=35, bolt_length=5, **{**STUB, "m": 20})
    assert found.limit == pytest.approx(BROKEN)
    assert found.limit == pytest.approx(48.56e3, rel=1e-3)


def test_a_long_bolt_is_not_pried() -> None:
    """Over 8.8 m3 As/(l t3) the plate gives at the web alone: Mpl/m; not known, the same, never more than pried."""
    edge = 8.8 * 30**3 * bolt("M12").stress_area / (80 * 10**3)
    assert edge == pytest.approx(250.3, rel=1e-3)
    same = {**STUB, "t": 10, "n": 35}
    assert t_stub(1, bolt_length=edge * 1.001, **same).limit == pytest.approx(plastic(10) / 30)
    assert t_stub(1, bolt_length=edge * 0.999, **same).limit == pytest.approx(2 * plastic(10) / 30)
    assert t_stub(1, **same).limit == pytest.approx(plastic(10) / 30)
    assert t_stub(1, **{**same, "t": 18}).limit == pytest.approx(BROKEN)
    for t in np.linspace(3, 25, 12):
        pried = t_stub(1, bolt_length=1, **{**same, "t": t}).limit
        assert t_stub(1, **{**same, "t": t}).limit <= pried * (1 + 1e-12)


def test_the_users_factor_takes_yield_of_plate_and_bolt() -> None:
    found = t_stub(1, t=16, n=35, bolt_length=10, factors=Factors(own=1.6), **STUB)
    broken = 0.9 * 640 * bolt("M12").stress_area / 1.6
    assert found.own_limit == pytest.approx((plastic(16) / 1.6 + 35 * broken) / 65)


def test_prying_adds_what_the_plate_cannot_hold() -> None:
    """Balance of a strip with Mpl at the web: F m = Mpl + Q n; at mode 2 both together break the bolt."""
    given: dict[str, Any] = {"t": 10, "metal": S235, "m": 30, "n": 35, "length": 80}
    assert float(prying_force(plastic(10) / 30, **given)) == pytest.approx(0, abs=1e-6)
    assert float(prying_force(20e3, **given)) == pytest.approx((20e3 * 30 - plastic(10)) / 35)
    assert float(prying_force(20e3, **{**given, "n": 99})) == pytest.approx((20e3 * 30 - plastic(10)) / 37.5)
    second = (plastic(16) + 35 * BROKEN) / 65
    assert second + float(prying_force(second, **{**given, "t": 16})) == pytest.approx(BROKEN)
    with pytest.raises(InputError, match="must be S235"):
        prying_force(1, **{**given, "metal": metal("5083-O", 6)})


def placed(wall: Wall) -> Any:
    return walls_of(Plate(name="base", wall=wall, t=10))[0]


def strip(at: Point, *webs: Web, holes: tuple[Point, ...] = (), w: float = 200) -> Strip:
    openings = tuple(Hole(at=one, d=13.0, bolt="M12") for one in (at, *holes))
    return strip_of(placed(Wall(outline=rectangle(w, 120), openings=openings)), at, webs)


ACROSS = Web(0, (0, -60), (0, 60), 4.0)
SHORT = Web(0, (0, -5), (0, 5), 4.0)


@pytest.mark.parametrize(
    ("found", "m", "n", "length"),
    [
        (strip((30, 0), ACROSS, w=90), 26, 15, 120),  # all of the plate's 120: 2 m + 0.625 n is 61.4 a side
        (strip((30, 0), SHORT, w=90), 26, 15, 52),  # 45 degrees from the bolt either way
        (strip((14, 0), ACROSS, w=50), 10, 11, 2 * (20 + 0.625 * 11)),  # table 6.4, inner: 4 m + 1.25 e
        (strip((14, 0), ACROSS, w=120), 10, 46, 2 * pi * 10),  # the same in a circle
        (strip((14, 50), ACROSS, w=50), 10, 11, 10 + 20 + 0.625 * 11),  # at the end: 2 m + 0.625 e + e1
        (strip((14, 58), ACROSS, w=120), 10, 46, pi * 10 + 2 * 2),  # pi m + 2 e1
        (strip((30, 0), ACROSS, holes=((30, 40), (-30, -10)), w=90), 26, 15, 20 + 60),  # half way to the next
        (strip((30, 0), SHORT, ACROSS, w=90), 26, 15, 120),  # lines in one line are one web
        (strip((30, 50), SHORT, w=200), (30**2 + 45**2) ** 0.5 - 4, None, None),  # past the end of the web
    ],
)
def test_strips_by_hand(found: Strip, m: float, n: float | None, length: float | None) -> None:
    assert found.m == pytest.approx(m)
    assert n is None or found.n == pytest.approx(n)
    assert length is None or found.length == pytest.approx(length, rel=1e-4)


def test_where_nothing_stands_or_it_stands_over_the_bolt() -> None:
    with pytest.raises(InputError, match="web = none, something must be welded on"):
        strip((30, 0))
    with pytest.raises(InputError, match="m = -1.0 mm from the bolt to the toe"):
        strip((3, 0), ACROSS)


def test_bends_and_welds_are_webs() -> None:
    """A tray's floor between its sides: m is counted to 0.8 of the radius from the metal, 0.2 r past its flat."""
    made = recipe("tray")
    part = made.build(made.Params())
    tray = part.piece("tray")
    assert isinstance(tray, Folded)
    webs = webs_of(part, tray)
    bends = [web for web in webs if web.off < 0]
    assert len(bends) == 2 * len(tray.flanges)
    assert bends[0].off == pytest.approx(-0.2 * tray.flanges[0].inside_radius)
    toes = {round(web.off, 6) for web in webs if web.off > 0}
    assert toes == {round(0.8 * weld.leg, 6) for weld in part.welds if weld.onto == "tray"}


def fork(load: str, **typed: Any) -> hold.Held:
    made = recipe("fork")
    return hold.hold_part(made.build(made.Params()), read_cases([load]), HoldSettings(grade="8.8", **typed))


def test_a_part_is_asked_for_prying_and_its_bolts_carry_it() -> None:
    """Where the plate holds at its web, nothing is added; over that shear and tension together use more."""
    for load, pried in (("bush: 500 300 1kN up", False), ("bush: 500 300 12kN up", True)):
        found = fork(load)
        stub, shear, both, pull = (
            next(one.check for one in found.checks if one.place == "bolt boss_1" and word in one.check.clause)
            for word in ("prying", "in shear", "combined", "in tension")
        )
        plain = shear.utilisation + pull.utilisation / 1.4
        assert stub.value == pytest.approx(pull.value)
        assert (float(both.value) > float(plain) * (1 + 1e-9)) is pried


def test_how_long_a_bolt_is_decides_whether_it_is_pried() -> None:
    """A casting's thread as typed: head and thread by half, the plate; without it the lesser of both."""
    known = fork("bush: 0 0 12kN up", engaged={"boss_1": 15.0, "boss_2": 15.0}, casting=200.0)
    blind = fork("bush: 0 0 12kN up")
    limits = []
    for found in (known, blind):
        (one,) = [c.check for c in found.checks if c.place == "bolt boss_1" and "prying" in c.check.clause]
        limits.append(float(one.limit))
        assert any("not known" in note for note in one.notes) is (found is blind)
    assert limits[0] > limits[1]


def test_a_plate_with_nothing_on_it_is_refused() -> None:
    made = recipe("adaptor")
    found = hold.hold_part(
        made.build(made.Params()), read_cases(["boss_1: 0 0 1kN up"]), HoldSettings(grade="8.8")
    )
    assert any(one.place.startswith("prying of bolt") and "web = none" in one.problem for one in found.refused)
    still = hold.hold_part(
        made.build(made.Params()), read_cases(["boss_1: 500 0 0 aside"]), HoldSettings(grade="8.8")
    )
    pulled = [one for one in still.checks if "in tension" in one.check.clause]
    assert bool(pulled) == any(one.place.startswith("prying") for one in still.refused)


def test_a_bolt_is_as_long_as_what_it_clamps_and_half_its_ends() -> None:
    """EN 1993-1-8:2005 table 6.11 (from memory): M10 has a head of 6.4 and a nut of 8.4 (ISO 4014, ISO 4032)."""
    made = recipe("fork")
    part = made.build(made.Params())
    plate = part.piece("plate")
    assert isinstance(plate, Plate)
    known = Found(part, read_cases(["bush: 0 0 1 up"]), HoldSettings(engaged={"boss_1": 15.0}))
    name = part.seat("boss_1").bolt or "M10"
    head = bolt(name).head_height
    assert bolt_length(known, part.seat("boss_1"), plate, plate.t, name) == pytest.approx(plate.t + (head + 15) / 2)
    assert bolt_length(known, part.seat("boss_2"), plate, plate.t, name) is None
    rail = recipe("ears_on_base")
    through = rail.build(rail.Params(fixing="bolted through hollow", through=40.0, spreader_t=4.0))
    base = through.piece("base/base")
    assert isinstance(base, Plate)
    found = Found(through, known.cases, HoldSettings())
    long = bolt_length(found, through.seat("base/bolt_1"), base, base.t, "M10")
    assert long == pytest.approx(base.t + 40 + 4 + (6.4 + 8.4) / 2)
    sheet = rail.build(rail.Params(fixing="bolted through sheet", through=2.0))
    blind = Found(sheet, known.cases, HoldSettings())
    assert bolt_length(blind, sheet.seat("base/bolt_1"), base, base.t, "M10") is None
