"""A recipe carried out on one set of values: the part, what it weighs, what the shop rules say, and its files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from brackets.findings import Finding, findings, worst_first
from brackets.params import Checked, json_values, unstated
from brackets.part import Part
from brackets.recipe_file import Recipe


@dataclass(frozen=True, kw_only=True)
class Made:
    """A part with the recipe and values it came from; `files` are the names of what was written, in order."""

    recipe: Recipe
    params: Checked
    part: Part
    files: tuple[str, ...] = ()

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """The recipe's own findings and the shop rules', worst first."""
        return worst_first([*self.recipe.check(self.params), *findings(self.part)])

    @property
    def stops(self) -> bool:
        """Whether a finding says: do not cut."""
        return any(finding.level == "stop" for finding in self.findings)

    @property
    def unstated(self) -> tuple[str, ...]:
        """ "t 6 mm": every value that the user did not give."""
        return unstated(self.params)


def made(recipe: Recipe, params: Checked) -> Made:
    """The part of these values, worked out in closed form; nothing is written and no kernel is loaded.

    Raises OutOfRange where the values make no part, BadRecipe where the recipe fails.
    """
    return Made(recipe=recipe, params=params, part=recipe.build(params))


def write(thing: Made, into: Path, *, say: Callable[[str], None] = lambda _: None) -> Made:
    """The solid, the mesh and the facts of `thing` in the folder `into`, which is swapped whole.

    `say` is told what is being done. Raises KernelFailed where the kernel refuses, OSError where the disk does;
    then a folder that was there before is as it was.
    """
    from brackets.write import facts, folder, step, stl

    name = thing.recipe.name
    with folder.fresh(into) as at:
        for module, suffix in ((step, "step"), (stl, "stl")):
            say(f"{name}: writing {suffix.upper()}")
            module.write(thing.part, at / f"{name}.{suffix}")
        whole = replace(thing, files=(f"{name}.step", f"{name}.stl", facts.NAME))
        facts.write(record(whole), at / facts.NAME)
    return whole


def record(thing: Made) -> dict[str, Any]:
    """What scripts may rely on: recipe, values, mass_kg, centroid_mm, inertia_kg_mm2, pieces, findings, files."""
    from brackets.write import facts

    return {
        "format": facts.FORMAT,
        "recipe": thing.recipe.name,
        "recipe_sha256": thing.recipe.source_hash,
        "values": json_values(thing.params),
        "not_stated": list(thing.unstated),
        **facts.of(thing.part),
        "findings": [finding_record(finding) for finding in thing.findings],
        "files": list(thing.files),
    }


def finding_record(finding: Finding) -> dict[str, Any]:
    """A finding as keys: level, code, piece, sentence, source, value, limit, unit."""
    return asdict(finding)
