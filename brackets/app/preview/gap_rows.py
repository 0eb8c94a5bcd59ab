"""Gaps as rows of a table and lines in the picture, worst first, mm found, wanted and spare; paths and bolts."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from brackets.app.preview.scene import row, table
from brackets.bay.bolting import BoltFound
from brackets.bay.moving import Moved
from brackets.bay.pairs import Pair, at_least
from brackets.bay.paths import BayPath
from brackets.bay.rows import BOLTS, PATH_HEADS, Row, bolt_row, path_row

MOST = 60
"""Rows of gaps: the loosest of several hundred pairs tell nobody anything."""

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


def pair_record(pair: Pair) -> dict[str, Any]:
    """A gap at rest as the page draws it."""
    return {
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


def level(pair: Pair) -> str:
    """How bad a gap at rest is."""
    return "stop" if pair.stops else "caution" if pair.short else ""


def at_rest(pairs: Sequence[Pair]) -> dict[str, Any]:
    """The gaps standing still, worst first."""
    rows = []
    for i, pair in enumerate(pairs[:MOST]):
        declared = pair.state in ("fit-up", "contact")
        figures = ("", "", "") if declared else (at_least(pair.low), f"{pair.needed:g}", at_least(pair.spare))
        cells = (pair.a, pair.b, *figures, NOT_TOLD if pair.not_told else SAID[pair.state])
        rows.append(row(cells, things=(pair.a, pair.b), level=level(pair), pair=i))
    note = f"The {MOST} worst of {len(pairs)} pairs." if len(pairs) > MOST else ""
    return table("gaps", "Gaps standing still", "one|other|>found mm|>wanted|>spare|", rows, note)


def when_moved(moves: Sequence[Moved]) -> dict[str, Any]:
    """The least gaps over the movement, worst first."""
    rows = []
    for i, move in enumerate(moves[:MOST]):
        bad = "caution" if move.short or move.unsure else ""
        when = NOT_TOLD if move.note else move.worst
        cells = (move.a, move.b, at_least(move.low), f"{move.needed:g}", at_least(move.spare), when)
        bad = "stop" if move.high <= 0 or move.note else bad
        rows.append(row(cells, things=(move.a, move.b), level=bad) | {"moved": i})
    note = "" if moves else "No movement is typed in the bay file: standing still only."
    return table("moved", "Gaps when the engine moves", "one|other|>least mm|>wanted|>spare|when", rows, note)


def of_paths(found: Sequence[BayPath]) -> dict[str, Any]:
    """Every path in and out, in the words of the screen."""
    return _listed("paths", "Paths in and out", PATH_HEADS, [path_row(one) for one in found], right=(2, 3, 4))


def of_bolts(found: Sequence[BoltFound]) -> dict[str, Any]:
    """Every bolt, in the words of the screen."""
    return _listed("bolts", "Bolts", BOLTS, [bolt_row(bolt) for bolt in found])


def _listed(
    key: str, title: str, head: Sequence[str], found: Sequence[Row], *, right: Sequence[int] = ()
) -> dict[str, Any]:
    rows = [row(one.cells, things=one.things, level="" if one.good else "caution") for one in found]
    columns = "|".join(f">{name}" if i in right else name for i, name in enumerate(head))
    return table(key, title, columns, rows, "" if rows else "None.")


def worst_places(moves: Sequence[Moved]) -> list[dict[str, Any]]:
    """Where the powertrain stands when each of the worst gaps is least: degrees and mm, as the page rocks it."""
    return [
        {
            "moved": i,
            "a": move.a,
            "b": move.b,
            "angles": list(move.position.angles),
            "travel": list(move.position.travel),
            "p": list(move.p),
            "q": list(move.q),
            "least": float(at_least(move.low, 3)),
            "spare": float(at_least(move.spare, 3)),
        }
        for i, move in enumerate(moves[:MOST])
        if move.position is not None
    ]
