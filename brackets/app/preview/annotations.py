"""What is drawn over the metal of a picture: axes, bend lines, centres of mass, gap lines with their words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from brackets.app.cli.inches import MM, Lengths
from brackets.app.preview.shot import Shot
from brackets.app.preview.vtk_body import VtkBody

Floats = NDArray[np.float64]

NEAR = 30.0
"""mm spare beyond which a gap line tells nobody anything."""
MOST = 16
"""Gap lines with words: with more, no leader can be followed."""


@dataclass(frozen=True, eq=False)
class Line:
    """Segments (k, 2, 3) float, mm, and what they are; `through_metal`: drawn over the metal before it."""

    what: str
    segments: Floats
    through_metal: bool = True


@dataclass(frozen=True, eq=False)
class Tag:
    """Words and the point they speak of, mm. tone: "quiet", "good" or "bad"."""

    text: str
    at: Floats
    tone: str


def annotate(
    header: dict[str, Any], bodies: Sequence[VtkBody], shot: Shot, kept: Callable[[Floats], bool]
) -> tuple[list[Line], list[Tag]]:
    """Lines and words; `kept`: whether a point is left by the section. As made and together only: where pieces
    are pulled apart or unfolded, axes and gaps would point at nothing."""
    bends = [body.bends for body in bodies if shot.axes and len(body.bends)]
    lines = [Line("bend", np.vstack(bends), through_metal=False)] if bends else []
    if shot.apart > 0 or shot.fold < 1:
        return lines, []
    gaps, said = _gaps(header["pairs"], shot, kept, Lengths(str(header.get("bare", "mm"))))
    if not shot.axes:
        return gaps, said
    axes = [Line(row["what"], np.array([row["ends"]], dtype=float)) for row in header["lines"]]
    marks, tags = _marks(header, bodies)
    return lines + axes + marks + gaps, tags + said


def _marks(header: dict[str, Any], bodies: Sequence[VtkBody]) -> tuple[list[Line], list[Tag]]:
    points = np.vstack([body.points for body in bodies])
    arm = float(np.linalg.norm(points.max(axis=0) - points.min(axis=0))) / 40
    lines, tags = [], []
    for mark in header["marks"]:
        if header["about"] == "bay" and mark["thing"] != "powertrain":
            continue
        at = np.array(mark["at"], dtype=float)
        for axis, way in zip("xyz", np.eye(3) * arm, strict=True):
            lines.append(Line(axis, np.array([[at - way, at + way]])))
        name = "" if mark["name"] == "centre of mass" else f"{mark['name']} "
        tags.append(Tag(f"{name}centre of mass, {mark['kg']:.{2 if mark['kg'] < 10 else 1}f} kg", at, "quiet"))
    return lines, tags


def _gaps(
    pairs: Sequence[dict[str, Any]], shot: Shot, kept: Callable[[Floats], bool], at: Lengths
) -> tuple[list[Line], list[Tag]]:
    lines: list[Line] = []
    tags: list[Tag] = []
    for pair in pairs:
        near = len(tags) < MOST and shot.gaps and pair["state"] in ("clear", "far") and pair["spare"] <= NEAR
        if not (pair["level"] or near):
            continue
        ends = np.array([pair["p"], pair["q"]], dtype=float)
        if not kept(ends.mean(axis=0)):
            continue
        lines.append(Line("short" if pair["level"] else "gap", ends[None]))
        tags.append(Tag(words(pair, at), ends.mean(axis=0), "bad" if pair["level"] else "good"))
    return lines, tags


def words(pair: dict[str, Any], at: Lengths = MM) -> str:
    """ "12.3 mm, spare 4.3": a gap in a few words, as in the page."""
    if pair["level"] == "stop":
        return "touches" if pair["state"] == "touch" else "fouls"
    return f"{at.proven(pair['found'])}, spare {at.least(pair['spare'])}"
