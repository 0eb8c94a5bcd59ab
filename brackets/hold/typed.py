"""The table `[hold]` of a bay file: with what its parts are judged for strength. N, mm, MPa.

Load cases are a table of their own. What is left out here is not known, and what hangs on it is not judged.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Protocol

from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, mm, newton, number, text, texts, yes_no

JOINTS = ("rigid", "pinned")
SURFACES = ("A", "B", "C", "D")
TUBES_MADE = ("cold formed", "hot finished")
TIMES = 10.0
"""Stiffness of a bracket over its bush's under which it is said, since mounts are worked out with rigid brackets:
common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class HoldRow(Checked):
    """With what the parts of a bay are judged; factors as EN 1993 recommends where none is typed."""

    load_factor: Annotated[
        float | None, number(1, 5, "that loads of characteristic cases are multiplied by; without it 1")
    ] = None
    own_factor: Annotated[
        float | None, number(1, 20, "your own factor on yield, a second column beside the code's")
    ] = None
    gamma_m0: Annotated[float, number(1, 3, "partial factor: yield of sections")] = 1.0
    gamma_m1: Annotated[float, number(1, 3, "partial factor: buckling")] = 1.0
    gamma_m2: Annotated[float, number(1, 3, "partial factor: tensile strength, bolts, welds")] = 1.25
    gamma_m3: Annotated[float, number(1, 3, "partial factor: slip")] = 1.25
    gamma_m5: Annotated[float, number(1, 3, "partial factor: walls of tubes under what is welded on")] = 1.0
    joints: Annotated[str, choice(JOINTS, "how a part that is held at several places is held there")] = "rigid"
    grade: Annotated[
        str | None, text("property class of bolts into bosses and chassis; through a bush the mount says it")
    ] = None
    preload: Annotated[float | None, newton(1, 1e6, "preload of each bolt, N: for slip and crush tubes")] = None
    surface: Annotated[str, choice(SURFACES, "class of the friction surfaces")] = "D"
    casting: Annotated[float | None, number(50, 1000, "tensile strength of the castings, MPa")] = None
    engaged: Annotated[
        float | None, mm(1, 200, "thread of each bolt in its casting; else the depth of its boss is not counted on")
    ] = None
    onto_metal: Annotated[str | None, text("metal of the rails under what is welded on")] = None
    onto_t: Annotated[
        float | None, mm(0.5, 50, "thickness of what is welded onto; else the wall of the keep-out it stands on")
    ] = None
    tubes_made: Annotated[str, choice(TUBES_MADE, "how the tubes are made, for buckling")] = "cold formed"
    press_least: Annotated[float | None, mm(0, 2, "press fit of bushes: least interference, on the diameter")] = (
        None
    )
    press_most: Annotated[float | None, mm(0, 2, "press fit of bushes: greatest interference")] = None
    press_shell: Annotated[
        float | None, mm(0, 200, "press fit of bushes: inside of the bush's shell, 0 for a solid one")
    ] = None
    press_friction: Annotated[float | None, number(0.01, 1, "press fit of bushes: coefficient of friction")] = None
    own_weight: Annotated[
        bool, yes_no("whether what the parts weigh themselves is added, pulled as the powertrain is")
    ] = False
    stress_range: Annotated[
        float | None, number(0.1, 500, "largest stress range at any weld between two cases, MPa, your own limit")
    ] = None
    least_stiffness: Annotated[
        float | None, number(1, 1000, "least stiffness of a bracket at its bush, times the bush's")
    ] = None

    by_other_means: Annotated[
        tuple[str, ...],
        texts("PART: PLACE of what no clause here covers and you have judged by other means", at_most=200),
    ] = ()

    def rules(self) -> Iterator[str]:
        yield from press_problems(self, "press fit of bushes")
        if self.grade is not None:
            from brackets.hold.metal import grade_problems  # with the tables of metals, which few files need

            yield from grade_problems(self.grade)

    @property
    def times(self) -> float:
        """Least stiffness of a bracket over its bush's: as typed, else TIMES."""
        return TIMES if self.least_stiffness is None else self.least_stiffness


class PressTyped(Protocol):
    """A press fit as it is typed, mm on the diameter: for all bushes, or for the bush of one mount."""

    @property
    def press_least(self) -> float | None: ...
    @property
    def press_most(self) -> float | None: ...
    @property
    def press_shell(self) -> float | None: ...
    @property
    def press_friction(self) -> float | None: ...


def press_problems(typed: PressTyped, of: str) -> Iterator[str]:
    """What is wrong with a press fit: part of it alone, or the wrong way round; of: whose it is, in words."""
    least, most = typed.press_least, typed.press_most
    given = {"least": least, "most": most, "shell": typed.press_shell}
    if 0 < sum(value is not None for value in given.values()) < len(given):
        missing = ", ".join(f"press.{name}" for name, value in given.items() if value is None)
        yield f"press = without {missing}, must be all of least, most, shell: {of}"
    if least is not None and most is not None and least > most:
        yield f"press.least = {least:g} mm, must be at most press.most, {most:g} mm: {of}"


HOLD_EXAMPLE: Mapping[str, object] = {
    "load_factor": 1.5,
    "own_factor": 2,
    "grade": "8.8",
    "preload": 15000,
    "casting": 160,
    "engaged": 20,
    "onto_metal": "S235",
    "onto_t": 3,
    "press_least": 0.03,
    "press_most": 0.08,
    "press_shell": 40,
    "press_friction": 0.12,
    "own_weight": True,
    "stress_range": 40,
    "least_stiffness": 10,
}
"""How it may be typed, for those who ask for its keys."""
