"""Tables of a powertrain on its bushes, for the screen and for paper: mounts, set height, movement, driveline, what
comes through, what changes the worst figure most, and bushes side by side. mm, degrees, N, Hz."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from brackets.bay.hang_compare import Compared
from brackets.bay.hang_study import HangStudy, Movers, by_what, crank_typed
from brackets.bay.hanging import Hanging
from brackets.bay.mount_heat import heat_at_mounts
from brackets.core.finding import PRACTICE
from brackets.core.rulebook.hang import MODE_ISOLATES, MODE_ORDER
from brackets.core.tables.bush_rows import Bush
from brackets.drawing.record import Table
from brackets.hang.cases import LARGEST_TURN
from brackets.hang.hardness import stiffening
from brackets.hang.sensitivity import STEP, Figure, Slope

MOVED_HEADS = ("case", "forward mm", "left mm", "up mm", "roll deg", "pitch deg", "yaw deg")
MOVED_RIGHT = (1, 2, 3, 4, 5, 6)
FLAGS = {MODE_ISOLATES.code: "over firing / √2 at idle", MODE_ORDER.code: "near an order at idle"}


@dataclass(frozen=True, kw_only=True)
class HangTable:
    """A table, which of its columns are figures in mm, and which are set right."""

    table: Table
    mm: tuple[int, ...] = ()
    right: tuple[int, ...] = ()


def mounts_table(study: HangStudy) -> HangTable:
    """A row a mount: at rest, at its worst in any case, how much higher its chassis side is welded, without it."""
    rows = []
    for i, mount in enumerate(study.hung.on.mounts):
        states = [result.mounts[i] for result in study.hung.results]
        sizes = [math.hypot(*state.force) for state in states]
        at = max(range(len(sizes)), key=sizes.__getitem__)
        forces = study.movements[at].forces
        span = "not known" if forces is None else f"{forces[i][0]:.0f} to {forces[i][1]:.0f}"
        over = [state.overload for state in states if state.overload is not None]
        travel = [state.overtravel for state in states if state.overtravel is not None]
        said = [
            "with weight on" if mount.late else "",
            "holds it down" if any(state.lifts for state in states) else "",
            "pulled both ways" if any(state.reverses and not state.lifts for state in states) else "",
        ]
        rows.append((
            mount.name, f"{states[0].force[2]:z.0f}", f"{sizes[at]:.0f}", study.hung.results[at].case.name, span,
            f"{100 * max(over):.0f} %" if over else "not judged",
            f"{100 * max(travel):.0f} %" if travel else "not judged", _welded_up(study, mount.name),
            _without(study, mount.name), "; ".join(word for word in said if word),
        ))  # fmt: skip
    head = (
        "mount", "up at rest N", "most N", "in case", "by scatter N", "of its load", "of its travel",
        "weld it up mm", "without it", "note",
    )  # fmt: skip
    return HangTable(table=Table("What each mount carries", head, tuple(rows)), mm=(7,), right=(1, 2, 5, 6, 7))


def _welded_up(study: HangStudy, name: str) -> str:
    found = () if study.set_height is None else study.set_height.mounts
    return next((f"{one.weld[2]:z.1f}" for one in found if one.mount == name), "not known")


def _without(study: HangStudy, name: str) -> str:
    """Whether the powertrain stays where that one has failed."""
    (gone,) = (each for each in study.hung.missing if each.mount == name)
    return "NOT HELD" if not gone.held else "held" if gone.small else "NOT KNOWN"


def heat_table(hung: Hanging) -> HangTable | None:
    """How hot the places of the bushes become; None where nothing of it is typed."""
    rows = tuple(
        (one.mount, one.bush, f"{one.place:g}", "not said" if one.allowed is None else f"{one.allowed:g}",
         "not judged" if one.spare is None else f"{one.spare:g}")
        for one in heat_at_mounts(hung.bay)
    )  # fmt: skip
    head = ("mount", "bush", "its place deg C", "row allows deg C", "spare deg C")
    return HangTable(table=Table("How hot the bushes become", head, rows), right=(2, 3, 4)) if rows else None


def modes_table(study: HangStudy) -> HangTable:
    """A row a mode."""
    hung, rows = study.hung, []
    for i, hz in enumerate(map(float, hung.modes.hz)):
        way, share = hung.modes.chief(i)
        flags = dict.fromkeys(FLAGS[f.code] for f in hung.findings if f.code in FLAGS and f.value == hz)
        note = ("; ".join(flags) if hung.at_idle else "not judged") if hz > 0 else "NOTHING HOLDS IT this way"
        span = f"{float(hung.modes.low[i]):.1f}-{float(hung.modes.high[i]):.1f}"
        rows.append((f"{hz:.2f}", span, f"{way} {share:.0%}", note))
    head = ("Hz", "by scatter", "most of its energy", "note")
    return HangTable(table=Table("Six frequencies", head, tuple(rows)), right=(0, 1))


def missing_table(hung: Hanging) -> HangTable:
    """A row a mount that is missing."""
    rows = []
    for each in hung.missing:
        if not each.held:
            rows.append((each.mount, "NO", "", "", f"{each.free}, case {each.case}"))
            continue
        by = f"on {', '.join(each.by)}"
        if each.small:
            rows.append((each.mount, "yes", f"{each.drop:.1f}", f"{each.turn:.2f}", by))
        else:
            rows.append((each.mount, "NOT KNOWN", "", f"over {LARGEST_TURN:g}", f"{by}: beyond this sum"))
    head = ("missing", "held", "its place moves mm", "turns deg", "note")
    table = Table("With one mount missing, the most in any case", head, tuple(rows))
    return HangTable(table=table, mm=(2,), right=(2, 3))


def left_table(hung: Hanging) -> HangTable | None:
    """What the others carry where one is missing; None where nothing is known of it."""
    rows = tuple(
        (each.mount, one.mount, f"{one.force:.0f}", "" if one.overload is None else f"{one.overload:.0%}", one.case)
        for each in hung.missing if each.small for one in each.loads
    )  # fmt: skip
    head = ("missing", "mount", "N", "of its load", "in case")
    title = "What the others carry with one missing, the most in any case"
    return HangTable(table=Table(title, head, rows), right=(2, 3)) if rows else None


def set_height_table(study: HangStudy) -> HangTable | None:
    """Where the chassis side of each mount is welded; None where it is not known."""
    height = study.set_height
    if height is None:
        return None
    rows = []
    for one in height.mounts:
        stands = f"{one.low[2]:z.1f}", f"{one.high[2]:z.1f}"
        note = "as drawn, once the weight is on" if one.late else ""
        rows.append((one.mount, *(f"{value:z.1f}" for value in one.weld), *stands, note))
    head = ("mount", "forward mm", "left mm", "up mm", "then stands up, least mm", "most mm", "note")
    title = "Where the chassis side's bush centre is welded, from where it is drawn"
    return HangTable(table=Table(title, head, tuple(rows)), mm=(1, 2, 3, 4, 5), right=(1, 2, 3, 4, 5))


def set_height_words(study: HangStudy) -> tuple[str, ...]:
    """What goes with that table."""
    height = study.set_height
    if height is None:
        return ("set height: not known, since nothing holds the powertrain one way: its weight only balances it",)
    named = zip(("roll", "pitch", "yaw"), height.turns, strict=True)
    back = ", ".join(f"{name} {-turn:z.2f}" for name, turn in named)
    return (
        f"as its weight comes on its centre of mass sinks {-height.sinks[2]:z.1f} mm and it turns {height.turn:.2f}"
        f" deg; the chassis side is welded turned the other way: {back} deg",
        "mounts are drawn with the weight on: welded as drawn, the powertrain stands off by as much the other way",
    )


def movement_table(study: HangStudy) -> HangTable:
    """How far each case moves the powertrain from the place as drawn; then the least and most with all scatter."""
    rows = [(one.case, *_moved(one.moved)) for one in study.movements]
    title = "Movement of the centre of mass from the place as drawn"
    rows += _ends(study)
    return HangTable(table=Table(title, MOVED_HEADS, tuple(rows)), mm=(1, 2, 3), right=MOVED_RIGHT)


def movement_ends_table(study: HangStudy) -> HangTable | None:
    """The least and the most of all cases with all scatter; None where no bound of one is known."""
    rows, title = _ends(study), "How far the centre of mass moves from the place as drawn, in all cases"
    return HangTable(table=Table(title, MOVED_HEADS, rows), mm=(1, 2, 3), right=MOVED_RIGHT) if rows else None


def _ends(study: HangStudy) -> tuple[tuple[str, ...], ...]:
    lows = [one.low for one in study.movements if one.low is not None]
    highs = [one.high for one in study.movements if one.high is not None]
    if len(lows) < len(study.movements):
        return ()
    least, most = ([end(ends) for ends in zip(*of, strict=True)] for end, of in ((min, lows), (max, highs)))
    return ("least of all, by scatter", *_moved(least)), ("most of all, by scatter", *_moved(most))


def _moved(figures: Sequence[float]) -> list[str]:
    return [f"{value:z.1f}" if k < 3 else f"{value:z.2f}" for k, value in enumerate(figures)]


def driveline_table(study: HangStudy) -> HangTable | None:
    """Shafts and chains as drawn and in the case they are worst in; None where the bay has none."""
    if not study.driveline:
        return None
    rows = []
    for one in study.driveline:
        limit = "none typed" if one.limit is None else f"{one.limit:g}"
        drawn, most = (f"{value:z.2f}" for value in (one.drawn, one.cases[one.worst]))
        case = study.hung.results[one.worst].case.name
        rows.append((one.drive, one.of.what, one.of.unit, drawn, most, case, limit))
    head = ("shaft or chain", "figure", "unit", "as drawn", "most", "in case", "moved, typed")
    title = "What the driveline becomes in the load cases"
    return HangTable(table=Table(title, head, tuple(rows)), right=(3, 4, 6))


def through_table(study: HangStudy) -> HangTable | None:
    """What of the firing couple comes through at idle; None where it is not typed how the engine idles."""
    found = study.through
    if found is None:
        return None
    rows = []
    for name, idle, slowly in zip(found.names, map(float, found.idle), map(float, found.slowly), strict=True):
        ratio = f"{idle / slowly:.2f}" if slowly > 1e-6 else "none"
        rows.append((name, f"{idle:.2f}", f"{slowly:.2f}", ratio))
    head = ("mount", "N for each Nm at idle", "N put on slowly", "idle over slowly")
    title = f"What comes through of a couple about the crank, {found.order:g} times a turn"
    return HangTable(table=Table(title, head, tuple(rows)), right=(1, 2, 3))


def through_words(study: HangStudy) -> tuple[str, ...]:
    """What goes with that table."""
    if study.through is None:
        return ()
    told = [f"loss factor of the bushes {study.through.loss:g}: {PRACTICE}"]
    if not crank_typed(study.hung):
        told.append("[powertrain] crank.axis is not typed: the couple is about what it is by default")
    return tuple(told)


def figure_words(figure: Figure) -> str:
    """ "load of tray_left in case weight, 307 N of 2000 N"."""
    limit = "no limit typed" if figure.limit is None else f"at most {figure.limit:.4g} {figure.unit}"
    if figure.kind == "frequency":
        return f"frequency of mode {figure.mode + 1}, {figure.value:.1f} Hz, {limit}"
    along = f" along its own {'xyz'[figure.axis]}" if figure.kind == "travel" else ""
    value = f"{figure.value:.4g} {figure.unit}"
    return f"{figure.kind} of {figure.mount}{along} in case {figure.case}, {value}, {limit}"


def movers_table(study: HangStudy) -> HangTable:
    """Of each of the worst figures what changes it most: a stiffness, a place and an angle."""
    rows = []
    for movers in study.movers:
        first = figure_words(movers.figure)
        found = sorted(by_what(movers).values(), key=lambda slope: -abs(slope.effect))
        for slope in found:
            rows.append((first, _change(study, slope), _by(movers, slope)))
            first = ""
        if not found:
            rows.append((first, "nothing of its mounts, to the first order", ""))
    head = ("worst", "change", "changes it by")
    title = "What changes the worst figures most: a stiffness, a place, an angle"
    return HangTable(table=Table(title, head, tuple(rows)))


def _change(study: HangStudy, slope: Slope) -> str:
    if slope.what == "stiffness":
        return f"{slope.mount} {_stiffer(study, slope)}"
    if slope.what in "xyz":
        return f"1 mm of {slope.mount} in {slope.what}"
    return f"1 degree of {slope.mount} {slope.what}"


def _stiffer(study: HangStudy, slope: Slope) -> str:
    """A tenth stiffer, and what that is in hardness where its rubber is typed."""
    row = next((row for row in study.hung.bay.mounts if row.name == slope.mount), None)
    bush = None if row is None else study.hung.bay.bush_of(row)
    if isinstance(bush, Bush) and bush.rubber is not None:
        points = STEP["stiffness"] / stiffening(bush.rubber.hardness)
        return f"10 % stiffer ({points:.1f} IRHD harder than {bush.rubber.hardness:g})"
    return "10 % stiffer"


def _by(movers: Movers, slope: Slope) -> str:
    by = slope.effect if slope.what == "stiffness" else slope.per
    share = 100 * by / movers.figure.value
    return f"{by:+.3g} {movers.figure.unit} ({share:+.2g} %)"


def compare_table(found: Sequence[Compared]) -> HangTable:
    """Bushes side by side, a column each."""
    head = ("", *(one.name for one in found))
    return HangTable(table=Table("The same bay with other bushes", head, tuple(_compared(found))))


def _compared(found: Sequence[Compared]) -> Iterator[tuple[str, ...]]:
    yield "largest load N", *(f"{one.load:.0f}" for one in found)
    yield "of mount", *(one.load_at[0] for one in found)
    yield "in case", *(one.load_at[1] for one in found)
    yield "sinks by its weight mm", *(f"{one.sag:z.2f}" for one in found)
    for name, figures in (
        ("most moved by a case mm", [(one.moved, one.moved_in) for one in found]),
        ("most turned by a case deg", [(one.turned, one.turned_in) for one in found]),
    ):
        yield name, *(f"{value:.2f} ({case})" if value > 1e-6 else "0" for value, case in figures)
    yield "lowest frequency Hz", *(f"{one.hz[0]:.1f}" for one in found)
    yield "highest frequency Hz", *(f"{one.hz[1]:.1f}" for one in found)
    idle = [(one.idle, one.slowly) for one in found]
    yield "N for each Nm at idle", *("not judged" if i is None else f"{i:.2f}" for i, _ in idle)
    yield "the same put on slowly", *("not judged" if s is None else f"{s:.2f}" for _, s in idle)
    for code in dict.fromkeys(code for one in found for code in one.findings):
        yield f"findings: {code}", *(str(one.findings.get(code, 0)) for one in found)


def compare_words(found: Sequence[Compared]) -> tuple[str, ...]:
    """What was assumed of each, and what is not judged of any but the first."""
    told = [f"{one.name}: {note}" for one in found for note in one.notes]
    limits = "load and travel of the rows are those of the bush as typed: not held against another material"
    speeds = "what comes through is that at idle alone: at other speeds the order of these may be another"
    return (*told, limits, speeds)


def first_tables(study: HangStudy) -> tuple[HangTable, ...]:
    """What page one of the paper has: what counts, in one page."""
    made = mounts_table(study), modes_table(study), movement_ends_table(study), driveline_table(study)
    return tuple(one for one in made if one is not None)


def more_tables(study: HangStudy, found: Sequence[Compared] = ()) -> tuple[HangTable, ...]:
    """All else, which stands after the pictures."""
    made = (
        missing_table(study.hung), left_table(study.hung), set_height_table(study), movement_table(study),
        through_table(study), heat_table(study.hung), movers_table(study),
        compare_table(found) if found else None,
    )  # fmt: skip
    return tuple(one for one in made if one is not None)
