"""The keys of a file, from the rules of its rows, and their list for people.

One `FileKeys` describes a kind of file; the list of keys, the JSON schema (`json_schema.py`) and the gallery are
made from it, and its reader takes its tables and rules from the same rows.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from brackets.core.schema.checked import Checked, Param, Where, fields
from brackets.core.schema.lists import ByName, DirectionRule, Listed, PointRule
from brackets.core.schema.rows import Row, TubeSize
from brackets.core.schema.rule import Choice, Rule, YesNo
from brackets.core.schema.sizes import Count, Size

UNITS = ("mm", "in")
"""What the bare numbers of a file may be."""

Form = Literal["table", "rows", "named"]
"""[brake]; [[die]], any number of them; [gap], a row under each name that the user chooses."""


@dataclass(frozen=True, kw_only=True)
class TableKeys:
    """One table of a file: its `name`, the class whose fields are its keys, and what it is `about`.

    `must`: the table must be there, of an inner one at least one. `groups`: prefixes whose keys may stand in a
    table of their own, bolt_size as bolt = { size = .. }. `open_to`: what every other key is, "" where there may be
    none. `instead`: a required key, and the key that it may be left out for. `inner`: lists of tables inside a row;
    `short` is the row class of an entry that is written as a list. `examples`: of keys that the shipped files do
    not use.
    """

    name: str
    row: type[Checked]
    form: Form
    about: str
    must: bool = False
    groups: tuple[str, ...] = ()
    open_to: str = ""
    instead: tuple[str, str] | None = None
    inner: tuple[TableKeys, ...] = ()
    short: type[Checked] | None = None
    examples: Mapping[str, object] = field(default_factory=dict)

    @property
    def params(self) -> tuple[Param, ...]:
        return fields(self.row)

    @property
    def heading(self) -> str:
        """ "[[die]]", "[brake]", "[gap] NAME = { .. }"."""
        return {"table": f"[{self.name}]", "rows": f"[[{self.name}]]", "named": f"[{self.name}] NAME = {{ .. }}"}[
            self.form
        ]

    def written(self, param: Param) -> str:
        """The key as it is usually written: bolt.size for bolt_size where bolt is a group."""
        group = self.group_of(param.name)
        return f"{group}.{param.name.removeprefix(f'{group}_')}" if group else param.name

    def group_of(self, name: str) -> str:
        """The group a key belongs to, "" where none."""
        return next((group for group in self.groups if name.startswith(f"{group}_")), "")

    def needed_by(self, param: Param) -> Where | None:
        """What makes the key, or its group, one that must be given; None where nothing does."""
        names = (param.name, self.group_of(param.name))
        return next((one for one in self.row._where if set(names) & set(one.must)), None)

    def required(self, param: Param) -> bool:
        """Whether the key must always be there."""
        return param.required and (self.instead is None or self.instead[0] != param.name)


@dataclass(frozen=True, kw_only=True)
class FileKeys:
    """A kind of file: `top` are the keys outside all tables."""

    kind: str
    title: str
    top: type[Checked]
    tables: tuple[TableKeys, ...]
    examples: Mapping[str, object] = field(default_factory=dict)

    @property
    def top_params(self) -> tuple[Param, ...]:
        return fields(self.top)

    @property
    def at_top(self) -> TableKeys:
        """The keys outside all tables, as a table without a name."""
        return TableKeys(
            name="", row=self.top, form="table", about=f"a {self.title}", examples=self.examples, must=True
        )

    @property
    def names(self) -> tuple[str, ...]:
        """Every key that may stand at the top of the file, names of tables among them."""
        return (*(param.name for param in self.top_params), *(table.name for table in self.tables))

    def table(self, name: str) -> TableKeys:
        return next(table for table in self.tables if table.name == name)


KEY_HEAD = ("key", "kind", "allowed", "default", "what it is", "example")


@dataclass(frozen=True, kw_only=True)
class Key:
    """One key as the list of keys shows it; every field is text."""

    name: str
    kind: str
    unit: str
    allowed: str
    default: str
    meaning: str
    example: str

    @property
    def cells(self) -> tuple[str, ...]:
        """The columns of KEY_HEAD."""
        kind = f"{self.kind}, {self.unit}" if self.unit else self.kind
        return (self.name, kind, self.allowed, self.default, self.meaning, self.example)


@dataclass(frozen=True, kw_only=True)
class Section:
    """The keys of one table, or of the top of the file, where `table` is ""."""

    table: str
    heading: str
    about: str
    keys: tuple[Key, ...]


def listed(file: FileKeys, sample: Mapping[str, object]) -> Iterator[Section]:
    """The top of the file, then each table; examples are taken from `sample`, a file that was read as TOML."""
    top = file.at_top
    yield Section(table="", heading="at the top", about=top.about, keys=_keys(top, [sample]))
    for table in file.tables:
        rows = sample_rows(table, sample)
        about = f"{table.about}; any other key is {table.open_to}" if table.open_to else table.about
        yield Section(table=table.name, heading=table.heading, about=about, keys=_keys(table, rows))
        for inner in table.inner:
            heading, keys = f"{inner.name} of {table.heading}", _keys(inner, _inner_rows(inner, rows))
            yield Section(table=table.name, heading=heading, about=inner.about, keys=keys)


def sample_rows(table: TableKeys, sample: Mapping[str, object]) -> list[Mapping[str, object]]:
    """The rows of a table in a file that was read as TOML."""
    found = sample.get(table.name, {})
    if table.form == "named" and isinstance(found, Mapping):
        found = list(found.values())
    rows = found if isinstance(found, list) else [found]
    return [row for row in rows if isinstance(row, Mapping)]


def _inner_rows(inner: TableKeys, rows: Sequence[Mapping[str, object]]) -> list[Mapping[str, object]]:
    return [row for outer in rows for row in sample_rows(inner, outer)]


def _keys(table: TableKeys, rows: Sequence[Mapping[str, object]]) -> tuple[Key, ...]:
    short = () if table.short is None else fields(table.short)
    alone = (replace(_key(table, param, ()), name="[x, y, z]", default="none") for param in short)
    return (*alone, *(_key(table, param, rows) for param in table.params))


def _key(table: TableKeys, param: Param, rows: Sequence[Mapping[str, object]]) -> Key:
    given = "must be given" if table.required(param) else "none"
    if param.required and not table.required(param) and table.instead is not None:
        given = f"must be given without {table.instead[1]}"
    if table.group_of(param.name) in table.row._whole:
        given = f"none, or all of {table.group_of(param.name)}"
    by = table.needed_by(param)
    if by is not None and param.default is None:
        group = table.group_of(param.name)
        asked = f"one of {group} must be given" if group in by.must else "must be given"
        given = f"none; {asked} {by.said}"
    return Key(
        name=table.written(param),
        kind=param.rule.kind if not isinstance(param.rule, Listed) else f"list of {param.rule.of.kind}",
        unit=param.rule.of.unit if isinstance(param.rule, Listed) else param.unit,
        allowed=param.rule.allowed.removeprefix("must be "),
        default=given if param.required or param.default is None else toml(param.rule.to_json(param.default)),
        meaning=param.meaning,
        example=toml(example(table, param, rows)),
    )


def example(table: TableKeys, param: Param, rows: Sequence[Mapping[str, object]] = ()) -> object:
    """A TOML value of the key: the first one in `rows`, else the table's own, the default, or one of the rule."""
    group = table.group_of(param.name)
    for row in rows:
        inner = row.get(group)
        for found in (row, inner) if isinstance(inner, Mapping) else (row,):
            name = param.name if found is row else param.name.removeprefix(f"{group}_")
            if name in found:
                return found[name]
    if param.name in table.examples:
        return table.examples[param.name]
    if not param.required and param.default not in (None, "", ()):
        return param.rule.to_json(param.default)
    return of_rule(param.rule)


def of_rule(rule: Rule) -> object:
    """A TOML value that the rule allows."""
    if isinstance(rule, DirectionRule) or (isinstance(rule, PointRule) and "direction" in rule.meaning):
        return [0.0] * (len(rule.axes) - 1) + [1.0]
    if isinstance(rule, PointRule):
        return [of_rule(rule.coordinate)] * len(rule.axes)
    if isinstance(rule, Size):
        return _round_figure(rule.lo, rule.hi)
    if isinstance(rule, Count):
        return rule.lo
    if isinstance(rule, YesNo):
        return True
    if isinstance(rule, Choice | Row | TubeSize):
        return rule.choices[0]
    if isinstance(rule, Listed):
        return [of_rule(rule.of)] * max(rule.at_least, 1)
    if isinstance(rule, ByName):
        return {"A": of_rule(rule.of)}
    return "A"


def _round_figure(lo: float, hi: float) -> float:
    """A figure of one digit between the limits, small rather than large."""
    if lo < 0 < hi:
        return 0.0
    aim = math.sqrt(lo * hi) if lo > 0 else hi / 10
    figure = float(f"{aim:.0e}")
    return figure if lo <= figure <= hi else lo


def toml(value: object) -> str:
    """A plain value as TOML writes it on one line."""
    if isinstance(value, Mapping):
        return f"{{ {', '.join(f'{key} = {toml(inner)}' for key, inner in value.items())} }}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(toml, value))}]"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return json.dumps(value, ensure_ascii=False)
