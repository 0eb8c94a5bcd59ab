"""Partial factors that strengths are divided by, and the user's own factor on yield beside them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Any

from brackets.core.errors import OutOfRange

SYMBOLS = {
    "m0": ("gamma_M0", "EN 1993-1-1:2005 6.1"),
    "m1": ("gamma_M1", "EN 1993-1-1:2005 6.1"),
    "m2": ("gamma_M2", "EN 1993-1-8:2005 2.2"),
    "m3": ("gamma_M3", "EN 1993-1-8:2005 2.2"),
    "m5": ("gamma_M5", "EN 1993-1-8:2005 2.2"),
    "m6_ser": ("gamma_M6,ser", "EN 1993-1-8:2005 2.2"),
    "aluminium_m1": ("gamma_M1", "EN 1999-1-1:2007 6.1.3 (from memory)"),
    "aluminium_m2": ("gamma_M2", "EN 1999-1-1:2007 6.1.3, 8.1.1 (from memory)"),
}


@dataclass(frozen=True)
class Basis:
    """What strengths are divided by; by_yield: whether tensile strength is replaced by yield."""

    m0: float
    m1: float
    m2: float
    m3: float
    m5: float
    m6_ser: float
    aluminium_m1: float
    aluminium_m2: float
    by_yield: bool

    def fu(self, metal: Any) -> Any:
        """Tensile strength of a metal or bolt, MPa; its yield on the basis of yield."""
        return metal.fy if self.by_yield else metal.fu


@dataclass(frozen=True, kw_only=True)
class Factors:
    """Partial factors. Defaults are those EN 1993 and EN 1999 recommend: no national annex is taken.

    m0: yield of sections; m1: buckling; m2: tensile strength, bolts, welds; m3: slip; m5: walls of tubes under what
    is welded to them; m6_ser: pins that are to be taken out, in use; aluminium_m1, aluminium_m2: yield and
    tensile strength of aluminium. own: the
    user's factor on yield, for a second column; None for none. Each at least 1.
    Raises OutOfRange with everything that is wrong.
    """

    m0: float = 1.0
    m1: float = 1.0
    m2: float = 1.25
    m3: float = 1.25
    m5: float = 1.0
    m6_ser: float = 1.0
    aluminium_m1: float = 1.1
    aluminium_m2: float = 1.25
    own: float | None = None

    def __post_init__(self) -> None:
        given = {each.name: getattr(self, each.name) for each in fields(self)}
        wrong = [
            f"{name} = {value:g}, must be a finite number of at least 1: factor that a strength is divided by"
            for name, value in given.items()
            if value is not None and not 1 <= value < math.inf
        ]
        if wrong:
            raise OutOfRange(*wrong)

    @property
    def basis(self) -> Basis:
        """As the code has it."""
        given = {name: getattr(self, name) for name in SYMBOLS}
        return Basis(**given, by_yield=False)

    @property
    def own_basis(self) -> Basis:
        """Yield over the user's own factor; only where there is one."""
        assert self.own is not None
        return Basis(**dict.fromkeys(SYMBOLS, self.own), by_yield=True)

    def said(self, uses: Sequence[str]) -> str:
        """The factors of a check with their source: "gamma_M2 1.25 (EN 1993-1-8:2005 2.2, recommended)"."""
        told = []
        for name in uses:
            value, (symbol, source) = getattr(self, name), SYMBOLS[name]
            typed = value != getattr(EN_1993, name)
            told.append(f"{symbol} {value:g} ({'as typed' if typed else f'{source}, recommended'})")
        return ", ".join(told) or "none"


EN_1993 = Factors()
"""The recommended values; no national annex."""
