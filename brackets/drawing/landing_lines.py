"""The outlines that other pieces leave on a blank: what stands where, to be marked before anything is tacked.

mm of the blank, seen on the face that is up; what stands on the other face is drawn dashed, as seen through it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from brackets.core.place import HERE, Place
from brackets.drawing.record import Stroke, Table
from brackets.geometry.curve import Outline
from brackets.geometry.regions import Region
from brackets.geometry.segments import JOIN, Arc, Bounds, Line, Point
from brackets.model.fold_tree import tree
from brackets.model.landing import OnPlate
from brackets.model.plate import Folded, Plate
from brackets.model.weld import Face

SQUARE = 1e-6
"""Cosine of a corner that is one of a rectangle."""

FACES = {"high": "this face", "low": "other face"}
"""What the drawing calls the faces of a plate."""

COLUMNS = ("what", "on", "x from", "to", "y from", "to", "shape", "measured")

TABLE = "What stands on it, mm from the left and the lower edge"


@dataclass(frozen=True)
class Landing:
    """One footprint on a blank: where it lies and how it is named."""

    name: str
    face: Face
    region: Region

    def moved(self, at: Place) -> Landing:
        """The same where `at` puts the frame it is in; at is turned, never mirrored."""

        def there(p: Point) -> Point:
            return at.point((*p, 0.0))[:2]

        holes = tuple(hole.map(there) for hole in self.region.holes)
        return replace(self, region=Region(self.region.outer.map(there), holes))

    @property
    def text(self) -> str:
        """The label: name, face, and how far its nearest sides lie from the left and the lower edge."""
        x, y, _, _ = self.region.outer.bounds
        return f"{self.name}, {FACES[self.face]}, x {_mm(x)} y {_mm(y)}"

    def about(self, blank: Bounds) -> Point:
        """The point of its outline for the label to name: the nearest to a side of the blank."""
        spots = [edge.point(share) for edge in self.region.outer.segments for share in (0.0, 0.25, 0.5, 0.75)]
        return min(spots, key=lambda p: min(abs(p[i % 2] - blank[i]) for i in range(4)))

    def strokes(self) -> Iterator[Stroke]:
        for ring in (self.region.outer, *self.region.holes):
            yield Stroke.of("mark" if self.face == "high" else "mark_other", ring)

    def cells(self) -> tuple[str, ...]:
        return (self.name, FACES[self.face], *sides(self.region), shape_words(self.region), "")


def landings(found: Sequence[OnPlate], wall_at: Callable[[int], Place]) -> tuple[Landing, ...]:
    """The footprints on the blank; `wall_at` is where the frame of a wall lies on the drawing."""
    return tuple(Landing(one.name, one.face, one.region).moved(wall_at(one.wall)) for one in found)


def on_blank(piece: Folded | Plate, found: Sequence[OnPlate]) -> tuple[Landing, ...]:
    """The footprints in the frame of the piece's blank."""
    walls = tree(piece).walls if isinstance(piece, Folded) else ()
    return landings(found, lambda number: walls[number].flat if walls else HERE)


def landing_table(found: Sequence[Landing]) -> Iterator[Table]:
    """What stands on it and where; nothing where nothing does."""
    if found:
        yield Table(TABLE, COLUMNS, tuple(one.cells() for one in found))


def landing_notes(found: Sequence[Landing]) -> Iterator[str]:
    """How the lines are read."""
    if found:
        yield "Outlines with a name: there the piece of that name stands. Scribe them before you tack."
    if any(one.face == "low" for one in found):
        yield "Dashed outlines: the piece stands on the other face, seen through this one."


def _mm(value: float) -> str:
    """As a person writes it: a hundredth at most, and 0 never with a minus."""
    return f"{value:z.2f}".rstrip("0").rstrip(".")


def sides(region: Region) -> tuple[str, str, str, str]:
    """How far it reaches, for a table: x from, to, y from, to."""
    x0, y0, x1, y1 = region.outer.bounds
    return f"{x0:z.2f}", f"{x1:z.2f}", f"{y0:z.2f}", f"{y1:z.2f}"


def shape_words(region: Region) -> str:
    """What it is: a rectangle and how it is turned, a ring, or how far it reaches."""
    x0, y0, x1, y1 = region.outer.bounds
    middle = f"middle {(x0 + x1) / 2:z.2f}, {(y0 + y1) / 2:z.2f}"
    d = _diameter(region.outer)
    if d is not None:
        bores = [_diameter(hole) for hole in region.holes]
        inside = "".join(f", inside Ø{bore:.4g}" for bore in bores if bore is not None)
        return f"Ø{d:.4g}{inside}, {middle}"
    long = _rectangle(region.outer)
    if long is None:
        return f"as drawn, {middle}"
    short = min(side.length for side in region.outer.segments)
    turn = math.degrees(math.atan2(long.b[1] - long.a[1], long.b[0] - long.a[0])) % 180.0
    size = f"{long.length:.4g} x {short:.4g}"
    if min(turn % 90.0, 90.0 - turn % 90.0) < 1e-4:
        return size
    return f"{size} at {turn:.1f}°, {middle}"


def _rectangle(outline: Outline) -> Line | None:
    """The longest side of an outline that is a rectangle."""
    sides = outline.segments
    if len(sides) != 4 or not all(isinstance(side, Line) for side in sides):
        return None
    ways = [side.tangent(0.5) for side in sides]
    if any(abs(a[0] * b[0] + a[1] * b[1]) > SQUARE for a, b in zip(ways, (*ways[1:], ways[0]), strict=True)):
        return None
    longest = max(sides, key=lambda side: side.length)
    return longest if isinstance(longest, Line) else None


def _diameter(outline: Outline) -> float | None:
    """Of a whole circle."""
    arcs = [edge for edge in outline.segments if isinstance(edge, Arc)]
    if len(arcs) != len(outline.segments):
        return None
    if any(math.dist(arc.centre, arcs[0].centre) > JOIN or abs(arc.radius - arcs[0].radius) > JOIN for arc in arcs):
        return None
    return 2 * arcs[0].radius
