"""One STEP file of several parts: the whole, each part under it, each part's pieces under that."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import assert_never

from brackets.bay.fitting import Fit
from brackets.bay.schema.keep_out import KeepOut
from brackets.bay.stand.hardware import Bought
from brackets.bay.stand.placed_part import BayThing, BossHead, PlacedPart, ThroughBolt
from brackets.core.errors import InputError
from brackets.model.part import Part
from brackets.output import step


def write(parts: Iterable[Part], path: Path | str, *, name: str) -> None:
    """Write `parts` where they stand (see Part.placed) as the assembly `name` to `path`.

    Raises InputError where there is no part or two share a name, and as `step.write` does.
    """
    step.write(tree(parts, name=name), path)


def of(fit: Fit) -> tuple[Part, ...]:
    """What `assembled` gives of a fitted bay, in the order of its bodies; () where nothing is made or bought."""
    return tuple(made for thing in fit.things if (made := assembled(thing.of)) is not None)


def assembled(thing: BayThing) -> Part | None:
    """What stands of it in the assembly, under its name in the bay: parts, bushes, bolts through them and through
    keep-outs, heads and washers of the bolts into bosses. None of what is there already.
    """
    match thing:
        case PlacedPart() | Bought():
            return replace(thing.part, name=thing.name)
        case BossHead() | ThroughBolt():
            return replace(thing.made, name=thing.name)
        case KeepOut():
            return None
        case _:
            assert_never(thing)


def tree(parts: Iterable[Part], *, name: str) -> step.Group:
    """The levels of the STEP file: a group for each part, under the name of the assembly."""
    groups = tuple(step.Group.of(part) for part in parts)
    twice = sorted(part for part, count in Counter(group.name for group in groups).items() if count > 1)
    problems = [f"part = {part}, each name once: two in {name}" for part in twice]
    if not groups:
        problems.append(f"parts = none, at least one: the assembly {name}")
    if problems:
        raise InputError(*problems)
    return step.Group(name=name, members=groups)
