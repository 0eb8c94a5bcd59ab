"""Values that are a word: yes or no, one of a few choices, free text."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from brackets.core import units
from brackets.core.errors import InputError
from brackets.core.schema.rule import Plain, Rule


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
        return f"must be one of {', '.join(self.words)}"

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
    """One line of text, at most `longest` characters."""

    longest: int = 80
    kind: ClassVar[str] = "text"

    @property
    def allowed(self) -> str:
        return f"must be one line of at most {self.longest} characters"

    def plain(self, value: object, *, name: str) -> Plain:
        if not isinstance(value, str) or not value.isprintable() or len(value) > self.longest:
            self.refuse(name, units.shown(value))
        return str.__str__(value).strip()

    def from_text(self, text: str, *, name: str, bare: str = "mm") -> Plain:
        return self.plain(text, name=name)

    def to_text(self, value: Plain) -> str:
        return str(value)

    def edges(self, about: Plain = None) -> tuple[Plain, ...]:
        return ("", "x" * self.longest)


def _key(word: str) -> str:
    return " ".join(word.split()).casefold()
