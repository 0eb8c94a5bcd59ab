"""What was measured, as tables to print, in the unit of the file."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from brackets.core.units import show_length
from brackets.survey.facts import numbers
from brackets.survey.position import Position
from brackets.survey.readings import COVER, Help, Survey, ellipse
from brackets.survey.work import Measured, bosses_text, label, pattern_text

LEANS = 3.0  # sigmas by which somebody's readings must lie to one side to be told
MISSES = 2.0  # times its ± by which a weighing must miss the rest to be told


@dataclass(frozen=True)
class Sheet:
    """One table: its title, headings, rows, which columns are set right, and the sentences under it."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...] = ()


def sheets(made: Measured) -> tuple[Sheet, ...]:
    """The tables to print, in the file's own unit."""
    out: list[Sheet] = []
    if made.survey is not None:
        out += [_hole_sheet(made, made.survey), _reading_sheet(made, made.survey)]
    if made.squares:
        out.append(_datum_sheet(made))
    if made.position is not None:
        out.append(_position_sheet(made, made.position))
    if made.balance is not None:
        out.append(_weight_sheet(made))
    return tuple(out)


def _hole_sheet(made: Measured, s: Survey) -> Sheet:
    show = _shower(made)
    rows = []
    for k, boss in enumerate(made.bosses):
        e = ellipse(s.covariance[3 * k : 3 * k + 2, 3 * k : 3 * k + 2])
        at = [show(v) for v in s.coordinates[k]]
        loose = boss.name in s.loose
        pm = "not fixed" if loose else f"{show(e.long)} x {show(e.short)} at {e.angle:.0f}°"
        rows.append((boss.name, *at, pm, *(show(v) for v in boss.at)))
    unit = made.readings.unit
    head = (
        "hole",
        f"x {unit}",
        "y",
        "z",
        "± ellipse",
        *(f"{w} {a}" for w, a in zip(("bay",) * 3, "xyz", strict=True)),
    )
    if made.readings.placed is None or not made.placed:
        rows, head = [r[:5] for r in rows], head[:5]
    return Sheet("Holes", head, tuple(rows), tuple(_hole_notes(made, s)))


def _hole_notes(made: Measured, s: Survey) -> list[str]:
    show, r = _shower(made, unit=True), made.readings
    notes = []
    if made.doubts:
        notes.append("THIS MAY BE THE MIRROR IMAGE of the holes, see below: no boss rows and no hole list from it")
    elif not s.fixed:
        notes.append("the readings do not fix the holes, see below: no boss rows and no hole list from them")
    for k, guessed in zip(s.suspect.named, s.suspect.guesses, strict=True):
        notes.append(
            f"WRONG READING, left out: {label(r, k)}. {'; '.join(guessed) or 'no usual mistake explains it'}"
        )
    if s.suspect.unchecked:
        labels = "; ".join(label(r, k) for k in s.suspect.unchecked)
        notes.append(f"nothing checks, so that a mistake would not show: {labels}")
    if s.spare > 0 and not np.isfinite(s.nameable).any() and not s.suspect.candidates:
        notes.append(
            f"{s.spare} spare: a mistake would show but could not be pinned to one reading; read some twice"
        )
    if s.spare > 0:
        notes.append(f"misfit {s.misfit:.2f} of what the ± say (1 is right), {s.spare} readings to spare")
    for k, guessed in zip(s.suspect.candidates, s.suspect.explained, strict=True):
        if guessed:
            notes.append(f"if it is {label(r, k)}: {'; '.join(guessed)}")
    if s.suspect.candidates:
        pairs = "; ".join(label(r, k) for k in s.suspect.candidates)
        notes.append(f"read these again, each once more, and put both readings in the file: {pairs}")
    elif s.help is not None:
        notes.append(_help(s.help, show))
    elif s.loose:
        notes.append("no distance between holes would fix it: holes in a row need a datum edge along them")
    if made.placed:
        notes.append(f'for adaptor: --holes "{pattern_text(s)}"')
    if made.placed and made.readings.placed is not None:
        notes.append(f'for stay, cross_member, cup_on_plate: --bosses "{bosses_text(made.bosses)}"')
    return notes


def _help(h: Help, show: Callable[[float], str]) -> str:
    pair = f"the next reading to take is {h.between[0]} to {h.between[1]}"
    if h.why == "narrows the ellipses":
        return f"{pair}: it narrows the ellipses most, the worst ± from {show(h.before)} to {show(h.after)}"
    return f"{pair}: it {h.why}"


def _reading_sheet(made: Measured, s: Survey) -> Sheet:
    show = _shower(made)
    rows = []
    for k, one in enumerate(made.readings.readings):
        mark = "WRONG" if k in s.suspect.named else "?" if k in s.suspect.candidates else ""
        hides = show(float(s.nameable[k])) if math.isfinite(s.nameable[k]) else "any"
        rows.append(
            (f"{one.between[0]} {one.between[1]}", one.how, one.who, show(one.value), show(one.pm),
             f"{show(float(s.residuals[k]))}", hides, mark)
        )  # fmt: skip
    notes = tuple(_people(made, s))
    head = ("between", "how", "who", "read", "±", "off", "may hide", "note")
    return Sheet("Readings", head, tuple(rows), notes)


def _people(made: Measured, s: Survey) -> list[str]:
    """People whose readings lie to one side."""
    show, out = _shower(made, unit=True), []
    by: dict[str, list[tuple[float, float]]] = {}
    for k, one in enumerate(made.readings.readings):
        if one.who and k not in s.suspect.named and one.how != "step":
            by.setdefault(one.who, []).append((float(s.residuals[k]), one.pm / COVER))
    for who, found in by.items():
        weight = sum(1.0 / sigma**2 for _, sigma in found)
        mean = sum(v / sigma**2 for v, sigma in found) / weight
        if len(found) > 2 and abs(mean) * math.sqrt(weight) > LEANS:
            out.append(f"{who} reads {show(abs(mean))} too {'long' if mean > 0 else 'short'} on the whole")
    return out


def _datum_sheet(made: Measured) -> Sheet:
    show = _shower(made)
    rows = []
    for row, s in zip(made.readings.data, made.squares, strict=True):
        for (i, j), drawn, taped, off in zip(s.pairs, s.drawn, s.taped, s.taped_less_drawn, strict=True):
            rows.append((row.name, f"marks {i + 1} to {j + 1}", show(drawn), show(taped), show(off)))
        verdict = "agrees" if s.agrees else "STOP"
        rows.append((row.name, "difference", "", show(s.difference), f"{verdict}, allowed {show(s.allowed)}"))
        rows.append((row.name, "one side ahead by", "", show(s.ahead), ""))
    return Sheet("Datum", ("set-up", "what", "drawn", "taped", "off"), tuple(rows))


def _position_sheet(made: Measured, p: Position) -> Sheet:
    show = _shower(made)
    rows = []
    for k, point in enumerate(made.readings.points):
        mark = "WRONG, left out" if k == p.named else "?" if k in p.candidates else ""
        off = p.residuals[k]
        rows.append((point.name, *(show(float(v)) for v in off), show(float(np.linalg.norm(off))), mark))
    names = [point.name for point in made.readings.points]
    notes = [
        f"place = {{ at = {numbers(p.at, 2)}, roll = {p.roll:.3f}, pitch = {p.pitch:.3f}, yaw = {p.yaw:.3f} }}",
        f"± {', '.join(show(v) for v in p.at_pm)} {made.readings.unit} and "
        f"{', '.join(f'{v:.2f}' for v in p.turn_pm)} degrees (roll, pitch, yaw)",
    ]
    notes += [
        f"impossible: {names[f.a]} to {names[f.b]} {show(f.drawn)} drawn, {show(f.measured)} ± {show(f.pm)} taped"
        for f in p.impossible[:3]
    ]
    if p.mirrored:
        notes.append("left and right are exchanged: the points fit as a mirror image, look at the signs of y")
    return Sheet(
        "Position, measured less fitted", ("point", "x", "y", "z", "in all", "note"), tuple(rows), tuple(notes)
    )


def _weight_sheet(made: Measured) -> Sheet:
    b, show = made.balance, _shower(made)
    assert b is not None
    rows = [("mass", f"{b.mass:.2f} kg", f"{b.mass_pm:.2f} kg")]
    for axis, v, pm in zip("xyz", b.centre, b.centre_pm, strict=True):
        unknown = axis == "z" and not b.height_known
        rows.append((f"centre {axis}", show(v), "not weighed" if unknown else show(pm)))
    notes = [f"one degree of level moves the centre {show(b.per_degree)} {made.readings.unit} at this height"]
    if not b.height_known:
        notes.append("the height is not found: weigh again with the nose 10 to 20 degrees up")
    for w, miss, pm in zip(made.readings.weighings, b.misses, b.misses_pm, strict=True):
        if b.height_known and miss > MISSES * pm:
            notes.append(
                f"{w.name} misses the centre by {show(miss)}, ± {show(pm)}: a scale, stand or angle is wrong"
            )
    sums = [(w.name, sum(w.reads), w.pm * math.sqrt(len(w.reads))) for w in made.readings.weighings]
    for name, total, pm in sums:
        if abs(total - b.mass) > MISSES * math.hypot(pm, b.mass_pm):
            notes.append(f"{name} weighs {total:.2f} kg, the mean is {b.mass:.2f}: look at its scales")
    return Sheet("Weight", ("what", f"value {made.readings.unit}", "±"), tuple(rows), tuple(notes))


def _shower(made: Measured, *, unit: bool = False) -> Callable[[float], str]:
    """Lengths in the file's unit, to a hundredth of a mm or a thousandth of an inch."""
    kind = made.readings.unit
    places = 2 if kind == "mm" else 3

    def show(mm: float) -> str:
        if not math.isfinite(mm):
            return "-"
        text = show_length(mm, kind, places=places)
        number = float(text.split()[0]) + 0.0
        return f"{number:.{places}f}" + (f" {kind}" if unit else "")

    return show
