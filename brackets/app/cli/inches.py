"""Lengths on the screen of what is typed in inches: inches, with mm in brackets in a sentence. Inside all is mm."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal

from brackets.bay.clear.pairs import ROUNDING, at_least
from brackets.bay.report.rows import SETTLED, UNSETTLED, span
from brackets.core.finding import Finding
from brackets.core.units import INCH

PLACES = 3
"""Decimals of an inch: a thousandth is 0.025 mm, and no gap is known better."""

NOTICE = "in; mm in brackets. Names of sizes (M10 x 35, 25 x 2.5) and a figure without a unit in a sentence are mm"

ROUND = {"down": ROUND_FLOOR, "up": ROUND_CEILING, "near": ROUND_HALF_EVEN}

_NUMBER = r"-?\d+(?:\.\d+)?"
_START = r"(?<![\w./-])"
_STAYS = r"\bin \([^()]* mm\)|\bM\d+(?:\.\d+)?(?: x \d+(?:\.\d+)?)+(?: mm\b)?"
_TRAVEL = "(?:fore|aft|left|right|up|down|side)"
_MOVES = rf"{_TRAVEL} {_NUMBER}(?:, {_TRAVEL} {_NUMBER})+"
_PLACE = rf"{_START}{_NUMBER}(?:, {_NUMBER}){{2}}"
_SERIES = rf"{_START}{_NUMBER}(?:-\d+(?:\.\d+)?| (?:x|to|of|of its|or|and) {_NUMBER})*"
_UNIT = r"mm\b(?!/)"
_BESIDE = (
    r"(?:asked|allowed|typed|can be welded over|less the|at the shortest|between the typed marks)\b"
)
_FIGURES = re.compile(
    rf"(?P<stays>{_STAYS})|(?P<said>{_MOVES}|{_PLACE}|{_SERIES}) {_UNIT}"
    rf"|(?P<beside>{_START}{_NUMBER}) (?={_BESIDE})"
)
_MM = re.compile(rf"\d {_UNIT}")
_OTHER = re.compile(r"\d (?:deg|kg|k?N|Nm|MPa|%)(?!\w)")
_BRACKETED = re.compile(r"\([^()]*\)")
_PROVEN = re.compile(
    r" (?:spare|over at|standing still|when moved|less the|from a weld|from the edge|past (?!it\b|the edge)"
    r"|with (?=.* on its slots))"
)
_WITHIN = re.compile(r"(?:comes? within|least spare) $")
_UNSAID = re.compile(
    rf"(is known to {_NUMBER} mm, .* to {_NUMBER}$|set by hand from {_NUMBER} to {_NUMBER}|of play, {_NUMBER})"
)
"""Figures whose unit was said once before."""
_WANTED = re.compile(
    rf"((?:wants|needs|it gives|within|at least|takes|the rack has|less twice|under|leaves|stick is|largest sheet)"
    rf" {_NUMBER}(?: (?:x|to) {_NUMBER})?|, {_NUMBER}(?= or more))"
    r"(?=[,:;)]|$| for | on | \(| of coating| or more| is not| to weld)"
)
"""What is wanted of a figure in mm, and has no unit of its own."""
_CELL = re.compile(rf"(?<![\w.]){_NUMBER}(?![\w:.])(?! deg)")
_INTERVAL = re.compile(rf"({_NUMBER})(-| and )({_NUMBER})")


def inch_text(mm: str, rounded: str = "near", exact: Sequence[float] = ()) -> str:
    """A figure in mm as inches, of three decimals or as many as tell figures that fine apart.

    mm: as printed, "15.0"; rounded: "near", or "down" for a proven low end and "up" for a high end; exact: figures,
    mm, of which the first that is printed so is converted in its place, as the tables do.

    >>> inch_text("15.0"), inch_text("15.0", "down"), inch_text("0.002"), inch_text("15.0", exact=[15.04])
    ('0.591', '0.590', '0.0001', '0.592')
    """
    known = next((v for v in exact if _printed(v, mm)), None)
    more = ROUNDING if rounded == "down" else 0.0
    figure = Decimal(mm) if known is None else Decimal(known + more)
    places = max(PLACES, len(mm.partition(".")[2]) + 1)
    # a division that does not end is cut far beyond the decimals kept, one that ends is exact
    inches = (figure * 10 / Decimal(int(INCH * 10))).quantize(Decimal(1).scaleb(-places), ROUND[rounded])
    return f"{inches if inches else abs(inches):f}"


def _printed(value: float, mm: str) -> bool:
    """Whether a figure is printed as `mm`: to the nearest, or as what is proven. Whole mm that it is rounded to say
    on purpose no more, wherever they stand."""
    places = len(mm.partition(".")[2])
    return mm in (f"{value:.{places}f}", at_least(value, places)) if places else mm == f"{value:g}"


def in_inches(sentence: str, exact: Sequence[float] = ()) -> str:
    """A sentence with its figures of mm in inches and the mm in brackets: "15.0 mm" as "0.591 in (15.0 mm)".

    Ranges, sizes and places are one figure: "0.429-0.434 in (10.9-11.0 mm)". What a sentence says is there between
    two bodies is rounded down, an interval outwards, all else to the nearest. A figure that stands beside one in mm
    ("15 asked") is told likewise, unless the sentence has other units too. Names (M10 x 35), areas, volumes, N/mm
    and what has inches already stay. `exact`: figures of the sentence, mm, from which it was printed.
    """
    sentence = _UNSAID.sub(r"\1 mm", sentence)
    plain = _BRACKETED.sub("", sentence)
    lone = bool(_MM.search(plain)) and not _OTHER.search(plain)
    if lone:
        sentence = _WANTED.sub(r"\1 mm", sentence)

    def told(found: re.Match[str]) -> str:
        if found["stays"] is not None:
            return found[0]
        if found["beside"] is not None:
            if not lone:
                return found[0]
            down = sentence[found.end() :].startswith("less the")
            return f"{inch_text(found['beside'], 'down' if down else 'near', exact)} in ({found['beside']} mm) "
        ahead, after = sentence[: found.start()], sentence[found.end() :]
        proven = _PROVEN.match(after) or _WITHIN.search(ahead)
        return f"{_inches(found['said'], 'down' if proven else 'near', exact=exact)} in ({found['said']} mm)"

    return _FIGURES.sub(told, sentence)


def in_inches_cell(cell: str, rounded: str = "near") -> str:
    """A cell of a column of lengths with every figure in inches; angles and figures within names stay."""
    return _inches(cell, rounded, _CELL)


_ANY = re.compile(rf"(?<![\w.]){_NUMBER}")


def _inches(text: str, rounded: str, figure: re.Pattern[str] = _ANY, exact: Sequence[float] = ()) -> str:
    """Every figure of a text in inches; an interval outwards, the limit in "2.0 of 4" to the nearest."""

    def interval(found: re.Match[str]) -> str:
        return f"{inch_text(found[1], 'down', exact)}{found[2]}{inch_text(found[3], 'up', exact)}"

    whole = _INTERVAL.fullmatch(text)
    if whole and (whole[2] == "-" or rounded != "near"):
        return _INTERVAL.sub(interval, text)

    def told(found: re.Match[str]) -> str:
        limit = text.endswith("of ", 0, found.start())
        return inch_text(found[0], "near" if limit else rounded, exact)

    return figure.sub(told, text)


@dataclass(frozen=True)
class Lengths:
    """How the screen says lengths: `unit` "mm" as they are, "in" as inches. All take mm."""

    unit: str

    @property
    def inch(self) -> bool:
        """Whether lengths are said in inches."""
        return self.unit == "in"

    def least(self, mm: float) -> str:
        """A proven low end, or what is spare from one: rounded down."""
        if not self.inch:
            return at_least(mm)
        scale = 10.0**PLACES
        return f"{math.floor((mm + ROUNDING) / float(INCH) * scale) / scale + 0.0:.{PLACES}f}"

    def span(self, low: float, high: float) -> str:
        """An interval, as `brackets.bay.report.rows.span` writes one in mm."""
        if not self.inch:
            return span(low, high)
        if high - low < SETTLED:
            return self.least(low)
        if high - low > UNSETTLED:
            return f"{self.least(low)}+"
        scale = 10.0**PLACES
        return f"{self.least(low)}-{math.ceil(high / float(INCH) * scale) / scale + 0.0:.{PLACES}f}"

    def figure(self, mm: float, form: str = "g") -> str:
        """A figure to the nearest: in mm by the format `form`."""
        if self.inch:
            return f"{round(mm / float(INCH), PLACES) + 0.0:.{PLACES}f}"
        return f"{mm:z{form}}"

    def both(self, mm: float, form: str = "g") -> str:
        """A figure in a sentence, with its unit: "0.591 in (15.0 mm)"."""
        return f"{self.figure(mm, form)} in ({mm:{form}} mm)" if self.inch else f"{mm:{form}} mm"

    def proven(self, mm: float) -> str:
        """The same of a low end."""
        return f"{self.least(mm)} in ({at_least(mm)} mm)" if self.inch else f"{at_least(mm)} mm"

    def cell(self, cell: str, rounded: str = "near") -> str:
        """A cell of a column of lengths that is text in mm."""
        return in_inches_cell(cell, rounded) if self.inch else cell

    def cells(self, row: tuple[str, ...], **columns: tuple[int, ...]) -> tuple[str, ...]:
        """A row with the columns `down`, `up`, `near` of lengths so rounded, and `said` of sentences."""
        if not self.inch:
            return row
        how = {i: rounded for rounded, those in columns.items() for i in those}
        return tuple(
            cell if i not in how else in_inches(cell) if how[i] == "said" else in_inches_cell(cell, how[i])
            for i, cell in enumerate(row)
        )

    def said(self, sentence: str) -> str:
        """A sentence that is made in mm."""
        return in_inches(sentence) if self.inch else sentence

    def told(self, finding: Finding) -> str:
        """What a finding says, with its source: its figures from those it was judged by, not from its words."""
        return self.sentence(finding) + self.said(finding.said.removeprefix(finding.sentence))

    def sentence(self, finding: Finding) -> str:
        """The same without the source."""
        if not self.inch:
            return finding.sentence
        known = (finding.value, finding.limit) if finding.unit == "mm" else ()
        return in_inches(finding.sentence, [v for v in known if v is not None])

    def title(self, title: str, worst: float | None = None) -> str:
        """A title that says "mm" as a word; `worst`: the least spare of the table, said in mm too."""
        if not self.inch:
            return title
        more = "" if worst is None else f" (the least spare is {at_least(worst)} mm)"
        return re.sub(r"\bmm\b", "in", title) + more


MM = Lengths("mm")
"""Lengths as they are."""
