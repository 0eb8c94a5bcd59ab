"""What a wrap is set by: a centre line every quarter, the seam, and degrees along the top edge."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from brackets.cope import Wrap
from brackets.drawing.record import ASCENT, DESCENT, Layer, Stroke, Words, width
from brackets.drawing.wrap_lines import flap, height
from brackets.outline import Point

QUARTERS = (0, 90, 180, 270)

CLOCK = "CLOCK LINE"

LONG, MIDDLE, SHORT = 4.0, 2.5, 1.5
"""mm: ticks at a number, every ten degrees (fifteen on a narrow paper), and between."""

NUMBER = 2.3
"""mm: size of the numbers."""

BAND = LONG + 0.8 + (ASCENT + DESCENT) * NUMBER + 0.6
"""mm under the top edge that ticks and numbers take."""

NAME = 3.6
"""mm under the band for the clock line's name."""

FINE = 1.0
"""mm between ticks at least."""

CLEAR = 0.9
"""mm of white beside a number and over the lines it must not lie on."""


def axes(made: Wrap, cut: Sequence[Point], top: float, *, up_to: float) -> Iterator[Stroke]:
    """The quarter lines, from the cut up to `up_to` and again through the band, and the seam.

    The clock line is drawn whole and down to its name, the others as centre lines; one on the seam is the seam.
    """
    for degrees in QUARTERS:
        x = made.x(degrees)
        if not 1e-6 < x < made.width - 1e-6:
            continue
        layer: Layer = "axis" if degrees else "mark"
        band = top - BAND - (0.0 if degrees else NAME)
        if up_to >= band:
            yield Stroke.line(layer, (x, height(cut, x)), (x, top))
        else:
            yield Stroke.line(layer, (x, height(cut, x)), (x, up_to))
            yield Stroke.line(layer, (x, band), (x, top))
    if flap(made) > 0:
        yield Stroke.line("mark", (made.width, height(cut, made.width)), (made.width, top))


def ticks(made: Wrap, sky: Callable[[float], float], top: float) -> Iterator[Stroke]:
    """Down from the top edge, where the paper is tall enough for them."""
    coarse = _numbered(made)
    middle = 15 if coarse == 45 else 10
    fine = next((step for step in (1, 5) if step * made.per_degree >= FINE), middle)
    for degrees in range(0, 360, fine):
        long = LONG if degrees % coarse == 0 else MIDDLE if degrees % middle == 0 else SHORT
        x = made.x(degrees)
        on_line = degrees in QUARTERS or not 1e-6 < x < made.width - 1e-6
        if not on_line and sky(x) < top - long - CLEAR:
            yield Stroke.line("mark", (x, top), (x, top - long))


def numbers(made: Wrap, sky: Callable[[float], float], top: float) -> Iterator[Words]:
    """Degrees under the long ticks, beside the quarter lines."""
    low = top - LONG - 0.8 - ASCENT * NUMBER
    for degrees in range(0, 360, _numbered(made)):
        text, x = f"{degrees}", made.x(degrees)
        wide = width(text, NUMBER)
        left = x + CLEAR if degrees in QUARTERS else x - wide / 2
        ends = (left - CLEAR / 2, left + wide + CLEAR / 2)
        if ends[0] > 0.0 and ends[1] < made.width and max(map(sky, (*ends, x))) < low - DESCENT * NUMBER - CLEAR:
            yield Words((left, low), text, NUMBER)


def clock_name(made: Wrap, top: float) -> Words:
    """The clock line's name, under the band and beside the line, on the side where there is room."""
    x, wide = made.x(0.0), width(CLOCK, NUMBER)
    left = x + CLEAR if x + CLEAR + wide < made.width else x - CLEAR - wide
    return Words((left, top - BAND - NAME + CLEAR), CLOCK, NUMBER)


def _numbered(made: Wrap) -> int:
    """Degrees from number to number: room for one beside its line and half of the next."""
    room = 1.5 * width("000", NUMBER) + 2 * CLEAR
    return next(step for step in (10, 30, 45, 90) if step * made.per_degree >= room or step == 90)
