"""Whose a finding is: bolts and bushes belong to the parts of their mount, a boss bolt to the part it holds.

What concerns no part in particular but says stop, or concerns the bay as a whole, is every part's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from brackets.bay.record import Bay
from brackets.findings import Finding
from brackets.part import Part

OF_MOUNT = ("bush", "sleeve", "bolt")
"""Bodies that a mount brings along: each is called by the mount's name and this word."""


def owners(bay: Bay) -> Mapping[str, tuple[str, ...]]:
    """Names of mounts, bosses and the bodies that come with them, each with the parts that it belongs to."""
    found: dict[str, tuple[str, ...]] = {}

    def add(name: str, parts: Sequence[str]) -> None:
        found[name] = tuple(dict.fromkeys((*found.get(name, ()), *parts)))

    for mount in bay.mounts:
        parts = [part for part in (mount.chassis_part, mount.powertrain_part) if part is not None]
        for name in (mount.name, *(f"{mount.name} {what}" for what in OF_MOUNT)):
            add(name, parts)
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
