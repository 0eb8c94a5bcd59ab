"""What a bend takes out of the flat: allowance, setback, and the web of a joggle.

Angles are what the metal is turned by (0 is flat); mm. K is where the unstretched layer lies, from the inside
face, as a fraction of the thickness.
"""

from __future__ import annotations

import math
from typing import Literal

from brackets.core.errors import InputError, OutOfRange

SHARPEST_FORMULA = 0.05011872336272722
"""r/t at which the k of DIN 6935 reaches 0 (10 to the -1.3): below it the formula says nothing."""

Measured = Literal["outside", "inside", "tangent"]
"""outside: to the outer apex, or past 90 degrees to the outermost face; inside: to the inner apex, or past 90
degrees to the innermost face; tangent: to where the bend ends."""


def din_k(inside_radius: float, thickness: float) -> float:
    """The K-factor of DIN 6935: half of k = 0.65 + 0.5 lg(r/t), k at most 1.

    Raises InputError where the radius is too sharp for the formula (k would be negative).
    """
    ratio = inside_radius / thickness
    if not ratio > SHARPEST_FORMULA:
        raise OutOfRange(
            f"inside_radius = {inside_radius:g} mm, must be over {SHARPEST_FORMULA * thickness:.4g} mm "
            f"at t {thickness:g} mm: DIN 6935 says nothing sharper; give K from a bent strip"
        )
    return min(0.65 + 0.5 * math.log10(ratio), 1.0) / 2


def bend_allowance(angle: float, inside_radius: float, thickness: float, k: float | None = None) -> float:
    """Bend allowance: length of flat plate that a bend takes up between its tangent lines, mm.

    angle: degrees the metal is turned, -180 to 180 (both ways take the same); inside_radius: mm, 0 or more;
    thickness: mm, over 0; k: K-factor, 0 to 1, None for that of DIN 6935.

    DIN 6935 leaves bends under 15 degrees out of account (v = 0), which would make the blank jump by about 0.2 t at
    15 degrees: here the arc counts at every angle. Raises InputError for a value outside these limits, and without
    k for a radius too sharp for the formula.

    >>> round(bend_allowance(90, 3, 2, 0.42), 3)  # a quarter turn on a radius of 3 + 0.42 * 2
    6.032
    """
    problems = _bend_problems(angle, inside_radius, thickness)
    if k is not None and not 0 <= k <= 1:
        problems.append(f"k = {k:g}, must be 0 to 1: K-factor, unstretched layer from the inside face over t")
    if problems:
        raise InputError(*problems)
    factor = din_k(inside_radius, thickness) if k is None else k
    return math.radians(abs(angle)) * (inside_radius + factor * thickness)


def k_of_allowance(allowance: float, angle: float, inside_radius: float, thickness: float) -> float:
    """K-factor of a strip that was bent and measured.

    allowance: its bend allowance, mm (flat length less both straights); angle: degrees it was bent, not 0;
    inside_radius, thickness: mm. Raises InputError for a value outside its limits, and where K would not be 0 to 1.

    >>> round(k_of_allowance(6.032, 90, 3, 2), 2)  # the inverse of bend_allowance
    0.42
    """
    problems = _bend_problems(angle, inside_radius, thickness)
    if not problems and angle == 0:
        problems.append("angle = 0 deg, must not be 0: a bent strip")
    if problems:
        raise InputError(*problems)
    turn = math.radians(abs(angle))
    k = (allowance / turn - inside_radius) / thickness
    if not 0 <= k <= 1:
        least, most = turn * inside_radius, turn * (inside_radius + thickness)
        raise OutOfRange(
            f"allowance = {allowance:g} mm, must be {least:.4g} to {most:.4g} mm "
            f"for {abs(angle):g} deg, r {inside_radius:g}, t {thickness:g}: a measured bend allowance"
        )
    return k


def setback(angle: float, inside_radius: float, thickness: float, measured: Measured = "outside") -> float:
    """Setback: from the point that a length is measured to, back to the tangent line of the bend, mm.

    angle: degrees of the bend; inside_radius, thickness: mm; measured: "outside", "inside" or "tangent", what the
    length is measured to. Up to 90 degrees that is the apex of the outer faces (radius r + t) or the inner faces
    (radius r); past 90 degrees, as DIN 6935 has it, the outermost (innermost) tangent square to the wall, which is
    r + t (r) away. "tangent" gives 0. Raises InputError for an angle outside -180 to 180, a radius under 0 and a
    thickness that is not over 0.

    >>> round(setback(90, 3, 2), 3), round(setback(90, 3, 2, "inside"), 3)
    (5.0, 3.0)
    """
    if problems := _bend_problems(angle, inside_radius, thickness):
        raise InputError(*problems)
    if measured == "tangent":
        return 0.0
    reach = inside_radius + (thickness if measured == "outside" else 0.0)
    return reach * math.tan(math.radians(min(abs(angle), 90.0)) / 2)


def deduction(angle: float, inside_radius: float, thickness: float, k: float | None = None) -> float:
    """Bend deduction: what to take from the sum of both outside lengths to get the flat, mm.

    It is v of DIN 6935 with its sign turned: twice the outside setback less the bend allowance. angle,
    inside_radius, thickness (degrees, mm, mm) and k as for `bend_allowance`, which says what is refused.

    >>> 50 + 50 - round(deduction(90, 3, 2, 0.42), 3)  # flat of an angle 50 by 50: two straights of 45 and the arc
    96.032
    """
    return 2 * setback(angle, inside_radius, thickness) - bend_allowance(angle, inside_radius, thickness, k)


def joggle_web(offset: float, angle: float, inside_radius: float, thickness: float) -> float:
    """Flat between the tangent lines of the two equal, opposite bends of a joggle, mm.

    offset: mm that the wall is shifted by; angle: degrees of each bend, over 0 and under 180; inside_radius,
    thickness: mm. Raises InputError for a value outside these limits, and where the two bends alone shift it
    further.

    >>> round(joggle_web(20, 90, 3, 2), 3)  # 20 less the inside radius and outside radius: 20 - (3 + 5)
    12.0
    """
    problems = _bend_problems(angle, inside_radius, thickness)
    if not 0 < abs(angle) < 180:
        problems.append(f"angle = {angle:g} deg, must be over 0 and under 180 deg: a joggle")
    if problems:
        raise InputError(*problems)
    turn = math.radians(abs(angle))
    least = (2 * inside_radius + thickness) * (1 - math.cos(turn))
    if offset < least:
        raise OutOfRange(
            f"offset = {offset:g} mm, must be at least {least:.6g} mm "
            f"at {abs(angle):g} deg, r {inside_radius:g}, t {thickness:g}: a joggle"
        )
    return (offset - least) / math.sin(turn)


def _bend_problems(angle: float, inside_radius: float, thickness: float) -> list[str]:
    problems = []
    if not abs(angle) <= 180:
        problems.append(f"angle = {angle:g} deg, must be -180 to 180 deg: what a bend turns the metal by")
    if not 0 <= inside_radius < math.inf:
        problems.append(f"inside_radius = {inside_radius:g} mm, must be 0 or more: inside radius of a bend")
    if not 0 < thickness < math.inf:
        problems.append(f"thickness = {thickness:g} mm, must be over 0: plate thickness")
    return problems
