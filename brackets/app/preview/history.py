"""What was typed before, to go back to and forward again; a slider that is drawn is one step."""

from __future__ import annotations

import time
from collections.abc import Mapping

Typed = dict[str, dict[str, str]]

ONE = 1.0
"""Seconds within which changes of the same values are one step: a hand that draws a slider."""
MOST = 200
"""Steps that are kept."""


class History:
    """The states that were left, and those that were left by going back."""

    def __init__(self) -> None:
        self._past: list[Typed] = []
        self._future: list[Typed] = []
        self._last: tuple[object, float] = (None, 0.0)

    @property
    def steps(self) -> tuple[int, int]:
        """How many there are back and forward."""
        return len(self._past), len(self._future)

    def left(self, typed: Mapping[str, Mapping[str, str]], what: object) -> None:
        """`typed` is left for another; `what` is changed. What was gone back from can no more be gone to."""
        now = time.monotonic()
        same = what is not None and what == self._last[0] and now - self._last[1] < ONE
        self._last = (what, now)
        self._future = []
        if not same:
            self._past = [*self._past, {part: dict(row) for part, row in typed.items()}][-MOST:]

    def back(self, typed: Typed) -> Typed | None:
        """The state before `typed`; None where there is none."""
        return self._go(typed, self._past, self._future)

    def forward(self, typed: Typed) -> Typed | None:
        """The state that was gone back from; None where there is none."""
        return self._go(typed, self._future, self._past)

    def forget(self) -> None:
        """What was typed stands in the file now."""
        self._past, self._future = [], []

    def _go(self, typed: Typed, out_of: list[Typed], into: list[Typed]) -> Typed | None:
        self._last = (None, 0.0)
        if not out_of:
            return None
        into.append(typed)
        return out_of.pop()
