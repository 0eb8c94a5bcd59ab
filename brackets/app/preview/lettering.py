"""What is drawn over the metal of a picture: axes, bend lines, gap lines, and words none upon another.

Points on the paper are pixels from the bottom left of the view.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules import vtkRenderingFreeType  # noqa: F401  (registers what draws words)
from vtkmodules.vtkRenderingCore import vtkActor2D, vtkPolyDataMapper2D, vtkRenderer, vtkTextActor

from brackets.app.preview.shot import Shot
from brackets.app.preview.vtk_body import AXIS, Colour, Ground, VtkBody, cells, poly

Floats = NDArray[np.float64]

NEAR = 30.0
"""mm spare beyond which a gap line tells nobody anything."""
MOST = 16
"""Gap lines with words: with more, no leader can be followed."""


@dataclass(frozen=True, eq=False)
class Line:
    """Segments (k, 2, 3) float, mm, and what they are; `through_metal`: drawn over the metal before it."""

    what: str
    segments: Floats
    through_metal: bool = True


@dataclass(frozen=True, eq=False)
class Tag:
    """Words and the point they speak of, mm. tone: "quiet", "good" or "bad"."""

    text: str
    at: Floats
    tone: str


def annotate(
    header: dict[str, Any], bodies: Sequence[VtkBody], shot: Shot, kept: Callable[[Floats], bool]
) -> tuple[list[Line], list[Tag]]:
    """Lines and words; `kept`: whether a point is left by the section. As made and together only: where pieces
    are pulled apart or unfolded, axes and gaps would point at nothing."""
    bends = [body.bends for body in bodies if shot.axes and len(body.bends)]
    lines = [Line("bend", np.vstack(bends), through_metal=False)] if bends else []
    if shot.apart > 0 or shot.fold < 1:
        return lines, []
    gaps, said = _gaps(header["pairs"], shot, kept)
    if not shot.axes:
        return gaps, said
    axes = [Line(row["what"], np.array([row["ends"]], dtype=float)) for row in header["lines"]]
    marks, tags = _marks(header, bodies)
    return lines + axes + marks + gaps, tags + said


def _marks(header: dict[str, Any], bodies: Sequence[VtkBody]) -> tuple[list[Line], list[Tag]]:
    points = np.vstack([body.points for body in bodies])
    arm = float(np.linalg.norm(points.max(axis=0) - points.min(axis=0))) / 40
    lines, tags = [], []
    for mark in header["marks"]:
        if header["about"] == "bay" and mark["thing"] != "powertrain":
            continue
        at = np.array(mark["at"], dtype=float)
        for axis, way in zip("xyz", np.eye(3) * arm, strict=True):
            lines.append(Line(axis, np.array([[at - way, at + way]])))
        name = "" if mark["name"] == "centre of mass" else f"{mark['name']} "
        tags.append(Tag(f"{name}centre of mass, {mark['kg']:.{2 if mark['kg'] < 10 else 1}f} kg", at, "quiet"))
    return lines, tags


def _gaps(
    pairs: Sequence[dict[str, Any]], shot: Shot, kept: Callable[[Floats], bool]
) -> tuple[list[Line], list[Tag]]:
    lines: list[Line] = []
    tags: list[Tag] = []
    for pair in pairs:
        near = len(tags) < MOST and shot.gaps and pair["state"] in ("clear", "far") and pair["spare"] <= NEAR
        if not (pair["level"] or near):
            continue
        ends = np.array([pair["p"], pair["q"]], dtype=float)
        if not kept(ends.mean(axis=0)):
            continue
        lines.append(Line("short" if pair["level"] else "gap", ends[None]))
        tags.append(Tag(pair["said"], ends.mean(axis=0), "bad" if pair["level"] else "good"))
    return lines, tags


ToPaper = Callable[[Floats], Floats]

SIZE = 13
"""Height of the letters, px, on a picture a page wide."""
WIDE = 1000
"""px of a view for which letters have that height: larger views have larger letters."""
RINGS, ROUND = 16, 16
"""Places that are tried for a box: rings round its point, the nearest first, and places on each."""


class Letters:
    """Puts boxes of words on one view, `width` by `height` px."""

    def __init__(self, renderer: vtkRenderer, ground: Ground, size: tuple[float, float], finer: int) -> None:
        self._renderer, self._ground = renderer, ground
        self.width, self.height = size
        self._unit = finer * max(1.0, self.width / finer / WIDE)
        self._taken: list[tuple[float, float, float, float]] = []

    def tags(self, tags: Sequence[Tag], at: ToPaper) -> None:
        """Every tag that is within the view, in the order given; leaders run under the boxes."""
        placed = []
        for tag in tags:
            x, y = (float(c) for c in at(tag.at))
            if 0 <= x <= self.width and 0 <= y <= self.height:
                placed.append(self._leader(tag, x, y))
        for words, corners, colour in placed:
            self._area(corners, self._ground.paper)
            self._line([*corners, corners[0]], colour, self._unit)
            self._renderer.AddViewProp(words)

    def axes(self, ways: Floats) -> None:
        """The axes at the bottom left; ways (3, 2) float: how x, y and z run on the paper, 1 in its plane."""
        u = self._unit
        foot = np.array([42.0, 42.0]) * u
        for name, way in zip("xyz", ways, strict=True):
            tip = foot + way * 26 * u
            self._line([foot, tip], AXIS[name], 2 * u)
            words = self._words(name, AXIS[name])
            words.SetPosition(*(foot + way * 35 * u - (3 * u, 5 * u)))
            self._renderer.AddViewProp(words)

    def _leader(self, tag: Tag, x: float, y: float) -> tuple[vtkTextActor, list[tuple[float, float]], Colour]:
        """Finds room for the box of a tag and draws the line to it; the words, corners and colour of the box."""
        u, colour = self._unit, self._ground.tones[tag.tone]
        words = self._words(tag.text, colour)
        size = [0.0, 0.0]
        words.GetSize(self._renderer, size)
        wide, high = size[0] + 10 * u, 20 * u
        left, low = self._free(x, y, wide, high)
        self._taken.append((left, low, wide, high))
        near = min(max(x, left), left + wide), min(max(y, low), low + high)
        self._line([(x, y), near], colour, u)
        self._disc((x, y), 2.5 * u, colour)
        words.SetPosition(left + 5 * u, low + 3 * u)
        corners = [(left, low), (left + wide, low), (left + wide, low + high), (left, low + high)]
        return words, corners, colour

    def _free(self, x: float, y: float, wide: float, high: float) -> tuple[float, float]:
        """Left and low of a box near a point, off the boxes there are: up to the right first, then round it."""
        u = self._unit
        for ring in range(RINGS):
            for i in range(ROUND):
                turn = math.pi / 4 + 2 * math.pi * i / ROUND
                left = x + math.cos(turn) * (wide / 2 + (20 + 20 * ring) * u) - wide / 2
                low = y + math.sin(turn) * (26 + 22 * ring) * u - high / 2
                within = 0 < left < self.width - wide and 0 < low < self.height - high
                if within and not any(
                    left < a + w + u and left + wide + u > a and low < b + h + u and low + high + u > b
                    for a, b, w, h in self._taken
                ):
                    return left, low
        return min(max(x, 0.0), self.width - wide), min(max(y, 0.0), self.height - high)

    def _words(self, text: str, colour: Colour) -> vtkTextActor:
        made = vtkTextActor()
        made.SetInput(text)
        look = made.GetTextProperty()
        look.SetFontFamilyToArial()
        look.SetFontSize(round(SIZE * self._unit))
        look.SetColor(*colour)
        return made

    def _line(self, points: Sequence[Sequence[float] | Floats], colour: Colour, width: float) -> None:
        made = poly(np.array([(*p, 0.0) for p in points], dtype=float))
        rows = np.arange(len(points))
        made.SetLines(cells(np.column_stack((rows[:-1], rows[1:]))))
        self._add(made, colour).GetProperty().SetLineWidth(width)

    def _disc(self, middle: tuple[float, float], r: float, colour: Colour) -> None:
        turns = [2 * math.pi * i / 24 for i in range(24)]
        self._area([(middle[0] + r * math.cos(a), middle[1] + r * math.sin(a)) for a in turns], colour)

    def _area(self, corners: Sequence[tuple[float, float]], colour: Colour) -> None:
        made = poly(np.array([(*p, 0.0) for p in corners], dtype=float))
        made.SetPolys(cells(np.arange(len(corners)).reshape(1, -1)))
        self._add(made, colour)

    def _add(self, made: object, colour: Colour) -> vtkActor2D:
        mapper = vtkPolyDataMapper2D()
        mapper.SetInputData(made)
        actor = vtkActor2D()
        actor.SetMapper(mapper)
        actor.GetProperty().SetColor(*colour)
        self._renderer.AddViewProp(actor)
        return actor
