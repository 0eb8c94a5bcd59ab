"""A turned or bored piece: cups, bungs, crush tubes, washers, sleeves, bolt shanks.

Its own frame: axis along z, starting at z = 0; steps follow each other upwards.
"""

from __future__ import annotations

from dataclasses import dataclass

from brackets.pieces.piece import Piece


@dataclass(frozen=True, kw_only=True)
class Step:
    """A length of one outer diameter `od` and one `bore` (0: solid), mm."""

    length: float
    od: float
    bore: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Turned(Piece):
    """Steps on one axis. `thread` names a thread in the bore, which is then the tapping size."""

    steps: tuple[Step, ...]
    thread: str | None = None

    @property
    def length(self) -> float:
        return sum(step.length for step in self.steps)
