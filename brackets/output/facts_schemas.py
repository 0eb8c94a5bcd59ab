"""JSON Schemas (draft 2020-12) of the facts that `flat`, `card`, `stations` and `family` write; make's is a file.

What every facts.json has is taken from make's schema, so that it is said once.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackets.output import facts

Schema = dict[str, Any]

EVERY = ("format", "program", "inputs_sha256", "sha256", "own_sha256", "files")
"""Keys of every facts.json."""


def _one(kind: str, about: str) -> Schema:
    return {"type": kind, "description": about}


def _maybe(of: Schema) -> Schema:
    return {**of, "type": [of["type"], "null"]}


def _each(of: Schema, about: str) -> Schema:
    return {"type": "array", "description": about, "items": of}


def _table(about: str, keys: Mapping[str, Schema]) -> Schema:
    return {
        "type": "object",
        "description": about,
        "properties": dict(keys),
        "required": list(keys),
        "additionalProperties": False,
    }


def _point(about: str) -> Schema:
    return _each(_one("number", "mm"), about)


def _names(about: str) -> Schema:
    return _each(_one("string", "its name"), about)


def _flat(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    blank = {
        "pieces": _names("that are cut by it"),
        "count": _one("integer", "how many are cut"),
        "material": _one("string", "as the recipe has it"),
        "mass_kg": _one("number", "of one"),
        "sheets": _each(_one("integer", "from 1"), "numbers of the sheets they lie on"),
        "flat": shared["pieces"]["items"]["properties"]["flat"],
    }
    laid = {
        "piece": _one("string", "its name"),
        "at_mm": _point("lower left corner of its rectangle on the sheet"),
        "turned": _one("boolean", "by a quarter"),
    }
    sheet = {
        "material": _one("string", "of the sheet"),
        "t_mm": _one("number", "thickness"),
        "length_mm": _one("number", "along the grain"),
        "width_mm": _one("number", "across it"),
        "used": {**_one("number", "part of it that becomes blanks"), "minimum": 0, "maximum": 1},
        "blanks": _each(_table("one blank", laid), "what lies on it"),
    }
    return {
        "name": _one("string", "of the recipe or bay"),
        "shop": shared["shop"],
        "title_block": shared["title_block"],
        "blanks": _each(_table("like blanks", blank), "every blank"),
        "sheets": _each(_table("one sheet", sheet), "of plate"),
        **{key: shared[key] for key in ("verdict", "cautions", "findings", "formats")},
    }


def _card(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    piece = {
        "pieces": _names("of steel that it stands for"),
        "made": _one("string", "how: folded up, stacked, rolled"),
        "cut": _one("integer", "how many"),
        "outside_mm": _maybe(_point("sizes once it is made, as the steel's; null where it has none")),
        "sheets": _names("drawings of it"),
    }
    mock_up = {
        "name": _one("string", "of the part"),
        "pieces": _each(_table("like pieces", piece), "what is made of card"),
        "without": _names("pieces that no card is made of"),
    }
    return {
        "name": _one("string", "of the recipe or bay"),
        "card_t_mm": _maybe(_one("number", "thickness of the card")),
        "crease_mm": _maybe(_one("number", "what a fold of 90 degrees adds to a leg")),
        "sheet_mm": _maybe(_point("length and width of a sheet of card; null where none was given")),
        "mock_ups": _each(_table("one", mock_up), "of each part, of the keep-outs, of the bushes"),
        **{key: shared[key] for key in ("verdict", "findings", "formats")},
    }


def _stations(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    text, at = _one("string", "its name"), _point("in the two coordinates")
    piece = {
        "name": text,
        "area_mm2": _one("number", "of a face"),
        "edges_mm": _each(_each(at, "a ring of corners"), "the outer edge first, then holes"),
        "holes": _each(
            _table("drilled", {"name": text, "at_mm": at, "d_mm": _one("number", "diameter")}), "dowels', wire's"
        ),
        "bosses": _each(_table("marked", {"name": text, "at_mm": at}), "of the powertrain on it"),
    }
    station = {
        "number": _one("integer", "from 1"),
        "faces_mm": _point("where its faces stand on the axis"),
        "cut_at_mm": _maybe(_one("number", "where the body is cut; null: all between its faces")),
        "pieces": _each(_table("one piece", piece), "of the station"),
    }
    dowel = {
        "pieces": _names("that it goes through"),
        "p_mm": at,
        "q_mm": at,
        "wire_mm": _maybe(_point("of the wire's hole, in the two coordinates; null where there is none")),
        "length_mm": _one("number", "of the dowel"),
    }
    laid = {"piece": text, "at_mm": _point("lower left corner"), "turned": _one("boolean", "by a quarter")}
    board = {
        "length_mm": _one("number", "of the board"),
        "width_mm": _one("number", "of the board"),
        "pieces": _each(_table("one piece", laid), "what is cut from it"),
    }
    return {
        "name": _one("string", "of the body"),
        "asked": {**_one("object", "the options by name, mm; null where not given"), "additionalProperties": True},
        "hash": _one("string", "of all that the stations follow from; on every sheet"),
        "height_mm": _one("number", "of the stack"),
        "volume_mm3": _one("number", "of board in the stack"),
        "board_volume_mm3": _one("number", "of the boards"),
        "coordinates": _names("the two that run right and up on a station"),
        "stations": _each(_table("one station", station), "in the order of the stack"),
        "dowels": _each(_table("a pair", dowel), "and what they go through"),
        "boards": _each(_table("one board", board), "of foam"),
        "notes": _names("what the sheets say of the stack"),
        **{key: shared[key] for key in ("verdict", "findings", "formats")},
    }


def _family(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    words = ("fine", "caution", "STOP", "refused", "failed")
    said = {key: _one("string", about) for key, about in (
        ("label", "level"), ("piece", "what it is of"), ("said", "the finding"))}  # fmt: skip
    return {
        "family": _one("string", "its name"),
        "varied": _names("values that differ from row to row"),
        "counts": _table("of rows by verdict", {word: _one("integer", f"rows that are {word}") for word in words}),
        "every_row": _each(_table("a finding", said), "findings that all rows have"),
        "strength": _one("string", "that it is not judged"),
        "made_of": _one("string", "key of all that the tables follow from; empty where it is not known"),
    }


OWN = {"flat": _flat, "card": _card, "stations": _stations, "family": _family}
"""Command to its own keys."""

COMMANDS = ("make", *OWN)
"""Commands whose facts have a schema."""


def schema_of(command: str) -> Schema:
    """JSON Schema of the facts that one of COMMANDS writes."""
    made = facts.schema()
    if command == "make":
        return made
    shared = made["properties"]
    keys = {key: shared[key] for key in EVERY} | dict(OWN[command](shared))
    return {"$schema": made["$schema"], "title": f"facts.json of {command}", **_table(f"facts of {command}", keys)}
