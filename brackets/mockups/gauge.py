"""The engine's boss faces as a printed gauge: a plate with a hole over each boss and a pad that reaches down to
it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brackets.core.place import Place
from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import hole
from brackets.core.vectors import Vec, cross, dot, length, unit
from brackets.geometry.shapes import round_hull
from brackets.model.holes import Hole
from brackets.model.part import Part
from brackets.model.plate import Plate, Wall
from brackets.model.tube import Step, Turned

PLATE = 5.0
"""mm of the gauge's plate: printed, stiff enough to be held by hand."""

RIM = 6.0
"""mm of plate round each hole."""

SAME_WAY = math.cos(math.radians(0.5))
"""Cosine of the angle within which two bosses look the same way: one plate can lie on both."""


@dataclass(frozen=True)
class Face:
    """A boss's face: its middle, the way out of the casting, and its thread."""

    name: str
    at: Vec
    normal: Vec
    thread: str


def gauges(faces: Sequence[Face], *, material: str = "S235") -> tuple[Part, ...]:
    """A part for each way that bosses look: a plate over the highest of them, and a pad down to each lower one.

    faces: of the bosses, mm, in the bay; material: what the record names, which nobody prints. A single boss makes
    none: its gauge would tell nothing.
    """
    return tuple(
        _gauge(group, f"gauge_{number}", material)
        for number, group in enumerate(_groups(faces), 1)
        if len(group) > 1
    )


def _groups(faces: Sequence[Face]) -> Iterator[list[Face]]:
    left = list(faces)
    while left:
        first = left[0]
        mine = [face for face in left if dot(unit(face.normal), unit(first.normal)) >= SAME_WAY]
        left = [face for face in left if face not in mine]
        yield mine


def _gauge(faces: Sequence[Face], name: str, material: str) -> Part:
    way = unit(faces[0].normal)
    across: Vec = (1.0, 0.0, 0.0) if abs(way[0]) < 0.9 else (0.0, 1.0, 0.0)
    side = cross(way, across)
    up = tuple(c / length(side) for c in side)
    high = max(dot(face.at, way) for face in faces)
    base = Place((way[0] * high, way[1] * high, way[2] * high), way, (up[0], up[1], up[2]))
    holes, pads = [], []
    for face in faces:
        x, y, _ = base.local(face.at)
        d = hole(face.thread, "medium")
        low = high - dot(face.at, way)
        holes.append(Hole(at=(x, y), d=d, kind="boss", bolt=face.thread, name=face.name))
        if low > 1e-6:
            steps = (Step(length=low, od=d + 2 * RIM, bore=d),)
            pads.append(
                Turned(name=f"pad {face.name}", place=base @ Place((x, y, -low)), material=material, steps=steps)
            )
    reach = max(bolt(face.thread).washer_od for face in faces) / 2 + RIM
    outline = round_hull([(*one.at, max(reach, one.d / 2 + RIM)) for one in holes])
    plate = Plate(
        name="plate", place=base, material=material, t=PLATE, wall=Wall(outline=outline, openings=tuple(holes))
    )
    return Part(name=name, pieces=(plate, *pads))
