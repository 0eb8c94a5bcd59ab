"""Will the bolts go in: one drilled plate decided exactly, and the chance over all the ways it may be drilled."""

from brackets.bolts.advice import WANTED, Option, PullWarning, advice, best, fillet_warnings
from brackets.bolts.chance import FILLET_PULL, METHODS, Chance, HoleErrors, Method, Pull, chance, wilson
from brackets.bolts.enters import Laid, Opening, Slot, enters, lay

__all__ = [
    "FILLET_PULL",
    "METHODS",
    "WANTED",
    "Chance",
    "HoleErrors",
    "Laid",
    "Method",
    "Opening",
    "Option",
    "Pull",
    "PullWarning",
    "Slot",
    "advice",
    "best",
    "chance",
    "enters",
    "fillet_warnings",
    "lay",
    "wilson",
]
