"""Rules of mock-ups: whether the printer makes them, and what a person must do by hand."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY
from brackets.core.rulebook.finding_rule import advice, caution, library_rule

PRINT_BED = library_rule(
    "print bed",
    advice("{shop}"),
    asks="A mock-up goes on the printer's bed in one body.",
    limit="the bed of the shop profile, less the edge that is kept free",
)
PRINT_WALL = library_rule(
    "print wall",
    caution(),
    asks="A printed wall is at least two lines of plastic thick.",
    limit="twice the nozzle of the shop profile",
)
PRINT_GROWTH = library_rule(
    "print growth",
    advice(GEOMETRY),
    caution(GEOMETRY),
    asks="A mock-up is no thicker than the part it stands for, or its bay keeps its gaps all the same.",
    limit="thickness of the part's own wall; gap asked of the pair in the bay",
)
PRINT_WORDS = library_rule(
    "print words",
    caution(),
    asks="A mock-up says what it is and that it is for checking the fit alone.",
)
PRINT_TRIAL = library_rule(
    "print trial",
    advice(),
    asks="The printer's allowances are measured on its own test print.",
)
PRINT_JOINT = library_rule(
    "print joint",
    caution(),
    advice(),
    asks="The halves of a mock-up that is cut are held to each other by pins or plugs, so that none can turn.",
)
PRINT_APART = library_rule(
    "print apart",
    advice(GEOMETRY),
    asks="A part's pieces are printed as one body.",
)
PRINT_BEAD = library_rule(
    "print bead",
    advice(GEOMETRY),
    asks="Pieces of a mock-up that a weld joins touch each other.",
)
