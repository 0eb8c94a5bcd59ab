"""The lightest row that nothing stops, no rule, no strength, no gap: found in order of mass, built where it counts.

Mass, the rules of the workshop and the checks by hand are closed forms; solids and gaps need the kernel. Rows are
gone through from the lightest, the cheap judgements first, so that the first one that nothing stops is the lightest
of all: of the heavier ones nothing but their mass is ever asked, and no row is built that a closed form forbids.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence, Set
from dataclasses import dataclass, replace

from brackets.core.errors import InputError
from brackets.core.figures import figure
from brackets.core.finding import Finding
from brackets.core.rulebook.finding_rule import spare_name
from brackets.core.rulebook.held import STRENGTH, WELD_RANGE
from brackets.variants.plan import differs_only_in
from brackets.variants.result import Row
from brackets.variants.strength import Strength

Judge = Callable[[Row], Strength]
"""Strength of a row, in closed form."""
Build = Callable[[Row], Row]
"""The row with what its solids and gaps say, by the kernel."""


@dataclass(frozen=True, kw_only=True)
class Step:
    """The row one size lighter in the value `name` and the same in all others, and why it is not taken.

    size, lighter: the value of the lightest row, and of that one; row: None where none is listed.
    """

    name: str
    size: object
    lighter: object = None
    row: Row | None = None
    why: tuple[str, ...] = ()

    def __str__(self) -> str:
        if self.row is None:
            return f"{self.name} {shown(self.size)}: no lighter one is listed"
        why = "; ".join(self.why)
        return f"{self.name} {shown(self.size)} to {shown(self.lighter)}, row {self.row.name}: {why}"


@dataclass(frozen=True, kw_only=True)
class Lightest:
    """The lightest row that nothing stops, with all that makes it so.

    row: as built, with its strength; rows: all of them in their order, each as far as it was judged; steps: one
    size lighter in each value; lighter: how many are lighter; judged: how many were asked for strength; built: how
    many were built.
    """

    row: Row
    rows: tuple[Row, ...]
    steps: tuple[Step, ...]
    lighter: int
    judged: int
    built: int

    @property
    def binds(self) -> tuple[str, ...]:
        """What keeps it from being lighter, each once."""
        return tuple(dict.fromkeys(line for step in self.steps for line in step.why))

    @property
    def spares(self) -> tuple[str, ...]:
        """What the row has to spare of each rule, of strength as a part of what is allowed, the least first."""
        strength = self.row.strength
        used = () if strength is None else strength.used
        return (
            *(f"{one.rule}: {one.spare:.0%} to spare, {one.of}" for one in used),
            *(
                _spare(name, spare) for name, spare in sorted(self.row.spares.items(), key=lambda s: s[1])
                if name != spare_name(STRENGTH.code, "")
            ),
        )

    @property
    def says(self) -> tuple[str, ...]:
        """What was found, in a few lines."""
        mass = 0.0 if self.row.mass is None else self.row.mass
        given = ", ".join(f"{name} {shown(value)}" for name, value in self.row.given.items())
        counts = f"{len(self.rows)} rows, {self.lighter} of them lighter: {self.judged} asked for strength"
        return (
            f"row {self.row.name}: {mass:.3f} kg, the lightest that meets the rules you entered"
            + (f": {given}" if given else ""),
            f"{counts}, {self.built} built",
        )

    def __str__(self) -> str:
        return "\n".join((*self.says, *map(str, self.steps)))


def lightest(
    rows: Sequence[Row],
    judge: Judge,
    build: Build,
    *,
    varied: Sequence[str] = (),
    tied: Sequence[str] = (),
    of: Set[str] = frozenset(),
) -> Lightest:
    """The lightest of rows that nothing stops.

    rows: with mass and the findings of their rules, nothing built; judge: strength of one, in closed form; build:
    the row with what solids and gaps say of it; varied: names of the values that rows differ in, each of which is
    made one size lighter; tied: names of values that follow them; of: the parts that are varied, where they are
    of a bay: what stops others of its bodies stops no row. Of two of one mass the first is taken.
    Raises InputError where every row stops or none meets the rules, with what stops most of them.
    """
    known: dict[int, Row] = {row.number: row for row in rows}
    built: set[int] = set()
    order = sorted((row for row in rows if row.mass is not None), key=lambda row: (row.mass, row.number))
    best: Row | None = None
    judged = 0

    def with_strength(row: Row) -> Row:
        nonlocal judged
        if row.strength is None:
            judged += 1
            row = replace(row, strength=judge(row))
            known[row.number] = row
        return row

    for row in order:
        if _stops(row, of):
            continue
        row = with_strength(row)
        if row.strength is None or not row.strength.meets:
            continue
        made = replace(build(row), strength=row.strength)
        built.add(row.number)
        known[row.number] = made
        if not _stops(made, of):
            best = made
            break
    if best is None:
        raise InputError(*_none([known[row.number] for row in rows], of))
    steps = []
    for name in (name for name in varied if name not in tied):
        step = _step(best, name, [known[row.number] for row in rows], tied)
        if step.row is not None:
            step = replace(step, why=_why(with_strength(step.row), of))
        steps.append(step)
    return Lightest(
        row=best,
        rows=tuple(known[row.number] for row in rows),
        steps=tuple(steps),
        lighter=sum(1 for row in order if (row.mass, row.number) < (best.mass, best.number)),
        judged=judged,
        built=len(built),
    )


def _step(best: Row, name: str, rows: Sequence[Row], tied: Sequence[str]) -> Step:
    """The heaviest of the rows that differ from the lightest in one value alone and are lighter."""
    size = best.given.get(name, best.values.get(name))
    others = [
        row for row in rows
        if row.mass is not None and best.mass is not None and row.mass < best.mass
        and differs_only_in(best.given, row.given, {name, *tied}) and row.given.get(name) != best.given.get(name)
    ]  # fmt: skip
    if not others:
        return Step(name=name, size=size)
    row = max(others, key=lambda one: (one.mass or 0.0, -one.number))
    return Step(name=name, size=size, lighter=row.given.get(name, row.values.get(name)), row=row)


def _why(row: Row, of: Set[str]) -> tuple[str, ...]:
    """Everything that keeps a row from being taken; of strength each rule once."""
    codes = {STRENGTH.code, WELD_RANGE.code}
    stops = [line for code, line in _stops(row, of) if row.strength is None or code not in codes]
    return tuple(dict.fromkeys((*stops, *(() if row.strength is None else row.strength.why_not))))


def _stops(row: Row, of: Set[str]) -> tuple[tuple[str, str], ...]:
    """Code and words of what stops a row: it is refused, or a finding does that concerns one of `of`."""
    told = [("", line) for line in row.refused] + ([("", row.failed)] if row.failed else [])
    for finding in row.findings:
        if finding.stops and concerns(finding, of):
            told.append((finding.code, f"{finding.label}: {finding.piece}: {finding.sentence}"))
    return tuple(told)


def concerns(finding: Finding, of: Set[str]) -> bool:
    """Whether a finding is about one of these parts, or about nothing by name; all are where none is named."""
    return not of or not finding.about or bool(of & set(finding.about))


def _none(rows: Sequence[Row], of: Set[str]) -> Iterator[str]:
    """Why there is no lightest, and what would be nearest to it."""
    counts = {"stop by their rules or gaps": 0, "do not meet the strength you entered": 0}
    near: Row | None = None
    stops: Counter[str] = Counter()
    for row in rows:
        if row.strength is None or row.strength.meets:
            counts["stop by their rules or gaps"] += 1
            stops.update(line for _, line in _stops(row, of))
            continue
        counts["do not meet the strength you entered"] += 1
        if _used(row) < _used(near):
            near = row
    told = ", ".join(f"{count} {said}" for said, count in counts.items() if count)
    yield f"lightest = none of {len(rows)} rows: {told}"
    if near is not None and near.strength is not None:
        yield f"nearest: row {near.name}: {'; '.join(near.strength.why_not)}"
    for line, count in stops.most_common(1):
        yield f"stops most, {count} of them: {line}"


def _used(row: Row | None) -> tuple[int, float]:
    """How far from meeting the rules a row is: what no clause covers counts more than any utilisation."""
    if row is None or row.strength is None:
        return (1_000_000, float("inf"))
    worst = row.strength.worst
    return (len(row.strength.refused), float("inf") if worst is None else worst.utilisation)


def _spare(name: str, spare: float) -> str:
    """A rule and what is left of it in its own unit, which is mm where its name says none."""
    rule, _, unit = name.partition(", ")
    return f"{rule}: {figure(abs(spare))} {unit or 'mm'} {'to spare' if spare >= 0 else 'short'}"


def shown(value: object) -> str:
    """A value of a row in a line."""
    return f"{value:g}" if isinstance(value, float) else str(value)
