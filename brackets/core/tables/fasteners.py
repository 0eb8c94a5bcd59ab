"""What belongs to a bolt: holes, nuts, washers, sockets and spanners, and the thread it needs in a casting. mm.

The formulas of FED-STD-H28/2B: a fine thread bears on less metal and its bolt
is stronger, so it wants more than the coarse one. They are for one steady pull; a load that shakes wants more.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from brackets.core.errors import InputError, OutOfRange
from brackets.core.names import plain, unknown
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.data_files import csv_rows
from brackets.core.tables.material_rows import Material

PIVOT_CLEARANCE = 0.1
"""mm a reamed bush-bolt hole is over the bolt: middle of +0 to +0.2, common practice, no source."""
PILOT_UNDER = 0.5
"""mm a bush-bolt hole is drilled under the bolt before welding, common practice, no source."""
HOLE_KINDS = ("fine", "medium", "boss", "coarse", "tap", "pivot", "pilot")
NUT_KINDS = ("plain", "all-metal lock", "nylon lock")
WASHER_KINDS = ("plain", "large")
_SPANNER_SPACING = {8.0: 30.0, 10.0: 37.0, 12.0: 42.0, 16.0: 50.0}
"""mm between bolt centres by metric d: room for a socket, common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Nut:
    """A hexagon nut: kind, across_flats and height, mm (height the largest the standard lets through)."""

    kind: str
    across_flats: float
    height: float


@dataclass(frozen=True, kw_only=True)
class Washer:
    """A flat washer: kind, id, od and t, mm."""

    kind: str
    id: float
    od: float
    t: float


@dataclass(frozen=True, kw_only=True)
class Strength:
    """Smallest proof, yield and tensile stress of a bolt, MPa.

    fyb, fub: nominal yield and tensile that EN 1993-1-8:2005 table 3.1 counts with, of 10.9 less than the smallest
    of ISO 898-1 (fub 1000, not 1040); None for classes that it does not have.
    """

    name: str
    proof: float
    yield_stress: float
    tensile: float
    source: str
    fyb: float | None = None
    fub: float | None = None


@dataclass(frozen=True, kw_only=True)
class Spanner:
    """Room a spanner takes, mm: socket_od round the head, opening of the jaws, swing in degrees.

    spacing: least distance between bolt centres, None where no row is known.
    """

    across_flats: float
    opening: float
    socket_od: float
    swing_ring: float
    swing_open: float
    spacing: float | None


def nut(of: Bolt | str, kind: str = "plain") -> Nut:
    """The nut of a bolt: across_flats and height, mm.

    of: the bolt or its name; kind: "plain", "all-metal lock" or "nylon lock".
    Raises InputError for an unknown kind or where the table has no row.

    >>> nut("M12").across_flats, nut("M12").height
    (18.0, 10.8)
    """
    row = of if isinstance(of, Bolt) else bolt(of)
    heights = dict(zip(NUT_KINDS, (row.nut_height, row.lock_nut_height, row.nylon_nut_height), strict=True))
    if kind not in heights:
        unknown("nut", kind, NUT_KINDS)
    height = heights[kind]
    if height is None:
        raise InputError(f'nut = "{kind}", no row for {row.name}: measure yours or choose another kind')
    return Nut(kind=kind, across_flats=row.nut_across_flats, height=height)


def washer(of: Bolt | str, kind: str = "plain") -> Washer:
    """The flat washer of a bolt: id, od and t, mm.

    of: the bolt or its name; kind: "plain" (ISO 7089) or "large" (ISO 7093-1).
    Raises InputError for any other kind.

    >>> washer("M12").od, washer("M12", "large").od
    (24.0, 37.0)
    """
    row = of if isinstance(of, Bolt) else bolt(of)
    if kind == "plain":
        return Washer(kind=kind, id=row.washer_id, od=row.washer_od, t=row.washer_t)
    if kind == "large":
        return Washer(kind=kind, id=row.large_washer_id, od=row.large_washer_od, t=row.large_washer_t)
    return unknown("washer", kind, WASHER_KINDS)


def hole(of: Bolt | str, kind: str = "medium") -> float:
    """The diameter, mm, of a hole for a bolt.

    of: the bolt or its name; kind: "fine", "medium" (also called "boss") or "coarse" by ISO 273 or ASME B18.2.8,
    "tap" for the tapping drill, "pivot" for the bush-bolt hole in ears, reamed after welding, "pilot" for what is
    drilled for it before.
    Raises InputError for any other kind.

    >>> hole("M12"), hole("M12", "tap"), hole("M12", "pivot"), hole("M12", "pilot")
    (13.5, 10.2, 12.1, 11.5)
    """
    row = of if isinstance(of, Bolt) else bolt(of)
    sizes = (
        row.hole_fine, row.hole_medium, row.hole_medium, row.hole_coarse, row.tap_drill,
        row.d + PIVOT_CLEARANCE, row.d - PILOT_UNDER,
    )  # fmt: skip
    found = dict(zip(HOLE_KINDS, sizes, strict=True)).get(kind)
    return found if found is not None else unknown("hole", kind, HOLE_KINDS)


def strength_classes() -> tuple[str, ...]:
    """The names `strength` knows: "8.8", "10.9", "grade 5" and so on."""
    return tuple(dict.fromkeys(row["name"] for row in csv_rows("strength.csv")))


def strength(name: str, d: float) -> Strength:
    """Smallest proof, yield and tensile stress, MPa, of a bolt of diameter d mm; steps at M16 for 8.8."""
    said = plain(name).removeprefix("class ")
    rows = [row for row in csv_rows("strength.csv") if row["name"] == said]
    if not rows:
        unknown("class", name, strength_classes())
    for row in rows:
        if float(row["d_over"]) < d <= float(row["d_to"]):
            return Strength(
                name=said,
                proof=float(row["proof"]),
                yield_stress=float(row["yield_stress"]),
                tensile=float(row["tensile"]),
                source=row["source"],
                fyb=float(row["fyb"]) if row["fyb"] else None,
                fub=float(row["fub"]) if row["fub"] else None,
            )
    top = max(float(row["d_to"]) for row in rows)
    raise OutOfRange(f"d = {d:g} mm, must be over 0 and at most {top:g} mm: bolt of class {said}")


def spanner(of: Bolt | str) -> Spanner:
    """The room that a spanner or a socket needs round a bolt head, mm and degrees.

    of: the bolt or its name. With W across the flats: opening of the jaws 1.005 W + 0.001 in (ASME B18.2.2); socket
    1.6 W, the large end of US CID A-A-1346A; swing 30 deg for a twelve-point ring, 60 deg for an open jaw that is
    flipped over (NAVEDTRA 14001).

    >>> room = spanner("M12")
    >>> room.across_flats, round(room.opening, 4), round(room.socket_od, 4)
    (18.0, 18.1154, 28.8)
    """
    row = of if isinstance(of, Bolt) else bolt(of)
    return Spanner(
        across_flats=row.across_flats,
        opening=1.005 * row.across_flats + 0.0254,
        socket_od=1.6 * row.across_flats,
        swing_ring=30.0,
        swing_open=60.0,
        spacing=_SPANNER_SPACING.get(row.d),
    )


_WIDE = 1.6
"""Outside of a socket or ring over its hexagon, at most: the large end of US CID A-A-1346A (1.5 to 1.6)."""
_HEAD = "head 1.6 x across flats: US CID A-A-1346A, large end"
_SWING = "swing 30 deg, twelve-point ring: NAVEDTRA 14001"
_SHORT_SOCKET = 38.0
"""mm: length of a short half-inch-drive socket up to 24 across flats, common practice, no source."""
_HANDLE, _REACH, _THICK = 0.8, 12.0, 0.6
"""A ring spanner's handle width, length and thickness over its hexagon: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Socket:
    """A socket: od and length, mm; an extension bar behind it, drive_od thick, as far as reach, or None."""

    across_flats: float
    od: float
    length: float
    drive_od: float | None = None
    reach: float | None = None
    source: str


@dataclass(frozen=True, kw_only=True)
class RingSpanner:
    """A spanner: width over its head, of its handle, bolt to the handle's end, thickness, mm; swing, degrees."""

    across_flats: float
    head: float
    handle: float
    reach: float
    t: float
    swing: float
    source: str


def socket(across_flats: float) -> Socket:
    """The socket for a hexagon."""
    return Socket(
        across_flats=across_flats,
        od=_WIDE * across_flats,
        length=max(_SHORT_SOCKET, _WIDE * across_flats),
        source=f"{_HEAD}; length common practice, no source",
    )


def ring_spanner(across_flats: float) -> RingSpanner:
    """The ring spanner for a hexagon."""
    return RingSpanner(
        across_flats=across_flats,
        head=_WIDE * across_flats,
        handle=_HANDLE * across_flats,
        reach=_REACH * across_flats,
        t=_THICK * across_flats,
        swing=30.0,
        source=f"{_HEAD}; {_SWING}; handle common practice, no source",
    )


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
    bolt_per_mm, tapped_per_mm = shear_areas(of)
    strong: float = strength(GRADE, of.d).tensile
    double = 2 * of.stress_area
    return max(double / bolt_per_mm, double * strong / (tapped_per_mm * tensile))


def shear_areas(of: Bolt) -> tuple[float, float]:
    """mm2 in shear for each mm of engaged thread, of the bolt's own thread and of the tapped one.

    FED-STD-H28/2B:1991 at the least metal of both threads, limits of ISO 965-1:2013 6g/6H (from memory).
    """
    d, p, steep = of.d, of.pitch, 1 / math.sqrt(3)
    least_d = d - _allowance(p) - (0.18 * math.pow(p, 2 / 3) - 0.00315 / math.sqrt(p))
    wide = 0.09 * math.pow(p, 0.4) * math.pow(d, 0.1)
    least_pitch_d = of.pitch_d - _allowance(p) - wide
    most_pitch_d = of.pitch_d + 1.32 * wide
    most_minor_d = of.nut_minor_d + (0.23 * math.pow(p, 0.7) if p >= 1 else 0.433 * p - 0.19 * math.pow(p, 1.22))
    bolt_per_mm = math.pi / p * most_minor_d * (p / 2 + steep * (least_pitch_d - most_minor_d))
    tapped_per_mm = math.pi / p * least_d * (p / 2 + steep * (least_d - most_pitch_d))
    return bolt_per_mm, tapped_per_mm


def _allowance(pitch: float) -> float:
    """mm that a 6g bolt thread is under its nominal size: ISO 965-1."""
    return 0.015 + 0.011 * pitch
