"""Does it fit: a bay built, placed, and cleared standing still, moved, on its paths in and out, and its bolts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from brackets.bay.adjust_rules import Adjusted, Drawn, adjusted, at_the_ends
from brackets.bay.bolts.bolting import BoltFound, bolts
from brackets.bay.bolts.boss_bolts import BossBolt, boss_bolts, heads
from brackets.bay.bolts.chassis_bolts import ChassisBolt, chassis_bolts, through_bodies, with_loose_ends
from brackets.bay.checks import bay_findings
from brackets.bay.clear.driveline import Drive, drives
from brackets.bay.clear.known import Known, known
from brackets.bay.clear.link_motion import LinkFound, links, links_moved
from brackets.bay.clear.moving import Moved
from brackets.bay.clear.moving_keep_outs import all_moved
from brackets.bay.clear.pairs import Pair, pairs
from brackets.bay.clear.paths import BayPath, bay_paths
from brackets.bay.clear.props import Prop, props
from brackets.bay.clear.slack import Slack, slacks
from brackets.bay.held_parts import BayHeld, held_bay
from brackets.bay.schema.record import Bay
from brackets.bay.seats.contact import SeatContact, seat_contacts
from brackets.bay.stand.bodies import BayBody, bay_bodies
from brackets.bay.stand.owners import with_accepted, with_owners
from brackets.bay.stand.placed import checked, placed_bay
from brackets.bay.stand.placed_part import PlacedBay
from brackets.core.ahead import ahead
from brackets.core.errors import BadFile, InputError
from brackets.core.finding import Finding, stopped, worst_first
from brackets.core.rulebook.bay import MOVEMENT
from brackets.core.rulebook.hang import SMALL_TURN
from brackets.core.shown import Shown


@dataclass(frozen=True, kw_only=True)
class Fit(Shown):
    """A bay that was fitted: what stands in it, every pair of bodies, worst first, and what is to be said of it.

    stood: the parts in their places; things: every body; pairs: the gaps standing still; moved: those at the worst
    movement; paths: the paths in and out; bolts: those that were chosen; seats: feet on what they stand on;
    links: what each asks of its bushes; slacks: hoses and the like, how far apart their ends get; drives: shafts
    and chains, how far they bend, plunge and leave their line; props: how high the powertrain stands; adjusts:
    parts moved to either end of their slots; held: the parts under the loads of the bay's cases, None where the bay
    has no table [hold].
    """

    stood: PlacedBay
    things: tuple[BayBody, ...]
    pairs: tuple[Pair, ...]
    moved: tuple[Moved, ...]
    paths: tuple[BayPath, ...]
    bolts: tuple[BoltFound, ...]
    seats: tuple[SeatContact, ...]
    findings: tuple[Finding, ...]
    links: tuple[LinkFound, ...] = ()
    slacks: tuple[Slack, ...] = ()
    drives: tuple[Drive, ...] = ()
    props: tuple[Prop, ...] = ()
    adjusts: tuple[Adjusted, ...] = ()
    held: BayHeld | None = None

    @cached_property
    def known(self) -> Known:
        """How well each body is known, mm either way."""
        return known(self.bay, self.things)

    @property
    def bay(self) -> Bay:
        return self.stood.bay

    @property
    def stops(self) -> bool:
        """Whether anything says: do not cut."""
        return stopped(self.findings)


@dataclass(frozen=True, kw_only=True)
class AtRest:
    """A bay with its solids, the bolts that hold parts to bosses and chassis, and every pair at rest by spare."""

    stood: PlacedBay
    things: tuple[BayBody, ...]
    held: tuple[BossBolt | ChassisBolt, ...]
    pairs: tuple[Pair, ...]


def fit(bay: Bay, *, known_only: bool = False, say: Callable[[str], None] = lambda _: None) -> Fit:
    """Whether a bay fits: its parts built, placed, bolted, and cleared at rest, moved, and on the paths in and out.

    bay: by `read_bay`; known_only: leaves out parts whose recipe this version does not ship, instead of refusing
    them; say: a function that is told, in words, what is being done. Returns a Fit with every pair of bodies, worst
    first, and the findings. Takes seconds for a bay with parts. Raises BadFile where something in the bay cannot be
    used.

    >>> import pathlib, tempfile
    >>> text = '''format = 1
    ... keep_out = [
    ...     { name = "rail", box = { from = [0, 0, 0], to = [90, 50, 20] } },
    ...     { name = "sump", side = "powertrain", box = { from = [0, 0, 50], to = [90, 50, 80] } },
    ... ]'''
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     file = pathlib.Path(folder, "tiny.toml")
    ...     _ = file.write_text(text)
    ...     done = fit(read_bay(file))
    >>> pair = done.pairs[0]
    >>> pair.a, pair.b, round(pair.low, 2), done.stops  # from z = 20 to z = 50, and 15 mm are asked
    ('rail', 'sump', 30.0, False)
    """
    say("building the parts")
    return fit_stood(placed_bay(bay, known_only=known_only), say=say)


def at_rest(
    standing: PlacedBay, *, of: frozenset[str] | None = None, say: Callable[[str], None] = lambda _: None
) -> AtRest:
    """The gaps standing still; `of` as for `pairs`. Raises BadFile as `fit` does."""
    say("making their solids")
    standing = checked(standing)
    all_things, held = with_bolts(standing)
    say("measuring the gaps at rest")
    found = pairs(standing.bay, all_things, of=of)
    return AtRest(stood=standing, things=all_things, held=held, pairs=found)


def with_bolts(standing: PlacedBay) -> tuple[tuple[BayBody, ...], tuple[BossBolt | ChassisBolt, ...]]:
    """Every body of a standing bay with the bolts that hold parts to bosses and chassis, and these bolts."""
    bodies = bay_bodies(standing)
    held, clamped = boss_bolts(standing.bay, bodies), chassis_bolts(standing)
    things = (*with_loose_ends(standing, bodies, clamped), *heads(held), *through_bodies(clamped))
    return things, (*held, *clamped)


def fit_stood(
    standing: PlacedBay, *, of: frozenset[str] | None = None, say: Callable[[str], None] = lambda _: None
) -> Fit:
    """The same of a bay that stands already. Raises BadFile as `fit` does.

    of: names of bodies where only their least spare is asked, and that of each class of gap: fewer of its pairs are
    settled then, and nothing else is another.
    """
    return fit_at_rest(at_rest(standing, of=of, say=say), of=of, say=say)


def fit_at_rest(
    still: AtRest, *, of: frozenset[str] | None = None, say: Callable[[str], None] = lambda _: None
) -> Fit:
    """The same of a bay that was cleared standing still already, `of` the same as then. Raises BadFile."""
    standing = still.stood
    bay = standing.bay
    firm = [thing for thing in still.things if thing.holds is None]
    later = (
        lambda: all_moved(bay, still.things),
        lambda: links_moved(bay, still.things),
        lambda: bay_paths(bay, still.things),
        lambda: bolts(standing, still.things, still.held),
        lambda: seat_contacts(standing, firm),
        *at_the_ends(standing, still.things, still.held),
    )
    with ahead(later):
        say("moving the engine")
        moving = (*all_moved(bay, still.things), *links_moved(bay, still.things))
        moving = tuple(sorted(moving, key=lambda pair: (pair.spare, pair.a, pair.b)))
        bars = links(standing)
        slack, driven, propped = slacks(bay), drives(bay), props(bay)
        say("driving the paths in and out")
        ways = bay_paths(bay, still.things)
        say("putting the bolts in")
        bolted = bolts(standing, still.things, still.held)
        seats = seat_contacts(standing, firm)
        say("moving parts on their slots")
        drawn = Drawn(pairs=still.pairs, moved=moving, bolts=bolted, paths=ways, seats=seats)
        slid = adjusted(standing, still.things, still.held, drawn)
    held = None
    if bay.holding is not None and of is None:
        say("leading the loads through the parts")
        held = _held(standing)
    found = bay_findings(
        standing, still.things, still.pairs, moving, ways, bolted, seats, bars, slack, driven, propped, slid
    )
    return Fit(
        stood=standing,
        things=still.things,
        pairs=still.pairs,
        moved=moving,
        paths=ways,
        bolts=bolted,
        seats=seats,
        findings=with_accepted(
            bay.accepts, with_owners(bay, found if held is None else worst_first((*found, *_new(held, found))))
        ),
        links=bars,
        slacks=slack,
        drives=driven,
        props=propped,
        adjusts=slid,
        held=held,
    )


def _new(held: BayHeld, found: Sequence[Finding]) -> Iterator[Finding]:
    """What is said of strength, but that a turn is too large where the movement stops for it."""
    turned = any(one.code == MOVEMENT.code and one.level == "stop" for one in found)
    return (one for one in held.findings if not (turned and one.code == SMALL_TURN.code))


def _held(standing: PlacedBay) -> BayHeld:
    """The parts under the loads of the bay's cases. Raises BadFile where these cannot be worked out."""
    try:
        return held_bay(standing)
    except InputError as error:
        raise BadFile(standing.bay.path, *error.problems) from error
