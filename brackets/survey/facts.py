"""What was measured as facts for scripts, as boss rows for a bay file, and as a picture. mm, kg, degrees."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any
from xml.sax.saxutils import escape

from brackets.survey.position import Position
from brackets.survey.readings import COVER, Survey, ellipse
from brackets.survey.work import Boss, Measured, bosses_text, label, pattern_text

FORMAT = 1


def facts(made: Measured) -> dict[str, Any]:
    """Everything as plain values for JSON: mm, kg, degrees; a figure that does not exist is null."""
    found: dict[str, Any] = {"format": FORMAT, "name": made.readings.name, "stops": list(made.stops)}
    if made.survey is not None:
        found |= {"holes": _holes(made), "survey": _survey_facts(made, made.survey)}
    if made.squares:
        found["datum"] = [
            {
                "name": row.name, "taped": list(s.taped), "drawn": list(s.drawn), "off": list(s.taped_less_drawn),
                "difference": s.difference, "ahead": s.ahead, "allowed": s.allowed, "agrees": s.agrees,
            }
            for row, s in zip(made.readings.data, made.squares, strict=True)
        ]  # fmt: skip
    if made.position is not None:
        found["position"] = _position_facts(made, made.position)
    if made.balance is not None:
        b = made.balance
        found["weight"] = {
            "mass": b.mass, "mass_pm": b.mass_pm, "centre": list(b.centre), "centre_pm": list(b.centre_pm),
            "height_known": b.height_known, "per_degree": b.per_degree,
            "misses": list(b.misses), "misses_pm": list(b.misses_pm),
        }  # fmt: skip
    return {key: finite(value) for key, value in found.items()}


def finite(value: Any) -> Any:
    """The value with None for what is not a finite number, as JSON has no word for it."""
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, Mapping):
        return {k: finite(v) for k, v in value.items()}
    return [finite(v) for v in value] if isinstance(value, list | tuple) else value


def _holes(made: Measured) -> list[dict[str, Any]]:
    assert made.survey is not None
    out = []
    for k, (boss, d) in enumerate(zip(made.bosses, made.survey.diameters, strict=True)):
        block = made.survey.covariance[3 * k : 3 * k + 3, 3 * k : 3 * k + 3]
        e = ellipse(block)
        out.append(
            {
                "name": boss.name,
                "in_pattern": [float(v) for v in made.survey.coordinates[k]],
                "at": list(boss.at) if made.placed else None, "normal": list(boss.normal),
                "d": d, "thread": boss.thread, "pos": boss.pos,
                "ellipse": {"long": e.long, "short": e.short, "angle": e.angle},
                "height_pm": COVER * math.sqrt(max(float(block[2, 2]), 0.0)),
            }
        )  # fmt: skip
    return out


def _survey_facts(made: Measured, s: Survey) -> dict[str, Any]:
    r = made.readings
    return {
        "pattern": pattern_text(s) if made.placed else None,
        "bosses": bosses_text(made.bosses) if made.placed else None,
        "fixed": s.fixed, "loose": list(s.loose), "mirrors": [list(m) for m in s.mirrors], "handed": s.handed,
        "hand_doubts": list(made.doubts),
        "spare": s.spare, "misfit": s.misfit,
        "verdict": s.suspect.verdict,
        "named": [
            {"reading": label(r, k), "number": k + 1, "guesses": list(g)}
            for k, g in zip(s.suspect.named, s.suspect.guesses, strict=True)
        ],
        "candidates": [label(r, k) for k in s.suspect.candidates],
        "at_least": s.suspect.at_least,
        "explained": [
            {"reading": label(r, k), "number": k + 1, "guesses": list(g)}
            for k, g in zip(s.suspect.candidates, s.suspect.explained, strict=True)
            if g
        ],
        "unchecked": [label(r, k) for k in s.suspect.unchecked],
        "help": None if s.help is None else {
            "between": list(s.help.between), "why": s.help.why, "before": s.help.before, "after": s.help.after,
        },
        "covariance": s.covariance.tolist(),
        "readings": [
            {
                "between": list(one.between), "how": one.how, "value": one.value, "pm": one.pm, "who": one.who,
                "residual": float(s.residuals[k]), "redundancy": float(s.redundancy[k]),
                "nameable": float(s.nameable[k]),
            }
            for k, one in enumerate(r.readings)
        ],
    }  # fmt: skip


def _position_facts(made: Measured, p: Position) -> dict[str, Any]:
    names = [point.name for point in made.readings.points]
    return {
        "at": list(p.at), "roll": p.roll, "pitch": p.pitch, "yaw": p.yaw,
        "at_pm": list(p.at_pm), "turn_pm": list(p.turn_pm), "misfit": p.misfit, "mirrored": p.mirrored,
        "named": None if p.named is None else names[p.named],
        "candidates": [names[k] for k in p.candidates],
        "impossible": [
            {"between": [names[f.a], names[f.b]], "drawn": f.drawn, "measured": f.measured, "pm": f.pm}
            for f in p.impossible
        ],
        "residuals": {n: p.residuals[k].tolist() for k, n in enumerate(names)},
    }  # fmt: skip


def boss_rows(bosses: tuple[Boss, ...], *, placed: bool) -> str:
    """The bosses as TOML rows of a bay file."""
    out = [] if placed else ["# in the pattern's own axes: give [place] in the readings file for bay axes"]
    for b in bosses:
        out += ["[[boss]]", f'name = "{b.name}"', f"at = {numbers(b.at, 2)}", f"normal = {numbers(b.normal, 6)}"]
        out += [f'thread = "{b.thread}"'] if b.thread else []
        out += [f"depth = {b.depth:g}"] if b.depth is not None else []
        out += [f'into = "{b.into}"'] if b.into else []
        out += [f"pos = {b.pos:.2f}", ""]
    return "\n".join(out)


def numbers(values: tuple[float, ...], places: int) -> str:
    """ "[1.00, 2.00]" as TOML has it; directions, to more than three places, without needless zeros."""
    shown = (round(v, places) + 0.0 for v in values)
    return "[" + ", ".join(f"{v:g}" if places > 3 else f"{v:.{places}f}" for v in shown) + "]"


WIDE = 180.0  # mm: width of the drawing area of the picture
EDGE = 22.0  # mm round it
TIMES = (1, 2, 5, 10, 20, 50, 100, 200, 500)  # how much ellipses may be enlarged
SHARE = 0.06  # of the pattern's width that the largest ellipse is drawn at, at most
STYLE = (
    "text{font-family:sans-serif;font-size:4px;fill:#222}.thin{stroke:#222;stroke-width:.2;fill:none}"
    ".read{stroke:#999;stroke-width:.25}.bad{stroke:#c00;stroke-width:.6}.el{stroke:#06c;stroke-width:.3;fill:#06c;"
    "fill-opacity:.15}.small{font-size:3px}"
)


def survey_picture(made: Measured) -> str:
    """The holes to scale with their ± ellipses enlarged by a stated factor; each reading a line with how far it is
    off, red where it is named or accused."""
    s = _survey(made)
    xs, ys = s.coordinates[:, 0], s.coordinates[:, 1]
    size = max(float(xs.max() - xs.min()), float(ys.max() - ys.min()), 1.0)
    scale = WIDE / size
    high = float(ys.max() - ys.min()) * scale
    times = enlarged(s, size)
    width, height = WIDE + 2 * EDGE, high + 2 * EDGE + 20

    def at(k: int) -> tuple[float, float]:
        return (EDGE + (float(xs[k]) - float(xs.min())) * scale, EDGE + (float(ys.max()) - float(ys[k])) * scale)

    out, index = [], {n: k for k, n in enumerate(s.names)}
    accused = {*s.suspect.named, *s.suspect.candidates}
    for k, one in enumerate(made.readings.readings):
        if one.how == "step" or one.between[0] not in index:
            continue
        (x1, y1), (x2, y2) = at(index[one.between[0]]), at(index[one.between[1]])
        kind = "bad" if k in accused else "read"
        out.append(f'<line class="{kind}" x1="{x1:.3f}" y1="{y1:.3f}" x2="{x2:.3f}" y2="{y2:.3f}"/>')
        share = 0.5 + 0.08 * ((k % 5) - 2)
        out.append(
            f'<text class="small" x="{x1 + share * (x2 - x1):.3f}" y="{y1 + share * (y2 - y1) - 0.8:.3f}">'
            f"{round(s.residuals[k], 2) + 0.0:+.2f}</text>"
        )
    for k, name in enumerate(s.names):
        x, y = at(k)
        e = ellipse(s.covariance[3 * k : 3 * k + 2, 3 * k : 3 * k + 2])
        rx, ry = (max(v * scale * times, 0.05) for v in (e.long, e.short))
        out.append(
            f'<ellipse class="el" rx="{rx:.3f}" ry="{ry:.3f}" '
            f'transform="translate({x:.3f} {y:.3f}) rotate({-e.angle:.2f})"/>'
        )
        d = s.diameters[k]
        if d is not None:
            out.append(f'<circle class="thin" cx="{x:.3f}" cy="{y:.3f}" r="{d / 2 * scale:.3f}"/>')
        out.append(f'<text x="{x + 2:.3f}" y="{y - 2:.3f}">{escape(name)}</text>')
    words = [
        f"{made.readings.name}: {scale:.4g} times full size, ± ellipses enlarged {times} times more",
        "grey: readings with how far each is off, mm; red: "
        + ("; ".join(label(made.readings, k) for k in sorted(accused)) or "none"),
    ]
    if made.doubts:
        words.append("THIS MAY BE THE MIRROR IMAGE of the holes")
    out += [f'<text x="{EDGE}" y="{height - 18 + 6 * i:.3f}">{escape(w)}</text>' for i, w in enumerate(words)]
    return _svg(width, height, out)


def enlarged(s: Survey, size: float) -> int:
    """The factor by which the ellipses are enlarged so that they can be seen and do not cover the holes."""
    largest = max(ellipse(s.covariance[k : k + 2, k : k + 2]).long for k in range(0, 3 * len(s.names), 3))
    fits = [t for t in TIMES if largest * t <= SHARE * size]
    return max(fits, default=TIMES[0])


def _survey(made: Measured) -> Survey:
    if made.survey is None:
        raise ValueError("no holes were measured: there is nothing to draw")
    return made.survey


def _svg(width: float, height: float, body: list[str]) -> str:
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:.3f}mm" height="{height:.3f}mm" '
        f'viewBox="0 0 {width:.3f} {height:.3f}">'
    )
    return "\n".join(
        ['<?xml version="1.0" encoding="UTF-8"?>', head, f"<style>{STYLE}</style>", *body, "</svg>", ""]
    )
