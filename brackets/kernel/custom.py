"""The solid of an odd piece: whatever its function returns, once that is one valid solid."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib import import_module

from cadquery.occ_impl.shapes import Shape, Solid

from brackets.core.errors import BadRecipe
from brackets.kernel.measure import one_solid
from brackets.model.piece import CustomPiece


def make(piece: CustomPiece) -> Solid:
    """The odd piece's solid, mirrored in its own plane x = 0 where it is the other hand.

    Raises BadRecipe where `piece.function` names nothing that can be called or returns no shape, KernelFailed
    where it returns more or less than one valid solid.
    """
    made = _function(piece)(*piece.args)
    workplanes = sys.modules.get("cadquery.cq")  # what is not loaded has made nothing
    shape = made.val() if workplanes is not None and isinstance(made, workplanes.Workplane) else made
    if not isinstance(shape, Shape):
        raise BadRecipe(f"{piece.function} returned {type(shape).__name__}, must be a cadquery shape")
    if piece.other_hand:
        shape = shape.mirror("YZ")
    return one_solid(shape, piece=piece.name, operation=piece.function, size=f"arguments {piece.args}")


def _function(piece: CustomPiece) -> Callable[..., object]:
    module, _, name = piece.function.partition(":")
    try:
        found = getattr(import_module(module), name)
    except (ImportError, AttributeError, ValueError) as error:
        raise BadRecipe(f"function = {piece.function}, must be module:name of a function: {error}") from error
    if not callable(found):
        raise BadRecipe(f"function = {piece.function}, must be a function: an odd piece")
    function: Callable[..., object] = found
    return function
