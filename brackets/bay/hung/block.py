"""Keep-outs with flat sides, in their own axes: a box, and a rail (square or rectangular section, or a channel).

mm. A rail's axes: z from its start to its end, y up its height, x across its width, origin at the start of its
middle line. A rail without a typed corner radius has square corners: for gaps the larger body, for a seat more flat
than there is.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.schema.standing import CORNERS, SIDE_WORDS
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, dot, length, sub, unit

UPRIGHT: Vec = (0.0, 0.0, 1.0)
"""What a rail's height is along where the file does not say."""

ALONG = 2
"""The axis a rail runs along."""


@dataclass(frozen=True, kw_only=True)
class Block:
    """From `low` to `high` in the axes of `place`, mm; `wall` of a hollow section, None where it is solid.

    Of a rail `corner` is the outside radius of its long edges, 0 where they are sharp; `opens` 1 or -1 where it is
    a channel, its open side towards x or against it: that side's two edges are sharp.
    """

    place: Place
    low: Vec
    high: Vec
    wall: float | None
    corner: float = 0.0
    is_rail: bool = False
    opens: int = 0

    @property
    def sizes(self) -> Vec:
        return sub(self.high, self.low)

    def is_open(self, axis: int) -> bool:
        """Whether it is hollow and its two faces square to that axis are the open ends."""
        across = [size for n, size in enumerate(self.sizes) if n != axis]
        longest = axis == ALONG if self.is_rail else self.sizes[axis] == max(self.sizes)
        return self.wall is not None and longest and 2 * self.wall < min(across)

    def is_open_face(self, axis: int, sense: int) -> bool:
        """Whether the face that looks along that axis, or against it, has an opening: an end's or a channel's."""
        return self.is_open(axis) or (axis == 0 and self.opens != 0 and sense == self.opens)

    @property
    def web(self) -> tuple[float, float]:
        """From and to along x of a channel's web; its whole width where it is closed."""
        low, high, wall = self.low[0], self.high[0], self.wall or 0.0
        return {0: (low, high), 1: (low, low + wall), -1: (high - wall, high)}[self.opens]

    def rounded(self, axis: int) -> float:
        """mm by which the flat of a face falls short of the section's outside, along that axis, at either edge."""
        return 0.0 if axis == ALONG else self.corner

    def distance(self, spot: Vec) -> float:
        """mm from a point in its own axes to its outside; less than nothing inside it. The room between a channel's
        flanges is outside."""
        if self.opens:
            return min(part.distance(spot) for part in self.parts)
        middle = [(lo + hi) / 2 for lo, hi in zip(self.low, self.high, strict=True)]
        x, y, past = (
            abs(c - m) - size / 2 for c, m, size in zip(spot, middle, self.sizes, strict=True)
        )
        x, y = x + self.corner, y + self.corner
        across = math.hypot(max(x, 0.0), max(y, 0.0)) + min(max(x, y), 0.0) - self.corner
        outside = math.hypot(max(across, 0.0), max(past, 0.0))
        return outside if outside > 0 else max(across, past)


    @property
    def parts(self) -> tuple[Block, ...]:
        """Web and flanges of a channel, as plates with sharp edges."""
        (x0, y0, z0), (x1, y1, z1), wall = self.low, self.high, self.wall or 0.0
        a, b = self.web
        corners = (
            ((a, y0, z0), (b, y1, z1)),
            ((x0, y0, z0), (x1, y0 + wall, z1)),
            ((x0, y1 - wall, z0), (x1, y1, z1)),
        )
        return tuple(Block(place=self.place, low=low, high=high, wall=None) for low, high in corners)


def block_of(keep_out: KeepOut) -> Block | None:
    """A box or a rail as typed; None where the keep-out is neither."""
    if keep_out.box_from is not None and keep_out.box_to is not None:
        low, high = keep_out.box_from, keep_out.box_to
        return Block(place=box_place(keep_out), low=low, high=high, wall=keep_out.wall)
    if keep_out.rail_from is None or keep_out.rail_to is None or keep_out.rail_size is None:
        return None
    way = sub(keep_out.rail_to, keep_out.rail_from)
    width, height = keep_out.rail_size
    place = Place(keep_out.rail_from, way, UPRIGHT if keep_out.rail_up is None else keep_out.rail_up)
    opens = 0
    if keep_out.rail_open is not None:
        opens = 1 if place.local_direction(keep_out.rail_open)[0] > 0 else -1
    return Block(
        place=place,
        low=(-width / 2, -height / 2, 0.0),
        high=(width / 2, height / 2, length(way)),
        wall=keep_out.rail_wall,
        corner=keep_out.rail_corner or 0.0,
        is_rail=True,
        opens=opens,
    )


def side_word(way: Vec) -> str:
    """What the side that looks along `way` is called: the nearest of the bay's axes."""
    return max(SIDE_WORDS, key=lambda word: dot(SIDE_WORDS[word], way))


def corner_way(word: str) -> Vec:
    """Where the corner of that name looks in the bay: between its two sides, square to the rail's edge or not."""
    first, *rest = (SIDE_WORDS[side] for side in word.split())
    return unit(add(first, rest[0]) if rest else first)


def corner_word(way: Vec) -> str:
    """The name of the corner that looks along `way`, the nearest there is."""
    return max(CORNERS, key=lambda word: dot(corner_way(word), way))


def cold_formed_corner(wall: float) -> tuple[float, float]:
    """Least and largest outside corner radius of a cold-formed hollow section of that wall, mm.

    EN 10219-2:2006 table 3 (as quoted, not opened): external corner profile.
    """
    low, high = (1.6, 2.4) if wall <= 6 else (2.0, 3.0) if wall <= 10 else (2.4, 3.6)
    return low * wall, high * wall


def box_place(keep_out: KeepOut) -> Place:
    """The own axes of a box that is turned; the bay's where it is not."""
    at = (0.0, 0.0, 0.0) if keep_out.box_at is None else keep_out.box_at
    axis = (0.0, 0.0, 1.0) if keep_out.box_axis is None else keep_out.box_axis
    up = keep_out.box_up
    if up is None:
        up = (0.0, 1.0, 0.0) if abs(unit(axis)[1]) < 0.9 else (1.0, 0.0, 0.0)
    return Place(at, axis, up)
