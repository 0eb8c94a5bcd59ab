"""Gathers the checks of a part: a check with a row a case becomes one a case; what is refused keeps its words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.hold.check import Array, Check
from brackets.hold.held import CutForce, PartCheck, PartRefusal, vec
from brackets.hold.metal import Metal, metal
from brackets.hold.part_cases import HoldSettings, PartCase
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned

NOTHING = 1e-9
"""N, N mm, MPa: a value that is nothing, so that there is nothing to check."""


@dataclass(eq=False)
class Found:
    """What was found so far of a part under its cases."""

    part: Part
    cases: Sequence[PartCase]
    settings: HoldSettings
    checks: list[PartCheck] = field(default_factory=list)
    refused: dict[PartRefusal, None] = field(default_factory=dict)
    notes: dict[str, None] = field(default_factory=dict)
    cuts: list[CutForce] = field(default_factory=list)

    @property
    def factors(self) -> Array:
        """(cases,): what the loads of each are multiplied by before a clause that asks for factored ones."""
        return np.array([self.settings.factored(case) for case in self.cases])

    def ask(
        self, place: str, check: Callable[..., Check], *given: Any, of: Piece | None = None, **values: Any
    ) -> None:
        """Makes a check with a row a case and keeps it, or the words with which it is refused.

        check: called with what is given, with the place as its name and with the factors of the settings; of: the
        piece whose metal it is asked with, refused where that has no strength to count on.
        """
        try:
            if of is not None:
                values["metal"] = self.metal_of(of)
            made = check(*given, name=place, factors=self.settings.factors, **values)
        except InputError as error:
            self.refuse(place, *error.problems)
            return
        self.keep(place, made)

    def keep(self, place: str, made: Check) -> None:
        """Keeps a check with a row a case; one whose values are all nothing is none."""
        rows = (len(self.cases),)
        value = np.broadcast_to(made.value, rows)
        words = {one.row: one.problem for one in made.refused}
        every = made.refused and () in words
        shown = np.nan_to_num(np.abs(value), nan=1.0)
        if not every and not words and shown.max(initial=0.0) < NOTHING:
            return
        for i, case in enumerate(self.cases):
            problem = words.get((i,)) or words.get(())
            if problem is not None:
                self.refused[PartRefusal(place, case.name, problem)] = None
                continue
            self.checks.append(PartCheck(place, case.name, _row(made, i, rows)))

    def refuse(self, place: str, *problems: str) -> None:
        for problem in problems:
            self.refused[PartRefusal(place, "", problem)] = None

    def note(self, *notes: str) -> None:
        self.notes.update(dict.fromkeys(notes))

    def cut(self, place: str, at: Any, force: Array, moment: Array) -> None:
        """Keeps what goes through a place: force and moment (cases, 3) about `at` (3,)."""
        for i, case in enumerate(self.cases):
            self.cuts.append(CutForce(place, case.name, vec(np.asarray(at)), vec(force[i]), vec(moment[i])))

    def metal_of(self, piece: Piece) -> Metal:
        """The metal of a piece at its thickness. Raises InputError where it has no strength to count on."""
        return metal(piece.material, thickness(piece), welded=self.is_welded(piece.name))

    def is_welded(self, piece: str) -> bool:
        return any(piece in (weld.piece, weld.onto) for weld in self.part.welds)


def _row(check: Check, i: int, rows: tuple[int, ...]) -> Check:
    def one(value: Any) -> Any:
        return None if value is None else float(np.broadcast_to(value, rows)[i])

    return replace(
        check,
        value=one(check.value),
        limit=one(check.limit),
        own_value=one(check.own_value),
        own_limit=one(check.own_limit),
        refused=(),
    )


def thickness(piece: Piece) -> float:
    """mm of plate, or of a wall. Raises InputError for a piece that has none in the record."""
    if isinstance(piece, Plate | Folded):
        return piece.t
    if isinstance(piece, Tube | BentTube):
        return piece.wall
    if isinstance(piece, Turned):
        return min((step.od - step.bore) / 2 for step in piece.steps)
    raise InputError(f"piece = {piece.name}, must be plate, tube or turned: the record has no thickness of it")


def is_round(piece: Piece) -> bool:
    """Whether its thickness is a wall of something round."""
    return isinstance(piece, Tube | BentTube | Turned)
