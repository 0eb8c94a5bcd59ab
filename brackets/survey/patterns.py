"""Bolt patterns of a part seen square to their face, and how their holes will be made.

Plan view along the bolts, x and y in the plane of the face, mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from brackets.core.place import Place
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import choice, count, mm, number
from brackets.core.tables.bolt_rows import bolt
from brackets.core.vectors import Vec, cross, dot, scale, sub, unit
from brackets.model.holes import Hole, Slot
from brackets.model.part import Part
from brackets.model.plate import Folded, Plate
from brackets.survey.assembly_fit import Opening
from brackets.survey.assembly_fit import Slot as Slotted
from brackets.survey.chance import METHODS, HoleErrors, Pull

ALIKE = 0.999  # cosine between two bolts' directions that are taken as one face: 2.6 degrees
SAME = 0.5  # mm: a plate's hole and a boss seat this near are one hole
CLASSES = ("fine", "medium", "coarse")


@dataclass(frozen=True)
class Group:
    """Bolts that go in together: x, y and bolt diameter of each, the hole or slot for each, and how they are held.

    A slot's x and y are its middle's.

    `apart`: the holes are in pieces welded together, not in one plate, so that each weld pulls its own.
    `pos`: ± mm of each boss, None where nothing is known of it.
    """

    name: str
    names: tuple[str, ...]
    pattern: tuple[tuple[float, float, float], ...]
    holes: tuple[Opening, ...]
    bolts: tuple[str, ...]
    apart: bool
    pos: tuple[float, ...] | None = None

    @property
    def classes(self) -> dict[str, tuple[float, ...]]:
        """Hole diameters of each class (ISO 273, or the table's source for inch bolts)."""
        rows = [bolt(b) for b in self.bolts]
        return {c: tuple(getattr(row, f"hole_{c}") for row in rows) for c in CLASSES}


def groups(part: Part) -> tuple[Group, ...]:
    """The boss seats of a part by face, else every plate's bolt holes; groups of one bolt are left out."""
    found = [*_bosses(part)] or [*_plates(part)]
    return tuple(g for g in found if len(g.names) > 1)


def _bosses(part: Part) -> Iterable[Group]:
    left = [s for s in part.seats if s.kind == "boss" and s.d is not None and s.bolt is not None]
    while left:
        first = left[0]
        here = [s for s in left if dot(s.place.axis, first.place.axis) > ALIKE]
        left = [s for s in left if s not in here]
        flat = _flat([s.place.at for s in here], first.place)
        yield Group(
            name=part.name,
            names=tuple(s.name for s in here),
            pattern=tuple((x, y, bolt(str(s.bolt)).d) for (x, y), s in zip(flat, here, strict=True)),
            holes=tuple(float(s.d or 0.0) for s in here),
            bolts=tuple(str(s.bolt) for s in here),
            apart=not _in_one_plate(part, [s.place.at for s in here]),
        )


def _plates(part: Part) -> Iterable[Group]:
    for piece in part.pieces:
        if isinstance(piece, Plate | Folded):
            here = [h for h in _holes(piece) if h.bolt is not None and not (isinstance(h, Hole) and h.use.reamed)]
            yield Group(
                name=f"{part.name}: {piece.name}",
                names=tuple(h.name or str(k) for k, h in enumerate(here, start=1)),
                pattern=tuple((*_middle(h), bolt(str(h.bolt)).d) for h in here),
                holes=tuple(_opening(h) for h in here),
                bolts=tuple(str(h.bolt) for h in here),
                apart=False,
            )


def _holes(piece: Plate | Folded) -> list[Hole | Slot]:
    """Of a plate, or of the base of a folded one: those of its lips go by other bolts."""
    openings = piece.wall.openings if isinstance(piece, Plate) else piece.base.openings
    return [h for h in openings if isinstance(h, Hole | Slot)]


def _middle(h: Hole | Slot) -> tuple[float, float]:
    return h.at if isinstance(h, Hole) else ((h.a[0] + h.b[0]) / 2, (h.a[1] + h.b[1]) / 2)


def _opening(h: Hole | Slot) -> Opening:
    if isinstance(h, Hole):
        return h.d
    angle = math.degrees(math.atan2(h.b[1] - h.a[1], h.b[0] - h.a[0]))
    return Slotted(d=h.d, extra=h.range, angle=angle)


def _in_one_plate(part: Part, points: Sequence[Vec]) -> bool:
    """Whether one plate has a hole over every point, seen along the plate's own z."""
    for piece in part.pieces:
        if isinstance(piece, Plate):
            inverse = piece.place.inverse()
            there = [inverse.point(p) for p in points]
            holes = _holes(piece)
            if all(any(math.dist(p[:2], _middle(h)) < SAME for h in holes) for p in there):
                return True
    return False


def _flat(points: Sequence[Vec], place: Place) -> list[tuple[float, float]]:
    """Points in the plane square to the place's axis, x along its own x, from the first."""
    up = sub(place.up, scale(place.axis, dot(place.up, place.axis)))
    y = unit(up)
    x = cross(y, place.axis)
    return [(dot(sub(p, points[0]), x), dot(sub(p, points[0]), y)) for p in points]


NAMES = tuple(m.name for m in METHODS)
COVER = 2.0  # sigmas in a ±, as everywhere readings are typed


@dataclass(frozen=True, kw_only=True)
class Settings(Checked):
    method: Annotated[str, choice(NAMES, "how the holes are made")] = "punched"
    drill: Annotated[float | None, mm(0, 5, "scatter of a hole, one sigma per axis; none for the method's")] = None
    mate: Annotated[float, mm(0, 5, "the same of what it is bolted to, beside the survey")] = 0.0
    scale_error: Annotated[float, number(-5, 5, "template too large by this, per cent")] = 0.0
    scale_pm: Annotated[float, number(0, 5, "± of the template's scale, per cent")] = 0.2
    survey: Annotated[float | None, mm(0, 20, "± of each boss; none for what the bay file says")] = None
    fillets: Annotated[
        int | None, count(0, 8, "fillets that pull each hole; none: 1 where holes are welded on")
    ] = None
    trials: Annotated[int, count(100, 200000, "trials")] = 4000
    seed: Annotated[int, count(0, 10**9, "start of the random numbers")] = 0

    def errors(self, group: Group) -> HoleErrors:
        """What goes wrong with this group of holes."""
        sigma = next(m.sigma for m in METHODS if m.name == self.method)
        n = len(group.names)
        pos = (self.survey,) * n if self.survey is not None else group.pos
        fillets = self.fillets if self.fillets is not None else int(group.apart)
        return HoleErrors(
            drill=sigma if self.drill is None else self.drill,
            mate=self.mate,
            scale=self.scale_error / 100.0,
            scale_pm=self.scale_pm / 100.0,
            survey=None if pos is None else np.diag(np.repeat((np.array(pos) / COVER) ** 2, 2)),
            pulls=tuple(Pull(hole=k, fillets=fillets) for k in range(n)) if fillets else (),
        )
