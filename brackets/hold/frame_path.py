"""Loads of a part to what holds it by a frame in space, where free bodies do not settle it. N, N mm, mm."""

from __future__ import annotations

import numpy as np

from brackets.hold.check import Array
from brackets.hold.found import Found
from brackets.hold.frame import Frame
from brackets.hold.load_path import Flow, IndeterminateError, LoadPath
from brackets.hold.part_frame import ASSUMED, part_frame
from brackets.hold.part_graph import GROUND, PartGraph
from brackets.hold.part_nodes import PartFrame

BY_FRAME = "held at several places: forces by a frame in space, {joints} where it is held; " + ASSUMED


def frame_path(graph: PartGraph, found: Found) -> LoadPath:
    """The flows by a frame. Raises InputError where the frame moves, or its forces do not settle every joint."""
    made = part_frame(graph, found, bush_bolts=False)
    frame = Frame(made.nodes, made.members, made.supports)
    loads: dict[str, Array] = {}
    for load in graph.acting:
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
