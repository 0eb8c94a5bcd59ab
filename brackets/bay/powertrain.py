"""The powertrain as one body: where it stands, and its mass, centre and inertia from its lumps.

Axes of ISO 8855: x forward, y left, z up. Roll is about x (left side up), pitch about y (nose down), yaw about z
(nose left). Turned first by roll, then pitch, then yaw, about the crank's point; then shifted.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from brackets.bay.record import Bay
from brackets.bay.rows import Lump, Powertrain
from brackets.pieces import Place, Vec
from brackets.pieces.vectors import add, sub

if TYPE_CHECKING:
    from brackets.mass import Mass


def turn(roll: float, pitch: float, yaw: float) -> Place:
    """The turn by roll, then pitch, then yaw, degrees."""
    r, p, y = (math.radians(a) for a in (roll, pitch, yaw))
    about_x = Place(axis=(0.0, -math.sin(r), math.cos(r)), up=(0.0, math.cos(r), math.sin(r)))
    about_y = Place(axis=(math.sin(p), 0.0, math.cos(p)), up=(0.0, 1.0, 0.0))
    about_z = Place(axis=(0.0, 0.0, 1.0), up=(-math.sin(y), math.cos(y), 0.0))
    return about_z @ about_y @ about_x


def place_of(powertrain: Powertrain) -> Place:
    """Where the powertrain side stands against where it was typed."""
    turned = turn(powertrain.place_roll, powertrain.place_pitch, powertrain.place_yaw)
    at = add(sub(powertrain.crank_at, turned.direction(powertrain.crank_at)), powertrain.place_at)
    return Place(at, turned.axis, turned.up)


def lump_mass(lump: Lump) -> Mass:
    """A lump as a solid box of its size."""
    from brackets.mass import Mass

    a, b, c = (s * s / 12 * lump.mass for s in lump.size)
    return Mass(kg=lump.mass, centroid=lump.at, inertia=((b + c, 0.0, 0.0), (0.0, a + c, 0.0), (0.0, 0.0, a + b)))


def mass_of(bay: Bay) -> Mass | None:
    """All lumps as one body where the powertrain stands; None where there are none."""
    if not bay.lumps:
        return None
    masses = [lump_mass(lump) for lump in bay.lumps]
    whole = masses[0]
    for mass in masses[1:]:
        whole = whole + mass
    return whole.moved(place_of(bay.powertrain))


def about(bay: Bay) -> Vec:
    """The point the powertrain rocks about, mm."""
    mass = mass_of(bay)
    if bay.powertrain.moves_about == "crank" or mass is None:
        return place_of(bay.powertrain).point(bay.powertrain.crank_at)
    x, y, z = (float(v) for v in mass.centroid)
    return (x, y, z)


def axle_torque(powertrain: Powertrain) -> float:
    """First-gear torque about what it acts on, Nm: the axle for a transaxle, the crank's axis otherwise."""
    final = powertrain.final if powertrain.layout == "transaxle" else 1.0
    return powertrain.torque * powertrain.first * final


def traction_cap(powertrain: Powertrain) -> float | None:
    """Largest axle torque the tyres pass on, Nm, or None where the file does not say."""
    if powertrain.traction_tyre_radius is None:
        return None
    return powertrain.traction_tyre_radius / 1000 * powertrain.traction_driven_load * powertrain.traction_grip


def firing(powertrain: Powertrain) -> float:
    """Firing frequency at idle, Hz."""
    per_turn = powertrain.cylinders / (powertrain.strokes / 2)
    return powertrain.idle / 60 * per_turn
