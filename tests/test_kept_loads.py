"""What is kept of loads, of parts under them and of shafts: found again of the same, and of nothing else."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from brackets import HoldSettings, PartCase, PressFit, recipe
from brackets.clearance.motion import powertrain_moves
from brackets.clearance.shaft_lines import ShaftLines, chain
from brackets.core import kept
from brackets.hang import scatter
from brackets.hang.load import Load
from brackets.hang.mount import Mount
from brackets.hang.scatter import ReactionRange, reaction_range
from brackets.hold.held import Held
from brackets.hold.hold_part import hold_worst
from brackets.hold.part_cases import SeatLoad
from brackets.model.part import Part

ULP = math.nextafter(900.0, 1000.0)
"""N: what differs in its last digit alone is another load."""


def counted(monkeypatch: pytest.MonkeyPatch, module: Any, name: str) -> list[str]:
    """Grows by one each time that a function of a module is called."""
    calls: list[str] = []
    real = getattr(module, name)

    def call(*args: Any, **kwargs: Any) -> Any:
        calls.append(name)
        return real(*args, **kwargs)

    monkeypatch.setattr(module, name, call)
    return calls


# ----------------------------------------------------------------------------------------------------------- parts


def stay(**values: Any) -> Part:
    stays = recipe("stay")
    return stays.build(stays.Params(leg=5, gussets=0, **values))


def case(force: float = 900.0, moment: float = 0.0, name: str = "bump", counts: Any = "characteristic") -> PartCase:
    loads = (SeatLoad("bush", (0.0, 0.0, force), (moment, 0.0, 0.0)),)
    return PartCase(name=name, loads=loads, counted=counts)


SETTINGS = HoldSettings(grade="8.8", load_factor=1.35)
ASKED: dict[str, Any] = {"part": stay(), "cases": (case(),), "settings": SETTINGS, "told": ("bump",)}
OTHERS: Mapping[str, Mapping[str, Any]] = {
    "a thicker plate": {"part": stay(plate_t=10)},
    "another name of the part": {"part": replace(stay(), name="other")},
    "a force in its last digit": {"cases": (case(ULP),)},
    "a couple": {"cases": (case(moment=1.0),)},
    "another name of the case": {"cases": (case(name="pothole"),), "told": ("pothole",)},
    "a case that is factored": {"cases": (case(counts="factored"),)},
    "a case more": {"cases": (case(), case(-900.0, name="rebound"))},
    "another load factor": {"settings": replace(SETTINGS, load_factor=1.5)},
    "another bolt": {"settings": replace(SETTINGS, grade="10.9")},
    "a press fit": {"settings": replace(SETTINGS, press={"bush": PressFit(least=0.01, most=0.05, shell_id=0)})},
    "no case that is told of": {"told": ()},
}


def held(of: Mapping[str, Any]) -> Held:
    return hold_worst(of["part"], of["cases"], of["settings"], told=of["told"])


@pytest.mark.parametrize("what", OTHERS)
def test_a_part_is_held_anew_where_anything_it_depends_on_is_another(
    keeping: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    worked = counted(monkeypatch, sys.modules["brackets.hold.hold_part"], "_worked")
    first = held(ASKED)
    assert held(ASKED).record == first.record
    assert len(worked) == 1, "the same twice is worked out once"
    other = {**ASKED, **OTHERS[what]}
    found = held(other)
    assert len(worked) == 2
    monkeypatch.setattr(kept, "ENABLED", False)
    assert found.record == held(other).record
    assert found.record != first.record


def test_a_part_is_found_as_it_was_held_by_another_process(keeping: Path) -> None:
    first = held(ASKED)
    kept.flush()
    kept.forget()  # as a process that begins
    again = held(ASKED)
    assert again is not first
    assert again.record == first.record
    assert [one.check for one in again.checks][0].own_utilisation == first.checks[0].check.own_utilisation


# ----------------------------------------------------------------------------------------------------------- bushes


def mounts(stiffness: float = 300.0, high: float = 1.2) -> tuple[Mount, ...]:
    return tuple(
        Mount(name=f"m{i}", position=at, stiffness=stiffness, torsion=1e6, low=0.8, high=high)
        for i, at in enumerate(((-300, -200, 0), (-300, 200, 0), (300, 0, 0)))
    )


HUNG: dict[str, Any] = {
    "mass": 80.0,
    "centre": (0, 0, 100),
    "mounts": mounts(),
    "loads": (Load(name="push", force=(900.0, 0, 0)),),
    "felt": (0.0, 0.0, 0.0),
    "points": (),
}
HUNG_OTHERWISE: Mapping[str, Mapping[str, Any]] = {
    "mass": {"mass": math.nextafter(80.0, 90.0)},
    "centre": {"centre": (0, 0, 101)},
    "stiffness": {"mounts": mounts(301.0)},
    "scatter": {"mounts": mounts(high=1.3)},
    "load": {"loads": (Load(name="push", force=(ULP, 0, 0)),)},
    "felt": {"felt": (0.0, 0.0, -1.0)},
    "points": {"points": ((1.0, 2.0, 3.0),)},
}


def hung(of: Mapping[str, Any]) -> ReactionRange:
    return reaction_range(**of)


def ends(found: ReactionRange) -> list[Any]:
    both = (found.forces, found.moved, found.points, found.pushes)
    return [np.asarray(end).tolist() for pair in both for end in pair]


@pytest.mark.parametrize("what", HUNG_OTHERWISE)
def test_the_scatter_is_worked_out_anew_where_anything_it_depends_on_is_another(
    keeping: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    worked = counted(monkeypatch, scatter, "at_rest")
    first = hung(HUNG)
    assert ends(hung(HUNG)) == ends(first)
    assert len(worked) == 1, "the same twice is worked out once"
    other = {**HUNG, **HUNG_OTHERWISE[what]}
    found = hung(other)
    assert len(worked) == 2
    monkeypatch.setattr(kept, "ENABLED", False)
    assert ends(found) == ends(hung(other))


# ----------------------------------------------------------------------------------------------------------- shafts

FIGURES: Mapping[str, Callable[[ShaftLines], Any]] = {
    "at the moving joint": ShaftLines.most_at_moving,
    "at the fixed joint": ShaftLines.most_at_fixed,
    "left": ShaftLines.most_left,
    "axes": ShaftLines.most_axes,
    "moving out": ShaftLines.most_moving_out,
    "fixed out": ShaftLines.most_fixed_out,
}


def line(yaw: float) -> ShaftLines:
    moves = powertrain_moves((0, 0, 100), roll=2, yaw=yaw, up=5)
    return chain(moves, moving=(0, 0, 0), moving_axis=(0, 1, 0), fixed=(-600, 4, 10), fixed_axis=(0, 1, 0.01))


def test_no_figure_of_a_line_is_taken_for_another(keeping: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Six figures of two movements, each asked for twice: twelve are worked out, each as without keeping."""
    worked = counted(monkeypatch, sys.modules["brackets.clearance.shaft_lines"], "greatest")
    both = line(1.0), line(math.nextafter(1.0, 2.0))
    found = [[figure(one) for figure in FIGURES.values()] for one in both]
    assert [[figure(one) for figure in FIGURES.values()] for one in both] == found
    assert len(worked) == 2 * len(FIGURES)
    monkeypatch.setattr(kept, "ENABLED", False)
    assert [[figure(one) for figure in FIGURES.values()] for one in both] == found
