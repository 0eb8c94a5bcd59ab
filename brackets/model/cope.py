"""Copes: how far each line along a tube is cut back at its end, and how the end must be cut for what it meets.

Branch axis +z from the node into the tube's body; the tube it meets has its axis along (sin a, 0, cos a)
through (0, offset, 0). phi goes round the branch from x (the acute side, the short point) towards y;
degrees and mm.

Everything is given in one frame; angles of the answer are counted in the tube's own frame (z along the
tube from its start, x the clock line).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, overload

from brackets.core.errors import InputError, OutOfRange
from brackets.core.place import Place
from brackets.core.vectors import Vec, add, cross, dot, length, scale, square_to, sub, unit
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


SQUARE_WITHIN = 1e-9
"""Degrees and mm under which an angle counts as 90 and an offset as 0: rounding of points typed to nine
figures, a millionth of what a saw can do. A solid kernel does better on a clean 90 than on one nearly
so."""

UPRIGHT = 0.9
"""Cosine between tube and z beyond which the clock line is taken from x instead of z."""


@dataclass(frozen=True)
class EndTarget:
    """One cut worked out: the `cut`, and the node's distance `z`, mm, along the tube's own axis."""

    cut: TubeEnd
    z: float


def tube_place(start: Vec, end: Vec, *, up: Vec | None = None) -> Place:
    """The frame of a tube from `start` to `end`: origin at the start, z along it, y as near `up` as can be.

    `up` not given: z of the frame the points are in, or its x for a tube that stands nearly along z. Raises
    InputError where the points are one.
    """
    along = sub(end, start)
    if not length(along) > SQUARE_WITHIN:
        raise InputError(f"end = {end}, must not be the point the tube starts from: a tube between two points")
    if up is None:
        up = (0.0, 0.0, 1.0) if abs(unit(along)[2]) < UPRIGHT else (1.0, 0.0, 0.0)
    return Place(start, along, up)


def end_at(tube: Place, which: Which, *, at: Vec, axis: Vec, main_r: float) -> EndTarget:
    """The saddle of a tube (its frame `tube`) coped to a round tube of outer radius `main_r`.

    `at` is any point of the other tube's axis, `axis` its direction, either way round. At 90 degrees both
    sides are acute alike, and the clock points along `axis`. Raises InputError where the axes are parallel.
    """
    w = _into_body(tube, which)
    main = unit(axis)
    side = cross(w, main)
    if length(side) <= math.sin(math.radians(1e-6)):
        raise InputError(f"axis = {axis}, must not be parallel to the tube: what its {which} is coped to")
    if dot(main, w) < 0 and not _is_square(main, w):
        main = scale(main, -1.0)
    acute = unit(square_to(main, w))
    offset_way = cross(w, acute)
    apart = sub(at, tube.at)
    offset = dot(apart, offset_way)
    # along the tube to the foot of the common perpendicular
    lean = dot(main, w)
    along = dot(apart, w) - lean / dot(main, acute) * dot(apart, acute)
    cut = TubeEnd(
        kind="saddle",
        angle=_angle(lean, dot(main, acute)),
        r=float(main_r),
        offset=0.0 if abs(offset) < SQUARE_WITHIN else offset,
        clock=_clock(tube, acute),
    )
    return EndTarget(cut, along if which == "start" else -along)


def plane_at(tube: Place, which: Which, *, at: Vec, normal: Vec) -> EndTarget:
    """The cut of a tube (its frame `tube`) to the plane through `at` with `normal`, either way round.

    Raises InputError where the tube lies along the plane.
    """
    w = _into_body(tube, which)
    n = unit(normal)
    if dot(n, w) < 0:
        n = scale(n, -1.0)
    if dot(n, w) <= math.sin(math.radians(1e-6)):
        raise InputError(f"normal = {normal}, must not be square to the tube: the plane its {which} is cut to")
    z = dot(sub(at, tube.at), n) / dot(tube.axis, n)
    across = square_to(n, w)
    angle = _angle(length(across), dot(n, w))
    if angle == 90:
        return EndTarget(TubeEnd(kind="plane"), z)
    return EndTarget(TubeEnd(kind="plane", angle=angle, clock=_clock(tube, scale(unit(across), -1.0))), z)


def _into_body(tube: Place, which: Which) -> Vec:
    return tube.axis if which == "start" else scale(tube.axis, -1.0)


def _is_square(main: Vec, w: Vec) -> bool:
    return abs(math.degrees(math.asin(max(-1.0, min(1.0, dot(main, w)))))) < SQUARE_WITHIN


def _angle(lean: float, across: float) -> float:
    angle = math.degrees(math.atan2(across, lean))
    return 90.0 if abs(angle - 90.0) < SQUARE_WITHIN else angle


def _clock(tube: Place, acute: Vec) -> float:
    x, y, _ = tube.local_direction(acute)
    clock = math.degrees(math.atan2(y, x))
    nearest = round(clock)
    if abs(clock - nearest) < SQUARE_WITHIN:
        clock = float(nearest)
    return clock % 360.0


def axis_of(tube: Place, cut: TubeEnd, which: Which, *, node: float) -> tuple[Vec, Vec]:
    """What a saddle's cut was worked out from: a point of the main axis and its direction, in the outer
    frame."""
    w = _into_body(tube, which)
    clock = math.radians(cut.clock)
    acute = tube.direction((math.cos(clock), math.sin(clock), 0.0))
    angle = math.radians(cut.angle)
    at = add(tube.point((0.0, 0.0, node)), scale(w, cut.shift))
    return (
        add(at, scale(cross(w, acute), cut.offset)),
        add(scale(w, math.cos(angle)), scale(acute, math.sin(angle))),
    )
