"""One case a check: asked with a load and a thickness that lie in its clause, and what it must refuse.

The loads and sizes are invented; they only lie where the clause applies.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from brackets import hold
from brackets.hold import Check, Factors, metal

S235 = metal("S235", 6)
PLATE: dict[str, Any] = {"metal": S235}
TUBE: dict[str, Any] = {"od": 60.3, "metal": S235}
BRACE: dict[str, Any] = {"brace_od": 38.1, "brace_wall": 3.2}


@dataclass(frozen=True)
class Case:
    """A check as a function of a load and a thickness; both where its clause applies.

    refused: changed arguments, and the words that must be said of each; own: whether it has a column for yield.
    """

    name: str
    ask: Callable[..., Check]
    load: float
    t: tuple[float, float]
    refused: tuple[tuple[dict[str, Any], str], ...]
    own: bool = True
    welds: bool = False

    def __call__(self, load: Any = None, size: Any = None, **changed: Any) -> Check:
        return self.ask(self.load if load is None else load, self.t[0] if size is None else size, **changed)


def with_values(function: Callable[..., Check], load_as: str | None, t_as: str | None, **usual: Any) -> Any:
    """Asks `function` with the load and thickness by their names there; "" for the first argument."""

    def ask(load: Any, size: Any, **changed: Any) -> Check:
        given = dict(usual)
        if t_as:
            given[t_as] = size
        if load_as:
            given[load_as] = load
        given |= changed
        first = given.pop("first", load) if load_as is None else None
        return function(**given) if load_as else function(first, **given)

    return ask


def welded(function: Callable[..., Check]) -> Any:
    """A fillet check on two sides of a plate, the throat its thickness."""

    def ask(load: Any, size: Any, **changed: Any) -> Check:
        length = changed.pop("length", 60.0)
        lines = [
            hold.WeldSegment((0, y, 0), (length, y, 0), size, across=(0, y - 20, 20)) for y in (0.0, 40.0)
        ]
        rows = np.zeros((*np.shape(load), 3))
        rows[..., 2], rows[..., 0] = load, np.asarray(load) / 3
        given = {"metal": S235, "t": 8.0, "moment": (0, 4e3, 0), "at": (30, 20, 0)} | changed
        return function(hold.WeldGroup(lines), force=rows, **given)

    return ask


WELD_REFUSED: tuple[tuple[dict[str, Any], str], ...] = (
    ({"t": 3.9}, "t = 3.9 mm, must be at least 4 mm"),
    ({"length": 29.0}, "run = 29 mm, must be at least 30 mm"),
    ({"length": 2000.0}, "length = 2000 mm, must be at most 450 mm"),
    ({"angle": 50.0}, "angle = 50 deg, must be at least 60 and at most 120 deg"),
    ({"metal": metal("6061-T6", 6)}, "metal = 6061-T6, must be S235, S275, S355"),
)
BOLT: dict[str, Any] = {"bolt": "M12", "grade": "8.8"}
BOLT_REFUSED: tuple[tuple[dict[str, Any], str], ...] = (
    ({"grade": "12.9"}, "grade = 12.9, must be 4.6, 5.6, 5.8, 8.8, 10.9"),
    ({"bolt": "3/8-16 UNC"}, "bolt = 3/8-16 UNC, must be metric"),
    ({"first": -1.0}, "force = -1 N, must be at least 0 N"),
    ({"first": float("nan")}, "force = nan N, must be at least 0 N"),
)
ALUMINIUM: tuple[dict[str, Any], str] = ({"metal": metal("5083-O", 6)}, "metal = 5083-O, must be S235, S275, S355")
CLASS_4: tuple[dict[str, Any], str] = ({"wall": 0.6}, "wall = 0.6 mm, must be at least 0.67 mm")
BEARING: dict[str, Any] = {**BOLT, **PLATE, "hole": 13.0, "e1": 20.0, "e2": 20.0}
EAR: dict[str, Any] = {**PLATE, "hole": 12.1, "a": 18.0, "c": 16.0}
STUB: dict[str, Any] = {"m": 30.0, "n": 35.0, "length": 80.0}
PIN: dict[str, Any] = {"inner": 40.0, "outer": 6.0}

CASES = (
    Case("bolt shear", with_values(hold.bolt_shear, None, None, **BOLT), 20e3, (1, 1), BOLT_REFUSED + (
        ({"hole": 16.0}, "hole = 16 mm, must be at least 12 and at most 15 mm"),
        ({"packing": -1.0}, "packing = -1 mm, must be at least 0 mm"),
    )),
    Case("bearing", with_values(hold.bolt_bearing, None, "t", **BEARING), 20e3, (4, 20), BOLT_REFUSED + (
        ({"e1": 15.5}, "e1 = 15.5 mm, must be at least 15.6 mm"),
        ({"e2": 15.5}, "e2 = 15.5 mm, must be at least 15.6 mm"),
        ({"p1": 28.5}, "p1 = 28.5 mm, must be at least 28.6 mm"),
        ({"p2": 31.1}, "p2 = 31.1 mm, must be at least 31.2 mm"),
        ({"hole": 11.9}, "hole = 11.9 mm, must be at least 12 and at most 15 mm"),
    )),
    Case("bolt tension", with_values(hold.bolt_tension, None, None, **BOLT), 20e3, (1, 1), BOLT_REFUSED),
    Case("punching", with_values(hold.bolt_punching, None, "t", bolt="M12", **PLATE), 20e3, (4, 20), (
        ({"mean_head": 11.0}, "mean_head = 11 mm, must be over 12 mm"),
        ({"t": 0.0}, "t = 0 mm, must be over 0 mm"),
    )),
    Case("combined", with_values(hold.bolt_combined, None, None, tension=10e3, **BOLT), 10e3, (1, 1), (
        ({"grade": "12.9"}, "grade = 12.9, must be"),
        ({"tension": -1.0}, "force = -1 N, must be at least 0 N"),
    )),
    Case("slip", with_values(hold.bolt_slip, None, None, preload=40e3, **BOLT), 4e3, (1, 1), (
        ({"grade": "5.6"}, "grade = 5.6, must be 8.8 or 10.9"),
        ({"preload": 48e3}, "preload = 48000 N, must be over 0 and at most 47189.3 N"),
        ({"surface": "E"}, "surface = E, must be A, B, C or D"),
        ({"tension": 51e3}, "tension = 51000 N, must be at least 0 and at most 50000 N"),
    ), own=False),
    Case("stripping", with_values(hold.thread_stripping, None, "engaged", tensile=200.0, **BOLT), 20e3, (6, 36), (
        ({"engaged": 5.9}, "engaged = 5.9 mm, must be at least 6 and at most 36 mm"),
        ({"engaged": 37.0}, "engaged = 37 mm, must be at least 6 and at most 36 mm"),
        ({"tensile": 20.0}, "tensile = 20 MPa, must be at least 50 and at most 600 MPa"),
        ({"grade": "12.9"}, "grade = 12.9"),
    ), own=False),
    Case("t-stub", with_values(hold.t_stub, None, "t", **BOLT, **PLATE, **STUB), 9e3, (4, 20), (
        ALUMINIUM,
        ({"grade": "12.9"}, "grade = 12.9"),
        ({"m": 0.0}, "m = 0 mm, must be over 0 mm"),
        ({"n": 0.0}, "n = 0 mm, must be over 0 mm"),
        ({"length": 0.0}, "length = 0 mm, must be over 0 mm"),
        ({"bolt_length": 0.0}, "bolt_length = 0 mm, must be over 0 mm"),
    )),
    Case("ear edge", with_values(hold.ear_edge, None, "t", **EAR), 10e3, (4, 20), (
        ALUMINIUM,
        ({"a": 8.0}, "a = 8 mm, must be over 8.06667 mm"),
        ({"c": 4.0}, "c = 4 mm, must be over 4.03333 mm"),
    )),
    Case("ear thickness", with_values(hold.ear_thickness, None, "t", **EAR), 10e3, (5, 20), (
        ALUMINIUM,
        ({"a": 13.0}, "a = 13 mm, must be at least 13.31 mm"),
        ({"c": 9.0}, "c = 9 mm, must be at least 9.075 mm"),
        ({"t": 4.8}, "hole = 12.1 mm, must be over 0 and at most 12 mm"),
    )),
    Case("pin shear", with_values(hold.pin_shear, None, None, **BOLT), 10e3, (1, 1), BOLT_REFUSED),
    Case("pin bearing", with_values(hold.pin_bearing, None, "t", **BOLT, **PLATE), 10e3, (4, 20), (
        *BOLT_REFUSED, ALUMINIUM,
    )),
    Case("pin bending", with_values(hold.pin_bending, None, None, **BOLT, **PIN), 10e3, (1, 1), (
        *BOLT_REFUSED,
        ({"inner": 0.0}, "inner = 0 mm, must be over 0 mm"),
        ({"gap": -0.1}, "gap = -0.1 mm, must be at least 0 mm"),
    )),
    Case("pin combined", with_values(hold.pin_combined, None, None, **BOLT, **PIN), 10e3, (1, 1), (
        ({"grade": "12.9"}, "grade = 12.9"),
        ({"outer": 0.0}, "outer = 0 mm, must be over 0 mm"),
    )),
    Case("pin contact", with_values(hold.pin_contact, None, "t", hole=12.2, **BOLT, **PLATE), 2e3, (4, 20), (
        ALUMINIUM, ({"hole": 12.0}, "hole = 12 mm, must be over 12 mm"),
    )),
    Case("plate bending", with_values(hold.plate_bending, None, "t", width=50.0, **PLATE), 50e3, (4, 20), (
        ({"t": 0.0}, "t = 0 mm, must be over 0 mm"), ({"width": -1.0}, "width = -1 mm, must be over 0 mm"),
    )),
    Case("plate combined", with_values(hold.plate_combined, "bending", "t", width=50.0, **PLATE), 50e3, (4, 20), (
        ({"t": 0.0}, "t = 0 mm, must be over 0 mm"),
        ({"width": 5.0, "t": 6.0}, "width = 5 mm, must be at least 6 mm"),
    )),
    Case("plate tension", with_values(hold.plate_tension, None, "t", width=50.0, holes=13.5, **PLATE), 20e3,
        (4, 20), (
        ({"holes": 51.0}, "holes = 51 mm, must be at least 0 and at most 50 mm"),
    )),
    Case("block tearing", with_values(hold.block_tearing, None, "shear_area", tension_area=80.0, **PLATE), 20e3,
        (100, 900), (({"tension_area": -1.0}, "tension_area = -1 mm2, must be at least 0 mm2"),)),
    Case("skin", with_values(hold.skin_bearing, None, "area", skin=S235), 20e3, (300, 2000), (
        ({"skin": metal("6061-T6", 6)}, "metal = 6061-T6"), ({"area": 0.0}, "area = 0 mm2, must be over 0 mm2"),
    )),
    Case("spreader", with_values(hold.spreader_bending, None, "t", area=2000.0, overhang=12.0, **PLATE), 9e3,
        (3, 12), (ALUMINIUM, ({"overhang": 0.0}, "overhang = 0 mm, must be over 0 mm"))),
    Case("tube axial", with_values(hold.tube_axial, None, "wall", **TUBE), 30e3, (3, 10), (ALUMINIUM, CLASS_4)),
    Case("tube bending", with_values(hold.tube_bending, None, "wall", **TUBE), 9e5, (3, 10), (ALUMINIUM, CLASS_4)),
    Case("tube shear", with_values(hold.tube_shear, None, "wall", **TUBE), 9e3, (3, 10), (ALUMINIUM, CLASS_4)),
    Case("tube torsion", with_values(hold.tube_torsion, None, "wall", **TUBE), 9e5, (3, 10), (ALUMINIUM, CLASS_4)),
    Case("tube combined",
        with_values(hold.tube_combined, "moment", "wall", force=9e3, shear=3e3, torsion=1e5, **TUBE), 9e5, (3, 10),
        (ALUMINIUM, CLASS_4, ({"wall": 31.0}, "wall = 31 mm, must be over 0 and at most 30.15 mm"))),
    Case("strut", with_values(hold.strut_buckling, None, "wall", length=900.0, **TUBE), 30e3, (3, 10), (
        ALUMINIUM, CLASS_4, ({"length": 0.0}, "length = 0 mm, must be over 0 mm"),
        ({"made": "cast"}, "made = cast"),
    )),
    Case("crush tube", with_values(hold.crush_tube, None, "wall", length=60.0, **TUBE), 30e3, (3, 10), (
        ALUMINIUM, CLASS_4, ({"length": 400.0}, "length = 400 mm, must be over 0 and at most 381.03 mm"),
    )),
    Case("ear on tube", with_values(hold.ear_on_tube, None, "wall", ear=60.0, moment=9e4, **TUBE), 4e3, (3, 6), (
        ALUMINIUM,
        ({"wall": 2.9}, "wall = 2.9 mm, must be at least 3 mm"),
        ({"wall": 6.1}, "od / wall = 9.885, must be at least 10 and at most 50"),
        ({"ear": 242.0}, "ear = 242 mm, must be at least 0 and at most 241.2 mm"),
        ({"ear": 24.0, "across": True}, "ear = 24 mm, must be at least 24.12 and at most 60.3 mm"),
        ({"pressed": 300.0}, "pressed = 300 MPa, must be at least 0 and at most 235 MPa"),
    )),
    Case("ear punching", with_values(hold.ear_punching, None, "wall", ear=60.0, ear_t=6.0, moment=9e4, **TUBE),
        4e3, (3, 6), (ALUMINIUM, ({"ear": 242.0}, "ear = 242 mm, must be over 0 and at most 241.2 mm"))),
    Case("tube on tube", with_values(hold.tube_on_tube, None, "wall", **TUBE, **BRACE, out_of_plane=9e4), 4e3,
        (3, 6), (
        ALUMINIUM,
        ({"wall": 2.9}, "wall = 2.9 mm, must be at least 3 and at most 25 mm"),
        ({"wall": 6.1}, "od / wall = 9.885, must be at least 10 and at most 50"),
        ({"od": 127.0, "cross": True}, "od / wall = 42.333, must be at least 10 and at most 40"),
        ({"brace_od": 12.0, "brace_wall": 3.0}, "brace_od = 12 mm, must be at least 12.06 and at most 60.3 mm"),
        ({"brace_od": 60.4}, "brace_od = 60.4 mm, must be at least 12.06 and at most 60.3 mm"),
        ({"brace_wall": 2.9}, "brace_wall = 2.9 mm, must be at least 3 mm"),
        ({"brace_wall": 3.9}, "brace_od / brace_wall = 9.769, must be at least 10 and at most 50"),
        ({"angle": 29.0}, "angle = 29 deg, must be at least 30 and at most 90 deg"),
        ({"pressed": 300.0}, "pressed = 300 MPa, must be at least 0 and at most 235 MPa"),
        ({"metal": metal("S355", 3), "od": 149.0}, "class = 3, must be 1 or 2"),
        ({"brace_metal": metal("5083-O", 6)}, "metal = 5083-O, must be S235, S275, S355"),
    )),
    Case("cup", with_values(hold.cup_hoop, None, "cup_od", bore=50.0, metal=S235), 12.0, (60, 90), (
        ALUMINIUM, ({"cup_od": 50.0}, "cup_od = 50 mm, must be over 50 mm"),
    )),
    Case("push out", with_values(hold.push_out, None, "pressure", friction=0.1, bore=50.0, length=40.0), 2e3,
        (4, 20), (
        ({"friction": 0.4}, "friction = 0.4, must be at least 0.02 and at most 0.3"),
        ({"pressure": 0.0}, "pressure = 0 MPa, must be over 0 MPa"),
    ), own=False),
    Case("directional", welded(hold.fillet_directional), 30e3, (3, 8), WELD_REFUSED, welds=True),
    Case("normal", welded(hold.fillet_normal), 30e3, (3, 8), WELD_REFUSED, welds=True),
    Case("simplified", welded(hold.fillet_simplified), 30e3, (3, 8), WELD_REFUSED, welds=True),
)  # fmt: skip
OWN = Factors(own=1.5)
