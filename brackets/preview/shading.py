"""The colours of a picture that is drawn without the page: the same as in page/parts.js, stage.js and labels.js."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

Colour = tuple[float, float, float]
"""sRGB, 0 to 1."""


def _of(figure: int) -> Colour:
    return (figure >> 16 & 255) / 255, (figure >> 8 & 255) / 255, (figure & 255) / 255


@dataclass(frozen=True)
class Ground:
    """What everything stands on: the ground, the edges of metal and of keep-outs; paper and ink of words."""

    back: Colour
    edge: Colour
    faint: Colour
    paper: Colour
    tones: Mapping[str, Colour]


LIGHT = Ground(
    back=_of(0xF5F3EE),
    edge=_of(0x2B2D30),
    faint=_of(0x8B8778),
    paper=_of(0xFFFDF8),
    tones={"quiet": _of(0x3C4146), "good": _of(0x1D5C42), "bad": _of(0xA81717)},
)
DARK = Ground(
    back=_of(0x191B1D),
    edge=_of(0x0C0D0E),
    faint=_of(0x7D8183),
    paper=_of(0x212426),
    tones={"quiet": _of(0xC9C9C6), "good": _of(0x8FCBB3), "bad": _of(0xFF8A80)},
)
AXIS = {"x": _of(0xB03A2E), "y": _of(0x2F8D45), "z": _of(0x3D7FD0)}
LINES = {
    "bend": _of(0xB3470B),
    "bush axis": _of(0x2D6FA8),
    "bolt axis": _of(0x2F7D5D),
    "gap": _of(0x2F7D5D),
    "short": _of(0xD21F1F),
    **AXIS,
}
PIECES = tuple(map(_of, (0x6F8EA3, 0xB58A5A, 0x7F9A6E, 0x9A7FA0, 0xA3756C, 0x5F8F8C, 0x9C9460, 0x7A82AD)))
SIDES = {"chassis": _of(0x6F8EA3), "powertrain": _of(0xB58A5A)}
BOUGHT = {"bush": _of(0x45474A), "sleeve": _of(0xB9BDBF), "bolt": _of(0x8D9194), "foul": _of(0xD21F1F)}
KEEP_OUT = {"chassis": _of(0x7E8F86), "powertrain": _of(0x9A8A78)}


def colour_of(item: Mapping[str, Any], index: int, about: str) -> Colour:
    """The colour of a thing by what it is; pieces of a lone part take turns."""
    what, side = item["what"], item["side"]
    if what == "keep-out":
        return KEEP_OUT[side]
    if what != "part":
        return BOUGHT.get(what, BOUGHT["bolt"])
    return PIECES[index % len(PIECES)] if about == "recipe" else SIDES.get(side, PIECES[0])


def opacity_of(item: Mapping[str, Any]) -> float:
    """Keep-outs are seen through."""
    return 0.16 if item["what"] == "keep-out" else 1.0
