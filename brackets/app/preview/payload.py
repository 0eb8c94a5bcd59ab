"""One block of bytes that holds a picture: figures as JSON, then the meshes as plain arrays.

u32 length of the JSON, the JSON (padded with spaces to four bytes), then for each mesh float32 positions, int8
normals (four a corner), uint32 triangles, float32 segments, and uint8 zones (padded) where a piece folds.
Little-endian throughout. The live page, the saved page and the picture read the same bytes.
"""

from __future__ import annotations

import hashlib
import json
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brackets.app.preview.render_mesh import RenderMesh

FORMAT = 1


@dataclass(frozen=True)
class Blob:
    """A mesh as bytes, with the counts that say where its arrays begin. `key` names its content."""

    key: str
    meta: Mapping[str, Any]
    data: bytes


def blob(
    mesh: RenderMesh, *, corner_zones: NDArray[np.uint8] | None = None, edge_zones: NDArray[np.uint8] | None = None
) -> Blob:
    """The mesh as bytes; equal meshes have equal keys."""
    normals = np.zeros((len(mesh.normals), 4), dtype=np.int8)
    normals[:, :3] = np.rint(mesh.normals * 127)
    zones = b"" if corner_zones is None or edge_zones is None else corner_zones.tobytes() + edge_zones.tobytes()
    data = b"".join(
        (
            mesh.positions.astype("<f4").tobytes(),
            normals.tobytes(),
            mesh.triples.astype("<u4").tobytes(),
            mesh.segments.astype("<f4").tobytes(),
            zones + b"\0" * (-len(zones) % 4),
        )
    )
    meta = {
        "corners": len(mesh.positions),
        "triangles": len(mesh.triples),
        "segments": len(mesh.segments),
        "zoned": corner_zones is not None,
        "bytes": len(data),
        "faces": [list(face) for face in mesh.faces],
        "runs": [list(run) for run in mesh.runs],
    }
    key = hashlib.sha256(json.dumps(meta, sort_keys=True).encode() + data).hexdigest()[:20]
    return Blob(key, meta, data)


def pack(header: Mapping[str, Any], blobs: Mapping[str, Blob]) -> bytes:
    """Header and meshes in one block; the header says under "meshes" which are in it, in order."""
    whole = {**header, "format": FORMAT, "meshes": [{"key": b.key, **b.meta} for b in blobs.values()]}
    text = json.dumps(whole, separators=(",", ":"), allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    return b"".join((struct.pack("<I", len(text)), text, *(b.data for b in blobs.values())))


def unpack(packed: bytes) -> tuple[dict[str, Any], dict[str, Blob]]:
    """Header and meshes of a block that `pack` made."""
    (size,) = struct.unpack_from("<I", packed)
    header: dict[str, Any] = json.loads(packed[4 : 4 + size])
    blobs, at = {}, 4 + size
    for row in header.pop("meshes"):
        meta = {key: value for key, value in row.items() if key != "key"}
        blobs[row["key"]] = Blob(row["key"], meta, packed[at : at + meta["bytes"]])
        at += meta["bytes"]
    return header, blobs


def zones(one: Blob) -> tuple[NDArray[np.uint8], NDArray[np.uint8]] | None:
    """The zone of every corner (n,) and of both ends of every segment (2 k,); None where a piece does not fold."""
    if not one.meta["zoned"]:
        return None
    n, m, k = (int(one.meta[word]) for word in ("corners", "triangles", "segments"))
    start = 16 * n + 12 * m + 24 * k
    return np.frombuffer(one.data, "u1", n, start), np.frombuffer(one.data, "u1", 2 * k, start + n)


def arrays(one: Blob) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.uint32], NDArray[np.float32]]:
    """positions (n, 3), normals (n, 3), triangles (m, 3) and segments (k, 2, 3) of a mesh."""
    n, m, k = (int(one.meta[word]) for word in ("corners", "triangles", "segments"))
    at = [0, 12 * n, 16 * n, 16 * n + 12 * m]
    normals = np.frombuffer(one.data, "<i1", 4 * n, at[1]).reshape(-1, 4)[:, :3] / np.float32(127)
    return (
        np.frombuffer(one.data, "<f4", 3 * n, at[0]).reshape(-1, 3),
        normals.astype(np.float32),
        np.frombuffer(one.data, "<u4", 3 * m, at[2]).reshape(-1, 3),
        np.frombuffer(one.data, "<f4", 6 * k, at[3]).reshape(-1, 2, 3),
    )
