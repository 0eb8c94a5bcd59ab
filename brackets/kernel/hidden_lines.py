"""Pictures of a part as lines: the edges and outlines of its solids seen along a direction, hidden ones apart.

mm in the plane of the picture. The kernel removes hidden lines of the solids themselves; curves are followed by
chords that stray no more than FLAT from them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepLib import BRepLib
from OCP.GCPnts import GCPnts_QuasiUniformDeflection
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape, HLRBRep_TypeOfResultingEdge
from OCP.TopAbs import TopAbs_EDGE
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Shape

from brackets.core.kept import keeps
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, dot, scale, sub, unit
from brackets.drawing.pictures import Picture, Run, Seen
from brackets.geometry.segments import Point
from brackets.kernel.solids import shape, shape_key
from brackets.model.part import Part
from brackets.model.piece import Piece

FLAT = 0.005
"""mm: how far chords may lie from the curves they stand for."""

TILT = 1e-3
"""rad that the eye is turned off its direction where it is decided what is hidden, so that faces seen edge-on and
edges that lie behind one another are told apart: seen squarely, lines are lost and coped tubes take 30 times as
long. The lines themselves are then seen from where the eye is to be; an outline of radius r is r TILT^2 / 2 off."""

SAME = 6
"""Decimals of a mm to which two ends of lines are one."""

KINDS = (
    HLRBRep_TypeOfResultingEdge.HLRBRep_Sharp,
    HLRBRep_TypeOfResultingEdge.HLRBRep_OutLine,
)
"""Which lines are drawn: edges, and outlines of what is round; none where faces run smoothly into each other."""

REMEMBERED = 64
"""Pictures kept in memory."""


def seen(part: Part, views: Sequence[tuple[Vec, Vec]], origin: Vec) -> tuple[Picture, ...]:
    """A part in each of some views, its pieces in their order.

    part: as it stands; views: for each the direction from the part to the eye and the one that is to the right, in
    the part's frame; origin: the point that lies at (0, 0) of every picture. Raises KernelFailed as the solids do.
    """
    return seen_pieces(part.pieces, views, origin)


def seen_pieces(pieces: Sequence[Piece], views: Sequence[tuple[Vec, Vec]], origin: Vec) -> tuple[Picture, ...]:
    """As `seen`, of pieces of several parts, which may hide one another."""
    solids = tuple((shape_key(piece), piece.place) for piece in pieces)
    return tuple(
        tuple(
            replace(one, piece=piece.name)
            for one, piece in zip(_seen(solids, eye, right, origin), pieces, strict=True)
        )
        for eye, right in views
    )


@lru_cache(maxsize=REMEMBERED)
def _seen(solids: tuple[tuple[Piece, Place], ...], eye: Vec, right: Vec, origin: Vec) -> Picture:
    return _drawn(solids, eye, right, origin)


@keeps("hidden lines")
def _drawn(solids: tuple[tuple[Piece, Place], ...], eye: Vec, right: Vec, origin: Vec) -> Picture:
    whole = [shape(replace(piece, place=place)).wrapped for piece, place in solids]
    return tuple(_view(whole, unit(eye), unit(right), origin))


def _view(whole: Sequence[TopoDS_Shape], eye: Vec, right: Vec, origin: Vec) -> Iterator[Seen]:
    up = cross(eye, right)
    tilted = add(eye, add(scale(right, 0.7 * TILT), scale(up, TILT)))
    work = HLRBRep_Algo()
    for solid in whole:
        work.Add(solid)
    work.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0.0, 0.0, 0.0), gp_Dir(*tilted), gp_Dir(*right))))
    work.Update()
    work.Hide()
    made = HLRBRep_HLRToShape(work)

    def flat(p: gp_Pnt) -> Point:
        at = sub((p.X(), p.Y(), p.Z()), origin)
        return (round(dot(at, right), SAME) + 0.0, round(dot(at, up), SAME) + 0.0)

    for solid in whole:
        visible, hidden = (
            [run for kind in KINDS for run in _curves(made.CompoundOfEdges(solid, kind, there, True), flat)]
            for there in (True, False)
        )
        yield Seen("", _joined(visible), _joined(hidden))


def _curves(lines: TopoDS_Shape | None, flat: Callable[[gp_Pnt], Point]) -> Iterator[Run]:
    """The edges of a picture, where they lie on the part, as chords in the picture."""
    if lines is None or lines.IsNull():
        return
    BRepLib.BuildCurves3d_s(lines)
    edges = TopExp_Explorer(lines, TopAbs_EDGE)
    while edges.More():
        curve = BRepAdaptor_Curve(TopoDS.Edge_s(edges.Current()))
        cut = GCPnts_QuasiUniformDeflection(curve, FLAT)
        points = [flat(cut.Value(i + 1)) for i in range(cut.NbPoints() if cut.IsDone() else 0)]
        run = tuple(p for i, p in enumerate(points) if i == 0 or p != points[i - 1])
        if len(run) > 1:
            yield run
        edges.Next()


def _joined(runs: Sequence[Run]) -> tuple[Run, ...]:
    """Runs end to end as one, in the order in which they come, each once."""
    left = {min(run, run[::-1]): None for run in runs}
    at: dict[Point, list[Run]] = {}
    for run in left:
        for end in {run[0], run[-1]}:
            at.setdefault(end, []).append(run)
    found = []
    while left:
        first = next(iter(left))
        del left[first]
        whole = [*first]
        for _ in range(2):
            while (more := next((run for run in at[whole[-1]] if run in left), None)) is not None:
                del left[more]
                whole += more[1:] if more[0] == whole[-1] else more[-2::-1]
            whole.reverse()
        found.append(tuple(whole))
    return tuple(found)
