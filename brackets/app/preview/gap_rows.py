"""Gaps as rows of a table and lines in the picture, worst first, mm found, wanted and spare; paths and bolts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from brackets.app.cli.inches import MM, Lengths
from brackets.app.preview.blocks import row, table
from brackets.bay.adjust_rules import Adjusted, adjust_findings
from brackets.bay.bolts.bolting import BoltFound
from brackets.bay.clear.known import Known
from brackets.bay.clear.moving import Moved
from brackets.bay.clear.pairs import Pair, at_least
from brackets.bay.clear.paths import BayPath
from brackets.bay.clear.slack import SLACK_HEADS, Slack, slack_cells
from brackets.bay.report.rows import (
    ADJUST_HEADS,
    BOLTS,
    PATH_HEADS,
    SETTLED,
    UNSETTLED,
    Row,
    adjust_cells,
    bolt_row,
    path_row,
)
from brackets.core.finding import Finding

MOST = 60
"""Rows of gaps: the loosest of several hundred pairs tell nobody anything."""

NEAR = 40.0
"""mm of spare past which nothing leads to a gap: the ± of two keep-outs are 20 each at most, and the page draws
none with more than 30."""

DECLARED = ("fit-up", "contact")
"""States of pairs that are meant to touch."""

SAID = {
    "foul": "fouls",
    "inside": "one inside the other",
    "touch": "touches",
    "fit-up": "cut to it",
    "contact": "meant to touch",
    "clear": "",
    "far": "at least",
}
NOT_TOLD = "perhaps one inside the other"


def words(low: float, high: float, spare: float, at: Lengths = MM) -> str:
    """ "at least 8.9 mm, found 9.2 mm, spare -0.1": a gap beside its line. The one place that rounds it: page and
    picture print this text, and the tables the same figures. mm; `high` is the least that was found."""
    left = f"spare {at.least(spare)}"
    if high - low < SETTLED:
        return f"{at.proven(low)}, {left}"
    found = f"found {at.both(high, '.1f')}, " if high - low <= UNSETTLED else ""
    return f"at least {at.proven(low)}, {found}{left}"


def _label(pair: Pair, at: Lengths) -> str:
    if pair.stops:
        return NOT_TOLD if pair.not_told else SAID[pair.state]
    if pair.state in DECLARED:
        return SAID[pair.state]
    return words(pair.low, pair.high, pair.spare, at)


def pair_record(pair: Pair, at: Lengths = MM) -> dict[str, Any]:
    """A gap at rest as the page draws it."""
    return {
        "said": _label(pair, at),
        "a": pair.a,
        "b": pair.b,
        "state": pair.state,
        "found": float(at_least(pair.low, 3)),
        "wanted": pair.needed,
        "spare": float(at_least(pair.spare, 3)),
        "p": list(pair.p),
        "q": list(pair.q),
        "level": level(pair),
    }


def worth_drawing(pairs: Sequence[Pair]) -> Sequence[Pair]:
    """The first of the pairs, worst first, to the last that a row or a finding may lead to: the page is sent them
    at every step."""
    near = [i for i, pair in enumerate(pairs) if level(pair) or (pair.state not in DECLARED and pair.spare <= NEAR)]
    return pairs[: max(MOST, near[-1] + 1 if near else 0)]


def level(pair: Pair) -> str:
    """How bad a gap at rest is."""
    return "stop" if pair.stops else "caution" if pair.short else ""


def at_rest(pairs: Sequence[Pair], known: Known | None = None, at: Lengths = MM) -> dict[str, Any]:
    """The gaps standing still, worst first; what is spare also less the ± where the bay file types any."""
    rows = []
    for i, pair in enumerate(pairs[:MOST]):
        declared = pair.state in DECLARED
        found = at.least(pair.low)
        figures = (found, at.figure(pair.needed), at.least(pair.spare), *_less(pair, known, at))
        if declared:
            figures = ("",) * len(figures)
        cells = (pair.a, pair.b, *figures, NOT_TOLD if pair.not_told else SAID[pair.state])
        rows.append(row(cells, things=(pair.a, pair.b), level=level(pair), pair=i))
    note = f"The {MOST} worst of {len(pairs)} pairs." if len(pairs) > MOST else ""
    columns = f"one|other|>at least {at.unit}|>wanted|>spare|{_head(known)}"
    return table("gaps", "Gaps standing still", columns, rows, note)


def _head(known: Known | None) -> str:
    return ">less ±|" if known is not None else ""


def _less(found: Pair | Moved, known: Known | None, at: Lengths) -> tuple[str, ...]:
    """The cell of what is spare less the ± of both, "?" where one of them has none; no cell without ±."""
    if known is None:
        return ()
    less = known.less(found.a, found.b, found.spare)
    return ("?" if less is None else at.least(less),)


def when_moved(moves: Sequence[Moved], known: Known | None = None, at: Lengths = MM) -> dict[str, Any]:
    """The least gaps over the movement of the engine and of what moves by itself, worst first."""
    rows = []
    for i, move in enumerate(moves[:MOST]):
        touches = move.high <= 0
        bad = "caution" if move.short or move.unsure or touches else ""
        when = NOT_TOLD if move.note else at.said(move.when)
        found = at.least(move.low)
        figures = (found, at.figure(move.needed), at.least(move.spare), *_less(move, known, at))
        cells = (move.a, move.b, *figures, when)
        bad = "stop" if (touches and move.needed > 0) or move.note else bad
        rows.append(row(cells, things=(move.a, move.b), level=bad) | {"moved": i})
    note = "" if moves else "No movement is typed in the bay file: standing still only."
    columns = f"one|other|>at least {at.unit}|>wanted|>spare|{_head(known)}when"
    return table("moved", "Gaps when moved", columns, rows, note)


def of_slacks(found: Sequence[Slack], at: Lengths = MM) -> dict[str, Any]:
    """Hoses, cables and linkages: how near and how far their ends get, in the words of the screen."""
    rows = []
    for one in found:
        bad = one.kinked or one.spare < one.row.margin
        cells = at.cells(slack_cells(one), near=(1, 3, 5), down=(2, 6), up=(4,))
        rows.append(row(cells, level="stop" if one.pulled else "caution" if bad else ""))
    columns = "|".join([SLACK_HEADS[0], *(f">{head}" for head in SLACK_HEADS[1:7]), *SLACK_HEADS[7:]])
    return table("slack", f"Hoses, cables, linkages: straight between their ends, {at.unit}", columns, rows)


def of_adjusts(found: Sequence[Adjusted], at: Lengths = MM) -> dict[str, Any]:
    """Parts with slots, moved to either end of them, in the words of the screen."""
    rows = []
    for one in found:
        cells = at.cells(adjust_cells(one), said=(1,), near=(2, 4), down=(3,))
        rows.append(row(cells, things=(one.of.part,), level=_worst([*adjust_findings([one])])))
    columns = "|".join(f">{head}" if i in (3, 4) else head for i, head in enumerate(ADJUST_HEADS))
    return table("adjust", f"Adjustment: how far each part can be moved on its slots, {at.unit}", columns, rows)


def _worst(said: Sequence[Finding]) -> str:
    levels = {finding.level for finding in said}
    return next((level for level in ("stop", "caution") if level in levels), "")


def of_paths(found: Sequence[BayPath], at: Lengths = MM) -> dict[str, Any]:
    """Every path in and out, in the words of the screen."""
    rows = [path_row(one) for one in found]
    rows = [replace(one, cells=at.cells(one.cells, down=(2, 3), near=(4,), said=(5,))) for one in rows]
    title = "Paths in and out" + (", in" if at.inch else "")
    return _listed("paths", title, PATH_HEADS, rows, right=(2, 3, 4))


def of_bolts(found: Sequence[BoltFound]) -> dict[str, Any]:
    """Every bolt, in the words of the screen."""
    return _listed("bolts", "Bolts", BOLTS, [bolt_row(bolt) for bolt in found])


def _listed(
    key: str, title: str, head: Sequence[str], found: Sequence[Row], *, right: Sequence[int] = ()
) -> dict[str, Any]:
    rows = [row(one.cells, things=one.things, level="" if one.good else "caution") for one in found]
    columns = "|".join(f">{name}" if i in right else name for i, name in enumerate(head))
    return table(key, title, columns, rows, "" if rows else "None.")


def worst_places(moves: Sequence[Moved], at: Lengths = MM) -> list[dict[str, Any]]:
    """Where the powertrain stands, and what moves by itself, when each of the worst gaps is least: degrees and mm,
    as the page rocks them."""
    return [
        {
            "moved": i,
            "a": move.a,
            "b": move.b,
            "angles": [0.0, 0.0, 0.0] if move.position is None else list(move.position.angles),
            "travel": [0.0, 0.0, 0.0] if move.position is None else list(move.position.travel),
            "own": {one.name: [one.turn, one.travel] for one in move.own},
            "said": NOT_TOLD if move.note else words(move.low, move.high, move.spare, at),
            "left": at.least(move.spare),
            "p": list(move.p),
            "q": list(move.q),
            "least": float(at_least(move.low, 3)),
            "spare": float(at_least(move.spare, 3)),
        }
        for i, move in enumerate(moves[:MOST])
        if move.position is not None or move.own
    ]
