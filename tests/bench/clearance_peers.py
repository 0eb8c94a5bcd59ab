"""What the clearance engine is measured beside: the solid kernel pruned by boxes, and two tree managers of others.

The kernel answers what `gaps` is asked: of every part the nearest obstacle, and every obstacle nearer than wanted,
each with one distance, 0 where they foul; and with its cut what they share where they foul. The managers get our
own triangles and give one distance a part. mm.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import cadquery as cq
import fcl
import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps

from brackets import clearance


def pruned_kernel(
    parts: Sequence[cq.Shape], obstacles: Sequence[cq.Shape], wanted: float
) -> list[dict[int, float]]:
    """Of each part the kernel's distances, nearest box first, while a box may be the least or less than wanted."""
    boxes = [_box(shape) for shape in obstacles]
    found = []
    for part in parts:
        low, high = _box(part)
        apart = [float(np.linalg.norm(np.maximum(np.maximum(b[0] - high, low - b[1]), 0.0))) for b in boxes]
        near: dict[int, float] = {}
        for j in np.argsort(apart, kind="stable").tolist():
            if apart[j] > max(wanted, min(near.values(), default=np.inf)):
                break
            near[j] = BRepExtrema_DistShapeShape(part.wrapped, obstacles[j].wrapped).Value()
        found.append(near)
    return found


MEET = 1e-6
"""mm: a distance of the kernel that is none."""


def kernel_cuts(
    parts: Sequence[cq.Shape], obstacles: Sequence[cq.Shape], found: Sequence[dict[int, float]]
) -> dict[tuple[int, int], tuple[float, np.ndarray]]:
    """Of each pair that `pruned_kernel` found no distance for: what the kernel's cut says they share, mm3, and the
    middle of it."""
    shared = {}
    for i, near in enumerate(found):
        for j in (j for j, value in near.items() if value <= MEET):
            sums = GProp_GProps()
            BRepGProp.VolumeProperties_s(
                BRepAlgoAPI_Common(parts[i].wrapped, obstacles[j].wrapped).Shape(), sums
            )
            shared[i, j] = sums.Mass(), np.array(sums.CentreOfMass().Coord())
    return shared


def _box(shape: cq.Shape) -> np.ndarray:
    box = Bnd_Box()
    BRepBndLib.Add_s(shape.wrapped, box, False)
    return np.array(box.Get()).reshape(2, 3)


Nearest = Callable[[], list[float]]
"""Of each part the distance of the nearest obstacle's triangles."""


def fcl_manager(parts: Sequence[clearance.Body], obstacles: Sequence[clearance.Body]) -> Nearest:
    """The manager of python-fcl, its trees made; a question sorts the obstacles and asks part by part."""
    ones, others = ([_fcl_object(body) for body in bodies] for bodies in (parts, obstacles))

    def ask() -> list[float]:
        manager, found = fcl.DynamicAABBTreeCollisionManager(), []
        manager.registerObjects(others)
        manager.setup()
        for one in ones:
            data = fcl.DistanceData(fcl.DistanceRequest(True))
            manager.distance(one, data, fcl.defaultDistanceCallback)
            found.append(max(0.0, float(data.result.min_distance)))
        return found

    return ask


def _fcl_object(body: clearance.Body) -> Any:
    mesh, model = body.core.mesh, fcl.BVHModel()
    model.beginModel(len(mesh.triples), len(mesh.corners))
    model.addSubModel(mesh.corners, mesh.triples)
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform(body.place.turn, body.place.move))


def coal_manager(parts: Sequence[clearance.Body], obstacles: Sequence[clearance.Body]) -> Nearest | None:
    """The same of coal (BSD; `pip install coal`, 390 MB with what it brings; no dependency, used by nothing else);
    None where it is not there."""
    try:
        import coal
    except ImportError:
        return None

    def made(body: clearance.Body) -> Any:
        mesh, model = body.core.mesh, coal.BVHModelOBBRSS()
        corners, triples = coal.StdVec_Vec3s(), coal.StdVec_Triangle()
        corners.extend(list(mesh.corners))
        triples.extend([coal.Triangle(*map(int, three)) for three in mesh.triples])
        model.beginModel(len(mesh.triples), len(mesh.corners))
        model.addSubModel(corners, triples)
        model.endModel()
        return coal.CollisionObject(model, body.place.turn, body.place.move)

    ones, others = ([made(body) for body in bodies] for bodies in (parts, obstacles))

    def ask() -> list[float]:
        manager, found = coal.DynamicAABBTreeCollisionManager(), []
        for other in others:
            manager.registerObject(other)
        manager.setup()
        for one in ones:
            asked = coal.DistanceCallBackDefault()
            manager.distance(one, asked)
            found.append(max(0.0, float(asked.data.result.min_distance)))
        return found

    return ask
