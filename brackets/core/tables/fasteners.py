"""What goes with a bolt: nut, washer, hole, strength class, room for the spanner; mm and MPa."""

from __future__ import annotations

from dataclasses import dataclass

from brackets.core.errors import InputError, OutOfRange
from brackets.core.tables.bolt_rows import Bolt, bolt
from brackets.core.tables.lookup import csv_rows, plain, unknown

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
    """Smallest proof, yield and tensile stress of a bolt, MPa."""

    name: str
    proof: float
    yield_stress: float
    tensile: float
    source: str


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
