"""Mass and centre of mass from scales, and from a hook and a tilt: closed forms of statics."""

from __future__ import annotations

import math

import numpy as np
import pytest

from brackets.core.errors import InputError
from brackets.survey.weigh import Weighing, balance, upward

STANDS = ((-250.0, 300.0, 0.0), (-250.0, -300.0, 0.0), (700.0, 0.0, 0.0))
CENTRE = np.array([50.0, 20.0, 180.0])


def scales(centre, mass, up, points=STANDS):
    """What three scales read: forces along `up` whose sum and moment balance the weight, solved as statics.

    The equations are written for the tilted engine: sum f = m, and sum f (p - centre) has no part square to up.
    """
    p = np.array(points)
    side = np.cross(up, [0.0, 1.0, 0.0])
    side /= np.linalg.norm(side)
    other = np.cross(up, side)
    a = np.array([np.ones(3), (p - centre) @ side, (p - centre) @ other])
    return tuple(float(v) for v in np.linalg.solve(a, [mass, 0.0, 0.0]))


def weighed(centre=CENTRE, mass=220.0, nose_up=0.0, left_up=0.0, **more):
    up = upward(nose_up, left_up)
    return Weighing(points=STANDS, reads=scales(centre, mass, up), nose_up=nose_up, left_up=left_up, **more)


def test_three_reactions_of_the_notes_give_back_their_centre():
    """Check values of the project: 220 kg at (0.05, 0.02) m on mounts (-0.25, ±0.30), (0.70, 0): 809.99, 666.16,
    681.30 N (own closed form of the notes; standard gravity 9.80665)."""
    newtons = (809.99, 666.16, 681.30)
    found = balance([Weighing(points=STANDS, reads=tuple(n / 9.80665 for n in newtons))])
    assert found.mass == pytest.approx(220.0, abs=0.002)
    assert found.centre[:2] == (pytest.approx(50.0, abs=0.01), pytest.approx(20.0, abs=0.01))
    assert not found.height_known


@pytest.mark.parametrize("off", [1.0, -1.0, 0.25])
def test_a_level_error_moves_the_centre_by_height_times_its_tangent(off):
    """Thought level, truly nose up: the line through the centre leans back, and meets the stands behind it."""
    tilted = weighed(nose_up=off)
    taken_level = Weighing(points=STANDS, reads=tilted.reads)
    found = balance([taken_level])
    assert found.centre[0] == pytest.approx(CENTRE[0] - CENTRE[2] * math.tan(math.radians(off)), abs=1e-6)
    assert found.centre[1] == pytest.approx(CENTRE[1], abs=1e-6)


def test_one_degree_at_one_hundred_and_eighty_up_is_three_millimetres():
    found = balance([weighed()], height=180.0)
    assert found.per_degree == pytest.approx(180.0 * math.tan(math.radians(1.0)))
    assert found.centre_pm[0] > 0.5 * 180.0 * math.radians(0.5)


def test_two_tilts_give_the_height():
    found = balance([weighed(), weighed(nose_up=14.0)])
    assert found.height_known
    assert found.centre == pytest.approx(tuple(CENTRE), abs=1e-6)
    assert max(found.misses) < 1e-6


def test_two_hooks_cross_at_the_centre():
    """Hung from a hook the centre is under it; two hooks, two lines, one point. Angles from geometry."""
    hooks = (np.array([200.0, 20.0, 600.0]), np.array([-150.0, 60.0, 580.0]))
    weighings = []
    for hook in hooks:
        up = (hook - CENTRE) / np.linalg.norm(hook - CENTRE)
        nose, left = (math.degrees(math.asin(v)) for v in up[:2])
        weighings.append(Weighing(points=(tuple(hook),), reads=(220.0,), nose_up=nose, left_up=left))
    found = balance(weighings)
    assert found.mass == pytest.approx(220.0)
    assert found.centre == pytest.approx(tuple(CENTRE), abs=1e-6)


def test_the_plus_minus_covers_what_random_errors_do():
    """Readings, stands and level disturbed by their own sigma (half their ±): spread against what is printed."""
    rng = np.random.default_rng(0)
    clean = [weighed(), weighed(nose_up=12.0)]
    stated = balance(clean)
    found = []
    for _ in range(400):
        made = []
        for w in clean:
            made.append(
                Weighing(
                    points=tuple(tuple(v + rng.normal(0, 0.5) for v in p) for p in w.points),
                    reads=tuple(r + rng.normal(0, 0.25) for r in w.reads),
                    nose_up=w.nose_up + rng.normal(0, 0.25),
                    left_up=w.left_up + rng.normal(0, 0.25),
                )
            )
        found.append(balance(made).centre)
    spread = 2.0 * np.std(found, axis=0)
    assert spread == pytest.approx(np.array(stated.centre_pm), rel=0.12)


def test_a_small_tilt_gives_no_height_and_a_bigger_one_gives_it_better():
    assert not balance([weighed(), weighed(nose_up=1.0)]).height_known
    small, big = (balance([weighed(), weighed(nose_up=a)]) for a in (5.0, 20.0))
    assert big.centre_pm[2] < small.centre_pm[2] / 3


def test_two_weighings_of_one_thing_weigh_it_better():
    one, two = balance([weighed()]), balance([weighed(), weighed(nose_up=10.0)])
    assert one.mass_pm == pytest.approx(0.5 * math.sqrt(3))
    assert two.mass_pm == pytest.approx(one.mass_pm / math.sqrt(2))


def test_what_is_read_more_closely_counts_by_the_square_of_its_plus_minus():
    """200 kg to 0.5 and 210 to 1 a stand: (4 x 200 + 210) / 5."""
    close = Weighing(points=STANDS, reads=(50.0, 50.0, 100.0), pm=0.5)
    rough = Weighing(points=STANDS, reads=(50.0, 50.0, 110.0), pm=1.0)
    found = balance([close, rough])
    assert found.mass == pytest.approx(202.0)
    assert found.mass_pm == pytest.approx(math.sqrt(3 / 5))


def test_a_degree_moves_the_centre_by_its_height_over_the_stands():
    raised = tuple((x, y, z + 100.0) for x, y, z in STANDS)
    found = balance([Weighing(points=raised, reads=(50.0, 50.0, 100.0))], height=280.0)
    assert found.per_degree == pytest.approx(180.0 * math.tan(math.radians(1.0)))


LINE = ((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (300.0, 0.0, 0.0))
BAD = {
    "nothing": ([], "must be at least one"),
    "two stands": ([Weighing(points=STANDS[:2], reads=(1.0, 1.0))], "across two it would tip"),
    "in one place": ([Weighing(points=STANDS[:1] * 3, reads=(1.0, 1.0, 1.0))], "all in a line"),
    "in a line": ([Weighing(points=LINE, reads=(1.0, 1.0, 1.0))], "all in a line"),
    "one reading short": ([Weighing(points=STANDS, reads=(1.0, 1.0))], "one for each of 3 points"),
    "negative": ([Weighing(points=STANDS, reads=(9.0, 9.0, -1.0))], "reads = -1 kg, must be 0 or more"),
    "nothing on it": ([Weighing(points=STANDS, reads=(0.0, 0.0, 0.0))], "must be above 0"),
    "on its nose": ([Weighing(points=STANDS, reads=(9.0, 9.0, 9.0), nose_up=80.0)], "must be under 60"),
    "no plus-minus": ([Weighing(points=STANDS, reads=(9.0, 9.0, 9.0), pm=0.0)], "how well it is known"),
}


@pytest.mark.parametrize("case", BAD)
def test_a_weighing_that_makes_no_sense_is_refused_in_a_line(case):
    weighings, words = BAD[case]
    with pytest.raises(InputError) as refused:
        balance(weighings)
    assert words in str(refused.value)
    assert len(refused.value.problems) == 1
