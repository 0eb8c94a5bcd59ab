"""What a bolt passes through: holes of a part, then boxes, rails, tubes and sheets one behind the other. mm.

A box, a rail or a tube counts from where the bolt's line enters its outside to where it leaves it, hollow or not. A
mesh or a STEP file has no depth here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from brackets.bay.hung.block import Block, block_of
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.record import Bay
from brackets.core.place import HERE, Place
from brackets.core.tables.bolt_rows import Bolt
from brackets.core.vectors import Vec, add, dot, length, scale, sub, unit
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.tube import Tube, Turned
from brackets.rules.joints import ROOMY, bores

PARALLEL = 1e-3
"""Sine of the angle between a bolt and a hole that it goes through."""
PULLED = 1.0
"""Gap between two layers, or between a part and the first, that a bolt pulls in, mm: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Layer:
    """A keep-out that a bolt passes through: from `low` to `high` mm along it, and how far the bolt's middle is
    from the nearest edge of the face it goes through (less than nothing: past it); `hollow`: whether there is room
    between its walls."""

    name: str
    low: float
    high: float
    edge: float
    hollow: bool

    @property
    def t(self) -> float:
        return self.high - self.low


def layers(bay: Bay, names: AbstractSet[str], at: Vec, way: Vec) -> tuple[Layer, ...]:
    """The keep-outs among `names` that the line from `at` along `way` passes, one behind the other without a gap
    that a bolt does not pull in; those after a gap are left out."""
    found: list[Layer] = []
    for layer in sorted(met(bay, names, at, way), key=lambda one: (one.low, one.high)):
        end = max((one.high for one in found), default=0.0)
        if layer.edge >= 0 and abs(layer.low - end) <= PULLED:
            found.append(layer)
    return tuple(found)


def met(bay: Bay, names: AbstractSet[str], at: Vec, way: Vec) -> Iterator[Layer]:
    """Each of those keep-outs that has a depth, whether the line passes it or by it."""
    for keep_out in bay.keep_outs:
        if keep_out.name in names:
            stand = place_of(bay.powertrain) if keep_out.side == "powertrain" else HERE
            layer = _layer(keep_out, stand, at, unit(way))
            if layer is not None:
                yield layer


def depth_at(bay: Bay, names: AbstractSet[str], at: Vec, way: Vec) -> float | None:
    """How deep the keep-outs among `names` are together along the line, mm, from where the first begins; None where
    it passes none."""
    there = [layer for layer in met(bay, names, at, way) if layer.edge >= 0 and layer.high > 0]
    if not there:
        return None
    start = add(at, scale(way, min(layer.low for layer in there)))
    return max(layer.high for layer in layers(bay, names, start, way))


def _layer(keep_out: KeepOut, stand: Place, at: Vec, way: Vec) -> Layer | None:
    block = block_of(keep_out)
    if block is not None:
        return _of_block(keep_out.name, block, stand @ block.place, at, way)
    if keep_out.tube_from is not None and keep_out.tube_to is not None and keep_out.tube_od is not None:
        return _of_tube(keep_out, stand.point(keep_out.tube_from), stand.point(keep_out.tube_to), at, way)
    return None


def _of_block(name: str, block: Block, own: Place, at: Vec, way: Vec) -> Layer:
    """Through the two faces that are most nearly square to the bolt; a rounded corner is past the edge."""
    start, along = own.local(at), own.local_direction(way)
    low, high, hollow = block.low, block.high, block.wall is not None
    i = max(range(3), key=lambda n: abs(along[n]))
    if i == 0 and block.opens:
        (a, b), hollow = block.web, False
        low, high = (a, *low[1:]), (b, *high[1:])
    first, last = sorted(((low[i] - start[i]) / along[i], (high[i] - start[i]) / along[i]))
    edge = math.inf
    for far in (first, last):
        for n in {0, 1, 2} - {i}:
            c = start[n] + far * along[n]
            edge = min(edge, min(c - low[n], high[n] - c) - block.rounded(n))
    return Layer(name=name, low=first, high=last, edge=edge, hollow=hollow)


def _of_tube(keep_out: KeepOut, start: Vec, end: Vec, at: Vec, way: Vec) -> Layer | None:
    """Across it; None along it."""
    axis = unit(sub(end, start))
    off = sub(at, start)
    across, beside = (sub(v, scale(axis, dot(v, axis))) for v in (way, off))
    square = dot(across, across)
    if square < 1e-6:
        return None
    middle = -dot(beside, across) / square
    passes = length(add(beside, scale(across, middle)))
    r = (keep_out.tube_od or 0.0) / 2
    half = math.sqrt(max(0.0, r * r - passes * passes) / square)
    along = dot(off, axis) + middle * dot(way, axis)
    edge = min(r - passes, along, length(sub(end, start)) - along)
    hollow = keep_out.tube_wall is not None
    return Layer(name=keep_out.name, low=middle - half, high=middle + half, edge=edge, hollow=hollow)


@dataclass(frozen=True)
class HoleOn:
    """A hole of the part that a bolt goes through: from `low` to `high` mm along it, and the piece it is in; of a
    slot one end, `at`, and the way to the other, `slide`, in the frame of the bolt's seat."""

    low: float
    high: float
    piece: Piece
    slide: Vec = (0.0, 0.0, 0.0)
    at: Vec = (0.0, 0.0, 0.0)

    @property
    def is_tube(self) -> bool:
        return isinstance(self.piece, Tube | Turned)


def holes_on(part: Part, place: Place, row: Bolt) -> Iterator[HoleOn]:
    """The holes of a part that a bolt goes through; `place`: the bolt's, z along it."""
    for piece in part.pieces:
        for bore in bores(piece):
            a, b = place.local(bore.a), place.local(bore.b)
            along = sub(b, a)
            slide = place.local_direction(bore.slide)
            play = max(0.0, bore.d - row.d) / 2
            near = _off_axis(a, slide) <= play + 1e-6
            parallel = abs(along[2]) >= (1 - PARALLEL) * length(along)
            if row.d <= bore.d <= ROOMY * row.d and near and parallel:
                yield HoleOn(min(a[2], b[2]), max(a[2], b[2]), piece, slide, a)


def _off_axis(p: Vec, slide: Vec) -> float:
    """mm from the z axis to the nearest place between `p` and `p` + `slide`, seen along it."""
    long = slide[0] ** 2 + slide[1] ** 2
    share = min(1.0, max(0.0, -(p[0] * slide[0] + p[1] * slide[1]) / long)) if long else 0.0
    return math.hypot(p[0] + share * slide[0], p[1] + share * slide[1])
