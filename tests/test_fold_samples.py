"""Folded pieces that the other fold tests use, and that they are what they say. All sizes invented."""

from __future__ import annotations

import random

from brackets.core.errors import InputError
from brackets.forming.flanges import joggle, lip
from brackets.forming.flat_pattern import blank_of
from brackets.geometry.shapes import polygon
from brackets.model.bend_allowance import setback
from brackets.model.holes import Hole, Slot, Window
from brackets.model.plate import Flange, Folded, Relief, TubeSeat, Wall

T, R = 4.0, 5.0


def sheet(w: float, h: float, *openings: Hole | Slot | Window, corner: float = 0.0) -> Wall:
    corners = ((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))
    return Wall(outline=polygon(corners, radii=(0.0, 0.0, corner, corner)), openings=openings)


def angle_bracket(angle: float = 90.0) -> Folded:
    """Legs 50 and 40 outside, 60 wide."""
    back = setback(angle, R, T)
    base = sheet(60, 50 - back)
    return Folded(
        name="L",
        base=base,
        t=T,
        flanges=(lip((0, 50 - back), (60, 50 - back), t=T, length=40, inside_radius=R, angle=angle),),
    )


def channel(angle: float = 90.0) -> Folded:
    """Ears with a hole each, their free ends rounded, 60 between them outside."""
    w = 60 - 2 * setback(angle, R, T)
    hole = Hole(at=(20, 25), d=12.5, kind="pivot")
    legs = [((w, 40.0), (w, 0.0)), ((0.0, 0.0), (0.0, 40.0))]
    return Folded(
        name="U",
        base=sheet(w, 40),
        t=T,
        flanges=tuple(
            lip(a, b, t=T, length=50, inside_radius=R, angle=angle, corner=18, openings=(hole,)) for a, b in legs
        ),
    )


def turned_channel() -> Folded:
    """A C: flanges on flanges, both ways."""
    one = lip((0, 50), (80, 50), t=T, length=35, inside_radius=R, angle=-90)
    two = lip((80, 0), (0, 0), t=T, length=35, inside_radius=R, angle=-90)
    tall = 35 - setback(90, R, T)
    return Folded(
        name="C",
        base=sheet(80, 50, Slot(a=(20, 25), b=(60, 25), d=11)),
        t=T,
        flanges=(
            one,
            two,
            lip((0, tall), (80, tall), parent=1, t=T, length=25, inside_radius=R, angle=-90, chamfer=6),
            lip((0, tall), (80, tall), parent=2, t=T, length=22, inside_radius=R, angle=60, corner=6),
        ),
    )


def offset_strap(offset: float = 12.0) -> Folded:
    return Folded(
        name="joggle",
        base=sheet(50, 40, Hole(at=(25, 15), d=10)),
        t=T,
        flanges=joggle(
            (0, 40),
            (50, 40),
            number=1,
            t=T,
            offset=offset,
            inside_radius=R,
            angle=50,
            beyond=sheet(50, 40, Hole(at=(25, 25), d=10), corner=10),
        ),
    )


def tray() -> Folded:
    """Four sides with round reliefs in the corners, slots over a bend and a hole inside another."""
    w, h = 120.0, 80.0
    over = Slot(a=(40, 8), b=(40, -16), d=10)
    inside = Hole(at=(30, -4.5), d=5, kind="drain")
    corners = [(w, 0.0), (0.0, 0.0), (0.0, h), (w, h)]
    openings = [(over, over.shifted(40)), (), (inside,), ()]
    return Folded(
        name="tray",
        base=sheet(w, h, Hole(at=(60, 40), d=30, kind="drain")),
        t=T,
        flanges=tuple(
            lip(a, b, t=T, length=30, inside_radius=R, openings=o, relief=Relief(kind="round", width=12))
            for a, b, o in zip(corners, (*corners[1:], corners[0]), openings, strict=True)
        ),
    )


def cut_to_tube(lean: float = 0.12) -> Folded:
    """A channel whose ears end on a round tube that leans."""
    w = 52.5
    seats = (
        TubeSeat(at=(20.0, 75.0, 0.0), axis=(lean, 0.0, 1.0), r=21.0, keep=(20.0, 8.0)),
        TubeSeat(at=(20.0, 75.0, 0.0), axis=(lean, -lean, 1.0), r=21.0, keep=(20.0, 8.0)),
    )
    ear = polygon(((0, 0), (40, 0), (40, 70), (0, 70)))
    hole = Hole(at=(20.0, 25.0), d=12.5, kind="pivot")
    walls = [Wall(outline=ear, openings=(hole,), seats=(seat,)) for seat in seats]
    return Folded(
        name="ears",
        base=sheet(w, 40),
        t=6.0,
        flanges=(
            Flange(start=(w, 40), end=(w, 0), inside_radius=8, wall=walls[0]),
            Flange(start=(0, 0), end=(0, 40), inside_radius=8, wall=walls[1]),
        ),
    )


def random_tree(seed: int) -> Folded:
    """Up to six flanges on flanges, of any angle either way, with holes, cuts over bends and reliefs.

    Its walls may run into each other on the flat or once folded: nobody has looked.
    """
    rng = random.Random(seed)
    t = rng.uniform(1.0, 8.0)
    k = rng.choice([None, None, rng.uniform(0.3, 0.5)])
    base = sheet(rng.uniform(40, 120), rng.uniform(40, 120), corner=0.0)
    flanges: list[Flange] = []
    free: list[tuple[int, tuple[tuple[float, float], tuple[float, float]]]] = []

    def edges(number: int, wall: Wall) -> None:
        x0, y0, x1, y1 = wall.outline.bounds
        runs = [((x0, y1), (x1, y1)), ((x0, y0), (x0, y1)), ((x1, y1), (x1, y0)), ((x1, y0), (x0, y0))]
        free.extend((number, run) for run in (runs if number == 0 else runs[:3]))

    edges(0, base)
    for number in range(1, rng.randint(1, 6) + 1):
        parent, (a, b) = free.pop(rng.randrange(len(free)))
        lo, hi = rng.uniform(0.05, 0.3), rng.uniform(0.7, 0.95)
        start, end = (tuple(p + f * (q - p) for p, q in zip(a, b, strict=True)) for f in (lo, hi))
        wide = max(abs(start[0] - end[0]), abs(start[1] - end[1]))
        tall = rng.uniform(8, 60)
        openings: list[Hole | Slot | Window] = []
        r = min(wide, tall) * rng.uniform(0.1, 0.3)
        openings += [Hole(at=(wide / 2, tall / 2), d=2 * r, kind="drain")] if rng.random() < 0.5 else []
        if rng.random() < 0.4:
            x, d = wide * rng.uniform(0.2, 0.8), wide * rng.uniform(0.05, 0.15)
            openings.append(Slot(a=(x, 0.05 * tall), b=(x + d / 3, -rng.uniform(1, 30)), d=d))
        if rng.random() < 0.3:
            openings.append(Hole(at=(wide * 0.1, -rng.uniform(0, 10)), d=wide * 0.08, kind="drain"))
        kind = rng.choice(["rect", "obround", "round"])
        relief = Relief(kind=kind, width=rng.uniform(1, 4), depth=rng.uniform(2, 4))  # type: ignore[arg-type]
        wall = sheet(wide, tall, *openings)
        flanges.append(
            Flange(
                parent=parent,
                start=start,  # type: ignore[arg-type]
                end=end,  # type: ignore[arg-type]
                angle=rng.choice([90.0, -90.0, rng.uniform(5, 150), rng.uniform(-150, -5)]),
                inside_radius=t * rng.uniform(0.6, 3),
                wall=wall,
                relief=relief if rng.random() < 0.5 else None,
            )
        )
        edges(number, wall)
    return Folded(name=f"tree {seed}", base=base, t=t, k=k, flanges=tuple(flanges))


def unfoldable(count: int, *, first: int = 0) -> list[Folded]:
    """The first `count` random trees whose blank does not overlap itself."""
    found: list[Folded] = []
    seed = first
    while len(found) < count:
        tree = random_tree(seed)
        seed += 1
        try:
            blank_of(tree)
        except InputError:
            continue
        found.append(tree)
    return found


def test_the_samples_are_what_they_say() -> None:
    assert [len(p.flanges) for p in (angle_bracket(), channel(), turned_channel(), tray())] == [1, 2, 4, 4]
    assert offset_strap().flanges[0].angle == -offset_strap().flanges[1].angle
