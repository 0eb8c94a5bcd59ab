"""The picture of a survey as SVG: the ± ellipses and residuals enlarged.

Looking at the casting: x right, y up (SVG's y is down). Sizes in mm.
"""

from __future__ import annotations

from xml.sax.saxutils import escape

from brackets.bosses import Survey, ellipse
from brackets.measure.work import Measured, label

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
