"""Gathers the checks of a part, each with a row a case; what is refused keeps its words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from brackets.core.errors import InputError
from brackets.hold.case_rows import CaseRows, CutRows
from brackets.hold.check import Array, Check
from brackets.hold.held import PartRefusal
from brackets.hold.metal import Metal, metal
from brackets.hold.part_cases import HoldSettings, PartCase
from brackets.model.part import Part
from brackets.model.piece import Piece
from brackets.model.plate import Folded, Plate
from brackets.model.tube import BentTube, Tube, Turned


@dataclass(eq=False)
class Found:
    """What was found so far of a part under its cases."""

    part: Part
    cases: Sequence[PartCase]
    settings: HoldSettings
    rows: list[CaseRows] = field(default_factory=list)
    refused: dict[PartRefusal, None] = field(default_factory=dict)
    notes: dict[str, None] = field(default_factory=dict)
    cuts: list[CutRows] = field(default_factory=list)
    metals: dict[str, Metal] = field(default_factory=dict)

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
        self.keep_rows(CaseRows(place, made, len(self.cases)))

    def keep_rows(self, rows: CaseRows) -> None:
        """The same of a check that may be one of some cases only."""
        if not rows.is_nothing:
            self.rows.append(rows)
            self.refused.update(dict.fromkeys(rows.refusals([case.name for case in self.cases])))

    def refuse(self, place: str, *problems: str) -> None:
        for problem in problems:
            self.refused[PartRefusal(place, "", problem)] = None

    def note(self, *notes: str) -> None:
        self.notes.update(dict.fromkeys(notes))

    def cut(self, place: str, at: Any, force: Array, moment: Array) -> None:
        """Keeps what goes through a place: force and moment (cases, 3) about `at`, (3,) or (cases, 3)."""
        self.cuts.append(CutRows(place, np.asarray(at), force, moment))

    def metal_of(self, piece: Piece) -> Metal:
        """The metal of a piece at its thickness. Raises InputError where it has no strength to count on."""
        if piece.name not in self.metals:
            of = metal(piece.material, thickness(piece), welded=self.is_welded(piece.name))
            self.metals[piece.name] = of
        return self.metals[piece.name]

    def is_welded(self, piece: str) -> bool:
        return any(piece in (weld.piece, weld.onto) for weld in self.part.welds)


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
