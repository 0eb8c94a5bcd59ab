"""Words as outlines to be sunk into a face: the bold letters of the open typeface that comes with the paper
library.

mm, in a plane: x along the line of writing, y up, the block's lower left corner at the origin.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.ttLib import TTFont
from manifold3d import CrossSection, FillRule

FONT = "VeraBd.ttf"

STROKE = 0.195
"""Width of the thinnest stroke over the height of a capital: the bar of the letter E of the typeface, measured."""

LINE = 1.45
"""Heights of a capital from one line of writing to the next."""

STEPS = 4
"""Straight lines a curve of a letter is drawn with: at 5 mm they are 0.02 mm off it."""

Outlines = tuple[tuple[tuple[float, float], ...], ...]


def lettering(lines: Sequence[str], height: float) -> CrossSection:
    """Lines of words one under the other, capitals `height` mm high, set left.

    A character that the typeface does not have is written as a question mark.
    """
    whole = CrossSection()
    for number, line in enumerate(reversed(lines)):
        x = 0.0
        for character in line:
            outlines, wide = _letter(character)
            if outlines:
                flat = CrossSection([np.array(ring) for ring in outlines], FillRule.NonZero)
                whole += flat.scale((height, height)).translate((x * height, number * LINE * height))
            x += wide
    return whole


def size(lines: Sequence[str], height: float) -> tuple[float, float]:
    """mm along and across of the block that `lettering` makes, descenders left out."""
    wide = max((_wide(line) for line in lines), default=0.0)
    return wide * height, (LINE * (len(lines) - 1) + 1.0) * height


def _wide(line: str) -> float:
    """Of a line in heights of a capital: a letter may reach past its own width."""
    x = most = 0.0
    for character in line:
        outlines, wide = _letter(character)
        most = max([most, x + wide, *(x + px for ring in outlines for px, _ in ring)])
        x += wide
    return most


@cache
def _letter(character: str) -> tuple[Outlines, float]:
    """Its outlines and how wide it is, in heights of a capital."""
    font = _font()
    glyphs, named = font.getGlyphSet(), font.getBestCmap()
    name = named.get(ord(character), named[ord("?")])
    capital = float(font["OS/2"].sCapHeight if getattr(font["OS/2"], "version", 0) >= 2 else _height_of_i(font))
    pen = DecomposingRecordingPen(glyphs)
    glyphs[name].draw(pen)
    rings: list[tuple[tuple[float, float], ...]] = []
    ring: list[tuple[float, float]] = []
    for verb, points in pen.value:
        if verb == "moveTo":
            ring = [points[0]]
        elif verb == "lineTo":
            ring.append(points[0])
        elif verb == "qCurveTo":
            ring += _curve(ring[-1], points)
        elif verb == "closePath":
            rings.append(tuple((x / capital, y / capital) for x, y in ring))
    return tuple(rings), glyphs[name].width / capital


def _curve(start: tuple[float, float], points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Points on the quadratic curves of a TrueType outline; between two controls lies a point on the curve."""
    *controls, end = points
    found, here = [], start
    for i, control in enumerate(controls):
        last = i == len(controls) - 1
        to = end if last else tuple((a + b) / 2 for a, b in zip(control, controls[i + 1], strict=True))
        for k in range(1, STEPS + 1):
            t = k / STEPS
            x, y = (
                (1 - t) ** 2 * a + 2 * t * (1 - t) * b + t**2 * c for a, b, c in zip(here, control, to, strict=True)
            )
            found.append((x, y))
        here = (to[0], to[1])
    return found


def _height_of_i(font: Any) -> float:
    return float(font["glyf"]["I"].yMax)


@cache
def _font() -> Any:
    return TTFont(str(resources.files("reportlab").joinpath("fonts", FONT)), lazy=False)


def stroke_width(height: float) -> float:
    """mm that the thinnest stroke of letters of this height is wide."""
    return STROKE * height


def height_for(stroke: float) -> float:
    """The least height of letters whose strokes are `stroke` mm wide, in tenths of a mm."""
    return math.ceil(stroke / STROKE * 10 - 1e-9) / 10
