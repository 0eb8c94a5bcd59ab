"""Every bolt of a bay: its length, whether it goes in and comes out, in which order, and its tools.

A part is there before the bolts that hold it, a bush before the bolt through it, and a bolt before whatever is in
its way. mm, bay axes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import assert_never

from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import ChassisBolt
from brackets.bay.bolts.own_metal import InMetal, in_own_metal
from brackets.bay.bolts.tool_access import Drawn, Fitted, Reached, drawn, reached
from brackets.bay.schema.record import Bay
from brackets.bay.stand.bobbin_ends import EndBolt, StudNut, end_fasteners
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.hardware import MountBolt, mount_bolt
from brackets.bay.stand.placed_part import PlacedBay
from brackets.bay.stand.unloaded import NoWeight, no_weight
from brackets.core.tables.bolt_rows import Bolt
from brackets.core.vectors import Vec, add, scale
from brackets.survey.bolt_lengths import Tapped, Through

NOWHERE: Mapping[str, Vec] = {}
"""No mount's bolt is anywhere but where it is drawn."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """A bolt by its name among the bodies: what is there before it, and what must not be there yet."""

    bolt: str
    after: tuple[str, ...]
    before: tuple[str, ...] = ()


def contradiction(of: str, steps: Sequence[Step]) -> tuple[str, ...]:
    """The shortest round of names, from the bolt `of` back to itself, each of which must be there before the next;
    nothing where some order lets it in."""
    later = _later(steps)
    before: dict[str, str] = {}
    turn = [of]
    while turn:
        reached = []
        for name in turn:
            for following in later.get(name, ()):
                if following == of:
                    return _round(of, name, before)
                if following not in before:
                    before[following] = name
                    reached.append(following)
        turn = reached
    return ()


def _later(steps: Sequence[Step]) -> Mapping[str, Iterable[str]]:
    later: dict[str, dict[str, None]] = {}
    for step in steps:
        for name in step.after:
            later.setdefault(name, {})[step.bolt] = None
        for name in step.before:
            later.setdefault(step.bolt, {})[name] = None
    return later


def _round(of: str, last: str, before: Mapping[str, str]) -> tuple[str, ...]:
    names = [of, last]
    while names[-1] != of:
        names.append(before[names[-1]])
    return tuple(reversed(names))


@dataclass(frozen=True, kw_only=True)
class BoltFound:
    """One bolt: what it is, how it comes out (a mount bolt also from its other end), what gets at its ends; `drawn`
    None where it is a mount's for which nothing fits.

    `body` is its name among the bodies of the bay, `holds` the parts that it holds together, and `in_metal` what of
    a boss's bolt lies in the metal of its part. `no_order`: where it must go in before something is there that must
    be there before it, the names of that round, first and last the bolt's own. `unloaded`: whether it is judged
    with the weight off the bushes, as it is put in then."""

    name: str
    bolt: MountBolt | BossBolt | ChassisBolt | StudNut | EndBolt
    drawn: Drawn | None
    turned: Drawn | None
    ends: tuple[Reached, ...]
    body: str
    holds: tuple[str, ...]
    in_metal: tuple[InMetal, ...] = ()
    no_order: tuple[str, ...] = ()
    unloaded: bool = False

    @property
    def row(self) -> Bolt:
        return self.bolt.row

    @property
    def used(self) -> Through | Tapped | None:
        """How it sits as drawn; None where nothing fits, and of a nut on a stud."""
        match self.bolt:
            case MountBolt() | EndBolt():
                return self.bolt.drawn
            case StudNut():
                return None
            case BossBolt() | ChassisBolt():
                return self.bolt.stock
            case _:
                assert_never(self.bolt)

    @property
    def withdrawals(self) -> tuple[Drawn, ...]:
        """The ways out that were tried and that what it holds does not bar, least in the way first; a bolt that
        comes out has the one."""
        tried = [way for way in (self.drawn, self.turned) if way is not None and not way.held]
        return tuple(sorted(tried, key=lambda way: len(way.meets)))


def bolts(
    stood: PlacedBay,
    all_things: Sequence[BayBody],
    held: Sequence[BossBolt | ChassisBolt] = (),
    carried: Mapping[str, Vec] = NOWHERE,
) -> tuple[BoltFound, ...]:
    """The bolts of the mounts, then those that hold parts to bosses and to keep-outs, `held`; `carried`: how far
    the bolt of a mount is from where it is drawn, mm, by the mount's name. Those of mounts that carry weight, and
    of the parts that meet there, are judged with nothing on the bushes, where that is worked out."""
    fitted, hung = Fitted(all_things), no_weight(stood.bay)
    lifted = fitted if hung is None else Fitted(hung.things(all_things))
    found = (*_of_mounts(stood, fitted, carried, hung, lifted), *_of_parts(stood, fitted, held, hung, lifted))
    steps = [_step(one) for one in found]
    return tuple(replace(one, no_order=contradiction(one.body, steps)) for one in found)


def _step(one: BoltFound) -> Step:
    """What is there before the bolt, a mount's bush among it, and what it must go in before."""
    match one.bolt:
        case MountBolt():
            bushes: tuple[str, ...] = (f"{one.name} bush", f"{one.name} sleeve")
        case StudNut() | EndBolt():
            bushes = (f"{one.bolt.mount} bush", one.bolt.end)
        case BossBolt() | ChassisBolt():
            bushes = ()
        case _:
            assert_never(one.bolt)
    before = one.withdrawals[0].meets if one.withdrawals else ()
    return Step(bolt=one.body, after=(*one.holds, *bushes), before=before)


def _of_mounts(
    stood: PlacedBay,
    drawn_: Fitted[BayBody],
    carried: Mapping[str, Vec],
    hung: NoWeight | None,
    lifted: Fitted[BayBody],
) -> Iterator[BoltFound]:
    params = {part.name: part.params for part in stood.parts}
    parts = {part.name: part.part for part in stood.parts}
    for mount in stood.bay.mounts:
        off = hung if hung is not None and mount.name in hung.mounts else None
        fitted, shift = drawn_ if off is None else lifted, carried.get(mount.name, (0.0, 0.0, 0.0))
        for one in end_fasteners(stood.bay, mount, parts):
            face, way = _stands(off, add(one.face, shift), one.way)
            found_one = _at_end(stood.bay, fitted, replace(one, face=face, way=way))
            yield replace(found_one, bolt=one, unloaded=off is not None)
        found = mount_bolt(stood.bay, mount, params)
        if found is None:
            continue
        found = replace(found, face=add(found.face, shift))
        body, holds = f"{mount.name} bolt", mount.parts
        if found.drawn is None:
            yield BoltFound(
                name=mount.name, bolt=found, drawn=None, turned=None, ends=(), body=body, holds=holds
            )
            continue
        face, head = _stands(off, found.face, found.head)
        there = replace(found, face=face, head=head)
        done = _through(fitted, stood.bay, there, found.drawn, name=mount.name, body=body, holds=holds)
        yield replace(done, bolt=found, unloaded=off is not None)


def _stands(hung: NoWeight | None, at: Vec, way: Vec) -> tuple[Vec, Vec]:
    """Where a bolt's face is and which way its head, from where they are drawn."""
    return (at, way) if hung is None else (hung.point(at), hung.direction(way))


def _at_end(bay: Bay, fitted: Fitted[BayBody], one: StudNut | EndBolt) -> BoltFound:
    """The nut on a bobbin's stud, which is wound off over the whole of it, or the bolt into its tapped end."""
    row, holds, but = one.row, (one.part,), (one.name, one.end)
    match one:
        case StudNut():
            end, across, height, high = "nut", row.nut_across_flats, one.nut_height, max(one.past, one.nut_height)
            length: float | None = one.past
            corners = row.nut_across_flats * row.across_corners / row.across_flats
        case EndBolt():
            end, across, height, high = "head", row.across_flats, row.head_height, row.head_height
            length, corners = (None if one.drawn is None else one.drawn.length), row.across_corners
        case _:
            assert_never(one)
    if length is None:
        return BoltFound(name=one.name, bolt=one, drawn=None, turned=None, ends=(), body=one.name, holds=holds)
    size = {"length": max(length, height), "head_od": max(corners, row.washer_od), "head_height": height}
    return BoltFound(
        name=one.name,
        bolt=one,
        drawn=drawn(fitted, one.head_at, one.way, **size, but=but, holds=holds),
        turned=None,
        ends=(reached(fitted, bay, end, one.head_at, one.way, across_flats=across, height=high, but=but),),
        body=one.name,
        holds=holds,
    )


def _through(
    fitted: Fitted[BayBody],
    bay: Bay,
    of: MountBolt | ChassisBolt,
    used: Through,
    *,
    name: str,
    body: str,
    holds: tuple[str, ...],
    in_metal: tuple[InMetal, ...] = (),
) -> BoltFound:
    """A bolt with a head at one end and a nut, if any, at the other, as it is `used`."""
    row, own = of.row, (body,)
    under, behind = (n * row.washer_t for n in used.washers)
    head_at = add(of.face, scale(of.head, under))
    nut_at = add(of.face, scale(of.head, -of.grip - behind))
    back = scale(of.head, -1.0)
    size = {"length": used.length, "head_od": _widest(row), "head_height": row.head_height}
    out = drawn(fitted, head_at, of.head, **size, but=own, holds=holds)
    other = None if out.out else drawn(fitted, nut_at, back, **size, but=own, holds=holds)
    ends = [
        reached(
            fitted,
            bay,
            "head",
            head_at,
            of.head,
            across_flats=row.across_flats,
            height=row.head_height,
            but=own,
        )
    ]
    if of.nut_height is not None:
        tip = used.length - under - of.grip - behind
        ends.append(
            reached(
                fitted,
                bay,
                "nut",
                nut_at,
                back,
                across_flats=row.nut_across_flats,
                height=max(of.nut_height, tip),
                but=own,
            )
        )
    return BoltFound(
        name=name,
        bolt=of,
        drawn=out,
        turned=other,
        ends=tuple(ends),
        body=body,
        holds=holds,
        in_metal=in_metal,
    )


def _of_parts(
    stood: PlacedBay,
    drawn_: Fitted[BayBody],
    held: Sequence[BossBolt | ChassisBolt],
    hung: NoWeight | None,
    lifted: Fitted[BayBody],
) -> Iterator[BoltFound]:
    """Those of a part that meets at a mount which carries weight go with it, as its halves do, weight off."""
    there = {thing.name: thing for thing in drawn_.things}
    for one in held:
        off = hung if hung is not None and hung.mounts & set(there[one.part].mounts) else None
        fitted = drawn_ if off is None else lifted
        match one:
            case BossBolt():
                at, way = _stands(off, one.at, one.way)
                found = _of_boss(stood, fitted, one, replace(one, at=at, way=way), there[one.part])
            case ChassisBolt():
                face, head = _stands(off, one.face, one.head)
                found = _of_chassis(stood, fitted, one, replace(one, face=face, head=head), there[one.part])
            case _:
                assert_never(one)
        yield replace(found, bolt=one, unloaded=off is not None and found.drawn is not None)


def _of_chassis(
    stood: PlacedBay, fitted: Fitted[BayBody], one: ChassisBolt, there: ChassisBolt, part: BayBody
) -> BoltFound:
    holds = (one.part, *one.onto)
    if one.stock is None:
        return BoltFound(name=one.name, bolt=one, drawn=None, turned=None, ends=(), body=one.name, holds=holds)
    in_metal = in_own_metal(one, part)
    return _through(
        fitted, stood.bay, there, one.stock, name=one.name, body=one.name, holds=holds, in_metal=in_metal
    )


def _of_boss(
    stood: PlacedBay, fitted: Fitted[BayBody], one: BossBolt, there: BossBolt, part: BayBody
) -> BoltFound:
    row = one.row
    length = one.shortest if one.stock is None else one.stock.length
    size = {"length": length, "head_od": _widest(row), "head_height": row.head_height}
    own = (one.name,)
    end = reached(
        fitted,
        stood.bay,
        "head",
        there.head_at,
        there.way,
        across_flats=row.across_flats,
        height=row.head_height,
        but=own,
    )
    holds = (one.part,)
    return BoltFound(
        name=one.boss.name,
        bolt=one,
        drawn=drawn(fitted, there.head_at, there.way, **size, but=own, holds=holds),
        turned=None,
        ends=(end,),
        body=one.name,
        holds=holds,
        in_metal=in_own_metal(one, part),
    )


def _widest(row: Bolt) -> float:
    """mm over whatever of head and washer is wider."""
    return max(row.across_corners, row.washer_od)
