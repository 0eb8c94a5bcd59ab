"""The values of a recipe: a frozen record that refuses everything that makes no sense, all of it at once.

`follows` marks a value that is worked out from the others unless somebody types it; `Where` says what the word
of one value asks of the others.
"""

from __future__ import annotations

import dataclasses
import typing
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import UnionType
from typing import Annotated, Any, ClassVar, Self

from brackets.core.errors import InputError, joined
from brackets.core.names import listed
from brackets.core.schema.rule import NONE_WORDS, Plain, Rule
from brackets.core.units import shown

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


@dataclass(frozen=True, kw_only=True)
class Where:
    """What the value `key` decides by being one of `words`: which optional values must be there, and which may.

    A name of `must` and `may` is a value, or what the names of several begin with, one of which is enough. A name
    that stands in no Where may always be there.
    """

    key: str
    words: tuple[str, ...]
    must: tuple[str, ...] = ()
    may: tuple[str, ...] = ()

    @property
    def said(self) -> str:
        return f"where {self.key} is {' or '.join(listed([word]) for word in self.words)}"

    def names(self, param: str) -> bool:
        """Whether it says anything of that value."""
        return any(_in(param, name) for name in (*self.must, *self.may))


class Checked:
    """Base of a recipe's `Params`: a frozen, kw_only dataclass whose every field is Annotated with one rule.

    Raises InputError with a line for every wrong value (OutOfRange where all of them are beyond their limits); when
    all are right by themselves, InputError with every line that `rules` yields. Equality and hash are those of the
    values.
    """

    _where: ClassVar[tuple[Where, ...]] = ()
    """What one value says of which others are there."""
    _whole: ClassVar[tuple[str, ...]] = ()
    """Beginnings of names: of each, all values are there or none."""
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
        given = {name: getattr(self, name) for name in self._stated}
        if lacking := list(misplaced(type(self), given)):
            raise InputError(*lacking)
        self._follow()
        if problems := list(self.rules()):
            raise InputError(*problems)

    def _follow(self) -> None:
        """Puts a figure in place of every value that is not typed and follows the others."""
        names = {p.name: p for p in fields(type(self)) if p.follows and getattr(self, p.name) is None}
        figures = {name: param.as_typed(getattr(self, param.follows)) for name, param in names.items()}
        known = {p.name for p in fields(type(self))}
        for name in [n for n in vars(self) if n not in known and not n.startswith("_")]:
            del self.__dict__[name]  # a cached property that saw values before they were there
        for name, figure in figures.items():
            object.__setattr__(self, name, figure)
        object.__setattr__(self, "_following", frozenset(names))

    def rules(self) -> Iterator[str]:
        """One line for every relation between values that is broken: "name = value unit, what is allowed, why"."""
        yield from ()


def misplaced(cls: type[Checked], given: Mapping[str, object]) -> Iterator[str]:
    """A line for every value that must be `given` by the word of another and is not, or is and may not be."""
    if not (cls._where or cls._whole):
        return
    there = {param.name: param for param in fields(cls) if given.get(param.name) is not None}
    holding = [one for one in cls._where if given.get(one.key) in one.words]
    for one in holding:
        for name in one.must:
            yield from _lacking(cls, one, name, there)
    decided = {one.key for one in holding}
    for param in list(there.values()):
        about = [one for one in cls._where if one.key in decided and one.names(param.name)]
        if about and not set(about) & set(holding) and given[param.name] != param.default:
            yield f"{param.name} = {param.quoted(given[param.name])}, only {about[0].said}: {param.meaning}"
            del there[param.name]
    for group in cls._whole:
        inner = [param for param in fields(cls) if _in(param.name, group)]
        if any(param.name in there for param in inner):
            yield from (param.missing() for param in inner if param.name not in there)


def _lacking(cls: type[Checked], one: Where, name: str, there: Container[str]) -> Iterator[str]:
    inner = [param for param in fields(cls) if _in(param.name, name)]
    if any(param.name in there for param in inner):
        return
    if len(inner) == 1:
        yield inner[0].missing(one.said)
    else:
        ends = " or ".join(param.name.removeprefix(f"{name}_") for param in inner)
        yield f"{name} = nothing, must have {ends} {one.said}"


def _in(param: str, name: str) -> bool:
    return param == name or param.startswith(f"{name}_")


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

    def quoted(self, value: object) -> str:
        """A value as a refusal shows it, right or wrong."""
        try:
            return self.to_text(self.plain(value))
        except InputError:
            return shown(value)

    def missing(self, where: str = "") -> str:
        """The refusal of a value that must be there and is not."""
        return f"{self.name} = nothing, {f'{self.rule.allowed} {where}'.rstrip()}: {self.meaning}"

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

    def as_typed(self, figure: Plain) -> Plain:
        """A figure that was worked out as it would be had it been typed: 40.0 and not 40, which are two values to
        what is kept."""
        return float(figure) if type(figure) is int and self.rule.kind != "count" else figure

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
