"""All a part is cut by: one PDF at true size, a DXF and an SVG of each blank and wrap, the cut table of its tubes.

Pieces that are drawn alike are drawn once, and the sheet says how many to cut.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, assert_never

from brackets.core.errors import InputError
from brackets.core.figures import figure
from brackets.core.finding import PRINTED, SAYS, Finding, stopped, verdict
from brackets.core.kept import keeps
from brackets.core.marks import NO_MARKS, Marks
from brackets.core.place import HERE
from brackets.core.schema.checked import Checked, fields
from brackets.core.schema.reading import stated, unstated
from brackets.drawing.bending import tube_sheet
from brackets.drawing.blank import LABEL, blank
from brackets.drawing.record import Drawing, Title, Words
from brackets.drawing.turned import turning
from brackets.drawing.wraps import wraps
from brackets.forming.cut_rows import CutRow, cut_rows, meets, tubes_of
from brackets.forming.shop import NO_TOOLS, Shop
from brackets.model.cope import ENDS
from brackets.model.kinds import known
from brackets.model.landing import OnPlate, OnRound, landed_on
from brackets.model.part import Hand, Part
from brackets.model.piece import CustomPiece, Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned
from brackets.output import formats
from brackets.output.folder import unique_stems
from brackets.output.format_writers import CutTable, Sheets
from brackets.output.kept_files import kept_files
from brackets.output.paper import correction_of
from brackets.rules.cautions import Caution, of_part

ALIKE = 6
"""Decimals of a mm to which two drawings are compared: finer than any tool, coarser than rounding."""

ABOVE = 6.0
"""mm: how far over a blank its cut file says what it is."""

LEAD = 1.5
"""Heights of type from one of those lines to the next."""

LETTERS = 80
"""The longest of those lines."""


NOT_STATED = "not stated"


@dataclass(frozen=True, kw_only=True)
class Cut:
    """What one or several like pieces are cut by; `flat` where that is a blank or a wrap to cut out.

    That of a part's tubes names no piece and has the `rows` of their cut table. `stops`: nothing of it is cut.
    """

    names: tuple[str, ...]
    drawings: tuple[Drawing, ...]
    flat: bool
    rows: tuple[CutRow, ...] = ()

    @property
    def stops(self) -> bool:
        return any(drawing.title.stops for drawing in self.drawings)


def title(
    name: str,
    params: Checked,
    shop: Shop,
    marks: Marks = NO_MARKS,
    *,
    worked_out: Collection[str] = (),
    unfilled: Sequence[str] = (),
    hand: Hand | None = None,
) -> Title:
    """What every sheet of a part says: its name and hand, which values are the user's, and whose tools it is for.

    `worked_out` are names of values that came out of a bay, `unfilled` lines on those it was to give and does not.
    """

    def told(names: Collection[str]) -> str:
        known = (param for param in fields(type(params)) if param.name in names)
        return ", ".join(f"{param.name} {_rounded(param.shown(params))}" for param in known)

    notes = [f"Stated by you: {told(stated(params) - set(worked_out)) or 'nothing'}."]
    if worked_out:
        notes.append(f"Worked out from the bay: {told(worked_out)}.")
    notes += [f"{line}." for line in unfilled]
    notes.append(f"Shop: {shop.name}.")
    if hand is not None:
        name, notes = f"{name}, {hand.label}", [*hand.notes, *notes]
    missing = tuple(map(_rounded, unstated(params)))
    return replace(marked(name, marks), unstated=missing, notes=tuple(notes))


def marked(name: str, marks: Marks) -> Title:
    """The title of a drawing to make something by, with what was typed for its title block."""
    general = marks.tolerance or NOT_STATED
    return Title(part=name, revision=marks.revision, by=marks.by, date=marks.date, tolerance=general)


def _rounded(text: str) -> str:
    """The text with its long numbers as a person writes them, to a thousandth; facts.json has them whole."""
    return re.sub(r"-?\d+\.\d{4,}", lambda found: figure(float(found[0])), text)


def drawn(
    piece: Piece, part: Part, title: Title, shop: Shop, landed: Sequence[OnPlate] | Sequence[OnRound] = ()
) -> tuple[Drawing, ...]:
    """The sheets of one piece of a part, with what is `landed` on it: none where its kind has no drawing, or where
    it cannot be laid flat.

    Why it cannot, the shop's findings say.
    """
    match known(piece):
        case Plate() | Folded() as piece:
            try:
                stands = [one for one in landed if isinstance(one, OnPlate)]
                return (blank(piece, title, welds=part.welds, landed=stands),)
            except InputError:
                return ()
        case Turned() as piece:
            named = [(_words_for(one.name, part), one) for one in landed if isinstance(one, OnRound)]
            return (turning(piece, title, welds=part.welds, landed=named),)
        case Tube() | BentTube() as piece:
            style, paper = shop.tubing.wrap, shop.paper_t
            lands = [one for one in landed if isinstance(one, OnRound)]
            return wraps(
                piece, title, welds=part.welds, among=part.pieces, landed=lands, style=style, paper=paper
            )
        case CustomPiece():
            return ()
        case other:
            assert_never(other)


def _words_for(name: str, part: Part) -> str:
    """What is welded to a turned piece, a seat by its name, a piece without it: like cups on like tubes are drawn
    once."""
    piece = next((piece for piece in part.pieces if piece.name == name), None)
    if piece is None:
        return name
    match known(piece):
        case Tube() | BentTube() as piece:
            return f"tube {piece.od:g} x {piece.wall:g}"
        case Plate() | Folded() as piece:
            return f"plate {piece.t:g}"
        case Turned() | CustomPiece():
            return name
        case other:
            assert_never(other)


def cuts(
    part: Part,
    title: Title,
    findings: Sequence[Finding] = (),
    *,
    shop: Shop = NO_TOOLS,
    mind: Sequence[Caution] | None = None,
) -> tuple[Cut, ...]:
    """Every sheet of `part`, like pieces together, in the order of the pieces.

    A sheet says the `findings` of its pieces and of the whole part. All pieces follow from the same values: where
    one finding stops, every sheet does, and says it. `mind` are the cautions of the steps it is for, those of
    the part where none are given. `shop` says which wraps it wants and how thick its paper is.
    """
    title = replace(title, mind=tuple(one.sentence for one in (of_part(part) if mind is None else mind)))
    there = [piece.name for piece in part.pieces]
    found = [_counted(cut, title, findings, there) for cut in _unjudged(part, untold(title), shop)]
    return (*_tube_sheet(part, title, findings), *found)


def untold(title: Title) -> Title:
    """What a drawing is drawn with: its title without what is only printed beside it, so that a finding in other
    words draws nothing anew."""
    return Title(part=title.part, revision=title.revision)


@keeps("sheets of like pieces")
def _unjudged(part: Part, title: Title, shop: Shop) -> tuple[Cut, ...]:
    """The sheets before anything is said of them; `title` is one that is `untold`."""
    names: dict[Any, list[str]] = {}
    sheets: dict[Any, tuple[Drawing, ...]] = {}
    looks: dict[Any, Any] = {}
    for piece in part.pieces:
        landed = landed_on(piece, part)
        own = (replace(piece, name="", place=HERE), tuple(_met(piece, part)), landed)
        if own not in looks:
            drawings = drawn(piece, part, title, shop, landed)
            looks[own] = (not isinstance(piece, Turned), tuple(_look(drawing) for drawing in drawings))
            sheets.setdefault(looks[own], drawings)
        names.setdefault(looks[own], []).append(piece.name)
    return tuple(
        Cut(names=tuple(named), drawings=sheets[look], flat=look[0])
        for look, named in names.items()
        if sheets[look]
    )


def _met(piece: Piece, part: Part) -> Iterator[Any]:
    """What tells two pieces of one shape apart on paper: their welds, or what the ends of a tube meet."""
    match known(piece):
        case Tube() | BentTube() as piece:
            yield from (meets(piece, which, part.welds, part.pieces) for which in ENDS)
        case Plate() | Folded() | Turned() | CustomPiece():
            yield from (replace(weld, piece="") for weld in part.welds if weld.piece == piece.name)
        case other:
            assert_never(other)


def undrawn(part: Part, found: Iterable[Cut]) -> tuple[str, ...]:
    """Names of the pieces that no sheet is of; every tube is in the cut table."""
    there = {name for cut in found for name in cut.names} | {tube.name for tube in tubes_of(part)}
    return tuple(piece.name for piece in part.pieces if piece.name not in there)


def write(
    found: Sequence[Cut],
    into: Path,
    *,
    name: str,
    shop: Shop,
    paper: str | None = None,
    taken: set[str] | None = None,
) -> tuple[str, ...]:
    """Writes NAME.pdf, NAME-PIECE.dxf and .svg of every blank and wrap, NAME-tubes.csv; their names, the PDF first.

    `name` is a file's stem; `taken` are the stems in use in the folder (see `unique_stems`). `paper` is the shop's
    where none is given; the printer's correction is the shop's. Nothing to draw writes nothing. Raises InputError
    for an unknown paper or a printer that is set wrong.
    """
    if not found:
        return ()
    sheets = tuple(drawing for cut in found for drawing in cut.drawings)
    told = Sheets(sheets, shop.paper if paper is None else paper, correction_of(shop.bars))
    files = [*formats.write("paper", told, into, name)]
    blanks = [(cut, drawing) for cut in found if cut.flat for drawing in cut.drawings if drawing.true_size]
    named = ["-".join((name, cut.names[0], *_end(drawing))) for cut, drawing in blanks]
    mine = {name.lower()} if taken is None else taken
    for (_, drawing), stem in zip(blanks, unique_stems(named, mine), strict=True):
        files += _cut_out(_headed(drawing), into, stem)
    for cut in found:
        if cut.rows:
            files += formats.write("tubes", CutTable(cut.rows, cut.stops), into, f"{name}-tubes")
    return tuple(files)


def _cut_out(drawing: Drawing, into: Path, stem: str) -> Iterator[str]:
    """Writes the files of a blank or wrap, of which they show no more than they are given here."""
    shown = replace(drawing, title=Title(part=drawing.title.part, stops=drawing.title.stops))
    shown = replace(shown, facts=(), tables=(), notes=())
    for name, data in kept_files("blank", lambda at: formats.write("blank", shown, at, stem), shown, stem):
        (into / name).write_bytes(data)
        yield name


def _end(drawing: Drawing) -> tuple[str, ...]:
    """Which end of its tube a wrap is for, or how far along it."""
    ends = (end.split(",")[0] for what, end in drawing.facts if what == "end")
    return (*ends, *(f"at-{far.split()[0]}" for what, far in drawing.facts if what == "lower edge"))


def _look(drawing: Drawing) -> Any:
    """A key that is equal for drawings of like pieces: everything drawn but their names and findings."""
    strokes = tuple(
        (stroke.layer, stroke.closed, tuple(_corner(p) for s in stroke.segments for p in (s.a, s.point(0.5), s.b)))
        for stroke in drawing.strokes
    )
    facts = tuple(fact for fact in drawing.facts if fact[0] not in ("piece", "values"))
    return strokes, tuple(words.text for words in drawing.words), drawing.tables, drawing.notes, facts


def _corner(p: tuple[float, float]) -> tuple[float, float]:
    return (round(p[0], ALIKE) + 0.0, round(p[1], ALIKE) + 0.0)


def _counted(cut: Cut, title: Title, findings: Sequence[Finding], pieces: Sequence[str]) -> Cut:
    """The drawings under `title`, with every piece's name, what is said of it, and how many to cut, or not to."""
    told = _told(cut.names, findings, pieces)
    said = f"{len(cut.names)} wanted" if stopped(told) else f"cut {len(cut.names)}"
    facts = {**verdict_row(told), "piece": ", ".join(cut.names), "number": said}
    sheets = []
    for drawing in cut.drawings:
        named = f"{drawing.name}, {PRINTED['stop'] if stopped(told) else said}"
        own = tuple(fact for fact in drawing.facts if fact[0] not in facts)
        judged = replace(drawing, name=named, title=judged_title(title, told))
        sheets.append(replace(judged, facts=(*own[:1], *facts.items(), *own[1:])))
    return replace(cut, drawings=tuple(sheets))


def _tube_sheet(part: Part, title: Title, findings: Sequence[Finding]) -> Iterator[Cut]:
    """The cut table of a part with tubes; advice stands on each tube's own sheet."""
    rows = cut_rows(tubes_of(part), part.welds)
    if rows:
        names = [name for row in rows for name in row.names]
        grave = [finding for finding in findings if finding.level != "advice"]
        told = _told(names, grave, [piece.name for piece in part.pieces])
        sheet = tube_sheet(rows, judged_title(title, told))
        sheet = replace(sheet, facts=(*sheet.facts[:1], *verdict_row(told).items(), *sheet.facts[1:]))
        yield Cut(names=(), drawings=(sheet,), flat=False, rows=rows)


def _told(names: Sequence[str], findings: Sequence[Finding], pieces: Sequence[str]) -> tuple[Finding, ...]:
    """What is said of these pieces or of the whole part, and every stop and accepted stop of the part."""
    return tuple(f for f in findings if f.piece in names or f.piece not in pieces or f.level == "stop")


def judged_title(title: Title, findings: Sequence[Finding]) -> Title:
    """The title with what is said of a drawing, and whether it may be cut at all."""
    return replace(
        title,
        findings=tuple(str(f) for f in findings),
        urgent=tuple(str(f) for f in findings if f.level == "stop" or f.accepted),
        stops=stopped(findings),
    )


def verdict_row(findings: Sequence[Finding]) -> dict[str, str]:
    """The facts that say how many findings there are, and that nothing must be cut, if so."""
    stop = {"STOP": f"do not cut: see {SAYS}"} if stopped(findings) else {}
    return {**stop, "verdict": verdict(findings)} if findings else {}


def urgent_lines(title: Title) -> tuple[str, ...]:
    """What a cut file says of its findings: the stops, and what a person accepted."""
    return tuple(line for said in title.urgent for line in textwrap.wrap(said, LETTERS))


def _headed(drawing: Drawing) -> Drawing:
    """The drawing with lines over it that say what it is, for files that travel without their paper."""
    facts = dict(drawing.facts)
    line = f"{drawing.title.part}: {facts['piece']}, {facts['number']}, {facts['material']}"
    if drawing.title.stops:
        line = f"{PRINTED['stop']} {line}"
    left, _, _, top = drawing.bounds
    lines = (line, *urgent_lines(drawing.title))
    heights = [top + ABOVE + LEAD * LABEL * i for i in reversed(range(len(lines)))]
    over = tuple(Words((left, y), said, LABEL) for said, y in zip(lines, heights, strict=True))
    return replace(drawing, words=(*drawing.words, *over))
