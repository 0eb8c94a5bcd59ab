"""A path in or out as the page drives it: what moves, what is out by then, its legs, and the place of least gap."""

from __future__ import annotations

from typing import Any

from brackets.app.cli.inches import MM, Lengths
from brackets.app.preview import gap_rows
from brackets.bay.clear.paths import BayPath
from brackets.clearance.legs import RotaryLeg, StraightLeg


def path_record(one: BayPath, at: Lengths = MM) -> dict[str, Any]:
    """Its legs in order, each from where the last one ends, mm or degrees; `least` None where nothing is near it,
    or it is not driven. A place on it is a leg, from 0, and how far along it."""
    found = one.legs
    return {
        "name": one.name,
        "part": one.part,
        "moving": list(one.moving),
        "gone": list(one.gone),
        "legs": [
            _leg(leg) | {"free": found[i].free if i < len(found) else 0.0} for i, leg in enumerate(one.drive)
        ],
        "out": one.out,
        "said": _said(one, at),
        "pair": list(one.pair or ()),
        "least": _least(one, at),
        "good": one.out and not one.held and not one.notes and (one.low is None or one.low >= one.needed),
    }


def _leg(leg: StraightLeg | RotaryLeg) -> dict[str, Any]:
    base = {"length": leg.length, "unit": leg.unit}
    if isinstance(leg, StraightLeg):
        return base | {"by": list(leg.by)}
    return base | {"through": list(leg.through), "axis": list(leg.axis), "turn": leg.degrees}


def _least(one: BayPath, at: Lengths) -> dict[str, Any] | None:
    if one.at is None or one.p is None or one.q is None or one.low is None or one.high is None:
        return None
    said = gap_rows.words(one.low, one.high, one.low - one.needed, at)
    return {
        "leg": one.at[0] - 1,
        "along": one.at[1],
        "p": list(one.p),
        "q": list(one.q),
        "said": said if one.out else f"meets {' and '.join(one.pair or ())}",
        "short": not one.out or one.low < one.needed,
    }


def _said(one: BayPath, at: Lengths) -> str:
    if one.held:
        return f"bolted at {', '.join(one.held)}: not driven"
    if one.out:
        return "comes out" if not one.notes else "comes out, but an open scan leaves it not known"
    last = one.legs[-1]
    free = f"{last.free:.1f} deg" if last.unit == "deg" else at.both(last.free, ".1f")
    of = f"leg {len(one.legs)}, " if len(one.drive) > 1 else ""
    return f"{of}{free} free, then {' meets '.join(one.pair or ())}"
