"""A picture without a screen: the same block of bytes the page shows, drawn by VTK off screen.

Several views stand side by side. A section takes away what is on the eye's side and fills what it cuts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules import vtkInteractionStyle, vtkRenderingOpenGL2  # noqa: F401  (registers what draws)
from vtkmodules.vtkCommonDataModel import vtkPlane, vtkPlaneCollection
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

from brackets.app.preview.blocks import unpack
from brackets.app.preview.lettering import Letters, Line, annotate
from brackets.app.preview.shot import AXES, VIEWS, Shot
from brackets.app.preview.vtk_body import DARK, LIGHT, LINES, Ground, VtkBody, strokes
from brackets.core.errors import InputError

FINER = 2
"""Drawn this much larger and shrunk: smooth edges without multisampling, which makes translucent bodies
vanish."""

NEAREST = -1e6
"""Units of depth that bring a line before all metal: VTK knows no line without a depth test."""

Floats = NDArray[np.float64]
ToPaper = Callable[[Floats], Floats]


def write(block: bytes, path: Path, shot: Shot) -> None:
    """The picture as a PNG file. Raises InputError where there is nothing to draw, OSError where it cannot be
    written."""
    header, blobs = unpack(block)
    if not header["items"]:
        raise InputError("bay = empty, must have a keep-out or a part: what is drawn")
    bodies = [VtkBody(item, blobs[item["mesh"]], i, header, shot) for i, item in enumerate(header["items"])]
    as_made = shot.apart == 0 and shot.fold == 1
    bodies = [body for body in bodies if as_made or body.item["what"] != "foul"]
    window = _window(shot.size)
    ground = DARK if shot.dark else LIGHT
    for i, name in enumerate(shot.views):
        plane = None if shot.cut is None else _plane(bodies, shot.cut, name)
        lines, tags = annotate(header, bodies, shot, partial(_kept, plane))
        renderer = _renderer(bodies, plane, lines, ground)
        renderer.SetViewport(i / len(shot.views), 0.0, (i + 1) / len(shot.views), 1.0)
        window.AddRenderer(renderer)
        to_paper, ways = _aim(renderer, bodies, name, shot)
        width = FINER * shot.size[0] / len(shot.views)
        letters = Letters(renderer, ground, (width, FINER * shot.size[1]), FINER)
        letters.tags(tags, to_paper)
        if shot.axes:
            letters.axes(ways)
    window.Render()
    grab = vtkWindowToImageFilter()
    grab.SetInput(window)
    grab.ReadFrontBufferOff()
    shrink = vtkImageResize()
    shrink.SetInputConnection(grab.GetOutputPort())
    shrink.SetOutputDimensions(*shot.size, 1)
    writer = vtkPNGWriter()
    writer.WriteToMemoryOn()
    writer.SetInputConnection(shrink.GetOutputPort())
    writer.Write()
    path.write_bytes(bytes(memoryview(writer.GetResult())))


def _window(size: tuple[int, int]) -> Any:
    """A window nobody sees; through EGL where this build has it, since the plain one asks for a display first."""
    kind = getattr(vtkRenderingOpenGL2, "vtkEGLRenderWindow", vtkRenderWindow)
    window = kind()
    window.SetOffScreenRendering(1)
    window.SetMultiSamples(0)
    window.SetAlphaBitPlanes(1)
    window.SetSize(FINER * size[0], FINER * size[1])
    return window


def _renderer(
    bodies: Sequence[VtkBody], plane: vtkPlane | None, lines: Sequence[Line], ground: Ground
) -> vtkRenderer:
    renderer = vtkRenderer()
    renderer.SetBackground(*ground.back)
    renderer.SetUseDepthPeeling(1)
    renderer.SetMaximumNumberOfPeels(24)
    renderer.SetOcclusionRatio(0.0)
    for body in bodies:
        for actor in _actors(body, plane, ground):
            renderer.AddActor(actor)
    for line in lines:
        renderer.AddActor(_line(line, plane))
    return renderer


def _kept(plane: vtkPlane | None, point: Floats) -> bool:
    """Whether a section leaves a point."""
    return plane is None or float(np.dot(plane.GetNormal(), point - np.array(plane.GetOrigin()))) >= 0


def _line(line: Line, plane: vtkPlane | None) -> vtkActor:
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(strokes(line.segments))
    mapper.SetResolveCoincidentTopologyToPolygonOffset()
    nearer = NEAREST if line.through_metal else -2.0
    mapper.SetRelativeCoincidentTopologyLineOffsetParameters(nearer, nearer)
    strong = line.what in ("gap", "short")
    if plane is not None and not strong:
        mapper.AddClippingPlane(plane)
    made = vtkActor()
    made.SetMapper(mapper)
    made.GetProperty().SetColor(*LINES[line.what])
    made.GetProperty().SetLineWidth((3.0 if strong else 1.6) * FINER)
    made.GetProperty().LightingOff()
    return made


def _plane(bodies: Sequence[VtkBody], cut: tuple[str, float | None], view: str) -> vtkPlane:
    axis = AXES.index(cut[0])
    corners = np.vstack([body.points for body in bodies if body.opacity == 1.0] or [bodies[0].points])
    low, high = float(corners[:, axis].min()), float(corners[:, axis].max())
    at = (low + high) / 2 if cut[1] is None else cut[1]
    if not low < at < high:
        raise InputError(
            f"cut = {cut[0]}={at:g} mm, must be more than {low:.1f} and less than {high:.1f} mm: a section"
        )
    plane = vtkPlane()
    origin, normal = [0.0] * 3, [0.0] * 3
    origin[axis], normal[axis] = float(at), -1.0 if VIEWS[view][axis] >= 0 else 1.0
    plane.SetOrigin(*origin)
    plane.SetNormal(*normal)
    return plane


def _actors(body: VtkBody, plane: vtkPlane | None, ground: Ground) -> list[vtkActor]:
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


def _aim(renderer: vtkRenderer, bodies: Sequence[VtkBody], view: str, shot: Shot) -> tuple[ToPaper, Floats]:
    """Parallel, everything in it with a little air round it. Where a point (3,) float comes to lie, px from the
    bottom left of the view; and how the axes run on the paper, (3, 2) float."""
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
    paper = np.array([right, np.cross(way, right)])
    off = np.abs((corners - middle) @ paper.T).max(axis=0)
    size = np.array([shot.size[0] / len(shot.views), shot.size[1]]) * FINER
    half = max(float(off[1]), float(off[0]) * size[1] / size[0], math.ulp(1.0)) * 1.06
    camera.SetParallelScale(half)
    renderer.ResetCameraClippingRange()

    def to_paper(point: Floats) -> Floats:
        return np.asarray(size / 2 + paper @ (point - middle) / half * size[1] / 2)

    return to_paper, paper.T
