"""Whether a part holds under its load cases: loads through its record to its supports, a check at each place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from brackets.core.errors import InputError
from brackets.core.kept import keeps
from brackets.hold.bolt_checks import check_bolts
from brackets.hold.case_rows import CaseRows, each_case, worst_case
from brackets.hold.ear_checks import check_ears
from brackets.hold.found import Found
from brackets.hold.frame_path import frame_path
from brackets.hold.held import Held, PartCheck, SeatStiffness
from brackets.hold.load_path import Flow, IndeterminateError, LoadPath, load_path
from brackets.hold.part_cases import HoldSettings, PartCase
from brackets.hold.part_graph import GROUND, PartGraph, graph_of
from brackets.hold.plate_sections import check_bends, check_bolted_plate, check_roots, is_bolted
from brackets.hold.seat_stiffness import stiffness_at
from brackets.hold.stress_ranges import StressRange
from brackets.hold.tube_sections import check_cup, check_tube, check_walls
from brackets.hold.weld_checks import check_weld, ranges_of
from brackets.model.part import Part
from brackets.model.piece import CustomPiece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube

NOT_FASTENED = (
    "not in the record, must be bolts or a weld: not checked, and neither is the wall under it (of a base that is"
    " welded on no leg is typed)"
)


def hold_part(part: Part, cases: Sequence[PartCase], settings: HoldSettings | None = None) -> Held:
    """A part under its load cases: checks, what is refused, stiffness at its loaded seats, stress ranges.

    part: with its pieces, welds and seats; cases: one or more; settings: with what it is judged, the defaults where
    None. Raises InputError with everything that is wrong: no case, an unknown seat, two cases of a name. A part
    whose loads find no way to a support comes back with nothing checked and the reason in `refused`.

    >>> stays = recipe("stay")
    >>> held = hold_part(stays.build(stays.Params(leg=5, gussets=0)), read_cases(["bush: 0 0 2kN bump"]))
    >>> held.verdict.split(",")[0], held.checks[0].place, round(held.checks[0].check.worst, 3)
    ('meets the rule you entered', 'plate plate, section across', 0.252)
    """
    worked = _worked(part, cases, HoldSettings() if settings is None else settings)
    return worked.held(each_case, range(len(cases)))


@keeps("held part")
def hold_worst(part: Part, cases: Sequence[PartCase], settings: HoldSettings, *, told: Sequence[str]) -> Held:
    """The same, each clause at each place in the case alone that uses most of it: for hundreds of cases.

    told: the names of the cases that are named and whose forces are kept; the others are judged all the same.
    """
    worked = _worked(part, cases, settings)
    return worked.held(worst_case, [i for i, case in enumerate(cases) if case.name in told])


@dataclass(frozen=True, eq=False)
class _Worked:
    """All that was worked out of a part, with a row a case."""

    found: Found
    balance: float = 0.0
    stiffness: tuple[SeatStiffness, ...] = ()
    ranges: tuple[StressRange, ...] = ()

    def held(
        self, checks: Callable[[Sequence[CaseRows], Sequence[str]], tuple[PartCheck, ...]], told: Sequence[int]
    ) -> Held:
        """As single figures; checks: which of them; told: the numbers of the cases that are named."""
        found, names = self.found, [case.name for case in self.found.cases]
        return Held(
            part=found.part.name,
            cases=tuple(names[i] for i in told),
            checks=checks(found.rows, names),
            refused=tuple(sorted(found.refused, key=lambda one: (one.place, one.case))),
            notes=tuple(found.notes),
            stiffness=self.stiffness,
            weld_ranges=self.ranges,
            cuts=tuple(cut for rows in found.cuts for cut in rows.of_cases(told, names)),
            balance=self.balance,
        )


def _worked(part: Part, cases: Sequence[PartCase], settings: HoldSettings) -> _Worked:
    wrong = [*_problems(part, cases, settings)]
    if wrong:
        raise InputError(*wrong)
    found = Found(part, cases, settings)
    graph = graph_of(part, cases, settings)
    found.note(*graph.notes, *_counted(cases, settings))
    for place, problem in graph.refused:
        found.refuse(place, problem)
    if not graph.loads:
        return _Worked(found)
    try:
        path = _path(graph, found)
    except InputError as error:
        found.refuse(part.name, *error.problems)
        return _Worked(found)
    found.note(*path.notes)
    _check(found, path, _factored(path, found))
    stiffness = stiffness_at(graph, found)
    ranges = tuple(one for flow in path.flows.values() for one in ranges_of(found, flow))
    return _Worked(found, path.balance, stiffness, ranges)


def _problems(part: Part, cases: Sequence[PartCase], settings: HoldSettings) -> list[str]:
    wrong = [] if cases else [f"cases = none, must be one or more: what {part.name} carries"]
    twice = [name for name, n in Counter(case.name for case in cases).items() if n > 1]
    wrong += [f"case = {name}, must be named once: load case of {part.name}" for name in twice]
    seats = [seat.name for seat in part.seats]
    asked = [load.seat for case in cases for load in case.loads]
    typed = [*settings.held_at, *settings.grades, *settings.engaged, *settings.press]
    known = ", ".join(seats) or "none, it has no seat"
    wrong += [
        f"seat = {name}, must be one of {known}: {part.name}"
        for name in dict.fromkeys([*asked, *typed])
        if name not in seats
    ]
    both = [name for name in settings.held_at if name in asked]
    return wrong + [f"seat = {name}, must be loaded or hold the part, not both: {part.name}" for name in both]


def _counted(cases: Sequence[PartCase], settings: HoldSettings) -> list[str]:
    notes = []
    plain = [case.name for case in cases if case.counted == "characteristic"]
    if plain:
        notes.append(
            f"characteristic loads, times the load factor {settings.load_factor:g} as typed: {', '.join(plain)}"
            if settings.load_factor != 1.0
            else f"characteristic loads, counted as they are (load factor 1): {', '.join(plain)}"
        )
    factored = [case.name for case in cases if case.counted == "factored"]
    if factored:
        notes.append(f"factored loads, counted as they are: {', '.join(factored)}")
    return notes


def _path(graph: PartGraph, found: Found) -> LoadPath:
    try:
        return load_path(graph)
    except IndeterminateError:
        return frame_path(graph, found)


def _factored(path: LoadPath, found: Found) -> LoadPath:
    by = found.factors[:, None]
    loads = tuple(replace(load, wrench=load.wrench * by) for load in path.graph.loads)
    flows = {name: Flow(flow.joint, flow.outer, flow.wrench * by) for name, flow in path.flows.items()}
    weights = tuple(replace(one, wrench=one.wrench * by) for one in path.graph.weights)
    return LoadPath(replace(path.graph, loads=loads, weights=weights), flows, path.notes, path.by_frame)


def _check(found: Found, path: LoadPath, factored: LoadPath) -> None:
    graph, part = path.graph, found.part
    seats: dict[str, list[int]] = {}
    for i, load in enumerate(graph.loads):
        if load.ear is not None:
            seats.setdefault(load.seat, []).append(i)
        elif load.body in {piece.name for piece in part.pieces}:
            check_cup(found, load, found.factors)
    for seat, rows in seats.items():
        check_ears(found, seat, [graph.loads[i] for i in rows], found.factors)
    carrying = set()
    for flow in factored.flows.values():
        found.cut(flow.joint.name, flow.joint.at, *flow.reaches())
        carrying |= {flow.joint.a, flow.joint.b}
        if flow.joint.kind == "weld":
            if not np.abs(flow.wrench).max() > 1e-9 * max(1.0, path.size):
                found.note(f"{flow.joint.name}: carries nothing in this model")
                continue
            check_weld(found, flow)
            check_roots(found, flow)
            check_walls(found, factored, flow)
        elif flow.joint.kind == "thread":
            found.refuse(flow.joint.name, "thread of a bar, must be looked at by itself: not among the checks")
        elif flow.joint.kind == "bolts":
            check_bolts(found, flow)
        elif flow.joint.kind == "stands" and flow.outer in {piece.name for piece in part.pieces}:
            seat_name = flow.joint.seats[0].name
            found.refuse(f"on {seat_name}", f"fastening = {NOT_FASTENED}")
    for piece in part.pieces:
        if piece.name not in carrying or piece.name == GROUND:
            continue
        if isinstance(piece, Tube | BentTube):
            check_tube(found, factored, piece)
        elif isinstance(piece, CustomPiece):
            found.refuse(f"piece {piece.name}", "shape, must be plate, tube or turned: sections of a custom piece")
        elif isinstance(piece, Plate | Folded):
            if isinstance(piece, Folded):
                check_bends(found, factored, piece)
            if is_bolted(factored, piece.name):
                check_bolted_plate(found, factored, piece)
