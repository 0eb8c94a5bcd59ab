"""Seeded typos in random surveys: no good reading is named, and the wrong one is where the others can tell.

All geometry is written out here anew: what the tool reads, how that moves with the holes, what a mistake leaves.

Settled before anything was measured: *redundancy identifies* a reading when the rest check it whichever one other
figure of the file (a reading or a diameter) is missing too. Otherwise that other figure, being wrong, would explain
the contradiction as exactly as the true mistake does. This is the condition of W. Baarda's reliability theory that
the tests of two observations are not parallel (A Testing Procedure for Use in Geodetic Networks, Netherlands
Geodetic Commission, 1968; parallel tests: W. Förstner, 1983; both from memory), as ranks of the design matrix at
the true holes. It says nothing of the mistake's size: a small one may still hide where the shape is slender.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import pytest

from brackets.survey.readings import MeasuredHole as Hole
from brackets.survey.readings import Reading, ellipse
from brackets.survey.solve import solve

SIZE = 150.0  # mm: holes within ± this
LEAST = 25.0  # mm between any two
PM = 0.2  # mm, two sigma
D_PM = 0.1
BOUND = 4.0  # sigmas of a printed ± within which the truth must lie, nearly always
RANK = 1e-4  # of the largest: a smaller singular value is a movement nothing holds


@dataclass(frozen=True)
class Case:
    """One survey: what is true, what was typed, and which figure is wrong by how much."""

    at: tuple[tuple[float, float], ...]
    holes: tuple[Hole, ...]
    good: tuple[Reading, ...]
    bad: tuple[Reading, ...]
    wrong: int
    kind: str
    identified: bool


def design(at, pairs, over):
    """(rows, columns) how each distance, and each diameter read, moves with x, y of each hole and the diameters."""
    n = len(at)
    rows = []
    for (i, j), sign in zip(pairs, over, strict=True):
        row = [0.0] * (3 * n)
        far = math.dist(at[i], at[j])
        for axis in (0, 1):
            row[2 * j + axis] = (at[j][axis] - at[i][axis]) / far
            row[2 * i + axis] = -row[2 * j + axis]
        row[2 * n + i] = row[2 * n + j] = sign / 2.0
        rows.append(row)
    rows += [[1.0 if c == 2 * n + k else 0.0 for c in range(3 * n)] for k in range(n)]
    return np.array(rows)


def held(matrix):
    """How many movements of the holes and diameters these rows hold."""
    values = np.linalg.svd(matrix, compute_uv=False)
    return int((values > RANK * values[0]).sum())


def identifies(matrix, k):
    """Whether row k is checked by the rest, all there and with any one other missing."""
    others = [j for j in range(len(matrix)) if j != k]
    lacking = [[], *([j] for j in others)]
    return all(held(np.delete(matrix, j, axis=0)) == held(np.delete(matrix, [k, *j], axis=0)) for j in lacking)


def pattern(rng):
    """4 to 8 holes, no two too near, not all along one line."""
    n = rng.randint(4, 8)
    while True:
        at = [(rng.uniform(-SIZE, SIZE), rng.uniform(-SIZE, SIZE)) for _ in range(n)]
        thin = np.linalg.svd(np.array(at) - np.mean(at, axis=0), compute_uv=False)[1]
        if min(math.dist(p, q) for p, q in combinations(at, 2)) > LEAST and thin > LEAST * math.sqrt(n / 3):
            return at


def typo(rng, value, how, d):
    """A wrong value and what kind of mistake it is."""
    kind = rng.choice(["+10", "-10", "+3", "-3", "digits", "jaws"])
    if kind == "digits":
        text = f"{value:.2f}"
        swaps = [k for k in range(len(text) - 1) if text[k : k + 2].isdigit() and text[k] != text[k + 1]]
        k = rng.choice(swaps)
        return float(text[:k] + text[k + 1] + text[k] + text[k + 2 :]), kind
    if kind == "jaws":
        sign = {"centre": 0, "outside": 1, "inside": -1}
        other = rng.choice([h for h in sign if h != how])
        return value + (sign[other] - sign[how]) * d, kind
    return value + float(kind), kind


def case(rng):
    """A random survey of all distances or of a random subset that fixes the holes, and one figure typed wrong."""
    at = pattern(rng)
    n = len(at)
    every = list(combinations(range(n), 2))
    d = [rng.choice([6.8, 8.5, 10.2]) for _ in at]
    hows = ("centre",) if rng.random() < 0.5 else ("centre", "outside", "inside")
    how = {pair: rng.choice(hows) for pair in every}
    sign = {"centre": 0.0, "outside": 1.0, "inside": -1.0}
    pairs = every
    if rng.random() < 0.5:
        while True:
            pairs = sorted(rng.sample(every, rng.randint(2 * n - 3, len(every))))
            if held(design(at, pairs, [sign[how[p]] for p in pairs])) == 3 * n - 3:
                break
    holes = tuple(Hole(name=f"H{k}", d=round(v + rng.gauss(0, D_PM / 2), 2), d_pm=D_PM) for k, v in enumerate(d))
    good = []
    for i, j in pairs:
        true = math.dist(at[i], at[j]) + sign[how[i, j]] * (d[i] + d[j]) / 2
        value = round(true + rng.gauss(0, PM / 2), 2)
        good.append(Reading(between=(f"H{i}", f"H{j}"), value=value, pm=PM, how=how[i, j]))
    wrong = rng.randrange(len(good))
    i, j = pairs[wrong]
    value, kind = typo(rng, good[wrong].value, good[wrong].how, (d[i] + d[j]) / 2)
    bad = [replace(r, value=max(value, 1.0)) if k == wrong else r for k, r in enumerate(good)]
    matrix = design(at, pairs, [sign[how[p]] for p in pairs])
    return Case(tuple(at), holes, tuple(good), tuple(bad), wrong, kind, identifies(matrix, wrong))


def outcome(made):
    """One case solved with and without its mistake."""
    good, bad = solve(made.good, made.holes), solve(made.bad, made.holes)
    return made, good.suspect, bad


def laid_over(found, true):
    """(n, 2) what is left of `found` less `true` when a common shift, turn and mirror are taken out."""
    a, b = true - true.mean(axis=0), found - found.mean(axis=0)
    u, _, vt = np.linalg.svd(a.T @ b)
    return b - a @ u @ vt


def judged(results):
    """Counts and shares of what must hold: wrongly named, good sets accused, and of the identified those named."""
    named = {kind: [] for kind in ("10", "3", "digits", "jaws")}
    wrongly, accused, missed, off = [], 0, 0, []
    for made, good, bad in results:
        accused += bool(good.named or good.candidates)
        right = bad.suspect.named == (made.wrong,)
        wrongly += [bad.suspect] if bad.suspect.named and not right else []
        missed += bool(bad.suspect.candidates and made.wrong not in bad.suspect.candidates)
        if made.identified:
            named[made.kind.lstrip("+-")].append(right)
        if bad.suspect.candidates and bad.fixed:
            sigma = np.sqrt(np.diag(bad.covariance)).reshape(-1, 3)[:, :2]
            off += list((np.abs(laid_over(bad.coordinates[:, :2], np.array(made.at))) / sigma).ravel())
    shares = {kind: (sum(found) / len(found) if found else math.nan) for kind, found in named.items()}
    counts = {kind: len(found) for kind, found in named.items()}
    return wrongly, accused, missed, shares, counts, np.array(off)


def test_of_a_few_typos_none_is_blamed_on_a_good_reading():
    """The first ten of the five hundred below: what must hold of each, and of the large ones together."""
    results = [outcome(case(random.Random(f"typo/{k}"))) for k in range(10)]
    wrongly, accused, missed, shares, counts, off = judged(results)
    assert wrongly == []
    assert accused == 0
    assert missed == 0
    assert counts["10"] + counts["3"] >= 3
    assert shares["10"] >= 0.7 or counts["10"] < 4
    assert (off < BOUND).all()


@pytest.mark.fuzz
def test_of_five_hundred_typos_none_is_blamed_on_a_good_reading_and_most_that_can_be_are_named(pytestconfig):
    """Measured: none of 500 wrongly named, no good set accused; 94.6 % of 92 at 10 mm and 84.8 % of 112 at 3 mm."""
    count = max(500, int(pytestconfig.getoption("--fuzz")))
    results = [outcome(case(random.Random(f"typo/{k}"))) for k in range(count)]
    wrongly, accused, missed, shares, counts, off = judged(results)
    print(f"{count}: wrongly named {len(wrongly)}, good accused {accused}, not a candidate {missed}")
    print(f"named of those that redundancy identifies: {shares} of {counts}")
    print(f"where it cannot be told, within 1, 2, 3 sigma: {[float((off < k).mean()) for k in (1, 2, 3)]}")
    assert wrongly == []
    assert accused < 0.01 * count
    assert missed <= 0.01 * count
    assert shares["10"] >= 0.9
    assert shares["3"] >= 0.7
    assert (off < 2).mean() >= 0.95


FIVE = (224.7531, 154.8189, 234.545, 161.4451, 180.4246, 313.7159, 100.803, 133.5276, 79.9941, 213.3584)
"""Five holes, every distance in order; the third was typed 234.545 for 224.65 (invented)."""


def five(**changed):
    pairs = list(combinations("abcde", 2))
    values = dict(zip(pairs, FIVE, strict=True)) | {tuple(k): v for k, v in changed.items()}
    return [Reading(between=p, value=v, pm=PM) for p, v in values.items()], [Hole(name=n) for n in "abcde"]


def test_a_good_reading_is_not_dropped_for_a_wrong_one_that_explains_as_well():
    """The sixth, good, was named from a wrong local minimum. At the true minimum the third fits best of three."""
    found = solve(*five()).suspect
    assert found.named == ()
    assert found.candidates == (0, 2, 5)
    assert found.at_least == 1
    assert found.explained[1][0].startswith("tape misread by 10 mm: 224.5")


def test_the_plus_minus_reaches_the_holes_as_every_explanation_has_them():
    """Each candidate left out and solved anew: its holes lie within the ± printed, far outside a good set's."""
    readings, names = five()
    found = solve(readings, names)
    plain = solve(*five(ad=224.65))
    assert found.covariance == pytest.approx(found.covariance.T, abs=1e-9)
    reach, without = [], []
    for k in found.suspect.candidates:
        other = solve([r for i, r in enumerate(readings) if i != k], names)
        off = np.linalg.norm(laid_over(other.coordinates[:, :2], found.coordinates[:, :2]), axis=1)
        reach += list(off / [ellipse(found.covariance[h : h + 2, h : h + 2]).long for h in range(0, 15, 3)])
        without += list(off / [ellipse(plain.covariance[h : h + 2, h : h + 2]).long for h in range(0, 15, 3)])
    assert max(reach) <= 1.0
    assert max(without) > 3.0


def test_three_wrong_readings_are_not_dropped_but_all_said():
    rng = random.Random(5)
    at = [(0, 0), (98, 8), (14, 82), (101, 90), (55, 130), (150, 40)]
    pairs = list(combinations(range(6), 2))
    off = {3: 10.0, 9: -6.0, 12: 25.0}
    readings = [
        Reading(between=(f"H{i}", f"H{j}"), value=math.dist(at[i], at[j]) + rng.gauss(0, 0.1) + off.get(k, 0.0))
        for k, (i, j) in enumerate(pairs)
    ]
    found = solve(readings, [Hole(name=f"H{k}") for k in range(6)])
    assert found.suspect.named == ()
    assert set(off) <= set(found.suspect.candidates)
    assert found.suspect.at_least == 3


def test_readings_that_cannot_close_a_triangle_are_all_suspects_though_nothing_is_to_spare():
    """50 and 60 do not reach over 170; no reading checks another, and each may be the wrong one."""
    readings = [Reading(between=tuple(p), value=v) for p, v in {"ab": 50.0, "bc": 60.0, "ac": 170.0}.items()]
    found = solve(readings, [Hole(name=n) for n in "abc"])
    assert found.suspect.named == ()
    assert found.suspect.candidates == (0, 1, 2)


def test_a_sparse_survey_is_fitted_from_enough_starts_to_find_the_lay_out_of_the_true_mistake():
    """Eight holes, sixteen readings, one 90 mm out: from near the first fit the true lay-out is not found."""
    made = case(random.Random("typo/78"))
    assert made.identified
    assert solve(made.bad, made.holes).suspect.named == (made.wrong,)
