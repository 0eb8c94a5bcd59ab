"""Keys of the facts of `fit` that are of gaps: pairs still and moved, ways on slots, paths, classes of gap."""

from __future__ import annotations

from brackets.output.schema_terms import Schema, each, mm, names, no_mm, one_of, or_null, point, table, text, value

STATES = ("foul", "inside", "touch", "fit-up", "contact", "clear", "far")
PAIR = {"a": text("a body"), "b": text("the other")}
GAP = {
    "low_mm": mm("proven low end of the least gap; judge by it"),
    "high_mm": mm("high end of the least gap"),
    "needed_mm": mm("gap that the rule asks"),
    "spare_mm": mm("low end less what is asked; below 0 it is short"),
}
LESS = no_mm("what is spare less the ± of both bodies", "where one of them is not known")
POINTS = each(point("mm: x, y, z"), "the closest points of both, or where they foul")
CLASS = {"class": text("of gap, whose rule asks"), "why": text("source of the rule")}
WHEN = one_of(("still", "moved"), "whether standing still or with the powertrain moved")


def pair() -> Schema:
    still = "where neither moves, or there is no movement"
    return table("two bodies, standing still", {
        **PAIR,
        "state": one_of(STATES, "fit-up, contact: declared; clear: settled to 0.001 mm; far: an interval"),
        **GAP,
        "pos_mm": no_mm("± of the gap", "where one of the two is not known"),
        "spare_less_pos_mm": LESS,
        "points": POINTS,
        **CLASS,
        "volume_mm3": or_null(value("number", "that both share; null where they do not foul or it is not told")),
        "pull_out_mm": no_mm("by which the first must be drawn to be free", "where they do not foul"),
        "pull_out_along": or_null(
            each(value("number", "no unit"), "the way it is drawn, length 1; null where they do not foul")
        ),
        "how": text("what settled the gap, as boxes or triangles"),
        "note": text("what an open scan leaves open"),
        "moved_low_mm": no_mm("low end of the gap when moved", still),
        "moved_high_mm": no_mm("high end of the gap when moved", still),
        "moved_needed_mm": no_mm("asked when moved", still),
    })  # fmt: skip


def moved() -> Schema:
    own = {
        "name": text("of a keep-out that moves by itself"),
        "deg": value("number", "degrees: turned from where it is drawn"),
        "mm": mm("slid from where it is drawn"),
    }
    return table("two bodies, over the movement", {
        **PAIR,
        **GAP,
        "spare_less_pos_mm": LESS,
        "note": text("what an open scan leaves open"),
        "worst": text("where the powertrain then stands, in words"),
        "by": text("what moves"),
        "case": or_null(text("load case, or typed, that moves it there; null where nothing is worked out")),
        "own": each(table("a keep-out", own), "where those are that move by themselves"),
        **CLASS,
        "points": POINTS,
    })  # fmt: skip


def adjust(finding: Schema) -> Schema:
    slide = {**PAIR, **GAP, "at_mm": mm("slid, where the gap is least"), "when": WHEN,
             "worst": text("where the powertrain then stands, in words"), "points": POINTS}  # fmt: skip
    return table("a part moved one way", {
        "part": text("its name"),
        "stuck": or_null(text("why it cannot be moved; null where it can")),
        "range_mm": value("number", "to the end of its slots"),
        "engine_gains_mm": point("x, y, z that the engine moves with it"),
        "mounts": names("mounts that it carries"),
        "gaps": each(table("two bodies", slide), "on the way, least spare first"),
        "worse_at_the_end": each(finding, "what is said at the end and not as drawn"),
    })  # fmt: skip


def rule() -> Schema:
    return table("a class of gap", {
        **CLASS,
        "needed_mm": value("number", "gap asked standing still"),
        "moved_needed_mm": value("number", "gap asked when moved"),
        "whose": one_of(("your rule", "default"), "whether the bay file enters it"),
        "spare_mm": value("number", "least found less asked"),
        "spare_less_pos_mm": no_mm("least of what is spare less ±", "where no pair of it is known"),
        "pair": names("of the two bodies with the least spare"),
        "when": WHEN,
    })  # fmt: skip


def path() -> Schema:
    near = "where nothing is near, or it was not driven"
    leg = {
        "length": value("number", "in unit: of the leg"),
        "free": value("number", "in unit: of the leg that is free"),
        "unit": one_of(("mm", "deg"), "of the leg"),
    }
    note = {"pair": names("of the two bodies"), "note": text("what an open scan leaves open of them")}
    return table("a path", {
        "name": text("its name"),
        "part": text("what is moved along it"),
        "without": names("bodies that are taken away first"),
        "moving": names("bodies that go with it"),
        "out": value("boolean", "whether it comes out"),
        "unloaded": value("boolean", "whether it is driven with no weight on the bushes"),
        "held_by": names("mounts and bosses whose bolts are still in"),
        "legs": each(table("a leg", leg), "that were driven"),
        "low_mm": no_mm("proven low end of the least gap", near),
        "high_mm": no_mm("high end of the least gap", near),
        "needed_mm": value("number", "gap asked on the way"),
        "spare_mm": no_mm("low end less asked", "where it does not come out, or nothing is near"),
        "spare_less_pos_mm": LESS,
        "why": text("source of the rule"),
        "notes": each(table("two bodies", note), "what open scans leave open"),
        "looked_at_now_and_then": each(names("of two bodies"), "that touch at the start"),
        "leg": or_null(value("integer", "number of the leg, from 1, where it is nearest; null where nothing is")),
        "along": or_null(value("number", "mm, of a turn degrees: along that leg; null where nothing is near")),
        "pair": or_null(names("of the two that come nearest, or meet; null where nothing is near")),
        "points": or_null({**POINTS, "description": "of the two; null where nothing is near"}),
    })  # fmt: skip
