"""Glue tabs of a fold-up: where an edge of one panel comes to the inside of another, a strip that is glued there.

A tab hangs on its panel by a fold, its outside face on the other's inside face, so that neither changes the outside
size; its ends are cut back at 45 degrees, a short one's more steeply, and it lies over no hole. mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from brackets.core.errors import InputError
from brackets.core.vectors import Vec, add, cross, dot, scale, sub
from brackets.forming.card import Fold, FoldUp, Panel, runs_inside
from brackets.geometry.curve import Outline
from brackets.geometry.distance import distance
from brackets.geometry.regions import common, cut, join, nearest_edge
from brackets.geometry.segments import Line, Point
from brackets.geometry.shapes import polygon

MEETS = 16.0
"""mm between an edge and the face it comes to, or from there to the card, that a tab still bridges: the relieved
corner of a tray stands open by its radius and thickness."""

GLUED = (10.0, 8.0, 6.0, 4.0)
"""mm of a tab that are glued, the widest that has room: common practice, no source."""

SHORTEST = 12.0
"""mm: the shortest run of two edges that is worth a tab: common practice, no source."""

TIP = 3.0
"""mm: half the width that a tab keeps at its end, where it would else be cut to a point."""

OFF_HOLES = 1.0
"""mm from what is glued to a hole."""

OFF_EDGES = 0.3
"""mm from what is glued to an edge of the panel it is glued to."""

STEP, MOST_PLACES = 1.0, 50
"""mm between the places where an edge and a face are looked at; places along one edge at most."""

BESIDE = 0.2
"""mm to either side of an edge where it is looked at whether card is there."""

BACK = 0.5
"""mm a tab is kept back from the ends of its run."""

SNIP = 0.5
"""mm: width of the snips at both ends of a tab whose fold lies inside its panel's edge, so that it comes free."""

ALONG = 1e-3
"""Sine of the angle between an edge and a face that are still along each other."""

TOWARDS = 0.3
"""Least sine of the angle at which an edge comes to a face."""

THROUGH = 0.05
"""mm that an edge may stand in the face it comes to: rounding of sizes typed to a tenth."""


@dataclass(frozen=True, kw_only=True)
class Tab:
    """A tab of panel `of`, glued to the inside of `onto`: its `fold`, mm that are glued, `shape` on the flat."""

    of: str
    onto: str
    fold: Fold
    glued: float
    shape: Outline


@dataclass(frozen=True, kw_only=True)
class NoTab:
    """Two panels that meet along `length` mm, where no tab has room; there is card under `room` mm of one."""

    of: str
    onto: str
    length: float
    room: float


@dataclass(frozen=True)
class _Meeting:
    """An edge of `of` from `a` along `way`, and the face of `onto` it comes to.

    `out`: mm from the edge to the tab's fold, on its panel; `angle`: degrees it is folded; `spots`: mm along the
    edge, each with from where and to where along the tab there is card of `onto` under it.
    """

    of: Panel
    onto: Panel
    a: Point
    way: Point
    out: float
    angle: float
    spots: tuple[tuple[float, float, float], ...]


def with_tabs(made: FoldUp) -> tuple[FoldUp, tuple[Tab, ...], tuple[NoTab, ...]]:
    """The fold-up with its tabs on, what they are, and the pairs of panels that meet and have none."""
    tabs: list[Tab] = []
    without: list[NoTab] = []
    best: dict[frozenset[int], list[_Meeting]] = {}
    for one, other in permutations(made.panels, 2):
        if made.parents[one.number] == other.number or made.parents[other.number] == one.number:
            continue
        for meeting in _meetings(made, one, other):
            best.setdefault(frozenset((one.number, other.number)), []).append(meeting)
    for meetings in best.values():
        tries = [(glued, *_run(meeting, glued), meeting) for meeting in meetings for glued in GLUED]
        fitting = sorted(
            (one for one in tries if one[2] - one[1] >= SHORTEST), key=lambda one: (-one[0], one[1] - one[2])
        )
        # a run may begin beside a fold whose card the tab's corner would lie on: then a step shorter at either end
        shorter = [(glued, low + STEP, high - STEP, meeting) for glued, low, high, meeting in fitting]
        for glued, low, high, meeting in (*fitting, *(one for one in shorter if one[2] - one[1] >= SHORTEST)):
            longer = _put(made, meeting, glued, low, high)
            if longer is not None:
                made, tab = longer
                tabs.append(tab)
                break
        else:
            first = meetings[0]
            rooms = [to - since for _, since, to in first.spots]
            long = first.spots[-1][0] - first.spots[0][0]
            if long >= SHORTEST:
                without.append(
                    NoTab(of=first.of.name, onto=first.onto.name, length=long, room=min(rooms, default=0.0))
                )
    return made, tuple(tabs), tuple(without)


def _meetings(made: FoldUp, of: Panel, onto: Panel) -> Iterator[_Meeting]:
    for edge in of.outline.segments:
        if not isinstance(edge, Line) or edge.length < SHORTEST:
            continue
        tx, ty = edge.tangent()
        out, along = of.place.direction((ty, -tx, 0.0)), of.place.direction((tx, ty, 0.0))
        start = of.place.point((*edge.a, 0.0))
        middle = of.place.point((*edge.point(0.5), of.low + made.card.t / 2))
        above = onto.place.local(middle)[2] > onto.low + made.card.t / 2
        inner = onto.low + made.card.t if above else onto.low
        normal = onto.place.axis if above else scale(onto.place.axis, -1.0)
        if abs(dot(along, normal)) > ALONG or dot(out, normal) > -TOWARDS:
            continue
        face = dot(sub(onto.place.point((0.0, 0.0, inner)), start), normal)
        dn, nn = dot(out, normal), dot(of.place.axis, normal)
        clear = [of_z * nn - face for of_z in (of.low, of.low + made.card.t)]
        if min(clear) < -THROUGH or max(clear) / -dn > MEETS:
            continue
        for way in (cross(along, normal), scale(cross(along, normal), -1.0)):
            angle = math.degrees(math.atan2(dot(way, of.place.axis), dot(way, out)))
            depth = made.card.crease if angle > 0 else made.card.t - made.card.crease
            at = of.low + depth
            fold = (face + made.card.crease - at * nn) / dn
            hinge = add(start, add(scale(out, fold), scale(of.place.axis, at)))
            spots = tuple(_spots(made, of, onto, edge, hinge, along, way))
            if spots:
                yield _Meeting(of, onto, edge.a, edge.tangent(), fold, angle, spots)


def _spots(
    made: FoldUp, of: Panel, onto: Panel, edge: Line, hinge: Vec, along: Vec, way: Vec
) -> Iterator[tuple[float, float, float]]:
    """Places of the longest run of the edge that is an edge of the card and has the other's card beside it."""
    tx, ty = edge.tangent()
    runs: list[list[tuple[float, float, float]]] = [[]]
    places = min(MOST_PLACES, math.ceil(edge.length / STEP))
    for i in range(places + 1):
        s = edge.length * i / places
        x, y = edge.a[0] + s * tx, edge.a[1] + s * ty
        beside = ((x - far * ty, y + far * tx, 0.0) for far in (BESIDE, -BESIDE))
        inside, outside = (made.region.distance(of.flat.point(p)[:2]) for p in beside)
        found = _under(made, onto, add(hinge, scale(along, s)), way) if inside > 0 > outside else None
        if found is not None:
            runs[-1].append((s, *found))
        elif runs[-1]:
            runs.append([])
    yield from max(runs, key=len)


def _under(made: FoldUp, onto: Panel, start: Vec, way: Vec) -> tuple[float, float] | None:
    """From where to where along a tab, mm from its fold, lies card to glue it to; None where it begins too far."""
    since: float | None = None
    far = 0.0
    x0, y0, x1, y1 = onto.outline.bounds
    rims = [segment for hole in made.region.holes for segment in hole.segments]
    while far <= MEETS + GLUED[0]:
        x, y, _ = onto.place.local(add(start, scale(way, far)))
        p = onto.flat.point((x, y, 0.0))[:2]
        there = x0 < x < x1 and y0 < y < y1 and distance(onto.outline, (x, y)) > OFF_EDGES
        there = there and made.region.distance(p) > OFF_EDGES
        if there and rims:
            there = nearest_edge(rims, p)[0] > OFF_HOLES
        if there and since is None:
            since = far
        if not there and since is not None:
            break
        if since is None and far > MEETS:
            return None
        far += STEP
    return None if since is None else (since, far - STEP)


def _run(meeting: _Meeting, glued: float) -> tuple[float, float]:
    """From where to where along the edge a tab with so much to glue has card under all of it."""
    since = max(s for _, s, _ in meeting.spots)
    best: tuple[float, float] = (0.0, 0.0)
    low: float | None = None
    for s, _, to in meeting.spots:
        if to >= since + glued:
            low = s if low is None else low
            if s - low > best[1] - best[0]:
                best = (low, s)
        else:
            low = None
    return best[0] + BACK, best[1] - BACK


def _put(made: FoldUp, meeting: _Meeting, glued: float, low: float, high: float) -> tuple[FoldUp, Tab] | None:
    """The fold-up with a tab from `low` to `high` along the edge; None where other card is in its way, flat."""
    wide = meeting.out + max(s for _, s, _ in meeting.spots) + glued
    root = max(meeting.out, 0.0)
    back = min(wide - root, (high - low) / 2 - TIP)
    (ax, ay), (tx, ty) = meeting.a, meeting.way
    corners: list[tuple[float, float]] = [(low, 0.0), (low, root), (low + back, wide), (high - back, wide)]
    corners += [(high, root), (high, 0.0)]

    def flat(s: float, out: float) -> Point:
        return meeting.of.flat.point((ax + s * tx + out * ty, ay + s * ty - out * tx, 0.0))[:2]

    points = _distinct([flat(s, out) for s, out in corners])
    try:
        shape = polygon(points)
        if sum(part.area for part in common(made.region, shape)) > 1e-6:
            return None
        card = made.region
        for s, beside in ((low, low - SNIP), (high, high + SNIP)) if meeting.out < -1e-9 else ():
            snip = polygon([flat(*p) for p in ((s, meeting.out), (s, SNIP), (beside, SNIP), (beside, meeting.out))])
            card = max(cut(card, snip), key=lambda part: part.area)
        whole = join(card, shape)
    except InputError:
        return None
    if len(whole) != 1:
        return None
    number = f"T{sum(fold.name.startswith('T') for fold in made.folds) + 1}"
    runs = runs_inside(whole[0], flat(low, meeting.out), flat(high, meeting.out))
    if not runs:
        return None
    fold = Fold(name=number, line=runs[0], angle=meeting.angle)
    tab = Tab(of=meeting.of.name, onto=meeting.onto.name, fold=fold, glued=glued, shape=shape)
    return replace(made, region=whole[0], folds=(*made.folds, fold)), tab


def _distinct(points: Sequence[Point]) -> list[Point]:
    return [p for i, p in enumerate(points) if math.dist(p, points[i - 1]) > 1e-9]
