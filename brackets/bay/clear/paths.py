"""Does it come out: every path in or out that the bay file states, driven past all that is still fitted.

A bush and its sleeve are one piece and go with the part whose cup holds them, a bobbin with the part it stays on.
What is bolted up stays where it is until its bolts are out. mm, degrees.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from brackets.bay.schema.asked import POWERTRAIN, LegRow, PathEntry, StraightLegRow
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import Gap, Mount
from brackets.bay.stand.bodies import BayBody
from brackets.bay.stand.gap_rules import contacts, fit_ups, same_mount
from brackets.bay.stand.hardware import OF_MOUNT
from brackets.bay.stand.unloaded import no_weight
from brackets.clearance.legs import RotaryLeg, StraightLeg, straight, swing
from brackets.clearance.paths import LegFound, path
from brackets.core.ahead import ahead
from brackets.core.vectors import Vec

WITHIN = 0.5
"""How wide the interval of the least gap on a path may stay, mm: hands do not hold it better."""

CLASS = "path"
"""Class of gap asked for on a path that does not say its own."""


@dataclass(frozen=True, kw_only=True)
class BayPath:
    """One path: whether it is out; each leg with how much of it is free; the least gap, from low to high mm.

    `pair` are the two that come nearest, or meet; p and q where; `at` the leg (from 1) and the mm or degrees along
    it. `held` names the mounts and bosses whose bolts are still in: then it is not driven at all. Pairs that touch
    at the start (bolted, cut to each other, a bush in its own mount), `watched`, are looked at now and then only,
    and count where they come to foul. `notes`: two bodies each, and what an open scan leaves open of them. `gone`:
    the bodies that are out of the bay by then; `drive`: the legs as they are typed, driven or not.
    `unloaded`: whether it is driven with the weight off the bushes.
    """

    name: str
    part: str
    without: tuple[str, ...]
    moving: tuple[str, ...]
    out: bool
    legs: tuple[LegFound, ...]
    low: float | None
    high: float | None
    needed: float
    why: str
    pair: tuple[str, str] | None
    p: Vec | None
    q: Vec | None
    at: tuple[int, float] | None
    held: tuple[str, ...]
    watched: tuple[tuple[str, str], ...] = ()
    notes: tuple[tuple[str, str, str], ...] = ()
    unloaded: bool = False
    gone: tuple[str, ...] = ()
    drive: tuple[StraightLeg | RotaryLeg, ...] = ()

    @property
    def free(self) -> float:
        """mm or degrees of the last leg that was driven which are free."""
        return self.legs[-1].free if self.legs else 0.0

    @property
    def spare(self) -> float | None:
        """Found less wanted, from the low end; None where it does not come out, or nothing is anywhere near."""
        return None if not self.out or self.low is None else self.low - self.needed


def bay_paths(bay: Bay, all_things: Sequence[BayBody]) -> tuple[BayPath, ...]:
    """Every path of the bay file, in its order; one whose part was left out is left out too."""
    there = {thing.name for thing in all_things}
    each = [
        partial(_driven, bay, entry, all_things) for entry in bay.paths if entry.row.part in {*there, POWERTRAIN}
    ]
    with ahead(each):
        return tuple(one() for one in each)


def _driven(bay: Bay, entry: PathEntry, all_things: Sequence[BayBody]) -> BayPath:
    """One path; with nothing on the bushes where the powertrain goes, or a mount that carries weight is undone."""
    hung = no_weight(bay)
    if hung is not None and (entry.row.part == POWERTRAIN or hung.bares({entry.row.part, *entry.row.without}, bay)):
        return replace(_drive(bay, entry, hung.things(all_things)), unloaded=True)
    return _drive(bay, entry, all_things)


def _drive(bay: Bay, entry: PathEntry, all_things: Sequence[BayBody]) -> BayPath:
    out = set(entry.row.without)
    moves = {t.name for t in all_things if _moves(bay, entry, t)}
    gone = {t.name for t in all_things if t.name in out or _goes_with(bay, t, out)}
    ones = [t for t in all_things if t.name in moves - gone]
    others = [t for t in all_things if t.name not in moves | gone]
    held = (*_held(bay, entry, {t.name for t in ones}, out), *_bolted(ones, all_things, out))
    asked = bay.gap(CLASS)
    if entry.row.gap is not None:
        asked = Gap(rest=entry.row.gap, moved=0.0, why="the bay file")
    out_by_then = tuple(t.name for t in all_things if t.name in gone)
    if held or not ones or not others:
        return _found(entry, ones, asked, out=not held, held=held, gone=out_by_then)
    meant = contacts(bay) | fit_ups(bay)
    touching = {
        (i, j)
        for i, a in enumerate(ones)
        for j, b in enumerate(others)
        if frozenset((a.name, b.name)) in meant or same_mount(a, b)
    }
    legs = [leg_of(leg) for leg in entry.legs]
    driven = [t.body if t.lifted is None else t.lifted for t in ones]
    done = path(driven, [t.body for t in others], legs, WITHIN, touching=touching)
    near = done.gap is not None
    return _found(
        entry,
        ones,
        asked,
        out=done.out,
        legs=done.legs,
        interval=(done.low, done.high) if near else None,
        pair=done.hits or done.nearest,
        points=(done.gap.p, done.gap.q) if done.gap is not None else None,
        at=(done.at[0] + 1, done.at[1]) if near else None,
        watched=done.watched,
        notes=done.notes,
        gone=out_by_then,
    )


def leg_of(row: LegRow) -> StraightLeg | RotaryLeg:
    """A typed leg as one to be driven."""
    if isinstance(row, StraightLegRow):
        return straight(row.by)
    return swing(row.through, row.axis, row.turn)


def _moves(bay: Bay, entry: PathEntry, thing: BayBody) -> bool:
    """Whether a thing is what moves on this path, or goes with it."""
    if thing.what in ("bush", "sleeve", "end"):
        mount = _mount(bay, thing.mounts[0])
        if entry.row.part == POWERTRAIN:
            return mount.cup == POWERTRAIN
        return mount.holder == entry.row.part
    if entry.row.part == POWERTRAIN:
        return thing.side == POWERTRAIN and (thing.what != "bolt" or thing.holds is not None)
    return entry.row.part in (thing.name, thing.holds)


def _goes_with(bay: Bay, thing: BayBody, out: set[str]) -> bool:
    """Whether a bush, sleeve, bolt or nut is out of the bay because its mount's bolt or a part of its mount is."""
    if thing.holds is not None:
        return thing.holds in out or thing.name.removesuffix(" bolt") in out or _called(thing) in out
    if thing.what not in OF_MOUNT:
        return False
    mount = _mount(bay, thing.mounts[0])
    if thing.what == "bolt":
        return bool(out & {mount.name, *mount.parts})
    return mount.holder in out


def _called(thing: BayBody) -> str | None:
    """What a file calls the bolts that hold a part to keep-outs, all together; None of any other body."""
    return f"{thing.holds} bolts" if thing.holds is not None and thing.through else None


def _bolted(ones: Sequence[BayBody], all_things: Sequence[BayBody], out: set[str]) -> tuple[str, ...]:
    """The bolts to the chassis that still hold a part that moves."""
    moving = {one.name for one in ones if one.what == "part"}
    called = [_called(thing) for thing in all_things if thing.holds in moving and thing.holds not in out]
    stays = (name for name in called if name is not None and name not in out)
    return tuple(dict.fromkeys(stays))


def _held(bay: Bay, entry: PathEntry, moving: set[str], out: set[str]) -> tuple[str, ...]:
    """Mounts and bosses whose bolts still hold what moves to something that stays."""
    whole = entry.row.part == POWERTRAIN
    held = []
    for mount in bay.mounts:
        go = [name in moving or (whole and name == mount.powertrain_part) for name in mount.parts]
        if any(go) and not all(go) and not out & {mount.name, *mount.parts}:
            held.append(mount.name)
    if not whole:
        held += [
            boss
            for entry in bay.parts
            if entry.row.name in moving
            for boss in entry.row.bosses
            if boss not in out
        ]
    return tuple(held)


def _mount(bay: Bay, name: str) -> Mount:
    return next(mount for mount in bay.mounts if mount.name == name)


def _found(
    entry: PathEntry,
    ones: Sequence[BayBody],
    asked: Gap,
    *,
    out: bool,
    held: tuple[str, ...] = (),
    legs: tuple[LegFound, ...] = (),
    interval: tuple[float, float] | None = None,
    pair: tuple[str, str] | None = None,
    points: tuple[Vec, Vec] | None = None,
    at: tuple[int, float] | None = None,
    watched: tuple[tuple[str, str], ...] = (),
    notes: tuple[tuple[str, str, str], ...] = (),
    gone: tuple[str, ...] = (),
) -> BayPath:
    low, high = (None, None) if interval is None else interval
    p, q = (None, None) if points is None else points
    return BayPath(
        name=entry.row.name,
        part=entry.row.part,
        without=entry.row.without,
        moving=tuple(t.name for t in ones),
        out=out,
        legs=legs,
        low=low,
        high=high,
        needed=asked.rest,
        why=asked.why,
        pair=pair,
        p=p,
        q=q,
        at=at,
        held=held,
        watched=watched,
        notes=notes,
        gone=gone,
        drive=tuple(leg_of(leg) for leg in entry.legs),
    )
