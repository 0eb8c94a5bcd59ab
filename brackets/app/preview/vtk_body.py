"""One mesh placed in a picture drawn by VTK: exploded, folded as far as asked, in its colours. mm."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPolyData

from brackets.app.preview.blocks import Blob
from brackets.app.preview.folding import Hinged
from brackets.app.preview.scene import arrays, zones
from brackets.app.preview.shot import Shot

Colour = tuple[float, float, float]
"""sRGB, 0 to 1."""


def _of(figure: int) -> Colour:
    return (figure >> 16 & 255) / 255, (figure >> 8 & 255) / 255, (figure & 255) / 255


@dataclass(frozen=True)
class Ground:
    """What everything stands on: the ground, the edges of metal and of keep-outs; paper and ink of words."""

    back: Colour
    edge: Colour
    faint: Colour
    paper: Colour
    tones: Mapping[str, Colour]


LIGHT = Ground(
    back=_of(0xF5F3EE),
    edge=_of(0x2B2D30),
    faint=_of(0x8B8778),
    paper=_of(0xFFFDF8),
    tones={"quiet": _of(0x3C4146), "good": _of(0x1D5C42), "bad": _of(0xA81717)},
)
DARK = Ground(
    back=_of(0x191B1D),
    edge=_of(0x0C0D0E),
    faint=_of(0x7D8183),
    paper=_of(0x212426),
    tones={"quiet": _of(0xC9C9C6), "good": _of(0x8FCBB3), "bad": _of(0xFF8A80)},
)
AXIS = {"x": _of(0xB03A2E), "y": _of(0x2F8D45), "z": _of(0x3D7FD0)}
LINES = {
    "bend": _of(0xB3470B),
    "bush axis": _of(0x2D6FA8),
    "bolt axis": _of(0x2F7D5D),
    "gap": _of(0x2F7D5D),
    "short": _of(0xD21F1F),
    **AXIS,
}
PIECES = tuple(map(_of, (0x6F8EA3, 0xB58A5A, 0x7F9A6E, 0x9A7FA0, 0xA3756C, 0x5F8F8C, 0x9C9460, 0x7A82AD)))
SIDES = {"chassis": _of(0x6F8EA3), "powertrain": _of(0xB58A5A)}
BOUGHT = {"bush": _of(0x45474A), "sleeve": _of(0xB9BDBF), "end": _of(0xB9BDBF),
          "bolt": _of(0x8D9194), "foul": _of(0xD21F1F)}
KEEP_OUT = {"chassis": _of(0x7E8F86), "powertrain": _of(0x9A8A78)}


def colour_of(item: Mapping[str, Any], index: int, about: str) -> Colour:
    """The colour of a thing by what it is; pieces of a lone part take turns."""
    what, side = item["what"], item["side"]
    if what == "keep-out":
        return KEEP_OUT[side]
    if what != "part":
        return BOUGHT.get(what, BOUGHT["bolt"])
    return PIECES[index % len(PIECES)] if about == "recipe" else SIDES.get(side, PIECES[0])


def opacity_of(item: Mapping[str, Any]) -> float:
    """Keep-outs are seen through; a scan is not, since only its shading tells its shape."""
    return 0.16 if item["what"] == "keep-out" and "scan" not in item else 1.0


Floats = NDArray[np.float64]


class VtkBody:
    """Points, edges and bend lines of an item of the header, in the axes of the picture."""

    def __init__(self, item: dict[str, Any], blob: Blob, index: int, header: dict[str, Any], shot: Shot) -> None:
        self.item = item
        rows = np.array(item["place"], dtype=float).reshape(4, 4).T
        shift = np.array(pulled(item, header["items"])) * shot.apart
        positions, normals, triangles, segments = (array.astype(float) for array in arrays(blob))
        bends = np.zeros((0, 2, 3))
        of = zones(blob)
        if of is not None and item["hinges"]:
            hinged = Hinged(item["hinges"], shot.fold)
            positions, normals = hinged.moved(positions, of[0], normals)
            ends = segments.reshape(-1, 3)
            segments = hinged.moved(ends, of[1], np.zeros_like(ends))[0].reshape(-1, 2, 3)
            bends = hinged.lines()

        def stood(points: Floats) -> Floats:
            return np.asarray(points @ rows[:3, :3].T + rows[:3, 3] + shift)

        self.points, self.normals = stood(positions), normals @ rows[:3, :3].T
        self.segments, self.bends = stood(segments), stood(bends)
        self.triangles = triangles.astype(np.int64)
        self.colour = colour_of(item, index, header["about"])
        self.opacity = opacity_of(item)

    def surface(self) -> vtkPolyData:
        made = poly(self.points)
        made.SetPolys(cells(self.triangles))
        normals = numpy_to_vtk(self.normals, deep=True)  # type: ignore[no-untyped-call]
        normals.SetName("Normals")
        made.GetPointData().SetNormals(normals)
        return made

    def closed(self) -> vtkPolyData:
        """The same with corners shared between faces, as a cut that fills needs them."""
        corners, back = np.unique(self.points, axis=0, return_inverse=True)
        made = poly(corners)
        made.SetPolys(cells(back.reshape(-1)[self.triangles]))
        return made

    def edges(self) -> vtkPolyData:
        return strokes(self.segments)


def pulled(item: dict[str, Any], items: list[dict[str, Any]]) -> Floats:
    """mm: how far a piece is pulled out of its weldment at full pull, away from the heaviest, as in the page."""
    group = [one for one in items if one["thing"] == item["thing"]]
    if item["what"] in ("keep-out", "foul") or len(group) < 2:
        return np.zeros(3)
    stays = max(group, key=lambda one: float(one["kg"]))
    if item["name"] == stays["name"]:
        return np.zeros(3)
    middle = np.array(stays["centre"])
    size = max(10.0, *(float(np.linalg.norm(np.array(one["centre"]) - middle)) for one in group))
    way = np.array(item["centre"]) - middle
    far = float(np.linalg.norm(way))
    if far > 0.12 * size:
        return np.asarray(way / far * (far * 0.9 + 0.35 * size))
    odd = [one["name"] for one in group].index(item["name"]) % 2
    return np.array(item["place"][8:11]) * (-1.5 if odd else 1.5) * size


def strokes(segments: Floats) -> vtkPolyData:
    """Lines from segments (k, 2, 3) float."""
    made = poly(segments.reshape(-1, 3))
    made.SetLines(cells(np.arange(2 * len(segments)).reshape(-1, 2)))
    return made


def poly(points: Floats) -> vtkPolyData:
    made, at = vtkPolyData(), vtkPoints()
    at.SetData(numpy_to_vtk(np.ascontiguousarray(points), deep=True))  # type: ignore[no-untyped-call]
    made.SetPoints(at)
    return made


def cells(rows: NDArray[np.int64]) -> vtkCellArray:
    made = vtkCellArray()
    flat = np.hstack([np.full((len(rows), 1), rows.shape[1], dtype=np.int64), rows]).ravel()
    made.ImportLegacyFormat(numpy_to_vtkIdTypeArray(flat, deep=True))  # type: ignore[no-untyped-call]
    return made
