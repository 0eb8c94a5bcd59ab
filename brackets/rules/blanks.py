"""Blanks against what can be cut and bent: openings near bends, thin webs, overlaps, clashes, the sheet."""

from __future__ import annotations

import math
from collections.abc import Iterator

from brackets.core.errors import InputError
from brackets.core.finding import Finding
from brackets.core.rulebook.parts import (
    BEND_OPENING,
    BLANK,
    CLASH,
    FLAT_OVERLAP,
    FOLD_GAP,
    HOLE_TO_BEND,
    SHEET_SIZE,
    WEB,
)
from brackets.forming.flat_pattern import Blank, blank_of, overlaps
from brackets.forming.fold_clash import near
from brackets.forming.shop import Shop
from brackets.geometry.curve import Outline
from brackets.geometry.distance import distance_between
from brackets.geometry.regions import common
from brackets.geometry.segments import apart
from brackets.model.bend_allowance import setback
from brackets.model.fold_tree import Bend, tree
from brackets.model.fold_zones import strip, transformed
from brackets.model.holes import Hole, Opening
from brackets.model.plate import Folded, Plate

ROUND = 1.5
"""Thicknesses, besides the inside radius, from a round hole's edge to the inside face of the bend."""

STRAIGHT = ((25.0, 2.0), (50.0, 2.5), (float("inf"), 3.0))
"""Length of a straight-edged opening along the bend up to, mm, and the same thicknesses for it."""

SHARED = 1e-3
"""mm2: an opening that takes less of the strip than this only touches the bend."""


def blank_findings(piece: Folded | Plate, shop: Shop) -> Iterator[Finding]:
    """What is wrong with the blank of `piece`, and with how it folds. Raises InputError as `tree` does."""
    if isinstance(piece, Folded):
        yield from _openings(piece)
        yield from _clashes(piece, shop)
    try:
        blank = blank_of(piece)
    except InputError as wrong:
        shared = overlaps(tree(piece)) if isinstance(piece, Folded) else ()
        said = "; ".join(wrong.problems)
        if shared:
            area = sum(area for _, _, area in shared)
            yield FLAT_OVERLAP.finding(piece=piece.name, value=area, limit=0.0, sentence=said)
        else:
            yield BLANK.finding(piece=piece.name, sentence=said)
        return
    yield from _webs(piece, blank)
    yield from _sheet(piece, blank, shop)


def _openings(piece: Folded) -> Iterator[Finding]:
    whole = tree(piece)
    across: dict[str, list[int]] = {}
    for bend in whole.bends:
        edge = transformed(strip(bend), bend.flat)
        for number in (bend.parent, bend.number):
            node = whole.walls[number]
            for opening in node.wall.openings:
                outline = transformed(opening.outline, node.flat)
                if not apart(outline.bounds, edge.bounds) and any(
                    region.area > SHARED for region in common(outline, edge)
                ):
                    across.setdefault(_label(opening), []).append(bend.number)
                else:
                    yield from _close(piece, bend, opening, outline, edge)
    yield from (_across(piece, what, numbers) for what, numbers in across.items())


def _across(piece: Folded, what: str, numbers: list[int]) -> Finding:
    numbers = list(dict.fromkeys(numbers))
    bends = f"bend {numbers[0]}" if len(numbers) == 1 else f"bends {', '.join(map(str, numbers))}"
    return BEND_OPENING.finding(
        piece=piece.name,
        sentence=f"{what} lies in {bends}: its edges pull, finish it afterwards",
    )


def _close(piece: Folded, bend: Bend, opening: Opening, outline: Outline, edge: Outline) -> Iterator[Finding]:
    times = ROUND
    if not isinstance(opening, Hole):
        seen = [bend.flat.local((*p, 0.0))[0] for p in outline.points(0.1)]
        times = next(times for upto, times in STRAIGHT if max(seen) - min(seen) <= upto)
    limit = times * piece.t + bend.inside_radius
    reach = min(setback(bend.angle, bend.inside_radius, piece.t, "inside"), bend.inside_radius)
    found = distance_between(outline, edge).distance + reach
    if HOLE_TO_BEND.under(found, limit):
        yield HOLE_TO_BEND.finding(
            piece=piece.name,
            value=found,
            limit=limit,
            sentence=(
                f"{_label(opening)} is {found:.1f} mm from the inside of bend {bend.number}, at least {limit:.1f} "
                f"({times:g} t + r): drill it after bending"
            ),
        )


def _clashes(piece: Folded, shop: Shop) -> Iterator[Finding]:
    for pair in near(piece, shop.gap):
        if pair.gap < 0:
            yield CLASH.finding(
                piece=piece.name,
                value=pair.gap,
                limit=shop.gap,
                sentence=f"{pair.first} runs into {pair.second} once folded",
            )
        else:
            yield FOLD_GAP.finding(
                piece=piece.name,
                value=pair.gap,
                limit=shop.gap,
                source_words=shop.source,
                sentence=f"{pair.first} comes within {pair.gap:.2f} mm of {pair.second} once folded",
            )


def _webs(piece: Folded | Plate, blank: Blank) -> Iterator[Finding]:
    """Metal narrower than it is thick between two openings or an opening and the edge."""
    rims = [blank.region.outer, *blank.region.holes]
    least = math.inf  # what lies further apart than the narrowest web so far is no narrower one
    for i, one in enumerate(rims):
        for other in rims[i + 1 :]:
            if i and apart(one.bounds, other.bounds, max(piece.t, least)):
                continue
            between = distance_between(one, other)
            least = min(least, between.distance)
            if WEB.under(between.distance, piece.t):
                x, y = between.q
                what = "two openings" if i else "an opening and the edge"
                yield WEB.finding(
                    level="caution",
                    piece=piece.name,
                    value=between.distance,
                    limit=piece.t,
                    sentence=f"{between.distance:.1f} mm of metal between {what} at {x:.0f}, {y:.0f} of the blank",
                )


def _sheet(piece: Folded | Plate, blank: Blank, shop: Shop) -> Iterator[Finding]:
    sheets = [s for s in shop.sheets if s.material == piece.material and abs(s.t - piece.t) < 0.02] or shop.sheets
    size = sorted((blank.length, blank.width))
    left = [min(min(s.length, s.width) - size[0], max(s.length, s.width) - size[1]) for s in sheets]
    if sheets and SHEET_SIZE.under(max(left), 0.0):
        largest = max(sheets, key=lambda s: s.length * s.width)
        yield SHEET_SIZE.finding(
            piece=piece.name,
            value=size[1],
            limit=max(largest.length, largest.width),
            source_words=shop.source,
            sentence=(
                f"the blank is {size[1]:.0f} x {size[0]:.0f} mm, the largest sheet "
                f"{largest.length:g} x {largest.width:g}"
            ),
        )


def _label(opening: Opening) -> str:
    if opening.name:
        return opening.name
    if isinstance(opening, Hole):
        return f"hole {opening.d:g}"
    x0, y0, x1, y1 = opening.outline.bounds
    return f"opening {x1 - x0:.3g} x {y1 - y0:.3g}"
