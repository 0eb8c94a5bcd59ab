"""A turned or bored piece: cups, bungs, crush tubes, washers, sleeves, bolt shanks.

Its own frame: axis along z, starting at z = 0; steps follow each other upwards.
"""

from __future__ import annotations

from dataclasses import dataclass

from brackets.model.piece import Piece


@dataclass(frozen=True, kw_only=True)
class Step:
    """A length of one outer diameter `od` and one `bore` (0: solid), mm."""

    length: float
    od: float
    bore: float = 0.0


@dataclass(frozen=True, kw_only=True)
class BushBore:
    """How the bore for a bush comes to its finished size, that of the step; mm on the diameter.

    `lower` and `upper` are the deviations allowed of `size`, `tolerance` and `source` say what they are by. `now`
    is the bore before welding and `stock` what was to be left in it for finishing; a cup that is bored to size
    before welding has no `stock` and is `now` at its size. `slip`: the bush slips in; else it is pressed.
    """

    size: float
    lower: float
    upper: float
    tolerance: str
    source: str
    now: float
    stock: float
    slip: bool = False

    @property
    def left(self) -> float:
        """What the bore is under its size before welding, mm."""
        return round(self.size - self.now, 6)

    @property
    def after_welding(self) -> bool:
        """Whether it is brought to size after welding."""
        return self.stock > 0.0

    @property
    def allowed(self) -> tuple[float, float]:
        """Least and largest finished bore, mm."""
        return round(self.size + self.lower, 6), round(self.size + self.upper, 6)


@dataclass(frozen=True, kw_only=True)
class Turned(Piece):
    """Steps on one axis, finished sizes. `thread` names a thread in the bore, which is then the tapping size.

    `bush` says how a bore for a bush comes to its size, where it is one.
    """

    steps: tuple[Step, ...]
    thread: str | None = None
    bush: BushBore | None = None

    @property
    def length(self) -> float:
        return sum(step.length for step in self.steps)
