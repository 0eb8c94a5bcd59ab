"""The rows of a family that was worked out: to be gone through, shown, sorted and written."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any, overload

from brackets.core.errors import InputError
from brackets.core.finding import VERDICTS, Finding
from brackets.core.marks import NO_MARKS, Marks
from brackets.core.names import nearest
from brackets.core.schema.checked import Param
from brackets.core.units import shown
from brackets.variants.job import Job
from brackets.variants.page import Picture, page
from brackets.variants.plan import PlannedRow
from brackets.variants.result import Result, Row, row_of
from brackets.variants.tables import columns, csv_text, sheet_of, terminal

OPENED = 50_000
"""Rows that are held opened, some 4 kB each: more are opened again whenever they are gone through."""

SHOWN = 200
"""Rows of a table on the screen; all are in the files."""

NOT_JUDGED = "strength is not judged"
ONLY_STOPS = "of strength only what stops: the rest is asked with holding"


OWN = {"mass": "kg", "gap": "mm", "spare": "", "row": "", "name": ""}
"""What rows are sorted by beside their values, with its unit."""
ORDERED = {"sort": "sorted", "least": "compared"}
"""What is done by such a word, by what it was given for."""


def order_word(by: str, params: Sequence[Param], varied: Sequence[str], *, asked: str = "sort") -> str:
    """What rows are sorted by, without the "-" before it. Raises InputError where rows have no such thing.

    asked: what the word was given for; of the least there is no "-".
    """
    word = by.removeprefix("-") if asked == "sort" else by
    names = (*OWN, *(param.name for param in params))
    if word in names:
        return word
    near = nearest(word, names, n=1)
    hint = f"nearest: {near[0]}" if near else f"must be one of {', '.join((*OWN, *varied))}"
    raise InputError(f"{asked} = {shown(word)}, {hint}: what rows are {ORDERED[asked]} by")


@dataclass(frozen=True)
class Least:
    """The row with the least of something among those that nothing stops; `says` how it was chosen."""

    row: Row
    says: str

    def __str__(self) -> str:
        return self.says


@dataclass(frozen=True, kw_only=True, repr=False)
class Rows(Sequence[Row]):
    """The rows of a family, in its order; as text its table.

    name: of what is varied; job: what every row is worked out of; varied: names of the values that differ; bay:
    whether it is a part of a bay; notes: what was kept from before, and what of it was torn; tied: names of values
    that follow others; parts: of a bay, the one that is varied and its mirror images.
    """

    name: str
    job: Job
    params: tuple[Param, ...]
    bay: bool
    varied: tuple[str, ...]
    planned: tuple[PlannedRow, ...]
    keys: tuple[str, ...]
    texts: Mapping[str, str]
    failed: Mapping[str, Result] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    tied: tuple[str, ...] = ()
    parts: frozenset[str] = frozenset()

    def __len__(self) -> int:
        return len(self.planned)

    def __repr__(self) -> str:
        counts = Counter(row.verdict for row in self)
        said = ", ".join(f"{counts[word]} {word}" for word in VERDICTS if word in counts)
        return f"<Rows of {self.name}: {len(self)}, {said}>"

    def __str__(self) -> str:
        return self.table(most=SHOWN) + (f"\n{len(self) - SHOWN} more" if len(self) > SHOWN else "")

    @overload
    def __getitem__(self, at: int) -> Row: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Row]: ...
    def __getitem__(self, at: int | slice) -> Row | Sequence[Row]:
        if isinstance(at, slice):
            return [self._row(i) for i in range(*at.indices(len(self)))]
        return self._row(range(len(self))[at])

    def __iter__(self) -> Iterator[Row]:
        return (self._row(i) for i in range(len(self)))

    def _row(self, at: int) -> Row:
        return self._opened[at] if self._opened else self._open(at)

    @cached_property
    def _opened(self) -> tuple[Row, ...]:
        """All rows, where they are few enough to be held opened; else each is opened when it is asked for."""
        return tuple(self._open(i) for i in range(len(self))) if len(self) <= OPENED else ()

    def _open(self, at: int) -> Row:
        planned = self.planned[at]
        return row_of(self._result(at), number=planned.number, name=planned.name, given=planned.values)

    def _result(self, at: int) -> Result:
        planned, key = self.planned[at], self.keys[at]
        if planned.refused:
            return {"refused": list(planned.refused)}
        if key in self.failed:
            return self.failed[key]
        found: Result = json.loads(self.texts[key])
        return found

    @property
    def stops(self) -> bool:
        """Whether there is no row that may be cut."""
        return all(row.stops for row in self)

    @cached_property
    def common(self) -> tuple[Finding, ...]:
        """What is said of every row that was worked out: it does not tell one from another."""
        said: dict[Finding, None] | None = None
        for row in self:
            if not (row.refused or row.failed or row.note):
                own = set(row.findings)
                said = dict.fromkeys(row.findings if said is None else (f for f in said if f in own))
        return tuple(said or ())

    def sorted(self, by: str) -> list[Row]:
        """The rows by a value, mass, gap, spare, row or name; with "-" before it from the largest down.

        Rows that have none of it come last. Raises InputError for another word.
        """
        down, word = by.startswith("-"), order_word(by, self.params, self.varied)
        cells = self._cells(word)
        there = [(cell, row) for cell, row in cells if cell is not None]
        there.sort(key=lambda pair: (isinstance(pair[0], str), pair[0]), reverse=down)
        return [*(row for _, row in there), *(row for cell, row in cells if cell is None)]

    def _cells(self, word: str) -> list[tuple[Any, Row]]:
        if word in OWN:
            return [(row.number if word == "row" else getattr(row, word), row) for row in self]
        return [(_plain(row.values.get(word)), row) for row in self]

    def least(self, what: str = "mass", *, holding: bool = False) -> Least:
        """The row with the least mass, gap, spare or value among those listed that nothing stops.

        what: one of them; holding: of mass, the least that meets the strength that was entered too, what keeps it
        from being lighter, and what it has to spare of each rule. Raises InputError where every row stops, or none
        has it; with `holding` where load cases, a stress range or a least stiffness are not typed.
        """
        if holding:
            return self._least_holding(what)
        order_word(what, self.params, self.varied, asked="least")
        cells = [(cell, row) for cell, row in self._cells(what) if cell is not None and not row.stops]
        asks = self.job.holding is not None and self.job.holding.judges
        strength = ONLY_STOPS if asks else NOT_JUDGED
        if not cells:
            raise InputError(f"least = {shown(what)}, none: every row stops or has none; {strength} either way")
        cell, row = min(cells, key=lambda pair: pair[0])
        of = f"of the {len(cells)} rows listed that nothing stops; {strength}"
        unit = OWN[what] if what in OWN else next(param.unit for param in self.params if param.name == what)
        told = f"{cell:.6g} {unit}".strip() if isinstance(cell, float) else str(cell)
        return Least(row, f"row {row.name}: the least {what}, {told}, {of}")

    def _least_holding(self, what: str) -> Least:
        from brackets.variants.holding import refuse_unasked
        from brackets.variants.lightest import lightest
        from brackets.variants.strength import Strength

        if what != "mass":
            raise InputError(f"least = {shown(what)}, must be mass with holding: strength decides between masses")
        refuse_unasked(self.job.holding)
        found = lightest(
            list(self), lambda row: row.strength or Strength(), self._built, varied=self.varied, tied=self.tied,
            of=self.parts,
        )  # fmt: skip
        return Least(found.row, "\n".join((str(found), *found.spares)))

    def _built(self, row: Row) -> Row:
        """A row with what its solids say: of a bay it is fitted already."""
        from brackets.variants.job import Done, work

        if self.bay:
            return row
        done = work(replace(self.job, depth="all"), [row.given])
        assert isinstance(done, Done)  # a recipe that was opened here is the program's own
        return row_of(json.loads(done.texts[0]), number=row.number, name=row.name, given=row.given)

    def table(self, *, sort: str = "row", width: int | None = None, most: int | None = None) -> str:
        """The first `most` rows, by `sort`, as text, cut to `width` characters, to the terminal's where None."""
        return terminal(self, self.sorted(sort)[:most], width)

    def csv(self, path: str | Path) -> None:
        """Writes a row a line: number, name, values, figures, what is said. Raises OSError."""
        from brackets.output.folder import replacing

        with replacing(Path(path)) as new:
            new.write_bytes(csv_text(self).encode())

    def xlsx(self, path: str | Path) -> None:
        """Writes the same as a workbook. Raises OSError."""
        from brackets.output.folder import replacing
        from brackets.output.workbook import write

        with replacing(Path(path)) as new:
            write([sheet_of(self)], new)

    def jsonl(self, path: str | Path) -> None:
        """Writes a row a line as JSON: row, name, and all of its result. Raises OSError."""
        from brackets.output.folder import replacing

        with replacing(Path(path)) as new, new.open("w", encoding="utf-8", newline="\n") as out:
            for each in self.records():
                out.write(json.dumps(each, ensure_ascii=False, separators=(",", ":")) + "\n")

    def records(self) -> Iterator[dict[str, Any]]:
        """Each row as a table that JSON holds."""
        for i, planned in enumerate(self.planned):
            yield {"row": planned.number, "name": planned.name, **self._result(i)}

    def html(self, path: str | Path, *, pictures: Mapping[int, Picture] | None = None) -> None:
        """Writes one page that needs no network: table, filters, mass against spare. Raises OSError.

        pictures: of rows, by their number.
        """
        from brackets.output.folder import replacing
        with replacing(Path(path)) as new:
            new.write_text(page(self, pictures), "utf-8")

    def files(
        self,
        into: str | Path,
        rows: str = "all",
        *,
        marks: Marks = NO_MARKS,
        say: Callable[[str], None] = lambda _: None,
    ) -> tuple[Path, ...]:
        """Writes the files of single rows, each into a folder below `into`: those of `make`, or of `fit`.

        rows: "all", which are those that do not stop, or their numbers, "3, 7"; marks: of the title blocks.
        Returns the folders. Raises InputError for another row, KernelFailed where the kernel refuses, OSError.
        """
        from brackets.variants.row_files import chosen, write

        return write(self.job, chosen(self, rows), Path(into), marks=marks, say=say)

    def frame(self) -> Any:
        """The rows as a data frame of pandas, or of polars where only that is installed. Raises ImportError."""
        head, cells = columns(self)
        data = {name: [row[i] for row in cells] for i, name in enumerate(head)}
        try:
            import pandas
        except ImportError:
            try:
                import polars
            except ImportError:
                raise ImportError("a data frame needs pandas or polars: pip install pandas") from None
            return polars.DataFrame(data, strict=False)
        return pandas.DataFrame(data)


def _plain(cell: object) -> object:
    return cell if cell is None or isinstance(cell, int | float | str) else json.dumps(cell)
