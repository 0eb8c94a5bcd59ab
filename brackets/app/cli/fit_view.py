"""A fitted bay as text: the verdict and the worst first, then masses, gaps, bolts, lists and findings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from brackets.app.cli.findings_view import cautions_text, seat_text
from brackets.app.cli.hold_bay_view import strength_text
from brackets.app.cli.inches import NOTICE, Lengths
from brackets.app.cli.lists_view import buy_text, cut_text, drives_text, masses_text, props_text
from brackets.app.cli.screen import facts, line, table
from brackets.bay.clear.known import any_known
from brackets.bay.clear.moving import Moved, by_pair
from brackets.bay.clear.pairs import Pair
from brackets.bay.clear.slack import SLACK_HEADS, slack_cells
from brackets.bay.fitting import Fit
from brackets.bay.hung.mount_frames import mass_of
from brackets.bay.hung.movement import movement_of
from brackets.bay.report.movement_rows import MOVEMENT_HEADS, hangs_unloaded, moved_as, movement_rows
from brackets.bay.report.rows import (
    ADJUST_HEADS,
    BOLTS,
    LINK_HEADS,
    PATH_HEADS,
    adjust_cells,
    bolt_row,
    link_rows,
    path_row,
)
from brackets.bay.report.rule_rows import rule_rows
from brackets.bay.report.worst import headline, worst
from brackets.bay.stand.owners import bay_cautions
from brackets.bay.stand.placed_part import PlacedPart
from brackets.core.finding import gathered


def verdict_text(fit: Fit) -> str:
    """What stands on top and again at the end: verdict, rules met, the worst findings with what to do."""
    told = worst(fit)
    at = Lengths(fit.bay.bare)
    lines = [at.said(one) for one in headline(fit)]
    if not told:
        return "\n".join(lines)
    numbered = []
    for number, one in enumerate(told, 1):
        told_of = f"{one.finding.label}: {one.finding.piece}: {at.sentence(one.finding)}"
        numbered.append((str(number), told_of))
        if one.do:
            numbered.append(("", f"do: {at.said(one.do)}"))
    rest = len(fit.findings) - len(told)
    head = "worst" if len(told) == 1 else f"the {len(told)} worst"
    more = f" of {len(fit.findings)}, all below" if rest else ""
    return "\n".join((*lines, f"{head}{more}", facts(numbered)))


TIGHTEST = 12
"""Gaps shown: a screenful; all of them are in the CSV and the JSON."""

STEERING_BRAKES = "steering_brakes"

NOT_TOLD = "INSIDE?"
"""In place of a gap where an open scan does not tell whether one is inside the other."""


def fit_text(fit: Fit, folder: Path | None) -> str:
    """The whole report, most urgent first within each part of it."""
    first = verdict_text(fit)
    at = Lengths(fit.bay.bare)
    blocks = [
        f"{fit.bay.name}\n{first}",
        _head(fit),
        _movement(fit),
        _parts(fit),
        masses_text(fit),
        _hands(fit),
        _tightest(fit),
        _neighbours(fit),
        _strength(fit),
        _links(fit),
        _slacks(fit),
        drives_text(fit.drives, at),
        props_text(fit.props, at),
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


def _strength(fit: Fit) -> str:
    """The checks by hand, worst first; `hold` has them all with what was assumed."""
    if fit.held is None or fit.held.asks:
        return ""
    return strength_text(fit.held, TIGHTEST)


def _head(fit: Fit) -> str:
    bay, at = fit.bay, Lengths(fit.bay.bare)
    mass = mass_of(bay)
    weight = "no lumps typed"
    if mass is not None:
        centre = ", ".join(at.figure(c, ".1f") for c in mass.centroid)
        weight = f"{mass.kg:.1f} kg, centre at {centre}{' in' if at.inch else ''}"
    lines = [("powertrain", weight), ("movement", at.said(moved_as(bay)))]
    if hung := hangs_unloaded(fit):
        lines.append(("unloaded", at.said(hung)))
    if at.inch:
        lines.insert(0, ("lengths", NOTICE))
    return facts(lines)


def _movement(fit: Fit) -> str:
    """How far the powertrain moves each way, by which case, where it is worked out."""
    at = Lengths(fit.bay.bare)
    rows = [
        (word, at.figure(float(far), ".2f") if unit == "mm" else far, at.unit if unit == "mm" else unit, name)
        for word, far, unit, name in movement_rows(movement_of(fit.bay))
    ]
    about = ", ".join(at.figure(c, ".0f") for c in movement_of(fit.bay).about)
    title = f"movement that is cleared, of the point {about}\n"
    return title + table(MOVEMENT_HEADS, rows, right=(1,)) if rows else ""


def _parts(fit: Fit) -> str:
    at = Lengths(fit.bay.bare)
    rows = [
        (
            part.name if part.hand is None else f"{part.name}, {part.hand.label}",
            part.recipe.name,
            f"{part.part.mass.kg:.2f}",
            ", ".join(at.figure(c, ".0f") for c in part.part.mass.centroid),
            _off(part, at),
        )
        for part in fit.stood.parts
    ]
    head = ("part", "recipe", "kg", "centre", f"seats off by, {at.unit}")
    return table(head, rows, right=(2,)) if rows else ""


def _hands(fit: Fit) -> str:
    """Each pair of hands once: what the plane is, and what is not a mirror image."""
    lines = []
    for part in fit.stood.parts:
        hand = part.hand
        if hand is None or not hand.mirrored:
            continue
        of = f"{part.name}, {hand.label}, is the mirror image of {hand.other or 'the recipe'} about {hand.plane}"
        differs = hand.differs or (("nothing differs",) if hand.other else ())
        lines += [of, *(f"  {Lengths(fit.bay.bare).said(line)}" for line in differs)]
    return "left and right\n" + "\n".join(lines) if lines else ""


def _off(part: PlacedPart, at: Lengths) -> str:
    """How far the worst of a part's seats is off its mount or boss, out of how many."""
    if not part.misfits:
        return ""
    worst = max(part.misfits, key=lambda m: m.off)
    many = f", worst of {len(part.misfits)}" if len(part.misfits) > 1 else ""
    return f"{at.figure(worst.off, '.2f')} at {worst.seat}{many}"


def _tightest(fit: Fit) -> str:
    """Least spare first, counting the worse of standing still and moved."""
    moves = by_pair(fit.moved)
    judged = [p for p in fit.pairs if p.state not in ("fit-up", "contact")]

    def worst(pair: Pair) -> float:
        return _spare(pair, moves.get(frozenset((pair.a, pair.b))))

    urgent = sorted(judged, key=lambda p: (not p.stops, worst(p)))[:TIGHTEST]
    return _gaps("tightest gaps, mm", fit, [(pair, moves.get(frozenset((pair.a, pair.b)))) for pair in urgent])


def _gaps(title: str, fit: Fit, found: Sequence[tuple[Pair, Moved | None]]) -> str:
    """Gaps as a table, with what is spare less the ± where the file says of anything how well it is known."""
    head: tuple[str, ...] = ("spare", "still", "asked", "moved", "asked", "class", "what")
    at = Lengths(fit.bay.bare)
    rows = [_row(pair, move, at) for pair, move in found]
    if any_known(fit.bay):
        head = ("spare", "less ±", *head[1:])
        rows = [(row[0], _less(fit, *both), *row[1:]) for row, both in zip(rows, found, strict=True)]
    right = range(len(head) - 2)
    if movement_of(fit.bay).worked_out:
        head = (*head[:-1], "moved by", head[-1])
        rows = [(*row[:-1], move.case if move else "", row[-1]) for row, (_, move) in zip(rows, found, strict=True)]
    known = [_spare(*both) for both in found if _known(*both)]
    return f"{at.title(title, min(known, default=None))}\n" + table(head, rows, right=right) if rows else ""


def _less(fit: Fit, pair: Pair, move: Moved | None) -> str:
    """The worse of what is spare still and moved, less the ± of both."""
    less = fit.known.less(pair.a, pair.b, _spare(pair, move))
    return "?" if less is None else Lengths(fit.bay.bare).least(less)


def _adjusts(fit: Fit) -> str:
    """Each part with slots, moved to either end of them: what the engine gains at its mounts, and the least gap."""
    at = Lengths(fit.bay.bare)
    rows = [at.cells(adjust_cells(one), said=(1,), near=(2, 4), down=(3,)) for one in fit.adjusts]
    head = f"adjustment, {at.unit}: how far each part can be moved on its slots\n"
    return head + table(ADJUST_HEADS, rows, right=(3, 4)) if rows else ""


def _slacks(fit: Fit) -> str:
    """Each hose, cable and linkage: how near and how far its ends get, against its length."""
    at = Lengths(fit.bay.bare)
    rows = [at.cells(slack_cells(one), near=(1, 3, 5), down=(2, 6), up=(4,)) for one in fit.slacks]
    title = f"hoses, cables, linkages: straight between their ends, {at.unit}\n"
    return title + table(SLACK_HEADS, rows, right=range(1, 7)) if rows else ""


def _spare(pair: Pair, move: Moved | None) -> float:
    return pair.spare if move is None else min(pair.spare, move.spare)


def _known(pair: Pair, move: Moved | None) -> bool:
    return not pair.not_told and not (move and move.note)


def _row(pair: Pair, move: Moved | None, at: Lengths) -> tuple[str, ...]:
    found = pair.state.upper() if pair.stops else at.span(pair.low, pair.high)
    if pair.not_told:
        found = NOT_TOLD
    moved = ("", "")
    if move is not None:
        moved = (NOT_TOLD if move.note else at.span(move.low, move.high), at.figure(move.needed))
    left = at.least(_spare(pair, move)) if _known(pair, move) else "?"
    return (left, found, at.figure(pair.needed), *moved, pair.rule.kind, f"{pair.a} | {pair.b}")


def _neighbours(fit: Fit) -> str:
    """Steering, brakes and fuel on their own, each with its nearest."""
    names = {t.name for t in fit.things if t.kind in (STEERING_BRAKES, "line")}
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
    at = Lengths(fit.bay.bare)
    rows = [at.cells(row.cells, near=(2,), up=(3, 4, 5)) for link in fit.links for row in link_rows(link)]
    title = f"links, {at.unit}: asked of each bush when the engine moves, at most, of what it gives\n"
    return title + table(LINK_HEADS, rows, right=(2,)) if rows else ""


def _rules(fit: Fit) -> str:
    """Every rule that was asked, whose it is, and what is spare of it where it is tightest."""
    found = rule_rows(fit)
    at = Lengths(fit.bay.bare)
    head: tuple[str, ...] = ("spare", "class", "still", "moved", "tightest", "whose", "where the rule is from")
    rows: list[tuple[str, ...]] = [
        (at.least(row.spare), row.kind, at.figure(row.rest), at.figure(row.moved), row.what, row.whose, row.why)
        for row in found
    ]
    title = f"{at.title('rules asked, mm', min((row.spare for row in found), default=None))}\n"
    if not any_known(fit.bay):
        return title + table(head, rows, right=(0, 2, 3)) if rows else ""
    less = ["?" if row.less is None else at.least(row.less) for row in found]
    rows = [(row[0], one, *row[1:]) for row, one in zip(rows, less, strict=True)]
    return title + table((head[0], "less ±", *head[1:]), rows, right=(0, 1, 3, 4)) if rows else ""


def _paths(fit: Fit) -> str:
    """Each path in or out: how far it is free, and what it passes nearest."""
    at = Lengths(fit.bay.bare)
    rows = [at.cells(path_row(one).cells, down=(2, 3), near=(4,), said=(5,)) for one in fit.paths]
    return f"paths in and out, {at.unit}\n" + table(PATH_HEADS, rows, right=(2, 3, 4)) if rows else ""


def _bolts(fit: Fit) -> str:
    """Each bolt: its size, whether it comes out, whether a tool gets at it."""
    rows = [bolt_row(bolt).cells for bolt in fit.bolts]
    return "bolts\n" + table(BOLTS, rows) if rows else ""


def _findings(fit: Fit) -> str:
    at = Lengths(fit.bay.bare)
    found = tuple(replace(one, sentence=at.sentence(one)) for one in fit.findings)
    lines = [line(f"{one}{more}") for one, more in gathered(found)]
    if not lines:
        return "no findings: every gap meets the rule you entered"
    return "\n".join(("findings, worst first", *lines))


def _foot(fit: Fit, folder: Path | None) -> str:
    said = Lengths(fit.bay.bare).said
    lines = [*map(said, (*fit.stood.left_out, *fit.stood.notes)), f"shop: {fit.bay.shop.name}"]
    if folder is not None:
        lines.append(f"written to {folder}")
    return "\n".join(lines)
