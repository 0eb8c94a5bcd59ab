"""A part as a frame in space: tubes on their centre lines, plates as flat beams, what is stout as stiff links.

N, N mm, mm. Tubes are beams on their centre lines; plates as `plate_beams` has them; cups, bungs, a plate that lies
on what it stands on and what bridges from a centre line to a weld are stiff; a bush bolt is a bar between its ears.
Bolts and what a part stands on hold still, turning too or not, as stated.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.material_rows import material
from brackets.hold.check import Array
from brackets.hold.found import Found
from brackets.hold.frame import CLAMPED, PIN, Support
from brackets.hold.frame_members import round_section
from brackets.hold.part_graph import GROUND, Joint, PartGraph, pivots
from brackets.hold.part_nodes import PartFrame, stiff
from brackets.hold.part_walls import nearest_wall, walls_of
from brackets.hold.plate_beams import plate_beams
from brackets.hold.tube_spine import spine_of
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube

Spots = Mapping[str, Sequence[tuple[str, Array]]]
"""By joint where it acts: names of places and their points, (3,) mm."""
ASSUMED = (
    "tubes are beams on their centre lines, plates flat beams as wide as the metal half way and no wider than long,"
    " cups and bungs stiff; bolts and what it stands on hold still"
)


def part_frame(graph: PartGraph, found: Found, *, bush_bolts: bool) -> PartFrame:
    """The frame of a part; bush_bolts: whether ears are tied by their bolt, with a node at the bush's centre."""
    made = PartFrame()
    spots = {joint.name: _spots(graph, joint) for joint in graph.joints if joint.kind != "bolts"}
    held = CLAMPED if found.settings.joints == "rigid" else PIN
    reached = graph.reached()
    for piece in graph.part.pieces:
        if piece.name in reached:
            _body(made, graph, spots, piece)
    for joint in graph.joints:
        if not {joint.a, joint.b} & reached:
            continue
        _join(made, spots, joint, held)
    pieces = {piece.name for piece in graph.part.pieces}
    for body in graph.bodies:
        if body not in pieces and body in reached:
            rigid = made.by_body.get(body, [])
            for node in rigid[1:]:
                made.tie(rigid[0], node)
    if bush_bolts:
        for seat in dict.fromkeys(load.seat for load in graph.loads):
            _bush(made, graph, seat)
    made.merge()
    return made


def _places(graph: PartGraph, spots: Spots, body: str) -> Iterator[tuple[str, Array]]:
    """Where something acts on a body: by joint, bolt by bolt, and by loaded seat; loads first, weights last."""
    for load in graph.loads:
        if load.body == body:
            yield load.seat, load.at
    for joint in graph.joints_of(body):
        if joint.kind == "bolts":
            for seat in joint.seats:
                yield seat.name, np.array(seat.place.at)
        else:
            yield from spots[joint.name]
    for load in graph.weights:
        if load.body == body:
            yield load.seat, load.at


def _spots(graph: PartGraph, joint: Joint) -> list[tuple[str, Array]]:
    """Where a joint acts: its centre, or one place for each wall of a folded piece that it is welded along."""
    ends = (joint.a, joint.b)
    folded = [piece for piece in graph.part.pieces if isinstance(piece, Folded) and piece.name in ends]
    if not folded or not joint.edges:
        return [(joint.name, joint.at)]
    by: dict[int, list[Array]] = {}
    walls = walls_of(folded[0])
    for edge in joint.edges:
        for line in edge.lines:
            middle = (line.start + line.end) / 2
            by.setdefault(nearest_wall(walls, middle).number, []).append(middle)
    if len(by) == 1:
        return [(joint.name, joint.at)]
    return [(f"{joint.name}@{number}", np.mean(points, axis=0)) for number, points in by.items()]


def _body(made: PartFrame, graph: PartGraph, spots: Spots, piece: Piece) -> None:
    places = list(_places(graph, spots, piece.name))
    lies = any(joint.kind == "stands" and GROUND in (joint.a, joint.b) for joint in graph.joints_of(piece.name))
    if isinstance(piece, Tube | BentTube):
        spine = spine_of(piece)
        section = round_section(piece.od, piece.wall, e=material(piece.material).e)
        stations = {name: spine.station(at) for name, at in places}
        low, high = min(stations.values()), max(stations.values())
        all_ = sorted({round(s, 6) for s in stations.values()} | {float(f) for f in spine.far if low < f < high})
        nodes = [made.node(piece.name, spine.point(s)) for s in all_]
        for a, b in zip(nodes, nodes[1:], strict=False):
            made.member(piece.name, a, b, section)
        for name, _ in places:
            made.node_of[(name, piece.name)] = made.node(piece.name, spine.point(round(stations[name], 6)))
    elif isinstance(piece, Plate | Folded) and not lies:
        plate_beams(made, piece, places)
    else:
        rigid = [made.node(piece.name, at) for _, at in places]
        for (name, _), node in zip(places, rigid, strict=True):
            made.node_of[(name, piece.name)] = node
            made.tie(rigid[0], node)


def _join(made: PartFrame, spots: Spots, joint: Joint, held: Support) -> None:
    if joint.kind == "bolts":
        for seat in joint.seats:
            made.supports[made.node_of[(seat.name, joint.other(GROUND))]] = held
        return
    for name, at in spots[joint.name]:
        ends = []
        for body in (joint.a, joint.b):
            if (name, body) in made.node_of:
                ends.append(made.node_of[(name, body)])
            elif body != GROUND:
                ends.append(made.node(body, at))
                made.node_of[(name, body)] = ends[-1]
        if len(ends) == 2:
            made.tie(*ends)
        elif ends:
            made.supports[ends[0]] = PIN if joint.kind == "pin" else CLAMPED


def _bush(made: PartFrame, graph: PartGraph, seat_name: str) -> None:
    seat = graph.part.seat(seat_name)
    loads = [load for load in graph.loads if load.seat == seat_name]
    if len(loads) == 1:
        body = loads[0].body
        ways = [(seat_name, body), *((joint.name, body) for joint in graph.joints_of(body))]
        made.node_of[(seat_name, "")] = next(made.node_of[way] for way in ways if way in made.node_of)
        return
    centre = made.node(f"bush {seat_name}", np.array(seat.place.at))
    made.node_of[(seat_name, "")] = centre
    name = next((bore.bolt for bore in pivots(graph.part, seat) if bore.bolt), None)
    bar = stiff(20.0) if name is None else round_section(bolt(name).d, bolt(name).d / 2)
    for load in loads:
        made.member(f"bush {seat_name}", centre, made.node_of[(seat_name, load.body)], bar)
