"""Holes from readings: coordinates, how well each is known, what each reading is off by, and which one is wrong.

Plan view square to the faces, out of the casting towards the reader: x along the first two holes, y to the left of
that, z towards the reader; mm. With datum edges, x and y are from the edges.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from brackets.core.errors import InputError
from brackets.survey.guesses import guesses
from brackets.survey.hand import Hand, problems, settled
from brackets.survey.model import Model, build
from brackets.survey.readings import DatumEdge, Floats, MeasuredHole, Reading, Survey, Suspect
from brackets.survey.search import Without, first_layout
from brackets.survey.shape import hold, loose, mirrors, most_help, spread
from brackets.survey.suspects import CHECKED, hunt, reliability, widened


def solve(
    readings: Sequence[Reading],
    holes: Sequence[MeasuredHole],
    *,
    edges: Sequence[DatumEdge] = (),
    space: bool = False,
    clockwise: Sequence[str] = (),
    anticlockwise: Sequence[str] = (),
    out: str = "",
    helper_pm: float | None = None,
) -> Survey:
    """Where the holes are by least squares, how well that is known, and which reading contradicts the rest.

    readings: between two holes, or an edge and a hole, each with its ±; holes: n of them;
    edges: datum edges that readings are taken from; space: the faces are not parallel,
    else they are, heights come from steps, and a hole without one is level with the first; clockwise,
    anticlockwise: names of three or more holes in the order they go round, looking at the casting (without either
    the pattern may be the mirror image, as distances cannot tell); out: in space, name of a hole that stands nearer
    than the plane of those three; helper_pm: ± of the further reading that is asked for, mm, None for the median of
    those given.

    Returns a Survey: coordinates (n, 3) float mm, covariance, residuals, suspect and more. Raises InputError with
    every wrong reading.

    >>> sides = {("A", "B"): 80, ("B", "C"): 60, ("A", "C"): 100}
    >>> readings = [Reading(between=pair, value=value) for pair, value in sides.items()]
    >>> found = solve(readings, [MeasuredHole(name=name) for name in "ABC"], anticlockwise=("A", "B", "C"))
    >>> found.coordinates[2].round(3).tolist()  # a right angle at B
    [80.0, 60.0, 0.0]
    """
    wrong = problems(readings, holes, edges, space=space) + _round(holes, clockwise, anticlockwise, out)
    if wrong:
        raise InputError(*wrong)
    model = build(readings, holes, edges, solid=space)
    keep = np.ones(model.rows, dtype=bool)
    found = hunt(model, first_layout(model, keep), keep)
    x, keep = found.fit.x, found.keep
    names = tuple(h.name for h in holes)
    side = Hand(names, tuple(clockwise or anticlockwise), bool(clockwise), out, space, any(model.step))
    x, flip, told, against = settled(model, found.fit, keep, side)
    held = hold(model, x, keep)
    checked = reliability(model, x, keep)
    spare = int(keep.sum()) - held.rank
    got, _ = model.predict(x)
    misfit = float(np.sqrt(found.fit.chi2 / spare)) if spare > 0 else float("nan")
    cov = spread(model, held.normal_inverse)
    if found.candidates:
        # what is not explained is somewhere in the coordinates: widen them by it
        cov = widened(model, x, keep, found.ways) if found.ways else cov * max(1.0, misfit) ** 2
    images = [] if held.free.size else mirrors(model, x, keep, found.fit.chi2)
    typical = helper_pm if helper_pm is not None else float(np.median([r.pm for r in readings]))
    aid = most_help(model, x, held, images, names, typical)
    points = model.points(x)
    sides = tuple(tuple(names[k] for k in _other_side(points, image)) for image in images)
    turned, matrix = _laid(points, flip, side, edged=bool(edges))
    block = np.kron(np.eye(len(holes)), matrix)
    m = len(readings)
    return Survey(
        names=names,
        coordinates=turned + 0.0,  # no -0.0
        covariance=block @ cov @ block.T,
        residuals=(model.value - got)[:m],
        suspect=Suspect(
            found.named,
            found.candidates,
            tuple(int(k) for k in np.flatnonzero((checked.redundancy <= CHECKED) & keep)),
            tuple(_guessed(i, readings, holes, model, found.ways) for i in found.named),
            tuple(_guessed(i, readings, holes, model, found.ways) for i in found.candidates),
            found.at_least,
        ),
        diameters=tuple(
            float(d) if h.d is not None else None for h, d in zip(holes, model.diameters(x), strict=True)
        ),
        redundancy=checked.redundancy[:m],
        nameable=checked.nameable[:m],
        spare=spare,
        misfit=misfit,
        loose=tuple(names[k] for k in loose(model, held.free)),
        mirrors=sides,
        handed=told,
        against=against,
        help=aid,
    )


def _guessed(
    i: int, readings: Sequence[Reading], holes: Sequence[MeasuredHole], model: Model, ways: Sequence[Without]
) -> tuple[str, ...]:
    """What explains reading i as the rest have it, in the best of the ways that leave it out."""
    way = next((way for way in ways if i in way.out), None)
    if i >= len(readings) or way is None:
        return ()
    x, rest = way.fit.x, np.ones(model.rows, dtype=bool)
    rest[list(way.out)] = False
    inverse = hold(model, x, rest).normal_inverse
    got, jac = model.predict(x)
    sigma = float(np.sqrt(model.sigma[i] ** 2 + jac[i] @ inverse @ jac[i]))
    reading, by_name = readings[i], {h.name: h for h in holes}
    blank = MeasuredHole(name="")
    pair = (by_name.get(reading.between[0], blank), by_name.get(reading.between[1], blank))
    others = []
    if reading.how != "step" and reading.between[0] in by_name:
        points, d = model.points(x), model.diameters(x)
        sign = {"outside": 0.5, "inside": -0.5}.get(reading.how, 0.0)
        for a in range(len(holes)):
            for b in range(a + 1, len(holes)):
                if {holes[a].name, holes[b].name} != set(reading.between):
                    there = float(np.linalg.norm(points[a] - points[b])) + sign * float(d[a] + d[b])
                    others.append((f"{holes[a].name} {holes[b].name}", there))
    return guesses(reading, pair, got=float(got[i]), sigma=sigma, others=others)


def _round(
    holes: Sequence[MeasuredHole], clockwise: Sequence[str], anticlockwise: Sequence[str], out: str
) -> list[str]:
    wrong, names = [], {h.name for h in holes}
    if clockwise and anticlockwise:
        wrong.append("clockwise = given with anticlockwise, must be one of the two")
    for word, order in (("clockwise", clockwise), ("anticlockwise", anticlockwise)):
        wrong += [f'{word} = "{n}", must be names of holes' for n in order if n not in names]
        if order and len(set(order)) < 3:
            wrong.append(f"{word} = {len(set(order))} holes, must be at least three in the order they go round")
    if out and (out not in names or not (clockwise or anticlockwise)):
        wrong.append(f'out = "{out}", must be a hole, with clockwise or anticlockwise saying which way the rest go')
    return wrong


def _laid(points: Floats, flip: bool, hand: Hand, *, edged: bool) -> tuple[Floats, Floats]:
    """Coordinates with the first hole at the origin and the second along +x, and the matrix that turned them.

    In space z is towards the reader where it is known which way round the holes go, else such that the hole
    furthest from the line of the first two has y above 0.
    """
    mirror = np.diag([1.0, -1.0, 1.0]) if flip else np.eye(3)
    q = points @ mirror
    if edged:
        return q, mirror
    q = q - q[0]
    way = q[1] / np.linalg.norm(q[1])
    if not hand.space:
        way = np.array([q[1, 0], q[1, 1], 0.0]) / np.hypot(q[1, 0], q[1, 1])
        matrix = np.array([[way[0], way[1], 0.0], [-way[1], way[0], 0.0], [0.0, 0.0, 1.0]])
        return q @ matrix.T, matrix @ mirror
    towards = hand.towards(q)
    if towards is not None:
        towards = towards - (towards @ way) * way
        if np.linalg.norm(towards) > 1e-9:
            towards /= np.linalg.norm(towards)
            matrix = np.array([way, np.cross(towards, way), towards])
            return q @ matrix.T, matrix @ mirror
    far = q - np.outer(q @ way, way)
    third = far[int(np.linalg.norm(far, axis=1).argmax())]
    side = np.array([0.0, 0.0, 1.0]) if np.linalg.norm(third) < 1e-9 else third / np.linalg.norm(third)
    if abs(side @ way) > 0.9:
        side = np.array([0.0, 1.0, 0.0])
    side = side - (side @ way) * way
    side /= np.linalg.norm(side)
    matrix = np.array([way, side, np.cross(way, side)])
    return q @ matrix.T, matrix @ mirror


def _other_side(points: Floats, image: Floats) -> list[int]:
    """The fewest holes that must be moved to turn one lay-out into the other."""
    n = len(points)
    apart = np.abs(
        np.linalg.norm(points[:, None] - points[None], axis=-1)
        - np.linalg.norm(image[:, None] - image[None], axis=-1)
    )
    moved = apart > max(1.0, 0.25 * float(apart.max()))
    out: list[int] = []
    while moved.any() and len(out) < n:
        k = int(moved.sum(axis=1).argmax())
        out.append(k)
        moved[k, :] = moved[:, k] = False
    return sorted(out)
