"""The bolts of a fitted bay as keys for scripts, and as one line to buy them by. mm, degrees."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

from brackets.bay.bolting import BoltFound
from brackets.bay.boss_bolts import BossBolt
from brackets.bay.bought import MountBolt
from brackets.bay.hands import Drawn, Reached
from brackets.bolts.lengths import Tapped, Through


def bolt_record(one: BoltFound) -> dict[str, Any]:
    """One bolt: what it is, how it sits, whether it comes out, what gets at its head and nut."""
    of = one.bolt
    return {
        "name": one.name,
        **(_mount(of) if isinstance(of, MountBolt) else _boss(of)),
        "drawn": None if one.drawn is None else _drawn(one.drawn),
        "drawn_from_the_other_end": None if one.turned is None else _drawn(one.turned),
        "ends": [_end(end) for end in one.ends],
        "in_own_metal": [{"what": f.what, "volume_mm3": f.volume, "at": list(f.at)} for f in one.in_metal],
        "no_order": list(one.no_order),
    }


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


def _through(used: Through | None) -> dict[str, Any] | None:
    if used is None:
        return None
    return {
        "length_mm": used.length,
        "washers": list(used.washers),
        "thread_in_ear_mm": used.thread_in,
        "past_two_threads_mm": used.spare,
        "nut_stopped_short_mm": used.runs_out,
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


def to_buy(found: Sequence[BoltFound]) -> str:
    """ "4 M12 x 100, 10 M10 x 30": what is drawn and fits, most of one kind first."""
    sizes = Counter(f"{one.row.name} x {one.used.length:g}" for one in found if one.used is not None)
    return ", ".join(f"{n} {size}" for size, n in sorted(sizes.items(), key=lambda s: (-s[1], s[0])))
