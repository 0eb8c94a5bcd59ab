"""What a workshop writes down: holes, readings between them, datum edges; and what is made of it.

mm. A ± is what the reader would bet 19 to 1 on: two sigma (JCGM 100:2008, coverage factor 2). Heights are along the
face's normal, out of the casting.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

COVER = 2.0  # sigmas in a typed or printed ±
How = Literal["centre", "outside", "inside", "step"]
HOWS: tuple[How, ...] = ("centre", "outside", "inside", "step")


@dataclass(frozen=True, kw_only=True)
class MeasuredHole:
    """A hole as found: `d` is what the calliper reads across it, needed when a reading is taken over its edge."""

    name: str
    d: float | None = None
    d_pm: float = 0.1
    thread: str = ""
    depth: float | None = None
    into: str = ""


@dataclass(frozen=True, kw_only=True)
class DatumEdge:
    """A straight datum edge: readings from it give x (an edge along y) or y (an edge along x); `at` is its own."""

    name: str
    axis: Literal["x", "y"]
    at: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One number read off a tool, mm, between two holes, or an edge and a hole.

    between: their names, an edge first; value: what was read; pm: its ±; who: read it. how: "outside" over the far
    edges of both holes, "inside" between the near edges, "centre" between the middles, "step" how much further out
    the second hole's face stands than the first's; from an edge "inside" is to the near side of the hole, "outside"
    to the far side. level: the tool was held square to the faces' normal, so that a difference of height does not
    lengthen the reading.
    """

    between: tuple[str, str]
    value: float
    pm: float = 0.2
    how: How = "centre"
    who: str = ""
    level: bool = False

    @property
    def label(self) -> str:
        """ "T1 T2 outside 128.5", with who read it."""
        who = f" ({self.who})" if self.who else ""
        return f"{self.between[0]} {self.between[1]} {self.how} {self.value:g}{who}"


@dataclass(frozen=True)
class Suspect:
    """Which readings contradict the rest.

    Numbers below the count of readings are readings; the count plus k is the diameter of hole k. `named` are
    contradicted by the rest, nothing else explains that, and they are left out; among the `candidates` are the
    `at_least` that are wrong, and which cannot be told, so that none is left out; nothing else bears on the
    `unchecked`, so that a mistake in one would not show.
    """

    named: tuple[int, ...]
    candidates: tuple[int, ...]
    unchecked: tuple[int, ...]
    guesses: tuple[tuple[str, ...], ...]  # one tuple of sentences for each named
    explained: tuple[tuple[str, ...], ...] = ()  # the same for each candidate, were it the one that is wrong
    at_least: int = 0  # readings that must be wrong; 3: more than two, or the ± are too small

    @property
    def verdict(self) -> Literal["none", "named", "cannot tell"]:
        """ "cannot tell" where a contradiction has several possible causes, or nothing checks some reading."""
        if self.candidates:
            return "cannot tell"
        if self.named:
            return "named"
        return "cannot tell" if self.unchecked else "none"


@dataclass(frozen=True)
class Help:
    """The one further reading that would do most: its two holes, why, and the worst ± before and after."""

    between: tuple[str, str]
    why: Literal["fixes the shape", "settles the mirror image", "narrows the ellipses"]
    before: float
    after: float


@dataclass(frozen=True)
class Survey:
    """Holes placed by least squares.

    `coordinates` (n, 3) float mm: the first hole at the origin, the second along +x, heights in z; with datum
    edges, x and y from the edges. `covariance` (3n, 3n) float mm², order x1 y1 z1 x2 …, of the holes against the
    pattern as a whole (its own shift and turn taken out), for that is what the bolts see. `residuals` (m,) float
    mm, reading less what the coordinates give. Unpacks as coordinates, covariance, residuals, suspect.
    """

    names: tuple[str, ...]
    coordinates: Floats
    covariance: Floats
    residuals: Floats
    suspect: Suspect
    diameters: tuple[float | None, ...]
    redundancy: Floats  # (m,) share of a mistake that shows in its own reading's residual, 0 to 1
    nameable: Floats  # (m,) mm, the smallest mistake that would be named 19 times out of 20; inf: none would
    spare: int  # readings beyond what the shape needs
    misfit: float  # root of chi square over spare readings, 1 is as the ± say; nan without spare readings
    loose: tuple[str, ...]  # holes that the readings do not hold
    mirrors: tuple[tuple[str, ...], ...]  # holes that might as well lie on the other side, one tuple for each image
    handed: bool  # which way round the holes go is known: said, told by datum edges, or no matter for two
    against: tuple[str, ...]  # sentences: other readings that contradict the way round that was said
    help: Help | None

    def __iter__(self) -> Iterator[object]:
        return iter((self.coordinates, self.covariance, self.residuals, self.suspect))

    @property
    def fixed(self) -> bool:
        """Whether the readings fix the shape, but for its mirror image as a whole."""
        return not self.loose and not self.mirrors


@dataclass(frozen=True)
class Ellipse:
    """± of a hole in the plane, two sigma of each axis: half axes in mm, the long one at `angle` degrees from x."""

    long: float
    short: float
    angle: float


def ellipse(covariance: Floats) -> Ellipse:
    """The ± ellipse of a (2, 2) covariance in mm²."""
    values, vectors = np.linalg.eigh(covariance[:2, :2])
    long, short = (COVER * float(np.sqrt(max(v, 0.0))) for v in (values[1], values[0]))
    angle = float(np.degrees(np.arctan2(vectors[1, 1], vectors[0, 1]))) % 180.0
    return Ellipse(long, short, angle)
