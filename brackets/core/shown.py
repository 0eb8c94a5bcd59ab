"""What a notebook shows where a part or a bay is the last value of a cell: its picture, to be turned about."""

from __future__ import annotations

from importlib import import_module

ARTIST = "brackets.app.preview.notebook"
"""Who draws. By name, as the public face finds what it gives: this room knows none above it."""


class Shown:
    """Base of what has a picture."""

    __slots__ = ()

    def _repr_html_(self) -> str:
        """The picture as notebooks ask for it."""
        return str(import_module(ARTIST).html(self))
