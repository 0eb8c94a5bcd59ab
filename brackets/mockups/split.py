"""A body cut to go on the bed: flat joints where pins find most room, sockets in both halves.

mm, in the part's frame. What is left on either side of a cut may be several bodies; each is a half of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold

from brackets.core.errors import InputError
from brackets.forming.printer_3d import Printer3D
from brackets.mockups.joints import COARSE, ROUNDING, Array, Joint, joint_at, socket

PLACES = 9
"""Places of a cut that are tried within what the bed allows."""

MOST_CUTS = 40


@dataclass(frozen=True, eq=False, kw_only=True)
class Half:
    """One body to be printed, and the joints it has a side of: letter and 1 on the low side, 2 on the high."""

    solid: Manifold
    sides: tuple[tuple[Joint, int], ...] = ()

    @property
    def marks(self) -> tuple[str, ...]:
        """What it is marked beside its joints: A1, B2."""
        return tuple(f"{joint.name}{side}" for joint, side in self.sides)


@dataclass(frozen=True, eq=False, kw_only=True)
class Split:
    """A body in halves."""

    halves: tuple[Half, ...]
    joints: tuple[Joint, ...]


def split(body: Manifold, turn: Array, printer: Printer3D, *, name: str = "") -> Split:
    """The body cut until every half goes on the bed as it lies; one half where it does anyway.

    body: in the part's frame; turn: how it lies; printer: its bed, nozzle and the room round a pin. Raises
    InputError where more than MOST_CUTS cuts would be needed.
    """
    room = tuple(r / s for r, s in zip(printer.room, printer.scale, strict=True))
    waiting, done, joints = [Half(solid=body)], [], list[Joint]()
    while waiting:
        half = waiting.pop()
        axis = _too_long(half.solid, turn, room)
        if axis is None:
            done.append(half)
            continue
        if len(joints) >= MOST_CUTS:
            size = " x ".join(f"{r:.0f}" for r in room)
            raise InputError(f"bed = {size} mm, must be larger: {name} wants over {MOST_CUTS} cuts")
        joint, parts = _cut(body, half, turn, axis, room[axis], printer, _letter(len(joints)))
        joints.append(joint)
        waiting += reversed(parts)
    return Split(halves=tuple(done), joints=tuple(joints))


def _letter(number: int) -> str:
    """A to Z, then AA, AB."""
    first, last = divmod(number, 26)
    return (chr(64 + first) if first else "") + chr(65 + last)


def _too_long(body: Manifold, turn: Array, room: Sequence[float]) -> int | None:
    """The bed's axis along which it is longest over its room."""
    over = [size - most for size, most in zip(_size(body, turn), room, strict=True)]
    worst = int(np.argmax(over))
    return worst if over[worst] > ROUNDING else None


def _size(body: Manifold, turn: Array) -> list[float]:
    box = body.transform(np.column_stack((turn, np.zeros(3)))).bounding_box()
    return [box[i + 3] - box[i] for i in range(3)]


def _cut(
    whole: Manifold, half: Half, turn: Array, axis: int, room: float, printer: Printer3D, name: str
) -> tuple[Joint, list[Half]]:
    order = [(axis + 1) % 3, (axis + 2) % 3, axis]
    frame = turn[order]  # the rows: x and y across the cut, z through it
    standing = half.solid.simplify(COARSE).transform(np.column_stack((frame, np.zeros(3))))
    low, high = standing.bounding_box()[2], standing.bounding_box()[5]
    count = math.ceil((high - low) / room - 1e-9)
    first, last = high - room * (count - 1), low + room
    places = np.linspace(first, last, PLACES) if last - first > 1e-6 else np.array([(first + last) / 2])
    middle = (low + high) / 2 if count == 2 else (low + (high - low) / count)
    tried = [joint_at(whole, standing, float(z), frame, printer, name) for z in places]
    best = min(
        range(len(tried)),
        key=lambda i: (
            tried[i].bare,
            tried[i].single,
            len(tried[i].pins),
            round(abs(float(places[i]) - middle), 6),
        ),
    )
    joint = tried[best]
    solid = half.solid
    for pin in joint.pins:
        solid -= socket(pin)
    above, below = solid.split_by_plane(joint.normal, joint.offset)
    halves = [
        Half(solid=shell, sides=_kept((*half.sides, (joint, side)), shell))
        for side, part in ((1, below), (2, above))
        for shell in part.decompose()
        if shell.volume() > 0
    ]
    return joint, halves


def _kept(sides: tuple[tuple[Joint, int], ...], shell: Manifold) -> tuple[tuple[Joint, int], ...]:
    return tuple(side for side in sides if _reaches(shell, side[0]))


def _reaches(shell: Manifold, joint: Joint) -> bool:
    """Whether a body has metal at the plane of a joint."""
    points = np.array(shell.to_mesh64().vert_properties, dtype=float)[:, :3]
    return bool(np.abs(points @ np.array(joint.normal) - joint.offset).min() < 1e-4)
