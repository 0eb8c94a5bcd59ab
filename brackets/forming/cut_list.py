"""The cut list of several parts together: plate by thickness, tube and bar by section, and the sticks they take.

mm, kg. Plate is listed by the size of its blanks; how they lie on sheets is the business of a sheet layout.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, assert_never

from brackets.core.figures import figure
from brackets.forming.cut_rows import cut_rows
from brackets.forming.flat_pattern import blank_of
from brackets.forming.shop import Shop
from brackets.model.kinds import known
from brackets.model.part import Part
from brackets.model.piece import BOUGHT, THREADED_BAR, CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned

KERF = 2.0
"""mm that a saw takes beside each length: common practice, no source."""

STICK = 6000.0
"""mm: the stick taken where the rack has none of that section: a merchant's usual length, common practice, no
source."""

ALIKE = 0.05
"""mm within which two lengths are one: finer than a saw."""

Kind = Literal["plate", "tube", "bar", "other"]
ORDER: tuple[Kind, ...] = ("plate", "tube", "bar", "other")


@dataclass(frozen=True, kw_only=True)
class CutItem:
    """Pieces that are cut alike: `section` "8" for plate, "38 x 3" for tube, "60 round" for bar; `length` by
    `width` is the blank of plate, `length` what is sawn off of tube and bar (over the long points); `names` are
    "part: piece"; `kg` of each, as it is when finished."""

    kind: Kind
    section: str
    material: str
    length: float
    width: float
    names: tuple[str, ...]
    kg: float

    @property
    def count(self) -> int:
        """How many are cut."""
        return len(self.names)

    @property
    def size(self) -> str:
        """What is measured off, mm: "120.0 x 60.0" or "245.3"."""
        return f"{self.length:.1f} x {self.width:.1f}" if self.kind == "plate" else f"{self.length:.1f}"


@dataclass(frozen=True, kw_only=True)
class Sticks:
    """The sticks of `length` mm that one section takes, each as the lengths sawn off it; `usual`: no rack says how
    long they are. `longer` are the lengths that no stick has."""

    section: str
    material: str
    length: float
    usual: bool
    sticks: tuple[tuple[float, ...], ...]
    longer: tuple[float, ...]

    @property
    def left(self) -> float:
        """mm left of the sticks that were begun, less the saw's kerfs."""
        return sum(_room(self.length, one) for one in self.sticks)


def cut_list(parts: Iterable[tuple[str, Part]]) -> tuple[CutItem, ...]:
    """Every piece of the parts, like ones together: plate, tube, bar, others; by section, the longest first.

    parts: name and part, as many as there are.
    """
    found: dict[tuple[object, ...], CutItem] = {}
    for name, part in parts:
        for piece in part.pieces:
            if piece.stock.startswith(BOUGHT):
                continue
            item = cut_item(name, piece)
            key = (item.kind, item.section, item.material, _step(item.length), _step(item.width), round(item.kg, 6))
            first = found.get(key)
            found[key] = item if first is None else replace(first, names=(*first.names, *item.names))
    return tuple(sorted(found.values(), key=_order))


def sticks(items: Sequence[CutItem], shop: Shop) -> tuple[Sticks, ...]:
    """The sticks of tube and bar that the list takes, each section on its own.

    Longest first, each on the first stick with room for it and a kerf: what a fabricator does with a tape, not the
    proven least. Sticks are as long as those on the shop's rack of that section, else STICK.
    """
    wanted: dict[tuple[str, str], list[float]] = {}
    for item in items:
        if item.kind in ("tube", "bar"):
            wanted.setdefault((item.section, item.material), []).extend([item.length] * item.count)
    rack = {f"{one.od:g} x {one.wall:g}": one.length for one in shop.tubes}
    return tuple(
        _packed(section, material, lengths, rack.get(section)) for (section, material), lengths in wanted.items()
    )


def _packed(section: str, material: str, lengths: Sequence[float], on_rack: float | None) -> Sticks:
    length = STICK if on_rack is None else on_rack
    begun: list[list[float]] = []
    longer = []
    for one in sorted(lengths, reverse=True):
        if one > length:
            longer.append(one)
            continue
        stick = next((s for s in begun if _room(length, s) >= one), None)
        if stick is None:
            begun.append([one])
        else:
            stick.append(one)
    return Sticks(
        section=section,
        material=material,
        length=length,
        usual=on_rack is None,
        sticks=tuple(tuple(s) for s in begun),
        longer=tuple(longer),
    )


def _room(length: float, taken: Sequence[float]) -> float:
    """What is left of a stick after its lengths and a kerf for each."""
    return max(0.0, length - sum(taken) - KERF * len(taken))


def cut_item(part: str, piece: Piece) -> CutItem:
    """One piece of a part as a line of the cut list."""
    from brackets.model.mass import of

    kind, section, length, width = _cut(piece)
    material = piece.material
    if section.startswith(THREADED_BAR):
        section, _, material = section.partition(", ")
    return CutItem(
        kind=kind,
        section=section,
        material=material,
        length=length,
        width=width,
        names=(f"{part}: {piece.name}",),
        kg=of(piece).kg,
    )


def _cut(piece: Piece) -> tuple[Kind, str, float, float]:
    """Kind, section, length and width."""
    match known(piece):
        case Plate() | Folded() as flat:
            blank = blank_of(flat)
            return "plate", f"{flat.t:g}", max(blank.length, blank.width), min(blank.length, blank.width)
        case Tube() | BentTube() as tube:
            (row,) = cut_rows([tube])
            return "tube", f"{row.od:g} x {row.wall:g}", row.long, 0.0
        case Turned() as turned:
            od = max(step.od for step in turned.steps)
            stock = turned.stock.removeprefix("tube ")
            kind: Kind = "tube" if turned.stock.startswith("tube ") else "bar"
            named = kind == "tube" or stock.startswith(THREADED_BAR)
            return kind, stock if named else f"{figure(od)} round", turned.length, 0.0
        case CustomPiece() as own:
            return "other", own.stock or own.function, 0.0, 0.0
        case other:
            assert_never(other)


def _step(length: float) -> int:
    return round(length / ALIKE)


def _order(item: CutItem) -> tuple[object, ...]:
    figures = [-float(word) for word in item.section.split() if word[0].isdigit()]
    return (ORDER.index(item.kind), item.material, figures, item.section, -item.length, -item.width, item.names)


def rows_of(items: Sequence[CutItem]) -> Iterator[tuple[str | float | int, ...]]:
    """The list as cells under HEAD: figures as figures, for a spreadsheet."""
    for item in items:
        width = item.width if item.kind == "plate" else ""
        yield (
            item.kind,
            item.section,
            item.material,
            item.length,
            width,
            item.count,
            item.kg,
            "; ".join(item.names),
        )


HEAD = ("kind", "section_mm", "material", "length_mm", "width_mm", "number", "kg_each", "pieces")
"""Headings of `rows_of`."""
