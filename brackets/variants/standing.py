"""What all rows of a bay share: the bay as its file has it, read once in a worker, its parts built and standing.

A row builds and places anew what its values change, the varied part and its mirror images; every other part is the
one that stood before, so that what was worked out of its solid is found again too. It is always the bay as typed
that is kept, never another row's, so that no row depends on those before it; and one bay at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass

from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.errors import OURS


@dataclass(frozen=True, kw_only=True)
class Standing:
    """A bay as typed; `stood` with its parts in their places, None where they cannot be built."""

    bay: Bay
    stood: PlacedBay | None


_KEPT: dict[Hashable, Standing | None] = {}
"""The one bay that is kept, by what it was read from."""


def standing(
    inputs: Hashable, read: Callable[[], Bay], place: Callable[[Bay], PlacedBay]
) -> Standing | None:
    """The bay as typed, which is read and placed where another one or none is kept; None where it cannot be read.

    inputs: equal for the same program, shop and content of every file alone.
    """
    if inputs not in _KEPT:
        _KEPT.clear()
        _KEPT[inputs] = _made(read, place)
    return _KEPT[inputs]


def _made(read: Callable[[], Bay], place: Callable[[Bay], PlacedBay]) -> Standing | None:
    """What refuses it here a row says itself, where its values do not mend it."""
    try:
        bay = read()
    except OURS:
        return None
    try:
        return Standing(bay=bay, stood=place(bay))
    except OURS:
        return Standing(bay=bay, stood=None)


def forget() -> None:
    """Keep nothing of any bay."""
    _KEPT.clear()
