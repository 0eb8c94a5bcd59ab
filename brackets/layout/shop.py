"""What a shop's tube tools and habits allow: the user's own settings, each default with where it comes
from."""

from __future__ import annotations

from dataclasses import dataclass

from brackets.findings import PRACTICE
from brackets.shop import Shop


@dataclass(frozen=True, kw_only=True)
class TubeShop:
    """mm and degrees.

    `formers`: (tube od, centre-line radius) the bender has; none: any radius. `straight`: least straight
    between bends and at the ends, in tube diameters, for the clamp. `fit_up`: widest gap that is welded.
    `torch`: least room between two tubes. `sharp`: least angle that is welded into. `wall_ratio`: most that
    what is welded to may be thicker than a tube's wall. `bung_play`: most room between a spigot and the
    bore.
    """

    formers: tuple[tuple[float, float], ...] = ()
    straight: float = 1.0
    stock: float = 6000.0
    fit_up: float = 1.6
    torch: float = 12.0
    sharp: float = 30.0
    wall_ratio: float = 4.0
    bung_play: float = 0.5

    @classmethod
    def of(cls, shop: Shop) -> TubeShop:
        """The settings with formers and the longest tube of a shop's profile; everything else as here."""
        longest = max((stick.length for stick in shop.tubes), default=cls.stock)
        return cls(formers=tuple((f.od, f.radius) for f in shop.formers), stock=longest)


FIT_UP = "a gap of 1/16 in can be survived, none is better: welders' handbook and pages, " + PRACTICE
"""trade notes, fact 87: Air Products handbook and forum pages, at second hand."""

HOME = TubeShop()
