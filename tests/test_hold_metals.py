"""Steels of precision tube: what their own standard gives, what a weld leaves, what is refused and why."""

from __future__ import annotations

from math import pi, sqrt
from typing import Any

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
    same: dict[str, Any] = {"force": (0, 0, 1e3), "moment": (0, 0, 0), "at": (30, 0, 0), "t": 6}
    found = hold.fillet_simplified(line, metal=metal("E235", 6), **same)
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


SOFT = metal("6061-T6", 6)
PLATE: dict[str, Any] = {"t": 6, "metal": SOFT}


def test_bolted_aluminium_counts_with_what_it_has_beside_a_weld() -> None:
    """115/175 of 6061-T6 (EN 1999-1-1:2007 table 3.2b); its 6.2.3, 8.5.2.2 and table 8.5 have the forms of EN 1993,
    with gamma_M1 1.1 and gamma_M2 1.25 (from memory)."""
    bolts: dict[str, Any] = {"bolt": "M12", "grade": "8.8"}
    bears = hold.bolt_bearing(1, hole=13, e1=39, e2=30, **bolts, **PLATE)
    assert bears.limit == pytest.approx(2.5 * 1.0 * 175 * 12 * 6 / 1.25)
    near = hold.bolt_bearing(1, hole=13, e1=20, e2=18, **bolts, **PLATE)
    assert near.limit == pytest.approx((2.8 * 18 / 13 - 1.7) * 20 / 39 * 175 * 12 * 6 / 1.25)
    punched = hold.bolt_punching(1, bolt="M12", mean_head=20, **PLATE)
    assert punched.limit == pytest.approx(0.6 * pi * 20 * 6 * 175 / 1.25)
    whole = hold.plate_tension(1, width=50, holes=5, **PLATE)
    assert whole.limit == pytest.approx(50 * 6 * 115 / 1.1)
    across = hold.plate_tension(1, width=50, holes=20, **PLATE)
    assert across.limit == pytest.approx(0.9 * 30 * 6 * 175 / 1.25)
    block = hold.block_tearing(1, tension_area=100, shear_area=300, metal=SOFT)
    assert block.limit == pytest.approx(100 * 175 / 1.25 + 300 * 115 / (sqrt(3) * 1.1))
    for check in (bears, punched, whole, block):
        assert check.clause.startswith("EN 1999-1-1:2007")
        assert check.clause.endswith("beside a weld")
        assert "EN 1999-1-1:2007" in check.factors
    other = hold.plate_tension(1, width=50, holes=20, factors=hold.Factors(aluminium_m2=1.5, own=2), **PLATE)
    assert other.limit == pytest.approx(0.9 * 30 * 6 * 175 / 1.5)
    assert other.own_limit == pytest.approx(0.9 * 30 * 6 * 115 / 2)


@pytest.mark.parametrize("of", ["6061-T6", "5083-O"])
def test_what_aluminium_has_no_rule_for_here_is_refused(of: str) -> None:
    soft = metal(of, 6)
    line = hold.WeldGroup([hold.WeldSegment((0, 0, 0), (60, 0, 0), 3.5)])
    same: dict[str, Any] = {"force": (0, 0, 1e3), "moment": (0, 0, 0), "at": (30, 0, 0), "t": 6}
    ear: dict[str, Any] = {"t": 6, "hole": 12.1, "a": 18, "c": 18}
    for ask in (
        lambda: hold.fillet_simplified(line, metal=soft, **same),
        lambda: hold.ear_edge(1, metal=soft, **ear),
        lambda: hold.tube_bending(1, od=38, wall=3, metal=soft),
        lambda: hold.strut_buckling(1, od=38, wall=3, length=300, metal=soft),
        lambda: hold.t_stub(1, bolt="M12", grade="8.8", t=6, metal=soft, m=20, n=20, length=40),
    ):
        with pytest.raises(OutOfRange, match=f"metal = {of}, must be S235, S275, S355"):
            ask()
