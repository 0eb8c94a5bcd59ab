"""An outline as a polyline with bulges and as a drawn path, for files and paper."""

from __future__ import annotations

import math

from brackets.outline.curve import Outline
from brackets.outline.segments import Arc


def bulges(o: Outline) -> tuple[tuple[float, float, float], ...]:
    """(x, y, bulge) at the start of every edge of a closed polyline.

    The bulge is the tangent of a quarter of the sweep, positive anticlockwise, 0 for a line (DXF LWPOLYLINE
    group 42, Autodesk DXF reference, from memory).
    """
    return tuple((*s.a, math.tan(s.sweep / 4.0) if isinstance(s, Arc) else 0.0) for s in o.segments)


def svg_path(o: Outline, *, places: int = 4) -> str:
    """Path data in mm with y turned down as paper wants it (W3C SVG 2, chapter 9, from memory)."""

    def show(*values: float) -> str:
        return " ".join(f"{round(v, places) + 0.0:.12g}" for v in values)

    start = o.segments[0].a
    words = [f"M {show(start[0], -start[1])}"]
    for s in o.segments:
        x, y = s.b
        if isinstance(s, Arc):
            long, sense = int(abs(s.sweep) > math.pi), int(not s.ccw)
            words.append(f"A {show(s.radius, s.radius)} 0 {long} {sense} {show(x, -y)}")
        else:
            words.append(f"L {show(x, -y)}")
    return " ".join((*words, "Z"))
