"""Files that a person gives us, read whole or refused in one line: text of any device, size or encoding."""

from __future__ import annotations

import re
import stat
import tomllib
from collections.abc import Iterator
from pathlib import Path

from brackets.core.errors import BadFile

LARGEST = 4_000_000
"""Bytes of a text file: the largest bay anyone typed is a hundredth of that, so it is another file by mistake."""

LONGEST_NAME = 80
"""Characters of what a file calls itself: a longer name fits on no sheet."""

LONGEST_LINE = 100
"""Characters of a line that is shown: the rest of it is in the file."""

MOST_ROWS = 1000
"""Rows of one kind in a file: ten times the largest bay or survey anyone typed."""


def given_bytes(path: Path, *, what: str, largest: int = LARGEST) -> bytes:
    """The bytes of a file. Raises BadFile where it is no file, is larger than `largest`, or may not be read.

    `what` it should be goes into the refusal: "a bay file (TOML)".
    """
    if "\0" in str(path):
        raise BadFile(str(path).replace("\0", "\\0"), f"has a zero byte in its name, must be {what}")
    try:
        about = path.stat()
        if stat.S_ISDIR(about.st_mode):
            raise BadFile(path, f"is a folder, must be {what}")
        if not stat.S_ISREG(about.st_mode):
            raise BadFile(path, f"is a device or a pipe, must be {what}")
        if about.st_size > largest:
            raise BadFile(path, f"has {about.st_size / 1e6:.0f} MB, must be {what} of up to {largest / 1e6:g} MB")
        return path.read_bytes()
    except FileNotFoundError:
        raise BadFile(path, f"no such file, must be {what}") from None
    except PermissionError:
        raise BadFile(path, "may not be read: no permission") from None
    except OSError as error:
        raise BadFile(path, f"cannot be read: {error.strerror or error}") from None


def given_text(path: Path, *, what: str, largest: int = LARGEST) -> str:
    """The text of a file in UTF-8, without the mark that some editors put before it. Raises BadFile."""
    found = given_bytes(path, what=what, largest=largest)
    try:
        return found.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadFile(path, f"is not text in UTF-8 (byte {error.start}), must be {what}") from None


def texts_in(value: object) -> Iterator[str]:
    """Every text among the values of a table, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts_in(one)
    elif isinstance(value, list):
        for one in value:
            yield from texts_in(one)


def _line_told(text: str, said: str) -> str:
    """The line of a TOML file that its reader stopped at, and what is usually meant by such a line."""
    at = re.search(r"at line (\d+)", said)
    lines = text.split("\n")
    if at is None or int(at[1]) > len(lines):
        return ""
    line = "".join(c if c.isprintable() else " " for c in lines[int(at[1]) - 1]).strip()
    hint = ""
    if "immutable namespace" in said:
        hint = ": its table stands between { and } already: write this between them too"
    elif re.search(r",\s*\}", line):
        hint = ": no comma before }"
    elif re.search(r"=\s*[-+]?\d+,\d+\s*(#.*)?$", line):
        hint = ": write a decimal comma as a point"
    elif re.search(r"=\s*(?!(true|false|inf|nan)\b)[^\W\d]", line):
        hint = ": text stands in quotes"
    elif re.search(r"=\s*[-+]?[\d.]+\s*[^\W\d_]", line):
        hint = ": a number with its unit stands in quotes"
    return f": {line[:LONGEST_LINE]}{hint}"


def given_toml(path: Path, *, what: str) -> dict[str, object]:
    """The table of a TOML file. Raises BadFile."""
    text = given_text(path, what=f"{what} (TOML)")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadFile(path, f"is not TOML: {error}{_line_told(text, str(error))}") from None
    except RecursionError:
        raise BadFile(path, f"is nested too deeply to be read, must be {what}") from None
    except ValueError:
        raise BadFile(path, f"has a number of thousands of digits, must be {what}") from None
