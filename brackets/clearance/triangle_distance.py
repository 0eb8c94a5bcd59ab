"""Distances of many flat triangles at once, in pairs: exact but for rounding. mm."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from brackets.clearance.places import Array, Bools, Ints

TINY = 1e-30


def apart(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Distance (k,), and the nearest points (k, 3) on triangle i of a (k, 3, 3) and on triangle i of b."""
    square, p, q = _sides(a, b)
    near = np.flatnonzero(_boxes_meet(a, b))
    for flipped, one, frame in ((False, a, _frame(b)), (True, b, _frame(a))):
        here, spot, foot = _corners(one, frame)
        nearer = here < square
        square = np.where(nearer, here, square)
        ours, theirs = (foot, spot) if flipped else (spot, foot)
        p, q = np.where(nearer[:, None], ours, p), np.where(nearer[:, None], theirs, q)
        if len(near):
            crossed, spot = _crossed(one[near], frame.some(near))
            met, spot = near[crossed], spot[crossed]
            square[met], p[met], q[met] = 0.0, spot, spot
    return np.sqrt(square), p, q


def _boxes_meet(a: Array, b: Array) -> Bools:
    """Whether the bounding boxes of two triangles meet."""
    (a_low, a_high), (b_low, b_high) = (
        (np.minimum(np.minimum(of[:, 0], of[:, 1]), of[:, 2]), np.maximum(np.maximum(of[:, 0], of[:, 1]), of[:, 2]))
        for of in (a, b)
    )
    return np.asarray(((a_low <= b_high) & (b_low <= a_high)).all(axis=1))


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(np.einsum("...i,...i->...", a, b))


def _least(square: Array, p: Array, q: Array) -> tuple[Array, Array, Array]:
    """The least of each row of (k, n), with its points."""
    each, which = np.arange(len(square)), square.argmin(axis=1)
    return square[each, which], p[each, which], q[each, which]


def _sides(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Square of the least distance between the sides of each pair: nine pairs of segments."""
    p, d = a[:, :, None], (a[:, (1, 2, 0)] - a)[:, :, None]
    q, e = b[:, None], (b[:, (1, 2, 0)] - b)[:, None]
    r = p - q
    dd, ee, de = np.maximum(_dot(d, d), TINY), np.maximum(_dot(e, e), TINY), _dot(d, e)
    dr, er = _dot(d, r), _dot(e, r)
    whole = dd * ee - de * de
    level = whole <= 1e-14 * dd * ee
    s = np.where(level, 0.0, (de * er - dr * ee) / np.where(level, 1.0, whole)).clip(0, 1)
    t = ((de * s + er) / ee).clip(0, 1)
    s = ((de * t - dr) / dd).clip(0, 1)
    ours, theirs = p + s[..., None] * d, q + t[..., None] * e
    away = ours - theirs
    k = len(a)
    return _least(_dot(away, away).reshape(k, 9), ours.reshape(k, 9, 3), theirs.reshape(k, 9, 3))


@dataclass(frozen=True, eq=False)
class _Frame:
    """A corner of triangles (k, 3, 3), two sides from it, their cross product, the square of its length, and
    whether the triangle has an area: one without has no inside, its sides decide."""

    corner: Array
    side: Array
    other: Array
    up: Array
    square: Array
    wide: Bools

    def some(self, which: Ints) -> _Frame:
        return _Frame(*(each[which] for each in vars(self).values()))


def _frame(of: Array) -> _Frame:
    side, other = of[:, 1] - of[:, 0], of[:, 2] - of[:, 0]
    up = _cross(side, other)
    square = _dot(up, up)
    wide = square > 1e-24 * _dot(side, side) * _dot(other, other)
    return _Frame(of[:, 0], side, other, up, np.maximum(square, TINY), wide)


def _cross(a: Array, b: Array) -> Array:
    """a x b of (..., 3): in half the time of np.cross, which first works out the shapes."""
    return np.stack([a[..., i] * b[..., j] - a[..., j] * b[..., i] for i, j in ((1, 2), (2, 0), (0, 1))], axis=-1)


def _within(spots: Array, of: _Frame) -> tuple[Bools, Array]:
    """Whether points (k, 3, 3) project onto the inside of k triangles, and their height times |up|."""
    up, square = of.up[:, None], of.square[:, None]
    off = spots - of.corner[:, None]
    u = _dot(_cross(off, of.other[:, None]), up) / square
    v = _dot(_cross(of.side[:, None], off), up) / square
    return (u >= 0) & (v >= 0) & (u + v <= 1), _dot(off, up)


def _corners(one: Array, frame: _Frame) -> tuple[Array, Array, Array]:
    """Square of the distance from the corners of one triangle to their projections inside the other."""
    inside, height = _within(one, frame)
    inside &= frame.wide[:, None]
    square = frame.square[:, None]
    foot = one - (height / square)[..., None] * frame.up[:, None]
    return _least(np.where(inside, height * height / square, np.inf), one, foot)


def _crossed(one: Array, frame: _Frame) -> tuple[Bools, Array]:
    """Whether a side of one triangle passes through the inside of the other, and where."""
    height = _dot(one - frame.corner[:, None], frame.up[:, None])
    ahead = height[:, (1, 2, 0)]
    through = (height * ahead <= 0) & (height != ahead) & frame.wide[:, None]
    share = np.where(through, height / np.where(through, height - ahead, 1.0), 0.0)
    spots = one + share[..., None] * (one[:, (1, 2, 0)] - one)
    inside, _ = _within(spots, frame)
    hit = through & inside
    return hit.any(axis=1), spots[np.arange(len(one)), hit.argmax(axis=1)]
