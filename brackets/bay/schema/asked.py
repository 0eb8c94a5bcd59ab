"""The tables of a bay file that ask something of what stands: limits, paths, slack, shafts, tools. mm, degrees."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.bay.schema.standing import SHORTEST
from brackets.core.schema.checked import Checked
from brackets.core.schema.kinds import (
    FAR,
    angles,
    choice,
    count,
    deg,
    direction,
    lengths,
    mm,
    newton,
    number,
    point,
    text,
    texts,
)
from brackets.core.tables.chains import CHAIN, CHAIN_PITCHES, RUN_KINDS
from brackets.core.vectors import Vec

FIGURES = ("fore", "left", "up", "roll", "pitch", "yaw")
"""The six figures of a place in their order: shifts in mm, turns in degrees."""

Ends = tuple[float, ...] | None


@dataclass(frozen=True, kw_only=True)
class PlaceLimits(Checked):
    """From and to of each figure of [powertrain] place; what is not named stays as it is typed."""

    fore: Annotated[Ends, lengths(-FAR, FAR, "place.at x, from and to", at_least=2, at_most=2)] = None
    left: Annotated[Ends, lengths(-FAR, FAR, "place.at y, from and to", at_least=2, at_most=2)] = None
    up: Annotated[Ends, lengths(-FAR, FAR, "place.at z, from and to", at_least=2, at_most=2)] = None
    roll: Annotated[Ends, angles(-90, 90, "place.roll, from and to", at_least=2, at_most=2)] = None
    pitch: Annotated[Ends, angles(-90, 90, "place.pitch, from and to", at_least=2, at_most=2)] = None
    yaw: Annotated[Ends, angles(-180, 180, "place.yaw, from and to", at_least=2, at_most=2)] = None

    @property
    def named(self) -> bool:
        """Whether any of them may change."""
        return any(getattr(self, name) is not None for name in FIGURES)

    def rules(self) -> Iterator[str]:
        for name in FIGURES:
            ends = getattr(self, name)
            if ends is not None and ends[0] > ends[1]:
                unit = "mm" if name in FIGURES[:3] else "deg"
                yield f"{name} = {ends[0]:g} to {ends[1]:g} {unit}, must be low to high: limits of the place"


@dataclass(frozen=True, kw_only=True)
class KeepWithin(Checked):
    """A point of the powertrain, and what it must stay between along the bay's axes; either end may be left out."""

    name: Annotated[str, text("what the point is: shift lever, sump, output flange")]
    at: Annotated[Vec, point(3, "the point, where the powertrain side is typed")]
    x_from: Annotated[float | None, mm(-FAR, FAR, "furthest back it may stand")] = None
    x_to: Annotated[float | None, mm(-FAR, FAR, "furthest forward")] = None
    y_from: Annotated[float | None, mm(-FAR, FAR, "furthest right")] = None
    y_to: Annotated[float | None, mm(-FAR, FAR, "furthest left")] = None
    z_from: Annotated[float | None, mm(-FAR, FAR, "lowest")] = None
    z_to: Annotated[float | None, mm(-FAR, FAR, "highest")] = None

    def rules(self) -> Iterator[str]:
        ends = [(axis, getattr(self, f"{axis}_from"), getattr(self, f"{axis}_to")) for axis in "xyz"]
        if all(low is None and high is None for _, low, high in ends):
            yield "x, y, z = nothing, at least one of them: what the point must stay within"
        for axis, low, high in ends:
            if low is not None and high is not None and low > high:
                yield f"{axis} = {low:g} to {high:g} mm, must be low to high: what the point must stay within"


POWERTRAIN = "powertrain"


@dataclass(frozen=True, kw_only=True)
class StraightLegRow(Checked):
    by: Annotated[Vec, point(3, "straight leg: how far along x, y and z")]

    def rules(self) -> Iterator[str]:
        if sum(c * c for c in self.by) < SHORTEST**2:
            yield "by = 0, 0, 0 mm, must have a length: a straight leg"


@dataclass(frozen=True, kw_only=True)
class TurnLeg(Checked):
    turn: Annotated[float, deg(-360, 360, "turning leg: how far, right-handed about its axis")]
    through: Annotated[Vec, point(3, "turning leg: a point of the bay it turns about")]
    axis: Annotated[Vec, direction("turning leg: direction it turns about")]

    def rules(self) -> Iterator[str]:
        if abs(self.turn) < SHORTEST:
            yield f"turn = {self.turn:g} deg, must be more than 0 either way: a turning leg"


LegRow = StraightLegRow | TurnLeg


@dataclass(frozen=True, kw_only=True)
class PathRow(Checked):
    name: Annotated[str, text("name of the path")]
    part: Annotated[str, text("what moves: a part, or powertrain")]
    without: Annotated[
        tuple[str, ...], texts("what is out by then: bolts of mounts and bosses, parts, keep-outs", at_most=200)
    ] = ()
    gap: Annotated[float | None, mm(0, 500, "gap wanted along it; else that of [gap] path")] = None


@dataclass(frozen=True, kw_only=True)
class PathEntry:
    """A path as typed: its row and its legs, each starting where the last one ends."""

    row: PathRow
    legs: tuple[LegRow, ...]


@dataclass(frozen=True, kw_only=True)
class SlackRow(Checked):
    name: Annotated[str, text("name of the hose, cable, linkage or joint")]
    powertrain: Annotated[Vec, point(3, "its end on the powertrain, typed as that side's keep-outs are")]
    chassis: Annotated[Vec, point(3, "its end on the chassis")]
    length: Annotated[float, mm(1, 20000, "greatest straight length it can have: a hose laid out")]
    least: Annotated[float | None, mm(0, 20000, "shortest it may become before it kinks or bottoms")] = None
    margin: Annotated[float, mm(0, 1000, "length wanted over, at the worst allowed movement")] = 0.0

    def rules(self) -> Iterator[str]:
        if self.least is not None and self.least >= self.length:
            yield f"least = {self.least:g} mm, below length, {self.length:g}: shortest it may become"


EXPECTED_OF_FIT = ("gap", "gap moved", "mass", "bolt", "path")
EXPECTED_OF_HANG = ("up", "force", "mode", "moves", "turns", "weld", "drive")
EXPECTED_OF_HOLD = ("utilisation",)
"""What `fit` compares, and what `brackets hang` does."""
ALONG = ("moves", "turns", "weld")
"""What may be asked of along one direction; else its size."""
NAMES = {
    **dict.fromkeys(("gap", "gap moved", "drive"), 2),
    **dict.fromkeys(("bolt", "path", *EXPECTED_OF_HANG[:-1], *EXPECTED_OF_HOLD), 1),
}
"""How many names each is of; of others any number."""


MODES = ("1", "2", "3", "4", "5", "6")


@dataclass(frozen=True, kw_only=True)
class ExpectedRow(Checked):
    """What should come out, as worked out by other means: compared with what does."""

    what: Annotated[
        str,
        choice(
            (*EXPECTED_OF_FIT, *EXPECTED_OF_HANG, *EXPECTED_OF_HOLD),
            "gap standing still, least gap over the movement, mass of parts, length of a bolt, least gap along a"
            " path; on the bushes how much a mount carries upwards, how large the force on it is, a natural"
            " frequency, how far a point moves, how far the powertrain turns, how far off a mount's chassis side is"
            " welded, a figure of a shaft or chain; how much of the rule of [hold] a part uses",
        ),
    ]
    of: Annotated[
        tuple[str, ...],
        texts(
            "names: two bodies, parts, a bolt, a path, a mount, a mode by its number, what moves, powertrain, a"
            " shaft or chain and its figure",
            at_least=1,
            at_most=40,
        ),
    ]
    case: Annotated[str, text("load case in which it is so")] = "weight"
    without: Annotated[str | None, text("mount or link that is left out for it")] = None
    at: Annotated[
        Vec | None,
        point(3, "moves: the point, typed as the powertrain's keep-outs are; without it the named mount's, or end"),
    ] = None
    along: Annotated[
        Vec | None, direction("moves, weld: the way it counts along; turns: about; without it the size of it")
    ] = None
    place: Annotated[
        str | None, text("weld, bolt, section, as hold names it; none for the place that uses most", longest=120)
    ] = None
    clause: Annotated[
        str | None, text("words of the clause, as hold prints it; none for that which uses most", longest=120)
    ] = None
    value: Annotated[float, number(-1e6, 1e6, "what it should be, mm, deg, kg, N or Hz")]
    within: Annotated[float, number(0, 1000, "how far off it may be, mm, deg, kg, N or Hz")] = 0.05
    how: Annotated[str, text("how it was worked out", longest=300)] = ""

    def rules(self) -> Iterator[str]:
        names = NAMES.get(self.what)
        if self.what in EXPECTED_OF_FIT and (self.without is not None or self.case != "weight"):
            yield f"case, without = given, must be none: a {self.what} stands still with its weight on"
        if self.what in EXPECTED_OF_HOLD and (self.without is not None or self.case != "weight"):
            yield f"case, without = given, must be none: the {self.what} is the most of all cases"
        if self.what not in EXPECTED_OF_HOLD and (self.place is not None or self.clause is not None):
            yield f"place, clause = given, must be none: a {self.what} is of no clause"
        if self.what == "weld" and self.case != "weight":
            yield f"case = {self.case}, must be none: the chassis side is welded for the weight alone"
        if self.what == "mode" and self.of[0] not in MODES:
            yield f"of = {self.of[0]}, must be one of {', '.join(MODES)}: modes by rising frequency"
        if self.at is not None and self.what != "moves":
            yield f"at = given, only with what = moves: the point that moves, not of a {self.what}"
        if self.along is not None and self.what not in ALONG:
            yield f"along = given, only with what = {', '.join(ALONG)}: a {self.what} has no direction"
        if names is not None and len(set(self.of)) != names:
            yield f"of = {', '.join(self.of)}, must be {names} name{'s' * (names > 1)}: what the {self.what} is of"


CARDAN = "Cardan"
JOINTS = (CARDAN, "constant velocity")


@dataclass(frozen=True, kw_only=True)
class ShaftRow(Checked):
    name: Annotated[str, text("name of the shaft")]
    joints: Annotated[str, choice(JOINTS, "kind of its two joints")]
    powertrain_at: Annotated[Vec, point(3, "middle of its joint there, typed as that side's keep-outs are")]
    powertrain_axis: Annotated[Vec, direction("axis of the output flange that this joint is bolted to")]
    chassis_at: Annotated[Vec, point(3, "middle of its joint on the chassis: differential, hub, bearing")]
    chassis_axis: Annotated[Vec, direction("axis of the input flange or hub there")]
    angle_rest: Annotated[float | None, deg(0, 90, "most that either joint may bend by, standing still")] = None
    angle_moved: Annotated[float | None, deg(0, 90, "most it may bend by at the worst allowed movement")] = None
    pair_rest: Annotated[
        float | None, deg(0, 90, "Cardan: most that both leave uneven, as the angle of one joint, standing still")
    ] = None
    pair_moved: Annotated[float | None, deg(0, 90, "Cardan: the same at the worst allowed movement")] = None
    plunge_shorter: Annotated[float | None, mm(0, 1000, "how much shorter than at rest it may become")] = None
    plunge_longer: Annotated[float | None, mm(0, 1000, "how much longer than at rest it may become")] = None

    def rules(self) -> Iterator[str]:
        yield from still_first(self, "angle", "pair")
        for name in ("pair_rest", "pair_moved"):
            if self.joints != CARDAN and getattr(self, name) is not None:
                yield f"{name} = {getattr(self, name):g} deg, only with joints = {CARDAN}: others turn evenly"


ENDS = ("powertrain", "chassis")


@dataclass(frozen=True, kw_only=True)
class ChainRow(Checked):
    name: Annotated[str, text("name of the chain or belt")]
    powertrain_at: Annotated[
        Vec, point(3, "middle of the sprocket or pulley on the powertrain, in the middle of its teeth's width")
    ]
    powertrain_axis: Annotated[Vec, direction("axis of that sprocket")]
    chassis_at: Annotated[Vec, point(3, "middle of the sprocket or pulley on the chassis, the same")]
    chassis_axis: Annotated[Vec, direction("axis of that sprocket")]
    kind: Annotated[str, choice(RUN_KINDS, "what runs between them")] = CHAIN
    size: Annotated[str | None, choice(tuple(CHAIN_PITCHES), "size of the chain by ISO 606")] = None
    pitch: Annotated[float | None, mm(2, 60, "its pitch, where it is of no such size, or a toothed belt's")] = None
    powertrain_teeth: Annotated[int | None, count(5, 200, "teeth of the sprocket on the powertrain")] = None
    powertrain_radius: Annotated[float | None, mm(5, 500, "its pitch radius, where no teeth are typed")] = None
    chassis_teeth: Annotated[int | None, count(5, 200, "teeth of the sprocket on the chassis")] = None
    chassis_radius: Annotated[float | None, mm(5, 500, "its pitch radius, where no teeth are typed")] = None
    slack: Annotated[float, newton(0, 1e5, "pull of its slack run under load")] = 0.0
    offset_rest: Annotated[
        float | None, mm(0, 200, "most that one may be out of the other's plane, standing still")
    ] = None
    offset_moved: Annotated[float | None, mm(0, 200, "the same at the worst allowed movement")] = None
    angle_rest: Annotated[float | None, deg(0, 90, "most angle between the two axes, standing still")] = None
    angle_moved: Annotated[float | None, deg(0, 90, "the same at the worst allowed movement")] = None
    centres_nearer: Annotated[float | None, mm(0, 500, "how much nearer than at rest the centres may come")] = None
    centres_further: Annotated[float | None, mm(0, 500, "how much further apart than at rest they may get")] = None

    def rules(self) -> Iterator[str]:
        yield from still_first(self, "offset", "angle")
        if self.size is not None and self.kind != CHAIN:
            yield f"size = {self.size}, only with kind = {CHAIN}: ISO 606 has chains"
        if self.size is not None and self.pitch is not None:
            yield f"pitch = {self.pitch:g} mm, must be none with size = {self.size}: one of the two"
        ends = [(end, getattr(self, f"{end}_teeth"), getattr(self, f"{end}_radius")) for end in ENDS]
        for end, teeth, radius in ends:
            if teeth is not None and radius is not None:
                yield f"{end} radius = {radius:g} mm, must be none with teeth = {teeth}: one of the two"
            if teeth is not None and self.size is None and self.pitch is None:
                yield f"{end} teeth = {teeth}, must be with size or pitch: of the chain or belt"
        typed = [end for end, teeth, radius in ends if teeth is not None or radius is not None]
        if len(typed) == 1:
            other = next(end for end in ENDS if end not in typed)
            yield f"{other} teeth, radius = nothing, one of them: both sprockets or neither"
        if self.slack and not typed:
            yield f"slack = {self.slack:g} N, must be with teeth or radius of both sprockets: pull of the slack run"


def still_first(row: Checked, *names: str) -> Iterator[str]:
    """A line for each limit that asks more when moved than standing still: rest is a place of the movement."""
    for name in names:
        rest, moved = getattr(row, f"{name}_rest"), getattr(row, f"{name}_moved")
        if rest is not None and moved is not None and moved < rest:
            yield f"{name} = {rest:g} at rest, {moved:g} moved, must be low to high: rest is part of the movement"


@dataclass(frozen=True, kw_only=True)
class PropRow(Checked):
    name: Annotated[str, text("what the prop stands under: sump, gearbox")]
    at: Annotated[Vec, point(3, "the point it holds, typed as the powertrain's keep-outs are")]
    ground: Annotated[
        float | None,
        mm(-FAR, FAR, "height z of what the prop stands on; without it the box of kind ground under the point"),
    ] = None
    height_from: Annotated[float | None, mm(0, FAR, "least height of the point over the ground")] = None
    height_to: Annotated[float | None, mm(0, FAR, "greatest")] = None

    @property
    def limited(self) -> bool:
        """Whether its height has a limit."""
        return self.height_from is not None or self.height_to is not None

    def rules(self) -> Iterator[str]:
        low, high = self.height_from, self.height_to
        if low is not None and high is not None and low > high:
            yield f"height = {low:g} to {high:g} mm, must be low to high: height over the ground"


@dataclass(frozen=True, kw_only=True)
class SocketRow(Checked):
    across_flats: Annotated[float, mm(3, 100, "hexagon it fits")]
    od: Annotated[float, mm(4, 200, "outside of the socket")]
    length: Annotated[float, mm(5, 400, "length of the socket")]
    drive_od: Annotated[float | None, mm(3, 100, "extension bar behind it: its diameter")] = None
    reach: Annotated[float | None, mm(5, 1000, "extension bar behind it: its length")] = None

    def rules(self) -> Iterator[str]:
        if self.od <= self.across_flats:
            yield f"od = {self.od:g} mm, more than the hexagon's {self.across_flats:g}: a socket"
        if (self.drive_od is None) != (self.reach is None):
            yield "drive_od, reach = one of the two, both or neither: an extension bar"
        elif self.drive_od is not None and self.drive_od >= self.od:
            yield f"drive_od = {self.drive_od:g} mm, less than the socket's {self.od:g}: an extension bar"


@dataclass(frozen=True, kw_only=True)
class SpannerRow(Checked):
    across_flats: Annotated[float, mm(3, 100, "hexagon it fits")]
    head: Annotated[float, mm(4, 250, "width over its ring or jaws")]
    handle: Annotated[float, mm(2, 100, "width of its handle")]
    reach: Annotated[float, mm(10, 1500, "middle of the bolt to the end of the handle")]
    t: Annotated[float, mm(1, 100, "its thickest")]
    swing: Annotated[float, deg(1, 360, "how far it must swing")] = 30.0

    def rules(self) -> Iterator[str]:
        if self.head <= self.across_flats:
            yield f"head = {self.head:g} mm, more than the hexagon's {self.across_flats:g}: a spanner"
        if self.handle > self.head:
            yield f"handle = {self.handle:g} mm, at most the head's {self.head:g}: a spanner"
        if self.reach <= self.head / 2:
            yield f"reach = {self.reach:g} mm, past half the head, {self.head / 2:g}: a spanner"
