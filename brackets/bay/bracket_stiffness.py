"""How stiff the brackets of a bay are beside their bushes, which are worked out with rigid ones. N/mm."""

from __future__ import annotations

from dataclasses import replace

from brackets.bay.hanging import Hanging
from brackets.bay.held_loads import weight_alone
from brackets.bay.held_parts import held_under
from brackets.bay.schema.record import Bay
from brackets.bay.schema.standing import LINK
from brackets.bay.stand.placed import placed_bay
from brackets.core.errors import BadFile
from brackets.core.finding import worst_first
from brackets.core.rulebook.held import BRACKET_STIFFNESS


def with_brackets(bay: Bay, found: Hanging) -> tuple[Hanging, tuple[str, ...]]:
    """The same with a caution for each bracket under ten times, or what [hold] types, as stiff as its bush; and a
    line on each of which nobody knows. Parts are made as records, no solid is built.
    """
    if not bay.parts:
        return found, ()
    try:
        stood = placed_bay(bay)
    except BadFile:
        return found, ("parts that can be placed (fit says why they cannot): brackets are taken as rigid",)
    held = held_under(stood, weight_alone(found.on))
    said = tuple(finding for finding in held.findings if finding.code == BRACKET_STIFFNESS.code)
    told = {(one.part, one.mount) for part in held.parts for one in part.stiffness}
    of = {p.name: [mount.name for mount, side in bay.mounts_of(p.name) if side != LINK] for p in held.parts}
    left = (f"{part}: {mount}" for part, mounts in of.items() for mount in mounts if (part, mount) not in told)
    unknown = tuple(f"{one}: how stiff the bracket is at its bush is not known, taken as rigid" for one in left)
    return replace(found, findings=worst_first((*found.findings, *said))), unknown
