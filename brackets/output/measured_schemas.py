"""The own keys of the facts of `measure` and `bolts`, for their JSON Schemas; every meaning names the unit."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from brackets.output.schema_terms import Schema, each, mm, names, or_null, point, table, text, value


def _deg(about: str) -> Schema:
    return value("number", f"degrees: {about}")


def _mms(about: str) -> Schema:
    return point(f"mm: {about}")


def _degs(about: str) -> Schema:
    return each(value("number", "degrees"), f"degrees: {about}")


def _unknown(of: Schema) -> Schema:
    """A figure that need not exist."""
    return or_null({**of, "description": f"{of['description']}; null where there is none"})


def measure(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    """Keys of what was measured; those of MEASURE_MAYBE are there where the readings file has their tables."""
    hole = {
        "name": text("of the hole"),
        "in_pattern": _mms("x and y in the pattern's own axes, and height"),
        "at": _unknown(_mms("in the axes of [place], else the pattern's")),
        "normal": each(value("number", "no unit"), "out of its face, length 1, no unit"),
        "d": _unknown(mm("diameter")),
        "thread": text("as typed, empty where none was"),
        "pos": _unknown(mm("± in its face")),
        "ellipse": table("two sigma in the plane of the holes", {
            "long": _unknown(mm("half of its long axis")), "short": _unknown(mm("half of its short axis")),
            "angle": _deg("of the long axis from x")}),
        "height_pm": _unknown(mm("± of its height")),
    }  # fmt: skip
    contradicted = {
        "reading": text("as typed"),
        "number": value("integer", "number of the reading from 1; after the last, of a diameter"),
        "guesses": names("what may have gone wrong, a sentence each"),
    }
    further = {
        "between": names("of its two holes"),
        "why": text("what it is good for"),
        "before": _unknown(mm("worst ± without it")),
        "after": _unknown(mm("worst ± with it")),
    }
    reading = {
        "between": names("of two holes, or an edge and a hole"),
        "how": {**text("it was read"), "enum": ["outside", "inside", "centre", "step"]},
        "value": mm("as read"),
        "pm": mm("± of the reading"),
        "who": text("read it, empty where not said"),
        "residual": _unknown(mm("the reading less what the holes as placed give")),
        "redundancy": _unknown(value("number", "share from 0 to 1: of a mistake, that shows in its residual")),
        "nameable": _unknown(mm("smallest mistake that would be named 19 times out of 20")),
    }
    survey = {
        "pattern": _unknown(text("the holes as a recipe takes them, x,y in mm from the first")),
        "bosses": _unknown(text("the bosses as a recipe takes them, x,y,z in mm")),
        "fixed": value("boolean", "whether the readings fix the shape, but for its mirror image"),
        "loose": names("of holes that the readings do not hold"),
        "mirrors": each(names("of holes"), "that might as well lie on the other side, each image"),
        "handed": value("boolean", "whether it is known which way round the holes go"),
        "hand_doubts": names("why the pattern may be the mirror image, a sentence each"),
        "spare": value("integer", "number of readings beyond what the shape needs"),
        "misfit": _unknown(value("number", "no unit: root of chi square over spare; 1 is as the ± say")),
        "verdict": {**text("which readings are wrong"), "enum": ["none", "named", "cannot tell"]},
        "named": each(table("a reading", contradicted), "contradicted by the rest, and left out"),
        "candidates": names("readings among which some are wrong, none left out"),
        "at_least": value("integer", "number of the candidates that must be wrong; 3: or more"),
        "explained": each(table("a candidate", contradicted), "were it the one that is wrong"),
        "unchecked": names("readings that nothing else bears on"),
        "help": _unknown(table("the one further reading that would do most", further)),
        "covariance": each(
            each(_unknown(value("number", "mm2")), "mm2: a row"),
            "mm2: of the holes against the pattern as a whole, in the order x1 y1 z1 x2 ...",
        ),
        "readings": each(table("a reading", reading), "in the file's order"),
    }
    datum = {
        "name": text("of the check"),
        "taped": _mms("both diagonals as taped"),
        "drawn": _mms("both diagonals as drawn"),
        "off": _mms("each as taped less as drawn"),
        "difference": mm("of the two taped, beyond what the drawn differ by"),
        "ahead": mm("how far one long side stands ahead; positive: the first diagonal is the longer"),
        "allowed": mm("what any may be off by"),
        "agrees": value("boolean", "whether none is off by more"),
    }
    impossible = {
        "between": names("of the two points"),
        "drawn": mm("distance as drawn"),
        "measured": mm("distance as measured"),
        "pm": mm("± of their difference"),
    }
    position = {
        "at": _mms("x, y, z of the place"),
        "roll": _deg("of the place"),
        "pitch": _deg("of the place"),
        "yaw": _deg("of the place"),
        "at_pm": each(_unknown(value("number", "mm")), "mm: ± of at"),
        "turn_pm": each(_unknown(value("number", "degrees")), "degrees: ± about x, y and z"),
        "misfit": _unknown(value("number", "no unit: root of chi square over spare; 1 is as the ± say")),
        "mirrored": value("boolean", "whether it fits far better with left and right exchanged"),
        "named": _unknown(text("the point that the others contradict, left out")),
        "candidates": names("points of which one is wrong, none left out"),
        "impossible": each(table("two points", impossible), "whose distance no place explains"),
        "residuals": {
            "type": "object",
            "description": "mm: x, y, z of each point by its name, measured less fitted",
            "additionalProperties": {"type": "array", "items": value("number", "mm")},
        },
    }
    weight = {
        "mass": value("number", "kg"),
        "mass_pm": value("number", "kg: ± of the mass"),
        "centre": _mms("x, y, z of the centre of mass; z is where the line was cut if not height_known"),
        "centre_pm": each(_unknown(value("number", "mm")), "mm: ± of the centre"),
        "height_known": value("boolean", "whether the weighings tell the height"),
        "per_degree": mm("that a degree off level moves the centre of one weighing"),
        "misses": _mms("from the centre to the line of each weighing"),
        "misses_pm": _mms("± of misses"),
    }
    return {
        "name": text("of the readings file"),
        "stops": names("why it must not be built from, a sentence each; empty where nothing stops"),
        "holes": each(table("a hole", hole), "in the file's order"),
        "survey": table("how the holes were placed", survey),
        "datum": each(table("four marks", datum), "checks of diagonals"),
        "position": table("where the engine stands", position),
        "weight": table("what the scales say", weight),
    }


MEASURE_MAYBE = ("holes", "survey", "datum", "position", "weight")
"""Keys of `measure` that are left out where nothing of the kind was measured; holes and survey go together."""


def bolts(shared: Mapping[str, Any]) -> Mapping[str, Schema]:
    """Keys of the bolt patterns that were judged."""
    slot = {
        "d": mm("width"),
        "extra": mm("length of its middle line"),
        "angle": _deg("of its middle line from the pattern's x"),
    }
    opening = {"anyOf": [mm("diameter of a hole"), table("a slot", slot)]}
    errors = {
        "drill": mm("scatter of this plate's holes, one sigma per axis"),
        "mate": mm("scatter of what it is bolted to, one sigma per axis"),
        "scale": value("number", "share by which the template is too large; 0.002 is 0.2 per cent"),
        "scale_pm": value("number", "share: ± of scale, 95 per cent"),
        "pos": _unknown(_mms("± of each boss")),
        "pulls": value("integer", "number of holes that welding pulls"),
    }
    option = {
        "do": text("what to do"),
        "kind": text("of thing to do: as drawn, class, slot, scale, weld or transfer"),
        "chance": value("number", "share from 0 to 1: of trials in which all bolts went in"),
        "low": value("number", "share from 0 to 1: low end of its 95 per cent interval"),
        "high": value("number", "share from 0 to 1: high end of its 95 per cent interval"),
        "trials": value("integer", "number of trials"),
        "holes": each(opening, "mm: a diameter, or a slot, for each bolt"),
        "enough": value("boolean", "whether the chance reaches what is wanted, 95 per cent"),
    }
    fillet = {
        "hole": text("its name"),
        "room": mm("of the bolt in it all round"),
        "left": mm("of room once one fillet has pulled it, the plate laid as well as it can be"),
    }
    group = {
        "name": text("of the part, face or plate"),
        "names": names("of the holes"),
        "pattern": each(_mms("x, y and bolt diameter"), "mm: of each bolt"),
        "holes": each(opening, "mm: a diameter, or a slot, for each bolt, as drawn"),
        "bolts": names("size of each"),
        "apart": value("boolean", "whether the holes are in pieces welded on one by one"),
        "room": mm("of the tightest bolt all round, made exactly; below 0 they do not go in"),
        "errors": table("what was taken to go wrong", errors),
        "options": each(table("one thing to do", option), "and what chance it gives; first as drawn"),
        "best": _unknown(text("the first that is enough")),
        "fillets": each(table("a hole", fillet), "that one fillet may use up"),
    }
    return {
        "target": text("the bay file or recipe"),
        "groups": each(table("bolts that go in together", group), "every pattern; empty where there is none"),
    }
