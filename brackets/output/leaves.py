"""A canvas that finishes its pages when all are laid out, so that each can say how many there are."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from reportlab.pdfgen.canvas import Canvas


class Leaves(Canvas):  # type: ignore[misc, unused-ignore]
    """Pages are held as they are laid out; what was left for the end is drawn on them by `save`.

    The library has no second thoughts about a page: its own state of each, all that is drawn on it among it, is put
    by and taken up again.
    """

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        self.held: list[tuple[dict[str, Any], list[Callable[[int], None]]]] = []
        self.left: list[Callable[[int], None]] = []
        super().__init__(*args, **kwargs)

    def at_end(self, put: Callable[[int], None]) -> None:
        """Has `put` draw on the page in hand once all are laid out; it is told how many there are."""
        self.left.append(put)

    def showPage(self) -> None:  # noqa: N802  (the library's name)
        self.held.append((dict(self.__dict__), self.left))
        self.left = []
        self._startPage()

    def save(self) -> None:
        held = self.held
        for state, left in held:
            self.__dict__.update(state)
            for put in left:
                put(len(held))
            super().showPage()
        super().save()
