"""The round wall under a tube that a part has welded onto it: what acts there by the record. N, N mm, mm, MPa.

Force and moments are taken where the middle line of the welded tube comes through the wall of the other.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets.hold.check import Array
from brackets.hold.found import Found
from brackets.hold.load_path import Flow, LoadPath
from brackets.hold.metal import Metal, metal
from brackets.hold.part_graph import at_point
from brackets.hold.tube_joints import FLATTEST, least_end, tube_on_tube
from brackets.hold.tube_spine import Spine, spine_of
from brackets.hold.tubes import RoundTube
from brackets.model.piece import Seat
from brackets.model.tube import BentTube, Tube, Turned

WALL = "metal and wall of what it is on"
CLAUSE = "EN 1993-1-8:2005 7.4"
IN_LINE = 0.9998
"""Cosine between the middle lines, 1 degree, over which two round pieces are in line."""
MEETS = 1.0
"""mm that the middle lines of the two tubes may pass one another by."""


@dataclass(frozen=True, eq=False)
class Chord:
    """The round thing under a tube: its middle line by `at` and `way` (unit), od and wall mm.

    ends: mm along `way` from `at`; pressed: (cases,) MPa along it beside the joint; both None where the record does
    not have them.
    """

    at: Array
    way: Array
    od: float
    wall: float
    metal: Metal
    ends: tuple[float, float] | None
    pressed: Array | None


def check_tube_on_wall(
    found: Found, path: LoadPath, flow: Flow, place: str, brace: Tube | BentTube, under: Tube | Turned | Seat
) -> None:
    """The wall of `under`, a tube of the part or a round seat, below a tube that is welded onto it; flow, path:
    factored."""
    line = spine_of(brace)
    station = line.station(flow.joint.at)
    way = line.way(station)
    if abs(float(way @ np.array(under.place.axis))) > IN_LINE:
        found.note(f"{place}: they stand in line, end on end, so that no wall is under the weld")
        return
    if isinstance(under, Turned):
        least = least_end(max(step.od for step in under.steps), brace.od)
        found.refuse(
            place,
            f"ring, must be a tube that goes on {least:.1f} mm past what is welded on it, either way: {CLAUSE} is"
            " for tubes that go on (end: AISC 360-16 table K3.1A, from memory)",
        )
        return
    chord = _of_seat(found, under) if isinstance(under, Seat) else _of_piece(found, path, flow, under)
    if chord is None:
        found.refuse(place, found.settings.under_not_typed(WALL))
        return
    met = _crossing(line.point(station), way, chord)
    if met is None:
        found.refuse(place, f"middle lines, must meet within {MEETS:g} mm: {CLAUSE}")
        return
    _ask(found, flow, place, brace, chord, way, met)


def _ask(
    found: Found, flow: Flow, place: str, brace: Tube | BentTube, chord: Chord, way: Array, met: Array
) -> None:
    sin = float(np.linalg.norm(np.cross(way, chord.way)))
    steep = float(np.degrees(np.arcsin(min(sin, 1.0))))
    if steep >= FLATTEST and chord.ends is not None:
        near = float((met - chord.at) @ chord.way)
        reach = brace.od / 2 / sin
        past = min(near - reach - chord.ends[0], chord.ends[1] - near - reach)
        least = least_end(chord.od, brace.od)
        if past < least - 1e-6:
            found.refuse(
                place,
                f"end of the tube under it = {past:.1f} mm past what is welded on it, must be at least {least:.1f}"
                f" mm: {CLAUSE} is for tubes that go on (end: AISC 360-16 table K3.1A, from memory)",
            )
            return
    out = way if float(way @ (flow.joint.at - met)) >= 0 else -way
    point = met + out * chord.od / 2 / max(sin, 1e-9)
    force, moment = at_point(flow.wrench, point)
    across = np.cross(chord.way, out)
    across = across / np.linalg.norm(across)
    third = np.cross(out, across)
    rest = np.abs(moment @ out).max() + np.linalg.norm(force - np.outer(force @ out, out), axis=1).max()
    if rest > 1e-6:
        found.note(f"{place}: what twists the tube and pushes it aside is not in {CLAUSE} and is not counted there")
    if chord.pressed is None:
        found.note(f"{place}: what presses the tube under it along is not known and is not counted")
    sizes: dict[str, Any] = {
        "brace_od": brace.od, "brace_wall": brace.wall, "od": chord.od, "wall": chord.wall, "angle": steep,
        "pressed": 0.0 if chord.pressed is None else chord.pressed, "metal": chord.metal,
    }  # fmt: skip
    found.ask(
        place, tube_on_tube, force @ out, in_plane=moment @ across, out_of_plane=moment @ third,
        brace_metal=found.metal_of(brace), **sizes,
    )  # fmt: skip


def _of_seat(found: Found, seat: Seat) -> Chord | None:
    settings = found.settings
    if seat.d is None or settings.onto_metal is None or settings.onto_t is None:
        return None
    of = metal(settings.onto_metal, settings.onto_t)
    at, way = np.array(seat.place.at), np.array(seat.place.axis)
    return Chord(at, way, seat.d, settings.onto_t, of, None, None)


def _of_piece(found: Found, path: LoadPath, flow: Flow, tube: Tube) -> Chord:
    at, way = np.array(tube.place.at), np.array(tube.place.axis)
    of = found.metal_of(tube)
    return Chord(at, way, tube.od, tube.wall, of, (0.0, tube.length), pressed_beside(path, flow, tube))


def pressed_beside(path: LoadPath, flow: Flow, tube: Tube) -> Array:
    """MPa of compression along a tube beside a joint, on its worse side, (cases,); 0 where all of it is pulled.

    What the joint itself gives to the tube is left out on the one side and in on the other; path: factored.
    """
    line: Spine = spine_of(tube)
    here = line.station(flow.joint.at)
    acts = [
        (line.station(one.joint.at), one.onto(tube.name))
        for one in path.flows.values() if tube.name in (one.joint.a, one.joint.b)
    ]  # fmt: skip
    acts += [(line.station(load.at), load.wrench) for load in path.graph.acting if load.body == tube.name]
    section = RoundTube(od=np.array(tube.od), wall=np.array(tube.wall))
    way, most = line.way(here), np.zeros(flow.wrench.shape[0])
    for side in (np.less, np.less_equal):
        before = [wrench for far, wrench in acts if side(far, here + (0.0 if side is np.less else 1e-6))]
        if not before or len(before) == len(acts):
            continue
        force, moment = at_point(np.sum(before, axis=0), line.point(here))
        along = force @ way
        bent = np.linalg.norm(moment - np.outer(moment @ way, way), axis=1)
        most = np.maximum(most, along / float(section.area) + bent / float(section.elastic))
    return np.asarray(most)


def _crossing(point: Array, way: Array, chord: Chord) -> Array | None:
    """Where the line through `point` along `way` meets the chord's middle line; None where it passes it by."""
    normal = np.cross(way, chord.way)
    size = float(np.linalg.norm(normal))
    if size < 1e-6:
        return None
    between = chord.at - point
    if abs(float(between @ normal)) / size > MEETS:
        return None
    far = float(np.cross(between, way) @ normal) / size**2
    return np.asarray(chord.at + far * chord.way)
