"""Bodies of a file of triangles, each with its name, material and colour, where it stands; mm."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from brackets.core.place import HERE, Place
from brackets.kernel.mesh import Mesh, mesh
from brackets.model.kinds import kind_of
from brackets.model.part import Part
from brackets.output.step import COLOURS, Colour

TOLERANCE, ANGLE = 0.02, 0.2
"""mm and radians of the triangles, as those of STL."""


@dataclass(frozen=True, eq=False)
class Item:
    """One body: its name, its triangles and where they stand; `material` and `colour` (sRGB) where it has one."""

    name: str
    mesh: Mesh
    place: Place = HERE
    material: str = ""
    colour: Colour | None = None


def items(part: Part, under: str = "") -> tuple[Item, ...]:
    """An item for each piece of a part, in their order; `under` stands before the names."""
    return tuple(
        Item(
            name=f"{under}{piece.name}",
            mesh=mesh(piece, tolerance=TOLERANCE, angle=ANGLE),
            material=piece.material,
            colour=COLOURS[kind_of(piece)],
        )
        for piece in part.pieces
    )


def items_of_all(parts: Iterable[Part]) -> tuple[Item, ...]:
    """An item for each piece of several parts, called PART/PIECE."""
    return tuple(item for part in parts for item in items(part, under=f"{part.name}/"))
