"""The files of two hands: their table, and one set of drawings for both where one does.

The left is drawn. Where the right is its mirror image, every sheet says how many to cut, how many of them turned
over, and what that changes: which way bends go, which face is marked, which side of a wrap lies on the tube.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal, Protocol

from brackets.bay.schema.record import Bay
from brackets.bay.stand.owners import sheet_cautions
from brackets.bay.stand.placed_part import PlacedPart
from brackets.core.finding import PRINTED, Finding, worst_first
from brackets.core.marks import NO_MARKS, Marks
from brackets.drawing.bending import tube_sheet
from brackets.drawing.record import Title
from brackets.geometry.curve import Outline, moments
from brackets.geometry.shapes import rotate, translate
from brackets.model.hands import WITHIN, Figure, outlines_apart
from brackets.model.holes import Hole
from brackets.model.kinds import known
from brackets.model.part import Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned
from brackets.output import cut_files, facts, formats
from brackets.output.cut_files import Cut
from brackets.output.folder import fresh, stem

Relation = Literal["mirror images", "alike", "different"]

HEAD = ("differs", "of", "what", "left", "left_mirrored", "right", "off", "unit", "says")


class Compared(Protocol):
    """Two hands held against each other, as `brackets.variants.hands` has them."""

    @property
    def bay(self) -> Bay: ...
    @property
    def left(self) -> PlacedPart: ...
    @property
    def right(self) -> PlacedPart: ...
    @property
    def relation(self) -> Relation: ...
    @property
    def differing(self) -> tuple[Figure, ...]: ...
    def said_of(self, part: PlacedPart) -> tuple[Finding, ...]: ...
    def cells(self) -> Iterator[tuple[str, ...]]: ...
    def csv_text(self) -> str: ...
    def record(self) -> Mapping[str, Any]: ...


TURNS = (0.0, 90.0, 180.0, 270.0)
"""Degrees that a plate is turned by to see whether it is its own mirror image."""


def write(hands: Compared, into: Path, marks: Marks = NO_MARKS) -> tuple[str, ...]:
    """Writes hands.csv, hands.xlsx, facts.json, and the drawings where one set does for both; their names."""
    from brackets.output.workbook import Table
    from brackets.output.workbook import write as workbook

    with fresh(into) as at:
        (at / "hands.csv").write_bytes(hands.csv_text().encode())
        workbook([Table(name="hands", head=HEAD, rows=list(hands.cells()))], at / "hands.xlsx")
        files = ["hands.csv", "hands.xlsx"]
        if hands.relation != "different":
            shop, name = hands.bay.shop_of(hands.left.name), stem(f"{hands.left.name}-and-{hands.right.name}")
            files += cut_files.write(cuts_of_both(hands, marks), at, name=name, shop=shop)
        formats.write("facts", {**hands.record(), "title_block": marks.record, "files": files}, at)
    return (*files, facts.NAME)


def cuts_of_both(hands: Compared, marks: Marks = NO_MARKS) -> tuple[Cut, ...]:
    """Every sheet of the left hand, saying how many to cut for both, and what is turned over for the right."""
    left, part, shop = hands.left, hands.left.part, hands.bay.shop_of(hands.left.name)
    said = told_of_both(hands)
    mind = dict.fromkeys((*sheet_cautions(hands.bay, left), *sheet_cautions(hands.bay, hands.right)))
    cuts = cut_files.cuts(part, title(hands, marks), said, shop=shop, mind=tuple(mind))
    return tuple(_for_both(cut, part, turned=hands.relation == "mirror images") for cut in cuts)


def title(hands: Compared, marks: Marks = NO_MARKS) -> Title:
    """The title of every sheet: both names, which is drawn, and in what else the two differ."""
    left, right = hands.left, hands.right
    own = cut_files.title(
        left.name,
        left.params,
        hands.bay.shop_of(left.name),
        marks,
        worked_out=left.worked_out,
        unfilled=left.unfilled,
    )
    within = f"within {WITHIN:g} mm and {WITHIN:g} degrees in all it is cut, drilled, bent and coped by"
    if hands.relation == "mirror images":
        name = f"{left.name} and {right.name}, LEFT as drawn, RIGHT mirrored"
        notes = [f"LEFT ({left.name}) as drawn. RIGHT ({right.name}) is its mirror image, {within}."]
    else:
        name = f"{left.name} and {right.name}, LEFT and RIGHT as drawn"
        notes = [f"LEFT ({left.name}) and RIGHT ({right.name}) are one part, {within}: none is turned over."]
    notes += [f"Differs, not in the metal: {f.said}." for f in hands.differing if f.about not in ("finding", "bay")]
    return replace(own, part=name, notes=(*notes, *own.notes))


def told_of_both(hands: Compared) -> tuple[Finding, ...]:
    """What is said of either, under the left's names of pieces; of one alone with its hand before it."""
    names = {b.name: a.name for a, b in zip(hands.left.part.pieces, hands.right.part.pieces, strict=False)}
    left = hands.said_of(hands.left)
    right = [replace(f, piece=names.get(f.piece, f.piece)) for f in hands.said_of(hands.right)]
    both = [f for f in left if replace(f, about=()) in {replace(g, about=()) for g in right}]
    known = {replace(f, about=()) for f in both}
    sides = (("LEFT", left), ("RIGHT", right))
    only = [(word, f) for word, found in sides for f in found if replace(f, about=()) not in known]
    return worst_first((*both, *(replace(f, sentence=f"{word}: {f.sentence}") for word, f in only)))


def _for_both(cut: Cut, part: Part, *, turned: bool) -> Cut:
    """The sheets of one cut with its number for both hands; the tubes' table with each tube twice."""
    if cut.rows:
        sides = ("LEFT", "RIGHT")
        rows = tuple(replace(row, names=tuple(f"{n} {s}" for s in sides for n in row.names)) for row in cut.rows)
        [old] = cut.drawings
        sheet = tube_sheet(rows, old.title)
        kept = {what: text for what, text in old.facts if what not in dict(sheet.facts)}
        way = ("Lengths are those of both hands; of RIGHT all degrees go the other way round.",) if turned else ()
        told = (*sheet.facts[:1], *kept.items(), *sheet.facts[1:])
        sheet = replace(sheet, facts=told, notes=(*way, *sheet.notes))
        return replace(cut, rows=rows, drawings=(sheet,))
    piece = part.piece(cut.names[0])
    count = len(cut.names)
    over = count if turned and not own_image(piece) else 0
    said = f"{2 * count} wanted" if cut.stops else f"cut {2 * count}"
    said += f", {over} of them turned over" if over else ", none turned over"
    notes = tuple(_turning(piece)) if over else ()
    sheets = []
    for drawing in cut.drawings:
        told = tuple((what, said if what == "number" else text) for what, text in drawing.facts)
        name = f"{drawing.name.rpartition(', ')[0]}, {PRINTED['stop'] if cut.stops else said}"
        sheets.append(replace(drawing, name=name, facts=told, notes=(*notes, *drawing.notes)))
    return replace(cut, drawings=tuple(sheets))


def _turning(piece: Piece) -> Iterator[str]:
    """What turning over changes of a piece, for the hand that is not drawn."""
    match known(piece):
        case Folded():
            yield "RIGHT: the blank turned over: mark the face that is under here, and read this face as that one."
            yield "Seen on it bends go up and down as written; marked on the face drawn here, up is down, down up."
        case Plate():
            yield "RIGHT: the blank turned over: mark the face that is under here, and read this face as that one."
        case Tube():
            yield "RIGHT: the wrap turned over, print against the tube; degrees go the other way round."
        case BentTube():
            yield "RIGHT: wraps turned over, print against the tube; turns between bends go the other way round."
        case Turned() | CustomPiece():
            yield "RIGHT: its mirror image."


def own_image(piece: Piece) -> bool:
    """Whether a piece is cut the same turned over or not: turned stock, a plate or a tube that is symmetrical."""
    match known(piece):
        case Turned():
            return True
        case Plate() as piece:
            return not piece.wall.seats and any(_same_turned(piece, turn) for turn in TURNS)
        case Tube() as piece:
            single = not (piece.start_also or piece.end_also)
            square = "square" in (piece.start.kind, piece.end.kind)
            apart = math.remainder(piece.start.clock - piece.end.clock, 180.0)
            straight = abs(piece.start.offset) <= WITHIN and abs(piece.end.offset) <= WITHIN
            return single and straight and (square or abs(apart) <= WITHIN)
        case Folded() | BentTube() | CustomPiece():
            return False


def _same_turned(piece: Plate, turn: float) -> bool:
    """Whether a plate's mirror image, turned by so much about its middle, lies on the plate itself."""
    image = piece.mirrored().wall
    here, there = moments(piece.wall.outline).centroid, moments(image.outline).centroid

    def moved(outline: Outline) -> Outline:
        return translate(rotate(translate(outline, -there[0], -there[1]), turn), *here)

    def one(outline: Outline, other: Outline) -> bool:
        off = outlines_apart(outline, other)
        return off is not None and off <= WITHIN

    if not one(moved(image.outline), piece.wall.outline):
        return False
    rest = list(piece.wall.openings)
    for opening in image.openings:
        laid = moved(opening.outline)
        for other in rest:
            if isinstance(opening, Hole) and isinstance(other, Hole):
                apart = math.dist(moments(laid).centroid, other.at)
                fits = apart <= WITHIN and replace(opening, at=other.at, name=other.name) == other
            else:
                fits = type(opening) is type(other) and one(laid, other.outline)
            if fits:
                rest.remove(other)
                break
        else:
            return False
    return True
