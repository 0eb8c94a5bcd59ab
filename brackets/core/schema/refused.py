"""Rows of a file that are there and wrong: who speaks of one of them is not wrong as well."""

from __future__ import annotations

from brackets.core.schema.checked import Checked

Row = type[Checked]


class Refused:
    """Names of the wrong rows of one file by the class of their row; "" for a row without a name."""

    def __init__(self) -> None:
        self._names: dict[Row, list[str]] = {}

    def add(self, row: Row, name: object) -> None:
        self._names.setdefault(row, []).append(name if isinstance(name, str) else "")

    def names(self, *rows: Row) -> tuple[str, ...]:
        """Of the rows of these classes that have a name."""
        return tuple(name for row in rows for name in self._names.get(row, ()) if name)

    def any(self, *rows: Row) -> bool:
        """Whether a row of one of these classes is wrong."""
        return any(row in self._names for row in rows)
