"""Plain arithmetic of values by their names, as a family file types it: `bush_od + 25`, `t == 8 and reach < 70`.

The text is read by Python's parser and only numbers, names, quoted words, + - * / // % **, min, max, round,
comparisons, and, or, not are worked out here; nothing is ever evaluated as Python.
"""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from brackets.core.errors import InputError
from brackets.core.schema.rule import Plain
from brackets.core.units import shown

LONGEST = 500
"""Characters of an expression."""

Lookup = Callable[[str], Plain]
"""The value of a name; InputError where it has none."""

ALLOWED = (
    "must be plain arithmetic of values by their names: numbers, + - * / // % **, parentheses, min, max, round,"
    " comparisons, and, or, not"
)
WORKED: Mapping[type[ast.AST], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.FloorDiv: operator.floordiv,
    ast.Mod: operator.mod,
    ast.Pow: math.pow,
}
COMPARED: Mapping[type[ast.AST], Callable[[float, float], bool]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
}
CALLED: Mapping[str, tuple[int, int, Callable[..., float]]] = {
    "min": (2, 50, min),
    "max": (2, 50, max),
    "round": (1, 2, lambda value, digits=0.0: float(round(value, int(digits)))),
}
"""Name, least and most arguments, and what is done; figures go in as float, so that none grows beyond counting."""


@dataclass(frozen=True)
class Expression:
    """A text that was read: the `names` it asks for, and its value for a lookup of names.

    Raises InputError where the text is no plain arithmetic.
    """

    text: str

    def __post_init__(self) -> None:
        _check(_tree(self.text), self.text)

    @property
    def names(self) -> frozenset[str]:
        """Names of the values it is worked out from."""
        return frozenset(n.id for n in ast.walk(_tree(self.text)) if isinstance(n, ast.Name)) - CALLED.keys()

    def value(self, of: Lookup) -> Plain:
        """What it comes to. Raises InputError where it comes to nothing, by zero, say, or a name is no number."""
        try:
            found = _value(_tree(self.text), of)
        except (ArithmeticError, ValueError) as error:
            if isinstance(error, InputError):
                raise
            raise InputError(f"{shown(self.text)} has no value: {error}") from None
        if isinstance(found, float) and not math.isfinite(found):
            raise InputError(f"{shown(self.text)} has no value: it is {found}")
        return found

    def holds(self, of: Lookup) -> bool:
        """Whether it is so. Raises InputError as `value` does, or where it is no question."""
        found = self.value(of)
        if not isinstance(found, bool):
            raise InputError(f"{shown(self.text)} = {shown(found)}, must be yes or no: a comparison")
        return found


@lru_cache(maxsize=256)
def _tree(text: str) -> ast.expr:
    if len(text) > LONGEST:
        raise InputError(f"{shown(text)}: {len(text)} characters, {ALLOWED}, at most {LONGEST} characters")
    try:
        return ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError):
        raise InputError(f"{shown(text)}, {ALLOWED}") from None


def _check(node: ast.expr, text: str) -> None:
    """Refuses whatever is not one of the few things that are worked out."""
    inner: list[ast.expr] = []
    match node:
        case ast.Constant(value=bool() | int() | float() | str()):
            pass
        case ast.Name():
            if node.id in CALLED:
                raise InputError(f"{shown(text)}: {node.id} without its parentheses, {ALLOWED}")
        case ast.BinOp(op=op) if type(op) in WORKED:
            inner = [node.left, node.right]
        case ast.UnaryOp(op=ast.USub() | ast.UAdd() | ast.Not()):
            inner = [node.operand]
        case ast.BoolOp():
            inner = node.values
        case ast.Compare(ops=ops) if all(type(o) in COMPARED or isinstance(o, ast.Eq | ast.NotEq) for o in ops):
            inner = [node.left, *node.comparators]
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in CALLED:
            least, most, _ = CALLED[name]
            if not least <= len(args) <= most:
                raise InputError(f"{shown(text)}: {name} of {len(args)}, must be of {least} to {most}")
            inner = args
        case _:
            raise InputError(f"{shown(ast.unparse(node))} in {shown(text)}, {ALLOWED}")
    for each in inner:
        _check(each, text)


def _value(node: ast.expr, of: Lookup) -> Plain:
    match node:
        case ast.Constant(value=bool() | str() as plain):
            return plain
        case ast.Constant(value=int() | float() as figure):
            return float(figure)
        case ast.Name():
            return of(node.id)
        case ast.BinOp():
            return WORKED[type(node.op)](_number(node.left, of), _number(node.right, of))
        case ast.UnaryOp(op=ast.Not()):
            return not _yes(node.operand, of)
        case ast.UnaryOp():
            return -_number(node.operand, of) if isinstance(node.op, ast.USub) else _number(node.operand, of)
        case ast.BoolOp():
            told = (_yes(each, of) for each in node.values)
            return all(told) if isinstance(node.op, ast.And) else any(told)
        case ast.Compare():
            return _compared(node, of)
        case ast.Call(func=ast.Name(id=name)):
            return float(CALLED[name][2](*(_number(each, of) for each in node.args)))
        case _:
            raise InputError(f"{shown(ast.unparse(node))}, {ALLOWED}")


def _compared(node: ast.Compare, of: Lookup) -> bool:
    left = node.left
    for op, right in zip(node.ops, node.comparators, strict=True):
        if isinstance(op, ast.Eq | ast.NotEq):
            told = (_value(left, of) == _value(right, of)) is isinstance(op, ast.Eq)
        else:
            told = COMPARED[type(op)](_number(left, of), _number(right, of))
        if not told:
            return False
        left = right
    return True


def _number(node: ast.expr, of: Lookup) -> float:
    found = _value(node, of)
    if isinstance(found, bool) or not isinstance(found, int | float):
        raise InputError(f"{ast.unparse(node)} = {shown(found)}, must be a number: it is counted with")
    return float(found)


def _yes(node: ast.expr, of: Lookup) -> bool:
    found = _value(node, of)
    if not isinstance(found, bool):
        raise InputError(f"{ast.unparse(node)} = {shown(found)}, must be yes or no: it stands by and, or, not")
    return found
