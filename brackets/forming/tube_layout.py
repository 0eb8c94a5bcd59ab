"""A layout worked out: tubes in place, their welds, a cut table, and the part they make."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.forming.cut_rows import CutRow, cut_rows
from brackets.forming.tube_runs import Bung, Cylinder, Mitre, PlaneTarget, Run, name_of, piece_of
from brackets.forming.tube_runs import JointTarget as Thing
from brackets.model.bent_tube import check_bent
from brackets.model.cope_curve import check_tube
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.tube import BentTube, Tube, Which
from brackets.model.weld import TubeRim, Weld

ENDS: tuple[Which, Which] = ("start", "end")


@dataclass(frozen=True, kw_only=True)
class Layout:
    """Tubes laid out: each in place and cut to what it meets, with the runs they are from in the same order."""

    runs: tuple[Run, ...]
    tubes: tuple[Tube | BentTube, ...]

    def tube(self, name: str) -> Tube | BentTube:
        """The tube of that name; InputError where there is none."""
        there = {tube.name: tube for tube in self.tubes}
        if name not in there:
            raise InputError(f"name = {name}, one of {sorted(there)}: a tube of the layout")
        return there[name]

    def run(self, name: str) -> Run:
        return next(run for run in self.runs if run.name == name)

    @property
    def welds(self) -> tuple[Weld, ...]:
        """A fillet round every end, onto each thing it meets; a mitre is welded once."""
        found: list[Weld] = []
        mitred: set[frozenset[str]] = set()
        for run in self.runs:
            for which in ENDS:
                for met in run.meets(which):
                    pair = frozenset((run.name, name_of(met)))
                    if isinstance(met, Mitre) and pair in mitred:
                        continue
                    mitred |= {pair} if isinstance(met, Mitre) else set()
                    leg = run.wall if run.leg is None else run.leg
                    found.append(Weld(piece=run.name, edge=TubeRim(which), onto=name_of(met), leg=leg))
        return tuple(found)

    def things(self) -> tuple[Cylinder | PlaneTarget | Bung, ...]:
        """Everything the tubes meet that is no tube, each once."""
        met: Iterable[Thing] = (m for run in self.runs for which in ENDS for m in run.meets(which))
        return tuple(dict.fromkeys(m for m in met if isinstance(m, (Cylinder, PlaneTarget, Bung))))

    def part(
        self,
        name: str,
        *,
        pieces: Iterable[Piece] = (),
        seats: Iterable[Seat] = (),
        welds: Iterable[Weld] = (),
    ) -> Part:
        """The part of the tubes and `pieces`; what they meet that is neither becomes a seat of its name."""
        all_pieces, all_seats = (*self.tubes, *pieces), list(seats)
        there = {p.name for p in all_pieces} | {s.name for s in all_seats}
        for thing in self.things():
            if thing.name not in there:
                all_seats.append(_seat(thing))
                there.add(thing.name)
        return Part(name=name, pieces=all_pieces, welds=(*self.welds, *welds), seats=tuple(all_seats))

    def table(self) -> tuple[CutRow, ...]:
        """The cut table, like tubes together."""
        return cut_rows(self.tubes, self.welds)


def _seat(thing: Cylinder | PlaneTarget | Bung) -> Seat:
    if isinstance(thing, Cylinder):
        up = (0.0, 0.0, 1.0) if abs(thing.axis[2]) < 0.9 * max(map(abs, thing.axis)) else (1.0, 0.0, 0.0)
        return Seat(name=thing.name, place=Place(thing.at, thing.axis, up), kind="round", d=thing.od)
    if isinstance(thing, PlaneTarget):
        up = (0.0, 0.0, 1.0) if abs(thing.normal[2]) < 0.9 * max(map(abs, thing.normal)) else (1.0, 0.0, 0.0)
        return Seat(name=thing.name, place=Place(thing.at, thing.normal, up), kind="face")
    return Seat(name=thing.name, place=Place(thing.at), kind="face", d=thing.spigot_od)


def lay_out(*runs: Run) -> Layout:
    """Tubes laid out from point to point, every end cut to what it meets.

    runs: one for each tube, in any order.
    Raises InputError with every problem at once: a run that makes no sense, a name that is not there, an end that
    cannot be cut so.

    >>> leg = Run("leg", "38x3", ((0, 0, 0), (0, 0, 200)))
    >>> stay = Run("stay", "25x2", ((0, 0, 100), (100, 0, 100)), start="leg")
    >>> for row in lay_out(leg, stay).table():
    ...     print(row)
    leg: 38 x 3 S235, 200.00 over long points, 200.00 node to node, square, square, 0.518 kg
    stay: 25 x 2 S235, 85.69 over long points, 100.00 node to node, saddle 90.0 deg onto leg, square, 0.094 kg
    """
    problems = [line for run in runs for line in run.problems()]
    names = [run.name for run in runs]
    twice = sorted(name for name, n in Counter(names).items() if n > 1)
    problems += [f"{name}: name used twice, each once: tubes of a layout" for name in twice]
    for run in runs:
        for which in ENDS:
            for met in run.meets(which):
                if isinstance(met, (str, Mitre)) and (name_of(met) not in names or name_of(met) == run.name):
                    others = sorted(set(names) - {run.name})
                    problems.append(f"{run.name} {which} = {name_of(met)}, one of {others}: a tube it is cut to")
    if problems:
        raise InputError(*problems)
    by_name = {run.name: run for run in runs}
    tubes = []
    for run in runs:
        try:
            tube = piece_of(run, by_name)
            check_bent(tube) if isinstance(tube, BentTube) else check_tube(tube)
            tubes.append(tube)
        except InputError as error:
            problems += [line if line.startswith(run.name) else f"{run.name}: {line}" for line in error.problems]
    if problems:
        raise InputError(*problems)
    return Layout(runs=runs, tubes=tuple(tubes))
