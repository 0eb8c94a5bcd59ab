"""Drawings as SVG in true mm: width and height in mm and a viewBox to match, one group a layer."""

from __future__ import annotations

import math
import os
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from brackets.drawing.record import Drawing, Stroke, Words
from brackets.drawing.sheets import ACROSS, across_drawing
from brackets.geometry.segments import Arc

AROUND = 2.0
"""mm of white round the drawing."""

STYLES = {
    "cut": "stroke-width:0.25",
    "bend": "stroke-width:0.2;stroke-dasharray:4 1.5",
    "tangent": "stroke-width:0.13",
    "punch": "stroke-width:0.13",
    "ring": "stroke-width:0.13;stroke-dasharray:1 1",
    "weld": "stroke-width:0.5;stroke-dasharray:2 1",
    "bevel": "stroke-width:0.18;stroke-dasharray:2.5 1",
    "mark": "stroke-width:0.15",
    "mark_other": "stroke-width:0.15;stroke-dasharray:3 1.5",
    "grain": "stroke-width:0.25",
    "leader": "stroke-width:0.13",
    "axis": "stroke-width:0.13;stroke-dasharray:6 1 1 1",
}
"""Layer to how it is drawn."""


GROUPS = {"tangent": "bend_edge", "punch": "centre_pop"}
"""Names of groups that are not the layer's own word: those of the layers in DXF, in small letters."""

STOPPED = "stroke-width:0.5;stroke:#999;stroke-dasharray:2 2"
"""How all of a drawing is drawn that must not be cut: as one group, stopped."""


def write(drawing: Drawing, path: str | os.PathLike[str]) -> None:
    """Write a drawing as SVG at true size, mm.

    drawing: for example one of `wraps`; path: of the file. y is turned down, as SVG has it. Where it must not be
    cut, all of it is in the groups stopped and stopped-text. Raises OSError where the file cannot be written.

    >>> import pathlib, tempfile
    >>> strut = Tube(name="strut", od=30, wall=2, length=200, end=TubeEnd(kind="saddle", r=20))
    >>> drawing = wraps(strut, Title(part="strut"))[0]
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write_svg(drawing, f"{folder}/strut.svg")
    ...     text = pathlib.Path(folder, "strut.svg").read_text("utf-8")
    >>> f'width="{drawing.bounds[2] + 4:.5f}mm"' in text  # 2 mm of white on either side
    True
    """
    Path(path).write_text(text(drawing), "utf-8")


def text(drawing: Drawing) -> str:
    """The SVG; where it must not be cut, all of it is in the groups stopped and stopped-text."""
    stops = drawing.title.stops
    x0, y0, x1, y1 = drawing.bounds
    left, top = x0 - AROUND, -y1 - AROUND
    wide, tall = x1 - x0 + 2 * AROUND, y1 - y0 + 2 * AROUND
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{show(wide)}mm" height="{show(tall)}mm" '
        f'viewBox="{show(left)} {show(top)} {show(wide)} {show(tall)}">',
        f"<title>{escape(drawing.title.part)}: {escape(drawing.name)}</title>",
    ]
    if stops:
        lines.append(f'<g id="stopped" fill="none" style={quoteattr(STOPPED)}>')
        lines += [f'<path d="{_path(stroke)}"/>' for stroke in drawing.strokes if stroke.layer in STYLES]
        lines += ["</g>", '<g id="stopped-text" fill="#a00" font-family="Helvetica, Arial, sans-serif">']
        lines += [*map(_words, drawing.words), _across(drawing), "</g>"]
        return "\n".join((*lines, "</svg>", ""))
    for layer, style in STYLES.items():
        paths = [_path(stroke) for stroke in drawing.strokes if stroke.layer == layer]
        if paths:
            lines.append(f'<g id="{GROUPS.get(layer, layer)}" fill="none" stroke="#000" style={quoteattr(style)}>')
            lines += [f'<path d="{path}"/>' for path in paths]
            lines.append("</g>")
    if drawing.words:
        lines.append('<g id="text" font-family="Helvetica, Arial, sans-serif">')
        lines += [_words(words) for words in drawing.words]
        lines.append("</g>")
    return "\n".join((*lines, "</svg>", ""))


def _path(stroke: Stroke) -> str:
    x, y = stroke.segments[0].a
    parts = [f"M {show(x)} {show(-y)}"]
    for segment in stroke.segments:
        x, y = segment.b
        if isinstance(segment, Arc):
            large = int(abs(segment.sweep) > math.pi)
            r = show(segment.radius)
            parts.append(f"A {r} {r} 0 {large} {int(not segment.ccw)} {show(x)} {show(-y)}")
        else:
            parts.append(f"L {show(x)} {show(-y)}")
    return " ".join((*parts, "Z")) if stroke.closed else " ".join(parts)


def _words(words: Words) -> str:
    x, y = words.at
    return f'<text {_type(x, y, words.size)}>{escape(words.text)}</text>'


def _across(drawing: Drawing) -> str:
    """STOP along the diagonal."""
    (x, y), size, turn = across_drawing(drawing)
    turned = f'transform="rotate({show(-turn)} {show(x)} {show(-y)})" opacity="0.5"'
    return f"<text {_type(x, y, size)} {turned}>{ACROSS}</text>"


def _type(x: float, y: float, size: float) -> str:
    return f'x="{show(x)}" y="{show(-y)}" font-size="{show(size)}"'


def show(value: float) -> str:
    """A number as SVG text: 5 decimals (0.01 micron), and 0 never with a minus."""
    return f"{round(value, 5) + 0.0:.12g}"
