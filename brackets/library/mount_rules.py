"""What mounts of tubes, cups and bungs share: rules of their values, and what is not typed of them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.rulebook.parts import BETWEEN_THE_EARS, CUP_STOCK
from brackets.core.schema.bounds import at_least, at_most, between
from brackets.core.schema.rows import od_wall
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import hole
from brackets.core.tables.stock_rows import tubes
from brackets.core.vectors import Vec, dot, unit

EAR_ROOM = 2.0
"""mm a tube is narrower than its cup is long, to pass between the ears (common practice, no source)."""
CUP_WALL = 5.0
"""Wall of a cup that is not typed, mm (common practice, no source)."""
CUP_LENGTH = 40.0
"""Shortest length of a cup that is not typed, mm: what the bushes of the table need."""
SLANTED = 0.3
"""Sine of the angle to the cup below which no tube lands on it."""
SAME_BORE = 1e-6
"""mm by which a tube's bore may pass the bush: rounding."""


LEAST_CUP = 1.0
"""Least metal round a bush that the geometry accepts, mm: findings ask for more."""

THICKEST = 8.0
"""Thickest wall of the tubes in the table, mm: a cup with more is bored from solid."""


def cup_tube(
    bush_od: float, od: float | None, wall: float | None, *, to_bore: float = 0.0
) -> tuple[float, float]:
    """Tube that a cup is cut from: (outside, wall), mm. What is typed stands, the rest follows from the bush.

    bush_od: outside of the bush, mm; od, wall: outside and wall of the tube as typed, mm, or None; to_bore: mm
    inside the bush that a wall which is not typed has more, to be bored away. Untyped, CUP_WALL (5 mm) is left
    round the bush, or the typed wall where that is thinner.

    >>> cup_tube(60, None, None)
    (70.0, 5.0)
    >>> cup_tube(60, 76, None, to_bore=1)  # (76 - 60) / 2 round the bush, and 1 to bore
    (76, 9.0)
    """
    if od is None:
        od = bush_od + 2 * (CUP_WALL if wall is None else min(max(wall, LEAST_CUP), CUP_WALL))
    return od, max((od - bush_od) / 2, LEAST_CUP) + to_bore if wall is None else wall


def cup_tube_problems(od: float, wall: float, bush_od: float, *, name: str = "cup_") -> Iterator[str]:
    """What is wrong with the tube of a cup: yields a line each, nothing where it will do.

    At least LEAST_CUP (1 mm) must be left round the bush, and the tube's own bore must not be larger than the bush.
    od, wall: outside and wall of the tube, mm; bush_od: outside of the bush, mm; name: what goes before "od" and
    "wall" in the lines.

    >>> print(*cup_tube_problems(61, 5, 60))
    cup_od = 61 mm, 62 mm or more: a wall round the bush 60
    """
    if od - bush_od < 2 * LEAST_CUP:
        yield at_least(f"{name}od", od, bush_od + 2 * LEAST_CUP, f"a wall round the bush {bush_od:g}")
    elif od - 2 * wall > bush_od + SAME_BORE:
        why = f"the tube's own bore {od - 2 * wall:g} must not pass the bush {bush_od:g}"
        least = (od - bush_od) / 2
        if least <= THICKEST:
            yield at_least(f"{name}wall", wall, least, why)
        else:
            yield at_most(f"{name}od", od, bush_od + 2 * wall, why)


def cup_findings(od: float, bore: float, *, piece: str) -> Iterator[Finding]:
    """Advice where the wall of a cup is thicker than that of any tube in the table (8 mm): it is bored from solid.

    od, bore: outside and finished bore of the cup, mm; piece: name of the piece it is said of. Yields at most one
    Finding.

    >>> [finding.value for finding in cup_findings(80, 60, piece="cup")]  # a wall of (80 - 60) / 2
    [10.0]
    >>> list(cup_findings(70, 60, piece="cup"))
    []
    """
    wall = (od - bore) / 2
    if wall > THICKEST:
        yield CUP_STOCK.finding(
            piece=piece,
            value=wall,
            limit=THICKEST,
            sentence=f"a wall of {wall:g} mm round the bush, no tube has more than {THICKEST:g}: bored from solid",
        )


def landing_problems(*, cup_od: float, cup_length: float, tube: str) -> Iterator[str]:
    """What is wrong with a tube that lands on a cup: yields a line where it is wider than the cup is thick or long.

    cup_od, cup_length: outside and length of the cup, mm; tube: its size, already checked, as "48.3x3.2".

    >>> print(*landing_problems(cup_od=70, cup_length=40, tube="48.3x3.2"))
    tube = 48.3x3.2, od 40 or less: it lands on the cup, 70 and 40 mm long
    """
    most, od = min(cup_od, cup_length), od_wall(tube)[0]
    if od > most:
        yield f"tube = {tube}, od {most:g} or less: it lands on the cup, {cup_od:g} and {cup_length:g} mm long"


class CupFollows:
    """Base class for Params of a part with a cup: what is not typed of it follows bush and tube."""

    bush_od: float
    cup_od: float
    cup_wall: float
    bush_axis: Vec
    @property
    def cup_od_for_bush(self) -> float:
        """Round the bush, and no narrower than the tube that lands on the cup unless its wall is typed."""
        round_bush = cup_tube(self.bush_od, None, self.cup_wall)[0]
        return max(round_bush, self.landing_od) if self.cup_wall is None else round_bush

    @property
    def cup_wall_for_bush(self) -> float:
        od = self.cup_od_for_bush if self.cup_od is None else self.cup_od
        return cup_tube(self.bush_od, od, None)[1]

    @property
    def landing_od(self) -> float:
        """Outside of the tube that lands on the cup, 0 where none does."""
        return 0.0

    @property
    def landing_way(self) -> Vec:
        """Direction of that tube, towards the bush's centre."""
        return (0.0, 0.0, 1.0)

    @property
    def cup_length_for_tube(self) -> float:
        """Long enough for the tube to land on the cup at its angle, and to pass between the ears."""
        od = self.cup_od_for_bush if self.cup_od is None else self.cup_od
        if not any(self.landing_way):
            return CUP_LENGTH
        along = abs(dot(unit(self.landing_way), unit(self.bush_axis)))
        square = max(math.sqrt(max(0.0, 1.0 - along**2)), SLANTED)
        taken = (self.landing_od + od * along) / square
        return max(CUP_LENGTH, self.landing_od + EAR_ROOM, math.ceil(taken))


def name_problems(names: Sequence[str], bosses: int, threads: Sequence[str] = ()) -> Iterator[str]:
    """What is wrong with the names and threads typed for some bosses: yields a line each; none of either is fine.

    names: a different one for each boss; bosses: how many there are; threads: a bolt size for each, as "M10".

    >>> print(*name_problems(["L1", "L1"], 2))
    boss_names = 2, none or 2 different: a name for each of the bosses
    """
    if names and (len(set(names)) != len(names) or len(names) != bosses):
        yield f"boss_names = {len(names)}, none or {bosses} different: a name for each of the bosses"
    if threads and len(threads) != bosses:
        yield f"threads = {len(threads)}, none or {bosses}: one for each of the bosses"
    for size in threads:
        try:
            bolt(size)
        except InputError as error:
            yield from (f"threads: {problem}" for problem in error.problems)


def ear_findings(tube: str, cup_length: float, *, piece: str = "tube") -> Iterator[Finding]:
    """A caution where a tube is too wide to pass between the ears that hold its cup.

    It must be EAR_ROOM (2 mm) narrower than the cup is long. tube: its size, already checked, as "48.3x3.2";
    cup_length: mm; piece: name of the piece it is said of. Yields at most one Finding.

    >>> [(finding.value, finding.limit) for finding in ear_findings("48.3x3.2", 40)]
    [(48.3, 38.0)]
    """
    od = od_wall(tube)[0]
    if BETWEEN_THE_EARS.over(od, cup_length - EAR_ROOM):
        yield BETWEEN_THE_EARS.finding(
            piece=piece,
            value=od,
            limit=cup_length - EAR_ROOM,
            sentence=f"od {od:g} and a cup {cup_length:g} mm long: the tube must pass between the ears",
        )


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
