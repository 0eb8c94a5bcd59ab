"""Binary STL files, mm: the triangles alone, each piece closed; no colour, no unit, no time in the file.

The format has no pieces: a reader joins equal corners, and where two pieces touch with the same corners (a washer
on a plate, round one hole) four triangles would run along one edge, so that nobody can tell which two belong
together. Corners that two pieces share are therefore drawn APART into their own piece. Every edge is then run along
by two triangles, and a reader that splits the file into bodies finds the pieces. One that joins corners farther
apart than that, to mend holes, joins the pieces again: give it one piece, or the STEP file.
"""

from __future__ import annotations

import struct
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from brackets.kernel.mesh import Mesh, Points, mesh, together
from brackets.model.part import Part
from brackets.model.piece import Piece

HEADER = b"brackets, binary STL, mm".ljust(80)
"""80 bytes that must not begin with "solid", which marks the text form."""

RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One triangle: 50 bytes."""


APART = 0.005
"""mm: a quarter of the tolerance of the mesh, and 80 times what 32 bit floats round to at 1 m from the origin."""

NOTHING = 1e-12
"""mm below which a normal has no direction."""

TRIES = 4
"""How often corners that are still shared are drawn in again."""


def write(thing: Piece | Part | Mesh, path: Path | str, *, tolerance: float = 0.02, angle: float = 0.2) -> None:
    """Write the triangles of a piece, a part or a mesh as binary STL, mm; each piece is closed.

    thing: what is meshed, or a Mesh, which is written as it is; path: of the file; tolerance: mm within which the
    triangles lie, a tenth of what a fit-check print is good to; angle: radians between neighbouring triangles,
    which only keeps the smallest holes round. Coordinates are 32 bit floats, as the format has it: at 1 m from the
    origin they are rounded to 0.00003 mm. Raises KernelFailed where the kernel refuses, OSError where the file
    cannot be written.

    >>> import pathlib, tempfile
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write_stl(plate(rectangle(20, 10), 5), f"{folder}/block.stl")
    ...     pathlib.Path(folder, "block.stl").stat().st_size  # a head of 84 bytes and 12 triangles of 50
    684
    """
    if isinstance(thing, Part):
        found = together(drawn_apart([mesh(piece, tolerance=tolerance, angle=angle) for piece in thing.pieces]))
    else:
        found = thing if isinstance(thing, Mesh) else mesh(thing, tolerance=tolerance, angle=angle)
    Path(path).write_bytes(text(found))


def drawn_apart(meshes: Sequence[Mesh]) -> list[Mesh]:
    """The meshes with every corner that two of them share moved APART into its own; the others as they are."""
    left = list(meshes)
    for attempt in range(TRIES):
        shared = _shared([one.vertices for one in left])
        if not any(rows.any() for rows in shared):
            break
        for i, rows in enumerate(shared):
            if rows.any():
                left[i] = _drawn_in(left[i], rows)
                if attempt:  # both went the same way: move one of them only
                    break
    return left


def _shared(points: Sequence[Points]) -> list[NDArray[np.bool_]]:
    """Which corners of each mesh are, as 32 bit floats, a corner of another one too."""
    if not points:
        return []
    all_points = np.vstack(points).astype("<f4") + np.float32(0.0)
    owner = np.repeat(np.arange(len(points)), [len(p) for p in points])
    _, which = np.unique(all_points, axis=0, return_inverse=True)
    which = which.ravel()
    owners = np.unique(np.column_stack((which, owner)), axis=0)
    many = np.bincount(owners[:, 0], minlength=which.max(initial=-1) + 1) > 1
    return np.split(many[which], np.cumsum([len(p) for p in points])[:-1])


def _drawn_in(one: Mesh, rows: NDArray[np.bool_]) -> Mesh:
    """The mesh with these corners moved APART against the mean normal of the triangles round them."""
    corners = one.corners
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), NOTHING)
    mean = np.zeros_like(one.vertices)
    for k in range(3):  # each triangle counts by its angle at the corner, however finely its face is cut up
        a, b = (corners[:, (k + j) % 3] - corners[:, k] for j in (1, 2))
        turn = np.arctan2(np.linalg.norm(np.cross(a, b), axis=1), np.einsum("ij,ij->i", a, b))
        np.add.at(mean, one.faces[:, k], normals * turn[:, None])
    size = np.linalg.norm(mean, axis=1, keepdims=True)
    moved = np.array(one.vertices)
    moved[rows] -= (APART * mean / np.maximum(size, NOTHING))[rows]
    moved.flags.writeable = False
    return Mesh(moved, one.faces, one.deflection + APART)


def text(found: Mesh) -> bytes:
    """The whole file."""
    corners = found.corners
    across = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(across, axis=1, keepdims=True)
    rows = np.zeros(len(corners), dtype=RECORD)
    rows["normal"] = np.divide(across, size, out=np.zeros_like(across), where=size > 0)
    rows["corners"] = corners
    return HEADER + struct.pack("<I", len(rows)) + rows.tobytes()
