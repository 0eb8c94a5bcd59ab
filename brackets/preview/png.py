"""A picture without a screen: the same block of bytes the page shows, drawn by VTK off screen.

Several views stand side by side. A section takes away what is on the eye's side and fills what it cuts.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules import vtkInteractionStyle, vtkRenderingOpenGL2  # noqa: F401  (registers what draws)
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray
from vtkmodules.vtkCommonCore import vtkPoints
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkPlane, vtkPlaneCollection, vtkPolyData
from vtkmodules.vtkFiltersGeneral import vtkClipClosedSurface
from vtkmodules.vtkImagingCore import vtkImageResize
from vtkmodules.vtkIOImage import vtkPNGWriter
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkPolyDataMapper,
    vtkRenderer,
    vtkRenderWindow,
    vtkWindowToImageFilter,
)

from brackets.preview.payload import Blob, arrays, unpack
from brackets.preview.shading import DARK, LIGHT, Ground, colour_of, opacity_of
from brackets.preview.shot import AXES, VIEWS, Shot

FINER = 2
"""Drawn this much larger and shrunk: smooth edges without multisampling, which makes translucent bodies vanish."""

Floats = NDArray[np.float64]


def write(block: bytes, path: Path, shot: Shot) -> None:
    """The picture as a PNG file. Raises OSError where it cannot be written."""
    with open(path, "ab"):
        pass
    header, blobs = unpack(block)
    bodies = [_Body(item, blobs[item["mesh"]], i, header, shot.apart) for i, item in enumerate(header["items"])]
    bodies = [body for body in bodies if not (shot.apart > 0 and body.item["what"] == "foul")]
    window = _window(shot.size)
    ground = DARK if shot.dark else LIGHT
    for i, name in enumerate(shot.views):
        renderer = _renderer(bodies, name, shot, ground)
        renderer.SetViewport(i / len(shot.views), 0.0, (i + 1) / len(shot.views), 1.0)
        window.AddRenderer(renderer)
        _aim(renderer, bodies, name, shot)
    window.Render()
    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    shrink = vtkImageResize()
    shrink.SetInputConnection(grab.GetOutputPort())
    shrink.SetOutputDimensions(*shot.size, 1)
    writer = vtkPNGWriter()
    writer.SetFileName(str(path))
    writer.SetInputConnection(shrink.GetOutputPort())
    writer.Write()


def _window(size: tuple[int, int]) -> Any:
    """A window nobody sees; through EGL where this build has it, since the plain one asks for a display first."""
    kind = getattr(vtkRenderingOpenGL2, "vtkEGLRenderWindow", vtkRenderWindow)
    window = kind()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetAlphaBitPlanes(1)
    window.SetSize(FINER * size[0], FINER * size[1])
    return window


class _Body:
    """One mesh where it stands in the picture."""

    def __init__(self, item: dict[str, Any], blob: Blob, index: int, header: dict[str, Any], apart: float) -> None:
        self.item = item
        rows = np.array(item["place"], dtype=float).reshape(4, 4).T
        positions, normals, triangles, segments = arrays(blob)
        shift = np.array(pulled(item, header["items"])) * apart
        self.points = positions.astype(float) @ rows[:3, :3].T + rows[:3, 3] + shift
        self.normals = normals.astype(float) @ rows[:3, :3].T
        self.triangles = triangles.astype(np.int64)
        self.segments = segments.astype(float) @ rows[:3, :3].T + rows[:3, 3] + shift
        self.colour = colour_of(item, index, header["about"])
        self.opacity = opacity_of(item)

    def surface(self) -> vtkPolyData:
        made = _poly(self.points)
        made.SetPolys(_cells(self.triangles))
        normals = numpy_to_vtk(self.normals, deep=True)  # type: ignore[no-untyped-call]
        normals.SetName("Normals")
        made.GetPointData().SetNormals(normals)
        return made

    def closed(self) -> vtkPolyData:
        """The same with corners shared between faces, as a cut that fills needs them."""
        corners, back = np.unique(self.points, axis=0, return_inverse=True)
        made = _poly(corners)
        made.SetPolys(_cells(back.reshape(-1)[self.triangles]))
        return made

    def edges(self) -> vtkPolyData:
        made = _poly(self.segments.reshape(-1, 3))
        made.SetLines(_cells(np.arange(2 * len(self.segments)).reshape(-1, 2)))
        return made


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


def _poly(points: Floats) -> vtkPolyData:
    made, at = vtkPolyData(), vtkPoints()
    at.SetData(numpy_to_vtk(np.ascontiguousarray(points), deep=True))  # type: ignore[no-untyped-call]
    made.SetPoints(at)
    return made


def _cells(rows: NDArray[np.int64]) -> vtkCellArray:
    cells = vtkCellArray()
    flat = np.hstack([np.full((len(rows), 1), rows.shape[1], dtype=np.int64), rows]).ravel()
    cells.ImportLegacyFormat(numpy_to_vtkIdTypeArray(flat, deep=True))  # type: ignore[no-untyped-call]
    return cells


def _renderer(bodies: list[_Body], view: str, shot: Shot, ground: Ground) -> vtkRenderer:
    renderer = vtkRenderer()
    renderer.SetBackground(*ground.back)
    renderer.SetUseDepthPeeling(1)
    renderer.SetMaximumNumberOfPeels(24)
    renderer.SetOcclusionRatio(0.0)
    plane = None if shot.cut is None else _plane(bodies, shot.cut, view)
    for body in bodies:
        for actor in _actors(body, plane, ground):
            renderer.AddActor(actor)
    return renderer


def _plane(bodies: list[_Body], cut: tuple[str, float | None], view: str) -> vtkPlane:
    axis = AXES.index(cut[0])
    corners = np.vstack([body.points for body in bodies if body.opacity == 1.0] or [bodies[0].points])
    at = (corners[:, axis].min() + corners[:, axis].max()) / 2 if cut[1] is None else cut[1]
    plane = vtkPlane()
    origin, normal = [0.0] * 3, [0.0] * 3
    origin[axis], normal[axis] = float(at), -1.0 if VIEWS[view][axis] >= 0 else 1.0
    plane.SetOrigin(*origin)
    plane.SetNormal(*normal)
    return plane


def _actors(body: _Body, plane: vtkPlane | None, ground: Ground) -> list[vtkActor]:
    solid = body.opacity == 1.0
    face = vtkPolyDataMapper()
    if plane is not None and solid and body.item["what"] != "foul":
        planes = vtkPlaneCollection()
        planes.AddItem(plane)
        clip = vtkClipClosedSurface()
        clip.SetInputData(body.closed())
        clip.SetClippingPlanes(planes)
        clip.SetGenerateFaces(1)
        face.SetInputConnection(clip.GetOutputPort())
    else:
        face.SetInputData(body.surface())
        if plane is not None:
            face.AddClippingPlane(plane)
    face.ScalarVisibilityOff()
    made = vtkActor()
    made.SetMapper(face)
    look = made.GetProperty()
    look.SetColor(*body.colour)
    look.SetOpacity(body.opacity)
    look.SetAmbient(0.3)
    look.SetDiffuse(0.75)
    if plane is not None:
        look.SetInterpolationToFlat()
    lines = vtkPolyDataMapper()
    lines.SetInputData(body.edges())
    lines.SetRelativeCoincidentTopologyLineOffsetParameters(-1.0, -1.0)
    lines.SetResolveCoincidentTopologyToPolygonOffset()
    if plane is not None:
        lines.AddClippingPlane(plane)
    drawn = vtkActor()
    drawn.SetMapper(lines)
    drawn.GetProperty().SetColor(*(ground.edge if solid else ground.faint))
    drawn.GetProperty().SetLineWidth(1.6 * FINER if solid else 1.0 * FINER)
    drawn.GetProperty().LightingOff()
    return [made, drawn]


def _aim(renderer: vtkRenderer, bodies: list[_Body], view: str, shot: Shot) -> None:
    """Parallel, everything in it with a little air round it."""
    corners = np.vstack([body.points for body in bodies])
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    way = np.array(VIEWS[view]) / np.linalg.norm(VIEWS[view])
    camera = renderer.GetActiveCamera()
    camera.ParallelProjectionOn()
    camera.SetFocalPoint(*middle)
    camera.SetPosition(*(middle + way * 1000.0))
    camera.SetViewUp(0.0, 0.0, 1.0)
    right = np.cross([0.0, 0.0, 1.0], way)
    right /= np.linalg.norm(right)
    up = np.cross(way, right)
    off = corners - middle
    ratio = shot.size[0] / len(shot.views) / shot.size[1]
    half = max(float(np.abs(off @ up).max()), float(np.abs(off @ right).max()) / ratio, math.ulp(1.0))
    camera.SetParallelScale(half * 1.06)
    renderer.ResetCameraClippingRange()
