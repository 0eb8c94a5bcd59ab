"""Blanks laid out on sheets for the cut list: rectangles round them, on shelves, widest first.

Below some twenty blanks a shelf wastes no more than any cleverer layout (measured in the notes).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from brackets.core.errors import InputError
from brackets.core.place import Place
from brackets.drawing.blank import bend_lines
from brackets.drawing.holes import marks
from brackets.drawing.landing_lines import Landing
from brackets.drawing.record import Stroke
from brackets.forming.flat_pattern import Blank, blank_of
from brackets.geometry.curve import Outline
from brackets.model.fold_zones import transformed
from brackets.model.plate import Folded, Plate

GAP = 10.0
"""mm between blanks and round the sheet: kerf and clamping, common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class NestedBlank:
    """A blank on a sheet: the lower left corner of its rectangle, whether it is turned a quarter, and what stands
    on it, in the blank's own frame."""

    name: str
    blank: Blank
    at: tuple[float, float]
    turned: bool
    landed: tuple[Landing, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        """Along the sheet and across it, mm."""
        wide, tall = self.blank.length, self.blank.width
        return (tall, wide) if self.turned else (wide, tall)

    @property
    def place(self) -> Place:
        """Where the blank's own frame lies on the sheet."""
        x0, y0, _, y1 = self.blank.outline.bounds
        place = Place((-x0, -y0, 0.0))
        if self.turned:
            place = Place((y1, -x0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0))
        return Place((*self.at, 0.0)) @ place

    @property
    def rings(self) -> tuple[Outline, ...]:
        """The blank's edges on the sheet, as they are cut now."""
        region, place = self.blank.cut, self.place
        return tuple(transformed(ring, place) for ring in (region.outer, *region.holes))

    @property
    def landings(self) -> tuple[Landing, ...]:
        """What stands on it, on the sheet."""
        return tuple(one.moved(self.place) for one in self.landed)

    def marks(self) -> Iterator[Stroke]:
        """Bend lines, centre-punch marks, what is reamed later, and where other pieces stand, on the sheet."""
        for one in self.landings:
            yield from one.strokes()
        for bend in self.blank.bends:
            yield from bend_lines(bend, self.place)
        for hole in self.blank.holes:
            centres = tuple(self.place.point((*c, 0.0))[:2] for c in hole.centres)
            yield from (stroke for stroke in marks(hole.opening, centres) if stroke.layer in ("punch", "mark"))


@dataclass(frozen=True, kw_only=True)
class SheetLayout:
    """One sheet, `length` along the grain by `width`, and what is cut from it."""

    material: str
    t: float
    length: float
    width: float
    blanks: tuple[NestedBlank, ...]

    @property
    def used(self) -> float:
        """Part of the sheet that becomes blanks."""
        return sum(one.blank.area for one in self.blanks) / (self.length * self.width)

    @property
    def taken(self) -> tuple[float, float]:
        """Along and across, mm: the corner of the sheet that holds the blanks and the gaps round them."""
        return (
            max(one.at[0] + one.size[0] for one in self.blanks) + GAP,
            max(one.at[1] + one.size[1] for one in self.blanks) + GAP,
        )


def nest(
    pieces: Iterable[Folded | Plate], *, length: float = 2000.0, width: float = 1000.0
) -> tuple[SheetLayout, ...]:
    """Blanks laid out on sheets, those of each material and thickness together.

    pieces: what is cut, folded or plain; length, width: of a sheet, mm, the grain along its length.
    A blank whose grain is stated lies with it along the sheet.
    Raises InputError, naming every blank that is larger than the sheet or whose grain is at a slant.

    >>> plates = [Plate(name=name, t=6, wall=Wall(outline=rectangle(900, 900))) for name in "abc"]
    >>> [len(sheet.blanks) for sheet in nest(plates)]
    [2, 1]
    """
    groups: dict[tuple[str, float], list[tuple[str, Blank]]] = {}
    for piece in pieces:
        groups.setdefault((piece.material, piece.t), []).append((piece.name, blank_of(piece)))
    problems: list[str] = []
    layouts: list[SheetLayout] = []
    for (material, t), blanks in sorted(groups.items()):
        placed: list[tuple[str, Blank, bool, float, float]] = []
        for name, blank in blanks:
            turned = _turned(blank, length, width)
            if turned is None:
                problems.append(
                    f"{name} blank = {blank.length:.0f} x {blank.width:.0f} mm, must lie on a sheet of "
                    f"{length:g} x {width:g} with {GAP:g} round it and its grain along it"
                )
            else:
                wide, tall = (blank.width, blank.length) if turned else (blank.length, blank.width)
                placed.append((name, blank, turned, wide, tall))
        layouts += _shelves(material, t, placed, length, width)
    if problems:
        raise InputError(*problems)
    return tuple(layouts)


def lies(piece: Folded | Plate, *, length: float, width: float) -> bool:
    """Whether the blank of `piece` fits on a sheet, its grain along it. Raises InputError as `flat` does."""
    return _turned(blank_of(piece), length, width) is not None


def _turned(blank: Blank, length: float, width: float) -> bool | None:
    """Whether to turn the blank a quarter; None where it fits neither way."""
    room = (length - 2 * GAP, width - 2 * GAP)
    fits = [
        turned
        for turned, size in ((False, (blank.length, blank.width)), (True, (blank.width, blank.length)))
        if size[0] <= room[0] and size[1] <= room[1] and _grain_along(blank, turned)
    ]
    if not fits:
        return None
    # Lying flat, so that shelves are low.
    return min(fits, key=lambda turned: blank.length if turned else blank.width)


def _grain_along(blank: Blank, turned: bool) -> bool:
    if blank.grain is None:
        return True
    return abs(math.sin(math.radians(blank.grain + (90.0 if turned else 0.0)))) < 1e-6


def _shelves(
    material: str,
    t: float,
    placed: list[tuple[str, Blank, bool, float, float]],
    length: float,
    width: float,
) -> Iterator[SheetLayout]:
    for shelves in on_shelves([(name, wide, tall) for name, _, _, wide, tall in placed], length, width):
        sheet = tuple(
            NestedBlank(name=placed[i][0], blank=placed[i][1], at=at, turned=placed[i][2]) for i, at in shelves
        )
        yield SheetLayout(material=material, t=t, length=length, width=width, blanks=sheet)


def on_shelves(
    sizes: Sequence[tuple[str, float, float]], length: float, width: float
) -> Iterator[list[tuple[int, tuple[float, float]]]]:
    """Rectangles (name, along, across) mm on sheets: of each sheet which of them lie on it, and the lower left
    corner of each. Every one must fit with GAP round it."""
    sheet: list[tuple[int, tuple[float, float]]] = []
    x = y = GAP
    shelf = 0.0
    order = sorted(range(len(sizes)), key=lambda i: (-sizes[i][2], -sizes[i][1], sizes[i][0]))
    for i in order:
        _, wide, tall = sizes[i]
        if x + wide + GAP > length:
            x, y, shelf = GAP, y + shelf + GAP, 0.0
        if y + tall + GAP > width:
            yield sheet
            sheet, x, y, shelf = [], GAP, GAP, 0.0
        sheet.append((i, (x, y)))
        x, shelf = x + wide + GAP, max(shelf, tall)
    if sheet:
        yield sheet
