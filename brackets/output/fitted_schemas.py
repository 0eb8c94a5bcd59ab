"""The own keys of the facts of `fit`, for their JSON Schema: what was found of a bay. What a part has is make's."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackets.output import gap_schemas, held_schemas
from brackets.output.bolt_schemas import bolt
from brackets.output.movement_facts import movement_schema
from brackets.output.schema_terms import Schema, each, mm, names, no_mm, one_of, or_null, point, table, text, value

SHARED_BY_A_PART = (
    "hand", "values", "not_stated", "mass_kg", "centroid_mm", "inertia_kg_mm2", "pieces", "set_up", "weld_order",
    "weld_pull",
)  # fmt: skip
"""Keys of a part of a bay that are those of `make`."""


def fit(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    """Every key of a fitted bay that is not in each facts.json."""
    finding = shared["findings"]["items"]
    return {
        "bay": text("its name"),
        "shop": shared["shop"],
        "title_block": shared["title_block"],
        "powertrain": _powertrain(),
        "movement": movement_schema(),
        "worst": each(
            table("a finding", {"finding": finding, "do": text("what to do; empty where its sentence says it")}),
            "the first that nobody accepted, worst first",
        ),
        "met": text("how many of the rules of gaps that the bay file enters are met"),
        **_lists(),
        "parts": each(_part(shared), "in the bay's order"),
        "pairs": each(gap_schemas.pair(), "gap of two bodies, worst first"),
        "moved": each(gap_schemas.moved(), "gaps over the movement; empty where there is none"),
        "pos_mm": {
            "type": "object",
            "description": "± of where each body stands, by its name; null where nobody said",
            "additionalProperties": {"type": ["number", "null"]},
        },
        "adjusts": each(gap_schemas.adjust(finding), "ways a part can be moved on its slots"),
        "slacks": each(_slack(), "hoses, cables and linkages, least spare first"),
        "drives": each(_drive(), "shafts and chains"),
        "props": each(_prop(), "points that are propped on the ground"),
        "links": each(_link(), "parts between a bush on the chassis and one on the powertrain"),
        "rules": each(gap_schemas.rule(), "a class of gap and its worst pair, least spare first"),
        "strength": held_schemas.strength(),
        "paths": each(gap_schemas.path(), "ways in or out that the bay file asks for"),
        "seats": each(_seat(), "seats of parts that stand on keep-outs"),
        "fit_ups": each(_fit_up(), "seats that are welded on"),
        "bolts": each(bolt(), "of mounts, bosses, ends and the chassis"),
        "left_out": names("parts whose recipe is not known, a sentence each"),
        "notes": names("what is said of bushes, and values that nothing gives, a sentence each"),
        **{key: shared[key] for key in ("verdict", "cautions", "findings", "formats")},
    }


def _powertrain() -> Schema:
    none = "null where no lump is typed"
    row = each(value("number", "kg mm2"), "a row")
    return table("what hangs in the mounts", {
        "mass_kg": or_null(value("number", f"of its lumps; {none}")),
        "centroid_mm": or_null(point(f"x, y, z of the centre of mass; {none}")),
        "inertia_kg_mm2": or_null(each(row, f"about the centroid, as of a part; {none}")),
        "first_gear_torque_nm": value("number", "about the axle of a transaxle, else about the crank"),
        "traction_cap_nm": or_null(
            value("number", "greatest axle torque that the tyres pass on; null where no tyre is typed")
        ),
        "firing_at_idle_hz": value("number", "firing frequency at idle"),
    })  # fmt: skip


def _lists() -> Mapping[str, Schema]:
    about = {
        **{f"i{x}{x}": value("number", f"kg mm2: inertia about {x} through the centre") for x in "xyz"},
        **{f"i{one}": value("number", f"kg mm2: minus the integral of {one} dm") for one in ("xy", "yz", "zx")},
    }
    mass = {
        "what": text("what was added up"),
        "kg": value("number", "kg: its mass"),
        **{f"{one}_mm": value("number", f"{one} of its centre") for one in "xyz"},
        **about,
    }
    buy = {
        "kind": text("bolt, nut, washer or bush"),
        "what": text("size, length and class"),
        "number": value("integer", "number of them"),
        "where": text("mounts, bosses and parts that they go to"),
        "note": text("what is not known of it"),
    }
    cut = {
        "STOP": text("do not cut; there only where something of the bay stops"),
        "kind": text("of piece"),
        "section_mm": text("what it is cut from"),
        "material": text("of the piece"),
        "length_mm": value("number", "cut off, or of the blank"),
        "width_mm": {"type": ["number", "string"], "description": "of the blank; empty text where it is no plate"},
        "number": value("integer", "number of like pieces"),
        "kg_each": value("number", "kg: of one"),
        "pieces": text("their names, with ; between"),
    }
    stick = {
        "section_mm": text("of the stick"),
        "material": text("of the stick"),
        "stick_mm": value("number", "length of a whole stick"),
        "sticks": value("integer", "number of sticks"),
        "left_mm": value("number", "left of the sticks that were begun, less the saw's kerfs"),
        "longer_than_a_stick_mm": text("lengths that no stick has"),
    }
    return {
        "masses": each(table("a sum", mass), "of powertrain and mounts; weld metal is in none"),
        "buy": each(table("like things", buy), "what to buy"),
        "cut": each(table("like pieces", cut, ("STOP",)), "what to cut"),
        "sticks": each(table("of one section", stick), "of tube and bar that the cut list takes"),
    }


def _part(shared: Mapping[str, Any]) -> Schema:
    misfit = {
        "seat": text("of the part"),
        "mount": text("or boss, that the seat goes to"),
        "off_mm": value("number", "distance of the two"),
        "angle_deg": value("number", "between their axes"),
    }
    return table("a part", {
        "name": text("in the bay"),
        "recipe": shared["recipe"],
        "side": one_of(("chassis", "powertrain", "link"), "what it is fixed to"),
        **{key: shared[key] for key in SHARED_BY_A_PART},
        "worked_out": {
            **value("object", "values that the bay gave, by their names in the recipe; mm, degrees"),
            "additionalProperties": True,
        },
        "not_given": names("values whose link nothing of the bay gives, a sentence each"),
        "misfits": each(table("a seat", misfit), "how far seats are off where they belong"),
    })  # fmt: skip


def _slack() -> Schema:
    return table("a hose, cable or linkage", {
        "name": text("its name"),
        "still_mm": value("number", "between its ends at rest"),
        "least_mm": point("low and high end of the least distance over the movement"),
        "may_be_mm": no_mm("least that it can be", "where none is typed"),
        "most_mm": point("low and high end of the greatest distance over the movement"),
        "length_mm": value("number", "of it"),
        "margin_mm": value("number", "of length that is asked beyond the greatest distance"),
        "spare_mm": value("number", "length less the high end of the greatest distance"),
        "least_by": text("the load case, or typed, that takes them there; empty where nothing is worked out"),
        "most_by": text("the load case, or typed, that takes them there; empty where nothing is worked out"),
    })  # fmt: skip


def _drive() -> Schema:
    def parts(about: str) -> Schema:
        return {
            "type": "object",
            "description": about,
            "additionalProperties": {"type": "number", "description": "in unit"},
        }

    def known(about: str) -> Schema:
        return or_null(value("number", f"in unit: {about}; null where there is none"))

    figure = {
        "what": text("which figure"),
        "unit": text("of it"),
        "still": known("at rest"),
        "still_limit": known("limit at rest, as typed"),
        "still_parts": parts("what it is made up of at rest"),
        "moved": or_null(each(value("number", "in unit"), "low and high end over the movement; null without one")),
        "moved_limit": known("limit over the movement, as typed"),
        "moved_parts": parts("what it is made up of when moved"),
        "worst": text("where the powertrain then stands, in words"),
        "case": text("the load case, or typed, that takes it there; empty where nothing is worked out"),
    }
    return table("a shaft or chain", {
        "name": text("its name"),
        "kind": one_of(("shaft", "chain"), "what it is"),
        "joints": or_null(text("kind of its joints; null of a chain")),
        "length_mm": value("number", "at rest"),
        "figures": each(table("a figure", figure), "with its limits"),
    })  # fmt: skip


def _prop() -> Schema:
    limits = each(or_null(value("number", "mm")), "least and greatest height, each null where none is typed")
    return table("a point", {
        "name": text("its name"),
        "at": point("mm: x, y, z"),
        "ground_mm": no_mm("height of the ground under it", "where there is none"),
        "height_mm": no_mm("over the ground", "where there is none"),
        "height_limits_mm": limits,
        "on": text("the keep-out that is the ground, or as typed; empty where there is none"),
    })  # fmt: skip


def _link() -> Schema:
    def most(about: str, unit: str) -> Schema:
        return or_null(table(f"{about}; null where there is no movement", {
            "low": value("number", f"{unit}: low end of the most"),
            "high": value("number", f"{unit}: high end of the most"),
            "worst": text("where the powertrain then stands, in words"),
        }))  # fmt: skip

    def limit(about: str) -> Schema:
        return or_null(value("number", f"that the bush may give {about}; null where none is typed"))

    end = {
        "mount": text("of the bush"),
        "bush": text("its row"),
        "radial_mm": most("asked across the axis", "mm"),
        "radial_limit_mm": limit("across its axis"),
        "axial_mm": most("asked along the axis", "mm"),
        "axial_limit_mm": limit("along its axis"),
        "tilt_deg": most("asked of the axis", "degrees"),
        "tilt_limit_deg": limit("in tilt"),
    }
    return table("a link", {
        "part": text("its name"),
        "length_mm": value("number", "from bush to bush of the part"),
        "apart_mm": value("number", "from mount to mount"),
        "stretch_mm": most("by which the mounts come further apart", "mm"),
        "squeeze_mm": most("by which the mounts come nearer", "mm"),
        "ends": each(table("a bush", end), "at the chassis, then at the powertrain"),
    })  # fmt: skip


def _seat() -> Schema:
    hang = {
        "edge": text("of the seat"),
        "mm": mm("past the metal"),
        "onto": text("the keep-out past which it hangs"),
    }
    return table("a seat", {
        "part": text("whose it is"),
        "seat": text("its name"),
        "onto": names("keep-outs that bear it"),
        "area_mm2": value("number", "of the seat"),
        "contact_mm2": value("number", "of it that bears"),
        "share": value("number", "share from 0 to 1: of its area that bears"),
        "widest_mm": value("number", "widest gap where it bears"),
        "nearest_mm": no_mm("least distance to metal", "where there is none"),
        "hangs": each(table("an edge", hang), "furthest first"),
        "weld_mm": value("number", "of weld line at it"),
        "weld_on_nothing_mm": value("number", "of weld line with no metal within allowed_mm"),
        "weld_widest_mm": value("number", "widest gap along the weld line"),
        "weld_widest_at": point("mm: x, y, z of that gap"),
        "allowed_mm": value("number", "gap that still counts as bearing"),
    })  # fmt: skip


def _fit_up() -> Schema:
    return table("a seat", {
        "part": text("whose it is"),
        "onto": text("the keep-out it is welded to"),
        "widest_mm": value("number", "widest gap along the weld line"),
        "at": point("mm: x, y, z of that gap"),
    })  # fmt: skip
