"""Whose a finding is, which findings a person accepted in the bay file, and the cautions of a bay.

Bolts and bushes belong to the parts of their mount, a boss bolt to the part it holds. What concerns no part but
says stop, or concerns the whole bay, is every part's. An acceptance covers every finding of its code that
concerns the body it names, and no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import SIDES, Accept
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.core.finding import Finding, worst_first
from brackets.core.rulebook.bay import ACCEPT
from brackets.model.part import Part
from brackets.rules import cautions
from brackets.rules.cautions import Caution

OF_SLEEVE = ("bush", "sleeve", "bolt")
OF_BOBBIN = ("bush", *(f"{side} {what}" for side in SIDES for what in ("end", "nut", "bolt")))
"""Bodies that a mount brings along: each is called by the mount's name and this word."""


def owners(bay: Bay) -> Mapping[str, tuple[str, ...]]:
    """Names of mounts, bosses and the bodies that come with them, each with the parts that it belongs to."""
    found: dict[str, tuple[str, ...]] = {}

    def add(name: str, parts: Sequence[str]) -> None:
        found[name] = tuple(dict.fromkeys((*found.get(name, ()), *parts)))

    for mount in bay.mounts:
        words = OF_SLEEVE if bay.bobbin_of(mount) is None else OF_BOBBIN
        for name in (mount.name, *(f"{mount.name} {what}" for what in words)):
            add(name, mount.parts)
    for entry in bay.parts:
        for boss in entry.row.bosses:
            for name in (boss, f"{boss} bolt"):
                add(name, [entry.row.name])
    return found


def with_owners(bay: Bay, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """The findings, each also about the parts that its bolts, bushes, mounts and bosses belong to."""
    parts = owners(bay)
    told = []
    for finding in findings:
        more = [part for name in finding.about for part in parts.get(name, ())]
        told.append(replace(finding, about=tuple(dict.fromkeys((*finding.about, *more)))))
    return tuple(told)


def of_part(bay: Bay, part: Part, name: str, findings: Sequence[Finding]) -> tuple[Finding, ...]:
    """What is said of the part called `name` in the bay, for its own sheets: findings of its pieces under the names
    the pieces have there, everything else as the bay says it."""
    pieces = {piece.name for piece in part.pieces}
    told = []
    for finding in findings:
        if not _concerns(bay, name, finding):
            continue
        piece = finding.piece.removeprefix(f"{name}: ")
        own = finding.about == (name,) and piece in pieces
        told.append(replace(finding, piece=piece) if own else finding)
    return tuple(told)


def _concerns(bay: Bay, name: str, finding: Finding) -> bool:
    about = set(finding.about)
    if about & {entry.row.name for entry in bay.parts}:
        return name in about
    whole_bay = not about & set(bay.keep_out_by_name)
    return finding.level == "stop" or (finding.level == "caution" and whole_bay)



def with_accepted(
    rows: Sequence[Accept], findings: Sequence[Finding], *, unused: bool = True
) -> tuple[Finding, ...]:
    """The findings, those that `rows` accept marked so; with `unused` a caution for each row that accepts none."""
    told = [_marked(finding, rows) for finding in findings]
    return worst_first([*told, *(_unused(rows, findings) if unused else ())])


def _marked(finding: Finding, rows: Sequence[Accept]) -> Finding:
    for row in rows:
        if _covers(row, finding):
            return replace(finding, accepted_by=row.by, accepted_why=row.why)
    return finding


def _covers(row: Accept, finding: Finding) -> bool:
    return finding.code == row.code and row.part in finding.about


def _unused(rows: Sequence[Accept], findings: Sequence[Finding]) -> Iterator[Finding]:
    for row in rows:
        if any(_covers(row, finding) for finding in findings):
            continue
        there = sorted({finding.code for finding in findings if row.part in finding.about})
        yield ACCEPT.finding(
            piece=row.part,
            about=(row.part,),
            sentence=f"accept {row.code} by {row.by}: there is no such finding about {row.part}, there is "
            + (", ".join(there) or "none at all"),
        )


def bay_cautions(stood: PlacedBay) -> tuple[Caution, ...]:
    """Those of the whole bay."""
    bay = stood.bay
    onto = any(mount.chassis_onto is not None for mount in bay.mounts)
    return cautions.of_bay((part.part for part in stood.parts), keep_outs=_kinds(bay), onto=onto)


def sheet_cautions(bay: Bay, part: PlacedPart) -> tuple[Caution, ...]:
    """Those for the sheets of one part: what is done to it, and what is around it in the bay."""
    onto = any(side == "chassis" and mount.chassis_onto is not None for mount, side in bay.mounts_of(part.name))
    steps = cautions.of_bay([part.part], keep_outs=_kinds(bay), onto=onto)
    return tuple(caution for caution in steps if caution.step != "lifting")


def _kinds(bay: Bay) -> list[tuple[str, str]]:
    return [(keep_out.name, keep_out.kind) for keep_out in bay.keep_outs]
