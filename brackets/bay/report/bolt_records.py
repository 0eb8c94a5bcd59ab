"""Bolts of a fitted bay as records for scripts: how each sits, comes out and is reached. mm, degrees."""

from __future__ import annotations

from typing import Any, assert_never

from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.bolts.boss_bolts import BossBolt
from brackets.bay.bolts.chassis_bolts import NUT, ChassisBolt
from brackets.bay.bolts.tool_access import Drawn, Reached
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
        **_into_thread(of, of.depth),
        "typed": _tapped(of.typed),
        "stock": _tapped(of.stock),
    }


def _boss(of: BossBolt) -> dict[str, Any]:
    return {
        "kind": "boss",
        "part": of.part,
        **_into_thread(of, of.boss.depth),
        "stock": _tapped(of.stock),
    }


def _into_thread(of: BossBolt | EndBolt, depth: float) -> dict[str, Any]:
    """Of a bolt into a thread `depth` mm deep: which lengths engage enough and do not reach the bottom."""
    return {
        "size": of.row.name,
        "grip_mm": of.grip,
        "depth_mm": depth,
        "engagement_needed_mm": of.needed.least,
        "why": of.needed.source,
        "shortest_mm": of.shortest,
        "longest_mm": of.longest,
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
