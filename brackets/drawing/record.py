"""What is drawn, before it is paper or a file: strokes, words and tables, each with a layer.

mm at true size, x right, y up, (0, 0) the lower left corner of what is drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from brackets.geometry.curve import Outline
from brackets.geometry.segments import Arc, Bounds, Line, Point, Segment

Layer = Literal[
    "cut", "bend", "tangent", "punch", "ring", "weld", "bevel", "mark", "grain", "leader", "text", "axis"
]
"""cut: edges; bend: where the punch comes down; tangent: where a bend begins and ends; punch: centre marks;
ring: witness rings; weld: edges to be welded; bevel: where a tube's bore must end; mark: lines and degrees to set a
wrap by, and the finished size of what is reamed or bored later; grain: the arrow; leader: from a label to its
thing; axis: centre lines."""


@dataclass(frozen=True)
class Stroke:
    """Edges end to end on one layer."""

    layer: Layer
    segments: tuple[Segment, ...]
    closed: bool = False

    @classmethod
    def of(cls, layer: Layer, outline: Outline) -> Stroke:
        return cls(layer, outline.segments, True)

    @classmethod
    def line(cls, layer: Layer, a: Point, b: Point) -> Stroke:
        return cls(layer, (Line(a, b),))

    @property
    def circle(self) -> tuple[Point, float] | None:
        """Centre and radius where the stroke is one whole circle."""
        first = self.segments[0]
        if not self.closed or not isinstance(first, Arc) or len(self.segments) != 2:
            return None
        if all(isinstance(s, Arc) and s.centre == first.centre and s.ccw == first.ccw for s in self.segments):
            return first.centre, first.radius
        return None

    @cached_property
    def bounds(self) -> Bounds:
        boxes = [s.bounds for s in self.segments]
        return (
            min(b[0] for b in boxes),
            min(b[1] for b in boxes),
            max(b[2] for b in boxes),
            max(b[3] for b in boxes),
        )


@dataclass(frozen=True)
class Words:
    """One line of text, `size` mm high (capitals about 0.72 of it), its lower left corner at `at`."""

    at: Point
    text: str
    size: float = 3.0
    layer: Layer = "text"

    @property
    def box(self) -> Bounds:
        """What the words cover, with their descenders, mm."""
        x, y = self.at
        return (x, y - DESCENT * self.size, x + width(self.text, self.size), y + ASCENT * self.size)


@dataclass(frozen=True)
class Table:
    """A table for the sheet beside the drawing; the `measured` column is left blank for the pencil."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, kw_only=True)
class Title:
    """Who and what a drawing is for. `unstated`: values the user did not give.

    `findings` are those of what is drawn; `urgent` the stops among them, and what a person accepted, for files that
    travel without their paper; `stops`: nothing of the drawing may be cut. `mind`: cautions of the steps it is for.
    """

    part: str
    revision: str = ""
    unstated: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    urgent: tuple[str, ...] = ()
    stops: bool = False
    mind: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """One thing drawn. `facts` are (what, value) lines of the title block; a picture is not at `true_size`.

    Without `sheet` no sheet of facts goes before it: those of the drawing before it are its own too.
    """

    name: str
    title: Title
    facts: tuple[tuple[str, str], ...]
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    true_size: bool = True
    sheet: bool = True

    @cached_property
    def bounds(self) -> Bounds:
        """Everything drawn, words and all, mm."""
        boxes = [s.bounds for s in self.strokes] + [w.box for w in self.words]
        return (
            min(b[0] for b in boxes),
            min(b[1] for b in boxes),
            max(b[2] for b in boxes),
            max(b[3] for b in boxes),
        )


ASCENT, DESCENT = 0.72, 0.21
"""Of the type's size: capitals above the line and tails below it (Helvetica, Adobe font metrics, from memory)."""

_WIDE = {
    222: "ijl'`",
    278: " !,./:;I[]\\tf|",
    333: "()-r",
    355: '"',
    400: "°",
    500: "Jckvxyzs",
    584: "+=<>~×",
    611: "FTZ",
    667: "ABEKPSVXY&",
    722: "CDHNRUw",
    778: "GOQØ",
    833: "Mm",
    889: "%",
    944: "W",
    1000: "@—",
}
_WIDTH = {letter: units for units, letters in _WIDE.items() for letter in letters}
USUAL = 556
"""Thousandths of the type's size: figures and most small letters (Helvetica, Adobe font metrics, from memory)."""


def width(text: str, size: float) -> float:
    """Length of a line of text, mm."""
    return sum(_WIDTH.get(letter, USUAL) for letter in text) * size / 1000.0
