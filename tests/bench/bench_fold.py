"""Fold, flat, drawing, PDF and DXF of folded pieces, and all the heaviest shipped part is cut by, against the
kernel's own joining of the same pieces in the same run.

Run by hand: `python tests/bench/bench_fold.py`; the best of five, in ms. Ends with 1 where one takes MOST times the
kernel's joining.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
from OCP.TopTools import TopTools_ListOfShape
from test_fold_samples import channel, tray

from brackets.drawing.blank import blank
from brackets.drawing.record import Drawing, Title
from brackets.forming.flat_pattern import blank_of
from brackets.forming.shop_file import default
from brackets.kernel.plate import joined, unjoined
from brackets.kernel.solids import shape
from brackets.library.recipe import recipe, recipes
from brackets.model.fold_zones import zones
from brackets.model.part import Part
from brackets.model.plate import Folded, Plate
from brackets.output import cut_files, dxf, pdf

ROUNDS = 5
MOST = 10.0
"""Times the kernel's joining that drawing and writing may take."""

OPTIONS = {"ears": {"back": True}, "base_plate": {"flanges": 2}, "ears_on_base": {"base_flanges": 2}}
"""Values at which the shipped recipes fold a plate."""


def parts() -> Iterator[Part]:
    for name in recipes():
        opened = recipe(name)
        yield opened.build(opened.Params(**OPTIONS.get(name, {})))


def forget() -> None:
    kept_by = {"forming.flat_pattern": "_flat", "model.fold_zones": "_zones", "model.fold_tree": "_tree"}
    for module, kept in kept_by.items():
        getattr(sys.modules[f"brackets.{module}"], kept).cache_clear()


def of_piece(piece: Folded, into: Path) -> float:
    drawn: list[Drawing] = []
    solids = unjoined(piece)
    laps: dict[str, Callable[[], object]] = {
        "fold": lambda: zones(piece),
        "flat": lambda: blank_of(piece),
        "drawing": lambda: drawn.append(blank(piece, Title(part="bench"))),
        "pdf": lambda: pdf.write(drawn[-1:], into / "a.pdf"),
        "dxf": lambda: dxf.write(drawn[-1], into / "a.dxf"),
    }
    return told(piece.name, laps, lambda: joined(solids, piece.name, "bench"))


def of_part(part: Part, into: Path) -> float:
    cuts: list[tuple[cut_files.Cut, ...]] = []
    solids = [shape(piece) for piece in part.pieces]
    plates = [piece for piece in part.pieces if isinstance(piece, Folded | Plate)]
    laps: dict[str, Callable[[], object]] = {
        "flat": lambda: [blank_of(piece) for piece in plates],
        "drawings": lambda: cuts.append(cut_files.cuts(part, Title(part=part.name))),
        "files": lambda: cut_files.write(cuts[-1], into, name="bench", shop=default()),
    }

    def fuse() -> None:
        first, rest = TopTools_ListOfShape(), TopTools_ListOfShape()
        first.Append(solids[0].wrapped)
        for solid in solids[1:]:
            rest.Append(solid.wrapped)
        kernel = BRepAlgoAPI_Fuse()
        kernel.SetArguments(first)
        kernel.SetTools(rest)
        kernel.SetRunParallel(False)
        kernel.Build()

    return told(f"{part.name}, {len(part.pieces)} pieces", laps, fuse)


def told(name: str, laps: dict[str, Callable[[], object]], kernel: Callable[[], object]) -> float:
    """Prints the laps and what dominates; how many times the kernel's joining they take."""
    best = dict.fromkeys((*laps, "join"), float("inf"))
    for _ in range(ROUNDS):
        forget()
        for what, lap in (*laps.items(), ("join", kernel)):
            start = time.perf_counter()
            lap()
            best[what] = min(best[what], time.perf_counter() - start)
    join = best.pop("join")
    total = sum(best.values())
    said = ", ".join(f"{what} {1e3 * took:.0f}" for what, took in best.items())
    worst = max(best, key=lambda what: best[what])
    print(f"{name}: {said}; all {1e3 * total:.0f}, most of it {worst}", end="; ")
    print(f"the kernel joins in {1e3 * join:.0f}: {total / join:.2f} times")
    return total / join


def main() -> int:
    made = list(parts())
    folded = [piece for part in made for piece in part.pieces if isinstance(piece, Folded)]
    heaviest = max(folded, key=lambda piece: blank_of(piece).area * piece.t)
    with tempfile.TemporaryDirectory() as folder:
        into = Path(folder)
        print("heaviest folded piece that is shipped, then two samples:")
        times = [of_piece(piece, into) for piece in (heaviest, tray(), channel())]
        print("heaviest part that is shipped:")
        times.append(of_part(max(made, key=lambda part: part.mass.kg), into))
    return int(max(times) > MOST)


if __name__ == "__main__":
    sys.exit(main())
