"""What one row of a family came to: its values, mass, centre, gap, spares, findings, or why there is none of it.

A result is a plain table that JSON holds; it depends on nothing but the row's key.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from brackets.core import kept
from brackets.core.errors import BadFile, BadRecipe, InputError, KernelFailed
from brackets.core.finding import Finding, stopped, worst_first
from brackets.core.rulebook.finding_rule import measured, spare_name
from brackets.core.rulebook.held import STRENGTH
from brackets.core.schema.reading import json_values, worked_out
from brackets.core.schema.rule import Plain
from brackets.forming.shop import Shop
from brackets.library.recipe import Recipe
from brackets.variants.holding import Depth, Holding
from brackets.variants.strength import Strength, of_record

Result = dict[str, Any]
DIGITS = 12
"""Digits a figure is kept with: one more or less in the last ones is rounding."""

NOTHING = 1e-9
"""mm, kg: nearer to 0 is rounding."""


@dataclass(frozen=True, kw_only=True)
class OtherHand:
    """The mirror image of a part in a bay: its mass, kg, and in what it `differs`, a line each."""

    name: str
    mass: float
    differs: tuple[str, ...] = ()

    def __str__(self) -> str:
        said = f"differs in {len(self.differs)}: {'; '.join(self.differs)}" if self.differs else "mirror image"
        return f"{self.name}: {said}"


@dataclass(frozen=True, kw_only=True)
class Row:
    """One row of a family.

    number: from 1, in the order of the family; name: its own, else the number; given: the values it states;
    values: all values of the recipe, as JSON has them, empty where it is refused; worked_out: names of those that
    follow the others; mass: kg; centre: of mass, mm, of a part in a bay in the bay's axes; gap: the tightest gap
    of the part to another body of the bay, mm, proven, and `gap_to` that body, None and "" of a recipe alone;
    hands: its mirror images in the bay, which have its values; spares: least spare of each class of gap of a bay,
    of a recipe of each rule that compares a value with a limit, less than nothing where it is broken, mm, or the
    unit that is said ("sharp, deg"); findings: worst first; refused: why its values make no part; failed: how its
    worker ended; note: what was not done; strength: by the rules that were entered, None where nobody asked.
    """

    number: int
    name: str
    given: Mapping[str, Plain]
    values: Mapping[str, object] = field(default_factory=dict)
    worked_out: tuple[str, ...] = ()
    mass: float | None = None
    centre: tuple[float, float, float] | None = None
    gap: float | None = None
    gap_to: str = ""
    hands: tuple[OtherHand, ...] = ()
    spares: Mapping[str, float] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    refused: tuple[str, ...] = ()
    failed: str = ""
    note: str = ""
    strength: Strength | None = None

    @property
    def stops(self) -> bool:
        """Whether it is not to be cut: a finding stops, it is refused, or nobody knows."""
        return bool(self.refused or self.failed) or stopped(self.findings)

    @property
    def spare(self) -> float | None:
        """The least of its spares that are mm, or less than nothing; None where there is none."""
        return min((self.spares[name] for name in self.counted), default=None)

    @property
    def spare_of(self) -> str | None:
        """What has the least of its spares."""
        return min(self.counted, key=lambda name: (self.spares[name], name), default=None)

    @property
    def counted(self) -> tuple[str, ...]:
        """Names of the spares that its least is among: those in mm, and whatever is broken."""
        return tuple(name for name, spare in self.spares.items() if spare < 0 or ", " not in name)

    @property
    def verdict(self) -> str:
        """One word for it, of those of `core.finding`."""
        if self.failed:
            return "failed"
        if self.refused:
            return "refused"
        if stopped(self.findings):
            return "STOP"
        return "caution" if any(f.level == "caution" and not f.accepted for f in self.findings) else "fine"


def row_of(result: Result, *, number: int, name: str, given: Mapping[str, Plain]) -> Row:
    """The row that a kept result is of."""
    centre, hands = result.get("centre"), result.get("hands", ())
    return Row(
        number=number,
        name=name,
        given=given,
        values=result.get("values", {}),
        worked_out=tuple(result.get("worked_out", ())),
        mass=result.get("mass"),
        centre=None if centre is None else (centre[0], centre[1], centre[2]),
        gap=result.get("gap"),
        gap_to=result.get("gap_to", ""),
        hands=tuple(OtherHand(name=h["name"], mass=h["mass"], differs=tuple(h["differs"])) for h in hands),
        spares=result.get("spares", {}),
        findings=tuple(Finding.of_record(each) for each in result.get("findings", ())),
        refused=tuple(result.get("refused", ())),
        failed=result.get("failed", ""),
        note=result.get("note", ""),
        strength=None if "strength" not in result else of_record(result["strength"]),
    )


def refusal(error: InputError | BadFile | BadRecipe | KernelFailed) -> Result:
    """The result of values that make no part."""
    lines = error.problems if isinstance(error, InputError | BadFile) else tuple(str(error).splitlines())
    return {"refused": list(lines)}


def of_recipe(
    recipe: Recipe,
    given: Mapping[str, Plain],
    shop: Shop | None,
    *,
    holding: Holding | None = None,
    depth: Depth = "row",
) -> Result:
    """The result of one set of values of a recipe, in closed form: no kernel is loaded but for the depth "all"."""
    from brackets.output.part_files import checked, made

    strength: Result = {}
    held: tuple[Finding, ...] = ()
    try:
        with _nothing_kept():
            thing = made(recipe, recipe.Params(**given), shop)
            mass = thing.part.mass
            if holding is not None and holding.judges and depth != "rules":
                from brackets.variants.judged import of_part

                strength, held = of_part(thing.part, holding)
            if depth == "all":
                thing = checked(thing)
            with measured() as left:
                findings = worst_first((*thing.findings, *held))
    except (InputError, BadRecipe, KernelFailed) as error:
        return refusal(error)
    return {
        **strength,
        "values": json_values(thing.params),
        "worked_out": list(worked_out(thing.params)),
        "mass": short(mass.kg),
        "centre": [short(c) for c in mass.centroid.tolist()],
        "spares": spares(findings, {**left, **strength_spare(strength)}),
        "findings": [finding.record for finding in findings],
    }


@contextmanager
def _nothing_kept() -> Iterator[None]:
    """Keeps nothing step by step: a row is kept whole, its steps cost less than it takes to name them, and a rule
    whose findings are kept is not asked, so that nobody measures what it has to spare."""
    before, kept.ENABLED = kept.ENABLED, False
    try:
        yield
    finally:
        kept.ENABLED = before


def strength_spare(told: Result) -> dict[str, float]:
    """What is left of the rule of strength of which most is used, by its name among spares; nothing without one."""
    worst = None if "strength" not in told else of_record(told["strength"]).worst
    return {} if worst is None or not math.isfinite(worst.spare) else {spare_name(STRENGTH.code, ""): worst.spare}


def spares(findings: tuple[Finding, ...], left: Mapping[str, float]) -> dict[str, float]:
    """The least spare of each rule by `spare_name`: what is `left` by those that measure it, and how far others
    with a figure are broken past an advice, less than nothing."""
    found = {name: short(spare) for name, spare in left.items()}
    for finding in findings:
        counts = finding.level != "advice" and not finding.accepted
        if counts and finding.value is not None and finding.limit is not None:
            off = short(-abs(finding.value - finding.limit))
            name = spare_name(finding.code, finding.unit)
            if left.get(name, 0.0) >= 0:
                found[name] = min(off, found.get(name, off))
    return dict(sorted(found.items()))


def short(value: float) -> float:
    """A figure with DIGITS digits; what is rounding alone is 0."""
    return 0.0 if abs(value) < NOTHING else float(f"{value:.{DIGITS}g}")
