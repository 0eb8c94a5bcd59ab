"""A part, or the keep-outs of a bay, as a mock-up of card whose outside sizes are those of the real thing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from brackets.core.finding import Finding, stopped, worst_first
from brackets.core.place import HERE
from brackets.core.rulebook.card import NO_CARD
from brackets.core.vectors import Vec
from brackets.drawing.card import test_fold
from brackets.drawing.record import Drawing, Title
from brackets.forming.card_box import FLAPS, SLEEVE, box
from brackets.forming.card_stock import Card
from brackets.geometry.shapes import rectangle
from brackets.mockups.card_pieces import CardPiece, Work, in_card
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Tube
from brackets.output.cut_files import judged_title

THIN = 10.0
"""Thicknesses of card under which a box is stacked and not folded: its sides could not be scored."""


@dataclass(frozen=True, kw_only=True)
class CardMockUp:
    """A part made of card, or keep-outs.

    name: what it is of; card: what it is made of; pieces: in the order of the part's; without: names of those that
    no card is made of; findings: of its card, and what stops the part itself, worst first; title: of its
    sheets.
    """

    name: str
    card: Card
    pieces: tuple[CardPiece, ...]
    without: tuple[str, ...]
    findings: tuple[Finding, ...]
    title: Title

    @property
    def drawings(self) -> tuple[Drawing, ...]:
        """Every sheet in order, for `write_pdf`: the test fold first where anything is folded."""
        folded = any(piece.made == "folded" for piece in self.pieces)
        first = (test_fold(self.card, self.title),) if folded else ()
        return (*first, *(drawing for piece in self.pieces for drawing in piece.drawings))

    @property
    def stops(self) -> bool:
        """Whether a finding says: do not cut."""
        return stopped(self.findings)


def card(
    part: Part,
    *,
    thickness: float = 1.0,
    crease: float | None = None,
    sheet: tuple[float, float] | None = None,
    title: Title | None = None,
    findings: Sequence[Finding] = (),
) -> CardMockUp:
    """A part as a mock-up of card, whose outside sizes are those of the steel.

    part: a Part; thickness: of the card, mm, 0.1 to 12; crease: mm that a fold of 90 degrees adds to a leg outside,
    half the thickness where None: fold the strip on the first sheet and measure it; sheet: length and width of the
    sheets of card there are, mm, larger things are joined from parts; title: who and what the sheets are for, the
    part's name where None; findings: what was said of the part itself: its stops stand on the card too.
    Folded sheet is folded up with glue tabs, plate is stacked from layers, round pieces are rolled. Raises
    OutOfRange for a card that is none.

    >>> ears = recipe("ears")
    >>> mock_up = card(made(ears, ears.Params(back=True)).part, thickness=1)
    >>> [(piece.names, piece.made, piece.count) for piece in mock_up.pieces]
    [(('ears',), 'folded', 1)]
    """
    works = like_pieces((piece.name, piece) for piece in part.pieces)
    head = Title(part=part.name) if title is None else title
    return mock_up(part.name, Card.of(thickness, crease, sheet), head, works, findings)


def like_pieces(named: Iterable[tuple[str, Piece]]) -> list[Work]:
    """One work for all pieces that are alike but for name and place, in the order of the first of them."""
    like: dict[Piece, list[str]] = {}
    for name, piece in named:
        like.setdefault(replace(piece, name="", place=HERE), []).append(name)
    return [Work(piece=replace(piece, name=names[0]), names=tuple(names)) for piece, names in like.items()]


@dataclass(frozen=True, kw_only=True)
class KeepOutShape:
    """A keep-out: a box of `sizes` along its own axes (`rail`: its ends along z are open), or a rod of `od` and
    `length`; else `reason` says why no card is made of it. mm."""

    name: str
    sizes: Vec | None = None
    rail: bool = False
    od: float = 0.0
    length: float = 0.0
    reason: str = ""


def keep_outs_card(name: str, shapes: Iterable[KeepOutShape], card: Card, title: Title) -> CardMockUp:
    """Keep-outs of a bay as boxes and wraps of card."""
    works, said = [], []
    for shape in shapes:
        work = _keep_out(shape, card)
        if work is None:
            said.append(NO_CARD.finding(piece=shape.name, sentence=shape.reason, about=(shape.name,)))
        else:
            works.append(work)
    made = mock_up(name, card, title, works, ())
    without = (*made.without, *(finding.piece for finding in said))
    return replace(made, without=without, findings=worst_first([*made.findings, *said]))


def _keep_out(shape: KeepOutShape, card: Card) -> Work | None:
    """What is to be made of a keep-out: its longest side lies along x, its shortest is its height."""
    if shape.sizes is None:
        if not shape.od:
            return None
        rod = Tube(name=shape.name, material="keep-out", od=shape.od, wall=card.t, length=shape.length)
        return Work(piece=rod, names=(shape.name,))
    if shape.rail:
        y, z, x = shape.sizes
        return Work(piece=box(shape.name, (x, y, z), card, open_ends=True), names=(shape.name,), panels=SLEEVE)
    z, y, x = sorted(shape.sizes)
    if z < THIN * card.t:
        wall = Wall(outline=rectangle(x, y))
        return Work(piece=Plate(name=shape.name, material="keep-out", t=z, wall=wall), names=(shape.name,))
    return Work(piece=box(shape.name, (x, y, z), card), names=(shape.name,), panels=FLAPS)


def mock_up(
    name: str, card: Card, title: Title, works: Sequence[Work], findings: Sequence[Finding]
) -> CardMockUp:
    """Every piece in card; where anything stops, every sheet does, as all follow from the same values."""
    done = [(work, *in_card(work, card, title)) for work in works]
    stops = [finding for finding in findings if finding.level == "stop"]
    said = worst_first([*stops, *(finding for _, _, own in done for finding in own)])
    grave = [finding for finding in said if finding.level == "stop"]
    pieces = []
    for _, made, own in done:
        if made is not None:
            told = worst_first([*grave, *own])
            sheets = tuple(replace(one, title=judged_title(one.title, told)) for one in made.drawings)
            pieces.append(replace(made, drawings=sheets, findings=told))
    return CardMockUp(
        name=name,
        card=card,
        pieces=tuple(pieces),
        without=tuple(name for work, made, _ in done if made is None for name in work.names),
        findings=said,
        title=judged_title(title, grave),
    )
