"""How far each line along a tube is cut back at its end: the closed form of a cope.

Branch axis +z from the node into the tube's body; the tube it meets has its axis along (sin a, 0, cos a)
through (0, offset, 0). phi goes round the branch from x (the acute side, the short point) towards y;
degrees and mm.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, overload

from brackets.core.errors import InputError, OutOfRange
from brackets.model.tube import BentTube, Tube, TubeEnd, Which

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

SHARPEST_SADDLE = 15.0
"""Degrees: below it a cope is longer than four diameters and no torch reaches its heel (common practice, no
source)."""

SHARPEST_PLANE = 5.0
"""Degrees: a mitre sharper than this is a feather edge (common practice, no source)."""

ENDS: tuple[Which, Which] = ("start", "end")

ROUND = tuple(float(degree) for degree in range(360))
"""Every degree round a tube: between two of them a contour moves by a few hundredths of a mm."""


@overload
def end_curve(phi: float, *, branch_r: float, main_r: float, angle: float, offset: float = 0.0) -> float: ...
@overload
def end_curve(
    phi: ArrayLike, *, branch_r: float, main_r: float, angle: float, offset: float = 0.0
) -> NDArray[np.float64]: ...
def end_curve(
    phi: ArrayLike, *, branch_r: float, main_r: float, angle: float, offset: float = 0.0
) -> float | NDArray[np.float64]:
    """Cope of a tube: distance z from the node to the tube's end, mm, along the line at `phi` round the tube.

    phi: degrees round the branch from the acute side (the short point), one number or an array; an array gives an
    array of its shape. branch_r: mm, the radius that line lies on (outer for what is cut, inner for the lip);
    main_r: mm, outer radius of the tube it is coped to, 0 for a plane; angle: degrees between the axes, over 0 to
    90; offset: mm that the main axis passes to the side, towards phi = 90.

    Where the branch overhangs the main tube, its end lies on the plane of the main axis and the offset
    (half-intersection rule), so that the curve has no step. Raises InputError for a value outside these limits. Own
    derivation; checked in the tests against the edges of a solid kernel's cut.

    >>> [round(end_curve(phi, branch_r=12, main_r=20, angle=90), 3) for phi in (0, 90)]  # 90: root of 20² - 12²
    [20.0, 16.0]
    """
    problems = []
    if not 0 < branch_r < math.inf:
        problems.append(f"branch_r = {branch_r:g} mm, must be above 0: radius of the coped tube")
    if not 0 <= main_r < math.inf:
        problems.append(f"main_r = {main_r:g} mm, must be 0 (a plane) or more: tube it is coped to")
    if not 0 < angle <= 90:
        problems.append(f"angle = {angle:g} deg, must be above 0, to 90: angle between the axes")
    if not math.isfinite(offset):
        problems.append(f"offset = {offset:g} mm, must be a finite number: distance between the axes")
    if problems:
        raise InputError(*problems)
    if isinstance(phi, int | float):
        return _line(math.radians(phi), branch_r, main_r, angle, offset)
    import numpy as np

    return _lines(np.asarray(phi, dtype=np.float64), branch_r, main_r, angle, offset)


def leaning(angle: float) -> float:
    """Cotangent of `angle` degrees, exactly 0 at 90."""
    return 0.0 if angle == 90 else 1.0 / math.tan(math.radians(angle))


def _line(turn: float, branch_r: float, main_r: float, angle: float, offset: float) -> float:
    under = max(0.0, main_r**2 - (branch_r * math.sin(turn) - offset) ** 2)
    return branch_r * math.cos(turn) * leaning(angle) + math.sqrt(under) / math.sin(math.radians(angle))


def _lines(
    phi: NDArray[np.float64], branch_r: float, main_r: float, angle: float, offset: float
) -> NDArray[np.float64]:
    import numpy as np

    turn = np.radians(phi)
    under = np.maximum(0.0, main_r**2 - (branch_r * np.sin(turn) - offset) ** 2)
    found: NDArray[np.float64] = branch_r * np.cos(turn) * leaning(angle)
    return found + np.sqrt(under) / math.sin(math.radians(angle))


def phi_of(cut: TubeEnd, which: Which, theta: float) -> float:
    """Degrees from the cut's acute side to the line at `theta`, degrees round the tube's z from x towards
    y."""
    return theta - cut.clock if which == "start" else cut.clock - theta


def contour(tube: Tube | BentTube, which: Which, theta: float, r: float) -> float:
    """Distance, mm, from the node to the finished end along the line at `theta`, degrees of the tube's own, on
    radius `r`: the deepest of its cuts."""
    return max(cut_back(cut, which, theta, r) for cut in tube.cuts(which))


def contours(tube: Tube | BentTube, which: Which, thetas: ArrayLike, r: float) -> NDArray[np.float64]:
    """The same along many lines at once, (n,) for (n,)."""
    import numpy as np

    turned = np.asarray(thetas, dtype=np.float64)
    found = []
    for cut in tube.cuts(which):
        if cut.kind == "square":
            found.append(np.full(turned.shape, cut.shift))
            continue
        main_r, offset = _met(cut)
        phi = turned - cut.clock if which == "start" else cut.clock - turned
        found.append(cut.shift + _lines(phi, r, main_r, cut.angle, offset))
    deepest: NDArray[np.float64] = np.max(found, axis=0)
    return deepest


def cut_back(cut: TubeEnd, which: Which, theta: float, r: float) -> float:
    """Distance, mm, from the tube's node into its body where one cut meets the line at `theta` on radius
    `r`."""
    if cut.kind == "square":
        return cut.shift
    main_r, offset = _met(cut)
    return cut.shift + _line(math.radians(phi_of(cut, which, theta)), r, main_r, cut.angle, offset)


def _met(cut: TubeEnd) -> tuple[float, float]:
    """Radius and offset of what the end meets; a plane has none."""
    return (cut.r, cut.offset) if cut.kind == "saddle" else (0.0, 0.0)


def overhangs(cut: TubeEnd, r: float) -> tuple[float, ...]:
    """Degrees from the acute side where a line on radius `r` leaves or meets the main tube: the curve's corners."""
    if cut.kind != "saddle":
        return ()
    lies = [
        math.degrees(math.asin(side / r)) for side in (cut.offset - cut.r, cut.offset + cut.r) if abs(side) <= r
    ]
    return tuple(phi for one in lies for phi in (one, 180.0 - one))


def extent(tube: Tube | BentTube, which: Which, walls: tuple[float, ...]) -> tuple[float, float]:
    """Least and most distance, mm, from the node to the finished end on the radii `walls`.

    Looked up every degree and at every corner, where it may jump by more than a mm within a degree.
    """
    lines = (*ROUND, *corner_lines(tube, which))
    heights = [contours(tube, which, lines, r) for r in walls]
    return min(float(h.min()) for h in heights), max(float(h.max()) for h in heights)


def points(tube: Tube | BentTube, which: Which) -> tuple[float, float]:
    """Degrees of the tube where the outer contour of an end has its short point and its long point, to a tenth."""
    lines = (*ROUND, *corner_lines(tube, which))
    found = []
    for best in (max, min):
        rough = best(zip(contours(tube, which, lines, tube.od / 2).tolist(), lines, strict=True))[1]
        near = (rough, *(round(rough) + 0.1 * k for k in range(-10, 11)))
        found.append(best(zip(contours(tube, which, near, tube.od / 2).tolist(), near, strict=True))[1] % 360.0)
    return found[0], found[1]


def corner_lines(tube: Tube | BentTube, which: Which) -> tuple[float, ...]:
    """Degrees of the tube's own where the outer or the inner contour of an end has a corner."""
    sense = 1.0 if which == "start" else -1.0
    return tuple(
        cut.clock + sense * phi
        for cut in tube.cuts(which)
        for r in (tube.od / 2, tube.bore / 2)
        for phi in overhangs(cut, r)
    )


def check_tube(tube: Tube) -> None:
    """Refuses a tube that cannot be made (InputError): sizes, angles, or two ends that cut each other
    away."""
    problems = size_problems(tube.od, tube.wall)
    if not 0 < tube.length < math.inf:
        problems.append(f"length = {tube.length:g} mm, must be above 0: tube from node to node")
    for which in ENDS:
        for cut in tube.cuts(which):
            problems += cut_problems(cut, which)
    if problems:
        raise InputError(*problems)
    lines = (*ROUND, *(theta for which in ENDS for theta in corner_lines(tube, which)))
    left = min(
        tube.length - float((contours(tube, "start", lines, r) + contours(tube, "end", lines, r)).max())
        for r in (tube.od / 2, tube.bore / 2)
    )
    if left <= 0:
        raise OutOfRange(
            f"length = {tube.length:g} mm, must be more than {tube.length - left:.4g} mm: node to node; the cuts "
            "of its two ends meet"
        )


def size_problems(od: float, wall: float) -> list[str]:
    """What is wrong with a tube's diameter and wall."""
    if not 0 < od < math.inf:
        return [f"od = {od:g} mm, must be above 0: outer diameter of a tube"]
    if not 0 < wall < od / 2:
        return [f"wall = {wall:g} mm, must be above 0 and under {od / 2:g} mm: wall of a tube of od {od:g}"]
    return []


def cut_problems(cut: TubeEnd, which: Which) -> list[str]:
    """What is wrong with one cut of an end."""
    if cut.kind == "square":
        return []
    problems = []
    sharpest = SHARPEST_SADDLE if cut.kind == "saddle" else SHARPEST_PLANE
    if not sharpest <= cut.angle <= 90:
        problems.append(f"{which} angle = {cut.angle:g} deg, must be {sharpest:g} to 90: to what it meets")
    if cut.kind == "saddle":
        if not 0 < cut.r < math.inf:
            problems.append(f"{which} r = {cut.r:g} mm, must be above 0: radius of the tube it is coped to")
        elif not abs(cut.offset) <= cut.r:
            problems.append(
                f"{which} offset = {cut.offset:g} mm, must be {-cut.r:g} to {cut.r:g}: beyond it less than "
                "half of the tube lands on the one it is coped to"
            )
    return problems
