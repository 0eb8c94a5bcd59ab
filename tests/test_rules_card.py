"""Every rule about mock-ups of card: the case that breaks it, and the one that just does not."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import pytest
from rule_cases import Case, each, holds
from test_fold_samples import sheet, tray

from brackets.core.finding import Finding
from brackets.drawing.record import Title
from brackets.forming.card import fold_up
from brackets.forming.card_round import Shape
from brackets.forming.card_stock import Card
from brackets.forming.card_tabs import with_tabs
from brackets.forming.flanges import lip
from brackets.geometry.regions import Region
from brackets.geometry.shapes import circle, polygon, rectangle
from brackets.mockups.card_part import KeepOutShape, keep_outs_card
from brackets.mockups.card_pieces import Work, in_card
from brackets.model.holes import Window
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Flange, Folded, Plate, Wall
from brackets.model.tube import BentTube
from brackets.rules.card import (
    fold_findings,
    mitre_findings,
    plate_findings,
    round_findings,
    sheet_findings,
    size_findings,
    thick_findings,
)

ONE, FOUR = Card.of(1.0), Card.of(4.0)
TITLE = Title(part="p")


def folded(piece: Folded, card: Card = ONE) -> list[Finding]:
    made, _, without = with_tabs(fold_up(piece, card))
    return list(fold_findings(piece, made, without, piece.name))


def angle(tall: float) -> list[Finding]:
    """4 mm steel bent on r 1, in 4 mm card that hinges 2 mm deep: from its fold a wall is tall + 5 - 2 wide."""
    wall = Wall(outline=polygon(((0, 0), (40, 0), (40, tall), (0, tall))))
    flange = Flange(start=(0, 30), end=(40, 30), inside_radius=1.0, wall=wall)
    return folded(Folded(name="a", base=sheet(40, 30), t=4.0, flanges=(flange,)), FOUR)


def windowed(left: float) -> list[Finding]:
    """Two sides of the tray with a window that leaves `left` mm of card at either end to glue a tab to.

    Their own ends are cut at a slant, so that they come along nothing.
    """
    whole = tray()
    window = Window(outline=rectangle(120 - 2 * left, 18, centre=(60, 10)))
    slanted = Wall(outline=polygon(((0, 0), (120, 0), (119, 21), (1, 21))), openings=(window,))
    one, two, three, four = whole.flanges
    flanges = (replace(one, wall=slanted), two, replace(three, wall=slanted), four)
    return folded(replace(whole, flanges=flanges))


def crossed(degrees: float) -> list[Finding]:
    """Ears 70 high on a base 42 wide: at 120 degrees their upper halves stand in each other."""
    legs = [((24.0, 40.0), (24.0, 0.0)), ((0.0, 0.0), (0.0, 40.0))]
    ears = tuple(lip(a, b, t=4.0, length=70, inside_radius=5.0, angle=degrees) for a, b in legs)
    return folded(Folded(name="U", base=sheet(24, 40), t=4.0, flanges=ears))


def overlapping(wide: float) -> Iterable[Finding]:
    """Two walls in one corner of the flat, each reaching `wide` past the end of its bend."""
    right = Wall(outline=polygon(((0, 0), (40, 0), (40, 30), (-wide, 30), (-wide, 10), (0, 10))))
    top = Wall(outline=polygon(((0, 0), (40, 0), (40, 10), (40 + wide, 10), (40 + wide, 30), (0, 30))))
    flanges = (
        Flange(start=(40, 40), end=(40, 0), inside_radius=2.0, wall=right),
        Flange(start=(0, 40), end=(40, 40), inside_radius=2.0, wall=top),
    )
    return of(Folded(name="o", base=sheet(40, 40), t=2.0, flanges=flanges))


def of(piece: Piece) -> Iterable[Finding]:
    return in_card(Work(piece=piece, names=(piece.name,)), ONE, TITLE)[1]


PLAIN = Plate(name="p", t=2.0, wall=Wall(outline=rectangle(40, 30)))


def stacked(t: float) -> Iterable[Finding]:
    return plate_findings(replace(PLAIN, t=t), ONE, "p")


def rolled(d: float) -> Iterable[Finding]:
    return round_findings([Shape(name="w", region=Region(circle((0, 0), 9)), rolled=d)], ONE, "tube")


def off(by: float) -> Iterable[Finding]:
    return size_findings("p", ((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)), ((0.0, 0.0, 0.0), (10.0, 10.0, 10.0 + by)))


def bent(bend_r: float) -> Iterable[Finding]:
    """One bend of 22.5 degrees is one joint: (r + od / 2) (1 / cos(11.25) - 1) proud."""
    points = ((0.0, 0.0, 0.0), (0.0, 0.0, 100.0), (38.268343, 0.0, 192.387953))
    return mitre_findings(BentTube(name="b", od=2.0, wall=0.5, points=points, bend_r=bend_r), "b")


def lying(long: float) -> Iterable[Finding]:
    return sheet_findings((0.0, 0.0, 40.0, long), Card.of(1.0, None, (100.0, 50.0)), "p")


def kept_out(shape: KeepOutShape) -> Iterable[Finding]:
    return keep_outs_card("k", [shape], ONE, TITLE).findings


RULES, PIECES, PART = "brackets/rules/card.py", "brackets/mockups/card_pieces.py", "brackets/mockups/card_part.py"
CASES = [
    Case(module=RULES, code="card leg", level="caution", judge=angle, kept=5.0, broken=4.9, value=7.9, limit=8.0),
    Case(module=RULES, code="card leg", level="stop", judge=angle, kept=1.01, broken=1.0, value=4.0, limit=4.0),
    Case(module=RULES, code="card thick", level="caution", judge=lambda t: thick_findings("p", t, 2.0), kept=2.0,
         broken=2.1, value=2.1, limit=2.0),
    Case(module=RULES, code="card tab", level="advice", judge=windowed, kept=8.0, broken=6.0, value=3.7, limit=4.0,
         within=1.0),  # 6 less 1 of slant, 0.3 at the edge and 1 at the window, looked at every mm
    Case(module=RULES, code="card size", level="advice", judge=off, kept=0.1, broken=0.105, value=0.105, limit=0.1),
    Case(module=RULES, code="card size", level="advice", judge=bent, kept=4.1, broken=4.4, value=0.10580,
         limit=0.1, within=1e-5),  # 5.4 x 0.0195911; at 4.1: 0.0999
    Case(module=RULES, code="card clash", level="caution", judge=crossed, kept=100.0, broken=120.0),
    Case(module=RULES, code="card roll", level="caution", judge=rolled, kept=12.0, broken=11.0, value=11.0,
         limit=12.0),
    Case(module=RULES, code="card layers", level="advice", judge=stacked, kept=6.25, broken=6.27, value=0.27,
         limit=0.25),
    Case(module=RULES, code="card sheet", level="advice", judge=lying, kept=100.0, broken=105.0, value=105.0,
         limit=100.0),
    Case(module=PIECES, code="card flat", level="stop", judge=overlapping, kept=15.0, broken=20.0),
    Case(module=PIECES, code="no card", level="caution", judge=of, kept=PLAIN,
         broken=CustomPiece(name="odd", function="nobody:nothing")),
    Case(module=PART, code="no card", level="caution", judge=kept_out,
         kept=KeepOutShape(name="box", sizes=(50.0, 40.0, 30.0)),
         broken=KeepOutShape(name="scan", reason="a mesh")),
]  # fmt: skip


@each(CASES)
def test_a_rule_is_broken_only_past_its_limit(case: Case) -> None:
    holds(case)


def test_the_tightest_roll_is_the_one_that_is_said() -> None:
    shapes = [Shape(name="w", region=Region(circle((0, 0), 9)), rolled=d) for d in (11.0, 5.0, None, 30.0)]
    assert [finding.value for finding in round_findings(shapes, ONE, "tube")] == [5.0]


@pytest.mark.parametrize(("low", "high", "word"), [((0.3, 0.0, 0.0), (10.0, 10.0, 10.0), "smaller"),
                                                   ((0.0, -0.3, 0.0), (10.0, 10.0, 10.0), "larger")])  # fmt: skip
def test_a_size_says_which_way_it_is_off(
    low: tuple[float, ...], high: tuple[float, ...], word: str
) -> None:
    [finding] = size_findings("p", ((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)), (low, high))
    assert f"0.30 mm {word} than the steel" in finding.sentence
