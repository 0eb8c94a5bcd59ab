"""The nodes, members and supports of a part as a frame in space, as they are gathered. N, N mm, mm."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from brackets.hold.check import Array
from brackets.hold.frame import Support
from brackets.hold.frame_members import BeamSection, Member
from brackets.hold.held import vec

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


@dataclass(eq=False)
class PartFrame:
    """Nodes, members and supports as they are gathered; `node_of`: by (joint or seat, body)."""

    nodes: dict[str, Array] = field(default_factory=dict)
    members: list[Member] = field(default_factory=list)
    owner: dict[str, str] = field(default_factory=dict)
    supports: dict[str, Support] = field(default_factory=dict)
    node_of: dict[tuple[str, str], str] = field(default_factory=dict)
    same: dict[str, str] = field(default_factory=dict)
    by_body: dict[str, list[str]] = field(default_factory=dict)

    def node(self, body: str, at: Array) -> str:
        """The node of a body at a point, made where there is none."""
        here = self.by_body.setdefault(body, [])
        for name in here:
            if np.linalg.norm(self.nodes[name] - at) < SAME:
                return name
        name = f"{body}:{len(here)}"
        here.append(name)
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

    def merge(self) -> None:
        """Makes nodes one that lie on one another and belong together."""

        def real(node: str) -> str:
            seen = {node}
            while node in self.same and self.same[node] not in seen:
                node = self.same[node]
                seen.add(node)
            return node

        self.members = [
            Member(name=m.name, start=real(m.start), end=real(m.end), section=m.section, up=m.up)
            for m in self.members
            if real(m.start) != real(m.end)
        ]
        self.supports = {real(node): support for node, support in self.supports.items()}
        self.node_of = {key: real(node) for key, node in self.node_of.items()}
        used = {end for m in self.members for end in (m.start, m.end)}
        self.nodes = {name: at for name, at in self.nodes.items() if name in used}
