"""Steels of precision tube: what their own standard gives, what a weld leaves, what is refused and why."""

from __future__ import annotations

from math import pi, sqrt

import pytest

from brackets import OutOfRange, hold
from brackets.hold import metal


@pytest.mark.parametrize(
    ("name", "fy", "fu"),
    [("E235", 235, 340), ("E355", 355, 490), ("E235+C", 157, 315), ("E355+C", 225, 450)],
)
@pytest.mark.parametrize("welded", [True, False])
def test_precision_tube_counts_with_its_own_standard(name: str, fy: float, fu: float, welded: bool) -> None:
    """EN 10305-1:2016: +N 235/340 and 355/490 (public pages print these); as drawn 480 and 640, annealed 315 and
    450 with half for yield (from memory). As drawn it counts as annealed whether it is welded or not."""
    of = metal(name, 3, welded=welded)
    assert (of.fy, of.fu, of.is_steel) == (fy, fu, True)
    assert of.fu / of.fy >= 1.10  # EN 1993-1-1:2005 3.2.2
    assert "EN 10305-1:2016" in of.source
    # as drawn: 480 and 640 stand in the row, and are not counted
    assert name.endswith("+C") == (metal_row_breaks(name) > fu)


def metal_row_breaks(name: str) -> float:
    from brackets import material

    found = material(name).fu(3)
    assert found is not None
    return found


def test_fillets_on_it_take_the_largest_beta() -> None:
    """EN 1993-1-8:2005 table 4.1 goes from 0.8 to 1.0 and does not name these steels: 340/(root 3 x 1.0 x 1.25)."""
    line = hold.WeldGroup([hold.WeldSegment((0, 0, 0), (60, 0, 0), 3.5)])
    same = {"force": (0, 0, 1e3), "moment": (0, 0, 0), "at": (30, 0, 0), "t": 6}
    found = hold.fillet_simplified(line, metal=metal("E235", 6), **same)  # type: ignore[arg-type]
    assert found.limit == pytest.approx(340 / (sqrt(3) * 1.25))


def test_tubes_of_it_are_checked_by_the_same_clauses() -> None:
    area = pi * (38 - 3) * 3
    assert hold.tube_axial(1, od=38, wall=3, metal=metal("E355", 3)).limit == pytest.approx(area * 355)
    assert hold.tube_class(38, 0.7, metal("E355", 0.7, welded=False)) == 3
    short = hold.strut_buckling(1, od=38, wall=3, length=10, metal=metal("E235+C", 3))
    assert short.limit == pytest.approx(area * 157)


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("DC01", "its standard has no least yield"),
        ("4130", "EN 1993 has no row for it"),
        ("304", "EN 1993-1-4:2006 is for it"),
        ("grey iron", "it is brittle"),
        ("unknown steel", "nobody knows what it is"),
        ("polyurethane", "no strength to count on"),
    ],
)
def test_what_is_refused_says_why(name: str, why: str) -> None:
    with pytest.raises(OutOfRange, match=why):
        metal(name, 4)
