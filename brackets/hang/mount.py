"""What holds the powertrain: mounts with their stiffness in space, links along their length, stops with a gap.

Axes of the bay, mm, N, radians. A mount is at its elastic centre, where forces do not turn it. A movement of the
powertrain is six figures: how far the point of reference goes, mm, and a small turn, radians about x, y, z. Only
what is of the first order in it is kept: turns of some degrees at most.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brackets.core.errors import InputError
from brackets.core.vectors import Vec
from brackets.core.vectors import length as norm

Array = NDArray[np.float64]
ROUNDING = 1e-9
"""How far from symmetric or from a turn a typed matrix may be, relative."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Mount:
    """One mount: `position` (3,) mm, `stiffness` (3, 3) N/mm and `torsion` (3, 3) N mm/rad in its own axes.

    rotation: (3, 3), its own x, y, z in axes of the bay as columns; low, high: what all of its stiffness may be, as
    parts of the figures (bushes scatter); dynamic: stiffness when shaken over stiffness at rest; travel: mm each
    way along its own x, y, z, None where nothing limits it; load: largest, N; late: bolted up with the weight on,
    so that it carries nothing as drawn. Stiffness and torsion may be typed as one figure for all directions, as
    three along x, y, z, or as a symmetric matrix without negative directions.
    Raises InputError with everything that is wrong.
    """

    position: Array
    stiffness: Array
    rotation: Array
    torsion: Array
    name: str
    low: float
    high: float
    dynamic: float
    travel: tuple[float | None, float | None, float | None]
    load: float | None
    late: bool

    def __init__(
        self,
        *,
        position: Any,
        stiffness: Any,
        rotation: Any = None,
        torsion: Any = 0.0,
        name: str = "mount",
        low: float = 1.0,
        high: float = 1.0,
        dynamic: float = 1.0,
        travel: Sequence[float | None] | None = None,
        load: float | None = None,
        late: bool = False,
    ) -> None:
        wrong: list[str] = []
        put = object.__setattr__
        put(self, "name", name)
        put(self, "position", _vector(f"{name}: position", position, "mm", wrong))
        put(self, "stiffness", _stiffness(f"{name}: stiffness", stiffness, "N/mm", wrong))
        put(self, "torsion", _stiffness(f"{name}: torsion", torsion, "N mm/rad", wrong))
        put(self, "rotation", _rotation(f"{name}: rotation", rotation, wrong))
        for said, value, least, most in (
            ("low", low, 0.0, 1.0), ("high", high, 1.0, math.inf), ("dynamic", dynamic, 1.0, 10.0),
        ):  # fmt: skip
            if not (math.isfinite(value) and least <= value <= most and value > 0):
                span = f"{least:g} to {most:g}" if math.isfinite(most) else f"{least:g} or more"
                wrong.append(f"{name}: {said} = {value:g}, must be {span}: a part of its stiffness")
            put(self, said, float(value))
        limits = (None, None, None) if travel is None else tuple(travel)
        if len(limits) != 3 or any(limit is not None and not 0 <= limit < math.inf for limit in limits):
            wrong.append(f"{name}: travel = {travel}, must be three of 0 mm or more, or none: how far it gives")
        put(self, "travel", limits)
        if load is not None and not 0 < load < math.inf:
            wrong.append(f"{name}: load = {load:g} N, must be above 0: the largest it carries")
        put(self, "load", load)
        put(self, "late", bool(late))
        if wrong:
            raise InputError(*wrong)

    def scaled(self, factor: float) -> Mount:
        """The mount with all of its stiffness times `factor`."""
        return self._with(self.stiffness * factor, self.torsion * factor)

    @property
    def shaken(self) -> Mount:
        """The mount as it is for vibrations: its stiffness times `dynamic`, which is then 1."""
        return self._with(self.stiffness * self.dynamic, self.torsion * self.dynamic, dynamic=1.0)

    def bolted_up_late(self) -> Mount:
        """The mount bolted up with the weight on."""
        return self._with(self.stiffness, self.torsion, late=True)

    def bolted_up_early(self) -> Mount:
        """The mount bolted up before the weight is on."""
        return self._with(self.stiffness, self.torsion, late=False)

    def _with(
        self, stiffness: Array, torsion: Array, *, dynamic: float | None = None, late: bool | None = None
    ) -> Mount:
        return Mount(
            position=self.position, stiffness=stiffness, torsion=torsion, rotation=self.rotation, name=self.name,
            low=self.low, high=self.high, dynamic=self.dynamic if dynamic is None else dynamic,
            travel=self.travel, load=self.load, late=self.late if late is None else late,
        )  # fmt: skip

    @property
    def outer(self) -> tuple[Array, Array]:
        """Stiffness and torsion (3, 3) in axes of the bay."""
        turn = self.rotation
        return turn @ self.stiffness @ turn.T, turn @ self.torsion @ turn.T

    def matrix(self, about: Any) -> Array:
        """(6, 6): force and moment about the point `about` (3,) that a movement of that point needs."""
        straight, turning = self.outer
        arm = lever(self.position - np.asarray(about, dtype=np.float64))
        return arm.T @ straight @ arm + _lower(turning)

    def springs(self, about: Any) -> tuple[Array, Array]:
        """(n, 6) rows and (n,) stiffness of its springs: each takes one row's part of a movement, and no other."""
        arm = lever(self.position - np.asarray(about, dtype=np.float64))
        rows, values = [], []
        for matrix, motion in ((self.stiffness, arm), (self.torsion, np.hstack([np.zeros((3, 3)), np.eye(3)]))):
            size, axes = np.linalg.eigh(matrix)
            if np.count_nonzero(matrix - np.diag(np.diag(matrix))) == 0:
                size, axes = np.diag(matrix).copy(), np.eye(3)
            for k in np.flatnonzero(size > ROUNDING * max(float(size.max()), 0.0)):
                rows.append((self.rotation @ axes[:, k]) @ motion)
                values.append(float(size[k]))
        return np.array(rows).reshape(-1, 6), np.array(values)


def link(*, name: str, position: Any, to: Any, stiffness: float, **more: Any) -> Mount:
    """A link: a mount that carries along its length only.

    name: what it is called; position: of its bush on the powertrain, mm; to: its bush on the chassis, mm;
    stiffness: of both its bushes in series along its length, N/mm; more: `low`, `high`, `dynamic`, `travel`,
    `load`, `late` of a `Mount`, whose x is along the link.

    >>> found = link(name="torque link", position=(0, 0, 300), to=(200, 0, 300), stiffness=500)
    >>> found.outer[0].tolist()
    [[500.0, 0.0, 0.0], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]]
    """
    wrong: list[str] = []
    ends = [_vector(f"{name}: {said}", value, "mm", wrong) for said, value in (("position", position), ("to", to))]
    if not wrong and not norm(tuple(ends[1] - ends[0])) > 0:
        wrong.append(f"{name}: to = {to}, must be another point than its position: a link has a length")
    if wrong:
        raise InputError(*wrong)
    along = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0])
    other = np.eye(3)[int(np.argmin(np.abs(along)))]
    second = np.cross(along, other) / np.linalg.norm(np.cross(along, other))
    turn = np.column_stack([along, second, np.cross(along, second)])
    return Mount(position=position, stiffness=(stiffness, 0, 0), rotation=turn, name=name, **more)


def as_mount(given: Mount | Mapping[str, Any]) -> Mount:
    """A mount as it is, or one of its values by name: {"position": ..., "stiffness": ...}."""
    if isinstance(given, Mount):
        return given
    known = (
        *("position", "stiffness", "rotation", "torsion", "name"),
        *("low", "high", "dynamic", "travel", "load", "late"),
    )
    said = dict(given)
    wrong = [
        f"{key} = {said[key]}, must be one of {', '.join(known)}: a key of a mount"
        for key in said if key not in known
    ]
    wrong += [f"{key} is missing: every mount has one" for key in ("position", "stiffness") if key not in said]
    if wrong:
        raise InputError(*wrong)
    return Mount(**said)


def as_mounts(given: Iterable[Mount | Mapping[str, Any]]) -> tuple[Mount, ...]:
    """Mounts as they are typed; everything that is wrong with any of them at once, names made different."""
    mounts, wrong = [], []
    for i, each in enumerate(given, 1):
        try:
            mount = as_mount(each)
        except InputError as error:
            wrong += [f"mounts[{i}]: {line}" for line in error.problems]
        else:
            mounts.append(mount)
    if not mounts and not wrong:
        wrong.append("mounts = none, must be one or more")
    if wrong:
        raise InputError(*wrong)
    return tuple(_named(mount, i, mounts) for i, mount in enumerate(mounts, 1))


def _named(mount: Mount, number: int, among: Sequence[Mount]) -> Mount:
    if sum(mount.name == other.name for other in among) < 2:
        return mount
    made = mount.scaled(1.0)
    object.__setattr__(made, "name", f"{mount.name} {number}")
    return made


def stiffness_matrix(mounts: Iterable[Mount], about: Any = (0.0, 0.0, 0.0)) -> Array:
    """(6, 6) N/mm, N, N mm: what all mounts ask for a movement of the point `about`, symmetric."""
    total = np.zeros((6, 6))
    for mount in mounts:
        total += mount.matrix(about)
    return (total + total.T) / 2


def lever(arm: Any) -> Array:
    """(3, 6): from a movement to where the point that stands off by `arm` (3,) mm goes: u + turn x arm."""
    x, y, z = arm
    return np.hstack([np.eye(3), np.array([[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]])])


def _lower(block: Array) -> Array:
    out = np.zeros((6, 6))
    out[3:, 3:] = block
    return out


def _numbers(name: str, value: Any, allowed: str, wrong: list[str]) -> Array | None:
    try:
        array = np.array(value, dtype=np.float64)
    except (TypeError, ValueError):
        array = np.array(math.nan)
    if not np.isfinite(array).all():
        wrong.append(f"{name} = {value}, must be {allowed}")
        return None
    return array


def _vector(name: str, value: Any, unit: str, wrong: list[str]) -> Array:
    array = _numbers(name, value, f"three finite numbers, {unit}", wrong)
    if array is not None and array.shape != (3,):
        wrong.append(f"{name} = {value}, must be three finite numbers, {unit}")
    return _kept(array if array is not None and array.shape == (3,) else np.zeros(3))


def _stiffness(name: str, value: Any, unit: str, wrong: list[str]) -> Array:
    allowed = f"one, three or 3 by 3 finite numbers, {unit}"
    array = _numbers(name, value, allowed, wrong)
    if array is None:
        return np.zeros((3, 3))
    if array.shape not in ((), (3,), (3, 3)):
        wrong.append(f"{name} = {value}, must be {allowed}")
        return np.zeros((3, 3))
    full = array if array.ndim == 2 else np.diag(np.broadcast_to(array, 3))
    size = float(np.abs(full).max(initial=0.0))
    if np.abs(full - full.T).max() > ROUNDING * size:
        wrong.append(f"{name} = {value}, must be symmetric, {unit}")
    elif np.linalg.eigvalsh(full).min() < -ROUNDING * size:
        wrong.append(f"{name} = {value}, must be 0 {unit} or more in every direction: it would push itself away")
    return _kept((full + full.T) / 2)


def _rotation(name: str, value: Any, wrong: list[str]) -> Array:
    if value is None:
        return _kept(np.eye(3))
    array = _numbers(name, value, "3 by 3 finite numbers", wrong)
    if array is None:
        return np.eye(3)
    proper = array.shape == (3, 3) and np.abs(array @ array.T - np.eye(3)).max() < 1e-6 and np.linalg.det(array) > 0
    if not proper:
        wrong.append(f"{name} = {value}, must be a turn: 3 by 3, its columns square, of length 1 and right-handed")
        return np.eye(3)
    return _kept(array)


def _kept(array: Array) -> Array:
    array = np.array(array, dtype=np.float64) + 0.0
    array.flags.writeable = False
    return array


SOLID_STOP = 20_000.0
"""N/mm of a solid stop with what it stands on: common practice, no source; a bracket gives more than its pad."""


@dataclass(frozen=True, kw_only=True)
class Stop:
    """A snubber or a capture washer: carries nothing until the powertrain has come `gap` mm nearer to it.

    at: the point of the powertrain that meets it, mm; direction: which way that point goes to close it; gap: mm,
    with the powertrain as drawn, which is at rest on its mounts with its weight on; stiffness: N/mm once it is
    closed; carries: True for a pad that takes weight from the start, its gap (mostly 0) then counted with nothing
    on; of: the mount it belongs to, and keeps where that one fails.
    Raises InputError with everything that is wrong.
    """

    name: str
    at: Vec
    direction: Vec
    gap: float
    stiffness: float = SOLID_STOP
    carries: bool = False
    of: str = ""

    def __post_init__(self) -> None:
        wrong: list[str] = []
        at = _vector(f"{self.name}: at", self.at, "mm", wrong)
        way = _vector(f"{self.name}: direction", self.direction, "any length but 0", wrong)
        if not wrong and not np.linalg.norm(way) > 0:
            wrong.append(f"{self.name}: direction = {self.direction}, must not be 0: which way it closes")
        if not (math.isfinite(self.gap) and self.gap >= 0):
            wrong.append(f"{self.name}: gap = {self.gap:g} mm, must be 0 or more: until it closes")
        if not 0 < self.stiffness < math.inf:
            wrong.append(f"{self.name}: stiffness = {self.stiffness:g} N/mm, must be above 0, finite: once closed")
        if wrong:
            raise InputError(*wrong)
        object.__setattr__(self, "at", tuple(map(float, at)))
        object.__setattr__(self, "direction", tuple(map(float, way / np.linalg.norm(way))))

    def row(self, about: Any) -> Array:
        """(6,): how much of a movement of the point `about` closes it, mm."""
        arm = np.asarray(self.at, dtype=np.float64) - np.asarray(about, dtype=np.float64)
        return np.asarray(self.direction) @ lever(arm)
