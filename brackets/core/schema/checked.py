"""The values of a recipe: a frozen record that refuses everything that makes no sense, all of it at once.

`follows` marks a value that is worked out from the others unless somebody types it; `at_least` and `at_most` are
refusals that know their own limit, so that a cure can be named.
"""

from __future__ import annotations

import dataclasses
import math
import typing
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from types import UnionType
from typing import Annotated, Any, Self

from brackets.core.errors import InputError, joined
from brackets.core.schema.rule import NONE_WORDS, Plain, Rule

ROUND = 100
"""Parts of a mm a limit is said in: it is rounded to the side that is allowed."""


class Bound(str):
    """A refusal, "od = 50 mm, 61 mm or more: why"; `name` from `least` to `most` (either None) is accepted by the
    relation that was broken, the limits among it."""

    name: str
    least: float | None
    most: float | None


def at_least(name: str, value: float, least: float, why: str, *, unit: str = "mm") -> Bound:
    """The refusal of a value that is too small, for `rules` of a recipe's Params to yield.

    name: of the value; value: what it is; least: smallest that is accepted, shown rounded up to 0.01;
    why: the reason, in shop words; unit: of both figures.
    Returns a str that also carries the limit, so that a cure can be named.

    >>> at_least("od", 50, 60.004, "3 mm of wall round the bush")
    'od = 50 mm, 60.01 mm or more: 3 mm of wall round the bush'
    """
    said = _up(least)
    return _bound(f"{name} = {_figure(value)} {unit}, {_figure(said)} {unit} or more: {why}", name, said, None)


def at_most(name: str, value: float, most: float, why: str, *, unit: str = "mm") -> Bound:
    """The refusal of a value that is too large, for `rules` of a recipe's Params to yield.

    name: of the value; value: what it is; most: largest that is accepted, shown rounded down to 0.01;
    why: the reason, in shop words; unit: of both figures.
    Returns a str that also carries the limit, so that a cure can be named.

    >>> at_most("corner", 30, 24.999, "half the width")
    'corner = 30 mm, 24.99 mm or less: half the width'
    """
    said = _down(most)
    return _bound(f"{name} = {_figure(value)} {unit}, {_figure(said)} {unit} or less: {why}", name, None, said)


def between(name: str, value: float, least: float, most: float, why: str, *, unit: str = "mm") -> Bound:
    """The refusal of a value outside two limits, for `rules` of a recipe's Params to yield.

    name: of the value; value: what it is; least, most: the limits, both accepted, shown rounded inwards to 0.01;
    why: the reason, in shop words; unit: of all three figures.
    Returns a str that also carries the limits, so that a cure can be named.

    >>> between("lean", 70, 10, 60.009, "the leg stands on the plate", unit="deg")
    'lean = 70 deg, 10 to 60 deg: the leg stands on the plate'
    """
    lo, hi = _up(least), _down(most)
    return _bound(f"{name} = {_figure(value)} {unit}, {_figure(lo)} to {_figure(hi)} {unit}: {why}", name, lo, hi)


def _bound(text: str, name: str, least: float | None, most: float | None) -> Bound:
    made = Bound(text)
    made.name, made.least, made.most = name, least, most
    return made


def _up(value: float) -> float:
    return math.ceil(round(value * ROUND, 6)) / ROUND


def _down(value: float) -> float:
    return math.floor(round(value * ROUND, 6)) / ROUND


def _figure(value: float) -> str:
    return f"{value:.6g}"


WORKED_OUT: Any = None
"""The default of a value that follows the others: its type is that of the figure, there once it is made."""


@dataclass(frozen=True)
class Follows:
    """Behind the rule of a value: the property of the Params that works its figure out where it is not typed.

    The property is asked once, when the Params are made. Values that are not typed either are None to it.
    """

    figure: str


def follows(figure: str) -> Follows:
    """Marks a value of a recipe that is worked out from the others unless somebody types it.

    figure: name of the property of the Params that works it out. The mark stands behind the value's rule; the
    default is WORKED_OUT.

    >>> from dataclasses import dataclass
    >>> from typing import Annotated
    >>> @dataclass(frozen=True, kw_only=True)
    ... class Params(Checked):
    ...     width: Annotated[float, mm(10, 200, "width of the strap")] = 60.0
    ...     length: Annotated[float, mm(10, 400, "length of the strap"), follows("twice_the_width")] = WORKED_OUT
    ...
    ...     @property
    ...     def twice_the_width(self) -> float:
    ...         return 2 * self.width
    >>> Params(width=50).length, Params(width=50, length=80).length
    (100.0, 80.0)
    """
    return Follows(figure)


class Checked:
    """Base of a recipe's `Params`: a frozen, kw_only dataclass whose every field is Annotated with one rule.

    Raises InputError with a line for every wrong value (OutOfRange where all of them are beyond their limits); when
    all are right by themselves, InputError with every line that `rules` yields. Equality and hash are those of the
    values.
    """

    _stated: frozenset[str]
    _following: frozenset[str] = frozenset()

    def __new__(cls, *_: object, **values: object) -> Self:
        made = super().__new__(cls)
        object.__setattr__(made, "_stated", frozenset(values))
        return made

    def __init_subclass__(cls, **kwargs: object) -> None:
        super().__init_subclass__(**kwargs)
        if "__post_init__" in cls.__dict__:
            raise TypeError(f"{cls.__name__}: write relations between values in rules(), not in __post_init__")

    def __post_init__(self) -> None:
        wrong: list[InputError] = []
        for param in fields(type(self)):
            try:
                object.__setattr__(self, param.name, param.plain(getattr(self, param.name)))
            except InputError as error:
                wrong.append(error)
        if wrong:
            raise joined(wrong)
        self._follow()
        if problems := list(self.rules()):
            raise InputError(*problems)

    def _follow(self) -> None:
        """Puts a figure in place of every value that is not typed and follows the others."""
        names = {p.name: p.follows for p in fields(type(self)) if p.follows and getattr(self, p.name) is None}
        figures = {name: getattr(self, figure) for name, figure in names.items()}
        known = {p.name for p in fields(type(self))}
        for name in [n for n in vars(self) if n not in known and not n.startswith("_")]:
            del self.__dict__[name]  # a cached property that saw values before they were there
        for name, figure in figures.items():
            object.__setattr__(self, name, figure)
        object.__setattr__(self, "_following", frozenset(names))

    def rules(self) -> Iterator[str]:
        """One line for every relation between values that is broken: "name = value unit, what is allowed, why"."""
        yield from ()


@dataclass(frozen=True, kw_only=True)
class Param:
    """One value of a recipe: its name, rule, and default (MISSING where it must be stated).

    `optional`: None is allowed and means that it is left out or worked out; `follows` is the property that works
    it out, "" where it is left out.
    """

    name: str
    rule: Rule
    default: Any
    optional: bool
    follows: str = ""

    @property
    def required(self) -> bool:
        return self.default is dataclasses.MISSING

    @property
    def option(self) -> str:
        """The name on the command line: --bush-od."""
        return f"--{self.name.replace('_', '-')}"

    @property
    def meaning(self) -> str:
        return self.rule.meaning

    @property
    def unit(self) -> str:
        return self.rule.unit

    def shown(self, params: Checked) -> str:
        """The value in use as text, marked where it was worked out: "60 mm (worked out)"."""
        text = self.to_text(getattr(params, self.name))
        return f"{text} (worked out)" if self.name in params._following else text

    def plain(self, value: object) -> Plain:
        """The value as it is stored; InputError where it is not allowed."""
        return None if value is None and self.optional else self.rule.plain(value, name=self.name)

    def from_text(self, text: str, *, bare: str = "mm") -> Plain:
        """The value of a typed text; "none" where it may be left out."""
        if self.optional and text.strip().lower() in NONE_WORDS:
            return None
        return self.rule.from_text(text, name=self.name, bare=bare)

    def from_toml(self, value: object, *, bare: str = "mm") -> Plain:
        """The value of a TOML or JSON value; "none" or null where it may be left out."""
        if value is None and self.optional:
            return None
        if isinstance(value, str) and self.optional and value.strip().lower() in NONE_WORDS:
            return None
        return self.rule.from_toml(value, name=self.name, bare=bare)

    def to_text(self, value: Plain) -> str:
        """Text that reads back to the same value."""
        return NONE_WORDS[0] if value is None else self.rule.to_text(value)

    def to_json(self, value: Plain) -> object:
        return None if value is None else self.rule.to_json(value)

    def edges(self) -> tuple[Plain, ...]:
        """The values at the limits, None among them where it is allowed."""
        ends = self.rule.edges(None if self.required else self.default)
        return (*ends, None) if self.optional else ends


def fields(cls: type[Checked]) -> tuple[Param, ...]:
    """Every value of a recipe's Params in the order written: name, rule, default.

    cls: a frozen kw_only dataclass that derives from Checked.
    Raises TypeError where it is not that, or where a field has not exactly one rule.

    >>> [value.name for value in fields(recipe("gusset").Params)]
    ['leg_x', 'leg_y', 't', 'nose', 'corner']
    """
    known: Any = cls
    return _read(known)


@cache
def _read(cls: Any) -> tuple[Param, ...]:
    decorated = vars(cls).get("__dataclass_params__")
    if not issubclass(cls, Checked) or decorated is None or not decorated.frozen:
        raise TypeError(f"{cls.__name__} must be a @dataclass(frozen=True, kw_only=True) deriving from Checked")
    hints = typing.get_type_hints(cls, include_extras=True)
    return tuple(_param(cls, field, hints[field.name]) for field in dataclasses.fields(cls))


def _param(cls: Any, field: dataclasses.Field[Any], hint: Any) -> Param:
    rules = [extra for extra in getattr(hint, "__metadata__", ()) if isinstance(extra, Rule)]
    if typing.get_origin(hint) is not Annotated or len(rules) != 1:
        raise TypeError(f"{cls.__name__}.{field.name} must be Annotated with one rule, such as mm(1, 25, ...)")
    if not field.kw_only or not field.init or field.default_factory is not dataclasses.MISSING:
        raise TypeError(f"{cls.__name__}.{field.name} must be kw_only with a plain default")
    of = typing.get_args(hint)[0]
    optional = typing.get_origin(of) in (typing.Union, UnionType) and type(None) in typing.get_args(of)
    figure = next((extra.figure for extra in hint.__metadata__ if isinstance(extra, Follows)), "")
    if figure and not (field.default is None and hasattr(cls, figure)):
        raise TypeError(f"{cls.__name__}.{field.name} must default to WORKED_OUT and {figure} be a property")
    optional = optional or figure != ""
    return Param(name=field.name, rule=rules[0], default=field.default, optional=optional, follows=figure)
