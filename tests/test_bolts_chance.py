"""The chance that all bolts go in: worked figures, what must not change, and what to do about it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from brackets.core.errors import InputError
from brackets.survey.advice import advice, best, fillet_warnings
from brackets.survey.assembly_fit import Slot, enters
from brackets.survey.chance import FILLET_PULL, Chance, HoleErrors, Pull, _range, chance, drawn, wilson
from brackets.survey.minimax import Cases

PATTERN = [(0.0, 0.0, 10.0), (250.0, 0.0, 10.0), (250.0, 120.0, 10.0), (0.0, 120.0, 10.0)]
CLASSES = {"fine": [10.5] * 4, "medium": [11.0] * 4, "coarse": [12.0] * 4}


@pytest.mark.parametrize(
    ("hole", "scale", "noted"),
    [(11.0, 0.0, 0.69), (11.0, 0.002, 0.43), (11.0, 0.005, 0.02), (12.0, 0.005, 0.72)],
)
def test_the_worked_figures_of_the_notes_come_out(hole, scale, noted):
    """Trade fact 82: four M10 on 250 x 120, 0.35 mm per axis, 4,000 trials, own arithmetic of the project.

    Ours with 40,000 trials: 0.699, 0.439, 0.019, 0.721 (each +/- 0.005); the note says "about 0" of the third.
    Both are counts, so they may differ by three sigma of the difference of two counts of 4,000.
    """
    found = chance(PATTERN, [hole] * 4, HoleErrors(drill=0.35, scale=scale), 4000, 82)
    allowed = 3 * math.sqrt(2 * noted * (1 - noted) / 4000)
    assert found.chance == pytest.approx(noted, abs=allowed)


def test_two_holes_agree_with_the_normal_law():
    """Two holes fail only by their spacing, whose error across is second order: P(|N(0, s sqrt 2)| < 1)."""
    found = chance([(0, 0, 10), (200, 0, 10)], [11.0, 11.0], HoleErrors(drill=0.5), 20000, 1)
    exact = math.erf(1.0 / (0.5 * math.sqrt(2)) / math.sqrt(2))
    assert found.chance == pytest.approx(exact, abs=0.01)
    assert found.low <= exact <= found.high


def test_every_trial_is_decided_as_the_exact_slack_decides_it():
    errors = HoleErrors(drill=0.3, pulls=(Pull(hole=1),))
    holes = [11.0, Slot(11.0, 4.0, 30.0), 11.0, 10.5]
    trials = 12
    drilled, stand = drawn(np.array(PATTERN)[:, :2], errors, trials, 5)
    exact = [
        enters(c, np.column_stack([b, np.full(4, 10.0)]), holes) > 0 for c, b in zip(drilled, stand, strict=True)
    ]
    assert chance(PATTERN, holes, errors, trials, 5).entered == sum(exact)
    assert 0 < sum(exact) < trials, "both answers must occur"


def test_the_same_seed_gives_the_same_chance_and_its_width_covers_another():
    a, b = (chance(PATTERN, [11.0] * 4, HoleErrors(), 1500, 9) for _ in range(2))
    other = chance(PATTERN, [11.0] * 4, HoleErrors(), 1500, 10)
    assert a == b
    assert a.chance != other.chance
    assert abs(a.chance - other.chance) < 2 * (a.pm + other.pm)
    value, pm = a
    assert (value, pm) == (a.chance, a.pm)


def test_the_interval_is_wilsons():
    """E. B. Wilson 1927; 10 of 20 is the textbook case 0.2993 to 0.7007 (from memory of Agresti and Coull 1998,
    and checked against the root of the score equation below)."""
    low, high = wilson(10, 20)
    assert (low, high) == (pytest.approx(0.2993, abs=1e-4), pytest.approx(0.7007, abs=1e-4))
    for hits, trials in ((3, 40), (399, 400), (7, 9)):
        for end in wilson(hits, trials):
            z = (hits / trials - end) / math.sqrt(end * (1 - end) / trials)
            assert abs(z) == pytest.approx(1.959964, rel=1e-9)
    assert Chance(0.5, low, high, 20, 10).pm == pytest.approx((0.7007 - 0.2993) / 2, abs=1e-4)
    assert wilson(0, 100)[0] == 0.0
    assert wilson(100, 100)[0] > 0.95


def test_holes_that_do_not_err_always_go_in_and_bolts_that_are_too_big_never():
    still = HoleErrors(drill=0.0)
    assert chance(PATTERN, [10.1] * 4, still, 200).entered == 200
    assert chance(PATTERN, [9.9] * 4, still, 200).entered == 0


def test_a_bigger_hole_and_a_truer_template_never_lower_the_chance():
    last = 0
    for d in (10.5, 11.0, 11.5, 12.0):
        now = chance(PATTERN, [d] * 4, HoleErrors(scale=0.002), 800, 3).entered
        assert now >= last
        last = now
    assert (
        chance(PATTERN, [11.0] * 4, HoleErrors(scale=0.002), 800, 3).chance
        < chance(PATTERN, [11.0] * 4, HoleErrors(), 800, 3).chance
    )


def test_the_mating_part_errs_as_much_as_the_plate():
    both = chance(PATTERN, [11.0] * 4, HoleErrors(drill=0.3, mate=0.4), 3000, 1)
    one = chance(PATTERN, [11.0] * 4, HoleErrors(drill=0.5), 3000, 1)
    assert both.chance == pytest.approx(one.chance, abs=both.pm + one.pm)


@pytest.mark.parametrize(("toward", "arc"), [(90.0, 22.5), (None, 180.0)])
def test_a_pull_is_half_to_one_and_a_half_of_its_fillets_and_looks_where_it_is_said_to(toward, arc):
    """Two fillets of 0.8: 0.8 to 2.4 mm, 1.6 in the mean; 45 degrees of doubt are 22.5 either way. The mean of
    20,000 even draws lies within 5 sigma = 5 x range / sqrt(12 x 20,000) of the middle: range / 98."""
    errors = HoleErrors(drill=0.0, pulls=(Pull(hole=1, fillets=2, toward=toward),))
    points = np.array(PATTERN)[:, :2]
    drilled, stand = drawn(points, errors, 20000, 4)
    assert np.array_equal(stand, np.broadcast_to(points, stand.shape))
    moved = drilled - points
    assert not moved[:, [0, 2, 3]].any()
    run = np.hypot(*moved[:, 1].T)
    assert (run.min(), run.max()) == (pytest.approx(0.8, abs=0.01), pytest.approx(2.4, abs=0.01))
    assert run.mean() == pytest.approx(1.6, abs=1.6 / 98)
    off = np.degrees(np.arctan2(moved[:, 1, 1], moved[:, 1, 0])) - (toward or 0.0)
    assert (off.min(), off.max()) == (pytest.approx(-arc, rel=0.01), pytest.approx(arc, rel=0.01))
    assert off.mean() == pytest.approx(0.0, abs=2 * arc / 98)


@pytest.mark.parametrize(("long", "half"), [(100.0, 2 * math.asin(1 / 200)), (101.0, 1e-6), (101.5, None)])
def test_the_turn_two_bolts_leave_is_known_by_the_law_of_cosines(long, half):
    """Bolts 100 apart, holes `long` apart and turned by 0.3 rad, 0.5 of room at each, so that one bolt may be 1 mm
    off where the other is in the middle. Of 100 the chord of the turn is 1; of 101 no turn is left."""
    bolts = np.array([[[0.0, 0.0], [100.0, 0.0]]])
    centres = np.array([[[7.0, 8.0], [7.0 + long * math.cos(0.3), 8.0 + long * math.sin(0.3)]]])
    case = Cases(bolts, centres, np.full(2, 0.5), np.zeros(2), np.tile([1.0, 0.0], (2, 1)))
    turn, found, possible = _range(case)
    assert turn == pytest.approx([0.3])
    assert possible.tolist() == [half is not None]
    if half is not None:
        assert found == pytest.approx([half], abs=1e-6)


def test_a_survey_known_to_shift_and_turn_only_costs_nothing():
    """An error common to all holes is taken up by laying the plate."""
    shift = np.kron(np.ones((4, 4)), np.eye(2)) * 4.0
    still = HoleErrors(drill=0.0, survey=shift)
    assert chance(PATTERN, [10.5] * 4, still, 300).entered == 300
    own = HoleErrors(drill=0.0, survey=np.eye(8) * 4.0)
    assert chance(PATTERN, [10.5] * 4, own, 300).entered < 100


def test_a_survey_of_one_sigma_counts_as_drill_wander_of_one_sigma():
    survey = chance(PATTERN, [11.0] * 4, HoleErrors(drill=0.0, survey=np.eye(8) * 0.35**2), 3000, 1)
    drill = chance(PATTERN, [11.0] * 4, HoleErrors(drill=0.35), 3000, 1)
    assert survey.chance == pytest.approx(drill.chance, abs=survey.pm + drill.pm)


def test_advice_reaches_nineteen_in_twenty_with_the_mildest_change():
    errors = HoleErrors(drill=0.35, scale=0.002, pulls=(Pull(hole=1, toward=180.0),))
    found = advice(PATTERN, [11.0] * 4, errors, classes=CLASSES, names=["a", "b", "c", "d"], trials=800)
    kinds = [o.kind for o in found]
    assert kinds == ["as drawn", "scale", "weld", "class", "slot", "transfer"]
    chosen = best(found)
    assert chosen is not None
    assert chosen.kind == "class"
    assert chosen.chance.chance == chance(PATTERN, [12.0] * 4, errors, 800).chance
    slot = next(o for o in found if o.kind == "slot")
    assert sum(isinstance(h, Slot) for h in slot.holes) == 1
    assert slot.chance.chance > found[0].chance.chance


def test_the_slot_advised_for_two_holes_lies_along_the_line_through_them():
    pattern = [(0.0, 0.0, 10.0), (100.0, 100.0, 10.0)]
    found = advice(pattern, [10.5, 10.5], HoleErrors(drill=0.5), trials=400)
    slot = next(h for o in found if o.kind == "slot" for h in o.holes if isinstance(h, Slot))
    assert slot.angle == pytest.approx(45.0, abs=23.0)


def test_one_fillet_is_warned_of_where_it_takes_a_holes_own_room():
    warned = fillet_warnings([(x, y, 12.0) for x, y, _ in PATTERN], [13.5] * 4)
    assert [w.hole for w in warned] == [0, 1, 2, 3]
    assert all(w.used_up and not w.stops for w in warned)
    assert warned[0].room == pytest.approx(0.75)
    assert warned[0].left == pytest.approx(0.35, abs=1e-4), "the other holes give way too: see fact 92"
    assert fillet_warnings(PATTERN, [12.0] * 4) == ()
    tight = fillet_warnings([(x, y, 12.0) for x, y, _ in PATTERN], [12.5] * 4)
    assert all(w.stops and w.left == pytest.approx(0.25 - FILLET_PULL / 2, abs=1e-4) for w in tight)


@pytest.mark.parametrize(
    ("errors", "trials", "words"),
    [
        (HoleErrors(drill=-1.0), 10, "drill = -1, must be 0 or more"),
        (HoleErrors(scale=2.0), 10, "0.002 is a template 0.2 % too large"),
        (HoleErrors(survey=np.eye(3)), 10, "must be (8, 8)"),
        (HoleErrors(pulls=(Pull(hole=7),)), 10, "pull.hole = 7, must be 0 to 3"),
        (HoleErrors(), 0, "trials = 0, must be at least 1"),
    ],
)
def test_errors_that_make_no_sense_are_refused(errors, trials, words):
    with pytest.raises(InputError) as refused:
        chance(PATTERN, [11.0] * 4, errors, trials)
    assert words in str(refused.value)
