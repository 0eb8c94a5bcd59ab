"""A part as a frame in space: what each joint carries where free bodies do not say, and stiffness at its seats.

N, N mm, mm. Tubes are beams on their centre lines; plates are flat beams from place to place, as wide as the metal
half way, at most as wide as they are long (45 degrees either side, common practice, no source); cups, bungs, a
plate that lies on what it stands on and what bridges from a centre line to a weld are stiff; a bush bolt is a bar
between its ears. Bolts and what a part stands on hold still, turning too or not, as stated.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from brackets.core.errors import InputError
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.material_rows import material
from brackets.geometry.regions import Region
from brackets.hold.check import Array
from brackets.hold.folded_sections import spine_way, strips_across
from brackets.hold.found import Found
from brackets.hold.frame import CLAMPED, PIN, Frame, Support
from brackets.hold.frame_members import BeamSection, Member, flat_section, round_section
from brackets.hold.held import SeatStiffness, vec
from brackets.hold.load_path import Flow, IndeterminateError, LoadPath
from brackets.hold.part_graph import GROUND, Joint, PartGraph, pivots
from brackets.hold.part_walls import PlacedWall, wall_at, walls_of
from brackets.hold.plate_lines import intervals
from brackets.hold.tube_spine import spine_of
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube

SAME = 1e-6
"""mm within which two nodes of a body are one."""
BRIDGED = 1.0
"""mm within which nodes of two bodies that are joined are one: a shorter stiff link would drown all else."""
STIFFEST = 1e11
"""N/mm, of a link that hardly gives: a short one would else drown all that gives in rounding."""


def stiff(long: float) -> BeamSection:
    """Section of a link that hardly gives, some hundred times a tube of the trade."""
    i = min(2e7, STIFFEST * long**3 / (12 * 210000.0))
    area = min(2e4, STIFFEST * long / 210000.0)
    return BeamSection(area=area, iy=i, iz=i, torsion=i, e=210000.0, g=80769.0)


ASSUMED = (
    "tubes are beams on their centre lines, plates flat beams as wide as the metal half way and no wider than long,"
    " cups and bungs stiff; bolts and what it stands on hold still"
)
BY_FRAME = "held at several places: forces by a frame in space, {joints} where it is held; " + ASSUMED


@dataclass(eq=False)
class PartFrame:
    """Nodes, members and supports as they are gathered; `node_of`: by (joint or seat, body)."""

    nodes: dict[str, Array] = field(default_factory=dict)
    members: list[Member] = field(default_factory=list)
    owner: dict[str, str] = field(default_factory=dict)
    supports: dict[str, Support] = field(default_factory=dict)
    node_of: dict[tuple[str, str], str] = field(default_factory=dict)
    same: dict[str, str] = field(default_factory=dict)

    def node(self, body: str, at: Array) -> str:
        """The node of a body at a point, made where there is none."""
        for name, there in self.nodes.items():
            if name.startswith(f"{body}:") and np.linalg.norm(there - at) < SAME:
                return name
        name = f"{body}:{sum(one.startswith(f'{body}:') for one in self.nodes)}"
        self.nodes[name] = at
        return name

    def member(self, body: str, start: str, end: str, section: BeamSection, up: Array | None = None) -> None:
        if start == end or np.linalg.norm(self.nodes[start] - self.nodes[end]) < SAME:
            return
        name = f"{body}#{len(self.members)}"
        way = None if up is None else vec(up)
        self.members.append(Member(name=name, start=start, end=end, section=section, up=way))
        self.owner[name] = body

    def tie(self, a: str, b: str) -> None:
        """Two nodes as one rigid thing: one node where they lie near one another, else a stiff link."""
        far = float(np.linalg.norm(self.nodes[a] - self.nodes[b]))
        if a != b and far < BRIDGED:
            self.same[b] = a
        elif a != b:
            self.member("", a, b, stiff(far))


def part_frame(graph: PartGraph, found: Found, *, bush_bolts: bool) -> PartFrame:
    """The frame of a part; bush_bolts: whether ears are tied by their bolt, with a node at the bush's centre."""
    made = PartFrame()
    held = CLAMPED if found.settings.joints == "rigid" else PIN
    reached = graph.reached()
    for piece in graph.part.pieces:
        if piece.name in reached:
            _body(made, graph, piece)
    for joint in graph.joints:
        if not {joint.a, joint.b} & reached:
            continue
        _join(made, graph, joint, held)
    pieces = {piece.name for piece in graph.part.pieces}
    for body in graph.bodies:
        if body not in pieces and body in reached:
            rigid = [name for name in made.nodes if name.startswith(f"{body}:")]
            for node in rigid[1:]:
                made.tie(rigid[0], node)
    if bush_bolts:
        for seat in dict.fromkeys(load.seat for load in graph.loads):
            _bush(made, graph, seat)
    return _merged(made)


def _places(graph: PartGraph, body: str) -> Iterator[tuple[str, Array]]:
    """Where something acts on a body: by joint, bolt by bolt, and by loaded seat; loads first."""
    for load in graph.loads:
        if load.body == body:
            yield load.seat, load.at
    for joint in graph.joints_of(body):
        if joint.kind == "bolts":
            for seat in joint.seats:
                yield seat.name, np.array(seat.place.at)
        else:
            yield from _spots(graph, joint)


def _spots(graph: PartGraph, joint: Joint) -> list[tuple[str, Array]]:
    """Where a joint acts: its centre, or one place for each wall of a folded piece that it is welded along."""
    ends = (joint.a, joint.b)
    folded = [piece for piece in graph.part.pieces if isinstance(piece, Folded) and piece.name in ends]
    if not folded or not joint.edges:
        return [(joint.name, joint.at)]
    by: dict[int, list[Array]] = {}
    for edge in joint.edges:
        for line in edge.lines:
            middle = (line.start + line.end) / 2
            by.setdefault(wall_at(folded[0], middle).number, []).append(middle)
    if len(by) == 1:
        return [(joint.name, joint.at)]
    return [(f"{joint.name}@{number}", np.mean(points, axis=0)) for number, points in by.items()]


def _body(made: PartFrame, graph: PartGraph, piece: Piece) -> None:
    places = list(_places(graph, piece.name))
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
        _plate(made, piece, places)
    else:
        rigid = [made.node(piece.name, at) for _, at in places]
        for (name, _), node in zip(places, rigid, strict=True):
            made.node_of[(name, piece.name)] = node
            made.tie(rigid[0], node)


def _plate(made: PartFrame, piece: Plate | Folded, places: Sequence[tuple[str, Array]]) -> None:
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
            if not any(n in by_wall for n in _under(piece, i)):
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


def _under(piece: Folded, number: int) -> Iterator[int]:
    yield number
    for i, flange in enumerate(piece.flanges, 1):
        if flange.parent == number:
            yield from _under(piece, i)


def _width(wall: PlacedWall, a: tuple[float, float], b: tuple[float, float]) -> float:
    """mm of metal across half way between two places, no wider than they are apart."""
    far = math.dist(a, b)
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    way = ((b[1] - a[1]) / far, (a[0] - b[0]) / far)
    region = Region(wall.wall.outline, tuple(opening.outline for opening in wall.wall.openings))
    runs = intervals(region, middle, way)
    metal = sum(max(0.0, min(high, far / 2) - max(low, -far / 2)) for low, high in runs)
    return metal or wall.t


def _join(made: PartFrame, graph: PartGraph, joint: Joint, held: Support) -> None:
    if joint.kind == "bolts":
        for seat in joint.seats:
            made.supports[made.node_of[(seat.name, joint.other(GROUND))]] = held
        return
    for name, at in _spots(graph, joint):
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


def _merged(made: PartFrame) -> PartFrame:
    """Nodes that lie on one another and belong together made one."""

    def real(node: str) -> str:
        seen = {node}
        while node in made.same and made.same[node] not in seen:
            node = made.same[node]
            seen.add(node)
        return node

    made.members = [
        Member(name=m.name, start=real(m.start), end=real(m.end), section=m.section, up=m.up)
        for m in made.members
        if real(m.start) != real(m.end)
    ]
    made.supports = {real(node): support for node, support in made.supports.items()}
    made.node_of = {key: real(node) for key, node in made.node_of.items()}
    used = {end for m in made.members for end in (m.start, m.end)}
    made.nodes = {name: at for name, at in made.nodes.items() if name in used}
    return made


def frame_path(graph: PartGraph, found: Found) -> LoadPath:
    """The flows by a frame. Raises InputError where the frame moves, or its forces do not settle every joint."""
    made = part_frame(graph, found, bush_bolts=False)
    frame = Frame(made.nodes, made.members, made.supports)
    loads: dict[str, Array] = {}
    for load in graph.loads:
        node = made.node_of[(load.seat, load.body)]
        force = load.wrench[:, :3]
        here = np.concatenate([force, load.wrench[:, 3:] - np.cross(made.nodes[node], force)], axis=1)
        loads[node] = loads.get(node, 0.0) + here
    solved = frame.solve(loads)
    into: dict[tuple[str, str], Array] = {}
    for member in made.members:
        axes = member.axes(made.nodes[member.start], made.nodes[member.end])
        for i, node in enumerate((member.start, member.end)):
            ends = solved.ends[member.name][:, i]
            force, moment = ends[:, :3] @ axes, ends[:, 3:] @ axes
            row = np.concatenate([force, moment + np.cross(made.nodes[node], force)], axis=1)
            key = (made.owner[member.name], node)
            into[key] = into.get(key, 0.0) + row
    path = LoadPath(graph, by_frame=True)
    path.notes[BY_FRAME.format(joints=found.settings.joints)] = None
    for joint in graph.joints:
        if GROUND in (joint.a, joint.b):
            body = joint.other(GROUND)
            wrench = np.zeros((len(found.cases), 6))
            for place in [seat.name for seat in joint.seats] if joint.kind == "bolts" else [joint.name]:
                node = made.node_of[(place, body)]
                given = solved.reactions[node]
                force = given[:, :3]
                wrench -= np.concatenate([force, given[:, 3:] + np.cross(made.nodes[node], force)], axis=1)
            path.flows[joint.name] = Flow(joint, body, wrench)
    _by_members(path, made, into)
    _by_balance(path)
    return path


def _by_members(path: LoadPath, made: PartFrame, into: dict[tuple[str, str], Array]) -> None:
    """A joint that alone acts on a body at a node gives what the body's own members take there."""
    for joint in path.graph.joints:
        if joint.name in path.flows:
            continue
        for body in (joint.a, joint.b):
            node = made.node_of.get((joint.name, body))
            alone = [key for key, where in made.node_of.items() if where == node and key[1] == body]
            if node is None or len(alone) != 1 or (body, node) not in into:
                continue
            path.flows[joint.name] = Flow(joint, body, -into[(body, node)])
            break


def _by_balance(path: LoadPath) -> None:
    """What is left: a body with a single joint that is not settled."""
    changed = True
    while changed:
        changed = False
        for body in path.graph.bodies:
            open_ = [joint for joint in path.graph.joints_of(body) if joint.name not in path.flows]
            if len(open_) == 1:
                path.flows[open_[0].name] = Flow(open_[0], body, path.residual(body))
                changed = True
    lost = [joint.name for joint in path.graph.joints if joint.name not in path.flows]
    if lost:
        raise IndeterminateError(f"joints = {', '.join(lost)}, must be settled by the frame: several supports")


def stiffness_at(graph: PartGraph, found: Found) -> tuple[SeatStiffness, ...]:
    """Stiffness at every loaded seat; what no frame can be made of is refused."""
    seats = list(dict.fromkeys(load.seat for load in graph.loads))
    if not any(GROUND in (joint.a, joint.b) and joint.kind != "pin" for joint in graph.joints):
        found.refuse(f"stiffness of {graph.part.name}", "supports, must keep it from turning: held by bushes alone")
        return ()
    try:
        made = part_frame(graph, found, bush_bolts=True)
        frame = Frame(made.nodes, made.members, made.supports)
        return tuple(_at_seat(frame, made, seat) for seat in seats)
    except InputError as error:
        found.refuse(f"stiffness of {graph.part.name}", *error.problems)
        return ()


def _at_seat(frame: Frame, made: PartFrame, seat: str) -> SeatStiffness:
    give = frame.flexibility(made.node_of[(seat, "")])[:3, :3]
    soft, ways = np.linalg.eigh(give)
    x, y, z = (1 / float(give[i, i]) for i in range(3))
    return SeatStiffness(
        seat=seat, along=(x, y, z), least=1 / float(soft[-1]), least_way=vec(ways[:, -1]), assumed=(ASSUMED,)
    )
