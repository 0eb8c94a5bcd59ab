"""Sleeves between their ears: too long to go in, or so short that the bolt clamps nothing.

The room between the ears less the sleeve's length is the play, a choice (`play` of a mount): a sleeve that is
clamped hard wants next to none, one that is made short to squeeze its poly first wants what it is short.
"""

from __future__ import annotations

from collections.abc import Iterator

from brackets.bay.bought import bush_of, play_of
from brackets.bay.rows import Mount
from brackets.bay.standing import Stood
from brackets.findings import PRACTICE, Finding
from brackets.findings.record import Level
from brackets.params import values

HAND = 0.5
"""What ears made by hand are out anyway, mm: common practice, no source."""

PULLED = 2.0
"""How much more than the play asked ears may be apart before no bolt pulls them onto the sleeve, mm: common
practice, no source."""

TIGHT = 1e-6
"""mm by which a sleeve may be longer than the room for it: rounding."""


def sleeve_findings(stood: Stood) -> Iterator[Finding]:
    """Of every mount whose ears say how far apart they stand (a value named `inside`)."""
    parts = {part.name: part for part in stood.parts}
    for mount in stood.bay.mounts:
        side = "chassis" if mount.cup == "powertrain" else "powertrain"
        ears = parts.get(getattr(mount, f"{side}_part") or "")
        inside = None if ears is None else values(ears.params).get("inside")
        if ears is not None and isinstance(inside, float):
            yield from _judged(mount, ears.name, inside, bush_of(stood.bay, mount).sleeve_length)


def _judged(mount: Mount, ears: str, inside: float, sleeve: float) -> Iterator[Finding]:
    room, play = inside - sleeve, play_of(mount)
    met = f"{mount.name}: a sleeve {sleeve:g} mm long between ears {inside:g} mm apart"
    better = f"inside = {sleeve + play:g} mm"
    if room < -TIGHT:
        sentence = f"{met} does not go in, it is {-room:.3g} mm too long: {better}, or grind it"
        yield _finding(mount, ears, "stop", room, 0.0, sentence)
    elif room > play + HAND:
        level: Level = "stop" if room > play + PULLED else "caution"
        whose = "asked" if mount.play is not None else "taken where its mount names no play"
        sentence = (
            f"{met} has {room:.3g} mm of play, {play:g} {whose}: the bolt pulls the ears in, or clamps nothing;"
            f" {better}, or fill it with a washer"
        )
        yield _finding(mount, ears, level, room, play, sentence)


def _finding(mount: Mount, ears: str, level: Level, room: float, limit: float, sentence: str) -> Finding:
    return Finding(
        level=level,
        code="sleeve",
        piece=ears,
        about=(ears, f"{mount.name} sleeve"),
        value=room,
        limit=limit,
        source=PRACTICE,
        sentence=sentence,
    )
