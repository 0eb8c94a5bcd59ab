"""A bolt as the page withdraws it, with the tools on its ends as `fit` tried them; what is met, by name."""

from __future__ import annotations

import math
from typing import Any

from brackets.app.cli.inches import MM, Lengths
from brackets.app.preview.folding import column_major
from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.bolts.tool_access import LIFT, Drawn, Reached
from brackets.bay.report.rows import bolt_row


def bolt_record(one: BoltFound, at: Lengths = MM) -> dict[str, Any]:
    """The bolt among the things of the picture, its ways out, first as drawn and then turned end for end, and the
    tools for each end. mm, bay axes; every frame with z out of the work, LIFT off the face that is borne on."""
    row = bolt_row(one)
    ways = [(one.drawn, False), (one.turned, True)]
    return {
        "thing": one.body,
        "label": f"{row.cells[0]}, {at.said(row.cells[2])}",
        "good": row.good,
        "holds": list(one.holds),
        "ways": [_way(way, turned, at) for way, turned in ways if way is not None],
        "ends": [_end(end, at) for end in one.ends],
    }


def _way(way: Drawn, turned: bool, at: Lengths) -> dict[str, Any]:
    from_ = "from its nut's end" if turned else "as it is put in"
    if way.out:
        said = f"{from_}: comes straight out, {at.both(way.length, '.0f')}"
    else:
        said = f"{from_}: comes out {way.free:.0f} of {at.both(way.length, '.0f')}, then meets {way.by}"
        more = [name for name in way.meets if name != way.by]
        said += f"; in its way too: {', '.join(more)}" if more else ""
    return {
        "at": list(way.stand.at),
        "along": list(way.stand.axis),
        "turned": turned,
        "length": way.length,
        "free": way.free,
        "out": way.out,
        "meets": list(way.meets),
        "said": said,
    }


def _end(end: Reached, at: Lengths) -> dict[str, Any]:
    socket, spanner = end.socket, end.spanner
    clear = "goes on" if not end.socket_by else f"meets {', '.join(end.socket_by)}"
    swings = (
        f"goes on and swings {spanner.swing:g} deg"
        if end.clock is not None
        else f"does not go on and swing {spanner.swing:g} deg: {', '.join(end.spanner_by)}"
    )
    return {
        "end": end.end,
        "place": column_major(end.stand),
        "socket": {
            "od": socket.od,
            "length": socket.length + end.height - LIFT,
            "drive_od": socket.drive_od,
            "reach": socket.reach,
            "by": list(end.socket_by),
            "said": f"socket {at.figure(socket.od)} x {at.figure(socket.length)} at the {end.end}: {clear}",
        },
        "spanner": {
            "head": spanner.head,
            "handle": spanner.handle,
            "reach": spanner.reach,
            "t": spanner.t - LIFT,
            "swing": spanner.swing,
            "clock": end.clock,
            "opening": spanner.across_flats * 2 / math.sqrt(3),
            "by": list(end.spanner_by),
            "said": f"ring spanner at the {end.end}: {swings}",
        },
    }
