"""The engine tried elsewhere: the tightest gaps of its keep-outs there, what each mount's arm would need, which
limits are not kept; and the best position there is. Nothing is built: an answer takes a tenth or two of a second.

For a process of its own, so that the hand that moves the engine waits for no build.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from brackets.app.cli.inches import Lengths
from brackets.app.preview.bay_source import recipes_of, scans_of
from brackets.app.preview.bay_typed import with_typed
from brackets.app.preview.blocks import row, table
from brackets.app.preview.fields import Values
from brackets.app.preview.gap_rows import words
from brackets.app.preview.overtaken import Overtaken
from brackets.app.preview.typed_place import Texts, at_position, figure_text, position_of, wrong_place
from brackets.bay.file import read
from brackets.bay.position.limits import HELD, limits_of
from brackets.bay.position.live import LiveBay, live_bay
from brackets.bay.position.placing import (
    SHOWN,
    UNITS,
    BareBay,
    PlaceGap,
    bare_bay,
    tightest,
)
from brackets.bay.position.reaches import ArmNeed, arm_needs
from brackets.bay.position.search import PlaceFound, find_place
from brackets.bay.schema.asked import FIGURES
from brackets.bay.schema.record import Bay
from brackets.clearance.places import Array
from brackets.core.errors import BadFile, InputError
from brackets.core.stamp import stamp
from brackets.forming.shop import NO_TOOLS

Answer = Callable[[Mapping[str, Any]], None]

NAMED = 6
"""Parts that are named as not measured yet."""

GAPS = 5
"""The tightest gaps that are told of while the engine moves: they are to be seen beside the arms."""


class Trials:
    """Measures a bay file's engine wherever it is asked to stand; the file is read anew when it changed."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._known: _Known | None = None
        self._live: tuple[object, Values, LiveBay] | None = None

    def answer(self, request: Mapping[str, Any], say: Answer, newer: Callable[[], bool]) -> None:
        """Answers a request of stage "trial" or "best"; `say` is called with headers, the last with the answer.

        A search is given up without an answer where `newer` says that another request waits.
        """
        kind = request["stage"]
        head = {"answer": kind, "of": request["of"]}
        try:
            bare = self._bare()
            wrong = wrong_place(request["place"], bare=bare.bay.bare)
            if wrong:
                say({**head, "wrong": wrong, "lines": []})
            elif kind == "trial":
                say({**head, **tried(self._found(bare, request) or unbuilt(bare), request["place"])})
            else:
                say({**head, **self._best(bare, request, say, newer)})
        except (InputError, BadFile) as error:
            say({**head, "wrong": {}, "lines": str(error).splitlines()})
        except Overtaken:
            return

    def more(self, request: Mapping[str, Any]) -> dict[str, Any] | None:
        """The answer once more with the gaps to what stays where it is, which is built for it; None where `answer`
        had them already or there are none. Takes seconds, the first time."""
        try:
            bare = self._bare()
            if self._found(bare, request) is not None or wrong_place(request["place"], bare=bare.bay.bare):
                return None
            was = None if self._live is None else self._live[2].stood
            values = request["typed"]
            live = live_bay(bare, with_typed(bare.bay, values), was=was)
            self._live = bare, values, live
            if not live.still and not live.waits:
                return None
            return {"answer": "trial", "of": request["of"], **tried(live, request["place"])}
        except (InputError, BadFile):
            return None

    def _found(self, bare: BareBay, request: Mapping[str, Any]) -> LiveBay | None:
        """What was built of the same file for the same values."""
        live = self._live
        return None if live is None or live[0] is not bare or live[1] != request["typed"] else live[2]

    def _bare(self) -> BareBay:
        """The keep-outs of the file as it is now. Raises BadFile."""
        known = self._known  # every place that a hand goes through asks
        if known is not None and known.bare.bay.shop == NO_TOOLS and known.stamps == _stamps(known.files):
            return known.bare
        first = _stamps((self.path,))
        bay = read(self.path)
        named = (*recipes_of(bay), *scans_of(bay))
        stamps = (*first, *_stamps(named))
        if known is None or (known.stamps, known.bare.bay.shop) != (stamps, bay.shop):
            self._known = known = _Known(bare=bare_bay(bay), files=(self.path, *named), stamps=stamps)
        return known.bare

    def _best(
        self, bare: BareBay, request: Mapping[str, Any], say: Answer, newer: Callable[[], bool]
    ) -> dict[str, Any]:
        bay = bare.bay
        if not bay.place_limits.named:
            raise InputError("[place] = nothing, must say how far the powertrain may move: fore = [-20, 20]")
        if not bare.pairs:
            raise InputError("keep_out = none to clear, must be one on either side: what the position is found by")

        def told(progress: str) -> None:
            if newer():
                raise Overtaken
            say({"answer": "searching", "of": request["of"], "said": progress})

        found = find_place(_moved(bare, request["place"]), most=SHOWN, say=told)
        return proposed(found, bay.bare)


def _moved(bare: BareBay, texts: Texts) -> BareBay:
    """The same keep-outs with the typed position in place of the file's. Raises InputError."""
    bay = at_position(bare.bay, position_of(bare.bay, texts))
    return BareBay(bay=bay, movers=bare.movers, pairs=bare.pairs, reach=bare.reach, meant=bare.meant)


@dataclass(frozen=True, eq=False)
class _Known:
    """The keep-outs of a bay file, the files that they came out of, and their stamps just before."""

    bare: BareBay
    files: tuple[Path, ...]
    stamps: tuple[object, ...]


def _stamps(files: Iterable[Path]) -> tuple[object, ...]:
    """Changes where one of the files does: another size, another time of writing, another file in its place."""
    return tuple((file, stamp(file)) for file in files)


def unbuilt(bare: BareBay) -> LiveBay:
    """Before anything was built: every part waits."""
    return LiveBay(bare=bare, still=(), waits=tuple(entry.row.name for entry in bare.bay.parts))


def tried(live: LiveBay, texts: Texts) -> dict[str, Any]:
    """What the page is told of the engine at a typed place: figures, gaps, arms, limits. Raises InputError."""
    bare = live.bare
    bay = bare.bay
    at = position_of(bay, texts)
    said = Lengths(bay.bare)
    gaps = tightest(bare, at, most=GAPS) if bare.pairs else ()
    return {
        "at": [float(v) for v in at],
        "wrong": {},
        "lines": [],
        "outside": [said.said(line) for line in (*not_kept(bare, at), *no_arm(at_position(bay, at)))],
        "gaps": [_gap(one, said) for one in gaps],
        "tables": [*_arm_table(bay, at, said), _gap_table(live, gaps, said)],
    }


def not_kept(bare: BareBay, at: Array) -> Iterator[str]:
    """A line for each limit of the file that a position does not keep; figures that [place] does not name are free
    to a hand."""
    limits = limits_of(bare)
    for i in limits.free:
        low, high = limits.low[i], limits.high[i]
        if at[i] < low - HELD or at[i] > high + HELD:
            yield f"not kept: {FIGURES[i]} = {at[i]:g} {UNITS[i]}, {low:g} to {high:g} {UNITS[i]} under [place]"
    yield from dict.fromkeys(f"not kept: {end.past}" for end in limits.kept(at) if end.slack < -HELD)


def no_arm(bay: Bay) -> Iterator[str]:
    """A line for each mount that gives its part nothing to stand on."""
    for need in arm_needs(bay):
        if need.reason:
            yield f"no arm at mount {need.mount}: {need.reason}"


def _level(one: PlaceGap) -> str:
    if one.fouls and (one.needed > 0 or one.state != "touch"):
        return "stop"
    return "caution" if one.spare < 0 else ""


def _gap(one: PlaceGap, at: Lengths) -> dict[str, Any]:
    """A gap as the page draws it."""
    fouls = f"fouls, {at.both(-one.low, '.1f')} to draw it out" if one.low < 0 else ""
    return {
        "a": one.a,
        "b": one.b,
        "low": one.low,
        "spare": one.spare,
        "level": _level(one),
        "p": list(one.p),
        "q": list(one.q),
        "said": one.note or fouls or words(one.low, one.high, one.spare, at),
    }


def _gap_table(live: LiveBay, gaps: tuple[PlaceGap, ...], at: Lengths) -> dict[str, Any]:
    rows = []
    for i, one in enumerate(gaps):
        found = at.least(one.low) if one.low >= 0 else at.figure(one.low, ".1f")
        cells = (f"{one.a} | {one.b}", found, at.figure(one.needed), at.least(one.spare))
        rows.append(row(cells, things=(one.a, one.b), level=_level(one), pair=i))
    note = measured(live) if rows else "No keep-outs on both sides: nothing to measure."
    columns = f"tightest gaps|>at least {at.unit}|>wanted|>spare"
    return table("trial gaps", "Gaps", columns, rows, note)


def measured(live: LiveBay) -> str:
    """Which gaps are live, and which are not measured until the hand lets go."""
    stays = f" and to parts and bushes that stay, {len(live.still)} in all" if live.still else ""
    said = f"Live, standing still: the engine's keep-outs to those of the chassis{stays}."
    if not live.waits:
        return said
    more = len(live.waits) - NAMED
    few = ", ".join(live.waits[:NAMED]) + (f" and {more} more" if more > 0 else "")
    return f"{said} Measured only once the hand lets go and it is built: {few}, bolts, and gaps when moved."


def _arm_table(bay: Bay, at: Array, said: Lengths) -> Iterator[dict[str, Any]]:
    """What each arm would need there, and how much longer that is than where the file has the engine."""
    there, here = arm_needs(at_position(bay, at)), arm_needs(bay)
    if not there:
        return
    rows = [row(_arm(new, old, said), things=(new.part,), level="stop" if new.reason else "")
            for new, old in zip(there, here, strict=True)]  # fmt: skip
    columns = f"arm of mount|>reach {said.unit}|>longer by|>slope|>lean"
    note = "Bushes stay where they are typed. Of an arm on bosses from their middle to the bush, slope from level."
    yield table("trial arms", "Arms", columns, rows, note)


def _arm(new: ArmNeed, old: ArmNeed, at: Lengths) -> tuple[str, ...]:
    if new.reach is None or new.slope is None or new.lean is None:
        return new.mount, "none", "", "", ""
    longer = "" if old.reach is None else _signed(at.figure(round(new.reach - old.reach, 1) + 0.0, ".1f"))
    return new.mount, at.figure(new.reach, ".1f"), longer, _degrees(new.slope), _degrees(new.lean)


def _signed(figure: str) -> str:
    return figure if figure.startswith("-") else f"+{figure}"


def _degrees(value: float) -> str:
    return f"{round(value, 1) + 0.0:.1f}"


def proposed(found: PlaceFound, unit: str) -> dict[str, Any]:
    """The best position as the page proposes it: the texts of what changes, and what it gains. `unit`: mm or in."""
    at = Lengths(unit)
    first, now = found.after[0], found.before[0]
    holds = "; ".join(f"{one.a} | {one.b} {at.least(one.spare)}" for one in found.holds)
    lines = [
        f"least spare {at.proven(now.spare)} as it stands, {at.proven(first.spare)} there",
        f"held by {holds}",
        *([f"at the end of {'; '.join(map(at.said, found.ends))}"] if found.ends else ()),
        *(f"as it stands outside: {at.said(line)}" for line in found.outside),
        f"{found.tried} positions tried: the best of these, not of all there are",
    ]
    return {
        "wrong": {},
        "lines": lines,
        "at": [float(v) for v in found.at],
        "texts": {name: figure_text(i, float(found.at[i]), unit) for i, name in enumerate(FIGURES)},
        "before": now.spare,
        "after": first.spare,
    }
