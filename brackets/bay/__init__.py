"""The bay: a file of everything in one engine bay, read, built, placed and cleared.

mm, kg, degrees, N; axes of ISO 8855 (x forward, y left, z up).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import brackets.kernel  # noqa: F401 (loads the kernel its own way, before anything below asks for it)
from brackets.bay.file import read
from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay

if TYPE_CHECKING:
    from brackets.bay.fitting import Fit as Fit
    from brackets.bay.fitting import fit

__all__ = ["Bay", "PlacedBay", "fit", "read", "placed_bay"]


def __getattr__(name: str) -> Any:
    if name in ("fit", "Fit"):
        from importlib import import_module

        return getattr(import_module("brackets.bay.fitting"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
