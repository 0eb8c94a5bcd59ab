"""All blanks of a part or of a whole bay: like ones counted, laid out on the plate of a shop's rack."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

from brackets.core.finding import Finding, stopped, verdict, worst_first
from brackets.core.marks import NO_MARKS, Marks
from brackets.core.rulebook.parts import (
    BLANK,
    FLAT_OVERLAP,
    LAYOUT,
    LOOSE_PIECE,
    OVERLAP,
    RACK,
    SHEET_SIZE,
    WELD_GAP,
)
from brackets.drawing.landing_lines import on_blank
from brackets.drawing.nest import GAP, SheetLayout, lies, nest
from brackets.drawing.record import Title
from brackets.drawing.sheets import sheet_cuts, sheet_drawing
from brackets.forming.flat_pattern import Blank, blank_of
from brackets.forming.shop import Shop, as_made_in
from brackets.forming.shop_file import default as default_shop
from brackets.model import mass
from brackets.model.landing import OnPlate, on_plate
from brackets.model.part import Part
from brackets.model.plate import Folded, Plate
from brackets.output import cut_files, formats
from brackets.output.folder import unique_stems
from brackets.output.format_writers import Sheets
from brackets.rules.cautions import cautions
from brackets.rules.part import shop_findings

USUAL = (2000.0, 1000.0)
"""mm: the sheet taken where a rack has no plate on it: a merchant's usual size, common practice, no source."""

SAME = 0.02
"""mm within which two thicknesses are one."""

OF_BLANKS = (RACK.code, SHEET_SIZE.code, BLANK.code, FLAT_OVERLAP.code, LAYOUT.code)
"""Codes of the shop's findings that are about blanks and the plate they are cut from."""

OF_PARTS = (OVERLAP.code, WELD_GAP.code, LOOSE_PIECE.code)
"""Codes of the findings that say that a part is not one: nothing of it is to be cut."""


@dataclass(frozen=True, kw_only=True)
class Wanted:
    """A blank and every piece cut by it; `sheets` are the numbers of the sheets they lie on, from 1."""

    names: tuple[str, ...]
    piece: Folded | Plate
    blank: Blank
    sheets: tuple[int, ...]

    @property
    def kg(self) -> float:
        """Mass of one."""
        return mass.of(self.piece).kg


@dataclass(frozen=True, kw_only=True)
class CutSheets:
    """The blanks of `part`, the sheets they lie on, and what stands against cutting them."""

    part: Part
    shop: Shop
    wanted: tuple[Wanted, ...]
    layouts: tuple[SheetLayout, ...]
    findings: tuple[Finding, ...]

    @property
    def stops(self) -> bool:
        """Whether a finding says: do not cut."""
        return stopped(self.findings)


Landed = Mapping[str, tuple[OnPlate, ...]]
"""What stands on each plate, by the plate's name."""


def standing_on(part: Part, under: str = "") -> Landed:
    """What stands on each plate of a part; `under` is put before every name."""
    return {
        f"{under}{piece.name}": tuple(replace(one, name=f"{under}{one.name}") for one in on_plate(piece, part))
        for piece in part.pieces
        if isinstance(piece, Folded | Plate)
    }


def flats(
    part: Part, shop: Shop | None = None, findings: Sequence[Finding] = (), landed: Landed | None = None
) -> CutSheets:
    """Every blank of `part` on the sheets of `shop`, of the SAMPLE shop where none is given.

    `findings` are those of the part or bay: its stops, and what was accepted of them, hold for all its blanks, as
    a part that is changed has other blanks. A folded piece whose grain nobody stated lies with the grain across
    its bends, where they all run one way.
    What lies on no sheet is in the findings. `landed` is what stands on each plate, where the pieces of `part` do
    not stand where they are welded; worked out from it where None.
    """
    mine = default_shop() if shop is None else shop
    bent = as_made_in(mine, part)
    pieces = {piece.name: piece for piece in bent.pieces if isinstance(piece, Folded | Plate)}
    plain = Part(name=part.name, pieces=tuple(pieces.values()))
    groups = [cut.names for cut in cut_files.cuts(plain, Title(part=part.name))]
    kinds = [(names, _grained(pieces[names[0]])) for names in groups]
    on_each = standing_on(bent) if landed is None else landed
    layouts = tuple(
        replace(layout, blanks=tuple(
            replace(one, landed=on_blank(pieces[one.name], on_each.get(one.name, ()))) for one in layout.blanks))
        for layout in _laid(kinds, mine)
    )  # fmt: skip
    on: dict[str, list[int]] = {}
    for number, layout in enumerate(layouts, 1):
        for one in layout.blanks:
            on.setdefault(one.name, []).append(number)
    wanted = tuple(
        Wanted(
            names=names,
            piece=piece,
            blank=blank_of(piece),
            sheets=tuple(sorted({number for name in names for number in on.get(name, ())})),
        )
        for names, piece in kinds
    )
    known = {(f.code, f.piece) for f in findings}
    said = [f for f in findings if f.code in (*OF_BLANKS, *OF_PARTS) or f.level == "stop" or f.accepted]
    said += [f for f in shop_findings(plain, mine) if f.code in OF_BLANKS and (f.code, f.piece) not in known]
    left = [_no_room(one, mine) for one in wanted if not one.sheets]
    found = worst_first([*said, *left])
    return CutSheets(part=part, shop=mine, wanted=wanted, layouts=layouts, findings=found)


def _grained(piece: Folded | Plate) -> Folded | Plate:
    """The piece with the grain across its bends, where nobody stated it and they all run along x or along y."""
    if not isinstance(piece, Folded) or piece.grain is not None:
        return piece
    ways = set()
    for bend in blank_of(piece).bends:
        (ax, ay), (bx, by) = bend.line
        ways.add(round(math.degrees(math.atan2(by - ay, bx - ax)), 6) % 180.0)
    return replace(piece, grain=(ways.pop() + 90.0) % 180.0) if ways in ({0.0}, {90.0}) else piece


def _laid(kinds: Sequence[tuple[tuple[str, ...], Folded | Plate]], shop: Shop) -> Iterable[SheetLayout]:
    """Sheets of each material and thickness: the size that takes most blanks, of equals the least plate."""
    for material, t in sorted({(piece.material, piece.t) for _, piece in kinds}):
        left = [
            replace(piece, name=name)
            for names, piece in kinds
            if (piece.material, piece.t) == (material, t)
            for name in names
        ]
        while left:
            found = [_on(left, size) for size in _sizes(shop, material, t)]
            best = max(found, key=lambda layouts: (_count(layouts), -_area(layouts)))
            if not best:
                break
            yield from best
            there = {one.name for layout in best for one in layout.blanks}
            left = [piece for piece in left if piece.name not in there]


def _sizes(shop: Shop, material: str, t: float) -> list[tuple[float, float]]:
    """Sizes of sheet there are of a plate: those on the rack, else those of any plate there."""
    same = {(s.length, s.width) for s in shop.sheets if s.material == material and abs(s.t - t) <= SAME}
    return sorted(same or {(s.length, s.width) for s in shop.sheets} or {USUAL})


def _on(pieces: Sequence[Folded | Plate], size: tuple[float, float]) -> tuple[SheetLayout, ...]:
    length, width = size
    return nest(
        [piece for piece in pieces if lies(piece, length=length, width=width)], length=length, width=width
    )


def _count(layouts: Sequence[SheetLayout]) -> int:
    return sum(len(layout.blanks) for layout in layouts)


def _area(layouts: Sequence[SheetLayout]) -> float:
    return sum(layout.length * layout.width for layout in layouts)


def _no_room(one: Wanted, shop: Shop) -> Finding:
    grain = "" if one.blank.grain is None else " and its grain along the sheet"
    return LAYOUT.finding(
        piece=one.names[0],
        source_words=f"{shop.source}; {GAP:g} mm round each blank",
        sentence=f"the blank, {one.blank.length:.0f} x {one.blank.width:.0f} mm, lies on no sheet with "
        f"{GAP:g} mm round it{grain}",
    )


def write(
    found: CutSheets,
    into: Path,
    *,
    name: str,
    paper: str | None = None,
    marks: Marks = NO_MARKS,
    say: Callable[[str], None] = lambda _: None,
) -> tuple[str, ...]:
    """The sheets as one PDF of pictures and a DXF each at true size, and the facts; their names, in order.

    The folder `into` is swapped whole. Raises InputError for an unknown paper, OSError where the disk refuses.
    """
    from brackets.output import facts, folder
    from brackets.output.paper import correction_of

    files: list[str] = []
    plain = cut_files.marked(f"{name}, for {found.shop.name}", marks)
    plain = replace(plain, mind=tuple(c.sentence for c in cautions("strength")))
    title = cut_files.judged_title(plain, found.findings)
    with folder.fresh(into) as at:
        if found.layouts:
            say(f"{name}: drawing {len(found.layouts)} sheets")
            pictures = tuple(sheet_drawing(layout, title) for layout in found.layouts)
            mine = found.shop.paper if paper is None else paper
            told = Sheets(pictures, mine, correction_of(found.shop.bars))
            files += formats.write("paper", told, at, folder.stem(f"{name}-sheets"))
        named = [f"{name}-sheet-{n}-{one.material}-{one.t:g}mm" for n, one in enumerate(found.layouts, 1)]
        for layout, stem in zip(found.layouts, unique_stems(named, set()), strict=True):
            files += formats.write("plate", sheet_cuts(layout, title), at, stem)
        files.append(facts.NAME)
        formats.write("facts", record(found, name=name, files=tuple(files), marks=marks), at)
    return tuple(files)


def record(
    found: CutSheets, *, name: str, files: tuple[str, ...] = (), marks: Marks = NO_MARKS
) -> dict[str, Any]:
    """For scripts: blanks (pieces, count, size, flat, sheets), sheets (what lies where), findings, files."""
    from brackets.forming.flat_pattern import flat_facts

    return {
        "format": 1,
        "name": name,
        "shop": found.shop.name,
        "title_block": marks.record,
        "blanks": [
            {
                "pieces": list(one.names),
                "count": len(one.names),
                "material": one.piece.material,
                "mass_kg": one.kg,
                "sheets": list(one.sheets),
                "flat": flat_facts(one.piece, one.blank),
            }
            for one in found.wanted
        ],
        "sheets": [
            {
                "material": layout.material,
                "t_mm": layout.t,
                "length_mm": layout.length,
                "width_mm": layout.width,
                "used": layout.used,
                "blanks": [
                    {"piece": one.name, "at_mm": list(one.at), "turned": one.turned} for one in layout.blanks
                ],
            }
            for layout in found.layouts
        ],
        "verdict": verdict(found.findings),
        "cautions": [asdict(caution) for caution in cautions("strength")],
        "findings": [asdict(finding) for finding in found.findings],
        "files": list(files),
        "formats": formats.named(files),
    }
