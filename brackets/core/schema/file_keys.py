"""The keys of a file, from the rules of its rows: as a list for people, and as JSON Schema for editors.

One `FileKeys` describes a kind of file; the list of keys, the JSON schema and the gallery are made from it, and
its reader takes its tables and rules from the same rows.

Limits of a length hold whether bare numbers are mm or inches: an editor cannot know which, so its lower limit is
the one in inches and its upper one that in mm; the exact limits stand in the description. What several keys must
be together is left to the reader.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal

from brackets.core.schema.checked import Checked, Param, fields
from brackets.core.schema.lists import ByName, DirectionRule, Listed, PointRule
from brackets.core.schema.rows import Row, TubeSize
from brackets.core.schema.rule import NONE_WORDS, Choice, Rule, Text, YesNo
from brackets.core.schema.sizes import Count, Length, Size
from brackets.core.units import INCH

UNITS = ("mm", "in")
"""What the bare numbers of a file may be."""

Form = Literal["table", "rows", "named"]
"""[brake]; [[die]], any number of them; [gap], a row under each name that the user chooses."""


@dataclass(frozen=True, kw_only=True)
class Needed:
    """Optional keys, groups among them, of a row that must be given where its `key` is one of `words`."""

    key: str
    words: tuple[str, ...]
    names: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TableKeys:
    """One table of a file: its `name`, the class whose fields are its keys, and what it is `about`.

    `must`: the table must be there. `groups`: prefixes whose keys may stand in a table of their own, bolt_size as
    bolt = { size = .. }, and have to where not `flat`. `whole`: optional groups that are there with all their keys
    or not at all. `needed`: keys that must be there by the word of another. `open_to`: what every other key is, ""
    where there may be none. `instead`: a required key, and the key that it may be left out for. `inner`: lists of
    tables inside a row; `short` is the row class of an entry that is written as a list. `examples`: of keys that
    the shipped files do not use.
    """

    name: str
    row: type[Checked]
    form: Form
    about: str
    must: bool = False
    groups: tuple[str, ...] = ()
    flat: bool = True
    whole: tuple[str, ...] = ()
    needed: tuple[Needed, ...] = ()
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

    def needed_by(self, param: Param) -> Needed | None:
        """What makes the key, or its group, one that must be given; None where nothing does."""
        names = (param.name, self.group_of(param.name))
        return next((one for one in self.needed if set(names) & set(one.names)), None)

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
    if table.group_of(param.name) in table.whole:
        given = f"none, or all of {table.group_of(param.name)}"
    by = table.needed_by(param)
    if by is not None and param.default is None:
        group = table.group_of(param.name)
        asked = f"one of {group} must be given" if group in by.names else "must be given"
        given = f"none; {asked} where {by.key} is {' or '.join(by.words)}"
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


DRAFT = "https://json-schema.org/draft/2020-12/schema"
Schema = dict[str, Any]
PER_INCH = float(INCH)


def json_schema(file: FileKeys, sample: Mapping[str, object]) -> Schema:
    """The schema of a file; examples are taken from `sample`, a file that was read."""
    whole = _row(file.at_top, [sample])
    for table in file.tables:
        row = _row(table, sample_rows(table, sample))
        whole["properties"][table.name] = _in_form(table, row)
        if table.must:
            whole.setdefault("required", []).append(table.name)
    return {"$schema": DRAFT, "title": f"{file.title} of brackets", **whole}


def _in_form(table: TableKeys, row: Schema) -> Schema:
    if table.form == "table":
        return row
    if table.form == "named":
        return {"type": "object", "description": table.about, "additionalProperties": row}
    entry = row if table.short is None else {"anyOf": [row, _short(table.short)]}
    return {"type": "array", "description": table.about, "items": entry}


def _short(row: type[Checked]) -> Schema:
    """An entry that is written as the list of its one key."""
    (param,) = fields(row)
    return {**schema_of_rule(param.rule), "description": param.meaning}


def _row(table: TableKeys, rows: Sequence[Mapping[str, object]]) -> Schema:
    properties: Schema = {}
    for param in table.params:
        key, group = _schema_key(param, example(table, param, rows)), table.group_of(param.name)
        if table.flat or not group:
            properties[param.name] = key
        if group:
            new: Schema = {"type": "object", "properties": {}, "additionalProperties": False}
            inner, short = properties.setdefault(group, new), param.name.removeprefix(f"{group}_")
            inner["properties"][short] = key
            if group in table.whole:
                inner.setdefault("required", []).append(short)
    for inner_table in table.inner:
        properties[inner_table.name] = _in_form(inner_table, _row(inner_table, ())) | {"minItems": 1}
    found: Schema = {"type": "object", "description": table.about, "properties": properties}
    if not table.open_to:
        found["additionalProperties"] = False
    plain = [p.name for p in table.params if table.required(p) and not table.group_of(p.name)]
    plain += [inner_table.name for inner_table in table.inner]
    if plain:
        found["required"] = plain
    either = [_either(table, p) for p in table.params if table.required(p) and table.group_of(p.name)]
    if table.instead is not None:
        either.append({"anyOf": [{"required": [name]} for name in table.instead]})
    either += [_needed(one) for one in table.needed]
    if either:
        found["allOf"] = either
    return found


def _either(table: TableKeys, param: Param) -> Schema:
    """A required key of a group, there under its full name or inside its table."""
    group = table.group_of(param.name)
    inner = {"required": [param.name.removeprefix(f"{group}_")]}
    nested = {"required": [group], "properties": {group: inner}}
    return {"anyOf": [{"required": [param.name]}, nested]} if table.flat else nested


def _needed(one: Needed) -> Schema:
    where = {"required": [one.key], "properties": {one.key: {"enum": list(one.words)}}}
    return {"if": where, "then": {"required": list(one.names)}}


def values_where(key: str, word: str, params: Sequence[Param]) -> Schema:
    """What further keys of a row may be where `key` of it is `word`: nothing must be there, others are let be."""
    properties = {param.name: _schema_key(param, None) for param in params}
    return {"if": {"required": [key], "properties": {key: {"enum": [word]}}}, "then": {"properties": properties}}


def _schema_key(param: Param, shown: object) -> Schema:
    found = schema_of_rule(param.rule)
    if param.optional and "enum" in found:
        found["enum"] = [*found["enum"], NONE_WORDS[0]]
    unit = f", {param.unit}" if param.unit and param.unit not in param.rule.allowed else ""
    found["description"] = f"{param.meaning}; {param.rule.allowed.removeprefix('must be ')}{unit}"
    if not param.required and param.default is not None:
        found["default"] = param.rule.to_json(param.default)
    if shown is not None:
        found["examples"] = [shown]
    return found


def schema_of_rule(rule: Rule) -> Schema:
    """What JSON Schema can say of one value as TOML gives it. A number may be text that carries its unit."""
    if isinstance(rule, Length):
        return _number(min(rule.lo, rule.lo / PER_INCH), max(rule.hi, rule.hi / PER_INCH))
    if isinstance(rule, Size):
        return _number(rule.lo, rule.hi)
    if isinstance(rule, Count):
        return {"type": ["integer", "string"], "minimum": rule.lo, "maximum": rule.hi}
    if isinstance(rule, YesNo):
        return {"enum": [True, False, *rule.choices]}
    if isinstance(rule, Choice):
        return {"enum": list(rule.words)}
    if isinstance(rule, Text):
        return {"type": "string", "maxLength": rule.longest}
    if isinstance(rule, TubeSize):
        return {"type": ["string", "object"]}
    if isinstance(rule, PointRule):
        many = len(rule.axes)
        entries = {"items": schema_of_rule(rule.coordinate), "minItems": many, "maxItems": many}
        return {"type": ["array", "string", "object"], **entries}
    if isinstance(rule, Listed):
        kinds = ["array", "string", "number"] if rule.alone else ["array", "string"]
        of = schema_of_rule(rule.of)
        return {"type": kinds, "items": of, "minItems": rule.at_least, "maxItems": rule.at_most}
    if isinstance(rule, ByName):
        return {"type": ["object", "string"], "additionalProperties": schema_of_rule(rule.of)}
    return {"type": "string"}


def _number(lo: float, hi: float) -> Schema:
    return {"type": ["number", "string"], "minimum": lo, "maximum": hi}
