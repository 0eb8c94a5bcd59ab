"""Flanges from the lengths a fabricator knows: outside, inside or to the tangent.

A flange's frame: x along its bend line, y away from it.
"""

from __future__ import annotations

from collections.abc import Sequence

from brackets.core.errors import OutOfRange
from brackets.geometry.curve import Outline
from brackets.geometry.segments import JOIN
from brackets.geometry.shapes import chamfered, polygon
from brackets.model.bend_allowance import Measured, joggle_web, setback
from brackets.model.fold_tree import line_place
from brackets.model.folded import Flange, Relief
from brackets.model.holes import Opening, Point
from brackets.model.plate import Wall


def lip(
    start: Point,
    end: Point,
    *,
    t: float,
    length: float,
    inside_radius: float,
    angle: float = 90.0,
    measured: Measured = "outside",
    parent: int = 0,
    corner: float = 0.0,
    chamfer: float = 0.0,
    openings: Sequence[Opening] = (),
    relief: Relief | None = None,
) -> Flange:
    """A straight flange on the line `start` to `end` of its parent, `length` mm high as `measured`.

    The two free corners are rounded by `corner` or cut off by `chamfer` mm. Raises OutOfRange where the length
    does not reach past the bend, or both corner and chamfer are given.
    """
    problems = []
    back = setback(angle, inside_radius, t, measured)
    tall = length - back
    if not tall > JOIN:
        problems.append(
            f"length = {length:g} mm, must be over {back:.6g} mm: flange measured {measured}, bend "
            f"{angle:g} deg, r {inside_radius:g}, t {t:g}"
        )
    if corner and chamfer:
        problems.append(f"corner = {corner:g} mm and chamfer = {chamfer:g} mm, must be one of the two")
    if problems:
        raise OutOfRange(*problems)
    wide, _, _ = line_place(start, end).local((*end, 0.0))
    return Flange(
        parent=parent,
        start=start,
        end=end,
        angle=angle,
        inside_radius=inside_radius,
        wall=Wall(outline=_sheet(wide, tall, corner, chamfer), openings=tuple(openings)),
        relief=relief,
    )


def _sheet(wide: float, tall: float, corner: float, chamfer: float) -> Outline:
    corners = ((0.0, 0.0), (wide, 0.0), (wide, tall), (0.0, tall))
    if chamfer:
        return chamfered(corners, chamfer, legs=(0.0, 0.0, chamfer, chamfer))
    return polygon(corners, radii=(0.0, 0.0, corner, corner))


def joggle(
    start: Point,
    end: Point,
    *,
    number: int,
    t: float,
    offset: float,
    inside_radius: float,
    beyond: Wall,
    angle: float = 45.0,
    parent: int = 0,
) -> tuple[Flange, Flange]:
    """Two equal, opposite bends that carry a plate on, shifted by `offset` mm (towards +z where positive).

    `number` is the number the first of the two flanges gets in the piece; `beyond` is the wall past the joggle,
    in the frame of the second. Raises OutOfRange where the bends alone shift it further.
    """
    web = joggle_web(abs(offset), angle, inside_radius, t)
    if not web > JOIN:
        raise OutOfRange(f"offset = {offset:g} mm leaves no web between the bends, must leave some: a joggle")
    turn = abs(angle) if offset > 0 else -abs(angle)
    wide, _, _ = line_place(start, end).local((*end, 0.0))
    first = Flange(
        parent=parent,
        start=start,
        end=end,
        angle=turn,
        inside_radius=inside_radius,
        wall=Wall(outline=_sheet(wide, web, 0.0, 0.0)),
    )
    second = Flange(
        parent=number,
        start=(0.0, web),
        end=(wide, web),
        angle=-turn,
        inside_radius=inside_radius,
        wall=beyond,
    )
    return first, second
