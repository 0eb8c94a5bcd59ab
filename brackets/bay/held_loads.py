"""What each load case of a bay does at the seats of its parts. N, N mm, mm, axes of the bay.

A bush pushes the part on the powertrain's side as it pushes the powertrain, and the part on the chassis' side the
other way; a link is pulled at both its bushes along its length and no other way. Each acts at the middle of the
bush, wherever the part's seat is. The weight of the parts themselves is not added to it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from brackets.bay.hung.load_cases import load_cases_of
from brackets.bay.hung.on_bushes import OnBushes, on_bushes
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import LINK
from brackets.core.finding import Finding
from brackets.core.vectors import Vec, add, cross, scale, sub
from brackets.hang.cases import CaseResult, under_cases
from brackets.hang.findings import turn_findings
from brackets.hang.load import Counts, G, LoadCase
from brackets.hang.mount import Array, Stop
from brackets.hang.mount import Mount as HangMount
from brackets.hang.scatter import ReactionRange, reaction_range
from brackets.hold.part_cases import PartCase, SeatLoad
from brackets.model.part import Part

CORNER = ", bushes "
"""In the name of a case that is a corner of the scatter of another."""
SPREAD = 1e-6
"""Of the largest force: bounds nearer than this are one figure."""
MOST_CORNERS = 64
"""Corners of the forces of a part's mounts together: two mounts that scatter in all directions."""


@dataclass(frozen=True, kw_only=True)
class BushPush:
    """What one mount does to the powertrain in one case: `force` N and `couple` N mm at `at`, mm; low, high: (3,)
    bounds of the force over the scatter of all bushes; stops: force N and place mm of each stop of it that pushes,
    most: the same at the largest push of the scatter."""

    at: Vec
    force: Vec
    couple: Vec
    low: Vec
    high: Vec
    stops: tuple[tuple[Vec, Vec], ...] = ()
    most: tuple[tuple[Vec, Vec], ...] = ()


@dataclass(frozen=True, kw_only=True)
class CasePushes:
    """One load case: what every mount does to the powertrain in it, by the mount's name, a link by its part's.

    stops: N of each stop that pushes and is of no mount, so that it is led through no part; pull: N on each kg, of
    the powertrain and of the parts on it, weight and what is felt beside it.
    """

    name: str
    counted: Counts
    why: str
    by_mount: Mapping[str, BushPush]
    stops: Mapping[str, float]
    pull: Vec = (0.0, 0.0, -G)


@dataclass(frozen=True, kw_only=True)
class BayLoads:
    """The load cases of a bay, the weight alone first, none where none is typed; on: the mechanics they are of;
    turned: a stop where these are not good for so large a turn."""

    on: OnBushes
    cases: tuple[CasePushes, ...]
    turned: tuple[Finding, ...] = ()


def loads_of(bay: Bay) -> BayLoads:
    """What every mount does in every load case, with its bounds over the scatter of the bushes.

    bay: as read. Raises InputError where there is nothing to hang or nothing holds it.
    """
    on = on_bushes(bay)
    cases = load_cases_of(bay, on)
    if not cases:
        return BayLoads(on=on, cases=())
    mass, centre = on.mass.kg, on.mass.centroid
    found = []
    results = tuple(under_cases(mass, centre, on.mounts, cases, stops=on.stops))
    for result in results:
        case = result.case
        spread = reaction_range(mass, centre, on.mounts, case.loads, stops=on.stops, felt=case.felt)
        found.append(_pushes(result, spread))
    return BayLoads(on=on, cases=tuple(found), turned=tuple(turn_findings(results)))


def weight_alone(on: OnBushes) -> BayLoads:
    """The weight and nothing else, every bush as typed. Raises InputError where nothing holds it."""
    (rest,) = under_cases(on.mass.kg, on.mass.centroid, on.mounts, (), stops=on.stops)
    by_mount = {}
    for mount, force, couple in zip(rest.found.mounts, rest.found.forces, rest.found.couples, strict=True):
        push = _vec(force)
        by_mount[mount.name] = BushPush(
            at=_vec(mount.position), force=push, couple=_vec(couple), low=push, high=push
        )
    case = CasePushes(name=rest.case.name, counted="characteristic", why=rest.case.why, by_mount=by_mount, stops={})
    return BayLoads(on=on, cases=(case,))


def _pushes(result: CaseResult, spread: ReactionRange) -> CasePushes:
    case: LoadCase = result.case
    (low, high), by_mount = spread.forces, {}
    for i, mount in enumerate(result.found.mounts):
        by_mount[mount.name] = BushPush(
            at=_vec(mount.position), force=_vec(result.found.forces[i]), couple=_vec(result.found.couples[i]),
            low=_vec(low[i]), high=_vec(high[i]),
            stops=_of_mount(result.found.stops, result.found.pushes, mount.name),
            most=_of_mount(result.found.stops, spread.pushes[1], mount.name),
        )  # fmt: skip
    pushing = zip(result.found.stops, result.found.pushes, strict=True)
    return CasePushes(
        name=case.name, counted=case.counts, why=case.why, by_mount=by_mount,
        stops={stop.name: float(push) for stop, push in pushing if push > 0 and stop.of not in by_mount},
        pull=scale(sub(case.felt, (0.0, 0.0, 1.0)), G),
    )  # fmt: skip


def _of_mount(stops: Sequence[Stop], pushes: Array, name: str) -> tuple[tuple[Vec, Vec], ...]:
    """Force on the powertrain and place of each stop of a mount that pushes: back the way that it closes."""
    return tuple(
        (scale(stop.direction, -float(push)), stop.at)
        for stop, push in zip(stops, pushes, strict=True) if stop.of == name and push > 0
    )  # fmt: skip


def part_cases(
    bay: Bay, loads: BayLoads, part: Part, name: str, *, load_factor: float = 1.0, own_weight: bool = False
) -> tuple[PartCase, ...]:
    """The load cases of one part: what acts at its seats, in axes of the bay, as it stands there.

    part: where it stands; name: what the bay calls it; load_factor: for characteristic cases; own_weight: whether
    what it weighs itself counts, pulled as the powertrain is. After each case
    come the corners of what the scatter of the bushes makes of it, factored already, so that no stress range is
    worked out between two of them. None where no mount is on the part.
    """
    seats = tuple(_seats(bay, part, name))
    if not seats:
        return ()
    made = []
    for case in loads.cases:
        factor = load_factor if case.counted == "characteristic" else 1.0
        pull = case.pull if own_weight else (0.0, 0.0, 0.0)
        made.append(
            PartCase(
                name=case.name, counted=case.counted, why=case.why,
                loads=tuple(seat.load(case.by_mount[seat.mount]) for seat in seats), pull=pull,
            )
        )  # fmt: skip
        for corner, forces in _corners(case, seats):
            pushed = tuple(
                seat.load(case.by_mount[seat.mount], force, factor)
                for seat, force in zip(seats, forces, strict=True)
            )
            made.append(
                PartCase(
                    name=f"{case.name}{CORNER}{corner}",
                    counted="factored",
                    why=case.why,
                    loads=pushed,
                    pull=scale(pull, factor),
                )
            )
    return tuple(made)


@dataclass(frozen=True, kw_only=True)
class _Seat:
    """A seat of a part at a mount: which way the mount's force on the powertrain acts on the part, 1 or -1, and
    where its bush has its middle."""

    mount: str
    seat: str
    at: Vec
    sign: float
    bush: Vec
    turns: bool

    def load(self, push: BushPush, force: Vec | None = None, factor: float = 1.0) -> SeatLoad:
        """What acts on the part, about the origin of its seat."""
        acting = scale(push.force if force is None else force, self.sign * factor)
        twist = scale(push.couple, self.sign * factor) if self.turns else (0.0, 0.0, 0.0)
        twist = add(twist, cross(sub(self.bush, self.at), acting))
        for stopping, at in push.stops if force is None else push.most:
            pushed = scale(stopping, self.sign * factor)
            acting, twist = add(acting, pushed), add(twist, cross(sub(at, self.at), pushed))
        return SeatLoad(self.seat, acting, twist)


def _seats(bay: Bay, part: Part, name: str) -> Iterator[_Seat]:
    for mount, side in bay.mounts_of(name):
        seat = getattr(mount, f"{side}_seat")
        at = part.seat(seat).place.at
        if side == LINK:
            sign = 1.0 if mount.powertrain_part is None else -1.0
        else:
            sign = 1.0 if side == "powertrain" else -1.0
        of = mount.name if mount.link_part is None else str(mount.link_part)
        yield _Seat(mount=of, seat=seat, at=at, sign=sign, bush=mount.at, turns=mount.link_part is None)


def _corners(case: CasePushes, seats: Sequence[_Seat]) -> Iterator[tuple[str, tuple[Vec, ...]]]:
    """Corners of what the forces of a part's mounts may be together, each of them named by the ends it is at; where
    they are too many, those of each mount alone, the others at their middle."""
    names = tuple(dict.fromkeys(seat.mount for seat in seats))
    each = {name: _ends(case.by_mount[name]) for name in names}
    middle = {name: case.by_mount[name].force for name in names}
    count = 1
    for ends in each.values():
        count *= len(ends)
    if count == 1:
        return
    if count <= MOST_CORNERS:
        for chosen in product(*each.values()):
            forces = dict(zip(names, chosen, strict=True))
            yield _named(chosen), tuple(forces[seat.mount][1] for seat in seats)
        return
    for name in names:
        for end in each[name]:
            forces = {**{other: ("", middle[other]) for other in names}, name: end}
            yield f"{name} {end[0]}", tuple(forces[seat.mount][1] for seat in seats)


def _ends(push: BushPush) -> tuple[tuple[str, Vec], ...]:
    """The corners of one mount's force, as "+-+" along x, y, z; a link's are the ends of its one force."""
    low, high = np.array(push.low), np.array(push.high)
    size = max(float(np.abs(low).max()), float(np.abs(high).max()))
    if not size > 0 or not (high - low > SPREAD * size).any():
        return (("as typed", push.force),)
    along = _one_way(np.array(push.force), low, high)
    if along is not None:
        return tuple((word, _vec(end)) for word, end in zip(("least", "most"), along, strict=True))
    found: dict[Vec, str] = {}
    for signs in product((0, 1), repeat=3):
        corner = _vec(np.where(signs, high, low))
        found.setdefault(corner, "".join("+" if sign else "-" for sign in signs))
    return tuple((word, corner) for corner, word in found.items())


def _one_way(force: Array, low: Array, high: Array) -> tuple[Array, Array] | None:
    """The two ends of a force that keeps its direction, as that of a link does; None where it does not."""
    i = int(np.argmax(np.abs(force)))
    if force[i] == 0:
        return None
    way = force / force[i]
    ends = way * low[i], way * high[i]
    box = np.sort(np.array(ends), axis=0)
    near = SPREAD * float(np.abs(np.array([low, high])).max())
    return ends if np.abs(box - np.array([low, high])).max() <= near else None


def _named(chosen: Sequence[tuple[str, Vec]]) -> str:
    return " ".join(word for word, _ in chosen)


def springs_at(loads: BayLoads, mount: str) -> HangMount:
    """The mount of that name as the mechanics have it."""
    return next(one for one in loads.on.mounts if one.name == mount)


def _vec(values: Array) -> Vec:
    return float(values[0]), float(values[1]), float(values[2])
