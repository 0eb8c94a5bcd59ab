"""A printer of plastic: its bed, and how true it prints by what its test print measured; mm, kg/m3.

A bar drawn 100 mm long that measures 99.4 shrinks, so everything is drawn larger by 100 / 99.4. What a hole is then
still too small, and a pin too large, by its own size, is its allowance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

BAR = 100.0
"""mm that the bars of the test print are drawn long."""

Pairs = tuple[tuple[float, float], ...]
"""(drawn, measured) diameters of the test print, mm."""


@dataclass(frozen=True, kw_only=True)
class Printer3D:
    """How a shop prints plastic; every default is common practice, no source, until the test print is measured.

    bed: room in x, y and z; edge: kept free round the bed; nozzle: width of a line of plastic; bars: what bars of
    100 mm along x, y and z measured; holes, pins: (drawn, measured) diameters; hole: what a hole is drawn larger
    on its diameter where no hole was measured; bush: the same of a bore for a bush, None where it is as `hole`;
    pin: what a pin is drawn smaller where no pin was measured; joint: room round a pin in its socket, on the
    diameter; filament: its diameter; density: of the plastic; lines: of plastic round every outline; fill: part of
    the inside that is filled. The last four are for the estimate of filament alone.
    """

    bed: tuple[float, float, float] = (200.0, 200.0, 200.0)
    edge: float = 5.0
    nozzle: float = 0.4
    bars: tuple[float, float, float] = (BAR, BAR, BAR)
    holes: Pairs = ()
    pins: Pairs = ()
    hole: float = 0.3
    bush: float | None = None
    pin: float = 0.0
    joint: float = 0.2
    filament: float = 1.75
    density: float = 1240.0
    lines: int = 3
    fill: float = 0.15

    @property
    def room(self) -> tuple[float, float, float]:
        """What a body may measure to go on the bed."""
        x, y, z = self.bed
        return x - 2 * self.edge, y - 2 * self.edge, z

    @property
    def scale(self) -> tuple[float, float, float]:
        """What everything is drawn larger by, along x, y and z."""
        x, y, z = self.bars
        return BAR / x, BAR / y, BAR / z

    @property
    def tested(self) -> bool:
        """Whether a hole of the test print was measured."""
        return bool(self.holes)

    def hole_allowance(self, d: float) -> float:
        """What a hole of `d` mm is drawn larger on its diameter, before the scale; between measured ones in line.

        >>> Printer3D(bars=(99, 99, 100), holes=((10, 9.6),)).hole_allowance(10)  # shrunk to 9.9, printed 9.6
        0.3
        """
        return self._between(self.holes, d, self.hole, -1.0)

    def bush_allowance(self, d: float) -> float:
        """The same of a bore that a bush goes into."""
        return self.hole_allowance(d) if self.bush is None else self.bush

    def pin_allowance(self, d: float) -> float:
        """What a pin of `d` mm is drawn smaller on its diameter, before the scale."""
        return self._between(self.pins, d, self.pin, 1.0)

    def _between(self, pairs: Pairs, d: float, usual: float, sign: float) -> float:
        if not pairs:
            return usual
        shrunk = (self.bars[0] + self.bars[1]) / 2 / BAR
        known = sorted((drawn, round(sign * (measured - drawn * shrunk), 9)) for drawn, measured in pairs)
        return _in_line(known, d)


def _in_line(known: Sequence[tuple[float, float]], x: float) -> float:
    """The value at `x` on the lines through the points of `known`; past its ends that of the end."""
    if x <= known[0][0]:
        return known[0][1]
    for (x0, y0), (x1, y1) in zip(known, known[1:], strict=False):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0) if x1 > x0 else y1
    return known[-1][1]
