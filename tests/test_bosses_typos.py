"""Seeded typos in random surveys: no good reading is named, and the wrong one is where the others can tell.

All geometry is written out here anew: what the tool reads, how it moves with the holes, what a mistake leaves behind.

Settled before anything was measured: *redundancy identifies* a reading when the rest check it whichever one other
figure of the file (a reading or a diameter) is missing too. Otherwise that other figure, being wrong, would explain the
contradiction as exactly as the true mistake does. This is the condition of W. Baarda's reliability theory that the tests
of two observations are not parallel (A Testing Procedure for Use in Geodetic Networks, Netherlands Geodetic Commission,
1968; parallel tests: W. Förstner, 1983), as ranks of the design matrix at the true holes. It says nothing of the
mistake's size, so a small mistake may still hide where the shape is slender.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from brackets.bosses import Hole, Reading, solve

SIZE = 150.0  # mm: holes within ± this
LEAST = 25.0  # mm between any two
PM = 0.2  # mm, two sigma
D_PM = 0.1
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
