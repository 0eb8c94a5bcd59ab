"""What of a folded piece cannot be folded: each rule at its limit and past it; and what clashes once folded."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from test_fold_samples import R, T, angle_bracket, channel, sheet

from brackets.core.errors import InputError
from brackets.forming.flanges import lip
from brackets.forming.fold_clash import near
from brackets.geometry.shapes import polygon
from brackets.kernel.plate import unjoined
from brackets.model.fold_tree import tree
from brackets.model.plate import Flange, Folded, TubeSeat, Wall

FLANGE = Flange(start=(0.0, 40.0), end=(60.0, 40.0), inside_radius=R, wall=sheet(60, 30))
"""On the far edge of a base of 60 x 40."""


def folded(*flanges: Flange, **change: Any) -> Folded:
    return Folded(**{"name": "L", "base": sheet(60, 40), "t": T, "flanges": flanges or (FLANGE,), **change})


def with_flange(**change: Any) -> Folded:
    return folded(replace(FLANGE, **change))


def two_on_an_edge(start: float) -> Folded:
    """The first from 0 to 30."""
    first = replace(FLANGE, end=(30.0, 40.0), wall=sheet(30, 30))
    return folded(first, replace(FLANGE, start=(start, 40.0), wall=sheet(60 - start, 30)))


def on_a_flange(parent_edge: tuple[tuple[float, float], tuple[float, float]]) -> Folded:
    """A flange on the flange, which is 60 wide and 30 high and hangs on its lower edge."""
    start, end = parent_edge
    wide = math.dist(start, end)
    return folded(FLANGE, Flange(parent=1, start=start, end=end, inside_radius=R, wall=sheet(wide, 20)))


def seated(at: tuple[float, float, float], *, base: bool, axis: tuple[float, float, float] = (0, 0, 1)) -> Folded:
    """A tube of radius 10 cut into one wall; the bend's lines are y = 40 of the base and y = 0 of the flange."""
    seat = TubeSeat(at=at, axis=axis, r=10.0, keep=(30.0, 5.0) if base else (30.0, 29.0))
    wall = Wall(outline=(sheet(60, 40) if base else FLANGE.wall).outline, seats=(seat,))
    return folded(base=wall) if base else with_flange(wall=wall)


REFUSED: list[tuple[str, Callable[[Any], Folded], Any, Any, str]] = [
    ("thickness", lambda t: folded(t=t), 2.0, 0.0, "t = 0 mm, must be over 0"),
    ("thickness", lambda t: folded(t=t), 2.0, math.inf, "t = inf mm"),
    ("K", lambda k: folded(k=k), 1.0, 1.01, "k = 1.01, must be 0 to 1"),
    ("K", lambda k: folded(k=k), 0.0, -0.01, "k = -0.01, must be 0 to 1"),
    ("K of a flange", lambda k: with_flange(k=k), 1.0, 1.01, "flange 1 k = 1.01"),
    ("parent", lambda n: folded(FLANGE, Flange(parent=n, start=(0, 30), end=(60, 30), inside_radius=R,
                                               wall=sheet(60, 20))), 1, 2, "parent = 2, must be 0 to 1"),
    ("parent", lambda n: with_flange(parent=n), 0, -1, "parent = -1, must be 0 to 0"),
    ("angle", lambda a: with_flange(angle=a), 150.0, 150.5, "angle = 150.5 deg"),
    ("angle", lambda a: with_flange(angle=a), -150.0, -150.5, "angle = -150.5 deg"),
    ("radius", lambda r: with_flange(inside_radius=r, k=0.4), 0.01, 0.009, "inside_radius = 0.009 mm"),
    ("line", lambda y: with_flange(start=(0.0, y), end=(60.0, y)), 40.0, 40.1, "not on a straight edge of"),
    ("line", lambda x: with_flange(end=(x, 40.0), wall=sheet(x, 30)), 60.0, 60.1, "not on a straight edge"),
    ("hangs", lambda x: with_flange(wall=sheet(x, 30)), 60.0, 59.9, r"no straight edge from \(0, 0\) to \(60, 0\)"),
    ("shared", two_on_an_edge, 30.0, 29.9, "flange 2 bend line runs over that of flange 1"),
    ("shared", on_a_flange, ((0, 30), (60, 30)), ((60, 0), (0, 0)), "flange 2 bend line runs over that of"),
    # r = 10 from a line 10 away touches it
    ("seat", lambda y: seated((30.0, y, 0.0), base=True), 30.0, 30.1, "tube seat 0 of wall 0 r = 10 mm reaches"),
    ("seat", lambda y: seated((30.0, y, 0.0), base=False), 10.0, 9.9, "tube seat 0 of wall 1 r = 10 mm reaches"),
    # leaning towards the line by 45 degrees: its top, 4 up, is 4 nearer, and the tube is 10 sqrt 2 along y
    ("leaning seat", lambda y: seated((30.0, y, 0.0), base=True, axis=(0, 1, 1)), 36 - 10 * math.sqrt(2) - 0.01,
     36 - 10 * math.sqrt(2) + 0.1, "tube seat 0 of wall 0"),
    # leaning away from it: nearest underneath
    ("leaning seat", lambda y: seated((30.0, y, 0.0), base=True, axis=(0, -1, 1)), 40 - 10 * math.sqrt(2) - 0.01,
     40 - 10 * math.sqrt(2) + 0.1, "tube seat 0 of wall 0"),
    # all but along the line: 0.45 nearer at its one end, 0.45 farther at its other
    ("lying seat", lambda y: seated((30.0, y, 0.0), base=True, axis=(1, 0.015, 0)), 29.53, 29.65,
     "tube seat 0 of wall 0"),
]  # fmt: skip


@pytest.mark.parametrize(("what", "make", "kept", "broken", "words"), REFUSED,
                         ids=[f"{row[0]}-{n}" for n, row in enumerate(REFUSED)])  # fmt: skip
def test_each_limit_is_kept_at_it_and_refused_past_it(
    what: str, make: Callable[[Any], Folded], kept: Any, broken: Any, words: str
) -> None:
    tree(make(kept))
    with pytest.raises(InputError, match=words) as caught:
        tree(make(broken))
    assert len(caught.value.problems) == 1, what


def test_a_line_that_ends_before_its_edge_does_is_on_it() -> None:
    tree(with_flange(start=(10.0, 40.0), end=(45.0, 40.0), wall=sheet(35, 30)))


def test_a_gap_is_found_where_the_two_are_nearest() -> None:
    """Lips 20 high, leaning in by 30 degrees on a base of 40: at their tips nearest, and in the middle between."""
    sides = (((0, 40), (60, 40)), ((60, 0), (0, 0)))
    leaning = folded(*(lip(a, b, t=T, length=28, inside_radius=R, angle=120) for a, b in sides))
    [pair] = [p for p in near(leaning, 40.0) if {p.first, p.second} == {"flange 1", "flange 2"}]
    nodes = tree(leaning).walls[1:]
    tips = [node.place.point((30.0, node.wall.outline.bounds[3], T)) for node in nodes]
    gap = math.dist(*tips)
    assert pair.gap == pytest.approx(gap, rel=0.02, abs=0.04)
    assert min(abs(pair.at[1] - tip[1]) for tip in tips) < 0.02 * gap


def test_pairs_come_nearest_first_and_walls_that_meet_at_a_bend_are_none() -> None:
    assert near(angle_bracket(), 1000.0) == ()
    found = near(channel(), 1000.0)
    gaps = [pair.gap for pair in found]
    assert gaps == sorted(gaps)
    # not: base with its bends and flanges, a flange with its own bend, the two bends of one base
    assert {frozenset((p.first, p.second)) for p in found} == {
        frozenset(("flange 1", "flange 2")),
        frozenset(("flange 1", "the bend to flange 2")),
        frozenset(("flange 2", "the bend to flange 1")),
    }


def test_a_flange_that_turns_down_is_as_far_from_its_neighbour_as_one_that_turns_up() -> None:
    """Two flanges at one corner, up and down alike: their inner edges stand 5 past it each way."""
    sides = (((0, 40), (60, 40)), ((60, 40), (60, 0)))
    for angle in (90.0, -90.0):
        piece = folded(*(lip(a, b, t=T, length=30, inside_radius=R, angle=angle) for a, b in sides))
        [pair] = [p for p in near(piece, 9.0) if {p.first, p.second} == {"flange 1", "flange 2"}]
        assert pair.gap == pytest.approx(math.hypot(5, 5), rel=0.02)
        assert near(piece, 7.0) == ()  # though each is within 5 of the other's box


def rolled(angle: float, *, turn: float) -> Folded:
    """Two flanges, 20 + 2 x 5 apart inside and 6 wide, and a short lip turned in on each by `turn` degrees."""
    sides = (((0, 20), (6, 20)), ((6, 0), (0, 0)))
    up = [lip(a, b, t=T, length=12, inside_radius=R, angle=angle) for a, b in sides]
    high = up[0].wall.outline.bounds[3]
    over = [
        lip((0, high), (6, high), parent=n, t=T, length=9.5, inside_radius=R, angle=math.copysign(turn, angle))
        for n in (1, 2)
    ]
    return folded(*up, *over, base=sheet(6, 20))


@pytest.mark.parametrize("angle", [90.0, -90.0])
def test_a_bend_is_as_near_as_what_is_bent_of_it_reaches(angle: float) -> None:
    """Turned in by 90 degrees each bend reaches 5 = r into the 30 between: 20 from bend to bend. Turned by 150 one
    reaches 5 + 9 sin 60, that point 9 / 2 over the edge of the other flange."""
    gaps = {(p.first, p.second): p.gap for p in near(rolled(angle, turn=90), 21.0)}
    assert gaps["the bend to flange 3", "the bend to flange 4"] == pytest.approx(20, rel=0.02)
    gaps = {(p.first, p.second): p.gap for p in near(rolled(angle, turn=150), 18.0)}
    assert gaps["flange 2", "the bend to flange 3"] == pytest.approx(
        math.hypot(25 - 9 * math.sin(math.pi / 3), 4.5), rel=0.02
    )


def test_a_slit_wall_is_judged_by_its_metal() -> None:
    ell = polygon(((0, 0), (60, 0), (60, 40), (40, 40), (40, 39.5), (0, 39.5)))
    with pytest.raises(InputError, match="not on a straight edge"):
        tree(folded(base=Wall(outline=ell)))


def test_a_flange_left_of_an_earlier_one_is_beside_it() -> None:
    one, two = (replace(FLANGE, start=(x, 40.0), end=(x + 30, 40.0), wall=sheet(30, 30)) for x in (30.0, 0.0))
    tree(folded(one, two))


@pytest.mark.parametrize("turned", [False, True])
def test_edges_that_meet_at_a_sharp_corner_share_no_stretch(turned: bool) -> None:
    """A triangle 80 by 60: its long side lies over its lower one, seen square to it, and yet only touches it."""
    base = Wall(outline=polygon(((0, 0), (80, 0), (0, 60))))
    lower = Flange(start=(80.0, 0.0), end=(0.0, 0.0), inside_radius=R, wall=sheet(80, 20))
    long = Flange(start=(0.0, 60.0), end=(80.0, 0.0), inside_radius=R, wall=sheet(100, 20))
    tree(folded(*((long, lower) if turned else (lower, long)), base=base))


def test_a_tube_beside_the_end_of_a_bend_line_does_not_reach_it() -> None:
    """r = 10 at 15 past the end of the line and 2 from where it would go on: 15.1 from its end."""
    seat = TubeSeat(at=(45.0, 38.0, 0.0), axis=(0, 0, 1), r=10.0, keep=(30.0, 5.0))
    base = Wall(outline=sheet(60, 40).outline, seats=(seat,))
    tree(folded(replace(FLANGE, end=(30.0, 40.0), wall=sheet(30, 30)), base=base))


def bent_every_way() -> Folded:
    """Flanges up and down, past square and short of it, one on another, and a wall 3 mm over the base."""
    one = lip((0, 40), (60, 40), t=T, length=30, inside_radius=R, angle=-120)
    two = lip((60, 0), (0, 0), t=T, length=34, inside_radius=8.0, angle=100)
    high = two.wall.outline.bounds[3]
    three = lip((0, high), (60, high), parent=2, t=T, length=24, inside_radius=R, angle=70)
    four = lip((60, 30), (60, 5), t=T, length=25, inside_radius=R, angle=-45)
    return folded(one, two, three, four)


def test_gaps_are_the_kernels_to_two_hundredths_of_themselves() -> None:
    """Every wall and bend as a solid of its own, each two of them that do not meet at a bend."""
    piece, within = bent_every_way(), 25.0
    whole = tree(piece)
    names = [f"flange {n}" if n else "the base" for n in range(len(whole.walls))]
    names += [f"the bend to flange {bend.number}" for bend in whole.bends]
    solids = dict(zip(names, unjoined(piece), strict=True))
    found = {(p.first, p.second): p.gap for p in near(piece, within)}
    assert len(found) > 3
    for pair, gap in found.items():
        true = solids[pair[0]].distance(solids[pair[1]])
        assert true - 0.01 <= gap <= 1.02 * true + 0.04, pair
    own = [(f"the bend to flange {bend.number}", (bend.number, bend.parent)) for bend in whole.bends]
    meeting = {frozenset((bend, names[n])) for bend, walls in own for n in walls}
    for pair in itertools.combinations(names, 2):
        if solids[pair[0]].distance(solids[pair[1]]) < 0.9 * within and frozenset(pair) not in meeting:
            assert pair in found or joint(piece, *pair), pair


def joint(piece: Folded, one: str, other: str) -> bool:
    """Whether two walls hang on one bend, or two bends on one wall."""
    whole = tree(piece)
    walls = {f"flange {n}" if n else "the base": n for n in range(len(whole.walls))}
    bends = {f"the bend to flange {b.number}": {b.number, b.parent} for b in whole.bends}
    if one in walls and other in walls:
        return {walls[one], walls[other]} in bends.values()
    return one in bends and other in bends and bool(bends[one] & bends[other])
