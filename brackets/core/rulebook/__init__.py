"""Rules of findings, one record a code: those of the library in the modules here, a recipe's own in its file."""

from brackets.core.rulebook import bay, card, hang, held, jig, mockups, parts, stations
from brackets.core.rulebook.finding_rule import BLANK, Breach, FindingRule, advice, caution, library_rules, stop

__all__ = [
    "BLANK",
    "Breach",
    "FindingRule",
    "advice",
    "bay",
    "card",
    "caution",
    "hang",
    "held",
    "jig",
    "library_rules",
    "mockups",
    "parts",
    "stations",
    "stop",
]
