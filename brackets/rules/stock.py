"""Pieces against what is on the rack and in the drill drawer; what is not there is offered the nearest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from brackets.core.finding import Finding
from brackets.core.rulebook.parts import DRILL, PILOT_DRILL, RACK, TUBE_LENGTH
from brackets.core.tables.fasteners import PIVOT_CLEARANCE
from brackets.forming.shop import Shop
from brackets.forming.wrap import lengths
from brackets.model.bent_tube import cut_length
from brackets.model.holes import Hole, Slot
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube

SAME = 0.02
"""mm within which two sizes are one: inch sizes are often written rounded to 0.01 mm."""

PILOT = 0.5
"""mm the drill for a hole that is reamed may be under what is asked, never over: common practice, no source."""

NAMED = 3
"""How many nearest sizes a message names."""


def rack_findings(piece: Piece, shop: Shop) -> Iterator[Finding]:
    """What of `piece` is not on the rack."""
    if isinstance(piece, Plate | Folded):
        yield from _plate(piece, shop)
        yield from _drills(piece, shop)
    if isinstance(piece, Tube | BentTube):
        yield from _tube(piece, shop)


def _plate(piece: Plate | Folded, shop: Shop) -> Iterator[Finding]:
    if not shop.sheets:
        return
    mine = [s.t for s in shop.sheets if s.material == piece.material]
    if any(abs(t - piece.t) <= SAME for t in mine):
        return
    if mine:
        offer = f"nearest {piece.material} there: {_near(mine, piece.t)} mm"
    else:
        others = sorted({s.material for s in shop.sheets if abs(s.t - piece.t) <= SAME})
        offer = f"{piece.t:g} mm is there in {', '.join(others)}" if others else "nor anything as thick"
    yield RACK.finding(
        piece=piece.name,
        value=piece.t,
        limit=min(mine, key=lambda t: abs(t - piece.t)) if mine else None,
        source_words=shop.source,
        sentence=f"{piece.material} {piece.t:g} mm is not on the rack; {offer}",
    )


def _tube(piece: Tube | BentTube, shop: Shop) -> Iterator[Finding]:
    if not shop.tubes:
        return
    long = cut_length(piece) if isinstance(piece, BentTube) else lengths(piece).long
    same = [s for s in shop.tubes if abs(s.od - piece.od) <= SAME and abs(s.wall - piece.wall) <= SAME]
    if not same:
        nearest = sorted(shop.tubes, key=lambda s: (abs(s.od - piece.od), abs(s.wall - piece.wall)))[:NAMED]
        offer = ", ".join(f"{s.od:g} x {s.wall:g}" for s in nearest)
        yield RACK.finding(
            piece=piece.name,
            value=piece.od,
            limit=nearest[0].od,
            source_words=shop.source,
            sentence=f"tube {piece.od:g} x {piece.wall:g} is not on the rack; nearest there: {offer}",
        )
    elif TUBE_LENGTH.over(long, max(s.length for s in same)):
        longest = max(s.length for s in same)
        yield TUBE_LENGTH.finding(
            piece=piece.name,
            value=long,
            limit=longest,
            source_words=shop.source,
            sentence=f"tube is {long:.0f} mm over its long points, the rack has {longest:g}",
        )


def _drills(piece: Plate | Folded, shop: Shop) -> Iterator[Finding]:
    """Each size once, however many holes have it; a pivot may be reamed 0 to 0.2 over its bolt."""
    if not shop.drills:
        return
    asked: dict[tuple[float, bool], str] = {}
    for opening in piece.holes():
        if isinstance(opening, Hole | Slot):
            reamed = isinstance(opening, Hole) and opening.use.reamed
            asked.setdefault((opening.d, reamed), opening.name or f"hole {opening.d:g}")
    yield from _pilots(piece, shop)
    for (d, reamed), what in asked.items():
        tools = (*shop.reamers, *shop.drills) if reamed else shop.drills
        if any(abs(size - d) <= (PIVOT_CLEARANCE if reamed else 0.0) + SAME for size in tools):
            continue
        large = d > max(shop.drills)
        yield DRILL.finding(
            level="advice" if large else "caution",
            piece=piece.name,
            value=d,
            limit=min(tools, key=lambda size: abs(size - d)),
            source_words=shop.source,
            sentence=(
                f"{what}: {d:g} mm is larger than any drill here ({max(shop.drills):g}): bore or cut it"
                if large
                else f"{what}: no {'reamer' if reamed else 'drill'} {d:g} mm; nearest: {_near(tools, d)} mm"
            ),
        )


def _pilots(piece: Plate | Folded, shop: Shop) -> Iterator[Finding]:
    """The drill that a hole is made with before it is reamed."""
    reamed = [o for o in piece.holes() if isinstance(o, Hole) and o.now != o.d]
    for now, what in {hole.now: hole.name or f"hole {hole.d:g}" for hole in reversed(reamed)}.items():
        if not any(-PILOT - SAME <= size - now <= SAME for size in shop.drills):
            yield PILOT_DRILL.finding(
                piece=piece.name,
                value=now,
                limit=min(shop.drills, key=lambda size: abs(size - now)),
                source_words=shop.source,
                sentence=f"{what}: no drill {now:g} mm to ream it from; nearest: {_near(shop.drills, now)} mm",
            )


def _near(sizes: Iterable[float], wanted: float) -> str:
    nearest = sorted(sorted(set(sizes), key=lambda size: abs(size - wanted))[:NAMED])
    return ", ".join(f"{size:g}" for size in nearest)
