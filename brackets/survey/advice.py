"""What to change so that the bolts go in 19 times out of 20, mildest change first, each with its chance.

Plan view, mm; slot directions in degrees anticlockwise from the pattern's x.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from brackets.survey.assembly_fit import Opening, Slot, cases, patterned
from brackets.survey.chance import FILLET_PULL, METHODS, Chance, HoleErrors, chance, drawn, goes_in, unwelded
from brackets.survey.minimax import Floats, best_turn, bound

WANTED = 0.95
SLOT_EXTRA = 4.0  # mm: a slot filed 2 mm each way; common practice, no source
DIRECTIONS = 6  # slots are tried every 30 degrees, and along the line to the hole furthest away
PULL_WAYS = 16  # directions a fillet may pull, tried for the worst
TRY = 300  # trials for each slot tried; the best is then worked out in full


@dataclass(frozen=True)
class Option:
    """One thing to do: words for the shop, the holes that come of it, the chance."""

    do: str
    holes: tuple[Opening, ...]
    chance: Chance
    kind: str  # "as drawn" | "class" | "slot" | "scale" | "weld" | "transfer"

    @property
    def enough(self) -> bool:
        """Whether the chance reaches WANTED."""
        return self.chance.chance >= WANTED


@dataclass(frozen=True)
class PullWarning:
    """One fillet against one hole: radial room, and what is left with that hole pulled the worst way."""

    hole: int
    room: float  # mm, radial
    left: float  # mm of slack with everything else perfect and the plate laid as well as it can be

    @property
    def used_up(self) -> bool:
        """Whether the one fillet takes the radial room of its hole."""
        return self.room <= FILLET_PULL

    @property
    def stops(self) -> bool:
        """Whether the bolts cannot go in even when nothing else is wrong."""
        return self.left < 0


def advice(
    pattern: ArrayLike,
    holes: Sequence[Opening],
    errors: HoleErrors,
    *,
    classes: Mapping[str, Sequence[float]] | None = None,
    names: Sequence[str] = (),
    trials: int = 4000,
    seed: int = 0,
) -> tuple[Option, ...]:
    """Options in the order a shop would rather do them; the first is the pattern as it stands.

    `classes` maps a hole class ("medium") to the n hole diameters it gives; `names` are the holes' names.
    """
    points, pins = patterned(pattern, holes)
    called = tuple(names) or tuple(str(i + 1) for i in range(len(points)))
    now = tuple(holes)

    def option(kind: str, do: str, made: Sequence[Opening], wrong: HoleErrors) -> Option:
        return Option(do, tuple(made), chance(pins, made, wrong, trials, seed), kind)

    found = [option("as drawn", "as drawn", now, errors)]
    if errors.scale != 0.0 or errors.scale_pm != 0.0:
        true = replace(errors, scale=0.0, scale_pm=0.0)
        found.append(option("scale", "print the template true to size (measure its bars)", now, true))
    if errors.pulls:
        found.append(option("weld", "drill after welding", now, unwelded(errors)))
    bigger = []
    for name, made in (classes or {}).items():
        if any(new > _width(old) for new, old in zip(made, now, strict=True)):
            bigger.append(option("class", f"{name} holes ({_sizes(made)})", _widened(now, made), errors))
    found += bigger
    if len(points) > 1 and not all(isinstance(hole, Slot) for hole in now):
        found.append(_best_slot(points, pins, now, errors, called, trials, seed))
        if not any(o.enough for o in found) and classes:
            widest = _widened(now, max(classes.values(), key=sum))
            found.append(_best_slot(points, pins, widest, errors, called, trials, seed))
    better = next(m for m in METHODS if m.name == "transferred")
    copied = HoleErrors(drill=better.sigma)
    when = "drill after welding, spotted" if errors.pulls else "spot the holes"
    found.append(option("transfer", f"{when} through from the mating part", now, copied))
    return tuple(found)


def best(options: Sequence[Option]) -> Option | None:
    """The first option that reaches WANTED, or None."""
    return next((o for o in options if o.enough), None)


def fillet_warnings(pattern: ArrayLike, holes: Sequence[Opening]) -> tuple[PullWarning, ...]:
    """Each hole that one fillet's pull leaves without radial room (an M12 in 13.5 has 0.75 mm), and
    what the whole pattern keeps: the other holes give way too, so the bolts may still go in."""
    points, pins = patterned(pattern, holes)
    n = len(points)
    angles = np.radians(np.arange(0.0, 360.0, 360.0 / PULL_WAYS))
    moved = np.broadcast_to(points, (n, PULL_WAYS, n, 2)).copy()
    for i in range(n):
        moved[i, :, i] += FILLET_PULL * np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    stand = np.broadcast_to(pins[:, :2], (n * PULL_WAYS, n, 2)).copy()
    case = cases(moved.reshape(-1, n, 2), stand, pins[:, 2], holes)
    near = bound(case, best_turn(case), np.full(len(stand), 0.05), 1e-4)
    laid = bound(case, near.turn, np.full(len(stand), 0.005), 1e-5)
    left = -np.minimum(near.miss, laid.miss).reshape(n, PULL_WAYS).max(axis=1)
    found = (PullWarning(i, float(case.room[i]), float(left[i])) for i in range(n))
    return tuple(w for w in found if w.used_up or w.stops)


def _best_slot(
    points: Floats,
    pins: Floats,
    holes: tuple[Opening, ...],
    errors: HoleErrors,
    names: Sequence[str],
    trials: int,
    seed: int,
) -> Option:
    """The one hole to slot, and the direction, that help most."""
    drilled, stand = drawn(points, errors, min(TRY, trials), seed)
    tried: list[tuple[int, int, float]] = []
    for i, angle in _slots(points):
        if isinstance(holes[i], Slot):
            continue
        made = _slotted(holes, i, angle)
        tried.append((int(goes_in(cases(drilled, stand, pins[:, 2], made)).sum()), i, angle))
    _, i, angle = max(tried, key=lambda t: t[0])
    made = _slotted(holes, i, angle)
    d = _width(holes[i])
    rest = "" if _same(holes) is None else f", the others {_same(holes):g}"
    do = f"slot hole {names[i]}, {d:g} x {d + SLOT_EXTRA:g} at {angle:.0f} degrees{rest}"
    return Option(do, made, chance(pins, made, errors, trials, seed), "slot")


def _slots(points: Floats) -> Iterator[tuple[int, float]]:
    for i, p in enumerate(points):
        far = max(points, key=lambda q: math.dist(p, q))
        line = math.degrees(math.atan2(far[1] - p[1], far[0] - p[0]))
        even = [180.0 * k / DIRECTIONS for k in range(DIRECTIONS)]
        for angle in sorted({round(a % 180.0, 1) % 180.0 for a in (*even, line)}):
            yield i, angle


def _slotted(holes: tuple[Opening, ...], i: int, angle: float) -> tuple[Opening, ...]:
    return (*holes[:i], Slot(_width(holes[i]), SLOT_EXTRA, angle), *holes[i + 1 :])


def _widened(holes: Sequence[Opening], sizes: Sequence[float]) -> tuple[Opening, ...]:
    """Those holes with other diameters; a slot is as long along its middle line as before."""
    return tuple(
        replace(hole, d=d) if isinstance(hole, Slot) else d for hole, d in zip(holes, sizes, strict=True)
    )


def _width(hole: Opening) -> float:
    return hole.d if isinstance(hole, Slot) else float(hole)


def _same(holes: Sequence[Opening]) -> float | None:
    sizes = {_width(h) for h in holes}
    return sizes.pop() if len(sizes) == 1 else None


def _sizes(made: Sequence[float]) -> str:
    return ", ".join(f"{d:g}" for d in sorted(set(made))) + " mm"


__all__ = ["WANTED", "Option", "PullWarning", "advice", "best", "fillet_warnings"]
