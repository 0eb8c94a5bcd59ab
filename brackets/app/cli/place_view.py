"""What `brackets place` says, on the screen and for scripts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from brackets.app.cli.inches import Lengths
from brackets.app.cli.lists_view import placed_drives_text, placed_props_text
from brackets.app.cli.screen import facts, line, table
from brackets.bay.clear.drive_rules import drive_record
from brackets.bay.clear.driveline import Drive, drives_at
from brackets.bay.clear.props import Prop, prop_record, props
from brackets.bay.position.limits import HELD, limits_of
from brackets.bay.position.placing import SHIFTS, UNITS, BareBay, PlaceGap, place_at
from brackets.bay.position.search import PlaceFound
from brackets.bay.position.steps import BestStep
from brackets.bay.schema.asked import FIGURES
from brackets.clearance.places import Array
from brackets.core.place import Place
from brackets.core.units import INCH

HEAD = ("spare", "gap", *FIGURES, "what")
OTHER_WAY = "the other way"
NOTABLE = 5e-3
"""mm per mm or degree that shows in a table of two decimals."""

LIMITS = """\
[place]
fore = [-20, 20]
up = [0, 30]
pitch = [-2, 2]"""
INCH_LIMITS = LIMITS.replace("20", "0.75").replace("30", "1.25")


@dataclass(frozen=True, kw_only=True, eq=False)
class Placing:
    """All that is known: the typed position (6,), its tightest gaps with what each gains (2, 6), the best shift and
    turn, the best position where one was searched for, and what was written, None where nothing was asked for."""

    bare: BareBay
    typed: Array
    gaps: tuple[PlaceGap, ...]
    gains: tuple[Array, ...]
    steps: tuple[BestStep | None, BestStep | None]
    found: PlaceFound | None
    written: tuple[str, ...] | None

    @property
    def lengths(self) -> Lengths:
        """How the screen says lengths."""
        return Lengths(self.bare.bay.bare)

    @property
    def stops(self) -> bool:
        """Whether bodies foul or touch at the best position that is known, or may do so."""
        last = self.gaps if self.found is None else self.found.after
        return any(one.fouls and (one.needed > 0 or one.state != "touch") for one in last)

    @property
    def places(self) -> tuple[Place, ...]:
        """The typed place, and the best one where one was searched for."""
        ends = (self.typed,) if self.found is None else (self.typed, self.found.at)
        return tuple(place_at(self.bare.bay.powertrain, at) for at in ends)

    @property
    def drives(self) -> tuple[tuple[Drive, ...], tuple[Drive, ...]]:
        """Shafts and chains standing still at the typed place and at the best one, nothing where there is none."""
        found = [drives_at(self.bare.bay, place) for place in self.places]
        return found[0], found[1] if len(found) > 1 else ()

    @property
    def props(self) -> tuple[tuple[Prop, ...], tuple[Prop, ...]]:
        """The same of the points to be propped."""
        found = [props(self.bare.bay, place) for place in self.places]
        return found[0], found[1] if len(found) > 1 else ()


def place_text(done: Placing) -> str:
    """The whole report."""
    drives, propped = done.drives, done.props
    at = done.lengths
    told = placed_drives_text(*drives, at), placed_props_text(*propped, at)
    blocks = [_head(done), _gaps(done), _steps(done), _best(done), *told, _foot(done)]
    return "\n\n".join(block for block in blocks if block)


def _head(done: Placing) -> str:
    bay = done.bare.bay
    lines = [
        bay.name,
        line("Keep-outs alone, standing still: the powertrain's against the chassis's."),
        f"place  {_figures(done.typed, done.lengths)}, as typed",
    ]
    if bay.parts or bay.mounts:
        lines.append(line("Mounts and parts are not looked at, mounts do not move along: fit them afterwards."))
    if done.bare.meant:
        pairs = ", ".join(f"{a} | {b}" for a, b in done.bare.meant)
        lines.append(line(f"meant to touch and left out: {pairs}"))
    return "\n".join(lines)


def _figures(at: Array, said: Lengths) -> str:
    by_name = zip(FIGURES[:SHIFTS], at, strict=False)
    shifts = ", ".join(f"{name} {_typed(value, said.unit)}" for name, value in by_name)
    turns = ", ".join(f"{name} {value:g}" for name, value in zip(FIGURES[SHIFTS:], at[SHIFTS:], strict=True))
    return f"{shifts} {said.unit}; {turns} deg"


def _gaps(done: Placing) -> str:
    rows, at = [], done.lengths
    for one, gains in zip(done.gaps, done.gains, strict=True):
        plus, minus = gains
        rows.append((at.least(one.spare), _found(one, at), *_rates(plus, at), f"{one.a} | {one.b}"))
        bent = abs(plus + minus) > NOTABLE
        if bent.any():
            cells = (gain if shown else "" for gain, shown in zip(_rates(minus, at), bent, strict=True))
            rows.append(("", "", *cells, OTHER_WAY))
    said = at.title(
        "tightest gaps, mm, and what each gains by 1 mm fore, left, up,"
        " or by 1 deg left side up (roll), nose down (pitch), nose left (yaw)",
        done.gaps[0].spare,
    )
    text = f"{line(said)}\n{table(HEAD, rows, right=range(8))}"
    if any(row[-1] == OTHER_WAY for row in rows):
        text += "\n" + line("Aft, right, down and so on gain the opposite, but where a row says the other way.")
    return text


def _rates(gains: Array, at: Lengths) -> tuple[str, ...]:
    """mm a mm, which is inches an inch, and mm a degree."""
    shifts = [f"{round(float(gain), 2) + 0.0:.2f}" for gain in gains[:SHIFTS]]
    turns = [at.figure(round(float(gain), 2 if not at.inch else 6) + 0.0, ".2f") for gain in gains[SHIFTS:]]
    return (*shifts, *turns)


def _found(one: PlaceGap, at: Lengths) -> str:
    if one.note:
        return "INSIDE?"
    return at.span(one.low, one.high) if one.low >= 0 else at.figure(one.low, ".1f")


def _steps(done: Placing) -> str:
    rows = [
        (what, "none gains anything" if step is None else _step(step, done.lengths))
        for what, step in zip(("shift", "turn"), done.steps, strict=True)
    ]
    aside = ", limits of [place] aside" if done.found is not None else ""
    return f"best single step{aside}\n" + facts(rows)


def _step(step: BestStep, at: Lengths) -> str:
    first, shift = step.after[0], step.unit == "mm"
    gains = f"{step.rate:.2f} in an in" if shift and at.inch else f"{at.both(step.rate, '.2f')} a {step.unit}"
    after = at.both(step.far, ".1f") if shift else f"{step.far:.1f} {step.unit}"
    return (
        f"{step.words}: the least spare gains {gains}; after {after} it"
        f" is {at.proven(first.spare)}, and {first.a} | {first.b} has it"
    )


def _best(done: Placing) -> str:
    found, at = done.found, done.lengths
    if found is None:
        example = INCH_LIMITS if at.inch else LIMITS
        search = f"To search, say in the bay file how far the powertrain may move, for example\n{example}"
        return "\n".join((*_as_typed(done), search))
    limits = limits_of(done.bare)
    rows = [
        (name, *_limited(old, new, low, high, at.unit if unit == "mm" else unit))
        for name, old, new, low, high, unit in zip(
            FIGURES, done.typed, found.at, limits.low, limits.high, UNITS, strict=True
        )
    ]
    first = found.after[0]
    least = f"{at.proven(found.before[0].spare)} as typed, {at.proven(first.spare)} there"
    holds = "; ".join(f"{one.a} | {one.b} {at.least(one.spare)}" for one in found.holds)
    told = [("least spare", least), ("held by", holds)]
    if found.ends:
        told.append(("at the end of", "; ".join(map(at.said, found.ends))))
    told += [("typed place", f"outside: {at.said(words)}") for words in found.outside]
    told.append(("tried", f"{found.tried} positions; the best of these, not of all there are"))
    return f"best place found\n{table(('', 'typed', 'best', 'limits', ''), rows, right=(1, 2))}\n{facts(told)}"


def _as_typed(done: Placing) -> Iterator[str]:
    """Without a search: whether each row that must be kept is, at the typed place."""
    kept: dict[str, list[str]] = {}
    for end in limits_of(done.bare).kept(done.typed):
        past = kept.setdefault(f"{end.table} {end.name}", [])
        if end.slack < -HELD:
            past.append(done.lengths.said(end.past.removeprefix(f"{end.name} ")))
    for name, past in kept.items():
        yield line(f"{name}: {'; '.join(dict.fromkeys(past)) or 'kept as typed'}")
    if kept:
        yield line("Without [place] nothing is moved to keep them.")


def _limited(old: float, new: float, low: float, high: float, unit: str) -> tuple[str, ...]:
    """Cells of a figure of the place and its unit."""
    limits = f"{_typed(low, unit)} to {_typed(high, unit)}" if high > low else "stays"
    return (_typed(old, unit), _typed(new, unit), limits, unit)


def _typed(figure: float, unit: str) -> str:
    """mm or degrees as they may be typed in a bay file of that unit."""
    return f"{round(figure / float(INCH), 9) + 0.0 if unit == 'in' else figure:g}"


def _foot(done: Placing) -> str:
    found = done.found
    lines = []
    if done.stops:
        worst = (done.gaps if found is None else found.after)[0]
        lines.append(line(f"STOP: {worst.a} | {worst.b}: {'may foul' if worst.note else 'they foul'} there"))
    elif found is not None:
        met = found.after[0].spare >= 0
        lines.append(f"{'Every' if met else 'Not every'} gap asked for is there, standing still.")
    if done.written is not None:
        name, new = done.bare.bay.path.name, ", ".join(done.written)
        said = f"written to {name}: {new}" if new else f"nothing written: {name} has this place already"
        lines.append(line(said))
    elif found is not None and (found.at != done.typed).any():
        lines.append("Nothing is written; brackets place --write puts it into the file.")
    return "\n".join(lines)


def record(done: Placing) -> dict[str, Any]:
    """The same for scripts: place, gaps (a, b, low_mm, needed_mm, spare_mm, plus, minus ...), steps, best."""
    found = done.found
    return {
        "format": 1,
        "bay": done.bare.bay.name,
        "place": _place(done.typed),
        "gaps": [_gap(one) | _gains(gains) for one, gains in zip(done.gaps, done.gains, strict=True)],
        "left_out": [list(pair) for pair in done.bare.meant],
        "drives": _both([[drive_record(one) for one in found] for found in done.drives], found is not None),
        "props": _both([[prop_record(one) for one in found] for found in done.props], found is not None),
        "steps": [None if step is None else _step_record(step) for step in done.steps],
        "best": None if found is None else _best_record(found),
        "written": None if done.written is None else list(done.written),
        "stops": done.stops,
    }


def _both(of: list[list[dict[str, Any]]], searched: bool) -> dict[str, Any]:
    return {"typed": of[0], "best": of[1] if searched else None}


def _place(at: Array) -> dict[str, Any]:
    return {"at": [float(v) for v in at[:SHIFTS]]} | {
        name: float(v) for name, v in zip(FIGURES[SHIFTS:], at[SHIFTS:], strict=True)
    }


def _gap(one: PlaceGap) -> dict[str, Any]:
    return {
        "a": one.a,
        "b": one.b,
        "state": {"hit": "foul"}.get(one.state, one.state),
        "low_mm": one.low,
        "high_mm": one.high,
        "needed_mm": one.needed,
        "spare_mm": one.spare,
        "class": one.pair.asked.kind,
        "why": one.pair.asked.why,
        "points": [list(one.p), list(one.q)],
        "note": one.note,
    }


def _gains(gains: Array) -> dict[str, Any]:
    return {
        side: {name: float(v) for name, v in zip(FIGURES, row, strict=True)}
        for side, row in zip(("plus", "minus"), gains, strict=True)
    }


def _step_record(step: BestStep) -> dict[str, Any]:
    return {
        "figure": FIGURES[step.figure],
        "plus": step.plus,
        "words": step.words,
        "rate": step.rate,
        "far": step.far,
        "unit": step.unit,
        "after": _gap(step.after[0]),
    }


def _best_record(found: PlaceFound) -> dict[str, Any]:
    return {
        "place": _place(found.at),
        "spare_mm": found.after[0].spare,
        "spare_before_mm": found.before[0].spare,
        "gaps": [_gap(one) for one in found.after],
        "held_by": [[one.a, one.b] for one in found.holds],
        "at_the_end_of": list(found.ends),
        "typed_outside": list(found.outside),
        "tried": found.tried,
    }
