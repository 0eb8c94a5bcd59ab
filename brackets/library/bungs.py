"""Bungs on bosses of any height with an arm to each: what is not typed of them follows the others."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.core.schema.checked import at_least, between
from brackets.core.schema.rows import od_wall
from brackets.core.tables.fasteners import hole
from brackets.core.tables.tube_rows import tubes
from brackets.core.vectors import Vec, dot, unit

BASE = "38x3"
ARM = "25x2.5"
BUNG = 30.0
"""Base tube, arms and outside of the bungs where nothing asks for others, mm (common practice, no source)."""
OVER_ARM, OVER_BORE = 5.0, 8.0
"""How much wider a bung is at least than its arm and its bore, mm (common practice, no source)."""
RISE = 50.0
"""How far the bung tops stand over the highest boss, mm (no source)."""
UNDER_TOP = 14.5
"""How far the arms end under the bung tops, for the socket on the bolt, mm (no source)."""
CLEAR = 0.5
"""How far within the ends of its bung an arm must land, mm."""
ROUNDING = 1e-6


class BungFollows:
    """Base class for Params of a part with bungs and arms of one tube: works out what is not typed of them.

    The bungs stand on bosses, their tops are level, and the arms land on them.
    """

    bosses: tuple[Vec, ...]
    normal: Vec
    bolt: str
    tube: str
    arm: str
    bung_od: float
    bung_bore: float | None
    bung_top: float
    arm_z: float

    @property
    def bore(self) -> float:
        return hole(self.bolt, "boss") if self.bung_bore is None else self.bung_bore

    @property
    def base(self) -> str:
        return self.tube or self.base_for_arm

    @property
    def base_for_arm(self) -> str:
        """BASE, or where a typed arm is wider the narrowest tube of the table that is not."""
        least = od_wall(self.arm)[0] if self.arm else 0.0
        if od_wall(BASE)[0] >= least:
            return BASE
        od, wall = min((t.od, -t.wall) for t in tubes() if t.od >= least and 1.5 <= t.wall <= 4)
        return f"{od:g}x{-wall:g}"

    @property
    def arm_for_bung(self) -> str:
        """ARM, or the widest tube that lands on the base tube and on the bung that is typed."""
        most = min(od_wall(self.base)[0], self.bung_od or math.inf)
        return ARM if od_wall(ARM)[0] <= most else widest_tube(most, walls=(1.5, 6.0))

    @property
    def bung_od_for_arm(self) -> float:
        over_arm = od_wall(self.arm)[0] + OVER_ARM if self.arm else 0.0
        return max(BUNG, over_arm, self.bore + OVER_BORE)

    @property
    def top_over_bosses(self) -> float:
        return self.highest + max(RISE, od_wall(self.arm or self.arm_for_bung)[0] + CLEAR + UNDER_TOP)

    @property
    def arm_under_top(self) -> float:
        """Under bolt head and socket; where there is not the room, as low as the shortest bung allows."""
        half = od_wall(self.arm or self.arm_for_bung)[0] / 2
        top = self.top_over_bosses if self.bung_top is None else self.bung_top
        lowest = min(self.highest + half + CLEAR, top - half - CLEAR)
        return max(top - half - UNDER_TOP, lowest)

    @property
    def highest(self) -> float:
        """Height of the highest boss along the normal."""
        return max(dot(p, unit(self.normal)) for p in self.bosses)

    def arm_problems(self) -> Iterator[str]:
        """What is wrong with the height of the arms on their bungs."""
        half = od_wall(self.arm)[0] / 2
        low, high = self.highest + half + CLEAR, self.bung_top - half - CLEAR
        if low > high + ROUNDING:
            least = self.highest + 2 * (half + CLEAR)
            yield at_least("bung_top", self.bung_top, least, f"room for an arm {self.arm} on the shortest bung")
        elif not low - ROUNDING <= self.arm_z <= high + ROUNDING:
            yield between("arm_z", self.arm_z, low, high, f"an arm {self.arm} on every bung, below its top")


def widest_tube(most: float, *, walls: tuple[float, float]) -> str:
    """The widest tube of the table up to `most` mm outside, with the wall nearest a tenth of that; "10x1.5"."""
    sizes = [(t.od, t.wall) for t in tubes() if t.od <= most and walls[0] <= t.wall <= walls[1]]
    od = max((od for od, _ in sizes), default=most)
    wall = min((w for o, w in sizes if o == od), key=lambda w: (abs(w - od / 10), w), default=walls[0])
    return f"{od:g}x{wall:g}"
