"""Lines of fillet weld in space, straight and round, and what a force and a moment do to a group of them.

N, N mm, mm, MPa. A group is treated as lines with the throat as their width: every piece of weld gives alike in
every direction, the parts move as rigid bodies. So the stress vector at a point of the weld is F/A + turn x (r -
centre): evenly spread force, and moment by distance. Contact of the plates carries nothing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from brackets.core.errors import InputError, OutOfRange
from brackets.hold.check import Array

MEETS = 1e-6
"""mm within which two ends of lines are one: they are typed or worked out to better."""
STEP = 1.0
"""Degrees between the points of an arc where stress is looked at: the largest is at most 3e-4 of itself more."""
HELD = 1e-9
"""Of the group's largest resistance to turning: a line has less than that about its own length."""


def _vectors(name: str, value: Any) -> Array:
    try:
        read = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        read = np.array(np.nan)
    if read.shape[-1:] != (3,) or not np.isfinite(read).all():
        raise InputError(f"{name} = {value!r}, must be three finite numbers, or rows of three: line of weld")
    return read


def _throat(value: Any) -> Array:
    read = np.asarray(value, dtype=np.float64)
    if not (np.isfinite(read) & (read > 0)).all():
        raise OutOfRange(f"throat = {value} mm, must be over 0 mm and finite: line of weld")
    return read


def _length(of: Array) -> Array:
    return np.asarray(np.sqrt((of * of).sum(axis=-1)))


@dataclass(frozen=True, eq=False, init=False)
class WeldSegment:
    """A straight fillet from `start` to `end`, (3,) mm or rows of three, with a `throat`, mm or a figure a row.

    across: (3,), across the throat, from the weld's root to the middle of its face, None where it is not known:
    then all that pulls across the weld is counted as shear in the throat, which is never less.
    Raises InputError with everything that is wrong.
    """

    start: Array
    end: Array
    throat: Array
    across: Array | None

    def __init__(self, start: Any, end: Any, throat: Any, across: Any = None) -> None:
        object.__setattr__(self, "start", _vectors("start", start))
        object.__setattr__(self, "end", _vectors("end", end))
        object.__setattr__(self, "throat", _throat(throat))
        object.__setattr__(self, "across", None if across is None else _vectors("across", across))
        if not (_length(self.end - self.start) > MEETS).all():
            raise OutOfRange("end, must lie off start by more than 0 mm: line of weld")

    @cached_property
    def length(self) -> Array:
        """mm."""
        return _length(self.end - self.start)

    @property
    def ends(self) -> tuple[Array, Array]:
        return self.start, self.end

    def integrals(self) -> tuple[Array, Array, Array]:
        """Length mm, first moments (3,) mm2 and second moments (3, 3) mm3 of the line about the origin."""
        middle, along = (self.start + self.end) / 2, self.end - self.start
        second = _outer(middle, middle) + _outer(along, along) / 12
        return self.length, self.length[..., None] * middle, self.length[..., None, None] * second

    def points(self) -> tuple[Array, Array, Array | None]:
        """Its ends (2, ..., 3), where stress is largest; directions along the weld and across the throat there."""
        along = (self.end - self.start) / self.length[..., None]
        at = np.stack(np.broadcast_arrays(self.start, self.end))
        across = None
        if self.across is not None:
            square = self.across - (self.across * along).sum(axis=-1)[..., None] * along
            size = _length(square)
            if not (size > MEETS).all():
                raise OutOfRange("across, must not lie along the weld: line of weld")
            across = np.broadcast_to(square / size[..., None], at.shape)
        return at, np.broadcast_to(along, at.shape), across


@dataclass(frozen=True, eq=False, init=False)
class WeldArc:
    """A round fillet about `centre` (3,) mm: from `start` (3,) mm by `sweep` degrees about `axis` (3,).

    throat: mm. side: "outside" where the weld lies round what is welded on and the axis points out of the face it
    is welded to, "inside" where it lies in the bore, "unknown" for neither: then all that pulls across the weld is
    counted as shear in the throat, which is never less.
    Raises InputError with everything that is wrong.
    """

    centre: Array
    axis: Array
    start: Array
    sweep: float
    throat: Array
    side: str

    def __init__(
        self, centre: Any, axis: Any, start: Any, throat: Any, sweep: float = 360.0, side: str = "unknown"
    ) -> None:
        object.__setattr__(self, "centre", _vectors("centre", centre))
        direction = _vectors("axis", axis)
        size = _length(direction)
        object.__setattr__(self, "start", _vectors("start", start))
        object.__setattr__(self, "sweep", float(sweep))
        object.__setattr__(self, "throat", _throat(throat))
        object.__setattr__(self, "side", side)
        wrong = []
        if side not in ("outside", "inside", "unknown"):
            wrong.append(f"side = {side}, must be outside, inside or unknown: round weld")
        if not 0 < self.sweep <= 360:
            wrong.append(f"sweep = {sweep:g} deg, must be over 0 and at most 360 deg: round weld")
        if not (size > 0).all():
            wrong.append("axis, must not be 0 0 0: round weld")
        else:
            object.__setattr__(self, "axis", direction / size[..., None])
            arm = self.start - self.centre
            if (np.abs((arm * self.axis).sum(axis=-1)) > MEETS).any() or not (_length(arm) > MEETS).all():
                wrong.append("start, must lie off the axis, square to it from the centre: round weld")
        if wrong:
            raise OutOfRange(*wrong)

    @property
    def radius(self) -> Array:
        """mm."""
        return _length(self.start - self.centre)

    @property
    def length(self) -> Array:
        """mm along the arc."""
        return np.asarray(self.radius * np.radians(self.sweep))

    @property
    def ends(self) -> tuple[Array, Array]:
        first, last = self._at(np.zeros(1)), self._at(np.radians([self.sweep]))
        return first[0], (self.start if self.sweep == 360 else last[0])

    def _frame(self) -> tuple[Array, Array]:
        arm = self.start - self.centre
        return arm, np.cross(self.axis, arm)

    def _at(self, turn: Array) -> Array:
        arm, beside = self._frame()
        cos, sin = (f(turn).reshape(-1, *[1] * arm.ndim) for f in (np.cos, np.sin))
        return np.asarray(self.centre + cos * arm + sin * beside)

    def integrals(self) -> tuple[Array, Array, Array]:
        """Length mm, first moments (3,) mm2 and second moments (3, 3) mm3 of the line about the origin."""
        arm, beside = self._frame()
        turn = np.radians(self.sweep)
        s, c, s2, c2 = np.sin(turn), np.cos(turn), np.sin(2 * turn), np.cos(2 * turn)
        r = self.radius
        mean = r[..., None] * (s * arm + (1 - c) * beside)
        own = (turn / 2 + s2 / 4) * _outer(arm, arm) + (turn / 2 - s2 / 4) * _outer(beside, beside)
        own = own + (1 - c2) / 4 * (_outer(arm, beside) + _outer(beside, arm))
        mixed = _outer(self.centre, mean)
        second = self.length[..., None, None] * _outer(self.centre, self.centre) + mixed
        second = second + np.swapaxes(mixed, -1, -2) + r[..., None, None] * own
        return self.length, self.length[..., None] * self.centre + mean, second

    def points(self) -> tuple[Array, Array, Array | None]:
        """Points (n, ..., 3) a degree apart, both ends among them; directions along and across the throat there."""
        turn = np.radians(np.linspace(0.0, self.sweep, 1 + int(np.ceil(self.sweep / STEP))))
        at = self._at(turn)
        out = (at - self.centre) / self.radius[..., None]
        along = np.cross(np.broadcast_to(self.axis, out.shape), out)
        if self.side == "unknown":
            return at, along, None
        out = out if self.side == "outside" else -out
        return at, along, (out + self.axis) / np.sqrt(2)


WeldLine = WeldSegment | WeldArc


def _outer(a: Array, b: Array) -> Array:
    return np.asarray(a[..., :, None] * b[..., None, :])


@dataclass(frozen=True, eq=False)
class WeldPoints:
    """Stress in a group's throats at its points: (n, ...) MPa each.

    along: shear along the weld; across: all that is square to the weld; normal: of that what is square to the
    throat, not a number where the throat's direction is not known; vectors: (n, ..., 3), all of it; directions:
    (n, ..., 3), of the weld.
    """

    along: Array
    across: Array
    normal: Array
    vectors: Array
    directions: Array

    @property
    def resultant(self) -> Array:
        """(n, ...) MPa of all parts together."""
        return _length(self.vectors)

    @property
    def equivalent(self) -> Array:
        """(n, ...) MPa, root of normal squared + 3 x both shears squared; normal 0 where it is not known."""
        normal = np.nan_to_num(self.normal) ** 2
        return np.asarray(np.sqrt(normal + 3 * (self.across**2 - normal + self.along**2)))


class WeldGroup:
    """Lines of weld that carry together, with their centre (3,) mm, and area mm2 of all throats.

    >>> sides = [WeldSegment((0, 0, 0), (60, 0, 0), 4), WeldSegment((0, 40, 0), (60, 40, 0), 4)]
    >>> group = WeldGroup(sides)
    >>> group.centre.tolist(), float(group.area), [float(run) for run in group.runs]
    ([30.0, 20.0, 0.0], 480.0, [60.0, 60.0])
    """

    def __init__(self, lines: Sequence[WeldLine]) -> None:
        """lines: straight and round ones, one or more, those that meet end to end are one run of weld."""
        if not lines:
            raise InputError("lines = none, must be one or more: weld group")
        self.lines = tuple(lines)
        parts = [(line.throat, *line.integrals()) for line in lines]
        self.area = sum(a * length for a, length, _, _ in parts)
        first = sum(a[..., None] * one for a, _, one, _ in parts)
        self.centre: Array = np.asarray(first / np.asarray(self.area)[..., None])
        second = sum(a[..., None, None] * two for a, _, _, two in parts)
        second = second - np.asarray(self.area)[..., None, None] * _outer(self.centre, self.centre)
        trace = np.trace(second, axis1=-2, axis2=-1)
        self.turning: Array = np.asarray(trace[..., None, None] * np.eye(3) - second)
        """(..., 3, 3) mm4: moment over turn, of the throats about the centre."""

    @property
    def length(self) -> Array:
        """mm of weld."""
        return np.asarray(sum(line.length for line in self.lines))

    @property
    def runs(self) -> tuple[Array, ...]:
        """mm of each run of weld, lines that meet end to end counted as one."""
        return tuple(np.asarray(sum(self.lines[i].length for i in run)) for run in self.members)

    @cached_property
    def members(self) -> tuple[tuple[int, ...], ...]:
        """Which lines each run is made of, by their number."""
        ends = [np.stack(np.broadcast_arrays(*line.ends)) for line in self.lines]
        rows = np.broadcast_shapes(*(end.shape[1:] for end in ends))
        at = np.stack([np.broadcast_to(end.reshape(2, *[1] * (len(rows) - end.ndim + 1), *end.shape[1:]),
                                       (2, *rows)) for end in ends])  # fmt: skip
        apart = _length(at[:, None, :, None] - at[None, :, None, :])
        near = (apart <= MEETS).reshape(*apart.shape[:4], -1).all(axis=-1)
        meets = np.asarray(near.reshape(*near.shape[:2], -1).any(axis=-1))
        left, found = set(range(len(self.lines))), []
        while left:
            run = reached = {min(left)}
            while reached := {j for i in reached for j in left if meets[i, j]} - run:
                run = run | reached
            left -= run
            found.append(tuple(sorted(run)))
        return tuple(found)

    def stress(self, force: Any, moment: Any, at: Any) -> WeldPoints:
        """Stress in the throats at every point where it can be largest.

        force: (3,) N on the part that is welded on, or rows of three; moment: (3,) N mm; at: (3,) mm, where the
        force acts. Raises InputError where the group cannot carry it: a moment about the one line that all of it
        lies on.
        """
        pull, twist, where = (
            _vectors(name, value) for name, value in (("force", force), ("moment", moment), ("at", at))
        )
        about = twist + np.cross(where - self.centre, pull)
        bend, axes = self._principal
        parts = (np.swapaxes(axes, -1, -2) @ about[..., None])[..., 0]
        loose = bend <= HELD * bend.max(axis=-1, keepdims=True)
        size = _length(pull) * np.asarray(self.length) + _length(about)
        if (loose & (np.abs(parts) > HELD * size[..., None])).any():
            raise OutOfRange(
                "moment, must be 0 about the line that all of the weld lies on (EN 1993-1-8:2005 4.12): weld group"
            )
        turned = np.where(loose, 0.0, parts / np.where(loose, 1.0, bend))
        turn = (axes @ turned[..., None])[..., 0]
        even = pull / np.asarray(self.area)[..., None]
        arm, direction, throat = self._points
        extra = max(even.ndim, turn.ndim) - (arm.ndim - 1)
        if extra > 0:
            arm, direction, throat = (
                of.reshape(of.shape[0], *[1] * extra, *of.shape[1:]) for of in (arm, direction, throat)
            )
        vectors = even + np.cross(turn, arm)
        along = (vectors * direction).sum(axis=-1)
        across = np.sqrt(np.maximum((vectors**2).sum(axis=-1) - along**2, 0.0))
        normal = (vectors * throat).sum(axis=-1)
        return WeldPoints(along, across, normal, vectors, np.broadcast_to(direction, vectors.shape))

    @cached_property
    def _principal(self) -> tuple[Array, Array]:
        """Resistances to turning, least first, (..., 3), and the axes they are about, (..., 3, 3) in columns."""
        bend, axes = np.linalg.eigh(self.turning)
        return np.asarray(bend), np.asarray(axes)

    @cached_property
    def _points(self) -> tuple[Array, Array, Array]:
        """Of every point of every line, (n, ..., 3): where it lies from the centre, mm; the direction of the weld;
        the direction across its throat, no number where that is not known."""
        lines = [line.points() for line in self.lines]
        rows = np.broadcast_shapes(self.centre.shape[:-1], *(at.shape[1:-1] for at, *_ in lines))

        def stacked(of: Sequence[Array]) -> Array:
            return np.concatenate([
                np.broadcast_to(a.reshape(a.shape[0], *[1] * (len(rows) + 2 - a.ndim), *a.shape[1:]),
                                (a.shape[0], *rows, 3)) for a in of
            ])  # fmt: skip

        unknown = np.full(3, np.nan)
        return (
            stacked([at for at, *_ in lines]) - self.centre,
            stacked([along for _, along, _ in lines]),
            stacked([np.broadcast_to(unknown, at.shape) if over is None else over for at, _, over in lines]),
        )
