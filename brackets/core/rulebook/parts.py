"""Rules of parts: plate and its holes and bends, welds, tubes and what they land on."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY, PRACTICE
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop

EN_HOLES = "EN 1993-1-8:2005 table 3.3"

EDGE = library_rule(
    "edge",
    stop(EN_HOLES),
    asks="The centre of a bolt hole is far enough from every edge of its plate.",
    limit="e1 and e2 of the table, times the hole's diameter; e3 and e4 of a slot, times its width",
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
SLOT_WASHER = library_rule(
    "slot washer",
    advice(),
    asks="The washer on a slot covers it wherever the bolt stands in it.",
    limit="twice the slot's range and its width",
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

SQUARE_FOOT = library_rule(
    "square foot",
    advice(),
    asks="The bush axis lies along the plate under its ears, so that an ear that is cut square stands on it.",
    limit="no gap",
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


LEG_TABLE = "AWS D1.1/D1.1M:2025 table 7.7 (as quoted, not opened)"

WELD_LEG = library_rule(
    "weld leg",
    caution(f"{LEG_TABLE}, need not exceed the thinner piece"),
    advice(),
    asks="A fillet's leg is no less than its metal asks and no more than the thinner piece is thick.",
    limit="least leg of the table by thickness and process, or the thinner piece's thickness",
)
WELD_CYCLIC = library_rule(
    "weld cyclic",
    advice(f"{LEG_TABLE}, note c"),
    asks="What is loaded cyclically has the greater least leg.",
    limit="least leg of the note",
)
WELD_LENGTH = library_rule(
    "weld length",
    advice("EN 1993-1-8:2005 4.5.1(2)"),
    asks="A fillet is long enough to be counted on.",
    limit="least length of the clause, or its least number of throats",
)
WELD_METAL = library_rule(
    "weld metal",
    stop(PRACTICE),
    caution(),
    asks="Only metal that is known to weld with the usual means is welded.",
)
WELD_GAP = library_rule(
    "weld gap",
    stop(f"no weld over more than {{fit up}} mm of gap: {PRACTICE}"),
    asks="A weld has metal of both pieces under it along its whole line.",
    limit="widest gap that the shop welds over",
)
TORCH_REACH = library_rule(
    "torch reach",
    caution(),
    advice(),
    asks="With all pieces of a part tacked, a torch gets at every place of every weld.",
    limit="no part of the weld is out of reach",
)
WELD_NEAR = library_rule(
    "weld near",
    caution("gap weld: {gap}"),
    asks="Lines, tanks, hoses and rubber are far enough from every weld.",
    limit="gap of the class weld",
)
LOOSE_PIECE = library_rule(
    "loose piece",
    stop(GEOMETRY),
    advice("the recipe"),
    asks="A weld, a bolt or a press fit reaches every piece of a part that is not loose by intent.",
)
OVERLAP = library_rule(
    "overlap",
    stop(GEOMETRY, "mm3"),
    stop(PRACTICE),
    asks="No two pieces or tubes of a part are in one place: one is cut to the other.",
    limit="volume up to which two pieces only touch; no depth of tubes",
)


WELDED_OVER = f"a gap of 1/16 in can be welded over, none is better: {PRACTICE}"

SEAT_BRIDGED = f"no weld over more than what the shop bridges: {PRACTICE}"

TORCH = library_rule(
    "torch",
    caution(),
    asks="A torch gets between two tubes that are not joined.",
    limit="room of the shop profile for its torch",
)
FIT_UP = library_rule(
    "fit-up",
    caution(WELDED_OVER),
    caution(SEAT_BRIDGED),
    asks="What is cut to another thing reaches it, with no gap wider than is welded over.",
    limit="widest gap that the shop welds over",
)
STOCK = library_rule(
    "stock",
    stop(PRACTICE),
    asks="Where no rack is known, a tube is no longer than the usual stick.",
    limit="length of the usual stick",
)
FORMER = library_rule(
    "former",
    stop("{shop}"),
    asks="The shop has a former for the tube's outside and its bend radius.",
    limit="radius of the nearest former for that outside",
)
STRAIGHT = library_rule(
    "straight",
    caution(),
    asks="Between and beside its bends a tube is straight for as long as the bender's clamp wants.",
    limit="diameters of the tube by the shop profile",
)
COPE_AFTER = library_rule(
    "cope after",
    advice(),
    asks="A tube with several bends is coped after it is bent.",
)
INNER_LIP = library_rule(
    "inner lip",
    advice(WELDED_OVER),
    asks="The inner lip of a coped end does not hold the tube off by more than is welded over.",
    limit="widest gap that the shop welds over",
)
SHARP = library_rule(
    "sharp",
    caution(unit="deg"),
    asks="A tube meets another at an angle that a torch gets into.",
    limit="least angle of the shop profile",
)
THIN_WALL = library_rule(
    "thin wall",
    caution(unit=""),
    asks="A tube is not welded to metal so much thicker that its wall burns first.",
    limit="ratio of thicknesses of the shop profile",
)
OVERHANG = library_rule(
    "overhang",
    caution(WELDED_OVER),
    caution(),
    asks="What stands on a tube or a seat does not hang over the side of it.",
    limit="widest gap that the shop welds over; for a seat what a hand-made part is out anyway",
)
PAST_THE_END = library_rule(
    "past the end",
    caution(),
    asks="A tube lands on the length of what it is cut to, not past its end.",
    limit="no part of it past the end",
)
BUNG = library_rule(
    "bung",
    stop(PRACTICE),
    caution(),
    asks="A bung's spigot goes into its tube and does not hang loose in it.",
    limit="no play below none, nor above that of the shop profile",
)
SOCKET = library_rule(
    "socket",
    caution("{table}"),
    caution(),
    asks="A socket gets over the head of a bolt among tubes, and the arm beneath it can be welded.",
    limit="room round a socket; room for the weld and the socket",
)

CUP_STOCK = library_rule(
    "cup stock",
    advice(),
    asks="There is a tube with a wall as thick as the cup's.",
    limit="thickest wall of the table of tubes",
)
BETWEEN_THE_EARS = library_rule(
    "between the ears",
    caution(),
    asks="The tube on a cup passes between the ears that hold the cup.",
    limit="length of the cup, less room",
)
BORE_FIRST = library_rule(
    "bore first",
    advice(),
    asks="A cup is bored after it is welded.",
)
BORE_STOCK = library_rule(
    "bore stock",
    advice(),
    asks="A cup's tube leaves metal to finish the bore by after welding.",
    limit="metal that the bore's record asks for",
)
COATED_BORE = library_rule(
    "coated bore",
    advice("{shop}"),
    asks="No coating lies in the bore that a bush is pressed into.",
    limit="least finished bore",
)
COATED_HOLE = library_rule(
    "coated hole",
    caution("{shop}"),
    asks="A bolt still passes its hole when the coating lies in it.",
    limit="diameter of the bolt",
)
COATED_THREAD = library_rule(
    "coated thread",
    advice("{shop}"),
    asks="No coating lies in a thread.",
    limit="none",
)
PRESS_ROOM = library_rule(
    "press room",
    stop(GEOMETRY),
    caution(),
    asks="A bush can be pressed into its cup and pushed out again past the other pieces of the part.",
)
