"""Random plates and turned pieces for the tests of mass, solids and files."""

from __future__ import annotations

import math
import random

from brackets.core.place import Place
from brackets.geometry.curve import Outline
from brackets.geometry.shapes import chamfered, rectangle, round_hull
from brackets.model.holes import Hole, Opening, Slot, Window
from brackets.model.plate import Plate, TubeSeat, Wall
from brackets.model.tube import Step, Turned


def place(seed: random.Random) -> Place:
    """Anywhere within 100 mm, turned any way."""
    at, axis, up = (tuple(seed.uniform(-1, 1) for _ in range(3)) for _ in range(3))
    return Place((100 * at[0], 100 * at[1], 100 * at[2]), axis, up)


def plate(seed: random.Random, *, seats: int = 0) -> Plate:
    """A plate about 60 to 140 mm across with openings above, and edges cut to tubes below and above it."""
    w, h = seed.uniform(60, 140), seed.uniform(70, 140)
    outline = _outline(seed, w, h)
    x = seed.uniform(-5, 5)
    openings: tuple[Opening, ...] = (
        Hole(at=(x, 0), d=seed.uniform(5, 14)),
        Slot(a=(x - 15, -3), b=(x - 12, 4), d=seed.uniform(4, 9)),
        Window(outline=rectangle(6, 8, centre=(x + 16, 0), radius=seed.choice((0.0, 2.0)))),
    )[: seed.randint(0, 3)]
    seat = (_seat(seed, -h / 2, 1.0), _seat(seed, h / 2, -1.0))[:seats]
    wall = Wall(outline=outline, openings=openings, seats=seat)
    return Plate(name="plate", wall=wall, t=seed.uniform(3, 12), place=place(seed))


def _outline(seed: random.Random, w: float, h: float) -> Outline:
    kind = seed.randint(0, 2)
    if kind == 0:
        return rectangle(w, h, radius=seed.choice((0.0, 4.0, 15.0)))
    if kind == 1:
        corners = ((-w / 2, -h / 2), (w / 2, -h / 2), (w / 2, h / 2), (-w / 3, h / 2))
        return chamfered(corners, seed.uniform(1, 12))
    return round_hull([(-w / 4, -h / 2 + 12, 12), (w / 3, -h / 2 + 20, 15), (0, h / 2 - 25, 25)])


def _seat(seed: random.Random, y: float, towards: float) -> TubeSeat:
    lean, turn = seed.uniform(0, math.radians(40)), seed.uniform(0, math.tau)
    axis = (math.sin(lean) * math.cos(turn), math.sin(lean) * math.sin(turn), math.cos(lean))
    r = seed.uniform(10, 25)
    at = (seed.uniform(-8, 8), y - towards * (r - seed.uniform(6, 12)), seed.uniform(-3, 3))
    return TubeSeat(at=at, axis=axis, r=r, keep=(0.0, towards * 14))


def turned(seed: random.Random) -> Turned:
    """A turned piece of one to four steps that hang together."""
    steps = []
    for _ in range(seed.randint(1, 4)):
        od = seed.uniform(22, 60)
        steps.append(Step(length=seed.uniform(2, 40), od=od, bore=seed.choice((0.0, seed.uniform(5, 20)))))
    return Turned(name="turned", steps=tuple(steps), place=place(seed))
