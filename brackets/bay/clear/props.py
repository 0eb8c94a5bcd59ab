"""How high the powertrain stands above the ground at points that are named, so that it is propped there while its
mounts are made. Measured straight down; mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from brackets.bay.hung.block import Block, block_of
from brackets.bay.hung.mount_frames import place_of
from brackets.bay.schema.asked import PropRow
from brackets.bay.schema.record import Bay
from brackets.core.finding import Finding
from brackets.core.place import Place
from brackets.core.rulebook.bay import PROP, PROP_HEIGHT
from brackets.core.vectors import Vec

GROUND = "ground"
"""The class of gap of what props stand on."""

KEPT = 1e-6
"""mm within which a height is kept."""

LEVEL = 1e-12
"""Share of a straight line that runs along a face below which it never meets it."""


@dataclass(frozen=True, kw_only=True)
class Prop:
    """A row, where its point stands, and the height z of the ground under it; `on`: the keep-out that is the
    ground, "as typed" where the row says; ground None and `on` "" where there is none."""

    row: PropRow
    at: Vec
    ground: float | None
    on: str

    @property
    def height(self) -> float | None:
        """mm from the ground up to the point; None where there is no ground under it."""
        return None if self.ground is None else self.at[2] - self.ground

    @property
    def past(self) -> float | None:
        """The end of its limits that it does not keep, mm."""
        low, high = self.row.height_from, self.row.height_to
        if self.height is not None and low is not None and self.height < low - KEPT:
            return low
        return high if self.height is not None and high is not None and self.height > high + KEPT else None

    @property
    def may_be(self) -> str:
        """Its limits in words, "" without any."""
        low, high = self.row.height_from, self.row.height_to
        if low is not None and high is not None:
            return f"{low:g} to {high:g}"
        return "" if low is None and high is None else f"at most {high:g}" if low is None else f"at least {low:g}"


def props(bay: Bay, place: Place | None = None) -> tuple[Prop, ...]:
    """Every row of the file, with the powertrain at `place`; without one where the file has it."""
    stands = place_of(bay.powertrain) if place is None else place
    return tuple(prop_at(bay, row, stands.point(row.at)) for row in bay.props)


def prop_at(bay: Bay, row: PropRow, at: Vec) -> Prop:
    """A row with its point at `at`."""
    if row.ground is not None:
        return Prop(row=row, at=at, ground=row.ground, on="as typed")
    ground, on = max(_under(bay, at), default=(None, ""), key=lambda one: one[0])
    return Prop(row=row, at=at, ground=ground, on=on)


def _under(bay: Bay, at: Vec) -> Iterator[tuple[float, str]]:
    for keep_out in bay.keep_outs:
        block = block_of(keep_out)
        if block is not None and keep_out.kind == GROUND and keep_out.side == "chassis":
            top = top_at(block, at)
            if top is not None:
                yield top, keep_out.name


def top_at(block: Block, at: Vec) -> float | None:
    """Height z of the top of a box straight above or below a point, mm; None where the point is beside it."""
    start, up = block.place.local(at), block.place.local_direction((0.0, 0.0, 1.0))
    least, most = -float("inf"), float("inf")
    for low, high, s, u in zip(block.low, block.high, start, up, strict=True):
        if abs(u) > LEVEL:
            ends = sorted(((low - s) / u, (high - s) / u))
            least, most = max(least, ends[0]), min(most, ends[1])
        elif not low <= s <= high:
            return None
    return at[2] + most if least <= most else None


def prop_problems(bay: Bay) -> Iterator[str]:
    """A line for each row that has no ground to stand on."""
    for prop in props(bay):
        if prop.ground is None:
            where = f"no box of kind {GROUND} is under it at {prop.at[0]:g}, {prop.at[1]:g}"
            yield f"prop {prop.row.name}: ground = nothing, must be a height z: {where}"


def prop_findings(found: Sequence[Prop]) -> Iterator[Finding]:
    """What is not above the ground, or not as high as is typed."""
    for prop in found:
        if prop.height is not None and prop.height <= 0:
            yield PROP.finding(
                piece=prop.row.name,
                about=(prop.row.name,),
                value=prop.height,
                limit=0.0,
                sentence=f"is {-prop.height:.1f} mm below the ground ({prop.on}): nothing can be propped there",
            )
        if prop.height is not None and prop.past is not None:
            yield PROP_HEIGHT.finding(
                piece=prop.row.name,
                about=(prop.row.name,),
                value=prop.height,
                limit=prop.past,
                sentence=f"stands {prop.height:.1f} mm over the ground ({prop.on}), {prop.may_be} mm typed",
            )


PROP_HEADS = ("prop under", "x", "y", "height", "may be", "stands on")


def prop_cells(prop: Prop) -> tuple[str, ...]:
    """A row under PROP_HEADS."""
    height = "" if prop.height is None else f"{prop.height:.1f}"
    on = prop.on or "NOTHING: no ground is under it"
    return (prop.row.name, f"{prop.at[0]:.1f}", f"{prop.at[1]:.1f}", height, prop.may_be, on)


PROP_COLUMNS = ("prop", "x_mm", "y_mm", "z_mm", "ground_mm", "height_mm", "least_mm", "most_mm", "stands_on")


def prop_columns(prop: Prop) -> tuple[str | float, ...]:
    """A row under PROP_COLUMNS, "" for what is not there."""
    figures = prop.ground, prop.height, prop.row.height_from, prop.row.height_to
    known = ("" if value is None else value for value in figures)
    return (prop.row.name, *prop.at, *known, prop.on)


def prop_record(prop: Prop) -> dict[str, Any]:
    """The same for scripts."""
    return {
        "name": prop.row.name,
        "at": list(prop.at),
        "ground_mm": prop.ground,
        "height_mm": prop.height,
        "height_limits_mm": [prop.row.height_from, prop.row.height_to],
        "on": prop.on,
    }
