"""What slots give: how far each part can be moved on its bolts, and its gaps over all of that.

Bolts, crush tubes and spreader plates stay; the part slides on them, and the bush half, sleeve and bolt that are on
its side of a mount go with it. Spacers on bosses stay too, but they are drawn in the part, whose gaps have them go
along. The other half of that mount follows, so that those two are as far apart as drawn; the rest of the engine is
judged where it is drawn and over its movement, as if its other mounts held it there. One part is moved at a time.
mm, bay axes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import ChassisBolt, stay_with_bolts
from brackets.bay.clear.moving import TRAVEL_WORDS, Moved, in_words
from brackets.bay.clear.pairs import Pair
from brackets.bay.clear.regions import moves_of
from brackets.bay.hung.mount_frames import any_up
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import SIDES
from brackets.bay.stand.bodies import BayBody, matrix
from brackets.bay.stand.gap_rules import GapRule, contacts, fit_ups, is_relevant_pair, required_gap
from brackets.bay.stand.hardware import OF_MOUNT
from brackets.bay.stand.layers import HoleOn, holes_on
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.clearance.motion import Moves
from brackets.clearance.own_moves import STAYS, IndependentGap, OwnMoves, independent_gap
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, dot, length, scale, sub, unit
from brackets.model.part import Part
from brackets.model.tube import Turned

WITHIN = 0.02
"""How wide the interval of a gap over a slide may stay, mm: nobody cuts a slot better."""

AROUND = 25.0
"""mm more than is asked, past which nothing is looked at."""

ALIKE = 1e-3
"""Sine of the angle between two slots that run the same way."""

ROUNDING = 5
"""Decimals of a mm to which the low end is told: what the search takes off for arithmetic alone is less."""

NONE = 1e-6
"""mm of range that is rounding."""


@dataclass(frozen=True, kw_only=True)
class Adjust:
    """How far, `far` mm, a part can be moved on its slots along the unit vector `way`, and the mounts whose bush
    centres go with it; `stuck` says why it cannot be moved at all."""

    part: str
    side: str
    way: Vec
    far: float
    mounts: tuple[str, ...] = ()
    stuck: str = ""

    @property
    def shift(self) -> Vec:
        """From where the part is drawn to the end, mm; what the engine gains at each of the mounts."""
        return scale(self.way, self.far)

    @property
    def words(self) -> str:
        """ "left 6 mm"."""
        return self.words_at(self.far)

    def words_at(self, mm: float) -> str:
        """The same, `mm` along."""
        said = [
            f"{words[0] if step > 0 else words[1]} {abs(step):.4g}"
            for step, words in zip(scale(self.way, mm), TRAVEL_WORDS, strict=True)
            if abs(step) > 5e-3
        ]
        return f"{', '.join(said)} mm" if said else "as drawn"

    def carries(self, thing: BayBody) -> bool:
        """Whether a body goes with the part."""
        if thing.name == self.part:
            return True
        with_it = thing.what in OF_MOUNT and thing.holds is None and thing.side == self.side
        return with_it and bool(set(thing.mounts) & set(self.mounts))

    def follows(self, thing: BayBody) -> bool:
        """Whether a body is on the other side of one of the mounts, or a bolt that the part slides on."""
        return thing.holds == self.part or bool(set(thing.mounts) & set(self.mounts))


@dataclass(frozen=True, kw_only=True)
class SlideGap:
    """The least gap of two bodies while a part slides from where it is drawn to one end of its slots lies from low
    to high, mm, `at` mm along; `moving`: over the engine's movement too, else standing still."""

    a: str
    b: str
    low: float
    high: float
    rule: GapRule
    at: float
    moving: bool
    worst: str
    p: Vec
    q: Vec

    @property
    def needed(self) -> float:
        """mm asked."""
        return self.rule.moved if self.moving else self.rule.rest

    @property
    def spare(self) -> float:
        """Found less asked, from the low end, mm."""
        return self.low - self.needed

    @property
    def touches(self) -> bool:
        return self.high <= 0

    @property
    def short(self) -> bool:
        """Whether it is less than asked, or that cannot be told."""
        return self.high < self.needed or self.spare < -WITHIN


def adjusts(stood: PlacedBay, held: Sequence[BossBolt | ChassisBolt]) -> tuple[Adjust, ...]:
    """Both ways of every part that stands on its bolts by slots, back before forth; one that is stuck where it can
    be moved no way."""
    found: list[Adjust] = []
    for part in stood.parts:
        mine = [one for one in held if one.part == part.name]
        found += _of_part(stood.bay, part, mine)
    return tuple(found)


def _of_part(bay: Bay, part: PlacedPart, mine: Sequence[BossBolt | ChassisBolt]) -> Iterator[Adjust]:
    holes = [(one.name, place, hole) for one in mine for place, hole in _moving_holes(part, one, mine)]
    slots = [(place, hole) for _, place, hole in holes if length(hole.slide) > NONE]
    if not slots:
        return
    mounts = tuple(mount.name for mount, _ in bay.mounts_of(part.name))
    way = _forth(unit(slots[0][0].direction(slots[0][1].slide)))
    stuck = _stuck(way, holes)
    back = forth = 0.0
    if not stuck:
        spans = [_span(way, place, hole) for place, hole in slots]
        back, forth = min(span[0] for span in spans), min(span[1] for span in spans)
    for sense, far in ((-1.0, back), (1.0, forth)):
        if far > NONE or (stuck and sense > 0):
            yield Adjust(
                part=part.name, side=part.side, way=scale(way, sense), far=far, mounts=mounts, stuck=stuck
            )


def _moving_holes(
    part: PlacedPart, one: BossBolt | ChassisBolt, mine: Sequence[BossBolt | ChassisBolt]
) -> Iterator[tuple[Place, HoleOn]]:
    """The holes round a bolt that are in what slides, each with the bolt's frame."""
    stay = _staying(part.part, mine)
    place = part.part.seat(one.seat).place if isinstance(one, ChassisBolt) else _frame(one)
    for hole in holes_on(part.part, place, one.row):
        if hole.piece.name not in stay:
            yield place, hole


def sliding(part: Part, held: Sequence[BossBolt | ChassisBolt], one: Adjust) -> Part:
    """What of a part slides: all of it but what stays with its bolts."""
    left = {piece.name for piece in part.pieces} - _staying(part, [bolt for bolt in held if bolt.part == one.part])
    ends = left | {seat.name for seat in part.seats}
    return replace(
        part,
        pieces=tuple(piece for piece in part.pieces if piece.name in left),
        welds=tuple(weld for weld in part.welds if weld.piece in left and weld.onto in ends),
        loose=tuple(name for name in part.loose if name in left),
    )


def _staying(part: Part, mine: Sequence[BossBolt | ChassisBolt]) -> set[str]:
    """Names of the crush tubes, of what is behind the sheet or section, and of the spacers on bosses."""
    tubes, far = stay_with_bolts(part, [bolt for bolt in mine if isinstance(bolt, ChassisBolt)])
    welded = {name for weld in part.welds for name in (weld.piece, weld.onto)}
    spacers = {
        hole.piece.name
        for bolt in mine
        if isinstance(bolt, BossBolt)
        for hole in holes_on(part, _frame(bolt), bolt.row)
        if isinstance(hole.piece, Turned) and hole.piece.name not in welded
    }
    return tubes | far | spacers


def _frame(one: BossBolt) -> Place:
    return Place(one.at, scale(one.way, -1.0), any_up(one.way))


def _stuck(way: Vec, holes: Sequence[tuple[str, Place, HoleOn]]) -> str:
    """Why a part cannot slide along `way`, or nothing."""
    for name, place, hole in holes:
        if length(hole.slide) <= NONE:
            return f"{name} goes through a round hole of {hole.piece.name}"
        if length(cross(way, unit(place.direction(hole.slide)))) > ALIKE:
            return f"the slot of {name} in {hole.piece.name} runs another way than the first"
    return ""


def _forth(way: Vec) -> Vec:
    """Of a direction and its opposite that which points fore, left or up, by its largest part."""
    most = max(way, key=abs)
    return way if most > 0 else scale(way, -1.0)


def _span(way: Vec, place: Place, hole: HoleOn) -> tuple[float, float]:
    """How far a part can go against and along `way` until one end of the slot comes to the bolt, mm."""
    ends = (hole.at, add(hole.at, hole.slide))
    along = sorted(dot(sub(place.point(end), place.at), way) for end in ends)
    return max(0.0, along[1]), max(0.0, -along[0])


def moved_by(thing: BayBody, shift: Vec) -> BayBody:
    """A body of what slides where it is after it; a part without what stays with its bolts."""
    own = thing.body if thing.lifted is None else thing.lifted
    return replace(thing, body=own.placed(matrix(Place(shift))), beside=None, lifted=None)


def shifted(things: Sequence[BayBody], one: Adjust) -> tuple[BayBody, ...]:
    """Every body with the part at its end."""
    return tuple(moved_by(thing, one.shift) if one.carries(thing) else thing for thing in things)


def slide_gaps(
    bay: Bay, things: Sequence[BayBody], one: Adjust, moves: Mapping[frozenset[str], Moved]
) -> tuple[SlideGap, ...]:
    """Every pair of what slides with what stays, least spare first; `moves`: what was found as drawn when the
    engine moves: a slide takes no more off that than its length."""
    meant, engine = contacts(bay) | fit_ups(bay), moves_of(bay)
    slide = OwnMoves(along=one.way, travel=(0.0, one.far))
    found = []
    for a in (moved_by(thing, (0.0, 0.0, 0.0)) for thing in things if one.carries(thing)):
        for b in things:
            if one.carries(b) or one.follows(b) or frozenset((a.name, b.name)) in meant:
                continue
            if not is_relevant_pair(bay, a, b):
                continue
            want = required_gap(bay, a, b)
            if _apart(a, b) > want.rest + one.far + AROUND:
                continue
            still = independent_gap(a.body, b.body, own=slide, needed=want.rest, within=WITHIN)
            found.append(_found(a, b, still, want, still.a.travel, moving=False))
            move = moves.get(frozenset((a.name, b.name)))
            if move is not None and move.low - one.far < want.moved:
                found.append(_over_all(a, b, slide, want, engine if {a.side, b.side} == set(SIDES) else None))
    return tuple(sorted(found, key=lambda gap: (gap.spare, gap.a, gap.b)))


def _over_all(a: BayBody, b: BayBody, slide: OwnMoves, want: GapRule, engine: Moves | None) -> SlideGap:
    """The slide, the engine's movement, and what the other does by itself, each whatever the others do."""
    if a.side == "powertrain":
        over = independent_gap(a.body, b.body, own=slide, others=b.own or STAYS, engine=engine, needed=want.moved)
        return _found(a, b, over, want, over.a.travel, moving=True)
    over = independent_gap(b.body, a.body, own=b.own or STAYS, others=slide, engine=engine, needed=want.moved)
    return _found(a, b, over, want, over.b.travel, moving=True)


def _found(a: BayBody, b: BayBody, of: IndependentGap, want: GapRule, at: float, *, moving: bool) -> SlideGap:
    worst = "" if of.worst is None else in_words(of.worst.angles, of.worst.travel)
    return SlideGap(
        a=a.name,
        b=b.name,
        low=min(of.high, round(of.low, ROUNDING)),
        high=of.high,
        rule=want,
        at=at,
        moving=moving,
        worst=worst,
        p=of.gap.p,
        q=of.gap.q,
    )


def _apart(a: BayBody, b: BayBody) -> float:
    """Between the boxes round two bodies, mm."""
    (low, high), (other_low, other_high) = a.body.box, b.body.box
    return float(np.linalg.norm(np.maximum(np.maximum(other_low - high, low - other_high), 0.0)))


def newly_short(
    gaps: Sequence[SlideGap], pairs: Sequence[Pair], moves: Mapping[frozenset[str], Moved]
) -> tuple[SlideGap, ...]:
    """Those that are less than asked and are not so as drawn, or that meet and do not as drawn."""
    drawn = {frozenset((pair.a, pair.b)): pair for pair in pairs}
    told = []
    for gap in gaps:
        key = frozenset((gap.a, gap.b))
        before: Pair | Moved | None = moves.get(key) if gap.moving else drawn.get(key)
        was_short = before is not None and before.spare < 0
        met_before = before is not None and before.high <= 0
        if gap.short and (not was_short or (gap.touches and not met_before)):
            told.append(gap)
    return tuple(told)
