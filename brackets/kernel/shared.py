"""Metal that two pieces of a part both claim, by the kernel: it would be weighed twice and cannot be made.

The one judgement of a part that needs its solids; everything else about it is closed form. mm3, part's frame.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from cadquery.occ_impl.shapes import Shape, Vertex
from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.TopoDS import TopoDS_Shape
from OCP.TopTools import TopTools_ListOfShape

from brackets.core.errors import KernelFailed
from brackets.core.finding import Finding
from brackets.core.kept import keeps
from brackets.core.rulebook.parts import OVERLAP
from brackets.core.vectors import Vec
from brackets.forming.separation import TOUCHING, Outside, apart, outside_of
from brackets.kernel.measure import volume_properties
from brackets.kernel.solids import shape
from brackets.model.edges import length
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.rules.joints import NONE, ROOT_OPENING, bare_finding, uncovered

CONTACT_VOLUME = 0.01
"""Common volume up to which two pieces only touch, mm3: places typed to 1e-6 mm share as much over 100 x 100 mm,
and what a saw or a grinder leaves is a thousand times that. Shipped recipes stay under 1e-6."""

Box = tuple[float, float, float, float, float, float]
"""The least x, y and z, and the largest."""

REMEMBERED = 4096
"""Pairs kept: a slider moves few pieces of a part."""


@dataclass(frozen=True)
class Shared:
    """Two pieces, the mm3 they have in common, and the middle of it."""

    a: str
    b: str
    volume: float
    at: Vec


def shared(part: Part) -> tuple[Shared, ...]:
    """Every pair of pieces with more than CONTACT_VOLUME in common, in the order of the pieces.

    Raises KernelFailed where the kernel makes no solid of a piece or cannot say what two have in common.
    """
    found = []
    for one, other in itertools.combinations(part.pieces, 2):
        if apart(one, other):
            continue
        volume, at = _common(_unnamed(one), _unnamed(other))
        if volume > CONTACT_VOLUME:
            found.append(Shared(one.name, other.name, volume, at))
    return tuple(found)


def solid_findings(part: Part, *, fit_up: float = ROOT_OPENING) -> tuple[Finding, ...]:
    """Stops for pieces that stand in each other, and for welds with more than `fit_up` mm of air to an Odd piece,
    which only its solid shows. Raises KernelFailed as `shared` does."""
    return (*_overlaps(part), *_on_odd(part, fit_up))


def _on_odd(part: Part, fit_up: float) -> Iterator[Finding]:
    pieces = {piece.name: piece for piece in part.pieces}
    for weld in part.welds:
        ends = [pieces[name] for name in (weld.piece, weld.onto) if name in pieces]
        if any(isinstance(end, CustomPiece) for end in ends):
            bare, widest = uncovered(pieces[weld.piece], weld, ends, fit_up, _off)
            if bare > NONE:
                yield bare_finding(weld, bare, length(pieces[weld.piece], weld.edge), widest, fit_up)


def _off(piece: Piece) -> Outside:
    """mm from points to a piece, 0 inside, by its solid where it has nothing else."""
    if not isinstance(piece, CustomPiece):
        return outside_of(piece)
    solid = shape(piece).wrapped
    return lambda p, _: float(BRepExtrema_DistShapeShape(Vertex.makeVertex(*p).wrapped, solid).Value())


def _overlaps(part: Part) -> tuple[Finding, ...]:
    return tuple(
        OVERLAP.finding(
            piece=f"{one.a} | {one.b}",
            value=one.volume,
            limit=CONTACT_VOLUME,
            unit="mm3",
            sentence=(
                f"{one.a} and {one.b} stand in each other: {_figure(one.volume)} mm3 in common at"
                f" {', '.join(f'{c + 0.0:.1f}' for c in one.at)}"
            ),
        )
        for one in shared(part)
    )


def _figure(volume: float) -> str:
    return f"{volume:.0f}" if volume >= 10 else f"{volume:.2g}"


def _unnamed(piece: Piece) -> Piece:
    """The piece where it stands, without what does not shape it."""
    return replace(piece, name="", material="", stock="")


@lru_cache(maxsize=REMEMBERED)
@keeps("common volume")
def _common(one: Piece, other: Piece) -> tuple[float, Vec]:
    """mm3 that two pieces have in common, and its middle."""
    if _boxes_apart(one, other):
        return 0.0, (0.0, 0.0, 0.0)
    cut = common_of(shape(one).wrapped, shape(other).wrapped)
    if not cut.IsDone():
        raise KernelFailed("", "common volume", "two pieces", "the kernel does not say what they have in common")
    volume, moment = 0.0, [0.0, 0.0, 0.0]
    for solid in Shape.cast(cut.Shape()).Solids():
        size, middle, _ = volume_properties(solid)
        volume += float(size)
        moment = [m + float(size) * float(c) for m, c in zip(moment, middle, strict=True)]
    x, y, z = (m / volume if volume else 0.0 for m in moment)
    return volume, (x, y, z)


def common_of(one: TopoDS_Shape, other: TopoDS_Shape) -> BRepAlgoAPI_Common:
    """What two shapes have in common, both left as they are: else the kernel loosens their tolerances, and what is
    read off them later differs."""
    cut = BRepAlgoAPI_Common()
    for give, whole in ((cut.SetArguments, one), (cut.SetTools, other)):
        listed = TopTools_ListOfShape()
        listed.Append(whole)
        give(listed)
    cut.SetNonDestructive(True)
    cut.SetRunParallel(False)
    cut.Build()
    return cut


def _boxes_apart(one: Piece, other: Piece) -> bool:
    """Whether boxes round two pieces share nothing: quick ones first, whose sides may stand off a curved face."""
    return any(
        any(min(a[i + 3], b[i + 3]) - max(a[i], b[i]) <= TOUCHING for i in range(3))
        for a, b in ((box(one), box(other)) for box in (_quick_box, _close_box))
    )


def _quick_box(piece: Piece) -> Box:
    found = Bnd_Box()
    BRepBndLib.Add_s(shape(piece).wrapped, found, False)
    low, high = found.CornerMin().Coord(), found.CornerMax().Coord()
    return (*low, *high)


@lru_cache(maxsize=REMEMBERED)
def _close_box(piece: Piece) -> Box:
    found = shape(piece).BoundingBox()
    return found.xmin, found.ymin, found.zmin, found.xmax, found.ymax, found.zmax
