"""A fitted bay as text: the verdict and the worst first, then masses, gaps, bolts, lists and findings."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from brackets.app.cli.drive_view import drives_text, props_text
from brackets.app.cli.findings_view import cautions_text, seat_text
from brackets.app.cli.screen import facts, line, table
from brackets.bay.fitting import Fit
from brackets.bay.known import any_known
from brackets.bay.mount_frames import mass_of
from brackets.bay.moving import Moved, by_pair, moves_of
from brackets.bay.owners import bay_cautions
from brackets.bay.pairs import Pair, at_least
from brackets.bay.placed_part import PlacedPart
from brackets.bay.rows import (
    ADJUST_HEADS,
    BOLTS,
    LINK_HEADS,
    PATH_HEADS,
    adjust_cells,
    bolt_row,
    link_rows,
    path_row,
    rule_rows,
    span,
)
from brackets.bay.slack import SLACK_HEADS, slack_cells
from brackets.bay.whole import mass_rows, to_buy
from brackets.bay.worst import headline, worst
from brackets.core.finding import LEVELS, Finding
from brackets.forming.cut_list import KERF, CutItem, sticks
from brackets.output.bay_lists import cut_items


def verdict_text(fit: Fit) -> str:
    """What stands on top and again at the end: verdict, rules met, the worst findings with what to do."""
    told = worst(fit)
    lines = list(headline(fit))
    if not told:
        return "\n".join(lines)
    numbered = []
    for number, one in enumerate(told, 1):
        said = f"{one.finding.label}: {one.finding.piece}: {one.finding.sentence}"
        numbered.append((str(number), said))
        if one.do:
            numbered.append(("", f"do: {one.do}"))
    rest = len(fit.findings) - len(told)
    head = "worst" if len(told) == 1 else f"the {len(told)} worst"
    more = f" of {len(fit.findings)}, all below" if rest else ""
    return "\n".join((*lines, f"{head}{more}", facts(numbered)))


def masses_text(fit: Fit) -> str:
    """The mass and centre of the mounts, the powertrain, and both."""
    rows = [
        (row.what, f"{row.mass.kg:.2f}", ", ".join(f"{c:.1f}" for c in row.mass.centroid)) for row in mass_rows(fit)
    ]
    return "masses, without weld metal\n" + table(("what", "kg", "centre, mm"), rows, right=(1,)) if rows else ""


def buy_text(fit: Fit) -> str:
    """What to buy, like things counted."""
    rows = [(str(item.number), item.kind, item.what, ", ".join(item.where), item.note) for item in to_buy(fit)]
    return "to buy\n" + table(("number", "kind", "what", "where", "note"), rows, right=(0,)) if rows else ""


def cut_text(fit: Fit) -> str:
    """What to cut, and the sticks that tube and bar take; of a bay that stops nothing is to be cut yet."""
    items = cut_items(fit)
    if not items:
        return ""
    rows = [_cut_row(item) for item in items]
    head = ("number", "kind", "section", "material", "mm", "kg each", "pieces")
    stop = "to cut, but NOT YET: something stops\n" if fit.stops else "to cut, mm\n"
    long = [
        (
            one.section,
            one.material,
            f"{len(one.sticks)} of {one.length:g}{', a usual length' if one.usual else ''}",
            f"{one.left:.0f}",
            ", ".join(f"{length:.1f}" for length in one.longer),
        )
        for one in sticks(items, fit.bay.shop)
    ]
    stick_head = ("section", "material", "sticks", "left", "longer than a stick")
    tail = f"\n\nsticks, mm, {KERF:g} a cut\n" + table(stick_head, long, right=(3,)) if long else ""
    return stop + table(head, rows, right=(0, 4, 5)) + tail


def _cut_row(item: CutItem) -> tuple[str, ...]:
    pieces = ", ".join(item.names)
    return (str(item.count), item.kind, item.section, item.material, item.size, f"{item.kg:.3f}", pieces)


TIGHTEST = 12
"""Gaps shown: a screenful; all of them are in the CSV and the JSON."""

SAFETY = "safety"

NOT_TOLD = "INSIDE?"
"""In place of a gap where an open scan does not tell whether one is inside the other."""


def fit_text(fit: Fit, folder: Path | None) -> str:
    """The whole report, most urgent first within each part of it."""
    first = verdict_text(fit)
    blocks = [
        f"{fit.bay.name}\n{first}",
        _head(fit),
        _parts(fit),
        masses_text(fit),
        _hands(fit),
        _tightest(fit),
        _neighbours(fit),
        _links(fit),
        _slacks(fit),
        drives_text(fit.drives),
        props_text(fit.props),
        _adjusts(fit),
        seat_text(fit),
        _rules(fit),
        _paths(fit),
        _bolts(fit),
        buy_text(fit),
        cut_text(fit),
        _findings(fit),
        cautions_text(bay_cautions(fit.stood)),
        _foot(fit, folder),
        first,
    ]
    return "\n\n".join(block for block in blocks if block)


def _head(fit: Fit) -> str:
    bay = fit.bay
    mass = mass_of(bay)
    weight = "no lumps typed"
    if mass is not None:
        x, y, z = mass.centroid
        weight = f"{mass.kg:.1f} kg, centre at {x:.1f}, {y:.1f}, {z:.1f}"
    p = bay.powertrain
    if moves_of(bay) is None:
        movement = "STANDING STILL ONLY: no movement typed"
    else:
        movement = (
            f"roll {p.moves_roll:g}, pitch {p.moves_pitch:g}, yaw {p.moves_yaw:g} deg; up {p.moves_up:g},"
            f" down {p.moves_down:g}, fore {p.moves_fore:g}, aft {p.moves_aft:g}, side {p.moves_side:g} mm (typed)"
        )
    lines = [("powertrain", weight), ("movement", movement)]
    return facts(lines)


def _parts(fit: Fit) -> str:
    rows = [
        (
            part.name if part.hand is None else f"{part.name}, {part.hand.label}",
            part.recipe.name,
            f"{part.part.mass.kg:.2f}",
            ", ".join(f"{c:.0f}" for c in part.part.mass.centroid),
            _off(part),
        )
        for part in fit.stood.parts
    ]
    return table(("part", "recipe", "kg", "centre", "seats off by, mm"), rows, right=(2,)) if rows else ""


def _hands(fit: Fit) -> str:
    """Each pair of hands once: what the plane is, and what is not a mirror image."""
    lines = []
    for part in fit.stood.parts:
        hand = part.hand
        if hand is None or not hand.mirrored:
            continue
        of = f"{part.name}, {hand.label}, is the mirror image of {hand.other or 'the recipe'} about {hand.plane}"
        differs = hand.differs or (("nothing differs",) if hand.other else ())
        lines += [of, *(f"  {line}" for line in differs)]
    return "left and right\n" + "\n".join(lines) if lines else ""


def _off(part: PlacedPart) -> str:
    """How far the worst of a part's seats is off its mount or boss, out of how many."""
    if not part.misfits:
        return ""
    worst = max(part.misfits, key=lambda m: m.off)
    many = f", worst of {len(part.misfits)}" if len(part.misfits) > 1 else ""
    return f"{worst.off:.2f} at {worst.seat}{many}"


def _tightest(fit: Fit) -> str:
    """Least spare first, counting the worse of standing still and moved."""
    moves = by_pair(fit.moved)
    judged = [p for p in fit.pairs if p.state not in ("fit-up", "contact")]

    def worst(pair: Pair) -> float:
        move = moves.get(frozenset((pair.a, pair.b)))
        return pair.spare if move is None else min(pair.spare, move.spare)

    urgent = sorted(judged, key=lambda p: (not p.stops, worst(p)))[:TIGHTEST]
    return _gaps("tightest gaps, mm", fit, [(pair, moves.get(frozenset((pair.a, pair.b)))) for pair in urgent])


def _gaps(title: str, fit: Fit, found: Sequence[tuple[Pair, Moved | None]]) -> str:
    """Gaps as a table, with what is spare less the ± where the file says of anything how well it is known."""
    head: tuple[str, ...] = ("spare", "still", "asked", "moved", "asked", "class", "what")
    rows = [_row(pair, move) for pair, move in found]
    if any_known(fit.bay):
        head = ("spare", "less ±", *head[1:])
        rows = [(row[0], _less(fit, *both), *row[1:]) for row, both in zip(rows, found, strict=True)]
    right = range(len(head) - 2)
    return f"{title}\n" + table(head, rows, right=right) if rows else ""


def _less(fit: Fit, pair: Pair, move: Moved | None) -> str:
    """The worse of what is spare still and moved, less the ± of both."""
    spare = pair.spare if move is None else min(pair.spare, move.spare)
    less = fit.known.less(pair.a, pair.b, spare)
    return "?" if less is None else at_least(less)


def _adjusts(fit: Fit) -> str:
    """Each part with slots, moved to either end of them: what the engine gains at its mounts, and the least gap."""
    rows = [adjust_cells(one) for one in fit.adjusts]
    head = "adjustment, mm: how far each part can be moved on its slots\n"
    return head + table(ADJUST_HEADS, rows, right=(3, 4)) if rows else ""


def _slacks(fit: Fit) -> str:
    """Each hose, cable and linkage: how near and how far its ends get, against its length."""
    rows = [slack_cells(one) for one in fit.slacks]
    title = "hoses, cables, linkages: straight between their ends, mm\n"
    return title + table(SLACK_HEADS, rows, right=range(1, len(SLACK_HEADS))) if rows else ""


def _row(pair: Pair, move: Moved | None) -> tuple[str, ...]:
    found = pair.state.upper() if pair.stops else span(pair.low, pair.high)
    if pair.not_told:
        found = NOT_TOLD
    spare = pair.spare if move is None else min(pair.spare, move.spare)
    known = not pair.not_told and not (move and move.note)
    moved = ("", "") if move is None else (NOT_TOLD if move.note else span(move.low, move.high), f"{move.needed:g}")
    left = at_least(spare) if known else "?"
    return (left, found, f"{pair.needed:g}", *moved, pair.rule.kind, f"{pair.a} | {pair.b}")


def _neighbours(fit: Fit) -> str:
    """Steering, brakes and fuel on their own, each with its nearest."""
    names = {t.name for t in fit.things if t.kind in (SAFETY, "line")}
    moves = by_pair(fit.moved)
    rows = []
    for name in sorted(names):
        of_it = [p for p in fit.pairs if name in (p.a, p.b) and p.across]
        if of_it:
            pair = min(of_it, key=lambda p: p.low)
            rows.append((pair, moves.get(frozenset((pair.a, pair.b)))))
    return _gaps("steering, brakes, fuel: nearest to each, mm", fit, rows)


def _links(fit: Fit) -> str:
    """Each link: what its bushes are asked for when the engine moves, and what they give."""
    rows = [row.cells for link in fit.links for row in link_rows(link)]
    return "links, mm: asked of each bush when the engine moves, at most, of what it gives\n" + table(
        LINK_HEADS, rows, right=(2,)
    ) if rows else ""


def _rules(fit: Fit) -> str:
    """Every rule that was asked, whose it is, and what is spare of it where it is tightest."""
    found = rule_rows(fit)
    head: tuple[str, ...] = ("spare", "class", "still", "moved", "tightest", "whose", "where the rule is from")
    rows: list[tuple[str, ...]] = [
        (at_least(row.spare), row.kind, f"{row.rest:g}", f"{row.moved:g}", row.what, row.whose, row.why)
        for row in found
    ]
    if not any_known(fit.bay):
        return "rules asked, mm\n" + table(head, rows, right=(0, 2, 3)) if rows else ""
    less = ["?" if row.less is None else at_least(row.less) for row in found]
    rows = [(row[0], one, *row[1:]) for row, one in zip(rows, less, strict=True)]
    return "rules asked, mm\n" + table((head[0], "less ±", *head[1:]), rows, right=(0, 1, 3, 4)) if rows else ""


def _paths(fit: Fit) -> str:
    """Each path in or out: how far it is free, and what it passes nearest."""
    rows = [path_row(one).cells for one in fit.paths]
    return "paths in and out, mm\n" + table(PATH_HEADS, rows, right=(2, 3, 4)) if rows else ""


def _bolts(fit: Fit) -> str:
    """Each bolt: its size, whether it comes out, whether a tool gets at it."""
    rows = [bolt_row(bolt).cells for bolt in fit.bolts]
    return "bolts\n" + table(BOLTS, rows) if rows else ""


def _findings(fit: Fit) -> str:
    lines = [line for level in LEVELS for line in _of_level(fit.findings, level)]
    if not lines:
        return "no findings: every gap meets the rule you entered"
    return "\n".join(("findings, worst first", *lines))


def _of_level(found: Sequence[Finding], level: str) -> list[str]:
    """A line each; advice of one kind about one part in one line, with how often it is said."""
    lines: dict[tuple[str, str], tuple[str, int]] = {}
    for n, f in enumerate(found):
        if f.level != level:
            continue
        key = (f.piece.split(":")[0], f.code if level == "advice" and not f.accepted else str(n))
        first, count = lines.get(key, (str(f), 0))
        lines[key] = (first, count + 1)
    return [line(one if n == 1 else f"{one} (and {n - 1} more like it)") for one, n in lines.values()]


def _foot(fit: Fit, folder: Path | None) -> str:
    lines = [*fit.stood.left_out, *fit.stood.notes, f"shop: {fit.bay.shop.name}"]
    if folder is not None:
        lines.append(f"written to {folder}")
    return "\n".join(lines)
