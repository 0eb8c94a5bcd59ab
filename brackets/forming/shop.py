"""What a shop has: plate and tube on the rack, brake and dies, bent strips, drills, formers, a printer.

mm, degrees, N.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from brackets.model.holes import REAM_STOCK


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
class Shop:
    """A shop: its tools, what is on its racks, and how it welds; mm, N.

    sample: whether it is invented; brake: its press brake; paper: the printer's sheet; bars: what the printer made
    of 100 mm in x and in y; paper_t: thickness of the paper, which a wrap goes round outside of; gap: least gap
    between walls of a folded piece that are not meant to touch; sheets, tubes: its racks; dies: of the brake;
    coupons: strips bent and measured; formers: of the tube bender; tubing, welding: its limits and process; drills,
    reamers: their diameters; ream_stock: how much smaller than finished a pivot hole is cut before welding, on the
    diameter.
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
    drills: tuple[float, ...] = ()
    reamers: tuple[float, ...] = ()
    ream_stock: float = REAM_STOCK

    @property
    def source(self) -> str:
        """How a finding names this shop."""
        return f"shop profile: {self.name}"


NO_TOOLS = Shop(name="none given, nothing judged against tools", sample=False, brake=Brake(length=math.inf))
"""Nobody's shop: only the rules that hold in every shop are judged."""
