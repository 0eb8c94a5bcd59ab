"""Holes from readings: coordinates and their ±, what the readings do not fix, and the shapes a workshop meets."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pytest

from brackets.core.errors import InputError
from brackets.survey.hand import problems
from brackets.survey.readings import COVER, Reading, ellipse
from brackets.survey.readings import DatumEdge as Edge
from brackets.survey.readings import MeasuredHole as Hole
from brackets.survey.solve import solve

# Two faces of a casting, invented: one flat and square to x, one of bosses at four heights.
TAIL = {"R1": (0, 10, 40), "R2": (0, 120, 30), "R3": (0, 25, 130), "R4": (0, 105, 115)}
TAIL_APART = {
    "R1 R2": 110.45, "R1 R3": 91.24, "R1 R4": 121.04, "R2 R3": 137.93, "R2 R4": 86.31, "R3 R4": 81.39,
}  # fmt: skip
TOP = {"T1": (0, 0, 0), "T2": (-20, -140, 6), "T3": (-150, 10, -8), "T4": (-130, -110, -30)}
TOP_APART = {
    "T1 T2": 141.55, "T1 T3": 150.55, "T1 T4": 172.92, "T2 T3": 198.99, "T2 T4": 119.57, "T3 T4": 123.63,
}  # fmt: skip


def holes(*names, d=None):
    return [Hole(name=n, d=d) for n in names]


def centres(apart, pm=0.2):
    return [Reading(between=tuple(pair.split()), value=v, pm=pm) for pair, v in apart.items()]


def distances(points):
    points = np.asarray(points, dtype=float)
    return np.linalg.norm(points[:, None] - points[None], axis=-1)


def survey_of(rng, n, *, dense=1.0, least=25.0):
    """A random flat pattern, its holes, and readings between them with normal noise of the ± they carry.

    No two holes within `least`, nor all within about that of one line: distances do not hold a row of holes.
    """
    while True:
        points = rng.uniform(-150, 150, (n, 2))
        thin = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[1]
        if (distances(points) + 1e9 * np.eye(n)).min() > least and thin > least * np.sqrt(n / 3):
            break
    d = rng.choice([6.8, 8.5, 10.2], n)
    found = [Hole(name=f"H{k}", d=float(d[k] + rng.normal(0, 0.05)), d_pm=0.1) for k in range(n)]
    readings = []
    for i, j in combinations(range(n), 2):
        if rng.random() < dense:
            how, pm = str(rng.choice(["centre", "outside", "inside"])), float(rng.choice([0.2, 0.3, 0.5]))
            over = {"centre": 0.0, "outside": 0.5, "inside": -0.5}[how] * (d[i] + d[j])
            value = math.dist(points[i], points[j]) + over + rng.normal(0, pm / 2)
            readings.append(Reading(between=(f"H{i}", f"H{j}"), value=float(value), pm=pm, how=how))
    return points, found, readings


def laid_over(found, true):
    """What is left of `found` less `true` (n, 2) when a common shift, turn and mirror are taken out."""
    best = None
    for hand in (1.0, -1.0):
        a, b = true * [1.0, hand], found[:, :2]
        a, b = a - a.mean(axis=0), b - b.mean(axis=0)
        turn = math.atan2((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum(), (a * b).sum())
        matrix = np.array([[math.cos(turn), -math.sin(turn)], [math.sin(turn), math.cos(turn)]])
        off = b - a @ matrix.T
        if best is None or (off**2).sum() < (best**2).sum():
            best = off
    return best


def shares(rng, count):
    """Errors of the coordinates in their own sigma, and readings' misfit, over random surveys without mistakes."""
    z, named = [], 0
    for _ in range(count):
        points, found, readings = survey_of(rng, int(rng.integers(3, 11)))
        made = solve(readings, found)
        assert made.fixed
        named += bool(made.suspect.named or made.suspect.candidates)
        sigma = np.sqrt(np.diag(made.covariance)).reshape(-1, 3)[:, :2]
        z += list((laid_over(made.coordinates, points) / sigma).ravel())
    return np.abs(z), named


def test_coordinates_lie_within_their_sigma_as_a_normal_law_says():
    z, named = shares(np.random.default_rng(1), 25)
    assert (z < 3).mean() >= 0.99
    assert (z < 1).mean() == pytest.approx(0.683, abs=0.09)
    assert named <= 2, "1 % of faultless surveys may be accused"


@pytest.mark.fuzz
def test_five_hundred_surveys_follow_the_normal_law(pytestconfig):
    count = max(500, int(pytestconfig.getoption("--fuzz")))
    z, named = shares(np.random.default_rng(2), count)
    assert (z < 3).mean() >= 0.995
    assert (z < 1).mean() == pytest.approx(0.683, abs=0.02)
    assert (z < 2).mean() == pytest.approx(0.954, abs=0.015)
    assert named / count < 0.02


def test_distances_give_back_a_flat_face():
    made = solve(centres(TAIL_APART), holes(*TAIL), anticlockwise=["R1", "R3", "R4", "R2"])
    true = np.array([(y, z) for _, y, z in TAIL.values()], dtype=float)
    # the distances are rounded to 0.01
    assert np.abs(distances(made.coordinates) - distances(true)).max() < 0.01
    assert np.abs(laid_over(made.coordinates, true)).max() < 0.01
    assert made.fixed
    assert made.spare == 1


def test_a_stepped_face_comes_back_in_space_from_distances_and_depth_gauge_steps():
    steps = [
        Reading(between=("T1", n), value=TOP[n][2] - TOP["T1"][2], pm=0.1, how="step") for n in ("T2", "T3", "T4")
    ]
    made = solve(centres(TOP_APART) + steps, holes(*TOP), clockwise=["T1", "T2", "T4", "T3"])
    true = np.array(list(TOP.values()), dtype=float)
    assert np.abs(distances(made.coordinates) - distances(true)).max() < 0.02
    assert made.coordinates[:, 2] == pytest.approx(true[:, 2], abs=0.01)


def test_without_steps_a_stepped_face_is_not_flat_and_the_misfit_says_so():
    """Heights up to 36 mm shorten the plan by up to 5.5 mm: with a caliper's ±0.2 that cannot be a flat face."""
    made = solve(centres(TOP_APART, pm=0.1), holes(*TOP))
    assert made.misfit > 1.5 or made.suspect.candidates


def test_outside_and_inside_readings_are_the_centre_distance_and_a_diameter():
    d = {"a": 10.2, "b": 8.5, "c": 6.8}
    at = {"a": (0.0, 0.0), "b": (60.0, 0.0), "c": (20.0, 45.0)}
    readings = []
    for (p, q), how in zip(combinations(d, 2), ("outside", "inside", "outside"), strict=True):
        over = (d[p] + d[q]) / 2 * (1 if how == "outside" else -1)
        readings.append(Reading(between=(p, q), value=math.dist(at[p], at[q]) + over, how=how))
    made = solve(readings, [Hole(name=n, d=v) for n, v in d.items()], anticlockwise=["a", "b", "c"])
    assert made.coordinates[:, :2] == pytest.approx(np.array(list(at.values())), abs=1e-6)
    assert made.residuals == pytest.approx(np.zeros(3), abs=1e-6)


def test_a_straight_reading_between_faces_at_two_heights_goes_from_rim_to_rim():
    """A closed form written out here: sqrt((plan + both radii)² + step²)."""
    hole = [Hole(name="a", d=10.0), Hole(name="b", d=10.0), Hole(name="c", d=10.0)]
    step = Reading(between=("a", "b"), value=40.0, how="step")
    flat = [Reading(between=("a", "c"), value=80.0), Reading(between=("b", "c"), value=math.hypot(100, 40))]
    slant = Reading(between=("a", "b"), value=math.hypot(60.0 + 10.0, 40.0), how="outside")
    level = Reading(between=("a", "b"), value=70.0, how="outside", level=True)
    for reading in (slant, level):
        made = solve([reading, step, *flat], hole, anticlockwise=["a", "b", "c"])
        assert made.coordinates[1] == pytest.approx([60.0, 0.0, 40.0], abs=1e-6)


def test_datum_edges_place_the_pattern_and_settle_its_hand():
    edges = [Edge(name="left", axis="x"), Edge(name="base", axis="y", at=2.0)]
    hole = [Hole(name="a", d=10.0), Hole(name="b", d=10.0)]
    readings = [
        Reading(between=("left", "a"), value=25.0, how="inside"),
        Reading(between=("base", "a"), value=38.0),
        Reading(between=("left", "b"), value=95.0, how="outside"),
        Reading(between=("base", "b"), value=18.0),
        Reading(between=("a", "b"), value=math.hypot(60, 20)),
    ]
    made = solve(readings, hole, edges=edges)
    assert made.coordinates[:, :2] == pytest.approx(np.array([(30.0, 40.0), (90.0, 20.0)]), abs=1e-6)
    assert made.handed
    assert made.spare == 1


def edged_triangle(**more):
    """Three holes held by two datum edges, going round anticlockwise."""
    at = {"a": (30.0, 40.0), "b": (90.0, 20.0), "c": (70.0, 95.0)}
    edges = [Edge(name="left", axis="x"), Edge(name="base", axis="y")]
    readings = [Reading(between=("left", n), value=at[n][0]) for n in "abc"]
    readings += [Reading(between=("base", n), value=at[n][1]) for n in more.pop("base", "abc")]
    readings += [Reading(between=(p, q), value=math.dist(at[p], at[q])) for p, q in combinations("abc", 2)]
    return at, solve(readings, holes("a", "b", "c"), edges=edges, **more)


def test_a_hand_that_contradicts_the_datum_edges_is_said_and_the_edges_keep_their_holes():
    for way in ("clockwise", "anticlockwise"):
        at, made = edged_triangle(**{way: ["a", "b", "c"]})
        assert made.coordinates[:, :2] == pytest.approx(np.array(list(at.values())), abs=1e-6)
        assert made.handed
        assert bool(made.against) == (way == "clockwise")


def test_edges_that_leave_the_hand_open_take_the_one_that_is_said():
    """Only a is read from the base: turned over about the level line through a, all readings are the same."""
    assert not edged_triangle(base="a")[1].handed
    at, made = edged_triangle(base="a", anticlockwise=["a", "b", "c"])
    assert made.coordinates[:, :2] == pytest.approx(np.array(list(at.values())), abs=1e-6)
    over = np.array([(x, 80.0 - y) for x, y in at.values()])
    made = edged_triangle(base="a", clockwise=["a", "b", "c"])[1]
    assert made.coordinates[:, :2] == pytest.approx(over, abs=1e-6)


def test_two_holes_have_no_hand_and_three_have():
    assert solve(centres({"a b": 50.0}), holes("a", "b")).handed
    assert not solve(centres({"a b": 50.0, "b c": 60.0, "a c": 70.0}), holes("a", "b", "c")).handed


def test_in_space_four_holes_need_to_be_told_which_stands_out():
    rng = np.random.default_rng(3)
    true = rng.uniform(-100, 100, (4, 3))
    readings = [Reading(between=("abcd"[i], "abcd"[j]), value=float(math.dist(true[i], true[j])))
                for i, j in combinations(range(4), 2)]  # fmt: skip
    assert not solve(readings, holes(*"abcd"), space=True, clockwise=list("abc")).handed
    for way, sign in (("clockwise", -1), ("anticlockwise", 1)):
        made = solve(readings, holes(*"abcd"), space=True, out="d", **{way: list("abc")})
        assert made.handed
        p = made.coordinates
        assert sign * np.cross(p[1] - p[0], p[2] - p[0])[2] > 0, "z is towards the reader"
        assert p[3, 2] > 0


def test_a_hole_said_to_stand_out_that_the_steps_put_further_in_is_said():
    steps = [Reading(between=("R1", n), value=v, how="step") for n, v in (("R2", 0.0), ("R3", 0.0), ("R4", -6.0))]
    level = [Reading(between=r.between, value=r.value, level=True) for r in centres(TAIL_APART)]
    way = {"anticlockwise": ["R1", "R3", "R2"], "out": "R4"}
    (said,) = solve(level + steps, holes(*TAIL), **way).against
    assert said == "[pattern] out = R4: the steps put it 6.0 mm further in, not out"
    steps[2] = Reading(between=("R1", "R4"), value=6.0, how="step")
    assert solve(level + steps, holes(*TAIL), **way).against == ()


def test_a_shape_in_space_comes_back_from_distances_alone():
    rng = np.random.default_rng(4)
    true = rng.uniform(-100, 100, (6, 3))
    names = [f"P{k}" for k in range(6)]
    readings = [
        Reading(between=(names[i], names[j]), value=float(math.dist(true[i], true[j])), pm=0.5)
        for i, j in combinations(range(6), 2)
    ]
    made = solve(readings, holes(*names), space=True)
    assert distances(made.coordinates) == pytest.approx(distances(true), abs=1e-5)
    assert made.fixed
    assert not made.handed


@pytest.mark.parametrize("seed", range(4))
def test_in_space_the_hand_is_what_the_reader_says(seed):
    rng = np.random.default_rng(seed)
    true = rng.uniform(-100, 100, (5, 3))
    names = list("abcde")
    readings = [
        Reading(between=(names[i], names[j]), value=float(math.dist(true[i], true[j])), pm=0.5)
        for i, j in combinations(range(5), 2)
    ]
    # seen from d, do a, b, c go round clockwise? anticlockwise where their normal points towards d
    normal = np.cross(true[1] - true[0], true[2] - true[0])
    away = (true[3] - true[0]) @ normal < 0
    way = {"clockwise" if away else "anticlockwise": names[:3]}
    made = solve(readings, holes(*names), space=True, out="d", **way)
    p = made.coordinates
    volume = np.linalg.det(p[1:4] - p[0])
    assert volume == pytest.approx(np.linalg.det(true[1:4] - true[0]), rel=1e-4)


def test_each_way_round_gives_the_mirror_image_of_the_other():
    order = ["R1", "R3", "R4", "R2"]
    one = solve(centres(TAIL_APART), holes(*TAIL), clockwise=order)
    other = solve(centres(TAIL_APART), holes(*TAIL), anticlockwise=order)
    assert one.coordinates[:, 1] == pytest.approx(-other.coordinates[:, 1], abs=1e-9)
    assert one.coordinates[2, 1] > 0, "up the left side, across the top and down again is clockwise"
    assert not solve(centres(TAIL_APART), holes(*TAIL)).handed


def test_a_missing_diagonal_is_asked_for_by_name():
    """Four sides of a quadrilateral fold flat: either diagonal fixes it."""
    sides = {k: TAIL_APART[k] for k in ("R1 R2", "R2 R4", "R3 R4", "R1 R3")}
    made = solve(centres(sides), holes(*TAIL))
    assert not made.fixed
    assert made.loose
    assert made.help is not None
    assert made.help.why == "fixes the shape"
    assert set(made.help.between) in ({"R1", "R4"}, {"R2", "R3"})
    assert solve(centres(sides | {" ".join(made.help.between): TAIL_APART[" ".join(made.help.between)]}),
                 holes(*TAIL)).loose == ()  # fmt: skip


def test_a_hole_hung_from_two_others_may_lie_on_either_side_and_the_reading_that_settles_it_is_named():
    five = {k: v for k, v in TAIL_APART.items() if k != "R2 R3"}
    made = solve(centres(five), holes(*TAIL))
    assert made.loose == ()
    assert made.mirrors
    assert made.help is not None
    assert made.help.why == "settles the mirror image"
    assert set(made.help.between) == {"R2", "R3"}
    assert solve(centres(TAIL_APART), holes(*TAIL)).mirrors == ()


def test_three_holes_in_a_line_are_loose_across_it():
    made = solve(centres({"a b": 50.0, "b c": 50.0, "a c": 100.0}), holes("a", "b", "c"))
    assert "b" in made.loose
    assert not made.fixed


def test_the_reading_asked_for_does_narrow_the_widest_ellipse_more_than_any_other():
    rng = np.random.default_rng(9)
    _, found, readings = survey_of(rng, 5)
    readings = [r for r in readings if set(r.between) != {"H1", "H3"}]
    made = solve(readings, found, helper_pm=0.2)
    assert made.help is not None

    def traced(pair):
        more = solve([*readings, Reading(between=pair, value=distances(made.coordinates)[
            found_at[pair[0]], found_at[pair[1]]], pm=0.2)], found)  # fmt: skip
        return float(np.trace(more.covariance))

    found_at = {h.name: k for k, h in enumerate(found)}
    every = {pair: traced(pair) for pair in combinations(found_at, 2)}
    assert traced(made.help.between) <= min(every.values()) * 1.001


def test_the_ellipse_is_two_sigma_along_and_across():
    c, s = math.cos(0.5), math.sin(0.5)
    turn = np.array([[c, -s], [s, c]])
    made = ellipse(turn @ np.diag([0.09, 0.01]) @ turn.T)
    assert (made.long, made.short) == (pytest.approx(0.3 * COVER), pytest.approx(0.1 * COVER))
    assert made.angle == pytest.approx(math.degrees(0.5))


def test_four_readings_of_one_distance_halve_its_plus_minus():
    once = solve([Reading(between=("a", "b"), value=80.0, pm=0.4)], holes("a", "b"))
    four = solve([Reading(between=("a", "b"), value=80.0, pm=0.4)] * 4, holes("a", "b"))
    assert np.sqrt(np.trace(four.covariance) / np.trace(once.covariance)) == pytest.approx(0.5, rel=1e-6)


def test_it_unpacks_as_coordinates_covariance_residuals_suspect():
    coordinates, covariance, residuals, suspect = solve(centres(TAIL_APART), holes(*TAIL))
    assert coordinates.shape == (4, 3)
    assert covariance.shape == (12, 12)
    assert residuals.shape == (6,)
    assert suspect.named == ()


BAD = {
    "hole named twice": ([], holes("a", "a"), {}, 'name = "a", must be given once'),
    "one hole": ([], holes("a"), {}, "must be at least 2"),
    "unknown hole": (centres({"H1 H22": 9.0}), holes("H1", "H2"), {}, 'nearest: "H2"'),
    "same hole twice": (centres({"a a": 9.0}), holes("a", "b"), {}, "must be two different things"),
    "negative": (centres({"a b": -9.0}), holes("a", "b"), {}, "value = -9 mm, must be above 0"),
    "kilometres": (centres({"a b": 9e6}), holes("a", "b"), {}, "at most 5000"),
    "not a number": (centres({"a b": math.nan}), holes("a", "b"), {}, "value = nan mm"),
    "no plus-minus": (centres({"a b": 9.0}, pm=0.0), holes("a", "b"), {}, "pm = 0 mm, must be above 0"),
    "no diameter": (
        [Reading(between=("a", "b"), value=9.0, how="outside")], [Hole(name="a", d=8.0), Hole(name="b")], {},
        'hole "b" d = none',
    ),
    "bad diameter": (centres({"a b": 9.0}), [Hole(name="a", d=-8.0), Hole(name="b")], {}, "d = -8 mm"),
    "unknown way": ([Reading(between=("a", "b"), value=9.0, how="rim")], holes("a", "b"), {}, "one of centre"),
    "untied": (centres({"a b": 9.0, "c d": 9.0}), holes("a", "b", "c", "d"), {}, "none between c, d and the rest"),
    "both ways round": (
        centres({"a b": 9.0}), holes("a", "b", "c"), {"clockwise": list("abc"), "anticlockwise": list("abc")},
        "must be one of the two",
    ),
    "two go round": (centres({"a b": 9.0}), holes("a", "b"), {"clockwise": ["a", "b"]}, "at least three"),
    "hanging step": (
        [*centres({"a b": 9.0, "b c": 9.0, "a c": 9.0}), Reading(between=("b", "c"), value=3.0, how="step")],
        holes("a", "b", "c"), {}, "must lead to a",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", BAD)
def test_a_bad_survey_is_refused_in_a_line(case):
    readings, found, more, words = BAD[case]
    with pytest.raises(InputError) as refused:
        solve(readings, found, **more)
    assert words in str(refused.value)
    assert any(words in line for line in refused.value.problems)


def test_everything_wrong_is_said_at_once():
    readings = [Reading(between=("a", "x"), value=-1.0, pm=0.0), Reading(between=("a", "b"), value=1e9)]
    with pytest.raises(InputError) as refused:
        solve(readings, holes("a", "b"))
    assert len(refused.value.problems) == 4


def said_of(reading=None, hole=None, *, space=False, edges=()):
    """What is said of holes a and b, 9 mm apart, with these changes to a and to the reading."""
    pair = [Hole(**{"name": "a", "d": 8.0, **(hole or {})}), Hole(name="b", d=8.0)]
    one = Reading(**{"between": ("a", "b"), "value": 9.0, **(reading or {})})
    return problems([one], pair, edges, space=space)


@pytest.mark.parametrize(
    ("kept", "broken", "words"),
    [
        ({"reading": {"value": 5000.0}}, {"reading": {"value": 5000.5}}, "must be above 0 and at most 5000"),
        ({"reading": {"value": 0.1}}, {"reading": {"value": 0.0}}, "value = 0 mm, must be above 0"),
        ({"reading": {"value": 1.0}}, {"reading": {"value": math.nan}}, "value = nan mm, must be above 0"),
        ({"hole": {"d": 499.9}}, {"hole": {"d": 500.0}}, "d = 500 mm, must be above 0 and under 500"),
        ({"hole": {"d": 0.1}}, {"hole": {"d": 0.0}}, "d = 0 mm, must be above 0 and under 500"),
        ({"hole": {"d_pm": 0.01}}, {"hole": {"d_pm": 0.0}}, 'hole "a" pm = 0 mm, must be above 0'),
        ({"reading": {"how": "outside"}}, {"reading": {"how": "outside"}, "hole": {"d": None}},
         'hole "a" d = none, must be given: reading 1 (a b) is taken over its edge'),
        ({"reading": {"how": "inside"}}, {"reading": {"how": "inside"}, "space": True},
         "how = inside, must be centre in space"),
        ({"space": True}, {"reading": {"how": "outside"}, "space": True}, "how = outside, must be centre in space"),
        ({"edges": [Edge(name="e", axis="x")]}, {"edges": [Edge(name=" ", axis="x")]}, "name = empty"),
    ],
)  # fmt: skip
def test_each_word_on_a_reading_is_kept_at_its_limit_and_said_beyond(kept, broken, words):
    assert said_of(**kept) == []
    (line,) = said_of(**broken)
    assert words in line


def test_a_hole_that_no_reading_ties_to_the_rest_is_named():
    three = holes("a", "b", "c")
    assert problems(centres({"a b": 9.0, "b c": 9.0}), three, (), space=False) == []
    (line,) = problems(centres({"a b": 9.0}), three, (), space=False)
    assert line == "readings = none between c and the rest, must tie every hole to the others"
