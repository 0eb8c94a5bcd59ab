"""What a shop has, and a part as that shop makes it: bends by its strips, pivot holes reamed after welding.

mm, degrees, N.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal, TypeVar

from brackets.forming.printer_3d import Printer3D
from brackets.model.bend_allowance import k_of_allowance
from brackets.model.holes import REAM_STOCK, Hole, Opening
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Flange, Folded, Plate, Wall


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """Plate on the rack: `length` along the grain by `width`."""

    material: str
    t: float
    length: float
    width: float


@dataclass(frozen=True, kw_only=True)
class Stick:
    """Round tube on the rack."""

    od: float
    wall: float
    length: float


@dataclass(frozen=True, kw_only=True)
class Die:
    """A V-die: opening `v`, for plate from `thin` to `thick`, least `flange` measured outside, `radius` inside."""

    v: float
    thin: float
    thick: float
    flange: float
    radius: float


@dataclass(frozen=True, kw_only=True)
class Brake:
    """The folding machine: longest bend, and where known its force N and half the thickness of its punch.

    `goose_neck` is the highest ear that passes a goose-neck punch, 0 where there is none.
    """

    length: float
    force: float | None = None
    punch: float | None = None
    goose_neck: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Coupon:
    """A bent and measured strip: `allowance` is what its bend took of the flat, mm."""

    material: str
    t: float
    radius: float
    angle: float
    allowance: float


@dataclass(frozen=True, kw_only=True)
class Former:
    """A tube bender's former: centre-line `radius` for tube of `od`."""

    od: float
    radius: float


@dataclass(frozen=True, kw_only=True)
class Tubing:
    """How a shop works with tube, mm and degrees; every default is common practice, no source.

    `straight`: least straight between bends and at the ends, in tube diameters, for the bender's clamp. `fit_up`:
    widest gap that is welded (1/16 in). `torch`: least room between two
    tubes. `sharp`: least angle that is welded into. `wall_ratio`: most that what is welded to may be thicker than a
    tube's wall. `bung_play`: most room between a spigot and the bore. `wrap`: which cut a wrap shows, the outer
    contour to be bevelled afterwards, or the one that is cut square through.
    """

    straight: float = 1.0
    fit_up: float = 1.6
    torch: float = 12.0
    sharp: float = 30.0
    wall_ratio: float = 4.0
    bung_play: float = 0.5
    wrap: Literal["bevel", "no bevel"] = "bevel"


@dataclass(frozen=True, kw_only=True)
class Welding:
    """How a shop welds. `process`: "low hydrogen" (MIG or TIG with dry gas, basic rods from a dry box, or any
    process with the preheat that its code works out), or "other" (rutile or cellulose rods, gas), taken where
    nobody says.
    """

    process: Literal["low hydrogen", "other"] = "other"

    @property
    def low_hydrogen(self) -> bool:
        return self.process == "low hydrogen"


@dataclass(frozen=True, kw_only=True)
class Torch:
    """A straight welding torch, mm and degrees; every default is common practice, no source.

    From the root of the weld out: `stick_out` of bare wire or needle, the most that is still welded with; the
    nozzle, `nozzle_od` and `nozzle_length`; the neck behind it, `neck_od` and `neck_length`. `work`: most that it
    leans across the weld, either way from midway between the two faces; `travel`: most that it leans along it.
    """

    stick_out: float = 20.0
    nozzle_od: float = 16.0
    nozzle_length: float = 60.0
    neck_od: float = 30.0
    neck_length: float = 80.0
    work: float = 25.0
    travel: float = 35.0

    @property
    def length(self) -> float:
        """mm from the root of the weld to the end of the neck."""
        return self.stick_out + self.nozzle_length + self.neck_length


@dataclass(frozen=True, kw_only=True)
class DrawTool:
    """What draws a bush out of its cup by a threaded bar, mm; every default is common practice, no source.

    `receiver_wall`: of the tube that the bush comes out into, round the bush; `behind`: room behind that tube for
    washer, nut and spanner; `pusher`: room at the other end for the disc that follows the bush, its nut or head.
    """

    receiver_wall: float = 5.0
    behind: float = 60.0
    pusher: float = 40.0


@dataclass(frozen=True, kw_only=True)
class Shop:
    """A shop: its tools, what is on its racks, and how it welds; mm, N.

    sample: whether it is invented; brake: its press brake; paper: the printer's sheet; bars: what the printer made
    of 100 mm in x and in y; paper_t: thickness of the paper, which a wrap goes round outside of; gap: least gap
    between walls of a folded piece that are not meant to touch; sheets, tubes: its racks; dies: of the brake;
    coupons: strips bent and measured; formers: of the tube bender; tubing, welding: its limits and process; torch:
    what it welds with; draw_tool: what it changes bushes with; printer_3d: what mock-ups are printed on; drills,
    reamers: their diameters; ream_stock: how much smaller than finished a pivot hole is cut before welding, on the
    diameter; coating: thickness of paint, powder or zinc on every face, 0 where nobody says; coating_in_holes: of
    it in bores, holes and threads, None where it is the same; coating_by: who says so where it is not the shop.
    """

    name: str
    sample: bool
    brake: Brake
    paper: str = "A4"
    bars: tuple[float, float] = (100.0, 100.0)
    paper_t: float = 0.1
    gap: float = 1.0
    sheets: tuple[Sheet, ...] = ()
    tubes: tuple[Stick, ...] = ()
    dies: tuple[Die, ...] = ()
    coupons: tuple[Coupon, ...] = ()
    formers: tuple[Former, ...] = ()
    tubing: Tubing = Tubing()
    welding: Welding = Welding()
    torch: Torch = Torch()
    draw_tool: DrawTool = DrawTool()
    printer_3d: Printer3D = Printer3D()
    drills: tuple[float, ...] = ()
    reamers: tuple[float, ...] = ()
    ream_stock: float = REAM_STOCK
    coating: float = 0.0
    coating_in_holes: float | None = None
    coating_by: str = ""

    @property
    def source(self) -> str:
        """How a finding names this shop."""
        return f"shop profile: {self.name}"

    @property
    def in_holes(self) -> float:
        """Thickness of the coating in bores, holes and threads, mm."""
        return self.coating if self.coating_in_holes is None else self.coating_in_holes

    def coated(self, coating: float | None, in_holes: float | None, by: str) -> Shop:
        """The same shop where `by` says how thick the coating is, mm, on faces and in holes; None: it does not.

        Who says it of the faces alone says it of the holes too.
        """
        if coating is None and in_holes is None:
            return self
        faces = self.coating if coating is None else coating
        holes = faces if in_holes is None else in_holes
        return replace(self, coating=faces, coating_in_holes=holes, coating_by=by)


NO_TOOLS = Shop(name="none given, nothing judged against tools", sample=False, brake=Brake(length=math.inf))
"""Nobody's shop: only the rules that hold in every shop are judged."""


SAME_T = 0.02
"""mm: thicknesses nearer than this are one sheet; gauges differ by more."""

SAME_RADIUS = 0.05
"""Part of the radius: a strip bent on a punch this near stands for it; K hardly changes with the radius."""


def with_coupons(piece: Folded, shop: Shop) -> Folded:
    """The piece with the K of the shop's coupons at every bend that has one and no K of its own.

    A strip of the same material and thickness and nearly the same radius serves; of several the one of the
    nearest angle. Where a K is given with the piece, it stays.
    """
    if piece.k is not None:
        return piece
    return replace(piece, flanges=tuple(_measured(flange, piece, shop) for flange in piece.flanges))


def _measured(flange: Flange, piece: Folded, shop: Shop) -> Flange:
    fitting = [c for c in shop.coupons if flange.k is None and _fits(c, flange, piece)]
    if not fitting:
        return flange
    coupon = min(fitting, key=lambda c: abs(c.angle - abs(flange.angle)))
    k = k_of_allowance(coupon.allowance, coupon.angle, coupon.radius, coupon.t)
    return replace(
        flange,
        k=k,
        k_note=(
            f"coupon {coupon.material} t {coupon.t:g} r {coupon.radius:g} {coupon.angle:g} deg: "
            f"{coupon.allowance:g} mm measured"
        ),
    )


def _fits(coupon: Coupon, flange: Flange, piece: Folded) -> bool:
    return (
        coupon.material == piece.material
        and abs(coupon.t - piece.t) <= SAME_T
        and abs(coupon.radius - flange.inside_radius) <= SAME_RADIUS * flange.inside_radius
    )


P = TypeVar("P", bound=Piece)


def as_made_in(shop: Shop, part: Part) -> Part:
    """The part as this shop makes it: bends by its own bent strips, pivot holes under size by its own stock."""
    pieces = (with_coupons(piece, shop) if isinstance(piece, Folded) else piece for piece in part.pieces)
    return replace(part, pieces=tuple(with_ream_stock(piece, shop.ream_stock) for piece in pieces))


def with_ream_stock(piece: P, stock: float) -> P:
    """The piece with `stock` mm of diameter left in every pivot hole that does not say how much itself."""
    if isinstance(piece, Plate):
        return replace(piece, wall=_wall(piece.wall, stock))
    if isinstance(piece, Folded):
        flanges = tuple(replace(flange, wall=_wall(flange.wall, stock)) for flange in piece.flanges)
        return replace(piece, base=_wall(piece.base, stock), flanges=flanges)
    return piece


def _wall(wall: Wall, stock: float) -> Wall:
    return replace(wall, openings=tuple(_left(opening, stock) for opening in wall.openings))


def _left(opening: Opening, stock: float) -> Opening:
    if isinstance(opening, Hole) and opening.use.reamed and opening.ream is None:
        return replace(opening, ream=stock)
    return opening
