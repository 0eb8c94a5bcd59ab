"""Holes from readings: coordinates, how well each is known, what each reading is off by, and which one is wrong.

Plan view square to the faces, out of the casting towards the reader: x along the first two holes, y to the left of
that, z towards the reader; mm. With datum edges, x and y are from the edges.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from brackets.bosses.check import problems
from brackets.bosses.fit import fit
from brackets.bosses.guess import guesses
from brackets.bosses.model import Model, build
from brackets.bosses.record import Edge, Floats, Hole, Reading, Survey, Suspect
from brackets.bosses.shape import hold, loose, mirrors, most_help, spread
from brackets.bosses.start import built_up, onto_edges, rough
from brackets.bosses.suspects import CHECKED, Hunt, hunt, reliability
from brackets.errors import OutOfRange

DOUBT = 3.0  # chi square per row above which a first fit may be bent by a mistake
AGAIN = 16  # further lay-outs tried when the first does not fit
ROUGHLY = 0.15  # share of the pattern's size those are stirred by in space


def solve(
    readings: Sequence[Reading],
    holes: Sequence[Hole],
    *,
    edges: Sequence[Edge] = (),
    space: bool = False,
    clockwise: Sequence[str] = (),
    anticlockwise: Sequence[str] = (),
    out: str = "",
    helper_pm: float | None = None,
) -> Survey:
    """Coordinates (n, 3) float mm, covariance, residuals and suspect, and what else the readings say.

    Faces are parallel unless `space`; heights come from steps, and a hole without one is level with the first.
    `clockwise` or `anticlockwise`: three or more holes in the order they go round, looking at the casting; without
    it the pattern may be the mirror image, as distances cannot tell. In space `out` names a hole that stands
    nearer than the plane of those three. `helper_pm` is the ± of the further reading asked for (default: the
    median of those given). Raises OutOfRange with every wrong reading.
    """
    wrong = problems(readings, holes, edges, space=space) + _round(holes, clockwise, anticlockwise, out)
    if wrong:
        raise OutOfRange(*wrong)
    model = build(readings, holes, edges, solid=space)
    keep = np.ones(model.rows, dtype=bool)
    x, bent = _first(model, keep)
    x = _heavy(model, x, keep) if bent else x
    spare = model.rows - hold(model, x, keep).rank
    found = Hunt(fit(model, x, keep), keep, (), ())
    if spare > 0:
        found = hunt(model, x, keep, max(1, spare // 3))
    x, keep = found.fit.x, found.keep
    held = hold(model, x, keep)
    names = tuple(h.name for h in holes)
    checked = reliability(model, x, keep)
    spare = int(keep.sum()) - held.rank
    got, _ = model.predict(x)
    misfit = float(np.sqrt(found.fit.chi2 / spare)) if spare > 0 else float("nan")
    # a contradiction that cannot be pinned down is somewhere in the coordinates: widen them by it
    wider = max(1.0, misfit) if found.candidates else 1.0
    cov = spread(model, held.normal_inverse) * wider**2
    images = [] if held.free.size else mirrors(model, x, keep, found.fit.chi2)
    typical = helper_pm if helper_pm is not None else float(np.median([r.pm for r in readings]))
    aid = most_help(model, x, held, images, names, typical)
    points = model.points(x)
    flip = _flip(points, names, clockwise, anticlockwise, out, space=space)
    sides = tuple(tuple(names[k] for k in _other_side(points, image)) for image in images)
    turned, matrix = _laid(points, flip, edged=bool(edges), space=space)
    block = np.kron(np.eye(len(holes)), matrix)
    m = len(readings)
    return Survey(
        names=names,
        coordinates=turned,
        covariance=block @ cov @ block.T,
        residuals=(model.value - got)[:m],
        suspect=Suspect(
            found.named,
            found.candidates,
            tuple(int(k) for k in np.flatnonzero((checked.redundancy <= CHECKED) & keep)),
            tuple(_guessed(i, readings, holes, model, x, held.normal_inverse) for i in found.named),
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
        handed=bool(clockwise or anticlockwise) or _edges_tell(edges),
        help=aid,
    )


def _first(model: Model, keep: NDArray[np.bool_]) -> tuple[Floats, bool]:
    """Unknowns of the best first fit, and whether it is bad enough that some reading may have bent it."""
    best = min((fit(model, s, keep) for s in _starts(model, keep, 0)), key=lambda f: f.chi2)
    return best.x, best.chi2 > DOUBT * model.rows


def _heavy(model: Model, x: Floats, keep: NDArray[np.bool_]) -> Floats:
    """The lay-out most readings agree on, begun afresh in many ways as one reading may be far out."""
    starts = [x, *_starts(model, keep, AGAIN)]
    return min((fit(model, s, keep, heavy=True) for s in starts), key=lambda f: f.chi2).x


def _starts(model: Model, keep: NDArray[np.bool_], more: int) -> list[Floats]:
    """Unknowns to begin from: the scaled distances, and `more` lay-outs made another way each."""
    rng = np.random.default_rng(0)
    flat = [rough(model, keep)]
    for _ in range(more):
        if model.solid:
            size = max(float(np.ptp(flat[0])), 1.0)
            flat.append(flat[0] + rng.normal(0.0, ROUGHLY * size, flat[0].shape))
        else:
            flat.append(built_up(model, keep, rng))
    return [model.start(q) for f in flat for q in onto_edges(model, f, keep)]


def _guessed(
    i: int, readings: Sequence[Reading], holes: Sequence[Hole], model: Model, x: Floats, inverse: Floats
) -> tuple[str, ...]:
    if i >= len(readings):
        return ()
    got, jac = model.predict(x)
    sigma = float(np.sqrt(model.sigma[i] ** 2 + jac[i] @ inverse @ jac[i]))
    reading, by_name = readings[i], {h.name: h for h in holes}
    blank = Hole(name="")
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


def _round(holes: Sequence[Hole], clockwise: Sequence[str], anticlockwise: Sequence[str], out: str) -> list[str]:
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


def _flip(
    points: Floats,
    names: tuple[str, ...],
    clockwise: Sequence[str],
    anticlockwise: Sequence[str],
    out: str,
    *,
    space: bool,
) -> bool:
    """Whether the lay-out found is the mirror image of the one seen."""
    order = [names.index(n) for n in (clockwise or anticlockwise)]
    if not order:
        return False
    p = points[order]
    after = np.roll(p, -1, axis=0)
    normal = np.cross(p, after).sum(axis=0)
    if not space:
        return bool((normal[2] > 0) == bool(clockwise))
    if not out:
        return False
    # looking from `out`'s side the three must go round as said
    towards = float((points[names.index(out)] - p.mean(axis=0)) @ normal)
    return bool((towards > 0) == bool(clockwise))


def _laid(points: Floats, flip: bool, *, edged: bool, space: bool) -> tuple[Floats, Floats]:
    """Coordinates with the first hole at the origin and the second along +x, and the matrix that turned them."""
    mirror = np.diag([1.0, -1.0, 1.0]) if flip else np.eye(3)
    q = points @ mirror
    if edged:
        return q, mirror
    q = q - q[0]
    way = q[1] / np.linalg.norm(q[1])
    if not space:
        way = np.array([q[1, 0], q[1, 1], 0.0]) / np.hypot(q[1, 0], q[1, 1])
        matrix = np.array([[way[0], way[1], 0.0], [-way[1], way[0], 0.0], [0.0, 0.0, 1.0]])
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


def _edges_tell(edges: Sequence[Edge]) -> bool:
    return {e.axis for e in edges} == {"x", "y"}
