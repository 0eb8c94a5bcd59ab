"""Sections of a part's plates: at the root of a welded edge, at a bend, and across a bolted plate. N, N mm, mm,
MPa.

A section is a straight line over a wall; what goes through it is all that acts on one side of it. Across a bolted
plate the line takes the metal within 45 degrees of what acts on either side (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.core.tables.bolt_rows import bolt
from brackets.geometry.regions import Region
from brackets.hold.bolt_checks import forces_on_bolts
from brackets.hold.case_rows import CaseRows, worst_of
from brackets.hold.check import Array, Check
from brackets.hold.folded_sections import folded_section, strips_across
from brackets.hold.found import Found
from brackets.hold.load_path import Flow, LoadPath
from brackets.hold.part_graph import GROUND, at_point
from brackets.hold.part_walls import PlacedWall, children, nearest_wall, wall_at, walls_of
from brackets.hold.plate_lines import Interval, intervals, within
from brackets.hold.plates import plate_combined
from brackets.model.holes import Point
from brackets.model.plate import Folded, Plate

ROUND = 0.6
"""Of its length: a welded edge that reaches further across than that is no root."""
INSIDE = 0.02
"""mm that a root's line is set into the metal, so that it does not run along the edge itself."""
ON_WALL = 2.0
"""mm: what is welded this near to a wall is on it."""
SPREAD = "across a bolted plate the metal within 45 degrees of what acts on it counts (common practice, no source)"
LIES = "plate, must stand on its weld or be bolted: bending between welds along its sides is not among the checks"
BOLT_ROOM = 2.0
"""Diameters of a bolt that its head or washer presses on, where the spread begins."""


@dataclass(frozen=True, eq=False)
class Line:
    """A section of a wall: through `at` along `way` (a unit vector), `width` mm of metal, in the wall's plane."""

    at: Point
    way: Point
    width: float


def section_check(wall: PlacedWall, line: Line, wrench: Array, **named: Any) -> Check:
    """The check of a section under a wrench about the origin (cases, 6) on one side of it; named: metal, name,
    factors."""
    force, moment = at_point(wrench, wall.middle(line.at))
    x, y, z = wall.components(force)
    mx, my, mz = wall.components(moment)
    (ux, uy), (vx, vy) = line.way, (-line.way[1], line.way[0])
    return plate_combined(
        tension=x * vx + y * vy,
        bending=mx * ux + my * uy,
        in_plane=mz,
        shear=np.hypot(x * ux + y * uy, z),
        torsion=mx * vx + my * vy,
        width=line.width,
        t=wall.t,
        **named,
    )


def check_roots(found: Found, flow: Flow) -> None:
    """Every plate that is welded on by an edge, where its metal begins; flow: factored."""
    edges = flow.joint.edges
    for name in dict.fromkeys(edge.weld.piece for edge in edges):
        piece = found.part.piece(name)
        if not isinstance(piece, Plate | Folded) or any(edge.weld.piece != name for edge in edges):
            continue
        if edges and all(edge.lies for edge in edges):
            found.refuse(f"plate {name}", LIES)
            continue
        points = np.array([p for edge in edges for line in edge.lines for p in line.ends])
        wall = wall_at(piece, points.mean(axis=0))
        place = f"root {name} | {flow.joint.other(name)}"
        on_it = all(wall.distance(p) < ON_WALL for p in points)
        line = root_line(wall, [wall.flat(p) for p in points]) if on_it else None
        if line is None:
            found.refuse(place, "welded edge, must be one on one wall, straight or a shallow curve: root")
            continue
        force, moment = at_point(flow.wrench, wall.middle(line.at))
        found.cut(place, wall.middle(line.at), force, moment)
        found.ask(place, section_check, wall, line, flow.wrench, of=piece)


def root_line(wall: PlacedWall, points: Sequence[Point]) -> Line | None:
    """The line over a wall along its welded edge, at the point of the edge that is furthest into the metal."""
    at = np.array(points)
    _, axes = np.linalg.eigh(np.cov(at.T))
    way, normal = axes[:, 1], axes[:, 0]
    along, across = at @ way, at @ normal
    if np.ptp(across) > ROUND * np.ptp(along):
        return None
    inward = 1.0 if _middle(wall.metal) @ normal > across.mean() else -1.0
    level = (across * inward).max() * inward + INSIDE * inward
    start = (float(level * normal[0]), float(level * normal[1]))
    direction = (float(way[0]), float(way[1]))
    width, middle = within(intervals(wall.metal, start, direction), [(float(along.min()), float(along.max()))])
    if width <= wall.t:
        return None
    here = (start[0] + middle * direction[0], start[1] + middle * direction[1])
    return Line(here, direction, width)


def _middle(region: Region) -> Array:
    low_x, low_y, high_x, high_y = region.outer.bounds
    return np.array([(low_x + high_x) / 2, (low_y + high_y) / 2])


@dataclass(frozen=True, eq=False)
class Item:
    """What acts on a wall at one place: `points` in its plane that it covers, `wrench` (cases, 6) on the plate."""

    name: str
    points: Array
    wrench: Array
    room: float = 0.0
    is_bolt: bool = False


def items_by_wall(found: Found, path: LoadPath, piece: Plate | Folded) -> tuple[list[Item], ...]:
    """All that acts on each wall of a plate by its welds, bolts and loads. Raises InputError as the bolts do."""
    walls = walls_of(piece)
    items: tuple[list[Item], ...] = tuple([] for _ in walls)
    for flow in path.flows.values():
        if piece.name not in (flow.joint.a, flow.joint.b):
            continue
        if flow.joint.kind == "bolts":
            forces = forces_on_bolts(found, flow)
            for i, seat in enumerate(flow.joint.seats):
                at = np.array(seat.place.at)
                wall = nearest_wall(walls, at)
                given = -(forces.shear[:, i] + np.outer(forces.along[:, i], np.array(seat.place.axis)))
                row = np.concatenate([given, np.cross(at, given)], axis=1)
                room = BOLT_ROOM / 2 * bolt(seat.bolt).d if seat.bolt else 0.0
                items[wall.number].append(Item(seat.name, np.array([wall.flat(at)]), row, room, is_bolt=True))
            continue
        points = [p for edge in flow.joint.edges for line in edge.lines for p in line.ends] or [flow.joint.at]
        wall = nearest_wall(walls, np.mean(points, axis=0))
        spots = np.array([wall.flat(p) for p in points])
        items[wall.number].append(Item(flow.joint.name, spots, flow.onto(piece.name)))
    for load in path.graph.acting:
        if load.body == piece.name:
            wall = nearest_wall(walls, load.at)
            items[wall.number].append(Item(load.seat, np.array([wall.flat(load.at)]), load.wrench))
    return items


def _hung(piece: Plate | Folded, items: Sequence[Sequence[Item]], number: int) -> Iterator[Item]:
    """What the walls that hang on a wall by its bends give it."""
    if not isinstance(piece, Folded):
        return
    for i, flange in enumerate(piece.flanges, 1):
        if flange.parent == number:
            beyond = [item.wrench for n in children(piece, i) for item in items[n]]
            if beyond:
                yield Item(f"bend {i}", np.array([flange.start, flange.end]), np.sum(beyond, axis=0))


def check_bends(found: Found, path: LoadPath, piece: Folded) -> None:
    """Every bend of a folded piece, at the wall that hangs on it; path: factored."""
    try:
        walls, items = walls_of(piece), items_by_wall(found, path, piece)
    except InputError as error:
        found.refuse(f"bends of {piece.name}", *error.problems)
        return
    for i, flange in enumerate(piece.flanges, 1):
        beyond = [item for n in children(piece, i) for item in items[n]]
        others = set(range(len(walls))) - set(children(piece, i))
        if any(item.is_bolt for item in beyond):
            beyond = [item for n in sorted(others) for item in items[n]]
        place = f"bend {i} of {piece.name}"
        if any(item.is_bolt for item in beyond):
            found.refuse(place, "bolts, must be on one side of the bend")
            continue
        if not beyond:
            continue
        wrench = np.sum([item.wrench for item in beyond], axis=0)
        line = Line((flange.width / 2, 0.0), (1.0, 0.0), flange.width)
        wall = walls[i]
        force, moment = at_point(wrench, wall.middle(line.at))
        if not np.abs(force).max() + np.abs(moment).max() > 1e-9:
            continue
        found.cut(place, wall.middle(line.at), force, moment)
        found.ask(place, section_check, wall, line, wrench, of=piece)
        found.note("a bend carries alone what hangs on its wall: gussets behind it are not counted")


def check_bolted_plate(found: Found, path: LoadPath, piece: Plate | Folded) -> None:
    """A plate that is bolted on, across both ways, each case at its worst line; path: factored."""
    try:
        by_wall = items_by_wall(found, path, piece)
    except InputError as error:
        found.refuse(f"plate {piece.name}", *error.problems)
        return
    for wall in walls_of(piece):
        items = [*by_wall[wall.number], *_hung(piece, by_wall, wall.number)]
        if not any(item.is_bolt for item in items) or all(item.is_bolt for item in items):
            continue
        found.note(SPREAD)
        for way, word in (((1.0, 0.0), "along"), ((0.0, 1.0), "across")):
            place = f"plate {piece.name}, section {word}"
            lines = list(_lines(wall, items, way))
            try:
                checks = [_across(found, wall, line, wrench, piece, place) for line, wrench in lines]
            except InputError as error:
                found.refuse(f"plate {piece.name}", *error.problems)
                return
            if not checks:
                continue
            count = len(found.cases)
            taken, rows = worst_of([CaseRows(place, check, count) for check in checks])
            at = np.array([wall.middle(line.at) for line, _ in lines])[taken]
            wrench = np.array([each for _, each in lines])[taken, np.arange(count)]
            found.cut(place, at, *at_point(wrench, at))
            for one in rows:
                found.keep_rows(one)


def _across(
    found: Found, wall: PlacedWall, line: Line, wrench: Array, piece: Plate | Folded, place: str
) -> Check:
    """The section with the walls bent up beside it, where there are any and they are stout enough."""
    named: dict[str, Any] = {
        "metal": found.metal_of(piece), "name": place, "factors": found.settings.factors
    }  # fmt: skip
    if isinstance(piece, Folded):
        ux, uy = line.way
        normal = -uy * np.array(wall.place.x) + ux * np.array(wall.place.up)
        strips = strips_across(piece, wall.number, wall.middle(line.at), normal)
        if strips is not None and len(strips.ends) > 1:
            force, moment = at_point(wrench, strips.centre)
            with suppress(InputError):
                return folded_section(strips, force=force, moment=moment, **named)
    return section_check(wall, line, wrench, **named)


def _lines(wall: PlacedWall, items: Sequence[Item], way: Point) -> Iterator[tuple[Line, Array]]:
    """Lines along `way` at both ends of everything that acts on a wall, with what acts on one side of each."""
    along, normal = np.array(way), np.array((-way[1], way[0]))
    levels = sorted({round(float(f(item.points @ normal)), 6) for item in items for f in (np.min, np.max)})
    for level in levels:
        ends = [(float((item.points @ normal).min()), float((item.points @ normal).max())) for item in items]
        if any(low < level - 1e-6 and high > level + 1e-6 for low, high in ends):
            continue  # what reaches over the line cannot be told apart by it
        beyond = [item for item in items if (item.points @ normal).mean() > level + 1e-6]
        here = [item for item in items if item not in beyond]
        on_it = [item for item in here if item.is_bolt and abs((item.points @ normal).mean() - level) <= 1e-6]
        sides = [beyond, here] if not on_it else [beyond, [item for item in here if item not in on_it]]
        for side, other in (sides, sides[::-1]):
            if not side or not other or (any(i.is_bolt for i in side) and not any(i.is_bolt for i in other)):
                continue
            runs = intervals(wall.metal, (float(level * normal[0]), float(level * normal[1])), way)
            found = [within(runs, _spans(some, along, normal, level)) for some in (side, other)]
            width, middle = min(found)
            if width <= wall.t:
                continue
            at = level * normal + middle * along
            wrench = np.sum([item.wrench for item in side], axis=0)
            yield Line((float(at[0]), float(at[1])), way, width), wrench


def _spans(items: Sequence[Item], along: Array, normal: Array, level: float) -> Iterator[Interval]:
    for item in items:
        on, off = item.points @ along, np.abs(item.points @ normal - level)
        reach = off + item.room
        yield float((on - reach).min()), float((on + reach).max())


def is_bolted(path: LoadPath, piece: str) -> bool:
    """Whether bolts hold this piece on what carries the part."""
    return any(
        flow.joint.kind == "bolts" and {flow.joint.a, flow.joint.b} == {piece, GROUND}
        for flow in path.flows.values()
    )
