"""All that `fit` says of a bay as tables of the page, in its words: links, shafts, props, seats, rules, lists."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from brackets.app.cli.findings_view import SEAT_HEADS, seat_cells
from brackets.app.cli.inches import Lengths
from brackets.app.cli.lists_view import BUY_HEADS, CUT_HEADS, buy_cells, cut_cells, drive_row, mass_cells
from brackets.app.preview import gap_rows, held_tables
from brackets.app.preview.blocks import row, table
from brackets.bay.clear.drive_rules import DRIVE_HEADS, drive_title
from brackets.bay.clear.known import Known, any_known
from brackets.bay.clear.props import PROP_HEADS, prop_cells
from brackets.bay.fitting import Fit
from brackets.bay.report.rows import LINK_HEADS, link_rows
from brackets.bay.report.rule_rows import rule_rows
from brackets.bay.report.whole import mass_rows, to_buy
from brackets.bay.report.worst import headline, most_short_first, worst
from brackets.core.finding import Finding
from brackets.core.rulebook.bay import (
    FOUL,
    GAP_AT_REST,
    GAP_LESS_POS,
    GAP_MOVED,
    INSIDE,
    INSIDE_NOT_KNOWN,
    TOUCH,
)
from brackets.output.bay_lists import cut_items


def top(fit: Fit) -> dict[str, Any]:
    """What stands on top: how many of the rules entered are met, and the worst findings with what to do."""
    at = Lengths(fit.bay.bare)
    _, met, *strength = headline(fit)
    places, listed = _places(fit), most_short_first(fit.findings)
    told = [
        {
            "label": one.finding.label,
            "level": one.finding.level,
            "piece": one.finding.piece,
            "said": at.sentence(one.finding),
            "do": at.said(one.do),
            "things": things_of(one.finding),
            "row": listed.index(one.finding),
            **place_of(places, one.finding),
        }
        for one in worst(fit)
    ]
    return {"met": "\n".join((at.said(met), *strength)), "top": told, "of": len(fit.findings)}


def things_of(finding: Finding) -> list[str]:
    """The bodies a finding is about, and the piece named after its colon."""
    part, _, piece = finding.piece.partition(": ")
    return list(dict.fromkeys([*([piece] if piece else ()), *finding.about, part]))


def with_places(rows: Sequence[dict[str, Any]], listed: Sequence[Finding], fit: Fit) -> None:
    """Tells each row of a finding about a gap which gap it is, so that the page can show the place."""
    places = _places(fit)
    for one, finding in zip(rows, listed, strict=True):
        one |= place_of(places, finding)


AT_REST = {FOUL.code, INSIDE.code, INSIDE_NOT_KNOWN.code, TOUCH.code, GAP_AT_REST.code, GAP_LESS_POS.code}
"""Findings about the gap between two bodies standing still; others about two bodies speak of something else."""


WHEN_MOVED = "when moved"


def place_of(places: Mapping[tuple[bool, frozenset[str]], dict[str, int]], finding: Finding) -> dict[str, int]:
    """Which gap a finding is about: the number of its row standing still or moved; nothing for one about no gap."""
    moved = finding.code == GAP_MOVED.code or (finding.code == GAP_LESS_POS.code and WHEN_MOVED in finding.sentence)
    return places.get((moved, frozenset(finding.about)), {}) if moved or finding.code in AT_REST else {}


def _places(fit: Fit) -> Mapping[tuple[bool, frozenset[str]], dict[str, int]]:
    """Whether moved and the two bodies, to the number of the gap in its table."""
    still = {(False, frozenset((p.a, p.b))): {"pair": i} for i, p in enumerate(fit.pairs)}
    moved = {(True, frozenset((m.a, m.b))): {"moved": i} for i, m in enumerate(fit.moved)}
    return {**still, **moved}


def tables(fit: Fit) -> Iterator[dict[str, Any]]:
    """The tables beside findings and gaps; none that is empty."""
    at = Lengths(fit.bay.bare)
    marks = known_of(fit)
    yield gap_rows.when_moved(fit.moved, marks, at)
    if fit.slacks:
        yield gap_rows.of_slacks(fit.slacks, at)
    if fit.held is not None and not fit.held.asks:
        yield from held_tables.tables(fit.held)
    links = [one for link in fit.links for one in link_rows(link)]
    yield from _listed(
        "links",
        f"Links: asked of each bush when the engine moves, of what it gives, {at.unit}",
        _right(LINK_HEADS, 2),
        [row(at.cells(one.cells, near=(2,), up=(3, 4, 5)), things=one.things) for one in links],
    )
    for number, drive in enumerate(fit.drives):
        title = at.said(drive_title(drive)).replace("degrees and mm", f"degrees and {at.unit}")
        cells = [row(drive_row(figure, at)) for figure in drive.figures]
        yield from _listed(f"drive {number}", title, _right(DRIVE_HEADS, 1, 2, 3, 4), cells)
    yield from _listed(
        "props",
        f"Props under the powertrain as drawn, {at.unit}",
        _right(PROP_HEADS, 1, 2, 3),
        [row(at.cells(prop_cells(one), near=(1, 2, 3, 4))) for one in fit.props],
    )
    if fit.adjusts:
        yield gap_rows.of_adjusts(fit.adjusts, at)
    yield from _listed(
        "seats",
        f"What the seats stand on, {at.unit}",
        _right([name.format(at.unit) for name in SEAT_HEADS], 3, 4, 6, 7),
        [row(seat_cells(seat, at), things=(seat.part, *seat.onto)) for seat in fit.seats],
    )
    yield gap_rows.of_paths(fit.paths, at)
    yield gap_rows.of_bolts(fit.bolts)
    yield from _rules(fit, at)
    buy = [row(buy_cells(item)) for item in to_buy(fit)]
    yield from _listed("buy", "To buy", _right(BUY_HEADS, 0), buy)
    cut = [row(cut_cells(item, at)) for item in cut_items(fit)]
    title = "To cut, but NOT YET: something stops" if fit.stops else f"To cut, {at.unit}"
    yield from _listed("cut", title, _right([head.format(at.unit) for head in CUT_HEADS], 0, 4, 5), cut)
    whole = [row(mass_cells(one, at)) for one in mass_rows(fit)]
    columns = _right(("what", "kg", f"centre of mass x, y, z {at.unit}"), 1, 2)
    yield from _listed("masses", "Masses of all, without weld metal", columns, whole)


def _rules(fit: Fit, at: Lengths) -> Iterator[dict[str, Any]]:
    """Every rule of gaps that was asked, and what is spare where it is tightest."""
    heads = ("spare", "class", "still", "moved", "tightest", "whose", "where the rule is from")
    rows = [
        row(
            (
                *(at.least(one.spare), one.kind, at.figure(one.rest), at.figure(one.moved)),
                *(one.what, one.whose, one.why),
            ),
            things=tuple(one.what.split(" | ")),
        )
        for one in rule_rows(fit)
    ]
    yield from _listed("rules", f"Rules of gaps that were asked, {at.unit}", _right(heads, 0, 2, 3), rows)


def known_of(fit: Fit) -> Known | None:
    """The ± of every body; None where the bay file types none."""
    return fit.known if any_known(fit.bay) else None


def _right(heads: Sequence[str], *figures: int) -> str:
    return "|".join(f">{head}" if i in figures else head for i, head in enumerate(heads))


def _listed(key: str, title: str, columns: str, rows: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    if rows:
        yield table(key, title, columns, rows)
