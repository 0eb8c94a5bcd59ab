"""Write tern_engine.stl, the scan of the demo bay's engine: python recipes/_tern_scan.py [FILE].

A transverse twin of plain solids, invented: crankcase, two barrels, a head, three pads for the bosses on its right
end. mm, in the bay's own axes.
"""

from __future__ import annotations

import sys
from pathlib import Path

import cadquery as cq
import trimesh

Corner = tuple[float, float, float]

TOLERANCE, ANGLE = 0.2, 0.25  # mm and radians, between the facets and what they stand for


def engine() -> cq.Shape:
    """What is scanned, one closed solid."""
    crankcase = box((-490, -145, 150), (-300, 20, 320), "|Y", 18.0)
    head = box((-460, -135, 440), (-340, 35, 540), "|Z", 12.0)
    barrels = [cq.Solid.makeCylinder(46, 130, cq.Vector(-400, y, 315)) for y in (-88, 5)]
    pads = [
        cq.Solid.makeCylinder(15, 10, cq.Vector(x, -150, z), cq.Vector(0, 1, 0))
        for x, z in ((-365, 290), (-435, 290), (-400, 215))
    ]
    return crankcase.fuse(head, *barrels, *pads)


def box(low: Corner, high: Corner, edges: str, r: float) -> cq.Shape:
    """With those edges rounded."""
    x, y, z = (b - a for a, b in zip(low, high, strict=True))
    made = cq.Workplane(cq.Solid.makeBox(x, y, z, cq.Vector(*low))).edges(edges).fillet(r).val()
    assert isinstance(made, cq.Shape)
    return made


def write(path: Path) -> None:
    """As a binary STL."""
    points, triangles = engine().tessellate(TOLERANCE, ANGLE)
    mesh = trimesh.Trimesh([p.toTuple() for p in points], triangles, process=True)
    mesh.export(path, file_type="stl")


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).with_name("tern_engine.stl"))
