"""Bolts: one row a thread, metric and inch, every size mm."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import NoReturn

from brackets.core.errors import InputError, OutOfRange
from brackets.core.names import nearest, plain
from brackets.core.schema.rows import TableRef
from brackets.core.tables.data_files import csv_rows, inches
from brackets.core.units import INCH, shown

_ROOT3 = math.sqrt(3)
_LENGTHS = (*(10, 12, 16), *range(20, 70, 5), *range(70, 170, 10), *range(180, 260, 20))
"""ISO 888 nominal lengths, mm."""
_METRIC = re.compile(r"m ?([0-9]+(?:[.,][0-9]+)?)(?: ?[x\u00d7*] ?([0-9]+(?:[.,][0-9]+)?))?")
_INCH = re.compile(r'([0-9]+/[0-9]+) ?(?:in|inch|")? ?(?:- ?([0-9]+))? ?(unc|unf|coarse|fine)?')
_METRIC_SOURCE = (
    "ISO 261:1998, ISO 272:1982, ISO 273:1979, ISO 898-1:2013, ISO 2306:1972, ISO 4014:2011, ISO 4032:2012,"
    " ISO 7042:2012, ISO 7089:2000, ISO 7093-1:2000 (years from memory)"
)
_INCH_SOURCE = (
    "ASME B1.1-2003, ASME B18.2.1-2012, ASME B18.2.2-2015, ASME B18.2.8-1999, ASME B18.21.1-2009"
    " (years from memory)"
)


@dataclass(frozen=True, kw_only=True)
class Bolt:
    """A hexagon bolt with the nut, washers and holes that go with it; all sizes in mm, stress_area in mm2.

    d: nominal diameter; pitch_d, minor_d: d2 and d3 of the bolt's thread; nut_minor_d: D1 of the nut's; lengths,
    screw_lengths: stock lengths of bolts with a shank and of those threaded to the head. A height of None: the
    table has no row, measure yours.
    """

    name: str
    system: str
    series: str
    d: float
    pitch: float
    pitch_d: float
    minor_d: float
    nut_minor_d: float
    stress_area: float
    across_flats: float
    head_height: float
    nut_across_flats: float
    nut_height: float
    lock_nut_height: float | None
    nylon_nut_height: float | None
    washer_id: float
    washer_od: float
    washer_t: float
    large_washer_id: float
    large_washer_od: float
    large_washer_t: float
    hole_fine: float
    hole_medium: float
    hole_coarse: float
    tap_drill: float
    lengths: tuple[float, ...]
    screw_lengths: tuple[float, ...]
    source: str

    @property
    def across_corners(self) -> float:
        """mm over the corners of a sharp hexagon, the most a spanner or socket meets."""
        return self.across_flats * 2 / _ROOT3

    @property
    def shank_area(self) -> float:
        """mm2 of the plain shank."""
        return math.pi / 4 * self.d**2

    def of_length(self, length: float) -> str:
        """What it is asked for by: "M12 x 100", "3/8-16 UNC x 1-1/4 in"."""
        return f"{self.name} x {self.length_words(length)}"

    def length_words(self, length: float) -> str:
        """A length as it is sold: "100" of a metric bolt; of an inch one by the sixteenth, "1-1/4 in", or in mm,
        "40 mm", where it is no sixteenth."""
        if self.system == "metric":
            return f"{length:g}"
        count = round(16 * length / float(INCH))
        if abs(length - count * float(INCH) / 16) > 1e-6:
            return f"{length:g} mm"
        whole, rest = divmod(Fraction(count, 16), 1)
        return f"{'-'.join(str(part) for part in (whole, rest) if part)} in"

    def thread_length(self, length: float) -> float:
        """mm of thread on a bolt of this length: ISO 4014 (2d+6, +12 over 125, +25 over 200) or ASME B18.2.1.

        ASME B18.2.1: 2d + 1/4 in to 6 in long, 2d + 1/2 in above. Never more than the length.
        """
        if self.system == "metric":
            more = 6 if length <= 125 else 12 if length <= 200 else 25
            return min(2 * self.d + more, length)
        return min(2 * self.d + (6.35 if length <= 152.4 else 12.7), length)

    def shank_length(self, length: float) -> float:
        """mm of plain shank under the head, thread run-out counted as thread."""
        return length - self.thread_length(length)

    def stock_length(self, needed: float) -> float:
        """The shortest stock length, mm, of at least `needed`; OutOfRange if none is long enough."""
        for length in self.lengths:
            if length >= needed:
                return length
        longest = f"must be at most {self.lengths[-1]:g} mm"
        raise OutOfRange(f"length = {needed:g} mm, {longest}: {self.name} bolt from stock")


@cache
def bolts() -> tuple[Bolt, ...]:
    """Every bolt of the table: metric coarse and fine, then inch UNC and UNF; sizes in mm.

    >>> [bolt.name for bolt in bolts() if bolt.d == 12]
    ['M12', 'M12x1.5', 'M12x1.25']
    """
    return (*_metric(), *_inch())


def bolt(name: str) -> Bolt:
    """A bolt of the table by its name, with its nut, washers and holes; sizes in mm.

    name: "M12", "m12x1.5", "1/2-20", "1/2 UNF"; the coarse thread where a metric name has no pitch.
    Raises InputError, with the nearest names, where there is no such row.

    >>> bolt("M12").pitch, bolt("1/2-20").d, round(bolt("M12").stress_area, 1)
    (1.75, 12.7, 84.3)
    """
    asked = _keys(name) if isinstance(name, str) else ()
    found = {_by_key().get(key) for key in asked}
    row = found.pop() if len(found) == 1 else None
    return row if row is not None else _no_bolt(name)


BOLTS = TableRef("bolt", shipped=bolt, rows=bolts)


def _metric() -> tuple[Bolt, ...]:
    sizes = {row["d"]: row for row in csv_rows("bolts_metric.csv")}
    return tuple(_metric_row(thread, sizes[thread["d"]]) for thread in csv_rows("threads_metric.csv"))


def metric_thread(d: float, pitch: float) -> dict[str, float]:
    """d2, d3 of a bolt's thread, D1 of its nut's, mm, and the stress area, mm2 (ISO 898-1), named as in Bolt."""
    pitch_d, minor_d = d - 3 * _ROOT3 / 8 * pitch, d - 17 * _ROOT3 / 24 * pitch
    return {
        "pitch_d": pitch_d,
        "minor_d": minor_d,
        "nut_minor_d": d - 5 * _ROOT3 / 8 * pitch,
        "stress_area": math.pi / 4 * ((pitch_d + minor_d) / 2) ** 2,
    }


def _metric_row(thread: Mapping[str, str], cells: Mapping[str, str]) -> Bolt:
    size = {key: float(text) for key, text in cells.items()}
    d, pitch = size["d"], float(thread["pitch"])
    fine = f"x{pitch:g}" if thread["series"] == "fine" else ""
    return Bolt(
        name=f"M{d:g}{fine}",
        system="metric",
        series=thread["series"],
        d=d,
        pitch=pitch,
        **metric_thread(d, pitch),
        across_flats=size["across_flats"],
        head_height=size["head_height"],
        nut_across_flats=size["across_flats"],
        nut_height=size["nut_height"],
        lock_nut_height=size["lock_nut"],
        nylon_nut_height=size["nylon_nut"],
        **_washers(size),
        hole_fine=size["fine"],
        hole_medium=size["medium"],
        hole_coarse=size["coarse"],
        tap_drill=float(thread["tap_drill"]),
        lengths=tuple(float(x) for x in _LENGTHS if size["bolt_from"] <= x <= size["bolt_to"]),
        screw_lengths=tuple(float(x) for x in _LENGTHS if size["screw_from"] <= x <= size["screw_to"]),
        source=_METRIC_SOURCE,
    )


def _washers(size: Mapping[str, float]) -> dict[str, float]:
    return {
        "washer_id": size["washer_id"],
        "washer_od": size["washer_od"],
        "washer_t": size["washer_t"],
        "large_washer_id": size["large_id"],
        "large_washer_od": size["large_od"],
        "large_washer_t": size["large_t"],
    }


def _inch() -> tuple[Bolt, ...]:
    sizes = {row["d"]: row for row in csv_rows("bolts_inch.csv")}
    return tuple(_inch_row(thread, sizes[thread["d"]]) for thread in csv_rows("threads_inch.csv"))


def _inch_row(thread: Mapping[str, str], cells: Mapping[str, str]) -> Bolt:
    size = {key: inches(text) for key, text in cells.items()}
    d, pitch = size["d"], float(INCH / int(thread["per_inch"]))
    lengths = _inch_lengths(Fraction(cells["from"]), Fraction(cells["to"]))
    return Bolt(
        name=f"{thread['d']}-{thread['per_inch']} {thread['series']}",
        system="inch",
        series=thread["series"],
        d=d,
        pitch=pitch,
        pitch_d=d - 3 * _ROOT3 / 8 * pitch,
        minor_d=d - 11 * _ROOT3 / 16 * pitch,
        nut_minor_d=d - 5 * _ROOT3 / 8 * pitch,
        stress_area=math.pi / 4 * (d - 9 * _ROOT3 / 16 * pitch) ** 2,
        across_flats=size["across_flats"],
        head_height=size["head_height"],
        nut_across_flats=size["nut_across_flats"],
        nut_height=size["nut_height"],
        lock_nut_height=None,
        nylon_nut_height=size["nylon_nut"],
        **_washers(size),
        hole_fine=size["close"],
        hole_medium=size["normal"],
        hole_coarse=size["loose"],
        tap_drill=inches(thread["tap_drill"]),
        lengths=lengths,
        screw_lengths=lengths,
        source=_INCH_SOURCE,
    )


def _inch_lengths(shortest: Fraction, longest: Fraction) -> tuple[float, ...]:
    """Quarter-inch steps to 4 in, half-inch steps above, mm: common practice, no source."""
    quarters = [Fraction(n, 4) for n in range(2, 33)]
    steps = [step for step in quarters if step <= 4 or step.denominator <= 2]
    return tuple(float(step * INCH) for step in steps if shortest <= step <= longest)


@cache
def _by_key() -> dict[tuple[str, str], Bolt]:
    found: dict[tuple[str, str], Bolt] = {}
    for row in bolts():
        if row.system == "metric":
            d = f"m{row.d:g}"
            found[d, f"{row.pitch:g}"] = row
            if row.series == "coarse":
                found[d, ""] = row
        else:
            d, per_inch = row.name.split()[0].split("-")
            found[d, per_inch] = found[d, row.series.lower()] = row
    return found


def _keys(name: str) -> tuple[tuple[str, str], ...]:
    """What a spelling asks for; two keys where both threads an inch and series are written."""
    text = plain(name)
    metric = _METRIC.fullmatch(text)
    if metric:
        d, pitch = (float(part.replace(",", ".")) if part else None for part in metric.groups())
        return ((f"m{d:g}", "" if pitch is None else f"{pitch:g}"),)
    unified = _INCH.fullmatch(text)
    if unified:
        series = {"coarse": "unc", "fine": "unf"}.get(unified[3] or "", unified[3])
        return tuple((unified[1], part) for part in (unified[2], series) if part)
    return ()


def _no_bolt(name: object) -> NoReturn:
    names = [row.name for row in bolts()]
    words = plain(name).split("-")[0].split() if isinstance(name, str) else []
    size = re.split("[x\u00d7]", words[0].rstrip('"'))[0] if words else ""
    near = [row for row in names if re.split("[-x]", row.casefold())[0] == size]
    near = near or list(nearest(size, names)) or [row.name for row in bolts() if row.series == "coarse"]
    raise InputError(f"bolt = {shown(name)}, not in the table; nearest: {', '.join(near)}")
