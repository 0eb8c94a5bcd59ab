"""Which bolt from stock: sums done by hand, each size against the standards' own figures."""

from __future__ import annotations

import pytest

from brackets.core.tables.bolt_rows import bolt
from brackets.core.tables.fasteners import engagement, nut, ring_spanner, socket
from brackets.survey.bolt_lengths import choose_tapped, choose_through, nearest_through, tapped, through

M10, M12 = bolt("M10"), bolt("M12")
LOCK = nut("M12", "all-metal lock").height


def test_a_bolt_with_its_shank_through_both_ears_fits() -> None:
    """Ears 6 and 52.5 between them: 64.5, one washer of 2.5 at the head, two at the nut. An M12 x 100 has 30 of
    thread (ISO 4014: 2 d + 6) and 70 of shank; the metal ends at 67, the washers at 72."""
    found = through(M12, 100, grip=64.5, nut_height=LOCK, washers=(1, 2))
    assert (found.thread_in, found.runs_out) == (0.0, 0.0)
    assert found.spare == pytest.approx(100 - 72 - LOCK - 2 * 1.75)
    assert found.fits
    assert choose_through(M12, grip=64.5, nut_height=LOCK, washers=(1, 2)) == found


def test_a_shorter_one_has_thread_in_the_ear_and_a_longer_one_stops_its_nut() -> None:
    short = through(M12, 90, grip=64.5, nut_height=LOCK, washers=(1, 2))
    assert (short.thread_in, short.fits) == (67 - 60, False)
    long = through(M12, 110, grip=64.5, nut_height=LOCK, washers=(1, 2))
    assert (long.runs_out, long.fits) == (80 - 72, False)


def test_washers_make_a_stock_length_fit_where_none_does_without() -> None:
    """58.5 of metal, one washer each end: 90 leaves 1 mm of thread in the ear, 100 stops its nut 6.5 mm short."""
    wrong = {one.length: one for one in nearest_through(M12, grip=58.5, nut_height=LOCK, washers=(1, 1))}
    assert wrong[80].thread_in == pytest.approx(11)
    assert wrong[90].thread_in == pytest.approx(1)
    assert wrong[100].runs_out == pytest.approx(6.5)
    found = choose_through(M12, grip=58.5, nut_height=LOCK, washers=(1, 1))
    assert found is not None
    assert found.fits
    assert (found.length, found.washers) == (100, (2, 3))


@pytest.mark.parametrize(
    ("grip", "nut_height", "fits"),
    [(67.5, 21.5, True), (67.6, 21.0, False), (67.0, 22.5, False)],
)
def test_a_bolt_fits_where_shank_and_thread_are_both_just_enough(
    grip: float, nut_height: float, fits: bool
) -> None:
    """M12 x 100: 70 of shank less a washer of 2.5 is 67.5 of metal. 100 less 2.5, 67.5, two washers of 2.5 and two
    threads of 1.75 is a nut of 21.5; of 67 of metal, 22."""
    assert through(M12, 100, grip=grip, nut_height=nut_height, washers=(1, 2)).fits is fits


@pytest.mark.parametrize(("grip", "washers"), [(64.5, (1, 5)), (55.0, (5, 1))])
def test_more_washers_than_are_stacked_of_choice_are_kept_where_they_are_typed(
    grip: float, washers: tuple[int, int]
) -> None:
    """M12 x 100, 70 of shank. 2.5 + 64.5 = 67 holds the metal, 12.5 more of washers, the lock nut of 12 and two
    threads of 3.5 leave 5. 12.5 + 55 = 67.5; 2.5, 12 and 3.5 leave 14.5, and the shank ends at the nut's washer."""
    found = choose_through(M12, grip=grip, nut_height=LOCK, washers=washers)
    assert found is not None
    assert (found.length, found.washers) == (100, washers)


def test_a_grip_that_no_stock_bolt_fits_gets_none() -> None:
    assert choose_through(M12, grip=400, nut_height=LOCK, washers=(1, 1)) is None


@pytest.mark.parametrize(
    ("grip", "length", "washers", "depth"),
    [
        (56.0, 80, 1, 22.0),  # 80 - 2 - 56
        (66.0, 90, 1, 22.0),
        (73.0, 100, 2, 23.0),  # under one washer it would stand 25 deep, in 25 less a pitch
        (6.0, 30, 1, 22.0),
    ],
)
def test_a_bolt_into_aluminium_is_deep_enough_and_off_the_bottom(
    grip: float, length: float, washers: int, depth: float
) -> None:
    found = choose_tapped(M10, grip=grip, depth=25, least=engagement(M10, "cast aluminium").least)
    assert found is not None
    assert (found.length, found.washers) == (length, washers)
    assert found.depth == pytest.approx(depth)
    assert 21.5 <= found.depth <= 25 - M10.pitch


def test_none_fits_between_two_stock_lengths() -> None:
    """50 of metal and a washer of 2: 72 to 75.5 is wanted, 70 and 80 are kept, and more washers do not help."""
    assert choose_tapped(M10, grip=50, depth=25, least=20) is None
    for length, washers in ((70, 1), (80, 1), (80, 2), (80, 3)):
        made = tapped(M10, length, grip=50, depth=25, least=20, washers=washers, full_thread=False)
        assert not made.fits


def test_a_long_bolt_must_have_thread_enough_for_the_hole() -> None:
    """An M10 x 100 has 26 of thread: 30 deep it would bear on its shank."""
    made = tapped(M10, 100, grip=68, depth=40, least=20, washers=1, full_thread=False)
    assert made.thread_short == pytest.approx(30 - 26)
    assert not made.fits
    assert tapped(M10, 100, grip=68, depth=40, least=20, washers=1, full_thread=True).fits


@pytest.mark.parametrize(("into", "least"), [("steel", 14.2), ("Cast Iron", 20.5), ("cast aluminium", 25.6)])
def test_engagement_is_by_the_casting(into: str, least: float) -> None:
    """M12 of 8.8: FED-STD-H28/2B, worked by hand for M10 in test_rules_welds.py."""
    assert engagement(M12, into).least == least


def test_an_unknown_casting_is_taken_as_the_softest_and_says_so() -> None:
    found = engagement(M12, "magnesium")
    assert found.least == 25.6
    assert "no row for magnesium" in found.source


def test_tools_are_as_wide_as_their_source_says() -> None:
    """US CID A-A-1346A: 1.5 to 1.6 times the hexagon, the large end taken."""
    assert socket(18).od == pytest.approx(28.8)
    assert ring_spanner(18).head == pytest.approx(28.8)
    assert ring_spanner(18).swing == 30  # NAVEDTRA 14001, twelve-point ring
    for row in (socket(18), ring_spanner(18)):
        assert "US CID A-A-1346A" in row.source
        assert "no source" in row.source
