"""The colours of a picture that is drawn without the page: the same as in page/parts.js and stage.js."""

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
    """What everything stands on: the ground, the edges of metal, the edges of keep-outs."""

    back: Colour
    edge: Colour
    faint: Colour


LIGHT = Ground(_of(0xF5F3EE), _of(0x2B2D30), _of(0x8B8778))
DARK = Ground(_of(0x191B1D), _of(0x0C0D0E), _of(0x7D8183))
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
