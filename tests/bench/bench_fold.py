"""Fold, flat, drawing, PDF and DXF of the folded ears and of a tray, against the kernel's own joining of the same.

Run by hand: `python tests/bench/bench_fold.py`; the best of five, in ms.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from test_fold_samples import channel, tray

from brackets.drawing import Title, blank
from brackets.fold import flat, zones
from brackets.pieces import Folded
from brackets.recipe_file import recipe
from brackets.solid.folded import joined, unjoined
from brackets.write import dxf, pdf

ROUNDS = 5


def shipped() -> Folded:
    """The heaviest folded piece of the shipped recipes: ears with a back."""
    ears = recipe("ears")
    [piece] = ears.build(ears.Params(back=True)).pieces
    assert isinstance(piece, Folded)
    return piece


def bench(piece: Folded, into: Path) -> None:
    best: dict[str, float] = {}
    for _ in range(ROUNDS):
        for module in ("flat", "zones", "tree"):
            getattr(sys.modules[f"brackets.fold.{module}"], f"_{module}").cache_clear()
        drawing = None
        parts = unjoined(piece)
        for module in ("flat", "zones", "tree"):
            getattr(sys.modules[f"brackets.fold.{module}"], f"_{module}").cache_clear()
        for what in ("fold", "flat", "drawing", "pdf", "dxf", "join"):
            start = time.perf_counter()
            if what == "fold":
                zones(piece)
            elif what == "flat":
                flat(piece)
            elif what == "drawing":
                drawing = blank(piece, Title(part="bench"))
            elif what == "pdf" and drawing is not None:
                pdf.write([drawing], into / "a.pdf")
            elif what == "dxf" and drawing is not None:
                dxf.write(drawing, into / "a.dxf")
            else:
                joined(parts, piece.name, "bench")
            best[what] = min(best.get(what, 1e9), time.perf_counter() - start)
    join = best.pop("join")
    total = sum(best.values())
    laps = ", ".join(f"{what} {1e3 * took:.0f}" for what, took in best.items())
    print(f"{piece.name}: {laps}; all {1e3 * total:.0f}; the kernel joins in {1e3 * join:.0f}: {total / join:.2f}")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        for piece in (shipped(), tray(), channel()):
            bench(piece, Path(folder))
