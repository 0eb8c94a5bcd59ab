"""One block of bytes that holds a picture: figures as JSON, then the meshes as plain arrays.

u32 length of the JSON, the JSON (padded with spaces to four bytes), then for each mesh float32 positions, int8
normals (four a corner), uint32 triangles, float32 segments, and uint8 zones (padded) where a piece folds.
Little-endian throughout. The live page, the saved page and the picture read the same bytes. The server packs them
without the solid kernel, which takes seconds and hundreds of megabytes to load.
"""

from __future__ import annotations

import json
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

FORMAT = 1


@dataclass(frozen=True)
class Blob:
    """A mesh as bytes, with the counts that say where its arrays begin. `key` names its content."""

    key: str
    meta: Mapping[str, Any]
    data: bytes


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


def table(key: str, title: str, columns: str, rows: list[dict[str, Any]], note: str = "") -> dict[str, Any]:
    """A table of the page: `columns` parted by bars, those of figures begin with ">"."""
    heads = [{"name": c.strip().lstrip(">"), "right": c.strip().startswith(">")} for c in columns.split("|")]
    return {"key": key, "title": title, "columns": heads, "rows": rows, "note": note}


def row(
    cells: tuple[str, ...], *, things: tuple[str, ...] = (), level: str = "", pair: int | None = None
) -> dict[str, Any]:
    """A row: its texts, the names of the things it speaks of, how bad it is, and the gap it belongs to."""
    return {"cells": list(cells), "things": list(things), "level": level, "pair": pair}
