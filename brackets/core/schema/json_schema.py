"""The keys of a file as JSON Schema, for editors that complete and check TOML.

Limits of a length hold whether bare numbers are mm or inches: an editor cannot know which, so its lower limit is
the one in inches and its upper one that in mm; the exact limits stand in the description. What several keys must
be together is left to the reader.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from brackets.core.schema.checked import Checked, Param, Where, fields
from brackets.core.schema.file_keys import FileKeys, TableKeys, example, sample_rows
from brackets.core.schema.lists import ByName, Listed, PointRule
from brackets.core.schema.rows import TubeSize
from brackets.core.schema.rule import NONE_WORDS, Choice, Rule, Text, YesNo
from brackets.core.schema.sizes import Count, Length, Size
from brackets.core.units import INCH

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
        properties[param.name] = key
        if group:
            new: Schema = {"type": "object", "properties": {}, "additionalProperties": False}
            inner, short = properties.setdefault(group, new), param.name.removeprefix(f"{group}_")
            inner["properties"][short] = key
            if group in table.row._whole:
                inner.setdefault("required", []).append(short)
    for inner_table in table.inner:
        least = {"minItems": 1} if inner_table.must else {}
        properties[inner_table.name] = _in_form(inner_table, _row(inner_table, ())) | least
    found: Schema = {"type": "object", "description": table.about, "properties": properties}
    if not table.open_to:
        found["additionalProperties"] = False
    plain = [p.name for p in table.params if table.required(p) and not table.group_of(p.name)]
    plain += [inner_table.name for inner_table in table.inner if inner_table.must]
    if plain:
        found["required"] = plain
    either = [_either(table, p) for p in table.params if table.required(p) and table.group_of(p.name)]
    if table.instead is not None:
        either.append({"anyOf": [{"required": [name]} for name in table.instead]})
    either += [_needed(table, one) for one in table.row._where if one.must]
    if either:
        found["allOf"] = either
    return found


def _either(table: TableKeys, param: Param) -> Schema:
    """A required key of a group, there under its full name or inside its table."""
    group = table.group_of(param.name)
    inner = {"required": [param.name.removeprefix(f"{group}_")]}
    nested = {"required": [group], "properties": {group: inner}}
    return {"anyOf": [{"required": [param.name]}, nested]}


def _needed(table: TableKeys, one: Where) -> Schema:
    where = {"required": [one.key], "properties": {one.key: {"enum": list(one.words)}}}
    groups = [name for name in one.must if name in table.groups]
    then: Schema = {"required": [name for name in one.must if name not in groups]}
    if groups:
        then["allOf"] = [
            {"anyOf": [{"required": [name]} for name in (group, *_keys_of(table, group))]} for group in groups
        ]
    return {"if": where, "then": then}


def _keys_of(table: TableKeys, group: str) -> list[str]:
    return [param.name for param in table.params if table.group_of(param.name) == group]


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
        least = {"minLength": rule.least} if rule.least else {}
        return {"type": "string", **least, "maxLength": rule.longest}
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
