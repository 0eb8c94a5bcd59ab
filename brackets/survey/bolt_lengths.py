"""Which bolt from stock: long enough, not too long, its plain shank where it must be; mm.

A length is counted from under the head. What is thread is thread to its run-out (ISO 4014, ASME B18.2.1).
"""

from __future__ import annotations

from dataclasses import dataclass

from brackets.core.tables.bolt_rows import Bolt

THREADS_OUT = 2.0
"""Pitches that must stand out of a nut: common practice, no source."""

BOTTOM = 1.0
"""Pitches a bolt's tip must stay short of the end of the thread in a casting: common practice, no source."""

MOST_WASHERS = 3
"""Washers that may be stacked under one head or nut: common practice, no source."""

NONE = 1e-9
"""mm below which nothing is short or over: rounding."""


@dataclass(frozen=True, kw_only=True)
class Through:
    """A bolt with a nut: mm of its thread where shank is asked (in the ear by the nut), mm out of the nut past two
    threads (less: too short), mm by which the shank reaches past where the nut must come to (it cannot be done up);
    `full_thread`: it has no shank."""

    length: float
    washers: tuple[int, int]
    thread_in: float
    spare: float
    runs_out: float
    full_thread: bool = False

    @property
    def fits(self) -> bool:
        """A bolt with a shank is to have no thread in the ear; one threaded to the head has nothing else."""
        whole = self.full_thread or self.thread_in <= NONE
        return whole and self.spare >= -NONE and self.runs_out <= NONE


@dataclass(frozen=True, kw_only=True)
class Tapped:
    """A bolt into a casting: mm of thread in it, and how much more or less that is than least and most."""

    length: float
    washers: int
    full_thread: bool
    depth: float
    over_least: float
    under_most: float
    thread_short: float

    @property
    def fits(self) -> bool:
        return min(self.over_least, self.under_most) >= -NONE and self.thread_short <= NONE


def through(
    of: Bolt,
    length: float,
    *,
    grip: float,
    nut_height: float | None,
    washers: tuple[int, int],
    shank_to: float | None = None,
    full_thread: bool = False,
) -> Through:
    """How a bolt of that length sits in `grip` mm of ears and sleeve; without a nut its height is None.

    shank_to: mm of the grip, from the head, that are to have shank in them; None for all of it."""
    under, behind = (n * of.washer_t for n in washers)
    shank = 0.0 if full_thread else of.shank_length(length)
    out = length - under - grip - behind - (0.0 if nut_height is None else nut_height)
    return Through(
        length=length,
        washers=washers,
        thread_in=max(0.0, under + (grip if shank_to is None else shank_to) - shank),
        spare=out - (0.0 if nut_height is None else THREADS_OUT * of.pitch),
        runs_out=max(0.0, shank - under - grip - behind),
        full_thread=full_thread,
    )


def choose_through(
    of: Bolt,
    *,
    grip: float,
    nut_height: float | None,
    washers: tuple[int, int],
    shank_to: float | None = None,
) -> Through | None:
    """The stock bolt that fits, with as few washers more than asked as can be; None where none does."""
    least = sum(washers)
    stacks = sorted(
        (
            (head, nut)
            for head in range(washers[0], max(washers[0], MOST_WASHERS) + 1)
            for nut in range(washers[1], max(washers[1], MOST_WASHERS) + 1)
        ),
        key=lambda s: (s[0] + s[1] - least, s),
    )
    for stack in stacks:
        for length in of.lengths:
            made = through(
                of, length, grip=grip, nut_height=nut_height, washers=stack, shank_to=shank_to
            )
            if made.fits:
                return made
    return None


def choose_clamping(
    of: Bolt, *, grip: float, nut_height: float, washers: tuple[int, int], shank_to: float
) -> Through | None:
    """The shortest from stock that clamps `grip` mm under the washers asked: a bolt whose shank reaches past
    `shank_to` mm of it, else one threaded to its head, else a bolt with more washers; None where none does."""
    bolts = [(length, False) for length in of.lengths] + [(length, True) for length in of.screw_lengths]
    for length, full in bolts:
        made = through(
            of,
            length,
            grip=grip,
            nut_height=nut_height,
            washers=washers,
            shank_to=shank_to,
            full_thread=full,
        )
        if made.fits:
            return made
    return choose_through(of, grip=grip, nut_height=nut_height, washers=washers, shank_to=shank_to)


def tapped(
    of: Bolt, length: float, *, grip: float, depth: float, least: float, washers: int, full_thread: bool
) -> Tapped:
    """How a bolt of that length sits: `grip` mm of metal over a casting with `depth` mm of usable thread."""
    into = length - washers * of.washer_t - grip
    thread = length if full_thread else of.thread_length(length)
    return Tapped(
        length=length,
        washers=washers,
        full_thread=full_thread,
        depth=into,
        over_least=into - least,
        under_most=depth - BOTTOM * of.pitch - into,
        thread_short=max(0.0, into - thread),
    )


def choose_tapped(of: Bolt, *, grip: float, depth: float, least: float) -> Tapped | None:
    """The stock bolt or screw that fits, fewest washers first, then the deepest; None where none does."""
    for washers in range(1, MOST_WASHERS + 1):
        made = [
            tapped(of, length, grip=grip, depth=depth, least=least, washers=washers, full_thread=full)
            for lengths, full in ((of.lengths, False), (of.screw_lengths, True))
            for length in lengths
        ]
        fitting = [one for one in made if one.fits]
        if fitting:
            return max(fitting, key=lambda one: (one.depth, not one.full_thread))
    return None


def nearest_through(
    of: Bolt, *, grip: float, nut_height: float | None, washers: tuple[int, int]
) -> tuple[Through, ...]:
    """The stock lengths either side of what would fit, to say what is wrong with each."""
    made = [through(of, length, grip=grip, nut_height=nut_height, washers=washers) for length in of.lengths]
    long_enough = [one for one in made if one.spare >= -NONE]
    return tuple(long_enough[:3]) if long_enough else tuple(made[-1:])


def nearest_tapped(of: Bolt, *, grip: float, depth: float, least: float) -> tuple[Tapped, ...]:
    """The stock lengths either side of what would fit under one washer."""
    every = sorted({*of.lengths, *of.screw_lengths})
    made = [
        tapped(of, n, grip=grip, depth=depth, least=least, washers=1, full_thread=n in of.screw_lengths)
        for n in every
    ]
    short = [one for one in made if one.over_least < -NONE]
    long = [one for one in made if one.over_least >= -NONE]
    return (*short[-1:], *long[:1])
