"""What an engine shakes itself with: orders (times a turn of the crank) by its crank, its banks and its firing.

Angles in degrees. A piston is at the top of its stroke when the crank has turned by bank less throw.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.core.errors import InputError
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import angles, count, numbers, text

LEAST = 1e-6
"""Strength below which an order is only rounding."""
WORTH = 0.05
"""Strength from which an order is held against a mode: common practice, no source."""
MOST_ORDER = 8.0
TOP = 0.5
"""Degrees that a cylinder may be typed to fire off the top of its stroke: rounding, and not the spark's advance."""


@dataclass(frozen=True, kw_only=True)
class CrankLayout(Checked):
    """An engine's crank: for each cylinder its throw and bank angle and when it fires, degrees of the crank.

    throws: where its crank pin stands; banks: how far its cylinder leans, from upright, the way the crank turns;
    firing: when it fires, in 720 degrees for four strokes, 360 for two; along: where it is along the crank, in
    spacings of the cylinders.
    """

    name: Annotated[str, text("what it is called")]
    strokes: Annotated[int, count(2, 4, "strokes of a cycle, 2 or 4")] = 4
    throws: Annotated[tuple[float, ...], angles(-720, 720, "where each crank pin stands", at_least=1, at_most=16)]
    banks: Annotated[tuple[float, ...], angles(-360, 360, "how each cylinder leans", at_most=16)] = ()
    firing: Annotated[tuple[float, ...], angles(0, 720, "when each cylinder fires", at_least=1, at_most=16)]
    along: Annotated[tuple[float, ...], numbers(-20, 20, "where each is along the crank", at_most=16)] = ()

    def rules(self) -> Iterator[str]:
        size = len(self.throws)
        if self.strokes == 3:
            yield "strokes = 3, must be 2 or 4: strokes of a cycle"
        for name, values in (("firing", self.firing), ("banks", self.banks), ("along", self.along)):
            if len(values) != size and (values or name == "firing"):
                yield f"{name} = {len(values)} figures, must be {size}: one for each of the throws"
                return
        tops = [bank - throw for bank, throw in zip(self.leans, self.throws, strict=True)]
        for i in range(1, size):
            off = (self.firing[i] - self.firing[0] - tops[i] + tops[0] + 180) % 360 - 180
            if abs(off) > TOP:
                said = f"firing of cylinder {i + 1} = {self.firing[i]:g} degrees"
                yield f"{said}, must be at the top of its stroke: by throw and bank it is {off:g} off"

    @property
    def leans(self) -> tuple[float, ...]:
        """Bank of each cylinder, upright where none is typed."""
        return self.banks or (0.0,) * len(self.throws)

    @property
    def places(self) -> tuple[float, ...]:
        """Where each is along the crank, from the middle of all."""
        along = self.along or tuple(map(float, range(len(self.throws))))
        return tuple(at - sum(along) / len(along) for at in along)

    @property
    def firing_order(self) -> float:
        """How often in a turn a cylinder fires."""
        return len(self.throws) * 2 / self.strokes


@dataclass(frozen=True, kw_only=True)
class Order:
    """One thing that shakes `order` times a turn.

    cause: "firing", "uneven firing", "cylinders that differ", "primary force", "secondary force", "primary couple"
    or "secondary couple"; strength: over what all cylinders would make of it if they did the same at once, a couple
    with one spacing as its arm; 0 where it is there only because no two cylinders burn alike.
    """

    order: float
    cause: str
    strength: float

    @property
    def counts(self) -> bool:
        """Whether it is worth holding against a mode: WORTH of what all cylinders could make, or uneven burning."""
        return self.strength >= WORTH or self.cause == "cylinders that differ"

    def hz(self, rpm: float) -> float:
        """Its frequency at `rpm` turns a minute, Hz."""
        return self.order * rpm / 60


def orders(layout: CrankLayout) -> tuple[Order, ...]:
    """What shakes an engine of this crank, by rising order, up to MOST_ORDER times a turn.

    The torque of its firing pulses, by the times they come at; forces and couples of its pistons, once (primary)
    and twice (secondary) a turn. Of primary ones only what turns against the crank counts: counterweights are taken
    to balance what turns with it. Four-stroke singles and twins also have the half order, since no two strokes burn
    alike (common practice, no source).

    >>> [(each.order, each.cause) for each in orders(crank_layout("twin 360"))][:3]
    [(0.5, 'cylinders that differ'), (1.0, 'firing'), (1.0, 'primary force')]
    """
    found = [*_firing(layout), *_pistons(layout)]
    if layout.strokes == 4 and len(layout.throws) == 2 and not any(each.order == 0.5 for each in found):
        found.append(Order(order=0.5, cause="cylinders that differ", strength=0.0))
    return tuple(sorted(found, key=lambda each: (each.order, -each.strength)))


def _firing(layout: CrankLayout) -> Iterator[Order]:
    cycle = layout.strokes / 2
    for k in range(1, int(MOST_ORDER * cycle) + 1):
        order = k / cycle
        sum_ = sum(cmath.exp(-1j * math.radians(order * at)) for at in layout.firing)
        strength = abs(sum_) / len(layout.firing)
        if strength > LEAST:
            even = math.isclose(order % layout.firing_order, 0.0, abs_tol=1e-9)
            yield Order(order=order, cause="firing" if even else "uneven firing", strength=strength)


def _pistons(layout: CrankLayout) -> Iterator[Order]:
    """Forces as a e^(i k t) + b e^(-i k t) in the plane square to the crank: with it and against it."""
    for k, word in ((1, "primary"), (2, "secondary")):
        for cause, arms in (("force", (1.0,) * len(layout.throws)), ("couple", layout.places)):
            with_, against = 0j, 0j
            for throw, bank, arm in zip(layout.throws, layout.leans, arms, strict=True):
                lean, phase = math.radians(bank), k * math.radians(throw - bank)
                with_ += arm / 2 * cmath.exp(1j * (phase + lean))
                against += arm / 2 * cmath.exp(1j * (lean - phase))
            strength = (abs(against) if k == 1 else abs(with_) + abs(against)) / len(layout.throws)
            if strength > LEAST:
                yield Order(order=float(k), cause=f"{word} {cause}", strength=strength)


_EVEN4 = (0.0, 540.0, 180.0, 360.0)
LAYOUTS: tuple[CrankLayout, ...] = (
    CrankLayout(name="single", throws=(0,), firing=(0,)),
    CrankLayout(name="single, two-stroke", strokes=2, throws=(0,), firing=(0,)),
    CrankLayout(name="twin 360", throws=(0, 0), firing=(0, 360)),
    CrankLayout(name="twin 180", throws=(0, 180), firing=(0, 180)),
    CrankLayout(name="twin 270", throws=(0, 90), firing=(0, 270)),
    CrankLayout(name="twin, two-stroke", strokes=2, throws=(0, 180), firing=(0, 180)),
    CrankLayout(name="vee twin 90", throws=(0, 0), banks=(-45, 45), firing=(0, 450), along=(0, 0)),
    CrankLayout(name="boxer twin", throws=(90, -90), banks=(90, -90), firing=(0, 360), along=(0, 0.5)),
    CrankLayout(name="inline three", throws=(0, 120, 240), firing=(0, 240, 480)),
    CrankLayout(name="inline four", throws=(0, 180, 180, 0), firing=_EVEN4),
    CrankLayout(name="inline four, cross-plane", throws=(0, 90, 270, 180), firing=(0, 270, 450, 540)),
    CrankLayout(
        name="boxer four", throws=(90, -90, -90, 90), banks=(90, -90, 90, -90), firing=(0, 360, 180, 540),
        along=(0, 0.5, 1, 1.5),
    ),
    CrankLayout(name="inline six", throws=(0, 240, 120, 120, 240, 0), firing=(0, 480, 240, 600, 120, 360)),
    CrankLayout(
        name="vee eight, cross-plane",
        throws=(0, 0, 90, 90, 270, 270, 180, 180),
        banks=(-45, 45) * 4,
        firing=(0, 90, 270, 360, 450, 180, 540, 630),
        along=(0, 0, 1, 1, 2, 2, 3, 3),
    ),
)  # fmt: skip
"""Cranks by name, from the geometry of each; another is typed as a `CrankLayout`."""


def crank_layout(name: str) -> CrankLayout:
    """A crank of LAYOUTS by its name; InputError, with the nearest names, where there is none.

    >>> crank_layout("inline four").firing_order
    2.0
    """
    for layout in LAYOUTS:
        if layout.name == name:
            return layout
    raise InputError(f"layout = {name!r}, must be one of {', '.join(each.name for each in LAYOUTS)}")
