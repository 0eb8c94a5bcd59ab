"""Rules of a fitted bay: gaps, seats, bolts, scans, paths in and out, and what its own file says."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY, PRACTICE
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop
from brackets.core.rulebook.parts import EN_HOLES, SEAT_BRIDGED

TYPED = "the bay file"
"""The source of what the user's own bay file says."""

SMALL_MOVEMENT = "5 degrees: past it, what small movements say is 0.4 % of a length and more off"
"""The limit of rules that ask how far the powertrain turns."""

LINK = library_rule(
    "link",
    caution("the recipe"),
    asks="A bay fills a recipe's values by the links in their rules, and two mounts give one link alike.",
)
FOUL = library_rule(
    "foul",
    stop("{gap}"),
    stop(GEOMETRY, "mm3"),
    asks="No two bodies of the bay are in one place, nor a bolt in the metal that it holds.",
    limit="gap at rest of the class; volume up to which two pieces only touch",
)
INSIDE = library_rule(
    "inside",
    stop("{gap}"),
    asks="No body of the bay is inside another.",
    limit="gap at rest of the class",
)
TOUCH = library_rule(
    "touch",
    stop("{gap}"),
    asks="No two bodies of the bay touch that are not said to.",
    limit="gap at rest of the class",
)
GAP_AT_REST = library_rule(
    "gap at rest",
    caution("gap {gap}"),
    asks="Two bodies of the bay are as far apart, standing still, as their class of gap asks.",
    limit="gap at rest of the class",
)
GAP_MOVED = library_rule(
    "gap moved",
    stop("gap {gap}"),
    caution("gap {gap}"),
    asks="Two bodies of the bay are as far apart, when the powertrain moves, as their class of gap asks.",
    limit="gap when moved of the class",
)
GAP_ADJUSTED = library_rule(
    "gap adjusted",
    stop("gap {gap}"),
    caution("gap {gap}"),
    asks="Two bodies of the bay are as far apart as their class of gap asks wherever a part's slots let it stand.",
    limit="gap of the class, still or moved",
)
SLOTS_HELD = library_rule(
    "slots held",
    advice(GEOMETRY),
    asks="A part whose bolts go through slots can be moved along them.",
)
GAP_LESS_POS = library_rule(
    "gap less pos",
    caution(TYPED),
    asks="What is spare of a gap is no less than the ± of both bodies.",
    limit="gap of the class, still or moved",
)
POS = library_rule(
    "pos",
    advice(),
    asks="The bay file says of every keep-out how well it is known.",
)
MOVEMENT = library_rule(
    "movement",
    stop(GEOMETRY, "deg"),
    caution(TYPED),
    asks="The movement that is cleared is worked out where there are load cases, by cases that pull every way, and"
    " is small enough for the sum; under them mounts and snubbers hold the powertrain in every direction.",
    limit=SMALL_MOVEMENT,
)
SLACK = library_rule(
    "slack",
    stop(TYPED),
    caution(TYPED),
    asks="A hose, cable or linkage is long enough for all of the powertrain's movement, with the margin asked.",
    limit="its length; its length less the margin",
)
SLACK_LEAST = library_rule(
    "slack least",
    caution(TYPED),
    asks="A hose, cable or linkage is never pushed shorter than it may be.",
    limit="shortest it may be",
)
EXPECTED = library_rule(
    "expected",
    *(caution(TYPED, unit) for unit in ("mm", "kg", "N", "Hz", "deg", "")),
    asks="What the bay file says should come out, worked out by other means, comes out.",
    limit="the value typed",
)
JOINT_ANGLE = library_rule(
    "joint angle",
    stop(TYPED, "deg"),
    caution(TYPED, "deg"),
    asks="No joint of a shaft bends by more than is typed, standing still and when the powertrain moves.",
    limit="angle typed for standing still, and for the worst movement",
)
JOINT_PAIR = library_rule(
    "joint pair",
    caution(TYPED, "deg"),
    asks="Two Cardan joints undo one another's uneven turning: bent alike in one plane, but for what is typed.",
    limit="what both may leave, as the angle of one joint",
)
PLUNGE = library_rule(
    "plunge",
    stop(TYPED),
    caution(TYPED),
    asks="A shaft becomes no shorter and no longer than it can when the powertrain moves.",
    limit="plunge typed, either way",
)
CHAIN_LINE = library_rule(
    "chain line",
    caution(TYPED),
    asks="The sprockets or pulleys of a chain or belt are in line as far as is typed.",
    limit="offset typed for standing still, and for the worst movement",
)
CHAIN_ANGLE = library_rule(
    "chain angle",
    caution(TYPED, "deg"),
    asks="The axes of a chain's or belt's sprockets or pulleys are parallel as far as is typed.",
    limit="angle typed for standing still, and for the worst movement",
)
CHAIN_CENTRES = library_rule(
    "chain centres",
    caution(TYPED),
    asks="The centres of a chain or belt keep their distance as far as is typed when the powertrain moves.",
    limit="change of the distance typed, either way",
)
DRIVE_LIMITS = library_rule(
    "drive limits",
    advice(),
    asks="The limits of a shaft, chain or belt are typed: there is none that holds for all.",
)
PROP = library_rule(
    "prop",
    caution(GEOMETRY),
    asks="A point where the powertrain is propped while its mounts are made is above the ground.",
    limit="none: the ground itself",
)
PROP_HEIGHT = library_rule(
    "prop height",
    caution(TYPED),
    asks="A point of the powertrain stands as high over the ground as is typed.",
    limit="least and greatest height typed",
)
STANDING_STILL = library_rule(
    "standing still only",
    caution(),
    asks="The bay file says how the powertrain moves.",
)
MISFIT = library_rule(
    "misfit",
    caution(),
    asks="A part's seat is where its mount is.",
    limit="what a hand-made part is out anyway",
)
MISFIT_ANGLE = library_rule(
    "misfit angle",
    caution(unit="deg"),
    stop(PRACTICE, "deg"),
    asks="A part's seat is square to its mount.",
    limit="what a hand-made part is out anyway; stops past what goes together",
)
LINK_TRAVEL = library_rule(
    "link travel",
    stop("{bush}"),
    caution("{bush}"),
    asks="The bushes of a link give as far as it asks when the powertrain moves, since it keeps its length.",
    limit="travel of the bush row, square to its axis or along it",
)
LINK_TILT = library_rule(
    "link tilt",
    stop("{bush}", "deg"),
    caution("{bush}", "deg"),
    advice(unit="deg"),
    asks="The bushes of a link tilt as far as it asks when the powertrain moves, and the row says how far that is.",
    limit="tilt of the bush row",
)
DIAGONALS = library_rule(
    "diagonals",
    caution(TYPED),
    asks="The taped diagonals of a datum are alike, and as long as its typed marks have them.",
    limit="difference that the datum allows; length between the typed marks",
)
ACCEPT = library_rule(
    "accept",
    caution(TYPED),
    asks="What a person accepts in the bay file is found.",
)

SEAT = library_rule(
    "seat",
    stop(SEAT_BRIDGED),
    caution(SEAT_BRIDGED),
    asks="A seat stands on the metal it is meant for, and has a face to judge it by.",
    limit="widest gap that the shop welds over",
)
WELD_ON_NOTHING = library_rule(
    "weld on nothing",
    stop(SEAT_BRIDGED),
    asks="The weld at a seat has metal of what it stands on along its whole line.",
    limit="widest gap that the shop welds over",
)
THIN_SKIN = library_rule(
    "thin skin",
    caution(),
    asks="A part that stands on a sheet stands on one with a doubler or a spreader plate.",
    limit="thickness from which a wall carries a bracket by itself",
)
EN_CORNERS = "EN 10219-2:2006 table 3 (as quoted, not opened): external corners of cold-formed sections"
RAIL_CORNER = library_rule(
    "rail corner",
    advice(EN_CORNERS),
    asks="Of a hollow section that a part stands on the corner radius is typed.",
)
SLEEVE = library_rule(
    "sleeve",
    stop(PRACTICE),
    caution(),
    asks="A bush's sleeve goes between its ears with the play asked, and no more than a bolt pulls in.",
    limit="no play below none, nor above the play of its mount",
)

FLANGES = library_rule(
    "flanges",
    stop(GEOMETRY),
    caution(),
    asks="The ears of a bush of three pieces clamp its sleeve, and its flanges bear on the cup's ends.",
    limit="the sleeve's length; the cup's length",
)
BOBBIN_HOLE = library_rule(
    "bobbin hole",
    stop(GEOMETRY),
    asks="A part has a clear hole through its flat where the stud or bolt of a bobbin's end goes.",
)
BOBBIN_SEAT = library_rule(
    "bobbin seat",
    caution(),
    advice(),
    asks="A bobbin's end plate, and its rubber, stand on the flat of the part all round.",
    limit="what a hand-made part is out anyway",
)
BOBBIN_PULLED = library_rule(
    "bobbin pulled",
    caution(PRACTICE, "deg"),
    asks="A bobbin that carries weight is squeezed or sheared, not pulled.",
    limit="30 degrees out of the level",
)

BOLT = library_rule(
    "bolt",
    advice(),
    asks="The length of each bolt, and what it goes through or into, is typed or can be chosen.",
)
BOLT_LENGTH = library_rule(
    "bolt length",
    stop(PRACTICE),
    caution(),
    caution("{table}"),
    advice("{table}"),
    asks="A bolt is long enough for its nut or thread and no longer than shank, thread and hole take.",
    limit="threads that must stand out of the nut; no shank in it; depth of the thread less a pitch",
)
SHEAR = "EN 1993-1-8:2005 table 3.4: thread in a shear plane takes less"
THREAD_IN_EAR = library_rule(
    "thread in ear",
    caution(SHEAR),
    advice(),
    asks="A bolt bears on its ears with its shank, not its thread.",
    limit="the ear's thickness; none",
)
BOLT_DEPTH = library_rule(
    "bolt depth",
    caution("{table}"),
    asks="A boss is threaded deep enough for the bolt, less a pitch to stay off its bottom.",
    limit="engagement of the bolt in that metal, by the source named",
)
BOLT_HOLE = library_rule(
    "bolt hole",
    stop(GEOMETRY),
    stop(EN_HOLES),
    asks="A bolt to the chassis goes through the face of what it is bolted to, far enough from every edge of it.",
    limit="the face itself; e1 and e2 of the table, 1.2 times the hole's diameter",
)
THREAD_IN_CHASSIS = library_rule(
    "thread in chassis",
    advice(SHEAR),
    asks="A bolt to the chassis has its shank, not its thread, where the part meets what it is bolted to.",
)
BOLT_DRAWN = library_rule(
    "bolt drawn",
    stop(TYPED),
    caution(TYPED),
    advice(TYPED),
    asks="A bolt comes straight out, past everything in the bay.",
    limit="how far it must come to be out",
)
BOLT_REACH = library_rule(
    "bolt reach",
    caution("{table}"),
    asks="A socket or a ring spanner gets at both ends of a bolt.",
)

DRAW_ROOM = library_rule(
    "draw room",
    advice(),
    asks="With its part in place a bush can be drawn out of its cup and a new one in.",
)

SCAN = library_rule(
    "scan",
    advice(),
    asks="It is told how deep a part stands in a scan that it is declared to touch.",
    limit="depth allowed for the contact or the scan",
)
INSIDE_NOT_KNOWN = library_rule(
    "inside not known",
    stop(PRACTICE),
    asks="A scan is closed enough to tell whether a body is inside it.",
)
SCAN_FILE = library_rule(
    "scan file",
    caution(),
    advice(),
    asks="A scan's file is whole: what was mended or looks damaged is told.",
)

PATH_HELD = library_rule(
    "path held",
    stop(PRACTICE),
    asks="A part that is to come out is no longer bolted to anything.",
)
PATH_BLOCKED = library_rule(
    "path blocked",
    stop(TYPED),
    stop(TYPED, "deg"),
    asks="A part goes the whole path in and out that is typed for it.",
    limit="length of the leg it stops on",
)
PATH = library_rule(
    "path",
    caution("gap path: {gap}"),
    asks="On its path in and out a part keeps the gap asked of all it passes.",
    limit="gap of the class path",
)
