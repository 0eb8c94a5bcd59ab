"""Rules of strength by hand: what a clause allows, what none of them covers, and the user's own limits."""

from __future__ import annotations

from brackets.core.finding import PRACTICE
from brackets.core.rulebook.finding_rule import caution, library_rule, stop

OWN_LIMIT = "own limit, the bay file"

STRENGTH = library_rule(
    "strength",
    stop("{clause}", ""),
    asks="No load case uses more of a check by hand than its clause allows.",
    limit="all of what the clause allows is a utilisation of 1",
)
STRENGTH_SCOPE = library_rule(
    "strength scope",
    caution("EN 1993-1-1:2005, EN 1993-1-8:2005"),
    asks="Every place of a part that carries load is covered by the clause it is checked by; the rest is judged by"
    " whoever signs.",
)
WELD_RANGE = library_rule(
    "weld stress range",
    stop(OWN_LIMIT, "MPa"),
    asks="Between no two load cases does the stress in a weld change by more than the limit typed for it.",
    limit="the stress range typed in [hold]",
)
BRACKET_STIFFNESS = library_rule(
    "bracket stiffness",
    caution(PRACTICE, ""),
    caution(OWN_LIMIT, ""),
    asks="A bracket is many times as stiff as its bush, since the mounts are worked out with rigid brackets.",
    limit="least stiffness of a bracket over its bush's, as typed, else 10",
)
