"""Tubes of a part at every place where something acts on them, cups, and walls under an ear. N, N mm, mm, MPa.

Nothing acts between two such places, so moments are largest at one of them; a bent tube is looked at along its
bends too, as a straight beam there.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.hold.check import Array, Check
from brackets.hold.found import Found, is_round
from brackets.hold.load_path import Flow, LoadPath
from brackets.hold.metal import metal
from brackets.hold.part_graph import Applied, at_point
from brackets.hold.press_fit import cup_hoop, press_pressure, push_out
from brackets.hold.round_walls import WALL, check_tube_on_wall, pressed_beside
from brackets.hold.struts import strut_buckling
from brackets.hold.tube_spine import spine_of
from brackets.hold.tube_walls import ear_on_tube, ear_punching
from brackets.hold.tubes import RoundTube, combined_stress, tube_combined
from brackets.model.piece import Piece, Seat
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned

ARM = "an arm that is pressed along it buckles over twice its length, as if its far end were free"
BENDS = "a bent tube is taken as a straight beam in its bends: thinning and ovality are not counted"


def check_tube(found: Found, path: LoadPath, piece: Tube | BentTube) -> None:
    """A tube where it is worst in each case, and as a strut where it is pressed; path: factored."""
    spine = spine_of(piece)
    acts = [
        (spine.station(flow.joint.at), flow.onto(piece.name))
        for flow in path.flows.values() if piece.name in (flow.joint.a, flow.joint.b)
    ]  # fmt: skip
    acts += [(spine.station(load.at), load.wrench) for load in path.graph.acting if load.body == piece.name]
    if not acts:
        return
    acts.sort(key=lambda act: act[0])
    low, high = acts[0][0], acts[-1][0]
    stations = sorted({far for far, _ in acts} | {float(far) for far in spine.far if low < far < high})
    place, pressed = f"tube {piece.name}", np.zeros(len(found.cases))
    sections: list[dict[str, Array]] = []
    for station in stations:
        for side in (np.less, np.less_equal):
            before = [wrench for far, wrench in acts if side(far, station)]
            if not before or len(before) == len(acts):
                continue
            wrench = np.sum(before, axis=0)
            way = spine.way(station if side is np.less_equal else max(station - 1e-6, 0.0))
            force, moment = at_point(wrench, spine.point(station))
            along, twist = force @ way, moment @ way
            pressed = np.maximum(pressed, along)  # `before` pushes it on towards its end: that presses it
            sections.append({
                "force": np.abs(along),
                "moment": np.linalg.norm(moment - np.outer(twist, way), axis=1),
                "shear": np.linalg.norm(force - np.outer(along, way), axis=1),
                "torsion": np.abs(twist),
                "at": np.broadcast_to(spine.point(station), force.shape),
                "push": force,
                "about": moment,
            })
    if not sections:
        return
    every = {word: np.array([section[word] for section in sections]) for word in sections[0]}
    forces = {word: every[word] for word in ("force", "moment", "shear", "torsion")}
    tube = RoundTube(od=np.array(piece.od), wall=np.array(piece.wall))
    worst = combined_stress(tube, **forces).argmax(axis=0), np.arange(len(found.cases))
    found.cut(place, every["at"][worst], every["push"][worst], every["about"][worst])
    given = {word: of[worst] for word, of in forces.items()}
    found.ask(place, tube_combined, od=piece.od, wall=piece.wall, of=piece, **given)
    if isinstance(piece, BentTube):
        found.note(BENDS)
        if pressed.max() > 1e-9:
            found.refuse(place, "tube, must be straight: buckling of a strut (EN 1993-1-1:2005 6.3.1)")
    elif pressed.max() > 1e-9 and any(flow.joint.kind == "thread" for flow in path.flows.values()):
        found.refuse(place, "strut, must be one tube from end to end: buckling of several pieces in line")
    elif pressed.max() > 1e-9:
        link = all(flow.joint.kind in ("weld", "pin") for flow in path.flows.values())
        if not link:
            found.note(ARM)
        found.ask(
            place, strut_buckling, np.maximum(pressed, 0.0), od=piece.od, wall=piece.wall,
            length=piece.length * (1.0 if link else 2.0), made=found.settings.tubes_made, of=piece,
        )  # fmt: skip


def check_walls(found: Found, path: LoadPath, flow: Flow) -> None:
    """The round wall under what is welded onto it; flow, path: factored."""
    names = {piece.name: piece for piece in found.part.pieces}
    for body in (flow.joint.a, flow.joint.b):
        on = flow.joint.other(body)
        if not any(edge.weld.piece == body for edge in flow.joint.edges):
            continue
        seat = next((seat for seat in found.part.seats if seat.name == on and seat.kind == "round"), None)
        under = names.get(on)
        if seat is None and not (under is not None and is_round(under)):
            continue
        place, piece = f"wall of {on} under {body}", names.get(body)
        if isinstance(under, BentTube):
            found.refuse(place, "tube under it, must be a straight one: EN 1993-1-8:2005 7.4, table 7.3")
        elif isinstance(piece, Tube | BentTube):
            assert isinstance(below := under or seat, Tube | Turned | Seat)
            try:
                check_tube_on_wall(found, path, flow, place, piece, below)
            except InputError as error:
                found.refuse(place, *error.problems)
        elif not isinstance(piece, Plate | Folded):
            found.refuse(place, "piece on a round wall, must be a plate or a tube: EN 1993-1-8:2005 7.4")
        elif seat is not None:
            settings = found.settings
            if seat.d is None or settings.onto_metal is None or settings.onto_t is None:
                found.refuse(place, settings.under_not_typed(WALL))
                continue
            of, t = settings.onto_metal, settings.onto_t
            _ear_on(found, flow, place, piece, np.array(seat.place.at), np.array(seat.place.axis), seat.d, t, of)
        elif isinstance(under, Tube):
            _ear_on(found, flow, place, piece, np.array(under.place.at), np.array(under.place.axis), under.od,
                    under.wall, under.material, pressed_beside(path, flow, under))  # fmt: skip
        else:
            found.refuse(place, "ring, must be a straight tube that goes on: EN 1993-1-8:2005 table 7.3")


def _ear_on(
    found: Found, flow: Flow, place: str, piece: Piece, origin: Array, axis: Array, od: float, wall: float, of: str,
    pressed: Any = 0.0,
) -> None:  # fmt: skip
    points = np.array([p for edge in flow.joint.edges for line in edge.lines for p in line.ends])
    middle = points.mean(axis=0)
    out = middle - origin - ((middle - origin) @ axis) * axis
    if np.linalg.norm(out) < 1e-6:
        found.refuse(place, "weld, must be on one side of the tube: EN 1993-1-8:2005 table 7.3")
        return
    out = out / np.linalg.norm(out)
    side = np.cross(axis, out)
    along, across = float(np.ptp(points @ axis)), float(np.ptp(points @ side))
    force, moment = at_point(flow.wrench, middle)
    lies_across = across > along
    aside, about = (axis, side) if lies_across else (side, axis)
    if np.abs(force @ aside).max() + np.abs(moment @ about).max() > 1e-6:
        found.note(f"{place}: what bends it sideways is not in table 7.3 and is not counted there")
    ear_t = min(along, across) if min(along, across) > 0 else getattr(piece, "t", 1.0)
    push = force @ out
    bend = moment @ aside
    try:
        under = metal(of, wall)
    except InputError as error:
        found.refuse(place, *error.problems)
        return
    given: dict[str, Any] = {"ear": max(along, across), "od": od, "wall": wall, "metal": under, "moment": bend}
    found.ask(place, ear_on_tube, push, across=lies_across, pressed=pressed, **given)
    found.ask(place, ear_punching, push, ear_t=ear_t, **given)


def check_cup(found: Found, load: Applied, factors: Array) -> None:
    """Hoop stress and push-out of a cup whose press fit is typed; factors: (cases,) on the loads as they come."""
    piece = found.part.piece(load.body)
    seat = found.part.seat(load.seat)
    if not isinstance(piece, Turned) or seat.kind != "bush":
        return
    place, press = f"cup {piece.name}", found.settings.press.get(load.seat)
    if press is None:
        found.refuse(place, "press fit = not typed, must be: hoop stress, and whether the bush is pushed out")
        return
    step = piece.steps[0]
    force, _ = at_point(load.wrench, load.at)
    axial = np.abs(force @ np.array(seat.place.axis)) * factors
    fit, rows = press, np.ones(len(found.cases))

    def pressure(interference: float) -> Any:
        of = found.metal_of(piece)
        return press_pressure(
            interference, bore=step.bore, cup_od=step.od, shell_id=fit.shell_id, cup=of, shell=of
        )

    def hoop(**named: Any) -> Check:
        return cup_hoop(pressure(fit.most) * rows, bore=step.bore, cup_od=step.od, **named)

    def out(**named: Any) -> Check:
        return push_out(
            axial, pressure=pressure(fit.least), friction=fit.friction, bore=step.bore, length=piece.length, **named
        )

    found.ask(place, hoop, of=piece)
    if fit.friction is None:
        found.refuse(place, "friction of the press fit = not typed, must be: whether the bush is pushed out")
        return
    found.ask(place, out)
