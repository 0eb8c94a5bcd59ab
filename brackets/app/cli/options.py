"""Options that several verbs share, and splitting --NAME VALUE pairs from plain words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from brackets.core.errors import InputError

Into = Annotated[Path | None, typer.Option("--into", metavar="DIR", help="Folder for the files; default out/NAME.")]
AsJson = Annotated[bool, typer.Option("--json", help="The same facts as JSON, for scripts.")]
Paper = Annotated[
    str | None, typer.Option("--paper", metavar="A4|A3|Letter", help="Paper of the templates; default the shop's.")
]
ShopFile = Annotated[
    Path | None, typer.Option("--shop", metavar="FILE", help="Your shop profile; the SAMPLE shop otherwise.")
]
Bare = Annotated[str, typer.Option("--bare", metavar="mm|in", help="Unit of numbers written without one.")]


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
    """The one plain word there must be; InputError where there are none or several."""
    if len(typed.words) == 1:
        return typed.words[0]
    if not typed.words:
        raise InputError(f"{what} = nothing, must be given: {example}")
    raise InputError(
        f'{what} = "{" ".join(typed.words)}", must be one word: {example}; a value needs its name, --NAME VALUE'
    )
