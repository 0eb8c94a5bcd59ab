"""Rules of what holds a part together: welds, pieces that nothing reaches, pieces in each other."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY, PRACTICE
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop

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
