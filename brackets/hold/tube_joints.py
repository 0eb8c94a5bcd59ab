"""A round tube welded onto the side of another: the wall of the one that goes on. N, N mm, mm, MPa, degrees.

EN 1993-1-8:2005 7.4, tables 7.1, 7.2 and 7.5 (from memory; the chord face of T joints and 7.4.1 were seen on public
pages). Within table 7.1 the wall fails by its face giving way or by the brace punching through, and no other way
(7.4.1(2)).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.hold.bolts import CODE
from brackets.hold.check import Array, Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import LEAST_WELDED, Metal
from brackets.hold.tubes import round_tube, tube_class

TABLE = f"{CODE} table 7.1 (from memory)"
THICKEST = 25.0
"""mm of the chord's wall: EN 1993-1-8:2005 7.1.1, from memory."""
STEEPEST, FLATTEST = 90.0, 30.0
"""Degrees between the two tubes: EN 1993-1-8:2005 7.1.2, from memory."""
MOST_SLENDER, MOST_SLENDER_CROSS = 50.0, 40.0
"""Outside over wall of a chord, of one with a brace on either side: table 7.1."""


@np.errstate(all="ignore")
def tube_on_tube(
    force: Any,
    *,
    brace_od: Any,
    brace_wall: Any,
    od: Any,
    wall: Any,
    metal: Metal,
    brace_metal: Metal | None = None,
    angle: Any = 90.0,
    in_plane: Any = 0.0,
    out_of_plane: Any = 0.0,
    cross: bool = False,
    pressed: Any = 0.0,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """The wall of a round tube (the chord) under another (the brace) that is welded onto it: EN 1993-1-8:2005 7.4.

    force: N along the brace, either way; brace_od, brace_wall: mm, 10 to 50 times the wall, 0.2 to 1 od; od, wall:
    of the chord, mm, 10 to 50 times the wall, 40 where `cross`; metal, brace_metal: of chord and brace, the same
    where None; angle: between their middle lines, 30 to 90 degrees; in_plane: N mm about the line across both;
    out_of_plane: N mm across that and the brace; cross: whether a second brace carries the force on through the
    other side of the chord; pressed: compression along the chord beside the brace, MPa, 0 or more; name: what it is
    asked for; factors: partial factors.
    Of each of force and moments the lesser of chord face and punching is what it may be; punching only where the
    brace is narrower than the chord's bore (tables 7.2 and 7.5). Then (7.3).
    Raises InputError with everything that is wrong.

    >>> tube = dict(od=60.3, wall=4, metal=metal("S235", 4))
    >>> check = tube_on_tube(6e3, brace_od=38.1, brace_wall=3.2, out_of_plane=100e3, **tube)
    >>> round(check.value, 3), check.limit
    (0.253, 1.0)
    """
    scope = Scope(f"wall of a round tube of {metal.name} under another", name=name, factors=factors)
    load, bent, aside = (
        np.abs(scope.figure(word, value, unit))
        for word, value, unit in (
            ("force", force, "N"), ("in_plane", in_plane, "N mm"), ("out_of_plane", out_of_plane, "N mm")
        )
    )  # fmt: skip
    outside, thick = _chord(scope, od, wall, metal, MOST_SLENDER_CROSS if cross else MOST_SLENDER)
    brace = _brace(scope, brace_od, brace_wall, metal if brace_metal is None else brace_metal, outside)
    steep = np.radians(scope.figure("angle", angle, "deg", least=FLATTEST, most=STEEPEST, why=f"{CODE} 7.1.2"))
    stress = scope.figure("pressed", pressed, "MPa", least=0.0, most=metal.fy)

    def sides(by: Any) -> tuple[Any, Any]:
        strength = metal.fy / by.m5
        face = _chord_face(outside, thick, brace, steep, chord_stress_factor(stress, metal, by), cross)
        punched = _punching(thick, brace, steep)
        narrow = brace <= outside - 2 * thick
        may = [strength * np.where(narrow, np.minimum(a, b), a) for a, b in zip(face, punched, strict=True)]
        return load / may[0] + (bent / may[1]) ** 2 + aside / may[2], 1.0

    return scope.check(
        sides,
        clause=f"{CODE} 7.4 (7.3), tables 7.2, 7.5 (from memory), {'X' if cross else 'T or Y'} joint",
        formula="force / its resistance + (moment in the plane of both / its) squared + moment across it / its,"
        " each the lesser of chord face and punching / gamma_M5",
        unit="",
        uses=("m5",),
        notes=(
            "force and moments where the brace meets the chord's wall",
            "the weld all round, the middle lines meet",
        ),
    )


def chord_stress_factor(stress: Any, metal: Metal, by: Any) -> Any:
    """kp, what compression along a round chord leaves of its wall: EN 1993-1-8:2005 table 7.2 (from memory).

    stress: MPa, 0 or more; the partial factor is taken where it makes kp less.
    """
    share = stress / metal.fy * by.m5
    return np.where(stress > 0, np.clip(1 - 0.3 * share * (1 + share), 0.0, 1.0), 1.0)


def least_end(od: float, brace: float) -> float:
    """mm that a chord must go on past what is welded on it: od (1.25 - brace / 2 od), AISC 360-16 table K3.1A (from
    memory); EN 1993-1-8:2005 says nothing of it, and its tables are of chords that go on."""
    return od * (1.25 - min(brace / od, 1.0) / 2)


def _chord(scope: Scope, od: Any, wall: Any, metal: Metal, most: float) -> tuple[Array, Array]:
    section, kind = round_tube(scope, od, wall, metal)
    scope.figure("wall", wall, "mm", least=LEAST_WELDED, most=THICKEST, why=f"{CODE} 7.1.1")
    scope.figure("od / wall", section.od / section.wall, "", least=10.0, most=most, why=TABLE)
    scope.hold(np.asarray(kind) <= 2, f"class = 3, must be 1 or 2: {scope.what} ({CODE} 7.1.2)")
    return section.od, section.wall


def _brace(scope: Scope, od: Any, wall: Any, metal: Metal, chord: Array) -> Array:
    metal.steel_only(scope, CODE)
    outside = scope.figure("brace_od", od, "mm", least=0.2 * chord, most=chord, why=TABLE)
    thick = scope.figure("brace_wall", wall, "mm", least=LEAST_WELDED)
    scope.figure("brace_od / brace_wall", outside / thick, "", least=10.0, most=MOST_SLENDER, why=TABLE)
    scope.hold(
        np.asarray(tube_class(outside, thick, metal)) <= 2,
        f"class = 3 or 4, must be 1 or 2: brace of {metal.name} ({CODE} 7.1.2)",
    )
    return outside


def _chord_face(
    od: Array, wall: Array, brace: Array, steep: Array, kp: Any, cross: bool
) -> tuple[Any, Any, Any]:
    """Force, moment in plane, moment out of it over the chord's yield, mm2 and mm3: tables 7.2 and 7.5."""
    beta, gamma = brace / od, od / (2 * wall)
    shape = 5.2 / (1 - 0.81 * beta) if cross else gamma**0.2 * (2.8 + 14.2 * beta**2)
    base = kp * wall**2 / np.sin(steep)
    return base * shape, 4.85 * base * brace * np.sqrt(gamma) * beta, base * brace * 2.7 / (1 - 0.81 * beta)


def _punching(wall: Array, brace: Array, steep: Array) -> tuple[Any, Any, Any]:
    """The same of punching shear."""
    sin = np.sin(steep)
    sheared = wall * brace / np.sqrt(3)
    return (
        sheared * np.pi * (1 + sin) / (2 * sin**2),
        sheared * brace * (1 + 3 * sin) / (4 * sin**2),
        sheared * brace * (3 + sin) / (4 * sin**2),
    )
