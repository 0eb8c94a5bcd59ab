"""The files of mock-ups of card: a PDF at true size each, and what they hold as JSON."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from brackets.core.finding import Finding, verdict, worst_first
from brackets.forming.shop import Shop
from brackets.mockups.card_part import CardMockUp
from brackets.output import facts, folder, formats
from brackets.output.folder import unique_stems
from brackets.output.format_writers import Sheets
from brackets.output.paper import correction_of


def said(found: Sequence[CardMockUp]) -> tuple[Finding, ...]:
    """What is said of all of them, worst first."""
    return worst_first([finding for one in found for finding in one.findings])


def write(
    found: Sequence[CardMockUp],
    into: Path,
    *,
    name: str,
    shop: Shop,
    paper: str | None = None,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[str, ...]:
    """A PDF of each that has sheets, and the facts; their names, in order.

    The folder `into` is swapped whole; paper and the printer's correction are the shop's. Raises InputError for an
    unknown paper, OSError where the disk refuses.
    """
    files: list[str] = []
    drawn = [one for one in found if one.pieces]
    with folder.fresh(into) as at:
        for one, stem in zip(drawn, unique_stems([f"{one.name}-card" for one in drawn], set()), strict=True):
            say(f"{one.name}: drawing")
            sheets = Sheets(one.drawings, paper or shop.paper, correction_of(shop.bars))
            files += formats.write("paper", sheets, at, stem)
        files.append(facts.NAME)
        formats.write("facts", record(found, name=name, files=tuple(files)), at)
    return tuple(files)


def record(found: Sequence[CardMockUp], *, name: str, files: tuple[str, ...] = ()) -> dict[str, Any]:
    """For scripts: mock_ups (name, pieces with made, cut, outside_mm, sheets; without), findings, files."""
    card = found[0].card if found else None
    return {
        "format": 1,
        "name": name,
        "card_t_mm": None if card is None else card.t,
        "crease_mm": None if card is None else card.crease,
        "sheet_mm": None if card is None or card.sheet is None else list(card.sheet),
        "mock_ups": [
            {
                "name": one.name,
                "pieces": [
                    {
                        "pieces": list(piece.names),
                        "made": piece.made,
                        "cut": piece.count,
                        "outside_mm": None if piece.outside is None else list(piece.outside),
                        "sheets": [drawing.name for drawing in piece.drawings],
                    }
                    for piece in one.pieces
                ],
                "without": list(one.without),
            }
            for one in found
        ],
        "verdict": verdict(said(found)),
        "findings": [asdict(finding) for finding in said(found)],
        "files": list(files),
        "formats": formats.named(files),
    }
