"""Rules of mock-ups of card: what cannot be folded or rolled, and where the card is not the steel's size."""

from __future__ import annotations

from brackets.core.finding import GEOMETRY
from brackets.core.rulebook.finding_rule import advice, caution, library_rule, stop

CARD_FLAT = library_rule(
    "card flat",
    stop(GEOMETRY),
    asks="A fold-up of card lies flat in one piece without lying on itself.",
)
CARD_LEG = library_rule(
    "card leg",
    stop(GEOMETRY),
    caution(),
    asks="A leg of a fold-up is wide enough to be folded: more than the card is thick, better twice that.",
    limit="once the card's thickness, twice for the caution",
)
CARD_THICK = library_rule(
    "card thick",
    caution(GEOMETRY),
    asks="The card is no thicker than the steel it stands for: inside sizes come out small else.",
    limit="thickness of the steel",
)
CARD_TAB = library_rule(
    "card tab",
    advice(),
    asks="Edges of a fold-up that meet have a glue tab with card under all of it.",
    limit="the narrowest strip that holds, 4 mm",
)
CARD_SIZE = library_rule(
    "card size",
    advice(GEOMETRY),
    asks="The card is as large outside as the steel: sharp corners and a thin end at a slant may not be.",
    limit="what a fit-check is cut to, 0.1 mm",
)
CARD_CLASH = library_rule(
    "card clash",
    caution(GEOMETRY),
    asks="No panel of a fold-up stands in another once it is folded.",
)
CARD_ROLL = library_rule(
    "card roll",
    caution(),
    asks="Card rolls round a diameter without breaking where that is twelve times its thickness.",
    limit="twelve thicknesses of the card",
)
CARD_LAYERS = library_rule(
    "card layers",
    advice(GEOMETRY),
    asks="Layers of card make up the plate's thickness.",
    limit="a quarter of a mm",
)
CARD_SHEET = library_rule(
    "card sheet",
    advice("size of the card: {sheet}"),
    asks="What is cut in one piece lies on one sheet of card.",
    limit="length of the sheet of card",
)
NO_CARD = library_rule(
    "no card",
    caution(GEOMETRY),
    asks="What a mock-up of card is asked for can be folded, rolled or stacked from card.",
)
