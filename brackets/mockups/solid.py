"""A part's pieces as bodies to be printed: fused where they touch, joined by a bead where a weld would.

mm, in the part's frame. Bodies are those of the library manifold3d: closed, and closed after every cut.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import Error, Manifold, Mesh64, OpType

from brackets.core.errors import KernelFailed
from brackets.kernel.mesh import Mesh, mesh
from brackets.model.edges import points
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.weld import Weld

TOLERANCE = 0.01
"""mm that triangles may be off the solid: a twentieth of a layer."""

BEAD = 1.0
"""mm: radius of the bead that holds two pieces together which a weld joins and which do not touch."""

BEAD_POINTS = 24

SLIT = 0.05
"""mm: a closed hollow thinner than this is a gap between two pieces that touch, and is filled."""


@dataclass(frozen=True, eq=False)
class Fused:
    """Pieces that are one body: their `names`, the `solid`, and which pairs a bead holds (`beads`)."""

    names: tuple[str, ...]
    solid: Manifold
    beads: tuple[tuple[str, str], ...] = ()


def manifold(of: Mesh, name: str) -> Manifold:
    """The body within closed triangles. Raises KernelFailed where they enclose none."""
    found = Manifold(Mesh64(np.array(of.vertices, order="C"), of.faces.astype(np.uint64)))
    if found.status() != Error.NoError or found.volume() <= 0:
        raise KernelFailed(name, "mock-up", f"{len(of.faces)} triangles", "they enclose no body")
    return found


def fused(part: Part, *, tolerance: float = TOLERANCE) -> tuple[Fused, ...]:
    """The bodies of a part, in the order of their first pieces; loose pieces are each a body of its own.

    part: as it is to be drawn; tolerance: how far triangles may be off, mm. Pieces that touch are one body. Two
    that a weld joins and that do not touch are held by a round bead along the weld. Raises KernelFailed.
    """
    solids = [manifold(mesh(piece, tolerance=tolerance), piece.name) for piece in part.pieces]
    index = {piece.name: i for i, piece in enumerate(part.pieces)}
    loose = {index[name] for name in part.loose}
    group = list(range(len(solids)))
    for a, b in itertools.combinations(range(len(solids)), 2):
        if group[a] != group[b] and not {a, b} & loose and _touch(solids[a], solids[b]):
            _merge(group, a, b)
    beads: list[tuple[int, int, Manifold]] = []
    for weld in part.welds:
        a, b = index[weld.piece], index.get(weld.onto, index[weld.piece])
        if group[a] != group[b]:
            beads.append((a, b, _bead(part.pieces[a], weld)))
            _merge(group, a, b)
    return tuple(
        _one([i for i in range(len(solids)) if group[i] == first], part.pieces, solids, beads)
        for first in sorted(set(group))
    )


def _one(
    members: Sequence[int],
    pieces: Sequence[Piece],
    solids: Sequence[Manifold],
    beads: Sequence[tuple[int, int, Manifold]],
) -> Fused:
    mine = [bead for bead in beads if bead[0] in members]
    whole = Manifold.batch_boolean([*(solids[i] for i in members), *(bead[2] for bead in mine)], OpType.Add)
    return Fused(
        names=tuple(pieces[i].name for i in members),
        solid=without_slits(whole),
        beads=tuple((pieces[a].name, pieces[b].name) for a, b, _ in mine),
    )


def without_slits(body: Manifold) -> Manifold:
    """The body with the closed hollows filled that are only gaps between pieces that touch."""
    shells = body.decompose()
    if len(shells) == 1:
        return body
    kept = [s for s in shells if s.volume() > 0 or -2 * s.volume() / s.surface_area() >= SLIT]
    return Manifold.compose(kept) if len(kept) < len(shells) else body


def shells(body: Manifold) -> int:
    """How many bodies that do not hang together it is; hollows within it are none."""
    return sum(shell.volume() > 0 for shell in body.decompose())


def _touch(a: Manifold, b: Manifold) -> bool:
    one, other = a.bounding_box(), b.bounding_box()
    if any(one[i + 3] < other[i] - SLIT or other[i + 3] < one[i] - SLIT for i in range(3)):
        return False
    return shells(a + b) < shells(a) + shells(b)


def _bead(piece: Piece, weld: Weld) -> Manifold:
    knots = points(piece, weld.edge, BEAD_POINTS)
    balls = [Manifold.sphere(BEAD, 12).translate(knot) for knot in knots]
    return Manifold.batch_boolean([(a + b).hull() for a, b in itertools.pairwise(balls)], OpType.Add)


def _merge(group: list[int], a: int, b: int) -> None:
    one, other = sorted((group[a], group[b]))
    group[:] = [one if g == other else g for g in group]
