"""How much a load, a travel or a frequency changes with the stiffness, the place and the angle of each mount.

Derivatives by a complex step (Squire and Trapp, SIAM Review 40, 1998, from memory): the mount is put off by an
imaginary 1e-30 and the imaginary part of the figure is its derivative, to the last digits, with no step to choose.
Stops that are closed stay closed and open ones open, as they do for a small enough change. What a mount stands on
moves with it, the powertrain's mass and its stops do not. N, mm, Hz, axes of the bay.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from brackets.core.errors import InputError
from brackets.hang.cases import CaseResult
from brackets.hang.load import total
from brackets.hang.mount import Array, Mount, Stop, as_mounts, lever
from brackets.hang.statics import NotHeldError, at_rest, free_direction, free_words
from brackets.hang.vibration import MM, Modes, mass_matrix, modes

Complex = NDArray[np.complexfloating[Any, Any]]
Kind = Literal["load", "travel", "frequency"]
KINDS: tuple[Kind, ...] = ("load", "travel", "frequency")
UNITS: Mapping[Kind, str] = {"load": "N", "travel": "mm", "frequency": "Hz"}
WHATS = ("stiffness", "x", "y", "z", "about x", "about y", "about z")
"""What may change of a mount: all of its stiffness as a part of itself, its place, mm, its angle, degrees about
the bay's axes through the mount, right-handed."""
STEP = {"stiffness": 0.1, "x": 10.0, "y": 10.0, "z": 10.0, "about x": 5.0, "about y": 5.0, "about z": 5.0}
"""What is taken as an equally large change of each, to rank them by: a tenth stiffer (some 3 IRHD of rubber),
10 mm, 5 degrees: common practice, no source."""
IMAGINARY = 1e-30
TOGETHER = 1e-6
"""Part by which two frequencies may differ to be one, whose shapes are any of a plane."""


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One figure and what it is held against.

    kind: "load" N of a mount in a case, "travel" mm of a mount along its own `axis` in a case, "frequency" Hz of
    the mode `mode` (0 the slowest); limit: None where there is none.
    """

    kind: Kind
    value: float
    limit: float | None
    mount: str = ""
    case: str = ""
    axis: int = 0
    mode: int = 0

    @property
    def unit(self) -> str:
        return UNITS[self.kind]

    @property
    def ratio(self) -> float | None:
        """Of its limit; None where there is none."""
        return None if self.limit is None else self.value / self.limit if self.limit > 0 else math.inf


@dataclass(frozen=True, kw_only=True)
class Slope:
    """What one change of one mount does to a figure: `per` 1 mm, 1 degree, or all of its stiffness once more."""

    mount: str
    what: str
    per: float

    @property
    def effect(self) -> float:
        """What a change of STEP does to it, by the derivative."""
        return self.per * STEP[self.what]


def worst_figures(
    results: Iterable[CaseResult], found: Modes | None = None, most: float | None = None
) -> tuple[Figure, ...]:
    """The worst load and travel against their limits and the highest frequency against the most it may be, the
    worst first; a load that nothing limits is there as the largest where no load has a limit.

    results: of `under_cases`; found, most: modes, and Hz that none should be over, both None to leave them out.

    >>> two = [{"position": (x, 0, 0), "stiffness": 300, "torsion": 1e6, "load": 900} for x in (-200, 200)]
    >>> found = worst_figures(under_cases(80, (0, 0, 0), two, []))
    >>> [(figure.kind, figure.mount, round(figure.ratio, 3)) for figure in found]
    [('load', 'mount 1', 0.436)]
    """
    made: list[Figure] = []
    for result in results:
        for state, mount in zip(result.mounts, result.found.mounts, strict=True):
            name, case = state.mount, result.case.name
            size = math.hypot(*state.force)
            made.append(Figure(kind="load", value=size, limit=mount.load, mount=name, case=case))
            made += [
                Figure(kind="travel", value=abs(give), limit=limit, axis=axis, mount=name, case=case)
                for axis, (give, limit) in enumerate(zip(state.give, mount.travel, strict=True))
                if limit is not None and give != 0
            ]
    if found is not None and most is not None:
        made.append(Figure(kind="frequency", value=float(found.hz[-1]), limit=most, mode=len(found.hz) - 1))
    worst = []
    for kind in KINDS:
        of = [figure for figure in made if figure.kind == kind]
        judged = [figure for figure in of if figure.ratio is not None] or of
        if judged:
            worst.append(max(judged, key=lambda figure: figure.value if figure.ratio is None else figure.ratio))
    return tuple(sorted(worst, key=lambda figure: -1.0 if figure.ratio is None else -figure.ratio))


def case_slopes(
    figure: Figure,
    result: CaseResult,
    mass: float,
    *,
    stops: Sequence[Stop] = (),
) -> tuple[Slope, ...]:
    """Derivatives of a load or a travel of `worst_figures`, those whose STEP does most to it first.

    figure: the load or travel; result: the case it is of; mass: kg; stops: as `under_cases` had them. A load is the
    size of the mount's force, a travel the size of what it gives.
    Raises InputError for another figure, NotHeldError where the powertrain is only balanced some way.

    >>> two = [{"position": (x, 0, 0), "stiffness": 300, "torsion": 1e9, "load": 900} for x in (-200, 200)]
    >>> (weight,) = under_cases(80, (0, 0, 0), two, [])
    >>> first = case_slopes(worst_figures([weight])[0], weight, 80)[0]
    >>> first.mount, first.what, round(first.per)  # N for all of its stiffness once more
    ('mount 1', 'stiffness', 194)
    """
    mounts, case = result.found.mounts, result.case
    if figure.kind not in ("load", "travel") or figure.mount not in [mount.name for mount in mounts]:
        must = "must be a load or travel of one of the mounts"
        raise InputError(f"figure = {figure.kind} of {figure.mount!r}, {must}")
    centre = result.found.centre
    weight = total((), mass, centre)
    at = next(i for i, mount in enumerate(mounts) if mount.name == figure.mount)
    rest_on = at_rest(mounts, stops, centre, weight, "its weight").pushes > 0
    for held, pushing in (([m for m in mounts if not m.late], rest_on), (mounts, result.found.pushes > 0)):
        pressed = [stop for stop, pushes in zip(stops, pushing, strict=True) if pushes]
        if (loose := free_direction(held, pressed, centre)) is not None:
            raise NotHeldError(f"mounts: {free_words(loose, centre)}, and is only balanced: no derivative", loose)
    problem = _Static(
        weight=weight, load=total(case.loads, mass, centre, case.felt), late=[mount.late for mount in mounts],
        stops=tuple(stops), rest_on=rest_on, on=result.found.pushes > 0, centre=centre,
    )  # fmt: skip

    def value(put: list[_Put]) -> complex:
        movement, rest = problem.settled(put)
        one = put[at]
        gone = lever(one.position - centre) @ (movement - rest if mounts[at].late else movement)
        if figure.kind == "load":
            force = one.outer @ gone
            return complex(np.sqrt(force @ force))
        give = complex((one.turn.T @ gone)[figure.axis])
        return give if give.real > 0 else -give

    return _slopes(mounts, value)


def mode_slopes(
    figure: Figure,
    mass: float,
    inertia: Any,
    mounts: Iterable[Mount | Mapping[str, Any]],
    *,
    centre: Any = (0.0, 0.0, 0.0),
) -> tuple[Slope, ...]:
    """Derivatives of a frequency of `worst_figures`, those whose STEP does most to it first.

    figure: the frequency; mass, inertia, mounts, centre: as for `modes`. Of frequencies that coincide it is the
    rise of the highest of them (at the slowest end the rise of the lowest), since such part when anything changes.

    >>> one = [{"position": (0, 0, 0), "stiffness": (100, 200, 300), "torsion": 1e9}]
    >>> found = modes(50, (1e6, 1e6, 1e6), one)
    >>> third = worst_figures([], found, 5.0)[0]  # the highest, 2.5e3 Hz and more of 5
    >>> slopes = mode_slopes(third, 50, (1e6, 1e6, 1e6), one)
    >>> next(round(slope.per / third.value, 6) for slope in slopes if slope.what == "stiffness")
    0.5
    """
    held = as_mounts(mounts)
    found = modes(mass, inertia, held, centre=centre)
    hz = float(found.hz[figure.mode])
    if not hz > 0:
        raise InputError(f"figure = mode {figure.mode + 1}, must be a mode that is held: its frequency is 0")
    alike = np.flatnonzero(np.abs(found.hz / hz - 1) < TOGETHER)
    shapes = found.shapes[alike]
    body = mass_matrix(mass, inertia)
    root = np.linalg.inv(np.linalg.cholesky(shapes @ body @ shapes.T))
    shapes = root @ shapes
    end = -1 if figure.mode == alike[-1] else 0
    middle = np.asarray(centre, dtype=np.float64)
    slopes = []
    for i, mount in enumerate(held):
        for what in WHATS:
            changed = sum((one.matrix(middle) for one in _put(held, i, what, shaken=True)), np.zeros((6, 6)))
            rise = np.linalg.eigvalsh(shapes @ (np.imag(changed) / IMAGINARY) @ shapes.T)[end]
            # Of square frequencies (rad/s)^2 = MM N/mm kg; the derivative of its root.
            per = float(rise) * MM / (8 * math.pi**2 * hz)
            slopes.append(Slope(mount=mount.name, what=what, per=per))
    return _ranked(slopes)


@dataclass(frozen=True, eq=False)
class _Put:
    """A mount put off by an imaginary step: place (3,), turn, stiffness and torsion (3, 3) in bay axes."""

    position: Complex
    turn: Complex
    outer: Complex
    torsion: Complex

    def matrix(self, about: Array) -> Complex:
        arm = lever(self.position - about)
        whole = np.asarray(arm.T @ self.outer @ arm, dtype=np.complex128)
        whole[3:, 3:] += self.torsion
        return whole


def _put(mounts: Sequence[Mount], moved: int, what: str, *, shaken: bool = False) -> list[_Put]:
    """All mounts, one of them changed by IMAGINARY in one way."""
    made = []
    for i, mount in enumerate(mounts):
        step = 1j * IMAGINARY if i == moved else 0j
        factor = (mount.dynamic if shaken else 1.0) * (1 + step if what == "stiffness" else 1.0)
        position = mount.position + (step * np.eye(3)["xyz".index(what)] if what in "xyz" else 0j)
        turn = mount.rotation.astype(np.complex128)
        if what.startswith("about"):
            axis = np.eye(3)["xyz".index(what[-1])]
            turn = turn + step * math.radians(1.0) * np.cross(axis, turn.T).T
        outer, torsion = (factor * (turn @ part @ turn.T) for part in (mount.stiffness, mount.torsion))
        made.append(_Put(position=position, turn=turn, outer=outer, torsion=torsion))
    return made


@dataclass(frozen=True, kw_only=True, eq=False)
class _Static:
    """What settles the powertrain besides its mounts; `rest_on`, `on`: stops that push, at rest and in the case."""

    weight: Array
    load: Array
    late: list[bool]
    stops: tuple[Stop, ...]
    rest_on: NDArray[np.bool_]
    on: NDArray[np.bool_]
    centre: Array

    def settled(self, put: list[_Put]) -> tuple[Complex, Complex]:
        """(6,) and (6,): movement in the case and at rest, from where it hangs with nothing on."""
        zero = np.zeros((6, 6), dtype=np.complex128)
        early = sum((one.matrix(self.centre) for one, late in zip(put, self.late, strict=True) if not late), zero)
        afterwards = sum((one.matrix(self.centre) for one, late in zip(put, self.late, strict=True) if late), zero)
        rest = self._solved(early, self.weight + 0j, self.rest_on, np.zeros(6))
        return self._solved(early + afterwards, self.load + afterwards @ rest, self.on, rest), rest

    def _solved(self, stiff: Complex, load: Complex, on: NDArray[np.bool_], rest: Complex | Array) -> Complex:
        for stop, pushes in zip(self.stops, on, strict=True):
            if pushes:
                row = stop.row(self.centre)
                gap = stop.gap + (0.0 if stop.carries else row @ rest)
                stiff = stiff + stop.stiffness * np.outer(row, row)
                load = load + stop.stiffness * gap * row
        return np.asarray(np.linalg.solve(stiff, load), dtype=np.complex128)


def _slopes(mounts: Sequence[Mount], value: Any) -> tuple[Slope, ...]:
    return _ranked(
        Slope(mount=mount.name, what=what, per=value(_put(mounts, i, what)).imag / IMAGINARY)
        for i, mount in enumerate(mounts)
        for what in WHATS
    )


def _ranked(slopes: Iterable[Slope]) -> tuple[Slope, ...]:
    return tuple(sorted(slopes, key=lambda slope: -abs(slope.effect)))
