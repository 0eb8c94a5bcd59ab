"""How likely it is that every bolt goes in by hand, drilling, printing, surveying and welding being what they are.

Plan view, mm. Every trial lays one drilled plate exactly (no sampling of positions): see minimax.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from brackets.core.errors import InputError
from brackets.survey.assembly_fit import ROUNDS, SPLIT, Opening, cases, patterned
from brackets.survey.minimax import Cases, Floats, best_turn, bound, miss, turned

Z95 = 1.959964  # two-sided 95 % of a normal law
DECIDE = 0.05  # mm: bounds this close are tried first; the trials they leave open are split until they close
FILLET_PULL = 0.8  # mm across the weld per fillet, leg up to 0.75 t: TWI, weld shrinkage allowances
PULL_SPREAD = 0.5  # a pull comes out between half and one and a half of that: common practice, no source
PULL_KNOWN = 45.0  # degrees: with a direction given, it is right to about this, no source


@dataclass(frozen=True)
class Method:
    """A way of making holes: scatter of a hole's middle, one sigma per axis, mm."""

    name: str
    sigma: float
    source: str


METHODS = (
    Method("punched", 0.35, "centre-punched through a paper template and drilled: common practice, no source"),
    Method("transferred", 0.2, "spotted through the mating part with a transfer punch: common practice, no source"),
    Method("mill", 0.05, "drilled on a mill by its dials: common practice, no source"),
    Method("reamed", 0.03, "bored or reamed on a mill: common practice, no source"),
    Method("cut", 0.15, "laser cut, thin plate: a cutter's data page, weak"),
    Method("together", 0.0, "both plates clamped and drilled as one: the scatter is common to both"),
)


@dataclass(frozen=True, kw_only=True)
class Pull:
    """How far welding pulls one hole.

    hole: its number; fillets: how many pull at it; each: mm that one pulls, by its shrinkage; toward: degrees from
    x, None for any direction.
    """

    hole: int
    fillets: int = 1
    each: float = FILLET_PULL
    toward: float | None = None


@dataclass(frozen=True, kw_only=True)
class HoleErrors:
    """What goes wrong between the pattern and the drilled plate.

    `drill` and `mate`: sigma per axis, mm, of this plate's holes and of what it is bolted to; `scale`: how much the
    template is too large (0.002 is 0.2 %), `scale_pm` how far that may be off (95 %); `survey`: (2n, 2n) float
    covariance of the pattern, mm², order x1 y1 x2 y2; `pulls`: what welding moves.
    """

    drill: float = 0.35
    mate: float = 0.0
    scale: float = 0.0
    scale_pm: float = 0.0
    survey: Floats | None = None
    pulls: tuple[Pull, ...] = ()


@dataclass(frozen=True)
class Chance:
    """Share of trials in which every bolt went in, with its 95 % interval (Wilson 1927)."""

    chance: float
    low: float
    high: float
    trials: int
    entered: int

    @property
    def pm(self) -> float:
        """Half the width of the interval."""
        return (self.high - self.low) / 2.0

    def __iter__(self) -> Iterator[float]:
        """chance, pm = ..."""
        return iter((self.chance, self.pm))


def chance(
    pattern: ArrayLike, holes: Sequence[Opening], errors: HoleErrors, trials: int = 4000, seed: int = 0
) -> Chance:
    """Chance that all bolts enter by hand, and its ±, by trials with random errors.

    pattern: (n, 3) float, x, y and bolt diameter, mm; holes: n diameters, or `Slot`s of
    brackets.survey.assembly_fit; errors: what goes wrong when it is drilled, welded and measured; trials: how many;
    seed: of the random errors, which are the same whatever the holes, so that two answers may be compared. Returns
    a Chance. Raises InputError with every wrong value.

    >>> found = chance([(0, 0, 10), (100, 0, 10)], [11, 11], HoleErrors(drill=0.35))
    >>> found.low < 0.957 < found.high  # two holes enter where their spacing, sigma 0.35 root 2, is within 1 mm
    True
    """
    points, pins = patterned(pattern, holes)
    wrong = _wrong(errors, len(points), trials)
    if wrong:
        raise InputError(*wrong)
    drilled, stand = drawn(points, errors, trials, seed)
    entered = int(goes_in(cases(drilled, stand, pins[:, 2], holes)).sum())
    low, high = wilson(entered, trials)
    return Chance(entered / trials, low, high, trials, entered)


def wilson(hits: int, trials: int, z: float = Z95) -> tuple[float, float]:
    """Interval for a share (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927): inside 0 to 1, never of no width."""
    share, extra = hits / trials, z * z / trials
    middle = (share + extra / 2.0) / (1.0 + extra)
    half = z * math.sqrt(share * (1.0 - share) / trials + extra / (4.0 * trials)) / (1.0 + extra)
    return max(0.0, middle - half), min(1.0, middle + half)


def drawn(points: Floats, errors: HoleErrors, trials: int, seed: int) -> tuple[Floats, Floats]:
    """(trials, n, 2) where the plate's holes and where the bolts really are."""
    n = len(points)
    rng = np.random.default_rng(seed)
    wander = rng.standard_normal((trials, n, 2))
    other = rng.standard_normal((trials, n, 2))
    known = rng.standard_normal((trials, 2 * n))
    scale = 1.0 + errors.scale + errors.scale_pm / Z95 * rng.standard_normal(trials)
    size = 1.0 + PULL_SPREAD * rng.uniform(-1.0, 1.0, (trials, n))
    way = rng.uniform(-1.0, 1.0, (trials, n))
    middle = points.mean(axis=0)
    drilled = middle + (points - middle) * scale[:, None, None] + errors.drill * wander
    for pull in errors.pulls:
        half_arc = math.pi if pull.toward is None else math.radians(PULL_KNOWN) / 2.0
        angle = math.radians(pull.toward or 0.0) + half_arc * way[:, pull.hole]
        run = pull.fillets * pull.each * size[:, pull.hole]
        drilled[:, pull.hole] += run[:, None] * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    stand = points + errors.mate * other
    if errors.survey is not None:
        values, vectors = np.linalg.eigh(errors.survey)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        stand = stand + (known @ root.T).reshape(trials, n, 2)
    return drilled, stand


def goes_in(case: Cases) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """(k,) whether each plate goes on: exact; a plate whose slack is within rounding of 0 counts as not."""
    k = len(case.bolts)
    if (case.room < 0).any():
        return np.zeros(k, dtype=bool)
    turn, half, possible = _range(case)
    guess = best_turn(case)
    shift = (case.centres - turned(case.bolts, guess)).mean(axis=1)
    entered = miss(case, shift, guess) <= 0.0
    rows = np.flatnonzero(possible & ~entered)
    turn, half = turn[rows], half[rows]
    step = DECIDE
    for _ in range(ROUNDS):
        if rows.size == 0:
            break
        found = bound(case.only(rows), turn, half, step)
        entered[rows[found.miss <= 0.0]] = True
        open_ = (found.floor <= 0.0) & ~entered[rows]
        rows, middle, half = rows[open_], turn[open_], half[open_] / SPLIT
        parts = np.arange(1 - SPLIT, SPLIT, 2)
        turn = (middle[:, None] + half[:, None] * parts).ravel()
        rows, half, step = np.repeat(rows, SPLIT), np.repeat(half, SPLIT), max(step / SPLIT, 1e-7)
    return entered


def _range(case: Cases) -> tuple[Floats, Floats, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """(k,) turn and half range outside which the two holes furthest apart cannot both take their bolts, and
    (k,) whether every two holes alone could."""
    k, n, _ = case.bolts.shape
    if n == 1:
        return np.zeros(k), np.full(k, 0.01), np.ones(k, dtype=bool)
    i, j = np.triu_indices(n, 1)
    b, c = case.bolts[:, j] - case.bolts[:, i], case.centres[:, j] - case.centres[:, i]
    long_b, long_c = np.linalg.norm(b, axis=-1), np.linalg.norm(c, axis=-1)
    reach = case.room + case.half
    give = reach[i] + reach[j]
    possible = (np.abs(long_b - long_c) <= give).all(axis=1)
    far = int(long_c.mean(axis=0).argmax())
    b, c, long_b, long_c = b[:, far], c[:, far], long_b[:, far], long_c[:, far]
    cos = (long_b**2 + long_c**2 - give[far] ** 2) / np.maximum(2.0 * long_b * long_c, 1e-12)
    turn = np.arctan2(b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0], (b * c).sum(axis=1))
    return turn, np.maximum(np.arccos(np.clip(cos, -1.0, 1.0)), 1e-6), possible


def unwelded(errors: HoleErrors) -> HoleErrors:
    """The same errors with the holes drilled after welding."""
    return replace(errors, pulls=())


def _wrong(errors: HoleErrors, n: int, trials: int) -> list[str]:
    wrong = []
    for name in ("drill", "mate", "scale_pm"):
        value = getattr(errors, name)
        if not (math.isfinite(value) and value >= 0):
            wrong.append(f"{name} = {value:g}, must be 0 or more: scatter of holes")
    if not (math.isfinite(errors.scale) and abs(errors.scale) < 0.5):
        wrong.append(f"scale = {errors.scale:g}, must be -0.5 to 0.5: 0.002 is a template 0.2 % too large")
    if errors.survey is not None and np.shape(errors.survey) != (2 * n, 2 * n):
        wrong.append(f"survey has shape {np.shape(errors.survey)}, must be ({2 * n}, {2 * n}) mm²")
    wrong += [f"pull.hole = {p.hole}, must be 0 to {n - 1}" for p in errors.pulls if not 0 <= p.hole < n]
    if trials < 1:
        wrong.append(f"trials = {trials}, must be at least 1")
    return wrong
