"""Distances of many flat triangles at once, in pairs: exact but for rounding. mm."""

from __future__ import annotations

import numpy as np

from brackets.clearance.places import Array, Bools

TINY = 1e-30


def apart(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Distance (k,), and the nearest points (k, 3) on triangle i of a (k, 3, 3) and on triangle i of b."""
    square, p, q = _sides(a, b)
    for flipped, one, other in ((False, a, b), (True, b, a)):
        here, spot, foot = _corners(one, other)
        nearer = here < square
        square = np.where(nearer, here, square)
        ours, theirs = (foot, spot) if flipped else (spot, foot)
        p, q = np.where(nearer[:, None], ours, p), np.where(nearer[:, None], theirs, q)
        crossed, spot = _crossed(one, other)
        square = np.where(crossed, 0.0, square)
        p, q = np.where(crossed[:, None], spot, p), np.where(crossed[:, None], spot, q)
    return np.sqrt(square), p, q


def _dot(a: Array, b: Array) -> Array:
    return np.asarray(np.einsum("...i,...i->...", a, b))


def _least(square: Array, p: Array, q: Array) -> tuple[Array, Array, Array]:
    """The least of each row of (k, n), with its points."""
    each, which = np.arange(len(square)), square.argmin(axis=1)
    return square[each, which], p[each, which], q[each, which]


def _sides(a: Array, b: Array) -> tuple[Array, Array, Array]:
    """Square of the distance between the sides of each pair: nine pairs of straight pieces."""
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


def _frame(of: Array) -> tuple[Array, Array, Array, Array, Bools]:
    """Two sides, what is square to both, the square of its length, and whether there is an area to speak of: a
    triangle without one has no inside, its sides tell."""
    side, other = of[:, 1] - of[:, 0], of[:, 2] - of[:, 0]
    up = np.cross(side, other)
    square = _dot(up, up)
    return side, other, up, np.maximum(square, TINY), square > 1e-24 * _dot(side, side) * _dot(other, other)


def _within(spots: Array, of: Array) -> tuple[Bools, Array]:
    """Whether points (k, 3, 3) stand over the inside of triangles of (k, 3, 3), and their height times |up|."""
    side, other, up, square, _ = _frame(of)
    off = spots - of[:, None, 0]
    u = _dot(np.cross(off, other[:, None]), up[:, None]) / square[:, None]
    v = _dot(np.cross(side[:, None], off), up[:, None]) / square[:, None]
    return (u >= 0) & (v >= 0) & (u + v <= 1), _dot(off, up[:, None])


def _corners(one: Array, other: Array) -> tuple[Array, Array, Array]:
    """Square of the distance from the corners of one triangle straight down on the inside of the other."""
    inside, height = _within(one, other)
    _, _, up, square, wide = _frame(other)
    inside &= wide[:, None]
    foot = one - (height / square[:, None])[..., None] * up[:, None]
    return _least(np.where(inside, height * height / square[:, None], np.inf), one, foot)


def _crossed(one: Array, other: Array) -> tuple[Bools, Array]:
    """Whether a side of one triangle goes through the inside of the other, and where."""
    _, _, up, _, wide = _frame(other)
    height = _dot(one - other[:, None, 0], up[:, None])
    ahead = height[:, (1, 2, 0)]
    through = (height * ahead <= 0) & (height != ahead) & wide[:, None]
    share = np.where(through, height / np.where(through, height - ahead, 1.0), 0.0)
    spots = one + share[..., None] * (one[:, (1, 2, 0)] - one)
    inside, _ = _within(spots, other)
    hit = through & inside
    return hit.any(axis=1), spots[np.arange(len(one)), hit.argmax(axis=1)]
