"""In which order the bolts of a bay go in, and which of them no order lets in.

A part is there before the bolts that hold it, a bush before the bolt through it, and a bolt before whatever is in
its way.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Step:
    """A bolt by its name among the bodies: what is there before it, and what must not be there yet."""

    bolt: str
    after: tuple[str, ...]
    before: tuple[str, ...] = ()


def contradiction(of: str, steps: Sequence[Step]) -> tuple[str, ...]:
    """The shortest round of names, from the bolt `of` back to itself, each of which must be there before the next;
    nothing where some order lets it in."""
    later = _later(steps)
    before: dict[str, str] = {}
    turn = [of]
    while turn:
        reached = []
        for name in turn:
            for following in later.get(name, ()):
                if following == of:
                    return _round(of, name, before)
                if following not in before:
                    before[following] = name
                    reached.append(following)
        turn = reached
    return ()


def _later(steps: Sequence[Step]) -> Mapping[str, Iterable[str]]:
    later: dict[str, dict[str, None]] = {}
    for step in steps:
        for name in step.after:
            later.setdefault(name, {})[step.bolt] = None
        for name in step.before:
            later.setdefault(step.bolt, {})[name] = None
    return later


def _round(of: str, last: str, before: Mapping[str, str]) -> tuple[str, ...]:
    names = [of, last]
    while names[-1] != of:
        names.append(before[names[-1]])
    return tuple(reversed(names))
