"""The paper that is wrapped round a tube's end to mark its cut, as plain numbers.

Looked at from outside with the tube's body upwards: x to the right round the tube from the seam, y along
the tube from its node into the body, mm on the flat paper. Degrees are the tube's own (from its clock line,
from x towards y round its z), so the wraps of both ends line up on one scribed line; at the far end they
run leftwards.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from brackets.core.errors import InputError
from brackets.model.cope import ENDS, contours, corner_lines, extent
from brackets.model.tube import BentTube, Tube, Which

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

Line = tuple[tuple[float, float], ...]

PAPER = 0.1
"""mm, office paper of 80 g/m2; wrapped, its middle lies half of it outside the tube, 0.31 mm longer all
round."""

OVERLAP = 10.0
"""mm of paper under the seam for glue or tape (common practice, no source)."""

SEAM = 180.0
"""Degrees: opposite the clock line, which then runs up the middle of the paper."""

CHORD = 0.001
"""mm a printed polyline may leave the curve: a tenth of a printer's dot."""

FINEST = 1e-5
"""Degrees: where the curve runs straight up, finer steps than this move nothing on paper."""

FLAT = 1e-6
"""mm: an end that lies this level all round is square."""

HALF_DEGREES = tuple(0.5 * k for k in range(720))

Style = Literal["bevel", "no bevel"]


@dataclass(frozen=True, kw_only=True)
class Wrap:
    """One end's wrap. Lines are polylines of (x, y), mm, from seam to seam.

    `cut` is what is cut: the outer contour (bevel the end afterwards to `lip`), or with style "no bevel"
    the deeper of both contours, square through the wall. `width` once round on paper, `overlap` beyond it.
    `short` and `long` are (degrees, y) of the points of the outer contour nearest to and farthest from the
    middle of the tube. `lip_gap` is how far the inner lip stands over where it fouls, if the outer contour
    is cut square and not bevelled. `turn` is +1 where degrees grow rightwards, -1 where leftwards.
    """

    name: str
    which: Which
    od: float
    wall: float
    paper: float
    overlap: float
    seam: float
    style: Style
    turn: int
    cut: Line
    lip: Line
    short: tuple[float, float]
    long: tuple[float, float]
    lip_gap: float

    @property
    def per_degree(self) -> float:
        """mm of paper round the tube for one degree."""
        return math.radians(self.od / 2 + self.paper / 2)

    @property
    def width(self) -> float:
        return 360.0 * self.per_degree

    def x(self, degrees: float) -> float:
        """Where the line at `degrees` of the tube lies on the paper, 0 to `width`."""
        return (self.turn * (degrees - self.seam)) % 360.0 * self.per_degree


def wrap(
    tube: Tube | BentTube,
    which: Which,
    *,
    paper: float = PAPER,
    overlap: float = OVERLAP,
    seam: float = SEAM,
    style: Style = "bevel",
) -> Wrap:
    """The paper that is wrapped round one end of a tube to mark how it is cut, as plain numbers.

    tube: straight or bent;
    which: its "start" or its "end";
    paper: thickness of the paper, mm, 0 to 2;
    overlap: paper under the seam for glue or tape, mm, 0 to 100;
    seam: where round the tube the seam lies, degrees from the clock line;
    style: "bevel" to cut along the outer contour and bevel to the inner one, "no bevel" to cut the deeper of both
    square
    through the wall.
    Raises InputError where `paper` or `overlap` is outside its limits.

    >>> leg = Run("leg", "38x3", ((0, 0, 0), (0, 0, 200)))
    >>> stay = Run("stay", "25x2", ((0, 0, 100), (100, 0, 100)), start="leg")
    >>> paper = wrap(lay_out(leg, stay).tube("stay"), "start")
    >>> round(paper.width, 2), round(3.14159265 * (25 + 0.1), 2)
    (78.85, 78.85)
    >>> round(paper.short[1], 3), round(paper.long[1], 3), round((19**2 - 12.5**2) ** 0.5, 3)
    (19.0, 14.309, 14.309)
    """
    problems = [
        f"{name} = {value:g} mm, must be 0 to {most:g} mm: {what}"
        for name, value, most, what in (
            ("paper", paper, 2.0, "thickness of the paper of a wrap"),
            ("overlap", overlap, 100.0, "paper under the seam of a wrap"),
        )
        if not 0 <= value <= most
    ]
    if problems:
        raise InputError(*problems)
    outer, inner = tube.od / 2, tube.bore / 2
    turn = 1 if which == "start" else -1
    per_degree = math.radians(outer + paper / 2)

    def line(*walls: float) -> Line:
        """The deepest of the contours on these radii."""

        def heights(runs: Array) -> Array:
            import numpy as np

            deepest: Array = np.max([contours(tube, which, seam + turn * runs, r) for r in walls], axis=0)
            return deepest

        return _polyline(heights, corners(tube, which, seam, turn), per_degree)

    out, lip = line(outer), line(inner)
    cut = line(outer, inner) if style == "no bevel" else out
    short, long = max(out, key=lambda p: p[1]), min(out, key=lambda p: p[1])
    return Wrap(
        name=tube.name,
        which=which,
        od=tube.od,
        wall=tube.wall,
        paper=paper,
        overlap=overlap,
        seam=seam,
        style=style,
        turn=turn,
        cut=cut,
        lip=lip,
        short=((seam + turn * short[0] / per_degree) % 360.0, short[1]),
        long=((seam + turn * long[0] / per_degree) % 360.0, long[1]),
        lip_gap=lip_gap(tube, which),
    )


def lip_gap(tube: Tube | BentTube, which: Which) -> float:
    """How far the inner lip fouls, mm along the tube, where the outer contour is cut square and not
    bevelled."""
    outer, inner = (contours(tube, which, HALF_DEGREES, r) for r in (tube.od / 2, tube.bore / 2))
    return float((inner - outer).max())


def is_square(tube: Tube | BentTube, which: Which) -> bool:
    """Whether an end is cut straight across, which takes a saw and no wrap."""
    cuts = tube.cuts(which)
    if len(cuts) == 1:
        return cuts[0].kind == "square" or (cuts[0].kind == "plane" and cuts[0].angle == 90)
    low, high = extent(tube, which, (tube.od / 2, tube.bore / 2))
    return high - low < FLAT


def corners(tube: Tube | BentTube, which: Which, seam: float, turn: int) -> list[float]:
    """Degrees from the seam, 0 to 360, between which the outer and the inner contour are smooth, or
    nearly."""
    stops = {float(k) for k in range(361)} | {(turn * (t - seam)) % 360.0 for t in corner_lines(tube, which)}
    return sorted(stops)


def _polyline(heights: Callable[[Array], Array], stops: list[float], per_degree: float) -> Line:
    """Halved between the stops until no chord leaves the curve by more than CHORD."""
    import numpy as np

    at = np.array(stops)
    up = heights(at)
    runs, ups = [at], [up]
    a, b, low, high = at[:-1], at[1:], up[:-1], up[1:]
    while len(a):
        middle = (a + b) / 2
        y = heights(middle)
        run = (b - a) * per_degree
        off = np.abs(y - (low + high) / 2) * run > CHORD * np.hypot(high - low, run)
        off &= b - a > FINEST
        a, b, low, high, middle, y = (values[off] for values in (a, b, low, high, middle, y))
        runs.append(middle)
        ups.append(y)
        a, b = np.concatenate([a, middle]), np.concatenate([middle, b])
        low, high = np.concatenate([low, y]), np.concatenate([y, high])
    along, heights_at = np.concatenate(runs), np.concatenate(ups)
    order = np.argsort(along, kind="stable")
    return tuple(zip((along[order] * per_degree).tolist(), heights_at[order].tolist(), strict=True))


@dataclass(frozen=True, kw_only=True)
class Lengths:
    """A tube's lengths, mm: node to node, over both long points (what is sawn off), between both short
    points."""

    node: float
    long: float
    short: float


def lengths(tube: Tube) -> Lengths:
    """The lengths that go on a straight tube's cut list; long and short are of the outer contour."""
    ends = [extent(tube, which, (tube.od / 2,)) for which in ENDS]
    return Lengths(
        node=tube.length,
        long=tube.length - sum(low for low, _ in ends),
        short=tube.length - sum(high for _, high in ends),
    )
