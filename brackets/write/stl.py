"""Binary STL files, mm: the triangles alone, each piece closed; no colour, no unit, no time in the file."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np

from brackets.mesh import Mesh, mesh
from brackets.part import Part
from brackets.pieces import Piece

HEADER = b"brackets, binary STL, mm".ljust(80)
"""80 bytes that must not begin with "solid", which marks the text form."""

RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One triangle: 50 bytes."""


def write(thing: Piece | Part | Mesh, path: Path | str, *, tolerance: float = 0.02, angle: float = 0.2) -> None:
    """Write the triangles of `thing` to `path`; tolerance and angle as in `mesh`, unless it is a Mesh.

    The tolerance, a tenth of what a fit-check print is good to, says how fine they are; the angle only keeps the
    smallest holes round.

    Coordinates are 32 bit floats, as the format has it: at 1 m from the origin they are rounded to 0.00003 mm.
    """
    found = thing if isinstance(thing, Mesh) else mesh(thing, tolerance=tolerance, angle=angle)
    Path(path).write_bytes(text(found))


def text(found: Mesh) -> bytes:
    """The whole file."""
    corners = found.corners
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(across, axis=1, keepdims=True)
    rows = np.zeros(len(corners), dtype=RECORD)
    rows["normal"] = np.divide(across, size, out=np.zeros_like(across), where=size > 0)
    rows["corners"] = corners
    return HEADER + struct.pack("<I", len(rows)) + rows.tobytes()
