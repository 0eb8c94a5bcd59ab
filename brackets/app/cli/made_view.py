"""One made part on the screen: what it weighs, what stands against it, and where its files are."""

from __future__ import annotations

from pathlib import Path
from typing import assert_never

from brackets.app.cli.findings_view import cautions_text, findings_text
from brackets.app.cli.inches import MM, NOTICE, Lengths
from brackets.app.cli.screen import facts, table
from brackets.core.errors import InputError
from brackets.core.figures import figure
from brackets.forming.cut_rows import ENDS_OF, TUBES, cut_rows, end_cells, tube_cells, tubes_of
from brackets.forming.flat_pattern import blank_of
from brackets.model import mass
from brackets.model.kinds import kind_of, known
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned
from brackets.output.part_files import Made
from brackets.rules.cautions import of_part


def made_text(thing: Made, folder: Path | None, at: Lengths = MM) -> str:
    """Pieces, mass, findings, files, and what was not stated."""
    weight = thing.part.mass
    middle = (at.figure(round(float(c), 1) + 0.0, ".1f") for c in weight.centroid)
    pieces = [
        (piece.name, kind_of(piece), piece.material, f"{mass.of(piece).kg:.3f}", cut_from(piece, at))
        for piece in thing.part.pieces
    ]
    told = [
        ("part", f"{thing.part.name}: {thing.recipe.doc}"),
        *(() if thing.hand is None else (("hand", " ".join(thing.hand.notes)),)),
        ("mass", f"{weight.kg:.3f} kg"),
        ("centroid", "  ".join(map(" ".join, zip("xyz", middle, strict=True))) + f" {at.unit}"),
        *((("lengths", NOTICE),) if at.inch else ()),
        ("files", f"{folder}: {', '.join(thing.files)}" if folder else "none written"),
        *_paper(thing),
        ("shop", thing.shop.name + ("; give your own with --shop" if thing.shop.sample else "")),
        ("not stated by you", at.said(", ".join(thing.unstated)) or "nothing: every value is yours"),
    ]
    return "\n\n".join(
        (
            table(("piece", "kind", "material", "kg", "cut from"), pieces, right=(3,)),
            *_tubes(thing, at),
            facts(told),
            findings_text(thing.findings, at),
            cautions_text(of_part(thing.part)),
        )
    )


def _tubes(thing: Made, at: Lengths) -> list[str]:
    """The cut table and how the ends are cut, where there are tubes."""
    rows = cut_rows(tubes_of(thing.part), thing.part.welds)
    if not rows:
        return []
    ends = [at.cells(cells, near=(4, 5, 6, 7, 8)) for row in rows for cells in end_cells(row)]
    return [
        table(TUBES, [at.cells(tube_cells(row), near=(3, 4)) for row in rows], right=(3, 4, 5, 7, 8)),
        table(ENDS_OF, ends, right=(3, 4, 5, 6, 7, 8)),
    ]


def _paper(thing: Made) -> list[tuple[str, str]]:
    """How to print, and what there is no sheet of."""
    lines = []
    if any(name.endswith(".pdf") for name in thing.files):
        lines.append(("paper", 'print at 100 %, not "fit to page", and measure the bars on every sheet first'))
    if thing.files and thing.undrawn:
        lines.append(("no sheet of", ", ".join(thing.undrawn)))
    return lines


def cut_from(piece: Piece, at: Lengths = MM) -> str:
    """What a piece is cut from: its blank, tube or bar by its size in mm, and how long."""
    if isinstance(piece, Turned) and piece.stock.startswith("threaded bar "):
        return f"{piece.stock}: {at.figure(piece.length)} long"
    if piece.stock:
        return piece.stock
    match known(piece):
        case Folded() | Plate() as piece:
            try:
                blank = blank_of(piece)
            except InputError:
                return f"plate {piece.t:g}, has no blank"
            return f"plate {piece.t:g}: {at.figure(blank.length, '.1f')} x {at.figure(blank.width, '.1f')}"
        case Tube() | BentTube() as piece:
            return f"tube {piece.od:g} x {piece.wall:g}"
        case Turned() as piece:
            return f"round {figure(max(step.od for step in piece.steps))}: {at.figure(piece.length, '.1f')} long"
        case CustomPiece():
            return ""
        case other:
            assert_never(other)
