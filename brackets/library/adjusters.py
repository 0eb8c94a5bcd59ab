"""Length of a tubular bar set by a thread: a stud between two inserts in tube ends that face each other, lock nuts.

Both threads are of one hand, so turning the stud alone changes nothing: one nut holds it in the second insert, and
the bar is set by turning one half against the other with its bush taken out of its bracket. mm along the bar.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.parts import THREAD
from brackets.core.schema.bounds import at_least
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.fasteners import Engagement, engagement, hole, nut
from brackets.core.vectors import Vec, add, scale
from brackets.library.rounds import ring
from brackets.model.piece import BOUGHT, THREADED_BAR, Piece
from brackets.model.tube import Step, Turned

HEAD, LEDGE = 6.0, 3.0
"""mm of an insert outside its tube, and how far it stands out round it for the weld (no source)."""
ROOM = 1.0
"""mm between the two nuts at the shortest, and past the end of what is in a tube (no source)."""
WALL = 2.0
"""Least metal of an insert round its tapping size, mm (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Adjuster:
    """How a bar is set: its thread, by how much it may be set longer and shorter than drawn, and its tube.

    thread: a bolt of the table, as "M12"; adjust: mm; od, bore: of the tube, mm; insert, stud: lengths as typed,
    mm, None for what the thread needs when the bar is at its longest.
    """

    thread: str
    adjust: float
    od: float
    bore: float
    insert: float | None = None
    stud: float | None = None

    @property
    def size(self) -> Bolt:
        return bolt(self.thread)

    @property
    def tap(self) -> float:
        return hole(self.thread, "tap")

    @property
    def nut_height(self) -> float:
        return nut(self.thread).height

    @property
    def needed(self) -> Engagement:
        """Thread that must be engaged, as for any thread in steel."""
        return engagement(self.size, "steel")

    @property
    def insert_used(self) -> float:
        """Length of an insert, threaded all through."""
        return float(math.ceil(self.needed.least)) if self.insert is None else self.insert

    @property
    def spigot(self) -> float:
        return self.insert_used - HEAD

    @property
    def gap(self) -> float:
        """From insert to insert as drawn: two nuts, and what the bar is to become shorter by."""
        return 2 * self.nut_height + self.adjust + ROOM

    @property
    def depth(self) -> float:
        """How far the stud reaches past the face of the first insert as drawn."""
        if self.stud is None:
            return math.ceil(self.needed.least) + self.adjust
        return self.stud - self.gap - self.insert_used

    @property
    def stud_used(self) -> float:
        return self.depth + self.gap + self.insert_used

    @property
    def engaged(self) -> float:
        """Thread in the first insert with the bar at its longest."""
        return round(min(self.insert_used, self.depth - self.adjust), 6)

    @property
    def inside(self) -> float:
        """What the first tube must have room for behind the face of its insert, with the bar at its shortest."""
        return max(self.insert_used, self.depth + self.adjust) + ROOM

    def problems(self) -> Iterator[str]:
        """What is wrong with the sizes, a line each."""
        least = self.tap + 2 * WALL
        if self.bore < max(least, self.size.d):
            yield (
                f"thread = {self.thread}, smaller or a wider tube: an insert with {WALL:g} mm round {self.tap:g}"
                f" goes into a bore of {least:g} or more, the tube's is {self.bore:g}"
            )
        if self.insert_used < HEAD + 2.0:
            yield at_least("insert", self.insert_used, HEAD + 2.0, "what stands out of the tube, and a spigot")
        elif self.engaged < ROOM:
            least = self.gap + self.insert_used + self.adjust + ROOM
            yield at_least("stud", self.stud_used, least, "with the bar at its longest it is still in its thread")

    def findings(self, *, piece: str) -> Iterator[Finding]:
        """A caution where less thread than the rule wants is engaged at the longest, or in the insert that is
        locked."""
        if THREAD.under(self.engaged, self.needed.least):
            yield THREAD.finding(
                piece=piece,
                value=self.engaged,
                limit=self.needed.least,
                source_words=self.needed.source,
                sentence=f"{self.engaged:g} mm of thread for {self.thread} with the bar set {self.adjust:g} mm"
                f" longer, {self.needed.least:g} or more",
            )

    def words(self, apart: float) -> str:
        """What a bar that is `apart` mm from bush to bush as drawn may be set to, and what a turn gives."""
        low, high, pitch = apart - self.adjust, apart + self.adjust, self.size.pitch
        return (
            f"bush to bush {apart:.1f} mm as drawn, set by hand from {low:.1f} to {high:.1f}: {pitch:g} mm a turn,"
            " half of it where the eye goes in either way round. A mm moves the engine a mm along the bar there, or"
            " either bush half of it; gaps are those of the length drawn"
        )

    def pieces(self, end: Vec, way: Vec) -> tuple[Piece, ...]:
        """Inserts, stud and nuts; `end`: where the first tube ends on its axis, `way`: unit, on to the other.

        Nuts are drawn round, over their corners. In the inserts the stud is drawn at the tapping size.
        """
        outside, size, back = self.od + 2 * LEDGE, self.size, scale(way, -1.0)
        insert = (step(self.spigot, self.bore, self.tap), step(HEAD, outside, self.tap))
        out = self.depth - self.insert_used
        stud = [step(min(self.depth, self.insert_used), self.tap), step(self.gap, size.d)]
        stud += [step(self.insert_used, self.tap)]
        if out > 0:
            stud.insert(0, step(out, size.d))
        nuts = [
            ring(f"nut_{i}", od=size.nut_across_flats * 2 / math.sqrt(3), bore=size.d, length=self.nut_height, at=z)
            for i, z in ((1, HEAD), (2, HEAD + self.gap - self.nut_height))
        ]
        far = add(end, scale(way, 2 * HEAD + self.gap + self.spigot))
        made = [
            Turned(name="insert_1", place=Place(add(end, scale(back, self.spigot)), way), steps=insert,
                   thread=self.thread),
            Turned(name="insert_2", place=Place(far, back), steps=insert, thread=self.thread),
            Turned(name="stud", place=Place(add(end, scale(way, HEAD - self.depth)), way), steps=tuple(stud),
                   stock=f"{THREADED_BAR}{self.thread}, 8.8"),
        ]  # fmt: skip
        at = Place(end, way)
        return (*made, *(replace(n.placed(at), stock=f"{BOUGHT}{self.thread}") for n in nuts))


def step(length: float, od: float, bore: float = 0.0) -> Step:
    return Step(length=length, od=od, bore=bore)
