"""A row for every finding about the powertrain on its bushes: kept at its limit, broken just past it."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest
from rule_cases import Case, each, holds

from brackets import (
    Finding,
    Load,
    LoadCase,
    Modes,
    Stop,
    case_findings,
    crank_layout,
    missing_findings,
    mode_findings,
    one_missing,
    under_cases,
)
from brackets.bay.mount_heat import MountHeat, heat_findings

RULES = "brackets/hang/findings.py"
HEAT = "brackets/bay/mount_heat.py"
WEIGHT = 100 * 9.80665
FIRING = 1100 / 60
"""Hz of a four-stroke twin at an idle of 1100: once a turn."""


def swings(hz: float) -> Iterator[Finding]:
    """A powertrain that swings at one frequency, up and down, of a twin that idles at 1100."""
    all_ = np.array([0.0] * 5 + [hz])
    one = Modes(hz=all_, shapes=np.eye(6), energy=np.eye(6)[[0, 1, 3, 4, 5, 2]], low=all_, high=all_)
    return mode_findings(one, crank_layout("twin 360"), 1100)


def hung(**limits: object) -> Iterator[Finding]:
    """100 kg on one mount of 100 N/mm: it carries 980.665 N and gives 9.80665 mm."""
    mount = {"name": "only", "position": (0, 0, 0), "stiffness": 100, "torsion": 1e6, **limits}
    return case_findings(under_cases(100, (0, 0, 0), [mount], []))


def pulled_up(g: float, stop: Stop | None = None) -> Iterator[Finding]:
    mount = {"name": "only", "position": (0, 0, 0), "stiffness": 100, "torsion": 1e6}
    cases = [LoadCase(name="jump", felt=(0, 0, g))]
    return case_findings(under_cases(100, (0, 0, 0), [mount], cases, stops=[stop] if stop else []))


def hot(place: float, row: float | None) -> Iterator[Finding]:
    """A rubber bush whose place becomes `place` deg C; its row allows `row`, or does not say."""
    return heat_findings([MountHeat(mount="rear", bush="B", kind="bonded rubber", place=place, allowed=row)])


def aside(mm: float, case: bool = False) -> Iterator[Finding]:
    """100 kg `mm` beside the mount that holds it, or pulled there by a case: 1e6 N mm/rad against its turning,
    so that 5 degrees take 87266 N mm, 88.987 mm of its weight."""
    mount = {"name": "only", "position": (0, 0, 0), "stiffness": 1e4, "torsion": 1e6}
    pull = LoadCase(name="pull", loads=(Load(couple=(WEIGHT * mm, 0, 0)),))
    found = under_cases(100, (0, 0 if case else mm, 0), [mount], [pull] if case else [])
    return (each for each in case_findings(found) if each.code == "small turn")


PAD = Stop(name="pad", at=(0, 0, 0), direction=(0, 0, -1), gap=0, stiffness=100, carries=True)


def washer(gap: float) -> list[Finding]:
    """Three mounts, the rear one 500 mm behind the line of the others; its washer catches it `gap` mm lower."""
    at = {"left": (0, 300, 0), "right": (0, -300, 0), "rear": (-500, 0, 0)}
    three = [{"name": n, "position": p, "stiffness": 1e5} for n, p in at.items()]
    stops = [Stop(name="washer", at=(-500, 0, 0), direction=(0, 0, -1), gap=gap, stiffness=1e6, of="rear")]
    return [f for f in missing_findings(one_missing(10, (-100, 0, 0), three, stops=stops)) if f.piece == "rear"]


CASES = (
    # firing at idle over root two: 12.964 Hz
    Case(module=RULES, code="mode isolates", level="caution", judge=swings, kept=FIRING / math.sqrt(2),
         broken=12.97, value=12.97, limit=FIRING / math.sqrt(2), unit="Hz"),
    # a fifth under once a turn: 14.667 Hz; a fifth over half a turn's: 11 Hz
    Case(module=RULES, code="mode order", level="caution", judge=swings, kept=FIRING * 0.8, broken=14.67,
         value=14.67, limit=FIRING * 0.8, unit="Hz"),
    Case(module=RULES, code="mode order", level="caution", judge=swings, kept=11.0, broken=10.99,
         value=10.99, limit=11.0, unit="Hz"),
    Case(module=RULES, code="small turn", level="stop", judge=aside, kept=88.98, broken=88.99,
         value=math.degrees(WEIGHT * 88.99 / 1e6), limit=5, unit="deg"),
    Case(module=RULES, code="small turn", level="stop", judge=lambda mm: aside(mm, case=True), kept=88.98,
         broken=88.99, value=math.degrees(WEIGHT * 88.99 / 1e6), limit=5, unit="deg"),
    Case(module=RULES, code="mount load", level="stop", judge=lambda n: hung(load=n), kept=980.67, broken=980.66,
         value=WEIGHT, limit=980.66, unit="N"),
    Case(module=RULES, code="mount travel", level="caution", judge=lambda mm: hung(travel=(None, None, mm)),
         kept=9.807, broken=9.806, value=WEIGHT / 100, limit=9.806),
    Case(module=HEAT, code="mount heat", level="stop", judge=lambda c: hot(c, 80), kept=80, broken=80.5, value=80.5,
         limit=80, unit="deg C"),
    Case(module=HEAT, code="mount heat", level="advice", judge=lambda row: hot(90, row), kept=90, broken=None,
         unit="deg C"),
    Case(module=RULES, code="mount lifts", level="advice", judge=pulled_up, kept=1.0, broken=1.001),
    Case(module=RULES, code="mount separates", level="caution", judge=lambda g: pulled_up(g, PAD),
         kept=0.999, broken=1.001),
    # 5 degrees over 500 mm: 43.6 mm
    Case(module=RULES, code="mount captive", level="caution", judge=washer, kept=43.5, broken=43.8),
)  # fmt: skip


@each(CASES)
def test_a_rule_is_kept_at_its_limit_and_broken_past_it(case: Case) -> None:
    holds(case)


def test_what_nothing_holds_is_said_with_the_way_it_goes() -> None:
    three = [{"name": n, "position": p, "stiffness": 300} for n, p in
             (("left", (0, 300, 0)), ("right", (0, -300, 0)), ("rear", (-500, 0, 0)))]  # fmt: skip
    found = list(missing_findings(one_missing(150, (-100, 0, 50), three)))
    assert [finding.about for finding in found] == [("left",), ("right",), ("rear",)]
    assert found[2].sentence == (
        "if it fails nothing holds the powertrain in case weight: it is free to turn about (0, -1, 0) through "
        "0, 0, 0 mm"
    )


def test_a_mode_says_what_it_is_and_what_shakes_it() -> None:
    isolates, order = swings(18.0)
    assert isolates.sentence == (
        "mode 6, 18.0 Hz, 100% z, wants to be under 13.0 Hz: at 1100 a minute it fires at 18.3 Hz"
    )
    assert order.sentence == (
        "mode 6, 18.0 Hz, 100% z, is within 20% of 18.3 Hz: 1 times a turn at 1100 a minute, firing"
    )


def test_a_case_says_its_name_and_how_its_loads_count() -> None:
    (found,) = hung(load=900)
    assert found.sentence == "case weight (characteristic): carries 981 N, its row allows 900 N"
    (lifts,) = pulled_up(2.0)
    assert lifts.sentence == (
        "case jump (characteristic): holds the powertrain down, 981 N: bush and bolts carry both ways"
    )


@pytest.mark.parametrize("layout", ["inline six", "vee eight, cross-plane"])
def test_a_smooth_engine_is_held_against_its_firing_alone(layout: str) -> None:
    found = [f for f in mode_findings(_one(18.3), crank_layout(layout), 1100) if f.code == "mode order"]
    assert found == []


def _one(hz: float) -> Modes:
    all_ = np.array([0.0] * 5 + [hz])
    return Modes(hz=all_, shapes=np.eye(6), energy=np.eye(6), low=all_, high=all_)
