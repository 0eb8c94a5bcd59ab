"""Rules of jigs: what they hold, and whether the weldment is welded in them and comes off again."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop

JIG_HOLDS = library_rule(
    "jig holds",
    caution(GEOMETRY),
    caution(GEOMETRY, "deg"),
    advice(GEOMETRY),
    asks="A jig holds every boss, foot and bush axis of its weldment where it belongs.",
    limit="least angle from an axis to the base's normal at which an upright stands on the base",
)
JIG_TORCH = library_rule(
    "jig torch",
    caution(),
    asks="In its jig a weldment's welds are in a torch's reach wherever they are without it.",
    limit="none of the weld may be out of reach because of the jig",
)
JIG_RELEASE = library_rule(
    "jig release",
    stop(f"{GEOMETRY}: along straight lines, the shafts drawn and the bolts out"),
    asks="Once it is welded the shafts draw out of their jig and the weldment lifts off it.",
    limit="how far it goes until it is out",
)
