"""A bolted plate that is pulled off by what stands on it, and the prying that this adds to its bolts. N, mm, MPa.

EN 1993-1-8:2005 6.2.4, equivalent T-stub, table 6.2 first method, without backing plates (from memory), of one
bolt: half of a row.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.hold.bolts import CODE
from brackets.hold.check import Array, Check, Scope
from brackets.hold.factors import EN_1993, Factors
from brackets.hold.metal import BoltRows, Metal, read_bolts

FURTHEST = 1.25
"""Times m that the place where a plate presses may count from the bolt: EN 1993-1-8:2005 figure 6.2."""


@np.errstate(all="ignore")
def t_stub(
    force: Any,
    *,
    bolt: BoltRows,
    grade: str,
    t: Any,
    metal: Metal,
    m: Any,
    n: Any,
    length: Any,
    bolt_length: Any = None,
    name: str = "",
    factors: Factors = EN_1993,
) -> Check:
    """A bolt in tension with its piece of plate, prying counted: EN 1993-1-8:2005 6.2.4, table 6.2.

    force: N that the plate hands to the bolt, prying not in it; bolt: metric, or its name, or one a row; grade:
    property class 4.6 to 10.9; t: thickness of the plate, mm; metal: of the plate; m: from the bolt to the toe of
    the web that pulls, less 0.2 of its fillet, mm; n: from the bolt to the edge of the plate away from the web, mm,
    of which at most 1.25 m counts; length: of plate along the web that works with this bolt, mm; bolt_length: mm
    that the bolt stretches over, None where it is not known: then as without prying, which is the lesser; name:
    what it is asked for; factors: partial factors.
    Mode 1, the plate gives at the web and at the bolt: 2 Mpl/m; mode 2, it gives at the web and the bolt breaks:
    (Mpl + n F)/(m + n); mode 3, the bolt breaks: F, its tension resistance; where nothing pries Mpl/m and mode 3.
    Mpl is 0.25 length t squared fy. Nothing pries where the bolt is longer than 8.8 m cubed As/(length t cubed).
    Raises InputError with everything that is wrong.

    >>> plate = dict(t=10, metal=metal("S235", 10), m=30, n=35, length=80)
    >>> check = t_stub(10e3, bolt="M12", grade="8.8", bolt_length=25, **plate)
    >>> round(check.limit), round(check.utilisation, 3)
    (31333, 0.319)
    """
    scope = Scope(f"plate of {metal.name} pulled off its bolt", name=name, factors=factors)
    metal.steel_only(scope, CODE)
    of = read_bolts(scope, bolt, grade)
    load = scope.force(force)
    thick, arm, far, long = (scope.size(*each) for each in (("t", t), ("m", m), ("n", n), ("length", length)))
    press = np.minimum(far, FURTHEST * arm)
    pried = np.array(False)
    if bolt_length is not None:
        stretch = scope.size("bolt_length", bolt_length)
        pried = np.asarray(stretch <= 8.8 * arm**3 * of.stress_area / (long * thick**3))

    def sides(by: Any) -> tuple[Any, Any]:
        bent = plastic_moment(long, thick, metal, by)
        broken = 0.9 * by.fu(of) * of.stress_area / by.m2
        with_prying = np.minimum(2 * bent / arm, (bent + press * broken) / (arm + press))
        return load, np.minimum(np.where(pried, with_prying, bent / arm), broken)

    return scope.check(
        sides,
        clause=f"{CODE} 6.2.4, table 6.2 (from memory), prying",
        formula="least of mode 1: 2 Mpl / m, mode 2: (Mpl + n x bolt) / (m + n), mode 3: bolt in tension; without"
        " prying Mpl / m and mode 3",
        uses=("m0", "m2"),
        notes=(
            "Mpl 0.25 x length x thickness squared x yield / gamma_M0",
            "length of the bolt not known: as without prying, which is the lesser"
            if bolt_length is None
            else "with prying where the bolt is no longer than 8.8 m cubed As / (length x thickness cubed)",
        ),
    )


def plastic_moment(length: Any, t: Any, metal: Metal, by: Any) -> Any:
    """N mm that a strip of plate carries over its thickness, fully plastic: EN 1993-1-8:2005 table 6.2."""
    return 0.25 * length * t**2 * metal.fy / by.m0


def prying_force(
    force: Any, *, t: Any, metal: Metal, m: Any, n: Any, length: Any, factors: Factors = EN_1993
) -> Array:
    """N by which prying adds to a bolt: what the plate cannot hold at the web it must press on its edge for.

    force, t, metal, m, n, length, factors: as for `t_stub`. (force m - Mpl)/n, at least 0: balance of the strip
    with its plastic moment at the web, the least that holds it (static theorem of plasticity).
    Raises InputError with everything that is wrong.

    >>> round(float(prying_force(20e3, t=10, metal=metal("S235", 10), m=30, n=35, length=80)))
    3714
    """
    scope = Scope(f"plate of {metal.name} pulled off its bolt")
    metal.steel_only(scope, CODE)
    load = scope.force(force)
    thick, arm, far, long = (scope.size(*each) for each in (("t", t), ("m", m), ("n", n), ("length", length)))
    scope.done(every=True)
    spare = load * arm - plastic_moment(long, thick, metal, factors.basis)
    return np.asarray(np.maximum(spare, 0.0) / np.minimum(far, FURTHEST * arm))
