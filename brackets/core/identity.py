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
from functools import cache, partial
from importlib import metadata
from pathlib import Path
from typing import Any

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
    found: list[bytes] = []
    _feed(found.append, values)
    return hashlib.sha256(b"".join(found)).hexdigest()


Put = Callable[[bytes], None]
Feed = Callable[[Put, Any], None]


def _feed(put: Put, value: object) -> None:
    kind = type(value)
    feed = _FEEDS.get(kind)
    if feed is None:
        feed = _FEEDS[kind] = _feed_of(kind)
    feed(put, value)


def _feed_of(kind: type) -> Feed:
    """How values of a kind are told; it is looked for once a kind."""
    if (own := getattr(kind, "identity", None)) is not None:
        return partial(_own, f"o{kind.__qualname__}:".encode(), own)
    if is_dataclass(kind):
        head = f"r{kind.__module__}.{kind.__qualname__}:".encode()
        return partial(_record, head, tuple(field.name for field in fields(kind)))
    if kind.__module__ == "numpy":
        return _array
    return next((feed for base, feed in _KINDS if issubclass(kind, base)), _function)


def _own(head: bytes, own: Callable[[object], object], put: Put, value: object) -> None:
    put(head)
    _feed(put, own(value))


def _record(head: bytes, names: Sequence[str], put: Put, value: object) -> None:
    put(head)
    for name in names:
        _feed(put, getattr(value, name))


def _float(put: Put, value: float) -> None:
    put(b"f" + _DOUBLE(value))


def _plain(put: Put, value: object) -> None:
    put(f"{type(value).__name__}{value};".encode())


def _text(put: Put, value: str) -> None:
    text = value.encode("utf-8", "surrogatepass")
    put(b"s%d:" % len(text) + text)


def _list(put: Put, value: Sequence[object]) -> None:
    put(b"l%d:" % len(value))
    for one in value:
        _feed(put, one)


def _enum(put: Put, value: Enum) -> None:
    put(f"e{type(value).__qualname__}.{value.name};".encode())


def _bytes(put: Put, value: bytes) -> None:
    put(b"b%d:" % len(value) + value)


def _path(put: Put, value: Path) -> None:
    put(b"p")
    _text(put, str(value))


def _mapping(put: Put, value: Mapping[object, object]) -> None:
    put(b"m%d:" % len(value))
    for pair in value.items():
        _list(put, pair)


def _of_own_class(put: Put, value: object) -> None:
    put(f"k{type(value).__qualname__}:{value!r};".encode())


def _set(put: Put, value: Set[object]) -> None:
    _list(put, sorted(identity(one) for one in value))


def _array(put: Put, value: object) -> None:
    import numpy as np

    array = np.asarray(value)
    if array.dtype == object:
        raise UnknownContentError("array of objects: its content cannot be told")
    put(f"a{array.dtype.str}{array.shape}:".encode() + array.tobytes())


def _function(put: Put, value: object) -> None:
    module, name = getattr(value, "__module__", None), getattr(value, "__qualname__", "<")
    if not (callable(value) and module in sys.modules and "<" not in name):
        raise UnknownContentError(f"{type(value).__qualname__}: its content cannot be told")
    put(f"c{module}.{name}:{_source_of(module)};".encode())


_DOUBLE = struct.Struct("<d").pack
_FEEDS: dict[type, Feed] = {
    float: _float,
    str: _text,
    tuple: _list,
    list: _list,
    type(None): _plain,
    bool: _plain,
    int: _plain,
}
_KINDS: tuple[tuple[type | tuple[type, ...], Feed], ...] = (
    (Enum, _enum),
    (bytes, _bytes),
    (Path, _path),
    (Mapping, _mapping),
    ((str, int, float), _of_own_class),
    (Sequence, _list),
    (Set, _set),
)
"""By what a kind is one of, the first that it is: also of those that users made."""


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
