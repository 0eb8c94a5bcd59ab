"""What the end of a tube meets: other tubes, round things, flats, bungs; all in the frame the tubes are
laid out in."""

from __future__ import annotations

from dataclasses import dataclass

from brackets.pieces import Vec


@dataclass(frozen=True)
class Round:
    """A round thing a tube is coped to: a cup, an upright bung, a rail.

    `at` is the middle of its axis, `length` how long it is (None: longer than matters), `wall` its wall, mm.
    """

    name: str
    at: Vec
    axis: Vec
    od: float
    length: float | None = None
    wall: float | None = None


@dataclass(frozen=True)
class Flat:
    """A flat a tube is cut to: the face of a plate through `at` with `normal`; `t` its thickness, mm."""

    name: str
    at: Vec
    normal: Vec
    t: float | None = None


@dataclass(frozen=True)
class Bung:
    """A bung in the end of a tube: its shoulder through `at`, square to the tube; its spigot goes up the
    bore."""

    name: str
    at: Vec
    spigot_od: float


@dataclass(frozen=True)
class Mitre:
    """Another tube, met end to end: both are cut to the plane half way between them."""

    tube: str


Met = str | Round | Flat | Bung | Mitre
"""What an end meets; a str names another tube of the layout, which this one is coped to."""

Meets = Met | tuple[Met, ...]
"""One thing, or several in the order the cuts are made; () is a square end."""


def several(meets: Meets) -> tuple[Met, ...]:
    """The things as a tuple, whichever way they were given."""
    return meets if isinstance(meets, tuple) else (meets,)


def name_of(met: Met) -> str:
    """The name of the thing that is met."""
    if isinstance(met, str):
        return met
    return met.tube if isinstance(met, Mitre) else met.name
