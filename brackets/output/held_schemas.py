"""The keys of the facts on the strength of the parts of a bay, for their JSON Schema. N, N/mm, mm, MPa."""

from __future__ import annotations

from brackets.output.schema_terms import Schema, each, names, or_null, table, text, value


def strength() -> Schema:
    """What `fit` has of it; null where the bay has no table [hold]."""
    return or_null(table("the parts under the bay's load cases; null without [hold]", {
        "asks": names("what must be typed before anything is said"),
        "cases": each(table("one", {
            "name": text("of the load case"),
            "counted": text("characteristic or factored"),
            "why": text("where its figures are from"),
        }), "load cases, the weight alone first"),
        "checks": each(_check(), "every clause at every place of a part, the most used first"),
        "not_checked": each(table("a place", {
            "part": text("its name"),
            "place": text("of the part; empty for all of it"),
            "why": text("what no clause covers"),
        }), "places that nothing is said of"),
        "welds": each(table("a weld", {
            "part": text("its name"),
            "weld": text("its name"),
            "across_mpa": value("number", "MPa: largest stress range square to it"),
            "across_cases": names("the two cases"),
            "along_mpa": value("number", "MPa: largest range of shear along it"),
            "along_cases": names("the two cases"),
            "detail_category": value("null", "left blank for whoever signs"),
        }), "largest range first"),
        "stiffness": each(table("a bracket at a bush", {
            "part": text("its name"),
            "mount": text("its name"),
            "seat": text("of the part"),
            "way": each(value("number", "no unit: of a direction"), "in which it is least beside the bush"),
            "bracket_n_per_mm": value("number", "N/mm: of the bracket"),
            "bush_n_per_mm": value("number", "N/mm: of the bush"),
            "times": value("number", "no unit: the first over the second"),
            "assumed": names("with what it was worked out"),
        }), "of each bracket at each bush"),
        "notes": names("what was assumed"),
    }))  # fmt: skip


def _check() -> Schema:
    figure = or_null(value("number", "in unit; null where there is none"))
    part = or_null(value("number", "no unit: 1 where the rule entered is just met; null: nothing is allowed"))
    return table("one check by hand", {
        "part": text("its name"),
        "place": text("of the part"),
        "case": text("load case in which most is used; with bushes: at an end of their scatter"),
        "name": text("what it was asked for"),
        "clause": text("standard, year, clause"),
        "formula": text("in words"),
        "value": figure,
        "limit": figure,
        "unit": text("of value and limit"),
        "factors": text("partial factors with their source"),
        "own_value": figure,
        "own_limit": figure,
        "refused": each(table("a row", {
            "row": each(value("integer", "number of the row"), "which"),
            "problem": text("why"),
        }), "rows outside the clause"),
        "notes": names("what was assumed"),
        "utilisation": part,
        "own_utilisation": part,
        "meets": value("boolean", "whether it meets the rule that was entered"),
    })  # fmt: skip
