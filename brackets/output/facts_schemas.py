"""JSON Schemas (draft 2020-12) of the facts of the commands; that of `make` is a file.

What every facts.json has is taken from make's schema, so that it is said once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from brackets.core.finding import VERDICTS
from brackets.output import facts, fitted_schemas, hang_schemas, measured_schemas
from brackets.output.schema_terms import Schema, each, names, or_null, point, table, value

EVERY = ("format", "program", "inputs_sha256", "sha256", "own_sha256", "files")
"""Keys of every facts.json."""


def _flat(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    blank = {
        "pieces": names("that are cut by it"),
        "count": value("integer", "how many are cut"),
        "material": value("string", "as the recipe has it"),
        "mass_kg": value("number", "of one"),
        "sheets": each(value("integer", "from 1"), "numbers of the sheets they lie on"),
        "flat": shared["pieces"]["items"]["properties"]["flat"],
    }
    laid = {
        "piece": value("string", "its name"),
        "at_mm": point("lower left corner of its rectangle on the sheet"),
        "turned": value("boolean", "by a quarter"),
    }
    sheet = {
        "material": value("string", "of the sheet"),
        "t_mm": value("number", "thickness"),
        "length_mm": value("number", "along the grain"),
        "width_mm": value("number", "across it"),
        "used": {**value("number", "part of it that becomes blanks"), "minimum": 0, "maximum": 1},
        "blanks": each(table("one blank", laid), "what lies on it"),
    }
    return {
        "name": value("string", "of the recipe or bay"),
        "shop": shared["shop"],
        "title_block": shared["title_block"],
        "blanks": each(table("like blanks", blank), "every blank"),
        "sheets": each(table("one sheet", sheet), "of plate"),
        **{key: shared[key] for key in ("verdict", "cautions", "findings", "formats")},
    }


def _card(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    piece = {
        "pieces": names("of steel that it stands for"),
        "made": value("string", "how: folded up, stacked, rolled"),
        "cut": value("integer", "how many"),
        "outside_mm": or_null(point("sizes once it is made, as the steel's; null where it has none")),
        "sheets": names("drawings of it"),
    }
    mock_up = {
        "name": value("string", "of the part"),
        "pieces": each(table("like pieces", piece), "what is made of card"),
        "without": names("pieces that no card is made of"),
    }
    return {
        "name": value("string", "of the recipe or bay"),
        "card_t_mm": or_null(value("number", "thickness of the card")),
        "crease_mm": or_null(value("number", "what a fold of 90 degrees adds to a leg")),
        "sheet_mm": or_null(point("length and width of a sheet of card; null where none was given")),
        "mock_ups": each(table("one", mock_up), "of each part, of the keep-outs, of the bushes"),
        **{key: shared[key] for key in ("verdict", "findings", "formats")},
    }


def _stations(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    text, at = value("string", "its name"), point("in the two coordinates")
    piece = {
        "name": text,
        "area_mm2": value("number", "of a face"),
        "edges_mm": each(each(at, "a ring of corners"), "the outer edge first, then holes"),
        "holes": each(
            table("drilled", {"name": text, "at_mm": at, "d_mm": value("number", "diameter")}), "dowels', wire's"
        ),
        "bosses": each(table("marked", {"name": text, "at_mm": at}), "of the powertrain on it"),
    }
    station = {
        "number": value("integer", "from 1"),
        "faces_mm": point("where its faces stand on the axis"),
        "cut_at_mm": or_null(value("number", "where the body is cut; null: all between its faces")),
        "pieces": each(table("one piece", piece), "of the station"),
    }
    dowel = {
        "pieces": names("that it goes through"),
        "p_mm": at,
        "q_mm": at,
        "wire_mm": or_null(point("of the wire's hole, in the two coordinates; null where there is none")),
        "length_mm": value("number", "of the dowel"),
    }
    laid = {"piece": text, "at_mm": point("lower left corner"), "turned": value("boolean", "by a quarter")}
    board = {
        "length_mm": value("number", "of the board"),
        "width_mm": value("number", "of the board"),
        "pieces": each(table("one piece", laid), "what is cut from it"),
    }
    return {
        "name": value("string", "of the body"),
        "asked": {**value("object", "the options by name, mm; null where not given"), "additionalProperties": True},
        "hash": value("string", "of all that the stations follow from; on every sheet"),
        "height_mm": value("number", "of the stack"),
        "volume_mm3": value("number", "of board in the stack"),
        "board_volume_mm3": value("number", "of the boards"),
        "coordinates": names("the two that run right and up on a station"),
        "stations": each(table("one station", station), "in the order of the stack"),
        "dowels": each(table("a pair", dowel), "and what they go through"),
        "boards": each(table("one board", board), "of foam"),
        "notes": names("what the sheets say of the stack"),
        **{key: shared[key] for key in ("verdict", "findings", "formats")},
    }


def _family(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    said = {key: value("string", about) for key, about in (
        ("label", "level"), ("piece", "what it is of"), ("said", "the finding"))}  # fmt: skip
    return {
        "family": value("string", "its name"),
        "varied": names("values that differ from row to row"),
        "counts": table("of rows by verdict", {v: value("integer", f"rows that are {v}") for v in VERDICTS}),
        "every_row": each(table("a finding", said), "findings that all rows have"),
        "strength": value("string", "how many rows meet the rules entered, or that it is not judged"),
        "made_of": value("string", "key of all that the tables follow from; empty where it is not known"),
    }


def _hands(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    figure = {
        "of": value("string", "what it is of: value, part, or a boss, bush, seat or piece by its name"),
        "what": value("string", "which figure"),
        "left": value("string", "of the left hand, in unit"),
        "left_mirrored": value("string", "of the left hand's mirror image, in unit"),
        "right": value("string", "of the right hand, in unit"),
        "off": or_null(value("number", "how far the right is from left_mirrored, in unit; null: not a number")),
        "unit": value("string", "of the figure; empty where it has none"),
        "differs": value("boolean", "whether the hands differ in it"),
        "says": value("string", "in what they differ; empty where they do not"),
    }
    return {
        "hands": names("of the left and the right part"),
        "relation": {**value("string", "of the two"), "enum": ["mirror images", "alike", "different"]},
        "within_mm": value("number", "lengths that differ by no more are alike"),
        "within_deg": value("number", "angles that differ by no more are alike"),
        "prevents": names("why one set of drawings does not do for both"),
        "fitted": value("boolean", "whether the bay was fitted"),
        "figures": each(table("a figure of both", figure), "all that were held against each other"),
        "title_block": shared["title_block"],
    }


def _mockup(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    finding = shared["findings"]["items"]
    told = {**finding, "required": ["code", "level", "piece", "sentence", "source"]}
    kinds = ["body", "pin", "plug", "dummy", "gauge", "test"]
    words = {"lines": names("one below the other"), "height_mm": value("number", "of a letter")}
    body = {
        "name": value("string", "of the body"),
        "kind": {**value("string", "what it is"), "enum": kinds},
        "part": value("string", "whose it is"),
        "pieces": names("of steel that it stands for"),
        "count": value("integer", "how many are printed"),
        "size_mm": point("along x, y and z of the bed"),
        "volume_mm3": value("number", "as it is printed"),
        "support_mm3": value("number", "air under its overhangs"),
        "contact_mm2": value("number", "area on the bed"),
        "marks": names("what it is marked beside its joints"),
        "words": each(table("words", words), "sunk into it"),
        "plastic_kg_estimate": value("number", "of one, without supports"),
    }
    laid = {"body": value("string", "its name"), "at_mm": point("its corner from the bed's corner: x, y")}
    pin = {
        "d_mm": value("number", "diameter to measure"),
        "drawn_mm": value("number", "diameter as drawn"),
        "socket_mm": value("number", "diameter of its socket as drawn"),
        "length_mm": value("number", "of the pin"),
        "at_mm": point("its middle, in the part"),
    }
    plug = {
        "width_mm": value("number", "least width"),
        "length_mm": value("number", "of the plug"),
        "at_mm": point("its middle, in the part"),
    }
    joint = {
        "body": value("string", "that is cut"),
        "joint": value("string", "its letter"),
        "normal": each(value("number", "no unit"), "of the cut, length 1"),
        "offset_mm": value("number", "of the cut along its normal, from the part's origin"),
        "pins": each(table("a pin", pin), "across the joint"),
        "plugs": each(table("a plug", plug), "in bores whose wall is too thin for pins"),
    }
    wall = {
        "part": value("string", "whose it is"),
        "piece": value("string", "its name"),
        "t_mm": value("number", "thickness in steel"),
        "printed_mm": value("number", "thickness as it is printed"),
        "outwards_mm": value("number", "how far it grew past its faces"),
    }
    estimate = {
        "filament_m": value("number", "without supports"),
        "plastic_kg": value("number", "without supports"),
        "supports": value("string", "that they are not counted"),
    }
    return {
        "mock_up": value("string", "name of the recipe or bay"),
        "bed_mm": point("of the printer: along x and y, and height"),
        "scale": each(value("number", "no unit"), "what all is drawn larger by for the printer, along x, y and z"),
        "bodies": each(table("a body", body), "each once"),
        "beds": each(each(table("a body on it", laid), "a bed"), "in the order they are printed"),
        "joints": each(table("a cut", joint), "of bodies that are printed in halves"),
        "grown": each(table("a wall", wall), "printed thicker than the part has it"),
        "estimate": table("of all bodies", estimate),
        "findings": {
            **shared["findings"],
            "description": "worst first; value, limit and unit are left out where there is none, about and who "
            "accepted it where empty, and a unit of mm",
            "items": told,
        },
    }


def _jig(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    values = {
        "clearance": value("number", "mm: holes over what goes through them, on the diameter"),
        "base_t": value("number", "mm: plate of the base"),
        "upright_t": value("number", "mm: plate of the uprights"),
        "height": or_null(value("number", "mm: lowest mounting face over the base; null: not given")),
        "room": value("number", "mm: from the weldment to an upright, along the shaft"),
        "margin": value("number", "mm: base beyond what stands on it"),
        "up": or_null(each(value("number", "no unit"), "way of the part that is up; null: worked out")),
    }
    held = {
        "seat": value("string", "of the weldment"),
        "kind": value("string", "of seat"),
        "by": names("pieces of the jig that hold it"),
        "at_mm": point("in the jig's frame: x, y from the base's lower left corner, z from its upper face"),
        "along": each(value("number", "no unit"), "its axis in the jig's frame, length 1"),
        "bolt": or_null(value("string", "that holds it; null where none does")),
    }
    shaft = {
        "pieces": names("the shaft and its spacers"),
        "drawn_along": each(value("number", "no unit"), "in the jig's frame, or the other way; length 1"),
    }
    of_parts = ("mass_kg", "centroid_mm", "inertia_kg_mm2", "pieces", "welds", "weld_order", "weld_pull", "tubes")
    return {
        "jig_of": value("string", "the weldment"),
        "values": table("of the jig", values),
        "shop": shared["shop"],
        "held": each(table("a seat", held), "what of the weldment is held"),
        "shafts": each(table("a shaft", shaft), "that are drawn out before the weldment is lifted"),
        **{key: shared[key] for key in (*of_parts, "verdict", "findings", "formats")},
    }


OWN = {
    "flat": _flat, "card": _card, "stations": _stations, "family": _family,
    "hands": _hands, "mockup": _mockup, "jig": _jig,
    "measure": measured_schemas.measure, "bolts": measured_schemas.bolts, "fit": fitted_schemas.fit,
    "hang": hang_schemas.hang,
}  # fmt: skip
"""Command to its own keys; hands: of `family --hands`."""

COMMANDS = ("make", *OWN)
"""Commands whose facts have a schema."""


def schema_of(command: str) -> Schema:
    """JSON Schema of the facts that one of COMMANDS writes."""
    made = facts.schema()
    if command == "make":
        return made
    shared = made["properties"]
    keys = {key: shared[key] for key in EVERY} | dict(OWN[command](shared))
    maybe = measured_schemas.MEASURE_MAYBE if command == "measure" else ()
    about = table(f"facts of {command}", keys, maybe)
    return {"$schema": made["$schema"], "title": f"facts.json of {command}", **about}


def schema_rows(of: Mapping[str, Any], where: str = "") -> Iterator[tuple[str, str, str]]:
    """Key, type and meaning of each key of a schema; [] after a key stands for each of its list.
    What may be one of several tables has the rows of each in turn."""
    kinds = (of, *of.get("anyOf", ()))
    for key, inner in (row for one in kinds for row in one.get("properties", {}).items()):
        at = f"{where}{key}"
        told = next((one for one in inner.get("anyOf", ()) if one.get("type") != "null"), inner)
        types = inner.get("type", [told.get("type"), "null"])
        words = types if isinstance(types, str) else " or ".join(map(str, types))
        yield at, words, str(told.get("description", ""))
        while "items" in told:
            told, at = told["items"], f"{at}[]"
        yield from schema_rows(told, f"{at}.")
