"""Threads that strip out of a casting. N, mm, MPa."""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.core.tables.fasteners import shear_areas
from brackets.hold.check import Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import BoltRows, read_bolts

SHEAR = 0.5
"""Shear strength over tensile strength, as FED-STD-H28/2B:1991 takes it in its lengths of engagement."""


@np.errstate(all="ignore")
def thread_stripping(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    engaged: Any,
    tensile: Any,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A bolt whose thread strips, its own or the one tapped into a casting: FED-STD-H28/2B:1991.

    force: N along the bolt; bolt: a metric bolt or its name, or one a row; grade: property class 4.6 to 10.9;
    engaged: full thread in the casting, mm, from the least to three times the bolt's diameter: 0.5 d; tensile:
    tensile strength of the casting, MPa, 50 to 600, as you know it; name: what it is asked for; factors: of these
    gamma_M2, for want of a factor of the standard's own.
    Raises InputError with everything that is wrong.

    >>> check = thread_stripping(20e3, bolt="M12", grade="8.8", engaged=24, tensile=200)
    >>> round(check.limit), round(check.utilisation, 3)
    (50516, 0.396)
    """
    scope = Scope("thread of a bolt in a casting", name=name, factors=factors)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    length = scope.figure("engaged", engaged, "mm", least=0.5 * of.d, most=3 * of.d)
    casting = scope.figure("tensile", tensile, "MPa", least=50.0, most=600.0)
    known = {row: shear_areas(row) for row in dict.fromkeys(of.rows)}
    own, tapped = (np.array([known[row][i] for row in of.rows]) for i in (0, 1))
    if of.d.ndim == 0 and of.rows:
        own, tapped = own[0], tapped[0]
    return scope.check(
        lambda by: (load, SHEAR * length * np.minimum(own * of.fu, tapped * casting) / by.m2),
        clause="FED-STD-H28/2B:1991, length of engagement",
        formula="0.5 x tensile strength x sheared area of the weaker thread x engaged length / gamma_M2",
        uses=("m2",),
        own=False,
        notes=(
            "the standard has no partial factor: gamma_M2 is taken over",
            "least metal of both threads, limits ISO 965-1:2013 6g/6H (from memory)",
            "one steady pull: a load that shakes wants a fifth more thread (common practice, no source)",
        ),
    )
