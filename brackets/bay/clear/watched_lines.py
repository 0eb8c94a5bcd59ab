"""A shaft or chain over all of the powertrain's movement: each figure told about the point that it hangs on most.

Out of line, and at the joint that stays, it is where the moving end goes that counts; at the joint that moves, and
for how far the end that stays is out of the moving sprocket's plane, it is where the engine would carry a point at
the end that stays. Told about either end the movement holds every place there is, so the lesser of both is proven.
What is typed and what is worked out are places by themselves: the greater of the two counts. mm, degrees, bay axes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from brackets.bay.clear.moving import in_words
from brackets.bay.clear.point_moves import MovedDistance, MovesAbout, moved_distance, moves_about, told_about
from brackets.bay.hung.mount_frames import about as rocks_about
from brackets.bay.hung.spots import Spot
from brackets.bay.schema.moves_keys import TYPED
from brackets.bay.schema.record import Bay
from brackets.clearance.greatest import Most
from brackets.clearance.motion import Moves
from brackets.clearance.shaft_lines import FINE, ShaftLines
from brackets.core.vectors import Vec

Pick = Callable[[ShaftLines], Most | None]
Covers = tuple[ShaftLines, ...]
"""The same movement told about one end and about the other: both hold all of it."""


@dataclass(frozen=True)
class Found:
    """The most of a figure, the line it is found on, where that is, in words, and the case that takes it there."""

    line: ShaftLines
    most: Most
    where: str
    case: str


@dataclass(frozen=True)
class WatchedLine:
    """A shaft or chain and its movement; about: the point that places are told about in words.

    parts: what holds the movement together; cases: each by itself, the typed one first, none where nothing is
    worked out; apart: how far its two ends get apart.
    """

    rest: ShaftLines
    parts: tuple[Covers, ...]
    cases: tuple[tuple[str, Covers], ...]
    apart: MovedDistance
    about: Vec

    def most(self, *picks: Pick) -> Found | None:
        """The greatest of one figure, or of several that are one; None where nothing moves."""
        found = [one for one in (self._best(covers, picks) for covers in self.parts) if one is not None]
        if not found:
            return None
        line, most = max(found, key=lambda one: one[1].high)
        assert line.moves is not None
        place = told_about(line.moves, most.worst, self.about)
        typed = len(found) > 1 and (line, most) == found[0]
        case = TYPED if typed else self._case(picks)
        return Found(line=line, most=most, where=in_words(place.angles, place.travel), case=case)

    def _best(self, covers: Covers, picks: Sequence[Pick]) -> tuple[ShaftLines, Most] | None:
        """Of each figure the lesser of both covers, the greatest of these."""
        made = []
        for pick in picks:
            told = [(line, most) for line in covers if (most := pick(line)) is not None]
            if told:
                made.append(min(told, key=lambda one: one[1].high))
        return max(made, key=lambda one: one[1].high, default=None)

    def _case(self, picks: Sequence[Pick]) -> str:
        found = ((self._best(covers, picks), name) for name, covers in self.cases if name != TYPED)
        highs = [(one[1].high, -i, name) for i, (one, name) in enumerate(found) if one is not None]
        return max(highs)[2] if highs else ""


def watched_lines(bay: Bay, lines: Sequence[tuple[ShaftLines, tuple[Spot, Spot]]]) -> tuple[WatchedLine, ...]:
    """Shafts and chains over the movement of a bay. lines: each as it stands, without movement, and the spots of
    its two ends. Raises BadFile as `moves_of` does."""
    told = iter(moves_about(bay, [spot for _, both in lines for spot in both]))
    about = rocks_about(bay)
    return tuple(_watched(line, next(told), next(told), about) for line, _ in lines)


def _watched(line: ShaftLines, moving: MovesAbout, fixed: MovesAbout, about: Vec) -> WatchedLine:
    def covers(*moves: Moves | None) -> Covers:
        return tuple(replace(line, moves=one) for one in dict.fromkeys(moves))

    parts = [covers(*both) for both in zip(moving.parts, fixed.parts, strict=True)]
    cases = zip(moving.cases, fixed.cases, strict=True)
    return WatchedLine(
        rest=line,
        parts=tuple(parts),
        cases=tuple((one.name, covers(one.moves, other.moves)) for one, other in cases),
        apart=moved_distance(moving, line.moving, line.fixed, FINE),
        about=about,
    )
