"""Rules of plate: holes, blanks, bends, and what the shop has to make them with."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY, PRACTICE
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop

EN_HOLES = "EN 1993-1-8:2005 table 3.3"

EDGE = library_rule(
    "edge",
    stop(EN_HOLES),
    asks="The centre of a bolt hole is far enough from every edge of its plate.",
    limit="e1 and e2 of the table, times the hole's diameter",
)
CRUSH_TUBE = library_rule(
    "crush tube",
    stop(PRACTICE),
    caution(),
    asks="Bolts through a hollow section have crush tubes in it, as long as it is deep.",
    limit="depth of the section",
)
THREAD = library_rule(
    "thread",
    caution("{table}"),
    asks="A tapped hole has as much thread as its bolt needs.",
    limit="engagement of the bolt in that metal, by the source named",
)
WASHER = library_rule(
    "washer",
    caution(),
    asks="A washer lies on metal all round; one that levels a boss is as thick as the boss stands low.",
    limit="half the washer's outside, or how low the boss stands",
)
PITCH = library_rule(
    "pitch",
    caution(EN_HOLES),
    asks="The centres of two bolt holes are far enough from each other.",
    limit="p1 of the table, times the larger hole's diameter",
)
WEB = library_rule(
    "web",
    advice(),
    caution(f"web at least as wide as it is thick, {PRACTICE}"),
    asks="The metal left between two openings, or an opening and the edge, is no narrower than the plate is thick.",
    limit="thickness of the plate",
)

CUT_FIRST = f"{GEOMETRY}: what is bent must be cut from one plate first"
IN_ONE_PLACE = f"{GEOMETRY}: two walls cannot be in one place"

FLAT_OVERLAP = library_rule(
    "flat overlap",
    stop(CUT_FIRST, "mm2"),
    asks="No two walls of a folded piece need the same metal of its blank.",
    limit="none may be shared",
)
BLANK = library_rule(
    "blank",
    stop(CUT_FIRST, "mm2"),
    asks="A folded piece lies flat as one blank.",
)
BEND_OPENING = library_rule(
    "bend opening",
    advice(),
    asks="No opening lies in the metal that is bent: its edges pull.",
)
HOLE_TO_BEND = library_rule(
    "hole to bend",
    caution(f"hole to bend: {PRACTICE}"),
    asks="An opening is far enough from a bend not to be pulled out of shape.",
    limit="thicknesses of the plate by the opening's shape, and the inside radius",
)
CLASH = library_rule(
    "clash",
    stop(IN_ONE_PLACE),
    asks="No two walls of a folded piece run into each other.",
    limit="least gap of the shop profile",
)
FOLD_GAP = library_rule(
    "fold gap",
    caution("least gap, {shop}"),
    asks="Two walls of a folded piece are as far apart as the shop wants.",
    limit="least gap of the shop profile",
)
SHEET_SIZE = library_rule(
    "sheet size",
    stop("{shop}"),
    asks="A blank goes on the largest sheet there is.",
    limit="the longer side of the shop's largest sheet",
)

EAR_HEIGHT = library_rule(
    "ear height",
    stop(f"{GEOMETRY}: ear at most inside width - 1.41 x half the punch; {{shop}}"),
    asks="Ears that stand up from opposite edges of a wall pass the punch that bends the second of them.",
    limit="width inside, less the punch; or the goose-neck of the shop's brake",
)
BEND_ORDER = library_rule(
    "bend order",
    advice(),
    asks="A piece with several bends is bent in an order that lets the tools in.",
)
INSIDE_RADIUS = library_rule(
    "inside radius",
    caution("DIN 6935:1975, least inside radius"),
    advice("DIN 6935:1975, least inside radius"),
    asks="A bend's inside radius is no less than its metal, thickness and grain take without a crack.",
    limit="least inside radius of the standard, along or across the grain",
)
BRAKE_LENGTH = library_rule(
    "brake length",
    stop("{shop}"),
    asks="A bend is no longer than the brake.",
    limit="length of the shop's brake",
)
DIE = library_rule(
    "die",
    stop("{shop}"),
    caution(f"in air bending the radius follows the V, 16 to 20 %: {PRACTICE}"),
    asks="The shop has a die for the plate's thickness, and one that gives about the radius drawn.",
    limit="the thickest plate of the shop's dies; the radius that the nearest die gives",
)
FLANGE = library_rule(
    "flange",
    stop("the die's least flange, {shop}"),
    asks="The shorter side of a bend is long enough to lie on the die.",
    limit="least flange of the smallest of the shop's dies for that thickness",
)
FORCE = library_rule(
    "force",
    stop(f"1.42 Rm t2 L / V: {PRACTICE}; {{shop}}", "kN"),
    asks="A bend takes no more force than the brake has.",
    limit="force of the shop's brake",
)

RACK = library_rule(
    "rack",
    caution("{shop}"),
    asks="The plate and the tube of a piece are on the shop's rack.",
    limit="the nearest size there",
)
TUBE_LENGTH = library_rule(
    "tube length",
    stop("{shop}"),
    asks="A tube is no longer than the sticks of it on the rack.",
    limit="the longest stick of that tube there",
)
DRILL = library_rule(
    "drill",
    caution("{shop}"),
    advice("{shop}"),
    asks="The shop has the drill or the reamer of each hole; larger ones are bored or cut.",
    limit="the nearest size there",
)
PILOT_DRILL = library_rule(
    "pilot drill",
    caution("{shop}"),
    asks="The shop has a drill for each hole that is reamed afterwards.",
    limit="the nearest drill there",
)
LAYOUT = library_rule(
    "layout",
    caution(f"{{shop and gap}}, {PRACTICE}"),
    asks="A blank lies on a sheet with room round it and its grain along the sheet.",
)
