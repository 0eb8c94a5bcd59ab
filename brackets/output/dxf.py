"""Cut files: DXF R2010 in mm, closed polylines with true arcs, one layer for each thing a cutter does.

The same drawing gives the same bytes.
"""

from __future__ import annotations

import math
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import ezdxf

from brackets.drawing.record import Drawing, Stroke
from brackets.drawing.sheets import ACROSS, across_drawing
from brackets.geometry.segments import Arc

LAYERS = {
    "cut": ("CUT", 7),
    "bend": ("BEND", 5),
    "tangent": ("BEND_EDGE", 8),
    "punch": ("CENTRE_POP", 1),
    "weld": ("WELD", 30),
    "bevel": ("BEVEL", 6),
    "mark": ("MARK", 4),
    "mark_other": ("MARK_OTHER_FACE", 134),
    "text": ("TEXT", 3),
}
"""Layer of the drawing to the file's layer and its colour number; the others are for paper only."""

STOPPED = ("STOPPED", 8)
"""Layer and colour of everything in a drawing that must not be cut: to be looked at, dashed, not plotted."""


def write(drawing: Drawing, path: str | os.PathLike[str]) -> None:
    """Write a drawing as DXF at true size, mm: closed cuts as polylines, whole circles as circles.

    drawing: for example one of `wraps`; path: of the file. Where it must not be cut, all of it is on layer STOPPED
    and no other layer is there. Raises OSError where the file cannot be written.

    >>> import ezdxf, tempfile
    >>> strut = Tube(name="strut", od=30, wall=2, length=200, end=TubeEnd(kind="saddle", r=20))
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write_dxf(wraps(strut, Title(part="strut"))[0], f"{folder}/strut.dxf")
    ...     ezdxf.readfile(f"{folder}/strut.dxf").units  # 4 is mm
    4
    """
    stops = drawing.title.stops
    with _fixed():
        doc = ezdxf.new("R2010", units=4)  # type: ignore[attr-defined]
        doc.header["$MEASUREMENT"] = 1
        if stops:
            doc.linetypes.add("DASHED", pattern=[3.0, 2.0, -1.0], description="stopped")
            doc.layers.add(STOPPED[0], color=STOPPED[1], linetype="DASHED").dxf.plot = 0
        for name, colour in () if stops else LAYERS.values():
            doc.layers.add(name, color=colour)
        space = doc.modelspace()
        for stroke in drawing.strokes:
            if stroke.layer in LAYERS:
                _put(space, stroke, STOPPED[0] if stops else LAYERS[stroke.layer][0])
        on = {"layer": STOPPED[0] if stops else LAYERS["text"][0]}
        for words in drawing.words:
            put = space.add_text(words.text, height=words.size * 0.72, dxfattribs=on)
            put.set_placement(words.at)
        if stops:
            at, size, turn = across_drawing(drawing)
            space.add_text(ACROSS, height=size * 0.72, rotation=turn, dxfattribs=on).set_placement(at)
        doc.header["$EXTMIN"], doc.header["$EXTMAX"] = extents = _extents(drawing)
        space.reset_extents(*extents)
        for kind in sorted(doc.entitydb.dxf_types_in_use()):
            doc.classes.add_class(kind)
        doc.saveas(Path(path))


def _extents(drawing: Drawing) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """$EXTMIN and $EXTMAX: of what is in the file, words as wide as on paper; a reader may have another type."""
    boxes = [one.bounds for one in drawing.strokes if one.layer in LAYERS] + [one.box for one in drawing.words]
    low_x, low_y, high_x, high_y = zip(*boxes, strict=True)
    return (min(low_x), min(low_y), 0.0), (max(high_x), max(high_y), 0.0)


def _put(space: Any, stroke: Stroke, layer: str) -> None:
    attributes = {"layer": layer}
    round_ = stroke.circle
    if round_ is not None:
        centre, radius = round_
        space.add_circle(centre, radius, dxfattribs=attributes)
        return
    points = [(*s.a, math.tan(s.sweep / 4.0) if isinstance(s, Arc) else 0.0) for s in stroke.segments]
    if not stroke.closed:
        points.append((*stroke.segments[-1].b, 0.0))
    space.add_lwpolyline(points, format="xyb", close=stroke.closed, dxfattribs=attributes)


@contextmanager
def _fixed() -> Iterator[None]:
    """No times and no random numbers in the file."""
    before = ezdxf.options.write_fixed_meta_data_for_testing  # type: ignore[attr-defined]
    ezdxf.options.write_fixed_meta_data_for_testing = True  # type: ignore[attr-defined]
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before  # type: ignore[attr-defined]
