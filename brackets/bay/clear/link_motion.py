"""Links when the engine moves: the gaps of the bar, and what it asks of its two bushes since it keeps its length.

The bar points from its bush on the chassis at the other one; half of what the two are further apart than it is long
is taken by either bush. mm, degrees.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np

from brackets.bay.clear.moving import Moved, in_words, moved_pair
from brackets.bay.clear.regions import cases_of, moves_of, nearest_case
from brackets.bay.schema.links import Link, links_of
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Mount
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.gap_rules import GapRule, contacts, fit_ups, is_relevant_pair, required_gap
from brackets.bay.stand.hardware import bush_of
from brackets.bay.stand.placed_part import PlacedBay
from brackets.clearance.gaps import by_triangles
from brackets.clearance.greatest import Most
from brackets.clearance.link_demand import EndDemand, LinkDemand, link_demand
from brackets.clearance.link_moves import LinkMoves
from brackets.clearance.places import IDENTITY, point
from brackets.clearance.sweeps import sweep
from brackets.clearance.two_link_moves import TwoLinkMoves
from brackets.core.errors import BadFile, InputError
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import LINK_TILT, LINK_TRAVEL, TYPED
from brackets.core.rulebook.finding_rule import FindingRule
from brackets.core.tables.bush_rows import AnyBush
from brackets.core.vectors import Vec, add, dot, length, sub, unit

WITHIN = 0.5
"""How wide the interval of a bar's smallest gap may stay, mm."""

LOOKS = 8_000
"""Distances measured for the bodies of a link against those of one side before the intervals are left as wide as
they are."""

FEWER_LOOKS = 3_000
"""The same for those of two links: each look places both."""

ENDWISE = 0.7
"""Cosine to the bush axis past which the gap between a bar and what holds it is one along that axis."""


@dataclass(frozen=True, kw_only=True)
class LinkEnd:
    """One bush of a link: its mount, its row, and what it must give; None where there is no movement."""

    mount: str
    row: AnyBush
    demand: EndDemand | None


@dataclass(frozen=True, kw_only=True)
class LinkFound:
    """A link: mm from seat to seat of its part and from mount to mount, and what it asks of its bushes."""

    part: str
    length: float
    apart: float
    demand: LinkDemand | None
    chassis: LinkEnd
    powertrain: LinkEnd


def links(stood: PlacedBay) -> tuple[LinkFound, ...]:
    """Every link whose part stands. Raises BadFile where one is too short for the movement."""
    parts = {part.name: part.part for part in stood.parts}
    found = []
    for link in links_of(stood.bay):
        if link.part not in parts:
            continue
        one, other = (parts[link.part].seat(mount.link_seat).place for mount in (link.chassis, link.powertrain))
        long = length(sub(other.at, one.at))
        moves, asked = _moves(stood.bay, link), None
        if moves is not None:
            asked = link_demand(moves, length=long, fixed_axis=link.chassis.axis, moving_axis=link.powertrain.axis)
        found.append(
            LinkFound(
                part=link.part,
                length=long,
                apart=link.apart,
                demand=asked,
                chassis=_end(stood.bay, link.chassis, None if asked is None else asked.fixed),
                powertrain=_end(stood.bay, link.powertrain, None if asked is None else asked.moving),
            )
        )
    return tuple(found)


def _end(bay: Bay, mount: Mount, demand: EndDemand | None) -> LinkEnd:
    return LinkEnd(mount=mount.name, row=bush_of(bay, mount), demand=demand)


def _moves(bay: Bay, link: Link, *, seen_from_engine: bool = False) -> LinkMoves | None:
    engine = moves_of(bay)
    if engine is None:
        return None
    try:
        return LinkMoves(engine, link.chassis.at, link.powertrain.at, seen_from_engine=seen_from_engine)
    except InputError as error:
        raise BadFile(bay.path, *(f"part {link.part}: {problem}" for problem in error.problems)) from None


def bar_reach(bay: Bay, bar: BayBody, *, seen_from_engine: bool) -> float:
    """mm: no point of a body on a link gets further over the movement, in the bay's axes or the engine's; 0 where
    there is no movement. Raises BadFile where the link is too short for it."""
    found = 0.0
    for link in links_of(bay):
        moves = _moves(bay, link, seen_from_engine=seen_from_engine) if link.part == bar.link else None
        if moves is not None:
            corners = np.array(list(product(*np.transpose(bar.body.box))))
            found = moves.reach(corners).most(np.abs(moves.limits).max(axis=1))
    return found


def links_moved(bay: Bay, all_things: Sequence[BayBody]) -> tuple[Moved, ...]:
    """Every pair of a body on a link with one of the chassis, of the powertrain, or on another link, over the
    movement. The parts that hold the bar are looked at too; bushes, sleeves and bolts of its own mounts go by the
    travel of the bush."""
    found: list[Moved] = []
    for one, other in combinations(links_of(bay), 2):
        ones, others = ([thing for thing in all_things if thing.link == link.part] for link in (one, other))
        moves, others_moves = _moves(bay, one), _moves(bay, other)
        if moves is not None and others_moves is not None and ones and others:
            points = np.array([corner for bar in others for corner in product(*np.transpose(bar.body.box))])
            found += _swept(bay, ones, others, TwoLinkMoves(moves, others_moves, points), one.powertrain.at)
    for link in links_of(bay):
        ones = [thing for thing in all_things if thing.link == link.part]
        for side in ("chassis", "powertrain"):
            moves = _moves(bay, link, seen_from_engine=side == "powertrain")
            others = [thing for thing in all_things if thing.side == side]
            if moves is not None and ones and others:
                found += _swept(bay, ones, others, moves, link.powertrain.at)
    return tuple(found)


def _swept(
    bay: Bay, ones: Sequence[BayBody], others: Sequence[BayBody], moves: LinkMoves | TwoLinkMoves, end: Vec
) -> Iterator[Moved]:
    """`end`: where the bar of `ones` is held by the powertrain, mm."""
    meant, cases = contacts(bay) | fit_ups(bay), cases_of(bay)
    skip, wants = set(), []
    for i, a in enumerate(ones):
        row = []
        for j, b in enumerate(others):
            row.append(_required(bay, a, b))
            own = set(a.mounts) & set(b.mounts) and not a.what == b.what == "part"
            if own or frozenset((a.name, b.name)) in meant or not is_relevant_pair(bay, a, b):
                skip.add((i, j))
        wants.append(row)
    if len(skip) == len(ones) * len(others):
        return
    needed = [[want.moved for want in row] for row in wants]
    swept = sweep(
        [t.body for t in ones],
        [t.body for t in others],
        moves,
        WITHIN,
        needed=needed,
        skip=skip,
        looks=FEWER_LOOKS if isinstance(moves, TwoLinkMoves) else LOOKS,
        follow_least=False,
    )
    for pair in swept.pairs:
        found = moved_pair(pair, wants[pair.i][pair.j], "link")
        at = np.r_[np.radians(pair.worst.angles), moves.frame @ pair.worst.travel]
        if isinstance(moves, TwoLinkMoves):
            seen_from = moves.other.place(at)
        else:
            seen_from = moves.engine.place(at) if moves.seen_from_engine else IDENTITY
        p, q = seen_from.points(np.array([found.p, found.q]))
        if isinstance(moves, LinkMoves) and moves.seen_from_engine:
            case = nearest_case(cases, found.q, found.p)
        else:  # the bar goes the way its end on the powertrain goes
            case = nearest_case(cases, end, add(end, sub(found.q, found.p)))
        yield replace(found, p=point(p), q=point(q), case=case)


def _required(bay: Bay, a: BayBody, b: BayBody) -> GapRule:
    """Between the bar and what holds it endways where they are nearest along the bush axis."""
    axes = [unit(mount.axis) for mount in bay.mounts if mount.name in a.mounts and mount.name in b.mounts]
    if not axes or not a.what == b.what == "part":
        return required_gap(bay, a, b)
    still, _ = by_triangles(a.body, b.body)
    way = sub(still.q, still.p)
    endwise = length(way) > 0 and any(abs(dot(unit(way), axis)) > ENDWISE for axis in axes)
    return required_gap(bay, a, b, endwise=endwise)


def link_findings(found: Sequence[LinkFound]) -> Iterator[Finding]:
    """A stop for every bush that a link asks more of than its row, typed in the bay file, says it gives; a caution
    where the row is invented, advice where it does not say how far it tilts."""
    for link in found:
        for end in (link.chassis, link.powertrain):
            asked = end.demand
            if asked is None:
                continue
            row = end.row
            yield from _over(link, end, LINK_TRAVEL, "square to its axis", asked.radial, row.travel_radial, "mm")
            yield from _over(link, end, LINK_TRAVEL, "along its axis", asked.axial, row.travel_axial, "mm")
            if row.travel_tilt is not None:
                yield from _over(link, end, LINK_TILT, "of tilt", asked.tilt, row.travel_tilt, "deg")
            elif asked.tilt.high > 0:
                yield LINK_TILT.finding(
                    level="advice",
                    piece=link.part,
                    about=(link.part, f"{end.mount} bush"),
                    value=asked.tilt.high,
                    sentence=f"{end.mount}: up to {asked.tilt.high:.1f} deg of tilt asked of bush {row.name}, which"
                    " does not say what it takes (travel tilt): not judged",
                )


def _over(
    link: LinkFound, end: LinkEnd, rule: FindingRule, way: str, asked: Most, limit: float, unit: str
) -> Iterator[Finding]:
    if asked.high <= limit:
        return
    row = end.row
    where = in_words(asked.worst.angles, asked.worst.travel)
    yield rule.finding(
        level="caution" if row.sample else "stop",
        piece=link.part,
        about=(link.part, f"{end.mount} bush"),
        value=asked.high,
        limit=limit,
        source_words=row.stamp or TYPED,
        sentence=f"{end.mount}: up to {asked.high:.1f} {unit} {way} asked of bush {row.name} ({where}), it gives"
        f" {limit:g}",
    )
