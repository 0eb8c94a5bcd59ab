"""The public face as the type checker and editors read it: brackets/__init__.pyi, from the table in __init__.py.

    python tests/face_stub.py        writes it anew

tests/test_face.py compares the two. The order is that of ruff's rule I.
"""

from __future__ import annotations

from itertools import groupby
from pathlib import Path
from textwrap import fill

import brackets

STUB = Path(brackets.__file__).with_suffix(".pyi")
WIDTH = 116
DOCSTRING = '"""The public names, for type checkers: tests/face_stub.py writes this from __init__.py."""'


def stub() -> str:
    """Text of the stub: the imports of every public name, and the list of these names."""
    found = sorted(((module, theirs, ours) for ours, (module, theirs) in brackets._FROM.items()), key=_order)
    imports = [
        text
        for module, names in groupby(found, key=lambda name: name[0])
        for text in _imports(module, [(theirs, ours) for _, theirs, ours in names])
    ]
    public = fill(", ".join(f'"{name}"' for name in sorted(brackets.__all__)), WIDTH - 4)
    names = "__all__ = [\n" + "".join(f"    {line}\n" for line in public.splitlines()) + "]"
    others = ("__version__: str", "_FROM: dict[str, tuple[str, str]]")
    return "\n".join([DOCSTRING, "", *imports, "", *others, names, ""])


def _order(name: tuple[str, str, str]) -> tuple[str, int, str]:
    """Modules by name; in one constants come first, then classes, then functions."""
    module, theirs, _ = name
    return module, 0 if theirs.isupper() else 1 if theirs[0].isupper() else 2, theirs


def _imports(module: str, names: list[tuple[str, str]]) -> list[str]:
    """The statements for one module: one for all names it calls as we do, one for each other."""
    same = [theirs for theirs, ours in names if theirs == ours]
    line = f"from brackets.{module} import {', '.join(same)}"
    if len(line) > WIDTH:
        line = f"from brackets.{module} import (\n" + "".join(f"    {name},\n" for name in same) + ")"
    renamed = [f"from brackets.{module} import {theirs} as {ours}" for theirs, ours in names if theirs != ours]
    return [*([line] if same else []), *renamed]


if __name__ == "__main__":
    STUB.write_text(stub(), "utf-8")
