"""One piece of a part in card, by its kind: folded up, stacked from layers, or rolled; its sheets and findings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import assert_never

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.rulebook.card import CARD_FLAT, NO_CARD
from brackets.core.vectors import Vec, sub
from brackets.drawing.blank import short_hash
from brackets.drawing.card import fold_sheet, shapes_sheet
from brackets.drawing.record import Drawing, Title
from brackets.forming.card import FoldUp, fold_up, steel_box
from brackets.forming.card_round import Shape, gored_shapes, tube_shapes, turned_shapes
from brackets.forming.card_split import apart
from brackets.forming.card_stock import Card
from brackets.forming.card_tabs import Tab, with_tabs
from brackets.forming.wrap import lengths
from brackets.model.kinds import known
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned
from brackets.rules.card import (
    fold_findings,
    layers_of,
    mitre_findings,
    plate_findings,
    round_findings,
    sheet_findings,
)

EXACT = 5e-3
"""mm: a stack that is this near to its plate is said to be as thick."""


@dataclass(frozen=True, kw_only=True)
class CardPiece:
    """What like pieces are made of in card.

    made: "folded", "stacked" or "rolled"; drawings: its sheets; count: how many of each to cut; findings: what is
    said of it; outside: mm along x, y, z of the piece once it is made, None where that is not one box.
    """

    names: tuple[str, ...]
    made: str
    drawings: tuple[Drawing, ...]
    count: int
    findings: tuple[Finding, ...] = ()
    outside: Vec | None = None


@dataclass(frozen=True, kw_only=True)
class Work:
    """What is to be made: a piece and the names of all like it; `panels` are what those of a fold-up are called."""

    piece: Piece
    names: tuple[str, ...]
    panels: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        return self.names[0]


def in_card(work: Work, card: Card, title: Title) -> tuple[CardPiece | None, tuple[Finding, ...]]:
    """The piece in card, None where there is none, and what is said of it."""
    match known(work.piece):
        case Folded() as piece:
            return _folded(piece, work, card, title)
        case Plate() as piece:
            return _stacked(piece, work, card, title)
        case Tube() as piece:
            made, said = _rolled(tube_shapes(piece, card), work, card, title, "seam opposite the clock line")
            long = lengths(piece).long
            return None if made is None else replace(made, outside=(piece.od, piece.od, long)), said
        case BentTube() as piece:
            *wraps, discs = gored_shapes(piece, card)
            how = f"{len(wraps)} wraps joined end to end, clock line to clock line, seams opposite it"
            made, said = _rolled((*wraps, discs), work, card, title, how)
            more = (*said, *mitre_findings(piece, work.name))
            return None if made is None else replace(made, findings=more), more
        case Turned() as piece:
            shapes = turned_shapes(piece, card)
            if shapes:
                made, said = _rolled(shapes, work, card, title, "seams anywhere")
                wide = max(step.od for step in piece.steps)
                return None if made is None else replace(made, outside=(wide, wide, piece.length)), said
            thick = max(step.od for step in piece.steps)
            return _none(work, f"{thick:g} mm round is too thin for card of {card.t:g} mm: take a dowel")
        case CustomPiece():
            return _none(work, "its shape comes from a function of your own and has no flat: print it or carve it")
        case other:
            assert_never(other)


def _none(work: Work, why: str) -> tuple[None, tuple[Finding, ...]]:
    return None, (NO_CARD.finding(piece=work.name, sentence=why),)


def _folded(
    piece: Folded, work: Work, card: Card, title: Title
) -> tuple[CardPiece | None, tuple[Finding, ...]]:
    try:
        made, tabs, without = with_tabs(fold_up(piece, card))
    except InputError as wrong:
        return None, (CARD_FLAT.finding(piece=work.name, sentence="; ".join(wrong.problems)),)
    said = (
        *fold_findings(piece, made, without, work.name),
        *sheet_findings(made.region.outer.bounds, card, work.name),
    )
    outside = sub(made.outside[1], made.outside[0])
    sizes = " x ".join(f"{size:.2f}" for size in outside)
    facts = (*_facts(work, card, title, f"fold up {len(work.names)}"), ("outside", f"{sizes} mm folded"))
    panels = work.panels or ("base", *(f"wall {i}" for i in range(1, len(made.panels))))
    done = CardPiece(
        names=work.names,
        made="folded",
        drawings=_sheets(made, tabs, work, title, facts, panels, (), steel_box(piece)),
        count=len(work.names),
        findings=said,
        outside=outside,
    )
    return done, said


def _stacked(
    piece: Plate, work: Work, card: Card, title: Title
) -> tuple[CardPiece | None, tuple[Finding, ...]]:
    try:
        flat = fold_up(piece, card)
    except InputError as wrong:
        return None, (CARD_FLAT.finding(piece=work.name, sentence="; ".join(wrong.problems)),)
    said = (*plate_findings(piece, card, work.name), *sheet_findings(flat.region.outer.bounds, card, work.name))
    layers = layers_of(piece.t, card)
    count = layers * len(work.names)
    left = piece.t - layers * card.t
    fill = f", {left:+.2f} mm to fill" if abs(left) > EXACT else ""
    stack = f"{layers} x {card.t:g} mm for {piece.t:g} mm{fill}"
    facts = (*_facts(work, card, title, f"cut {count}"), ("layers", stack))
    between, around = piece.t - 2 * card.t, sum(edge.length for edge in flat.region.edges)
    hollow = f"Or two layers with strips {between:.2f} mm wide on edge between them, {around:.0f} mm of it a piece."
    notes = (hollow,) if layers > 2 else ()
    sheets = _sheets(flat, (), work, title, facts, ("plate",), notes, None)
    low, high = flat.outside
    done = CardPiece(
        names=work.names,
        made="stacked",
        drawings=sheets,
        count=count,
        findings=said,
        outside=(high[0] - low[0], high[1] - low[1], layers * card.t),
    )
    return done, said


def _rolled(
    shapes: Sequence[Shape], work: Work, card: Card, title: Title, how: str
) -> tuple[CardPiece | None, tuple[Finding, ...]]:
    facts = (*_facts(work, card, title, f"roll up {len(work.names)}"), ("rolled", how))
    said = (
        *round_findings(shapes, card, work.name),
        *(f for shape in shapes for f in sheet_findings(shape.region.outer.bounds, card, work.name)),
    )
    sheet = shapes_sheet(shapes, card, title, name=work.name, facts=facts)
    done = CardPiece(
        names=work.names, made="rolled", drawings=(sheet,), count=len(work.names), findings=said
    )
    return done, said


def _sheets(
    made: FoldUp,
    tabs: Sequence[Tab],
    work: Work,
    title: Title,
    facts: Sequence[tuple[str, str]],
    panels: Sequence[str],
    notes: Sequence[str],
    steel: tuple[Vec, Vec] | None,
) -> tuple[Drawing, ...]:
    """A sheet for each part that the card is cut in."""
    called = {panel.name: panels[panel.number] for panel in made.panels}
    parts = apart(made, tabs, called)
    sheets = []
    for number, one in enumerate(parts, 1):
        name = work.name if len(parts) == 1 else f"{work.name}, part {number} of {len(parts)}"
        sheet = fold_sheet(
            one.made, one.tabs, title, name=name, facts=facts, called=called, whole=made, steel=steel
        )
        sheets.append(replace(sheet, notes=(*one.joins, *notes, *sheet.notes)))
    return tuple(sheets)


def _facts(work: Work, card: Card, title: Title, number: str) -> tuple[tuple[str, str], ...]:
    piece = work.piece
    steel = getattr(piece, "t", None)
    return (
        ("part", title.part),
        ("piece", ", ".join(work.names)),
        ("revision", title.revision or "none given"),
        ("values", short_hash(piece)),
        ("number", number),
        ("material", f"card {card.t:g} mm"),
        ("stands for", piece.material + ("" if steel is None else f", {steel:g} mm")),
    )
