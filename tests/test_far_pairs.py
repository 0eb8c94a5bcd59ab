"""Cases of pairs that stay far apart: told anew only for the part that changed, and as on a first run."""

from __future__ import annotations

from pathlib import Path

import pytest
from test_bay_movement import BODIES, CASES, TOP, mounts

from brackets.bay.clear import far_pairs
from brackets.bay.clear.regions import CaseMoves
from brackets.bay.file import read
from brackets.bay.fitting import fit
from brackets.clearance.bodies import Body
from brackets.core import kept
from brackets.kernel import solids

PARTS = """
[[part]]
name = "left"
recipe = "gusset"
side = "chassis"
at = [0, 290, 0]
{value}
[[part]]
name = "right"
recipe = "gusset"
side = "powertrain"
at = [0, -200, 0]
"""


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> set[tuple[str, str]]:
    """The pairs that were looked at since it was cleared."""
    found: set[tuple[str, str]] = set()
    real = far_pairs.far_case

    def noted(a: Body, b: Body, cases: tuple[CaseMoves, ...]) -> str:
        found.add((a.name, b.name))
        return real(a, b, cases)

    monkeypatch.setattr(far_pairs, "far_case", noted)
    return found


def moved(folder: Path, *, stiffness: float = 250, value: str = "") -> list[tuple[str, str, str, float, float]]:
    path = folder / "bay.toml"
    path.write_text(
        TOP.format(moves="", stiffness=stiffness) + mounts() + CASES + BODIES + PARTS.format(value=value), "utf-8"
    )
    kept.flush()
    kept.forget()
    solids.forget()
    return [(one.a, one.b, one.case, one.low, one.high) for one in fit(read(path)).moved]


def test_only_pairs_of_the_changed_part_are_told_anew(
    tmp_path: Path, keeping: Path, told: set[tuple[str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    before = moved(tmp_path)
    assert {("engine", "left"), ("right", "floor")} <= told
    told.clear()
    assert moved(tmp_path) == before
    assert not told
    after = moved(tmp_path, value="t = 8")
    assert told
    assert all("left" in pair for pair in told)
    monkeypatch.setattr(kept, "ENABLED", False)
    assert moved(tmp_path, value="t = 8") == after


def test_other_cases_are_told_of_every_pair(
    tmp_path: Path, keeping: Path, told: set[tuple[str, str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    moved(tmp_path)
    first = set(told)
    told.clear()
    after = moved(tmp_path, stiffness=240)
    assert told == first
    monkeypatch.setattr(kept, "ENABLED", False)
    assert moved(tmp_path, stiffness=240) == after
