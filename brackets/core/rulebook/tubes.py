"""Rules of tubes laid out and bent, of the sockets among them, and of cups, bungs and their bores."""

from __future__ import annotations

from brackets.core.finding import PRACTICE
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop

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
