"""Text in lines: broken at spaces, a word wider than its line after one of / _ - in it: names stay whole."""

from __future__ import annotations

import re
from collections.abc import Iterator

BREAKS = re.compile(r"(?<=[/_])|(?<=[^\W\d]-)(?=[^\W\d])")
"""Where a word may be broken: after / and _, after a hyphen between letters; no minus leaves its figure."""


def fragments(word: str) -> list[str]:
    """The parts that a word may be broken into."""
    return [part for part in BREAKS.split(word) if part]


def wrap(text: str, width: int, *, indent: str = "") -> list[str]:
    """Lines of at most `width` letters, those after the first behind `indent`.

    What is wider than a line and has no / _ - is broken anywhere.
    """
    if len(text) <= width:
        return [text]
    lines = [""]
    for word in text.split():
        joined = f"{lines[-1]} {word}" if lines[-1].strip() else lines[-1] + word
        if len(joined) <= width:
            lines[-1] = joined
            continue
        if lines[-1].strip():
            lines.append(indent)
        for part in _no_wider(word, width - len(indent)):
            if len(lines[-1] + part) > width:
                lines.append(indent)
            lines[-1] += part
    return lines


def _no_wider(word: str, width: int) -> Iterator[str]:
    if len(word) <= width:
        yield word
        return
    for part in fragments(word):
        for start in range(0, len(part), width):
            yield part[start : start + width]
