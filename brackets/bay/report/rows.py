"""Bolts, paths and rules of a fitted bay as rows: for scripts, screen and page alike. mm, degrees."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, assert_never

from brackets.bay.adjust_rules import Adjusted
from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import NUT, ChassisBolt
from brackets.bay.bolts.tool_access import Drawn, Reached
from brackets.bay.clear.link_motion import LinkEnd, LinkFound
from brackets.bay.clear.pairs import at_least
from brackets.bay.clear.paths import CLASS, BayPath
from brackets.bay.clear.scan_rules import between, place
from brackets.bay.fitting import Fit
from brackets.bay.stand.bobbin_ends import EndBolt, StudNut
from brackets.bay.stand.hardware import MountBolt
from brackets.survey.bolt_lengths import Tapped, Through


def bolt_record(one: BoltFound) -> dict[str, Any]:
    """One bolt: what it is, how it sits, whether it comes out, what gets at its head and nut."""
    of = one.bolt
    return {
        "name": one.name,
        **_kind(of),
        "drawn": None if one.drawn is None else _drawn(one.drawn),
        "drawn_from_the_other_end": None if one.turned is None else _drawn(one.turned),
        "ends": [_end(end) for end in one.ends],
        "in_own_metal": [{"what": f.what, "volume_mm3": f.volume, "at": list(f.at)} for f in one.in_metal],
        "no_order": list(one.no_order),
        "unloaded": one.unloaded,
    }


def _kind(of: MountBolt | BossBolt | ChassisBolt | StudNut | EndBolt) -> dict[str, Any]:
    match of:
        case StudNut():
            return _nut(of)
        case EndBolt():
            return _end_bolt(of)
        case MountBolt():
            return _mount(of)
        case BossBolt():
            return _boss(of)
        case ChassisBolt():
            return _chassis(of)
        case _:
            assert_never(of)


def _mount(of: MountBolt) -> dict[str, Any]:
    return {
        "kind": "mount",
        "size": of.row.name,
        "grip_mm": of.grip,
        "ear_mm": of.ear_t,
        "nut": of.nut_kind,
        "typed": _through(of.typed),
        "stock": _through(of.stock),
    }


def _nut(of: StudNut) -> dict[str, Any]:
    return {
        "kind": "stud",
        "mount": of.mount,
        "side": of.side,
        "part": of.part,
        "size": of.row.name,
        "grip_mm": of.grip,
        "stud_mm": of.stud,
        "nut": of.nut_kind,
        "washers": of.washers,
        "out_of_the_nut_mm": of.out,
    }


def _end_bolt(of: EndBolt) -> dict[str, Any]:
    return {
        "kind": "tapped end",
        "mount": of.mount,
        "side": of.side,
        "part": of.part,
        "size": of.row.name,
        "grip_mm": of.grip,
        "depth_mm": of.depth,
        "engagement_needed_mm": of.needed.least,
        "why": of.needed.source,
        "shortest_mm": of.shortest,
        "longest_mm": of.longest,
        "typed": _tapped(of.typed),
        "stock": _tapped(of.stock),
    }


def _boss(of: BossBolt) -> dict[str, Any]:
    return {
        "kind": "boss",
        "part": of.part,
        "size": of.row.name,
        "grip_mm": of.grip,
        "depth_mm": of.boss.depth,
        "engagement_needed_mm": of.needed.least,
        "why": of.needed.source,
        "shortest_mm": of.shortest,
        "longest_mm": of.longest,
        "stock": _tapped(of.stock),
    }


def _chassis(of: ChassisBolt) -> dict[str, Any]:
    return {
        "kind": "chassis",
        "part": of.part,
        "seat": of.seat,
        "size": of.row.name,
        "grip_mm": of.grip,
        "part_mm": of.part_t,
        "layers": [
            {"onto": layer.name, "mm": layer.t, "edge_mm": layer.edge, "hollow": layer.hollow}
            for layer in of.layers
        ],
        "spreader_mm": of.spreader_t,
        "crush_tube_mm": of.crush_tube or None,
        "nut": NUT,
        "stock": _through(of.stock),
    }


def _through(used: Through | None) -> dict[str, Any] | None:
    if used is None:
        return None
    return {
        "length_mm": used.length,
        "washers": list(used.washers),
        "thread_in_ear_mm": used.thread_in,
        "past_two_threads_mm": used.spare,
        "nut_stopped_short_mm": used.runs_out,
        "full_thread": used.full_thread,
        "fits": used.fits,
    }


def _tapped(used: Tapped | None) -> dict[str, Any] | None:
    if used is None:
        return None
    return {
        "length_mm": used.length,
        "washers": used.washers,
        "full_thread": used.full_thread,
        "engaged_mm": used.depth,
        "off_the_bottom_mm": used.under_most,
    }


def _drawn(found: Drawn) -> dict[str, Any]:
    return {
        "out": found.out,
        "length_mm": found.length,
        "free_mm": found.free,
        "meets": found.by,
        "in_the_way": list(found.meets),
        "holds": list(found.held),
    }


def _end(end: Reached) -> dict[str, Any]:
    return {
        "end": end.end,
        "reached": end.ok,
        "socket": {
            "goes_on": not end.socket_by,
            "meets": list(end.socket_by),
            "od_mm": end.socket.od,
            "length_mm": end.socket.length,
            "source": end.socket.source,
        },
        "spanner": {
            "swings": end.clock is not None,
            "from_deg": end.clock,
            "swing_deg": end.spanner.swing,
            "meets": list(end.spanner_by),
            "head_mm": end.spanner.head,
            "reach_mm": end.spanner.reach,
            "source": end.spanner.source,
        },
    }


PATH_HEADS = ("path", "comes out", "free", "least", "asked", "what")
BOLTS = ("bolt", "holds", "size", "comes out", "tool")

ADJUST_HEADS = ("part", "moved", "mount: engine gains x, y, z", "least", "asked", "to", "bolts, paths, seats")

LINK_HEADS = ("link", "at", "bar", "centres off by", "radial", "axial", "tilt, deg")

SETTLED = 0.05
"""mm of an interval under which one figure is said of it: half of the last digit."""
UNSETTLED = 1.0
"""Width of an interval, mm, above which its upper end says nothing worth reading."""


@dataclass(frozen=True)
class Row:
    """A row of a table of paths or bolts: its cells, the bodies it is about, and whether all is as it should be."""

    cells: tuple[str, ...]
    things: tuple[str, ...]
    good: bool


def span(low: float, high: float) -> str:
    """An interval in mm as text: one number where it is narrow; "18.3+" where only its low end was needed."""
    if high - low < SETTLED:
        return at_least(low)
    return f"{at_least(low)}-{high:.1f}" if high - low <= UNSETTLED else f"{at_least(low)}+"


def path_row(path: BayPath) -> Row:
    """How far a path in or out is free, and what it passes nearest."""
    things = (path.part, *(path.pair or ()))
    asked = f"{path.needed:g}"
    if path.held:
        return Row((path.name, "NO", "0", "", asked, f"bolted at {', '.join(path.held)}"), things, good=False)
    free = " ".join(f"{leg.free:.4g}{'' if leg.unit == 'mm' else ' deg'}" for leg in path.legs)
    out = ("NOT KNOWN" if path.notes else "yes") if path.out else "NO"
    if path.low is None or path.high is None:
        return Row((path.name, out, free, "", asked, "nothing else is there"), things, good=not path.notes)
    least = span(path.low, path.high) if path.out else ""
    said = (path.name, out, free, least, asked, f"{between(path)}, {place(path)}")
    return Row(said, things, good=path.out and not path.notes and path.low >= path.needed)


def bolt_row(one: BoltFound) -> Row:
    """What a bolt is, whether it comes straight out, and what gets at its head and nut."""
    of = one.bolt
    size = f"{one.row.name}, none fits" if one.used is None else f"{one.row.name} x {one.used.length:g}"
    out, turned = one.drawn, one.turned is not None and one.turned.out
    came = "" if out is None else "yes" if out.out else "from the other end" if turned else f"NO: {out.by}"
    missed = [end.end for end in one.ends if not end.ok]
    tool = f"none at the {' and '.join(missed)}" if missed else "yes" if one.ends else ""
    match of:
        case MountBolt():
            name, holds = f"{of.mount} bolt", of.mount
            things: tuple[str, ...] = (name,)
        case StudNut():
            size = f"{one.row.name} nut"
            name, holds, things = of.name, of.part, (of.name, of.end, of.part)
        case EndBolt():
            name, holds, things = of.name, of.part, (of.name, of.end, of.part)
        case BossBolt():
            name, holds = of.name, of.part
            things = (name, holds)
        case ChassisBolt():
            name, holds = of.name, " | ".join((of.part, *of.onto))
            things = (name, of.part, *of.onto)
        case _:
            assert_never(of)
    good = (one.used is not None or isinstance(of, StudNut)) and not missed and (out is None or out.out or turned)
    return Row((name, holds, size, came, tool), things, good=good)


def link_rows(link: LinkFound) -> tuple[Row, ...]:
    """A row for each bush of a link: mm of bar, how far the bush centres come nearer and further apart than that,
    and what the bush is asked for over the movement of what it gives."""
    off = ""
    if link.demand is not None:
        off = f"-{max(0.0, link.demand.squeeze.high):.1f} to +{max(0.0, link.demand.stretch.high):.1f}"
    return tuple(
        Row((link.part, end.mount, f"{link.length:.1f}", off, *said), (link.part, f"{end.mount} bush"), good=good)
        for end in (link.chassis, link.powertrain)
        for said, good in [_asked(end)]
    )


def adjust_cells(one: Adjusted) -> tuple[str, ...]:
    """A row under ADJUST_HEADS."""
    of = one.of
    if of.stuck:
        return (of.part, "no way", of.stuck, "", "", "", "")
    gains = ", ".join(f"{mm + 0.0:.1f}" for mm in of.shift)
    carried = "; ".join(f"{name}: {gains}" for name in of.mounts) or "none"
    worse = f"{len(one.said)} worse" if one.said else "as drawn"
    if not one.gaps:
        return (of.part, of.words, carried, "", "", "", worse)
    near = one.gaps[0]
    other = f"{near.a} | {near.b}" + (", engine moving" if near.moving else "")
    return (of.part, of.words, carried, span(near.low, near.high), f"{near.needed:g}", other, worse)


def _asked(end: LinkEnd) -> tuple[tuple[str, ...], bool]:
    asked, row = end.demand, end.row
    if asked is None:
        return ("", "", ""), True
    limits = (row.travel_radial, row.travel_axial, row.travel_tilt)
    most = [figure.high for figure in (asked.radial, asked.axial, asked.tilt)]
    said = tuple(
        f"{math.ceil(high * 10 - 1e-6) / 10:.1f} of {'?' if limit is None else f'{limit:g}'}"
        for high, limit in zip(most, limits, strict=True)
    )
    return said, all(limit is None or high <= limit for high, limit in zip(most, limits, strict=True))


@dataclass(frozen=True, kw_only=True)
class RuleRow:
    """A class of gap: what it requires standing still and moved, the source, the least spare and between what.
    `less`: the least spare less the ± of both, None where none of its pairs is known; `moving`: whether the least
    is when moved; `entered`: whether the bay file gives the class, else the shop's default."""

    kind: str
    rest: float
    moved: float
    why: str
    spare: float
    what: str
    moving: bool
    entered: bool
    less: float | None = None

    @property
    def whose(self) -> str:
        """Whether the rule is the user's own or a default."""
        return "your rule" if self.entered else "default"


def rule_rows(fit: Fit) -> tuple[RuleRow, ...]:
    """One row a class, least spare first; pairs that are meant to touch have no gap to judge, and a path that says
    its own gap is judged by that alone."""
    worst: dict[str, tuple[float, str, bool]] = {}
    less: dict[str, float] = {}
    for kind, spare, pair, moving in _judged(fit):
        what, left = _both(pair), fit.known.less(*pair, spare)
        if left is not None:
            less[kind] = min(left, less.get(kind, left))
        if kind not in worst or spare < worst[kind][0]:
            worst[kind] = (spare, what, moving)
    rows = []
    for kind, (spare, what, moving) in worst.items():
        gap = fit.bay.gap(kind)
        rows.append(
            RuleRow(
                kind=kind,
                rest=gap.rest,
                moved=gap.moved,
                why=gap.why,
                spare=spare,
                what=what,
                moving=moving,
                entered=kind in fit.bay.gaps,
                less=less.get(kind),
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.spare, row.kind)))


def _judged(fit: Fit) -> Iterator[tuple[str, float, tuple[str, str], bool]]:
    meant = {frozenset((pair.a, pair.b)) for pair in fit.pairs if pair.state in ("fit-up", "contact")}
    for pair in fit.pairs:
        if frozenset((pair.a, pair.b)) not in meant:
            yield pair.rule.kind, pair.spare, (pair.a, pair.b), False
    for move in fit.moved:
        if frozenset((move.a, move.b)) not in meant:
            yield move.rule.moved_kind, move.spare, (move.a, move.b), True
    own = {path.row.name for path in fit.bay.paths if path.row.gap is not None}
    for path in fit.paths:
        if path.name not in own and path.spare is not None and path.pair is not None:
            yield CLASS, path.spare, path.pair, False


def _both(names: Iterable[str]) -> str:
    return " | ".join(names)
