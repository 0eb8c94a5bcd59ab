"""What all rows of a bay share: its parts as the bay file has them, built once in a worker and left standing.

A row builds and places anew what its values change, the varied part and its mirror images; every other part is the
one that stood before, so that what was worked out of its solid is found again too. It is always the bay as typed
that is kept, never another row's, so that no row depends on those before it; and one bay at a time.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.errors import BadFile, BadRecipe, InputError, KernelFailed

Inputs = tuple[Path, str]
"""The bay's file, and the name of all that its parts are built from."""

_STANDING: dict[Inputs, PlacedBay | None] = {}
"""The one bay that is kept, by what it was built from; None where it does not stand as typed."""


def standing(inputs: Inputs, typed: Callable[[], PlacedBay]) -> PlacedBay | None:
    """The bay as typed, which `typed` builds where another one or none is kept; None where it cannot be built.

    inputs: equal for the same program, shop and content of every file alone.
    """
    if inputs not in _STANDING:
        _STANDING.clear()
        try:
            _STANDING[inputs] = typed()
        except (InputError, BadFile, BadRecipe, KernelFailed):  # a row says so, where its values do not mend it
            _STANDING[inputs] = None
    return _STANDING[inputs]


def forget() -> None:
    """Keep nothing of any bay."""
    _STANDING.clear()
