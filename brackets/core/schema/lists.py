"""Values of several entries: a point, a list of points, numbers or words, a length for each of some names."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar

from brackets.core import units
from brackets.core.errors import InputError, joined
from brackets.core.schema.rule import NONE_WORDS, Plain, Rule
from brackets.core.schema.sizes import Length, figure

MOST = 400
"""Entries of one list: far beyond a bolt pattern, short of a mistaken survey file."""

_BETWEEN = re.compile(r"\s+(?=[+\-.\d])")


@dataclass(frozen=True, kw_only=True)
class PointRule(Rule):
    """A point of `len(axes)` coordinates, each from `lo` to `hi` mm; "0, 1-3/4in" or [0, 44.45]."""

    axes: tuple[str, ...]
    lo: float
    hi: float
    kind: ClassVar[str] = "point"
    unit: ClassVar[str] = "mm"

    @property
    def allowed(self) -> str:
        return f"must be {','.join(self.axes)}, each {self.coordinate.allowed.removeprefix('must be ')}"

    @property
    def coordinate(self) -> Length:
        return Length(lo=self.lo, hi=self.hi, meaning=self.meaning)

    def plain(self, value: object, *, name: str) -> Plain:
        return self._each(value, name, None)

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        return self._each(re.split(r"\s*,\s*", text.strip()), name, bare)

    def from_toml(self, value: object, *, name: str, bare: str = "mm") -> Plain:
        if isinstance(value, str):
            return self.from_text(value, name=name, bare=bare)
        if isinstance(value, Mapping):
            value = self._of_table(value, name)
        return self._each(value, name, bare)

    def to_text(self, value: Plain) -> str:
        return ",".join(figure(float(v)) for v in _tuple(value))  # type: ignore[arg-type]

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return () if about is None else (about,)

    def _each(self, value: object, name: str, bare: str | None) -> Plain:
        if isinstance(value, str) or not isinstance(value, Sequence) or len(value) != len(self.axes):
            typed = ",".join(map(str, value)) if bare is not None and isinstance(value, list) else value
            self.refuse(name, _shown(typed), f"must be {len(self.axes)} coordinates ({', '.join(self.axes)})")
        entries = [(f"{name} {axis}", v) for axis, v in zip(self.axes, value, strict=True)]
        return _all(self.coordinate, entries, bare)

    def _of_table(self, value: Mapping[object, object], name: str) -> list[object]:
        """Coordinates of { x = 6, y = 190, d = 40 } or { at = [6, 190], d = 40 }."""
        rest = dict(value)
        at = rest.pop("at", [])
        first = list(at) if isinstance(at, Sequence) and not isinstance(at, str) else [at]
        wanted = self.axes[len(first) :]
        if set(rest) != set(wanted):
            self.refuse(name, units.shown(", ".join(map(str, value))), f"must have the keys {', '.join(self.axes)}")
        return [*first, *(rest[axis] for axis in wanted)]


@dataclass(frozen=True, kw_only=True)
class DirectionRule(PointRule):
    """A direction: a point that is not the origin; its length means nothing."""

    @property
    def allowed(self) -> str:
        return f"must be {','.join(self.axes)}, not all 0, the length does not matter"

    def _each(self, value: object, name: str, bare: str | None) -> Plain:
        found = super()._each(value, name, bare)
        if not any(_tuple(found)):
            self.refuse(name, ",".join(figure(float(v)) for v in _tuple(found)))  # type: ignore[arg-type]
        return found


@dataclass(frozen=True, kw_only=True)
class Listed(Rule):
    """From `at_least` to `at_most` entries that each keep the rule `of`; `alone`: one may stand without a list."""

    of: Rule
    at_least: int = 0
    at_most: int = MOST
    alone: bool = False
    kind: ClassVar[str] = "list"
    lists: ClassVar[bool] = True

    @property
    def allowed(self) -> str:
        many = f"{self.at_least} to {self.at_most}" if self.at_most < MOST else f"{self.at_least} or more"
        many = str(self.at_least) if self.at_least == self.at_most else many
        return f"must be a list of {many}, each {self.of.allowed.removeprefix('must be ')}"

    def plain(self, value: object, *, name: str) -> Plain:
        return self._each(value, name, None)

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        return self._each(self._split(text.strip()), name, bare)

    def from_toml(self, value: object, *, name: str, bare: str = "mm") -> Plain:
        if self.alone and not isinstance(value, list):
            value = [value]
        if isinstance(value, str):
            return self.from_text(value, name=name, bare=bare)
        return self._each(value, name, bare)

    def to_text(self, value: Plain) -> str:
        between = "; " if isinstance(self.of, PointRule) else ", "
        return between.join(map(self.of.to_text, _tuple(value))) or NONE_WORDS[0]

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        entries = () if about is None else _tuple(about)
        few = entries[: max(self.at_least, 0)]
        return tuple(dict.fromkeys(e for e in (few, entries) if len(e) >= self.at_least))

    def _split(self, text: str) -> list[str]:
        if not text or text.lower() in NONE_WORDS:
            return []
        if isinstance(self.of, PointRule):
            close = re.sub(r"\s*,\s*", ",", text.strip("; "))
            return re.split(r"\s*;\s*", close) if ";" in close else _BETWEEN.split(close)
        if self.of.kind == "text":
            return re.split(r"[\s,;]+", text.strip(",; "))
        return re.split(r"\s*[,;]\s*", text.strip(",; ")) if re.search("[,;]", text) else _BETWEEN.split(text)

    def _each(self, value: object, name: str, bare: str | None) -> Plain:
        if isinstance(value, (str, Mapping)) or not isinstance(value, Sequence):
            self.refuse(name, _shown(value))
        if not self.at_least <= len(value) <= self.at_most:
            many = f"at least {self.at_least}" if len(value) < self.at_least else f"at most {self.at_most}"
            self.refuse(name, f"{len(value)} entries", f"must be {many}")
        return _all(self.of, [(f"{name} {n}", entry) for n, entry in enumerate(value, start=1)], bare)


@dataclass(frozen=True, kw_only=True)
class SectionSize(Listed):
    """Width and height of a section as a list of two lengths or as text: [50, 30], "50x30", "2in x 1-1/2in"."""

    at_least: int = 2
    at_most: int = 2

    @property
    def allowed(self) -> str:
        each = self.of.allowed.removeprefix("must be ")
        return f'must be width x height such as "50x30" or [50, 30], each {each}'

    def to_text(self, value: Plain) -> str:
        return "x".join(self.of.to_text(side).removesuffix(" mm") for side in _tuple(value))

    def _split(self, text: str) -> list[str]:
        return re.split(r"\s*[x×*]\s*", text, flags=re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class ByName(Rule):
    """A value for each of some names, kept as (name, value) pairs in the order of the names: "E3=3.5, T4=4"."""

    of: Rule
    kind: ClassVar[str] = "table"
    lists: ClassVar[bool] = True

    @property
    def allowed(self) -> str:
        return f"must be name = value, each {self.of.allowed.removeprefix('must be ')}"

    def plain(self, value: object, *, name: str) -> Plain:
        return self._each(value, name, None)

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        if text.strip().lower() in NONE_WORDS:
            return ()
        entries = [e for e in re.split(r"\s*[,;]\s*|\s+(?=[^\s=]+\s*=)", text.strip()) if e]
        halves = [re.split(r"\s*=\s*", entry) for entry in entries]
        if any(len(pair) != 2 or not pair[0] for pair in halves):
            self.refuse(name, units.shown(text), "must be name=value, name=value")
        return self._each(halves, name, bare)

    def from_toml(self, value: object, *, name: str, bare: str = "mm") -> Plain:
        if isinstance(value, str):
            return self.from_text(value, name=name, bare=bare)
        return self._each(value, name, bare)

    def to_text(self, value: Plain) -> str:
        pairs = (_tuple(pair) for pair in _tuple(value))
        return ", ".join(f"{key}={self.of.to_text(v)}" for key, v in pairs) or NONE_WORDS[0]

    def to_json(self, value: Plain) -> object:
        pairs = (_tuple(pair) for pair in _tuple(value))
        return {str(key): self.of.to_json(v) for key, v in pairs}

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        pairs = () if about is None else tuple(_tuple(pair) for pair in _tuple(about))
        ends = [tuple((key, end) for key, _ in pairs) for end in self.of.edges()]
        return tuple(dict.fromkeys([(), *ends]))

    def _each(self, value: object, name: str, bare: str | None) -> Plain:
        pairs = list(value.items()) if isinstance(value, Mapping) else value
        if isinstance(pairs, str) or not isinstance(pairs, Sequence):
            self.refuse(name, _shown(value))
        if len(pairs) > MOST:
            self.refuse(name, f"{len(pairs)} entries", f"must be at most {MOST}")
        if any(isinstance(p, str) or not isinstance(p, Sequence) or len(p) != 2 for p in pairs):
            self.refuse(name, _shown(value))
        if any(not isinstance(key, str) or not key.isprintable() or not key for key, _ in pairs):
            self.refuse(name, _shown(value), "must have names that are words")
        keys = [str.__str__(key) for key, _ in pairs]
        twice = sorted({key for key in keys if keys.count(key) > 1})
        if twice:
            self.refuse(name, f"{twice[0]} twice", "must have each name once")
        values = _all(self.of, [(f"{name} {key}", v) for key, v in pairs], bare)
        return tuple(sorted(zip(keys, _tuple(values), strict=True)))


def _all(rule: Rule, entries: Sequence[tuple[str, object]], bare: str | None) -> Plain:
    """Every entry by the rule; all that is wrong in one InputError. `bare` None: values, not TOML or text."""
    kept: list[Plain] = []
    wrong: list[InputError] = []
    for name, entry in entries:
        try:
            kept.append(
                rule.plain(entry, name=name) if bare is None else rule.from_toml(entry, name=name, bare=bare)
            )
        except InputError as error:
            wrong.append(error)
    if wrong:
        raise joined(wrong)
    return tuple(kept)


def _tuple(value: Plain) -> tuple[Plain, ...]:
    assert isinstance(value, tuple)
    return value


def _shown(value: object) -> str:
    return units.shown(value)
