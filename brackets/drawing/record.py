"""What is drawn, before it is paper or a file: strokes, words and tables, each with a layer.

mm at true size, x right, y up, (0, 0) the lower left corner of what is drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from brackets.core import typeface
from brackets.geometry.curve import Outline
from brackets.geometry.segments import Arc, Bounds, Line, Point, Segment

Layer = Literal[
    "cut", "bend", "tangent", "punch", "ring", "weld", "bevel", "mark", "mark_other", "grain", "leader", "text",
    "axis", "fold up", "fold down",
]  # fmt: skip
"""cut: edges; bend: where the punch comes down; tangent: where a bend begins and ends; punch: centre marks;
ring: witness rings; weld: edges to be welded; bevel: where a tube's bore must end; mark: lines and degrees to set a
wrap by, where another piece lands, and the finished size of what is reamed or bored later; mark_other: where
another piece lands on the face that is down; grain: the arrow; leader: from a label to its thing; axis: centre
lines; fold up, fold down: of card, towards who looks at it and away."""


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
    """Who and what a drawing is for.

    part, revision, by, date: as printed in the title block, the last two as typed; tolerance: the general
    tolerance, "" on what nothing is made to size by; unstated: values that the user did not give; findings: those
    of what is drawn; notes: further lines; urgent: the stops among the findings, and what a person accepted, for
    files that travel without their paper; stops: whether nothing of the drawing may be cut; mind: cautions of the
    steps it is for; banner: a line on every page, before the page's number and how many there are.
    """

    part: str
    revision: str = ""
    by: str = ""
    date: str = ""
    tolerance: str = ""
    unstated: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    urgent: tuple[str, ...] = ()
    stops: bool = False
    mind: tuple[str, ...] = ()
    banner: str = ""


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """One thing drawn, in mm.

    facts: (what, value) lines of the title block; strokes, words, tables, notes: what is drawn and written;
    true_size: False for a picture and where there are tables alone; own_page: whether it has a page, or several,
    for itself, which a picture has and a drawing at true size has not where None says nothing else; sheet: False
    where the facts of the drawing before it are its own too.
    """

    name: str
    title: Title
    facts: tuple[tuple[str, str], ...]
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...] = ()
    tables: tuple[Table, ...] = ()
    notes: tuple[str, ...] = ()
    true_size: bool = True
    own_page: bool | None = None
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
"""Of the type's size: capitals above the line and tails below it (Arimo's outlines: d 0.725, H 0.688, g -0.208).
An accent on a capital stands 0.21 higher; Chinese characters of IPAexGothic reach from -0.10 to 0.85."""


def width(text: str, size: float) -> float:
    """Length of a line of text, mm: exact on paper.

    An estimate for SVG and DXF, whose reader may have another type: labels are laid out by it there too.
    """
    return typeface.width(text, size)
