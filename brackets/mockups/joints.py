"""Flat joints of a mock-up: pins in the metal of a cut, or a plug in its bore, with the room that they ask.

mm. A half that is to be cut stands with the cut level: x and y across it, z through it; pins and plugs are given in
the part's frame.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, FillRule, Manifold, OpType
from numpy.typing import NDArray

from brackets.core.vectors import Vec
from brackets.forming.printer_3d import Printer3D

Array = NDArray[np.float64]

PIN_SIZES = (8.0, 6.0, 5.0, 4.0, 3.0, 2.0)
"""Diameters of pins that are tried, mm."""

DEEP = 2.0
"""How deep a socket is, in diameters of its pin."""

SHORT = 0.5
"""mm that a pin ends before the bottom of its socket."""

SOCKET_LINES = 3
"""Lines of plastic that are left round a socket: common practice, no source."""

LEAST_PLUG = 6.0
"""mm across a bore from which a plug is made for it."""

DEEPEST_PLUG = 25.0
"""mm that a plug goes into either half at most."""

SEGMENTS = 48
"""Sides that a socket is drawn with; its flats lie outside its circle, those of a pin inside."""

COARSE = 0.03
"""mm that a body may be simplified by while the place of a cut is looked for."""

ROUNDING = 1e-3
"""mm that a body may be longer than its room by the arithmetic of turning it, and mm3 of metal that are none."""

SLIVER = 0.5
"""mm2 of a region of a cut under which it is no joint."""


@dataclass(frozen=True, kw_only=True)
class Pin:
    """A pin across a joint: `at` the middle, along `axis`; `d` as it is to measure, `drawn` as it is drawn,
    `socket` as the socket is drawn, all diameters; `length` of the pin, `deep`: of the socket in either half."""

    joint: str
    at: Vec
    axis: Vec
    d: float
    drawn: float
    socket: float
    length: float
    deep: float


@dataclass(frozen=True, kw_only=True)
class Plug:
    """What goes into the bore of both halves where the metal round it is too thin for pins: a prism, its `outline`
    as it is drawn, mm, in the x and y of `frame` (rows of it, the last along the plug) about `at`."""

    joint: str
    at: Vec
    frame: tuple[Vec, Vec, Vec]
    outline: tuple[tuple[float, float], ...]
    length: float

    @property
    def width(self) -> float:
        """Its least width, mm."""
        flat = np.array(self.outline)
        turns = np.radians(np.arange(0, 180, 5))
        return float(min(np.ptp(flat @ np.array([math.cos(a), math.sin(a)])) for a in turns))

    @property
    def turns(self) -> bool:
        """Whether it is round, so that the halves can turn about it."""
        area = CrossSection([np.array(self.outline)]).area()
        return bool(area > 0.97 * math.pi / 4 * self.width**2 and area < 1.03 * math.pi / 4 * self.width**2)


@dataclass(frozen=True, kw_only=True)
class Joint:
    """A flat cut: `name` is its letter, the plane is `normal` times a point = `offset`; `bare` are regions of it
    that have no room for a pin or a plug, `single` those with one about which the halves can turn."""

    name: str
    normal: Vec
    offset: float
    pins: tuple[Pin, ...]
    plugs: tuple[Plug, ...]
    bare: int
    single: int


def joint_at(whole: Manifold, standing: Manifold, z: float, frame: Array, printer: Printer3D, name: str) -> Joint:
    """The joint at height `z` of the half that stands with the cut level; no plug meets metal of the `whole`."""
    pins: list[Pin] = []
    plugs: list[Plug] = []
    bare = single = 0
    for region in _slice(standing, z).decompose():
        if region.area() < SLIVER:
            continue
        d, spots = _best_pins(standing, region, z, printer)
        if len(spots) < 2:
            found = _plugs(standing, region, z, frame, printer, name)
            mine = [plug for plug in found if (plug_body(plug) ^ whole).volume() <= ROUNDING]
            plugs += mine
            bare += not (spots or mine)
            single += len(spots) + len(mine) == 1 and all(plug.turns for plug in mine)
        for x, y in spots:
            at = frame.T @ np.array([x, y, z])
            socket_d = d + printer.joint + printer.hole_allowance(d)
            pins.append(
                Pin(
                    joint=name,
                    at=(float(at[0]), float(at[1]), float(at[2])),
                    axis=_vec(frame[2]),
                    d=d,
                    drawn=d - printer.pin_allowance(d),
                    socket=socket_d,
                    length=2 * (DEEP * d - SHORT),
                    deep=DEEP * d,
                )
            )
    return Joint(
        name=name, normal=_vec(frame[2]), offset=z, pins=tuple(pins), plugs=tuple(plugs), bare=bare, single=single
    )


def _best_pins(
    standing: Manifold, region: CrossSection, z: float, printer: Printer3D
) -> tuple[float, list[tuple[float, float]]]:
    """Two of the largest pins that find room, or else one."""
    one: tuple[float, list[tuple[float, float]]] = (0.0, [])
    for d in PIN_SIZES:
        wall = SOCKET_LINES * printer.nozzle
        r = (d + printer.joint + printer.hole_allowance(d)) / 2 + wall
        if region.area() < math.pi * r * r:
            continue
        free = region.offset(-r)
        if free.is_empty():
            continue
        through = CrossSection.batch_boolean(
            [region, *(_slice(standing, z + up) for up in _levels(DEEP * d + wall))], OpType.Intersect
        )
        free = through.offset(-r)
        spots = [spot for spot in _far_apart(free, 2 * r) if _inside(standing, spot, z, r, DEEP * d + wall)]
        if len(spots) == 2:
            return d, spots
        if spots and not one[1]:
            one = d, spots
    return one


def _plugs(
    standing: Manifold, region: CrossSection, z: float, frame: Array, printer: Printer3D, name: str
) -> Iterator[Plug]:
    """A plug for every bore of a region of the cut that is wide enough and stays open on either side."""
    outer = CrossSection([max(region.to_polygons(), key=_area)], FillRule.Positive)
    for hole in (outer - region).decompose():
        low = hole.bounds()
        wide = min(low[2] - low[0], low[3] - low[1])
        if wide < LEAST_PLUG:
            continue
        deep = min(wide, DEEPEST_PLUG)
        free = CrossSection.batch_boolean(
            [hole, *(_slice(standing, z + up) for up in _levels(deep))], OpType.Subtract
        )
        room = (printer.joint + printer.hole_allowance(wide) + printer.pin_allowance(wide)) / 2
        opened = free.offset(-room - LEAST_PLUG / 4).offset(LEAST_PLUG / 4)
        left = [one for one in opened.decompose() if one.area() > 0]
        if not left:
            continue
        largest = max(left, key=lambda one: float(one.area()))
        if largest.area() < hole.area() / 2:
            continue
        ring = np.array(max(largest.to_polygons(), key=_area))
        middle = ring.mean(axis=0)
        at = frame.T @ np.array([middle[0], middle[1], z])
        yield Plug(
            joint=name,
            at=_vec(at),
            frame=(_vec(frame[0]), _vec(frame[1]), _vec(frame[2])),
            outline=tuple((float(x), float(y)) for x, y in ring - middle),
            length=2 * (deep - SHORT),
        )


def _area(ring: Array) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum() / 2)


def _slice(standing: Manifold, z: float) -> CrossSection:
    return standing.slice(z).simplify(COARSE)


def _levels(deep: float) -> Iterator[float]:
    for part in (-1.0, -0.75, -0.5, -0.25, 0.25, 0.5, 0.75, 1.0):
        yield part * deep


def _far_apart(free: CrossSection, least: float) -> list[tuple[float, float]]:
    """The two corners of a region that are farthest apart, or its middle where they are nearer than `least`."""
    if free.is_empty():
        return []
    points = np.vstack(free.to_polygons())
    far = np.linalg.norm(points[:, None] - points[None], axis=2)
    a, b = np.unravel_index(int(far.argmax()), far.shape)
    if far[a, b] >= least:
        return [(float(p[0]), float(p[1])) for p in (points[a], points[b])]
    middle = points.mean(axis=0)
    nearest = points[int(np.linalg.norm(points - middle, axis=1).argmin())]
    return [(float(nearest[0]), float(nearest[1]))]


def _inside(standing: Manifold, at: tuple[float, float], z: float, r: float, deep: float) -> bool:
    """Whether a pin with metal all round is wholly within the body."""
    probe = Manifold.cylinder(2 * deep, r * 0.98, circular_segments=SEGMENTS, center=True).translate((*at, z))
    return float((probe - standing).volume()) <= ROUNDING


def socket(pin: Pin) -> Manifold:
    """What a pin's sockets take out of both halves."""
    return _along(pin, pin.socket / math.cos(math.pi / SEGMENTS), 2 * pin.deep)


def pin_body(pin: Pin) -> Manifold:
    """The pin where it stands across the joint, as it is drawn."""
    return _along(pin, pin.drawn, pin.length)


def plug_body(plug: Plug) -> Manifold:
    """The plug where it stands across the joint, as it is drawn."""
    flat = CrossSection([np.array(plug.outline)], FillRule.NonZero)
    matrix = np.column_stack((*np.array(plug.frame), np.array(plug.at)))
    return flat.extrude(plug.length).translate((0.0, 0.0, -plug.length / 2)).transform(matrix)


def _along(pin: Pin, d: float, length: float) -> Manifold:
    z = np.array(pin.axis)
    side = np.eye(3)[int(np.abs(z).argmin())]
    x = np.cross(side, z)
    x /= np.linalg.norm(x)
    matrix = np.column_stack((x, np.cross(z, x), z, np.array(pin.at)))
    return Manifold.cylinder(length, d / 2, circular_segments=SEGMENTS, center=True).transform(matrix)


def _vec(row: Array) -> Vec:
    return (float(row[0]), float(row[1]), float(row[2]))
