"""One made part on the screen: what it weighs, what stands against it, and where its files are."""

from __future__ import annotations

from pathlib import Path

from brackets import mass
from brackets.cli.findings_view import findings_text
from brackets.cli.table import facts, table
from brackets.made import Made


def made_text(thing: Made, folder: Path | None) -> str:
    """Pieces, mass, findings, files, and what was not stated."""
    weight = thing.part.mass
    x, y, z = weight.centroid
    pieces = [
        (piece.name, type(piece).__name__.lower(), piece.material, f"{mass.of(piece).kg:.3f}", piece.stock)
        for piece in thing.part.pieces
    ]
    told = [
        ("part", f"{thing.part.name}: {thing.recipe.doc}"),
        ("mass", f"{weight.kg:.3f} kg"),
        ("centroid", f"x {x:.1f}  y {y:.1f}  z {z:.1f} mm"),
        ("files", f"{folder}: {', '.join(thing.files)}" if folder else "none written"),
        ("not stated by you", ", ".join(thing.unstated) or "nothing: every value is yours"),
    ]
    return "\n\n".join(
        (
            table(("piece", "kind", "material", "kg", "stock"), pieces, right=(3,)),
            facts(told),
            findings_text(thing.findings),
        )
    )
