"""What is to be said of a mock-up of card: what does not fold or roll, and where it is not the steel's size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from brackets.core.finding import Finding
from brackets.core.rulebook.card import (
    CARD_CLASH,
    CARD_LAYERS,
    CARD_LEG,
    CARD_ROLL,
    CARD_SHEET,
    CARD_SIZE,
    CARD_TAB,
    CARD_THICK,
)
from brackets.forming.card import FoldUp, steel_box
from brackets.forming.card_clash import clashes
from brackets.forming.card_round import Shape, proud
from brackets.forming.card_split import fits
from brackets.forming.card_stock import Card
from brackets.forming.card_tabs import GLUED, NoTab
from brackets.geometry.segments import Bounds
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube

SIZE = 0.1
"""mm outside that a fit-check may be off: a knife's width, common practice, no source."""

LAYERS = 0.25
"""mm a stack of card may miss the plate's thickness by: a sheet of paper or two, common practice, no source."""

ROLLED = 12.0
"""Thicknesses of the card in the least diameter it is rolled round: common practice, no source."""


def fold_findings(piece: Folded, made: FoldUp, without: Sequence[NoTab], name: str) -> Iterator[Finding]:
    """Of a fold-up: legs, thickness, tabs, clashes, and its outside against the steel's."""
    t = made.card.t
    yield from thick_findings(name, t, made.t)
    for panel in made.panels[1:]:
        leg = round(panel.outline.bounds[3] - panel.ends[0][1], 6)
        if leg < 2 * t:
            stops = leg <= t
            yield CARD_LEG.finding(
                piece=name,
                level="stop" if stops else "caution",
                value=leg,
                limit=t if stops else 2 * t,
                sentence=f"{panel.name} is {leg:.2f} mm wide, card {t:g} mm thick: "
                + ("nothing is left to fold, take thinner card" if stops else "score it deep"),
            )
    for one in without:
        yield CARD_TAB.finding(
            piece=name,
            value=one.room,
            limit=GLUED[-1],
            sentence=f"{one.of} meets {one.onto} along {one.length:.0f} mm and no glue tab has room there: "
            "hold it with tape",
        )
    for first, second, (x, y, z) in clashes(made):
        yield CARD_CLASH.finding(
            piece=name,
            sentence=f"{first} stands in {second} at ({x:.1f}, {y:.1f}, {z:.1f}) once it is folded: trim it there",
        )
    yield from size_findings(name, steel_box(piece), made.outside)


def size_findings(
    name: str,
    steel: tuple[Sequence[float], Sequence[float]],
    card: tuple[Sequence[float], Sequence[float]],
) -> Iterator[Finding]:
    """Where the card is not as large outside as the steel, the worst of the six faces."""
    sides = [
        (abs(ours - theirs), ours - theirs if high else theirs - ours, axis)
        for high, theirs_at, ours_at in ((False, steel[0], card[0]), (True, steel[1], card[1]))
        for axis, theirs, ours in zip("xyz", theirs_at, ours_at, strict=True)
    ]
    off, over, axis = max(sides)
    if off > SIZE:
        yield CARD_SIZE.finding(
            piece=name,
            value=off,
            limit=SIZE,
            sentence=f"along {axis} the card is {off:.2f} mm {'larger' if over > 0 else 'smaller'} than the steel "
            "at one side: a sharp corner for a round one, or one skin for the whole thickness at a slanted end",
        )


def thick_findings(name: str, card: float, steel: float) -> Iterator[Finding]:
    """Card that is thicker than the steel."""
    if card > steel:
        yield CARD_THICK.finding(
            piece=name,
            value=card,
            limit=steel,
            sentence=f"card {card:g} mm thick for steel of {steel:g} mm: inside sizes and gaps come out small",
        )


def layers_of(t: float, card: Card) -> int:
    """How many layers come nearest to a plate of thickness `t`, mm, at least one."""
    return max(1, round(t / card.t))


def plate_findings(piece: Plate, card: Card, name: str) -> Iterator[Finding]:
    """Of a plate that is stacked from card."""
    yield from thick_findings(name, card.t, piece.t)
    count = layers_of(piece.t, card)
    off = piece.t - count * card.t
    if abs(off) > LAYERS and card.t <= piece.t:
        yield CARD_LAYERS.finding(
            piece=name,
            value=abs(off),
            limit=LAYERS,
            sentence=f"{count} layers of {card.t:g} mm are {abs(off):.2f} mm {'less' if off > 0 else 'more'} than "
            f"the plate's {piece.t:g} mm: " + ("fill with paper" if off > 0 else "take another card"),
        )


def round_findings(shapes: Sequence[Shape], card: Card, name: str) -> Iterator[Finding]:
    """Of what is rolled: the tightest diameter alone."""
    tightest = min((shape.rolled for shape in shapes if shape.rolled is not None), default=None)
    limit = ROLLED * card.t
    if tightest is not None and tightest < limit:
        yield CARD_ROLL.finding(
            piece=name,
            value=tightest,
            limit=limit,
            sentence=f"card {card.t:g} mm thick rolled to {tightest:.4g} mm breaks: take thinner card, or a dowel",
        )


def sheet_findings(box: Bounds, card: Card, name: str) -> Iterator[Finding]:
    """Of what does not lie on one sheet of card."""
    if card.sheet is None or fits(box, card.sheet):
        return
    long, wide = max(card.sheet), min(card.sheet)
    yield CARD_SHEET.finding(
        piece=name,
        source_words=f"{long:g} x {wide:g} mm",
        value=max(box[2] - box[0], box[3] - box[1]),
        limit=long,
        sentence=f"{box[2] - box[0]:.0f} x {box[3] - box[1]:.0f} mm does not lie on one sheet: join it from parts",
    )


def mitre_findings(tube: BentTube, name: str) -> Iterator[Finding]:
    """Of a bent tube that is jointed at its corners."""
    off = proud(tube)
    if off > SIZE:
        yield CARD_SIZE.finding(
            piece=name,
            value=off,
            limit=SIZE,
            sentence=f"the mitred corners stand {off:.1f} mm out past the bends of the steel: card does not bend",
        )
