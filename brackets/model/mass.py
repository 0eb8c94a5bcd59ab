"""Volume, mass, centroid and inertia of pieces, in closed form from the record that makes them.

A piece's mass is its metal: folded metal weighs what its blank weighs, though its solid is a little larger. Weld
metal is not counted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache, reduce
from itertools import pairwise
from operator import add
from typing import Literal, assert_never

from brackets.core.errors import InputError
from brackets.core.place import HERE
from brackets.geometry.curve import Moments
from brackets.model.kinds import known
from brackets.model.mass_of_folded import folded_mass_moments, folded_moments, wall_moments
from brackets.model.mass_of_tube import bent_tube_moments, tube_moments
from brackets.model.moments import Mass, Moments3
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned


def plate_moments(piece: Plate) -> Moments3:
    """Moments of the solid in the piece's own frame. Raises InputError as `wall_moments` does."""
    return wall_moments(piece.wall, piece.t)


def turned_moments(piece: Turned) -> Moments3:
    """Moments of the solid in the piece's own frame. Raises InputError where the steps make no single solid."""
    check(piece)
    whole, z = Moments3(), 0.0
    for step in piece.steps:
        whole += Moments3.prism(ring(step.od, step.bore), z, z + step.length)
        z += step.length
    return whole


def ring(od: float, bore: float) -> Moments:
    """Moments of the ring between two circles about the origin."""
    second = math.pi / 64 * (od**2 + bore**2) * (od + bore) * (od - bore)
    return Moments(math.pi / 4 * (od + bore) * (od - bore), (0.0, 0.0), second, second, 0.0)


def check(piece: Turned) -> None:
    """Refuse steps that are no metal, or that leave the piece in two (InputError, every one at once)."""
    problems = [] if piece.steps else ["steps = none, at least one: a turned piece"]
    for n, step in enumerate(piece.steps, 1):
        of = f"step {n} of {len(piece.steps)}"
        if not (math.isfinite(step.length) and step.length > 0):
            problems.append(f"length = {step.length:g} mm, must be over 0: {of}")
        if not (math.isfinite(step.od) and step.od > 0):
            problems.append(f"od = {step.od:g} mm, must be over 0: {of}")
        elif not 0 <= step.bore < step.od:
            problems.append(f"bore = {step.bore:g} mm, must be 0 to less than od = {step.od:g} mm: {of}")
    if not problems:
        for n, (low, high) in enumerate(pairwise(piece.steps), 1):
            if low.bore >= high.od or high.bore >= low.od:
                problems.append(
                    f"bore = {max(low.bore, high.bore):g} mm, must be less than od = "
                    f"{min(low.od, high.od):g} mm: steps {n} and {n + 1} would not hold together"
                )
    if problems:
        raise InputError(*problems)


REMEMBERED = 4096
"""Pieces whose moments are kept: a large bay has some hundreds, a family some thousands."""


def of(piece: Piece) -> Mass:
    """Mass of the piece: kg, centroid mm, inertia kg mm2 about the centroid, in the frame of its part.

    Raises InputError where the material is unknown or the piece makes no sense (an opening over the edge).
    """
    from brackets.core.tables.material_rows import material

    density = material(piece.material).density
    what: Literal["mass", "solid"] = "mass" if isinstance(piece, Folded) else "solid"
    return _moments(piece, what).mass(density).moved(piece.place)


def volume(piece: Piece) -> float:
    """Volume of the piece's solid, mm3; for folded metal not its mass over its density."""
    return solid_moments(piece).volume


def solid_moments(piece: Piece) -> Moments3:
    """Moments of the piece's solid about the origin of its own frame, density 1."""
    return _moments(piece, "solid")


def total(pieces: Iterable[Piece]) -> Mass:
    """All pieces as one body, in the frame of their part. Raises InputError where there is none."""
    masses = [of(piece) for piece in pieces]
    if not masses:
        raise InputError("pieces = none, at least one: the mass of a part")
    return reduce(add, masses)


def _moments(piece: Piece, what: Literal["mass", "solid"]) -> Moments3:
    try:
        return _of_shape(replace(piece, name="", place=HERE, material="", stock=""), what)
    except InputError as error:
        if not piece.name:
            raise
        raise InputError(*(f"{piece.name}: {problem}" for problem in error.problems)) from error


@lru_cache(maxsize=REMEMBERED)
def _of_shape(piece: Piece, what: Literal["mass", "solid"]) -> Moments3:
    match known(piece):
        case Plate() as piece:
            return plate_moments(piece)
        case Folded() as piece:
            return folded_mass_moments(piece) if what == "mass" else folded_moments(piece)
        case Tube() as piece:
            return tube_moments(piece)
        case BentTube() as piece:
            return bent_tube_moments(piece)
        case Turned() as piece:
            return turned_moments(piece)
        case CustomPiece() as piece:
            from brackets.model.mass_of_custom import custom_moments  # loads the kernel

            return custom_moments(piece)
        case other:
            assert_never(other)
