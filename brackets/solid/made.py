"""The solids that are made: dispatched on the kind of piece, checked, kept by what shapes them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from importlib import import_module
from typing import overload

from cadquery import Compound, Solid

from brackets.errors import KernelFailed
from brackets.mass import KINDS, volume
from brackets.part import Part
from brackets.pieces import HERE, Odd, Piece, Tube
from brackets.solid.measure import agreed, one_solid
from brackets.solid.place import location
from brackets.solid.trim import sharpened

REMEMBERED = 2048
"""Solids kept in memory: a bay has some hundreds, and a plate's solid takes some tens of kB."""


@overload
def shape(thing: Piece) -> Solid: ...
@overload
def shape(thing: Part) -> Compound: ...
def shape(thing: Piece | Part) -> Solid | Compound:
    """The solid of a piece, or the pieces of a part as one compound in their order, in the part's frame.

    Solids are shared with every other use of an equal piece: mesh and change copies of them only. Raises
    OutOfRange where the values make no solid, KernelFailed where the kernel gives no valid solid or one whose
    volume is not the closed form's.
    """
    if isinstance(thing, Part):
        return Compound.makeCompound([shape(piece) for piece in thing.pieces])
    return Solid(own_shape(thing).moved(location(thing.place)).wrapped)


def own_shape(piece: Piece) -> Solid:
    """The piece's solid in its own frame, wherever it stands."""
    return _named(_checked, piece)


def unchecked_shape(piece: Piece) -> Solid:
    """The same solid, before it is asked whether it is valid and of the right volume: for a picture on a screen
    that waits. Nothing else may use it, and `own_shape` must be asked after."""
    return _named(_made, piece)


def _named(make: Callable[[Piece], Solid], piece: Piece) -> Solid:
    try:
        volume(piece)
        return make(shape_key(piece))
    except KernelFailed as failed:
        if failed.piece == piece.name:
            raise
        raise KernelFailed(piece.name, failed.operation, failed.size, failed.reason) from failed


def shape_key(piece: Piece) -> Piece:
    """The piece without name, place, material and stock: equal for pieces of equal shape."""
    return replace(piece, name="", place=HERE, material="", stock="")


def forget() -> None:
    """Drop every solid that is kept."""
    _checked.cache_clear()
    _made.cache_clear()


@lru_cache(maxsize=REMEMBERED)
def _checked(piece: Piece) -> Solid:
    made, kind = _made(piece), _kind(piece)
    if isinstance(piece, Tube | Odd):
        return made
    solid = one_solid(made, piece="", operation=kind, size="whole piece")
    return agreed(solid, volume(piece), piece="", operation=kind, size="whole piece")


@lru_cache(maxsize=REMEMBERED)
def _made(piece: Piece) -> Solid:
    made: Solid = import_module(f"brackets.solid.{_kind(piece)}").make(piece)
    return made if isinstance(piece, Tube | Odd) else sharpened(made)


def _kind(piece: Piece) -> str:
    kind = next((name for cls, name in KINDS.items() if isinstance(piece, cls)), None)
    if kind is None:
        raise KernelFailed("", "solid", type(piece).__name__, f"not one of {[k.__name__ for k in KINDS]}")
    return kind
