"""Splits what stands behind a verb into plain words and --NAME VALUE pairs; values are not read here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from brackets.errors import OutOfRange


@dataclass(frozen=True)
class Typed:
    """The plain words, the text of every named value, and one line for each pair that is not one."""

    words: tuple[str, ...]
    texts: dict[str, str]
    problems: tuple[str, ...]


def split(arguments: Sequence[str]) -> Typed:
    """Words and pairs of "ears --t 6 --seat=flat"; every named value needs a text."""
    words: list[str] = []
    texts: dict[str, str] = {}
    problems: list[str] = []
    rest = list(arguments)
    while rest:
        word = rest.pop(0)
        if not word.startswith("--") or word == "--":
            words.append(word)
            continue
        name, equals, value = word[2:].partition("=")
        if not equals:
            if not rest or rest[0].startswith("--"):
                problems.append(f"--{name} = nothing, must be followed by a value: --{name} VALUE")
                continue
            value = rest.pop(0)
        if name.replace("_", "-") in texts:
            problems.append(f"--{name} = {value}, must be given once: it is there twice")
        texts[name.replace("_", "-")] = value
    return Typed(tuple(words), texts, tuple(problems))


def one_word(typed: Typed, what: str, example: str) -> str:
    """The one plain word there must be; OutOfRange where there are none or several."""
    if len(typed.words) == 1:
        return typed.words[0]
    if not typed.words:
        raise OutOfRange(f"{what} = nothing, must be given: {example}")
    raise OutOfRange(
        f'{what} = "{" ".join(typed.words)}", must be one word: {example}; a value needs its name, --NAME VALUE'
    )
