"""The picture of one recipe: its pieces and what they weigh, at once; what the shop rules say comes after."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from brackets.app.cli.inches import MM, Lengths
from brackets.app.preview.blocks import row, table
from brackets.app.preview.fields import Refused, Values, form, refusals, wrong
from brackets.app.preview.scene import Fineness, Picture, at_text
from brackets.core.finding import Finding, stopped, verdict
from brackets.core.schema.reading import stated, values
from brackets.kernel.solids import own_shape
from brackets.library import recipe as recipe_file
from brackets.library.limits import left, part_or_cures
from brackets.model import mass
from brackets.model.kinds import kind_of
from brackets.output.part_files import Made, checked, made_of
from brackets.rules.cautions import HEADING, Caution, of_part

SECONDS = 0.3
"""How long the limits of one slider may take to be found."""


class RecipeSource:
    """A recipe to look at; opened anew for every picture, so that a saved change shows. `checks` speaks of the
    part last pictured."""

    def __init__(self, target: str, *, bare: str = "mm") -> None:
        self.target, self.bare = target, bare
        self._made: Made | None = None
        self._texts: Mapping[str, str] = {}

    def watched(self) -> tuple[Path, ...]:
        """The files whose change makes another picture."""
        named = self.target.endswith(".py") or "/" in self.target
        return (Path(self.target).expanduser().resolve() if named else recipe_file.shipped() / f"{self.target}.py",)

    def picture(self, typed: Values, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """The picture and all that its header says before the checks. Raises Refused with what to say at which
        field."""
        found, header = self.shape(typed, fineness=fineness)
        return found, found.header(**header, **self.figures())

    def shape(self, typed: Values, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """What is drawn, as soon as it is known. Raises Refused with what to say at which field."""
        texts = typed.get("", {})
        forms: dict[str, Any] = {}
        with refusals(forms=forms):
            opened = recipe_file.recipe(self.target)
            forms[""] = form(opened.Params, texts, params=None)
            bad = wrong(opened.Params, texts, bare=self.bare)
            if bad:
                raise Refused(fields={"": bad}, forms=forms)
            thing = made_of(opened, *part_or_cures(opened, texts, bare=self.bare, seconds=SECONDS))
            found = Picture(fineness)
            found.add_part(thing.part, thing=opened.name, what="part", side="")
        weight = thing.part.mass
        found.add_mark("centre of mass", weight.centroid, thing=opened.name, side="", kg=float(weight.kg))
        self._made, self._texts = thing, texts
        return found, found.shape(about="recipe", title=opened.name, bare=self.bare)

    def figures(self) -> dict[str, Any]:
        """What stands beside the picture of the part last drawn: its tables and fields."""
        assert self._made is not None
        thing = self._made
        forms = {"": form(thing.recipe.Params, self._texts, params=thing.params)}
        return {"doc": thing.recipe.doc, "forms": forms, "tables": tables(thing, Lengths(self.bare))}

    def checks(self, *, fineness: Fineness) -> tuple[Picture, dict[str, Any]]:
        """Whether the solids last pictured are valid and of the right volume, and findings about the part; a shape
        should not wait for them. Raises Refused."""
        assert self._made is not None
        found = Picture(fineness)
        with refusals(forms={}):
            for piece in self._made.part.pieces:
                own_shape(piece)
            thing = checked(self._made)
            found.tables = [findings_table([(thing.recipe.name, f) for f in thing.findings], Lengths(self.bare))]
            return found, found.header(**verdict_keys(thing.findings))

    def limits(self, newer: Callable[[], bool]) -> dict[str, tuple[float, float]]:
        """What the other values of the part last pictured leave to each slider; those that take longer than SECONDS
        to find are left out, and all that follow once a newer request waits."""
        assert self._made is not None
        opened, params = self._made.recipe, self._made.params
        typed = {name: value for name, value in values(params).items() if name in stated(params)}
        found = {}
        for param in opened.params:
            if newer():
                break
            ends = left(opened, typed, param.name, until=time.perf_counter() + SECONDS)
            if ends is not None and param.rule.kind != "count":
                found[param.name] = ends
        return found


def tables(thing: Made, at: Lengths = MM) -> list[dict[str, Any]]:
    """Pieces, mass and cautions."""
    weight, name = thing.part.mass, thing.recipe.name
    pieces = [
        row(
            (p.name, kind_of(p), p.material, f"{mass.of(p).kg:.3f}", at.cell(at_text(mass.of(p).centroid))),
            things=(p.name,),
        )
        for p in thing.part.pieces
    ]
    whole = (f"{name}, whole", "", "", f"{weight.kg:.3f}", at.cell(at_text(weight.centroid)))
    spread = [
        row((f"about {axis} through the centre of mass", f"{weight.inertia[i][i]:.1f}"), things=(name,))
        for i, axis in enumerate("xyz")
    ]
    return [
        table(
            "pieces",
            "Pieces and mass",
            f"piece|kind|material|>kg|>centre of mass x, y, z {at.unit}",
            [row(whole, things=(name,)), *pieces],
        ),
        table("inertia", "Inertia", "axis|>kg mm2", spread),
        cautions_table(of_part(thing.part)),
    ]


def findings_table(found: list[tuple[str, Finding]], at: Lengths = MM) -> dict[str, Any]:
    """Findings with the part each is about, in their order."""
    rows = [
        row(
            (f.label, f.piece, at.told(f)),
            things=(f.piece, part),
            level="accepted" if f.accepted else f.level,
        )
        for part, f in found
    ]
    note = "" if rows else "None: nothing here breaks a shop rule that was checked."
    return table("findings", "Findings", "level|piece|what [source]", rows, note)


def verdict_keys(found: Sequence[Finding]) -> dict[str, Any]:
    """The header's keys that say whether anything stops, and all findings in one line."""
    return {"stops": stopped(found), "verdict": verdict(found)}


def cautions_table(found: Sequence[Caution]) -> dict[str, Any]:
    """What to mind at the steps that come next."""
    return table("cautions", HEADING, "step|", [row((one.step, one.sentence)) for one in found])
