"""A frame in space of straight beams: movements, forces at the ends of members, reactions, stiffness at a node.

N, N mm, mm, radians. Linear: small movements, no buckling, nothing between nodes (put a node where a load is).
Beams are Euler and Bernoulli's, or Timoshenko's where a section has its shear areas. Dense, for some hundred nodes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.core.errors import InputError, OutOfRange
from brackets.hold.check import Array
from brackets.hold.frame_members import Member

WORDS = ("x", "y", "z", "turn about x", "turn about y", "turn about z")
LOOSE = 1e-11
"""Of the largest stiffness, after scaling: what has less is held by nothing; rounding leaves some 1e-15 of it."""


@dataclass(frozen=True)
class Support:
    """How a node is held along x, y, z of the bay and against turning about them: N/mm and N mm/rad.

    Infinite holds it still, 0 leaves it free, between is a spring.
    """

    x: float = 0.0
    y: float = 0.0
    z: float = 0.0
    turn_x: float = 0.0
    turn_y: float = 0.0
    turn_z: float = 0.0

    @property
    def stiffness(self) -> tuple[float, ...]:
        return (self.x, self.y, self.z, self.turn_x, self.turn_y, self.turn_z)


CLAMPED = Support(*[np.inf] * 6)
"""Held in every direction and against every turn."""
PIN = Support(*[np.inf] * 3)
"""Held in every direction, free to turn."""


@dataclass(frozen=True, kw_only=True, eq=False)
class FrameResult:
    """What a frame does under its loads; with several cases at once each array has a case a row in front.

    moved: by node (6,), mm and radians; reactions: by held node (6,), what its support gives it; ends: by member
    (2, 6), forces and moments on its start and on its end in its own axes; balance: the most that is left over at
    any node, as a part of the largest load.
    """

    moved: Mapping[str, Array]
    reactions: Mapping[str, Array]
    ends: Mapping[str, Array]
    balance: float


class Frame:
    """Nodes, members and supports, whole and held; `solve` gives what loads do to it.

    >>> bar = Member(name="arm", start="wall", end="tip", section=round_section(38.1, 3.2))
    >>> frame = Frame({"wall": (0, 0, 0), "tip": (300, 0, 0)}, [bar], {"wall": CLAMPED})
    >>> found = frame.solve({"tip": (0, 0, -500, 0, 0, 0)})
    >>> round(float(found.moved["tip"][2]), 4), [round(float(part)) for part in found.reactions["wall"]]
    (-0.3978, [0, 0, 500, 0, -150000, 0])
    """

    def __init__(
        self,
        nodes: Mapping[str, Sequence[float] | Array],
        members: Sequence[Member],
        supports: Mapping[str, Support],
    ) -> None:
        """nodes: (3,) mm by name; members: between them; supports: by node.

        Raises InputError with everything that is wrong.
        """
        self.nodes = {name: np.asarray(at, dtype=np.float64) for name, at in nodes.items()}
        self.members, self.supports = tuple(members), dict(supports)
        wrong = list(self._problems())
        if wrong:
            raise InputError(*wrong)
        self._row = {name: 6 * i for i, name in enumerate(self.nodes)}
        self._local = {}
        size = 6 * len(self.nodes)
        k = np.zeros((size, size))
        for member in self.members:
            start, end = self.nodes[member.start], self.nodes[member.end]
            turn = np.kron(np.eye(4), member.axes(start, end))
            own = member.stiffness(float(np.linalg.norm(end - start)))
            places = self._places(member)
            k[np.ix_(places, places)] += turn.T @ own @ turn
            self._local[member.name] = (turn, own, places)
        held = np.zeros(size, dtype=np.bool_)
        self._springs = np.zeros(size)
        for name, support in self.supports.items():
            for i, stiffness in enumerate(support.stiffness):
                held[self._row[name] + i] = np.isinf(stiffness)
                self._springs[self._row[name] + i] = 0.0 if np.isinf(stiffness) else stiffness
        self._free = np.flatnonzero(~held)
        k[np.diag_indices(size)] += self._springs
        self._idle = self._idle_turns(k)
        self._k = k
        self._factor()

    def _problems(self) -> Iterator[str]:
        bad = {name for name, at in self.nodes.items() if at.shape != (3,) or not np.isfinite(at).all()}
        for name in bad:
            yield f"node {name} = {self.nodes[name].tolist()}, must be three finite numbers, mm: node of a frame"
        names = [member.name for member in self.members]
        twice = [name for name in dict.fromkeys(names) if names.count(name) > 1]
        yield from (f"member = {name}, must be named once: member of a frame" for name in twice)
        if not self.members:
            yield "members = none, must be one or more: frame"
        for member in self.members:
            yield from member.problems()
            lost = [end for end in (member.start, member.end) if end not in self.nodes]
            known = ", ".join(self.nodes)
            yield from (f"node = {end}, must be one of {known}: end of member {member.name}" for end in lost)
            if lost or {member.start, member.end} & bad:
                continue
            if not np.linalg.norm(self.nodes[member.end] - self.nodes[member.start]) > 0:
                yield f"length = 0 mm, must be over 0 mm: member {member.name}"
        for name, support in self.supports.items():
            if name not in self.nodes:
                yield f"node = {name}, must be one of {', '.join(self.nodes)}: support"
            if not all(stiffness >= 0 for stiffness in support.stiffness):
                yield f"support of {name} = {support.stiffness}, each must be 0 or more, N/mm and N mm/rad: support"

    def _places(self, member: Member) -> list[int]:
        return [self._row[end] + i for end in (member.start, member.end) for i in range(6)]

    def _idle_turns(self, k: Array) -> list[tuple[str, Array]]:
        """Turns of single nodes that no member and no support feels, held so that the rest can be solved.

        Where every member at a node is hinged, the node itself may turn: that moves nothing else.
        """
        found = []
        for name, row in self._row.items():
            turns = [i for i in range(row + 3, row + 6) if i in self._free]
            if not turns:
                continue
            block = k[np.ix_(turns, turns)]
            size = float(max(np.abs(np.diag(k)[row : row + 3]).max(), 1e-300)) * self._size() ** 2
            bend, axes = np.linalg.eigh(block)
            for stiffness, axis in zip(bend, axes.T, strict=True):
                if stiffness <= LOOSE * size:
                    direction = np.zeros(len(self._springs))
                    direction[turns] = axis
                    k += size * np.outer(direction, direction)
                    found.append((name, direction))
        return found

    def _size(self) -> float:
        """mm, middle length of the members: what makes a turn comparable with a movement."""
        return float(
            np.mean([np.linalg.norm(self.nodes[m.end] - self.nodes[m.start]) for m in self.members])
        )

    def _factor(self) -> None:
        """Refuses a mechanism; the rest is solved by scaled eigenvectors, which rounding hurts least."""
        if not len(self._free):
            raise InputError("supports = all, one node at least must be free in some direction: frame")
        inside = self._k[np.ix_(self._free, self._free)]
        self._scale = 1 / np.sqrt(np.maximum(np.diag(inside), 1e-300))
        bend, axes = np.linalg.eigh(inside * np.outer(self._scale, self._scale))
        if bend[0] <= LOOSE * bend[-1]:
            way = axes[:, 0] * self._scale
            size = np.where(self._free % 6 < 3, 1.0, self._size())
            worst = int(self._free[np.argmax(np.abs(way * size))])
            node = list(self.nodes)[worst // 6]
            raise InputError(
                f"frame moves freely at node {node} ({WORDS[worst % 6]}), must be held: a support, a member or a"
                " rigid joint is missing"
            )
        self._bend, self._axes = bend, axes

    def _solved(self, load: Array) -> Array:
        """Movements (..., free) for forces on the free directions; refined until rounding is all that is left."""
        inside = self._k[np.ix_(self._free, self._free)]

        def once(force: Array) -> Array:
            return np.asarray(((force * self._scale) @ self._axes / self._bend) @ self._axes.T * self._scale)

        moved = once(load)
        for _ in range(3):
            moved = moved + once(load - moved @ inside)
        return moved

    def solve(self, loads: Mapping[str, Any]) -> FrameResult:
        """What the loads do.

        loads: by node (6,), force N along and moment N mm about x, y, z of the bay, or a case a row.
        Raises InputError with everything that is wrong: an unknown node, a moment on a joint that nothing holds.
        """
        read = self._loads(loads)
        moved = np.zeros_like(read)
        moved[..., self._free] = self._solved(read[..., self._free])
        given = np.zeros_like(read)
        ends = {}
        for name, (turn, own, places) in self._local.items():
            force = (moved[..., places] @ turn.T) @ own
            given[..., places] += force @ turn
            ends[name] = force.reshape(*force.shape[:-1], 2, 6)
        held = np.setdiff1d(np.arange(read.shape[-1]), self._free)
        reaction = -self._springs * moved
        reaction[..., held] = (given - read)[..., held]
        size = np.where(np.arange(read.shape[-1]) % 6 < 3, 1.0, self._size())
        left = np.abs(given - read - reaction) / size
        most = float((np.abs(read) / size).max())
        return FrameResult(
            moved={name: moved[..., row : row + 6] for name, row in self._row.items()},
            reactions={name: reaction[..., self._row[name] : self._row[name] + 6] for name in self.supports},
            ends=ends,
            balance=float(left.max()) / most if most else 0.0,
        )

    def _loads(self, loads: Mapping[str, Any]) -> Array:
        wrong, read = [], {}
        for name, load in loads.items():
            if name not in self.nodes:
                wrong.append(f"node = {name}, must be one of {', '.join(self.nodes)}: load")
                continue
            read[name] = np.asarray(load, dtype=np.float64)
            if read[name].shape[-1:] != (6,) or not np.isfinite(read[name]).all():
                wrong.append(f"load of {name} = {load}, must be six finite numbers, N and N mm: load")
        if wrong:
            raise InputError(*wrong)
        shape = np.broadcast_shapes(*(load.shape[:-1] for load in read.values())) if read else ()
        every = np.zeros((*shape, len(self._springs)))
        for name, load in read.items():
            every[..., self._row[name] : self._row[name] + 6] = load
        for name, direction in self._idle:
            moment = np.abs(every @ direction)
            if (moment > 1e-9 * np.abs(every).max()).any():
                raise OutOfRange(f"load of {name}, must be no moment about a joint that turns freely there: load")
        return every

    def flexibility(self, node: str) -> Array:
        """(6, 6) mm and radians at a node for 1 N and 1 N mm there, the rest of the frame as it is held."""
        row = self._row.get(node)
        if row is None:
            raise InputError(f"node = {node}, must be one of {', '.join(self.nodes)}: node of a frame")
        unit = np.zeros((6, len(self._springs)))
        unit[np.arange(6), np.arange(row, row + 6)] = 1.0
        moved = np.zeros_like(unit)
        moved[:, self._free] = self._solved(unit[:, self._free])
        found = moved[:, row : row + 6]
        return np.asarray((found + found.T) / 2)

    def stiffness_at(self, node: str) -> Array:
        """(3, 3) N/mm: the force at a node that moves it by 1 mm along each axis while it turns as it likes.

        Raises OutOfRange where its support holds it still in some direction.
        """
        give = self.flexibility(node)[:3, :3]
        if np.linalg.eigvalsh(give)[0] <= LOOSE * np.abs(give).max():
            raise OutOfRange(f"node = {node}, must be free to move in every direction: stiffness of a frame")
        return np.asarray(np.linalg.inv(give))
