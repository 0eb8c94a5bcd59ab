"""A recipe carried out on one set of values: the part, what it weighs, what the shop rules say, and its files."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

from brackets.core.finding import Finding, stopped, verdict, worst_first
from brackets.core.marks import NO_MARKS, Marks
from brackets.core.schema.checked import Checked
from brackets.core.schema.reading import json_values, unstated, worked_out
from brackets.core.shown import Shown
from brackets.forming.shop import Shop, as_made_in
from brackets.forming.shop_file import default as default_shop
from brackets.library.recipe import Recipe
from brackets.model.part import Hand, Part, Word, of_recipe
from brackets.rules.cautions import of_part
from brackets.rules.part import part_findings


@dataclass(frozen=True, kw_only=True)
class Made(Shown):
    """A part with the recipe and values it came from and the shop it is for.

    `hand` is None where nobody asked for one. `files` are the names of what was written, in order; `undrawn` the
    pieces that no sheet of paper is of; `of_solids` what is said of its solids, where `checked` has made them;
    `marks` what was typed for the title blocks.
    """

    recipe: Recipe
    params: Checked
    part: Part
    shop: Shop
    files: tuple[str, ...] = ()
    undrawn: tuple[str, ...] = ()
    of_solids: tuple[Finding, ...] = ()
    hand: Hand | None = None
    marks: Marks = NO_MARKS

    @property
    def name(self) -> str:
        """What its files are called: the recipe's name, and the hand where one was asked for."""
        return self.recipe.name if self.hand is None else self.hand.named(self.recipe.name)

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        """The recipe's own findings, those of every part, and what the shop cannot make, worst first."""
        own = [*self.of_solids, *self.recipe.check(self.params, self.shop)]
        return worst_first([*own, *part_findings(self.part, self.shop)])

    @property
    def stops(self) -> bool:
        """Whether a finding says: do not cut."""
        return stopped(self.findings)

    @property
    def unstated(self) -> tuple[str, ...]:
        """ "t 6 mm": every value that the user did not give."""
        return unstated(self.params)


def made(recipe: Recipe, params: Checked, shop: Shop | None = None, *, hand: Word = "") -> Made:
    """A recipe's part for one set of values, worked out in closed form; nothing is written and no kernel is loaded.

    recipe: by `recipe`; params: its values, an instance of its Params; shop: the shop it is for, whose bent strips
    take the place of the bend formula, the SAMPLE shop where None; hand: "right" for the mirror image in the
    recipe's own plane x = 0, "left" for the part as written, "" where nobody asks. Returns a Made, with the part,
    its mass and its findings. Raises InputError where the values make no part, BadRecipe where the recipe fails.

    >>> cups = recipe("cup")
    >>> round(made(cups, cups.Params(bush_od=60)).part.mass.kg, 3)  # pi / 4 (70² - 60²) 40 mm³, 7850 kg/m³
    0.321
    """
    return made_of(recipe, params, recipe.build(params), shop, hand=hand)


def made_of(recipe: Recipe, params: Checked, built: Part, shop: Shop | None = None, *, hand: Word = "") -> Made:
    """The same of what the recipe has built of these values."""
    mine = default_shop() if shop is None else shop
    part = as_made_in(mine, built)
    of = of_recipe(hand) if hand else None
    if of is not None and of.mirrored:
        part = part.mirrored()
    return Made(recipe=recipe, params=params, part=part, shop=mine, hand=of)


def checked(thing: Made) -> Made:
    """The same with its solids made and what they say among its findings. Raises KernelFailed."""
    from brackets.clearance.torch import torch_findings
    from brackets.kernel.press_room import press_findings
    from brackets.kernel.shared import solid_findings

    said = solid_findings(thing.part, fit_up=thing.shop.tubing.fit_up)
    reached = torch_findings(thing.part, thing.shop.torch)
    return replace(thing, of_solids=(*said, *press_findings(thing.part), *reached))


def write(
    thing: Made,
    into: Path,
    *,
    paper: str | None = None,
    revision: str = "",
    by: str = "",
    date: str = "",
    tolerance: str = "",
    semicolons: bool = False,
    say: Callable[[str], None] = lambda _: None,
) -> Made:
    """Write all files of a made part into a folder: solids, PDF, cut files and facts.json.

    thing: by `made`; into: the folder, which is there whole or not at all; paper: "A4", "A3" or "Letter", the
    shop's where None; revision, by, date: as the title blocks say them, who drew it and when; tolerance: the class
    of general tolerances, "ISO 2768-m" or "ISO 13920-B"; semicolons: whether CSV has ; between
    cells and a byte order mark; say: a function that is told, in words, what is being
    done. Returns `thing` with the names of the files and what its solids showed. Raises KernelFailed where the
    kernel refuses, InputError for an unknown paper or class, OSError where the disk does; then a folder that was
    there before is as it was.

    >>> import pathlib, tempfile
    >>> cups = recipe("cup")
    >>> with tempfile.TemporaryDirectory() as folder:  # gone again afterwards
    ...     write(made(cups, cups.Params(bush_od=60)), pathlib.Path(folder, "mine")).files
    ('cup.step', 'cup.stl', 'cup.3mf', 'cup.glb', 'cup.pdf', 'facts.json')
    """
    from brackets.output import cut_files, facts, folder, formats
    from brackets.output.folder import stem
    from brackets.output.set_up import set_up_cuts
    from brackets.output.workbook import with_semicolons

    name = stem(thing.name)
    marks = Marks(revision=revision, by=by, date=date, tolerance=tolerance)
    with folder.fresh(into) as at:
        say(f"{name}: making its solids")
        thing = checked(thing)
        say(f"{name}: drawing what it is cut by")
        title = cut_files.title(thing.recipe.name, thing.params, thing.shop, marks, hand=thing.hand)
        cuts = cut_files.cuts(thing.part, title, thing.findings, shop=thing.shop)
        cuts += set_up_cuts(thing.part, title, thing.findings, shop=thing.shop, paper=paper)
        sheets = cut_files.write(cuts, at, name=name, shop=thing.shop, paper=paper)
        if semicolons:
            with_semicolons(at, sheets)
        solids = formats.write("part", thing.part, at, name, say=say)
        files = (*solids, *sheets, facts.NAME)
        whole = replace(thing, marks=marks, files=files, undrawn=cut_files.undrawn(thing.part, cuts))
        formats.write("facts", record(whole), at)
    return whole


def record(thing: Made) -> dict[str, Any]:
    """What scripts may rely on: recipe, values, mass_kg, centroid_mm, inertia_kg_mm2, pieces, findings, files."""
    from brackets.output import facts, formats
    from brackets.output.set_up import record as set_up_record

    return {
        "format": facts.FORMAT,
        "recipe": thing.recipe.name,
        "hand": None if thing.hand is None else thing.hand.record,
        "recipe_sha256": thing.recipe.source_hash,
        "values": json_values(thing.params),
        "worked_out": list(worked_out(thing.params)),
        "not_stated": list(thing.unstated),
        "shop": thing.shop.name,
        "title_block": thing.marks.record,
        **facts.of(thing.part),
        "set_up": set_up_record(thing.part),
        "verdict": verdict(thing.findings),
        "cautions": [asdict(caution) for caution in of_part(thing.part)],
        "findings": [finding_record(finding) for finding in thing.findings],
        "files": list(thing.files),
        "formats": formats.named(thing.files),
    }


def finding_record(finding: Finding) -> dict[str, Any]:
    """A finding as keys: level, code, piece, sentence, source, value, limit, unit, about, accepted_by and _why."""
    return asdict(finding)
