"""Rules for one number between limits: a length, an angle, a count, or a size a stockist keeps.

A size off the rack is allowed: what to say about it is a finding's business.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from numbers import Real
from typing import ClassVar

from brackets.core import units
from brackets.core.errors import InputError, OutOfRange
from brackets.core.schema.rule import Plain, Rule

NOTHING = 1e-150
"""mm, degrees, kg: a value nearer to nothing is stored as 0, since its square has no digits left."""


@dataclass(frozen=True, kw_only=True)
class Size(Rule):
    """A number from `lo` to `hi`, both allowed, in the unit of its kind."""

    lo: float
    hi: float
    step: float | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.lo) and math.isfinite(self.hi) and self.lo <= self.hi):
            raise InputError(f"limits = {self.lo} to {self.hi}, must be low to high: {self.meaning}")
        if self.step is not None and not (math.isfinite(self.step) and self.step > 0):
            raise OutOfRange(f"step = {self.step}, must be above 0: {self.meaning}")

    @property
    def allowed(self) -> str:
        return f"must be {figure(self.lo)} to {self.with_unit(self.hi)}"

    @property
    def slider(self) -> tuple[float, float, float]:
        return self.lo, self.hi, nice_step(self.lo, self.hi) if self.step is None else self.step

    def plain(self, value: object, *, name: str) -> Plain:
        return self._within(number_or_refuse(self, value, name), name)

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        try:
            value = self._read(text, name, bare)
        except InputError as error:
            raise self.with_meaning(error) from None
        typed = None if text.strip() in (self.with_unit(value), figure(value)) else text
        return self._within(value, name, typed)

    def from_toml(self, value: object, *, name: str, bare: str = "mm") -> Plain:
        if isinstance(value, str):
            return self.from_text(value, name=name, bare=bare)
        return self._within(self._bare(number_or_refuse(self, value, name), bare), name)

    def to_text(self, value: Plain) -> str:
        return self.with_unit(float(value))  # type: ignore[arg-type]

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return (self.lo,) if self.lo == self.hi else (self.lo, self.hi)

    def with_unit(self, value: float) -> str:
        return f"{figure(value)} {self.unit}".rstrip()

    def _within(self, value: float, name: str, typed: str | None = None) -> Plain:
        if not self.lo <= value <= self.hi:
            self.out_of_range(name, self._shown(value, typed))
        return 0.0 if abs(value) < NOTHING else value

    def _shown(self, value: float, typed: str | None) -> str:
        """The value as a refusal quotes it, with what was typed where that looks different."""
        shown = f"{value:.9g} {self.unit}".rstrip()
        return shown if typed is None else f"{shown} ({units.shown(typed).strip(chr(34))})"

    def _read(self, text: str, name: str, bare: str) -> float:
        return units.number(text, name=name)

    def _bare(self, value: float, bare: str) -> float:
        return value


@dataclass(frozen=True, kw_only=True)
class Length(Size):
    """A length, mm."""

    kind: ClassVar[str] = "length"
    unit: ClassVar[str] = "mm"

    def _read(self, text: str, name: str, bare: str) -> float:
        return units.length(text, bare=bare, name=name)

    def _bare(self, value: float, bare: str) -> float:
        return units.length(value, bare=bare) if math.isfinite(value) else value


@dataclass(frozen=True, kw_only=True)
class Angle(Size):
    """An angle, degrees."""

    kind: ClassVar[str] = "angle"
    unit: ClassVar[str] = "deg"

    def _read(self, text: str, name: str, bare: str) -> float:
        return units.angle(text, name=name)


@dataclass(frozen=True, kw_only=True)
class Number(Size):
    """A number without a unit."""

    kind: ClassVar[str] = "number"


@dataclass(frozen=True, kw_only=True)
class Mass(Size):
    """A mass, kg."""

    kind: ClassVar[str] = "mass"
    unit: ClassVar[str] = "kg"

    def _read(self, text: str, name: str, bare: str) -> float:
        return units.mass(text, name=name)


@dataclass(frozen=True, kw_only=True)
class Force(Size):
    """A force, N."""

    kind: ClassVar[str] = "force"
    unit: ClassVar[str] = "N"

    def _read(self, text: str, name: str, bare: str) -> float:
        return units.force(text, name=name)


@dataclass(frozen=True, kw_only=True)
class Count(Rule):
    """A whole number from `lo` to `hi`, both allowed."""

    lo: int
    hi: int
    kind: ClassVar[str] = "count"

    def __post_init__(self) -> None:
        if self.lo > self.hi:
            raise InputError(f"limits = {self.lo} to {self.hi}, must be low to high: {self.meaning}")

    @property
    def allowed(self) -> str:
        return f"must be a whole number, {self.lo} to {self.hi}" if self.lo < self.hi else f"must be {self.lo}"

    @property
    def slider(self) -> tuple[float, float, float]:
        return float(self.lo), float(self.hi), 1.0

    def plain(self, value: object, *, name: str) -> Plain:
        return self._within(lambda: units.count(number_or_refuse(self, value, name), name=name), name)

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        return self._within(lambda: units.count(text, name=name), name)

    def to_text(self, value: Plain) -> str:
        return str(value)

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return (self.lo,) if self.lo == self.hi else (self.lo, self.hi)

    def _within(self, counted: Callable[[], int], name: str) -> Plain:
        try:
            value = counted()
        except InputError as error:
            raise error if error.problems[0].endswith(self.meaning) else self.with_meaning(error) from None
        if not self.lo <= value <= self.hi:
            self.out_of_range(name, str(value))
        return value


def figure(value: float) -> str:
    """The shortest decimal that reads back as the same number: 6, 44.45, 1e-07."""
    text = repr(value + 0.0)
    if len(text.partition(".")[2]) > 18 and "e" not in text:
        text = f"{value:.16e}"
    return text.removesuffix(".0")


def nice_step(lo: float, hi: float) -> float:
    """About a hundredth of the range, as 1, 2 or 5 times a power of ten; never above 1."""
    if lo == hi:
        return 1.0
    aim = (hi - lo) / 100
    ten = 10.0 ** math.floor(math.log10(aim))
    step = next((k * ten for k in (1, 2, 5, 10) if k * ten >= aim * (1 - 1e-9)), 10 * ten)
    return min(float(f"{step:.0e}"), 1.0)


def number_or_refuse(rule: Rule, value: object, name: str) -> float:
    """A plain finite float of any real number; InputError for anything else."""
    if isinstance(value, bool) or not isinstance(value, Real):
        unit = f" of {rule.unit}" if rule.unit else ""
        rule.refuse(name, units.shown(value), f"must be a number{unit}, {rule.allowed.removeprefix('must be ')}")
    try:
        number = float(value) + 0.0
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        rule.out_of_range(name, f"{number} {rule.unit}".rstrip())
    return number


SAME = 0.01
"""mm within which a size is the rack's: inch walls are often written to 0.01 mm, and no rack is that fine."""


@dataclass(frozen=True, kw_only=True)
class StockList:
    """Sizes kept, mm; `gauge` is the scale that "10 ga" means here."""

    name: str
    kept: Callable[[], tuple[float, ...]]
    gauge: str = ""

    def sizes(self, lo: float, hi: float) -> tuple[float, ...]:
        """The sizes kept from `lo` to `hi` mm, rising."""
        return tuple(size for size in self.kept() if lo <= size <= hi)


@dataclass(frozen=True, kw_only=True)
class Stock(Length):
    """A length within limits that is best taken from a rack; text may be a gauge, "10 ga"."""

    rack: StockList
    kind: ClassVar[str] = "stock"

    @property
    def sizes(self) -> tuple[float, ...]:
        """What the rack keeps within the limits, mm, rising."""
        return self.rack.sizes(self.lo, self.hi)

    def on_rack(self, value: float) -> bool:
        """Whether the rack keeps it."""
        return any(abs(size - value) <= SAME for size in self.sizes)

    def nearest(self, value: float, *, n: int = 2) -> tuple[float, ...]:
        """The `n` nearest sizes kept, mm, nearest first."""
        return tuple(sorted(self.sizes, key=lambda size: (abs(size - value), size))[:n])

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return tuple(dict.fromkeys((self.lo, *self.sizes[:1], *self.sizes[-1:], self.hi)))

    def _within(self, value: float, name: str, typed: str | None = None) -> Plain:
        if not self.lo <= value <= self.hi and self.sizes:
            near = self.with_unit(self.nearest(value, n=1)[0])
            self.out_of_range(name, self._shown(value, typed), f"{self.allowed}, nearest stock {near}")
        return super()._within(value, name, typed)

    def _read(self, text: str, name: str, bare: str) -> float:
        meant = [mm for scale, _, mm in units.gauge(text) if scale == self.rack.gauge]
        if not meant and "swg" in text.lower():
            meant = [mm for scale, _, mm in units.gauge(text) if scale == "swg"]
        return meant[0] if meant else super()._read(text, name, bare)
