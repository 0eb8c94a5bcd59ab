"""GLB files (binary glTF 2.0), to show a part to others: a node for each body, with its name, material and colour.

glTF has metres with y up, so our z becomes y and our y becomes -z, and its colours are linear (glTF 2.0, Khronos,
"Coordinate System and Units" and "Metallic-Roughness Material", from memory). The same bodies give the same bytes.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

from brackets.core.errors import InputError
from brackets.output.items import Item
from brackets.output.step import Colour

METRES = 0.001
"""Of a mm."""

GREY: Colour = (0.6, 0.6, 0.6)
"""Of a body without a colour, sRGB."""

ROUGHNESS, METALLIC = 0.6, 0.3
"""How the surfaces shine, 0 to 1: bare steel that is not polished, by eye."""

PLACES = 7
"""Decimals of a metre: a ten thousandth of a mm, far under the triangles' own 0.02 mm."""


def write(items: Sequence[Item], path: Path | str, *, title: str) -> None:
    """Write bodies as GLB, a node each under its name.

    items: at least one; path: of the file; title: the name of the scene. Raises InputError where there are none,
    OSError where the file cannot be written.
    """
    if not items:
        raise InputError("items = none, must be one or more: bodies of a GLB file")
    visual: Any = trimesh.visual
    scene: Any = trimesh.Scene(base_frame=title)
    for item in items:
        matrix = np.array(item.place.matrix())
        x, y, z = ((item.mesh.vertices @ matrix[:3, :3].T) + matrix[:3, 3]).T * METRES
        body = trimesh.Trimesh(np.column_stack((x, z, -y)).round(PLACES), item.mesh.faces, process=False)
        body.visual = visual.TextureVisuals(
            material=visual.material.PBRMaterial(
                name=item.material or item.name,
                baseColorFactor=[*map(linear, item.colour or GREY), 1.0],
                metallicFactor=METALLIC,
                roughnessFactor=ROUGHNESS,
            )
        )
        scene.add_geometry(body, node_name=item.name, geom_name=item.name)
    Path(path).write_bytes(scene.export(file_type="glb", include_normals=False))


def linear(value: float) -> float:
    """A share of a colour in sRGB as a share of light (IEC 61966-2-1)."""
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)
