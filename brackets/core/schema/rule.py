"""What a rule of a value is, and the rules for one word: a choice, a text, yes or no.

Lengths mm, angles degrees. A stored value is a plain finite float, int, bool, str or a tuple of those.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar, NoReturn, TypeAlias

from brackets.core import units
from brackets.core.errors import InputError, OutOfRange
from brackets.core.names import listed

Plain: TypeAlias = "None | bool | int | float | str | tuple[Plain, ...]"
"""What a value may be made of."""

NONE_WORDS = ("none", "-")
"""What stands in a text for a value that is left out, and for a list without entries."""


@dataclass(frozen=True, kw_only=True)
class Rule(ABC):
    """One value of a recipe: its `meaning` in shop words, and its limits.

    `bare` is always the unit of a length written without one, "mm" or "in". `takes` is the link by which a bay
    fills the value (`core/schema/links.py`), "" where it takes nothing from there.
    """

    meaning: str
    takes: str = ""
    kind: ClassVar[str]
    unit: ClassVar[str] = ""
    lists: ClassVar[bool] = False
    """Whether a text may be "@file.csv", one entry a line."""

    @property
    @abstractmethod
    def allowed(self) -> str:
        """ "must be 20 to 90 mm": the middle of a refusal."""

    @abstractmethod
    def plain(self, value: object, *, name: str) -> Plain:
        """The value as it is stored; InputError where its type is wrong, OutOfRange beyond its limits."""

    @abstractmethod
    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        """The value of a typed text; InputError where it makes no sense, OutOfRange beyond its limits."""

    @abstractmethod
    def to_text(self, value: Plain) -> str:
        """Text that `from_text` reads back to the same value."""

    @abstractmethod
    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        """The values at the limits; lists take their entries from `about`."""

    def from_toml(self, value: object, *, name: str, bare: str = "mm") -> Plain:
        """The value of a TOML number, text, list or table; a length without a unit is in `bare`."""
        if isinstance(value, str):
            return self.from_text(value, name=name, bare=bare)
        return self.plain(value, name=name)

    def to_json(self, value: Plain) -> object:
        """The value as `json` takes it."""
        return [self.to_json(v) for v in value] if isinstance(value, tuple) else value

    @property
    def choices(self) -> tuple[str, ...]:
        """The texts to pick from, () where any value between limits will do."""
        return ()

    @property
    def slider(self) -> tuple[float, float, float] | None:
        """Lowest, highest and step of a slider, None where a slider makes no sense."""
        return None

    def refuse(self, name: str, shown: str, allowed: str | None = None) -> NoReturn:
        """Raises InputError: name = value, what is allowed: what it is."""
        raise InputError(f"{name} = {shown}, {self.allowed if allowed is None else allowed}: {self.meaning}")

    def out_of_range(self, name: str, shown: str, allowed: str | None = None) -> NoReturn:
        """Raises OutOfRange in the words of `refuse`: a value of the right kind beyond its limits."""
        raise OutOfRange(f"{name} = {shown}, {self.allowed if allowed is None else allowed}: {self.meaning}")

    def with_meaning(self, error: InputError) -> InputError:
        """The same problems, each with what the value is at its end."""
        return type(error)(*(f"{problem}: {self.meaning}" for problem in error.problems))


@dataclass(frozen=True, kw_only=True)
class YesNo(Rule):
    """True or False."""

    kind: ClassVar[str] = "yes/no"

    @property
    def allowed(self) -> str:
        return "must be yes or no"

    @property
    def choices(self) -> tuple[str, ...]:
        return ("yes", "no")

    def plain(self, value: object, *, name: str) -> Plain:
        if not isinstance(value, bool):
            self.refuse(name, units.shown(value), "must be true or false")
        return value

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        try:
            return units.yes_no(text, name=name)
        except InputError as error:
            raise self.with_meaning(error) from None

    def to_text(self, value: Plain) -> str:
        return "yes" if value else "no"

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return (False, True)


@dataclass(frozen=True, kw_only=True)
class Choice(Rule):
    """One of a few words."""

    words: tuple[str, ...]
    kind: ClassVar[str] = "choice"

    def __post_init__(self) -> None:
        if not self.words or len(set(map(_key, self.words))) < len(self.words):
            raise InputError(f"choices = {self.words}, must be different words: {self.meaning}")

    @property
    def allowed(self) -> str:
        return f"must be one of {listed(self.words)}"

    @property
    def choices(self) -> tuple[str, ...]:
        return self.words

    def plain(self, value: object, *, name: str) -> Plain:
        if not isinstance(value, str):
            self.refuse(name, units.shown(value))
        found = [word for word in self.words if _key(word) == _key(value)]
        if not found:
            self.refuse(name, units.shown(value))
        return found[0]

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        return self.plain(text, name=name)

    def to_text(self, value: Plain) -> str:
        return str(value)

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return self.words


@dataclass(frozen=True, kw_only=True)
class Text(Rule):
    """One line of text of `least` to `longest` characters."""

    longest: int = 80
    least: int = 0
    kind: ClassVar[str] = "text"

    @property
    def allowed(self) -> str:
        return f"must be one line of {f'{self.least} to' if self.least else 'at most'} {self.longest} characters"

    def plain(self, value: object, *, name: str) -> Plain:
        if not isinstance(value, str) or not value.isprintable() or len(value) > self.longest:
            self.refuse(name, units.shown(value))
        if len(value.strip()) < self.least:
            self.refuse(name, units.shown(value))
        return str.__str__(value).strip()

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        return self.plain(text, name=name)

    def to_text(self, value: Plain) -> str:
        return str(value)

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return ("x" * self.least, "x" * self.longest)


def _key(word: str) -> str:
    return " ".join(word.split()).casefold()
