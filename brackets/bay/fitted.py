"""Does it fit: a bay built, placed, and cleared standing still, moved, on its ways in and out, and its bolts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from brackets.bay.bodies import Thing, things
from brackets.bay.bolting import BoltFound, bolts
from brackets.bay.boss_bolts import boss_bolts, heads
from brackets.bay.judged import bay_findings
from brackets.bay.moving import Moved, moved
from brackets.bay.pairs import Pair, pairs
from brackets.bay.record import Bay
from brackets.bay.seat_contact import SeatContact, seat_contacts
from brackets.bay.standing import Stood, checked, stood
from brackets.bay.ways import WayFound, ways
from brackets.findings import Finding


@dataclass(frozen=True, kw_only=True)
class Fit:
    """A bay that was fitted: what stands in it, and every pair, worst first."""

    stood: Stood
    things: tuple[Thing, ...]
    pairs: tuple[Pair, ...]
    moved: tuple[Moved, ...]
    ways: tuple[WayFound, ...]
    bolts: tuple[BoltFound, ...]
    seats: tuple[SeatContact, ...]
    findings: tuple[Finding, ...]

    @property
    def bay(self) -> Bay:
        return self.stood.bay

    @property
    def stops(self) -> bool:
        """Whether anything says: do not cut."""
        return any(finding.level == "stop" for finding in self.findings)


def fit(bay: Bay, *, known_only: bool = False, say: Callable[[str], None] = lambda _: None) -> Fit:
    """The bay built, placed and cleared, at rest and moved; `say` is told what is being done, `known_only` leaves
    out parts whose recipe is not there.

    Raises BadFile where something in it cannot be used.
    """
    say("building the parts")
    standing = stood(bay, known_only=known_only)
    say("making their solids")
    standing = checked(standing)
    bodies = things(standing)
    held = boss_bolts(bay, bodies)
    all_things = (*bodies, *heads(held))
    say("measuring the gaps at rest")
    at_rest = pairs(bay, all_things)
    say("moving the engine")
    moving = moved(bay, all_things)
    say("driving the ways in and out")
    driven = ways(bay, all_things)
    say("putting the bolts in")
    bolted = bolts(standing, all_things, held)
    seats = seat_contacts(standing, bodies)
    found = bay_findings(standing, all_things, at_rest, moving, driven, bolted, seats)
    return Fit(
        stood=standing,
        things=all_things,
        pairs=at_rest,
        moved=moving,
        ways=driven,
        bolts=bolted,
        seats=seats,
        findings=found,
    )
