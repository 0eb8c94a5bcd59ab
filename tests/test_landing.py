"""Where pieces land on each other, as the papers show it, against what the kernel says two solids have in common."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import ezdxf
import numpy as np
import numpy.typing as npt
import pytest
from cadquery import Face as KernelFace
from cadquery import Shape, Vertex
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepTools import BRepTools
from test_paper import chords

from brackets import bay, recipe, recipes
from brackets.bay.stand.placed import placed_bay
from brackets.core.place import Place
from brackets.core.vectors import Vec, sub
from brackets.drawing.blank import blank
from brackets.drawing.labels import through, touches
from brackets.drawing.landing_lines import FACES
from brackets.drawing.record import Drawing, Stroke, Title, Words
from brackets.drawing.wraps import wraps
from brackets.forming.flat_pattern import blank_of
from brackets.forming.tube_layout import Mitre, Run, lay_out
from brackets.kernel.shared import common_of
from brackets.kernel.solids import shape
from brackets.library.recipe import shipped
from brackets.model.bent_tube import straights
from brackets.model.cope import end_curve, extent
from brackets.model.fold_tree import tree
from brackets.model.landing import OnPlate, OnRound, landed_on
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate, TubeSeat, Wall
from brackets.model.tube import BentTube, Tube, Turned
from brackets.model.weld import AtSeat, Weld
from brackets.output import cut_files, dxf, svg

NEAR = 0.05
"""mm: what a landing line may lie from the contact of the solids."""

Floats = npt.NDArray[np.float64]
TITLE = Title(part="sample")


def bent_frame() -> Part:
    """A bow with a stay coped to its second straight, one coped to its first, and a leg mitred to its end."""
    return lay_out(
        Run("bow", "38x3", ((0, 0, 0), (300, 0, 0), (300, 0, 400)), bend_r=100, end=Mitre("leg")),
        Run("stay", "25x2", ((0, 250, 200), (300, 0, 250)), end="bow"),
        Run("post", "20x2", ((100, 8, 150), (100, 8, 0)), end="bow"),
        Run("leg", "38x3", ((300, 0, 400), (100, 0, 520)), start=Mitre("bow")),
    ).part("frame")


def finned_tube() -> Part:
    """A plate that stands slanting across a tube which passes through its edge."""
    seat = TubeSeat(at=(0, -10, 0), axis=(0.3, 0.2, 1), r=20, keep=(0, 25))
    fin = Plate(name="fin", t=6, wall=Wall(outline=_box(40, 30), seats=(seat,)))
    way = (0.3, 0.2, 1.0)
    tube = Tube(name="tube", od=40, wall=3, length=200, place=Place(tuple(-100 / 1.063 * c for c in way), way))  # type: ignore[arg-type]
    tube = replace(tube, place=Place(tuple(a + b for a, b in zip((0, -10, 0), tube.place.at, strict=True)), way))  # type: ignore[arg-type]
    welds = tuple(Weld(piece="fin", edge=AtSeat(0, face), onto="tube", leg=4) for face in ("low", "high"))
    return Part(name="finned", pieces=(fin, tube), welds=welds)


def _box(half: float, up: float):  # type: ignore[no-untyped-def]
    from brackets import polygon

    return polygon([(-half, -up), (half, -up), (half, up), (-half, up)])


@cache
def parts() -> dict[str, Part]:
    """Every shipped recipe of more than one piece, Tern's parts, a bent frame and a finned tube."""
    found = {}
    for name in recipes():
        opened = recipe(name)
        found[name] = opened.build(opened.Params())
    for one in placed_bay(bay.read(Path(shipped(), "tern.toml"))).parts:
        found[f"tern {one.name}"] = one.part
    found |= {"bent": bent_frame(), "finned": finned_tube()}
    return {name: part for name, part in found.items() if len(part.pieces) > 1}


NAMES = list(parts())


def in_part(piece: Piece, one: OnPlate | OnRound) -> list[Floats]:
    """The lines of a landing in the part's frame, (n, 3) each, from what the papers are drawn from."""
    if isinstance(one, OnPlate):
        assert isinstance(piece, Plate | Folded)
        at = piece.place if isinstance(piece, Plate) else piece.place @ tree(piece).walls[one.wall].place
        z = piece.t if one.face == "high" else 0.0
        rings = (one.region.outer, *one.region.holes)
        return [
            np.array([at.point((*edge.point(i / 60), z)) for edge in ring.segments for i in range(61)]) for ring in rings
        ]
    return [np.array([on_barrel(piece, turn, far) for turn, far in curve]) for curve in one.curves]


def on_barrel(piece: Piece, turn: float, far: float) -> Vec:
    """A point of a round outside, by degrees and mm from the sawn start."""
    place, start = piece.place, 0.0
    if isinstance(piece, Turned):
        below, od = 0.0, 0.0
        for step in piece.steps:
            if below - 1e-6 <= far <= below + step.length + 1e-6:
                od = max(od, step.od)
            below += step.length
    else:
        assert isinstance(piece, Tube | BentTube)
        od, start = piece.od, extent(piece, "start", (piece.od / 2,))[0]
        if isinstance(piece, BentTube):
            return _on_bent(piece, turn, far)
    a = math.radians(turn)
    return place.point((od / 2 * math.cos(a), od / 2 * math.sin(a), far + start))


def _on_bent(piece: BentTube, turn: float, far: float) -> Vec:
    """Along the straights and the arcs between them, by the corners' own angles."""
    left, a = far + extent(piece, "start", (piece.od / 2,))[0], math.radians(turn)
    lines = straights(piece)
    for line, after in zip(lines, (*lines[1:], None), strict=True):
        if left <= line.length or after is None:
            local = (piece.od / 2 * math.cos(a), piece.od / 2 * math.sin(a), left)
            return piece.place.point(line.place.point(local))
        bend = math.acos(sum(p * q for p, q in zip(line.place.axis, after.place.axis, strict=True)))
        left -= line.length + bend * piece.bend_r
    raise AssertionError


def off(points: Floats, lines: list[Floats]) -> float:
    """The farthest that any of the points lies from the lines, mm."""
    a = np.concatenate([line[:-1] for line in lines])
    b = np.concatenate([line[1:] for line in lines])
    run = b - a
    size = np.maximum((run * run).sum(axis=1), 1e-30)
    share = np.clip(((points[:, None] - a) * run).sum(axis=2) / size, 0.0, 1.0)
    return float(np.linalg.norm(points[:, None] - (a + share[..., None] * run), axis=2).min(axis=1).max())


@cache
def contact(host: Piece, guest: Piece) -> list[tuple[list[Floats], list[Floats]]]:
    """The outlines of what two pieces have in common, by the kernel: of each the edges, and those points of them that
    lie on the host. On flats the common faces' edges; on what is round those of the guest's face that fits on it."""
    a, b = shape(host), shape(guest)
    every: list[tuple[list[Floats], list[Floats]]] = []
    if not _near(a, b):
        return every
    for mine, theirs in itertools.product(a.Faces(), b.Faces()):
        if not (_near(mine, theirs) and _on_one_surface(mine, theirs)):
            continue
        if mine.geomType() == "PLANE":
            common = Shape.cast(common_of(mine.wrapped, theirs.wrapped).Shape())
            found = [edge_points(face) for face in common.Faces() if face.Area() > 0.01]
            every += [(edges, edges) for edges in found]
            continue
        for points in edge_points(theirs):
            here = np.array([p for p in points[::4] if _gap(mine, p) < 1e-3])
            if len(here) > 1:
                every.append(([points], [here]))
    return every


def _gap(of: Shape, p: Floats) -> float:
    return float(BRepExtrema_DistShapeShape(Vertex.makeVertex(*p).wrapped, of.wrapped).Value())


def _near(a: Shape, b: Shape) -> bool:
    one, other = a.BoundingBox(), b.BoundingBox()
    low, high = (
        [(getattr(one, c + end), getattr(other, c + end)) for c in "xyz"] for end in ("min", "max")
    )
    return all(min(top) - max(bottom) > -1e-3 for bottom, top in zip(low, high, strict=True))


def _on_one_surface(a: KernelFace, b: KernelFace) -> bool:
    kinds = {a.geomType(), b.geomType()}
    if kinds == {"CYLINDER"}:
        one, other = (face._geomAdaptor().Cylinder() for face in (a, b))
        return one.Axis().IsParallel(other.Axis(), 1e-6) and abs(one.Radius() - other.Radius()) < 1e-3
    if kinds == {"PLANE"}:
        return a.normalAt().cross(b.normalAt()).Length < 1e-6
    return False


def edge_points(face: KernelFace) -> list[Floats]:
    """The edges of a face by points, without the seam where it closes on itself."""
    return [
        np.array([p.toTuple() for p in edge.positions(np.linspace(0, 1, 161))])
        for edge in face.Edges()
        if not BRepTools.IsReallyClosed_s(edge.wrapped, face.wrapped)
    ]


def hosts(part: Part) -> Iterator[tuple[Piece, OnPlate | OnRound]]:
    for piece in part.pieces:
        for one in landed_on(piece, part):
            yield piece, one


@pytest.mark.parametrize("name", NAMES)
def test_every_landing_line_is_the_edge_of_the_solids_contact(name: str) -> None:
    """Both ways: no line off the contact, and no edge of the contact without a line."""
    part = parts()[name]
    for piece, one in hosts(part):
        other = part.piece(one.name)
        lines = in_part(piece, one)
        edges, on = ([edge for face in contact(piece, other) for edge in face[i]] for i in (0, 1))
        if not edges:
            assert_touches_along_a_line(piece, other, lines)
            continue
        if isinstance(one, OnPlate):  # a folded piece may be met on several of its walls
            edges = on = [edge for edge in edges if off(edge, [np.concatenate(lines)]) < 5.0]
        elif isinstance(other, Plate):  # its faces are drawn, and not the ends of its edge
            edges = on = [edge for edge in edges if _lies_in_a_face(other, edge)]
        assert off(np.concatenate(lines), edges) < NEAR, (piece.name, one.name)
        assert off(np.concatenate(on), lines) < NEAR, (piece.name, one.name)


def _lies_in_a_face(plate: Plate, edge: Floats) -> bool:
    heights = [plate.place.local(tuple(p))[2] for p in edge]  # type: ignore[arg-type]
    return any(max(abs(z - level) for z in heights) < 1e-3 for level in (0.0, plate.t))


def assert_touches_along_a_line(piece: Piece, other: Piece, lines: list[Floats]) -> None:
    """A straight edge on a round outside: both solids are there all along it, and one ends where it ends."""
    [line] = lines

    def gap(p: Floats) -> float:
        return max(_gap(shape(one), p) for one in (piece, other))

    assert max(gap(p) for p in line[::60]) < NEAR
    way = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
    assert gap(line[0] - 0.2 * way) > 0.1 and gap(line[-1] + 0.2 * way) > 0.1


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_stands_on_a_plate_or_a_tube_is_without_its_line(name: str) -> None:
    """Every contact the kernel finds of a piece on a plate's face, and every end of a tube on another tube's side,
    has a line of that name; what meets only at an edge (a mitre, a cup in its plate) has none."""
    part = parts()[name]
    known = {(piece.name, one.name) for piece, one in hosts(part)}
    for host, guest in itertools.permutations(part.pieces, 2):
        if isinstance(host, Plate | Folded):
            if any(_on_a_wall(host, np.concatenate(edges)) for edges, _ in contact(host, guest)):
                assert (host.name, guest.name) in known
        elif isinstance(host, Tube | BentTube) and isinstance(guest, Tube | BentTube):
            if any(len(on[0]) > 30 for edges, on in contact(host, guest) if edges is not on):
                assert (host.name, guest.name) in known


def _on_a_wall(host: Plate | Folded, edge: Floats) -> bool:
    """Whether points lie in a face of one of the walls."""
    places = [host.place] if isinstance(host, Plate) else [host.place @ node.place for node in tree(host).walls]
    return any(
        max(abs(at.local(tuple(p))[2] - level) for p in edge) < 1e-3  # type: ignore[arg-type]
        for at in places
        for level in (0.0, host.t)
    )
