"""Tubes laid out from points: where each runs and what its ends meet, and the tubes and welds that follow.

Points are mm in one frame, the part's. A point need not lie on the axis of what is met: the tube keeps its line,
its end is moved to the node, and what is left over shows as an off-centre cope.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, dot, length, scale, sub
from brackets.forming.cut_rows import CutRow, cut_rows
from brackets.forming.tube_run import Bung, Cylinder, JointTarget, Line, Mitre, PlaneTarget, Run, lines, name_of
from brackets.model.bent_tube import check_bent
from brackets.model.cope import EndTarget as Cut
from brackets.model.cope import check_tube, end_at, plane_at
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.tube import SQUARE, BentTube, Tube, TubeEnd, Which
from brackets.model.weld import TubeRim, Weld


def piece_of(run: Run, others: dict[str, Run]) -> Tube | BentTube:
    """The tube of a run, in place, its ends cut to what they meet. Raises InputError where an end cannot
    be."""
    stretches = lines(run)
    start = _cuts(run, "start", stretches[0], others)
    end = _cuts(run, "end", stretches[-1], others)
    first, last = stretches[0].place, stretches[-1].place
    node = first.point((0.0, 0.0, start[0].z)) if start else run.points[0]
    far = last.point((0.0, 0.0, end[0].z)) if end else run.points[-1]
    (one, one_also), (two, two_also) = _ends(start, 1.0), _ends(end, -1.0)
    place = Place(node, first.axis, first.up)
    if len(run.points) == 2:
        return Tube(
            name=run.name,
            place=place,
            material=run.material,
            od=run.od,
            wall=run.wall,
            length=dot(sub(far, node), first.axis),
            start=one,
            end=two,
            start_also=one_also,
            end_also=two_also,
        )
    corners = (place.local(p) for p in (*run.points[1:-1], far))
    return BentTube(
        name=run.name,
        place=place,
        material=run.material,
        od=run.od,
        wall=run.wall,
        points=((0.0, 0.0, 0.0), *corners),
        bend_r=run.bend_r or 0.0,
        start=one,
        end=two,
        start_also=one_also,
        end_also=two_also,
    )


def _ends(cuts: list[Cut], sense: float) -> tuple[TubeEnd, tuple[TubeEnd, ...]]:
    if not cuts:
        return SQUARE, ()
    shifted = [replace(cut.cut, shift=sense * (cut.z - cuts[0].z)) for cut in cuts]
    return shifted[0], tuple(shifted[1:])


def _cuts(run: Run, which: Which, line: Line, others: dict[str, Run]) -> list[Cut]:
    tip = run.points[0] if which == "start" else run.points[-1]
    return [_cut(run, which, line, met, tip, others) for met in run.meets(which)]


def _cut(run: Run, which: Which, line: Line, met: JointTarget, tip: Vec, others: dict[str, Run]) -> Cut:
    try:
        if isinstance(met, Cylinder):
            return end_at(line.place, which, at=met.at, axis=met.axis, main_r=met.od / 2)
        if isinstance(met, PlaneTarget):
            return plane_at(line.place, which, at=met.at, normal=met.normal)
        if isinstance(met, Bung):
            return plane_at(line.place, which, at=met.at, normal=line.place.axis)
        other = others[met.tube if isinstance(met, Mitre) else met]
        near = nearest(lines(other), tip)
        if isinstance(met, Mitre):
            return _mitre(line, which, other, tip)
        return end_at(line.place, which, at=near.a, axis=near.way, main_r=other.od / 2)
    except InputError as error:
        raise InputError(*(f"{run.name} {which}, at {name_of(met)}: {p}" for p in error.problems)) from error


def _mitre(line: Line, which: Which, other: Run, tip: Vec) -> Cut:
    """The plane half way between two tubes that meet end to end near `tip`."""
    other_end: Which = "start" if length(sub(other.points[0], tip)) <= length(sub(other.points[-1], tip)) else "end"
    theirs = lines(other)[0 if other_end == "start" else -1]
    into = line.way if which == "start" else scale(line.way, -1.0)
    into_other = theirs.way if other_end == "start" else scale(theirs.way, -1.0)
    normal = sub(into, into_other)
    node, _ = closest(line, theirs)
    return plane_at(line.place, which, at=node, normal=normal)


def nearest(stretches: tuple[Line, ...], p: Vec) -> Line:
    """The straight that comes nearest to `p`."""

    def distance_from_p(line: Line) -> float:
        along = max(0.0, min(length(sub(line.b, line.a)), dot(sub(p, line.a), line.way)))
        return length(sub(p, add(line.a, scale(line.way, along))))

    return min(stretches, key=distance_from_p)


def closest(one: Line, other: Line) -> tuple[Vec, Vec]:
    """The points of two axes, taken as endless, that are nearest to each other; InputError where parallel."""
    n = cross(one.way, other.way)
    square = dot(n, n)
    if square < 1e-18:
        raise InputError("tubes in one line or side by side, must meet at an angle: a mitre")
    apart = sub(other.a, one.a)
    s = dot(cross(apart, other.way), n) / square
    t = dot(cross(apart, one.way), n) / square
    return add(one.a, scale(one.way, s)), add(other.a, scale(other.way, t))


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
        met: Iterable[JointTarget] = (m for run in self.runs for which in ENDS for m in run.meets(which))
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
