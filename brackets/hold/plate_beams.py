"""Plates of a part as beams of its frame: flat ones from place to place, a folded one along its base. N, mm.

A flat one is as wide as its metal half way, at most as wide as it is long (45 degrees either side, common practice,
no source).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from brackets.core.tables.material_rows import material
from brackets.hold.check import Array
from brackets.hold.folded_sections import spine_way, strips_across
from brackets.hold.frame_members import BeamSection, flat_section
from brackets.hold.part_nodes import SAME, PartFrame
from brackets.hold.part_walls import PlacedWall, children, wall_at, walls_of
from brackets.hold.plate_lines import intervals
from brackets.model.plate import Folded, Plate


def plate_beams(made: PartFrame, piece: Plate | Folded, places: Sequence[tuple[str, Array]]) -> None:
    """Adds a plate to a frame, with a node at each of `places`: joint or seat, and its point of the part."""
    e = material(piece.material).e
    by_wall: dict[int, list[tuple[str, Array]]] = {}
    for name, at in places:
        by_wall.setdefault(wall_at(piece, at).number, []).append((name, at))
    walls = walls_of(piece)
    if isinstance(piece, Folded):
        for i, flange in enumerate(piece.flanges, 1):
            a, b = flange.start, flange.end
            near = walls[flange.parent].middle(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2))
            far = walls[i].middle((flange.width / 2, 0.0))
            if not any(n in by_wall for n in children(piece, i)):
                continue
            by_wall.setdefault(flange.parent, []).append((f"bend {i}", near))
            by_wall.setdefault(i, []).append((f"bend {i} far", far))
            section = flat_section(max(flange.width, piece.t), piece.t, e=e)
            nodes = made.node(piece.name, near), made.node(piece.name, far)
            made.member(piece.name, *nodes, section, np.array(walls[i].place.x))
    for number, here in by_wall.items():
        wall = walls[number]
        if isinstance(piece, Folded) and number == 0 and len(here) > 1 and _spine(made, piece, wall, here, e):
            continue
        hub = wall.flat(here[0][1])
        for name, at in here:
            spot = wall.flat(at)
            node = made.node(piece.name, wall.middle(spot))
            made.node_of[(name, piece.name)] = node
            if (apart := math.dist(hub, spot)) > SAME:
                section = flat_section(max(_width(wall, hub, spot), wall.t), wall.t, e=e)
                way = np.array([spot[1] - hub[1], hub[0] - spot[0]]) / apart
                up = way[0] * np.array(wall.place.x) + way[1] * np.array(wall.place.up)
                made.member(piece.name, made.node(piece.name, wall.middle(hub)), node, section, up)


def _spine(made: PartFrame, piece: Folded, wall: PlacedWall, here: Sequence[tuple[str, Array]], e: float) -> bool:
    """A folded plate's base as a beam along it, with the walls beside it, and stiff arms to its places."""
    points = [wall.middle(wall.flat(at)) for _, at in here]
    middle, way = spine_way(wall, points)
    far = [round(float((point - middle) @ way), 3) for point in points]
    stations = sorted(set(far))
    up = np.cross(np.array(wall.place.axis), way)
    sections = []
    for a, b in pairwise(stations):
        strips = strips_across(piece, 0, middle + (a + b) / 2 * way, way)
        if strips is None:
            return False
        second = strips.second
        sections.append(
            BeamSection(
                area=strips.area, iy=float(second[1, 1]), iz=float(second[0, 0]), torsion=strips.torsion, e=e,
                g=e / 2.6,
            )
        )  # fmt: skip
    nodes = {station: made.node(f"{piece.name} spine", middle + station * way) for station in stations}
    for (a, b), section in zip(pairwise(stations), sections, strict=True):
        made.member(piece.name, nodes[a], nodes[b], section, up)
    for (name, _), point, station in zip(here, points, far, strict=True):
        node = made.node(piece.name, point)
        made.node_of[(name, piece.name)] = node
        made.tie(node, nodes[station])
    return True


def _width(wall: PlacedWall, a: tuple[float, float], b: tuple[float, float]) -> float:
    """mm of metal across half way between two places, no wider than they are apart."""
    far = math.dist(a, b)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    way = ((b[1] - a[1]) / far, (a[0] - b[0]) / far)
    runs = intervals(wall.metal, middle, way)
    metal = sum(max(0.0, min(high, far / 2) - max(low, -far / 2)) for low, high in runs)
    return metal or wall.t
