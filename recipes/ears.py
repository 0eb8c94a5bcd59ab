"""Ears: two plates, straight or joggled, or folded in one with a back, that hold a bush by the bolt through it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets import (
    PLATE,
    Checked,
    CornerSeat,
    Ears,
    Finding,
    FindingRule,
    FlatSeat,
    Joggle,
    Part,
    Rail,
    caution,
    choice,
    corner_rules,
    deg,
    ear_foot,
    hole,
    joggle_rules,
    joggled,
    mm,
    on_corner,
    on_flat,
    on_tube,
    row,
    stock,
    with_back,
    yes_no,
)


@dataclass(frozen=True, kw_only=True)
class Params(Checked):
    bolt: Annotated[str, row("bolt", "bolt through the bush's sleeve", takes="bush bolt")] = "M12"
    inside: Annotated[float, mm(15, 150, "between the ears: sleeve length and its play", takes="ear spacing")] = (
        52.5
    )
    ear_r: Annotated[float, mm(12, 60, "ear radius round the bolt")] = 26.0
    t: Annotated[float, stock(PLATE, "plate", lo=3.0, hi=12.0)] = 6.0
    seat: Annotated[
        str,
        choice(
            ("round", "flat", "square", "corner"),
            "cut to a round tube, to a flat, left square, or with a V to a rail's corner",
            takes="rail seat",
        ),
    ] = "round"
    reach: Annotated[float, mm(20, 250, "bush centre to tube's axis, flat or corner", takes="rail reach")] = (
        76.5
    )
    rail_od: Annotated[float, mm(20, 120, "round seat: tube the ears stand on", takes="rail od")] = 38.0
    slope: Annotated[
        float, deg(-40, 40, "slope of the tube, rail or flat along the bush axis", takes="rail slope")
    ] = 0.0
    side_angle: Annotated[
        float, deg(-30, 30, "round, corner: side angle of the rail across the bush axis", takes="rail side angle")
    ] = 0.0
    offset: Annotated[float, mm(-40, 40, "seat's middle to the right of the bush", takes="rail offset")] = 0.0
    lean: Annotated[
        float, deg(-40, 40, "flat, corner: lean about the bush axis", takes="rail lean")
    ] = 0.0
    corner_r: Annotated[
        float, mm(1, 60, "corner seat: radius of the corner, and of the V's relief", takes="rail corner radius")
    ] = 6.0
    corner_flat: Annotated[
        float, mm(8, 500, "corner seat: narrower flat beside the corner", takes="rail corner flat")
    ] = 38.0
    foot: Annotated[float | None, mm(15, 150, "width of the foot; corner seat: across the V")] = None
    back: Annotated[bool, yes_no("ears folded in one piece with a back")] = False
    back_side: Annotated[str, choice(("left", "right"), "side of the back, looking against the bush axis")] = "left"
    back_at: Annotated[float, mm(15, 120, "bush centre to the back's inner face: cup and its gap")] = 43.0
    joggle: Annotated[bool, yes_no("feet set out or in by a joggle")] = False
    set_out: Annotated[float, mm(-60, 60, "joggle: feet further out than the ears, negative: in")] = 26.0
    joggle_at: Annotated[float | None, mm(15, 120, "bush centre to where the joggle begins")] = None
    joggle_angle: Annotated[float, deg(15, 90, "angle of its two bends")] = 45.0
    inside_radius: Annotated[float, mm(2, 25, "inside radius of the bends")] = 8.0
    leg: Annotated[float, mm(2, 12, "leg of the welds at the foot")] = 4.0

    @property
    def ears(self) -> Ears:
        foot = self.foot
        if foot is None:
            foot = ear_foot(self.ear_r, self.rail_od if self.seat == "round" else None)
            foot = foot if self.astride is None else min(foot, self.astride.widest())
        return Ears(bolt=self.bolt, inside=self.inside, ear_r=self.ear_r, t=self.t, foot=foot, leg=self.leg)

    @property
    def on(self) -> Rail | FlatSeat:
        if self.seat == "round":
            return Rail(
                od=self.rail_od, reach=self.reach, slope=self.slope, side=self.side_angle, offset=self.offset
            )
        if self.seat == "square":
            return FlatSeat(reach=self.reach, offset=self.offset)
        return FlatSeat(reach=self.reach, offset=self.offset, lean=self.lean, slope=self.slope)

    @property
    def astride(self) -> CornerSeat | None:
        if self.seat != "corner":
            return None
        return CornerSeat(
            reach=self.reach,
            radius=self.corner_r,
            flat=self.corner_flat,
            offset=self.offset,
            lean=self.lean,
            slope=self.slope,
            side=self.side_angle,
        )

    @property
    def bent(self) -> Joggle:
        at = self.ear_r + self.t if self.joggle_at is None else self.joggle_at
        return Joggle(set_out=self.set_out, at=at, angle=self.joggle_angle, inside_radius=self.inside_radius)

    def rules(self) -> Iterator[str]:
        if self.astride is not None:
            yield from corner_rules(self.ears, self.astride)
            yield from (f"{way} = yes, no on a rail's corner" for way in ("joggle", "back") if getattr(self, way))
            return
        if self.joggle:
            yield from joggle_rules(self.ears, self.on, self.bent)
            if self.back:
                yield "joggle = yes, no with a back: the back holds the ears apart"
        else:
            yield from self.ears.rules(self.on)
        if self.back and self.seat == "flat" and self.slope:
            yield f"slope = {self.slope:g} deg, 0 with a back on a flat: its foot is cut square"
        if self.back and not self.back_at - self.inside_radius >= self.ear_r:
            least = self.ear_r + self.inside_radius
            yield f"back_at = {self.back_at:g} mm, {least:g} or more: the bend must clear the ear"


EAR = FindingRule(
    code="ear",
    breaches=(caution(),),
    asks="Round its bolt an ear leaves no less metal than it is thick.",
    limit="thickness of the plate",
)


def check(p: Params) -> Iterator[Finding]:
    left = p.ear_r - hole(p.bolt, "pivot") / 2
    if EAR.under(left, p.t):
        yield EAR.finding(
            piece="ears",
            value=left,
            limit=p.t,
            sentence=f"{left:.1f} mm of ear left round the bolt, {p.t:g} or more (the plate's thickness)",
        )


def build(p: Params) -> Part:
    if p.astride is not None:
        return on_corner(p.ears, p.astride)
    on = p.on
    if p.joggle:
        return joggled(p.ears, on, p.bent)
    if p.back:
        return with_back(p.ears, on, back_at=p.back_at, inside_radius=p.inside_radius, right=p.back_side == "right")
    return on_tube(p.ears, on) if isinstance(on, Rail) else on_flat(p.ears, on)
