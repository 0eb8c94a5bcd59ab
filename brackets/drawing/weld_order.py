"""The sheet of a part's weld order: its tables; the numbers of welds are those of the weld symbols."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.core.vectors import coordinates, length
from brackets.drawing.record import Drawing, Table, Title
from brackets.forming.weld_order import LONGEST, PITCH, QUARTERS, TACK, Step, weld_order
from brackets.model.part import Part
from brackets.rules.weld_pull import HOLDS, SOURCE, braces, direction_words, leans, pull_of

STEPS = ("step", "do", "weld", "no.", "onto", "leg", "mm", "where", "from", "to", "pull expected")
LEANS = ("piece", "onto", "place", "height", "leans, mm", "drawn, mm", "which way", "measured")

def weld_order_sheet(part: Part, title: Title) -> Drawing | None:
    """The sheet of the weld order of `part`; None where nothing is welded."""
    steps = weld_order(part)
    if not steps:
        return None
    tables = [Table("Weld order", STEPS, tuple(_row(part, step) for step in steps))]
    tables.append(Table("How far it may be pulled, unbraced", LEANS, tuple(_lean_rows(part))))
    braced = [(str(n), one.words) for n, one in enumerate(braces(part), 1)]
    if braced:
        tables.append(Table("Brace before the first run", ("no.", "with what"), tuple(braced)))
    runs = [step for step in steps if step.kind == "run"]
    return Drawing(
        name="weld order",
        title=title,
        facts=(
            ("part", title.part),
            ("revision", title.revision or "none given"),
            ("steps", f"{len(steps) - len(runs)} seams to tack, then {len(runs)} runs"),
            ("weld", f"{math.fsum(step.length for step in runs):.0f} mm of fillet"),
            ("moment left", f"{length(runs[-1].moment) / 1000:.1f} cm3 mm about the middle: no order cancels it"),
        ),
        strokes=(),
        tables=tuple(tables),
        notes=(
            "Weld: as on the sheet of its piece, W1 from the first; no.: by the weld symbols, in facts.json. "
            "From and to: x, y, z of the part, mm.",
            "The order: all tacks, then always the run that leaves the least sum of leg squared by half, by "
            "length, by distance from the middle of the metal (its neutral axes): opposite pulls follow.",
            f"Common practice, no source: tacks {TACK:g} mm long at both ends and every {PITCH:g} mm, "
            f"{QUARTERS} crosswise on a seam that closes; runs of {LONGEST:g} mm at most, laid back step by step.",
            f"Pull: {SOURCE}. It holds for legs up to {HOLDS:g} of the thinner metal; for others none is told.",
            "Leans: from 0 to that much, the most if one side is laid alone and all of its shrink turns the piece "
            "about the far edge of its foot; geometry, no source. Braced it is less: nobody says by how much.",
        ),
        true_size=False,
        own_page=False,
    )


def _row(part: Part, step: Step) -> tuple[str, ...]:
    seam = step.seam
    side = f", side {seam.side}" if seam.weld.sides > 1 else ""
    where = step.words
    return (
        str(step.number),
        step.kind,
        f"{seam.named}{side}",
        str(seam.number),
        seam.weld.onto,
        f"{seam.weld.leg:g}",
        f"{step.length:.0f}",
        where,
        coordinates(step.at),
        coordinates(step.to),
        pull_of(part, step).words,
    )


def _lean_rows(part: Part) -> Iterator[tuple[str, ...]]:
    for one in leans(part):
        most = one.why if one.most is None else f"0 to {one.most:.1f}"
        drawn = "" if one.drawn is None else f"0 to {one.drawn:.1f}"
        way = "either way" if one.towards is None else direction_words(one.towards)
        yield one.piece, one.onto, one.what, f"{one.height:.0f}", most, drawn, way, ""

