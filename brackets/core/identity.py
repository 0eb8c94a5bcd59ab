"""What a value is, as a short text: equal for equal values, in every process and on every machine of one version.

Results are kept under it, so two values that differ in anything a result could depend on must differ here.
"""

from __future__ import annotations

import hashlib
import struct
import sys
from collections.abc import Callable, Mapping, Sequence, Set
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from importlib import metadata
from pathlib import Path
from typing import cast

from brackets.core.stamp import Stamp, stamp

SOURCES = (".py", ".toml", ".csv", ".json")
"""Files of the program that figures come out of."""
ENGINES = ("cadquery", "cadquery-ocp", "manifold3d", "numpy", "python-fcl", "scipy", "trimesh")
"""Distributions that figures come out of: another version of one of them may give another last digit."""


class UnknownContentError(TypeError):
    """A value whose content cannot be told: what depends on it is worked out anew each time."""




def identity(*values: object) -> str:
    """sha256 of the values, as 64 hexadecimal digits.

    values: numbers, texts, arrays, records (frozen dataclasses), lists and mappings of these, module-level
    functions, and what has an `identity()` of its own. 0.0 and -0.0 are two values, as are 1 and 1.0. Raises
    UnknownContentError for anything else.
    """
    found = hashlib.sha256()
    _feed(found.update, values)
    return found.hexdigest()


Put = Callable[[bytes], None]


def _feed(put: Put, value: object) -> None:
    kind = type(value)
    if kind is float:
        put(b"f" + struct.pack("<d", value))
    elif kind is str:
        _text(put, cast("str", value))
    elif kind is tuple or kind is list:
        _list(put, cast("Sequence[object]", value))
    elif value is None or kind is bool or kind is int:
        put(f"{kind.__name__}{value};".encode())
    elif (own := getattr(kind, "identity", None)) is not None:
        put(f"o{kind.__qualname__}:".encode())
        _feed(put, own(value))
    elif is_dataclass(kind):
        put(_head_of(kind))
        for name in _names_of(kind):
            _feed(put, getattr(value, name))
    else:
        _feed_rest(put, value)


def _text(put: Put, value: str) -> None:
    text = value.encode("utf-8", "surrogatepass")
    put(f"s{len(text)}:".encode() + text)


def _list(put: Put, value: Sequence[object]) -> None:
    put(f"l{len(value)}:".encode())
    for one in value:
        _feed(put, one)


@cache
def _head_of(kind: type) -> bytes:
    return f"r{kind.__module__}.{kind.__qualname__}:".encode()


@cache
def _names_of(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def _feed_rest(put: Put, value: object) -> None:
    match value:
        case Enum():
            put(f"e{type(value).__qualname__}.{value.name};".encode())
        case bytes():
            put(f"b{len(value)}:".encode() + value)
        case Path():
            put(b"p")
            _text(put, str(value))
        case Mapping():
            put(f"m{len(value)}:".encode())
            for pair in value.items():
                _list(put, pair)
        case str() | int() | float():  # of a class of its own
            put(f"k{type(value).__qualname__}:{value!r};".encode())
        case Sequence():
            _list(put, value)
        case Set():
            _list(put, sorted(identity(one) for one in value))
        case _ if type(value).__module__ == "numpy":
            _array(put, value)
        case _:
            module, name = getattr(value, "__module__", None), getattr(value, "__qualname__", "<")
            if not (callable(value) and module in sys.modules and "<" not in name):
                raise UnknownContentError(f"{type(value).__qualname__}: its content cannot be told")
            put(f"c{module}.{name}:{_source_of(module)};".encode())


def _array(put: Put, value: object) -> None:
    import numpy as np

    array = np.asarray(value)
    if array.dtype == object:
        raise UnknownContentError("array of objects: its content cannot be told")
    put(f"a{array.dtype.str}{array.shape}:".encode() + array.tobytes())


def _source_of(module: str) -> str:
    """Of the file a function stands in: another source is another function."""
    path = getattr(sys.modules[module], "__file__", None)
    written = None if path is None else stamp(path)
    if path is None or written is None:
        raise UnknownContentError(f"{module}: no source file")
    return _content(path, written)


@cache
def _content(path: str, _written: Stamp) -> str:
    return hashlib.sha256(Path(path).read_bytes()).hexdigest()


@cache
def program() -> str:
    """What the figures of this version come out of: its own sources, Python and the libraries it asks."""
    return of_sources(Path(__file__).parent.parent)


def of_sources(top: Path) -> str:
    """The same of the sources in a folder."""
    found = hashlib.sha256()
    for path in sorted(one for one in top.rglob("*") if one.suffix in SOURCES):
        found.update(path.relative_to(top).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    for name in ENGINES:
        try:
            found.update(f"{name}={metadata.version(name)};".encode())
        except metadata.PackageNotFoundError:
            found.update(f"{name}=none;".encode())
    found.update(f"{sys.version_info[:3]} {sys.platform}".encode())
    return found.hexdigest()
