"""The tables of a shop profile, row by row: what each key may be. mm, degrees, N."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated

from brackets.core.errors import InputError
from brackets.core.schema.bounds import at_least, at_most
from brackets.core.schema.checked import Checked
from brackets.core.schema.file_keys import UNITS, FileKeys, TableKeys
from brackets.core.schema.kinds import choice, count, deg, mm, newton, number, point, points, sizes, text, yes_no
from brackets.core.tables.kinds import row
from brackets.core.vectors import Vec
from brackets.forming.printer_3d import Printer3D
from brackets.forming.shop import DrawTool, Torch, Tubing, Welding
from brackets.model.bend_allowance import k_of_allowance
from brackets.model.holes import REAM_STOCK

COATING_IN_HOLES = "thickness of it in bores, holes and threads, where that is another: 0 where they are masked"

FORMAT = 1
"""Format number of a shop profile."""

WRAPS = ("bevel", "no bevel")

PROCESSES = ("low hydrogen", "other")

PAPERS = ("A4", "A3", "Letter")

WORST_PRINTER = (90.0, 110.0)
"""mm: what 100 mm may measure on paper before a setting is wrong; a sheet fitted to the page comes out at 94 to 97,
common practice, no source."""

BIG = 20000.0
"""mm: longer stock than any shop lays on its rack."""

USUAL = Tubing()
USUAL_TORCH = Torch()
USUAL_DRAW_TOOL = DrawTool()
USUAL_3D = Printer3D()

WORST_3D = (95.0, 105.0)
"""mm that a printed bar of 100 mm may measure before something else is wrong: common practice, no source."""

MOST_OFF = 2.0
"""mm that a printed hole or pin may be off before it was measured wrong: common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class ShopRow(Checked):
    format: Annotated[int, count(FORMAT, FORMAT, "format of a shop profile")]
    name: Annotated[str, text("what the shop is called", longest=300)]
    sample: Annotated[bool, yes_no("the profile is invented: findings say so")] = False
    unit: Annotated[str, choice(UNITS, "unit of bare numbers")] = "mm"
    gap: Annotated[float, mm(0, 50, "least gap between folded walls that are not meant to touch")] = 1.0
    coating: Annotated[float, mm(0, 2, "thickness of paint, powder or zinc on every face")] = 0.0
    coating_in_holes: Annotated[float | None, mm(0, 2, COATING_IN_HOLES)] = None

    def rules(self) -> Iterator[str]:
        if not self.name.strip():
            yield 'name = "", must not be empty: what the shop is called'


@dataclass(frozen=True, kw_only=True)
class PrinterRow(Checked):
    paper: Annotated[str, choice(PAPERS, "paper of the templates")] = "A4"
    bar_x: Annotated[float, mm(*WORST_PRINTER, "what the 100 mm bar across the paper measures")] = 100.0
    bar_y: Annotated[float, mm(*WORST_PRINTER, "what the 100 mm bar along the paper measures")] = 100.0
    paper_t: Annotated[float, mm(0, 2, "thickness of the paper that a wrap is printed on")] = 0.1


@dataclass(frozen=True, kw_only=True)
class BrakeRow(Checked):
    length: Annotated[float, mm(50, BIG, "longest bend")]
    force: Annotated[float | None, newton(1e3, 1e8, "force of the brake; without it none is judged")] = None
    punch: Annotated[float | None, mm(0.5, 200, "half the thickness of the straight punch, above its tip")] = None
    goose_neck: Annotated[float, mm(0, 500, "highest ear that passes the goose-neck punch, 0: there is none")] = 0.0


@dataclass(frozen=True, kw_only=True)
class TubingRow(Checked):
    straight: Annotated[
        float, number(0, 20, "least straight between bends and at the ends, in tube diameters")
    ] = USUAL.straight
    fit_up: Annotated[float, mm(0, 10, "widest gap that is welded")] = USUAL.fit_up
    torch: Annotated[float, mm(0, 200, "least room between two tubes")] = USUAL.torch
    sharp: Annotated[float, deg(0, 90, "least angle that is welded into")] = USUAL.sharp
    wall_ratio: Annotated[
        float, number(1, 100, "most that what is welded to may be thicker than a tube's wall, times")
    ] = USUAL.wall_ratio
    bung_play: Annotated[float, mm(0, 10, "most room between a bung's spigot and the bore")] = USUAL.bung_play
    wrap: Annotated[str, choice(WRAPS, "cut that a wrap shows: to be bevelled, or square through")] = USUAL.wrap


@dataclass(frozen=True, kw_only=True)
class WeldingRow(Checked):
    process: Annotated[str, choice(PROCESSES, "how steel is welded; it decides the least leg (AWS D1.1)")] = (
        Welding().process
    )


@dataclass(frozen=True, kw_only=True)
class TorchRow(Checked):
    stick_out: Annotated[float, mm(3, 60, "most bare wire or needle that is welded with")] = USUAL_TORCH.stick_out
    nozzle_od: Annotated[float, mm(4, 60, "outside of the nozzle")] = USUAL_TORCH.nozzle_od
    nozzle_length: Annotated[float, mm(5, 300, "length of the nozzle")] = USUAL_TORCH.nozzle_length
    neck_od: Annotated[float, mm(4, 150, "outside of the neck and grip behind the nozzle")] = USUAL_TORCH.neck_od
    neck_length: Annotated[float, mm(1, 600, "length of the neck, straight behind the nozzle")] = (
        USUAL_TORCH.neck_length
    )
    work: Annotated[float, deg(0, 60, "most it leans across the weld from between the two faces")] = (
        USUAL_TORCH.work
    )
    travel: Annotated[float, deg(0, 60, "most it leans along the weld")] = USUAL_TORCH.travel


@dataclass(frozen=True, kw_only=True)
class DrawToolRow(Checked):
    receiver_wall: Annotated[float, mm(1, 50, "wall of the tube that a bush is drawn into")] = (
        USUAL_DRAW_TOOL.receiver_wall
    )
    behind: Annotated[float, mm(1, 400, "room behind it for washer, nut and spanner")] = USUAL_DRAW_TOOL.behind
    pusher: Annotated[float, mm(1, 400, "room at the other end for the disc and its nut")] = USUAL_DRAW_TOOL.pusher


@dataclass(frozen=True, kw_only=True)
class Printer3DRow(Checked):
    bed: Annotated[Vec, point(3, "room on its bed: along x, along y, and how high it prints", lo=30, hi=2000)] = (
        USUAL_3D.bed
    )
    edge: Annotated[float, mm(0, 100, "kept free round the bed")] = USUAL_3D.edge
    nozzle: Annotated[float, mm(0.1, 3, "width of its nozzle")] = USUAL_3D.nozzle
    bar_x: Annotated[float, mm(*WORST_3D, "what the test print's 100 mm bar along x measures")] = 100.0
    bar_y: Annotated[float, mm(*WORST_3D, "what the test print's 100 mm bar along y measures")] = 100.0
    bar_z: Annotated[float, mm(*WORST_3D, "what the test print's 100 mm bar along z measures")] = 100.0
    holes: Annotated[
        tuple[tuple[float, float], ...],
        points(2, "holes of the test print: [drawn, measured]", axes=("drawn", "measured"), lo=0, hi=200),
    ] = ()
    pins: Annotated[
        tuple[tuple[float, float], ...],
        points(2, "pins of the test print: [drawn, measured]", axes=("drawn", "measured"), lo=0, hi=200),
    ] = ()
    hole: Annotated[
        float, mm(-1, 2, "what a hole is drawn larger on its diameter where none of the test print is given")
    ] = USUAL_3D.hole
    bush: Annotated[float | None, mm(-1, 2, "the same of a bore for a bush; left out: as any hole")] = None
    pin: Annotated[float, mm(-1, 2, "what a pin is drawn smaller where none of the test print is given")] = (
        USUAL_3D.pin
    )
    joint: Annotated[float, mm(0, 2, "room round a pin in its socket, on the diameter")] = USUAL_3D.joint
    filament: Annotated[float, mm(0.5, 5, "diameter of the filament, for the estimate")] = USUAL_3D.filament
    density: Annotated[float, number(500, 3000, "kg/m3 of the plastic, for the estimate")] = USUAL_3D.density
    lines: Annotated[int, count(1, 20, "lines of plastic round an outline, for the estimate")] = USUAL_3D.lines
    fill: Annotated[float, number(0, 1, "part of the inside that is filled, for the estimate")] = USUAL_3D.fill

    def rules(self) -> Iterator[str]:
        for i, name in enumerate("xyz"):
            if i < 2 and self.bed[i] <= 2 * self.edge:
                yield at_least(f"bed {name}", self.bed[i], 2 * self.edge, "and more: the edge on both sides")
        for what, pairs in (("holes", self.holes), ("pins", self.pins)):
            for drawn, measured in pairs:
                if not (drawn > 0 and abs(measured - drawn) <= MOST_OFF):
                    yield (
                        f"{what} = [{drawn:g}, {measured:g}] mm, must be over 0 and within {MOST_OFF:g} of each"
                        " other: drawn and measured"
                    )


@dataclass(frozen=True, kw_only=True)
class HoleToolsRow(Checked):
    drills: Annotated[tuple[float, ...], sizes(0.5, 100, "drills there are")] = ()
    reamers: Annotated[tuple[float, ...], sizes(1, 100, "reamers there are")] = ()
    ream_stock: Annotated[
        float, mm(0, 3, "diameter that a pivot hole is made under size before welding")
    ] = REAM_STOCK


@dataclass(frozen=True, kw_only=True)
class SheetRow(Checked):
    material: Annotated[str, row("material", "what the plate is made of")]
    t: Annotated[tuple[float, ...], sizes(0.3, 60, "thicknesses kept")] = ()
    length: Annotated[float, mm(50, BIG, "length of a sheet, along the grain")]
    width: Annotated[float, mm(50, BIG, "width of a sheet")]


@dataclass(frozen=True, kw_only=True)
class TubeRow(Checked):
    od: Annotated[float, mm(4, 400, "outside of the tube")]
    wall: Annotated[tuple[float, ...], sizes(0.3, 200, "walls kept")] = ()
    length: Annotated[float, mm(50, BIG, "length of a stick")]

    def rules(self) -> Iterator[str]:
        for wall in self.wall:
            if wall > self.od / 2:
                yield at_most("wall", wall, self.od / 2, "half the outside of the tube")


@dataclass(frozen=True, kw_only=True)
class DieRow(Checked):
    v: Annotated[float, mm(2, 500, "opening of the die")]
    thin: Annotated[float, mm(0.3, 60, "thinnest plate it is for")]
    thick: Annotated[float, mm(0.3, 60, "thickest plate it is for")]
    flange: Annotated[float, mm(1, 500, "least flange, measured outside")]
    radius: Annotated[float, mm(0.1, 200, "inside radius it gives")]

    def rules(self) -> Iterator[str]:
        if self.thick < self.thin:
            yield at_least("thick", self.thick, self.thin, "not under the thinnest plate")


@dataclass(frozen=True, kw_only=True)
class CouponRow(Checked):
    material: Annotated[str, row("material", "what the strip was made of")]
    t: Annotated[float, mm(0.3, 60, "its thickness")]
    radius: Annotated[float, mm(0.05, 200, "inside radius of its bend, measured")]
    angle: Annotated[float, deg(5, 175, "bend angle")]
    allowance: Annotated[float, mm(0.05, 1000, "what the bend took of the flat")]

    def rules(self) -> Iterator[str]:
        try:
            k_of_allowance(self.allowance, self.angle, self.radius, self.t)
        except InputError as wrong:
            yield from wrong.problems


@dataclass(frozen=True, kw_only=True)
class FormerRow(Checked):
    od: Annotated[float, mm(4, 400, "outside of the tube it is for")]
    radius: Annotated[float, mm(5, 5000, "radius it bends the centre line to")]


SHOP_KEYS = FileKeys(
    kind="shop",
    title="shop profile",
    top=ShopRow,
    tables=(
        TableKeys(name="printer", row=PrinterRow, form="table", about="paper, and how true the printer is"),
        TableKeys(name="brake", row=BrakeRow, form="table", about="folding machine", must=True),
        TableKeys(name="tubing", row=TubingRow, form="table", about="how tube is worked"),
        TableKeys(name="welding", row=WeldingRow, form="table", about="how steel is welded"),
        TableKeys(name="torch", row=TorchRow, form="table", about="torch that is to reach every weld"),
        TableKeys(name="draw_tool", row=DrawToolRow, form="table", about="what draws a bush out of its cup"),
        TableKeys(name="printer_3d", row=Printer3DRow, form="table", about="printer of plastic mock-ups"),
        TableKeys(name="hole_tools", row=HoleToolsRow, form="table", about="drills and reamers"),
        TableKeys(name="sheet", row=SheetRow, form="rows", about="plate on the rack"),
        TableKeys(name="tube", row=TubeRow, form="rows", about="round tube on the rack"),
        TableKeys(name="die", row=DieRow, form="rows", about="V-dies of the brake"),
        TableKeys(
            name="coupon",
            row=CouponRow,
            form="rows",
            about="strips you bent and measured, in place of the bend formula",
            examples={"material": "S235", "t": 4, "radius": 5, "angle": 90, "allowance": 10.3},
        ),
        TableKeys(name="former", row=FormerRow, form="rows", about="formers of the tube bender"),
    ),
)
