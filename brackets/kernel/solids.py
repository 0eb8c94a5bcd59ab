"""The solids that are made: dispatched on the kind of piece, checked, kept by what shapes them."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import assert_never, overload

from cadquery.occ_impl.shapes import Compound, Solid

from brackets.core.errors import InputError, KernelFailed
from brackets.core.identity import UnknownContentError, identity
from brackets.core.kept import kept
from brackets.core.place import HERE
from brackets.kernel import custom, plate, tube, turned
from brackets.kernel.brep import as_bytes, remember, solid_of
from brackets.kernel.measure import agreed, location, one_solid
from brackets.kernel.trim import refit_intersection_edges
from brackets.model.kinds import kind_of, known
from brackets.model.mass import volume
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned

REMEMBERED = 2048
"""Solids kept in memory: a bay has some hundreds, and a plate's solid takes some tens of kB."""


@overload
def shape(thing: Piece) -> Solid: ...
@overload
def shape(thing: Part) -> Compound: ...
def shape(thing: Piece | Part) -> Solid | Compound:
    """The solid of a piece, or a part's solids as one compound in the order of its pieces; mm, in the part's frame.

    thing: a piece or a part.
    Returns a cadquery Solid or Compound, shared with every other use of an equal piece: mesh and change copies of
    it only.
    Raises InputError where the values make no solid, KernelFailed where the kernel gives no valid solid or one
    whose volume is not the closed form's.

    >>> ring = Plate(name="ring", t=6, wall=Wall(outline=rectangle(100, 50), openings=(Hole(at=(0, 0), d=20),)))
    >>> round(shape(ring).Volume(), 2), round(6 * (100 * 50 - 3.14159265 * 10**2), 2)
    (28115.04, 28115.04)
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
        return make(shape_key(piece))
    except InputError:
        volume(piece)  # says the same, and of which piece
        raise
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
    """Made or not, it is read from what is kept, so that nothing depends on which of the two it was."""
    solid = solid_of(kept("solid", lambda: as_bytes(_right(piece).wrapped), piece))
    with contextlib.suppress(UnknownContentError):
        remember(solid.wrapped, identity(piece))
    return solid


def _right(piece: Piece) -> Solid:
    """A solid that is valid, and of the volume that the piece's record gives."""
    made, kind = _made(piece), kind_of(piece)
    if isinstance(piece, Tube | CustomPiece):
        return made
    solid = one_solid(made, piece="", operation=kind, size="whole piece")
    asked = f"{kind} (do walls meet?)" if isinstance(piece, Folded) else kind
    return agreed(solid, volume(piece), piece="", operation=asked, size="whole piece")


@lru_cache(maxsize=REMEMBERED)
def _made(piece: Piece) -> Solid:
    """Not before its record makes sense: what the closed form refuses would be a riddle of the kernel's."""
    volume(piece)
    match known(piece):
        case Plate() as piece:
            return refit_intersection_edges(plate.make(piece))
        case Folded() as piece:
            return refit_intersection_edges(plate.make_folded(piece))
        case Tube() as piece:
            return tube.make(piece)
        case BentTube() as piece:
            return refit_intersection_edges(tube.make_bent(piece))
        case Turned() as piece:
            return refit_intersection_edges(turned.make(piece))
        case CustomPiece() as piece:
            return custom.make(piece)
        case other:
            assert_never(other)
