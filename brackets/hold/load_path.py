"""Loads of a part to what holds it: force and moment through every joint, by free bodies.

N, N mm, mm. From the supports outwards: what hangs behind a cut gives all of its load to the joints of the cut. One
joint carries it whole, whatever is stiff or soft. Welds of several pieces in one cut (a tube with its gussets)
carry it as one rigid group of lines; the welds between those pieces then carry what is left over of each. What that
does not settle is a frame: `frame_path`.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from brackets.core.errors import InputError
from brackets.hold.check import Array
from brackets.hold.part_graph import GROUND, Joint, PartGraph, at_point
from brackets.hold.weld_edges import shares

BALANCED = 1e-9
"""Of the largest load: what may be left over at a body by rounding."""
FREE = 1e-6
"""Of the largest load: under it a part that nothing holds is in balance by itself; forces come rounded."""
GROUPS = "pieces in one cut share its load as lines of weld of one rigid group"


class IndeterminateError(InputError):
    """Free bodies alone do not say what each joint carries."""


@dataclass(frozen=True, eq=False)
class Flow:
    """What `outer`, the body away from the support, gives through a joint to the other: (cases, 6)."""

    joint: Joint
    outer: str
    wrench: Array

    @property
    def inner(self) -> str:
        return self.joint.other(self.outer)

    def onto(self, body: str) -> Array:
        """(cases, 6) that the joint gives to one of its two bodies."""
        return -self.wrench if body == self.outer else self.wrench

    def reaches(self) -> tuple[Array, Array]:
        """Force and moment about the joint's centre, (cases, 3) each, of the outer body on the inner."""
        return at_point(self.wrench, self.joint.at)


@dataclass(eq=False)
class LoadPath:
    """Flows by the joint's name; notes: what was assumed; by_frame: whether a frame settled it."""

    graph: PartGraph
    flows: dict[str, Flow] = field(default_factory=dict)
    notes: dict[str, None] = field(default_factory=dict)
    by_frame: bool = False

    @property
    def size(self) -> float:
        """N: the largest load, moments over the part's size."""
        return _size(self.graph)

    def residual(self, body: str) -> Array:
        """(cases, 6) that acts on a body and that no joint takes yet."""
        left = self.graph.applied([body])
        for flow in self.flows.values():
            if body in (flow.joint.a, flow.joint.b):
                left = left + flow.onto(body)
        return left

    @property
    def balance(self) -> float:
        """The most that is left over at any body, moments over the part's size, of the largest load."""
        far = _far(self.graph)
        scale = np.array([1.0, 1.0, 1.0, far, far, far])
        left = [np.abs(self.residual(body) / scale).max() for body in self.graph.bodies]
        return float(max(left, default=0.0) / (self.size or 1.0))


def _far(graph: PartGraph) -> float:
    at = [joint.at for joint in graph.joints] + [load.at for load in graph.acting]
    return max(100.0, *(float(np.linalg.norm(one)) for one in at))


def _size(graph: PartGraph) -> float:
    far = _far(graph)
    rows = [np.abs(load.wrench / np.array([1, 1, 1, far, far, far])).max() for load in graph.acting]
    return float(max(rows, default=0.0))


def load_path(graph: PartGraph) -> LoadPath:
    """The flows by free bodies. Raises IndeterminateError where they do not settle it, InputError where nothing
    holds the part and its loads are not in balance, or a pin would have to hold a moment."""
    path = LoadPath(graph)
    supports = [joint for joint in graph.joints if GROUND in (joint.a, joint.b)]
    root = GROUND
    if not supports:
        root = _free_root(graph)
    _outward(path, {root}, set(graph.bodies) - {root})
    for joint in supports:
        if joint.kind == "pin" and joint.name in path.flows:
            _pin_free(path, path.flows[joint.name])
    if path.balance > (BALANCED if supports else FREE):
        raise IndeterminateError("path, must be one that free bodies settle: welds in a ring")
    return path


def _free_root(graph: PartGraph) -> str:
    total, far = graph.applied(graph.bodies), _far(graph)
    over = np.abs(total / np.array([1, 1, 1, far, far, far])).max(axis=1)
    if (over > FREE * _size(graph)).any():
        raise InputError(
            "supports = none, must be a boss, a bolt or a seat that is welded on (or name what holds it): nothing"
            f" in the record holds {graph.part.name}, and its loads are not in balance"
        )
    return graph.loads[0].body


def _pin_free(path: LoadPath, flow: Flow) -> None:
    force, moment = flow.reaches()
    most = np.abs(moment).max()
    if most > FREE * path.size * _far(path.graph):
        raise InputError(
            f"moment about {flow.joint.seats[0].name} = {most:.4g} N mm, must be 0: the bush that holds the part"
            " lets it turn; name a load in line, or what holds it"
        )


def _outward(path: LoadPath, held: set[str], rest: set[str]) -> None:
    """Settles the joints from `held` to what hangs on it, then further out."""
    graph = path.graph
    for comp in _components(graph, rest):
        crossing = [
            joint for joint in graph.joints
            if {joint.a, joint.b} & held and {joint.a, joint.b} & comp and joint.name not in path.flows
        ]  # fmt: skip
        if not crossing:
            if np.abs(graph.applied(comp)).max() > 0:
                loaded = ", ".join(dict.fromkeys(load.seat for load in graph.loads if load.body in comp))
                raise InputError(f"{loaded}, must be joined by welds to what holds the part")
            continue
        _cut(path, crossing, comp)
        layer = {joint.a for joint in crossing} | {joint.b for joint in crossing}
        layer &= comp
        _outward(path, layer, comp - layer)
        _within(path, layer)


def _components(graph: PartGraph, bodies: set[str]) -> list[set[str]]:
    left, found = set(bodies), []
    while left:
        comp = new = {min(left)}
        while new:
            comp = comp | new
            new = {j.other(body) for body in new for j in graph.joints if body in (j.a, j.b)} & left - comp
        left -= comp
        found.append(comp)
    return found


def _cut(path: LoadPath, crossing: list[Joint], comp: set[str]) -> None:
    total = path.graph.applied(comp)
    outer = [joint.a if joint.a in comp else joint.b for joint in crossing]
    if len(crossing) == 1:
        path.flows[crossing[0].name] = Flow(crossing[0], outer[0], total)
        return
    if not np.abs(total).max() > 0:
        for joint, body in zip(crossing, outer, strict=True):
            path.flows[joint.name] = Flow(joint, body, np.zeros_like(total))
        return
    if any(joint.kind != "weld" for joint in crossing):
        names = ", ".join(joint.name for joint in crossing)
        raise IndeterminateError(f"supports = {names}, must be one for free bodies: held at several places")
    welded = [(joint, body) for joint, body in zip(crossing, outer, strict=True) if joint.counts]
    if not welded:
        names = ", ".join(joint.name for joint in crossing)
        raise InputError(f"{names}, must have a run of 30 mm and 6 throats or more: EN 1993-1-8:2005 4.5.1(2)")
    for joint, body in zip(crossing, outer, strict=True):
        if not joint.counts:
            path.flows[joint.name] = Flow(joint, body, np.zeros_like(total))
            path.notes[f"{joint.name}: too short to carry load, not counted (EN 1993-1-8:2005 4.5.1(2))"] = None
    for (joint, body), share in zip(welded, shares([joint.group for joint, _ in welded], total), strict=True):
        path.flows[joint.name] = Flow(joint, body, share)
    path.notes[f"{GROUPS}: {', '.join(joint.name.removeprefix('weld ') for joint, _ in welded)}"] = None


def _within(path: LoadPath, layer: set[str]) -> None:
    """Settles joints between pieces of one layer, from those with a single one inwards."""
    open_ = [
        joint for joint in path.graph.joints if {joint.a, joint.b} <= layer and joint.name not in path.flows
    ]
    while open_:
        for joint in open_:
            ends = [b for b in (joint.a, joint.b) if sum(b in (other.a, other.b) for other in open_) == 1]
            if ends:
                small = min(ends, key=lambda body: len(path.graph.joints_of(body)))
                path.flows[joint.name] = Flow(joint, small, path.residual(small))
                open_.remove(joint)
                break
        else:
            return
