"""The weld order of a part and how far it may pull, under the keys of facts.json."""

from __future__ import annotations

from typing import Any

from brackets.forming.weld_order import weld_order
from brackets.model.part import Part
from brackets.rules.weld_pull import SOURCE, braces, leans, pull_of


def order_records(part: Part) -> list[dict[str, Any]]:
    """The steps of the weld order; empty where nothing is welded."""
    found = []
    for step in weld_order(part):
        pull, seam = pull_of(part, step), step.seam
        found.append(
            {
                "step": step.number,
                "kind": step.kind,
                "weld": seam.number,
                "weld_on_sheet": seam.on_sheet,
                "side": seam.side,
                "piece": seam.weld.piece,
                "onto": seam.weld.onto,
                "leg_mm": seam.weld.leg,
                "length_mm": step.length,
                "start_mm": step.start,
                "end_mm": step.end,
                "from_mm": list(step.at),
                "to_mm": list(step.to),
                "tacks_mm": list(step.tacks),
                "words": step.words,
                "moment_mm4": list(step.moment),
                "pull_across_mm": pull.across,
                "pull_along_mm": pull.along,
                "pull_not_told": pull.why,
            }
        )
    return found


def pull_records(part: Part) -> dict[str, Any] | None:
    """What leans how far and what to brace; None where nothing is welded."""
    if not part.welds:
        return None
    return {
        "source": SOURCE,
        "leans": [
            {
                "piece": one.piece,
                "onto": one.onto,
                "what": one.what,
                "height_mm": one.height,
                "most_mm": one.most,
                "drawn_mm": one.drawn,
                "towards": None if one.towards is None else list(one.towards),
                "not_told": one.why,
            }
            for one in leans(part)
        ],
        "braces": [
            {"pieces": list(one.pieces), "words": one.words, "d_mm": one.d, "length_mm": one.length}
            for one in braces(part)
        ],
    }
