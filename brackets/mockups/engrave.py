"""Words sunk into a body: the largest letters that fit a face, off its edges, its holes and all that mates."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, Manifold, OpType
from numpy.typing import NDArray

from brackets.core.place import Place
from brackets.mockups.faces import Field, Flat, Mates, Near
from brackets.mockups.letters import LINE, height_for, lettering, size

DEPTH = 0.6
"""mm that words are sunk: three layers of 0.2, common practice, no source."""

HEIGHTS = (8.0, 7.0, 6.0, 5.0, 4.5, 4.0, 3.5, 3.0, 2.5, 2.2)
"""Heights of capitals that are tried, mm."""

FULL = 0.93
"""Part of their volume that words on a round face take out of the metal at least: bent, they are narrower."""

CELLS = 240
"""Cells that the longer side of a face is looked at with."""

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Block:
    """Lines that stand together, and where they belong where that is not anywhere."""

    lines: tuple[str, ...]
    near: Near | None = None


@dataclass(frozen=True)
class Written:
    """What was sunk: the `lines` of one block, and the height of its capitals, mm."""

    lines: tuple[str, ...]
    height: float


@dataclass(frozen=True, eq=False)
class Engraved:
    """The body with its words; `missing` are lines there was no room for."""

    solid: Manifold
    written: tuple[Written, ...]
    missing: tuple[str, ...]


def engraved(
    body: Manifold, blocks: Sequence[Block], fields: Sequence[Field], mates: Mates, nozzle: float
) -> Engraved:
    """The body with blocks of lines sunk into it, a block that finds no room in as few as do.

    body: mm; blocks: of writing, in the order that they take room; fields: faces that words may go on, the best
    first; mates: what they stay off; nozzle: mm, the least width of a stroke.
    """
    least = height_for(nozzle)
    heights = [h for h in HEIGHTS if h >= least] or [least]
    room = _Room(body, fields, mates)
    taken: dict[int, CrossSection] = {}
    written: list[Written] = []
    words: list[Manifold] = []
    missing: list[str] = []
    for block in blocks:
        best: _Try | None = None
        for lines in _parted(block.lines):
            tried = _placed(lines, block.near, room, dict(taken), heights)
            if best is None or len(tried.missing) < len(best.missing):
                best = tried
            if not tried.missing:
                break
        assert best is not None
        taken = best.taken
        written += best.written
        words += best.words
        missing += best.missing
    solid = body - Manifold.batch_boolean(words, OpType.Add) if words else body
    return Engraved(solid=solid, written=tuple(written), missing=tuple(missing))


class _Room:
    """What is free of each face, looked at only when words get as far as that face."""

    def __init__(self, body: Manifold, fields: Sequence[Field], mates: Mates) -> None:
        self.body, self.fields, self.mates = body, fields, mates
        self._free: dict[int, CrossSection] = {}
        self._seen: dict[Place, Manifold] = {}

    def seen(self, place: Place) -> Manifold:
        if place not in self._seen:
            self._seen[place] = self.body.transform(np.array(place.inverse().matrix())[:3])
        return self._seen[place]

    def free(self, number: int) -> CrossSection:
        if number not in self._free:
            self._free[number] = self.fields[number].free(self.seen, DEPTH, self.mates)
        return self._free[number]

    @property
    def flats(self) -> range:
        return range(sum(isinstance(field, Flat) for field in self.fields))

    @property
    def rounds(self) -> range:
        return range(len(self.flats), len(self.fields))


@dataclass(frozen=True, eq=False)
class _Try:
    taken: dict[int, CrossSection]
    written: list[Written]
    words: list[Manifold]
    missing: list[str]


def _parted(lines: Sequence[str]) -> Iterator[tuple[tuple[str, ...], ...]]:
    """All in one block, then in ever smaller ones."""
    yield (tuple(lines),)
    if len(lines) > 2:
        middle = (len(lines) + 1) // 2
        yield (tuple(lines[:middle]), tuple(lines[middle:]))
    if len(lines) > 1:
        yield tuple((line,) for line in lines)


def _placed(
    blocks: Sequence[tuple[str, ...]],
    near: Near | None,
    room: _Room,
    taken: dict[int, CrossSection],
    heights: Sequence[float],
) -> _Try:
    tried = _Try(taken, [], [], [])
    for block in blocks:
        found = _place(block, near, room, taken, heights)
        if found is None:
            tried.missing.extend(block)
            continue
        number, height, at = found
        tried.words.append(_words(room.fields[number], block, height, at))
        angle, x, y = at
        around = CrossSection.square(size(block, height)).rotate(angle).translate((x, y)).offset(LINE)
        taken[number] = taken.get(number, CrossSection()) + around
        tried.written.append(Written(block, height))
    return tried


Spot = tuple[float, float, float]


def _place(
    block: tuple[str, ...], near: Near | None, room: _Room, taken: dict[int, CrossSection], heights: Sequence[float]
) -> tuple[int, float, Spot] | None:
    """The face, the height and the spot: the largest letters on a flat face, else the first round one that
    serves."""

    def spot(number: int, height: float) -> Spot | None:
        free = room.free(number)
        if near is not None:
            free = room.fields[number].strip(free, near)
        return _spot(free - taken[number] if number in taken else free, *size(block, height))

    for height in heights:
        for number in room.flats:
            if (at := spot(number, height)) is not None:
                return number, height, at
    for number in room.rounds:
        for height in heights:
            if (at := spot(number, height)) is not None and _sunk(room, number, block, height, at):
                return number, height, at
    return None


def _sunk(room: _Room, number: int, block: tuple[str, ...], height: float, at: Spot) -> bool:
    """Whether the words on a round face go into metal all over: it was looked at only here and there."""
    words = _words(room.fields[number], block, height, at)
    taken = words ^ room.body
    return bool(taken.volume() > FULL * lettering(block, height).area() * DEPTH)


def _words(field: Field, block: tuple[str, ...], height: float, at: Spot) -> Manifold:
    angle, x, y = at
    flat = lettering(block, height).rotate(angle).translate((x, y))
    return field.bent(flat.extrude(DEPTH + 1.0).translate((0.0, 0.0, -DEPTH)))


def _spot(free: CrossSection, wide: float, tall: float) -> Spot | None:
    """Where a block fits: angle of its line of writing, degrees, and its lower left corner; None for nowhere."""
    if free.is_empty() or free.area() < wide * tall:
        return None
    along = _longest_edge(free)
    for angle in (along, along + 90.0):
        turned = free.rotate(-angle)
        at = _corner(turned, wide, tall)
        if at is not None:
            turn = math.radians(angle)
            x, y = at
            return (
                angle,
                x * math.cos(turn) - y * math.sin(turn),
                x * math.sin(turn) + y * math.cos(turn),
            )
    return None


def _longest_edge(free: CrossSection) -> float:
    """Degrees of the direction of the longest straight edge, as it reads from left to right."""
    longest, angle = -1.0, 0.0
    for ring in free.simplify(0.01).to_polygons():
        step = np.roll(ring, -1, axis=0) - ring
        lengths = np.hypot(step[:, 0], step[:, 1])
        i = int(lengths.argmax())
        if lengths[i] > longest + 1e-6:
            longest, angle = float(lengths[i]), math.degrees(math.atan2(step[i, 1], step[i, 0]))
    angle = (angle + 90.0) % 180.0 - 90.0
    return round(angle, 6)


def _corner(free: CrossSection, wide: float, tall: float) -> tuple[float, float] | None:
    """The lower left corner of the block nearest the middle of the region, from a grid that shows where it fits."""
    x0, y0, x1, y1 = free.bounds()
    if x1 - x0 < wide or y1 - y0 < tall:
        return None
    cell = max(x1 - x0, y1 - y0, 1.0) / CELLS
    inside = _mask(free, x0, y0, cell, math.ceil((x1 - x0) / cell), math.ceil((y1 - y0) / cell))
    nx, ny = math.ceil(wide / cell) + 1, math.ceil(tall / cell) + 1
    if nx > inside.shape[1] or ny > inside.shape[0]:
        return None
    total = np.pad(inside.cumsum(0).cumsum(1), ((1, 0), (1, 0)))
    full = total[ny:, nx:] - total[:-ny, nx:] - total[ny:, :-nx] + total[:-ny, :-nx] == nx * ny
    rows, columns = np.nonzero(full)
    if not len(rows):
        return None
    middle = np.array([(x0 + x1 - wide) / 2, (y0 + y1 - tall) / 2])
    spots = np.column_stack((x0 + columns * cell, y0 + rows * cell))
    for i in np.argsort(np.linalg.norm(spots - middle, axis=1), kind="stable")[:20]:
        x, y = (float(c) for c in spots[i])
        block = CrossSection.square((wide, tall)).translate((x, y))
        if (block - free).area() < 1e-3:
            return x, y
    return None


def _mask(free: CrossSection, x0: float, y0: float, cell: float, nx: int, ny: int) -> Bools:
    """(ny, nx): whether the middle of each cell lies inside."""
    ends = [(ring, np.roll(ring, -1, axis=0)) for ring in free.to_polygons()]
    a, b = np.vstack([a for a, _ in ends]), np.vstack([b for _, b in ends])
    middles = x0 + (np.arange(nx) + 0.5) * cell
    mask = np.zeros((ny, nx), dtype=bool)
    for row in range(ny):
        y = y0 + (row + 0.5) * cell
        crossing = (a[:, 1] > y) != (b[:, 1] > y)
        p, q = a[crossing], b[crossing]
        at = np.sort(p[:, 0] + (y - p[:, 1]) * (q[:, 0] - p[:, 0]) / (q[:, 1] - p[:, 1]))
        mask[row] = np.searchsorted(at, middles) % 2 == 1
    return mask
