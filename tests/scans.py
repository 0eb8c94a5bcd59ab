"""Random closed meshes that are then broken, for the tests of scans: boxes, balls, unions of both, with noise."""

from __future__ import annotations

import random
from dataclasses import dataclass

import numpy as np
import trimesh
from scipy.spatial import cKDTree


@dataclass(frozen=True)
class Broken:
    """A whole mesh, the same with triangles removed or turned over, and the middles of those removed (n, 3)."""

    whole: trimesh.Trimesh
    corners: np.ndarray
    faces: np.ndarray
    gone: np.ndarray


def whole(rng: random.Random) -> trimesh.Trimesh:
    """A closed mesh 60 to some 500 mm across, triangles facing outwards."""
    kind = rng.choice(("box", "fine box", "ball", "union"))
    size = rng.uniform(60, 400)
    if kind == "ball":
        made = trimesh.creation.icosphere(subdivisions=rng.choice((2, 3)), radius=size / 2)
    else:
        made = trimesh.creation.box([size * rng.uniform(0.5, 1.0) for _ in range(3)])
    if kind == "union":
        ball = trimesh.creation.icosphere(subdivisions=3, radius=size / 3)
        ball.apply_translation([size * rng.uniform(-0.4, 0.4) for _ in range(3)])
        made = trimesh.boolean.union([made, ball], engine="manifold")
    if kind != "box":
        made = made.subdivide_to_size(size / rng.choice((6, 10)))
        made.merge_vertices()
        noise = np.random.default_rng(rng.randrange(1 << 30)).normal(0, size * 0.001, made.vertices.shape)
        made = trimesh.Trimesh(made.vertices + noise, made.faces, process=False)
    return made


def broken(rng: random.Random) -> Broken:
    """1 to 20 triangles removed, or turned over, or both; at most a quarter of them all."""
    made = whole(rng)
    count = rng.randint(1, min(20, max(1, len(made.faces) // 4)))
    if rng.random() < 0.5:  # a patch of neighbours, one large hole
        middle = made.triangles_center[rng.randrange(len(made.faces))]
        chosen = np.atleast_1d(cKDTree(made.triangles_center).query(middle, count)[1])
    else:
        chosen = np.array(rng.sample(range(len(made.faces)), count))
    how = rng.choice(("removed", "turned", "both"))
    faces = np.array(made.faces)
    out = chosen[: {"removed": count, "turned": 0, "both": count // 2}[how]]
    turned = chosen[len(out) :]
    faces[turned] = faces[turned][:, ::-1]
    kept = np.setdiff1d(np.arange(len(faces)), out)
    return Broken(made, np.array(made.vertices), faces[kept], made.triangles_center[out])
