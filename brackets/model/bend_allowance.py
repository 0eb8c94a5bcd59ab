"""What a bend takes out of the flat: allowance, setback, and the web of a joggle.

Angles are what the metal is turned by (0 is flat); mm. K is where the unstretched layer lies, from the inside
face, as a fraction of the thickness.
"""

from __future__ import annotations

import math
from typing import Literal

from brackets.core.errors import OutOfRange

SHARPEST_FORMULA = 0.05011872336272722
"""r/t at which the k of DIN 6935 reaches 0 (10 to the -1.3): below it the formula says nothing."""

Measured = Literal["outside", "inside", "tangent"]
"""outside: to the outer apex, or past 90 degrees to the outermost face; inside: to the inner apex, or past 90
degrees to the innermost face; tangent: to where the bend ends."""


def din_k(inside_radius: float, thickness: float) -> float:
    """The K-factor of DIN 6935: half of k = 0.65 + 0.5 lg(r/t), k at most 1.

    Raises OutOfRange where the radius is too sharp for the formula (k would be negative).
    """
    ratio = inside_radius / thickness
    if not ratio > SHARPEST_FORMULA:
        raise OutOfRange(
            f"inside_radius = {inside_radius:g} mm, must be over {SHARPEST_FORMULA * thickness:.4g} mm "
            f"at t {thickness:g} mm: DIN 6935 says nothing sharper; give K from a bent strip"
        )
    return min(0.65 + 0.5 * math.log10(ratio), 1.0) / 2


def bend_allowance(angle: float, inside_radius: float, thickness: float, k: float | None = None) -> float:
    """Length of flat that a bend of `angle` degrees (either way) takes up between its tangent lines, mm.

    `k` is the K-factor; DIN 6935 where it is None. DIN 6935 leaves bends under 15 degrees out of account
    (v = 0), which would make the blank jump by about 0.2 t at 15 degrees: here the arc counts at every angle.
    Raises OutOfRange on a value that makes no sense.
    """
    problems = _bend_problems(angle, inside_radius, thickness)
    if k is not None and not 0 <= k <= 1:
        problems.append(f"k = {k:g}, must be 0 to 1: K-factor, unstretched layer from the inside face over t")
    if problems:
        raise OutOfRange(*problems)
    factor = din_k(inside_radius, thickness) if k is None else k
    return math.radians(abs(angle)) * (inside_radius + factor * thickness)


def k_of_allowance(allowance: float, angle: float, inside_radius: float, thickness: float) -> float:
    """The K-factor of a bent and measured strip. Raises OutOfRange where it is not 0 to 1."""
    problems = _bend_problems(angle, inside_radius, thickness)
    if not problems and angle == 0:
        problems.append("angle = 0 deg, must not be 0: a bent strip")
    if problems:
        raise OutOfRange(*problems)
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
    """From where a length is measured to the tangent line of the bend, mm.

    Up to 90 degrees to the apex of the outer (r + t) or inner (r) faces; past 90 degrees, as DIN 6935 has it,
    to the outermost (innermost) tangent square to the wall, which is r + t (r) away.
    """
    if measured == "tangent":
        return 0.0
    reach = inside_radius + (thickness if measured == "outside" else 0.0)
    return reach * math.tan(math.radians(min(abs(angle), 90.0)) / 2)


def deduction(angle: float, inside_radius: float, thickness: float, k: float | None = None) -> float:
    """What to take from the sum of both outside lengths to get the flat, mm; DIN 6935's v with its sign turned."""
    return 2 * setback(angle, inside_radius, thickness) - bend_allowance(angle, inside_radius, thickness, k)


def joggle_web(offset: float, angle: float, inside_radius: float, thickness: float) -> float:
    """Flat web between the tangent lines of two equal, opposite bends that shift a wall by `offset`, mm.

    Raises OutOfRange where the two bends alone shift it further.
    """
    problems = _bend_problems(angle, inside_radius, thickness)
    if not 0 < abs(angle) < 180:
        problems.append(f"angle = {angle:g} deg, must be over 0 and under 180 deg: a joggle")
    if problems:
        raise OutOfRange(*problems)
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
