"""A picture as it is collected: every mesh as bytes, what stands where, its lines and tables."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, assert_never

import numpy as np
from numpy.typing import NDArray

from brackets.app.preview.blocks import Blob
from brackets.app.preview.folding import column_major, hinges
from brackets.app.preview.point_zones import zone_of
from brackets.app.preview.render_mesh import LIVE, RenderMesh, mesh_of_shape
from brackets.core.errors import KernelFailed
from brackets.core.place import HERE, Place
from brackets.core.vectors import Vec
from brackets.kernel.solids import shape_key, unchecked_shape
from brackets.model import mass
from brackets.model.kinds import kind_of
from brackets.model.part import Part
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Folded


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


Fineness = tuple[float, float]

BEYOND = 12.0
"""mm an axis is drawn past what it runs through."""


@dataclass
class Picture:
    """Everything to be shown, as it is collected: items with their meshes, lines, tables; see `header`."""

    fineness: Fineness = LIVE
    items: list[dict[str, Any]] = field(default_factory=list)
    lines: list[dict[str, Any]] = field(default_factory=list)
    marks: list[dict[str, Any]] = field(default_factory=list)
    pairs: list[dict[str, Any]] = field(default_factory=list)
    tables: list[dict[str, Any]] = field(default_factory=list)
    blobs: dict[str, Blob] = field(default_factory=dict)

    def add_piece(self, piece: Piece, *, thing: str, what: str, side: str) -> None:
        """A piece of `thing` (a part, a bolt) where it stands."""
        made, own = _drawn(piece, self.fineness)
        self._add(made, {"thing": thing, "name": piece.name, "what": what, "side": side, **own})

    def add_mesh(self, made: Blob, *, thing: str, name: str, what: str, side: str, place: Place) -> dict[str, Any]:
        """A mesh where it stands; the item may be given more keys."""
        of = {"thing": thing, "name": name, "what": what, "side": side}
        return self._add(made, of | _standing(made, place))

    def _add(self, made: Blob, item: dict[str, Any]) -> dict[str, Any]:
        self.blobs[made.key] = made
        self.items.append(item)
        return item

    def add_part(self, part: Part, *, thing: str, what: str, side: str) -> None:
        """Every piece of a part, and the axes of its seats."""
        for piece in part.pieces:
            self.add_piece(piece, thing=thing, what=what, side=side)
        for seat in part.seats:
            self.add_seat(seat, thing=thing, side=side)

    def add_seat(self, seat: Seat, *, thing: str, side: str) -> None:
        """The axis of a bush, or of a bolt into a boss or the chassis, as a line through it."""
        match seat.kind:
            case "bush":
                what = "bush axis"
            case "boss" | "bolt":
                what = "bolt axis"
            case "face" | "round":
                return
            case _:
                assert_never(seat.kind)
        reach = (seat.d or 20.0) / 2 + BEYOND
        ends = (seat.place.point((0.0, 0.0, -reach)), seat.place.point((0.0, 0.0, reach)))
        self.add_axis(what, f"{seat.name} {what}", ends, thing=thing, side=side)

    def add_axis(self, what: str, name: str, ends: tuple[Vec, Vec], *, thing: str, side: str) -> None:
        """A centre line of a bush or a bolt, mm."""
        self.lines.append(
            {"what": what, "name": name, "thing": thing, "side": side, "ends": [list(end) for end in ends]}
        )

    def add_mark(self, name: str, at: Any, *, thing: str, side: str, kg: float) -> None:
        """A centre of mass."""
        x, y, z = (float(c) for c in at)
        self.marks.append({"name": name, "at": [x, y, z], "thing": thing, "side": side, "kg": kg})

    def shape(self, **more: Any) -> dict[str, Any]:
        """What is drawn, but for the meshes, as JSON takes it."""
        return {"items": self.items, "lines": self.lines, "marks": self.marks, "pairs": self.pairs, **more}

    def header(self, **more: Any) -> dict[str, Any]:
        """Everything but the meshes, as JSON takes it."""
        return {
            **self.shape(),
            "tables": self.tables,
            "moves": None,
            "movers": [],
            "modes": [],
            "bars": [],
            **more,
        }


def at_text(point: Any) -> str:
    """ "12.5, 0.0, -3.1": mm."""
    return ", ".join(f"{float(c) + 0.0:.1f}" for c in point)


def _standing(made: Blob, place: Place) -> dict[str, Any]:
    """A mesh where it stands, as keys of an item; what else is known of a piece is empty."""
    corners = np.frombuffer(made.data, "<f4", 3 * int(made.meta["corners"])).reshape(-1, 3)
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
    return {
        "mesh": made.key,
        "place": column_major(place),
        "centre": list(place.point(tuple(float(c) for c in middle))),  # type: ignore[arg-type]
        "kg": None,
        "kind": "",
        "material": "",
        "hinges": None,
    }


@lru_cache(maxsize=1024)
def _drawn(piece: Piece, fineness: Fineness) -> tuple[Blob, dict[str, Any]]:
    """A piece's mesh and keys of its item: most pieces of a bay are as they were at the step before."""
    try:
        made = _mesh(shape_key(piece), fineness)
    except KernelFailed as failed:
        raise KernelFailed(piece.name, failed.operation, failed.size, failed.reason) from failed
    weight = mass.of(piece)
    return made, _standing(made, piece.place) | {
        "kg": float(weight.kg),
        "centre": [float(c) for c in weight.centroid],
        "kind": kind_of(piece),
        "material": piece.material,
        "hinges": hinges(piece) if isinstance(piece, Folded) else None,
    }


@lru_cache(maxsize=512)
def _mesh(piece: Piece, fineness: Fineness) -> Blob:
    seen = mesh_of_shape(unchecked_shape(piece), deflection=fineness[0], angle=fineness[1])
    if not isinstance(piece, Folded):
        return blob(seen)
    at_home = piece if piece.place == HERE else shape_key(piece)
    assert isinstance(at_home, Folded)
    count = len(seen.positions)
    each = zone_of(at_home, np.vstack([seen.positions, seen.segments.reshape(-1, 3)]))  # edges run along corners
    return blob(seen, corner_zones=each[:count], edge_zones=each[count:])
