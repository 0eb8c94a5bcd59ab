"""A mock-up: the bodies to be printed as they lie on the bed, on as few beds as shelves make of them; mm, kg."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Literal

import numpy as np
from manifold3d import Manifold

from brackets.core.finding import Finding, worst_first
from brackets.core.vectors import Vec
from brackets.forming.printer_3d import Printer3D
from brackets.kernel.mesh import Mesh
from brackets.mockups.as_printed import Growth
from brackets.mockups.engrave import Written
from brackets.mockups.joints import Joint

BETWEEN = 5.0
"""mm between bodies on a bed: common practice, no source."""

Kind = Literal["body", "pin", "plug", "dummy", "gauge", "test"]


@dataclass(frozen=True, eq=False, kw_only=True)
class Printed:
    """One body to be printed, `count` times.

    solid: as it lies on the bed, scaled for the printer, its corner at the origin; part: whose it is; pieces: what
    of the part is in it; marks: what it is marked beside its joints; written: the words sunk into it; support,
    contact: air under its overhangs, mm3, and area on the bed, mm2; home: where it belongs in the part, before
    scaling.
    """

    name: str
    kind: Kind
    solid: Manifold
    home: Manifold
    part: str
    pieces: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()
    written: tuple[Written, ...] = ()
    support: float = 0.0
    contact: float = 0.0
    count: int = 1

    @property
    def size(self) -> Vec:
        """Along the bed's x, y and z, mm."""
        box = self.solid.bounding_box()
        return tuple(float(box[i + 3] - box[i]) for i in range(3))  # type: ignore[return-value]

    @property
    def volume(self) -> float:
        """mm3, as it is printed."""
        return float(self.solid.volume())

    @cached_property
    def mesh(self) -> Mesh:
        """Its triangles as it lies on the bed."""
        return mesh_of(self.solid)

    def plastic(self, printer: Printer3D) -> float:
        """An estimate of the plastic in it, mm3: lines round its outside, and its inside filled in part."""
        skin = min(self.volume, float(self.solid.surface_area()) * printer.lines * printer.nozzle)
        return skin + printer.fill * (self.volume - skin)


@dataclass(frozen=True)
class Laid:
    """A body on a bed: where its corner lies, from the bed's own corner, mm."""

    body: Printed
    at: tuple[float, float]


@dataclass(frozen=True, eq=False, kw_only=True)
class MockUp:
    """What is printed of a part or a bay.

    name: what its files are called; printer: what it is for; bodies: each once, with how often it is printed;
    joints: the cuts, by the body they are of; grown: walls that are thicker than the part's, by part; findings:
    what is to be said of it.
    """

    name: str
    printer: Printer3D
    bodies: tuple[Printed, ...]
    joints: tuple[tuple[str, Joint], ...] = ()
    grown: tuple[tuple[str, Growth], ...] = ()
    findings: tuple[Finding, ...] = ()

    @cached_property
    def beds(self) -> tuple[tuple[Laid, ...], ...]:
        """The bodies on beds."""
        return packed(self.bodies, self.printer)

    @property
    def plastic(self) -> float:
        """mm3 of plastic, an estimate without supports."""
        return math.fsum(body.count * body.plastic(self.printer) for body in self.bodies)

    @property
    def kg(self) -> float:
        """Of plastic: an estimate without supports."""
        return self.plastic * 1e-9 * self.printer.density

    @property
    def metres(self) -> float:
        """Of filament: an estimate without supports."""
        return self.plastic / (math.pi / 4 * self.printer.filament**2) / 1000

    def with_stops_of(self, findings: Iterable[Finding]) -> MockUp:
        """The same, with what stops the steel part it stands for among its findings: the fit of such a part can be
        checked, and its steel is not to be cut."""
        return replace(self, findings=worst_first([*(f for f in findings if f.stops), *self.findings]))

    def record(self, files: Iterable[str] = ()) -> dict[str, Any]:
        """For scripts: bodies, beds, joints, growth, estimate, findings, files."""
        return {
            "format": 1,
            "mock_up": self.name,
            "bed_mm": list(self.printer.bed),
            "scale": list(self.printer.scale),
            "bodies": [_body(body, self.printer) for body in self.bodies],
            "beds": [
                [{"body": one.body.name, "at_mm": [float(c) for c in one.at]} for one in bed] for bed in self.beds
            ],
            "joints": [_joint(of, joint) for of, joint in self.joints],
            "grown": [
                {"part": of, "piece": g.piece, "t_mm": g.t, "printed_mm": g.printed, "outwards_mm": g.outwards}
                for of, g in self.grown
            ],
            "estimate": {"filament_m": self.metres, "plastic_kg": self.kg, "supports": "not counted"},
            "findings": [finding.record for finding in self.findings],
            "files": list(files),
        }


def mesh_of(solid: Manifold) -> Mesh:
    """The triangles of a body."""
    found = solid.to_mesh64()
    points = np.array(found.vert_properties, dtype=float)[:, :3]
    faces = np.array(found.tri_verts, dtype=np.int64)
    return Mesh(points, faces, 0.0)


def packed(bodies: Sequence[Printed], printer: Printer3D) -> tuple[tuple[Laid, ...], ...]:
    """Bodies on beds: rectangles on shelves, the deepest first, BETWEEN them as much as round a hand."""
    wide, deep, _ = printer.room
    each = sorted(
        (body for body in bodies for _ in range(body.count)), key=lambda b: (-b.size[1], -b.size[0], b.name)
    )
    beds: list[list[Laid]] = []
    shelves: list[list[tuple[float, float, float]]] = []  # of each bed: (x that is free, y, depth)
    for body in each:
        x, y, _ = body.size
        found = next(
            ((bed, at) for bed, rows in zip(beds, shelves, strict=True) if (at := _spot(rows, x, y, wide, deep))),
            None,
        )
        if found is None:
            beds.append([])
            shelves.append([(x + BETWEEN, 0.0, y)])
            found = beds[-1], (0.0, 0.0)
        bed, at = found
        bed.append(Laid(body, (at[0] + printer.edge, at[1] + printer.edge)))
    return tuple(tuple(bed) for bed in beds)


def _spot(
    rows: list[tuple[float, float, float]], x: float, y: float, wide: float, deep: float
) -> tuple[float, float] | None:
    """Where a rectangle finds room on the shelves of a bed, which are changed; None for nowhere."""
    for i, (free, at, tall) in enumerate(rows):
        if y <= tall + 1e-9 and free + x <= wide + 1e-9:
            rows[i] = (free + x + BETWEEN, at, tall)
            return free, at
    top = max((at + tall + BETWEEN for _, at, tall in rows), default=0.0)
    if top + y <= deep + 1e-9 and x <= wide + 1e-9:
        rows.append((x + BETWEEN, top, y))
        return 0.0, top
    return None


def _body(body: Printed, printer: Printer3D) -> dict[str, Any]:
    plastic: Mapping[str, float] = {"plastic_kg_estimate": body.plastic(printer) * 1e-9 * printer.density}
    return {
        "name": body.name,
        "kind": body.kind,
        "part": body.part,
        "pieces": list(body.pieces),
        "count": body.count,
        "size_mm": list(body.size),
        "volume_mm3": body.volume,
        "support_mm3": body.support,
        "contact_mm2": body.contact,
        "marks": list(body.marks),
        "words": [{"lines": list(w.lines), "height_mm": w.height} for w in body.written],
        **plastic,
    }


def _joint(of: str, joint: Joint) -> dict[str, Any]:
    return {
        "body": of,
        "joint": joint.name,
        "normal": list(joint.normal),
        "offset_mm": joint.offset,
        "pins": [
            {"d_mm": p.d, "drawn_mm": p.drawn, "socket_mm": p.socket, "length_mm": p.length, "at_mm": list(p.at)}
            for p in joint.pins
        ],
        "plugs": [{"width_mm": p.width, "length_mm": p.length, "at_mm": list(p.at)} for p in joint.plugs],
    }
