"""Load cases of one part: what acts at its seats, and with what it is judged. N, N mm, mm, MPa.

A force is what the thing at the seat (a bush, mostly) gives to the part, in the part's own axes, at the seat's
origin. What holds the part is not loaded: its reactions are worked out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from brackets.core.errors import OutOfRange
from brackets.core.vectors import Vec
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.struts import Made

Counted = Literal["characteristic", "factored"]
"""characteristic: as it comes, its load factor is typed; factored: as the codes ask for it."""
FrameJoints = Literal["rigid", "pinned"]
"""How a part that is held at several places is held there: turning held too, or free to turn."""


@dataclass(frozen=True)
class SeatLoad:
    """What acts on a part at one of its seats: force N and moment N mm, both in the part's axes."""

    seat: str
    force: Vec
    moment: Vec = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class PartCase:
    """One load case of a part: all that acts at once.

    counted: whether these are characteristic loads (as they come) or factored ones; why: where they are from; pull:
    N on each kg of the part itself, in its axes, 0 where its own weight is not to count.
    Raises OutOfRange with everything that is wrong.
    """

    name: str
    loads: tuple[SeatLoad, ...]
    counted: Counted = "characteristic"
    why: str = ""
    pull: Vec = (0.0, 0.0, 0.0)

    def __post_init__(self) -> None:
        wrong = [*self._problems()]
        if wrong:
            raise OutOfRange(*wrong)

    def _problems(self) -> Iterator[str]:
        if not self.name:
            yield "name = nothing, must be a word: load case"
        if self.counted not in ("characteristic", "factored"):
            yield f"counted = {self.counted}, must be characteristic or factored: load case {self.name}"
        if not self.loads:
            yield f"loads = none, must be one or more: load case {self.name}"
        if not all(map(math.isfinite, self.pull)):
            yield f"pull = {self.pull}, must be finite numbers, N a kg: load case {self.name}"
        for load in self.loads:
            if not all(map(math.isfinite, (*load.force, *load.moment))):
                yield f"load at {load.seat}, must be finite numbers, N and N mm: load case {self.name}"


@dataclass(frozen=True, kw_only=True)
class PressFit:
    """How a bush is pressed into its cup, as typed or measured, mm on the diameter.

    least, most: interference; friction: coefficient, None where nobody knows it; shell_id: inside of the bush's
    shell, 0 for a solid one.
    """

    least: float
    most: float
    shell_id: float
    friction: float | None = None


@dataclass(frozen=True, kw_only=True)
class HoldSettings:
    """With what a part is judged; what is None is not known, and what hangs on it is refused.

    factors: partial factors, and the user's own on yield as `factors.own`; load_factor: that characteristic loads
    are multiplied by before a clause that asks for factored ones; joints: how a part held at several places is held
    there; held_at: names of the seats that hold it, where the record does not show which; grade: property class of
    every bolt, grades: by seat where it is another; preload: N of every bolt, for slip and crush tubes, surface:
    class of the friction surfaces; engaged: mm of thread in the casting by seat; casting: its tensile strength,
    MPa; press: of the cups, by seat; onto_metal, onto_t: metal and thickness or wall, mm, of what is under the
    seats that the part is welded onto; tubes_made: "cold formed" or "hot finished".
    """

    factors: Factors = EN_1993
    load_factor: float = 1.0
    joints: FrameJoints = "rigid"
    held_at: tuple[str, ...] = ()
    grade: str | None = None
    grades: Mapping[str, str] = field(default_factory=dict)
    preload: float | None = None
    surface: Literal["A", "B", "C", "D"] = "D"
    engaged: Mapping[str, float] = field(default_factory=dict)
    casting: float | None = None
    press: Mapping[str, PressFit] = field(default_factory=dict)
    onto_metal: str | None = None
    onto_t: float | None = None
    tubes_made: Made = "cold formed"

    def __post_init__(self) -> None:
        wrong = []
        if not (math.isfinite(self.load_factor) and self.load_factor > 0):
            wrong.append(f"load_factor = {self.load_factor:g}, must be over 0: on characteristic loads")
        if self.joints not in ("rigid", "pinned"):
            wrong.append(f"joints = {self.joints}, must be rigid or pinned: where a part is held at several places")
        if wrong:
            raise OutOfRange(*wrong)

    def under_not_typed(self, what: str) -> str:
        """That metal or thickness of `what` is under the part are not known, by the names they are typed by."""
        both = (("onto_metal", self.onto_metal), ("onto_t", self.onto_t))
        lacking = " and ".join(name for name, value in both if value is None)
        return f"{lacking or 'its diameter'} = not typed, must be: {what}"

    def grade_of(self, seat: str) -> str | None:
        """Property class of the bolt at a seat, None where nobody said."""
        return self.grades.get(seat, self.grade)

    def factored(self, case: PartCase) -> float:
        """What a case's loads are multiplied by before a clause that asks for factored ones."""
        return self.load_factor if case.counted == "characteristic" else 1.0
