"""One part of a bay with other values: the bay's own file, that part's values replaced, and all of it fitted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

from brackets.bay.clear.moving import Moved
from brackets.bay.clear.pairs import Pair
from brackets.bay.file import of_table, with_parts
from brackets.bay.fitting import Fit, fit_stood
from brackets.bay.report.rule_rows import rule_rows
from brackets.bay.schema.record import Bay
from brackets.bay.stand.placed import placed_bay
from brackets.bay.stand.placed_part import PlacedBay, PlacedPart
from brackets.core.errors import OURS, InputError
from brackets.core.finding import Finding, stopped, worst_first
from brackets.core.names import allowed
from brackets.core.schema.checked import Checked, fields
from brackets.core.schema.reading import json_values, spread, values, worked_out
from brackets.core.schema.rule import Plain
from brackets.core.stamp import Stamp, stamp
from brackets.core.text_files import given_toml
from brackets.core.units import shown
from brackets.forming.shop import Shop
from brackets.model.hands import compared
from brackets.variants.holding import Depth
from brackets.variants.judged import of_bay
from brackets.variants.result import Result, refusal, short
from brackets.variants.standing import standing

NOT_FITTED = "not fitted: it stops already"
"""The note of a row whose part stops before anything is measured."""

MEANT = ("fit-up", "contact")
"""States of pairs that are meant to touch: no gap is judged."""


def refuse_part(bay: Bay, part: str) -> None:
    """Raises InputError where the bay has no part of that name, or only as another's mirror image."""
    if part not in bay.part_by_name:
        raise InputError(f"part = {shown(part)}, {allowed(part, tuple(bay.part_by_name))}: part that is varied")
    other = bay.part_by_name[part].row.mirror_of
    if other is not None:
        raise InputError(f"part = {shown(part)}, must be {other}: it is a mirror image, and has the other's values")


def with_values(
    path: Path, part: str, given: Mapping[str, Plain], params: type[Checked], *, typed: Bay | None = None
) -> Bay:
    """The bay of a file with values of one part replaced; its mirror images follow. Raises BadFile.

    typed: the bay as the file has it, of which only the parts are read again.
    """
    raw = dict(_table(path, stamp(path)))
    rows = raw.get("part")
    if given and isinstance(rows, list):
        known = {param.name: param for param in fields(params)}
        texts = {name: known[name].to_text(value) for name, value in given.items()}
        raw["part"] = [
            {**spread(params, row), **texts} if isinstance(row, dict) and row.get("name") == part else row
            for row in rows
        ]
    return of_table(raw, path) if typed is None else with_parts(typed, raw)


@lru_cache(maxsize=8)
def _table(path: Path, _stamp: Stamp) -> Mapping[str, object]:
    """The table of a bay file with that stamp: read once in a process, nobody changes it."""
    return given_toml(path, what="a bay file")


def of_part(
    path: Path,
    part: str,
    given: Mapping[str, Plain],
    params: type[Checked],
    *,
    shop: Shop | None = None,
    fit_all: bool = False,
    holding: bool = False,
    depth: Depth = "row",
    inputs: str = "",
) -> Result:
    """The result of one set of values of a part: what the whole bay says with it in place.

    shop: in place of the bay's own; fit_all: whether a part that stops by its own rules is fitted all the same;
    holding: whether its strength is judged by the bay's load cases; depth: "rules" and "strength" build nothing;
    inputs: names the program, the shop and what all files hold, so that rows of the same find the bay read, and
    the parts standing that they do not change; "" where nobody knows, and each reads and builds it all.
    """

    def place(bay: Bay, was: PlacedBay | None = None) -> PlacedBay:
        return placed_bay(bay if shop is None else replace(bay, shop=shop), was=was)

    try:
        known = None
        if inputs:
            key = (path, stamp(path), inputs)
            known = standing(key, lambda: with_values(path, part, {}, params), place)
        typed, was = (None, None) if known is None else (known.bay, known.stood)
        stood = place(with_values(path, part, given, params, typed=typed), was)
        mine = frozenset(hands_of(stood.bay, part))
        placed = next(p for p in stood.parts if p.name == part)
        told = {**_of_placed(placed), **other_hands(stood, part)}
        held: tuple[Finding, ...] = ()
        if holding and depth != "rules":
            strength, held = of_bay(stood, mine)
            told |= strength
        own = worst_first((*_own(placed), *held))
        if depth in ("rules", "strength"):
            return {**told, **_said(own)}
        if stopped(own) and not fit_all:
            return {**told, **_said(own), "note": NOT_FITTED}
        done = fit_stood(stood, of=mine)
    except OURS as error:
        return refusal(error)
    return {**told, **_gap(done, part), **_said(worst_first((*done.findings, *held)))}


def _of_placed(placed: PlacedPart) -> Result:
    mass = placed.part.mass
    return {
        "values": json_values(placed.params),
        "worked_out": [*worked_out(placed.params), *placed.worked_out],
        "mass": short(mass.kg),
        "centre": [short(c) for c in mass.centroid.tolist()],
    }


def other_hands(stood: PlacedBay, part: str) -> Result:
    """The mirror images of a part, which have its values: the mass of each, and in what it is none, a line each."""
    found = [p for p in stood.parts if stood.bay.part_by_name[p.name].row.mirror_of == part]
    if not found:
        return {}
    mine = next(p for p in stood.parts if p.name == part)
    told = [
        {"name": p.name, "mass": short(p.part.mass.kg), "differs": list(_differs(mine, p))}
        for p in found
    ]
    return {"hands": told}


def _differs(mine: PlacedPart, image: PlacedPart) -> tuple[str, ...]:
    """In what bosses, bushes and values differ; where they do not, in what the metal does all the same."""
    if image.hand is not None and image.hand.differs:
        return image.hand.differs
    return tuple(figure.said for figure in compared(mine.part, image.part) if figure.differs)


def _own(placed: PlacedPart) -> tuple[Finding, ...]:
    return tuple(replace(f, piece=f"{placed.name}: {f.piece}", about=(placed.name,)) for f in placed.findings)


def _said(findings: tuple[Finding, ...]) -> Result:
    return {"findings": [finding.record for finding in findings]}


def _gap(fit: Fit, part: str) -> Result:
    """The gap with the least spare of the part or its other hands, standing still or moved, to what, and the spare
    of each class of gap."""
    spares = {row.kind: short(row.spare) for row in rule_rows(fit)}
    found = gap_of(fit, hands_of(fit.bay, part))
    if found is None:
        return {"spares": spares}
    gap, to, mine = found
    return {"gap": short(gap), "gap_to": to if mine == part else f"{mine} | {to}", "spares": spares}


def hands_of(bay: Bay, part: str) -> set[str]:
    """A part and its mirror images."""
    return {part, *(entry.row.name for entry in bay.parts if entry.row.mirror_of == part)}


def gap_of(fit: Fit, parts: set[str]) -> tuple[float, str, str] | None:
    """The gap with the least spare that any of `parts` has to something else, mm, to what, and of which; None where
    they have none that is judged."""
    meant = {frozenset((pair.a, pair.b)) for pair in fit.pairs if pair.state in MEANT}
    both: list[Pair | Moved] = [*fit.pairs, *fit.moved]
    own = [one for one in both if parts & {one.a, one.b} and frozenset((one.a, one.b)) not in meant]
    if not own:
        return None
    least = min(own, key=lambda one: (one.spare, one.a, one.b))
    mine, to = (least.a, least.b) if least.a in parts else (least.b, least.a)
    return max(least.low, 0.0), to, mine


def base_values(stood: PlacedBay, part: str) -> Mapping[str, Plain]:
    """The values of a part as the bay types and gives them."""
    return values(next(p for p in stood.parts if p.name == part).params)
