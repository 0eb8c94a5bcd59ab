"""How deep a bolt must be screwed into a casting, mm, so that it breaks before the thread strips.

The formulas of FED-STD-H28/2B: a fine thread bears on less metal and its bolt
is stronger, so it wants more than the coarse one. They are for one steady pull; a load that shakes wants more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from brackets.core.tables.bolt_rows import Bolt
from brackets.core.tables.fasteners import strength
from brackets.core.tables.lookup import plain
from brackets.core.tables.material_rows import Material

FORMULA = "FED-STD-H28/2B:1991, length of engagement, limits ISO 965-1:2013 6g/6H (from memory), bolt 8.8"
SHAKEN = "a fifth more where the load shakes (common practice, no source)"

GRADE = "8.8"
"""Property class of the bolt that must break first, ISO 898-1."""

_SOFTEST = "cast aluminium"
_TENSILE: Mapping[str, tuple[float, str]] = {
    "steel": (360.0, "S235, EN 1993-1-1:2005 table 3.1"),
    "cast iron": (250.0, "EN-GJL-250, EN 1561:2011 (from memory)"),
    _SOFTEST: (200.0, "the weakest pressure casting, EN 1706:2010 (from memory)"),
}
"""Least tensile strength of what is tapped, MPa. A sand casting of aluminium may have 150: give your own figure."""

_ALSO: Mapping[str, str] = {
    "grey iron": "cast iron",
    "iron": "cast iron",
    "aluminium": _SOFTEST,
    "cast aluminum": _SOFTEST,
    "aluminum": _SOFTEST,
}


@dataclass(frozen=True, kw_only=True)
class Engagement:
    """The least thread in the casting, mm, and where the figure is from."""

    least: float
    source: str


def engagement(of: Bolt, into: str) -> Engagement:
    """The least length of thread, mm, of a bolt in a casting, so that it breaks before the thread strips.

    of: the bolt, taken as property class 8.8; into: "steel", "cast iron" or "cast aluminium"; any other material is
    taken as the softest of them, and `source` says so.
    Source: FED-STD-H28/2B:1991, for one steady pull; a fifth more where the load shakes (common practice,
    no source).

    >>> [engagement(bolt("M12"), metal).least for metal in ("steel", "cast iron", "cast aluminium")]
    [14.2, 20.5, 25.6]
    >>> engagement(bolt("M12"), "bronze").source
    'no row for bronze, taken as cast aluminium; ...'
    """
    name = plain(into)
    row = _ALSO.get(name, name)
    tensile, metal = _TENSILE.get(row, _TENSILE[_SOFTEST])
    least = round(length_of_engagement(of, tensile), 1)
    said = f"{into}: {tensile:g} MPa, {metal}" if row in _TENSILE else f"no row for {into}, taken as {_SOFTEST}"
    return Engagement(least=least, source=f"{said}; {FORMULA}; {SHAKEN}")


def engagement_in_plate(of: Bolt, metal: Material, t: float) -> Engagement:
    """The least thread of a bolt in a piece of `metal` `t` mm thick; of S235 where its strength is not known."""
    tensile = metal.fu(t)
    if tensile is None:
        return engagement(of, "steel")
    least = round(length_of_engagement(of, tensile), 1)
    return Engagement(least=least, source=f"{metal.name}: {tensile:g} MPa; {FORMULA}; {SHAKEN}")


def length_of_engagement(of: Bolt, tensile: float) -> float:
    """mm of full thread in metal of `tensile` MPa: twice the stress area on the bolt's own thread, and as many
    times more as the tapped thread is weaker (FED-STD-H28/2B, Le and J Le, at the least metal of both threads)."""
    d, p, steep = of.d, of.pitch, 1 / math.sqrt(3)
    least_d = d - _allowance(p) - (0.18 * math.pow(p, 2 / 3) - 0.00315 / math.sqrt(p))
    wide = 0.09 * math.pow(p, 0.4) * math.pow(d, 0.1)
    least_pitch_d = of.pitch_d - _allowance(p) - wide
    most_pitch_d = of.pitch_d + 1.32 * wide
    most_minor_d = of.nut_minor_d + (0.23 * math.pow(p, 0.7) if p >= 1 else 0.433 * p - 0.19 * math.pow(p, 1.22))
    bolt_per_mm = math.pi / p * most_minor_d * (p / 2 + steep * (least_pitch_d - most_minor_d))
    tapped_per_mm = math.pi / p * least_d * (p / 2 + steep * (least_d - most_pitch_d))
    strong: float = strength(GRADE, d).tensile
    double = 2 * of.stress_area
    return max(double / bolt_per_mm, double * strong / (tapped_per_mm * tensile))


def _allowance(pitch: float) -> float:
    """mm that a 6g bolt thread is under its nominal size: ISO 965-1."""
    return 0.015 + 0.011 * pitch
