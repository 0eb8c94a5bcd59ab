"""The solid of folded plate: walls and bends, each made in its own frame, set in place and joined to one.

Measured on U sections of 5 to 8 parts: making the parts 10 to 30 ms, joining 40 to 80 ms, merging faces that carry
on into each other 20 to 80 ms. Where slots run over bends joining takes 0.8 s, by glue 0.1 s; glue does not notice
walls that run into each other, so it is used only where nothing comes near anything it does not hang on.
"""

from __future__ import annotations

from cadquery import Shape, Solid
from OCP.BOPAlgo import BOPAlgo_GlueEnum
from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopTools import TopTools_ListOfShape

from brackets.core.errors import KernelFailed
from brackets.forming.fold_clash import near
from brackets.kernel.measure import agreed, location, one_solid
from brackets.kernel.plate import wall_solid
from brackets.kernel.sector import sector
from brackets.model.fold_zones import zones
from brackets.model.folded import Folded
from brackets.model.mass_of_folded import folded_moments

ROOM = 0.5
"""mm: walls and bends that stay further apart than this can be glued; `near` knows a gap to a tenth of it."""


def make(piece: Folded) -> Solid:
    """The folded solid in the piece's own frame, walls and bends one solid.

    Raises KernelFailed where that is not one valid solid of the volume worked out: above all where walls run
    into each other once folded.
    """
    parts = unjoined(piece)
    size = f"{len(parts)} walls and bends, t {piece.t:g} mm"
    whole = joined(parts, piece.name, size, glued=not near(piece, ROOM))
    solid = one_solid(whole, piece=piece.name, operation="fold", size=size)
    return agreed(
        solid, folded_moments(piece).volume, piece=piece.name, operation="fold (do walls meet?)", size=size
    )


def unjoined(piece: Folded) -> list[Solid]:
    """What is left of each wall, then of each bend, as solids in the piece's own frame."""
    left = zones(piece)
    parts = [
        wall_solid(wall, piece.t, name=piece.name).moved(location(node.place))
        for node, walls in zip(left.tree.walls, left.walls, strict=True)
        for wall in walls
    ]
    parts += [
        sector(bend, region).moved(location(bend.place))
        for bend, regions in zip(left.tree.bends, left.bends, strict=True)
        for region in regions
    ]
    return parts


def joined(parts: list[Solid], name: str, size: str, *, glued: bool = False) -> Shape:
    """The parts fused to one, faces that carry on into each other merged.

    `glued`: nothing is looked for but whole faces that two parts share.
    """
    if len(parts) == 1:
        return parts[0]
    first, rest = TopTools_ListOfShape(), TopTools_ListOfShape()
    first.Append(parts[0].wrapped)
    for part in parts[1:]:
        rest.Append(part.wrapped)
    fuse = BRepAlgoAPI_Fuse()
    fuse.SetArguments(first)
    fuse.SetTools(rest)
    fuse.SetRunParallel(False)
    if glued:
        fuse.SetGlue(BOPAlgo_GlueEnum.BOPAlgo_GlueFull)
    fuse.Build()
    if not fuse.IsDone():
        raise KernelFailed(name, "fold", size, "the kernel reports an error")
    merge = ShapeUpgrade_UnifySameDomain(fuse.Shape(), True, True, False)
    merge.Build()
    return Shape.cast(merge.Shape())
