"""Values that name a row of a table: a bolt, a bush, a material; or a tube by its size, "38x3"."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, ClassVar, Generic, Protocol, TypeVar

from brackets.core import units
from brackets.core.errors import InputError
from brackets.core.names import plain, unknown
from brackets.core.schema.rule import Plain, Rule
from brackets.core.schema.sizes import Length, figure


class Named(Protocol):
    """A row of a table."""

    @property
    def name(self) -> str: ...


N = TypeVar("N", bound=Named)


class TableRef(Generic[N]):
    """A table as a rule sees it: `shipped` gives the row of any spelling of a name, `rows` all that are shipped."""

    def __init__(self, name: str, *, shipped: Callable[[str], N], rows: Callable[[], Sequence[N]]) -> None:
        self.name, self.shipped, self.rows = name, shipped, rows
        self._own: ContextVar[tuple[N, ...]] = ContextVar(f"own rows of {name}", default=())

    @contextmanager
    def own_first(self, own: tuple[N, ...]) -> Iterator[None]:
        """While it lasts, names are looked up in `own` before the shipped rows: those of a file being read."""
        before = self._own.set(own)
        try:
            yield
        finally:
            self._own.reset(before)

    def find(self, name: str) -> N:
        """The row of that name; InputError, with the nearest names, where there is none."""
        own = self._own.get()
        if (mine := called(name, own)) is not None:
            return mine
        try:
            return self.shipped(name)
        except InputError as wrong:
            if not own:
                raise
            yours = ", ".join(row.name for row in own)
            raise InputError(f"{wrong}; your own: {yours}") from None


def called(name: object, rows: Iterable[N]) -> N | None:
    """The row of that name, capitals or not."""
    return next((row for row in rows if isinstance(name, str) and plain(row.name) == plain(name)), None)


def one_of(what: str, name: object, rows: Sequence[N]) -> N:
    """The row of that name; InputError, with the nearest names, where there is none."""
    found = called(name, rows)
    return unknown(what, name, [row.name for row in rows]) if found is None else found


@dataclass(frozen=True, kw_only=True)
class Row(Rule):
    """The name of a row of `table`; where `among` is not empty, one of those only."""

    table: TableRef[Any]
    among: tuple[str, ...] = ()
    kind: ClassVar[str] = "row"

    @property
    def allowed(self) -> str:
        if self.among:
            return f"must be one of {', '.join(self.among)}"
        return f"must be a row of the {self.table.name} table"

    @property
    def choices(self) -> tuple[str, ...]:
        """The names of the rows that will do."""
        return self.among or tuple(row.name for row in self.table.rows())

    def plain(self, value: object, *, name: str) -> Plain:
        if not isinstance(value, str) or not value.strip():
            self.refuse(name, units.shown(value))
        try:
            found = str(self.table.find(value).name)
        except InputError as error:
            tail = (problem.partition(" = ")[2] or problem for problem in error.problems)
            raise InputError(*(f"{name} = {end}: {self.meaning}" for end in tail)) from None
        if self.among and found not in self.among:
            self.refuse(name, found)
        return found

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        return self.plain(text, name=name)

    def to_text(self, value: Plain) -> str:
        return str(value)

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return tuple(dict.fromkeys((self.choices[0], self.choices[-1])))


@dataclass(frozen=True, kw_only=True)
class TubeSize(Rule):
    """A round tube as text, outer diameter x wall in mm: "38x3"; any tube within limits, stocked or not.

    `od` and `wall` are lowest and highest, mm; `stocked` gives (od, wall) of what merchants keep. Reads "38 x 3",
    "1-1/2in x 0.095in", "1.75in x 14bwg".
    """

    od: tuple[float, float]
    wall: tuple[float, float]
    stocked: Callable[[], Iterable[tuple[float, float]]]
    kind: ClassVar[str] = "tube"
    unit: ClassVar[str] = "mm"

    @property
    def allowed(self) -> str:
        od, wall = (" to ".join(map(figure, ends)) for ends in (self.od, self.wall))
        return f"must be od x wall in mm such as 38x3, od {od}, wall {wall} and under half the od"

    @property
    def choices(self) -> tuple[str, ...]:
        """The stock tubes within the limits, as text."""
        return tuple(
            _written(od, wall)
            for od, wall in self.stocked()
            if self.od[0] <= od <= self.od[1] and self.wall[0] <= wall <= self.wall[1]
        )

    def plain(self, value: object, *, name: str) -> Plain:
        if not isinstance(value, str):
            self.refuse(name, units.shown(value))
        return self.from_text(value, name=name)

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        halves = re.split(r"\s*[x×*]\s*", text.strip(), flags=re.IGNORECASE)
        if len(halves) != 2:
            self.refuse(name, units.shown(text))
        return self._size(halves[0], halves[1], name=name, bare=bare)

    def from_toml(self, value: object, *, name: str, bare: str = "mm") -> Plain:
        if isinstance(value, Mapping):
            if set(value) != {"od", "wall"}:
                self.refuse(name, units.shown(", ".join(map(str, value))), "must have the keys od and wall")
            return self._size(value["od"], value["wall"], name=name, bare=bare)
        return super().from_toml(value, name=name, bare=bare)

    def to_text(self, value: Plain) -> str:
        return str(value)

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        sizes = sorted(map(od_wall, self.choices), key=lambda size: (size[0], size[1]))
        ends = (
            sizes[0],
            sizes[-1],
            max(sizes, key=lambda s: s[1] / s[0]),
            min(sizes, key=lambda s: s[1] / s[0]),
        )
        return tuple(dict.fromkeys(_written(*size) for size in ends))

    def _size(self, od: object, wall: object, *, name: str, bare: str) -> Plain:
        meant = (
            [mm for scale, _, mm in units.gauge(wall) if scale in ("bwg", "swg")] if isinstance(wall, str) else []
        )
        swg = isinstance(wall, str) and "swg" in wall.lower()
        sizes: list[Plain] = []
        problems: list[str] = []
        for part, typed, limits in (("od", od, self.od), ("wall", wall, self.wall)):
            rule = Length(lo=limits[0], hi=limits[1], meaning=self.meaning)
            exact = meant[-1 if swg else 0] if part == "wall" and meant else typed
            try:
                sizes.append(
                    rule.from_toml(exact, name=f"{name} {part}", bare="mm" if exact is not typed else bare)
                )
            except InputError as error:
                problems += error.problems
        if problems:
            raise InputError(*problems)
        outside, thick = (float(size) for size in sizes)  # type: ignore[arg-type]
        if thick >= outside / 2:
            allowed = f"wall must be under {figure(outside / 2)} mm, half the od"
            self.out_of_range(name, _written(outside, thick), allowed)
        return _written(outside, thick)


def od_wall(size: str) -> tuple[float, float]:
    """Outer diameter and wall, mm, of a tube size as it is stored.

    size: outer diameter x wall, mm, as `tube_size` and a `row` of tubes store it. Raises InputError for others.

    >>> od_wall("38.1x2.413")
    (38.1, 2.413)
    """
    od, _, wall = size.partition("x")
    try:
        return float(od), float(wall)
    except ValueError:
        raise InputError(f"size = {units.shown(size)}, must be outer diameter x wall, mm: 38.1x2.413") from None


def _written(od: float, wall: float) -> str:
    return f"{figure(od)}x{figure(wall)}"
